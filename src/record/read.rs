//! From the text of a record to its state.

use toml::de::DeTable;

use crate::job::caution::Cautions;
use crate::record::eye::Eye;
use crate::record::fault::RecordError;
use crate::record::schema;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Longest record that is read, in bytes: a session of a day has some hundred thousand.
pub const LONGEST: usize = 16 * 1024 * 1024;

/// Why a longer one is not written, and what to do.
pub const FULL: &str = "the record is full at 16 MiB; wrap up, then begin the next session";

/// The state of a record, as it stood when it was last saved, with the clocks of this run.
///
/// `last_seen` keeps the wall time of the record; a clock that ran goes on from `at` until
/// [`Reopened`](crate::session::event::Event::Reopened) says what the time between was.
///
/// # Errors
///
/// The first thing that is wrong, with its line and key: no TOML, an unknown, missing or
/// repeated key, another type or unit, a number that is not finite, out of range or negative
/// where it must not be, control or invisible characters, another format.
pub fn state(text: &str, cautions: Cautions, at: Moment) -> Result<State, RecordError> {
    if text.len() > LONGEST {
        return Err(RecordError::whole(
            format!("has {} bytes", text.len()),
            "A record has at most 16 MiB.",
        ));
    }
    let table = DeTable::parse(text).map_err(|error| {
        RecordError::no_toml(
            text,
            &error,
            "Mend this line, or take an older copy of the file.",
        )
    })?;
    let mut eye = Eye::new(text, table.get_ref());
    let saved = schema::saved(&mut eye, None)?;
    eye.finish()?;
    Ok(saved.into_state(cautions, at))
}

/// The same from the bytes of a file.
///
/// # Errors
///
/// As [`state`], and when the bytes are not UTF-8 text.
pub fn bytes(raw: &[u8], cautions: Cautions, at: Moment) -> Result<State, RecordError> {
    match std::str::from_utf8(raw) {
        Ok(text) => state(text, cautions, at),
        Err(error) => {
            let before = &raw[..error.valid_up_to()];
            let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
            Err(RecordError {
                line,
                ..RecordError::whole("bytes that are not UTF-8", "A record is UTF-8 text.")
            })
        }
    }
}
