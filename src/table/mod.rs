//! Standard tables as data: drills, threads.

pub mod drills;
pub mod threads;
