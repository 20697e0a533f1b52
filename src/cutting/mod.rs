//! Cutting data: formulas and limits. Takes quantities, returns quantities.
//!
//! One phenomenon a file; no file knows who calls it. A formula is true over the range that its
//! description states; whoever calls it keeps that range (`calculator` refuses a question outside it).
//! Symbols after ISO 3002-3 (from memory) and common textbooks.

pub mod axis_push;
pub mod bending;
pub mod chip_thickness;
pub mod drilling;
pub mod edge_contact;
pub mod effective_diameter;
pub mod entry;
pub mod feed;
pub mod finish;
pub mod force;
pub mod helix;
pub mod opening;
pub mod packing;
pub mod power;
pub mod removal_rate;
pub mod rubbing;
pub mod run_out;
pub mod spindle_drive;
pub mod spindle_speed;
pub mod tapping;
pub mod thread_milling;
pub mod tool_life;
pub mod tooth_frequency;
pub mod travel;
