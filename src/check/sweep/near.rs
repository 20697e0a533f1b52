//! What comes near without a cut: rapids close over the metal, the holder beside a clamp.

use crate::check::rules;
use crate::check::sweep::RAPID_HAIR_MM;
use crate::check::sweep::Sweep;
use crate::check::sweep::clip;
use crate::check::sweep::reach;
use crate::program::finding::Level;
use crate::program::motion::Motion;

/// Clearance under which a rapid over metal that was not cut is close, mm (common practice, no source): a blank
/// is measured in some places only, and a paper's thickness lost at the zero is a fifth of it.
pub(super) const CLOSE_MM: f64 = 0.5;
/// Clearance that no zero set by hand is sure of, mm (common practice, no source): a sheet of paper.
const TOUCH_MM: f64 = 0.1;
/// How wide a holder is taken, mm (from memory: the nut of a collet for shanks up to 13 mm is 34 mm across) with a
/// little room. What is above it is wider and higher.
const HOLDER_MM: f64 = 36.0;

impl Sweep<'_> {
    /// A rapid that comes down to the top of uncut metal, or runs close over it.
    pub(super) fn look_how_close(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        let top = self.stock.z_mm;
        let low = a[2].min(b[2]);
        let is_vertical = (a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9;
        let rises = is_vertical && b[2] > a[2];
        let is_close = (top - RAPID_HAIR_MM..top + CLOSE_MM).contains(&low);
        // A peck comes back to where the drill has been.
        let was_there = |fed: [f64; 3]| is_vertical && fed[..2] == b[..2] && fed[2] <= b[2];
        if !is_close || rises || self.fed.is_some_and(was_there) || self.is_beside(motion) {
            return;
        }
        let places = if is_vertical {
            vec![b]
        } else {
            self.samples(motion, a, b, self.grid.cell_mm)
        };
        let is_over = places.into_iter().any(|p| {
            p[2] < top + CLOSE_MM
                && self
                    .grid
                    .highest(&self.inner_disc, p[0], p[1])
                    .is_some_and(|height| height >= top - RAPID_HAIR_MM)
        });
        if !is_over {
            return;
        }
        let clearance = (low - top).max(0.0);
        let level = if clearance < TOUCH_MM {
            Level::Stop
        } else {
            Level::Warn
        };
        self.find_at(&rules::RAPID_CLOSE_TO_METAL, level, level as u64, || {
            format!("A rapid comes within {clearance:.2} mm of metal that was not cut before: a blank a little thicker, or a zero a little lower, and it hits.")
        });
    }

    /// Height of the tip under which the holder ends below the top of some keep-out, mm.
    pub(super) fn lowest_tip_mm(&self) -> f64 {
        let highest = self
            .against
            .keep_outs
            .iter()
            .map(|keep_out| keep_out.height);
        let out = self.facts.and_then(|facts| facts.stick_out_mm);
        out.map_or(f64::NEG_INFINITY, |out| {
            highest.fold(f64::NEG_INFINITY, f64::max) - out
        })
    }

    /// The holder beside clamps and jaws that stand higher than its end.
    #[cold]
    #[inline(never)]
    pub(super) fn look_at_holder(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        let Some(out) = self.facts.and_then(|facts| facts.stick_out_mm) else {
            return;
        };
        let r = HOLDER_MM / 2.0;
        for (number, keep_out) in self.against.keep_outs.iter().enumerate() {
            let under = keep_out.height - out;
            if a[2].min(b[2]) >= under {
                continue;
            }
            let min = [
                keep_out.from[0] - r,
                keep_out.from[1] - r,
                f64::NEG_INFINITY,
            ];
            let max = [keep_out.to[0] + r, keep_out.to[1] + r, under - 1e-6];
            // Most motions are nowhere near: their box says so without a walk along them.
            let reach = reach(motion).moved(self.offset);
            if (0..2).any(|axis| reach.max[axis] < min[axis] || reach.min[axis] > max[axis]) {
                continue;
            }
            let mut last = a;
            let samples;
            let ends: &[[f64; 3]] = match motion.arc {
                None => &[b],
                Some(_) => {
                    samples = self.samples(motion, a, b, self.grid.cell_mm.max(1.0));
                    &samples
                }
            };
            let is_near = ends.iter().any(|p| {
                let hit = clip::inside(last, *p, min, max).is_some();
                last = *p;
                hit
            });
            if is_near {
                let (x, y, height) = (keep_out.from, keep_out.to, keep_out.height);
                self.find(&rules::HOLDER_NEAR_KEEP_OUT, number as u64, || {
                    format!(
                        "The holder, taken as {HOLDER_MM:.0} mm across, goes down beside the keep-out from {:.0},{:.0} to {:.0},{:.0} mm, which stands {height:.0} mm high: the tool sticks out only {out:.0} mm.",
                        x[0], x[1], y[0], y[1]
                    )
                });
            }
        }
    }
}
