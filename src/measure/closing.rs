//! Closing in on a size: a pass that leaves some metal, a reading, the next offset, a spring pass, and when to stop.
//!
//! A part is called good only where the reading lies inside the tolerance by more than the gauge may be wrong (ISO 14253-1, rule for
//! proving conformity; from memory). A spring pass, the same path again with nothing changed, comes before an offset that is larger than
//! what it is to hit: what the tool gave way by, or the last pass took off, is more than the tolerance (common practice, no source).

use crate::job::reading::Of;
use crate::job::reading::Reading;
use crate::job::reading::Verdict;
use crate::job::typed::plain;
use crate::measure::size;
use crate::measure::size::thousandths;

/// Readings are decimal; a hair of binary rounding must not decide, mm.
const HAIR_MM: f64 = 1e-9;

/// What is to be done after a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Next {
    /// Nothing: the size is good, whatever the gauge hides.
    Stop,
    /// The tolerance is kept by the reading, by less than the gauge may be wrong, or nobody has said by how much that is.
    MeasureAgain,
    /// The same path again with nothing changed: more than the tolerance, this in mm on the size, may come of it.
    SpringPass(f64),
    /// The path moves nearer to the wall, or the cut deeper, by this, mm; it aims at the middle of the tolerance.
    Offset(f64),
    /// Too much is cut away, or the hole lies beside its place.
    Lost,
}

/// Least and greatest reading that prove the size, mm: the tolerance, less what the gauge may be wrong by at both ends. None where
/// nothing is left of it, or nobody has stated the gauge.
pub fn proved_mm(reading: &Reading) -> Option<[f64; 2]> {
    let gauge = reading.gauge.as_ref()?.value;
    let low = reading.nominal.value + reading.lower.value + gauge;
    let high = reading.nominal.value + reading.upper.value - gauge;
    (low <= high + HAIR_MM).then_some([low, high])
}

/// What comes next; none where nothing was read.
///
/// `deflection_mm` is how far the tool is expected to give way at a wall, where that is known: of that it counts until a second reading
/// tells what a pass takes off.
pub fn next(reading: &Reading, deflection_mm: Option<f64>) -> Option<Next> {
    let actual = reading.actual.as_ref()?.value;
    Some(match reading.verdict() {
        Verdict::NotMeasured => return None,
        Verdict::CutAway(_) => Next::Lost,
        Verdict::Within => match proved_mm(reading) {
            Some([low, high]) if (low - HAIR_MM..=high + HAIR_MM).contains(&actual) => Next::Stop,
            _ => Next::MeasureAgain,
        },
        Verdict::MetalLeft(_) => {
            let tolerance = reading.upper.value - reading.lower.value;
            let before = reading.reads.iter().rev().nth(1);
            let came_off = match before {
                // A bore that reads smaller than before lost no metal: one of the two was read wrong.
                Some(before) if reading.of.grows() => (actual - before.size.value).max(0.0),
                Some(before) => (before.size.value - actual).max(0.0),
                None => deflection_mm.unwrap_or(0.0) * reading.of.walls(),
            };
            if came_off > tolerance + HAIR_MM && reading.of != Of::Depth {
                Next::SpringPass(came_off)
            } else {
                let correction = size::correction(reading)?;
                Next::Offset(-correction.stock_to_leave_mm)
            }
        }
    })
}

/// The next step and when to stop, a sentence or two each; nothing where nothing was read.
pub fn words(reading: &Reading, deflection_mm: Option<f64>) -> Vec<String> {
    let Some(next) = next(reading, deflection_mm) else {
        return vec![];
    };
    let mut words = vec![];
    match next {
        Next::Lost => return words,
        Next::Stop => {
            words.push("Stop here: good, whatever the gauge hides.".to_owned());
            return words;
        }
        Next::MeasureAgain if reading.gauge.is_none() => {
            words.push(
                "Inside the tolerance by the reading. The gauge is not stated: near the limits nothing is proved."
                    .to_owned(),
            );
            return words;
        }
        Next::MeasureAgain => words.push(
            "Inside the tolerance by the reading, not proved. Measure again before you cut."
                .to_owned(),
        ),
        Next::SpringPass(came_off) => words.push(format!(
            "Run a spring pass first, offset unchanged, then measure: {} mm {}, more than the tolerance.",
            thousandths(came_off),
            if reading.reads.len() > 1 {
                "came off in the last pass"
            } else {
                "may spring back"
            }
        )),
        Next::Offset(deeper) if reading.of == Of::Depth => words.push(format!(
            "Next: tool length or Z offset by -{} mm; minus goes deeper. Then measure again.",
            thousandths(deeper)
        )),
        Next::Offset(nearer) => words.push(format!(
            "Next: radius (wear) offset by -{0} mm, or tool diameter by -{1} mm. Minus takes the cutter for thinner: the path moves \
             nearer to the wall, outside and inside. Without G41 or G42 the offset does nothing: repost. Then measure again.",
            thousandths(nearer),
            thousandths(2.0 * nearer)
        )),
    }
    words.push(match (proved_mm(reading), &reading.gauge) {
        (Some([low, high]), Some(gauge)) => format!(
            "Stop between {} and {}: the tolerance less {} at both ends for the gauge.",
            plain(low),
            plain(high),
            gauge.text
        ),
        (_, Some(gauge)) => format!(
            "A gauge that may be wrong by {} proves nothing within this tolerance: take a finer one.",
            gauge.text
        ),
        (_, None) => "The gauge is not stated: nothing is proved near the limits.".to_owned(),
    });
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::typed::Typed;

    /// A size of 32 +0.025 0 with a gauge good to 0.005, read so far in this order.
    fn seat(of: Of, reads: &[f64]) -> Reading {
        let mut reading = Reading {
            what: "seat".to_owned(),
            nominal: Typed::mm(32.0),
            upper: Typed::mm(0.025),
            lower: Typed::mm(0.0),
            actual: None,
            of,
            gauge: Some(Typed::mm(0.005)),
            reads: vec![],
            made_by: None,
        };
        for mm in reads {
            reading.take(Typed::mm(*mm), "pocket".to_owned());
        }
        reading
    }

    fn offset(next: Option<Next>) -> f64 {
        match next {
            Some(Next::Offset(mm)) => mm,
            other => panic!("{other:?}"),
        }
    }

    // Derived by hand. The middle of 32 +0.025 0 is 32.0125. A bore of 31.8 lacks 0.2125 on the diameter, 0.10625 on each wall. A boss
    // of 32.2 is 0.1875 over it, 0.09375 on each wall. One wall takes all of it: 0.2125 and 0.1875.
    #[test]
    fn after_a_rough_pass_the_next_offset_is_what_is_left_to_the_middle_on_each_wall() {
        for (of, read, expected) in [
            (Of::Inside, 31.8, 0.10625),
            (Of::Outside, 32.2, 0.09375),
            (Of::InsideOneWall, 31.8, 0.2125),
            (Of::OutsideOneWall, 32.2, 0.1875),
            (Of::Depth, 31.8, 0.2125),
        ] {
            let mm = offset(next(&seat(of, &[read]), None));
            assert!((mm - expected).abs() < 1e-9, "{of:?} {mm}");
        }
        let words = words(&seat(Of::Inside, &[31.8]), None);
        assert!(
            words[0].starts_with(
                "Next: radius (wear) offset by -0.106 mm, or tool diameter by -0.213 mm. Minus takes"
            ),
            "{words:?}"
        );
        assert_eq!(
            words[1],
            "Stop between 32.005 and 32.02: the tolerance less 0.005 mm at both ends for the gauge."
        );
    }

    // Derived by hand: the tolerance is 0.025 wide. Giving way by 0.013 at each of two walls is 0.026 on the size, more than that; by
    // 0.012 it is 0.024, less; at one wall 0.013 is less, too.
    #[test]
    fn a_tool_that_gives_way_by_more_than_the_tolerance_runs_a_spring_pass_first() {
        let first = |of, deflection| next(&seat(of, &[31.98]), Some(deflection));
        assert!(
            matches!(first(Of::Inside, 0.013), Some(Next::SpringPass(mm)) if (mm - 0.026).abs() < 1e-9)
        );
        offset(first(Of::Inside, 0.012));
        offset(first(Of::InsideOneWall, 0.013));
    }

    // Derived by hand: from 31.8 to 31.95 a pass took 0.15 off, six times the tolerance. The spring pass takes 0.01: then what is left
    // counts, 32.0125 - 31.96 = 0.0525, half of it 0.02625.
    #[test]
    fn a_last_correction_larger_than_the_tolerance_asks_for_a_spring_pass_and_a_smaller_one_does_not()
     {
        // Smaller than before: no pass took that off, and none is to be run again for it.
        let shrunk = next(&seat(Of::Inside, &[32.01, 31.95]), None);
        assert!(matches!(shrunk, Some(Next::Offset(_))), "{shrunk:?}");
        let after = next(&seat(Of::Inside, &[31.8, 31.95]), None);
        assert!(matches!(after, Some(Next::SpringPass(mm)) if (mm - 0.15).abs() < 1e-9));
        // What was expected to give way is known now.
        let sprung = next(&seat(Of::Inside, &[31.8, 31.95, 31.96]), Some(0.1));
        assert!((offset(sprung) - 0.02625).abs() < 1e-9);
    }

    // Derived by hand: 32 + 0.005 = 32.005 and 32.025 - 0.005 = 32.02 bound what proves the size.
    #[test]
    fn it_stops_inside_the_tolerance_less_the_gauge_and_not_before() {
        for (read, expected) in [
            (32.005, Next::Stop),
            (32.02, Next::Stop),
            (32.004, Next::MeasureAgain),
            (32.021, Next::MeasureAgain),
            (32.03, Next::Lost),
        ] {
            assert_eq!(
                next(&seat(Of::Inside, &[read]), None),
                Some(expected),
                "{read}"
            );
        }
        let mut unstated = seat(Of::Inside, &[32.012]);
        unstated.gauge = None;
        assert_eq!(next(&unstated, None), Some(Next::MeasureAgain));
        let mut coarse = seat(Of::Inside, &[32.012]);
        coarse.gauge = Some(Typed::mm(0.02));
        assert_eq!(next(&coarse, None), Some(Next::MeasureAgain));
        assert!(words(&coarse, None)[1].contains("take a finer one"));
        assert_eq!(next(&seat(Of::Inside, &[]), None), None);
    }

    #[test]
    fn a_hole_beside_its_place_is_moved_by_no_cut() {
        for read in [31.9, 32.1] {
            assert_eq!(next(&seat(Of::Place, &[read]), None), Some(Next::Lost));
        }
        assert_eq!(next(&seat(Of::Place, &[32.01]), None), Some(Next::Stop));
    }
}
