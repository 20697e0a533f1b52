//! What the person said of the screen, on the disk.

use std::fs;
use std::io;
use std::path::Path;

use crate::edge::open;
use crate::edge::save;
use crate::edge::save::Watch;
use crate::measure::legible::Sizes;
use crate::plain;
use crate::record::screen;

/// What was said in earlier sessions; nothing where there is no file yet.
///
/// # Errors
///
/// What is wrong with the file, with its place, escaped. It stays as it is.
pub fn read(data: &Path) -> Result<Sizes, String> {
    let path = data.join(screen::FILE);
    let say = |why: String| format!("{}: {why}", plain::text(&path.display().to_string()));
    let raw = match open::whole(&path, screen::LONGEST) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Sizes::new()),
        Err(error) => return Err(say(error.to_string())),
        Ok(raw) => raw,
    };
    screen::read(&raw).map_err(|error| say(error.to_string()))
}

/// Keeps what was said. A file that cannot be read is never written.
///
/// # Errors
///
/// As [`read`], and as the system gives them.
pub fn keep(data: &Path, said: &Sizes, watch: &mut dyn Watch) -> Result<(), String> {
    // Another program may have been told of another size meanwhile.
    let mut all = read(data)?;
    all.extend(said.iter().map(|(size, letters)| (*size, *letters)));
    let path = data.join(screen::FILE);
    let say = |error: io::Error| format!("{}: {error}", plain::text(&path.display().to_string()));
    fs::create_dir_all(data).map_err(say)?;
    save::replace(&path, &screen::text(&all), watch).map_err(say)
}
