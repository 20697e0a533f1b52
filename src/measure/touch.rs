//! Touching edges: what to set at the machine, as a small sum.

use crate::job::stock::StockSize;
use crate::job::typed::plain;
use crate::job::zero::Across;
use crate::job::zero::Along;
use crate::job::zero::ZeroPoint;
use crate::measure::backlash::Axis;

/// One touch and the number to set there.
#[derive(Clone, Debug, PartialEq)]
pub struct TouchSum {
    /// `X` or `Y`.
    pub axis: char,
    /// The edge that is touched.
    pub edge: &'static str,
    /// Place of that edge when the zero point is the origin, mm.
    pub edge_at_mm: f64,
    /// Radius of what touches, with the sign of the side it stands on, mm.
    pub radius_mm: f64,
    /// Where the opposite edge must be found afterwards, finder included, when the zero
    /// lies in the middle: a check of the measured width, mm.
    pub opposite_mm: Option<f64>,
}

impl TouchSum {
    /// What the axis must show at the touch, mm.
    pub fn set_mm(&self) -> f64 {
        self.edge_at_mm + self.radius_mm
    }

    /// The sum in words; `backlash_mm` is what the axis loses as it turns round between the two edges, and the second reading lies
    /// nearer to the first by it ([`crate::measure::backlash::Opposite::backlash_mm`]).
    pub fn words(&self, backlash_mm: f64) -> String {
        let sign = if self.radius_mm < 0.0 { '-' } else { '+' };
        let mut words = format!(
            "{}: {} edge, from outside: {} {sign} {} = set {} to {} mm",
            self.axis,
            self.edge,
            plain(self.edge_at_mm),
            plain(self.radius_mm.abs()),
            self.axis,
            plain(self.set_mm())
        );
        if let Some(opposite) = self.opposite_mm {
            let sum = if backlash_mm > 0.0 {
                format!(
                    "{} - {} backlash = {}",
                    plain(opposite),
                    plain(backlash_mm),
                    plain(opposite - backlash_mm)
                )
            } else {
                plain(opposite)
            };
            words.push_str(&format!("; the other edge then reads {sum} mm"));
        }
        words
    }
}

/// The touches that set X and Y to `point`, each from the outside of the blank.
///
/// `finder_mm` is the diameter of what touches: the centre of the spindle then stands half of it
/// outside the edge (left and front: minus, right and back: plus).
pub fn sums(point: ZeroPoint, size: StockSize, finder_mm: f64) -> [TouchSum; 2] {
    let radius = finder_mm / 2.0;
    let middle = |axis: char, edge: &'static str, length: f64| TouchSum {
        axis,
        edge,
        edge_at_mm: -length / 2.0,
        radius_mm: -radius,
        opposite_mm: Some(length / 2.0 + radius),
    };
    let side = |axis: char, edge: &'static str, sign: f64| TouchSum {
        axis,
        edge,
        edge_at_mm: 0.0,
        radius_mm: sign * radius,
        opposite_mm: None,
    };
    let x = match point.across {
        Across::Left => side('X', "left", -1.0),
        Across::Center => middle('X', "left", size.x_mm),
        Across::Right => side('X', "right", 1.0),
    };
    let y = match point.along {
        Along::Front => side('Y', "front", -1.0),
        Along::Center => middle('Y', "front", size.y_mm),
        Along::Back => side('Y', "back", 1.0),
    };
    [x, y]
}

/// What an axis reads at its left or front edge, then at its right or back one, when the zero is set: finder included, backlash not.
pub fn reads(axis: Axis, point: ZeroPoint, size: StockSize, finder_mm: f64) -> [f64; 2] {
    let (share, length) = match axis {
        Axis::X => (point.share()[0], size.x_mm),
        Axis::Y => (point.share()[1], size.y_mm),
    };
    let radius = finder_mm / 2.0;
    [-share * length - radius, (1.0 - share) * length + radius]
}

#[cfg(test)]
mod tests {
    use super::*;

    const BLANK: StockSize = StockSize {
        x_mm: 120.0,
        y_mm: 90.0,
        z_mm: 12.0,
    };

    // By hand: a 6 mm finder against the left edge of a blank whose zero is that edge has its
    // centre 3 mm to the left of it.
    #[test]
    fn a_corner_zero_is_set_to_half_the_finder_outside_of_it() {
        let [x, y] = sums("left-front-top".parse().unwrap(), BLANK, 6.0);
        assert_eq!((x.set_mm(), y.set_mm()), (-3.0, -3.0));
        let [x, y] = sums("right-back-top".parse().unwrap(), BLANK, 6.0);
        assert_eq!((x.set_mm(), y.set_mm()), (3.0, 3.0));
    }

    // By hand: 120 / 2 + 6 / 2 = 63.
    #[test]
    fn a_zero_in_the_middle_says_where_the_other_edge_must_be() {
        let [x, _] = sums("5+".parse().unwrap(), BLANK, 6.0);
        assert_eq!((x.set_mm(), x.opposite_mm), (-63.0, Some(63.0)));
        assert_eq!(
            x.words(0.0),
            "X: left edge, from outside: -60 - 3 = set X to -63 mm; the other edge then reads 63 mm"
        );
        // 63 - 0.07 = 62.93: the readings lie nearer together by the backlash.
        assert!(
            x.words(0.07)
                .ends_with("; the other edge then reads 63 - 0.07 backlash = 62.93 mm")
        );
    }

    // By hand: zero at the right edge of 120 mm, a finder of 6 mm: -120 - 3 and 3; in the middle of 90 mm: -45 - 3 and 45 + 3.
    #[test]
    fn both_edges_are_expected_from_the_zero() {
        let right: ZeroPoint = "right-front-top".parse().unwrap();
        assert_eq!(reads(Axis::X, right, BLANK, 6.0), [-123.0, 3.0]);
        assert_eq!(reads(Axis::Y, right, BLANK, 6.0), [-3.0, 93.0]);
        let middle: ZeroPoint = "5+".parse().unwrap();
        assert_eq!(reads(Axis::Y, middle, BLANK, 6.0), [-48.0, 48.0]);
    }
}
