//! How deep the program cuts, against the bottom of the blank.

use crate::check::against::Against;
use crate::check::placement::Placement;
use crate::check::program::place;
use crate::check::rules;
use crate::check::sweep::passes::Pass;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// A hair that rounding takes, mm.
const HAIR_MM: f64 = 1e-3;

/// Runs the checks.
pub fn check(
    summary: &Summary,
    stock: StockSize,
    placement: &Placement,
    passes: &[Pass],
    against: &Against,
    findings: &mut Findings,
) {
    for section in summary.sections.iter().filter(|s| s.cuts_from_zero()) {
        let Some(low) = section.lowest_z_mm else {
            continue;
        };
        let below = -placement.height(stock, low);
        if below <= HAIR_MM {
            continue;
        }
        let (level, what) = match against.under {
            Under::Unknown => (Level::Note, "what lies under it is not stated".to_owned()),
            Under::Spoil { thickness_mm } if below >= thickness_mm => (
                Level::Stop,
                format!("the spoil board is only {thickness_mm} mm thick"),
            ),
            Under::Spoil { .. } => (Level::Note, "into the spoil board".to_owned()),
            Under::Air => (Level::Note, "into the air below".to_owned()),
            Under::Parallels | Under::Jaw | Under::Table => {
                // Only an over-cut that was stated is allowed into something hard.
                let allowed = against.over_cut_mm.unwrap_or(0.0);
                let level = if below > allowed + HAIR_MM {
                    Level::Stop
                } else {
                    Level::Note
                };
                (
                    level,
                    format!("and the blank lies on {}", under_words(against.under)),
                )
            }
        };
        findings.add_at(
            &rules::THROUGH_BOTTOM,
            level,
            place_of_lowest(section, passes),
            level as u64,
            || format!("The cut goes {below:.2} mm below the bottom of the blank: {what}."),
        );
    }
}

/// The line that goes deepest, where the path was swept, else the section's first.
fn place_of_lowest(section: &Section, passes: &[Pass]) -> Place<'static> {
    let own = |pass: &&Pass| section.first_cut_line == Some(pass.first_cut_line);
    match passes.iter().find(own).and_then(|pass| pass.lowest) {
        Some((_, line)) => Place {
            line,
            ..Place::FILE
        },
        None => place(section),
    }
}

fn under_words(under: Under) -> &'static str {
    match under {
        Under::Parallels => "steel parallels",
        Under::Jaw => "the step of a jaw",
        Under::Table => "the table",
        other => other.word(),
    }
}
