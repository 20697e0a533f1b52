//! The command line: the same core as the screen, one subcommand a file.

pub mod check;
pub mod library;
pub mod print;
pub mod profile;
pub mod recipe;
pub mod time;
pub mod world;

use clap::Parser;
use clap::Subcommand;

use crate::cli::world::World;
use crate::problem::Problem;

/// Companion beside a small CNC mill. Figures are starting points; the machine's manual comes first.
#[derive(Debug, Parser)]
#[command(name = "millside", version, about, max_term_width = 100)]
pub struct Cli {
    /// What to do; nothing opens the screen.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// The subcommands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Reads a program and says what to look at before cutting.
    Check(check::Args),
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
pub fn run(cli: Cli, world: &mut dyn World) -> Result<Outcome, Problem> {
    match cli.command {
        None => Err(Problem::user("open the screen").hint("Name a command; see millside --help.")),
        Some(Command::Check(args)) => check::run(&args, world),
        Some(Command::Profile(args)) => profile::run(&args, world),
        Some(Command::Recipe(args)) => recipe::run(&args, world),
        Some(Command::Time(args)) => time::run(&args, world),
    }
}
