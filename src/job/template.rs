//! Job templates: setups of steps to begin from.

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
    /// Name of a tool, or words for one.
    pub tool: Option<String>,
    /// What to mind.
    pub note: String,
}

/// What happens in a setup, in order.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// An operation; a clamp swap with the part still is one.
    Operation(PlannedOperation),
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
                Step::Measure(_) => None,
            })
    }
}
