//! Fourteen traps of real programs, one test each (common practice, no source; seen in a count over
//! 188 published programs). Those that whole programs show stand in `program_untidy.rs` and `check_plates.rs`.

use std::fs;
use std::path::Path;
use std::time::Duration;

use millside::check;
use millside::check::Against;
use millside::job::stock::StockSize;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::read::Summary;
use millside::program::read::read_bytes;
use millside::program::summary::Units;

fn read(text: &str) -> Summary {
    read_bytes(text.as_bytes(), &ReadOptions::default())
}

fn fixture(name: &str) -> Summary {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/programs")
        .join(name);
    read_bytes(
        &fs::read(path).expect("fixture is readable"),
        &ReadOptions::default(),
    )
}

fn has(summary: &Summary, id: &str) -> bool {
    summary.findings.iter().any(|f| f.id == id)
}

fn blank(x_mm: f64, y_mm: f64, z_mm: f64) -> Against {
    Against {
        stock: Some(StockSize { x_mm, y_mm, z_mm }),
        ..Against::default()
    }
}

#[test]
fn trap_1_a_program_may_cut_above_zero_only() {
    let summary = fixture("untidy/zero_on_the_table.nc");
    let report = check::check(&summary, &blank(60.0, 10.0, 15.0));
    assert!(report.findings.iter().all(|f| f.id != "nothing-is-cut"));
    let best = &report.zero_candidates[0];
    assert!(best.fits);
    assert_eq!(
        best.zero.to_string(),
        "left-front-bottom",
        "{}",
        best.sentence
    );
}

#[test]
fn trap_2_rapids_below_zero_into_cleared_places_are_no_crowd_of_findings() {
    let summary = fixture("plates/clearing_with_ramps.nc");
    assert!(summary.findings.iter().all(|f| f.level < Level::Warn));
}

#[test]
fn trap_3_feed_moves_at_clearance_are_no_cuts() {
    // Almost no G0: the feed extents hold the clearance height and the way from outside.
    let text = "G21 G90 M3 S5000\nG0 X-60 Y-40 Z20\nG1 X10 Y10 Z5 F2000\nZ-1 F100\nX50 F300\nY30\nG1 Z5 F2000\nX-60 Y-40\nM30\n";
    let summary = read(text);
    assert_eq!(summary.extents.feed.axis(0), Some((-60.0, 50.0)));
    let report = check::check(&summary, &blank(60.0, 40.0, 10.0));
    let best = &report.zero_candidates[0];
    assert!(best.fits && best.overhang_mm < 1e-9, "{}", best.sentence);
    assert_eq!(best.zero.to_string(), "left-front-top");
}

#[test]
fn trap_4_the_feed_of_a_retract_lives_on() {
    let text = "G21 G90 M3 S5000\nG0 X0 Y0 Z5\nG1 Z-1 F80\nX20 F300\nG1 Z5 F1500\nG0 X0 Y10\nG1 Z-1\nX20\nM30\n";
    let summary = read(text);
    let section = &summary.sections[0];
    // The second plunge runs at the retract's feed: the highest feed reaches below zero.
    assert_eq!(section.feed_highest_mm_min, Some(1500.0));
    let at_1500: f64 = section
        .feeds
        .iter()
        .filter(|f| (f.feed_mm_min - 1500.0).abs() < 1e-9)
        .map(|f| f.length_mm)
        .sum();
    assert!((at_1500 - (6.0 + 6.0 + 20.0)).abs() < 1e-9);
}

#[test]
fn trap_5_several_zeros_and_programs_pasted_together_are_named() {
    let summary = fixture("untidy/two_setups_with_stop.nc");
    let report = check::check(&summary, &Against::default());
    assert!(report.findings.iter().any(|f| f.id == "several-zeros"));
    let pasted = read("G21 G90 M3 S1\nG0 X0 Y0 Z1\nG1 X1 F100\nM30\nG21 G90\nG1 X99 F100\nM30\n");
    let finding = pasted
        .findings
        .iter()
        .find(|f| f.id == "text-after-end")
        .expect("named");
    assert_eq!((finding.level, finding.line), (Level::Warn, 5));
    assert_eq!(pasted.extents.all.axis(0), Some((0.0, 1.0)));
}

#[test]
fn trap_6_after_a_machine_move_the_place_is_unknown() {
    // G53 relies on the G0 in force; G28 without axes.
    let text = "G21 G90 G0 X1 Y1 Z1\nG53 Z0\nX5\nG28\nG0 X2\nM30\n";
    let summary = read(text);
    assert!(!has(&summary, "g53-without-g0-g1"));
    assert_eq!(summary.final_program_mm, [Some(2.0), None, None]);
    // 4 mm from X1 to X5 is known; the ways to and from the machine's own points are not.
    assert!((summary.path.rapid_mm - 4.0).abs() < 1e-9);
}

#[test]
fn trap_7_g92_at_the_start_names_an_unknown_place() {
    let summary = fixture("untidy/g92_twice_in_incremental.nc");
    assert_eq!(summary.extents.all.axis(2), Some((-1.0, 9.0)));
    // Naming twice without a move between begins no empty section.
    let twice = read("G21 G90\nG92 X0 Y0 Z0\nG92 Z5\nM3 S1\nG1 X5 F100\nM30\n");
    assert_eq!(twice.sections.len(), 1);
    assert_eq!(twice.extents.all.axis(2), Some((5.0, 5.0)));
}

#[test]
fn trap_8_tool_changes_of_every_kind() {
    assert!(has(
        &read("G21 G90\nM6\nM30\n"),
        "tool-change-without-tool-word"
    ));
    let t_only = read("G21 G90 M3 S1\nT4\nG0 X0 Y0 Z0\nG1 X1 F10\nM30\n");
    assert!(has(&t_only, "tool-selected-not-changed"));
    assert_eq!(t_only.sections[0].tool, Some(4));
    let empty = read("G21 G90\nT0 M6\nG0 X1\nM30\n");
    assert_eq!(empty.tools, [0]);
    // The same tool twice in a row is two sections of one tool.
    let again = read("G21 G90\nT1 M6\nM3 S1\nG0 Z0\nG1 X1 F10\nT1 M6\nM3\nG1 X2\nM30\n");
    assert_eq!(again.tools, [1, 1]);
    assert_eq!(again.sections.len(), 2);
}

#[test]
fn trap_9_units_late_and_wrong() {
    let late = read("G90 G0 X1\nG20 G0 X1\nM3 S1\nG1 X2 F10\nM30\n");
    assert!(has(&late, "units-not-stated") && has(&late, "units-mixed"));
    assert_eq!(late.units, Units::AssumedMm);
    // Says inch while its numbers are mm.
    let wrong = read("G20 G90 M3 S1\nG0 X5 Y5 Z5\nG1 Z-1 F10\nX115\nY85\nX5\nY5\nG0 Z5\nM30\n");
    let report = check::check(&wrong, &blank(120.0, 90.0, 12.0));
    let stop = report
        .findings
        .iter()
        .find(|f| f.id == "units-do-not-fit")
        .expect("named");
    assert_eq!(stop.level, Level::Stop);
    assert!(report.zero_candidates[0].fits);
    assert_eq!(report.zero_candidates[0].units, Units::Mm);
}

#[test]
fn trap_10_words_that_are_not_what_they_look_like() {
    let summary = read("G21 G90\nT2 M6\nG43 H7 Z5\nM3 S600E41\nG0 X0 Y0\nG1 X5 F100\nM30\n");
    let report = check::check(&summary, &Against::default());
    assert!(report.findings.iter().any(|f| f.id == "h-unlike-t"));
    assert_eq!(summary.sections[0].s_rpm, Some(600.0));
    let corner = read("G21 G90 M3 S1 F9\nG0 X0 Y0 Z0\nG1 X5 , R 15\nM30\n");
    assert_eq!(corner.uncertain_from, Some(3));
}

#[test]
fn trap_11_words_of_a_dwell_are_neither_speed_nor_place() {
    let summary =
        read("G21 G90 M3 S900\nG0 X1 Y1 Z1\nG4 S2\nG4 X3\nG1 X2 F100\nG49 H0\nG40 D\nM30\n");
    assert_eq!(summary.sections[0].s_highest_rpm, Some(900.0));
    assert_eq!(summary.extents.all.axis(0), Some((1.0, 2.0)));
    assert_eq!(summary.uncertain_from, None);
}

#[test]
fn trap_12_loops_without_end_are_bounded() {
    let begin = std::time::Instant::now();
    // Calls itself; calls in circles; repeats without end.
    for text in [
        "G21\nM98 P1\nM30\nO1\nG91 G0 X1\nM98 P1\nM99\n",
        "G21\nM98 P1\nM30\nO1\nM98 P2\nM99\nO2\nM98 P1\nM99\n",
        "G21\nM98 P1 L999999999\nM30\nO1\nM98 P2 L999999999\nM99\nO2\nG91 G0 X1\nM99\n",
    ] {
        let summary = read(text);
        assert!(
            has(&summary, "subprogram-depth") || has(&summary, "endless-program"),
            "{text}"
        );
        assert!(summary.uncertain_from.is_some());
    }
    // Repeats of pecks beyond all reason, alone and in a subprogram.
    let pecks = "G21 G90 M3 S1 F1\nG0 X0 Y0 Z5\nG99 G83 X1 Z-100 R1 Q0.00001 L99999999\nM30\n";
    assert!(has(&read(pecks), "cycle-bad-l"));
    let called = "G21 G90 M3 S1 F1\nG0 X0 Y0 Z5\nM98 P1 L99999\nM30\nO1\nG99 G83 X1 Z-100 R1 Q0.1 L9999\nG80\nM99\n";
    assert!(has(&read(called), "endless-program"));
    // A bound on work, not a measurement: without it this would never end.
    assert!(begin.elapsed() < Duration::from_secs(60));
}

#[test]
fn trap_13_short_segments_are_counted_as_they_are() {
    let summary = fixture("plates/dome_in_short_lines.nc");
    let moves = summary.moves.feed as f64;
    assert!(moves > 10_000.0);
    assert!(summary.path.feed_mm / moves < 1.0);
}

#[test]
fn trap_14_long_numbers_are_exact() {
    let summary =
        read("G21 G90\nG0 X0.10000000000000001 Y12.345678901234567 Z-0.00000000000000001\nM30\n");
    assert_eq!(summary.final_program_mm[0], Some(0.1));
    assert_eq!(summary.final_program_mm[1], Some(12.345_678_901_234_567));
}

#[test]
fn a_subprogram_that_calls_itself_is_left_out_at_once() {
    let text = "G21 G90 M3 S1000\nG0 X0 Y0 Z5\nM98 P1 L2\nM5\nM30\nO1\nM98 P2\nM99\nO2\nG1 X1 F100\nM98 P1 L9999\nX0\nM99\n";
    let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
    let finding = summary
        .findings
        .iter()
        .find(|f| f.id == "subprogram-depth")
        .expect("found");
    assert_eq!((finding.level, finding.line), (Level::Stop, 11));
    // Twice through both programs: out and back each time.
    assert_eq!((finding.count, summary.moves.feed), (2, 4));
}
