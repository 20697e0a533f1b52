//! What the cuts leave of the blank: pieces that come free, what holds the part, edges left uncut.

use crate::check::rules;
use crate::check::sweep::Sweep;
use crate::check::sweep::THIN_SHARE;
use crate::check::sweep::free;
use crate::check::sweep::free::Hold;
use crate::check::sweep::grid::THROUGH_MM;
use crate::job::stock::StockSize;
use crate::program::finding::Level;

/// A skin thinner than this is less than what the bed of a small mill is level to, mm (common practice, no source).
const FOIL_MM: f64 = 0.15;
/// Tabs lower or narrower than this are broken by a touch, mm (common practice, no source).
const WEAK_TAB_MM: f64 = 0.5;

/// How often the pieces are counted at most.
const MOST_COUNTS: u32 = 4_000;

impl Sweep<'_> {
    /// Counts the pieces that still hang together; more than before is a piece that comes free.
    pub(super) fn count_pieces(&mut self) {
        if !self.through || self.counts > MOST_COUNTS {
            return;
        }
        self.counts += 1;
        let pieces = free::standing(&self.grid, THROUGH_MM);
        if pieces.len() <= self.pieces.len().max(1) {
            self.pieces = pieces;
            return;
        }
        let is_bonded = self
            .against
            .held_by
            .is_some_and(crate::job::holding::HeldBy::is_bond);
        let level = if is_bonded { Level::Warn } else { Level::Stop };
        // A frame lies round what it was cut off from: the piece that is meant is the one of little reach.
        let new = pieces
            .iter()
            .filter(|piece| !self.pieces.iter().any(|old| old.is_like(piece)))
            .min_by(|a, b| a.reach_mm2().total_cmp(&b.reach_mm2()))
            .copied();
        let count = pieces.len();
        self.pieces = pieces;
        if let Some(piece) = new {
            let [x0, y0, x1, y1] = piece.reach;
            let cell = self.grid.cell_mm;
            self.find_at(&rules::PART_COMES_FREE, level, count as u64, || {
                format!(
                    "A piece of about {:.0} x {:.0} mm comes free around {:.0} mm from the left and {:.0} mm from the front: nothing holds it to the rest.",
                    x1 - x0 + cell,
                    y1 - y0 + cell,
                    piece.middle[0],
                    piece.middle[1],
                )
            });
        }
    }

    pub(super) fn say_hold(&mut self) {
        if self.pieces.len() > 1 {
            return;
        }
        match free::hold(&self.grid, THROUGH_MM, self.stock.z_mm * THIN_SHARE) {
            Some(Hold::Tabs {
                count,
                height_mm,
                width_mm,
            }) => {
                let is_weak = height_mm < WEAK_TAB_MM || width_mm < WEAK_TAB_MM;
                let level = if is_weak { Level::Warn } else { Level::Note };
                let tabs = if count == 1 {
                    "1 tab holds".to_owned()
                } else {
                    format!("{count} tabs hold")
                };
                let weak = if is_weak { ": hardly anything" } else { "" };
                self.find_at(&rules::HELD_BY_TABS, level, 0, || {
                    format!("At the end {tabs} the part, about {height_mm:.1} mm high and {width_mm:.0} mm wide at the neck{weak}.")
                });
            }
            Some(Hold::Skin { height_mm }) if height_mm < FOIL_MM => {
                self.find_at(&rules::HELD_BY_TABS, Level::Warn, 1, || {
                    format!("At the end only a foil of about {height_mm:.2} mm is left under the part: it may tear in the last cut.")
                });
            }
            Some(Hold::Skin { height_mm }) => self.find(&rules::HELD_BY_TABS, 1, || {
                format!("At the end a skin of about {height_mm:.2} mm holds the part.")
            }),
            None => {}
        }
    }

    /// Sides of the part beside which nothing was cut deep, and how many sides have waste at all.
    fn missed_edges(&self, at: [f64; 3], part: StockSize) -> (Vec<&'static str>, usize) {
        let stock = self.stock;
        let cell = self.grid.cell_mm;
        let sides = [
            ("left", 0, at[0] - cell, at[0], at[1], part.y_mm),
            (
                "right",
                0,
                at[0] + part.x_mm + cell,
                stock.x_mm - at[0] - part.x_mm,
                at[1],
                part.y_mm,
            ),
            ("front", 1, at[1] - cell, at[1], at[0], part.x_mm),
            (
                "back",
                1,
                at[1] + part.y_mm + cell,
                stock.y_mm - at[1] - part.y_mm,
                at[0],
                part.x_mm,
            ),
        ];
        let mut missed = vec![];
        let mut wasted = 0;
        for (name, axis, beside, waste, from, length) in sides {
            if waste < cell {
                continue;
            }
            wasted += 1;
            // A cut that only crosses the edge runs along little of it; tabs leave gaps.
            let cut = (1..20).filter(|i| {
                let along = from + length * f64::from(*i) / 20.0;
                let (x, y) = if axis == 0 {
                    (beside, along)
                } else {
                    (along, beside)
                };
                self.grid
                    .cell(x, y)
                    .is_some_and(|[x, y]| self.grid.height(x, y) < stock.z_mm * THIN_SHARE)
            });
            if cut.count() < 8 {
                missed.push(name);
            }
        }
        (missed, wasted)
    }

    pub(super) fn look_at_part_edges(&mut self) {
        let Some((part, at)) = self.against.part_in(self.stock) else {
            return;
        };
        let (missed, _) = self.missed_edges(at, part);
        if !missed.is_empty() {
            self.line = 0;
            self.find(&rules::PART_EDGE_NOT_REACHED, 0, || {
                format!(
                    "No cut deeper than half of the blank runs along most of the part's edge: {}.",
                    missed.join(", ")
                )
            });
        }
    }

    /// The program ends with the tool in the blank.
    pub(super) fn look_at_end(&mut self) {
        let Some([x, y, z]) = self.last else { return };
        let (r, stock) = (self.radius_mm, self.stock);
        let is_over = (-r..=stock.x_mm + r).contains(&x) && (-r..=stock.y_mm + r).contains(&y);
        if is_over && z < stock.z_mm - THROUGH_MM {
            self.find(&rules::ENDS_IN_METAL, 0, || {
                format!(
                    "The program ends with the tool {:.1} mm below the top of the blank, in it.",
                    stock.z_mm - z
                )
            });
        }
    }

    /// Keeps in mind when the outside of the part is cut all round.
    pub(super) fn look_at_profile(&mut self) {
        if self.profiled_line.is_some() || !self.has_cut_deep {
            return;
        }
        self.has_cut_deep = false;
        if let Some((part, at)) = self.against.part_in(self.stock)
            && let (missed, wasted) = self.missed_edges(at, part)
            && missed.is_empty()
            && wasted >= 2
        {
            self.profiled_line = Some(self.line);
        }
    }

    pub(super) fn look_inside(&mut self, b: [f64; 3]) {
        let (Some(line), Some((part, at))) = (self.profiled_line, self.against.part_in(self.stock))
        else {
            return;
        };
        let r = self.radius_mm;
        let is_inside = b[0] > at[0] + r
            && b[0] < at[0] + part.x_mm - r
            && b[1] > at[1] + r
            && b[1] < at[1] + part.y_mm - r;
        if is_inside {
            self.find(&rules::PROFILE_BEFORE_INSIDE, 0, || {
                format!("The inside of the part is cut after its outside, which is cut all round since line {line}.")
            });
        }
    }
}
