//! Small files that lie beside a record, hidden by a dot.

use std::path::Path;
use std::path::PathBuf;

use crate::edge::save;

/// The hidden file beside a record, by its ending; beside the file itself when the record is
/// reached through a symbolic link, so that both ways lead to the same one.
pub(in crate::edge) fn file(record: &Path, ending: &str) -> PathBuf {
    let record = save::resolved(record).unwrap_or_else(|_| record.to_owned());
    let name = record
        .file_name()
        .map_or_else(|| "session".into(), |name| name.to_string_lossy());
    record.with_file_name(format!(".{name}.{ending}"))
}
