//! `millside new`: a program or a template becomes a record that can be opened.

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

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles/demo/star-tracker-plate.nc")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain name")
}

/// Runs the program with a data folder of its own, so that nobody's profiles interfere.
fn millside(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .env("HOME", home)
        .env("XDG_DATA_HOME", home.join("data"))
        .current_dir(home)
        .args(arguments)
        .output()
        .expect("the program runs")
}

fn only_record(folder: &Path) -> PathBuf {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the folder was made")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    assert_eq!(files.len(), 1, "{files:?}");
    files.remove(0)
}

fn state(path: &Path) -> State {
    let raw = fs::read(path).expect("the record is there");
    let at = Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    };
    match read::bytes(&raw, Cautions::default(), at) {
        Ok(state) => {
            assert_eq!(write::text(&state).as_bytes(), raw, "written to the letter");
            state
        }
        Err(error) => panic!("{error}"),
    }
}

#[test]
fn a_program_becomes_one_operation_for_each_of_its_sections() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("jobs");
    let output = millside(
        home.path(),
        &[
            "new",
            "--sessions",
            text(&folder),
            "--program",
            text(&demo()),
            "--machine",
            "light-belt-mill",
            "--material",
            "al-6082-t6",
            "--tool",
            "2=em-6-1f",
            "--title",
            "Star-tracker base plate",
        ],
    );
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(matches!(output.status.code(), Some(0 | 1)), "{error}");
    let path = only_record(&folder);
    let shown = String::from_utf8(output.stdout).unwrap();
    assert_eq!(
        shown.lines().next(),
        Some(text(&path)),
        "the first line is the record"
    );

    let state = state(&path);
    assert_eq!(state.head.title, "Star-tracker base plate");
    assert_eq!(state.machine.name, "light-belt-mill");
    assert_eq!(state.material.name, "al-6082-t6");
    let setup = &state.setups[0];
    // The program has five M6: T1, T2, T3, T4 and T2 again.
    let numbers: Vec<Option<u32>> = setup
        .operations
        .iter()
        .map(|operation| operation.part.as_ref().and_then(|part| part.tool_number))
        .collect();
    assert_eq!(numbers, [Some(1), Some(2), Some(3), Some(4), Some(2)]);
    let planned: Vec<Option<usize>> = setup.operations.iter().map(|o| o.tool).collect();
    assert_eq!(planned, [None, Some(0), None, None, Some(0)]);
    let program = setup.program.as_ref().unwrap();
    assert_eq!(program.file, text(&demo()));
    assert_eq!(program.bytes, fs::metadata(demo()).unwrap().len());
    // A stop finding is something to look at first.
    let wanted = i32::from(!program.stops.is_empty());
    assert_eq!(output.status.code(), Some(wanted), "{:?}", program.stops);
}

#[test]
fn a_job_made_without_a_folder_lies_in_the_data_folder_and_names_what_it_assumed() {
    let home = tempfile::tempdir().unwrap();
    fs::copy(demo(), home.path().join("plate.nc")).unwrap();
    let output = millside(home.path(), &["new", "--program", "plate.nc", "--json"]);
    let object: Value = serde_json::from_slice(&output.stdout).unwrap();
    let path = only_record(&home.path().join("data/millside/sessions"));
    assert_eq!(object["format"], 1);
    assert_eq!(object["file"], text(&path));
    assert_eq!(object["title"], "plate");
    assert_eq!(
        object["setups"][0]["operations"].as_array().unwrap().len(),
        5
    );
    assert_eq!(object["setups"][0]["operations"][1]["tool_number"], 2);
    assert_eq!(
        object["assumed"].as_array().unwrap().len(),
        2,
        "machine and material"
    );
    let file = state(&path).setups[0]
        .program
        .as_ref()
        .unwrap()
        .file
        .clone();
    let found =
        fs::canonicalize(file).expect("the record keeps a path that is found from anywhere");
    assert_eq!(
        found,
        fs::canonicalize(home.path().join("plate.nc")).unwrap()
    );
}

#[test]
fn a_template_becomes_setups_and_a_job_by_hand_is_empty() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("jobs");
    let made = |arguments: &[&str]| {
        let mut all = vec!["new", "--sessions", text(&folder)];
        all.extend(arguments);
        let output = millside(home.path(), &all);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        let path = only_record(&folder);
        let state = state(&path);
        fs::remove_file(path).unwrap();
        state
    };
    let planned = made(&[
        "--template",
        "plate-with-clamp-swap",
        "--tool",
        "9=drill-3.3",
    ]);
    assert!(
        planned
            .setups
            .iter()
            .all(|setup| !setup.operations.is_empty())
    );
    assert_eq!(planned.rack[0].number, Some(9));
    for operation in planned.setups.iter().flat_map(|setup| &setup.operations) {
        assert_ne!(
            operation.tool,
            Some(0),
            "the named tool belongs to no step of the template"
        );
    }
    let by_hand = made(&["--title", "bracket"]);
    assert_eq!(by_hand.head.title, "bracket");
    assert_eq!(
        (by_hand.setups.len(), by_hand.setups[0].operations.len()),
        (1, 0)
    );
}

#[test]
fn what_cannot_be_made_ends_with_two_says_why_and_leaves_no_record() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("jobs");
    let program = demo();
    let program = text(&program);
    let long = "x".repeat(81);
    for (arguments, says) in [
        (vec!["--program", "no-such-file.nc"], "no-such-file.nc"),
        (vec!["--program", "."], "."),
        (
            vec!["--program", program, "--machine", "light-belt-mil"],
            "light-belt-mill",
        ),
        (
            vec!["--program", program, "--material", "unobtainium"],
            "unobtainium",
        ),
        (vec!["--program", program, "--tool", "2=em-6-1g"], "em-6-1"),
        (vec!["--program", program, "--tool", "em-6-1f"], "2=em-6-1f"),
        (
            vec!["--tool", "2=em-6-1f", "--tool", "2=em-6-2f"],
            "number 2",
        ),
        (vec!["--template", "no-such-template"], "no-such-template"),
        (vec!["--title", "a\u{1b}[2Jb"], "invisible"),
        (vec![], "nothing says what it is"),
        (vec!["--title", "  "], "empty"),
        (vec!["--title", &long], "81 characters"),
    ] {
        let mut all = vec!["new", "--sessions", text(&folder)];
        all.extend(&arguments);
        let output = millside(home.path(), &all);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let shown = String::from_utf8(output.stderr).unwrap();
        assert!(shown.contains(says), "{arguments:?}: {shown}");
        assert!(
            !shown.chars().any(|c| c != '\n' && plain::is_hidden(c)),
            "{shown:?}"
        );
        assert!(!folder.exists() || fs::read_dir(&folder).unwrap().next().is_none());
    }
    let file = home.path().join("a-file");
    fs::write(&file, "x").unwrap();
    let output = millside(home.path(), &["new", "--sessions", text(&file)]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), "x");
}

#[cfg(target_os = "linux")]
#[test]
fn a_session_that_is_made_is_said_to_be_made_where_the_answer_cannot_be_printed() {
    for more in [&[][..], &["--json"]] {
        let home = tempfile::tempdir().expect("a folder");
        let full = fs::File::create("/dev/full").expect("a device that is always full");
        let output = Command::new(env!("CARGO_BIN_EXE_millside"))
            .env("HOME", home.path())
            .env("XDG_DATA_HOME", home.path().join("data"))
            .args(["new", "--title", "base plate"])
            .args(more)
            .stdout(full)
            .output()
            .expect("the program runs");
        let error = String::from_utf8_lossy(&output.stderr);
        let record = only_record(&home.path().join("data/millside/sessions"));
        assert_eq!(state(&record).head.title, "base plate");
        let said = format!("the session is written ({})", record.display());
        assert!(error.contains(&said), "{error}");
        assert!(error.contains("could not print the answer"), "{error}");
        assert_eq!(output.status.code(), Some(1), "{error}");
    }
}
