//! Answering lines: so, not so, why, and where the cursor goes next.

use std::time::Duration;

use crate::app::act::Act;
use crate::app::applying::apply;
use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::finishing;
use crate::app::form;
use crate::app::how;
use crate::app::key::Key;
use crate::app::leaving;
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
use crate::session::gate::Line;
use crate::session::gate::LineState;
use crate::session::gate::ListKind;
use crate::session::gate::Way as LineWay;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::shop;
use crate::session::state::State;
use crate::session::state::Step;

/// The first row that still wants something, so that the next key has its use.
pub(super) fn first_open_row(model: &Model) -> usize {
    let rows = page::rows(model);
    let places = row::choosable(&rows);
    let find = |wanted: &dyn Fn(&Row) -> bool| places.iter().position(|at| wanted(&rows[*at]));
    // What is not measured yet comes before what is to be measured again.
    find(&is_unread)
        .or_else(|| find(&|row| wants(row) && !is_last(row)))
        .or_else(|| find(&wants))
        .or_else(|| find(&rests))
        .unwrap_or(row::NOWHERE)
}

/// Where the cursor rests on a page on which nothing waits: at what is entered there again and again, or not rated yet.
fn rests(row: &Row) -> bool {
    match row {
        Row::Field { field, value, .. } => match field {
            Field::Touch => true,
            Field::Rating(_) => value.is_empty(),
            _ => false,
        },
        _ => false,
    }
}

/// Whether a row is a size that was not measured yet.
fn is_unread(row: &Row) -> bool {
    matches!(row, Row::Field { field: Field::Reading(_), value, .. } if value.is_empty())
}

/// Whether a row waits for the person. What is filled in waits in the row that takes the form.
pub(super) fn wants(row: &Row) -> bool {
    match row {
        Row::Line(_, line) => line.state.is_open(),
        Row::End { is_answered, .. } => !is_answered,
        Row::Field { mark, value, .. } => {
            *mark == row::Mark::Redo || (*mark == row::Mark::Open && value.is_empty())
        }
        Row::Do { mark, .. } => matches!(mark, row::Mark::Open | row::Mark::Redo),
        _ => false,
    }
}

/// Keys that may answer one of the worst lines, behind the `1` of every answer. Which one it is changes from time to time,
/// so that the hand does not learn it.
pub const DIGITS: [char; 4] = ['1', '4', '6', '9'];

/// A key that comes again this soon is held down, or leaned on: it counts once.
const HELD: Duration = Duration::from_millis(250);

/// Keyboards repeat a key 25 to 40 times a second (from memory); a finger that turns pages in a hurry comes six to eight times.
const TURNED: Duration = Duration::from_millis(80);

/// The chosen row, when it is an open line of the worst ones.
pub(super) fn worst_line(model: &Model) -> Option<(ListKind, Line)> {
    match row::chosen(&model.rows, model.cursor) {
        Some(Row::Line(kind, line)) if line.is_worst && line.state.is_open() => {
            Some((*kind, line.clone()))
        }
        _ => None,
    }
}

/// The line under the cursor, by its list and name.
pub(super) fn chosen_line(model: &Model) -> Option<(ListKind, String)> {
    chosen_of(&model.rows, model)
}

fn chosen_of(rows: &[Row], model: &Model) -> Option<(ListKind, String)> {
    match row::chosen(rows, model.cursor) {
        Some(Row::Line(kind, line)) => Some((*kind, line.id.clone())),
        _ => None,
    }
}

/// What no key did must not move another line under the finger: the cursor stays on its line, and where that is gone the line that
/// stands there now has just come up.
pub(super) fn keep_line(model: &mut Model, before: &(ListKind, String)) {
    let rows = page::rows(model);
    if chosen_of(&rows, model).as_ref() == Some(before) {
        return;
    }
    let is_it = |row: &Row| matches!(row, Row::Line(kind, line) if (*kind, line.id.as_str()) == (before.0, before.1.as_str()));
    let place = row::choosable(&rows)
        .into_iter()
        .position(|place| is_it(&rows[place]));
    match place {
        Some(place) => model.cursor = place,
        None => {
            let now = model.now;
            if let Some(work) = &mut model.work {
                work.row_since = now;
            }
        }
    }
}

/// The digit that a line takes now: for the worst lines another one from time to time.
pub fn digit_of(state: &State, line: &Line) -> char {
    if !line.is_worst {
        return DIGITS[0];
    }
    let times = state.answers.times(&line.id);
    // 64-bit FNV-1a: spread is all that is asked of it.
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let name = format!("{} {} {times}", state.head.session_id, line.id);
    for byte in name.bytes() {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    DIGITS[(hash >> 32) as usize % DIGITS.len()]
}

/// The keys that answer a line: `1`, and for the worst lines the digit that it asks for behind it. Alone the others do what they do
/// everywhere, so that no key that moves or finishes ever answers.
pub fn keys_of(state: &State, line: &Line) -> String {
    match digit_of(state, line) {
        '1' => "1".to_owned(),
        digit => format!("1{digit}"),
    }
}

/// `1` on one of the worst lines: the answer, or the beginning of one.
pub(super) fn begin(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some((kind, line)) = worst_line(model) else {
        return vec![];
    };
    let wanted = model.state().map_or('1', |state| digit_of(state, &line));
    if wanted == '1' {
        return so(model, at);
    }
    model.say(format!("now {wanted} for {}", line.word));
    model.begun = Some((kind, line.id));
    vec![]
}

/// The digit behind the `1`, if this is one and the line is still the chosen one. Only the right one answers.
pub(super) fn go_on(
    model: &mut Model,
    begun: Option<(ListKind, String)>,
    key: Key,
    at: Moment,
) -> Option<Vec<Effect>> {
    let Key::Char(digit) = key else { return None };
    let (kind, line) = worst_line(model)?;
    if !DIGITS.contains(&digit) || begun? != (kind, line.id.clone()) {
        return None;
    }
    let wanted = model.state().map_or('1', |state| digit_of(state, &line));
    if digit == wanted {
        return Some(so(model, at));
    }
    if digit == '1' {
        return Some(begin(model, at));
    }
    model.say(format!(
        "this line takes 1, then {wanted}, for {}",
        line.word
    ));
    Some(vec![])
}

/// The end of a list is answered, where it is not the clock's key that does it.
pub(super) fn end(model: &mut Model, list: ListKind, at: Moment) -> Vec<Effect> {
    if list == ListKind::Start {
        model.say("5 turns the clock on: that is the answer");
        return vec![];
    }
    let (took, mut effects) = apply(model, Event::ListEnded(list), at);
    if took && list == ListKind::Leaving {
        effects.extend(leaving::done(model));
    } else if took {
        model.cursor = first_open_row(model);
    }
    effects
}

/// Whether the row says that something is so, and `1` answers it as Enter does.
pub(super) fn takes_so(act: &Act) -> bool {
    matches!(
        act,
        Act::Fit
            | Act::XySet
            | Act::PointSeen(_)
            | Act::ShopFact(_)
            | Act::TakeForm(_)
            | Act::TakeRecipe
            | Act::TakeWay(_)
            | Act::DrillInSteps
            | Act::MillThread
            | Act::TapByHand
            | Act::TakeSurface(_)
            | Act::ReferenceSet
    )
}

pub(super) fn so(model: &mut Model, at: Moment) -> Vec<Effect> {
    let (kind, line) = match row::chosen(&model.rows, model.cursor).cloned() {
        Some(Row::End { list, .. }) => return end(model, list, at),
        Some(Row::Line(kind, line)) => (kind, line),
        Some(Row::Do { act, .. }) if takes_so(&act) => return perform::perform(model, act, at),
        _ => {
            model.say("1 answers a line; Enter fills in a field");
            return vec![];
        }
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
    if model.is_held {
        model.say("a key that is held down counts once");
        return vec![];
    }
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
        next_of(model, kind);
        let list = model.state().map(|state| gate::list(state, kind));
        let now = list
            .iter()
            .flat_map(|list| &list.lines)
            .find(|other| other.id == line.id);
        if now.is_some_and(|now| now.state.is_open()) {
            model.say("faster than it can be read: this line once more, with a look");
        }
        let is_done = list.is_some_and(|list| list.open() == 0);
        if is_done && let Some(work) = &mut model.work {
            work.stopped.retain(|stopped| stopped.list != kind);
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
    let ahead = ahead.filter(|(_, place)| !is_last(&rows[**place]));
    if let Some((at, _)) = ahead.or(any) {
        model.cursor = at;
    }
}

/// That the spindle turns is answered when nothing else is open.
fn is_last(row: &Row) -> bool {
    matches!(row, Row::Line(_, line) if line.id == gate::FULL_SPEED)
}

/// After an answer: the first row from the top of the same list on that waits, for none may be passed over when rows above it went;
/// behind the list whatever waits first on the page.
fn next_of(model: &mut Model, kind: ListKind) {
    let rows = page::rows(model);
    let places = row::choosable(&rows);
    let is_line =
        |row: &Row| matches!(row, Row::Line(of, line) if *of == kind && line.way == LineWay::Press);
    let top = places.iter().position(|place| is_line(&rows[*place]));
    let ahead = top.and_then(|top| {
        let waits = |place: &usize| wants(&rows[*place]) && !is_last(&rows[*place]);
        Some(top + places[top..].iter().position(waits)?)
    });
    model.cursor = ahead.unwrap_or_else(|| first_open_row(model));
}

/// Whether a key comes as a key that is held down repeats itself; one that `turns` pages may come sooner.
pub(super) fn is_held(last: Option<(Key, Moment)>, key: Key, at: Moment, turns: bool) -> bool {
    let within = if turns { TURNED } else { HELD };
    last.is_some_and(|(before, when)| before == key && at.since(when) < within)
}

/// Whether a key comes again so soon that it may be the first repeat of one that is held down: keyboards wait about half a second
/// before they repeat.
pub(super) fn follows(last: Option<(Key, Moment)>, key: Key, at: Moment) -> bool {
    last.is_some_and(|(before, when)| before == key && at.since(when) < gate::LEAST_SHOW)
}

pub(super) fn not_so(model: &mut Model, at: Moment) -> Vec<Effect> {
    match row::chosen(&model.rows, model.cursor) {
        Some(Row::Line(ListKind::Release, line)) if gate::size_of(&line.id).is_some() => {
            let place = gate::size_of(&line.id).unwrap_or_default();
            finishing::cut_again(model, place, at)
        }
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

/// Which list this is: its operation, tool and material, and the version of the cautions.
pub(in crate::app) fn which_list(state: &State) -> String {
    let tool = state.planned_tool().and_then(|index| state.rack.get(index));
    // The whole title stands in the line that asks for the tool.
    let tool = tool.and_then(|rack| rack.tool.title.split(',').next());
    format!(
        "For operation {} of {}, {}, {}; list {}.",
        state.operation + 1,
        state.current_setup().operations.len(),
        tool.unwrap_or("no tool"),
        state.material.title,
        state.cautions.version()
    )
}

/// What a fact of the shop is asked for, and what ends it.
fn shop_why(state: &State, id: &str) -> Option<Overlay> {
    let (caution, fact) = shop::all(state).find(|(caution, _)| caution.id == id)?;
    let mut text = vec![caution.why.clone()];
    text.retain(|why| !why.is_empty());
    text.extend(
        caution
            .answer
            .as_ref()
            .map(|word| format!("The answer names the state: {word}.")),
    );
    let ends: Vec<&str> = fact
        .withdrawn_by
        .iter()
        .filter_map(|by| Happening::from_id(by))
        .map(|what| what.row().words)
        .collect();
    text.push(format!("Asked again when: {}.", ends.join("; ")));
    Some(Overlay::Why {
        title: caution.line.clone(),
        text,
    })
}

pub(super) fn why(model: &mut Model) -> Vec<Effect> {
    let overlay = match row::chosen(&model.rows, model.cursor) {
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
            if let Some(says) = &line.says {
                text.push(format!(
                    "{}: {says}. It answers nothing for you.",
                    line.says_by()
                ));
            }
            text.push(format!("The answer names the state: {}.", line.word));
            text.push(format!("If it is not so: {}", line.otherwise));
            text.extend(model.state().map(which_list));
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
        Some(Row::Do {
            act: Act::ShopFact(id),
            ..
        }) => match model.state().and_then(|state| shop_why(state, id)) {
            Some(overlay) => overlay,
            None => Overlay::Help,
        },
        Some(Row::Field {
            field, label, note, ..
        }) => {
            let takes = page::takes(model, *field);
            let mut text: Vec<String> = how::of(*field).map(str::to_owned).to_vec();
            text.push(how::written(&takes).to_owned());
            text.extend((!note.is_empty()).then(|| format!("Now: {note}")));
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
