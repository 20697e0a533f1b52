//! What a machine can do, and how it takes corners.

/// How corners between feed moves are taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Corner {
    /// Comes to rest at every block end.
    Stop,
    /// Rounds the corner within a tolerance, mm, greater than zero.
    Blend {
        /// Greatest distance between the programmed corner and the path, mm.
        tolerance_mm: f64,
    },
}

/// How rapids run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RapidPath {
    /// All axes together on a straight line.
    #[default]
    Straight,
    /// Each axis at its own speed: a bent path.
    DogLeg,
}

/// Limits of a machine's motion. Speeds in mm/s, accelerations in mm/s².
#[derive(Clone, Debug, PartialEq)]
pub struct MotionLimits {
    /// Top feed of each axis, mm/s.
    pub feed_mm_s: [f64; 3],
    /// Rapid speed of each axis, mm/s.
    pub rapid_mm_s: [f64; 3],
    /// Acceleration of each axis, mm/s².
    pub acceleration_mm_s2: [f64; 3],
    /// How corners are taken.
    pub corner: Corner,
    /// How rapids run.
    pub rapid_path: RapidPath,
    /// Jerk along the path, mm/s³; `None` leaves it out.
    pub jerk_mm_s3: Option<f64>,
    /// Factor on programmed feeds, 1 for 100 %.
    pub feed_override: f64,
    /// Resolution of the program's coordinates, mm: shorter steps are rounding.
    pub resolution_mm: f64,
    /// Blocks of the program that the control knows beyond the one it runs; `None` for all of them. It never
    /// goes faster than it can stop within these, since it cannot know what comes behind them.
    pub look_ahead_blocks: Option<u32>,
    /// Dead time of each stop, s.
    pub stop_s: f64,
    /// Time of a spindle start or change of speed, s; `None` leaves it out.
    pub spindle_start_s: Option<f64>,
    /// Time of a tool change, s; `None` leaves it out.
    pub tool_change_s: Option<f64>,
}

impl MotionLimits {
    /// Limits with straight rapids, no jerk limit, three decimals, the whole program known ahead and no dead time.
    pub fn new(
        feed_mm_s: [f64; 3],
        rapid_mm_s: [f64; 3],
        acceleration_mm_s2: [f64; 3],
        corner: Corner,
    ) -> Self {
        let sound = |v: f64| if v.is_finite() && v > 1e-6 { v } else { 1e-6 };
        Self {
            feed_mm_s: feed_mm_s.map(sound),
            rapid_mm_s: rapid_mm_s.map(sound),
            acceleration_mm_s2: acceleration_mm_s2.map(sound),
            corner: match corner {
                Corner::Blend { tolerance_mm } if tolerance_mm > 0.0 => corner,
                _ => Corner::Stop,
            },
            rapid_path: RapidPath::Straight,
            jerk_mm_s3: None,
            feed_override: 1.0,
            resolution_mm: 0.001,
            look_ahead_blocks: None,
            stop_s: 0.0,
            spindle_start_s: None,
            tool_change_s: None,
        }
    }

    /// The greatest value along a direction that keeps every axis within its limit:
    /// `min limit_i / |u_i|`.
    pub fn along(limits: &[f64; 3], direction: [f64; 3]) -> f64 {
        let mut least = f64::INFINITY;
        for (limit, u) in limits.iter().zip(direction) {
            let u = u.abs();
            if u * least > *limit {
                least = limit / u;
            }
        }
        least
    }

    /// The greatest value in a plane with unit normal `n`, whatever the direction in it:
    /// `min limit_i / sqrt(1 - n_i²)`.
    pub fn in_plane(limits: &[f64; 3], n: [f64; 3]) -> f64 {
        let mut least = f64::INFINITY;
        for (limit, n) in limits.iter().zip(n) {
            let share = (1.0 - n * n).max(0.0).sqrt();
            if share * least > *limit {
                least = limit / share;
            }
        }
        least
    }
}
