//! In a window too small for a screen the clock turns, the emergency card opens, and nothing is answered that cannot be seen.

mod support;
#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;
use std::time::Duration;

use millside::app::cards;
use millside::app::cards::Page;
use millside::app::effect::Effect;
use millside::app::field::Field;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::overlay::Overlay;
use millside::app::overlay::Sure;
use millside::job::card::On;
use millside::record::read;
use millside::session::Session;
use millside::session::clock::Phase;
use millside::session::state::State;
use millside::session::state::Step;

use support::card::FIELDS;
use support::card::by_arrows;
use support::card::comes_back;
use support::card::editing;
use support::card::made_of;
use support::card::overlays;
use support::card::overlays_with_text;
use support::card::press;
use support::card::still;
use support::card::typed;
use support::desk::Desk;
use support::records;
use support::session::second;
use support::session::shipped;
use support::walk::answered;
use support::walk::cutting;
use support::walk::decided;
use terminal::Terminal;
use terminal::answer;
use terminal::step;

/// Keys that a hand may hit while it cannot see what they would do.
fn other_keys() -> Vec<Key> {
    let characters = "0123456789+-*/?qtplruxyn ".chars().map(Key::Char);
    characters
        .chain([
            Key::Enter,
            Key::Escape,
            Key::Backspace,
            Key::Delete,
            Key::Tab,
            Key::BackTab,
            Key::Up,
            Key::Down,
            Key::Left,
            Key::Right,
            Key::Home,
            Key::End,
            Key::PageUp,
            Key::PageDown,
        ])
        .collect()
}

/// The window 40 x 12, and rows that are cut off nowhere.
fn shrink(desk: &mut Desk) {
    desk.send(Message::Resized(40, 12));
}

/// All keys but point, clock and Ctrl-C leave the model as it is, the outcome of the last key too.
fn nothing_acts(what: &str, desk: &mut Desk, also_clock: bool) {
    desk.model.say("as it was");
    for key in other_keys() {
        if key == Key::Char('5') && !also_clock {
            continue;
        }
        let before = still(&desk.model);
        let effects = press(desk, key);
        assert!(effects.is_empty(), "{what}, {key:?}: {effects:?}");
        assert_eq!(still(&desk.model), before, "{what}, {key:?}");
        let notice = desk.model.notice.as_ref().map(|n| n.text.as_str());
        assert_eq!(notice, Some("as it was"), "{what}, {key:?}");
    }
}

#[test]
fn a_small_window_answers_nothing_unseen() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    let mut all = overlays();
    all.extend(overlays_with_text().into_iter().map(|(overlay, _)| overlay));
    for overlay in all {
        if overlay == Overlay::Sure(Sure::Quit) {
            continue;
        }
        let what = format!("{overlay:?}");
        desk.model = base.clone();
        desk.model.overlay = Some(overlay);
        shrink(&mut desk);
        let screen = desk.screen();
        assert!(
            screen.contains("Something waits that needs more room"),
            "{what}\n{screen}"
        );
        assert!(!screen.contains("5 clock"), "{what}\n{screen}");
        nothing_acts(&what, &mut desk, true);
        comes_back(&what, &mut desk);
    }
    for field in FIELDS {
        let what = format!("{field:?}");
        desk.model = base.clone();
        desk.model.editing = Some(editing(field, typed("12")));
        shrink(&mut desk);
        assert!(desk.screen().contains("Something waits"), "{what}");
        nothing_acts(&what, &mut desk, true);
        // Nothing can be typed here, so that one point is enough.
        comes_back(&what, &mut desk);
    }
}

#[test]
fn a_small_window_acts_on_no_row() {
    let mut jobs = Desk::new(80, 24);
    shrink(&mut jobs);
    assert!(!jobs.screen().contains("5 clock"), "{}", jobs.screen());
    nothing_acts("jobs", &mut jobs, true);
    comes_back("jobs", &mut jobs);
    for rail_step in Step::RAIL {
        let mut desk = decided(80, 24);
        by_arrows(&mut desk, rail_step);
        shrink(&mut desk);
        nothing_acts(rail_step.word(), &mut desk, false);
        comes_back(rail_step.word(), &mut desk);
        // The clock says why it does not go on.
        press(&mut desk, Key::Char('5'));
        assert_eq!(desk.state().phase(), None);
        assert!(desk.screen().contains("! "), "{}", desk.screen());
    }
    let mut desk = cutting(80, 24, 40);
    shrink(&mut desk);
    nothing_acts("running", &mut desk, false);
    assert_eq!(desk.state().phase(), Some(Phase::Cutting));
}

#[test]
fn a_small_window_names_its_keys_and_the_clock_turns() {
    let mut desk = cutting(80, 24, 40);
    shrink(&mut desk);
    let screen = desk.screen();
    for words in [
        "cutting  0:40",
        "5 clock waits   . emergency card",
        "40 x 12: too small, needs 80 x 24.",
        "No other key does anything here; Ctrl-C",
        "The mill does not know. Emergency: its",
    ] {
        assert!(screen.contains(words), "{words}\n{screen}");
    }
    press(&mut desk, Key::Char('5'));
    assert_eq!(desk.state().phase(), Some(Phase::Waiting));
    let screen = desk.screen();
    assert!(screen.contains("waiting  0:42"), "{screen}");
    assert!(screen.contains("5 clock ("), "{screen}");
    // A key that is held down counts once.
    let mut desk = cutting(80, 24, 40);
    shrink(&mut desk);
    for _ in 0..2 {
        let now = desk.now();
        desk.send(Message::Pressed(Key::Char('5'), now));
    }
    assert_eq!(desk.state().phase(), Some(Phase::Waiting));
    assert!(desk.screen().contains("counts once"), "{}", desk.screen());
    // What cannot be saved is said here, too.
    desk.send(Message::Saved(Err("the disk is full".to_owned())));
    let screen = desk.screen();
    assert!(
        screen.contains("NOT SAVED") && screen.contains("the disk is full"),
        "{screen}"
    );
}

#[test]
fn the_short_card_says_what_must_not_be_missed_and_is_cut_off_nowhere() {
    // As the large card, whose sources stand at its lines.
    for (metal, fire, least) in [
        (
            "al-6061-t6",
            "IF chips glow: no water, foam, CO2, ABC.",
            "Glow: no water/CO2",
        ),
        (
            "magnesium-az31",
            "NEVER water, foam, CO2 or ABC powder.",
            "NEVER WATER/CO2/ABC",
        ),
        (
            "titanium-grade-2",
            "NEVER water, foam, CO2 or ABC powder.",
            "NEVER WATER/CO2/ABC",
        ),
        (
            "iron-grey",
            "FIRE: warn others, leave, call.",
            "FIRE leave, call",
        ),
    ] {
        let mut desk = cutting(80, 24, 40);
        made_of(&mut desk, metal, true);
        shrink(&mut desk);
        press(&mut desk, Key::Char('.'));
        let screen = desk.screen();
        let text: Vec<&str> = screen.split_whitespace().collect();
        let text = text.join(" ");
        for words in [
            "PRESS EMERGENCY STOP if in reach.",
            "Hands off until everything is still.",
            "FIRE: warn others, leave, call.",
            fire,
            "Fight only if small, way out behind you.",
            "HURT by shock: MAINS OFF, then touch.",
            "Shout for help, call on speaker.",
            "Bleeding: press hard, keep pressing.",
            "Caught: mains off, never reverse.",
            "Dial your local emergency number.",
            "1 fire 2 hurt 3 eye 4 hold else: back",
        ] {
            assert!(text.contains(words), "{metal}: {words}\n{screen}");
        }
        assert!(screen.starts_with("PRESS EMERGENCY STOP"), "{screen}");
        desk.send(Message::Resized(20, 5));
        let screen = desk.screen();
        for words in [
            "PRESS EMERGENCY STOP",
            "FIRE leave, call",
            least,
            "HURT mains off, call",
            "1 fire 2 hurt 3 eye",
        ] {
            assert!(screen.contains(words), "{metal}: {words}\n{screen}");
        }
    }
}

#[test]
fn in_a_small_window_the_digits_open_the_pages_and_nothing_of_them_is_missing() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    for (columns, rows) in [(40, 12), (30, 8), (20, 5)] {
        for fluid in [Some("water_mix"), Some("neat_oil"), Some("alcohol"), None] {
            for metal in ["al-6061-t6", "titanium-grade-2"] {
                desk.model = base.clone();
                let mut state = desk.state().clone();
                state.machine.states.forget("gravity_axis");
                state.machine.states.forget("enclosure");
                match fluid {
                    Some(fluid) => state.stated.word("fluid", fluid),
                    None => state.stated.forget("fluid"),
                }
                desk.model.work.as_mut().expect("open").session = Session::new(state);
                made_of(&mut desk, metal, true);
                desk.send(Message::Resized(columns, rows));
                press(&mut desk, Key::Char('.'));
                let what = format!("{columns} x {rows} {fluid:?} {metal}");
                // The first page ends with its keys: nothing of it is cut off.
                let screen = desk.screen();
                let keys = if columns == 20 {
                    "1 fire 2 hurt 3 eye"
                } else {
                    "else: back"
                };
                assert!(screen.contains(keys), "{what}\n{screen}");
                if columns == 40 {
                    for words in ["Bleeding", "Caught", "Fight only", "enclosure"] {
                        assert!(screen.contains(words), "{what}: {words}\n{screen}");
                    }
                }
                let is_never = metal != "al-6061-t6" || fluid != Some("water_mix");
                let says = screen.to_uppercase().contains("NEVER WATER");
                assert_eq!(says, is_never, "{what}\n{screen}");
                for (key, page, _) in Page::KEYS {
                    press(&mut desk, Key::Char('.'));
                    let mut read = String::new();
                    let mut heads = vec![];
                    let mut first = String::new();
                    for place in 0..60 {
                        press(&mut desk, Key::Char(key));
                        let screen = desk.screen();
                        if screen == first {
                            break;
                        }
                        if place == 0 {
                            first.clone_from(&screen);
                        }
                        let rows = screen.lines().filter(|row| !row.trim().is_empty());
                        let mut all: Vec<&str> = rows.collect();
                        let keys = all.pop().unwrap_or_default();
                        let names_keys = [
                            "else: back",
                            "other key: back",
                            "again: more",
                            "again more else back",
                        ];
                        assert!(
                            names_keys.iter().any(|words| keys.contains(words)),
                            "{screen}"
                        );
                        heads.push(all.first().map_or("", |row| row.trim()).to_owned());
                        // What must never be done is not behind another press.
                        if place == 0 && columns == 40 && page == Page::Fire && is_never {
                            assert!(screen.to_uppercase().contains("NEVER WATER"), "{screen}");
                        }
                        read.push_str(&all.join(" "));
                        read.push(' ');
                    }
                    let read = read.split_whitespace().collect::<Vec<_>>().join(" ");
                    for (_, on) in page.parts() {
                        let whole = cards::texts(&desk.model, *on, None);
                        let brief = cards::briefs(&desk.model, *on, None);
                        for (text, brief) in whole.iter().zip(&brief) {
                            let is_there = read.contains(text) || read.contains(brief);
                            assert!(is_there, "{what} {page:?}: {text}\n{read}");
                        }
                        // No part begins with causes that stand under no heading.
                        if *on == On::StopOrHold {
                            let lines = cards::chosen(&desk.model, *on, None);
                            let is_head = |row: &str| {
                                let mut heads = lines.iter().filter(|line| line.is_heading);
                                heads.any(|line| {
                                    let brief = line.brief.as_deref().unwrap_or_default();
                                    line.text.starts_with(row) || brief.starts_with(row)
                                })
                            };
                            assert!(heads.iter().all(|row| is_head(row)), "{what}: {heads:?}");
                        }
                    }
                }
                press(&mut desk, Key::Enter);
                assert!(desk.model.overlay.is_none(), "{what}");
            }
        }
    }
}

#[test]
fn no_window_is_too_small_for_clock_and_stop() {
    let mut desk = cutting(80, 24, 40);
    desk.send(Message::Resized(20, 5));
    let screen = desk.screen();
    for words in [
        "cutting  0:40",
        "5 clock waits",
        ". emergency card",
        "too small",
    ] {
        assert!(screen.contains(words), "{words}\n{screen}");
    }
    desk.model.editing = Some(editing(Field::Depth, typed("1")));
    let screen = desk.screen();
    assert!(screen.contains("Something waits that"), "{screen}");
    desk.model.editing = None;
    for columns in 1..=30 {
        for rows in 1..=6 {
            desk.send(Message::Resized(columns, rows));
            let without = desk.screen();
            assert!(without.starts_with('c'), "{columns} x {rows}: {without}");
            press(&mut desk, Key::Char('.'));
            assert!(desk.screen().starts_with('P'), "{columns} x {rows}");
            press(&mut desk, Key::Enter);
        }
    }
}

#[test]
fn ctrl_c_in_a_small_window_asks_what_can_be_seen() {
    let quits = |effects: &[Effect]| effects.contains(&Effect::Quit);
    let mut desk = cutting(80, 24, 40);
    shrink(&mut desk);
    let effects = press(&mut desk, Key::Interrupt);
    assert!(!quits(&effects));
    let screen = desk.screen();
    for words in ["Ctrl-C end   3 stay   . emergency card", "The clock is on."] {
        assert!(screen.contains(words), "{screen}");
    }
    for key in other_keys() {
        if !matches!(key, Key::Char('3')) {
            assert!(press(&mut desk, key).is_empty(), "{key:?}");
            assert_eq!(
                desk.model.overlay,
                Some(Overlay::Sure(Sure::Quit)),
                "{key:?}"
            );
        }
    }
    comes_back("the clock is on", &mut desk);
    press(&mut desk, Key::Char('3'));
    assert!(desk.screen().contains("5 clock waits"), "{}", desk.screen());
    press(&mut desk, Key::Interrupt);
    assert!(quits(&press(&mut desk, Key::Interrupt)));
    // With the clock off the list before leaving comes first, once; the clock's key goes back to the work.
    let mut desk = answered(80, 24);
    shrink(&mut desk);
    assert!(!quits(&press(&mut desk, Key::Interrupt)));
    let screen = desk.screen();
    assert!(screen.contains("5 back to the work"), "{screen}");
    assert!(screen.contains("The list before you leave"), "{screen}");
    press(&mut desk, Key::Char('5'));
    assert!(desk.model.leaving.is_none());
    assert_eq!(desk.state().phase(), None);
    press(&mut desk, Key::Interrupt);
    assert!(quits(&press(&mut desk, Key::Interrupt)));
}

fn read_record(home: &Path) -> State {
    let text = fs::read_to_string(terminal::record(home)).expect("a record");
    read::state(&text, shipped().cautions, second(0))
        .unwrap_or_else(|why| panic!("{}: {}", why.key, why.found))
}

#[test]
fn the_real_program_at_40_by_12_turns_the_clock_shows_the_card_and_does_nothing_else() {
    let home = tempfile::tempdir().expect("a folder");
    records::put(home.path(), cutting(80, 24, 40).state());
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("FINISHED");
    t.press("\r");
    t.see("TIME THAT NOBODY SAW");
    // A question that waits is not answered by keys that cannot see it.
    t.resize(40, 12);
    t.see("Something waits that needs more room.");
    t.look();
    for key in ["1", "3", "4"] {
        t.press(key);
    }
    t.resize(80, 24);
    t.see("TIME THAT NOBODY SAW");
    t.look();
    step(&mut t, "4", "WAITING   cutting");
    answer(&mut t);
    step(&mut t, "5", "CUTTING   cutting");
    t.settle();
    t.resize(40, 12);
    t.see("40 x 12: too small, needs 80 x 24.");
    t.see("cutting  ");
    t.see("5 clock waits   . emergency card");
    let before = read_record(home.path());
    for key in ["1", "9", "\r", "-", "+", "/", "0", "q", "3", "\x1b[A", "7"] {
        t.press(key);
    }
    let after = read_record(home.path());
    assert_eq!(after.phase(), Some(Phase::Cutting));
    assert_eq!(after.answers.len(), before.answers.len());
    assert_eq!(after.stops.len(), before.stops.len());
    assert_eq!(after.notes.len(), before.notes.len());
    assert_eq!(after.setups, before.setups);
    t.see("cutting  ");
    step(&mut t, ".", "PRESS EMERGENCY STOP if in reach.");
    t.see("IF chips glow: no water");
    t.press(".");
    t.see("else: back");
    step(&mut t, "1", "Leave and call the fire service");
    step(&mut t, "\r", "5 clock waits");
    step(&mut t, "5", "waiting  ");
    let is_kept = |_: &Terminal| read_record(home.path()).phase() == Some(Phase::Waiting);
    assert!(t.wait_until(Duration::from_secs(10), is_kept));
    t.resize(20, 5);
    t.see("waiting  ");
    t.see(". emergency card");
    step(&mut t, ".", "PRESS EMERGENCY STOP");
    t.press("\r");
    t.resize(80, 24);
    t.see("WAITING   cutting");
    t.see("BEFORE THIS CUT");
    // A field that is being filled in: two points in the large window, one in the small, and it is there again.
    step(&mut t, "/", "A NOTE");
    t.send("it rings");
    t.send(".");
    step(&mut t, ".", "EMERGENCY STOP");
    step(&mut t, "9", "it rings..");
    t.resize(40, 12);
    t.see("Something waits");
    step(&mut t, ".", "EMERGENCY STOP");
    step(&mut t, "\r", "Something waits");
    t.resize(80, 24);
    t.see("it rings..");
    t.press("\r");
    t.see("noted");
    step(&mut t, "q", "THE CLOCK IS ON");
    t.send("1");
    assert_eq!(t.end(), 0);
    let note = read_record(home.path()).notes.pop().expect("a note");
    assert_eq!(note.text, "it rings..");
}
