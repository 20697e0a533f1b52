//! Which pieces of the blank still hang together.

use crate::check::sweep::grid::Grid;

/// Pieces smaller than this are taken as the grid's coarseness, cells.
const LEAST_CELLS: usize = 4;
/// Pieces smaller than this are chips rather than slugs, mm².
const LEAST_AREA_MM2: f64 = 10.0;

/// A connected piece of the blank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Area, mm².
    pub area_mm2: f64,
    /// Middle of its cells, mm from the left front of the blank.
    pub middle: [f64; 2],
    /// Least and greatest X and Y of its cells, mm.
    pub reach: [f64; 4],
    /// Greatest height in it, mm.
    pub height_mm: f64,
}

/// Pieces of cells for which `is_metal` holds, joined by their sides, largest first.
fn pieces(grid: &Grid, is_metal: impl Fn(f64) -> bool) -> Vec<Piece> {
    let [nx, ny] = grid.size;
    let mut seen = vec![false; nx * ny];
    let mut found = vec![];
    let mut open = vec![];
    for start in 0..nx * ny {
        if seen[start] || !is_metal(grid.height(start % nx, start / nx)) {
            continue;
        }
        seen[start] = true;
        open.push(start);
        let mut cells = 0_usize;
        let mut sum = [0.0; 2];
        let mut reach = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        let mut height_mm: f64 = 0.0;
        while let Some(at) = open.pop() {
            let (x, y) = (at % nx, at / nx);
            cells += 1;
            let centre = grid.centre(x, y);
            sum = [sum[0] + centre[0], sum[1] + centre[1]];
            reach = [
                reach[0].min(centre[0]),
                reach[1].min(centre[1]),
                reach[2].max(centre[0]),
                reach[3].max(centre[1]),
            ];
            height_mm = height_mm.max(grid.height(x, y));
            let mut visit = |x: usize, y: usize| {
                let i = y * nx + x;
                if !seen[i] && is_metal(grid.height(x, y)) {
                    seen[i] = true;
                    open.push(i);
                }
            };
            if x > 0 {
                visit(x - 1, y);
            }
            if x + 1 < nx {
                visit(x + 1, y);
            }
            if y > 0 {
                visit(x, y - 1);
            }
            if y + 1 < ny {
                visit(x, y + 1);
            }
        }
        let area_mm2 = cells as f64 * grid.cell_mm * grid.cell_mm;
        if cells >= LEAST_CELLS && area_mm2 >= LEAST_AREA_MM2 {
            found.push(Piece {
                area_mm2,
                middle: sum.map(|s| s / cells as f64),
                reach,
                height_mm,
            });
        }
    }
    found.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    found
}

/// Pieces that hang together by metal above `floor_mm`, largest first.
pub fn standing(grid: &Grid, floor_mm: f64) -> Vec<Piece> {
    pieces(grid, |height| height >= floor_mm)
}

/// What holds the pieces together once a contour is cut: thin metal left in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hold {
    /// Separate bridges.
    Tabs {
        /// How many.
        count: usize,
        /// Height of the lowest, mm.
        height_mm: f64,
        /// Width of the narrowest, mm, to within a cell.
        width_mm: f64,
    },
    /// One thin floor all round.
    Skin {
        /// Its thickness, mm.
        height_mm: f64,
    },
}

/// What holds, when the blank would fall apart without the metal below `thick_mm`.
pub fn hold(grid: &Grid, thin_from_mm: f64, thick_mm: f64) -> Option<Hold> {
    if standing(grid, thick_mm).len() < 2 {
        return None;
    }
    let cell = grid.cell_mm;
    let [nx, ny] = grid.size;
    let is_thin = |height: f64| height >= thin_from_mm && height < thick_mm;
    // Small bridges count here, so the cells are joined without the least area.
    let mut seen = vec![false; nx * ny];
    let mut tabs: Vec<(usize, f64)> = vec![];
    for start in 0..nx * ny {
        if seen[start] || !is_thin(grid.height(start % nx, start / nx)) {
            continue;
        }
        let mut open = vec![start];
        seen[start] = true;
        let (mut cells, mut low) = (0_usize, f64::INFINITY);
        let mut touches_thick = false;
        while let Some(at) = open.pop() {
            let (x, y) = (at % nx, at / nx);
            cells += 1;
            low = low.min(grid.height(x, y));
            for (dx, dy) in [(-1_isize, 0_isize), (1, 0), (0, -1), (0, 1)] {
                let (Some(x), Some(y)) = (x.checked_add_signed(dx), y.checked_add_signed(dy))
                else {
                    continue;
                };
                if x >= nx || y >= ny {
                    continue;
                }
                let i = y * nx + x;
                touches_thick |= grid.height(x, y) >= thick_mm;
                if !seen[i] && is_thin(grid.height(x, y)) {
                    seen[i] = true;
                    open.push(i);
                }
            }
        }
        if touches_thick {
            tabs.push((cells, low));
        }
    }
    let largest = tabs.iter().map(|(cells, _)| *cells).max()?;
    let low = tabs
        .iter()
        .map(|(_, low)| *low)
        .fold(f64::INFINITY, f64::min);
    // A floor that goes round is far larger than any bridge.
    if largest > (nx + ny) / 2 && tabs.len() <= 2 {
        return Some(Hold::Skin { height_mm: low });
    }
    let least = tabs.iter().map(|(cells, _)| *cells).min().unwrap_or(1);
    Some(Hold::Tabs {
        count: tabs.len(),
        height_mm: low,
        width_mm: (least as f64).sqrt() * cell,
    })
}
