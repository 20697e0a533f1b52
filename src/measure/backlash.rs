//! Backlash read for nothing: two edges touched from opposite sides, and a calliper.

use crate::job::typed::plain;

/// An axis of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axis {
    /// Left to right.
    X,
    /// Front to back.
    Y,
}

impl Axis {
    /// Both.
    pub const ALL: [Self; 2] = [Self::X, Self::Y];

    /// Word on screen and in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::X => "X",
            Self::Y => "Y",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|axis| axis.word() == word)
    }
}

/// What two opposite touches of a blank of known width say of the backlash.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opposite {
    /// Which axis.
    pub axis: Axis,
    /// What it reads at the left or front touch, then at the right or back one, mm.
    pub reads_mm: [f64; 2],
    /// Width of the blank by calliper, mm.
    pub width_mm: f64,
    /// Diameter of what touches, mm.
    pub finder_mm: f64,
}

/// Callipers, the finder and two touches tell no less than this, in mm. Common practice, no source.
pub const TELLS_MM: f64 = 0.03;

/// More than this, with either sign, is a slip of the pen and no backlash, in mm. Common practice, no source.
pub const MOST_MM: f64 = 1.0;

impl Opposite {
    /// Backlash in mm: width + finder - (second reading - first reading).
    ///
    /// Each touch comes from outside, so the axis reverses between them. The number runs ahead
    /// of the table by half the backlash, to the right on the first touch and to the left on
    /// the second, so that the readings lie nearer together than the touches by all of it.
    pub fn backlash_mm(&self) -> f64 {
        self.width_mm + self.finder_mm - (self.reads_mm[1] - self.reads_mm[0])
    }

    /// The sum in words.
    pub fn words(&self) -> String {
        let first = plain(self.reads_mm[0].abs());
        let sign = if self.reads_mm[0] < 0.0 { '+' } else { '-' };
        format!(
            "{}: {} + {} - ({} {sign} {first}) = {} mm backlash",
            self.axis.word(),
            plain(self.width_mm),
            plain(self.finder_mm),
            plain(self.reads_mm[1]),
            plain(self.backlash_mm())
        )
    }

    /// The reading beside what the machine's profile says.
    pub fn against(&self, profile_mm: f64) -> String {
        let read = self.backlash_mm();
        let profile = plain(profile_mm);
        if read < -TELLS_MM {
            return format!(
                "less than none (profile {profile} mm): width, finder or a touch is off"
            );
        }
        let differs = read - profile_mm;
        if differs.abs() <= TELLS_MM + 1e-9 {
            return format!("as the profile has it, {profile} mm, as near as callipers tell");
        }
        let more = if differs > 0.0 { "more" } else { "less" };
        format!(
            "DIFFERS: {} mm {more} than the profile's {profile} mm. Touch again, then mend the profile",
            plain(differs.abs())
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(reads_mm: [f64; 2]) -> Opposite {
        Opposite {
            axis: Axis::X,
            reads_mm,
            width_mm: 120.0,
            finder_mm: 6.0,
        }
    }

    // By hand: the touches lie 120 + 6 = 126 mm apart. A screw with 0.08 mm of backlash, driven
    // to the right, stands at -3 while the number says -2.96; driven to the left it stands at
    // 123 while the number says 122.96: they lie 125.92 apart, and 126 - 125.92 = 0.08.
    #[test]
    fn readings_lie_nearer_together_than_the_touches_by_the_backlash() {
        let reading = read([-2.96, 122.96]);
        assert!((reading.backlash_mm() - 0.08).abs() < 1e-9);
        assert_eq!(
            reading.words(),
            "X: 120 + 6 - (122.96 + 2.96) = 0.08 mm backlash"
        );
        // The same edges with another zero: by hand 222.96 - 97.04 = 125.92.
        let moved = read([97.04, 222.96]);
        assert!((moved.backlash_mm() - 0.08).abs() < 1e-9);
        assert!(
            moved.words().contains("(222.96 - 97.04)"),
            "{}",
            moved.words()
        );
    }

    // By hand: 0.08 - 0.05 = 0.03 is what callipers tell, 0.08 - 0.02 = 0.06 is twice that.
    #[test]
    fn a_profile_that_differs_is_named() {
        let reading = read([-2.96, 122.96]);
        assert!(reading.against(0.05).starts_with("as the profile has it"));
        assert_eq!(
            reading.against(0.02),
            "DIFFERS: 0.06 mm more than the profile's 0.02 mm. Touch again, then mend the profile"
        );
        assert!(reading.against(0.15).contains("0.07 mm less"));
    }

    // By hand: 126 - (123.1 + 3) = -0.1: no screw gives that back.
    #[test]
    fn less_than_none_is_a_fault_of_the_sum() {
        let reading = read([-3.0, 123.1]);
        assert!((reading.backlash_mm() + 0.1).abs() < 1e-9);
        assert!(reading.against(0.05).contains("less than none"));
    }
}
