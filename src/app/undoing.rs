//! Taking back the last answer or entry: what it was, and what was typed before it was taken.

use std::collections::BTreeMap;

use crate::app::answering;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::form;
use crate::app::keeping::save;
use crate::app::model::Model;
use crate::app::page;
use crate::app::posted::recheck;
use crate::app::recipe;
use crate::session::Session;
use crate::session::event::Answer;
use crate::session::event::Event;
use crate::session::gate;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Answers and entries that can be taken back.
const MOST: usize = 50;

/// The session before an answer or entry, and what was typed and not yet taken then.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// What was taken, for the person.
    what: String,
    /// The session before it.
    before: Session,
    /// Texts that stood in fields.
    drafts: BTreeMap<Field, String>,
}

/// Keeps what can be taken back, the newest last.
pub(super) fn keep(
    all: &mut Vec<Taken>,
    what: String,
    before: Session,
    drafts: BTreeMap<Field, String>,
) {
    all.push(Taken {
        what,
        before,
        drafts,
    });
    let too_many = all.len().saturating_sub(MOST);
    all.drain(..too_many);
}

/// What an event that can be taken back is called; none where it cannot: clocks, mishaps and what was let go stay.
pub(super) fn words(state: &State, event: &Event) -> Option<String> {
    let tool = |index: usize| {
        let rack = state.rack.get(index);
        rack.map_or("the tool".to_owned(), |rack| rack.tool.title.clone())
    };
    let operation = |index: usize| {
        let operations = &state.current_setup().operations;
        let title = operations.get(index).map(|operation| &operation.title);
        title.map_or(String::new(), |title| format!(" {}, {title}", index + 1))
    };
    let size = |index: usize| {
        let reading = state.current_setup().readings.get(index);
        reading.map_or(String::new(), |reading| format!(" of {}", reading.what))
    };
    Some(match event {
        Event::Answered {
            list, line, answer, ..
        } => {
            let lines = gate::list(state, *list).lines;
            let text = lines.into_iter().find(|asked| asked.id == *line);
            let text = text.map_or_else(|| line.clone(), |line| line.text);
            match answer {
                Answer::So => format!("the answer to \"{text}\""),
                Answer::NotSo(_) => format!("not so at \"{text}\""),
            }
        }
        Event::StockMeasured(_) => "the blank as measured".to_owned(),
        Event::HoldingStated(_) => "what holds the part".to_owned(),
        Event::ZeroStated(_) => "the zero as entered".to_owned(),
        Event::XySet => "X and Y are set".to_owned(),
        Event::OppositeTouched { .. } => "the readings of both touches".to_owned(),
        Event::ZReferenceSet(_) => "the Z reference".to_owned(),
        Event::ToolAdded { tool, .. } => format!("the tool {}", tool.title),
        Event::ToolEdited { index, .. } => format!("the change of {}", tool(*index)),
        Event::OperationAdded(_, added) => format!("operation {} as added", added.title),
        Event::OperationEdited(index, _) => format!("the change of operation{}", operation(*index)),
        Event::OperationEntered(index) => format!("going to operation{}", operation(*index)),
        Event::OperationJoined { operation: of, .. } => {
            format!("the lines of the program for operation{}", operation(*of))
        }
        Event::ToolFitted(index) => format!("that it is in: {}", tool(*index)),
        Event::LengthSet(typed) => format!("the reading at the touch, {}", typed.text),
        Event::RecipeDecided(_) => "the recipe as taken".to_owned(),
        Event::AirRunLeftOut(_) => "leaving the air run out".to_owned(),
        Event::StopAccepted { finding, .. } => format!("that {finding} was accepted"),
        Event::Measured(index, typed) => format!("the reading {}{}", typed.text, size(*index)),
        Event::SizeStated(_, stated) => format!("the size of {}", stated.what),
        Event::Rated(..) => "what was said of the cut".to_owned(),
        Event::StepEntered(_) => "going to another step".to_owned(),
        _ => return None,
    })
}

/// Takes the last one back and says what it was; values that were proposed or typed for it wait in their fields again.
pub(super) fn undo(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(work) = &mut model.work else {
        return vec![];
    };
    let Some(taken) = work.undo.pop() else {
        model.say("nothing to take back: clocks and mishaps stay as they were");
        return vec![];
    };
    let step = work.session.state().step;
    work.session = taken.before;
    if let Ok(next) = work.session.apply(Event::StepEntered(step), at) {
        work.session = next;
    }
    work.row_since = at;
    let mut effects = save(work, at);
    let came_back = bring_back(model, taken.drafts);
    let waits = if came_back {
        model.cursor = answering::first_open_row(model);
        "; its values wait in their rows, not taken"
    } else {
        ""
    };
    model.say(format!("taken back: {}{waits}", taken.what));
    recipe::refresh(model);
    effects.extend(recheck(model, at));
    effects
}

/// Fields that are empty now get the text that stood in them before. A single value that was typed is typed anew.
fn bring_back(model: &mut Model, drafts: BTreeMap<Field, String>) -> bool {
    let empty = page::empty_fields(model);
    let wanted = |field: &Field| {
        empty.contains(field) && !form::is_recipe(*field) && !form::is_single(*field)
    };
    let before = model.drafts.len();
    let back = drafts.into_iter().filter(|(field, _)| wanted(field));
    model.drafts.extend(back);
    model.drafts.len() > before
}
