//! The corner between two blocks: how fast, and what the rounding takes from the legs.

/// A corner that is taken without a stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Turn {
    /// Nothing to slow down for.
    Straight,
    /// The vertex of a finely divided curve: only the speed is bounded, mm/s.
    Smooth(f64),
    /// A rounded corner.
    Rounded {
        /// Speed along the rounding, mm/s.
        v: f64,
        /// Length of the rounding, mm.
        length: f64,
        /// What it takes from each leg, mm.
        cut: f64,
    },
    /// A stop.
    Stop,
}

/// Sine of half a turn below which it is straight on; f64 keeps about 1e-9 in the difference form.
const STRAIGHT: f64 = 1e-9;

/// Half of the turn between two unit directions: sine and cosine.
///
/// From the difference, `|u2 - u1|/2 = sin h`: the arc cosine of the scalar product loses all digits
/// below 1e-8 rad.
fn half_turn(u1: [f64; 3], u2: [f64; 3]) -> (f64, f64) {
    let d = [u2[0] - u1[0], u2[1] - u1[1], u2[2] - u1[2]];
    let sin = ((d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt() / 2.0).min(1.0);
    (sin, (1.0 - sin * sin).max(0.0).sqrt())
}

/// Normal of the plane of two directions; none when they are one line.
pub fn normal(u1: [f64; 3], u2: [f64; 3]) -> Option<[f64; 3]> {
    let n = [
        u1[1] * u2[2] - u1[2] * u2[1],
        u1[2] * u2[0] - u1[0] * u2[2],
        u1[0] * u2[1] - u1[1] * u2[0],
    ];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    (length > 1e-12).then(|| n.map(|v| v / length))
}

/// How a corner is taken.
///
/// # Formula
///
/// With h half the turn, e the tolerance, a the acceleration, V the feed:
///
/// ```text
/// R_tol   = e·cos h/(1 - cos h)          the arc's nearest point lies e from the vertex
/// R_curve = (L1 + L2)/(4·tan h)          the circle that a fine polygon stands for
/// R       = min(R_tol, R_curve, V²/a)
/// v       = sqrt(a·R),  rounding R·2h long,  each leg shorter by R·tan h
/// ```
///
/// When `R_curve <= R_tol` the vertex belongs to a curve: no rounding, only its speed. Where that curve is so
/// wide that it bounds nothing (`R_curve >= V²/a`), it is straight on: an arc whose centre was rounded meets its
/// line under a turn of a fraction of a degree, and the line is no chord of a curve for that.
///
/// # Source
///
/// Own derivation of the tangent arc; the same arc as Kunz and Stilman 2012 (module head).
pub fn turn(
    u1: [f64; 3],
    u2: [f64; 3],
    lengths: [f64; 2],
    tolerance: f64,
    v_max: f64,
    a: impl FnOnce() -> f64,
) -> Turn {
    let (sin, cos) = half_turn(u1, u2);
    if sin < STRAIGHT {
        return Turn::Straight;
    }
    if cos < 1e-9 {
        return Turn::Stop;
    }
    let a = a();
    let tan = sin / cos;
    // 1 - cos without cancellation.
    let by_tolerance = tolerance * cos * (1.0 + cos) / (sin * sin);
    let by_curve = (lengths[0] + lengths[1]) / (4.0 * tan);
    let enough = v_max * v_max / a;
    if by_curve <= by_tolerance {
        if by_curve >= enough {
            return Turn::Straight;
        }
        return Turn::Smooth((a * by_curve).sqrt());
    }
    let by_leg = lengths[0].min(lengths[1]) / (2.0 * tan);
    let radius = by_tolerance.min(by_leg).min(enough);
    Turn::Rounded {
        v: (a * radius).sqrt(),
        length: 2.0 * radius * sin.asin(),
        cut: radius * tan,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_right_angle_has_the_radius_of_the_formula() {
        // R = 2.41421 e; a = 200, e = 0.01: 2.197 mm/s.
        let found = turn(
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [50.0, 50.0],
            0.01,
            20.0,
            || 200.0,
        );
        let Turn::Rounded { v, cut, length } = found else {
            panic!("{found:?}");
        };
        assert!((v - 2.197_368).abs() < 1e-5);
        assert!((cut - 0.024_142).abs() < 1e-6);
        assert!((length - 0.024_142 * std::f64::consts::FRAC_PI_2).abs() < 1e-5);
    }

    #[test]
    fn straight_on_is_free_and_back_is_a_stop() {
        let x = [1.0, 0.0, 0.0];
        assert_eq!(turn(x, x, [1.0, 1.0], 0.01, 20.0, || 200.0), Turn::Straight);
        assert_eq!(
            turn(x, [-1.0, 0.0, 0.0], [1.0, 1.0], 0.01, 20.0, || 200.0),
            Turn::Stop
        );
    }
}
