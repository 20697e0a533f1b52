//! From the program's numbers to places in the blank.

use crate::job::stock::StockSize;
use crate::job::zero::ZeroPoint;
use crate::program::summary::Units;

/// Which way the part would lie upside down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flip {
    /// Turned over about the X axis: back becomes front.
    AboutX,
    /// Turned over about the Y axis: right becomes left.
    AboutY,
}

impl Flip {
    /// Word used in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::AboutX => "about-x",
            Self::AboutY => "about-y",
        }
    }
}

/// How the program would lie on the blank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// The point that the program calls zero.
    pub zero: ZeroPoint,
    /// Where that point lies from the left front bottom of the blank when it is a point of the
    /// finished part, mm; `None` when it is a point of the blank.
    pub part_point_mm: Option<[f64; 3]>,
    /// Quarter turns counterclockwise seen from above, 0 to 3.
    pub quarter_turns: u8,
    /// Upside down.
    pub flipped: Option<Flip>,
    /// X and Y exchanged.
    pub swapped: bool,
    /// Factor on all numbers: 25.4 when mm are meant as inches, its inverse the other way.
    pub scale: f64,
}

impl Placement {
    /// The program as it stands with its zero at a point of the blank.
    pub fn plain(zero: ZeroPoint) -> Self {
        Self {
            zero,
            part_point_mm: None,
            quarter_turns: 0,
            flipped: None,
            swapped: false,
            scale: 1.0,
        }
    }

    /// Place of the zero from the left front bottom of the blank, mm.
    pub fn zero_at(&self, stock: StockSize) -> [f64; 3] {
        self.part_point_mm.unwrap_or_else(|| {
            let share = self.zero.share();
            [
                share[0] * stock.x_mm,
                share[1] * stock.y_mm,
                share[2] * stock.z_mm,
            ]
        })
    }

    /// A point of the program in the blank, from its left front bottom, mm.
    pub fn point(&self, stock: StockSize, p: [f64; 3]) -> [f64; 3] {
        let [mut x, mut y, z] = p.map(|v| v * self.scale);
        if self.swapped {
            (x, y) = (y, x);
        }
        for _ in 0..self.quarter_turns {
            (x, y) = (-y, x);
        }
        match self.flipped {
            // The tool still comes from above: only the plan is mirrored.
            Some(Flip::AboutX) => y = -y,
            Some(Flip::AboutY) => x = -x,
            None => {}
        }
        let zero = self.zero_at(stock);
        [zero[0] + x, zero[1] + y, zero[2] + z]
    }

    /// Height above the bottom of the blank of a Z of the program, mm.
    pub fn height(&self, stock: StockSize, z: f64) -> f64 {
        self.point(stock, [0.0, 0.0, z])[2]
    }

    /// A box of the program (least X, least Y, greatest X, greatest Y) in the blank.
    pub fn area(&self, stock: StockSize, area: [f64; 4]) -> [f64; 4] {
        let a = self.point(stock, [area[0], area[1], 0.0]);
        let b = self.point(stock, [area[2], area[3], 0.0]);
        [
            a[0].min(b[0]),
            a[1].min(b[1]),
            a[0].max(b[0]),
            a[1].max(b[1]),
        ]
    }

    /// Whether nothing but the zero is in question.
    pub fn is_plain(&self) -> bool {
        self.quarter_turns == 0 && self.flipped.is_none() && !self.swapped && self.scale == 1.0
    }

    /// The unit that the program's numbers would be in.
    pub fn units(&self, stated: Units) -> Units {
        if self.scale == 1.0 {
            stated
        } else if self.scale > 1.0 {
            Units::Inch
        } else {
            Units::Mm
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STOCK: StockSize = StockSize {
        x_mm: 120.0,
        y_mm: 90.0,
        z_mm: 12.0,
    };

    #[test]
    fn a_plain_zero_only_shifts() {
        let placement = Placement::plain("center-front-top".parse().unwrap());
        assert_eq!(placement.point(STOCK, [10.0, 5.0, -3.0]), [70.0, 5.0, 9.0]);
        assert_eq!(
            placement.area(STOCK, [-10.0, 0.0, 10.0, 20.0]),
            [50.0, 0.0, 70.0, 20.0]
        );
    }

    #[test]
    fn a_quarter_turn_takes_x_to_y() {
        let mut placement = Placement::plain("left-front-bottom".parse().unwrap());
        placement.quarter_turns = 1;
        assert_eq!(placement.point(STOCK, [10.0, 0.0, 0.0]), [0.0, 10.0, 0.0]);
        placement.quarter_turns = 2;
        assert_eq!(placement.point(STOCK, [10.0, 4.0, 0.0]), [-10.0, -4.0, 0.0]);
    }

    #[test]
    fn a_part_turned_over_about_x_keeps_its_x() {
        let mut placement = Placement::plain("left-front-bottom".parse().unwrap());
        placement.flipped = Some(Flip::AboutX);
        assert_eq!(placement.point(STOCK, [10.0, 4.0, 1.0]), [10.0, -4.0, 1.0]);
    }
}
