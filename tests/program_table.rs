//! A table of programs, each in mm and in inches, on three machines, with and without stated tools: no harmless one gets an error, and
//! no danger less than a warning of its own.
//!
//! Numbers in braces are mm and become inches in an inch program. A danger counts as found where a finding of at least a warning comes
//! that the same program with a harmless cut in its place does not bring. What the language defines is cited by section of NISTIR 6556
//! ("The NIST RS274NGC Interpreter, Version 3"); the rest is common practice, no source.

#[path = "program_table/dangerous.rs"]
mod dangerous;
#[path = "program_table/harmless.rs"]
mod harmless;

use std::collections::BTreeSet;

use millside::check::Against;
use millside::check::Report;
use millside::check::against::Limits;
use millside::check::against::ToolFacts;
use millside::check::examine;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::profile::library::Library;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;

/// One program.
pub struct Row {
    /// What it shows.
    pub what: &'static str,
    /// The blocks between head and end, `; ` between them; one that begins with `%%` is the whole program.
    pub blocks: &'static str,
    /// The danger is one of the tool: where none is stated, the report says so.
    pub of_tool: bool,
}

/// A row of the program alone.
pub const fn row(what: &'static str, blocks: &'static str) -> Row {
    Row {
        what,
        blocks,
        of_tool: false,
    }
}

/// A row whose danger depends on the tool.
pub const fn of_tool(what: &'static str, blocks: &'static str) -> Row {
    Row {
        what,
        blocks,
        of_tool: true,
    }
}

/// A pocket that every machine and tool of the table cuts.
const CUT: &str =
    "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X{60} F{300}; Y{50}; X{30}; Y{30}; G0 Z{5}";

const MACHINES: [&str; 3] = ["light-belt-mill", "bench-mill", "gantry-router"];

/// A speed that the spindle of the machine turns at.
fn speed(machine: &str) -> u32 {
    match machine {
        "gantry-router" => 12_000,
        "bench-mill" => 2_500,
        _ => 4_000,
    }
}

fn written(blocks: &str, machine: &str, is_inch: bool) -> String {
    let head = "{UNIT} G90 G17 G94 G54 G40 G49 G80; T1 M6; S{SPEED} M3; G0 G43 H1 Z{50}; ";
    let whole = match blocks.strip_prefix("%%") {
        Some(whole) => whole.replace("CUT", CUT),
        None => format!("{head}{}; G0 Z{{50}}; M5; M30", blocks.replace("CUT", CUT)),
    };
    let (unit, other) = if is_inch {
        ("G20", "G21")
    } else {
        ("G21", "G20")
    };
    let whole = whole
        .replace("{UNIT}", unit)
        .replace("{OTHER}", other)
        .replace("{SPEED}", &speed(machine).to_string());
    let mut text = String::new();
    let mut rest = whole.as_str();
    while let Some((before, after)) = rest.split_once('{') {
        let (number, behind) = after.split_once('}').expect("a brace is closed");
        let mm: f64 = number.parse().expect("a number in braces");
        text.push_str(before);
        if is_inch {
            text.push_str(&format!("{:.5}", mm / 25.4));
        } else {
            text.push_str(&format!("{mm}"));
        }
        rest = behind;
    }
    text.push_str(rest);
    text.replace("; ", "\n") + "\n"
}

fn against(library: &Library, machine: &str, has_tools: bool) -> Against {
    let machine = library.machines.get(machine).expect("shipped");
    let facts = |name: &str| {
        let tool = library.tools.get(name).expect("shipped");
        ToolFacts {
            stick_out_mm: Some(tool.stick_out_mm),
            ..ToolFacts::of(tool)
        }
    };
    let tools = [(1, "em-6-2f"), (2, "drill-5"), (3, "tap-m6")];
    Against {
        stock: Some(StockSize {
            x_mm: 100.0,
            y_mm: 80.0,
            z_mm: 10.0,
        }),
        under: Under::Spoil { thickness_mm: 12.0 },
        zero: Some("left-front-top".parse().expect("a zero")),
        machine: Some(Limits::of(machine)),
        tools: tools
            .into_iter()
            .filter(|_| has_tools)
            .map(|(number, name)| (number, facts(name)))
            .collect(),
        keep_outs: vec![KeepOut {
            from: [80.0, 0.0],
            to: [100.0, 20.0],
            height: 25.0,
        }],
        ..Against::default()
    }
}

fn report(text: &str, against: &Against) -> Report {
    examine(text.as_bytes(), &ReadOptions::default(), against)
        .expect("bytes in memory are read")
        .1
}

fn grave(report: &Report) -> BTreeSet<&'static str> {
    let all = report.findings.iter();
    all.filter(|finding| finding.level >= Level::Warn)
        .map(|finding| finding.id)
        .collect()
}

/// Every machine, unit and knowledge of the tools, with words for it.
fn settings(library: &Library) -> Vec<(String, &'static str, bool, Against)> {
    let mut all = vec![];
    for machine in MACHINES {
        for is_inch in [false, true] {
            for has_tools in [true, false] {
                let unit = if is_inch { "inch" } else { "mm" };
                let tools = if has_tools { "stated" } else { "not stated" };
                let what = format!("{machine}, {unit}, tools {tools}");
                all.push((what, machine, is_inch, against(library, machine, has_tools)));
            }
        }
    }
    all
}

#[test]
fn no_danger_gets_less_than_a_warning() {
    let library = Library::shipped();
    assert!(dangerous::ROWS.len() >= 60, "{}", dangerous::ROWS.len());
    let mut wrong = vec![];
    for (setting, machine, is_inch, against) in settings(&library) {
        let usual = grave(&report(&written("CUT", machine, is_inch), &against));
        for row in dangerous::ROWS {
            let found = report(&written(row.blocks, machine, is_inch), &against);
            let own = grave(&found);
            let is_told = row.of_tool
                && against.tools.is_empty()
                && found.assumed.iter().any(|line| {
                    line.starts_with("Not checked: tool unknown")
                        || line.starts_with("No tool is stated")
                });
            if own.is_subset(&usual) && !is_told {
                let notes: Vec<_> = found.findings.iter().map(|f| f.id).collect();
                wrong.push(format!("{}: {setting}: {notes:?}", row.what));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} missed:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn no_harmless_program_gets_an_error() {
    let library = Library::shipped();
    assert!(harmless::ROWS.len() >= 30, "{}", harmless::ROWS.len());
    let mut wrong = vec![];
    for (setting, machine, is_inch, against) in settings(&library) {
        for row in harmless::ROWS {
            let text = written(row.blocks, machine, is_inch);
            let found = report(&text, &against);
            let stops: Vec<_> = found
                .findings
                .iter()
                .filter(|finding| finding.level == Level::Stop)
                .map(|finding| format!("{} line {}: {}", finding.id, finding.line, finding.message))
                .collect();
            if !stops.is_empty() {
                wrong.push(format!("{}: {setting}: {stops:?}\n{text}", row.what));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} false:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
