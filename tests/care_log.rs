//! The machine's care log across jobs: written, added to, never spoilt; its newest reading is used.
//!
//! Sums are by hand beside each check. Backlash: width + finder - distance of the readings, as derived by hand in
//! `measure/backlash.rs`.

mod support;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;
use millside::app::checking;
use millside::app::field::Field;
use millside::app::page;
use millside::app::row::Row;
use millside::check;
use millside::check::against::ToolFacts;
use millside::check::bores::Bore;
use millside::edge::care;
use millside::edge::care::Keeper;
use millside::edge::lock;
use millside::edge::lock::Lock;
use millside::edge::save;
use millside::edge::save::Unwatched;
use millside::job::machine::Machine;
use millside::job::reading::Reading;
use millside::job::reference::FoundBy;
use millside::job::reference::Zero;
use millside::job::typed::Typed;
use millside::measure::backlash::Axis;
use millside::program::options::ReadOptions;
use millside::program::read;
use millside::record::care as file;
use millside::record::write;
use millside::session::Session;
use millside::session::care_log;
use millside::session::care_log::Entry;
use millside::session::care_log::Kind;
use millside::session::event::Event;
use millside::session::matrix::Happening;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::session::shipped;
use support::session::stock;
use support::walk::cutting;
use support::walk::demo;
use support::walk::hold_and_zero;
use support::walk::to_field;
use support::walk::to_step;

fn day(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(&format!("{text}:00+01:00")).expect("a time")
}

fn entry(at: &str, session: &str, kind: Kind) -> Entry {
    Entry {
        at: day(at),
        session: session.to_owned(),
        operation: String::new(),
        tool: String::new(),
        kind,
    }
}

fn backlash(at: &str, session: &str, axis: Axis, mm: f64) -> Entry {
    entry(at, session, Kind::Backlash { axis, mm })
}

fn mill() -> Machine {
    shipped().machines[0].clone()
}

/// The plate with its blank measured, the zero by a finder of 4 mm, and edges touched: by hand
/// 120 + 4 - (61.96 + 61.96) = 0.08 mm of backlash in X.
fn touched(s: u64) -> Session {
    let session = must(&plate(), Event::StockMeasured(Box::new(stock())), second(s));
    let zero = Zero {
        point: "5+".parse().expect("a point"),
        found_by: FoundBy::EdgeFinder,
        finder: Typed::mm(4.0),
        offset: "G54".to_owned(),
    };
    let session = must(&session, Event::ZeroStated(Box::new(zero)), second(s));
    let touches = Event::OppositeTouched {
        axis: Axis::X,
        reads_mm: [-61.96, 61.96],
    };
    must(&session, touches, second(s))
}

#[test]
fn a_log_is_written_and_read_to_the_letter_one_entry_a_line() {
    let mut broke = entry("2026-03-01T10:00", "a", Kind::Happened(Happening::Crash));
    broke.operation = "Pocket \"1\"".to_owned();
    broke.tool = "6 mm end mill".to_owned();
    let all = vec![
        backlash("2026-03-01T09:00", "a", Axis::X, 0.08),
        broke,
        entry(
            "2026-03-01T11:00",
            "a",
            Kind::ReturnTest {
                error_mm: [Some(0.01), Some(-0.24), None],
                kept_zero: false,
            },
        ),
        entry("2026-03-01T12:00", "a", Kind::Cut(1800)),
        entry(
            "2026-03-02T12:00",
            "",
            Kind::Calibrated("x.rapid 1800 mm/min".to_owned()),
        ),
        entry("2026-03-01T09:00", "a", Kind::TakenBack),
    ];
    let text = file::text("light-belt-mill", &all);
    assert_eq!(
        file::read("light-belt-mill", text.as_bytes()),
        Ok(all.clone())
    );
    for part in [
        "at = 2026-03-01T09:00:00+01:00, what = \"backlash\", axis = \"X\", reads = \"0.08 mm\", session = \"a\"",
        "what = \"happened\", happened = \"crash\", operation = \"Pocket \\\"1\\\"\", tool = \"6 mm end mill\"",
        "x = \"0.01 mm\", y = \"-0.24 mm\"",
        "seconds = 1800",
    ] {
        let count = text.lines().filter(|line| line.contains(part)).count();
        assert_eq!(count, 1, "{part} in {text}");
    }
    assert_eq!(
        file::text("light-belt-mill", &[]).lines().next(),
        Some("format = 1")
    );
}

#[test]
fn what_is_wrong_in_a_log_is_named_with_line_and_key() {
    let text = file::text(
        "light-belt-mill",
        &[backlash("2026-03-01T09:00", "a", Axis::X, 0.08)],
    );
    for (from, to, words) in [
        ("\"0.08 mm\"", "\"0.08\"", "reads"),
        ("\"backlash\"", "\"slack\"", "what"),
        ("format = 1", "format = 2", "format"),
        ("complete = true", "", "complete"),
        ("axis = \"X\", ", "", "axis"),
        ("[end]", "[end", "line"),
    ] {
        let spoilt = text.replace(from, to);
        assert_ne!(spoilt, text, "{from}");
        let error = file::read("light-belt-mill", spoilt.as_bytes()).expect_err(to);
        assert!(error.to_string().contains(words), "{error}");
    }
    let other = file::read("bench-mill", text.as_bytes()).expect_err("another machine");
    assert!(other.to_string().contains("light-belt-mill"), "{other}");
    assert!(file::read("x", b"\xff").is_err());
}

#[test]
fn a_name_that_could_lead_elsewhere_has_no_log() {
    assert_eq!(
        file::file_name("light-belt-mill").as_deref(),
        Some("light-belt-mill.toml")
    );
    for name in ["", "..", ".hidden", "../up", "a/b", "a\\b", "a\nb"] {
        assert_eq!(file::file_name(name), None, "{name:?}");
    }
}

#[test]
fn a_session_tells_its_readings_crashes_and_the_cutting_that_ended() {
    let session = touched(5);
    let session = ready(&session, second(10));
    let session = must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(20),
    );
    let crashed = must(&session, Event::Happened(Happening::Crash), second(80));
    let new = care_log::missing(&[], crashed.state());
    let words: Vec<String> = new.iter().filter_map(care_log::line).collect();
    assert_eq!(words.len(), 2, "{words:?}");
    assert!(words[0].contains("backlash X 0.08 mm"), "{words:?}");
    assert!(words[1].contains("something was hit, pocket"), "{words:?}");
    // The clock is not off: that cutting has not come to an end.
    assert!(!new.iter().any(|entry| matches!(entry.kind, Kind::Cut(_))));
    let left = must(&crashed, Event::LeftOut("broken".to_owned()), second(90));
    let more = care_log::missing(&new, left.state());
    // By hand: the clock counted cutting from 20 to 80 s.
    let kinds: Vec<&Kind> = more.iter().map(|entry| &entry.kind).collect();
    assert_eq!(kinds, [&Kind::Cut(60)]);
    let mut log = new;
    log.extend(more);
    assert!(
        care_log::missing(&log, left.state()).is_empty(),
        "told once"
    );
}

#[test]
fn a_reading_that_was_taken_back_is_marked_and_counts_no_more() {
    let with = touched(5);
    let log = care_log::missing(&[], with.state());
    let mut without = with.state().clone();
    without.backlash.clear();
    let more = care_log::missing(&log, &without);
    assert_eq!(more.len(), 1);
    assert_eq!(more[0].kind, Kind::TakenBack);
    let mut all = log.clone();
    all.extend(more);
    assert_eq!(care_log::standing(&all).count(), 0);
    assert!(care_log::missing(&all, &without).is_empty(), "marked once");
    assert_eq!(care_log::backlash_of(&mill(), &all, Axis::X).read, None);
}

#[test]
fn the_newest_reading_is_used_the_sessions_own_first_then_the_log_then_the_profile() {
    let fresh = plate();
    let profile = care_log::backlash(fresh.state(), &[], Axis::X);
    assert_eq!((profile.mm, profile.read), (0.05, None));
    let log = [
        // A year later than the session at hand: its own reading is used all the same.
        backlash("2027-03-01T09:00", "other", Axis::X, 0.12),
        backlash("2025-03-01T09:00", "older", Axis::X, 0.07),
        // Less than none, beyond what callipers tell, is a fault of the sum.
        backlash("2027-04-01T09:00", "other", Axis::X, -0.2),
        backlash("2027-05-01T09:00", "other", Axis::Y, 0.3),
    ];
    let of_log = care_log::backlash(fresh.state(), &log, Axis::X);
    assert_eq!(of_log.mm, 0.12);
    assert_eq!(of_log.from(), "read 01 Mar 2027");
    let own = care_log::backlash(touched(5).state(), &log, Axis::X);
    assert!((own.mm - 0.08).abs() < 1e-9);
    assert_eq!(own.from(), "read in this session, 07 Mar 2026");
    // What the session took back does not come back out of a log that still has it.
    let mine = fresh.state().head.session_id.clone();
    let stale = [backlash("2026-03-07T14:00", &mine, Axis::X, 0.5)];
    assert_eq!(care_log::backlash(fresh.state(), &stale, Axis::X).mm, 0.05);
}

#[test]
fn hours_of_cutting_and_the_trend_are_counted_from_the_last_reading() {
    let test = |at: &str, x: f64| {
        let kind = Kind::ReturnTest {
            error_mm: [Some(x), None, None],
            kept_zero: true,
        };
        entry(at, "a", kind)
    };
    // Not in the order of time: an old session that is opened again adds at the end.
    let log = [
        backlash("2026-03-05T09:00", "b", Axis::X, 0.08),
        entry("2026-03-05T10:00", "b", Kind::Cut(1800)),
        entry("2026-03-06T10:00", "c", Kind::Cut(5400)),
        test("2026-03-06T11:00", 0.01),
        test("2026-03-06T12:00", 0.24),
        backlash("2026-01-05T09:00", "a", Axis::X, 0.05),
        entry("2026-01-06T10:00", "a", Kind::Cut(36000)),
    ];
    // By hand: 1800 + 5400 s = 2 h since the fifth of March, 12 h since the fifth of January.
    assert!((care_log::hours_since(&log, day("2026-03-05T09:00")) - 2.0).abs() < 1e-12);
    assert!((care_log::hours_since(&log, day("2026-01-05T09:00")) - 12.0).abs() < 1e-12);
    assert_eq!(
        care_log::trend(&log),
        [
            "X backlash: 0.05 mm on 05 Jan 2026, 0.08 mm on 05 Mar 2026; 2.0 h of cutting since",
            "X return tests, newest last: 0.01 0.24 mm; 0.0 h of cutting since 06 Mar 2026",
        ]
    );
    assert!(care_log::trend(&[]).is_empty());
}

#[test]
fn a_backlash_much_greater_than_the_profiles_is_said_and_one_as_great_is_not() {
    let session = plate();
    let say = |mm: f64| {
        let log = [backlash("2026-03-01T09:00", "x", Axis::X, mm)];
        care_log::much_greater(session.state(), &log)
    };
    // The profile has 0.05 mm: twice that is 0.1.
    assert!(say(0.1).is_empty());
    let words = say(0.15).join(" ");
    assert!(
        words.contains("BACKLASH X: 0.15 mm, read 01 Mar 2026"),
        "{words}"
    );
    assert!(words.contains("0.05 mm"), "{words}");
    // Twice of next to nothing is less than callipers tell.
    let mut state = session.state().clone();
    state.machine.axes.x.backlash_mm.value = 0.005;
    let log = [backlash("2026-03-01T09:00", "x", Axis::X, 0.03)];
    assert!(care_log::much_greater(&state, &log).is_empty());
}

/// A circle of radius 8 mm with a tool of 6 mm leaves a bore of 22 mm.
const BORE: &str = "G21 G90 G17 T1 M6\nM3 S12000\nG0 X38 Y20 Z5\nG1 Z-1 F200\nG3 X22 Y20 I-8 J0 F600\nG3 X38 Y20 I8 J0\nG0 Z5\nM5\nM30\n";

fn bore_finding(session: &Session, log: &[Entry]) -> Option<String> {
    let mut against = checking::against(session.state(), log);
    against.tools = vec![(
        1,
        ToolFacts {
            diameter_mm: Some(6.0),
            ..ToolFacts::default()
        },
    )];
    against.bores = vec![Bore {
        what: "bearing seat".to_owned(),
        size_mm: 22.0,
        tolerance_mm: 0.12,
    }];
    let summary = read::read(BORE.as_bytes(), &ReadOptions::default()).expect("memory");
    let report = check::check(&summary, &against);
    report
        .findings
        .into_iter()
        .find(|finding| finding.id == "backlash-in-bore")
        .map(|finding| finding.message)
}

#[test]
fn the_check_of_bores_takes_the_newest_reading_and_says_which_and_from_when() {
    // Half of the tolerance is 0.06 mm: the profile's 0.05 mm is less.
    assert_eq!(bore_finding(&plate(), &[]), None);
    let log = [backlash("2026-03-01T09:00", "x", Axis::Y, 0.09)];
    let of_log = bore_finding(&plate(), &log).expect("0.09 is more");
    assert!(
        of_log.contains("0.090 mm (Y, read 01 Mar 2026)"),
        "{of_log}"
    );
    let own = bore_finding(&touched(5), &[]).expect("0.08 is more");
    assert!(
        own.contains("0.080 mm (X, read in this session, 07 Mar 2026)"),
        "{own}"
    );
    // A reading below the profile's counts too.
    let less = [
        backlash("2026-03-01T09:00", "x", Axis::X, 0.01),
        backlash("2026-03-01T09:00", "x", Axis::Y, 0.01),
    ];
    assert_eq!(bore_finding(&plate(), &less), None);
}

fn log_in(folder: &Path) -> String {
    fs::read_to_string(folder.join("light-belt-mill.toml")).expect("a log")
}

#[test]
fn the_folder_is_made_and_what_two_add_is_all_there() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path().join("care");
    assert_eq!(care::read(&folder, "light-belt-mill"), Ok(vec![]));
    let one = backlash("2026-03-01T09:00", "a", Axis::X, 0.08);
    let two = backlash("2026-03-02T09:00", "b", Axis::X, 0.09);
    care::add(&folder, "light-belt-mill", &mut Unwatched, |_| {
        vec![one.clone()]
    })
    .expect("written");
    let before = log_in(&folder);
    let all = care::add(&folder, "light-belt-mill", &mut Unwatched, |log| {
        assert_eq!(log, std::slice::from_ref(&one));
        vec![two.clone()]
    });
    assert_eq!(all, Ok(vec![one, two]));
    // Only added to: every line of before is still there.
    let after = log_in(&folder);
    assert!(
        before
            .lines()
            .all(|line| after.lines().any(|new| new == line))
    );
    let names: Vec<_> = fs::read_dir(&folder).expect("there").collect();
    assert_eq!(names.len(), 1, "no stray file");
}

#[test]
fn a_broken_log_is_reported_and_never_written() {
    let data = tempfile::tempdir().expect("a folder");
    let path = data.path().join("light-belt-mill.toml");
    for broken in ["format = 1\nmachine = \"light-b", "format = 9\n", "\u{0}"] {
        fs::write(&path, broken).expect("written");
        let added = care::add(data.path(), "light-belt-mill", &mut Unwatched, |_| {
            panic!("nothing may be added")
        });
        let why = added.expect_err("it is broken");
        assert!(why.contains("light-belt-mill.toml"), "{why}");
        assert_eq!(fs::read_to_string(&path).expect("there"), broken);
        let mut keeper = Keeper::new(Some(data.path().to_owned()), save::unwatched());
        let kept = keeper.keep(touched(5).state()).expect("it tries");
        assert!(kept.is_err());
        assert_eq!(fs::read_to_string(&path).expect("there"), broken);
        // Mended, or moved away, the next save writes what was missed.
        fs::remove_file(&path).expect("moved away");
        let kept = keeper.keep(touched(5).state()).expect("it tries again");
        assert_eq!(kept.map(|log| log.len()), Ok(1));
        fs::remove_file(&path).expect("for the next");
    }
}

#[test]
fn a_log_that_another_program_writes_is_left_alone() {
    let data = tempfile::tempdir().expect("a folder");
    let path = data.path().join("light-belt-mill.toml");
    let held = lock::lock(&path).expect("free");
    assert!(matches!(held, Lock::Locked(_)));
    let why =
        care::add(data.path(), "light-belt-mill", &mut Unwatched, |_| vec![]).expect_err("held");
    assert!(why.contains("another program"), "{why}");
    drop(held);
    assert!(care::add(data.path(), "light-belt-mill", &mut Unwatched, |_| vec![]).is_ok());
    assert!(!path.exists(), "nothing to add: no file");
}

#[test]
fn the_keeper_writes_when_a_session_has_more_to_tell_and_not_at_each_save() {
    let data = tempfile::tempdir().expect("a folder");
    let mut keeper = Keeper::new(Some(data.path().to_owned()), save::unwatched());
    assert!(keeper.keep(plate().state()).is_none(), "nothing to tell");
    assert!(fs::read_dir(data.path()).expect("there").next().is_none());
    let session = touched(5);
    assert!(keeper.keep(session.state()).is_some());
    let first = log_in(data.path());
    assert!(keeper.keep(session.state()).is_none(), "told already");
    // Opened again by another run: the log has it.
    let again = Keeper::new(Some(data.path().to_owned()), save::unwatched()).keep(session.state());
    assert_eq!(again.expect("it looks").map(|log| log.len()), Ok(1));
    assert_eq!(log_in(data.path()), first);
    let crashed = must(&session, Event::Happened(Happening::Crash), second(80));
    assert!(keeper.keep(crashed.state()).is_some());
    assert!(log_in(data.path()).contains("happened = \"crash\""));
    let mut without = crashed.state().clone();
    without.backlash.clear();
    assert!(keeper.keep(&without).is_some());
    assert!(log_in(data.path()).contains("taken back"));
    assert!(
        Keeper::new(None, save::unwatched())
            .keep(session.state())
            .is_none()
    );
}

/// A new job on a mill that others worked on before.
fn demo_with(care: Result<Vec<Entry>, String>) -> Desk {
    let mut desk = Desk::new(120, 40);
    desk.care = care;
    desk.keys("\r\r");
    desk
}

#[test]
fn a_new_job_shows_what_earlier_jobs_learned_of_the_mill() {
    let test = Kind::ReturnTest {
        error_mm: [Some(0.02), Some(0.0), None],
        kept_zero: true,
    };
    let mut desk = demo_with(Ok(vec![
        backlash("2026-01-05T09:00", "a", Axis::X, 0.05),
        backlash("2026-02-05T09:00", "b", Axis::X, 0.14),
        entry("2026-02-06T09:00", "b", test),
        entry("2026-02-07T09:00", "b", Kind::Cut(5400)),
    ]));
    to_step(&mut desk, Step::Hold);
    let hold = desk.page_text();
    assert!(
        hold.contains("BACKLASH X: 0.14 mm, read 05 Feb 2026"),
        "{hold}"
    );
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    let text = desk.page_text();
    for words in [
        "backlash of X 0.14 mm (read 05 Feb 2026) and of Y 0.05 mm (profile)",
        "care log: return tests 1, backlash readings 2",
        "X backlash: 0.05 mm on 05 Jan 2026, 0.14 mm on 05 Feb 2026; 1.5 h of cutting since",
    ] {
        assert!(text.contains(words), "{words} in {text}");
    }
    // Where a return test is entered, the last ones stand beside.
    desk.keys("r");
    let screen = desk.screen();
    assert!(
        screen.contains("X return tests, newest last: 0.02 mm"),
        "{screen}"
    );
    desk.keys("\x1b");
    // A reading of its own is used at once, and counts in the trend.
    to_field(&mut desk, Field::TouchAt(0));
    desk.keys("\r-61.96\r\r61.96\r");
    let text = desk.page_text();
    assert!(
        text.contains("X 0.08 mm (read in this session, 07 Mar 2026)"),
        "{text}"
    );
    assert!(text.contains("0.08 mm on 07 Mar 2026; 0.0 h"), "{text}");
    // Taken back, the one before counts again.
    desk.keys("u");
    let text = desk.page_text();
    assert!(
        text.contains("backlash of X 0.14 mm (read 05 Feb 2026)"),
        "{text}"
    );
}

#[test]
fn the_whole_log_is_one_key_away() {
    let mut desk = demo_with(Ok(vec![
        backlash("2026-01-05T09:00", "a", Axis::X, 0.06),
        entry(
            "2026-02-06T09:00",
            "b",
            Kind::Happened(Happening::AxisBound),
        ),
    ]));
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    let place = page::rows(&desk.model)
        .iter()
        .filter(|row| row.can_be_chosen())
        .position(|row| matches!(row, Row::Do { text, .. } if text.starts_with("care log")));
    desk.model.cursor = place.expect("a row leads there");
    desk.keys("\r");
    let screen = desk.screen();
    for words in [
        "CARE LOG",
        "X backlash: 0.06 mm on 05 Jan 2026",
        "06 Feb 2026 09:00 an axis bound",
        "05 Jan 2026 09:00 backlash X 0.06 mm",
    ] {
        assert!(screen.contains(words), "{words} in {screen}");
    }
}

#[test]
fn a_log_that_cannot_be_kept_is_said_and_stops_nothing() {
    let mut desk = demo_with(Err(
        "care/light-belt-mill.toml: line 3: what is \"x\"".to_owned()
    ));
    assert!(
        desk.screen().contains("care log not kept"),
        "{}",
        desk.screen()
    );
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    let text = desk.page_text();
    assert!(
        text.contains("care log NOT KEPT: care/light-belt-mill.toml: line 3"),
        "{text}"
    );
    assert!(
        text.contains("backlash of 0.05 mm stays taken up"),
        "{text}"
    );
}

#[test]
fn the_log_of_another_machine_is_not_taken() {
    let mut desk = demo(80, 24);
    let log = vec![backlash("2026-01-05T09:00", "a", Axis::X, 0.4)];
    desk.send(millside::app::message::Message::CareRead(
        "bench-mill".to_owned(),
        Ok(log),
    ));
    assert!(desk.model.care_entries().is_empty());
}

#[test]
fn a_session_that_cuts_leaves_its_time_in_the_log() {
    let mut desk = cutting(80, 24, 600);
    desk.keys("91");
    let told = care_log::missing(&[], desk.saved.last().expect("saved"));
    let cut: Vec<u64> = told
        .iter()
        .filter_map(|entry| match entry.kind {
            Kind::Cut(seconds) => Some(seconds),
            _ => None,
        })
        .collect();
    // The key that turned the clock on, 600 s, and a second before each of the two keys after.
    assert_eq!(cut.len(), 1);
    assert!((600..=604).contains(&cut[0]), "{cut:?}");
}

fn run(data: &Path, arguments: &[&str]) -> (Option<i32>, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(arguments)
        .env("XDG_DATA_HOME", data)
        .output()
        .expect("the program starts");
    (
        output.status.code(),
        String::from_utf8(output.stdout).expect("text"),
    )
}

#[test]
fn the_profile_of_a_machine_shows_its_log() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path().join("millside/care");
    let log = vec![
        backlash("2026-01-05T09:00", "a", Axis::X, 0.05),
        backlash("2026-02-05T09:00", "b", Axis::X, 0.14),
        entry("2026-02-07T09:00", "b", Kind::Cut(5400)),
    ];
    care::add(&folder, "light-belt-mill", &mut Unwatched, |_| log).expect("written");
    let (_, shown) = run(data.path(), &["profile", "show", "light-belt-mill"]);
    for words in [
        "X backlash: 0.05 mm on 05 Jan 2026, 0.14 mm on 05 Feb 2026; 1.5 h of cutting since",
        "05 Feb 2026 09:00 backlash X 0.14 mm",
        "2 in all",
    ] {
        assert!(shown.contains(words), "{words} in {shown}");
    }
    let (_, json) = run(
        data.path(),
        &["profile", "show", "light-belt-mill", "--json"],
    );
    let object: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let entries = object["profiles"][0]["care_log"]
        .as_array()
        .expect("a list");
    assert_eq!(entries.len(), 2);
    assert!(object["profiles"][0]["care_trend"][0].as_str().is_some());
    let (_, other) = run(data.path(), &["profile", "show", "bench-mill"]);
    assert!(!other.contains("care log"), "{other}");
    fs::write(folder.join("light-belt-mill.toml"), "format = 2").expect("written");
    let (code, shown) = run(data.path(), &["profile", "show", "light-belt-mill"]);
    assert_eq!(code, Some(0));
    assert!(shown.contains("never overwritten"), "{shown}");
}

#[test]
fn the_command_check_takes_the_reading_of_the_log_for_the_machine_of_a_session() {
    let data = tempfile::tempdir().expect("a folder");
    let mut state = plate().state().clone();
    state.rack[0].number = Some(1);
    state.setups[0].readings = vec![Reading {
        what: "bearing seat".to_owned(),
        nominal: Typed::mm(22.0),
        upper: Typed::mm(0.12),
        lower: Typed::mm(0.0),
        of: millside::job::reading::Of::Inside,
        gauge: None,
        reads: vec![],
        made_by: None,
        actual: None,
    }];
    let session = data.path().join("plate.toml");
    fs::write(&session, write::text(&state)).expect("written");
    let program = data.path().join("bore.nc");
    fs::write(&program, BORE).expect("written");
    let check = || {
        let arguments = [
            "check",
            program.to_str().expect("text"),
            "--session",
            session.to_str().expect("text"),
        ];
        // The report is wrapped: one blank between words.
        let (_, shown) = run(data.path(), &arguments);
        shown.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(
        !check().contains("more than half of its tolerance"),
        "{}",
        check()
    );
    let folder = data.path().join("millside/care");
    let log = vec![backlash("2026-02-05T09:00", "b", Axis::X, 0.14)];
    care::add(&folder, "light-belt-mill", &mut Unwatched, |_| log).expect("written");
    let shown = check();
    assert!(shown.contains("0.140 mm (X, read 05 Feb 2026)"), "{shown}");
}

#[test]
fn timed_runs_that_are_written_to_the_profile_stand_in_the_log() {
    let data = tempfile::tempdir().expect("a folder");
    // T = N·L/V + N·V/a + s·N + c with a = 182 mm/s², s = 0.04 s, c = 0.3 s (text-book kinematics).
    let mut table = String::new();
    for (length, moves, feed) in [
        (100.0, 10.0, 600.0),
        (100.0, 20.0, 600.0),
        (100.0, 10.0, 900.0),
        (100.0, 20.0, 900.0),
        (150.0, 16.0, 900.0),
        (120.0, 8.0, 300.0),
    ] {
        let v: f64 = feed / 60.0;
        let time = moves * length / v + moves * v / 182.0 + 0.04 * moves + 0.3;
        table.push_str(&format!("X,{length},{moves},{feed},{time}\n"));
    }
    let runs = data.path().join("runs.csv");
    fs::write(&runs, table).expect("written");
    let runs = runs.to_str().expect("text");
    let (code, _) = run(
        data.path(),
        &["time", "--calibrate", runs, "--write", "light-belt-mill"],
    );
    assert_eq!(code, Some(0));
    let log = care::read(&data.path().join("millside/care"), "light-belt-mill").expect("a log");
    assert_eq!(log.len(), 1);
    let words = care_log::line(&log[0]).expect("a line");
    assert!(
        words.contains("timed runs: x.acceleration 182 mm/s2"),
        "{words}"
    );
}
