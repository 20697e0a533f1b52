//! The one owner of a session's state: events, facts, gate, clock.

pub mod clock;
pub mod fact;
pub mod matrix;
pub mod moment;
