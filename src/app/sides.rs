//! Further sides of a job: what is known of the blank is carried over, the datum is asked.

use crate::app::act::Act;
use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::model::Model;
use crate::app::perform;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::stock::Stock;
use crate::job::stock::Under;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::Setup;
use crate::session::state::State;

/// Adds a side behind the last one; nothing where the last one is still empty.
pub(super) fn row(state: &State) -> Option<Row> {
    let last = state.setups.last()?;
    let is_begun = last.program.is_some() || !last.operations.is_empty();
    is_begun.then(|| Row::Do {
        act: Act::AddSide,
        text: format!("add {}: stock carried over, datum asked", name(state)),
        mark: Mark::Optional,
    })
}

/// The other sides, each one press away while no timer runs.
pub(super) fn others(state: &State) -> Vec<Row> {
    let sides = state.setups.iter().enumerate();
    sides
        .filter(|(place, _)| *place != state.setup && state.phase().is_none())
        .map(|(place, setup)| Row::Do {
            act: Act::EnterSetup(place),
            text: format!("go to setup {}: {}", place + 1, setup.title),
            mark: Mark::Optional,
        })
        .collect()
}

fn name(state: &State) -> String {
    match state.setups.len() {
        1 => "a second side".to_owned(),
        2 => "a third side".to_owned(),
        count => format!("side {}", count + 1),
    }
}

/// The side that comes after this one. Holding, zero and Z are not carried over: they end when the part is turned.
pub fn next(before: &Setup, title: String) -> Setup {
    let is_done = |kind: OperationKind| {
        let mut operations = before.operations.iter();
        operations.any(|o| o.kind == kind && o.progress == Progress::Finished)
    };
    let mut plan = "Say which face lies down, which edge stays against the fixed jaw or stop, and where X0 Y0 Z0 is on this side."
        .to_owned();
    if is_done(OperationKind::Face) || is_done(OperationKind::Profile) {
        plan.push_str(" Measure the stock again: the side before was cut.");
    }
    Setup {
        title,
        plan,
        stock: before.stock.clone().map(|stock| Stock {
            under: Under::Unknown,
            above_jaws: None,
            ..stock
        }),
        ..Setup::default()
    }
}

/// Adds the side and goes to it where the part of this one was let go; else it waits.
pub(super) fn add(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let (title, place) = (name(state), state.setups.len());
    let title = title.trim_start_matches("a ").to_owned();
    let Some(before) = state.setups.last() else {
        return vec![];
    };
    let is_free = state.current_setup().let_go.is_some() && state.phase().is_none();
    let side = next(before, title.clone());
    let (took, mut effects) = apply(model, Event::SetupAdded(Box::new(side)), at);
    if took && is_free {
        effects.extend(perform::perform(model, Act::EnterSetup(place), at));
    } else if took {
        model.say(format!("{title} is added: it comes after this one"));
    }
    effects
}
