//! Whatever happens in whatever order: the gate holds, time adds up, the same gives the same.

#[path = "support/printed.rs"]
mod printed;
#[path = "support/session.rs"]
mod support;

use std::time::Duration;

use millside::job::conditions::Value;
use millside::job::mishap::Mishap;
use millside::job::operation::OperationKind;
use millside::job::reference::Zero;
use millside::job::stock::Stock;
use millside::job::typed::Typed;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::LineState;
use millside::session::gate::ListKind;
use millside::session::gate::Way;
use millside::session::matrix::MATRIX;
use millside::session::moment::Moment;
use millside::session::state::ProgramCopy;
use millside::session::state::State;
use millside::session::state::StopFinding;
use proptest::prelude::Strategy;
use proptest::prelude::any;
use proptest::prop_assert;
use proptest::prop_assert_eq;
use proptest::proptest;
use proptest::strategy::ValueTree;
use proptest::test_runner::Config;

use printed::Page;
use support::at;
use support::plate_with_program;
use support::ready;

/// One step of a random walk; numbers choose among what is there.
#[derive(Clone, Debug)]
enum Move {
    /// Do all that the gate asks for.
    MakeReady,
    /// Answer one line of a list.
    Answer(usize, usize, bool),
    /// Something of the matrix happens.
    Happen(usize),
    /// A mishap is noted.
    Mishap(usize),
    /// The clock is turned on.
    Begin(u64),
    /// The clock is turned to a phase.
    Turn(usize),
    /// The cut began earlier.
    Earlier(u64),
    /// An unseen stretch is explained.
    Explain(usize),
    /// Another operation comes into work.
    Enter(usize),
    /// The operation is finished.
    Finish,
    /// The program is read again, with or without a stop finding.
    Program(u8),
    /// The stop finding is accepted.
    Accept,
    /// Another tool in the middle.
    Swap(usize),
    /// Return test with an error.
    Return(i8),
    /// Something is stated, measured, edited or taken out.
    State(usize, bool),
    /// Nothing but time.
    Look,
}

fn moves() -> impl Strategy<Value = Vec<(Move, u64, i64)>> {
    let one = (0usize..24, any::<usize>(), any::<usize>(), any::<bool>()).prop_map(
        |(kind, a, b, yes)| match kind {
            0..=4 => Move::MakeReady,
            5 | 6 => Move::Answer(a, b, yes),
            7 | 8 => Move::Happen(a),
            9 => Move::Mishap(a),
            10..=12 => Move::Begin((a % 4) as u64 * 10),
            13 => Move::Turn(a),
            14 => Move::Earlier((a % 70) as u64),
            15 => Move::Explain(a),
            16 => Move::Enter(a),
            17 => Move::Finish,
            18 => Move::Program((a % 3) as u8),
            19 => Move::Accept,
            20 => Move::Swap(a),
            22 | 23 => Move::State(a, yes),
            _ if yes => Move::Return((b % 100) as i8 - 50),
            _ => Move::Look,
        },
    );
    // Seconds of the monotonic clock that pass, and by how much the wall clock jumps besides.
    let jump = (0u8..10, -4000i64..4000).prop_map(|(often, by)| if often == 0 { by } else { 0 });
    proptest::collection::vec((one, 0u64..400, jump), 1..60)
}

fn event_of(session: &Session, step: &Move) -> Option<Event> {
    let state = session.state();
    Some(match step {
        Move::MakeReady => return None,
        Move::Answer(list, line, so) => {
            let kind = ListKind::ALL[list % ListKind::ALL.len()];
            let lines = gate::list(state, kind).lines;
            let line = lines.get(line % lines.len().max(1))?;
            let answer = if *so {
                Answer::So
            } else {
                Answer::NotSo("looks wrong".to_owned())
            };
            Event::Answered {
                list: kind,
                line: line.id.clone(),
                answer,
                shown: Duration::from_secs(1),
            }
        }
        Move::Happen(row) => Event::Happened(MATRIX[row % MATRIX.len()].what),
        Move::Mishap(which) => {
            let advice = millside::job::mishap::ADVICE;
            let mishap: Mishap = advice[which % advice.len()].mishap;
            Event::StopNoted {
                mishap,
                words: String::new(),
            }
        }
        Move::Begin(ago) => Event::CutBegan {
            ago: Duration::from_secs(*ago),
        },
        Move::Turn(phase) => {
            Event::ClockTurned([Phase::Cutting, Phase::Waiting, Phase::Paused][phase % 3])
        }
        Move::Earlier(by) => Event::CutBeganEarlier(Duration::from_secs(*by)),
        Move::Explain(phase) => Event::GapExplained(
            [
                Some(Phase::Cutting),
                Some(Phase::Waiting),
                Some(Phase::Paused),
                None,
            ][phase % 4],
        ),
        Move::Enter(operation) => Event::OperationEntered(operation % 4),
        Move::Finish => Event::Finished,
        Move::Program(stops) => Event::ProgramRead(Box::new(ProgramCopy {
            sha256: format!("{stops:064}"),
            stops: (0..*stops)
                .map(|line| StopFinding {
                    id: format!("rapid-through-stock line {line}"),
                    message: "the rapid meets metal".to_owned(),
                    accepted: None,
                })
                .collect(),
            ..support::program()
        })),
        Move::Accept => {
            let program = state.current_setup().program.as_ref()?;
            let finding = program
                .stops
                .iter()
                .find(|stop| stop.accepted.is_none())?
                .id
                .clone();
            Event::StopAccepted {
                finding,
                reason: "it is air there".to_owned(),
            }
        }
        Move::Swap(to) => Event::ToolSwapped {
            to: to % 2,
            reason: "worn".to_owned(),
            recipe: None,
        },
        Move::Return(hundredths) => {
            let error = f64::from(*hundredths) / 100.0;
            Event::ReturnTested {
                touches_mm: [vec![error; 3], vec![0.0; 3], vec![0.0; 3]],
            }
        }
        Move::State(which, yes) => return stated(state, *which, *yes),
        Move::Look => Event::Looked,
    })
}

fn stated(state: &State, which: usize, yes: bool) -> Option<Event> {
    let setup = state.current_setup();
    Some(match which % 12 {
        0 => Event::ConditionStated("guard_removed".to_owned(), Value::Truth(yes)),
        1 => {
            let fluid = if yes { "dry" } else { "water_mix" };
            Event::ConditionStated("fluid".to_owned(), Value::Word(fluid.to_owned()))
        }
        2 => Event::ZeroStated(Box::new(Zero {
            offset: if yes { "G54" } else { "G55" }.to_owned(),
            ..setup.zero.clone()?
        })),
        3 => Event::AirRunMade(Typed::mm(60.0)),
        4 => Event::PutBack(Typed::mm(-11.9)),
        5 => Event::OperationRemoved(which / 12 % 4),
        6 => Event::OperationReopened {
            operation: which / 12 % 4,
            reason: "not deep enough".to_owned(),
        },
        7 => Event::StockMeasured(Box::new(Stock {
            y: Typed::mm(if yes { 90.0 } else { 91.0 }),
            ..support::stock()
        })),
        8 => Event::LeftOut("done elsewhere".to_owned()),
        9 => Event::LetGo,
        10 => Event::XySet,
        _ => Event::MillLeft,
    })
}

/// Makes ready without insisting: where something cannot be done, the session stays as it was.
fn make_ready(session: &Session, now: Moment) -> Session {
    std::panic::catch_unwind(|| ready(session, now)).unwrap_or_else(|_| session.clone())
}

/// What must hold of a clock that counts cutting, said without the gate's own functions
/// for facts: by the state alone.
fn gate_is_closed_or_clear(session: &Session) -> Result<(), String> {
    let state = session.state();
    if state.phase() != Some(Phase::Cutting) {
        return Ok(());
    }
    let operation = state
        .current_operation()
        .ok_or("cutting without an operation")?;
    if operation.kind != OperationKind::Bench {
        for kind in FactKind::ALL {
            if !state.fact(kind).is_good() {
                return Err(format!(
                    "cutting while {kind:?} is {}",
                    state.fact(kind).word()
                ));
            }
        }
        if state.in_spindle != operation.tool {
            return Err("cutting with another tool".to_owned());
        }
        let stops = state
            .current_setup()
            .program
            .iter()
            .flat_map(|program| &program.stops);
        for stop in stops {
            if stop
                .accepted
                .as_deref()
                .is_none_or(|reason| reason.trim().is_empty())
            {
                return Err(format!("cutting while {} is not accepted", stop.id));
            }
        }
    }
    for list in ListKind::ALL
        .iter()
        .filter(|list| !matches!(list, ListKind::Release | ListKind::Leaving))
    {
        if operation.kind == OperationKind::Bench && *list != ListKind::Start {
            continue;
        }
        for line in gate::list(state, *list).lines {
            if line.way == Way::Press && line.state != LineState::Answered {
                return Err(format!("cutting while {} is {:?}", line.id, line.state));
            }
        }
    }
    Ok(())
}

/// A walk: after each step its session, the moment, and what all clocks must have counted by then.
fn walk(steps: &[(Move, u64, i64)]) -> Vec<(Session, Moment, Duration)> {
    walk_with(steps, |_, _, _| ())
}

/// The same; every single event that took is shown with the states before and after it.
fn walk_with(
    steps: &[(Move, u64, i64)],
    mut shown: impl FnMut(&State, &Event, &State),
) -> Vec<(Session, Moment, Duration)> {
    let mut session = plate_with_program();
    let (mut mono, mut wall) = (0u64, 0i64);
    let mut expected = Duration::ZERO;
    let mut began_from_off = false;
    let mut trail = vec![];
    for (step, seconds, jump) in steps {
        mono += seconds;
        wall += *seconds as i64 + jump;
        let now = at(wall, mono);
        if session.state().phase().is_some() {
            expected += Duration::from_secs(*seconds);
        }
        // More than five seconds that the wall alone saw, in a pause that nothing else waits in, are a pause too.
        let is_pause = session.state().phase() == Some(Phase::Paused);
        if is_pause && session.state().gap.is_none() && *jump > 5 {
            expected += Duration::from_secs(jump.unsigned_abs());
        }
        // The moment is seen first, so that a gap is there before the step is tried.
        let looked = session
            .apply(Event::Looked, now)
            .expect("looking is never refused");
        shown(session.state(), &Event::Looked, looked.state());
        session = looked;
        match event_of(&session, step) {
            None if matches!(step, Move::MakeReady) => session = make_ready(&session, now),
            None => {}
            Some(event) => {
                let was_off = session.state().phase().is_none();
                let gap = session.state().gap;
                if let Ok(next) = session.apply(event.clone(), now) {
                    shown(session.state(), &event, next.state());
                    match event {
                        Event::CutBegan { ago } => {
                            began_from_off = was_off;
                            if was_off {
                                expected += ago;
                            }
                        }
                        Event::ClockTurned(Phase::Cutting) => began_from_off = false,
                        Event::CutBeganEarlier(by) if began_from_off => expected += by,
                        Event::GapExplained(Some(_)) => {
                            let (gap, _) = gap.expect("only a gap is explained");
                            expected += Duration::from_secs_f64(gap.seconds.max(0.0));
                        }
                        _ => {}
                    }
                    session = next;
                }
            }
        }
        trail.push((session.clone(), now, expected));
    }
    trail
}

proptest! {
    #![proptest_config(Config { cases: 64, failure_persistence: None, ..Config::default() })]

    #[test]
    fn no_sequence_cuts_while_a_fact_is_not_good_or_a_line_is_open(steps in moves()) {
        for (session, ..) in walk(&steps) {
            if let Err(why) = gate_is_closed_or_clear(&session) {
                prop_assert!(false, "{}", why);
            }
        }
    }

    #[test]
    fn no_second_is_lost_or_counted_twice_whatever_the_wall_clock_does(steps in moves()) {
        for (session, now, expected) in walk(&steps) {
            let clocks = session.state().clocks.values();
            let counted: Duration = clocks.map(|clock| clock.read(now).total()).sum();
            prop_assert_eq!(counted, expected);
        }
    }

    #[test]
    fn what_disappears_is_in_the_printed_table_and_all_of_its_row_disappears(steps in moves()) {
        let page = Page::read();
        let mut wrong = vec![];
        walk_with(&steps, |before, event, after| {
            wrong.extend(page.contradicts(before, event, after));
        });
        prop_assert!(wrong.is_empty(), "{:#?}", wrong);
    }

    #[test]
    fn nothing_that_was_seen_at_rest_is_at_rest_once_the_timer_has_run(steps in moves()) {
        let mut seen_before = 0;
        for (session, ..) in walk(&steps) {
            let state = session.state();
            let is_cut = state.current_operation().is_some_and(|o| o.kind.is_cut());
            if state.phase() == Some(Phase::Cutting) && is_cut {
                seen_before = state.answers.len();
            }
            for answered in state.answers.iter().take(seen_before) {
                let speaks_of_rest = answered.stands && is_about_rest(state, &answered.line);
                prop_assert!(!speaks_of_rest, "{} stands", answered.line);
            }
        }
    }

    #[test]
    fn the_same_events_give_the_same_state(steps in moves()) {
        let (first, second) = (walk(&steps), walk(&steps));
        prop_assert!(first.iter().zip(&second).all(|(a, b)| a.0 == b.0));
        prop_assert_eq!(first.len(), second.len());
    }
}

/// By what the person reads: the state that the answer names is over once the spindle turns.
fn is_about_rest(state: &State, line: &str) -> bool {
    let rest = ["STOPPED", "STILL", "BLOCKED", "DRIVE OFF", "PLUG IN HAND"];
    let caution = state.cautions.iter().find(|caution| caution.id == line);
    caution
        .and_then(|caution| caution.answer.as_deref())
        .is_some_and(|word| rest.iter().any(|rest| word.contains(rest)))
}

#[test]
fn some_lines_speak_of_rest() {
    let session = plate_with_program();
    let all = session.state().cautions.iter();
    let about = all.filter(|caution| is_about_rest(session.state(), &caution.id));
    assert!(about.count() >= 8);
}

#[test]
fn the_walk_does_reach_a_running_clock() {
    // Without this the properties above could hold for want of anything that runs.
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut running = 0;
    for _ in 0..40 {
        let steps = moves().new_tree(&mut runner).expect("a tree").current();
        running += walk(&steps)
            .iter()
            .filter(|(session, ..)| session.state().phase() == Some(Phase::Cutting))
            .count();
    }
    assert!(
        running > 40,
        "only {running} moments with the clock cutting"
    );
}
