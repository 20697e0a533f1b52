//! Checks that need nothing but the program.

use crate::check::against::Against;
use crate::check::hint;
use crate::check::rules;
use crate::program::code;
use crate::program::finding::Finding;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::section::Section;
use crate::program::section::Turning;
use crate::program::summary::Summary;

/// Diameters closer than this are the same, mm: 1/4 inch is not 6.35 in every comment.
const SAME_DIAMETER_MM: f64 = 0.06;

/// Reader's findings that are only notes when the person minds the spindle.
const BY_HAND: [&str; 3] = ["spindle-stopped", "spindle-speed-missing", "cycle-spindle"];

/// A finding of the reader at the level that the setup gives it.
pub fn judged(finding: &Finding, against: &Against) -> Finding {
    let mut finding = finding.clone();
    if against.spindle_by_hand() && BY_HAND.contains(&finding.id) {
        finding.level = Level::Note;
        "The spindle is set by hand: read its speed and see it turn before the start."
            .clone_into(&mut finding.remedy);
    }
    finding
}

/// Place of a section's first line.
pub fn place(section: &Section) -> Place<'static> {
    Place {
        line: section.first_line,
        ..Place::FILE
    }
}

/// Whether moves are in the program, but on no axis the place of any is ever known.
fn moves_from_nowhere(summary: &Summary) -> bool {
    summary.moves.zero > 0 && (0..3).all(|axis| summary.extents.all.axis(axis).is_none())
}

/// Rapids across below the program's zero, when there is no blank to hold them against.
fn look_below_zero(summary: &Summary, findings: &mut Findings) {
    /// What rounding takes, mm.
    const HAIR_MM: f64 = 0.05;
    let lowest = summary
        .sections
        .iter()
        .filter_map(|section| Some((section, section.lowest_across?)))
        .filter(|(_, across)| across.z_mm < -HAIR_MM)
        .min_by(|(_, a), (_, b)| a.z_mm.total_cmp(&b.z_mm));
    if let Some((section, across)) = lowest {
        findings.add(&rules::RAPID_BELOW_ZERO, place(section), 0, || {
            format!(
                "A rapid runs across at Z{:.3}, below the program's zero; whether there is metal is not known.",
                across.z_mm
            )
        });
    }
}

/// Runs the checks.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    let cuts: Vec<&Section> = summary.sections.iter().filter(|s| s.has_cut()).collect();
    if cuts.is_empty() && moves_from_nowhere(summary) {
        findings.add(&rules::START_NOT_STATED, Place::FILE, 0, || {
            "The program moves by distances (G91) from where the tool stands, which is not known: nothing can be said of its path.".to_owned()
        });
        return;
    }
    if cuts.is_empty() {
        findings.add(&rules::NOTHING_IS_CUT, Place::FILE, 0, || {
            "No feed move is in the program: nothing is cut.".to_owned()
        });
        return;
    }
    if against.stock.is_none() || against.zero.is_none() {
        look_below_zero(summary, findings);
    }
    let mut zeros: Vec<(usize, bool)> = vec![];
    for section in &cuts {
        let zero = (section.work_system, section.has_g92);
        if !zeros.contains(&zero) {
            zeros.push(zero);
        }
        if section.turning == Turning::Counterclockwise
            && against.tool(section.tool).and_then(|t| t.turns_right) != Some(false)
        {
            findings.add(&rules::SPINDLE_WRONG_WAY, place(section), 0, || {
                "The spindle turns counterclockwise (M4) in a cut.".to_owned()
            });
        }
        if let (Some(h), Some(tool)) = (section.h, section.tool)
            && h != tool
            && h != 0
        {
            findings.add(&rules::H_UNLIKE_T, place(section), u64::from(tool), || {
                format!("Tool T{tool} runs with the length H{h}.")
            });
        }
    }
    if zeros.len() > 1 {
        let names: Vec<String> = zeros
            .iter()
            .map(|(system, g92)| {
                let name = code::system_name(*system);
                if *g92 {
                    format!("{name} with G92")
                } else {
                    name.to_owned()
                }
            })
            .collect();
        findings.add(&rules::SEVERAL_ZEROS, Place::FILE, 0, || {
            format!("The program uses several zeros: {}.", names.join(", "))
        });
    }
    if summary.spindle_on_at_end && !against.spindle_by_hand() {
        findings.add(&rules::NO_SPINDLE_STOP, Place::FILE, 0, || {
            "The program ends with the spindle turning.".to_owned()
        });
    }
    if !against.tools.is_empty() {
        for section in cuts {
            let stated = against.tool(section.tool).and_then(|tool| tool.diameter_mm);
            if let (Some(d), Some(said), Some(tool)) = (
                stated,
                hint::diameter_mm(&section.tool_comment),
                section.tool,
            ) && (d - said).abs() > SAME_DIAMETER_MM
            {
                findings.add(&rules::TOOL_UNLIKE_COMMENT, place(section), u64::from(tool), || {
                    format!("T{tool} is stated as {d} mm across; the program's comment says {said} mm.")
                });
            }
            if let Some(tool) = section.tool
                && against.tool(Some(tool)).is_none()
            {
                findings.add(
                    &rules::TOOL_NOT_LISTED,
                    place(section),
                    u64::from(tool),
                    || format!("T{tool} is in the program but not among the stated tools."),
                );
            }
        }
    }
}
