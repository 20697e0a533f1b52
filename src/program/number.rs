//! Decimal numbers as the language writes them: sign, digits, at most one point.

/// Why a number could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BadNumber {
    /// No digit, two points or two signs.
    Malformed,
    /// Larger than a double holds.
    NotFinite,
}

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Largest whole number below which every whole number is a double.
const EXACT: u64 = 1 << 53;

/// Reads a number at `start`; blanks inside it mean nothing (NISTIR 6556, 3.3).
///
/// Returns the value and the place behind it, trailing blanks not taken.
///
/// Whole part and fraction together as an integer, divided once by a power of ten: exact
/// up to 2^53 and 22 places, since both operands are. Longer numbers go through the
/// standard library.
///
/// # Errors
///
/// [`BadNumber`] with the place behind what was read.
pub fn number(text: &[u8], start: usize) -> Result<(f64, usize), (BadNumber, usize)> {
    match short(text, start) {
        Some(found) => Ok(found),
        None => general(text, start),
    }
}

/// Digits that a double holds whatever they are.
const SHORT: usize = 15;

/// The usual number: at most 15 digits, no blank inside. `None` leaves it to [`general`].
#[inline(always)]
pub(super) fn short(text: &[u8], start: usize) -> Option<(f64, usize)> {
    let mut rest = text.get(start..)?;
    let mut is_negative = false;
    if let [sign @ (b'-' | b'+'), tail @ ..] = rest {
        is_negative = *sign == b'-';
        rest = tail;
    }
    let before = rest.len();
    let mut mantissa: u64 = 0;
    // Too many digits overflow without harm: they are counted below.
    while let [byte @ b'0'..=b'9', tail @ ..] = rest {
        mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(byte & 15));
        rest = tail;
    }
    let mut digits = before - rest.len();
    let mut places = 0;
    if let [b'.', tail @ ..] = rest {
        rest = tail;
        let before = rest.len();
        while let [byte @ b'0'..=b'9', tail @ ..] = rest {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(byte & 15));
            rest = tail;
        }
        places = before - rest.len();
        digits += places;
    }
    if digits == 0 || digits > SHORT {
        return None;
    }
    let end = text.len() - rest.len();
    // A number may go on behind blanks, and a second point is an error.
    if let [b' ' | b'\t' | b'.', ..] = rest {
        let next = rest.iter().find(|b| !matches!(b, b' ' | b'\t'));
        if let Some(b'0'..=b'9' | b'.') = next {
            return None;
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "below 10^15")]
    let value = mantissa as f64 / POWERS[places];
    Some((if is_negative { -value } else { value }, end))
}

#[cold]
fn general(text: &[u8], start: usize) -> Result<(f64, usize), (BadNumber, usize)> {
    let mut at = start;
    let mut is_negative = false;
    if let Some(sign @ (b'+' | b'-')) = text.get(at) {
        is_negative = *sign == b'-';
        at += 1;
    }
    let mut mantissa: u64 = 0;
    let mut places: usize = 0;
    let mut has_digit = false;
    let mut has_point = false;
    let mut is_long = false;
    let mut end = at;
    while let Some(&byte) = text.get(at) {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            has_digit = true;
            if mantissa < EXACT / 16 {
                mantissa = mantissa * 10 + u64::from(digit);
                places += usize::from(has_point);
            } else {
                is_long = true;
            }
        } else if byte == b'.' {
            if has_point {
                return Err((BadNumber::Malformed, skip_rest(text, at)));
            }
            has_point = true;
        } else if byte == b' ' || byte == b'\t' {
            at += 1;
            continue;
        } else {
            break;
        }
        at += 1;
        end = at;
    }
    if !has_digit {
        return Err((BadNumber::Malformed, skip_rest(text, at)));
    }
    let value = if is_long || places >= POWERS.len() {
        slow(&text[start..end]).ok_or((BadNumber::NotFinite, end))?
    } else {
        #[expect(clippy::cast_precision_loss, reason = "below 2^53")]
        let whole = mantissa as f64;
        let value = whole / POWERS[places];
        if is_negative { -value } else { value }
    };
    Ok((value, end))
}

/// Skips what still looks like a number, so that the next word is found.
fn skip_rest(text: &[u8], mut at: usize) -> usize {
    while let Some(b'0'..=b'9' | b'.' | b'+' | b'-' | b' ' | b'\t') = text.get(at) {
        at += 1;
    }
    at
}

fn slow(text: &[u8]) -> Option<f64> {
    let mut buffer = [0_u8; 64];
    let mut length = 0;
    let digits = text.iter().filter(|b| !matches!(b, b' ' | b'\t'));
    for byte in digits.clone() {
        if length == buffer.len() {
            let all: Vec<u8> = digits.copied().collect();
            return parse(&all);
        }
        buffer[length] = *byte;
        length += 1;
    }
    parse(&buffer[..length])
}

fn parse(text: &[u8]) -> Option<f64> {
    let value: f64 = std::str::from_utf8(text).ok()?.parse().ok()?;
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_forms_of_the_report_are_read() {
        // NISTIR 6556, 3.3.2.1 and the example line of 3.3.
        for (text, value) in [
            ("+3", 3.0),
            ("007", 7.0),
            (".5", 0.5),
            ("1.", 1.0),
            ("-0.250", -0.25),
            ("+0. 12 34", 0.1234),
        ] {
            assert_eq!(
                number(text.as_bytes(), 0),
                Ok((value, text.len())),
                "{text}"
            );
        }
    }

    #[test]
    fn what_is_no_number_is_refused_and_skipped() {
        for text in [".", "-", "--5", "1.2.3", "+.", "5..", "+-2"] {
            let found = number(text.as_bytes(), 0);
            assert_eq!(found, Err((BadNumber::Malformed, text.len())), "{text}");
        }
        let long = "9".repeat(320);
        assert_eq!(number(long.as_bytes(), 0), Err((BadNumber::NotFinite, 320)));
    }

    proptest::proptest! {
        /// The standard library is the outside check.
        #[test]
        fn every_number_is_read_as_the_standard_library_reads_it(
            text in "[-+]?([0-9]{1,22}(\\.[0-9]{0,25})?|\\.[0-9]{1,25})"
        ) {
            let expected: f64 = text.parse().unwrap();
            let (value, end) = number(text.as_bytes(), 0).unwrap();
            proptest::prop_assert_eq!(end, text.len());
            proptest::prop_assert_eq!(value.to_bits(), expected.to_bits(), "{} {}", value, expected);
        }
    }
}
