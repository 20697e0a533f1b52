//! What a stop leaves open: lines of several notes, the question whether the operation is finished, and the way back.

mod support;

use std::time::Duration;

use millside::job::conditions::Value;
use millside::job::mishap::Mishap;
use millside::job::operation::Progress;
use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::lines::MOST_LINES;
use millside::session::state::Step;
use millside::session::unfinished;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::walk::cutting;
use support::walk::decided;
use support::walk::to_step;

fn begin() -> Event {
    Event::CutBegan {
        ago: Duration::ZERO,
    }
}

fn stop(mishap: Mishap) -> Event {
    Event::StopNoted {
        mishap,
        words: String::new(),
    }
}

fn so(line: &str) -> Event {
    Event::Answered {
        list: ListKind::Recovery,
        line: line.to_owned(),
        answer: Answer::So,
        shown: Duration::from_secs(3),
    }
}

fn asked(session: &Session) -> Vec<String> {
    let list = gate::list(session.state(), ListKind::Recovery);
    list.lines.into_iter().map(|line| line.id).collect()
}

fn open(session: &Session) -> Vec<String> {
    let list = gate::list(session.state(), ListKind::Recovery);
    let open = list.lines.into_iter().filter(|line| line.state.is_open());
    open.map(|line| line.id).collect()
}

fn begun() -> Session {
    must(&ready(&plate(), second(10)), begin(), second(20))
}

/// Chips, a broken tool, a crash and a poor finish, one after the other, nothing answered.
fn four_notes(session: &Session) -> Session {
    let mut session = session.clone();
    for (place, mishap) in [
        Mishap::ChipsPacked,
        Mishap::ToolBroke,
        Mishap::Crash,
        Mishap::PoorFinish,
    ]
    .into_iter()
    .enumerate()
    {
        session = must(&session, stop(mishap), second(30 + place as u64));
    }
    session
}

#[test]
fn the_lines_of_all_stop_notes_add_up_and_none_stands_twice() {
    let session = four_notes(&begun());
    assert_eq!(
        asked(&session),
        [
            "nobody-hurt",
            "jam-power-off",
            "find-the-pieces",
            "cause-before-reset",
            "position-after-stop",
            "resume-line",
        ]
    );
    assert_eq!(open(&session), asked(&session));
}

#[test]
fn what_a_stop_left_open_is_asked_in_the_next_operation_too() {
    let session = four_notes(&begun());
    let session = must(&session, Event::Finished, second(50));
    assert_eq!(session.state().operation, 1);
    assert!(open(&session).contains(&"find-the-pieces".to_owned()));
    // Kept in the record, and no clock is turned on before it is answered.
    let text = write::text(session.state());
    let cautions = session.state().cautions.clone();
    let session = Session::new(read::state(&text, cautions, second(55)).expect("it reads"));
    assert!(open(&session).contains(&"find-the-pieces".to_owned()));
    assert!(session.apply(begin(), second(60)).is_err());
    let session = must(&ready(&session, second(70)), begin(), second(80));
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    assert!(asked(&session).is_empty());
}

#[test]
fn an_answer_is_about_the_stop_before_it() {
    let session = must(&begun(), stop(Mishap::ToolBroke), second(30));
    let session = must(&session, so("find-the-pieces"), second(31));
    assert_eq!(open(&session), ["resume-line"]);
    let session = must(&session, stop(Mishap::PoorFinish), second(32));
    assert_eq!(open(&session), ["resume-line"]);
    let again = must(&session, stop(Mishap::ToolBroke), second(33));
    assert_eq!(open(&again), ["find-the-pieces", "resume-line"]);
}

#[test]
fn at_most_seven_lines_stand_on_a_page_and_the_rest_follows() {
    let oil = Value::Word("neat_oil".to_owned());
    let oil = Event::ConditionStated("fluid".to_owned(), oil);
    let mut session = must(&begun(), oil, second(25));
    for (place, mishap) in [
        Mishap::Fire,
        Mishap::Injury,
        Mishap::ToolBroke,
        Mishap::AxisBound,
        Mishap::Power,
    ]
    .into_iter()
    .enumerate()
    {
        session = must(&session, stop(mishap), second(30 + place as u64));
    }
    let all = asked(&session);
    // Somebody is hurt: the line that asks whether somebody is would be answered with it; so with the position.
    assert_eq!(all[0], "hurt");
    assert!(!all.contains(&"nobody-hurt".to_owned()), "{all:?}");
    assert!(!all.contains(&"position-after-stop".to_owned()), "{all:?}");
    assert!(all.len() > MOST_LINES, "{all:?}");
    for (at, line) in all.iter().enumerate() {
        let list = gate::list(session.state(), ListKind::Recovery);
        let shown = list.on_show();
        assert!(shown.len() <= MOST_LINES, "{line}");
        assert!(shown.iter().any(|other| other.id == *line), "{line}");
        let now = second(60 + 4 * at as u64);
        session = must(&session, so(line), now);
    }
    assert!(open(&session).is_empty());
}

/// In the middle of the first cut of the demo.
fn in_the_cut() -> Desk {
    cutting(80, 24, 100)
}

#[test]
fn mashed_keys_at_the_question_for_words_keep_the_stop_note() {
    for keys in ["777\r\r", "0\r", "\r", "5\r\r", "--\r\r", "\u{1b}"] {
        let mut desk = in_the_cut();
        desk.keys("-1\r");
        for key in keys.chars() {
            match key {
                '\u{1b}' => desk.key(millside::app::key::Key::Escape),
                other => desk.keys(&other.to_string()),
            }
            desk.pass(1);
        }
        let stops = &desk.state().stops;
        assert_eq!(stops.len(), 1, "{keys:?}: {}", desk.screen());
        assert_eq!(stops[0].mishap, Mishap::AxisBound);
        assert_eq!(stops[0].words, "", "{keys:?}");
        let screen = desk.screen();
        assert!(
            screen.contains("noted, without a remark"),
            "{keys:?}: {screen}"
        );
    }
}

#[test]
fn the_question_for_finished_names_what_is_open_and_takes_no_usual_key() {
    let mut desk = in_the_cut();
    desk.keys("-1\r\r");
    desk.pass(2);
    desk.keys("x");
    assert_eq!(desk.state().stops.len(), 1, "{}", desk.screen());
    desk.keys("9");
    let screen = desk.screen();
    let joined = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(joined.contains("after the stop 3 open"), "{screen}");
    assert!(joined.contains("X Y Z to be redone"), "{screen}");
    desk.pass(2);
    desk.keys("1");
    let operation = desk.state().current_operation().expect("one");
    assert_eq!(operation.progress, Progress::Begun);
    desk.pass(2);
    desk.keys("9");
    assert_eq!(desk.state().operation, 0);
    let digit = millside::app::finishing::digit(desk.state());
    assert!(screen.contains(&format!("{digit} finished")), "{screen}");
    assert_ne!(digit, '1');
    desk.pass(2);
    desk.keys(&digit.to_string());
    let first = &desk.state().current_setup().operations[0];
    assert_eq!(first.progress, Progress::Finished, "{}", desk.screen());
}

#[test]
fn an_operation_that_never_began_is_not_asked_whether_it_is_finished() {
    let mut desk = decided(80, 24);
    desk.keys("9");
    let screen = desk.screen();
    assert!(screen.contains("it has not begun"), "{screen}");
    assert!(desk.model.overlay.is_none());
}

#[test]
fn a_finished_operation_is_opened_again_by_keypad_and_its_clock_goes_on() {
    let mut desk = in_the_cut();
    desk.keys("91");
    let first = |desk: &Desk| desk.state().current_setup().operations[0].clone();
    assert_eq!(first(&desk).progress, Progress::Finished);
    assert_ne!(desk.state().operation, 0);
    to_step(&mut desk, Step::Program);
    desk.keys(&"8".repeat(40));
    for _ in 0..40 {
        let rows = millside::app::page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
        let text = match chosen {
            Some(millside::app::row::Row::Do { text, .. }) => text.clone(),
            _ => String::new(),
        };
        if text.starts_with("1 ") && text.contains("finished") {
            break;
        }
        desk.keys("2");
    }
    desk.keys("\r");
    let screen = desk.screen();
    assert!(screen.contains("again, with a reason"), "{screen}");
    for _ in 0..5 {
        desk.keys("2");
    }
    desk.pass(1);
    desk.keys("\r");
    let screen = desk.screen();
    assert!(screen.contains("OPEN THIS OPERATION AGAIN"), "{screen}");
    desk.pass(1);
    desk.keys("1\r");
    assert_eq!(first(&desk).progress, Progress::Begun, "{}", desk.screen());
    assert_eq!(desk.state().operation, 0);
    let note = desk.state().notes.last().expect("a note");
    assert!(note.text.contains("opened again: finished by a wrong key"));
    let spent = desk.state().clock().expect("a clock").read(desk.now());
    assert!(spent.cutting.as_secs() >= 100, "{spent:?}");
    // Once more through the list: it counts on.
    to_step(&mut desk, Step::Cut);
    desk.answer_lines();
    desk.keys("5");
    assert_eq!(
        desk.state().phase(),
        Some(Phase::Cutting),
        "{}",
        desk.screen()
    );
    desk.pass(10);
    let more = desk.state().clock().expect("a clock").read(desk.now());
    assert!(
        more.cutting >= spent.cutting + Duration::from_secs(10),
        "{more:?}"
    );
}

#[test]
fn opening_again_needs_a_reason_and_an_operation_that_is_done() {
    let session = begun();
    let again = |operation: usize, reason: &str| Event::OperationReopened {
        operation,
        reason: reason.to_owned(),
    };
    let running = session.apply(again(0, "too early"), second(30));
    assert!(running.is_err());
    let done = must(&session, Event::Finished, second(30));
    assert!(unfinished::may_finish(done.state()).is_err());
    for (operation, reason) in [(0, " "), (1, "not begun"), (9, "no such")] {
        assert!(done.apply(again(operation, reason), second(31)).is_err());
    }
    let left = must(
        &done,
        Event::LeftOut("its tool is missing".to_owned()),
        second(32),
    );
    let back = must(&left, again(1, "its tool is here now"), second(33));
    let operation = &back.state().setups[0].operations[1];
    assert_eq!(operation.progress, Progress::Planned);
    assert!(
        operation
            .remark
            .ends_with("opened again: its tool is here now")
    );
}

/// The clock is not turned on while one of them is open, and nothing on the screen says that it would be.
#[test]
fn lines_after_a_stop_are_among_what_is_open() {
    let mut desk = cutting(80, 24, 60);
    desk.keys("-5\r\rx");
    let state = desk.state();
    let after = gate::list(state, ListKind::Recovery);
    assert!(after.open() > 0);
    let all = gate::obstacles(state);
    for line in &after.lines {
        assert!(
            all.iter()
                .any(|open| open.words == line.text && open.at == Step::Cut),
            "{}",
            line.text
        );
    }
    let count = format!("clock ({} open)", all.len());
    assert!(desk.screen().contains(&count), "{}", desk.screen());
}
