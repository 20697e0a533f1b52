//! What the program alone, or with the blank, is warned of and no other test names.

use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::job::stock::StockSize;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;

fn report(text: &str, against: &Against) -> Report {
    check::examine(text.as_bytes(), &ReadOptions::default(), against)
        .expect("bytes are readable")
        .1
}

fn level(text: &str, id: &str) -> Option<Level> {
    let report = report(text, &Against::default());
    report.findings.iter().find(|f| f.id == id).map(|f| f.level)
}

#[test]
fn no_spindle_stop_at_the_end_is_warned_of() {
    let body = "G21 G90 M3 S9000\nG0 X0 Y0 Z5\nG1 Z-1 F200\nG0 Z5\n";
    // No end code stops the spindle, and a percent sign ends the file only.
    let turning = format!("%\n{body}%\n");
    assert_eq!(level(&turning, "no-spindle-stop"), Some(Level::Warn));
    assert_eq!(level(&format!("{body}M5\nM30\n"), "no-spindle-stop"), None);
}

#[test]
fn spindle_wrong_way_in_a_cut_is_warned_of() {
    let text = |m: &str| format!("G21 G90 {m} S9000\nG0 X0 Y0 Z5\nG1 Z-1 F200\nG0 Z5\nM30\n");
    assert_eq!(level(&text("M4"), "spindle-wrong-way"), Some(Level::Warn));
    assert_eq!(level(&text("M3"), "spindle-wrong-way"), None);
}

#[test]
fn peck_cycle_g73_is_followed_with_a_note() {
    let text = "G21 G90 M3 S9000\nG0 X0 Y0 Z5\nG73 X1 Y1 Z-5 R1 Q1 F100\nG80\nM30\n";
    assert_eq!(level(text, "peck-cycle-g73"), Some(Level::Note));
}

#[test]
fn zero_fits_better_is_warned_of_where_the_stated_one_hangs_over_the_edge() {
    let against = Against {
        stock: Some(StockSize {
            x_mm: 60.0,
            y_mm: 60.0,
            z_mm: 10.0,
        }),
        zero: "left-front-top".parse().ok(),
        ..Against::default()
    };
    // A square of 24 mm about the zero: 12 mm over two edges, or whole in the middle of the blank.
    let text = "G21 G90 T1 M6 (end mill 6 mm)\nM3 S9000\nG0 X-12 Y-12 Z5\nG1 Z-1 F200\nX12 F600\nY12\nX-12\nY-12\nG0 Z5\nM5\nM30\n";
    let report = report(text, &against);
    let finding = report
        .findings
        .iter()
        .find(|f| f.id == "zero-fits-better")
        .expect("found");
    assert_eq!(finding.level, Level::Warn);
    assert!(
        finding.message.contains("centre") || finding.message.contains("center"),
        "{}",
        finding.message
    );
}
