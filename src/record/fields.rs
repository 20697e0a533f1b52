//! The one way along a table of the record, for writing and for reading.

use crate::job::conditions::Conditions;
use crate::record::fault::RecordError;
use crate::record::fault::Wrong;
use crate::record::shape::Shape;

/// What a description of a part gives.
pub(in crate::record) type Took<T> = Result<T, RecordError>;

/// The fields of one table. The pen is given values, and what it returns is nobody's; the eye is
/// given none and returns those of the file. A row differs from a table in how it is laid out
/// alone, so who does not lay out text takes a row as a table.
pub(in crate::record) trait Fields: Sized {
    /// One value of this shape.
    fn value<T: Clone>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        shape: &impl Shape<T>,
    ) -> Took<T>;

    /// A table that must be there, with a heading of its own.
    fn table<T>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T>;

    /// A table that may be missing.
    fn table_if<T>(
        &mut self,
        key: &'static str,
        value: Option<&Option<T>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Option<T>>;

    /// Any number of tables, each with a heading.
    fn tables<'a, T: 'a>(
        &mut self,
        key: &'static str,
        value: Option<impl IntoIterator<Item = &'a T>>,
        body: impl FnMut(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Vec<T>>;

    /// A small table on the line of its key.
    fn row<T>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        self.table(key, value, body)
    }

    /// A small table on the line of its key, which may be missing.
    fn row_if<T>(
        &mut self,
        key: &'static str,
        value: Option<&Option<T>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Option<T>> {
        self.table_if(key, value, body)
    }

    /// Any number of small tables, each on a line.
    fn rows<'a, T: 'a>(
        &mut self,
        key: &'static str,
        value: Option<impl IntoIterator<Item = &'a T>>,
        body: impl FnMut(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Vec<T>> {
        self.tables(key, value, body)
    }

    /// What was stated for the choice of cautions: a table with the keys of the conditions.
    fn conditions(&mut self, key: &'static str, value: Option<&Conditions>) -> Took<Conditions>;

    /// An error at the value of a key.
    fn fault(&self, key: &'static str, wrong: Wrong) -> RecordError;
}

/// A field of a value that is there only while writing.
macro_rules! of {
    ($value:ident.$($field:tt).+) => {
        $value.map(|it| &it.$($field).+)
    };
}
pub(in crate::record) use of;
