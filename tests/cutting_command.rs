//! `millside recipe` as a person runs it.

use std::process::Command;
use std::process::Output;

use serde_json::Value;

const KEYS: &[&str] = &[
    "n_rpm",
    "vc_m_min",
    "fz_mm",
    "vf_mm_min",
    "ap_mm",
    "ae_mm",
    "hmax_mm",
    "hm_mm",
    "q_cm3_min",
    "kc_n_mm2",
    "ft_n",
    "ft_peak_n",
    "thrust_n",
    "torque_nm",
    "pc_w",
    "motor_w",
    "motor_available_w",
    "axis_push_n",
    "bend_tool_mm",
    "bend_machine_mm",
    "cusp_mm",
];

fn run(arguments: &[&str]) -> Output {
    run_on("light-belt-mill", arguments)
}

fn run_on(machine: &str, arguments: &[&str]) -> Output {
    let data = tempfile::tempdir().expect("a folder");
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(["recipe", "--machine", machine])
        .args(arguments)
        .env("XDG_DATA_HOME", data.path())
        .output()
        .expect("the program starts")
}

fn object(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("one JSON object")
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("output is UTF-8")
}

const SLOT: &[&str] = &["--material", "6082", "--tool", "em-6-1f", "--cut", "slot"];

#[test]
fn the_object_has_every_key_as_a_number() {
    let output = run(&[SLOT, &["--json"]].concat());
    assert_eq!(output.status.code(), Some(0));
    let object = object(&output);
    assert_eq!(object["format"], 1);
    for key in KEYS {
        assert!(object[key].as_f64().is_some_and(f64::is_finite), "{key}");
    }
    let limits = object["limits"].as_array().expect("a list");
    assert_eq!(limits.iter().filter(|l| l["binds"] == true).count(), 1);
    for limit in limits {
        assert!(limit["kind"] == "danger" || limit["kind"] == "ceiling");
        assert!(limit["used"].as_f64().is_some());
        assert!(limit["lift"].as_str().is_some_and(|lift| !lift.is_empty()));
    }
    assert!(object["cautions"].is_array());
    assert!(object["assumed"].as_array().is_some_and(|a| !a.is_empty()));
    assert!(object.get("trace").is_none());
}

#[test]
fn with_all_values_given_it_is_plain_arithmetic_in_either_unit() {
    // By hand: n = 100000 / (6.35 pi) = 5012.73, and the knob has steps of 50: 5000. vc = 6.35 pi * 5000 / 1000 = 99.746;
    // vf = 0.05 * 2 * n = 500; Q = 1 * 2 * vf = 1 cm3/min.
    let output = run(&[
        "--material",
        "6082",
        "--diameter",
        "1/4\"",
        "--flutes",
        "2",
        "--tool-material",
        "carbide",
        "--cut",
        "side",
        "--vc",
        "100",
        "--fz",
        "0.05",
        "--ap",
        "1",
        "--ae",
        "2mm",
        "--json",
    ]);
    let object = object(&output);
    let near = |key: &str, hand: f64| {
        let value = object[key].as_f64().expect("a number");
        assert!(
            (value / hand - 1.0).abs() < 1e-4,
            "{key}: {value} for {hand}"
        );
    };
    near("n_rpm", 5000.0);
    near("vc_m_min", 99.746);
    near("vf_mm_min", 500.0);
    near("q_cm3_min", 1.0);
    // phi = acos(1 - 4/6.35) = 68.284 deg; hmax = 0.05 sin phi; hm = 0.05 * (4/6.35) / 1.191784.
    near("hmax_mm", 0.046_449);
    near("hm_mm", 0.026_428);
    // kc = 800 * hm^-0.25; Pc = kc Q; Ft = Pc / vc.
    near("kc_n_mm2", 1984.16);
    near("pc_w", 33.069);
    near("ft_n", 19.892);
    near("torque_nm", 0.063_157);
}

#[test]
fn a_danger_that_is_passed_ends_with_one_and_is_named_first() {
    let output = run(&[SLOT, &["--ap", "5", "--fz", "0.05", "--n", "9000"]].concat());
    assert_eq!(output.status.code(), Some(1));
    let shown = words(&output.stdout);
    assert!(shown.contains("EXCEEDED"), "{shown}");
    assert!(shown.contains("mind: axis push is passed"), "{shown}");
    assert!(shown.contains("instead: depth "), "{shown}");
    assert!(shown.contains("5.00 mm = 0.1969 in"), "{shown}");
}

#[test]
fn the_page_says_what_to_set_and_what_binds() {
    let output = run(SLOT);
    assert_eq!(output.status.code(), Some(0));
    let shown = words(&output.stdout);
    for word in [
        "speed",
        "9000 rpm (belt step 3)",
        "lifted by:",
        "assumed:",
        "axis push",
    ] {
        assert!(shown.contains(word), "{word} in {shown}");
    }
    assert!(!shown.contains("source:"));
    assert!(!shown.to_lowercase().contains("safe"));
    let first = shown
        .lines()
        .skip_while(|line| !line.starts_with("limits"))
        .nth(1)
        .expect("a limit");
    assert!(first.contains("binds"), "{first}");
    let traced = words(&run(&[SLOT, &["--trace"]].concat()).stdout);
    for word in [
        "source:",
        "kc = kc1.1 * hm^-mc",
        "what binds",
        "Kops and Vo",
        "ramp at 2 deg",
    ] {
        assert!(traced.contains(word), "{word} in {traced}");
    }
}

#[test]
fn a_tap_feeds_by_its_pitch_and_names_the_drills_on_either_side() {
    let output = run_on(
        "bench-mill",
        &[
            "--material",
            "6082",
            "--diameter",
            "6",
            "--flutes",
            "3",
            "--tool-material",
            "hss",
            "--cut",
            "tap",
            "M6",
            "--n",
            "500",
            "--json",
        ],
    );
    let object = object(&output);
    assert!((object["vf_mm_min"].as_f64().expect("a number") - 500.0).abs() < 1e-6);
    // kc P^2 D / 8 with 800 N/mm2: 0.6 N m.
    assert!((object["torque_nm"].as_f64().expect("a number") - 0.6).abs() < 1e-9);
    let cautions = object["cautions"].to_string();
    // (6 - 5.0) / 1.299 and (6 - 5.1) / 1.299, as tap-drill tables count it (1.299 P is the whole thread; from memory).
    assert!(
        cautions.contains("tap drill 5.0 mm (77 % thread) or 5.1 mm (69 % thread)"),
        "{cautions}"
    );
}

#[test]
fn wrong_use_ends_with_two_and_says_what_would_do() {
    for (arguments, says) in [
        (
            vec!["--material", "6082", "--tool", "em-6-1g", "--cut", "slot"],
            "em-6-1f",
        ),
        (
            vec![
                "--material",
                "nonesuch",
                "--tool",
                "em-6-1f",
                "--cut",
                "slot",
            ],
            "no material",
        ),
        (
            vec!["--material", "6082", "--tool", "em-6-1f", "--cut", "drill"],
            "does not make",
        ),
        (
            vec!["--material", "6082", "--tool", "em-6-1f", "--cut", "slit"],
            "side, slot",
        ),
        (
            vec!["--material", "6082", "--diameter", "6", "--cut", "slot"],
            "--flutes is missing",
        ),
        ([SLOT, &["--ap", "6 m"]].concat(), "is not one of mm"),
        (
            [SLOT, &["--ap", "NaN"]].concat(),
            "does not begin with a number",
        ),
        ([SLOT, &["--ap=-1"]].concat(), "must not be negative"),
        ([SLOT, &["--ae", "7"]].concat(), "wider than the tool"),
        (
            [SLOT, &["--ae", "4"]].concat(),
            "a slot is as wide as the tool",
        ),
        (
            [SLOT, &["--n", "9000", "--vc", "100"]].concat(),
            "cannot be used with",
        ),
        ([SLOT, &["M6q"]].concat(), "write a thread such as M6"),
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let shown = words(&output.stderr);
        assert!(shown.contains(says), "{arguments:?}: {shown}");
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn hidden_characters_of_a_name_are_written_out() {
    let output = run(&[
        "--material",
        "\u{202e}6082\u{1b}[2J",
        "--tool",
        "em-6-1f",
        "--cut",
        "slot",
    ]);
    assert_eq!(output.status.code(), Some(2));
    let shown = words(&output.stderr);
    assert!(
        !shown.contains('\u{202e}') && !shown.contains('\u{1b}'),
        "{shown:?}"
    );
}

#[test]
fn a_tap_is_refused_for_a_thread_that_it_does_not_make() {
    let tap = |thread: &str| {
        run_on(
            "bench-mill",
            &[
                "--material",
                "al-6082-t6",
                "--tool",
                "tap-m6",
                "--cut",
                "tap",
                thread,
            ],
        )
    };
    let wrong = tap("M5");
    assert_eq!(wrong.status.code(), Some(2));
    let words = String::from_utf8(wrong.stderr).expect("text");
    assert!(
        words.contains("pitch of 1 mm") && words.contains("0.8 mm"),
        "{words}"
    );
    assert_eq!(tap("M6x0.75").status.code(), Some(2));
    assert_eq!(tap("M6").status.code(), Some(0));
}

// ISO 724: the minor diameter of an inside thread is D - 1.082532 P: M6 4.917, M8 6.647 mm.
#[test]
fn a_thread_mill_is_refused_that_has_another_pitch_or_does_not_go_into_the_hole() {
    let mill = |tool: &str, thread: &str| {
        let run = run_on(
            "bench-mill",
            &[
                "--material",
                "al-6082-t6",
                "--tool",
                tool,
                "--cut",
                "thread",
                thread,
            ],
        );
        let words = String::from_utf8(run.stderr).expect("text");
        (run.status.code(), words)
    };
    for (tool, thread, words) in [
        ("thread-mill-m8", "M6", "a pitch of 1.25 mm"),
        ("thread-mill-m6", "M5", "a pitch of 1 mm"),
        ("thread-mill-m8", "M6x1.25", "the hole of the thread"),
    ] {
        let (code, said) = mill(tool, thread);
        assert_eq!(code, Some(2), "{tool} {thread}: {said}");
        assert!(said.contains(words), "{tool} {thread}: {said}");
    }
    for (tool, thread) in [
        ("thread-mill-m6", "M6"),
        ("thread-mill-m6", "M7x1"),
        ("thread-mill-m8", "M8"),
    ] {
        let (code, said) = mill(tool, thread);
        assert_eq!(code, Some(0), "{tool} {thread}: {said}");
    }
}
