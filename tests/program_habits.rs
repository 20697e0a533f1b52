//! Habits of real programs (common practice, no source) that are read as they are meant: messages, bare axis
//! letters, G92 at the start, stops before a tool change, titles, programs that only position.

use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::summary::Summary;

fn examine(text: &str) -> (Summary, Report) {
    check::examine(
        text.as_bytes(),
        &ReadOptions::default(),
        &Against::default(),
    )
    .expect("bytes are readable")
}

/// Ids of the findings above a note with their lines.
fn found(text: &str) -> Vec<(&'static str, u64)> {
    let (_, report) = examine(text);
    let graver = report.findings.iter().filter(|f| f.level > Level::Note);
    graver.map(|f| (f.id, f.line)).collect()
}

#[test]
fn a_message_that_looks_like_words_moves_nothing() {
    for message in [
        "M117  2D Contour1",
        "M117 X100 Y5",
        "M117 Z-20 next",
        "M117\tR5",
    ] {
        let text = format!(
            "G21 G90 G17\nS3000 M3\nG0 X0 Y0 Z5\n{message}\nG1 Z-1 F100\nX10\nG0 Z5\nM5\nM30\n"
        );
        assert_eq!(
            found(&text),
            [("text-after-code", 4), ("unknown-m-code", 4)],
            "{message}"
        );
        let (summary, _) = examine(&text);
        assert_eq!(summary.extents.all.axis(0), Some((0.0, 10.0)), "{message}");
        assert_eq!(summary.extents.all.axis(2), Some((-1.0, 5.0)), "{message}");
        assert_eq!(summary.uncertain_from, None);
    }
    // NISTIR 6556, 3.3: blanks mean nothing inside a number.
    let (summary, _) = examine("G21 G90\nG0 X0 Y0 Z5\nG0 X1 0\nM 3 0\n");
    assert_eq!(summary.extents.all.axis(0), Some((0.0, 10.0)));
    assert!(summary.has_end);
}

#[test]
fn a_bare_axis_letter_behind_a_reference_code_names_the_axis() {
    let program = |home: &str| {
        format!(
            "G21 G90 G17\nS1000 M3\nG0 X0 Y0 Z3\nG1 X100 F100\n{home}\nG90\nG1 X0\nG1 Y50\nM5\nM30\n"
        )
    };
    for home in ["G28 X", "G30 X", "G91 G28 X", "G28X"] {
        let text = program(home);
        let ids: Vec<&str> = found(&text).into_iter().map(|(id, _)| id).collect();
        assert!(!ids.contains(&"missing-number"), "{home}: {ids:?}");
        let (summary, _) = examine(&text);
        assert_eq!(summary.uncertain_from, None, "{home}");
        // Only X has left: Y and Z are where they were, and X comes back with its number.
        assert_eq!(
            summary.final_program_mm,
            [Some(0.0), Some(50.0), Some(3.0)],
            "{home}"
        );
        // 100 mm along X there; the way back has no beginning that is known; 50 mm along Y.
        assert!((summary.path.feed_mm - 150.0).abs() < 1e-9, "{home}");
    }
    let (summary, _) = examine(&program("G91 G28 Z"));
    assert_eq!(summary.final_program_mm, [Some(0.0), Some(50.0), None]);
    // Everywhere else a letter without its number is none.
    assert!(found(&program("G1 X")).contains(&("missing-number", 5)));
    assert!(found(&program("G53 G0 Z")).contains(&("missing-number", 5)));
}

#[test]
fn a_bare_axis_goes_to_the_reference_point_that_is_known() {
    let options = ReadOptions {
        start_mm: [Some(1.0), Some(2.0), Some(3.0)],
        origins_mm: Some([[10.0, 20.0, 30.0]; 9]),
        g28_mm: Some([0.0; 3]),
        ..ReadOptions::default()
    };
    let (summary, _) = check::examine(&b"G21 G90\nG28 Z\nM30\n"[..], &options, &Against::default())
        .expect("bytes are readable");
    // The machine's zero lies at Z-30 of the program; X and Y stay.
    assert_eq!(
        summary.final_program_mm,
        [Some(1.0), Some(2.0), Some(-30.0)]
    );
}

#[test]
fn g92_that_names_the_axes_that_move_states_the_start() {
    let whole = "G21 G91 G17\nM3 S8000\nG92 X0 Y0 Z5\nG1 Z-6 F100\nX20 F400\nY10\nG0 Z6\nM5\nM30\n";
    let (summary, report) = examine(whole);
    assert!(report.findings.iter().all(|f| f.id != "start-not-stated"));
    assert_eq!(summary.extents.all.axis(0), Some((0.0, 20.0)));
    assert_eq!(summary.extents.all.axis(2), Some((-1.0, 5.0)));
    // Z stays where it is: X and Y alone need a place.
    let flat = "G21 G91 G17\nM3 S8000\nG92 X0 Y0\nG1 X20 F400\nY10\nM5\nM30\n";
    assert!(found(flat).iter().all(|(id, _)| *id != "start-not-stated"));
    // It moves along Z as well: that place is not known.
    let deep = "G21 G91 G17\nM3 S8000\nG92 X0 Y0\nG1 Z-1 F100\nX20\nM5\nM30\n";
    assert!(found(deep).contains(&("start-not-stated", 4)));
    // An arc needs the place of both axes of its plane, even if it comes back to it.
    let arc = "G21 G91 G17\nM3 S8000\nG92 X0 Z0\nG1 X20 F100\nG3 X0 Y0 I5\nM5\nM30\n";
    assert!(found(arc).contains(&("start-not-stated", 5)));
}

#[test]
fn a_program_that_only_positions_is_no_stop() {
    let by_hand = "G21 G90\nG0 Z20\nG0 X10 Y10\nM0\nG0 X30 Y10\nM0\nG0 X0 Y0\nM30\n";
    assert_eq!(found(by_hand), []);
    let (_, report) = examine(by_hand);
    let said = report.findings.iter().find(|f| f.id == "nothing-is-cut");
    assert_eq!(said.map(|f| f.level), Some(Level::Note));
    // Nothing at all is still a reason to look.
    assert!(found("G21 G90\nM3 S1000\nM30\n").contains(&("nothing-is-cut", 0)));
}

#[test]
fn a_stop_before_a_change_is_no_change_in_a_comment() {
    let program = |change: &str| {
        format!(
            "G21 G90 G17\nT1 M6\nM3 S8000\nG0 X0 Y0 Z5\nG1 Z-1 F100\nX10\nG0 Z5\nM5\n{change}\nM3 S6000\nG1 Z-1\nX0\nG0 Z5\nM5\nM30\n"
        )
    };
    let has = |change: &str| {
        found(&program(change))
            .into_iter()
            .any(|(id, _)| id == "tool-change-in-comment")
    };
    assert!(!has("(tool change: drill 5 mm)\nM01\nT2 M06"));
    assert!(!has("(next tool)\nM0\nG0 Z50\nM6 T2"));
    assert!(has("(tool change: drill 5 mm)\nM01"));
    // A change behind the next cuts is another one.
    assert!(has(
        "(tool change: drill 5 mm)\nM01\nM3\nG1 Z-1\nG0 Z5\nM5\nT2 M6"
    ));
}

#[test]
fn commented_out_code_is_no_title() {
    let (summary, _) = examine(
        "G21 G90 G17\n(POCKET)\n(G1 X50 F100)\nT1 M6\nM3 S8000\nG0 X0 Y0 Z5\nG1 Z-1 F100\nX10\nG0 Z5\n(DRILL)\n(M8)\nT2 M6\nM3\nG1 Z-2\nG0 Z5\nM30\n",
    );
    let titles: Vec<&str> = summary.sections.iter().map(|s| s.title.as_str()).collect();
    assert_eq!(titles, ["POCKET", "DRILL"]);
}
