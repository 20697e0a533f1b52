//! What comes near, goes too deep or stands still: each danger once as it is and once as it is not.
//! Programs and blanks of our own; expected places and depths by hand from the programs.

#[path = "support/plate.rs"]
mod plate;

use millside::check;
use millside::check::Against;
use millside::check::against::Limits;
use millside::check::against::ToolFacts;
use millside::check::chip_load::SectionRecipe;
use millside::job::holding::KeepOut;
use millside::job::tool::Kind;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;

use plate::examine;
use plate::find;
use plate::limits;
use plate::plate;
use plate::with_tool;

fn machine(spindle_by_hand: bool) -> Limits {
    Limits {
        spindle_by_hand,
        ..limits()
    }
}

fn end_mill() -> ToolFacts {
    ToolFacts {
        diameter_mm: Some(6.0),
        cuts_sideways: Some(true),
        centre_cutting: Some(true),
        ..ToolFacts::default()
    }
}

#[test]
fn a_rapid_down_to_the_very_top_is_a_stop_and_one_close_over_it_a_warning() {
    let level = |z: &str| {
        let body = format!("G0 X20 Y20 Z5\nG0 Z{z}\nG1 Z-1 F100\nX40 F400\nG0 Z5\n");
        let (_, report) = examine(&body, &plate());
        find(&report, "rapid-close-to-metal").map(|f| (f.level, f.line))
    };
    assert_eq!(level("0"), Some((Level::Stop, 5)));
    assert_eq!(level("0.05"), Some((Level::Stop, 5)));
    assert_eq!(level("0.3"), Some((Level::Warn, 5)));
    assert_eq!(level("1"), None);
    // Beside the blank there is nothing to hit.
    let (_, report) = examine("G0 X-20 Y20 Z5\nG0 Z0\nG1 X40 F400\nG0 Z5\n", &plate());
    assert!(find(&report, "rapid-close-to-metal").is_none());
    // A plane that a cycle comes down to counts as much as a rapid written out.
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG99 G81 X20 Y20 Z-3 R0.2 F100\nG80\n",
        &plate(),
    );
    assert_eq!(
        find(&report, "rapid-close-to-metal").map(|f| f.level),
        Some(Level::Warn)
    );
    // Pecks come back to metal that was cut before.
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG99 G83 X20 Y20 Z-9 R2 Q2 F100\nG80\n",
        &plate(),
    );
    assert!(find(&report, "rapid-close-to-metal").is_none());
}

#[test]
fn a_spindle_that_stands_still_in_metal_is_a_stop_where_the_program_minds_it() {
    let body = "M5\nG0 X20 Y20 Z5\nG1 Z-1 F100\nX40\nG0 Z5\n";
    let on = |machine: Option<Limits>| {
        let against = Against { machine, ..plate() };
        let (_, report) = examine(body, &against);
        find(&report, "spindle-stopped-in-metal").map(|f| (f.level, f.line))
    };
    assert_eq!(on(Some(machine(false))), Some((Level::Stop, 6)));
    // Who starts the spindle by hand, and what is not known, is not stopped.
    assert_eq!(on(Some(machine(true))), None);
    assert_eq!(on(None), None);
    // In the air a feed move with the spindle stopped breaks nothing.
    let against = Against {
        machine: Some(machine(false)),
        ..plate()
    };
    let (_, report) = examine(
        "M5\nG0 X20 Y20 Z5\nG1 X40 F100\nM3\nZ-1\nG0 Z5\nM5\n",
        &against,
    );
    assert!(find(&report, "spindle-stopped-in-metal").is_none());
}

#[test]
fn a_change_stops_the_spindle_and_the_sweep_knows_it() {
    let against = Against {
        machine: Some(machine(false)),
        ..plate()
    };
    // M6 stops it (NISTIR 6556, 3.6.3), and nobody starts it again.
    let body = "G0 X20 Y20 Z5\nG1 Z-1 F100\nG0 Z30\nT2 M6\nG0 Z5\nG1 X20 Y40 Z-2\nG0 Z5\n";
    let (_, report) = examine(body, &against);
    assert_eq!(
        find(&report, "spindle-stopped-in-metal").map(|f| f.line),
        Some(9)
    );
}

#[test]
fn a_holder_that_comes_down_beside_a_high_clamp_is_warned_of() {
    // 22 mm out: with the tip 4 mm above the board the holder ends at 26 mm, under the clamp's 30.
    let with = |stick_out_mm: f64| Against {
        keep_outs: vec![KeepOut {
            from: [0.0, 0.0],
            to: [15.0, 15.0],
            height: 30.0,
        }],
        ..with_tool(ToolFacts {
            stick_out_mm: Some(stick_out_mm),
            ..end_mill()
        })
    };
    let beside = "G0 X30 Y30 Z25\nG0 X25 Y8\nG1 Z-8 F100\nY30 F400\nG0 Z25\n";
    let (_, report) = examine(beside, &with(22.0));
    let finding = find(&report, "holder-near-keep-out").expect("found");
    assert_eq!((finding.level, finding.line), (Level::Warn, 6));
    assert!(find(&report, "keep-out-entered").is_none());
    let (_, report) = examine(beside, &with(40.0));
    assert!(find(&report, "holder-near-keep-out").is_none());
    // Far enough away for a holder of 36 mm.
    let away = "G0 X60 Y60 Z25\nG1 Z-8 F100\nX40 F400\nG0 Z25\n";
    let (_, report) = examine(away, &with(22.0));
    assert!(find(&report, "holder-near-keep-out").is_none());
}

#[test]
fn a_pass_deeper_than_the_recipe_is_warned_of_with_both_depths() {
    let recipe = |ap_mm: f64| Against {
        recipes: vec![SectionRecipe {
            first_line: 2,
            fz_mm: 0.025,
            ap_mm,
            ae_mm: 3.0,
            n_rpm: 8000.0,
            override_percent: None,
            flutes: 2,
        }],
        ..with_tool(end_mill())
    };
    // Two passes: 1.5 mm, then 2.5 mm more.
    let body = "G0 X20 Y20 Z5\nG1 Z-1.5 F100\nX60 F400\nG0 Z5\nX20\nG1 Z-4 F100\nX60 F400\nG0 Z5\n";
    let (_, report) = examine(body, &recipe(1.5));
    let finding = find(&report, "deeper-than-recipe").expect("found");
    assert_eq!((finding.level, finding.line), (Level::Warn, 10));
    assert!(
        finding.message.contains("takes 2.5 mm") && finding.message.contains("1.50 mm deep"),
        "{}",
        finding.message
    );
    let (_, report) = examine(body, &recipe(2.5));
    assert!(find(&report, "deeper-than-recipe").is_none());
}

#[test]
fn a_plunge_at_the_feed_of_the_cut_is_warned_of() {
    let at = |feed: &str, facts: ToolFacts| {
        let body = format!("G0 X20 Y20 Z5\nG1 Z-3 F{feed}\nX60 F600\nY60\nX20\nG0 Z5\n");
        let (_, report) = examine(&body, &with_tool(facts));
        find(&report, "plunge-at-cutting-feed").map(|f| (f.level, f.line))
    };
    assert_eq!(at("600", end_mill()), Some((Level::Warn, 5)));
    assert_eq!(at("200", end_mill()), None);
    let drill = ToolFacts {
        cuts_sideways: Some(false),
        ..end_mill()
    };
    assert_eq!(at("600", drill), None);
    let unstated = ToolFacts::default();
    assert_eq!(at("600", unstated), Some((Level::Note, 5)));
}

#[test]
fn a_rapid_below_zero_is_noted_while_the_blank_is_not_known() {
    let text = "G21 G90\nM3 S8000\nG0 X20 Y20 Z5\nG1 Z-3 F100\nX60 F600\nG0 X20\nZ5\nM5\nM30\n";
    let read = |against: &Against| {
        check::examine(text.as_bytes(), &ReadOptions::default(), against)
            .expect("bytes are readable")
            .1
    };
    let report = read(&Against::default());
    let finding = find(&report, "rapid-below-zero").expect("noted");
    assert_eq!(finding.level, Level::Note);
    assert!(finding.message.contains("Z-3.000"), "{}", finding.message);
    // Where blank and zero are known it is known that the slot was cut.
    let report = read(&plate());
    assert!(find(&report, "rapid-below-zero").is_none());
    assert!(find(&report, "rapid-through-uncut").is_none());
}

#[test]
fn a_program_of_distances_asks_for_its_start() {
    let text = "G21 G91\nM3 S8000\nG0 X20 Y20 Z-5\nG1 Z-3 F100\nX60 F600\nG0 Z8\nM5\nM30\n";
    let read = |options: &ReadOptions| {
        check::examine(text.as_bytes(), options, &Against::default())
            .expect("bytes are readable")
            .1
    };
    let report = read(&ReadOptions::default());
    assert!(find(&report, "nothing-is-cut").is_none());
    let finding = find(&report, "start-not-stated").expect("asked for");
    assert_eq!(finding.level, Level::Stop);
    let started = ReadOptions {
        start_mm: [Some(0.0), Some(0.0), Some(10.0)],
        ..ReadOptions::default()
    };
    let report = read(&started);
    assert!(find(&report, "start-not-stated").is_none());
}

#[test]
fn what_is_not_stated_of_a_tool_is_said() {
    let stated = with_tool(ToolFacts {
        flute_length_mm: Some(13.0),
        stick_out_mm: Some(22.0),
        ..end_mill()
    });
    let body = "G0 X20 Y20 Z5\nG1 Z-1 F100\nX40 F400\nG0 Z5\n";
    let lacks = |against: &Against| {
        let (_, report) = examine(body, against);
        report
            .assumed
            .iter()
            .any(|line| line.contains("length of the flutes"))
    };
    assert!(!lacks(&stated));
    assert!(lacks(&with_tool(end_mill())));
}

fn line_of(report: &check::Report, id: &str) -> Option<(Level, u64)> {
    find(report, id).map(|f| (f.level, f.line))
}

#[test]
fn a_zero_that_the_program_moves_is_a_stop_and_what_comes_behind_is_not_judged() {
    // The zero set by hand is written over in line 4 (NISTIR 6556, 3.5.5).
    let (_, report) = examine(
        "G10 L2 P1 X10 Y10 Z-5\nG0 X20 Y20 Z5\nG1 Z-1 F100\nX40 F400\nG0 Z5\n",
        &plate(),
    );
    assert_eq!(
        line_of(&report, "zero-moved-by-program"),
        Some((Level::Stop, 4))
    );
    assert!(report.zero_candidates.is_empty());
    // Another system's zero is nothing to this one.
    let (_, report) = examine(
        "G10 L2 P3 X10 Y10 Z-5\nG0 X20 Y20 Z5\nG1 Z-1 F100\nX40 F400\nG0 Z5\n",
        &plate(),
    );
    assert_eq!(line_of(&report, "zero-moved-by-program"), None);
    // G92 at a place that is known gives it other numbers (3.5.18): no zero is guessed from them.
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG92 X0 Y0\nG1 Z-1 F100\nX60 F400\nG0 Z5\n",
        &plate(),
    );
    assert_eq!(
        line_of(&report, "zero-moved-by-program"),
        Some((Level::Stop, 5))
    );
    assert!(find(&report, "zero-does-not-fit").is_none());
    // G92.2 takes it back, G92.3 brings it again.
    let after = |code: &str| {
        let body =
            format!("G0 X20 Y20 Z5\nG92 X0 Y0\n{code}\nG0 X20 Y20\nG1 Z-1 F100\nX60 F400\nG0 Z5\n");
        let (_, report) = examine(&body, &plate());
        line_of(&report, "zero-moved-by-program")
    };
    assert_eq!(after("G92.2"), None);
    assert_eq!(after("G92.2\nG92.3"), Some((Level::Stop, 7)));
    // At a place that nobody knows it names the zero, and the same numbers name nothing new.
    let (_, report) = examine(
        "G92 X0 Y0 Z20\nG0 X20 Y20 Z5\nG92 X20\nG1 Z-1 F100\nX60 F400\nG0 Z5\n",
        &plate(),
    );
    assert_eq!(line_of(&report, "zero-moved-by-program"), None);
}

#[test]
fn distances_left_on_behind_a_reference_point_are_a_stop() {
    let body = "G0 X20 Y20 Z5\nG1 Z-1 F100\nX40 F400\nG0 Z5\nG91 G28 Z0\nX60 Y45\nG81 X10 Y10 Z-3 R-20 F100\nG80\n";
    let (_, report) = examine(body, &plate());
    assert_eq!(
        line_of(&report, "start-not-stated"),
        Some((Level::Stop, 10))
    );
    let back = body.replace("G91 G28 Z0\nX60", "G91 G28 Z0\nG90\nG0 Z20\nX60");
    let (_, report) = examine(&back.replace("R-20", "R2"), &plate());
    assert_eq!(line_of(&report, "start-not-stated"), None);
}

fn of_kind(kind: Kind) -> Against {
    with_tool(ToolFacts {
        kind: Some(kind),
        diameter_mm: Some(6.0),
        pitch_mm: (kind == Kind::Tap).then_some(1.0),
        cuts_sideways: Some(kind.cuts_sideways()),
        ..ToolFacts::default()
    })
}

#[test]
fn a_tap_needs_a_hole_as_deep_as_its_thread() {
    let tap = of_kind(Kind::Tap);
    let drilled = |depth: &str| {
        let body = format!(
            "G0 X20 Y20 Z5\nG99 G81 X20 Y20 Z{depth} R2 F100\nG80\nG99 G84 X20 Y20 Z-8 R2 F300\nG80\n"
        );
        let (_, report) = examine(&body, &tap);
        line_of(&report, "tap-without-hole")
    };
    // The first hole itself is made with this tool here: what is drilled by a tap is a stop as well.
    assert_eq!(drilled("-10"), Some((Level::Stop, 5)));
    let with_drill = |body: &str| {
        let text = format!("G21 G90 G17\nT2 M6\nM3 S2000\n{body}M30\n");
        let mut against = tap.clone();
        against.tools.push((
            2,
            ToolFacts {
                kind: Some(Kind::Drill),
                diameter_mm: Some(5.0),
                cuts_sideways: Some(false),
                ..ToolFacts::default()
            },
        ));
        let options = ReadOptions::default();
        check::examine(text.as_bytes(), &options, &against)
            .expect("bytes are readable")
            .1
    };
    let hole = "G0 X20 Y20 Z5\nG99 G81 X20 Y20 Z-10 R2 F100\nG80\nG0 Z30\nT1 M6\nM3 S300\nG0 Z5\n";
    let deep = with_drill(&format!("{hole}G99 G84 X20 Y20 Z-8 R2 F300\nG80\n"));
    assert_eq!(line_of(&deep, "tap-without-hole"), None);
    let short = with_drill(&format!("{hole}G99 G84 X20 Y20 Z-12 R2 F300\nG80\n"));
    assert_eq!(line_of(&short, "tap-without-hole"), Some((Level::Stop, 11)));
    let elsewhere = with_drill(&format!("{hole}G99 G84 X40 Y20 Z-8 R2 F300\nG80\n"));
    assert_eq!(
        line_of(&elsewhere, "tap-without-hole"),
        Some((Level::Stop, 11))
    );
}

/// S300 with a pitch of 1 mm is 300 mm/min.
#[test]
fn a_tap_s_feed_is_speed_times_pitch() {
    let tap = of_kind(Kind::Tap);
    let at = |feed: &str| {
        let body = format!("S300\nG0 X20 Y20 Z5\nG99 G84 X20 Y20 Z-8 R2 F{feed}\nG80\n");
        let (_, report) = examine(&body, &tap);
        (
            line_of(&report, "tap-feed").map(|(level, _)| level),
            find(&report, "tapping-cycle").map(|f| f.level),
        )
    };
    assert_eq!(at("200"), (Some(Level::Stop), Some(Level::Warn)));
    assert_eq!(at("300"), (None, Some(Level::Note)));
}

/// A spindle that turns right only cannot back a tap out, whatever its feed.
#[test]
fn a_tapping_cycle_needs_a_spindle_that_reverses() {
    let library = millside::profile::library::Library::shipped();
    let body = "S300\nG0 X20 Y20 Z5\nG99 G84 X20 Y20 Z-8 R2 F300\nG80\n";
    for (name, expected) in [
        ("gantry-router", Some(Level::Stop)),
        ("light-belt-mill", Some(Level::Stop)),
        ("bench-mill", None),
    ] {
        let machine = library.machines.get(name).expect("shipped");
        let against = Against {
            machine: Some(Limits::of(machine)),
            tools: vec![],
            ..of_kind(Kind::Tap)
        };
        let (_, report) = examine(body, &against);
        let level = line_of(&report, "tap-without-reverse").map(|(level, _)| level);
        assert_eq!(level, expected, "{name}");
    }
}

#[test]
fn what_does_not_cut_sideways_is_not_moved_sideways_through_metal() {
    let slot = "G0 X20 Y20 Z5\nG1 Z-2 F100\nX60 F400\nG0 Z5\n";
    let at = |kind: Kind| {
        let (_, report) = examine(slot, &of_kind(kind));
        line_of(&report, "cannot-cut-sideways")
    };
    for kind in [Kind::Drill, Kind::Tap, Kind::Reamer, Kind::EdgeFinder] {
        assert_eq!(at(kind), Some((Level::Stop, 6)), "{kind:?}");
    }
    // A spot drill breaks edges.
    assert_eq!(at(Kind::SpotDrill), Some((Level::Warn, 6)));
    assert_eq!(at(Kind::EndMill), None);
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG99 G83 X20 Y20 Z-9 R2 Q2 F100\nX60\nG80\n",
        &of_kind(Kind::Drill),
    );
    assert_eq!(line_of(&report, "cannot-cut-sideways"), None);
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG99 G83 X20 Y20 Z-9 R2 Q2 F100\nX60\nG80\n",
        &of_kind(Kind::EndMill),
    );
    assert_eq!(
        line_of(&report, "drilled-with-end-mill"),
        Some((Level::Warn, 5))
    );
}

#[test]
fn an_end_in_the_metal_is_warned_of() {
    let (_, report) = examine("G0 X20 Y20 Z5\nG1 Z-3 F100\nX40 F400\nM5\n", &plate());
    let finding = find(&report, "ends-in-metal").expect("warned of");
    assert_eq!(finding.level, Level::Warn);
    assert!(
        finding.message.contains("3.0 mm below"),
        "{}",
        finding.message
    );
    let (_, report) = examine(
        "G0 X20 Y20 Z5\nG1 Z-3 F100\nX40 F400\nG0 Z5\nM5\n",
        &plate(),
    );
    assert!(find(&report, "ends-in-metal").is_none());
}

#[test]
fn a_spindle_started_with_no_speed_at_all_stands_still() {
    let against = Against {
        machine: Some(machine(false)),
        ..plate()
    };
    let body = "S0 M3\nG0 X20 Y20 Z5\nG1 Z-1 F100\nX40 F400\nG0 Z5\n";
    let (_, report) = examine(body, &against);
    assert_eq!(
        line_of(&report, "spindle-stopped-in-metal"),
        Some((Level::Stop, 6))
    );
}

#[test]
fn a_tool_change_in_the_metal_is_a_stop() {
    let body = "G0 X20 Y20 Z2\nG1 Z-1 F100\nT2 M6\nM3\nG1 X30 F400\nG0 Z5\n";
    let (_, report) = examine(body, &plate());
    assert_eq!(line_of(&report, "tool-change-low"), Some((Level::Stop, 6)));
    let message = &find(&report, "tool-change-low").expect("found").message;
    assert!(message.contains("1.0 mm below the top"), "{message}");
}

#[test]
fn an_entry_that_is_almost_straight_is_a_plunge_too() {
    let body = "G0 X20 Y20 Z5\nG1 X40 Z1 F600\nX60\nX61 Z-9\nX62 Z1\nX90\nG0 Z5\n";
    let (_, report) = examine(body, &with_tool(end_mill()));
    assert_eq!(
        line_of(&report, "plunge-at-cutting-feed"),
        Some((Level::Warn, 7))
    );
}

#[test]
fn a_length_that_was_taken_away_before_a_cut_is_warned_of() {
    let body = "G43 H1\nG0 X20 Y20 Z5\nG1 Z-1 F100\nG0 Z5\nG49\nG0 Z5\nG1 Z-1\nG0 Z5\n";
    let (_, report) = examine(body, &plate());
    assert_eq!(
        line_of(&report, "cut-without-length"),
        Some((Level::Warn, 10))
    );
    let again = body.replace("G49\nG0 Z5", "G49\nG43 H1\nG0 Z5");
    let (_, report) = examine(&again, &plate());
    assert_eq!(line_of(&report, "cut-without-length"), None);
}

#[test]
fn each_section_has_the_extents_of_its_own_cuts() {
    let body = "G0 X20 Y20 Z5\nG1 Z-1 F100\nX40 F400\nG0 Z20\nT2 M6\nM3\nG0 X60 Y50\nZ5\nG1 Z-3 F100\nY70\nG0 Z20\n";
    let (summary, _) = examine(body, &plate());
    let cuts: Vec<_> = summary
        .sections
        .iter()
        .map(|section| section.extents.cut.expect("swept"))
        .map(|cut| (cut.axis(0), cut.axis(1), cut.axis(2).map(|(low, _)| low)))
        .collect();
    assert_eq!(
        cuts,
        [
            (Some((20.0, 40.0)), Some((20.0, 20.0)), Some(-1.0)),
            (Some((60.0, 60.0)), Some((50.0, 70.0)), Some(-3.0)),
        ]
    );
}
