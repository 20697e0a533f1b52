//! Big letters: our own, five dots wide and seven high, in half blocks or in ASCII.
//!
//! Zero is slashed, one has a foot, B has serifs, so that none is taken for its neighbour.

/// Rows of dots of a glyph.
pub const DOTS_HIGH: usize = 7;

/// Columns of dots of a glyph.
pub const DOTS_WIDE: usize = 5;

/// How big a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// A dot is half a cell high: four rows.
    Single,
    /// A dot is a row high and two columns wide: seven rows.
    Double,
}

impl Size {
    /// Rows of cells that a line takes.
    pub fn rows(self) -> u16 {
        match self {
            Self::Single => 4,
            Self::Double => 7,
        }
    }

    fn cells_per_dot(self) -> usize {
        match self {
            Self::Single => 1,
            Self::Double => 2,
        }
    }
}

/// Five bits a row, the highest at the left.
#[rustfmt::skip]
const GLYPHS: &[(char, [u8; DOTS_HIGH])] = &[
    ('0', [0b01111, 0b10001, 0b10011, 0b10101, 0b11001, 0b10001, 0b11110]),
    ('1', [0b00100, 0b01100, 0b10100, 0b00100, 0b00100, 0b00100, 0b11111]),
    ('2', [0b01110, 0b10001, 0b00001, 0b00110, 0b01000, 0b10000, 0b11111]),
    ('3', [0b11110, 0b00001, 0b00001, 0b01110, 0b00001, 0b00001, 0b11110]),
    ('4', [0b00010, 0b00110, 0b01010, 0b10010, 0b11111, 0b00010, 0b00010]),
    ('5', [0b11111, 0b10000, 0b11110, 0b00001, 0b00001, 0b10001, 0b01110]),
    ('6', [0b00110, 0b01000, 0b10000, 0b11110, 0b10001, 0b10001, 0b01110]),
    ('7', [0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b01000, 0b01000]),
    ('8', [0b01110, 0b10001, 0b10001, 0b01110, 0b10001, 0b10001, 0b01110]),
    ('9', [0b01110, 0b10001, 0b10001, 0b01111, 0b00001, 0b00010, 0b01100]),
    ('A', [0b01110, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001]),
    ('B', [0b11110, 0b01001, 0b01001, 0b01110, 0b01001, 0b01001, 0b11110]),
    ('C', [0b01110, 0b10001, 0b10000, 0b10000, 0b10000, 0b10001, 0b01110]),
    ('D', [0b11110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b11110]),
    ('E', [0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b11111]),
    ('F', [0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b10000]),
    ('G', [0b01110, 0b10001, 0b10000, 0b10111, 0b10001, 0b10001, 0b01110]),
    ('H', [0b10001, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001]),
    ('I', [0b11111, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b11111]),
    ('J', [0b00111, 0b00010, 0b00010, 0b00010, 0b00010, 0b10010, 0b01100]),
    ('K', [0b10001, 0b10010, 0b10100, 0b11000, 0b10100, 0b10010, 0b10001]),
    ('L', [0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b11111]),
    ('M', [0b10001, 0b11011, 0b10101, 0b10101, 0b10001, 0b10001, 0b10001]),
    ('N', [0b10001, 0b11001, 0b10101, 0b10011, 0b10001, 0b10001, 0b10001]),
    ('O', [0b01110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110]),
    ('P', [0b11110, 0b10001, 0b10001, 0b11110, 0b10000, 0b10000, 0b10000]),
    ('Q', [0b01110, 0b10001, 0b10001, 0b10001, 0b10101, 0b10010, 0b01101]),
    ('R', [0b11110, 0b10001, 0b10001, 0b11110, 0b10100, 0b10010, 0b10001]),
    ('S', [0b01111, 0b10000, 0b10000, 0b01110, 0b00001, 0b00001, 0b11110]),
    ('T', [0b11111, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100]),
    ('U', [0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110]),
    ('V', [0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01010, 0b00100]),
    ('W', [0b10001, 0b10001, 0b10001, 0b10101, 0b10101, 0b11011, 0b10001]),
    ('X', [0b10001, 0b10001, 0b01010, 0b00100, 0b01010, 0b10001, 0b10001]),
    ('Y', [0b10001, 0b10001, 0b01010, 0b00100, 0b00100, 0b00100, 0b00100]),
    ('Z', [0b11111, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0b11111]),
    ('l', [0b01100, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110]),
    (':', [0b00000, 0b10000, 0b10000, 0b00000, 0b10000, 0b10000, 0b00000]),
    ('.', [0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b10000]),
    (',', [0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b01000, 0b10000]),
    ('-', [0b00000, 0b00000, 0b00000, 0b11110, 0b00000, 0b00000, 0b00000]),
    ('+', [0b00000, 0b00100, 0b00100, 0b11111, 0b00100, 0b00100, 0b00000]),
    ('/', [0b00001, 0b00001, 0b00010, 0b00100, 0b01000, 0b10000, 0b10000]),
    ('%', [0b11001, 0b11001, 0b00010, 0b00100, 0b01000, 0b10011, 0b10011]),
    ('?', [0b01110, 0b10001, 0b00001, 0b00110, 0b00100, 0b00000, 0b00100]),
    (' ', [0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b00000, 0b00000]),
];

/// Dots of a character, a row each; one that has no glyph is drawn as a question mark.
pub fn dots(of: char) -> [u8; DOTS_HIGH] {
    let find = |wanted: char| GLYPHS.iter().find(|(c, _)| *c == wanted).map(|(_, d)| *d);
    find(of)
        .or_else(|| find(of.to_ascii_uppercase()))
        .or_else(|| find('?'))
        .unwrap_or_default()
}

/// Columns of dots that a character takes without the gap after it: signs are narrower.
fn dots_wide(of: char) -> usize {
    match of {
        ':' | '.' => 1,
        ',' => 2,
        _ => DOTS_WIDE,
    }
}

/// Columns that a text takes, without the gap after the last character.
pub fn width(text: &str, size: Size) -> usize {
    let dots: usize = text.chars().map(|c| dots_wide(c) + 1).sum();
    dots.saturating_sub(1) * size.cells_per_dot()
}

/// The rows of a text in big letters.
pub fn rows(text: &str, size: Size, is_ascii: bool) -> Vec<String> {
    if is_ascii && let Some(dashes) = dashes(text, size) {
        return dashes;
    }
    let line = |row: usize| -> Vec<bool> {
        let mut line = vec![];
        for c in text.chars() {
            let bits = dots(c).get(row).copied().unwrap_or_default();
            line.extend((0..dots_wide(c)).map(|column| bits >> (DOTS_WIDE - 1 - column) & 1 == 1));
            line.push(false);
        }
        line
    };
    match size {
        Size::Single => (0..DOTS_HIGH)
            .step_by(2)
            .map(|row| {
                line(row)
                    .into_iter()
                    .zip(line(row + 1))
                    .map(|(upper, lower)| half(upper, lower, is_ascii))
                    .collect()
            })
            .collect(),
        Size::Double => (0..DOTS_HIGH)
            .map(|row| {
                line(row)
                    .into_iter()
                    .flat_map(|dot| [half(dot, dot, is_ascii); 2])
                    .collect()
            })
            .collect(),
    }
}

/// A sign that stands for no value: in ASCII halves of dots would make letters of it.
fn dashes(text: &str, size: Size) -> Option<Vec<String>> {
    let is_dash = !text.is_empty() && text.chars().all(|c| c == '-');
    let high = match size {
        Size::Single => DOTS_HIGH.div_ceil(2),
        Size::Double => DOTS_HIGH,
    };
    is_dash.then(|| {
        let wide = width(text, size);
        let row = |at| if at == high / 2 { "-" } else { " " }.repeat(wide);
        (0..high).map(row).collect()
    })
}

fn half(upper: bool, lower: bool, is_ascii: bool) -> char {
    match (upper, lower, is_ascii) {
        (false, false, _) => ' ',
        (true, true, false) => '█',
        (true, false, false) => '▀',
        (false, true, false) => '▄',
        (true, true, true) => '#',
        (true, false, true) => '"',
        (false, true, true) => 'o',
    }
}
