//! The command line's door to the disk and the terminal.

use std::fs;
use std::fs::File;
use std::io;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use crate::cli::world::World;
use crate::edge::folders;

/// The real disk, standard output and standard error.
pub struct RealWorld;

impl World for RealWorld {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        fs::read(path)
    }

    fn open(&self, path: &Path) -> io::Result<Box<dyn Read>> {
        Ok(Box::new(File::open(path)?))
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        folders::files_of(folder)
    }

    fn data_folder(&self) -> Option<PathBuf> {
        folders::data_folder()
    }

    fn out(&mut self, text: &str) -> io::Result<()> {
        let mut out = io::stdout().lock();
        out.write_all(text.as_bytes())?;
        out.flush()
    }

    fn err(&mut self, text: &str) -> io::Result<()> {
        io::stderr().lock().write_all(text.as_bytes())
    }
}
