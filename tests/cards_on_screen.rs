//! The emergency cards as they stand on the screen: which page, in which window, and what they go by.

mod support;

use std::time::Duration;

use millside::app::cards;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::overlay::Overlay;
use millside::job::conditions::Value;
use millside::session::Session;
use millside::session::event::Event;
use millside::session::known;
use millside::session::matrix::Happening;

use support::card::FLUIDS;
use support::card::made_of;
use support::card::press;
use support::desk::Desk;
use support::walk::cutting;
use support::walk::demo;

#[test]
fn who_cuts_metal_that_burns_sees_that_nobody_holds_in_the_cut() {
    for (name, is_said) in [
        ("magnesium-az31", true),
        ("titanium-grade-2", true),
        ("al-6061-t6", false),
    ] {
        let mut desk = cutting(80, 24, 40);
        made_of(&mut desk, name, true);
        let screen = desk.screen();
        assert_eq!(
            screen.contains("This metal: no hold in the cut"),
            is_said,
            "{screen}"
        );
        desk.keys("5");
        assert!(
            desk.page_text().contains("The clock waits"),
            "{}",
            desk.screen()
        );
        assert_eq!(
            desk.page_text().to_lowercase().contains("feed hold"),
            !is_said,
            "{}",
            desk.page_text()
        );
    }
}

#[test]
fn the_first_act_is_the_first_thing_on_every_page_and_in_every_window() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    for (columns, rows) in [(80, 24), (120, 40), (160, 50), (40, 12), (30, 8), (20, 5)] {
        for material in ["al-6061-t6", "magnesium-az31", "steel-42crmo4-annealed"] {
            for pages in ["", "1", "2", "3", "4"] {
                desk.model = base.clone();
                made_of(&mut desk, material, true);
                desk.send(Message::Resized(columns, rows));
                press(&mut desk, Key::Char('.'));
                let is_small = columns < 80 || rows < 24;
                desk.keys(pages);
                let screen = desk.screen();
                if pages == "3" {
                    // Who is held by a current needs the mains off before all else.
                    let first = screen.find("lectric shock").or(screen.find("Shock: MAINS"));
                    let stop = screen.find("EMERGENCY STOP").unwrap_or(usize::MAX);
                    assert!(first.is_some_and(|first| first < stop), "{screen}");
                }
                if pages == "3" && !is_small || pages == "4" {
                    // No act stands above its blocks: they ask for several.
                    assert!(!screen.contains("you can reach it"), "{screen}");
                    // Nor large letters; beside the card may stand a bar.
                    let mut left = screen.lines().filter_map(|row| row.split('│').next());
                    let is_big = |row: &str| row.contains(['█', '▀', '▄']);
                    assert!(!left.any(is_big), "{screen}");
                    let page = if pages == "4" {
                        "EMERGENCY STOP for:"
                    } else {
                        "FIRST AID"
                    };
                    assert!(screen.contains(page), "{screen}");
                    continue;
                }
                // Beside the card stands what the screen shows else.
                let left = screen
                    .lines()
                    .map(|row| row.split('│').next().unwrap_or_default());
                // Large letters come before it where there is room, and they say the same.
                let mut below = left
                    .skip(if is_small { 0 } else { 3 })
                    .map(str::trim)
                    .filter(|row| !row.is_empty() && !row.contains(['█', '▀', '▄']));
                let first = below.next().unwrap_or_default();
                let act = if pages == "3" {
                    "SHOCK: MAINS OFF"
                } else {
                    "EMERGENCY STOP"
                };
                let first = first.to_uppercase();
                let first = first.trim_start_matches("ELECTRIC ");
                let first = first.trim_start_matches("PRESS ");
                assert!(first.starts_with(act), "{material} {pages}\n{screen}");
                let whole = screen.split_whitespace().collect::<Vec<_>>().join(" ");
                // Twenty columns name the pages instead: every other key leads back.
                assert!(
                    whole.contains("back") || columns == 20 && whole.contains("1 fire 2 hurt"),
                    "{columns} x {rows} {pages}\n{screen}"
                );
                // The smallest windows turn on to it.
                let is_turned = is_small && !pages.is_empty();
                if material == "magnesium-az31" && ["", "1"].contains(&pages) && !is_turned {
                    assert!(
                        whole.to_lowercase().contains("never water"),
                        "{columns} x {rows} {pages}\n{screen}"
                    );
                    assert!(!whole.contains("Oil fire"), "{screen}");
                }
            }
        }
    }
}

// The smallest window: four rows for what cannot wait, with the number where it has room.
#[test]
fn twenty_columns_have_the_number_beside_who_calls() {
    let mut desk = cutting(80, 24, 40);
    desk.send(Message::Resized(20, 5));
    press(&mut desk, Key::Char('.'));
    for (number, fire, hurt) in [
        (None, "FIRE leave, call", "HURT mains off, call"),
        (Some("112"), "FIRE leave, call 112", "HURT mains off, call"),
        (
            Some("0800 123 4567"),
            "FIRE leave, call",
            "HURT mains off, call",
        ),
    ] {
        desk.model.library.emergency_number = number.map(str::to_owned);
        let screen = desk.screen();
        let rows: Vec<&str> = screen.lines().map(str::trim_end).collect();
        assert_eq!(rows[0], "PRESS EMERGENCY STOP");
        assert!(rows.contains(&fire) && rows.contains(&hurt), "{screen}");
        assert_eq!(rows[4], "1 fire 2 hurt 3 eye", "{screen}");
    }
}

// Alcohol that nobody accepted yet: where metal burns, it only adds that its flame is hard to see.
#[test]
fn alcohol_that_was_stated_is_not_forgotten_beside_burning_metal() {
    for (name, kept) in [
        ("magnesium-az31", true),
        ("titanium-grade-2", true),
        ("al-6061-t6", false),
    ] {
        let mut desk = demo(80, 24);
        let mut state = desk.state().clone();
        state.stated.word("fluid", "alcohol");
        desk.model.work.as_mut().expect("open").session = Session::new(state);
        made_of(&mut desk, name, false);
        assert!(!known::is_accepted(desk.state()));
        let fluid = known::for_cards(desk.state()).get("fluid").cloned();
        assert_eq!(fluid.is_some(), kept, "{name}");
        press(&mut desk, Key::Char('.'));
        desk.keys("1");
        let screen = desk.screen();
        assert!(
            screen.contains("An alcohol flame is almost invisible."),
            "{name}\n{screen}"
        );
        assert!(!screen.contains("CO2 or ABC powder, once"), "{screen}");
    }
}

#[test]
fn no_page_of_the_card_is_cut_off() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    for (columns, rows) in [(80, 24), (120, 40)] {
        for case in ["magnesium-az31", "al-6061-t6", "titanium-grade-2"] {
            for fluid in FLUIDS {
                desk.model = base.clone();
                let mut state = desk.state().clone();
                state.machine.states.forget("gravity_axis");
                state.machine.states.forget("enclosure");
                match fluid {
                    Some(fluid) => state.stated.word("fluid", fluid),
                    None => state.stated.forget("fluid"),
                }
                desk.model.work.as_mut().expect("open").session = Session::new(state);
                made_of(&mut desk, case, true);
                desk.send(Message::Resized(columns, rows));
                let pages = cards::Page::KEYS.map(|(key, page, _)| (key.to_string(), page));
                let first = [(String::new(), cards::Page::First)];
                for (key, page) in first.into_iter().chain(pages) {
                    press(&mut desk, Key::Char('.'));
                    desk.keys(&key);
                    let screen = desk.screen();
                    // Beside the card stands what the screen shows else.
                    let left = screen
                        .lines()
                        .map(|row| row.split('│').next().unwrap_or_default());
                    let whole: Vec<&str> = left.flat_map(str::split_whitespace).collect();
                    let whole = whole.join(" ");
                    for (_, on) in page.parts() {
                        for text in cards::texts(&desk.model, *on, None) {
                            assert!(
                                whole.contains(&text),
                                "{case} {fluid:?} {page:?}: {text}\n{screen}"
                            );
                        }
                    }
                    assert!(
                        whole.contains("other key: back"),
                        "{case} {fluid:?} {page:?}\n{screen}"
                    );
                    press(&mut desk, Key::Enter);
                }
            }
        }
    }
}

#[test]
fn the_emergency_number_or_what_to_dial_stands_on_every_page() {
    let mut desk = cutting(80, 24, 40);
    for number in [None, Some("112")] {
        desk.model.library.emergency_number = number.map(str::to_owned);
        for pages in ["", "1", "2", "3", "4"] {
            press(&mut desk, Key::Char('.'));
            desk.keys(pages);
            let screen = desk.screen();
            assert_eq!(
                screen.contains(": 112"),
                number.is_some(),
                "{pages}\n{screen}"
            );
            assert_eq!(
                screen.contains("Number not entered: dial your local emergency number."),
                number.is_none(),
                "{pages}\n{screen}"
            );
            // In an emergency nobody edits a file.
            assert!(!screen.contains(".toml"), "{pages}\n{screen}");
            press(&mut desk, Key::Enter);
        }
    }
}

#[test]
fn until_material_and_coolant_are_accepted_the_card_takes_it_for_metal_that_burns() {
    let mut desk = demo(80, 24);
    assert!(!known::is_accepted(desk.state()));
    press(&mut desk, Key::Char('.'));
    assert!(
        desk.screen().contains("Metal not confirmed: NEVER water"),
        "{}",
        desk.screen()
    );
    let mut desk = cutting(80, 24, 40);
    assert!(known::is_accepted(desk.state()));
    // Another material than the one that was accepted.
    made_of(&mut desk, "steel-42crmo4-annealed", false);
    assert!(!known::is_accepted(desk.state()));
    let stated = known::for_cards(desk.state());
    assert_eq!((stated.get("material"), stated.get("fluid")), (None, None));
    // A metal that burns counts at once.
    made_of(&mut desk, "magnesium-az31", false);
    let stated = known::for_cards(desk.state());
    assert_eq!(
        stated.get("material"),
        Some(&Value::Word("magnesium".to_owned()))
    );
    // Another coolant asks again.
    made_of(&mut desk, "al-6082-t6", true);
    assert!(known::is_accepted(desk.state()));
    let mut state = desk.state().clone();
    state.stated.word("fluid", "alcohol");
    assert!(!known::is_accepted(&state));
}

// A fire asks much again; what burns is still what was accepted.
#[test]
fn after_a_fire_the_card_goes_on_with_what_was_accepted_last() {
    for (number, page, words) in [("10", "1", "Oil fire: CO2"), ("11", "1", "Oil fire: CO2")] {
        let mut desk = cutting(80, 24, 40);
        let mut state = desk.state().clone();
        state.stated.word("fluid", "neat_oil");
        desk.model.work.as_mut().expect("open").session = Session::new(state);
        made_of(&mut desk, "al-6061-t6", true);
        desk.keys("-");
        desk.keys(number);
        press(&mut desk, Key::Enter);
        assert!(!desk.state().stops.is_empty(), "{}", desk.screen());
        assert!(!known::is_accepted(desk.state()), "it is asked again");
        for _ in 0..3 {
            press(&mut desk, Key::Escape);
        }
        press(&mut desk, Key::Char('.'));
        assert!(
            desk.screen().contains("NEVER WATER on burning oil"),
            "{}",
            desk.screen()
        );
        desk.keys(page);
        assert!(desk.screen().contains(words), "{}", desk.screen());
        // The person says that another fluid is in, before or after: nobody has accepted that one.
        let changed = Event::Happened(Happening::FluidChanged);
        let session = Session::new(desk.state().clone());
        let after = session.apply(changed, desk.now()).expect("it is noted");
        let stated = known::for_cards(after.state());
        assert_eq!((stated.get("material"), stated.get("fluid")), (None, None));
        // Another coolant since: nobody has accepted that one.
        let mut state = desk.state().clone();
        state.stated.word("fluid", "alcohol");
        let stated = known::for_cards(&state);
        assert_eq!((stated.get("material"), stated.get("fluid")), (None, None));
    }
}

// Keyboards repeat a held key 25 to 40 times a second (from memory); a finger is slower than 80 ms.
#[test]
fn the_digit_of_a_page_may_come_again_at_the_speed_of_a_finger() {
    let mut desk = cutting(80, 24, 40);
    desk.send(Message::Resized(20, 5));
    press(&mut desk, Key::Char('.'));
    press(&mut desk, Key::Char('1'));
    let first = desk.screen();
    for (ms, turns) in [(30, false), (120, true)] {
        let mut at = desk.now();
        at.mono += Duration::from_millis(ms);
        desk.send(Message::Pressed(Key::Char('1'), at));
        assert_eq!(desk.screen() != first, turns, "{ms} ms");
    }
}

#[test]
fn the_key_of_what_happened_leads_from_the_card_to_its_list() {
    let mut desk = cutting(80, 24, 40);
    press(&mut desk, Key::Char('.'));
    assert!(desk.screen().contains("- note"), "{}", desk.screen());
    press(&mut desk, Key::Char('-'));
    assert!(
        matches!(desk.model.overlay, Some(Overlay::Happened { .. })),
        "{}",
        desk.screen()
    );
}
