//! The rows of each page, built from the model alone.

mod cut;
mod finish;
mod plan;
mod set;
mod shop;

use std::collections::BTreeSet;

use crate::app::checking;
use crate::app::field;
use crate::app::field::Field;
use crate::app::field::Takes;
use crate::app::joining;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::named;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::app::words;
use crate::job::caution;
use crate::job::caution::Caution;
use crate::job::caution::Phase;
use crate::job::caution::Place;
use crate::job::reading::Of;
use crate::job::typed::plain;
use crate::session::called;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::gate::Lists;
use crate::session::known;
use crate::session::lines::Line;
use crate::session::lines::List;
use crate::session::state::State;
use crate::session::state::Step;

/// The rows of the page that is shown.
pub fn rows(model: &Model) -> Vec<Row> {
    rows_with(model, model.state().map(Lists::of).as_ref())
}

fn rows_with(model: &Model, lists: Option<&Lists<'_>>) -> Vec<Row> {
    match model.screen {
        Screen::Jobs => plan::jobs(model),
        Screen::Begin => plan::begin(model),
        Screen::Session => match lists {
            None => vec![],
            Some(lists) if model.leaving.is_some() => finish::leaving(model, lists.state),
            Some(lists) => {
                let state = lists.state;
                let mut rows = at_step(model, lists, state.step);
                rows.extend(shop::rows(state, &rows));
                rows
            }
        },
    }
}

/// Makes the rows on show those of the model as it is now.
pub fn refresh(model: &mut Model) {
    let lists = model.state().map(Lists::of);
    let rows = rows_with(model, lists.as_ref());
    let open = lists.map_or(0, |lists| gate::obstacles_of(&lists).len());
    model.rows = rows;
    model.open = open;
}

/// Fields in which nothing stands, of every step.
pub(super) fn empty_fields(model: &Model) -> BTreeSet<Field> {
    let Some(state) = model.state() else {
        return BTreeSet::new();
    };
    let lists = Lists::of(state);
    let rows = Step::RAIL
        .into_iter()
        .flat_map(|step| at_step(model, &lists, step));
    rows.filter_map(|row| match row {
        Row::Field { field, value, .. } if value.is_empty() => Some(field),
        _ => None,
    })
    .collect()
}

fn at_step(model: &Model, lists: &Lists<'_>, step: Step) -> Vec<Row> {
    let state = lists.state;
    match step {
        Step::Program => plan::program(model, state),
        Step::Stock => set::stock(model, state),
        Step::Hold => set::hold(model, state),
        Step::Xy => set::xy(model, state),
        Step::Tool => set::tool(model, state),
        Step::Z => set::z(model, state),
        Step::Recipe => cut::recipe(model, state),
        Step::Air => cut::air(model, state),
        Step::Cut => cut::cut(model, lists),
        Step::Measure => finish::measure(model, state),
        Step::Release => finish::release(model, state),
    }
}

/// What the field takes here: choices that depend on the job are filled in.
pub fn takes(model: &Model, field: Field) -> Takes {
    match field {
        Field::Machine => Takes::Choice(named::labels(named::machines(&model.library))),
        Field::Material => Takes::Choice(named::labels(named::materials(&model.library))),
        Field::Tool => Takes::Choice(named::labels(named::tools(model))),
        Field::SizeBy => Takes::Choice(model.state().map_or(vec![], |state| {
            let operations = state.current_setup().operations.iter();
            operations
                .filter(|operation| operation.kind.is_cut())
                .map(|operation| operation.title.clone())
                .collect()
        })),
        Field::Lines(_) => Takes::Choice(model.state().map_or(vec![], joining::choices)),
        // Where a hole lies is counted from the zero, to either side.
        Field::Reading(place) if is_place(model, place) => Takes::SignedLength,
        Field::SizeNominal if is_place_drafted(model) => Takes::SignedLength,
        other => other.takes(),
    }
}

fn is_place(model: &Model, place: usize) -> bool {
    let reading = model
        .state()
        .and_then(|state| state.current_setup().readings.get(place));
    reading.is_some_and(|reading| reading.of == Of::Place)
}

fn is_place_drafted(model: &Model) -> bool {
    let Some(text) = model.drafts.get(&Field::SizeSide) else {
        return false;
    };
    let understood = field::understand(&Field::SizeSide.takes(), text);
    matches!(understood, Ok(field::Understood::Words(word)) if word == Of::Place.word())
}

/// A field's row: the draft where something is typed, else what the session holds.
pub(super) fn field_row(model: &Model, field: Field, held: Option<String>) -> Row {
    let text = model
        .drafts
        .get(&field)
        .cloned()
        .or_else(|| held.clone())
        .unwrap_or_default();
    let takes = takes(model, field);
    let (note, mark) = if text.is_empty() {
        (
            String::new(),
            if field.is_optional() && !is_spoil_wanted(model, field) {
                Mark::Optional
            } else {
                Mark::Open
            },
        )
    } else {
        match field::understand(&takes, &text) {
            Ok(understood) => {
                let echo = field::echo(&takes, &understood);
                let note = if echo == text { String::new() } else { echo };
                let is_suggested = held.is_none() && model.drafts.contains_key(&field);
                (note, if is_suggested { Mark::Open } else { Mark::Good })
            }
            Err(why) => (why, Mark::Redo),
        }
    };
    Row::Field {
        field,
        label: field.label(),
        value: text,
        note,
        mark,
    }
}

/// Whether the thickness of the spoil board is asked for because a board lies under the blank.
fn is_spoil_wanted(model: &Model, field: Field) -> bool {
    let says_board = |text: &String| {
        let understood = field::understand(&takes(model, Field::Under), text);
        matches!(understood, Ok(field::Understood::Words(word)) if word == "spoil board")
    };
    field == Field::Spoil && model.drafts.get(&Field::Under).is_some_and(says_board)
}

/// The first row that is marked open and still empty, by its label.
pub fn first_empty(model: &Model) -> Option<String> {
    rows(model).into_iter().find_map(|row| match row {
        Row::Field {
            label,
            value,
            mark: Mark::Open,
            ..
        } if value.is_empty() => Some(label),
        _ => None,
    })
}

/// The lines of a list as rows, with its heading and its end.
fn list_rows(model: &Model, state: &State, kind: ListKind) -> Vec<Row> {
    rows_of_list(model, state, &gate::list(state, kind))
}

fn rows_of_list(model: &Model, state: &State, list: &List) -> Vec<Row> {
    let kind = list.kind;
    let mut rows = vec![];
    if list.lines.is_empty() {
        return rows;
    }
    if state.told.is_none() && kind == ListKind::Power {
        // Said once a job, where nobody passes it by: the first answer takes it away.
        rows.push(Row::Text(
            "A list for a person: its keys do not move or stop the mill.".to_owned(),
        ));
    }
    let open = list.open();
    rows.push(Row::Head(format!(
        "{}   {} of {} answered{}   {}",
        kind.heading(),
        list.answered(),
        list.lines.len(),
        if open == 0 {
            String::new()
        } else {
            format!(", {open} open")
        },
        list.manner.words()
    )));
    if let Some((part, heading)) = list.part_on_show() {
        let place = format!("part {} of {}", part + 1, list.parts.len());
        rows.push(Row::Text(if heading != kind.heading() {
            format!("{place}: {heading}")
        } else if part + 1 < list.parts.len() {
            format!("{place}, the next follows when these are answered")
        } else {
            place
        }));
    }
    let stopped = model.work.as_ref().map(|work| work.stopped.as_slice());
    for stopped in stopped.unwrap_or_default() {
        if stopped.list == kind && open > 0 {
            rows.push(Row::Text(format!(
                "STOPPED AT {} of {}, {} ago. {}",
                stopped.answered,
                stopped.of,
                words::time(stopped.away_s),
                if stopped.away_s > called::AWAY.as_secs_f64() {
                    "From the top, once more."
                } else {
                    "One line back."
                }
            )));
        }
    }
    let shown = list.on_show().into_iter();
    rows.extend(shown.map(|line| Row::Line(kind, with_warnings(model, state, line))));
    if open == 0 {
        let is_answered = called::is_complete(state, list);
        let last = state.ended.iter().rfind(|ended| ended.list == kind);
        rows.push(Row::End {
            list: kind,
            text: match last.filter(|_| is_answered) {
                Some(ended) => ended.text.clone(),
                None => called::words(state, list, model.now),
            },
            is_answered,
        });
    }
    rows
}

/// The line about tool and program says what of the program is doubtful in this operation. It answers nothing.
fn with_warnings(model: &Model, state: &State, mut line: Line) -> Line {
    if line.id == "match-tool-program"
        && let Some(checked) = model.work.as_ref().and_then(|work| work.checked.as_ref())
        && let Some(part) = state.current_operation().and_then(|o| o.part.as_ref())
    {
        // What was accepted is still so.
        let walls = checking::walls_off(state, checked, None).map(|(posted, fitted)| {
            format!(
                "posted for {} mm, {} mm fitted, walls {:.2} mm off",
                plain(posted),
                plain(fitted),
                (posted - fitted).abs() / 2.0
            )
        });
        let warnings = checking::warnings_of(checked, part);
        let all: Vec<String> = [walls, warnings, line.says].into_iter().flatten().collect();
        line.says = (!all.is_empty()).then(|| all.join("; "));
    }
    line
}

/// How a step of the rail stands, for its sign; the facts of the shop that stand there count.
pub fn step_mark(state: &State, step: Step) -> Mark {
    shop::with_facts(state, step, own_mark(state, step))
}

fn own_mark(state: &State, step: Step) -> Mark {
    use crate::session::fact::FactKind;
    // Without switches the position comes with the zero.
    let has_home = state.machine.control.has_home_switches.value;
    let of = |kinds: &[FactKind]| {
        let states: Vec<_> = kinds.iter().map(|kind| state.fact(*kind)).collect();
        if states.iter().any(|fact| fact.word() == "redo") {
            Mark::Redo
        } else if states.iter().all(|fact| fact.is_good()) {
            Mark::Good
        } else {
            Mark::Open
        }
    };
    match step {
        Step::Program => of(&[FactKind::Program]),
        Step::Stock => of(&[FactKind::Stock]),
        Step::Hold => {
            let needed = gate::needs(state);
            let kinds: Vec<FactKind> = [FactKind::ViceTrue, FactKind::Position]
                .into_iter()
                .filter(|kind| needed.contains(kind) && (*kind != FactKind::Position || has_home))
                .collect();
            let facts = of(&kinds);
            let held = state.fact(FactKind::Held);
            let open = gate::list(state, ListKind::Power).open()
                + gate::list(state, ListKind::Setup).open();
            if held.word() == "redo" {
                Mark::Redo
            } else if facts == Mark::Good && (open > 0 || state.current_setup().holding.is_none()) {
                Mark::Open
            } else {
                facts
            }
        }
        Step::Xy => of(&[FactKind::XyZero]),
        Step::Tool => of(&[FactKind::ToolIn]),
        Step::Z => of(&[FactKind::ZReference, FactKind::ToolLength]),
        Step::Recipe => {
            let decided = state
                .current_operation()
                .is_some_and(|o| o.recipe.is_some());
            match of(&[FactKind::Recipe]) {
                Mark::Open if decided => Mark::Good,
                mark => mark,
            }
        }
        Step::Air => of(&[FactKind::AirRun]),
        Step::Cut => {
            let operations = &state.current_setup().operations;
            if !operations.is_empty() && operations.iter().all(|o| o.progress.is_done()) {
                Mark::Good
            } else {
                Mark::Open
            }
        }
        Step::Measure => {
            let readings = &state.current_setup().readings;
            if readings.iter().any(|r| r.verdict().is_out()) {
                Mark::Redo
            } else if !readings.is_empty() && readings.iter().all(|r| r.actual.is_some()) {
                Mark::Good
            } else {
                Mark::Open
            }
        }
        Step::Release => {
            if state.current_setup().let_go.is_some() {
                Mark::Good
            } else {
                Mark::Open
            }
        }
    }
}

/// The critical lines of a phase that no list asks here, to be read before a hand, a brush or a gauge goes in.
fn critical_lines(state: &State, phase: Phase) -> Vec<String> {
    let known = known::conditions(state);
    caution::select(&state.cautions, phase, &known)
        .into_iter()
        .filter(|caution| caution.critical)
        .map(|caution| caution.line.clone())
        .collect()
}

/// What cautions against burning chips guard against, as their data say it.
const METAL_FIRE: &str = "metal fire";

/// What to keep in mind while it cuts, worst first: what the hand at the controls must not do where the metal burns, then the rest. The
/// list is not answered: eyes belong on the cutter.
pub fn cutting_reminders(state: &State) -> Vec<String> {
    let known = known::conditions(state);
    let mut all = caution::select(&state.cautions, Phase::Cutting, &known);
    let lights =
        |caution: &Caution| caution.hazard == METAL_FIRE && caution.place == Place::Controls;
    all.sort_by_key(|caution| !lights(caution));
    all.into_iter()
        .map(|caution| caution.line.clone())
        .collect()
}
