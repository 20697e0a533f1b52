//! The loop: events in, effects out, a frame after each.

use std::collections::HashMap;
use std::env;
use std::fs;
use std::io;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::SystemTime;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event;
use ratatui::crossterm::event::Event;
use signal_hook::consts::SIGCONT;
use signal_hook::consts::SIGHUP;
use signal_hook::consts::SIGTERM;
use signal_hook::consts::SIGTSTP;

use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::message::Message;
use crate::app::model;
use crate::app::model::DemoJob;
use crate::app::model::Library;
use crate::app::model::Look;
use crate::app::model::Model;
use crate::app::model::Theme;
use crate::app::readable;
use crate::app::update::update;
use crate::cli::library;
use crate::cli::world::World;
use crate::edge::alive;
use crate::edge::clock::Clock;
use crate::edge::folders;
use crate::edge::lock;
use crate::edge::lock::Guard;
use crate::edge::lock::Lock;
use crate::edge::said;
use crate::edge::store;
use crate::edge::store::Store;
use crate::edge::terminal;
use crate::edge::terminal::Pressed;
use crate::edge::work;
use crate::edge::work::Wanted;
use crate::edge::work::Workers;
use crate::measure::legible::Sizes;
use crate::plain;
use crate::problem::Problem;
use crate::profile::demo;
use crate::record::care;
use crate::session::Session;
use crate::session::clock::Phase;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::ui;

/// How long the loop waits for a key when nothing else is due.
const WAIT: Duration = Duration::from_millis(200);

/// How long it waits while an answer of a worker is due.
const WAIT_BUSY: Duration = Duration::from_millis(15);

/// What the screen starts with.
#[derive(Debug, Default)]
pub struct Start {
    /// Folder of sessions; the person's data folder when none is named.
    pub sessions: Option<PathBuf>,
    /// Record to open at once.
    pub open: Option<PathBuf>,
}

/// Profiles of the program and the person, as the screen uses them.
pub fn profiles(world: &dyn World) -> Library {
    let loaded = library::load(world);
    let demo = demo::demo().ok().and_then(|demo| {
        let name = format!("built-in/{}", demo.program_name);
        Some(DemoJob {
            program: work::demo_program(&name)?,
            demo,
        })
    });
    Library {
        machines: loaded.machines.items().to_vec(),
        materials: loaded.materials.items().to_vec(),
        tools: loaded.tools.items().to_vec(),
        cautions: loaded.cautions.items().to_vec().into(),
        templates: loaded.templates.items().to_vec(),
        emergency_number: loaded.emergency_number,
        faults: loaded
            .faults
            .iter()
            .map(|fault| plain::text(&fault.to_string()))
            .collect(),
        demo,
    }
}

/// Where the care logs of machines are kept.
fn care_folder() -> Option<PathBuf> {
    folders::data_folder().map(|data| data.join(care::FOLDER))
}

/// What the surroundings say of colour and of characters.
fn look() -> Look {
    let set = |name: &str| env::var_os(name).is_some_and(|value| !value.is_empty());
    let is_dumb = env::var_os("TERM").is_some_and(|term| term == "dumb");
    let words = ["LC_ALL", "LC_CTYPE", "LANG"]
        .iter()
        .find_map(|name| env::var(name).ok().filter(|value| !value.is_empty()))
        .unwrap_or_default()
        .to_lowercase();
    let is_utf8 = words.contains("utf-8") || words.contains("utf8") || words.is_empty();
    Look {
        colour: !set("NO_COLOR") && !is_dumb,
        ascii: set("MILLSIDE_ASCII") || is_dumb || !is_utf8,
        theme: env::var("MILLSIDE_THEME")
            .ok()
            .and_then(|word| Theme::from_word(&word))
            .unwrap_or_default(),
    }
}

/// The part of the program that touches the world while the screen is open.
struct Outside {
    clock: Clock,
    store: Store,
    workers: Workers,
    library: Library,
    open: Option<Opened>,
    /// Size and time of program files as they were when they were last read.
    seen: HashMap<String, Stamp>,
    quit: bool,
    waiting: u32,
}

/// What the system told the program since it last looked.
#[derive(Default)]
struct Told {
    /// To end: the terminal is gone, or somebody wants it so.
    end: Arc<AtomicBool>,
    /// To go into the background.
    stop: Arc<AtomicBool>,
    /// That it goes on after it stood still.
    went_on: Arc<AtomicBool>,
}

/// Size and time of change of a file.
type Stamp = (u64, Option<SystemTime>);

/// The stamp of a file, if it is there.
fn stamp(path: &str) -> Option<Stamp> {
    let meta = fs::metadata(path).ok()?;
    Some((meta.len(), meta.modified().ok()))
}

struct Opened {
    path: PathBuf,
    guard: Option<Guard>,
}

/// Opens the screen and runs until the person ends it.
///
/// # Errors
///
/// No terminal, or no folder for sessions.
pub fn run(start: Start, world: &dyn World) -> Result<(), Problem> {
    let dir = match start.sessions {
        Some(dir) => dir,
        None => store::default_dir()?,
    };
    let store = Store::open(dir)?;
    let clock = Clock::begin();
    let library = profiles(world);
    let folder = plain::text(&store.dir().display().to_string());
    let version = env!("CARGO_PKG_VERSION").to_owned();
    let mut model = model::new(library.clone(), look(), folder, version, clock.now());
    let told = Told::default();
    for (signal, flag) in [
        (SIGTERM, &told.end),
        (SIGHUP, &told.end),
        (SIGTSTP, &told.stop),
        (SIGCONT, &told.went_on),
    ] {
        signal_hook::flag::register(signal, Arc::clone(flag)).map_err(|error| {
            Problem::system("listen for the end of the terminal").from_error(error)
        })?;
    }
    let mut terminal = terminal::take()?;
    let known = folders::data_folder().map_or(Ok(Sizes::new()), |data| said::read(&data));
    match known {
        Ok(sizes) => readable::known(&mut model, sizes),
        Err(why) => model.refuse(why),
    }
    let workers = Workers::begin(store.clone(), care_folder());
    let mut outside = Outside {
        clock,
        store,
        workers,
        library,
        open: None,
        seen: HashMap::new(),
        quit: false,
        waiting: 0,
    };
    outside.carry_out(&mut model, vec![Effect::ListJobs]);
    if let Some(path) = start.open {
        outside.carry_out(&mut model, vec![Effect::Load(path)]);
    }
    let outcome = outside.turn(&mut model, &mut terminal, &told);
    outside.close();
    outside.workers.finish();
    terminal::give_back();
    outcome.map_err(|error| Problem::system("go on with the terminal").from_error(error))
}

impl Outside {
    fn turn(
        &mut self,
        model: &mut Model,
        terminal: &mut DefaultTerminal,
        told: &Told,
    ) -> io::Result<()> {
        let size = terminal.size()?;
        self.message(model, Message::Resized(size.width, size.height));
        let mut seen = self.clock.now();
        while !self.quit {
            terminal.draw(|frame| ui::view(model, frame))?;
            if told.end.load(Ordering::Relaxed) {
                break;
            }
            if told.stop.swap(false, Ordering::Relaxed) {
                self.suspended(model, terminal, told)?;
            } else if told.went_on.swap(false, Ordering::Relaxed) {
                // Stopped by a signal that nobody can catch: the terminal may be anybody's by now.
                *terminal = taken_again()?;
                self.back(model, seen);
            }
            seen = self.clock.now();
            let wait = if self.waiting > 0 { WAIT_BUSY } else { WAIT };
            if event::poll(wait)? {
                let event = event::read()?;
                self.event(model, terminal, told, event)?;
            }
            while let Some(message) = self.workers.answer() {
                // Nobody waits for the care log: it comes with a save, or when it comes.
                let is_due = !matches!(message, Message::CareRead(..));
                self.waiting = self.waiting.saturating_sub(u32::from(is_due));
                self.message(model, message);
            }
            let reading = self.workers.reading();
            if reading != model.reading {
                self.message(model, Message::Reading(reading));
            }
            self.message(model, Message::Ticked(self.clock.now()));
        }
        Ok(())
    }

    fn event(
        &mut self,
        model: &mut Model,
        terminal: &mut DefaultTerminal,
        told: &Told,
        event: Event,
    ) -> io::Result<()> {
        let now = self.clock.now();
        if let Some(pressed) = event.as_key_press_event() {
            match terminal::key(pressed) {
                Pressed::Key(key) => self.message(model, Message::Pressed(key, now)),
                Pressed::Suspend => self.suspended(model, terminal, told)?,
                Pressed::Nothing => {}
            }
        } else if let Event::Resize(columns, rows) = event {
            self.message(model, Message::Resized(columns, rows));
        } else if let Event::Paste(text) = event {
            // Pasted text is for a field; elsewhere it would be a flood of keys.
            let text = text.chars().filter(|c| !plain::is_hidden(*c)).collect();
            self.message(model, Message::Pasted(text));
        }
        Ok(())
    }

    /// Puts the program into the background until it is called out of it.
    fn suspended(
        &mut self,
        model: &mut Model,
        terminal: &mut DefaultTerminal,
        told: &Told,
    ) -> io::Result<()> {
        let from = self.clock.now();
        terminal::give_back();
        signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
        *terminal = taken_again()?;
        told.went_on.store(false, Ordering::Relaxed);
        self.back(model, from);
        Ok(())
    }

    /// Nobody was there since `from`.
    fn back(&mut self, model: &mut Model, from: Moment) {
        let back = self.clock.now();
        let away_s = (back.wall - from.wall).num_milliseconds().max(0) as f64 / 1000.0;
        self.message(model, Message::CameBack(away_s, back));
    }

    fn message(&mut self, model: &mut Model, message: Message) {
        let effects = update(model, message);
        self.carry_out(model, effects);
    }

    fn carry_out(&mut self, model: &mut Model, effects: Vec<Effect>) {
        for effect in effects {
            if let Some(answer) = self.effect(effect) {
                self.message(model, answer);
            }
        }
    }

    fn effect(&mut self, effect: Effect) -> Option<Message> {
        match effect {
            Effect::ListJobs => {
                self.waiting += 1;
                self.workers.list(&self.store);
            }
            Effect::Create(state) => return Some(self.create(&state)),
            Effect::Load(path) => return Some(self.load(path)),
            Effect::Save(state) => {
                if let Some(open) = self.open.as_ref().filter(|open| open.guard.is_some()) {
                    self.waiting += 1;
                    self.workers.save(&open.path, state);
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
                if let Some(open) = self.open.as_ref().filter(|open| open.guard.is_some()) {
                    // A missing sign of life costs a better guess later, nothing else.
                    let _ = alive::touch(&open.path, self.clock.now().wall);
                }
            }
            Effect::ClearAlive => self.clear_alive(),
            Effect::Close => self.close(),
            Effect::KeepSizes(sizes) => {
                // Some lines, once or twice in the life of a screen: no thread is worth it.
                let data = folders::data_folder();
                let kept = data.map_or(Ok(()), |data| said::keep(&data, &sizes));
                return kept.err().map(Message::NotKept);
            }
            Effect::KeepTool { name, text } => {
                let kept = folders::keep_tool(&name, &text);
                return Some(Message::ToolKept(kept));
            }
            Effect::Bell => {
                let mut out = io::stdout().lock();
                let _ = out.write_all(b"\x07");
                let _ = out.flush();
            }
            Effect::Quit => self.quit = true,
        }
        None
    }

    fn create(&mut self, state: &State) -> Message {
        match self.store.create(state) {
            Ok(path) => self.opened(path, Session::new(state.clone()), None),
            Err(problem) => Message::NotOpened(plain::text(&problem.to_string())),
        }
    }

    fn load(&mut self, path: PathBuf) -> Message {
        let now = self.clock.now();
        match store::load(&path, Arc::clone(&self.library.cautions), now) {
            Ok(state) => {
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
                self.opened(path, Session::new(state), away)
            }
            Err(problem) => Message::NotOpened(plain::text(&problem.to_string())),
        }
    }

    fn opened(&mut self, path: PathBuf, session: Session, away: Option<(f64, f64)>) -> Message {
        let guard = match lock::lock(&path) {
            Ok(Lock::Locked(guard)) => Some(guard),
            Ok(Lock::HeldByAnother) | Err(_) => None,
        };
        let read_only = guard.is_none();
        self.seen.clear();
        let shown = path.to_string_lossy().into_owned();
        self.open = Some(Opened { path, guard });
        Message::Opened {
            path: shown,
            session: Box::new(session),
            read_only,
            away,
            at: self.clock.now(),
        }
    }

    fn clear_alive(&self) {
        if let Some(open) = self.open.as_ref().filter(|open| open.guard.is_some()) {
            let _ = alive::clear(&open.path);
        }
    }

    fn close(&mut self) {
        if let Some(open) = self.open.take() {
            drop(open.guard);
        }
    }
}

/// The terminal, taken anew. A fresh screen is empty; to clear it would ask a slow terminal for its cursor and end us.
fn taken_again() -> io::Result<DefaultTerminal> {
    terminal::take().map_err(|problem| io::Error::other(problem.to_string()))
}
