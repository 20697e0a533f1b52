//! Facts of the person's own shop behave as the built-in ones: asked, withdrawn with a reason, written down,
//! compared. The rules are those of the built-in facts (open, good, redo; one sentence why); no
//! figure here is of the trade.

mod support;

use std::borrow::Cow;
use std::fs;
use std::process::Command;
use std::time::Duration;

use millside::app::page;
use millside::app::row::Mark;
use millside::job::caution::Cautions;
use millside::profile::fault::Origin;
use millside::profile::library::Library;
use millside::profile::library::ProfileFile;
use millside::record::compare::compare;
use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactState;
use millside::session::gate;
use millside::session::gate::LineState;
use millside::session::gate::ListKind;
use millside::session::matrix::Happening;
use millside::session::shop;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::walk::answered;
use support::walk::decided;
use support::walk::to_step;

const BOARD: &str = "board-flat";

fn fact(id: &str, more: &str) -> String {
    let mut text = format!("[[fact]]\nid = \"{id}\"\n");
    for (key, usual) in [
        ("statement", "\"The board is faced, the plate lies on it\""),
        ("answer", "\"FLAT\""),
        ("scope", "\"setup\""),
        ("step", "\"hold\""),
        ("withdrawn_by", "[\"part-moved\", \"clamps-changed\"]"),
        ("needed", "true"),
    ] {
        if !more.contains(&format!("{key} =")) {
            text.push_str(&format!("{key} = {usual}\n"));
        }
    }
    text + more + "\n"
}

fn own(text: &str) -> Library {
    Library::with_own(&[ProfileFile {
        origin: Origin::Own,
        file: "own.toml".to_owned(),
        bytes: Ok(Cow::Owned(format!("format = 1\n{text}").into_bytes())),
    }])
}

fn cautions(text: &str) -> Cautions {
    let library = own(text);
    assert!(library.faults.is_empty(), "{:?}", library.faults);
    library.cautions.items().to_vec().into()
}

/// The plate by hand, with these facts in the person's profiles.
fn with(text: &str) -> Session {
    let mut state = plate().state().clone();
    state.cautions = cautions(text);
    Session::new(state)
}

fn start_line(session: &Session, id: &str) -> Option<gate::Line> {
    gate::list(session.state(), ListKind::Start)
        .lines
        .into_iter()
        .find(|line| line.id == id)
}

fn stands(session: &Session, id: &str) -> FactState {
    shop::stands(session.state(), id)
}

fn say(session: &Session, id: &str, answer: Answer, s: u64) -> Session {
    let event = Event::Answered {
        list: ListKind::Start,
        line: id.to_owned(),
        answer,
        shown: Duration::from_secs(2),
    };
    must(session, event, second(s))
}

fn waits_for(session: &Session, words: &str) -> bool {
    gate::obstacles(session.state())
        .iter()
        .any(|obstacle| obstacle.words.contains(words))
}

#[test]
fn a_needed_fact_is_a_line_of_the_list_and_one_press_makes_it_good() {
    let session = with(&fact(BOARD, ""));
    let line = start_line(&session, BOARD).expect("it is asked");
    assert_eq!(line.text, "The board is faced, the plate lies on it");
    assert_eq!(
        (line.word.as_str(), &line.state),
        ("FLAT", &LineState::Open)
    );
    assert!(waits_for(&session, "The board is faced"));
    let session = say(&session, BOARD, Answer::So, 10);
    assert!(!waits_for(&session, "The board is faced"));
    let FactState::Good { since, value, .. } = stands(&session, BOARD) else {
        panic!("{:?}", stands(&session, BOARD));
    };
    assert_eq!(since, second(10).wall);
    assert_eq!(value.as_deref(), Some("FLAT"));
    // All else done, the clock can be turned on.
    let session = ready(&session, second(20));
    must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(21),
    );
}

#[test]
fn the_clock_stays_off_while_a_needed_fact_is_open_and_not_so_is_an_answer() {
    let all = ready(&with(&fact(BOARD, "")), second(10));
    let not_so = say(
        &all,
        BOARD,
        Answer::NotSo("a gap at the back".to_owned()),
        20,
    );
    assert_eq!(stands(&not_so, BOARD), FactState::Open);
    let line = start_line(&not_so, BOARD).expect("it is asked");
    assert_eq!(line.state, LineState::NotSo("a gap at the back".to_owned()));
    let refused = not_so.apply(
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(21),
    );
    let why = refused.expect_err("the clock stays off").why;
    assert!(why.contains("The board is faced"), "{why}");
}

#[test]
fn its_happenings_withdraw_it_with_a_reason_and_turn_the_clock_to_waiting() {
    let session = ready(&with(&fact(BOARD, "")), second(10));
    let session = must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(11),
    );
    // What it does not name leaves it alone.
    let crashed = must(&session, Event::Happened(Happening::Crash), second(20));
    assert!(stands(&crashed, BOARD).is_good());
    let moved = must(&session, Event::Happened(Happening::PartMoved), second(20));
    assert_eq!(
        stands(&moved, BOARD),
        FactState::Redo {
            since: second(20).wall,
            what: Happening::PartMoved
        }
    );
    let line = start_line(&moved, BOARD).expect("it is asked again");
    assert_eq!(
        line.state,
        LineState::Redo(Happening::PartMoved, second(20).wall)
    );
    assert_eq!(
        moved.state().phase(),
        Some(millside::session::clock::Phase::Waiting)
    );
}

/// `hands-in` withdraws no fact of the program and asks two lines again: a fact of the shop may
/// name it all the same.
#[test]
fn a_happening_that_withdraws_nothing_else_may_withdraw_it() {
    let own = fact("rag-out", "withdrawn_by = [\"hands-in\"]\n");
    let session = ready(&with(&own), second(10));
    let session = must(&session, Event::Happened(Happening::HandsIn), second(20));
    assert_eq!(stands(&session, "rag-out").word(), "redo");
}

#[test]
fn a_fact_of_a_setup_is_asked_once_for_all_of_its_operations_and_one_of_an_operation_each_time() {
    let both = fact("once", "") + &fact("each", "scope = \"operation\"\n");
    let session = ready(&with(&both), second(10));
    let session = must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(11),
    );
    let next = must(&session, Event::Finished, second(60));
    assert_eq!(next.state().operation, 1);
    assert!(stands(&next, "once").is_good());
    assert!(start_line(&next, "once").is_none(), "it is good: not asked");
    assert_eq!(stands(&next, "each"), FactState::Open);
    assert!(start_line(&next, "each").is_some());
}

#[test]
fn a_fact_of_a_tool_is_one_of_each_tool_and_falls_with_a_change() {
    let own = fact(
        "edge-seen",
        "scope = \"tool\"\nwithdrawn_by = [\"tool-changed\"]\n",
    );
    let session = ready(&with(&own), second(10));
    assert!(stands(&session, "edge-seen").is_good());
    let next = must(&session, Event::OperationEntered(1), second(20));
    assert_eq!(stands(&next, "edge-seen"), FactState::Open, "another tool");
    let fitted = must(&next, Event::ToolFitted(1), second(30));
    let back = must(&fitted, Event::OperationEntered(0), second(40));
    assert_eq!(stands(&back, "edge-seen").word(), "redo");
}

#[test]
fn a_fact_that_no_cut_needs_is_on_no_list_and_stands_at_its_step() {
    let own = fact(BOARD, "needed = false\n");
    let session = with(&own);
    assert!(start_line(&session, BOARD).is_none());
    assert!(!waits_for(&session, "The board is faced"));
    let session = must(&session, Event::ShopConfirmed(BOARD.to_owned()), second(5));
    assert!(stands(&session, BOARD).is_good());
    let nobody = session.apply(Event::ShopConfirmed("no-such".to_owned()), second(6));
    assert!(nobody.is_err());
}

#[test]
fn a_fact_bound_to_a_caution_comes_and_falls_with_its_line() {
    // The line that says that the part is tight is on every list before a first cut.
    let own = fact(BOARD, "line = \"work-tight\"\n");
    let session = with(&own);
    assert!(start_line(&session, BOARD).is_none(), "no line of its own");
    let session = ready(&session, second(10));
    assert!(stands(&session, BOARD).is_good());
    let line = start_line(&session, "work-tight").expect("it is on the list");
    assert_eq!(line.state, LineState::Answered);
    // What withdraws this fact alone opens the line again, with the reason.
    let own = fact(
        BOARD,
        "line = \"work-tight\"\nwithdrawn_by = [\"hands-in\"]\n",
    );
    let session = ready(&with(&own), second(10));
    let hands = must(&session, Event::Happened(Happening::HandsIn), second(20));
    assert_eq!(stands(&hands, BOARD).word(), "redo");
    let line = start_line(&hands, "work-tight").expect("it is on the list");
    assert_eq!(
        line.state,
        LineState::Redo(Happening::HandsIn, second(20).wall)
    );
    let again = say(&hands, "work-tight", Answer::So, 30);
    assert!(stands(&again, BOARD).is_good());
    let refused = session.apply(Event::ShopConfirmed(BOARD.to_owned()), second(21));
    assert!(refused.is_err(), "the line is asked, not the fact");
}

#[test]
fn a_line_that_covers_another_makes_the_fact_of_the_other_good_too() {
    // A shut door is one line with bare hands on a machine that has a door.
    let own = fact(BOARD, "line = \"door-shut\"\n");
    let mut state = with(&own).state().clone();
    state.stated.word("enclosure", "full");
    let session = Session::new(state);
    let ids: Vec<String> = gate::list(session.state(), ListKind::Start)
        .lines
        .into_iter()
        .map(|line| line.id)
        .collect();
    assert!(!ids.iter().any(|id| id == "door-shut"), "{ids:?}");
    assert!(ids.iter().any(|id| id == "hands-bare-out"), "{ids:?}");
    let session = ready(&session, second(10));
    assert!(stands(&session, BOARD).is_good());
}

#[test]
fn where_the_line_is_on_no_list_today_the_fact_has_its_own() {
    // Nothing is magnesium here: that line is not asked.
    let session = with(&fact(BOARD, "line = \"mg-dry-or-oil\"\n"));
    assert!(start_line(&session, BOARD).is_some());
    let session = say(&session, BOARD, Answer::So, 10);
    assert!(stands(&session, BOARD).is_good());
}

#[test]
fn an_operation_taken_out_takes_its_fact_along_and_the_later_ones_move_up() {
    let own = fact("each", "scope = \"operation\"\n");
    let session = with(&own);
    let session = must(&session, Event::OperationEntered(1), second(5));
    let session = say(&session, "each", Answer::So, 10);
    let removed = must(&session, Event::OperationRemoved(0), second(20));
    let keys: Vec<_> = removed
        .state()
        .shop
        .keys()
        .map(|key| key.operation)
        .collect();
    assert_eq!(keys, [Some(0)]);
    let gone = must(&session, Event::OperationRemoved(1), second(20));
    assert!(gone.state().shop.is_empty());
}

#[test]
fn the_record_keeps_it_with_its_time_and_reads_it_back_without_the_profile() {
    let session = ready(&with(&fact(BOARD, "")), second(10));
    let session = must(&session, Event::Happened(Happening::PartMoved), second(40));
    let text = write::text(session.state());
    let line = text
        .lines()
        .find(|line| line.contains(BOARD) && line.contains("because"));
    let line = line.expect("one line holds it");
    for part in [
        "says = \"The board is faced, the plate lies on it\"",
        "setup = 1",
        "is = \"redo\"",
        "since = 2026-03-07T14:00:40+01:00",
        "because = \"part-moved\"",
    ] {
        assert!(line.contains(part), "{part} in {line}");
    }
    // The profile is gone: the fact stays in the record, and is written again as it was.
    let back = read::state(&text, Cautions::default(), second(100)).expect("it reads");
    assert_eq!(back.shop, session.state().shop);
    assert_eq!(write::text(&back), text);
    let with_profile = read::state(&text, cautions(&fact(BOARD, "")), second(100));
    let session = Session::new(with_profile.expect("it reads"));
    assert_eq!(stands(&session, BOARD).word(), "redo");
}

#[test]
fn records_from_before_are_still_read() {
    let folder = format!("{}/sessions", env!("CARGO_MANIFEST_DIR"));
    let mut count = 0;
    for entry in fs::read_dir(folder).expect("samples are there") {
        let text = fs::read_to_string(entry.expect("an entry").path()).expect("text");
        assert!(!text.contains("shop ="));
        let state = read::state(&text, Cautions::default(), second(0)).expect("it reads");
        assert!(state.shop.is_empty());
        count += 1;
    }
    assert!(count >= 2);
}

#[test]
fn a_spoilt_line_in_the_record_is_named_with_its_key() {
    let session = ready(&with(&fact(BOARD, "")), second(10));
    let session = must(&session, Event::Happened(Happening::PartMoved), second(40));
    let text = write::text(session.state());
    let spoilt = text.replace("because = \"part-moved\"", "because = \"wind\"");
    assert_ne!(text, spoilt);
    let error =
        read::state(&spoilt, Cautions::default(), second(0)).expect_err("no such happening");
    assert!(error.to_string().contains("because"), "{error}");
}

#[test]
fn two_sessions_are_compared_by_it() {
    let a = ready(&with(&fact(BOARD, "")), second(10));
    let b = must(&a, Event::Happened(Happening::ClampsChanged), second(40));
    let compared = compare(a.state(), b.state());
    let group = compared
        .groups
        .iter()
        .find(|group| group.title == "facts of the shop")
        .expect("a group of its own");
    assert_eq!(group.rows.len(), 1);
    let row = &group.rows[0];
    assert_eq!(row.what, "The board is faced, the plate lies on it");
    assert_eq!(row.place, "setup 1");
    assert_eq!(row.a.as_deref(), Some("good: FLAT"));
    assert_eq!(row.b.as_deref(), Some("redo: clamps were changed"));
}

fn only_fault(text: &str) -> (Library, String) {
    let library = own(&(text.to_owned() + &fact("good-one", "")));
    assert!(library.cautions.get("good-one").is_some(), "the rest loads");
    assert_eq!(library.faults.len(), 1, "{:?}", library.faults);
    let words = format!("{} {}", library.faults[0], library.faults[0].allowed);
    (library, words)
}

#[test]
fn what_is_wrong_is_refused_with_its_place_and_what_to_do() {
    let long = "x".repeat(71);
    for (more, words) in [
        (
            "withdrawn_by = [\"clamp-changed\"]".to_owned(),
            vec![
                "own.toml:",
                "withdrawn_by",
                "clamp-changed",
                "Did you mean clamps-changed?",
            ],
        ),
        (
            "withdrawn_by = [\"list-rushed\"]".to_owned(),
            vec!["withdrawn_by", "never happens here"],
        ),
        (
            "withdrawn_by = []".to_owned(),
            vec!["withdrawn_by", "is empty", "part-moved"],
        ),
        (
            "scope = \"machine\"".to_owned(),
            vec!["scope", "session, setup, tool, operation"],
        ),
        (
            "step = \"bench\"".to_owned(),
            vec!["step", "program, stock, hold"],
        ),
        (
            format!("statement = \"{long}\""),
            vec!["statement", "is 71 characters long", "at most 70"],
        ),
        ("answer = \"ok\"".to_owned(), vec!["answer", "state"]),
        ("needed = 1".to_owned(), vec!["needed", "true or false"]),
        (
            "line = \"no-such-line\"".to_owned(),
            vec!["line", "no-such-line", "critical caution"],
        ),
        // A reminder is shown and never answered.
        (
            "line = \"hearing\"".to_owned(),
            vec!["line", "hearing", "critical caution"],
        ),
        ("colour = \"red\"".to_owned(), vec!["colour"]),
    ] {
        let (library, fault) = only_fault(&fact("wrong-one", &format!("{more}\n")));
        assert!(library.cautions.get("wrong-one").is_none(), "{more}");
        for word in words {
            assert!(fault.contains(word), "{word} in {fault}");
        }
        assert!(library.faults[0].line > 1, "{fault}");
    }
}

#[test]
fn a_name_that_is_taken_is_refused() {
    let (_, fault) = only_fault(&fact("part-held", ""));
    assert!(fault.contains("fact of the program"), "{fault}");
    let (library, fault) = only_fault(&fact("work-tight", ""));
    assert!(fault.contains("name of a shipped caution"), "{fault}");
    let shipped = library.cautions.get("work-tight").expect("it stays");
    assert!(shipped.shop_fact.is_none());
    let (_, fault) = only_fault(&(fact("twice", "") + &fact("twice", "")));
    assert!(fault.contains("used twice"), "{fault}");
}

#[test]
fn the_example_of_the_page_is_read_and_every_happening_of_it_is_known() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles/README.md");
    let page = fs::read_to_string(path).expect("the page is there");
    let example = page
        .split("```toml\n")
        .filter_map(|part| part.split("```").next())
        .find(|part| part.contains("[[fact]]"))
        .expect("an example");
    let library = own(example.trim_start_matches("format = 1\n"));
    assert!(library.faults.is_empty(), "{:?}", library.faults);
    let fact = library
        .cautions
        .get("spoil-board-flat")
        .expect("it is there");
    assert_eq!(
        fact.shop_fact.as_ref().map(|f| f.withdrawn_by.len()),
        Some(4)
    );
}

fn desk_with(text: &str, walk: fn(u16, u16) -> Desk) -> Desk {
    let mut desk = walk(80, 24);
    let work = desk.model.work.as_mut().expect("a session is open");
    let mut state = work.session.state().clone();
    state.cautions = cautions(text);
    work.session = Session::new(state);
    desk
}

#[test]
fn at_the_mill_it_is_answered_with_one_press_and_the_screen_says_why_it_fell() {
    let mut desk = desk_with(&fact(BOARD, ""), decided);
    assert_eq!(page::step_mark(desk.state(), Step::Hold), Mark::Open);
    to_step(&mut desk, Step::Cut);
    assert!(
        desk.screen().contains("The board is faced"),
        "{}",
        desk.screen()
    );
    desk.answer_lines();
    let said: Vec<_> = desk
        .state()
        .answers
        .iter()
        .filter(|answered| answered.line == BOARD)
        .collect();
    assert_eq!(said.len(), 1, "one press");
    assert!(said[0].shown >= gate::LEAST_SHOW);
    assert!(shop::stands(desk.state(), BOARD).is_good());
    desk.keys("5");
    assert!(desk.state().phase().is_some(), "{}", desk.screen());
    assert_eq!(page::step_mark(desk.state(), Step::Hold), Mark::Good);
    let saved = desk.saved.last().expect("it is saved");
    assert_eq!(saved.shop.len(), 1);
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session is open");
    work.session = must(&work.session, Event::Happened(Happening::PartMoved), now);
    assert_eq!(page::step_mark(desk.state(), Step::Hold), Mark::Redo);
    to_step(&mut desk, Step::Hold);
    for _ in 0..60 {
        desk.keys("2");
    }
    let screen = desk.screen();
    assert!(screen.contains("the part was moved or turned."), "{screen}");
}

#[test]
fn a_fact_at_its_step_is_confirmed_there() {
    let text = fact(BOARD, "needed = false\nstep = \"XY\"\n");
    let mut desk = desk_with(&text, answered);
    to_step(&mut desk, Step::Xy);
    for _ in 0..40 {
        desk.keys("2");
    }
    let screen = desk.screen();
    assert!(screen.contains("FACTS OF YOUR SHOP"), "{screen}");
    desk.keys("7");
    let why = desk.screen();
    assert!(
        why.contains("Asked again when: the part was moved"),
        "{why}"
    );
    desk.keys("\x1b1");
    assert!(
        shop::stands(desk.state(), BOARD).is_good(),
        "{}",
        desk.screen()
    );
    assert!(desk.screen().contains("since 14:"), "{}", desk.screen());
}

#[test]
fn the_command_lists_shows_and_checks_them() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path().join("millside/profiles/facts");
    fs::create_dir_all(&folder).expect("folder is made");
    let write = |text: String| fs::write(folder.join("ours.toml"), text).expect("written");
    write(format!("format = 1\n{}", fact(BOARD, "")));
    let run = |arguments: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_millside"))
            .arg("profile")
            .args(arguments)
            .env("XDG_DATA_HOME", data.path())
            .output()
            .expect("the program starts");
        (
            output.status.code(),
            String::from_utf8(output.stdout).expect("text"),
        )
    };
    let (_, list) = run(&["list"]);
    let after = list.split("FACTS OF YOUR SHOP").nth(1).expect("a heading");
    assert!(after.contains(BOARD), "{list}");
    assert!(
        !list
            .split("CAUTIONS")
            .nth(1)
            .unwrap_or("")
            .split("FACTS")
            .next()
            .unwrap_or("")
            .contains(BOARD)
    );
    let (_, shown) = run(&["show", BOARD]);
    for words in [
        "fact board-flat",
        "the part was moved or turned",
        "setup",
        "a cut waits for it",
    ] {
        assert!(shown.contains(words), "{words} in {shown}");
    }
    let (_, toml) = run(&["show", BOARD, "--toml"]);
    assert!(toml.contains("[[fact]]"), "{toml}");
    let (code, _) = run(&["check"]);
    assert_eq!(code, Some(0));
    write(format!(
        "format = 1\n{}",
        fact(BOARD, "scope = \"world\"\n")
    ));
    let (code, checked) = run(&["check"]);
    assert_eq!(code, Some(1));
    for words in [
        "ours.toml:",
        "scope",
        "world",
        "session, setup, tool, operation",
    ] {
        assert!(checked.contains(words), "{words} in {checked}");
    }
}
