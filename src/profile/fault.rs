//! What is wrong in a profile file, and where.

use std::fmt;
use std::ops::Range;

use crate::plain;

/// Whose profile it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Built into the program.
    Shipped,
    /// In the person's data folder.
    Own,
}

impl Origin {
    /// Word used in lists.
    pub fn word(self) -> &'static str {
        match self {
            Self::Shipped => "shipped",
            Self::Own => "own",
        }
    }
}

/// One thing wrong in a profile file. Texts are as found, not escaped; its
/// [`fmt::Display`] escapes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Whose file.
    pub origin: Origin,
    /// Path or name of the file.
    pub file: String,
    /// Line, counted from 1; 0 when the whole file is meant.
    pub line: usize,
    /// Column in characters, counted from 1; 0 when the whole line is meant.
    pub column: usize,
    /// Bytes of the file that are meant.
    pub span: Range<usize>,
    /// Name of the machine, material, tool, caution or template, if it could be read.
    pub entry: Option<String>,
    /// The key with those above it, such as `x.travel`; empty when none is meant.
    pub key: String,
    /// What was found and why it cannot be taken, a fragment after the key.
    pub wrong: String,
    /// What is allowed, a full sentence.
    pub allowed: String,
}

impl Fault {
    /// Key and what is wrong with it, escaped.
    pub fn headline(&self) -> String {
        let key = if self.key.is_empty() {
            String::new()
        } else {
            format!("{} ", self.key)
        };
        plain::text(&format!("{key}{}", self.wrong))
    }

    /// File and line, escaped.
    pub fn place(&self) -> String {
        let file = plain::text(&self.file);
        if self.line == 0 {
            file
        } else {
            format!("{file}:{}:{}", self.line, self.column.max(1))
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.place())?;
        if let Some(entry) = &self.entry {
            write!(f, "{}: ", plain::text(entry))?;
        }
        write!(f, "{}. {}", self.headline(), plain::text(&self.allowed))
    }
}

/// Line and column of a byte, both counted from 1; the column in characters.
pub fn line_and_column(text: &str, byte: usize) -> (usize, usize) {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let line = before.matches('\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |newline| newline + 1);
    (line, before[start..].chars().count() + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_is_counted_in_characters_from_one() {
        let text = "a = 1\nµ = \"é\"\n";
        assert_eq!(line_and_column(text, 0), (1, 1));
        assert_eq!(line_and_column(text, 6), (2, 1));
        assert_eq!(line_and_column(text, 8), (2, 2));
        assert_eq!(line_and_column(text, 7), (2, 1), "inside the µ");
        assert_eq!(line_and_column(text, 999), (3, 1));
    }

    #[test]
    fn nothing_hidden_leaves_a_fault() {
        let fault = Fault {
            origin: Origin::Own,
            file: "a\u{1b}[2J.toml".to_owned(),
            line: 3,
            column: 2,
            span: 0..0,
            entry: Some("x\u{202e}".to_owned()),
            key: "ti\u{7}tle".to_owned(),
            wrong: "is \"\u{200b}\"".to_owned(),
            allowed: "Write a title.".to_owned(),
        };
        let shown = fault.to_string();
        assert!(!shown.chars().any(plain::is_hidden), "{shown}");
        assert!(shown.starts_with("a\\u{1b}[2J.toml:3:2: "), "{shown}");
    }
}
