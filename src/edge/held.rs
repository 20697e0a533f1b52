//! A record that this program may write: its lock, what it wrote last, and the file in which it goes on.
//!
//! Before each save the file is compared with what this program read or wrote last. Where it is something else,
//! because an editor or another program wrote it, or is gone, it is left as it is: the session goes on in a new
//! file beside it, under its name with a number, and the person is asked. So neither is ever lost.

use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;

use sha2::Digest;
use sha2::Sha256;

use crate::app::message::Beside;
use crate::app::message::Kept;
use crate::edge::alive;
use crate::edge::lock;
use crate::edge::lock::Guard;
use crate::edge::lock::Lock;
use crate::edge::open;
use crate::edge::save;
use crate::edge::save::Watch;
use crate::record::read;

/// Steps of a save before those of [`save::STEPS`]: the file is compared, and a new one is locked.
pub const STEPS: [&str; 2] = ["compare", "lock"];

/// So many names are tried for a new file beside the changed one.
const MOST_BESIDE: u32 = 1000;

type Sum = [u8; 32];

/// A record and the right to write it, for as long as this lives.
#[derive(Debug)]
pub struct Record {
    place: Mutex<Place>,
}

#[derive(Debug)]
struct Place {
    path: PathBuf,
    guard: Guard,
    /// Of what was read, or written last.
    known: Sum,
    /// Of what was to be written last: it is in place also when only the folder could not be synced.
    tried: Sum,
    /// The record goes on in another file, and the screen was not told yet.
    beside: Option<Beside>,
}

fn sum(raw: &[u8]) -> Sum {
    Sha256::digest(raw).into()
}

impl Record {
    /// The record at `path`, which holds `raw`.
    pub fn new(path: PathBuf, guard: Guard, raw: &[u8]) -> Self {
        let known = sum(raw);
        let place = Place {
            path,
            guard,
            known,
            tried: known,
            beside: None,
        };
        Self {
            place: Mutex::new(place),
        }
    }

    fn place(&self) -> MutexGuard<'_, Place> {
        self.place.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Where it is now.
    pub fn path(&self) -> PathBuf {
        self.place().path.clone()
    }

    /// Saves a text: afterwards the file holds the old text or the new one. Only one thread may save.
    ///
    /// # Errors
    ///
    /// As the system gives them; the text is then saved at the next try.
    pub fn save(&self, text: &str, watch: &mut dyn Watch) -> io::Result<Kept> {
        fits(text)?;
        let new = sum(text.as_bytes());
        let (path, known, tried) = {
            let place = self.place();
            (place.path.clone(), place.known, place.tried)
        };
        watch.before(STEPS[0])?;
        let found = match open::sum(&path, read::LONGEST) {
            Ok(found) => Some(found),
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            // It is no file any more, or longer than a record can be.
            Err(error)
                if matches!(
                    error.kind(),
                    io::ErrorKind::InvalidInput | io::ErrorKind::FileTooLarge
                ) =>
            {
                Some(sum(b""))
            }
            Err(error) => return Err(error),
        };
        match found {
            Some(found) if found == known || found == tried => {
                self.place().tried = new;
                let mut held = None;
                let outcome = save::replace_held(&path, text, watch, &mut held);
                if let Some(file) = held {
                    let mut place = self.place();
                    place.guard.hold(file);
                    place.known = new;
                }
                outcome?;
            }
            other => self.go_on_beside(&path, text, other.is_none(), watch)?,
        }
        let told = self.place().beside.take();
        Ok(told.map_or(Kept::InPlace, Kept::Beside))
    }

    /// Saves into a new file, in which the session goes on.
    fn go_on_beside(
        &self,
        path: &Path,
        text: &str,
        is_gone: bool,
        watch: &mut dyn Watch,
    ) -> io::Result<()> {
        let stem = path.file_stem().unwrap_or("session".as_ref());
        for number in 2..MOST_BESIDE {
            // As the system has it, which need not be UTF-8.
            let mut name = stem.to_owned();
            name.push(format!("-{number}.toml"));
            let to = path.with_file_name(name);
            if fs::symlink_metadata(&to).is_ok() {
                continue;
            }
            watch.before(STEPS[1])?;
            let Lock::Locked(guard) = lock::lock(&to)? else {
                continue;
            };
            let mut held = None;
            let outcome = save::create_held(&to, text, watch, &mut held);
            if let Some(file) = held {
                let mut guard = guard;
                guard.hold(file);
                // The clock goes on beside the new file.
                let _ = alive::clear(path);
                let mut place = self.place();
                let from = place
                    .beside
                    .take()
                    .map_or_else(|| path.to_owned(), |told| told.from);
                place.beside = Some(Beside {
                    from,
                    to: to.clone(),
                    is_gone,
                });
                place.path = to;
                place.guard = guard;
                place.known = sum(text.as_bytes());
                place.tried = place.known;
            }
            match outcome {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                outcome => return outcome,
            }
        }
        Err(io::Error::other("no name is free for a new file beside it"))
    }
}

/// Whether a record can be read again once it is written.
///
/// # Errors
///
/// When it could not: it is then not written.
pub fn fits(text: &str) -> io::Result<()> {
    if text.len() <= read::LONGEST {
        return Ok(());
    }
    Err(io::Error::new(io::ErrorKind::FileTooLarge, read::FULL))
}

/// Why a save failed and what to do, in words for the person, short enough for a narrow screen.
pub fn why(error: &io::Error) -> String {
    let words = match error.kind() {
        io::ErrorKind::StorageFull => "the disk is full; free some space",
        io::ErrorKind::QuotaExceeded => "your share of the disk is full; free some space",
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only; make it writable",
        io::ErrorKind::PermissionDenied => "no permission to write; make file and folder writable",
        io::ErrorKind::NotFound => "the folder is gone; put it back",
        _ => return error.to_string(),
    };
    words.to_owned()
}

/// Why a record can only be read, where no other program has it open, in words that follow `only to read here:`.
pub fn why_not_locked(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::InvalidFilename => {
            "the file's name is too long for a lock beside it; rename the file".to_owned()
        }
        io::ErrorKind::PermissionDenied => {
            "the folder may not be written; make it writable".to_owned()
        }
        io::ErrorKind::Unsupported => NO_LOCKS.to_owned(),
        _ if is_without_locks(error) => NO_LOCKS.to_owned(),
        _ => format!("it cannot be locked: {}", why(error)),
    }
}

const NO_LOCKS: &str = "this disk has no locks; copy the job to a disk that has";

#[cfg(unix)]
fn is_without_locks(error: &io::Error) -> bool {
    error.raw_os_error() == Some(libc::ENOLCK)
}

#[cfg(not(unix))]
fn is_without_locks(_error: &io::Error) -> bool {
    false
}
