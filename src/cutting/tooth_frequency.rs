//! How often teeth strike.

use crate::quantity::SpindleSpeed;
use crate::quantity::to_hertz;

/// Returns the frequency at which teeth strike.
///
/// # Formula
///
/// ```text
/// f = z · n
/// ```
///
/// | symbol | meaning       | unit | valid range |
/// |--------|---------------|------|-------------|
/// | `f`    | tooth frequency | Hz | result      |
/// | `z`    | flutes        | -    | 1 and more  |
/// | `n`    | spindle speed | 1/min | 0 and more |
///
/// # Range of validity
///
/// Even pitch, all teeth cutting.
///
/// # Source
///
/// Definition.
///
/// # Worked example
///
/// By hand: 3 flutes at 9000 rpm strike at 450 Hz.
///
/// ```
/// use millside::cutting::tooth_frequency::tooth_frequency;
/// use millside::quantity::rpm;
/// use millside::quantity::to_hertz;
/// assert!((to_hertz(tooth_frequency(rpm(9000.0), 3)) - 450.0).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None.
pub fn tooth_frequency(n: SpindleSpeed, z: u32) -> SpindleSpeed {
    n * f64::from(z)
}

/// Returns which multiple of the tooth frequency lies near a mode, if any of the first three does.
///
/// # Formula
///
/// ```text
/// |k · f - fm| < w · fm      k = 1, 2, 3
/// ```
///
/// | symbol | meaning              | unit | valid range |
/// |--------|----------------------|------|-------------|
/// | `k`    | multiple             | -    | result      |
/// | `f`    | tooth frequency      | Hz   | > 0         |
/// | `fm`   | mode that was heard  | Hz   | > 0         |
/// | `w`    | how near is near     | -    | 0 to 1      |
///
/// # Range of validity
///
/// A warning, not a limit: whether it sings depends on the damping.
///
/// # Source
///
/// Resonance; the first three multiples are ours.
///
/// # Worked example
///
/// By hand: 150 Hz strikes a mode at 310 Hz with its second multiple (300 Hz) within 5 %.
///
/// ```
/// use millside::cutting::tooth_frequency::near_mode;
/// use millside::quantity::hertz;
/// assert_eq!(near_mode(hertz(150.0), hertz(310.0), 0.05), Some(2));
/// assert_eq!(near_mode(hertz(150.0), hertz(380.0), 0.05), None);
/// ```
///
/// # Errors
///
/// None.
pub fn near_mode(tooth: SpindleSpeed, mode: SpindleSpeed, near: f64) -> Option<u32> {
    let (f, fm) = (to_hertz(tooth), to_hertz(mode));
    (1..=3).find(|k| (f64::from(*k) * f - fm).abs() < near * fm)
}
