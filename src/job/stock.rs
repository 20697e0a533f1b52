//! The blank: its size as measured and what lies under it.

use crate::job::typed::Typed;

/// Nominal size of a blank or part, all in mm and greater than zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockSize {
    /// Along X, left to right.
    pub x_mm: f64,
    /// Along Y, front to back.
    pub y_mm: f64,
    /// Along Z, bottom to top.
    pub z_mm: f64,
}

/// What a cutter meets when it goes through the bottom of the blank.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Under {
    /// Not stated.
    #[default]
    Unknown,
    /// Spoil board of this thickness in mm, meant to be cut into.
    Spoil {
        /// Thickness of the board in mm.
        thickness_mm: f64,
    },
    /// Steel parallels.
    Parallels,
    /// The step of a vice jaw.
    Jaw,
    /// The machine's table.
    Table,
    /// Nothing.
    Air,
}

impl Under {
    /// Word used on the command line, in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unknown => "not stated",
            Self::Spoil { .. } => "spoil board",
            Self::Parallels => "parallels",
            Self::Jaw => "jaw",
            Self::Table => "table",
            Self::Air => "air",
        }
    }

    /// Whether a cutter that goes through damages itself or the machine.
    pub fn is_hard(self) -> bool {
        matches!(self, Self::Parallels | Self::Jaw | Self::Table)
    }
}

/// How the outside of the blank was made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Edges {
    /// Sawn: not flat, not square.
    #[default]
    Sawn,
    /// Milled flat and square.
    Milled,
}

impl Edges {
    /// Word used in records and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sawn => "sawn",
            Self::Milled => "milled",
        }
    }
}

/// The blank as measured. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Along X.
    pub x: Typed,
    /// Along Y.
    pub y: Typed,
    /// Thickness at one to four corners: left front, right front, left back, right back.
    pub thickness: Vec<Typed>,
    /// Sawn or milled.
    pub edges: Edges,
    /// What lies under it.
    pub under: Under,
    /// How far it stands above the jaws.
    pub above_jaws: Option<Typed>,
    /// Size of the finished part, where it is known: X, Y, Z.
    pub part: Option<[Typed; 3]>,
}

impl Stock {
    /// The greatest thickness, which the first pass must reckon with.
    pub fn greatest_mm(&self) -> f64 {
        self.thickness.iter().map(|t| t.value).fold(0.0, f64::max)
    }

    /// The least thickness, which the depth of a cut through must reckon with.
    pub fn least_mm(&self) -> f64 {
        self.thickness
            .iter()
            .map(|t| t.value)
            .fold(f64::INFINITY, f64::min)
    }

    /// The box that the blank fills, with its greatest thickness.
    pub fn size(&self) -> StockSize {
        StockSize {
            x_mm: self.x.value,
            y_mm: self.y.value,
            z_mm: self.greatest_mm(),
        }
    }
}
