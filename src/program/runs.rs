//! Long straight cuts along X or Y: by them the sides of a part are known.

use crate::program::motion::Motion;

/// Runs kept of a section, along X and along Y each.
const MOST: usize = 48;
/// Length from which a line may be the side of a part, mm: a surface is made of shorter ones.
pub const LEAST_MM: f64 = 5.0;
/// Lines closer than this lie on one another, mm.
const SAME_MM: f64 = 0.01;

/// Cuts on one straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Whether it goes along X, so that `at_mm` is a Y; else the other way round.
    pub is_along_x: bool,
    /// Where the line lies across its way, mm.
    pub at_mm: f64,
    /// Length of one pass at the lowest height, mm: what of it is run more than once there counts so often.
    pub length_mm: f64,
    /// Its lowest height, mm.
    pub low_mm: f64,
}

/// The longest straight cuts of a section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Runs {
    found: Vec<Run>,
}

impl Runs {
    /// Takes the next straight motion, at least [`LEAST_MM`] long.
    #[cold]
    #[inline(never)]
    pub fn add(&mut self, motion: &Motion) {
        let (a, b) = (motion.from, motion.to);
        let [dx, dy] = [(b[0] - a[0]).abs(), (b[1] - a[1]).abs()];
        if !motion.is_known() || motion.arc.is_some() || !dx.min(dy).le(&SAME_MM) {
            return;
        }
        let length_mm = dx.max(dy);
        if !(LEAST_MM..f64::INFINITY).contains(&length_mm) {
            return;
        }
        let is_along_x = dx > dy;
        self.keep(Run {
            is_along_x,
            at_mm: if is_along_x { b[1] } else { b[0] },
            length_mm,
            low_mm: a[2].min(b[2]),
        });
    }

    fn keep(&mut self, run: Run) {
        let same = |own: &Run| {
            own.is_along_x == run.is_along_x && (own.at_mm - run.at_mm).abs() <= SAME_MM
        };
        if let Some(own) = self.found.iter_mut().find(|own| same(own)) {
            if run.low_mm < own.low_mm - SAME_MM {
                // Deeper passes of a side say where it lies; those above are of no more interest.
                own.low_mm = run.low_mm;
                own.length_mm = run.length_mm;
            } else if run.low_mm <= own.low_mm + SAME_MM {
                own.length_mm += run.length_mm;
            }
            return;
        }
        if self
            .found
            .iter()
            .filter(|own| own.is_along_x == run.is_along_x)
            .count()
            >= MOST
        {
            // The innermost of a clearing's many lines are the least like a side.
            let Some(shortest) = (0..self.found.len())
                .filter(|i| self.found[*i].is_along_x == run.is_along_x)
                .min_by(|a, b| {
                    self.found[*a]
                        .length_mm
                        .total_cmp(&self.found[*b].length_mm)
                })
            else {
                return;
            };
            if self.found[shortest].length_mm >= run.length_mm {
                return;
            }
            self.found.swap_remove(shortest);
        }
        self.found.push(run);
    }

    /// Takes in the runs of another section.
    pub fn absorb(&mut self, other: &Self) {
        for run in &other.found {
            self.keep(*run);
        }
    }

    /// The runs, in no order.
    pub fn found(&self) -> &[Run] {
        &self.found
    }
}
