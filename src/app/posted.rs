//! The program of the setup in work: read, checked, read again when it is posted anew.

use crate::app::applying::apply;
use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::field;
use crate::app::field::Field;
use crate::app::field::Takes;
use crate::app::field::Understood;
use crate::app::following;
use crate::app::joining;
use crate::app::message::ProgramRead;
use crate::app::model::Model;
use crate::app::new_job;
use crate::app::recipe;
use crate::app::reposted;
use crate::app::words;
use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::program::summary::RestartPoint;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::ProgramCopy;
use crate::session::state::State;

/// The demo's program needs no file.
pub(super) fn demo_program(model: &Model, program: &ProgramCopy) -> Option<ProgramRead> {
    let demo = model.library.demo.as_ref()?;
    program.is_built_in.then(|| demo.program.clone())
}

pub(super) fn program_read(
    model: &mut Model,
    read: Result<ProgramRead, String>,
    asked: bool,
    at: Moment,
) -> Vec<Effect> {
    let mut is_start = false;
    if let Some(work) = &mut model.work {
        work.program_seen = at;
        is_start = std::mem::take(&mut work.looks_before_start);
    }
    let Some(state) = model.state() else {
        return vec![];
    };
    let read = match read {
        Ok(read) => read,
        Err(why) if asked => {
            model.refuse(why);
            return vec![];
        }
        Err(_) => return vec![],
    };
    let followed = following::found(model, &read.summary);
    let checked = checking::check(state, read.summary, model.care_entries(), followed);
    let copy = checking::copy(&read.file, read.is_built_in, &checked);
    let before = state.current_setup().program.clone();
    let changed = before.as_ref().is_some_and(|old| old.sha256 != copy.sha256);
    let same = before.as_ref().is_some_and(|old| {
        let ids = |p: &ProgramCopy| p.stops.iter().map(|s| s.id.clone()).collect::<Vec<_>>();
        (&old.file, old.is_built_in) == (&copy.file, copy.is_built_in)
            && old.sha256 == copy.sha256
            && ids(old) == ids(&copy)
            // A closed record, which may be older than these, is left as it is.
            && (old.tops == copy.tops || state.wrap_up.is_some())
    });
    let file = copy.file.clone();
    if let Some(work) = &mut model.work {
        let old = work.checked.replace(checked);
        if let (true, Some(old), Some(new)) = (changed, old, &work.checked) {
            work.reposted = reposted::differences(&old.summary, &new.summary);
            work.begin_again.clear();
        }
    }
    if same
        && model
            .state()
            .is_some_and(|s| s.fact(crate::session::fact::FactKind::Program).is_good())
    {
        return following::ask(model).into_iter().collect();
    }
    let (_, mut effects) = apply(model, Event::ProgramRead(Box::new(copy)), at);
    effects.extend(following::ask(model));
    if asked || changed {
        effects.extend(operations_of(model, at));
    }
    let is_cutting = model.state().and_then(State::phase) == Some(Phase::Cutting);
    if changed && is_start && is_cutting {
        // The cut is not to begin with what nobody has seen.
        effects.extend(apply(model, Event::ClockTurned(Phase::Waiting), at).1);
    }
    if changed {
        model.refuse(format!(
            "the program changed: {file} was read and checked again"
        ));
    } else if asked {
        model.say(format!("{file} was read and checked"));
    }
    recipe::refresh(model);
    effects
}

/// Asks for blocks to begin again at, before the line that was typed, or that the time typed stands for.
pub(super) fn find_restart(model: &mut Model) -> Vec<Effect> {
    let Some(text) = model.drafts.get(&Field::BeginAgain).cloned() else {
        return vec![];
    };
    let Some(state) = model.state() else {
        return vec![];
    };
    let Some(path) = state
        .current_setup()
        .program
        .as_ref()
        .map(|p| (!p.is_built_in).then(|| p.file.clone()))
    else {
        model.refuse("there is no program in this setup");
        return vec![];
    };
    let end = model
        .work
        .as_ref()
        .and_then(|work| work.checked.as_ref())
        .and_then(|checked| checked.summary.sections.iter().map(|s| s.last_line).max());
    let mut why = None;
    let line = match field::understand(&Takes::LineOrTime, &text) {
        Ok(Understood::Line(line)) if end.is_some_and(|end| line > end) => Err(format!(
            "the program ends at line {}: type a line of it",
            end.unwrap_or_default()
        )),
        Ok(Understood::Line(line)) => Ok(line),
        Ok(Understood::After(seconds)) => line_after(model, state, seconds).map(|(line, words)| {
            why = words;
            line
        }),
        _ => return vec![],
    };
    if let Some(work) = &mut model.work {
        // Blocks for another line are not to be taken for these.
        work.begin_again = why.into_iter().collect();
    }
    match line {
        Ok(line) => vec![Effect::FindRestart { path, line }],
        Err(why) => {
            if let Some(work) = &mut model.work {
                work.begin_again = vec![format!("No place to begin again: {why}.")];
            }
            model.refuse(why);
            vec![]
        }
    }
}

/// The line that the operation in work has come to after a time; its last line, and why, where it does not last that long.
///
/// The clock runs at the feeds that are cut: with an override below 100 % the tool has come less far.
fn line_after(model: &Model, state: &State, seconds: f64) -> Result<(u64, Option<String>), String> {
    let operation = state.current_operation();
    let part = operation
        .and_then(|operation| operation.part.as_ref())
        .ok_or("the operation in work runs no part of the program: type a line")?;
    let share = operation
        .and_then(|operation| operation.recipe.as_ref()?.override_percent)
        .map_or(1.0, |percent| (percent / 100.0).min(1.0));
    let kept = model
        .work
        .as_ref()
        .and_then(|work| work.checked.as_ref())
        .and_then(|checked| checked.summary.kept.as_ref())
        .ok_or("the program is too long to be timed here: type a line")?;
    let lines = [part.first_line, part.last_line];
    if let Some(line) = kept.line_after(lines, seconds * share) {
        return Ok((line, None));
    }
    let at = if share < 1.0 {
        format!("at {:.0} % of its programmed feeds", share * 100.0)
    } else {
        "at its programmed feeds".to_owned()
    };
    let why = format!(
        "{} is more than the operation lasts {at}: blocks before its last line, {}. If it stopped earlier, type the line.",
        words::time(seconds),
        part.last_line
    );
    Ok((part.last_line, Some(why)))
}

/// Blocks to begin again at were found, or the file could not be read.
pub(super) fn restart_found(
    model: &mut Model,
    found: Result<Vec<RestartPoint>, String>,
    line: u64,
) {
    let found = match found {
        Ok(found) => found,
        Err(why) => {
            model.refuse(why);
            return;
        }
    };
    let Some(work) = &mut model.work else { return };
    // Why it is that line stands first.
    let why = std::mem::take(&mut work.begin_again).into_iter();
    let words = if found.is_empty() {
        vec![format!(
            "Before line {line} no block stands at clearance height with Z known: begin the section again."
        )]
    } else {
        std::iter::once(format!(
            "Before line {line}, the last first; set all that stands there by hand, then begin with that line:"
        ))
        .chain(found.iter().map(RestartPoint::words))
        .chain(std::iter::once(
            "The choice is yours: look at the blocks, spindle up to speed first, hand on feed hold."
                .to_owned(),
        ))
        .collect()
    };
    work.begin_again = why.chain(words).collect();
}

/// Planned operations that ran sections of another program give way to those of this one;
/// what has begun stays, and so does what is no part of a program.
fn operations_of(model: &mut Model, at: Moment) -> Vec<Effect> {
    let (Some(state), Some(checked)) = (
        model.state(),
        model.work.as_ref().and_then(|work| work.checked.as_ref()),
    ) else {
        return vec![];
    };
    let before = &state.current_setup().operations;
    let tool_of = |number: u32| state.tool_of_number(number);
    let mut new = new_job::operations(&checked.summary, &tool_of);
    new_job::time_on(&mut new, &checked.summary, &state.machine);
    // In the order of the program, wherever the operations stand that run it.
    let sections = |all: &[Operation]| {
        let mut lines: Vec<_> = all.iter().filter_map(lines_of).collect();
        lines.sort_unstable();
        lines
    };
    if sections(before) == sections(&new) {
        return vec![];
    }
    let done: Vec<String> = before
        .iter()
        .filter(|operation| operation.progress != Progress::Planned)
        .map(|operation| operation.title.clone())
        .collect();
    // What the person gave to a planned operation is given again where the program has as many parts as before.
    let again = joined_again(before, &new);
    let mut events: Vec<Event> = before
        .iter()
        .enumerate()
        .rev()
        .filter(|(_, o)| o.progress == Progress::Planned && o.part.is_some())
        .map(|(place, operation)| match operation.is_joined {
            true => Event::OperationParted(place),
            false => Event::OperationRemoved(place),
        })
        .collect();
    events.extend(
        new.into_iter()
            .filter(|operation| !done.contains(&operation.title))
            .map(|operation| Event::OperationAdded(None, Box::new(operation))),
    );
    let mut effects: Vec<Effect> = events
        .into_iter()
        .flat_map(|event| apply(model, event, at).1)
        .collect();
    for (title, lines) in again {
        let join = model.state().and_then(|state| {
            let operations = &state.current_setup().operations;
            let operation = operations
                .iter()
                .position(|o| o.title == title && joining::wants_lines(o))?;
            let from = operations.iter().position(|o| lines_of(o) == Some(lines))?;
            Some(Event::OperationJoined { operation, from })
        });
        effects.extend(join.map_or(vec![], |join| apply(model, join, at).1));
    }
    effects
}

/// First and last line of the part of the program that an operation runs.
fn lines_of(operation: &Operation) -> Option<(u64, u64)> {
    let part = operation.part.as_ref()?;
    Some((part.first_line, part.last_line))
}

/// Operations that the person gave lines of the program, by title, with the lines of the part that stands in the same place now.
fn joined_again(before: &[Operation], new: &[Operation]) -> Vec<(String, (u64, u64))> {
    let mut old: Vec<&Operation> = before.iter().filter(|o| o.part.is_some()).collect();
    if old.len() != new.len() {
        return vec![];
    }
    old.sort_by_key(|operation| lines_of(operation));
    old.into_iter()
        .zip(new)
        .filter(|(old, _)| old.is_joined && old.progress == Progress::Planned)
        .filter_map(|(old, new)| Some((old.title.clone(), lines_of(new)?)))
        .collect()
}

/// Reads the program once more before a start, whatever size and time of the file say: its content is compared.
/// A file that is gone changes nothing, the control has its own copy.
pub(super) fn look_again(model: &mut Model) -> Option<Effect> {
    let program = model.state()?.current_setup().program.as_ref()?;
    let path = program.file.clone();
    if demo_program(model, program).is_some() {
        return None;
    }
    model.work.as_mut()?.looks_before_start = true;
    Some(Effect::ReadProgram {
        path,
        reading: Reading::Needed,
    })
}

/// Checks the program again because something it was checked against changed.
pub(super) fn recheck(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let Some(program) = state.current_setup().program.clone() else {
        return vec![];
    };
    let Some(checked) = model.work.as_ref().and_then(|work| work.checked.clone()) else {
        if let Some(read) = demo_program(model, &program) {
            return program_read(model, Ok(read), false, at);
        }
        return vec![Effect::ReadProgram {
            path: program.file,
            reading: Reading::Needed,
        }];
    };
    let read = ProgramRead {
        file: program.file,
        is_built_in: program.is_built_in,
        summary: checked.summary,
    };
    program_read(model, Ok(read), false, at)
}
