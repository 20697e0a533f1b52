//! `millside new`: begins a job.

use std::fmt::Write;
use std::path::Path;
use std::path::PathBuf;

use clap::Args as ClapArgs;
use serde_json::Value;
use serde_json::json;

use crate::app::message::ProgramRead;
use crate::app::model;
use crate::app::new_job;
use crate::app::new_job::NewJob;
use crate::cli::Outcome;
use crate::cli::check;
use crate::cli::library;
use crate::cli::print;
use crate::cli::world::World;
use crate::job::conditions::Conditions;
use crate::job::operation::Operation;
use crate::plain;
use crate::plain::near;
use crate::problem::Problem;
use crate::profile::library::Library;
use crate::profile::library::Named;
use crate::profile::library::Shelf;
use crate::program::options::ReadOptions;
use crate::quantity;
use crate::quantity::show;
use crate::session::state::RackTool;
use crate::session::state::Setup;
use crate::session::state::State;

/// Arguments of `millside new`.
#[derive(Debug, ClapArgs)]
#[command(
    after_help = "Exit code: 0 made; 1 made, but look first: the program has stop findings, or the answer \
                  could not be printed; 2 not made."
)]
pub struct Args {
    /// G-code program that the job runs: a section of it becomes an operation.
    #[arg(long, value_name = "FILE")]
    pub program: Option<PathBuf>,
    /// Job template to begin from; see millside profile list.
    #[arg(long, value_name = "NAME", conflicts_with = "program")]
    pub template: Option<String>,
    /// Machine; else the first of millside profile list.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// Material; else the first of millside profile list.
    #[arg(long, value_name = "NAME")]
    pub material: Option<String>,
    /// Tool of a number in the program, such as 2=em-6-1f; may be given again.
    #[arg(long = "tool", value_name = "NUMBER=NAME", value_parser = numbered)]
    pub tools: Vec<(u32, String)>,
    /// What you call the job; else the name of the program or template.
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Prints one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Longest title, in characters.
const LONGEST_TITLE: usize = 80;

fn numbered(text: &str) -> Result<(u32, String), String> {
    let wrong = || "write a number and the name of a tool, such as 2=em-6-1f".to_owned();
    let (number, name) = text.split_once('=').ok_or_else(wrong)?;
    let number = number.trim().trim_start_matches(['T', 't']);
    Ok((number.parse().map_err(|_| wrong())?, name.trim().to_owned()))
}

/// The path of a program as a record keeps it: a record is UTF-8 text, and another name would lead to no file.
fn named(path: &Path) -> Result<String, Problem> {
    path.to_str().map(str::to_owned).ok_or_else(|| {
        Problem::user("begin a job")
            .at(plain::text(&path.to_string_lossy()))
            .because("the name of this program is no UTF-8, and a record could not keep it")
            .hint("Give the file, or the folder, another name.")
    })
}

/// Runs the command.
///
/// # Errors
///
/// A file that cannot be opened or whose name no record can keep, a name that no profile has, a folder that cannot be written.
pub fn run(
    args: &Args,
    sessions: Option<&Path>,
    world: &mut dyn World,
) -> Result<Outcome, Problem> {
    let library = library::load(world);
    let mut assumed = vec![];
    let machine = chosen(
        &library.machines,
        args.machine.as_deref(),
        "machine",
        &mut assumed,
    )?;
    let material = chosen(
        &library.materials,
        args.material.as_deref(),
        "material",
        &mut assumed,
    )?;
    let for_app = model::Library {
        machines: vec![],
        materials: vec![],
        tools: library.tools.items().to_vec(),
        cautions: library.cautions.items().to_vec().into(),
        templates: vec![],
        emergency_number: None,
        faults: vec![],
        demo: None,
    };
    let mut rack = named_tools(&args.tools, &library)?;
    if args.program.is_none() && args.template.is_none() && args.title.is_none() {
        return Err(Problem::user("begin a job")
            .because("nothing says what it is")
            .hint("Name a --program, a --template, or a --title for a job by hand."));
    }
    let program = match &args.program {
        None => None,
        Some(path) => Some(ProgramRead {
            summary: check::read_file(path, &ReadOptions::default(), world)?,
            file: named(&world.absolute(path))?,
            is_built_in: false,
        }),
    };
    let mut setups = vec![];
    let mut from_template = None;
    if let Some(name) = &args.template {
        let template = by_name(&library.templates, name, "template")?;
        let (planned, tools) = new_job::from_template(&for_app, template);
        from_template = Some(template.title.clone());
        setups = planned;
        // The template's places in its own rack are moved behind the tools that were named.
        let shift = rack.len();
        for operation in setups.iter_mut().flat_map(|setup| &mut setup.operations) {
            operation.tool = operation.tool.map(|place| place + shift);
        }
        rack.extend(tools);
    } else if let Some(read) = &program {
        setups.push(new_job::program_setup(&read.summary, &rack));
    }
    let job = NewJob {
        title: title(args, from_template)?,
        machine: machine.clone(),
        material: material.clone(),
        rack,
        setups,
        program,
        stated: Conditions::new(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        job_id: None,
    };
    let session = new_job::session(&for_app, job, world.now());
    let state = session.state();
    let path = world.create_session(sessions, state)?;
    let printed = if args.json {
        print::json(world, &object(&path, state, &assumed))
    } else {
        print::out(world, &text(&path, state, &assumed))
    };
    let file = plain::text(&path.display().to_string());
    let outcome = print::after_writing(world, "the session", &file, printed);
    let has_stops = state
        .current_setup()
        .program
        .as_ref()
        .is_some_and(|program| !program.stops.is_empty());
    Ok(if has_stops {
        Outcome::LookFirst
    } else {
        outcome
    })
}

/// The profile that was named, else the first, which is then said to be assumed.
fn chosen<'l, T: Named>(
    shelf: &'l Shelf<T>,
    name: Option<&str>,
    what: &str,
    assumed: &mut Vec<String>,
) -> Result<&'l T, Problem> {
    if let Some(name) = name {
        return by_name(shelf, name, what);
    }
    let first = shelf.items().first().ok_or_else(|| {
        Problem::internal(format!("find any {what}")).hint("See millside profile check.")
    })?;
    assumed.push(format!(
        "The {what} is {}: name another with --{what}.",
        first.name()
    ));
    Ok(first)
}

fn by_name<'l, T: Named>(shelf: &'l Shelf<T>, name: &str, what: &str) -> Result<&'l T, Problem> {
    shelf.get(name).ok_or_else(|| {
        let names = shelf.names();
        let near = near::names(name, &names);
        let hint = match near.first() {
            Some(near) => format!("Did you mean {near}? See millside profile list."),
            None => "See millside profile list.".to_owned(),
        };
        let shown = plain::text(name);
        Problem::user(format!("begin the job: there is no {what} \"{shown}\"")).hint(hint)
    })
}

fn named_tools(named: &[(u32, String)], library: &Library) -> Result<Vec<RackTool>, Problem> {
    let mut rack: Vec<RackTool> = vec![];
    for (number, name) in named {
        if rack.iter().any(|tool| tool.number == Some(*number)) {
            return Err(Problem::user(format!("take two tools of number {number}"))
                .hint("Name each number once."));
        }
        rack.push(RackTool {
            number: Some(*number),
            tool: by_name(&library.tools, name, "tool")?.clone(),
            stick_out: None,
        });
    }
    Ok(rack)
}

/// What the person calls the job, else the program's or template's name.
fn title(args: &Args, template: Option<String>) -> Result<String, Problem> {
    if let Some(title) = &args.title {
        let title = title.trim();
        let length = title.chars().count();
        let wrong = if title.is_empty() {
            "it is empty".to_owned()
        } else if title.chars().any(plain::is_hidden) {
            "it has control or invisible characters".to_owned()
        } else if length > LONGEST_TITLE {
            format!("it is {length} characters long")
        } else {
            return Ok(title.to_owned());
        };
        return Err(Problem::user("take this title")
            .because(wrong)
            .hint(format!("Write 1 to {LONGEST_TITLE} characters of text.")));
    }
    let stem = args.program.as_deref().and_then(Path::file_stem);
    let stem = stem.map(|stem| plain::cut(&stem.to_string_lossy(), LONGEST_TITLE));
    Ok(template.or(stem).unwrap_or_else(|| "new job".to_owned()))
}

/// The tool of an operation: its title, else its number in the program.
fn tool_words(state: &State, operation: &Operation) -> String {
    let planned = operation.tool.and_then(|place| state.rack.get(place));
    let number = operation.part.as_ref().and_then(|part| part.tool_number);
    match (planned, number) {
        (Some(rack), _) => plain::text(&rack.tool.title),
        (None, Some(number)) => format!("T{number}, not chosen yet"),
        (None, None) => "no tool yet".to_owned(),
    }
}

fn time(seconds: f64) -> String {
    show::duration(quantity::second(seconds))
}

fn text(path: &Path, state: &State, assumed: &[String]) -> String {
    let path = plain::text(&path.display().to_string());
    let mut out = String::new();
    // Writing to a string cannot fail, here and below.
    let _ = writeln!(out, "{path}\n");
    let _ = writeln!(out, "{}", plain::text(&state.head.title));
    let _ = writeln!(
        out,
        "{}; {}",
        plain::text(&state.machine.title),
        plain::text(&state.material.title)
    );
    for (place, setup) in state.setups.iter().enumerate() {
        let title = plain::text(&setup.title);
        let _ = writeln!(out, "\nSetup {}: {title}", place + 1);
        for (index, operation) in setup.operations.iter().enumerate() {
            let estimate = operation.estimate_s.map_or_else(String::new, |seconds| {
                let word = if operation.is_timed {
                    "about"
                } else {
                    "at least"
                };
                format!(", {word} {}", time(seconds))
            });
            let _ = writeln!(
                out,
                "  {:2}  {} ({}): {}{estimate}",
                index + 1,
                plain::text(&operation.title),
                operation.kind.word(),
                tool_words(state, operation)
            );
        }
        if setup.operations.is_empty() {
            out.push_str("  no operations yet\n");
        }
        program_lines(&mut out, setup);
    }
    if !assumed.is_empty() {
        out.push_str("\nAssumed\n");
        for line in assumed {
            let _ = writeln!(out, "  {line}");
        }
    }
    let _ = writeln!(out, "\nGo on with: millside open {path}");
    out
}

fn program_lines(out: &mut String, setup: &Setup) {
    let Some(program) = &setup.program else {
        return;
    };
    for stop in &program.stops {
        let _ = writeln!(
            out,
            "  stop  {}: {}",
            plain::text(&stop.id),
            plain::text(&stop.message)
        );
    }
    let _ = writeln!(
        out,
        "  program: {} stop, {} warn, {} note; see millside check",
        program.stops.len(),
        program.warnings,
        program.notes
    );
}

fn object(path: &Path, state: &State, assumed: &[String]) -> Value {
    let operation = |operation: &Operation| {
        let planned = operation.tool.and_then(|place| state.rack.get(place));
        let part = operation.part.as_ref();
        json!({
            "title": operation.title,
            "kind": operation.kind.word(),
            "tool": planned.map(|rack| rack.tool.name.clone()),
            "tool_number": part.and_then(|part| part.tool_number),
            "first_line": part.map(|part| part.first_line),
            "last_line": part.map(|part| part.last_line),
            "at_least_s": operation.estimate_s.filter(|_| !operation.is_timed),
            "estimated_s": operation.estimate_s.filter(|_| operation.is_timed),
        })
    };
    let program = |setup: &Setup| {
        setup.program.as_ref().map(|program| {
            let stops: Vec<Value> = program
                .stops
                .iter()
                .map(|stop| json!({ "id": stop.id, "message": stop.message }))
                .collect();
            json!({
                "file": program.file,
                "sha256": program.sha256,
                "size_bytes": program.bytes,
                "at_least_s": program.time_s,
                "stops": stops,
                "warnings": program.warnings,
                "notes": program.notes,
            })
        })
    };
    let setups: Vec<Value> = state
        .setups
        .iter()
        .map(|setup| {
            let operations: Vec<Value> = setup.operations.iter().map(operation).collect();
            json!({
                "title": setup.title,
                "program": program(setup),
                "operations": operations,
            })
        })
        .collect();
    json!({
        "format": 1,
        "file": path.display().to_string(),
        "session_id": state.head.session_id,
        "job_id": state.head.job_id,
        "title": state.head.title,
        "machine": state.machine.name,
        "material": state.material.name,
        "setups": setups,
        "assumed": assumed,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tool_is_named_by_its_number_with_or_without_t() {
        assert_eq!(numbered("2=em-6-1f"), Ok((2, "em-6-1f".to_owned())));
        assert_eq!(
            numbered("T12 = drill-3.3"),
            Ok((12, "drill-3.3".to_owned()))
        );
        assert!(numbered("em-6-1f").is_err());
        assert!(numbered("-1=em-6-1f").is_err());
        assert!(numbered("99999999999=em-6-1f").is_err());
    }
}
