//! Reasons by number, so that words are not needed at the mill: a keypad has no letters.

use crate::app::overlay::Asking;
use crate::job::mishap::Mishap;
use crate::job::stalled::Stalled;

/// Why the air run is left out, in the field that asks it. Each says what takes its place or why none is needed.
pub const NO_AIR: &[&str] = &[
    "this program ran in the air here before",
    "such a part was cut with it from this setup",
    "short: low override, hand on feed hold",
    "line by line, hand on feed hold",
    "moved by hand, no program runs",
];

/// The reasons offered where words are asked for; a number alone stands for one of them.
///
/// A stop finding stays only for words of one's own: nobody at the mill has to accept one, and a digit may be a key that was meant
/// for something else.
pub fn offered(asking: &Asking) -> &'static [&'static str] {
    match asking {
        Asking::Note => &[
            "sounds different",
            "chips look different",
            "finish looks poor",
            "override changed at the machine",
            "to be looked at later",
        ],
        Asking::NotSo(..) => &[
            "loose",
            "missing",
            "the wrong one",
            "damaged or worn",
            "in the way",
            "not done yet",
        ],
        Asking::Beyond => &[
            "cut like this before, and it held",
            "only a test cut",
            "the maker of the tool allows it",
        ],
        Asking::AcceptStop(_) | Asking::EmergencyNumber => &[],
        Asking::LeaveOut => &[
            "done already",
            "not needed on this part",
            "left for another session",
            "its tool is missing",
            "the part is spoilt",
        ],
        Asking::OpenAgain(_) => &[
            "finished by a wrong key",
            "not cut all of it",
            "to be cut once more",
            "its tool is here now",
        ],
        Asking::Mishap(Mishap::AxisBound) => &Stalled::WORDS,
        Asking::Mishap(_) => &["heard it", "saw it", "smelt it", "found it afterwards"],
        Asking::SwapReason(_) => &[
            "broke",
            "worn",
            "chips pack",
            "poor finish",
            "wrong one",
            "chatter",
        ],
    }
}

/// A key that was leaned on comes this often or more.
const LEANED: usize = 3;

/// What a text stands for: the reason of its number, else itself.
///
/// # Errors
///
/// Says why it is no reason: digits and signs that no reason has as its number are keys that were meant for something else.
/// A note may be a number alone, for that is a reading.
pub fn meant(asking: &Asking, text: &str) -> Result<String, String> {
    if let Some(reason) = by_number(offered(asking), text) {
        return Ok(reason.to_owned());
    }
    if *asking == Asking::Mishap(Mishap::AxisBound)
        && let Some(axes) = Stalled::from_numbers(text)
    {
        return Ok(axes.word().to_owned());
    }
    let has_word = text.is_empty() || text.chars().any(char::is_alphabetic);
    let mut signs = text.chars();
    let first = signs.next();
    let is_leaned = text.chars().count() >= LEANED && signs.all(|sign| Some(sign) == first);
    let count = offered(asking).len();
    if has_word || count == 0 || (*asking == Asking::Note && !is_leaned) {
        return Ok(text.to_owned());
    }
    let else_it = match asking {
        Asking::Mishap(_) => "notes it without",
        _ => "leaves it",
    };
    Err(format!(
        "a number from 1 to {count}, or words; Enter once more {else_it}"
    ))
}

/// What the text of a field stands for that asks for one of these reasons, or for words of one's own.
///
/// # Errors
///
/// Says what would be taken: digits that are no such number are keys that were meant for something else.
pub fn of_field(offered: &[&str], text: &str) -> Result<String, String> {
    match by_number(offered, text) {
        Some(reason) => Ok(reason.to_owned()),
        None if text.chars().any(char::is_alphabetic) => Ok(text.to_owned()),
        None => Err(format!("a number from 1 to {}, or words", offered.len())),
    }
}

fn by_number<'a>(offered: &[&'a str], text: &str) -> Option<&'a str> {
    let number = text.parse::<usize>().ok()?;
    offered.get(number.checked_sub(1)?).copied()
}

/// A zero alone leaves what is asked, and so does a slash behind digits: a keypad has no Escape.
pub fn leaves(text: &str) -> bool {
    text == "0" || takes_back(text)
}

/// Whether a text is one that was begun by mistake: no value and no reason ends with a slash, and a keypad has one (a minus may end a zero point).
///
/// Words are left alone, for who writes letters has an Escape key.
pub fn takes_back(text: &str) -> bool {
    text.trim_end().ends_with('/') && !text.chars().any(char::is_alphabetic)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stands_for_its_reason_and_words_for_themselves() {
        let asking = Asking::LeaveOut;
        let of = |asking: &Asking, text: &str| meant(asking, text).unwrap();
        assert_eq!(of(&asking, "2"), "not needed on this part");
        assert_eq!(of(&asking, "2 burrs"), "2 burrs");
        assert_eq!(of(&Asking::AcceptStop(String::new()), "1"), "1");
        assert_eq!(of(&Asking::Note, "46.04"), "46.04");
        for (asking, text) in [(&asking, "9"), (&asking, "555"), (&Asking::Note, "+++")] {
            assert!(meant(asking, text).unwrap_err().contains("from 1 to 5"));
        }
        assert!(leaves("0") && !leaves("") && !leaves("10"));
    }

    #[test]
    fn a_slash_at_the_end_takes_back_what_a_keypad_can_type() {
        for text in ["/", "6/", "0.5 /", "-11.9/", "7-/", "6///"] {
            assert!(leaves(text), "{text}");
        }
        for text in ["7-", "6", "1/4", "part/", "6 mm/", ""] {
            assert!(!leaves(text), "{text}");
        }
    }

    #[test]
    fn a_digit_that_is_no_number_of_a_reason_is_no_reason() {
        let of = |text: &str| of_field(NO_AIR, text);
        assert_eq!(of("3").unwrap(), NO_AIR[2]);
        assert_eq!(of("cut before").unwrap(), "cut before");
        for text in ["0", "6", "55", "40", "+"] {
            assert!(of(text).unwrap_err().contains("from 1 to 5"), "{text}");
        }
    }
}
