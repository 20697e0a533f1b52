//! The program ends in the middle of a cut, however it ends, and the mill cuts on: opened again it goes on as cutting, asks for
//! nothing that needs hands, and counts the time. What a stranger cannot know is asked at the next standstill.

mod support;
#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::Duration;

use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::event::Unseen;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::matrix::Happening;
use millside::session::moment::Moment;
use millside::session::state::ProgramCopy;
use millside::session::state::State;

use support::records;
use support::session::at;
use support::session::must;
use support::session::plate_with_program;
use support::session::program;
use support::session::ready;
use support::session::second;
use support::session::shipped;
use support::walk::cutting;
use terminal::Terminal;
use terminal::step;

/// Cutting since second 20.
fn begun() -> Session {
    let begin = Event::CutBegan {
        ago: Duration::ZERO,
    };
    must(&ready(&plate_with_program(), second(10)), begin, second(20))
}

/// Saved at second 80, seen alive until second 90, opened by another run of the program so many seconds after that.
fn opened(session: &Session, away_s: i64) -> (Session, Moment) {
    let saved = must(session, Event::Looked, second(80));
    let now = at(90 + away_s, 3);
    let text = write::text(saved.state());
    let cautions = saved.state().cautions.clone();
    let state = read::state(&text, cautions, now).expect("the record is read");
    let again = Event::Reopened {
        alive_s: 10.0,
        away_s: away_s as f64,
    };
    (must(&Session::new(state), again, now), now)
}

fn later(moment: Moment, s: u64) -> Moment {
    Moment {
        wall: moment.wall + chrono::TimeDelta::seconds(i64::try_from(s).expect("few")),
        mono: moment.mono + Duration::from_secs(s),
    }
}

fn cut_s(session: &Session, now: Moment) -> u64 {
    let clock = session.state().clock().expect("a clock");
    clock.read(now).cutting.as_secs()
}

/// Every line of every list that is open, but those about letting go and leaving, which nobody has come to.
fn open(session: &Session) -> Vec<String> {
    [
        ListKind::Power,
        ListKind::Setup,
        ListKind::Recovery,
        ListKind::Start,
    ]
    .into_iter()
    .flat_map(|kind| gate::list(session.state(), kind).lines)
    .filter(|line| line.state.is_open())
    .map(|line| line.id)
    .collect()
}

const WENT_ON: Event = Event::GapExplained(Some(Phase::Cutting));

#[test]
fn it_goes_on_as_cutting_asks_nothing_and_counts_the_time() {
    // A minute, more than ten minutes, an hour.
    for away_s in [60, 700, 3600] {
        let (session, now) = opened(&begun(), away_s);
        let session = must(&session, WENT_ON, later(now, 5));
        assert_eq!(session.state().phase(), Some(Phase::Cutting));
        assert_eq!(open(&session), Vec::<String>::new(), "{away_s}");
        // From second 20 on without a break, the five in which the question was on show included.
        assert_eq!(
            cut_s(&session, later(now, 5)),
            70 + u64::try_from(away_s).expect("positive") + 5
        );
        // 5 is taken, and then the questions come that wait for a standstill.
        let waits = must(&session, Event::ClockTurned(Phase::Waiting), later(now, 10));
        let asked = open(&waits);
        for line in ["spindle-dead", "work-tight", "keys-off", "hands-bare-out"] {
            assert!(asked.iter().any(|id| id == line), "{line}: {asked:?}");
        }
        let went_on = waits.apply(Event::ClockTurned(Phase::Cutting), later(now, 11));
        assert!(went_on.is_err());
    }
}

#[test]
fn killed_again_while_the_question_is_open_it_still_knows_that_it_cut() {
    let (session, now) = opened(&begun(), 60);
    // The question stood for 20 s; the program died and was opened after 100 s more.
    let looked = must(&session, Event::Looked, later(now, 20));
    let text = write::text(looked.state());
    let again = Moment {
        wall: later(now, 120).wall,
        mono: Duration::from_secs(2),
    };
    let cautions = looked.state().cautions.clone();
    let state = read::state(&text, cautions, again).expect("the record is read");
    let reopened = Event::Reopened {
        alive_s: 0.0,
        away_s: 100.0,
    };
    let session = must(&Session::new(state), reopened, again);
    let (gap, was) = session.state().gap.expect("it is asked");
    assert_eq!((gap.seconds, was), (180.0, Phase::Cutting));
    let session = must(&session, WENT_ON, again);
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert_eq!(open(&session), Vec::<String>::new());
    assert_eq!(cut_s(&session, again), 70 + 60 + 120);
}

#[test]
fn another_day_or_person_is_asked_at_the_next_standstill() {
    let (session, now) = opened(&begun(), 86_000);
    let session = must(&session, Event::CameBack { away_s: 86_000.0 }, now);
    let session = must(&session, WENT_ON, later(now, 2));
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert_eq!(open(&session), Vec::<String>::new());
    // A record that is saved and read in between keeps what waits.
    let text = write::text(session.state());
    let cautions = session.state().cautions.clone();
    let state = read::state(&text, cautions, later(now, 3)).expect("the record is read");
    assert!(state.asks_later.contains(&Happening::AnotherDay));
    let finished = must(&Session::new(state), Event::Finished, later(now, 9));
    let asked = open(&finished);
    assert!(asked.iter().any(|id| id == "estop-reach"), "{asked:?}");
}

#[test]
fn a_day_that_ends_in_the_background_does_not_stop_the_clock_either() {
    let session = begun();
    let midnight = at(86_400, 86_400);
    let session = must(&session, Event::CameBack { away_s: 60.0 }, midnight);
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert_eq!(open(&session), Vec::<String>::new());
    let waits = must(&session, Event::ClockTurned(Phase::Waiting), midnight);
    assert!(open(&waits).iter().any(|id| id == "estop-reach"));
}

#[test]
fn a_program_that_changed_meanwhile_is_asked_about_when_the_mill_stands() {
    let (session, now) = opened(&begun(), 60);
    let other = ProgramCopy {
        sha256: "1".repeat(64),
        ..program()
    };
    for is_read_first in [true, false] {
        let read = Event::ProgramRead(Box::new(other.clone()));
        let [first, second] = if is_read_first {
            [read, WENT_ON]
        } else {
            [WENT_ON, read]
        };
        let session = must(&must(&session, first, now), second, later(now, 2));
        assert_eq!(session.state().phase(), Some(Phase::Cutting));
        let waits = must(&session, Event::ClockTurned(Phase::Waiting), later(now, 9));
        let air = waits
            .state()
            .fact(millside::session::fact::FactKind::AirRun);
        assert_eq!(air.word(), "redo", "{is_read_first}");
    }
}

#[test]
fn a_clock_of_the_computer_that_was_put_back_asks_and_the_cut_goes_on() {
    // Opened an hour before it was saved, by the computer's clock: no time is known.
    let (session, now) = opened(&begun(), -3600);
    assert_eq!(session.state().phase(), Some(Phase::Waiting));
    let (_, was) = session.state().gap.expect("it is asked all the same");
    assert_eq!(was, Phase::Cutting);
    let session = must(&session, WENT_ON, later(now, 4));
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert_eq!(open(&session), Vec::<String>::new());
    assert_eq!(cut_s(&session, later(now, 4)), 74);
    // The same with the program running: half an hour back, and half an hour on.
    for wall in [40 - 1800, 40 + 1800] {
        let jumped = must(&begun(), Event::Looked, at(wall, 40));
        let session = must(&jumped, WENT_ON, at(wall, 40));
        assert_eq!(session.state().phase(), Some(Phase::Cutting), "{wall}");
        assert_eq!(open(&session), Vec::<String>::new());
    }
}

/// Ten minutes estimated.
fn estimated() -> Session {
    let mut state = begun().state().clone();
    state.setups[0].operations[0].estimate_s = Some(600.0);
    Session::new(state)
}

#[test]
fn an_estimate_that_has_passed_changes_nothing_of_a_cut_that_goes_on() {
    let (session, now) = opened(&estimated(), 3600);
    let session = must(&session, WENT_ON, now);
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert_eq!(cut_s(&session, now), 3670);
    assert_eq!(open(&session), Vec::<String>::new());
}

#[test]
fn a_cut_that_ended_is_counted_to_its_estimate_and_can_be_finished() {
    let (session, now) = opened(&estimated(), 3600);
    let session = must(&session, Event::CutUnseen(Unseen::Ended), now);
    assert_eq!(session.state().phase(), Some(Phase::Waiting));
    let spent = session.state().clock().expect("a clock").read(now);
    assert_eq!(
        (spent.cutting.as_secs(), spent.waiting.as_secs()),
        (600, 3070)
    );
    must(&session, Event::Finished, now);
    // Without an estimate nobody knows when it ended: none of it is called cutting.
    let mut state = begun().state().clone();
    state.setups[0].operations[0].estimate_s = None;
    let (session, now) = opened(&Session::new(state), 3600);
    let session = must(&session, Event::CutUnseen(Unseen::Ended), now);
    assert_eq!(cut_s(&session, now), 70);
}

#[test]
fn what_nobody_knows_is_taken_to_cut_and_no_hand_is_asked_for() {
    let (session, now) = opened(&begun(), 600);
    let session = must(&session, Event::CutUnseen(Unseen::Unknown), now);
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert_eq!(open(&session), Vec::<String>::new());
    assert_eq!(cut_s(&session, now), 70, "nothing of it is counted");
    let stands = must(&session, Event::ClockTurned(Phase::Waiting), later(now, 3));
    assert_eq!(
        open(&stands).first().map(String::as_str),
        Some("spindle-dead")
    );
}

#[test]
fn a_cut_that_was_stopped_waits_with_all_that_a_start_asks() {
    let (session, now) = opened(&begun(), 600);
    let stopped = Event::GapExplained(Some(Phase::Waiting));
    let session = must(&session, stopped, now);
    assert_eq!(session.state().phase(), Some(Phase::Waiting));
    assert_eq!(
        open(&session).first().map(String::as_str),
        Some("spindle-dead")
    );
    // Nobody is asked what became of a cut where none was.
    let ended = Event::CutUnseen(Unseen::Ended);
    assert!(session.apply(ended, now).is_err());
}

fn record_of(home: &Path) -> State {
    let text = fs::read_to_string(terminal::record(home)).expect("a record");
    read::state(&text, shipped().cautions, second(0))
        .unwrap_or_else(|why| panic!("{}: {}", why.key, why.found))
}

/// How the program ends.
type End = (&'static str, fn(Terminal));

fn signalled(t: Terminal, name: &str) {
    let id = t.process_id().to_string();
    let sent = Command::new("kill").args(["-s", name, &id]).status();
    assert!(sent.is_ok_and(|status| status.success()), "{name}");
    t.end();
}

fn left(mut t: Terminal, key: &str) {
    t.send(key);
    t.see("THE CLOCK IS ON");
    // The key before may have been the same one: a key that is held down counts once.
    t.press_again("1");
    t.end();
}

const ENDS: [End; 5] = [
    ("q", |t| left(t, "q")),
    ("Ctrl-C", |t| left(t, "\x03")),
    ("TERM", |t| signalled(t, "TERM")),
    ("HUP", |t| signalled(t, "HUP")),
    ("KILL", Terminal::kill),
];

/// Ends the program while it cuts, opens it again and says that the cut went on.
fn end_and_open(name: &str, end: fn(Terminal)) {
    let home = tempfile::tempdir().expect("a folder");
    records::put(home.path(), cutting(80, 24, 40).state());
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("FINISHED");
    t.press("\r");
    t.see("TIME THAT NOBODY SAW");
    t.look();
    // Whatever the time of day: after midnight another answer would ask every list again.
    step(&mut t, "1", "CUTTING   cutting");
    t.settle();
    end(t);

    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("FINISHED");
    t.press("\r");
    t.see("TIME THAT NOBODY SAW");
    t.see("6  not known");
    t.look();
    step(&mut t, "1", "CUTTING   cutting");
    assert!(!t.screen().contains("[ ]"), "{name}: {}", t.screen());
    t.settle();
    let now = record_of(home.path());
    assert_eq!(now.phase(), Some(Phase::Cutting), "{name}");
    assert!(now.asks_later.contains(&Happening::OpenedAgain), "{name}");
    step(&mut t, "5", "WAITING   cutting");
    t.see("the record was closed and opened again");
    t.kill();
}

#[test]
fn the_real_program_goes_on_as_cutting_however_it_ended() {
    thread::scope(|scope| {
        for (name, end) in ENDS {
            scope.spawn(move || end_and_open(name, end));
        }
    });
}

#[test]
fn nobody_leaves_for_the_jobs_while_the_mill_cuts() {
    let mut desk = cutting(80, 24, 40);
    let before = desk.state().clone();
    desk.keys("\x1b\x1b");
    assert!(desk.screen().contains("the clock is on: a pause first"));
    assert_eq!(desk.state().phase(), Some(Phase::Cutting));
    assert_eq!(desk.state().answers.len(), before.answers.len());
}
