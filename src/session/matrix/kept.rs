//! What was said and is kept: read by everybody, changed by the matrix alone.

use std::collections::BTreeMap;
use std::ops::Deref;

/// What was said and is kept. There is no way to change it but through the matrix.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept<T>(T);

impl<T> Kept<T> {
    /// What a new session or a record begins with.
    pub fn of(said: T) -> Self {
        Self(said)
    }

    /// For the matrix: what may be changed.
    pub(in crate::session::matrix) fn change(&mut self) -> &mut T {
        &mut self.0
    }
}

impl<T> Deref for Kept<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<'a, K, V> IntoIterator for &'a Kept<BTreeMap<K, V>> {
    type Item = (&'a K, &'a V);
    type IntoIter = std::collections::btree_map::Iter<'a, K, V>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}
