//! Untidy programs of our own: each is read to its end, and what is wrong is named in its place.

use std::fs;
use std::path::Path;

use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::read::Summary;
use millside::program::read::read_bytes;
use millside::program::section::Turning;
use millside::program::summary::Units;

fn read(name: &str) -> Summary {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/programs/untidy")
        .join(name);
    read_bytes(
        &fs::read(path).expect("fixture is readable"),
        &ReadOptions::default(),
    )
}

/// Ids above a note with the line of their first place, gravest first.
fn found(summary: &Summary) -> Vec<(&str, Level, u64)> {
    summary
        .findings
        .iter()
        .filter(|f| f.level > Level::Note)
        .map(|f| (f.id, f.level, f.line))
        .collect()
}

fn notes(summary: &Summary) -> Vec<&str> {
    summary
        .findings
        .iter()
        .filter(|f| f.level == Level::Note)
        .map(|f| f.id)
        .collect()
}

#[test]
fn lower_case_words_run_together_are_a_program_like_any_other() {
    let summary = read("crlf_lower_case_run_together.nc");
    assert_eq!(found(&summary), []);
    assert_eq!(summary.units, Units::Mm);
    assert_eq!(summary.tools, [1]);
    // 6 down, then 20, 15, 20, 15.
    assert!((summary.path.feed_mm - 76.0).abs() < 1e-9);
    // 6 mm at 80 and 70 mm at 200 mm/min.
    assert!((summary.times.feed_ideal_s - (4.5 + 21.0)).abs() < 1e-9);
    let section = &summary.sections[0];
    assert_eq!(section.title, "bracket pocket, by hand");
    assert_eq!(section.tool_comment, "end mill 6");
    assert_eq!(section.s_rpm, Some(6000.0));
    assert_eq!((section.first_line, section.last_line), (3, 14));
}

#[test]
fn what_is_never_stated_is_said_and_taken_as_mm() {
    let summary = read("no_units_no_distance_no_end.nc");
    assert_eq!(
        found(&summary),
        [
            ("no-program-end", Level::Warn, 0),
            ("units-not-stated", Level::Warn, 3),
        ]
    );
    assert_eq!(summary.units, Units::AssumedMm);
    assert_eq!(summary.extents.all.axis(0), Some((0.0, 40.0)));
    assert!(summary.spindle_on_at_end && !summary.has_end);
}

#[test]
fn text_before_the_first_percent_is_no_program() {
    let summary = read("text_before_percent.nc");
    assert_eq!(found(&summary), []);
    assert_eq!(notes(&summary), ["text-before-percent", "program-number"]);
    assert_eq!(summary.uncertain_from, None);
    assert_eq!(summary.tools, [1]);
}

#[test]
fn a_stop_behind_a_tool_word_is_a_change_by_hand() {
    let summary = read("tool_change_by_hand_with_stop.nc");
    assert_eq!(found(&summary), []);
    let tools: Vec<Option<u32>> = summary.sections.iter().map(|s| s.tool).collect();
    assert_eq!(tools, [Some(1), Some(2)]);
    let second = &summary.sections[1];
    assert_eq!(second.title, "put in the 3 mm end mill");
    assert_eq!((second.first_line, second.last_line), (11, 19));
    assert_eq!(second.s_rpm, Some(8000.0));
}

#[test]
fn a_change_that_only_a_comment_names_is_warned_of() {
    let summary = read("change_only_in_a_comment.nc");
    assert_eq!(
        found(&summary),
        [("tool-change-in-comment", Level::Warn, 8)]
    );
    assert_eq!(summary.sections.len(), 1);
}

#[test]
fn a_preselected_tool_is_not_the_one_in_the_spindle() {
    let summary = read("preselected_tool.nc");
    assert_eq!(found(&summary), []);
    assert_eq!(summary.tools, [3, 7]);
    let sections: Vec<(Option<u32>, Option<u32>, u64)> = summary
        .sections
        .iter()
        .map(|s| (s.tool, s.h, s.holes))
        .collect();
    assert_eq!(sections, [(Some(3), Some(3), 2), (Some(7), Some(7), 0)]);
    assert_eq!(summary.sections[0].tool_comment, "drill 4");
    assert_eq!(summary.sections[1].tool_comment, "end mill 8");
    assert!(notes(&summary).contains(&"tool-selected-not-changed"));
}

#[test]
fn g92_names_the_place_and_begins_a_section_of_its_own() {
    let summary = read("g92_twice_in_incremental.nc");
    assert_eq!(found(&summary), [("g92-offset", Level::Warn, 2)]);
    // X 0 to 20 under the first name, 0 to 15 under the second.
    let x: Vec<_> = summary
        .sections
        .iter()
        .map(|s| s.extents.feed.axis(0))
        .collect();
    assert_eq!(x, [Some((0.0, 20.0)), Some((0.0, 15.0))]);
    assert!(summary.sections.iter().all(|s| s.has_g92));
}

#[test]
fn after_a_reference_point_the_place_is_unknown_until_stated() {
    let summary = read("home_between_tools.nc");
    assert_eq!(found(&summary), []);
    assert!(notes(&summary).contains(&"machine-position-unknown"));
    // Z of the machine's own zero is in no extent.
    assert_eq!(summary.extents.all.axis(2), Some((-2.0, 5.0)));
    assert_eq!(summary.final_program_mm, [None; 3]);
    assert_eq!(summary.tools, [1, 2]);
}

#[test]
fn text_and_unknown_letters_do_not_become_places() {
    let summary = read("words_that_are_text.nc");
    assert_eq!(
        found(&summary),
        [
            ("unknown-word", Level::Stop, 3),
            ("text-after-code", Level::Warn, 2),
            ("unknown-m-code", Level::Warn, 2),
            ("unknown-m-code", Level::Warn, 8),
        ]
    );
    assert_eq!(summary.uncertain_from, Some(3));
    // S600E41 is a speed of 600 and a word that is not read, not 600 times ten to the 41.
    assert_eq!(summary.sections[0].s_rpm, Some(600.0));
    assert_eq!(summary.extents.all.axis(0), Some((0.0, 20.0)));
}

#[test]
fn a_dwell_has_two_readings_and_no_place() {
    let summary = read("dwell_in_milliseconds.nc");
    assert_eq!(
        found(&summary),
        [
            ("dwell-units", Level::Warn, 3),
            ("dwell-missing-p", Level::Warn, 5)
        ]
    );
    assert!((summary.times.dwell_s - 4003.0).abs() < 1e-9);
    assert_eq!(summary.extents.all.axis(0), Some((0.0, 20.0)));
    assert_eq!(summary.sections[0].s_rpm, Some(3000.0));
}

#[test]
fn a_zero_on_the_table_cuts_above_zero() {
    let summary = read("zero_on_the_table.nc");
    assert_eq!(found(&summary), []);
    assert_eq!(summary.sections[0].lowest_z_mm, Some(2.0));
}

#[test]
fn a_new_work_offset_begins_a_section_with_its_place_unknown() {
    let summary = read("two_setups_with_stop.nc");
    assert_eq!(found(&summary), []);
    let systems: Vec<(usize, &str)> = summary
        .sections
        .iter()
        .map(|s| (s.work_system, s.title.as_str()))
        .collect();
    assert_eq!(systems, [(0, "FIRST SIDE"), (1, "SECOND SIDE")]);
    // The move from one system to the other has no length that is known.
    assert!((summary.path.rapid_mm - (51.0 + 52.0)).abs() < 1e-9);
}

#[test]
fn a_subprogram_of_the_file_runs_and_brings_its_units() {
    let summary = read("units_in_a_subprogram.nc");
    assert_eq!(found(&summary), []);
    assert!(notes(&summary).contains(&"subprogram-call"));
    assert_eq!(summary.units, Units::Mm);
    // Two runs of 3 mm down.
    assert!((summary.path.feed_mm - 6.0).abs() < 1e-9);
    assert_eq!(summary.sections[0].turning, Turning::Clockwise);
}

#[test]
fn macros_and_loops_are_named_and_never_run_away() {
    let summary = read("macro_without_arguments.nc");
    let stops: Vec<(&str, u64)> = found(&summary)
        .into_iter()
        .filter(|(_, level, _)| *level == Level::Stop)
        .map(|(id, _, line)| (id, line))
        .collect();
    assert_eq!(
        stops,
        [
            ("unknown-word", 4),
            ("unknown-g-code", 5),
            ("division-by-zero", 6)
        ]
    );
    assert_eq!(summary.uncertain_from, Some(4));
    // A B C of a macro call are arguments, not rotary axes.
    assert!(summary.findings.iter().all(|f| f.id != "rotary-axis"));
}

#[test]
fn brackets_in_comments_are_followed_as_far_as_they_close() {
    let summary = read("brackets_in_comments.nc");
    assert_eq!(
        found(&summary),
        [
            ("slash-comment", Level::Warn, 1),
            ("nested-comment", Level::Warn, 2),
            ("block-delete-present", Level::Warn, 6),
        ]
    );
    assert_eq!(summary.extents.feed.axis(0), Some((0.0, 20.0)));
}

#[test]
fn arcs_rounded_by_a_machine_are_taken_as_meant() {
    let summary = read("arcs_as_rounded_by_machines.nc");
    let before: Vec<(&str, Level, u64)> = found(&summary)
        .into_iter()
        .filter(|(_, _, line)| *line < 9)
        .collect();
    assert_eq!(
        before,
        [
            ("arc-off-circle", Level::Warn, 5),
            ("arc-no-endpoint", Level::Warn, 6),
            ("arc-radius-too-small", Level::Warn, 8),
            ("radius-arc-ill-conditioned", Level::Warn, 8),
        ]
    );
    // A corner word is a stop: the rounded corner is not followed.
    assert_eq!(summary.uncertain_from, Some(9));
}

#[test]
fn the_start_of_the_first_cut_is_in_the_feed_extents() {
    let options = ReadOptions {
        start_mm: [Some(0.0); 3],
        ..ReadOptions::default()
    };
    let summary = read_bytes(
        b"G21 G90 M3 S1 F100\nG1 X10 Y5 Z-1\nX20\nG0 Z5\nG1 X3\nM30\n",
        &options,
    );
    assert_eq!(summary.extents.feed.axis(0), Some((0.0, 20.0)));
    assert_eq!(summary.extents.feed.axis(2), Some((-1.0, 5.0)));
}
