//! Rows of a page: what can be read, filled in, answered or done, from top to bottom.

use crate::app::act::Act;
use crate::app::field::Field;
use crate::session::gate::Line;
use crate::session::gate::ListKind;

/// How a field or thing stands, as a sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Nothing entered, and it is needed.
    Open,
    /// Nothing entered, and the work can go on without.
    Optional,
    /// Entered.
    Good,
    /// Must be done again.
    Redo,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    /// A small heading.
    Head(String),
    /// Text to read; wrapped where it is drawn.
    Text(String),
    /// A field.
    Field {
        /// Which.
        field: Field,
        /// What stands before it.
        label: String,
        /// Its value.
        value: String,
        /// What was understood, or where the value comes from.
        note: String,
        /// How it stands.
        mark: Mark,
    },
    /// A line to answer.
    Line(ListKind, Line),
    /// The end of a list, announced, to be answered with the key that goes on.
    End {
        /// Which list.
        list: ListKind,
        /// Its name and counts, the tool, the time of day.
        text: String,
        /// Whether it was answered.
        is_answered: bool,
    },
    /// Something that Enter does.
    Do {
        /// What.
        act: Act,
        /// Words.
        text: String,
        /// How it stands, if it can be done or not.
        mark: Mark,
    },
    /// An empty row.
    Gap,
}

impl Row {
    /// Whether the cursor may rest on it.
    pub fn can_be_chosen(&self) -> bool {
        match self {
            Self::Field { .. } | Self::Line(..) | Self::Do { .. } => true,
            Self::End { is_answered, .. } => !is_answered,
            Self::Head(_) | Self::Text(_) | Self::Gap => false,
        }
    }
}

/// The rows on which the cursor may rest, as places in the list.
pub fn choosable(rows: &[Row]) -> Vec<usize> {
    rows.iter()
        .enumerate()
        .filter(|(_, row)| row.can_be_chosen())
        .map(|(i, _)| i)
        .collect()
}

/// A cursor that rests on no row, because none of them waits: Enter must not open what was taken.
pub const NOWHERE: usize = usize::MAX;

/// The place of the row under the cursor.
pub fn chosen_place(rows: &[Row], cursor: usize) -> Option<usize> {
    if cursor == NOWHERE {
        return None;
    }
    let places = choosable(rows);
    places
        .get(cursor.min(places.len().saturating_sub(1)))
        .copied()
}

/// The row under the cursor.
pub fn chosen(rows: &[Row], cursor: usize) -> Option<&Row> {
    rows.get(chosen_place(rows, cursor)?)
}
