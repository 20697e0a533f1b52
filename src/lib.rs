//! The core of `millside`, a companion beside a small CNC mill.
//!
//! Modules stand in dependency order: a module may use only those above it
//! (`tests/module_boundaries.rs` holds the exact rules). The core knows no
//! screen, no clock and no disk; effects live in [`edge`].

// The units that we declare ourselves need all macros of uom in sight.
#[macro_use]
extern crate uom;

pub mod plain;
pub mod problem;
pub mod quantity;
pub mod source;

pub mod cutting;
pub mod job;
pub mod measure;
pub mod program;
pub mod table;

pub mod calculator;
pub mod check;
pub mod profile;
pub mod session;

pub mod record;

pub mod app;

pub mod cli;
pub mod ui;

pub mod edge;
