//! Table feed and chip load.

use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::SpindleSpeed;

/// Returns the table feed of a chip load.
///
/// # Formula
///
/// ```text
/// vf = fz · z · n
/// ```
///
/// | symbol | meaning       | unit   | valid range |
/// |--------|---------------|--------|-------------|
/// | `vf`   | table feed    | mm/min | result      |
/// | `fz`   | chip load     | mm     | 0 and more  |
/// | `z`    | flutes; 1 for a feed per turn | - | 1 and more |
/// | `n`    | spindle speed | 1/min  | 0 and more  |
///
/// # Range of validity
///
/// Exact (kinematic).
///
/// # Source
///
/// Shop notes *Milling Procedures*; the same in every textbook of the references.
///
/// # Worked example
///
/// Shop notes: 0.001 in, 2 flutes, 3056 rpm give 6.1 in/min (6.112).
///
/// ```
/// use millside::cutting::feed::table_feed;
/// use millside::quantity::inch;
/// use millside::quantity::rpm;
/// use millside::quantity::to_inch_per_min;
/// let vf = table_feed(inch(0.001), 2, rpm(3056.0));
/// assert!((to_inch_per_min(vf) - 6.112).abs() < 0.001);
/// ```
///
/// # Errors
///
/// None.
pub fn table_feed(fz: Length, z: u32, n: SpindleSpeed) -> Feed {
    fz * f64::from(z) * n
}

/// Returns the chip load of a table feed.
///
/// # Formula
///
/// ```text
/// fz = vf / (z · n)
/// ```
///
/// | symbol | meaning       | unit   | valid range |
/// |--------|---------------|--------|-------------|
/// | `fz`   | chip load     | mm     | result      |
/// | `vf`   | table feed    | mm/min | 0 and more  |
/// | `z`    | flutes        | -      | 1 and more  |
/// | `n`    | spindle speed | 1/min  | > 0         |
///
/// # Range of validity
///
/// Exact when all teeth run on one radius; see [`crate::cutting::run_out`].
///
/// # Source
///
/// As [`table_feed`], turned round.
///
/// # Worked example
///
/// S. Kalpakjian, S. Schmid, *Manufacturing Engineering and Technology*, face milling example (from memory):
/// 600 mm/min, 10 inserts, 100 rpm give 0.6 mm.
///
/// ```
/// use millside::cutting::feed::chip_load;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::rpm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(chip_load(mm_per_min(600.0), 10, rpm(100.0))) - 0.6).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None; no flutes or no speed give an infinite chip load.
pub fn chip_load(vf: Feed, z: u32, n: SpindleSpeed) -> Length {
    vf / (f64::from(z) * n)
}

/// Returns the spindle speed at which a table feed gives a chip load.
///
/// # Formula
///
/// ```text
/// n = vf / (fz · z)
/// ```
///
/// | symbol | meaning       | unit   | valid range |
/// |--------|---------------|--------|-------------|
/// | `n`    | spindle speed | 1/min  | result      |
/// | `vf`   | table feed    | mm/min | 0 and more  |
/// | `fz`   | chip load     | mm     | > 0         |
/// | `z`    | flutes        | -      | 1 and more  |
///
/// # Range of validity
///
/// Exact (kinematic).
///
/// # Source
///
/// El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 189.
///
/// # Worked example
///
/// El-Hofy, p. 189: 120 mm/min, 0.1 mm, 8 teeth give 150 rpm.
///
/// ```
/// use millside::cutting::feed::speed_for_chip_load;
/// use millside::quantity::mm;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_rpm;
/// let n = speed_for_chip_load(mm_per_min(120.0), mm(0.1), 8);
/// assert!((to_rpm(n) - 150.0).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None; no chip load or no flutes give an infinite speed.
pub fn speed_for_chip_load(vf: Feed, fz: Length, z: u32) -> SpindleSpeed {
    vf / (fz * f64::from(z))
}
