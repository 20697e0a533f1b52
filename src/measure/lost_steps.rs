//! The lost-step check: does a point that was known still read the same, and if not, did the motor lose steps?
//!
//! The same edge is touched three times from the same side, with the same tool and the spindle stopped. The mean of the three
//! says how far the axis is off, their scatter how far that mean can be trusted. A stalled two-phase stepper falls back by
//! whole turns of its electrical cycle, which are four full steps (stepper motor theory; common practice, no source), so lost
//! steps leave a multiple of that length, while a slipped part or a bent tool leaves any length. One is told from the other
//! only where the scatter is small against that length: otherwise the answer is [`Pattern::CannotTell`].

use statrs::distribution::Continuous;
use statrs::distribution::StudentsT;

use crate::job::typed::plain;

/// How often each axis is touched.
pub const TOUCHES: usize = 3;

/// Smallest standard deviation that three readings are given, mm: three that agree by luck are no proof, and a display of
/// 0.01 mm hides this much (0.01 / sqrt(12) = 0.0029).
const LEAST_SCATTER_MM: f64 = 0.003;

/// Lost steps are named where the readings are at least this many times likelier after lost steps than after a slip of any
/// length. By the definition of the ratio a slip then passes for lost steps in one case of three at the very most; the
/// simulation in the tests finds one in eight.
const LIKELIER: f64 = 3.0;

/// A slip is named where the readings are at most this likely after lost steps, against a slip of any length. Stricter than
/// [`LIKELIER`], for who takes lost steps for a slip looks for a loose part that is tight.
const UNLIKELY: f64 = 0.05;

/// How the readings of one axis are explained.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pattern {
    /// The axis reads as before, and one multiple of four full steps is ruled out.
    None,
    /// Near a multiple of four full steps: probably lost steps.
    LostSteps,
    /// Clearly between two multiples: probably slip, a bent tool, or the part moved.
    Slip,
    /// The scatter is too large against four full steps.
    CannotTell,
}

/// What three touches of one axis say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisError {
    /// Mean error, mm: what the axis reads less what it must read.
    pub error_mm: f64,
    /// Standard deviation of the readings, mm; `None` with a single one.
    pub scatter_mm: Option<f64>,
    /// The mean in multiples of four full steps.
    pub fours: f64,
    /// How it is explained.
    pub pattern: Pattern,
}

/// Reads the errors of one axis; `None` where there is none.
///
/// `four_steps_mm` is the travel of four full motor steps, greater than zero; `allowed_mm` the error that counts as none.
/// Errors are in mm against the reading that the point must have. With a single touch, as older records hold it, the scatter
/// is not known, and an error beyond `allowed_mm` is [`Pattern::CannotTell`].
///
/// # Method
///
/// With the mean `d` and the standard deviation `s` of `n` readings, and the one reading that set the zero as uncertain as
/// any of them, `d` scatters by `u = s * sqrt(1 / n + 1)`. After lost steps the distance from `d` to the nearest multiple but
/// zero follows Student's distribution with `n - 1` degrees of freedom; after a slip `d` is anywhere, with the density `1 / P`
/// where `P` is the length of four full steps. The ratio of the two decides. Our own derivation; Student's distribution as in
/// any text on statistics.
pub fn read(errors_mm: &[f64], four_steps_mm: f64, allowed_mm: f64) -> Option<AxisError> {
    let count = errors_mm.len() as f64;
    if errors_mm.is_empty() {
        return None;
    }
    let error_mm = errors_mm.iter().sum::<f64>() / count;
    let fours = error_mm / four_steps_mm;
    let is_as_before = error_mm.abs() <= allowed_mm;
    let Some(scatter_mm) = scatter_mm(errors_mm, error_mm) else {
        let pattern = if is_as_before {
            Pattern::None
        } else {
            Pattern::CannotTell
        };
        return Some(AxisError {
            error_mm,
            scatter_mm: None,
            fours,
            pattern,
        });
    };
    let uncertain_mm = scatter_mm.max(LEAST_SCATTER_MM) * (1.0 / count + 1.0).sqrt();
    let student = StudentsT::new(0.0, uncertain_mm, count - 1.0).ok()?;
    let ratio = |lost_mm: f64| four_steps_mm * student.pdf(error_mm - lost_mm);
    let lost = ratio(fours.round().abs().max(1.0).copysign(fours) * four_steps_mm);
    let pattern = if is_as_before && lost <= UNLIKELY {
        Pattern::None
    } else if is_as_before {
        Pattern::CannotTell
    } else if lost >= LIKELIER {
        Pattern::LostSteps
    } else if lost.max(ratio(0.0)) <= UNLIKELY {
        Pattern::Slip
    } else {
        Pattern::CannotTell
    };
    Some(AxisError {
        error_mm,
        scatter_mm: Some(scatter_mm),
        fours,
        pattern,
    })
}

/// Standard deviation of two readings or more, mm.
fn scatter_mm(errors_mm: &[f64], mean_mm: f64) -> Option<f64> {
    let free = errors_mm.len().checked_sub(1).filter(|free| *free > 0)?;
    let squares: f64 = errors_mm.iter().map(|e| (e - mean_mm).powi(2)).sum();
    Some((squares / free as f64).sqrt())
}

impl AxisError {
    /// The error in words, for example `X: 0.24 mm off, scatter 0.004 mm, 3.0 times four full steps: probably lost steps`.
    pub fn words(&self, axis: &str) -> String {
        let reading = match self.pattern {
            Pattern::None => "as before",
            Pattern::LostSteps => "near a multiple, probably lost steps",
            Pattern::Slip => "clearly between, probably slip, bent tool or moved part",
            Pattern::CannotTell if self.scatter_mm.is_none() => {
                "cannot tell from one touch; re-zero"
            }
            Pattern::CannotTell => "scatter too large, cannot tell; re-zero",
        };
        let scatter = match self.scatter_mm {
            Some(mm) => format!(", scatter {} mm", thousandths(mm)),
            None => String::new(),
        };
        format!(
            "{axis}: {} mm off{scatter}, {:.1} times four full steps: {reading}",
            thousandths(self.error_mm),
            self.fours
        )
    }
}

/// A length rounded to what a touch can tell, mm.
fn thousandths(mm: f64) -> String {
    plain((mm * 1000.0).round() / 1000.0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::Rng;
    use proptest::test_runner::RngAlgorithm;
    use proptest::test_runner::TestRng;

    use super::*;

    // By hand: lead 4 mm, 200 full steps a turn: four full steps are 4 * 4 / 200 = 0.08 mm.
    const FOUR: f64 = 0.08;
    const ALLOWED: f64 = 0.02;

    fn pattern(errors_mm: &[f64]) -> Pattern {
        read(errors_mm, FOUR, ALLOWED).unwrap().pattern
    }

    #[test]
    fn three_times_four_steps_with_close_readings_reads_as_lost_steps() {
        let error = read(&[0.238, 0.240, 0.242], FOUR, ALLOWED).unwrap();
        assert_eq!(error.pattern, Pattern::LostSteps);
        assert!((error.fours - 3.0).abs() < 1e-9);
        // Standard deviation of -2, 0, 2 thousandths: sqrt((4 + 0 + 4) / 2) = 2.
        assert!((error.scatter_mm.unwrap() - 0.002).abs() < 1e-9);
        assert_eq!(pattern(&[-0.158, -0.162, -0.16]), Pattern::LostSteps);
    }

    #[test]
    fn clearly_between_two_multiples_it_is_slip() {
        assert_eq!(pattern(&[0.12, 0.121, 0.119]), Pattern::Slip);
        assert_eq!(pattern(&[0.279, 0.28, 0.281]), Pattern::Slip);
    }

    #[test]
    fn readings_that_scatter_by_a_quarter_of_four_steps_tell_nothing() {
        assert_eq!(pattern(&[0.22, 0.24, 0.26]), Pattern::CannotTell);
        assert_eq!(pattern(&[0.10, 0.12, 0.14]), Pattern::CannotTell);
    }

    #[test]
    fn one_touch_finds_a_point_again_but_explains_nothing() {
        assert_eq!(pattern(&[0.01]), Pattern::None);
        assert_eq!(pattern(&[0.24]), Pattern::CannotTell);
        assert_eq!(read(&[], FOUR, ALLOWED), None);
    }

    #[test]
    fn as_before_rules_out_that_four_steps_were_lost() {
        assert_eq!(pattern(&[0.009, 0.011, 0.01]), Pattern::None);
        // Four full steps of 0.02 mm (lead 1 mm) are within what is allowed.
        let fine = read(&[0.019, 0.02, 0.021], 0.02, ALLOWED).unwrap();
        assert_eq!(fine.pattern, Pattern::CannotTell);
        // A scatter of 0.03 mm hides a step of 0.08 mm.
        assert_eq!(pattern(&[-0.02, 0.01, 0.04]), Pattern::CannotTell);
    }

    /// How often each pattern is named, in `TRIES` jobs whose touches scatter by `sigma_mm`; the zero was touched once, before.
    fn rates(four_mm: f64, sigma_mm: f64, moved_mm: impl Fn(&mut TestRng) -> f64) -> [f64; 4] {
        const TRIES: usize = 4000;
        let mut rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
        let normal = |rng: &mut TestRng| {
            // Box and Muller: two even numbers make a normal one.
            let (u, v) = (even(rng).max(f64::MIN_POSITIVE), even(rng));
            sigma_mm * (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
        };
        let mut named = [0.0; 4];
        for _ in 0..TRIES {
            let off_mm = moved_mm(&mut rng) - normal(&mut rng);
            let touches: Vec<f64> = (0..TOUCHES).map(|_| off_mm + normal(&mut rng)).collect();
            let place = match read(&touches, four_mm, ALLOWED).unwrap().pattern {
                Pattern::None => 0,
                Pattern::LostSteps => 1,
                Pattern::Slip => 2,
                Pattern::CannotTell => 3,
            };
            named[place] += 1.0 / TRIES as f64;
        }
        named
    }

    fn even(rng: &mut TestRng) -> f64 {
        (rng.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    // Four full steps of screws with 2, 4 and 5 mm of lead; scatter of a good finder up to a poor touch.
    const PITCHES_MM: [f64; 3] = [0.04, 0.08, 0.1];
    const SIGMAS_MM: [f64; 4] = [0.002, 0.005, 0.01, 0.02];

    #[test]
    fn a_slip_of_any_length_is_seldom_called_lost_steps() {
        for four in PITCHES_MM {
            for sigma in SIGMAS_MM {
                let slip = |rng: &mut TestRng| 0.03 + 4.0 * four * even(rng);
                let [_, lost, ..] = rates(four, sigma, slip);
                assert!(lost < 0.14, "{four} {sigma}: {lost}");
            }
        }
    }

    #[test]
    fn lost_steps_are_seldom_called_slip_and_hardly_ever_as_before() {
        for four in PITCHES_MM {
            for sigma in SIGMAS_MM {
                let stalled = |rng: &mut TestRng| four * (1.0 + (3.0 * even(rng)).floor());
                let [none, _, slip, _] = rates(four, sigma, stalled);
                assert!(slip < 0.03, "{four} {sigma}: slip {slip}");
                assert!(none < 0.01, "{four} {sigma}: as before {none}");
            }
        }
    }

    #[test]
    fn an_axis_that_kept_its_place_is_found_with_a_good_finder_and_never_called_stalled() {
        for four in PITCHES_MM {
            for sigma in SIGMAS_MM {
                let [none, lost, ..] = rates(four, sigma, |_| 0.0);
                assert!(lost < 0.01, "{four} {sigma}: {lost}");
                assert!(sigma > 0.005 || none > 0.8, "{four} {sigma}: {none}");
            }
        }
    }

    #[test]
    fn close_touches_tell_lost_steps_in_most_cases() {
        let [_, lost, ..] = rates(0.08, 0.002, |_| 0.08);
        assert!(lost > 0.9, "{lost}");
        let [.., cannot] = rates(0.08, 0.02, |_| 0.08);
        assert!(cannot > 0.9, "{cannot}");
    }
}
