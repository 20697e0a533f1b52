//! Whoever wants to see each motion once, in the order of the program.

use crate::program::motion::Motion;

/// Sees each motion and event of a program once.
pub trait Fold {
    /// A motion.
    fn motion(&mut self, motion: &Motion);
    /// A dwell of so many seconds.
    fn dwell(&mut self, seconds: f64);
    /// The machine stands still: a stop, a tool change, the end, a new section.
    fn halt(&mut self) {}
    /// A section begins; its number counts from 0.
    fn section(&mut self, _number: usize, _tool: Option<u32>) {}
}
