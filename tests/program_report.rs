//! The programs printed in NISTIR 6556 (Kramer, Proctor, Messina, 17 August 2000; US government work)
//! against results counted and summed by hand from the report.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use millside::program::finding::Level;
use millside::program::fold::Fold;
use millside::program::motion::Kind;
use millside::program::motion::Motion;
use millside::program::read::ReadOptions;
use millside::program::read::Summary;
use millside::program::read::read_bytes;
use millside::program::read::read_with;

fn text(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/programs/nistir6556")
        .join(name);
    fs::read(path).expect("fixture is readable")
}

/// Start and machine as the report's interpreter has them: all known, all zero.
fn at(start: [f64; 3]) -> ReadOptions {
    ReadOptions {
        start_mm: start.map(Some),
        origins_mm: Some([[0.0; 3]; 9]),
        tool_lengths_mm: Some(BTreeMap::from([(1, 50.8), (2, 1.0)])),
        peck_backoff_mm: 0.254,
        pecks_to_clear: true,
        ..ReadOptions::default()
    }
}

#[derive(Default)]
struct Ends(Vec<(Kind, [f64; 3])>);

impl Fold for Ends {
    fn motion(&mut self, motion: &Motion) {
        if motion.length_mm > 0.0 {
            self.0.push((motion.kind, motion.to));
        }
    }
    fn dwell(&mut self, _seconds: f64) {}
}

fn ends(text: &[u8], options: &ReadOptions) -> Vec<(Kind, [f64; 3])> {
    let mut ends = Ends::default();
    read_with(text, options, &mut ends).expect("bytes are readable");
    ends.0
}

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted}");
}

fn final_point(summary: &Summary, wanted: [f64; 3]) {
    for (axis, wanted) in wanted.into_iter().enumerate() {
        near(summary.final_program_mm[axis].expect("known"), wanted, 1e-6);
    }
}

fn ids(summary: &Summary) -> Vec<&str> {
    summary.findings.iter().map(|f| f.id).collect()
}

#[test]
fn hello_world_is_as_counted_by_hand() {
    // Appendix C.1: 12 plunges of 2.5 and letters of 153.4305 mm at F20.
    let summary = read_bytes(&text("c1-hello-world.nc"), &at([0.0; 3]));
    final_point(&summary, [81.0, 5.0, 50.0]);
    let all = summary.extents.all;
    assert_eq!((all.min, all.max), ([0.0, 0.0, -0.5], [81.0, 10.0, 50.0]));
    assert_eq!(summary.extents.feed.axis(2), Some((-0.5, 2.0)));
    let moves = summary.moves;
    assert_eq!((moves.rapid, moves.feed, moves.arc), (25, 29, 5));
    near(summary.path.rapid_mm, 252.0528, 1e-3);
    near(summary.path.feed_mm, 183.4305, 1e-3);
    near(summary.times.feed_ideal_s, 550.291, 1e-2);
    assert_eq!(summary.tools, [1]);
    assert_eq!(summary.uncertain_from, None);
    assert!(summary.findings.iter().all(|f| f.level < Level::Stop));
}

#[test]
fn expressions_give_the_values_printed_beside_them() {
    // Appendix C.2: the comments hold the values; n0220 and n0390 use rounded constants.
    let source = String::from_utf8(text("c2-expressions.nc")).expect("text");
    let mut checked = 0;
    let mut settings = String::new();
    for line in source.lines().filter(|l| l.starts_with('n')) {
        let wanted = line
            .split_once("(x should be ")
            .and_then(|(_, rest)| rest.split([',', ')']).next())
            .and_then(|v| v.trim().parse::<f64>().ok());
        let code = line.split('(').next().expect("a line");
        if let Some(wanted) = wanted {
            let program = format!("g21 g1 f20\n{settings}{code}\n");
            let summary = read_bytes(program.as_bytes(), &at([99.0, 0.0, 0.0]));
            near(summary.final_program_mm[0].expect("known"), wanted, 1e-3);
            checked += 1;
        }
        settings.push_str(code);
        settings.push('\n');
    }
    assert_eq!(checked, 42);
    let summary = read_bytes(source.as_bytes(), &at([0.0; 3]));
    final_point(&summary, [5.0, 0.0, 0.0]);
    near(summary.path.feed_mm, 330.2440, 1e-3);
    assert_eq!((summary.moves.feed, summary.moves.zero), (40, 6));
    assert!(ids(&summary).contains(&"spindle-stopped"));
    let n0460 =
        "g1 f20 x [2 + asin[1/2.1+-0.345] / [atan[fix[4.4] * 2.1 * sqrt[16.8]] /[-18]]**2]\n";
    let summary = read_bytes(n0460.as_bytes(), &at([0.0; 3]));
    near(summary.final_program_mm[0].expect("known"), 2.000545, 1e-6);
}

#[test]
fn canned_cycles_are_as_followed_by_hand() {
    // Appendix C.3, H1 = 2 in, back-off 0.01 in, start at spindle zero.
    let summary = read_bytes(&text("c3-canned-cycles.nc"), &at([0.0; 3]));
    final_point(&summary, [33.8 * 25.4, 31.0 * 25.4, 33.0 * 25.4]);
    let moves = summary.moves;
    assert_eq!((moves.rapid, moves.feed), (205, 90));
    near(summary.path.feed_mm / 25.4, 305.68, 1e-6);
    near(summary.path.rapid_mm / 25.4, 2604.727, 1e-3);
    near(summary.times.dwell_s, 3625.1892, 1e-6);
    near(summary.times.feed_ideal_s, 1146.30, 1e-6);
    for (axis, (low, high)) in [(-6.0, 62.0), (-4.0, 69.8), (-4.0, 35.0)]
        .into_iter()
        .enumerate()
    {
        let (l, h) = summary.extents.all.axis(axis).expect("known");
        near(l / 25.4, low, 1e-6);
        near(h / 25.4, high, 1e-6);
    }
}

#[test]
fn the_drilling_examples_make_the_moves_of_the_report() {
    // Section 3.5.16.2.
    let start = at([1.0, 2.0, 3.0]);
    let one = ends(&text("g81-example-1.nc"), &start);
    assert_eq!(
        one,
        [
            (Kind::Rapid, [4.0, 5.0, 3.0]),
            (Kind::Rapid, [4.0, 5.0, 2.8]),
            (Kind::Feed, [4.0, 5.0, 1.5]),
            (Kind::Rapid, [4.0, 5.0, 3.0]),
        ]
    );
    let two = ends(&text("g81-example-2.nc"), &start);
    let expected = [
        (Kind::Rapid, [1.0, 2.0, 4.8]),
        (Kind::Rapid, [5.0, 7.0, 4.8]),
        (Kind::Feed, [5.0, 7.0, 4.2]),
        (Kind::Rapid, [5.0, 7.0, 4.8]),
        (Kind::Rapid, [9.0, 12.0, 4.8]),
        (Kind::Feed, [9.0, 12.0, 4.2]),
        (Kind::Rapid, [9.0, 12.0, 4.8]),
        (Kind::Rapid, [13.0, 17.0, 4.8]),
        (Kind::Feed, [13.0, 17.0, 4.2]),
        (Kind::Rapid, [13.0, 17.0, 4.8]),
    ];
    assert_eq!(two.len(), expected.len());
    for ((kind, to), (wanted_kind, wanted)) in two.into_iter().zip(expected) {
        assert_eq!(kind, wanted_kind);
        for axis in 0..3 {
            near(to[axis], wanted[axis], 1e-9);
        }
    }
}

#[test]
fn the_typed_session_makes_the_moves_of_the_report() {
    // Table 10: typing went on after M2, so the lines are handed over without it.
    let source = String::from_utf8(text("table10-session.nc")).expect("text");
    let before = source.replace("m2\n", "");
    let found = ends(before.as_bytes(), &at([0.0; 3]));
    let expected = [
        (Kind::Feed, [3.0, 1.0, 0.0]),
        (Kind::Arc, [0.0, 1.0, 0.5]),
        (Kind::Feed, [30.0, 1.0, -0.5]),
        (Kind::Rapid, [30.0, 1.0, 1.0]),
        (Kind::Rapid, [33.0, 3.0, 1.0]),
        (Kind::Feed, [33.0, 3.0, 0.2]),
        (Kind::Rapid, [33.0, 3.0, 1.0]),
        (Kind::Rapid, [36.0, 5.0, 1.0]),
        (Kind::Feed, [36.0, 5.0, 0.2]),
        (Kind::Rapid, [36.0, 5.0, 1.0]),
    ];
    // The line with asim is refused, so X is unknown until asin[0.5] names it.
    let known: Vec<(Kind, [f64; 3])> = found
        .into_iter()
        .filter(|(_, to)| to[2] != 0.5 || to[0] == 0.0)
        .collect();
    let kinds: Vec<Kind> = known.iter().map(|(kind, _)| *kind).collect();
    let summary = read_bytes(before.as_bytes(), &at([0.0; 3]));
    final_point(&summary, [36.0, 5.0, 1.0]);
    assert!(ids(&summary).contains(&"missing-number"));
    for (kind, to) in &expected[3..] {
        assert!(
            known
                .iter()
                .any(|(k, t)| k == kind && (0..3).all(|i| (t[i] - to[i]).abs() < 1e-9)),
            "{kind:?} {to:?} not among {kinds:?}"
        );
    }
    assert_eq!(known[0].0, Kind::Feed);
    assert_eq!(known[1].0, Kind::Arc);
}

#[test]
fn the_compensation_contours_are_as_summed_by_hand() {
    // Appendix B, tables 12 and 13.
    for (name, end, length) in [
        ("table12-material-edge-contour.nc", [2.0, 3.0, 0.0], 25.9530),
        ("table13-nominal-path-contour.nc", [2.0, 3.5, 0.0], 28.4303),
    ] {
        let summary = read_bytes(&text(name), &at([0.0; 3]));
        final_point(&summary, end);
        assert_eq!((summary.moves.feed, summary.moves.arc), (5, 5));
        near(summary.path.feed_mm, length, 1e-4);
        assert!(ids(&summary).contains(&"cutter-compensation"));
    }
    let summary = read_bytes(&text("table12-material-edge-contour.nc"), &at([0.0; 3]));
    assert_eq!(summary.extents.all.axis(0), Some((-3.0, 3.0)));
    assert_eq!(summary.extents.all.axis(1), Some((-2.0, 5.0)));
    let summary = read_bytes(&text("table13-nominal-path-contour.nc"), &at([0.0; 3]));
    assert_eq!(summary.extents.all.axis(0), Some((-3.5, 3.5)));
    assert_eq!(summary.extents.all.axis(1), Some((-2.5, 5.0)));
}

#[test]
fn a_template_with_open_places_is_uncertain_from_its_first_one() {
    // Table 6: `<` stands where a number belongs; line 7 of the file is N050.
    let summary = read_bytes(&text("table6-probe-hole.nc"), &at([0.0; 3]));
    assert_eq!(summary.uncertain_from, Some(7));
    let first = summary
        .findings
        .iter()
        .find(|f| f.line == 7)
        .expect("a finding");
    assert_eq!(first.level, Level::Stop);
}
