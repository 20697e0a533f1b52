//! Moves of Z in machine coordinates: a Z that is raised for a dry run does not raise them.

use crate::program::code;

/// The most moves that are kept, each line once.
pub const MOST_KEPT: usize = 50;

/// A move of Z to a place of the machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MachineZ {
    /// Line of the file, counted from 1.
    pub line: u64,
    /// Code in tenths: 280, 300 or 530.
    pub code: i32,
    /// Where it ends in machine coordinates, mm; none: the reference position.
    pub to_mm: Option<f64>,
}

impl MachineZ {
    /// Line, code and where Z goes.
    pub fn words(&self) -> String {
        let to = match self.to_mm {
            Some(mm) => format!("machine Z{} mm", (mm * 1000.0).round() / 1000.0),
            None => "the reference position".to_owned(),
        };
        format!(
            "line {}: {} takes Z to {to}",
            self.line,
            code::g_name(self.code)
        )
    }
}

/// How such moves are announced.
pub const NOT_RAISED: &str = "A raised Z does not raise these moves in machine coordinates:";

/// Lines of the list, at most so many, then how many more.
pub fn lines(all: &[MachineZ], most: usize) -> Vec<String> {
    let mut lines: Vec<String> = all.iter().take(most).map(MachineZ::words).collect();
    if all.len() > most {
        lines.push(format!("and {} more", all.len() - most));
    }
    lines
}
