//! Run-out: one tooth stands out and cuts more than its share.

use crate::quantity::Length;

/// Returns the chip load of the tooth that stands out most.
///
/// # Formula
///
/// ```text
/// fz' = fz + t      at most z · fz;  with one flute fz
/// ```
///
/// | symbol | meaning                                | unit | valid range |
/// |--------|----------------------------------------|------|-------------|
/// | `fz'`  | chip load of the worst tooth           | mm   | result      |
/// | `fz`   | chip load                              | mm   | 0 and more  |
/// | `t`    | run-out at the tool, total indicator reading | mm | 0 and more |
/// | `z`    | flutes                                 | -    | 1 and more  |
///
/// # Range of validity
///
/// The worst case: the high tooth follows the lowest one by the whole reading. No tooth can cut more than
/// the feed of a turn.
///
/// # Source
///
/// Geometry; own bound.
///
/// # Worked example
///
/// By hand: 0.02 mm with 0.015 mm of run-out and 2 flutes: 0.035 mm; with 0.03 mm: 0.04 mm.
///
/// ```
/// use millside::cutting::run_out::worst_chip_load;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(worst_chip_load(mm(0.02), mm(0.015), 2)) - 0.035).abs() < 1e-12);
/// assert!((to_mm(worst_chip_load(mm(0.02), mm(0.03), 2)) - 0.04).abs() < 1e-12);
/// assert!((to_mm(worst_chip_load(mm(0.02), mm(0.03), 1)) - 0.02).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn worst_chip_load(fz: Length, run_out: Length, z: u32) -> Length {
    if z <= 1 {
        return fz;
    }
    let all = fz * f64::from(z);
    let worst = fz + run_out;
    if worst < all { worst } else { all }
}

/// Returns the width of a slot cut by a tool that runs out.
///
/// # Formula
///
/// ```text
/// w = D + t
/// ```
///
/// | symbol | meaning       | unit | valid range |
/// |--------|---------------|------|-------------|
/// | `w`    | width of slot | mm   | result      |
/// | `D`    | tool          | mm   | > 0         |
/// | `t`    | run-out, total indicator reading | mm | 0 and more |
///
/// # Range of validity
///
/// One flute that stands outward by half the reading; the worst case for more.
///
/// # Source
///
/// Geometry.
///
/// # Worked example
///
/// By hand: 6 mm and 0.02 mm give 6.02 mm.
///
/// ```
/// use millside::cutting::run_out::slot_width;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(slot_width(mm(6.0), mm(0.02))) - 6.02).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn slot_width(d: Length, run_out: Length) -> Length {
    d + run_out
}
