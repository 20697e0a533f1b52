//! `millside diff`: two sessions compared by meaning.

use std::fmt::Write;
use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;

use chrono::DateTime;
use clap::Args as ClapArgs;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::cli::Outcome;
use crate::cli::print;
use crate::cli::world::World;
use crate::job::caution::Cautions;
use crate::job::typed;
use crate::plain;
use crate::problem::Problem;
use crate::record::compare;
use crate::record::compare::Change;
use crate::record::compare::Comparison;
use crate::record::compare::Row;
use crate::record::read;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Arguments of `millside diff`.
#[derive(Debug, ClapArgs)]
#[command(
    after_help = "Exit code: 0 the same, 1 different, 2 a file cannot be read.\n\
                        Names, dates and times of day do not count as differences."
)]
pub struct Args {
    /// The first session.
    pub a: PathBuf,
    /// The second session.
    pub b: PathBuf,
    /// Prints one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Runs the command.
///
/// # Errors
///
/// A file that cannot be opened or is no session.
pub fn run(args: &Args, world: &mut dyn World) -> Result<Outcome, Problem> {
    let (a, b) = (load(&args.a, world)?, load(&args.b, world)?);
    let comparison = compare::compare(&a, &b);
    if args.json {
        let object = object([(&args.a, &a), (&args.b, &b)], &comparison);
        print::json(world, &object)?;
    } else {
        let text = text([(&args.a, &a), (&args.b, &b)], &comparison);
        print::out(world, &text)?;
    }
    Ok(if comparison.is_same() {
        Outcome::Fine
    } else {
        Outcome::LookFirst
    })
}

/// Reads one session; nothing of it will run, so no clock is needed.
fn load(path: &Path, world: &dyn World) -> Result<State, Problem> {
    let place = || plain::text(&path.display().to_string());
    let raw = world.read(path, read::LONGEST).map_err(|error| {
        Problem::user("read the session")
            .at(place())
            .from_error(error)
            .hint("Look at its spelling, or write its whole path.")
    })?;
    let at = Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    };
    read::bytes(&raw, Cautions::default(), at).map_err(|error| {
        Problem::user("read the session")
            .at(place())
            .because(error.to_string())
    })
}

type Side<'s> = (&'s PathBuf, &'s State);

/// Width of the column of values.
const VALUE: usize = 15;
/// Width of the column of names.
const NAME: usize = 22;
/// Width of a terminal that everybody has.
const LINE: usize = 80;

fn text(sides: [Side<'_>; 2], comparison: &Comparison) -> String {
    let mut out = String::new();
    for (mark, (path, state)) in ["a", "b"].into_iter().zip(sides) {
        let begun = state.head.begun.format("%Y-%m-%d %H:%M");
        let title = plain::text(&state.head.title);
        let path = plain::text(&path.display().to_string());
        // Writing to a string cannot fail.
        let _ = writeln!(out, "{mark}  {path}\n   {title}, {begun}");
    }
    if comparison.is_same() {
        out.push_str("\nThe same: nothing differs but names and times of day.\n");
        return out;
    }
    for group in &comparison.groups {
        let _ = writeln!(out, "\n{}", plain::text(&group.title).to_uppercase());
        let mut place = "";
        for row in &group.rows {
            if row.place != place {
                place = &row.place;
                let _ = writeln!(out, "  {}", plain::text(place));
            }
            row_lines(&mut out, row);
        }
    }
    let count = comparison.count();
    let _ = writeln!(
        out,
        "\n{count} difference{}",
        if count == 1 { "" } else { "s" }
    );
    out
}

/// A row on one line when it fits, else name, first and second value on lines of their own.
fn row_lines(out: &mut String, row: &Row) {
    let side = |value: &Option<String>| value.clone().unwrap_or_else(|| "-".to_owned());
    let (a, b) = (side(&row.a), side(&row.b));
    let change = row.change.as_ref().map(change_words).unwrap_or_default();
    let indent = if row.place.is_empty() { 2 } else { 4 };
    let taken = indent + NAME + VALUE + VALUE + 3;
    let fits = plain::width(&row.what) <= NAME
        && plain::width(&a) <= VALUE
        && plain::width(&b) <= VALUE
        && taken + plain::width(&change) <= LINE;
    let before = " ".repeat(indent);
    let line = if fits {
        let what = plain::pad(&row.what, NAME);
        let a = plain::pad(&a, VALUE);
        let b = plain::pad(&b, VALUE);
        format!("{before}{what} {a} {b} {change}")
    } else {
        let value = |mark: &str, value: &str| {
            let lines = wrapped(value, LINE - indent - 5);
            format!(
                "\n{before}  {mark}  {}",
                lines.join(&format!("\n{before}     "))
            )
        };
        let mut lines = format!("{before}{}", plain::text(&row.what));
        lines.push_str(&value("a", &a));
        lines.push_str(&value("b", &b));
        if !change.is_empty() {
            let _ = write!(lines, "\n{before}     {change}");
        }
        lines
    };
    out.push_str(line.trim_end());
    out.push('\n');
}

/// Text in lines of at most so many columns, broken at spaces; escaped.
fn wrapped(text: &str, columns: usize) -> Vec<String> {
    let mut lines = vec![];
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in plain::text(paragraph).split(' ') {
            if !line.is_empty() && plain::width(&line) + 1 + plain::width(word) > columns {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines
}

/// `+0.2 mm, +40 %`; times as minutes and seconds.
fn change_words(change: &Change) -> String {
    let sign = if change.amount < 0.0 { "-" } else { "+" };
    let size = change.amount.abs();
    let amount = match change.unit.as_str() {
        "s" => crate::quantity::show::duration(crate::quantity::second(size)),
        "" => typed::plain(size),
        "%" => format!("{} points", typed::plain(size)),
        unit => format!("{} {unit}", typed::plain(size)),
    };
    let percent = change
        .percent
        .filter(|_| change.unit != "%")
        .map(|percent| format!(", {sign}{} %", share(percent.abs())));
    plain::text(&format!("{sign}{amount}{}", percent.unwrap_or_default()))
}

/// A percentage with one decimal below ten.
fn share(percent: f64) -> String {
    if percent < 9.95 {
        format!("{percent:.1}")
    } else {
        format!("{percent:.0}")
    }
}

fn object(sides: [Side<'_>; 2], comparison: &Comparison) -> Value {
    let head = |(path, state): Side<'_>| {
        json!({
            "file": path.display().to_string(),
            "session_id": state.head.session_id,
            "job_id": state.head.job_id,
            "title": state.head.title,
            "begun": state.head.begun.to_rfc3339(),
        })
    };
    let groups: Vec<Value> = comparison
        .groups
        .iter()
        .map(|group| {
            let rows: Vec<Value> = group.rows.iter().map(row_object).collect();
            json!({ "group": group.title, "rows": rows })
        })
        .collect();
    json!({
        "format": 1,
        "same": comparison.is_same(),
        "differences": comparison.count(),
        "a": head(sides[0]),
        "b": head(sides[1]),
        "groups": groups,
    })
}

fn row_object(row: &Row) -> Value {
    let mut object = Map::new();
    object.insert("place".to_owned(), json!(row.place));
    object.insert("what".to_owned(), json!(row.what));
    object.insert("a".to_owned(), json!(row.a));
    object.insert("b".to_owned(), json!(row.b));
    if let Some(change) = &row.change {
        object.insert(change_key(&change.unit), json!(change.amount));
        if let Some(percent) = change.percent {
            object.insert("change_percent".to_owned(), json!(percent));
        }
    }
    Value::Object(object)
}

/// The unit in the key's name: `change_mm`, `change_mm_per_min`.
fn change_key(unit: &str) -> String {
    let unit = match unit {
        "" => return "change".to_owned(),
        "%" => return "change_points".to_owned(),
        unit => unit.replace('/', "_per_"),
    };
    let mut key = "change".to_owned();
    for word in unit.split(|c: char| !c.is_ascii_alphanumeric()) {
        if !word.is_empty() {
            key.push('_');
            key.push_str(&word.to_ascii_lowercase());
        }
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unit_stands_in_the_key() {
        for (unit, key) in [
            ("mm", "change_mm"),
            ("mm/min", "change_mm_per_min"),
            ("um/(m K)", "change_um_per_m_k"),
            ("%", "change_points"),
            ("", "change"),
        ] {
            assert_eq!(change_key(unit), key);
        }
    }

    #[test]
    fn a_change_is_told_with_sign_unit_and_percentage() {
        let change = |amount, unit: &str, percent| Change {
            amount,
            unit: unit.to_owned(),
            percent,
        };
        assert_eq!(
            change_words(&change(-0.2, "mm", Some(-40.0))),
            "-0.2 mm, -40 %"
        );
        assert_eq!(
            change_words(&change(95.0, "s", Some(7.94))),
            "+1:35, +7.9 %"
        );
        assert_eq!(change_words(&change(-20.0, "%", Some(-20.0))), "-20 points");
        assert_eq!(change_words(&change(1.0, "", None)), "+1");
    }
}
