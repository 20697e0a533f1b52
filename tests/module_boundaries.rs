//! Data flows one way: each module may name only those above it.

use std::fs;
use std::path::Path;
use std::path::PathBuf;

/// Effects and screens that the core must not know.
const PURE: &[&str] = &[
    "ratatui",
    "crossterm",
    "std::fs",
    "std::env",
    "std::thread",
    "std::process",
    "Instant::now",
    "SystemTime::now",
    "Utc::now",
    "Local::now",
    "println!",
    "eprintln!",
    "include_str!",
];

/// Modules in dependency order; a module may use those of an earlier rank, and itself.
const RANKS: &[&[&str]] = &[
    &["plain", "problem", "quantity", "source"],
    &["cutting", "job", "measure", "program", "table"],
    &["calculator", "check", "profile", "session"],
    &["record"],
    &["app"],
    &["cli", "ui"],
    &["edge"],
];

/// Pairs of one rank that may be used, (user, used), each with its reason.
const SIDEWAYS: &[(&str, &str, &str)] = &[
    (
        "quantity",
        "source",
        "a converted value keeps where it came from",
    ),
    (
        "quantity",
        "table",
        "a length may be typed as a drill's name; the table holds bare numbers and uses nothing",
    ),
    ("calculator", "profile", "a recipe names profiles"),
    (
        "check",
        "session",
        "the program is checked against the setup",
    ),
    (
        "cutting",
        "table",
        "thread and drill sizes are standard tables",
    ),
    ("job", "table", "a tool may be named by its drill number"),
    (
        "measure",
        "job",
        "readings and zero points are plain data of the job",
    ),
    ("measure", "table", "tolerances are standard tables"),
    (
        "profile",
        "session",
        "a fact of the shop names what withdraws it, and the step where it stands",
    ),
];

/// Modules that may not even read embedded files or know effects.
const PURE_MODULES: &[&str] = &[
    "plain",
    "problem",
    "quantity",
    "source",
    "cutting",
    "job",
    "measure",
    "program",
    "table",
    "calculator",
    "check",
    "session",
    "record",
    "app",
];

/// Grouped and climbing paths would hide a name from the word search.
const EVERYWHERE: &[&str] = &["crate::{", "std::{", "super::super"];

fn rust_files(root: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(root).expect("src is readable") {
        let path = entry.expect("entry is readable").path();
        if path.is_dir() {
            rust_files(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

fn sources() -> Vec<(String, String, String)> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = vec![];
    rust_files(&src, &mut files);
    files.sort();
    files
        .into_iter()
        .map(|path| {
            let inside = path.strip_prefix(&src).expect("inside src").to_owned();
            let first = inside
                .iter()
                .next()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            let module = first.trim_end_matches(".rs").to_owned();
            let text = fs::read_to_string(&path).expect("source is text");
            (module, inside.to_string_lossy().into_owned(), text)
        })
        .collect()
}

fn code_lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(i, line)| (i + 1, line))
        .filter(|(_, line)| !line.trim_start().starts_with("//"))
}

fn rank(module: &str) -> Option<usize> {
    RANKS.iter().position(|row| row.contains(&module))
}

#[test]
fn every_module_has_a_rank() {
    for (module, file, _) in sources() {
        assert!(
            module == "lib" || module == "main" || rank(&module).is_some(),
            "{file}: give {module} a rank in tests/module_boundaries.rs"
        );
    }
}

#[test]
fn a_module_uses_only_what_stands_above_it() {
    let mut broken = vec![];
    for (module, file, text) in sources() {
        let Some(own) = rank(&module) else { continue };
        for (line, code) in code_lines(&text) {
            for (other_rank, row) in RANKS.iter().enumerate() {
                for other in *row {
                    let named = code.match_indices("crate::").any(|(at, _)| {
                        code[at + 7..].strip_prefix(other).is_some_and(|rest| {
                            !rest.starts_with(|c: char| c.is_alphanumeric() || c == '_')
                        })
                    });
                    let allowed = other == &module
                        || other_rank < own
                        || SIDEWAYS
                            .iter()
                            .any(|(user, used, _)| *user == module && used == other);
                    if named && !allowed {
                        broken.push(format!("src/{file}:{line}: {module} must not use {other}"));
                    }
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn the_core_knows_no_screen_no_clock_and_no_disk() {
    let mut broken = vec![];
    for (module, file, text) in sources() {
        if !PURE_MODULES.contains(&module.as_str()) {
            continue;
        }
        for (line, code) in code_lines(&text) {
            for word in PURE {
                if code.contains(word) {
                    broken.push(format!("src/{file}:{line}: {module} must not name {word}"));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

/// What opens a file: a pipe or a device would wait or never end, a link lead elsewhere. `edge/open.rs` sees to it.
const OPENS: &[&str] = &[
    "File::open",
    "File::create",
    "File::options",
    "OpenOptions",
    "fs::read(",
    "fs::read_to_string",
    "fs::write",
    "fs::copy",
];

#[test]
fn files_are_opened_in_one_place() {
    let mut broken = vec![];
    let mut opens = 0;
    for (_, file, text) in sources() {
        for (line, code) in code_lines(&text) {
            for word in OPENS {
                if code.contains(word) && file == "edge/open.rs" {
                    opens += 1;
                } else if code.contains(word) {
                    broken.push(format!(
                        "src/{file}:{line}: open it through crate::edge::open, not by {word}"
                    ));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    assert!(opens > 0, "edge/open.rs opens none: where is it done?");
}

#[test]
fn the_screen_only_draws() {
    let mut broken = vec![];
    for (module, file, text) in sources() {
        if module != "ui" {
            continue;
        }
        for (line, code) in code_lines(&text) {
            for word in [
                "&mut Model",
                "std::fs",
                "std::env",
                "Instant::now",
                "Local::now",
            ] {
                if code.contains(word) {
                    broken.push(format!("src/{file}:{line}: ui must not name {word}"));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn no_path_is_grouped_or_climbs() {
    let mut broken = vec![];
    for (_, file, text) in sources() {
        for (line, code) in code_lines(&text) {
            for word in EVERYWHERE {
                if code.contains(word) {
                    broken.push(format!(
                        "src/{file}:{line}: write one item a use line, not {word}"
                    ));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn serde_stays_in_record_profile_and_the_command_line() {
    let mut broken = vec![];
    for (module, file, text) in sources() {
        if ["record", "profile", "cli", "edge"].contains(&module.as_str()) {
            continue;
        }
        for (line, code) in code_lines(&text) {
            if code.contains("serde") {
                broken.push(format!(
                    "src/{file}:{line}: a saved name must not depend on {module}"
                ));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn no_file_is_longer_than_a_reader_can_hold() {
    let mut long = vec![];
    for (_, file, text) in sources() {
        let lines = text.lines().count();
        if lines > 800 {
            long.push(format!("src/{file}: {lines} lines; find the seam"));
        }
    }
    assert!(long.is_empty(), "{}", long.join("\n"));
}

/// Where facts and answers may be begun as a whole: a record that is read, and a new session.
const BEGIN_KEPT: &[&str] = &["record/schema/mod.rs", "app/new_job.rs"];

#[test]
fn the_matrix_alone_takes_away_what_was_answered() {
    // Reading is free; the type has no way to change it outside its module, so that only a new one could be put in its place.
    let changes = [
        "Kept::of",
        ".facts =",
        ".shop =",
        ".answers =",
        "mem::take(&mut state.facts",
        "mem::swap",
        ".stands = ",
        ".fell = ",
    ];
    let mut broken = vec![];
    for (_, file, text) in sources() {
        let may = file.starts_with("session/matrix") || BEGIN_KEPT.contains(&file.as_str());
        for (line, code) in code_lines(&text).filter(|_| !may) {
            for change in changes.iter().filter(|change| code.contains(**change)) {
                let is_test = *change == ".facts =" && code.contains("self.facts = ");
                if !is_test && !code.contains("==") {
                    broken.push(format!("src/{file}:{line}: {change} belongs to the matrix"));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}
