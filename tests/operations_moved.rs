//! Operations that are put in or taken out: what is kept of the others goes with them, and nothing is believed of the
//! wrong one. The sums are by hand.

mod support;

use std::time::Duration;

use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::ListKind;

use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;

fn title(session: &Session) -> &str {
    session
        .state()
        .current_operation()
        .map_or("none", |operation| operation.title.as_str())
}

fn spot() -> Event {
    Event::OperationAdded(
        Some(0),
        Box::new(Operation {
            title: "spot".to_owned(),
            kind: OperationKind::DrillThrough,
            tool: Some(1),
            ..Operation::default()
        }),
    )
}

/// The second operation runs since 100 s; the first was passed over and is still planned.
fn drilling() -> Session {
    let session = must(&plate(), Event::OperationEntered(1), second(5));
    let session = ready(&session, second(100));
    must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(100),
    )
}

#[test]
fn a_running_clock_goes_with_its_operation_when_one_before_it_is_taken_out() {
    let running = drilling();
    let session = must(&running, Event::OperationRemoved(0), second(160));
    assert_eq!(title(&session), "drill four holes");
    assert_eq!(session.state().phase(), Some(Phase::Cutting));
    let clock = session.state().clock().expect("its clock");
    assert_eq!(clock.read(second(160)).cutting, Duration::from_secs(60));
    let done = must(&session, Event::Finished, second(170));
    let read = |setup, operation| {
        let clock = done.state().clocks.get(&(setup, operation));
        clock.map(|clock| clock.read(second(500)).cutting.as_secs())
    };
    assert_eq!((read(0, 0), read(0, 1)), (Some(70), None));
}

#[test]
fn what_was_noted_and_ended_stays_with_its_operation() {
    let session = must(
        &drilling(),
        Event::Noted("chips long".to_owned()),
        second(120),
    );
    let session = must(&session, Event::OperationRemoved(0), second(160));
    assert_eq!(session.state().notes[0].operation, 0);
    let ends = session.state().ended.iter();
    let start: Vec<usize> = ends
        .filter(|ended| ended.list == ListKind::Start)
        .map(|ended| ended.operation)
        .collect();
    assert_eq!(start, [0]);
}

#[test]
fn a_list_that_was_answered_for_one_operation_is_not_answered_for_the_next() {
    let answered = ready(&plate(), second(10));
    assert_eq!(gate::list(answered.state(), ListKind::Start).open(), 0);
    let session = must(&answered, Event::OperationRemoved(0), second(20));
    assert_eq!(title(&session), "drill four holes");
    assert_eq!(gate::list(session.state(), ListKind::Start).answered(), 0);
    assert!(!session.state().fact(FactKind::Recipe).is_good());
    assert!(
        session
            .apply(
                Event::CutBegan {
                    ago: Duration::ZERO
                },
                second(21)
            )
            .is_err()
    );
}

#[test]
fn an_operation_put_before_the_next_one_begins_with_nothing_known() {
    let answered = ready(&plate(), second(10));
    assert!(answered.state().fact(FactKind::Recipe).is_good());
    let session = must(&answered, spot(), second(20));
    assert_eq!(title(&session), "spot");
    assert_eq!(session.state().fact(FactKind::Recipe).word(), "open");
    assert_eq!(gate::list(session.state(), ListKind::Start).answered(), 0);
    // The one behind keeps what was known of it.
    let behind = must(&session, Event::OperationEntered(1), second(30));
    assert_eq!(title(&behind), "pocket");
    assert!(behind.state().fact(FactKind::Recipe).is_good());
}

#[test]
fn one_put_in_front_leaves_the_one_in_work_in_work() {
    let entered = must(&plate(), Event::OperationEntered(2), second(5));
    assert_eq!(title(&entered), "deburr");
    let session = must(&entered, spot(), second(6));
    assert_eq!(title(&session), "deburr");
    let refused = drilling().apply(spot(), second(130));
    assert!(refused.is_err(), "not before one that has begun");
}
