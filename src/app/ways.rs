//! Ways out of a recipe that passes a limit: what else would do, and taking one of them.

use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::perform;
use crate::app::recipe;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::calculator::alternative::Alternative;
use crate::calculator::alternative::Way;
use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::Step;

/// A way out as it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// What it changes.
    pub way: Way,
    /// What to change and what comes of it.
    pub text: String,
}

/// Words of the calculator's alternatives, the one that removes most first.
pub(super) fn shown(alternatives: Vec<Alternative>) -> Vec<Shown> {
    alternatives
        .into_iter()
        .map(|other| Shown {
            text: format!(
                "{}: {}, {}",
                other.change,
                show::feed(other.answer.vf, Units::Metric),
                show::removal(other.answer.q, Units::Metric)
            ),
            way: other.way,
        })
        .collect()
}

/// Rows of the ways out, each taken with one press.
pub(super) fn rows(ways: &[Shown]) -> Vec<Row> {
    if ways.is_empty() {
        return vec![];
    }
    let head = Row::Text("These keep every limit; 1 takes one:".to_owned());
    std::iter::once(head)
        .chain(ways.iter().map(|shown| Row::Do {
            act: crate::app::act::Act::TakeWay(shown.way.clone()),
            text: shown.text.clone(),
            mark: Mark::Open,
        }))
        .collect()
}

/// Takes a way out: what only the calculator knows is let free, what is at the machine is led to.
pub(super) fn take(model: &mut Model, way: &Way, at: Moment) -> Vec<Effect> {
    match way {
        Way::Depth => recipe::let_follow(model, Field::Depth),
        Way::Stepover => recipe::let_follow(model, Field::Stepover),
        Way::SpeedAndFeed => {
            for field in [
                Field::Rpm,
                Field::SurfaceSpeed,
                Field::ChipLoad,
                Field::Feed,
            ] {
                recipe::let_follow(model, field);
            }
        }
        Way::StickOut(length) => {
            model.say(format!(
                "push the tool in to {}, then enter its stick-out here",
                show::length(*length, Units::Both)
            ));
            return perform::go_to(model, Step::Tool, at);
        }
        Way::Clearing(clearing) => {
            model.say(format!(
                "clear the chips with {}, and say so under fluid here",
                clearing.word()
            ));
            return perform::go_to(model, Step::Hold, at);
        }
        Way::Tool(place) => return plan(model, *place, at),
    }
    vec![]
}

/// Plans another tool of the job; in the middle of a cut that is a change of tool, with a list of its own.
fn plan(model: &mut Model, place: usize, at: Moment) -> Vec<Effect> {
    let planned = model.state().and_then(|state| {
        let operation = state.current_operation()?;
        let edited = Operation {
            tool: Some(place),
            ..operation.clone()
        };
        Some((state.operation, operation.progress, edited))
    });
    match planned {
        Some((index, Progress::Planned, edited)) => {
            let (took, effects) = apply(model, Event::OperationEdited(index, Box::new(edited)), at);
            if took {
                recipe::refresh(model);
            }
            effects
        }
        _ => {
            model.say("the cut has begun: + changes the tool");
            vec![]
        }
    }
}
