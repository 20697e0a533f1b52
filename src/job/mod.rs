//! Plain data of a job: stock, zero, tools, recipe, operations, machine, material.

pub mod holding;
pub mod operation;
pub mod reading;
pub mod recipe;
pub mod reference;
pub mod stock;
pub mod typed;
pub mod zero;
