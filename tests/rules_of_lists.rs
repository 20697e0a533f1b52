//! Rules of lists that people really use: pauses, answers, keys, interruptions, changes, repeats. What is asked, and in which words, is in
//! `rules_of_cautions.rs`; what does not apply is said in DEVELOPERS.md.
//!
//! The rules follow published guidance: Degani and Wiener 1993, Human Factors 35(2), and NASA CR-177549
//! (critical first, the state as the answer, the completion call, interruptions); the WHO surgical checklist
//! (pauses, five to nine lines); Bravo-Lillo et al. 2013 and Anderson et al. 2015 (habituation). Figures such as
//! 0.7 s, 1 s a line and ten minutes are our own.

mod support;

use std::collections::BTreeSet;
use std::time::Duration;

use millside::app::answering;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::model::Screen;
use millside::app::page;
use millside::app::row;
use millside::app::row::Row;
use millside::job::caution;
use millside::job::conditions::Value;
use millside::job::mishap::Mishap;
use millside::job::operation::OperationKind;
use millside::session::Session;
use millside::session::called;
use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::LineState;
use millside::session::gate::ListKind;
use millside::session::gate::Manner;
use millside::session::matrix::Happening;
use millside::session::matrix::Kept;
use millside::session::matrix::MATRIX;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::answer_all;
use support::session::at;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::session::shipped;
use support::walk::answered;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::to_step;

fn begin() -> Event {
    Event::CutBegan {
        ago: Duration::ZERO,
    }
}

fn so(list: ListKind, line: &str, shown_ms: u64) -> Event {
    Event::Answered {
        list,
        line: line.to_owned(),
        answer: Answer::So,
        shown: Duration::from_millis(shown_ms),
    }
}

fn open_ids(session: &Session, list: ListKind) -> Vec<String> {
    gate::list(session.state(), list)
        .lines
        .into_iter()
        .filter(|line| line.state.is_open())
        .map(|line| line.id)
        .collect()
}

/// Everything but the start list.
fn before_the_list() -> Session {
    let session = ready(&plate(), second(10));
    must(
        &session,
        Event::Happened(Happening::PersonChanged),
        second(11),
    )
}

fn with_power_and_setup(session: &Session, seconds: u64) -> Session {
    let mut s = answer_all(session, ListKind::Power, second(seconds));
    s = answer_all(&s, ListKind::Setup, second(seconds));
    s = must(&s, Event::ListEnded(ListKind::Power), second(seconds));
    must(&s, Event::ListEnded(ListKind::Setup), second(seconds))
}

#[test]
fn d01_no_pause_lets_the_clock_on_while_its_list_is_open() {
    let session = ready(&plate(), second(10));
    for list in [ListKind::Power, ListKind::Setup, ListKind::Start] {
        for line in gate::list(session.state(), list).lines {
            let not_so = Event::Answered {
                list,
                line: line.id.clone(),
                answer: Answer::NotSo("it is not".to_owned()),
                shown: Duration::from_secs(2),
            };
            let one_open = must(&session, not_so, second(20));
            let refusal = one_open.apply(begin(), second(21));
            assert!(refusal.is_err(), "{} {}", list.word(), line.id);
        }
    }
    assert!(session.apply(begin(), second(21)).is_ok());
}

#[test]
fn d02_a_page_of_a_list_has_at_most_seven_lines_and_no_line_is_lost_between_pages() {
    let library = shipped();
    // Drills a tenth apart are asked the same: one of each kind, size in whole millimetres and stick-out in diameters.
    let mut seen = BTreeSet::new();
    let mut tools = library.tools.clone();
    tools.retain(|tool| {
        let ratio = (tool.stick_out_mm / tool.diameter_mm) as u32;
        seen.insert((tool.kind.word(), tool.diameter_mm as u32, ratio))
    });
    for machine in &library.machines {
        for material in &library.materials {
            // One metal with every tool, and every metal with one tool.
            let all = material.name == library.materials[0].name;
            let count = if all { tools.len() } else { 1 };
            for tool in &tools[..count] {
                let mut state = plate().state().clone();
                state.machine = machine.clone();
                state.material = material.clone();
                state.rack[0].tool = tool.clone();
                let session = Session::new(state);
                for kind in ListKind::ALL {
                    let list = gate::list(session.state(), kind);
                    for part in 0..list.parts.len() {
                        let count = list.lines.iter().filter(|line| line.part == part).count();
                        assert!(count <= 7, "{} {count}", machine.name);
                        // None is empty, and none so short that another could have held it.
                        assert!(count > 0 || list.lines.is_empty(), "{} {part}", tool.name);
                    }
                    let fewest = list.lines.len().div_ceil(7).max(1);
                    assert_eq!(list.parts.len(), fewest, "{} {}", tool.name, kind.heading());
                    assert!(list.lines.is_sorted_by_key(|line| line.part));
                    // A page that could end where the hand leaves the spindle ends there.
                    if fewest == 2
                        && let Some(leaves) = list.lines.iter().position(|line| !line.is_at_spindle)
                        && (1..=7).contains(&leaves)
                        && list.lines.len() - leaves <= 7
                    {
                        assert_eq!(list.lines[leaves - 1].part, 0, "{}", tool.name);
                        assert_eq!(list.lines[leaves].part, 1, "{}", tool.name);
                    }
                }
            }
        }
    }
}

#[test]
fn d04_the_most_lethal_lines_are_asked_again_at_every_start() {
    let mut session = ready(&plate(), second(10));
    for round in 0..3u64 {
        let now = 20 + round * 20;
        session = must(&session, begin(), second(now));
        session = must(&session, Event::Finished, second(now + 5));
        let open = open_ids(&session, ListKind::Start);
        if session.state().current_operation().map(|o| o.kind) == Some(OperationKind::Bench) {
            break;
        }
        for worst in ["work-tight", "keys-off", "hands-bare-out"] {
            assert!(open.iter().any(|id| id == worst), "{worst}: {open:?}");
        }
        session = ready(&session, second(now + 10));
    }
}

#[test]
fn d07_a_value_that_is_not_the_target_ticks_nothing_and_the_value_read_is_kept() {
    let session = ready(&plate(), second(10));
    let session = must(
        &session,
        Event::Happened(Happening::ToolSlipped),
        second(20),
    );
    let wrong = millside::job::typed::Typed::mm(-3.0);
    assert!(session.apply(Event::LengthSet(wrong), second(21)).is_err());
    assert!(!session.state().fact(FactKind::ToolLength).is_good());
    let right = millside::job::typed::Typed::mm(-11.9);
    // Gripped anew it has another length: that comes first.
    let early = session.apply(Event::LengthSet(right.clone()), second(22));
    assert!(early.is_err());
    let session = must(
        &session,
        so(ListKind::Start, "spindle-dead", 2000),
        second(22),
    );
    let session = must(
        &session,
        so(ListKind::Start, "seat-and-grip", 2000),
        second(23),
    );
    let session = must(&session, Event::LengthSet(right), second(24));
    let kept = format!("{:?}", session.state().fact(FactKind::ToolLength));
    assert!(kept.contains("-11.9 mm"), "{kept}");
}

#[test]
fn d08_a_held_key_counts_once_and_a_press_changes_one_line() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    // A key that is held down repeats after half a second, then thirty times a second.
    let press = |desk: &mut Desk, ms: u64| {
        let mut now = desk.now();
        now.mono += Duration::from_millis(ms);
        now.wall += chrono::TimeDelta::milliseconds(i64::try_from(ms).expect("small"));
        desk.send(Message::Pressed(Key::Char('1'), now));
    };
    desk.pass(2);
    press(&mut desk, 0);
    for ms in (500..5000).step_by(33) {
        press(&mut desk, ms);
    }
    assert_eq!(desk.state().answers.len(), 1);
}

#[test]
fn d09_keys_that_move_scroll_or_close_answer_nothing() {
    for keys in ["2", "8", "4", "6", "7", "0"] {
        let mut desk = decided(80, 24);
        to_step(&mut desk, Step::Cut);
        let before = desk.state().answers.len();
        for _ in 0..20 {
            desk.keys(keys);
        }
        assert_eq!(desk.state().answers.len(), before, "{keys}");
    }
    // Twenty times along the rail, over the page of the list and back.
    let mut desk = decided(80, 24);
    let before = desk.state().answers.len();
    for _ in 0..20 {
        desk.keys("6");
    }
    for _ in 0..20 {
        desk.keys("4");
    }
    assert_eq!(desk.state().answers.len(), before);
}

#[test]
fn d10_nothing_begins_answered_and_not_so_holds_the_gate_with_its_reason() {
    let session = plate();
    for kind in ListKind::ALL {
        assert_eq!(gate::list(session.state(), kind).answered(), 0, "{kind:?}");
    }
    let mut desk = answered(80, 24);
    desk.keys("8");
    desk.keys("3");
    desk.keys("a flute is chipped\r");
    let last = desk.state().answers.last().expect("an answer").clone();
    assert_eq!(last.answer, Answer::NotSo("a flute is chipped".to_owned()));
    desk.keys("5");
    assert_eq!(desk.state().phase(), None);
}

#[test]
fn d11_a_list_is_complete_only_when_its_end_is_answered_and_the_end_is_kept() {
    let session = ready(&plate(), second(10));
    let list = gate::list(session.state(), ListKind::Start);
    assert_eq!(list.open(), 0);
    assert!(!called::is_complete(session.state(), &list));
    let session = must(&session, begin(), second(20));
    assert!(called::is_complete(session.state(), &list));
    let end = session.state().ended.last().expect("an end");
    let count = list.lines.len();
    let words = format!("before this cut: {count} of {count} answered, ");
    assert!(end.text.starts_with(&words), "{}", end.text);
    // On the screen it stands over the whole width before it is answered.
    let desk = answered(80, 24);
    assert!(
        desk.screen()
            .contains("> = before this cut: 7 of 7 answered, tool 1, 14:0")
    );
    // An unfinished one says how many are open.
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    assert!(desk.screen().contains("2 of 7 answered, 5 open"));
}

#[test]
fn d12_the_marks_alone_tell_done_open_and_current_apart() {
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    let screen = desk.screen();
    let lines = |mark: &str| screen.lines().filter(|l| l.get(1..4) == Some(mark)).count();
    assert_eq!(screen.lines().filter(|l| l.starts_with('>')).count(), 1);
    let list = gate::list(desk.state(), ListKind::Start);
    assert_eq!((lines("[x]"), lines("[ ]")), (list.answered(), list.open()));
}

#[test]
fn d13_an_interrupted_list_says_where_it_stopped_and_goes_back_one_line() {
    let reopen = |seconds: u64| {
        let mut desk = demo(80, 24);
        to_step(&mut desk, Step::Hold);
        desk.keys("111");
        assert_eq!(desk.state().answers.len(), 3, "{}", desk.screen());
        let state = desk.saved.last().expect("saved").clone();
        let mut again = Desk::new(80, 24);
        again.seconds = desk.seconds + seconds;
        let now = again.now();
        again.send(Message::Opened {
            path: "plate.toml".to_owned(),
            session: Box::new(Session::new(state)),
            read_only: None,
            away: None,
            at: now,
        });
        again
    };
    let desk = reopen(90);
    assert!(
        desk.screen().contains("STOPPED AT 3 of 4, 1:30 ago"),
        "{}",
        desk.screen()
    );
    assert_eq!(gate::list(desk.state(), ListKind::Power).answered(), 2);
    let desk = reopen(660);
    assert!(
        desk.screen().contains("STOPPED AT 3 of 4, 11:00 ago"),
        "{}",
        desk.screen()
    );
    assert_eq!(gate::list(desk.state(), ListKind::Power).answered(), 0);
    // Out of the background it is the same.
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    desk.keys("11");
    let now = desk.now();
    desk.send(Message::CameBack(30.0, now));
    assert_eq!(gate::list(desk.state(), ListKind::Power).answered(), 1);
}

#[test]
fn d14_what_changed_asks_again_and_says_why_and_no_event_answers_a_line() {
    for row in MATRIX {
        let before = ready(&plate(), second(10));
        let after = must(&before, Event::Happened(row.what), second(20));
        for kind in ListKind::ALL {
            let was = gate::list(before.state(), kind);
            for line in gate::list(after.state(), kind).lines {
                let old = was.lines.iter().find(|old| old.id == line.id);
                let was_open = old.is_none_or(|old| old.state.is_open());
                match &line.state {
                    LineState::Redo(..) => {}
                    LineState::Answered => assert!(!was_open, "{} ticks {}", row.id, line.id),
                    _ => assert!(was_open, "{}: {} without a reason", row.id, line.id),
                }
            }
        }
    }
    let clamped = must(
        &ready(&plate(), second(10)),
        Event::Happened(Happening::ClampsChanged),
        second(20),
    );
    assert!(open_ids(&clamped, ListKind::Setup).contains(&"clamps-clear".to_owned()));
}

#[test]
fn d15_rare_and_dangerous_lists_show_one_step_at_a_time() {
    let session = must(&ready(&plate(), second(10)), begin(), second(20));
    let noted = Event::StopNoted {
        mishap: Mishap::Crash,
        words: String::new(),
    };
    let session = must(&session, noted, second(30));
    let list = gate::list(session.state(), ListKind::Recovery);
    assert_eq!(list.manner, Manner::OneAtATime);
    assert!(list.lines.len() > 1);
    assert_eq!(list.on_show().len(), 1);
    let first = list.lines[0].id.clone();
    let session = must(&session, so(ListKind::Recovery, &first, 2000), second(40));
    let shown = gate::list(session.state(), ListKind::Recovery).on_show();
    assert_eq!(shown.len(), 2);
    // A machine that begins by itself: the change of its tool, too.
    let by_itself = must(
        &plate(),
        Event::ConditionStated("start".to_owned(), Value::Word("automatic".to_owned())),
        second(1),
    );
    assert_eq!(
        gate::list(by_itself.state(), ListKind::Start).manner,
        Manner::OneAtATime
    );
    assert_eq!(
        gate::list(plate().state(), ListKind::Start).manner,
        Manner::DoThenAnswer
    );
}

#[test]
fn d15_the_screen_names_the_manner_and_hides_the_next_step() {
    let mut desk = cutting(80, 24, 40);
    desk.keys("-2\r\rx");
    let screen = desk.screen();
    assert!(screen.contains("AFTER THE STOP"), "{screen}");
    assert!(screen.contains("one step at a time"), "{screen}");
    let list = gate::list(desk.state(), ListKind::Recovery);
    assert!(screen.contains(&list.lines[0].text), "{screen}");
    assert!(!screen.contains(&list.lines[1].text), "{screen}");
}

#[test]
fn d16_what_the_program_says_stands_beside_the_line_and_answers_nothing() {
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    let list = gate::list(desk.state(), ListKind::Start);
    let said: Vec<_> = list.lines.iter().filter(|l| l.says.is_some()).collect();
    assert!(said.len() >= 2, "{said:?}");
    assert!(said.iter().any(|line| line.state.is_open()));
    for _ in 0..3 {
        desk.keys("2");
    }
    assert!(desk.screen().contains("G-code: T1, S"), "{}", desk.screen());
}

#[test]
fn d18_a_repeat_asks_three_lines_and_a_pause_for_chips_two() {
    // The same again, with nothing changed: three lines.
    let mut state = ready(&plate(), second(10)).state().clone();
    let again = state.setups[0].operations[0].clone();
    state.setups[0].operations.insert(1, again);
    let session = must(&Session::new(state), begin(), second(20));
    let session = must(&session, Event::Finished, second(30));
    let session = ready_but_the_list(&session, 40);
    let ids = open_ids(&session, ListKind::Start);
    let asked: Vec<&str> = ids.iter().map(String::as_str).collect();
    assert_eq!(
        asked,
        [
            "work-tight",
            "keys-off",
            "hands-bare-out",
            "match-tool-program"
        ],
        "the recipe of another operation is a value to be read again"
    );
    // A pause for chips: two lines.
    let session = must(&ready(&plate(), second(10)), begin(), second(20));
    let session = must(&session, Event::ClockTurned(Phase::Waiting), second(30));
    assert_eq!(
        open_ids(&session, ListKind::Start),
        ["hands-bare-out", "spindle-before-feed"]
    );
}

fn ready_but_the_list(session: &Session, seconds: u64) -> Session {
    let recipe = Box::new(support::session::recipe());
    match session.apply(Event::RecipeDecided(recipe), second(seconds)) {
        Ok(next) => next,
        Err(_) => session.clone(),
    }
}

#[test]
fn d19_the_answering_digit_of_the_worst_lines_varies_and_their_order_does_not() {
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    let mut digits = BTreeSet::new();
    let mut orders = BTreeSet::new();
    for run in 0..20 {
        let list = gate::list(desk.state(), ListKind::Start);
        let worst: Vec<_> = list.lines.iter().filter(|line| line.is_worst).collect();
        assert_eq!(worst.len(), 3);
        let mut state = desk.state().clone();
        state.head.session_id = format!("20260307-140000-{run:06x}");
        digits.extend(worst.iter().map(|line| answering::digit_of(&state, line)));
        let ids: Vec<&str> = list.lines.iter().map(|line| line.id.as_str()).collect();
        orders.insert(ids.join(" "));
        let plain = list.lines.iter().find(|line| !line.is_worst).expect("one");
        assert_eq!(answering::digit_of(&state, plain), '1');
    }
    assert_eq!(digits.len(), 4, "{digits:?}");
    assert_eq!(orders.len(), 1);
    // Only that digit answers.
    let rows = page::rows(&desk.model);
    let Some(Row::Line(_, line)) = row::chosen(&rows, desk.model.cursor).cloned() else {
        panic!("{}", desk.screen());
    };
    assert!(line.is_worst, "{line:?}");
    let right = answering::digit_of(desk.state(), &line);
    let before = desk.state().answers.len();
    for wrong in answering::DIGITS.iter().filter(|digit| **digit != right) {
        desk.keys(&format!("1{wrong}"));
        assert_eq!(desk.state().step, Step::Cut);
    }
    if right != '1' {
        // Another key in between, and the answer is not begun any more.
        desk.keys(&format!("128{right}"));
        let stays = desk.state().step == Step::Cut;
        assert_eq!(stays, right == '9', "4 and 6 move along the rail");
        to_step(&mut desk, Step::Cut);
    }
    assert_eq!(desk.state().answers.len(), before);
    let keys = answering::keys_of(desk.state(), &line);
    desk.keys(&keys);
    assert_eq!(desk.state().answers.len(), before + 1, "{}", desk.screen());
}

#[test]
fn d20_time_answers_nothing() {
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    let before = gate::list(desk.state(), ListKind::Start).answered();
    desk.pass(3600);
    assert!(gate::list(desk.state(), ListKind::Start).answered() <= before);
    desk.keys("5");
    assert_eq!(desk.state().phase(), None);
}

#[test]
fn d21_a_list_that_is_rushed_is_marked_and_its_last_critical_line_asked_again() {
    let mut session = with_power_and_setup(&before_the_list(), 12);
    let ids = open_ids(&session, ListKind::Start);
    assert!(ids.len() >= 3, "{ids:?}");
    for (place, id) in ids.iter().enumerate() {
        let now = second(20 + place as u64);
        session = must(&session, so(ListKind::Start, id, 430), now);
    }
    assert_eq!(open_ids(&session, ListKind::Start), ids[ids.len() - 1..]);
    let last = ids.last().expect("a line");
    let line = gate::list(session.state(), ListKind::Start)
        .lines
        .into_iter()
        .find(|line| line.id == *last);
    assert!(matches!(
        line.map(|line| line.state),
        Some(LineState::Redo(Happening::ListRushed, _))
    ));
    // Once is enough; the mark stays.
    let session = must(&session, so(ListKind::Start, last, 430), second(40));
    assert_eq!(open_ids(&session, ListKind::Start), Vec::<String>::new());
    let session = must(&session, begin(), second(41));
    assert!(session.state().ended.last().is_some_and(|end| end.rushed));
    // At a reader's pace nothing is marked.
    let session = must(&ready(&plate(), second(10)), begin(), second(20));
    assert!(session.state().ended.iter().all(|end| !end.rushed));
}

#[test]
fn d22_complete_is_worked_out_from_the_lines() {
    let session = must(&ready(&plate(), second(10)), begin(), second(20));
    let list = gate::list(session.state(), ListKind::Start);
    assert!(called::is_complete(session.state(), &list));
    let last = session.state().answers.last().expect("an answer");
    assert!(!last.text.is_empty() && !last.version.is_empty());
    assert_eq!(last.shown, Duration::from_secs(2));
    let is_complete = |state: &millside::session::state::State| {
        called::is_complete(state, &gate::list(state, ListKind::Power))
    };
    let mut state = session.state().clone();
    assert!(is_complete(&state));
    let place = state
        .answers
        .iter()
        .position(|answered| answered.list == ListKind::Power)
        .expect("an answer");
    let mut answers: Vec<_> = state.answers.iter().cloned().collect();
    let removed = answers.remove(place);
    state.answers = Kept::of(answers.into_iter().collect());
    assert!(!is_complete(&state));
    // The same with a line taken out of the file; and two runs are told apart line by line.
    let text = millside::record::write::text(session.state());
    let named = format!("line = \"{}\"", removed.line);
    let short: String = text
        .lines()
        .filter(|line| !line.contains(&named))
        .map(|line| format!("{line}\n"))
        .collect();
    assert_ne!(short, text);
    let cautions = session.state().cautions.clone();
    let read = millside::record::read::state(&short, cautions, second(30)).expect("it is read");
    assert!(!is_complete(&read));
    let whole = millside::record::compare::compare(session.state(), &read);
    let rows: Vec<&str> = whole
        .groups
        .iter()
        .filter(|group| group.title == "answers")
        .flat_map(|group| &group.rows)
        .map(|row| row.what.as_str())
        .collect();
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert_eq!(rows[0], removed.line);
}

#[test]
fn d23_what_is_accepted_needs_a_reason_and_stays_in_sight() {
    let session = ready(&plate(), second(10));
    let no_reason = session.apply(Event::AirRunLeftOut(" ".to_owned()), second(11));
    assert!(no_reason.is_err());
    // A line itself has no override: see DEVELOPERS.md.
    let list = gate::list(session.state(), ListKind::Start);
    let not_so = Event::Answered {
        list: ListKind::Start,
        line: list.lines[0].id.clone(),
        answer: Answer::NotSo("cannot".to_owned()),
        shown: Duration::from_secs(2),
    };
    let session = must(&session, not_so, second(12));
    assert!(session.apply(begin(), second(13)).is_err());
}

#[test]
fn d27_another_list_cannot_be_answered() {
    let session = ready(&plate(), second(10));
    // A line of taps, while a pocket is milled.
    let foreign = session.apply(so(ListKind::Start, "tap-shatter", 2000), second(11));
    assert!(foreign.is_err());
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    assert!(desk.screen().contains("1 of 6  Face the mounting strip"));
    desk.keys("7");
    let version = caution::version(&desk.state().cautions);
    let screen = desk.screen();
    assert!(screen.contains("operation 1 of 6"), "{screen}");
    assert!(screen.contains(&version), "{screen}");
}

/// What the header of a list must say, from the state: the operation and how many there are, its tool, the material, the version.
fn header_of(state: &millside::session::state::State) -> String {
    let tool = state.planned_tool().map_or("no tool", |index| {
        let title = &state.rack[index].tool.title;
        title.split(',').next().unwrap_or_default()
    });
    format!(
        "For operation {} of {}, {tool}, {}; list {}.",
        state.operation + 1,
        state.current_setup().operations.len(),
        state.material.title,
        caution::version(&state.cautions)
    )
}

#[test]
fn d27_the_header_says_which_list_it_is_whatever_was_pressed() {
    let mut desk = decided(120, 50);
    // Numerical Recipes' constants, from memory: any spread of keys does.
    let mut seed: u32 = 27;
    let keys: Vec<char> = "123456788890+-*/.\r\r66".chars().collect();
    let (mut seen, mut operations) = (0, BTreeSet::new());
    for _ in 0..2000 {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let key = keys[(seed >> 16) as usize % keys.len()];
        desk.keys(&key.to_string());
        if seed.is_multiple_of(5) && desk.model.overlay.is_some() {
            // Else most of the keys would be typed into one form.
            desk.key(Key::Escape);
        }
        let state = desk.state().clone();
        if state.step != Step::Cut || desk.model.screen != Screen::Session {
            continue;
        }
        let rows = page::rows(&desk.model);
        let headers: Vec<&String> = rows
            .iter()
            .filter_map(|row| match row {
                Row::Text(text) if text.starts_with("For operation") => Some(text),
                _ => None,
            })
            .collect();
        let has_list = !gate::list(&state, ListKind::Start).lines.is_empty()
            && state
                .current_operation()
                .is_some_and(|o| !o.progress.is_done());
        assert_eq!(headers.len(), usize::from(has_list));
        for header in headers {
            assert_eq!(*header, header_of(&state));
            seen += 1;
            operations.insert(state.operation);
        }
    }
    assert!(seen > 50, "only {seen} lists were seen");
}

#[test]
fn d27_what_no_key_did_moves_no_other_line_under_the_finger() {
    let mut desk = Desk::new(120, 50);
    let good = "G21 G90 G54\nT1 M6\nS9000 M3\nG0 X0 Y0 Z5\nG1 Z-0.5 F120\nX20 F400\nM5\nM30\n";
    desk.files.push(("plate.nc".to_owned(), good.to_owned()));
    desk.keys("2\r\rplate.nc\r");
    for _ in 0..9 {
        desk.key(Key::Down);
    }
    desk.keys("\r");
    to_step(&mut desk, Step::Cut);
    let chosen = |desk: &Desk| {
        let rows = page::rows(&desk.model);
        match row::chosen(&rows, desk.model.cursor).cloned() {
            Some(Row::Line(kind, line)) => (kind, line.id),
            other => panic!("no line: {other:?}"),
        }
    };
    for _ in 0..20 {
        desk.keys("8");
    }
    desk.keys("22222");
    let (before, place) = (chosen(&desk), desk.model.cursor);
    // Posted anew with a fault that stops: its line comes up above.
    desk.files[0].1 = good.replace("X20 F400", "X20 Y F400");
    desk.pass(3);
    assert_eq!(chosen(&desk), before, "{}", desk.screen());
    assert_ne!(
        desk.model.cursor,
        place,
        "nothing came up: {}",
        desk.screen()
    );
}

#[test]
fn d28_no_critical_line_can_be_put_off_past_a_start() {
    // There is no event that puts a line off: whatever is not answered keeps the clock off.
    let mut session = with_power_and_setup(&before_the_list(), 12);
    for id in open_ids(&session, ListKind::Start) {
        assert!(session.apply(begin(), second(15)).is_err(), "{id} is open");
        session = must(&session, so(ListKind::Start, &id, 2000), second(16));
    }
    assert!(session.apply(begin(), second(17)).is_ok());
}

#[test]
fn d30_keys_before_the_list_and_under_a_message_answer_nothing() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    let now = desk.now();
    // All in the same moment: the way to the list and ten answers.
    desk.send(Message::Pressed(Key::Char('6'), now));
    for _ in 0..10 {
        desk.send(Message::Pressed(Key::Char('1'), now));
    }
    assert_eq!(desk.state().step, Step::Hold);
    assert!(desk.state().answers.is_empty());
    desk.pass(5);
    desk.keys("0");
    desk.keys("1");
    assert!(desk.state().answers.is_empty(), "the help lay over it");
}

#[test]
fn a_list_answered_on_another_day_is_asked_anew() {
    let session = ready(&plate(), second(10));
    let next_day = at(86_400, 20);
    let session = must(&session, Event::CameBack { away_s: 86_000.0 }, next_day);
    assert_eq!(gate::list(session.state(), ListKind::Power).answered(), 0);
}
