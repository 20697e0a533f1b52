//! Tool life after Taylor.

use crate::quantity::SurfaceSpeed;
use crate::quantity::Time;
use crate::quantity::m_per_min;
use crate::quantity::minute;
use crate::quantity::to_m_per_min;
use crate::quantity::to_minute;
use crate::quantity::to_ratio;

/// Returns how long an edge lasts.
///
/// # Formula
///
/// ```text
/// T = (C / vc)^(1/n)
/// ```
///
/// | symbol | meaning                               | unit  | valid range |
/// |--------|---------------------------------------|-------|-------------|
/// | `T`    | life                                  | min   | result      |
/// | `C`    | speed for a life of one minute        | m/min | > 0         |
/// | `vc`   | surface speed                         | m/min | > 0         |
/// | `n`    | exponent: 0.08 to 0.2 high-speed steel, 0.2 to 0.5 carbide | - | 0 to 1 |
///
/// # Range of validity
///
/// Time in the cut, wear of the flank. Small cutters break or clog long before; a comparison of two speeds
/// is worth more than the figure.
///
/// # Source
///
/// F. W. Taylor's law; Groover, *Fundamentals of Modern Manufacturing*, 4th ed., ch. 23 (from memory).
///
/// # Worked example
///
/// Groover (from memory): n 0.223, C 229 m/min: 100 m/min last 41 min.
///
/// ```
/// use millside::cutting::tool_life::life;
/// use millside::quantity::m_per_min;
/// use millside::quantity::to_minute;
/// let t = life(m_per_min(229.0), 0.223, m_per_min(100.0));
/// assert!((to_minute(t) - 41.0).abs() < 0.2);
/// ```
///
/// # Errors
///
/// None; no speed lasts for ever.
pub fn life(c: SurfaceSpeed, n: f64, vc: SurfaceSpeed) -> Time {
    minute(to_ratio(c / vc).powf(1.0 / n))
}

/// Returns the exponent from two lives.
///
/// # Formula
///
/// ```text
/// n = ln(v1 / v2) / ln(T2 / T1)
/// ```
///
/// | symbol | meaning  | unit  | valid range |
/// |--------|----------|-------|-------------|
/// | `n`    | exponent | -     | result      |
/// | `v1`, `v2` | speeds | m/min | > 0, unequal |
/// | `T1`, `T2` | lives  | min  | > 0, unequal |
///
/// # Range of validity
///
/// As [`life`].
///
/// # Source
///
/// Groover, *Fundamentals of Modern Manufacturing*, 4th ed., ch. 23 (from memory).
///
/// # Worked example
///
/// Groover (from memory): 160 m/min 5 min, 100 m/min 41 min: 0.223.
///
/// ```
/// use millside::cutting::tool_life::exponent;
/// use millside::quantity::m_per_min;
/// use millside::quantity::minute;
/// let n = exponent((m_per_min(160.0), minute(5.0)), (m_per_min(100.0), minute(41.0)));
/// assert!((n - 0.223).abs() < 0.001);
/// ```
///
/// # Errors
///
/// None; equal lives give infinity.
pub fn exponent(first: (SurfaceSpeed, Time), second: (SurfaceSpeed, Time)) -> f64 {
    to_ratio(first.0 / second.0).ln() / to_ratio(second.1 / first.1).ln()
}

/// Returns the speed for a life of one minute.
///
/// # Formula
///
/// ```text
/// C = vc · T^n      (T as a number of minutes)
/// ```
///
/// | symbol | meaning  | unit  | valid range |
/// |--------|----------|-------|-------------|
/// | `C`    | constant | m/min | result      |
/// | others | as in [`life`] | |             |
///
/// # Range of validity
///
/// As [`life`].
///
/// # Source
///
/// GATE 2007 (production engineering): option of the second of two linked questions.
///
/// # Worked example
///
/// That question: 10 mm drill at 600 rpm, 200 holes of 0.4407 min, n 0.3: C = 72 m/min.
///
/// ```
/// use millside::cutting::spindle_speed::surface_speed;
/// use millside::cutting::tool_life::constant;
/// use millside::quantity::minute;
/// use millside::quantity::mm;
/// use millside::quantity::rpm;
/// use millside::quantity::to_m_per_min;
/// let c = constant(surface_speed(rpm(600.0), mm(10.0)), minute(200.0 * 0.4407), 0.3);
/// assert!((to_m_per_min(c) - 72.0).abs() < 0.4);
/// ```
///
/// # Errors
///
/// None.
pub fn constant(vc: SurfaceSpeed, t: Time, n: f64) -> SurfaceSpeed {
    m_per_min(to_m_per_min(vc) * to_minute(t).powf(n))
}

/// Returns by how much the life changes when the speed does.
///
/// # Formula
///
/// ```text
/// T2 / T1 = (v1 / v2)^(1/n)
/// ```
///
/// | symbol | meaning  | unit | valid range |
/// |--------|----------|------|-------------|
/// | `T2/T1` | life over life before | - | result |
/// | `v2/v1` | speed over speed before | - | > 0 |
/// | `n`    | exponent | -    | > 0 to 1    |
///
/// # Range of validity
///
/// As [`life`].
///
/// # Source
///
/// *Calculate tool life when cutting speed is halved*.
///
/// # Worked example
///
/// That page: half the speed at n = 0.25 lasts 16 times as long.
///
/// ```
/// use millside::cutting::tool_life::life_ratio;
/// assert!((life_ratio(0.5, 0.25) - 16.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn life_ratio(speed_ratio: f64, n: f64) -> f64 {
    speed_ratio.powf(-1.0 / n)
}
