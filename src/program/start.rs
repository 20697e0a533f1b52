//! What the control must stand at when a program begins: what it sets itself before its first move, and what it leaves to the control.

use crate::program::code;

/// Settings that a program makes before its first move; none: left as the control stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// G20 or G21, in tenths.
    pub units: Option<i32>,
    /// G17, G18 or G19, in tenths.
    pub plane: Option<i32>,
    /// Work system, 0 for G54.
    pub system: Option<usize>,
    /// Whether G90 counts, not G91.
    pub absolute: Option<bool>,
    /// Whether overrides count (M48), or not (M49).
    pub overrides: Option<bool>,
}

impl Start {
    /// What the program sets itself, in a few words each.
    pub fn sets(&self) -> Vec<String> {
        let units = self.units.map(|units| match units {
            200 => "G20 inch".to_owned(),
            _ => "G21 mm".to_owned(),
        });
        let plane = self.plane.map(code::g_name);
        let system = self
            .system
            .map(|system| code::system_name(system).to_owned());
        let absolute = self.absolute.map(|absolute| {
            let words = if absolute {
                "G90 absolute"
            } else {
                "G91 distances"
            };
            words.to_owned()
        });
        let overrides = self.overrides.map(|counts| {
            let words = if counts {
                "M48 overrides on"
            } else {
                "M49 OVERRIDES OFF"
            };
            words.to_owned()
        });
        [units, plane, system, absolute, overrides]
            .into_iter()
            .flatten()
            .collect()
    }

    /// What it leaves to the control, and how it is taken here: to be looked at before the start.
    pub fn leaves(&self) -> Vec<&'static str> {
        [
            (self.units.is_none(), "units (taken as G21 mm)"),
            (self.plane.is_none(), "plane (G17)"),
            (self.system.is_none(), "work offset (G54)"),
            (self.absolute.is_none(), "absolute (G90)"),
        ]
        .into_iter()
        .filter_map(|(is_left, words)| is_left.then_some(words))
        .collect()
    }

    /// Both in a sentence or two, with the override to be set: `feed override 60 %`.
    pub fn words(&self, to_set: &str) -> String {
        let mut looked_at = self.leaves();
        looked_at.push(to_set);
        let sets = self.sets();
        let sets = if sets.is_empty() {
            "nothing".to_owned()
        } else {
            sets.join(", ")
        };
        format!(
            "Check at the control: {}. The program sets {sets}.",
            looked_at.join(", ")
        )
    }
}
