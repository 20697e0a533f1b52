//! The return test: how far off is a point that was known?

use crate::job::typed::plain;

/// How the error of one axis reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pattern {
    /// Within what backlash and the eye allow.
    None,
    /// Near a multiple of four full steps: the motor stalled.
    Stall,
    /// Neither: slip of tool or part, a bent tool.
    Slip,
}

/// The error of one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisError {
    /// Error, mm.
    pub error_mm: f64,
    /// The same in multiples of four full motor steps.
    pub fours: f64,
    /// How it reads.
    pub pattern: Pattern,
}

/// A multiple counts as near when it is off by at most this share of four full steps.
const NEAR: f64 = 0.2;

/// Reads the error of one axis.
///
/// A stalled two-phase stepper falls back by whole turns of its electrical cycle, which are
/// four full steps (stepper motor theory; common practice, no source).
/// `four_steps_mm` is that length, greater than zero; `allowed_mm` what counts as none.
pub fn read(error_mm: f64, four_steps_mm: f64, allowed_mm: f64) -> AxisError {
    let fours = error_mm / four_steps_mm;
    let pattern = if error_mm.abs() <= allowed_mm {
        Pattern::None
    } else if fours.abs() >= 1.0 - NEAR && (fours - fours.round()).abs() <= NEAR {
        Pattern::Stall
    } else {
        Pattern::Slip
    };
    AxisError {
        error_mm,
        fours,
        pattern,
    }
}

impl AxisError {
    /// The error in words.
    pub fn words(&self, axis: &str) -> String {
        let reading = match self.pattern {
            Pattern::None => "as it was",
            Pattern::Stall => "near a multiple: the motor stalled",
            Pattern::Slip => "no multiple: slip, a bent tool, or the part moved",
        };
        format!(
            "{axis}: {} mm off, {:.1} times four full steps: {reading}",
            plain(self.error_mm),
            self.fours
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: lead 4 mm, 200 full steps a turn: four full steps are 4 * 4 / 200 = 0.08 mm.
    const FOUR: f64 = 0.08;

    #[test]
    fn three_times_four_steps_reads_as_a_stall() {
        let error = read(0.24, FOUR, 0.05);
        assert_eq!(error.pattern, Pattern::Stall);
        assert!((error.fours - 3.0).abs() < 1e-9);
        assert_eq!(read(-0.16, FOUR, 0.05).pattern, Pattern::Stall);
    }

    #[test]
    fn between_two_multiples_it_is_slip() {
        assert_eq!(read(0.12, FOUR, 0.05).pattern, Pattern::Slip);
        assert_eq!(read(0.28, FOUR, 0.05).pattern, Pattern::Slip);
    }

    #[test]
    fn what_backlash_explains_is_nothing() {
        assert_eq!(read(-0.05, FOUR, 0.05).pattern, Pattern::None);
    }
}
