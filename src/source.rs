//! Where a number comes from, and how sure we are of it.

use std::fmt;

/// How a value was come by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Read in the named publication.
    Read,
    /// Recalled; the publication was not at hand.
    FromMemory,
    /// A habit of the trade without a publication behind it.
    CommonPractice,
    /// Measured or stated by the person on this machine.
    Own,
}

impl Standing {
    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice, no source",
            Self::Own => "own",
        }
    }
}

/// A source with its standing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// How the value was come by.
    pub standing: Standing,
    /// Author, title, edition, table or clause; empty for common practice.
    pub citation: String,
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.standing, self.citation.is_empty()) {
            (Standing::Read, _) => f.write_str(&self.citation),
            (standing, true) => f.write_str(standing.word()),
            (standing, false) => write!(f, "{} ({})", self.citation, standing.word()),
        }
    }
}
