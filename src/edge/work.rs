//! Effects carried out beside the screen, so that no key waits for a disk.

use std::fs::File;
use std::io;
use std::io::ErrorKind;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::AtomicU64;
use std::sync::atomic::Ordering;
use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::Sender;
use std::thread;
use std::thread::JoinHandle;

use crate::app::following;
use crate::app::message::JobSummary;
use crate::app::message::Message;
use crate::app::message::ProgramRead;
use crate::check;
use crate::check::sweep::Swept;
use crate::edge::care;
use crate::edge::care::Keeper;
use crate::edge::clock::Clock;
use crate::edge::store::Store;
use crate::plain;
use crate::profile::demo;
use crate::program::options::ReadOptions;
use crate::program::read;
use crate::program::summary::RestartPoint;
use crate::record::write;
use crate::session::state::State;

/// A save to be made.
struct Save {
    path: PathBuf,
    state: Box<State>,
}

/// The threads beside the screen.
pub struct Workers {
    answers: Receiver<Message>,
    to_screen: Sender<Message>,
    saves: Option<Sender<Save>>,
    saver: Option<JoinHandle<()>>,
    progress: Arc<Progress>,
    care: Option<PathBuf>,
}

/// How far the program is read whose reading began last.
#[derive(Debug, Default)]
struct Progress {
    read: AtomicU64,
    size: AtomicU64,
    is_left: AtomicBool,
}

impl Progress {
    fn begin(&self, size: u64) {
        self.read.store(0, Ordering::Relaxed);
        self.is_left.store(false, Ordering::Relaxed);
        self.size.store(size, Ordering::Relaxed);
    }

    fn percent(&self) -> Option<u8> {
        let size = self.size.load(Ordering::Relaxed);
        let read = self.read.load(Ordering::Relaxed).min(size);
        let percent = read.saturating_mul(100) / size.max(1);
        (size >= LONG_BYTES).then(|| u8::try_from(percent).unwrap_or(100))
    }
}

/// A file that counts what is read of it, and ends early when the person leaves it.
struct Watched<'a> {
    file: File,
    progress: &'a Progress,
}

impl Read for Watched<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.progress.is_left.load(Ordering::Relaxed) {
            return Err(io::Error::other("you left it before its end"));
        }
        let count = self.file.read(buffer)?;
        self.progress
            .read
            .fetch_add(count as u64, Ordering::Relaxed);
        Ok(count)
    }
}

impl Workers {
    /// Begins the thread that saves, in the order in which it was asked.
    ///
    /// `care` is the folder of the machines' care logs; without one none is kept.
    pub fn begin(store: Store, care: Option<PathBuf>) -> Self {
        let (to_screen, answers) = mpsc::channel();
        let (saves, wanted) = mpsc::channel::<Save>();
        let tell = to_screen.clone();
        let mut keeper = Keeper::new(care.clone());
        let saver = thread::spawn(move || {
            for save in wanted {
                let outcome = store.save(&save.path, &write::text(&save.state));
                let outcome = outcome.map_err(|problem| plain::text(&problem.to_string()));
                if tell.send(Message::Saved(outcome)).is_err() {
                    // The screen is gone; what is still queued is saved all the same.
                }
                if let Some(kept) = keeper.keep(&save.state) {
                    let machine = save.state.machine.name.clone();
                    let _ = tell.send(Message::CareRead(machine, kept));
                }
            }
        });
        Self {
            answers,
            to_screen,
            saves: Some(saves),
            saver: Some(saver),
            progress: Arc::default(),
            care,
        }
    }

    /// The next answer, if there is one.
    pub fn answer(&self) -> Option<Message> {
        self.answers.try_recv().ok()
    }

    /// Asks for a save.
    pub fn save(&self, path: &Path, state: Box<State>) {
        let save = Save {
            path: path.to_owned(),
            state,
        };
        let failed = self
            .saves
            .as_ref()
            .is_none_or(|saves| saves.send(save).is_err());
        if failed {
            let lost = Message::Saved(Err("the thread that saves is gone".to_owned()));
            // The receiver lives as long as we do.
            let _ = self.to_screen.send(lost);
        }
    }

    /// Lists the jobs.
    pub fn list(&self, store: &Store) {
        let (store, tell) = (store.clone(), self.to_screen.clone());
        thread::spawn(move || {
            let jobs = store.list().map(|listed| jobs(&listed));
            let jobs = jobs.map_err(|problem| plain::text(&problem.to_string()));
            let _ = tell.send(Message::JobsListed(jobs));
        });
    }

    /// Reads the care log of a machine.
    pub fn read_care(&self, machine: String) {
        let Some(folder) = self.care.clone() else {
            return;
        };
        let tell = self.to_screen.clone();
        thread::spawn(move || {
            let read = care::read(&folder, &machine);
            let _ = tell.send(Message::CareRead(machine, read));
        });
    }

    /// Reads a program; `answer` makes a message of it.
    pub fn read_program(
        &self,
        path: String,
        clock: Clock,
        answer: impl FnOnce(Result<ProgramRead, String>, Clock) -> Message + Send + 'static,
    ) {
        let (tell, progress) = (self.to_screen.clone(), Arc::clone(&self.progress));
        thread::spawn(move || {
            let read = program(&path, &progress);
            progress.begin(0);
            let _ = tell.send(answer(read, clock));
        });
    }

    /// Finds blocks at which a program could be begun again before a line.
    pub fn find_restart(&self, path: String, line: u64, clock: Clock) {
        let tell = self.to_screen.clone();
        thread::spawn(move || {
            let found = restart(&path, line);
            let _ = tell.send(Message::RestartFound(found, line, clock.now()));
        });
    }

    /// Follows the path of a program through the blank of a setup.
    pub fn follow_path(&self, file: String, path: Box<following::Path>, clock: Clock) {
        let (tell, progress) = (self.to_screen.clone(), Arc::clone(&self.progress));
        thread::spawn(move || {
            let outcome = follow(&file, &path, &progress);
            progress.begin(0);
            let _ = tell.send(Message::PathFollowed(outcome, path, clock.now()));
        });
    }

    /// How far a long program is read, percent.
    pub fn reading(&self) -> Option<u8> {
        self.progress.percent()
    }

    /// Stops reading a program.
    pub fn leave_reading(&self) {
        self.progress.is_left.store(true, Ordering::Relaxed);
    }

    /// Waits until everything asked for is saved.
    pub fn finish(&mut self) {
        self.saves = None;
        if let Some(saver) = self.saver.take() {
            // A thread that panicked has said so on its own.
            let _ = saver.join();
        }
    }
}

/// What stands before the name of a program that comes with the program.
pub const BUILT_IN: &str = "built-in/";

/// From this size on it is said how far a program is read.
const LONG_BYTES: u64 = 8 << 20;

/// What to do about a program file that could not be read.
fn unread(path: &str, error: &io::Error) -> String {
    let name = plain::text(path);
    match error.kind() {
        ErrorKind::NotFound => {
            format!("there is no file {name}: look at its spelling, or type its whole path")
        }
        ErrorKind::PermissionDenied => {
            format!("{name} may not be read: give yourself the right to, or copy it")
        }
        _ => format!("could not read {name}: {error}. Post or copy it anew"),
    }
}

/// Finds blocks at which a program could be begun again before a line.
pub fn restart(path: &str, line: u64) -> Result<Vec<RestartPoint>, String> {
    let options = ReadOptions {
        restart_line: Some(line),
        ..ReadOptions::default()
    };
    let say = |error: io::Error| unread(path, &error);
    let summary = match path.strip_prefix(BUILT_IN) {
        Some(_) => read::read(demo::PROGRAM_TEXT.as_bytes(), &options),
        None => File::open(path).and_then(|file| read::read(file, &options)),
    };
    summary.map(|summary| summary.restart_points).map_err(say)
}

/// How many moves are kept for the sweep through the blank; a longer program is checked without it.
const KEPT_STEPS: usize = 200_000;

fn options() -> ReadOptions {
    ReadOptions {
        keep_steps: KEPT_STEPS,
        ..ReadOptions::default()
    }
}

/// Reads a program file in pieces and sums it up.
fn program(path: &str, progress: &Progress) -> Result<ProgramRead, String> {
    let name = plain::text(path);
    let say = |error: io::Error| unread(path, &error);
    let file = File::open(path).map_err(say)?;
    let meta = file.metadata().map_err(say)?;
    if !meta.is_file() {
        return Err(format!(
            "could not read {name}: it is no file. Type the path of the program itself"
        ));
    }
    progress.begin(meta.len());
    let summary = read::read(Watched { file, progress }, &options()).map_err(say)?;
    Ok(ProgramRead {
        file: path.to_owned(),
        summary,
    })
}

/// Follows the path of a program file that is still what was read before.
fn follow(file: &str, path: &following::Path, progress: &Progress) -> Result<Swept, String> {
    let say = |error: io::Error| unread(file, &error);
    let open = File::open(file).map_err(say)?;
    let size = open.metadata().map_err(say)?.len();
    progress.begin(size);
    let input = Watched {
        file: open,
        progress,
    };
    let found = check::follow(input, &ReadOptions::default(), &path.setup).map_err(say)?;
    match found {
        Some((sha256, swept)) if sha256 == path.sha256 => Ok(swept),
        Some(_) => Err("the file changed meanwhile: read the program again".to_owned()),
        None => Err("blank or zero is not known".to_owned()),
    }
}

/// Reads a program from memory and sums it up.
pub fn program_of(name: &str, bytes: impl Read) -> Option<ProgramRead> {
    let summary = read::read(bytes, &options()).ok()?;
    Some(ProgramRead {
        file: name.to_owned(),
        summary,
    })
}

/// The jobs as the screen lists them: of each job its newest session.
fn jobs(listed: &[crate::edge::store::Listed]) -> Vec<JobSummary> {
    let mut seen: Vec<Arc<str>> = vec![];
    let mut jobs = vec![];
    for entry in listed {
        let path = entry.path.to_string_lossy().into_owned();
        match &entry.summary {
            Err(fault) => jobs.push(JobSummary {
                path: plain::text(&path),
                title: String::new(),
                stands_at: String::new(),
                last_seen: String::new(),
                is_done: false,
                actual_s: 0.0,
                estimate_s: None,
                fault: Some(fault.clone()),
            }),
            Ok(summary) => {
                if seen.iter().any(|job| **job == *summary.job_id) {
                    continue;
                }
                seen.push(summary.job_id.clone().into());
                let last_seen = match entry.alive {
                    Some(at) => format!("last alive {}", at.format("%d %b %H:%M")),
                    None => summary.seen.format("%d %b %Y %H:%M").to_string(),
                };
                jobs.push(JobSummary {
                    path,
                    title: summary.title.clone(),
                    stands_at: format!(
                        "{}, {} ({} of {} done)",
                        summary.setup,
                        summary.step.word(),
                        summary.done,
                        summary.operations
                    ),
                    last_seen,
                    is_done: !summary.is_job_open,
                    actual_s: summary.spent.cutting.as_secs_f64(),
                    estimate_s: summary.estimate_s,
                    fault: None,
                });
            }
        }
    }
    jobs
}
