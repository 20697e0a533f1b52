//! Folders of the person: where data lives, what is in a folder.

use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use etcetera::BaseStrategy;

/// Name of the program's folder in the person's data folder.
pub const NAME: &str = "millside";

/// The program's folder in the person's data folder (`XDG_DATA_HOME`, else
/// `~/.local/share` where that convention holds), whether it exists or not.
pub fn data_folder() -> Option<PathBuf> {
    etcetera::choose_base_strategy()
        .ok()
        .map(|base| base.data_dir().join(NAME))
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
