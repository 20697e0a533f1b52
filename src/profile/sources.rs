//! Sources that the numbers of one file refer to.

use std::collections::BTreeMap;

use crate::profile::read::Section;
use crate::profile::read::found;
use crate::source::Source;
use crate::source::Standing;

/// Sources of a file by their short name.
pub type Sources = BTreeMap<String, Source>;

const STANDINGS: [(&str, Standing); 4] = [
    ("read", Standing::Read),
    ("from memory", Standing::FromMemory),
    ("common practice", Standing::CommonPractice),
    ("own", Standing::Own),
];

/// Word of a standing in a file.
pub fn standing_word(standing: Standing) -> &'static str {
    STANDINGS
        .iter()
        .find(|(_, known)| *known == standing)
        .map_or("own", |(word, _)| word)
}

/// Reads a standing and a citation; a source that was read or recalled names what.
pub fn source(s: &Section<'_, '_>) -> Option<Source> {
    let words = STANDINGS.map(|(word, _)| word);
    let standing = s.word("standing", &words, |word| {
        STANDINGS
            .iter()
            .find(|(known, _)| *known == word)
            .map(|(_, standing)| *standing)
    });
    let citation = s.text_if("citation").unwrap_or_default();
    let standing = standing?;
    if citation.is_empty() && standing == Standing::Read {
        s.fault(
            "citation",
            "is missing",
            "Write author, title, edition and table of what was read.",
        );
        return None;
    }
    Some(Source { standing, citation })
}

/// Reads the tables `[source.NAME]` of a file.
pub fn sources(file: &Section<'_, '_>) -> Sources {
    let mut sources = Sources::new();
    let Some(all) = file.section_if("source", "Write tables such as [source.handbook].") else {
        return sources;
    };
    for (name, span) in all.keys() {
        let Some(table) = all.free(&name).and_then(toml::de::DeValue::as_table) else {
            all.fault(
                &name,
                "is not a table",
                "Write a table with standing and citation.",
            );
            continue;
        };
        let section = Section::new(file.sheet(), table, span, format!("source.{name}"));
        if let Some(source) = source(&section) {
            sources.insert(name, source);
        }
        section.finish();
    }
    sources
}

/// The source that `source = "NAME"` of a table means.
pub fn named(s: &Section<'_, '_>, sources: &Sources) -> Option<Source> {
    let names: Vec<&str> = sources.keys().map(String::as_str).collect();
    if names.is_empty() && s.has("source") {
        let wrong = s.free("source").map_or_else(String::new, found);
        s.fault(
            "source",
            format!("{wrong}, and this file describes no source"),
            "Write a table [source.NAME] with standing and citation above, then its NAME here.",
        );
        return None;
    }
    s.word("source", &names, |word| sources.get(word).cloned())
}
