//! What the cautions may go by, and what of it nobody has said yet.

use crate::job::caution;
use crate::job::caution::Phase as Pause;
use crate::job::conditions;
use crate::job::conditions::Conditions;
use crate::job::conditions::Key;
use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::session::bond;
use crate::session::fact::FactKind;
use crate::session::gate;
use crate::session::lines::ListKind;
use crate::session::state::State;

/// What the cautions may go by: what machine, material, tool and operation are, and what the person stated.
pub fn conditions(state: &State) -> Conditions {
    let mut all = state.machine.states.clone();
    all.extend(&state.stated);
    // What the session knows by itself comes last, and wins.
    state.material.state(&mut all);
    let setup = state.current_setup();
    if let Some(holding) = &setup.holding {
        all.word("workholding", holding.by.word());
    }
    if let Some(operation) = state.current_operation() {
        all.word("operation", operation.kind.caution_word());
        if let Some(rack) = operation.tool.and_then(|index| state.rack.get(index)) {
            rack.tool.state(rack.stick_out_mm(), &mut all);
        }
    }
    if let Some(moves) = belt_moves(state) {
        all.truth("speed_range_change", moves);
    }
    let ran = state.fact(FactKind::AirRun).is_good() && setup.air_left_out.is_none();
    all.truth("first_run", !ran);
    // The line stays on the list in which it was answered.
    let was_felt = gate::last_answer(state, ListKind::Start, bond::COOL)
        .is_some_and(|answered| answered.stands);
    all.truth("bond_warm", bond::is_due(state) || was_felt);
    all
}

/// What other steps state, or the session knows by itself.
const ELSEWHERE: &[&str] = &[
    "bond_warm",
    "event",
    "feed",
    "first_run",
    "operation",
    "tool_diameter_mm",
    "tool_hand",
    "tool_kind",
    "tool_stickout_ratio",
    "workholding",
];

/// Whether the person says it at hold, of machine and shop.
pub fn is_asked_here(key: &str) -> bool {
    !ELSEWHERE.contains(&key)
}

/// Whether belt or gear stands in another position than the operation in work needs, where both are known: the one that was
/// cut with last left it where it is.
fn belt_moves(state: &State) -> Option<bool> {
    if state.machine.spindle.steps.len() < 2 {
        return Some(false);
    }
    let belt = |operation: &Operation| operation.recipe.as_ref()?.belt.clone();
    let wanted = belt(state.current_operation()?)?;
    let (setup, place) = (state.setup, state.operation);
    let before = state.setups[..setup]
        .iter()
        .flat_map(|setup| &setup.operations)
        .chain(&state.setups[setup].operations[..place]);
    let was_cut =
        |operation: &&Operation| matches!(operation.progress, Progress::Begun | Progress::Finished);
    let last = before.rev().filter(was_cut).find_map(belt)?;
    Some(last != wanted)
}

/// The questions about machine and shop that lists of this job depend on and nobody has answered.
///
/// What other steps state (holding, tool, operation) is not asked here.
pub fn questions(state: &State) -> Vec<&'static Key> {
    let known = conditions(state);
    let pauses = [
        Pause::BeforePower,
        Pause::Setup,
        Pause::ToolChange,
        Pause::BeforeStart,
        Pause::Cutting,
        Pause::ChipClearing,
        Pause::Measuring,
        Pause::End,
    ];
    caution::unstated(&state.cautions, &pauses, &known)
        .into_iter()
        .filter(|name| is_asked_here(name))
        .filter_map(conditions::key)
        .collect()
}
