//! What a section leaves of the top of the blank: whether a tool can still be touched off on it.

use crate::check::sweep::Sweep;
use crate::check::sweep::grid::Grid;
use crate::job::holding::KeepOut;
use crate::job::reference::TopLeft;

/// Deeper than this a cell of the top counts as cut, mm: less than anybody faces.
const UNCUT_MM: f64 = 0.005;
/// Side of the least uncut place to touch off on, mm: room for the tip and for what the grid does not see (common practice, no source).
const LEAST_CLEAR_MM: f64 = 8.0;
/// Kept from clamps and screws, mm: half of a usual holder (common practice, no source).
const FROM_KEEP_OUT_MM: f64 = 18.0;

impl Sweep<'_> {
    /// What is left of the top now, for the section that began to cut in this line.
    pub(super) fn top_left(&self, line: u64) -> TopLeft {
        let grid = &self.grid;
        let top = self.stock.z_mm;
        let cells = || (0..grid.size[1]).flat_map(|y| (0..grid.size[0]).map(move |x| (x, y)));
        let uncut = cells().filter(|&(x, y)| is_uncut(grid, top, x, y)).count();
        let highest = cells().map(|(x, y)| grid.height(x, y)).fold(0.0, f64::max);
        let deep = |[x, y]: [f64; 2]| {
            let [x, y] = grid.cell(x + self.offset[0], y + self.offset[1])?;
            Some(top - grid.height(x, y)).map(|deep| if deep > UNCUT_MM { deep } else { 0.0 })
        };
        TopLeft {
            line,
            share: round_fine(uncut as f64 / (grid.size[0] * grid.size[1]) as f64),
            clear: largest_clear(grid, top, &self.against.keep_outs)
                .map(|[x, y]| [round(x - self.offset[0]), round(y - self.offset[1])]),
            highest_mm: round_fine(highest - self.offset[2]),
            at_place_deep_mm: self.against.z_at_mm.and_then(deep).map(round_fine),
        }
    }
}

/// To half a millimetre: a place to jog to.
fn round(mm: f64) -> f64 {
    (mm * 2.0).round() / 2.0
}

/// Heights of the grid are single floats: to a thousandth, so that a record reads back what was written.
fn round_fine(mm: f64) -> f64 {
    // Adding nothing makes a plain zero of a negative one.
    (mm * 1000.0).round() / 1000.0 + 0.0
}

fn is_uncut(grid: &Grid, top: f64, x: usize, y: usize) -> bool {
    grid.height(x, y) >= top - UNCUT_MM
}

/// Middle of the largest uncut square that stands clear of clamps, from the left front of the blank, mm.
fn largest_clear(grid: &Grid, top: f64, keep_outs: &[KeepOut]) -> Option<[f64; 2]> {
    let least = (LEAST_CLEAR_MM / grid.cell_mm).ceil();
    let is_free = |x: usize, y: usize| {
        let at = grid.centre(x, y);
        is_uncut(grid, top, x, y)
            && !keep_outs.iter().any(|keep_out| {
                (0..2).all(|axis| {
                    at[axis] > keep_out.from[axis] - FROM_KEEP_OUT_MM
                        && at[axis] < keep_out.to[axis] + FROM_KEEP_OUT_MM
                })
            })
    };
    // Side of the largest square that ends at each cell of the row before, and of this one.
    let mut before = vec![0_usize; grid.size[0]];
    let mut best: Option<(usize, [usize; 2])> = None;
    for y in 0..grid.size[1] {
        let mut row = vec![0_usize; grid.size[0]];
        for x in 0..grid.size[0] {
            if !is_free(x, y) {
                continue;
            }
            let side = match x {
                0 => 1,
                _ => 1 + row[x - 1].min(before[x]).min(before[x - 1]),
            };
            row[x] = side;
            if best.is_none_or(|(most, _)| side > most) {
                best = Some((side, [x, y]));
            }
        }
        before = row;
    }
    let (side, end) = best.filter(|(side, _)| *side as f64 >= least)?;
    let half = side as f64 / 2.0;
    Some(end.map(|end| (end as f64 + 1.0 - half) * grid.cell_mm))
}
