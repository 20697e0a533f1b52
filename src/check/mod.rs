//! The program against the setup: stock, zero, machine, tools.
//!
//! A check that needs something which was not stated does not run; what was assumed is named.

pub mod against;
pub mod bores;
pub mod chip_load;
pub mod depth;
pub mod hint;
pub mod lengths;
pub mod machine;
pub mod pass_depth;
pub mod placement;
pub mod points;
pub mod program;
pub mod rules;
pub mod sweep;
pub mod tool_speed;
pub mod walls;
pub mod z_surface;
pub mod zero_finder;

use std::io;
use std::io::Read;

pub use crate::check::against::Against;
use crate::check::placement::Placement;
use crate::check::points::CheckPoint;
use crate::check::sweep::Sweep;
use crate::check::sweep::Swept;
use crate::check::sweep::passes::Pass;
use crate::check::zero_finder::Candidate;
use crate::job::holding::HEADS_UNKNOWN;
use crate::job::reference::TopLeft;
use crate::job::stock::StockSize;
use crate::job::typed;
use crate::program::finding::Finding;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Rule;
use crate::program::read;
use crate::program::read::ReadOptions;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// What the check has to say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// Findings of the reader and the check, gravest first.
    pub findings: Vec<Finding>,
    /// Zeros that the program may be made for, best first; empty without a stock.
    pub zero_candidates: Vec<Candidate>,
    /// Places to jog to with the spindle off.
    pub check_points: Vec<CheckPoint>,
    /// What the tool takes, by section; empty where the path was not swept.
    pub passes: Vec<Pass>,
    /// What is left of the top of the blank, by section; empty where that is not known.
    pub tops: Vec<TopLeft>,
    /// What was not stated and how it was taken, sentences.
    pub assumed: Vec<String>,
    /// Whether a tool cuts of which neither the setup nor a comment says a diameter.
    pub is_tool_unknown: bool,
}

impl Report {
    /// Whether a person must look before anything is cut.
    pub fn has_stop(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Stop)
    }
}

/// Reads a program and checks it, its path swept through the blank where blank and zero are known.
///
/// # Errors
///
/// Only those of `input`.
pub fn examine(
    input: impl Read,
    options: &ReadOptions,
    against: &Against,
) -> io::Result<(Summary, Report)> {
    let Some((stock, placement)) = placed(against) else {
        let mut summary = read::read(input, options)?;
        let mut report = check(&summary, against);
        if let Some(stock) = against.stock
            && let Some(best) = report.zero_candidates.first().filter(|c| c.fits)
            && best.placement.is_plain()
        {
            summary.extents.cut = zero_finder::cut_box(&summary, stock, &best.placement);
            report.assumed.push(format!(
                "The extents of the cuts are as with zero at {}, to within a twentieth of a mm.",
                zero_finder::name(&best.placement)
            ));
        }
        return Ok((summary, report));
    };
    let mut sweep = Sweep::new(against, stock, &placement);
    let mut summary = read::read_with(input, options, &mut sweep)?;
    let swept = sweep.finish();
    summary.extents.cut = Some(swept.cut);
    for pass in &swept.passes {
        let own = |section: &&mut Section| section.first_cut_line == Some(pass.first_cut_line);
        if let Some(section) = summary.sections.iter_mut().find(own) {
            section.extents.cut = Some(pass.cut);
        }
    }
    let report = report(&summary, against, swept);
    Ok((summary, report))
}

/// Checks a program, as read, against what is known of the setup. Its path is swept when blank and zero
/// are known and the motions were kept ([`ReadOptions::keep_steps`]).
pub fn check(summary: &Summary, against: &Against) -> Report {
    let (Some((stock, placement)), Some(kept)) = (placed(against), &summary.kept) else {
        return report(summary, against, Swept::default());
    };
    let mut sweep = Sweep::new(against, stock, &placement);
    kept.replay(&mut sweep);
    let swept = sweep.finish();
    report(summary, against, swept)
}

/// Checks a program, as read, with what following its path elsewhere has found.
pub fn check_followed(summary: &Summary, against: &Against, swept: Swept) -> Report {
    report(summary, against, swept)
}

/// Follows the path of a program through the blank; `None` where blank or zero is not known. The file's SHA-256 comes
/// with it, for the file may be another by now.
///
/// # Errors
///
/// Only those of `input`.
pub fn follow(
    input: impl Read,
    options: &ReadOptions,
    against: &Against,
) -> io::Result<Option<(String, Swept)>> {
    let Some((stock, placement)) = placed(against) else {
        return Ok(None);
    };
    let mut sweep = Sweep::new(against, stock, &placement);
    let summary = read::read_with(input, options, &mut sweep)?;
    Ok(Some((summary.sha256, sweep.finish())))
}

/// Tools of which something is said at most.
const MOST_LINES: usize = 20;

/// The blank, and how the program lies on it, where both are known.
fn placed(against: &Against) -> Option<(StockSize, Placement)> {
    let stock = against.stock?;
    Some((stock, against.placed(stock)?))
}

/// Rules whose findings follow from recipes, sizes, Z reference and order of operations, which change more often than the program.
pub const OF_RECIPES: [&Rule; 5] = [
    &rules::CHIP_LOAD,
    &rules::BACKLASH_IN_BORE,
    &rules::DEEPER_THAN_RECIPE,
    &rules::PLUNGE_AT_CUTTING_FEED,
    &rules::Z_REFERENCE_CUT,
];

/// Runs the checks of [`OF_RECIPES`] with what the sweep before has found; no other sweep is needed for them.
pub fn of_recipes(
    summary: &Summary,
    passes: &[Pass],
    tops: &[TopLeft],
    against: &Against,
    findings: &mut Findings,
) {
    z_surface::check(tops, against, findings);
    pass_depth::check(summary, passes, against, findings);
    chip_load::check(summary, against, findings);
    bores::check(summary, against, findings);
}

/// Diameters that are taken from the program's comments.
fn diameters_from_comments(summary: &Summary, against: &Against) -> Vec<String> {
    let mut lines = vec![];
    for section in &summary.sections {
        let is_stated = against
            .tool(section.tool)
            .is_some_and(|tool| tool.diameter_mm.is_some());
        let (Some(tool), Some(said)) = (
            section.tool,
            hint::diameter(&section.tool_comment, section.units),
        ) else {
            continue;
        };
        let line = format!(
            "T{tool} is taken as {} mm across, as a comment of the program says{}.",
            typed::plain(said.mm),
            said.unit.words()
        );
        if !is_stated && !lines.contains(&line) && lines.len() < MOST_LINES {
            lines.push(line);
        }
    }
    lines
}

/// What is not known of the tools that were stated.
fn not_stated_of_tools(summary: &Summary, against: &Against) -> Vec<String> {
    let mut lines = vec![];
    for (number, facts) in &against.tools {
        if !summary.sections.iter().any(|s| s.tool == Some(*number)) {
            continue;
        }
        let mut lacks = vec![];
        if facts.flute_length_mm.is_none() {
            lacks.push("length of the flutes: no depth of a pass is held against it");
        }
        if facts.stick_out_mm.is_none() {
            lacks.push("stick-out: the holder is not checked");
        }
        if facts.centre_cutting.is_none() && facts.cuts_sideways != Some(false) {
            lacks.push("whether it cuts at its centre: straight plunges are not checked");
        }
        if !lacks.is_empty() && lines.len() < MOST_LINES {
            lines.push(format!("T{number}, not stated: {}.", lacks.join("; ")));
        }
    }
    lines
}

fn report(summary: &Summary, against: &Against, swept: Swept) -> Report {
    let Swept {
        mut findings,
        passes,
        tops,
        ..
    } = swept;
    let unknown = against.tools_without_width(summary);
    let mut assumed: Vec<String> = unknown
        .iter()
        .map(|tools| {
            format!(
                "Not checked: tool unknown. No diameter is stated for {tools}: the path is worked out {}.",
                against::assumed_cutter()
            )
        })
        .collect();
    program::check(summary, against, &mut findings);
    lengths::check(summary, against, &mut findings);
    let zero_candidates = match against.stock {
        Some(stock) => zero_finder::find(summary, stock, against),
        None => {
            assumed.push("The blank is not stated: nothing is checked against it.".to_owned());
            vec![]
        }
    };
    zero_finder::check(summary, against, &zero_candidates, &mut findings);
    if let Some((stock, placement)) = placed(against) {
        depth::check(summary, stock, &placement, &passes, against, &mut findings);
        assumed.push(format!(
            "A rapid beside metal nearer than {:.1} mm is not seen: the blank is looked at in cells.",
            sweep::BLIND_CELLS * sweep::grid::cell_mm(stock)
        ));
        if against.under == crate::job::stock::Under::Unknown {
            assumed.push(
                "What lies under the blank is not stated: a cut through it is only noted."
                    .to_owned(),
            );
        }
    } else if against.stock.is_some() {
        assumed
            .push("The zero is not stated: depths are not checked against the blank.".to_owned());
    }
    match &against.machine {
        Some(limits) => machine::check(summary, limits, &mut findings),
        None => assumed.push(
            "The machine is not stated: travel, feeds and speeds are not checked.".to_owned(),
        ),
    }
    tool_speed::check(summary, against, &mut findings);
    if let Some(limits) = &against.machine
        && limits.peck_backoff_mm > 0.0
        && summary.sections.iter().any(|section| section.holes > 0)
    {
        assumed.push(format!(
            "Pecks of G83 feed again from {} mm above where they were, as the machine is said to do.",
            limits.peck_backoff_mm
        ));
    }
    of_recipes(summary, &passes, &tops, against, &mut findings);
    against.keep_outs_stand.say(&mut assumed);
    if against.heads_unknown {
        assumed.push(HEADS_UNKNOWN.to_owned());
    }
    if against.tools.is_empty() {
        assumed.push("No tool is stated: flutes, shank and length are not checked.".to_owned());
    }
    assumed.extend(not_stated_of_tools(summary, against));
    assumed.extend(diameters_from_comments(summary, against));
    let taps_are_right = program::taps_are_right(summary, against);
    let stands_still = findings.has(&rules::SPINDLE_STOPPED_IN_METAL);
    let mut all: Vec<Finding> = summary
        .findings
        .iter()
        .filter(|finding| {
            !(stands_still && ["spindle-stopped", "cut-after-m5"].contains(&finding.id))
        })
        .map(|finding| program::judged(finding, against))
        .map(|mut finding| {
            if taps_are_right && finding.id == "tapping-cycle" {
                finding.level = Level::Note;
            }
            finding
        })
        .collect();
    all.extend(findings.into_sorted());
    all.sort_by(|a, b| b.level.cmp(&a.level).then(a.line.cmp(&b.line)));
    Report {
        findings: all,
        zero_candidates,
        check_points: points::points(summary, against),
        passes,
        tops,
        assumed,
        is_tool_unknown: unknown.is_some(),
    }
}
