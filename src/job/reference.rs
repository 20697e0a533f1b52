//! How X, Y and Z are found.

use crate::job::stock::Stock;
use crate::job::stock::Under;
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
    /// A parallel that stands out beside the part.
    Parallel,
    /// The top as an operation of this setup has faced it.
    NewFace,
}

impl Surface {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 7] = [
        Self::StockTop,
        Self::SpoilBoard,
        Self::Table,
        Self::Jaw,
        Self::Pad,
        Self::Parallel,
        Self::NewFace,
    ];

    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::StockTop => "stock top",
            Self::SpoilBoard => "spoil board",
            Self::Table => "table",
            Self::Jaw => "jaw",
            Self::Pad => "pad",
            Self::Parallel => "parallel",
            Self::NewFace => "new face",
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
    /// Where on the surface each tool is touched off, X and Y in the numbers of the program, mm; none: nobody has said.
    pub at: Option<[f64; 2]>,
}

/// What a section of the program, with those before it, leaves of the top of the blank; from the path through the blank.
#[derive(Clone, Debug, PartialEq)]
pub struct TopLeft {
    /// Line of the section's first cut.
    pub line: u64,
    /// Share of the top that is still as it was, from 0 to 1.
    pub share: f64,
    /// Middle of the largest uncut place that a tool can be touched off on, clear of clamps, X and Y in the numbers of the program, mm;
    /// none where there is no such place.
    pub clear: Option<[f64; 2]>,
    /// The highest metal left, Z in the numbers of the program, mm.
    pub highest_mm: f64,
    /// How deep the metal is cut at the place of the Z reference, mm; none where nobody has stated a place on the blank.
    pub at_place_deep_mm: Option<f64>,
}

impl ZReference {
    /// Height above Z0, in mm, at which the blank as measured has this surface, reckoned with its greatest thickness, which sets the first
    /// pass; nothing for a surface that the blank does not lie on or end at.
    pub fn by_blank_mm(&self, point: ZeroPoint, stock: &Stock) -> Option<f64> {
        let share = point.share()[2];
        let thick = stock.greatest_mm();
        match (self.surface, stock.under) {
            (Surface::StockTop, _) => Some((1.0 - share) * thick),
            (Surface::SpoilBoard, Under::Spoil { .. }) | (Surface::Table, Under::Table) => {
                Some(-share * thick)
            }
            (Surface::Table, Under::Spoil { thickness_mm }) => Some(-share * thick - thickness_mm),
            (Surface::Parallel, Under::Parallels) => Some(-share * thick),
            (Surface::Jaw, _) => {
                let above = stock.above_jaws.as_ref()?.value;
                Some((1.0 - share) * thick - above)
            }
            _ => None,
        }
    }

    /// What the machine must read in Z when the tool just grips the shim, in mm.
    pub fn touch_reading_mm(&self) -> f64 {
        self.height.value + self.shim.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::stock::Edges;

    fn heights(surface: Surface, point: &str, under: Under) -> Option<f64> {
        let stock = Stock {
            x: Typed::mm(120.0),
            y: Typed::mm(90.0),
            thickness: vec![Typed::mm(12.0), Typed::mm(12.4)],
            edges: Edges::Milled,
            under,
            above_jaws: Some(Typed::mm(5.0)),
            part: None,
        };
        let reference = ZReference {
            surface,
            height: Typed::mm(0.0),
            shim: Typed::mm(0.1),
            at: None,
        };
        reference.by_blank_mm(point.parse().expect("a point"), &stock)
    }

    // By hand: 12 and 12.4 mm thick on a board of 18 mm. From the top of the highest corner the board lies 12.4 mm down and the table
    // 18 mm more; from the bottom (5-) the top lies 12.4 mm up; from the middle (5*) half of it.
    #[test]
    fn the_blank_says_where_a_surface_lies() {
        let board = Under::Spoil { thickness_mm: 18.0 };
        assert_eq!(heights(Surface::SpoilBoard, "5+", board), Some(-12.4));
        assert_eq!(heights(Surface::Table, "5+", board), Some(-30.4));
        assert_eq!(heights(Surface::StockTop, "5+", board), Some(0.0));
        assert_eq!(heights(Surface::StockTop, "5-", board), Some(12.4));
        assert_eq!(heights(Surface::StockTop, "5*", board), Some(6.2));
        assert_eq!(heights(Surface::Table, "5+", Under::Table), Some(-12.4));
        assert_eq!(heights(Surface::Table, "5+", Under::Parallels), None);
        // Parallels lie where the bottom does, jaws 5 mm under the top.
        assert_eq!(
            heights(Surface::Parallel, "5+", Under::Parallels),
            Some(-12.4)
        );
        assert_eq!(heights(Surface::Jaw, "5+", Under::Parallels), Some(-5.0));
        assert_eq!(heights(Surface::Jaw, "5-", Under::Parallels), Some(7.4));
        assert_eq!(heights(Surface::Pad, "5+", board), None);
    }
}
