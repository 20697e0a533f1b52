//! Reasons by number, so that words are not needed at the mill: a keypad has no letters.

use crate::app::overlay::Asking;

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
        Asking::AcceptStop(_) => &[],
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
    let by_number = text
        .parse::<usize>()
        .ok()
        .and_then(|number| offered(asking).get(number.checked_sub(1)?));
    if let Some(reason) = by_number {
        return Ok((*reason).to_owned());
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

/// A zero alone leaves what is asked: a keypad has no Escape.
pub fn leaves(text: &str) -> bool {
    text == "0"
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
        for (asking, text) in [(&asking, "9"), (&asking, "555"), (&Asking::Note, "---")] {
            assert!(meant(asking, text).unwrap_err().contains("from 1 to 5"));
        }
        assert!(leaves("0") && !leaves("") && !leaves("10"));
    }
}
