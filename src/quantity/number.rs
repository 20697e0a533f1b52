//! The number at the head of what a person typed: decimals with point or comma, fractions.
//!
//! Nothing is guessed: exponents, thousands separators and words for infinity are refused, so that a slip
//! of the finger cannot become a thousandfold.

use std::fmt;

/// Longest text that is looked at, in characters.
pub const LONGEST: usize = 40;
/// Most digits before the decimal point, and in a fraction.
const MOST_DIGITS: usize = 9;
/// Most digits after the decimal point: what the program prints of a number to its last bit is taken again.
const MOST_DECIMALS: usize = 20;

/// What was wrong with a typed value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Nothing was typed.
    Empty,
    /// More than [`LONGEST`] characters.
    TooLong,
    /// It does not begin with a number.
    NotANumber,
    /// More digits than a measure has.
    TooManyDigits,
    /// `1,250` may be read as 1.25 or as 1250.
    Ambiguous,
    /// `1e3` and the like.
    Exponent,
    /// A fraction that divides by zero.
    ZeroDenominator,
    /// A fraction of more than four digits, or one mixed with decimals.
    BadFraction,
    /// A fraction without a unit may be of a millimetre or of an inch.
    FractionWithoutUnit,
    /// A unit that this quantity does not have.
    UnknownUnit {
        /// The unit as typed.
        unit: String,
        /// The units that would do.
        allowed: &'static str,
    },
    /// A drill number or letter that does not exist.
    UnknownDrill,
    /// Less than zero where that has no meaning.
    Negative,
    /// Zero where that has no meaning.
    Zero,
    /// Beyond the bound.
    TooLarge {
        /// The bound with its unit.
        bound: &'static str,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("nothing was typed"),
            Self::TooLong => write!(f, "it is longer than {LONGEST} characters"),
            Self::NotANumber => f.write_str("it does not begin with a number"),
            Self::TooManyDigits => write!(f, "it has more than {MOST_DIGITS} digits in a row"),
            Self::Ambiguous => f.write_str(
                "a comma before three digits may divide thousands or decimals; write a point, or no comma",
            ),
            Self::Exponent => f.write_str("powers of ten are not taken; write the number out"),
            Self::ZeroDenominator => f.write_str("a fraction cannot have 0 below its line"),
            Self::BadFraction => f.write_str("the fraction is not a plain one such as 1-1/2"),
            Self::FractionWithoutUnit => f.write_str("a fraction needs its unit"),
            Self::UnknownUnit { unit, allowed } => write!(
                f,
                "the unit \"{}\" is not one of {allowed}",
                unit.escape_debug()
            ),
            Self::UnknownDrill => f.write_str("there are drills #1 to #97 and A to Z"),
            Self::Negative => f.write_str("it must not be negative"),
            Self::Zero => f.write_str("it must be more than 0"),
            Self::TooLarge { bound } => write!(f, "it is more than {bound}"),
        }
    }
}

/// A number as it was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Its value; finite.
    pub value: f64,
    /// Its text with a decimal point, a digit before it and no leading zeros; a fraction stays one.
    pub text: String,
    /// Whether it was written as a fraction.
    pub is_fraction: bool,
}

/// Replaces signs that look alike by the ones of a keyboard, and vulgar fractions by plain ones.
///
/// # Errors
///
/// [`Fault::Empty`] and [`Fault::TooLong`].
pub fn tidy(text: &str) -> Result<String, Fault> {
    if text.chars().count() > LONGEST {
        return Err(Fault::TooLong);
    }
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '\u{2212}' | '\u{2013}' => out.push('-'),
            '\u{201c}' | '\u{201d}' | '\u{2033}' => out.push('"'),
            '\u{b5}' | '\u{3bc}' => out.push('u'),
            '\u{2044}' => out.push('/'),
            c if c.is_whitespace() => out.push(' '),
            c => match vulgar(c) {
                Some(fraction) => {
                    if out.ends_with(|c: char| c.is_ascii_digit()) {
                        out.push('-');
                    }
                    out.push_str(fraction);
                }
                None => out.push(c),
            },
        }
    }
    if out.is_empty() {
        return Err(Fault::Empty);
    }
    Ok(out)
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '\u{bd}' => "1/2",
        '\u{bc}' => "1/4",
        '\u{be}' => "3/4",
        '\u{215b}' => "1/8",
        '\u{215c}' => "3/8",
        '\u{215d}' => "5/8",
        '\u{215e}' => "7/8",
        _ => return None,
    })
}

/// Reads the number at the head of a tidied text; returns it with the rest, which is the unit.
///
/// # Errors
///
/// Any [`Fault`] of a number; the unit is the caller's.
pub fn leading(text: &str) -> Result<(Number, &str), Fault> {
    let (sign, body) = match text.strip_prefix('-') {
        Some(body) => ("-", body),
        None => ("", text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, after) = digits(body)?;
    let factor = if sign.is_empty() { 1.0 } else { -1.0 };
    if let Some((fraction, rest)) = fraction(whole, after)? {
        return Ok((
            Number {
                value: factor * fraction.value,
                text: format!("{sign}{}", fraction.text),
                is_fraction: true,
            },
            rest.trim(),
        ));
    }
    let (part, rest) = match after.strip_prefix(['.', ',']) {
        Some(tail) => up_to(tail, MOST_DECIMALS)?,
        None => ("", after),
    };
    if whole.is_empty() && part.is_empty() {
        return Err(Fault::NotANumber);
    }
    let is_comma = after.starts_with(',');
    if is_comma && part.len() == 3 && !whole.trim_start_matches('0').is_empty() {
        return Err(Fault::Ambiguous);
    }
    refuse_tail(rest)?;
    let whole = whole.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    let text = if part.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{part}")
    };
    let value = text.parse::<f64>().map_err(|_| Fault::NotANumber)?;
    Ok((
        Number {
            value,
            text,
            is_fraction: false,
        },
        rest.trim(),
    ))
}

/// Splits off the digits at the head.
fn digits(text: &str) -> Result<(&str, &str), Fault> {
    up_to(text, MOST_DIGITS)
}

fn up_to(text: &str, most: usize) -> Result<(&str, &str), Fault> {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    if end > most {
        return Err(Fault::TooManyDigits);
    }
    Ok(text.split_at(end))
}

/// Reads `1/4`, `1-1/2` or `1 1/2` when the text is one.
fn fraction<'a>(first: &str, after: &'a str) -> Result<Option<(Number, &'a str)>, Fault> {
    let (whole, top, below) = if let Some(below) = after.strip_prefix('/') {
        ("", first, below)
    } else {
        let Some(tail) = after.strip_prefix(['-', ' ']) else {
            return Ok(None);
        };
        let (top, tail) = digits(tail.trim_start())?;
        match tail.strip_prefix('/') {
            Some(below) if !top.is_empty() => (first, top, below),
            _ => return Ok(None),
        }
    };
    let (bottom, rest) = digits(below)?;
    let is_plain = |t: &str| (1..=4).contains(&t.len());
    if first.is_empty() || !is_plain(top) || !is_plain(bottom) || whole.len() > 4 {
        return Err(Fault::BadFraction);
    }
    if rest.starts_with(['.', ',', '/']) {
        return Err(Fault::BadFraction);
    }
    refuse_tail(rest)?;
    let number = |t: &str| t.parse::<u32>().map_err(|_| Fault::BadFraction);
    let (top, bottom) = (number(top)?, number(bottom)?);
    if bottom == 0 {
        return Err(Fault::ZeroDenominator);
    }
    let part = f64::from(top) / f64::from(bottom);
    let (value, text) = if whole.is_empty() {
        (part, format!("{top}/{bottom}"))
    } else {
        let whole = number(whole)?;
        (f64::from(whole) + part, format!("{whole}-{top}/{bottom}"))
    };
    Ok(Some((
        Number {
            value,
            text,
            is_fraction: true,
        },
        rest,
    )))
}

/// Refuses what would make another number of the digits before it.
fn refuse_tail(rest: &str) -> Result<(), Fault> {
    let mut tail = rest.chars();
    match tail.next() {
        Some('e' | 'E')
            if tail
                .next()
                .is_some_and(|c| c.is_ascii_digit() || "+-".contains(c)) =>
        {
            Err(Fault::Exponent)
        }
        Some('/') => Err(Fault::BadFraction),
        Some('.' | ',' | '_') => Err(Fault::NotANumber),
        Some(' ') if rest.trim_start().starts_with(|c: char| c.is_ascii_digit()) => {
            Err(Fault::NotANumber)
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use crate::quantity::number::Fault;
    use crate::quantity::number::leading;
    use crate::quantity::number::tidy;

    fn read(text: &str) -> Result<(f64, String, String), Fault> {
        let tidy = tidy(text)?;
        let (number, rest) = leading(&tidy)?;
        Ok((number.value, number.text, rest.to_owned()))
    }

    #[test]
    fn decimals_are_read_with_point_and_comma() {
        assert_eq!(read("6").unwrap(), (6.0, "6".into(), String::new()));
        assert_eq!(read(".25in").unwrap(), (0.25, "0.25".into(), "in".into()));
        assert_eq!(read("6,35 mm").unwrap().0, 6.35);
        assert_eq!(read("0,125").unwrap().0, 0.125);
        assert_eq!(read("007.50").unwrap().1, "7.50");
        assert_eq!(read("-3.5").unwrap().0, -3.5);
    }

    #[test]
    fn fractions_are_read_in_the_ways_of_the_trade() {
        for text in ["1-1/2\"", "1 1/2\"", "1\u{bd}\"", "1-1/2\u{2033}"] {
            let (value, text, unit) = read(text).unwrap();
            assert_eq!((value, text.as_str(), unit.as_str()), (1.5, "1-1/2", "\""));
        }
        assert_eq!(read("-1-1/2\"").unwrap().0, -1.5);
        assert_eq!(read("3/0\"").unwrap_err(), Fault::ZeroDenominator);
        assert_eq!(read("1.5/2\"").unwrap_err(), Fault::BadFraction);
        assert_eq!(read("/2\"").unwrap_err(), Fault::BadFraction);
        assert_eq!(read("1/12345\"").unwrap_err(), Fault::BadFraction);
    }

    #[test]
    fn a_thousands_separator_is_never_guessed() {
        assert_eq!(read("12,000").unwrap_err(), Fault::Ambiguous);
        assert_eq!(read("1,234.5").unwrap_err(), Fault::Ambiguous);
        assert_eq!(read("1.234,5").unwrap_err(), Fault::NotANumber);
        assert_eq!(read("1_000").unwrap_err(), Fault::NotANumber);
        assert_eq!(read("12 000").unwrap_err(), Fault::NotANumber);
    }

    #[test]
    fn what_is_no_plain_number_is_refused() {
        for text in ["NaN", "inf", "-infinity", "x", "mm", ".", "-", "--5"] {
            assert_eq!(read(text).unwrap_err(), Fault::NotANumber, "{text}");
        }
        assert_eq!(read("1e3").unwrap_err(), Fault::Exponent);
        assert_eq!(read("1E-3").unwrap_err(), Fault::Exponent);
        assert_eq!(read("").unwrap_err(), Fault::Empty);
        assert_eq!(read("  ").unwrap_err(), Fault::Empty);
        assert_eq!(read("1234567890").unwrap_err(), Fault::TooManyDigits);
        // As JSON has it.
        for value in [
            0.047_071_621_354_878_18,
            4.707_162_135_487_818e-5,
            2_541.867_553_153_341_5,
        ] {
            let (number, rest) = leading(&format!("{value}"))
                .map(|(n, r)| (n.value, r.to_owned()))
                .unwrap();
            assert_eq!((number, rest.as_str()), (value, ""));
        }
        assert_eq!(read(&"1".repeat(41)).unwrap_err(), Fault::TooLong);
    }
}
