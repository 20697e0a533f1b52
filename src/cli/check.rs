//! `millside check`.

pub mod given;
pub mod json;
pub mod say;
pub mod setup;

use std::io;
use std::io::Read;
use std::num::NonZeroU64;
use std::path::Path;
use std::path::PathBuf;

use clap::Args as ClapArgs;

use crate::check;
use crate::check::Against;
use crate::check::Report;
use crate::check::against::Limits;
use crate::cli::Outcome;
use crate::cli::print;
use crate::cli::world::World;
use crate::job::holding::HeldBy;
use crate::job::holding::ScrewHead;
use crate::job::typed;
use crate::plain;
use crate::problem::Problem;
use crate::program::read;
use crate::program::read::ReadOptions;
use crate::program::read::Summary;

/// Arguments of `millside check`.
#[derive(Debug, ClapArgs)]
pub struct Args {
    /// G-code program to read.
    pub file: PathBuf,
    /// Size of the blank, such as 120x90x12mm or 5x4x0.5in.
    #[arg(long, value_name = "XxYxZ", value_parser = given::size)]
    pub stock: Option<crate::job::stock::StockSize>,
    /// Record of a session: blank, zero, tools, machine and keep-outs of its setup; other options
    /// replace them.
    #[arg(long, value_name = "FILE")]
    pub session: Option<PathBuf>,
    /// What lies under the blank: spoil:6mm, parallels, jaw, table or air.
    #[arg(long, value_parser = given::under)]
    pub under: Option<crate::job::stock::Under>,
    /// Size of the finished part, centred in the blank with its bottom flush.
    #[arg(long, value_name = "XxYxZ", value_parser = given::size)]
    pub part: Option<crate::job::stock::StockSize>,
    /// Point of the blank that is zero, such as left-front-top or 5+; part:5+ is that of the finished part.
    #[arg(long, value_name = "POINT", value_parser = given::zero)]
    pub zero: Option<given::StatedZero>,
    /// Machine of a profile, by name.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// Tool by number, such as 1="end mill 6 mm 3 flutes stickout 22 mm" or 1= and a profile's name; its speed rating as
    /// max 1500 rpm.
    #[arg(long = "tool", value_name = "N=TOOL", value_parser = given::tool)]
    pub tools: Vec<given::StatedTool>,
    /// Clamp or jaw: X0,Y0,X1,Y1,HEIGHT from the left front bottom of the blank.
    #[arg(long = "keep-out", value_name = "X0,Y0,X1,Y1,H", value_parser = given::keep_out, allow_hyphen_values = true)]
    pub keep_outs: Vec<crate::job::holding::KeepOut>,
    /// Screw that holds the blank: X,Y of its middle from the left front corner, then its thread (12,12,M5) or diameter and height of
    /// its head above the blank (12,12,8.72,5); ? for screws whose heads are not known.
    #[arg(long = "screw", value_name = "X,Y,HEAD", value_parser = given::screw_or_unknown, allow_hyphen_values = true)]
    pub screws: Vec<given::StatedScrew>,
    /// Line at which the program was stopped: blocks to begin again at are listed.
    #[arg(long, value_name = "LINE")]
    pub restart: Option<NonZeroU64>,
    /// Where the tool starts from the program's zero, in mm whatever the program's units, such as 0,0,50.
    #[arg(long, value_name = "X,Y,Z", value_parser = given::point, allow_hyphen_values = true)]
    pub start: Option<[Option<f64>; 3]>,
    /// Prints one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Runs the command.
///
/// # Errors
///
/// Wrong use or a file that cannot be opened.
pub fn run(args: &Args, world: &mut dyn World) -> Result<Outcome, Problem> {
    let against = against(args, world)?;
    let options = ReadOptions {
        start_mm: args.start.unwrap_or_default(),
        restart_line: args.restart.map(NonZeroU64::get),
        motion: against.machine.as_ref().map(Limits::motion),
        peck_backoff_mm: against.machine.as_ref().map_or(0.0, |m| m.peck_backoff_mm),
        ..ReadOptions::default()
    };
    let input = open(&args.file, world)?;
    let (summary, report) =
        check::examine(input, &options, &against).map_err(|error| unreadable(&args.file, error))?;
    let text = if args.json {
        json_text(&json::object(&summary, &report))?
    } else {
        let mut text = say::report(&name_of(&args.file), &summary, &report);
        if let Some(line) = args.restart {
            say::restart(&mut text, line.get(), &summary);
        }
        text
    };
    print::out(world, &text)?;
    Ok(outcome(&report))
}

fn against(args: &Args, world: &dyn World) -> Result<Against, Problem> {
    let mut against = match &args.session {
        Some(path) => setup::session(path, world)?,
        None => Against::default(),
    };
    against.stock = args.stock.or(against.stock);
    against.under = args.under.unwrap_or(against.under);
    against.part = args.part.or(against.part);
    if let Some(zero) = args.zero {
        (against.zero, against.is_zero_on_part) = (Some(zero.point), zero.is_on_part);
    }
    if let Some(limits) = setup::limits(args.machine.as_deref(), world)? {
        against.machine = Some(limits);
    }
    if !args.tools.is_empty() {
        against.tools = setup::tools(&args.tools, world)?;
    }
    if !args.keep_outs.is_empty() {
        against.keep_outs.clone_from(&args.keep_outs);
    }
    if !args.screws.is_empty() {
        let heads: Vec<ScrewHead> = args.screws.iter().filter_map(|screw| screw.0).collect();
        against.heads_unknown = heads.len() < args.screws.len();
        against.held_by = Some(HeldBy::Screws);
        let Some(stock) = against.stock else {
            return Err(Problem::user("check with screws that hold the blank")
                .at("--screw")
                .because("the size of the blank is not stated")
                .hint("State --stock: a head stands on the top of the blank."));
        };
        let zones = heads.iter().map(|head| head.zone(stock.z_mm));
        against.keep_outs.extend(zones);
    }
    fits_in(&against)?;
    Ok(against)
}

/// A finished part is no larger than its blank, and a zero on it needs its size.
fn fits_in(against: &Against) -> Result<(), Problem> {
    if against.is_zero_on_part && (against.part.is_none() || against.stock.is_none()) {
        return Err(Problem::user("check with a zero on the finished part")
            .at("--zero")
            .because("the size of part or blank is not stated")
            .hint("State --stock and --part."));
    }
    let (Some(stock), Some(part)) = (against.stock, against.part) else {
        return Ok(());
    };
    let axes = [
        ("X", part.x_mm, stock.x_mm),
        ("Y", part.y_mm, stock.y_mm),
        ("Z", part.z_mm, stock.z_mm),
    ];
    match axes.into_iter().find(|(_, part, blank)| part > blank) {
        None => Ok(()),
        Some((axis, part, blank)) => Err(Problem::user("check against this part")
            .at("--part")
            .because(format!(
                "the finished part is {} mm along {axis}, the blank {} mm",
                typed::plain(part),
                typed::plain(blank)
            ))
            .hint("Look at both sizes: --stock is the blank before any cut.")),
    }
}

fn outcome(report: &Report) -> Outcome {
    if report.has_stop() {
        Outcome::LookFirst
    } else {
        Outcome::Fine
    }
}

/// Reads a program file in pieces.
///
/// # Errors
///
/// A file that cannot be opened or read.
pub fn read_file(
    path: &Path,
    options: &ReadOptions,
    world: &dyn World,
) -> Result<Summary, Problem> {
    let input = open(path, world)?;
    read::read(input, options).map_err(|error| unreadable(path, error))
}

fn open(path: &Path, world: &dyn World) -> Result<Box<dyn Read>, Problem> {
    world.open(path).map_err(|error| unreadable(path, error))
}

fn unreadable(path: &Path, error: io::Error) -> Problem {
    Problem::user("read the program")
        .at(name_of(path))
        .because(error.to_string())
        .hint("Name a G-code file that can be opened.")
        .from_error(error)
}

/// A path fit to be shown.
pub fn name_of(path: &Path) -> String {
    plain::text(&path.to_string_lossy())
}

/// One JSON object with every character escaped that acts or hides.
///
/// # Errors
///
/// Never for the values that are handed over; a bug of ours otherwise.
pub fn json_text(value: &impl serde::Serialize) -> Result<String, Problem> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|error| Problem::internal("write JSON").from_error(error))?;
    Ok(format!("{}\n", plain::json(&text)))
}
