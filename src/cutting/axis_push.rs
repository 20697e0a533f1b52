//! What an axis motor can push with.

use std::f64::consts::PI;

use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Torque;

/// Returns the push of a screw at a motor torque.
///
/// # Formula
///
/// ```text
/// F = 2π · η · T / p
/// ```
///
/// | symbol | meaning                              | unit | valid range |
/// |--------|--------------------------------------|------|-------------|
/// | `F`    | push at the nut                      | N    | result      |
/// | `η`    | efficiency of the screw: ball 0.9, trapezoidal 0.2 to 0.5 | - | 0 to 1 |
/// | `T`    | torque of the motor at that speed    | N m  | 0 and more  |
/// | `p`    | lead of the screw                    | mm   | > 0         |
///
/// # Range of validity
///
/// The torque of a stepping motor falls with speed: the holding torque is its value at rest, an upper bound.
///
/// # Source
///
/// Work of one turn: 2π T in, F p out; common textbook relation (from memory).
///
/// # Worked example
///
/// By hand: 1 N m, lead 5 mm, 0.9: 2π · 0.9 / 0.005 = 1130.97 N.
///
/// ```
/// use millside::cutting::axis_push::screw_push;
/// use millside::quantity::mm;
/// use millside::quantity::newton_metre;
/// use millside::quantity::to_newton;
/// assert!((to_newton(screw_push(newton_metre(1.0), 0.9, mm(5.0))) - 1130.97).abs() < 0.01);
/// ```
///
/// # Errors
///
/// None; a lead of 0 gives infinity.
pub fn screw_push(torque: Torque, efficiency: f64, lead: Length) -> Force {
    2.0 * PI * efficiency * uom::si::f64::Energy::from(torque) / lead
}

/// Returns the share of an axis motor's push that a cut takes.
///
/// # Formula
///
/// ```text
/// s = (F + Ff) / Fm
/// ```
///
/// | symbol | meaning                          | unit | valid range |
/// |--------|----------------------------------|------|-------------|
/// | `s`    | share                            | -    | result      |
/// | `F`    | force of the cut along the axis  | N    | 0 and more  |
/// | `Ff`   | friction of ways, gibs and screw | N    | 0 and more  |
/// | `Fm`   | push at which the motor loses steps | N | > 0         |
///
/// # Range of validity
///
/// Steady force. Without position feedback a lost step is not noticed: half is the bound that is used.
///
/// # Source
///
/// Definition; the half is common practice, no source.
///
/// # Worked example
///
/// By hand: 60 N and 40 N of friction against 200 N are a half.
///
/// ```
/// use millside::cutting::axis_push::share;
/// use millside::quantity::newton;
/// assert!((share(newton(60.0), newton(40.0), newton(200.0)) - 0.5).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None; no push gives infinity.
pub fn share(force: Force, friction: Force, push: Force) -> f64 {
    crate::quantity::to_ratio((force + friction) / push)
}
