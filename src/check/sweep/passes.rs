//! What the tool takes in each section: its deepest pass, its straightest plunge.

use crate::program::bounds::Bounds;
use crate::program::motion::Kind;
use crate::program::motion::Motion;
use crate::program::motion::Pace;
use crate::program::section::MOST_SECTIONS;

/// Length below which a motion goes nowhere, mm; as sections count it.
const ZERO_MM: f64 = 1e-9;

/// The deepest of something, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deepest {
    /// Metal taken in one go under the tool's middle, mm: of what is cut with less than half of the tool nothing is
    /// kept, for a wall is finished at its full depth.
    pub depth_mm: f64,
    /// Programmed feed, mm/min, where it is known.
    pub feed_mm_min: Option<f64>,
    /// Line of the motion.
    pub line: u64,
}

/// What the tool takes in one section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pass {
    /// Line of the section's first feed motion: by it the section is known.
    pub first_cut_line: u64,
    /// Extents of what it cuts in the blank, in the program's own numbers.
    pub cut: Bounds,
    /// Its lowest Z at feed, in the program's own numbers, and the line that goes there first.
    pub lowest: Option<(f64, u64)>,
    /// The deepest cut that goes across.
    pub across: Option<Deepest>,
    /// The deepest one that goes straight down, canned cycles left out.
    pub plunge: Option<Deepest>,
}

/// The passes of all sections, in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Passes {
    found: Vec<Pass>,
    open: Option<Pass>,
}

impl Passes {
    /// Line of the first cut of the section that is open.
    pub fn first_cut_line(&self) -> Option<u64> {
        self.open.as_ref().map(|pass| pass.first_cut_line)
    }

    /// A motion comes: the first that cuts opens the section.
    pub fn motion(&mut self, motion: &Motion) {
        if motion.kind == Kind::Rapid {
            return;
        }
        let goes = || motion.length_mm >= ZERO_MM || motion.from_known != motion.to_known;
        if self.open.is_none() && goes() {
            self.open = Some(Pass {
                first_cut_line: motion.line,
                cut: Bounds::EMPTY,
                lowest: None,
                across: None,
                plunge: None,
            });
        }
        if let Some(pass) = self.open.as_mut()
            && pass.lowest.is_none_or(|(z, _)| motion.to[2] < z)
            && motion.to_known[2]
        {
            pass.lowest = Some((motion.to[2], motion.line));
        }
    }

    /// Metal was taken by a motion, so deep in one go under the tool's middle.
    pub fn taken(&mut self, motion: &Motion, depth_mm: f64, is_plunge: bool) {
        let Some(pass) = self.open.as_mut() else {
            return;
        };
        if is_plunge && motion.is_cycle {
            return;
        }
        let kept = if is_plunge {
            &mut pass.plunge
        } else {
            &mut pass.across
        };
        if kept.is_none_or(|deepest| depth_mm > deepest.depth_mm) {
            *kept = Some(Deepest {
                depth_mm,
                feed_mm_min: match motion.pace {
                    Pace::MmPerMin(feed) => Some(feed),
                    _ => None,
                },
                line: motion.line,
            });
        }
    }

    /// A section ends here, unless nothing was cut in it; `cut` are the extents of what it cuts in the blank.
    pub fn section(&mut self, cut: &Bounds) {
        if let Some(pass) = self.open.as_mut() {
            pass.cut.unite(cut);
        }
        if self.found.len() + 1 < MOST_SECTIONS {
            self.found.extend(self.open.take());
        }
    }

    /// All of them.
    pub fn finish(mut self, cut: &Bounds) -> Vec<Pass> {
        if let Some(pass) = self.open.as_mut() {
            pass.cut.unite(cut);
        }
        self.found.extend(self.open.take());
        self.found
    }
}
