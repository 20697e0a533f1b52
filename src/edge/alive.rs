//! A sign of life beside a record while a clock runs, so that a session that was cut off knows
//! until when it was watched.

use std::fs;
use std::io;
use std::io::Read;
use std::io::Write;
use std::path::Path;

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::SecondsFormat;

use crate::edge::beside;
use crate::edge::open;
use crate::edge::open::For;
use crate::edge::save::Watch;

/// The step of giving it, for [`Watch`].
pub const STEP: &str = "sign of life";

/// How often the sign is to be given while a clock runs, in seconds.
pub const EVERY_S: u64 = 10;

/// A time and its zone take some 30 bytes; nothing behind them is read.
const LONGEST: u64 = 64;

/// Writes that the session is alive at this time. Not synced to the disk: after a power cut an
/// older time, or none, is read, and the time until the record was last saved counts.
///
/// # Errors
///
/// As the system gives them; a session goes on without.
pub fn touch(record: &Path, wall: DateTime<FixedOffset>, watch: &mut dyn Watch) -> io::Result<()> {
    watch.before(STEP)?;
    // Always the same length and written in place: a reader never meets half of it.
    let text = wall.to_rfc3339_opts(SecondsFormat::Millis, false);
    open::ours(&beside::file(record, "alive"), For::Writing)?.write_all(text.as_bytes())
}

/// When the session was last seen alive, if it was cut off with a clock running.
pub fn read(record: &Path) -> Option<DateTime<FixedOffset>> {
    let mut text = String::new();
    open::ours(&beside::file(record, "alive"), For::Reading)
        .ok()?
        .take(LONGEST)
        .read_to_string(&mut text)
        .ok()?;
    DateTime::parse_from_rfc3339(text.trim()).ok()
}

/// Takes the sign away: the clock is off, or the session was closed in good order.
///
/// # Errors
///
/// As the system gives them; none when there was no sign.
pub fn clear(record: &Path) -> io::Result<()> {
    match fs::remove_file(beside::file(record, "alive")) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}
