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
}

/// Returns the thinnest chip that still forms, and why.
///
/// # Formula
///
/// ```text
/// hmin = max( k · rβ,  0.0025 · D )
/// ```
///
/// | symbol | meaning                              | unit | valid range |
/// |--------|--------------------------------------|------|-------------|
/// | `hmin` | least chip thickness                 | mm   | result      |
/// | `k`    | ratio for the metal, 0.14 to 0.43; 0.60 to 0.68 found for a copper alloy | - | 0 to 1 |
/// | `rβ`   | radius of the cutting edge           | µm   | 0 and more  |
/// | `D`    | tool                                 | mm   | > 0         |
///
/// # Range of validity
///
/// A bound against which the thickest chip of a tooth is held. The share of the diameter stands for the
/// edge of a tool that nobody has measured. Run-out does not count: where it is more than the chip load, the
/// tooth that stands out takes the chip of the others as well, which is thicker and does not rub; see
/// [`crate::cutting::run_out::worst_chip_load`].
///
/// # Source
///
/// Cheng and others, *Study on micro helical milling of small holes with flat end mills*, Int. J. Adv.
/// Manuf. Technol. 97 (2018) 3119-3128 (abstract: the ratios). Share of the diameter:
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
/// let (small, cause) = least_chip(um(5.0), 0.43, mm(0.5));
/// assert!((to_um(small) - 2.15).abs() < 1e-9 && cause == Cause::EdgeRadius);
/// let (six, cause) = least_chip(um(5.0), 0.43, mm(6.0));
/// assert!((to_um(six) - 15.0).abs() < 1e-9 && cause == Cause::Diameter);
/// ```
///
/// # Errors
///
/// None.
pub fn least_chip(edge_radius: Length, ratio: f64, d: Length) -> (Length, Cause) {
    let edge = (edge_radius * ratio, Cause::EdgeRadius);
    let share = (d * SHARE_OF_DIAMETER, Cause::Diameter);
    if edge.0 > share.0 { edge } else { share }
}
