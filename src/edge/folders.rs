//! Folders of the person: where data lives, what is in a folder.

use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use etcetera::BaseStrategy;

use crate::edge::save;
use crate::edge::save::Unwatched;
use crate::plain;

/// Name of the program's folder in the person's data folder.
pub const NAME: &str = "millside";

/// The program's folder in the person's data folder (`XDG_DATA_HOME`, else
/// `~/.local/share` where that convention holds), whether it exists or not.
pub fn data_folder() -> Option<PathBuf> {
    etcetera::choose_base_strategy()
        .ok()
        .map(|base| base.data_dir().join(NAME))
}

/// Keeps a tool of one's own as a profile of its own, and says where.
///
/// # Errors
///
/// Why it could not be written, to be shown.
pub fn keep_tool(name: &str, text: &str) -> Result<String, String> {
    let data = data_folder().ok_or("the system names no data folder")?;
    let path = data.join("profiles/tools").join(format!("{name}.toml"));
    let shown = plain::text(&path.to_string_lossy());
    let written = path
        .parent()
        .map_or(Ok(()), fs::create_dir_all)
        .and_then(|()| save::create(&path, text, &mut Unwatched));
    written
        .map(|()| shown.clone())
        .map_err(|error| format!("{shown}: {error}"))
}

/// What lies in a folder and is no folder itself, in the order of the names: files, but also what only looks
/// like one, so that whoever reads it can say so.
///
/// # Errors
///
/// As the system gives them.
pub fn files_of(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = vec![];
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if !path.is_dir() {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
