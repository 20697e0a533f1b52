//! Effects: files, clock, terminal. Nothing else touches them.

pub mod alive;
mod beside;
pub mod browse;
pub mod care;
pub mod clock;
pub mod files;
pub mod folders;
pub mod held;
pub mod lock;
pub mod main;
pub mod open;
pub mod outside;
pub mod panics;
pub mod patient;
pub mod said;
pub mod save;
pub mod saver;
pub mod screen;
pub mod store;
pub mod stray;
pub mod terminal;
pub mod work;
pub mod worker;
