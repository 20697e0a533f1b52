//! One operation of a setup.

use crate::job::recipe::Recipe;
use crate::job::recipe::ToolChange;
use crate::job::typed::Typed;

/// What kind of work an operation is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OperationKind {
    /// Facing a surface.
    Face,
    /// A pocket.
    Pocket,
    /// A full slot.
    Slot,
    /// The outside profile, which may free the part.
    Profile,
    /// Spot drilling.
    Spot,
    /// Drilling a blind hole.
    Drill,
    /// Drilling through.
    DrillThrough,
    /// Reaming.
    Ream,
    /// Tapping under power.
    Tap,
    /// Thread milling.
    ThreadMill,
    /// Boring.
    Bore,
    /// Breaking edges under the spindle.
    Chamfer,
    /// Any other milling.
    #[default]
    Mill,
    /// Clamps change places while the part stays still.
    ClampSwap,
    /// By hand, at the bench or under the dead spindle: deburr, tap, fit, assemble.
    Bench,
}

impl OperationKind {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 15] = [
        Self::Face,
        Self::Pocket,
        Self::Slot,
        Self::Profile,
        Self::Spot,
        Self::Drill,
        Self::DrillThrough,
        Self::Ream,
        Self::Tap,
        Self::ThreadMill,
        Self::Bore,
        Self::Chamfer,
        Self::Mill,
        Self::ClampSwap,
        Self::Bench,
    ];

    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Face => "face",
            Self::Pocket => "pocket",
            Self::Slot => "slot",
            Self::Profile => "profile",
            Self::Spot => "spot",
            Self::Drill => "drill",
            Self::DrillThrough => "drill through",
            Self::Ream => "ream",
            Self::Tap => "tap",
            Self::ThreadMill => "thread mill",
            Self::Bore => "bore",
            Self::Chamfer => "chamfer",
            Self::Mill => "mill",
            Self::ClampSwap => "clamp swap",
            Self::Bench => "bench",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Whether the spindle turns under power.
    pub fn is_cut(self) -> bool {
        !matches!(self, Self::Bench | Self::ClampSwap)
    }

    /// Whether it makes or widens a hole along the spindle: its stepover is the tool's.
    pub fn is_hole(self) -> bool {
        matches!(
            self,
            Self::Spot | Self::Drill | Self::DrillThrough | Self::Ream | Self::Tap
        )
    }

    /// What the cautions call it under their key `operation`.
    pub fn caution_word(self) -> &'static str {
        match self {
            Self::Slot | Self::Pocket => "slot",
            Self::Drill | Self::Spot => "drill",
            Self::DrillThrough => "drill_through",
            Self::Tap => "tap",
            _ => "other",
        }
    }
}

/// The part of a program that an operation runs.
#[derive(Clone, Debug, PartialEq)]
pub struct ProgramPart {
    /// First line, counted from 1.
    pub first_line: u64,
    /// Last line.
    pub last_line: u64,
    /// Tool number of the program, if it names one.
    pub tool_number: Option<u32>,
    /// Programmed spindle speed, if it was given, in 1/min.
    pub s_rpm: Option<f64>,
    /// Programmed feeds in mm/min: least first, without repeats.
    pub feeds_mm_min: Vec<f64>,
    /// Lowest Z of feed moves in mm, in the program's frame.
    pub lowest_z_mm: Option<f64>,
}

/// A thread by what was typed of it, such as `M6`.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreadSize {
    /// As typed.
    pub text: String,
    /// Nominal diameter, mm, more than zero.
    pub diameter_mm: f64,
    /// Pitch, mm, more than zero.
    pub pitch_mm: f64,
}

/// How far an operation has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Progress {
    /// Not begun.
    #[default]
    Planned,
    /// The clock has been on.
    Begun,
    /// Finished.
    Finished,
    /// Left out.
    LeftOut,
}

impl Progress {
    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Planned => "planned",
            Self::Begun => "begun",
            Self::Finished => "finished",
            Self::LeftOut => "left out",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Planned, Self::Begun, Self::Finished, Self::LeftOut]
            .into_iter()
            .find(|progress| progress.word() == word)
    }

    /// Whether nothing more is to be done.
    pub fn is_done(self) -> bool {
        matches!(self, Self::Finished | Self::LeftOut)
    }
}

/// How a recipe turned out, in the person's judgement.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// From 1 (never again) to 5 (do it again just so).
    pub rating: u8,
    /// What was seen and heard.
    pub remark: String,
}

/// One operation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Operation {
    /// What the person calls it.
    pub title: String,
    /// What kind of work it is.
    pub kind: OperationKind,
    /// Index of the planned tool among the job's tools; none for bench work or not yet chosen.
    pub tool: Option<usize>,
    /// The part of the program that it runs, if any.
    pub part: Option<ProgramPart>,
    /// Whether the person gave this planned operation its part of the program.
    pub is_joined: bool,
    /// Depth of a pass as the program or the plan has it, mm, as far as it is known.
    pub depth: Option<Typed>,
    /// Stepover as the program or the plan has it, mm, as far as it is known.
    pub stepover: Option<Typed>,
    /// Diameter of the hole that a drill opens, mm; none: it drills into the full.
    pub pilot: Option<Typed>,
    /// The thread that a thread mill makes.
    pub thread: Option<ThreadSize>,
    /// What the person notes beforehand.
    pub remark: String,
    /// Estimated time in seconds, at 100 % of the programmed feeds.
    pub estimate_s: Option<f64>,
    /// Seconds of the estimate that the feed override stretches; none: not known, then all of it.
    pub feed_s: Option<f64>,
    /// Whether acceleration and rapids of the machine are in the estimate; else it is a lower bound.
    pub is_timed: bool,
    /// The recipe as decided.
    pub recipe: Option<Recipe>,
    /// Spindle speed read in the cut in 1/min: a knob sets no more than about what is wanted.
    pub read_rpm: Option<f64>,
    /// How far it has come.
    pub progress: Progress,
    /// Tools changed in the middle of it.
    pub changes: Vec<ToolChange>,
    /// How it turned out.
    pub outcome: Option<Outcome>,
}

impl Operation {
    /// The feed override of the recipe, percent, where it stretches the program's feeds: below 100 %.
    pub fn slowed_to_percent(&self) -> Option<f64> {
        self.part.as_ref()?;
        let percent = self.recipe.as_ref()?.override_percent?;
        (percent > 0.0 && percent < 100.0).then_some(percent)
    }

    /// The estimate with the override that the recipe sets, s. Rapids and dwells are not stretched.
    pub fn estimate_now_s(&self) -> Option<f64> {
        let all = self.estimate_s?;
        let Some(percent) = self.slowed_to_percent() else {
            return Some(all);
        };
        let fed = self.feed_s.unwrap_or(all).clamp(0.0, all);
        Some(all + fed * (100.0 / percent - 1.0))
    }
}
