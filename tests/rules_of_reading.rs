//! One test for each rule of reading a screen from where one stands; what does not apply, or is not
//! built, is said in DEVELOPERS.md.
//!
//! Heights of characters after NUREG-0700 and ISO 9241-3 as quoted; contrast by the formula of WCAG 2.1
//! (relative luminance from memory).

mod support;

use millside::app::effect::Effect;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::model::Look;
use millside::app::model::Theme;
use millside::measure::legible::Letters;
use millside::measure::legible::capital_height_mm;
use millside::session::state::Step;
use millside::ui::glyphs;
use millside::ui::glyphs::Size;
use millside::ui::look::palette;
use ratatui::style::Color;
use ratatui::style::Modifier;

use support::desk::Desk;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::finish_all;
use support::walk::to_step;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (160, 50)];

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
fn v01_the_height_of_a_capital_two_metres_away() {
    // NUREG-0700: 16' at the least, 20' to 22' preferred; 15' and 16' for legibility after ISO 9241-3 as quoted.
    for (minutes, high) in [(15.0, 8.73), (16.0, 9.31), (20.0, 11.64), (22.0, 12.80)] {
        let found = capital_height_mm(2000.0, minutes);
        assert!((found - high).abs() < 0.005, "{minutes}': {found}");
    }
}

#[test]
fn v01_it_is_asked_at_setup_and_warned_of_where_the_window_cannot_do_it() {
    let row = "can you read them where you stand?";
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    assert!(desk.screen().contains(row), "{}", desk.screen());
    desk.key(Key::PageUp);
    desk.keys("\r");
    assert!(big_rows(&desk.screen()) >= 8, "{}", desk.screen());
    let answers = desk.state().answers.len();
    desk.keys("3");
    let screen = desk.screen();
    assert!(screen.contains("too small to double"), "{screen}");
    assert!(screen.contains("NOT READ from where you stand"), "{screen}");
    // A window of another size is another question; where it was read nothing is asked.
    desk.send(Message::Resized(120, 40));
    assert!(desk.screen().contains(row), "{}", desk.screen());
    desk.keys("\r31");
    assert!(!desk.screen().contains(row), "{}", desk.screen());
    let said = desk.model.legible.said.clone();
    assert_eq!(said[&(80, 24)], Letters::Neither);
    assert_eq!(said[&(120, 40)], Letters::Doubled);
    assert_eq!(desk.state().answers.len(), answers);
    assert!(desk.other.contains(&Effect::KeepSizes(said)));
}

#[test]
fn v04_a_window_smaller_than_the_one_that_was_read_is_asked_about() {
    let mut desk = cutting(120, 40, 40);
    desk.keys("1");
    assert!(!desk.screen().contains(QUESTION));
    for (columns, rows, asks) in [
        (100, 40, true),
        (120, 40, false),
        (120, 30, true),
        (160, 50, true),
        (120, 40, false),
    ] {
        desk.send(Message::Resized(columns, rows));
        assert_eq!(desk.screen().contains(QUESTION), asks, "{columns} x {rows}");
    }
}

#[test]
fn v03_a_big_character_is_five_by_seven_dots_or_double_and_thirteen_fit_a_row() {
    for is_ascii in [false, true] {
        let single = glyphs::rows("H", Size::Single, is_ascii);
        assert_eq!((single.len(), single[0].trim_end().chars().count()), (4, 5));
        let double = glyphs::rows("H", Size::Double, is_ascii);
        assert_eq!(
            (double.len(), double[0].trim_end().chars().count()),
            (7, 10)
        );
        assert_eq!(double.iter().any(|row| !row.is_ascii()), !is_ascii);
    }
    assert!(glyphs::width(&"H".repeat(13), Size::Single) <= 80);
    assert!(glyphs::width(&"H".repeat(13), Size::Double) <= 160);
}

const QUESTION: &str = "Stand where you stand: can you read this?   1 yes   3 no";

/// Rows that hold at least six cells of big letters.
fn big_rows(screen: &str) -> usize {
    let blocks = |line: &&str| line.chars().filter(|c| "▀▄█".contains(*c)).count() >= 6;
    screen.lines().filter(blocks).count()
}

#[test]
fn v04_the_running_view_asks_once_and_again_when_the_window_changed() {
    let mut desk = cutting(80, 24, 40);
    assert!(desk.screen().contains(QUESTION), "{}", desk.screen());
    let answers = desk.state().answers.len();
    desk.keys("1");
    assert!(!desk.screen().contains(QUESTION));
    desk.keys("***");
    assert!(!desk.screen().contains(QUESTION), "asked once");
    desk.send(Message::Resized(80, 24));
    assert!(!desk.screen().contains(QUESTION), "the same size");
    desk.send(Message::Resized(100, 30));
    assert!(desk.screen().contains(QUESTION));
    desk.keys("7");
    assert!(desk.screen().contains(QUESTION));
    // It is no answer of a list, and no mishap waits for it.
    assert_eq!(desk.state().answers.len(), answers);
    desk.keys("5");
    assert!(desk.screen().contains("WAITING"), "{}", desk.screen());
}

#[test]
fn v04_no_doubles_the_letters_of_this_size_of_the_window_alone() {
    for (columns, rows) in [(120, 40), (160, 50), (86, 38)] {
        let mut desk = cutting(columns, rows, 40);
        let before = big_rows(&desk.screen());
        desk.keys("3");
        let screen = desk.screen();
        assert!(screen.contains("letters doubled"), "{screen}");
        assert!(big_rows(&screen) >= before + 8, "{screen}");
        // What is small stays in sight below.
        assert!(screen.contains("cutting 0:41"), "{screen}");
        assert!(
            screen.contains("These keys do not move or stop the mill."),
            "{screen}"
        );
        desk.send(Message::Resized(80, 24));
        assert_eq!(
            big_rows(&desk.screen()),
            big_rows(&cutting(80, 24, 40).screen())
        );
        desk.send(Message::Resized(columns, rows));
        assert!(desk.screen().contains(QUESTION));
        assert!(big_rows(&desk.screen()) >= before + 8);
        // No once more: there is nothing larger. Asked again with 7, it begins small.
        desk.keys("3");
        assert!(desk.screen().contains("no larger letters: at 2 m"));
        desk.keys("7");
        assert_eq!(big_rows(&desk.screen()), before);
    }
}

#[test]
fn v04_where_letters_cannot_be_doubled_it_says_what_helps() {
    let mut desk = cutting(80, 24, 40);
    desk.keys("3");
    let screen = desk.screen();
    assert!(
        screen.contains("too small to double (86 x 38): larger window or font, or come nearer"),
        "{screen}"
    );
    assert!(!screen.contains(QUESTION));
}

#[test]
fn v08_no_row_has_more_than_one_word_in_capitals_behind_its_heading() {
    // A heading is the run of capitals that a row begins with; XY is the name of two axes.
    let is_capital = |word: &&str| {
        let word = word.trim_matches(|c: char| !c.is_alphanumeric());
        word.len() > 1 && word.chars().all(|c| c.is_ascii_uppercase()) && word != "XY"
    };
    let mut at_gate = decided(80, 24);
    to_step(&mut at_gate, Step::Cut);
    let mut screens = vec![];
    let mut stepping = cutting(80, 24, 40);
    screens.push(stepping.screen());
    for keys in ["0", "\r-", "1\r\rx", "."] {
        stepping.keys(keys);
        screens.push(stepping.screen());
    }
    let first = screens.len();
    for _ in Step::RAIL {
        screens.push(at_gate.screen());
        at_gate.key(Key::Left);
    }
    assert!(at_gate.state().step == Step::RAIL[0] && screens.len() > first + 8);
    screens.push(finish_all(80, 24).screen());
    for screen in screens {
        for row in screen.lines() {
            let words: Vec<&str> = row.split_whitespace().collect();
            // An answer may name its state in two words side by side: BARE, OUT.
            let behind = words.iter().skip_while(|word| is_capital(word));
            let capitals: Vec<bool> = behind.map(is_capital).collect();
            let goes_on = capitals.windows(2).filter(|two| two[0] && two[1]).count();
            let count = capitals.iter().filter(|c| **c).count() - goes_on;
            assert!(count <= 1, "{row}\n{screen}");
        }
    }
}

#[test]
fn v09_big_characters_that_look_alike_differ_by_four_dots() {
    let drawn = |c: char| -> Vec<bool> {
        glyphs::rows(&c.to_string(), Size::Double, true)
            .iter()
            .flat_map(|row| row.chars().map(|cell| cell == '#').collect::<Vec<_>>())
            .collect()
    };
    for (a, b) in [
        ('0', 'O'),
        ('1', 'I'),
        ('1', 'l'),
        ('I', 'l'),
        ('5', 'S'),
        ('8', 'B'),
    ] {
        // Doubled, a dot is two cells wide and one high.
        let cells = drawn(a)
            .iter()
            .zip(drawn(b))
            .filter(|(x, y)| **x != *y)
            .count();
        assert!(cells / 2 >= 4, "{a} {b}: {} dots", cells / 2);
    }
}

#[test]
fn v02_the_running_view_has_a_big_state_a_big_time_and_a_big_number() {
    for (columns, rows) in SIZES {
        let desk = cutting(columns, rows, 40);
        let screen = desk.screen();
        let blocks = |line: &&str| line.chars().filter(|c| "▀▄█".contains(*c)).count() >= 6;
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
fn an_answered_line_names_its_state_however_long_it_is() {
    let mut desk = decided(80, 24);
    to_step(&mut desk, Step::Cut);
    desk.answer_lines();
    let list =
        millside::session::gate::list(desk.state(), millside::session::gate::ListKind::Start);
    let screen = desk.screen();
    for line in list.lines {
        assert!(screen.contains(&line.text), "{}", line.text);
        let states = screen
            .lines()
            .filter(|row| row.trim_end().ends_with(&line.word));
        assert!(states.count() >= 1, "{} in {screen}", line.word);
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
        let plain = desk
            .cells()
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
        for cell in desk.cells().content() {
            match cell.fg {
                Color::Indexed(place) => assert!(known.contains(&Some(place)), "{place}"),
                other => assert_eq!((other, palette.text), (Color::Reset, None)),
            }
            assert_eq!(cell.bg, palette.ground.map_or(Color::Reset, Color::Indexed));
        }
    }
}

/// Protanopia and deuteranopia in linear light, after Machado, Oliveira and Fernandes 2009, severity 1.0 (from memory).
const RED_GREEN: [[[f64; 3]; 3]; 2] = [
    [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
];

const SEEN_BY_ALL: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// CIE 1976 L*a*b* for the white of daylight at 6500 K (sRGB and CIE formulas from memory).
fn lab(place: u8, seen: [[f64; 3]; 3]) -> [f64; 3] {
    let linear = rgb(place).map(|value| {
        let v = f64::from(value) / 255.0;
        if v <= 0.04045 {
            v / 12.92
        } else {
            ((v + 0.055) / 1.055).powf(2.4)
        }
    });
    let times = |row: [f64; 3], of: [f64; 3]| row[0] * of[0] + row[1] * of[1] + row[2] * of[2];
    let light = seen.map(|row| times(row, linear).clamp(0.0, 1.0));
    let f = |t: f64| {
        if t > 0.008856 {
            t.cbrt()
        } else {
            7.787 * t + 16.0 / 116.0
        }
    };
    let x = f(times([0.4124, 0.3576, 0.1805], light) / 0.9505);
    let y = f(times([0.2126, 0.7152, 0.0722], light));
    let z = f(times([0.0193, 0.1192, 0.9505], light) / 1.089);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

fn difference(a: u8, b: u8, seen: [[f64; 3]; 3]) -> f64 {
    let (a, b) = (lab(a, seen), lab(b, seen));
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
}

#[test]
fn the_simulation_does_what_it_is_for() {
    // White and black are 100 apart by definition; grey stays grey for everybody.
    assert!((difference(231, 16, SEEN_BY_ALL) - 100.0).abs() < 0.1);
    for seen in RED_GREEN {
        assert!((difference(231, 16, seen) - 100.0).abs() < 0.1);
        // A red and a green that the rule warns of come far closer together.
        assert!(difference(160, 64, seen) < difference(160, 64, SEEN_BY_ALL) / 2.0);
    }
}

#[test]
fn v13_the_colours_stay_apart_for_who_does_not_tell_red_from_green() {
    for theme in Theme::ALL {
        let palette = palette(theme);
        let text = palette.text.unwrap_or(231);
        let all = [palette.todo, palette.warn, palette.stop, text];
        for (place, a) in all.iter().enumerate() {
            for b in &all[place + 1..] {
                for seen in [SEEN_BY_ALL, RED_GREEN[0], RED_GREEN[1]] {
                    let found = difference(*a, *b, seen);
                    assert!(found > 30.0, "{theme:?} {a} {b}: {found:.1}");
                }
            }
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
        for cell in desk.cells().content() {
            let blinks = Modifier::SLOW_BLINK | Modifier::RAPID_BLINK;
            assert!(!cell.modifier.intersects(blinks));
        }
    }
}
