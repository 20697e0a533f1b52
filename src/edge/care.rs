//! The machine's care log on the disk: read, and added to.

use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::thread;
use std::time::Duration;

use crate::edge::lock;
use crate::edge::lock::Lock;
use crate::edge::open;
use crate::edge::save;
use crate::edge::save::Steps;
use crate::edge::save::Watch;
use crate::plain;
use crate::record::care;
use crate::session::care_log;
use crate::session::care_log::Entry;
use crate::session::care_log::Told;
use crate::session::state::State;

/// So often another program that writes the same log is waited for.
const TRIES: u32 = 20;

/// So long each time.
const WAIT: Duration = Duration::from_millis(10);

fn path(folder: &Path, machine: &str) -> Result<PathBuf, String> {
    care::file_name(machine)
        .map(|name| folder.join(name))
        .ok_or_else(|| {
            format!(
                "the machine {} has no care log: its name is no name of a file",
                plain::text(machine)
            )
        })
}

/// The entries of a machine's log; none where there is no file yet.
///
/// # Errors
///
/// What is wrong with the file, with its place, escaped. It stays as it is.
pub fn read(folder: &Path, machine: &str) -> Result<Vec<Entry>, String> {
    let path = path(folder, machine)?;
    let place = plain::text(&path.display().to_string());
    let say = |why: String| format!("{place}: {why}");
    let raw = match open::whole(&path, care::LONGEST) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(vec![]),
        Err(error) => return Err(say(error.to_string())),
        Ok(raw) => raw,
    };
    care::read(machine, &raw).map_err(|error| say(error.to_string()))
}

/// Adds to a machine's log what `new` makes of it; gives the whole of it.
///
/// # Errors
///
/// As [`read`], and as the system gives them. A file that cannot be read is never written.
pub fn add(
    folder: &Path,
    machine: &str,
    watch: &mut dyn Watch,
    new: impl FnOnce(&[Entry]) -> Vec<Entry>,
) -> Result<Vec<Entry>, String> {
    let path = path(folder, machine)?;
    let place = plain::text(&path.display().to_string());
    let say = |error: io::Error| format!("{place}: {error}");
    fs::create_dir_all(folder).map_err(say)?;
    // Two sessions may know the same machine: what one adds must not be lost to the other.
    let mut tries = 0;
    let _guard = loop {
        match lock::lock(&path).map_err(say)? {
            Lock::Locked(guard) => break guard,
            Lock::HeldByAnother if tries < TRIES => {
                tries += 1;
                thread::sleep(WAIT);
            }
            Lock::HeldByAnother => {
                return Err(format!("{place}: another program is writing it"));
            }
        }
    };
    let mut entries = read(folder, machine)?;
    let more = new(&entries);
    if !more.is_empty() {
        entries.extend(more);
        let text = care::text(machine, &entries);
        if text.len() > care::LONGEST {
            return Err(format!(
                "{place}: it is full at 4 MiB; move the file away, and a new one is begun"
            ));
        }
        save::replace(&path, &text, watch).map_err(say)?;
    }
    Ok(entries)
}

/// Keeps the logs in step with the sessions that are saved.
pub struct Keeper {
    folder: Option<PathBuf>,
    steps: Steps,
    /// What the session last saved had told, once it was written.
    written: Option<(String, Told)>,
}

impl Keeper {
    /// With the folder of logs; without one nothing is kept.
    pub fn new(folder: Option<PathBuf>, steps: Steps) -> Self {
        Self {
            folder,
            steps,
            written: None,
        }
    }

    /// Writes what a session has to add; none when that is nothing. An attempt that failed is made
    /// again at the next save.
    pub fn keep(&mut self, state: &State) -> Option<Result<Vec<Entry>, String>> {
        let folder = self.folder.as_ref()?;
        let now = (state.head.session_id.clone(), care_log::told(state));
        let is_nothing = now.1.is_nothing() && self.written.is_none();
        if is_nothing
            || self
                .written
                .as_ref()
                .is_some_and(|old| old.0 == now.0 && old.1.says_same(&now.1))
        {
            return None;
        }
        let kept = add(folder, &state.machine.name, &mut self.steps, |log| {
            care_log::missing(log, state)
        });
        if kept.is_ok() {
            self.written = Some(now);
        }
        Some(kept)
    }
}
