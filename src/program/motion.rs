//! One motion of the tool, as the folds see it.

use crate::program::arc::Arc;
use crate::program::code;

/// What kind of motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// G0 and the rapid moves of cycles and reference points.
    Rapid,
    /// A straight line at feed.
    Feed,
    /// An arc or helix at feed.
    Arc,
}

/// How fast a feed motion is meant to go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pace {
    /// No feed is known, or the motion is a rapid.
    Unknown,
    /// Feed along the path, mm/min.
    MmPerMin(f64),
    /// Seconds for the whole motion (G93).
    Seconds(f64),
}

/// One motion in the program's own numbers (active work system), mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Motion {
    /// Rapid, line or arc.
    pub kind: Kind,
    /// Start; only axes of `from_known` count.
    pub from: [f64; 3],
    /// End; only axes of `to_known` count.
    pub to: [f64; 3],
    /// Which axes are known at the start.
    pub from_known: [bool; 3],
    /// Which axes are known at the end.
    pub to_known: [bool; 3],
    /// The circle, when `kind` is [`Kind::Arc`] and it is known.
    pub arc: Option<Arc>,
    /// Length along the axes known at both ends, mm.
    pub length_mm: f64,
    /// Feed of the motion.
    pub pace: Pace,
    /// Line of the file, counted from 1.
    pub line: u64,
    /// Machine coordinates less the numbers here, mm; meaningful when origins were given.
    pub machine_offset: [f64; 3],
    /// Whether it belongs to a canned cycle.
    pub is_cycle: bool,
}

/// A rapid to a place that only the machine knows (G28, G30, G53), X or Y among its axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MachineMove {
    /// Line of the file, counted from 1.
    pub line: u64,
    /// Code in tenths: 280, 300 or 530.
    pub code: i32,
    /// Axes that move.
    pub axes: [bool; 3],
    /// Where it begins in the program's own numbers, mm, where that is known.
    pub from_mm: [Option<f64>; 3],
    /// The height that the cuts of the section begin from, mm; `None` before the first.
    pub cuts_from_mm: Option<f64>,
}

impl MachineMove {
    /// Whether it begins lower than the cuts of its section do: where the program itself thinks that it is clear.
    pub fn is_below_start(&self) -> bool {
        /// What rounding takes, mm.
        const HAIR_MM: f64 = 1e-3;
        match (self.from_mm[2], self.cuts_from_mm) {
            (Some(z), Some(start)) => z < start - HAIR_MM,
            _ => false,
        }
    }

    /// What it does, as the beginning of a sentence: the code, the axes and where they go.
    pub fn words(&self) -> String {
        let axes: Vec<&str> = ["X", "Y", "Z"]
            .into_iter()
            .zip(self.axes)
            .filter_map(|(axis, moves)| moves.then_some(axis))
            .collect();
        let to = if self.code == 530 {
            "to a place in machine coordinates"
        } else {
            "to the reference position"
        };
        format!(
            "{} sends {} {to}",
            code::g_name(self.code),
            axes.join(" and ")
        )
    }
}

impl Motion {
    /// Seconds at the programmed feed, without acceleration; `None` for rapids and unknown feeds.
    pub fn ideal_s(&self) -> Option<f64> {
        match self.pace {
            _ if self.kind == Kind::Rapid => None,
            Pace::MmPerMin(feed) if feed > 0.0 => Some(self.length_mm * (60.0 / feed)),
            Pace::Seconds(seconds) => Some(seconds),
            Pace::MmPerMin(_) | Pace::Unknown => None,
        }
    }

    /// Whether all axes are known at both ends.
    #[inline]
    pub fn is_known(&self) -> bool {
        self.from_known == [true; 3] && self.to_known == [true; 3]
    }
}
