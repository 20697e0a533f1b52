//! The lines of the emergency cards and stoppage pages out of their files.
//!
//! They are shipped with the program, and no profile of a person changes them: who stands in front of a fire reads what was gone over.

use std::sync::LazyLock;

use toml::de::DeTable;
use toml::de::DeValue;

use crate::job::card::Agent;
use crate::job::card::CardLine;
use crate::job::card::NOT_STATED;
use crate::job::card::On;
use crate::job::card::StopsBy;
use crate::job::conditions::Condition;
use crate::job::conditions::Key;
use crate::job::conditions::Takes;
use crate::job::conditions::Test;
use crate::job::conditions::Value;
use crate::job::conditions::key;
use crate::job::mishap::Mishap;
use crate::profile::fault::Fault;
use crate::profile::fault::Origin;
use crate::profile::read::Section;
use crate::profile::read::found;
use crate::profile::sheet::Sheet;
use crate::profile::sources::source;

/// Longest short text, in characters: a window of twenty columns shows it whole.
pub const LONGEST_SHORT: usize = 20;

/// Longest brief text, in characters: three rows of a window of twenty columns. On the first page it is one row of forty.
pub const LONGEST_BRIEF: usize = 62;

/// Name below `profiles/` and text of each file.
pub const FILES: &[(&str, &str)] = &[
    (
        "cards/1-emergency.toml",
        include_str!("../../profiles/cards/1-emergency.toml"),
    ),
    (
        "cards/2-stoppages.toml",
        include_str!("../../profiles/cards/2-stoppages.toml"),
    ),
];

static LINES: LazyLock<Vec<CardLine>> = LazyLock::new(|| {
    let read = FILES.iter().map(|(file, text)| from_text(file, text));
    read.flat_map(|(lines, _)| lines).collect()
});

/// Every line of every card, in the order of the files.
pub fn lines() -> &'static [CardLine] {
    &LINES
}

/// The lines of one file, and what was wrong in it; the shipped ones have no faults.
pub fn from_text(file: &str, text: &str) -> (Vec<CardLine>, Vec<Fault>) {
    let sheet = Sheet::new(Origin::Shipped, file, text);
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        let span = error.span().unwrap_or(0..0);
        sheet.report(span, "", error.message(), "Write TOML.");
    }
    let top = Section::new(&sheet, table.get_ref(), 0..0, "");
    let _ = top.count("format", 1..=1);
    let sections = top.sections("line", "Write tables headed [[line]].");
    let lines = sections.iter().flatten().filter_map(read).collect();
    top.finish();
    (lines, sheet.into_faults())
}

fn words<T>(
    s: &Section<'_, '_>,
    key: &'static str,
    what: &str,
    from: impl Fn(&str) -> Option<T>,
) -> Option<Vec<T>> {
    let mut all = vec![];
    for word in s.texts(key)? {
        match from(&word) {
            Some(known) => all.push(known),
            None => s.fault(key, format!("names \"{word}\""), format!("Write {what}.")),
        }
    }
    Some(all)
}

/// A value of the key, or that nobody has stated it.
fn value(key: &Key, raw: &DeValue<'_>) -> Option<Value> {
    match (key.takes, raw) {
        (_, DeValue::String(text)) if text.as_ref() == NOT_STATED => {
            Some(Value::Word(text.to_string()))
        }
        (Takes::OneOf(words) | Takes::Given(words), DeValue::String(text)) => words
            .contains(&text.as_ref())
            .then(|| Value::Word(text.to_string())),
        (Takes::Truth, DeValue::Boolean(truth)) => Some(Value::Truth(*truth)),
        _ => None,
    }
}

fn when(s: &Section<'_, '_>) -> Vec<Condition> {
    let allowed = "Write a table of lists, such as { material = [\"magnesium\", \"not_stated\"] }.";
    let Some(inner) = s.section_if("when", allowed) else {
        return vec![];
    };
    let mut all = vec![];
    for (name, _) in inner.keys() {
        let values = key(&name).and_then(|key| {
            let array = inner.free(&name)?.as_array()?;
            let values = array.iter().map(|item| value(key, item.get_ref()));
            values.collect::<Option<Vec<Value>>>()
        });
        match values {
            Some(values) if !values.is_empty() => all.push(Condition {
                key: name,
                test: Test::OneOf(values),
            }),
            _ => {
                let wrong = inner.free(&name).map_or_else(String::new, found);
                inner.fault(&name, wrong, allowed);
            }
        }
    }
    all
}

/// A text of so many characters at most.
fn at_most(s: &Section<'_, '_>, key: &'static str, longest: usize) -> Option<String> {
    let text = s.text_if(key)?;
    if text.chars().count() > longest {
        let allowed = format!("Write at most {longest} characters.");
        s.fault(key, "is too long", allowed);
    }
    Some(text)
}

fn read(s: &Section<'_, '_>) -> Option<CardLine> {
    let on = s.word("on", &On::ALL.map(On::word), On::from_word);
    let text = s.text("text");
    let brief = at_most(s, "brief", LONGEST_BRIEF);
    let short = at_most(s, "short", LONGEST_SHORT);
    let is_heading = s.truth_or_false("head");
    let happened = words(s, "happened", "names of stoppages", Mishap::from_id);
    let when = when(s);
    let agents = Agent::ALL.map(Agent::word).join(", ");
    let recommends = words(s, "recommends", &agents, Agent::from_word);
    let forbids = words(s, "forbids", &agents, Agent::from_word);
    let warns_of = words(s, "warns_of", &agents, Agent::from_word);
    let stops_by = s.word_if(
        "stops_by",
        &StopsBy::ALL.map(StopsBy::word),
        StopsBy::from_word,
    );
    let has_number = s.truth_or_false("number");
    let is_share = s.truth_or_false("share");
    let source = source(s);
    s.finish();
    Some(CardLine {
        on: on?,
        text: text?,
        brief,
        short,
        is_heading: is_heading?,
        happened: happened?,
        when,
        recommends: recommends?,
        forbids: forbids?,
        warns_of: warns_of?,
        stops_by,
        has_number: has_number?,
        is_share: is_share?,
        source: source?,
    })
}
