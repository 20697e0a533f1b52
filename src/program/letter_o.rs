//! The letter O where a zero is meant: `X3O`, `XO.5`, `GO`.
//!
//! A reader that leaves the letter out takes X3 for X30. Only a word of its own at the head of a line may begin with O.

/// The end of a word whose number holds the letter O, `start` being the place of the word's own letter; `None` where it
/// holds none, or where it is the beginning of text.
pub fn end(text: &[u8], start: usize) -> Option<usize> {
    let is_sign = |byte: Option<&u8>| matches!(byte, Some(b'+' | b'-'));
    let run = |from: usize| {
        let of_run = |byte: &&u8| matches!(**byte, b'0'..=b'9' | b'.' | b'O' | b'o');
        from + text
            .get(from..)
            .unwrap_or_default()
            .iter()
            .take_while(of_run)
            .count()
    };
    let first = start + 1 + usize::from(is_sign(text.get(start + 1)));
    let end = run(first);
    let is_o = |byte: &u8| matches!(byte, b'O' | b'o');
    if text.get(first..end)?.iter().any(is_o) {
        return is_end_of_word(text, end).then_some(end);
    }
    // Blanks inside a number mean nothing; behind an M code they mostly begin a text.
    if end == first || matches!(text.get(start), Some(b'M' | b'm')) {
        return None;
    }
    let blanks = text[end..]
        .iter()
        .take_while(|b| matches!(b, b' ' | b'\t'))
        .count();
    let letters = end + blanks;
    let end = letters + text[letters..].iter().take_while(|b| is_o(b)).count();
    let stands_alone = matches!(text.get(end), None | Some(b' ' | b'\t' | b'(' | b';'));
    (end > letters && stands_alone).then_some(end)
}

/// Whether a word may end here: what follows is no letter, or one with a number of its own.
fn is_end_of_word(text: &[u8], end: usize) -> bool {
    match text.get(end) {
        Some(byte) if byte.is_ascii_alphabetic() => matches!(
            text.get(end + 1),
            Some(b'0'..=b'9' | b'.' | b'+' | b'-' | b'#' | b'[')
        ),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_letter_is_found_in_a_number_and_not_in_text() {
        for (text, expected) in [
            ("X3O Y30", Some(3)),
            ("XO", Some(2)),
            ("X-O.5", Some(5)),
            ("X1O5Y2", Some(4)),
            ("X3 O Y30", Some(4)),
            ("GO X5", Some(2)),
            ("X30 Y30", None),
            ("X3", None),
            ("GOTO 10", None),
            ("M117Open", None),
            ("M0 O RING", None),
            ("POCKET", None),
        ] {
            assert_eq!(end(text.as_bytes(), 0), expected, "{text}");
        }
    }
}
