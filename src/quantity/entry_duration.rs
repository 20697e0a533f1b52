//! A duration as people write it.

use crate::quantity::Time;
use crate::quantity::entry::Entry;
use crate::quantity::entry::EntryError;
use crate::quantity::number::Fault;
use crate::quantity::number::leading;
use crate::quantity::number::tidy;
use crate::quantity::second;

const ALLOWED: &str = "h, min, s";
/// 1000 hours.
const BOUND_S: f64 = 3_600_000.0;

/// Names of the units with ours, from long to short.
const UNITS: &[(&[&str], &str, f64)] = &[
    (&["h", "hr", "hour", "hours"], "h", 3600.0),
    (&["min", "m", "minute", "minutes", ""], "min", 60.0),
    (&["s", "sec", "second", "seconds"], "s", 1.0),
];

fn fail(fault: Fault) -> EntryError {
    EntryError {
        fault,
        quantity: "duration",
        example: "5 min, 90 s, 1h 5m or 1:05:00",
    }
}

/// Reads a duration.
///
/// # Errors
///
/// Not a duration, a unit twice or out of order, more than 1000 h.
pub(crate) fn read(text: &str) -> Result<Entry<Time>, EntryError> {
    let text = tidy(text).map_err(fail)?;
    let (seconds, typed) = if text.contains(':') {
        clock(&text)?
    } else {
        units(&text)?
    };
    if seconds > BOUND_S {
        return Err(fail(Fault::TooLarge { bound: "1000 h" }));
    }
    Ok(Entry {
        value: second(seconds),
        typed,
    })
}

/// `m:ss` or `h:mm:ss`; all fields but the first below 60.
fn clock(text: &str) -> Result<(f64, String), EntryError> {
    let fields: Vec<&str> = text.split(':').collect();
    if !(2..=3).contains(&fields.len()) {
        return Err(fail(Fault::NotANumber));
    }
    let mut seconds = 0.0;
    for (at, field) in fields.iter().enumerate() {
        let is_digits = !field.is_empty() && field.bytes().all(|b| b.is_ascii_digit());
        if !is_digits || field.len() > 5 || (at > 0 && field.len() != 2) {
            return Err(fail(Fault::NotANumber));
        }
        let value: f64 = field.parse().map_err(|_| fail(Fault::NotANumber))?;
        if at > 0 && value >= 60.0 {
            return Err(fail(Fault::NotANumber));
        }
        seconds = seconds * 60.0 + value;
    }
    Ok((seconds, text.to_owned()))
}

/// One to three numbers with falling units.
fn units(text: &str) -> Result<(f64, String), EntryError> {
    let mut rest = text;
    let mut next = 0;
    let mut seconds = 0.0;
    let mut typed: Vec<String> = vec![];
    while !rest.is_empty() {
        // The number ends where its unit begins, so that "1h 5m" is not read as one.
        let end = rest
            .find(|c: char| c.is_alphabetic())
            .map_or(rest.len(), |at| {
                rest[at..]
                    .find(|c: char| !c.is_alphabetic())
                    .map_or(rest.len(), |tail| at + tail)
            });
        let (number, unit) = leading(&rest[..end]).map_err(fail)?;
        if number.value < 0.0 {
            return Err(fail(Fault::Negative));
        }
        let unknown = || {
            fail(Fault::UnknownUnit {
                unit: unit.chars().take(12).collect(),
                allowed: ALLOWED,
            })
        };
        let at = UNITS
            .iter()
            .position(|(names, _, _)| names.iter().any(|name| unit.eq_ignore_ascii_case(name)))
            .ok_or_else(unknown)?;
        if at < next || (unit.is_empty() && next > 0) {
            return Err(unknown());
        }
        let (_, symbol, factor) = UNITS[at];
        seconds += number.value * factor;
        typed.push(format!("{} {symbol}", number.text));
        next = at + 1;
        rest = rest[end..].trim_start();
    }
    Ok((seconds, typed.join(" ")))
}
