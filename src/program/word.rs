//! A line to words, each with its column (NISTIR 6556, 3.3), and what is untidy about it.

mod heads;

use memchr::memchr;

pub use crate::program::block::Block;
use crate::program::block::MOST_G;
use crate::program::block::MOST_M;
pub use crate::program::block::bit;
use crate::program::expr::Eval;
use crate::program::expr::Fault;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::finding::Rule;
use crate::program::letter_o;
use crate::program::number;
use crate::program::oword;
use crate::program::params::Key;
use crate::program::params::Params;
use crate::program::quick;
use crate::program::rules;

/// Reads the words of a line into `block`; what is wrong goes to `findings`.
pub fn parse(text: &[u8], line: u64, params: &Params, block: &mut Block, findings: &mut Findings) {
    block.clear();
    if quick::words(text, block) {
        return;
    }
    block.clear();
    let mut parser = Parser {
        text,
        at: 0,
        line,
        params,
        block,
        findings,
    };
    parser.run();
}

/// Key of findings about flow control: a program full of it has one cause.
const FLOW_KEY: u64 = 1000;

struct Parser<'a> {
    text: &'a [u8],
    at: usize,
    line: u64,
    params: &'a Params,
    block: &'a mut Block,
    findings: &'a mut Findings,
}

impl Parser<'_> {
    fn run(&mut self) {
        while let Some(&byte) = self.text.get(self.at) {
            match byte {
                b' ' | b'\t' => self.at += 1,
                b'A'..=b'Z' | b'a'..=b'z' => {
                    if !self.letter(byte & 0xdf) {
                        return;
                    }
                }
                b'(' => self.comment(),
                b';' => {
                    self.keep_comment(self.at + 1, self.text.len());
                    return;
                }
                b'/' if self.text.get(self.at + 1) == Some(&b'/') => {
                    self.find(&rules::SLASH_COMMENT, self.at, 0, || {
                        "A comment begins with //.".to_owned()
                    });
                    self.keep_comment(self.at + 2, self.text.len());
                    return;
                }
                b'#' => {
                    if !self.setting() {
                        return;
                    }
                }
                b':' if !self.block.has_words => {
                    self.at += 1;
                    self.program_number();
                }
                _ => self.stray(byte),
            }
        }
    }

    fn place(&self, at: usize) -> Place<'static> {
        Place {
            line: self.line,
            column: u32::try_from(at + 1).unwrap_or(u32::MAX),
            text: b"",
        }
    }

    fn find(&mut self, rule: &'static Rule, at: usize, key: u64, message: impl FnOnce() -> String) {
        self.find_at(rule, rule.level, at, key, message);
    }

    fn find_at(
        &mut self,
        rule: &'static Rule,
        level: Level,
        at: usize,
        key: u64,
        message: impl FnOnce() -> String,
    ) {
        let place = Place {
            text: self.text,
            ..self.place(at)
        };
        self.findings.add_at(rule, level, place, key, message);
    }

    /// Reads one word; false when the rest of the line is not words.
    fn letter(&mut self, letter: u8) -> bool {
        let start = self.at;
        match letter {
            b'N' => return self.line_number(),
            b'O' if !self.block.has_words => {
                if let Some(head) = oword::head(self.text) {
                    return self.flow(head);
                }
                self.at += 1;
                return self.program_number();
            }
            _ => {}
        }
        self.at += 1;
        if letter == b'M' && self.message(start) {
            return false;
        }
        // The usual case first: a plain number right behind the letter.
        let value = match self.text.get(self.at) {
            Some(b'0'..=b'9' | b'.' | b'-') => match number::short(self.text, self.at) {
                Some((value, end)) if !self.is_before_o(end) => {
                    self.at = end;
                    Ok(value)
                }
                _ if self.letter_for_zero(letter, start) => return true,
                _ => self.value(letter),
            },
            _ if self.letter_for_zero(letter, start) => return true,
            _ => self.value(letter),
        };
        let value = match value {
            Ok(value) => value,
            Err(fault) => return self.no_value(letter, start, fault),
        };
        self.block.has_words = true;
        self.block.last_letter = letter;
        let column = u16::try_from(start + 1).unwrap_or(u16::MAX);
        match letter {
            b'G' => self.g_code(value, start, column),
            b'M' => self.m_code(value, start, column),
            b'E' | b'O' | b'U' | b'V' | b'W' => {
                if !self.block.is_macro {
                    self.find(&rules::UNKNOWN_WORD, start, u64::from(letter), || {
                        format!("{} is not a word of this language.", char::from(letter))
                    });
                }
            }
            _ => {
                let i = usize::from(letter - b'A');
                if self.block.seen & (1 << i) != 0 && !self.block.is_macro {
                    let (old, same) = (self.block.value[i], self.block.value[i] == value);
                    let level = if same { Level::Warn } else { Level::Stop };
                    self.find_at(&rules::DUPLICATE_WORD, level, start, u64::from(letter), || {
                        let letter = char::from(letter);
                        format!("{letter} is written twice, {letter}{old} and {letter}{value}; the last one is taken.")
                    });
                }
                self.block.seen |= 1 << i;
                self.block.unreadable &= !(1 << i);
                self.block.value[i] = value;
                self.block.column[i] = column;
            }
        }
        true
    }

    /// Whether the letter O follows, blanks left out.
    fn is_before_o(&self, at: usize) -> bool {
        let rest = &self.text[at..];
        let next = rest.iter().find(|b| !matches!(b, b' ' | b'\t'));
        matches!(next, Some(b'O' | b'o'))
    }

    /// Whether the number of the word at `start` holds the letter O; then it is named and no value is taken.
    fn letter_for_zero(&mut self, letter: u8, start: usize) -> bool {
        let is_text = |end: usize| {
            let has_digit = self.text[start..end].iter().any(u8::is_ascii_digit);
            self.block.m_words > 0 && !has_digit
        };
        let Some(end) = letter_o::end(self.text, start).filter(|end| !is_text(*end)) else {
            return false;
        };
        if self.block.is_macro || self.flow_word(start).is_some() {
            return false;
        }
        self.at = end;
        self.block.has_words = true;
        self.block.last_letter = letter;
        if !matches!(letter, b'G' | b'M') {
            self.block.unreadable |= bit(letter);
        }
        let written = String::from_utf8_lossy(&self.text[start..end]).into_owned();
        let key = self.line << 8 | u64::from(letter);
        self.find(&rules::LETTER_O_FOR_ZERO, start, key, || {
            format!("{written} holds the letter O where a zero is meant; the word is not read.")
        });
        true
    }

    fn value(&mut self, letter: u8) -> Result<f64, Fault> {
        let mut eval = Eval::new(self.text, self.at, self.params);
        let value = eval.value();
        let has_no_brackets = value.is_ok() && eval.runs_on(self.at, letter == b'#');
        let (at, unset, sign) = (eval.at, eval.met_unset, eval.met_sign);
        let start = self.at;
        self.at = at;
        if let Some(index) = unset {
            self.find(&rules::UNSET_PARAMETER, start, index as u64, || {
                format!("Parameter #{index} is read before the program sets it; taken as 0.")
            });
        }
        if sign && value.is_ok() {
            self.find(&rules::SIGN_BEFORE_EXPRESSION, start, 0, || {
                "A sign stands before a parameter, bracket or function.".to_owned()
            });
        }
        if has_no_brackets {
            self.find(&rules::BAD_EXPRESSION, start, FLOW_KEY, || {
                "An expression stands without square brackets; it is not worked out.".to_owned()
            });
            return Err(Fault::NoBrackets);
        }
        value
    }

    fn g_code(&mut self, value: f64, start: usize, column: u16) {
        let tenths = (value * 10.0).round();
        if (value * 10.0 - tenths).abs() > 1e-3 || !(0.0..10_000.0).contains(&tenths) {
            self.find(&rules::UNKNOWN_G_CODE, start, 0, || {
                format!("G{value} is no code.")
            });
            return;
        }
        #[expect(clippy::cast_possible_truncation, reason = "between 0 and 10000")]
        let tenths = tenths as i32;
        self.block.is_macro |= crate::program::code::takes_all_words(tenths);
        if self.block.g_count < MOST_G {
            self.block.g[self.block.g_count] = (tenths, column);
            self.block.g_count += 1;
        } else {
            self.find(&rules::SAME_MODAL_GROUP, start, u64::MAX, || {
                format!("More than {MOST_G} G codes stand on the line; the rest is not read.")
            });
        }
    }

    fn m_code(&mut self, value: f64, start: usize, column: u16) {
        let code = value.round();
        if (value - code).abs() > 1e-4 || !(0.0..1e6).contains(&code) {
            self.find(&rules::UNKNOWN_M_CODE, start, 0, || {
                format!("M{value} is no code.")
            });
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and a million"
        )]
        let code = code as u32;
        self.block.m_words += 1;
        if self.block.m_count < MOST_M {
            self.block.m[self.block.m_count] = (code, column);
            self.block.m_count += 1;
        }
    }

    /// Whether G28 or G30 stands on the line so far: a bare axis letter behind it names the axis (common practice, no
    /// source; NISTIR 6556 wants a number).
    fn goes_to_reference(&self) -> bool {
        let codes = self.block.g();
        codes.iter().any(|(tenths, _)| matches!(tenths, 280 | 300))
    }

    /// Takes the rest of the line as text where the message code of common practice (M117) stands: what it shows
    /// may look like words, and nothing of it moves.
    fn message(&mut self, start: usize) -> bool {
        const CODE: &[u8] = b"117";
        let Some(rest) = self.text[self.at..].strip_prefix(CODE) else {
            return false;
        };
        if !matches!(rest.first(), Some(b' ' | b'\t')) || rest.trim_ascii().is_empty() {
            return false;
        }
        self.at += CODE.len();
        self.block.has_words = true;
        self.m_code(117.0, start, u16::try_from(start + 1).unwrap_or(u16::MAX));
        let from = self.at;
        if !matches!(rest.trim_ascii_start().first(), Some(b'(' | b';')) {
            self.find(&rules::TEXT_AFTER_CODE, from, 0, || {
                "Text without comment signs stands behind a code; it is not read as words."
                    .to_owned()
            });
        }
        self.keep_comment(from, self.text.len());
        true
    }

    /// Whether two letters in a row begin at `at`.
    fn is_run_of_letters(&self, at: usize) -> bool {
        self.text[at..]
            .iter()
            .take(2)
            .filter(|b| b.is_ascii_alphabetic())
            .count()
            == 2
    }

    /// A letter without a value; false when the rest of the line is not words.
    fn no_value(&mut self, letter: u8, start: usize, fault: Fault) -> bool {
        let shown = char::from(letter);
        if fault == Fault::Missing && (self.is_run_of_letters(start) || letter == b'O') {
            let from = if letter == b'O' { self.at } else { start };
            if let Some(word) = self.flow_word(from) {
                self.block.has_words = true;
                self.find(&rules::UNKNOWN_WORD, start, FLOW_KEY, || {
                    format!("{word} is flow control of another dialect; lines with IF, GOTO, WHILE, DO, END and their like are not followed.")
                });
                return false;
            }
            if self.block.m_words > 0 {
                self.find(&rules::TEXT_AFTER_CODE, start, 0, || {
                    "Text without comment signs stands behind a code; it is not read as words."
                        .to_owned()
                });
                self.keep_comment(start, self.text.len());
                return false;
            }
        }
        self.block.has_words = true;
        self.block.last_letter = letter;
        if !matches!(letter, b'G' | b'M' | b'N' | b'O') {
            self.block.unreadable |= bit(letter);
        }
        if fault == Fault::NoBrackets {
            // Said already.
            return true;
        }
        let is_axis = matches!(letter, b'X' | b'Y' | b'Z');
        if fault == Fault::Missing && is_axis && self.goes_to_reference() {
            self.block.unreadable &= !bit(letter);
            self.block.bare |= bit(letter);
            return true;
        }
        let matters = matches!(
            letter,
            b'A' | b'B'
                | b'C'
                | b'G'
                | b'I'
                | b'J'
                | b'K'
                | b'L'
                | b'O'
                | b'R'
                | b'X'
                | b'Y'
                | b'Z'
        );
        let (rule, message): (&'static Rule, String) = match fault {
            Fault::Missing => (
                &rules::MISSING_NUMBER,
                format!("No number follows the letter {shown}."),
            ),
            Fault::BadNumber => (
                &rules::BAD_NUMBER,
                format!("What follows {shown} is not a number."),
            ),
            Fault::NotFinite => (
                &rules::NUMBER_NOT_FINITE,
                format!("The value of {shown} is too large to be held."),
            ),
            Fault::ParameterIndex => (
                &rules::PARAMETER_INDEX,
                format!("{shown} uses a parameter that does not exist."),
            ),
            Fault::Unset => (
                &rules::PARAMETER_INDEX,
                format!("{shown} uses a named parameter that the program has not set."),
            ),
            Fault::Unbalanced => (
                &rules::UNBALANCED_BRACKET,
                format!("A bracket behind {shown} is not closed."),
            ),
            Fault::BadExpression | Fault::NoBrackets => (
                &rules::BAD_EXPRESSION,
                format!("The expression behind {shown} is not complete."),
            ),
            Fault::DivisionByZero => (
                &rules::DIVISION_BY_ZERO,
                format!("The value of {shown} is a division by zero."),
            ),
            Fault::BadArgument => (
                &rules::BAD_FUNCTION_ARGUMENT,
                format!("A function behind {shown} has no result for its argument."),
            ),
        };
        let level = if matters { rule.level } else { Level::Warn };
        if !self.block.is_macro {
            self.find_at(rule, level, start, u64::from(letter), || message);
        }
        self.skip_to_word(fault);
        true
    }

    /// Skips what belongs to a value that could not be read.
    fn skip_to_word(&mut self, fault: Fault) {
        if fault == Fault::Missing && !self.run_is_unknown_function() {
            return;
        }
        let mut depth = 0_u32;
        while let Some(&byte) = self.text.get(self.at) {
            match byte {
                b'[' => depth += 1,
                b']' => depth = depth.saturating_sub(1),
                b'(' | b';' => return,
                b'A'..=b'Z' | b'a'..=b'z' if depth == 0 && fault != Fault::Missing => return,
                b' ' | b'\t' if depth == 0 && fault == Fault::Missing => return,
                _ => {}
            }
            self.at += 1;
            if byte == b']' && depth == 0 {
                return;
            }
        }
    }

    fn run_is_unknown_function(&self) -> bool {
        let rest = &self.text[self.at..];
        let letters = rest.iter().take_while(|b| b.is_ascii_alphabetic()).count();
        letters >= 2
    }

    /// Reads `#index=value`; false when the rest of the line is not words.
    fn setting(&mut self) -> bool {
        let start = self.at;
        self.block.has_words = true;
        self.block.last_letter = 0;
        self.at += 1;
        let mut eval = Eval::new(self.text, self.at, self.params);
        let key = if eval.peek() == Some(b'<') {
            let name = eval.name();
            self.at = eval.at;
            name.map(|name| Some(Key::Name(name)))
        } else {
            self.value(b'#')
                .map(|value| Params::index(value).map(Key::Number))
        };
        let key = match key {
            Ok(key) => key,
            Err(fault) => {
                self.setting_fault(start, fault);
                return true;
            }
        };
        let mut eval = Eval::new(self.text, self.at, self.params);
        if eval.peek() != Some(b'=') {
            self.find(&rules::BAD_PARAMETER_SETTING, start, 0, || {
                "A parameter setting has no equal sign.".to_owned()
            });
            self.skip_to_word(Fault::BadExpression);
            return true;
        }
        self.at = eval.at + 1;
        let Some(key) = key else {
            self.find(&rules::PARAMETER_INDEX, start, 0, || {
                "A parameter is set that does not exist.".to_owned()
            });
            self.skip_to_word(Fault::BadExpression);
            return true;
        };
        match self.value(b'#') {
            Ok(value) => self.block.settings.push((key, value)),
            Err(fault) => self.setting_fault(start, fault),
        }
        true
    }

    fn setting_fault(&mut self, start: usize, fault: Fault) {
        let rule = match fault {
            // Said already.
            Fault::NoBrackets => return,
            Fault::Missing => &rules::MISSING_NUMBER,
            Fault::BadNumber => &rules::BAD_NUMBER,
            Fault::NotFinite => &rules::NUMBER_NOT_FINITE,
            Fault::ParameterIndex | Fault::Unset => &rules::PARAMETER_INDEX,
            Fault::Unbalanced => &rules::UNBALANCED_BRACKET,
            Fault::BadExpression => &rules::BAD_EXPRESSION,
            Fault::DivisionByZero => &rules::DIVISION_BY_ZERO,
            Fault::BadArgument => &rules::BAD_FUNCTION_ARGUMENT,
        };
        self.find(rule, start, 2, || {
            "A parameter setting could not be read; the parameter keeps its value.".to_owned()
        });
        self.skip_to_word(Fault::BadExpression);
    }

    fn comment(&mut self) {
        let start = self.at;
        let inside = start + 1;
        let Some(first) = memchr(b')', &self.text[inside..]) else {
            self.find(&rules::UNCLOSED_COMMENT, start, 0, || {
                "A comment opens and does not close on its line; the rest of the line is taken as comment."
                    .to_owned()
            });
            self.keep_comment(inside, self.text.len());
            self.at = self.text.len();
            return;
        };
        let mut end = inside + first;
        if memchr(b'(', &self.text[inside..end]).is_some() {
            self.find(&rules::NESTED_COMMENT, start, 0, || {
                "A comment holds another bracket.".to_owned()
            });
            let mut depth = 1_u32;
            let mut last = end;
            end = 0;
            for (i, byte) in self.text.iter().enumerate().skip(inside) {
                match byte {
                    b'(' => depth += 1,
                    b')' => {
                        depth -= 1;
                        last = i;
                        if depth == 0 {
                            end = i;
                            break;
                        }
                    }
                    _ => {}
                }
            }
            if end == 0 {
                // Not balanced: words may follow the last bracket, or more of the comment.
                let rest = self.text[last + 1..].trim_ascii_start();
                let is_text = rest.len() >= 2 && rest[..2].iter().all(u8::is_ascii_alphabetic);
                end = if is_text { self.text.len() } else { last };
            }
        }
        self.keep_comment(inside, end);
        self.at = (end + 1).min(self.text.len());
    }

    fn keep_comment(&mut self, from: usize, to: usize) {
        let text = &self.text[from..to];
        if text.iter().any(|b| !matches!(b, b' '..=b'~' | b'\t')) {
            self.find(&rules::NON_ASCII_IN_COMMENT, from, 0, || {
                "A comment holds characters beyond plain ASCII.".to_owned()
            });
        }
        self.block.comment = Some((from, to));
    }

    fn stray(&mut self, byte: u8) {
        let start = self.at;
        self.at += 1;
        if byte == b'/' && !self.block.has_words {
            // Block delete behind a line number; the caller has looked at the head of the line.
            return;
        }
        let level = if byte == b')' {
            Level::Warn
        } else {
            Level::Stop
        };
        let rest = &self.text[start..];
        let shown = match std::str::from_utf8(&rest[..rest.len().min(4)]) {
            Ok(text) => text.chars().next(),
            Err(error) => std::str::from_utf8(&rest[..error.valid_up_to()])
                .ok()
                .and_then(|text| text.chars().next()),
        };
        if let Some(c) = shown {
            self.at = start + c.len_utf8();
        }
        let key = shown.map_or(u64::from(byte) + 0x11_0000, |c| u64::from(u32::from(c)));
        self.find_at(&rules::BAD_CHARACTER, level, start, key, || match shown {
            Some(c) if c.is_ascii_graphic() => {
                format!(
                    "The character {c} (U+{:04X}) has no meaning here.",
                    u32::from(c)
                )
            }
            Some(c) => format!("The character U+{:04X} has no meaning here.", u32::from(c)),
            None => format!("The byte {byte:#04x} is no text."),
        });
        if byte == b')' {
            return;
        }
        // What follows may have belonged to the number before.
        let last = self.block.last_letter;
        if last != 0 && !matches!(last, b'G' | b'M' | b'N' | b'O') {
            self.block.unreadable |= bit(last);
        }
        while let Some(b'0'..=b'9' | b'.' | b'+' | b'-') = self.text.get(self.at) {
            self.at += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Block, Vec<(&'static str, Level)>) {
        let mut block = Block::default();
        let mut findings = Findings::default();
        parse(
            text.as_bytes(),
            1,
            &Params::default(),
            &mut block,
            &mut findings,
        );
        let found = findings
            .into_sorted()
            .iter()
            .map(|f| (f.id, f.level))
            .collect();
        (block, found)
    }

    #[test]
    fn words_run_together_are_told_apart() {
        let (block, found) = read("n10g1x1.5Y-2f100(cut)");
        assert_eq!(block.g(), [(10, 4)]);
        assert_eq!(
            (block.get(b'X'), block.get(b'Y'), block.get(b'F')),
            (Some(1.5), Some(-2.0), Some(100.0))
        );
        assert_eq!(block.column(b'Y'), 10);
        assert_eq!(block.comment, Some((17, 20)));
        assert_eq!(found, []);
    }

    #[test]
    fn a_letter_behind_a_number_is_no_exponent() {
        let (block, found) = read("S600E41");
        assert_eq!(block.get(b'S'), Some(600.0));
        assert_eq!(found, [("unknown-word", Level::Stop)]);
    }

    #[test]
    fn text_behind_a_message_code_is_no_words() {
        let (block, found) = read("M117 Hello X5");
        assert_eq!(block.m(), [(117, 1)]);
        assert_eq!(block.get(b'X'), None);
        assert_eq!(found, [("text-after-code", Level::Warn)]);
    }

    #[test]
    fn h_and_d_without_number_are_milder_than_an_axis_without() {
        assert_eq!(read("G49 H").1, [("missing-number", Level::Warn)]);
        let (block, found) = read("G1 X Y5");
        assert_eq!(found, [("missing-number", Level::Stop)]);
        assert_eq!(block.unreadable, bit(b'X'));
        assert_eq!(block.get(b'Y'), Some(5.0));
    }

    #[test]
    fn nested_comments_end_where_their_brackets_close() {
        let (block, found) = read("G1 (a (b) c) X10");
        assert_eq!(block.get(b'X'), Some(10.0));
        assert_eq!(found, [("nested-comment", Level::Warn)]);
        let (block, _) = read("(a (b c) X10");
        assert_eq!(block.get(b'X'), Some(10.0));
    }

    #[test]
    fn flow_control_is_named() {
        for text in [
            "IF [#1 GT 0] GOTO 10",
            "GOTO 10",
            "WHILE [#1 LT 5] DO1",
            "O100 IF #1",
            "END1",
        ] {
            assert_eq!(read(text).1[0], ("unknown-word", Level::Stop), "{text}");
        }
    }

    #[test]
    fn a_sign_that_looks_like_a_minus_is_never_dropped() {
        let (block, found) = read("G1 X\u{2212}5");
        assert!(found.contains(&("bad-character", Level::Stop)));
        assert_eq!(block.get(b'X'), None);
        assert_eq!(block.unreadable, bit(b'X'));
    }
}
