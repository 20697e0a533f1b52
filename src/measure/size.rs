//! Hitting the size: what to enter so that the next pass makes it.

use crate::job::reading::Of;
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

/// The correction for a measured size; none when nothing was measured. One wall that is cut alone takes all of what is left.
///
/// A cutter that the program takes for thinner goes nearer to the wall by half of the
/// difference, on both walls: an outside size shrinks, and an inside size grows, by all of it.
pub fn correction(reading: &Reading) -> Option<Correction> {
    let actual = reading.actual.as_ref()?.value;
    let aim = reading.nominal.value + (reading.upper.value + reading.lower.value) / 2.0;
    let left = if reading.of.grows() {
        aim - actual
    } else {
        actual - aim
    };
    let wall = left / reading.of.walls();
    Some(Correction {
        tool_diameter_mm: -2.0 * wall,
        stock_to_leave_mm: -wall,
    })
}

/// A length as a micrometer reads it: to a thousandth.
pub fn thousandths(mm: f64) -> String {
    let rounded = (mm * 1000.0).round() / 1000.0;
    if rounded == 0.0 && mm > 0.0 {
        return "under 0.001".to_owned();
    }
    plain(rounded)
}

/// What is known of the cut that makes a size.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cutting<'a> {
    /// Radius of the cutter, where one is known: nobody takes off more than that by a correction.
    pub radius_mm: Option<f64>,
    /// The operation that cuts the outside, while it is not done.
    pub outside_waits: Option<&'a str>,
}

/// Whether more lies beyond the limit than a pass leaves: then it is read again before anything is changed.
pub fn is_far(reading: &Reading, cutting: Cutting) -> bool {
    let most = cutting
        .radius_mm
        .map_or(READ_AGAIN_MM, |radius| radius.min(READ_AGAIN_MM));
    matches!(
        reading.verdict(),
        Verdict::MetalLeft(left) | Verdict::CutAway(left) if left > most
    )
}

/// What is left to the limit, and nothing of what to change.
pub fn left(reading: &Reading) -> Option<String> {
    match reading.verdict() {
        Verdict::MetalLeft(left) => Some(format!("{} mm left to the limit", thousandths(left))),
        _ => None,
    }
}

/// The reading in words: verdict and what to do. What is beyond the tolerance counts to its nearer limit, what is entered aims at its
/// middle.
pub fn words(reading: &Reading, cutting: Cutting) -> String {
    if let (Verdict::MetalLeft(left), false, Some(title)) =
        (reading.verdict(), reading.of.grows(), cutting.outside_waits)
    {
        return format!(
            "{} mm over: the outside is not cut to size yet, {title} is still to come",
            thousandths(left)
        );
    }
    if let Some(actual) = reading.actual.as_ref().filter(|_| is_far(reading, cutting)) {
        let off = (actual.value - reading.nominal.value).abs();
        return format!("{} mm off the size: read it again?", thousandths(off));
    }
    match reading.verdict() {
        Verdict::NotMeasured => "not measured".to_owned(),
        Verdict::Within => "within tolerance".to_owned(),
        Verdict::CutAway(away) if reading.of == Of::Place => format!(
            "{} mm beyond the limit: no further cut moves a hole to its place",
            thousandths(away)
        ),
        Verdict::CutAway(away) => {
            format!(
                "{} mm beyond the limit is cut away: it cannot be put back",
                thousandths(away)
            )
        }
        Verdict::MetalLeft(left) => {
            let thinner = correction(reading).map_or(0.0, |c| -c.tool_diameter_mm);
            if reading.of == Of::Depth {
                return format!(
                    "{} mm left to the limit: for the middle go {} mm deeper",
                    thousandths(left),
                    thousandths(thinner / 2.0)
                );
            }
            let walls = if reading.of.walls() > 1.0 {
                "each wall"
            } else {
                "that wall"
            };
            let spring = if left <= SPRING_PASS_MM {
                "spring pass first; else "
            } else {
                ""
            };
            format!(
                "{} mm left to the limit: {spring}for the middle enter the tool {} mm thinner, or leave {} mm less on {walls}",
                thousandths(left),
                thousandths(thinner),
                thousandths(thinner / 2.0)
            )
        }
    }
}

/// How a size lies outside its tolerance, by how much to the nearer limit, as `0.05 too small`; none where it lies inside.
pub fn beyond(reading: &Reading) -> Option<String> {
    let (Verdict::MetalLeft(by) | Verdict::CutAway(by)) = reading.verdict() else {
        return None;
    };
    let is_left = matches!(reading.verdict(), Verdict::MetalLeft(_));
    // Metal left makes a bore small and a boss big.
    if reading.of == Of::Place {
        return Some(format!("{} off its place", thousandths(by)));
    }
    let word = if is_left == reading.of.grows() {
        "small"
    } else {
        "big"
    };
    Some(format!("{} too {word}", thousandths(by)))
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
            of: if is_inside { Of::Inside } else { Of::Outside },
            gauge: None,
            reads: vec![],
            made_by: None,
        }
    }

    fn cutter(radius_mm: f64) -> Cutting<'static> {
        Cutting {
            radius_mm: Some(radius_mm),
            ..Cutting::default()
        }
    }

    // By hand: the aim is 22.01; a bore of 21.91 lacks 0.10 on the diameter, 0.05 on each wall.
    #[test]
    fn a_bore_too_small_is_met_by_a_cutter_taken_for_thinner() {
        let fix = correction(&reading(21.91, true)).unwrap();
        assert!((fix.tool_diameter_mm + 0.10).abs() < 1e-9);
        assert!((fix.stock_to_leave_mm + 0.05).abs() < 1e-9);
        assert_eq!(
            words(&reading(21.91, true), Cutting::default()),
            "0.09 mm left to the limit: for the middle enter the tool 0.1 mm thinner, or leave 0.05 mm less on each wall"
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
        assert!(words(&reading(21.98, true), Cutting::default()).contains("spring pass first"));
        assert!(words(&reading(22.03, true), Cutting::default()).contains("cannot be put back"));
    }

    // By hand: 116 read where 86 is the size; 116 - 86 = 30. 22 - 20 = 2 is more than the radius of a cutter of 3 mm.
    #[test]
    fn a_size_far_off_is_to_be_read_again() {
        let mut width = reading(116.0, false);
        width.nominal = Typed::mm(86.0);
        assert_eq!(
            words(&width, Cutting::default()),
            "30 mm off the size: read it again?"
        );
        width.of = Of::Inside;
        assert_eq!(
            words(&width, Cutting::default()),
            "30 mm off the size: read it again?"
        );
        let bore = reading(20.0, true);
        assert!(words(&bore, cutter(1.5)).contains("2 mm off the size: read it again?"));
        assert!(words(&bore, cutter(3.0)).contains("enter the tool 2.01 mm thinner"));
    }

    // By hand: 22.01 - 21.924 = 0.086, half 0.043; 22 - 21.924 = 0.076; 22.055 - 22.02 = 0.035; 22 - 21.9996 = 0.0004.
    #[test]
    fn a_figure_has_as_many_decimals_as_a_micrometer() {
        let none = Cutting::default();
        assert_eq!(
            words(&reading(21.924, true), none),
            "0.076 mm left to the limit: for the middle enter the tool 0.086 mm thinner, or leave 0.043 mm less on each wall"
        );
        assert!(
            words(&reading(22.055, true), none)
                .starts_with("0.035 mm beyond the limit is cut away")
        );
        assert!(
            words(&reading(21.9996, true), none).starts_with("under 0.001 mm left to the limit")
        );
    }

    // By hand: 41 - 22.02 = 18.98; a bore is no outside, whatever is still to come.
    #[test]
    fn an_outside_that_is_still_to_be_cut_is_no_fault() {
        let waits = Cutting {
            outside_waits: Some("cut the outside"),
            ..Cutting::default()
        };
        assert_eq!(
            words(&reading(41.0, false), waits),
            "18.98 mm over: the outside is not cut to size yet, cut the outside is still to come"
        );
        assert!(words(&reading(21.9, true), waits).contains("thinner"));
        assert!(words(&reading(21.9, false), waits).contains("cannot be put back"));
    }

    #[test]
    fn too_big_and_too_small_are_told_apart_inside_and_outside() {
        for (actual, is_inside, expected) in [
            (21.95, true, Some("0.05 too small")),
            (22.05, true, Some("0.03 too big")),
            (21.95, false, Some("0.05 too small")),
            (22.05, false, Some("0.03 too big")),
            (22.01, true, None),
        ] {
            assert_eq!(beyond(&reading(actual, is_inside)).as_deref(), expected);
        }
    }
}
