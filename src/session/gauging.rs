//! Sizes that are gauged while the tool that makes them is still in the spindle: once another one is in, what is left cannot be taken off
//! with the same setting.

use crate::job::operation::Progress;
use crate::job::reading::Reading;
use crate::job::reading::Verdict;
use crate::session::state::Setup;
use crate::session::state::State;

/// The operation that makes a size, counted from 0, where that was said and it is still in the plan.
pub fn maker(setup: &Setup, reading: &Reading) -> Option<usize> {
    let title = reading.made_by.as_deref()?;
    setup
        .operations
        .iter()
        .position(|operation| operation.title == title)
}

/// The sizes that the tool in the spindle has made, by their places, while another tool is to take its place.
///
/// None while the same tool goes on; bench work and a swap of clamps take no tool out.
pub fn made_here(state: &State) -> Vec<usize> {
    let setup = state.current_setup();
    let takes_out = state.current_operation().is_some_and(|operation| {
        operation.kind.is_cut()
            && !operation.progress.is_done()
            && operation.tool.is_some()
            && operation.tool != state.in_spindle
    });
    if !takes_out || setup.let_go.is_some() {
        return vec![];
    }
    let is_made = |reading: &Reading| {
        let made = maker(setup, reading).and_then(|place| setup.operations.get(place));
        made.is_some_and(|operation| {
            operation.progress == Progress::Finished
                && operation.tool.is_some()
                && operation.tool == state.in_spindle
        })
    };
    let readings = setup.readings.iter().enumerate();
    readings
        .filter(|(_, reading)| is_made(reading))
        .map(|(place, _)| place)
        .collect()
}

/// Those of them to gauge before that tool comes out: not measured yet, or with metal left to cut.
pub fn due(state: &State) -> Vec<usize> {
    let readings = &state.current_setup().readings;
    let is_open = |place: &usize| {
        matches!(
            readings[*place].verdict(),
            Verdict::NotMeasured | Verdict::MetalLeft(_)
        )
    };
    made_here(state).into_iter().filter(is_open).collect()
}

/// What to do with a size that is due, one line.
pub fn words(reading: &Reading) -> String {
    let what = &reading.what;
    match reading.verdict() {
        Verdict::MetalLeft(_) => format!("Cut {what} to size before its tool comes out"),
        _ => format!("Gauge {what} before its tool comes out"),
    }
}
