//! The state of a session: plain data, read by all, changed by `apply` alone.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;

use crate::job::caution::Cautions;
use crate::job::conditions::Conditions;
use crate::job::holding::Holding;
use crate::job::holding::KeepOut;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::mishap::Mishap;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::reading::Reading;
use crate::job::reference::TopLeft;
use crate::job::reference::ZReference;
use crate::job::reference::Zero;
use crate::job::stalled::Stalled;
use crate::job::stock::Stock;
use crate::job::tool::Tool;
use crate::job::tool_speed;
use crate::job::typed::Typed;
use crate::measure::backlash::Opposite;
use crate::session::bond::BondHeat;
use crate::session::clock::Clock;
use crate::session::clock::Gap;
use crate::session::clock::Phase;
use crate::session::event::Answer;
use crate::session::fact::FactKey;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::gate::ListKind;
use crate::session::leaving::LeftOpen;
use crate::session::matrix::Happening;
use crate::session::matrix::Kept;
use crate::session::matrix::answers::Answers;
use crate::session::moment::Moment;
use crate::session::shop::ShopKey;
use crate::session::shop::ShopSaid;

/// A step of the rail.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// Program and its check.
    #[default]
    Program,
    /// The blank.
    Stock,
    /// Holding the part.
    Hold,
    /// X and Y zero.
    Xy,
    /// The tool.
    Tool,
    /// Z with this tool.
    Z,
    /// Speed, feed, depth, stepover.
    Recipe,
    /// The run in the air.
    Air,
    /// The gate and the cut.
    Cut,
    /// Readings.
    Measure,
    /// Letting the part go.
    Release,
}

impl Step {
    /// The rail, in order.
    pub const RAIL: [Self; 11] = [
        Self::Program,
        Self::Stock,
        Self::Hold,
        Self::Xy,
        Self::Tool,
        Self::Z,
        Self::Recipe,
        Self::Air,
        Self::Cut,
        Self::Measure,
        Self::Release,
    ];

    /// The word on the rail and in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Program => "program",
            Self::Stock => "stock",
            Self::Hold => "hold",
            Self::Xy => "XY",
            Self::Tool => "tool",
            Self::Z => "Z",
            Self::Recipe => "recipe",
            Self::Air => "air",
            Self::Cut => "cut",
            Self::Measure => "measure",
            Self::Release => "release",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::RAIL.into_iter().find(|step| step.word() == word)
    }
}

/// A tool of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct RackTool {
    /// Number in the program, if it has one.
    pub number: Option<u32>,
    /// The tool.
    pub tool: Tool,
    /// How far it stands out of its holder, mm; else the profile's usual length.
    pub stick_out: Option<Typed>,
}

impl RackTool {
    /// How far it stands out of its holder, in mm.
    pub fn stick_out_mm(&self) -> f64 {
        self.stick_out
            .as_ref()
            .map_or(self.tool.stick_out_mm, |typed| typed.value)
    }
}

/// A stop finding as the session keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct StopFinding {
    /// Name and line, such as `off-the-blank line 12`.
    pub id: String,
    /// What is wrong.
    pub message: String,
    /// Why it was accepted, if it was.
    pub accepted: Option<String>,
}

impl StopFinding {
    /// Whether it keeps the program from agreeing: nobody accepted it, or it is one that no reason accepts.
    pub fn is_open(&self) -> bool {
        self.accepted.is_none() || tool_speed::is_never_accepted(&self.id)
    }
}

/// What the session keeps of the program and of its last check.
#[derive(Clone, Debug, PartialEq)]
pub struct ProgramCopy {
    /// File as the person named it.
    pub file: String,
    /// Whether it is no file: the program of the demo job comes with millside.
    pub is_built_in: bool,
    /// SHA-256 of the content, as hexadecimal digits.
    pub sha256: String,
    /// Size in bytes.
    pub bytes: u64,
    /// Stop findings of the check against this setup.
    pub stops: Vec<StopFinding>,
    /// How many warnings.
    pub warnings: usize,
    /// How many notes.
    pub notes: usize,
    /// Estimated time in seconds, `at least`.
    pub time_s: Option<f64>,
    /// Lowest Z of all its feed moves, mm in its own numbers, where it is known.
    pub lowest_z_mm: Option<f64>,
    /// What its sections leave of the top of the blank, in their order; empty where the path was not followed.
    pub tops: Vec<TopLeft>,
}

/// A check point that was looked at with the spindle off, and was right.
#[derive(Clone, Debug, PartialEq)]
pub struct PointSeen {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The point in words.
    pub what: String,
}

/// One way of holding the part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Setup {
    /// What the person calls it, such as `top side`.
    pub title: String,
    /// How it is to be held or turned, from the plan.
    pub plan: String,
    /// The program, if there is one.
    pub program: Option<ProgramCopy>,
    /// The blank as measured.
    pub stock: Option<Stock>,
    /// How it is held.
    pub holding: Option<Holding>,
    /// XY zero.
    pub zero: Option<Zero>,
    /// Check points that were looked at; they count for a zero that was set before.
    pub points_seen: Vec<PointSeen>,
    /// Z reference.
    pub z_reference: Option<ZReference>,
    /// How far Z was raised for the air run that is not put back yet, mm.
    pub raised: Option<Typed>,
    /// Why the air run was left out, if it was.
    pub air_left_out: Option<String>,
    /// Operations in order.
    pub operations: Vec<Operation>,
    /// Sizes to measure before the part is let go.
    pub readings: Vec<Reading>,
    /// When the part was let go.
    pub let_go: Option<DateTime<FixedOffset>>,
}

impl Setup {
    /// All places where the tool must not go, on the blank as it was measured.
    pub fn zones(&self) -> Vec<KeepOut> {
        let thickness = self.stock.as_ref().map_or(0.0, Stock::greatest_mm);
        let holding = self.holding.as_ref();
        holding.map_or_else(Vec::new, |holding| holding.zones(thickness))
    }

    /// The operation that cuts the outside profile, while it is still to come.
    pub fn outside_waits(&self) -> Option<&str> {
        self.operations
            .iter()
            .find(|o| o.kind == OperationKind::Profile && !o.progress.is_done())
            .map(|o| o.title.as_str())
    }

    /// The first operation that is neither finished nor left out.
    pub fn next_operation(&self) -> Option<usize> {
        self.operations
            .iter()
            .position(|operation| !operation.progress.is_done())
    }
}

/// The answer to one line, as it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Answered {
    /// Which list.
    pub list: ListKind,
    /// Version of the cautions that the list was made from.
    pub version: Arc<str>,
    /// Setup, counted from 0.
    pub setup: usize,
    /// Operation, counted from 0.
    pub operation: usize,
    /// Name of the line.
    pub line: String,
    /// What the line said.
    pub text: Arc<str>,
    /// The answer.
    pub answer: Answer,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// How long the line had been on show.
    pub shown: Duration,
    /// Whether the answer still stands: an event may have asked the line again.
    pub stands: bool,
    /// When and why it stopped to stand, where an event was the reason.
    pub fell: Option<Fell>,
}

/// Why a line is asked again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fell {
    /// Since when.
    pub at: DateTime<FixedOffset>,
    /// What happened.
    pub what: Happening,
}

/// The end of a list, announced and answered.
///
/// Whether a list is complete is worked out from its lines; this alone makes it so never.
#[derive(Clone, Debug, PartialEq)]
pub struct Ended {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Which list.
    pub list: ListKind,
    /// Setup, counted from 0.
    pub setup: usize,
    /// Operation, counted from 0.
    pub operation: usize,
    /// What the last line said: the list, its counts, the tool, the time.
    pub text: String,
    /// Whether the list went by faster than it can be read.
    pub rushed: bool,
}

/// Something that happened, with its time.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// What.
    pub what: Happening,
}

/// A stop note.
#[derive(Clone, Debug, PartialEq)]
pub struct StopNote {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Setup, counted from 0.
    pub setup: usize,
    /// Operation, counted from 0.
    pub operation: usize,
    /// Cutting time of the operation so far, in whole seconds.
    pub after_cutting_s: u64,
    /// What happened.
    pub mishap: Mishap,
    /// In the person's words.
    pub words: String,
    /// Which axis stalled, where that was asked and said.
    pub stalled: Option<Stalled>,
}

/// A note.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Setup, counted from 0.
    pub setup: usize,
    /// Operation, counted from 0.
    pub operation: usize,
    /// The words.
    pub text: String,
}

/// A frequency that the machine was heard to sing at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeardMode {
    /// When it was written down.
    pub at: DateTime<FixedOffset>,
    /// Frequency in Hz.
    pub hz: f64,
}

/// A return test.
#[derive(Clone, Debug, PartialEq)]
pub struct ReturnTest {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// What X, Y and Z read less what they must read, mm; three of each axis that was touched, one in older records.
    pub touches_mm: [Vec<f64>; 3],
    /// Whether it kept or restored the zero.
    pub kept_zero: bool,
}

impl ReturnTest {
    /// Mean error of X, Y and Z, mm to four places, where they were touched.
    pub fn error_mm(&self) -> [Option<f64>; 3] {
        self.touches_mm.each_ref().map(|touches| {
            let mean = touches.iter().sum::<f64>() / touches.len() as f64;
            (!touches.is_empty()).then(|| (mean * 1e4).round() / 1e4)
        })
    }
}

/// Backlash read from opposite touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BacklashRead {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The touches.
    pub touches: Opposite,
}

/// How a session was closed.
#[derive(Clone, Debug, PartialEq)]
pub struct WrapUp {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// What to do otherwise next time.
    pub learned: String,
    /// Whether nothing of the job is left to do.
    pub done: bool,
}

/// Names and dates of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// Name of this session, unique.
    pub session_id: String,
    /// Name of the job, the same in all of its sessions.
    pub job_id: String,
    /// What the person calls the job.
    pub title: String,
    /// When the session began.
    pub begun: DateTime<FixedOffset>,
    /// Version of the program that made the record.
    pub version: String,
}

/// All that a session knows.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Names and dates.
    pub head: Head,
    /// The machine.
    pub machine: Machine,
    /// The material.
    pub material: Material,
    /// Tools of the job.
    pub rack: Vec<RackTool>,
    /// Conditions that the person stated.
    pub stated: Conditions,
    /// The cautions that lists choose from.
    pub cautions: Cautions,
    /// Setups in order; never empty.
    pub setups: Vec<Setup>,
    /// The setup in work.
    pub setup: usize,
    /// The operation in work, of the setup in work.
    pub operation: usize,
    /// The step that the person looks at.
    pub step: Step,
    /// The tool in the spindle, as place in the rack.
    pub in_spindle: Option<usize>,
    /// Facts that were ever said.
    pub facts: Kept<BTreeMap<FactKey, FactState>>,
    /// Facts of the person's own shop that were ever said.
    pub shop: Kept<BTreeMap<ShopKey, ShopSaid>>,
    /// Every answer ever given.
    pub answers: Kept<Answers>,
    /// Ends of lists that were answered.
    pub ended: Vec<Ended>,
    /// How the mill was left, where its list was open.
    pub left_open: Vec<LeftOpen>,
    /// Cautions of the program that the person's profiles leave out, each with its reason.
    pub left_out: Vec<String>,
    /// When the person was told that this is a list and moves nothing; once a job.
    pub told: Option<DateTime<FixedOffset>>,
    /// Whether the next start list is asked in full; an identical repeat asks only the worst lines.
    pub list_is_full: bool,
    /// Whether hands were in since the clock last counted cutting.
    pub hands_were_in: bool,
    /// Cutting on the bond of the setup in work since it last rested.
    pub bond: BondHeat,
    /// Clocks of operations whose clock was ever on.
    pub clocks: BTreeMap<(usize, usize), Clock>,
    /// What made facts doubtful.
    pub log: Vec<Logged>,
    /// Stop notes.
    pub stops: Vec<StopNote>,
    /// Notes.
    pub notes: Vec<Note>,
    /// Return tests.
    pub return_tests: Vec<ReturnTest>,
    /// Backlash read from opposite touches.
    pub backlash: Vec<BacklashRead>,
    /// Frequencies that the machine was heard to sing at; they stay with the job.
    pub heard: Vec<HeardMode>,
    /// An unseen stretch of time that is not explained yet, with the phase that was in force.
    pub gap: Option<(Gap, Phase)>,
    /// What the program noticed while the mill cut on unseen, and asks about at the next standstill.
    pub asks_later: Vec<Happening>,
    /// When the session last heard of anything.
    pub last_seen: Moment,
    /// How it was closed.
    pub wrap_up: Option<WrapUp>,
}

impl State {
    /// Whether a check point was looked at since X and Y were set.
    pub fn is_point_seen(&self, what: &str) -> bool {
        let FactState::Good { since, .. } = self.fact(FactKind::XyZero) else {
            return false;
        };
        let seen = &self.current_setup().points_seen;
        seen.iter()
            .any(|point| point.what == what && point.at >= since)
    }

    /// The setup in work.
    pub fn current_setup(&self) -> &Setup {
        &self.setups[self.setup]
    }

    /// The operation in work, if the setup has any.
    pub fn current_operation(&self) -> Option<&Operation> {
        self.current_setup().operations.get(self.operation)
    }

    /// The planned tool of the operation in work, as place in the rack.
    pub fn planned_tool(&self) -> Option<usize> {
        self.current_operation()
            .and_then(|operation| operation.tool)
    }

    /// The tool of the rack that a number of the program means in this setup: that of the operation in work, for another may have taken
    /// over in the middle, then that of the last one that runs a part with this number, else the one that has the number.
    pub fn tool_of_number(&self, number: u32) -> Option<usize> {
        let of_operation = |operation: &Operation| {
            let part = operation.part.as_ref()?;
            operation.tool.filter(|_| part.tool_number == Some(number))
        };
        let mut all = self.current_setup().operations.iter().rev();
        let planned = self.current_operation().and_then(of_operation);
        planned.or_else(|| all.find_map(of_operation)).or_else(|| {
            let mut rack = self.rack.iter();
            rack.position(|rack| rack.number == Some(number))
        })
    }

    /// The state of a fact for the operation in work.
    pub fn fact(&self, kind: FactKind) -> FactState {
        let key = FactKey::of(kind, self.setup, self.operation, self.planned_tool());
        self.facts.get(&key).cloned().unwrap_or_default()
    }

    /// The clock of the operation in work.
    pub fn clock(&self) -> Option<&Clock> {
        self.clocks.get(&(self.setup, self.operation))
    }

    /// The phase that the clock of the operation in work counts.
    pub fn phase(&self) -> Option<Phase> {
        self.clock().and_then(Clock::phase)
    }
}
