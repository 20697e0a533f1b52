//! The diameter that cuts: smaller than the nominal one near the tip of a rounded or pointed tool.

use crate::quantity::Angle;
use crate::quantity::Length;
use crate::quantity::mm;
use crate::quantity::to_mm;
use crate::quantity::to_radian;

/// Returns the greatest diameter that a ball end cuts with at a depth.
///
/// # Formula
///
/// ```text
/// De = 2 · √(ap · (D - ap))      while ap < D/2, else D
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `De`   | effective diameter | mm   | result      |
/// | `D`    | ball               | mm   | > 0         |
/// | `ap`   | depth              | mm   | 0 and more  |
///
/// # Range of validity
///
/// Flat surface across the axis; for a slope see [`ball_tilted`].
///
/// # Source
///
/// Plane geometry (chord of a circle).
///
/// # Worked example
///
/// By hand: 6 mm, 0.3 mm deep, 2 √(0.3 · 5.7) = 2.6153 mm.
///
/// ```
/// use millside::cutting::effective_diameter::ball;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(ball(mm(6.0), mm(0.3))) - 2.6153).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None; a negative depth cuts nothing.
pub fn ball(d: Length, ap: Length) -> Length {
    corner(d, d / 2.0, ap)
}

/// Returns the greatest diameter that a ball end cuts with when its axis leans against the surface.
///
/// # Formula
///
/// ```text
/// De = D · sin(β + acos(1 - 2 · ap / D))
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `De`   | effective diameter | mm   | result      |
/// | `D`    | ball               | mm   | > 0         |
/// | `ap`   | depth square to the surface | mm | 0 to D/2 |
/// | `β`    | lean of the axis, or slope of the surface | deg | 0 to 90 |
///
/// # Range of validity
///
/// Until the contact reaches the equator; from there on D.
///
/// # Source
///
/// Plane geometry.
///
/// # Worked example
///
/// By hand: 6 mm, 0.3 mm, 15 degrees, 6 · sin(15 + 25.842) = 3.9238 mm.
///
/// ```
/// use millside::cutting::effective_diameter::ball_tilted;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(ball_tilted(mm(6.0), mm(0.3), degree(15.0))) - 3.9238).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None.
pub fn ball_tilted(d: Length, ap: Length, tilt: Angle) -> Length {
    let share = (to_mm(ap) / to_mm(d)).clamp(0.0, 0.5);
    let reach = to_radian(tilt) + (1.0 - 2.0 * share).acos();
    d * reach.clamp(0.0, std::f64::consts::FRAC_PI_2).sin()
}

/// Returns the greatest diameter that a tool with a corner radius cuts with at a depth.
///
/// # Formula
///
/// ```text
/// De = D - 2 · r + 2 · √(r² - (r - ap)²)      while ap < r, else D
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `De`   | effective diameter | mm   | result      |
/// | `D`    | tool               | mm   | > 0         |
/// | `r`    | corner radius      | mm   | 0 to D/2    |
/// | `ap`   | depth              | mm   | 0 and more  |
///
/// # Range of validity
///
/// Flat surface across the axis.
///
/// # Source
///
/// Plane geometry; a radius of D/2 is the ball, of 0 the flat end mill.
///
/// # Worked example
///
/// By hand: 10 mm, radius 2 mm, 0.4 mm deep: 6 + 2 √(4 - 2.56) = 8.4 mm.
///
/// ```
/// use millside::cutting::effective_diameter::corner;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(corner(mm(10.0), mm(2.0), mm(0.4))) - 8.4).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn corner(d: Length, r: Length, ap: Length) -> Length {
    if ap >= r {
        return d;
    }
    let (r_mm, ap_mm) = (to_mm(r), to_mm(ap).max(0.0));
    d - 2.0 * r + mm(2.0 * (r_mm.powi(2) - (r_mm - ap_mm).powi(2)).sqrt())
}

/// Returns the greatest diameter that a chamfer mill or a drill point cuts with at a depth.
///
/// # Formula
///
/// ```text
/// De = dt + 2 · ap · tan(θ / 2)      at most D
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `De`   | effective diameter | mm   | result      |
/// | `dt`   | diameter at the tip | mm  | 0 to D      |
/// | `ap`   | depth from the tip | mm   | 0 and more  |
/// | `θ`    | included point angle | deg | > 0 to 180 |
/// | `D`    | tool               | mm   | > 0         |
///
/// # Range of validity
///
/// Exact for a straight edge.
///
/// # Source
///
/// Plane geometry.
///
/// # Worked example
///
/// By hand: sharp 90 degree tip, 2 mm deep, 4 mm across.
///
/// ```
/// use millside::cutting::effective_diameter::point;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(point(mm(6.0), mm(0.0), mm(2.0), degree(90.0))) - 4.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn point(d: Length, tip: Length, ap: Length, included: Angle) -> Length {
    let across = tip + 2.0 * ap * (to_radian(included) / 2.0).tan();
    if across < d { across } else { d }
}
