//! Holes that are drilled before a hole: what the recipe page says of them, and adding them to the plan as operations of their own.

use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page::field_row;
use crate::app::posted;
use crate::app::recipe;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::calculator::answer::Answer;
use crate::calculator::pilot;
use crate::calculator::pilot::Plan;
use crate::calculator::question::Question;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::tool::Edge;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::quantity::to_mm;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::State;

/// A drill this near to the hole that is stated makes it, mm.
const SAME_MM: f64 = 0.05;

/// A hole to drill first.
#[derive(Clone, Debug, PartialEq)]
pub struct Before {
    /// The tool, as it stands on the shelf or in the rack.
    pub tool: Tool,
    /// The hole that it opens, mm; none: into the full.
    pub pilot_mm: Option<f64>,
}

/// How a hole is made where the drill alone asks for too much.
#[derive(Clone, Debug, PartialEq)]
pub struct InSteps {
    /// What to do, in words.
    pub lines: Vec<String>,
    /// The holes to drill first, the thinnest first; none where it is not drilled in steps.
    pub holes: Vec<Before>,
}

/// Whether the operation drills with a drill that may open a hole.
pub fn is_drilled(state: &State, operation: &Operation) -> bool {
    let tool = operation.tool.and_then(|tool| state.rack.get(tool));
    matches!(
        operation.kind,
        OperationKind::Drill | OperationKind::DrillThrough
    ) && tool.is_some_and(|rack| rack.tool.kind == Kind::Drill)
}

/// Looks for holes to drill first, among the tools of the job and those of the shelf.
pub(super) fn work_out(
    model: &Model,
    state: &State,
    question: &Question<'_>,
    given: &Answer,
) -> Option<InSteps> {
    if !pilot::is_wanted(question, given) {
        return None;
    }
    let in_job = state.rack.iter().map(|rack| &rack.tool);
    let of_shelf = model.library.tools.iter();
    let is_other = |tool: &&Tool| state.rack.iter().all(|rack| rack.tool.name != tool.name);
    let all: Vec<Tool> = in_job.chain(of_shelf.filter(is_other)).cloned().collect();
    let plan = pilot::plan(question, given, &all)?;
    let holes = match &plan {
        Plan::Drill { first, .. } => first
            .iter()
            .map(|stage| Before {
                tool: all[stage.place].clone(),
                pilot_mm: stage.pilot.map(to_mm),
            })
            .collect(),
        Plan::Mill(_) | Plan::Nothing => vec![],
    };
    Some(InSteps {
        lines: plan.words(question, given.ap),
        holes,
    })
}

/// The pilot hole as a field, for a drill that may have one.
pub(super) fn field(model: &Model, state: &State, operation: &Operation) -> Vec<Row> {
    let tool = operation.tool.and_then(|tool| state.rack.get(tool));
    let is_carbide = tool.is_some_and(|rack| rack.tool.edge == Edge::Carbide);
    if !is_drilled(state, operation) || is_carbide && operation.pilot.is_none() {
        return vec![];
    }
    let held = operation.pilot.as_ref().map(|hole| hole.text.clone());
    let mut rows = vec![field_row(model, Field::Pilot, held)];
    if let Some(hole) = &operation.pilot
        && !is_made(state, hole.value)
    {
        rows.push(Row::Text(format!(
            "No operation before this one drills {} mm: look that the hole is there.",
            plain(hole.value)
        )));
    }
    rows
}

/// Whether an operation before the one in work drills a hole of this diameter.
fn is_made(state: &State, hole_mm: f64) -> bool {
    let before = state
        .current_setup()
        .operations
        .iter()
        .take(state.operation);
    before
        .filter(|operation| is_drilled(state, operation) && operation.progress != Progress::LeftOut)
        .filter_map(|operation| state.rack.get(operation.tool?))
        .any(|rack| (rack.tool.diameter_mm - hole_mm).abs() < SAME_MM)
}

/// What to drill first, and the row that adds it to the plan.
pub(super) fn rows(operation: &Operation, in_steps: &InSteps) -> Vec<Row> {
    let mut rows: Vec<Row> = in_steps
        .lines
        .iter()
        .map(|line| Row::Text(format!("In steps: {line}")))
        .collect();
    if !in_steps.holes.is_empty() && operation.progress == Progress::Planned {
        let text = match in_steps.holes.len() {
            1 => "Add the pilot hole before this operation".to_owned(),
            count => format!("Add these {count} holes before this operation"),
        };
        rows.push(Row::Do {
            act: crate::app::act::Act::DrillInSteps,
            text,
            mark: Mark::Open,
        });
    }
    rows
}

/// Adds the holes before the operation in work, which then opens the last of them; the first is in work then.
pub(super) fn add(model: &mut Model, at: Moment) -> Vec<Effect> {
    let calculated = model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref());
    let holes =
        calculated.and_then(|calculated| Some((calculated.ap_mm, calculated.in_steps.clone()?)));
    let (Some((depth_mm, in_steps)), Some(state)) = (holes, model.state()) else {
        return vec![];
    };
    let (place, Some(last), Some(operation)) = (
        state.operation,
        in_steps.holes.last(),
        state.current_operation().cloned(),
    ) else {
        return vec![];
    };
    let opened = Operation {
        pilot: Some(Typed::mm(last.tool.diameter_mm)),
        ..operation.clone()
    };
    let mut events = vec![Event::OperationEdited(place, Box::new(opened))];
    let mut in_rack: Vec<String> = state
        .rack
        .iter()
        .map(|rack| rack.tool.name.clone())
        .collect();
    for hole in in_steps.holes.iter().rev() {
        let known = in_rack.iter().position(|name| *name == hole.tool.name);
        let tool = known.unwrap_or(in_rack.len());
        if known.is_none() {
            in_rack.push(hole.tool.name.clone());
            events.push(Event::ToolAdded {
                number: None,
                tool: Box::new(hole.tool.clone()),
                stick_out: None,
            });
        }
        let size = plain(hole.tool.diameter_mm);
        let what = match hole.pilot_mm {
            None => format!("pilot {size} mm"),
            Some(_) => format!("open to {size} mm"),
        };
        let before = Operation {
            title: format!("{what}, {}", operation.title),
            kind: operation.kind,
            tool: Some(tool),
            depth: Some(Typed::mm(depth_mm)),
            pilot: hole.pilot_mm.map(Typed::mm),
            ..Operation::default()
        };
        events.push(Event::OperationAdded(Some(place), Box::new(before)));
    }
    let mut effects = vec![];
    for event in events {
        let (took, more) = apply(model, event, at);
        effects.extend(more);
        if !took {
            return effects;
        }
    }
    effects.extend(posted::recheck(model, at));
    recipe::refresh(model);
    model.say(match operation.part {
        Some(_) => {
            "added; the program does not drill it: add it there and post it again, or drill it by hand first"
        }
        None => "added before this operation; the first one is in work now",
    });
    effects
}
