//! The loop: events in, effects out, a frame after each.

use std::env;
use std::io;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::time::Duration;

use ratatui::crossterm::event;
use ratatui::crossterm::event::Event;
use signal_hook::consts::SIGABRT;
use signal_hook::consts::SIGALRM;
use signal_hook::consts::SIGCONT;
use signal_hook::consts::SIGHUP;
use signal_hook::consts::SIGINT;
use signal_hook::consts::SIGIO;
use signal_hook::consts::SIGPROF;
use signal_hook::consts::SIGQUIT;
use signal_hook::consts::SIGTERM;
use signal_hook::consts::SIGTRAP;
use signal_hook::consts::SIGTSTP;
use signal_hook::consts::SIGUSR1;
use signal_hook::consts::SIGUSR2;
use signal_hook::consts::SIGVTALRM;
use signal_hook::consts::SIGXCPU;
use signal_hook::consts::SIGXFSZ;

use crate::app::effect::Effect;
use crate::app::message::Message;
use crate::app::model;
use crate::app::model::DemoJob;
use crate::app::model::Library;
use crate::app::model::Look;
use crate::app::model::Model;
use crate::app::model::Theme;
use crate::app::readable;
use crate::cli::library;
use crate::cli::world::World;
use crate::edge::clock::Clock;
use crate::edge::folders;
use crate::edge::outside::Outside;
use crate::edge::said;
use crate::edge::save::Steps;
use crate::edge::store;
use crate::edge::store::Store;
use crate::edge::terminal;
use crate::edge::terminal::Pressed;
use crate::edge::work;
use crate::measure::legible::Sizes;
use crate::plain;
use crate::problem::Problem;
use crate::profile::demo;
use crate::record::care;
use crate::session::moment::Moment;
use crate::ui;

/// How long the loop waits for a key when nothing else is due.
const WAIT: Duration = Duration::from_millis(200);

/// How long it waits while an answer of a worker is due.
const WAIT_BUSY: Duration = Duration::from_millis(15);

/// How long it waits for a save that the next frame waits for, and then for a key.
const WAIT_SAVE: Duration = Duration::from_millis(5);
const WAIT_NONE: Duration = Duration::from_millis(1);

/// How long it waits for saves before it goes into the background.
const SUSPEND: Duration = Duration::from_secs(2);

/// Said on standard error when the disk takes its time at the end.
const WAITS: &str =
    "millside: waiting for the disk to take the last answers. Ctrl-C ends without them.\n";

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

/// What the system told the program since it last looked.
#[derive(Default)]
struct Told {
    /// To end: the terminal is gone, or somebody wants it so.
    end: Arc<AtomicBool>,
    /// To end, by a key of the terminal: once more while the disk is waited for ends at once.
    insists: Arc<AtomicBool>,
    /// To go into the background.
    stop: Arc<AtomicBool>,
    /// That it goes on after it stood still.
    went_on: Arc<AtomicBool>,
}

/// Signals that would end the program as it is, the terminal raw and the last answers lost.
///
/// Those that tell of a fault in the program itself (SIGSEGV and its like) cannot be handled and gone on from.
const ENDING: [i32; 13] = [
    SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGUSR1, SIGUSR2, SIGALRM, SIGVTALRM, SIGPROF, SIGABRT,
    SIGXCPU, SIGIO, SIGTRAP,
];

/// More that Linux has: the power fails, a fault of the processor, a call that does not exist.
#[cfg(target_os = "linux")]
const ENDING_HERE: &[i32] = &[libc::SIGPWR, libc::SIGSTKFLT, libc::SIGSYS];
#[cfg(not(target_os = "linux"))]
const ENDING_HERE: &[i32] = &[];

impl Told {
    fn listen() -> Result<Self, Problem> {
        let told = Self::default();
        let ending = ENDING
            .iter()
            .chain(ENDING_HERE)
            .map(|signal| (*signal, &told.end));
        let others = [
            (SIGINT, &told.insists),
            (SIGQUIT, &told.insists),
            (SIGTSTP, &told.stop),
            (SIGCONT, &told.went_on),
        ];
        // A file that may not grow is a save that fails, not the end.
        let ignored = Arc::default();
        for (signal, flag) in ending
            .into_iter()
            .chain(others)
            .chain([(SIGXFSZ, &ignored)])
        {
            signal_hook::flag::register(signal, Arc::clone(flag))
                .map_err(|error| Problem::system("listen for signals").from_error(error))?;
        }
        Ok(told)
    }
}

/// The screen while it is open.
struct Screen {
    outside: Outside,
    clock: Clock,
}

/// Opens the screen and runs until the person ends it. `steps` is asked before each step on the disk.
///
/// # Errors
///
/// No terminal, no folder for sessions, or last answers that could not be saved.
pub fn run(start: Start, world: &dyn World, steps: Steps) -> Result<(), Problem> {
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
    let told = Told::listen()?;
    let mut terminal = terminal::take(&told.end)?;
    let known = folders::data_folder().map_or(Ok(Sizes::new()), |data| said::read(&data));
    match known {
        Ok(sizes) => readable::known(&mut model, sizes),
        Err(why) => model.refuse(why),
    }
    let mut outside = Outside::begin(clock, store, care_folder(), library, steps);
    outside.carry_out(&mut model, vec![Effect::ListJobs]);
    if let Some(path) = start.open {
        outside.carry_out(&mut model, vec![Effect::Load(path)]);
    }
    let mut screen = Screen { outside, clock };
    let outcome = screen.turn(&mut model, &mut terminal, &told);
    // The terminal first: the disk may take its time, and the person can end the wait there.
    let _ = terminal.show_cursor();
    terminal::give_back();
    told.insists.store(false, Ordering::Relaxed);
    let say = || {
        // Nothing can be done when standard error is closed.
        let _ = io::stderr().write_all(WAITS.as_bytes());
    };
    let ended = screen
        .outside
        .end(&mut model, say, || told.insists.load(Ordering::Relaxed));
    ended?;
    match outcome {
        // A terminal that is gone is no failure of a program that is told to end.
        Err(error) if !told.end.load(Ordering::Relaxed) => {
            Err(Problem::system("go on with the terminal").from_error(error))
        }
        _ => Ok(()),
    }
}

impl Screen {
    fn turn(
        &mut self,
        model: &mut Model,
        terminal: &mut terminal::Screen,
        told: &Told,
    ) -> io::Result<()> {
        let size = terminal.size()?;
        self.message(model, Message::Resized(size.width, size.height));
        let mut seen = self.clock.now();
        while !self.outside.has_quit() {
            let holds = self.outside.holds_frame(model);
            if !holds {
                terminal.draw(|frame| ui::view(model, frame))?;
            }
            if told.end.load(Ordering::Relaxed) {
                break;
            }
            if told.stop.swap(false, Ordering::Relaxed) {
                self.suspended(model, terminal, told)?;
            } else if told.went_on.swap(false, Ordering::Relaxed) {
                // Stopped by a signal that nobody can catch: the terminal may be anybody's by now.
                *terminal = taken_again(told)?;
                self.back(model, seen);
            }
            seen = self.clock.now();
            let wait = match (holds, self.outside.is_waiting()) {
                (true, _) => {
                    self.outside.wait(model, WAIT_SAVE);
                    WAIT_NONE
                }
                (false, true) => WAIT_BUSY,
                (false, false) => WAIT,
            };
            if event::poll(wait)? {
                let event = event::read()?;
                self.event(model, terminal, told, event)?;
            }
            self.outside.take_in(model);
            self.message(model, Message::Ticked(self.clock.now()));
        }
        Ok(())
    }

    fn message(&mut self, model: &mut Model, message: Message) {
        self.outside.message(model, message);
    }

    fn event(
        &mut self,
        model: &mut Model,
        terminal: &mut terminal::Screen,
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
        terminal: &mut terminal::Screen,
        told: &Told,
    ) -> io::Result<()> {
        let from = self.clock.now();
        // Who stops it may kill it there.
        self.outside.settle(model, SUSPEND);
        let _ = terminal.show_cursor();
        terminal::give_back();
        signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
        *terminal = taken_again(told)?;
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
}

/// The terminal, taken again. A fresh screen is empty; to clear it would ask a slow terminal for its cursor and end us.
fn taken_again(told: &Told) -> io::Result<terminal::Screen> {
    terminal::take(&told.end).map_err(|problem| io::Error::other(problem.to_string()))
}
