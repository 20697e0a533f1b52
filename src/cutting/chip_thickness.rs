//! Chip thickness over the arc that a tooth runs through.
//!
//! The angle φ is counted from the side where the undeformed chip has no thickness.

use std::f64::consts::FRAC_PI_2;
use std::f64::consts::PI;

use crate::quantity::Angle;
use crate::quantity::Length;
use crate::quantity::radian;
use crate::quantity::to_radian;
use crate::quantity::to_ratio;

/// Returns the angle through which a tooth is in the metal.
///
/// # Formula
///
/// ```text
/// φ = acos(1 - 2 · ae / D)
/// ```
///
/// | symbol | meaning          | unit | valid range |
/// |--------|------------------|------|-------------|
/// | `φ`    | engagement angle | deg  | 0 to 180    |
/// | `ae`   | stepover         | mm   | 0 to D      |
/// | `D`    | diameter that cuts | mm | > 0         |
///
/// # Range of validity
///
/// A straight wall on one side of the tool. More than D is a full slot (180 degrees). In an inside corner
/// the true angle is larger.
///
/// # Source
///
/// W. Dietrich, J. Tschätsch, *Praxis der Zerspantechnik*, 11th ed. 2014, formulas as transcribed in a public script.
///
/// # Worked example
///
/// Computed from that formula outside this program: 3 mm, stepover 0.25 mm give 33.557 degrees.
///
/// ```
/// use millside::cutting::chip_thickness::engagement;
/// use millside::quantity::mm;
/// use millside::quantity::to_degree;
/// assert!((to_degree(engagement(mm(0.25), mm(3.0))) - 33.557).abs() < 1e-3);
/// ```
///
/// # Errors
///
/// None.
pub fn engagement(ae: Length, d: Length) -> Angle {
    let share = to_ratio(ae / d).clamp(0.0, 1.0);
    radian((1.0 - 2.0 * share).acos())
}

/// Returns the greatest chip thickness of a tooth.
///
/// # Formula
///
/// ```text
/// hmax = fz · sin φ · sin κ      while ae < D/2
/// hmax = fz · sin κ              from D/2 on
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `hmax` | thickest chip      | mm   | result      |
/// | `fz`   | chip load          | mm   | 0 and more  |
/// | `φ`    | engagement, [`engagement`] | deg | 0 to 180 |
/// | `κ`    | lead of the edge against the feed; 90 for an end mill | deg | > 0 to 90 |
///
/// # Range of validity
///
/// Circular tooth path, fz far below D. The short form 2 fz √(ae/D) of many texts is 5 % high at ae/D = 0.1
/// and wrong beyond a half; it is not used.
///
/// # Source
///
/// El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 174, sect. 6.3.1 (formula).
///
/// # Worked example
///
/// Computed from that formula outside this program: ae/D = 0.1 gives fz / 1.6667.
///
/// ```
/// use millside::cutting::chip_thickness::thickest;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// let hmax = thickest(mm(0.05), mm(1.0), mm(10.0), degree(90.0));
/// assert!((to_mm(hmax) - 0.03).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn thickest(fz: Length, ae: Length, d: Length, lead: Angle) -> Length {
    let phi = to_radian(engagement(ae, d)).min(FRAC_PI_2);
    fz * phi.sin() * to_radian(lead).sin()
}

/// Returns the chip thickness as the mean over the engaged arc.
///
/// # Formula
///
/// ```text
/// hm = fz · (2 · ae / D) / φ · sin κ
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `hm`   | mean chip          | mm   | result      |
/// | `fz`   | chip load          | mm   | 0 and more  |
/// | `ae`   | stepover           | mm   | > 0 to D    |
/// | `D`    | diameter that cuts | mm   | > 0         |
/// | `φ`    | engagement, [`engagement`] | rad | > 0 to π |
/// | `κ`    | lead of the edge   | deg  | > 0 to 90   |
///
/// # Range of validity
///
/// As [`thickest`]. The root form fz √(ae/D) and half the thickest chip, both in print, agree within 4 % at
/// ae/D = 0.1 but not in a slot; this is the exact mean of fz sin φ.
///
/// # Source
///
/// Dietrich, Tschätsch, *Praxis der Zerspantechnik*, 11th ed. 2014, formulas as transcribed in a public script.
///
/// # Worked example
///
/// Computed from that formula outside this program: a slot gives 2/π = 0.63662 of fz.
///
/// ```
/// use millside::cutting::chip_thickness::mean;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// let hm = mean(mm(0.1), mm(6.0), mm(6.0), degree(90.0));
/// assert!((to_mm(hm) - 0.063662).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None; no stepover gives no chip.
pub fn mean(fz: Length, ae: Length, d: Length, lead: Angle) -> Length {
    let share = to_ratio(ae / d).clamp(0.0, 1.0);
    let phi = to_radian(engagement(ae, d));
    if phi <= 0.0 {
        return fz * 0.0;
    }
    fz * (2.0 * share / phi) * to_radian(lead).sin()
}

/// Returns where a tooth goes in and comes out when the tool's centre runs along the middle of the cut.
///
/// # Formula
///
/// ```text
/// φ1 = 90° - asin(ae / D)      φ2 = 90° + asin(ae / D)
/// ```
///
/// | symbol | meaning          | unit | valid range |
/// |--------|------------------|------|-------------|
/// | `φ1`   | where a tooth goes in | deg | result, 0 to 90 |
/// | `φ2`   | where it comes out    | deg | result, 90 to 180 |
/// | `ae`   | width of the cut | mm   | 0 to D      |
/// | `D`    | diameter that cuts | mm | > 0         |
///
/// # Range of validity
///
/// A pass over the middle of a strip that is narrower than the tool. The chip is nowhere thinner than at the
/// edges of the strip: a centred pass has no thin chip to begin or end with, and its whole load comes at once.
///
/// # Source
///
/// Plane geometry: a chord of the circle, as long as the strip is wide.
///
/// # Worked example
///
/// By hand: 10 mm wide under a tool of 20 mm: asin(0.5) = 30 degrees, from 60 to 120 degrees.
///
/// ```
/// use millside::cutting::chip_thickness::centred;
/// use millside::quantity::mm;
/// use millside::quantity::to_degree;
/// let (from, to) = centred(mm(10.0), mm(20.0));
/// assert!((to_degree(from) - 60.0).abs() < 1e-9);
/// assert!((to_degree(to) - 120.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None; wider than the tool counts as a full slot.
pub fn centred(ae: Length, d: Length) -> (Angle, Angle) {
    let half = to_ratio(ae / d).clamp(0.0, 1.0).asin();
    (radian(FRAC_PI_2 - half), radian(FRAC_PI_2 + half))
}

/// Returns the chip thickness as the mean over an arc that lies anywhere, such as under a centred face mill.
///
/// # Formula
///
/// ```text
/// hm = fz · (cos φ1 - cos φ2) / (φ2 - φ1) · sin κ
/// ```
///
/// | symbol | meaning          | unit | valid range |
/// |--------|------------------|------|-------------|
/// | `hm`   | mean chip        | mm   | result      |
/// | `fz`   | chip load        | mm   | 0 and more  |
/// | `φ1`   | where a tooth goes in  | deg | 0 to φ2 |
/// | `φ2`   | where it comes out     | deg | φ1 to 180 |
/// | `κ`    | lead of the edge | deg  | > 0 to 90   |
///
/// # Range of validity
///
/// As [`thickest`].
///
/// # Source
///
/// Integral of fz sin φ; own derivation, agrees with [`mean`] when φ1 = 0.
///
/// # Worked example
///
/// By hand: from 60 to 120 degrees, (0.5 + 0.5) / (π / 3) = 0.95493 of fz.
///
/// ```
/// use millside::cutting::chip_thickness::mean_between;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// let hm = mean_between(mm(0.1), degree(60.0), degree(120.0), degree(90.0));
/// assert!((to_mm(hm) - 0.095493).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None; an empty arc gives no chip.
pub fn mean_between(fz: Length, from: Angle, to: Angle, lead: Angle) -> Length {
    let from = to_radian(from).clamp(0.0, PI);
    let to = to_radian(to).clamp(0.0, PI);
    if to <= from {
        return fz * 0.0;
    }
    fz * ((from.cos() - to.cos()) / (to - from)) * to_radian(lead).sin()
}

/// Returns by how much the chip load may grow in a narrow cut for the same thickest chip.
///
/// # Formula
///
/// ```text
/// k = fz / hmax = 1 / sin φ      while ae < D/2, else 1
/// ```
///
/// | symbol | meaning          | unit | valid range |
/// |--------|------------------|------|-------------|
/// | `k`    | feed compensation | -   | 1 and more  |
/// | `ae`   | stepover         | mm   | > 0         |
/// | `D`    | diameter that cuts | mm | > 0         |
///
/// # Range of validity
///
/// As [`thickest`]; the depth of the flute and the machine set other bounds long before ae nears 0.
///
/// # Source
///
/// El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 174, sect. 6.3.1, turned round.
///
/// # Worked example
///
/// Computed from that formula outside this program: ae/D = 0.05 gives 2.2942.
///
/// ```
/// use millside::cutting::chip_thickness::feed_compensation;
/// use millside::quantity::mm;
/// assert!((feed_compensation(mm(0.5), mm(10.0)) - 2.2942).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None; no stepover gives infinity.
pub fn feed_compensation(ae: Length, d: Length) -> f64 {
    1.0 / to_radian(engagement(ae, d)).min(FRAC_PI_2).sin()
}
