//! After a stop: the way back into the program.

use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page;
use crate::app::perform;
use crate::app::row;
use crate::app::row::Row;
use crate::app::words;
use crate::job::mishap::Mishap;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::session::state::Step;

/// Whether a way back into the program and other numbers may be offered at once. Fire and injury come first and alone.
pub fn may_go_on(mishap: Mishap) -> bool {
    !matches!(mishap, Mishap::Fire | Mishap::Injury)
}

/// How far into the operation the clock was at the stop, as the program step takes it.
pub fn into_operation(state: &State) -> Option<String> {
    state.current_setup().program.as_ref()?;
    let stop = state
        .stops
        .last()
        .filter(|stop| stop.setup == state.setup && stop.operation == state.operation)?;
    (stop.after_cutting_s > 0).then(|| words::time(stop.after_cutting_s as f64))
}

/// To the program step, with the time of the stop filled in as a draft: nothing is taken.
pub(super) fn begin_again(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(text) = model.state().and_then(into_operation) else {
        return vec![];
    };
    let effects = perform::go_to(model, Step::Program, at);
    model.drafts.insert(Field::BeginAgain, text);
    let rows = page::rows(model);
    let field = row::choosable(&rows).into_iter().position(|place| {
        matches!(
            rows[place],
            Row::Field {
                field: Field::BeginAgain,
                ..
            }
        )
    });
    if let Some(field) = field {
        model.cursor = field;
    }
    effects
}
