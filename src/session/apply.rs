//! An event and its time give the next state, or a reason why not.

use std::time::Duration;

use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::reading::Reading;
use crate::job::recipe::Recipe;
use crate::job::recipe::ToolChange;
use crate::job::reference::Surface;
use crate::job::tool::Tool;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::session::clock;
use crate::session::clock::Clock;
use crate::session::clock::Gap;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::event::Refusal;
use crate::session::fact::FactKey;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::facts;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::state::Note;
use crate::session::state::ProgramCopy;
use crate::session::state::RackTool;
use crate::session::state::ReturnTest;
use crate::session::state::State;
use crate::session::state::StopNote;
use crate::session::state::WrapUp;

/// After this long with a list answered and no cut begun, the list is asked again.
pub const LIST_AGES: Duration = Duration::from_secs(600);

/// Beyond the machine's backlash, an error at the check point that still counts as none, in mm.
pub const RETURN_ERROR_ALLOWED_MM: f64 = 0.02;

/// A reading of Z at the touch may differ by this much from what it must be, in mm.
pub const TOUCH_ALLOWED_MM: f64 = 0.05;

type Step = Result<(), Refusal>;

/// Applies one event to `state` in place.
///
/// On `Err` the state may be half changed: the caller keeps the one it had.
pub fn apply(state: &mut State, event: Event, at: Moment) -> Step {
    notice_gap(state, at);
    age_list(state, at);
    match event {
        Event::Looked => Ok(()),
        Event::Titled(title) => {
            state.head.title = title;
            Ok(())
        }
        Event::MachineChosen(machine) => {
            if *machine != state.machine {
                state.machine = *machine;
                facts::happen(state, Happening::MachineEdited, at);
            }
            Ok(())
        }
        Event::MaterialChosen(material) => {
            if *material != state.material {
                state.material = *material;
                facts::happen(state, Happening::MaterialEdited, at);
            }
            Ok(())
        }
        Event::ConditionStated(key, value) => {
            let fluid = key == "fluid" && state.stated.get(&key).is_some_and(|old| *old != value);
            state.stated.state(key, value);
            if fluid {
                facts::happen(state, Happening::FluidChanged, at);
            }
            Ok(())
        }
        Event::ProgramRead(program) => program_read(state, *program, at),
        Event::StopAccepted { finding, reason } => stop_accepted(state, &finding, reason, at),
        Event::SetupAdded(setup) => {
            state.setups.push(*setup);
            Ok(())
        }
        Event::SetupEntered(index) => setup_entered(state, index, at),
        Event::OperationAdded(place, operation) => {
            let operations = &mut state.setups[state.setup].operations;
            let place = place.unwrap_or(operations.len()).min(operations.len());
            if place < operations.len() && place <= state.operation && begun(state, state.operation)
            {
                return Err(Refusal::because(
                    "an operation cannot be put before one that has begun",
                ));
            }
            state.setups[state.setup]
                .operations
                .insert(place, *operation);
            Ok(())
        }
        Event::OperationEdited(index, edited) => operation_edited(state, index, *edited, at),
        Event::OperationRemoved(index) => {
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
            shift_operation_facts(state, index);
            state.operation = state
                .operation
                .min(state.current_setup().operations.len().saturating_sub(1));
            Ok(())
        }
        Event::OperationEntered(index) => operation_entered(state, index),
        Event::StepEntered(step) => {
            state.step = step;
            Ok(())
        }
        Event::ToolAdded {
            number,
            tool,
            stick_out,
        } => {
            state.rack.push(RackTool {
                number,
                tool: *tool,
                stick_out,
            });
            Ok(())
        }
        Event::ToolEdited {
            index,
            tool,
            stick_out,
        } => tool_edited(state, index, *tool, stick_out, at),
        Event::StockMeasured(stock) => {
            if stock.thickness.is_empty() {
                return Err(Refusal::because("the thickness is missing"));
            }
            state.setups[state.setup].stock = Some(*stock);
            facts::happen(state, Happening::StockEdited, at);
            facts::good(state, FactKind::Stock, SaidBy::Measured, None, at);
            Ok(())
        }
        Event::HoldingStated(holding) => {
            let old = state.setups[state.setup].holding.replace(*holding);
            if old.is_some() && old != state.setups[state.setup].holding {
                facts::happen(state, Happening::HoldingEdited, at);
            }
            Ok(())
        }
        Event::ZeroStated(zero) => {
            let old = state.setups[state.setup].zero.replace(*zero);
            if old.is_some() && old != state.setups[state.setup].zero {
                facts::forget(state, FactKind::XyZero);
                facts::happen(state, Happening::ZeroEdited, at);
            }
            Ok(())
        }
        Event::XySet => xy_set(state, at),
        Event::ZReferenceSet(reference) => {
            require_position(state)?;
            if let Some(raised) = &state.current_setup().raised {
                return Err(Refusal::because(format!(
                    "Z is still raised by {} for the air run: put it back first",
                    raised.text
                )));
            }
            let value = format!(
                "{}, {} to Z0, {} shim",
                reference.surface.word(),
                reference.height.text,
                reference.shim.text
            );
            let old = state.setups[state.setup].z_reference.replace(*reference);
            if old.is_some() && old != state.setups[state.setup].z_reference {
                facts::happen(state, Happening::ReferenceEdited, at);
            }
            facts::good(
                state,
                FactKind::ZReference,
                SaidBy::Measured,
                Some(value),
                at,
            );
            Ok(())
        }
        Event::ToolFitted(index) => {
            if index >= state.rack.len() {
                return Err(Refusal::because("there is no such tool in the job"));
            }
            fit(state, index, at);
            Ok(())
        }
        Event::LengthSet(reading) => length_set(state, reading, at),
        Event::RecipeDecided(recipe) => recipe_decided(state, *recipe, at),
        Event::ToolSwapped { to, reason, recipe } => {
            tool_swapped(state, to, reason, recipe.map(|boxed| *boxed), at)
        }
        Event::Confirmed(kind) => facts::confirm(state, kind, at),
        Event::Answered {
            list,
            line,
            answer,
            shown,
        } => facts::answer(state, list, &line, answer, shown, at),
        Event::AirRunMade(raised) => {
            if raised.value <= 0.0 {
                return Err(Refusal::because("Z must be raised by more than nothing"));
            }
            for kind in [FactKind::XyZero, FactKind::ZReference] {
                if !state.fact(kind).is_good() {
                    return Err(Refusal::because(format!(
                        "before the air run: {} is {}",
                        kind.statement(),
                        state.fact(kind).word()
                    )));
                }
            }
            state.setups[state.setup].raised = Some(raised.clone());
            state.setups[state.setup].air_left_out = None;
            facts::happen(state, Happening::AirRunMade, at);
            let value = Some(format!("raised by {}", raised.text));
            facts::good(state, FactKind::AirRun, SaidBy::Confirmed, value, at);
            Ok(())
        }
        Event::PutBack(reading) => put_back(state, reading, at),
        Event::AirRunLeftOut(reason) => {
            if reason.trim().is_empty() {
                return Err(Refusal::because("leaving the air run out needs a reason"));
            }
            let value = Some(format!("left out: {reason}"));
            state.setups[state.setup].air_left_out = Some(reason);
            facts::good(state, FactKind::AirRun, SaidBy::Confirmed, value, at);
            Ok(())
        }
        Event::CutBegan { ago } => cut_began(state, ago, at),
        Event::CutBeganEarlier(by) => {
            let place = (state.setup, state.operation);
            match state.clocks.get_mut(&place) {
                Some(clock) if clock.set_back(by) => Ok(()),
                _ => Err(Refusal::because(
                    "the beginning can be set back by at most a minute",
                )),
            }
        }
        Event::ClockTurned(phase) => clock_turned(state, phase, at),
        Event::GapExplained(phase) => gap_explained(state, phase),
        Event::Reopened { away_s } => {
            reopened(state, away_s, at);
            Ok(())
        }
        Event::Finished => finished(state, at),
        Event::LeftOut(reason) => left_out(state, reason, at),
        Event::Happened(what) => {
            facts::happen(state, what, at);
            Ok(())
        }
        Event::StopNoted { mishap, words } => {
            let after_cutting_s = cutting_s(state, at);
            let (setup, operation) = (state.setup, state.operation);
            let wall = at.wall;
            state.stops.push(StopNote {
                at: wall,
                setup,
                operation,
                after_cutting_s,
                mishap,
                words,
            });
            to_waiting(state, at);
            for what in facts::doubts(mishap) {
                facts::happen(state, *what, at);
            }
            Ok(())
        }
        Event::ReturnTested { error_mm } => {
            return_tested(state, error_mm, at);
            Ok(())
        }
        Event::Noted(text) => {
            let (setup, operation) = (state.setup, state.operation);
            state.notes.push(Note {
                at: at.wall,
                setup,
                operation,
                text,
            });
            Ok(())
        }
        Event::SizeStated(place, reading) => size_stated(state, place, *reading),
        Event::Measured(place, actual) => match state.setups[state.setup].readings.get_mut(place) {
            Some(reading) => {
                reading.actual = Some(actual);
                Ok(())
            }
            None => Err(Refusal::because("there is no such size in this setup")),
        },
        Event::Rated(index, outcome) => {
            if !(1..=5).contains(&outcome.rating) {
                return Err(Refusal::because("a rating is a digit from 1 to 5"));
            }
            match state.setups[state.setup].operations.get_mut(index) {
                Some(operation) => {
                    operation.outcome = Some(outcome);
                    Ok(())
                }
                None => Err(Refusal::because("there is no such operation")),
            }
        }
        Event::LetGo => let_go(state, at),
        Event::WrappedUp { learned, done } => {
            for clock in state.clocks.values_mut() {
                clock.stop(at);
            }
            state.wrap_up = Some(WrapUp {
                at: at.wall,
                learned,
                done,
            });
            Ok(())
        }
    }
}

fn notice_gap(state: &mut State, at: Moment) {
    let before = state.last_seen;
    state.last_seen = at;
    let Some(phase) = state.phase() else { return };
    let Some(new) = clock::gap(before, at) else {
        return;
    };
    let seconds = new.seconds + state.gap.map_or(0.0, |(old, _)| old.seconds);
    state.gap = Some((
        Gap {
            seconds,
            noticed: at,
        },
        state.gap.map_or(phase, |(_, old)| old),
    ));
}

fn age_list(state: &mut State, at: Moment) {
    if state.phase() == Some(Phase::Cutting) {
        return;
    }
    let oldest = state
        .answers
        .iter()
        .filter(|answered| answered.stands && answered.list == ListKind::Start)
        .map(|answered| answered.at)
        .max();
    let Some(last) = oldest else { return };
    let waited = (at.wall - last).to_std().unwrap_or_default();
    if waited > LIST_AGES {
        facts::happen(state, Happening::TenMinutesPassed, at);
        let bonded = state
            .current_setup()
            .holding
            .as_ref()
            .is_some_and(|h| h.by.is_bond());
        if bonded {
            facts::happen(state, Happening::BondTired, at);
        }
    }
}

fn begun(state: &State, index: usize) -> bool {
    state
        .current_setup()
        .operations
        .get(index)
        .is_some_and(|operation| operation.progress != Progress::Planned)
}

fn cutting_s(state: &State, at: Moment) -> u64 {
    state
        .clock()
        .map_or(0, |clock| clock.read(at).cutting.as_secs())
}

/// The clock counts waiting from now on, if it counted cutting.
pub fn to_waiting(state: &mut State, at: Moment) {
    if state.phase() == Some(Phase::Cutting) {
        let place = (state.setup, state.operation);
        state
            .clocks
            .entry(place)
            .or_default()
            .turn(Phase::Waiting, at);
    }
}

fn program_read(state: &mut State, program: ProgramCopy, at: Moment) -> Step {
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
        facts::happen(state, Happening::ProgramChanged, at);
    }
    judge_program(state, at);
    Ok(())
}

/// The program agrees when no stop finding is without an accepted reason.
fn judge_program(state: &mut State, at: Moment) {
    let agrees = state
        .current_setup()
        .program
        .as_ref()
        .is_none_or(|program| program.stops.iter().all(|stop| stop.accepted.is_some()));
    if agrees {
        facts::good(state, FactKind::Program, SaidBy::Computed, None, at);
    } else {
        facts::forget(state, FactKind::Program);
        to_waiting(state, at);
    }
}

fn stop_accepted(state: &mut State, finding: &str, reason: String, at: Moment) -> Step {
    if reason.trim().is_empty() {
        return Err(Refusal::because(
            "a stop finding is accepted only with a reason",
        ));
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

fn setup_entered(state: &mut State, index: usize, at: Moment) -> Step {
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
        facts::reopen_start(state);
        if state.current_setup().program.is_none() {
            facts::good(state, FactKind::Program, SaidBy::Computed, None, at);
        }
    }
    Ok(())
}

fn operation_edited(state: &mut State, index: usize, edited: Operation, at: Moment) -> Step {
    let Some(old) = state.setups[state.setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no such operation"));
    };
    let new_tool = old.tool != edited.tool;
    old.title = edited.title;
    old.kind = edited.kind;
    old.remark = edited.remark;
    old.tool = edited.tool;
    if new_tool {
        old.recipe = None;
        if index == state.operation {
            facts::happen(state, Happening::RecipeEdited, at);
            to_waiting(state, at);
        }
    }
    Ok(())
}

fn operation_entered(state: &mut State, index: usize) -> Step {
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

/// Facts of operations behind a removed one move up with it.
fn shift_operation_facts(state: &mut State, removed: usize) {
    let setup = state.setup;
    let of_setup =
        |key: &FactKey| key.setup == Some(setup) && key.operation.is_some_and(|o| o >= removed);
    let moved: Vec<(FactKey, FactState)> = state
        .facts
        .iter()
        .filter(|(key, _)| of_setup(key))
        .map(|(key, fact)| (*key, fact.clone()))
        .collect();
    state.facts.retain(|key, _| !of_setup(key));
    for (mut key, fact) in moved {
        if key.operation != Some(removed) {
            key.operation = key.operation.map(|o| o - 1);
            state.facts.insert(key, fact);
        }
    }
}

fn tool_edited(
    state: &mut State,
    index: usize,
    tool: Tool,
    stick_out: Option<Typed>,
    at: Moment,
) -> Step {
    let Some(rack) = state.rack.get_mut(index) else {
        return Err(Refusal::because("there is no such tool in the job"));
    };
    let number = rack.number;
    let new = RackTool {
        number,
        tool,
        stick_out,
    };
    if *rack == new {
        return Ok(());
    }
    *rack = new;
    if state.in_spindle == Some(index) || state.planned_tool() == Some(index) {
        facts::happen(state, Happening::ToolEdited, at);
        judge_program(state, at);
    }
    Ok(())
}

fn require_position(state: &State) -> Step {
    if state.fact(FactKind::Position).is_good() {
        Ok(())
    } else {
        Err(Refusal::because(
            "the machine must know its position first: home it and answer that line at hold",
        ))
    }
}

fn xy_set(state: &mut State, at: Moment) -> Step {
    require_position(state)?;
    let Some(zero) = &state.current_setup().zero else {
        return Err(Refusal::because(
            "say first which point of the blank is zero",
        ));
    };
    let value = Some(format!("{} by {}", zero.point, zero.found_by.word()));
    facts::good(state, FactKind::XyZero, SaidBy::Measured, value, at);
    Ok(())
}

/// Puts a tool into the spindle; what was known of tool and length falls.
fn fit(state: &mut State, index: usize, at: Moment) {
    if state.in_spindle == Some(index) {
        return;
    }
    if state.in_spindle.is_some() {
        facts::happen(state, Happening::ToolChanged, at);
    }
    state.in_spindle = Some(index);
    state.list_is_full = true;
}

fn length_set(state: &mut State, reading: Typed, at: Moment) -> Step {
    let Some(reference) = state.current_setup().z_reference.clone() else {
        return Err(Refusal::because("say first which surface Z is set to"));
    };
    if !state.fact(FactKind::ZReference).is_good() {
        return Err(Refusal::because("the Z reference is to be set again first"));
    }
    if state.in_spindle.is_none() || state.in_spindle != state.planned_tool() {
        return Err(Refusal::because("the planned tool must be in first"));
    }
    let must = reference.touch_reading_mm();
    if (reading.value - must).abs() > TOUCH_ALLOWED_MM {
        return Err(Refusal::because(format!(
            "at the touch Z must read {} mm, not {}: set Z there, then read again",
            plain(must),
            reading.text
        )));
    }
    facts::good(
        state,
        FactKind::ToolLength,
        SaidBy::Measured,
        Some(reading.text),
        at,
    );
    Ok(())
}

fn recipe_decided(state: &mut State, recipe: Recipe, at: Moment) -> Step {
    let (setup, index) = (state.setup, state.operation);
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    if operation.recipe.as_ref() == Some(&recipe) {
        return Ok(());
    }
    let was_there = operation.recipe.replace(recipe).is_some();
    if was_there {
        facts::happen(state, Happening::RecipeEdited, at);
    }
    Ok(())
}

fn tool_swapped(
    state: &mut State,
    to: usize,
    reason: String,
    recipe: Option<Recipe>,
    at: Moment,
) -> Step {
    if reason.trim().is_empty() {
        return Err(Refusal::because("a change of tool needs its reason"));
    }
    if to >= state.rack.len() {
        return Err(Refusal::because("there is no such tool in the job"));
    }
    let after_cutting_s = cutting_s(state, at);
    let name = |index: Option<usize>| {
        index
            .and_then(|i| state.rack.get(i))
            .map_or("none".to_owned(), |r| r.tool.title.clone())
    };
    let (from, into) = (name(state.planned_tool()), name(Some(to)));
    let (setup, index) = (state.setup, state.operation);
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    let before = operation.recipe.take();
    operation.changes.push(ToolChange {
        after_cutting_s,
        from,
        to: into,
        reason,
        before,
        after: recipe.clone(),
    });
    operation.tool = Some(to);
    operation.recipe = recipe;
    to_waiting(state, at);
    if state.in_spindle == Some(to) {
        // The same tool, or its like, was put in anew: it is another length all the same.
        facts::happen(state, Happening::ToolChanged, at);
    } else {
        fit(state, to, at);
    }
    facts::happen(state, Happening::RecipeEdited, at);
    Ok(())
}

fn put_back(state: &mut State, reading: Typed, at: Moment) -> Step {
    let Some(reference) = state.current_setup().z_reference.clone() else {
        return Err(Refusal::because("there is no Z reference to put back to"));
    };
    if state.current_setup().raised.is_none() {
        return Err(Refusal::because("Z is not raised"));
    }
    let must = reference.touch_reading_mm();
    if (reading.value - must).abs() > TOUCH_ALLOWED_MM {
        return Err(Refusal::because(format!(
            "with the tool at the reference Z must read {} mm, not {}",
            plain(must),
            reading.text
        )));
    }
    state.setups[state.setup].raised = None;
    let value = Some(format!("put back, reads {}", reading.text));
    facts::good(state, FactKind::ZReference, SaidBy::Measured, value, at);
    if state.in_spindle.is_some() && state.in_spindle == state.planned_tool() {
        facts::good(
            state,
            FactKind::ToolLength,
            SaidBy::Measured,
            Some(reading.text),
            at,
        );
    }
    Ok(())
}

fn require_clear(state: &State) -> Step {
    let open = gate::obstacles(state);
    match open.first() {
        None => Ok(()),
        Some(first) if open.len() == 1 => Err(Refusal::because(format!("open: {}", first.words))),
        Some(first) => Err(Refusal::because(format!(
            "{} open, first: {}",
            open.len(),
            first.words
        ))),
    }
}

fn cut_began(state: &mut State, ago: Duration, at: Moment) -> Step {
    require_clear(state)?;
    let (setup, index) = (state.setup, state.operation);
    let place = (setup, index);
    let running = state.clocks.get(&place).and_then(Clock::phase);
    if running == Some(Phase::Cutting) {
        return Err(Refusal::because("the clock counts cutting already"));
    }
    let clock = state.clocks.entry(place).or_default();
    clock.turn(Phase::Cutting, at);
    if !ago.is_zero() && !clock.set_back(ago) {
        return Err(Refusal::because(
            "the beginning can be set back by at most a minute",
        ));
    }
    if let Some(operation) = state.setups[setup].operations.get_mut(index) {
        operation.progress = Progress::Begun;
    }
    state.list_is_full = false;
    state.hands_were_in = false;
    Ok(())
}

fn clock_turned(state: &mut State, phase: Phase, at: Moment) -> Step {
    match (state.phase(), phase) {
        (None, _) => Err(Refusal::because("the clock is off")),
        (Some(now), wanted) if now == wanted => Err(Refusal::because(format!(
            "the clock counts {} already",
            now.word()
        ))),
        (Some(_), Phase::Cutting) => cut_began(state, Duration::ZERO, at),
        (Some(now), wanted) => {
            let place = (state.setup, state.operation);
            state.clocks.entry(place).or_default().turn(wanted, at);
            if now == Phase::Cutting {
                facts::happen(state, Happening::HandsIn, at);
            }
            Ok(())
        }
    }
}

fn gap_explained(state: &mut State, phase: Option<Phase>) -> Step {
    let Some((gap, _)) = state.gap.take() else {
        return Err(Refusal::because("there is nothing to explain"));
    };
    if let Some(phase) = phase {
        let more = Duration::try_from_secs_f64(gap.seconds).map_err(|_| {
            Refusal::because("the computer's clock was put back: there is no time to count")
        })?;
        let place = (state.setup, state.operation);
        state.clocks.entry(place).or_default().add(phase, more);
    }
    Ok(())
}

fn reopened(state: &mut State, away_s: f64, at: Moment) {
    if let Some(phase) = state.phase() {
        let place = (state.setup, state.operation);
        if phase == Phase::Cutting {
            state
                .clocks
                .entry(place)
                .or_default()
                .turn(Phase::Waiting, at);
        }
        if away_s > 0.0 {
            state.gap = Some((
                Gap {
                    seconds: away_s,
                    noticed: at,
                },
                phase,
            ));
        }
    }
    facts::happen(state, Happening::TenMinutesPassed, at);
}

fn finished(state: &mut State, at: Moment) -> Step {
    let (setup, index) = (state.setup, state.operation);
    let place = (setup, index);
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    let kind = operation.kind;
    if kind.is_cut() && operation.progress != Progress::Begun {
        return Err(Refusal::because(
            "it has not begun: turn its clock on, or leave it out",
        ));
    }
    operation.progress = Progress::Finished;
    if let Some(clock) = state.clocks.get_mut(&place) {
        clock.stop(at);
    }
    match kind {
        OperationKind::ClampSwap => {
            facts::happen(state, Happening::ClampsChangedPartStill, at);
            judge_program(state, at);
        }
        OperationKind::Face => {
            let surface = state
                .current_setup()
                .z_reference
                .as_ref()
                .map(|z| z.surface);
            if surface == Some(Surface::StockTop) {
                facts::happen(state, Happening::ReferenceRemoved, at);
            }
            facts::happen(state, Happening::OutsideCut, at);
        }
        OperationKind::Profile => facts::happen(state, Happening::OutsideCut, at),
        _ => {}
    }
    go_on(state);
    Ok(())
}

fn left_out(state: &mut State, reason: String, at: Moment) -> Step {
    if reason.trim().is_empty() {
        return Err(Refusal::because("leaving an operation out needs a reason"));
    }
    let (setup, index) = (state.setup, state.operation);
    if let Some(clock) = state.clocks.get_mut(&(setup, index)) {
        clock.stop(at);
    }
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    operation.progress = Progress::LeftOut;
    if !operation.remark.is_empty() {
        operation.remark.push_str("; ");
    }
    operation.remark.push_str("left out: ");
    operation.remark.push_str(reason.trim());
    go_on(state);
    Ok(())
}

/// The next operation comes into work; its start list is a new one.
fn go_on(state: &mut State) {
    if let Some(next) = state.current_setup().next_operation() {
        state.operation = next;
    }
    state.hands_were_in = false;
    facts::reopen_start(state);
}

fn return_tested(state: &mut State, error_mm: [Option<f64>; 3], at: Moment) {
    let axes = [
        &state.machine.axes.x,
        &state.machine.axes.y,
        &state.machine.axes.z,
    ];
    let within = |axis: usize| {
        error_mm[axis].is_some_and(|error| {
            error.abs() <= axes[axis].backlash_mm.value + RETURN_ERROR_ALLOWED_MM
        })
    };
    let (plane, height) = (within(0) && within(1), within(2));
    let may = |kind: FactKind| match state.fact(kind) {
        FactState::Redo { what, .. } => what.row().return_test_may_restore,
        _ => false,
    };
    let value = Some("return test".to_owned());
    let position_back = plane && may(FactKind::Position);
    let plane_back = plane && may(FactKind::XyZero);
    let height_back = height && may(FactKind::ZReference) && state.current_setup().raised.is_none();
    let length_back = height_back && may(FactKind::ToolLength);
    for (is_back, kind) in [
        (position_back, FactKind::Position),
        (plane_back, FactKind::XyZero),
        (height_back, FactKind::ZReference),
        (length_back, FactKind::ToolLength),
    ] {
        if is_back {
            facts::good(state, kind, SaidBy::Measured, value.clone(), at);
        }
    }
    if error_mm[0].is_some() && error_mm[1].is_some() && !plane {
        facts::happen(state, Happening::PositionLost, at);
    }
    state.return_tests.push(ReturnTest {
        at: at.wall,
        error_mm,
        kept_zero: plane,
    });
}

fn size_stated(state: &mut State, place: Option<usize>, reading: Reading) -> Step {
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

fn let_go(state: &mut State, at: Moment) -> Step {
    if state.phase().is_some() {
        return Err(Refusal::because(
            "a clock is on: finish or leave out the operation first",
        ));
    }
    if state.current_setup().let_go.is_some() {
        return Err(Refusal::because("the part was let go already"));
    }
    let list = gate::list(state, ListKind::Release);
    if list.open() > 0 {
        return Err(Refusal::because(format!(
            "{} open before the part is let go",
            list.open()
        )));
    }
    facts::happen(state, Happening::PartLetGo, at);
    state.setups[state.setup].let_go = Some(at.wall);
    Ok(())
}
