//! Answering lines: so, not so, why, and where the cursor goes next.

use crate::app::act::Act;
use crate::app::applying::apply;
use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::form;
use crate::app::looking;
use crate::app::model::Model;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::page;
use crate::app::perform;
use crate::app::recipe;
use crate::app::row;
use crate::app::row::Row;
use crate::session::event::Answer;
use crate::session::event::Event;
use crate::session::gate;
use crate::session::gate::LineState;
use crate::session::gate::Way as LineWay;
use crate::session::moment::Moment;
use crate::session::state::Step;

/// The first row that still wants something, so that the next key has its use.
pub(super) fn first_open_row(model: &Model) -> usize {
    let rows = page::rows(model);
    let places = row::choosable(&rows);
    places
        .iter()
        .position(|place| wants(&rows[*place]))
        .unwrap_or(0)
}

/// Whether a row waits for the person. What is filled in waits in the row that takes the form.
pub(super) fn wants(row: &Row) -> bool {
    match row {
        Row::Line(_, line) => line.state != LineState::Answered,
        Row::Field { mark, value, .. } => {
            *mark == row::Mark::Redo || (*mark == row::Mark::Open && value.is_empty())
        }
        Row::Do { mark, .. } => matches!(mark, row::Mark::Open | row::Mark::Redo),
        _ => false,
    }
}

pub(super) fn so(model: &mut Model, at: Moment) -> Vec<Effect> {
    let rows = page::rows(model);
    let Some(Row::Line(kind, line)) = row::chosen(&rows, model.cursor).cloned() else {
        if let Some(Row::Do { act, .. }) = row::chosen(&rows, model.cursor)
            && matches!(
                act,
                Act::Fit
                    | Act::XySet
                    | Act::PointSeen(_)
                    | Act::TakeForm(_)
                    | Act::TakeRecipe
                    | Act::TakeWay(_)
                    | Act::ReferenceSet
            )
        {
            return perform::perform(model, act.clone(), at);
        }
        model.say("1 answers a line; Enter fills in a field");
        return vec![];
    };
    if let LineWay::At(step) = line.way {
        model.refuse(format!("it needs a value: Enter goes to {}", step.word()));
        return vec![];
    }
    if line.state == LineState::Answered {
        model.say(format!("answered already: {}", line.word));
        return vec![];
    }
    let since = model.work.as_ref().map_or(at, |work| work.row_since);
    let shown = at.since(since);
    if line.critical && shown < gate::LEAST_SHOW {
        // A held key, or keys typed before the line was on show.
        model.say("look first: a line takes its answer when it has been on show a moment");
        return vec![];
    }
    let event = Event::Answered {
        list: kind,
        line: line.id.clone(),
        answer: Answer::So,
        shown,
    };
    let (took, effects) = apply(model, event, at);
    if took {
        recipe::refresh(model);
        next_open(model);
        if let Some(list) = model.state().map(|state| gate::list(state, kind)) {
            let open = list.open();
            if open == 0 {
                model.say(format!(
                    "{}: {} of {} answered, {}",
                    kind.heading().to_lowercase(),
                    list.answered(),
                    list.lines.len(),
                    at.wall.format("%H:%M")
                ));
            }
        }
    }
    effects
}

/// The cursor goes to the next line that is open, never past the list's end.
pub(super) fn next_open(model: &mut Model) {
    let rows = page::rows(model);
    let places = row::choosable(&rows);
    let from = model.cursor.min(places.len());
    let ahead = places
        .iter()
        .enumerate()
        .skip(from)
        .find(|(_, place)| wants(&rows[**place]));
    let any = places
        .iter()
        .enumerate()
        .find(|(_, place)| wants(&rows[**place]));
    if let Some((at, _)) = ahead.or(any) {
        model.cursor = at;
    }
}

pub(super) fn not_so(model: &mut Model, at: Moment) -> Vec<Effect> {
    let rows = page::rows(model);
    match row::chosen(&rows, model.cursor) {
        Some(Row::Line(kind, line)) => {
            let asking = Asking::NotSo(*kind, line.id.clone());
            perform::ask(model, asking)
        }
        Some(Row::Do {
            act: Act::PointSeen(what),
            ..
        }) => {
            let event = Event::PointSeen {
                what: what.clone(),
                is_right: false,
            };
            let effects = perform::after(model, event, at);
            if model.notice.is_none() {
                model.say("then X and Y are not set right: touch off again");
                model.cursor = 0;
            }
            effects
        }
        Some(Row::Field { field, .. }) if form::is_recipe(*field) => {
            let field = *field;
            recipe::let_follow(model, field);
            model.say("this value follows again");
            vec![]
        }
        _ => {
            model.say("3 is for a line that is not so");
            vec![]
        }
    }
}

pub(super) fn why(model: &mut Model) -> Vec<Effect> {
    let rows = page::rows(model);
    let overlay = match row::chosen(&rows, model.cursor) {
        Some(Row::Line(_, line)) => {
            let mut text = vec![line.why.clone()];
            if let LineState::Redo(what, since) = &line.state {
                text.insert(
                    0,
                    format!("{} {}.", since.format("%H:%M"), what.row().words),
                );
            }
            if let LineState::NotSo(words) = &line.state {
                text.insert(0, format!("Not so: {words}"));
            }
            text.push(format!("The answer names the state: {}.", line.word));
            Overlay::Why {
                title: line.text.clone(),
                text,
            }
        }
        Some(Row::Do {
            act: Act::LookAt(finding),
            ..
        }) => return looking::open(model, *finding),
        Some(Row::Do {
            act: Act::AcceptStop(id),
            ..
        }) => {
            let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
            let place = checked.and_then(|checked| {
                let mut ids = checked.findings.iter().map(checking::stop_id);
                ids.position(|found| found == *id)
            });
            return looking::open(model, place);
        }
        Some(Row::Field { label, note, .. }) => {
            let mut text = vec![note.clone()];
            text.push(
                "Write it as you read it: 6, 6mm, .25in, 1/4\", 25 thou, #7, 10k.".to_owned(),
            );
            Overlay::Why {
                title: label.clone(),
                text,
            }
        }
        _ => match model
            .work
            .as_ref()
            .and_then(|work| work.calculated.as_ref())
        {
            Some(calculated) if model.state().is_some_and(|s| s.step == Step::Recipe) => {
                Overlay::Why {
                    title: "Why these numbers".to_owned(),
                    text: recipe::shown::why_words(calculated),
                }
            }
            _ => Overlay::Help,
        },
    };
    model.overlay = Some(overlay);
    vec![]
}
