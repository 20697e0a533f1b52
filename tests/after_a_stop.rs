//! What a stop leaves open: lines of several notes, the question whether the operation is finished, and the way back.

mod support;

use std::time::Duration;

use millside::app::page;
use millside::app::row;
use millside::app::row::Mark;
use millside::app::row::Row;
use millside::job::conditions::Value;
use millside::job::mishap::ADVICE;
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
use millside::session::lines::LineState;
use millside::session::lines::MOST_LINES;
use millside::session::matrix::Happening;
use millside::session::state::Step;
use millside::session::unfinished;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::walk::cutting;
use support::walk::decided;
use support::walk::finish_all;
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
            "stop-first",
            "jam-power-off",
            "brush-hook",
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
    // A broken tool is an emergency stop: what its release asks is asked, too.
    let session = must(&session, so("find-the-pieces"), second(31));
    assert_eq!(open(&session), ["position-after-stop", "resume-line"]);
    let session = must(&session, stop(Mishap::PoorFinish), second(32));
    assert_eq!(open(&session), ["position-after-stop", "resume-line"]);
    let again = must(&session, stop(Mishap::ToolBroke), second(33));
    assert_eq!(
        open(&again),
        ["find-the-pieces", "position-after-stop", "resume-line"]
    );
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
        let rows = page::rows(&desk.model);
        let chosen = row::chosen(&rows, desk.model.cursor);
        let text = match chosen {
            Some(Row::Do { text, .. }) => text.clone(),
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
    // What is refused names first what stands first on the page.
    let first = after.lines.iter().find(|line| line.state.is_open());
    assert_eq!(
        all.first().map(|open| open.words.as_str()),
        first.map(|line| line.text.as_str())
    );
    let count = format!("clock ({} open)", all.len());
    assert!(desk.screen().contains(&count), "{}", desk.screen());
}

#[test]
fn a_stop_is_in_the_record_as_soon_as_its_kind_was_chosen() {
    for (place, advice) in ADVICE.iter().enumerate() {
        let mut desk = in_the_cut();
        desk.keys(&format!("-{}", place + 1));
        assert!(desk.state().stops.is_empty(), "{}", advice.id);
        desk.keys("\r");
        let chosen = desk.now().wall;
        let saved = &desk.saved.last().expect("a record").stops;
        assert_eq!(saved.len(), 1, "{}", advice.id);
        assert_eq!((saved[0].mishap, saved[0].at), (advice.mishap, chosen));
        assert_eq!(saved[0].words, "");
        // A remark comes to it later, if at all, and changes neither kind nor time.
        if desk.screen().contains("do this first") {
            let written = format!("Written down at {}", chosen.format("%H:%M"));
            assert!(desk.screen().contains(&written), "{}", desk.screen());
            desk.pass(20);
            desk.keys("x");
        }
        desk.pass(5);
        desk.keys("chips burnt\r");
        let saved = &desk.saved.last().expect("a record").stops;
        assert_eq!(saved.len(), 1, "{}", advice.id);
        assert_eq!((saved[0].mishap, saved[0].at), (advice.mishap, chosen));
        assert_eq!(saved[0].words, "chips burnt");
        assert!(desk.screen().contains("GO ON, if you choose to"));
    }
}

/// The reasons that stand beside the lines of a list that are asked again.
fn reasons(session: &Session, kind: ListKind) -> Vec<Happening> {
    let lines = gate::list(session.state(), kind).lines.into_iter();
    let reasons = lines.filter_map(|line| match line.state {
        LineState::Redo(what, _) => Some(what),
        _ => None,
    });
    reasons.collect()
}

#[test]
fn a_line_that_is_asked_again_names_what_happened() {
    for (mishap, what) in [
        (Mishap::Fire, Happening::Fire),
        (Mishap::Injury, Happening::Injury),
    ] {
        let session = must(&begun(), stop(mishap), second(30));
        for kind in [ListKind::Power, ListKind::Setup, ListKind::Start] {
            let reasons = reasons(&session, kind);
            assert!(!reasons.is_empty(), "{kind:?}");
            assert!(reasons.iter().all(|reason| *reason == what), "{reasons:?}");
        }
    }
    let wrong = must(&begun(), stop(Mishap::WrongPlace), second(30));
    let reasons_of_wrong = reasons(&wrong, ListKind::Start);
    assert!(!reasons_of_wrong.is_empty());
    assert!(
        reasons_of_wrong
            .iter()
            .all(|reason| *reason == Happening::WrongPlaceCut)
    );
    // Somebody else came first, then it hit something: that is why it is asked.
    let other = Event::Happened(Happening::PersonChanged);
    let session = must(&begun(), other, second(30));
    let before = reasons(&session, ListKind::Start);
    assert!(before.contains(&Happening::PersonChanged), "{before:?}");
    let session = must(&session, stop(Mishap::Crash), second(40));
    let after = reasons(&session, ListKind::Start);
    assert!(!after.is_empty());
    assert!(
        after.iter().all(|reason| *reason == Happening::Crash),
        "{after:?}"
    );
}

#[test]
fn hold_says_where_it_is_made_good_that_the_part_is_held() {
    let mut desk = in_the_cut();
    desk.keys("-5\r\rx");
    assert_eq!(page::step_mark(desk.state(), Step::Hold), Mark::Redo);
    to_step(&mut desk, Step::Hold);
    let screen = desk.screen();
    assert!(
        screen.contains("answered in the list before the cut: Enter goes there"),
        "{screen}"
    );
    // The row that waits is the chosen one.
    desk.keys("\r");
    assert_eq!(desk.state().step, Step::Cut);
    let list = gate::list(desk.state(), ListKind::Start);
    let tight = list.lines.iter().find(|line| line.id == "work-tight");
    assert!(tight.is_some_and(|line| line.state.is_open()), "{list:?}");
    desk.answer_lines();
    assert_eq!(page::step_mark(desk.state(), Step::Hold), Mark::Good);
    to_step(&mut desk, Step::Hold);
    assert!(!desk.screen().contains("Enter goes there"));
}

/// Every operation done, a stop of this kind noted in the last one, at the step where the part is let go.
fn done_after(mishap: Mishap) -> Desk {
    let mut desk = finish_all(80, 24);
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session is open");
    work.session = work.session.apply(stop(mishap), now).expect("it is noted");
    while desk.state().step != Step::Release {
        desk.key(millside::app::key::Key::Right);
    }
    // Past the row that leads to the lines after the stop.
    let is_line = |desk: &Desk| {
        let rows = page::rows(&desk.model);
        matches!(row::chosen(&rows, desk.model.cursor), Some(Row::Line(..)))
    };
    for _ in 0..20 {
        if is_line(&desk) {
            break;
        }
        desk.key(millside::app::key::Key::Down);
    }
    desk.answer_lines();
    assert_eq!(gate::list(desk.state(), ListKind::Release).open(), 0);
    desk
}

fn let_go(desk: &mut Desk) {
    for _ in 0..40 {
        let rows = page::rows(&desk.model);
        if matches!(
            row::chosen(&rows, desk.model.cursor),
            Some(Row::Do { text, .. }) if text.starts_with("let the part go")
        ) {
            desk.pass(2);
            desk.keys("\r");
            return;
        }
        desk.key(millside::app::key::Key::Down);
    }
    panic!("no such row: {}", desk.screen());
}

#[test]
fn no_part_is_let_go_while_a_line_about_a_person_or_a_fire_is_open() {
    for (mishap, words) in [
        (Mishap::Injury, "Someone is hurt"),
        (Mishap::Fire, "Nobody is hurt"),
    ] {
        let mut desk = done_after(mishap);
        let_go(&mut desk);
        assert!(desk.model.overlay.is_none(), "{}", desk.screen());
        assert!(
            desk.screen()
                .contains("a person or a fire are open: answer them at cut first")
        );
        assert!(desk.screen().contains("open, at cut: Enter goes there"));
        let list = gate::list(desk.state(), ListKind::Recovery);
        assert!(list.lines[0].text.starts_with(words), "{list:?}");
        assert!(desk.state().current_setup().let_go.is_none());
        let now = desk.now();
        let session = &desk.model.work.as_ref().expect("a session").session;
        let refused = session.apply(Event::LetGo, now).expect_err("it waits");
        assert!(refused.why.contains("at cut"), "{}", refused.why);
        // Once these are answered it asks, and names the rest.
        for line in ["hurt", "nobody-hurt", "light-metal-fire"] {
            let session = &desk.model.work.as_ref().expect("a session").session;
            if asked(session).iter().any(|id| id == line) {
                desk.pass(2);
                let now = desk.now();
                let work = desk.model.work.as_mut().expect("a session");
                work.session = work.session.apply(so(line), now).expect("an answer");
            }
        }
        let_go(&mut desk);
        assert!(
            desk.screen().contains("LET THE PART GO?"),
            "{}",
            desk.screen()
        );
        assert!(desk.screen().contains("STILL OPEN"), "{}", desk.screen());
    }
}

#[test]
fn letting_go_names_what_a_stop_left_open_and_takes_no_usual_key() {
    let mut desk = done_after(Mishap::ToolBroke);
    let_go(&mut desk);
    let screen = desk.screen();
    assert!(screen.contains("after the stop 3 open"), "{screen}");
    desk.pass(2);
    desk.keys("1");
    assert!(desk.state().current_setup().let_go.is_none());
    let digit = millside::app::finishing::digit_to_let_go(&desk.model);
    assert!(['4', '6'].contains(&digit));
    assert!(screen.contains(&format!("{digit} let it go")), "{screen}");
    desk.pass(2);
    desk.keys(&digit.to_string());
    assert!(
        desk.state().current_setup().let_go.is_some(),
        "{}",
        desk.screen()
    );
    // It is no answer: the lines stay.
    assert_eq!(gate::list(desk.state(), ListKind::Recovery).open(), 3);
}

// What the card asks for is one thing, what was pressed another: nobody reads that it was the emergency stop who used feed hold.
#[test]
fn only_who_pressed_the_emergency_stop_reads_of_it() {
    for mishap in [
        Mishap::ToolBroke,
        Mishap::ToolSlipped,
        Mishap::PartMoved,
        Mishap::SpindleStalled,
        Mishap::ChipNest,
        Mishap::Shaking,
        Mishap::ChipsPacked,
    ] {
        let said = |session: &Session| {
            let state = session.state();
            let reasons = state.facts.values().filter_map(|fact| match fact {
                millside::session::fact::FactState::Redo { what, .. } => {
                    Some(what.row().words.to_owned())
                }
                _ => None,
            });
            let lines = gate::list(state, ListKind::Recovery).lines.into_iter();
            let start = gate::list(state, ListKind::Start).lines.into_iter();
            let fallen = lines.chain(start).map(|line| match &line.state {
                LineState::Redo(what, _) => format!("{} {}", line.text, what.row().words),
                _ => line.text,
            });
            let mut all: Vec<String> = reasons.chain(fallen).collect();
            all.retain(|text| text.to_lowercase().contains("emergency stop"));
            all
        };
        let session = must(&begun(), stop(mishap), second(30));
        assert_eq!(said(&session), Vec::<String>::new(), "{mishap:?}");
        if mishap == Mishap::ChipsPacked {
            continue;
        }
        let position = |s: &Session| {
            s.state()
                .fact(millside::session::fact::FactKind::Position)
                .is_good()
        };
        assert!(!position(&session), "{mishap:?}: by which key is not known");
        // Named by the person, it is called by its name.
        let pressed = must(
            &session,
            Event::Happened(Happening::EmergencyStop),
            second(31),
        );
        assert!(!said(&pressed).is_empty(), "{mishap:?}");
    }
}

// A tool that digs in can stop the table and the head at once.
#[test]
fn several_axes_that_stalled_at_once_are_named_by_their_numbers() {
    for (number, word, axes) in [
        ("13", "X and Z", [true, false, true]),
        ("23", "Y and Z", [false, true, true]),
        ("123", "X, Y and Z", [true, true, true]),
    ] {
        let mut desk = cutting(80, 24, 100);
        desk.keys("-1\r");
        assert!(desk.screen().contains("13: X and Z"), "{}", desk.screen());
        desk.keys(&format!("{number}\r"));
        let stalled = desk.state().stops.last().and_then(|stop| stop.stalled);
        assert_eq!(stalled.map(|s| (s.word(), s.axes())), Some((word, axes)));
        let text = write::text(desk.state());
        let cautions = desk.state().cautions.clone();
        let read = read::state(&text, cautions, second(900)).expect("it reads");
        assert_eq!(read.stops.last().and_then(|stop| stop.stalled), stalled);
    }
}
