//! Two sessions compared by meaning: what a machinist would call different.
//!
//! Names of sessions and jobs, times of day, list versions and where the work stands do not
//! count. Lengths are compared as lengths, whatever unit they were typed in.

mod fact;
mod flat;
mod groups;

use crate::session::state::State;

pub use crate::record::compare::fact::Change;

/// One difference: a row of two columns.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Where it differs, such as the title of an operation; empty when the group says it all.
    /// Not escaped, like the other texts here.
    pub place: String,
    /// What differs, such as `ap`.
    pub what: String,
    /// Value in the first session; none when it is not there.
    pub a: Option<String>,
    /// Value in the second session; none when it is not there.
    pub b: Option<String>,
    /// By how much, when both are amounts of one unit.
    pub change: Option<Change>,
}

/// Differences that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Heading, such as `setup 1` or `recipes`.
    pub title: String,
    /// Its differences, in the order of the work; never empty.
    pub rows: Vec<Row>,
}

/// What differs between two sessions, in the order of the work.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// Groups with differences; empty when the sessions are the same by meaning.
    pub groups: Vec<Group>,
}

impl Comparison {
    /// Whether nothing differs.
    pub fn is_same(&self) -> bool {
        self.groups.is_empty()
    }

    /// How many differences.
    pub fn count(&self) -> usize {
        self.groups.iter().map(|group| group.rows.len()).sum()
    }
}

/// Compares two sessions, the first one as `a`.
pub fn compare(a: &State, b: &State) -> Comparison {
    let groups = groups::all(a, b)
        .into_iter()
        .filter(|group| !group.rows.is_empty())
        .collect();
    Comparison { groups }
}
