//! From the process's arguments to an exit code.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser;

use crate::cli;
use crate::cli::Cli;
use crate::cli::Command;
use crate::cli::Outcome;
use crate::cli::usage;
use crate::cli::world::World;
use crate::edge::files::RealWorld;
use crate::edge::save;
use crate::edge::screen;
use crate::edge::screen::Start;
use crate::problem::Problem;

/// Runs the program; the exit code is 0 fine, 1 something to look at first, 2 wrong use.
pub fn run() -> ExitCode {
    let mut world = RealWorld;
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) if !error.use_stderr() => {
            // Help and version: fixed texts, with the colours of the library. Nothing can be done on a closed pipe.
            let _ = error.print();
            return ExitCode::SUCCESS;
        }
        Err(error) => {
            let _ = world.err(&usage::message(error));
            return ExitCode::from(2);
        }
    };
    let outcome = match cli.command {
        None => open_screen(None, cli.sessions, &world),
        Some(Command::Open(args)) => open_screen(Some(args.file), cli.sessions, &world),
        Some(command) => cli::run(command, cli.sessions, &mut world),
    };
    match outcome {
        Ok(Outcome::Fine) => ExitCode::SUCCESS,
        Ok(Outcome::LookFirst) => ExitCode::from(1),
        Err(problem) => {
            // Nothing can be done when standard error is closed too.
            let _ = world.err(&format!("millside: {problem}\n"));
            ExitCode::from(2)
        }
    }
}

fn open_screen(
    open: Option<PathBuf>,
    sessions: Option<PathBuf>,
    world: &dyn World,
) -> Result<Outcome, Problem> {
    screen::run(Start { sessions, open }, world, save::unwatched())?;
    Ok(Outcome::Fine)
}
