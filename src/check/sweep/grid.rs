//! What is left of the blank, as heights on a coarse grid.

use crate::job::stock::StockSize;

/// Cells along the longer side.
const MOST_CELLS: usize = 128;

/// Heights of the metal above the bottom of the blank, mm, by cell.
///
/// The tool is taken as a flat cylinder: a ball leaves more than this says.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Side of a cell, mm.
    pub cell_mm: f64,
    /// Cells along X and Y.
    pub size: [usize; 2],
    heights: Vec<f32>,
}

/// What a stamp of the tool met.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Met {
    /// Deepest metal removed in one go, mm.
    pub step_mm: f64,
    /// Metal was removed right under the tool's centre, this deep, mm.
    pub centre_mm: f64,
    /// Cells that were cut through to the bottom by this stamp.
    pub through: usize,
}

/// Height below which a cell counts as cut through, mm.
pub const THROUGH_MM: f64 = 0.02;

impl Grid {
    /// The whole blank.
    pub fn new(stock: StockSize) -> Self {
        let cell_mm = (stock.x_mm.max(stock.y_mm) / MOST_CELLS as f64).max(1e-6);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the number of cells"
        )]
        let count = |length: f64| ((length / cell_mm).ceil() as usize).clamp(1, MOST_CELLS);
        let size = [count(stock.x_mm), count(stock.y_mm)];
        Self {
            cell_mm,
            size,
            heights: vec![stock.z_mm as f32; size[0] * size[1]],
        }
    }

    /// Height of a cell, mm.
    pub fn height(&self, x: usize, y: usize) -> f64 {
        f64::from(self.heights[y * self.size[0] + x])
    }

    /// Centre of a cell, mm from the left front.
    pub fn centre(&self, x: usize, y: usize) -> [f64; 2] {
        [
            (x as f64 + 0.5) * self.cell_mm,
            (y as f64 + 0.5) * self.cell_mm,
        ]
    }

    /// The cell that holds a point, if it lies on the blank.
    pub fn cell(&self, x: f64, y: f64) -> Option<[usize; 2]> {
        let at = |v: f64, count: usize| -> Option<usize> {
            let i = (v / self.cell_mm).floor();
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "checked before"
            )]
            (i >= 0.0 && i < count as f64).then_some(i as usize)
        };
        Some([at(x, self.size[0])?, at(y, self.size[1])?])
    }

    /// Range of cells whose centres may lie within `r` of a coordinate.
    fn range(&self, v: f64, r: f64, axis: usize) -> std::ops::Range<usize> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates, then clamped"
        )]
        // Rounded up and down without a call: the cast cuts towards zero, and both are not negative.
        let at = |v: f64| (v.max(0.0) as usize).min(self.size[axis]);
        let first = (v - r) / self.cell_mm - 0.5;
        let low = at(first);
        let low = low + usize::from(first > low as f64);
        let last = (v + r) / self.cell_mm - 0.5;
        let high = if last < 0.0 { 0 } else { at(last + 1.0) };
        low.min(high)..high
    }

    /// Takes away the metal above `z` within `r` of a point; the point's own cell always.
    pub fn stamp(&mut self, x: f64, y: f64, r: f64, z: f64) -> Met {
        let mut met = Met::default();
        let z32 = z.max(0.0) as f32;
        let own = self.cell(x, y).map(|[ix, iy]| iy * self.size[0] + ix);
        met.centre_mm = own.map_or(0.0, |at| (f64::from(self.heights[at]) - z).max(0.0));
        let mut highest = f32::NEG_INFINITY;
        let is_through = f64::from(z32) < THROUGH_MM;
        let mut through = 0;
        let mut lower = |cells: &mut [f32]| {
            for height in cells {
                let old = *height;
                if old > z32 {
                    *height = z32;
                    highest = highest.max(old);
                    through += usize::from(is_through && f64::from(old) >= THROUGH_MM);
                }
            }
        };
        let r2 = r * r;
        for iy in self.range(y, r, 1) {
            let dy = (iy as f64 + 0.5) * self.cell_mm - y;
            let half = (r2 - dy * dy).max(0.0).sqrt();
            let columns = self.range(x, half, 0);
            let row = iy * self.size[0];
            lower(&mut self.heights[row + columns.start..row + columns.end]);
        }
        if let Some(at) = own {
            lower(&mut self.heights[at..=at]);
        }
        met.through = through;
        if highest > z32 {
            met.step_mm = f64::from(highest) - z;
        }
        met
    }

    /// The highest metal within `r` of a point, mm; the point's own cell always.
    pub fn highest(&self, x: f64, y: f64, r: f64) -> Option<f64> {
        let mut highest = self.cell(x, y).map(|[ix, iy]| self.height(ix, iy));
        let r2 = r * r;
        let columns = self.range(x, r, 0);
        for iy in self.range(y, r, 1) {
            let dy = (iy as f64 + 0.5) * self.cell_mm - y;
            for ix in columns.clone() {
                let dx = (ix as f64 + 0.5) * self.cell_mm - x;
                if dx * dx + dy * dy <= r2 {
                    let height = self.height(ix, iy);
                    highest = Some(highest.map_or(height, |h| h.max(height)));
                }
            }
        }
        highest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STOCK: StockSize = StockSize {
        x_mm: 128.0,
        y_mm: 64.0,
        z_mm: 10.0,
    };

    #[test]
    fn a_stamp_takes_a_disc_and_says_how_deep() {
        let mut grid = Grid::new(STOCK);
        assert_eq!(grid.size, [128, 64]);
        let met = grid.stamp(20.0, 20.0, 3.0, 8.0);
        assert!((met.step_mm - 2.0).abs() < 1e-6);
        assert_eq!(grid.highest(20.0, 20.0, 2.0), Some(8.0));
        assert_eq!(grid.highest(30.0, 20.0, 2.0), Some(10.0));
        assert_eq!(grid.highest(-30.0, 20.0, 2.0), None);
        // Again at the same height nothing is met.
        assert_eq!(grid.stamp(20.0, 20.0, 3.0, 8.0), Met::default());
    }

    #[test]
    fn a_point_off_the_blank_takes_only_what_it_reaches() {
        let mut grid = Grid::new(STOCK);
        let met = grid.stamp(-2.0, 10.0, 3.0, 0.0);
        assert!(met.through > 0 && met.through < 10);
        assert_eq!(grid.stamp(-200.0, 10.0, 3.0, 0.0), Met::default());
        assert_eq!(grid.stamp(f64::MAX, f64::MAX, 3.0, 0.0), Met::default());
    }
}
