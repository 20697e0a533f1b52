//! One program at a time writes a record; a second one reads it.

use std::fs;
use std::fs::File;
use std::fs::TryLockError;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use crate::edge::beside;
use crate::edge::open;
use crate::edge::open::For;
use crate::edge::save;

/// The right to write a record, for as long as this lives.
#[derive(Debug)]
pub struct Guard {
    /// Holds the lock until it is closed.
    file: File,
    path: PathBuf,
    /// The record as it lies in the folder, locked too: who deletes the lock file lets nobody in.
    record: Option<File>,
}

impl Guard {
    /// The record was replaced by this file, which is locked.
    pub fn hold(&mut self, record: File) {
        self.record = Some(record);
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        // Taken away while the lock is still held; a file that stays behind does no harm. One that another
        // program made since this one was deleted is not ours.
        if is_same(&self.file, &self.path) {
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// Whether this program may write.
#[derive(Debug)]
pub enum Lock {
    /// It may, until the guard is dropped.
    Locked(Guard),
    /// Another program has the session open: read only.
    HeldByAnother,
}

/// Tries to get the right to write a record. Never waits.
///
/// A separate file beside the record is locked, since the record itself becomes another file
/// at each save. The lock ends with the program, whatever happens to it.
///
/// # Errors
///
/// As the system gives them, such as a folder that cannot be written: then read only.
pub fn lock(record: &Path) -> io::Result<Lock> {
    let path = beside::file(record, "lock");
    loop {
        let file = open::ours(&path, For::Writing)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Ok(Lock::HeldByAnother),
            Err(TryLockError::Error(error)) => return Err(error),
        }
        // Between opening and locking the last holder may have taken the file away; then this
        // lock holds nothing and the next program would make a new file.
        if is_same(&file, &path) {
            return Ok(match lock_itself(record) {
                Ok(record) => Lock::Locked(Guard { file, path, record }),
                Err(Held) => Lock::HeldByAnother,
            });
        }
    }
}

/// The record itself is locked by another program.
struct Held;

/// Locks the file of the record, where there is one and the disk can; a locked file could not be read but on Unix.
fn lock_itself(record: &Path) -> Result<Option<File>, Held> {
    if !cfg!(unix) {
        return Ok(None);
    }
    loop {
        let Ok(path) = save::resolved(record) else {
            return Ok(None);
        };
        let Ok(file) = open::regular(&path) else {
            return Ok(None);
        };
        match file.try_lock() {
            Ok(()) if is_same(&file, &path) => return Ok(Some(file)),
            // Replaced between opening and locking.
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(Held),
            Err(TryLockError::Error(_)) => return Ok(None),
        }
    }
}

#[cfg(unix)]
pub(in crate::edge) fn is_same(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;

    match (file.metadata(), fs::symlink_metadata(path)) {
        (Ok(held), Ok(named)) => held.dev() == named.dev() && held.ino() == named.ino(),
        _ => false,
    }
}

#[cfg(not(unix))]
pub(in crate::edge) fn is_same(file: &File, path: &Path) -> bool {
    path.exists()
}
