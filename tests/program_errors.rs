//! The error conditions of the open language as stop or warn.
//!
//! NISTIR 6556 (2000), sections as named there; where a program's path stays known the reader is
//! milder than the report, because real programs are untidy. Numbers E1 to E55 count the
//! conditions as collected from the report and from common practice.

use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::read::read_bytes;

use Level::Note;
use Level::Stop;
use Level::Warn;

const HEAD: &str = "G21 G90 G94 G17 M3 S1000 F600\nG0 X0 Y0 Z5\n";

/// (condition, lines behind the head, id, level)
const ERRORS: &[(&str, &str, &str, Level)] = &[
    (
        "E1 character outside the set",
        "G1 X\u{2212}5",
        "bad-character",
        Stop,
    ),
    ("E1 control character", "G1 X1\u{0}0", "bad-character", Stop),
    ("E1 stray bracket", "G1 X10 )", "bad-character", Warn),
    (
        "E2 letter not in the language",
        "G1 U5",
        "unknown-word",
        Stop,
    ),
    ("E2 exponent", "G1 X1E3", "unknown-word", Stop),
    ("E3 letter without value", "G1 X", "missing-number", Stop),
    (
        "E3 unknown function",
        "G1 X ASIM[0.5]",
        "missing-number",
        Stop,
    ),
    ("E3 H without value", "G49 H", "missing-number", Warn),
    ("E4 malformed number", "G1 X1.2.3", "bad-number", Stop),
    (
        "E5 value overflows",
        "G1 X[10**400]",
        "number-not-finite",
        Stop,
    ),
    (
        "E6 comment not closed",
        "G1 X10 (oops",
        "unclosed-comment",
        Stop,
    ),
    (
        "E7 bracket in a comment",
        "G1 X10 (a (b) c)",
        "nested-comment",
        Warn,
    ),
    (
        "E8 line number without digits",
        "N G1 X1",
        "bad-line-number",
        Warn,
    ),
    ("E9 letter twice", "G1 X2 X3", "duplicate-word", Stop),
    (
        "E9 letter twice, same value",
        "G1 X2 X2",
        "duplicate-word",
        Warn,
    ),
    (
        "E10 two motion codes",
        "G0 G1 X10",
        "same-modal-group",
        Stop,
    ),
    ("E10 two planes", "G17 G18", "same-modal-group", Stop),
    ("E10 same code twice", "G1 G1 X10", "same-modal-group", Warn),
    ("E10 two spindle codes", "M3 M5", "same-modal-group", Warn),
    (
        "E10 end of a cycle beside a motion",
        "G80 G0 X10",
        "same-modal-group",
        Note,
    ),
    (
        "E11 five M words",
        "M3 M8 M48 M1 M6 T1",
        "too-many-m-words",
        Warn,
    ),
    ("E12 unknown G", "G5 X10", "unknown-g-code", Stop),
    ("E12 macro call", "G65 P9001 A1", "unknown-g-code", Stop),
    ("E12 rotation", "G68 X0 Y0 R45", "unknown-g-code", Stop),
    ("E12 machine-specific M", "M77", "unknown-m-code", Warn),
    ("E13 word without use", "G1 X10 Q5", "extra-word", Warn),
    ("E13 centre on a line", "G1 X10 I5", "extra-word", Stop),
    ("E14 parameter index", "G1 X#5400", "parameter-index", Stop),
    (
        "E15 setting without equal sign",
        "#1 5",
        "bad-parameter-setting",
        Stop,
    ),
    (
        "E16 bracket not closed",
        "G1 X[1+[2*3]",
        "unbalanced-bracket",
        Stop,
    ),
    ("E16 bad operator", "G1 X[1 % 2]", "bad-expression", Stop),
    (
        "E17 division by zero",
        "G1 X[1/0]",
        "division-by-zero",
        Stop,
    ),
    (
        "E17 root of a negative",
        "G1 X SQRT[-1]",
        "bad-function-argument",
        Stop,
    ),
    ("E18 not whole", "T1.5 M6", "not-integer", Stop),
    (
        "E22 motion code alone",
        "G1",
        "motion-code-without-axes",
        Note,
    ),
    (
        "E23 axis words under G80",
        "G80\nX10",
        "axis-words-without-motion",
        Stop,
    ),
    (
        "E24 arc without end point",
        "G2 I-10",
        "arc-no-endpoint",
        Warn,
    ),
    ("E25 arc without centre", "G2 X20 Y0", "arc-no-centre", Stop),
    (
        "E26 arc with R and centre",
        "G2 X10 Y10 I10 R10",
        "arc-mixed-format",
        Stop,
    ),
    (
        "E27 offset of the third axis",
        "G2 X10 Y10 I10 K5",
        "arc-wrong-plane-offset",
        Stop,
    ),
    (
        "E28 off the circle by 0.01 mm",
        "G0 X10\nG3 X0 Y10.01 I-10",
        "arc-off-circle",
        Stop,
    ),
    (
        "E28 off the circle by 0.004 mm",
        "G0 X10\nG3 X0 Y10.004 I-10",
        "arc-off-circle",
        Warn,
    ),
    (
        "E29 radius and same point",
        "G2 X0 Y0 R5",
        "arc-radius-same-point",
        Stop,
    ),
    (
        "E30 radius too small",
        "G2 X20 R9",
        "arc-radius-too-small",
        Stop,
    ),
    (
        "E30 chord 0.001 mm too long",
        "G2 X20.001 R10",
        "arc-radius-too-small",
        Warn,
    ),
    (
        "E30 centre on the start",
        "G2 X10 I0 J0",
        "arc-zero-radius",
        Stop,
    ),
    ("E31 no feed", "G95\nG94\nG1 X10", "feed-missing", Stop),
    ("E31 feed zero", "G1 X10 F0", "feed-missing", Stop),
    ("E32 negative feed", "G1 X10 F-100", "negative-feed", Stop),
    ("E32 negative speed", "S-5", "negative-speed", Warn),
    ("E32 negative tool", "T-1", "negative-tool", Warn),
    (
        "E33 inverse time without F",
        "G93 G1 X10",
        "inverse-time-feed-missing",
        Stop,
    ),
    ("E34 dwell without P", "G4", "dwell-missing-p", Warn),
    ("E34 negative dwell", "G4 P-1", "dwell-negative", Warn),
    ("E35 G10 not L2", "G10 L20 P1 X0", "bad-g10", Stop),
    (
        "E36 G53 in an arc",
        "G2 X10 I5\nG53 X0",
        "g53-without-g0-g1",
        Stop,
    ),
    ("E36 G53 without axis", "G53", "g53-no-axes", Warn),
    ("E37 G92 without axis", "G92", "g92-no-axes", Stop),
    (
        "E38 two codes want the axes",
        "G1 G28 X10",
        "group-0-and-1-axis-conflict",
        Stop,
    ),
    (
        "E38 rapid beside a reference point",
        "G0 G28 Z10",
        "group-0-and-1-axis-conflict",
        Warn,
    ),
    ("E39 G43 without H", "G43 Z5", "missing-h", Stop),
    ("E39 negative H", "G43 H-1", "bad-h", Stop),
    ("E40 D not whole", "G41 D1.5", "compensation-error", Stop),
    (
        "E40 compensation outside G17",
        "G18 G41 D1",
        "compensation-error",
        Stop,
    ),
    (
        "E40 compensation on when on",
        "G41 D1\nG42 D1",
        "compensation-error",
        Stop,
    ),
    (
        "E41 units under compensation",
        "G41 D1\nG20",
        "compensation-error",
        Stop,
    ),
    (
        "E41 reference point under compensation",
        "G41 D1\nG28",
        "compensation-error",
        Stop,
    ),
    (
        "E42 cycle without axes",
        "G81 R2",
        "cycle-no-axis-words",
        Stop,
    ),
    (
        "E43 cycle without depth",
        "G81 X10 R2",
        "cycle-missing-depth",
        Stop,
    ),
    (
        "E44 cycle without R",
        "G81 X10 Z-5",
        "cycle-missing-r",
        Stop,
    ),
    (
        "E45 R below the bottom",
        "G81 X10 Z5 R2",
        "cycle-r-below-depth",
        Stop,
    ),
    (
        "E46 cycle without dwell",
        "G82 X10 Z-5 R2",
        "cycle-missing-p",
        Warn,
    ),
    (
        "E46 negative dwell in a cycle",
        "G82 X10 Z-5 R2 P-1",
        "cycle-negative-p",
        Warn,
    ),
    (
        "E47 peck missing",
        "G83 X10 Z-5 R2",
        "cycle-missing-q",
        Stop,
    ),
    ("E47 peck zero", "G83 X10 Z-5 R2 Q0", "cycle-bad-q", Stop),
    (
        "E47 back bore without K",
        "G87 X10 Z-5 R2 I-3",
        "cycle-missing-k",
        Stop,
    ),
    ("E48 L zero", "G81 X10 Z-5 R2 L0", "cycle-bad-l", Stop),
    (
        "E48 K as count of repeats",
        "G81 X10 Z-5 R2 K1",
        "cycle-repeat-k",
        Warn,
    ),
    (
        "E49 cycle in inverse time",
        "G93 G81 X10 Z-5 R2 F1",
        "cycle-in-inverse-time",
        Stop,
    ),
    (
        "E49 cycle under compensation",
        "G41 D1\nG81 X10 Z-5 R2",
        "cycle-with-compensation",
        Stop,
    ),
    (
        "E50 tapping counterclockwise",
        "M4\nG84 X10 Z-5 R2",
        "cycle-spindle",
        Stop,
    ),
    ("E51 probe without axis", "G38.2", "probe-error", Stop),
    ("E51 probe too short", "G38.2 X0.1", "probe-error", Stop),
    ("E52 rotary axis", "G1 X5 A90", "rotary-axis", Stop),
    ("E52 rotary axis at zero", "G1 X5 A0", "rotary-axis", Warn),
    (
        "E53 subprogram that is not there",
        "M98 P1000",
        "subprogram-call",
        Stop,
    ),
    (
        "E53 M99 in the main program",
        "M99",
        "subprogram-call",
        Warn,
    ),
    ("E54 work system", "#5220=10", "bad-work-system", Stop),
    (
        "E55 feed a turn without speed",
        "S0 G95 F0.1\nG1 X10",
        "feed-per-rev-without-speed",
        Stop,
    ),
];

/// Conditions of the whole file: (condition, program, id, level)
const WHOLE: &[(&str, &str, &str, Level)] = &[
    (
        "E19 first % without a second",
        "%\nG21\nG1 X1",
        "percent-unclosed",
        Warn,
    ),
    ("E20 no end", "G21\nG0 X1\n", "no-program-end", Warn),
    ("E21 nothing in the file", "\n \n", "empty-program", Stop),
];

#[test]
fn each_error_condition_is_a_stop_or_a_warning() {
    let mut wrong = vec![];
    let own = ERRORS
        .iter()
        .map(|(what, lines, id, level)| (*what, format!("{HEAD}{lines}\nM2\n"), *id, *level));
    let whole = WHOLE
        .iter()
        .map(|(what, text, id, level)| (*what, (*text).to_owned(), *id, *level));
    for (what, text, id, level) in own.chain(whole) {
        let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
        let found: Vec<(&str, Level)> = summary.findings.iter().map(|f| (f.id, f.level)).collect();
        if !found.contains(&(id, level)) {
            wrong.push(format!("{what}: {found:?}, expected {id} as {level:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_condition_has_a_row() {
    for number in 1..=55 {
        let mark = format!("E{number} ");
        let rows = ERRORS
            .iter()
            .chain(WHOLE)
            .filter(|(what, ..)| what.starts_with(&mark))
            .count();
        assert!(rows > 0, "{mark}");
    }
}

#[test]
fn a_guess_is_marked_by_its_line_and_reading_goes_on() {
    let text = format!("{HEAD}G1 X10\nG5 X20\nG1 X30\nM2\n");
    let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
    assert_eq!(summary.uncertain_from, Some(4));
    assert_eq!(summary.extents.all.axis(0), Some((0.0, 30.0)));
    // A missing feed leaves the place known.
    let text = "G21 G90 M3 S1000\nG0 X0 Y0 Z5\nG1 X10\nM2\n";
    let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
    assert_eq!(summary.uncertain_from, None);
}

#[test]
fn a_finding_names_line_column_block_and_remedy() {
    let text = format!("{HEAD}G1 Y2 X\u{2212}5\nM2\n");
    let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
    let finding = summary
        .findings
        .iter()
        .find(|f| f.id == "bad-character")
        .expect("a finding");
    assert_eq!((finding.line, finding.column), (3, 8));
    assert_eq!(finding.block, "G1 Y2 X\u{2212}5");
    assert!(finding.message.contains("U+2212"));
    assert!(!finding.remedy.is_empty());
    // The axis whose number was cut is unknown from there on, the other is not.
    assert_eq!(summary.final_program_mm, [None, Some(2.0), Some(5.0)]);
}

#[test]
fn an_arc_with_absolute_centres_says_so() {
    let text = "G21 G90 M3 S1000 F600\nG0 X10 Y10 Z0\nG2 X20 Y20 I20 J10\nM2\n";
    let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
    let finding = summary
        .findings
        .iter()
        .find(|f| f.id == "arc-off-circle")
        .expect("a finding");
    assert!(
        finding.message.contains("absolute centre"),
        "{}",
        finding.message
    );
}
