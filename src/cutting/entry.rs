//! How a tool gets into the metal: plunge, ramp, helix.

use std::f64::consts::PI;

use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::radian;
use crate::quantity::to_radian;
use crate::quantity::to_ratio;

/// Share of the side feed for a straight plunge of a centre-cutting tool; common practice, no source.
pub const PLUNGE_SHARE: f64 = 1.0 / 3.0;
/// Share of the side feed along a ramp or helix; common practice, no source.
pub const RAMP_SHARE: f64 = 0.5;
/// Usual ramp angle, degrees, the cautious end of 2 to 3; common practice, no source.
pub const RAMP_DEG: f64 = 2.0;

/// Returns the length of a ramp that reaches a depth.
///
/// # Formula
///
/// ```text
/// l = ap / tan α
/// ```
///
/// | symbol | meaning          | unit | valid range |
/// |--------|------------------|------|-------------|
/// | `l`    | length of ramp along the surface | mm | result |
/// | `ap`   | depth            | mm   | 0 and more  |
/// | `α`    | ramp angle       | deg  | > 0 to 90   |
///
/// # Range of validity
///
/// One straight ramp.
///
/// # Source
///
/// Plane geometry.
///
/// # Worked example
///
/// By hand: 0.5 mm at 2 degrees takes 14.318 mm.
///
/// ```
/// use millside::cutting::entry::ramp_length;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(ramp_length(mm(0.5), degree(2.0))) - 14.318).abs() < 1e-3);
/// ```
///
/// # Errors
///
/// None; an angle of 0 gives infinity.
pub fn ramp_length(ap: Length, angle: Angle) -> Length {
    ap / to_radian(angle).tan()
}

/// Returns the angle at which a helix goes down.
///
/// # Formula
///
/// ```text
/// α = atan( p / (π · (B - D)) )
/// ```
///
/// | symbol | meaning                  | unit | valid range |
/// |--------|--------------------------|------|-------------|
/// | `α`    | angle of the tool centre's path | deg | result |
/// | `p`    | depth per turn           | mm   | 0 and more  |
/// | `B`    | bore                     | mm   | > D         |
/// | `D`    | tool                     | mm   | > 0         |
///
/// # Range of validity
///
/// A bore up to 2 D leaves no core.
///
/// # Source
///
/// Plane geometry (developed helix).
///
/// # Worked example
///
/// By hand: 0.5 mm a turn, 10 mm bore, 6 mm tool: atan(0.5 / 12.566) = 2.2785 degrees.
///
/// ```
/// use millside::cutting::entry::helix_angle;
/// use millside::quantity::mm;
/// use millside::quantity::to_degree;
/// let angle = helix_angle(mm(0.5), mm(10.0), mm(6.0));
/// assert!((to_degree(angle) - 2.2785).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None; a bore no wider than the tool is a plunge, 90 degrees.
pub fn helix_angle(per_turn: Length, bore: Length, d: Length) -> Angle {
    if bore <= d {
        return radian(PI / 2.0);
    }
    radian(to_ratio(per_turn / (PI * (bore - d))).atan())
}

/// Returns how far a helix goes down in a turn.
///
/// # Formula
///
/// ```text
/// p = π · (B - D) · tan α
/// ```
///
/// | symbol | meaning                  | unit | valid range |
/// |--------|--------------------------|------|-------------|
/// | `p`    | depth per turn           | mm   | result      |
/// | `α`    | angle of the tool centre's path | deg | 0 to < 90 |
/// | `B`    | bore                     | mm   | > D         |
/// | `D`    | tool                     | mm   | > 0         |
///
/// # Range of validity
///
/// As [`helix_angle`], which it turns round.
///
/// # Source
///
/// Plane geometry (developed helix).
///
/// # Worked example
///
/// By hand: 10 mm bore, 6 mm tool, 2 degrees: 12.566 mm · 0.034921 = 0.43883 mm.
///
/// ```
/// use millside::cutting::entry::depth_per_turn;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(depth_per_turn(degree(2.0), mm(10.0), mm(6.0))) - 0.43883).abs() < 1e-5);
/// ```
///
/// # Errors
///
/// None; a bore no wider than the tool leaves no path, 0.
pub fn depth_per_turn(angle: Angle, bore: Length, d: Length) -> Length {
    if bore <= d {
        return bore * 0.0;
    }
    PI * (bore - d) * to_radian(angle).tan()
}

/// Returns the feed down the axis of a ramp or helix.
///
/// # Formula
///
/// ```text
/// vz = v · sin α
/// ```
///
/// | symbol | meaning              | unit   | valid range |
/// |--------|----------------------|--------|-------------|
/// | `vz`   | feed of the Z axis   | mm/min | result      |
/// | `v`    | feed along the path  | mm/min | 0 and more  |
/// | `α`    | angle of the path    | deg    | 0 to 90     |
///
/// # Range of validity
///
/// Exact.
///
/// # Source
///
/// Plane geometry.
///
/// # Worked example
///
/// By hand: 200 mm/min at 30 degrees go down at 100 mm/min.
///
/// ```
/// use millside::cutting::entry::feed_down;
/// use millside::quantity::degree;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_mm_per_min;
/// assert!((to_mm_per_min(feed_down(mm_per_min(200.0), degree(30.0))) - 100.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn feed_down(v: Feed, angle: Angle) -> Feed {
    v * to_radian(angle).sin()
}
