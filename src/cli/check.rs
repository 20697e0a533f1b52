//! `millside check`.

pub mod given;
pub mod json;
pub mod say;

use std::io;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;

use clap::Args as ClapArgs;

use crate::check;
use crate::check::Against;
use crate::check::Report;
use crate::cli::Outcome;
use crate::cli::world::World;
use crate::job::zero::ZeroPoint;
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
    /// What lies under the blank: spoil:6mm, parallels, jaw, table or air.
    #[arg(long, value_parser = given::under)]
    pub under: Option<crate::job::stock::Under>,
    /// Size of the finished part, centred in the blank with its bottom flush.
    #[arg(long, value_name = "XxYxZ", value_parser = given::size)]
    pub part: Option<crate::job::stock::StockSize>,
    /// Point of the blank that is zero, such as left-front-top or 5+.
    #[arg(long, value_name = "POINT")]
    pub zero: Option<ZeroPoint>,
    /// Where the tool starts in the program's numbers, such as 0,0,50.
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
    let options = ReadOptions {
        start_mm: args.start.unwrap_or_default(),
        ..ReadOptions::default()
    };
    let against = Against {
        stock: args.stock,
        under: args.under.unwrap_or_default(),
        part: args.part,
        zero: args.zero,
        ..Against::default()
    };
    let input = open(&args.file, world)?;
    let (summary, report) =
        check::examine(input, &options, &against).map_err(|error| unreadable(&args.file, error))?;
    let text = if args.json {
        json_text(&json::object(&summary, &report))?
    } else {
        say::report(&name_of(&args.file), &summary, &report)
    };
    print(world, &text)?;
    Ok(outcome(&report))
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

/// Writes to standard output; a reader that went away is no error.
///
/// # Errors
///
/// As the system gives them.
pub fn print(world: &mut dyn World, text: &str) -> Result<(), Problem> {
    match world.out(text) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Problem::system("write the result").from_error(error))
        }
        _ => Ok(()),
    }
}
