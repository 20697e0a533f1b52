//! How one value stands in a record, and what is taken there.

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::SecondsFormat;
use chrono::SubsecRound;
use toml::de::DeValue;

use crate::job::conditions;
use crate::job::conditions::Takes;
use crate::job::conditions::Value;
use crate::plain;
use crate::record::fault::Wrong;

pub(in crate::record) mod amount;

/// How a value of this type is written and read.
pub(in crate::record) trait Shape<T> {
    /// The text behind `key =`; none when the key is left out.
    fn write(&self, value: &T, is_inline: bool) -> Option<String>;

    /// The value of what was found.
    fn read(&self, found: &DeValue<'_>) -> Result<T, Wrong>;

    /// What a missing key means; none when it must be there.
    fn missing(&self) -> Option<T> {
        None
    }

    /// What is allowed, a full sentence.
    fn allowed(&self) -> String;

    /// What is wrong with what was found.
    fn wrong(&self, value: &DeValue<'_>) -> Wrong {
        Wrong::new(found(value), self.allowed())
    }
}

/// What was found, as a fragment after the key: `is "6 m"`.
pub(in crate::record) fn found(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => {
            let short: String = text.chars().take(40).collect();
            let more = if text.chars().count() > 40 { "..." } else { "" };
            format!("is \"{short}{more}\"")
        }
        DeValue::Integer(number) => format!("is {}", clipped(&number.to_string())),
        DeValue::Float(number) => format!("is {}", clipped(&number.to_string())),
        DeValue::Boolean(truth) => format!("is {truth}"),
        DeValue::Datetime(time) => format!("is the date {time}"),
        DeValue::Array(_) => "is a list".to_owned(),
        DeValue::Table(_) => "is a table".to_owned(),
    }
}

fn clipped(text: &str) -> String {
    text.chars().take(40).collect()
}

/// Text in quotes as TOML wants it; only a line feed is ever escaped, everything else that
/// acts or hides was written out before.
pub(in crate::record) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Text of one line; empty text is left out, and a missing one is empty.
pub(in crate::record) struct Text;

impl Shape<String> for Text {
    fn write(&self, value: &String, _is_inline: bool) -> Option<String> {
        (!value.is_empty()).then(|| quoted(&plain::text(value)))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<String, Wrong> {
        match found.as_str() {
            Some(text) if !text.chars().any(plain::is_hidden) => Ok(text.to_owned()),
            _ => Err(self.wrong(found)),
        }
    }

    fn missing(&self) -> Option<String> {
        Some(String::new())
    }

    fn allowed(&self) -> String {
        "Write a text in quotes, without control or invisible characters.".to_owned()
    }
}

/// Text that the person wrote: it may have several lines.
pub(in crate::record) struct Prose;

impl Shape<String> for Prose {
    fn write(&self, value: &String, _is_inline: bool) -> Option<String> {
        let lines: Vec<String> = value.split('\n').map(plain::text).collect();
        (!value.is_empty()).then(|| quoted(&lines.join("\n")))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<String, Wrong> {
        match found.as_str() {
            Some(text) if !text.chars().any(|c| c != '\n' && plain::is_hidden(c)) => {
                Ok(text.to_owned())
            }
            _ => Err(self.wrong(found)),
        }
    }

    fn missing(&self) -> Option<String> {
        Some(String::new())
    }

    fn allowed(&self) -> String {
        "Write a text in quotes; line feeds as \\n, no other control or invisible characters."
            .to_owned()
    }
}

/// Text that must be there and says something.
pub(in crate::record) struct Name;

impl Shape<String> for Name {
    fn write(&self, value: &String, _is_inline: bool) -> Option<String> {
        Some(quoted(&plain::text(value)))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<String, Wrong> {
        let name = Text.read(found).map_err(|_| self.wrong(found))?;
        if name.is_empty() {
            return Err(self.wrong(found));
        }
        Ok(name)
    }

    fn allowed(&self) -> String {
        "Write a name in quotes, not empty, without control or invisible characters.".to_owned()
    }
}

/// A value with a stable word, read back by that word.
pub(in crate::record) struct Word<T> {
    /// The word of a value.
    pub word: fn(&T) -> String,
    /// The value of a word.
    pub from: fn(&str) -> Option<T>,
    /// Every word, for the message.
    pub all: fn() -> Vec<String>,
}

impl<T> Shape<T> for Word<T> {
    fn write(&self, value: &T, _is_inline: bool) -> Option<String> {
        Some(quoted(&(self.word)(value)))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<T, Wrong> {
        found
            .as_str()
            .and_then(self.from)
            .ok_or_else(|| self.wrong(found))
    }

    fn allowed(&self) -> String {
        format!("Write one of: {}.", (self.all)().join(", "))
    }
}

/// The [`Word`] of a type that has `ALL`, `word` and `from_word`.
macro_rules! words {
    ($kind:ty) => {
        $crate::record::shape::Word::<$kind> {
            word: |value| value.word().to_owned(),
            from: <$kind>::from_word,
            all: || <$kind>::ALL.iter().map(|v| v.word().to_owned()).collect(),
        }
    };
}
pub(in crate::record) use words;

/// A value that may be missing.
pub(in crate::record) struct Maybe<S>(pub S);

impl<T, S: Shape<T>> Shape<Option<T>> for Maybe<S> {
    fn write(&self, value: &Option<T>, is_inline: bool) -> Option<String> {
        value
            .as_ref()
            .and_then(|value| self.0.write(value, is_inline))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<Option<T>, Wrong> {
        self.0.read(found).map(Some)
    }

    fn missing(&self) -> Option<Option<T>> {
        Some(None)
    }

    fn allowed(&self) -> String {
        self.0.allowed()
    }
}

/// Text that may be missing and may be empty; the two are told apart.
pub(in crate::record) struct TextIf;

impl Shape<Option<String>> for TextIf {
    fn write(&self, value: &Option<String>, _is_inline: bool) -> Option<String> {
        let text = value.as_ref()?;
        Some(Prose.write(text, true).unwrap_or_else(|| "\"\"".to_owned()))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<Option<String>, Wrong> {
        Prose.read(found).map(Some)
    }

    fn missing(&self) -> Option<Option<String>> {
        Some(None)
    }

    fn allowed(&self) -> String {
        Prose.allowed()
    }
}

/// Any number of values; an empty list is left out.
pub(in crate::record) struct List<S>(pub S);

/// A list that is longer than this has a line for each value.
const LONG_LIST: usize = 90;

impl<T, S: Shape<T>> Shape<Vec<T>> for List<S> {
    fn write(&self, value: &Vec<T>, is_inline: bool) -> Option<String> {
        let items: Vec<String> = value
            .iter()
            .map(|item| {
                self.0
                    .write(item, true)
                    .unwrap_or_else(|| "\"\"".to_owned())
            })
            .collect();
        if items.is_empty() {
            return None;
        }
        let line = format!("[{}]", items.join(", "));
        if is_inline || line.chars().count() <= LONG_LIST {
            return Some(line);
        }
        Some(format!("[\n  {},\n]", items.join(",\n  ")))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<Vec<T>, Wrong> {
        let Some(items) = found.as_array() else {
            return Err(self.wrong(found));
        };
        items
            .iter()
            .map(|item| self.0.read(item.get_ref()))
            .collect()
    }

    fn missing(&self) -> Option<Vec<T>> {
        Some(vec![])
    }

    fn allowed(&self) -> String {
        format!("A list belongs here; of each: {}", self.0.allowed())
    }
}

/// `true` or `false`, always written.
pub(in crate::record) struct Truth;

impl Shape<bool> for Truth {
    fn write(&self, value: &bool, _is_inline: bool) -> Option<String> {
        Some(value.to_string())
    }

    fn read(&self, found: &DeValue<'_>) -> Result<bool, Wrong> {
        found.as_bool().ok_or_else(|| self.wrong(found))
    }

    fn allowed(&self) -> String {
        "Write true or false.".to_owned()
    }
}

/// `true` only; a missing key is `false`.
pub(in crate::record) struct Yes;

impl Shape<bool> for Yes {
    fn write(&self, value: &bool, _is_inline: bool) -> Option<String> {
        value.then(|| "true".to_owned())
    }

    fn read(&self, found: &DeValue<'_>) -> Result<bool, Wrong> {
        Truth.read(found)
    }

    fn missing(&self) -> Option<bool> {
        Some(false)
    }

    fn allowed(&self) -> String {
        Truth.allowed()
    }
}

/// Date and time with the offset of the place, to the millisecond.
pub(in crate::record) struct Time;

impl Shape<DateTime<FixedOffset>> for Time {
    fn write(&self, value: &DateTime<FixedOffset>, _is_inline: bool) -> Option<String> {
        let value = value.trunc_subsecs(3);
        Some(value.to_rfc3339_opts(SecondsFormat::AutoSi, false))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<DateTime<FixedOffset>, Wrong> {
        let DeValue::Datetime(time) = found else {
            return Err(self.wrong(found));
        };
        DateTime::parse_from_rfc3339(&time.to_string()).map_err(|_| self.wrong(found))
    }

    fn allowed(&self) -> String {
        "Write date and time with offset, without quotes, such as 2026-11-25T14:05:00+01:00."
            .to_owned()
    }
}

/// The stated value of a condition, when its key takes it.
pub(in crate::record) fn read_condition(name: &str, found: &DeValue<'_>) -> Result<Value, Wrong> {
    let value = match found {
        DeValue::String(word) => Some(Value::Word(word.to_string())),
        DeValue::Boolean(truth) => Some(Value::Truth(*truth)),
        other => amount::number(other).map(Value::Number),
    };
    let taken = value.map(|value| check_condition(name, &value).map(|()| value));
    match taken {
        Some(Ok(value)) => Ok(value),
        Some(Err(allowed)) => Err(Wrong::new(self::found(found), allowed)),
        None => Err(Wrong::new(
            self::found(found),
            "Another value belongs here.",
        )),
    }
}

/// Whether a condition takes this value; else what is allowed.
pub(in crate::record) fn check_condition(name: &str, value: &Value) -> Result<(), String> {
    let Some(key) = conditions::key(name) else {
        return Err("This key is not known.".to_owned());
    };
    match (key.takes, value) {
        (Takes::OneOf(words), Value::Word(word)) if words.contains(&word.as_str()) => Ok(()),
        (Takes::OneOf(words), _) => Err(format!("Write one of: {}.", words.join(", "))),
        (Takes::Given(_), Value::Word(word))
            if !word.is_empty() && !word.chars().any(plain::is_hidden) =>
        {
            Ok(())
        }
        (Takes::Given(words), _) => Err(format!("Write a word, such as {}.", words.join(", "))),
        (Takes::Truth, Value::Truth(_)) => Ok(()),
        (Takes::Truth, _) => Err("Write true or false.".to_owned()),
        (Takes::Number, Value::Number(number)) if (0.0..=amount::HUGE).contains(number) => Ok(()),
        (Takes::Number, _) => Err("Write a number, zero or more.".to_owned()),
    }
}
