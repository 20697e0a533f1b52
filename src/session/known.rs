//! What the cautions may go by, and what of it nobody has said yet.

use crate::job::card::BURNING_METALS;
use crate::job::caution;
use crate::job::caution::Phase as Pause;
use crate::job::conditions;
use crate::job::conditions::Conditions;
use crate::job::conditions::Key;
use crate::job::conditions::Value;
use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::job::stock::Under;
use crate::plain;
use crate::session::bond;
use crate::session::event::Answer;
use crate::session::fact::FactKind;
use crate::session::gate;
use crate::session::lines::ListKind;
use crate::session::matrix::Happening;
use crate::session::state::Logged;
use crate::session::state::State;

/// What the cautions may go by: what machine, material, tool and operation are, and what the person stated.
pub fn conditions(state: &State) -> Conditions {
    let mut all = Conditions::new();
    // Only what the machine has: that a guard is on today, or what lies in the vice, no profile can know.
    for (key, value) in state.machine.states.iter() {
        if conditions::key(key).is_some_and(|key| key.is_equipment) {
            all.state(key, value.clone());
        }
    }
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
    if let Some(stock) = &setup.stock {
        let is_spoil = matches!(stock.under, Under::Spoil { .. });
        if stock.under != Under::Unknown {
            all.truth("spoil_board", is_spoil);
        }
    }
    let ran = state.fact(FactKind::AirRun).is_good() && setup.air_left_out.is_none();
    all.truth("first_run", !ran);
    // The line stays on the list in which it was answered.
    let was_felt = gate::last_answer(state, ListKind::Start, bond::COOL)
        .is_some_and(|answered| answered.stands);
    all.truth("bond_warm", bond::is_due(state) || was_felt);
    all
}

/// Whether a guard is off, as far as somebody said so: it belongs to the work in hand, and neither machine, material nor tool knows it.
pub(in crate::session) fn guard_removed(state: &State) -> Option<&Value> {
    state.stated.get("guard_removed")
}

/// The coolant that the cautions go by: what the person stated, else what the machine has.
pub(in crate::session) fn fluid(state: &State) -> Option<Value> {
    conditions(state).get("fluid").cloned()
}

/// The line of the setup list by which material and coolant are accepted: they choose what the emergency cards say.
pub(in crate::session) const MATERIAL_AND_COOLANT: &str = "material-and-coolant";

/// Material and coolant in words, as the line shows them.
pub(in crate::session) fn material_and_coolant(state: &State) -> String {
    let coolant = match fluid(state) {
        Some(Value::Word(word)) => coolant_words(&word),
        _ => "not stated",
    };
    let material = plain::cut(&plain::text(&state.material.title), LONGEST_TITLE);
    format!("Material: {material}; coolant: {coolant}")
}

/// So much of a material's title fits beside the coolant.
const LONGEST_TITLE: usize = 36;

fn coolant_words(word: &str) -> &'static str {
    match word {
        "dry" => "none, dry",
        "air" => "air blast",
        "water_mix" => "water-mix coolant",
        "mist" => "mist",
        "neat_oil" => "neat oil",
        "alcohol" => "alcohol",
        _ => "not stated",
    }
}

/// Whether material and coolant were accepted in this setup, whatever they are now.
pub(in crate::session) fn has_accepted(state: &State) -> bool {
    gate::last_answer(state, ListKind::Setup, MATERIAL_AND_COOLANT)
        .is_some_and(|answered| answered.stands)
}

/// Whether material and coolant were accepted in this setup as they are now.
pub fn is_accepted(state: &State) -> bool {
    gate::last_answer(state, ListKind::Setup, MATERIAL_AND_COOLANT).is_some_and(|answered| {
        answered.stands
            && answered.answer == Answer::So
            && *answered.text == *material_and_coolant(state)
    })
}

/// Whether they were accepted in this setup as they are now, and nothing but an event asks for it again: after a fire or an injury the
/// cards go on with what was accepted last.
fn was_accepted(state: &State) -> bool {
    gate::last_answer(state, ListKind::Setup, MATERIAL_AND_COOLANT).is_some_and(|answered| {
        // Another fluid since, whatever else happened: nobody has accepted that one.
        let is_other =
            |logged: &Logged| logged.what == Happening::FluidChanged && logged.at >= answered.at;
        (answered.stands || answered.fell.is_some() && !state.log.iter().any(is_other))
            && answered.answer == Answer::So
            && *answered.text == *material_and_coolant(state)
    })
}

/// What the emergency cards go by: material and coolant count only once they were accepted in this setup, for the form of a new job
/// fills one in. A metal that burns counts at once, and alcohol with it: there it changes nothing but that its flame is hard to see.
pub fn for_cards(state: &State) -> Conditions {
    let mut all = conditions(state);
    if !was_accepted(state) {
        let burns = matches!(all.get("material"), Some(Value::Word(word)) if BURNING_METALS.contains(&word.as_str()));
        let is_alcohol = matches!(all.get("fluid"), Some(Value::Word(word)) if word == "alcohol");
        if !burns {
            all.forget("material");
        }
        if !(burns && is_alcohol) {
            all.forget("fluid");
        }
    }
    all
}

/// What other steps state, or the session knows by itself.
const ELSEWHERE: &[&str] = &[
    "bond_warm",
    "event",
    "feed",
    "first_run",
    "operation",
    "spoil_board",
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
