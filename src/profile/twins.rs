//! Profiles under different names that lists show with one title.

use std::collections::BTreeMap;

use crate::profile::library::Library;
use crate::profile::library::Mark;
use crate::profile::library::Named;
use crate::profile::library::Shelf;

/// Two of a kind with one title; texts as found, not escaped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Twins {
    /// `machine`, `material` or `tool`.
    pub kind: &'static str,
    /// The title of both.
    pub title: String,
    /// Name and place of the one that was read first.
    pub first: (String, Mark),
    /// Name and place of the other.
    pub second: (String, Mark),
}

/// Every profile with the title of one before it; upper and lower case and spaces at the ends are the same.
pub fn find(library: &Library) -> Vec<Twins> {
    let mut twins = of("machine", &library.machines, |m| &m.title);
    twins.extend(of("material", &library.materials, |m| &m.title));
    twins.extend(of("tool", &library.tools, |tool| &tool.title));
    twins
}

fn of<T: Named>(kind: &'static str, shelf: &Shelf<T>, title: fn(&T) -> &String) -> Vec<Twins> {
    let mut seen: BTreeMap<String, (&T, &Mark)> = BTreeMap::new();
    let mut twins = vec![];
    for (item, mark) in shelf.iter() {
        match seen.get(&title(item).trim().to_lowercase()) {
            None => {
                seen.insert(title(item).trim().to_lowercase(), (item, mark));
            }
            Some((first, at)) => twins.push(Twins {
                kind,
                title: title(item).clone(),
                first: (first.name().to_owned(), (*at).clone()),
                second: (item.name().to_owned(), mark.clone()),
            }),
        }
    }
    twins
}
