//! A window too small for a screen: clock and card, and no other key. Nothing is answered that cannot be seen.

use crate::app::act::Act;
use crate::app::card;
use crate::app::effect::Effect;
use crate::app::keeping;
use crate::app::key::Key;
use crate::app::keys;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::overlay::Overlay;
use crate::app::overlay::Sure;
use crate::app::overlays;
use crate::app::perform;
use crate::app::watch;
use crate::app::words;
use crate::plain;
use crate::session::clock::Phase;
use crate::session::moment::Moment;

/// The least window that shows a screen, in columns and rows.
pub const LEAST: (u16, u16) = (80, 24);

/// Whether the window shows no more than clock and card.
pub fn is_small(model: &Model) -> bool {
    model.size.0 < LEAST.0 || model.size.1 < LEAST.1
}

/// Whether an overlay or a field waits for an answer that there is no room to show.
fn waits_unseen(model: &Model) -> bool {
    model.overlay.is_some() || model.editing.is_some()
}

/// Whether the program was told to end while the clock is on: short enough to be asked here.
fn asks_to_end(model: &Model) -> bool {
    model.overlay == Some(Overlay::Sure(Sure::Quit))
}

/// Whether the person leaves and the last answers are not saved: short enough to be asked here.
fn asks_to_lose(model: &Model) -> bool {
    model.overlay == Some(Overlay::Sure(Sure::Unsaved))
}

fn has_clock(model: &Model) -> bool {
    model.screen == Screen::Session && !waits_unseen(model)
}

/// A key in a window that is too small. `follows` says that it may be the first repeat of a key that is held down.
pub(super) fn pressed(model: &mut Model, key: Key, at: Moment, follows: bool) -> Vec<Effect> {
    if matches!(model.overlay, Some(Overlay::Emergency(..))) {
        model.notice = None;
        return overlays::pressed(model, key, at);
    }
    match key {
        key if card::is_point(key) => {
            let over = model.overlay.take();
            card::open(model, over)
        }
        Key::Char('3' | '9') if asks_to_lose(model) => {
            model.notice = None;
            overlays::pressed(model, key, at)
        }
        Key::Char('3') if asks_to_end(model) => {
            model.notice = None;
            overlays::pressed(model, key, at)
        }
        Key::Char('5') if has_clock(model) => {
            model.notice = None;
            if keys::counts_once(keys::place(model), &Act::Clock, model.is_held, follows) {
                model.say("a key that is held down counts once");
                return vec![];
            }
            perform::perform(model, Act::Clock, at)
        }
        _ => vec![],
    }
}

/// What such a window says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Says {
    /// What the clock shows, where a session is open.
    pub clock: Option<String>,
    /// Keys with their words.
    pub keys: Vec<String>,
    /// Everything else, the most needed first.
    pub more: Vec<String>,
}

/// What a window of so many columns and rows says.
pub fn says(model: &Model, columns: u16, rows: u16) -> Says {
    let clock = model.state().map(|state| {
        let progress = watch::progress(state, model.now);
        let phase = state.phase().map_or("clock off", Phase::word);
        match state.phase() {
            Some(Phase::Cutting | Phase::Hands) => {
                format!("{phase}  {}", words::time(progress.cutting_s))
            }
            _ => format!("{phase}  {} in all", words::time(progress.elapsed_s)),
        }
    });
    let mut keys = vec![];
    if has_clock(model) {
        keys.push(match model.leaving {
            Some(_) => "5 back to the work".to_owned(),
            None => format!("5 {}", keys::clock_words(model)),
        });
    }
    if asks_to_end(model) {
        keys.extend(["Ctrl-C end".to_owned(), "3 stay".to_owned()]);
    }
    if asks_to_lose(model) {
        keys.extend(["3 stay".to_owned(), "9 leave unsaved".to_owned()]);
    }
    keys.push(". emergency card".to_owned());
    let mut more = vec![];
    let work = model.work.as_ref();
    if let Some(work) = work {
        let sign = keeping::sign(work, model.now);
        let words = keeping::words(work, model.now);
        more.extend(words.or((!sign.is_empty()).then_some(sign)));
    }
    if asks_to_end(model) {
        more.push("The clock is on. The mill goes on without this program.".to_owned());
    } else if asks_to_lose(model) {
        more.push("Your last answers are not on the disk yet.".to_owned());
    } else if waits_unseen(model) {
        more.push("Something waits that needs more room.".to_owned());
    } else if model.leaving.is_some() {
        more.push("The list before you leave the mill needs more room.".to_owned());
    }
    if let Some(notice) = &model.notice {
        let sign = if notice.is_refusal { "! " } else { "" };
        more.push(format!("{sign}{}", plain::text(&notice.text)));
    }
    let (least_columns, least_rows) = LEAST;
    more.push(format!(
        "{columns} x {rows}: too small, needs {least_columns} x {least_rows}."
    ));
    more.push(if asks_to_end(model) || asks_to_lose(model) {
        "No other key does anything here.".to_owned()
    } else {
        "No other key does anything here; Ctrl-C ends millside.".to_owned()
    });
    more.push("The mill does not know. Emergency: its stop.".to_owned());
    Says { clock, keys, more }
}
