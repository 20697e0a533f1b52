//! The whole program without a terminal or a disk: keys in, the drawn screen out, time by hand.

// Each test file uses a part of it.
#![allow(dead_code)]

use std::collections::VecDeque;

use millside::app::effect::Effect;
use millside::app::effect::Reading;
use millside::app::key::Key;
use millside::app::message::JobSummary;
use millside::app::message::Kept;
use millside::app::message::Message;
use millside::app::message::ProgramRead;
use millside::app::model;
use millside::app::model::DemoJob;
use millside::app::model::Library;
use millside::app::model::Look;
use millside::app::model::Model;
use millside::app::page;
use millside::app::row::Row;
use millside::app::update::update;
use millside::profile::demo;
use millside::program::options::ReadOptions;
use millside::program::read;
use millside::session::Session;
use millside::session::care_log::Entry;
use millside::session::moment::Moment;
use millside::session::state::State;
use millside::ui;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;

use super::session::at;
use super::session::shipped;

/// What becomes of saves.
pub enum Disk {
    /// Each is done at once.
    Fine,
    /// Each fails, with this reason.
    Failing(String),
    /// Each takes until [`Desk::disk_is_done`].
    Slow,
}

/// The program on a desk.
pub struct Desk {
    /// The model.
    pub model: Model,
    /// Seconds since the beginning.
    pub seconds: u64,
    /// Records that were saved, newest last.
    pub saved: Vec<State>,
    /// Effects that nobody carries out here, in order.
    pub other: Vec<Effect>,
    /// Program files by path.
    pub files: Vec<(String, String)>,
    /// The program file that was read last, as it was then.
    seen: Option<(String, String)>,
    /// Jobs that the folder holds.
    pub jobs: Vec<JobSummary>,
    /// What becomes of saves.
    pub disk: Disk,
    /// The save that a slow disk has not finished.
    under_way: Option<State>,
    /// The care log of the machine, or why it cannot be read.
    pub care: Result<Vec<Entry>, String>,
}

/// Shipped profiles and the demo job.
pub fn library() -> Library {
    let demo = demo::demo().expect("the demo loads");
    let name = format!("built-in/{}", demo.program_name);
    let program = ProgramRead {
        is_built_in: true,
        ..read_text(&name, demo::PROGRAM_TEXT)
    };
    Library {
        demo: Some(DemoJob { demo, program }),
        ..shipped()
    }
}

fn read_text(file: &str, text: &str) -> ProgramRead {
    let summary = read::read(
        text.as_bytes(),
        &ReadOptions {
            keep_steps: 200_000,
            ..ReadOptions::default()
        },
    )
    .expect("memory can be read");
    ProgramRead {
        file: file.to_owned(),
        is_built_in: false,
        summary,
    }
}

impl Desk {
    /// A desk with an empty folder and a window of this size, the jobs listed.
    pub fn new(columns: u16, rows: u16) -> Self {
        Self::with_look(
            columns,
            rows,
            Look {
                colour: true,
                ascii: false,
                theme: model::Theme::Own,
            },
        )
    }

    /// The same with another look.
    pub fn with_look(columns: u16, rows: u16, look: Look) -> Self {
        let model = model::new(
            library(),
            look,
            "~/sessions".into(),
            "0.0.0".into(),
            at(0, 0),
        );
        let mut desk = Self {
            model,
            seconds: 0,
            saved: vec![],
            other: vec![],
            files: vec![],
            seen: None,
            jobs: vec![],
            disk: Disk::Fine,
            under_way: None,
            care: Ok(vec![]),
        };
        desk.send(Message::Resized(columns, rows));
        desk.send(Message::JobsListed(Ok(vec![])));
        desk
    }

    /// Now.
    pub fn now(&self) -> Moment {
        at(
            i64::try_from(self.seconds).expect("a small number"),
            self.seconds,
        )
    }

    /// A message, and all that follows from it.
    pub fn send(&mut self, message: Message) {
        // A test may have changed the model by hand.
        page::refresh(&mut self.model);
        let mut queue = VecDeque::from(update(&mut self.model, message));
        while let Some(effect) = queue.pop_front() {
            if let Some(answer) = self.carry_out(effect) {
                queue.extend(update(&mut self.model, answer));
            }
        }
    }

    fn carry_out(&mut self, effect: Effect) -> Option<Message> {
        let at = self.now();
        let file = |path: &str| {
            self.files
                .iter()
                .find(|(name, _)| name == path)
                .map(|(name, text)| read_text(name, text))
                .ok_or_else(|| format!("could not read {path}: no such file"))
        };
        Some(match effect {
            Effect::ListJobs => Message::JobsListed(Ok(self.jobs.clone())),
            Effect::Create(state) => Message::Opened {
                path: "plate.toml".to_owned(),
                session: Box::new(Session::new(*state)),
                read_only: None,
                away: None,
                at,
            },
            Effect::Save(state) => match &self.disk {
                Disk::Fine => {
                    self.saved.push(*state);
                    Message::Saved(Ok(Kept::InPlace))
                }
                Disk::Failing(why) => Message::Saved(Err(why.clone())),
                Disk::Slow => {
                    self.under_way = Some(*state);
                    return None;
                }
            },
            Effect::ReadForNewJob(path) => Message::ReadForNewJob(file(&path), at),
            Effect::ReadProgram { path, reading } => {
                let now = self.files.iter().find(|(name, _)| *name == path).cloned();
                let is_same = now.is_some() && now == self.seen;
                if reading == Reading::IfChanged && is_same {
                    return None;
                }
                self.seen = now;
                Message::ProgramRead(file(&path), reading == Reading::Asked, at)
            }
            Effect::FindRestart { path, line } => {
                let text = match &path {
                    None => demo::PROGRAM_TEXT,
                    Some(path) => {
                        let mut files = self.files.iter();
                        files
                            .find(|(name, _)| name == path)
                            .map_or("", |(_, text)| text)
                    }
                };
                let options = ReadOptions {
                    restart_line: Some(line),
                    ..ReadOptions::default()
                };
                let summary = read::read(text.as_bytes(), &options).expect("memory can be read");
                Message::RestartFound(Ok(summary.restart_points), line, at)
            }
            Effect::ReadCare(machine) => Message::CareRead(machine, self.care.clone()),
            other => {
                self.other.push(other);
                return None;
            }
        })
    }

    /// A slow disk finishes the save that is under way; whether there was one.
    pub fn disk_is_done(&mut self) -> bool {
        let Some(state) = self.under_way.take() else {
            return false;
        };
        self.saved.push(state);
        self.send(Message::Saved(Ok(Kept::InPlace)));
        true
    }

    /// Every text of the page, one a line.
    pub fn page_text(&self) -> String {
        let mut text = String::new();
        for row in page::rows(&self.model) {
            if let Row::Text(words) | Row::Head(words) | Row::Do { text: words, .. } = row {
                text.push_str(&words);
                text.push('\n');
            }
        }
        text
    }

    /// Time passes, as the loop tells it.
    pub fn pass(&mut self, seconds: u64) {
        self.seconds += seconds;
        let now = self.now();
        self.send(Message::Ticked(now));
    }

    /// Presses a key; a second passes before it.
    pub fn key(&mut self, key: Key) {
        self.pass(1);
        let now = self.now();
        self.send(Message::Pressed(key, now));
    }

    /// Presses keys: printed characters as they are, `\r` Enter, `\x1b` Escape.
    pub fn keys(&mut self, keys: &str) {
        for c in keys.chars() {
            self.key(match c {
                '\r' => Key::Enter,
                '\x1b' => Key::Escape,
                c => Key::Char(c),
            });
        }
    }

    /// The state of the open session.
    pub fn state(&self) -> &State {
        self.model.state().expect("a session is open")
    }

    /// Answers every open line of the page, as a person goes through it.
    pub fn answer_lines(&mut self) -> usize {
        let before = self.state().answers.len();
        for _ in 0..40 {
            let count = self.state().answers.len();
            let row = page::rows(&self.model);
            let chosen = millside::app::row::chosen(&row, self.model.cursor).cloned();
            match chosen {
                // The end of a list takes its answer too, where it is not the clock's key.
                Some(Row::End { list, .. }) if list != millside::session::gate::ListKind::Start => {
                    self.keys("1");
                }
                Some(Row::Line(_, line))
                    if line.state.is_open() && line.way == millside::session::gate::Way::Press =>
                {
                    let keys = millside::app::answering::keys_of(self.state(), &line);
                    self.keys(&keys);
                    assert!(
                        self.state().answers.len() > count,
                        "{}\n{}",
                        line.id,
                        self.screen()
                    );
                }
                _ => break,
            }
        }
        self.state().answers.len() - before
    }

    /// Opens a session as it stands in this state.
    pub fn open(&mut self, state: State) {
        let at = self.now();
        self.send(Message::Opened {
            path: "plate.toml".to_owned(),
            session: Box::new(Session::new(state)),
            read_only: None,
            away: None,
            at,
        });
    }

    fn drawn(&self) -> Terminal<TestBackend> {
        let (columns, rows) = self.model.size;
        let mut terminal =
            Terminal::new(TestBackend::new(columns, rows)).expect("a screen of memory");
        let mut model = self.model.clone();
        page::refresh(&mut model);
        terminal
            .draw(|frame| ui::view(&model, frame))
            .expect("memory can be drawn on");
        terminal
    }

    /// The cells of the screen, with their styles.
    pub fn cells(&self) -> Buffer {
        self.drawn().backend().buffer().clone()
    }

    /// The screen, drawn.
    pub fn screen(&self) -> String {
        let terminal = self.drawn();
        // Each row stands between two quotation marks; those inside are the screen's own.
        let rows = terminal.backend().to_string();
        let rows = rows.lines().map(|row| {
            let row = row.strip_prefix('"').unwrap_or(row);
            row.strip_suffix('"').unwrap_or(row)
        });
        rows.collect::<Vec<_>>().join("\n")
    }
}
