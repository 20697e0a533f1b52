//! Screws that hold the part: their heads are entered, the check keeps the tool out of them, and the dry run goes over them.

#[path = "support/plate.rs"]
mod on_the_plate;
mod support;

use millside::app::checking;
use millside::cli::check::given;
use millside::job::head;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::job::holding::ScrewHead;
use millside::job::typed::Typed;
use millside::session::Session;
use millside::session::air;
use millside::session::event::Event;
use millside::session::state::State;

use on_the_plate::examine;
use on_the_plate::find;
use on_the_plate::plate;
use support::session::plate_with_program;
use support::session::ready;
use support::session::second;

/// The plate of 120 x 90 x 12 mm, Z0 on top, its program 12 mm deep.
fn held_by_screws(heads: &[ScrewHead]) -> Session {
    let mut state: State = ready(&plate_with_program(), second(10)).state().clone();
    let program = state.setups[0].program.as_mut().expect("a program");
    program.lowest_z_mm = Some(-12.0);
    for operation in &mut state.setups[0].operations[1..] {
        operation.progress = millside::job::operation::Progress::LeftOut;
    }
    let holding = Holding {
        pull_n: None,
        rest_after_s: None,
        by: HeldBy::Screws,
        out_of_true: None,
        keep_outs: vec![],
        screws: heads.to_vec(),
    };
    state.setups[0].holding = Some(holding);
    Session::new(state)
}

fn m5() -> ScrewHead {
    head::understood(&["12", "15", "M5"]).expect("a head")
}

// ISO 4762, table 1: head of M5 8.72 mm at most (knurled), 5 mm high.
#[test]
fn a_thread_proposes_the_head_of_the_standard_and_own_figures_are_taken() {
    assert_eq!((m5().diameter, m5().height), (8.72, 5.0));
    let own = head::understood(&["12", "15", "14", "3.5"]).expect("a head");
    assert_eq!((own.diameter, own.height), (14.0, 3.5));
    for wrong in [
        &["12", "15"][..],
        &["12", "15", "M7"],
        &["12", "15", "0", "5"],
        &["12", "15", "8", "-1"],
    ] {
        assert!(head::understood(wrong).is_err(), "{wrong:?}");
    }
}

// 12 mm of depth, 5 mm of head and 1 mm of clearance make 18.
#[test]
fn the_dry_run_goes_over_the_highest_head() {
    let low = ScrewHead {
        height: 2.0,
        ..m5()
    };
    let session = held_by_screws(&[low, m5()]);
    let (least, over) = air::least_raise(session.state());
    assert_eq!(least, 18.0);
    assert!(over.words().contains("screw head"), "{}", over.words());
    let raised = |mm: f64| session.apply(Event::AirRunMade(Typed::mm(mm)), second(20));
    assert!(raised(18.0).unwrap_err().why.contains("screw head"));
    assert!(raised(18.1).is_ok());
}

#[test]
fn heads_that_nobody_stated_are_said_and_asked_for() {
    let session = held_by_screws(&[]);
    let why = session
        .apply(Event::AirRunMade(Typed::mm(100.0)), second(20))
        .unwrap_err()
        .why;
    assert!(why.contains("screw heads"), "{why}");
    let against = checking::against(session.state(), &[]);
    assert!(against.heads_unknown);
    let (_, report) = examine("G0 X60 Y45 Z5\n", &against);
    let words = "Not checked: screw heads unknown";
    let is_said = report.assumed.iter().any(|line| line.contains(words));
    assert!(is_said, "{:?}", report.assumed);
}

#[test]
fn a_head_is_a_zone_that_stands_above_the_blank_and_reaches_down_through_it() {
    let session = held_by_screws(&[m5()]);
    let against = checking::against(session.state(), &[]);
    let [zone] = against.keep_outs.as_slice() else {
        panic!("{:?}", against.keep_outs);
    };
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    assert!(near(zone.from[0], 12.0 - 4.36) && near(zone.to[1], 15.0 + 4.36));
    assert!(near(zone.height, 12.0 + 5.0));
}

// A head of 8.72 mm around X60 Y45 of 5 mm on a blank of 12 mm; Z0 is the top, the tool has a radius of 3 mm.
#[test]
fn rapids_and_cuts_that_enter_a_head_are_found_and_those_above_it_are_not() {
    let head = head::understood(&["60", "45", "M5"]).expect("a head");
    let against = millside::check::Against {
        keep_outs: vec![head.zone(12.0)],
        ..plate()
    };
    let finds = |body: &str| {
        let (_, report) = examine(body, &against);
        find(&report, "keep-out-entered").is_some()
    };
    // A rapid 4 mm above the blank meets the head, one 6 mm above does not.
    assert!(finds("G0 X10 Y45 Z4\nG0 X110\n"));
    assert!(!finds("G0 X10 Y45 Z6\nG0 X110\n"));
    // 60 - 4.36 - 3 = 52.64: a cut that stops before it is clear, one that goes on enters.
    assert!(!finds("G0 X10 Y45 Z10\nG1 Z-0.5 F300\nX52\nG0 Z10\n"));
    assert!(finds("G0 X10 Y45 Z10\nG1 Z-0.5 F300\nX54\nG0 Z10\n"));
    // Of the metal below the head, where the screw is, nothing is cut either.
    assert!(finds("G0 X60 Y10 Z10\nG1 Z-8 F100\nY45\nG0 Z10\n"));
}

#[test]
fn the_check_of_the_command_line_keeps_out_of_screws() {
    let home = tempfile::tempdir().expect("a folder");
    let file = home.path().join("across.nc");
    let text = "G21 G90 G17\nT1 M6 (end mill 6 mm)\nM3 S8000\nG0 X10 Y45 Z4\nG0 X110\nM30\n";
    std::fs::write(&file, text).expect("a file");
    let run = |screw: &str, stock: bool| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_millside"));
        command.arg("check").arg(&file).args(["--screw", screw]);
        if stock {
            command.args(["--stock", "120x90x12", "--zero", "left-front-top"]);
        }
        let output = command.env("XDG_DATA_HOME", home.path()).output();
        let output = output.expect("the program runs");
        let both = [output.stdout, output.stderr].concat();
        String::from_utf8(both).expect("text")
    };
    assert!(run("60,45,M5", true).contains("keep-out"));
    assert!(!run("60,80,M5", true).contains("keep-out"));
    assert!(run("?", true).contains("screw heads unknown"));
    assert!(run("60,45,M5", false).contains("State --stock"));
}

#[test]
fn the_command_line_takes_a_screw_as_the_screen_does() {
    let stated = given::screw_or_unknown("12,15,M5").expect("a screw");
    assert_eq!(stated.0, Some(m5()));
    assert_eq!(given::screw_or_unknown("?").expect("unknown").0, None);
}

// 8 mm of the tool stand out: at 6 mm below the top the holder ends 2 mm above it, and the head is 5 mm high.
#[test]
fn a_holder_that_comes_down_beside_a_head_is_warned_of() {
    let head = head::understood(&["60", "45", "M5"]).expect("a head");
    let with = |stick_out_mm: f64| millside::check::Against {
        keep_outs: vec![head.zone(12.0)],
        tools: vec![(
            1,
            millside::check::against::ToolFacts {
                diameter_mm: Some(6.0),
                stick_out_mm: Some(stick_out_mm),
                ..millside::check::against::ToolFacts::default()
            },
        )],
        ..plate()
    };
    let beside = "G0 X20 Y45 Z10\nG1 Z-6 F100\nX50 F300\nG0 Z10\n";
    let (_, report) = examine(beside, &with(8.0));
    assert!(find(&report, "keep-out-entered").is_none());
    let finding = find(&report, "holder-near-keep-out").expect("found");
    assert_eq!(finding.line, 6);
    let (_, report) = examine(beside, &with(20.0));
    assert!(find(&report, "holder-near-keep-out").is_none());
}
