//! What is wrong in a record, and where.

use std::error::Error;
use std::fmt;

use crate::plain;

/// Why a record could not be read. The texts are as found; the [`fmt::Display`] escapes them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordError {
    /// Line, counted from 1; 0 when the whole file is meant.
    pub line: usize,
    /// Column in characters, counted from 1; 0 when the whole line is meant.
    pub column: usize,
    /// The key with those above it, such as `setup[1].stock.x`; empty when none is meant.
    pub key: String,
    /// What was found, a fragment after the key: `is "6 m"`.
    pub found: String,
    /// What is allowed, a full sentence.
    pub allowed: String,
}

impl RecordError {
    /// A fault of the file as a whole.
    pub(in crate::record) fn whole(found: impl Into<String>, allowed: &str) -> Self {
        Self {
            found: found.into(),
            allowed: allowed.to_owned(),
            ..Self::default()
        }
    }

    /// A text that is no TOML, at the place where it ends to be; `allowed` says what to do.
    pub(in crate::record) fn no_toml(text: &str, error: &toml::de::Error, allowed: &str) -> Self {
        let (line, column) = error
            .span()
            .map_or((0, 0), |span| line_and_column(text, span.start));
        Self {
            line,
            column,
            key: String::new(),
            found: format!("not TOML: {}", error.message()),
            allowed: allowed.to_owned(),
        }
    }
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line > 0 {
            write!(f, "line {}: ", self.line)?;
        }
        if !self.key.is_empty() {
            write!(f, "{} ", plain::text(&self.key))?;
        }
        f.write_str(&plain::text(&self.found))?;
        if !self.allowed.is_empty() {
            write!(f, ". {}", plain::text(&self.allowed))?;
        }
        Ok(())
    }
}

impl Error for RecordError {}

/// The text of a small file that is kept beside the records; `size` and `form` say what is allowed.
pub(in crate::record) fn text<'a>(
    raw: &'a [u8],
    longest: usize,
    size: &str,
    form: &str,
) -> Result<&'a str, RecordError> {
    if raw.len() > longest {
        return Err(RecordError::whole(format!("has {} bytes", raw.len()), size));
    }
    std::str::from_utf8(raw).map_err(|_| RecordError::whole("is not UTF-8", form))
}

/// What is wrong with one value, before its place is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::record) struct Wrong {
    /// What was found, a fragment after the key.
    pub found: String,
    /// What is allowed, a full sentence.
    pub allowed: String,
}

impl Wrong {
    pub(in crate::record) fn new(found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self {
            found: found.into(),
            allowed: allowed.into(),
        }
    }
}

/// Line and column of a byte, both counted from 1; the column in characters.
pub(in crate::record) fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let start = before.rfind('\n').map_or(0, |feed| feed + 1);
    (
        before.matches('\n').count() + 1,
        before[start..].chars().count() + 1,
    )
}
