//! How high a character must be to be read from a distance, and what a person said of it.

use std::collections::BTreeMap;

/// What a person said of the big letters in a window of some size, from where they stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Letters {
    /// Read as they are.
    Plain,
    /// Read when they are doubled.
    Doubled,
    /// Not read, and there were no larger ones.
    Neither,
}

impl Letters {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Plain, Self::Doubled, Self::Neither];

    /// Word in the file where it is kept.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Doubled => "doubled",
            Self::Neither => "neither",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|letters| letters.word() == word)
    }

    /// Whether they could be read.
    pub fn are_read(self) -> bool {
        self != Self::Neither
    }
}

/// What was said, by columns and rows of the window.
pub type Sizes = BTreeMap<(u16, u16), Letters>;

/// Height of a capital that is seen under an angle, in millimetres.
///
/// `h = 2 D tan(a / 2)`, with `D` the distance in millimetres and `a` the angle in minutes of arc. NUREG-0700 asks for 16'
/// at the least and 20' to 22' for reading with ease. Worked example: 2 m and 16' give 9.31 mm.
pub fn capital_height_mm(distance_mm: f64, arc_minutes: f64) -> f64 {
    let angle = (arc_minutes / 60.0).to_radians();
    2.0 * distance_mm * (angle / 2.0).tan()
}
