//! Before an operation is called finished: whether it can be, what of it is open; and the way back when it was not.

use crate::job::operation::Progress;
use crate::session::event::Refusal;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::facts;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::moment::Moment;
use crate::session::recovery;
use crate::session::state::Note;
use crate::session::state::State;

/// What a fact is called where many stand in one row, in the order of the rail.
const SHORT: &[(FactKind, &str)] = &[
    (FactKind::Program, "program"),
    (FactKind::Stock, "stock"),
    (FactKind::ViceTrue, "hold"),
    (FactKind::Held, "hold"),
    (FactKind::Position, "position"),
    (FactKind::ToolIn, "tool"),
    (FactKind::XyZero, "X Y"),
    (FactKind::ZReference, "Z"),
    (FactKind::ToolLength, "Z"),
    (FactKind::Recipe, "recipe"),
    (FactKind::AirRun, "air run"),
];

/// What waits in the operation in work, in a few words each: lines after a stop, and facts that became doubtful.
pub fn open(state: &State) -> Vec<String> {
    let mut all = vec![];
    let lines = recovery::open(state);
    if lines > 0 {
        all.push(format!("after the stop {lines} open"));
    }
    let needed = gate::needs(state);
    let mut redo: Vec<&str> = SHORT
        .iter()
        .filter(|(kind, _)| needed.contains(kind))
        .filter(|(kind, _)| matches!(state.fact(*kind), FactState::Redo { .. }))
        .map(|(_, word)| *word)
        .collect();
    redo.dedup();
    if !redo.is_empty() {
        let words = redo.join(", ").replace("X Y, Z", "X Y Z");
        all.push(format!("{words} to be redone"));
    }
    all
}

/// Whether the operation in work can be called finished.
///
/// # Errors
///
/// When there is none, when it is done already, or when it is a cut that has not begun.
pub fn may_finish(state: &State) -> Result<(), Refusal> {
    let Some(operation) = state.current_operation() else {
        return Err(Refusal::because("there is no operation yet"));
    };
    let why = match operation.progress {
        Progress::Finished | Progress::LeftOut => {
            let word = operation.progress.word();
            format!("{} is {word} already", operation.title)
        }
        Progress::Planned if operation.kind.is_cut() => {
            "it has not begun: turn its clock on, or leave it out".to_owned()
        }
        Progress::Planned | Progress::Begun => return Ok(()),
    };
    Err(Refusal::because(why))
}

/// Whether the part in work can be let go.
///
/// # Errors
///
/// While a clock is on, when it was let go already, while a line of the list before it is open, and while a line after a stop is
/// open that is about a person or a fire.
pub fn may_let_go(state: &State) -> Result<(), Refusal> {
    if state.phase().is_some() {
        return Err(Refusal::because(
            "a clock is on: finish or leave out the operation first",
        ));
    }
    if state.current_setup().let_go.is_some() {
        return Err(Refusal::because("the part was let go already"));
    }
    if recovery::person_or_fire_waits(state) {
        return Err(Refusal::because(
            "lines about a person or a fire are open: answer them at cut first",
        ));
    }
    let open = gate::list(state, ListKind::Release).open();
    if open > 0 {
        return Err(Refusal::because(format!(
            "{open} open before the part is let go"
        )));
    }
    Ok(())
}

/// An operation that was finished or left out is opened again. Its clock goes on from what it had, once it is turned on.
pub(in crate::session) fn reopened(
    state: &mut State,
    index: usize,
    reason: &str,
    at: Moment,
) -> Result<(), Refusal> {
    let reason = reason.trim();
    if reason.is_empty() {
        return Err(Refusal::because("opening it again needs a reason"));
    }
    if state.phase().is_some() {
        return Err(Refusal::because(
            "a clock is on: finish or leave out the operation first",
        ));
    }
    if state.current_setup().let_go.is_some() {
        return Err(Refusal::because("the part of this setup was let go"));
    }
    let setup = state.setup;
    let has_begun = state.clocks.contains_key(&(setup, index));
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no such operation"));
    };
    if !operation.progress.is_done() {
        let words = format!("{} is open", operation.title);
        return Err(Refusal::because(words));
    }
    let was = operation.progress.word();
    operation.progress = if has_begun {
        Progress::Begun
    } else {
        Progress::Planned
    };
    if !operation.remark.is_empty() {
        operation.remark.push_str("; ");
    }
    operation.remark.push_str("opened again: ");
    operation.remark.push_str(reason);
    state.operation = index;
    state.notes.push(Note {
        at: at.wall,
        setup,
        operation: index,
        text: format!("was {was}, opened again: {reason}"),
    });
    state.list_is_full = true;
    facts::reopen_start(state);
    Ok(())
}
