//! A size that was measured on the part.

use crate::job::typed::Typed;

/// One measured size against its nominal value. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was measured.
    pub what: String,
    /// Nominal size.
    pub nominal: Typed,
    /// Greatest allowed deviation upwards, zero or more for most sizes.
    pub upper: Typed,
    /// Greatest allowed deviation downwards, zero or less for most sizes.
    pub lower: Typed,
    /// What was read; none while it is still to be measured.
    pub actual: Option<Typed>,
    /// Whether it is an inside size (bore, slot) and not an outside one.
    pub is_inside: bool,
}

/// Where a size lies against its tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// Not measured.
    NotMeasured,
    /// Within tolerance.
    Within,
    /// Metal is left: it can still be cut to size. Amount beyond the nearer limit, in mm.
    MetalLeft(f64),
    /// Too much was cut. Amount beyond the nearer limit, in mm.
    CutAway(f64),
}

impl Verdict {
    /// Whether it was measured and does not keep its tolerance.
    pub fn is_out(self) -> bool {
        matches!(self, Self::MetalLeft(_) | Self::CutAway(_))
    }
}

impl Reading {
    /// Where the size lies against its tolerance.
    pub fn verdict(&self) -> Verdict {
        let Some(actual) = &self.actual else {
            return Verdict::NotMeasured;
        };
        let deviation = actual.value - self.nominal.value;
        // Readings are decimal; a hair of binary rounding must not decide.
        let hair = 1e-9;
        let (over, under) = (deviation - self.upper.value, self.lower.value - deviation);
        let (left, away) = if self.is_inside {
            (under, over)
        } else {
            (over, under)
        };
        if left > hair {
            Verdict::MetalLeft(left)
        } else if away > hair {
            Verdict::CutAway(away)
        } else {
            Verdict::Within
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(actual: f64, is_inside: bool) -> Reading {
        Reading {
            what: "bearing seat".into(),
            nominal: Typed::mm(22.0),
            upper: Typed::mm(0.02),
            lower: Typed::mm(-0.01),
            actual: Some(Typed::mm(actual)),
            is_inside,
        }
    }

    #[test]
    fn a_bore_too_small_has_metal_left_and_a_boss_too_small_has_not() {
        assert!(matches!(
            reading(21.95, true).verdict(),
            Verdict::MetalLeft(_)
        ));
        assert!(matches!(
            reading(21.95, false).verdict(),
            Verdict::CutAway(_)
        ));
        assert!(matches!(
            reading(22.05, true).verdict(),
            Verdict::CutAway(_)
        ));
        assert!(matches!(
            reading(22.05, false).verdict(),
            Verdict::MetalLeft(_)
        ));
    }

    #[test]
    fn a_size_on_the_limit_is_within() {
        assert_eq!(reading(22.02, false).verdict(), Verdict::Within);
        assert_eq!(reading(21.99, true).verdict(), Verdict::Within);
    }
}
