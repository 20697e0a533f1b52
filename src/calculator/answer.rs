//! What is answered.

use crate::calculator::entry::Entry;
use crate::calculator::increase::Increase;
use crate::calculator::increase::Raised;
use crate::calculator::limit::Limit;
use crate::calculator::limit::Which;
use crate::quantity::Feed;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Power;
use crate::quantity::RemovalRate;
use crate::quantity::SpecificForce;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;
use crate::quantity::Time;
use crate::quantity::Torque;
use crate::quantity::show;
use crate::quantity::show::Units;

/// One formula with the numbers put in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What it gives, such as `chip load`.
    pub what: &'static str,
    /// Formula, numbers and result.
    pub line: String,
    /// Where formula or constants come from.
    pub source: String,
}

/// A recipe with its limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Spindle speed.
    pub n: SpindleSpeed,
    /// Surface speed at the diameter that cuts.
    pub vc: SurfaceSpeed,
    /// Chip load.
    pub fz: Length,
    /// Feed.
    pub vf: Feed,
    /// Depth; of the hole for a drill.
    pub ap: Length,
    /// Stepover.
    pub ae: Length,
    /// Thickest chip.
    pub hmax: Length,
    /// Mean chip over the engaged arc.
    pub hm: Length,
    /// Removal rate.
    pub q: RemovalRate,
    /// Specific force at the mean chip.
    pub kc: SpecificForce,
    /// Tangential force, mean over a turn.
    pub ft: Force,
    /// Tangential force, peak over a turn.
    pub ft_peak: Force,
    /// Force along the tool's axis: thrust of a drill, pull of a helix.
    pub thrust: Force,
    /// Torque at the cutter, mean over a turn.
    pub torque: Torque,
    /// Power at the cutter, mean over a turn.
    pub pc: Power,
    /// Power at the motor's shaft.
    pub motor: Power,
    /// What the motor gives continuously at this speed with the belt step to choose.
    pub motor_available: Power,
    /// Push that the loaded axis must give while a tooth is in the metal, friction included.
    pub axis_push: Force,
    /// Bending of the tool at its tip under the peak.
    pub bend_tool: Length,
    /// Bending of the machine under the mean, X.
    pub bend_machine_x: Length,
    /// Bending of the machine under the mean, Y.
    pub bend_machine_y: Length,
    /// Cusp that a rounded tool leaves at this stepover; 0 for a flat one.
    pub cusp: Length,
    /// Theoretical peak to valley of the feed marks on a wall.
    pub roughness: Length,
    /// Tool life, where the metal has the constants.
    pub life: Option<Time>,
    /// How the tool gets into the metal, for cuts that do not begin outside it.
    pub entry: Option<Entry>,
    /// Belt step to choose.
    pub step: Option<String>,
    /// Lowest speed rating of cutter, arbor and holder, where it is known.
    pub speed_rating: Option<SpindleSpeed>,
    /// Highest rpm that can occur when `n` is set.
    pub highest: SpindleSpeed,
    /// Limits that hold the stepover, where it was free and is not as wide as it may be.
    pub width_held_by: Vec<Which>,
    /// What to raise next after a first cut that went well, one value at a time.
    pub increases: Vec<Increase>,
    /// Limits, the one that binds first.
    pub limits: Vec<Limit>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// Each formula with its numbers.
    pub trace: Vec<Step>,
}

impl Answer {
    /// Whether a danger limit is passed.
    pub fn is_exceeded(&self) -> bool {
        self.limits.iter().any(Limit::is_exceeded)
    }

    /// What holds the stepover, such as `a wider cut is held by axis push`; empty where no limit does.
    pub fn width_words(&self) -> String {
        if self.width_held_by.is_empty() {
            return String::new();
        }
        let names: Vec<&str> = self.width_held_by.iter().map(|w| w.name()).collect();
        format!("a wider cut is held by {}", names.join(", "))
    }

    /// What to raise next, such as `feed 810 mm/min (axis push 70 %), then depth 0.55 mm (axis push 80 %)`; empty where nothing is free.
    pub fn next_words(&self) -> String {
        let words = |one: &Increase| {
            let value = match one.raised {
                Raised::Feed(feed) => show::feed(feed, Units::Metric),
                Raised::Speed(n, feed) => {
                    format!("{} at {}", show::rpm(n), show::feed(feed, Units::Metric))
                }
                Raised::Stepover(length) | Raised::Depth(length) => {
                    show::length(length, Units::Metric)
                }
            };
            let (name, which) = (one.raised.name(), one.which.name());
            format!("{name} {value} ({which} {:.0} %)", 100.0 * one.used)
        };
        let all: Vec<String> = self.increases.iter().map(words).collect();
        all.join(", then ")
    }

    /// Whether the tool can turn faster than it is rated for: no reason lets this recipe be accepted.
    pub fn is_over_speed_rating(&self) -> bool {
        self.limits
            .iter()
            .any(|limit| limit.which == Which::ToolSpeed && limit.is_exceeded())
    }

    /// The limit that binds.
    pub fn binding(&self) -> Option<&Limit> {
        self.limits.iter().find(|limit| limit.binds)
    }

    /// Bending of the machine, the greater of X and Y.
    pub fn bend_machine(&self) -> Length {
        if self.bend_machine_x > self.bend_machine_y {
            self.bend_machine_x
        } else {
            self.bend_machine_y
        }
    }
}
