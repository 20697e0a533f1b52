//! Bores that the tool runs round in, against the machine's backlash and the size wanted.

use crate::check::against::Against;
use crate::check::rules;
use crate::plain;
use crate::program::finding::Findings;
use crate::program::finding::Place;
use crate::program::summary::Summary;

/// How far the size that a circle leaves may lie from the nominal one of the bore that is meant, mm.
const SAME_SIZE_MM: f64 = 0.3;

/// A bore with a tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Bore {
    /// What the person calls it.
    pub what: String,
    /// Nominal diameter, mm.
    pub size_mm: f64,
    /// From the least to the greatest diameter allowed, mm.
    pub tolerance_mm: f64,
}

/// Runs the check; needs the machine, the tool's diameter and a bore of that size.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    let Some(machine) = &against.machine else {
        return;
    };
    let [x, y, _] = machine.backlash_mm;
    let (backlash, axis, from) = if y > x {
        (y, "Y", &machine.backlash_from[1])
    } else {
        (x, "X", &machine.backlash_from[0])
    };
    for section in &summary.sections {
        let Some(radius) = against.radius_mm(section) else {
            continue;
        };
        for circle in section.circles.found() {
            let size = 2.0 * (circle.radius_mm + radius);
            let away = |bore: &&Bore| (bore.size_mm - size).abs();
            let bore = against
                .bores
                .iter()
                .filter(|bore| away(bore) <= SAME_SIZE_MM)
                .min_by(|a, b| away(a).total_cmp(&away(b)));
            let Some(bore) = bore.filter(|bore| backlash > bore.tolerance_mm / 2.0) else {
                continue;
            };
            let place = Place {
                line: circle.line,
                ..Place::FILE
            };
            let what = plain::cut(&plain::text(&bore.what), 40);
            findings.add(&rules::BACKLASH_IN_BORE, place, circle.line, || {
                format!(
                    "The tool runs round in a bore of about {size:.2} mm (\"{what}\"): backlash {backlash:.3} mm ({axis}, {from}) is more than half of its tolerance of {:.3} mm.",
                    bore.tolerance_mm
                )
            });
        }
    }
}
