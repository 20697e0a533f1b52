//! `millside check` and `millside time` as they are run: output, JSON and exit code.

use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;

use serde_json::Value;

fn fixture(name: &str) -> String {
    format!(
        "{}/tests/fixtures/programs/{name}",
        env!("CARGO_MANIFEST_DIR")
    )
}

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(arguments)
        .env("XDG_DATA_HOME", env!("CARGO_TARGET_TMPDIR"))
        .output()
        .expect("the program runs")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

fn json(arguments: &[&str]) -> (Option<i32>, Value) {
    let output = run(arguments);
    let value = serde_json::from_slice(&output.stdout).expect("one JSON object");
    (output.status.code(), value)
}

fn write(name: &str, bytes: &[u8]) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, bytes).expect("a file can be written");
    path
}

#[test]
fn the_exit_code_tells_fine_from_look_first_from_wrong_use() {
    let plate = fixture("plates/spot_and_drill.nc");
    assert_eq!(run(&["check", &plate]).status.code(), Some(0));
    let text = fixture("untidy/words_that_are_text.nc");
    assert_eq!(run(&["check", &text]).status.code(), Some(1));
    assert_eq!(run(&["check", "/nowhere/at/all.nc"]).status.code(), Some(2));
    assert_eq!(run(&["check"]).status.code(), Some(2));
    assert_eq!(
        run(&["check", &plate, "--stock", "120x90"]).status.code(),
        Some(2)
    );
    let too_large = run(&[
        "check",
        &plate,
        "--stock",
        "90x80x12mm",
        "--part",
        "95x70x12mm",
    ]);
    assert_eq!(too_large.status.code(), Some(2));
    let said = String::from_utf8_lossy(&too_large.stderr).into_owned();
    assert!(said.contains("95 mm along X, the blank 90 mm"), "{said}");
    assert_eq!(
        run(&["check", &plate, "--zero", "middle-of-nowhere"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(
        run(&["check", &plate, "--machine", "no-such"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(
        run(&["check", &plate, "--tool", "1=mill six"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(run(&["time", &plate]).status.code(), Some(0));
    assert_eq!(run(&["time", "/nowhere/at/all.nc"]).status.code(), Some(2));
}

#[test]
fn the_json_has_the_documented_keys() {
    let plate = fixture("plates/face_pocket_holes_profile.nc");
    let (code, value) = json(&[
        "check",
        &plate,
        "--stock",
        "120x90x12mm",
        "--under",
        "spoil:12mm",
        "--zero",
        "1+",
        "--json",
    ]);
    assert_eq!(code, Some(0));
    assert_eq!(value["format"], 1);
    assert_eq!(value["units"], "mm");
    for key in ["rapid", "feed", "arc"] {
        assert!(value["moves"][key].is_u64(), "{key}");
    }
    for key in ["all", "feed", "cut"] {
        assert_eq!(
            value["extents"][key]["min"].as_array().map(Vec::len),
            Some(3),
            "{key}"
        );
        assert_eq!(
            value["extents"][key]["max"].as_array().map(Vec::len),
            Some(3),
            "{key}"
        );
    }
    assert!(value["path_mm"]["feed"].is_f64() && value["path_mm"]["rapid"].is_f64());
    assert!(value["time_s"]["feed_ideal"].is_f64() && value["time_s"]["dwell"].is_f64());
    assert!(value["time_s"]["estimated"].is_null());
    assert_eq!(value["tools"], serde_json::json!([1, 2, 3, 2]));
    let section = &value["sections"][0];
    for key in [
        "tool",
        "s_rpm",
        "feeds",
        "extents",
        "time_s",
        "first_line",
        "last_line",
    ] {
        assert!(!section[key].is_null(), "{key}");
    }
    assert!(value["uncertain_from"].is_null());
    for key in ["id", "level", "line", "block", "message", "remedy", "count"] {
        assert!(!value["findings"][0][key].is_null(), "{key}");
    }
    let candidate = &value["zero_candidates"][0];
    assert_eq!(candidate["zero"], "left-front-top");
    assert_eq!(candidate["turned"], 0);
    assert!(candidate["flipped"].is_null());
    assert_eq!(candidate["swapped"], false);
    assert_eq!(candidate["fits"], true);
    assert!(candidate["overhang_mm"].is_f64());
    for key in ["x", "y", "z", "why"] {
        assert!(!value["check_points"][0][key].is_null(), "{key}");
    }
    assert!(value["assumed"].as_array().is_some_and(|a| !a.is_empty()));
}

#[test]
fn an_axis_that_was_never_known_is_null() {
    let path = write("never_known.nc", b"G21 G90\nG0 X5\nM30\n");
    let (_, value) = json(&["check", path.to_str().expect("text"), "--json"]);
    assert_eq!(
        value["extents"]["all"]["min"],
        serde_json::json!([5.0, null, null])
    );
    assert!(value["extents"]["cut"].is_null());
    let (_, value) = json(&[
        "check",
        path.to_str().expect("text"),
        "--json",
        "--start",
        "0,-2,30",
    ]);
    assert_eq!(
        value["extents"]["all"]["min"],
        serde_json::json!([0.0, -2.0, 30.0])
    );
    assert_eq!(value["path_mm"]["rapid"], 5.0);
}

#[test]
fn nothing_of_a_hostile_file_reaches_the_terminal_as_it_is() {
    let hostile =
        "G21 G90\n(\u{1b}]0;owned\u{7} \u{202e}evil\u{200b})\nG1 X\u{1b}[2J5 M117 \u{9b}31m\nM30\n";
    let path = write("hostile.nc", hostile.as_bytes());
    let name = path.to_str().expect("text");
    for arguments in [
        vec!["check", name],
        vec!["check", name, "--json"],
        vec!["time", name],
        vec!["time", name, "--json"],
    ] {
        let output = run(&arguments);
        let shown = text(&output) + &String::from_utf8_lossy(&output.stderr);
        assert!(
            shown
                .chars()
                .all(|c| c == '\n' || !millside::plain::is_hidden(c)),
            "{arguments:?}: {shown:?}"
        );
    }
}

#[test]
fn any_bytes_are_findings_and_not_errors() {
    let bytes: Vec<u8> = (0..=255).cycle().take(5000).collect();
    let path = write("bytes.nc", &bytes);
    let (code, value) = json(&["check", path.to_str().expect("text"), "--json"]);
    assert_eq!(code, Some(1));
    assert!(value["findings"].as_array().is_some_and(|f| !f.is_empty()));
    let empty = write("empty.nc", b"");
    let (code, value) = json(&["check", empty.to_str().expect("text"), "--json"]);
    assert_eq!(code, Some(1));
    assert_eq!(value["findings"][0]["id"], "empty-program");
}

#[test]
fn without_a_machine_the_time_is_at_least_and_says_what_it_leaves_out() {
    let dome = fixture("plates/dome_in_short_lines.nc");
    let output = text(&run(&["time", &dome]));
    assert!(output.contains("at least"), "{output}");
    assert!(output.contains("Acceleration"), "{output}");
    let output = text(&run(&["time", &dome, "--machine", "light-belt-mill"]));
    assert!(output.contains("about"), "{output}");
    let (_, ideal) = json(&["time", &dome, "--json"]);
    let (_, timed) = json(&["time", &dome, "--machine", "light-belt-mill", "--json"]);
    assert_eq!(timed["format"], 1);
    let least = ideal["time_s"]["feed_ideal"].as_f64().expect("a number");
    assert!(timed["time_s"]["estimated"].as_f64().expect("a number") > least);
}

/// A time that leaves lines out says so in its first line, names what it could not read, and ends as `check` does.
#[test]
fn a_time_of_a_program_that_was_not_read_to_its_end_says_so() {
    let cases: [(&str, &[u8], &str, i32); 4] = [
        (
            "macro_call.nc",
            b"G21 G90\nM3 S8000\nG65 P9010 X5\nG1 X50 F600\nM30\n",
            "unknown-g-code line 3",
            1,
        ),
        (
            "missing_subprogram.nc",
            b"G21 G90\nM3 S8000\nM98 P77\nM30\n",
            "subprogram-call line 3",
            1,
        ),
        (
            "early_percent.nc",
            b"G21 G90\nM3 S8000\nG1 X50 F600\n%\nX100\nM30\n",
            "percent-position line 4",
            0,
        ),
        (
            "behind_the_end.nc",
            b"G21 G90\nM3 S8000\nG1 X50 F600\nM30\nG1 X100\n",
            "text-after-end line 5",
            0,
        ),
    ];
    for (name, program, finding, code) in cases {
        let path = write(name, program);
        let path = path.to_str().expect("a plain path");
        let output = run(&["time", path]);
        let shown = text(&output);
        let head = shown.lines().next().expect("a line");
        assert!(
            head.ends_with("min, but the program was not read to its end"),
            "{shown}"
        );
        assert!(shown.contains(finding), "{shown}");
        assert_eq!(output.status.code(), Some(code), "{name}");
        assert_eq!(run(&["check", path]).status.code(), Some(code), "{name}");
        let (_, value) = json(&["time", path, "--json"]);
        assert_eq!(value["read_to_end"], false);
        assert!(
            value["findings"]
                .as_array()
                .is_some_and(|all| !all.is_empty())
        );
    }
    let whole = fixture("plates/spot_and_drill.nc");
    let (code, value) = json(&["time", &whole, "--json"]);
    assert_eq!((code, &value["read_to_end"]), (Some(0), &Value::Bool(true)));
    assert!(!text(&run(&["time", &whole])).contains("not read to its end"));
}

/// NISTIR 6556, 3.5.4: P of G4 is in seconds; common practice on other controls, no source: milliseconds.
#[test]
fn a_time_says_what_it_took_for_the_unit_of_a_dwell() {
    let path = write(
        "long_dwell.nc",
        b"G21 G90\nM3 S8000\nG4 P4000\nG1 X50 F600\nM30\n",
    );
    let path = path.to_str().expect("a plain path");
    let shown = text(&run(&["time", path]));
    let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("dwell-units line 3"), "{shown}");
    assert!(
        flat.contains("4 s on controls that count milliseconds"),
        "{shown}"
    );
    assert!(
        flat.contains("P of a dwell is taken as seconds (NISTIR 6556, 3.5.4): 4000.0 s in all."),
        "{shown}"
    );
    let (_, value) = json(&["time", path, "--json"]);
    assert_eq!(value["dwell_p_unit"], "s");
    assert_eq!(value["findings"][0]["id"], "dwell-units");
    let none = fixture("plates/dome_in_short_lines.nc");
    assert!(!text(&run(&["time", &none])).contains("dwell"));
}

#[test]
fn a_time_says_how_far_the_control_is_taken_to_look_ahead() {
    let dome = fixture("plates/dome_in_short_lines.nc");
    let shown = text(&run(&["time", &dome, "--machine", "gantry-router"]));
    assert!(shown.contains("look ahead 16 blocks"), "{shown}");
    assert!(!text(&run(&["time", &dome])).contains("look ahead"));
}

#[test]
fn places_to_begin_again_are_at_clearance_height_before_the_line() {
    let plate = fixture("plates/face_pocket_holes_profile.nc");
    let (_, value) = json(&["check", &plate, "--restart", "140", "--json"]);
    let points = value["restart"].as_array().expect("a list");
    assert!((1..=5).contains(&points.len()));
    for point in points {
        assert!(point["line"].as_u64().expect("a line") <= 140);
        assert!(point["at_mm"][2].as_f64().expect("known") >= 2.0);
        assert_eq!(point["units"], "mm");
    }
    assert_eq!(points[0]["tool"], 2);
    assert_eq!(points[0]["h"], 2);
    assert_eq!(points[0]["s_rpm"], 8000.0);
    let output = text(&run(&["check", &plate, "--restart", "140"]));
    assert!(output.contains("The choice is yours"), "{output}");
}

#[test]
fn the_report_fits_a_narrow_terminal() {
    for name in [
        "plates/face_pocket_holes_profile.nc",
        "untidy/macro_without_arguments.nc",
    ] {
        let name = fixture(name);
        let output = text(&run(&[
            "check",
            &name,
            "--stock",
            "120x90x12mm",
            "--zero",
            "1+",
        ]));
        // The first line holds the file's own name, however long.
        for line in output.lines().skip(1) {
            assert!(millside::plain::width(line) <= 79, "{line}");
        }
    }
}

#[test]
fn timed_runs_give_the_limits_of_an_axis() {
    // Simulated outside this program with a = 250 mm/s², s = 0.03 s and 0.15 s of noise; numpy finds
    // a = 244.0 mm/s² (232 to 257).
    let table = "axis,length,repeats,feed,seconds\nx,50,10,600,51.0\nx,5,40,600,23.1\nx,50,20,1200,52.4\nx,5,60,1200,21.7\nx,100,20,2400,54.0\nx,10,60,2400,26.5\nx,150,20,3000,64.9\nx,12,60,3000,28.7\ny,50,10,600,51.0\n";
    let path = write("runs.csv", table.as_bytes());
    let name = path.to_str().expect("text");
    let (code, value) = json(&["time", "--calibrate", name, "--json"]);
    assert_eq!(code, Some(0));
    let a = value["axes"][0]["acceleration_mm_s2"]
        .as_f64()
        .expect("a number");
    assert!((a - 244.0).abs() < 0.5);
    assert!(value["axes"][1]["acceleration_mm_s2"].is_null());
    assert!(value["axes"][1]["why_not"].is_string());
    let output = text(&run(&["time", "--calibrate", name]));
    assert!(
        output.contains("acceleration 244 mm/s2 (232 to 257"),
        "{output}"
    );
    let bad = write("bad_runs.csv", b"x,50,10,600,51\nx,50,-10,600,51\n");
    let output = run(&["time", "--calibrate", bad.to_str().expect("text")]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("bad_runs.csv:2"));
}

#[test]
fn a_program_in_inches_is_spoken_of_in_inches_where_the_machine_is_jogged() {
    let path = write(
        "inch_slot.nc",
        b"G20 G90 G17\nT1 M6\nM3 S8000 M8\nG0 X1. Y0.5 Z1.\nG0 Z0.1\nG1 Z-0.1 F10.\nX2. F30.\nG0 Z1.\nM5\nM30\n",
    );
    let path = path.to_str().expect("a plain path");
    let shown = text(&run(&["check", path, "--restart", "7"]));
    // One inch is 25.4 mm by definition (ISO 31-1).
    assert!(shown.contains("X 25.400 to 50.800"), "{shown}");
    assert!(shown.contains("-2.540 to 25.400 mm"), "{shown}");
    assert!(shown.contains("X1.000 Y0.500 at Z1.000 in"), "{shown}");
    let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("line 6: set by hand inch, G90, G17, G94, G0, G54, T1, spindle at S8000, flood on (M8), tool at X1.0000 Y0.5000 Z0.1000 in"),
        "{flat}"
    );
}

#[test]
fn a_line_behind_the_end_is_said_to_be_none() {
    let plate = fixture("plates/spot_and_drill.nc");
    let count = fs::read_to_string(&plate).expect("text").lines().count();
    let shown = text(&run(&["check", &plate, "--restart", "99999"]));
    assert!(
        shown.contains(&format!("The program has {count} lines only")),
        "{shown}"
    );
}
