//! A path posted for one cutter and run with another, where nothing compensates: every wall moves.
//!
//! The path of the centre stands one radius of the posted cutter from each wall. A cutter that is smaller by a diameter `d` does not
//! reach the wall by `d / 2`: metal stays there, so an outside comes out larger and a pocket smaller by `d / 2` a wall, by `d` across.
//! A larger cutter does the reverse. With G41 or G42 the control moves the path by the diameter in its own table, so there it is only
//! warned that comment and tool differ. A tool that does not cut sideways has no walls, and one that faces has none to speak of.

use crate::check::against::Against;
use crate::check::against::ToolFacts;
use crate::check::hint;
use crate::check::program;
use crate::check::rules;
use crate::job::tool::Kind;
use crate::job::typed::plain;
use crate::program::finding::Findings;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// Diameters closer than this are the same, mm: 1/4 inch is not 6.35 in every comment.
pub const SAME_DIAMETER_MM: f64 = 0.06;

/// The diameter that a section was posted for, mm: as its comment says, else as was planned before another tool took over.
pub fn posted_mm(section: &Section, against: &Against) -> Option<f64> {
    let planned = || {
        let of_number = |(number, _): &&(u32, f64)| Some(*number) == section.tool;
        let planned = against.posted.iter().find(of_number);
        planned.map(|(_, mm)| *mm)
    };
    let said = hint::diameter(&section.tool_comment, section.units).map(|said| said.mm);
    said.or_else(planned)
}

/// Posted and fitted diameter of a section whose walls move, mm; `None` where they stay or nothing is known.
pub fn off(section: &Section, against: &Against) -> Option<(f64, f64)> {
    off_with(
        section,
        posted_mm(section, against)?,
        against.tool(section.tool)?,
    )
}

/// The same for a tool that may be fitted.
pub fn off_with(section: &Section, posted: f64, facts: &ToolFacts) -> Option<(f64, f64)> {
    // What was not said to be a drill may mill.
    let has_walls = facts.cuts_sideways != Some(false)
        && !matches!(facts.kind, Some(Kind::FaceMill | Kind::Flycutter));
    let fitted = facts.diameter_mm?;
    let is_off = (posted - fitted).abs() > SAME_DIAMETER_MM;
    (has_walls && is_off && !section.is_compensated).then_some((posted, fitted))
}

/// How far each wall moves, in a sentence.
pub fn words(posted_mm: f64, fitted_mm: f64) -> String {
    let wall = (posted_mm - fitted_mm).abs() / 2.0;
    let (outside, inside) = if fitted_mm < posted_mm {
        ("larger", "smaller")
    } else {
        ("smaller", "larger")
    };
    format!(
        "Every wall is {wall:.2} mm off: outsides come out {:.2} mm {outside} across, pockets and slots {:.2} mm {inside}",
        2.0 * wall,
        2.0 * wall
    )
}

/// Raises a stop for each tool whose walls move.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    for section in summary.sections.iter().filter(|section| section.has_cut()) {
        let Some((posted, fitted)) = off(section, against) else {
            continue;
        };
        let tool = section.tool.unwrap_or_default();
        let said = hint::diameter(&section.tool_comment, section.units);
        let unit = said.map_or("", |said| said.unit.words());
        findings.add(
            &rules::POSTED_FOR_OTHER_DIAMETER,
            program::place(section),
            u64::from(tool),
            || {
                format!(
                    "The path of T{tool} is for a cutter of {} mm{unit}; the one stated has {} mm, and nothing compensates (no G41, G42). {}.",
                    plain(posted),
                    plain(fitted),
                    words(posted, fitted)
                )
            },
        );
    }
}
