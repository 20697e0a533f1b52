//! The star-tracker base plate's blank, and a program of one end mill on it.

// Each test file uses a part of it.
#![allow(dead_code)]

use millside::check;
use millside::check::Against;
use millside::check::Report;
use millside::check::against::Limits;
use millside::check::against::ToolFacts;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::job::tool_speed::Faster;
use millside::program::finding::Finding;
use millside::program::read::ReadOptions;
use millside::program::read::Summary;

/// Lines before the body of a program.
pub const HEAD: &str = "G21 G90 G17\nT1 M6 (end mill 6 mm)\nM3 S8000\n";

/// 120 x 90 x 12 mm on a spoil board, zero at its left front top.
pub fn plate() -> Against {
    Against {
        stock: Some(StockSize {
            x_mm: 120.0,
            y_mm: 90.0,
            z_mm: 12.0,
        }),
        under: Under::Spoil { thickness_mm: 10.0 },
        zero: Some("left-front-top".parse().expect("a zero")),
        ..Against::default()
    }
}

/// A machine of our own making that minds its spindle.
pub fn limits() -> Limits {
    Limits {
        travel_mm: [200.0, 150.0, 100.0],
        top_feed_mm_min: [3000.0; 3],
        rapid_mm_min: [3000.0; 3],
        acceleration_mm_s2: [150.0; 3],
        corner_tolerance_mm: 0.02,
        look_ahead_blocks: 100,
        spindle_rpm: [1000.0, 24_000.0],
        faster: Faster::default(),
        spindle_by_hand: false,
        turns_left: false,
        peck_backoff_mm: 0.0,
        backlash_mm: [0.05; 3],
        backlash_from: Default::default(),
        stop_s: 0.0,
    }
}

/// Head and body, examined.
pub fn examine(body: &str, against: &Against) -> (Summary, Report) {
    let text = format!("{HEAD}{body}M30\n");
    check::examine(text.as_bytes(), &ReadOptions::default(), against).expect("bytes are readable")
}

/// The first finding of a rule.
pub fn find<'a>(report: &'a Report, id: &str) -> Option<&'a Finding> {
    report.findings.iter().find(|f| f.id == id)
}

/// The same blank with facts of T1.
pub fn with_tool(facts: ToolFacts) -> Against {
    Against {
        tools: vec![(1, facts)],
        ..plate()
    }
}
