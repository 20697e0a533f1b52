//! Whoever wants to see each motion once, in the order of the program.

use crate::program::motion::MachineMove;
use crate::program::motion::Motion;
use crate::program::summary::Units;

/// Sees each motion and event of a program once.
pub trait Fold {
    /// A motion.
    fn motion(&mut self, motion: &Motion);
    /// A dwell of so many seconds.
    fn dwell(&mut self, seconds: f64);
    /// The machine stands still: a stop, a tool change, the end, a new section.
    fn halt(&mut self) {}
    /// The first motion with a tool comes next; `comment` is what the program's comments say of it, and
    /// `units` those in force.
    fn tool(&mut self, _tool: Option<u32>, _comment: &str, _units: Units) {}
    /// From here on the numbers count from another zero: work system 0 for G54, G92 used, and whether the program moved
    /// it away from where it was set by hand.
    fn zero(&mut self, _system: usize, _is_named: bool, _is_moved: bool) {}
    /// The program starts or stops the spindle; it stands still at first.
    fn spindle(&mut self, _is_turning: bool) {}
    /// The next motion goes to a place that only the machine knows, X or Y among its axes.
    fn machine_move(&mut self, _machine_move: &MachineMove) {}
    /// M6 is carried out in this line.
    fn tool_change(&mut self, _line: u64) {}
}
