//! The folder of sessions: list, make, load and save records.

use std::collections::hash_map::RandomState;
use std::fs;
use std::hash::BuildHasher;
use std::hash::Hasher;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;

use crate::edge::alive;
use crate::edge::folders;
use crate::edge::held;
use crate::edge::open;
use crate::edge::save;
use crate::edge::save::Watch;
use crate::job::caution::Cautions;
use crate::plain;
use crate::problem::Problem;
use crate::record::name;
use crate::record::read;
use crate::record::summary::Summary;
use crate::record::write;
use crate::session::moment::Moment;
use crate::session::state::State;

/// A folder of sessions.
#[derive(Clone, Debug)]
pub struct Store {
    dir: PathBuf,
}

/// A file of the folder.
#[derive(Debug)]
pub struct Listed {
    /// The file.
    pub path: PathBuf,
    /// When the session was last seen alive, when it was cut off with a clock running.
    pub alive: Option<DateTime<FixedOffset>>,
    /// What it holds; else why it cannot be read, escaped. Such a file is never touched.
    pub summary: Result<Summary, String>,
}

/// The folder of sessions when none is named: `millside/sessions` in the user's data folder.
///
/// # Errors
///
/// When the user has no home folder.
pub fn default_dir() -> Result<PathBuf, Problem> {
    folders::data_folder()
        .map(|data| data.join("sessions"))
        .ok_or_else(|| {
            Problem::system("find the data folder").hint("Name a folder with --sessions.")
        })
}

/// Four random digits for names, as a number.
pub fn salt() -> u16 {
    let mixed = RandomState::new().build_hasher().finish();
    (mixed >> 48) as u16
}

fn problem(what: &str, path: &Path, error: io::Error) -> Problem {
    Problem::system(what)
        .at(plain::text(&path.display().to_string()))
        .from_error(error)
}

impl Store {
    /// The folder, made if it is missing.
    ///
    /// # Errors
    ///
    /// When it cannot be made or is no folder.
    pub fn open(dir: impl Into<PathBuf>) -> Result<Self, Problem> {
        let dir = dir.into();
        fs::create_dir_all(&dir).map_err(|error| {
            problem("make the folder of sessions", &dir, error)
                .hint("Name another one with --sessions.")
        })?;
        Ok(Self { dir })
    }

    /// The folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// Every session of the folder, the one seen last first; files that cannot be read at the end.
    ///
    /// # Errors
    ///
    /// When the folder itself cannot be read.
    pub fn list(&self) -> Result<Vec<Listed>, Problem> {
        let entries = fs::read_dir(&self.dir)
            .map_err(|error| problem("read the folder of sessions", &self.dir, error))?;
        let mut listed: Vec<Listed> = entries
            .filter_map(Result::ok)
            .map(|entry| entry.path())
            .filter(|path| is_record(path))
            .map(|path| Listed {
                alive: alive::read(&path),
                summary: summary(&path),
                path,
            })
            .collect();
        listed.sort_by(|a, b| {
            let seen = |listed: &Listed| {
                let summary = listed.summary.as_ref().ok()?;
                Some(summary.seen.max(listed.alive.unwrap_or(summary.seen)))
            };
            seen(b).cmp(&seen(a)).then_with(|| a.path.cmp(&b.path))
        });
        Ok(listed)
    }

    /// Makes the record of a new session; no file is ever replaced.
    ///
    /// The file is named after date, time and title, with digits that no other file has.
    ///
    /// # Errors
    ///
    /// As the system gives them.
    pub fn create(&self, state: &State, watch: &mut dyn Watch) -> Result<PathBuf, Problem> {
        let text = write::text(state);
        let head = &state.head;
        held::fits(&text).map_err(|error| problem("make the session", &self.dir, error))?;
        for _ in 0..100 {
            let name = name::session_id(&head.title, head.begun, salt());
            let path = self.dir.join(format!("{name}.toml"));
            match save::create(&path, &text, watch) {
                Ok(()) => return Ok(path),
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(problem("make the session", &path, error)),
            }
        }
        Err(Problem::internal("find a free name for the session")
            .at(plain::text(&self.dir.display().to_string())))
    }
}

/// Reads a record; gives its bytes too.
///
/// # Errors
///
/// When the file cannot be read, or what is wrong in it, with line and key.
pub fn load(path: &Path, cautions: Cautions, at: Moment) -> Result<(State, Vec<u8>), Problem> {
    let raw = open::whole(path, read::LONGEST)
        .map_err(|error| problem("read the session", path, error))?;
    let state = read::bytes(&raw, cautions, at).map_err(|error| {
        Problem::user("read the session")
            .at(plain::text(&path.display().to_string()))
            .because(error.to_string())
    })?;
    Ok((state, raw))
}

fn summary(path: &Path) -> Result<Summary, String> {
    let raw = open::whole(path, read::LONGEST).map_err(|error| error.to_string())?;
    let at = Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    };
    read::bytes(&raw, Cautions::default(), at)
        .map(|state| Summary::of(&state))
        .map_err(|error| error.to_string())
}

/// Hidden files are ours or not meant to be seen.
fn is_record(path: &Path) -> bool {
    let name = path.file_name().map(|name| name.to_string_lossy());
    name.is_some_and(|name| !name.starts_with('.') && name.ends_with(".toml")) && !path.is_dir()
}
