//! Long cutting warms tape and glue: the clock counts it, the gate asks for a rest, and nothing is promised.
//!
//! The minutes are common practice, no source; what is tested is the counting, with a clock driven by hand.

mod support;

use std::time::Duration;

use millside::app::field::Field;
use millside::job::caution::Cautions;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::bond;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::gate::LineState;
use millside::session::gate::ListKind;
use millside::session::matrix::Happening;
use millside::session::moment::Moment;
use millside::session::state::Step;

use support::session::answer_all;
use support::session::at;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::walk::cutting;
use support::walk::demo;
use support::walk::hold_by;
use support::walk::to_field;
use support::walk::to_step;

fn held(by: HeldBy, rest_after_s: Option<f64>) -> Event {
    Event::HoldingStated(Box::new(Holding {
        by,
        pull_n: None,
        rest_after_s,
        out_of_true: None,
        keep_outs: vec![],
        screws: vec![],
    }))
}

/// The plate on tape or glue, its clock turned to cutting at this second.
fn cutting_on(by: HeldBy, s: u64) -> Session {
    cutting_with(by, None, s)
}

fn cutting_with(by: HeldBy, rest_after_s: Option<f64>, s: u64) -> Session {
    let session = must(&plate(), held(by, rest_after_s), second(1));
    let session = ready(&session, second(s));
    begin(&session, second(s))
}

fn begin(session: &Session, at: Moment) -> Session {
    must(
        session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        at,
    )
}

fn looked(session: &Session, s: u64) -> Session {
    must(session, Event::Looked, second(s))
}

fn cut_s(session: &Session) -> u64 {
    session.state().bond.cutting.as_secs()
}

fn cool_line(session: &Session) -> Option<LineState> {
    gate::list(session.state(), ListKind::Start)
        .lines
        .into_iter()
        .find(|line| line.id == bond::COOL)
        .map(|line| line.state)
}

#[test]
fn cutting_is_counted_from_the_last_rest_and_a_short_pause_is_none() {
    let session = cutting_on(HeldBy::Tape, 100);
    let session = looked(&session, 340);
    assert_eq!(cut_s(&session), 240);
    // By hand: 240 s cut, 299 s still, 60 s cut: no rest of 300 s was in between.
    let session = must(&session, Event::ClockTurned(Phase::Paused), second(340));
    let session = looked(&session, 639);
    assert_eq!(cut_s(&session), 240);
    let session = begin(&ready(&session, second(639)), second(639));
    let session = looked(&session, 699);
    assert_eq!(cut_s(&session), 300);
    // 300 s still: it has rested.
    let session = must(&session, Event::ClockTurned(Phase::Waiting), second(699));
    assert_eq!(cut_s(&looked(&session, 998)), 300);
    assert_eq!(cut_s(&looked(&session, 999)), 0);
}

#[test]
fn one_operation_after_another_warms_the_same_bond() {
    let session = cutting_on(HeldBy::Tape, 100);
    let session = must(&session, Event::Finished, second(400));
    assert_eq!(session.state().operation, 1);
    let session = begin(&ready(&session, second(430)), second(430));
    // By hand: 300 s of the first, 120 s of the second; 30 s of changing is no rest.
    assert_eq!(cut_s(&looked(&session, 550)), 420);
}

#[test]
fn what_was_cut_too_long_asks_for_a_rest_before_more_and_never_stops_the_clock() {
    // Tape: 600 s (common practice, no source).
    let usual = cutting_on(HeldBy::Tape, 100);
    assert!(!bond::is_due(looked(&usual, 699).state()));
    assert!(bond::is_due(looked(&usual, 700).state()));
    // Less, so that no answer grows old by the way.
    let session = cutting_with(HeldBy::Tape, Some(300.0), 100);
    let session = looked(&session, 399);
    assert!(!bond::is_due(session.state()));
    assert_eq!(cool_line(&session), None);
    let session = looked(&session, 400);
    assert!(bond::is_due(session.state()));
    assert_eq!(
        session.state().phase(),
        Some(Phase::Cutting),
        "it is said, no more"
    );
    assert_eq!(cool_line(&session), Some(LineState::Open));
    let waits = must(&session, Event::ClockTurned(Phase::Waiting), second(410));
    let others = gate::list(waits.state(), ListKind::Start).lines;
    let mut session = waits.clone();
    for line in others
        .iter()
        .filter(|line| ![bond::COOL, gate::FULL_SPEED].contains(&line.id.as_str()))
        .filter(|line| line.state.is_open())
    {
        session = must(
            &session,
            Event::Answered {
                list: ListKind::Start,
                line: line.id.clone(),
                answer: millside::session::event::Answer::So,
                shown: Duration::from_secs(2),
            },
            second(415),
        );
    }
    let refused = session.apply(
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(420),
    );
    let why = refused.expect_err("the bond is warm").why;
    assert!(why.contains("cool to the hand"), "{why}");
    // The person felt it: the count begins anew, and the line stays answered on this list.
    let cool = answer_all(&session, ListKind::Start, second(425));
    assert_eq!(cool_line(&cool), Some(LineState::Answered));
    assert_eq!(cut_s(&cool), 0);
    let again = begin(&cool, second(430));
    // Warm once more: what was answered was for the time before.
    let again = looked(&again, 730);
    assert!(matches!(
        cool_line(&again),
        Some(LineState::Redo(Happening::BondTired, _))
    ));
}

#[test]
fn after_a_rest_nothing_is_asked() {
    let session = looked(&cutting_on(HeldBy::Tape, 100), 800);
    let session = must(&session, Event::ClockTurned(Phase::Paused), second(800));
    let session = looked(&session, 1100);
    assert!(!bond::is_due(session.state()));
    assert_eq!(cool_line(&session), None);
}

#[test]
fn glue_takes_longer_wax_less_and_a_vice_minds_nothing() {
    let glue = looked(&cutting_on(HeldBy::Glue, 100), 100 + 899);
    assert!(!bond::is_due(glue.state()));
    assert!(bond::is_due(looked(&glue, 100 + 900).state()));
    let wax = looked(&cutting_on(HeldBy::Wax, 100), 100 + 299);
    assert!(!bond::is_due(wax.state()));
    assert!(bond::is_due(looked(&wax, 100 + 300).state()));
    for by in [HeldBy::Vice, HeldBy::Clamps, HeldBy::Screws, HeldBy::Vacuum] {
        let session = looked(&cutting_on(by, 100), 100 + 7200);
        assert!(!bond::is_due(session.state()), "{by:?}");
        assert_eq!(bond::words(session.state()), None);
        assert_eq!(cool_line(&session), None);
    }
}

#[test]
fn the_persons_own_figure_counts_and_each_says_where_it_is_from() {
    let usual = looked(&cutting_on(HeldBy::Tape, 100), 220);
    let words = bond::words(usual.state()).expect("tape");
    assert_eq!(
        words,
        "tape: 2 min cut since it rested; rest it after 10 min (common practice, no source)"
    );
    let own = must(&usual, held(HeldBy::Tape, Some(120.0)), second(220));
    assert!(bond::is_due(own.state()), "the same bond, another figure");
    let words = bond::words(own.state()).expect("tape");
    assert_eq!(
        words,
        "BOND WARM: 2 min cut on the tape without a rest of 5 min; rest it after 2 min (your figure)"
    );
    // Another bond is a cold one.
    let glued = must(&own, held(HeldBy::Glue, None), second(221));
    assert_eq!(cut_s(&glued), 0);
}

#[test]
fn time_that_nobody_saw_counts_as_what_the_person_says_it_was() {
    let session = cutting_on(HeldBy::Tape, 100);
    // The computer slept: 400 s on the wall, 1 s by its own clock.
    let asleep = must(&session, Event::Looked, at(500, 101));
    assert_eq!(cut_s(&asleep), 1);
    let cut = must(
        &asleep,
        Event::GapExplained(Some(Phase::Cutting)),
        at(500, 101),
    );
    // By hand: 1 s seen and 399 s told.
    assert_eq!(cut_s(&cut), 400);
    let stood = must(
        &asleep,
        Event::GapExplained(Some(Phase::Waiting)),
        at(500, 101),
    );
    assert_eq!(cut_s(&stood), 0, "399 s still is a rest");
}

#[test]
fn with_the_clock_off_the_night_is_a_rest_and_the_record_keeps_the_count() {
    let session = looked(&cutting_on(HeldBy::Tape, 100), 400);
    let session = must(&session, Event::Finished, second(400));
    let text = write::text(session.state());
    assert!(text.contains("bond_cut = \"300 s\""), "{text}");
    // Opened a minute later by another run, whose own clock begins at zero.
    let back = read::state(&text, Cautions::default(), at(460, 0)).expect("it reads");
    assert_eq!(back.bond, session.state().bond);
    let soon = must(&Session::new(back.clone()), Event::Looked, at(460, 0));
    assert_eq!(cut_s(&soon), 300);
    let late = must(&Session::new(back), Event::Looked, at(40_000, 0));
    assert_eq!(cut_s(&late), 0);
}

#[test]
fn the_running_view_shows_it_and_the_hold_page_takes_the_figure() {
    let mut desk = demo(80, 24);
    hold_by(&mut desk, "tape");
    to_field(&mut desk, Field::RestAfter);
    desk.keys("\r8\r");
    let holding = desk.state().current_setup().holding.clone();
    assert_eq!(
        holding.and_then(|h| h.rest_after_s),
        Some(480.0),
        "{}",
        desk.screen()
    );
    to_step(&mut desk, Step::Cut);
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session");
    let session = ready(&work.session, now);
    work.session = begin(&session, now);
    desk.pass(240);
    let screen = desk.screen();
    assert!(
        screen.contains("tape: 4 min cut since it rested; rest it after 8 min"),
        "{screen}"
    );
    desk.pass(240);
    let screen = desk.screen();
    assert!(screen.contains("BOND WARM: 8 min cut"), "{screen}");
    assert!(screen.contains("CUTTING"), "{screen}");
}

// The longest running view: the letters still asked about, a bond with its minutes, reminders, all at 80 columns.
#[test]
fn that_these_keys_do_not_stop_the_mill_stands_whatever_else_is_said() {
    let mut desk = cutting(80, 24, 40);
    let mut state = desk.state().clone();
    let holding = state.setups[0].holding.as_mut().expect("it is held");
    holding.by = HeldBy::Tape;
    let work = desk.model.work.as_mut().expect("a session is open");
    work.session = Session::new(state);
    let screen = desk.screen();
    assert!(desk.model.legible.asks);
    for words in [
        "can you read this?",
        "tape",
        "hands needed next",
        "Never reach past",
        "These keys do not move or stop the mill.",
    ] {
        assert!(screen.contains(words), "{words}: {screen}");
    }
}
