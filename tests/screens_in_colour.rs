//! Screens with their colours, to be read: below each row that has a style a row of letters says which, and the last lines say what the
//! letters mean. Each screen stands beside itself without colour.

mod support;

use millside::app::model::Theme;
use millside::session::state::Step;
use millside::ui::look::palette;
use ratatui::buffer::Cell;
use ratatui::style::Color;
use ratatui::style::Modifier;

use support::desk::Desk;
use support::walk::cutting;
use support::walk::decided;
use support::walk::to_step;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (160, 50)];

/// What the letter of a cell means, and the letter. Reverse video is told from bold by a capital.
fn letter(theme: Theme, cell: &Cell) -> char {
    let palette = palette(theme);
    let reversed = cell.modifier.contains(Modifier::REVERSED);
    let bold = cell.modifier.contains(Modifier::BOLD);
    let other = cell.modifier - Modifier::REVERSED - Modifier::BOLD;
    assert!(other.is_empty(), "no style of this house: {other:?}");
    let name = match cell.fg {
        Color::Indexed(place) if place == palette.todo => 't',
        Color::Indexed(place) if place == palette.warn => 'w',
        Color::Indexed(place) if place == palette.stop => 's',
        _ if bold => 'b',
        _ => ' ',
    };
    match (reversed, name) {
        (true, ' ') => 'R',
        (true, name) => name.to_ascii_uppercase(),
        (false, name) => name,
    }
}

fn styled(desk: &Desk) -> String {
    let cells = desk.cells();
    let theme = desk.model.look.theme;
    let mut out = String::new();
    for row in 0..cells.area.height {
        let of_row = |show: &dyn Fn(&Cell) -> String| -> String {
            let shown: String = (0..cells.area.width)
                .map(|column| show(&cells[(column, row)]))
                .collect();
            shown.trim_end().to_owned()
        };
        out.push(' ');
        out.push_str(&of_row(&|cell| cell.symbol().to_owned()));
        out.push('\n');
        // A style on an empty cell is seen only where it is reverse video.
        let letters = of_row(&|cell| match letter(theme, cell) {
            'a'..='z' if cell.symbol() == " " => " ".to_owned(),
            letter => letter.to_string(),
        });
        if !letters.is_empty() {
            out.push('~');
            out.push_str(&letters);
            out.push('\n');
        }
    }
    let colours = if desk.model.look.colour {
        format!("{:?}", palette(theme))
    } else {
        "no colour".to_owned()
    };
    out.push_str(
        "\nbelow a row: b bold, t to do, w warns (bold), s stop or redo (bold); capital: reversed, R without colour\n",
    );
    out.push_str(&colours);
    out.lines()
        .map(str::trim_end)
        .collect::<Vec<_>>()
        .join("\n")
}

fn in_colour_and_without(name: &str, make: impl Fn(u16, u16) -> Desk) {
    for (columns, rows) in SIZES {
        let mut desk = make(columns, rows);
        insta::assert_snapshot!(format!("{name}_{columns}x{rows}_colour"), styled(&desk));
        let in_colour = desk.screen();
        desk.model.look.colour = false;
        insta::assert_snapshot!(format!("{name}_{columns}x{rows}_mono"), styled(&desk));
        // The words are the same: nothing is said by colour alone.
        assert_eq!(desk.screen(), in_colour, "{name}");
    }
    for theme in [Theme::Night, Theme::Bright] {
        let mut desk = make(80, 24);
        desk.model.look.theme = theme;
        insta::assert_snapshot!(format!("{name}_80x24_{}", theme.word()), styled(&desk));
    }
}

#[test]
fn the_gate_half_answered() {
    in_colour_and_without("gate", |columns, rows| {
        let mut desk = decided(columns, rows);
        to_step(&mut desk, Step::Cut);
        desk.keys("3");
        desk
    });
}

#[test]
fn the_gate_after_an_axis_bound() {
    in_colour_and_without("redo", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("-1\rY stuck at the left end\rx");
        desk
    });
}

#[test]
fn running_in_time_and_over_it() {
    in_colour_and_without("running", |columns, rows| cutting(columns, rows, 40));
    in_colour_and_without("over", |columns, rows| cutting(columns, rows, 4000));
}

#[test]
fn the_emergency_card_and_what_happened() {
    in_colour_and_without("emergency", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys(".");
        desk
    });
    in_colour_and_without("happened", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("-");
        desk
    });
}
