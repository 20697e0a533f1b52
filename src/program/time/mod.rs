//! How long the motions take: acceleration, corners, look-ahead (blended-path model).
//!
//! Lines, arcs and helices are blocks with a speed cap and a path acceleration projected from the
//! axes. A corner is replaced by an arc tangent to both legs that stays within the corner tolerance
//! (after Kunz and Stilman, Time-optimal trajectory generation for path following, RSS 2012; read in
//! the source text of their library). The speeds at the block ends are the greatest that braking and
//! accelerating allow, found by a backward and a forward sweep over the square of the speed.

pub mod calibrate;
pub mod corner;
pub mod kinematics;
pub mod limits;
pub mod merge;
pub mod planner;
pub mod queue;
