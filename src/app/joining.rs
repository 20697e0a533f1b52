//! Giving an operation that was planned its lines of the program, so that it does not stand twice.

use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::session::state::State;

/// Whether the operation could get lines of the program.
pub(in crate::app) fn wants_lines(operation: &Operation) -> bool {
    operation.progress == Progress::Planned && operation.part.is_none() && operation.kind.is_cut()
}

/// Operations that the program brought and nobody has given to another one, with their places.
fn brought(state: &State) -> impl Iterator<Item = (usize, &Operation)> {
    let operations = state.current_setup().operations.iter().enumerate();
    operations.filter(|(_, operation)| {
        operation.progress == Progress::Planned && operation.part.is_some() && !operation.is_joined
    })
}

/// How an operation of the program is named in the choice: by its lines, which no other has.
fn words(operation: &Operation) -> Option<String> {
    let part = operation.part.as_ref()?;
    let tool = part.tool_number.map_or(String::new(), |t| format!("T{t} "));
    Some(format!(
        "{tool}{}, lines {} to {}",
        operation.title, part.first_line, part.last_line
    ))
}

/// What can be given; nothing where no operation waits for lines.
pub(in crate::app) fn choices(state: &State) -> Vec<String> {
    brought(state)
        .filter_map(|(_, operation)| words(operation))
        .collect()
}

/// The place of the operation that was chosen.
pub(in crate::app) fn place_of(state: &State, chosen: &str) -> Option<usize> {
    brought(state)
        .find(|(_, operation)| words(operation).as_deref() == Some(chosen))
        .map(|(place, _)| place)
}
