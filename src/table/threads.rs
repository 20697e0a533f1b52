//! Threads: ISO metric and unified, by their designation.
//!
//! Metric coarse series after ISO 261 (from memory); unified series after ASME B1.1, the coarse ones checked
//! against *Machinery's Handbook*, 31st ed., p. 1978, table 4a. Both have the 60 degree profile.

/// Diameter and pitch of the metric coarse series, mm.
#[rustfmt::skip]
const METRIC_COARSE: &[(f64, f64)] = &[
    (1.6, 0.35), (1.8, 0.35), (2.0, 0.4), (2.2, 0.45), (2.5, 0.45), (3.0, 0.5), (3.5, 0.6), (4.0, 0.7),
    (4.5, 0.75), (5.0, 0.8), (6.0, 1.0), (7.0, 1.0), (8.0, 1.25), (9.0, 1.25), (10.0, 1.5), (11.0, 1.5),
    (12.0, 1.75), (14.0, 2.0), (16.0, 2.0), (18.0, 2.5), (20.0, 2.5), (22.0, 2.5), (24.0, 3.0),
];

/// Unified threads: size as written, diameter in ten-thousandths of an inch, threads an inch.
#[rustfmt::skip]
const UNIFIED: &[(&str, u32, u32)] = &[
    ("1", 730, 64), ("2", 860, 56), ("3", 990, 48), ("4", 1120, 40), ("5", 1250, 40),
    ("6", 1380, 32), ("8", 1640, 32), ("10", 1900, 24), ("12", 2160, 24), ("1/4", 2500, 20),
    ("5/16", 3125, 18), ("3/8", 3750, 16), ("7/16", 4375, 14), ("1/2", 5000, 13), ("9/16", 5625, 12),
    ("5/8", 6250, 11), ("3/4", 7500, 10), ("7/8", 8750, 9), ("1", 10000, 8), ("0", 600, 80),
    ("1", 730, 72), ("2", 860, 64), ("3", 990, 56), ("4", 1120, 48), ("5", 1250, 44),
    ("6", 1380, 40), ("8", 1640, 36), ("10", 1900, 32), ("12", 2160, 28), ("1/4", 2500, 28),
    ("5/16", 3125, 24), ("3/8", 3750, 24), ("7/16", 4375, 20), ("1/2", 5000, 20), ("9/16", 5625, 18),
    ("5/8", 6250, 18), ("3/4", 7500, 16), ("7/8", 8750, 14), ("1", 10000, 12), ("12", 2160, 32),
    ("1/4", 2500, 32), ("5/16", 3125, 32), ("3/8", 3750, 32), ("7/16", 4375, 28), ("1/2", 5000, 28),
    ("9/16", 5625, 24), ("5/8", 6250, 24), ("11/16", 6875, 24), ("3/4", 7500, 20), ("13/16", 8125, 20),
    ("7/8", 8750, 20), ("15/16", 9375, 20), ("1", 10000, 20),
];

/// A thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// Nominal diameter, mm.
    pub diameter_mm: f64,
    /// Pitch, mm.
    pub pitch_mm: f64,
}

/// Reads a designation: `M6`, `M6x0.75`, `1/4-20`, `1/4-20 UNC`, `10-32`, `#10-32`.
///
/// A metric pitch that is named is taken as it is, up to a third of the diameter; one that is not is the
/// coarse one. A unified thread must be one of the series; the name of the series may follow.
///
/// ```
/// use millside::table::threads::read;
/// assert_eq!(read("M6").map(|t| t.pitch_mm), Some(1.0));
/// assert_eq!(read("1/4-20 UNC").map(|t| (t.diameter_mm, t.pitch_mm)), Some((6.35, 1.27)));
/// assert_eq!(read("M6x5"), None);
/// ```
pub fn read(text: &str) -> Option<Thread> {
    let text = text.trim();
    if text.len() > 24 {
        return None;
    }
    if let Some(rest) = text.strip_prefix(['M', 'm']) {
        let mut parts = rest.splitn(2, ['x', 'X', '\u{d7}', '*']);
        let diameter_mm = plain(parts.next()?)?;
        let coarse = METRIC_COARSE
            .iter()
            .find(|(d, _)| *d == diameter_mm)
            .map(|(_, pitch)| *pitch);
        let pitch_mm = match parts.next() {
            Some(pitch) => plain(pitch)?,
            None => coarse?,
        };
        let fits = diameter_mm <= 100.0 && pitch_mm > 0.05 && pitch_mm * 3.0 <= diameter_mm;
        return fits.then_some(Thread {
            diameter_mm,
            pitch_mm,
        });
    }
    let text = text.strip_prefix('#').unwrap_or(text);
    let text = ["UNC", "UNF", "UNEF"]
        .iter()
        .find_map(|series| {
            let at = text.len().checked_sub(series.len())?;
            let (head, tail) = (text.get(..at)?, text.get(at..)?);
            tail.eq_ignore_ascii_case(series).then(|| head.trim_end())
        })
        .unwrap_or(text);
    let (size, pitch) = text.rsplit_once('-')?;
    let per_inch: u32 = pitch.trim().parse().ok()?;
    let size = size.trim().trim_end_matches('"');
    UNIFIED
        .iter()
        .find(|(name, _, tpi)| *name == size && *tpi == per_inch)
        .map(|(_, e4, tpi)| Thread {
            diameter_mm: f64::from(*e4) * 25.4 / 10_000.0,
            pitch_mm: 25.4 / f64::from(*tpi),
        })
}

/// A plain decimal number above 0.
fn plain(text: &str) -> Option<f64> {
    let text = text.trim();
    let is_plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let value: f64 = if is_plain {
        text.parse().ok()?
    } else {
        return None;
    };
    (value.is_finite() && value > 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    use crate::table::threads::read;

    #[test]
    fn designations_are_read_in_both_systems() {
        for (text, d, p) in [
            ("M3", 3.0, 0.5),
            ("m10x1.25", 10.0, 1.25),
            ("M 8 x 1", 8.0, 1.0),
            ("10-32", 4.826, 0.79375),
            ("#10-32 UNF", 4.826, 0.79375),
            ("1/2-28 unef", 12.7, 25.4 / 28.0),
        ] {
            let thread = read(text).unwrap();
            assert!((thread.diameter_mm - d).abs() < 1e-9, "{text}");
            assert!((thread.pitch_mm - p).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn what_is_no_thread_is_refused() {
        for text in [
            "",
            "M",
            "M6x",
            "M6xNaN",
            "M1e3",
            "1/4-21",
            "1/4",
            "6",
            "M-6",
            "M3.3",
            "\u{202e}M6",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
