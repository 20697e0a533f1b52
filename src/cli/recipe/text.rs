//! A recipe as a short page: what to set, then the limits with the one that binds first.

use std::fmt::Write;

use crate::calculator::alternative::Alternative;
use crate::calculator::answer::Answer;
use crate::calculator::limit::Kind;
use crate::calculator::limit::Limit;
use crate::calculator::pilot::Plan;
use crate::calculator::question::Question;
use crate::plain;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::to_mm;

/// Columns of a bar.
const BAR: usize = 20;

/// The page.
pub fn page(
    question: &Question<'_>,
    answer: &Answer,
    others: &[Alternative],
    plan: Option<&Plan>,
    with_trace: bool,
) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write(&mut out, question, answer, others, plan, with_trace);
    plain::lines(&out)
}

fn write(
    out: &mut String,
    question: &Question<'_>,
    answer: &Answer,
    others: &[Alternative],
    plan: Option<&Plan>,
    with_trace: bool,
) -> std::fmt::Result {
    writeln!(
        out,
        "{}, {}, {} in {}",
        question.tool.title,
        question.cut.word(),
        question.machine.title,
        question.material.title
    )?;
    let step = answer
        .step
        .as_ref()
        .map_or(String::new(), |step| format!(" (belt step {step})"));
    let row = |out: &mut String, name: &str, value: &str| writeln!(out, "  {name:<14} {value}");
    row(out, "speed", &format!("{}{step}", show::rpm(answer.n)))?;
    if let Some(rating) = answer.speed_rating {
        row(
            out,
            "highest speed",
            &format!(
                "{} can occur; the tool is rated {}",
                show::rpm(answer.highest),
                show::rpm(rating)
            ),
        )?;
    }
    row(out, "surface speed", &show::speed(answer.vc, Units::Both))?;
    row(out, "feed", &show::feed(answer.vf, Units::Both))?;
    row(out, "chip load", &show::chip_load(answer.fz, Units::Both))?;
    row(out, "depth", &show::length(answer.ap, Units::Both))?;
    match question.pilot {
        Some(pilot) => row(out, "pilot hole", &show::length(pilot, Units::Both))?,
        None => row(out, "stepover", &show::length(answer.ae, Units::Both))?,
    }
    if !answer.width_held_by.is_empty() {
        row(out, "", &answer.width_words())?;
    }
    if !answer.increases.is_empty() {
        let next = format!("if it runs well: {}", answer.next_words());
        row(out, "next", &next)?;
    }
    row(out, "removal", &show::removal(answer.q, Units::Both))?;
    row(out, "at the cutter", &show::power(answer.pc, Units::Both))?;
    row(
        out,
        "at the motor",
        &format!(
            "{} of {}",
            show::power(answer.motor, Units::Metric),
            show::power(answer.motor_available, Units::Metric)
        ),
    )?;
    if to_mm(answer.cusp) > 0.0 {
        row(out, "cusp", &show::length(answer.cusp, Units::Both))?;
    }
    writeln!(out, "limits, the one that binds first")?;
    for limit in &answer.limits {
        writeln!(out, "{}", limit_line(limit))?;
    }
    if let Some(limit) = answer.binding() {
        writeln!(out, "lifted by: {}", limit.which.lift(question.cut))?;
    }
    if let Some(entry) = &answer.entry {
        for words in entry.words(answer.ap) {
            writeln!(out, "way in: {words}")?;
        }
    }
    for line in plan.map_or(vec![], |plan| plan.words(question, answer.ap)) {
        writeln!(out, "in steps: {line}")?;
    }
    for other in others {
        writeln!(
            out,
            "instead: {} ({})",
            other.change,
            show::removal(other.answer.q, Units::Metric)
        )?;
    }
    for caution in &answer.cautions {
        writeln!(out, "mind: {caution}")?;
    }
    for assumed in &answer.assumed {
        writeln!(out, "assumed: {assumed}")?;
    }
    if with_trace {
        writeln!(out, "how it was worked out")?;
        for step in &answer.trace {
            writeln!(
                out,
                "  {}: {}\n    source: {}",
                step.what, step.line, step.source
            )?;
        }
    }
    writeln!(
        out,
        "Figures are starting points; the machine's manual and your ears come first."
    )
}

/// Number and word before the bar, so that it can be read without it.
fn limit_line(limit: &Limit) -> String {
    let word = match (limit.is_exceeded(), limit.which.kind(), limit.binds) {
        (true, _, _) => "EXCEEDED",
        (false, Kind::Danger, true) => "danger, binds",
        (false, Kind::Ceiling, true) => "ceiling, binds",
        (false, kind, false) => kind.word(),
    };
    let filled = (limit.used.clamp(0.0, 1.0) * BAR as f64).round() as usize;
    format!(
        "  {:>4.0} %  {:<24} {word:<14} [{}{}]",
        100.0 * limit.used.min(99.99),
        limit.which.name(),
        "#".repeat(filled),
        ".".repeat(BAR - filled)
    )
}
