//! The tools that come along, against the standards that their sizes are from (copied to `fixtures/shelf`, the source above each table).

use std::fs;

use millside::job::tool::Kind;
use millside::job::tool::Tool;
use millside::profile::library::Library;

/// Rows of a table by column, without comments and heading.
fn table(name: &str) -> Vec<Vec<String>> {
    let path = format!(
        "{}/tests/fixtures/shelf/{name}.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = fs::read_to_string(path).expect("the table is there");
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    rows.map(|row| row.split(',').map(str::to_owned).collect())
        .collect()
}

fn number(text: &str) -> f64 {
    text.parse().expect("a number")
}

fn tools(kind: Kind) -> Vec<Tool> {
    let library = Library::shipped();
    let all = library.tools.items().iter();
    all.filter(|tool| tool.kind == kind).cloned().collect()
}

/// A hair: sizes in inches are printed to a ten-thousandth.
fn is_same(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.004
}

fn is_angle(tool: &Tool, angle: f64) -> bool {
    tool.point_angle_deg
        .is_some_and(|deg| (deg - angle).abs() < 1e-6)
}

fn has(tools: &[Tool], mm: f64) -> bool {
    tools.iter().any(|tool| is_same(tool.diameter_mm, mm))
}

const METRIC: [&str; 9] = ["M2", "M2.5", "M3", "M4", "M5", "M6", "M8", "M10", "M12"];

#[test]
fn drills_go_in_tenths_from_half_a_millimetre_to_thirteen() {
    let drills = tools(Kind::Drill);
    for tenths in 5..=130 {
        let mm = f64::from(tenths) / 10.0;
        assert!(has(&drills, mm), "{mm} mm");
    }
}

#[test]
fn each_drill_has_a_size_of_the_standards_and_a_name_that_agrees() {
    let sizes = table("drills");
    for drill in tools(Kind::Drill) {
        let of_size: Vec<_> = sizes
            .iter()
            .filter(|row| is_same(number(&row[2]), drill.diameter_mm))
            .collect();
        assert!(!of_size.is_empty(), "{}: {}", drill.name, drill.diameter_mm);
        let said = drill.title.trim_start_matches("Drill ");
        let said = said.split([',', ' ']).next().unwrap_or_default();
        let letter = drill.title.trim_start_matches("Drill letter ");
        let labels = of_size.iter().map(|row| row[1].as_str());
        let is_named = labels.clone().any(|label| {
            label == said || letter.starts_with(label) || label.trim_end_matches(" mm") == said
        });
        let mm = said.parse::<f64>();
        let is_mm = mm.is_ok_and(|mm| is_same(mm, drill.diameter_mm));
        assert!(is_named || is_mm, "{}: {:?}", drill.title, of_size);
    }
}

#[test]
fn each_screw_has_its_clearance_drill() {
    let drills = tools(Kind::Drill);
    let mut count = 0;
    for row in table("clearance_holes") {
        let is_metric = METRIC.contains(&row[1].as_str());
        let inch = ["#2", "#4", "#6", "#8", "#10", "1/4", "5/16", "3/8"];
        if is_metric {
            for hole in &row[2..] {
                assert!(has(&drills, number(hole)), "{}: {hole}", row[1]);
            }
            count += 1;
        } else if inch.contains(&row[1].as_str()) {
            for hole in &row[2..4] {
                assert!(has(&drills, number(hole) * 25.4), "{}: {hole}", row[1]);
            }
            count += 1;
        }
    }
    assert_eq!(count, METRIC.len() + 8);
}

#[test]
fn each_thread_has_a_hand_tap_a_machine_tap_and_the_drill_for_it() {
    let (taps, drills) = (tools(Kind::Tap), tools(Kind::Drill));
    let inch = [
        "2-56", "3-48", "4-40", "5-40", "6-32", "8-32", "10-24", "10-32", "12-24", "1/4-20",
        "5/16-18", "3/8-16",
    ];
    let mut count = 0;
    for row in table("threads") {
        let is_wanted = METRIC.contains(&row[1].as_str()) || inch.contains(&row[1].as_str());
        if !is_wanted {
            continue;
        }
        count += 1;
        let of_thread: Vec<&Tool> = taps
            .iter()
            .filter(|tap| tap.thread.as_ref() == Some(&row[1]))
            .collect();
        let is_hand = |tap: &&&Tool| tap.name.starts_with("hand-");
        assert_eq!(of_thread.iter().filter(is_hand).count(), 1, "{}", row[1]);
        assert_eq!(of_thread.len(), 2, "{}", row[1]);
        for tap in of_thread {
            assert!(is_same(tap.diameter_mm, number(&row[2])), "{}", tap.name);
            let pitch = tap.pitch_mm.expect("a tap has a pitch");
            assert!((pitch - number(&row[3])).abs() < 1e-5, "{}", tap.name);
            // The usual tap drills give 60 to 80 % of a thread of 1.299 P (Machinery's Handbook, 31st ed., p. 2155); its hole is named.
            let hole = tap.notes[0]
                .trim_start_matches("Hole ")
                .trim_end_matches('.');
            let size = hole
                .trim_start_matches("letter ")
                .trim_end_matches(" in")
                .trim_end_matches(" mm");
            let drill = drills.iter().find(|drill| {
                let said = drill
                    .title
                    .trim_start_matches("Drill ")
                    .trim_start_matches("letter ");
                said.split([',', ' ']).next() == Some(size)
            });
            let drill = drill.unwrap_or_else(|| panic!("{}: no drill {hole}", tap.name));
            let percent = (tap.diameter_mm - drill.diameter_mm) / (1.299 * pitch) * 100.0;
            assert!((60.0..=80.0).contains(&percent), "{}: {percent}", tap.name);
        }
    }
    assert_eq!(count, METRIC.len() + inch.len());
}

#[test]
fn the_drills_of_a_printed_chart_of_tap_holes_are_there() {
    let drills = tools(Kind::Drill);
    let chart = table("tap_drills");
    for thread in METRIC {
        let row = chart.iter().find(|row| row[0] == thread).expect(thread);
        assert!(has(&drills, number(&row[1])), "{thread}: {}", row[1]);
    }
}

#[test]
fn each_countersunk_head_has_a_countersink_of_its_angle() {
    let sinks = tools(Kind::Chamfer);
    let of_angle = |angle: f64| {
        let all = sinks
            .iter()
            .filter(move |tool| tool.name.starts_with("countersink"));
        all.filter(move |tool| is_angle(tool, angle))
    };
    let mut count = 0;
    for row in table("countersunk_heads") {
        let (angle, head) = (number(&row[0]), number(&row[2]));
        let inch = ["#2", "#4", "#6", "#8", "#10", "1/4", "5/16", "3/8"];
        if METRIC.contains(&row[1].as_str()) || inch.contains(&row[1].as_str()) {
            count += 1;
            let fits = |tool: &Tool| {
                tool.diameter_mm >= head && tool.tip_diameter_mm.is_some_and(|tip| tip < head / 2.0)
            };
            assert!(of_angle(angle).any(fits), "{} at {angle} degrees", row[1]);
        }
    }
    // DIN 7991 begins at M3.
    assert_eq!(count, METRIC.len() - 2 + 8);
}

#[test]
fn thread_mills_pass_the_minor_diameter_of_their_thread() {
    let mills = tools(Kind::ThreadMill);
    let threads = table("threads");
    for thread in ["M3", "M4", "M5", "M6", "M8", "M10", "M12"] {
        let row = threads.iter().find(|row| row[1] == thread).expect(thread);
        let name = format!("thread-mill-{}", thread.to_lowercase());
        let mill = mills.iter().find(|mill| mill.name == name).expect(thread);
        assert!(mill.diameter_mm < number(&row[4]), "{thread}");
        assert_eq!(mill.pitch_mm, Some(number(&row[3])), "{thread}");
    }
}

#[test]
fn reamers_have_their_drills_and_spot_drills_their_angles() {
    let (reamers, drills) = (tools(Kind::Reamer), tools(Kind::Drill));
    for mm in [2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0] {
        assert!(has(&reamers, mm), "{mm} mm");
    }
    for reamer in &reamers {
        let hole = reamer.notes[0].trim_start_matches("Pre-drill ");
        let hole = number(hole.split(' ').next().expect("a size"));
        // Common practice, no source: 0.1 to 0.3 mm is left for a reamer of this size.
        let left = reamer.diameter_mm - hole;
        assert!(
            has(&drills, hole) && (0.09..0.31).contains(&left),
            "{}",
            reamer.name
        );
    }
    let spots = tools(Kind::SpotDrill);
    for angle in [90.0, 120.0, 140.0, 60.0] {
        assert!(spots.iter().any(|spot| is_angle(spot, angle)), "{angle}");
    }
}

#[test]
fn the_usual_sizes_of_end_mills_have_no_gap_and_old_names_stay() {
    let mills = tools(Kind::EndMill);
    for mm in [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0] {
        assert!(has(&mills, mm), "{mm} mm");
    }
    // Records and templates name tools so.
    let library = Library::shipped();
    for name in [
        "spot-6-90",
        "spot-8-120",
        "drill-2",
        "drill-2.5",
        "drill-3",
        "drill-3.3",
        "drill-3.8",
        "drill-4",
        "drill-4.2",
        "drill-5",
        "drill-5.8",
        "drill-6",
        "drill-6.8",
        "drill-8",
        "drill-3.3-carbide",
        "tap-m3",
        "tap-m4",
        "tap-m5",
        "tap-m6",
        "thread-mill-m6",
        "reamer-6-h7",
        "reamer-4-h7",
    ] {
        assert!(library.tools.get(name).is_some(), "{name}");
    }
}
