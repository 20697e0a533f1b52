//! The command line's door to the disk and the terminal.

use std::fs;
use std::io;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use crate::cli::world::World;
use crate::edge::care;
use crate::edge::clock::Clock;
use crate::edge::folders;
use crate::edge::open;
use crate::edge::save;
use crate::edge::save::Unwatched;
use crate::edge::save::Watch;
use crate::edge::store;
use crate::edge::store::Store;
use crate::edge::stray;
use crate::plain;
use crate::problem::Problem;
use crate::record::care::FOLDER;
use crate::session::care_log::Entry;
use crate::session::moment::Moment;
use crate::session::state::State;

/// The real disk, standard output and standard error.
pub struct RealWorld;

/// Writes a profile of the person's own: a new one, or in the place of the one that is there.
///
/// # Errors
///
/// As [`save::create`] and [`save::replace`].
pub fn save_profile(
    path: &Path,
    text: &str,
    is_new: bool,
    watch: &mut dyn Watch,
) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        stray::clear(folder);
    }
    if !is_new {
        return save::replace(path, text, watch);
    }
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    save::create(path, text, watch)
}

impl World for RealWorld {
    fn read(&self, path: &Path, longest: usize) -> io::Result<Vec<u8>> {
        open::whole(path, longest)
    }

    fn open(&self, path: &Path) -> io::Result<Box<dyn Read>> {
        Ok(Box::new(open::regular(path)?))
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        folders::files_of(folder)
    }

    fn data_folder(&self) -> Option<PathBuf> {
        folders::data_folder()
    }

    fn now(&self) -> Moment {
        Clock::begin().now()
    }

    fn absolute(&self, path: &Path) -> PathBuf {
        std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
    }

    fn create_session(&mut self, folder: Option<&Path>, state: &State) -> Result<PathBuf, Problem> {
        let folder = folder.map_or_else(store::default_dir, |folder| Ok(folder.to_owned()))?;
        let store = Store::open(folder)?;
        stray::clear(store.dir());
        store.create(state, &mut Unwatched)
    }

    fn save_profile(&mut self, path: &Path, text: &str, is_new: bool) -> io::Result<()> {
        save_profile(path, text, is_new, &mut Unwatched)
    }

    fn keep_care(&mut self, machine: &str, entry: Entry) -> Result<(), String> {
        let data = folders::data_folder().ok_or("the system names no data folder")?;
        let folder = data.join(FOLDER);
        stray::clear(&folder);
        care::add(&folder, machine, &mut Unwatched, |_| vec![entry]).map(|_| ())
    }

    fn out(&mut self, text: &str) -> io::Result<()> {
        let mut out = io::stdout().lock();
        out.write_all(plain::printed(text).as_bytes())?;
        out.flush()
    }

    fn err(&mut self, text: &str) -> io::Result<()> {
        io::stderr()
            .lock()
            .write_all(plain::printed(text).as_bytes())
    }
}
