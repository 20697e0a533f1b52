//! Lines of flow control by O words, such as `o100 while [#1 LT 5]`.
//!
//! NISTIR 6556 has none; the interpreters that grew out of it print these words (from memory). Labels are numbers
//! or names in angle brackets; a call may compute its number. Letters may be of either case, and blanks mean
//! nothing, as everywhere in the language (NISTIR 6556, 3.3).

/// What a line of flow control does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// Begins a subprogram.
    Sub,
    /// Ends a subprogram, perhaps with a value.
    EndSub,
    /// Runs a subprogram with values for #1 and on.
    Call,
    /// Leaves a subprogram early, perhaps with a value.
    Return,
    /// Begins a branch.
    If,
    /// Another condition of a branch.
    ElseIf,
    /// What runs when no condition of a branch holds.
    Else,
    /// Ends a branch.
    EndIf,
    /// Begins a loop whose condition stands at its end.
    Do,
    /// Begins a loop, or ends one that began with `do`.
    While,
    /// Ends a loop.
    EndWhile,
    /// Begins a loop that runs so many times.
    Repeat,
    /// Ends such a loop.
    EndRepeat,
    /// Leaves a loop.
    Break,
    /// Goes on with the next round of a loop.
    Continue,
}

impl Word {
    const ALL: [(&'static [u8], Self); 15] = [
        (b"sub", Self::Sub),
        (b"endsub", Self::EndSub),
        (b"call", Self::Call),
        (b"return", Self::Return),
        (b"if", Self::If),
        (b"elseif", Self::ElseIf),
        (b"else", Self::Else),
        (b"endif", Self::EndIf),
        (b"do", Self::Do),
        (b"while", Self::While),
        (b"endwhile", Self::EndWhile),
        (b"repeat", Self::Repeat),
        (b"endrepeat", Self::EndRepeat),
        (b"break", Self::Break),
        (b"continue", Self::Continue),
    ];

    /// The word as it is written.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(_, word)| *word == self)
            .and_then(|(name, _)| std::str::from_utf8(name).ok())
            .unwrap_or_default()
    }

    /// How many values in brackets may stand behind the word: least and most.
    pub fn values(self) -> [usize; 2] {
        match self {
            Self::If | Self::ElseIf | Self::While | Self::Repeat => [1, 1],
            Self::Call => [0, crate::program::params::LOCAL],
            Self::EndSub | Self::Return => [0, 1],
            _ => [0, 0],
        }
    }
}

/// What belongs together.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Label {
    /// `o100`.
    Number(u64),
    /// `o<pocket>`, lower case without blanks.
    Name(String),
    /// `o#5` or `o[#5+1]`: the value at this offset of the line is the number.
    Computed(usize),
}

/// A line of flow control, read up to its word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Which one.
    pub label: Label,
    /// What it does.
    pub word: Word,
    /// Offset behind the word.
    pub end: usize,
}

/// Longest number of a label, digits.
const MOST_DIGITS: usize = 15;

/// A name in angle brackets at `at`: in lower case without blanks, and the offset behind it.
pub fn name(text: &[u8], at: usize) -> Option<(String, usize)> {
    let rest = text.get(at..)?.strip_prefix(b"<")?;
    let length = memchr::memchr(b'>', rest)?;
    let name: String = rest[..length]
        .iter()
        .filter(|b| !matches!(b, b' ' | b'\t'))
        .map(|b| char::from(b.to_ascii_lowercase()))
        .collect();
    (!name.is_empty()).then_some((name, at + length + 2))
}

fn blanks(text: &[u8], mut at: usize) -> usize {
    while matches!(text.get(at), Some(b' ' | b'\t')) {
        at += 1;
    }
    at
}

/// Offset behind a bracket that opens at `at` and closes on the line.
fn behind_bracket(text: &[u8], at: usize) -> Option<usize> {
    let mut depth = 0_u32;
    for (i, byte) in text.iter().enumerate().skip(at) {
        match byte {
            b'[' => depth += 1,
            b']' => {
                depth -= 1;
                if depth == 0 {
                    return Some(i + 1);
                }
            }
            _ if depth == 0 => return None,
            _ => {}
        }
    }
    None
}

fn behind_digits(text: &[u8], mut at: usize) -> usize {
    while matches!(text.get(at), Some(b'0'..=b'9' | b' ' | b'\t')) {
        at += 1;
    }
    at
}

fn label(text: &[u8], at: usize) -> Option<(Label, usize)> {
    match text.get(at)? {
        b'0'..=b'9' => {
            let end = behind_digits(text, at);
            let digits: String = text[at..end]
                .iter()
                .filter(|b| b.is_ascii_digit())
                .map(|b| char::from(*b))
                .collect();
            let number = (digits.len() <= MOST_DIGITS).then(|| digits.parse().ok())??;
            Some((Label::Number(number), end))
        }
        b'<' => name(text, at).map(|(name, end)| (Label::Name(name), end)),
        b'[' => behind_bracket(text, at).map(|end| (Label::Computed(at), end)),
        b'#' => {
            let from = blanks(text, at + 1);
            let end = match text.get(from)? {
                b'0'..=b'9' => behind_digits(text, from),
                b'<' => name(text, from)?.1,
                b'[' => behind_bracket(text, from)?,
                _ => return None,
            };
            Some((Label::Computed(at), end))
        }
        _ => None,
    }
}

/// The head of a line of flow control; none for every other line. A sign of block delete and a line number may
/// stand before it.
pub fn head(text: &[u8]) -> Option<Head> {
    let mut at = blanks(text, 0);
    if text.get(at) == Some(&b'/') {
        at += 1;
        at += usize::from(text.get(at).is_some_and(u8::is_ascii_digit));
        at = blanks(text, at);
    }
    if matches!(text.get(at), Some(b'N' | b'n')) {
        at = behind_digits(text, at + 1);
    }
    if !matches!(text.get(at), Some(b'O' | b'o')) {
        return None;
    }
    let (label, behind) = label(text, blanks(text, at + 1))?;
    let mut run = [0; 9];
    let mut length = 0;
    let mut end = blanks(text, behind);
    while let Some(byte) = text.get(end) {
        match byte {
            b' ' | b'\t' => {}
            _ if byte.is_ascii_alphabetic() => {
                *run.get_mut(length)? = byte.to_ascii_lowercase();
                length += 1;
            }
            _ => break,
        }
        end += 1;
    }
    let (_, word) = Word::ALL.iter().find(|(name, _)| *name == &run[..length])?;
    Some(Head {
        label,
        word: *word,
        end,
    })
}

/// A line of flow control with its values.
#[derive(Clone, Debug, PartialEq)]
pub struct OWord {
    /// Which one; a computed label is a number by now.
    pub label: Label,
    /// What it does.
    pub word: Word,
    /// Values in brackets behind the word.
    pub values: Vec<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_flow_control_are_told_from_names_of_programs() {
        let read = |text: &str| head(text.as_bytes()).map(|head| (head.label, head.word));
        let number = |n| Label::Number(n);
        assert_eq!(read("o100 sub"), Some((number(100), Word::Sub)));
        assert_eq!(read("O 1 00EndWhile"), Some((number(100), Word::EndWhile)));
        assert_eq!(read("N5 o7 if [#1 GT 0]"), Some((number(7), Word::If)));
        assert_eq!(read("/o7 break"), Some((number(7), Word::Break)));
        let name = Label::Name("boltcircle".to_owned());
        assert_eq!(read("o<Bolt Circle> CALL [5]"), Some((name, Word::Call)));
        assert_eq!(
            read("o[#5+[1]] call"),
            Some((Label::Computed(1), Word::Call))
        );
        assert_eq!(read("o#5 call"), Some((Label::Computed(1), Word::Call)));
        for text in [
            "O1000",
            "O1000 (sub)",
            "O1000 DOOR PANEL",
            "O1000 RETURN PLATE",
            "O <> sub",
            "O<open sub",
            "G1 X5",
            "",
            "O9999999999999999999 sub",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
