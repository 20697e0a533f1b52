//! The cells under a tool, worked out once for each place of its middle within a cell.

use std::ops::Range;

use crate::check::sweep::grid::MOST_CELLS;

/// Parts of a cell, along X and along Y, that are told apart: the rim is good to a sixteenth of a cell.
const PARTS: usize = 8;

/// Cells from the middle that matter: more lie off the grid wherever the tool stands.
const MOST_REACH: i16 = MOST_CELLS as i16;

/// Cells of which the centre lies under a tool; the one that holds its middle always.
#[derive(Clone, Debug)]
pub struct Disc {
    per_mm: f64,
    /// Rows before and behind the one that holds the middle.
    reach: i16,
    /// First cell and the one behind the last, from the middle's own, by part and row.
    runs: Vec<[i16; 2]>,
}

impl Disc {
    /// The cells of a grid under a tool of radius `r_mm`.
    pub fn new(r_mm: f64, cell_mm: f64) -> Self {
        let per_mm = 1.0 / cell_mm;
        let r = (r_mm * per_mm).clamp(0.0, f64::from(MOST_REACH));
        #[expect(
            clippy::cast_possible_truncation,
            reason = "at most the cells of the grid"
        )]
        let reach = r.ceil() as i16;
        let middle = |part: usize| (part as f64 + 0.5) / PARTS as f64;
        let mut runs = vec![];
        for part_y in 0..PARTS {
            for part_x in 0..PARTS {
                for row in -reach..=reach {
                    runs.push(run(r, middle(part_x), middle(part_y), row));
                }
            }
        }
        Self {
            per_mm,
            reach,
            runs,
        }
    }

    /// Rows, and the cells of each, of a grid of `size` under the tool that stands at a point, mm.
    pub fn over(
        &self,
        size: [usize; 2],
        x: f64,
        y: f64,
    ) -> impl Iterator<Item = (usize, Range<usize>)> + use<'_> {
        let (x, part_x) = place(x * self.per_mm);
        let (y, part_y) = place(y * self.per_mm);
        let [width, height] = size.map(|count| count as i32);
        let rows = 2 * usize::from(self.reach.unsigned_abs()) + 1;
        let runs = &self.runs[(part_y * PARTS + part_x) * rows..][..rows];
        let first = y - i32::from(self.reach);
        runs.iter().zip(first..).filter_map(move |(run, row)| {
            let [from, to] = run.map(|cell| x + i32::from(cell));
            let (from, to) = (from.max(0), to.min(width));
            #[expect(clippy::cast_sign_loss, reason = "not below 0")]
            (row >= 0 && row < height && from < to)
                .then_some((row as usize, from as usize..to as usize))
        })
    }
}

/// The cell that a coordinate in cells lies in, and its part of it. Far off the grid is as good as
/// just too far off it.
fn place(at: f64) -> (i32, usize) {
    let far = 4.0 * MOST_CELLS as f64;
    let at = at.clamp(-far, far);
    // Moved to where the cast, which cuts towards zero, cuts downwards.
    let parts = (at + far) * PARTS as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the parts of so many cells"
    )]
    let parts = parts as u32 as usize;
    let cell = (parts / PARTS) as i32 - far as i32;
    (cell, parts % PARTS)
}

/// First cell and the one behind the last of a row under a circle, from the cell that holds its
/// middle at `x` and `y`, all in cells.
fn run(r: f64, x: f64, y: f64, row: i16) -> [i16; 2] {
    let dy = f64::from(row) + 0.5 - y;
    let own = if row == 0 { [0, 1] } else { [0, 0] };
    if dy.abs() > r {
        return own;
    }
    let half = (r * r - dy * dy).sqrt();
    let most = f64::from(MOST_REACH);
    #[expect(clippy::cast_possible_truncation, reason = "at most the reach")]
    let [first, last] = [(x - half - 0.5).ceil(), (x + half - 0.5).floor()]
        .map(|cell| cell.clamp(-most, most) as i16);
    if first > last {
        return own;
    }
    if row == 0 {
        return [first.min(0), last.max(0) + 1];
    }
    [first, last + 1]
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: [usize; 2] = [40, 30];

    proptest::proptest! {
        /// Each cell's centre measured against the circle is the outside check; within a sixteenth of
        /// a cell of the rim along both axes either answer is right.
        #[test]
        fn the_cells_under_a_tool_are_those_with_the_centre_in_its_circle(
            r in 0.0_f64..30.0, x in -20.0_f64..60.0, y in -20.0_f64..50.0, cell in 0.2_f64..2.0,
        ) {
            let disc = Disc::new(r * cell, cell);
            let mut under = vec![false; SIZE[0] * SIZE[1]];
            for (row, columns) in disc.over(SIZE, x * cell, y * cell) {
                for column in columns {
                    under[row * SIZE[0] + column] = true;
                }
            }
            let slack = 2.0_f64.sqrt() / 16.0 + 1e-9;
            for (i, is_under) in under.into_iter().enumerate() {
                let (column, row) = ((i % SIZE[0]) as f64, (i / SIZE[0]) as f64);
                let away = (column + 0.5 - x).hypot(row + 0.5 - y);
                let is_own = x.floor() == column && y.floor() == row;
                if away < r - slack || is_own {
                    proptest::prop_assert!(is_under, "{column} {row}");
                } else if away > r + slack {
                    proptest::prop_assert!(!is_under, "{column} {row}");
                }
            }
        }
    }

    #[test]
    fn a_tool_far_off_or_larger_than_the_grid_is_no_trouble() {
        assert_eq!(Disc::new(3.0, 1.0).over(SIZE, f64::MAX, -1e300).count(), 0);
        let all: usize = Disc::new(1e12, 1.0)
            .over(SIZE, 10.0, 10.0)
            .map(|(_, columns)| columns.len())
            .sum();
        assert_eq!(all, SIZE[0] * SIZE[1]);
    }
}
