//! A record in a folder of sessions, as if the work on it had stopped a moment ago.

// Each test file uses a part of it.
#![allow(dead_code)]

use std::fs;
use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use chrono::Local;
use chrono::SecondsFormat;
use chrono::TimeDelta;
use millside::record::write;
use millside::session::state::State;

/// How long ago the program that wrote the record was last alive, in seconds.
const AGO_S: i64 = 8;

/// The text of a record with every time in it moved, so that it was last seen just now.
fn moved_to_now(text: &str, last_seen: DateTime<chrono::FixedOffset>) -> String {
    let by = Local::now().fixed_offset() - last_seen - TimeDelta::seconds(AGO_S);
    let is_time = |c: char| c.is_ascii_digit() || "-:.+TZ".contains(c);
    let mut out = String::new();
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let end = rest[start..]
            .find(|c: char| !is_time(c))
            .map_or(rest.len(), |length| start + length);
        out.push_str(&rest[..start]);
        match DateTime::parse_from_rfc3339(&rest[start..end]) {
            Ok(time) => {
                let local = (time + by).with_timezone(&Local);
                out.push_str(&local.to_rfc3339_opts(SecondsFormat::Millis, false));
            }
            Err(_) => out.push_str(&rest[start..end]),
        }
        rest = &rest[end..];
    }
    out.push_str(rest);
    out
}

/// Writes the record of a state into the folder of sessions below `home`.
pub fn put(home: &Path, state: &State) -> PathBuf {
    let folder = home.join("millside/sessions");
    fs::create_dir_all(&folder).expect("a folder");
    let text = moved_to_now(&write::text(state), state.last_seen.wall);
    let path = folder.join(format!("{}.toml", state.head.session_id));
    fs::write(&path, text).expect("a record");
    path
}
