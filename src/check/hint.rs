//! What a comment says of a tool: a hint to offer or to allow for, never evidence.

/// Largest diameter that is believed, mm.
const LARGEST_MM: f64 = 200.0;

/// The diameter that a comment names, mm: `D=6.`, `6 mm`, `DIA 6`, `1/4 in`, `0.25 inch`.
pub fn diameter_mm(comment: &str) -> Option<f64> {
    let text = comment.to_ascii_lowercase();
    for mark in ["d=", "dia=", "dia ", "diameter=", "diameter ", "\u{f8}"] {
        if let Some(found) = text
            .find(mark)
            .and_then(|at| number(&text[at + mark.len()..]))
        {
            return believed(found);
        }
    }
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let begins = bytes[at].is_ascii_digit() || bytes[at] == b'.';
        let is_inside = at > 0 && (bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'.');
        if !begins || is_inside {
            at += 1;
            continue;
        }
        let rest = &text[at..];
        if let Some((value, length)) = leading(rest) {
            let unit = rest[length..].trim_start_matches([' ', '-']);
            if unit.starts_with("mm") {
                return believed(value);
            }
            if unit.starts_with("in") || unit.starts_with('"') {
                return believed(value * 25.4);
            }
            at += length;
        } else {
            at += 1;
        }
    }
    None
}

fn believed(value: f64) -> Option<f64> {
    (value > 0.0 && value <= LARGEST_MM).then_some(value)
}

fn number(text: &str) -> Option<f64> {
    leading(text.trim_start()).map(|(value, _)| value)
}

/// A number or fraction at the head of a text and its length.
fn leading(text: &str) -> Option<(f64, usize)> {
    let digits = |text: &str| -> usize {
        text.bytes()
            .take_while(|b| b.is_ascii_digit() || *b == b'.')
            .count()
    };
    let first = digits(text);
    let value: f64 = text[..first].trim_end_matches('.').parse().ok()?;
    if let Some(rest) = text[first..].strip_prefix('/') {
        let second = digits(rest);
        if let Ok(under) = rest[..second].trim_end_matches('.').parse::<f64>()
            && under > 0.0
        {
            return Some((value / under, first + 1 + second));
        }
    }
    Some((value, first))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_ways_to_name_a_diameter_are_understood() {
        assert_eq!(diameter_mm("T1  D=40. CR=0. - face mill"), Some(40.0));
        assert_eq!(diameter_mm("end mill 6 mm 3 flutes"), Some(6.0));
        assert_eq!(diameter_mm("6MM ENDMILL"), Some(6.0));
        assert_eq!(diameter_mm("1/4 inch end mill"), Some(6.35));
        assert_eq!(diameter_mm("T3 drill"), None);
        assert_eq!(diameter_mm("D=0 nothing"), None);
        assert_eq!(diameter_mm("D=99999"), None);
    }
}
