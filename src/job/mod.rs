//! Plain data of a job: stock, zero, tools, recipe, operations, machine, material.
