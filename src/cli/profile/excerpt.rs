//! The piece of a long line that a fault is about, as wide as a terminal shows.

use std::ops::Range;

use crate::plain;

/// Columns that are shown of a line.
const COLUMNS: usize = 100;
/// Columns of them that are kept for what stands before the fault, where not all of it fits.
const BEFORE: usize = 40;
/// Stands for what was left out.
const MARK: &str = "…";

/// The line, escaped and cut to the piece round the bytes that are meant; with those bytes in the piece.
///
/// The range need not lie inside the line or between two characters.
pub fn around(line: &str, meant: Range<usize>) -> (String, Range<usize>) {
    let from = line.floor_char_boundary(meant.start);
    let until = line.ceil_char_boundary(meant.end.max(from));
    let [before, fault, after] = [&line[..from], &line[from..until], &line[until..]];
    let whole = plain::width(line) <= COLUMNS;
    let before = if whole || plain::width(before) <= BEFORE {
        plain::text(before)
    } else {
        tail(&plain::text(before), BEFORE)
    };
    let mut room = COLUMNS - plain::width(&before).min(COLUMNS);
    // Room for the mark behind it, unless nothing follows.
    let fault_room = room - usize::from(!after.is_empty()).min(room);
    let fault = plain::cut(fault, fault_room);
    room -= plain::width(&fault).min(room);
    let after = plain::cut(after, room);
    let meant = before.len()..before.len() + fault.len();
    (before + &fault + &after, meant)
}

/// The end of an escaped text in at most so many columns, with the mark before it.
fn tail(text: &str, columns: usize) -> String {
    let mut start = text.len();
    for (at, _) in text.char_indices().rev() {
        if plain::width(&text[at..]) + plain::width(MARK) > columns {
            break;
        }
        start = at;
    }
    format!("{MARK}{}", &text[start..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_fits_stays_whole() {
        assert_eq!(around("a = \"é\"", 4..8), ("a = \"é\"".to_owned(), 4..8));
        // An escape is longer than what it stands for.
        let (shown, meant) = around("a\tb = 1", 2..3);
        assert_eq!((shown.as_str(), &shown[meant]), ("a\\tb = 1", "b"));
    }

    #[test]
    fn the_fault_is_on_show_wherever_it_stands_in_a_line_of_any_script() {
        for filler in ["x", "é", "立", "e\u{301}", "\t", "🔩", "\u{200b}"] {
            for before in (0..=140).step_by(1) {
                for fault in ["!", "é!", "立立"] {
                    for behind in [0, 1, 2, 60] {
                        let line = filler.repeat(before) + fault + &filler.repeat(behind);
                        let start = filler.len() * before;
                        let (shown, meant) = around(&line, start..start + fault.len());
                        assert_eq!(&shown[meant], fault, "{line}");
                        assert!(plain::width(&shown) <= COLUMNS, "{shown}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_range_outside_the_line_or_inside_a_character_is_no_panic() {
        let line = "é".repeat(120);
        for start in 0..260 {
            for end in [0, start, start + 1, 250, usize::MAX] {
                let (shown, meant) = around(&line, start..end);
                assert!(shown.get(meant).is_some(), "{start}..{end}");
            }
        }
    }
}
