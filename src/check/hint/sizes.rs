//! The numbers of a tool's comment that may be its diameter, by how sure they are.

use crate::program::interp::MM_PER_INCH;

/// Words behind or before a number that make it another size; where they stand between two they belong to one of them.
const OF_OTHER_SIZE: [&str; 27] = [
    "shank",
    "shk",
    "shaft",
    "radius",
    "rad",
    "corner",
    "length",
    "len",
    "loc",
    "oal",
    "long",
    "deep",
    "depth",
    "reach",
    "stickout",
    "stick",
    "tip",
    "neck",
    "step",
    "stepdown",
    "stepover",
    "pitch",
    "tall",
    "thick",
    "wide",
    "clearance",
    "allowance",
];
/// Labels before a number that is no diameter.
const OTHER_LABELS: [&str; 60] = [
    "r", "cr", "l", "fl", "flute", "flutes", "teeth", "out", "zmin", "zmax", "z", "x", "y", "i",
    "j", "k", "a", "b", "c", "angle", "taper", "s", "speed", "n", "rpm", "f", "feed", "plunge",
    "vc", "fz", "sfm", "ipt", "ipm", "t", "tool", "h", "no", "nr", "number", "o", "m", "p", "tpi",
    "ap", "ae", "doc", "woc", "leave", "stock", "offset", "tol", "retract", "height", "chamfer",
    "edge", "hole", "holes", "pocket", "slot", "bore",
];
/// Words behind a number that count or measure something else.
const OTHER_WORDS: [&str; 23] = [
    "deg", "degree", "degrees", "fl", "flt", "flts", "flute", "flutes", "f", "z", "t", "d",
    "tooth", "teeth", "rpm", "ipm", "sfm", "tpi", "pcs", "insert", "inserts", "passes", "hole",
];
/// Words that count the cutting edges: behind a number they are its own.
const EDGES: [&str; 7] = ["fl", "flt", "flts", "flute", "flutes", "tooth", "teeth"];
/// Words that name a tool.
const KINDS: [&str; 22] = [
    "end",
    "endmill",
    "em",
    "mill",
    "ball",
    "ballnose",
    "ballmill",
    "bull",
    "bullnose",
    "flat",
    "drill",
    "face",
    "facemill",
    "reamer",
    "cutter",
    "spot",
    "slotdrill",
    "router",
    "chamfer",
    "engraver",
    "flycutter",
    "square",
];
/// Words that may stand before them.
const ADJECTIVES: [&str; 9] = [
    "carbide",
    "hss",
    "vhm",
    "solid",
    "roughing",
    "finishing",
    "stub",
    "coated",
    "single",
];
const DIAMETERS: [&str; 6] = ["dia", "diam", "diameter", "\u{f8}", "\u{2300}", "\u{2205}"];

/// A number of a comment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    pub value: f64,
    /// Millimetres in its own unit; `None` where none is written.
    pub unit_mm: Option<f64>,
    pub has_point: bool,
}

/// What may be the diameter, the surest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sizes {
    /// Beside a word or sign for a diameter.
    pub labelled: Vec<Size>,
    /// With a unit, or a fraction.
    pub with_unit: Vec<Size>,
    /// Behind a D without an equals sign, which may be a register.
    pub by_d: Vec<Size>,
    /// Beside the name of a tool.
    pub plain: Vec<Size>,
}

#[derive(Clone, Debug, PartialEq)]
enum What {
    Word(String),
    /// The value, whether it is a fraction, whether it has a point.
    Number(f64, bool, bool),
    /// What looks like a number and is no size: a thread, a date, a version.
    Other,
    Mark(char),
}

#[derive(Clone, Debug, PartialEq)]
struct Token {
    what: What,
    /// Whether no blank stands before it.
    is_glued: bool,
}

impl Token {
    fn word(&self) -> Option<&str> {
        match &self.what {
            What::Word(word) => Some(word),
            _ => None,
        }
    }

    fn is_mark(&self, marks: &[char]) -> bool {
        matches!(&self.what, What::Mark(mark) if marks.contains(mark))
    }

    fn is_number(&self) -> bool {
        matches!(self.what, What::Number(..) | What::Other)
    }

    fn is_word_of(&self, words: &[&str]) -> bool {
        self.word().is_some_and(|word| words.contains(&word))
    }
}

/// The sizes of a comment; `None` where it cannot be told which of two numbers a word belongs to.
pub fn of(comment: &str) -> Option<Sizes> {
    let tokens = tokens(comment);
    let has_h = tokens
        .windows(2)
        .any(|t| t[0].word() == Some("h") && t[1].is_number());
    let mut sizes = Sizes::default();
    for (at, token) in tokens.iter().enumerate() {
        let What::Number(value, is_fraction, has_point) = token.what else {
            continue;
        };
        let behind = Behind::of(&tokens, at)?;
        let before = Before::of(&tokens, at)?;
        if behind.is_other || before == Before::Other {
            continue;
        }
        let unit_mm = behind.unit_mm.or(is_fraction.then_some(MM_PER_INCH));
        let size = Size {
            value,
            unit_mm,
            has_point,
        };
        if before == Before::Diameter || behind.is_diameter {
            sizes.labelled.push(size);
        } else if unit_mm.is_some() {
            sizes.with_unit.push(size);
        } else if before == Before::D {
            if !has_h {
                sizes.by_d.push(size);
            }
        } else if behind.is_kind || (before == Before::Kind && has_point) {
            sizes.plain.push(size);
        }
    }
    Some(sizes)
}

/// What stands behind a number.
struct Behind {
    unit_mm: Option<f64>,
    is_other: bool,
    is_diameter: bool,
    is_kind: bool,
}

impl Behind {
    /// `None` where a word may belong to this number or to the next one.
    fn of(tokens: &[Token], at: usize) -> Option<Self> {
        let mut next = at + 1;
        let dash = |next: usize| tokens.get(next).is_some_and(|t| t.is_mark(&['-']));
        let unit_mm = unit(tokens, next + usize::from(dash(next)));
        if let Some((_, length)) = unit_mm {
            next += usize::from(dash(next)) + length;
        }
        let is_rate = unit_mm.is_some() && tokens.get(next).is_some_and(|t| t.is_mark(&['/']));
        next += usize::from(dash(next));
        let word = tokens.get(next);
        let is = |words: &[&str]| word.is_some_and(|t| t.is_word_of(words));
        let mut is_other = is_rate
            || word.is_some_and(|t| t.is_mark(&['\u{b0}', '%']))
            || (unit_mm.is_none() && is(&OTHER_WORDS));
        // A length of the flutes or of the cut.
        if is(&["flute", "fl", "cut", "cutting"])
            && tokens
                .get(next + 1)
                .is_some_and(|t| t.is_word_of(&OF_OTHER_SIZE))
        {
            is_other = true;
        }
        if is(&OF_OTHER_SIZE) {
            is_other |= belongs_before(tokens, next)?;
        }
        Some(Self {
            unit_mm: unit_mm.map(|(unit, _)| unit),
            is_other,
            is_diameter: is(&DIAMETERS),
            is_kind: is_kind(tokens, next),
        })
    }
}

/// What stands before a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Before {
    Nothing,
    Diameter,
    D,
    Kind,
    Other,
}

impl Before {
    fn of(tokens: &[Token], at: usize) -> Option<Self> {
        let mut label = at;
        let mut is_assigned = false;
        while let Some(mark) = label.checked_sub(1).and_then(|i| tokens.get(i)) {
            if mark.is_mark(&['=', ':']) {
                is_assigned = true;
            } else if mark.is_mark(&['#']) {
                return Some(Self::Other);
            } else if mark.is_mark(&['-']) && tokens[label].is_glued && label == at {
                // A sign: what has one is no diameter, and a dash between words is none.
                let is_sign = label >= 2 && tokens[label - 2].is_mark(&['=', ':']);
                return Some(if is_sign { Self::Other } else { Self::Nothing });
            } else if !mark.is_mark(&['.']) {
                break;
            }
            label -= 1;
        }
        let Some(place) = label.checked_sub(1) else {
            return Some(Self::Nothing);
        };
        let Some(word) = tokens[place].word() else {
            return Some(Self::Nothing);
        };
        let is_glued = tokens[label].is_glued;
        let is_count =
            EDGES.contains(&word) && !is_assigned && place > 0 && tokens[place - 1].is_number();
        if is_count {
            return Some(Self::Nothing);
        }
        let of_other = place.checked_sub(1).is_some_and(|i| {
            tokens[i].is_word_of(&OF_OTHER_SIZE)
                || tokens[i].is_word_of(&["hole", "bore", "pocket"])
        });
        Some(if OF_OTHER_SIZE.contains(&word) {
            if !is_assigned && belongs_before(tokens, place)? {
                Self::Nothing
            } else {
                Self::Other
            }
        } else if DIAMETERS.contains(&word) || (word == "d" && is_assigned) {
            if of_other {
                Self::Other
            } else {
                Self::Diameter
            }
        } else if word == "d" {
            Self::D
        } else if OTHER_LABELS.contains(&word)
            || (is_glued && !is_assigned && !KINDS.contains(&word))
        {
            Self::Other
        } else if KINDS.contains(&word) {
            Self::Kind
        } else {
            Self::Nothing
        })
    }
}

/// Whether the word at a place belongs to the number before it; `None` where it may belong to the one behind as well.
fn belongs_before(tokens: &[Token], place: usize) -> Option<bool> {
    let before = place.checked_sub(1).and_then(|i| tokens.get(i));
    let is_behind_number = before.is_some_and(|t| {
        t.is_number() || t.is_mark(&['"']) || t.is_word_of(&["mm", "in", "inch", "inches"])
    });
    let next = tokens.get(place + 1);
    if next.is_some_and(|t| t.is_mark(&['=', ':'])) || !is_behind_number {
        return Some(false);
    }
    if !next.is_some_and(Token::is_number) {
        return Some(true);
    }
    let length = unit(tokens, place + 2).map_or(0, |(_, length)| length);
    is_kind(tokens, place + 2 + length).then_some(true)
}

/// Whether the name of a tool stands at a place, one word before it allowed.
fn is_kind(tokens: &[Token], place: usize) -> bool {
    let is = |at: usize, words: &[&str]| tokens.get(at).is_some_and(|t| t.is_word_of(words));
    is(place, &KINDS) || (is(place, &ADJECTIVES) && is(place + 1, &KINDS))
}

/// The unit at a place, mm, and how many tokens it takes.
fn unit(tokens: &[Token], place: usize) -> Option<(f64, usize)> {
    let token = tokens.get(place)?;
    let is_inch_mark = |t: &Token| t.is_mark(&['"', '\u{201d}', '\u{2033}']);
    if is_inch_mark(token) {
        return Some((MM_PER_INCH, 1));
    }
    let is_prime = |at: usize| tokens.get(at).is_some_and(|t| t.is_mark(&['\'']));
    if is_prime(place) && is_prime(place + 1) {
        return Some((MM_PER_INCH, 2));
    }
    match token.word()? {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some((1.0, 1)),
        "inch" | "inches" => Some((MM_PER_INCH, 1)),
        // "In" between two numbers is a word.
        "in" if token.is_glued || !tokens.get(place + 1).is_some_and(Token::is_number) => {
            Some((MM_PER_INCH, 1))
        }
        _ => None,
    }
}

/// The words, numbers and marks of a comment.
fn tokens(comment: &str) -> Vec<Token> {
    // A byte of an older character set is escaped by now.
    let text = comment
        .to_lowercase()
        .replace("\\xf8", "\u{f8}")
        .replace("\\xd8", "\u{f8}");
    let (text, is_cut) = match text.strip_suffix("...") {
        Some(head) => (head, true),
        None => (text.as_str(), false),
    };
    let chars: Vec<char> = text.chars().collect();
    let mut tokens: Vec<Token> = vec![];
    let mut at = 0;
    let mut is_glued = false;
    while let Some(&c) = chars.get(at) {
        if c.is_whitespace() {
            is_glued = false;
            at += 1;
            continue;
        }
        let is_point = c == '.' && chars.get(at + 1).is_some_and(char::is_ascii_digit);
        let (what, end) = if c.is_ascii_digit() || is_point {
            number(&chars, at)
        } else if c.is_alphabetic() && !DIAMETERS.contains(&c.to_string().as_str()) {
            let is_letter = |c: &&char| c.is_alphabetic();
            let length = chars[at..].iter().take_while(is_letter).count();
            let word: String = chars[at..at + length].iter().collect();
            // A unit and the next word may be written as one.
            let follows_number = tokens.last().is_some_and(Token::is_number) && is_glued;
            if follows_number && word.starts_with("mm") {
                (What::Word("mm".to_owned()), at + 2)
            } else {
                (What::Word(word), at + length)
            }
        } else if DIAMETERS.contains(&c.to_string().as_str()) {
            (What::Word(c.to_string()), at + 1)
        } else {
            (What::Mark(c), at + 1)
        };
        tokens.push(Token { what, is_glued });
        is_glued = true;
        at = end;
    }
    if is_cut && tokens.last().is_some_and(Token::is_number) {
        // The rest of its digits may be missing.
        tokens.pop();
    }
    tokens
}

/// The number at a place and where it ends: decimal, fraction, or a whole number and a fraction.
fn number(chars: &[char], start: usize) -> (What, usize) {
    let digits = |from: usize| -> usize {
        let rest = chars.get(from..).unwrap_or_default();
        from + rest.iter().take_while(|c| c.is_ascii_digit()).count()
    };
    let is = |at: usize, c: char| chars.get(at) == Some(&c);
    let is_digit = |at: usize| chars.get(at).is_some_and(char::is_ascii_digit);
    let whole = |from: usize, to: usize| -> Option<f64> {
        chars.get(from..to)?.iter().collect::<String>().parse().ok()
    };
    let fraction = |from: usize| -> Option<(f64, usize)> {
        let slash = digits(from);
        let end = digits(slash + 1);
        if slash == from || !is(slash, '/') || end == slash + 1 {
            return None;
        }
        let (above, below) = (whole(from, slash)?, whole(slash + 1, end)?);
        // Parts of an inch are halves of halves; others are dates and counts.
        let is_part = [2.0, 4.0, 8.0, 16.0, 32.0, 64.0].contains(&below) && above > 0.0;
        (is_part && !is(end, '/')).then_some((above / below, end))
    };
    let first = digits(start);
    let (found, end) = if let Some((value, end)) = fraction(start) {
        (Some((value, true, false)), end)
    } else {
        let joint = matches!(chars.get(first), Some('-' | ' '));
        let mixed = fraction(first + 1).filter(|(part, _)| joint && *part < 1.0 && first > start);
        if let (Some((part, end)), Some(value)) = (mixed, whole(start, first)) {
            (Some((value + part, true, false)), end)
        } else {
            let has_comma = is(first, ',')
                && first > start
                && is_digit(first + 1)
                && !is(digits(first + 1), ',');
            let has_point = is(first, '.') || has_comma;
            let end = if has_point { digits(first + 1) } else { first };
            let text: String = chars[start..end].iter().collect();
            let text = text.replace(',', ".");
            let value = text.trim_end_matches('.').parse::<f64>().ok();
            (value.map(|value| (value, false, has_point)), end)
        }
    };
    // Figures that go on are a date, a version, or a thread and its pitch.
    let goes_on = matches!(chars.get(end), Some('/' | '.' | '-')) && is_digit(end + 1);
    if goes_on {
        let is_of_run = |c: &&char| c.is_ascii_digit() || matches!(**c, '/' | '.' | '-');
        let length = chars[end..].iter().take_while(is_of_run).count();
        return (What::Other, end + length);
    }
    match found {
        Some((value, is_fraction, has_point)) => (What::Number(value, is_fraction, has_point), end),
        None => (What::Other, end.max(start + 1)),
    }
}
