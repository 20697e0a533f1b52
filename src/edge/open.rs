//! The one door to what is on the disk: every file that is read, and every small file of ours that is written in
//! place, is opened here. `tests/module_boundaries.rs` lets no other file of the program open one.
//!
//! Only regular files are opened: a pipe, a socket or a device may never end, or wait for ever, and to open some
//! devices is to start them. What is read whole has a limit. A file that somebody names may be reached through a
//! link, as everywhere on the disk. Our own hidden files beside a record are never reached through one: a folder
//! of sessions that comes from somebody else may bring links that lead out of it. A record, a machine's log and the
//! file of sizes may be links of the person's own; they are replaced only after the file behind the link was read
//! as what it is to be, so that a link cannot lead the writing to a file of another kind.

use std::fs;
use std::fs::File;
use std::fs::FileType;
use std::fs::Metadata;
use std::fs::OpenOptions;
use std::io;
use std::io::ErrorKind;
use std::io::Read;
use std::path::Path;

use sha2::Digest;
use sha2::Sha256;

/// Opens a file to be read in pieces; a link is followed.
///
/// # Errors
///
/// As the system gives them, and for what is no regular file.
pub fn regular(path: &Path) -> io::Result<File> {
    // Asked before it is opened, for to open a device may act on it; and once more of what was opened.
    only_regular(&fs::metadata(path)?)?;
    let file = never_waiting(OpenOptions::new().read(true), false).open(path)?;
    only_regular(&file.metadata()?)?;
    Ok(file)
}

/// Reads a whole file of at most `longest` bytes; a link is followed.
///
/// # Errors
///
/// As [`regular`]; [`ErrorKind::FileTooLarge`] for a longer one, of which no more is read than tells so.
pub fn whole(path: &Path, longest: usize) -> io::Result<Vec<u8>> {
    let file = regular(path)?;
    let too_long = || io::Error::new(ErrorKind::FileTooLarge, too_long(longest));
    if file.metadata()?.len() > longest as u64 {
        return Err(too_long());
    }
    let mut bytes = vec![];
    // A file may grow while it is read, and some do not tell their size.
    file.take(longest as u64 + 1).read_to_end(&mut bytes)?;
    if bytes.len() > longest {
        return Err(too_long());
    }
    Ok(bytes)
}

/// The SHA-256 of a whole file of at most `longest` bytes, which is not kept; a link is followed.
///
/// # Errors
///
/// As [`whole`].
pub fn sum(path: &Path, longest: usize) -> io::Result<[u8; 32]> {
    let file = regular(path)?;
    let too_long = || io::Error::new(ErrorKind::FileTooLarge, too_long(longest));
    if file.metadata()?.len() > longest as u64 {
        return Err(too_long());
    }
    let mut sum = Sha256::new();
    let read = io::copy(&mut file.take(longest as u64 + 1), &mut sum)?;
    if read > longest as u64 {
        return Err(too_long());
    }
    Ok(sum.finalize().into())
}

/// What a small file of ours is opened for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::edge) enum For {
    /// To be read; it must be there.
    Reading,
    /// To be written in place; made where it is missing.
    Writing,
}

/// Opens a small file of ours that lies beside another; never through a link, and no file with a second name.
///
/// # Errors
///
/// As the system gives them, and for what is no regular file of this one name.
pub(in crate::edge) fn ours(path: &Path, wanted: For) -> io::Result<File> {
    let is_writing = wanted == For::Writing;
    let mut options = OpenOptions::new();
    options.read(true).write(is_writing).create(is_writing);
    if fs::symlink_metadata(path).is_ok_and(|found| found.is_symlink()) {
        return Err(link());
    }
    let file = never_waiting(&mut options, true)
        .open(path)
        .map_err(|error| if is_link(&error) { link() } else { error })?;
    let found = file.metadata()?;
    only_regular(&found)?;
    if names(&found) > 1 {
        return Err(io::Error::other(
            "the file has a second name elsewhere; remove this one",
        ));
    }
    Ok(file)
}

/// Opens a folder, so that what happened to the names in it can be put on the disk. Only Unix can.
pub(in crate::edge) fn folder(path: &Path) -> io::Result<File> {
    File::open(path)
}

fn link() -> io::Error {
    io::Error::other("it is a link, and links are not followed here; remove it")
}

fn too_long(longest: usize) -> String {
    let (size, unit) = match longest {
        _ if longest >= 1 << 20 => (longest >> 20, "MiB"),
        _ if longest >= 1 << 10 => (longest >> 10, "KiB"),
        _ => (longest, "bytes"),
    };
    format!("it has more than {size} {unit}, the most that is read of such a file")
}

fn only_regular(found: &Metadata) -> io::Result<()> {
    if found.is_file() {
        return Ok(());
    }
    let what = what_it_is(found.file_type());
    let error = format!("it is {what}, and only a regular file is read");
    Err(io::Error::new(ErrorKind::InvalidInput, error))
}

#[cfg(unix)]
fn what_it_is(kind: FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt;

    if kind.is_dir() {
        "a folder"
    } else if kind.is_fifo() {
        "a pipe"
    } else if kind.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

#[cfg(not(unix))]
fn what_it_is(kind: FileType) -> &'static str {
    if kind.is_dir() {
        "a folder"
    } else {
        "a device"
    }
}

/// To open a pipe would else wait until somebody writes to it.
#[cfg(unix)]
fn never_waiting(options: &mut OpenOptions, stops_at_links: bool) -> &mut OpenOptions {
    use std::os::unix::fs::OpenOptionsExt;

    let at_links = if stops_at_links { libc::O_NOFOLLOW } else { 0 };
    options.custom_flags(libc::O_NONBLOCK | libc::O_NOCTTY | at_links)
}

#[cfg(not(unix))]
fn never_waiting(options: &mut OpenOptions, _stops_at_links: bool) -> &mut OpenOptions {
    options
}

#[cfg(unix)]
fn is_link(error: &io::Error) -> bool {
    error.raw_os_error() == Some(libc::ELOOP)
}

#[cfg(not(unix))]
fn is_link(_error: &io::Error) -> bool {
    false
}

#[cfg(unix)]
fn names(found: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(found)
}

#[cfg(not(unix))]
fn names(_found: &Metadata) -> u64 {
    1
}
