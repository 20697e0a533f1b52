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

/// The right to write a record, for as long as this lives.
#[derive(Debug)]
pub struct Guard {
    /// Holds the lock until it is closed.
    _file: File,
    path: PathBuf,
}

impl Drop for Guard {
    fn drop(&mut self) {
        // Taken away while the lock is still held; a file that stays behind does no harm.
        let _ = fs::remove_file(&self.path);
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
            return Ok(Lock::Locked(Guard { _file: file, path }));
        }
    }
}

#[cfg(unix)]
fn is_same(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;

    match (file.metadata(), fs::symlink_metadata(path)) {
        (Ok(held), Ok(named)) => held.dev() == named.dev() && held.ino() == named.ino(),
        _ => false,
    }
}

#[cfg(not(unix))]
fn is_same(_file: &File, path: &Path) -> bool {
    path.exists()
}
