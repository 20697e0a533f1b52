//! Travel, feeds and speeds against the machine.

use crate::check::against::Limits;
use crate::check::program::place;
use crate::check::rules;
use crate::program::finding::Findings;
use crate::program::finding::Place;
use crate::program::summary::Summary;

/// A programmed speed so many times above the top of a spindle that is set by hand, or below its least, is none that it was written for
/// (common practice, no source).
const FAR: f64 = 1.5;

/// Runs the checks.
pub fn check(summary: &Summary, limits: &Limits, findings: &mut Findings) {
    for (axis, name) in ["X", "Y", "Z"].into_iter().enumerate() {
        // Numbers of different zeros cannot be compared with each other.
        let widest = summary
            .sections
            .iter()
            .filter_map(|s| s.extents.all.axis(axis))
            .map(|(low, high)| high - low)
            .fold(0.0, f64::max);
        let travel = limits.travel_mm[axis];
        if widest > travel {
            findings.add(&rules::OVER_TRAVEL, Place::FILE, axis as u64, || {
                format!("The program needs {widest:.1} mm along {name}; the machine travels {travel:.0} mm.")
            });
        }
    }
    let [fx, fy, fz] = limits.top_feed_mm_min;
    let top = fx.max(fy).max(fz);
    if let Some(over) = summary.over_axis {
        let place = Place {
            line: over.line,
            ..Place::FILE
        };
        findings.add(&rules::FEED_OVER_AXIS, place, 0, || {
            format!(
                "{} feed moves are programmed faster than the axes go; here F{:.0} mm/min where they give {:.0}.",
                over.count, over.programmed_mm_min, over.possible_mm_min
            )
        });
    }
    for section in &summary.sections {
        if summary.over_axis.is_none()
            && let Some(feed) = section.feed_highest_mm_min
            && feed > top
        {
            findings.add(&rules::FEED_OVER_AXIS, place(section), 0, || {
                format!("Feeds up to {feed:.0} mm/min; the machine's axes reach {top:.0} mm/min.")
            });
        }
        let [least, most] = limits.spindle_rpm;
        // By hand another speed is set than the program says; far out of reach it was written for another machine.
        let [least, most] = if limits.spindle_by_hand {
            [least / FAR, most * FAR]
        } else {
            [least, most]
        };
        if let Some(s) = section.s_highest_rpm
            && s > most
        {
            findings.add(&rules::SPEED_OVER_SPINDLE, place(section), 0, || {
                format!(
                    "S{s:.0} is above the spindle's {:.0} rpm.",
                    limits.spindle_rpm[1]
                )
            });
        }
        if let Some(s) = section.s_rpm
            && s < least
            && s > 0.0
        {
            findings.add(&rules::SPEED_UNDER_SPINDLE, place(section), 0, || {
                format!(
                    "S{s:.0} is below the spindle's {:.0} rpm.",
                    limits.spindle_rpm[0]
                )
            });
        }
    }
}
