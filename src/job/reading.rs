//! A size that was measured on the part.

use crate::job::typed::Typed;

/// What a size is of: it says on which side of the size metal is left, and how many walls share it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Of {
    /// An outside size with a wall at both ends, such as a boss or a width.
    #[default]
    Outside,
    /// An inside size with a wall at both ends, such as a bore or a slot.
    Inside,
    /// An outside size of which one end is cut, the other one stays.
    OutsideOneWall,
    /// An inside size of which one end is cut, the other one stays.
    InsideOneWall,
    /// How deep a hole or pocket is.
    Depth,
    /// Where a hole lies along one axis: no cut moves it.
    Place,
}

impl Of {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 6] = [
        Self::Outside,
        Self::Inside,
        Self::OutsideOneWall,
        Self::InsideOneWall,
        Self::Depth,
        Self::Place,
    ];

    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Outside => "outside",
            Self::Inside => "inside",
            Self::OutsideOneWall => "outside, one wall cut",
            Self::InsideOneWall => "inside, one wall cut",
            Self::Depth => "depth",
            Self::Place => "place of a hole",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|of| of.word() == word)
    }

    /// Whether a reading below the size has metal left.
    pub fn grows(self) -> bool {
        matches!(self, Self::Inside | Self::InsideOneWall | Self::Depth)
    }

    /// How many walls share what is left.
    pub fn walls(self) -> f64 {
        match self {
            Self::Outside | Self::Inside => 2.0,
            _ => 1.0,
        }
    }
}

/// One reading of a size on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// What was read.
    pub size: Typed,
    /// Title of the operation in work when it was read.
    pub after: String,
}

/// The most readings that are kept of a size; older ones go.
pub const MOST_READS: usize = 20;

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
    /// What the size is of.
    pub of: Of,
    /// By how much the gauge may be wrong, mm; none: not stated.
    pub gauge: Option<Typed>,
    /// Every reading of it, oldest first; empty in older records.
    pub reads: Vec<Read>,
    /// Title of the operation that makes it: gauged before the tool of that one comes out; none: not said.
    pub made_by: Option<String>,
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
    /// Takes a reading, made with this operation in work.
    pub fn take(&mut self, size: Typed, after: String) {
        self.actual = Some(size.clone());
        self.reads.push(Read { size, after });
        let more = self.reads.len().saturating_sub(MOST_READS);
        self.reads.drain(..more);
    }

    /// Where the size lies against its tolerance.
    pub fn verdict(&self) -> Verdict {
        let Some(actual) = &self.actual else {
            return Verdict::NotMeasured;
        };
        let deviation = actual.value - self.nominal.value;
        // Readings are decimal; a hair of binary rounding must not decide.
        let hair = 1e-9;
        let (over, under) = (deviation - self.upper.value, self.lower.value - deviation);
        let (left, away) = match self.of {
            // Off to either side it stays off.
            Of::Place => (f64::NEG_INFINITY, over.max(under)),
            of if of.grows() => (under, over),
            _ => (over, under),
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
            of: if is_inside { Of::Inside } else { Of::Outside },
            gauge: None,
            reads: vec![],
            made_by: None,
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
