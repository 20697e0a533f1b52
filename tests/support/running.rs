//! The program itself with real files and without a terminal, on a disk that can be made to fail, to be slow, and to be looked at before
//! each step of a save as a kill would leave it.

// Each test file uses a part of it.
#![allow(dead_code)]

use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use millside::app::effect::Effect;
use millside::app::keeping;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::model;
use millside::app::model::Look;
use millside::app::model::Model;
use millside::app::model::Screen;
use millside::app::model::Theme;
use millside::app::overlay::Overlay;
use millside::app::overlay::Sure;
use millside::edge::clock::Clock;
use millside::edge::outside::Outside;
use millside::edge::save::Steps;
use millside::edge::store::Store;
use millside::problem::Problem;
use millside::session::moment::Moment;

use crate::support::desk::library;

/// Waits for what the program's threads do; long enough for any machine.
pub const LONG: Duration = Duration::from_secs(20);

/// What the disk does.
#[derive(Default)]
pub struct Plan {
    /// Fails before this step.
    pub step: Option<&'static str>,
    /// With this error of the system.
    pub error: i32,
    /// So many times.
    pub times: u32,
    /// Takes so long before each sync.
    pub slow: Duration,
    /// Steps that were reached.
    pub reached: Vec<String>,
    /// Where the folder is copied to before each step, and how often it was.
    pub copies: Option<Copies>,
}

/// The folder before each step, with what stood on the screen without a sign.
pub struct Copies {
    /// The folder of the program.
    pub of: PathBuf,
    /// Where the copies lie, numbered.
    pub to: PathBuf,
    /// The step, and how many entries were confirmed then.
    pub made: Vec<(String, usize)>,
    /// Entries that are confirmed now.
    pub confirmed: usize,
}

impl Copies {
    fn make(&mut self, step: &str) {
        let to = self.to.join(self.made.len().to_string());
        fs::create_dir(&to).expect("a folder");
        for entry in fs::read_dir(&self.of).expect("the folder") {
            let from = entry.expect("an entry").path();
            // What is renamed meanwhile is no part of it.
            let _ = fs::copy(&from, to.join(from.file_name().expect("a name")));
        }
        self.made.push((step.to_owned(), self.confirmed));
    }
}

/// The program without a terminal, and its disk.
pub struct Running {
    pub outside: Outside,
    pub model: Model,
    pub clock: Clock,
    /// Time that passed for the model beyond that of the clock.
    pub ahead: Duration,
    pub plan: Arc<Mutex<Plan>>,
    pub confirmed: Vec<String>,
}

impl Running {
    /// With an empty list of jobs.
    pub fn start(folder: &Path) -> Self {
        let plan = Arc::new(Mutex::new(Plan::default()));
        let asked = Arc::clone(&plan);
        let steps: Steps = Arc::new(move |step| {
            let slow = {
                let mut plan = asked.lock().expect("the plan");
                plan.reached.push(step.to_owned());
                if let Some(copies) = &mut plan.copies {
                    copies.make(step);
                }
                if plan.step == Some(step) && plan.times > 0 {
                    plan.times -= 1;
                    return Err(io::Error::from_raw_os_error(plan.error));
                }
                plan.slow
            };
            if step == "sync" {
                thread::sleep(slow);
            }
            Ok(())
        });
        let clock = Clock::begin();
        let store = Store::open(folder).expect("a folder");
        let look = Look {
            colour: true,
            ascii: false,
            theme: Theme::Own,
        };
        let model = model::new(library(), look, String::new(), String::new(), clock.now());
        let outside = Outside::begin(clock, store, None, library(), steps);
        Self {
            outside,
            model,
            clock,
            ahead: Duration::ZERO,
            plan,
            confirmed: vec![],
        }
    }

    /// With the demo job begun.
    pub fn demo(folder: &Path) -> Self {
        let mut running = Self::start(folder);
        let list = vec![Effect::ListJobs];
        running.outside.carry_out(&mut running.model, list);
        running.until("the jobs are listed", |model| model.jobs_known);
        running.keys("\r\r");
        running.until("the demo is open", |model| model.screen == Screen::Session);
        running.quiet();
        running
    }

    pub fn now(&self) -> Moment {
        let now = self.clock.now();
        Moment {
            wall: now.wall + chrono::TimeDelta::from_std(self.ahead).expect("some seconds"),
            mono: now.mono + self.ahead,
        }
    }

    /// One turn of the loop.
    pub fn turn(&mut self) {
        self.outside.wait(&mut self.model, Duration::from_millis(2));
        self.outside.take_in(&mut self.model);
        let now = self.now();
        self.outside.message(&mut self.model, Message::Ticked(now));
    }

    pub fn until(&mut self, what: &str, is_so: impl Fn(&Model) -> bool) {
        let begun = Instant::now();
        while !is_so(&self.model) {
            assert!(begun.elapsed() < LONG, "never: {what}");
            self.turn();
        }
    }

    /// Everything is on the disk.
    pub fn quiet(&mut self) {
        self.until("everything is saved", |model| !keeping::is_behind(model));
        if let Some(copies) = &mut self.plan.lock().expect("the plan").copies {
            copies.confirmed = self.confirmed.len();
        }
    }

    pub fn key(&mut self, key: Key) {
        // Nobody is faster; the model takes no key for one that is held down.
        self.ahead += Duration::from_millis(900);
        let now = self.now();
        self.outside
            .message(&mut self.model, Message::Pressed(key, now));
    }

    pub fn keys(&mut self, keys: &str) {
        for c in keys.chars() {
            self.key(match c {
                '\r' => Key::Enter,
                '\x1b' => Key::Escape,
                c => Key::Char(c),
            });
        }
    }

    /// Makes an entry; it is confirmed once no sign is on the screen.
    pub fn note(&mut self, text: &str) {
        self.keys("/");
        self.keys(text);
        self.keys("\r");
        self.confirmed.push(text.to_owned());
    }

    pub fn fail(&self, step: &'static str, error: i32, times: u32) {
        let mut plan = self.plan.lock().expect("the plan");
        (plan.step, plan.error, plan.times) = (Some(step), error, times);
    }

    pub fn mend(&self) {
        self.plan.lock().expect("the plan").step = None;
    }

    pub fn slow(&self, by: Duration) {
        self.plan.lock().expect("the plan").slow = by;
    }

    /// Time passes, a second at a time.
    pub fn pass(&mut self, seconds: u32) {
        for _ in 0..seconds {
            self.ahead += Duration::from_secs(1);
            self.turn();
        }
    }

    pub fn path(&self) -> PathBuf {
        PathBuf::from(&self.model.work.as_ref().expect("a session").path)
    }

    pub fn asks(&self) -> bool {
        self.model.overlay == Some(Overlay::Sure(Sure::Unsaved))
    }

    /// As the loop ends the program.
    pub fn end(mut self) -> Result<(), Problem> {
        self.outside.end(&mut self.model, || {}, || false)
    }
}

pub fn holds(path: &Path, all: &[String]) {
    let text = fs::read_to_string(path).expect("a record");
    assert!(text.trim_end().ends_with("complete = true"), "it is whole");
    for note in all {
        assert!(text.contains(note.as_str()), "{note} is lost");
    }
}

pub fn strays(folder: &Path) -> usize {
    let entries = fs::read_dir(folder).expect("the folder");
    let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    names.filter(|name| name.ends_with(".tmp")).count()
}
