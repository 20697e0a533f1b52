//! Drilling after a pilot hole: the lips cut a ring, and the chisel edge cuts nothing.

use crate::cutting::drilling::Point;
use crate::quantity::Length;
use crate::quantity::to_mm;

/// Returns the handbook's factors of a drill that opens a pilot hole.
///
/// # Formula
///
/// ```text
/// A = (1 - p²) / (1 + p)^0.2,   B = (1 - p) / (1 + p)^0.2,   J = 0,   p = d / D
/// ```
///
/// | symbol | meaning                      | unit | valid range |
/// |--------|------------------------------|------|-------------|
/// | `A`, `B`, `J` | factors for torque, thrust and chisel edge, [`Point`] | - | result |
/// | `d`    | pilot hole                   | mm   | chisel edge of the drill to `D` |
/// | `D`    | drill                        | mm   | > 0         |
///
/// # Range of validity
///
/// A pilot hole at least as wide as the chisel edge, 0.18 of a standard drill. The terms of the chisel edge, `3.2 p^1.8` in `A`,
/// `2.2 p^0.8` in `B` and `p²` in `J`, are left out: with them the factors are those that the handbook prints for a drill into the full.
///
/// # Source
///
/// Shaw and Oxford, *On the drilling of metals II*, Trans. ASME 79 (1957) (from memory); with the terms of the chisel edge it gives the
/// factors of *Machinery's Handbook*, 31st ed., p. 1152, table 7.
///
/// # Worked example
///
/// By hand: a pilot hole of 0.3 of the drill: 0.91 / 1.3^0.2 = 0.863 and 0.7 / 1.3^0.2 = 0.664.
///
/// ```
/// use millside::cutting::opening::ring;
/// use millside::quantity::mm;
/// let point = ring(mm(3.0), mm(10.0));
/// assert!((point.a - 0.863).abs() < 0.001 && (point.b - 0.664).abs() < 0.001);
/// ```
///
/// # Errors
///
/// None.
pub fn ring(pilot: Length, drill: Length) -> Point {
    let p = (to_mm(pilot) / to_mm(drill)).clamp(0.0, 1.0);
    let lips = (1.0 + p).powf(-0.2);
    Point {
        chisel: 0.0,
        a: (1.0 - p * p) * lips,
        b: (1.0 - p) * lips,
        j: 0.0,
    }
}
