//! Folders of the person: where data lives, what is in a folder.

use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use etcetera::BaseStrategy;

use crate::cli::library;
use crate::cli::world::World;
use crate::edge::save;
use crate::edge::save::Watch;
use crate::plain;
use crate::profile::amend;

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
pub fn keep_tool(
    world: &dyn World,
    name: &str,
    text: &str,
    watch: &mut dyn Watch,
) -> Result<String, String> {
    let own = library::own_folder(world).ok_or("the system names no data folder")?;
    let path = own.join("tools").join(format!("{name}.toml"));
    let shown = plain::text(&path.to_string_lossy());
    let written = path
        .parent()
        .map_or(Ok(()), fs::create_dir_all)
        .and_then(|()| save::create(&path, text, watch));
    written
        .map(|()| shown.clone())
        .map_err(|error| format!("{shown}: {error}"))
}

/// Keeps the emergency number in the file of the person's own that has one, else in one of its own, and says where.
///
/// # Errors
///
/// Why it could not be written, to be shown.
pub fn keep_number(
    world: &dyn World,
    number: &str,
    watch: &mut dyn Watch,
) -> Result<String, String> {
    let own = library::own_folder(world).ok_or("the system names no data folder")?;
    let files = library::own_files(world).into_iter().rev();
    let mut texts = files.filter_map(|file| {
        let text = String::from_utf8(file.bytes.ok()?.into_owned()).ok()?;
        Some((PathBuf::from(file.file), text))
    });
    let usual = own.join("facts/shop.toml");
    let (path, old) = texts
        .find(|(path, text)| text.contains("emergency_number") || *path == usual)
        .unwrap_or((usual, String::new()));
    let shown = plain::text(&path.to_string_lossy());
    let mut written = || -> Result<(), String> {
        let text = amend::emergency_number(&old, number).map_err(|error| error.to_string())?;
        let folder = path.parent().map_or(Ok(()), fs::create_dir_all);
        let written = folder.and_then(|()| {
            if old.is_empty() {
                save::create(&path, &text, watch)
            } else {
                save::replace(&path, &text, watch)
            }
        });
        written.map_err(|error| error.to_string())
    };
    written()
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
