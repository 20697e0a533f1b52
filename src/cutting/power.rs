//! Power and torque at the cutter.

use std::f64::consts::PI;

use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Power;
use crate::quantity::RemovalRate;
use crate::quantity::SpecificForce;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;
use crate::quantity::Torque;

/// Returns the power at the cutter, as the mean over a turn.
///
/// # Formula
///
/// ```text
/// Pc = kc · Q
/// ```
///
/// | symbol | meaning        | unit    | valid range |
/// |--------|----------------|---------|-------------|
/// | `Pc`   | cutting power  | W       | result      |
/// | `kc`   | specific force at the mean chip, or specific energy | N/mm² = J/cm³ | > 0 |
/// | `Q`    | removal rate   | cm³/min | 0 and more  |
///
/// # Range of validity
///
/// kc at the mean chip gives up to 5 % more than the mean of kc over the arc; the larger is taken.
///
/// # Source
///
/// El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 189 (slot milling).
///
/// # Worked example
///
/// El-Hofy, p. 189: 1000 N/mm², 4 mm by 30 mm at 120 mm/min give 0.24 kW.
///
/// ```
/// use millside::cutting::power::cutting_power;
/// use millside::quantity::cm3_per_min;
/// use millside::quantity::n_per_mm2;
/// use millside::quantity::to_watt;
/// let pc = cutting_power(n_per_mm2(1000.0), cm3_per_min(14.4));
/// assert!((to_watt(pc) - 240.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn cutting_power(kc: SpecificForce, q: RemovalRate) -> Power {
    kc * q
}

/// Returns the mean tangential force from power and surface speed.
///
/// # Formula
///
/// ```text
/// Ft = Pc / vc
/// ```
///
/// | symbol | meaning       | unit  | valid range |
/// |--------|---------------|-------|-------------|
/// | `Ft`   | mean tangential force over a turn | N | result |
/// | `Pc`   | cutting power | W     | 0 and more  |
/// | `vc`   | surface speed | m/min | > 0         |
///
/// # Range of validity
///
/// A mean: with one flute the peak is several times as much ([`crate::cutting::helix`]).
///
/// # Source
///
/// Kalpakjian and Schmid, *Manufacturing Engineering and Technology*, turning a titanium rod (attribution from memory).
///
/// # Worked example
///
/// That problem: 10996 W at 94.25 m/min give 7.00 kN.
///
/// ```
/// use millside::cutting::power::mean_force;
/// use millside::quantity::m_per_min;
/// use millside::quantity::to_newton;
/// use millside::quantity::watt;
/// let ft = mean_force(watt(10_996.0), m_per_min(94.25));
/// assert!((to_newton(ft) - 7000.0).abs() < 5.0);
/// ```
///
/// # Errors
///
/// None; no speed gives an infinite force.
pub fn mean_force(pc: Power, vc: SurfaceSpeed) -> Force {
    pc / vc
}

/// Returns the power of a force along the surface speed.
///
/// # Formula
///
/// ```text
/// Pc = Ft · vc
/// ```
///
/// | symbol | meaning          | unit  | valid range |
/// |--------|------------------|-------|-------------|
/// | `Pc`   | cutting power    | W     | result      |
/// | `Ft`   | tangential force | N     | 0 and more  |
/// | `vc`   | surface speed    | m/min | 0 and more  |
///
/// # Range of validity
///
/// Exact; the power of the feed is left out (under 1 %).
///
/// # Source
///
/// Examination GATE 1994 (production engineering), parting off.
///
/// # Worked example
///
/// That question: 320 N at 60 m/min give 320 W.
///
/// ```
/// use millside::cutting::power::power_of_force;
/// use millside::quantity::m_per_min;
/// use millside::quantity::newton;
/// use millside::quantity::to_watt;
/// assert!((to_watt(power_of_force(newton(320.0), m_per_min(60.0))) - 320.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn power_of_force(ft: Force, vc: SurfaceSpeed) -> Power {
    ft * vc
}

/// Returns the torque of a tangential force at the cutter's rim.
///
/// # Formula
///
/// ```text
/// M = Ft · D / 2
/// ```
///
/// | symbol | meaning            | unit | valid range |
/// |--------|--------------------|------|-------------|
/// | `M`    | torque             | N m  | result      |
/// | `Ft`   | tangential force   | N    | 0 and more  |
/// | `D`    | diameter that cuts | mm   | > 0         |
///
/// # Range of validity
///
/// Exact.
///
/// # Source
///
/// Definition of torque.
///
/// # Worked example
///
/// By hand: 100 N at 6 mm give 0.3 N m.
///
/// ```
/// use millside::cutting::power::torque_of_force;
/// use millside::quantity::mm;
/// use millside::quantity::newton;
/// use millside::quantity::to_newton_metre;
/// assert!((to_newton_metre(torque_of_force(newton(100.0), mm(6.0))) - 0.3).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn torque_of_force(ft: Force, d: Length) -> Torque {
    (ft * d / 2.0).into()
}

/// Returns the torque at which a shaft carries a power.
///
/// # Formula
///
/// ```text
/// M = P / (2π · n)      (in the shop: 9550 · kW / rpm)
/// ```
///
/// | symbol | meaning | unit  | valid range |
/// |--------|---------|-------|-------------|
/// | `M`    | torque  | N m   | result      |
/// | `P`    | power   | W     | 0 and more  |
/// | `n`    | speed   | 1/min | > 0         |
///
/// # Range of validity
///
/// Exact.
///
/// # Source
///
/// Definition; text *Torque and Speed*.
///
/// # Worked example
///
/// That text: 10 kW at 1450 rpm give 65.9 N m.
///
/// ```
/// use millside::cutting::power::torque_of_power;
/// use millside::quantity::rpm;
/// use millside::quantity::to_newton_metre;
/// use millside::quantity::watt;
/// let m = torque_of_power(watt(10_000.0), rpm(1450.0));
/// assert!((to_newton_metre(m) - 65.9).abs() < 0.05);
/// ```
///
/// # Errors
///
/// None; no speed gives an infinite torque.
pub fn torque_of_power(p: Power, n: SpindleSpeed) -> Torque {
    (p / (2.0 * PI * n)).into()
}

/// Returns the power of a torque on a turning shaft.
///
/// # Formula
///
/// ```text
/// P = 2π · n · M
/// ```
///
/// | symbol | meaning | unit  | valid range |
/// |--------|---------|-------|-------------|
/// | `P`    | power   | W     | result      |
/// | `n`    | speed   | 1/min | 0 and more  |
/// | `M`    | torque  | N m   | 0 and more  |
///
/// # Range of validity
///
/// Exact.
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1152, drilling formulas: Pc = M N / 9550.
///
/// # Worked example
///
/// From that formula by hand: 5 N m at 955 rpm give 0.5 kW.
///
/// ```
/// use millside::cutting::power::power_of_torque;
/// use millside::quantity::newton_metre;
/// use millside::quantity::rpm;
/// use millside::quantity::to_watt;
/// let p = power_of_torque(newton_metre(5.0), rpm(955.0));
/// assert!((to_watt(p) - 500.0).abs() < 0.1);
/// ```
///
/// # Errors
///
/// None.
pub fn power_of_torque(m: Torque, n: SpindleSpeed) -> Power {
    2.0 * PI * n * uom::si::f64::Energy::from(m)
}

/// Returns the power that the motor must give for a power at the cutter.
///
/// # Formula
///
/// ```text
/// Pm = Pc / η
/// ```
///
/// | symbol | meaning                           | unit | valid range |
/// |--------|-----------------------------------|------|-------------|
/// | `Pm`   | power at the motor's shaft        | W    | result      |
/// | `Pc`   | cutting power                     | W    | 0 and more  |
/// | `η`    | efficiency from motor to spindle  | -    | > 0 to 1    |
///
/// # Range of validity
///
/// At load; idle losses of a belt count more at light cuts.
///
/// # Source
///
/// *Machinery's Handbook*, *Estimating Machining Power* (from memory): Pm = Pc / E.
///
/// # Worked example
///
/// Handbook (from memory): 5.1 hp at the cutter, E = 0.80, give 6.4 hp.
///
/// ```
/// use millside::cutting::power::motor_power;
/// use millside::quantity::horsepower;
/// use millside::quantity::to_horsepower;
/// assert!((to_horsepower(motor_power(horsepower(5.1), 0.8)) - 6.375).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None; an efficiency of 0 gives infinity.
pub fn motor_power(pc: Power, efficiency: f64) -> Power {
    pc / efficiency
}

/// Returns the specific energy that a measured power and removal rate amount to.
///
/// # Formula
///
/// ```text
/// u = P / Q
/// ```
///
/// | symbol | meaning         | unit    | valid range |
/// |--------|-----------------|---------|-------------|
/// | `u`    | specific energy | J/mm³   | result      |
/// | `P`    | power           | W       | 0 and more  |
/// | `Q`    | removal rate    | cm³/min | > 0         |
///
/// # Range of validity
///
/// Exact; a cross-check of the metal's constants against a wattmeter.
///
/// # Source
///
/// Examination GATE 1991 (mechanical engineering), question; the value computed outside this program.
///
/// # Worked example
///
/// That question: 670 W, 7040 mm³/min give 5710 N/mm².
///
/// ```
/// use millside::cutting::power::specific_energy;
/// use millside::quantity::cm3_per_min;
/// use millside::quantity::to_n_per_mm2;
/// use millside::quantity::watt;
/// let u = specific_energy(watt(670.0), cm3_per_min(7.04));
/// assert!((to_n_per_mm2(u) - 5710.0).abs() < 1.0);
/// ```
///
/// # Errors
///
/// None; nothing removed gives infinity.
pub fn specific_energy(p: Power, q: RemovalRate) -> SpecificForce {
    p / q
}

/// Returns the power at the cutter by the handbook's unit power.
///
/// # Formula
///
/// ```text
/// Pc = Kp · C · Q · W
/// ```
///
/// | symbol | meaning                    | unit       | valid range |
/// |--------|----------------------------|------------|-------------|
/// | `Pc`   | cutting power              | hp         | result      |
/// | `Kp`   | unit power of the metal    | hp min/in³ | > 0         |
/// | `C`    | factor of the chip load    | -          | 0.7 to 1.7  |
/// | `Q`    | removal rate               | in³/min    | 0 and more  |
/// | `W`    | factor of the worn edge    | -          | 1 to 1.6    |
///
/// # Range of validity
///
/// A second opinion beside Kienzle: they agree within about a third for chips above 0.05 mm.
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 1147, table 1b (Kp), formula and example from memory.
///
/// # Worked example
///
/// Handbook (from memory): Kp 0.62, C 0.94, Q 6.72 in³/min, W 1.3 give 5.1 hp.
///
/// ```
/// use millside::cutting::power::unit_power;
/// use millside::quantity::hp_min_per_inch3;
/// use millside::quantity::inch3_per_min;
/// use millside::quantity::to_horsepower;
/// let pc = unit_power(hp_min_per_inch3(0.62), 0.94, inch3_per_min(6.72), 1.3);
/// assert!((to_horsepower(pc) - 5.0913).abs() < 1e-3);
/// ```
///
/// # Errors
///
/// None.
pub fn unit_power(kp: SpecificForce, c: f64, q: RemovalRate, wear: f64) -> Power {
    kp * c * q * wear
}
