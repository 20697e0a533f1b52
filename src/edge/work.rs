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
use std::time::Duration;

use crate::app::effect::Reading;
use crate::app::following;
use crate::app::message::JobSummary;
use crate::app::message::Message;
use crate::app::message::ProgramRead;
use crate::check;
use crate::check::sweep::Swept;
use crate::edge::browse;
use crate::edge::care;
use crate::edge::clock::Clock;
use crate::edge::held::Record;
use crate::edge::open;
use crate::edge::save::Steps;
use crate::edge::saver::Saver;
use crate::edge::store::Store;
use crate::edge::stray;
use crate::edge::worker;
use crate::plain;
use crate::profile::demo;
use crate::program::options::ReadOptions;
use crate::program::read;
use crate::program::summary::RestartPoint;
use crate::session::moment::Moment;
use crate::session::state::State;

/// The threads beside the screen.
pub struct Workers {
    answers: Receiver<Message>,
    to_screen: Sender<Message>,
    saver: Saver,
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

impl<'a> Watched<'a> {
    fn new(file: File, size: u64, progress: &'a Progress) -> Self {
        progress.begin(size);
        Self { file, progress }
    }
}

impl Drop for Watched<'_> {
    /// Nothing is being read any more, also after a panic.
    fn drop(&mut self) {
        self.progress.begin(0);
    }
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
    /// Begins the thread that saves.
    ///
    /// `care` is the folder of the machines' care logs; without one none is kept. `steps` is asked before each step of a save.
    pub fn begin(care: Option<PathBuf>, steps: &Steps) -> Self {
        let (to_screen, answers) = mpsc::channel();
        Self {
            answers,
            saver: Saver::begin(&to_screen, care.clone(), steps),
            to_screen,
            progress: Arc::default(),
            care,
        }
    }

    /// The next answer, if there is one.
    pub fn answer(&self) -> Option<Message> {
        self.answers.try_recv().ok()
    }

    /// The next answer, waited for at most so long.
    pub fn answer_within(&self, wait: Duration) -> Option<Message> {
        self.answers.recv_timeout(wait).ok()
    }

    /// Asks for a save.
    pub fn save(&self, record: Arc<Record>, state: Box<State>) {
        self.saver.save(record, state);
    }

    /// No more saves are asked for. Whether all that were are done.
    pub fn is_done(&mut self) -> bool {
        self.saver.is_done()
    }

    /// Lists the jobs.
    pub fn list(&self, store: &Store) {
        let store = store.clone();
        let care = self.care.clone();
        let list = move || {
            stray::clear(store.dir());
            if let Some(folder) = care {
                stray::clear(&folder);
            }
            let jobs = store.list().map(|listed| jobs(&listed));
            Message::JobsListed(jobs.map_err(|problem| plain::text(&problem.to_string())))
        };
        let failed = |why| Message::JobsListed(Err(why));
        worker::start("list the jobs", &self.to_screen, list, failed);
    }

    /// Reads the care log of a machine.
    pub fn read_care(&self, machine: String) {
        let Some(folder) = self.care.clone() else {
            return;
        };
        let name = machine.clone();
        let read = move || {
            let read = care::read(&folder, &machine);
            Message::CareRead(machine, read)
        };
        let failed = |why| Message::CareRead(name, Err(why));
        worker::start("read the care log", &self.to_screen, read, failed);
    }

    /// Reads a program.
    pub fn read_program(&self, path: String, wanted: Wanted, clock: Clock) {
        let progress = Arc::clone(&self.progress);
        let read = move || wanted.answer(program(&path, &progress), clock.now());
        let failed = move |why| wanted.failed(why, clock.now());
        worker::start("read the program", &self.to_screen, read, failed);
    }

    /// Lists the folder of a path that is being typed.
    pub fn list_folder(&self, typed: String, lists: bool) {
        let same = typed.clone();
        let list = move || {
            let listing = browse::folder_of(&typed);
            Message::FolderListed(typed, lists, listing)
        };
        let failed = move |why| Message::FolderListed(same, lists, Err(why));
        worker::start("list the folder", &self.to_screen, list, failed);
    }

    /// Finds blocks at which a program could be begun again before a line.
    pub fn find_restart(&self, path: Option<String>, line: u64, clock: Clock) {
        let find = move || Message::RestartFound(restart(path.as_deref(), line), line, clock.now());
        let failed = move |why| Message::RestartFound(Err(why), line, clock.now());
        worker::start("find a block to begin at", &self.to_screen, find, failed);
    }

    /// Follows the path of a program through the blank of a setup.
    pub fn follow_path(&self, file: String, path: Box<following::Path>, clock: Clock) {
        let progress = Arc::clone(&self.progress);
        let same = path.clone();
        let follow = move || {
            let outcome = follow(&file, &path, &progress);
            Message::PathFollowed(outcome, path, clock.now())
        };
        let failed = move |why| Message::PathFollowed(Err(why), same, clock.now());
        worker::start("follow the path", &self.to_screen, follow, failed);
    }

    /// How far a long program is read, percent.
    pub fn reading(&self) -> Option<u8> {
        self.progress.percent()
    }

    /// Stops reading a program.
    pub fn leave_reading(&self) {
        self.progress.is_left.store(true, Ordering::Relaxed);
    }
}

/// For what a program is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// For a new job.
    NewJob,
    /// For the setup in work.
    Setup(Reading),
}

impl Wanted {
    fn answer(self, read: Result<ProgramRead, String>, at: Moment) -> Message {
        match self {
            Self::NewJob => Message::ReadForNewJob(read, at),
            Self::Setup(reading) => Message::ProgramRead(read, reading == Reading::Asked, at),
        }
    }

    /// Told even when nobody asked for it: a file that is gone is no news, a fault of ours is.
    fn failed(self, why: String, at: Moment) -> Message {
        match self {
            Self::NewJob => self.answer(Err(why), at),
            Self::Setup(_) => Message::ProgramRead(Err(why), true, at),
        }
    }
}

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
        ErrorKind::InvalidInput => {
            format!("could not read {name}: {error}. Type the path of the program itself")
        }
        _ => format!("could not read {name}: {error}. Post or copy it anew"),
    }
}

/// Finds blocks at which a program could be begun again before a line.
///
/// Without a path it is the program of the demo job.
///
/// # Errors
///
/// What to do about a file that could not be read, escaped.
pub fn restart(path: Option<&str>, line: u64) -> Result<Vec<RestartPoint>, String> {
    let options = ReadOptions {
        restart_line: Some(line),
        ..ReadOptions::default()
    };
    let summary = match path {
        None => read::read(demo::PROGRAM_TEXT.as_bytes(), &options),
        Some(path) => open::regular(Path::new(path)).and_then(|file| read::read(file, &options)),
    };
    summary
        .map(|summary| summary.restart_points)
        .map_err(|error| unread(path.unwrap_or("the demo's program"), &error))
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
    let say = |error: io::Error| unread(path, &error);
    let file = open::regular(Path::new(path)).map_err(say)?;
    let size = file.metadata().map_err(say)?.len();
    let file = Watched::new(file, size, progress);
    let summary = read::read(file, &options()).map_err(say)?;
    Ok(ProgramRead {
        file: path.to_owned(),
        is_built_in: false,
        summary,
    })
}

/// Follows the path of a program file that is still what was read before.
fn follow(file: &str, path: &following::Path, progress: &Progress) -> Result<Swept, String> {
    let say = |error: io::Error| unread(file, &error);
    let program = open::regular(Path::new(file)).map_err(say)?;
    let size = program.metadata().map_err(say)?.len();
    let input = Watched::new(program, size, progress);
    let found = check::follow(input, &ReadOptions::default(), &path.setup).map_err(say)?;
    match found {
        Some((sha256, swept)) if sha256 == path.sha256 => Ok(swept),
        Some(_) => Err("the file changed meanwhile: read the program again".to_owned()),
        None => Err("blank or zero is not known".to_owned()),
    }
}

/// Reads the program of the demo job from memory and sums it up.
pub fn demo_program(name: &str) -> Option<ProgramRead> {
    let summary = read::read(demo::PROGRAM_TEXT.as_bytes(), &options()).ok()?;
    Some(ProgramRead {
        file: name.to_owned(),
        is_built_in: true,
        summary,
    })
}

/// The jobs as the screen lists them: of each job its newest session.
fn jobs(listed: &[crate::edge::store::Listed]) -> Vec<JobSummary> {
    let mut seen: Vec<Arc<str>> = vec![];
    let mut jobs = vec![];
    for entry in listed {
        let path = entry.path.clone();
        match &entry.summary {
            Err(fault) => jobs.push(JobSummary {
                path,
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
                    Some(at) => format!("last alive {}", at.format("%d %b %Y %H:%M")),
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

#[cfg(test)]
mod tests {
    use super::*;

    use crate::edge::panics;

    fn at() -> Moment {
        Clock::begin().now()
    }

    #[test]
    fn a_panic_in_a_job_is_an_answer_that_ends_the_wait() {
        let (tell, answers) = mpsc::channel();
        let job = || -> Message { panic!("row 3 of \u{1b}[2J") };
        let failed = move |why| Wanted::NewJob.failed(why, at());
        worker::start("read the program", &tell, job, failed);
        let Ok(Message::ReadForNewJob(Err(why), _)) = answers.recv() else {
            panic!("another answer");
        };
        assert!(
            why.contains("could not read the program: internal error, row 3 of \\u{1b}[2J"),
            "{why}"
        );
        // One answer, no second one.
        drop(tell);
        assert!(answers.recv().is_err());
    }

    #[test]
    fn a_panic_while_the_program_is_looked_at_is_told_though_nobody_asked() {
        for reading in [Reading::Asked, Reading::Needed, Reading::IfChanged] {
            let message = Wanted::Setup(reading).failed("why".to_owned(), at());
            assert!(
                matches!(message, Message::ProgramRead(Err(_), true, _)),
                "{reading:?}"
            );
        }
    }

    #[test]
    fn a_program_that_panics_is_no_longer_being_read() {
        let progress = Progress::default();
        let file = tempfile::tempfile().expect("a file");
        let outcome = panics::caught(|| {
            let _watched = Watched::new(file, LONG_BYTES, &progress);
            assert_eq!(progress.percent(), Some(0));
            panic!("half way");
        });
        assert_eq!(outcome, Err::<(), _>("half way".to_owned()));
        assert_eq!(progress.percent(), None);
    }
}
