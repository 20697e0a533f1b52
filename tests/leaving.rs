//! Before the person leaves a mill that is powered: the list is offered, never demanded, and the record keeps how the mill
//! was left.
//!
//! What is asked follows the shop rules named with each caution in `profiles/cautions/8-end.toml`.

mod support;

use std::fs;
use std::time::Duration;

use millside::app::effect::Effect;
use millside::app::key::Key;
use millside::app::model::Screen;
use millside::job::caution;
use millside::job::caution::Cautions;
use millside::job::caution::Phase;
use millside::job::conditions::Conditions;
use millside::record::compare::compare;
use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::clock::Phase as ClockPhase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::leaving;
use millside::session::matrix::Happening;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::answer_all;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::session::shipped;
use support::walk::answered;
use support::walk::cutting;
use support::walk::demo;
use support::walk::to_step;

fn lines(session: &Session) -> Vec<String> {
    gate::list(session.state(), ListKind::Leaving)
        .lines
        .into_iter()
        .map(|line| line.id)
        .collect()
}

#[test]
fn it_is_due_from_power_on_until_power_off() {
    let fresh = plate();
    assert!(!leaving::is_due(fresh.state()), "nothing was powered");
    let powered = ready(&fresh, second(10));
    assert!(leaving::is_due(powered.state()));
    let off = must(&powered, Event::Happened(Happening::PowerOff), second(20));
    assert!(!leaving::is_due(off.state()));
    let nothing = off.apply(Event::MillLeft, second(21));
    assert!(nothing.is_err(), "nothing is left open");
}

#[test]
fn at_most_seven_lines_whatever_machine_metal_and_shop_are() {
    let library = shipped();
    let mut most = 0;
    for machine in &library.machines {
        for material in &library.materials {
            for fluid in [
                None,
                Some("dry"),
                Some("air"),
                Some("water_mix"),
                Some("neat_oil"),
            ] {
                for shared in [None, Some(true), Some(false)] {
                    for enclosure in [None, Some("none"), Some("full")] {
                        let mut known = Conditions::new();
                        known.extend(&machine.states);
                        material.state(&mut known);
                        if let Some(word) = fluid {
                            known.word("fluid", word);
                        }
                        if let Some(truth) = shared {
                            known.truth("shared_space", truth);
                        }
                        if let Some(word) = enclosure {
                            known.word("enclosure", word);
                        }
                        let asked = caution::select(&library.cautions, Phase::End, &known);
                        let critical = asked.iter().filter(|c| c.critical).count();
                        assert!((3..=7).contains(&critical), "{critical}");
                        most = most.max(critical);
                    }
                }
            }
        }
    }
    assert_eq!(
        most, 7,
        "burning metal in a shared room with fluid and a door"
    );
}

#[test]
fn what_is_asked_follows_machine_metal_and_shop() {
    let mut state = ready(&plate(), second(10)).state().clone();
    state.stated.word("fluid", "dry");
    state.stated.word("enclosure", "none");
    state.stated.truth("shared_space", false);
    let dry = lines(&Session::new(state.clone()));
    assert_eq!(dry, ["power-off", "edge-away", "bin-lid"]);
    state.stated.word("fluid", "air");
    state.stated.word("enclosure", "full");
    state.stated.truth("shared_space", true);
    let library = shipped();
    let magnesium = library
        .materials
        .iter()
        .find(|m| m.name.starts_with("magnesium"));
    state.material = magnesium.expect("shipped").clone();
    let all = lines(&Session::new(state));
    for id in ["supply-off", "door-left", "lock-away", "look-again"] {
        assert!(all.iter().any(|line| line == id), "{id} in {all:?}");
    }
}

#[test]
fn answered_to_its_end_it_says_that_the_power_is_off() {
    let session = ready(&plate(), second(10));
    assert!(session.state().fact(FactKind::XyZero).is_good());
    let early = session.apply(Event::ListEnded(ListKind::Leaving), second(11));
    assert!(early.is_err(), "its lines are open");
    let session = answer_all(&session, ListKind::Leaving, second(12));
    assert!(
        session.state().fact(FactKind::XyZero).is_good(),
        "not before its end"
    );
    let left = must(&session, Event::ListEnded(ListKind::Leaving), second(13));
    let end = left.state().ended.last().expect("an end");
    assert_eq!(end.list, ListKind::Leaving);
    assert!(
        end.text.starts_with("before you leave the mill:"),
        "{}",
        end.text
    );
    assert_eq!(left.state().fact(FactKind::XyZero).word(), "redo");
    assert!(!leaving::is_due(left.state()));
    assert!(left.state().left_open.is_empty());
    // Who goes on answers the list before power again; the one before leaving is asked anew.
    assert!(gate::list(left.state(), ListKind::Power).open() > 0);
    let again = answer_all(&left, ListKind::Power, second(20));
    assert!(leaving::is_due(again.state()));
    assert_eq!(gate::list(again.state(), ListKind::Leaving).answered(), 0);
}

#[test]
fn left_open_it_is_never_refused_and_the_record_keeps_it() {
    let session = ready(&plate(), second(10));
    let not_so = Event::Answered {
        list: ListKind::Leaving,
        line: "bin-lid".to_owned(),
        answer: Answer::NotSo("the bin is full".to_owned()),
        shown: Duration::from_secs(2),
    };
    let session = must(&session, not_so, second(12));
    let left = must(&session, Event::MillLeft, second(13));
    let kept = left.state().left_open.last().expect("it is kept");
    assert_eq!(kept.at, second(13).wall);
    let count = lines(&session).len();
    let begin =
        format!("The mill was left at 14:00 with its list open, 0 of {count} answered; open:");
    assert!(kept.text.starts_with(&begin), "{}", kept.text);
    assert!(
        kept.text.contains("(not so: the bin is full)"),
        "{}",
        kept.text
    );
    assert!(
        kept.text.contains("power off before you leave"),
        "{}",
        kept.text
    );
    // Nothing was said of the power: what is known stays.
    assert!(left.state().fact(FactKind::XyZero).is_good());
    let text = write::text(left.state());
    let back = read::state(&text, Cautions::default(), second(100)).expect("it reads");
    assert_eq!(back.left_open, left.state().left_open);
    assert_eq!(write::text(&back), text);
    let compared = compare(session.state(), left.state());
    let group = compared
        .groups
        .iter()
        .find(|group| group.title == "mill left");
    assert_eq!(group.map(|group| group.rows.len()), Some(1));
}

#[test]
fn power_off_said_and_the_rest_left_open_still_takes_the_position() {
    let session = ready(&plate(), second(10));
    let off = Event::Answered {
        list: ListKind::Leaving,
        line: "power-off".to_owned(),
        answer: Answer::So,
        shown: Duration::from_secs(2),
    };
    let session = must(&session, off, second(12));
    let left = must(&session, Event::MillLeft, second(13));
    assert_eq!(left.state().left_open.len(), 1);
    assert_eq!(left.state().fact(FactKind::XyZero).word(), "redo");
}

#[test]
fn what_was_answered_lapses_when_the_work_goes_on() {
    let session = ready(&plate(), second(10));
    let session = answer_all(&session, ListKind::Leaving, second(12));
    assert_eq!(gate::list(session.state(), ListKind::Leaving).open(), 0);
    let session = must(
        &session,
        Event::CutBegan {
            ago: Duration::ZERO,
        },
        second(20),
    );
    assert_eq!(gate::list(session.state(), ListKind::Leaving).answered(), 0);
}

#[test]
fn records_from_before_say_nothing_of_it() {
    let folder = format!("{}/sessions", env!("CARGO_MANIFEST_DIR"));
    for entry in fs::read_dir(folder).expect("samples") {
        let text = fs::read_to_string(entry.expect("an entry").path()).expect("text");
        let state = read::state(&text, Cautions::default(), second(0)).expect("it reads");
        assert!(state.left_open.is_empty());
    }
}

fn is_quit(desk: &Desk) -> bool {
    desk.other.contains(&Effect::Quit)
}

#[test]
fn a_mill_that_was_never_powered_is_left_at_once() {
    let mut desk = demo(80, 24);
    desk.keys("\x1b");
    assert_eq!(desk.model.screen, Screen::Jobs);
    let mut desk = demo(80, 24);
    desk.keys("q");
    assert!(is_quit(&desk));
}

#[test]
fn the_list_comes_before_the_jobs_and_its_end_leads_there() {
    let mut desk = answered(80, 24);
    desk.keys("\x1b");
    let screen = desk.screen();
    assert!(screen.contains("BEFORE YOU LEAVE THE MILL"), "{screen}");
    assert!(screen.contains("leave with this list open"), "{screen}");
    assert_eq!(desk.model.screen, Screen::Session);
    let count = gate::list(desk.state(), ListKind::Leaving).lines.len();
    assert!(count >= 3);
    for _ in 0..count {
        desk.keys("1");
    }
    // The end is announced and answered like that of other lists.
    assert_eq!(desk.model.screen, Screen::Session);
    desk.keys("1");
    assert_eq!(desk.model.screen, Screen::Jobs, "{}", desk.screen());
    let saved = desk.saved.last().expect("saved");
    let said = saved.answers.iter().filter(|a| a.list == ListKind::Leaving);
    assert_eq!(said.count(), count);
    assert!(
        saved
            .ended
            .iter()
            .any(|ended| ended.list == ListKind::Leaving)
    );
    assert!(saved.left_open.is_empty());
}

#[test]
fn the_same_key_once_more_leaves_with_the_list_open_and_a_held_one_does_not() {
    let mut desk = answered(80, 24);
    desk.keys("\x1b");
    // The key is held: it comes again at once.
    for _ in 0..5 {
        let now = desk.now();
        desk.send(millside::app::message::Message::Pressed(Key::Escape, now));
    }
    assert_eq!(desk.model.screen, Screen::Session, "{}", desk.screen());
    desk.keys("1\x1b");
    assert_eq!(desk.model.screen, Screen::Jobs);
    let screen = desk.screen();
    assert!(screen.contains("The mill was left at"), "{screen}");
    let saved = desk.saved.last().expect("saved");
    assert_eq!(saved.left_open.len(), 1);
    assert!(
        saved.left_open[0].text.contains("1 of "),
        "{:?}",
        saved.left_open
    );
}

#[test]
fn ending_the_program_offers_it_too_and_is_never_refused() {
    let mut desk = answered(80, 24);
    desk.keys("q");
    assert!(!is_quit(&desk));
    assert!(desk.screen().contains("BEFORE YOU LEAVE THE MILL"));
    desk.keys("q");
    assert!(is_quit(&desk));
    assert_eq!(
        desk.saved.last().map(|state| state.left_open.len()),
        Some(1)
    );
    // The interrupt key as well, twice.
    let mut desk = answered(80, 24);
    desk.key(Key::Interrupt);
    assert!(!is_quit(&desk));
    desk.key(Key::Interrupt);
    assert!(is_quit(&desk));
}

#[test]
fn from_the_row_too_for_a_keypad_without_those_keys() {
    let mut desk = answered(80, 24);
    desk.keys("q");
    for _ in 0..20 {
        desk.keys("2");
    }
    desk.keys("\r");
    assert!(is_quit(&desk), "{}", desk.screen());
    assert_eq!(
        desk.saved.last().map(|state| state.left_open.len()),
        Some(1)
    );
}

#[test]
fn four_goes_back_to_the_work_and_nothing_is_lost() {
    let mut desk = answered(80, 24);
    desk.keys("\x1b1");
    desk.keys("4");
    assert_eq!(desk.state().step, Step::Cut, "where the work stood");
    assert!(
        desk.screen().contains("BEFORE THIS CUT"),
        "{}",
        desk.screen()
    );
    // What is known of the mill stands, and so does the list before the cut.
    desk.keys("5");
    assert_eq!(
        desk.state().phase(),
        Some(ClockPhase::Cutting),
        "{}",
        desk.screen()
    );
}

#[test]
fn while_it_cuts_no_list_comes_and_leaving_is_written_down() {
    let mut desk = cutting(80, 24, 30);
    desk.keys("q");
    assert!(
        !desk.screen().contains("BEFORE YOU LEAVE"),
        "{}",
        desk.screen()
    );
    assert!(!is_quit(&desk), "it asks once");
    desk.keys("q");
    assert!(is_quit(&desk));
    assert_eq!(
        desk.saved.last().map(|state| state.left_open.len()),
        Some(1)
    );
}

#[test]
fn who_comes_back_reads_how_the_mill_was_left() {
    let mut desk = answered(80, 24);
    desk.keys("q");
    desk.keys("q");
    let saved = desk.saved.last().expect("saved").clone();
    let now = desk.now();
    desk.send(millside::app::message::Message::Opened {
        path: "plate.toml".to_owned(),
        session: Box::new(Session::new(saved)),
        read_only: None,
        away: None,
        at: now,
    });
    to_step(&mut desk, Step::Hold);
    let text: Vec<String> = millside::app::page::rows(&desk.model)
        .into_iter()
        .filter_map(|row| match row {
            millside::app::row::Row::Text(text) => Some(text),
            _ => None,
        })
        .collect();
    assert!(
        text.iter()
            .any(|line| line.contains("The mill was left at")),
        "{text:?}"
    );
}
