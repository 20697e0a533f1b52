//! Programmed speeds against the speed rating of each tool.
//!
//! The rating is held against the highest rpm that can occur ([`Faster`]), not against S alone. A finding of it is accepted
//! with no reason. On a spindle that is set by hand S turns nothing, but whoever sets the knob reads it. What a recipe
//! sets is minded by the session, which takes none that is too fast.

use crate::check::against::Against;
use crate::check::program::place;
use crate::check::rules;
use crate::job::tool_speed;
use crate::job::tool_speed::Faster;
use crate::program::finding::Findings;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// Runs the check; sections that cut nothing turn the tool as fast as others.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    let unstated = Faster::default();
    let faster = against.machine.as_ref().map_or(&unstated, |m| &m.faster);
    for section in &summary.sections {
        let facts = against.tool(section.tool);
        let Some(rating) = facts.and_then(|facts| facts.speed_rating_rpm) else {
            unknown(section, against, findings);
            continue;
        };
        let Some(s) = section.s_highest_rpm else {
            no_speed(section, faster.to_set(rating), rating, findings);
            continue;
        };
        let highest = faster.highest(s);
        if highest <= rating * (1.0 + 1e-9) {
            continue;
        }
        let line = section.first_line;
        findings.add(&rules::TOOL_SPEED_OVER_RATING, place(section), line, || {
            let tool = section.tool.unwrap_or_default();
            let assumed = if faster.assumed.is_empty() {
                String::new()
            } else {
                format!(" Assumed: {}.", faster.assumed)
            };
            format!(
                "T{tool} is rated {rating:.0} rpm; S{s:.0} can become {highest:.0} rpm.{assumed}"
            )
        });
    }
}

/// Says that nothing of a rated tool is checked, for the program turns it at no speed that it names: the knob alone says how fast.
fn no_speed(section: &Section, most_rpm: f64, rating_rpm: f64, findings: &mut Findings) {
    let key = section.tool.map_or(u64::MAX, u64::from);
    findings.add(&rules::TOOL_SPEED_UNKNOWN, place(section), key, || {
        let tool = section
            .tool
            .map_or_else(|| "the tool".to_owned(), |t| format!("T{t}"));
        format!(
            "Not checked: the program gives no speed for {tool}, which is rated {rating_rpm:.0} rpm. Set no more than {:.0} rpm.",
            most_rpm.floor()
        )
    });
}

/// Says that a tool which can burst is not checked, for want of its rating.
fn unknown(section: &Section, against: &Against, findings: &mut Findings) {
    let kind = against.tool(section.tool).and_then(|facts| facts.kind);
    let diameter_mm = against.radius_mm(section).map(|radius| 2.0 * radius);
    if !tool_speed::needs_rating(kind, diameter_mm) {
        return;
    }
    let key = section.tool.map_or(u64::MAX, u64::from);
    findings.add(&rules::TOOL_SPEED_UNKNOWN, place(section), key, || {
        let tool = section
            .tool
            .map_or_else(|| "the tool".to_owned(), |t| format!("T{t}"));
        format!("Not checked: the speed rating of {tool} is not known.")
    });
}
