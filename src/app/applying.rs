//! Applying events to the open session, and keeping its record in step.

use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::keeping;
use crate::app::model::Model;
use crate::app::undoing;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Applies an event to the open session, and asks for a save when it took.
///
/// Answers whether it took; a refusal becomes the notice.
pub(super) fn apply(model: &mut Model, event: Event, at: Moment) -> (bool, Vec<Effect>) {
    let Some(work) = &mut model.work else {
        return (false, vec![]);
    };
    if let Some(why) = keeping::only_to_read(work) {
        model.refuse(why);
        return (false, vec![]);
    }
    let undoable = undoing::words(work.session.state(), &event);
    let drafts = undoable.as_ref().map(|_| model.drafts.clone());
    // A check follows from what was entered: it neither can be taken back nor stands in the way.
    let is_check = matches!(event, Event::ProgramRead(_) | Event::StepEntered(_));
    match work.session.apply(event, at) {
        Err(refusal) => {
            model.refuse(refusal.why);
            (false, vec![])
        }
        Ok(next) => {
            if let Some(what) = undoable {
                let drafts = drafts.unwrap_or_default();
                undoing::keep(&mut work.undo, what, work.session.clone(), drafts);
            } else if !is_check {
                work.undo.clear();
            }
            work.session = next;
            if let Some(checked) = &mut work.checked {
                checking::look_at_recipes(checked, work.session.state(), &work.care.entries);
            }
            work.row_since = at;
            let mut effects = keeping::save(work, at);
            if work.session.state().phase().is_none() {
                effects.push(Effect::ClearAlive);
            }
            (true, effects)
        }
    }
}

/// Whether the clock of the open session is on.
pub(super) fn clock_is_on(model: &Model) -> bool {
    model
        .state()
        .and_then(State::phase)
        .is_some_and(|phase| phase != Phase::Paused)
}
