//! The line about guards where the work needs one off: it asks what is true then, for a guard that is off cannot be answered on.

use crate::job::conditions::Value;
use crate::session::known;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::state::State;

/// The line that asks for the guards.
const GUARDS: &str = "guards-on";

/// Whether the work needs a guard off, as far as somebody said so.
pub(in crate::session) fn is_off(state: &State) -> bool {
    known::guard_removed(state) == Some(&Value::Truth(true))
}

/// What the line says and which state answers it where a guard is off; nothing for any other line, or where all guards are on.
///
/// The line never falls away: who takes a guard off screens what it kept out (29 CFR 1910.212(a)(1): one or more methods of
/// guarding protect the operator, from memory), and the other guards stay.
pub(in crate::session) fn line(state: &State, id: &str) -> Option<(&'static str, &'static str)> {
    (id == GUARDS && is_off(state)).then_some((
        "A guard is off: its place is screened, all others on and whole",
        "SCREENED, OTHERS ON",
    ))
}

/// A guard was said to be off, or on again: what was answered was another question.
pub(in crate::session) fn ask_again(state: &mut State) {
    matrix::anew(state, Anew::GuardMoved, &[]);
}
