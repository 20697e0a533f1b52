//! One test for each rule of reading a screen from where one stands; what does not apply, or is not
//! built, is said in DEVELOPERS.md.
//!
//! Heights of characters after NUREG-0700 and ISO 9241-3 as quoted; contrast by the formula of WCAG 2.1
//! (relative luminance from memory).

mod support;

use millside::app::model::Look;
use millside::app::model::Theme;
use millside::session::state::Step;
use millside::ui;
use millside::ui::look::palette;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;
use ratatui::style::Modifier;

use support::desk::Desk;
use support::walk::cutting;
use support::walk::decided;
use support::walk::to_step;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (160, 50)];

fn drawn(desk: &Desk) -> Buffer {
    let (columns, rows) = desk.model.size;
    let mut terminal = Terminal::new(TestBackend::new(columns, rows)).expect("memory");
    terminal
        .draw(|frame| ui::view(&desk.model, frame))
        .expect("memory can be drawn on");
    terminal.backend().buffer().clone()
}

/// Red, green and blue of a place in the 256-colour cube, as xterm has them (from memory).
fn rgb(place: u8) -> [u8; 3] {
    let level = |step: u8| if step == 0 { 0 } else { 55 + 40 * step };
    match place {
        16..=231 => {
            let cube = place - 16;
            [level(cube / 36), level(cube / 6 % 6), level(cube % 6)]
        }
        232..=255 => [8 + 10 * (place - 232); 3],
        _ => panic!("the first sixteen differ from terminal to terminal"),
    }
}

fn luminance(place: u8) -> f64 {
    let linear = |value: u8| {
        let v = f64::from(value) / 255.0;
        if v <= 0.03928 {
            v / 12.92
        } else {
            ((v + 0.055) / 1.055).powf(2.4)
        }
    };
    let [r, g, b] = rgb(place).map(linear);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(a: u8, b: u8) -> f64 {
    let (one, two) = (luminance(a), luminance(b));
    (one.max(two) + 0.05) / (one.min(two) + 0.05)
}

#[test]
fn the_formula_gives_the_ratios_that_are_published() {
    // White on black is 21 by definition; the others from a table computed elsewhere.
    assert!((contrast(231, 16) - 21.0).abs() < 1e-9);
    for (place, ratio) in [(221, 15.9), (74, 9.1)] {
        // The cube's nearest neighbour of the named colour: within a tenth of the ratio or so.
        assert!((contrast(place, 16) / ratio - 1.0).abs() < 0.12, "{place}");
    }
}

#[test]
fn v02_the_running_view_has_a_big_state_a_big_time_and_a_big_number() {
    for (columns, rows) in SIZES {
        let desk = cutting(columns, rows, 40);
        let screen = desk.screen();
        let blocks = |line: &&str| {
            line.chars()
                .filter(|c| "▗▛▜▖█▐▌▝▘▀▄▙▟▞▚".contains(*c))
                .count()
                >= 6
        };
        assert!(screen.lines().filter(blocks).count() >= 8, "{screen}");
    }
}

#[test]
fn v05_what_is_big_is_at_most_three_things_and_its_word_at_most_eight_letters() {
    for word in ["CUTTING", "WORKING", "OVER"] {
        assert!(word.len() <= 8);
    }
    // State, time left, one number: two rows of big glyphs of four rows each.
    let desk = cutting(80, 24, 40);
    let screen = desk.screen();
    let captions = screen
        .lines()
        .filter(|line| line.starts_with(" clock ") || line.contains("(* another number)"))
        .count();
    assert_eq!(captions, 2, "{screen}");
}

#[test]
fn v06_the_same_lines_stand_at_every_size() {
    let lines = |columns: u16, rows: u16| {
        let mut desk = decided(columns, rows);
        to_step(&mut desk, Step::Cut);
        let screen = desk.screen();
        let marked = screen.lines().filter(|l| l.get(1..2) == Some("["));
        marked
            .map(|l| l.chars().take(60).collect::<String>())
            .collect::<Vec<_>>()
    };
    assert_eq!(lines(80, 24), lines(160, 50));
    assert_eq!(lines(80, 24).len(), 7);
}

#[test]
fn v07_no_line_of_a_list_is_longer_than_seventy_and_none_is_wrapped() {
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    let list =
        millside::session::gate::list(desk.state(), millside::session::gate::ListKind::Start);
    let screen = desk.screen();
    for line in list.lines {
        assert!(line.text.chars().count() <= 70);
        assert!(screen.contains(&line.text), "{}", line.text);
    }
}

#[test]
fn v10_without_colour_each_state_still_has_its_word_and_its_mark() {
    let mut desk = cutting(80, 24, 40);
    desk.keys("-1\r\rx");
    let screen = desk.screen();
    assert!(
        screen.contains("[!]") && screen.contains("REDO"),
        "{screen}"
    );
    assert!(
        screen.contains("! XY") && screen.contains("WAITING"),
        "{screen}"
    );
}

#[test]
fn v11_without_colour_no_cell_has_one() {
    for theme in Theme::ALL {
        let look = Look {
            colour: false,
            ascii: false,
            theme,
        };
        let mut desk = Desk::with_look(80, 24, look);
        desk.keys("\r\r");
        to_step(&mut desk, Step::Hold);
        let plain = drawn(&desk)
            .content()
            .iter()
            .all(|cell| cell.fg == Color::Reset && cell.bg == Color::Reset);
        assert!(plain, "{theme:?}");
    }
}

#[test]
fn v12_every_text_of_every_theme_has_the_contrast_asked_for() {
    for theme in Theme::ALL {
        let palette = palette(theme);
        let ground = palette.ground.unwrap_or(16);
        for (name, place, least) in [
            ("todo", palette.todo, 4.5),
            ("warn", palette.warn, 4.5),
            ("stop", palette.stop, 7.0),
            ("text", palette.text.unwrap_or(231), 7.0),
        ] {
            let ratio = contrast(place, ground);
            assert!(ratio >= least, "{theme:?} {name}: {ratio:.2}");
        }
        if theme != Theme::Bright {
            // The big line warns in this colour; on white it is black.
            assert!(contrast(palette.warn, ground) >= 7.0);
        }
    }
}

#[test]
fn v12_no_cell_has_a_colour_from_outside_its_theme() {
    for theme in Theme::ALL {
        let look = Look {
            colour: true,
            ascii: false,
            theme,
        };
        let mut desk = Desk::with_look(120, 40, look);
        desk.keys("\r\r");
        to_step(&mut desk, Step::Hold);
        desk.keys("0");
        let palette = palette(theme);
        let known = [
            Some(palette.todo),
            Some(palette.warn),
            Some(palette.stop),
            palette.text,
        ];
        for cell in drawn(&desk).content() {
            match cell.fg {
                Color::Indexed(place) => assert!(known.contains(&Some(place)), "{place}"),
                other => assert_eq!((other, palette.text), (Color::Reset, None)),
            }
            assert_eq!(cell.bg, palette.ground.map_or(Color::Reset, Color::Indexed));
        }
    }
}

#[test]
fn v14_there_is_one_signal_word_and_it_stands_on_the_card_alone() {
    let mut desk = cutting(80, 24, 40);
    let words = |desk: &Desk| desk.screen().matches("DANGER").count();
    assert_eq!(words(&desk), 0);
    desk.keys(".");
    assert_eq!(words(&desk), 1);
}

#[test]
fn v15_nothing_blinks() {
    for seconds in [40, 112, 4000] {
        let desk = cutting(80, 24, seconds);
        for cell in drawn(&desk).content() {
            let blinks = Modifier::SLOW_BLINK | Modifier::RAPID_BLINK;
            assert!(!cell.modifier.intersects(blinks));
        }
    }
}
