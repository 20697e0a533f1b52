//! What begins something new: lines are open as if they had never been answered, facts as if they had never been said.

use crate::session::fact::FactKind;
use crate::session::lines::ListKind;

/// Something that begins anew, or a statement that takes another back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Anew {
    /// A cut began: the spindle turns from now on, and nothing that was seen at rest is at rest.
    CutBegan,
    /// Another operation or setup came into work, or the same one once more.
    AnotherCut,
    /// A stoppage was noted: what it asks is about this one.
    StopNoted,
    /// A guard was said to be off, or on again: the line asks another question.
    GuardMoved,
    /// The mill was left, or the work went on: the answers before leaving were about that leaving.
    LeavingOver,
    /// The person said that a line is not true: its fact is open.
    NotTrue,
    /// An operation was taken out of the job.
    OperationRemoved,
    /// The check found a stop that nobody has accepted.
    StopUnaccepted,
    /// Another zero was stated.
    ZeroStated,
    /// Z was raised: the program has not run yet in the air.
    RaisedForDryRun,
}

/// One row of what begins anew.
#[derive(Debug)]
pub struct AnewRow {
    /// What began.
    pub what: Anew,
    /// Stable name, as cautions name it.
    pub id: &'static str,
    /// What began, in words.
    pub words: &'static str,
    /// The facts of the setup in work that are open again.
    pub opens: &'static [FactKind],
    /// The lists of which every line is open again.
    pub lists: &'static [ListKind],
    /// What else is open again, in words: lines and facts that are named as it happens.
    pub named: &'static str,
}

/// What begins anew, down; facts and lists across.
pub const ANEW: &[AnewRow] = &[
    AnewRow {
        lists: &[ListKind::Release, ListKind::Recovery],
        ..row(Anew::CutBegan, "cut-began", "a cut began")
    },
    AnewRow {
        lists: &[ListKind::Start],
        ..row(
            Anew::AnotherCut,
            "another-cut",
            "another operation or setup came into work, or an operation was opened again",
        )
    },
    AnewRow {
        named: "the lines that this stoppage asks",
        ..row(Anew::StopNoted, "stop-noted", "a stoppage was noted")
    },
    row(
        Anew::GuardMoved,
        "guard-moved",
        "a guard was taken off or put on",
    ),
    AnewRow {
        lists: &[ListKind::Leaving],
        ..row(
            Anew::LeavingOver,
            "leaving-over",
            "the mill was left, or the work went on",
        )
    },
    AnewRow {
        named: "the fact of the line, and facts of the shop that hang on it",
        ..row(
            Anew::NotTrue,
            "not-true",
            "the line was answered as not true",
        )
    },
    AnewRow {
        named: "recipe, facts of the shop and lines before a cut of that operation",
        ..row(
            Anew::OperationRemoved,
            "operation-removed",
            "the operation was taken out",
        )
    },
    AnewRow {
        opens: &[FactKind::Program],
        ..row(
            Anew::StopUnaccepted,
            "stop-unaccepted",
            "the check found a stop that is not accepted",
        )
    },
    AnewRow {
        opens: &[FactKind::XyZero],
        ..row(Anew::ZeroStated, "zero-stated", "another zero was stated")
    },
    AnewRow {
        opens: &[FactKind::AirRun],
        ..row(
            Anew::RaisedForDryRun,
            "raised",
            "Z was raised for the air run",
        )
    },
];

const fn row(what: Anew, id: &'static str, words: &'static str) -> AnewRow {
    AnewRow {
        what,
        id,
        words,
        opens: &[],
        lists: &[],
        named: "",
    }
}

impl Anew {
    /// The row of this.
    pub fn row(self) -> &'static AnewRow {
        &ANEW[self as usize]
    }
}
