//! What the record tells of the work: times beside their estimates, what was no cutting, and operations that stay apart.
//! The sums are derived by hand.

mod support;

use std::time::Duration;

use millside::app::message::ProgramRead;
use millside::app::new_job;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::ProgramPart;
use millside::job::recipe::Recipe;
use millside::program::options::ReadOptions;
use millside::program::read;
use millside::record;
use millside::record::summary::Summary;
use millside::record::write;
use millside::session::Session;
use millside::session::care_log;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::recipe;
use support::session::second;
use support::walk;

/// Two pieces of work with one end mill of 6 mm, then a drill.
const ONE_TOOL: &str = "(BASE PLATE)
G21 G90 G54
T1 M6
S9000 M3
(POCKET THE SEAT)
G0 X0 Y0 Z5
G1 Z-1 F100
X20 F500
Y20
G0 Z5
(OUTSIDE PROFILE)
G0 X-40 Y-30
G1 Z-2 F100
X40 F500
Y30
G0 Z5
T2 M6
(DRILL)
S3000 M3
G0 X10 Y10
G81 Z-6 R2 F80
G80
M30
";

fn read_program(text: &str) -> ProgramRead {
    let options = ReadOptions {
        keep_steps: 1000,
        ..ReadOptions::default()
    };
    ProgramRead {
        file: "plate.nc".to_owned(),
        is_built_in: false,
        summary: read::read(text.as_bytes(), &options).expect("memory can be read"),
    }
}

/// The clamps of a plate change places, for 120 s.
fn swapped() -> Session {
    let swap = Operation {
        title: "swap the clamps".to_owned(),
        kind: OperationKind::ClampSwap,
        ..Operation::default()
    };
    let session = must(
        &plate(),
        Event::OperationAdded(Some(0), Box::new(swap)),
        second(1),
    );
    let session = ready(&session, second(10));
    must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(10),
    )
}

#[test]
fn a_swap_of_clamps_is_neither_cutting_time_nor_an_hour_of_the_machine() {
    let session = swapped();
    assert_eq!(session.state().phase(), Some(Phase::Hands));
    let waits = must(&session, Event::ClockTurned(Phase::Waiting), second(70));
    let spent = waits.state().clocks[&(0, 0)].read(second(80));
    assert_eq!(spent.cutting, Duration::ZERO);
    assert_eq!(spent.hands, Duration::from_secs(60));
    let done = must(&session, Event::Finished, second(130));
    let spent = done.state().clocks[&(0, 0)].read(second(500));
    assert_eq!(
        (spent.cutting.as_secs(), spent.hands.as_secs()),
        (0, 120),
        "{spent:?}"
    );
    assert_eq!(Summary::of(done.state()).spent.cutting, Duration::ZERO);
    let hours = care_log::missing(&[], done.state());
    assert!(
        hours
            .iter()
            .all(|entry| !matches!(entry.kind, care_log::Kind::Cut(_))),
        "{hours:?}"
    );
    let text = write::text(done.state());
    assert!(text.contains("clock = { hands = \"120 s\" }"), "{text}");
}

#[test]
fn a_record_that_counted_a_swap_as_cutting_is_read_as_work_by_hand() {
    let done = must(&swapped(), Event::Finished, second(130));
    let old = write::text(done.state()).replace("hands = \"120 s\"", "cutting = \"120 s\"");
    let state = record::read::state(&old, done.state().cautions.clone(), second(600))
        .expect("it can be read");
    let spent = state.clocks[&(0, 0)].read(second(600));
    assert_eq!((spent.cutting.as_secs(), spent.hands.as_secs()), (0, 120));
}

/// An operation of 200 s, 150 s of them fed, at an override.
fn fed(percent: Option<f64>) -> Operation {
    Operation {
        title: "pocket".to_owned(),
        kind: OperationKind::Pocket,
        part: Some(ProgramPart {
            first_line: 1,
            last_line: 9,
            tool_number: Some(1),
            s_rpm: Some(9000.0),
            feeds_mm_min: vec![500.0],
            lowest_z_mm: Some(-1.0),
        }),
        estimate_s: Some(200.0),
        feed_s: Some(150.0),
        is_timed: true,
        recipe: Some(Recipe {
            override_percent: percent,
            ..recipe()
        }),
        ..Operation::default()
    }
}

// By hand: 50 s are rapids and dwells, 150 s are fed. At 60 % these take 150 / 0.6 = 250 s, in all 300 s; at 50 % 50 + 300 = 350 s.
#[test]
fn the_estimate_follows_the_override_and_leaves_rapids_alone() {
    let now = |percent| fed(percent).estimate_now_s();
    assert_eq!(now(None), Some(200.0));
    assert_eq!(now(Some(100.0)), Some(200.0));
    assert_eq!(now(Some(60.0)).map(f64::round), Some(300.0));
    assert_eq!(now(Some(50.0)), Some(350.0));
    // Where nobody knows what is fed, all of it is: 200 / 0.5.
    let unknown = Operation {
        feed_s: None,
        ..fed(Some(50.0))
    };
    assert_eq!(unknown.estimate_now_s(), Some(400.0));
}

// By hand: 600 mm at 600 mm/min are 60 s; a dwell of 10 s is not fed. At half the feed the line takes 120 s.
#[test]
fn what_the_override_stretches_is_taken_from_the_program() {
    let text = "G21 G90\nT1 M6\nS9000 M3\nG0 X0 Y0 Z1\nG1 Z0 F600\nX600\nG4 P10\nM30\n";
    let read = read_program(text);
    let mut operations = new_job::operations(&read.summary, &|_| None);
    let untimed = operations[0].feed_s.expect("it is known");
    assert!((untimed - 60.1).abs() < 0.01, "{untimed}");
    let machine = plate().state().machine.clone();
    new_job::time_on(&mut operations, &read.summary, &machine);
    let fed = operations[0].feed_s.expect("it is known");
    // Acceleration takes its share off: the ends of the line are no faster at full feed.
    assert!((58.0..=60.2).contains(&fed), "{fed}");
    assert!(operations[0].estimate_s.is_some_and(|all| all > fed + 9.0));
}

#[test]
fn the_list_of_operations_has_the_time_at_work_beside_the_estimate() {
    let mut desk = walk::cutting(120, 40, 100);
    let percent = desk
        .state()
        .current_operation()
        .and_then(Operation::slowed_to_percent);
    desk.keys("91");
    walk::to_step(&mut desk, Step::Program);
    let page = desk.page_text();
    let row = page.lines().find(|line| line.starts_with("1 "));
    let row = row.unwrap_or_default();
    assert!(row.contains(", 1:4"), "{page}");
    assert!(row.contains(" of about "), "{page}");
    if let Some(percent) = percent {
        assert!(row.contains(&format!("{percent:.0} % override")), "{row}");
    }
}

#[test]
fn the_list_of_jobs_has_the_cutting_time_beside_the_estimate_of_open_and_finished_jobs() {
    let mut desk = Desk::new(120, 40);
    desk.jobs = walk::jobs();
    let jobs = desk.jobs.clone();
    desk.send(millside::app::message::Message::JobsListed(Ok(jobs)));
    let page = desk.page_text();
    // 1510 s are 25:10, 1410 s are 23:30.
    for title in ["Star-tracker base plate", "Lamp bracket"] {
        let row = page.lines().find(|line| line.starts_with(title));
        assert!(
            row.is_some_and(|row| row.contains("cut 25:10 of 23:30")),
            "{page}"
        );
    }
}

#[test]
fn a_pocket_and_a_profile_with_one_tool_stay_two_operations() {
    let read = read_program(ONE_TOOL);
    let operations = new_job::operations(&read.summary, &|_| None);
    let told: Vec<_> = operations
        .iter()
        .map(|operation| {
            let part = operation.part.as_ref().expect("it runs a part");
            (
                operation.title.as_str(),
                operation.kind,
                part.tool_number,
                part.lowest_z_mm,
                (part.first_line, part.last_line),
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            (
                "POCKET THE SEAT",
                OperationKind::Pocket,
                Some(1),
                Some(-1.0),
                (3, 10)
            ),
            (
                "OUTSIDE PROFILE",
                OperationKind::Profile,
                Some(1),
                Some(-2.0),
                (11, 16)
            ),
            ("DRILL", OperationKind::Drill, Some(2), Some(-6.0), (17, 23)),
        ]
    );
    // Passes of one pocket are one operation.
    let passes = ONE_TOOL.replace("(OUTSIDE PROFILE)", "(POCKET, LAYER 2)");
    let operations = new_job::operations(&read_program(&passes).summary, &|_| None);
    assert_eq!(operations.len(), 2);
}
