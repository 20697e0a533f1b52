//! Tool lengths, judged by the one in force at each cut.
//!
//! A wrong length plunges the tool, or leaves it in the air, by the difference of two tools. So a cut with the length of
//! another tool is a stop. A tool without any length while others have one is a warning: it may be the one that the others
//! are measured against, which has none (common practice, no source). A program without a single length is silent: there Z
//! is set with each tool.

use crate::check::against::Against;
use crate::check::rules;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::length_use::LengthUse;
use crate::program::summary::Summary;

/// A second length for one tool lies at least so many numbers from its own; nearer ones belong to other tools (common
/// practice, no source).
const OWN_SECOND_FROM: u32 = 10;

/// Below this a cut is taken to be in metal, program's Z, mm: a zero on the top of the stock is the usual one.
const IN_METAL_BELOW_MM: f64 = -1e-3;

fn name(tool: Option<u32>) -> String {
    tool.map_or_else(|| "The tool".to_owned(), |tool| format!("T{tool}"))
}

fn line(number: u64) -> Place<'static> {
    Place {
        line: number,
        ..Place::FILE
    }
}

/// By how much every H lies above its tool's number, where it is the same for several tools and not nothing.
fn shift(uses: &[LengthUse]) -> Option<i64> {
    let mut pairs = uses
        .iter()
        .filter_map(|u| Some((u.tool?, i64::from(u.length()?) - i64::from(u.tool?))));
    let (first, shift) = pairs.next()?;
    let mut tools = vec![first];
    for (tool, own) in pairs {
        if own != shift || tools.contains(&tool) {
            return None;
        }
        tools.push(tool);
    }
    (tools.len() > 1 && shift != 0).then_some(shift)
}

/// Whether a use before the tool's own length is as deep as its cuts are.
fn is_deep(early: &LengthUse, own: &LengthUse) -> bool {
    let Some(low) = early.lowest_mm else {
        return true;
    };
    low < IN_METAL_BELOW_MM || own.lowest_mm.is_some_and(|own| low <= own)
}

/// Runs the checks.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    let uses = &summary.lengths;
    let is_cancelled = |u: &LengthUse| u.h.is_none() && u.set_line.is_some();
    if uses
        .iter()
        .all(|u| u.length().is_none() && !is_cancelled(u))
    {
        return;
    }
    let shift = shift(uses);
    if let (Some(shift), Some(first)) = (shift, uses.iter().find(|u| u.length().is_some())) {
        findings.add(&rules::H_UNLIKE_T, line(first.line), 0, || {
            let way = if shift > 0 { "above" } else { "below" };
            let by = shift.unsigned_abs();
            format!("Each tool cuts with the H that is {by} {way} its own number.")
        });
    }
    let own_length = |tool: u32| u32::try_from(i64::from(tool) + shift.unwrap_or(0)).ok();
    for (at, u) in uses.iter().enumerate() {
        let own = u.tool.and_then(own_length);
        if u.length().is_some() && (u.length() == own || shift.is_some()) {
            continue;
        }
        let is_own = |later: &&LengthUse| {
            later.tool == u.tool
                && later.length().is_some()
                && match u.tool {
                    Some(_) => later.length() == own,
                    None => later.change == u.change && u.length().is_none(),
                }
        };
        if let Some(own) = uses[at + 1..].iter().find(is_own) {
            say_early(u, own, findings);
        } else if u.length().is_none() {
            say_missing(u, uses, findings);
        } else {
            say_other(at, summary, against, findings);
        }
    }
}

/// The tool cut before its own length was on.
fn say_early(u: &LengthUse, own: &LengthUse, findings: &mut Findings) {
    let level = if is_deep(u, own) {
        Level::Stop
    } else {
        Level::Warn
    };
    findings.add_at(&rules::CUT_WITHOUT_LENGTH, level, line(u.line), u.line, || {
        let tool = name(u.tool);
        let h = own.length().unwrap_or_default();
        let on = own.set_line.unwrap_or(own.line);
        match (u.length(), u.set_line) {
            (Some(other), Some(set)) => format!(
                "{tool} moves at feed before its length H{h} is on (line {on}): until then H{other} from line {set} is in force."
            ),
            _ => format!("{tool} moves at feed before its length H{h} is on (line {on})."),
        }
    });
}

/// The tool cuts without a length and another has one.
fn say_missing(u: &LengthUse, uses: &[LengthUse], findings: &mut Findings) {
    let key = u64::from(u.tool.unwrap_or(u32::MAX));
    findings.add(&rules::CUT_WITHOUT_LENGTH, line(u.line), key, || {
        if let (None, Some(cancelled)) = (u.h, u.set_line) {
            return format!(
                "{} cuts without its length, which G49 took away in line {cancelled}.",
                name(u.tool)
            );
        }
        let none = if u.h.is_some() {
            "with the length H0, which is none"
        } else {
            "without a length (no G43)"
        };
        let others = uses.iter().find(|other| other.length().is_some());
        let other = others.map_or_else(String::new, |other| {
            let h = other.length().unwrap_or_default();
            format!(
                ", and {} cuts with H{h} in line {}",
                name(other.tool),
                other.line
            )
        });
        format!("{} cuts {none}{other}.", name(u.tool))
    });
}

/// The tool cuts with a length that is not its own.
fn say_other(at: usize, summary: &Summary, against: &Against, findings: &mut Findings) {
    let uses = &summary.lengths;
    let Some((u, h)) = uses.get(at).and_then(|u| Some((u, u.length()?))) else {
        return;
    };
    let set = u
        .set_line
        .map_or_else(String::new, |set| format!(", set in line {set}"));
    let before = uses[..at].iter().rfind(|b| {
        b.tool == u.tool && b.length().is_some() && (u.tool.is_some() || b.change == u.change)
    });
    let Some(tool) = u.tool else {
        if let Some(first) = before.and_then(LengthUse::length) {
            findings.add(&rules::H_UNLIKE_T, line(u.line), u.line, || {
                format!("The tool cuts with H{h}{set}, and with H{first} before that; no change of tool stands between.")
            });
        }
        return;
    };
    let is_tool = uses.iter().any(|other| other.tool == Some(h))
        || summary.tools.contains(&h)
        || summary.comments_of_other_tools.contains(&h)
        || against.tools.iter().any(|(number, _)| *number == h);
    let shared = uses
        .iter()
        .find(|other| other.tool != u.tool && other.length() == Some(h))
        .and_then(|other| other.tool);
    let has_own = uses
        .iter()
        .any(|own| own.tool == u.tool && own.length() == u.tool);
    let is_near = has_own && h.abs_diff(tool) < OWN_SECOND_FROM;
    let level = if is_tool || shared.is_some() || is_near {
        Level::Stop
    } else {
        Level::Warn
    };
    findings.add_at(&rules::H_UNLIKE_T, level, line(u.line), u.line, || {
        let whose = match shared {
            Some(other) => format!(", as T{other} does"),
            None if is_tool || is_near => format!(", the number of tool {h}"),
            None => String::new(),
        };
        let first = before.and_then(LengthUse::length);
        let first = first.map_or_else(String::new, |first| {
            format!(", and with H{first} before that")
        });
        format!("T{tool} cuts with the length H{h}{whose}{set}{first}.")
    });
}
