//! Lists of profiles to choose from. A profile is known by its name; lists show its title, and the name behind it
//! where another one has the same title, so that a person can tell the two apart.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::app::model::Library;
use crate::app::model::Model;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::operation::Operation;
use crate::session::state::State;

/// A line of such a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What the person reads; no two lines of a list read the same.
    pub label: String,
    /// Name of the profile.
    pub name: String,
}

/// The lines for these names and titles, in their order.
fn choices<'a>(profiles: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<Choice> {
    let mut all: Vec<Choice> = profiles
        .map(|(name, title)| Choice {
            label: title.to_owned(),
            name: name.to_owned(),
        })
        .collect();
    // Twice: a title may read as another one with its name behind it.
    for _ in 0..2 {
        let mut count: BTreeMap<&str, u32> = BTreeMap::new();
        for choice in &all {
            *count.entry(choice.label.as_str()).or_default() += 1;
        }
        let twice: BTreeSet<String> = count
            .into_iter()
            .filter(|(_, count)| *count > 1)
            .map(|(label, _)| label.to_owned())
            .collect();
        for choice in &mut all {
            if twice.contains(&choice.label) {
                choice.label = format!("{} ({})", choice.label, choice.name);
            }
        }
    }
    all
}

/// What the lines read.
pub fn labels(choices: Vec<Choice>) -> Vec<String> {
    choices.into_iter().map(|choice| choice.label).collect()
}

/// The machines of a library.
pub fn machines(library: &Library) -> Vec<Choice> {
    let all = library.machines.iter();
    choices(all.map(|machine| (machine.name.as_str(), machine.title.as_str())))
}

/// The materials of a library.
pub fn materials(library: &Library) -> Vec<Choice> {
    let all = library.materials.iter();
    choices(all.map(|material| (material.name.as_str(), material.title.as_str())))
}

/// The machine that a line of the list stands for.
pub fn machine<'l>(library: &'l Library, label: &str) -> Option<&'l Machine> {
    let name = name_of(machines(library), label)?;
    library.machines.iter().find(|machine| machine.name == name)
}

/// The material that a line of the list stands for.
pub fn material<'l>(library: &'l Library, label: &str) -> Option<&'l Material> {
    let name = name_of(materials(library), label)?;
    let mut all = library.materials.iter();
    all.find(|material| material.name == name)
}

/// The tools that can be planned, in the order of the profiles; what the job alone knows stands behind them.
///
/// A tool that is planned stays where it is: its number is the same in every list, all through the job.
pub fn tools(model: &Model) -> Vec<Choice> {
    let rack = model.state().map_or(&[][..], |state| &state.rack);
    let profiles = model.library.tools.iter().filter(|tool| tool.flutes > 0);
    let mut all: Vec<(&str, &str)> = profiles
        .map(|tool| (tool.name.as_str(), tool.title.as_str()))
        .collect();
    let mut known: BTreeMap<&str, usize> = all
        .iter()
        .enumerate()
        .map(|(place, (name, _))| (*name, place))
        .collect();
    for tool in rack.iter().map(|rack| &rack.tool) {
        match known.get(tool.name.as_str()) {
            // The job has its own copy of it, and that is the one that is used.
            Some(place) => all[*place].1 = &tool.title,
            None => {
                known.insert(&tool.name, all.len());
                all.push((&tool.name, &tool.title));
            }
        }
    }
    choices(all.into_iter())
}

/// The name that a line of the list of tools stands for.
pub fn tool(model: &Model, label: &str) -> Option<String> {
    name_of(tools(model), label)
}

/// How the list shows the tool of this name.
pub fn tool_label(model: &Model, name: &str) -> Option<String> {
    let mut all = tools(model).into_iter();
    all.find(|choice| choice.name == name)
        .map(|choice| choice.label)
}

/// Place in the rack of the tool of a name. A job may have two of one profile: that of the operation comes first,
/// then the one with its number in the program.
pub fn in_rack(state: &State, name: &str, operation: Option<&Operation>) -> Option<usize> {
    let is_it = |index: &usize| {
        let rack = state.rack.get(*index);
        rack.is_some_and(|rack| rack.tool.name == name)
    };
    let number = operation.and_then(|operation| operation.part.as_ref()?.tool_number);
    let numbered = |index: &usize| number.is_some() && state.rack[*index].number == number;
    operation
        .and_then(|operation| operation.tool)
        .filter(is_it)
        .or_else(|| (0..state.rack.len()).filter(is_it).find(numbered))
        .or_else(|| (0..state.rack.len()).find(is_it))
}

fn name_of(choices: Vec<Choice>, label: &str) -> Option<String> {
    let mut all = choices.into_iter();
    all.find(|choice| choice.label == label)
        .map(|choice| choice.name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels_of(profiles: &[(&str, &str)]) -> Vec<String> {
        labels(choices(profiles.iter().copied()))
    }

    #[test]
    fn a_title_stands_alone_and_equal_ones_with_their_names() {
        assert_eq!(
            labels_of(&[("a", "Mill"), ("b", "Router"), ("c", "Mill")]),
            ["Mill (a)", "Router", "Mill (c)"]
        );
    }

    #[test]
    fn a_title_that_reads_like_a_name_behind_another_is_told_apart_too() {
        let labels = labels_of(&[("a", "Mill"), ("c", "Mill"), ("x", "Mill (a)")]);
        assert_eq!(labels, ["Mill (a) (a)", "Mill (c)", "Mill (a) (x)"]);
    }
}
