//! `millside time`.

pub mod calibrate;

use std::fmt::Write;
use std::path::PathBuf;

use clap::Args as ClapArgs;
use serde::Serialize;

use crate::check::against::Limits;
use crate::cli::Outcome;
use crate::cli::check::given;
use crate::cli::check::json;
use crate::cli::check::json_text;
use crate::cli::check::name_of;
use crate::cli::check::read_file;
use crate::cli::check::say;
use crate::cli::check::setup;
use crate::cli::print;
use crate::cli::world::World;
use crate::problem::Problem;
use crate::program::finding::Finding;
use crate::program::finding::Level;
use crate::program::read::ReadOptions;
use crate::program::read::Summary;
use crate::program::rules;

/// Arguments of `millside time`.
#[derive(Debug, ClapArgs)]
pub struct Args {
    /// G-code program to read.
    #[arg(required_unless_present = "calibrate")]
    pub file: Option<PathBuf>,
    /// Table of timed runs (axis,length,repeats,feed,seconds): finds acceleration, dead time and
    /// rapid speed of the axes with their uncertainty.
    #[arg(long, value_name = "FILE.csv", conflicts_with_all = ["file", "machine", "start"])]
    pub calibrate: Option<PathBuf>,
    /// Writes what the runs tell into your own profile of this machine, a copy of the shipped one
    /// where you have none; comments and other values stay.
    #[arg(long, value_name = "NAME", requires = "calibrate")]
    pub write: Option<String>,
    /// Machine of a profile, by name: acceleration, corners and rapids are counted.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// Where the tool starts from the program's zero, in mm whatever the program's units, such as 0,0,50.
    #[arg(long, value_name = "X,Y,Z", value_parser = given::point, allow_hyphen_values = true)]
    pub start: Option<[Option<f64>; 3]>,
    /// Prints one JSON object.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Serialize)]
struct Object {
    format: u32,
    units: &'static str,
    time_s: json::Times,
    sections: Vec<json::SectionObject>,
    uncertain_from: Option<u64>,
    read_to_end: bool,
    dwell_p_unit: &'static str,
    findings: Vec<json::FindingObject>,
    assumed: Vec<String>,
}

/// Whether lines behind this finding were not read, so that their time is missing.
fn ends_reading(finding: &Finding) -> bool {
    // Of lines behind an end only those that a person may have meant to run are a warning.
    [&rules::PERCENT_POSITION, &rules::TEXT_AFTER_END]
        .iter()
        .any(|rule| rule.id == finding.id)
        && finding.level >= Level::Warn
}

/// Whether the time depends on a finding.
fn concerns_time(finding: &Finding) -> bool {
    let rules = [
        &rules::DWELL_UNITS,
        &rules::DWELL_MISSING_P,
        &rules::DWELL_NEGATIVE,
        &rules::CYCLE_MISSING_P,
        &rules::CYCLE_NEGATIVE_P,
        &rules::BLOCK_DELETE_PRESENT,
        &rules::SUBPROGRAM_CALL,
    ];
    finding.level == Level::Stop
        || ends_reading(finding)
        || finding.level == Level::Warn && rules.iter().any(|rule| rule.id == finding.id)
}

/// Whether every line that is to run was read and its place is known.
fn is_read_to_end(summary: &Summary) -> bool {
    summary.uncertain_from.is_none() && !summary.findings.iter().any(ends_reading)
}

/// What the time leaves out or takes for granted, sentences.
pub fn left_out(summary: &Summary, limits: Option<&Limits>) -> Vec<String> {
    let mut out = vec![];
    if summary.times.dwell_s > 0.0 {
        out.push(format!(
            "P of a dwell is taken as seconds (NISTIR 6556, 3.5.4): {:.1} s in all. Some controls count milliseconds.",
            summary.times.dwell_s
        ));
    }
    if let Some(limits) = limits {
        out.push(match limits.look_ahead_blocks {
            0 => "The control is taken to stop at each block: it does not look ahead.".to_owned(),
            blocks => format!(
                "The control is taken to look ahead {blocks} blocks (machine profile): short blocks run no faster than it can stop within these."
            ),
        });
    }
    if summary.times.estimated_s.is_none() {
        out.push(
            "Acceleration and slowing at corners are left out: no machine is stated.".to_owned(),
        );
        out.push("Rapid moves are left out: no machine is stated.".to_owned());
    } else {
        out.push("Moves from or to a place that is not known are left out.".to_owned());
        out.push("The machine's values are as its profile says; none was timed here.".to_owned());
    }
    out.push("Spindle start, tool changes and the time of your hands are left out.".to_owned());
    let unknown: f64 = summary.sections.iter().map(|s| s.unknown_feed_mm).sum();
    if unknown > 0.0 {
        out.push(format!(
            "{unknown:.0} mm of cuts without a feed are left out."
        ));
    }
    if summary.stops.iter().any(|s| matches!(s.code, 0 | 1 | 60)) {
        out.push("Waiting at program stops is left out.".to_owned());
    }
    out
}

/// Runs the command.
///
/// # Errors
///
/// Wrong use or a file that cannot be opened.
pub fn run(args: &Args, world: &mut dyn World) -> Result<Outcome, Problem> {
    if let Some(table) = &args.calibrate {
        let (text, file) = calibrate::run(table, args.write.as_deref(), args.json, world)?;
        let printed = print::out(world, &text);
        return match file {
            Some(file) => Ok(print::after_writing(world, "the profile", &file, printed)),
            None => printed.map(|()| Outcome::Fine),
        };
    }
    let Some(file) = &args.file else {
        return Err(Problem::user("time a program").hint("Name a G-code file."));
    };
    let limits = setup::limits(args.machine.as_deref(), world)?;
    let options = ReadOptions {
        start_mm: args.start.unwrap_or_default(),
        motion: limits.as_ref().map(Limits::motion),
        peck_backoff_mm: limits.as_ref().map_or(0.0, |m| m.peck_backoff_mm),
        ..ReadOptions::default()
    };
    let summary = read_file(file, &options, world)?;
    let assumed = left_out(&summary, limits.as_ref());
    let text = if args.json {
        json_text(&Object {
            format: 1,
            units: summary.units.word(),
            time_s: json::times(&summary),
            sections: summary.sections.iter().map(json::section).collect(),
            uncertain_from: summary.uncertain_from,
            read_to_end: is_read_to_end(&summary),
            dwell_p_unit: "s",
            findings: summary.findings.iter().map(json::finding).collect(),
            assumed,
        })?
    } else {
        let mut out = String::new();
        // Writing to a string cannot fail.
        let name = name_of(file);
        let time = match summary.times.estimated_s {
            Some(seconds) => format!("about {}", say::clock(seconds)),
            None => format!("at least {}", say::clock_at_least(say::at_least(&summary))),
        };
        let whole = if is_read_to_end(&summary) {
            ""
        } else {
            ", but the program was not read to its end"
        };
        let _ = writeln!(out, "{name}: {time}{whole}");
        say::uncertain(&mut out, &summary);
        for finding in summary.findings.iter().filter(|f| concerns_time(f)) {
            say::one_finding(&mut out, finding);
        }
        for section in &summary.sections {
            say::section_lines(&mut out, section);
        }
        out.push_str("\nNot known\n");
        for line in &assumed {
            say::wrap(&mut out, &format!("  {line}"), 4);
        }
        out
    };
    print::out(world, &text)?;
    // A time counted through a place that is a guess is one to look at first.
    let has_stop = summary.findings.iter().any(|f| f.level == Level::Stop);
    Ok(if has_stop {
        Outcome::LookFirst
    } else {
        Outcome::Fine
    })
}
