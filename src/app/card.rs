//! The emergency card: one point away, two in a row where a point may belong to what is typed.

use crate::app::act::Act;
use crate::app::cards::Page;
use crate::app::effect::Effect;
use crate::app::field::Takes;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::model::Editing;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::overlay::Overlay;
use crate::app::page;
use crate::app::perform;
use crate::app::small;
use crate::session::moment::Moment;

/// Whether the key is the one of the card. Keypads have a point or a comma.
pub(super) fn is_point(key: Key) -> bool {
    matches!(key, Key::Char('.' | ','))
}

/// Lays the card over what is there; it comes back when the card is closed.
///
/// But for a number in the list of what happened: a value typed where no field is open (`-11.9`) must not become a stop.
pub(super) fn open(model: &mut Model, mut over: Option<Overlay>) -> Vec<Effect> {
    if let Some(Overlay::Happened { typed, cursor }) = &mut over {
        typed.clear();
        *cursor = None;
    }
    model.overlay = Some(Overlay::Emergency(Page::First, 0, over.map(Box::new)));
    vec![]
}

/// A key while the card is on show. More points keep it, and lead back to its first page: who presses the key again and again wants
/// the card. Its other pages are digits, in a small window too; there the same digit again turns on to the rest of the page.
pub(super) fn pressed(
    model: &mut Model,
    key: Key,
    at: Moment,
    (on_show, part): (Page, usize),
    over: Option<Box<Overlay>>,
) -> Vec<Effect> {
    if is_point(key) {
        model.overlay = Some(Overlay::Emergency(Page::First, 0, over));
        return vec![];
    }
    let page = Page::KEYS
        .iter()
        .find(|(digit, ..)| key == Key::Char(*digit));
    if let Some((_, page, _)) = page {
        let turns_on = *page == on_show && small::is_small(model);
        let part = if turns_on { part + 1 } else { 0 };
        model.overlay = Some(Overlay::Emergency(*page, part, over));
        return vec![];
    }
    model.overlay = over.map(|over| *over);
    if model.overlay.is_some() {
        return vec![];
    }
    let is_path = model.editing.as_ref().is_some_and(begins_path);
    if let Some(editing) = model.editing.as_mut() {
        if is_path && key == Key::Char('/') {
            editing.input.press(key);
        }
    } else if model.state().is_some_and(|state| state.gap.is_some()) {
        // The clock was lost while the card was on show.
        model.overlay = Some(Overlay::Gap);
    } else if key == Key::Char('-') && notes(model) {
        return perform::perform(model, Act::Happened, at);
    }
    vec![]
}

/// Whether the key of what happened goes from the card straight to its list; a small window has no room for it, and what the card lies
/// over comes back first.
pub fn notes(model: &Model) -> bool {
    let is_over = matches!(model.overlay, Some(Overlay::Emergency(.., Some(_))));
    model.screen == Screen::Session
        && !small::is_small(model)
        && model.editing.is_none()
        && !is_over
}

/// Whether a key turns a page of the card that is on show: it answers nothing, so that it may come again sooner than other keys.
pub(super) fn turns(model: &Model, key: Key) -> bool {
    matches!(model.overlay, Some(Overlay::Emergency(..)))
        && Page::KEYS
            .iter()
            .any(|(digit, ..)| key == Key::Char(*digit))
}

/// The two points that opened the card may be the folder above in a path; the stroke behind them belongs to it.
fn begins_path(editing: &Editing) -> bool {
    let before: String = editing
        .input
        .text()
        .chars()
        .take(editing.input.cursor())
        .collect();
    editing.field.takes() == Takes::Words && before.ends_with("..")
}

/// Whether one point is enough in a field that takes this.
fn takes_one(takes: &Takes, input: &Input) -> bool {
    match takes {
        Takes::Choice(_) | Takes::Point => {
            input.is_untouched() || !input.text().chars().any(char::is_alphabetic)
        }
        // Nobody begins a reason with a point.
        Takes::Reason(_) => input.is_untouched() || input.text().is_empty(),
        _ => false,
    }
}

/// Which keys open the card from the field that owns the keys.
pub fn key_in_field(model: &Model, editing: &Editing) -> &'static str {
    if takes_one(&page::takes(model, editing.field), &editing.input) {
        "."
    } else {
        ".."
    }
}

/// Whether a point opens the card from a field. Words keep both points, for a path may begin so; a number never has two in a row and
/// keeps the first.
pub(super) fn opens_in_field(takes: &Takes, input: &mut Input, point: Key) -> bool {
    match takes {
        Takes::Choice(_) | Takes::Point => takes_one(takes, input) || is_second(input),
        Takes::Words | Takes::Rating => opens_in_words(input, point),
        Takes::Reason(_) => takes_one(takes, input) || opens_in_words(input, point),
        Takes::Length
        | Takes::PositiveLength
        | Takes::SignedLength
        | Takes::Rpm
        | Takes::SurfaceSpeed
        | Takes::Feed
        | Takes::KeepOut
        | Takes::Screw
        | Takes::Thread
        | Takes::Number
        | Takes::Force
        | Takes::LineOrTime
        | Takes::Frequencies => is_second(input),
    }
}

/// Whether a point opens the card over an overlay.
pub(super) fn opens_over(overlay: &mut Overlay, point: Key) -> bool {
    match overlay {
        // Nobody begins words with a point; a length may begin with one.
        Overlay::Words { input, .. } => input.text().is_empty() || opens_in_words(input, point),
        Overlay::ReturnTest {
            inputs,
            focus,
            verdict: None,
            ..
        } => is_second(&inputs[*focus]),
        // A size may begin with a point.
        Overlay::Pick(pick) => is_second(&pick.input),
        Overlay::OwnTool(form) => is_second(&form.inputs[form.focus]),
        _ => true,
    }
}

fn opens_in_words(input: &mut Input, point: Key) -> bool {
    let opens = is_second(input);
    if opens {
        input.press(point);
    }
    opens
}

/// Whether a point would stand behind a point, or has no room.
fn is_second(input: &Input) -> bool {
    let is_behind = input.before().is_some_and(|c| matches!(c, '.' | ','));
    !input.is_untouched() && (is_behind || input.is_full())
}
