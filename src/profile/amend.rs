//! Values of a machine changed in the text of its profile; comments and all other keys stay.

use std::error::Error;
use std::fmt;

use toml_edit::DocumentMut;
use toml_edit::InlineTable;
use toml_edit::Item;
use toml_edit::Table;
use toml_edit::TableLike;
use toml_edit::Value;

/// One value to be changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Table below the machine, such as `x`.
    pub table: &'static str,
    /// Key in it, such as `acceleration`.
    pub key: &'static str,
    /// What is written, such as `182 mm/s2`.
    pub value: String,
    /// With what it was found, for the note.
    pub note: String,
}

/// Why a profile cannot be changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CannotAmend {
    /// The text is no TOML.
    Unreadable(String),
    /// No machine in it has the name.
    NoMachine,
    /// A table of the machine is missing or is something else.
    NoTable(&'static str),
}

impl fmt::Display for CannotAmend {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(why) => f.write_str(why),
            Self::NoMachine => f.write_str("no machine in it has this name"),
            Self::NoTable(table) => write!(f, "{table} is missing, or is not a table"),
        }
    }
}

impl Error for CannotAmend {}

/// The text of a profile with values of the machine `name` changed, each as measured.
///
/// # Errors
///
/// [`CannotAmend`] says why; nothing is changed by half.
pub fn machine(text: &str, name: &str, changes: &[Change]) -> Result<String, CannotAmend> {
    let mut document: DocumentMut = text
        .parse()
        .map_err(|error: toml_edit::TomlError| CannotAmend::Unreadable(error.to_string()))?;
    let machines = document
        .get_mut("machine")
        .and_then(Item::as_array_of_tables_mut)
        .ok_or(CannotAmend::NoMachine)?;
    let is_meant = |table: &Table| table.get("name").and_then(Item::as_str) == Some(name);
    let machine = machines
        .iter_mut()
        .find(|table| is_meant(table))
        .ok_or(CannotAmend::NoMachine)?;
    for change in changes {
        let table = machine
            .get_mut(change.table)
            .and_then(Item::as_table_like_mut)
            .ok_or(CannotAmend::NoTable(change.table))?;
        let given = match table.get_mut(change.key) {
            Some(given) => given,
            None => table
                .entry(change.key)
                .or_insert(Item::Value(Value::InlineTable(InlineTable::new()))),
        };
        let given = given
            .as_table_like_mut()
            .ok_or(CannotAmend::NoTable(change.key))?;
        set(given, "value", &change.value);
        set(given, "how", "measured");
        set(given, "note", &change.note);
    }
    Ok(document.to_string())
}

/// The text of a file with the emergency number of the shop in it; an empty text gives a new file.
///
/// # Errors
///
/// [`CannotAmend`] says why.
pub fn emergency_number(text: &str, number: &str) -> Result<String, CannotAmend> {
    let text = if text.is_empty() {
        "format = 1\n"
    } else {
        text
    };
    let mut document: DocumentMut = text
        .parse()
        .map_err(|error: toml_edit::TomlError| CannotAmend::Unreadable(error.to_string()))?;
    let shop = document
        .entry("shop")
        .or_insert(Item::Table(Table::new()))
        .as_table_like_mut()
        .ok_or(CannotAmend::NoTable("shop"))?;
    set(shop, "emergency_number", number);
    Ok(document.to_string())
}

/// Sets a text and leaves what stands around the old one, a comment for one.
fn set(table: &mut dyn TableLike, key: &str, text: &str) {
    let mut value = Value::from(text);
    match table.get_mut(key) {
        Some(item) => {
            if let Some(old) = item.as_value() {
                *value.decor_mut() = old.decor().clone();
            }
            *item = Item::Value(value);
        }
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# my mill\nformat = 1\n\n[[machine]]\nname = \"other\"\n[machine.x]\nacceleration = { value = \"1 mm/s2\", how = \"assumed\" }\n\n[[machine]] # the small one\nname = \"mine\"\n[machine.x] # left to right\nacceleration = { value = \"150 mm/s2\", how = \"assumed\", note = \"guess\" } # ask again\nbacklash = { value = \"0.05 mm\", how = \"measured\" }\n[machine.y.acceleration]\nvalue = \"90 mm/s2\" # slow\nhow = \"assumed\"\n[machine.control]\n";

    fn change(table: &'static str, key: &'static str, value: &str) -> Change {
        Change {
            table,
            key,
            value: value.to_owned(),
            note: "timed".to_owned(),
        }
    }

    #[test]
    fn the_emergency_number_is_set_and_everything_else_stays() {
        let new = emergency_number("", "112").unwrap();
        assert_eq!(new, "format = 1\n\n[shop]\nemergency_number = \"112\"\n");
        let old = "# mine\nformat = 1\n[shop] # all of it\nemergency_number = \"112\" # ask\n";
        let new = emergency_number(old, "999").unwrap();
        assert_eq!(new, old.replace("112", "999"));
        let broken = emergency_number("shop = 3\n", "112");
        assert_eq!(broken, Err(CannotAmend::NoTable("shop")));
    }

    #[test]
    fn a_value_changes_and_everything_else_stays() {
        let changes = [
            change("x", "acceleration", "182 mm/s2"),
            change("y", "acceleration", "99 mm/s2"),
            change("control", "stop", "0.03 s"),
        ];
        let new = machine(TEXT, "mine", &changes).unwrap();
        let expected = TEXT
            .replace(
                "{ value = \"150 mm/s2\", how = \"assumed\", note = \"guess\" }",
                "{ value = \"182 mm/s2\", how = \"measured\", note = \"timed\" }",
            )
            .replace(
                "value = \"90 mm/s2\" # slow\nhow = \"assumed\"\n",
                "value = \"99 mm/s2\" # slow\nhow = \"measured\"\nnote = \"timed\"\n",
            );
        let expected = format!(
            "{expected}stop = {{ value = \"0.03 s\", how = \"measured\", note = \"timed\" }}\n"
        );
        assert_eq!(new, expected);
    }

    #[test]
    fn what_is_not_there_is_said_and_nothing_is_made_up() {
        let one = |table| [change(table, "acceleration", "182 mm/s2")];
        assert_eq!(
            machine(TEXT, "yours", &one("x")),
            Err(CannotAmend::NoMachine)
        );
        assert_eq!(
            machine(TEXT, "mine", &one("z")),
            Err(CannotAmend::NoTable("z"))
        );
        assert!(matches!(
            machine("[[machine", "mine", &one("x")),
            Err(CannotAmend::Unreadable(_))
        ));
        assert_eq!(machine("", "mine", &one("x")), Err(CannotAmend::NoMachine));
    }
}
