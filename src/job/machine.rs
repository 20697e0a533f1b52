//! The machine as a person knows it: each limit with how it was found.

use crate::job::conditions::Conditions;
use crate::job::tool_speed::SpeedSetting;

/// How a value of a machine was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Read on the machine's own plate or on a part's label.
    Label,
    /// Read in the machine's manual.
    Manual,
    /// Measured on the machine.
    Measured,
    /// Worked out from other values of the machine.
    Computed,
    /// A starting value; nobody has looked yet.
    Assumed,
}

impl Basis {
    /// Every basis, most trusted first.
    pub const ALL: [Self; 5] = [
        Self::Measured,
        Self::Label,
        Self::Manual,
        Self::Computed,
        Self::Assumed,
    ];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Label => "label",
            Self::Manual => "manual",
            Self::Measured => "measured",
            Self::Computed => "computed",
            Self::Assumed => "assumed",
        }
    }

    /// The basis of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|basis| basis.word() == word)
    }
}

/// How a value was found, with what and by whom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct How {
    /// Kind of evidence.
    pub basis: Basis,
    /// With what it was measured, from what it was computed; may be empty.
    pub note: String,
}

/// A value of a machine and how it was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Given<T> {
    /// The value, in the unit of the field's name.
    pub value: T,
    /// How it was found.
    pub how: How,
}

impl<T> Given<T> {
    /// A value with the evidence for it.
    pub fn new(value: T, basis: Basis, note: impl Into<String>) -> Self {
        Self {
            value,
            how: How {
                basis,
                note: note.into(),
            },
        }
    }

    /// Whether nobody has looked at the machine for this value yet.
    pub fn is_assumed(&self) -> bool {
        self.how.basis == Basis::Assumed
    }
}

/// What sort of machine it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A mill of some 30 to 100 kg on a bench.
    LightMill,
    /// A mill of 150 kg and more.
    BenchMill,
    /// A gantry with a fast, light spindle.
    Router,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::LightMill, Self::BenchMill, Self::Router];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::LightMill => "light mill",
            Self::BenchMill => "bench mill",
            Self::Router => "router",
        }
    }

    /// The kind of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// One linear axis: motor, screw, ways and what they can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Usable travel, mm.
    pub travel_mm: Given<f64>,
    /// Speed of G0 moves, mm/min.
    pub rapid_mm_min: Given<f64>,
    /// Highest feed at which the axis still follows under cutting load, mm/min.
    pub top_feed_mm_min: Given<f64>,
    /// Acceleration that the control uses, mm/s².
    pub acceleration_mm_s2: Given<f64>,
    /// Travel per turn of the screw, or per turn of the pulley on a belt axis, mm.
    pub lead_mm: Given<f64>,
    /// Full steps of the motor per turn; 200 for a 1.8 degree motor.
    pub full_steps_per_turn: Given<u32>,
    /// Microsteps per full step, 1 to 256.
    pub microsteps: Given<u32>,
    /// Holding torque of the axis motor, N m; `None` when nobody knows it.
    pub holding_torque_nm: Option<Given<f64>>,
    /// Share of the motor's torque that the screw turns into push, 0 to 1.
    pub screw_efficiency: Given<f64>,
    /// Push at the nut at cutting feeds before the motor loses steps, N. The
    /// ways' friction is not taken off, and no margin is left.
    pub push_n: Given<f64>,
    /// Push that the ways use up by themselves, N.
    pub friction_n: Given<f64>,
    /// Lost motion on reversal (reversal value), mm.
    pub backlash_mm: Given<f64>,
    /// Stiffness of the machine between tool and table along this axis, N/µm.
    pub stiffness_n_um: Given<f64>,
}

impl Axis {
    /// Four full motor steps as a length, mm: a stalled two-phase stepper falls
    /// back by multiples of it.
    pub fn four_full_steps_mm(&self) -> f64 {
        4.0 * self.lead_mm.value / f64::from(self.full_steps_per_turn.value)
    }
}

/// The three linear axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Axes {
    /// Left to right.
    pub x: Axis,
    /// Front to back.
    pub y: Axis,
    /// Down to up.
    pub z: Axis,
}

/// The spindle's motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MotorKind {
    /// Brushed direct-current motor; its speed sags under load.
    DirectCurrent,
    /// Motor commutated by its driver; the driver holds the speed.
    Brushless,
    /// Induction motor on a frequency inverter.
    Inverter,
    /// Series-wound hand-router motor.
    Universal,
}

impl MotorKind {
    /// Every kind.
    pub const ALL: [Self; 4] = [
        Self::DirectCurrent,
        Self::Brushless,
        Self::Inverter,
        Self::Universal,
    ];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::DirectCurrent => "direct current",
            Self::Brushless => "brushless",
            Self::Inverter => "inverter",
            Self::Universal => "universal",
        }
    }

    /// The kind of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// Who sets the spindle speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpeedSetBy {
    /// A knob or a lever: the program's S word does nothing.
    Hand,
    /// The program's S word.
    Program,
}

impl SpeedSetBy {
    /// Both ways.
    pub const ALL: [Self; 2] = [Self::Hand, Self::Program];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hand => "hand",
            Self::Program => "program",
        }
    }

    /// The way of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|way| way.word() == word)
    }
}

/// Which way the spindle can turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turns {
    /// Clockwise only (M3).
    Right,
    /// Both ways (M3 and M4).
    Both,
}

impl Turns {
    /// Both possibilities.
    pub const ALL: [Self; 2] = [Self::Right, Self::Both];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Both => "both",
        }
    }

    /// The possibility of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|turns| turns.word() == word)
    }
}

/// One belt or gear position between motor and spindle.
#[derive(Clone, Debug, PartialEq)]
pub struct BeltStep {
    /// What the person calls it, such as "high".
    pub name: String,
    /// Spindle turns per motor turn; 2 is a step-up.
    pub ratio: Given<f64>,
    /// Least usable spindle speed, rpm.
    pub least_rpm: Given<f64>,
    /// Top spindle speed, rpm.
    pub top_rpm: Given<f64>,
}

/// More than the continuous rating, for a while.
#[derive(Clone, Debug, PartialEq)]
pub struct ShortTime {
    /// Torque over the continuous torque, 1 and more.
    pub torque_ratio: Given<f64>,
    /// How long, s.
    pub time_s: Given<f64>,
}

/// Motor, drive and nose of the spindle.
#[derive(Clone, Debug, PartialEq)]
pub struct Spindle {
    /// Sort of motor.
    pub motor: MotorKind,
    /// Power at the motor's shaft, continuous, at the rated speed, W.
    pub rated_w: Given<f64>,
    /// Motor speed of the rated power, rpm. Below it down to
    /// [`Self::constant_torque_from_rpm`] the torque is constant; above it, up
    /// to the belt step's top speed, the power.
    pub rated_rpm: Given<f64>,
    /// Least motor speed at which the rated torque may be used continuously,
    /// rpm; below it the fan no longer cools.
    pub constant_torque_from_rpm: Given<f64>,
    /// More than the continuous rating for a while, if any.
    pub short_time: Option<ShortTime>,
    /// Share of the no-load speed that is lost at rated torque, 0 to 1.
    pub sag_share: Given<f64>,
    /// Share of the motor's power that reaches the spindle, 0 to 1.
    pub efficiency: Given<f64>,
    /// Belt or gear positions, slowest first; never empty.
    pub steps: Vec<BeltStep>,
    /// Who sets the speed.
    pub speed_set_by: SpeedSetBy,
    /// In what steps, and how much faster than set it may turn.
    pub setting: SpeedSetting,
    /// Which way it turns.
    pub turns: Turns,
    /// Time that it takes to stop from a tapping speed, s; `None` when nobody has timed it.
    pub stop_s: Option<Given<f64>>,
    /// Largest shank that the collet or holder takes, mm.
    pub largest_shank_mm: Given<f64>,
    /// Axial pull on the tool at which it begins to creep out, N.
    pub grip_n: Given<f64>,
    /// Run-out at the tool, total indicator reading, mm.
    pub run_out_mm: Given<f64>,
}

impl Spindle {
    /// Highest spindle speed of all belt steps, rpm.
    pub fn top_rpm(&self) -> f64 {
        self.steps
            .iter()
            .map(|step| step.top_rpm.value)
            .fold(0.0, f64::max)
    }

    /// Least spindle speed of all belt steps, rpm.
    pub fn least_rpm(&self) -> f64 {
        self.steps
            .iter()
            .map(|step| step.least_rpm.value)
            .fold(f64::INFINITY, f64::min)
    }
}

/// What the control does and has.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// Feed override moves in steps of this many percent.
    pub override_step_percent: Given<f64>,
    /// Least feed override, percent.
    pub override_least_percent: Given<f64>,
    /// Greatest feed override, percent.
    pub override_most_percent: Given<f64>,
    /// Whether there are home switches.
    pub has_home_switches: Given<bool>,
    /// How far above the last depth a G83 peck ends its rapid, mm.
    pub peck_clearance_mm: Given<f64>,
    /// How many work offsets there are (G54 is the first).
    pub work_offsets: Given<u32>,
    /// How far a corner may be rounded in continuous path mode, mm; 0 stops at each corner.
    pub corner_tolerance_mm: Given<f64>,
    /// Blocks that the control looks ahead; 0 stops at each block.
    pub look_ahead_blocks: Given<u32>,
    /// Time a tool change by hand takes, touching off included, s.
    pub tool_change_s: Given<f64>,
    /// Dead time of each stop between two motions, s, if it was timed.
    pub stop_s: Option<Given<f64>>,
}

/// A machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Its own name, lower case with hyphens; by it own profiles replace shipped ones.
    pub name: String,
    /// What the screen calls it.
    pub title: String,
    /// What sort it is.
    pub kind: Kind,
    /// Axes.
    pub axes: Axes,
    /// Spindle.
    pub spindle: Spindle,
    /// Control.
    pub control: Control,
    /// What it states for the choice of cautions: enclosure, drive, drawbar ...
    pub states: Conditions,
    /// Notes for the person.
    pub notes: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back_to_its_kind() {
        for basis in Basis::ALL {
            assert_eq!(Basis::from_word(basis.word()), Some(basis));
        }
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
        }
        for kind in MotorKind::ALL {
            assert_eq!(MotorKind::from_word(kind.word()), Some(kind));
        }
        assert_eq!(Basis::from_word("guessed"), None);
    }
}
