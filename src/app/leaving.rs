//! Leaving a mill that is powered: the list comes first, and never stands in the way.

use crate::app::act::Act;
use crate::app::answering;
use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::keeping;
use crate::app::model::Model;
use crate::session::event::Event;
use crate::session::leaving;
use crate::session::moment::Moment;

/// Where the person is going.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// To the list of jobs.
    Jobs,
    /// Out of the program.
    Program,
}

/// Shows the list before the person leaves, where there is one and it is not on show; whether it did.
pub(super) fn offer(model: &mut Model, exit: Exit) -> bool {
    let read_only = model
        .work
        .as_ref()
        .is_none_or(|work| work.read_only.is_some());
    let is_due = model.state().is_some_and(leaving::is_due);
    let is_on_show = model.leaving.is_some();
    if read_only || !is_due || is_on_show {
        return false;
    }
    model.leaving = Some(exit);
    if let Some(work) = &mut model.work {
        work.row_since = model.now;
    }
    model.cursor = answering::first_open_row(model);
    true
}

/// Back to the work, where a key means that.
pub(super) fn stay(model: &mut Model, act: &Act) -> bool {
    let goes_back = matches!(
        act,
        Act::Back | Act::Forward | Act::GoTo(_) | Act::Clock | Act::Pause | Act::Finish
    );
    if model.leaving.is_none() || !goes_back {
        return false;
    }
    model.leaving = None;
    model.cursor = answering::first_open_row(model);
    model.say("back at the work");
    true
}

/// What is written when the person goes with the list open; nothing where none is due.
pub(super) fn left(model: &mut Model, at: Moment) -> Vec<Effect> {
    let read_only = model
        .work
        .as_ref()
        .is_none_or(|work| work.read_only.is_some());
    if read_only || !model.state().is_some_and(leaving::is_due) {
        return vec![];
    }
    let sentence = model.state().map(|state| leaving::words(state, at));
    let (took, effects) = apply(model, Event::MillLeft, at);
    if took && let Some(sentence) = sentence {
        model.say(sentence);
    }
    effects
}

/// The person goes now, with the list as it stands.
pub(super) fn go(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(exit) = model.leaving else {
        return vec![];
    };
    let mut effects = left(model, at);
    effects.extend(keeping::depart(model, exit));
    effects
}

/// The list was answered to its end.
pub(super) fn done(model: &mut Model) -> Vec<Effect> {
    let Some(exit) = model.leaving else {
        return vec![];
    };
    model.say("the mill was left with its list answered");
    keeping::depart(model, exit)
}
