//! Threads in a job: milled as an operation of their own, and what takes the place of a tap that the spindle cannot back out.
//!
//! Minor diameters of inside threads: ISO 724:1993, table 1, from memory: M6 4.917, M8x1 6.917 mm. That a spindle which turns right only
//! cannot back a tap out is common practice, no source.

mod support;

use millside::app::field::Field;
use millside::app::page;
use millside::app::row;
use millside::app::row::Row;
use millside::calculator::thread;
use millside::job::caution::Cautions;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::ProgramPart;
use millside::job::operation::Progress;
use millside::job::typed::Typed;
use millside::profile::library::Library;
use millside::record::read;
use millside::record::write;
use millside::session::clock::Phase;
use millside::session::gate;
use millside::session::state::RackTool;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::demo;
use support::walk::to_field;
use support::walk::to_step;

/// A plate with a hole to tap, by hand or as part of a program, at its recipe.
fn at_the_thread(machine: &str, tool: &str, kind: OperationKind, has_program: bool) -> Desk {
    let library = Library::shipped();
    let mut desk = demo(80, 24);
    let mut state = desk.state().clone();
    state.machine = library.machines.get(machine).expect("shipped").clone();
    state.rack = vec![RackTool {
        number: None,
        tool: library.tools.get(tool).expect("shipped").clone(),
        stick_out: None,
    }];
    if !has_program {
        state.setups[0].program = None;
    }
    state.setups[0].operations = vec![Operation {
        title: "thread for the pin".to_owned(),
        kind,
        tool: Some(0),
        depth: Some(Typed::mm(10.0)),
        part: has_program.then(|| ProgramPart {
            first_line: 3,
            last_line: 9,
            tool_number: None,
            s_rpm: None,
            feeds_mm_min: vec![],
            lowest_z_mm: Some(-10.0),
        }),
        ..Operation::default()
    }];
    state.operation = 0;
    desk.open(state);
    to_step(&mut desk, Step::Recipe);
    desk
}

/// Puts the cursor on the row that begins so; whether there is one.
fn choose(desk: &mut Desk, begins: &str) -> bool {
    let rows = page::rows(&desk.model);
    let is_it = |row: &Row| matches!(row, Row::Do { text, .. } if text.starts_with(begins));
    let place = row::choosable(&rows)
        .into_iter()
        .position(|place| is_it(&rows[place]));
    if let Some(place) = place {
        desk.model.cursor = place;
    }
    place.is_some()
}

fn operation(desk: &Desk) -> &Operation {
    desk.state().current_operation().expect("one")
}

fn page_text(desk: &Desk) -> String {
    let screen = desk.screen();
    screen.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_spindle_that_turns_right_only_is_offered_milling_and_the_hand_instead_of_a_tap() {
    for machine in ["light-belt-mill", "gantry-router"] {
        let mut desk = at_the_thread(machine, "hand-tap-m6", OperationKind::Tap, false);
        let text = page_text(&desk);
        assert!(text.contains("no power tapping"), "{machine}: {text}");
        assert!(choose(
            &mut desk,
            "Mill the thread instead, with Thread mill for 1 mm pitch"
        ));
        assert!(choose(&mut desk, "Tap by hand instead"));
    }
    // A spindle that reverses taps.
    let mut desk = at_the_thread("bench-mill", "hand-tap-m6", OperationKind::Tap, false);
    assert!(!choose(&mut desk, "Mill the thread") && !choose(&mut desk, "Tap by hand"));
}

#[test]
fn milling_takes_the_place_of_the_tap_with_one_key() {
    for has_program in [false, true] {
        let mut desk = at_the_thread(
            "light-belt-mill",
            "hand-tap-m6",
            OperationKind::Tap,
            has_program,
        );
        assert!(choose(&mut desk, "Mill the thread instead"));
        desk.keys("1");
        let milled = operation(&desk).clone();
        assert_eq!(milled.kind, OperationKind::ThreadMill);
        let size = milled.thread.as_ref().expect("a thread");
        assert_eq!(
            (size.text.as_str(), size.diameter_mm, size.pitch_mm),
            ("M6", 6.0, 1.0)
        );
        let tool = &desk.state().rack[milled.tool.expect("planned")].tool;
        assert_eq!(tool.name, "thread-mill-m6");
        // The lines that tap are no part of it.
        assert_eq!(milled.part, None);
        assert_eq!(
            page_text(&desk).contains("post it again"),
            has_program,
            "{}",
            desk.screen()
        );
        let work = desk.model.work.as_ref().expect("open");
        let calculated = work
            .calculated
            .as_ref()
            .unwrap_or_else(|| panic!("{:?}", work.no_recipe));
        assert!(calculated.limits.iter().all(|limit| !limit.is_exceeded));
        assert!((calculated.ap_mm - 1.0).abs() < 1e-9, "one pitch a turn");
        let advice = page_text(&desk).to_lowercase();
        assert!(
            !advice.contains("pilot") && !advice.contains("peck"),
            "{advice}"
        );
        // It is kept.
        let text = write::text(desk.state());
        let again = read::state(&text, Cautions::default(), desk.now()).expect("it is read");
        assert_eq!(
            again.setups[0].operations,
            desk.state().setups[0].operations
        );
    }
}

#[test]
fn by_hand_the_operation_asks_for_no_recipe_and_is_timed_and_finished() {
    let mut desk = at_the_thread("light-belt-mill", "hand-tap-m6", OperationKind::Tap, false);
    assert!(choose(&mut desk, "Tap by hand instead"));
    desk.keys("1");
    let by_hand = operation(&desk).clone();
    assert_eq!(by_hand.kind, OperationKind::Bench);
    // 10 of thread, 4 pitches of lead, 2 of room for chips; no run-on by hand.
    for words in [
        "M6",
        "mains off",
        "cutting oil",
        "a quarter back",
        "at least 16.0 mm deep",
    ] {
        assert!(
            by_hand.remark.contains(words),
            "{words}: {}",
            by_hand.remark
        );
    }
    let open = gate::obstacles(desk.state());
    let of_cuts = |words: &str| words.contains("recipe") || words.contains("tool");
    assert!(open.iter().all(|open| !of_cuts(&open.words)), "{open:?}");
    to_step(&mut desk, Step::Cut);
    assert!(
        page_text(&desk).contains("cutting oil"),
        "{}",
        desk.screen()
    );
    desk.answer_lines();
    desk.keys("5");
    assert_eq!(
        desk.state().phase(),
        Some(Phase::Hands),
        "{}",
        desk.screen()
    );
    desk.pass(90);
    desk.keys("91");
    assert_eq!(
        desk.state().setups[0].operations[0].progress,
        Progress::Finished
    );
}

#[test]
fn a_thread_mill_is_held_against_the_thread() {
    let library = Library::shipped();
    let tool = |name: &str| library.tools.get(name).expect("shipped").clone();
    for (diameter, pitch, minor) in [(6.0, 1.0, 4.917), (8.0, 1.0, 6.917)] {
        assert!((thread::hole_mm(diameter, pitch) - minor).abs() < 0.001);
    }
    for (name, diameter, pitch, why) in [
        ("thread-mill-m6", 6.0, 1.0, None),
        ("thread-mill-m6", 8.0, 1.0, None),
        (
            "thread-mill-m6",
            6.0,
            0.75,
            Some("pitch of 1 mm, the thread one of 0.75 mm"),
        ),
        // 8 - 1.0825 * 1.5 = 6.376.
        (
            "thread-mill-m10",
            8.0,
            1.5,
            Some("7.8 mm thick, and the hole of the thread 6.38 mm"),
        ),
        ("em-6-2f", 6.0, 1.0, Some("is no thread mill")),
    ] {
        let found = thread::misfit(&tool(name), diameter, pitch);
        match why {
            None => assert_eq!(found, None, "{name}"),
            Some(why) => assert!(
                found.as_ref().is_some_and(|found| found.contains(why)),
                "{found:?}"
            ),
        }
    }
}

#[test]
fn the_thread_of_an_operation_is_entered_at_its_recipe() {
    let kind = OperationKind::ThreadMill;
    let mut desk = at_the_thread("light-belt-mill", "thread-mill-m6", kind, false);
    assert!(
        page_text(&desk).contains("name the thread first"),
        "{}",
        desk.screen()
    );
    // By keypad: 8 with a pitch of 1.
    for (typed, has_recipe) in [("6*0.75", false), ("8*1", true), ("M6", true)] {
        to_field(&mut desk, Field::Thread);
        // What is typed takes the place of what stands there.
        desk.keys(&format!("\r{typed}\r"));
        let work = desk.model.work.as_ref().expect("open");
        assert_eq!(
            work.calculated.is_some(),
            has_recipe,
            "{typed}: {:?}",
            work.no_recipe
        );
        if !has_recipe {
            assert!(
                page_text(&desk).contains("has a pitch of 1 mm"),
                "{}",
                desk.screen()
            );
        }
    }
    assert_eq!(operation(&desk).thread.as_ref().expect("one").text, "M6");
    // A program's own words.
    assert_eq!(OperationKind::from_word("thread mill"), Some(kind));
}
