//! Holes alone, holes through the bottom, helices and paths far out of the blank: what is harmless is never stopped, and each danger beside it is at
//! least a warning. Programs of our own; what each must come to follows by hand from its blocks.

use std::fs;

use millside::check::Report;
use millside::check::against::Against;
use millside::check::against::ToolFacts;
use millside::check::examine;
use millside::check::zero_finder::Candidate;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::job::tool::Kind;
use millside::job::zero::Height;
use millside::program::finding::Finding;
use millside::program::finding::Level::Stop;
use millside::program::finding::Level::Warn;
use millside::program::read::ReadOptions;

fn blank(x_mm: f64, y_mm: f64, z_mm: f64) -> Against {
    Against {
        stock: Some(StockSize { x_mm, y_mm, z_mm }),
        under: Under::Spoil { thickness_mm: 12.0 },
        ..Against::default()
    }
}

/// A plate of 100 x 80 x 10 mm.
fn plate(zero: &str, tools: &[(u32, Kind, f64)]) -> Against {
    Against {
        zero: Some(zero.parse().expect("a zero")),
        tools: tools
            .iter()
            .map(|row| (row.0, tool(row.1, row.2)))
            .collect(),
        ..blank(100.0, 80.0, 10.0)
    }
}

fn tool(kind: Kind, diameter_mm: f64) -> ToolFacts {
    ToolFacts {
        kind: Some(kind),
        diameter_mm: Some(diameter_mm),
        cuts_sideways: Some(kind.cuts_sideways()),
        pitch_mm: (kind == Kind::Tap).then_some(1.0),
        ..ToolFacts::default()
    }
}

fn report(text: &str, against: &Against) -> Report {
    examine(text.as_bytes(), &ReadOptions::default(), against)
        .expect("bytes in memory are read")
        .1
}

fn fixture(name: &str) -> String {
    let path = format!(
        "{}/tests/fixtures/programs/slips/{name}",
        env!("CARGO_MANIFEST_DIR")
    );
    fs::read_to_string(path).expect("a fixture")
}

fn find<'r>(report: &'r Report, id: &str) -> Option<&'r Finding> {
    report.findings.iter().find(|f| f.id == id)
}

fn stops(report: &Report) -> Vec<&Finding> {
    let is_stop = |f: &&Finding| f.level == Stop;
    report.findings.iter().filter(is_stop).collect()
}

#[test]
fn holes_alone_are_found_from_the_top_and_not_from_the_middle() {
    let text = fixture("holes_alone_zero_on_top.nc");
    let open = blank(100.0, 70.0, 20.0);
    let found = report(&text, &open);
    let best = &found.zero_candidates[0];
    assert!(best.fits, "{}", best.sentence);
    assert_eq!(best.zero.to_string(), "left-front-top", "{}", best.sentence);
    let fits_lower = |c: &Candidate| c.fits && c.zero.height != Height::Top;
    assert!(!found.zero_candidates.iter().any(fits_lower));
    let given = |zero: &str| Against {
        zero: Some(zero.parse().expect("a zero")),
        ..open.clone()
    };
    let found = report(&text, &given("left-front-top"));
    assert!(stops(&found).is_empty(), "{:?}", stops(&found));
    let found = report(&text, &given("left-front-middle"));
    let refused = find(&found, "zero-does-not-fit").expect("refuted");
    assert!(
        refused.message.contains("left front, top"),
        "{}",
        refused.message
    );
    // R2 lies 12 mm above the bottom with the zero half way up 20 mm: 8 mm below the top.
    assert!(
        refused.message.contains("8.0 mm into metal"),
        "{}",
        refused.message
    );
}

// Chips take two pitches below the tap (common practice, no source): M6, 2 mm.
#[test]
fn a_blind_hole_needs_room_below_the_tap() {
    let fixture = fixture("tapped_through_hole.nc");
    for (drilled, tapped, is_shallow) in [
        ("Z-8.5", "Z-6", false),
        ("Z-7.5", "Z-6", true),
        ("Z-6", "Z-6", true),
        // Through the plate of 10 mm chips fall out below.
        ("Z-11", "Z-8", false),
        ("Z-11", "Z-9.5", false),
    ] {
        let text = fixture
            .replace("Z-11 R2", &format!("{drilled} R2"))
            .replace("Z-8 R5", &format!("{tapped} R5"));
        let mut against = plate(
            "left-front-top",
            &[(1, Kind::Tap, 6.0), (2, Kind::Drill, 5.0)],
        );
        against.tools[0].1.pitch_mm = Some(1.0);
        let found = report(&text, &against);
        let own = find(&found, "tap-hole-shallow");
        assert_eq!(own.is_some(), is_shallow, "{drilled} {tapped}");
        if let Some(own) = own {
            assert_eq!(own.level, Warn);
            assert!(own.message.contains("2.0 mm, 2 pitches"), "{}", own.message);
        }
    }
}

#[test]
fn a_tap_and_a_reamer_run_through_a_hole_drilled_through_the_bottom() {
    let text = fixture("tapped_through_hole.nc").replace("Z-8 R5", "Z-12 R5");
    for kind in [Kind::Tap, Kind::Reamer] {
        let text = if kind == Kind::Tap {
            text.clone()
        } else {
            text.replace("G84", "G85")
        };
        let tools = [(1, kind, 6.0), (2, Kind::Drill, 5.0)];
        let found = report(&text, &plate("left-front-top", &tools));
        assert!(
            find(&found, "tap-without-hole").is_none(),
            "{:?}",
            stops(&found)
        );
        // One that ends 2 mm above the bottom is too shallow.
        let shallow = text.replace("Z-11 R2", "Z-8 R2");
        let found = report(&shallow, &plate("left-front-top", &tools));
        let refused = find(&found, "tap-without-hole").expect("too shallow");
        assert_eq!(refused.level, Stop);
        assert!(
            refused.message.contains("2.0 mm into metal"),
            "{}",
            refused.message
        );
        let missing = text.replace("G83 X20 Y15 Z-11 R2 Q3 F80\n", "");
        let found = report(&missing, &plate("left-front-top", &tools));
        assert_eq!(
            find(&found, "tap-without-hole").expect("missing").level,
            Stop
        );
    }
}

#[test]
fn a_helix_is_not_called_straight_down() {
    let tools = [(1, Kind::EndMill, 6.0)];
    let found = report(
        &fixture("helix_into_a_bore.nc"),
        &plate("left-front-top", &tools),
    );
    assert!(find(&found, "plunge-at-cutting-feed").is_none());
    let mut against = plate("left-front-top", &tools);
    against.tools[0].1.centre_cutting = Some(false);
    let found = report(&fixture("helix_into_a_bore.nc"), &against);
    assert!(stops(&found).is_empty(), "{:?}", stops(&found));
    // A turn so tight that the tool's own middle goes down on metal is no way in for it.
    let tight = fixture("helix_into_a_bore.nc").replace("I-4", "I-0.4");
    let found = report(&tight, &against);
    assert!(find(&found, "plunge-not-centre-cutting").is_some());
}

#[test]
fn a_length_on_a_line_without_a_motion_behind_g80_is_warned_of() {
    let text = fixture("helix_into_a_bore.nc").replace("G0 G43", "G43");
    let found = report(&text, &plate("left-front-top", &[(1, Kind::EndMill, 6.0)]));
    let said = find(&found, "axis-words-without-motion").expect("said");
    assert_eq!((said.level, said.line), (Warn, 3));
    let other = text.replace("Z50\nS6000", "X10 Y10\nS6000");
    let found = report(&other, &plate("left-front-top", &[(1, Kind::EndMill, 6.0)]));
    assert_eq!(
        find(&found, "axis-words-without-motion")
            .expect("said")
            .level,
        Stop
    );
}

#[test]
fn lead_ins_and_facing_far_out_of_the_blank_are_warned_of_and_not_stopped() {
    let tools = [(1, Kind::EndMill, 6.0)];
    for name in ["facing_overrun_40_mm.nc", "lead_in_40_mm_outside.nc"] {
        let text = fixture(name);
        let found = report(&text, &plate("left-front-top", &tools));
        let said = find(&found, "no-zero-fits").expect(name);
        assert_eq!(said.level, Warn, "{name}");
        assert!(stops(&found).is_empty(), "{name}: {:?}", stops(&found));
        // From the middle of the blank the same path is another job.
        let found = report(&text, &plate("center-center-top", &tools));
        assert!(
            find(&found, "zero-does-not-fit").is_some()
                || find(&found, "zero-fits-better").is_some(),
            "{name}: {:?}",
            found.findings
        );
        // Without a zero it is the right one that is proposed first.
        let found = report(&text, &blank(100.0, 80.0, 10.0));
        let best = &found.zero_candidates[0];
        assert!(best.fits, "{name}: {}", best.sentence);
        assert_eq!(best.zero.to_string(), "left-front-top", "{name}");
    }
}

#[test]
fn an_outline_or_a_hole_outside_the_blank_is_no_lead_in() {
    let tools = [(1, Kind::EndMill, 6.0)];
    let start = "G21 G90 G17\nT1 M6\nS6000 M3\nG0 X-30 Y-30 Z50\nZ2\n";
    for cuts in [
        "G1 Z-2 F200\nX130 F500\nY110\nX-30\nY-30\n",
        "G1 Z-2 F200\nX130 F500\nY40\nX50\n",
        "G81 X20 Y20 Z-5 R2 F100\nX80\nX160\nG80\n",
        "G1 Z-0.5 F200\nX230 F500\nY50\nX-30\n",
    ] {
        let text = format!("{start}{cuts}G0 Z50\nM5\nM30\n");
        let found = report(&text, &plate("left-front-top", &tools));
        let is_said = |f: &&Finding| f.id.contains("zero") && f.level >= Warn;
        assert!(found.findings.iter().any(|f| is_said(&f)), "{cuts}");
    }
}
