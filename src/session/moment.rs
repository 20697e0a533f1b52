//! A point in time, on two clocks at once.

use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;

/// Wall time and monotonic time, read together at the edge.
///
/// Time spent is measured on the monotonic clock, which no one can set; the wall clock
/// dates the record and shows, by differing from the other, that the machine slept or
/// that somebody set the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    /// Date and time of day with the offset of the place.
    pub wall: DateTime<FixedOffset>,
    /// Time since an arbitrary origin that is the same for one run of the program.
    pub mono: Duration,
}

/// By how much the two clocks may differ before it is worth a question.
pub const TOLERATED_DRIFT: Duration = Duration::from_secs(5);

impl Moment {
    /// Time since an earlier moment on the monotonic clock; zero when `earlier` is later.
    pub fn since(self, earlier: Self) -> Duration {
        self.mono.saturating_sub(earlier.mono)
    }

    /// Wall time passed since `earlier` beyond monotonic time passed, in seconds.
    ///
    /// Positive when the computer slept or the clock was put forward; negative when it was put back.
    pub fn drift_s(self, earlier: Self) -> f64 {
        let wall_ms = (self.wall - earlier.wall).num_milliseconds();
        let mono_ms = i64::try_from(self.since(earlier).as_millis()).unwrap_or(i64::MAX);
        wall_ms.saturating_sub(mono_ms) as f64 / 1000.0
    }
}
