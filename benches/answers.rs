//! One session with very many answers: time an answer, and the most memory that it took.
//!
//! `cargo bench --bench answers -- [ANSWERS]`, 23500 unless said otherwise. Each answer is a key of the start list: the update, the frame on
//! a screen of memory, and the saves on a thread of their own, one at a time as the program makes them, into a file on the disk.

#![allow(clippy::print_stdout)]

#[path = "../tests/support/mod.rs"]
#[allow(unused_imports)]
mod support;

use std::collections::VecDeque;
use std::fs;
use std::path::Path;
use std::sync::mpsc;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use millside::app::answering;
use millside::app::effect::Effect;
use millside::app::key::Key;
use millside::app::message::Kept;
use millside::app::message::Message;
use millside::app::model::Model;
use millside::app::row;
use millside::app::row::Row;
use millside::app::update::update;
use millside::edge::save;
use millside::edge::save::Unwatched;
use millside::record::write;
use millside::session::event::Event;
use millside::session::gate::Way;
use millside::session::matrix::Happening;
use millside::session::moment::Moment;
use millside::session::state::State;
use millside::ui;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

use support::session::at;
use support::walk;

const USUAL: usize = 23_500;

/// A line has been on show this long when it is answered: the speed of a quick reader.
const BETWEEN_S: u64 = 2;

/// The most memory of this process so far, in MB, where the system tells.
fn most_mb() -> Option<f64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024.0)
}

struct Mill {
    model: Model,
    screen: Terminal<TestBackend>,
    seconds: u64,
    saves: mpsc::Sender<Box<State>>,
    saved: mpsc::Receiver<Message>,
    count: usize,
    /// Of the time, what the update took; the rest is the frame.
    updating: Duration,
}

impl Mill {
    fn begin(model: Model, seconds: u64, path: &Path) -> Self {
        let (saves, wanted) = mpsc::channel::<Box<State>>();
        let (tell, saved) = mpsc::channel();
        let path = path.to_owned();
        thread::spawn(move || {
            for state in wanted {
                let kept = save::replace(&path, &write::text(&state), &mut Unwatched);
                let kept = kept.map(|_| Kept::InPlace).map_err(|why| why.to_string());
                if tell.send(Message::Saved(kept)).is_err() {
                    break;
                }
            }
        });
        let screen = Terminal::new(TestBackend::new(120, 40)).expect("a screen of memory");
        Self {
            model,
            screen,
            seconds,
            saves,
            saved,
            count: 0,
            updating: Duration::ZERO,
        }
    }

    fn now(&self) -> Moment {
        at(i64::try_from(self.seconds).unwrap_or(0), self.seconds)
    }

    fn send(&mut self, message: Message) {
        let mut queue = VecDeque::from(update(&mut self.model, message));
        while let Some(effect) = queue.pop_front() {
            if let Effect::Save(state) = effect {
                self.count += 1;
                self.saves.send(state).expect("the thread saves");
            }
        }
    }

    /// A key, what the disk has said since, and the frame.
    fn key(&mut self, key: char) {
        self.seconds += BETWEEN_S;
        let now = self.now();
        let begun = Instant::now();
        self.send(Message::Pressed(Key::Char(key), now));
        while let Ok(message) = self.saved.try_recv() {
            self.send(message);
        }
        self.updating += begun.elapsed();
        let model = &self.model;
        let drawn = self.screen.draw(|frame| ui::view(model, frame));
        drawn.expect("memory can be drawn on");
    }

    fn state(&self) -> &State {
        self.model.state().expect("a session is open")
    }

    /// Answers the list once, as far as it is open.
    fn list(&mut self) {
        loop {
            let keys = match row::chosen(&self.model.rows, self.model.cursor) {
                Some(Row::Line(_, line)) if line.state.is_open() && line.way == Way::Press => {
                    answering::keys_of(self.state(), line)
                }
                _ => return,
            };
            keys.chars().for_each(|key| self.key(key));
        }
    }

    /// Everything is asked again.
    fn ask_again(&mut self) {
        self.seconds += BETWEEN_S;
        let at = self.now();
        let work = self.model.work.as_mut().expect("a session is open");
        let event = Event::Happened(Happening::PersonChanged);
        work.session = work.session.apply(event, at).expect("it may happen");
        self.model.cursor = 0;
        self.key('8');
    }
}

fn main() {
    let wanted = std::env::args().skip(1).find_map(|word| word.parse().ok());
    let wanted: usize = wanted.unwrap_or(USUAL);
    let folder = tempfile::tempdir().expect("a folder");
    let desk = walk::answered(120, 40);
    let mut mill = Mill::begin(desk.model, desk.seconds, &folder.path().join("plate.toml"));
    println!("at the start {:.1} MB", most_mb().unwrap_or(f64::NAN));
    let mut said = 0;
    let mut begun = (Instant::now(), mill.state().answers.len());
    let first = begun;
    while mill.state().answers.len() < wanted {
        let before = mill.state().answers.len();
        mill.ask_again();
        mill.list();
        assert!(mill.state().answers.len() > before, "nothing was answered");
        let count = mill.state().answers.len();
        if count * 5 / wanted > said {
            said = count * 5 / wanted;
            let (from, of) = begun;
            let ms = from.elapsed().as_secs_f64() * 1000.0 / (count - of) as f64;
            println!(
                "{count:>6} answers   {ms:>6.3} ms an answer since the last line   at most {:.1} MB   {} saves",
                most_mb().unwrap_or(f64::NAN),
                mill.count
            );
            begun = (Instant::now(), count);
        }
    }
    let all = mill.state().answers.len() - first.1;
    let ms = first.0.elapsed().as_secs_f64() * 1000.0 / all as f64;
    // The last save comes in.
    while let Ok(message) = mill.saved.recv_timeout(Duration::from_secs(5)) {
        mill.send(message);
        if mill
            .model
            .work
            .as_ref()
            .is_some_and(|work| work.keeping.behind.is_none())
        {
            break;
        }
    }
    let length = fs::metadata(folder.path().join("plate.toml")).map_or(0, |file| file.len());
    println!(
        "{all} answers, {ms:.3} ms each, {:.3} ms of it the update and the rest frames; at most {:.1} MB; record {:.2} MB",
        mill.updating.as_secs_f64() * 1000.0 / all as f64,
        most_mb().unwrap_or(f64::NAN),
        length as f64 / 1e6
    );
}
