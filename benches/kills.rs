//! Kills the real program in a pseudo-terminal at a human pace, and ends it in every other way, on a quick and on a
//! slow disk; then counts the answers that stood confirmed on the screen and those in the record.
//!
//! `cargo bench --bench kills -- 1 40`: seed and runs of each kind. Fails when an answer is lost. An answer is
//! confirmed when it is on the screen and no sign says that a save is pending.
//!
//! The slow disk is this program itself, started again with `child` as its first argument: it opens the screen with
//! a wait before each sync, through the door that the tests use for faults.

#![allow(clippy::print_stdout)]

#[path = "../tests/support/terminal.rs"]
mod terminal;

use std::env;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::process::ExitCode;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use millside::edge::files::RealWorld;
use millside::edge::save::Steps;
use millside::edge::screen;
use millside::edge::screen::Start;

use terminal::Terminal;
use terminal::record;

/// How long a sync takes on the slow disk.
const SLOW_MS: u64 = 200;

/// The shortest and the longest pause between two answers.
const PAUSE_MS: (u64, u64) = (300, 600);

/// Answers in one run at most.
const MOST: u64 = 6;

/// How a run ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Kill,
    Quit,
    Interrupt,
    Jobs,
    Signal(&'static str),
    Close,
}

const ENDS: [End; 11] = [
    End::Kill,
    End::Quit,
    End::Interrupt,
    End::Jobs,
    End::Signal("TERM"),
    End::Signal("HUP"),
    End::Signal("INT"),
    End::Signal("QUIT"),
    End::Signal("USR1"),
    End::Signal("ALRM"),
    End::Close,
];

/// Numbers from a seed, the same on every machine (SplitMix64).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn between(&mut self, least: u64, most: u64) -> u64 {
        least + self.next() % (most - least + 1)
    }
}

/// The program with a disk on which each sync takes so long.
fn child(ms: u64) -> ExitCode {
    let steps: Steps = Arc::new(move |step| {
        if step == "sync" || step == "sync folder" {
            thread::sleep(Duration::from_millis(ms));
        }
        Ok(())
    });
    match screen::run(Start::default(), &RealWorld, steps) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            // The other end may be closed.
            let _ =
                std::io::Write::write_all(&mut std::io::stderr(), problem.to_string().as_bytes());
            ExitCode::from(2)
        }
    }
}

fn signal(t: &Terminal, name: &str) {
    let id = t.process_id().to_string();
    let _ = Command::new("kill").args(["-s", name, &id]).status();
}

/// The notes that the screen shows beside the rows.
#[derive(Clone, Copy, Default)]
struct Seen {
    /// In the list, whatever the header says.
    shown: u64,
    /// While no sign in the header said that a save is pending.
    confirmed: u64,
}

impl Seen {
    fn look(&mut self, t: &Terminal) {
        let screen = t.screen();
        let header = screen.lines().next().unwrap_or_default();
        // Not while it stands in the field where it is typed.
        let is_listed =
            |n: &u64| screen.contains(&format!("mark{n}.")) && !screen.contains("A NOTE");
        let newest = (1..=MOST).filter(is_listed).max().unwrap_or(0);
        self.shown = self.shown.max(newest);
        if !header.contains("SAVING") && !header.contains("NOT SAVED") {
            self.confirmed = self.confirmed.max(newest);
        }
    }
}

/// One run; gives the answers confirmed and those of them in the record.
fn run(dice: &mut Dice, slow: bool, end: End) -> (u64, u64) {
    let home = tempfile::tempdir().expect("a folder");
    let own = env::current_exe().expect("this program");
    let program = if slow {
        own.to_string_lossy().into_owned()
    } else {
        env!("CARGO_BIN_EXE_millside").to_owned()
    };
    let arguments: &[&str] = if slow { &["child"] } else { &[] };
    let mut t = Terminal::start_program(&program, home.path(), arguments, 160, 40, &[]);
    t.see("the demo job");
    t.press("\r");
    t.see("THE DEMO JOB");
    t.press("\r");
    t.see("OPERATIONS OF");
    t.settle();
    let count = dice.between(1, MOST);
    let mut seen = Seen::default();
    for n in 1..=count {
        t.send("/");
        t.see("A NOTE");
        t.send(&format!("mark{n}.\r"));
        let pause = dice.between(PAUSE_MS.0, PAUSE_MS.1);
        // The last pause is cut at any moment.
        let pause = if n == count {
            dice.between(0, pause)
        } else {
            pause
        };
        let until = std::time::Instant::now() + Duration::from_millis(pause);
        while std::time::Instant::now() < until {
            t.wait_until(Duration::from_millis(1), |_| false);
            seen.look(&t);
        }
    }
    // A key that leaves comes after all answers; a signal may come before the last one was read. What is on the
    // screen must be kept on every way out but a kill, also where a sign says that it is not on the disk yet.
    let wanted = match end {
        End::Kill => seen.confirmed,
        End::Signal(_) | End::Close => seen.shown,
        End::Quit | End::Interrupt | End::Jobs => count,
    };
    let path = record(home.path());
    match end {
        End::Kill => t.kill(),
        End::Quit => leave(t, "q"),
        End::Interrupt => leave(t, "\x03"),
        End::Jobs => {
            t.send("\x1b");
            t.see("UNFINISHED");
            leave(t, "q");
        }
        End::Signal(name) => {
            signal(&t, name);
            t.wait_for_end();
        }
        End::Close => drop(t.close()),
    }
    (wanted, kept(&path, wanted))
}

fn leave(mut t: Terminal, key: &str) {
    t.send(key);
    t.wait_for_end();
}

/// How many of the first `wanted` notes the record holds; none when it is not whole.
fn kept(path: &Path, wanted: u64) -> u64 {
    let text = fs::read_to_string(path).unwrap_or_default();
    if !text.trim_end().ends_with("complete = true") {
        return 0;
    }
    (1..=wanted)
        .filter(|n| text.contains(&format!("mark{n}.")))
        .count() as u64
}

fn main() -> ExitCode {
    let arguments: Vec<String> = env::args().skip(1).collect();
    if arguments.first().is_some_and(|first| first == "child") {
        return child(SLOW_MS);
    }
    let mut numbers = arguments.iter().filter_map(|word| word.parse::<u64>().ok());
    let seed = numbers.next().unwrap_or(1);
    let runs = numbers.next().unwrap_or(20);
    let mut dice = Dice(seed);
    let mut lost = 0;
    println!(
        "seed {seed}, {runs} runs of each kind, {} to {} ms between answers",
        PAUSE_MS.0, PAUSE_MS.1
    );
    for slow in [false, true] {
        for end in ENDS {
            let (mut wanted, mut kept) = (0, 0);
            for _ in 0..runs {
                let (more_wanted, more_kept) = run(&mut dice, slow, end);
                wanted += more_wanted;
                kept += more_kept;
            }
            let disk = if slow { "slow disk" } else { "quick disk" };
            let end = format!("{end:?}");
            println!(
                "{disk:<10} {end:<16} answers {wanted:>5}   in the record {kept:>5}   lost {}",
                wanted - kept
            );
            lost += wanted - kept;
        }
    }
    println!("lost in all: {lost}");
    if lost == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
