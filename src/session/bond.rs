//! Heat of long cutting on tape, glue or wax: how long was cut since the bond last rested.
//!
//! Nobody measures how warm a bond is; minutes of cutting stand for it. The figures are cautions and promise nothing.

use std::time::Duration;

use crate::job::holding::HeldBy;
use crate::session::clock::Phase;
use crate::session::lines::ListKind;
use crate::session::matrix;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Cutting since the bond last rested, and how long nothing was cut by now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BondHeat {
    /// Cutting since the last rest.
    pub cutting: Duration,
    /// How long nothing was cut, up to now.
    pub still: Duration,
}

/// A bond that was not cut on for so long has rested. Common practice, no source.
pub const REST: Duration = Duration::from_secs(300);

/// After how much cutting a bond is to rest, in seconds. Common practice, no source: wax softens first, and
/// tape creeps before glue does. Vacuum does not mind the heat of the cut, its seal is another matter.
fn usual_s(by: HeldBy) -> Option<f64> {
    match by {
        HeldBy::Wax => Some(300.0),
        HeldBy::Tape => Some(600.0),
        HeldBy::Glue => Some(900.0),
        _ => None,
    }
}

/// After how much cutting the bond of a setup is to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RestAfter {
    /// Cutting, in seconds.
    pub s: f64,
    /// Whether the person entered it for this bond.
    pub is_own: bool,
}

impl RestAfter {
    /// Where the figure comes from.
    pub fn source(self) -> &'static str {
        if self.is_own {
            "your figure"
        } else {
            "common practice, no source"
        }
    }
}

/// After how much cutting the bond of the setup in work is to rest; none where heat loosens nothing.
pub fn rest_after(state: &State) -> Option<RestAfter> {
    let holding = state.current_setup().holding.as_ref()?;
    let usual = usual_s(holding.by)?;
    Some(match holding.rest_after_s {
        Some(s) => RestAfter { s, is_own: true },
        None => RestAfter {
            s: usual,
            is_own: false,
        },
    })
}

/// Whether the bond is to rest before more is cut.
pub fn is_due(state: &State) -> bool {
    rest_after(state).is_some_and(|rest| state.bond.cutting.as_secs_f64() >= rest.s)
}

/// The caution that asks whether the bond is cool.
pub const COOL: &str = "bond-cool";

fn minutes(seconds: f64) -> String {
    format!("{:.0} min", (seconds / 60.0).floor())
}

/// What the running view and the gate say of the bond; none where heat loosens nothing, or nothing was cut.
pub fn words(state: &State) -> Option<String> {
    let rest = rest_after(state)?;
    let cut = state.bond.cutting.as_secs_f64();
    if cut <= 0.0 {
        return None;
    }
    let by = state.current_setup().holding.as_ref()?.by.word();
    let after = format!("{} ({})", minutes(rest.s), rest.source());
    Some(if is_due(state) {
        format!(
            "BOND WARM: {} cut on the {by} without a rest of {}; rest it after {after}",
            minutes(cut),
            minutes(REST.as_secs_f64())
        )
    } else {
        format!(
            "{by}: {} cut since it rested; rest it after {after}",
            minutes(cut)
        )
    })
}

/// Time passed in a phase; none: the clock was off.
fn count(state: &mut State, phase: Option<Phase>, more: Duration, at: Moment) {
    let was_due = is_due(state);
    if phase == Some(Phase::Cutting) {
        state.bond.cutting += more;
        state.bond.still = Duration::ZERO;
    } else {
        state.bond.still += more;
        if state.bond.still >= REST {
            state.bond.cutting = Duration::ZERO;
        }
    }
    if is_due(state) && !was_due {
        // That it was cool was said before it grew warm.
        let lines = [COOL.to_owned()];
        matrix::doubt_lines(state, Happening::BondTired, ListKind::Start, &lines, at);
    }
}

/// Time passed since the session last heard of anything.
pub(in crate::session) fn pass(state: &mut State, before: Moment, at: Moment) {
    let phase = state.phase();
    let mut more = at.since(before);
    if phase.is_none() {
        // With the clock off nothing is cut, whether this program ran or not.
        let wall = (at.wall - before.wall).to_std().unwrap_or_default();
        more = more.max(wall);
    }
    count(state, phase, more, at);
}

/// The person said what an unseen stretch of time was.
pub(in crate::session) fn explained(state: &mut State, phase: Phase, more: Duration, at: Moment) {
    count(state, Some(phase), more, at);
}

/// The person felt the bond, and it is cool.
pub(in crate::session) fn felt_cool(state: &mut State) {
    state.bond.cutting = Duration::ZERO;
}

/// Another way of holding is another bond.
pub(in crate::session) fn renewed(state: &mut State) {
    state.bond = BondHeat::default();
}
