//! What is measured on the part and on the machine: touches, sizes, the return test.

pub mod backlash;
pub mod legible;
pub mod return_test;
pub mod size;
pub mod touch;
