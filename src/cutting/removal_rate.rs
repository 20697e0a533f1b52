//! Metal removed in a time.

use std::f64::consts::PI;

use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::RemovalRate;

/// Returns the metal removed in a time by milling.
///
/// # Formula
///
/// ```text
/// Q = ap · ae · vf
/// ```
///
/// | symbol | meaning      | unit    | valid range |
/// |--------|--------------|---------|-------------|
/// | `Q`    | removal rate | cm³/min | result      |
/// | `ap`   | depth        | mm      | 0 and more  |
/// | `ae`   | stepover     | mm      | 0 to D      |
/// | `vf`   | table feed   | mm/min  | 0 and more  |
///
/// # Range of validity
///
/// Exact for a straight pass; the corner radius takes a little off.
///
/// # Source
///
/// Groover, *Fundamentals of Modern Manufacturing*, milling; Kalpakjian and Schmid (both from memory).
///
/// # Worked example
///
/// Kalpakjian, face milling (from memory): 3 mm deep, 60 mm wide, 600 mm/min give 108000 mm³/min.
///
/// ```
/// use millside::cutting::removal_rate::removal_rate;
/// use millside::quantity::mm;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_cm3_per_min;
/// let q = removal_rate(mm(3.0), mm(60.0), mm_per_min(600.0));
/// assert!((to_cm3_per_min(q) - 108.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn removal_rate(ap: Length, ae: Length, vf: Feed) -> RemovalRate {
    ap * ae * vf
}

/// Returns the metal removed in a time by drilling into the full.
///
/// # Formula
///
/// ```text
/// Q = π · D² · vf / 4
/// ```
///
/// | symbol | meaning      | unit    | valid range |
/// |--------|--------------|---------|-------------|
/// | `Q`    | removal rate | cm³/min | result      |
/// | `D`    | drill        | mm      | 0 and more  |
/// | `vf`   | feed         | mm/min  | 0 and more  |
///
/// # Range of validity
///
/// Once the point has gone in; no pilot hole.
///
/// # Source
///
/// Groover, *Fundamentals of Modern Manufacturing*, ch. 22 problem, 12.7 mm drill (attribution from memory).
///
/// # Worked example
///
/// That problem: 12.7 mm, 187.97 mm/min give 396.91 mm³/s.
///
/// ```
/// use millside::cutting::removal_rate::drilling_rate;
/// use millside::quantity::mm;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_cm3_per_min;
/// let q = drilling_rate(mm(12.7), mm_per_min(187.97));
/// assert!((to_cm3_per_min(q) * 1000.0 / 60.0 - 396.91).abs() < 0.1);
/// ```
///
/// # Errors
///
/// None.
pub fn drilling_rate(d: Length, vf: Feed) -> RemovalRate {
    PI * d * d * vf / 4.0
}
