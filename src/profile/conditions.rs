//! Stated keys and conditions out of their tables.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::job::conditions::Condition;
use crate::job::conditions::Conditions;
use crate::job::conditions::KEYS;
use crate::job::conditions::Key;
use crate::job::conditions::Takes;
use crate::job::conditions::Test;
use crate::job::conditions::Value;
use crate::job::conditions::key;
use crate::plain::near;
use crate::profile::read::Section;
use crate::profile::read::as_number;
use crate::profile::read::found;

/// Ending of a key that asks for a number of at least so much.
const AT_LEAST: &str = "_min";

/// The first text that the key cannot take, out of one or a list; empty when there is none.
fn meant<'r>(key: &Key, raw: &'r DeValue<'_>) -> &'r str {
    match raw {
        DeValue::Array(array) => array
            .iter()
            .map(Spanned::get_ref)
            .find(|item| value(key, item).is_none())
            .and_then(DeValue::as_str),
        raw => raw.as_str(),
    }
    .unwrap_or_default()
}

/// What was found in the way of what the key takes: of a list the word that is none of its own.
fn wrong(key: &Key, raw: &DeValue<'_>) -> String {
    let DeValue::Array(array) = raw else {
        return found(raw);
    };
    array
        .iter()
        .map(Spanned::get_ref)
        .find(|item| value(key, item).is_none())
        .map_or_else(|| found(raw), |item| format!("lists what {}", found(item)))
}

fn allowed(key: &Key, raw: &DeValue<'_>) -> String {
    match key.takes {
        Takes::OneOf(words) | Takes::Given(words) => near::one_of(meant(key, raw), words),
        Takes::Truth => "Write true or false.".to_owned(),
        Takes::Number => "Write a number, zero or more.".to_owned(),
    }
}

fn value(key: &Key, raw: &DeValue<'_>) -> Option<Value> {
    match (key.takes, raw) {
        (Takes::OneOf(words) | Takes::Given(words), DeValue::String(text)) => words
            .contains(&text.as_ref())
            .then(|| Value::Word(text.to_string())),
        (Takes::Truth, DeValue::Boolean(truth)) => Some(Value::Truth(*truth)),
        (Takes::Number, raw) => as_number(raw)
            .filter(|number| (0.0..=1.0e6).contains(number))
            .map(Value::Number),
        _ => None,
    }
}

fn unknown(section: &Section<'_, '_>, name: &str, span: Range<usize>) {
    let names: Vec<&str> = KEYS.iter().map(|key| key.name).collect();
    let allowed = near::word(name, &names).map_or_else(
        || format!("The keys are: {}.", names.join(", ")),
        |near| format!("Did you mean {near}?"),
    );
    section
        .sheet()
        .report(span, name, "is not a key that cautions know", allowed);
}

/// Reads a table of statements; `None` after a fault was reported.
pub fn stated(section: &Section<'_, '_>) -> Option<Conditions> {
    let mut conditions = Conditions::new();
    let mut is_whole = true;
    for (name, span) in section.keys() {
        let Some(key) = key(&name) else {
            unknown(section, &name, span);
            is_whole = false;
            continue;
        };
        let raw = section.free(&name)?;
        if let Some(value) = value(key, raw) {
            conditions.state(name, value);
        } else {
            section.fault(&name, found(raw), allowed(key, raw));
            is_whole = false;
        }
    }
    is_whole.then_some(conditions)
}

/// Reads a table `when`; `None` after a fault was reported.
pub fn when(section: &Section<'_, '_>) -> Option<Vec<Condition>> {
    let mut when = vec![];
    let mut is_whole = true;
    for (name, span) in section.keys() {
        let raw = section.free(&name)?;
        let base = name.strip_suffix(AT_LEAST);
        let Some(key) = key(base.unwrap_or(&name)) else {
            unknown(section, &name, span);
            is_whole = false;
            continue;
        };
        let test = match (base, key.takes) {
            (Some(_), Takes::Number) => value(key, raw).and_then(|value| match value {
                Value::Number(number) => Some(Test::AtLeast(number)),
                Value::Word(_) | Value::Truth(_) => None,
            }),
            (None, Takes::Number) => {
                section.fault(
                    &name,
                    "is a number",
                    format!("Write {name}{AT_LEAST}: cautions ask for at least so much."),
                );
                is_whole = false;
                continue;
            }
            (Some(_), _) => {
                section.fault(
                    &name,
                    "is no number",
                    format!("Write {} without {AT_LEAST}.", key.name),
                );
                is_whole = false;
                continue;
            }
            (None, _) => match raw {
                DeValue::Array(array) => array
                    .iter()
                    .map(|item| value(key, item.get_ref()))
                    .collect::<Option<Vec<Value>>>()
                    .filter(|values| !values.is_empty())
                    .map(Test::OneOf),
                raw => value(key, raw).map(|value| Test::OneOf(vec![value])),
            },
        };
        if let Some(test) = test {
            when.push(Condition {
                key: key.name.to_owned(),
                test,
            });
        } else {
            section.fault(&name, wrong(key, raw), allowed(key, raw));
            is_whole = false;
        }
    }
    is_whole.then_some(when)
}
