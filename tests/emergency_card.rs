//! The emergency card from everywhere: one point, two where a point may be text; what it lay over comes back as it was.

mod support;
#[path = "support/terminal.rs"]
mod terminal;

use std::collections::BTreeSet;
use std::time::Duration;

use millside::app::field::Field;
use millside::app::field::Takes;
use millside::app::input::Input;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::overlay::Overlay;
use millside::app::page;
use millside::session::state::Step;

use support::card::FIELDS;
use support::card::by_arrows;
use support::card::call_card;
use support::card::close_card;
use support::card::comes_back;
use support::card::editing;
use support::card::has_card;
use support::card::overlays;
use support::card::overlays_with_text;
use support::card::press;
use support::card::still;
use support::card::type_text;
use support::card::typed;
use support::desk::Desk;
use support::session::at;
use support::walk::answered;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::finish_all;
use support::walk::to_field;
use support::walk::to_step;
use terminal::Terminal;

fn kind(overlay: &Overlay) -> &'static str {
    // A kind that is added has to be added here, and then to what is walked.
    match overlay {
        Overlay::Help => "help",
        Overlay::Why { .. } => "why",
        Overlay::Emergency(..) => "card",
        Overlay::Words { .. } => "words",
        Overlay::Happened { .. } => "happened",
        Overlay::More { .. } => "more",
        Overlay::Acts(_) => "acts",
        Overlay::Advice(_) => "advice",
        Overlay::Files(_) => "files",
        Overlay::Pick(_) => "pick",
        Overlay::OwnTool(_) => "own tool",
        Overlay::Compare { .. } => "compare",
        Overlay::ReturnTest { .. } => "return test",
        Overlay::Care(_) => "care",
        Overlay::Letters => "letters",
        Overlay::Look(_) => "look",
        Overlay::Gap => "gap",
        Overlay::Sure(_) => "sure",
    }
}

const KINDS: usize = 18;

fn takes_kind(takes: &Takes) -> &'static str {
    match takes {
        Takes::Length => "length",
        Takes::PositiveLength => "positive length",
        Takes::SignedLength => "signed length",
        Takes::Rpm => "rpm",
        Takes::SurfaceSpeed => "surface speed",
        Takes::Feed => "feed",
        Takes::Point => "point",
        Takes::KeepOut => "keep-out",
        Takes::Screw => "screw",
        Takes::Thread => "thread",
        Takes::Rating => "rating",
        Takes::Words => "words",
        Takes::Number => "number",
        Takes::Force => "force",
        Takes::LineOrTime => "line or time",
        Takes::Frequencies => "frequencies",
        Takes::Choice(_) => "choice",
        Takes::Reason(_) => "reason",
    }
}

const TAKES: usize = 18;

#[test]
fn over_every_overlay_the_card_is_one_point_away_and_goes_again() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    let mut seen = BTreeSet::from(["card"]);
    for overlay in overlays() {
        seen.insert(kind(&overlay));
        let what = format!("{overlay:?}");
        desk.model = base.clone();
        desk.model.overlay = Some(overlay);
        comes_back(&what, &mut desk);
    }
    // Where a point is text the card takes two of them, below.
    seen.extend(
        overlays_with_text()
            .iter()
            .map(|(overlay, _)| kind(overlay)),
    );
    assert_eq!(seen.len(), KINDS, "{seen:?}");
}

#[test]
fn over_words_and_numbers_begun_the_card_takes_two_points() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    for (overlay, after) in overlays_with_text() {
        for point in ['.', ','] {
            let what = format!("{overlay:?}, {point}");
            desk.model = base.clone();
            desk.model.overlay = Some(overlay.clone());
            let mut expected = still(&desk.model);
            expected.overlay = Some(after.clone());
            assert_eq!(call_card(&what, &mut desk, point), 2);
            close_card(&what, &mut desk, point);
            if point == '.' {
                assert_eq!(still(&desk.model), expected, "{what}");
            } else {
                assert!(desk.model.overlay.is_some(), "{what}");
            }
        }
    }
    // What was asked is answered as if nothing had been between.
    desk.model = base;
    type_text(&mut desk, "/at 46..");
    assert!(has_card(&desk));
    press(&mut desk, Key::Enter);
    type_text(&mut desk, "04");
    press(&mut desk, Key::Enter);
    let last = desk.state().notes.last().expect("it was noted");
    assert_eq!(last.text, "at 46..04");
}

#[test]
fn in_every_kind_of_field_the_card_is_two_points_away_at_most() {
    let base = cutting(80, 24, 40).model;
    let mut desk = Desk::new(80, 24);
    let mut seen = BTreeSet::new();
    let mut at_home = typed("12");
    at_home.press(Key::Home);
    let full = typed(&"7".repeat(400));
    for field in FIELDS {
        let takes = page::takes(&base, field);
        seen.insert(takes_kind(&takes));
        let is_chosen = matches!(takes, Takes::Choice(_) | Takes::Point);
        let is_reason = matches!(takes, Takes::Reason(_));
        let is_words = is_reason || matches!(takes, Takes::Words | Takes::Rating);
        // What stands there, and after the card: text and cursor.
        let mut cases = vec![(full.clone(), full.text().to_owned(), 400, 1)];
        for text in ["", "12", "12.", "5+", "abc", "3 a"] {
            let input = typed(text);
            // A point is no text there.
            let is_none = is_chosen && !text.contains('a') || is_reason && text.is_empty();
            let is_behind = text.ends_with('.');
            let count = if is_behind || is_none { 1 } else { 2 };
            let after = match (is_none, is_words, is_behind) {
                (true, _, _) => text.to_owned(),
                (_, true, true) | (_, false, false) => format!("{text}."),
                (_, true, false) => format!("{text}.."),
                (_, false, true) => text.to_owned(),
            };
            let cursor = after.chars().count();
            cases.push((input, after, cursor, count));
        }
        // Text that nobody touched, and a cursor in front of what stands there.
        let (after, cursor, count) = match (is_chosen || is_reason, is_words) {
            (true, _) => ("12 mm", 5, 1),
            (_, true) => ("..", 2, 2),
            _ => (".", 1, 2),
        };
        cases.push((Input::new("12 mm"), after.to_owned(), cursor, count));
        let (after, cursor, count) = match (is_chosen, is_words) {
            (true, _) => ("12", 0, 1),
            (_, true) => ("..12", 2, 2),
            _ => (".12", 1, 2),
        };
        cases.push((at_home.clone(), after.to_owned(), cursor, count));
        for (input, after, cursor, count) in cases {
            let what = format!("{field:?}, {input:?}");
            desk.model = base.clone();
            desk.model.drafts.insert(Field::StockY, "91".to_owned());
            desk.model.editing = Some(editing(field, input));
            let mut expected = still(&desk.model);
            assert_eq!(call_card(&what, &mut desk, '.'), count, "{what}");
            close_card(&what, &mut desk, '.');
            let now = desk.model.editing.clone().expect("the field is still open");
            assert_eq!(now.field, field, "{what}");
            assert_eq!(
                (now.input.text(), now.input.cursor()),
                (after.as_str(), cursor),
                "{what}"
            );
            // All but what was typed is as it was.
            expected.editing = Some(now);
            let mut left = still(&desk.model);
            for model in [&mut expected, &mut left] {
                // A recipe is worked out anew at each key that is typed.
                let work = model.work.as_mut().expect("a session is open");
                work.calculated = None;
                work.no_recipe = None;
                work.before = None;
            }
            assert_eq!(left, expected, "{what}");
        }
    }
    assert_eq!(seen.len(), TAKES, "{seen:?}");
}

#[test]
fn a_comma_is_a_point_on_other_keypads() {
    let mut desk = cutting(80, 24, 40);
    desk.model.editing = Some(editing(Field::Depth, typed("0")));
    type_text(&mut desk, ",,");
    assert!(has_card(&desk));
    press(&mut desk, Key::Enter);
    let text = desk.model.editing.as_ref().map(|e| e.input.text());
    assert_eq!(text, Some("0,"));
}

#[test]
fn on_every_screen_the_card_is_one_point_away() {
    let mut desk = Desk::new(80, 24);
    comes_back("the jobs", &mut desk);
    for keys in ["\r", "2\r", "22\r"] {
        let mut desk = Desk::new(80, 24);
        desk.keys(keys);
        comes_back(keys, &mut desk);
    }
    for rail_step in Step::RAIL {
        for mut desk in [demo(80, 24), decided(80, 24)] {
            by_arrows(&mut desk, rail_step);
            comes_back(rail_step.word(), &mut desk);
        }
    }
    let places = [
        ("gate", "", answered(80, 24)),
        ("running", "", cutting(80, 24, 40)),
        ("waiting", "5", cutting(80, 24, 40)),
        ("paused", "p", cutting(80, 24, 40)),
        ("record", "5*", cutting(80, 24, 40)),
        ("another step", "6", cutting(80, 24, 40)),
        ("done", "", finish_all(80, 24)),
        ("leaving", "q", answered(80, 24)),
    ];
    for (name, keys, mut desk) in places {
        desk.keys(keys);
        comes_back(name, &mut desk);
    }
}

#[test]
fn a_value_goes_on_after_the_card_and_is_taken() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    to_field(&mut desk, Field::StockX);
    press(&mut desk, Key::Enter);
    assert!(desk.screen().contains(".. emergency"), "{}", desk.screen());
    type_text(&mut desk, "121..");
    assert!(has_card(&desk), "{}", desk.screen());
    press(&mut desk, Key::Char('9'));
    type_text(&mut desk, "5");
    press(&mut desk, Key::Enter);
    let stock = desk.state().current_setup().stock.as_ref();
    let x = stock.map(|stock| stock.x.value);
    assert_eq!(x, Some(121.5), "{}", desk.screen());
    // One point is enough where something is chosen, and the footer names it.
    to_step(&mut desk, Step::Xy);
    to_field(&mut desk, Field::ZeroPoint);
    press(&mut desk, Key::Enter);
    let foot = desk.screen().lines().last().map(str::to_owned);
    let foot = foot.unwrap_or_default();
    assert!(foot.contains("  . emergency"), "{foot}");
}

#[test]
fn a_path_may_begin_with_the_folder_above_and_be_pasted() {
    let open = || {
        let mut desk = demo(80, 24);
        to_field(&mut desk, Field::Program);
        press(&mut desk, Key::Enter);
        desk
    };
    let text = |desk: &Desk| {
        desk.model
            .editing
            .as_ref()
            .map(|e| e.input.text().to_owned())
    };
    let mut desk = open();
    type_text(&mut desk, "../plates/..");
    assert!(has_card(&desk));
    type_text(&mut desk, "/base.nc");
    assert_eq!(text(&desk).as_deref(), Some("../plates/../base.nc"));
    // Any other key only closes the card.
    type_text(&mut desk, "..5");
    assert_eq!(text(&desk).as_deref(), Some("../plates/../base.nc.."));
    let mut desk = open();
    desk.send(Message::Pasted("../a..b/base,,1.nc".to_owned()));
    assert!(!has_card(&desk));
    assert_eq!(text(&desk).as_deref(), Some("../a..b/base,,1.nc"));
    // Nothing is pasted into what is not on show.
    for is_small in [true, false] {
        let mut desk = open();
        if is_small {
            desk.send(Message::Resized(40, 12));
        } else {
            type_text(&mut desk, "..");
        }
        let before = still(&desk.model);
        desk.send(Message::Pasted("base.nc".to_owned()));
        assert_eq!(still(&desk.model), before);
    }
}

#[test]
fn a_clock_lost_behind_the_card_is_asked_about_when_it_goes() {
    let mut desk = cutting(80, 24, 40);
    desk.keys(".");
    let now = at(
        i64::try_from(desk.seconds).unwrap_or(0) + 1800,
        desk.seconds + 10,
    );
    desk.send(Message::Ticked(now));
    assert!(has_card(&desk));
    press(&mut desk, Key::Enter);
    assert_eq!(desk.model.overlay, Some(Overlay::Gap));
}

// Z typed where no field is open: the minus opens the list of what happened, 11 is somebody hurt, the point opens the card.
#[test]
fn a_reading_typed_where_no_field_is_open_is_no_stop() {
    let mut desk = decided(80, 24);
    let before = desk.state().stops.len();
    desk.keys("-11.9\r");
    assert_eq!(desk.state().stops.len(), before, "{}", desk.screen());
}

#[test]
fn the_real_program_takes_the_emergency_number_by_keypad_and_keeps_it() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("emergency number   not entered");
    t.keypad_alone();
    for _ in 0..30 {
        if t.chosen().contains("emergency number") {
            break;
        }
        t.press_again("2");
    }
    t.press("\r");
    t.see("YOUR EMERGENCY NUMBER");
    // One digit is no number to dial.
    t.enter("1");
    t.see("Write digits as you dial them");
    t.enter("12");
    t.see("emergency number   112");
    t.press(".");
    t.see("Call the fire service: 112");
    t.press("\r");
    let file = home.path().join("millside/profiles/facts/shop.toml");
    let text = std::fs::read_to_string(&file).expect("it was kept");
    assert_eq!(text, "format = 1\n\n[shop]\nemergency_number = \"112\"\n");
    // The next time it is there, and another one takes its place with the comment left alone.
    std::fs::write(&file, text.replace("\"112\"", "\"112\" # ours")).expect("a file");
    drop(t);
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("emergency number   112");
    for _ in 0..30 {
        if t.chosen().contains("emergency number") {
            break;
        }
        t.press_again("2");
    }
    t.press("\r");
    t.enter("999");
    t.see("emergency number   999");
    let kept = |_: &Terminal| {
        std::fs::read_to_string(&file).is_ok_and(|text| text.ends_with("\"999\" # ours\n"))
    };
    assert!(t.wait_until(Duration::from_secs(5), kept), "{}", t.screen());
}
