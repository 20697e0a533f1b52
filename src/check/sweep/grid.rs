//! What is left of the blank, as heights on a coarse grid.

use crate::check::sweep::disc::Disc;
use crate::job::stock::StockSize;

/// Cells along the longer side.
pub const MOST_CELLS: usize = 128;

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

/// Side of a cell of a blank, mm.
pub fn cell_mm(stock: StockSize) -> f64 {
    (stock.x_mm.max(stock.y_mm) / MOST_CELLS as f64).max(1e-6)
}

impl Grid {
    /// The whole blank.
    pub fn new(stock: StockSize) -> Self {
        let cell_mm = cell_mm(stock);
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

    /// Takes away the metal above `z` under a tool that stands at a point; its own cell always.
    pub fn stamp(&mut self, disc: &Disc, x: f64, y: f64, z: f64) -> Met {
        // Below the bottom there is no metal to take, however deep the tool goes.
        let z = z.max(0.0);
        let z32 = z as f32;
        let mut met = Met::default();
        if let Some([ix, iy]) = self.cell(x, y) {
            met.centre_mm = (self.height(ix, iy) - z).max(0.0);
        }
        let is_through = f64::from(z32) < THROUGH_MM;
        let mut highest = f32::NEG_INFINITY;
        let width = self.size[0];
        for (row, columns) in disc.over(self.size, x, y) {
            let cells = &mut self.heights[row * width..][columns];
            if is_through {
                let was_solid = |height: &&f32| f64::from(**height) >= THROUGH_MM;
                met.through += cells.iter().filter(was_solid).count();
            }
            for height in cells {
                // Spelled out: the library's max and min also look for what is no number.
                if *height > highest {
                    highest = *height;
                }
                *height = if *height > z32 { z32 } else { *height };
            }
        }
        if highest > z32 {
            met.step_mm = f64::from(highest) - z;
        }
        met
    }

    /// The highest metal under a tool that stands at a point, mm; its own cell always.
    pub fn highest(&self, disc: &Disc, x: f64, y: f64) -> Option<f64> {
        disc.over(self.size, x, y)
            .flat_map(|(row, columns)| &self.heights[row * self.size[0]..][columns])
            .copied()
            .reduce(f32::max)
            .map(f64::from)
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
        let [tool, inner] = [3.0, 2.0].map(|r| Disc::new(r, grid.cell_mm));
        let met = grid.stamp(&tool, 20.0, 20.0, 8.0);
        assert!((met.step_mm - 2.0).abs() < 1e-6);
        assert_eq!(grid.highest(&inner, 20.0, 20.0), Some(8.0));
        assert_eq!(grid.highest(&inner, 30.0, 20.0), Some(10.0));
        assert_eq!(grid.highest(&inner, -30.0, 20.0), None);
        // Through a hole that is there the tool meets nothing, however far below the bottom it comes out.
        let through = grid.stamp(&tool, 60.0, 20.0, -1.0);
        assert!((through.step_mm - 10.0).abs() < 1e-6 && (through.centre_mm - 10.0).abs() < 1e-6);
        assert_eq!(grid.stamp(&tool, 60.0, 20.0, -5.0), Met::default());
        // Again at the same height nothing is met.
        assert_eq!(grid.stamp(&tool, 20.0, 20.0, 8.0), Met::default());
    }

    #[test]
    fn a_point_off_the_blank_takes_only_what_it_reaches() {
        let mut grid = Grid::new(STOCK);
        let tool = Disc::new(3.0, grid.cell_mm);
        let met = grid.stamp(&tool, -2.0, 10.0, 0.0);
        assert!(met.through > 0 && met.through < 10);
        assert_eq!(grid.stamp(&tool, -200.0, 10.0, 0.0), Met::default());
        assert_eq!(grid.stamp(&tool, f64::MAX, f64::MAX, 0.0), Met::default());
    }
}
