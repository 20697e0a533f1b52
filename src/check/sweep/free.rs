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

/// Numbers from 1 for the cells for which `is_metal` holds, the same for those joined by their sides;
/// 0 for the rest. Returns how many numbers there are too.
fn number(grid: &Grid, is_metal: impl Fn(f64) -> bool) -> (Vec<u32>, u32) {
    let [nx, ny] = grid.size;
    let mut numbers = vec![0; nx * ny];
    let mut last = 0;
    let mut open = vec![];
    for start in 0..nx * ny {
        if numbers[start] != 0 || !is_metal(grid.height(start % nx, start / nx)) {
            continue;
        }
        last += 1;
        numbers[start] = last;
        open.push(start);
        while let Some(at) = open.pop() {
            for next in beside(grid.size, at) {
                if numbers[next] == 0 && is_metal(grid.height(next % nx, next / nx)) {
                    numbers[next] = last;
                    open.push(next);
                }
            }
        }
    }
    (numbers, last)
}

/// Cells that share a side with a cell.
fn beside([nx, ny]: [usize; 2], at: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (at % nx, at / nx);
    [
        (x > 0).then(|| at - 1),
        (x + 1 < nx).then(|| at + 1),
        (y > 0).then(|| at - nx),
        (y + 1 < ny).then(|| at + nx),
    ]
    .into_iter()
    .flatten()
}

/// Pieces of cells for which `is_metal` holds, joined by their sides, largest first.
fn pieces(grid: &Grid, is_metal: impl Fn(f64) -> bool) -> Vec<Piece> {
    let (numbers, count) = number(grid, is_metal);
    let nothing = Piece {
        area_mm2: 0.0,
        middle: [0.0; 2],
        reach: [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ],
        height_mm: 0.0,
    };
    let mut found = vec![(0_usize, nothing); count as usize];
    for (at, number) in numbers.into_iter().enumerate() {
        let Some((cells, piece)) = (number as usize)
            .checked_sub(1)
            .and_then(|i| found.get_mut(i))
        else {
            continue;
        };
        let (x, y) = (at % grid.size[0], at / grid.size[0]);
        let centre = grid.centre(x, y);
        *cells += 1;
        piece.middle = [piece.middle[0] + centre[0], piece.middle[1] + centre[1]];
        piece.reach = [
            piece.reach[0].min(centre[0]),
            piece.reach[1].min(centre[1]),
            piece.reach[2].max(centre[0]),
            piece.reach[3].max(centre[1]),
        ];
        piece.height_mm = piece.height_mm.max(grid.height(x, y));
    }
    let mut found: Vec<Piece> = found
        .into_iter()
        .filter_map(|(cells, piece)| {
            let area_mm2 = cells as f64 * grid.cell_mm * grid.cell_mm;
            (cells >= LEAST_CELLS && area_mm2 >= LEAST_AREA_MM2).then(|| Piece {
                area_mm2,
                middle: piece.middle.map(|sum| sum / cells as f64),
                ..piece
            })
        })
        .collect();
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
    let (thick, _) = number(grid, |height| height >= thick_mm);
    let is_thin = |height: f64| height >= thin_from_mm && height < thick_mm;
    let (thin, count) = number(grid, is_thin);
    // Cells, lowest metal and the first thick piece beside it, by piece of thin metal.
    let mut bridges = vec![(0_usize, f64::INFINITY, 0, false); count as usize];
    for (at, number) in thin.into_iter().enumerate() {
        let Some(i) = (number as usize).checked_sub(1) else {
            continue;
        };
        let (cells, low, first, joins) = &mut bridges[i];
        *cells += 1;
        *low = low.min(grid.height(at % nx, at / nx));
        for thick in beside(grid.size, at).map(|next| thick[next]) {
            if *first == 0 {
                *first = thick;
            }
            // A crumb at the rim of a cut lies beside one piece only and holds nothing.
            *joins |= thick != 0 && thick != *first;
        }
    }
    let tabs: Vec<(usize, f64)> = bridges
        .into_iter()
        .filter(|(_, _, _, joins)| *joins)
        .map(|(cells, low, _, _)| (cells, low))
        .collect();
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
