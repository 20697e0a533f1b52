//! `millside time`.

use clap::Args as ClapArgs;

use crate::cli::Outcome;
use crate::cli::world::World;
use crate::problem::Problem;

/// Arguments of `millside time`.
#[derive(Debug, ClapArgs)]
pub struct Args {
    /// Prints one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Runs the command.
///
/// # Errors
///
/// Wrong use or a file that cannot be opened.
pub fn run(_args: &Args, _world: &mut dyn World) -> Result<Outcome, Problem> {
    Err(Problem::internal("run this command yet"))
}
