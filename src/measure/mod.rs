//! What is measured on the part and on the machine: touches, sizes, lost steps.

pub mod backlash;
pub mod closing;
pub mod legible;
pub mod lost_steps;
pub mod size;
pub mod touch;
