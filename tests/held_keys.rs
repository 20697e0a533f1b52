//! A hand that leans on one key of the keypad: nothing harmful comes of it, wherever the work stands.

mod support;

use std::time::Duration;

use millside::app::key::Key;
use millside::app::message::Kept;
use millside::app::message::Message;
use millside::app::update::update;
use millside::session::clock::Phase;
use millside::session::fact::FactKind;
use millside::session::moment::Moment;
use millside::session::state::State;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::answered;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::finish_all;

/// Keyboards repeat a key that is held some thirty times a second (common practice, no source).
const REPEAT: Duration = Duration::from_millis(33);

/// They wait about half a second before the first repeat (common practice, no source).
const FIRST: Duration = Duration::from_millis(500);

/// How long the hand leans on it, in repeats: a second or so.
const REPEATS: u32 = 24;

const KEYS: [Key; 16] = [
    Key::Char('0'),
    Key::Char('1'),
    Key::Char('2'),
    Key::Char('3'),
    Key::Char('4'),
    Key::Char('5'),
    Key::Char('6'),
    Key::Char('7'),
    Key::Char('8'),
    Key::Char('9'),
    Key::Char('.'),
    Key::Char('+'),
    Key::Char('-'),
    Key::Char('*'),
    Key::Char('/'),
    Key::Enter,
];

/// Goes there with arrows: on one of the worst lines a digit would be its answer.
fn at(step: Step, mut desk: Desk) -> Desk {
    let place = |step: Step| Step::RAIL.iter().position(|other| *other == step);
    while desk.state().step != step {
        let is_ahead = place(desk.state().step) < place(step);
        desk.key(if is_ahead { Key::Right } else { Key::Left });
    }
    desk
}

fn keys(mut desk: Desk, keys: &str) -> Desk {
    desk.keys(keys);
    desk
}

/// Every step, and what lies over one.
fn places() -> Vec<(String, Desk)> {
    let mut all: Vec<(String, Desk)> = Step::RAIL
        .into_iter()
        .map(|step| (step.word().to_owned(), at(step, decided(80, 24))))
        .collect();
    all.extend([
        ("fresh list".to_owned(), at(Step::Hold, demo(80, 24))),
        ("answered gate".to_owned(), at(Step::Cut, answered(80, 24))),
        ("running".to_owned(), cutting(80, 24, 40)),
        ("waiting".to_owned(), keys(cutting(80, 24, 40), "5")),
        ("pause".to_owned(), keys(cutting(80, 24, 40), "p")),
        ("what happened".to_owned(), keys(cutting(80, 24, 40), "-")),
        (
            "a mishap chosen".to_owned(),
            keys(cutting(80, 24, 40), "-2\r"),
        ),
        ("advice".to_owned(), keys(cutting(80, 24, 40), "-2\r1\r")),
        ("finished?".to_owned(), keys(cutting(80, 24, 40), "9")),
        ("more".to_owned(), keys(cutting(80, 24, 40), "\r")),
        ("which tool".to_owned(), keys(cutting(80, 24, 40), "+")),
        ("all cut".to_owned(), at(Step::Measure, finish_all(80, 24))),
        ("release".to_owned(), at(Step::Release, finish_all(80, 24))),
    ]);
    all
}

/// Holds a key down, the first repeat after half a second or at once.
fn hold(desk: &mut Desk, key: Key, waits: bool) {
    let begun = desk.now();
    let first = if waits { FIRST } else { Duration::ZERO };
    for repeat in 0..REPEATS {
        let wait = if repeat > 0 { first } else { Duration::ZERO };
        let after = Duration::from_secs(2) + wait + REPEAT * repeat;
        let now = Moment {
            wall: begun.wall + chrono::TimeDelta::from_std(after).expect("seconds"),
            mono: begun.mono + after,
        };
        for effect in update(&mut desk.model, Message::Pressed(key, now)) {
            assert!(
                !matches!(effect, millside::app::effect::Effect::Quit),
                "the program ended"
            );
        }
        // A save is over before the next repeat.
        update(&mut desk.model, Message::Saved(Ok(Kept::InPlace)));
    }
}

fn good(state: &State) -> Vec<FactKind> {
    FactKind::ALL
        .into_iter()
        .filter(|kind| state.fact(*kind).is_good())
        .collect()
}

#[test]
fn a_key_that_is_held_down_costs_nothing_anywhere() {
    for (name, mut desk) in places() {
        let as_it_was = desk.model.clone();
        for (key, waits) in KEYS.into_iter().flat_map(|key| [(key, false), (key, true)]) {
            // What one press answers: it was chosen by its number or asked for, and this is the answer to it.
            if matches!(
                (name.as_str(), key),
                ("a mishap chosen", Key::Enter) | ("finished?", Key::Char('1'))
            ) {
                continue;
            }
            desk.model = as_it_was.clone();
            let before = desk.state().clone();
            hold(&mut desk, key, waits);
            let after = desk
                .model
                .state()
                .unwrap_or_else(|| panic!("{name}, {key:?}: the session was left"));
            let what = format!("{name}, {key:?}, waits {waits}");
            assert_eq!(after.stops.len(), before.stops.len(), "{what}");
            if after.answers.len() == before.answers.len() {
                assert_eq!(good(after), good(&before), "{what}");
            } else {
                // One line may be answered, and with it the fact that it is.
                let lost = good(&before)
                    .into_iter()
                    .find(|kind| !good(after).contains(kind));
                assert_eq!(lost, None, "{what}");
                assert!(good(after).len() <= good(&before).len() + 1, "{what}");
            }
            assert_eq!(after.wrap_up.is_some(), before.wrap_up.is_some(), "{what}");
            for (now, then) in after.setups.iter().zip(&before.setups) {
                assert_eq!(now.let_go.is_some(), then.let_go.is_some(), "{what}");
                let progress = |setup: &millside::session::state::Setup| -> Vec<_> {
                    setup.operations.iter().map(|o| o.progress).collect()
                };
                // Turning the clock on once is what the key is for, where nothing is open.
                if !(name == "answered gate" && key == Key::Char('5')) {
                    assert_eq!(progress(now), progress(then), "{what}");
                }
            }
            let answers = after.answers.len() - before.answers.len();
            assert!(answers <= 1, "{what}: {answers} answers");
            // It may wait from now on; it never counts cutting where it did not.
            let phase = after.phase();
            if name != "answered gate" && phase == Some(Phase::Cutting) {
                assert_eq!(before.phase(), phase, "{what}");
            }
        }
    }
}
