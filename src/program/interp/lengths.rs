//! Keeps which tool has cut with which length.
//!
//! A length that comes into force moves nothing (NISTIR 6556, 3.5.11): it acts from the next move of Z on. So a feed
//! motion counts once Z has moved with the tool and the length in force.

use crate::program::interp::At;
use crate::program::interp::Machine;
use crate::program::interp::moves::Target;
use crate::program::length_use::LengthUse;
use crate::program::motion::Kind;

/// Uses kept at most.
const MOST: usize = 1000;

/// The uses so far, and the state of the one in force.
#[derive(Debug, Default)]
pub struct Lengths {
    uses: Vec<LengthUse>,
    /// The use that the cuts go on with.
    open: Option<usize>,
    is_counted: bool,
    has_z_moved: bool,
    change: u32,
    set_line: Option<u64>,
    is_on: bool,
}

impl Lengths {
    /// Whether a cut needs no further look.
    #[inline]
    pub fn is_counted(&self) -> bool {
        self.is_counted
    }

    /// The uses, in order.
    pub fn uses(self) -> Vec<LengthUse> {
        self.uses
    }

    /// The tool may be another one from here on.
    pub fn changed(&mut self) {
        self.change += 1;
        self.begin();
    }

    /// A length comes into force, or none, by a line; what takes away none says nothing.
    pub fn set(&mut self, line: u64, is_on: bool) {
        if is_on || self.is_on {
            self.set_line = Some(line);
        }
        self.is_on = is_on;
        self.begin();
    }

    fn begin(&mut self) {
        self.open = None;
        self.is_counted = false;
        self.has_z_moved = false;
    }
}

impl Machine<'_> {
    /// Looks at a motion until the use that it belongs to is kept.
    pub(super) fn count_length(&mut self, kind: Kind, target: &Target, at: At<'_>) {
        let becomes_known = target.known[2] && !self.known[2];
        self.lengths.has_z_moved |= becomes_known || target.pos[2] != self.pos[2];
        if kind == Kind::Rapid || !self.lengths.has_z_moved {
            return;
        }
        let tool = self.tool.or(self.pending_tool);
        let (h, lengths) = (self.h, &mut self.lengths);
        lengths.is_counted = true;
        let change = lengths.change;
        let is_same =
            |u: &LengthUse| u.tool == tool && u.h == h && (tool.is_some() || u.change == change);
        lengths.open = lengths.uses.iter().position(is_same);
        if lengths.open.is_none() && lengths.uses.len() < MOST {
            lengths.open = Some(lengths.uses.len());
            lengths.uses.push(LengthUse {
                tool,
                h,
                change,
                line: at.line,
                set_line: lengths.set_line,
                lowest_mm: None,
            });
        }
    }

    /// Keeps how deep the cuts with the length in force have gone, before it or the section ends.
    pub(super) fn note_lowest(&mut self) {
        let lowest = self.tally.lowest_mm();
        let open = self.lengths.open;
        if let (Some(low), Some(u)) = (lowest, open.and_then(|i| self.lengths.uses.get_mut(i))) {
            u.lowest_mm = Some(u.lowest_mm.map_or(low, |own| own.min(low)));
        }
    }
}
