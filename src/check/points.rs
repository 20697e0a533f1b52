//! Places to jog to with the spindle off that tell with one look whether the zero is right.

use crate::program::section::Section;
use crate::program::summary::Summary;

/// A place to jog to.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckPoint {
    /// Program's X, mm.
    pub x_mm: f64,
    /// Program's Y, mm.
    pub y_mm: f64,
    /// Height to stay at, program's Z, mm: the highest of the program.
    pub z_mm: f64,
    /// What must be seen there.
    pub why: String,
}

/// Two to four places; none when the program's place is never known.
pub fn points(summary: &Summary) -> Vec<CheckPoint> {
    let Some(z_mm) = summary.extents.all.axis(2).map(|(_, high)| high) else {
        return vec![];
    };
    let mut points: Vec<CheckPoint> = vec![];
    let mut add = |x_mm: f64, y_mm: f64, why: &str| {
        let is_new = points
            .iter()
            .all(|p| (p.x_mm - x_mm).abs() > 0.5 || (p.y_mm - y_mm).abs() > 0.5);
        if is_new && points.len() < 4 {
            points.push(CheckPoint {
                x_mm,
                y_mm,
                z_mm,
                why: why.to_owned(),
            });
        }
    };
    if let Some(hole) = summary.sections.iter().find_map(|s| s.first_hole_mm) {
        add(
            hole[0],
            hole[1],
            "the first hole: the tool must stand over its mark",
        );
    } else if let Some(cut) = summary.sections.iter().find_map(|s| s.first_cut_mm) {
        add(cut[0], cut[1], "the first cut begins here");
    }
    let mut area: Option<[f64; 4]> = None;
    for section in summary.sections.iter().filter(|s| s.has_cut()) {
        if let Some([x0, y0, x1, y1]) = cut_area(section) {
            area = Some(area.map_or([x0, y0, x1, y1], |a| {
                [a[0].min(x0), a[1].min(y0), a[2].max(x1), a[3].max(y1)]
            }));
        }
    }
    if let Some([x0, y0, x1, y1]) = area {
        add(
            x0,
            y0,
            "left front end of the deeper cuts; shallow ones may reach further",
        );
        add(
            x1,
            y1,
            "right back end of the deeper cuts; shallow ones may reach further",
        );
    }
    points
}

/// Area of the lowest half of a section's feed moves, so that clearance moves do not count.
fn cut_area(section: &Section) -> Option<[f64; 4]> {
    let (low, high) = section.extents.feed.axis(2)?;
    section
        .levels
        .below(f64::midpoint(low, high).max(low + 0.1))
}
