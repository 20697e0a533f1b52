//! The gate: what keeps the clock off, and what an event asks for again.

#[path = "support/session.rs"]
mod support;

use std::time::Duration;

use millside::job::mishap::Mishap;
use millside::job::operation::Progress;
use millside::job::typed::Typed;
use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::fact::FactState;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::matrix::Happening;
use millside::session::matrix::MATRIX;
use millside::session::state::ProgramCopy;
use millside::session::state::StopFinding;

use support::answers_by_list;
use support::at;
use support::must;
use support::plate;
use support::plate_with_program;
use support::ready;
use support::recipe;
use support::second;

fn begin(ago_s: u64) -> Event {
    Event::CutBegan {
        ago: Duration::from_secs(ago_s),
    }
}

#[test]
fn a_fresh_session_cannot_begin_and_says_how_much_is_open() {
    let session = plate();
    let refusal = session.apply(begin(0), second(1)).unwrap_err();
    assert!(refusal.why.contains("open"), "{}", refusal.why);
    assert_eq!(session.state().phase(), None);
}

#[test]
fn when_nothing_is_open_the_clock_can_be_turned_on() {
    let session = ready(&plate(), second(10));
    assert_eq!(gate::obstacles(session.state()), []);
    let session = must(&session, begin(0), second(20));
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    let first = &session.state().current_setup().operations[0];
    assert_eq!(first.progress, Progress::Begun);
}

#[test]
fn each_happening_of_the_matrix_withdraws_just_what_its_row_says() {
    for row in MATRIX {
        let before = ready(&plate_with_program(), second(10));
        let after = must(&before, Event::Happened(row.what), second(20));
        for kind in FactKind::ALL {
            let was = before.state().fact(kind);
            assert!(was.is_good(), "{kind:?} before {}", row.id);
            let is = after.state().fact(kind);
            if row.what.withdraws().contains(&kind) {
                let expected = FactState::Redo {
                    since: second(20).wall,
                    what: row.what,
                };
                assert_eq!(is, expected, "{kind:?} after {}", row.id);
            } else {
                assert_eq!(is, was, "{kind:?} after {}", row.id);
            }
        }
        let stands = answers_by_list(&after)
            .get(&ListKind::Start)
            .copied()
            .unwrap_or(0);
        if row.reopens_list() {
            // That the spindle is dead stays answered by a change of tool: it came just before.
            let kept = usize::from(row.what == Happening::ToolChanged);
            assert_eq!(stands, kept, "start list after {}", row.id);
        }
    }
}

#[test]
fn a_happening_while_it_cuts_lets_the_clock_wait() {
    for what in [
        Happening::AxisBound,
        Happening::ToolBroke,
        Happening::HandsIn,
    ] {
        let session = must(&ready(&plate(), second(10)), begin(0), second(20));
        let session = must(&session, Event::Happened(what), second(30));
        assert_eq!(session.state().phase(), Some(Phase::Waiting), "{what:?}");
        assert!(
            session
                .apply(Event::ClockTurned(Phase::Cutting), second(40))
                .is_err()
        );
    }
}

#[test]
fn an_axis_that_bound_asks_for_position_and_zeros_again() {
    let session = must(&ready(&plate(), second(10)), begin(0), second(20));
    let noted = Event::StopNoted {
        mishap: Mishap::AxisBound,
        words: "Y stuck".to_owned(),
    };
    let session = must(&session, noted, second(30));
    for kind in [
        FactKind::Position,
        FactKind::XyZero,
        FactKind::ZReference,
        FactKind::ToolLength,
    ] {
        assert!(
            matches!(session.state().fact(kind), FactState::Redo { .. }),
            "{kind:?}"
        );
    }
    assert_eq!(session.state().stops[0].after_cutting_s, 10);
    // Homing and touching again opens the gate again.
    let session = ready(&session, second(60));
    let session = must(&session, Event::ClockTurned(Phase::Cutting), second(70));
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
}

#[test]
fn a_return_test_restores_what_the_matrix_lets_it_and_nothing_more() {
    let lost = |what: Happening| {
        let session = ready(&plate(), second(10));
        let session = must(&session, Event::Happened(what), second(20));
        let tested = Event::ReturnTested {
            touches_mm: [vec![0.01; 3], vec![-0.02; 3], vec![0.0; 3]],
        };
        must(&session, tested, second(30))
    };
    let after_stop = lost(Happening::EmergencyStop);
    assert!(after_stop.state().fact(FactKind::XyZero).is_good());
    assert!(after_stop.state().fact(FactKind::Position).is_good());
    let after_binding = lost(Happening::AxisBound);
    assert!(!after_binding.state().fact(FactKind::XyZero).is_good());
}

#[test]
fn a_large_error_at_the_check_point_takes_the_zero_away() {
    let session = ready(&plate(), second(10));
    let tested = Event::ReturnTested {
        touches_mm: [vec![0.24; 3], vec![0.0; 3], vec![]],
    };
    let session = must(&session, tested, second(20));
    assert!(matches!(
        session.state().fact(FactKind::XyZero),
        FactState::Redo { .. }
    ));
    assert!(!session.state().return_tests[0].kept_zero);
}

#[test]
fn a_point_is_touched_three_times_and_touches_that_scatter_keep_no_zero() {
    let session = ready(&plate(), second(10));
    let tested = |x: &[f64]| Event::ReturnTested {
        touches_mm: [x.to_vec(), vec![0.0; 3], vec![]],
    };
    let refused = session.apply(tested(&[0.0, 0.01]), second(20)).unwrap_err();
    assert!(
        refused.why.contains("X has 2 of 3 touches"),
        "{}",
        refused.why
    );
    let close = must(&session, tested(&[0.009, 0.011, 0.01]), second(20));
    assert!(close.state().fact(FactKind::XyZero).is_good());
    // Four full steps are 0.08 mm here; the mean is 0.01 mm, but a scatter of 0.03 mm hides such a step.
    let scattered = must(&session, tested(&[-0.02, 0.01, 0.04]), second(20));
    assert!(!scattered.state().fact(FactKind::XyZero).is_good());
}

#[test]
fn a_reading_of_z_that_is_wrong_is_refused_and_the_gate_stays_closed() {
    let session = must(
        &ready(&plate(), second(10)),
        Event::Happened(Happening::ToolSlipped),
        second(20),
    );
    let session = support::answer_at_spindle(&session, second(25));
    let refusal = session
        .apply(Event::LengthSet(Typed::mm(-10.0)), second(30))
        .unwrap_err();
    assert!(refusal.why.contains("-11.9"), "{}", refusal.why);
    assert!(!session.state().fact(FactKind::ToolLength).is_good());
}

#[test]
fn not_so_holds_the_gate_and_keeps_the_words() {
    let session = ready(&plate(), second(10));
    let event = Event::Answered {
        list: ListKind::Start,
        line: "work-tight".to_owned(),
        answer: Answer::NotSo("left clamp loose".to_owned()),
        shown: Duration::from_secs(3),
    };
    let session = must(&session, event, second(20));
    assert!(session.apply(begin(0), second(30)).is_err());
    assert!(!session.state().fact(FactKind::Held).is_good());
    let empty = Event::Answered {
        list: ListKind::Start,
        line: "work-tight".to_owned(),
        answer: Answer::NotSo("  ".to_owned()),
        shown: Duration::from_secs(3),
    };
    assert!(session.apply(empty, second(40)).is_err());
}

#[test]
fn a_stop_finding_closes_the_gate_until_it_is_accepted_with_a_reason() {
    let copy = ProgramCopy {
        file: "plate.nc".to_owned(),
        is_built_in: false,
        sha256: "0".repeat(64),
        bytes: 100,
        stops: vec![StopFinding {
            id: "off-the-blank line 12".to_owned(),
            message: "runs 7 mm off the blank".to_owned(),
            accepted: None,
        }],
        warnings: 0,
        notes: 0,
        time_s: None,
        lowest_z_mm: None,
        tops: vec![],
    };
    let session = must(&plate(), Event::ProgramRead(Box::new(copy)), second(1));
    let session = ready(&session, second(10));
    assert!(session.apply(begin(0), second(20)).is_err());
    let accept = |reason: &str| Event::StopAccepted {
        finding: "off-the-blank line 12".to_owned(),
        reason: reason.to_owned(),
    };
    assert!(session.apply(accept(" "), second(21)).is_err());
    let session = must(&session, accept("the overrun is air"), second(22));
    let session = must(&ready(&session, second(23)), begin(0), second(24));
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
}

#[test]
fn the_same_operation_waits_for_hands_and_full_speed_after_a_pause_for_chips() {
    let session = must(&ready(&plate(), second(10)), begin(0), second(20));
    let session = must(&session, Event::ClockTurned(Phase::Waiting), second(30));
    let open: Vec<String> = gate::list(session.state(), ListKind::Start)
        .lines
        .into_iter()
        .filter(|line| line.state != gate::LineState::Answered)
        .map(|line| line.id)
        .collect();
    assert_eq!(open, ["hands-bare-out", "spindle-before-feed"]);
}

#[test]
fn a_list_older_than_ten_minutes_is_asked_again() {
    let session = ready(&plate(), second(10));
    let session = must(&session, Event::Looked, second(10 + 590));
    assert_eq!(gate::obstacles(session.state()), []);
    let session = must(&session, Event::Looked, second(10 + 610));
    assert!(session.apply(begin(0), second(10 + 611)).is_err());
}

#[test]
fn sleep_while_the_clock_is_on_must_be_explained_before_the_cut_goes_on() {
    let session = must(&ready(&plate(), second(10)), begin(0), second(20));
    // Ten seconds of the monotonic clock, half an hour of the wall.
    let session = must(&session, Event::Looked, at(20 + 1800, 30));
    let (gap, phase) = session.state().gap.expect("a gap");
    assert_eq!((gap.seconds.round(), phase), (1790.0, Phase::Cutting));
    let session = must(
        &session,
        Event::GapExplained(Some(Phase::Paused)),
        at(20 + 1810, 40),
    );
    let spent = session
        .state()
        .clock()
        .expect("a clock")
        .read(at(20 + 1810, 40));
    assert_eq!(
        (spent.cutting.as_secs(), spent.paused.as_secs()),
        (20, 1790)
    );
}

#[test]
fn the_part_is_not_let_go_before_each_size_is_measured_or_left_out() {
    use millside::job::reading::Reading;
    let size = Reading {
        what: "bearing seat".to_owned(),
        nominal: Typed::mm(32.0),
        upper: Typed::mm(0.025),
        lower: Typed::mm(0.0),
        actual: None,
        of: millside::job::reading::Of::Inside,
        gauge: None,
        reads: vec![],
        made_by: None,
    };
    let session = must(
        &ready(&plate(), second(10)),
        Event::SizeStated(None, Box::new(size)),
        second(11),
    );
    let session = support::answer_all(&session, ListKind::Power, second(12));
    assert!(session.apply(Event::LetGo, second(13)).is_err());
    let measured = must(&session, Event::Measured(0, Typed::mm(32.01)), second(14));
    let measured = support::answer_all(&measured, ListKind::Release, second(15));
    let gone = must(&measured, Event::LetGo, second(16));
    for kind in [FactKind::XyZero, FactKind::ZReference, FactKind::Held] {
        assert!(
            matches!(gone.state().fact(kind), FactState::Redo { .. }),
            "{kind:?}"
        );
    }
    assert!(gone.apply(begin(0), second(17)).is_err());
}

#[test]
fn a_change_of_tool_in_the_middle_keeps_both_recipes_and_asks_for_tool_length_and_recipe() {
    let session = must(&ready(&plate(), second(10)), begin(0), second(20));
    let mut slower = recipe();
    slower.n_rpm = 6000.0;
    let swap = |reason: &str| Event::ToolSwapped {
        to: 1,
        reason: reason.to_owned(),
        recipe: Some(Box::new(slower.clone())),
    };
    assert!(session.apply(swap(""), second(30)).is_err());
    let session = must(&session, swap("broke"), second(30));
    let change = &session.state().current_setup().operations[0].changes[0];
    assert_eq!(change.before.as_ref().map(|r| r.n_rpm), Some(9000.0));
    assert_eq!(change.after.as_ref().map(|r| r.n_rpm), Some(6000.0));
    assert_eq!(change.after_cutting_s, 10);
    for kind in [FactKind::ToolIn, FactKind::ToolLength, FactKind::Recipe] {
        assert!(!session.state().fact(kind).is_good(), "{kind:?}");
    }
    assert_eq!(session.state().phase(), Some(Phase::Waiting));
}

#[test]
fn no_list_of_a_start_is_longer_than_nine_lines() {
    let session = plate();
    let session = ready(&session, second(10));
    let lines = gate::list(session.state(), ListKind::Start).lines;
    assert!(
        lines.len() <= 9,
        "{:#?}",
        lines.iter().map(|l| &l.id).collect::<Vec<_>>()
    );
}

#[test]
fn z_is_raised_by_more_than_the_deepest_cut_or_not_at_all() {
    use millside::job::operation::Operation;
    use millside::job::operation::OperationKind;
    use millside::job::operation::ProgramPart;
    let through = Operation {
        title: "holes".to_owned(),
        kind: OperationKind::DrillThrough,
        part: Some(ProgramPart {
            first_line: 1,
            last_line: 9,
            tool_number: None,
            s_rpm: None,
            feeds_mm_min: vec![],
            lowest_z_mm: Some(-13.2),
        }),
        ..Operation::default()
    };
    let session = must(
        &plate(),
        Event::OperationAdded(None, Box::new(through)),
        second(1),
    );
    let session = ready(&session, second(10));
    // Zero on top: 13.2 mm down, and a millimetre of air.
    let refusal = session
        .apply(Event::AirRunMade(Typed::mm(13.0)), second(20))
        .unwrap_err();
    assert!(refusal.why.contains("14.2"), "{}", refusal.why);
    let raised = must(&session, Event::AirRunMade(Typed::mm(20.0)), second(20));
    assert!(
        !raised.state().fact(FactKind::AirRun).is_good(),
        "good only once Z is put back"
    );
    assert!(
        raised
            .apply(Event::PutBack(Typed::mm(8.1)), second(30))
            .is_err()
    );
    let back = must(&raised, Event::PutBack(Typed::mm(-11.9)), second(30));
    assert!(back.state().fact(FactKind::AirRun).is_good());
    assert!(back.state().fact(FactKind::ZReference).is_good());
}

// By hand: clamps 28 mm high beside a blank of 12 mm stand 28 - 12 = 16 mm above Z0 on its top; 16 + 13.2 + 1 = 30.2. With Z0 at the
// bottom the clamps stand 28 mm above it and the cut goes 1.2 mm below: 28 + 1.2 + 1 = 30.2 too. 10 mm high ones lie below the top.
#[test]
fn the_air_run_goes_over_the_highest_keep_out_and_to_the_line_where_clamps_change() {
    use millside::job::holding::HeldBy;
    use millside::job::holding::KeepOut;
    use millside::job::operation::Operation;
    use millside::job::operation::OperationKind;
    use millside::job::operation::ProgramPart;
    use millside::session::Session;
    use millside::session::air;
    let mut state = ready(&plate(), second(10)).state().clone();
    let setup = &mut state.setups[0];
    setup.operations[1].part = Some(ProgramPart {
        first_line: 1,
        last_line: 9,
        tool_number: None,
        s_rpm: None,
        feeds_mm_min: vec![],
        lowest_z_mm: Some(-13.2),
    });
    let holding = setup.holding.as_mut().expect("it is held");
    holding.by = HeldBy::Clamps;
    holding.keep_outs = [28.0, 20.0]
        .map(|height| KeepOut {
            from: [0.0, 31.0],
            to: [14.0, 59.0],
            height,
        })
        .to_vec();
    let near = |mm: f64, expected: f64| assert!((mm - expected).abs() < 1e-9, "{mm}");
    near(air::least_raise(&state).0, 30.2);
    assert_eq!(air::goes_to(&state), None);
    let session = Session::new(state.clone());
    let refusal = session
        .apply(Event::AirRunMade(Typed::mm(30.0)), second(20))
        .unwrap_err();
    assert!(
        refusal.why.contains("30.2 mm") && refusal.why.contains("keep-out, 16 mm above the blank"),
        "{}",
        refusal.why
    );
    must(&session, Event::AirRunMade(Typed::mm(31.0)), second(20));

    let zero = state.setups[0].zero.as_mut().expect("a zero");
    zero.point.height = millside::job::zero::Height::Bottom;
    state.setups[0].operations[1]
        .part
        .as_mut()
        .expect("a part")
        .lowest_z_mm = Some(-1.2);
    near(air::least_raise(&state).0, 30.2);
    for keep_out in &mut state.setups[0].holding.as_mut().expect("held").keep_outs {
        keep_out.height = 10.0;
    }
    near(air::least_raise(&state).0, 14.2);
    assert_eq!(air::least_raise(&state).1, air::Over::Blank);

    let swap = Operation {
        title: "screws in, clamps off".to_owned(),
        kind: OperationKind::ClampSwap,
        ..Operation::default()
    };
    state.setups[0].operations.insert(2, swap);
    let words = air::goes_to(&state).expect("they change");
    assert!(words.contains("goes to line 9:"), "{words}");
    assert!(words.contains("operation 3, screws in"), "{words}");
    state.setups[0].operations[2].progress = Progress::Finished;
    assert_eq!(air::goes_to(&state), None);
}

// Dowels locate and do not clamp: common practice, no source.
#[test]
fn the_line_of_the_holding_is_true_for_what_holds() {
    use millside::job::holding::HeldBy;
    use std::collections::BTreeSet;
    let mut state = ready(&plate(), second(10)).state().clone();
    let mut seen = BTreeSet::new();
    for by in HeldBy::ALL {
        state.setups[0].holding.as_mut().expect("it is held").by = by;
        let line = gate::list(&state, ListKind::Start)
            .lines
            .into_iter()
            .find(|line| line.id == "work-tight")
            .expect("it is asked");
        assert_eq!(line.text.contains("vice"), by == HeldBy::Vice, "{by:?}");
        assert_eq!(
            line.text.contains("do not hold down"),
            by == HeldBy::Dowels,
            "{by:?}"
        );
        assert!(line.text.chars().count() <= gate::LONGEST_LINE, "{by:?}");
        assert!(seen.insert(line.text), "{by:?}");
    }
    state.setups[0].holding = None;
    let line = gate::list(&state, ListKind::Start).lines;
    assert!(
        !line.iter().any(|line| line.text.contains("vice")),
        "{line:?}"
    );
}

#[test]
fn after_a_swap_of_clamps_the_holding_is_said_anew_and_looked_at_anew() {
    use millside::job::operation::Operation;
    use millside::job::operation::OperationKind;
    let swap = Operation {
        title: "screws in, clamps off".to_owned(),
        kind: OperationKind::ClampSwap,
        ..Operation::default()
    };
    let session = must(
        &plate(),
        Event::OperationAdded(Some(0), Box::new(swap)),
        second(1),
    );
    let session = ready(&session, second(10));
    assert!(session.state().current_setup().holding.is_some());
    let session = must(&session, Event::Finished, second(20));
    assert!(session.state().current_setup().holding.is_none());
    let open: Vec<String> = gate::list(session.state(), ListKind::Setup)
        .lines
        .into_iter()
        .filter(|line| line.state != gate::LineState::Answered)
        .map(|line| line.id)
        .collect();
    assert!(open.contains(&"clamps-clear".to_owned()), "{open:?}");
    let held = Event::Answered {
        list: ListKind::Start,
        line: "work-tight".to_owned(),
        answer: Answer::So,
        shown: Duration::from_secs(2),
    };
    assert!(
        session.apply(held, second(30)).is_err(),
        "nobody has said what holds it"
    );
}

#[test]
fn a_finished_size_larger_than_the_blank_is_refused() {
    let mut stock = support::stock();
    stock.part = Some([Typed::mm(116.0), Typed::mm(96.0), Typed::mm(12.0)]);
    let refusal = plate()
        .apply(Event::StockMeasured(Box::new(stock)), second(1))
        .unwrap_err();
    assert!(
        refusal.why.contains('Y') && refusal.why.contains("96"),
        "{}",
        refusal.why
    );
}

#[test]
fn a_blank_cannot_stand_higher_above_the_jaws_than_it_is_thick() {
    let above = |mm: f64| {
        let mut stock = support::stock();
        stock.above_jaws = Some(Typed::mm(mm));
        plate().apply(Event::StockMeasured(Box::new(stock)), second(1))
    };
    assert!(above(8.0).is_ok() && above(12.0).is_ok());
    let refusal = above(20.0).unwrap_err();
    assert!(
        refusal.why.contains("12") && refusal.why.contains("20"),
        "{}",
        refusal.why
    );
}

#[test]
fn a_stick_out_of_many_diameters_is_taken_for_a_slip_of_the_finger() {
    let session = plate();
    let tool = Box::new(session.state().rack[0].tool.clone());
    let edited = |mm: f64| Event::ToolEdited {
        index: 0,
        tool: tool.clone(),
        stick_out: Some(Typed::mm(mm)),
    };
    assert!(session.apply(edited(500.0), second(1)).is_err());
    assert!(session.apply(edited(30.0), second(1)).is_ok());
}

// Whoever turned the clock to a pause has said what the time is: nobody is asked what the mill was doing.
#[test]
fn unseen_time_in_a_pause_is_a_pause() {
    let session = ready(&plate(), second(5));
    let began = Event::CutBegan {
        ago: Duration::ZERO,
    };
    let session = must(&session, began, second(10));
    let session = must(&session, Event::ClockTurned(Phase::Paused), second(40));
    // The wall went on by an hour while the machine slept.
    let session = must(&session, Event::Looked, at(3645, 45));
    let state = session.state();
    assert!(state.gap.is_none());
    assert_eq!(state.phase(), Some(Phase::Paused));
    let spent = state.clock().expect("a clock").read(at(3645, 45));
    assert_eq!(spent.cutting, Duration::from_secs(30));
    assert_eq!(spent.total(), Duration::from_secs(3635));
}
