//! After a stop: the first acts, and the way back into the program.

use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page;
use crate::app::perform;
use crate::app::row;
use crate::app::row::Row;
use crate::app::words;
use crate::job::conditions::Conditions;
use crate::job::conditions::Value;
use crate::job::mishap::Mishap;
use crate::session::known;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::session::state::Step;

/// What burns here, and what puts it out.
///
/// Magnesium, titanium, zirconium: T.O. 1-1A-9 warning and para g(1), titanium safety data sheet 1986. Fines of aluminium are a
/// combustible metal too (NFPA 484, from memory): solid chips seldom burn, dust and thin chips do.
pub fn fire_words(known: &Conditions) -> Vec<&'static str> {
    let first: &[&str] = if is_metal(known, &["magnesium", "titanium", "zirconium"]) {
        &[
            "Metal fire: class D powder or dry sand. No water, no foam.",
            "Other fire: the extinguisher that suits it.",
        ]
    } else if is_metal(known, &["aluminium"]) {
        &[
            "Metal fire: class D powder or dry sand, never water.",
            "Other fire: the extinguisher that suits it.",
        ]
    } else {
        &["Fire: the extinguisher that suits it."]
    };
    let mut lines = first.to_vec();
    lines.push("Not out at once: out, close the door, call for help.");
    lines
}

/// The same in twenty characters, for the smallest windows.
pub fn fire_short(known: &Conditions) -> &'static str {
    if is_metal(known, &["magnesium", "titanium", "zirconium", "aluminium"]) {
        "Fire: D or dry sand"
    } else {
        "Fire: extinguisher"
    }
}

/// Whether the part is of one of these.
pub(in crate::app) fn is_metal(known: &Conditions, metals: &[&str]) -> bool {
    let Some(Value::Word(material)) = known.get("material") else {
        return false;
    };
    metals.contains(&material.as_str())
}

/// The first acts that stand alone on the screen before anything is asked, for what cannot wait.
pub fn first_acts(model: &Model, mishap: Mishap) -> Vec<&'static str> {
    match mishap {
        Mishap::Fire => {
            let known = model.state().map(known::conditions).unwrap_or_default();
            let mut lines = vec!["Emergency stop. Stand back."];
            lines.extend(fire_words(&known));
            lines
        }
        Mishap::Injury => vec![
            "Emergency stop. Do not reach in before all is still.",
            "First aid. Call for help.",
            "The job can wait.",
        ],
        _ => vec![],
    }
}

/// Whether a way back into the program and other numbers may be offered at once. Fire and injury come first and alone.
pub fn may_go_on(mishap: Mishap) -> bool {
    !matches!(mishap, Mishap::Fire | Mishap::Injury)
}

/// How far into the operation the clock was at the stop, as the program step takes it.
pub fn into_operation(state: &State) -> Option<String> {
    state.current_setup().program.as_ref()?;
    let stop = state
        .stops
        .last()
        .filter(|stop| stop.setup == state.setup && stop.operation == state.operation)?;
    (stop.after_cutting_s > 0).then(|| words::time(stop.after_cutting_s as f64))
}

/// To the program step, with the time of the stop filled in as a draft: nothing is taken.
pub(super) fn begin_again(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(text) = model.state().and_then(into_operation) else {
        return vec![];
    };
    let effects = perform::go_to(model, Step::Program, at);
    model.drafts.insert(Field::BeginAgain, text);
    let rows = page::rows(model);
    let field = row::choosable(&rows).into_iter().position(|place| {
        matches!(
            rows[place],
            Row::Field {
                field: Field::BeginAgain,
                ..
            }
        )
    });
    if let Some(field) = field {
        model.cursor = field;
    }
    effects
}
