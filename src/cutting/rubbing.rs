//! Rubbing: a chip too thin to form is smeared, heats and work-hardens.

use crate::quantity::Length;

/// Share of the diameter under which a chip is held to rub; common practice, no source.
pub const SHARE_OF_DIAMETER: f64 = 0.0025;

/// What the least chip follows from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// The radius of the cutting edge.
    EdgeRadius,
    /// The share of the diameter.
    Diameter,
    /// The run-out, with more than one flute: the low tooth would not cut at all.
    RunOut,
}

/// Returns the thinnest chip that still forms, and why.
///
/// # Formula
///
/// ```text
/// hmin = max( k · rβ,  0.0025 · D,  t when z > 1 )
/// ```
///
/// | symbol | meaning                              | unit | valid range |
/// |--------|--------------------------------------|------|-------------|
/// | `hmin` | least chip thickness                 | mm   | result      |
/// | `k`    | ratio for the metal, 0.14 to 0.43; 0.60 to 0.68 found for a copper alloy | - | 0 to 1 |
/// | `rβ`   | radius of the cutting edge           | µm   | 0 and more  |
/// | `D`    | tool                                 | mm   | > 0         |
/// | `t`    | run-out, total indicator reading     | mm   | 0 and more  |
/// | `z`    | flutes                               | -    | 1 and more  |
///
/// # Range of validity
///
/// A bound against which the thickest chip of a tooth is held. The share of the diameter stands for the
/// edge of a tool that nobody has measured.
///
/// # Source
///
/// Cheng and others, *Study on micro helical milling of small holes with flat end mills*, Int. J. Adv.
/// Manuf. Technol. 97 (2018) 3119-3128 (abstract: the ratios). Share of the diameter and run-out rule:
/// common practice, no source.
///
/// # Worked example
///
/// From the ratio by hand: 0.43 · 5 µm = 2.15 µm; for 6 mm the share of the diameter, 15 µm, is larger.
///
/// ```
/// use millside::cutting::rubbing::Cause;
/// use millside::cutting::rubbing::least_chip;
/// use millside::quantity::mm;
/// use millside::quantity::to_um;
/// use millside::quantity::um;
/// let (small, cause) = least_chip(um(5.0), 0.43, mm(0.5), mm(0.0), 2);
/// assert!((to_um(small) - 2.15).abs() < 1e-9 && cause == Cause::EdgeRadius);
/// let (six, cause) = least_chip(um(5.0), 0.43, mm(6.0), mm(0.0), 2);
/// assert!((to_um(six) - 15.0).abs() < 1e-9 && cause == Cause::Diameter);
/// ```
///
/// # Errors
///
/// None.
pub fn least_chip(
    edge_radius: Length,
    ratio: f64,
    d: Length,
    run_out: Length,
    z: u32,
) -> (Length, Cause) {
    let edge = (edge_radius * ratio, Cause::EdgeRadius);
    let share = (d * SHARE_OF_DIAMETER, Cause::Diameter);
    let mut least = if edge.0 > share.0 { edge } else { share };
    if z > 1 && run_out > least.0 {
        least = (run_out, Cause::RunOut);
    }
    least
}
