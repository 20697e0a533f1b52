//! What a line begins with: its number, the program's number, flow control.

use crate::program::expr::Fault;
use crate::program::number;
use crate::program::oword::Head;
use crate::program::oword::Label;
use crate::program::oword::OWord;
use crate::program::rules;
use crate::program::word::FLOW_KEY;
use crate::program::word::Parser;

impl Parser<'_> {
    pub(super) fn line_number(&mut self) -> bool {
        let start = self.at;
        self.at += 1;
        let mut digits = 0;
        while let Some(byte) = self.text.get(self.at) {
            match byte {
                b'0'..=b'9' => digits += 1,
                b' ' | b'\t' => {}
                _ => break,
            }
            self.at += 1;
        }
        if digits == 0 {
            if self.is_run_of_letters(start) {
                return self.no_value(b'N', start, Fault::Missing);
            }
            self.find(&rules::BAD_LINE_NUMBER, start, 0, || {
                "A line number has no digits.".to_owned()
            });
        } else if digits > 5 {
            self.find(&rules::LINE_NUMBER_RANGE, start, 0, || {
                "A line number has more than five digits.".to_owned()
            });
        }
        // A line may be marked to be skipped behind its number as well.
        true
    }

    /// Reads the values of a line of flow control; false when the rest of the line is not words.
    pub(super) fn flow(&mut self, head: Head) -> bool {
        let start = self.at;
        self.block.has_words = true;
        let mut oword = OWord {
            label: head.label,
            word: head.word,
            values: vec![],
        };
        if let Label::Computed(at) = oword.label {
            self.at = at;
            match self.value(b'O') {
                Ok(number) if (0.0..1e15).contains(&number.round()) => {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "between 0 and 1e15"
                    )]
                    let number = number.round() as u64;
                    oword.label = Label::Number(number);
                }
                Ok(_) => return self.no_value(b'O', start, Fault::BadNumber),
                Err(fault) => return self.no_value(b'O', start, fault),
            }
        }
        self.at = head.end;
        let [least, most] = head.word.values();
        while oword.values.len() < most && self.text.get(self.at) == Some(&b'[') {
            match self.value(b'O') {
                Ok(value) => oword.values.push(value),
                Err(fault) => return self.no_value(b'O', start, fault),
            }
            while let Some(b' ' | b'\t') = self.text.get(self.at) {
                self.at += 1;
            }
        }
        let is_whole = matches!(self.text.get(self.at), None | Some(b'(' | b';'));
        if oword.values.len() < least || !is_whole {
            self.find(&rules::UNKNOWN_WORD, start, FLOW_KEY + 1, || {
                let word = head.word.name();
                format!("What stands behind {word} is no condition or value in square brackets; the line is not followed.")
            });
            return false;
        }
        self.block.oword = Some(oword);
        true
    }

    pub(super) fn program_number(&mut self) -> bool {
        let start = self.at - 1;
        match number::number(self.text, self.at) {
            Ok((value, end))
                if self.text[self.at..end]
                    .iter()
                    .all(|b| matches!(b, b'0'..=b'9' | b' ' | b'\t')) =>
            {
                self.at = end;
                self.block.program_number = Some(value);
                self.find(&rules::PROGRAM_NUMBER, start, 0, || {
                    format!("The program has the number {value}.")
                });
                let rest = &self.text[end..];
                let letters = rest.iter().filter(|b| !matches!(b, b' ' | b'\t'));
                let mut head = letters.take(2);
                if let (Some(a), Some(b)) = (head.next(), head.next())
                    && a.is_ascii_alphabetic()
                    && b.is_ascii_alphabetic()
                {
                    // A name without comment signs.
                    self.keep_comment(end, self.text.len());
                    return false;
                }
                true
            }
            _ => {
                self.block.has_words = true;
                self.find(&rules::UNKNOWN_WORD, start, u64::from(b'O'), || {
                    "A named or computed program word is not followed.".to_owned()
                });
                false
            }
        }
    }

    /// A word of flow control in the run of letters at `at`.
    pub(super) fn flow_word(&self, at: usize) -> Option<&'static str> {
        const WORDS: [&str; 13] = [
            "IF", "GOTO", "WHILE", "DO", "END", "SUB", "CALL", "REPEAT", "ELSE", "RETURN", "BREAK",
            "CONTINUE", "THEN",
        ];
        let run: Vec<u8> = self.text[at..]
            .iter()
            .filter(|b| !matches!(b, b' ' | b'\t'))
            .take_while(|b| b.is_ascii_alphabetic())
            .take(8)
            .map(u8::to_ascii_uppercase)
            .collect();
        WORDS
            .into_iter()
            .find(|word| run.starts_with(word.as_bytes()))
    }
}
