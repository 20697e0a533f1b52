//! Facts: what must be known before a clock may run, and how sure it is.

use chrono::DateTime;
use chrono::FixedOffset;

use crate::session::matrix::Happening;

/// What can be known of a setup. The matrix says what withdraws each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FactKind {
    /// The stock is as measured.
    Stock,
    /// Vice or fence runs true, the head is square.
    ViceTrue,
    /// The part is held and the keep-outs are true.
    Held,
    /// The machine knows its position.
    Position,
    /// X and Y zero are set.
    XyZero,
    /// The Z reference is set: a named surface and its height to Z0.
    ZReference,
    /// The planned tool is in, tight, stick-out as stated.
    ToolIn,
    /// The tool's length to the Z reference is set.
    ToolLength,
    /// The program agrees with the setup.
    Program,
    /// The program has run in the air here, or was knowingly left out.
    AirRun,
    /// The recipe is set at the machine.
    Recipe,
}

impl FactKind {
    /// All facts, in the order of the work.
    pub const ALL: [Self; 11] = [
        Self::Program,
        Self::Stock,
        Self::ViceTrue,
        Self::Held,
        Self::Position,
        Self::XyZero,
        Self::ToolIn,
        Self::ZReference,
        Self::ToolLength,
        Self::Recipe,
        Self::AirRun,
    ];

    /// Stable name in records.
    pub fn id(self) -> &'static str {
        match self {
            Self::Stock => "stock-as-measured",
            Self::ViceTrue => "runs-true",
            Self::Held => "part-held",
            Self::Position => "position-known",
            Self::XyZero => "xy-zero",
            Self::ZReference => "z-reference",
            Self::ToolIn => "tool-in",
            Self::ToolLength => "tool-length",
            Self::Program => "program-agrees",
            Self::AirRun => "air-run",
            Self::Recipe => "recipe-set",
        }
    }

    /// The fact of this name.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }

    /// What the fact says, as a statement.
    pub fn statement(self) -> &'static str {
        match self {
            Self::Stock => "Stock is as measured",
            Self::ViceTrue => "Vice or fence runs true, head is square",
            Self::Held => "Part is held, keep-outs are true",
            Self::Position => "Machine knows its position",
            Self::XyZero => "X and Y zero are set",
            Self::ZReference => "Z reference is set",
            Self::ToolIn => "Planned tool is in, tight, stick-out as stated",
            Self::ToolLength => "Z with this tool",
            Self::Program => "Program agrees with the setup",
            Self::AirRun => "Program has run in the air here, or was left out",
            Self::Recipe => "Recipe is set at the machine",
        }
    }

    /// How far the fact reaches.
    pub fn scope(self) -> Scope {
        match self {
            Self::Position => Scope::Machine,
            Self::ToolIn => Scope::Tool,
            Self::ToolLength => Scope::ToolInSetup,
            Self::Recipe => Scope::Operation,
            _ => Scope::Setup,
        }
    }
}

/// How far a fact reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// The machine, whatever is on it.
    Machine,
    /// One way of holding the part.
    Setup,
    /// One tool.
    Tool,
    /// One tool in one setup.
    ToolInSetup,
    /// One operation.
    Operation,
}

impl Scope {
    /// Word for the printed table.
    pub fn word(self) -> &'static str {
        match self {
            Self::Machine => "machine",
            Self::Setup => "setup",
            Self::Tool => "tool",
            Self::ToolInSetup => "tool in setup",
            Self::Operation => "operation",
        }
    }
}

/// One fact of one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FactKey {
    /// Which fact.
    pub kind: FactKind,
    /// Of which setup, counted from 0.
    pub setup: Option<usize>,
    /// Of which tool of the job, counted from 0.
    pub tool: Option<usize>,
    /// Of which operation of the setup, counted from 0.
    pub operation: Option<usize>,
}

impl FactKey {
    /// The key of a fact for an operation with its tool.
    pub fn of(kind: FactKind, setup: usize, operation: usize, tool: Option<usize>) -> Self {
        let scope = kind.scope();
        let with_setup = matches!(scope, Scope::Setup | Scope::ToolInSetup | Scope::Operation);
        let with_tool = matches!(scope, Scope::Tool | Scope::ToolInSetup);
        Self {
            kind,
            setup: with_setup.then_some(setup),
            tool: tool.filter(|_| with_tool),
            operation: (scope == Scope::Operation).then_some(operation),
        }
    }
}

/// By whom a fact was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SaidBy {
    /// A value was measured and entered.
    Measured,
    /// The person looked and said so.
    Confirmed,
    /// The program worked it out.
    Computed,
}

impl SaidBy {
    /// Word on screen and in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Confirmed => "confirmed",
            Self::Computed => "computed",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Measured, Self::Confirmed, Self::Computed]
            .into_iter()
            .find(|by| by.word() == word)
    }
}

/// State of a fact. Nothing outside `session` makes one good or withdraws it.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum FactState {
    /// Never said so far.
    #[default]
    Open,
    /// It holds.
    Good {
        /// Since when.
        since: DateTime<FixedOffset>,
        /// Said by whom.
        by: SaidBy,
        /// The value that was read or stated, if any, with its unit.
        value: Option<String>,
    },
    /// It held and no longer does.
    Redo {
        /// Since when.
        since: DateTime<FixedOffset>,
        /// What withdrew it.
        what: Happening,
    },
}

impl FactState {
    /// Whether the fact holds.
    pub fn is_good(&self) -> bool {
        matches!(self, Self::Good { .. })
    }

    /// The word on screen: `open`, `good` or `redo`.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Good { .. } => "good",
            Self::Redo { .. } => "redo",
        }
    }

    /// The sign on the rail.
    pub fn sign(&self) -> char {
        match self {
            Self::Open => '-',
            Self::Good { .. } => 'x',
            Self::Redo { .. } => '!',
        }
    }
}
