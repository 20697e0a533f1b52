//! Whether the spindle turns at the speed of a recipe.
//!
//! A recipe that the spindle cannot turn is none: its feed, its power and its forces belong to another speed. So it is
//! refused, with what to do. Where only the margin of the surface speed asks for less than the spindle's least, the least
//! is tried: it is given when every danger limit is kept.

use crate::calculator::answer::Answer;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::job::machine::Spindle;
use crate::quantity::rpm;
use crate::quantity::show;
use crate::quantity::to_rpm;

/// What rounding may do to a speed.
const ROUNDING: f64 = 1e-9;

/// The answer, if the spindle turns at its speed.
///
/// # Errors
///
/// Those of `answer`, and a speed that no belt step of the spindle has.
pub fn within(
    q: &Question<'_>,
    answer: impl Fn(&Question<'_>) -> Result<Answer, Refusal>,
) -> Result<Answer, Refusal> {
    let found = answer(q)?;
    let spindle = &q.machine.spindle;
    let n = to_rpm(found.n);
    if turns_at(spindle, n) {
        return Ok(found);
    }
    let fixed = &q.fixed;
    let is_fixed =
        fixed.n.is_some() || fixed.vc.is_some() || fixed.fz.is_some() && fixed.vf.is_some();
    let least = spindle.least_rpm();
    if !is_fixed && n < least {
        let mut slowest = q.clone();
        slowest.fixed.n = Some(rpm(least));
        if let Ok(mut found) = answer(&slowest)
            && !found.is_exceeded()
        {
            let line = format!("{}, the least of the spindle", show::rpm(rpm(least)));
            found.assumed.push(line);
            return Ok(found);
        }
    }
    Err(Refusal::OutOfReach {
        wanted: show::rpm(found.n),
        range: range(spindle),
        is_fixed,
        is_slow: n < least,
    })
}

/// Whether a belt step has this speed.
fn turns_at(spindle: &Spindle, n: f64) -> bool {
    spindle.steps.iter().any(|step| {
        n >= step.least_rpm.value * (1.0 - ROUNDING) && n <= step.top_rpm.value * (1.0 + ROUNDING)
    })
}

/// The speeds of each belt step, slowest first.
fn range(spindle: &Spindle) -> String {
    let step = |least: f64, top: f64| format!("{least:.0} to {}", show::rpm(rpm(top)));
    let steps = spindle.steps.iter();
    let ranges: Vec<String> = steps
        .map(|of| step(of.least_rpm.value, of.top_rpm.value))
        .collect();
    ranges.join(", ")
}
