//! The program against the setup in work, as the screen and the session need it.

use crate::check;
use crate::check::against::Against;
use crate::check::against::Limits;
use crate::check::against::ToolFacts;
use crate::job::stock::Stock;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::job::typed;
use crate::plain;
use crate::program::finding::Finding;
use crate::program::finding::Level;
use crate::program::summary::Summary;
use crate::session::state::ProgramCopy;
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
    let mut zero: Vec<String> = report
        .zero_candidates
        .iter()
        .filter(|candidate| candidate.fits)
        .take(3)
        .map(|candidate| candidate.sentence.clone())
        .collect();
    if zero.is_empty() && against.stock.is_some() {
        zero.extend(
            report
                .zero_candidates
                .first()
                .map(|nearest| nearest.sentence.clone()),
        );
    }
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

/// The setup in work as far as it is known.
fn against(state: &State) -> Against {
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
        keep_outs: setup
            .holding
            .as_ref()
            .map_or(vec![], |holding| holding.keep_outs.clone()),
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
