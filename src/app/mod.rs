//! Model, messages, update: what the screen shows and what a key means. Knows no terminal.

pub mod act;
mod answering;
mod applying;
pub mod begin;
pub mod checking;
pub mod effect;
pub mod field;
mod form;
pub mod input;
pub mod key;
pub mod keys;
pub mod message;
pub mod model;
pub mod new_job;
pub mod overlay;
mod overlays;
pub mod page;
mod perform;
mod posted;
pub mod recipe;
pub mod row;
mod typing;
pub mod update;
pub mod watch;
pub mod ways;
pub mod words;
