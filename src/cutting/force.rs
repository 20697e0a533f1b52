//! Cutting force after Kienzle.

use crate::quantity::Angle;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::SpecificForce;
use crate::quantity::to_degree;
use crate::quantity::to_mm;

/// Returns the force for one unit of chip area at a chip thickness.
///
/// # Formula
///
/// ```text
/// kc = kc1.1 · h^-mc      (h as a number of mm)
/// ```
///
/// | symbol  | meaning                             | unit  | valid range |
/// |---------|-------------------------------------|-------|-------------|
/// | `kc`    | specific force                      | N/mm² | result      |
/// | `kc1.1` | specific force of a chip 1 mm by 1 mm | N/mm² | > 0       |
/// | `mc`    | exponent                            | -     | 0 to 1      |
/// | `h`     | chip thickness                      | mm    | > 0         |
///
/// # Range of validity
///
/// Fitted at chips of about 0.1 to 1 mm. Below some 0.05 mm it is extrapolated; the trend (thin chips cost
/// more) is right, the figure may be off by a third.
///
/// # Source
///
/// O. Kienzle; encyclopaedia table *Spezifische Schnittkraft*, whose kc columns are computed values.
///
/// # Worked example
///
/// That table, S275JR: kc1.1 1780 N/mm², mc 0.17, 0.1 mm give 2630 N/mm².
///
/// ```
/// use millside::cutting::force::specific_force;
/// use millside::quantity::mm;
/// use millside::quantity::n_per_mm2;
/// use millside::quantity::to_n_per_mm2;
/// let kc = specific_force(n_per_mm2(1780.0), 0.17, mm(0.1));
/// assert!((to_n_per_mm2(kc) - 2630.0).abs() < 5.0);
/// ```
///
/// # Errors
///
/// None; no chip gives an infinite specific force.
pub fn specific_force(kc1_1: SpecificForce, mc: f64, h: Length) -> SpecificForce {
    kc1_1 * to_mm(h).powf(-mc)
}

/// Returns the tangential force on an edge.
///
/// # Formula
///
/// ```text
/// Ft = b · h · kc
/// ```
///
/// | symbol | meaning           | unit  | valid range |
/// |--------|-------------------|-------|-------------|
/// | `Ft`   | tangential force  | N     | result      |
/// | `b`    | width of the chip | mm    | 0 and more  |
/// | `h`    | its thickness     | mm    | 0 and more  |
/// | `kc`   | specific force, [`specific_force`] | N/mm² | > 0 |
///
/// # Range of validity
///
/// Sharp edge. A worn one takes about 1.3 times as much ([`corrections`]).
///
/// # Source
///
/// Examination GATE 1994 (production engineering), parting off.
///
/// # Worked example
///
/// That question: 2 mm wide, 0.2 mm thick, 800 N/mm² give 320 N.
///
/// ```
/// use millside::cutting::force::tangential;
/// use millside::quantity::mm;
/// use millside::quantity::n_per_mm2;
/// use millside::quantity::to_newton;
/// let ft = tangential(mm(2.0), mm(0.2), n_per_mm2(800.0));
/// assert!((to_newton(ft) - 320.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn tangential(b: Length, h: Length, kc: SpecificForce) -> Force {
    b * h * kc
}

/// What some books multiply the specific force by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corrections {
    /// Rake of the edge.
    pub rake: Angle,
    /// Rake that the constants were fitted at: 6 degrees steel, 2 cast iron, 0 aluminium.
    pub rake_reference: Angle,
    /// Worn edge; 1.3 in the book, 1 when sharp.
    pub wear: f64,
    /// Chip compression; 1.2 for milling.
    pub compression: f64,
    /// Surface speed; 1 for carbide.
    pub speed: f64,
}

/// Returns the factor by which rake, wear, chip compression and speed change the specific force.
///
/// # Formula
///
/// ```text
/// K = (1 - (γ - γ0) / 100) · Kwear · Kcompression · Kspeed
/// ```
///
/// | symbol | meaning                         | unit | valid range |
/// |--------|---------------------------------|------|-------------|
/// | `K`    | factor                          | -    | result      |
/// | `γ`    | rake                            | deg  | -10 to 40   |
/// | `γ0`   | rake that the constants are for | deg  | 0 to 6      |
/// | others | factors as [`Corrections`] says | -    | > 0         |
///
/// # Range of validity
///
/// As printed. Industrial tables leave wear and compression out; together they add 56 %. The calculator
/// leaves them out too and keeps a margin to every danger limit instead.
///
/// # Source
///
/// Dietrich, Tschätsch, *Praxis der Zerspantechnik*, 11th ed. 2014, formulas as transcribed in a public script.
///
/// # Worked example
///
/// From that formula by hand: rake 0 against 6 degrees, 1.3, 1.2: 1.06 · 1.56 = 1.6536.
///
/// ```
/// use millside::cutting::force::Corrections;
/// use millside::cutting::force::corrections;
/// use millside::quantity::degree;
/// let k = corrections(Corrections {
///     rake: degree(0.0),
///     rake_reference: degree(6.0),
///     wear: 1.3,
///     compression: 1.2,
///     speed: 1.0,
/// });
/// assert!((k - 1.6536).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn corrections(c: Corrections) -> f64 {
    (1.0 - (to_degree(c.rake) - to_degree(c.rake_reference)) / 100.0)
        * c.wear
        * c.compression
        * c.speed
}
