//! Program files by Tab and by number: what a folder holds, folders first.
//!
//! Tab completes a path as far as it is clear, and lists what is left where it is not. A keypad has no Tab and no letters: Enter on an
//! empty path, or behind the stroke of a folder, lists the folder.

use crate::app::begin;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::model::Model;
use crate::app::numbered;
use crate::app::numbered::Turn;
use crate::app::overlay::Overlay;
use crate::plain;

/// The most entries of a folder that are listed.
pub const MOST_LISTED: usize = 500;

/// A folder, or a regular file that can be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its name, as the system has it.
    pub name: String,
    /// Whether it is a folder.
    pub is_folder: bool,
}

/// What a folder holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Listing {
    /// Folders, then programs by their endings, then other files, each in the order of their names; at most [`MOST_LISTED`].
    pub entries: Vec<Entry>,
    /// Whether there are more.
    pub has_more: bool,
}

/// The list of a folder on the screen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files {
    /// Path of the folder as typed, with its stroke; empty for the one that millside was started in.
    pub folder: String,
    /// What is offered.
    pub listing: Listing,
    /// The number typed so far.
    pub typed: String,
    /// Chosen row, once one was chosen.
    pub cursor: Option<usize>,
}

impl Files {
    /// The rows: the folder above, then what the folder holds.
    pub fn rows(&self) -> Vec<String> {
        let above = std::iter::once("../   the folder above".to_owned());
        let entries = self.listing.entries.iter();
        above
            .chain(entries.map(|entry| {
                let stroke = if entry.is_folder { "/" } else { "" };
                format!("{}{stroke}", plain::text(&entry.name))
            }))
            .collect()
    }
}

/// A typed path as its folder, with the stroke, and what is begun in it.
pub fn split(path: &str) -> (&str, &str) {
    let at = path.rfind('/').map_or(0, |stroke| stroke + 1);
    path.split_at(at)
}

/// The folder above one that is written with its stroke.
fn above(folder: &str) -> String {
    let inner = folder.strip_suffix('/').unwrap_or(folder);
    let (before, last) = split(inner);
    match last {
        "" if folder == "/" => folder.to_owned(),
        "" | "." | ".." => format!("{folder}../"),
        _ => before.to_owned(),
    }
}

/// Asks what the folder of a typed path holds.
pub(super) fn ask(typed: &str, lists: bool) -> Effect {
    Effect::ListFolder {
        typed: typed.to_owned(),
        lists,
    }
}

/// Whether Enter on this path lists a folder: nothing is typed, or a folder with its stroke.
pub(super) fn lists(field: Field, path: &str) -> bool {
    field == Field::Program && (path.is_empty() || path.ends_with('/'))
}

/// A folder was read for what stands in the field of the program.
pub(super) fn listed(
    model: &mut Model,
    typed: &str,
    lists: bool,
    listing: Result<Listing, String>,
) -> Vec<Effect> {
    let over = model.overlay.as_ref();
    let is_turned = matches!(over, Some(Overlay::Files(files)) if files.folder == typed);
    let Some(editing) = model.editing.as_mut() else {
        return vec![];
    };
    if editing.field != Field::Program
        || (!is_turned && (over.is_some() || editing.input.text().trim() != typed))
    {
        // The person has gone on.
        return vec![];
    }
    let listing = match listing {
        Ok(listing) => listing,
        Err(why) => {
            editing.error = Some(why);
            model.overlay = None;
            return vec![];
        }
    };
    let (folder, begun) = split(typed);
    if lists {
        model.overlay = Some(Overlay::Files(files(folder, listing)));
        return vec![];
    }
    let fits: Vec<Entry> = listing
        .entries
        .iter()
        .filter(|entry| entry.name.starts_with(begun))
        .cloned()
        .collect();
    let common = match fits.as_slice() {
        [] => {
            let what = plain::text(begun);
            editing.error = Some(format!("no folder or file here begins with {what}"));
            return vec![];
        }
        [only] if only.is_folder => format!("{}/", only.name),
        [first, rest @ ..] => rest.iter().fold(first.name.clone(), |common, entry| {
            let same = common.chars().zip(entry.name.chars());
            same.take_while(|(a, b)| a == b).map(|(a, _)| a).collect()
        }),
    };
    if common.len() > begun.len() {
        editing.input = Input::begun(format!("{folder}{common}"));
        editing.error = None;
    } else if fits.len() > 1 {
        let listing = Listing {
            entries: fits,
            ..listing
        };
        model.overlay = Some(Overlay::Files(files(folder, listing)));
    }
    vec![]
}

fn files(folder: &str, listing: Listing) -> Files {
    Files {
        folder: folder.to_owned(),
        listing,
        ..Files::default()
    }
}

/// A key over the list of a folder.
pub(super) fn pressed(model: &mut Model, key: Key, files: Files) -> Vec<Effect> {
    let count = files.listing.entries.len() + 1;
    let now = (files.typed.clone(), files.cursor);
    let list = |typed, cursor| {
        Overlay::Files(Files {
            typed,
            cursor,
            ..files.clone()
        })
    };
    match numbered::turn(model, key, now, count, list) {
        Turn::Took(0) => open(model, above(&files.folder)),
        Turn::Took(place) => match files.listing.entries.get(place - 1) {
            Some(entry) if entry.is_folder => {
                open(model, format!("{}{}/", files.folder, entry.name))
            }
            Some(entry) => {
                let path = format!("{}{}", files.folder, entry.name);
                model.editing = None;
                model.drafts.insert(Field::Program, path);
                begin::read_program(model)
            }
            None => vec![],
        },
        Turn::Left | Turn::Stays => vec![],
    }
}

/// Another folder takes the place of the one on show, once it is read.
fn open(model: &mut Model, folder: String) -> Vec<Effect> {
    let asked = ask(&folder, true);
    model.overlay = Some(Overlay::Files(files(&folder, Listing::default())));
    vec![asked]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_above_is_the_path_without_its_last_name() {
        for (folder, expected) in [
            ("", "../"),
            ("../", "../../"),
            ("jobs/", ""),
            ("jobs/plate/", "jobs/"),
            ("/", "/"),
            ("/srv/", "/"),
            ("./", "./../"),
        ] {
            assert_eq!(above(folder), expected, "{folder}");
        }
    }
}
