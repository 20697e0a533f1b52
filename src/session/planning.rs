//! Setups, operations, program and tools as they are planned and edited.

use std::cmp::Ordering;

use crate::job::conditions::Value;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::reading::Reading;
use crate::job::tool::Tool;
use crate::job::tool_speed;
use crate::job::typed::Typed;
use crate::session::bond;
use crate::session::event::Refusal;
use crate::session::fact::FactKind;
use crate::session::fact::SaidBy;
use crate::session::facts;
use crate::session::known;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::running::is_put_off;
use crate::session::running::to_waiting;
use crate::session::state::ProgramCopy;
use crate::session::state::RackTool;
use crate::session::state::State;

/// Why the finding of a tool that turns too fast is not accepted.
const NEVER: &str = "nothing accepts a speed above a tool's rating: write a lower S, or take a tool that is rated higher";

/// No tool of this size stands out further, in diameters; a slip of the finger does.
const MOST_STICK_OUT: f64 = 25.0;

pub(in crate::session) fn begun(state: &State, index: usize) -> bool {
    state
        .current_setup()
        .operations
        .get(index)
        .is_some_and(|operation| operation.progress != Progress::Planned)
}

pub(in crate::session) fn program_read(
    state: &mut State,
    program: ProgramCopy,
    at: Moment,
) -> Result<(), Refusal> {
    let setup = &mut state.setups[state.setup];
    let before = setup.program.replace(program);
    let now = setup.program.as_mut().expect("just put there");
    let is_new = before.as_ref().is_none_or(|old| old.sha256 != now.sha256);
    if let Some(old) = before.as_ref().filter(|_| !is_new) {
        // A stop that was accepted stays accepted as long as the content is the same.
        for stop in &mut now.stops {
            let same = old
                .stops
                .iter()
                .find(|s| s.id == stop.id && s.message == stop.message);
            if stop.accepted.is_none() {
                stop.accepted = same.and_then(|s| s.accepted.clone());
            }
        }
    }
    if before.is_some() && is_new {
        facts::noticed(state, Happening::ProgramChanged, at);
    }
    judge_program(state, at);
    Ok(())
}

/// The program agrees when no stop finding is open.
pub(in crate::session) fn judge_program(state: &mut State, at: Moment) {
    let agrees = state
        .current_setup()
        .program
        .as_ref()
        .is_none_or(|program| program.stops.iter().all(|stop| !stop.is_open()));
    if agrees {
        facts::good(state, FactKind::Program, SaidBy::Computed, None, at);
    } else if !is_put_off(state, Happening::ProgramChanged) {
        matrix::anew(state, Anew::StopUnaccepted, &[]);
        to_waiting(state, at);
    }
}

/// The coolant may be another one: what was said of the one before is a question again. Where none was known, only the line that
/// accepted none is.
pub(in crate::session) fn fluid_stated(state: &mut State, before: Option<&Value>, at: Moment) {
    let is_other = known::fluid(state).as_ref() != before;
    if is_other && (before.is_some() || known::has_accepted(state)) {
        facts::happen(state, Happening::FluidChanged, at);
    }
}

pub(in crate::session) fn stop_accepted(
    state: &mut State,
    finding: &str,
    reason: String,
    at: Moment,
) -> Result<(), Refusal> {
    if reason.trim().is_empty() {
        return Err(Refusal::because(
            "a stop finding is accepted only with a reason",
        ));
    }
    if tool_speed::is_never_accepted(finding) {
        return Err(Refusal::because(NEVER));
    }
    let program = state.setups[state.setup]
        .program
        .as_mut()
        .ok_or_else(|| Refusal::because("there is no program in this setup"))?;
    let stop = program
        .stops
        .iter_mut()
        .find(|stop| stop.id == finding)
        .ok_or_else(|| Refusal::because("there is no such stop finding"))?;
    stop.accepted = Some(reason);
    judge_program(state, at);
    Ok(())
}

pub(in crate::session) fn setup_entered(
    state: &mut State,
    index: usize,
    at: Moment,
) -> Result<(), Refusal> {
    if index >= state.setups.len() {
        return Err(Refusal::because("there is no such setup"));
    }
    if state.phase().is_some() {
        return Err(Refusal::because(
            "a clock is on: finish or leave out the operation first",
        ));
    }
    if index != state.setup {
        state.setup = index;
        state.operation = state.current_setup().next_operation().unwrap_or(0);
        state.list_is_full = true;
        bond::renewed(state);
        facts::reopen_start(state);
        if state.current_setup().program.is_none() {
            facts::good(state, FactKind::Program, SaidBy::Computed, None, at);
        }
    }
    Ok(())
}

pub(in crate::session) fn operation_edited(
    state: &mut State,
    index: usize,
    edited: Operation,
    at: Moment,
) -> Result<(), Refusal> {
    let Some(old) = state.setups[state.setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no such operation"));
    };
    let new_tool = old.tool != edited.tool;
    let new_cut = old.pilot != edited.pilot
        || old.thread != edited.thread
        || old.kind != edited.kind && (old.kind == OperationKind::Tap || !edited.kind.is_cut());
    old.title = edited.title;
    old.kind = edited.kind;
    old.remark = edited.remark;
    old.tool = edited.tool;
    old.pilot = edited.pilot;
    old.thread = edited.thread;
    if edited.part.is_none() && old.part.is_some() {
        // The lines of the program are no part of it any more, nor is what was worked out of them.
        old.part = None;
        old.is_joined = false;
        (old.estimate_s, old.feed_s, old.is_timed) = (None, None, false);
    }
    if edited.depth.is_none() {
        old.depth = None;
    }
    if new_tool || new_cut {
        old.recipe = None;
        old.read_rpm = None;
        if index == state.operation {
            facts::happen(state, Happening::RecipeEdited, at);
            to_waiting(state, at);
        }
    }
    Ok(())
}

pub(in crate::session) fn operation_entered(
    state: &mut State,
    index: usize,
) -> Result<(), Refusal> {
    if index >= state.current_setup().operations.len() {
        return Err(Refusal::because("there is no such operation"));
    }
    if index == state.operation {
        return Ok(());
    }
    if state.phase().is_some() {
        return Err(Refusal::because(
            "a clock is on: finish or leave out the operation first",
        ));
    }
    state.operation = index;
    facts::reopen_start(state);
    Ok(())
}

/// All that is kept by the place of an operation goes with it to its new place; none: it is taken out.
fn renumber(state: &mut State, to: impl Fn(usize) -> Option<usize>) {
    let setup = state.setup;
    let moved = |of: Option<usize>, operation: Option<usize>| match operation {
        Some(operation) if of == Some(setup) => to(operation).map(Some),
        other => Some(other),
    };
    matrix::renumber(state, &to);
    let clocks = std::mem::take(&mut state.clocks);
    state.clocks = clocks
        .into_iter()
        .filter_map(|((of, operation), clock)| {
            let operation = moved(Some(of), Some(operation))??;
            Some(((of, operation), clock))
        })
        .collect();
    let places = state
        .ended
        .iter_mut()
        .map(|ended| (ended.setup, &mut ended.operation))
        .chain(state.stops.iter_mut().map(|s| (s.setup, &mut s.operation)))
        .chain(state.notes.iter_mut().map(|n| (n.setup, &mut n.operation)));
    for (of, operation) in places {
        if of == setup
            && let Some(place) = to(*operation)
        {
            *operation = place;
        }
    }
}

pub(in crate::session) fn operation_added(
    state: &mut State,
    place: Option<usize>,
    operation: Operation,
) -> Result<(), Refusal> {
    let count = state.current_setup().operations.len();
    let place = place.unwrap_or(count).min(count);
    if place < count && place <= state.operation && begun(state, state.operation) {
        return Err(Refusal::because(
            "an operation cannot be put before one that has begun",
        ));
    }
    state.setups[state.setup]
        .operations
        .insert(place, operation);
    renumber(state, |o| Some(if o >= place { o + 1 } else { o }));
    if place < state.operation {
        state.operation += 1;
    }
    Ok(())
}

pub(in crate::session) fn operation_removed(
    state: &mut State,
    index: usize,
) -> Result<(), Refusal> {
    if begun(state, index) {
        return Err(Refusal::because(
            "an operation that has begun stays in the record",
        ));
    }
    let operations = &mut state.setups[state.setup].operations;
    if index >= operations.len() {
        return Err(Refusal::because("there is no such operation"));
    }
    operations.remove(index);
    let last = operations.len().saturating_sub(1);
    renumber(state, |o| match o.cmp(&index) {
        Ordering::Less => Some(o),
        Ordering::Equal => None,
        Ordering::Greater => Some(o - 1),
    });
    // What was in work stays in work, wherever it stands now: its clock may be on.
    if index < state.operation {
        state.operation -= 1;
    }
    state.operation = state.operation.min(last);
    Ok(())
}

/// Another part of the program is another cut: the recipe is decided anew.
fn runs(state: &mut State, index: usize, at: Moment) {
    let operation = &mut state.setups[state.setup].operations[index];
    operation.read_rpm = None;
    if operation.recipe.take().is_some() && index == state.operation {
        facts::happen(state, Happening::RecipeEdited, at);
    }
}

pub(in crate::session) fn operation_joined(
    state: &mut State,
    index: usize,
    from: usize,
    at: Moment,
) -> Result<(), Refusal> {
    let operations = &state.current_setup().operations;
    let (Some(target), Some(giver)) = (operations.get(index), operations.get(from)) else {
        return Err(Refusal::because("there is no such operation"));
    };
    if begun(state, index) || begun(state, from) {
        return Err(Refusal::because(
            "an operation that has begun stays as it is in the record",
        ));
    }
    if index == from || target.part.is_some() || !target.kind.is_cut() {
        return Err(Refusal::because(
            "only a planned cut without lines of the program can get some",
        ));
    }
    let given = giver.clone();
    if given.part.is_none() {
        return Err(Refusal::because(
            "that operation runs no lines of the program",
        ));
    }
    let target = &mut state.setups[state.setup].operations[index];
    target.part = given.part;
    target.is_joined = true;
    target.estimate_s = given.estimate_s;
    target.feed_s = given.feed_s;
    target.is_timed = given.is_timed;
    target.tool = target.tool.or(given.tool);
    target.depth = target.depth.take().or(given.depth);
    target.stepover = target.stepover.take().or(given.stepover);
    runs(state, index, at);
    operation_removed(state, from)
}

pub(in crate::session) fn operation_parted(
    state: &mut State,
    index: usize,
    at: Moment,
) -> Result<(), Refusal> {
    if begun(state, index) {
        return Err(Refusal::because(
            "an operation that has begun stays as it is in the record",
        ));
    }
    let Some(operation) = state.setups[state.setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no such operation"));
    };
    operation.part = None;
    operation.is_joined = false;
    operation.estimate_s = None;
    operation.feed_s = None;
    operation.is_timed = false;
    runs(state, index, at);
    Ok(())
}

pub(in crate::session) fn tool_edited(
    state: &mut State,
    index: usize,
    tool: Tool,
    stick_out: Option<Typed>,
    at: Moment,
) -> Result<(), Refusal> {
    let Some(rack) = state.rack.get_mut(index) else {
        return Err(Refusal::because("there is no such tool in the job"));
    };
    if let Some(out) = stick_out
        .as_ref()
        .filter(|out| out.value > MOST_STICK_OUT * tool.diameter_mm)
    {
        return Err(Refusal::because(format!(
            "{} is more than {MOST_STICK_OUT} times the tool's diameter: measure it again",
            out.text
        )));
    }
    let number = rack.number;
    let new = RackTool {
        number,
        tool,
        stick_out,
    };
    if *rack == new {
        return Ok(());
    }
    // Reading a rating moves no tool: seat and length stay as they are, but the recipe is looked at again.
    let rated = Tool {
        cutter_rating_rpm: new.tool.cutter_rating_rpm,
        ..rack.tool.clone()
    };
    let is_rating_alone = rated == new.tool && rack.stick_out == new.stick_out;
    *rack = new;
    if is_rating_alone {
        if state.planned_tool() == Some(index) {
            facts::happen(state, Happening::RecipeEdited, at);
        }
        return Ok(());
    }
    if state.in_spindle == Some(index) || state.planned_tool() == Some(index) {
        facts::happen(state, Happening::ToolEdited, at);
        judge_program(state, at);
    }
    Ok(())
}

pub(in crate::session) fn size_stated(
    state: &mut State,
    place: Option<usize>,
    reading: Reading,
) -> Result<(), Refusal> {
    if reading.upper.value < reading.lower.value {
        return Err(Refusal::because(
            "the upper deviation is less than the lower one",
        ));
    }
    let readings = &mut state.setups[state.setup].readings;
    match place {
        None => readings.push(reading),
        Some(place) => match readings.get_mut(place) {
            Some(old) => *old = reading,
            None => return Err(Refusal::because("there is no such size in this setup")),
        },
    }
    Ok(())
}
