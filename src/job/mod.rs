//! Plain data of a job: stock, zero, tools, recipe, operations, machine, material.

pub mod stock;
pub mod zero;
