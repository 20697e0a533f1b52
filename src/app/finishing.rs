//! The questions whether an operation is finished and whether the part is let go: what they name, and the key that they take.

use crate::app::effect::Effect;
use crate::app::model::Model;
use crate::app::overlay::Asking;
use crate::app::perform;
use crate::job::reading::Verdict;
use crate::session::gauging;
use crate::session::moment::Moment;
use crate::session::recovery;
use crate::session::state::State;
use crate::session::state::Step;
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
    unusual(state)
}

fn unusual(state: &State) -> char {
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

/// The key that lets the part go. Where lines after a stop are open it is none that a hand has learnt, either: what is doubtful ends
/// with the part, what a stop left open does not.
pub fn digit_to_let_go(model: &Model) -> char {
    match model.state() {
        Some(state) if recovery::open(state) > 0 => unusual(state),
        _ => USUAL,
    }
}

/// What a stop left open, as the question whether the part is let go says it first.
pub fn words_to_let_go(model: &Model) -> String {
    match model.state().map_or(0, recovery::open) {
        0 => String::new(),
        open => format!("STILL OPEN: after the stop {open} open; they stay so. "),
    }
}

/// What is open, as the question says it first.
pub fn words(model: &Model) -> String {
    let open = model.state().map_or(vec![], unfinished::open);
    if open.is_empty() {
        return String::new();
    }
    format!("STILL OPEN: {}. ", open.join("; "))
}

/// A size that is not to stay as it is: metal that is left leads to cutting again, anything else to the readings.
pub(super) fn cut_again(model: &mut Model, place: usize, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let setup = state.current_setup();
    let Some(reading) = setup.readings.get(place) else {
        return vec![];
    };
    let (step, words) = match (reading.verdict(), gauging::maker(setup, reading)) {
        (Verdict::MetalLeft(_), Some(maker)) => {
            return perform::ask(model, Asking::OpenAgain(maker));
        }
        (Verdict::MetalLeft(_), None) => (
            Step::Program,
            "metal is left: choose the operation that makes this size, then open it again",
        ),
        (Verdict::CutAway(_), _) => (
            Step::Measure,
            "too much is off, no cut mends that: measure it again, or 1 leaves it so",
        ),
        (Verdict::NotMeasured | Verdict::Within, _) => (Step::Measure, "measure it here"),
    };
    let effects = perform::go_to(model, step, at);
    model.say(words);
    effects
}
