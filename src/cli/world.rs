//! What a command may ask of the outside. `edge` implements it, tests use a double.

use std::io;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;

use crate::problem::Problem;
use crate::session::care_log::Entry;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Disk and terminal as a command sees them.
pub trait World {
    /// Reads a whole regular file of at most `longest` bytes.
    ///
    /// # Errors
    ///
    /// As the system gives them; for what is no regular file, and for a longer one.
    fn read(&self, path: &Path, longest: usize) -> io::Result<Vec<u8>>;

    /// Opens a regular file of any length to be read in pieces.
    ///
    /// # Errors
    ///
    /// As the system gives them; for what is no regular file.
    fn open(&self, path: &Path) -> io::Result<Box<dyn Read>>;

    /// What lies in a folder and is no folder itself, in the order of the names.
    ///
    /// # Errors
    ///
    /// As the system gives them; a folder that does not exist is `NotFound`.
    fn list(&self, _folder: &Path) -> io::Result<Vec<PathBuf>> {
        Err(io::ErrorKind::NotFound.into())
    }

    /// The program's folder in the person's data folder, whether it exists or
    /// not; `None` when the system names no data folder.
    fn data_folder(&self) -> Option<PathBuf> {
        None
    }

    /// Now, on both clocks.
    fn now(&self) -> Moment;

    /// The path from the root of the disk, as a record keeps it.
    fn absolute(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }

    /// Makes the record of a new session in this folder, else in that of the person's data
    /// folder; gives the file.
    ///
    /// # Errors
    ///
    /// As the system gives them.
    fn create_session(&mut self, folder: Option<&Path>, state: &State) -> Result<PathBuf, Problem>;

    /// Puts the text of a profile on the disk, the folder made where it is missing; of the file that is
    /// replaced the old text or the new one is there whatever happens. A new file must not be there yet.
    ///
    /// # Errors
    ///
    /// As the system gives them.
    fn save_profile(&mut self, _path: &Path, _text: &str, _is_new: bool) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }

    /// Adds an entry to the care log of a machine; what is in it stays.
    ///
    /// # Errors
    ///
    /// A log that cannot be read or written, escaped; it stays as it is.
    fn keep_care(&mut self, _machine: &str, _entry: Entry) -> Result<(), String> {
        Err("there is no folder for care logs".to_owned())
    }

    /// Writes to standard output. The text must be free of control characters from files.
    ///
    /// # Errors
    ///
    /// As the system gives them, a closed pipe included.
    fn out(&mut self, text: &str) -> io::Result<()>;

    /// Writes to standard error. The text must be free of control characters from files.
    ///
    /// # Errors
    ///
    /// As the system gives them.
    fn err(&mut self, text: &str) -> io::Result<()>;
}
