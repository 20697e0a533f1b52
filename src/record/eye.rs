//! Reading along a description, with the place of whatever is wrong.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;
use toml::de::DeValue;

use crate::job::conditions;
use crate::job::conditions::Conditions;
use crate::plain::near;
use crate::record::fault::RecordError;
use crate::record::fault::Wrong;
use crate::record::fault::line_and_column;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::shape;
use crate::record::shape::Shape;

/// One table while it is read.
#[derive(Debug)]
pub(in crate::record) struct Eye<'t> {
    text: &'t str,
    table: &'t DeTable<'t>,
    span: Range<usize>,
    path: String,
    asked: Vec<&'static str>,
}

impl<'t> Eye<'t> {
    /// The table of the whole file.
    pub(in crate::record) fn new(text: &'t str, table: &'t DeTable<'t>) -> Self {
        Self {
            text,
            table,
            span: 0..0,
            path: String::new(),
            asked: vec![],
        }
    }

    fn full(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    fn error(&self, span: Range<usize>, key: String, wrong: Wrong) -> RecordError {
        let (line, column) = line_and_column(self.text, span.start);
        RecordError {
            line,
            column,
            key,
            found: wrong.found,
            allowed: wrong.allowed,
        }
    }

    fn look(&mut self, key: &'static str) -> Option<&'t Spanned<DeValue<'t>>> {
        self.asked.push(key);
        self.table.get(key)
    }

    fn below<T>(
        &self,
        path: String,
        found: &'t Spanned<DeValue<'t>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        let Some(table) = found.get_ref().as_table() else {
            let wrong = Wrong::new(shape::found(found.get_ref()), "A table belongs here.");
            return Err(self.error(found.span(), path, wrong));
        };
        let mut child = Self {
            text: self.text,
            table,
            span: found.span(),
            path,
            asked: vec![],
        };
        let out = body(&mut child, None)?;
        child.finish()?;
        Ok(out)
    }

    /// Every key of the file must have been asked for.
    pub(in crate::record) fn finish(&self) -> Took<()> {
        let mut unknown: Vec<_> = self
            .table
            .keys()
            .filter(|key| !self.asked.iter().any(|asked| key.get_ref() == asked))
            .collect();
        unknown.sort_by_key(|key| key.span().start);
        let Some(key) = unknown.first() else {
            return Ok(());
        };
        let near = near::word(key.get_ref(), &self.asked);
        let allowed = near.map_or_else(
            || format!("The keys here are: {}.", self.asked.join(", ")),
            |near| format!("Did you mean {near}?"),
        );
        let wrong = Wrong::new("is not a key here", allowed);
        Err(self.error(key.span(), self.full(key.get_ref()), wrong))
    }

    fn missing(&self, key: &'static str, allowed: &str) -> RecordError {
        let keys: Vec<&str> = self
            .table
            .keys()
            .map(|key| key.get_ref().as_ref())
            .collect();
        let slip = near::word(key, &keys)
            .filter(|near| !self.asked.contains(near))
            .and_then(|near| self.table.get_key_value(near));
        if let Some((slip, _)) = slip {
            let wrong = Wrong::new("is not a key here", format!("Did you mean {key}?"));
            return self.error(slip.span(), self.full(slip.get_ref()), wrong);
        }
        let wrong = Wrong::new("is missing", allowed);
        self.error(self.span.clone(), self.full(key), wrong)
    }

    fn list<T>(
        &mut self,
        key: &'static str,
        mut body: impl FnMut(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Vec<T>> {
        let Some(found) = self.look(key) else {
            return Ok(vec![]);
        };
        let Some(items) = found.get_ref().as_array() else {
            let wrong = Wrong::new(
                shape::found(found.get_ref()),
                "A list of tables belongs here.",
            );
            return Err(self.error(found.span(), self.full(key), wrong));
        };
        items
            .iter()
            .enumerate()
            .map(|(place, item)| {
                let path = format!("{}[{}]", self.full(key), place + 1);
                self.below(path, item, &mut body)
            })
            .collect()
    }
}

impl Fields for Eye<'_> {
    fn value<T: Clone>(
        &mut self,
        key: &'static str,
        _value: Option<&T>,
        shape: &impl Shape<T>,
    ) -> Took<T> {
        match self.look(key) {
            None => shape
                .missing()
                .ok_or_else(|| self.missing(key, &shape.allowed())),
            Some(found) => shape
                .read(found.get_ref())
                .map_err(|wrong| self.error(found.span(), self.full(key), wrong)),
        }
    }

    fn table<T>(
        &mut self,
        key: &'static str,
        _value: Option<&T>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<T> {
        let path = self.full(key);
        match self.look(key) {
            None => Err(self.missing(key, "This table belongs here.")),
            Some(found) => self.below(path, found, body),
        }
    }

    fn table_if<T>(
        &mut self,
        key: &'static str,
        _value: Option<&Option<T>>,
        body: impl FnOnce(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Option<T>> {
        let path = self.full(key);
        match self.look(key) {
            None => Ok(None),
            Some(found) => self.below(path, found, body).map(Some),
        }
    }

    fn tables<'a, T: 'a>(
        &mut self,
        key: &'static str,
        _value: Option<impl IntoIterator<Item = &'a T>>,
        body: impl FnMut(&mut Self, Option<&T>) -> Took<T>,
    ) -> Took<Vec<T>> {
        self.list(key, body)
    }

    fn conditions(&mut self, key: &'static str, _value: Option<&Conditions>) -> Took<Conditions> {
        let mut stated = Conditions::new();
        let path = self.full(key);
        let Some(found) = self.look(key) else {
            return Ok(stated);
        };
        let Some(table) = found.get_ref().as_table() else {
            let wrong = Wrong::new(shape::found(found.get_ref()), "A table belongs here.");
            return Err(self.error(found.span(), path, wrong));
        };
        for (name, value) in table {
            let full = format!("{path}.{}", name.get_ref());
            if conditions::key(name.get_ref()).is_none() {
                let names: Vec<&str> = conditions::KEYS.iter().map(|key| key.name).collect();
                let allowed = format!("The keys here are: {}.", names.join(", "));
                let wrong = Wrong::new("is not a key here", allowed);
                return Err(self.error(name.span(), full, wrong));
            }
            let taken = shape::read_condition(name.get_ref(), value.get_ref())
                .map_err(|wrong| self.error(value.span(), full, wrong))?;
            stated.state(name.get_ref().as_ref(), taken);
        }
        Ok(stated)
    }

    fn fault(&self, key: &'static str, wrong: Wrong) -> RecordError {
        let span = self
            .table
            .get(key)
            .map_or_else(|| self.span.clone(), Spanned::span);
        self.error(span, self.full(key), wrong)
    }
}
