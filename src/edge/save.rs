//! Putting a text on the disk so that a crash or a power cut leaves the old one or the new one.

use std::fs;
use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

use tempfile::Builder;
use tempfile::NamedTempFile;

use crate::edge::open;

/// The steps of a save, in order. A test makes each one fail, or wait, in turn.
pub const STEPS: [&str; 6] = ["create", "mode", "write", "sync", "rename", "sync folder"];

/// How the name of a temporary file begins: the dot keeps it out of the list of sessions.
pub(in crate::edge) const PREFIX: &str = ".millside-";

/// How it ends; between the two stand letters and digits by chance.
pub(in crate::edge) const SUFFIX: &str = ".tmp";

/// Asked before each step; an error stands for the step's own.
pub trait Watch {
    /// Called before `step`, one of [`STEPS`] or a step of its caller.
    ///
    /// # Errors
    ///
    /// Only tests give one.
    fn before(&mut self, step: &str) -> io::Result<()>;
}

/// Nothing is made to fail.
#[derive(Debug)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn before(&mut self, _step: &str) -> io::Result<()> {
        Ok(())
    }
}

/// A watch that several threads share.
pub type Steps = Arc<dyn Fn(&str) -> io::Result<()> + Send + Sync>;

impl Watch for Steps {
    fn before(&mut self, step: &str) -> io::Result<()> {
        self(step)
    }
}

/// Steps that nothing is made to fail in.
pub fn unwatched() -> Steps {
    Arc::new(|_| Ok(()))
}

/// Replaces the file at `path` with `text`: afterwards it holds the old text or the new one,
/// never a mixture, and no stray file lies beside it.
///
/// A symbolic link is followed; the mode of the file is kept, a new one is 0644 under the
/// person's umask. An error of the last step means that the new text is in place but may not
/// outlive a power cut.
///
/// # Errors
///
/// As the system gives them, and when the file is write-protected.
pub fn replace(path: &Path, text: &str, watch: &mut dyn Watch) -> io::Result<()> {
    replace_held(path, text, watch, &mut None)
}

/// The same for a file that must not exist yet.
///
/// # Errors
///
/// As [`replace`]; [`io::ErrorKind::AlreadyExists`] when there is one, which stays as it is.
pub fn create(path: &Path, text: &str, watch: &mut dyn Watch) -> io::Result<()> {
    create_held(path, text, watch, &mut None)
}

/// As [`replace`]; once the new file is in place `held` is the file itself, locked from the moment it has its name.
///
/// # Errors
///
/// As [`replace`].
pub fn replace_held(
    path: &Path,
    text: &str,
    watch: &mut dyn Watch,
    held: &mut Option<File>,
) -> io::Result<()> {
    let path = resolved(path)?;
    let temporary = prepare(&path, text, watch)?;
    watch.before("rename")?;
    *held = Some(temporary.persist(&path).map_err(|failed| failed.error)?);
    watch.before("sync folder")?;
    sync_folder(folder(&path))
}

/// As [`create`] and [`replace_held`].
///
/// # Errors
///
/// As [`create`].
pub fn create_held(
    path: &Path,
    text: &str,
    watch: &mut dyn Watch,
    held: &mut Option<File>,
) -> io::Result<()> {
    let temporary = prepare(path, text, watch)?;
    watch.before("rename")?;
    *held = Some(
        temporary
            .persist_noclobber(path)
            .map_err(|failed| failed.error)?,
    );
    watch.before("sync folder")?;
    sync_folder(folder(path))
}

/// A temporary file in the same folder with the text safely on the disk, locked.
fn prepare(path: &Path, text: &str, watch: &mut dyn Watch) -> io::Result<NamedTempFile> {
    watch.before("create")?;
    let mut builder = Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX);
    #[cfg(unix)]
    let new_mode = std::os::unix::fs::PermissionsExt::from_mode(0o644);
    #[cfg(unix)]
    builder.permissions(new_mode);
    let mut temporary = builder.tempfile_in(folder(path))?;
    if cfg!(unix) {
        // Nobody else knows it yet, and who clears up sees that it is in use. A disk without locks does without;
        // elsewhere a locked file could not be read.
        let _ = temporary.as_file().try_lock();
    }
    if let Ok(old) = fs::metadata(path) {
        if old.permissions().readonly() {
            return Err(io::Error::new(
                io::ErrorKind::PermissionDenied,
                "the file is write-protected",
            ));
        }
        watch.before("mode")?;
        temporary.as_file().set_permissions(old.permissions())?;
    }
    watch.before("write")?;
    temporary.write_all(text.as_bytes())?;
    watch.before("sync")?;
    temporary.as_file().sync_all()?;
    Ok(temporary)
}

/// The file behind a symbolic link, so that the link stays a link.
pub fn resolved(path: &Path) -> io::Result<PathBuf> {
    match fs::symlink_metadata(path) {
        Ok(found) if found.file_type().is_symlink() => fs::canonicalize(path),
        _ => Ok(path.to_owned()),
    }
}

fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// The new name must be on the disk too. Only Unix lets a folder be opened for that.
fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        open::folder(folder)?.sync_all()?;
    }
    Ok(())
}
