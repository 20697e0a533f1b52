//! What the spindle's motor gives at a speed.

use crate::quantity::Power;
use crate::quantity::SpindleSpeed;
use crate::quantity::to_ratio;
use crate::quantity::to_rpm;

/// Returns the speed of the spindle behind a belt or gear.
///
/// # Formula
///
/// ```text
/// n = i · nm
/// ```
///
/// | symbol | meaning                      | unit  | valid range |
/// |--------|------------------------------|-------|-------------|
/// | `n`    | spindle speed                | 1/min | result      |
/// | `i`    | spindle turns per motor turn | -     | > 0         |
/// | `nm`   | motor speed                  | 1/min | 0 and more  |
///
/// # Range of validity
///
/// Toothed belts and gears exactly; a flat belt slips by a percent or two.
///
/// # Source
///
/// Definition; common practice, no source.
///
/// # Worked example
///
/// Common practice: a motor at 4500 rpm with a 2:1 step-up turns the spindle at 9000.
///
/// ```
/// use millside::cutting::spindle_drive::spindle_speed;
/// use millside::quantity::rpm;
/// use millside::quantity::to_rpm;
/// assert!((to_rpm(spindle_speed(rpm(4500.0), 2.0)) - 9000.0).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None.
pub fn spindle_speed(motor: SpindleSpeed, ratio: f64) -> SpindleSpeed {
    motor * ratio
}

/// A motor's continuous rating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rating {
    /// Power at the shaft at the rated speed.
    pub power: Power,
    /// Rated (base) speed: constant torque below, constant power above.
    pub speed: SpindleSpeed,
    /// Speed under which the motor's own fan no longer cools the rated torque.
    pub cooled_from: SpindleSpeed,
}

/// Returns the power that a motor gives continuously at a speed.
///
/// # Formula
///
/// ```text
/// P = Pr · n / nr                  constant torque, n < nr
/// P = Pr                           constant power, from nr on
/// P = Pr · n / nr · n / nc         under the speed nc where its fan cools, nc ≤ nr
/// ```
///
/// | symbol | meaning                    | unit  | valid range |
/// |--------|----------------------------|-------|-------------|
/// | `P`    | continuous power           | W     | result      |
/// | `Pr`   | rated power                | W     | > 0         |
/// | `n`    | motor speed                | 1/min | 0 and more  |
/// | `nr`   | rated speed                | 1/min | > 0         |
/// | `nc`   | cooled from                | 1/min | 0 and more  |
///
/// # Range of validity
///
/// Direct-current, brushless and inverter drives. The third line is ours: a cautious falling torque where
/// the maker's curve is not known. A series (universal) motor gives less at speed than this says.
///
/// # Source
///
/// *DC motor constant HP vs constant torque operation guide*.
///
/// # Worked example
///
/// That guide: 10 hp rated at 1150 rpm give 5 hp at 575 rpm.
///
/// ```
/// use millside::cutting::spindle_drive::Rating;
/// use millside::cutting::spindle_drive::power_at;
/// use millside::quantity::horsepower;
/// use millside::quantity::rpm;
/// use millside::quantity::to_horsepower;
/// let rating = Rating { power: horsepower(10.0), speed: rpm(1150.0), cooled_from: rpm(0.0) };
/// assert!((to_horsepower(power_at(rating, rpm(575.0))) - 5.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn power_at(rating: Rating, motor: SpindleSpeed) -> Power {
    let torque_share = if motor < rating.cooled_from && to_rpm(rating.cooled_from) > 0.0 {
        to_ratio(motor / rating.cooled_from)
    } else {
        1.0
    };
    let speed_share = to_ratio(motor / rating.speed).min(1.0);
    rating.power * speed_share * torque_share
}

/// Returns how much of the spectrum of speeds a motor covers at constant power.
///
/// # Formula
///
/// ```text
/// R = nmax / nr
/// ```
///
/// | symbol | meaning       | unit  | valid range |
/// |--------|---------------|-------|-------------|
/// | `R`    | range         | -     | result      |
/// | `nmax` | top speed     | 1/min | > 0         |
/// | `nr`   | rated speed   | 1/min | > 0         |
///
/// # Range of validity
///
/// Definition.
///
/// # Source
///
/// Text on machine-tool spindle drives.
///
/// # Worked example
///
/// That text: 1500 to 5250 rpm is a range of 3.5.
///
/// ```
/// use millside::cutting::spindle_drive::constant_power_range;
/// use millside::quantity::rpm;
/// assert!((constant_power_range(rpm(1500.0), rpm(5250.0)) - 3.5).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn constant_power_range(rated: SpindleSpeed, top: SpindleSpeed) -> f64 {
    to_ratio(top / rated)
}

/// Returns the heat in a motor's winding over its rated heat.
///
/// # Formula
///
/// ```text
/// q = (I / Ir)² = (M / Mr)²
/// ```
///
/// | symbol | meaning                          | unit | valid range |
/// |--------|----------------------------------|------|-------------|
/// | `q`    | heat over rated heat             | -    | result      |
/// | `I/Ir` | current over rated current; the torque over the rated torque where the field is constant | - | 0 and more |
///
/// # Range of validity
///
/// Copper losses; iron and friction are left out.
///
/// # Source
///
/// Joule's law; common practice, no source.
///
/// # Worked example
///
/// Common practice: 1.25 times the rated current makes 1.56 times the heat.
///
/// ```
/// use millside::cutting::spindle_drive::heat_ratio;
/// assert!((heat_ratio(1.25) - 1.5625).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn heat_ratio(current_ratio: f64) -> f64 {
    current_ratio * current_ratio
}

/// Returns the speed to which a motor falls under load.
///
/// # Formula
///
/// ```text
/// n = n0 · (1 - s · M / Mr)
/// ```
///
/// | symbol | meaning                                   | unit  | valid range |
/// |--------|-------------------------------------------|-------|-------------|
/// | `n`    | speed in the cut                          | 1/min | result      |
/// | `n0`   | speed set without load                    | 1/min | 0 and more  |
/// | `s`    | share of the speed lost at rated torque   | -     | 0 to 1      |
/// | `M/Mr` | torque over rated torque                  | -     | 0 and more  |
///
/// # Range of validity
///
/// Straight speed-torque line of a motor without speed control; 0 when the drive holds the speed.
/// `sag` is a share of `no_load`. A direct-current motor turned down by its voltage loses the same rpm
/// at every setting, a greater share of a slower one: below its top speed this says too little.
///
/// # Source
///
/// Linear characteristic of a direct-current motor; common practice, no source.
///
/// # Worked example
///
/// By hand: 9000 rpm, 10 % at rated torque, half of it: 8550 rpm.
///
/// ```
/// use millside::cutting::spindle_drive::under_load;
/// use millside::quantity::rpm;
/// use millside::quantity::to_rpm;
/// assert!((to_rpm(under_load(rpm(9000.0), 0.1, 0.5)) - 8550.0).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None; a stalled motor stands at 0.
pub fn under_load(no_load: SpindleSpeed, sag: f64, torque_ratio: f64) -> SpindleSpeed {
    no_load * (1.0 - sag * torque_ratio).max(0.0)
}
