//! Acceleration, dead time and rapid speed of an axis from runs timed by hand.
//!
//! A move is repeated there and back, so that the error of the hand is divided by the repeats.

use statrs::distribution::ContinuousCDF;
use statrs::distribution::StudentsT;

/// One timed run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Length of one move, mm, greater than zero.
    pub length_mm: f64,
    /// Number of moves, each from rest to rest.
    pub repeats: f64,
    /// Programmed feed, mm/min; `None` for rapids.
    pub feed_mm_min: Option<f64>,
    /// Time on the watch, s.
    pub seconds: f64,
}

/// A value with the half width of its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Half of the interval that holds the true value 95 times in 100; infinite with as many unknowns as runs.
    pub half_width: f64,
}

/// What the runs of an axis say.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Acceleration, mm/s², with its interval (not symmetric: from the interval of 1/a).
    pub acceleration_mm_s2: f64,
    /// Lower and upper end of the 95 % interval, mm/s².
    pub acceleration_interval: [f64; 2],
    /// Dead time of each stop, s.
    pub stop_s: Estimate,
    /// What starting and stopping the watch adds, s.
    pub start_s: Estimate,
    /// Runs that were too short to reach their feed at this acceleration: they were not used.
    pub too_short: usize,
    /// Rapid speed, mm/s, when rapids were timed.
    pub rapid_mm_s: Option<Estimate>,
}

/// Why nothing can be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Fewer than four usable runs.
    TooFewRuns,
    /// All runs at one feed: acceleration and dead time cannot be told apart.
    OneFeed,
    /// All runs with one number of moves: dead time and the watch cannot be told apart.
    OneCount,
    /// The best fit has no positive acceleration, or a negative dead time beyond its error.
    NotPhysical,
}

impl NoFit {
    /// What to do about it.
    pub fn words(self) -> &'static str {
        match self {
            Self::TooFewRuns => "time at least four runs that reach their feed",
            Self::OneFeed => "time runs at two feeds at least",
            Self::OneCount => "time runs with different numbers of moves",
            Self::NotPhysical => {
                "the times do not fit a machine that accelerates evenly; time the runs again, with more moves each"
            }
        }
    }
}

/// Fits the runs of one axis.
///
/// # Formula
///
/// ```text
/// T = N·L/V + (1/a)·N·V + s·N + c
/// ```
///
/// | symbol | meaning                           | unit  |
/// |--------|-----------------------------------|-------|
/// | `T`    | time on the watch                 | s     |
/// | `N`    | number of moves                   | -     |
/// | `L`    | length of a move                  | mm    |
/// | `V`    | feed                              | mm/s  |
/// | `a`    | acceleration                      | mm/s² |
/// | `s`    | dead time of a stop               | s     |
/// | `c`    | start and stop of the watch       | s     |
///
/// # Range of validity
///
/// Moves that reach their feed: `L >= V²/a`. Shorter ones are left out and counted.
///
/// # Source
///
/// Trapezoid of speed, text-book kinematics; ordinary least squares with Student's t for the intervals.
///
/// # Errors
///
/// [`NoFit`] says what is missing.
pub fn fit(runs: &[Run]) -> Result<Fit, NoFit> {
    let mut used: Vec<Run> = runs
        .iter()
        .copied()
        .filter(|run| run.feed_mm_min.is_some_and(|f| f > 0.0) && is_sound(run))
        .collect();
    let all = used.len();
    loop {
        if used.len() < 4 {
            return Err(NoFit::TooFewRuns);
        }
        if !differ(used.iter().filter_map(|r| r.feed_mm_min)) {
            return Err(NoFit::OneFeed);
        }
        if !differ(used.iter().map(|r| r.repeats)) {
            return Err(NoFit::OneCount);
        }
        let rows: Vec<([f64; 3], f64)> = used
            .iter()
            .map(|run| {
                let v = speed(run);
                let n = run.repeats;
                ([n * v, n, 1.0], run.seconds - n * run.length_mm / v)
            })
            .collect();
        let [inverse, stop_s, start_s] = least_squares(&rows).ok_or(NoFit::NotPhysical)?;
        if inverse.value <= 0.0 || stop_s.value < -stop_s.half_width {
            return Err(NoFit::NotPhysical);
        }
        let a = 1.0 / inverse.value;
        let before = used.len();
        used.retain(|run| run.length_mm >= speed(run).powi(2) / a);
        if used.len() < before {
            continue;
        }
        let low = inverse.value + inverse.half_width;
        let high = inverse.value - inverse.half_width;
        return Ok(Fit {
            acceleration_mm_s2: a,
            acceleration_interval: [
                1.0 / low,
                if high > 0.0 {
                    1.0 / high
                } else {
                    f64::INFINITY
                },
            ],
            stop_s,
            start_s,
            too_short: all - used.len(),
            rapid_mm_s: rapid(runs),
        });
    }
}

/// Rapid speed from `T = D/Vmax + N·p + c`, D the whole way.
fn rapid(runs: &[Run]) -> Option<Estimate> {
    let rows: Vec<([f64; 3], f64)> = runs
        .iter()
        .filter(|run| run.feed_mm_min.is_none() && is_sound(run))
        .map(|run| ([run.repeats * run.length_mm, run.repeats, 1.0], run.seconds))
        .collect();
    if rows.len() < 3 {
        return None;
    }
    let [inverse, ..] = least_squares(&rows)?;
    (inverse.value > 0.0).then(|| Estimate {
        value: 1.0 / inverse.value,
        // To first order.
        half_width: inverse.half_width / inverse.value.powi(2),
    })
}

fn is_sound(run: &Run) -> bool {
    [run.length_mm, run.repeats, run.seconds]
        .iter()
        .all(|v| v.is_finite() && *v > 0.0)
}

fn speed(run: &Run) -> f64 {
    run.feed_mm_min.unwrap_or(f64::NAN) / 60.0
}

fn differ(values: impl Iterator<Item = f64>) -> bool {
    let (low, high) = values.fold((f64::INFINITY, 0.0_f64), |(low, high), v| {
        (low.min(v), high.max(v))
    });
    high > low * 1.01
}

/// Ordinary least squares with three unknowns; the half widths are those of 95 % intervals.
fn least_squares(rows: &[([f64; 3], f64)]) -> Option<[Estimate; 3]> {
    // Columns of very different size are brought to one before they are solved.
    let scale: [f64; 3] = std::array::from_fn(|i| {
        rows.iter()
            .map(|(x, _)| x[i].abs())
            .fold(0.0, f64::max)
            .max(f64::MIN_POSITIVE)
    });
    let mut m = [[0.0; 3]; 3];
    let mut b = [0.0; 3];
    for (x, y) in rows {
        for i in 0..3 {
            for j in 0..3 {
                m[i][j] += x[i] / scale[i] * x[j] / scale[j];
            }
            b[i] += x[i] / scale[i] * y;
        }
    }
    let inverse = invert(m)?;
    let solved: [f64; 3] = std::array::from_fn(|i| (0..3).map(|j| inverse[i][j] * b[j]).sum());
    let rest: f64 = rows
        .iter()
        .map(|(x, y)| {
            let found: f64 = (0..3).map(|i| solved[i] * x[i] / scale[i]).sum();
            (y - found).powi(2)
        })
        .sum();
    let freedom = rows.len() as f64 - 3.0;
    let t = if freedom > 0.0 {
        StudentsT::new(0.0, 1.0, freedom).ok()?.inverse_cdf(0.975)
    } else {
        f64::INFINITY
    };
    Some(std::array::from_fn(|i| Estimate {
        value: solved[i] / scale[i],
        half_width: if freedom > 0.0 {
            t * (rest / freedom * inverse[i][i]).max(0.0).sqrt() / scale[i]
        } else {
            f64::INFINITY
        },
    }))
}

/// Inverse of a symmetric 3 by 3 matrix by its cofactors.
fn invert(m: [[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let cofactor = |i: usize, j: usize| -> f64 {
        let (a, b) = ((i + 1) % 3, (i + 2) % 3);
        let (c, d) = ((j + 1) % 3, (j + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let determinant: f64 = (0..3).map(|j| m[0][j] * cofactor(0, j)).sum();
    if !determinant.is_finite() || determinant.abs() < 1e-12 {
        return None;
    }
    Some(std::array::from_fn(|i| {
        std::array::from_fn(|j| cofactor(j, i) / determinant)
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(v: f64, length_mm: f64, repeats: f64, seconds: f64) -> Run {
        Run {
            length_mm,
            repeats,
            feed_mm_min: Some(v * 60.0),
            seconds,
        }
    }

    #[test]
    fn the_simulated_machine_is_found_within_its_interval() {
        // Computed outside this program: true a = 250 mm/s², s = 0.03 s, c = 0.25 s, noise of 0.15 s;
        // numpy gives a = 244.0 (232 to 257), s = 0.0258 ± 0.0039, c = 0.287 ± 0.100.
        let runs = [
            run(10.0, 50.0, 10.0, 51.0),
            run(10.0, 5.0, 40.0, 23.1),
            run(20.0, 50.0, 20.0, 52.4),
            run(20.0, 5.0, 60.0, 21.7),
            run(40.0, 100.0, 20.0, 54.0),
            run(40.0, 10.0, 60.0, 26.5),
            run(50.0, 150.0, 20.0, 64.9),
            run(50.0, 12.0, 60.0, 28.7),
        ];
        let fit = fit(&runs).unwrap();
        assert!((fit.acceleration_mm_s2 - 244.0).abs() < 0.5, "{fit:?}");
        assert!(
            (fit.acceleration_interval[0] - 232.0).abs() < 1.0,
            "{fit:?}"
        );
        assert!(
            (fit.acceleration_interval[1] - 257.0).abs() < 1.0,
            "{fit:?}"
        );
        assert!((fit.stop_s.value - 0.0258).abs() < 1e-4, "{fit:?}");
        assert!((fit.start_s.value - 0.287).abs() < 1e-3, "{fit:?}");
        assert_eq!(fit.too_short, 0);
    }

    #[test]
    fn four_runs_without_noise_give_the_machine_exactly() {
        // 600 mm at 30 and 15 mm/s as 6 and as 120 moves: a = 250, s = 0.03 (same study, noise-free).
        let time = |v: f64, n: f64| 600.0 / v + n * (v / 250.0 + 0.03) + 0.2;
        let runs = [
            run(30.0, 100.0, 6.0, time(30.0, 6.0)),
            run(30.0, 5.0, 120.0, time(30.0, 120.0)),
            run(15.0, 100.0, 6.0, time(15.0, 6.0)),
            run(15.0, 5.0, 120.0, time(15.0, 120.0)),
        ];
        let fit = fit(&runs).unwrap();
        assert!((fit.acceleration_mm_s2 - 250.0).abs() < 1e-6, "{fit:?}");
        assert!((fit.stop_s.value - 0.03).abs() < 1e-9);
    }

    #[test]
    fn rapids_give_their_speed() {
        // Same study: true 66 mm/s, the slope gives 66.2.
        let rapid = |length_mm: f64, repeats: f64, seconds: f64| Run {
            length_mm,
            repeats,
            feed_mm_min: None,
            seconds,
        };
        let runs = [
            rapid(300.0, 10.0, 48.6),
            rapid(150.0, 20.0, 51.5),
            rapid(40.0, 60.0, 54.3),
            rapid(40.0, 30.0, 27.3),
        ];
        let found = super::rapid(&runs).unwrap();
        assert!((found.value - 66.2).abs() < 0.3, "{found:?}");
    }

    #[test]
    fn what_cannot_be_told_apart_is_refused() {
        let one_feed = [
            run(10.0, 50.0, 10.0, 51.0),
            run(10.0, 5.0, 40.0, 23.1),
            run(10.0, 20.0, 20.0, 41.0),
            run(10.0, 30.0, 20.0, 61.0),
        ];
        assert_eq!(fit(&one_feed), Err(NoFit::OneFeed));
        assert_eq!(fit(&one_feed[..2]), Err(NoFit::TooFewRuns));
        assert_eq!(fit(&[]), Err(NoFit::TooFewRuns));
        let broken = [run(f64::NAN, 1.0, 1.0, 1.0), run(1.0, -1.0, 1.0, 1.0)];
        assert_eq!(fit(&broken), Err(NoFit::TooFewRuns));
    }
}
