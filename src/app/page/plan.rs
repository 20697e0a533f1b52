//! Jobs, a new job, the program and the operations.

use crate::app::act::Act;
use crate::app::checking;
use crate::app::field::Field;
use crate::app::joining;
use crate::app::model::Model;
use crate::app::model::Way;
use crate::app::page::field_row;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::app::sides;
use crate::app::words;
use crate::plain;
use crate::session::state::State;

pub(in crate::app) fn jobs(model: &Model) -> Vec<Row> {
    let mut rows = vec![];
    for (done, heading) in [(false, "UNFINISHED"), (true, "FINISHED")] {
        let of_kind: Vec<_> = model
            .jobs
            .iter()
            .enumerate()
            .filter(|(_, job)| job.is_done == done && job.fault.is_none())
            .collect();
        if of_kind.is_empty() {
            continue;
        }
        rows.push(Row::Head(heading.to_owned()));
        for (place, job) in of_kind {
            let cut = match job.estimate_s {
                Some(estimate) => format!(
                    "cut {} of {}",
                    words::time(job.actual_s),
                    words::time(estimate)
                ),
                None => format!("cut {}", words::time(job.actual_s)),
            };
            let times = if done {
                cut
            } else {
                format!("{cut}   stands at {}", job.stands_at)
            };
            rows.push(Row::Do {
                act: Act::Open(place),
                text: format!("{}   {}   {}", job.title, times, job.last_seen),
                mark: if done { Mark::Good } else { Mark::Open },
            });
        }
        rows.push(Row::Gap);
    }
    rows.push(Row::Head("BEGIN".to_owned()));
    for (way, text) in [
        (
            Way::Demo,
            "the demo job: star-tracker base plate, no file of yours needed",
        ),
        (Way::Program, "a job from a G-code program"),
        (Way::Template, "a job from a template"),
        (Way::Hand, "a job by hand"),
    ] {
        let can = way != Way::Demo || model.library.demo.is_some();
        if can {
            rows.push(Row::Do {
                act: Act::NewJob(way),
                text: text.to_owned(),
                mark: Mark::Optional,
            });
        }
    }
    let (number, mark) = match &model.library.emergency_number {
        Some(number) => (plain::text(number), Mark::Good),
        None => ("not entered: the card shows it".to_owned(), Mark::Optional),
    };
    rows.push(Row::Gap);
    rows.push(Row::Head("YOUR SHOP".to_owned()));
    rows.push(Row::Do {
        act: Act::EnterNumber,
        text: format!("emergency number   {number}"),
        mark,
    });
    let faulty: Vec<_> = model
        .jobs
        .iter()
        .filter(|job| job.fault.is_some())
        .collect();
    if !faulty.is_empty() {
        rows.push(Row::Gap);
        rows.push(Row::Head("COULD NOT BE READ (left as they are)".to_owned()));
        for job in faulty {
            let why = job.fault.as_deref().unwrap_or_default();
            rows.push(Row::Text(format!("{}: {why}", job.path.display())));
        }
    }
    if !model.library.faults.is_empty() {
        rows.push(Row::Gap);
        rows.push(Row::Head(
            "OWN PROFILES LEFT OUT (millside profile check says more)".to_owned(),
        ));
        rows.extend(
            model
                .library
                .faults
                .iter()
                .map(|fault| Row::Text(fault.clone())),
        );
    }
    rows
}

pub(in crate::app) fn begin(model: &Model) -> Vec<Row> {
    let way = model.begin.way;
    let mut rows = vec![Row::Head(
        match way {
            Way::Program => "A JOB FROM A PROGRAM",
            Way::Template => "A JOB FROM A TEMPLATE",
            Way::Hand => "A JOB BY HAND",
            Way::Demo => "THE DEMO JOB",
        }
        .to_owned(),
    )];
    if way == Way::Program {
        rows.push(field_row(model, Field::Program, None));
        if let Some(program) = &model.begin.program {
            rows.extend(words::program(&program.summary).into_iter().map(Row::Text));
        }
    }
    if way == Way::Demo
        && let Some(demo) = &model.library.demo
    {
        rows.push(Row::Text(format!(
            "{} Program, tools and sizes are filled in: look at each, as at the mill, and answer.",
            demo.demo.about
        )));
        rows.extend(
            words::program_short(&demo.program.summary)
                .into_iter()
                .map(Row::Text),
        );
    }
    if way == Way::Template
        && let Some(template) = model.library.templates.get(model.begin.template)
    {
        rows.push(Row::Do {
            act: Act::NextTemplate,
            text: format!("template: {}   (Enter: the next one)", template.title),
            mark: Mark::Good,
        });
        rows.push(Row::Text(template.about.clone()));
        for setup in &template.setups {
            rows.push(Row::Text(format!("- {}: {}", setup.title, setup.hold)));
        }
    }
    rows.push(Row::Gap);
    for field in [Field::Title, Field::Machine, Field::Material] {
        rows.push(field_row(model, field, None));
    }
    rows.push(Row::Gap);
    rows.push(Row::Do {
        act: Act::BeginNow,
        text: "begin this job".to_owned(),
        mark: Mark::Optional,
    });
    rows
}

pub(in crate::app) fn program(model: &Model, state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let mut rows = vec![];
    if let Some(program) = &setup.program {
        rows.push(field_row(model, Field::Program, Some(program.file.clone())));
        let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
        // What is listed below is what is counted: recipes and sizes raise findings after the program was read.
        let [stops, warnings, notes] = checked.map_or(
            [program.stops.len(), program.warnings, program.notes],
            checking::counts,
        );
        let unknown = if checked.is_some_and(|checked| checked.is_tool_unknown) {
            "; not checked: tool unknown"
        } else {
            ""
        };
        rows.push(Row::Do {
            act: Act::ReadAgain,
            text: format!(
                "read again and check ({stops} stop, {warnings} warn, {notes} note{unknown})"
            ),
            mark: Mark::Good,
        });
        if let Some(work) = &model.work
            && !work.reposted.is_empty()
        {
            rows.push(Row::Text("Posted anew; against the one before:".to_owned()));
            rows.extend(work.reposted.iter().cloned().map(Row::Text));
        }
        for stop in &program.stops {
            match &stop.accepted {
                _ if stop.is_open() && stop.accepted.is_some() => rows.push(Row::Text(format!(
                    "STOP  {}: {} The record holds a reason that accepts it; it does not count: nothing accepts this.",
                    stop.id, stop.message
                ))),
                None => rows.push(Row::Do {
                    act: Act::AcceptStop(stop.id.clone()),
                    text: format!("STOP  {}: {}", stop.id, stop.message),
                    mark: Mark::Redo,
                }),
                Some(reason) => rows.push(Row::Text(format!(
                    "STOP accepted  {}: {} Because: {reason}",
                    stop.id, stop.message
                ))),
            }
        }
        if let Some(checked) = model.work.as_ref().and_then(|work| work.checked.as_ref()) {
            rows.extend(
                checking::lines(checked)
                    .into_iter()
                    .map(|(place, text)| Row::Do {
                        act: Act::LookAt(Some(place)),
                        text,
                        mark: Mark::Optional,
                    }),
            );
            rows.push(Row::Do {
                act: Act::LookAt(None),
                text: "look at the path, from above and from the side".to_owned(),
                mark: Mark::Optional,
            });
            rows.extend(checked.assumed.iter().cloned().map(Row::Text));
            let mut again = field_row(model, Field::BeginAgain, None);
            if let Row::Field { note, value, .. } = &mut again
                && value.is_empty()
            {
                "a line, 214, or min/s into it, 6/40".clone_into(note);
            }
            rows.push(again);
            let again = model.work.iter().flat_map(|work| &work.begin_again);
            rows.extend(again.cloned().map(Row::Text));
        } else {
            rows.push(Row::Text(
                "The file has not been read in this session yet.".to_owned(),
            ));
        }
    } else {
        rows.push(field_row(model, Field::Program, None));
        rows.push(Row::Text(
            "Without a program the mill is moved by hand.".to_owned(),
        ));
    }
    rows.push(Row::Gap);
    rows.push(Row::Head(format!("OPERATIONS OF {}", setup.title)));
    for (place, operation) in setup.operations.iter().enumerate() {
        let tool = operation.tool.and_then(|index| state.rack.get(index));
        let tool = match tool {
            Some(rack) => format!(", {}", rack.tool.title),
            None if operation.kind.is_cut() => ", no tool yet".to_owned(),
            None => String::new(),
        };
        // The title is the plan's: which lines it runs is said beside it.
        let lines = operation.part.as_ref().filter(|_| operation.is_joined);
        let lines = lines.map_or(String::new(), |part| {
            format!(", lines {} to {}", part.first_line, part.last_line)
        });
        let clock = state.clocks.get(&(state.setup, place));
        let actual = clock.map(|clock| clock.read(model.now).at_work().as_secs_f64());
        let estimate = operation.estimate_now_s().map(|seconds| {
            let percent = operation.slowed_to_percent();
            words::estimate(operation.is_timed, seconds, percent)
        });
        let times = words::actual_of_estimate(actual, estimate);
        let estimate = times.map_or(String::new(), |times| format!(", {times}"));
        let here = if place == state.operation { " <" } else { "" };
        rows.push(Row::Do {
            act: Act::EnterOperation(place),
            text: format!(
                "{} {}{tool}{lines}{estimate}, {}{here}",
                place + 1,
                operation.title,
                operation.progress.word()
            ),
            mark: if operation.progress.is_done() {
                Mark::Good
            } else {
                Mark::Optional
            },
        });
        rows.extend(lines_row(model, state, place));
    }
    let estimated = || setup.operations.iter().filter(|o| o.estimate_s.is_some());
    if estimated().any(|operation| !operation.is_timed) {
        rows.push(Row::Text(
            "At least: acceleration, rapids, tool changes and your own hands come on top."
                .to_owned(),
        ));
    } else if estimated().next().is_some() {
        rows.push(Row::Text(
            "About, at the override shown, else 100 % of the programmed feeds: acceleration and rapids as the machine's profile has them; \
             spindle starts, tool changes and your own hands come on top."
                .to_owned(),
        ));
    }
    rows.push(field_row(model, Field::OperationTitle, None));
    if model.drafts.contains_key(&Field::OperationTitle) {
        rows.push(field_row(model, Field::OperationKind, None));
        rows.push(Row::Do {
            act: Act::AddOperation,
            text: "add this operation at the end".to_owned(),
            mark: Mark::Optional,
        });
    }
    if !setup.plan.is_empty() {
        rows.push(Row::Text(format!("Plan: {}", setup.plan)));
    }
    rows.extend(sides::others(state));
    rows.extend(sides::row(state));
    rows
}

/// A planned operation without lines of the program takes those of one that the program brought, so that none stands twice.
fn lines_row(model: &Model, state: &State, place: usize) -> Option<Row> {
    let operation = state.current_setup().operations.get(place)?;
    if !joining::wants_lines(operation) || joining::choices(state).is_empty() {
        return None;
    }
    let mut row = field_row(model, Field::Lines(place), None);
    if let Row::Field { note, .. } = &mut row
        && note.is_empty()
    {
        "Enter chooses them: then it stands once".clone_into(note);
    }
    Some(row)
}
