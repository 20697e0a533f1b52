//! Effects carried out, and what comes of them: files, clock, threads. Knows no terminal but its bell.
//!
//! The lock of a record is taken before it is read and held until its last save is on the disk: a save carries
//! the record, and with it the lock. What reads records again waits until no save is under way.

use std::collections::HashMap;
use std::fs;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use std::time::SystemTime;

use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::keeping;
use crate::app::message::Message;
use crate::app::model::Library;
use crate::app::model::Model;
use crate::app::update::update;
use crate::edge::alive;
use crate::edge::clock::Clock;
use crate::edge::files::RealWorld;
use crate::edge::folders;
use crate::edge::held;
use crate::edge::held::Record;
use crate::edge::lock;
use crate::edge::lock::Guard;
use crate::edge::lock::Lock;
use crate::edge::said;
use crate::edge::save::Steps;
use crate::edge::store;
use crate::edge::store::Store;
use crate::edge::work::Wanted;
use crate::edge::work::Workers;
use crate::plain;
use crate::problem::Problem;
use crate::record::write;
use crate::session::Session;
use crate::session::clock::Phase;
use crate::session::state::State;

/// A frame is held back for a save at most so long; then it shows that the save is pending.
const HOLD: Duration = Duration::from_millis(50);

/// So long the disk is waited for at the end before the person is told.
const PATIENCE: Duration = Duration::from_millis(300);

/// How often the end looks whether it is waited for no longer.
const LOOK: Duration = Duration::from_millis(20);

/// So often the last answers are tried once the program must end and nobody can be asked.
const LAST_TRIES: u32 = 2;

/// The step before a record is locked to be opened, and the one before it is read.
pub const OPEN_STEPS: [&str; 2] = ["open lock", "read"];

/// Size and time of change of a file.
type Stamp = (u64, Option<SystemTime>);

/// The stamp of a file, if it is there.
fn stamp(path: &str) -> Option<Stamp> {
    let meta = fs::metadata(path).ok()?;
    Some((meta.len(), meta.modified().ok()))
}

/// The part of the program that touches the world while the screen is open.
pub struct Outside {
    clock: Clock,
    store: Store,
    workers: Workers,
    library: Library,
    /// The record that is open, where this program may write it.
    open: Option<Arc<Record>>,
    /// Size and time of program files as they were when they were last read.
    seen: HashMap<String, Stamp>,
    quit: bool,
    /// The person left knowing that the last answers are not saved.
    leaves_unsaved: bool,
    /// Answers of workers that the loop waits for.
    waiting: u32,
    /// Saves under way.
    saving: u32,
    /// What reads records, until no save is under way.
    later: Vec<Effect>,
    steps: Steps,
}

impl Outside {
    /// With a folder of sessions, the folder of the machines' care logs, and what is asked before each step on the disk.
    pub fn begin(
        clock: Clock,
        store: Store,
        care: Option<PathBuf>,
        library: Library,
        steps: Steps,
    ) -> Self {
        Self {
            clock,
            store,
            workers: Workers::begin(care, &steps),
            library,
            open: None,
            seen: HashMap::new(),
            quit: false,
            leaves_unsaved: false,
            waiting: 0,
            saving: 0,
            later: vec![],
            steps,
        }
    }

    /// Whether the program is to end.
    pub fn has_quit(&self) -> bool {
        self.quit
    }

    /// Whether an answer of a worker is due.
    pub fn is_waiting(&self) -> bool {
        self.waiting > 0
    }

    /// Whether the next frame waits for a save: what it confirms is then on the disk.
    pub fn holds_frame(&self, model: &Model) -> bool {
        let behind = model.work.as_ref().and_then(|work| work.keeping.behind);
        self.saving > 0 && behind.is_some_and(|since| self.clock.now().since(since) < HOLD)
    }

    /// Takes in what the workers answered.
    pub fn take_in(&mut self, model: &mut Model) {
        while let Some(message) = self.workers.answer() {
            self.received(model, message);
        }
        let reading = self.workers.reading();
        if reading != model.reading {
            self.message(model, Message::Reading(reading));
        }
    }

    /// Waits at most so long for one answer, and takes it in.
    pub fn wait(&mut self, model: &mut Model, limit: Duration) {
        if let Some(message) = self.workers.answer_within(limit) {
            self.received(model, message);
        }
    }

    /// Waits at most so long until all saves are over.
    pub fn settle(&mut self, model: &mut Model, limit: Duration) {
        let begun = Instant::now();
        while self.saving > 0 && begun.elapsed() < limit {
            self.wait(model, LOOK);
        }
    }

    fn received(&mut self, model: &mut Model, message: Message) {
        // Nobody waits for the care log: it comes with a save, or when it comes.
        let is_due = !matches!(message, Message::CareRead(..));
        self.waiting = self.waiting.saturating_sub(u32::from(is_due));
        let is_saved = matches!(message, Message::Saved(_));
        self.saving = self.saving.saturating_sub(u32::from(is_saved));
        self.message(model, message);
        if self.saving == 0 {
            let later = std::mem::take(&mut self.later);
            self.carry_out(model, later);
        }
    }

    /// Gives the model a message and carries out what follows from it.
    pub fn message(&mut self, model: &mut Model, message: Message) {
        let effects = update(model, message);
        self.carry_out(model, effects);
    }

    /// Carries out effects.
    pub fn carry_out(&mut self, model: &mut Model, effects: Vec<Effect>) {
        for effect in effects {
            if let Some(answer) = self.effect(effect) {
                self.message(model, answer);
            }
        }
    }

    fn effect(&mut self, effect: Effect) -> Option<Message> {
        match effect {
            // What is being saved is not read meanwhile: it would be the old record.
            Effect::ListJobs | Effect::Load(_) if self.saving > 0 => self.later.push(effect),
            Effect::ListJobs => {
                self.waiting += 1;
                self.workers.list(&self.store);
            }
            Effect::Create(state) => return Some(self.create(&state)),
            Effect::Load(path) => return Some(self.load(path)),
            Effect::Save(state) => {
                if let Some(record) = &self.open {
                    self.waiting += 1;
                    self.saving += 1;
                    self.workers.save(Arc::clone(record), state);
                }
            }
            Effect::ReadForNewJob(path) => {
                self.waiting += 1;
                self.workers.read_program(path, Wanted::NewJob, self.clock);
            }
            Effect::ReadProgram { path, reading } => {
                let now = stamp(&path);
                let before = self.seen.get(&path).copied();
                if reading == Reading::IfChanged && (now.is_none() || now == before) {
                    // Gone, or as it was: there is nothing new to read.
                    return None;
                }
                if let Some(now) = now {
                    self.seen.insert(path.clone(), now);
                }
                self.waiting += 1;
                self.workers
                    .read_program(path, Wanted::Setup(reading), self.clock);
            }
            Effect::ListFolder { typed, lists } => {
                self.waiting += 1;
                self.workers.list_folder(typed, lists);
            }
            Effect::FindRestart { path, line } => {
                self.waiting += 1;
                self.workers.find_restart(path, line, self.clock);
            }
            Effect::FollowPath(file, path) => {
                self.waiting += 1;
                self.workers.follow_path(file, path, self.clock);
            }
            Effect::ReadCare(machine) => self.workers.read_care(machine),
            Effect::LeaveReading => self.workers.leave_reading(),
            Effect::TouchAlive => {
                if let Some(record) = &self.open {
                    // A missing sign of life costs a better guess later, nothing else.
                    let now = self.clock.now().wall;
                    let _ = alive::touch(&record.path(), now, &mut self.steps);
                }
            }
            Effect::ClearAlive => {
                if let Some(record) = &self.open {
                    let _ = alive::clear(&record.path());
                }
            }
            Effect::Close => self.open = None,
            Effect::KeepSizes(sizes) => {
                // Some lines, once or twice in the life of a screen: no thread is worth it.
                let data = folders::data_folder();
                let kept = data.map_or(Ok(()), |data| said::keep(&data, &sizes, &mut self.steps));
                return kept.err().map(Message::NotKept);
            }
            Effect::KeepNumber(number) => {
                let kept = folders::keep_number(&RealWorld, &number, &mut self.steps);
                return Some(Message::NumberKept(kept));
            }
            Effect::KeepTool { name, text } => {
                let kept = folders::keep_tool(&RealWorld, &name, &text, &mut self.steps);
                return Some(Message::ToolKept(kept));
            }
            Effect::Bell => {
                let mut out = io::stdout().lock();
                let _ = out.write_all(b"\x07");
                let _ = out.flush();
            }
            Effect::Quit => self.quit = true,
            Effect::QuitUnsaved => {
                self.quit = true;
                self.leaves_unsaved = true;
            }
        }
        None
    }

    fn create(&mut self, state: &State) -> Message {
        match self.store.create(state, &mut self.steps) {
            Ok(path) => {
                let guard = self.lock(&path);
                let raw = write::text(state).into_bytes();
                self.opened(path, Session::new(state.clone()), guard, &raw, None)
            }
            Err(problem) => Message::NotOpened(plain::text(&problem.to_string())),
        }
    }

    /// The right to write a record, or why there is none.
    fn lock(&self, path: &Path) -> Result<Guard, String> {
        let locked = (self.steps)(OPEN_STEPS[0]).and_then(|()| lock::lock(path));
        match locked {
            Ok(Lock::Locked(guard)) => Ok(guard),
            Ok(Lock::HeldByAnother) => Err("another program has this job open".to_owned()),
            Err(error) => Err(plain::text(&held::why_not_locked(&error))),
        }
    }

    fn load(&mut self, path: PathBuf) -> Message {
        let now = self.clock.now();
        // Before it is read: else another program could still write between the two.
        let guard = self.lock(&path);
        let loaded = match (self.steps)(OPEN_STEPS[1]) {
            Ok(()) => store::load(&path, self.library.cautions.clone(), now),
            Err(error) => Err(Problem::system("read the session").from_error(error)),
        };
        match loaded {
            Ok((state, raw)) => {
                let away = state
                    .phase()
                    .filter(|phase| *phase != Phase::Paused)
                    .map(|_| {
                        let saved = state.last_seen.wall;
                        let alive = alive::read(&path).unwrap_or(saved).max(saved).min(now.wall);
                        let seconds =
                            |span: chrono::TimeDelta| span.num_milliseconds() as f64 / 1000.0;
                        (seconds(alive - saved), seconds(now.wall - alive))
                    });
                self.opened(path, Session::new(state), guard, &raw, away)
            }
            Err(problem) => Message::NotOpened(plain::text(&problem.to_string())),
        }
    }

    fn opened(
        &mut self,
        path: PathBuf,
        session: Session,
        guard: Result<Guard, String>,
        raw: &[u8],
        away: Option<(f64, f64)>,
    ) -> Message {
        self.seen.clear();
        let shown = path.to_string_lossy().into_owned();
        let (guard, read_only) = match guard {
            Ok(guard) => (Some(guard), None),
            Err(why) => (None, Some(why)),
        };
        self.open = guard.map(|guard| Arc::new(Record::new(path, guard, raw)));
        Message::Opened {
            path: shown,
            session: Box::new(session),
            read_only,
            away,
            at: self.clock.now(),
        }
    }

    /// Ends, whatever led here: what is on the screen is saved first. `say` tells the person that the disk is
    /// waited for, once that takes long; `gives_up` is asked whether the person waits no longer.
    ///
    /// # Errors
    ///
    /// When the last answers could not be saved, with the reason.
    pub fn end(
        mut self,
        model: &mut Model,
        mut say: impl FnMut(),
        gives_up: impl Fn() -> bool,
    ) -> Result<(), Problem> {
        let begun = Instant::now();
        let (mut tries, mut was_told) = (0, false);
        let mut has_given_up = self.leaves_unsaved;
        while !has_given_up {
            if self.saving == 0 {
                if keeping::is_behind(model) && tries < LAST_TRIES {
                    tries += 1;
                    self.message(model, Message::Ending(self.clock.now()));
                } else if self.workers.is_done() {
                    break;
                }
            }
            self.wait(model, LOOK);
            if !was_told && begun.elapsed() > PATIENCE {
                was_told = true;
                say();
            }
            has_given_up = gives_up();
        }
        let work = model.work.as_ref();
        let Some(work) = work.filter(|work| self.leaves_unsaved || work.keeping.behind.is_some())
        else {
            return Ok(());
        };
        let why = match &work.keeping.failed {
            Some(failed) => failed.why.clone(),
            None => "millside was ended before the disk took them".to_owned(),
        };
        Err(Problem::system("save the last answers")
            .at(plain::text(&work.path))
            .because(why)
            .hint("The record holds everything before them."))
    }
}
