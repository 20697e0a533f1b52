//! The real clocks.

use std::time::Instant;
use std::time::SystemTime;

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::Local;

use crate::session::moment::Moment;

/// Reads wall and monotonic time together.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    origin: Instant,
}

impl Clock {
    /// A clock whose monotonic time begins now.
    pub fn begin() -> Self {
        Self {
            origin: Instant::now(),
        }
    }

    /// Now, on both clocks.
    pub fn now(self) -> Moment {
        Moment {
            wall: wall(SystemTime::now()),
            mono: self.origin.elapsed(),
        }
    }
}

/// Date and time of day here. A clock that was never set may stand before 1970.
pub fn wall(time: SystemTime) -> DateTime<FixedOffset> {
    DateTime::<Local>::from(time).fixed_offset()
}
