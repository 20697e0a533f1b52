//! What is to be seen before a start: the control's state, moves that a raised Z does not raise, one figure for the speed; a further side
//! and deburring. Modal groups and machine coordinates as in NISTIR 6556, 3.4 to 3.6.

mod support;

use std::process::Command;

use millside::app::act::Act;
use millside::app::effect::Effect;
use millside::app::field::Field;
use millside::app::page;
use millside::app::row::Mark;
use millside::app::row::Row;
use millside::job::machine::SpeedSetBy;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::ProgramPart;
use millside::job::stock::Under;
use millside::job::typed::Typed;
use millside::program::options::ReadOptions;
use millside::program::read;
use millside::program::summary::Summary;
use millside::session::Session;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::state::State;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::recipe;
use support::session::second;
use support::walk;

fn summary(text: &str) -> Summary {
    let options = ReadOptions {
        keep_steps: 1000,
        ..ReadOptions::default()
    };
    read::read(text.as_bytes(), &options).expect("memory can be read")
}

#[test]
fn what_the_program_sets_before_its_first_move_is_told_from_what_it_leaves_to_the_control() {
    let words = |text: &str| summary(text).start.words("feed override 60 %");
    assert_eq!(
        words("G21 G17 G54 G90\nG0 X0 Y0 Z5\nG1 Z-1 F100\nM30\n"),
        "Check at the control: feed override 60 %. The program sets G21 mm, G17, G54, G90 absolute."
    );
    // What comes with the first move counts, what comes behind it is too late.
    assert_eq!(
        words("G20\nG90 G0 X0 Y0 Z5\nG17 G54\nG1 Z-1 F100\nM30\n"),
        "Check at the control: plane (G17), work offset (G54), feed override 60 %. \
         The program sets G20 inch, G90 absolute."
    );
    assert_eq!(
        words("G0 X0 Y0 Z5\nG1 Z-1 F100\nM30\n"),
        "Check at the control: units (taken as G21 mm), plane (G17), work offset (G54), absolute (G90), \
         feed override 60 %. The program sets nothing."
    );
    assert!(words("M49 G91\nG0 X1\nM30\n").contains("G91 distances, M49 OVERRIDES OFF"));
}

/// Raises with G28, G30 and G53, and moves that keep Z.
const MACHINE: &str = "G21 G90 G54
T1 M6
S9000 M3
G0 X0 Y0 Z5
G1 Z-1 F100
X20 F500
G53 G0 Z-5
G53 G0 X-10 Y-10
G91 G28 Z0
G90
G0 X0 Y0
G30
M30
";

// By hand: 7 and 9 move Z, 8 moves X and Y alone, 12 names no axis and moves all three.
#[test]
fn moves_of_z_in_machine_coordinates_are_listed_for_the_dry_run() {
    let told: Vec<(u64, i32, Option<f64>)> = summary(MACHINE)
        .machine_z
        .iter()
        .map(|z| (z.line, z.code, z.to_mm))
        .collect();
    assert_eq!(
        told,
        [(7, 530, Some(-5.0)), (9, 280, None), (12, 300, None)]
    );
    // An inch is 25.4 mm.
    let inch = summary("G20 G90\nG0 X0 Z1\nG53 G0 Z-0.5\nM30\n");
    assert_eq!(inch.machine_z[0].to_mm, Some(-12.7));
}

#[test]
fn the_command_line_lists_them_and_the_state_at_the_start() {
    let home = tempfile::tempdir().expect("a folder");
    let file = home.path().join("plate.nc");
    std::fs::write(&file, MACHINE).expect("it is written");
    let output = Command::new(env!("CARGO_BIN_EXE_millside"))
        .arg("check")
        .arg(&file)
        .env("XDG_DATA_HOME", home.path())
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "line 7: G53 takes Z to machine Z-5 mm",
        "line 9: G28 takes Z to the reference position",
        "line 12: G30 takes Z to the reference position",
        "Start    Check at the control: plane (G17), overrides.",
    ] {
        assert!(text.contains(words), "{text}");
    }
    assert!(!text.contains("line 8: G53"), "{text}");
    let output = Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(["check", "--json"])
        .arg(&file)
        .env("XDG_DATA_HOME", home.path())
        .output()
        .expect("the program runs");
    let object: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one object");
    assert_eq!(object["machine_z_moves"][0]["line"], 7);
    assert_eq!(object["machine_z_moves"][0]["code"], "G53");
    assert_eq!(object["machine_z_moves"][0]["to_mm"], -5.0);
    assert_eq!(
        object["machine_z_moves"][1]["to_mm"],
        serde_json::Value::Null
    );
    assert_eq!(object["start"]["left_to_control"][0], "plane (G17)");
}

/// A job from a program, its page on show.
fn from_program(text: &str) -> Desk {
    let mut desk = Desk::new(80, 24);
    desk.files.push(("plate.nc".to_owned(), text.to_owned()));
    desk.keys("2\r8888\r");
    for c in "plate.nc".chars() {
        desk.key(millside::app::key::Key::Char(c));
    }
    desk.keys("\r");
    choose(&mut desk, &Act::BeginNow);
    desk
}

fn choose(desk: &mut Desk, wanted: &Act) {
    let rows = page::rows(&desk.model);
    let places = millside::app::row::choosable(&rows);
    let place = places
        .iter()
        .position(|place| matches!(&rows[*place], Row::Do { act, .. } if act == wanted));
    let Some(place) = place else {
        panic!("no row does {wanted:?}: {}", desk.screen());
    };
    desk.model.cursor = place;
    desk.keys("\r");
}

#[test]
fn the_dry_run_page_lists_what_a_raised_z_does_not_raise() {
    let mut desk = from_program(MACHINE);
    walk::to_step(&mut desk, Step::Air);
    let page = desk.page_text();
    assert!(
        page.contains("A raised Z does not raise these moves"),
        "{page}"
    );
    assert!(
        page.contains("line 7: G53 takes Z to machine Z-5 mm"),
        "{page}"
    );
    let mut desk = from_program(&MACHINE.replace("G53", "").replace("G91 G28 Z0", ""));
    walk::to_step(&mut desk, Step::Air);
    assert!(desk.page_text().contains("line 12: G30"));
}

#[test]
fn the_page_before_the_first_cut_has_the_state_of_the_control_in_one_look() {
    let mut desk = from_program(MACHINE);
    walk::to_step(&mut desk, Step::Cut);
    let page = desk.page_text();
    assert!(
        page.contains("Check at the control: plane (G17), feed override 100 %. The program sets G21 mm, G54, G90 absolute."),
        "{page}"
    );
}

/// The plate with a program of S3200 and a recipe of 2900 rpm.
fn against_s3200(set_by: SpeedSetBy, n_rpm: f64) -> Session {
    let mut state: State = ready(&plate(), second(10)).state().clone();
    state.machine.spindle.speed_set_by = set_by;
    let operation = &mut state.setups[0].operations[0];
    operation.part = Some(ProgramPart {
        first_line: 3,
        last_line: 9,
        tool_number: Some(1),
        s_rpm: Some(3200.0),
        feeds_mm_min: vec![500.0],
        lowest_z_mm: Some(-1.0),
    });
    operation.recipe = Some(millside::job::recipe::Recipe { n_rpm, ..recipe() });
    Session::new(state)
}

#[test]
fn the_line_before_a_cut_names_one_speed_and_who_sets_it() {
    let line = |session: &Session| {
        let lines = gate::list(session.state(), ListKind::Start).lines;
        let line = lines
            .into_iter()
            .find(|line| line.id == "match-tool-program");
        line.expect("it is asked")
    };
    let by_hand = line(&against_s3200(SpeedSetBy::Hand, 2900.0));
    assert!(by_hand.text.contains("2900 rpm"), "{}", by_hand.text);
    assert_eq!(by_hand.says_by(), "G-code");
    let says = by_hand.says.unwrap_or_default();
    assert!(
        says.contains("S3200 sets nothing: set 2900 rpm by hand"),
        "{says}"
    );
    // By hand: 2900 / 3200 = 90.6 %, rounded down.
    let by_program = line(&against_s3200(SpeedSetBy::Program, 2900.0));
    let says = by_program.says.unwrap_or_default();
    assert!(
        says.contains("S3200 for 2900 rpm: write S2900, or spindle override 90 %"),
        "{says}"
    );
    let same = line(&against_s3200(SpeedSetBy::Program, 3200.0));
    assert!(same.says.unwrap_or_default().contains("T1, S3200, F to"));
}

#[test]
fn a_second_side_takes_the_stock_along_and_asks_for_the_datum() {
    let session = ready(&plate(), second(10));
    let mut desk = Desk::new(80, 24);
    desk.open(session.state().clone());
    walk::to_step(&mut desk, Step::Program);
    choose(&mut desk, &Act::AddSide);
    assert_eq!(desk.state().setups.len(), 2);
    // The first side is still held: the work stays there.
    assert_eq!(desk.state().setup, 0);
    let side = &desk.state().setups[1];
    assert_eq!(side.title, "second side");
    let stock = side.stock.as_ref().expect("it is carried over");
    assert_eq!(stock.x, Typed::mm(120.0));
    assert_eq!(stock.under, Under::Unknown);
    assert!(side.zero.is_none() && side.holding.is_none() && side.z_reference.is_none());
    assert!(side.plan.contains("where X0 Y0 Z0 is on this side"));
    choose(&mut desk, &Act::EnterSetup(1));
    assert_eq!(desk.state().setup, 1);
    for kind in [FactKind::Stock, FactKind::XyZero, FactKind::ZReference] {
        assert!(!desk.state().fact(kind).is_good(), "{kind:?}");
    }
    // An empty side is not followed by another one.
    let rows = page::rows(&desk.model);
    let adds = |row: &Row| {
        matches!(
            row,
            Row::Do {
                act: Act::AddSide,
                ..
            }
        )
    };
    assert!(!rows.iter().any(adds));
    choose(&mut desk, &Act::EnterSetup(0));
    assert_eq!(desk.state().setup, 0);
    assert!(desk.state().fact(FactKind::Stock).is_good());
    assert!(
        !desk
            .other
            .iter()
            .any(|effect| matches!(effect, Effect::Quit))
    );
}

#[test]
fn a_job_without_deburring_is_offered_it_before_the_part_is_let_go() {
    let mut session = must(&plate(), Event::OperationRemoved(2), second(1));
    session = ready(&session, second(10));
    let mut desk = Desk::new(80, 24);
    desk.open(session.state().clone());
    walk::to_step(&mut desk, Step::Release);
    choose(&mut desk, &Act::AddDeburr);
    let operation: Option<&Operation> = desk.state().current_operation();
    let operation = operation.expect("it is in work");
    assert_eq!(
        (operation.title.as_str(), operation.kind),
        ("deburr", OperationKind::Bench)
    );
    assert_eq!(desk.state().step, Step::Cut);
    walk::to_step(&mut desk, Step::Release);
    assert!(!desk.page_text().contains("add it as an operation"));
}

#[test]
fn a_dry_run_that_is_done_leaves_nothing_open() {
    let mut desk = walk::demo(80, 24);
    walk::hold_and_zero(&mut desk);
    walk::tool_and_z(&mut desk);
    walk::to_step(&mut desk, Step::Air);
    let open = |desk: &Desk| -> Vec<String> {
        let rows = page::rows(&desk.model).into_iter();
        let waits = rows.filter_map(|row| match row {
            Row::Field {
                label,
                mark: Mark::Open | Mark::Redo,
                ..
            } => Some(label),
            _ => None,
        });
        waits.collect()
    };
    assert!(
        open(&desk).contains(&"Z raised by".to_owned()),
        "{}",
        desk.screen()
    );
    walk::to_field(&mut desk, Field::Raise);
    desk.keys("\r45\r");
    walk::to_step(&mut desk, Step::Air);
    walk::to_field(&mut desk, Field::PutBack);
    desk.keys("\r-11.9\r");
    assert!(
        desk.state().fact(FactKind::AirRun).is_good(),
        "{}",
        desk.screen()
    );
    walk::to_step(&mut desk, Step::Air);
    assert_eq!(open(&desk), Vec::<String>::new(), "{}", desk.screen());
    assert!(desk.screen().contains("45"), "{}", desk.screen());
}
