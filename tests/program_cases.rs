//! Small programs against results computed outside this program (NISTIR 6556; see the fixture's head).

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use millside::program::bounds::Bounds;
use millside::program::finding::Finding;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::read::Summary;
use millside::program::read::read_bytes;
use toml::Table;
use toml::Value;

/// Relative tolerance: the expected numbers are printed to six decimals.
const RELATIVE: f64 = 2e-6;

/// Warnings of the collected vocabulary; the reader has ids of its own beside them.
const WARNINGS: &[&str] = &[
    "units-not-stated",
    "feed-before-unit-change",
    "spindle-stopped",
    "spindle-speed-missing",
    "order-of-execution",
    "dwell-units",
    "feed-per-revolution",
    "tool-selected-not-changed",
    "tool-change-without-tool-word",
    "tool-length-unknown",
    "machine-position-unknown",
    "g92-offset",
    "cutter-compensation",
    "probe-end-unknown",
    "block-delete-present",
    "radius-arc-ill-conditioned",
    "arc-nearly-closed",
    "repeat-in-place",
    "tapping-cycle",
    "boring-cycle-spindle-stop",
    "manual-retract",
    "back-bore-top-below-bottom",
    "unset-parameter",
    "sign-before-expression",
    "motion-code-without-axes",
    "no-program-end",
    "percent-position",
    "line-number-range",
    "line-too-long",
    "program-number",
    "non-ascii-in-comment",
];

/// Where the reader follows common practice instead of refusing: (case, its own id).
const FOLLOWED: &[(&str, &str)] = &[
    ("byte-order-mark", "byte-order-mark"),
    ("g70-inch-code", "g70-g71-units"),
];

fn cases() -> Vec<Table> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/programs/cases.toml");
    let text = fs::read_to_string(path).expect("fixture is readable");
    let table: Table = text.parse().expect("fixture is TOML");
    table["case"]
        .as_array()
        .expect("cases")
        .iter()
        .map(|case| case.as_table().expect("a case").clone())
        .collect()
}

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

fn program(case: &Table) -> Vec<u8> {
    if let Some(text) = case.get("program") {
        return text.as_str().expect("text").as_bytes().to_vec();
    }
    let hex = case["program_hex"].as_str().expect("hex");
    (0..hex.len() / 2)
        .map(|i| u8::from_str_radix(&hex[2 * i..2 * i + 2], 16).expect("hex"))
        .collect()
}

fn options(case: &Table) -> ReadOptions {
    let mut options = ReadOptions {
        start_mm: [Some(0.0); 3],
        origins_mm: Some([[0.0; 3]; 9]),
        tool_lengths_mm: Some(BTreeMap::new()),
        g28_mm: Some([0.0; 3]),
        g30_mm: Some([0.0; 3]),
        peck_backoff_mm: 0.254,
        pecks_to_clear: true,
        ..ReadOptions::default()
    };
    let Some(given) = case.get("given").and_then(Value::as_table) else {
        return options;
    };
    if let Some(origins) = given.get("origins_mm").and_then(Value::as_table) {
        let mut all = [[0.0; 3]; 9];
        for (name, origin) in origins {
            let names = [
                "G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3",
            ];
            let i = names.iter().position(|n| n == name).expect("a work system");
            all[i] = triple(origin);
        }
        options.origins_mm = Some(all);
    }
    if let Some(start) = given.get("start_mm") {
        // The start is in machine coordinates; the reader wants the program's own.
        let start = triple(start);
        let origin = options.origins_mm.expect("origins")[0];
        options.start_mm = std::array::from_fn(|i| Some(start[i] - origin[i]));
    } else {
        let origin = options.origins_mm.expect("origins")[0];
        options.start_mm = std::array::from_fn(|i| Some(-origin[i]));
    }
    if let Some(lengths) = given.get("tool_length_mm").and_then(Value::as_table) {
        let table = lengths
            .iter()
            .map(|(h, l)| (h.parse().expect("an H"), number(l)))
            .collect();
        options.tool_lengths_mm = Some(table);
    }
    if let Some(point) = given.get("g28_mm") {
        options.g28_mm = Some(triple(point));
    }
    if let Some(point) = given.get("g30_mm") {
        options.g30_mm = Some(triple(point));
    }
    if let Some(on) = given.get("block_delete").and_then(Value::as_bool) {
        options.block_delete = on;
    }
    if let Some(backoff) = given.get("peck_backoff_mm") {
        options.peck_backoff_mm = number(backoff);
    }
    options
}

/// The bytes before a line.
fn before_line(text: &[u8], line: i64) -> &[u8] {
    let mut number = 1;
    let mut at = 0;
    while number < line {
        let Some(end) = text[at..].iter().position(|b| matches!(b, b'\n' | b'\r')) else {
            return text;
        };
        at += end + 1;
        if text[at - 1] == b'\r' && text.get(at) == Some(&b'\n') {
            at += 1;
        }
        number += 1;
    }
    &text[..at]
}

fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= RELATIVE * wanted.abs().max(1.0)
}

fn codes(findings: &[Finding]) -> BTreeSet<&str> {
    findings
        .iter()
        .map(|f| f.id)
        // A spindle that the program stopped has a finding of its own.
        .map(|id| {
            if id == "cut-after-m5" {
                "spindle-stopped"
            } else {
                id
            }
        })
        .filter(|id| WARNINGS.contains(id))
        .collect()
}

#[derive(Default)]
struct Differences(Vec<String>);

impl Differences {
    fn number(&mut self, id: &str, what: &str, found: f64, wanted: &Value) {
        let wanted = number(wanted);
        if !near(found, wanted) {
            self.0
                .push(format!("{id}: {what} is {found}, expected {wanted}"));
        }
    }

    fn point(&mut self, id: &str, what: &str, found: [Option<f64>; 3], wanted: &Value) {
        let wanted = triple(wanted);
        for axis in 0..3 {
            if !found[axis].is_some_and(|f| near(f, wanted[axis])) {
                self.0
                    .push(format!("{id}: {what} is {found:?}, expected {wanted:?}"));
                return;
            }
        }
    }

    fn bounds(&mut self, id: &str, what: &str, found: &Bounds, expect: &Table) {
        let (min, max) = (format!("{what}_min_mm"), format!("{what}_max_mm"));
        if let (Some(low), Some(high)) = (expect.get(&min), expect.get(&max)) {
            self.point(
                id,
                &min,
                std::array::from_fn(|i| found.axis(i).map(|a| a.0)),
                low,
            );
            self.point(
                id,
                &max,
                std::array::from_fn(|i| found.axis(i).map(|a| a.1)),
                high,
            );
        } else if !found.is_empty() {
            self.0
                .push(format!("{id}: {what} extents {found:?}, expected none"));
        }
    }

    fn totals(&mut self, id: &str, found: &Summary, expect: &Table) {
        self.point(
            id,
            "final_abs",
            found.final_machine_mm,
            &expect["final_abs_mm"],
        );
        self.point(
            id,
            "final_prog",
            found.final_program_mm,
            &expect["final_prog_mm"],
        );
        let machine = found.machine_extents.expect("origins were given");
        self.bounds(id, "all", &machine.all, expect);
        self.bounds(id, "feed", &machine.feed, expect);
        let moves = found.moves;
        for (what, count) in [
            ("rapids", moves.rapid),
            ("feeds", moves.feed),
            ("arcs", moves.arc),
            ("zero_moves", moves.zero),
        ] {
            self.number(id, what, count as f64, &expect[what]);
        }
        let path = found.path;
        let times = found.times;
        for (what, value) in [
            ("rapid_len_mm", path.rapid_mm),
            ("feed_len_mm", path.feed_mm),
            ("path_len_mm", path.feed_mm + path.rapid_mm),
            ("feed_time_s", times.feed_ideal_s),
            ("dwell_s", times.dwell_s),
            ("ideal_time_s", times.feed_ideal_s + times.dwell_s),
        ] {
            if let Some(wanted) = expect.get(what) {
                self.number(id, what, value, wanted);
            }
        }
        let whole = |key: &str| -> Vec<i64> {
            expect[key]
                .as_array()
                .expect("a list")
                .iter()
                .map(|v| v.as_integer().expect("whole"))
                .collect()
        };
        let tools: Vec<i64> = found.tools.iter().map(|t| i64::from(*t)).collect();
        if tools != whole("tools") {
            self.0.push(format!("{id}: tools {tools:?}"));
        }
        let stops: Vec<i64> = found.stops.iter().map(|s| i64::from(s.code)).collect();
        if stops != whole("stops") {
            self.0.push(format!("{id}: stops {stops:?}"));
        }
    }
}

#[test]
fn every_case_gives_the_expected_result() {
    let mut differences = Differences::default();
    let cases = cases();
    assert_eq!(cases.len(), 248);
    for case in &cases {
        let id = case["id"].as_str().expect("an id");
        let expect = case["expect"].as_table().expect("expectations");
        let text = program(case);
        let options = options(case);
        let whole = read_bytes(&text, &options);
        let list = |key: &str| -> BTreeSet<&str> {
            expect[key]
                .as_array()
                .expect("a list")
                .iter()
                .map(|v| v.as_str().expect("an id"))
                .collect()
        };
        let wanted_warnings = list("warnings");
        let Some(error) = list("errors").into_iter().next() else {
            differences.totals(id, &whole, expect);
            let found = codes(&whole.findings);
            if found != wanted_warnings {
                differences.0.push(format!(
                    "{id}: warnings {found:?}, expected {wanted_warnings:?}"
                ));
            }
            let stops: Vec<&str> = whole
                .findings
                .iter()
                .filter(|f| f.level == Level::Stop)
                .map(|f| f.id)
                .collect();
            if !stops.is_empty() {
                differences
                    .0
                    .push(format!("{id}: stops {stops:?}, expected none"));
            }
            continue;
        };
        let line = expect["error_line"].as_integer().expect("a line");
        let own = FOLLOWED
            .iter()
            .find(|(case, _)| *case == id)
            .map(|(_, own)| *own);
        let wanted = own.unwrap_or(error);
        let is_found = whole
            .findings
            .iter()
            .any(|f| f.id == wanted && i64::try_from(f.line) == Ok(line));
        if !is_found {
            let found: Vec<(&str, u64)> = whole.findings.iter().map(|f| (f.id, f.line)).collect();
            differences.0.push(format!(
                "{id}: {wanted} in line {line} not found among {found:?}"
            ));
        }
        // Bounds of the whole file are judged with all of it read.
        let is_whole = line == 0 || error == "percent-unclosed";
        let before = if is_whole {
            text.as_slice()
        } else {
            before_line(&text, line)
        };
        let before = read_bytes(before, &options);
        differences.totals(id, &before, expect);
        let mut found = codes(&before.findings);
        // What the end of the part alone brings about.
        found.remove("no-program-end");
        found.remove("tool-selected-not-changed");
        if found != wanted_warnings {
            differences.0.push(format!(
                "{id}: warnings {found:?}, expected {wanted_warnings:?}"
            ));
        }
    }
    assert!(differences.0.is_empty(), "{}", differences.0.join("\n"));
}
