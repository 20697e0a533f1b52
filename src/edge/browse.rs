//! What a folder holds, for whoever looks for a program in it.

use std::cmp::Reverse;
use std::fs;
use std::path::Path;

use crate::app::browse;
use crate::app::browse::Entry;
use crate::app::browse::Listing;
use crate::app::browse::MOST_LISTED;
use crate::edge::open;
use crate::plain;

/// The most entries of a folder that are looked at.
const MOST_READ: usize = 20_000;

/// Endings that programs have; common practice, no source.
const ENDINGS: [&str; 9] = [
    "nc", "ngc", "gcode", "gc", "tap", "cnc", "iso", "eia", "txt",
];

/// Whether a file is a program by its ending: those come before the others.
fn is_program(name: &str) -> bool {
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    ENDINGS
        .iter()
        .any(|known| ending.eq_ignore_ascii_case(known))
}

/// Folders and regular files that can be read, in the folder of a path that is being typed; hidden ones only where a point is typed.
/// A name that is no text cannot be typed and is left out.
///
/// # Errors
///
/// Why the folder cannot be read, to be shown.
pub fn folder_of(typed: &str) -> Result<Listing, String> {
    let (folder, begun) = browse::split(typed);
    let folder = Path::new(if folder.is_empty() { "./" } else { folder });
    let shown = || plain::text(&folder.to_string_lossy());
    let read = fs::read_dir(folder)
        .map_err(|error| format!("the folder {} cannot be read: {error}", shown()))?;
    let mut names: Vec<String> = read
        .take(MOST_READ)
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| begun.starts_with('.') || !name.starts_with('.'))
        .filter(|name| name.starts_with(begun))
        .collect();
    names.sort();
    let mut entries: Vec<Entry> = names
        .into_iter()
        .filter_map(|name| {
            let path = folder.join(&name);
            let is_folder = fs::metadata(&path).ok()?.is_dir();
            let can_be_read = is_folder || open::regular(&path).is_ok();
            can_be_read.then_some(Entry { name, is_folder })
        })
        .take(MOST_LISTED + 1)
        .collect();
    let has_more = entries.len() > MOST_LISTED;
    entries.truncate(MOST_LISTED);
    entries.sort_by_key(|entry| Reverse((entry.is_folder, is_program(&entry.name))));
    Ok(Listing { entries, has_more })
}
