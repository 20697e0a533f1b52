//! The command line: the same core as the screen, one subcommand a file.

pub mod care;
pub mod check;
pub mod diff;
pub mod library;
pub mod new;
pub mod print;
pub mod profile;
pub mod recipe;
pub mod time;
pub mod usage;
pub mod world;

use std::path::PathBuf;

use clap::Args as ClapArgs;
use clap::Parser;
use clap::Subcommand;

use crate::cli::world::World;
use crate::problem::Problem;

/// Companion beside a small CNC mill. Figures are starting points; the machine's manual comes first.
#[derive(Debug, Parser)]
#[command(
    name = "millside",
    // Else help shows the name that the program was called by, whatever it is.
    bin_name = "millside",
    version,
    about,
    max_term_width = 100
)]
pub struct Cli {
    /// What to do; nothing opens the screen.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Folder of sessions; else the one in the data folder of the person.
    #[arg(long, value_name = "DIR", global = true)]
    pub sessions: Option<PathBuf>,
}

/// Arguments of `millside open`.
#[derive(Debug, ClapArgs)]
pub struct OpenArgs {
    /// Record of a session.
    pub file: PathBuf,
}

/// The subcommands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Reads a program and says what to look at before cutting.
    Check(check::Args),
    /// Compares two sessions by meaning: setup, tools, recipes, times, readings, notes.
    Diff(diff::Args),
    /// Begins a job from a program, a template or by hand, and says where its record is.
    New(new::Args),
    /// Opens a session on the screen.
    Open(OpenArgs),
    /// Lists, shows or checks machines, materials, tools, cautions and job templates.
    Profile(profile::Args),
    /// Computes a recipe: speed, feed, depth, stepover and the limits of this machine.
    Recipe(recipe::Args),
    /// Says how long a program takes.
    Time(time::Args),
}

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing to look at: exit code 0.
    Fine,
    /// A person must look first (stop findings, a limit exceeded, sessions that differ): exit code 1.
    LookFirst,
}

/// Runs one command.
///
/// # Errors
///
/// A [`Problem`] for wrong use or a file that cannot be opened: exit code 2.
pub fn run(
    command: Command,
    sessions: Option<PathBuf>,
    world: &mut dyn World,
) -> Result<Outcome, Problem> {
    match command {
        Command::Check(args) => check::run(&args, world),
        Command::Diff(args) => diff::run(&args, world),
        Command::New(args) => new::run(&args, sessions.as_deref(), world),
        Command::Open(args) => Err(Problem::internal("open a screen from here")
            .at(crate::plain::text(&args.file.display().to_string()))),
        Command::Profile(args) => profile::run(&args, world),
        Command::Recipe(args) => recipe::run(&args, world),
        Command::Time(args) => time::run(&args, world),
    }
}
