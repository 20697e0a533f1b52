//! Readings, letting go, and what was learned.

use crate::app::act::Act;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page::critical_lines;
use crate::app::page::field_row;
use crate::app::page::list_rows;
use crate::app::page::set::care_row;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::app::sides;
use crate::app::words;
use crate::job::caution::Phase;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::reading::Reading;
use crate::job::reading::Verdict;
use crate::measure::closing;
use crate::measure::closing::Next;
use crate::measure::size;
use crate::measure::size::Cutting;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::gauging;
use crate::session::recovery;
use crate::session::state::State;
use crate::session::state::Step;

pub(in crate::app) fn measure(model: &Model, state: &State) -> Vec<Row> {
    let readings = &state.current_setup().readings;
    let mut rows = vec![Row::Head(
        "READINGS, WHILE THE PART IS STILL HELD AND COOL".to_owned(),
    )];
    rows.extend(on_to_next(state));
    rows.extend(
        due_words(state)
            .into_iter()
            .map(|words| Row::Text(format!("{words}."))),
    );
    if state.current_setup().let_go.is_none() {
        // It is answered in the list before the part is let go.
        let lines = critical_lines(state, Phase::Measuring).into_iter();
        rows.extend(lines.map(Row::Text));
    }
    if readings.is_empty() {
        rows.push(Row::Text(
            "Write down each size that could still be cut again.".to_owned(),
        ));
    }
    for (place, reading) in readings.iter().enumerate() {
        let held = reading.actual.as_ref().map(|actual| actual.text.clone());
        let mut row = field_row(model, Field::Reading(place), held);
        if let Row::Field {
            label, note, mark, ..
        } = &mut row
        {
            *label = format!("{} {}", reading.what, words::tolerance(reading));
            if reading.actual.is_some() {
                *note = size::words(reading, cutting(state));
                // Nothing is changed before the spring pass.
                let springs = matches!(
                    closing::next(reading, deflection_mm(model, state)),
                    Some(Next::SpringPass(_))
                );
                if let Some(left) =
                    size::left(reading).filter(|_| springs && closes(state, reading))
                {
                    *note = left;
                }
                *mark = match reading.verdict() {
                    Verdict::Within => Mark::Good,
                    Verdict::NotMeasured => Mark::Open,
                    Verdict::MetalLeft(_) if waits_for_outside(state, reading) => Mark::Open,
                    Verdict::MetalLeft(_) | Verdict::CutAway(_) => Mark::Redo,
                };
            }
        }
        rows.push(row);
        if closes(state, reading) {
            let words = closing::words(reading, deflection_mm(model, state));
            rows.extend(words.into_iter().map(Row::Text));
        }
        if reading.actual.is_some() {
            let gauge = reading.gauge.as_ref().map(|gauge| gauge.text.clone());
            rows.push(field_row(model, Field::Gauge(place), gauge));
        }
    }
    rows.push(Row::Gap);
    rows.push(field_row(model, Field::SizeWhat, None));
    if model.drafts.contains_key(&Field::SizeWhat) {
        for field in [
            Field::SizeSide,
            Field::SizeBy,
            Field::SizeNominal,
            Field::SizeUpper,
            Field::SizeLower,
            Field::SizeGauge,
        ] {
            rows.push(field_row(model, field, None));
        }
        rows.push(Row::Do {
            act: Act::AddSize,
            text: "add this size".to_owned(),
            mark: Mark::Optional,
        });
    }
    rows
}

/// Back to the work, where a size was gauged in the middle of it: open once nothing is due.
fn on_to_next(state: &State) -> Option<Row> {
    if gauging::made_here(state).is_empty() {
        return None;
    }
    let next = &state.current_operation()?.title;
    Some(Row::Do {
        act: Act::GoTo(Step::Tool),
        text: format!("go on with {next}: its tool"),
        mark: if gauging::due(state).is_empty() {
            Mark::Open
        } else {
            Mark::Optional
        },
    })
}

/// What is to be gauged before the tool in the spindle comes out.
fn due_words(state: &State) -> Vec<String> {
    let readings = &state.current_setup().readings;
    let due = gauging::due(state).into_iter();
    due.filter_map(|place| readings.get(place))
        .map(gauging::words)
        .collect()
}

/// The same on the page where the next tool is fitted: the row that leads there stands in the list before the cut.
pub(in crate::app) fn due_rows(state: &State) -> Vec<Row> {
    due_words(state)
        .into_iter()
        .map(|words| Row::Text(format!("{words}, at measure.")))
        .collect()
}

pub(in crate::app) fn release(model: &Model, state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let mut rows = vec![];
    if setup.let_go.is_none() {
        let left: Vec<&str> = setup
            .operations
            .iter()
            .filter(|operation| !operation.progress.is_done())
            .map(|operation| operation.title.as_str())
            .collect();
        if !left.is_empty() {
            rows.push(Row::Text(format!(
                "Not done yet in this setup: {}.",
                left.join("; ")
            )));
        }
        for reading in &setup.readings {
            if reading.verdict().is_out() {
                rows.push(Row::Text(format!(
                    "{}: {}",
                    reading.what,
                    size::words(reading, cutting(state))
                )));
            }
        }
        let after_stop = recovery::open(state);
        if after_stop > 0 {
            rows.push(Row::Do {
                act: Act::GoTo(Step::Cut),
                text: format!("after the stop {after_stop} open, at cut: Enter goes there"),
                mark: Mark::Redo,
            });
        }
        rows.extend(deburr_row(state));
        rows.extend(list_rows(model, state, ListKind::Release));
        rows.push(Row::Do {
            act: Act::LetGo,
            text: "let the part go: this ends X, Y and Z".to_owned(),
            mark: Mark::Open,
        });
        rows.push(Row::Gap);
        rows.extend(close_rows(model, state));
        return rows;
    }
    rows.push(Row::Head("HOW IT WENT".to_owned()));
    for (place, operation) in setup.operations.iter().enumerate() {
        // What never ran went no way at all.
        let has_run = state.clocks.contains_key(&(state.setup, place));
        if !has_run && operation.outcome.is_none() {
            continue;
        }
        let held = operation
            .outcome
            .as_ref()
            .map(|o| format!("{} {}", o.rating, o.remark));
        let mut row = field_row(model, Field::Rating(place), held);
        if let Row::Field { label, note, .. } = &mut row {
            *label = operation.title.clone();
            if operation.outcome.is_none() && note.is_empty() {
                *note = "1 never again ... 5 just so, then words".to_owned();
            }
        }
        rows.push(row);
    }
    let next = state.setup + 1;
    if let Some(setup) = state.setups.get(next) {
        rows.push(Row::Gap);
        if !setup.plan.is_empty() {
            rows.push(Row::Text(format!("Next: {}", setup.plan)));
        }
        rows.push(Row::Do {
            act: Act::EnterSetup(next),
            text: format!("go on with setup {}: {}", next + 1, setup.title),
            mark: Mark::Open,
        });
    }
    if next >= state.setups.len() {
        rows.extend(sides::row(state));
    }
    rows.push(Row::Gap);
    rows.extend(close_rows(model, state));
    rows
}

/// Deburring, as long as no operation does it: burrs cut hands, and lift the part off its seat on the next side.
fn deburr_row(state: &State) -> Option<Row> {
    let operations = &state.current_setup().operations;
    let deburrs = |operation: &Operation| {
        operation.kind == OperationKind::Chamfer
            || operation.title.to_lowercase().contains("deburr")
    };
    let waits = operations.iter().any(|o| o.kind.is_cut()) && !operations.iter().any(deburrs);
    waits.then(|| Row::Do {
        act: Act::AddDeburr,
        text: "deburr while it is held, spindle stopped: add it as an operation".to_owned(),
        mark: Mark::Optional,
    })
}

/// What is neither finished nor left out, over all setups.
fn open_operations(state: &State) -> Vec<&str> {
    state
        .setups
        .iter()
        .flat_map(|setup| &setup.operations)
        .filter(|operation| !operation.progress.is_done())
        .map(|operation| operation.title.as_str())
        .collect()
}

/// What was learned, and closing the session; the part may stay held for the next one.
fn close_rows(model: &Model, state: &State) -> Vec<Row> {
    let mut rows: Vec<Row> = care_row(model, state).into_iter().collect();
    rows.push(field_row(
        model,
        Field::Learned,
        state
            .wrap_up
            .as_ref()
            .map(|wrap_up| wrap_up.learned.clone()),
    ));
    if state.wrap_up.is_some() {
        let left = open_operations(state);
        if !left.is_empty() {
            rows.push(Row::Text(format!("Left to do: {}.", left.join(", "))));
            rows.push(Row::Do {
                act: Act::NextSession,
                text: "go on with what is left, in a new session".to_owned(),
                mark: Mark::Open,
            });
        }
    }
    let (text, mark) = match &state.wrap_up {
        Some(wrap_up) => (
            format!("closed at {}", wrap_up.at.format("%H:%M")),
            Mark::Good,
        ),
        None => ("close this session".to_owned(), Mark::Optional),
    };
    rows.push(Row::Do {
        act: Act::WrapUp,
        text,
        mark,
    });
    rows
}

/// The list before the person leaves the mill, and the way out of it.
pub(in crate::app) fn leaving(model: &Model, state: &State) -> Vec<Row> {
    let mut rows = list_rows(model, state, ListKind::Leaving);
    let list = gate::list(state, ListKind::Leaving);
    rows.push(Row::Gap);
    rows.push(Row::Do {
        act: Act::LeaveOpen,
        text: "leave with this list open; the record says so".to_owned(),
        mark: Mark::Optional,
    });
    rows.push(Row::Text(
        "Esc or q once more does the same. 4 goes back to the work.".to_owned(),
    ));
    if !list.reminders.is_empty() {
        rows.push(Row::Gap);
        rows.push(Row::Head("REMINDERS, not asked".to_owned()));
    }
    for reminder in &list.reminders {
        rows.push(Row::Text(reminder.clone()));
    }
    rows
}

fn cutting(state: &State) -> Cutting<'_> {
    Cutting {
        radius_mm: radius_mm(state),
        outside_waits: state.current_setup().outside_waits(),
    }
}

fn waits_for_outside(state: &State, reading: &Reading) -> bool {
    !reading.of.grows() && state.current_setup().outside_waits().is_some()
}

/// Whether it is said how to close in on the size: not where its cut is still to come, and not where it was read wrong.
fn closes(state: &State, reading: &Reading) -> bool {
    !waits_for_outside(state, reading) && !size::is_far(reading, cutting(state))
}

/// How far tool and machine are expected to give way at the wall with the recipe on show, mm; of a cutter that cuts sideways.
fn deflection_mm(model: &Model, state: &State) -> Option<f64> {
    radius_mm(state)?;
    let calculated = model.work.as_ref()?.calculated.as_ref()?;
    Some(calculated.deflection_mm)
}

/// Radius of the cutter that is in, if it is one that cuts to size sideways.
fn radius_mm(state: &State) -> Option<f64> {
    let rack = state.in_spindle.and_then(|index| state.rack.get(index))?;
    let tool = &rack.tool;
    tool.kind.cuts_sideways().then_some(tool.diameter_mm / 2.0)
}
