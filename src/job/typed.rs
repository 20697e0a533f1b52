//! A value together with what the person typed.

/// A number as it was typed, with its unit, and what was understood.
///
/// The record keeps the text, so that `1/4"` stays `1/4"`; the program computes with the
/// value. The field that holds it says the unit of `value`.
#[derive(Clone, Debug, PartialEq)]
pub struct Typed {
    /// What was typed, with a unit.
    pub text: String,
    /// What was understood, in the unit that the field's description names. Finite.
    pub value: f64,
}

impl Typed {
    /// A value with its text.
    pub fn new(text: impl Into<String>, value: f64) -> Self {
        Self {
            text: text.into(),
            value,
        }
    }

    /// A length given in mm, not typed by a person.
    pub fn mm(value: f64) -> Self {
        Self {
            text: format!("{} mm", plain(value)),
            value,
        }
    }
}

/// A number with at most four decimals and no trailing zeros.
pub fn plain(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}
