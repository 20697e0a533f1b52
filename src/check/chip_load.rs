//! Chip load of each section against the recipe that was decided for it.

use crate::check::against::Against;
use crate::check::program::place;
use crate::check::rules;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::quantity;
use crate::quantity::show;
use crate::quantity::show::Units;

/// Share by which a chip load may differ from the recipe's: a step of an override and a speed read by
/// eye come to as much (common practice, no source).
const SHARE: f64 = 0.25;

/// What was decided for the section that begins at a line.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionRecipe {
    /// First line of the section.
    pub first_line: u64,
    /// Chip load, mm a tooth.
    pub fz_mm: f64,
    /// Depth of a pass, mm.
    pub ap_mm: f64,
    /// Width of a pass, mm.
    pub ae_mm: f64,
    /// Spindle speed, 1/min.
    pub n_rpm: f64,
    /// Override for the program's feeds, percent, if one was decided.
    pub override_percent: Option<f64>,
    /// Flutes of the tool.
    pub flutes: u32,
}

/// Runs the check; sections without a recipe are left out.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    for section in summary.sections.iter().filter(|s| s.has_cut()) {
        let recipe = against
            .recipes
            .iter()
            .find(|recipe| recipe.first_line == section.first_line);
        if let Some(recipe) = recipe {
            one(section, recipe, against.spindle_by_hand(), findings);
        }
    }
}

fn one(section: &Section, recipe: &SectionRecipe, is_by_hand: bool, findings: &mut Findings) {
    // A spindle set by hand turns as the recipe says, whatever the program's S.
    let n = section
        .s_rpm
        .filter(|s| !is_by_hand && *s > 0.0)
        .unwrap_or(recipe.n_rpm);
    let turns = n * f64::from(recipe.flutes);
    if !(turns > 0.0 && recipe.fz_mm > 0.0) {
        return;
    }
    let share = recipe.override_percent.unwrap_or(100.0) / 100.0;
    let chip = |feed: f64| feed * share / turns;
    let words = |feed: f64| {
        format!(
            "F{feed:.0} at {:.0} % and {n:.0} rpm is {} a tooth; the recipe has {}.",
            share * 100.0,
            show::chip_load(quantity::mm(chip(feed)), Units::Metric),
            show::chip_load(quantity::mm(recipe.fz_mm), Units::Metric)
        )
    };
    if let Some(feed) = section.feed_highest_mm_min
        && chip(feed) > recipe.fz_mm * (1.0 + SHARE)
    {
        findings.add(
            &rules::CHIP_LOAD,
            place(section),
            section.first_line,
            || words(feed),
        );
        return;
    }
    // Plunges and ramps are slower by intent: the feed of most of the path says whether it rubs.
    let main = section
        .feeds
        .iter()
        .max_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
    if let Some(main) = main
        && chip(main.feed_mm_min) < recipe.fz_mm * (1.0 - SHARE)
    {
        findings.add_at(
            &rules::CHIP_LOAD,
            Level::Note,
            place(section),
            section.first_line,
            || words(main.feed_mm_min),
        );
    }
}
