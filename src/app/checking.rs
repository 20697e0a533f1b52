//! The program against the setup in work, as the screen and the session need it.

use crate::check;
use crate::check::against::Against;
use crate::check::against::Limits;
use crate::check::against::ToolFacts;
use crate::check::zero_finder::Candidate;
use crate::job::holding::KeepOut;
use crate::job::operation::OperationKind;
use crate::job::stock::Stock;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::job::typed;
use crate::job::zero::ZeroPoint;
use crate::plain;
use crate::program::finding::Finding;
use crate::program::finding::Level;
use crate::program::summary::Summary;
use crate::session::state::ProgramCopy;
use crate::session::state::Setup;
use crate::session::state::State;
use crate::session::state::StopFinding;

/// A program that was read, and what the check says of it in this setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// What the reader made of it.
    pub summary: Summary,
    /// Findings of reader and check, gravest first.
    pub findings: Vec<Finding>,
    /// What is said of the zero, a sentence each.
    pub zero: Vec<String>,
    /// Points to jog to with the spindle off, a sentence each.
    pub check_points: Vec<String>,
}

/// Checks a program against the setup in work.
pub fn check(state: &State, summary: Summary) -> Checked {
    let against = against(state);
    let report = check::check(&summary, &against);
    let zero = zero_words(&report.zero_candidates, against.zero);
    let check_points = report
        .check_points
        .iter()
        .map(|point| {
            format!(
                "check point X {} Y {} Z {}, spindle off: {}",
                typed::plain(point.x_mm),
                typed::plain(point.y_mm),
                typed::plain(point.z_mm),
                point.why
            )
        })
        .collect();
    Checked {
        findings: report.findings,
        zero,
        check_points,
        summary,
    }
}

/// What is said of the zero: the stated one if it fits, else those that would.
fn zero_words(candidates: &[Candidate], stated: Option<ZeroPoint>) -> Vec<String> {
    let is_plain =
        |c: &&Candidate| !c.of_part && c.turned_deg == 0 && c.flipped.is_none() && !c.swapped;
    let of_stated = candidates
        .iter()
        .filter(is_plain)
        .find(|c| Some(c.zero) == stated);
    if let Some(candidate) = of_stated
        && candidate.fits
    {
        return vec![format!("Fits. {}", candidate.sentence)];
    }
    let fitting = candidates
        .iter()
        .filter(|candidate| candidate.fits && !candidate.of_part);
    let mut words: Vec<String> = fitting
        .take(2)
        .map(|candidate| format!("Fits: {}", candidate.sentence))
        .collect();
    if words.is_empty() {
        words.extend(
            candidates
                .first()
                .map(|nearest| format!("None fits. {}", nearest.sentence)),
        );
    }
    words
}

/// The setup in work as far as it is known.
pub fn against(state: &State) -> Against {
    let setup = state.current_setup();
    let part = setup.stock.as_ref().and_then(|stock| stock.part.as_ref());
    Against {
        stock: setup.stock.as_ref().map(Stock::size),
        under: setup
            .stock
            .as_ref()
            .map_or(Under::Unknown, |stock| stock.under),
        over_cut_mm: None,
        part: part.map(|[x, y, z]| StockSize {
            x_mm: x.value,
            y_mm: y.value,
            z_mm: z.value,
        }),
        part_at_mm: None,
        zero: setup.zero.as_ref().map(|zero| zero.point),
        machine: Some(Limits::of(&state.machine)),
        tools: state
            .rack
            .iter()
            .filter_map(|rack| {
                let mut facts = ToolFacts::of(&rack.tool);
                facts.stick_out_mm = Some(rack.stick_out_mm());
                Some((rack.number?, facts))
            })
            .collect(),
        held_by: setup.holding.as_ref().map(|holding| holding.by),
        keep_outs: keep_outs(setup),
    }
}

/// Where the tool must not go in all of the program.
///
/// Where clamps change places in the middle, those of now stand for a part of it only: which part
/// is not known here, so none is checked, and the person looks (`clamps-clear`).
fn keep_outs(setup: &Setup) -> Vec<KeepOut> {
    let swaps = setup
        .operations
        .iter()
        .any(|o| o.kind == OperationKind::ClampSwap);
    match &setup.holding {
        Some(holding) if !swaps => holding.keep_outs.clone(),
        _ => vec![],
    }
}

/// What the session keeps of it.
pub fn copy(file: &str, checked: &Checked) -> ProgramCopy {
    let count = |level: Level| checked.findings.iter().filter(|f| f.level == level).count();
    ProgramCopy {
        file: file.to_owned(),
        sha256: checked.summary.sha256.clone(),
        bytes: checked.summary.size_bytes,
        stops: checked
            .findings
            .iter()
            .filter(|finding| finding.level == Level::Stop)
            .map(|finding| StopFinding {
                id: format!("{} line {}", finding.id, finding.line),
                message: plain::text(&finding.message),
                accepted: None,
            })
            .collect(),
        warnings: count(Level::Warn),
        notes: count(Level::Note),
        time_s: Some(checked.summary.times.feed_ideal_s + checked.summary.times.dwell_s),
    }
}

/// Warnings and notes in words, worst first. Stops are rows of their own.
pub fn words(checked: &Checked) -> Vec<String> {
    checked
        .findings
        .iter()
        .filter(|finding| finding.level != Level::Stop)
        .map(|finding| {
            let times = match finding.count {
                0 | 1 => String::new(),
                count => format!(" ({count} times)"),
            };
            format!(
                "{}  line {}: {}{times}. {}",
                finding.level.word(),
                finding.line,
                plain::text(&finding.message).trim_end_matches('.'),
                plain::text(&finding.remedy)
            )
        })
        .collect()
}
