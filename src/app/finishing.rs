//! The question whether an operation is finished: what it names, and the key that it takes.

use crate::app::model::Model;
use crate::session::state::State;
use crate::session::unfinished;

/// The key that takes it where nothing is open.
const USUAL: char = '1';

/// Keys that take it where something is: neither the usual one nor the one that asked.
const UNUSUAL: [char; 2] = ['4', '6'];

/// The key that says that the operation is finished. Where something is open it changes from time to time, so that no hand learns it.
pub fn digit(state: &State) -> char {
    if unfinished::open(state).is_empty() {
        return USUAL;
    }
    let done = state.setups.iter().flat_map(|setup| &setup.operations);
    let done = done
        .filter(|operation| operation.progress.is_done())
        .count();
    UNUSUAL[(done + state.stops.len() + state.head.session_id.len()) % UNUSUAL.len()]
}

/// The key for the operation in work.
pub fn digit_now(model: &Model) -> char {
    model.state().map_or(USUAL, digit)
}

/// What is open, as the question says it first.
pub fn words(model: &Model) -> String {
    let open = model.state().map_or(vec![], unfinished::open);
    if open.is_empty() {
        return String::new();
    }
    format!("STILL OPEN: {}. ", open.join("; "))
}
