//! A program that was posted anew, compared with the one before.

use crate::app::words;
use crate::job::typed::plain;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// Differences named at most.
const MOST: usize = 12;

/// In what a program differs from the one before, a sentence each; never empty.
pub(super) fn differences(old: &Summary, new: &Summary) -> Vec<String> {
    let mut lines = vec![];
    let mut differ = |what: &str, was: String, is: String| {
        if was != is {
            lines.push(format!("{what}: was {was}, now {is}"));
        }
    };
    differ("units", old.units.word().into(), new.units.word().into());
    differ("tools", tools(old), tools(new));
    for (axis, name) in ["X", "Y", "Z"].into_iter().enumerate() {
        let range = |of: &Summary| {
            of.extents
                .feed
                .axis(axis)
                .map_or("none".to_owned(), |(low, high)| {
                    format!("{} to {} mm", rounded(low), rounded(high))
                })
        };
        differ(&format!("feed moves along {name}"), range(old), range(new));
    }
    let time = |of: &Summary| words::time(of.times.feed_ideal_s + of.times.dwell_s);
    differ("time at the programmed feeds", time(old), time(new));
    differ(
        "sections",
        old.sections.len().to_string(),
        new.sections.len().to_string(),
    );
    for (place, (was, is)) in old.sections.iter().zip(&new.sections).enumerate() {
        let name = match is.title.as_str() {
            "" => format!("section {}", place + 1),
            title => format!("section {} ({title})", place + 1),
        };
        differ(&format!("{name}, tool"), tool(was), tool(is));
        differ(&format!("{name}, S"), speed(was), speed(is));
        differ(&format!("{name}, F"), feeds(was), feeds(is));
        differ(&format!("{name}, lowest Z"), lowest(was), lowest(is));
    }
    if lines.is_empty() {
        lines.push("same tools, sections, sizes, speeds, feeds and time as before".to_owned());
    }
    let more = lines.len().saturating_sub(MOST);
    lines.truncate(MOST);
    if more > 0 {
        lines.push(format!("and {more} more differences"));
    }
    lines
}

fn rounded(mm: f64) -> String {
    plain((mm * 1000.0).round() / 1000.0)
}

fn tools(of: &Summary) -> String {
    let names: Vec<String> = of.tools.iter().map(|tool| format!("T{tool}")).collect();
    if names.is_empty() {
        "none".to_owned()
    } else {
        names.join(" ")
    }
}

fn tool(of: &Section) -> String {
    of.tool.map_or("none".to_owned(), |tool| format!("T{tool}"))
}

fn speed(of: &Section) -> String {
    of.s_rpm
        .map_or("none".to_owned(), |rpm| format!("{rpm:.0} rpm"))
}

fn feeds(of: &Section) -> String {
    match (of.feed_lowest_mm_min, of.feed_highest_mm_min) {
        (Some(low), Some(high)) if low < high => format!("{low:.0} to {high:.0} mm/min"),
        (_, Some(high)) => format!("{high:.0} mm/min"),
        _ => "none".to_owned(),
    }
}

fn lowest(of: &Section) -> String {
    of.lowest_z_mm
        .map_or("none".to_owned(), |z| format!("{} mm", rounded(z)))
}
