//! Whether the big letters can be read from where the person stands.
//!
//! A terminal knows no millimetres, so the person is asked, at setup and in the running view, in each size of the window that nothing was
//! said of, smaller or larger than the last. The answer is about the screen: it is kept for the size of the window among the person's own
//! data, is no answer of a list, and nothing waits for it.

use crate::app::effect::Effect;
use crate::app::model::Model;
use crate::measure::legible::Letters;
use crate::measure::legible::Sizes;
use crate::measure::legible::capital_height_mm;

/// Columns and rows from which on the letters of the running view can be doubled.
pub const DOUBLE: (u16, u16) = (86, 38);

/// How far away a person stands, in millimetres.
const DISTANCE_MM: f64 = 2000.0;

/// Angle under which a capital is read with ease, in minutes of arc (NUREG-0700).
const EASY: f64 = 20.0;

/// Whether the letters are doubled now.
pub fn is_doubled(model: &Model) -> bool {
    has_room(model) && model.legible.doubled.contains(&model.size)
}

fn has_room(model: &Model) -> bool {
    model.size.0 >= DOUBLE.0 && model.size.1 >= DOUBLE.1
}

/// What was said of the window as it is.
pub fn said(model: &Model) -> Option<Letters> {
    model.legible.said.get(&model.size).copied()
}

/// What was said in earlier sessions.
pub fn known(model: &mut Model, said: Sizes) {
    let doubled = said
        .iter()
        .filter(|(_, letters)| **letters != Letters::Plain)
        .map(|(size, _)| *size);
    model.legible.doubled = doubled.collect();
    model.legible.said = said;
    ask_where_unknown(model);
}

/// Asks, unless the letters were read in a window of this size.
pub(super) fn ask_where_unknown(model: &mut Model) {
    model.legible.asks = !said(model).is_some_and(Letters::are_read);
}

/// The question was answered.
pub(super) fn answered(model: &mut Model, can: bool) -> Vec<Effect> {
    let letters = match (can, is_doubled(model)) {
        (true, false) => Letters::Plain,
        (true, true) => Letters::Doubled,
        (false, false) if has_room(model) => {
            model.legible.doubled.insert(model.size);
            model.legible.asks = true;
            model.say("letters doubled for this size of the window: can you read them now?");
            return vec![];
        }
        (false, _) => Letters::Neither,
    };
    model.legible.asks = false;
    if can {
        model.say("good: kept; asked again when the window changes, or with 7");
    } else if has_room(model) {
        let high = capital_height_mm(DISTANCE_MM, EASY);
        model.refuse(format!(
            "no larger letters: at 2 m they should be {high:.0} mm high; come nearer"
        ));
    } else {
        model.refuse(format!(
            "too small to double ({} x {}): larger window or font, or come nearer",
            DOUBLE.0, DOUBLE.1
        ));
    }
    model.legible.said.insert(model.size, letters);
    vec![Effect::KeepSizes(model.legible.said.clone())]
}

/// The person wants to be asked again, from the plain size on.
pub(super) fn ask_again(model: &mut Model) {
    model.legible.doubled.remove(&model.size);
    model.legible.asks = true;
}
