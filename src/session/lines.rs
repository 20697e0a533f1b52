//! The lists: their pauses in the work, their lines, and how each stands.

use chrono::DateTime;
use chrono::FixedOffset;

use crate::session::fact::FactKind;
use crate::session::matrix::Happening;
use crate::session::state::Step;

/// A list with its own pause in the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ListKind {
    /// Before power: once a session.
    Power,
    /// While setting up: once a setup.
    Setup,
    /// Before a cut, the tool change before it included.
    Start,
    /// Before the part is let go.
    Release,
    /// After a stop, before the work goes on.
    Recovery,
    /// Before the person leaves a mill that is powered.
    Leaving,
}

impl ListKind {
    /// All lists.
    pub const ALL: [Self; 6] = [
        Self::Power,
        Self::Setup,
        Self::Start,
        Self::Release,
        Self::Recovery,
        Self::Leaving,
    ];

    /// Word in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Power => "power",
            Self::Setup => "setup",
            Self::Start => "start",
            Self::Release => "release",
            Self::Recovery => "recovery",
            Self::Leaving => "leaving",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|list| list.word() == word)
    }

    /// Whether the list is about machine and shop, whatever setup and operation are in work. What a stop left open stays open until
    /// it is answered: a broken piece is still there when the next operation begins.
    pub fn is_of_session(self) -> bool {
        matches!(self, Self::Power | Self::Recovery | Self::Leaving)
    }

    /// Heading on screen.
    pub fn heading(self) -> &'static str {
        match self {
            Self::Power => "BEFORE POWER",
            Self::Setup => "WHILE SETTING UP",
            Self::Start => "BEFORE THIS CUT",
            Self::Release => "BEFORE THE PART IS LET GO",
            Self::Recovery => "AFTER THE STOP",
            Self::Leaving => "BEFORE YOU LEAVE THE MILL",
        }
    }
}

/// How a list is gone through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// Familiar work in one flow: do it, then answer; the list is the second look.
    DoThenAnswer,
    /// Rare or dangerous work: the next line is hidden until this one is answered.
    OneAtATime,
}

impl Manner {
    /// Words beside the heading.
    pub fn words(self) -> &'static str {
        match self {
            Self::DoThenAnswer => "do, then answer",
            Self::OneAtATime => "one step at a time",
        }
    }
}

/// How a line gets its answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// One press.
    Press,
    /// A value is needed; it is entered at this step.
    At(Step),
}

/// How a line stands.
#[derive(Clone, Debug, PartialEq)]
pub enum LineState {
    /// Not answered.
    Open,
    /// Answered: it is so.
    Answered,
    /// Answered: it is not so.
    NotSo(String),
    /// It was good, and this made it doubtful.
    Redo(Happening, DateTime<FixedOffset>),
}

impl LineState {
    /// The mark before the line.
    pub fn mark(&self) -> &'static str {
        match self {
            Self::Open => "[ ]",
            Self::Answered => "[x]",
            Self::NotSo(_) | Self::Redo(..) => "[!]",
        }
    }

    /// Whether the line waits for an answer.
    pub fn is_open(&self) -> bool {
        *self != Self::Answered
    }
}

/// One line of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Stable name.
    pub id: String,
    /// What it says, at most 70 characters.
    pub text: String,
    /// The state that the answer names.
    pub word: String,
    /// Why it is asked.
    pub why: String,
    /// What to do where it is not so.
    pub otherwise: String,
    /// What the program works out beside it.
    pub says: Option<String>,
    /// Whether a start may not pass it by.
    pub critical: bool,
    /// Whether it is one of the worst, asked at every start: its answering key varies.
    pub is_worst: bool,
    /// The part of the list that it belongs to, counted from 0.
    pub part: usize,
    /// The fact that it makes good.
    pub fact: Option<FactKind>,
    /// How it is answered.
    pub way: Way,
    /// Whether a hand goes to the spindle for it: shown where the tool is fitted, too.
    pub is_at_spindle: bool,
    /// How it stands.
    pub state: LineState,
}

/// A list of lines.
#[derive(Clone, Debug, PartialEq)]
pub struct List {
    /// Which.
    pub kind: ListKind,
    /// How it is gone through.
    pub manner: Manner,
    /// Facts that are not good and need a value, entered at their own steps.
    pub first: Vec<Line>,
    /// Lines to answer with a press, critical ones first.
    pub lines: Vec<Line>,
    /// Headings of the parts of a list that has more than one; a part has at most seven lines.
    pub parts: Vec<String>,
    /// Lines that are shown and not asked.
    pub reminders: Vec<String>,
}

/// A page of a list has at most this many lines: what is longer is split at a natural break, never shortened.
pub const MOST_LINES: usize = 7;

/// What to do about a line that is not so, where nobody wrote anything better.
pub const OTHERWISE: &str =
    "Make it so at the mill, then answer again. If it cannot be so, do not cut: leave it out.";

impl Line {
    /// Who says what stands beside it: the G-code where it is read there, else millside.
    pub fn says_by(&self) -> &'static str {
        if self.id == "match-tool-program" {
            "G-code"
        } else {
            "millside"
        }
    }
}

impl List {
    /// How many lines are answered.
    pub fn answered(&self) -> usize {
        self.lines.len() - self.open()
    }

    /// How many lines are open.
    pub fn open(&self) -> usize {
        self.lines
            .iter()
            .filter(|line| line.state.is_open())
            .count()
    }

    /// The lines that are on show: one part at a time, and of a list that is gone through one
    /// step at a time nothing behind the first open line.
    pub fn on_show(&self) -> Vec<Line> {
        let part = self
            .lines
            .iter()
            .find(|line| line.state.is_open())
            .or(self.lines.last())
            .map_or(0, |line| line.part);
        let mut shown = vec![];
        for line in self.lines.iter().filter(|line| line.part == part) {
            shown.push(line.clone());
            if self.manner == Manner::OneAtATime && line.state.is_open() {
                break;
            }
        }
        shown
    }

    /// The heading of the part on show, where there is more than one.
    pub fn part_on_show(&self) -> Option<(usize, &str)> {
        let part = self.on_show().first()?.part;
        (self.parts.len() > 1).then(|| (part, self.parts[part].as_str()))
    }
}
