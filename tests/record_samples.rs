//! The sample sessions: every file is read, and the command tells what differs between them.

use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;
use std::time::Duration;

use chrono::DateTime;
use serde_json::Value;

use millside::job::caution::Cautions;
use millside::plain;
use millside::record::read;
use millside::record::write;
use millside::session::moment::Moment;
use millside::session::state::State;

fn samples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions");
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the folder of samples is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    files.sort();
    files
}

fn state(text: &str) -> State {
    let at = Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    };
    match read::state(text, Cautions::default(), at) {
        Ok(state) => state,
        Err(error) => panic!("{error}"),
    }
}

fn diff(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .arg("diff")
        .args(arguments)
        .output()
        .expect("the program runs")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain name")
}

#[test]
fn every_sample_is_read_and_written_back_to_the_letter() {
    let samples = samples();
    assert!(samples.len() >= 2, "two sessions of the demo job at least");
    for path in samples {
        let text = fs::read_to_string(&path).unwrap();
        let state = state(&text);
        assert_eq!(write::text(&state), text, "{}", path.display());
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        assert_eq!(state.head.session_id, name);
        assert_eq!(state.head.job_id, "star-tracker-base-plate-41c7");
    }
}

#[test]
fn the_samples_differ_in_recipe_tool_time_reading_stop_and_notes() {
    let samples = samples();
    let output = diff(&[text(&samples[0]), text(&samples[1]), "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let object: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (&object["format"], &object["same"]),
        (&1.into(), &false.into())
    );
    let groups: Vec<&str> = object["groups"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|group| group["group"].as_str())
        .collect();
    // In the order of the work.
    assert_eq!(
        groups,
        [
            "tools",
            "setup 1",
            "recipes",
            "time",
            "tool changes",
            "readings",
            "outcomes",
            "stops",
            "return tests",
            "doubts",
            "answers",
            "notes",
            "wrap up"
        ]
    );
    let row = |group: &str, place: &str, what: &str| {
        object["groups"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|one| one["group"] == group)
            .flat_map(|one| one["rows"].as_array().unwrap().clone())
            .find(|row| row["place"] == place && row["what"] == what)
            .unwrap_or_else(|| panic!("{group}, {place}, {what}"))
    };
    // 14:57 and 14:13 of cutting: 44 s of 897 s less.
    let time = row("time", "Pocket the bearing seat", "cutting");
    assert_eq!(time["change_s"], -44.0);
    let percent = time["change_percent"].as_f64().unwrap();
    assert!((percent + 100.0 * 44.0 / 897.0).abs() < 1e-9, "{percent}");
    // 32.04 mm where at most 32.025 mm is allowed: 0.015 mm over.
    let verdict = row("readings", "bearing seat", "verdict");
    assert_eq!(
        (&verdict["a"], &verdict["b"]),
        (&"0.015 mm too much cut".into(), &"within".into())
    );
    let feed = row("recipes", "Pocket the bearing seat", "vf");
    assert_eq!(feed["change_mm_per_min"], 45.0);
    let before = row(
        "tool changes",
        "Pocket the bearing seat, change 1",
        "recipe before",
    );
    let after = row(
        "tool changes",
        "Pocket the bearing seat, change 1",
        "recipe after",
    );
    assert!(
        before["a"].as_str().unwrap().contains("ap 0.8 mm"),
        "{before}"
    );
    assert!(
        after["a"].as_str().unwrap().contains("ap 0.5 mm"),
        "{after}"
    );
    assert!(before["b"].is_null(), "the second session changed no tool");
}

#[test]
fn every_line_of_the_comparison_fits_eighty_columns() {
    let samples = samples();
    let output = diff(&[text(&samples[0]), text(&samples[1])]);
    let shown = String::from_utf8(output.stdout).unwrap();
    // The first lines name the files as they were given.
    for line in shown.lines().skip(4) {
        assert!(plain::width(line) <= 80, "{line}");
    }
    assert!(shown.contains("\nREADINGS\n  bearing seat\n"), "{shown}");
}

#[test]
fn a_session_and_its_copy_are_the_same() {
    let samples = samples();
    let output = diff(&[text(&samples[0]), text(&samples[0])]);
    assert_eq!(output.status.code(), Some(0));
    let shown = String::from_utf8(output.stdout).unwrap();
    assert!(
        shown.ends_with("nothing differs but names and times of day.\n"),
        "{shown}"
    );
    let output = diff(&[text(&samples[0]), text(&samples[0]), "--json"]);
    let object: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(object["same"], true);
    assert_eq!(object["groups"], Value::Array(vec![]));
}

#[test]
fn a_file_that_is_no_session_ends_with_two_and_says_where() {
    let samples = samples();
    let dir = tempfile::tempdir().unwrap();
    let bad = dir.path().join("bad.toml");
    let good = fs::read_to_string(&samples[0]).unwrap();
    fs::write(
        &bad,
        good.replacen("x = \"120 mm\"", "x = \"120 m\u{202e}\"", 1),
    )
    .unwrap();
    for arguments in [
        [text(&samples[0]), text(&bad)],
        [text(&bad), text(&samples[0])],
    ] {
        let output = diff(&arguments);
        assert_eq!(output.status.code(), Some(2));
        assert!(output.stdout.is_empty());
        let shown = String::from_utf8(output.stderr).unwrap();
        assert!(
            shown.contains("bad.toml") && shown.contains("setup[1].stock.x"),
            "{shown}"
        );
        let raw = shown.chars().any(|c| c != '\n' && plain::is_hidden(c));
        assert!(!raw, "{shown:?}");
    }
    let output = diff(&[text(&samples[0]), "no-such-file.toml"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn nothing_hidden_reaches_the_terminal_or_the_json() {
    let samples = samples();
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("hostile.toml");
    let mut hostile = state(&fs::read_to_string(&samples[0]).unwrap());
    hostile.head.title = "plate \u{1b}[2J\u{202e}".to_owned();
    hostile.notes[0].text = "one\ntwo \u{7}\u{200b}".to_owned();
    fs::write(&path, write::text(&hostile)).unwrap();
    for more in [&[][..], &["--json"][..]] {
        let mut arguments = vec![text(&samples[0]), text(&path)];
        arguments.extend(more);
        let output = diff(&arguments);
        assert_eq!(output.status.code(), Some(1));
        let shown = String::from_utf8(output.stdout).unwrap();
        let raw = shown.chars().any(|c| c != '\n' && plain::is_hidden(c));
        assert!(!raw, "{shown:?}");
        assert!(shown.contains("u{1b}[2J"), "{shown}");
    }
}
