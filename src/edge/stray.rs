//! Temporary files that a killed program left behind, taken away when that is safe.
//!
//! Only a file of our own pattern goes: a regular file of one name, `.millside-`, six letters or digits, `.tmp`. The
//! program that writes one holds a lock on it, and no save takes long, so that what is old and not locked is nobody's.

use std::fs;
use std::fs::File;
use std::fs::TryLockError;
use std::path::Path;
use std::time::Duration;
use std::time::SystemTime;

use crate::edge::lock;
use crate::edge::open;
use crate::edge::open::For;
use crate::edge::save;

/// Letters and digits in the name of a temporary file.
const LETTERS: usize = 6;

/// No save takes this long, not even on a disk that sleeps (our own figure).
const OLD: Duration = Duration::from_secs(3600);

/// The same on a disk without locks, where nothing else tells that the writer is gone (our own figure).
const OLD_WITHOUT_LOCKS: Duration = Duration::from_secs(24 * 3600);

/// Takes away what killed programs left behind in a folder. What cannot be looked at or removed stays: it does no harm.
pub fn clear(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.filter_map(Result::ok) {
        let is_ours = entry.file_name().to_str().is_some_and(is_temporary);
        if is_ours && is_left(&entry.path()) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Whether a name is one that only a save of ours gives.
fn is_temporary(name: &str) -> bool {
    let middle = name
        .strip_prefix(save::PREFIX)
        .and_then(|rest| rest.strip_suffix(save::SUFFIX));
    middle.is_some_and(|middle| {
        middle.len() == LETTERS && middle.chars().all(|c| c.is_ascii_alphanumeric())
    })
}

/// Whether nobody writes the file any more.
fn is_left(path: &Path) -> bool {
    let Ok(file) = open::ours(path, For::Reading) else {
        return false;
    };
    let least = match file.try_lock() {
        Ok(()) => OLD,
        Err(TryLockError::WouldBlock) => return false,
        Err(TryLockError::Error(_)) => OLD_WITHOUT_LOCKS,
    };
    // Renamed meanwhile it is a record.
    is_older(&file, least) && lock::is_same(&file, path)
}

/// A time in the future tells nothing.
fn is_older(file: &File, least: Duration) -> bool {
    let written = file.metadata().and_then(|found| found.modified());
    let age = written.map(|written| SystemTime::now().duration_since(written));
    matches!(age, Ok(Ok(age)) if age > least)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_pattern_is_taken_for_a_temporary_file() {
        assert!(is_temporary(".millside-a1B2c3.tmp"));
        for other in [
            ".millside-a1B2c3",
            ".millside-a1B2c.tmp",
            ".millside-a1B2c34.tmp",
            ".millside-a1-2c3.tmp",
            ".millside-.tmp",
            "millside-a1B2c3.tmp",
            ".other-a1B2c3.tmp",
            "x.millside-a1B2c3.tmp",
            ".millside-é1B2c.tmp",
        ] {
            assert!(!is_temporary(other), "{other}");
        }
    }
}
