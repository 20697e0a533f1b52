//! The program against the setup in work, as the screen and the session need it.

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
    let _ = state;
    let mut findings = summary.findings.clone();
    findings.sort_by_key(|finding| (grade(finding.level), finding.line));
    Checked {
        findings,
        zero: vec![],
        check_points: vec![],
        summary,
    }
}

fn grade(level: Level) -> u8 {
    match level {
        Level::Stop => 0,
        Level::Warn => 1,
        Level::Note => 2,
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
