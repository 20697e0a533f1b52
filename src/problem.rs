//! What the program could not do, in words for the person.

use std::error::Error;
use std::fmt;

/// How the program must react.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The person can mend it: wrong use, a bad file, a value out of range.
    User,
    /// The computer refused: disk full, permission, no terminal.
    System,
    /// A bug in this program.
    Internal,
}

/// One problem of the program's own work: what happened, where, what to do next.
///
/// A fault of the *part* or its program is a finding, not a problem.
#[derive(Debug)]
pub struct Problem {
    /// Decides the heading.
    pub kind: Kind,
    /// Lower-case fragment that fits after "could not".
    pub what: String,
    /// File, line and key, if any.
    pub place: Option<String>,
    /// What was wrong, a sentence or fragment.
    pub why: Option<String>,
    /// Next step, a full sentence.
    pub hint: Option<String>,
    /// The error underneath.
    pub source: Option<anyhow::Error>,
}

impl Problem {
    /// A problem that the person can mend.
    pub fn user(what: impl Into<String>) -> Self {
        Self::new(Kind::User, what)
    }

    /// A problem that the computer made.
    pub fn system(what: impl Into<String>) -> Self {
        Self::new(Kind::System, what)
    }

    /// A bug of ours.
    pub fn internal(what: impl Into<String>) -> Self {
        Self::new(Kind::Internal, what)
    }

    fn new(kind: Kind, what: impl Into<String>) -> Self {
        Self {
            kind,
            what: what.into(),
            place: None,
            why: None,
            hint: None,
            source: None,
        }
    }

    /// Adds file, line or key.
    #[must_use]
    pub fn at(mut self, place: impl Into<String>) -> Self {
        self.place = Some(place.into());
        self
    }

    /// Adds what was wrong.
    #[must_use]
    pub fn because(mut self, why: impl Into<String>) -> Self {
        self.why = Some(why.into());
        self
    }

    /// Adds the next step.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Adds the error underneath.
    #[must_use]
    pub fn from_error(mut self, source: impl Into<anyhow::Error>) -> Self {
        self.source = Some(source.into());
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "could not {}", self.what)?;
        if let Some(place) = &self.place {
            write!(f, " ({place})")?;
        }
        let why = match (&self.why, &self.source) {
            (Some(why), _) => Some(why.clone()),
            // With its chain: what lies underneath is often what can be mended.
            (None, Some(source)) => Some(format!("{source:#}")),
            (None, None) => None,
        };
        if let Some(why) = &why {
            // Whole sentences may stand there: with a hint behind them their full stop would be doubled.
            let why = match self.hint {
                Some(_) => why.trim_end_matches('.'),
                None => why,
            };
            write!(f, ": {why}")?;
        }
        if let Some(hint) = &self.hint {
            write!(f, ". {hint}")?;
        }
        Ok(())
    }
}

impl Error for Problem {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        self.source.as_ref().map(AsRef::as_ref)
    }
}
