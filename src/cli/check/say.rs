//! The report of `check` and `time` for a person: worst first, plain sentences, narrow.

use std::fmt::Write;

use crate::check::Report;
use crate::program::bounds::Bounds;
use crate::program::code;
use crate::program::finding::Finding;
use crate::program::finding::Level;
use crate::program::interp::MM_PER_INCH;
use crate::program::machine_z;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::program::summary::Units;

/// Columns of the text.
const WIDTH: usize = 72;
/// Moves of Z in machine coordinates shown; more are counted.
const MOST_MACHINE_Z: usize = 10;
/// Notes shown; more are counted.
const MOST_NOTES: usize = 6;

/// The report as text.
pub fn report(name: &str, summary: &Summary, report: &Report) -> String {
    let mut out = String::new();
    let count = |level: Level| report.findings.iter().filter(|f| f.level == level).count();
    let (stops, warns) = (count(Level::Stop), count(Level::Warn));
    let verdict = match (stops, warns) {
        (0, 0) => "nothing stands against it that could be checked".to_owned(),
        (0, warns) => format!("{} to look at", things(warns, "warning")),
        (stops, 0) => format!("{} before any cut", things(stops, "stop")),
        (stops, warns) => {
            format!(
                "{} before any cut, {} to look at",
                things(stops, "stop"),
                things(warns, "warning")
            )
        }
    };
    let unknown = if report.is_tool_unknown {
        "; not checked: tool unknown"
    } else {
        ""
    };
    // Writing to a string cannot fail, here and below.
    let _ = writeln!(out, "{name}: {verdict}{unknown}");
    uncertain(&mut out, summary);
    let mut notes = 0;
    for finding in &report.findings {
        if finding.level == Level::Note {
            notes += 1;
            if notes > MOST_NOTES {
                continue;
            }
        }
        one_finding(&mut out, finding);
    }
    if notes > MOST_NOTES {
        let _ = writeln!(
            out,
            "\n      and {} more",
            things(notes - MOST_NOTES, "note")
        );
    }
    out.push('\n');
    facts(&mut out, summary);
    zeros(&mut out, report);
    if !report.check_points.is_empty() {
        out.push_str("\nCheck points (spindle off)\n");
        for p in &report.check_points {
            wrap(
                &mut out,
                &format!(
                    "  {}: {}",
                    jog(summary.units, [p.x_mm, p.y_mm, p.z_mm]),
                    p.why
                ),
                4,
            );
        }
    }
    if !report.assumed.is_empty() {
        out.push_str("\nNot known\n");
        for line in &report.assumed {
            wrap(&mut out, &format!("  {line}"), 4);
        }
    }
    out
}

/// Blocks to begin again at, with what must be set by hand first.
pub fn restart(out: &mut String, line: u64, summary: &Summary) {
    let _ = writeln!(out, "\nBegin again before line {line}");
    if line > summary.last_line {
        let _ = writeln!(
            out,
            "  The program has {} lines only; these stand before its end.",
            summary.last_line
        );
    }
    if summary.restart_points.is_empty() {
        out.push_str("  No block before it stands at clearance height with Z known.\n");
        return;
    }
    for p in &summary.restart_points {
        wrap(out, &format!("  {}", p.words()), 4);
    }
    out.push_str("  The choice is yours: look at the blocks before you choose one.\n");
}

/// From which line on the tool's place is a guess, if any.
pub fn uncertain(out: &mut String, summary: &Summary) {
    if let Some(line) = summary.uncertain_from {
        let _ = writeln!(out, "From line {line} on the tool's place is a guess.");
    }
}

/// One finding: level, id and place, then the block, what is wrong and what to do.
pub fn one_finding(out: &mut String, finding: &Finding) {
    let place = match (finding.line, finding.count) {
        (0, 1) => String::new(),
        (0, count) => format!(" ({count} times)"),
        (line, 1) => format!(" line {line}"),
        (line, count) => format!(" line {line} and {} more", count - 1),
    };
    let _ = writeln!(out, "\n{:<5} {}{place}", finding.level.word(), finding.id);
    if !finding.block.is_empty() {
        let _ = writeln!(
            out,
            "      > {}",
            crate::plain::cut(&finding.block, WIDTH - 8)
        );
    }
    wrap(out, &format!("      {}", finding.message), 6);
    wrap(out, &format!("      {}", finding.remedy), 6);
}

/// A fact of more than a line behind its label.
fn labelled(out: &mut String, label: &str, text: &str) {
    let mut lines = String::new();
    wrap(&mut lines, &format!("         {text}"), 9);
    lines.replace_range(..label.len(), label);
    out.push_str(&lines);
}

fn facts(out: &mut String, summary: &Summary) {
    let units = match summary.units {
        Units::Mm => "mm (G21)",
        Units::Inch => "inch (G20)",
        Units::AssumedMm => "not stated, taken as mm",
    };
    let moves = summary.moves;
    let _ = writeln!(out, "Units    {units}");
    let _ = writeln!(
        out,
        "Blocks   {}: {} rapid, {} feed, {} arc",
        summary.blocks, moves.rapid, moves.feed, moves.arc
    );
    labelled(out, "Start", &summary.start.words("overrides"));
    if !summary.machine_z.is_empty() {
        labelled(out, "Dry run", machine_z::NOT_RAISED);
        for line in machine_z::lines(&summary.machine_z, MOST_MACHINE_Z) {
            let _ = writeln!(out, "         {line}");
        }
    }
    let _ = writeln!(out, "All      {}", span(&summary.extents.all));
    let _ = writeln!(out, "Feed     {}", span(&summary.extents.feed));
    let _ = writeln!(
        out,
        "Path     {:.0} mm feed, {:.0} mm rapid",
        summary.path.feed_mm, summary.path.rapid_mm
    );
    match summary.times.estimated_s {
        Some(seconds) => {
            let _ = writeln!(out, "Time     about {} on this machine", clock(seconds));
        }
        None => {
            let _ = writeln!(
                out,
                "Time     at least {}",
                clock_at_least(at_least(summary))
            );
        }
    }
    for section in &summary.sections {
        section_lines(out, section);
    }
}

/// Seconds that the program takes at the very least.
pub fn at_least(summary: &Summary) -> f64 {
    summary.times.feed_ideal_s + summary.times.dwell_s
}

/// One section in two or three lines.
pub fn section_lines(out: &mut String, section: &Section) {
    let tool = section
        .tool
        .map_or_else(|| "no tool named".to_owned(), |tool| format!("T{tool}"));
    let mut head = format!("\n{tool}");
    for text in [&section.title, &section.tool_comment] {
        if !text.is_empty() {
            let _ = write!(head, "  {text}");
        }
    }
    head = format!("\n{}", crate::plain::cut(head.trim_start(), WIDTH));
    let _ = writeln!(out, "{head}");
    let s = section
        .s_rpm
        .map_or_else(|| "S not set".to_owned(), |s| format!("S{s:.0}"));
    let feeds = match (section.feed_lowest_mm_min, section.feed_highest_mm_min) {
        (Some(low), Some(high)) if (high - low).abs() > 1e-6 => {
            format!("F{low:.0} to F{high:.0} mm/min")
        }
        (Some(low), _) => format!("F{low:.0} mm/min"),
        _ => "no feed".to_owned(),
    };
    let low = section
        .lowest_z_mm
        .map_or_else(String::new, |z| format!(", down to Z{z:.3} mm"));
    let holes = if section.holes > 0 {
        format!(", {}", things_u64(section.holes, "hole"))
    } else {
        String::new()
    };
    let _ = writeln!(
        out,
        "         lines {} to {}, {}, {s}, {feeds}",
        section.first_line,
        section.last_line,
        code::system_name(section.work_system),
    );
    let _ = writeln!(
        out,
        "         {:.0} mm feed, {}{low}{holes}",
        section.path.feed_mm,
        match section.estimated_s {
            Some(seconds) => format!("about {}", clock(seconds)),
            None => format!(
                "at least {}",
                clock_at_least(section.feed_ideal_s + section.dwell_s)
            ),
        },
    );
}

fn zeros(out: &mut String, report: &Report) {
    let fitting: Vec<_> = report
        .zero_candidates
        .iter()
        .filter(|c| c.fits)
        .take(3)
        .collect();
    if fitting.is_empty() {
        return;
    }
    out.push_str("\nZeros that fit, best first\n");
    for candidate in fitting {
        wrap(out, &format!("  {}", candidate.sentence), 4);
    }
}

/// A place to jog to, as the machine shows it in the program's units.
fn jog(units: Units, [x, y, z]: [f64; 3]) -> String {
    if units == Units::Inch {
        let [x, y, z] = [x, y, z].map(|v| v / MM_PER_INCH);
        format!("X{x:.3} Y{y:.3} at Z{z:.3} in")
    } else {
        format!("X{x:.1} Y{y:.1} at Z{z:.1} mm")
    }
}

fn span(bounds: &Bounds) -> String {
    let axes: Vec<String> = ["X", "Y", "Z"]
        .iter()
        .enumerate()
        .map(|(axis, name)| match bounds.axis(axis) {
            Some((low, high)) => format!("{name} {low:.3} to {high:.3}"),
            None => format!("{name} never known"),
        })
        .collect();
    format!("{} mm", axes.join("  "))
}

/// Seconds as h:mm:ss or m:ss, rounded up to whole seconds.
pub fn clock(seconds: f64) -> String {
    on_clock(seconds.ceil())
}

/// The same of a lower bound: rounded down, so that it stays one.
pub fn clock_at_least(seconds: f64) -> String {
    on_clock(seconds.floor())
}

fn on_clock(seconds: f64) -> String {
    if !seconds.is_finite() || seconds >= 1e9 {
        return "longer than can be shown".to_owned();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 1e9"
    )]
    let whole = seconds.max(0.0) as u64;
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    if h > 0 {
        format!("{h}:{m:02}:{s:02} h")
    } else {
        format!("{m}:{s:02} min")
    }
}

fn things(count: usize, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

fn things_u64(count: u64, what: &str) -> String {
    things(usize::try_from(count).unwrap_or(usize::MAX), what)
}

/// Writes a paragraph broken at blanks; `indent` is for the lines after the first.
pub fn wrap(out: &mut String, text: &str, indent: usize) {
    let mut line = String::new();
    let lead: String = text.chars().take_while(|c| *c == ' ').collect();
    line.push_str(&lead);
    for word in text.split_whitespace() {
        let is_empty = line.trim().is_empty();
        if !is_empty && crate::plain::width(&line) + 1 + crate::plain::width(word) > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = " ".repeat(indent);
        } else if !is_empty {
            line.push(' ');
        }
        line.push_str(word);
    }
    out.push_str(&line);
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_read_as_on_a_clock() {
        assert_eq!(clock(0.0), "0:00 min");
        assert_eq!(clock(59.2), "1:00 min");
        assert_eq!(clock_at_least(59.9), "0:59 min");
        assert_eq!(clock(3725.0), "1:02:05 h");
        assert_eq!(clock(f64::INFINITY), "longer than can be shown");
    }

    #[test]
    fn paragraphs_break_before_the_edge() {
        let mut out = String::new();
        wrap(&mut out, &format!("  {}", "word ".repeat(40)), 4);
        assert!(out.lines().count() > 2);
        assert!(out.lines().all(|line| line.len() <= WIDTH));
        assert!(out.lines().skip(1).all(|line| line.starts_with("    word")));
    }
}
