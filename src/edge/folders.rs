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

/// The files of a folder, links to files included, in the order of their names.
///
/// # Errors
///
/// As the system gives them.
pub fn files_of(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = vec![];
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_file() {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
