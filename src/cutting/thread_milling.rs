//! Thread milling: the tool's centre runs slower or faster than its edge along the wall.

use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::to_ratio;

/// Returns the feed of the tool's centre when its edge runs along a wall inside.
///
/// # Formula
///
/// ```text
/// vm = vf · (D - d) / D
/// ```
///
/// | symbol | meaning                      | unit   | valid range |
/// |--------|------------------------------|--------|-------------|
/// | `vm`   | feed of the centre, as programmed | mm/min | result |
/// | `vf`   | feed of the edge             | mm/min | 0 and more  |
/// | `D`    | thread or bore               | mm     | > d         |
/// | `d`    | tool                         | mm     | > 0         |
///
/// # Range of validity
///
/// Programs without the control's own correction of feed on arcs.
///
/// # Source
///
/// P. Smid, *CNC Programming Handbook*, feed on arcs (formula from memory).
///
/// # Worked example
///
/// From that formula by hand: 6 mm tool in a 10 mm thread, 0.4 of the feed.
///
/// ```
/// use millside::cutting::thread_milling::centre_feed_inside;
/// use millside::quantity::mm;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_mm_per_min;
/// let vm = centre_feed_inside(mm_per_min(100.0), mm(10.0), mm(6.0));
/// assert!((to_mm_per_min(vm) - 40.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None; a tool as wide as the thread has no feed.
pub fn centre_feed_inside(vf: Feed, thread: Length, tool: Length) -> Feed {
    vf * to_ratio((thread - tool) / thread).max(0.0)
}

/// Returns the feed of the tool's centre when its edge runs round the outside.
///
/// # Formula
///
/// ```text
/// vm = vf · (D + d) / D
/// ```
///
/// | symbol | meaning | unit | valid range |
/// |--------|---------|------|-------------|
/// | all    | as in [`centre_feed_inside`] | | |
///
/// # Range of validity
///
/// As [`centre_feed_inside`].
///
/// # Source
///
/// As [`centre_feed_inside`].
///
/// # Worked example
///
/// From that formula by hand: 6 mm tool round a 10 mm thread, 1.6 of the feed.
///
/// ```
/// use millside::cutting::thread_milling::centre_feed_outside;
/// use millside::quantity::mm;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_mm_per_min;
/// let vm = centre_feed_outside(mm_per_min(100.0), mm(10.0), mm(6.0));
/// assert!((to_mm_per_min(vm) - 160.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn centre_feed_outside(vf: Feed, thread: Length, tool: Length) -> Feed {
    vf * to_ratio((thread + tool) / thread)
}
