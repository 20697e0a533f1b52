//! From the process's arguments to an exit code.

use std::process::ExitCode;

use clap::Parser;

use crate::cli;
use crate::cli::Cli;
use crate::cli::Outcome;
use crate::cli::world::World;
use crate::edge::files::RealWorld;

/// Runs the program; the exit code is 0 fine, 1 something to look at first, 2 wrong use.
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    let mut world = RealWorld;
    match cli::run(cli, &mut world) {
        Ok(Outcome::Fine) => ExitCode::SUCCESS,
        Ok(Outcome::LookFirst) => ExitCode::from(1),
        Err(problem) => {
            // Nothing can be done when standard error is closed too.
            let _ = world.err(&format!("millside: {problem}\n"));
            ExitCode::from(2)
        }
    }
}
