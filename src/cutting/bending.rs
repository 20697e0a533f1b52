//! How far tool and machine bend.

use std::f64::consts::PI;

use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Modulus;
use crate::quantity::Stiffness;
use crate::quantity::mm;
use crate::quantity::to_mm;

/// Diameter of a plain cylinder as stiff as the fluted part, over the tool's diameter.
///
/// L. Kops, D. T. Vo, *Determination of the Equivalent Diameter of an End Mill Based on its Compliance*,
/// CIRP Annals 39/1 (1990) 93-96 (abstract): about 0.8 for two and four flutes. For other numbers of flutes
/// the same is assumed.
pub const FLUTED_SHARE: f64 = 0.8;

/// A tool as a beam that is held at one end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beam {
    /// Length from the holder to the tip, `L`.
    pub stick_out: Length,
    /// Length of the fluted part from the tip, `Lf`; more than `L` counts as `L`.
    pub fluted: Length,
    /// Diameter of the shank.
    pub shank: Length,
    /// Diameter of the tool; its fluted part bends as a cylinder of [`FLUTED_SHARE`] of it.
    pub diameter: Length,
    /// Elastic modulus.
    pub modulus: Modulus,
}

/// Returns how far the tip of a stepped tool bends under a force at the tip.
///
/// # Formula
///
/// ```text
/// d = F / (3 · E) · [ (L³ - Lf³) / Is + Lf³ / If ],      I = π · D⁴ / 64
/// ```
///
/// | symbol | meaning                       | unit | valid range |
/// |--------|-------------------------------|------|-------------|
/// | `d`    | bending at the tip            | mm   | result      |
/// | `F`    | force square to the tool      | N    | 0 and more  |
/// | `E`    | elastic modulus               | GPa  | > 0         |
/// | `L`    | stick-out                     | mm   | > 0         |
/// | `Lf`   | fluted length                 | mm   | 0 to L      |
/// | `Is`, `If` | second moments of shank and fluted part (0.8 D) | mm⁴ | > 0 |
///
/// # Range of validity
///
/// Slender tool (L over 3 D), rigid collet. Short tools shear and the collet gives: the true value is larger.
///
/// # Source
///
/// Elementary beam theory; equivalent diameter after Kops and Vo 1990, see [`FLUTED_SHARE`].
///
/// # Worked example
///
/// From that formula by hand: 50 N, 25 mm out, 15 mm fluted, 6 mm carbide (600 GPa): 0.00895 mm.
///
/// ```
/// use millside::cutting::bending::Beam;
/// use millside::cutting::bending::tool;
/// use millside::quantity::gigapascal;
/// use millside::quantity::mm;
/// use millside::quantity::newton;
/// use millside::quantity::to_mm;
/// let beam = Beam {
///     stick_out: mm(25.0),
///     fluted: mm(15.0),
///     shank: mm(6.0),
///     diameter: mm(6.0),
///     modulus: gigapascal(600.0),
/// };
/// assert!((to_mm(tool(newton(50.0), beam)) - 0.00895).abs() < 1e-5);
/// ```
///
/// # Errors
///
/// None; a diameter or modulus of 0 gives infinity.
pub fn tool(force: Force, beam: Beam) -> Length {
    let fluted = if beam.fluted < beam.stick_out {
        beam.fluted
    } else {
        beam.stick_out
    };
    let cube = |l: Length| to_mm(l).powi(3);
    let moment = |d: Length| PI * to_mm(d).powi(4) / 64.0;
    let shape = (cube(beam.stick_out) - cube(fluted)) / moment(beam.shank)
        + cube(fluted) / moment(FLUTED_SHARE * beam.diameter);
    // N / (N/mm²) · 1/mm
    let force_over_modulus = crate::quantity::to_mm2(force / beam.modulus);
    mm(force_over_modulus * shape / 3.0)
}

/// Returns how far a plain cylinder bends that is held at one end and loaded at the other.
///
/// # Formula
///
/// ```text
/// d = F · L³ / (3 · E · I),      I = π · D⁴ / 64
/// ```
///
/// | symbol | meaning         | unit | valid range |
/// |--------|-----------------|------|-------------|
/// | `d`    | bending         | mm   | result      |
/// | `F`    | force           | N    | 0 and more  |
/// | `L`    | length          | mm   | > 0         |
/// | `E`    | elastic modulus | GPa  | > 0         |
/// | `D`    | diameter        | mm   | > 0         |
///
/// # Range of validity
///
/// As [`tool`].
///
/// # Source
///
/// Elementary beam theory.
///
/// # Worked example
///
/// From that formula by hand: 50 N, 25 mm, 6 mm, 600 GPa: 0.00682 mm.
///
/// ```
/// use millside::cutting::bending::cylinder;
/// use millside::quantity::gigapascal;
/// use millside::quantity::mm;
/// use millside::quantity::newton;
/// use millside::quantity::to_mm;
/// let d = cylinder(newton(50.0), mm(25.0), mm(6.0), gigapascal(600.0));
/// assert!((to_mm(d) - 0.0068225).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None; a diameter or modulus of 0 gives infinity.
pub fn cylinder(force: Force, length: Length, diameter: Length, modulus: Modulus) -> Length {
    let moment = PI * to_mm(diameter).powi(4) / 64.0;
    let force_over_modulus = crate::quantity::to_mm2(force / modulus);
    mm(force_over_modulus * to_mm(length).powi(3) / (3.0 * moment))
}

/// Returns how far the machine gives between tool and table along one axis.
///
/// # Formula
///
/// ```text
/// d = F / k
/// ```
///
/// | symbol | meaning                                    | unit | valid range |
/// |--------|--------------------------------------------|------|-------------|
/// | `d`    | bending                                    | mm   | result      |
/// | `F`    | force along the axis, mean over a turn     | N    | 0 and more  |
/// | `k`    | stiffness at the tool: slope between 20 and 60 N, motors on | N/µm | > 0 |
///
/// # Range of validity
///
/// The mean: table and head are too heavy to follow single teeth. Backlash comes on top of it.
///
/// # Source
///
/// Hooke's law; measuring between 20 and 60 N is common practice, no source.
///
/// # Worked example
///
/// By hand: 60 N at 2 N/µm give 0.030 mm.
///
/// ```
/// use millside::cutting::bending::machine;
/// use millside::quantity::n_per_um;
/// use millside::quantity::newton;
/// use millside::quantity::to_mm;
/// assert!((to_mm(machine(newton(60.0), n_per_um(2.0))) - 0.03).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None; a stiffness of 0 gives infinity.
pub fn machine(force: Force, stiffness: Stiffness) -> Length {
    force / stiffness
}

/// Returns the stiffness from two readings under load.
///
/// # Formula
///
/// ```text
/// k = (F2 - F1) / (d2 - d1)
/// ```
///
/// | symbol | meaning               | unit | valid range |
/// |--------|-----------------------|------|-------------|
/// | `k`    | stiffness             | N/µm | result      |
/// | `F1`, `F2` | loads, 20 and 60 N | N   | F2 > F1     |
/// | `d1`, `d2` | readings of the dial | mm | d2 > d1    |
///
/// # Range of validity
///
/// The slope, so that play and the first seating do not count. Motors on.
///
/// # Source
///
/// Definition; the two loads are common practice, no source.
///
/// # Worked example
///
/// By hand: 0.012 mm at 20 N and 0.032 mm at 60 N give 2 N/µm.
///
/// ```
/// use millside::cutting::bending::stiffness;
/// use millside::quantity::mm;
/// use millside::quantity::newton;
/// use millside::quantity::to_n_per_um;
/// let k = stiffness((newton(20.0), mm(0.012)), (newton(60.0), mm(0.032)));
/// assert!((to_n_per_um(k) - 2.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None; equal readings give infinity.
pub fn stiffness(first: (Force, Length), second: (Force, Length)) -> Stiffness {
    (second.0 - first.0) / (second.1 - first.1)
}
