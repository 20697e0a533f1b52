//! Machines, materials, tools, cautions and job templates: shipped and own.
//!
//! A file holds any number of tables `[[machine]]`, `[[material]]`, `[[tool]]`,
//! `[[caution]]`, `[[checklist]]`, `[[fact]]`, `[[leave_out]]` and `[[template]]`, and one `[shop]`, under `format = 1`. What is broken in it is
//! reported with its place; the rest is taken.

pub mod amend;
pub mod card;
pub mod caution;
pub mod checklist;
pub mod conditions;
pub mod demo;
pub mod extract;
pub mod fault;
pub mod library;
pub mod machine;
pub mod material;
pub mod read;
pub mod series;
pub mod sheet;
pub mod shipped;
pub mod shop;
pub mod shop_fact;
pub mod sources;
pub mod template;
pub mod tool;
pub mod twins;
pub mod unit;
