//! Standard tables as data: drills, heads of screws, threads.

pub mod drills;
pub mod heads;
pub mod threads;
