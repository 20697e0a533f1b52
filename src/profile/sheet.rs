//! A file while it is read: its text and what was wrong so far.

use std::cell::RefCell;
use std::ops::Range;

use crate::profile::fault::Fault;
use crate::profile::fault::Origin;
use crate::profile::fault::line_and_column;

/// A file while it is read: its text and what was wrong so far.
#[derive(Debug)]
pub struct Sheet<'t> {
    /// Whose file.
    pub origin: Origin,
    /// Path or name.
    pub file: &'t str,
    /// Text.
    pub text: &'t str,
    faults: RefCell<Vec<Fault>>,
    entry: RefCell<Option<String>>,
}

impl<'t> Sheet<'t> {
    /// A file not read yet.
    pub fn new(origin: Origin, file: &'t str, text: &'t str) -> Self {
        Self {
            origin,
            file,
            text,
            faults: RefCell::new(vec![]),
            entry: RefCell::new(None),
        }
    }

    /// Names the entry that the next faults belong to.
    pub fn enter(&self, name: Option<String>) {
        *self.entry.borrow_mut() = name;
    }

    /// Reports a fault.
    pub fn report(
        &self,
        span: Range<usize>,
        key: impl Into<String>,
        wrong: impl Into<String>,
        allowed: impl Into<String>,
    ) {
        let (line, column) = line_and_column(self.text, span.start);
        self.faults.borrow_mut().push(Fault {
            origin: self.origin,
            file: self.file.to_owned(),
            line,
            column,
            span,
            entry: self.entry.borrow().clone(),
            key: key.into(),
            wrong: wrong.into(),
            allowed: allowed.into(),
        });
    }

    /// How many faults so far.
    pub fn count(&self) -> usize {
        self.faults.borrow().len()
    }

    /// The faults in the order of the file.
    pub fn into_faults(self) -> Vec<Fault> {
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(|fault| (fault.span.start, fault.key.clone()));
        faults
    }
}
