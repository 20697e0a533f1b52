//! Job templates: setups of steps to begin from.

use crate::job::conditions::Conditions;
use crate::job::holding::HeldBy;
use crate::job::operation::OperationKind;
use crate::job::zero::ZeroPoint;

/// An operation to come.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedOperation {
    /// Title on the screen.
    pub title: String,
    /// Kind.
    pub kind: OperationKind,
    /// Whether a hole goes through the part.
    pub through: bool,
    /// Name of a tool, or words for one.
    pub tool: Option<String>,
    /// What to mind.
    pub note: String,
}

/// What happens in a setup, in order.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// An operation.
    Operation(PlannedOperation),
    /// Clamps change places while the part stays still; says how.
    ClampsChanged(String),
    /// A reading that must be taken here; says of what.
    Measure(String),
}

/// One way of holding the part.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedSetup {
    /// Title on the screen.
    pub title: String,
    /// How the part was turned or moved since the setup before; empty for the first.
    pub turn: String,
    /// What holds it.
    pub held_by: HeldBy,
    /// How it is held, in words.
    pub hold: String,
    /// The point of the blank that is zero.
    pub zero: ZeroPoint,
    /// How zero is found, in words.
    pub zero_note: String,
    /// What happens, in order; never empty.
    pub steps: Vec<Step>,
}

/// A job to begin from.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// Its own name, lower case with hyphens.
    pub name: String,
    /// What the screen calls it.
    pub title: String,
    /// What it is for, one or two sentences.
    pub about: String,
    /// Setups in order; never empty.
    pub setups: Vec<PlannedSetup>,
}

impl Template {
    /// Every operation of every setup, in order.
    pub fn operations(&self) -> impl Iterator<Item = &PlannedOperation> {
        self.setups
            .iter()
            .flat_map(|setup| &setup.steps)
            .filter_map(|step| match step {
                Step::Operation(operation) => Some(operation),
                Step::ClampsChanged(_) | Step::Measure(_) => None,
            })
    }
}

/// States what cautions ask of an operation: `operation`.
pub fn state_operation(kind: OperationKind, through: bool, conditions: &mut Conditions) {
    conditions.word(
        "operation",
        match (kind, through) {
            (OperationKind::Pocket, _) => "slot",
            (OperationKind::Drill, true) => "drill_through",
            (OperationKind::Drill, false) => "drill",
            (OperationKind::Tap, _) => "tap",
            _ => "other",
        },
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::conditions::Value;

    #[test]
    fn a_pocket_is_cut_like_a_slot_and_a_through_hole_is_told_apart() {
        for (kind, through, word) in [
            (OperationKind::Pocket, false, "slot"),
            (OperationKind::Drill, true, "drill_through"),
            (OperationKind::Drill, false, "drill"),
            (OperationKind::Face, false, "other"),
        ] {
            let mut stated = Conditions::new();
            state_operation(kind, through, &mut stated);
            assert_eq!(stated.get("operation"), Some(&Value::Word(word.to_owned())));
        }
    }
}
