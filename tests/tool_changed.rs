//! Another cutter than the program is for: what is checked with it, and how far the walls move.

mod support;

use millside::app::checking;
use millside::app::key::Key;
use millside::app::overlay::Overlay;
use millside::app::page;
use millside::app::row::Row;
use millside::check;
use millside::check::Report;
use millside::check::against::Against;
use millside::check::against::ToolFacts;
use millside::check::walls;
use millside::job::tool::Kind;
use millside::job::tool::Tool;
use millside::job::typed::Typed;
use millside::program::finding::Level;
use millside::program::options::ReadOptions;
use millside::session::Session;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::demo;
use support::walk::hold_and_zero;
use support::walk::to_step;

/// The demo at its pocket, blank and zero known.
fn at_the_pocket() -> Desk {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    happens(&mut desk, Event::OperationEntered(1));
    to_step(&mut desk, Step::Program);
    desk
}

fn happens(desk: &mut Desk, event: Event) {
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session");
    work.session = work.session.apply(event, now).expect("it may happen");
}

fn shelf(desk: &Desk, name: &str) -> Tool {
    let mut tools = desk.model.library.tools.iter();
    tools.find(|tool| tool.name == name).expect(name).clone()
}

/// Another tool takes over in the middle, as Enter on the two recipes does it.
fn swap(desk: &mut Desk, tool: Tool, stick_out: Option<f64>) {
    let to = desk.state().rack.len();
    let tool = Box::new(tool);
    let stick_out = stick_out.map(Typed::mm);
    happens(
        desk,
        Event::ToolAdded {
            number: None,
            tool,
            stick_out,
        },
    );
    desk.model.overlay = Some(Overlay::Compare {
        to,
        reason: "worn".to_owned(),
        old: None,
        new: None,
    });
    desk.key(Key::Enter);
}

fn found(desk: &Desk, id: &str) -> Vec<String> {
    let work = desk.model.work.as_ref().expect("a session");
    let checked = work.checked.as_ref().expect("the program was read");
    let of_id = checked.findings.iter().filter(|finding| finding.id == id);
    of_id.map(|finding| finding.message.clone()).collect()
}

#[test]
fn the_check_follows_a_tool_that_took_over_in_the_middle() {
    let mut desk = at_the_pocket();
    assert_eq!(found(&desk, "holder-below-top"), Vec::<String>::new());
    // The same cutter, but gripped to 5 mm: the seat is 6.3 mm deep.
    let same = shelf(&desk, "em-6-1f");
    swap(
        &mut desk,
        Tool {
            title: "short one".to_owned(),
            ..same
        },
        Some(5.0),
    );
    assert_eq!(
        found(&desk, "holder-below-top").len(),
        1,
        "{}",
        desk.screen()
    );
    assert!(!desk.state().fact(FactKind::Program).is_good());
    // Posted for 6 mm, run with 6 mm: the walls stay.
    assert_eq!(
        found(&desk, "posted-for-other-diameter"),
        Vec::<String>::new()
    );
}

#[test]
fn a_smaller_cutter_on_a_path_without_compensation_stops_before_the_start() {
    let mut desk = at_the_pocket();
    let four = shelf(&desk, "em-4-2f");
    swap(&mut desk, four, None);
    let said = found(&desk, "posted-for-other-diameter");
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("Every wall is 1.00 mm off"), "{}", said[0]);
    let program = desk.state().current_setup().program.as_ref().expect("read");
    let stop = program
        .stops
        .iter()
        .find(|stop| stop.id.starts_with("posted-for-other-diameter"));
    assert!(stop.is_some_and(|stop| stop.accepted.is_none()));
    assert!(!desk.state().fact(FactKind::Program).is_good());
}

#[test]
fn old_and_new_tool_side_by_side_and_the_list_before_a_cut_say_how_far_the_walls_move() {
    let mut desk = at_the_pocket();
    let to = desk.state().rack.len();
    let four = shelf(&desk, "em-4-2f");
    happens(
        &mut desk,
        Event::ToolAdded {
            number: None,
            tool: Box::new(four),
            stick_out: None,
        },
    );
    desk.model.overlay = Some(Overlay::Compare {
        to,
        reason: "worn".to_owned(),
        old: None,
        new: None,
    });
    let screen = desk.screen();
    assert!(screen.contains("wall is 1.00 mm off"), "{screen}");
    desk.key(Key::Enter);
    to_step(&mut desk, Step::Cut);
    let rows = page::rows(&desk.model).into_iter();
    let says = rows.filter_map(|row| match row {
        Row::Line(_, line) if line.id == "match-tool-program" => line.says,
        _ => None,
    });
    let says: Vec<String> = says.collect();
    assert!(
        says[0].starts_with("posted for 6 mm, 4 mm fitted, walls 1.00 mm off; "),
        "{says:?}"
    );
}

/// A square of 40 mm round the outside and one of 20 mm inside, posted for 6 mm: the centre runs 3 mm outside and 3 mm inside of them.
fn squares(compensation: &str, comment: &str) -> String {
    format!(
        "G21 G90 G17\n(T1 {comment})\nT1 M6\nM3 S8000\nG0 X-23 Y-23 Z5\n{compensation}G1 Z-1 F100\nX23 F300\nY23\nX-23\nY-23\nG0 Z5\n\
         G0 X-7 Y-7\nG1 Z-1 F100\nX7 F300\nY7\nX-7\nY-7\nG0 Z5\nG40\nM5\nM30\n"
    )
}

fn report(text: &str, diameter_mm: f64, kind: Kind, posted: Vec<(u32, f64)>) -> Report {
    let against = Against {
        tools: vec![(
            1,
            ToolFacts {
                kind: Some(kind),
                diameter_mm: Some(diameter_mm),
                cuts_sideways: Some(kind.cuts_sideways()),
                ..ToolFacts::default()
            },
        )],
        posted,
        ..Against::default()
    };
    let options = ReadOptions::default();
    check::examine(text.as_bytes(), &options, &against)
        .expect("memory is readable")
        .1
}

fn stop(report: &Report) -> Option<String> {
    let mut all = report.findings.iter();
    let found = all.find(|finding| finding.id == "posted-for-other-diameter")?;
    assert_eq!(found.level, Level::Stop);
    Some(found.message.clone())
}

// Drawn: the centre runs at 23 mm from the middle. A cutter of 4 mm cuts to 21 mm there, so the outside is 42 mm across and not 40;
// inside it runs at 7 mm and cuts to 9 mm, so the pocket is 18 mm across and not 20. A cutter of 8 mm: 19 and 11 mm, 38 and 22 mm.
#[test]
fn the_walls_move_as_a_drawing_shows() {
    for (cutter, outside, inside) in [(4.0, 42.0, 18.0), (8.0, 38.0, 22.0)] {
        let across = |sign: f64, centre: f64| 2.0 * (centre + sign * cutter / 2.0);
        assert_eq!((across(-1.0, 23.0), across(1.0, 7.0)), (outside, inside));
        let said = walls::words(6.0, cutter);
        let word = |size: f64, nominal: f64| if size > nominal { "larger" } else { "smaller" };
        assert!(said.contains("Every wall is 1.00 mm off"), "{said}");
        assert!(
            said.contains(&format!(
                "outsides come out 2.00 mm {} across",
                word(outside, 40.0)
            )),
            "{said}"
        );
        assert!(
            said.contains(&format!("slots 2.00 mm {}", word(inside, 20.0))),
            "{said}"
        );
        let whole = stop(&report(
            &squares("", "END MILL 6 MM"),
            cutter,
            Kind::EndMill,
            vec![],
        ));
        assert!(whole.is_some_and(|whole| whole.contains(&said)));
    }
}

#[test]
fn walls_stay_with_the_same_cutter_with_compensation_and_with_what_has_no_walls() {
    let six = "END MILL 6 MM";
    assert_eq!(
        stop(&report(&squares("", six), 6.0, Kind::EndMill, vec![])),
        None
    );
    // 1/4 in is often written 6.35, and rounded.
    assert_eq!(
        stop(&report(
            &squares("", "END MILL 1/4 IN"),
            6.3,
            Kind::EndMill,
            vec![]
        )),
        None
    );
    for code in ["G41 D1 ", "G42 D1 "] {
        let compensated = report(&squares(code, six), 4.0, Kind::EndMill, vec![]);
        assert_eq!(stop(&compensated), None);
        assert!(
            compensated
                .findings
                .iter()
                .any(|f| f.id == "tool-unlike-comment")
        );
    }
    assert_eq!(
        stop(&report(&squares("", six), 4.0, Kind::Drill, vec![])),
        None
    );
    assert_eq!(
        stop(&report(&squares("", "D=50"), 40.0, Kind::FaceMill, vec![])),
        None
    );
}

#[test]
fn without_a_comment_the_plan_says_what_the_program_was_posted_for() {
    let text = squares("", "FINISH");
    assert_eq!(stop(&report(&text, 4.0, Kind::EndMill, vec![])), None);
    assert!(stop(&report(&text, 4.0, Kind::EndMill, vec![(1, 6.0)])).is_some());
}

// Two tools of one title: what came out is known by the name of its profile.
#[test]
fn what_the_program_was_posted_for_is_told_by_name_not_by_title() {
    let mut desk = at_the_pocket();
    let planned = desk.state().planned_tool().expect("planned");
    let mut state = desk.state().clone();
    let mut twin = state.rack[planned].clone();
    "my-twin".clone_into(&mut twin.tool.name);
    twin.tool.diameter_mm = 4.0;
    twin.number = None;
    // It stands before the one that was planned.
    state.rack.insert(0, twin);
    for operation in state.setups.iter_mut().flat_map(|s| &mut s.operations) {
        operation.tool = operation.tool.map(|tool| tool + 1);
    }
    state.in_spindle = state.in_spindle.map(|tool| tool + 1);
    desk.model.work.as_mut().expect("open").session = Session::new(state);
    let same = shelf(&desk, "em-6-1f");
    swap(&mut desk, same, Some(20.0));
    let change = desk.state().current_operation().expect("one").changes[0].clone();
    assert_eq!(change.from_name, "em-6-1f");
    let posted = checking::against(desk.state(), &[]).posted;
    assert!(
        posted.iter().all(|(_, d)| (d - 6.0).abs() < 1e-9),
        "{posted:?}"
    );
    assert!(!posted.is_empty());
    // A record of before has titles alone.
    let mut state = desk.state().clone();
    let place = state.operation;
    state.setups[0].operations[place].changes[0]
        .from_name
        .clear();
    assert!(!checking::against(&state, &[]).posted.is_empty());
}
