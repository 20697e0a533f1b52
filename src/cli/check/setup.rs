//! From the options of `check` and `time` to what the core wants.

use std::path::Path;
use std::time::Duration;

use chrono::DateTime;

use crate::app::checking;
use crate::check::Against;
use crate::check::against::Limits;
use crate::check::against::ToolFacts;
use crate::cli::care;
use crate::cli::check::given::StatedTool;
use crate::cli::check::name_of;
use crate::cli::library;
use crate::cli::world::World;
use crate::job::caution::Cautions;
use crate::job::machine::Machine;
use crate::measure::backlash::Axis;
use crate::plain;
use crate::problem::Problem;
use crate::profile::library::Library;
use crate::record::read;
use crate::session::care_log;
use crate::session::moment::Moment;

/// The machine of a name.
///
/// # Errors
///
/// A name that no profile has.
pub fn machine(name: &str, world: &dyn World) -> Result<Machine, Problem> {
    let library = library::load(world);
    let found = library.machines.get(name).cloned();
    found.ok_or_else(|| no_machine(name, &library))
}

/// Says that no profile of a machine has this name, and which names there are.
pub fn no_machine(name: &str, library: &Library) -> Problem {
    Problem::user("find the machine")
        .at(plain::text(name))
        .because("no profile has this name")
        .hint(format!(
            "Name one of: {}.",
            library.machines.names().join(", ")
        ))
}

/// The stated tools with their facts.
///
/// # Errors
///
/// A name that no profile has.
pub fn tools(stated: &[StatedTool], world: &dyn World) -> Result<Vec<(u32, ToolFacts)>, Problem> {
    let library = if stated.iter().any(|tool| tool.facts.is_none()) {
        library::load(world)
    } else {
        Library::default()
    };
    stated
        .iter()
        .map(|tool| {
            let facts =
                match &tool.facts {
                    Some(facts) => facts.clone(),
                    None => library
                        .tools
                        .get(&tool.text)
                        .map(ToolFacts::of)
                        .ok_or_else(|| {
                            Problem::user("find the tool")
                        .at(plain::text(&tool.text))
                        .because("no profile has this name")
                        .hint("List them with millside profile list, or state the tool in words.")
                        })?,
                };
            Ok((tool.number, facts))
        })
        .collect()
}

/// The setup of a session's record.
///
/// # Errors
///
/// A file that cannot be read or is no session.
pub fn session(path: &Path, world: &dyn World) -> Result<Against, Problem> {
    let raw = world.read(path, read::LONGEST).map_err(|error| {
        Problem::user("read the session")
            .at(name_of(path))
            .from_error(error)
            .hint("Look at its spelling, or write its whole path.")
    })?;
    // Nothing of it will run, so no clock is needed.
    let at = Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    };
    let state = read::bytes(&raw, Cautions::default(), at).map_err(|error| {
        Problem::user("read the session")
            .at(name_of(path))
            .because(error.to_string())
    })?;
    let log = care::read(&state.machine.name, world);
    let mut against = checking::against(&state, log.as_deref().unwrap_or_default());
    if log.is_err() {
        against.machine = against.machine.map(without_log);
    }
    Ok(against)
}

/// A broken care log stops no check; where its readings would count, it is said.
fn without_log(mut limits: Limits) -> Limits {
    for from in &mut limits.backlash_from {
        from.push_str("; its care log cannot be read");
    }
    limits
}

/// The limits of a machine, if one is stated.
///
/// # Errors
///
/// A name that no profile has.
pub fn limits(name: Option<&str>, world: &dyn World) -> Result<Option<Limits>, Problem> {
    let Some(name) = name else {
        return Ok(None);
    };
    let machine = machine(name, world)?;
    let limits = Limits::of(&machine);
    Ok(Some(match care::read(name, world) {
        Ok(log) => {
            let read = Axis::ALL.map(|axis| care_log::backlash_of(&machine, &log, axis));
            limits.with_backlash(read)
        }
        Err(_) => without_log(limits),
    }))
}
