//! The path swept through the blank: what is cut, what comes free, what is hit.
//! Programs and blanks of our own; expected places by hand from the programs.

#[path = "support/plate.rs"]
mod plate;

use millside::check;
use millside::check::Against;
use millside::check::against::ToolFacts;
use millside::job::holding::HeldBy;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::time::limits::Corner;
use millside::program::time::limits::MotionLimits;

use plate::HEAD;
use plate::examine;
use plate::find;
use plate::plate;
use plate::with_tool;

/// A square contour 60 x 40 from (30,25) at a depth, as one pass; `tab` is the height that two tabs keep.
fn contour(depth: f64, tab: Option<f64>) -> String {
    let mut text = format!("G0 X30 Y25 Z5\nG1 Z{depth} F200\n");
    match tab {
        None => text.push_str("X90 F500\n"),
        Some(z) => text.push_str(&format!("X50 F500\nZ{z}\nX60\nZ{depth}\nX90\n")),
    }
    text.push_str("Y65\n");
    match tab {
        None => text.push_str("X30\n"),
        Some(z) => text.push_str(&format!("X60\nZ{z}\nX50\nZ{depth}\nX30\n")),
    }
    text.push_str("Y25\nG0 Z5\n");
    text
}

#[test]
fn a_closed_contour_through_the_blank_frees_the_part() {
    let body = contour(-6.0, None) + &contour(-12.2, None);
    let (_, report) = examine(&body, &plate());
    let finding = find(&report, "part-comes-free").expect("found");
    assert_eq!(finding.level, Level::Stop);
    // Three lines of head, seven of the first pass; the contour closes in the sixth line of the second.
    assert_eq!(finding.line, 3 + 7 + 6);
    // The contour's middle less the tool: 54 x 34 mm.
    assert!(finding.message.contains("54 x 3"), "{}", finding.message);
}

#[test]
fn what_is_bonded_to_the_table_is_warned_of_only() {
    let against = Against {
        held_by: Some(HeldBy::Tape),
        ..plate()
    };
    let (_, report) = examine(&contour(-12.2, None), &against);
    assert_eq!(
        find(&report, "part-comes-free").map(|f| f.level),
        Some(Level::Warn)
    );
}

#[test]
fn tabs_hold_the_part_and_are_counted() {
    let body = contour(-6.0, None) + &contour(-12.2, Some(-10.0));
    let (_, report) = examine(&body, &plate());
    assert!(find(&report, "part-comes-free").is_none());
    let finding = find(&report, "held-by-tabs").expect("named");
    assert!(finding.message.contains("2 tabs"), "{}", finding.message);
    assert!(
        finding.message.contains("2.0 mm high"),
        "{}",
        finding.message
    );
    // The tool's middle is up for 10 mm; what its 6 mm leave at the narrowest is 4.
    assert!(
        finding.message.contains("4 mm wide at the neck"),
        "{}",
        finding.message
    );
}

#[test]
fn the_piece_that_is_named_is_the_part_and_not_the_frame_round_it() {
    // 86 x 66 mm of path with 6 mm of tool leave a part of 80 x 60 and a frame 4 mm wide.
    let against = Against {
        stock: Some(StockSize {
            x_mm: 100.0,
            y_mm: 80.0,
            z_mm: 12.0,
        }),
        ..plate()
    };
    let body = "G0 X7 Y7 Z5\nG1 Z-12.2 F200\nY73 F600\nX93\nY7\nX7\nG0 Z5\n";
    let (_, report) = examine(body, &against);
    let finding = find(&report, "part-comes-free").expect("found");
    assert!(
        finding.message.contains("about 80 x 60 mm")
            || finding.message.contains("about 80 x 61 mm"),
        "{}",
        finding.message
    );
    assert!(
        finding.message.contains("50 mm from the left and 40 mm"),
        "{}",
        finding.message
    );
}

#[test]
fn a_foil_is_not_taken_for_a_skin() {
    let (_, report) = examine(&contour(-11.95, None), &plate());
    let finding = find(&report, "held-by-tabs").expect("named");
    assert_eq!(finding.level, Level::Warn);
    assert!(
        finding.message.contains("foil of about 0.05 mm"),
        "{}",
        finding.message
    );
}

#[test]
fn one_tab_is_one_tab() {
    let body =
        "G0 X30 Y25 Z5\nG1 Z-12.2 F200\nX50 F500\nZ-10\nX60\nZ-12.2\nX90\nY65\nX30\nY25\nG0 Z5\n";
    let (_, report) = examine(body, &plate());
    let finding = find(&report, "held-by-tabs").expect("named");
    assert!(
        finding.message.contains("1 tab holds"),
        "{}",
        finding.message
    );
}

#[test]
fn a_skin_holds_the_part() {
    let (_, report) = examine(&contour(-11.7, None), &plate());
    assert!(find(&report, "part-comes-free").is_none());
    let finding = find(&report, "held-by-tabs").expect("named");
    assert!(
        finding.message.contains("skin of about 0.30 mm"),
        "{}",
        finding.message
    );
}

#[test]
fn a_slug_out_of_a_window_comes_free_and_drilled_holes_do_not() {
    let window = "G0 X70 Y45 Z5\nG1 Z-12.2 F100\nG3 X70 Y45 I-15 J0 F400\nG0 Z5\n";
    let (_, report) = examine(window, &plate());
    assert!(find(&report, "part-comes-free").is_some());
    let holes = "G0 X10 Y10 Z5\nG99 G81 X10 Y10 Z-13 R2 F100\nX110\nY80\nX10\nG80\nG0 Z5\n";
    let (_, report) = examine(holes, &plate());
    assert!(find(&report, "part-comes-free").is_none());
}

#[test]
fn a_rapid_through_uncut_metal_is_a_stop_and_one_through_a_pocket_is_none() {
    let through = "G0 X20 Y20 Z5\nG1 Z-2 F100\nX40 F400\nG0 X80\nZ5\n";
    let (_, report) = examine(through, &plate());
    let finding = find(&report, "rapid-through-uncut").expect("found");
    assert_eq!(
        (finding.level, finding.line, finding.count),
        (Level::Stop, 7, 1)
    );
    let cleared = "G0 X20 Y20 Z5\nG1 Z-2 F100\nX80 F400\nG0 X20\nX50\nZ5\nX20\nZ-1.5\nG1 Z-4 F100\nX80\nG0 Z5\n";
    let (_, report) = examine(cleared, &plate());
    assert!(find(&report, "rapid-through-uncut").is_none());
    // Straight down into the blank.
    let down = "G0 X20 Y20 Z5\nG0 Z-3\nG1 X40 F400\nG0 Z5\n";
    let (_, report) = examine(down, &plate());
    assert_eq!(
        find(&report, "rapid-through-uncut").map(|f| f.line),
        Some(5)
    );
}

#[test]
fn many_rapids_through_metal_are_one_finding_with_a_count() {
    let mut body = "G0 X10 Y10 Z5\nG1 Z-1 F100\n".to_owned();
    for i in 0..50 {
        body.push_str(&format!(
            "G0 X{} Y{}\n",
            10 + (i * 37) % 100,
            10 + (i * 23) % 70
        ));
    }
    let (_, report) = examine(&body, &plate());
    let finding = find(&report, "rapid-through-uncut").expect("found");
    assert!(finding.count > 10);
    assert_eq!(
        report
            .findings
            .iter()
            .filter(|f| f.id == "rapid-through-uncut")
            .count(),
        1
    );
}

#[test]
fn cut_extents_hold_only_what_runs_in_the_blank() {
    let body = "G0 X-30 Y45 Z20\nG1 Z-1 F400\nX150\nZ5 F2000\nX60 Y-40\nG0 Z20\n";
    let (summary, _) = examine(body, &plate());
    let cut = summary.extents.cut.expect("swept");
    // The tool of radius 3 touches the blank from X-3 to X123.
    assert_eq!(cut.axis(0), Some((-3.0, 123.0)));
    assert_eq!(cut.axis(1), Some((45.0, 45.0)));
    assert_eq!(cut.axis(2), Some((-1.0, -1.0)));
    assert_eq!(summary.extents.feed.axis(0), Some((-30.0, 150.0)));
}

#[test]
fn a_clamp_in_the_way_is_a_stop_for_rapids_and_cuts() {
    let against = Against {
        keep_outs: vec![KeepOut {
            from: [50.0, -20.0],
            to: [70.0, 15.0],
            height: 25.0,
        }],
        ..plate()
    };
    // 12 mm of blank and Z5: the rapid runs 17 mm above the bottom, the clamp is 25 mm high.
    let (_, report) = examine("G0 X10 Y10 Z5\nG0 X110\nG1 Y60 F500\n", &against);
    let finding = find(&report, "keep-out-entered").expect("found");
    assert_eq!((finding.level, finding.line), (Level::Stop, 5));
    let (_, report) = examine("G0 X10 Y10 Z15\nG0 X110\nG1 Y60 F500\n", &against);
    assert!(find(&report, "keep-out-entered").is_none());
    // Beside it with the radius of 3 mm in between.
    let (_, report) = examine("G0 X10 Y18.5 Z5\nG0 X110\nG1 Y60 F500\n", &against);
    assert!(find(&report, "keep-out-entered").is_none());
    let (_, report) = examine("G0 X10 Y17.5 Z5\nG0 X110\nG1 Y60 F500\n", &against);
    assert!(find(&report, "keep-out-entered").is_some());
}

#[test]
fn a_tool_that_cannot_plunge_must_not() {
    let facts = ToolFacts {
        diameter_mm: Some(6.0),
        centre_cutting: Some(false),
        ..ToolFacts::default()
    };
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG1 Z-2 F100\nX40\nG0 Z5\n",
        &with_tool(facts.clone()),
    );
    assert_eq!(
        find(&report, "plunge-not-centre-cutting").map(|f| f.line),
        Some(5)
    );
    // Down beside the blank, and down a ramp.
    let (_, report) = examine(
        "G0 X-20 Y20 Z5\nG1 Z-2 F100\nX40\nG0 Z5\n",
        &with_tool(facts.clone()),
    );
    assert!(find(&report, "plunge-not-centre-cutting").is_none());
    let (_, report) = examine(
        "G0 X20 Y20 Z0\nG1 X60 Z-2 F100\nX20\nG0 Z5\n",
        &with_tool(facts),
    );
    assert!(find(&report, "plunge-not-centre-cutting").is_none());
    // What is not stated says nothing.
    let (_, report) = examine("G0 X20 Y20 Z5\nG1 Z-2 F100\nX40\nG0 Z5\n", &plate());
    assert!(find(&report, "plunge-not-centre-cutting").is_none());
}

#[test]
fn depth_is_judged_by_flutes_shank_and_holder() {
    let facts = |flutes: f64, shank: f64, out: f64| ToolFacts {
        diameter_mm: Some(6.0),
        flute_length_mm: Some(flutes),
        shank_mm: Some(shank),
        stick_out_mm: Some(out),
        ..ToolFacts::default()
    };
    let one_step = "G0 X-10 Y20 Z5\nG1 Z-8 F100\nX60\nG0 Z5\n";
    let (_, report) = examine(one_step, &with_tool(facts(6.0, 6.0, 30.0)));
    assert_eq!(
        find(&report, "deeper-than-flutes").map(|f| f.level),
        Some(Level::Stop)
    );
    let steps = "G0 X-10 Y20 Z5\nG1 Z-4 F100\nX60\nG0 Z5\nX-10\nG1 Z-8\nX60\nG0 Z5\n";
    let (_, report) = examine(steps, &with_tool(facts(6.0, 6.0, 30.0)));
    assert!(find(&report, "deeper-than-flutes").is_none());
    assert_eq!(
        find(&report, "shank-in-cut").map(|f| f.level),
        Some(Level::Warn)
    );
    let (_, report) = examine(steps, &with_tool(facts(6.0, 5.0, 30.0)));
    let finding = find(&report, "shank-in-cut").expect("total depth with the shank clear");
    assert_eq!(finding.level, Level::Warn);
    assert!(finding.message.contains("thinner"), "{}", finding.message);
    let unstated = ToolFacts {
        shank_mm: None,
        ..facts(6.0, 6.0, 30.0)
    };
    let (_, report) = examine(steps, &with_tool(unstated));
    assert_eq!(
        find(&report, "shank-in-cut").map(|f| f.level),
        Some(Level::Note)
    );
    let (_, report) = examine(steps, &with_tool(facts(20.0, 6.0, 7.0)));
    assert_eq!(
        find(&report, "holder-below-top").map(|f| f.level),
        Some(Level::Stop)
    );
}

#[test]
fn the_bottom_is_judged_by_what_lies_under_it() {
    let body = "G0 X20 Y20 Z5\nG1 Z-13 F100\nX40\nG0 Z5\n";
    for (under, level) in [
        (Under::Spoil { thickness_mm: 10.0 }, Level::Note),
        (Under::Spoil { thickness_mm: 0.5 }, Level::Stop),
        (Under::Parallels, Level::Stop),
        (Under::Jaw, Level::Stop),
        (Under::Table, Level::Stop),
        (Under::Air, Level::Note),
        (Under::Unknown, Level::Note),
    ] {
        let against = Against { under, ..plate() };
        let (_, report) = examine(body, &against);
        assert_eq!(
            find(&report, "through-bottom").map(|f| f.level),
            Some(level),
            "{under:?}"
        );
    }
}

#[test]
fn an_edge_of_the_part_that_no_cut_reaches_is_named() {
    let against = Against {
        part: Some(StockSize {
            x_mm: 100.0,
            y_mm: 70.0,
            z_mm: 12.0,
        }),
        ..plate()
    };
    // Left and front of the part from (10,10) to (110,80), the tool outside by 3 mm.
    let body = "G0 X7 Y100 Z5\nG1 Z-12.2 F100\nY7\nX130\nG0 Z5\n";
    let (_, report) = examine(body, &against);
    let finding = find(&report, "part-edge-not-reached").expect("found");
    assert!(
        finding.message.contains("right, back"),
        "{}",
        finding.message
    );
    assert!(!finding.message.contains("left"));
}

#[test]
fn a_tool_change_close_over_the_blank_is_warned_of() {
    let (_, report) = examine(
        "G0 X20 Y20 Z2\nG1 Z-1 F100\nG0 Z2\nT2 M6\nM3\nG1 Z-2\nG0 Z5\n",
        &plate(),
    );
    assert_eq!(find(&report, "tool-change-low").map(|f| f.line), Some(7));
    let (_, report) = examine(
        "G0 X20 Y20 Z2\nG1 Z-1 F100\nG28\nT2 M6\nM3\nG0 X20 Y20 Z5\n",
        &plate(),
    );
    assert!(find(&report, "tool-change-low").is_none());
}

#[test]
fn a_deep_hole_without_a_spot_is_noted() {
    let drill = "G0 X20 Y20 Z5\nG99 G81 X20 Y20 Z-10 R2 F100\nG80\n";
    let (_, report) = examine(drill, &plate());
    assert_eq!(
        find(&report, "hole-without-spot").map(|f| f.level),
        Some(Level::Note)
    );
    let spotted = "G0 X20 Y20 Z5\nG99 G81 X20 Y20 Z-1 R2 F100\nG81 X20 Y20 Z-10 R2\nG80\n";
    let (_, report) = examine(spotted, &plate());
    assert!(find(&report, "hole-without-spot").is_none());
}

#[test]
fn motions_of_another_zero_are_not_swept() {
    let (summary, report) = examine(
        "G0 X20 Y20 Z5\nG1 Z-1 F100\nX30\nG0 Z5\nG55\nG0 X0 Y0 Z-50\nG1 X100 F100\n",
        &plate(),
    );
    assert!(find(&report, "rapid-through-uncut").is_none());
    assert_eq!(
        summary.extents.cut.and_then(|c| c.axis(2)),
        Some((-1.0, 0.0))
    );
}

#[test]
fn huge_numbers_do_not_hang_the_sweep() {
    let body = "G0 X0 Y0 Z5\nG1 Z-1 F100\nX99999999999 Y99999999999\nG2 X0 Y0 I-99999999999 J5\nG0 X5 Z-99999999999\n";
    let (_, report) = examine(body, &plate());
    assert!(report.has_stop());
}

#[test]
fn inside_work_after_the_outside_profile_is_warned_of() {
    let against = Against {
        part: Some(StockSize {
            x_mm: 100.0,
            y_mm: 70.0,
            z_mm: 12.0,
        }),
        ..plate()
    };
    // Outside of the part from (10,10) to (110,80) with tabs of 2 mm, then a pocket.
    let outside = "G0 X7 Y7 Z5\nG1 Z-12.2 F200\nY40\nZ-10\nY50\nZ-12.2\nY83\nX113\nY50\nZ-10\nY40\nZ-12.2\nY7\nX7\nG0 Z5\n";
    let pocket = "G0 X50 Y40 Z5\nG1 Z-3 F100\nX60 F300\nG0 Z5\n";
    let (_, report) = examine(&format!("{outside}{pocket}"), &against);
    let finding = find(&report, "profile-before-inside").expect("found");
    assert_eq!((finding.level, finding.line), (Level::Warn, 3 + 15 + 2));
    let (_, report) = examine(&format!("{pocket}{outside}"), &against);
    assert!(find(&report, "profile-before-inside").is_none());
}

#[test]
fn without_a_zero_the_cut_extents_are_those_of_the_zero_that_fits() {
    let against = Against {
        zero: None,
        ..plate()
    };
    let body = "G0 X10 Y10 Z20\nG1 Z-2 F100\nX110 F400\nY80\nZ3\nG0 Z20\n";
    let (summary, report) = examine(body, &against);
    let cut = summary.extents.cut.expect("the best zero is taken");
    assert_eq!(cut.axis(0), Some((10.0, 110.0)));
    assert_eq!(cut.axis(2), Some((-2.0, 0.0)));
    assert!(
        report.assumed.iter().any(|a| a.contains("left front, top")),
        "{:?}",
        report.assumed
    );
    assert!(
        report
            .assumed
            .iter()
            .any(|a| a.contains("T1 is taken as 6 mm across")),
        "{:?}",
        report.assumed
    );
}

#[test]
fn kept_motions_are_swept_and_timed_as_the_file_is() {
    let body = contour(-6.0, None)
        + "G28\nT2 M6\nM3\nG54\nG0 X70 Y45 Z5\nG4 P1.5\nG2 X70 Y45 Z-3 I-5 F300\nG0 X20\nG92 X0\nG1 X5\nG55\nG0 X1 Y1 Z1\n"
        + &contour(-12.2, None);
    let text = format!("{HEAD}{body}M30\n");
    let limits = MotionLimits::new(
        [20.0; 3],
        [40.0; 3],
        [200.0; 3],
        Corner::Blend { tolerance_mm: 0.02 },
    );
    let options = ReadOptions {
        keep_steps: 1000,
        motion: Some(limits.clone()),
        ..ReadOptions::default()
    };
    let (summary, swept) =
        check::examine(text.as_bytes(), &options, &plate()).expect("bytes are readable");
    let again = check::check(&summary, &plate());
    assert_eq!(again.findings, swept.findings);
    assert!(find(&again, "rapid-through-uncut").is_some());
    let kept = summary.kept.clone().expect("kept");
    let seconds = summary.times.estimated_s.expect("timed");
    assert!((kept.seconds(limits) - seconds).abs() < 1e-6, "{seconds}");
    // Too many steps are not kept in part.
    let few = ReadOptions {
        keep_steps: 10,
        ..ReadOptions::default()
    };
    let (summary, _) = check::examine(text.as_bytes(), &few, &plate()).expect("bytes are readable");
    assert_eq!(summary.kept, None);
}

#[test]
fn a_tool_unlike_its_comment_is_warned_of() {
    let facts = |d: f64| ToolFacts {
        diameter_mm: Some(d),
        ..ToolFacts::default()
    };
    let body = "G0 X20 Y20 Z5\nG1 Z-1 F100\nX40\nG0 Z5\n";
    // The head's comment says 6 mm: with what may mill the walls move, a drill makes another hole.
    let (_, report) = examine(body, &with_tool(facts(8.0)));
    assert_eq!(
        find(&report, "posted-for-other-diameter").map(|f| f.level),
        Some(Level::Stop)
    );
    assert!(find(&report, "tool-unlike-comment").is_none());
    let drill = ToolFacts {
        cuts_sideways: Some(false),
        ..facts(8.0)
    };
    let (_, report) = examine(body, &with_tool(drill));
    assert_eq!(
        find(&report, "tool-unlike-comment").map(|f| f.level),
        Some(Level::Warn)
    );
    let (_, report) = examine(body, &with_tool(facts(6.0)));
    assert!(find(&report, "tool-unlike-comment").is_none());
    let (_, report) = examine(
        &format!("{body}T5 M6\nM3\nG1 X50 F100\n"),
        &with_tool(facts(6.0)),
    );
    assert!(find(&report, "tool-not-listed").is_some_and(|f| f.message.contains("T5")));
}

/// Twenty thousand circles of a hundred metres in a dozen lines: nobody is held up, and what was not looked at is said.
#[test]
fn a_path_that_repeats_itself_without_end_is_left_with_a_warning() {
    let text = "O1\nG21 G90 G17\nT1 M6\nM3 S8000\nG0 X1 Y1 Z1\nM98 P2 L9999\nM98 P2 L9999\nM30\nO2\nG91 G3 I111100 F1000 Z-0.001\nG90\nM99\n";
    let (_, report) = check::examine(text.as_bytes(), &ReadOptions::default(), &plate())
        .expect("memory is readable");
    let found = find(&report, "path-not-followed").expect("it is said");
    assert_eq!(found.line, 10);
    // Nothing is said of what half a path leaves.
    assert!(find(&report, "part-comes-free").is_none());
}
