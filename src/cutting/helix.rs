//! Force of a helical cutter over a turn: peak, mean and direction.
//!
//! A tooth of a helical cutter is not at one angle: its upper end lags. The force at a moment is the sum
//! over every slice of every tooth that is in the metal. With the thickness `h = fz · sin φ` and Kienzle's
//! `kc`, a slice of height `dz` takes `kc1.1 · fz^(1-mc) · sin^(1-mc) φ · dz`. Along one tooth φ changes in
//! proportion to z, so the sum over a tooth is a difference of one integral, which is tabled once.

use std::f64::consts::FRAC_PI_2;
use std::f64::consts::PI;

/// Steps of the table over 0 to π.
const STEPS: usize = 256;
/// Moments of a tooth's passage at which the sum is taken; the peak lies at or near one of them.
const MOMENTS: usize = 16;

/// Integrals of `sin^p φ` and `sin^p φ · sin φ` from 0 to φ, with p = 1 - mc.
#[derive(Clone, Debug)]
pub struct SinePower {
    p: f64,
    plain: [f64; STEPS + 1],
    with_sine: [f64; STEPS + 1],
}

impl SinePower {
    /// Tables the integrals for an exponent `mc` of 0 to 1.
    pub fn new(mc: f64) -> Self {
        let p = 1.0 - mc;
        let step = PI / STEPS as f64;
        let mut plain = [0.0; STEPS + 1];
        let mut with_sine = [0.0; STEPS + 1];
        for i in 0..STEPS {
            // Three-point Gauss rule in each step: exact enough where the power has a cusp at 0 and π.
            let middle = (i as f64 + 0.5) * step;
            let mut sum = 0.0;
            let mut sum_with_sine = 0.0;
            for (offset, weight) in [
                (-0.774_596_669_241_483_4, 5.0 / 18.0),
                (0.0, 8.0 / 18.0),
                (0.774_596_669_241_483_4, 5.0 / 18.0),
            ] {
                let sine = (middle + offset * step / 2.0).sin();
                let power = sine.powf(p);
                sum += weight * power;
                sum_with_sine += weight * power * sine;
            }
            plain[i + 1] = plain[i] + sum * step;
            with_sine[i + 1] = with_sine[i] + sum_with_sine * step;
        }
        Self {
            p,
            plain,
            with_sine,
        }
    }

    fn look_up(table: &[f64; STEPS + 1], phi: f64) -> f64 {
        let at = (phi.clamp(0.0, PI) / PI) * STEPS as f64;
        let low = (at as usize).min(STEPS - 1);
        let share = at - low as f64;
        table[low] + (table[low + 1] - table[low]) * share
    }

    /// Integral of `sin^p` from 0 to φ (radians).
    pub fn integral(&self, phi: f64) -> f64 {
        Self::look_up(&self.plain, phi)
    }

    /// Integral of `sin^(p+1)` from 0 to φ (radians).
    pub fn integral_with_sine(&self, phi: f64) -> f64 {
        Self::look_up(&self.with_sine, phi)
    }

    /// Integral of `sin^p · cos` from 0 to φ (radians).
    pub fn integral_with_cosine(&self, phi: f64) -> f64 {
        phi.clamp(0.0, PI).sin().powf(self.p + 1.0) / (self.p + 1.0)
    }
}

/// Where the teeth are and how they lag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Teeth {
    /// Number of teeth, evenly spaced; 1 and more.
    pub count: u32,
    /// Angle where a tooth goes in, radians, 0 to `exit`.
    pub entry: f64,
    /// Angle where it comes out, radians, up to π.
    pub exit: f64,
    /// Lag of the upper end of a tooth behind its tip, radians: `ap · tan λ / R`.
    pub lag: f64,
}

/// Force over a turn as shares of `kc1.1 · fz^(1-mc) · ap`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shares {
    /// Greatest sum of tangential forces at one moment.
    pub peak: f64,
    /// Sum of tangential forces, mean over a turn.
    pub mean: f64,
    /// Mean force along the feed, of the tangential force alone.
    pub mean_feed_of_tangential: f64,
    /// Mean force square to the feed, of the tangential force alone.
    pub mean_normal_of_tangential: f64,
}

/// Returns peak and mean of the tangential force over a turn, summed along the helix and over the teeth.
///
/// # Formula
///
/// ```text
/// F(θ) = kc1.1 · fz^(1-mc) · ap · Σ over teeth (1/δ) ∫ sin^(1-mc) φ dφ,  φ from θ-δ to θ, inside the arc
/// mean = kc1.1 · fz^(1-mc) · ap · z / 2π · ∫ sin^(1-mc) φ dφ over the arc
/// ```
///
/// | symbol | meaning                        | unit | valid range |
/// |--------|--------------------------------|------|-------------|
/// | `θ`    | angle of a tooth's tip         | rad  | 0 to 2π     |
/// | `δ`    | lag of a tooth, `ap · tan λ / R` | rad | 0 and more |
/// | `λ`    | helix angle                    | deg  | 0 to 60     |
/// | `z`    | teeth                          | -    | 1 and more  |
///
/// # Range of validity
///
/// Circular tooth path, even pitch, no run-out, stiff tool. The peak is taken at the corners of the sum and
/// at 16 moments of a passage and is low by at most 1 %.
///
/// # Source
///
/// Kienzle's law summed over slices, as in Y. Altintas, *Manufacturing Automation*, 2nd ed., ch. 2 (from
/// memory); checked against a sum over 2000 slices in the tests.
///
/// # Worked example
///
/// By hand: one straight flute in a slot peaks at 1 and, with mc = 0, means (1/2π) ∫ sin φ dφ = 1/π.
///
/// ```
/// use millside::cutting::helix::SinePower;
/// use millside::cutting::helix::Teeth;
/// use millside::cutting::helix::over_a_turn;
/// let slot = Teeth { count: 1, entry: 0.0, exit: std::f64::consts::PI, lag: 0.0 };
/// let shares = over_a_turn(slot, &SinePower::new(0.0));
/// assert!((shares.peak - 1.0).abs() < 5e-3);
/// assert!((shares.mean - 1.0 / std::f64::consts::PI).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None; an empty arc gives no force.
pub fn over_a_turn(teeth: Teeth, table: &SinePower) -> Shares {
    // The lag moves force in time; it does not change a mean.
    let Teeth {
        count, entry, exit, ..
    } = teeth;
    if exit <= entry || count == 0 {
        return Shares {
            peak: 0.0,
            mean: 0.0,
            mean_feed_of_tangential: 0.0,
            mean_normal_of_tangential: 0.0,
        };
    }
    let per_turn = f64::from(count) / (2.0 * PI);
    let mean = per_turn * (table.integral(exit) - table.integral(entry));
    let cosine = table.integral_with_cosine(exit) - table.integral_with_cosine(entry);
    let sine = table.integral_with_sine(exit) - table.integral_with_sine(entry);
    Shares {
        peak: peak(teeth, table).max(mean),
        mean,
        mean_feed_of_tangential: per_turn * cosine,
        mean_normal_of_tangential: per_turn * sine,
    }
}

fn peak(teeth: Teeth, table: &SinePower) -> f64 {
    let pitch = 2.0 * PI / f64::from(teeth.count);
    let span = teeth.exit - teeth.entry + teeth.lag;
    // One tooth alone in the metal at a time: only its own passage matters.
    let passage = span.min(pitch);
    let behind = (span / pitch).ceil() as u32;
    let at = |tip: f64| -> f64 {
        (0..=behind)
            .map(|k| one_tooth(tip + f64::from(k) * pitch, teeth, table))
            .sum()
    };
    // Where a tip leaves the metal, where a tooth is in with its whole length, and where it stands around
    // the thickest chip, the sum has its corners and tops.
    let corners = [
        teeth.exit,
        teeth.entry + teeth.lag,
        (FRAC_PI_2 + teeth.lag / 2.0).clamp(teeth.entry, teeth.exit + teeth.lag),
    ];
    let even = (0..=MOMENTS).map(|i| teeth.entry + passage * i as f64 / MOMENTS as f64);
    corners
        .into_iter()
        .map(|tip| teeth.entry + (tip - teeth.entry).rem_euclid(pitch))
        .chain(even)
        .map(at)
        .fold(0.0, f64::max)
}

/// Force on one tooth whose tip stands at an angle.
fn one_tooth(tip: f64, teeth: Teeth, table: &SinePower) -> f64 {
    if teeth.lag < 1e-6 {
        return if (teeth.entry..=teeth.exit).contains(&tip) {
            tip.sin().max(0.0).powf(table.p)
        } else {
            0.0
        };
    }
    let low = (tip - teeth.lag).max(teeth.entry);
    let high = tip.min(teeth.exit);
    if high <= low {
        return 0.0;
    }
    (table.integral(high) - table.integral(low)) / teeth.lag
}
