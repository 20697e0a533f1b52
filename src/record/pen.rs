//! Writing along a description.

use std::ops::Range;

use crate::job::conditions::Conditions;
use crate::job::conditions::Value;
use crate::record::fault::RecordError;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::shape;
use crate::record::shape::Shape;

/// Text of one table and of those below it.
///
/// There may be very many rows, so that the text of a whole record is kept once: a table below goes on in the text of its parent.
#[derive(Debug, Default)]
pub(in crate::record) struct Pen {
    path: String,
    is_inline: bool,
    /// What was written so far, that of the parents included.
    text: String,
    /// Where the values of this table begin in it, and where they end: TOML wants tables behind the values of their parent.
    values: Range<usize>,
}

impl Pen {
    /// At the top, with room for so many bytes.
    pub(in crate::record) fn with_room(bytes: usize) -> Self {
        Self {
            text: String::with_capacity(bytes),
            ..Self::default()
        }
    }

    /// The finished text, when the pen stood at the top.
    pub(in crate::record) fn finish(self) -> String {
        self.text
    }

    fn full(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    fn small() -> Self {
        Self {
            is_inline: true,
            ..Self::default()
        }
    }

    fn in_braces(self) -> String {
        format!("{{ {} }}", self.text)
    }

    /// Writes the next value of this table.
    fn value_of(&mut self, key: &str, write: impl FnOnce(&mut String)) {
        // Nearly always nothing is below yet.
        let below = self.text.split_off(self.values.end);
        if self.is_inline && !self.values.is_empty() {
            self.text.push_str(", ");
        }
        self.text.push_str(key);
        self.text.push_str(" = ");
        write(&mut self.text);
        if !self.is_inline {
            self.text.push('\n');
        }
        self.values.end = self.text.len();
        self.text.push_str(&below);
    }

    fn headed<T>(
        &mut self,
        key: &str,
        brackets: [&str; 2],
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        let path = self.full(key);
        let mut text = std::mem::take(&mut self.text);
        for part in ["\n", brackets[0], &path, brackets[1], "\n"] {
            text.push_str(part);
        }
        let mut child = Self {
            path,
            is_inline: false,
            values: text.len()..text.len(),
            text,
        };
        let out = body(&mut child, value);
        self.text = child.text;
        out
    }
}

impl Fields for Pen {
    fn value<T: Clone>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        shape: &impl Shape<T>,
    ) -> Took<T> {
        let value = value.expect("the pen is given every value");
        if let Some(text) = shape.write(value, self.is_inline) {
            self.value_of(key, |out| out.push_str(&text));
        }
        Ok(value.clone())
    }

    fn table<T>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        self.headed(key, ["[", "]"], value, body)
    }

    fn table_if<T>(
        &mut self,
        key: &'static str,
        value: Option<&Option<T>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Option<T>> {
        match value.and_then(Option::as_ref) {
            None => Ok(None),
            Some(inner) => self.headed(key, ["[", "]"], Some(inner), body).map(Some),
        }
    }

    fn tables<'a, T: 'a>(
        &mut self,
        key: &'static str,
        value: Option<impl IntoIterator<Item = &'a T>>,
        mut body: impl FnMut(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Vec<T>> {
        value
            .into_iter()
            .flatten()
            .map(|item| self.headed(key, ["[[", "]]"], Some(item), &mut body))
            .collect()
    }

    fn row<T>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        let mut child = Self::small();
        let out = body(&mut child, value)?;
        self.value_of(key, |out| out.push_str(&child.in_braces()));
        Ok(out)
    }

    fn row_if<T>(
        &mut self,
        key: &'static str,
        value: Option<&Option<T>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Option<T>> {
        match value.and_then(Option::as_ref) {
            None => Ok(None),
            Some(inner) => self.row(key, Some(inner), body).map(Some),
        }
    }

    /// There may be very many of them, so that none is kept twice: what the pen gives back is nobody's.
    fn rows<'a, T: 'a>(
        &mut self,
        key: &'static str,
        value: Option<impl IntoIterator<Item = &'a T>>,
        mut body: impl FnMut(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Vec<T>> {
        let [begin, between, end] = match self.is_inline {
            true => ["[", ", ", "]"],
            false => ["[\n  ", ",\n  ", ",\n]"],
        };
        let mut items = value.into_iter().flatten().peekable();
        if items.peek().is_none() {
            return Ok(vec![]);
        }
        let mut fault = None;
        self.value_of(key, |out| {
            let mut before = begin;
            for item in items {
                let mut child = Self::small();
                if let Err(why) = body(&mut child, Some(item)) {
                    fault.get_or_insert(why);
                }
                out.push_str(std::mem::replace(&mut before, between));
                out.push_str(&child.in_braces());
            }
            out.push_str(end);
        });
        match fault {
            Some(why) => Err(why),
            None => Ok(vec![]),
        }
    }

    fn conditions(&mut self, key: &'static str, value: Option<&Conditions>) -> Took<Conditions> {
        let stated = value.expect("the pen is given every value");
        let facts: Vec<String> = stated
            .iter()
            .filter(|(name, value)| shape::check_condition(name, value).is_ok())
            .map(|(name, value)| match value {
                Value::Word(word) => format!("{name} = {}", shape::quoted(word)),
                Value::Truth(truth) => format!("{name} = {truth}"),
                Value::Number(number) => format!("{name} = {number}"),
            })
            .collect();
        if !facts.is_empty() {
            let heading = format!("\n[{}]\n{}\n", self.full(key), facts.join("\n"));
            self.text.push_str(&heading);
        }
        Ok(stated.clone())
    }

    fn fault(&self, key: &'static str, wrong: Wrong) -> RecordError {
        RecordError {
            key: self.full(key),
            found: wrong.found,
            allowed: wrong.allowed,
            ..RecordError::default()
        }
    }
}
