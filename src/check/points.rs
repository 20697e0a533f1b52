//! Places to jog to with the spindle off that tell with one look whether the zero is right.

use crate::check::against::Against;
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
pub fn points(summary: &Summary, against: &Against) -> Vec<CheckPoint> {
    let Some(z_mm) = summary.extents.all.axis(2).map(|(_, high)| high) else {
        return vec![];
    };
    let of_zero = || {
        let sections = summary.sections.iter();
        sections.filter(|section| section.zero_moved_line.is_none())
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
    if let Some(hole) = of_zero().find_map(|s| s.first_hole_mm) {
        add(
            hole[0],
            hole[1],
            "the first hole: the tool must stand over its mark",
        );
    } else if let Some(cut) = of_zero().find_map(|s| s.first_cut_mm) {
        add(cut[0], cut[1], "the first cut begins here");
    }
    let placed = against.stock.and_then(|stock| against.placed(stock));
    let top = match (against.stock, placed) {
        (Some(stock), Some(placement)) => Some(stock.z_mm - placement.zero_at(stock)[2]),
        _ => None,
    };
    let cuts = || summary.sections.iter().filter(|s| s.cuts_from_zero());
    // Numbers of another zero say nothing of this one.
    let zero = cuts().map(|s| (s.work_system, s.has_g92)).next();
    let mut area: Option<[f64; 4]> = None;
    for section in cuts().filter(|s| Some((s.work_system, s.has_g92)) == zero) {
        if let Some([x0, y0, x1, y1]) = cut_area(section, top) {
            area = Some(area.map_or([x0, y0, x1, y1], |a| {
                [a[0].min(x0), a[1].min(y0), a[2].max(x1), a[3].max(y1)]
            }));
        }
    }
    if let Some([x0, y0, x1, y1]) = area {
        let what = match top {
            Some(_) => "the cuts, by the tool's middle",
            None => "the feed moves below their start, by the tool's middle",
        };
        add(x0, y0, &format!("left front end of {what}"));
        add(x1, y1, &format!("right back end of {what}"));
    }
    points
}

/// Area of a section's feed moves below the top of the blank; where that is not known, below the
/// height that its first cut comes down from, so that feed moves over the clamps do not count.
fn cut_area(section: &Section, top: Option<f64>) -> Option<[f64; 4]> {
    /// Cuts at the top itself take nothing.
    const HAIR_MM: f64 = 1e-3;
    let (_, high) = section.extents.feed.axis(2)?;
    section.levels.below(top.unwrap_or(high) - HAIR_MM)
}
