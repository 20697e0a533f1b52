//! Reading one TOML file key by key, so that each fault has its place.

use std::cell::RefCell;
use std::ops::Range;
use std::ops::RangeInclusive;

use toml::Spanned;
use toml::de::DeTable;
use toml::de::DeValue;

use crate::job::material::Span;
use crate::plain;
use crate::plain::near;
use crate::profile::sheet::Sheet;
use crate::profile::unit::Unit;

/// Longest text of one key, in characters.
pub const LONGEST_TEXT: usize = 600;

/// A table while its keys are read.
#[derive(Debug)]
pub struct Section<'s, 't> {
    sheet: &'s Sheet<'t>,
    table: &'s DeTable<'t>,
    /// Bytes of the table's header, or of the inline table.
    pub span: Range<usize>,
    path: String,
    asked: RefCell<Vec<&'static str>>,
}

impl<'s, 't> Section<'s, 't> {
    /// The table with the path to it, empty for the file itself.
    pub fn new(
        sheet: &'s Sheet<'t>,
        table: &'s DeTable<'t>,
        span: Range<usize>,
        path: impl Into<String>,
    ) -> Self {
        Self {
            sheet,
            table,
            span,
            path: path.into(),
            asked: RefCell::new(vec![]),
        }
    }

    /// The file.
    pub fn sheet(&self) -> &'s Sheet<'t> {
        self.sheet
    }

    /// The table.
    pub fn table(&self) -> &'s DeTable<'t> {
        self.table
    }

    /// The path to it, empty for the file itself.
    pub fn path(&self) -> &str {
        &self.path
    }

    fn full(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    fn look(&self, key: &'static str) -> Option<&'s Spanned<DeValue<'t>>> {
        self.asked.borrow_mut().push(key);
        self.table.get(key)
    }

    /// The value of a key; what is allowed is put into words only where it is missing.
    fn need<A: Into<String>>(
        &self,
        key: &'static str,
        allowed: impl Fn() -> A,
    ) -> Option<&'s Spanned<DeValue<'t>>> {
        let found = self.look(key);
        if found.is_none() {
            self.sheet
                .report(self.span.clone(), self.full(key), "is missing", allowed());
        }
        found
    }

    /// Reports a fault at the value of a key.
    pub fn fault(&self, key: &str, wrong: impl Into<String>, allowed: impl Into<String>) {
        let span = self
            .table
            .get(key)
            .map_or_else(|| self.span.clone(), Spanned::span);
        self.sheet.report(span, self.full(key), wrong, allowed);
    }

    /// Whether the key is there.
    pub fn has(&self, key: &'static str) -> bool {
        self.look(key).is_some()
    }

    /// Every key of the table in the order of the file, for tables whose keys are free.
    pub fn keys(&self) -> Vec<(String, Range<usize>)> {
        let mut keys: Vec<_> = self
            .table
            .keys()
            .map(|key| (key.get_ref().to_string(), key.span()))
            .collect();
        keys.sort_by_key(|(_, span)| span.start);
        keys
    }

    /// The value of a free key.
    pub fn free(&self, key: &str) -> Option<&'s DeValue<'t>> {
        self.table.get(key).map(Spanned::get_ref)
    }

    /// Text of the key, neither empty nor longer than [`LONGEST_TEXT`].
    pub fn text(&self, key: &'static str) -> Option<String> {
        let value = self.need(key, || "Write a text in quotes.")?;
        self.as_text(key, value)
    }

    /// Text of the key, if it is there.
    pub fn text_if(&self, key: &'static str) -> Option<String> {
        let value = self.look(key)?;
        self.as_text(key, value)
    }

    fn as_text(&self, key: &str, value: &Spanned<DeValue<'t>>) -> Option<String> {
        let Some(text) = value.get_ref().as_str() else {
            self.fault(key, found(value.get_ref()), "Write a text in quotes.");
            return None;
        };
        let text = text.trim();
        if text.is_empty() {
            self.fault(key, "is empty", "Write a text in quotes.");
            return None;
        }
        if let Some(hidden) = text.chars().find(|c| plain::is_hidden(*c)) {
            self.fault(
                key,
                format!(
                    "{}: it holds a hidden character, U+{:04X}",
                    found(value.get_ref()),
                    u32::from(hidden)
                ),
                "Write letters, digits and signs that can be seen.",
            );
            return None;
        }
        let long = text.chars().count();
        if long > LONGEST_TEXT {
            self.fault(
                key,
                format!("is {long} characters long"),
                format!("Write at most {LONGEST_TEXT} characters."),
            );
            return None;
        }
        Some(text.to_owned())
    }

    /// A name: lower-case letters, digits and hyphens, at most 60.
    pub fn name(&self, key: &'static str) -> Option<String> {
        const ALLOWED: &str = "Write lower-case letters, digits and hyphens, at most 60.";
        let text = self.need(key, || ALLOWED)?;
        let Some(name) = text.get_ref().as_str() else {
            self.fault(key, found(text.get_ref()), ALLOWED);
            return None;
        };
        let fits = !name.is_empty()
            && name.len() <= 60
            && name
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '.');
        if fits {
            Some(name.to_owned())
        } else {
            self.fault(key, found(text.get_ref()), ALLOWED);
            None
        }
    }

    /// A word out of a list.
    pub fn word<T>(
        &self,
        key: &'static str,
        words: &[&str],
        from_word: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let allowed = || format!("Write one of: {}.", words.join(", "));
        let value = self.need(key, allowed)?;
        self.as_word(key, value, words, &from_word)
    }

    /// A word out of a list, if the key is there.
    pub fn word_if<T>(
        &self,
        key: &'static str,
        words: &[&str],
        from_word: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let value = self.look(key)?;
        self.as_word(key, value, words, &from_word)
    }

    fn as_word<T>(
        &self,
        key: &str,
        value: &Spanned<DeValue<'t>>,
        words: &[&str],
        from_word: &impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let taken = value.get_ref().as_str().and_then(from_word);
        if taken.is_none() {
            self.fault(
                key,
                found(value.get_ref()),
                near::one_of(value.get_ref().as_str().unwrap_or_default(), words),
            );
        }
        taken
    }

    /// `true` or `false`.
    pub fn truth(&self, key: &'static str) -> Option<bool> {
        let value = self.need(key, || "Write true or false.")?;
        let taken = value.get_ref().as_bool();
        if taken.is_none() {
            self.fault(key, found(value.get_ref()), "Write true or false.");
        }
        taken
    }

    /// `true` or `false`, `false` when it is not there.
    pub fn truth_or_false(&self, key: &'static str) -> Option<bool> {
        if self.has(key) {
            self.truth(key)
        } else {
            Some(false)
        }
    }

    /// A whole number.
    pub fn count(&self, key: &'static str, range: RangeInclusive<u32>) -> Option<u32> {
        let allowed = || {
            format!(
                "Write a whole number from {} to {}.",
                range.start(),
                range.end()
            )
        };
        let value = self.need(key, allowed)?;
        let taken = value
            .get_ref()
            .as_integer()
            .and_then(|number| u32::from_str_radix(number.as_str(), number.radix()).ok())
            .filter(|number| range.contains(number));
        if taken.is_none() {
            self.fault(key, found(value.get_ref()), allowed());
        }
        taken
    }

    /// A number without unit.
    pub fn number(&self, key: &'static str, range: RangeInclusive<f64>) -> Option<f64> {
        let allowed = || format!("Write a number from {} to {}.", range.start(), range.end());
        let value = self.need(key, allowed)?;
        let taken = as_number(value.get_ref()).filter(|number| range.contains(number));
        if taken.is_none() {
            self.fault(key, found(value.get_ref()), allowed());
        }
        taken
    }

    /// A value with its unit, such as "6 mm".
    pub fn quantity(
        &self,
        key: &'static str,
        unit: Unit,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        let allowed = || self.allowed(unit, &range, unit.example());
        let value = self.need(key, allowed)?;
        let number = self.with_unit(key, value, allowed, |text| unit.read(text))?;
        if range.contains(&number) {
            Some(number)
        } else {
            self.fault(key, found(value.get_ref()), allowed());
            None
        }
    }

    /// A value with its unit, if the key is there.
    pub fn quantity_if(
        &self,
        key: &'static str,
        unit: Unit,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.has(key)
            .then(|| self.quantity(key, unit, range))
            .flatten()
    }

    /// A span with its unit, such as "60 to 90 m/min".
    pub fn span(&self, key: &'static str, unit: Unit, range: RangeInclusive<f64>) -> Option<Span> {
        let allowed = || {
            let example = format!("{} or a span such as \"60 to 90 ...\"", unit.example());
            self.allowed(unit, &range, &example)
        };
        let value = self.need(key, allowed)?;
        let span = self.with_unit(key, value, allowed, |text| unit.read_span(text))?;
        if range.contains(&span.least) && range.contains(&span.most) {
            Some(span)
        } else {
            self.fault(key, found(value.get_ref()), allowed());
            None
        }
    }

    #[expect(clippy::unused_self, reason = "reads like its siblings")]
    fn allowed(&self, unit: Unit, range: &RangeInclusive<f64>, example: &str) -> String {
        format!(
            "Write a value with its unit in quotes, such as {example}; from {} to {}.",
            unit.show(*range.start()),
            unit.show(*range.end())
        )
    }

    fn with_unit<T>(
        &self,
        key: &str,
        value: &Spanned<DeValue<'t>>,
        allowed: impl Fn() -> String,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        let Some(text) = value.get_ref().as_str() else {
            self.fault(key, found(value.get_ref()), allowed());
            return None;
        };
        match read(text) {
            Ok(taken) => Some(taken),
            Err(why) => {
                self.fault(key, format!("{}: {why}", found(value.get_ref())), allowed());
                None
            }
        }
    }

    /// Texts of a list, none when the key is not there.
    pub fn texts(&self, key: &'static str) -> Option<Vec<String>> {
        const ALLOWED: &str = "Write a list of texts in quotes, such as [\"one\", \"two\"], without hidden characters.";
        let Some(value) = self.look(key) else {
            return Some(vec![]);
        };
        let texts: Option<Vec<String>> = value.get_ref().as_array().and_then(|array| {
            array
                .iter()
                .map(|item| item.get_ref().as_str().map(|text| text.trim().to_owned()))
                .filter(|text| text.as_deref() != Some(""))
                .map(|text| text.filter(|text| !text.chars().any(plain::is_hidden)))
                .collect()
        });
        if texts.is_none() {
            self.fault(key, found(value.get_ref()), ALLOWED);
        }
        texts
    }

    /// The table of a key.
    pub fn section(&self, key: &'static str, allowed: &str) -> Option<Section<'s, 't>> {
        let value = self.need(key, || allowed)?;
        self.as_section(key, value, allowed)
    }

    /// The table of a key, if it is there.
    pub fn section_if(&self, key: &'static str, allowed: &str) -> Option<Section<'s, 't>> {
        let value = self.look(key)?;
        self.as_section(key, value, allowed)
    }

    fn as_section(
        &self,
        key: &str,
        value: &'s Spanned<DeValue<'t>>,
        allowed: &str,
    ) -> Option<Section<'s, 't>> {
        if let Some(table) = value.get_ref().as_table() {
            Some(Section::new(
                self.sheet,
                table,
                value.span(),
                self.full(key),
            ))
        } else {
            self.fault(key, found(value.get_ref()), allowed);
            None
        }
    }

    /// The tables of a list, none when the key is not there.
    pub fn sections(&self, key: &'static str, allowed: &str) -> Option<Vec<Section<'s, 't>>> {
        let Some(value) = self.look(key) else {
            return Some(vec![]);
        };
        let Some(array) = value.get_ref().as_array() else {
            self.fault(key, found(value.get_ref()), allowed);
            return None;
        };
        array
            .iter()
            .enumerate()
            .map(|(index, item)| {
                let path = format!("{}[{}]", self.full(key), index + 1);
                let table = item.get_ref().as_table();
                if table.is_none() {
                    self.sheet
                        .report(item.span(), path.clone(), found(item.get_ref()), allowed);
                }
                table.map(|table| Section::new(self.sheet, table, item.span(), path))
            })
            .collect()
    }

    /// Reports each key that nobody asked for, with the nearest one that exists.
    pub fn finish(&self) {
        let asked = self.asked.borrow();
        for (key, span) in self.keys() {
            if asked.iter().any(|known| *known == key) {
                continue;
            }
            let allowed = near::word(&key, &asked).map_or_else(
                || {
                    let mut known = asked.clone();
                    known.sort_unstable();
                    known.dedup();
                    format!("The keys here are: {}.", known.join(", "))
                },
                |near| format!("Did you mean {near}?"),
            );
            self.sheet
                .report(span, self.full(&key), "is not a key here", allowed);
        }
    }
}

/// The number of a TOML integer or float; not NaN, not infinite.
pub fn as_number(value: &DeValue<'_>) -> Option<f64> {
    let number: f64 = match value {
        DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str().parse().ok()?,
        DeValue::Float(float) => float.as_str().parse().ok()?,
        _ => return None,
    };
    number.is_finite().then_some(number)
}

/// What was found, as a fragment after the key: `is "6 m"`.
pub fn found(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => {
            let short: String = text.chars().take(40).collect();
            let more = if text.chars().count() > 40 { "..." } else { "" };
            format!("is \"{short}{more}\"")
        }
        DeValue::Integer(number) => format!("is {number}"),
        DeValue::Float(number) => format!("is {number}"),
        DeValue::Boolean(truth) => format!("is {truth}"),
        DeValue::Datetime(time) => format!("is the date {time}"),
        DeValue::Array(_) => "is a list".to_owned(),
        DeValue::Table(_) => "is a table".to_owned(),
    }
}
