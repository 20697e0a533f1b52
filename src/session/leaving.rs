//! Leaving a mill that is powered: its list is offered, never demanded, and the record keeps how it was left.

use chrono::DateTime;
use chrono::FixedOffset;

use crate::session::event::Refusal;
use crate::session::facts;
use crate::session::gate;
use crate::session::lines::LineState;
use crate::session::lines::ListKind;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::state::State;

/// The mill was left while its list was open.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOpen {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// How far the list was answered, and what was open, in one sentence.
    pub text: String,
}

/// The caution whose answer says that the power is off.
const POWER_OFF: &str = "power-off";

/// Whether the mill is powered as far as this session knows: the list before power was answered, and
/// nothing has said since that the power went off.
pub fn is_powered(state: &State) -> bool {
    let power = gate::list(state, ListKind::Power);
    !power.lines.is_empty() && power.open() == 0
}

/// Whether there is something to ask before the person leaves.
pub fn is_due(state: &State) -> bool {
    is_powered(state) && !gate::list(state, ListKind::Leaving).lines.is_empty()
}

/// The sentence of a mill that is left now, its list as it stands.
pub fn words(state: &State, at: Moment) -> String {
    let list = gate::list(state, ListKind::Leaving);
    let open: Vec<String> = list
        .lines
        .iter()
        .filter(|line| line.state.is_open())
        .map(|line| match &line.state {
            LineState::NotSo(words) => format!("{} (not so: {words})", line.text),
            _ => line.text.clone(),
        })
        .collect();
    format!(
        "The mill was left at {} with its list open, {} of {} answered; open: {}.",
        at.wall.format("%H:%M"),
        list.answered(),
        list.lines.len(),
        open.join("; ")
    )
}

/// The person leaves with the list open: the record keeps it so.
///
/// # Errors
///
/// Where nothing is to be asked: then nothing is left open.
pub(in crate::session) fn left(state: &mut State, at: Moment) -> Result<(), Refusal> {
    if !is_due(state) {
        return Err(Refusal::because("the list before leaving is not open"));
    }
    let text = words(state, at);
    let off = gate::last_answer(state, ListKind::Leaving, POWER_OFF)
        .is_some_and(|last| last.stands && last.answer == crate::session::event::Answer::So);
    state.left_open.push(LeftOpen { at: at.wall, text });
    over(state);
    if off {
        facts::happen(state, Happening::PowerOff, at);
    }
    Ok(())
}

/// The list was answered to its end: the power is off, and what hangs on it is not known any more.
pub(in crate::session) fn ended(state: &mut State, at: Moment) {
    let off = gate::list(state, ListKind::Leaving)
        .lines
        .iter()
        .any(|line| line.id == POWER_OFF);
    over(state);
    if off {
        facts::happen(state, Happening::PowerOff, at);
    }
}

/// Its answers were about this leaving: at the next one all is asked anew.
pub(in crate::session) fn over(state: &mut State) {
    matrix::anew(state, Anew::LeavingOver, &[]);
}
