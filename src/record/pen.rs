//! Writing along a description.

use crate::job::conditions::Conditions;
use crate::job::conditions::Value;
use crate::record::fault::RecordError;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::shape;
use crate::record::shape::Shape;

/// Text of one table and of those below it.
#[derive(Debug, Default)]
pub(in crate::record) struct Pen {
    path: String,
    is_inline: bool,
    /// `key = value`, one a line or one behind the other.
    facts: String,
    /// Tables with headings: TOML wants them behind the values of their parent.
    below: String,
}

impl Pen {
    /// The finished text, when the pen stood at the top.
    pub(in crate::record) fn finish(self) -> String {
        let mut text = self.facts;
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&self.below);
        text
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
        format!("{{ {} }}", self.facts)
    }

    /// Begins the next value of this table.
    fn key(&mut self, key: &str) {
        if !self.facts.is_empty() {
            self.facts
                .push_str(if self.is_inline { ", " } else { "\n" });
        }
        self.facts.push_str(key);
        self.facts.push_str(" = ");
    }

    fn headed<T>(
        &mut self,
        key: &str,
        brackets: [&str; 2],
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        let mut child = Self {
            path: self.full(key),
            ..Self::default()
        };
        let out = body(&mut child, value)?;
        let heading = format!("\n{}{}{}\n", brackets[0], child.path, brackets[1]);
        self.below.push_str(&heading);
        self.below.push_str(&child.finish());
        Ok(out)
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
            self.key(key);
            self.facts.push_str(&text);
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
        self.key(key);
        self.facts.push_str(&child.in_braces());
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
        let mut is_first = true;
        for item in value.into_iter().flatten() {
            let mut child = Self::small();
            body(&mut child, Some(item))?;
            if std::mem::take(&mut is_first) {
                self.key(key);
                self.facts.push_str(begin);
            } else {
                self.facts.push_str(between);
            }
            self.facts.push_str(&child.in_braces());
        }
        if !is_first {
            self.facts.push_str(end);
        }
        Ok(vec![])
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
            self.below.push_str(&heading);
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
