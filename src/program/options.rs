//! What the reader may be told about the machine and the switches.

use std::collections::BTreeMap;

use crate::program::time::limits::MotionLimits;

/// What is known before the program is read. The default knows nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReadOptions {
    /// Where the tool starts, in the program's own numbers, mm; an axis that is not stated is unknown.
    pub start_mm: [Option<f64>; 3],
    /// Origins of the nine work systems in machine coordinates, mm. `None`: not known, and the
    /// tool's place is unknown after a change of system.
    pub origins_mm: Option<[[f64; 3]; 9]>,
    /// Tool lengths by H number, mm. `None`: no table was given, and Z is unknown after a new H.
    pub tool_lengths_mm: Option<BTreeMap<u32, f64>>,
    /// Reference point of G28 in machine coordinates, mm.
    pub g28_mm: Option<[f64; 3]>,
    /// Reference point of G30 in machine coordinates, mm.
    pub g30_mm: Option<[f64; 3]>,
    /// Whether the block-delete switch is on: lines that begin with `/` are skipped.
    pub block_delete: bool,
    /// How far above the last bottom a peck begins to feed again, mm; a machine value.
    pub peck_backoff_mm: f64,
    /// Keep the motions in memory, up to this many steps of some 100 bytes; 0 keeps none.
    pub keep_steps: usize,
    /// Line before which places to begin again are kept.
    pub restart_line: Option<u64>,
    /// Limits of the machine's motion, for an estimate of the time.
    pub motion: Option<MotionLimits>,
    /// Whether pecks retract to the clear level (the old level under G98) instead of R.
    pub pecks_to_clear: bool,
}
