//! A field that owns the keys, until Enter takes it or Esc leaves it.

use crate::app::applying::apply;
use crate::app::begin;
use crate::app::browse;
use crate::app::card;
use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::field;
use crate::app::field::Field;
use crate::app::field::Takes;
use crate::app::form;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::model::Editing;
use crate::app::model::Model;
use crate::app::page;
use crate::app::posted;
use crate::app::posted::recheck;
use crate::app::reasons;
use crate::app::recipe;
use crate::app::row;
use crate::app::row::Row;
use crate::session::event::Event;
use crate::session::fact::FactKind;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;

/// Gives the keys to a field.
pub(super) fn begin_editing(model: &mut Model, field: Field, text: &str) {
    model.editing = Some(Editing {
        field,
        input: Input::new(text),
        error: None,
    });
}

/// A key while a field owns the keys.
pub(super) fn pressed(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    let Some(mut editing) = model.editing.take() else {
        return vec![];
    };
    if card::is_point(key) {
        let takes = page::takes(model, editing.field);
        if card::opens_in_field(&takes, &mut editing.input, key) {
            model.editing = Some(editing);
            return card::open(model, None);
        }
    }
    match key {
        Key::Escape => {
            recipe::refresh(model);
            vec![]
        }
        Key::Enter if model.is_held => {
            // It opened the field, or was not taken, a moment ago.
            model.editing = Some(editing);
            vec![]
        }
        Key::Enter if editing.error.is_some() => {
            // A keypad has no Escape: Enter on what was not taken leaves it.
            recipe::refresh(model);
            vec![]
        }
        Key::Enter if reasons::takes_back(editing.input.text()) => {
            recipe::refresh(model);
            vec![]
        }
        Key::Tab if editing.field == Field::Program => {
            let asked = browse::ask(editing.input.text().trim(), false);
            model.editing = Some(editing);
            vec![asked]
        }
        Key::Enter if browse::lists(editing.field, editing.input.text().trim()) => {
            let asked = browse::ask(editing.input.text().trim(), true);
            model.editing = Some(editing);
            vec![asked]
        }
        Key::Enter if is_as_it_was(model, &editing) => advance(model, editing.field, vec![]),
        Key::Enter | Key::Tab => enter(model, editing, at),
        Key::Up | Key::Down if matches!(page::takes(model, editing.field), Takes::Choice(_)) => {
            step_choice(model, &mut editing, key == Key::Down);
            model.editing = Some(editing);
            vec![]
        }
        _ => {
            typed(model, editing, &[key]);
            vec![]
        }
    }
}

/// Text that was pasted into the field that owns the keys. Its points are text and nobody's call for the emergency card.
pub(super) fn pasted(model: &mut Model, text: &str) {
    if let Some(editing) = model.editing.take() {
        let keys: Vec<Key> = text.chars().map(Key::Char).collect();
        typed(model, editing, &keys);
    }
}

fn typed(model: &mut Model, mut editing: Editing, keys: &[Key]) {
    for key in keys {
        editing.input.press(*key);
    }
    editing.error = None;
    let is_recipe = form::is_recipe(editing.field);
    model.editing = Some(editing);
    if is_recipe {
        recipe::refresh(model);
    }
}

/// Nothing was typed, what stands there is what the session holds, and nothing of the step waits to be said again: to take it once
/// more would only withdraw what rests on it.
fn is_as_it_was(model: &Model, editing: &Editing) -> bool {
    let Some(state) = model.state() else {
        return false;
    };
    let is_drafted = page::rows(model)
        .iter()
        .any(|row| matches!(row, Row::Field { field, .. } if model.drafts.contains_key(field)));
    editing.input.is_untouched()
        && !editing.input.text().is_empty()
        && !form::is_recipe(editing.field)
        && editing.field != Field::BeginAgain
        && !is_drafted
        && page::step_mark(state, state.step) == row::Mark::Good
}

fn step_choice(model: &Model, editing: &mut Editing, down: bool) {
    let Takes::Choice(options) = page::takes(model, editing.field) else {
        return;
    };
    if options.is_empty() {
        return;
    }
    let now = match field::understand(&Takes::Choice(options.clone()), editing.input.text()) {
        Ok(understood) => understood
            .words()
            .and_then(|w| options.iter().position(|option| option == w)),
        Err(_) => None,
    };
    let next = match (now, down) {
        (None, _) => 0,
        (Some(place), true) => (place + 1) % options.len(),
        (Some(place), false) => (place + options.len() - 1) % options.len(),
    };
    editing.input = Input::new(options[next].clone());
    editing.error = None;
}

fn enter(model: &mut Model, mut editing: Editing, at: Moment) -> Vec<Effect> {
    let field = editing.field;
    let text = editing.input.text().trim().to_owned();
    if text.is_empty() && (field.is_optional() || form::is_recipe(field)) {
        if form::is_recipe(field) {
            recipe::let_follow(model, field);
        } else {
            model.drafts.remove(&field);
        }
        return advance(model, field, vec![]);
    }
    let takes = page::takes(model, field);
    match field::understand(&takes, &text) {
        Err(why) => {
            editing.error = Some(why);
            editing.input.refused();
            model.editing = Some(editing);
            vec![]
        }
        Ok(understood) => {
            let kept = match &understood {
                field::Understood::Number(typed) => typed.text.clone(),
                field::Understood::Words(words) => words.clone(),
                field::Understood::Point(point) => point.keypad(),
                _ => text,
            };
            model.drafts.insert(field, kept);
            take(model, field, at)
        }
    }
}

/// A field was entered: whatever follows from it happens.
fn take(model: &mut Model, field: Field, at: Moment) -> Vec<Effect> {
    if field == Field::Program {
        return begin::read_program(model);
    }
    if field == Field::BeginAgain {
        return posted::find_restart(model);
    }
    if form::is_recipe(field) {
        recipe::refresh(model);
        return advance(model, field, vec![]);
    }
    take_form(model, field, at)
}

/// Turns the form that `field` belongs to into events and applies them.
pub(super) fn take_form(model: &mut Model, field: Field, at: Moment) -> Vec<Effect> {
    let events = form::events(model, field);
    let before = model.state().map(checking::setup_of);
    let mut effects = vec![];
    let mut all_took = true;
    let count = events.len();
    for event in events {
        let (took, more) = apply(model, event, at);
        effects.extend(more);
        if !took {
            all_took = false;
            break;
        }
    }
    if !all_took {
        let is_wrong = field == Field::Touch
            && model
                .state()
                .is_some_and(|state| state.fact(FactKind::ToolLength).is_good());
        if is_wrong {
            // What is read otherwise is no longer so, whatever was read before; the refusal stays to be read.
            let why = model.notice.take();
            effects.extend(apply(model, Event::Happened(Happening::TouchMissed), at).1);
            model.notice = why;
        }
        // What was typed stays, to be mended.
        return effects;
    }
    if count > 0 {
        forget_drafts_of(model, field);
        let agrees = model
            .state()
            .is_some_and(|state| state.fact(FactKind::Program).is_good());
        // What was first stated withdraws nothing, and the program is to be held against it all the same.
        if !agrees || model.state().map(checking::setup_of) != before {
            effects.extend(recheck(model, at));
        }
        recipe::refresh(model);
    }
    advance(model, field, effects)
}

/// The session holds the form now: drafts of the page are dropped, so that nothing stands twice.
fn forget_drafts_of(model: &mut Model, field: Field) {
    let shown: Vec<Field> = page::rows(model)
        .into_iter()
        .filter_map(|row| match row {
            Row::Field { field, .. } => Some(field),
            _ => None,
        })
        .collect();
    if let Field::TouchAt(place) = field {
        let first = place / 2 * 2;
        model.drafts.remove(&Field::TouchAt(first));
        model.drafts.remove(&Field::TouchAt(first + 1));
    } else if form::is_single(field) {
        model.drafts.remove(&field);
    } else {
        let has_part = model.state().is_some_and(|state| {
            let stock = state.current_setup().stock.as_ref();
            stock.is_some_and(|stock| stock.part.is_some())
        });
        model.drafts.retain(|draft, _| {
            // One of three sizes is none yet: it waits for the others.
            let waits = matches!(draft, Field::Part(_)) && !has_part;
            waits
                || !shown.contains(draft)
                || form::is_recipe(*draft)
                || is_of_other_form(*draft, field)
        });
    }
    model.drafts.remove(&Field::Raise);
    model.drafts.remove(&Field::PutBack);
}

/// The reading at the touch is no part of the Z reference, those of opposite touches none of the zero.
fn is_of_other_form(draft: Field, entered: Field) -> bool {
    draft == Field::Touch && entered != Field::Touch || matches!(draft, Field::TouchAt(_))
}

/// After Enter the cursor moves on. No field opens by itself: a digit meant for the rail would be its value.
fn advance(model: &mut Model, field: Field, effects: Vec<Effect>) -> Vec<Effect> {
    let rows = page::rows(model);
    let places = row::choosable(&rows);
    let at = places
        .iter()
        .position(|place| matches!(&rows[*place], Row::Field { field: f, .. } if *f == field));
    let Some(at) = at else { return effects };
    if matches!(field, Field::Condition(_)) && at > model.cursor {
        // Once answered a question goes down to what was said: the next one stands where it stood.
        return effects;
    }
    model.cursor = (at + 1).min(places.len().saturating_sub(1));
    effects
}
