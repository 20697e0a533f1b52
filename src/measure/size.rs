//! Hitting the size: what to enter so that the next pass makes it.

use crate::job::reading::Reading;
use crate::job::reading::Verdict;
use crate::job::typed::plain;

/// Up to this much left on a size, a spring pass (the same path again) may be enough, in mm.
/// Common practice, no source.
const SPRING_PASS_MM: f64 = 0.03;

/// What to change for a size that both walls share, aimed at the middle of the tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// Add this to the tool diameter in the program, mm.
    pub tool_diameter_mm: f64,
    /// Or add this to the stock to leave on each wall, mm.
    pub stock_to_leave_mm: f64,
}

/// The correction for a measured size; none when nothing was measured.
///
/// A cutter that the program takes for thinner goes nearer to the wall by half of the
/// difference, on both walls: an outside size shrinks, and an inside size grows, by all of it.
pub fn correction(reading: &Reading) -> Option<Correction> {
    let actual = reading.actual.as_ref()?.value;
    let aim = reading.nominal.value + (reading.upper.value + reading.lower.value) / 2.0;
    let left = if reading.is_inside {
        aim - actual
    } else {
        actual - aim
    };
    Some(Correction {
        tool_diameter_mm: -left,
        stock_to_leave_mm: -left / 2.0,
    })
}

/// The reading in words: verdict and what to do.
pub fn words(reading: &Reading) -> String {
    match reading.verdict() {
        Verdict::NotMeasured => "not measured".to_owned(),
        Verdict::Within => "within tolerance".to_owned(),
        Verdict::CutAway(away) => {
            format!("{} mm too much is cut: it cannot be put back", plain(away))
        }
        Verdict::MetalLeft(left) => {
            let thinner = correction(reading).map_or(0.0, |c| -c.tool_diameter_mm);
            let spring = if left <= SPRING_PASS_MM {
                "spring pass first; else "
            } else {
                ""
            };
            format!(
                "{} mm left: {spring}enter the tool {} mm thinner, or leave {} mm less a wall",
                plain(left),
                plain(thinner),
                plain(thinner / 2.0)
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::typed::Typed;

    fn reading(actual: f64, is_inside: bool) -> Reading {
        Reading {
            what: "seat".into(),
            nominal: Typed::mm(22.0),
            upper: Typed::mm(0.02),
            lower: Typed::mm(0.0),
            actual: Some(Typed::mm(actual)),
            is_inside,
        }
    }

    // By hand: the aim is 22.01; a bore of 21.91 lacks 0.10 on the diameter, 0.05 on each wall.
    #[test]
    fn a_bore_too_small_is_met_by_a_cutter_taken_for_thinner() {
        let fix = correction(&reading(21.91, true)).unwrap();
        assert!((fix.tool_diameter_mm + 0.10).abs() < 1e-9);
        assert!((fix.stock_to_leave_mm + 0.05).abs() < 1e-9);
        assert_eq!(
            words(&reading(21.91, true)),
            "0.09 mm left: enter the tool 0.1 mm thinner, or leave 0.05 mm less a wall"
        );
    }

    // By hand: a boss of 22.11 is 0.10 over the aim, the same change of the cutter.
    #[test]
    fn a_boss_too_big_is_met_by_the_same_change() {
        let fix = correction(&reading(22.11, false)).unwrap();
        assert!((fix.tool_diameter_mm + 0.10).abs() < 1e-9);
    }

    #[test]
    fn a_hair_left_asks_for_a_spring_pass_first() {
        assert!(words(&reading(21.98, true)).contains("spring pass first"));
        assert!(words(&reading(22.03, true)).contains("cannot be put back"));
    }
}
