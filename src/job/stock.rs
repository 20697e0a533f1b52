//! The blank: its size as measured and what lies under it.

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
