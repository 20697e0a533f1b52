//! Text from files made fit to show: no control, bidirectional or zero-width character.

use std::fmt::Write;

use crate::plain::is_hidden;

/// Bytes as text for the screen: what is not plain is escaped, a tab is a blank, and
/// after `most` characters the rest is cut and marked with three points.
pub fn printable(bytes: &[u8], most: usize) -> String {
    let mut out = String::new();
    let mut shown = 0;
    let mut rest = bytes;
    'chunks: while !rest.is_empty() {
        // Only as much is decoded as can be shown.
        let take = rest.len().min(4 * most.max(1) + 4);
        let (valid, bad) = match std::str::from_utf8(&rest[..take]) {
            Ok(text) => (text, 0),
            Err(error) => {
                let text = std::str::from_utf8(&rest[..error.valid_up_to()]).unwrap_or_default();
                let cut_short = error.error_len().is_none() && take < rest.len();
                let bad = if cut_short && !text.is_empty() {
                    0
                } else {
                    error.error_len().unwrap_or(take - error.valid_up_to())
                };
                (text, bad)
            }
        };
        for c in valid.chars() {
            if shown >= most {
                out.push_str("...");
                break 'chunks;
            }
            if c == '\t' {
                out.push(' ');
            } else if !is_hidden(c) {
                out.push(c);
            } else {
                // Writing to a string cannot fail.
                let _ = write!(out, "\\u{{{:x}}}", u32::from(c));
            }
            shown += 1;
        }
        for byte in &rest[valid.len()..valid.len() + bad] {
            if shown >= most {
                out.push_str("...");
                break 'chunks;
            }
            let _ = write!(out, "\\x{byte:02x}");
            shown += 1;
        }
        rest = &rest[valid.len() + bad..];
    }
    let kept = out.trim_end().len();
    out.truncate(kept);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_a_terminal_acts_on_passes() {
        assert_eq!(printable(b"a\x1b[2Jb", 80), "a\\u{1b}[2Jb");
        assert_eq!(
            printable("a\u{202e}b\u{200b}c".as_bytes(), 80),
            "a\\u{202e}b\\u{200b}c"
        );
        assert_eq!(printable(b"\xff\xfe G1", 80), "\\xff\\xfe G1");
        assert_eq!(printable(b"\xc2\x9b31m", 80), "\\u{9b}31m");
    }

    #[test]
    fn ordinary_letters_of_other_languages_stay() {
        assert_eq!(printable("Ø 6 réduite".as_bytes(), 80), "Ø 6 réduite");
    }

    #[test]
    fn long_text_is_cut_and_says_so() {
        assert_eq!(printable(b"abcdef", 3), "abc...");
        assert_eq!(printable(b"abc", 3), "abc");
        assert_eq!(printable("äöüß".repeat(100).as_bytes(), 5), "äöüßä...");
        assert_eq!(printable(&[0xe2; 200], 2), "\\xe2\\xe2...");
    }

    #[test]
    fn a_letter_cut_off_at_the_end_is_shown_as_bytes() {
        assert_eq!(printable(b"a\xe2\x88", 80), "a\\xe2\\x88");
    }
}
