//! What a session learns of the machine itself, and when it offers to look.

use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::reference::FoundBy;
use crate::job::typed::plain;
use crate::measure::backlash::Axis;
use crate::measure::backlash::MOST_MM;
use crate::measure::backlash::Opposite;
use crate::session::event::Refusal;
use crate::session::fact::FactKind;
use crate::session::lines::ListKind;
use crate::session::moment::Moment;
use crate::session::state::BacklashRead;
use crate::session::state::State;

/// Keeps what two opposite touches say of the backlash.
pub(in crate::session) fn opposite_touched(
    state: &mut State,
    axis: Axis,
    reads_mm: [f64; 2],
    at: Moment,
) -> Result<(), Refusal> {
    let setup = state.current_setup();
    let Some(stock) = &setup.stock else {
        return Err(Refusal::because(
            "measure the blank first: its width is in the sum",
        ));
    };
    let Some(zero) = setup
        .zero
        .as_ref()
        .filter(|zero| zero.found_by != FoundBy::Bore)
    else {
        return Err(Refusal::because(
            "say first with what the edges are touched",
        ));
    };
    let size = stock.size();
    let touches = Opposite {
        axis,
        reads_mm,
        width_mm: match axis {
            Axis::X => size.x_mm,
            Axis::Y => size.y_mm,
        },
        finder_mm: zero.finder.value,
    };
    let backlash_mm = touches.backlash_mm();
    if !backlash_mm.is_finite() || backlash_mm.abs() > MOST_MM {
        return Err(Refusal::because(format!(
            "{} mm would be backlash: a reading, the width or the finder is not as entered",
            plain(backlash_mm)
        )));
    }
    state.backlash.push(BacklashRead {
        at: at.wall,
        touches,
    });
    Ok(())
}

/// Why a return test is offered before the operation in work, if it is.
///
/// Nothing asks for it: between two tools, and before the profile that frees the part, it tells
/// a lost step while the part can still be saved. One since the last cut is enough.
pub fn return_test_offered(state: &State) -> Option<&'static str> {
    let operation = state.current_operation()?;
    let waits = operation.kind.is_cut() && operation.progress == Progress::Planned;
    if !waits || !state.fact(FactKind::XyZero).is_good() {
        return None;
    }
    let operations = &state.current_setup().operations;
    let before = operations[..state.operation]
        .iter()
        .rfind(|before| before.kind.is_cut() && before.progress == Progress::Finished)?;
    let last_cut = state.ended.iter().rfind(|ended| {
        ended.list == ListKind::Start
            && (ended.setup, ended.operation) != (state.setup, state.operation)
    });
    let is_tested = state
        .return_tests
        .last()
        .is_some_and(|test| last_cut.is_none_or(|cut| test.at >= cut.at));
    if is_tested {
        return None;
    }
    let is_last_profile = operation.kind == OperationKind::Profile
        && !operations[state.operation + 1..]
            .iter()
            .any(|later| later.kind == OperationKind::Profile && !later.progress.is_done());
    if is_last_profile {
        Some("before the last profile")
    } else if before.tool != operation.tool {
        Some("at the tool change")
    } else {
        None
    }
}
