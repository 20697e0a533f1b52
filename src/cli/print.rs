//! Printing from a command: a closed pipe ends it quietly, JSON is one escaped object.

use std::io;
use std::io::ErrorKind;

use serde_json::Value;

use crate::cli::Outcome;
use crate::cli::world::World;
use crate::plain;
use crate::problem::Problem;

/// Writes to standard output. A reader that has gone away is no fault.
///
/// # Errors
///
/// A system problem when the text cannot be written.
pub fn out(world: &mut dyn World, text: &str) -> Result<(), Problem> {
    finish(world.out(text))
}

/// Writes one JSON object and a line feed, with every hidden character escaped.
///
/// # Errors
///
/// A system problem when the text cannot be written.
pub fn json(world: &mut dyn World, value: &Value) -> Result<(), Problem> {
    let text = format!("{value:#}\n");
    finish(world.out(&plain::json(&text)))
}

/// The end of a command that has written a file, whether its answer could be printed or not: where it could not, standard error says
/// what is written, and that somebody must look.
pub fn after_writing(
    world: &mut dyn World,
    what: &str,
    file: &str,
    printed: Result<(), Problem>,
) -> Outcome {
    let Err(problem) = printed else {
        return Outcome::Fine;
    };
    // Nothing can be done when standard error is closed too.
    let _ = world.err(&format!(
        "millside: {what} is written ({file}), but {problem}\n"
    ));
    Outcome::LookFirst
}

fn finish(written: io::Result<()>) -> Result<(), Problem> {
    match written {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Problem::system("print the answer").from_error(error))
        }
        _ => Ok(()),
    }
}
