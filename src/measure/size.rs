//! Hitting the size: what to enter so that the next pass makes it.

use crate::job::reading::Reading;
use crate::job::reading::Verdict;
use crate::job::typed::plain;

/// Up to this much left on a size, a spring pass (the same path again) may be enough, in mm.
/// Common practice, no source.
const SPRING_PASS_MM: f64 = 0.03;

/// A pass that cut leaves less than this on a size; more is a reading gone wrong, in mm. Common practice, no source.
const READ_AGAIN_MM: f64 = 3.0;

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

/// A length as it can be measured and entered: to a hundredth.
fn hundredths(mm: f64) -> String {
    let rounded = (mm * 100.0).round() / 100.0;
    if rounded == 0.0 && mm > 0.0 {
        return "under 0.01".to_owned();
    }
    plain(rounded)
}

/// The reading in words: verdict and what to do. `radius_mm` is that of the cutter, where one is known: nobody takes off more than
/// that by a correction.
pub fn words(reading: &Reading, radius_mm: Option<f64>) -> String {
    let most = radius_mm.map_or(READ_AGAIN_MM, |radius| radius.min(READ_AGAIN_MM));
    if let Some(actual) = &reading.actual {
        let off = (actual.value - reading.nominal.value).abs();
        let is_out = matches!(
            reading.verdict(),
            Verdict::MetalLeft(left) | Verdict::CutAway(left) if left > most
        );
        if is_out {
            return format!("{} mm off the size: read it again?", hundredths(off));
        }
    }
    match reading.verdict() {
        Verdict::NotMeasured => "not measured".to_owned(),
        Verdict::Within => "within tolerance".to_owned(),
        Verdict::CutAway(away) => {
            format!(
                "{} mm too much is cut: it cannot be put back",
                hundredths(away)
            )
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
                hundredths(left),
                hundredths(thinner),
                hundredths(thinner / 2.0)
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
            words(&reading(21.91, true), None),
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
        assert!(words(&reading(21.98, true), None).contains("spring pass first"));
        assert!(words(&reading(22.03, true), None).contains("cannot be put back"));
    }

    // By hand: 116 read where 86 is the size; 116 - 86 = 30. 22 - 20 = 2 is more than the radius of a cutter of 3 mm.
    #[test]
    fn a_size_far_off_is_to_be_read_again() {
        let mut width = reading(116.0, false);
        width.nominal = Typed::mm(86.0);
        assert_eq!(words(&width, None), "30 mm off the size: read it again?");
        width.is_inside = true;
        assert_eq!(words(&width, None), "30 mm off the size: read it again?");
        let bore = reading(20.0, true);
        assert!(words(&bore, Some(1.5)).contains("2 mm off the size: read it again?"));
        assert!(words(&bore, Some(3.0)).contains("enter the tool 2.01 mm thinner"));
    }

    // By hand: 22.01 - 21.925 = 0.085, half 0.0425.
    #[test]
    fn no_figure_has_more_than_two_decimals() {
        assert!(words(&reading(21.925, true), None).contains("or leave 0.04 mm less a wall"));
        assert!(words(&reading(21.996, true), None).starts_with("under 0.01 mm left"));
    }
}
