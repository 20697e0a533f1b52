//! `millside profile`.

mod check;
mod detail;
mod excerpt;
mod list;
mod show;

use std::path::PathBuf;

use clap::Args as ClapArgs;
use clap::Subcommand;

use crate::cli::Outcome;
use crate::cli::world::World;
use crate::problem::Problem;

/// Arguments of `millside profile`.
#[derive(Debug, ClapArgs)]
pub struct Args {
    /// What to do with the profiles.
    #[command(subcommand)]
    pub action: Action,
}

/// What `millside profile` does.
#[derive(Debug, Subcommand)]
pub enum Action {
    /// Lists machines, materials, tools, cautions and job templates.
    List {
        /// Prints one JSON object.
        #[arg(long)]
        json: bool,
    },
    /// Shows one profile with the source of every number.
    Show {
        /// Its name, or another designation of a material.
        name: String,
        /// Prints one JSON object.
        #[arg(long, conflicts_with = "toml")]
        json: bool,
        /// Prints it as a file to begin your own from.
        #[arg(long)]
        toml: bool,
    },
    /// Checks profile files; without FILE the shipped ones and your own.
    Check {
        /// Files to check.
        files: Vec<PathBuf>,
        /// Prints one JSON object.
        #[arg(long)]
        json: bool,
    },
}

/// Runs the command.
///
/// # Errors
///
/// Wrong use or a file that cannot be opened.
pub fn run(args: &Args, world: &mut dyn World) -> Result<Outcome, Problem> {
    match &args.action {
        Action::List { json } => list::run(*json, world),
        Action::Show {
            name,
            toml: true,
            json: _,
        } => show::as_file(name, world),
        Action::Show {
            name,
            json,
            toml: false,
        } => show::run(name, *json, world),
        Action::Check { files, json } => check::run(files, *json, world),
    }
}
