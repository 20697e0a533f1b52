//! The zero finder on programs with wrong zero, wrong unit, exchanged axes, turned or mirrored parts.
//! Programs and blanks of our own; what is right is known from how each was made.

use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::check::placement::Flip;
use millside::job::stock::StockSize;
use millside::job::zero::Height;
use millside::job::zero::ZeroPoint;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::read::read_bytes;
use millside::program::summary::Units;

const BLANK: StockSize = StockSize {
    x_mm: 120.0,
    y_mm: 80.0,
    z_mm: 12.0,
};

/// The star-tracker base plate in the blank's own frame: (x, y, z) from its left front bottom, rapid or not.
fn plate() -> Vec<(bool, [f64; 3])> {
    let mut path = vec![];
    // Four holes, one missing from the pattern's symmetry.
    for (x, y) in [(10.0, 10.0), (110.0, 10.0), (110.0, 70.0), (30.0, 60.0)] {
        path.push((true, [x, y, 20.0]));
        path.push((false, [x, y, -0.3]));
        path.push((true, [x, y, 20.0]));
    }
    // A pocket towards the left.
    path.push((true, [30.0, 20.0, 20.0]));
    for (x, y) in [
        (30.0, 20.0),
        (60.0, 20.0),
        (60.0, 45.0),
        (30.0, 45.0),
        (30.0, 20.0),
    ] {
        path.push((false, [x, y, 8.0]));
    }
    path.push((true, [30.0, 20.0, 20.0]));
    // The outside with a tool of radius 3, nearly through, on the blank's own edge.
    path.push((true, [-3.0, -3.0, 20.0]));
    for (x, y) in [
        (-3.0, -3.0),
        (-3.0, 83.0),
        (123.0, 83.0),
        (123.0, -3.0),
        (-3.0, -3.0),
    ] {
        path.push((false, [x, y, 0.2]));
    }
    path.push((true, [-3.0, -3.0, 20.0]));
    path
}

/// Writes the path as a program after `map` has taken each place to the program's numbers.
fn program(units: &str, map: impl Fn([f64; 3]) -> [f64; 3]) -> String {
    let mut text = format!("{units} G90 G17\nT1 M6 (end mill 6 mm)\nM3 S8000\n");
    for (is_rapid, place) in plate() {
        let [x, y, z] = map(place);
        let code = if is_rapid { "G0" } else { "G1" };
        text.push_str(&format!("{code} X{x:.5} Y{y:.5} Z{z:.5} F500\n"));
    }
    text.push_str("M5\nM30\n");
    text
}

fn zero(name: &str) -> ZeroPoint {
    name.parse().expect("a zero point")
}

fn at(name: &str) -> [f64; 3] {
    let share = zero(name).share();
    [
        share[0] * BLANK.x_mm,
        share[1] * BLANK.y_mm,
        share[2] * BLANK.z_mm,
    ]
}

fn minus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn report(text: &str, against: &Against) -> Report {
    check::check(
        &read_bytes(text.as_bytes(), &ReadOptions::default()),
        against,
    )
}

fn on(blank: StockSize) -> Against {
    Against {
        stock: Some(blank),
        ..Against::default()
    }
}

#[test]
fn each_of_the_27_points_is_found_as_the_one_that_was_meant() {
    let mut wrong = vec![];
    for point in ZeroPoint::all() {
        let name = point.to_string();
        let text = program("G21", |p| minus(p, at(&name)));
        let report = report(&text, &on(BLANK));
        let best = &report.zero_candidates[0];
        if !best.fits || best.zero != point || !best.placement.is_plain() {
            wrong.push(format!("{name}: {}", best.sentence));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_wrong_zero_is_a_stop_that_names_the_right_one() {
    for (made_for, set) in [
        ("left-front-top", "center-center-top"),
        ("center-center-top", "left-front-top"),
        ("right-back-top", "left-front-top"),
        ("left-front-bottom", "left-front-top"),
        ("left-front-top", "left-front-bottom"),
        ("left-back-top", "left-front-top"),
    ] {
        let text = program("G21", |p| minus(p, at(made_for)));
        let against = Against {
            zero: Some(zero(set)),
            ..on(BLANK)
        };
        let report = report(&text, &against);
        let finding = report
            .findings
            .iter()
            .find(|f| f.id == "zero-does-not-fit")
            .unwrap_or_else(|| panic!("{made_for} set at {set}: {:?}", report.findings));
        assert_eq!(finding.level, Level::Stop);
        let right = zero(made_for).words();
        assert!(
            finding.message.contains(&right),
            "{made_for} at {set}: {}",
            finding.message
        );
    }
}

#[test]
fn the_right_zero_gives_no_stop() {
    let text = program("G21", |p| minus(p, at("left-back-top")));
    let against = Against {
        zero: Some(zero("left-back-top")),
        ..on(BLANK)
    };
    assert!(!report(&text, &against).has_stop());
}

#[test]
fn inches_read_as_mm_and_mm_read_as_inches_are_told() {
    let scaled =
        |factor: f64| move |p: [f64; 3]| minus(p, at("left-front-top")).map(|v| v * factor);
    let inch_numbers = program("G21", scaled(1.0 / 25.4));
    let found = report(&inch_numbers, &on(BLANK));
    let best = &found.zero_candidates[0];
    assert!(best.fits && best.units == Units::Inch, "{}", best.sentence);
    assert_eq!(best.zero, zero("left-front-top"));
    assert!(
        found
            .findings
            .iter()
            .any(|f| f.id == "units-do-not-fit" && f.level == Level::Stop)
    );
    let mm_numbers = program("G20", scaled(1.0));
    let found = report(&mm_numbers, &on(BLANK));
    let best = &found.zero_candidates[0];
    assert!(best.fits && best.units == Units::Mm, "{}", best.sentence);
    assert_eq!(best.zero, zero("left-front-top"));
    assert!(
        found
            .findings
            .iter()
            .any(|f| f.id == "units-do-not-fit" && f.level == Level::Stop)
    );
}

#[test]
fn exchanged_axes_and_a_quarter_turn_are_found_and_the_tie_is_told() {
    let exchanged = program("G21", |p| {
        let [x, y, z] = minus(p, at("left-front-top"));
        [y, x, z]
    });
    let found = report(&exchanged, &on(BLANK));
    let fitting: Vec<_> = found.zero_candidates.iter().filter(|c| c.fits).collect();
    assert!(
        fitting
            .iter()
            .any(|c| c.swapped && c.zero == zero("left-front-top"))
    );
    // From the outline alone a quarter turn fits as well: both are named, and the hole to look at.
    let tie = found
        .findings
        .iter()
        .find(|f| f.id == "zero-ambiguous")
        .expect("told");
    assert!(tie.message.contains("first cut"), "{}", tie.message);
    let turned = program("G21", |p| {
        // Written for the blank turned: a quarter turn counterclockwise brings it back.
        let [x, y, z] = minus(p, at("left-front-top"));
        [y, -x, z]
    });
    let found = report(&turned, &on(BLANK));
    let fitting: Vec<_> = found.zero_candidates.iter().filter(|c| c.fits).collect();
    assert!(
        fitting
            .iter()
            .any(|c| c.turned_deg == 90 && c.zero == zero("left-front-top"))
    );
    assert!(found.zero_candidates[0].fits && !found.zero_candidates[0].placement.is_plain());
    assert!(found.findings.iter().any(|f| f.id == "zero-ambiguous"));
}

#[test]
fn a_part_turned_over_fits_with_its_mirrored_corner() {
    // Mirrored left to right about the zero: the outline fits with the zero at the right.
    let mirrored = program("G21", |p| {
        let [x, y, z] = minus(p, at("left-front-top"));
        [-x, y, z]
    });
    let found = report(&mirrored, &on(BLANK));
    assert_eq!(found.zero_candidates[0].zero, zero("right-front-top"));
    let against = Against {
        zero: Some(zero("left-front-top")),
        ..on(BLANK)
    };
    let found = report(&mirrored, &against);
    assert!(found.findings.iter().any(|f| f.id == "zero-does-not-fit"));
    // The placement that undoes it is among what can be judged.
    let summary = read_bytes(mirrored.as_bytes(), &ReadOptions::default());
    let mut placement = check::placement::Placement::plain(zero("left-front-top"));
    placement.flipped = Some(Flip::AboutY);
    assert!(check::zero_finder::judge(&summary, BLANK, &on(BLANK), placement).fits);
}

#[test]
fn a_zero_on_the_finished_part_is_found_when_its_size_is_known() {
    // The blank is larger than the plate by 10 mm all round; the zero is the part's corner.
    let blank = StockSize {
        x_mm: 140.0,
        y_mm: 100.0,
        z_mm: 12.0,
    };
    let text = program("G21", |p| minus(p, at("left-front-top")));
    let against = Against {
        part: Some(BLANK),
        ..on(blank)
    };
    let found = report(&text, &against);
    let of_part = found
        .zero_candidates
        .iter()
        .find(|c| c.of_part && c.zero == zero("left-front-top"))
        .expect("judged");
    assert!(
        of_part.fits && of_part.overhang_mm < 1e-9,
        "{}",
        of_part.sentence
    );
    let of_blank = found
        .zero_candidates
        .iter()
        .find(|c| !c.of_part && c.zero == zero("left-front-top"));
    assert!(of_blank.is_none_or(|c| c.overhang_mm > of_part.overhang_mm));
}

#[test]
fn a_small_pattern_fits_in_many_places_and_the_first_hole_is_named() {
    let text =
        "G21 G90 M3 S3000\nG0 X0 Y0 Z10\nG99 G81 X10 Y10 Z-5 R2 F100\nX25\nY25\nG80\nG0 Z10\nM30\n";
    let found = report(text, &on(BLANK));
    assert!(found.zero_candidates.iter().filter(|c| c.fits).count() > 3);
    let tie = found
        .findings
        .iter()
        .find(|f| f.id == "zero-ambiguous")
        .expect("told");
    assert_eq!(tie.level, Level::Note);
    assert!(tie.message.contains("first hole"), "{}", tie.message);
}

#[test]
fn a_program_for_a_larger_blank_fits_with_no_zero() {
    let text = program("G21", |p| minus(p, at("left-front-top")).map(|v| v * 3.0));
    let found = report(&text, &on(BLANK));
    assert!(
        found
            .findings
            .iter()
            .any(|f| f.id == "no-zero-fits" && f.level == Level::Stop)
    );
}

#[test]
fn a_thick_spoil_board_makes_no_zero_fit_that_cuts_deep_into_it() {
    use millside::job::stock::Under;
    // Made for the top of the blank; taken from its bottom it would go 12 mm into the board.
    let text = program("G21", |point| minus(point, at("center-center-top")));
    let against = Against {
        under: Under::Spoil { thickness_mm: 18.0 },
        ..on(BLANK)
    };
    let report = report(&text, &against);
    let fits = |name: &str| {
        report
            .zero_candidates
            .iter()
            .any(|candidate| candidate.fits && !candidate.of_part && candidate.zero == zero(name))
    };
    assert!(fits("center-center-top"));
    assert!(!fits("center-center-bottom") && !fits("center-center-middle"));
}

/// A profile of an 80 x 60 mm part with a 6 mm end mill and a lead-in from the front, its zero `from` the part's
/// left front corner, mm.
fn profile(from: [f64; 2]) -> String {
    let at = |x: f64, y: f64| format!("X{:.3} Y{:.3}", x + from[0], y + from[1]);
    let mut text = "G21 G90 G17\nT1 M6 (end mill 6 mm)\nM3 S8000\nG0 Z20\n".to_owned();
    for z in [-6.0, -12.2] {
        text.push_str(&format!(
            "G0 {}\nG0 Z2\nG1 Z{z} F200\nG1 {} F600\n{}\n{}\n{}\n{}\nG0 Z20\n",
            at(-3.0, -10.0),
            at(-3.0, 63.0),
            at(83.0, 63.0),
            at(83.0, -3.0),
            at(-3.0, -3.0),
            at(-3.0, -10.0),
        ));
    }
    text.push_str("M5\nM30\n");
    text
}

fn part_in(blank: [f64; 3]) -> Against {
    let [x_mm, y_mm, z_mm] = blank;
    Against {
        part: Some(StockSize {
            x_mm: 80.0,
            y_mm: 60.0,
            z_mm,
        }),
        ..on(StockSize { x_mm, y_mm, z_mm })
    }
}

#[test]
fn the_part_s_sides_tell_the_blank_s_corner_from_the_part_s() {
    // 5 mm of waste all round. The lead-in hangs over the front whatever the zero, so that overhang alone tells
    // nothing: with the wrong corner it is even less.
    let against = part_in([90.0, 70.0, 12.0]);
    let of_blank = report(&profile([5.0, 5.0]), &against);
    let best = &of_blank.zero_candidates[0];
    assert!(best.fits && !best.of_part, "{}", best.sentence);
    assert_eq!(
        (best.zero, best.sides_met),
        (zero("left-front-top"), 4),
        "{}",
        best.sentence
    );
    let of_part = report(&profile([0.0, 0.0]), &against);
    let best = &of_part.zero_candidates[0];
    assert!(best.fits && best.of_part, "{}", best.sentence);
    assert_eq!((best.zero, best.sides_met), (zero("left-front-top"), 4));
}

#[test]
fn a_corner_of_the_blank_two_millimetres_off_that_of_the_part_is_warned_of() {
    let against = Against {
        zero: Some(zero("left-front-top")),
        ..part_in([84.0, 64.0, 12.0])
    };
    let found = report(&profile([0.0, 0.0]), &against);
    let finding = found
        .findings
        .iter()
        .find(|f| f.id == "zero-fits-better")
        .expect("warned of");
    assert!(
        finding
            .message
            .contains("left front, top of the finished part"),
        "{}",
        finding.message
    );
    let found = report(&profile([2.0, 2.0]), &against);
    assert!(!found.findings.iter().any(|f| f.id == "zero-fits-better"));
}

#[test]
fn a_zero_with_which_rapids_run_below_the_top_does_not_fit_and_says_so() {
    // A slot 3 mm deep in a bar of 12 mm, cleared at 2 mm: from the middle the path lies inside too, but the way to
    // the second slot would go 4 mm below the top.
    let text = "G21 G90\nT1 M6 (end mill 6 mm)\nM3 S8000\nG0 X-10 Y20 Z20\nZ2\nG1 Z-3 F200\nX130 F500\nG0 Z2\n\
                G0 X60 Y40\nG1 Z-3 F200\nX130 F500\nG0 Z20\nM5\nM30\n";
    let found = report(text, &on(BLANK));
    let fitting: Vec<_> = found.zero_candidates.iter().filter(|c| c.fits).collect();
    assert!(fitting.iter().all(|c| c.zero.height == Height::Top));
    let summary = read_bytes(text.as_bytes(), &ReadOptions::default());
    let judged = |name: &str| {
        let placement = check::placement::Placement::plain(zero(name));
        check::zero_finder::judge(&summary, BLANK, &on(BLANK), placement)
    };
    let (top, middle) = (judged("left-front-top"), judged("left-front-middle"));
    assert_eq!(top.rapid_below_mm, 0.0);
    assert!((middle.rapid_below_mm - 4.0).abs() < 1e-9);
    assert!(
        middle.sentence.contains("4.0 mm below the top"),
        "{}",
        middle.sentence
    );
}

#[test]
fn a_zero_on_the_finished_part_can_be_stated_and_is_checked_against() {
    // The path sweeps the part's outline from its own corner, 10 mm inside the blank's.
    let at_part = Against {
        zero: Some(zero("left-front-top")),
        is_zero_on_part: true,
        ..part_in([100.0, 80.0, 12.0])
    };
    let text = profile([0.0, 0.0]);
    let bytes = text.as_bytes();
    let options = ReadOptions::default();
    let (_, found) = check::examine(bytes, &options, &at_part).expect("bytes are readable");
    let ids: Vec<&str> = found.findings.iter().map(|f| f.id).collect();
    assert!(!ids.contains(&"zero-does-not-fit") && !ids.contains(&"zero-fits-better"));
    assert!(!ids.contains(&"part-edge-not-reached"), "{ids:?}");
    // The same program from the blank's corner leaves two sides of the part uncut and says so.
    let at_blank = Against {
        is_zero_on_part: false,
        ..at_part
    };
    let (_, found) = check::examine(bytes, &options, &at_blank).expect("bytes are readable");
    let ids: Vec<&str> = found.findings.iter().map(|f| f.id).collect();
    assert!(ids.contains(&"zero-fits-better"), "{ids:?}");
    assert!(ids.contains(&"part-edge-not-reached"), "{ids:?}");
}

#[test]
fn a_drill_s_point_below_a_blank_over_air_is_no_reason_to_doubt_the_zero() {
    use millside::job::stock::Under;
    // 2 mm below a plate of 12 mm.
    let text = "G21 G90 M3 S3000\nG0 X0 Y0 Z10\nG99 G81 X10 Y10 Z-14 R2 F100\nX110\nY70\nG80\nG0 Z10\nM5\nM30\n";
    for (under, stops) in [
        (Under::Air, 0),
        (Under::Unknown, 0),
        (Under::Spoil { thickness_mm: 6.0 }, 0),
        // One cause, one stop.
        (Under::Table, 1),
        (Under::Parallels, 1),
    ] {
        let against = Against {
            under,
            zero: Some(zero("left-front-top")),
            ..on(BLANK)
        };
        let found = check::examine(text.as_bytes(), &ReadOptions::default(), &against)
            .expect("bytes are readable")
            .1;
        let stop: Vec<_> = found
            .findings
            .iter()
            .filter(|f| f.level == Level::Stop)
            .collect();
        assert_eq!(stop.len(), stops, "{under:?}: {stop:?}");
        // The first hole is drilled in line 3.
        let through = found.findings.iter().find(|f| f.id == "through-bottom");
        assert_eq!(through.map(|f| f.line), Some(3), "{under:?}");
    }
}

#[test]
fn the_wrong_unit_is_one_stop_and_not_two() {
    let inch_numbers = program("G21", |p| minus(p, at("left-front-top")).map(|v| v / 25.4));
    let against = Against {
        zero: Some(zero("left-front-top")),
        ..on(BLANK)
    };
    let found = report(&inch_numbers, &against);
    let ids: Vec<&str> = found.findings.iter().map(|f| f.id).collect();
    assert!(ids.contains(&"units-do-not-fit") && !ids.contains(&"zero-does-not-fit"));
}
