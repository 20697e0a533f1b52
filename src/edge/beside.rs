//! Small files that lie beside a record, hidden by a dot.

use std::ffi::OsString;
use std::path::Path;
use std::path::PathBuf;

use crate::edge::save;

/// The hidden file beside a record, by its ending; beside the file itself when the record is
/// reached through a symbolic link, so that both ways lead to the same one.
pub(in crate::edge) fn file(record: &Path, ending: &str) -> PathBuf {
    let record = save::resolved(record).unwrap_or_else(|_| record.to_owned());
    // As the system has it: two names that are no UTF-8 must not share one file.
    let mut name = OsString::from(".");
    name.push(record.file_name().unwrap_or("session".as_ref()));
    name.push(".");
    name.push(ending);
    record.with_file_name(name)
}
