//! What happened, in one enum. Names say what happened, never which key.

use std::time::Duration;

use crate::job::conditions::Value;
use crate::job::holding::Holding;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::mishap::Mishap;
use crate::job::operation::Operation;
use crate::job::operation::Outcome;
use crate::job::reading::Reading;
use crate::job::recipe::Recipe;
use crate::job::reference::ZReference;
use crate::job::reference::Zero;
use crate::job::stalled::Stalled;
use crate::job::stock::Stock;
use crate::job::tool::Tool;
use crate::job::typed::Typed;
use crate::measure::backlash::Axis;
use crate::session::clock::Phase;
use crate::session::fact::FactKind;
use crate::session::gate::ListKind;
use crate::session::matrix::Happening;
use crate::session::state::ProgramCopy;
use crate::session::state::Setup;
use crate::session::state::Step;

/// The person's answer to one line.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// The state shown is so.
    So,
    /// It is not so; the words say what is wrong.
    NotSo(String),
}

/// What became of a cut that nobody saw, where it did not simply go on or stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unseen {
    /// It came to its end.
    Ended,
    /// Nobody can say: it is taken to cut still, until somebody sees it stand.
    Unknown,
}

/// An event: what happened, without its time.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// Nothing happened; the clocks were looked at.
    Looked,
    /// The job was named.
    Titled(String),
    /// The machine was chosen or edited.
    MachineChosen(Box<Machine>),
    /// The material was chosen or edited.
    MaterialChosen(Box<Material>),
    /// A condition that cautions ask for was stated.
    ConditionStated(String, Value),
    /// A program was read, for the first time or again.
    ProgramRead(Box<ProgramCopy>),
    /// A stop finding of the program check was accepted with a reason.
    StopAccepted {
        /// Name and line of the finding, as in the program copy.
        finding: String,
        /// Why it may stay.
        reason: String,
    },
    /// A setup was added at the end.
    SetupAdded(Box<Setup>),
    /// The work went on to a setup.
    SetupEntered(usize),
    /// An operation was added to the setup in work, before the given place or at the end.
    OperationAdded(Option<usize>, Box<Operation>),
    /// Title, kind, tool or remark of a planned operation were edited.
    OperationEdited(usize, Box<Operation>),
    /// A planned operation was taken out of the setup in work.
    OperationRemoved(usize),
    /// A planned operation got the part of the program of another one, which is then no more.
    OperationJoined {
        /// Which gets it.
        operation: usize,
        /// Whose it was.
        from: usize,
    },
    /// A planned operation has no part of the program any more: the program changed.
    OperationParted(usize),
    /// The work went on to an operation of the setup in work.
    OperationEntered(usize),
    /// The person looks at a step.
    StepEntered(Step),
    /// A tool was added to the job.
    ToolAdded {
        /// Number in the program, if it has one.
        number: Option<u32>,
        /// The tool.
        tool: Box<Tool>,
        /// How far it stands out of its holder, mm.
        stick_out: Option<Typed>,
    },
    /// The planned tool of a place in the job's list was edited or exchanged.
    ToolEdited {
        /// Place in the job's list.
        index: usize,
        /// The tool.
        tool: Box<Tool>,
        /// How far it stands out of its holder, mm.
        stick_out: Option<Typed>,
    },
    /// The stock was measured.
    StockMeasured(Box<Stock>),
    /// Holding and keep-outs were stated.
    HoldingStated(Box<Holding>),
    /// The zero was stated.
    ZeroStated(Box<Zero>),
    /// A check point was looked at with the spindle off; whether it was where it must be.
    PointSeen {
        /// The point in words.
        what: String,
        /// Whether it was right.
        is_right: bool,
    },
    /// X and Y were set at the machine.
    XySet,
    /// The Z reference was stated and set.
    ZReferenceSet(Box<ZReference>),
    /// A tool was put in.
    ToolFitted(usize),
    /// Z was set with the tool in the spindle; the reading at the touch, mm.
    LengthSet(Typed),
    /// A recipe was decided for the operation in work.
    RecipeDecided(Box<Recipe>),
    /// The spindle speed of the operation in work was read in the cut, in 1/min; none: it is not known any more.
    SpeedRead(Option<f64>),
    /// A tool was changed in the middle of the operation in work.
    ToolSwapped {
        /// Place of the new tool in the job's list.
        to: usize,
        /// Why.
        reason: String,
        /// The recipe that goes with it.
        recipe: Option<Box<Recipe>>,
    },
    /// A fact that needs no value was looked at and confirmed.
    Confirmed(FactKind),
    /// The fact of the shop of this name was looked at and confirmed.
    ShopConfirmed(String),
    /// One line of a list was answered.
    Answered {
        /// Which list.
        list: ListKind,
        /// Which line.
        line: String,
        /// The answer.
        answer: Answer,
        /// How long the line had been on show.
        shown: Duration,
    },
    /// The person left the mill with the list before leaving open.
    MillLeft,
    /// The end of a list was announced and answered.
    ListEnded(ListKind),
    /// The person came back to lists that were left in the middle, after so many seconds.
    CameBack {
        /// How long nobody answered, in seconds.
        away_s: f64,
    },
    /// The person was told that the program is a list and moves nothing.
    Told,
    /// The program was run in the air, with Z raised by this much, mm.
    AirRunMade(Typed),
    /// Z was put back after the air run; the value read, mm.
    PutBack(Typed),
    /// The air run was left out, knowingly.
    AirRunLeftOut(String),
    /// The clock of the operation in work was turned on.
    CutBegan {
        /// How long ago.
        ago: Duration,
    },
    /// The cut began earlier than the clock was turned on.
    CutBeganEarlier(Duration),
    /// The clock of the operation in work was turned to another phase.
    ClockTurned(Phase),
    /// The person said what an unseen stretch of time was; none: it did not count.
    GapExplained(Option<Phase>),
    /// The person said what became of a cut that nobody saw.
    CutUnseen(Unseen),
    /// The record was opened again; last seen alive this many seconds before.
    Reopened {
        /// Time from the save to the last sign of life, in seconds: the clock counted then.
        alive_s: f64,
        /// Time from the last sign of life until now, in seconds: nobody knows.
        away_s: f64,
    },
    /// The operation in work is finished.
    Finished,
    /// The operation in work is left out.
    LeftOut(String),
    /// An operation of the setup in work that was finished or left out is opened again.
    OperationReopened {
        /// Its place.
        operation: usize,
        /// Why.
        reason: String,
    },
    /// Something made what was known doubtful.
    Happened(Happening),
    /// Something went wrong.
    StopNoted {
        /// What.
        mishap: Mishap,
        /// In the person's words.
        words: String,
    },
    /// Which axis stalled, of the stop that was noted last.
    AxisStalled(Stalled),
    /// A remark to the stop that was noted last, in the person's words.
    StopRemarked(String),
    /// The check point was touched three times in X and Y, and in Z if the person wanted; refused with another number.
    ReturnTested {
        /// What X, Y and Z read less what they must read, mm; empty where an axis was not touched.
        touches_mm: [Vec<f64>; 3],
    },
    /// Two opposite edges of the blank were touched, each from outside.
    OppositeTouched {
        /// Which axis.
        axis: Axis,
        /// What it reads at the left or front touch, then at the right or back one, mm.
        reads_mm: [f64; 2],
    },
    /// Frequencies in Hz that the machine was heard to sing at; they take the place of those before.
    Heard(Vec<f64>),
    /// A note was written.
    Noted(String),
    /// A size was entered or changed in the list of sizes to measure.
    SizeStated(Option<usize>, Box<Reading>),
    /// A size was measured: its place in the list of the setup, and the value, mm.
    Measured(usize, Typed),
    /// The operation in work, or one before it, was judged.
    Rated(usize, Outcome),
    /// The part was let go.
    LetGo,
    /// What was learned was written down and the job closed.
    WrappedUp {
        /// What to do otherwise next time.
        learned: String,
        /// Whether nothing is left to do.
        done: bool,
    },
}

/// Why an event could not be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// One sentence for the person.
    pub why: String,
}

impl Refusal {
    /// A refusal with its reason.
    pub fn because(why: impl Into<String>) -> Self {
        Self { why: why.into() }
    }
}
