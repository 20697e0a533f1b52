//! `time --calibrate --write`: timed runs into the person's own profile of a machine.
//!
//! The runs are computed by hand from the trapezoid of speed, T = N·L/V + N·V/a + s·N + c (text-book
//! kinematics), with values of our own making, so that what must be found is known beforehand.

use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;

use serde_json::Value;
use tempfile::TempDir;

/// Acceleration, dead time and what the watch adds in the runs.
const A: f64 = 182.0;
const STOP: f64 = 0.04;
const WATCH: f64 = 0.3;

fn seconds(length: f64, moves: f64, mm_s: f64) -> f64 {
    moves * length / mm_s + moves * mm_s / A + STOP * moves + WATCH
}

/// Runs of an axis; rapids at `rapid` mm/min when it has one.
fn runs(axis: &str, rapid: Option<f64>) -> String {
    let mut text = String::new();
    for (length, moves, feed) in [
        (100.0, 10.0, 600.0),
        (100.0, 20.0, 600.0),
        (100.0, 10.0, 900.0),
        (100.0, 20.0, 900.0),
        (150.0, 16.0, 900.0),
        (120.0, 8.0, 300.0),
    ] {
        let time = seconds(length, moves, feed / 60.0);
        text.push_str(&format!("{axis},{length},{moves},{feed},{time}\n"));
    }
    for (length, moves) in [(100.0, 10.0), (120.0, 20.0), (140.0, 16.0), (80.0, 12.0)] {
        if let Some(feed) = rapid {
            let time = seconds(length, moves, feed / 60.0);
            text.push_str(&format!("{axis},{length},{moves},rapid,{time}\n"));
        }
    }
    text
}

struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new(table: &str) -> Self {
        let folder = TempDir::new().expect("a folder");
        fs::write(folder.path().join("runs.csv"), table).expect("the table is written");
        Self { folder }
    }

    fn own(&self) -> PathBuf {
        let below = "millside/profiles/machines/light-belt-mill.toml";
        self.folder.path().join(below)
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_millside"))
            .args(["time", "--calibrate"])
            .arg(self.folder.path().join("runs.csv"))
            .args(arguments)
            .env("XDG_DATA_HOME", self.folder.path())
            .output()
            .expect("the program runs")
    }

    fn write(&self) -> String {
        let output = self.run(&["--write", "light-belt-mill"]);
        let error = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{error}");
        String::from_utf8(output.stdout).expect("text")
    }
}

fn shipped() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles/machines/light-belt-mill.toml");
    fs::read_to_string(path).expect("the shipped profile")
}

fn machine(text: &str) -> toml::Table {
    let all: toml::Table = text.parse().expect("TOML");
    let machines = all["machine"].as_array().expect("machines");
    machines[0].as_table().expect("a machine").clone()
}

fn value<'a>(machine: &'a toml::Table, table: &str, key: &str) -> &'a str {
    machine[table][key]["value"].as_str().expect("a value")
}

#[test]
fn nothing_is_written_without_being_asked() {
    let desk = Desk::new(&runs("X", None));
    let output = desk.run(&[]);
    assert!(output.status.success());
    assert!(String::from_utf8_lossy(&output.stdout).contains("Nothing is written"));
    assert!(!desk.folder.path().join("millside").exists());
}

#[test]
fn a_shipped_machine_becomes_an_own_copy_with_the_timed_values() {
    let desk = Desk::new(&(runs("X", Some(1800.0)) + &runs("Z+", None)));
    let said = desk.write();
    let text = fs::read_to_string(desk.own()).expect("the copy is there");
    let new = machine(&text);
    assert_eq!(value(&new, "x", "acceleration"), "182 mm/s2");
    assert_eq!(value(&new, "z", "acceleration"), "182 mm/s2");
    assert_eq!(value(&new, "x", "rapid"), "1800 mm/min");
    assert_eq!(value(&new, "control", "stop"), "0.040 s");
    assert_eq!(new["x"]["acceleration"]["how"].as_str(), Some("measured"));
    // Old and new are told, and that it is a copy.
    for word in [
        "was 150 mm/s2 (assumed), is 182 mm/s2",
        "was 2000 mm/min (assumed), is 1800",
        "copy of the shipped",
    ] {
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(word), "{word}: {said}");
    }
    // What was not timed is as it was, and so is the order of the whole text.
    let mut expected = machine(&shipped());
    for (table, key) in [
        ("x", "acceleration"),
        ("x", "rapid"),
        ("z", "acceleration"),
        ("control", "stop"),
    ] {
        let of_new = new[table][key].clone();
        let table = expected[table].as_table_mut().expect("a table");
        table.insert(key.to_owned(), of_new);
    }
    assert_eq!(new, expected);
    assert!(text.contains("# A screw of less than half efficiency holds its axis by itself."));
}

#[test]
fn an_own_profile_keeps_its_comments_and_every_other_line() {
    let desk = Desk::new(&runs("Y", None));
    let mine = shipped()
        .replace("format = 1", "# bought second hand\nformat = 1")
        .replace(
            "[machine.y]",
            "[machine.y] # across\n# the nut was replaced",
        );
    fs::create_dir_all(desk.own().parent().expect("a folder")).expect("the folder");
    fs::write(desk.own(), &mine).expect("the own profile");
    desk.write();
    let text = fs::read_to_string(desk.own()).expect("the profile");
    let changed: Vec<(&str, &str)> = mine
        .lines()
        .zip(text.lines())
        .filter(|(old, new)| old != new)
        .collect();
    // The acceleration of Y, and one new line for the dead time shifts what follows it.
    assert!(
        changed[0]
            .0
            .starts_with("acceleration = { value = \"150 mm/s2\"")
    );
    assert!(
        changed[0]
            .1
            .starts_with("acceleration = { value = \"182 mm/s2\"")
    );
    assert_eq!(text.lines().count(), mine.lines().count() + 1);
    let kept = mine.lines().filter(|line| text.contains(line)).count();
    assert_eq!(kept, mine.lines().count(), "X and Z have the line of Y too");
}

#[test]
fn a_top_feed_above_the_timed_rapid_comes_down_to_it_and_a_lower_one_stays() {
    let desk = Desk::new(&runs("X", Some(930.0)));
    desk.write();
    let text = fs::read_to_string(desk.own()).expect("the copy is there");
    assert_eq!(value(&machine(&text), "x", "top_feed"), "930 mm/min");
    let desk = Desk::new(&runs("X", Some(1800.0)));
    desk.write();
    let text = fs::read_to_string(desk.own()).expect("the copy is there");
    assert_eq!(value(&machine(&text), "x", "top_feed"), "1000 mm/min");
}

#[test]
fn what_was_written_is_read_by_the_time_of_a_program() {
    let desk = Desk::new(&runs("X", None));
    desk.write();
    let program = desk.folder.path().join("a.nc");
    // Four moves of 60 mm from rest to rest at 600 mm/min, each with a rapid before it.
    let text = "G21 G90 M3 S2000\nG0 X0 Y0 Z5\nG1 X60 F600\nG0 Y10\nG1 X0\nM5\nM30\n";
    fs::write(&program, text).expect("the program");
    let seconds = |home: &Path| -> f64 {
        let output = Command::new(env!("CARGO_BIN_EXE_millside"))
            .args(["time", "--machine", "light-belt-mill", "--json"])
            .args(["--start", "0,0,5"])
            .arg(&program)
            .env("XDG_DATA_HOME", home)
            .output()
            .expect("the program runs");
        let object: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        object["time_s"]["estimated"].as_f64().expect("a number")
    };
    let empty = TempDir::new().expect("a folder");
    let (shipped, own) = (seconds(empty.path()), seconds(desk.folder.path()));
    // Two cuts at V = 10 mm/s: V/a changes from 10/150 to 10/182 s each; three stops of 0.04 s come on top.
    let expected = 3.0 * STOP + 2.0 * (10.0 / A - 10.0 / 150.0);
    assert!((own - shipped - expected).abs() < 1e-3, "{own} {shipped}");
}

#[test]
fn a_name_that_is_none_and_runs_that_tell_nothing_write_nothing() {
    let desk = Desk::new("X,100,10,600,101\n");
    let output = desk.run(&["--write", "light-belt-mill"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("at least four runs"));
    let output = desk.run(&["--write", "no-such-mill"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(!desk.folder.path().join("millside").exists());
}

#[test]
fn json_names_file_and_values() {
    let desk = Desk::new(&runs("X", None));
    let output = desk.run(&["--write", "light-belt-mill", "--json"]);
    let object: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let values = object["written"]["values"].as_array().expect("values");
    let keys: Vec<&str> = values.iter().filter_map(|v| v["key"].as_str()).collect();
    assert_eq!(keys, ["x.acceleration", "control.stop"]);
    assert_eq!(values[1]["old"], Value::Null);
    let file = object["written"]["file"].as_str().expect("a file");
    assert_eq!(file, desk.own().display().to_string());
}

#[test]
fn each_shipped_machine_is_alone_in_a_file_of_its_name() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles/machines");
    let mut count = 0;
    for entry in fs::read_dir(folder).expect("the folder") {
        let path = entry.expect("an entry").path();
        let text = fs::read_to_string(&path).expect("a profile");
        let all: toml::Table = text.parse().expect("TOML");
        let machines = all["machine"].as_array().expect("machines");
        assert_eq!(machines.len(), 1, "{}", path.display());
        let stem = path.file_stem().and_then(|stem| stem.to_str());
        assert_eq!(machines[0]["name"].as_str(), stem);
        count += 1;
    }
    assert!(count >= 3);
}

#[cfg(unix)]
#[test]
fn a_profile_that_is_write_protected_stays_as_it_is() {
    use std::os::unix::fs::PermissionsExt;

    let desk = Desk::new(&runs("X", None));
    fs::create_dir_all(desk.own().parent().expect("a folder")).expect("the folder");
    fs::write(desk.own(), shipped()).expect("the own profile");
    fs::set_permissions(desk.own(), PermissionsExt::from_mode(0o444)).expect("the mode");
    let output = desk.run(&["--write", "light-belt-mill"]);
    assert!(!output.status.success());
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(error.contains("write-protected"), "{error}");
    assert_eq!(fs::read_to_string(desk.own()).expect("text"), shipped());
}

#[test]
fn the_words_for_runs_of_one_count_end_with_one_full_stop() {
    let desk = Desk::new("X,100,10,600,101\nX,100,10,900,68\nX,100,10,300,201\nX,120,10,600,121\n");
    let output = desk.run(&["--write", "light-belt-mill"]);
    assert_eq!(output.status.code(), Some(2));
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(error.contains("different numbers of moves. "), "{error}");
    assert!(!error.contains(".."), "{error}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_profile_that_is_written_is_said_to_be_written_where_the_answer_cannot_be_printed() {
    let desk = Desk::new(&runs("X", None));
    for arguments in [&["--write", "light-belt-mill"][..], &[]] {
        let full = fs::File::create("/dev/full").expect("a device that is always full");
        let output = Command::new(env!("CARGO_BIN_EXE_millside"))
            .args(["time", "--calibrate"])
            .arg(desk.folder.path().join("runs.csv"))
            .args(arguments)
            .env("XDG_DATA_HOME", desk.folder.path())
            .stdout(full)
            .output()
            .expect("the program runs");
        let error = String::from_utf8_lossy(&output.stderr);
        let own = desk.own().display().to_string();
        let is_said = error.contains("the profile is written") && error.contains(&own);
        assert_eq!(is_said, !arguments.is_empty(), "{error}");
        assert!(error.contains("could not print the answer"), "{error}");
        let code = if arguments.is_empty() { 2 } else { 1 };
        assert_eq!(output.status.code(), Some(code), "{error}");
    }
    assert_eq!(
        value(
            &machine(&fs::read_to_string(desk.own()).expect("it is written")),
            "x",
            "acceleration"
        ),
        "182 mm/s2"
    );
}
