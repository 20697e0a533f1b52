//! One named value of a session, and how two of them differ.

use crate::quantity;
use crate::quantity::entry;
use crate::record::compare::Row;

/// By how much an amount changed, from the first session to the second.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The second less the first.
    pub amount: f64,
    /// Unit of the amount; empty for a bare number.
    pub unit: String,
    /// The amount in percent of the first; none when that is zero.
    pub percent: Option<f64>,
}

/// A named value.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::record) struct Fact {
    /// Where, such as the title of an operation.
    pub place: String,
    /// Name, the same in both sessions.
    pub what: String,
    /// Value as it is shown.
    pub text: String,
    /// Number and unit, when it is an amount.
    pub amount: Option<(f64, String)>,
}

impl Fact {
    /// Words.
    pub(in crate::record) fn words(what: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            place: String::new(),
            what: what.into(),
            text: text.into(),
            amount: None,
        }
    }

    /// Text that may be an amount with its unit, such as `1/4 in` or `300 mm/min`.
    pub(in crate::record) fn written(what: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        Self {
            place: String::new(),
            what: what.into(),
            amount: amount(&text),
            text,
        }
    }

    /// A bare number.
    pub(in crate::record) fn number(what: impl Into<String>, value: f64) -> Self {
        Self {
            place: String::new(),
            what: what.into(),
            text: value.to_string(),
            amount: Some((value, String::new())),
        }
    }

    /// A time in seconds; people read it in minutes and hours, so whole seconds count.
    pub(in crate::record) fn time(what: impl Into<String>, seconds: f64) -> Self {
        let whole = seconds.round();
        Self {
            place: String::new(),
            what: what.into(),
            text: quantity::show::duration(quantity::second(whole)),
            amount: Some((whole, "s".to_owned())),
        }
    }

    /// The same at this place.
    pub(in crate::record) fn at(self, place: &str) -> Self {
        let place = if self.place.is_empty() {
            place.to_owned()
        } else {
            format!("{place}, {}", self.place)
        };
        Self { place, ..self }
    }

    /// A row with this fact on one side only.
    fn alone(&self, is_first: bool) -> Row {
        let text = Some(self.text.clone());
        let (a, b) = if is_first { (text, None) } else { (None, text) };
        Row {
            place: self.place.clone(),
            what: self.what.clone(),
            a,
            b,
            change: None,
        }
    }
}

/// Number and unit of a text; every length in mm.
fn amount(text: &str) -> Option<(f64, String)> {
    // A drill may be named by a letter; so may many other things.
    if !text.starts_with(|c: char| c.is_ascii_digit() || "-+.#".contains(c)) {
        return None;
    }
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    match (number.parse::<f64>(), unit) {
        (Ok(value), unit) if !unit.is_empty() && !is_length(unit) => {
            let is_unit = unit.len() <= 8 && unit.split(' ').count() <= 2;
            return (value.is_finite() && is_unit).then(|| (value, unit.to_owned()));
        }
        (Ok(_), "") => return None,
        _ => {}
    }
    let length = entry::length(text).or_else(|_| entry::length_signed(text));
    let mm = quantity::to_mm(length.ok()?.value);
    Some((mm, "mm".to_owned()))
}

fn is_length(unit: &str) -> bool {
    ["mm", "cm", "um", "in", "thou"].contains(&unit)
}

/// The rows in which two lists of facts differ, in the order of the first, then what only the
/// second has. The n-th fact of a name meets the n-th of that name at the same place.
pub(in crate::record) fn rows(a: &[Fact], b: &[Fact]) -> Vec<Row> {
    let mut unmet: Vec<&Fact> = b.iter().collect();
    let mut rows = vec![];
    for left in a {
        let same = |right: &&Fact| right.place == left.place && right.what == left.what;
        match unmet.iter().position(same) {
            None => rows.push(left.alone(true)),
            Some(place) => rows.extend(row(left, unmet.remove(place))),
        }
    }
    rows.extend(unmet.into_iter().map(|right| right.alone(false)));
    rows
}

/// The rows of facts that only one of the two has, whatever their order.
pub(in crate::record) fn only(a: &[Fact], b: &[Fact]) -> Vec<Row> {
    let mut unmet: Vec<&Fact> = b.iter().collect();
    let mut rows = vec![];
    for left in a {
        match unmet.iter().position(|right| *right == left) {
            None => rows.push(left.alone(true)),
            Some(place) => {
                unmet.remove(place);
            }
        }
    }
    rows.extend(unmet.into_iter().map(|right| right.alone(false)));
    rows
}

fn row(left: &Fact, right: &Fact) -> Option<Row> {
    if left.text == right.text {
        return None;
    }
    let change = match (&left.amount, &right.amount) {
        (Some((from, unit)), Some((to, other))) if unit == other => {
            let amount = to - from;
            // Less than a hair is another way of writing the same.
            if amount.abs() <= 1e-9 * from.abs().max(to.abs()).max(1.0) {
                return None;
            }
            Some(Change {
                amount,
                unit: unit.clone(),
                percent: (*from != 0.0).then(|| 100.0 * amount / from.abs()),
            })
        }
        _ => None,
    };
    Some(Row {
        place: left.place.clone(),
        what: left.what.clone(),
        a: Some(left.text.clone()),
        b: Some(right.text.clone()),
        change,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_typed_in_another_unit_is_the_same_length() {
        let a = [Fact::written("x", "1/4 in"), Fact::written("y", "#7")];
        let b = [
            Fact::written("x", "6.35 mm"),
            Fact::written("y", "5.1054 mm"),
        ];
        assert_eq!(rows(&a, &b), []);
    }

    #[test]
    fn a_changed_amount_says_by_how_much_and_how_many_percent() {
        let a = [Fact::written("ap", "0.5 mm")];
        let b = [Fact::written("ap", "0.3 mm")];
        let change = rows(&a, &b)[0].change.clone().unwrap();
        assert!((change.amount + 0.2).abs() < 1e-12);
        assert!((change.percent.unwrap() + 40.0).abs() < 1e-9);
        assert_eq!(change.unit, "mm");
    }

    #[test]
    fn words_that_begin_with_a_digit_are_no_amount() {
        for words in [
            "6 mm end mill, 1 flute",
            "6082",
            "2 flutes and a half",
            "F",
            "b5bb9d80",
        ] {
            assert_eq!(amount(words), None, "{words}");
        }
        assert_eq!(amount("300 mm/min"), Some((300.0, "mm/min".to_owned())));
        assert_eq!(amount("23.6 um/(m K)"), Some((23.6, "um/(m K)".to_owned())));
    }

    #[test]
    fn from_nothing_there_is_no_percentage() {
        let row = row(&Fact::number("n", 0.0), &Fact::number("n", 2.0)).unwrap();
        assert_eq!(row.change.unwrap().percent, None);
    }
}
