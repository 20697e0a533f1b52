//! Where a section's motions run in X and Y, by height.

use crate::program::bounds::Bounds;
use crate::program::motion::Motion;

/// Heights kept apart in a section.
pub const MOST_LEVELS: usize = 128;

/// Where feed motions run in X and Y, by their lowest Z, in steps that grow with the range.
#[derive(Clone, Debug, PartialEq)]
pub struct Levels {
    step_mm: f64,
    first: i64,
    boxes: Vec<[f64; 4]>,
    lengths_mm: Vec<f64>,
}

impl Default for Levels {
    fn default() -> Self {
        Self {
            step_mm: 0.05,
            first: 0,
            boxes: vec![],
            lengths_mm: vec![],
        }
    }
}

const EMPTY_BOX: [f64; 4] = [
    f64::INFINITY,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::NEG_INFINITY,
];

impl Levels {
    /// Counts a motion in, when it is known on all axes.
    pub fn add(&mut self, motion: &Motion) {
        if !motion.is_known() {
            return;
        }
        let Some(arc) = &motion.arc else {
            self.add_line(motion.from, motion.to, motion.length_mm);
            return;
        };
        let mut bounds = Bounds::EMPTY;
        bounds.include(motion.from);
        bounds.include(motion.to);
        arc.widen(&mut bounds);
        let ([x0, y0, low_z], [x1, y1, _]) = (bounds.min, bounds.max);
        self.add_box(low_z, [x0, y0, x1, y1], motion.length_mm);
    }

    /// Counts a straight motion in.
    #[inline]
    pub fn add_line(&mut self, a: [f64; 3], b: [f64; 3], length_mm: f64) {
        let own = join([a[0], a[1], a[0], a[1]], [b[0], b[1], b[0], b[1]]);
        self.add_box(lesser(a[2], b[2]), own, length_mm);
    }

    fn add_box(&mut self, low_z: f64, own: [f64; 4], length_mm: f64) {
        if !low_z.is_finite() {
            return;
        }
        let mut index = self.index(low_z);
        // Most motions fall on a height that is there.
        if let Ok(i) = usize::try_from(index.wrapping_sub(self.first))
            && let (Some(b), Some(length)) = (self.boxes.get_mut(i), self.lengths_mm.get_mut(i))
        {
            *b = join(*b, own);
            *length += length_mm;
            return;
        }
        if self.boxes.is_empty() {
            self.first = index;
        }
        loop {
            let last = self.first.saturating_add(self.boxes.len() as i64);
            let span = last
                .max(index.saturating_add(1))
                .saturating_sub(self.first.min(index));
            if span <= MOST_LEVELS as i64 {
                break;
            }
            self.coarsen();
            index = self.index(low_z);
        }
        while index < self.first {
            self.boxes.insert(0, EMPTY_BOX);
            self.lengths_mm.insert(0, 0.0);
            self.first -= 1;
        }
        while index >= self.first + self.boxes.len() as i64 {
            self.boxes.push(EMPTY_BOX);
            self.lengths_mm.push(0.0);
        }
        if let Ok(i) = usize::try_from(index - self.first)
            && let (Some(b), Some(length)) = (self.boxes.get_mut(i), self.lengths_mm.get_mut(i))
        {
            *b = join(*b, own);
            *length += length_mm;
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "saturates, and coarsening follows"
    )]
    fn index(&self, z: f64) -> i64 {
        let steps = (z / self.step_mm).clamp(-1e15, 1e15);
        let whole = steps as i64;
        // Down to the next whole number, without a call for it.
        whole - i64::from(steps < whole as f64)
    }

    fn coarsen(&mut self) {
        let old = std::mem::take(&mut self.boxes);
        let lengths = std::mem::take(&mut self.lengths_mm);
        let first = self.first;
        self.step_mm *= 2.0;
        self.first = first.div_euclid(2);
        for (i, (b, length)) in old.into_iter().zip(lengths).enumerate() {
            let at = (first + i as i64).div_euclid(2) - self.first;
            let at = usize::try_from(at).unwrap_or(0);
            if at >= self.boxes.len() {
                self.boxes.resize(at + 1, EMPTY_BOX);
                self.lengths_mm.resize(at + 1, 0.0);
            }
            self.boxes[at] = join(self.boxes[at], b);
            self.lengths_mm[at] += length;
        }
    }

    /// Takes in the heights of another section.
    pub fn absorb(&mut self, other: &Self) {
        for (i, (b, length)) in other.boxes.iter().zip(&other.lengths_mm).enumerate() {
            if b[0] <= b[2] {
                let z = (other.first as f64 + i as f64 + 0.5) * other.step_mm;
                self.add_box(z, *b, *length);
            }
        }
    }

    /// Least X, least Y, greatest X, greatest Y of feed motions that reach below `z_mm`, to
    /// within the step; `None` when there is none.
    pub fn below(&self, z_mm: f64) -> Option<[f64; 4]> {
        let mut all = EMPTY_BOX;
        for (i, b) in self.boxes.iter().enumerate() {
            // The level's lowest plane lies below; half a step decides for the level as a whole.
            if (self.first as f64 + i as f64 + 0.5) * self.step_mm < z_mm {
                all = join(all, *b);
            }
        }
        (all[0] <= all[2]).then_some(all)
    }

    /// Path of feed motions whose lowest point lies below `z_mm` and not below `from_mm`, mm.
    pub fn length_between_mm(&self, from_mm: f64, z_mm: f64) -> f64 {
        self.lengths_mm
            .iter()
            .enumerate()
            .filter(|(i, _)| {
                let middle = (self.first as f64 + *i as f64 + 0.5) * self.step_mm;
                middle < z_mm && middle >= from_mm
            })
            .map(|(_, length)| length)
            .sum()
    }
}

// Spelled out: the library's min and max also look for what is no number, which costs more than the rest.
fn lesser(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

fn greater(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

fn join(a: [f64; 4], b: [f64; 4]) -> [f64; 4] {
    [
        lesser(a[0], b[0]),
        lesser(a[1], b[1]),
        greater(a[2], b[2]),
        greater(a[3], b[3]),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::program::motion::Kind;
    use crate::program::motion::Pace;

    fn line(from: [f64; 3], to: [f64; 3]) -> Motion {
        let d = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
        Motion {
            kind: Kind::Feed,
            from,
            to,
            from_known: [true; 3],
            to_known: [true; 3],
            arc: None,
            length_mm: (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt(),
            pace: Pace::MmPerMin(100.0),
            line: 1,
            machine_offset: [0.0; 3],
            is_cycle: false,
        }
    }

    #[test]
    fn levels_tell_cuts_from_feed_moves_above() {
        let mut levels = Levels::default();
        levels.add(&line([-50.0, 0.0, 5.0], [60.0, 0.0, 5.0]));
        levels.add(&line([0.0, 0.0, -1.0], [20.0, 30.0, -1.0]));
        assert_eq!(levels.below(0.0), Some([0.0, 0.0, 20.0, 30.0]));
        assert!((levels.length_between_mm(-5.0, 0.0) - 1300_f64.sqrt()).abs() < 1e-9);
        assert_eq!(levels.below(-2.0), None);
        assert_eq!(levels.below(10.0), Some([-50.0, 0.0, 60.0, 30.0]));
    }

    #[test]
    fn levels_stay_bounded_whatever_the_heights() {
        let mut levels = Levels::default();
        for z in [0.0, 1e3, -1e6, 1e12, -1e300, 3.0] {
            levels.add(&line([0.0, 0.0, z], [1.0, 1.0, z]));
        }
        assert!(levels.boxes.len() <= MOST_LEVELS);
        assert_eq!(levels.below(f64::INFINITY), Some([0.0, 0.0, 1.0, 1.0]));
    }
}
