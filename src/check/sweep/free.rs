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

impl Piece {
    /// Area of the rectangle that holds it, mm².
    pub fn reach_mm2(&self) -> f64 {
        let [x0, y0, x1, y1] = self.reach;
        (x1 - x0) * (y1 - y0)
    }

    /// Whether both are one piece, seen before and after a cut elsewhere.
    pub fn is_like(&self, other: &Self) -> bool {
        /// What a cut elsewhere changes.
        const SAME_MM: f64 = 1e-6;
        (self.area_mm2 - other.area_mm2).abs() < SAME_MM
            && (0..2).all(|axis| (self.middle[axis] - other.middle[axis]).abs() < SAME_MM)
    }
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
    let [nx, ny] = grid.size;
    let (thick, _) = number(grid, |height| height >= thick_mm);
    let is_thin = |height: f64| height >= thin_from_mm && height < thick_mm;
    let (thin, count) = number(grid, is_thin);
    let mut bridges = vec![Bridge::default(); count as usize];
    for (at, number) in thin.into_iter().enumerate() {
        let Some(bridge) = (number as usize)
            .checked_sub(1)
            .and_then(|i| bridges.get_mut(i))
        else {
            continue;
        };
        bridge.cells.push(at);
        bridge.low_mm = bridge.low_mm.min(grid.height(at % nx, at / nx));
        for piece in beside(grid.size, at).map(|next| thick[next]) {
            bridge.touch(piece, at);
        }
    }
    // A crumb at the rim of a cut lies beside one piece only and holds nothing.
    bridges.retain(Bridge::joins);
    let largest = bridges.iter().map(|bridge| bridge.cells.len()).max()?;
    let low = bridges
        .iter()
        .map(|bridge| bridge.low_mm)
        .fold(f64::INFINITY, f64::min);
    // A floor that goes round is far larger than any bridge.
    if largest > (nx + ny) / 2 && bridges.len() <= 2 {
        return Some(Hold::Skin { height_mm: low });
    }
    let width_mm = bridges
        .iter()
        .map(|bridge| bridge.neck_mm(grid))
        .fold(f64::INFINITY, f64::min);
    Some(Hold::Tabs {
        count: bridges.len(),
        height_mm: low,
        width_mm,
    })
}

/// Thin metal between thick pieces.
#[derive(Clone, Debug)]
struct Bridge {
    cells: Vec<usize>,
    low_mm: f64,
    /// Thick pieces that it touches, with the cells that do.
    ends: Vec<(u32, Vec<usize>)>,
}

impl Default for Bridge {
    fn default() -> Self {
        Self {
            cells: vec![],
            low_mm: f64::INFINITY,
            ends: vec![],
        }
    }
}

impl Bridge {
    /// Keeps in mind that a cell lies beside a thick piece; 0 is none.
    fn touch(&mut self, piece: u32, cell: usize) {
        if piece == 0 {
            return;
        }
        match self.ends.iter_mut().find(|(own, _)| *own == piece) {
            Some((_, cells)) => cells.push(cell),
            None => self.ends.push((piece, vec![cell])),
        }
    }

    fn joins(&self) -> bool {
        self.ends.len() >= 2
    }

    /// Width at the narrowest across the way from one thick piece to the other, mm, to within a cell.
    fn neck_mm(&self, grid: &Grid) -> f64 {
        let [nx, _] = grid.size;
        let middle = |cells: &[usize]| {
            let sum = cells.iter().fold([0.0, 0.0], |sum: [f64; 2], at| {
                [sum[0] + (at % nx) as f64, sum[1] + (at / nx) as f64]
            });
            sum.map(|v| v / cells.len() as f64)
        };
        let [(_, first), (_, second), ..] = self.ends.as_slice() else {
            return 0.0;
        };
        let (a, b) = (middle(first), middle(second));
        let way = [(b[0] - a[0]).abs(), (b[1] - a[1]).abs()];
        let is_along_x = way[0] > way[1];
        let slices = |at: usize| if is_along_x { at % nx } else { at / nx };
        let mut widths: Vec<usize> = vec![];
        let from = self.cells.iter().map(|at| slices(*at)).min().unwrap_or(0);
        for at in &self.cells {
            let slice = slices(*at) - from;
            if slice >= widths.len() {
                widths.resize(slice + 1, 0);
            }
            widths[slice] += 1;
        }
        // The rim's cells may be metal by half only.
        let inner = if widths.len() >= 4 {
            &widths[1..widths.len() - 1]
        } else {
            &widths[..]
        };
        let least = inner.iter().copied().min().unwrap_or(0);
        let length = way[0].hypot(way[1]);
        let slant = if length > 0.0 {
            way[0].max(way[1]) / length
        } else {
            1.0
        };
        least as f64 * grid.cell_mm * slant
    }
}
