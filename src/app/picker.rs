//! The one way to choose a tool, where one is planned and behind the key for another tool in the middle.
//!
//! What is typed filters the list, and nothing is chosen by its place in it: a number there would be taken for a size.
//! * Words are split at spaces; a tool is offered where each of them fits.
//! * A number is a diameter. Alone it also shows those that begin so (`4` shows 4, 4.2 and 40), the same diameter first; with a unit, as
//!   a fraction (`1/4`, inches) or as a number drill (`#7`) only that diameter. Point and comma are the point of the number.
//! * `6 end mill 2`: a number that stands in the title (flutes, degrees) fits too, behind those of the diameter.
//! * Anything else is the beginning of a word of the title, of the thread (`M6`, `1/4-20`), of what its notes say it is for, or of the
//!   name (`drill-4.2`). No letter is left out: what fits no tool shows none.
//!
//! Enter takes the tool that is marked: the first that fits, as soon as something is typed. `+` and the arrows go to the next one, `*`
//! clears what was typed, `-` alone goes to the last row, a tool of one's own. `0` or a `/` at the end, and Enter, leave; so does Esc.
//! As in words two points call the emergency card; one may begin a size.

use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::model::Model;
use crate::app::named;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::own_tool;
use crate::app::reasons;
use crate::app::typing;
use crate::job::tool::Tool;
use crate::job::typed::plain;
use crate::quantity;
use crate::quantity::entry;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::RackTool;
use crate::session::state::State;

/// What the tool is chosen for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// It is planned for the operation in work.
    Plan,
    /// It takes over in the middle of the operation.
    Swap,
}

/// A choice in the making.
#[derive(Clone, Debug, PartialEq)]
pub struct Pick {
    /// What for.
    pub purpose: Purpose,
    /// What is typed.
    pub input: Input,
    /// The row that is marked, once one is.
    pub cursor: Option<usize>,
}

impl Pick {
    /// Nothing typed yet.
    pub fn new(purpose: Purpose) -> Self {
        Self {
            purpose,
            input: Input::default(),
            cursor: None,
        }
    }
}

/// A row of the list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Offer<'a> {
    /// A tool of the job, by its place in the rack.
    InJob(usize, &'a RackTool),
    /// A tool of the shelf.
    OfShelf(&'a Tool),
    /// A tool that is not there yet.
    OwnTool,
}

impl Offer<'_> {
    /// Its words in the list.
    pub fn text(&self, model: &Model) -> String {
        match self {
            Self::InJob(_, rack) => format!("{}   (in this job)", label(model, &rack.tool)),
            Self::OfShelf(tool) => label(model, tool),
            Self::OwnTool => "a tool of your own, that is not listed".to_owned(),
        }
    }

    fn tool(&self) -> Option<&Tool> {
        match self {
            Self::InJob(_, rack) => Some(&rack.tool),
            Self::OfShelf(tool) => Some(tool),
            Self::OwnTool => None,
        }
    }
}

/// What lists call the tool: its title, with its name where another one has the same.
fn label(model: &Model, tool: &Tool) -> String {
    let mut choices = named::tools(model).into_iter();
    let own = choices.find(|choice| choice.name == tool.name);
    own.map_or_else(|| tool.title.clone(), |choice| choice.label)
}

/// The tools that what is typed fits, the best first, and last the way to one of one's own.
pub fn offers<'a>(model: &'a Model, typed: &str) -> Vec<Offer<'a>> {
    let rack = model.state().map_or(&[][..], |state| &state.rack);
    let in_job = rack.iter().enumerate();
    let in_job = in_job.map(|(place, rack)| Offer::InJob(place, rack));
    let is_in_job = |tool: &Tool| rack.iter().any(|rack| rack.tool.name == tool.name);
    let shelf = model.library.tools.iter();
    let shelf = shelf
        .filter(|tool| tool.flutes > 0 && !is_in_job(tool))
        .map(Offer::OfShelf);
    let words = words(typed);
    let mut fitting: Vec<(u32, Offer<'a>)> = in_job
        .chain(shelf)
        .filter_map(|offer| Some((fit(offer.tool()?, &words)?, offer)))
        .collect();
    fitting.sort_by_key(|(rank, _)| *rank);
    let tools = fitting.into_iter().map(|(_, offer)| offer);
    tools.chain([Offer::OwnTool]).collect()
}

/// A word that was typed.
#[derive(Clone, Debug, PartialEq)]
struct Word {
    text: String,
    /// Its diameter, mm, where it is one, and whether nothing else can be meant.
    size: Option<(f64, bool)>,
}

fn words(typed: &str) -> Vec<Word> {
    let mut texts: Vec<String> = vec![];
    for part in typed.to_lowercase().split_whitespace() {
        let part = part.trim_end_matches(',');
        let is_unit = matches!(part, "mm" | "in" | "inch" | "\"" | "um" | "thou");
        match texts.last_mut() {
            Some(number)
                if is_unit && number.starts_with(|c: char| c.is_ascii_digit() || c == '.') =>
            {
                number.push_str(part);
            }
            _ => texts.push(part.to_owned()),
        }
    }
    texts.into_iter().map(word).collect()
}

fn word(text: String) -> Word {
    let is_number = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '#'));
    let text = if is_number {
        text.replace(',', ".")
    } else {
        text
    };
    let is_bare = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    let is_fraction = text.contains('/') && text.chars().all(|c| c.is_ascii_digit() || c == '/');
    let length = match is_fraction {
        true => entry::length(&format!("{text} in")),
        false => entry::length(&text),
    };
    let size = length.ok().filter(|_| is_number);
    Word {
        size: size.map(|size| (quantity::to_mm(size.value), !is_bare)),
        text,
    }
}

/// Diameters closer than this are the same, mm: a number drill is known to a tenth of a thousandth of an inch.
const SAME_MM: f64 = 0.003;

/// How well a tool fits, 0 best; `None` where a word does not.
fn fit(tool: &Tool, words: &[Word]) -> Option<u32> {
    let ranks: Option<Vec<u32>> = words.iter().map(|word| fits(tool, word)).collect();
    Some(ranks?.into_iter().sum())
}

fn fits(tool: &Tool, word: &Word) -> Option<u32> {
    if let Some((mm, is_only_a_size)) = word.size {
        if (tool.diameter_mm - mm).abs() < SAME_MM {
            return Some(0);
        }
        if is_only_a_size {
            // A fraction may be the beginning of a thread.
            return tokens(tool)
                .any(|token| token.starts_with(&format!("{}-", word.text)))
                .then_some(1);
        }
        if plain(tool.diameter_mm).starts_with(&word.text) {
            return Some(1);
        }
        return tokens(tool).any(|token| token == word.text).then_some(1);
    }
    let is_begun = |text: String| text.starts_with(&word.text);
    let first = tokens(tool).next();
    if tool.name == word.text || first.as_ref() == Some(&word.text) {
        // `drill` is a twist drill before it is a spot drill.
        Some(0)
    } else if tokens(tool).any(|token| token == word.text) {
        Some(1)
    } else if tool.name.starts_with(&word.text) || tokens(tool).any(is_begun) {
        Some(2)
    } else {
        // What it is for: a drill is no tap, and its notes name one.
        let notes = tool.notes.iter().map(String::as_str);
        notes.flat_map(split).any(is_begun).then_some(3)
    }
}

/// The words that a tool is called by, in lower case.
fn tokens(tool: &Tool) -> impl Iterator<Item = String> {
    let thread = tool.thread.as_deref().unwrap_or_default();
    let texts = [
        tool.title.as_str(),
        thread,
        tool.kind.word(),
        tool.edge.word(),
    ];
    texts.into_iter().flat_map(split)
}

fn split(text: &str) -> impl Iterator<Item = String> {
    text.split_whitespace().map(|token| {
        let token = token.trim_matches(|c: char| matches!(c, ',' | ';' | ':' | '(' | ')'));
        token.trim_end_matches('.').to_lowercase()
    })
}

/// Opens the list.
pub(super) fn open(model: &mut Model, purpose: Purpose) -> Vec<Effect> {
    let mut pick = Pick::new(purpose);
    if purpose == Purpose::Plan {
        // Enter at once leaves what is planned as it is.
        pick.cursor = model.state().and_then(State::planned_tool);
    }
    model.overlay = Some(Overlay::Pick(pick));
    vec![]
}

/// A key while the list is open.
pub(super) fn pressed(model: &mut Model, key: Key, at: Moment, mut pick: Pick) -> Vec<Effect> {
    let last = offers(model, pick.input.text()).len().saturating_sub(1);
    let by = |by: isize, cursor: Option<usize>| match cursor {
        None => 0,
        Some(at) if by == 1 && at == last => 0,
        Some(0) if by == -1 => last,
        Some(at) => at.saturating_add_signed(by).min(last),
    };
    match key {
        Key::Escape => return vec![],
        Key::Enter => return enter(model, at, pick),
        Key::Down | Key::Char('+') => pick.cursor = Some(by(1, pick.cursor)),
        Key::Up => pick.cursor = Some(by(-1, pick.cursor)),
        Key::PageDown => pick.cursor = Some(by(8, pick.cursor)),
        Key::PageUp => pick.cursor = Some(by(-8, pick.cursor)),
        Key::Char('*') => pick = Pick::new(pick.purpose),
        Key::Char('-') if pick.input.text().is_empty() => pick.cursor = Some(last),
        _ => {
            pick.input.press(key);
            // What fits best is marked; nothing typed marks none.
            let is_empty = pick.input.text().trim().is_empty();
            pick.cursor = (!is_empty).then_some(0);
        }
    }
    model.overlay = Some(Overlay::Pick(pick));
    vec![]
}

fn enter(model: &mut Model, at: Moment, pick: Pick) -> Vec<Effect> {
    let typed = pick.input.text().trim();
    if reasons::leaves(typed) {
        return vec![];
    }
    let all = offers(model, typed);
    let chosen = pick.cursor.and_then(|cursor| all.get(cursor).copied());
    match chosen {
        Some(Offer::InJob(place, rack)) => {
            let tool = rack.tool.clone();
            taken(model, at, pick.purpose, tool, Some(place))
        }
        Some(Offer::OfShelf(tool)) => {
            let tool = tool.clone();
            taken(model, at, pick.purpose, tool, None)
        }
        Some(Offer::OwnTool) => own_tool::open(model, pick.purpose),
        None => {
            model.refuse(
                "type a size, a thread or a name first, such as 4.2 or M6; 0 and Enter leave",
            );
            model.overlay = Some(Overlay::Pick(pick));
            vec![]
        }
    }
}

/// A tool was chosen; `place` is its place in the rack, if it is there.
pub(super) fn taken(
    model: &mut Model,
    at: Moment,
    purpose: Purpose,
    tool: Tool,
    place: Option<usize>,
) -> Vec<Effect> {
    let planned = model.state().and_then(State::planned_tool);
    match purpose {
        Purpose::Plan if place.is_some() && place == planned => vec![],
        Purpose::Plan => {
            let label = label(model, &tool);
            model.drafts.insert(Field::Tool, label);
            typing::take_form(model, Field::Tool, at)
        }
        Purpose::Swap => swap_to(model, at, tool, place),
    }
}

fn swap_to(model: &mut Model, at: Moment, tool: Tool, place: Option<usize>) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let (index, effects) = match place {
        Some(place) => (place, vec![]),
        None => {
            let index = state.rack.len();
            let event = Event::ToolAdded {
                number: None,
                tool: Box::new(tool),
                stick_out: None,
            };
            (index, apply(model, event, at).1)
        }
    };
    model.overlay = Some(Overlay::Words {
        asking: Asking::SwapReason(index),
        input: Input::default(),
        error: None,
    });
    effects
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::library::Library;

    fn found(typed: &str) -> Vec<String> {
        let library = Library::shipped();
        let words = words(typed);
        let tools = library.tools.items().iter().enumerate();
        let mut all: Vec<(u32, usize, String)> = tools
            .filter_map(|(place, tool)| Some((fit(tool, &words)?, place, tool.name.clone())))
            .collect();
        all.sort();
        all.into_iter().map(|(_, _, name)| name).collect()
    }

    #[test]
    fn a_size_is_found_however_it_is_written() {
        for typed in [
            "drill 4.2",
            "drill 4,2",
            "4.2 mm drill",
            "4.2mm dr",
            "drill-4.2",
        ] {
            assert_eq!(found(typed)[0], "drill-4.2", "{typed}");
        }
        assert_eq!(found("4.2 mm"), ["drill-4.2"]);
        assert_eq!(found("#7"), ["drill-no-7"]);
        assert_eq!(found("drill 1/4")[0], "drill-1-4-in");
        assert_eq!(found("M6 tap"), ["tap-m6", "hand-tap-m6", "drill-5"]);
        assert_eq!(
            found("1/4-20"),
            ["tap-1-4-20", "hand-tap-1-4-20", "drill-no-7"]
        );
        assert_eq!(found("6 end mill 2")[0], "em-6-2f");
        assert_eq!(found("clearance m6"), ["drill-6.4", "drill-6.6", "drill-7"]);
    }

    #[test]
    fn four_millimetres_are_no_other_size_and_no_letter_is_dropped() {
        let library = Library::shipped();
        for name in found("4 mm") {
            let tool = library.tools.get(&name).expect("it is there");
            assert!((tool.diameter_mm - 4.0).abs() < SAME_MM, "{name}");
        }
        // The diameter itself first, then what begins so.
        let four = found("drill 4");
        assert_eq!(four[0], "drill-4");
        assert!(four.contains(&"drill-4.2".to_owned()));
        assert_eq!(found("4 mm x"), Vec::<String>::new());
        assert_eq!(found("zebra"), Vec::<String>::new());
    }
}
