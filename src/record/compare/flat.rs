//! A part of a session as a flat list of named values, along the same description as its record.

use toml::de::DeValue;

use crate::job::conditions::Conditions;
use crate::record::compare::fact::Fact;
use crate::record::fault::RecordError;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::shape::Shape;
use crate::record::shape::amount::number;

/// Collects what a description names.
#[derive(Debug, Default)]
pub(in crate::record) struct Flat {
    path: Vec<String>,
    facts: Vec<Fact>,
}

/// The named values of one part.
pub(in crate::record) fn facts<T>(
    part: &T,
    body: impl FnOnce(&mut Flat, Option<&T>) -> Took<T>,
) -> Vec<Fact> {
    let mut flat = Flat::default();
    body(&mut flat, Some(part)).expect("what was read or made has every part that it needs");
    flat.facts
}

impl Flat {
    fn name(&self, last: &str) -> String {
        let mut words: Vec<&str> = self.path.iter().map(String::as_str).collect();
        words.push(last);
        words.join(" ").replace('_', " ").trim().to_owned()
    }

    fn push(&mut self, what: String, value: &DeValue<'_>) {
        match value {
            DeValue::String(text) => self.facts.push(Fact::written(what, text.as_ref())),
            DeValue::Boolean(true) => self.facts.push(Fact::words(what, "yes")),
            DeValue::Boolean(false) => self.facts.push(Fact::words(what, "no")),
            DeValue::Array(items) => {
                for (place, item) in items.iter().enumerate() {
                    self.push(format!("{what} {}", place + 1), item.get_ref());
                }
            }
            // Times of day do not count.
            DeValue::Datetime(_) => {}
            other => {
                let value = number(other);
                self.facts
                    .extend(value.map(|value| Fact::number(what, value)));
            }
        }
    }

    fn within<T>(
        &mut self,
        name: String,
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        self.path.push(name);
        let out = body(self, value);
        self.path.pop();
        out
    }
}

impl Fields for Flat {
    fn value<T: Clone>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        shape: &impl Shape<T>,
    ) -> Took<T> {
        let value = value.expect("a part that is flattened has every value");
        if let Some(text) = shape.write(value, true)
            && let Ok(parsed) = DeValue::parse(&text)
        {
            // The value of a value with its source has the name of the whole.
            let name = self.name(if key == "value" { "" } else { key });
            self.push(name, parsed.get_ref());
        }
        Ok(value.clone())
    }

    fn table<T>(
        &mut self,
        key: &'static str,
        value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        self.within(key.to_owned(), value, body)
    }

    fn table_if<T>(
        &mut self,
        key: &'static str,
        value: Option<&Option<T>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Option<T>> {
        match value.and_then(Option::as_ref) {
            None => Ok(None),
            Some(inner) => self.within(key.to_owned(), Some(inner), body).map(Some),
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
            .enumerate()
            .map(|(place, item)| self.within(format!("{key} {}", place + 1), Some(item), &mut body))
            .collect()
    }

    fn conditions(&mut self, key: &'static str, value: Option<&Conditions>) -> Took<Conditions> {
        let stated = value.cloned().unwrap_or_default();
        for (name, value) in stated.iter() {
            let what = self.name(&format!("{key} {name}"));
            self.facts.push(Fact::words(what, value.to_string()));
        }
        Ok(stated)
    }

    fn fault(&self, key: &'static str, wrong: Wrong) -> RecordError {
        RecordError {
            key: self.name(key),
            found: wrong.found,
            allowed: wrong.allowed,
            ..RecordError::default()
        }
    }
}
