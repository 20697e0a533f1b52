//! Faults of the disk at random: what the screen confirmed against what the record holds.
//!
//! `cargo bench --bench faults -- SEED RUNS`, 1 and 200 unless said otherwise. The program itself runs with real files and without a
//! terminal; calls of a save fail once, some times or lastingly, or take their time, while answers are given at the pace of a person, and
//! the session ends in each way. An answer counts as confirmed when it stood on the screen without a sign. Ends with 1 where one is lost.

#![allow(clippy::print_stdout)]

#[path = "../tests/support/running.rs"]
mod running;
#[path = "../tests/support/mod.rs"]
#[allow(unused_imports)]
mod support;

use std::fs;
use std::process::ExitCode;
use std::time::Duration;

use millside::app::keeping;
use millside::app::key::Key;
use millside::app::model::Screen;
use millside::app::overlay::Overlay;
use millside::app::overlay::Sure;
use millside::edge::held;
use millside::edge::save;

use running::Running;

/// Ways to end a session.
const WAYS: [&str; 5] = ["q", "interrupt", "back", "signal", "give up"];

/// Linux: EINTR, EIO, EAGAIN, EACCES, EMFILE, EFBIG, ENOSPC, EROFS, EDQUOT.
const ERRORS: [i32; 9] = [4, 5, 11, 13, 24, 27, 28, 30, 122];

/// A small generator of numbers, the same for the same seed (xorshift64*).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) % most
    }

    fn pick<T: Copy>(&mut self, all: &[T]) -> T {
        let place = self.below(all.len() as u64);
        all[usize::try_from(place).unwrap_or(0)]
    }
}

#[derive(Default)]
struct Count {
    given: usize,
    confirmed: usize,
    lost: usize,
    faults: usize,
    said: usize,
}

/// Who leaves goes once the disk has all, or gives up with the key that says what is lost.
fn leave(running: &mut Running, way: &str) -> bool {
    match way {
        "signal" => return false,
        "interrupt" => running.key(Key::Interrupt),
        "q" => running.keys("q"),
        _ => running.keys("\x1b"),
    }
    let is_asked = |running: &Running| running.model.overlay == Some(Overlay::Sure(Sure::Unsaved));
    let gone =
        |running: &Running| running.outside.has_quit() || running.model.screen != Screen::Session;
    for _ in 0..200 {
        if gone(running) {
            return false;
        }
        if is_asked(running) && way == "give up" {
            running.keys("9");
            return true;
        }
        running.pass(1);
    }
    // A disk that goes on failing: the person reads what is lost, and leaves.
    running.keys("9");
    true
}

fn one(dice: &mut Dice, count: &mut Count) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut running = Running::demo(folder.path());
    let steps: Vec<&'static str> = [held::STEPS[0]].into_iter().chain(save::STEPS).collect();
    let mut confirmed = 0;
    for place in 0..4 + dice.below(12) {
        running.slow(Duration::from_millis(dice.pick(&[0, 0, 0, 10, 40])));
        if dice.below(3) == 0 {
            let times = dice.pick(&[1, 1, 2, 4, u32::MAX]);
            running.fail(dice.pick(&steps), dice.pick(&ERRORS), times);
            count.faults += 1;
        }
        if dice.below(4) == 0 {
            running.mend();
        }
        running.note(&format!("note {place} of this run"));
        for _ in 0..dice.below(6) {
            running.turn();
        }
        if dice.below(3) == 0 {
            running.pass(u32::try_from(dice.below(20)).unwrap_or(1));
        }
        if !keeping::is_behind(&running.model) {
            confirmed = running.confirmed.len();
        }
    }
    let way = dice.pick(&WAYS);
    let all = running.confirmed.clone();
    let mut path = running.path();
    let gave_up = leave(&mut running, way);
    if let Some(work) = &running.model.work {
        path = work.path.clone().into();
    }
    match running.end() {
        // Nothing was said: everything is there.
        Ok(()) if !gave_up => confirmed = all.len(),
        Ok(()) => {}
        Err(_) => count.said += 1,
    }
    let text = fs::read_to_string(&path).expect("the record is there");
    assert!(text.trim_end().ends_with("complete = true"), "it is whole");
    count.given += all.len();
    count.confirmed += confirmed;
    for note in &all[..confirmed] {
        if !text.contains(note.as_str()) {
            println!("lost: {note}, way out: {way}");
            count.lost += 1;
        }
    }
}

fn main() -> ExitCode {
    let mut numbers = std::env::args().filter_map(|word| word.parse::<u64>().ok());
    let seed = numbers.next().unwrap_or(1);
    let runs = numbers.next().unwrap_or(200);
    // A generator of this kind never leaves zero.
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let mut count = Count::default();
    for _ in 0..runs {
        one(&mut dice, &mut count);
    }
    println!(
        "seed {seed}, {runs} runs: {} faults set, {} answers given, {} confirmed, {} lost; {} ends said that answers are not saved",
        count.faults, count.given, count.confirmed, count.lost, count.said
    );
    ExitCode::from(u8::from(count.lost > 0))
}
