//! How X, Y and Z are found.

use crate::job::typed::Typed;
use crate::job::zero::ZeroPoint;

/// How a zero is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FoundBy {
    /// An edge finder, or a probe with a ball or pin, in the spindle.
    EdgeFinder,
    /// A cutter or pin touched against the edge.
    Touch,
    /// A dowel or pin in the table.
    Dowel,
    /// A bore, centred.
    Bore,
}

impl FoundBy {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::EdgeFinder, Self::Touch, Self::Dowel, Self::Bore];

    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::EdgeFinder => "edge finder",
            Self::Touch => "touch",
            Self::Dowel => "dowel",
            Self::Bore => "bore",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|found| found.word() == word)
    }
}

/// The XY zero of a setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Zero {
    /// Which point of the blank the program calls zero.
    pub point: ZeroPoint,
    /// How it is found.
    pub found_by: FoundBy,
    /// Diameter of what touches, in mm; zero for a bore that is centred.
    pub finder: Typed,
    /// Work offset that holds it, such as `G54`.
    pub offset: String,
}

/// A surface that Z is set to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Top of the blank.
    StockTop,
    /// The spoil board.
    SpoilBoard,
    /// The table.
    Table,
    /// A jaw of the vice.
    Jaw,
    /// A pad or setter that stays on the table.
    Pad,
}

impl Surface {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 5] = [
        Self::StockTop,
        Self::SpoilBoard,
        Self::Table,
        Self::Jaw,
        Self::Pad,
    ];

    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::StockTop => "stock top",
            Self::SpoilBoard => "spoil board",
            Self::Table => "table",
            Self::Jaw => "jaw",
            Self::Pad => "pad",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|surface| surface.word() == word)
    }
}

/// What each tool's length is set to in one setup. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct ZReference {
    /// The surface.
    pub surface: Surface,
    /// Height of the surface above Z0; negative when it lies below.
    pub height: Typed,
    /// Thickness of paper, shim or gauge between the surface and the tool.
    pub shim: Typed,
}

impl ZReference {
    /// What the machine must read in Z when the tool just grips the shim, in mm.
    pub fn touch_reading_mm(&self) -> f64 {
        self.height.value + self.shim.value
    }
}
