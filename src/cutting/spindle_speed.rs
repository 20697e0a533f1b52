//! Spindle speed and surface speed.

use std::f64::consts::PI;

use crate::quantity::Length;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;

/// Returns the spindle speed that gives a surface speed at the tool's periphery.
///
/// # Formula
///
/// ```text
/// n = vc / (π · D)
/// ```
///
/// | symbol | meaning       | unit  | valid range |
/// |--------|---------------|-------|-------------|
/// | `n`    | spindle speed | 1/min | result      |
/// | `vc`   | surface speed | m/min | 0 and more  |
/// | `D`    | diameter that cuts | mm | > 0       |
///
/// # Range of validity
///
/// Exact (kinematic). For a ball end above its equator pass the effective diameter.
///
/// # Source
///
/// Definition of peripheral speed; printed in M. P. Groover, *Fundamentals of Modern Manufacturing*.
///
/// # Worked example
///
/// Groover, drilling problem with a 10 mm drill (attribution from memory): 30 m/min, 10 mm give 954.9 rpm.
///
/// ```
/// use millside::cutting::spindle_speed::spindle_speed;
/// use millside::quantity::m_per_min;
/// use millside::quantity::mm;
/// use millside::quantity::to_rpm;
/// assert!((to_rpm(spindle_speed(m_per_min(30.0), mm(10.0))) - 954.9).abs() < 0.05);
/// ```
///
/// # Errors
///
/// None; a diameter of 0 gives an infinite speed.
pub fn spindle_speed(vc: SurfaceSpeed, d: Length) -> SpindleSpeed {
    vc / (PI * d)
}

/// Returns the surface speed at the tool's periphery.
///
/// # Formula
///
/// ```text
/// vc = π · D · n
/// ```
///
/// | symbol | meaning       | unit  | valid range |
/// |--------|---------------|-------|-------------|
/// | `vc`   | surface speed | m/min | result      |
/// | `D`    | diameter that cuts | mm | 0 and more |
/// | `n`    | spindle speed | 1/min | 0 and more  |
///
/// # Range of validity
///
/// Exact (kinematic); the feed, some hundredth of the surface speed, is left out.
///
/// # Source
///
/// H. El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 189.
///
/// # Worked example
///
/// El-Hofy, p. 189: 30 mm at 150 rpm give 14.13 m/min (printed with π = 3.14).
///
/// ```
/// use millside::cutting::spindle_speed::surface_speed;
/// use millside::quantity::mm;
/// use millside::quantity::rpm;
/// use millside::quantity::to_m_per_min;
/// assert!((to_m_per_min(surface_speed(rpm(150.0), mm(30.0))) - 14.13).abs() < 0.01);
/// ```
///
/// # Errors
///
/// None.
pub fn surface_speed(n: SpindleSpeed, d: Length) -> SurfaceSpeed {
    PI * d * n
}
