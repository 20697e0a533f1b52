//! Sentences made of numbers, shared by pages and overlays.

use crate::job::reading::Reading;
use crate::plain;
use crate::program::finding::Level;
use crate::program::summary::Summary;

/// A time for a person: `0:40`, `12:05`, `1:02:03`.
pub fn time(seconds: f64) -> String {
    let whole = if seconds.is_finite() && seconds > 0.0 {
        seconds.round() as u64
    } else {
        0
    };
    let (hours, minutes, rest) = (whole / 3600, whole / 60 % 60, whole % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{rest:02}")
    } else {
        format!("{minutes}:{rest:02}")
    }
}

/// A lower bound of a time: rounded down, so that it stays one.
pub fn at_least(seconds: f64) -> String {
    format!("at least {}", time(seconds.floor()))
}

/// An estimate: a lower bound, unless acceleration and rapids of the machine are in it; with the override that it follows, where
/// that is not 100 %.
pub fn estimate(is_timed: bool, seconds: f64, override_percent: Option<f64>) -> String {
    let seconds = if is_timed {
        format!("about {}", time(seconds))
    } else {
        at_least(seconds)
    };
    match override_percent {
        Some(percent) => format!("{seconds} at {percent:.0} % override"),
        None => seconds,
    }
}

/// Time at work of an operation beside its estimate: `0:14 of about 0:29`, or the one that there is.
pub fn actual_of_estimate(actual_s: Option<f64>, estimate: Option<String>) -> Option<String> {
    match (actual_s.map(time), estimate) {
        (Some(actual), Some(estimate)) => Some(format!("{actual} of {estimate}")),
        (Some(actual), None) => Some(format!("took {actual}")),
        (None, estimate) => estimate,
    }
}

/// Nominal size and tolerance: `22 +0.02 -0.01`.
pub fn tolerance(reading: &Reading) -> String {
    let signed = |value: f64| {
        let text = crate::job::typed::plain(value);
        if value >= 0.0 {
            format!("+{text}")
        } else {
            text
        }
    };
    format!(
        "{} {} {}",
        crate::job::typed::plain(reading.nominal.value),
        signed(reading.upper.value),
        signed(reading.lower.value)
    )
}

/// What a program does, in a few lines.
pub fn program(summary: &Summary) -> Vec<String> {
    let mut lines = vec![];
    let axis = |name: &str, index: usize| {
        summary
            .extents
            .feed
            .axis(index)
            .map(|(least, most)| {
                format!(
                    "{name} {} to {}",
                    crate::job::typed::plain(least),
                    crate::job::typed::plain(most)
                )
            })
            .unwrap_or_else(|| format!("{name} not known"))
    };
    lines.push(format!(
        "cuts {}, {}, {} mm",
        axis("X", 0),
        axis("Y", 1),
        axis("Z", 2)
    ));
    for (place, section) in summary.sections.iter().enumerate() {
        let tool = section
            .tool
            .map_or("no tool".to_owned(), |t| format!("tool {t}"));
        let speed = section
            .s_rpm
            .map_or(String::new(), |s| format!(", {s:.0} rpm"));
        let title = if section.title.is_empty() { "" } else { ": " };
        lines.push(format!(
            "section {} lines {}-{}, {tool}{speed}, {}{title}{}",
            place + 1,
            section.first_line,
            section.last_line,
            at_least(section.feed_ideal_s + section.dwell_s),
            plain::text(&section.title)
        ));
    }
    let count = |level: Level| {
        summary
            .findings
            .iter()
            .filter(|finding| finding.level == level)
            .count()
    };
    lines.push(format!(
        "the reader has {} stop, {} warn, {} note; the check against the setup comes after",
        count(Level::Stop),
        count(Level::Warn),
        count(Level::Note)
    ));
    if let Some(line) = summary.uncertain_from {
        lines.push(format!(
            "From line {line} on the tool's place is uncertain."
        ));
    }
    lines
}

/// What a program does, in two lines.
pub fn program_short(summary: &Summary) -> Vec<String> {
    let mut lines: Vec<String> = program(summary).into_iter().take(1).collect();
    let seconds = summary.times.feed_ideal_s + summary.times.dwell_s;
    lines.push(format!(
        "{} sections, {}",
        summary.sections.len(),
        at_least(seconds)
    ));
    lines
}
