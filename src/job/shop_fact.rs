//! A fact that the person's own shop adds to those of the program.

/// How far a fact of the shop reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reach {
    /// The whole session, whatever is on the machine.
    Session,
    /// One way of holding the part.
    Setup,
    /// One tool of the job.
    Tool,
    /// One operation of a setup.
    Operation,
}

impl Reach {
    /// Every reach, the widest first.
    pub const ALL: [Self; 4] = [Self::Session, Self::Setup, Self::Tool, Self::Operation];

    /// Word used in profiles.
    pub fn word(self) -> &'static str {
        match self {
            Self::Session => "session",
            Self::Setup => "setup",
            Self::Tool => "tool",
            Self::Operation => "operation",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|reach| reach.word() == word)
    }
}

/// What makes a caution a fact: how far it reaches, and what ends it.
///
/// Its name, its statement and the state that its answer names are those of the caution.
#[derive(Clone, Debug, PartialEq)]
pub struct ShopFact {
    /// How far it reaches.
    pub reach: Reach,
    /// The step of the rail where it stands, by its word.
    pub step: String,
    /// Names of the happenings that withdraw it.
    pub withdrawn_by: Vec<String>,
    /// Whether a cut waits for it.
    pub needed: bool,
    /// The caution whose answer makes it good; none: it has a line of its own.
    pub with_line: Option<String>,
}
