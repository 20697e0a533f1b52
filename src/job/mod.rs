//! Plain data of a job: stock, zero, tools, recipe, operations, machine, material.

pub mod card;
pub mod caution;
pub mod conditions;
pub mod head;
pub mod holding;
pub mod machine;
pub mod material;
pub mod mishap;
pub mod operation;
pub mod reading;
pub mod recipe;
pub mod reference;
pub mod shop_fact;
pub mod stalled;
pub mod stock;
pub mod template;
pub mod tool;
pub mod tool_speed;
pub mod typed;
pub mod zero;
