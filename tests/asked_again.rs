//! What must be asked again because what it stood for changed: the blank, the holding, the fluid, a hand that goes back in, a spindle
//! that has turned.
//!
//! The order (spindle at rest before a hand goes to the work, full speed before the feed) follows the cautions that carry the sources:
//! 29 CFR 1910.147(a)(2)(ii) as cited there, ISO 14118 scope, and rule d14 of lists; the rest is common practice, no source.

mod support;

use std::time::Duration;

use millside::app::key::Key;
use millside::job::conditions::Value;
use millside::job::holding::HeldBy;
use millside::job::mishap::Mishap;
use millside::job::stalled::Stalled;
use millside::job::stock::Stock;
use millside::job::typed::Typed;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::fact::FactState;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::matrix::Happening;

use millside::session::state::Step;
use support::session::answer_all;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::session::stock;
use support::walk::cutting;

fn begun() -> Session {
    let begin = Event::CutBegan {
        ago: Duration::ZERO,
    };
    must(&ready(&plate(), second(10)), begin, second(20))
}

fn open(session: &Session, kind: ListKind) -> Vec<String> {
    let lines = gate::list(session.state(), kind).lines;
    lines
        .into_iter()
        .filter(|line| line.state.is_open())
        .map(|line| line.id)
        .collect()
}

fn so(line: &str) -> Event {
    Event::Answered {
        list: ListKind::Start,
        line: line.to_owned(),
        answer: Answer::So,
        shown: Duration::from_secs(2),
    }
}

fn is_good(session: &Session, kind: FactKind) -> bool {
    session.state().fact(kind).is_good()
}

fn measured(change: impl FnOnce(&mut Stock)) -> Session {
    let mut stock = stock();
    change(&mut stock);
    let measured = Event::StockMeasured(Box::new(stock));
    must(&ready(&plate(), second(10)), measured, second(20))
}

// The zero is the middle of the blank: 20 mm less of it, and the sum that X was set by is 10 mm out.
#[test]
fn another_length_of_the_blank_asks_for_x_and_y_again_and_leaves_z() {
    let session = measured(|stock| stock.x = Typed::mm(100.0));
    assert!(!is_good(&session, FactKind::XyZero));
    assert!(is_good(&session, FactKind::ZReference));
    let FactState::Redo { what, .. } = session.state().fact(FactKind::XyZero) else {
        panic!("{:?}", session.state().fact(FactKind::XyZero));
    };
    assert_eq!(
        what.row().words,
        "length or width of the blank was entered anew"
    );
}

// Z0 on top, set from the spoil board: 3 mm more of the blank, and Z0 lies 3 mm in it.
#[test]
fn another_thickness_asks_for_a_z_that_was_reckoned_from_it() {
    let session = measured(|stock| stock.thickness = vec![Typed::mm(15.0)]);
    for kind in [FactKind::ZReference, FactKind::ToolLength, FactKind::AirRun] {
        assert!(!is_good(&session, kind), "{kind:?}");
    }
    assert!(is_good(&session, FactKind::XyZero));
    // The same once more changes nothing of the zeros.
    let same = measured(|_| ());
    assert!(is_good(&same, FactKind::XyZero) && is_good(&same, FactKind::ZReference));
}

#[test]
fn a_z_that_was_touched_off_on_top_stays_with_another_thickness() {
    use millside::job::reference::Surface;
    use millside::job::reference::ZReference;
    let reference = ZReference {
        surface: Surface::StockTop,
        height: Typed::mm(0.0),
        shim: Typed::mm(0.1),
        at: None,
    };
    let mut state = ready(&plate(), second(10)).state().clone();
    state.setups[0].z_reference = Some(reference);
    let mut stock = stock();
    stock.thickness = vec![Typed::mm(15.0)];
    let measured = Event::StockMeasured(Box::new(stock));
    let session = must(&Session::new(state), measured, second(20));
    assert!(is_good(&session, FactKind::ZReference));
}

#[test]
fn what_is_held_in_another_way_was_let_loose_in_between() {
    let session = ready(&plate(), second(10));
    let mut holding = session
        .state()
        .current_setup()
        .holding
        .clone()
        .expect("it is held");
    holding.by = HeldBy::Tape;
    let session = must(
        &session,
        Event::HoldingStated(Box::new(holding)),
        second(20),
    );
    for kind in [FactKind::Held, FactKind::XyZero, FactKind::ZReference] {
        assert!(!is_good(&session, kind), "{kind:?}");
    }
    let setup = open(&session, ListKind::Setup);
    for line in ["clamps-clear", "bonded-hold"] {
        assert!(setup.iter().any(|id| id == line), "{line}: {setup:?}");
    }
}

#[test]
fn a_part_that_moved_on_its_tape_is_pulled_at_again() {
    let mut state = plate().state().clone();
    state.setups[0].holding = Some(millside::job::holding::Holding {
        pull_n: None,
        rest_after_s: None,
        by: HeldBy::Tape,
        out_of_true: None,
        keep_outs: vec![],
        screws: vec![],
    });
    let session = ready(&Session::new(state), second(10));
    assert!(open(&session, ListKind::Setup).is_empty());
    let moved = Event::StopNoted {
        mishap: Mishap::PartMoved,
        words: String::new(),
    };
    let session = must(&session, moved, second(20));
    let setup = open(&session, ListKind::Setup);
    assert!(setup.iter().any(|id| id == "bonded-hold"), "{setup:?}");
    assert!(
        !is_good(&session, FactKind::AirRun),
        "it is held anew, and zeroed anew"
    );
}

fn magnesium(fluid: &str) -> Session {
    let mut state = plate().state().clone();
    state.material = support::session::shipped()
        .materials
        .iter()
        .find(|material| material.name.contains("az31"))
        .expect("magnesium is shipped")
        .clone();
    state.stated.word("fluid", fluid);
    Session::new(state)
}

// T.O. 1-1A-9 para c: magnesium is cut dry or with mineral oil; water and hot chips make hydrogen.
#[test]
fn magnesium_under_water_mix_cannot_be_answered_away() {
    let line = Event::Answered {
        list: ListKind::Setup,
        line: "mg-dry-or-oil".to_owned(),
        answer: Answer::So,
        shown: Duration::from_secs(2),
    };
    let wet = magnesium("water_mix");
    let why = wet.apply(line.clone(), second(5)).unwrap_err().why;
    assert!(why.contains("water mix"), "{why}");
    let shown = gate::list(wet.state(), ListKind::Setup).lines;
    let shown = shown.iter().find(|line| line.id == "mg-dry-or-oil");
    let says = shown.and_then(|line| line.says.clone()).unwrap_or_default();
    assert!(says.contains("water mix"), "{says}");
    // Dry it is answered; with another fluid it is asked again, and cannot be so.
    let dry = must(&magnesium("dry"), line.clone(), second(5));
    let wet = Event::ConditionStated("fluid".to_owned(), Value::Word("water_mix".to_owned()));
    let wet = must(&dry, wet, second(6));
    let again = open(&wet, ListKind::Setup);
    assert!(again.iter().any(|id| id == "mg-dry-or-oil"), "{again:?}");
    assert!(wet.apply(line, second(7)).is_err());
}

#[test]
fn a_fluid_that_was_changed_is_asked_for_again() {
    let session = ready(&plate(), second(10));
    let known = |session: &Session| session.state().stated.get("fluid").is_some();
    assert!(known(&session));
    let changed = Event::Happened(Happening::FluidChanged);
    let session = must(&session, changed, second(20));
    assert!(!known(&session));
    let asked = millside::session::known::questions(session.state());
    assert!(asked.iter().any(|key| key.name == "fluid"), "{asked:?}");
}

#[test]
fn who_touches_off_again_is_asked_again_for_hands_and_keys() {
    let session = ready(&plate(), second(10));
    assert!(open(&session, ListKind::Start).is_empty());
    for event in [
        Event::XySet,
        Event::LengthSet(Typed::mm(-11.9)),
        Event::ReturnTested {
            touches_mm: [vec![0.0; 3], vec![0.0; 3], vec![]],
        },
    ] {
        let touched = must(&session, event.clone(), second(20));
        let mut again = open(&touched, ListKind::Start);
        // A zero or a length that is set anew is held against tool and program once more, and its first run is one.
        let matched = ["match-tool-program", "first-run-slow"];
        let is_set = !matches!(event, Event::ReturnTested { .. });
        assert_eq!(
            again.iter().any(|id| matched.contains(&id.as_str())),
            is_set
        );
        again.retain(|id| !matched.contains(&id.as_str()));
        assert_eq!(again, ["keys-off", "hands-bare-out"], "{event:?}");
    }
}

#[test]
fn a_tool_that_is_gripped_anew_comes_before_its_length() {
    let slipped = Event::Happened(Happening::ToolSlipped);
    let session = must(&ready(&plate(), second(10)), slipped, second(20));
    let touched = Event::LengthSet(Typed::mm(-11.9));
    let why = session.apply(touched.clone(), second(21)).unwrap_err().why;
    assert!(why.contains("another length"), "{why}");
    let gripped = support::session::answer_at_spindle(&session, second(25));
    assert!(is_good(
        &must(&gripped, touched, second(30)),
        FactKind::ToolLength
    ));
}

#[test]
fn once_the_spindle_has_turned_it_is_at_rest_before_a_hand_goes_to_the_work() {
    // A pause for chips: no hand at work or table, so two lines, and none that says that it stands still.
    let waits = must(&begun(), Event::ClockTurned(Phase::Waiting), second(30));
    let ids = |session: &Session| -> Vec<String> {
        let lines = gate::list(session.state(), ListKind::Start).lines;
        lines.into_iter().map(|line| line.id).collect()
    };
    assert_eq!(
        open(&waits, ListKind::Start),
        ["hands-bare-out", "spindle-before-feed"]
    );
    assert!(!ids(&waits).contains(&"spindle-dead".to_owned()));
    // The blank measured anew in the middle, the record opened again, chatter: somebody pulls at the work, so at rest comes first.
    let measured = Event::StockMeasured(Box::new(Stock {
        y: Typed::mm(91.0),
        ..stock()
    }));
    let chatter = Event::StopNoted {
        mishap: Mishap::Chatter,
        words: String::new(),
    };
    let again = Event::Reopened {
        alive_s: 1.0,
        away_s: 1.0,
    };
    for event in [measured, chatter, again] {
        let session = must(&begun(), event.clone(), second(30));
        // Of a cut that nobody saw it is said first that it stands.
        let stands = Event::GapExplained(Some(Phase::Waiting));
        let is_unseen = session.state().gap.is_some();
        let session = if is_unseen {
            must(&session, stands, second(30))
        } else {
            session
        };
        let asked = open(&session, ListKind::Start);
        assert_eq!(
            asked.first().map(String::as_str),
            Some("spindle-dead"),
            "{event:?}: {asked:?}"
        );
        assert_eq!(
            asked.last().map(String::as_str),
            Some("spindle-before-feed"),
            "{event:?}: {asked:?}"
        );
        assert!(asked.contains(&"work-tight".to_owned()), "{event:?}");
    }
}

#[test]
fn that_the_spindle_turns_is_the_last_answer() {
    let waits = must(&begun(), Event::ClockTurned(Phase::Waiting), second(30));
    let early = waits
        .apply(so("spindle-before-feed"), second(32))
        .unwrap_err();
    assert!(early.why.contains("last"), "{}", early.why);
    let out = must(&waits, so("hands-bare-out"), second(32));
    must(&out, so("spindle-before-feed"), second(34));
    // A line after a stop comes before it, too.
    let noted = Event::StopNoted {
        mishap: Mishap::Other,
        words: String::new(),
    };
    let noted = must(&begun(), noted, second(30));
    let noted = must(&noted, so("hands-bare-out"), second(32));
    assert!(!open(&noted, ListKind::Recovery).is_empty());
    assert!(noted.apply(so("spindle-before-feed"), second(34)).is_err());
    let done = answer_all(&noted, ListKind::Recovery, second(36));
    must(&done, so("spindle-before-feed"), second(38));
}

#[test]
fn hands_go_out_when_the_work_was_pulled_at_and_the_keys_are_off() {
    let lines = gate::list(plate().state(), ListKind::Start).lines;
    let place = |id: &str| lines.iter().position(|line| line.id == id);
    assert!(place("work-tight") < place("hands-bare-out"));
    assert!(place("keys-off") < place("hands-bare-out"));
    assert!(place("hands-bare-out") < place("match-tool-program"));
}

// Before a hand goes in for packed chips: Mich. R 408.12640(a), brush and not fingers, as the cautions cite it.
#[test]
fn packed_chips_ask_for_a_spindle_at_rest_and_a_brush() {
    let packed = Event::StopNoted {
        mishap: Mishap::ChipsPacked,
        words: String::new(),
    };
    let session = must(&begun(), packed, second(30));
    let asked = open(&session, ListKind::Recovery);
    for line in ["stop-first", "brush-hook", "jam-power-off"] {
        assert!(asked.iter().any(|id| id == line), "{line}: {asked:?}");
    }
}

// 4 mm of lead, 200 steps: four full steps are 0.08 mm. The last approach is from the zero's side, so that no backlash is in the error.
#[test]
fn a_stall_read_a_little_short_is_no_zero_that_was_found() {
    let session = ready(&plate(), second(10));
    assert!((session.state().machine.axes.x.four_full_steps_mm() - 0.08).abs() < 1e-9);
    let doubtful = must(
        &session,
        Event::Happened(Happening::ControllerRestarted),
        second(20),
    );
    let tested = |x: f64| Event::ReturnTested {
        touches_mm: [vec![x; 3], vec![0.0; 3], vec![0.0; 3]],
    };
    for (x, is_kept) in [(0.02, true), (0.03, false), (0.05, false), (0.07, false)] {
        let after = must(&doubtful, tested(x), second(30));
        assert_eq!(is_good(&after, FactKind::XyZero), is_kept, "{x}");
    }
}

#[test]
fn after_a_crash_the_program_runs_in_the_air_again() {
    let crash = Event::StopNoted {
        mishap: Mishap::Crash,
        words: String::new(),
    };
    let session = must(&begun(), crash, second(30));
    assert!(!is_good(&session, FactKind::AirRun));
}

#[test]
fn a_mill_that_was_left_and_worked_at_again_is_left_with_its_list_again() {
    let session = ready(&plate(), second(10));
    let session = answer_all(&session, ListKind::Leaving, second(20));
    let answered = |session: &Session| gate::list(session.state(), ListKind::Leaving).open() == 0;
    assert!(answered(&session));
    assert!(!answered(&must(&session, Event::XySet, second(30))));
}

#[test]
fn a_machine_without_switches_is_not_asked_whether_it_is_homed() {
    let crash = Event::StopNoted {
        mishap: Mishap::Crash,
        words: String::new(),
    };
    let mut seen = [false; 2];
    for machine in support::session::shipped().machines {
        let has_home = machine.control.has_home_switches.value;
        let mut state = plate().state().clone();
        state.machine = machine;
        state.stated.word("position_at_stop", "lost");
        let session = must(&Session::new(state), crash.clone(), second(30));
        let lines = gate::list(session.state(), ListKind::Recovery).lines;
        let line = lines.iter().find(|line| line.id == "position-after-stop");
        let line = line.expect("it is asked");
        assert_eq!(line.word.contains("HOMED"), has_home, "{line:?}");
        assert_eq!(line.text.contains("homed"), has_home, "{line:?}");
        seen[usize::from(has_home)] = true;
    }
    assert!(seen[0], "no shipped machine is without switches");
}

// "No change while cutting" and "shifting under motion": TM 1-1500-204-23-8 para d, as the caution cites it.
#[test]
fn a_belt_that_another_speed_needs_is_moved_with_the_spindle_at_rest() {
    let with_belts = |first: &str, then: &str| {
        let mut state = begun().state().clone();
        assert_eq!(state.machine.spindle.steps.len(), 3, "a machine with belts");
        for (place, belt) in [first, then].into_iter().enumerate() {
            let mut recipe = support::session::recipe();
            recipe.belt = Some(belt.to_owned());
            state.setups[0].operations[place].recipe = Some(recipe);
        }
        // The same tool goes on, so that no hand goes to it.
        state.setups[0].operations[1].tool = state.setups[0].operations[0].tool;
        must(&Session::new(state), Event::Finished, second(30))
    };
    let ids = |session: &Session| -> Vec<String> {
        let lines = gate::list(session.state(), ListKind::Start).lines;
        lines.into_iter().map(|line| line.id).collect()
    };
    let moved = ids(&with_belts("2", "3"));
    assert!(moved.contains(&"stop-to-shift".to_owned()), "{moved:?}");
    let stays = ids(&with_belts("3", "3"));
    assert!(!stays.contains(&"stop-to-shift".to_owned()), "{stays:?}");
    // What is set at the machine names it.
    let lines = gate::list(with_belts("2", "3").state(), ListKind::Start).lines;
    let set = lines.iter().find(|line| line.id == "match-tool-program");
    let text = set.map(|line| line.text.clone()).unwrap_or_default();
    assert!(
        text.contains("belt 3") && text.contains("9000 rpm"),
        "{text}"
    );
    assert!(text.chars().count() <= gate::LONGEST_LINE, "{text}");
}

#[test]
fn a_height_that_the_blank_does_not_give_is_pointed_at() {
    use millside::session::state::Step;
    let mut desk = support::walk::decided(80, 24);
    support::walk::to_step(&mut desk, Step::Z);
    assert!(!desk.screen().contains("LOOK"), "{}", desk.screen());
    let mut thicker = desk
        .state()
        .current_setup()
        .stock
        .clone()
        .expect("it is measured");
    thicker.thickness = vec![Typed::mm(15.0)];
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session is open");
    work.session = must(&work.session, Event::StockMeasured(Box::new(thicker)), now);
    let screen = desk.screen();
    let joined = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        joined.contains(
            "15 mm at its thickest, the spoil board lies at -15 mm from Z0, not at -12 mm"
        ),
        "{screen}"
    );
}

#[test]
fn a_touch_that_reads_otherwise_takes_back_the_one_before() {
    use millside::session::state::Step;
    let mut desk = support::walk::answered(80, 24);
    assert!(desk.state().fact(FactKind::ToolLength).is_good());
    support::walk::to_step(&mut desk, Step::Z);
    support::walk::to_field(&mut desk, millside::app::field::Field::Touch);
    desk.keys("\r-5\r");
    let screen = desk.screen();
    assert!(screen.contains("must read -11.9"), "{screen}");
    assert!(
        !desk.state().fact(FactKind::ToolLength).is_good(),
        "{screen}"
    );
    assert!(screen.contains("! Z"), "{screen}");
    desk.keys("\r-11.9\r");
    assert!(desk.state().fact(FactKind::ToolLength).is_good());
}

#[test]
fn nothing_else_is_open_when_the_spindle_turns() {
    // A line at hold counts, too: somebody goes to the clamps.
    let waits = must(&begun(), Event::ClockTurned(Phase::Waiting), second(30));
    let mut holding = waits
        .state()
        .current_setup()
        .holding
        .clone()
        .expect("it is held");
    holding.keep_outs.push(millside::job::holding::KeepOut {
        from: [0.0, 0.0],
        to: [10.0, 10.0],
        height: 20.0,
    });
    let moved = Event::HoldingStated(Box::new(holding));
    let session = must(&waits, moved, second(32));
    assert_eq!(open(&session, ListKind::Setup), ["clamps-clear"]);
    let mut session = session;
    for line in open(&session, ListKind::Start) {
        if line != "spindle-before-feed" {
            session = must(&session, so(&line), second(34));
        }
    }
    assert!(
        session
            .apply(so("spindle-before-feed"), second(36))
            .is_err()
    );
}

#[test]
fn where_a_note_sends_the_eye_a_hand_goes() {
    for mishap in [Mishap::PoorFinish, Mishap::Hot] {
        let noted = Event::StopNoted {
            mishap,
            words: String::new(),
        };
        let asked = open(&must(&begun(), noted, second(30)), ListKind::Start);
        for line in ["spindle-dead", "keys-off"] {
            assert!(asked.iter().any(|id| id == line), "{mishap:?}: {asked:?}");
        }
    }
}

#[test]
fn the_enter_that_leads_to_a_doubtful_zero_does_not_set_it() {
    use millside::session::state::Step;
    let mut desk = support::walk::answered(80, 24);
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session is open");
    let restarted = Event::Happened(Happening::ControllerRestarted);
    work.session = must(&work.session, restarted, now);
    support::walk::to_step(&mut desk, Step::Air);
    support::walk::to_step(&mut desk, Step::Cut);
    let enter = |desk: &mut support::desk::Desk, ms: i64| {
        let mut now = desk.now();
        now.mono += Duration::from_millis(ms.unsigned_abs());
        now.wall += chrono::TimeDelta::milliseconds(ms);
        desk.send(millside::app::message::Message::Pressed(Key::Enter, now));
    };
    enter(&mut desk, 0);
    assert_eq!(desk.state().step, Step::Xy, "{}", desk.screen());
    enter(&mut desk, 400);
    assert!(!desk.state().fact(FactKind::XyZero).is_good());
    desk.pass(2);
    desk.keys("\r");
    assert!(
        desk.state().fact(FactKind::XyZero).is_good(),
        "{}",
        desk.screen()
    );
}

// Answered before a cut, it says nothing of the time after it: 29 CFR 1910.147(a)(2)(ii) as the caution cites it.
#[test]
fn standing_still_before_the_part_is_let_go_is_asked_again_after_another_cut() {
    let release = |session: &Session| open(session, ListKind::Release);
    let finish = |session: &Session, s: u64| must(session, Event::Finished, second(s));
    let finished = finish(&begun(), 100);
    let answered = answer_all(&finished, ListKind::Release, second(110));
    assert!(release(&answered).is_empty());
    let again = Event::OperationReopened {
        operation: 0,
        reason: "not deep enough".to_owned(),
    };
    let again = ready(&must(&answered, again, second(120)), second(130));
    let begin = Event::CutBegan {
        ago: Duration::ZERO,
    };
    let cut = finish(&must(&again, begin, second(140)), 200);
    assert_eq!(release(&cut), ["still-before-gauge"]);
}

/// A stall of this axis, and then the check point touched: which of X Y, Z reference and the tool's Z are good.
fn after_a_stall(axes: Option<Stalled>, touches_mm: [Vec<f64>; 3]) -> [bool; 3] {
    let mut session = ready(&plate(), second(10));
    let stalled = Event::StopNoted {
        mishap: Mishap::AxisBound,
        words: String::new(),
    };
    let said = axes.map(Event::AxisStalled);
    let tested = Event::ReturnTested { touches_mm };
    for event in [Some(stalled), said, Some(tested)].into_iter().flatten() {
        session = must(&session, event, second(20));
    }
    [FactKind::XyZero, FactKind::ZReference, FactKind::ToolLength]
        .map(|kind| is_good(&session, kind))
}

// Common practice, no source: an axis that lost steps is set again, whatever it reads; one that did not is where a touch finds it.
#[test]
fn after_a_stall_that_axis_is_set_again_and_the_others_are_proved() {
    let (found, off) = (|| vec![0.0; 3], || vec![0.24; 3]);
    for (axes, touches, expected) in [
        // Z stalled: X and Y are proved, Z is set again even where it reads as before.
        (
            Some(Stalled::Z),
            [found(), found(), vec![]],
            [true, false, false],
        ),
        (
            Some(Stalled::Z),
            [found(), found(), found()],
            [true, false, false],
        ),
        // X stalled: Y and Z are proved, X need not be touched.
        (
            Some(Stalled::X),
            [vec![], found(), found()],
            [false, true, true],
        ),
        (
            Some(Stalled::X),
            [off(), found(), found()],
            [false, true, true],
        ),
        (
            Some(Stalled::X),
            [found(), found(), found()],
            [false, true, true],
        ),
        (
            Some(Stalled::Y),
            [found(), vec![], found()],
            [false, true, true],
        ),
        (
            Some(Stalled::XAndY),
            [vec![], vec![], found()],
            [false, true, true],
        ),
        (
            Stalled::from_word("X and Z"),
            [vec![], found(), vec![]],
            [false, false, false],
        ),
        (
            Stalled::from_word("X and Z"),
            [found(), found(), found()],
            [false, false, false],
        ),
        (
            Stalled::from_word("X, Y and Z"),
            [found(), found(), found()],
            [false, false, false],
        ),
        // Another axis than the one that was named is off: the position is lost.
        (
            Some(Stalled::X),
            [vec![], off(), found()],
            [false, false, false],
        ),
        (
            Some(Stalled::Z),
            [off(), found(), vec![]],
            [false, false, false],
        ),
        // Nobody knows which: each of them may be off by what a touch does not tell.
        (None, [found(), found(), found()], [false, false, false]),
        (None, [off(), found(), found()], [false, false, false]),
    ] {
        let said = format!("{axes:?} {touches:?}");
        assert_eq!(after_a_stall(axes, touches), expected, "{said}");
    }
}

// Two stalls before anything was set again: only where both are of one axis are the others proved.
#[test]
fn after_two_stalls_of_different_axes_each_may_be_off() {
    for (first, later, expected) in [
        (Some(Stalled::X), Some(Stalled::X), [false, true, true]),
        (Some(Stalled::Z), Some(Stalled::X), [false, false, false]),
        (None, Some(Stalled::X), [false, false, false]),
        (Some(Stalled::X), None, [false, false, false]),
    ] {
        let mut session = ready(&plate(), second(10));
        for (axes, at) in [(first, 20), (later, 30)] {
            let stalled = Event::StopNoted {
                mishap: Mishap::AxisBound,
                words: String::new(),
            };
            session = must(&session, stalled, second(at));
            if let Some(axes) = axes {
                session = must(&session, Event::AxisStalled(axes), second(at));
            }
        }
        let tested = Event::ReturnTested {
            touches_mm: [vec![], vec![0.0; 3], vec![0.0; 3]],
        };
        let session = must(&session, tested, second(40));
        let good = [FactKind::XyZero, FactKind::ZReference, FactKind::ToolLength]
            .map(|kind| is_good(&session, kind));
        assert_eq!(good, expected, "{first:?} {later:?}");
    }
}

#[test]
fn a_stall_asks_which_axis_by_keypad_and_says_what_to_set_and_what_to_prove() {
    let mut desk = cutting(80, 24, 40);
    desk.keys("-1\r");
    assert_eq!(
        desk.state().stops.last().map(|stop| stop.mishap),
        Some(Mishap::AxisBound)
    );
    assert!(
        desk.screen().contains("Which axis stalled?"),
        "{}",
        desk.screen()
    );
    desk.keys("3\r");
    let stop = desk.state().stops.last().expect("it was noted").clone();
    assert_eq!(stop.stalled, Some(Stalled::Z));
    desk.keys("\r");
    for _ in 0..12 {
        if desk.state().step == Step::Xy {
            break;
        }
        desk.key(Key::Left);
    }
    let screen = desk.screen();
    assert!(
        screen.contains("Z stalled: set Z again. X and Y: prove them"),
        "{screen}"
    );
}
