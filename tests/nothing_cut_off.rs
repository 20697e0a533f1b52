//! Lists, whole: no entry is cut at the edge of the window, at 80, 120 and 160 columns, with and without signs beyond ASCII.

mod support;

use millside::app::cards;
use millside::app::field::Field;
use millside::app::how;
use millside::app::keys;
use millside::app::model::Look;
use millside::app::model::Theme;
use millside::app::more;
use millside::app::overlay::Asking;
use millside::app::overlay::Overlay;
use millside::app::overlay::happenings;
use millside::app::page;
use millside::app::reasons;
use millside::app::stop_advice;
use millside::job::card::On;
use millside::job::mishap;
use millside::job::tool::Tool;
use millside::session::clock::Phase;
use millside::session::gate::ListKind;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::cutting;
use support::walk::demo;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (160, 50)];

/// The columns where a list or what lies over it stands: what is beside it begins there in wide windows.
fn column(desk: &Desk) -> String {
    let width = if desk.model.size.0 >= 120 { 78 } else { 80 };
    let screen = desk.screen();
    let rows = screen
        .lines()
        .map(|row| row.chars().take(width).collect::<String>());
    rows.collect::<Vec<_>>().join("\n")
}

/// The same with every stretch of blanks as one, for what may be broken over two rows.
fn in_one(desk: &Desk) -> String {
    column(desk)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn plainly(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// At each size and in both sets of signs.
fn everywhere(mut look_at: impl FnMut(&mut Desk), make: impl Fn(u16, u16) -> Desk) {
    for (columns, rows) in SIZES {
        for ascii in [false, true] {
            let mut desk = make(columns, rows);
            desk.model.look = Look {
                colour: true,
                ascii,
                theme: Theme::Own,
            };
            look_at(&mut desk);
        }
    }
}

#[test]
fn every_thing_that_may_have_happened_is_whole() {
    everywhere(
        |desk| {
            desk.keys("-");
            let screen = column(desk);
            for (place, what) in happenings().into_iter().enumerate() {
                let entry = format!("{:>2} {}", place + 1, what.words());
                assert!(
                    screen.contains(&format!("{entry} ")) || screen.contains(&format!("{entry}\n")),
                    "{entry}:\n{screen}"
                );
            }
            for rule in cards::rule(&desk.model, None) {
                assert!(in_one(desk).contains(&plainly(&rule)), "{screen}");
            }
        },
        |columns, rows| cutting(columns, rows, 40),
    );
}

#[test]
fn every_stop_note_and_its_advice_begin_with_the_whole_first_line() {
    let count = mishap::ADVICE.len();
    everywhere(
        |desk| {
            let before = desk.model.clone();
            for number in 1..=count {
                desk.model = before.clone();
                let mishap = mishap::ADVICE[number - 1].mishap;
                let rule = plainly(&cards::rule(&desk.model, Some(mishap)).join(" "));
                assert!(!rule.is_empty());
                desk.keys(&format!("-{number}\r"));
                if matches!(desk.model.overlay, Some(Overlay::Acts(_))) {
                    let acts = in_one(desk);
                    for act in desk_acts(desk) {
                        assert!(acts.contains(&plainly(&act)), "{act}: {acts}");
                    }
                    desk.keys("x");
                }
                let asked = in_one(desk);
                assert!(asked.contains(&rule), "{asked}");
                desk.keys("\r");
                assert_eq!(desk.state().phase(), Some(Phase::Waiting));
                let advice = in_one(desk);
                assert!(advice.contains(&rule), "{advice}");
                let what = &mishap::ADVICE[number - 1];
                assert!(advice.contains(&what.title.to_uppercase()), "{advice}");
                for check in stop_advice::checks(&desk.model, what.mishap) {
                    assert!(advice.contains(&plainly(&check)), "{check}: {advice}");
                }
                for go_on in cards::texts(&desk.model, On::GoOn, Some(what.mishap)) {
                    assert!(advice.contains(&plainly(&go_on)), "{go_on}: {advice}");
                }
                for act in cards::first_act(&desk.model, what.mishap) {
                    assert!(advice.contains(&plainly(&act)), "{act}: {advice}");
                }
            }
        },
        |columns, rows| cutting(columns, rows, 40),
    );
}

fn desk_acts(desk: &Desk) -> Vec<String> {
    match desk.model.overlay {
        Some(Overlay::Acts(mishap)) => cards::first_acts(&desk.model, mishap),
        _ => vec![],
    }
}

#[test]
fn every_tool_that_may_go_in_and_every_row_of_the_list_of_keys_is_whole() {
    everywhere(
        |desk| {
            let before = desk.model.clone();
            desk.keys("+");
            let widest = |tool: &&Tool| tool.title.chars().count();
            let mut tools: Vec<&Tool> = before.library.tools.iter().collect();
            tools.sort_by_key(|tool| std::cmp::Reverse(widest(tool)));
            for tool in tools.iter().take(12) {
                desk.keys(&format!("*{}", tool.name));
                let screen = column(desk);
                let entry = format!(" {} ", tool.title);
                assert!(
                    tool.flutes == 0 || screen.contains(&entry),
                    "{entry}:\n{screen}"
                );
            }
            desk.model = before.clone();
            desk.keys("\r");
            for (text, _) in more::items(&desk.model) {
                assert!(column(desk).contains(text), "{text}");
            }
            desk.model = before;
            desk.keys("0");
            for binding in keys::all(&desk.model) {
                let row = format!("{:<16}{} ", binding.key, binding.words);
                assert!(column(desk).contains(&row), "{row}:\n{}", column(desk));
            }
        },
        |columns, rows| cutting(columns, rows, 40),
    );
    // The same help outside of the cut.
    everywhere(
        |desk| {
            desk.keys("0");
            for binding in keys::all(&desk.model) {
                let row = format!("{:<16}{} ", binding.key, binding.words);
                assert!(column(desk).contains(&row), "{row}:\n{}", column(desk));
            }
        },
        demo,
    );
}

#[test]
fn every_numbered_reason_is_whole() {
    let mishap = mishap::ADVICE[0].mishap;
    let all = [
        Asking::Note,
        Asking::NotSo(ListKind::Power, "eyes".to_owned()),
        Asking::Beyond,
        Asking::AcceptStop("a finding".to_owned()),
        Asking::LeaveOut,
        Asking::OpenAgain(0),
        Asking::Mishap(mishap),
        Asking::SwapReason(0),
    ];
    everywhere(
        |desk| {
            for asking in all.clone() {
                desk.model.overlay = Some(Overlay::Words {
                    asking: asking.clone(),
                    input: millside::app::input::Input::default(),
                    error: None,
                });
                let screen = column(desk);
                for (place, reason) in reasons::offered(&asking).iter().enumerate() {
                    let entry = format!("{} {reason} ", place + 1);
                    assert!(screen.contains(&entry), "{entry}:\n{screen}");
                }
            }
        },
        |columns, rows| cutting(columns, rows, 40),
    );
}

/// Every caution as a line of a list, chosen, so that its key and its state stand below it.
#[test]
fn every_line_of_every_list_is_whole() {
    everywhere(
        |desk| {
            let state = desk.state().clone();
            for kind in ListKind::ALL {
                let list = millside::session::gate::list(&state, kind);
                for line in list.lines {
                    assert!(line.text.chars().count() <= 70, "{}", line.text);
                }
            }
            for step in [Step::Hold, Step::Cut] {
                while desk.state().step != step {
                    desk.key(millside::app::key::Key::Right);
                }
                for row in page::rows(&desk.model) {
                    let millside::app::row::Row::Line(_, line) = row else {
                        continue;
                    };
                    // Scrolled past, it comes into sight when it is chosen.
                    for _ in 0..60 {
                        if column(desk).contains(&line.text) {
                            break;
                        }
                        desk.key(millside::app::key::Key::Down);
                    }
                    assert!(column(desk).contains(&line.text), "{}", line.text);
                }
            }
        },
        demo,
    );
}

#[test]
fn what_stands_beside_a_list_names_tool_and_limits_whole() {
    for (columns, rows) in [(120, 40), (160, 50)] {
        let desk = cutting(columns, rows, 40);
        let screen = desk.screen();
        let beside: Vec<String> = screen
            .lines()
            .map(|row| row.chars().skip(80).take(40).collect::<String>())
            .collect();
        let beside = beside
            .join(" ")
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        let state = desk.state();
        let tool = &state.rack[state.planned_tool().expect("a tool")].tool.title;
        assert!(beside.contains(&plainly(tool)), "{tool}: {beside}");
        let calculated = desk
            .model
            .work
            .as_ref()
            .and_then(|work| work.calculated.as_ref());
        let limits = millside::app::recipe::shown::limits(calculated.expect("a recipe"));
        // More stand there where the drawing has room below them.
        for limit in limits.into_iter().take(4) {
            assert!(beside.contains(&limit.name), "{}: {beside}", limit.name);
        }
    }
}

/// The fields that the pages of the demo show, each with its page.
#[test]
fn every_field_says_how_it_is_measured_and_what_goes_wrong() {
    let mut seen = std::collections::BTreeSet::new();
    everywhere(
        |desk| {
            for step in Step::RAIL {
                while desk.state().step != step {
                    desk.key(millside::app::key::Key::Right);
                }
                for _ in 0..40 {
                    desk.key(millside::app::key::Key::Up);
                }
                let mut last = None;
                while last != Some(desk.model.cursor) {
                    last = Some(desk.model.cursor);
                    let rows = page::rows(&desk.model);
                    let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
                    if let Some(millside::app::row::Row::Field { field, .. }) = chosen {
                        seen.insert(*field);
                        let [found, wrong] = how::of(*field);
                        assert!(found != wrong && found.ends_with('.') && wrong.ends_with('.'));
                        desk.keys("7");
                        let why = in_one(desk);
                        for words in [found, wrong, "any key: back"] {
                            assert!(why.contains(words), "{field:?}: {words}\n{why}");
                        }
                        desk.keys("x");
                    }
                    desk.key(millside::app::key::Key::Down);
                }
            }
        },
        demo,
    );
    for field in [
        Field::StockX,
        Field::Thickness(0),
        Field::AboveJaws,
        Field::HeldBy,
        Field::OutOfTrue,
        Field::KeepOut(0),
        Field::ZeroPoint,
        Field::Finder,
        Field::Tool,
        Field::StickOut,
        Field::Height,
        Field::Shim,
        Field::Touch,
        Field::Raise,
        Field::NoAir,
    ] {
        assert!(seen.contains(&field), "{field:?} was on no page");
    }
}
