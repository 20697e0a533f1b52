//! Sessions compared by meaning: what counts as a difference, and what does not.

mod record_state;

use std::time::Duration;

use chrono::TimeDelta;
use proptest::prelude::any;
use proptest::prelude::proptest;

use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::Outcome;
use millside::job::reading::Reading;
use millside::job::typed::Typed;
use millside::record::compare::Comparison;
use millside::record::compare::compare;
use millside::session::clock::Clock;
use millside::session::clock::Spent;
use millside::session::matrix::Kept;
use millside::session::state::Note;
use millside::session::state::State;

use record_state::Dice;

/// The one row that differs, as `group | what | a | b`.
fn the_row(comparison: &Comparison) -> String {
    let rows: Vec<String> = comparison
        .groups
        .iter()
        .flat_map(|group| {
            group.rows.iter().map(|row| {
                let side = |side: &Option<String>| side.clone().unwrap_or("-".to_owned());
                format!(
                    "{} | {}: {} | {} | {}",
                    group.title,
                    row.place,
                    row.what,
                    side(&row.a),
                    side(&row.b)
                )
            })
        })
        .collect();
    rows.join("\n")
}

/// A session with one setup of two operations, on whatever machine the dice give.
fn plain_session() -> State {
    let mut state = Dice::new(42).state();
    state.setups.truncate(1);
    state.setup = 0;
    state.clocks.clear();
    let operation = |title: &str, kind| Operation {
        title: title.to_owned(),
        kind,
        estimate_s: Some(600.0),
        ..Operation::default()
    };
    state.setups[0].operations = vec![
        operation("seat", OperationKind::Pocket),
        operation("outside", OperationKind::Profile),
    ];
    for note in &mut state.notes {
        note.setup = 0;
    }
    for stop in &mut state.stops {
        stop.setup = 0;
    }
    let mut answers: Vec<_> = state.answers.iter().cloned().collect();
    for answered in &mut answers {
        answered.setup = 0;
    }
    state.answers = Kept::of(answers.into_iter().collect());
    state
}

fn clock(cutting_s: u64) -> Clock {
    Clock::stopped_at(Spent {
        cutting: Duration::from_secs(cutting_s),
        ..Spent::default()
    })
}

proptest! {
    #[test]
    fn a_session_is_the_same_as_itself(seed in any::<u64>()) {
        let state = Dice::new(seed).state();
        let comparison = compare(&state, &state);
        assert!(comparison.is_same(), "{}", the_row(&comparison));
    }

    #[test]
    fn two_different_sessions_differ_both_ways_alike(one in any::<u64>(), other in any::<u64>()) {
        let (a, b) = (Dice::new(one).state(), Dice::new(other).state());
        let (there, back) = (compare(&a, &b), compare(&b, &a));
        assert_eq!(there.is_same(), one == other);
        assert_eq!(there.is_same(), back.is_same());
    }
}

#[test]
fn names_and_times_of_day_are_no_difference() {
    let a = plain_session();
    let mut b = a.clone();
    b.head.session_id = "another".to_owned();
    b.head.job_id = "another job".to_owned();
    b.head.begun += TimeDelta::days(3);
    b.last_seen.wall += TimeDelta::days(3);
    let mut answers: Vec<_> = b.answers.iter().cloned().collect();
    for answered in &mut answers {
        answered.at += TimeDelta::days(3);
        answered.shown += Duration::from_secs(3);
        answered.version = "ffffffff".into();
    }
    b.answers = Kept::of(answers.into_iter().collect());
    for logged in &mut b.log {
        logged.at += TimeDelta::days(3);
    }
    for note in &mut b.notes {
        note.at += TimeDelta::days(3);
    }
    for stop in &mut b.stops {
        stop.at += TimeDelta::days(3);
    }
    for test in &mut b.return_tests {
        test.at += TimeDelta::days(3);
    }
    assert_ne!(a, b);
    assert_eq!(the_row(&compare(&a, &b)), "");
}

/// One change made to a session, and the one row that it gives.
type Case = (fn(&mut State), &'static str);

#[test]
fn each_change_gives_one_row_with_its_place_and_both_values() {
    let cases: &[Case] = &[
        (|s| s.machine.axes.x.travel_mm.value += 0.0, ""),
        (
            |s| s.setups[0].title = "other side".to_owned(),
            "setup 1 | : title | top | other side",
        ),
        (
            |s| s.setups[0].raised = Some(Typed::new("1 in", 25.4)),
            "setup 1 | : raised | 25 mm | 1 in",
        ),
        (
            |s| s.setups[0].operations[0].kind = OperationKind::Slot,
            "recipes | seat: kind | pocket | slot",
        ),
        (
            |s| {
                s.setups[0].operations[0].outcome = Some(Outcome {
                    rating: 2,
                    remark: String::new(),
                });
            },
            "outcomes | seat: rating | 4 of 5 | 2 of 5",
        ),
        (
            |s| {
                s.setups[0].readings[0].actual = Some(Typed::mm(22.04));
            },
            "readings | bore: actual | 22.01 mm | 22.04 mm\n\
             readings | bore: verdict | within | 0.02 mm too much cut",
        ),
        (
            |s| {
                s.notes.push(Note {
                    at: s.last_seen.wall,
                    setup: 0,
                    operation: 1,
                    text: "sang".to_owned(),
                });
            },
            "notes | outside: note | - | sang",
        ),
        (
            |s| {
                s.clocks.insert((0, 1), clock(660));
            },
            "time | outside: cutting | 10:00 | 11:00\ntime | together: cutting | 10:00 | 11:00",
        ),
        (
            |s| {
                s.setups[0].operations.pop();
                s.clocks.clear();
                s.clocks.insert((0, 0), clock(600));
            },
            "operations | outside: operation | profile | -\n\
             time | seat: cutting | 0:00 | 10:00\n\
             time | outside: estimate | 10:00 | -\n\
             time | outside: cutting | 10:00 | 0:00\n\
             time | together: estimate | 20:00 | 10:00",
        ),
    ];
    let mut a = plain_session();
    a.notes.clear();
    a.stops.clear();
    a.setups[0].title = "top".to_owned();
    a.setups[0].raised = Some(Typed::new("25 mm", 25.0));
    a.setups[0].operations[0].outcome = Some(Outcome {
        rating: 4,
        remark: String::new(),
    });
    a.setups[0].readings = vec![Reading {
        what: "bore".to_owned(),
        nominal: Typed::mm(22.0),
        upper: Typed::mm(0.02),
        lower: Typed::mm(0.0),
        actual: Some(Typed::mm(22.01)),
        of: millside::job::reading::Of::Inside,
        gauge: None,
        reads: vec![],
        made_by: None,
    }];
    a.clocks.insert((0, 1), clock(600));
    for (change, row) in cases {
        let mut b = a.clone();
        change(&mut b);
        assert_eq!(the_row(&compare(&a, &b)), *row);
    }
}

#[test]
fn the_percentage_is_of_the_first_session() {
    let mut a = plain_session();
    let mut b = a.clone();
    a.clocks.insert((0, 0), clock(600));
    b.clocks.insert((0, 0), clock(450));
    let comparison = compare(&a, &b);
    let change = comparison.groups[0].rows[0].change.as_ref().unwrap();
    assert_eq!((change.amount, change.unit.as_str()), (-150.0, "s"));
    assert!((change.percent.unwrap() + 25.0).abs() < 1e-9, "-150 of 600");
}

#[test]
fn a_length_in_another_unit_is_no_difference() {
    let mut a = plain_session();
    let mut b = a.clone();
    a.setups[0].raised = Some(Typed::new("1 in", 25.4));
    b.setups[0].raised = Some(Typed::new("25.4 mm", 25.4));
    assert!(compare(&a, &b).is_same());
}

#[test]
fn a_tool_exchanged_under_the_same_number_is_shown_as_a_change_of_that_tool() {
    let mut dice = Dice::new(1);
    let mut a = loop {
        let state = dice.state();
        if !state.rack.is_empty() {
            break state;
        }
    };
    a.rack.truncate(1);
    a.rack[0].number = Some(2);
    a.rack[0].tool.title = "6 mm, 2 flutes".to_owned();
    for setup in &mut a.setups {
        for operation in &mut setup.operations {
            operation.tool = None;
        }
    }
    let mut b = a.clone();
    b.rack[0].tool.title = "6 mm, 1 flute".to_owned();
    b.rack[0].tool.name = "another-name".to_owned();
    let rows = the_row(&compare(&a, &b));
    assert!(
        rows.contains("tools | 6 mm, 2 flutes: title | 6 mm, 2 flutes | 6 mm, 1 flute"),
        "{rows}"
    );
    assert!(!rows.contains("| -"), "{rows}");
}
