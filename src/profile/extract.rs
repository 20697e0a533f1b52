//! One profile as a file of its own, to begin an own one from.

use toml::Spanned;
use toml::de::DeTable;

use crate::profile::fault::Origin;
use crate::profile::read::Section;
use crate::profile::series;
use crate::profile::sheet::Sheet;

/// The text of one entry out of a file's text: `format`, the sources that the
/// entry names, and the entry with its comments. `None` when it is not there.
///
/// `kind` is the head of the entry's table, such as `tool`; `key` the one that
/// holds its name.
pub fn entry(text: &str, kind: &str, key: &str, name: &str) -> Option<String> {
    let table = DeTable::parse(text).ok()?;
    one(text, &table, kind, key, name).or_else(|| {
        // Of a series the tool is taken out as one that stands alone.
        let sheet = Sheet::new(Origin::Shipped, "", text);
        let top = Section::new(&sheet, table.get_ref(), 0..0, "");
        let tool = (kind == "tool").then(|| series::entry(&top, name))??;
        Some(format!("format = 1\n\n{tool}"))
    })
}

fn one(
    text: &str,
    table: &Spanned<DeTable<'_>>,
    kind: &str,
    key: &str,
    name: &str,
) -> Option<String> {
    let entries = table.get_ref().get(kind)?.get_ref().as_array()?;
    let at = entries.iter().position(|entry| {
        let table = entry.get_ref().as_table();
        let found = table.and_then(|table| table.get(key));
        found.and_then(|found| found.get_ref().as_str()) == Some(name)
    })?;
    let start = entries.get(at)?.span().start;
    let end = starts(text, table.get_ref())
        .into_iter()
        .filter(|other| *other > start)
        .min()
        .unwrap_or(text.len());
    let body = text[start..end].trim_end();
    let mut out = "format = 1\n".to_owned();
    for block in sources(text, table.get_ref(), body) {
        out.push('\n');
        out.push_str(block);
        out.push('\n');
    }
    out.push('\n');
    out.push_str(body);
    out.push('\n');
    Some(out)
}

/// Where the entries and the sources of a file begin.
fn starts(text: &str, table: &DeTable<'_>) -> Vec<usize> {
    let mut starts = vec![];
    for value in table.values().map(Spanned::get_ref) {
        if let Some(entries) = value.as_array() {
            starts.extend(entries.iter().map(|entry| entry.span().start));
        }
        if let Some(sources) = value.as_table() {
            starts.extend(sources.keys().map(|key| head(text, key.span().start)));
        }
    }
    starts
}

/// Start of the table's head in which a key stands.
fn head(text: &str, key: usize) -> usize {
    text[..key].rfind('[').unwrap_or(0)
}

/// The blocks of the sources that the body names, in the order of the file.
fn sources<'t>(text: &'t str, table: &DeTable<'_>, body: &str) -> Vec<&'t str> {
    let Some(all) = table
        .get("source")
        .and_then(|source| source.get_ref().as_table())
    else {
        return vec![];
    };
    let mut named: Vec<_> = all
        .keys()
        .filter(|key| body.contains(&format!("\"{}\"", key.get_ref())))
        .map(Spanned::span)
        .collect();
    named.sort_by_key(|span| span.start);
    named
        .into_iter()
        .map(|span| {
            let start = head(text, span.start);
            let end = text[span.end..]
                .find("\n[")
                .map_or(text.len(), |at| span.end + at);
            text[start..end].trim_end()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const MIXED: &str = "format = 1\n[source.a]\nstanding = \"own\"\n\n[[tool]]\nname = \"x\"\n\
        \n[[machine]]\nname = \"x\"\n[machine.y]\nlead = \"a\"\n[source.b]\nstanding = \"own\"\n";

    #[test]
    fn an_entry_ends_where_any_other_begins() {
        assert_eq!(
            entry(MIXED, "tool", "name", "x").as_deref(),
            Some("format = 1\n\n[[tool]]\nname = \"x\"\n")
        );
        assert_eq!(
            entry(MIXED, "machine", "name", "x").as_deref(),
            Some(
                "format = 1\n\n[source.a]\nstanding = \"own\"\n\n\
                 [[machine]]\nname = \"x\"\n[machine.y]\nlead = \"a\"\n"
            )
        );
        assert_eq!(entry(MIXED, "tool", "name", "y"), None);
        assert_eq!(entry("not = toml = at all", "tool", "name", "x"), None);
    }
}
