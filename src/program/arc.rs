//! Arcs and helices: centre, sweep, length and exact extents.

use std::f64::consts::FRAC_PI_2;
use std::f64::consts::TAU;

use crate::program::bounds::Bounds;

/// Plane of arcs and cycles; its axes in right-handed order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Plane {
    /// G17: X, Y; normal Z.
    #[default]
    Xy,
    /// G18: Z, X; normal Y.
    Zx,
    /// G19: Y, Z; normal X.
    Yz,
}

impl Plane {
    /// The code that selects it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Xy => "G17",
            Self::Zx => "G18",
            Self::Yz => "G19",
        }
    }

    /// First axis, second axis, normal; 0 is X.
    pub fn axes(self) -> [usize; 3] {
        match self {
            Self::Xy => [0, 1, 2],
            Self::Zx => [2, 0, 1],
            Self::Yz => [1, 2, 0],
        }
    }
}

/// An arc in a plane, or a helix when its third axis moves too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Plane of the circle.
    pub plane: Plane,
    /// Centre along the plane's first and second axis, mm.
    pub centre: [f64; 2],
    /// Radius at the start, mm, greater than zero.
    pub radius_mm: f64,
    /// Angle of the start, radians from the first axis.
    pub start_rad: f64,
    /// Angle swept, radians, positive counterclockwise seen from the positive normal.
    pub sweep_rad: f64,
}

impl Arc {
    /// The arc about a centre from one point to another, the points given in the plane.
    ///
    /// Ends that are equal make a full turn (NISTIR 6556, 3.5.3.2).
    pub fn about(
        plane: Plane,
        centre: [f64; 2],
        from: [f64; 2],
        to: [f64; 2],
        is_clockwise: bool,
    ) -> Self {
        let radius_mm = (from[0] - centre[0]).hypot(from[1] - centre[1]);
        let start_rad = (from[1] - centre[1]).atan2(from[0] - centre[0]);
        let end = (to[1] - centre[1]).atan2(to[0] - centre[0]);
        let turn = if from == to {
            TAU
        } else {
            let ccw = (end - start_rad).rem_euclid(TAU);
            let turn = if is_clockwise { TAU - ccw } else { ccw };
            if turn <= 0.0 { TAU } else { turn }
        };
        Self {
            plane,
            centre,
            radius_mm,
            start_rad,
            sweep_rad: if is_clockwise { -turn } else { turn },
        }
    }

    /// The centre of an arc of signed radius; negative means more than half a turn.
    ///
    /// ```text
    /// h = sqrt(R² − d²/4);  centre = m + s·h·n
    /// ```
    ///
    /// `m` is the middle of the chord, `d` its length, `n` the unit vector 90 degrees left of it, `s`
    /// is +1 for a short counterclockwise or a long clockwise arc. A chord longer than 2R is
    /// taken as a half turn; the caller has judged by how much.
    pub fn centre_of_radius(
        from: [f64; 2],
        to: [f64; 2],
        radius: f64,
        is_clockwise: bool,
    ) -> [f64; 2] {
        let d = [to[0] - from[0], to[1] - from[1]];
        let chord = d[0].hypot(d[1]);
        let h = (radius * radius - chord * chord / 4.0).max(0.0).sqrt();
        let side = if is_clockwise == (radius > 0.0) {
            -1.0
        } else {
            1.0
        };
        let left = [-d[1] / chord, d[0] / chord];
        [
            (from[0] + to[0]) / 2.0 + side * h * left[0],
            (from[1] + to[1]) / 2.0 + side * h * left[1],
        ]
    }

    /// Length of the path when the third axis moves by `along_mm` meanwhile.
    ///
    /// ```text
    /// L = sqrt((r·|sweep|)² + dc²)
    /// ```
    pub fn length_mm(&self, along_mm: f64) -> f64 {
        (self.radius_mm * self.sweep_rad.abs()).hypot(along_mm)
    }

    /// The point at a share of the sweep, 0 to 1, in the plane.
    pub fn at(&self, share: f64) -> [f64; 2] {
        let angle = self.start_rad + share * self.sweep_rad;
        [
            self.centre[0] + self.radius_mm * angle.cos(),
            self.centre[1] + self.radius_mm * angle.sin(),
        ]
    }

    /// Widens `bounds` by the circle's quadrant points that the arc passes. The ends are the caller's.
    pub fn widen(&self, bounds: &mut Bounds) {
        let [a, b, _] = self.plane.axes();
        let (r, [ca, cb]) = (self.radius_mm, self.centre);
        let sweep = self.sweep_rad.abs();
        for (quarter, axis, value) in [
            (0.0, a, ca + r),
            (1.0, b, cb + r),
            (2.0, a, ca - r),
            (3.0, b, cb - r),
        ] {
            let angle = quarter * FRAC_PI_2;
            let way = if self.sweep_rad > 0.0 {
                angle - self.start_rad
            } else {
                self.start_rad - angle
            };
            if way.rem_euclid(TAU) <= sweep {
                bounds.include_axis(axis, value);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn extents_agree_with_dense_sampling() {
        // Outside check: the arc as 40,001 points.
        for step in 0..48 {
            let from_angle = f64::from(step) * TAU / 48.0 + 0.01;
            for turn in 1..24 {
                for is_clockwise in [false, true] {
                    let to_angle = from_angle + f64::from(turn) * TAU / 24.0;
                    let from = [3.0 + 7.0 * from_angle.cos(), -2.0 + 7.0 * from_angle.sin()];
                    let to = [3.0 + 7.0 * to_angle.cos(), -2.0 + 7.0 * to_angle.sin()];
                    let arc = Arc::about(Plane::Xy, [3.0, -2.0], from, to, is_clockwise);
                    let mut exact = Bounds::EMPTY;
                    exact.include([from[0], from[1], 0.0]);
                    exact.include([to[0], to[1], 0.0]);
                    arc.widen(&mut exact);
                    let mut sampled = Bounds::EMPTY;
                    for i in 0..=2000 {
                        let p = arc.at(f64::from(i) / 2000.0);
                        sampled.include([p[0], p[1], 0.0]);
                    }
                    for axis in 0..2 {
                        // A sampled extreme lies at most r(1 - cos(step/2)) inside.
                        assert!((exact.min[axis] - sampled.min[axis]).abs() < 1e-5);
                        assert!((exact.max[axis] - sampled.max[axis]).abs() < 1e-5);
                    }
                }
            }
        }
    }

    #[test]
    fn radius_arcs_find_the_centre_of_the_report() {
        // NISTIR 6556, Table 10: centre (1.5, 7.8476) for G2 from (3,1) to (0,1), R 7.01.
        let centre = Arc::centre_of_radius([3.0, 1.0], [0.0, 1.0], 7.01, true);
        assert!((centre[0] - 1.5).abs() < 1e-9 && (centre[1] - 7.8476).abs() < 5e-5);
        // 3.5.3.1: a negative radius takes the long way.
        let long = Arc::centre_of_radius([0.0, 0.0], [10.0, 10.0], -10.0, true);
        assert!((long[0]).abs() < 1e-9 && (long[1] - 10.0).abs() < 1e-9);
        let arc = Arc::about(Plane::Xy, long, [0.0, 0.0], [10.0, 10.0], true);
        assert!((arc.sweep_rad + 1.5 * PI).abs() < 1e-12);
    }

    #[test]
    fn a_helix_is_longer_than_its_circle() {
        let arc = Arc::about(Plane::Xy, [0.0, 0.0], [10.0, 0.0], [-10.0, 0.0], false);
        let expected = ((10.0 * PI).powi(2) + 9.0).sqrt();
        assert!((arc.length_mm(-3.0) - expected).abs() < 1e-12);
    }
}
