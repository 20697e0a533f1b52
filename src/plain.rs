//! Text from files and people, made fit for a terminal.
//!
//! A name or a comment may carry characters that move the cursor, turn the
//! reading direction round or stay invisible. None of them may reach a terminal
//! or a JSON reader as they are: here they become visible escapes.

pub mod near;

use std::borrow::Cow;
use std::fmt::Write;

use unicode_width::UnicodeWidthChar;

/// Whether a character would act on the terminal or hide in it: control,
/// bidirectional, zero-width, line-separating, blank-filling or tag characters.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{ad}'
                | '\u{34f}'
                | '\u{61c}'
                | '\u{115f}'..='\u{1160}'
                | '\u{17b4}'..='\u{17b5}'
                | '\u{180b}'..='\u{180f}'
                | '\u{200b}'..='\u{200f}'
                | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}'
                | '\u{3164}'
                | '\u{fe00}'..='\u{fe0f}'
                | '\u{feff}'
                | '\u{ffa0}'
                | '\u{fff0}'..='\u{fffb}'
                | '\u{1bca0}'..='\u{1bca3}'
                | '\u{1d173}'..='\u{1d17a}'
                | '\u{e0000}'..='\u{e0fff}'
        )
}

/// The text with every hidden character written out: `\t`, `\n`, `\r`, else
/// `\u{hex}`. Text without any comes back as it was.
pub fn text(raw: &str) -> String {
    let mut out = String::with_capacity(raw.len());
    for c in raw.chars() {
        match c {
            '\t' => out.push_str("\\t"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            c if is_hidden(c) => {
                // Writing to a String cannot fail.
                let _ = write!(out, "\\u{{{:x}}}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out
}

/// Like [`text`], but each line of the text stays a line: for longer text of several lines.
pub fn lines(raw: &str) -> String {
    raw.lines().map(text).collect::<Vec<_>>().join("\n")
}

/// Text on its way out: what acts or hides is escaped once more, should a place have forgotten to; line feeds stay.
/// Text that was escaped comes back as it was.
pub fn printed(out: &str) -> Cow<'_, str> {
    if !out.chars().any(|c| c != '\n' && is_hidden(c)) {
        return Cow::Borrowed(out);
    }
    Cow::Owned(out.split('\n').map(text).collect::<Vec<_>>().join("\n"))
}

/// Serialized JSON with every hidden character as `\uXXXX`. Line feeds stay:
/// inside strings the serializer has escaped them already.
pub fn json(serialized: &str) -> Cow<'_, str> {
    if !serialized.chars().any(|c| c != '\n' && is_hidden(c)) {
        return Cow::Borrowed(serialized);
    }
    let mut out = String::with_capacity(serialized.len() + 16);
    for c in serialized.chars() {
        if c == '\n' || !is_hidden(c) {
            out.push(c);
            continue;
        }
        for unit in c.encode_utf16(&mut [0; 2]) {
            // Writing to a String cannot fail.
            let _ = write!(out, "\\u{unit:04x}");
        }
    }
    Cow::Owned(out)
}

/// Columns that the text takes on a terminal, once escaped.
pub fn width(raw: &str) -> usize {
    text(raw).chars().map(column).sum()
}

/// The escaped text in at most `columns` columns; what had to go is marked with `…`.
///
/// A wide character is never cut in half, and a combining mark stays with its letter.
pub fn cut(raw: &str, columns: usize) -> String {
    cut_with(raw, columns, "…")
}

/// Like [`cut`] with another mark, such as `~` where only ASCII can be shown.
pub fn cut_with(raw: &str, columns: usize, mark: &str) -> String {
    let whole = text(raw);
    if whole.chars().map(column).sum::<usize>() <= columns {
        return whole;
    }
    let room = columns.saturating_sub(mark.chars().map(column).sum());
    let mut out = String::new();
    let mut used = 0;
    for c in whole.chars() {
        if used + column(c) > room {
            break;
        }
        used += column(c);
        out.push(c);
    }
    if columns > 0 {
        out.push_str(mark);
    }
    out
}

/// The escaped text in exactly `columns` columns: cut, or filled with spaces.
pub fn pad(raw: &str, columns: usize) -> String {
    let mut out = cut(raw, columns);
    let used: usize = out.chars().map(column).sum();
    out.extend(std::iter::repeat_n(' ', columns.saturating_sub(used)));
    out
}

fn column(c: char) -> usize {
    c.width().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_moves_the_cursor_or_hides_is_written_out() {
        assert_eq!(text("a\u{1b}[2Jb"), "a\\u{1b}[2Jb");
        assert_eq!(text("a\tb\nc\rd"), "a\\tb\\nc\\rd");
        assert_eq!(text("gpj.\u{202e}exe"), "gpj.\\u{202e}exe");
        assert_eq!(text("a\u{200b}b\u{feff}"), "a\\u{200b}b\\u{feff}");
        assert_eq!(text("\u{9b}31m\u{7f}"), "\\u{9b}31m\\u{7f}");
        assert_eq!(text("\u{e0041}"), "\\u{e0041}");
    }

    #[test]
    fn every_control_direction_and_separating_character_is_hidden() {
        // ISO/IEC 6429:1992: C0, DEL and C1; Unicode Standard Annex 9: the directional formatting characters;
        // Unicode Standard 15.0, 5.8: the line and paragraph separators.
        let controls = ('\0'..='\u{1f}').chain('\u{7f}'..='\u{9f}');
        let directions = ['\u{61c}', '\u{200e}', '\u{200f}'];
        let directions = directions.into_iter().chain('\u{202a}'..='\u{202e}');
        let directions = directions.chain('\u{2066}'..='\u{2069}');
        for c in controls.chain(directions).chain(['\u{2028}', '\u{2029}']) {
            assert!(is_hidden(c), "{:x}", u32::from(c));
            let escaped = text(&c.to_string());
            assert!(
                escaped.bytes().all(|b| (b' '..=b'~').contains(&b)),
                "{escaped}"
            );
            assert_eq!(text(&escaped), escaped, "escaped once");
        }
    }

    #[test]
    fn what_leaves_keeps_its_lines_and_nothing_else_that_acts() {
        assert!(matches!(printed("a\n\nb\n"), Cow::Borrowed("a\n\nb\n")));
        assert_eq!(printed("a\u{1b}b\n\tc\n"), "a\\u{1b}b\n\\tc\n");
    }

    #[test]
    fn ordinary_text_of_any_script_stays() {
        for kept in [
            "Fräser Ø6 mm, 90°",
            "N/µm ≥ 2",
            "фреза",
            "立铣刀",
            "e\u{301}",
            "C:\\job",
        ] {
            assert_eq!(text(kept), kept);
        }
    }

    #[test]
    fn several_lines_stay_lines() {
        assert_eq!(lines("a\r\nb\u{7}"), "a\nb\\u{7}");
    }

    #[test]
    fn json_escapes_in_utf_16_and_leaves_its_own_line_feeds() {
        let serialized = "{\n\"a\": \"x\u{202e}y\u{e0041}\u{85}\"\n}";
        assert_eq!(
            json(serialized),
            "{\n\"a\": \"x\\u202ey\\udb40\\udc41\\u0085\"\n}"
        );
        assert!(matches!(json("{}"), Cow::Borrowed("{}")));
    }

    #[test]
    fn cutting_counts_columns_and_not_bytes() {
        assert_eq!(cut("slot", 4), "slot");
        assert_eq!(cut("slotting", 5), "slot…");
        assert_eq!(cut("立铣刀", 5), "立铣…");
        assert_eq!(cut("立铣刀", 4), "立…");
        assert_eq!(cut("abc", 0), "");
        assert_eq!(cut("a\nbc", 3), "a\\…");
        assert_eq!(cut_with("slotting", 5, "~"), "slot~");
        assert_eq!(width("立a\n"), 5);
    }

    #[test]
    fn padding_fills_to_the_column() {
        assert_eq!(pad("立", 4), "立  ");
        assert_eq!(pad("slotting", 4), "slo…");
    }
}
