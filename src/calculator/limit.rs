//! The limits of a recipe.

use crate::calculator::caps::Caps;
use crate::calculator::question::Cut;

/// Whether a limit hurts when it is passed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The machine cannot do more; running at it does no harm.
    Ceiling,
    /// Beyond it something breaks, burns, slips or loses its place.
    Danger,
}

impl Kind {
    /// Word used in output and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ceiling => "ceiling",
            Self::Danger => "danger",
        }
    }
}

/// Which limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// Push of the axis motors, used to half.
    AxisPush,
    /// Chips that stay in the slot.
    ChipsThatStay,
    /// Chips too thin to carry the heat away.
    ThinHotChips,
    /// Bending of the tool.
    ToolDeflection,
    /// Bending of the machine.
    MachineDeflection,
    /// The helix pulls the tool out of its collet.
    ToolGrip,
    /// The helix pulls the part off its hold.
    PartHold,
    /// Chips too thin to form.
    Rubbing,
    /// Usual chip load of such a cutter.
    ChipLoad,
    /// Surface speed of the edge.
    SurfaceSpeed,
    /// Power of the spindle motor.
    MotorPower,
    /// Cutting length of the tool.
    FluteLength,
    /// A shank that no collet of the spindle takes.
    Shank,
    /// A tool that does not cut at its centre.
    CentreCutting,
    /// Speed rating of cutter, arbor and holder, at the highest rpm that can occur; nothing relaxes it.
    ToolSpeed,
    /// Turns that a spindle runs on while it stops to reverse a tap.
    RunOn,
    /// Top speed of spindle or belt.
    TopSpeed,
    /// Least speed of the spindle.
    LeastSpeed,
    /// Top feed of the axes.
    TopFeed,
}

impl Which {
    /// Name on screen and in output.
    pub fn name(self) -> &'static str {
        match self {
            Self::AxisPush => "axis push",
            Self::ChipsThatStay => "packing: chips that stay",
            Self::ThinHotChips => "packing: thin hot chips",
            Self::ToolDeflection => "tool deflection",
            Self::MachineDeflection => "machine deflection",
            Self::ToolGrip => "tool grip",
            Self::PartHold => "part hold",
            Self::Rubbing => "rubbing",
            Self::ChipLoad => "chip load",
            Self::SurfaceSpeed => "surface speed",
            Self::MotorPower => "motor power",
            Self::FluteLength => "flute length",
            Self::Shank => "shank in the collet",
            Self::CentreCutting => "centre cutting",
            Self::ToolSpeed => "tool speed rating",
            Self::RunOn => "run-on of the spindle",
            Self::TopSpeed => "top speed",
            Self::LeastSpeed => "least speed",
            Self::TopFeed => "top feed",
        }
    }

    /// Ceiling or danger.
    pub fn kind(self) -> Kind {
        match self {
            Self::TopSpeed | Self::LeastSpeed | Self::TopFeed => Kind::Ceiling,
            _ => Kind::Danger,
        }
    }

    /// What would lift it in this kind of cut.
    pub fn lift(self, cut: Cut) -> &'static str {
        match self {
            Self::AxisPush if cut == Cut::Drill => {
                "a pilot hole, a split point or a sharper drill; oiled ways"
            }
            Self::AxisPush if cut.is_hole() => "less chip load; a sharper tool; oiled ways",
            Self::AxisPush => "less depth, stepover or chip load; oiled ways",
            Self::ChipsThatStay => {
                "clear the chips: brush, air or flood; less total depth; a wider slot"
            }
            Self::ThinHotChips => "fewer flutes, or a lower speed at the same feed",
            Self::ToolDeflection => "a shorter stick-out, a thicker tool, less depth or stepover",
            Self::MachineDeflection => "less depth or stepover; a spring pass takes the rest",
            Self::ToolGrip => "a clean, tight collet; less helix; less depth",
            Self::PartHold => "a firmer hold; less helix; less depth",
            Self::Rubbing if cut.is_hole() => "more chip load, a keener edge",
            Self::Rubbing => "more chip load, fewer flutes, a keener edge",
            // The size of a hole is given.
            Self::ChipLoad if cut.is_hole() => "less chip load; more is not usual for this size",
            Self::ChipLoad => "a larger tool",
            Self::SurfaceSpeed if cut.is_hole() => "a carbide or coated tool",
            Self::SurfaceSpeed => "a carbide or coated tool, or a smaller one",
            Self::MotorPower if cut == Cut::Drill => {
                "the belt step that gives more torque; a pilot hole, or opening it in steps"
            }
            Self::MotorPower if cut.is_hole() => {
                "the belt step that gives more torque; less chip load"
            }
            Self::MotorPower => "the belt step that gives more torque; less depth or stepover",
            Self::FluteLength => "a tool with longer flutes",
            Self::Shank => "a tool with a thinner shank",
            Self::CentreCutting => "a ramp or helix, or a tool that cuts to its centre",
            Self::ToolSpeed => {
                "a lower rpm, the belt step below, or a cutter, arbor and holder rated higher"
            }
            Self::RunOn => "a lower rpm, or a spindle that stops sooner",
            Self::TopSpeed if cut.is_hole() => "the next belt step",
            Self::TopSpeed => "the next belt step, or a larger tool",
            Self::LeastSpeed if cut.is_hole() => "the belt step below, or a carbide tool",
            Self::LeastSpeed => "the belt step below, or a smaller tool",
            Self::TopFeed if cut.is_hole() => "a lower speed keeps the chip load",
            Self::TopFeed => "fewer flutes or a lower speed keep the chip load",
        }
    }
}

/// One limit of a recipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Which.
    pub which: Which,
    /// Share that is used: 1 is at the limit, more is beyond it (fixed values only, or when none fits).
    pub used: f64,
    /// Share that a first cut may use.
    pub target: f64,
    /// Whether it is the one that keeps the recipe from doing more.
    pub binds: bool,
}

impl Limit {
    /// A danger that is passed.
    pub fn is_exceeded(&self) -> bool {
        self.which.kind() == Kind::Danger && self.used > 1.0 + 1e-9
    }

    /// Whether more of it is used than a first cut uses, and no more than is allowed.
    pub fn is_relaxed(&self) -> bool {
        self.which.kind() == Kind::Danger && !self.is_exceeded() && self.used > self.target * 1.005
    }

    /// Share used of what a recommendation may use.
    pub fn of_target(&self) -> f64 {
        self.used / self.target
    }
}

/// Marks the limit that binds and puts it first; the rest by share used.
pub fn in_order(used: &[(Which, f64)], first: &Caps) -> Vec<Limit> {
    let mut limits: Vec<Limit> = used
        .iter()
        .map(|(which, used)| Limit {
            which: *which,
            used: *used,
            target: first.of(*which),
            binds: false,
        })
        .collect();
    limits.sort_by(|a, b| {
        b.is_exceeded()
            .cmp(&a.is_exceeded())
            // What differs by less than rounding is a tie; a danger goes before a ceiling.
            .then(
                (b.of_target() * 1e4)
                    .round()
                    .total_cmp(&(a.of_target() * 1e4).round()),
            )
            .then((a.which.kind() == Kind::Ceiling).cmp(&(b.which.kind() == Kind::Ceiling)))
            .then(a.which.name().cmp(b.which.name()))
    });
    if let Some(first) = limits.first_mut() {
        first.binds = true;
    }
    limits
}
