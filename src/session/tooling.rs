//! The tool that is in: how it comes there, how long it is, and the recipe it runs with.

use crate::job::recipe::Recipe;
use crate::job::recipe::ToolChange;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::session::apply::TOUCH_ALLOWED_MM;
use crate::session::event::Refusal;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::facts;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::running;
use crate::session::state::State;
use crate::session::tool_speed;

/// Puts a tool into the spindle; what was known of tool and length falls.
pub(in crate::session) fn fit(state: &mut State, index: usize, at: Moment) {
    if state.in_spindle == Some(index) {
        return;
    }
    if state.in_spindle.is_some() {
        facts::happen(state, Happening::ToolChanged, at);
    }
    state.in_spindle = Some(index);
    state.list_is_full = true;
}

/// Z was touched off with the tool that is in.
pub(in crate::session) fn length_set(
    state: &mut State,
    reading: Typed,
    at: Moment,
) -> Result<(), Refusal> {
    let Some(reference) = state.current_setup().z_reference.clone() else {
        return Err(Refusal::because("say first which surface Z is set to"));
    };
    if !state.fact(FactKind::ZReference).is_good() {
        return Err(Refusal::because("the Z reference is to be set again first"));
    }
    if state.in_spindle.is_none() || state.in_spindle != state.planned_tool() {
        return Err(Refusal::because("the planned tool must be in first"));
    }
    if let FactState::Redo { .. } = state.fact(FactKind::ToolIn) {
        // Gripped anew it stands out by another length.
        return Err(Refusal::because(
            "answer first, at tool, that it is in and tight: gripped anew it has another length",
        ));
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
    facts::zero_set(state, at);
    Ok(())
}

/// The recipe of the operation in work.
pub(in crate::session) fn recipe_decided(
    state: &mut State,
    recipe: Recipe,
    at: Moment,
) -> Result<(), Refusal> {
    let planned = state.planned_tool();
    if let Some(why) = planned.and_then(|tool| tool_speed::too_fast(state, tool, recipe.n_rpm)) {
        return Err(Refusal::because(why));
    }
    let (setup, index) = (state.setup, state.operation);
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    if operation.recipe.as_ref() == Some(&recipe) {
        return Ok(());
    }
    let n_rpm = recipe.n_rpm;
    let old = operation.recipe.replace(recipe);
    if old.as_ref().is_some_and(|old| old.n_rpm != n_rpm) {
        // It was read at another setting of the knob.
        operation.read_rpm = None;
    }
    if old.is_some() {
        facts::happen(state, Happening::RecipeEdited, at);
    }
    Ok(())
}

/// Another tool takes over in the middle of an operation: its length and recipe are to be found anew.
pub(in crate::session) fn tool_swapped(
    state: &mut State,
    to: usize,
    reason: String,
    recipe: Option<Recipe>,
    at: Moment,
) -> Result<(), Refusal> {
    if reason.trim().is_empty() {
        return Err(Refusal::because("a change of tool needs its reason"));
    }
    if to >= state.rack.len() {
        return Err(Refusal::because("there is no such tool in the job"));
    }
    let n_rpm = recipe.as_ref().map(|recipe| recipe.n_rpm);
    if let Some(why) = n_rpm.and_then(|n_rpm| tool_speed::too_fast(state, to, n_rpm)) {
        return Err(Refusal::because(why));
    }
    let after_cutting_s = running::cutting_s(state, at);
    let name = |index: Option<usize>| {
        index
            .and_then(|i| state.rack.get(i))
            .map_or("none".to_owned(), |r| r.tool.title.clone())
    };
    let (from, into) = (name(state.planned_tool()), name(Some(to)));
    let came_out = state.planned_tool().and_then(|i| state.rack.get(i));
    let from_name = came_out.map_or(String::new(), |rack| rack.tool.name.clone());
    let (setup, index) = (state.setup, state.operation);
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    let before = operation.recipe.take();
    operation.changes.push(ToolChange {
        after_cutting_s,
        from,
        from_name,
        to: into,
        reason,
        before,
        after: recipe.clone(),
    });
    operation.tool = Some(to);
    operation.read_rpm = None;
    if let Some(recipe) = &recipe {
        // What program or plan has for the old tool does not bind the new one.
        let differs = |planned: &Option<Typed>, value: f64| {
            planned
                .as_ref()
                .is_some_and(|typed| (typed.value - value).abs() > 0.001)
        };
        if differs(&operation.depth, recipe.ap_mm) {
            operation.depth = None;
        }
        if differs(&operation.stepover, recipe.ae_mm) {
            operation.stepover = None;
        }
    }
    operation.recipe = recipe;
    running::to_waiting(state, at);
    if state.in_spindle == Some(to) {
        // The same tool, or its like, was put in anew: it is another length all the same.
        facts::happen(state, Happening::ToolChanged, at);
    } else {
        fit(state, to, at);
    }
    facts::reopen_start(state);
    facts::happen(state, Happening::RecipeEdited, at);
    Ok(())
}
