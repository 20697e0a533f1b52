//! Ordinary machine-made plate programs of our own: no stop and at most three warnings.

use std::fs;
use std::path::Path;

use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;

const BLANK: StockSize = StockSize {
    x_mm: 120.0,
    y_mm: 90.0,
    z_mm: 12.0,
};

const BAR: StockSize = StockSize {
    x_mm: 80.0,
    y_mm: 20.0,
    z_mm: 12.0,
};

/// Program, blank and the zero that it was made for.
const PLATES: [(&str, StockSize, &str); 7] = [
    ("face_pocket_holes_profile.nc", BLANK, "left-front-top"),
    (
        "scale_engraved_from_the_centre.nc",
        BLANK,
        "center-center-top",
    ),
    ("ring_inch_zero_on_the_board.nc", BLANK, "left-front-bottom"),
    ("clearing_with_ramps.nc", BLANK, "left-front-top"),
    ("spot_and_drill.nc", BLANK, "left-front-top"),
    ("dome_in_short_lines.nc", BLANK, "left-front-top"),
    ("bar_profile_by_radius.nc", BAR, "left-front-top"),
];

fn report(name: &str, stock: StockSize, zero: &str) -> Report {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/programs/plates")
        .join(name);
    let bytes = fs::read(path).expect("fixture is readable");
    let against = Against {
        stock: Some(stock),
        under: Under::Spoil { thickness_mm: 12.0 },
        zero: Some(zero.parse().expect("a zero point")),
        ..Against::default()
    };
    check::examine(bytes.as_slice(), &ReadOptions::default(), &against)
        .expect("bytes are readable")
        .1
}

#[test]
fn an_ordinary_plate_gives_no_stop_and_few_warnings() {
    for (name, stock, zero) in PLATES {
        let report = report(name, stock, zero);
        let of = |level: Level| -> Vec<String> {
            report
                .findings
                .iter()
                .filter(|f| f.level == level)
                .map(|f| format!("{} {}: {}", f.line, f.id, f.message))
                .collect()
        };
        assert_eq!(of(Level::Stop), Vec::<String>::new(), "{name}");
        assert!(of(Level::Warn).len() <= 3, "{name}: {:#?}", of(Level::Warn));
    }
}

#[test]
fn the_zero_that_it_was_made_for_is_first() {
    for (name, stock, zero) in PLATES {
        let report = report(name, stock, zero);
        let best = &report.zero_candidates[0];
        assert!(best.fits, "{name}: {}", best.sentence);
        assert_eq!(best.zero.to_string(), zero, "{name}: {}", best.sentence);
    }
}

#[test]
fn two_to_four_places_are_given_to_look_at() {
    for (name, stock, zero) in PLATES {
        let report = report(name, stock, zero);
        assert!((2..=4).contains(&report.check_points.len()), "{name}");
    }
}
