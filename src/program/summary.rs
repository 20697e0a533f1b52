//! What a program is, once read: plain data, lengths in mm and times in s.

use crate::program::arc::Plane;
use crate::program::bounds::Bounds;
use crate::program::code;
use crate::program::finding::Finding;
use crate::program::interp::MM_PER_INCH;
use crate::program::kept::Kept;
use crate::program::length_use::LengthUse;
use crate::program::machine_z::MachineZ;
use crate::program::motion::MachineMove;
use crate::program::section::Section;
use crate::program::section::Turning;
use crate::program::start::Start;
use crate::program::time::planner::OverAxis;

/// Units of the program's numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// G21 or G71.
    Mm,
    /// G20 or G70.
    Inch,
    /// Not stated; read as mm.
    #[default]
    AssumedMm,
}

impl Units {
    /// Word used in JSON and records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch => "inch",
            Self::AssumedMm => "assumed-mm",
        }
    }
}

/// Number of motions longer than zero, and of those that are not.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moves {
    /// Rapid lines.
    pub rapid: u64,
    /// Feed lines.
    pub feed: u64,
    /// Arcs and helices.
    pub arc: u64,
    /// Motions of zero length.
    pub zero: u64,
}

/// Extents in the program's own numbers, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Extents {
    /// All motions.
    pub all: Bounds,
    /// All feed lines and arcs with their start points.
    pub feed: Bounds,
    /// Only what runs inside the stock; `None` while the stock is not known.
    pub cut: Option<Bounds>,
}

/// Path lengths over the axes known at both ends.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PathLength {
    /// Feed lines and arcs, mm.
    pub feed_mm: f64,
    /// Rapid lines, mm.
    pub rapid_mm: f64,
}

/// Times of the program alone: no acceleration, no hands.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Times {
    /// Path over programmed feed, s.
    pub feed_ideal_s: f64,
    /// Dwells, s.
    pub dwell_s: f64,
    /// With acceleration and rapids, s; `None` without a machine.
    pub estimated_s: Option<f64>,
}

/// A place where the program stops or ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StopCode {
    /// Line, counted from 1.
    pub line: u64,
    /// M code: 0, 1, 2, 30 or 60.
    pub code: u32,
}

/// A block at which the program could be begun again, and what must be set by hand before it.
#[derive(Clone, Debug, PartialEq)]
pub struct RestartPoint {
    /// Line of the next block, counted from 1.
    pub line: u64,
    /// Place of the tool before it in the program's own numbers, mm.
    pub at_mm: [Option<f64>; 3],
    /// Units in force.
    pub units: Units,
    /// Whether coordinates are absolute.
    pub is_absolute: bool,
    /// Plane of arcs in force.
    pub plane: Plane,
    /// How an F counts: `G93`, `G94` or `G95`.
    pub feed_mode: &'static str,
    /// Motion in force, such as `G1`: a line of coordinates alone goes on with it. None is in force after G80.
    pub motion: &'static str,
    /// Work system in force, 0 for G54.
    pub work_system: usize,
    /// Tool in the spindle.
    pub tool: Option<u32>,
    /// Length offset in force.
    pub h: Option<u32>,
    /// Spindle speed, 1/min, if the spindle turns.
    pub s_rpm: Option<f64>,
    /// How the spindle turns.
    pub turning: Turning,
    /// Whether mist (M7) and flood (M8) run.
    pub coolant: [bool; 2],
    /// Feed in force, mm/min.
    pub feed_mm_min: Option<f64>,
}

impl RestartPoint {
    /// The block, and what must be set by hand before it.
    pub fn words(&self) -> String {
        // The numbers of the program, as the machine shows them while its units are in force.
        let (unit_mm, unit, places) = if self.units == Units::Inch {
            (MM_PER_INCH, "in", 4)
        } else {
            (1.0, "mm", 3)
        };
        let at: Vec<String> = ["X", "Y", "Z"]
            .iter()
            .zip(self.at_mm)
            .map(|(axis, at)| match at {
                Some(v) => format!("{axis}{:.places$}", v / unit_mm),
                None => format!("{axis} not known"),
            })
            .collect();
        let tool = self
            .tool
            .map_or_else(|| "tool not named".to_owned(), |t| format!("T{t}"));
        let length = self
            .h
            .map_or_else(String::new, |h| format!(" with length H{h}"));
        let spindle = match (self.turning, self.s_rpm) {
            (Turning::Counterclockwise, Some(s)) => {
                format!("spindle counterclockwise (M4) at S{s:.0}")
            }
            (_, Some(s)) => format!("spindle at S{s:.0}"),
            (_, None) => "spindle stopped".to_owned(),
        };
        let coolant = match self.coolant {
            [false, false] => "coolant off",
            [true, false] => "mist on (M7)",
            [false, true] => "flood on (M8)",
            [true, true] => "mist and flood on (M7, M8)",
        };
        let feed = self.feed_mm_min.map_or_else(
            || "no feed".to_owned(),
            |f| {
                let places = if self.units == Units::Inch { 1 } else { 0 };
                format!("F {:.places$} {unit}/min", f / unit_mm)
            },
        );
        format!(
            "line {}: set by hand {}, {}, {}, {}, {}, {}, {tool}{length}, {spindle}, {coolant}, tool at {} {unit}, {feed}",
            self.line,
            self.units.word(),
            if self.is_absolute { "G90" } else { "G91" },
            self.plane.word(),
            self.feed_mode,
            if self.motion.is_empty() {
                "no motion word"
            } else {
                self.motion
            },
            code::system_name(self.work_system),
            at.join(" "),
        )
    }
}

/// A program, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Summary {
    /// Size of the file in bytes.
    pub size_bytes: u64,
    /// SHA-256 of the content, 64 hexadecimal digits.
    pub sha256: String,
    /// Units of the first motion.
    pub units: Units,
    /// Lines that hold at least one word.
    pub blocks: u64,
    /// Tools that comments speak of and that are never used, at most a few.
    pub comments_of_other_tools: Vec<u32>,
    /// The first line that cuts by distances (G91) from a place that is not known.
    pub blind_from: Option<u64>,
    /// Which tool has cut with which length, in the order of the first cuts.
    pub lengths: Vec<LengthUse>,
    /// The first move of X or Y to a place of the machine (G28, G30, G53) that begins lower than the cuts of its section.
    pub machine_move_low: Option<MachineMove>,
    /// Moves of Z in machine coordinates, each line once, at most [`crate::program::machine_z::MOST_KEPT`].
    pub machine_z: Vec<MachineZ>,
    /// What it sets before its first move.
    pub start: Start,
    /// The last line that was read, counted from 1; 0 in an empty file.
    pub last_line: u64,
    /// Motions by kind.
    pub moves: Moves,
    /// Extents in the program's own numbers.
    pub extents: Extents,
    /// Extents in machine coordinates; `None` when the origins were not given.
    pub machine_extents: Option<Extents>,
    /// Path lengths.
    pub path: PathLength,
    /// Times.
    pub times: Times,
    /// Tool numbers in order of M6, at most 1000.
    pub tools: Vec<u32>,
    /// Stops and ends, at most 1000.
    pub stops: Vec<StopCode>,
    /// Sections in order, at most [`crate::program::section::MOST_SECTIONS`].
    pub sections: Vec<Section>,
    /// Findings of the reader, gravest first.
    pub findings: Vec<Finding>,
    /// First line from which the tool's place is a guess.
    pub uncertain_from: Option<u64>,
    /// Place at the end in the program's own numbers, by axis, mm.
    pub final_program_mm: [Option<f64>; 3],
    /// Place at the end in machine coordinates, mm, when the origins were given.
    pub final_machine_mm: [Option<f64>; 3],
    /// Feed lines programmed faster than the axes go; `None` without a machine or without such lines.
    pub over_axis: Option<OverAxis>,
    /// Blocks to begin again at, last first, when a line was asked for; at most five.
    pub restart_points: Vec<RestartPoint>,
    /// The motions, when they were to be kept and were not too many.
    pub kept: Option<Kept>,
    /// Whether M2, M30 or a closing % was met.
    pub has_end: bool,
    /// Whether the spindle was still on at the end, M2 and M30 aside.
    pub spindle_on_at_end: bool,
}
