//! How fast a tool may turn, how fast a spindle really turns, and what its speed can be set to.
//!
//! A cutter, an arbor or a holder that turns faster than it is rated for can burst. Its rating is therefore held against
//! the highest rpm that can occur: the set rpm with the override turned up, with the knob read wrongly, and without load.
//! Nothing relaxes it and no reason lifts it. The session, the recipe and the check all ask here.
//!
//! ISO 15641 treats the strength of milling cutters for high speed machining (from memory); LSU, machine shop rule 7:
//! never faster than the correct speed. Force on a loose part grows with the square of the rpm.

use crate::job::machine::Given;
use crate::job::machine::Machine;
use crate::job::machine::SpeedSetBy;
use crate::job::machine::Spindle;
use crate::job::tool::Kind;
use crate::job::tool::Tool;

/// Id of the finding of a program that turns a tool faster than it is rated for; no reason accepts it.
pub const OVER_RATING: &str = "tool-speed-over-rating";

/// Tools of this diameter and more need a speed rating, whatever their kind, mm; the diameter from which the caution
/// about the rpm of a cutter is asked (a precaution).
pub const LARGE_MM: f64 = 25.0;

/// Spindle override where no machine is stated, over 1: from memory, 120 % is a usual end of the knob.
const USUAL_OVERRIDE: f64 = 1.2;
/// Rpm without load over the set rpm where no machine is stated; slip of an induction motor, common practice, no source.
const USUAL_UNLOADED: f64 = 1.05;
/// How far a speed set by hand may lie above what was meant; common practice, no source.
const HAND_TOLERANCE: f64 = 0.05;
/// Steps in which a knob is set by hand, rpm; common practice, no source.
const HAND_STEP_RPM: f64 = 50.0;
/// Steps in which a program sets the speed, rpm: an inverter takes tenths of a hertz, 6 rpm of a two-pole motor.
const PROGRAM_STEP_RPM: f64 = 10.0;

/// What the profile of a machine says of how its spindle speed is set; `None` where it does not.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SpeedSetting {
    /// Step in which the speed can be set, rpm.
    pub step_rpm: Option<Given<f64>>,
    /// How much faster than set it turns without load, as a share of the set speed.
    pub unloaded_share: Option<Given<f64>>,
    /// How far the set speed may lie above the one that was meant, as a share of it.
    pub tolerance_share: Option<Given<f64>>,
    /// Greatest spindle override, percent.
    pub override_most_percent: Option<Given<f64>>,
}

/// How much faster than set a spindle can turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Faster {
    /// Greatest override, over 1.
    pub by_override: f64,
    /// Rpm without load over the set rpm.
    pub unloaded: f64,
    /// Rpm that is set over the one that was meant.
    pub tolerance: f64,
    /// Beyond this rpm the override does not drive the spindle.
    pub top_rpm: f64,
    /// What of it is assumed, in words; empty where the profile says it all.
    pub assumed: String,
}

impl Default for Faster {
    /// Where no machine is stated.
    fn default() -> Self {
        Self {
            by_override: USUAL_OVERRIDE,
            unloaded: USUAL_UNLOADED,
            tolerance: 1.0,
            top_rpm: f64::INFINITY,
            assumed: "machine not stated: override to 120 %, 5 % faster without load".to_owned(),
        }
    }
}

impl Faster {
    /// How much faster the spindle of this machine can turn than it is set to.
    ///
    /// Where the profile does not say: without load it turns faster by what it loses under full torque, n / (1 - sag); a
    /// hand sets it up to 5 % too high and has no override; the spindle override of a program reaches as far as that of
    /// the feed.
    pub fn of(machine: &Machine) -> Self {
        let spindle = &machine.spindle;
        let setting = &spindle.setting;
        let is_by_hand = spindle.speed_set_by == SpeedSetBy::Hand;
        let mut assumed = vec![];
        let unloaded = match &setting.unloaded_share {
            Some(share) => 1.0 + share.value,
            None => {
                let unloaded = 1.0 / (1.0 - spindle.sag_share.value.clamp(0.0, 0.9));
                assumed.push(format!("{} faster without load", percent(unloaded)));
                unloaded
            }
        };
        let tolerance = match &setting.tolerance_share {
            Some(share) => 1.0 + share.value,
            None if is_by_hand => {
                let tolerance = 1.0 + HAND_TOLERANCE;
                assumed.push(format!("set by hand up to {} too high", percent(tolerance)));
                tolerance
            }
            None => 1.0,
        };
        let by_override = match &setting.override_most_percent {
            Some(most) => (most.value / 100.0).max(1.0),
            None if is_by_hand => 1.0,
            None => {
                let most = machine.control.override_most_percent.value.max(100.0);
                assumed.push(format!(
                    "spindle override to {most:.0} %, as that of the feed"
                ));
                most / 100.0
            }
        };
        Self {
            by_override,
            unloaded,
            tolerance,
            top_rpm: spindle.top_rpm(),
            assumed: assumed.join(", "),
        }
    }

    /// The highest rpm that can occur when this one is set.
    pub fn highest(&self, set_rpm: f64) -> f64 {
        let driven = (set_rpm * self.by_override).min(self.top_rpm.max(set_rpm));
        driven * self.unloaded * self.tolerance
    }

    /// The greatest rpm that may be set so that no more than this one can occur.
    pub fn to_set(&self, highest_rpm: f64) -> f64 {
        let driven = highest_rpm / (self.unloaded * self.tolerance);
        if driven >= self.top_rpm {
            // The override cannot drive it further.
            driven
        } else {
            driven / self.by_override
        }
    }

    /// The highest rpm in words, such as `1500 rpm can become 1838`.
    pub fn words(&self, set_rpm: f64) -> String {
        format!("{set_rpm:.0} rpm can become {:.0}", self.highest(set_rpm))
    }
}

fn percent(factor: f64) -> String {
    format!("{:.0} %", (factor - 1.0) * 100.0)
}

impl Spindle {
    /// Step in which the speed can be set, rpm.
    pub fn step_rpm(&self) -> f64 {
        match (&self.setting.step_rpm, self.speed_set_by) {
            (Some(step), _) => step.value,
            (None, SpeedSetBy::Hand) => HAND_STEP_RPM,
            (None, SpeedSetBy::Program) => PROGRAM_STEP_RPM,
        }
    }

    /// The greatest rpm that can be set and is not above the wanted one: a belt step's least and top speed, and between
    /// them the steps of the knob or the S word. A wanted rpm between two belt steps gives the top of the lower one;
    /// `None` below the least speed of all.
    pub fn settable_rpm(&self, wanted_rpm: f64) -> Option<f64> {
        let steps = self.steps.iter();
        settable_rpm(
            steps.map(|step| [step.least_rpm.value, step.top_rpm.value]),
            self.step_rpm(),
            wanted_rpm,
        )
    }
}

/// As [`Spindle::settable_rpm`], of the least and top speed of each belt step and the step of the knob or S word, rpm.
pub fn settable_rpm(
    belt: impl IntoIterator<Item = [f64; 2]>,
    by_rpm: f64,
    wanted_rpm: f64,
) -> Option<f64> {
    // A whole number of steps must not lose one to rounding.
    let wanted = wanted_rpm * (1.0 + 1e-9);
    belt.into_iter()
        .map(|[least, top]| [least.max(1.0), top])
        .filter(|[least, _]| *least <= wanted)
        .map(|[least, top]| {
            if wanted >= top {
                top
            } else {
                ((wanted / by_rpm).floor() * by_rpm).max(least)
            }
        })
        .max_by(f64::total_cmp)
}

impl Tool {
    /// The lowest speed rating of cutter, arbor and holder, rpm; `None` where none is known.
    pub fn speed_rating_rpm(&self) -> Option<f64> {
        [
            self.cutter_rating_rpm,
            self.arbor_rating_rpm,
            self.holder_rating_rpm,
        ]
        .into_iter()
        .flatten()
        .min_by(f64::total_cmp)
    }

    /// Whether the tool is one that must not turn before somebody has read its rating, and none is known.
    pub fn lacks_speed_rating(&self) -> bool {
        self.speed_rating_rpm().is_none() && needs_rating(Some(self.kind), Some(self.diameter_mm))
    }
}

/// Whether a tool needs a speed rating: a bit on an arm, a disc, or a large tool, as far as kind and diameter are known.
pub fn needs_rating(kind: Option<Kind>, diameter_mm: Option<f64>) -> bool {
    match kind {
        Some(Kind::Flycutter | Kind::SlittingSaw | Kind::BoringHead) => true,
        Some(Kind::EdgeFinder) => false,
        _ => diameter_mm.is_some_and(|d| d >= LARGE_MM),
    }
}

/// Whether no reason accepts the stop finding of this name.
pub fn is_never_accepted(finding: &str) -> bool {
    finding
        .strip_prefix(OVER_RATING)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_highest_rpm_counts_override_load_and_knob() {
        let faster = Faster {
            by_override: 1.2,
            unloaded: 1.05,
            tolerance: 1.1,
            top_rpm: 3000.0,
            assumed: String::new(),
        };
        // By hand: 1000 · 1.2 · 1.05 · 1.1 = 1386.
        assert!((faster.highest(1000.0) - 1386.0).abs() < 1e-9);
        assert!((faster.to_set(1386.0) - 1000.0).abs() < 1e-9);
        // The override ends at the spindle's top: 3000 · 1.05 · 1.1 = 3465, and so does what may be set.
        assert!((faster.highest(2900.0) - 3465.0).abs() < 1e-9);
        for set in [500.0, 2400.0, 2600.0, 3000.0, 4000.0] {
            assert!(
                faster.highest(faster.to_set(set)) <= set * (1.0 + 1e-9),
                "{set}"
            );
        }
    }

    #[test]
    fn only_the_finding_itself_is_never_accepted() {
        assert!(is_never_accepted("tool-speed-over-rating line 4"));
        assert!(is_never_accepted("tool-speed-over-rating"));
        assert!(!is_never_accepted("tool-speed-over-rating-else line 4"));
        assert!(!is_never_accepted("keep-out-entered line 4"));
    }
}
