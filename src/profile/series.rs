//! Tools that differ in a few values, written as one table: `[[series]]`.
//!
//! `columns` names what differs, `rows` gives it tool by tool, and every other key is one of a `[[tool]]` that all of them share.
//! A column whose name stands in braces in one of these texts fills it in (`title = "Drill {size} mm"`); another column is a key of
//! each tool. A row may end early: the keys of the cells that it leaves out are not there. What comes of it is read as a `[[tool]]` is,
//! so the same faults are found, each at its row.
//!
//! Why there are two forms: a shelf of drills, taps and reamers has some hundreds of tools in steps of a tenth, and each start reads
//! them. As tables of their own they are ten times the text.

use std::borrow::Cow;
use std::ops::Range;

use toml::Spanned;
use toml::de::DeArray;
use toml::de::DeTable;
use toml::de::DeValue;

use crate::profile::read::Section;
use crate::profile::read::found;

/// Keys of a series that no tool has.
const OWN_KEYS: [&str; 2] = ["columns", "rows"];

/// One tool of a series, its texts filled in.
#[derive(Clone, Debug)]
pub struct Member<'t> {
    /// Its keys, as those of a `[[tool]]`.
    pub table: DeTable<'t>,
    /// Bytes of its row.
    pub span: Range<usize>,
    /// Path to it, such as `series[1].rows[3]`.
    pub path: String,
}

/// The tools of all series of a file in their order; what cannot be read as a series is reported. `broken` are the bytes at which the
/// file is no TOML: a series whose own keys hold one gives no tool.
pub fn members<'t>(top: &Section<'_, 't>, broken: &[usize]) -> Vec<Member<'t>> {
    let sections = top
        .sections("series", "Write tables headed [[series]].")
        .unwrap_or_default();
    let mut members = vec![];
    for section in &sections {
        let own = of_series(section);
        let first = own.first().map_or(usize::MAX, |member| member.span.start);
        let keys = section.span.start..first;
        if !broken.iter().any(|at| keys.contains(at)) {
            members.extend(own);
        }
    }
    members
}

/// Where the series of a file begin.
pub fn starts(top: &Section<'_, '_>) -> Vec<usize> {
    let series = top.free("series").and_then(|series| series.as_array());
    let all = series.into_iter().flat_map(|all| all.iter());
    all.map(|one| one.span().start).collect()
}

fn of_series<'t>(s: &Section<'_, 't>) -> Vec<Member<'t>> {
    const COLUMNS: &str = "Write the names of what differs, such as [\"size\", \"flute_length\"].";
    const ROWS: &str = "Write a list for each tool, with a value for each column from the left.";
    let name = s.free("name").and_then(|name| name.as_str());
    s.sheet()
        .enter(name.map(|name| name.chars().take(60).collect()));
    let (columns, rows) = (list(s, "columns", COLUMNS), list(s, "rows", ROWS));
    let mut members = vec![];
    if let (Some(columns), Some(rows)) = (columns, rows)
        && let Some(columns) = names(s, columns, COLUMNS)
    {
        for (place, row) in rows.iter().enumerate() {
            let cells = row
                .get_ref()
                .as_array()
                .filter(|cells| !cells.is_empty() && cells.len() <= columns.len());
            let path = format!("{}.rows[{}]", s.path(), place + 1);
            match cells {
                Some(cells) => members.push(Member {
                    table: filled(s.table(), &columns, cells, &row.span()),
                    span: row.span(),
                    path,
                }),
                None => {
                    let wrong = match row.get_ref().as_array() {
                        Some(cells) => {
                            format!("has {} values for {} columns", cells.len(), columns.len())
                        }
                        None => found(row.get_ref()),
                    };
                    s.sheet().report(row.span(), path, wrong, ROWS);
                }
            }
        }
    }
    s.sheet().enter(None);
    members
}

/// The list of a key.
fn list<'s, 't>(s: &Section<'s, 't>, key: &'static str, allowed: &str) -> Option<&'s DeArray<'t>> {
    if !s.has(key) {
        s.fault(key, "is missing", allowed);
    }
    let value = s.free(key)?;
    let list = value.as_array();
    if list.is_none() {
        s.fault(key, found(value), allowed);
    }
    list
}

/// A column: its name and where that stands.
type Column<'s> = (&'s str, Range<usize>);

fn names<'s>(
    s: &Section<'_, '_>,
    columns: &'s DeArray<'_>,
    allowed: &str,
) -> Option<Vec<Column<'s>>> {
    let names: Option<Vec<Column<'s>>> = columns
        .iter()
        .map(|column| Some((column.get_ref().as_str()?, column.span())))
        .collect();
    if names.is_none() {
        s.fault("columns", "holds something that is no name", allowed);
    }
    names
}

/// The keys of one tool.
fn filled<'t>(
    series: &DeTable<'t>,
    columns: &[Column<'_>],
    cells: &DeArray<'t>,
    row: &Range<usize>,
) -> DeTable<'t> {
    let mut used = vec![false; columns.len()];
    let mut table = DeTable::new();
    for (key, value) in series {
        if !OWN_KEYS.contains(&key.get_ref().as_ref()) {
            let value = put_in(value, columns, cells, row, &mut used);
            table.insert(key.clone(), value);
        }
    }
    for (place, cell) in cells.iter().enumerate() {
        if !used[place] {
            let (name, span) = &columns[place];
            let key = Spanned::new(span.clone(), Cow::Owned((*name).to_owned()));
            table.insert(key, put_in(cell, columns, cells, row, &mut used));
        }
    }
    table
}

/// A value with the cells of its row in place of their names in braces.
fn put_in<'t>(
    value: &Spanned<DeValue<'t>>,
    columns: &[Column<'_>],
    cells: &DeArray<'t>,
    row: &Range<usize>,
    used: &mut [bool],
) -> Spanned<DeValue<'t>> {
    if let Some(items) = value.get_ref().as_array() {
        let items = items
            .iter()
            .map(|item| put_in(item, columns, cells, row, used));
        return Spanned::new(value.span(), DeValue::Array(items.collect()));
    }
    let Some(text) = value.get_ref().as_str().filter(|text| text.contains('{')) else {
        return value.clone();
    };
    let mut text = text.to_owned();
    for ((place, (name, _)), cell) in columns.iter().enumerate().zip(cells) {
        let mark = format!("{{{name}}}");
        if let Some(cell) = cell.get_ref().as_str().filter(|_| text.contains(&mark)) {
            used[place] = true;
            text = text.replace(&mark, cell);
        }
    }
    Spanned::new(row.clone(), DeValue::String(Cow::Owned(text)))
}

/// A tool of a series as the text of a `[[tool]]` of its own; `None` where no series of the text has one of this name.
pub fn entry(top: &Section<'_, '_>, name: &str) -> Option<String> {
    let member = members(top, &[]).into_iter().find(|member| {
        let own = member.table.get("name");
        own.and_then(|own| own.get_ref().as_str()) == Some(name)
    })?;
    let first = ["name", "title", "kind"];
    let mut keys: Vec<_> = member.table.iter().collect();
    keys.sort_by_key(|(key, _)| {
        let place = first
            .iter()
            .position(|first| *first == key.get_ref().as_ref());
        (place.unwrap_or(first.len()), key.span().start)
    });
    let mut text = "[[tool]]\n".to_owned();
    for (key, value) in keys {
        text.push_str(&format!(
            "{} = {}\n",
            key.get_ref(),
            written(value.get_ref())?
        ));
    }
    Some(text)
}

/// A value as TOML; `None` for what no tool has.
fn written(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => Some(toml::Value::String(text.clone().into_owned()).to_string()),
        DeValue::Integer(number) => Some(number.to_string()),
        DeValue::Boolean(truth) => Some(truth.to_string()),
        DeValue::Array(items) => {
            let items: Option<Vec<String>> =
                items.iter().map(|item| written(item.get_ref())).collect();
            Some(format!("[{}]", items?.join(", ")))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::profile::fault::Origin;
    use crate::profile::library::Library;
    use crate::profile::library::ProfileFile;

    fn library(text: &str) -> Library {
        Library::only(&[ProfileFile {
            origin: Origin::Own,
            file: "mine.toml".to_owned(),
            bytes: Ok(text.as_bytes().to_vec().into()),
        }])
    }

    const DRILLS: &str = "format = 1\n\n[[series]]\nname = \"my-{size}\"\ntitle = \"Drill {size} mm\"\nkind = \"drill\"\n\
        diameter = \"{size} mm\"\nshank = \"{size} mm\"\nflutes = 2\npoint_angle = \"118 deg\"\nedge = \"hss\"\n\
        columns = [\"size\", \"flute_length\", \"stick_out\", \"notes\"]\nrows = [\n\
        [\"2\", \"24 mm\", \"28 mm\"],\n[\"2.5\", \"30 mm\", \"34 mm\", [\"Tap hole M3, {size} mm.\"]],\n]\n";

    #[test]
    fn a_series_gives_a_tool_for_each_row() {
        let library = library(DRILLS);
        assert!(library.faults.is_empty(), "{}", library.faults[0]);
        assert_eq!(library.tools.names(), ["my-2", "my-2.5"]);
        let tool = library.tools.get("my-2.5").expect("there");
        assert_eq!(tool.title, "Drill 2.5 mm");
        assert_eq!((tool.diameter_mm, tool.flute_length_mm), (2.5, 30.0));
        assert_eq!(tool.notes, ["Tap hole M3, 2.5 mm."]);
    }

    #[test]
    fn what_is_wrong_in_a_row_is_reported_there_and_the_others_are_taken() {
        let text = DRILLS.replace("\"24 mm\"", "\"24 kg\"");
        let library = library(&text);
        assert_eq!(library.tools.names(), ["my-2.5"]);
        assert_eq!(library.faults.len(), 1);
        assert_eq!(library.faults[0].line, 14, "{}", library.faults[0]);
        assert_eq!(library.faults[0].entry.as_deref(), Some("my-2"));
    }

    #[test]
    fn a_column_that_is_no_key_a_row_that_is_too_long_and_no_rows_are_faults() {
        let wrong = |from: &str, to: &str| {
            let library = library(&DRILLS.replace(from, to));
            library
                .faults
                .first()
                .map(ToString::to_string)
                .unwrap_or_default()
        };
        assert!(wrong("\"stick_out\"", "\"stick_uot\"").contains("stick_uot is not a key here"));
        assert!(
            wrong("\"28 mm\"]", "\"28 mm\", [], \"1\"]").contains("has 5 values for 4 columns")
        );
        assert!(wrong("rows = [", "rosw = [").contains("rows is missing"));
        assert!(
            library(&DRILLS.replace("flutes = 2", "flutes = = 2"))
                .tools
                .items()
                .is_empty()
        );
        assert!(wrong("\"size\",", "7,").contains("columns holds something that is no name"));
    }
}
