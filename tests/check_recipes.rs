//! The check against what a session knows besides the blank: recipes, bores with a tolerance, clamps that
//! change places. Chip loads by hand from fz = vf/(n·z) (definition, ISO 3002-3, from memory).

use std::fs;
use std::path::Path;
use std::time::Duration;

use chrono::DateTime;

#[path = "support/plate.rs"]
mod plate;

use millside::app::checking;
use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::check::against::KeepOutsStand;
use millside::check::against::Limits;
use millside::check::against::ToolFacts;
use millside::check::bores::Bore;
use millside::check::chip_load::SectionRecipe;
use millside::job::caution::Cautions;
use millside::job::holding::KeepOut;
use millside::job::operation::OperationKind;
use millside::job::operation::Progress;
use millside::job::stock::StockSize;
use millside::program::finding::Finding;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::record::read;
use millside::session::moment::Moment;
use millside::session::state::State;

/// 1200 mm/min at 12000 rpm and 2 flutes: 0.05 mm a tooth. Its section begins at line 1.
const PLAIN: &str =
    "G21 G90 G17 T1 M6\nM3 S12000\nG0 X0 Y0 Z5\nG1 Z-1 F200\nX100 F1200\nG0 Z5\nM5\nM30\n";

fn limits(backlash_mm: f64, spindle_by_hand: bool) -> Limits {
    Limits {
        spindle_by_hand,
        backlash_mm: [backlash_mm, backlash_mm / 2.0, 0.3],
        ..plate::limits()
    }
}

fn tool() -> Vec<(u32, ToolFacts)> {
    let facts = ToolFacts {
        diameter_mm: Some(6.0),
        ..ToolFacts::default()
    };
    vec![(1, facts)]
}

fn with_recipe(fz_mm: f64, override_percent: Option<f64>) -> Against {
    Against {
        tools: tool(),
        recipes: vec![SectionRecipe {
            ap_mm: 1.0,
            ae_mm: 3.0,
            first_line: 1,
            fz_mm,
            n_rpm: 6000.0,
            override_percent,
            flutes: 2,
        }],
        ..Against::default()
    }
}

fn report(text: &str, against: &Against) -> Report {
    check::examine(text.as_bytes(), &ReadOptions::default(), against)
        .expect("bytes are readable")
        .1
}

fn found<'a>(report: &'a Report, id: &str) -> Option<&'a Finding> {
    report.findings.iter().find(|f| f.id == id)
}

#[test]
fn chip_load_above_the_recipe_is_warned_of_with_its_numbers() {
    let report = report(PLAIN, &with_recipe(0.03, None));
    let finding = found(&report, "chip-load").expect("found");
    assert_eq!((finding.level, finding.line), (Level::Warn, 1));
    assert!(finding.message.contains("F1200"), "{}", finding.message);
    assert!(
        finding.message.contains("0.050 mm a tooth"),
        "{}",
        finding.message
    );
}

#[test]
fn chip_load_below_the_recipe_is_noted_by_the_feed_of_most_of_the_path() {
    let report = report(PLAIN, &with_recipe(0.1, None));
    let finding = found(&report, "chip-load").expect("found");
    assert_eq!(finding.level, Level::Note);
    // The slower plunge is no sign of rubbing.
    assert!(finding.message.contains("F1200"), "{}", finding.message);
}

#[test]
fn chip_load_counts_the_override_that_was_decided() {
    let half = with_recipe(0.025, Some(50.0));
    assert!(found(&report(PLAIN, &half), "chip-load").is_none());
    let whole = with_recipe(0.025, None);
    assert!(found(&report(PLAIN, &whole), "chip-load").is_some());
}

#[test]
fn chip_load_is_not_judged_without_a_recipe() {
    let against = Against {
        tools: tool(),
        ..Against::default()
    };
    assert!(found(&report(PLAIN, &against), "chip-load").is_none());
    let mut other_section = with_recipe(0.01, None);
    other_section.recipes[0].first_line = 7;
    assert!(found(&report(PLAIN, &other_section), "chip-load").is_none());
}

#[test]
fn chip_load_of_a_spindle_set_by_hand_goes_by_the_speed_of_the_recipe() {
    // 1200 mm/min at the recipe's 6000 rpm: 0.1 mm a tooth.
    let mut against = with_recipe(0.1, None);
    against.machine = Some(limits(0.0, true));
    assert!(found(&report(PLAIN, &against), "chip-load").is_none());
}

/// A circle of radius 8 mm with a tool of 6 mm leaves a bore of 22 mm.
const BORE: &str = "G21 G90 G17 T1 M6\nM3 S12000\nG0 X38 Y20 Z5\nG1 Z-1 F200\nG3 X22 Y20 I-8 J0 F600\nG3 X38 Y20 I8 J0\nG0 Z5\nM5\nM30\n";

fn with_bore(size_mm: f64, tolerance_mm: f64, backlash_mm: f64) -> Against {
    Against {
        tools: tool(),
        machine: Some(limits(backlash_mm, false)),
        bores: vec![Bore {
            what: "bearing seat".to_owned(),
            size_mm,
            tolerance_mm,
        }],
        ..Against::default()
    }
}

#[test]
fn backlash_in_bore_over_half_of_its_tolerance_is_warned_of() {
    let report = report(BORE, &with_bore(22.0, 0.03, 0.05));
    let finding = found(&report, "backlash-in-bore").expect("found");
    assert_eq!((finding.level, finding.line), (Level::Warn, 6));
    assert!(finding.message.contains("22.00 mm"), "{}", finding.message);
}

#[test]
fn backlash_in_bore_needs_a_bore_of_that_size_a_tolerance_that_is_close_and_a_machine() {
    for against in [
        with_bore(22.0, 0.2, 0.05),
        with_bore(22.0, 0.1, 0.05),
        with_bore(30.0, 0.03, 0.05),
        Against {
            machine: None,
            ..with_bore(22.0, 0.03, 0.05)
        },
    ] {
        assert!(found(&report(BORE, &against), "backlash-in-bore").is_none());
    }
    // An arc that does not close is no bore.
    let half = BORE.replace("G3 X38 Y20 I8 J0\n", "");
    let against = with_bore(22.0, 0.03, 0.05);
    assert!(found(&report(&half, &against), "backlash-in-bore").is_none());
}

/// Line 5 runs where the clamp of `clamped` stands, line 8 runs there again with another tool.
const TWICE: &str = "G21 G90 G17 T1 M6\nM3 S12000\nG0 X50 Y20 Z5\nG1 Z-1 F200\nX5 F600\nG0 Z15\nT2 M6\nG0 X50 Y20\nG1 Z-1 F200\nX5 F600\nG0 Z15\nM5\nM30\n";

fn clamped(stand: KeepOutsStand) -> Against {
    Against {
        stock: Some(StockSize {
            x_mm: 60.0,
            y_mm: 40.0,
            z_mm: 10.0,
        }),
        zero: "left-front-top".parse().ok(),
        keep_outs: vec![KeepOut {
            from: [0.0, 15.0],
            to: [8.0, 25.0],
            height: 18.0,
        }],
        keep_outs_stand: stand,
        ..Against::default()
    }
}

#[test]
fn keep_out_entered_counts_only_while_the_clamps_stand_there() {
    let count = |stand| {
        let report = report(TWICE, &clamped(stand));
        found(&report, "keep-out-entered").map(|f| (f.line, f.count))
    };
    assert_eq!(count(KeepOutsStand::Throughout), Some((5, 4)));
    assert_eq!(count(KeepOutsStand::NotIn(vec![[1, 6]])), Some((10, 2)));
    assert_eq!(count(KeepOutsStand::NotIn(vec![[7, 13]])), Some((5, 2)));
    assert_eq!(count(KeepOutsStand::Unknown), None);
}

#[test]
fn what_keep_outs_are_not_checked_for_is_said() {
    let says = |stand, word: &str| {
        let report = report(TWICE, &clamped(stand));
        report.assumed.iter().any(|line| line.contains(word))
    };
    assert!(says(KeepOutsStand::NotIn(vec![[7, 13]]), "lines 7 to 13"));
    assert!(says(KeepOutsStand::Unknown, "no keep-out is checked"));
    assert!(!says(KeepOutsStand::Throughout, "clamps"));
}

/// The sample whose sixth operation runs after a swap of clamps.
fn sample() -> State {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sessions/2026-11-14-130500-star-tracker-base-plate-c3e1.toml");
    let text = fs::read_to_string(path).expect("the sample is there");
    let at = Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    };
    match read::state(&text, Cautions::default(), at) {
        Ok(mut state) => {
            state.setup = 0;
            state
        }
        Err(error) => panic!("{error}"),
    }
}

#[test]
fn the_clamps_of_now_stand_up_to_the_swap_or_from_it_on() {
    let mut state = sample();
    let operations = &mut state.setups[0].operations;
    let swap = operations
        .iter()
        .position(|o| o.kind == OperationKind::ClampSwap)
        .expect("the sample swaps clamps");
    let lines = |state: &State, range: std::ops::Range<usize>| -> Vec<[u64; 2]> {
        let operations = &state.setups[0].operations[range];
        let parts = operations.iter().filter_map(|o| o.part.as_ref());
        parts.map(|p| [p.first_line, p.last_line]).collect()
    };
    let count = operations.len();
    operations[swap].progress = Progress::Planned;
    let behind = lines(&state, swap + 1..count);
    assert!(!behind.is_empty());
    assert_eq!(
        checking::against(&state, &[]).keep_outs_stand,
        KeepOutsStand::NotIn(behind)
    );
    state.setups[0].operations[swap].progress = Progress::Finished;
    let before = lines(&state, 0..swap);
    assert!(!before.is_empty());
    assert_eq!(
        checking::against(&state, &[]).keep_outs_stand,
        KeepOutsStand::NotIn(before)
    );
    state.setups[0].operations[swap].progress = Progress::LeftOut;
    assert_eq!(
        checking::against(&state, &[]).keep_outs_stand,
        KeepOutsStand::Throughout
    );
    // Where one of the others runs no known lines, nothing is known of any.
    state.setups[0].operations[swap].progress = Progress::Finished;
    state.setups[0].operations[0].part = None;
    assert_eq!(
        checking::against(&state, &[]).keep_outs_stand,
        KeepOutsStand::Unknown
    );
}

#[test]
fn a_session_hands_its_recipes_and_inside_sizes_to_the_check() {
    let state = sample();
    let against = checking::against(&state, &[]);
    let setup = &state.setups[0];
    let decided = setup
        .operations
        .iter()
        .filter(|o| o.recipe.is_some() && o.part.is_some());
    assert_eq!(against.recipes.len(), decided.count());
    assert!(!against.recipes.is_empty());
    assert!(against.recipes.iter().all(|r| r.flutes > 0));
    let inside = setup
        .readings
        .iter()
        .filter(|r| r.of == millside::job::reading::Of::Inside)
        .count();
    assert_eq!(against.bores.len(), inside);
    assert!(inside > 0);
}

#[test]
fn check_points_span_shallow_passes_too() {
    // A shallow pass from 2 to 55, a deep one from 20 to 40.
    let text = "G21 G90 M3 S9000\nG0 X2 Y3 Z5\nG1 Z-0.3 F200\nX55 Y30 F600\nG0 Z5\nG0 X20 Y10\nG1 Z-6 F200\nX40 Y12\nG0 Z5\nM5\nM30\n";
    for against in [clamped(KeepOutsStand::Throughout), Against::default()] {
        let report = report(text, &against);
        let at = |end: &str| {
            let point = report.check_points.iter().find(|p| p.why.contains(end));
            point.map(|p| (p.x_mm, p.y_mm))
        };
        assert_eq!(at("right back"), Some((55.0, 30.0)));
        // The left front end is where the first cut begins, which is named for that.
        assert_eq!(at("first cut"), Some((2.0, 3.0)));
    }
}
