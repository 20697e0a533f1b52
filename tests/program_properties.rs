//! Whatever the bytes and however they arrive: the same result, and never a panic.

use std::fs;
use std::path::Path;

use millside::check;
use millside::check::Against;
use millside::check::against::ToolFacts;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::program::read::ReadOptions;
use millside::program::read::Reader;
use millside::program::read::Summary;
use millside::program::read::read_bytes;
use millside::program::time::limits::Corner;
use millside::program::time::limits::MotionLimits;
use proptest::prelude::*;

fn in_pieces(bytes: &[u8], size: usize) -> Summary {
    let mut reader = Reader::new(&ReadOptions::default(), None);
    for piece in bytes.chunks(size) {
        reader.feed(piece);
    }
    reader.finish()
}

fn programs(folders: &[&str]) -> Vec<(String, Vec<u8>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let mut found = vec![];
    for folder in folders {
        let Ok(entries) = fs::read_dir(root.join(folder)) else {
            continue;
        };
        for entry in entries {
            let path = entry.expect("entry is readable").path();
            let bytes = fs::read(&path).expect("program is readable");
            found.push((path.display().to_string(), bytes));
        }
    }
    found
}

#[test]
fn pieces_of_every_size_give_the_same_result() {
    let programs = programs(&["programs/nistir6556", "programs/untidy", "programs/plates"]);
    assert!(programs.len() >= 9);
    for (name, bytes) in programs {
        let whole = read_bytes(&bytes, &ReadOptions::default());
        for size in [1, 2, 3, 5, 7, 16, 64, 255, 256, 1000, bytes.len().max(1)] {
            assert_eq!(in_pieces(&bytes, size), whole, "{name} in pieces of {size}");
        }
    }
}

/// What random programs were made from, and what was once found among them.
#[test]
fn the_kept_corpus_is_read_checked_and_timed() {
    let programs = programs(&["corpus"]);
    assert!(programs.len() >= 16);
    let options = ReadOptions {
        motion: Some(MotionLimits::new(
            [10.0; 3],
            [20.0; 3],
            [100.0; 3],
            Corner::Blend { tolerance_mm: 0.01 },
        )),
        restart_line: Some(20),
        ..ReadOptions::default()
    };
    for (name, bytes) in programs {
        let whole = read_bytes(&bytes, &ReadOptions::default());
        for size in [7, 1000] {
            assert_eq!(in_pieces(&bytes, size), whole, "{name} in pieces of {size}");
        }
        let (summary, report) =
            check::examine(bytes.as_slice(), &options, &setup()).expect("bytes are readable");
        let seconds = summary.times.estimated_s;
        assert!(
            seconds.is_none_or(|s| s.is_finite() && s >= 0.0),
            "{name}: {seconds:?}"
        );
        assert!(!report.findings.is_empty(), "{name} is odd in some way");
        for finding in &report.findings {
            let text = [&finding.message, &finding.block, &finding.remedy];
            let is_plain = |text: &&String| text.chars().all(|c| !c.is_control());
            assert!(text.iter().all(is_plain), "{name}: {}", finding.id);
        }
    }
}

/// Lines that look like programs, so that the deeper parts are reached too.
fn line() -> impl Strategy<Value = String> {
    prop_oneof![
        "[GMXYZIJKRFSTHPQLND]{1,3}[-+]?[0-9]{0,6}(\\.[0-9]{0,4})?",
        "(G[0-9]{1,2} ?){1,3}([XYZIJKR]-?[0-9]{1,3} ?){0,4}(F[0-9]{1,4})?",
        "G8[1-9] ([XYZRPQLIJK]-?[0-9.]{1,5} ?){1,6}",
        "#[0-9]{1,4} ?= ?\\[?[#0-9+*/. -]{1,12}\\]?",
        "X\\[(SIN|SQRT|LN|ATAN|FIX)\\[[0-9.#/-]{1,8}\\]\\]",
        "(O|M98 P|M98 L[0-9]{1,3} P)[0-9]{1,2}",
        "M(0|1|2|3|4|5|6|7|8|9|30|99) ?T?[0-9]{0,2}",
        "[%(/;:].{0,20}",
        "G(92|28|30|53|10 L2 P1|54|55|43 H1|41|91|20|93) ?([XYZF]-?[0-9.]{0,6} ?){0,3}",
        ".{0,30}",
    ]
}

/// Lines of a program that is mostly coordinates, with all that may change what they mean between.
fn mostly_coordinates() -> impl Strategy<Value = String> {
    prop_oneof![
        12 => "(X-?[0-9]{1,3}(\\.[0-9]{0,4})? ?)?(Y[-+]?[0-9]{0,2}\\.[0-9]{1,4} ?)?(Z-?[0-9]{1,2}(\\.[0-9]{1,3})? {0,2})?",
        1 => "[XYZ]-?[0-9]{1,18}\\.?[0-9]{0,18}",
        1 => "[XYZ] ?[0-9] [0-9]?\\.?[0-9]? ?[XYZ]-?[0-9. ]{0,4}",
        2 => "G(0|1|01|90|91|20|21|40|41|93|94|80|17|18|54|55|43 H1|49|28|53|61) ?(X[0-9]{1,2} ?)?(Z[0-9]{1,2})?",
        1 => "G[23] X[0-9]{1,2} Y[0-9]{1,2} [IR][0-9]{1,2} ?(J[0-9])?",
        1 => "G81 X[0-9] Z-[0-9] R2",
        1 => "(M[0356]|M30|T1 M6|F[0-9]{1,3}|S[0-9]{1,4}|G92 X[0-9]|G10 L2 P1 X[0-9]|%|/X[0-9]|N[0-9]{1,3} X[0-9])",
        1 => "[(;][ -~]{0,8}",
        1 => "[xyzXYZ][0-9.]{0,3}[ -~]{0,6}",
    ]
}

/// A summary without what a tab behind each line changes.
fn without_text(mut summary: Summary) -> Summary {
    summary.sha256.clear();
    summary.size_bytes = 0;
    for finding in &mut summary.findings {
        finding.block = finding.block.trim_end().to_owned();
    }
    summary
}

/// Cases of one run; `PROPTEST_CASES` asks for more.
fn cases() -> u32 {
    std::env::var("PROPTEST_CASES")
        .ok()
        .and_then(|cases| cases.parse().ok())
        .unwrap_or(400)
}

/// A setup that makes every check run.
fn setup() -> Against {
    let tool = ToolFacts {
        diameter_mm: Some(6.0),
        flutes: Some(2),
        flute_length_mm: Some(10.0),
        shank_mm: Some(6.0),
        stick_out_mm: Some(20.0),
        centre_cutting: Some(false),
        ..ToolFacts::default()
    };
    Against {
        stock: Some(StockSize {
            x_mm: 60.0,
            y_mm: 40.0,
            z_mm: 10.0,
        }),
        under: Under::Jaw,
        part: Some(StockSize {
            x_mm: 50.0,
            y_mm: 30.0,
            z_mm: 10.0,
        }),
        zero: "left-front-top".parse().ok(),
        tools: vec![(1, tool)],
        keep_outs: vec![KeepOut {
            from: [0.0, 0.0],
            to: [5.0, 5.0],
            height: 20.0,
        }],
        ..Against::default()
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(cases()))]

    #[test]
    fn no_lines_make_the_check_or_the_time_panic(
        lines in proptest::collection::vec(line(), 0..60),
        restart in proptest::option::of(0_u64..80),
    ) {
        let text = format!("G21 G90 M3 S100 F100\nG0 X0 Y0 Z5\n{}", lines.join("\n"));
        let options = ReadOptions {
            motion: Some(MotionLimits::new([10.0; 3], [20.0; 3], [100.0; 3], Corner::Blend { tolerance_mm: 0.01 })),
            restart_line: restart,
            ..ReadOptions::default()
        };
        let against = setup();
        let (summary, report) = check::examine(text.as_bytes(), &options, &against).expect("bytes are readable");
        prop_assert!(summary.times.estimated_s.is_none_or(|s| s.is_finite() && s >= 0.0), "{:?}", summary.times);
        prop_assert!(report.check_points.len() <= 4);
        prop_assert!(summary.restart_points.len() <= 5);
        for finding in &report.findings {
            prop_assert!(finding.message.chars().all(|c| !c.is_control()));
        }
    }

    /// The quick way for lines of nothing but coordinates takes no line with a tab in it, so the
    /// same program with a tab behind each line goes the long way throughout.
    #[test]
    fn the_quick_way_for_coordinates_comes_to_what_the_long_way_does(
        lines in proptest::collection::vec(mostly_coordinates(), 0..120),
        end in prop_oneof![Just("\n"), Just("\r\n"), Just("\r")],
        size in 1_usize..2000,
        start in proptest::option::of(0.0_f64..20.0),
        restart in proptest::option::of(0_u64..80),
    ) {
        let head = "G21 G90 M3 S100 F100\nG0 X0 Y0 Z5\nG1 X1\n".replace('\n', end);
        let text = |behind: &str| format!("{head}{}", lines.join(&format!("{behind}{end}")));
        let options = ReadOptions {
            motion: Some(MotionLimits::new([10.0; 3], [20.0; 3], [100.0; 3], Corner::Blend { tolerance_mm: 0.01 })),
            start_mm: [start; 3],
            keep_steps: 100_000,
            restart_line: restart,
            ..ReadOptions::default()
        };
        let mut quick = Reader::new(&options, None);
        for piece in text("").as_bytes().chunks(size) {
            quick.feed(piece);
        }
        let quick = without_text(quick.finish());
        let long = without_text(read_bytes(text("\t").as_bytes(), &options));
        prop_assert_eq!(&quick, &long);
    }

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000), size in 1_usize..64) {
        let whole = read_bytes(&bytes, &ReadOptions::default());
        prop_assert_eq!(in_pieces(&bytes, size), whole);
    }

    #[test]
    fn no_lines_make_the_reader_panic(lines in proptest::collection::vec(line(), 0..60), size in 1_usize..64) {
        let text = lines.join("\n");
        let whole = read_bytes(text.as_bytes(), &ReadOptions::default());
        prop_assert_eq!(&in_pieces(text.as_bytes(), size), &whole);
        // Whatever was read is finite where it is known.
        for axis in 0..3 {
            if let Some((low, high)) = whole.extents.all.axis(axis) {
                prop_assert!(low.is_finite() && high.is_finite());
            }
        }
        prop_assert!(whole.findings.len() < 2000);
        for finding in &whole.findings {
            prop_assert!(!finding.message.is_empty() && !finding.remedy.is_empty());
            prop_assert!(finding.block.chars().all(|c| !c.is_control()));
        }
    }
}
