//! Drilling: thrust, torque, point, pecks.

use crate::quantity::Angle;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::SpecificForce;
use crate::quantity::Torque;
use crate::quantity::newton;
use crate::quantity::newton_metre;
use crate::quantity::to_mm;
use crate::quantity::to_radian;

/// How a drill's point is ground: share of the chisel edge and the handbook's factors for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Chisel edge over diameter, `c/d`.
    pub chisel: f64,
    /// Torque factor `A`.
    pub a: f64,
    /// Thrust factor `B`.
    pub b: f64,
    /// Chisel factor `J`.
    pub j: f64,
}

/// Standard twist drill, c/d = 0.18; *Machinery's Handbook*, 31st ed., p. 1152, table 7.
pub const STANDARD_POINT: Point = Point {
    chisel: 0.18,
    a: 1.085,
    b: 1.355,
    j: 0.030,
};

/// Split point, c/d = 0.03; *Machinery's Handbook*, 31st ed., p. 1152, table 7.
pub const SPLIT_POINT: Point = Point {
    chisel: 0.03,
    a: 1.000,
    b: 1.100,
    j: 0.001,
};

/// Worn drill in normal use; *Machinery's Handbook*, tool wear factors (from memory).
pub const WORN: f64 = 1.3;

/// Returns the handbook's feed factor.
///
/// # Formula
///
/// ```text
/// Ff = f^0.8      (f as a number of mm, or of inches, per turn)
/// ```
///
/// | symbol | meaning         | unit | valid range |
/// |--------|-----------------|------|-------------|
/// | `Ff`   | feed factor     | -    | result      |
/// | `f`    | feed per turn   | mm or in | 0.01 to 1.3 mm |
///
/// # Range of validity
///
/// The printed table is this power law within 0.3 %, 1 % under 0.05 mm where it has two digits.
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1153, tables 8 and 9.
///
/// # Worked example
///
/// Table 8: 0.20 mm has 0.276.
///
/// ```
/// use millside::cutting::drilling::feed_factor;
/// assert!((feed_factor(0.20) - 0.276).abs() < 0.0005);
/// ```
///
/// # Errors
///
/// None.
pub fn feed_factor(feed_per_turn: f64) -> f64 {
    feed_per_turn.powf(0.8)
}

/// Returns the handbook's thrust factor.
///
/// # Formula
///
/// ```text
/// FT = D^0.8      (D as a number of mm, or of inches)
/// ```
///
/// | symbol | meaning       | unit | valid range |
/// |--------|---------------|------|-------------|
/// | `FT`   | thrust factor | -    | result      |
/// | `D`    | drill         | mm or in | 1.6 to 100 mm |
///
/// # Range of validity
///
/// As [`feed_factor`]. The row for 8.80 mm prints 5.96; the law of all other rows gives 5.70.
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1153, table 9.
///
/// # Worked example
///
/// Table 9: 6.40 mm has 4.42.
///
/// ```
/// use millside::cutting::drilling::thrust_factor;
/// assert!((thrust_factor(6.4) - 4.42).abs() < 0.005);
/// ```
///
/// # Errors
///
/// None.
pub fn thrust_factor(diameter: f64) -> f64 {
    diameter.powf(0.8)
}

/// Returns the handbook's torque factor.
///
/// # Formula
///
/// ```text
/// FM = D^1.8      (D as a number of mm, or of inches)
/// ```
///
/// | symbol | meaning       | unit | valid range |
/// |--------|---------------|------|-------------|
/// | `FM`   | torque factor | -    | result      |
/// | `D`    | drill         | mm or in | 1.6 to 100 mm |
///
/// # Range of validity
///
/// As [`feed_factor`].
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1153, table 9.
///
/// # Worked example
///
/// Table 9: 6.40 mm has 28.26.
///
/// ```
/// use millside::cutting::drilling::torque_factor;
/// assert!((torque_factor(6.4) - 28.26).abs() < 0.01);
/// ```
///
/// # Errors
///
/// None.
pub fn torque_factor(diameter: f64) -> f64 {
    diameter.powf(1.8)
}

/// Returns the thrust of a drill.
///
/// # Formula
///
/// ```text
/// T = 0.05 · Kd · Ff · FT · B · W + 0.007 · Kd · D² · J · W      (N, mm)
/// ```
///
/// | symbol | meaning                    | unit | valid range |
/// |--------|----------------------------|------|-------------|
/// | `T`    | thrust                     | N    | result      |
/// | `Kd`   | work material factor: aluminium 7000, steel of 200 HB 24000 (from memory) | - | > 0 |
/// | `Ff`, `FT` | [`feed_factor`], [`thrust_factor`] | - | |
/// | `B`, `J` | of the point, [`Point`]  | -    |             |
/// | `W`    | wear: 1 sharp, 1.3 usual   | -    | 1 to 1.5    |
/// | `D`    | drill                      | mm   | > 0         |
///
/// # Range of validity
///
/// Into the full. Publications differ by up to 1.7 times; this is the highest of those compared.
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1152, formulas for drilling, metric.
///
/// # Worked example
///
/// From that formula outside this program: Kd 24000, 0.2 mm, 10 mm, standard point, sharp: 3335 N.
///
/// ```
/// use millside::cutting::drilling::STANDARD_POINT;
/// use millside::cutting::drilling::thrust;
/// use millside::quantity::mm;
/// use millside::quantity::to_newton;
/// let t = thrust(24_000.0, mm(0.2), mm(10.0), STANDARD_POINT, 1.0);
/// assert!((to_newton(t) - 3335.0).abs() < 3.0);
/// ```
///
/// # Errors
///
/// None.
pub fn thrust(kd: f64, feed_per_turn: Length, d: Length, point: Point, wear: f64) -> Force {
    let (f, d) = (to_mm(feed_per_turn), to_mm(d));
    newton(
        0.05 * kd * feed_factor(f) * thrust_factor(d) * point.b * wear
            + 0.007 * kd * d * d * point.j * wear,
    )
}

/// Returns the torque of a drill after the handbook.
///
/// # Formula
///
/// ```text
/// M = 0.000025 · Kd · Ff · FM · A · W      (N m, mm)
/// ```
///
/// | symbol | meaning | unit | valid range |
/// |--------|---------|------|-------------|
/// | `M`    | torque  | N m  | result      |
/// | others | as in [`thrust`], `FM` [`torque_factor`], `A` of the point | | |
///
/// # Range of validity
///
/// As [`thrust`].
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1152, formulas for drilling, metric.
///
/// # Worked example
///
/// From that formula outside this program: Kd 24000, 0.2 mm, 10 mm, standard point, sharp: 11.33 N m.
///
/// ```
/// use millside::cutting::drilling::STANDARD_POINT;
/// use millside::cutting::drilling::torque;
/// use millside::quantity::mm;
/// use millside::quantity::to_newton_metre;
/// let m = torque(24_000.0, mm(0.2), mm(10.0), STANDARD_POINT, 1.0);
/// assert!((to_newton_metre(m) - 11.33).abs() < 0.01);
/// ```
///
/// # Errors
///
/// None.
pub fn torque(kd: f64, feed_per_turn: Length, d: Length, point: Point, wear: f64) -> Torque {
    let (f, d) = (to_mm(feed_per_turn), to_mm(d));
    newton_metre(0.000_025 * kd * feed_factor(f) * torque_factor(d) * point.a * wear)
}

/// Returns the torque of a drill from the specific force.
///
/// # Formula
///
/// ```text
/// M = kc · f · D² / 8
/// ```
///
/// | symbol | meaning        | unit  | valid range |
/// |--------|----------------|-------|-------------|
/// | `M`    | torque         | N m   | result      |
/// | `kc`   | specific force | N/mm² | > 0         |
/// | `f`    | feed per turn  | mm    | 0 and more  |
/// | `D`    | drill          | mm    | > 0         |
///
/// # Range of validity
///
/// Chisel edge and margins left out, so it is low; a cross-check of [`torque`], and what is used where the
/// metal has no Kd.
///
/// # Source
///
/// El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 143 (formula).
///
/// # Worked example
///
/// From that formula by hand: 2000 N/mm², 0.2 mm, 10 mm: 5 N m.
///
/// ```
/// use millside::cutting::drilling::torque_of_specific_force;
/// use millside::quantity::mm;
/// use millside::quantity::n_per_mm2;
/// use millside::quantity::to_newton_metre;
/// let m = torque_of_specific_force(n_per_mm2(2000.0), mm(0.2), mm(10.0));
/// assert!((to_newton_metre(m) - 5.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn torque_of_specific_force(kc: SpecificForce, feed_per_turn: Length, d: Length) -> Torque {
    (kc * feed_per_turn * d * d / 8.0).into()
}

/// Returns the thickness of a drill's chip.
///
/// # Formula
///
/// ```text
/// h = f / z · sin(θ / 2)
/// ```
///
/// | symbol | meaning        | unit | valid range |
/// |--------|----------------|------|-------------|
/// | `h`    | chip thickness | mm   | result      |
/// | `f`    | feed per turn  | mm   | 0 and more  |
/// | `z`    | edges          | -    | 1 and more  |
/// | `θ`    | included point angle | deg | > 0 to 180 |
///
/// # Range of validity
///
/// Along the lips.
///
/// # Source
///
/// Plane geometry.
///
/// # Worked example
///
/// By hand: 0.2 mm, 2 edges, 118 degrees: 0.0857 mm.
///
/// ```
/// use millside::cutting::drilling::chip;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(chip(mm(0.2), 2, degree(118.0))) - 0.0857).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None.
pub fn chip(feed_per_turn: Length, z: u32, point: Angle) -> Length {
    feed_per_turn / f64::from(z) * (to_radian(point) / 2.0).sin()
}

/// Returns the length of a drill's point.
///
/// # Formula
///
/// ```text
/// A = D / 2 · tan(90 - θ / 2)
/// ```
///
/// | symbol | meaning              | unit | valid range |
/// |--------|----------------------|------|-------------|
/// | `A`    | length of the point  | mm   | result      |
/// | `D`    | drill                | mm   | > 0         |
/// | `θ`    | included point angle | deg  | > 0 to 180  |
///
/// # Range of validity
///
/// Sharp cone. A course page prints tan(59 degrees) for 118 degrees, which is wrong by geometry.
///
/// # Source
///
/// Groover, *Fundamentals of Modern Manufacturing*, drilling problem with a 10 mm drill.
///
/// # Worked example
///
/// That problem: 10 mm, 118 degrees: 3.0 mm.
///
/// ```
/// use millside::cutting::drilling::point_length;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(point_length(mm(10.0), degree(118.0))) - 3.0).abs() < 0.01);
/// ```
///
/// # Errors
///
/// None.
pub fn point_length(d: Length, point: Angle) -> Length {
    d / 2.0 / (to_radian(point) / 2.0).tan()
}

/// What a deep hole takes off speed and feed, as shares of 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deep {
    /// Share of the speed that is left.
    pub speed: f64,
    /// Share of the feed that is left.
    pub feed: f64,
}

/// Returns what is left of speed and feed in a deep hole.
///
/// # Formula
///
/// ```text
/// depth under 3 D   3 D    4 D    5 D    6 D and more
/// speed    1        0.90   0.80   0.70   0.65
/// feed     1        0.90   0.90   0.80   0.80
/// ```
///
/// | symbol | meaning             | unit | valid range |
/// |--------|---------------------|------|-------------|
/// | depth  | depth of hole over the diameter | - | 0 to 8 |
///
/// # Range of validity
///
/// Drills of high-speed steel; beyond 8 D the last column, and a caution is due.
///
/// # Source
///
/// Trade handbook rule for deep holes (from memory, edition unknown).
///
/// # Worked example
///
/// That rule: at 5 D 30 % of the speed and 20 % of the feed come off.
///
/// ```
/// use millside::cutting::drilling::deep_hole;
/// let deep = deep_hole(5.0);
/// assert!((deep.speed - 0.70).abs() < 1e-12 && (deep.feed - 0.80).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn deep_hole(depth_over_diameter: f64) -> Deep {
    let (speed, feed) = match depth_over_diameter {
        r if r < 3.0 => (1.0, 1.0),
        r if r < 4.0 => (0.90, 0.90),
        r if r < 5.0 => (0.80, 0.90),
        r if r < 6.0 => (0.70, 0.80),
        _ => (0.65, 0.80),
    };
    Deep { speed, feed }
}

/// Returns the depth of one peck.
///
/// # Formula
///
/// ```text
/// first 2 D, then 1 D; 0.5 D from 4 D on; the first half as deep where chips are not cleared
/// ```
///
/// | symbol | meaning             | unit | valid range |
/// |--------|---------------------|------|-------------|
/// | reached | depth already drilled | mm | 0 and more |
/// | `D`    | drill               | mm   | > 0         |
///
/// # Range of validity
///
/// No standard or textbook gives a table; stringy metals want shorter pecks.
///
/// # Source
///
/// Common practice, no source (trade notes: 2 to 3 diameters in one step, shorter from there).
///
/// # Worked example
///
/// By hand: 3 mm drill with air: first 6 mm, then 3 mm, from 12 mm on 1.5 mm.
///
/// ```
/// use millside::cutting::drilling::peck;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(peck(mm(0.0), mm(3.0), true)) - 6.0).abs() < 1e-12);
/// assert!((to_mm(peck(mm(6.0), mm(3.0), true)) - 3.0).abs() < 1e-12);
/// assert!((to_mm(peck(mm(12.0), mm(3.0), true)) - 1.5).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn peck(reached: Length, d: Length, chips_are_cleared: bool) -> Length {
    if reached <= d * 0.0 {
        return if chips_are_cleared { 2.0 * d } else { d };
    }
    if reached < 4.0 * d { d } else { d / 2.0 }
}
