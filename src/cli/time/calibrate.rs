//! `millside time --calibrate`: a table of timed runs to the limits of the axes.

mod write;

use std::fmt::Write;
use std::path::Path;

use serde::Serialize;

use crate::cli::check::json_text;
use crate::cli::check::name_of;
use crate::cli::check::say;
use crate::cli::world::World;
use crate::plain;
use crate::problem::Problem;
use crate::program::time::calibrate::Estimate;
use crate::program::time::calibrate::Fit;
use crate::program::time::calibrate::NoFit;
use crate::program::time::calibrate::Run;
use crate::program::time::calibrate::fit;

/// Width of an interval from which more runs are asked for, as a share.
const WIDE: f64 = 0.15;
/// Longest table that is read, in bytes: some ten thousand timed runs.
const LONGEST: usize = 1 << 20;
/// Columns of the table.
const COLUMNS: &str = "axis,length,repeats,feed,seconds";

#[derive(Debug, Serialize)]
struct Object {
    format: u32,
    axes: Vec<AxisObject>,
    written: Option<write::Saved>,
}

#[derive(Debug, Serialize)]
struct AxisObject {
    axis: String,
    acceleration_mm_s2: Option<f64>,
    acceleration_low_mm_s2: Option<f64>,
    acceleration_high_mm_s2: Option<f64>,
    stop_s: Option<f64>,
    stop_half_width_s: Option<f64>,
    watch_s: Option<f64>,
    rapid_mm_min: Option<f64>,
    rapid_half_width_mm_min: Option<f64>,
    too_short: usize,
    why_not: Option<&'static str>,
}

/// Reads the table and says what it tells; with a machine named, writes it into the person's own
/// profile of it. Gives the answer, and the file that was written.
///
/// # Errors
///
/// A file that cannot be read or written, or a line that is no run.
pub fn run(
    path: &Path,
    machine: Option<&str>,
    as_json: bool,
    world: &mut dyn World,
) -> Result<(String, Option<String>), Problem> {
    let bytes = world.read(path, LONGEST).map_err(|error| {
        Problem::user("read the timed runs")
            .at(name_of(path))
            .from_error(error)
            .hint("Look at its spelling, or write its whole path.")
    })?;
    let text = std::str::from_utf8(&bytes).map_err(|_| {
        Problem::user("read the timed runs")
            .at(name_of(path))
            .because("it is not UTF-8 text")
            .hint(format!("Write a table of {COLUMNS}."))
    })?;
    let axes = table(text).map_err(|(line, why)| {
        Problem::user("read the timed runs")
            .at(format!("{}:{line}", name_of(path)))
            .because(why)
            .hint(format!(
                "Write {COLUMNS}; lengths in mm, feeds in mm/min or rapid, times in s."
            ))
    })?;
    let fits: Vec<(String, Result<Fit, NoFit>)> = axes
        .into_iter()
        .map(|(axis, runs)| (axis, fit(&runs)))
        .collect();
    let written = machine
        .map(|machine| write::run(machine, &fits, world))
        .transpose()?;
    let file = written.as_ref().map(|saved| saved.file().to_owned());
    let text = if as_json {
        json_text(&Object {
            format: 1,
            axes: fits.iter().map(|(axis, fit)| object(axis, fit)).collect(),
            written,
        })?
    } else {
        let mut text = words(&fits);
        match &written {
            Some(saved) => text.push_str(&write::words(saved)),
            None => text.push_str(
                "\nNothing is written; --write NAME puts it into your own profile of a machine.\n",
            ),
        }
        text
    };
    Ok((text, file))
}

type Axes = Vec<(String, Vec<Run>)>;

fn table(text: &str) -> Result<Axes, (usize, String)> {
    let mut axes: Axes = vec![];
    for (i, line) in text.lines().enumerate() {
        let number = i + 1;
        let line = line.trim().trim_start_matches('\u{feff}');
        if line.is_empty() || line.starts_with('#') || line.to_ascii_lowercase().starts_with("axis")
        {
            continue;
        }
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        let [axis, length, repeats, feed, seconds] = cells.as_slice() else {
            return Err((number, format!("{} columns instead of 5", cells.len())));
        };
        let axis = axis.to_ascii_uppercase();
        if !matches!(axis.as_str(), "X" | "Y" | "Z" | "Z+" | "Z-") {
            return Err((
                number,
                format!(
                    "axis is \"{}\"; X, Y, Z, Z+ and Z- are allowed",
                    plain::text(&axis)
                ),
            ));
        }
        let value = |name: &str, cell: &str| -> Result<f64, (usize, String)> {
            match cell.parse::<f64>() {
                Ok(v) if v.is_finite() && v > 0.0 => Ok(v),
                _ => Err((
                    number,
                    format!(
                        "{name} is \"{}\"; a number greater than zero is wanted",
                        plain::text(cell)
                    ),
                )),
            }
        };
        let run = Run {
            length_mm: value("length", length)?,
            repeats: value("repeats", repeats)?,
            feed_mm_min: if feed.is_empty() || feed.eq_ignore_ascii_case("rapid") {
                None
            } else {
                Some(value("feed", feed)?)
            },
            seconds: value("seconds", seconds)?,
        };
        match axes.iter_mut().find(|(name, _)| *name == axis) {
            Some((_, runs)) => runs.push(run),
            None => axes.push((axis, vec![run])),
        }
    }
    if axes.is_empty() {
        return Err((1, "no run is in the table".to_owned()));
    }
    Ok(axes)
}

fn object(axis: &str, fit: &Result<Fit, NoFit>) -> AxisObject {
    let finite = |v: f64| v.is_finite().then_some(v);
    match fit {
        Ok(fit) => AxisObject {
            axis: axis.to_owned(),
            acceleration_mm_s2: Some(fit.acceleration_mm_s2),
            acceleration_low_mm_s2: finite(fit.acceleration_interval[0]),
            acceleration_high_mm_s2: finite(fit.acceleration_interval[1]),
            stop_s: Some(fit.stop_s.value),
            stop_half_width_s: finite(fit.stop_s.half_width),
            watch_s: Some(fit.start_s.value),
            rapid_mm_min: fit.rapid_mm_s.map(|r| r.value * 60.0),
            rapid_half_width_mm_min: fit.rapid_mm_s.and_then(|r| finite(r.half_width * 60.0)),
            too_short: fit.too_short,
            why_not: None,
        },
        Err(why) => AxisObject {
            axis: axis.to_owned(),
            acceleration_mm_s2: None,
            acceleration_low_mm_s2: None,
            acceleration_high_mm_s2: None,
            stop_s: None,
            stop_half_width_s: None,
            watch_s: None,
            rapid_mm_min: None,
            rapid_half_width_mm_min: None,
            too_short: 0,
            why_not: Some(why.words()),
        },
    }
}

fn words(fits: &[(String, Result<Fit, NoFit>)]) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail, here and below.
    for (axis, fit) in fits {
        let fit = match fit {
            Ok(fit) => fit,
            Err(why) => {
                say::wrap(
                    &mut out,
                    &format!("{axis}  nothing can be said: {}.", why.words()),
                    3,
                );
                continue;
            }
        };
        let [low, high] = fit.acceleration_interval;
        let a = fit.acceleration_mm_s2;
        let _ = writeln!(
            out,
            "{axis}  acceleration {a:.0} mm/s2 ({low:.0} to {high:.0}, 95 times in 100)"
        );
        let _ = writeln!(
            out,
            "   dead time of a stop {}",
            plus_minus(fit.stop_s, 3, "s")
        );
        let _ = writeln!(
            out,
            "   start and stop of the watch {}",
            plus_minus(fit.start_s, 2, "s")
        );
        if let Some(rapid) = fit.rapid_mm_s {
            let rapid = Estimate {
                value: rapid.value * 60.0,
                half_width: rapid.half_width * 60.0,
            };
            let _ = writeln!(out, "   rapid {}", plus_minus(rapid, 0, "mm/min"));
        }
        if fit.too_short > 0 {
            let _ = writeln!(
                out,
                "   {} runs were too short to reach their feed and are left out",
                fit.too_short
            );
        }
        if high - a > WIDE * a {
            let _ = writeln!(out, "   the interval is wide: time more moves in each run");
        }
    }
    out
}

fn plus_minus(estimate: Estimate, places: usize, unit: &str) -> String {
    if estimate.half_width.is_finite() {
        format!(
            "{:.places$} +- {:.places$} {unit}",
            estimate.value, estimate.half_width
        )
    } else {
        format!("{:.places$} {unit}, error not known", estimate.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_says_where_it_is_wrong() {
        let ok = table("axis,length,repeats,feed,seconds\nx,50,10,600,51.0\nX,300,10,rapid,48.6\n")
            .unwrap();
        assert_eq!(ok.len(), 1);
        assert_eq!(ok[0].1[1].feed_mm_min, None);
        assert_eq!(table("x,50,10,600\n").unwrap_err().0, 1);
        assert_eq!(table("x,50,10,600,51\nq,50,10,600,51\n").unwrap_err().0, 2);
        let (line, why) = table("x,50,10,600,51\nx,50,ten,600,51\n").unwrap_err();
        assert_eq!(line, 2);
        assert!(why.contains("repeats") && why.contains("ten"));
        assert!(table("").is_err());
        assert!(table("x,50,10,600,NaN\n").is_err());
    }
}
