//! The real program in a pseudo-terminal: keys in, the screen as text out.

// Each test file uses a part of it.
#![allow(dead_code)]

use std::ffi::OsStr;
use std::fs;
use std::io::Read;
use std::io::Write;
use std::num::NonZeroU16;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::RecvTimeoutError;
use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use portable_pty::Child;
use portable_pty::CommandBuilder;
use portable_pty::MasterPty;
use portable_pty::PtySize;
use portable_pty::native_pty_system;

/// A condition that the screen must meet within this time.
const DEADLINE: Duration = Duration::from_secs(20);

/// The program, running.
pub struct Terminal {
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    writer: Box<dyn Write + Send>,
    bytes: Receiver<Vec<u8>>,
    parser: vt100::Parser,
    raw: Vec<u8>,
    keypad_only: bool,
    /// The thread that reads is to end.
    is_closed: Arc<AtomicBool>,
    /// The modes of the terminal before the program began.
    modes_before: String,
    /// The last key that was sent, and when.
    sent: (Option<char>, Instant),
}

fn size(columns: u16, rows: u16) -> PtySize {
    PtySize {
        rows,
        cols: columns,
        pixel_width: 0,
        pixel_height: 0,
    }
}

/// How the terminal is set: echo, lines, signals.
fn modes(master: &dyn MasterPty) -> String {
    format!("{:?}", master.get_termios().expect("a terminal has modes"))
}

fn non_zero(n: u16) -> NonZeroU16 {
    NonZeroU16::new(n).expect("a window has rows and columns")
}

impl Terminal {
    /// Starts the program with these arguments; its data folder is `home`.
    pub fn start(home: &Path, arguments: &[&str], columns: u16, rows: u16) -> Self {
        Self::start_with(home, arguments, columns, rows, &[])
    }

    /// The same with more of the environment.
    pub fn start_with(
        home: &Path,
        arguments: &[&str],
        columns: u16,
        rows: u16,
        environment: &[(&str, &str)],
    ) -> Self {
        let program = env!("CARGO_BIN_EXE_millside");
        Self::start_program(program, home, arguments, columns, rows, environment)
    }

    /// The same with another program.
    pub fn start_program<A: AsRef<OsStr>>(
        program: &str,
        home: &Path,
        arguments: &[A],
        columns: u16,
        rows: u16,
        environment: &[(&str, &str)],
    ) -> Self {
        let pair = native_pty_system()
            .openpty(size(columns, rows))
            .expect("a pseudo-terminal");
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.cwd(home);
        for (name, value) in [
            ("HOME", home.to_str().expect("a plain path")),
            ("XDG_DATA_HOME", home.to_str().expect("a plain path")),
            ("TERM", "xterm-256color"),
            ("LANG", "C.UTF-8"),
            ("LC_ALL", "C.UTF-8"),
        ] {
            command.env(name, value);
        }
        command.env_remove("NO_COLOR");
        for (name, value) in environment {
            command.env(name, value);
        }
        let modes_before = modes(pair.master.as_ref());
        let child = pair
            .slave
            .spawn_command(command)
            .expect("the program starts");
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let writer = pair.master.take_writer().expect("a writer");
        let (sender, bytes) = channel();
        let is_closed = Arc::new(AtomicBool::new(false));
        let closed = Arc::clone(&is_closed);
        thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(read) = reader.read(&mut buffer) {
                let is_over = read == 0 || closed.load(Ordering::Relaxed);
                if is_over || sender.send(buffer[..read].to_vec()).is_err() {
                    break;
                }
            }
        });
        let parser = vt100::Parser::new(non_zero(rows), non_zero(columns), 0);
        Self {
            child,
            master: pair.master,
            writer,
            bytes,
            parser,
            raw: vec![],
            keypad_only: false,
            is_closed,
            modes_before,
            sent: (None, Instant::now()),
        }
    }

    /// The screen as text.
    pub fn screen(&self) -> String {
        self.parser.screen().contents()
    }

    /// Every byte that the program sent so far.
    pub fn raw(&self) -> &[u8] {
        &self.raw
    }

    /// Whether the modes of the terminal are those from before the program.
    pub fn has_modes_from_before(&self) -> bool {
        modes(self.master.as_ref()) == self.modes_before
    }

    /// Whether the program is on the alternate screen.
    pub fn is_full_screen(&self) -> bool {
        self.parser.screen().alternate_screen()
    }

    /// Whether a cell with this text has a colour of its own.
    pub fn has_colour(&self) -> bool {
        let (rows, columns) = self.parser.screen().size();
        (0..rows.get()).any(|row| {
            (0..columns.get()).any(|column| {
                self.parser.screen().cell(row, column).is_some_and(|cell| {
                    cell.fgcolor() != vt100::Color::Default
                        || cell.bgcolor() != vt100::Color::Default
                })
            })
        })
    }

    fn take(&mut self, wait: Duration) -> bool {
        match self.bytes.recv_timeout(wait) {
            Ok(bytes) => {
                self.parser.process(&bytes);
                self.raw.extend(bytes);
                true
            }
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => false,
        }
    }

    /// Waits until the screen meets a condition; shows the screen when it never does.
    pub fn wait_for(&mut self, what: &str, is_met: impl Fn(&str) -> bool) {
        let end = Instant::now() + DEADLINE;
        while !is_met(&self.screen()) {
            if Instant::now() > end {
                panic!("never saw {what}; the screen is:\n{}", self.screen());
            }
            self.take(Duration::from_millis(50));
        }
    }

    /// Waits until something holds, for so long at most; says whether it came to hold.
    pub fn wait_until(&mut self, limit: Duration, holds: impl Fn(&Self) -> bool) -> bool {
        let end = Instant::now() + limit;
        while !holds(self) {
            if Instant::now() > end {
                return false;
            }
            self.take(Duration::from_millis(20));
        }
        true
    }

    /// Waits until the screen holds these words.
    pub fn see(&mut self, words: &str) {
        self.wait_for(words, |screen| screen.contains(words));
    }

    /// From now on only keys that a numeric keypad has can be sent.
    pub fn keypad_alone(&mut self) {
        self.keypad_only = true;
    }

    /// Sends raw bytes.
    pub fn send(&mut self, bytes: &str) {
        let is_on_keypad = |key: char| key.is_ascii_digit() || "./*-+\r".contains(key);
        assert!(
            !self.keypad_only || bytes.chars().all(is_on_keypad),
            "{bytes:?} is not on a keypad"
        );
        // Enter pressed twice by a person; one that follows at once would be taken for a key that is held down.
        let (last, when) = self.sent;
        let spaced = Duration::from_millis(300);
        if bytes.starts_with('\r') && last == Some('\r') && when.elapsed() < spaced {
            thread::sleep(spaced - when.elapsed().min(spaced));
        }
        self.sent = (bytes.chars().last(), Instant::now());
        self.writer
            .write_all(bytes.as_bytes())
            .expect("the program reads");
        self.writer.flush().expect("the program reads");
    }

    /// Presses a key and waits until the screen has settled.
    pub fn press(&mut self, key: &str) {
        self.send(key);
        self.settle();
    }

    /// Presses a key that was pressed before, late enough not to be taken for one that is held down.
    pub fn press_again(&mut self, key: &str) {
        thread::sleep(Duration::from_millis(300));
        self.press(key);
    }

    /// Waits as long as what has just come up must be on show before it takes a key.
    pub fn look(&mut self) {
        thread::sleep(Duration::from_millis(800));
    }

    /// Types a text and Enter.
    pub fn enter(&mut self, text: &str) {
        self.send(text);
        self.press("\r");
    }

    /// Takes in what the program sends until it has been quiet for a moment.
    pub fn settle(&mut self) {
        let end = Instant::now() + Duration::from_secs(2);
        let mut seen = false;
        while Instant::now() < end {
            let wait = if seen { 40 } else { 150 };
            if self.take(Duration::from_millis(wait)) {
                seen = true;
            } else {
                break;
            }
        }
    }

    /// Changes the size of the window.
    pub fn resize(&mut self, columns: u16, rows: u16) {
        self.master
            .resize(size(columns, rows))
            .expect("the window is resized");
        self.parser
            .screen_mut()
            .set_size(non_zero(rows), non_zero(columns));
        self.settle();
    }

    /// The row that the cursor of the list is on.
    pub fn chosen(&self) -> String {
        let screen = self.screen();
        screen
            .lines()
            .find(|line| line.starts_with('>') || line.starts_with(" >"))
            .unwrap_or_default()
            .to_owned()
    }

    /// The key that answers the chosen line: the hint below it names it.
    fn answering_key(&self) -> String {
        let screen = self.screen();
        let named = screen.lines().find_map(|line| {
            let keys = line.trim_start().split_once(" = ")?.0;
            let is_named = keys.starts_with('1') && !keys.contains("not so");
            is_named.then(|| keys.chars().filter(char::is_ascii_digit).collect())
        });
        named.unwrap_or_else(|| "1".to_owned())
    }

    /// Whether the chosen row is an open line that one press answers.
    fn is_at_a_line(&self) -> bool {
        let row = self.chosen();
        let is_open = row.starts_with(">[ ]") || row.starts_with(">[!]");
        is_open && !self.screen().contains("where its value is entered")
    }

    /// Answers every open line of the page with the key that it names, each after it was on
    /// show long enough to be read, and the end of the list. Gives how many lines it answered.
    pub fn answer_lines(&mut self) -> usize {
        let mut answered = 0;
        for _ in 0..30 {
            let row = self.chosen();
            if row.starts_with("> =") && !row.contains("before this cut") {
                self.press("1");
                continue;
            }
            if !self.is_at_a_line() {
                break;
            }
            thread::sleep(Duration::from_millis(1050));
            let key = self.answering_key();
            self.send(&key);
            let took = self.wait_until(Duration::from_secs(10), |t| t.chosen() != row);
            assert!(
                took,
                "the line did not take its answer: {row}\n{}",
                self.screen()
            );
            self.settle();
            answered += 1;
        }
        answered
    }

    /// The program's number in the system.
    pub fn process_id(&self) -> u32 {
        self.child.process_id().expect("it runs")
    }

    /// Waits until the program stands still in the background. A call to go on that comes before is lost.
    pub fn wait_until_stopped(&mut self) {
        let stat = format!("/proc/{}/stat", self.process_id());
        let end = Instant::now() + DEADLINE;
        // The state stands behind the name, which is in brackets.
        let is_stopped = || {
            let text = fs::read_to_string(&stat).unwrap_or_default();
            text.rsplit(')')
                .next()
                .is_some_and(|rest| rest.trim().starts_with('T'))
        };
        while !is_stopped() {
            assert!(Instant::now() < end, "it does not stop");
            self.take(Duration::from_millis(20));
        }
    }

    /// Waits for the program's end, whatever its exit code.
    pub fn wait_for_end(&mut self) {
        let end = Instant::now() + DEADLINE;
        while self
            .child
            .try_wait()
            .expect("the program can be asked")
            .is_none()
        {
            assert!(Instant::now() < end, "it does not end");
            self.take(Duration::from_millis(20));
        }
    }

    /// Waits for the program's end and gives its exit code.
    pub fn end(mut self) -> u32 {
        let end = Instant::now() + DEADLINE;
        loop {
            self.take(Duration::from_millis(20));
            if let Some(status) = self.child.try_wait().expect("the program can be asked") {
                while self.take(Duration::from_millis(50)) {}
                return status.exit_code();
            }
            assert!(
                Instant::now() < end,
                "it does not end; the screen is:\n{}",
                self.screen()
            );
        }
    }

    /// Closes the terminal, as its window does; gives the program's end: its exit code, or the signal that killed it.
    pub fn close(self) -> Result<u32, String> {
        // The thread that reads holds it open too: what the program draws once more wakes it.
        self.is_closed.store(true, Ordering::Relaxed);
        self.master
            .resize(size(100, 30))
            .expect("the window is resized");
        let Self {
            mut child,
            master,
            writer,
            ..
        } = self;
        drop(writer);
        drop(master);
        let end = Instant::now() + DEADLINE;
        loop {
            if let Some(status) = child.try_wait().expect("the program can be asked") {
                return match status.signal() {
                    Some(signal) => Err(signal.to_owned()),
                    None => Ok(status.exit_code()),
                };
            }
            assert!(Instant::now() < end, "it does not end");
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Ends the program as a power cut would.
    pub fn kill(mut self) {
        self.child.kill().expect("the program can be killed");
        self.wait_for_end();
    }
}

/// The one record in the folder of sessions.
pub fn record(home: &Path) -> PathBuf {
    let folder = home.join("millside/sessions");
    fs::read_dir(folder)
        .expect("the folder of sessions")
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .find(|path| path.extension().is_some_and(|end| end == "toml"))
        .expect("a record")
}

/// Moves down (or up) until the chosen row holds these words.
pub fn go_to(t: &mut Terminal, words: &str) {
    for key in ["2", "8"] {
        for _ in 0..40 {
            if t.chosen().contains(words) {
                // What comes next is Enter, and one may have been just now: again within a quarter of a second it counts as held down.
                thread::sleep(Duration::from_millis(300));
                return;
            }
            let before = t.screen();
            t.send(key);
            if !t.wait_until(Duration::from_millis(1500), |t| t.screen() != before) {
                break;
            }
            t.settle();
        }
    }
    panic!("no row with {words:?}; the screen is:\n{}", t.screen());
}

/// Moves down to the next open line and answers all from there on.
pub fn answer(t: &mut Terminal) -> usize {
    for _ in 0..40 {
        if t.is_at_a_line() {
            break;
        }
        let before = t.screen();
        t.send("2");
        if !t.wait_until(Duration::from_millis(1500), |t| t.screen() != before) {
            return 0;
        }
        t.settle();
    }
    t.answer_lines()
}

/// Fills in the field whose row holds these words.
pub fn fill(t: &mut Terminal, label: &str, text: &str) {
    let is_open = |t: &Terminal| t.chosen().starts_with(" > =");
    if !is_open(t) {
        go_to(t, label);
        t.send("\r");
        let opens = t.wait_until(Duration::from_secs(10), is_open);
        assert!(opens, "{label} does not open: {}", t.screen());
    }
    t.settle();
    t.enter(text);
    // It closes when it was taken; a value that is refused stays open.
    t.wait_until(Duration::from_secs(1), |t| !is_open(t));
}

/// Presses a key and waits for what follows from it.
pub fn step(t: &mut Terminal, key: &str, words: &str) {
    t.press(key);
    t.see(words);
}
