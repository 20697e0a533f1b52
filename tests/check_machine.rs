//! Travel, feeds and speeds against a machine; limits of our own making.

#[path = "support/plate.rs"]
mod plate;

use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::check::against::Limits;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;

fn limits() -> Limits {
    Limits {
        top_feed_mm_min: [1000.0, 1000.0, 300.0],
        rapid_mm_min: [2000.0, 2000.0, 1000.0],
        acceleration_mm_s2: [150.0, 150.0, 80.0],
        spindle_rpm: [1000.0, 9000.0],
        ..plate::limits()
    }
}

fn report(text: &str, limits: Limits) -> Report {
    let options = ReadOptions {
        motion: Some(limits.motion()),
        ..ReadOptions::default()
    };
    let against = Against {
        machine: Some(limits),
        ..Against::default()
    };
    check::examine(text.as_bytes(), &options, &against)
        .expect("bytes are readable")
        .1
}

fn ids(report: &Report, level: Level) -> Vec<&str> {
    report
        .findings
        .iter()
        .filter(|f| f.level == level)
        .map(|f| f.id)
        .collect()
}

#[test]
fn a_program_beyond_the_travel_is_a_stop() {
    let report = report(
        "G21 G90 M3 S5000\nG0 X0 Y0 Z5\nG1 Z-1 F200\nX230 F500\nM30\n",
        limits(),
    );
    assert_eq!(ids(&report, Level::Stop), ["over-travel"]);
}

#[test]
fn a_plunge_faster_than_z_goes_is_named_with_its_line() {
    let report = report(
        "G21 G90 M3 S5000\nG0 X0 Y0 Z5\nG1 Z-1 F600\nX30 F900\nM30\n",
        limits(),
    );
    let finding = report
        .findings
        .iter()
        .find(|f| f.id == "feed-over-axis")
        .expect("found");
    assert_eq!(finding.line, 3);
    assert!(
        finding.message.contains("F600") && finding.message.contains("300"),
        "{}",
        finding.message
    );
}

#[test]
fn speeds_outside_the_spindle_are_warned_of() {
    let over = report(
        "G21 G90 M3 S12000\nG0 X0 Y0 Z5\nG1 Z-1 F200\nM30\n",
        limits(),
    );
    assert_eq!(ids(&over, Level::Warn), ["speed-over-spindle"]);
    let under = report("G21 G90 M3 S500\nG0 X0 Y0 Z5\nG1 Z-1 F200\nM30\n", limits());
    assert_eq!(ids(&under, Level::Warn), ["speed-under-spindle"]);
}

#[test]
fn a_spindle_set_by_hand_makes_notes_of_what_the_program_leaves_out() {
    let text = "G21 G90\nG0 X0 Y0 Z5\nG1 Z-1 F200\nX30\nM30\n";
    assert_eq!(
        ids(&report(text, limits()), Level::Warn),
        ["spindle-stopped"]
    );
    let by_hand = Limits {
        spindle_by_hand: true,
        ..limits()
    };
    let found = report(text, by_hand);
    assert!(ids(&found, Level::Warn).is_empty());
    let note = found
        .findings
        .iter()
        .find(|f| f.id == "spindle-stopped")
        .expect("still said");
    assert!(note.remedy.contains("by hand"));
}

#[test]
fn without_a_machine_nothing_of_it_is_checked_and_that_is_said() {
    let text = "G21 G90 M3 S99000\nG0 X0 Y0 Z5\nG1 Z-1 F99999\nX3000\nM30\n";
    let against = Against::default();
    let (_, found) =
        check::examine(text.as_bytes(), &ReadOptions::default(), &against).expect("readable");
    assert!(ids(&found, Level::Stop).is_empty());
    assert!(
        found
            .assumed
            .iter()
            .any(|a| a.contains("machine is not stated"))
    );
}

// M5 before a cut is meant (NISTIR 6556, 3.6.3: the spindle stops), and S far out of reach was written for another machine.
#[test]
fn a_spindle_set_by_hand_excuses_neither_m5_before_a_cut_nor_a_speed_far_out_of_reach() {
    let by_hand = || Limits {
        spindle_by_hand: true,
        ..limits()
    };
    let [least, most] = limits().spindle_rpm;
    let program = |speed: f64, before: &str| {
        format!(
            "G21 G90 G17 G94\nT1 M6\nS{speed:.0} M3\nG0 X0 Y0 Z5\n{before}G1 Z-1 F200\nX30\nM5\nM30\n"
        )
    };
    for (speed, before, wanted) in [
        (most, "", vec![]),
        (most, "M5\n", vec!["cut-after-m5"]),
        // The person starts it again at the stop, or the program does.
        (most, "M5\nM0\n", vec![]),
        (most, "M5\nM3\n", vec![]),
        // A knob is set as the recipe says: a little above is nothing.
        (1.2 * most, "", vec![]),
        (2.0 * most, "", vec!["speed-over-spindle"]),
        (0.5 * least, "", vec!["speed-under-spindle"]),
    ] {
        let found = report(&program(speed, before), by_hand());
        assert_eq!(ids(&found, Level::Warn), wanted, "{speed} {before}");
    }
}
