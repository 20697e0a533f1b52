//! Whether the big letters can be read from where the person stands.
//!
//! A terminal knows no millimetres, so the person is asked, once a session and again when the window changed. The answer is kept for
//! the size of the window; it is about the screen, no answer of a list, and nothing waits for it.

use crate::app::model::Model;
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

/// The question was answered.
pub(super) fn answered(model: &mut Model, can: bool) {
    model.legible.asks = false;
    if can {
        model.say("good: asked again when the window changes, or with 7");
    } else if is_doubled(model) {
        let high = capital_height_mm(DISTANCE_MM, EASY);
        model.refuse(format!(
            "no larger letters: at 2 m they should be {high:.0} mm high; come nearer"
        ));
    } else if has_room(model) {
        model.legible.doubled.insert(model.size);
        model.say("letters doubled for this size of the window; 7 asks again");
    } else {
        model.refuse(format!(
            "too small to double ({} x {}): larger window or font, or come nearer",
            DOUBLE.0, DOUBLE.1
        ));
    }
}

/// The person wants to be asked again, from the plain size on.
pub(super) fn ask_again(model: &mut Model) {
    model.legible.doubled.remove(&model.size);
    model.legible.asks = true;
}
