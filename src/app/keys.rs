//! What a key means where no field owns the keys. One table; help is made from it.

use crate::app::act::Act;
use crate::app::answering;
use crate::app::card;
use crate::app::field::Field;
use crate::app::key::Key;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::row;
use crate::app::row::Row;
use crate::session::clock::Phase;
use crate::session::gate::LineState;
use crate::session::gate::ListKind;
use crate::session::gate::Way;
use crate::session::state::State;
use crate::session::state::Step;

/// What the list behind Enter holds, as the help says it.
const MORE: &str = "in this help: return test, pause, leave out, end, by number";

/// A key with its meaning, as footer and help show it.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding {
    /// The key as printed on it.
    pub key: &'static str,
    /// What it does, in a word or two.
    pub words: String,
}

/// Where the keys are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A list of rows outside of a session.
    List,
    /// A step of a session, the clock off.
    Step,
    /// The clock is on, at the step where the cut is watched.
    Running,
}

/// Where the keys are now.
pub fn place(model: &Model) -> Place {
    let running = model
        .state()
        .filter(|state| state.step == Step::Cut)
        .and_then(State::phase)
        .is_some_and(Phase::is_at_work);
    match model.screen {
        Screen::Session if running => Place::Running,
        Screen::Session => Place::Step,
        _ => Place::List,
    }
}

/// The meaning of a key where no field and no overlay owns it.
pub fn meaning(model: &Model, key: Key) -> Option<Act> {
    let in_session = place(model) != Place::List;
    if place(model) == Place::Running {
        match key {
            Key::Char('1') if model.legible.asks => return Some(Act::Readable(true)),
            Key::Char('3') if model.legible.asks => return Some(Act::Readable(false)),
            Key::Char('7') => return Some(Act::AskReadable),
            // Rows are not on show here: nothing may happen to one.
            Key::Char('1' | '3') => return None,
            Key::Enter => return Some(Act::More),
            _ => {}
        }
    }
    if in_session && place(model) == Place::Step && model.record_hides_rows() {
        return match key {
            Key::Char('*') | Key::Escape | Key::Enter => Some(Act::View),
            Key::Char('.' | ',') => Some(Act::Emergency),
            Key::Char('0' | '?') => Some(Act::Help),
            Key::Char('5') => Some(Act::Clock),
            Key::Char('-') => Some(Act::Happened),
            Key::Interrupt | Key::Char('q') => Some(Act::Quit),
            _ => None,
        };
    }
    if key == Key::Char('1') && answering::worst_line(model).is_some() {
        return Some(Act::BeginAnswer);
    }
    let act = match key {
        Key::Interrupt => Act::Quit,
        Key::Up | Key::Char('8') => Act::Up,
        Key::Down | Key::Char('2') => match place(model) {
            Place::Running => Act::Earlier,
            _ => Act::Down,
        },
        Key::PageUp => Act::PageUp,
        Key::PageDown => Act::PageDown,
        Key::Enter => Act::Choose,
        Key::Char('0' | '?') => Act::Help,
        Key::Char('.' | ',') => Act::Emergency,
        Key::Escape => Act::Leave,
        Key::Char('q') => Act::Quit,
        Key::Char('t') => Act::Theme,
        _ if !in_session => return None,
        Key::Left | Key::Char('4') => Act::Back,
        Key::Right | Key::Char('6') => Act::Forward,
        Key::Char('1') => Act::So,
        Key::Char('3') => Act::NotSo,
        Key::Char('7') => Act::Why,
        Key::Char('5') => Act::Clock,
        Key::Char('9') => Act::Finish,
        Key::Char('-') => Act::Happened,
        Key::Char('+') => Act::Swap,
        Key::Char('/') => Act::Note,
        Key::Char('*') => Act::View,
        Key::Char('p') => Act::Pause,
        Key::Char('l') => Act::LeaveOut,
        Key::Char('r') => Act::ReturnTest,
        Key::Char('u') => Act::Undo,
        _ => return None,
    };
    Some(act)
}

/// Whether a key that is held down, or leaned on, has done this once already and must not again. What turns a clock, takes back or
/// leaves waits out the first repeat, too (`follows`); what a person may press quickly several times only the later ones (`is_held`).
pub(super) fn counts_once(place: Place, act: &Act, is_held: bool, follows: bool) -> bool {
    match act {
        Act::Clock | Act::Pause | Act::Undo | Act::Leave => follows,
        Act::Earlier | Act::View => is_held,
        Act::Choose => is_held && place == Place::Step,
        _ => false,
    }
}

fn binding(key: &'static str, words: impl Into<String>) -> Binding {
    Binding {
        key,
        words: words.into(),
    }
}

/// What the key of the clock does.
pub(super) fn clock_words(model: &Model) -> String {
    // On whatever page the person looks: while it cuts the key makes it wait.
    if model
        .state()
        .and_then(State::phase)
        .is_some_and(Phase::is_at_work)
    {
        return "clock waits".to_owned();
    }
    let open = model.open;
    match model.state().and_then(|state| state.phase()) {
        Some(_) if open == 0 => "clock cuts".to_owned(),
        None if open == 0 => "clock on".to_owned(),
        // Short, so that the key of the help is still to be seen at 80 columns.
        _ => format!("clock ({open} open)"),
    }
}

/// The footer: what the keys do here, the most needed first.
pub fn footer(model: &Model) -> Vec<Binding> {
    if let Some(editing) = &model.editing {
        let card = binding(card::key_in_field(model, editing), "emergency");
        if editing.error.is_some() {
            return vec![binding("Enter", "again: leave it as it was"), card];
        }
        if editing.field == Field::Program {
            return vec![
                binding("Enter", "take it or list"),
                binding("Tab", "complete"),
                binding("Ctrl-U", "clear"),
                binding("Esc", "leave it"),
                card,
            ];
        }
        return vec![
            binding("Enter", "take it"),
            binding("Ctrl-U", "clear"),
            // A keypad has no Escape, and no value ends with a slash.
            binding("Esc or / Enter", "leave it as it was"),
            card,
        ];
    }
    match place(model) {
        Place::List => vec![
            binding("8 2", "move"),
            binding("Enter", "choose"),
            binding("Esc", "back"),
            binding(".", "emergency"),
            binding("0", "help"),
            binding("q", "end"),
        ],
        Place::Running => vec![
            binding("5", clock_words(model)),
            binding("-", "happened"),
            binding("+", "tool"),
            binding("/", "note"),
            binding("*", "view"),
            binding("9", "done"),
            binding("0", "help"),
            binding(".", "emergency"),
        ],
        Place::Step if model.record_hides_rows() => vec![
            binding("*", "the list again"),
            binding("5", "clock"),
            binding("-", "happened"),
            binding(".", "emergency"),
            binding("0", "help"),
        ],
        Place::Step => {
            let mut all = row_keys(model);
            all.extend([
                binding("4 6", "rail"),
                binding("5", clock_words(model)),
                binding("-", "happened"),
                binding(".", "emergency"),
                binding("0", "help"),
            ]);
            all
        }
    }
}

/// What the keys do on the chosen row, and none that does nothing there. Short: the emergency stands behind it at 80 columns.
fn row_keys(model: &Model) -> Vec<Binding> {
    match row::chosen(&model.rows, model.cursor) {
        None => vec![binding("8 2", "choose a row")],
        Some(Row::Line(_, line)) => match (&line.state, line.way) {
            (LineState::Answered, _) => vec![binding("8 2", "row"), binding("7", "how")],
            (_, Way::At(_)) => vec![binding("Enter", "go"), binding("7", "how")],
            (_, Way::Press) => vec![binding("1", "so"), binding("3", "no"), binding("7", "how")],
        },
        Some(Row::End { list, .. }) => match list {
            // The clock's key is the answer.
            ListKind::Start | ListKind::Recovery => vec![binding("8 2", "row")],
            _ => vec![binding("1", "so")],
        },
        Some(Row::Field { .. }) => vec![binding("Enter", "fill"), binding("7", "how")],
        Some(Row::Do { act, .. }) => {
            let mut keys = vec![binding("Enter", "do it")];
            if answering::takes_so(act) {
                keys = vec![binding("1", "so")];
            }
            if matches!(act, Act::PointSeen(_)) {
                keys.push(binding("3", "no"));
            }
            keys
        }
        Some(Row::Head(_) | Row::Text(_) | Row::Gap) => vec![],
    }
}

/// Keys of the list of tools.
const TOOL_KEYS: &str = "type size, thread or name; + next  * clear  - your own tool";

/// Every key of the place, for the help.
pub fn all(model: &Model) -> Vec<Binding> {
    match place(model) {
        Place::List => vec![
            binding("8 2  up down", "choose a row"),
            binding("Enter", "open, begin or fill in (there / Enter leaves it)"),
            binding(
                "Ctrl-U  Tab",
                "in a field: clear it; complete the path of a program",
            ),
            binding("Esc", "back"),
            binding(
                ".  ..",
                "emergency card; two points where text or a number is typed",
            ),
            binding(
                "*",
                "in this help: colours own, night, bright light (also t)",
            ),
            binding("Enter", "in this help: back or end, by number"),
            binding("q", "end the program"),
        ],
        Place::Step => vec![
            binding("8 2  up down", "choose a row"),
            binding("4 6  left right", "back and forward on the rail"),
            binding(
                "Enter",
                "fill in (there / Enter leaves it), go there, do it",
            ),
            binding(
                "1  3",
                "so (the worst lines name their key); not so, what is wrong",
            ),
            binding("7", "why this is asked, and how"),
            binding("5", "clock on, when nothing is open"),
            binding("-", "what happened: stop note"),
            binding("+", "another tool in the middle"),
            binding("/", "a note"),
            binding("*", "another view"),
            binding("9", "operation finished"),
            binding(
                ".  ..",
                "emergency card; two points where text or a number is typed",
            ),
            binding("*", "in this help: other colours (also t)"),
            binding("Enter", MORE),
            binding(
                "Ctrl-U  Tab",
                "in a field: clear it; complete the path of a program",
            ),
            binding("in the tools", TOOL_KEYS),
            binding("r  l  p", "return test, leave this out, clock: a pause"),
            binding("u", "take back the last answer or entry"),
            binding("Esc  q", "back to the jobs, all saved; end the program"),
        ],
        Place::Running => vec![
            binding("5", "clock waits: hands in, chips, a look"),
            binding("2", "the cut began 10 s earlier"),
            binding("-", "what happened: stop note"),
            binding("+", "another tool in the middle"),
            binding("in the tools", TOOL_KEYS),
            binding("/", "a note"),
            binding("*", "another big number"),
            binding("7", "ask again whether this can be read (1 yes, 3 no)"),
            binding("9", "operation finished (asks once)"),
            binding("4 6", "look at another step"),
            binding("Enter", "return test, pause, leave out, end, by number"),
            binding("r  l  p", "return test, leave this out, clock: a pause"),
            binding("*", "in this help: other colours (also t)"),
            binding(
                ".  ..",
                "emergency card; two points where text or a number is typed",
            ),
            binding("q", "end the program"),
        ],
    }
}
