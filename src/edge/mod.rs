//! Effects: files, clock, terminal. Nothing else touches them.

pub mod files;
pub mod folders;
pub mod main;
