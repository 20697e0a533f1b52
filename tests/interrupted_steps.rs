//! Every step of the work, interrupted in every way: a window that shrinks, the background, a stop that cannot be caught, a lost
//! line, a killed program. What was entered is there again, and the clock says what it counts.

mod support;
#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::Duration;

use millside::record::read;
use millside::session::clock::Phase;
use millside::session::state::State;
use millside::session::state::Step;

use support::desk::Desk;
use support::records;
use support::session::second;
use support::session::shipped;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::finish_all;
use support::walk::hold_and_zero;
use support::walk::take_recipe;
use support::walk::to_step;
use support::walk::tool_and_z;
use terminal::Terminal;
use terminal::answer;
use terminal::step;

/// A place in the work where a person is interrupted.
struct Place {
    name: &'static str,
    desk: Desk,
    /// Seen on the screen there.
    heading: &'static str,
    /// What the clock says of itself in a window that is too small.
    clock: &'static str,
}

fn place(name: &'static str, heading: &'static str, clock: &'static str, desk: Desk) -> Place {
    Place {
        name,
        desk,
        heading,
        clock,
    }
}

fn at(step: Step, mut desk: Desk) -> Desk {
    to_step(&mut desk, step);
    desk
}

/// Answers some of the lines of the page.
fn some_lines(mut desk: Desk, count: usize) -> Desk {
    use millside::app::answering::keys_of;
    use millside::app::page;
    use millside::app::row;
    use millside::app::row::Row;
    for _ in 0..count {
        let rows = page::rows(&desk.model);
        let Some(Row::Line(_, line)) = row::chosen(&rows, desk.model.cursor).cloned() else {
            panic!("no line: {}", desk.screen());
        };
        let keys = keys_of(desk.state(), &line);
        desk.keys(&keys);
    }
    desk
}

fn zeroed() -> Desk {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    desk
}

fn fitted() -> Desk {
    let mut desk = zeroed();
    tool_and_z(&mut desk);
    desk
}

fn raised() -> Desk {
    let mut desk = fitted();
    take_recipe(&mut desk);
    to_step(&mut desk, Step::Air);
    desk.keys("\r40\r");
    desk
}

fn keys(mut desk: Desk, keys: &str) -> Desk {
    desk.keys(keys);
    desk
}

fn places() -> Vec<Place> {
    let off = "clock off";
    vec![
        place(
            "program",
            "OPERATIONS OF",
            off,
            at(Step::Program, demo(80, 24)),
        ),
        place(
            "stock",
            "THE BLANK AS MEASURED",
            off,
            keys(at(Step::Stock, demo(80, 24)), "\r"),
        ),
        place(
            "hold",
            "BEFORE POWER",
            off,
            some_lines(at(Step::Hold, demo(80, 24)), 3),
        ),
        place("xy", "WHERE X0 Y0 Z0", off, at(Step::Xy, zeroed())),
        place(
            "tool",
            "TOOL FOR",
            off,
            some_lines(at(Step::Tool, zeroed()), 1),
        ),
        place("z", "WHAT Z IS SET TO", off, at(Step::Z, fitted())),
        place("recipe", "RECIPE FOR", off, at(Step::Recipe, fitted())),
        place("air", "Z is raised by 40 mm", off, raised()),
        place(
            "gate",
            "BEFORE THIS CUT",
            off,
            some_lines(at(Step::Cut, decided(80, 24)), 3),
        ),
        place(
            "running",
            "CUTTING   cutting",
            "cutting",
            cutting(80, 24, 40),
        ),
        place(
            "waiting",
            "WAITING   cutting",
            "waiting",
            keys(cutting(80, 24, 40), "5"),
        ),
        place(
            "pause",
            "PAUSED   cutting",
            "paused",
            keys(cutting(80, 24, 40), "p"),
        ),
        place(
            "measure",
            "READINGS",
            off,
            keys(at(Step::Measure, finish_all(80, 24)), "\r31.92\r"),
        ),
        place(
            "release",
            "BEFORE THE PART IS LET GO",
            off,
            some_lines(at(Step::Release, finish_all(80, 24)), 1),
        ),
        place("let go", "HOW IT WENT", off, {
            let mut desk = at(Step::Release, finish_all(80, 24));
            desk.answer_lines();
            keys(desk, "\r1")
        }),
    ]
}

fn signal(t: &Terminal, name: &str) {
    let id = t.process_id().to_string();
    let sent = Command::new("kill").args(["-s", name, &id]).status();
    assert!(sent.is_ok_and(|status| status.success()), "{name}");
}

fn read_record(path: &Path) -> State {
    let text = fs::read_to_string(path).expect("the record");
    assert!(text.trim_end().ends_with("complete = true"), "{text}");
    read::state(&text, shipped().cautions, second(0))
        .unwrap_or_else(|why| panic!("{}: {}", why.key, why.found))
}

/// What must be as it was, whatever interrupted the person.
fn same_work(name: &str, how: &str, now: &State, before: &State) {
    assert_eq!(now.step, before.step, "{name}, {how}");
    assert_eq!(
        (now.setup, now.operation, now.in_spindle),
        (before.setup, before.operation, before.in_spindle),
        "{name}, {how}"
    );
    assert_eq!(now.setups, before.setups, "{name}, {how}");
    assert_eq!(now.rack, before.rack, "{name}, {how}");
    assert_eq!(now.stops.len(), before.stops.len(), "{name}, {how}");
    assert_eq!(
        now.wrap_up.is_some(),
        before.wrap_up.is_some(),
        "{name}, {how}"
    );
    // An answer that falls is kept as fallen; none is gone, and none came that nobody gave.
    assert!(now.answers.len() >= before.answers.len(), "{name}, {how}");
    let cut = |state: &State| {
        let clock = state.clock().map(|clock| clock.read(state.last_seen));
        clock.unwrap_or_default().cutting
    };
    // Cutting goes on while the mill does, and never runs back.
    assert!(cut(now) >= cut(before), "{name}, {how}");
    assert!(
        cut(now) < cut(before) + Duration::from_secs(60),
        "{name}, {how}"
    );
}

/// Opens the job where it stands; a clock that ran is asked about, and for the running place goes on.
fn open(home: &Path, place: &Place) -> Terminal {
    let mut t = Terminal::start(home, &[], 80, 24);
    t.see("FINISHED");
    t.press("\r");
    if matches!(place.clock, "cutting" | "waiting") {
        t.see("TIME THAT NOBODY SAW");
        t.look();
        step(&mut t, "4", "WAITING   cutting");
    }
    if place.clock == "cutting" {
        answer(&mut t);
        t.press("5");
    }
    t.see(place.heading);
    t
}

fn interrupt(place: &Place) {
    let home = tempfile::tempdir().expect("a folder");
    let path = records::put(home.path(), place.desk.state());
    let name = place.name;
    let put = read_record(&path);
    let mut t = open(home.path(), place);
    let before = read_record(&path);
    same_work(name, "opened", &before, &put);

    t.resize(40, 12);
    t.see("too small");
    t.see(place.clock);
    t.resize(80, 24);
    t.see(place.heading);

    signal(&t, "TSTP");
    t.wait_until_stopped();
    let away = |t: &Terminal| !t.is_full_screen();
    assert!(t.wait_until(Duration::from_secs(10), away), "{name}");
    signal(&t, "CONT");
    assert!(
        t.wait_until(Duration::from_secs(10), Terminal::is_full_screen),
        "{name}"
    );
    t.see(place.heading);
    // Nobody can catch this one; the screen is drawn anew all the same.
    signal(&t, "STOP");
    t.wait_until_stopped();
    let so_far = t.raw().len();
    signal(&t, "CONT");
    let redrawn = |t: &Terminal| {
        let since = String::from_utf8_lossy(&t.raw()[so_far..]).into_owned();
        since.contains("\u{1b}[?1049h")
    };
    assert!(t.wait_until(Duration::from_secs(10), redrawn), "{name}");
    t.see(place.heading);

    signal(&t, "HUP");
    t.wait_for_end();
    let hung_up = read_record(&path);
    same_work(name, "hung up", &hung_up, &before);
    assert_eq!(hung_up.phase(), before.phase(), "{name}");

    let t = open(home.path(), place);
    t.kill();
    let killed = read_record(&path);
    same_work(name, "killed", &killed, &before);

    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("FINISHED");
    t.press("\r");
    match place.clock {
        // Nobody saw what the mill did: the clock waits until the person says.
        "cutting" | "waiting" => t.see("TIME THAT NOBODY SAW"),
        _ => t.see(place.heading),
    }
    t.settle();
    let opened = read_record(&path);
    same_work(name, "opened again", &opened, &before);
    let phase = match place.clock {
        "cutting" | "waiting" => Some(Phase::Waiting),
        "paused" => Some(Phase::Paused),
        _ => None,
    };
    assert_eq!(opened.phase(), phase, "{name}");
    t.kill();
}

#[test]
fn each_step_comes_out_of_each_interruption_as_it_was() {
    let places = places();
    for step in Step::RAIL {
        let has = |place: &Place| place.desk.state().step == step;
        assert!(places.iter().any(has), "{}", step.word());
    }
    for some in places.chunks(5) {
        thread::scope(|scope| {
            let each: Vec<_> = some
                .iter()
                .map(|place| scope.spawn(|| interrupt(place)))
                .collect();
            for one in each {
                if let Err(why) = one.join() {
                    std::panic::resume_unwind(why);
                }
            }
        });
    }
}
