//! A session saved after any event and opened again stands exactly where it stopped.

#[path = "support/session.rs"]
mod support;

use std::time::Duration;

use proptest::collection::vec;
use proptest::prelude::any;
use proptest::proptest;
use proptest::test_runner::Config;

use millside::job::mishap::ADVICE;
use millside::job::operation::Outcome;
use millside::job::typed::Typed;
use millside::record::compare::compare;
use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::matrix::MATRIX;
use millside::session::moment::Moment;
use millside::session::state::State;
use millside::session::state::Step;

use support::plate_with_program;
use support::ready;
use support::second;

fn reopen(state: &State, at: Moment) -> State {
    let text = write::text(state);
    let back = match read::state(&text, state.cautions.clone(), at) {
        Ok(back) => back,
        Err(error) => panic!("{error}\n{text}"),
    };
    assert_eq!(write::text(&back), text);
    back
}

fn stands_the_same(state: &State, at: Moment) {
    let back = reopen(state, at);
    assert_eq!(gate::obstacles(&back), gate::obstacles(state));
    for kind in ListKind::ALL {
        assert_eq!(gate::list(&back, kind), gate::list(state, kind));
    }
    let same = compare(state, &back);
    assert!(same.is_same(), "{same:?}");
    assert_eq!(back.facts, state.facts);
    assert_eq!(back.last_seen.wall, state.last_seen.wall);
    let counted = |state: &State| {
        let clocks = state.clocks.iter();
        clocks
            .map(|(place, clock)| (*place, clock.phase(), clock.read(state.last_seen)))
            .collect::<Vec<_>>()
    };
    assert_eq!(counted(&back), counted(state));
}

/// An event out of two numbers; many of them are refused, as many keys are.
fn event(session: &Session, which: u8, pick: u8) -> Event {
    let state = session.state();
    let pick = usize::from(pick);
    match which % 14 {
        0 => Event::CutBegan {
            ago: Duration::ZERO,
        },
        1 => Event::ClockTurned([Phase::Cutting, Phase::Waiting, Phase::Paused][pick % 3]),
        2 => Event::Happened(MATRIX[pick % MATRIX.len()].what),
        3 => Event::StopNoted {
            mishap: ADVICE[pick % ADVICE.len()].mishap,
            words: "it squealed\nand stood".to_owned(),
        },
        4 => Event::Noted(format!("note {pick}: Ø6, \"dry\"\nand loud")),
        5 => Event::Finished,
        6 => Event::LeftOut("no time".to_owned()),
        7 => {
            let kind = ListKind::ALL[pick % 4];
            let lines = gate::list(state, kind).lines;
            let line = lines.get(pick % lines.len().max(1));
            Event::Answered {
                list: kind,
                line: line.map_or("none".to_owned(), |line| line.id.clone()),
                answer: if pick.is_multiple_of(3) {
                    Answer::NotSo("loose".to_owned())
                } else {
                    Answer::So
                },
                shown: Duration::from_millis(pick as u64 * 37),
            }
        }
        8 => Event::ReturnTested {
            touches_mm: [vec![pick as f64 / 1000.0; 3], vec![-0.02; 3], vec![]],
        },
        9 => Event::StepEntered(Step::RAIL[pick % Step::RAIL.len()]),
        10 => Event::Rated(
            pick % 3,
            Outcome {
                rating: 1 + (pick % 5) as u8,
                remark: "as said".to_owned(),
            },
        ),
        11 => Event::ToolSwapped {
            to: pick % state.rack.len().max(1),
            reason: "blunt".to_owned(),
            recipe: None,
        },
        12 => Event::AirRunMade(Typed::new("1 in", 25.4)),
        _ => Event::GapExplained(Some(Phase::Paused)),
    }
}

proptest! {
    #![proptest_config(Config::with_cases(60))]

    #[test]
    fn a_session_saved_after_any_event_stands_where_it_stopped(
        steps in vec((any::<u8>(), any::<u8>(), 0..700_u64), 1..25)
    ) {
        let mut session = ready(&plate_with_program(), second(100));
        let mut now = 200;
        for (which, pick, wait) in steps {
            now += wait;
            if let Ok(next) = session.apply(event(&session, which, pick), second(now)) {
                session = next;
            }
            stands_the_same(session.state(), second(now));
        }
    }
}

#[test]
fn a_session_cut_off_while_cutting_waits_and_asks_what_happened_since() {
    let session = ready(&plate_with_program(), second(100));
    let begun = Event::CutBegan {
        ago: Duration::ZERO,
    };
    let session = session.apply(begun, second(200)).unwrap();
    let session = session.apply(Event::Looked, second(290)).unwrap();
    // The terminal was closed; the sign of life says 30 s later, and it is opened an hour on.
    let at = Moment {
        wall: session.state().last_seen.wall + chrono::TimeDelta::seconds(3600),
        mono: Duration::from_secs(5),
    };
    let session = Session::new(reopen(session.state(), at));
    let session = session
        .apply(
            Event::Reopened {
                alive_s: 30.0,
                away_s: 3570.0,
            },
            at,
        )
        .unwrap();
    let state = session.state();
    assert_eq!(state.phase(), Some(Phase::Waiting));
    let clock = state.clock().unwrap();
    assert_eq!(
        clock.read(at).cutting,
        Duration::from_secs(120),
        "90 s and the 30 s of life"
    );
    let (gap, phase) = state.gap.unwrap();
    assert_eq!((gap.seconds, phase), (3570.0, Phase::Cutting));
    stands_the_same(state, at);
    // A record saved with the question open asks it again.
    let again = reopen(state, at);
    assert_eq!(again.gap.map(|(gap, _)| gap.seconds), Some(3570.0));
}
