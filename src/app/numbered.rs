//! Lists of which a row is chosen by its number: what happened, what has no key of its own.

use crate::app::after_stop;
use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::model::Model;
use crate::app::more;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::overlay::WhatHappened;
use crate::app::overlay::happenings;
use crate::app::perform;
use crate::app::perform::after;
use crate::app::recipe;
use crate::job::mishap::Mishap;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::State;

/// The row of the number typed is marked, and none where no row has it.
fn follow(typed: &str, cursor: &mut Option<usize>, count: usize) {
    let number = typed.parse::<usize>().ok();
    *cursor = number
        .filter(|number| (1..=count).contains(number))
        .map(|number| number - 1);
}

/// A digit adds to the number typed; the cursor follows it.
fn number_key(key: Key, typed: &mut String, cursor: &mut Option<usize>, count: usize) {
    let step = |cursor: Option<usize>, by: isize| {
        let next = cursor.map_or(0, |cursor| cursor.saturating_add_signed(by));
        Some(next.min(count.saturating_sub(1)))
    };
    match key {
        Key::Up | Key::Down | Key::PageUp | Key::PageDown => {
            let by = match key {
                Key::Up => -1,
                Key::Down => 1,
                Key::PageUp => -8,
                _ => 8,
            };
            *cursor = step(*cursor, by);
            // What is marked is what is taken.
            typed.clear();
        }
        Key::Backspace => {
            typed.pop();
            follow(typed, cursor, count);
        }
        // A number typed by mistake: a keypad has no Backspace.
        Key::Char('/') => {
            typed.clear();
            *cursor = None;
        }
        Key::Char(c) if c.is_ascii_digit() && typed.len() < 3 => {
            typed.push(c);
            follow(typed, cursor, count);
        }
        _ => {}
    }
}

/// What a key makes of a list of numbers.
pub(super) enum Turn {
    /// The row at this place is taken.
    Took(usize),
    /// The list is left.
    Left,
    /// It stays, and lies over the screen again: no number was taken, or none that a row has.
    Stays,
}

/// Gives a key to a list of so many numbered rows, which `list` lays over the screen again.
pub(super) fn turn(
    model: &mut Model,
    key: Key,
    (mut typed, mut cursor): (String, Option<usize>),
    count: usize,
    list: impl Fn(String, Option<usize>) -> Overlay,
) -> Turn {
    if key == Key::Escape {
        return Turn::Left;
    }
    if key != Key::Enter {
        number_key(key, &mut typed, &mut cursor, count);
        model.overlay = Some(list(typed, cursor));
        return Turn::Stays;
    }
    let why = match (typed.parse::<usize>(), cursor) {
        (Ok(0), _) => return Turn::Left,
        (Ok(number), _) if number <= count => return Turn::Took(number - 1),
        (Err(_), Some(place)) => return Turn::Took(place),
        (Ok(_), _) => format!("there is no number {typed}"),
        // An Enter that was not meant does nothing.
        (Err(_), None) => "its number first, then Enter; 0 and Enter leave".to_owned(),
    };
    model.refuse(why);
    model.overlay = Some(list(String::new(), cursor));
    Turn::Stays
}

/// The list of what has no key of its own.
pub(super) fn more(
    model: &mut Model,
    key: Key,
    at: Moment,
    typed: String,
    cursor: Option<usize>,
) -> Vec<Effect> {
    let items = more::items(model);
    let list = |typed, cursor| Overlay::More { typed, cursor };
    match turn(model, key, (typed, cursor), items.len(), list) {
        Turn::Took(place) => items
            .get(place)
            .map_or(vec![], |(_, act)| perform::perform(model, act.clone(), at)),
        Turn::Left => vec![],
        Turn::Stays => vec![],
    }
}

/// The list of what may have happened.
pub(super) fn happened(
    model: &mut Model,
    key: Key,
    at: Moment,
    typed: String,
    cursor: Option<usize>,
) -> Vec<Effect> {
    let all = happenings();
    let list = |typed, cursor| Overlay::Happened { typed, cursor };
    match turn(model, key, (typed, cursor), all.len(), list) {
        Turn::Took(place) => all
            .get(place)
            .map_or(vec![], |what| it_happened(model, *what, at)),
        Turn::Left => nothing_happened(model),
        Turn::Stays => vec![],
    }
}

fn nothing_happened(model: &mut Model) -> Vec<Effect> {
    if model.state().and_then(State::phase) == Some(Phase::Waiting) {
        model.say("nothing happened; the clock waits until 5");
    }
    vec![]
}

fn it_happened(model: &mut Model, what: WhatHappened, at: Moment) -> Vec<Effect> {
    match what {
        WhatHappened::Mishap(mishap) => mishap_chosen(model, mishap, at),
        WhatHappened::Change(what) => {
            let effects = after(model, Event::Happened(what), at);
            let words = what.row().words;
            model.say(format!("{words}: what is to be redone is marked"));
            effects
        }
    }
}

/// The stop is written down at once, with its time: who fights a fire answers no question first.
fn mishap_chosen(model: &mut Model, mishap: Mishap, at: Moment) -> Vec<Effect> {
    let noted = Event::StopNoted {
        mishap,
        words: String::new(),
    };
    let (took, mut effects) = apply(model, noted, at);
    if !took {
        return effects;
    }
    recipe::refresh(model);
    if after_stop::may_go_on(mishap) {
        effects.extend(mishap_asked(model, mishap));
    } else {
        model.overlay = Some(Overlay::Acts(mishap));
    }
    effects
}

/// Asks for a remark; the note itself is kept already.
pub(super) fn mishap_asked(model: &mut Model, mishap: Mishap) -> Vec<Effect> {
    model.overlay = Some(Overlay::Words {
        asking: Asking::Mishap(mishap),
        input: Input::default(),
        error: None,
    });
    vec![]
}
