//! How deep the program's own passes and plunges are, against the recipe and against its own feeds.

use crate::check::against::Against;
use crate::check::rules;
use crate::check::sweep::passes::Deepest;
use crate::check::sweep::passes::Pass;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// What a pass may be deeper than the recipe's: its share, as much as a chip load may differ, for the last pass
/// takes what the others left; and what the grid rounds, mm.
const DEEPER_SHARE: f64 = 0.25;
const ROUNDING_MM: f64 = 0.05;
/// Share of the feed of most of the path from which a plunge is at cutting feed (common practice, no source: a
/// plunge goes at half or less).
const CUTTING_SHARE: f64 = 0.9;
/// A plunge less deep is a touch, mm.
const LEAST_PLUNGE_MM: f64 = 0.5;

/// Runs the checks; needs the path swept through the blank.
pub fn check(summary: &Summary, passes: &[Pass], against: &Against, findings: &mut Findings) {
    for pass in passes {
        let Some(section) = summary
            .sections
            .iter()
            .find(|section| section.first_cut_line == Some(pass.first_cut_line))
        else {
            continue;
        };
        if let Some(across) = pass.across {
            depth(section, across, against, findings);
        }
        if let Some(plunge) = pass.plunge {
            straight_down(summary, section, plunge, against, findings);
        }
    }
}

fn depth(section: &Section, across: Deepest, against: &Against, findings: &mut Findings) {
    let Some(recipe) = against
        .recipes
        .iter()
        .find(|recipe| recipe.first_line == section.first_line)
    else {
        return;
    };
    let (deep, most) = (across.depth_mm, recipe.ap_mm);
    if most <= 0.0 || deep <= most * (1.0 + DEEPER_SHARE) + ROUNDING_MM {
        return;
    }
    let at = at_line(across.line);
    findings.add(&rules::DEEPER_THAN_RECIPE, at, section.first_line, || {
        format!(
            "The program takes {deep:.1} mm in one pass with half of the tool or more; the recipe is {most:.2} mm deep by {:.2} mm wide.",
            recipe.ae_mm
        )
    });
}

/// An end mill that goes straight down at the feed it cuts at.
fn straight_down(
    summary: &Summary,
    section: &Section,
    plunge: Deepest,
    against: &Against,
    findings: &mut Findings,
) {
    let facts = against.tool(section.tool);
    let sideways = facts.and_then(|facts| facts.cuts_sideways);
    let main = section
        .feeds
        .iter()
        .max_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
    let (Some(feed), Some(main)) = (plunge.feed_mm_min, main) else {
        return;
    };
    // A section that does nothing but plunge may be drilling without cycles.
    let drills = section.runs.found().is_empty() && section.moves.arc == 0;
    let is_slow = feed < main.feed_mm_min * CUTTING_SHARE;
    if sideways == Some(false) || is_slow || plunge.depth_mm < LEAST_PLUNGE_MM {
        return;
    }
    if sideways.is_none() && drills {
        return;
    }
    let level = if sideways == Some(true) {
        Level::Warn
    } else {
        Level::Note
    };
    let at = at_line(plunge.line);
    findings.add_at(
        &rules::PLUNGE_AT_CUTTING_FEED,
        level,
        at,
        section.first_line,
        || {
            format!(
                "The tool goes straight down {:.1} mm into metal at F{feed:.0} mm/min; most of the section runs at F{:.0}.{}",
                plunge.depth_mm,
                main.feed_mm_min,
                against.assumed_up_to(summary, plunge.line)
            )
        },
    );
}

fn at_line(line: u64) -> Place<'static> {
    Place {
        line,
        ..Place::FILE
    }
}
