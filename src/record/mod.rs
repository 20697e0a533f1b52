//! The saved record of a session: one TOML file, written and read by one description.
//!
//! Each part of the state is described once, in `schema`, as a list of its fields; the
//! pen writes along it and the eye reads along it, so that neither can forget a field.
//! The truth in the file is the state in the order of the work. One fact a line, stable
//! order, units in the values, times with offset; what is empty is left out.

pub mod care;
pub mod compare;
mod eye;
mod fault;
mod fields;
pub mod name;
mod pen;
pub mod read;
mod schema;
pub mod screen;
mod shape;
pub mod summary;
pub mod write;

pub use crate::record::fault::RecordError;

/// The format that this program writes, and the newest that it reads.
pub const FORMAT: u32 = 1;
