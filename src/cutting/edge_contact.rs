//! The length of edge that cuts, and how its lead thins the chip.

use std::f64::consts::FRAC_PI_2;

use crate::quantity::Angle;
use crate::quantity::Length;
use crate::quantity::degree;
use crate::quantity::mm;
use crate::quantity::to_mm;
use crate::quantity::to_radian;

/// The edge of one tooth from its lowest point up to a depth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Length of edge in the metal, `b`.
    pub length: Length,
    /// Greatest sin κ along it: the thickest chip is `fz · sin φ` times this.
    pub steepest: f64,
    /// Mean sin κ along it: the mean chip is the flat tool's times this.
    pub mean: f64,
}

/// Returns the contact of an edge with a corner radius below a straight flank.
///
/// # Formula
///
/// ```text
/// b = r · acos(1 - ap / r)                       while ap < r
/// b = r · π/2 + (ap - r) / sin κ                 from there on
/// mean sin κ = ap / b
/// ```
///
/// | symbol | meaning              | unit | valid range |
/// |--------|----------------------|------|-------------|
/// | `b`    | edge in the metal    | mm   | result      |
/// | `r`    | corner radius; D/2 for a ball | mm | 0 to D/2 |
/// | `ap`   | depth                | mm   | > 0         |
/// | `κ`    | lead of the flank; 90 for an end mill, half the included angle for a chamfer mill | deg | > 0 to 90 |
///
/// # Range of validity
///
/// The helix is left out here; [`crate::cutting::helix`] adds it. With a corner radius the flank is taken as
/// upright, with a lead below 90 degrees the corner as sharp.
///
/// # Source
///
/// Plane geometry: along any edge ds · sin κ = dz, so the mean of sin κ is ap over b, and the chip's area
/// stays fz · sin φ · ap.
///
/// # Worked example
///
/// By hand: a 10 mm ball 2.5 mm deep has b = 5 · acos(0.5) = 5.23599 mm, mean sin κ = 0.47746,
/// steepest √(1 - 0.25) = 0.86603.
///
/// ```
/// use millside::cutting::edge_contact::contact;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// let ball = contact(mm(2.5), mm(5.0), degree(90.0));
/// assert!((to_mm(ball.length) - 5.23599).abs() < 1e-5);
/// assert!((ball.mean - 0.47746).abs() < 1e-5);
/// assert!((ball.steepest - 0.86603).abs() < 1e-5);
/// ```
///
/// # Errors
///
/// None; no depth is no contact.
pub fn contact(ap: Length, corner_radius: Length, lead: Angle) -> Contact {
    let (ap, r) = (to_mm(ap), to_mm(corner_radius));
    if ap <= 0.0 {
        return Contact {
            length: mm(0.0),
            steepest: 0.0,
            mean: 0.0,
        };
    }
    let (length, steepest) = if r > 0.0 && lead >= degree(90.0) {
        if ap < r {
            let cos = 1.0 - ap / r;
            (r * cos.acos(), (1.0 - cos * cos).sqrt())
        } else {
            (r * FRAC_PI_2 + ap - r, 1.0)
        }
    } else {
        let sin = to_radian(lead).sin();
        (ap / sin, sin)
    };
    Contact {
        length: mm(length),
        steepest,
        mean: ap / length,
    }
}

#[cfg(test)]
mod tests {
    use crate::cutting::edge_contact::contact;
    use crate::quantity::degree;
    use crate::quantity::mm;
    use crate::quantity::to_mm;

    #[test]
    fn a_flat_end_mill_cuts_over_its_depth() {
        let flat = contact(mm(3.0), mm(0.0), degree(90.0));
        assert!((to_mm(flat.length) - 3.0).abs() < 1e-12);
        assert!((flat.mean - 1.0).abs() < 1e-12 && (flat.steepest - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_forty_five_degree_lead_thins_by_the_root_of_a_half() {
        let face = contact(mm(2.0), mm(0.0), degree(45.0));
        assert!((face.mean - 0.5_f64.sqrt()).abs() < 1e-12);
        assert!((to_mm(face.length) - 8.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_corner_radius_joins_its_flank_without_a_step() {
        let below = contact(mm(0.999_999), mm(1.0), degree(90.0));
        let above = contact(mm(1.000_001), mm(1.0), degree(90.0));
        assert!((to_mm(above.length) - to_mm(below.length)).abs() < 2e-3);
        assert!((above.mean - below.mean).abs() < 1e-3);
    }
}
