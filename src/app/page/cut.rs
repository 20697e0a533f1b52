//! Recipe, air run and the gate before the cut.

use crate::app::act::Act;
use crate::app::answering;
use crate::app::cards;
use crate::app::care;
use crate::app::field;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page::critical_lines;
use crate::app::page::field_row;
use crate::app::page::rows_of_list;
use crate::app::page::set;
use crate::app::page::set::doubt;
use crate::app::pilots;
use crate::app::recipe;
use crate::app::recipe::shown;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::app::threads;
use crate::app::ways;
use crate::app::z_ways;
use crate::job::caution::Phase as Pause;
use crate::job::holding::HEADS_UNKNOWN;
use crate::job::holding::Holding;
use crate::job::machine::SpeedSetBy;
use crate::job::mishap::Mishap;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::typed::plain;
use crate::program::code;
use crate::program::machine_z;
use crate::quantity;
use crate::quantity::show;
use crate::session::air;
use crate::session::care as session_care;
use crate::session::clock::Phase;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::gate::Lists;
use crate::session::state::State;
use crate::session::state::Step;

pub(in crate::app) fn recipe(model: &Model, state: &State) -> Vec<Row> {
    let Some(operation) = state.current_operation() else {
        return vec![Row::Text("Add an operation first, at program.".to_owned())];
    };
    if !operation.kind.is_cut() {
        return vec![Row::Text(format!(
            "{} is bench work: no recipe.",
            operation.title
        ))];
    }
    let mut rows = vec![Row::Head(format!("RECIPE FOR {}", operation.title))];
    let Some(work) = &model.work else { return rows };
    let is_taken = work.calculated.as_ref().is_some_and(|calculated| {
        let taken = operation.recipe.as_ref();
        taken.is_some_and(|taken| *taken == recipe::decided(calculated))
    });
    rows.extend(if is_taken {
        still_open(state)
    } else {
        doubt(state, FactKind::Recipe)
    });
    match &work.calculated {
        None => {
            let why = work.no_recipe.clone();
            let why = why.map_or(
                "Plan a tool first: the recipe follows from it.".to_owned(),
                |why| format!("No recipe: {why}."),
            );
            rows.push(Row::Text(why));
            rows.extend(threads::rows(model, state, operation));
            rows.extend(threads::field(model, operation));
            let lacks_rating = state
                .planned_tool()
                .and_then(|index| state.rack.get(index))
                .is_some_and(|rack| rack.tool.lacks_speed_rating());
            if lacks_rating {
                rows.extend(set::speed_rating(model, state));
            }
            // What is fixed stays in reach, or nobody could mend it.
            rows.extend(pilots::field(model, state, operation));
            for (field, value) in recipe::fixed_now(model, operation) {
                rows.push(Row::Field {
                    field,
                    label: field.label(),
                    value: plain(value),
                    note: "fixed; 3 lets it follow".to_owned(),
                    mark: Mark::Redo,
                });
            }
        }
        Some(calculated) => {
            let asked = recipe::FIELDS.iter().filter(|field| {
                // A hole is as wide as its tool.
                **field != Field::Stepover || !operation.kind.is_hole()
            });
            for field in asked {
                rows.push(shown::row(model, calculated, *field));
            }
            rows.extend(pilots::field(model, state, operation));
            rows.extend(threads::field(model, operation));
            rows.extend(calculated.unchecked.clone().map(Row::Text));
            rows.push(Row::Do {
                act: Act::TakeRecipe,
                text: if is_taken {
                    "this recipe is taken".to_owned()
                } else {
                    "take this recipe".to_owned()
                },
                mark: if is_taken { Mark::Good } else { Mark::Open },
            });
            if !calculated.next_words.is_empty() {
                let next = &calculated.next_words;
                rows.push(Row::Text(format!("Next, if it runs well: {next}.")));
            }
            if let Some(in_steps) = &calculated.in_steps {
                rows.extend(pilots::rows(operation, in_steps));
            }
            rows.extend(ways::rows(&calculated.ways));
            rows.extend(
                shown::limit_words(model, calculated)
                    .into_iter()
                    .map(Row::Text),
            );
            if state.machine.spindle.speed_set_by == SpeedSetBy::Hand {
                let read = operation.read_rpm.map(|rpm| show::rpm(quantity::rpm(rpm)));
                rows.push(field_row(model, Field::ReadRpm, read));
            }
            let heard: Vec<f64> = state.heard.iter().map(|mode| mode.hz).collect();
            let held = (!heard.is_empty()).then(|| field::frequency_words(&heard));
            rows.push(field_row(model, Field::Heard, held));
        }
    }
    rows.push(Row::Text(
        "Starting points: the machine's manual and qualified people come first.".to_owned(),
    ));
    rows
}

/// What is open once the recipe is taken again: that it is set, which is seen at the machine and answered in the list before the cut.
fn still_open(state: &State) -> Option<Row> {
    match state.fact(FactKind::Recipe) {
        FactState::Redo { since, what } => Some(Row::Text(format!(
            "Since {} {}: the recipe is taken; that it is set at the machine is asked in the list before the cut.",
            since.format("%H:%M"),
            what.row().words
        ))),
        _ => None,
    }
}

/// Moves of Z in machine coordinates shown; more are counted.
const MOST_MACHINE_Z: usize = 6;

/// Common practice, no source.
const SPINDLE_OFF: &str =
    "The spindle stays off in the air run: off at its own switch, for the program may turn it on.";

pub(in crate::app) fn air(model: &Model, state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let mut rows = vec![Row::Head("FIRST RUN IN THE AIR, ABOVE THE PART".to_owned())];
    rows.extend(doubt(state, FactKind::AirRun));
    let (least, over) = air::least_raise(state);
    let mut how = vec![SPINDLE_OFF.to_owned()];
    if setup.holding.is_none() {
        how.push(
            "What holds the part is not stated yet: raise Z above all that stands on the table."
                .to_owned(),
        );
    }
    how.extend(air::taken_through(state));
    how.extend(air::goes_to(state));
    let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
    let in_machine = checked.map_or(&[][..], |checked| checked.summary.machine_z.as_slice());
    if !in_machine.is_empty() {
        how.push(machine_z::NOT_RAISED.to_owned());
        how.extend(machine_z::lines(in_machine, MOST_MACHINE_Z));
        how.push(
            "Look at each before the dry run: nothing may stand in its way at that height."
                .to_owned(),
        );
    }
    match &setup.raised {
        Some(raised) => {
            rows.push(Row::Text(format!(
                "Z is raised by {}. Run the program above the part, hand on feed hold.",
                raised.text
            )));
            rows.extend(how.into_iter().map(Row::Text));
            rows.push(Row::Text(
                "Then put Z back, go to the reference, and enter what Z reads there.".to_owned(),
            ));
            rows.push(field_row(model, Field::PutBack, None));
        }
        None if setup.holding.as_ref().is_some_and(Holding::heads_unknown) => {
            rows.push(Row::Text(HEADS_UNKNOWN.to_owned()));
            rows.push(Row::Text(
                "Z must be raised above the highest screw head.".to_owned(),
            ));
            rows.extend(how.into_iter().map(Row::Text));
            rows.extend(air_fields(model, state));
        }
        None => {
            rows.push(Row::Text(format!(
                "Raise Z at the control by more than {} mm, so that the deepest cut stays above \
                 {}; then say by how much.",
                plain(least),
                over.words()
            )));
            rows.extend(how.into_iter().map(Row::Text));
            rows.extend(air_fields(model, state));
        }
    }
    if state.fact(FactKind::AirRun).is_good() && setup.raised.is_none() {
        let text = match &setup.air_left_out {
            Some(reason) => format!("The air run is left out: {reason}"),
            None => "The program has run in the air here.".to_owned(),
        };
        rows.push(Row::Text(text));
    }
    rows
}

/// What the dry run was raised by, or why it was left out; the one that was not needed waits for nothing.
fn air_fields(model: &Model, state: &State) -> Vec<Row> {
    let left_out = state.current_setup().air_left_out.clone();
    let done = match state.fact(FactKind::AirRun) {
        FactState::Good { value, .. } if left_out.is_none() => Some(value.unwrap_or_default()),
        _ => None,
    };
    let raised = done.as_deref().and_then(|words| {
        let by = words.strip_prefix("raised by ")?;
        Some(by.strip_suffix(", put back").unwrap_or(by).to_owned())
    });
    let is_known = done.is_some() || left_out.is_some();
    let mut rows = vec![field_row(model, Field::Raise, raised)];
    if left_out.is_some() || done.is_none() {
        rows.push(field_row(model, Field::NoAir, left_out));
    }
    for row in &mut rows {
        if let Row::Field { mark, value, .. } = row
            && is_known
            && value.is_empty()
        {
            *mark = Mark::Optional;
        }
    }
    rows
}

pub(in crate::app) fn cut(model: &Model, lists: &Lists<'_>) -> Vec<Row> {
    let state = lists.state;
    let Some(operation) = state.current_operation() else {
        return vec![Row::Text("Add an operation first, at program.".to_owned())];
    };
    if operation.progress.is_done() {
        // What a stop left open is not done with the operation.
        let mut rows = rows_of_list(model, state, lists.get(ListKind::Recovery));
        if !rows.is_empty() {
            rows.push(Row::Gap);
        }
        rows.extend(done_rows(state));
        return rows;
    }
    let first = lists.get(ListKind::Start).first.clone();
    let mut rows = rows_of_list(model, state, lists.get(ListKind::Recovery));
    if rows.is_empty() && matches!(state.phase(), Some(Phase::Waiting | Phase::Paused)) {
        let act = cards::first_act(model, Mishap::Other).into_iter().next();
        rows.push(Row::Text(format!(
            "The clock waits; the mill does not know it. {}",
            act.unwrap_or_default()
        )));
        rows.push(Row::Head("BEFORE A HAND GOES IN".to_owned()));
        // Not answered: a pause for chips is two lines, when the cut goes on.
        let lines = critical_lines(state, Pause::ChipClearing).into_iter();
        rows.extend(lines.map(Row::Text));
    }
    if !rows.is_empty() {
        rows.push(Row::Gap);
    }
    if !first.is_empty() {
        rows.push(Row::Head("FIRST, each at its own step".to_owned()));
        rows.extend(
            first
                .into_iter()
                .map(|line| Row::Line(ListKind::Start, line)),
        );
        rows.push(Row::Gap);
    }
    let mut start = rows_of_list(model, state, lists.get(ListKind::Start));
    if !start.is_empty() {
        start.insert(1, Row::Text(answering::which_list(state)));
        if let Some(words) = control_at_start(model, state) {
            start.insert(2, Row::Text(words));
        }
        if let Some(words) = z_ways::before_cut(state) {
            start.insert(2, Row::Text(words));
        }
    }
    rows.extend(start);
    if operation.kind == OperationKind::ClampSwap {
        rows.push(Row::Text(swap_words(state)));
    }
    if !operation.remark.is_empty() {
        rows.push(Row::Text(operation.remark.clone()));
    }
    let elsewhere: Vec<_> = gate::obstacles_of(lists)
        .into_iter()
        .filter(|obstacle| obstacle.at != Step::Cut)
        .filter(|obstacle| {
            !rows
                .iter()
                .any(|row| matches!(row, Row::Line(_, line) if line.text == obstacle.words))
        })
        .collect();
    if !elsewhere.is_empty() {
        rows.push(Row::Gap);
        rows.push(Row::Head("ALSO OPEN".to_owned()));
        for obstacle in elsewhere {
            rows.push(Row::Do {
                act: Act::GoTo(obstacle.at),
                text: format!("{}: {}", obstacle.at.word(), obstacle.words),
                mark: Mark::Open,
            });
        }
    }
    rows.extend(offered(state));
    rows
}

/// What the control must stand at, before the first cut of a program that was read; a zero in another work offset is named.
fn control_at_start(model: &Model, state: &State) -> Option<String> {
    let operation = state.current_operation()?;
    let part = operation.part.as_ref()?;
    let checked = model.work.as_ref()?.checked.as_ref()?;
    let mut sections = checked.summary.sections.iter();
    let first = sections.find(|section| section.has_cut())?;
    let is_first = part.first_line == first.first_line && operation.progress == Progress::Planned;
    if !is_first {
        return None;
    }
    let percent = operation
        .recipe
        .as_ref()
        .and_then(|recipe| recipe.override_percent)
        .unwrap_or(100.0);
    let mut words = checked
        .summary
        .start
        .words(&format!("feed override {percent:.0} %"));
    let runs_in = code::system_name(first.work_system);
    let zero = state.current_setup().zero.as_ref();
    if let Some(zero) = zero.filter(|zero| !zero.offset.trim().eq_ignore_ascii_case(runs_in)) {
        words = format!(
            "LOOK: the program runs in {runs_in}, your zero is in {}. {words}",
            zero.offset
        );
    }
    Some(words)
}

/// What to do where clamps change places, or where there may be none. Common practice, no source.
fn swap_words(state: &State) -> String {
    let by = state.current_setup().holding.as_ref().map(|held| held.by);
    match by.filter(|by| by.is_bond()) {
        Some(by) => format!(
            "It is held by {}: where no clamp moves, leave this operation out (0, then Enter).",
            by.word()
        ),
        None => {
            "Put the new clamps on before the old ones come off; the part stays still.".to_owned()
        }
    }
}

/// The return test is offered, not demanded: one row, below all that must be answered.
fn offered(state: &State) -> Option<Row> {
    let when = session_care::return_test_offered(state)?;
    let side = state
        .current_setup()
        .zero
        .as_ref()
        .map_or("", |zero| care::last_approach(zero.point));
    Some(Row::Do {
        act: Act::ReturnTest,
        text: format!("return test {when}, if you like; {side}"),
        mark: Mark::Optional,
    })
}

fn done_rows(state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let mut rows = vec![];
    match setup.next_operation() {
        Some(next) => {
            rows.push(Row::Text("This operation is done.".to_owned()));
            rows.push(Row::Do {
                act: Act::EnterOperation(next),
                text: format!("go on with {}", setup.operations[next].title),
                mark: Mark::Open,
            });
        }
        None => {
            rows.push(Row::Text(
                "Every operation of this setup is done.".to_owned(),
            ));
            rows.push(Row::Do {
                act: Act::GoTo(Step::Measure),
                text: "measure, while the part is still held".to_owned(),
                mark: Mark::Open,
            });
        }
    }
    if let Some(operation) = state.current_operation() {
        rows.push(Row::Do {
            act: Act::OpenAgain(state.operation),
            text: format!("open {} again, with a reason", operation.title),
            mark: Mark::Optional,
        });
    }
    rows
}
