//! Which tool cuts with which tool length.

/// Cuts of one tool with one length in force, from the first on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthUse {
    /// Tool in the spindle; `None` when the program names none.
    pub tool: Option<u32>,
    /// Number of the length in force; `None` without G43 or behind G49. H0 is the length 0.
    pub h: Option<u32>,
    /// How many changes and stops came before: only where no tool is named they tell one tool from another.
    pub change: u32,
    /// Line of the first feed motion with this length, Z having moved since it came into force.
    pub line: u64,
    /// Line of the G43, or of the G49 that took a length away; `None` where neither was met.
    pub set_line: Option<u64>,
    /// Lowest feed motion of the section until another length came, program's Z, mm.
    pub lowest_mm: Option<f64>,
}

impl LengthUse {
    /// The number of a length that is one: H0 is none.
    pub fn length(&self) -> Option<u32> {
        self.h.filter(|h| *h != 0)
    }
}
