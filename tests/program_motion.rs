//! Times under limited acceleration against closed forms and general-purpose libraries (see the fixture's head).

use std::f64::consts::TAU;
use std::fmt::Write;
use std::fs;
use std::path::Path;

use millside::program::read::ReadOptions;
use millside::program::read::read_bytes;
use millside::program::time::limits::Corner;
use millside::program::time::limits::MotionLimits;
use millside::program::time::limits::RapidPath;
use toml::Table;
use toml::Value;

fn number(value: &Value) -> f64 {
    value
        .as_float()
        .or_else(|| value.as_integer().map(|i| i as f64))
        .expect("a number")
}

fn triple(value: &Value) -> [f64; 3] {
    let list = value.as_array().expect("three numbers");
    std::array::from_fn(|i| number(&list[i]))
}

/// Moves that are too long to be written down.
fn generated(generator: &Table) -> String {
    let get = |key: &str| number(&generator[key]);
    let decimals = get("decimals") as usize;
    let mut text = format!("G1 F{}\n", get("feed"));
    let mut to = |x: f64, y: f64| {
        writeln!(text, "X{x:.decimals$} Y{y:.decimals$}").expect("a string takes text");
    };
    match generator["kind"].as_str().expect("a kind") {
        "collinear" => {
            for i in 1..=get("n") as usize {
                to(i as f64 * get("step"), 0.0);
            }
        }
        "polygon" => {
            let (n, r) = (get("n") as usize, get("r"));
            for i in 1..=n {
                let angle = TAU * i as f64 / n as f64;
                to(r * angle.cos() - r, r * angle.sin());
            }
        }
        "circle" => {
            let r = get("r");
            let n = (TAU * r / get("block")).round() as usize;
            for i in 1..=n {
                let angle = TAU * i as f64 / n as f64;
                to(r * angle.cos() - r, r * angle.sin());
            }
        }
        "line" => {
            let n = (get("length") / get("block")).round() as usize;
            let angle = get("angle_deg").to_radians();
            for i in 1..=n {
                let s = get("length") * i as f64 / n as f64;
                to(s * angle.cos(), s * angle.sin());
            }
        }
        "function" => {
            // y = 4 sin(x/3) + 1.5 sin(x/1.1), as the fixture says.
            assert_eq!(generator["y"].as_str(), Some("4*sin(x/3)+1.5*sin(x/1.1)"));
            let n = ((get("x_to") - get("x_from")) / get("x_step")).round() as usize;
            for i in 1..=n {
                let x = get("x_from") + get("x_step") * i as f64;
                to(x, 4.0 * (x / 3.0).sin() + 1.5 * (x / 1.1).sin());
            }
        }
        other => panic!("unknown generator {other}"),
    }
    text
}

#[test]
fn every_case_takes_the_expected_time() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/motion/cases.toml");
    let text = fs::read_to_string(path).expect("fixture is readable");
    let table: Table = text.parse().expect("fixture is TOML");
    let defaults = table["defaults"].as_table().expect("defaults");
    let cases = table["case"].as_array().expect("cases");
    assert_eq!(cases.len(), 64);
    let mut wrong = vec![];
    for case in cases {
        let case = case.as_table().expect("a case");
        let get = |key: &str| case.get(key).or_else(|| defaults.get(key));
        let speeds = triple(get("v_max").expect("speeds"));
        let corner = match get("corner").and_then(Value::as_str) {
            Some("blend") => Corner::Blend {
                tolerance_mm: number(get("corner_tol_mm").expect("a tolerance")),
            },
            _ => Corner::Stop,
        };
        let accelerations = triple(get("a_max").expect("accelerations"));
        let mut limits = MotionLimits::new(speeds, speeds, accelerations, corner);
        limits.jerk_mm_s3 = get("jerk").map(number);
        limits.feed_override = number(get("override").expect("an override"));
        if get("rapid").and_then(Value::as_str) == Some("dogleg") {
            limits.rapid_path = RapidPath::DogLeg;
        }
        limits.spindle_start_s = get("spindle_s").map(number);
        limits.tool_change_s = get("tool_change_s").map(number);
        let moves = match case.get("generator") {
            Some(generator) => generated(generator.as_table().expect("a generator")),
            None => case["moves"].as_str().expect("moves").trim().to_owned(),
        };
        let program = format!("G21 G90 G17\nT1 M6\nM3 S1000\n{moves}\nM2\n");
        let options = ReadOptions {
            start_mm: triple(get("start").expect("a start")).map(Some),
            motion: Some(limits),
            ..ReadOptions::default()
        };
        let summary = read_bytes(program.as_bytes(), &options);
        let found = summary.times.estimated_s.expect("a machine is given");
        let (expected, tolerance) = (number(&case["expected_s"]), number(&case["tolerance_s"]));
        if (found - expected).abs() > tolerance {
            wrong.push(format!(
                "{}: {found} s, expected {expected} within {tolerance}",
                case["id"].as_str().expect("an id")
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn sections_add_up_to_the_whole() {
    let text = "G21 G90\nT1 M6\nM3 S1000\nG0 X0 Y0 Z5\nG1 Z-1 F100\nX50 F600\nG0 Z5\nT2 M6\nM3\nG0 X0\nG1 Z-1 F100\nY40 F600\nG0 Z5\nM30\n";
    let limits = MotionLimits::new(
        [30.0; 3],
        [50.0; 3],
        [200.0; 3],
        Corner::Blend { tolerance_mm: 0.02 },
    );
    let options = ReadOptions {
        motion: Some(limits),
        ..ReadOptions::default()
    };
    let summary = read_bytes(text.as_bytes(), &options);
    assert_eq!(summary.sections.len(), 2);
    let sum: f64 = summary.sections.iter().filter_map(|s| s.estimated_s).sum();
    assert!((sum - summary.times.estimated_s.expect("estimated")).abs() < 1e-9);
    assert!(sum > summary.times.feed_ideal_s);
}
