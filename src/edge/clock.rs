//! The real clocks.

use std::time::Instant;

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
            wall: Local::now().fixed_offset(),
            mono: self.origin.elapsed(),
        }
    }
}
