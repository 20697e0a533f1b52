//! Where most of a section's cuts lie in X and Y, whatever few lines run far out of it.

use crate::program::motion::Motion;

/// Mean place of the feed path and how far it spreads about that, each mm of path counting the same.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spread {
    length_mm: f64,
    sums: [f64; 2],
    squares: [f64; 2],
}

impl Spread {
    /// Counts a feed motion in, when it is known on all axes; an arc as its chord.
    #[inline]
    pub fn add(&mut self, motion: &Motion) {
        let length = motion.length_mm;
        if !motion.is_known() || !length.is_finite() {
            return;
        }
        self.length_mm += length;
        for axis in 0..2 {
            let (a, b) = (motion.from[axis], motion.to[axis]);
            self.sums[axis] += length * (a + b) / 2.0;
            // The mean of the squares along a straight line.
            self.squares[axis] += length * (a * a + a * b + b * b) / 3.0;
        }
    }

    /// Takes in the path of another section.
    pub fn absorb(&mut self, other: &Self) {
        self.length_mm += other.length_mm;
        for axis in 0..2 {
            self.sums[axis] += other.sums[axis];
            self.squares[axis] += other.squares[axis];
        }
    }

    /// Mean place and standard deviation in X and Y, mm; `None` without a path.
    pub fn middle(&self) -> Option<[(f64, f64); 2]> {
        (self.length_mm > 0.0).then(|| {
            std::array::from_fn(|axis| {
                let mean = self.sums[axis] / self.length_mm;
                let variance = self.squares[axis] / self.length_mm - mean * mean;
                (mean, variance.max(0.0).sqrt())
            })
        })
    }
}
