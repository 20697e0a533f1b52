//! What is asked.

use std::error::Error;
use std::fmt;

use crate::cutting::packing::Clearing;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::tool::Tool;
use crate::quantity::Feed;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;

/// Kind of cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// Along a wall that is open to one side.
    Side,
    /// A slot as wide as the tool.
    Slot,
    /// The top face.
    Face,
    /// Straight down with a milling tool.
    Plunge,
    /// A hole with a drill.
    Drill,
    /// A hole to size with a reamer.
    Ream,
    /// A thread with a tap.
    Tap,
    /// An edge with a chamfer mill.
    Chamfer,
    /// A thread with a thread mill.
    Thread,
}

impl Cut {
    /// Every kind.
    pub const ALL: [Self; 9] = [
        Self::Side,
        Self::Slot,
        Self::Face,
        Self::Plunge,
        Self::Drill,
        Self::Ream,
        Self::Tap,
        Self::Chamfer,
        Self::Thread,
    ];

    /// Word used in commands and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Side => "side",
            Self::Slot => "slot",
            Self::Face => "face",
            Self::Plunge => "plunge",
            Self::Drill => "drill",
            Self::Ream => "ream",
            Self::Tap => "tap",
            Self::Chamfer => "chamfer",
            Self::Thread => "thread",
        }
    }

    /// The kind of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|cut| cut.word() == word)
    }

    /// Whether the tool feeds along its axis.
    pub fn is_hole(self) -> bool {
        matches!(self, Self::Plunge | Self::Drill | Self::Ream | Self::Tap)
    }
}

/// What the recipe is to be best at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Aim {
    /// Most metal a minute.
    #[default]
    Removal,
    /// Least error of the wall and least roughness.
    Finish,
    /// Most metal for one edge.
    Life,
}

impl Aim {
    /// Every aim.
    pub const ALL: [Self; 3] = [Self::Removal, Self::Finish, Self::Life];

    /// Word used in commands and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Removal => "removal",
            Self::Finish => "finish",
            Self::Life => "life",
        }
    }

    /// The aim of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.word() == word)
    }
}

/// Values that the person has fixed; what is `None` follows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Fixed {
    /// Spindle speed.
    pub n: Option<SpindleSpeed>,
    /// Surface speed; not together with `n`.
    pub vc: Option<SurfaceSpeed>,
    /// Chip load.
    pub fz: Option<Length>,
    /// Feed.
    pub vf: Option<Feed>,
    /// Depth; depth of the hole for a drill.
    pub ap: Option<Length>,
    /// Stepover.
    pub ae: Option<Length>,
}

/// A question to the calculator.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The metal.
    pub material: &'a Material,
    /// The tool. What is known better of the one in hand is changed in a copy of the profile.
    pub tool: &'a Tool,
    /// Kind of cut.
    pub cut: Cut,
    /// Length out of the holder; the tool's usual one when `None`.
    pub stick_out: Option<Length>,
    /// Run-out at the tool, total indicator reading; the machine's when `None`.
    pub run_out: Option<Length>,
    /// Total depth of the slot, all passes; one pass when `None`.
    pub total_depth: Option<Length>,
    /// Upward pull that the part's hold stands (tape, vacuum, clamps); not checked when `None`.
    pub part_hold: Option<Force>,
    /// A face that is narrower than the tool is cut in one pass over its middle.
    pub centred: bool,
    /// Widest stepover that is proposed; as wide as is usual for the cut when `None`.
    pub widest: Option<Length>,
    /// Diameter of the hole that the drill opens; into the full when `None`.
    pub pilot: Option<Length>,
    /// Pitch of the thread; the tool's when `None`.
    pub pitch: Option<Length>,
    /// Nominal diameter of the thread; the tool's when `None`.
    pub thread: Option<Length>,
    /// What is fixed.
    pub fixed: Fixed,
    /// Whether the depth among it was proposed and nobody chose it.
    pub is_depth_proposed: bool,
    /// What the recipe is to be best at.
    pub aim: Aim,
    /// How chips are cleared.
    pub clearing: Clearing,
    /// Speed read in the cut, which a belt drive or a tired motor makes less than what was set.
    pub in_cut: Option<SpindleSpeed>,
    /// Frequencies that the person has heard the machine sing at.
    pub heard: &'a [SpindleSpeed],
}

impl<'a> Question<'a> {
    /// A question with nothing fixed, for most metal a minute, dry.
    pub fn new(machine: &'a Machine, material: &'a Material, tool: &'a Tool, cut: Cut) -> Self {
        Self {
            machine,
            material,
            tool,
            cut,
            stick_out: None,
            run_out: None,
            total_depth: None,
            part_hold: None,
            centred: false,
            widest: None,
            pilot: None,
            pitch: None,
            thread: None,
            fixed: Fixed::default(),
            is_depth_proposed: false,
            aim: Aim::Removal,
            clearing: Clearing::None,
            in_cut: None,
            heard: &[],
        }
    }
}

/// Why a question has no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// A fixed value is not a number above 0.
    NotPositive {
        /// Its name.
        name: &'static str,
    },
    /// Speed is fixed twice.
    SpeedTwice,
    /// Feed, chip load and speed are all fixed and disagree.
    FeedTwice,
    /// The stepover is wider than the tool cuts.
    TooWide {
        /// What the tool cuts, as shown.
        bound: String,
    },
    /// A slot is as wide as the tool; another stepover is another cut.
    SlotWidth {
        /// What the tool cuts, as shown.
        bound: String,
    },
    /// This sort of tool does not make this cut.
    ToolCannot {
        /// The sort of tool.
        tool: &'static str,
        /// The cut.
        cut: &'static str,
    },
    /// A tap or thread mill without a pitch.
    NoPitch,
    /// The metal has no speeds for any tool.
    NoSpeeds,
    /// A tool that can burst, and nobody has said how fast it may turn.
    NoSpeedRating {
        /// The sort of tool.
        tool: &'static str,
    },
    /// The spindle turns no slower than is too fast for the tool.
    SpindleTooFast {
        /// Its least speed, as shown.
        least: String,
        /// The highest rpm that may be set, as shown.
        most: String,
    },
    /// Power tapping on a spindle that does not reverse.
    TapCannotReverse {
        /// The hole to drill, as shown.
        hole: String,
        /// Least depth to drill, as shown, and what it is for.
        depth: String,
    },
    /// A pilot hole for a solid carbide drill.
    PilotForCarbide,
    /// A pilot hole as wide as the drill.
    PilotTooWide {
        /// The drill, as shown.
        drill: String,
    },
    /// A slitting saw: how it cuts is not reckoned.
    Saw,
    /// No belt step of the spindle has the speed.
    OutOfReach {
        /// The speed, as shown.
        wanted: String,
        /// Speeds of the spindle, as shown.
        range: String,
        /// Whether the person fixed it.
        is_fixed: bool,
        /// Whether it is below the least of the spindle.
        is_slow: bool,
    },
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive { name } => write!(f, "{name} must be more than 0"),
            Self::SpeedTwice => {
                f.write_str("rpm and surface speed are both fixed; let one of them follow")
            }
            Self::FeedTwice => f.write_str(
                "feed, chip load and speed are all fixed and disagree; let one of them follow",
            ),
            Self::TooWide { bound } => {
                write!(f, "the stepover is wider than the tool cuts there, {bound}")
            }
            Self::SlotWidth { bound } => write!(
                f,
                "a slot is as wide as the tool, {bound}; leave the stepover out, or choose the cut \"side\""
            ),
            Self::ToolCannot { tool, cut } => write!(
                f,
                "a tool of the sort \"{tool}\" does not make the cut \"{cut}\"; choose another tool"
            ),
            Self::NoPitch => {
                f.write_str("the pitch of the thread is not known; name the thread, such as M6")
            }
            Self::NoSpeeds => f.write_str("this metal's profile has no surface speeds"),
            Self::NoSpeedRating { tool } => write!(
                f,
                "the speed rating of this {tool} is not known; enter the lowest rpm that is printed on cutter, arbor and holder"
            ),
            Self::SpindleTooFast { least, most } => write!(
                f,
                "the spindle turns at least {least}, and the speed rating of the tool allows {most} to be set; \
                 choose another tool, or one that is rated higher"
            ),
            Self::TapCannotReverse { hole, depth } => write!(
                f,
                "this spindle turns right only and cannot back a tap out: no power tapping. First the {hole}, {depth}. \
                 Switch the spindle off, guide the tap in its nose and turn it by hand with cutting oil, back a quarter turn \
                 each half turn; or mill the thread with a thread mill"
            ),
            Self::PilotForCarbide => f.write_str(
                "drill no pilot hole for a solid carbide drill: it centres itself, and its corners break in a hole; \
                 drill into the full, or choose a drill of high-speed steel",
            ),
            Self::PilotTooWide { drill } => write!(
                f,
                "the pilot hole is as wide as the drill, {drill}; enter a smaller one"
            ),
            Self::Saw => f.write_str(
                "no recipe is worked out for a slitting saw, which cuts as wide as its blade is thick; \
                 take speed and feed from the saw maker's sheet, at no more than its speed rating",
            ),
            Self::OutOfReach {
                wanted,
                range,
                is_fixed: true,
                ..
            } => write!(
                f,
                "the spindle does not turn at {wanted}; it turns {range}: enter a speed within that"
            ),
            Self::OutOfReach {
                wanted,
                range,
                is_slow,
                ..
            } => write!(
                f,
                "this tool in this metal needs {wanted}, and the spindle turns {range}; \
                 choose {} tool or another machine",
                if *is_slow {
                    "a smaller or a carbide"
                } else {
                    "a larger"
                }
            ),
        }
    }
}

impl Error for Refusal {}
