//! Time of one block between two speeds.
//!
//! Closed forms of motion with limited speed and acceleration, and with limited jerk (Biagiotti and
//! Melchiorri, Trajectory Planning for Automatic Machines and Robots, 2008, chapter 3, from memory).

/// A block: length in mm, acceleration in mm/s², jerk in mm/s³ if limited.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ramp {
    /// Acceleration and deceleration along the path.
    pub a: f64,
    /// Jerk along the path.
    pub jerk: Option<f64>,
}

/// Steps of a bisection: 2^-60 of the range.
const STEPS: u32 = 60;

impl Ramp {
    /// Time of a change of speed by `dv`.
    ///
    /// ```text
    /// t = dv/a + a/j   if dv >= a²/j,   else 2·sqrt(dv/j);   without jerk t = dv/a
    /// ```
    fn change_s(self, dv: f64) -> f64 {
        match self.jerk {
            None => dv / self.a,
            Some(j) if dv >= self.a * self.a / j => dv / self.a + self.a / j,
            Some(j) => 2.0 * (dv / j).sqrt(),
        }
    }

    /// Path of a change of speed: the mean speed holds, by symmetry, with and without jerk.
    fn change_mm(self, from: f64, to: f64) -> f64 {
        (from + to) / 2.0 * self.change_s((to - from).abs())
    }

    /// The greatest speed at the other end of a length, from speed `v` at this end.
    pub fn reach(self, v: f64, length: f64) -> f64 {
        if self.jerk.is_none() {
            return (v * v + 2.0 * self.a * length).sqrt();
        }
        // Never more than without a jerk limit.
        let (mut low, mut high) = (v, (v * v + 2.0 * self.a * length).sqrt());
        for _ in 0..STEPS {
            let middle = f64::midpoint(low, high);
            if self.change_mm(v, middle) <= length {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    /// Path needed to stop from speed `v`.
    pub fn stop_mm(self, v: f64) -> f64 {
        self.change_mm(v, 0.0)
    }

    /// Time of a length from speed `v0` to speed `v1` with at most speed `cap` between.
    ///
    /// # Formula
    ///
    /// ```text
    /// vp² = (v0² + v1²)/2 + a·L
    /// vp <= V:  t = (2·vp - v0 - v1)/a
    /// else      t = (V - v0)/a + (V - v1)/a + (L - (2·V² - v0² - v1²)/(2·a))/V
    /// ```
    ///
    /// The triangle is computed without cancellation, with h = (v1² - v0²)/2:
    /// `t = ((a·L + h)/(vp + v0) + (a·L - h)/(vp + v1))/a`, numerators not below 0.
    pub fn time_s(self, length: f64, v0: f64, v1: f64, cap: f64) -> f64 {
        if length <= 0.0 {
            return 0.0;
        }
        if self.jerk.is_some() {
            return self.time_with_jerk_s(length, v0, v1, cap);
        }
        let a = self.a;
        let peak2 = f64::midpoint(v0 * v0, v1 * v1) + a * length;
        if peak2 <= cap * cap {
            let peak = peak2.sqrt();
            let h = (v1 * v1 - v0 * v0) / 2.0;
            let up = (a * length + h).max(0.0);
            let down = (a * length - h).max(0.0);
            let part = |numerator: f64, sum: f64| if sum > 0.0 { numerator / sum } else { 0.0 };
            (part(up, peak + v0) + part(down, peak + v1)) / a
        } else {
            let ramps = (2.0 * cap * cap - v0 * v0 - v1 * v1) / (2.0 * a);
            (cap - v0) / a + (cap - v1) / a + (length - ramps).max(0.0) / cap
        }
    }

    fn time_with_jerk_s(self, length: f64, v0: f64, v1: f64, cap: f64) -> f64 {
        let least = v0.max(v1);
        let path = |peak: f64| self.change_mm(v0, peak) + self.change_mm(peak, v1);
        if path(cap) <= length {
            let cruise = (length - path(cap)) / cap;
            return self.change_s(cap - v0) + self.change_s(cap - v1) + cruise;
        }
        let (mut low, mut high) = (least, cap.max(least));
        for _ in 0..STEPS {
            let middle = f64::midpoint(low, high);
            if path(middle) <= length {
                low = middle;
            } else {
                high = middle;
            }
        }
        let rest = (length - path(low)).max(0.0);
        let cruise = if low > 0.0 { rest / low } else { 0.0 };
        self.change_s((low - v0).abs()) + self.change_s((low - v1).abs()) + cruise
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_agree_where_the_triangle_ends() {
        // L = V²/a exactly: both give 2V/a.
        let ramp = Ramp {
            a: 200.0,
            jerk: None,
        };
        assert!((ramp.time_s(12.5, 0.0, 0.0, 50.0) - 0.5).abs() < 1e-12);
        assert!((ramp.time_s(12.5, 0.0, 0.0, 50.0 - 1e-9) - 0.5).abs() < 1e-8);
    }

    #[test]
    fn a_tiny_jerk_time_tends_to_the_time_without() {
        let with = Ramp {
            a: 200.0,
            jerk: Some(1e9),
        };
        let without = Ramp {
            a: 200.0,
            jerk: None,
        };
        for (length, v0, v1) in [(0.5, 0.0, 0.0), (10.0, 5.0, 12.0), (100.0, 20.0, 0.0)] {
            let difference =
                with.time_s(length, v0, v1, 20.0) - without.time_s(length, v0, v1, 20.0);
            assert!((0.0..1e-3).contains(&difference), "{length}: {difference}");
        }
    }

    #[test]
    fn the_reached_speed_needs_just_the_length() {
        let ramp = Ramp {
            a: 200.0,
            jerk: Some(2000.0),
        };
        let v = ramp.reach(3.0, 2.0);
        assert!((ramp.change_mm(3.0, v) - 2.0).abs() < 1e-9);
    }
}
