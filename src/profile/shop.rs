//! What is true of the shop as a whole: its table `[shop]`.

use crate::profile::read::Section;

/// Longest emergency number, in characters: it stands behind a line of a card.
const LONGEST: usize = 20;

/// The emergency number of a table `[shop]`; `None` where there is none, or after a fault was reported.
pub fn emergency_number(top: &Section<'_, '_>) -> Option<String> {
    const KEY: &str = "emergency_number";
    let s = top.section_if("shop", "Write a table [shop].")?;
    let number = s.text(KEY);
    s.finish();
    let number = number?;
    if let Err(allowed) = dialled(&number) {
        s.fault(
            KEY,
            "is no number to dial",
            format!("{allowed} Put it in quotes."),
        );
        return None;
    }
    Some(number)
}

/// Whether a text is a number to dial: at least two digits, at most twenty characters.
///
/// # Errors
///
/// Says what is allowed.
pub fn dialled(number: &str) -> Result<(), String> {
    let is_dialled = |c: char| c.is_ascii_digit() || " +-()/*#".contains(c);
    let digits = number.chars().filter(char::is_ascii_digit).count();
    if digits < 2 || number.chars().count() > LONGEST || !number.chars().all(is_dialled) {
        return Err(format!(
            "Write digits as you dial them, at most {LONGEST} characters."
        ));
    }
    Ok(())
}
