//! The only code that withdraws an answer or a fact, and only by a row of the tables.

use chrono::DateTime;
use chrono::FixedOffset;

use crate::session::fact::FactKey;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::gate;
use crate::session::lines::ListKind;
use crate::session::matrix::Anew;
use crate::session::matrix::Asks;
use crate::session::matrix::Happening;
use crate::session::matrix::asks_line;
use crate::session::moment::Moment;
use crate::session::shop::ShopKey;
use crate::session::shop::ShopSaid;
use crate::session::state::Answered;
use crate::session::state::Fell;
use crate::session::state::State;

/// Makes a fact good.
pub(in crate::session) fn say(
    state: &mut State,
    key: FactKey,
    since: DateTime<FixedOffset>,
    by: SaidBy,
    value: Option<String>,
) {
    let good = FactState::Good { since, by, value };
    state.facts.change().insert(key, good);
}

/// Makes a fact of the shop good.
pub(in crate::session) fn say_shop(state: &mut State, key: ShopKey, said: ShopSaid) {
    state.shop.change().insert(key, said);
}

/// Keeps an answer; it takes the place of the older ones to the same line.
pub(in crate::session) fn answer(state: &mut State, new: Answered) {
    let answers = state.answers.change();
    answers.change_standing(
        |old| old.list == new.list && old.line == new.line,
        |old| old.stands = false,
    );
    answers.push(new);
}

/// The answer stands no more, for this reason.
fn fall(answered: &mut Answered, what: Happening, at: Moment) {
    answered.stands = false;
    answered.fell = Some(Fell { at: at.wall, what });
}

/// The line is open as if nobody had answered it.
fn open(answered: &mut Answered) {
    answered.stands = false;
    answered.fell = None;
}

/// Withdraws what the row of a happening says; whether a cut waits for it.
pub(in crate::session) fn doubt(state: &mut State, what: Happening, at: Moment) -> bool {
    let row = what.row();
    let withdrawn = what.withdraws();
    let everywhere = row.is_everywhere();
    let (here, operation) = (state.setup, state.operation);
    // Depth or stepover of one operation says nothing of another.
    let is_own =
        |of: Option<usize>| what != Happening::RecipeEdited || of.is_none_or(|of| of == operation);
    let reaches = |setup: Option<usize>| everywhere || setup.is_none_or(|setup| setup == here);
    let has_program: Vec<bool> = state.setups.iter().map(|s| s.program.is_some()).collect();
    for (key, fact) in state.facts.change() {
        // Where no program is, none can disagree.
        let has_none = key
            .setup
            .is_some_and(|setup| has_program.get(setup) == Some(&false));
        let stays = key.kind == FactKind::Program && has_none;
        let is_meant = withdrawn.contains(&key.kind) && !stays;
        if is_meant && reaches(key.setup) && is_own(key.operation) && fact.is_good() {
            *fact = FactState::Redo {
                since: at.wall,
                what,
            };
        }
    }
    let shop_waits = doubt_shop(
        state,
        what,
        |key| reaches(key.setup) && is_own(key.operation),
        at,
    );
    // That the spindle is dead is answered just before the hand goes to it.
    let kept = match row.asks {
        Asks::StartButBeforeTheHand => gate::before_the_hand(state),
        _ => vec![],
    };
    let asked = lines_asked(state, row.id, row.conditions);
    let mut fell = false;
    let is_asked = |answered: &Answered| {
        let is_start = answered.list == ListKind::Start;
        let with_list = match row.asks {
            Asks::Nothing => false,
            Asks::Start => is_start,
            Asks::StartButBeforeTheHand => is_start && !kept.contains(&answered.line),
            Asks::EveryList => true,
        };
        let is_here = is_start || answered.list.is_of_session() || reaches(Some(answered.setup));
        with_list || is_here && asked.contains(&answered.line)
    };
    state
        .answers
        .change()
        .change_standing(is_asked, |answered| {
            fell = true;
            fall(answered, what, at);
        });
    fell || row.reopens_list() || !withdrawn.is_empty() || shop_waits || what == Happening::HandsIn
}

/// Names of the cautions whose lines this asks again by their own data.
fn lines_asked(state: &State, id: &str, conditions: &[&str]) -> Vec<String> {
    state
        .cautions
        .iter()
        .filter(|caution| asks_line(id, conditions, caution))
        .map(|caution| caution.id.clone())
        .collect()
}

/// Withdraws what the person's profiles say; whether a fact fell that a cut waits for.
fn doubt_shop(
    state: &mut State,
    what: Happening,
    reaches: impl Fn(&ShopKey) -> bool,
    at: Moment,
) -> bool {
    let named = |by: &String| {
        let mut also = what.comes_with().iter();
        by == what.row().id || also.any(|other| by == other.row().id)
    };
    let cautions = state.cautions.clone();
    let mut waits = false;
    for (key, said) in state.shop.change() {
        let fact = cautions
            .iter()
            .filter(|caution| caution.id == key.id && caution.left_out.is_none())
            .find_map(|caution| caution.shop_fact.as_ref());
        let Some(fact) = fact.filter(|fact| fact.withdrawn_by.iter().any(named)) else {
            continue;
        };
        if reaches(key) && said.state.is_good() {
            said.state = FactState::Redo {
                since: at.wall,
                what,
            };
            waits |= fact.needed;
        }
    }
    waits
}

/// Asks single lines of a list of the setup, and operation, in work again: of a happening that names lines.
pub(in crate::session) fn doubt_lines(
    state: &mut State,
    what: Happening,
    kind: ListKind,
    lines: &[String],
    at: Moment,
) {
    debug_assert!(what.row().names_lines, "{what:?} names no lines");
    let (setup, operation) = (state.setup, state.operation);
    let is_named = |answered: &Answered| {
        let is_here = answered.list == kind
            && (kind.is_of_session() || answered.setup == setup)
            && (kind != ListKind::Start || answered.operation == operation);
        is_here && lines.contains(&answered.line)
    };
    let answers = state.answers.change();
    answers.change_standing(is_named, |answered| fall(answered, what, at));
}

/// Opens what the row says; `lines` are those of the list after a stop that are named as it happens.
pub(in crate::session) fn anew(state: &mut State, what: Anew, lines: &[String]) {
    let row = what.row();
    let here = state.setup;
    let facts = state.facts.change();
    facts.retain(|key, _| !row.opens.contains(&key.kind) || key.setup != Some(here));
    let asked = lines_asked(state, row.id, &[]);
    let is_opened = |answered: &Answered| {
        let is_named = answered.list == ListKind::Recovery && lines.contains(&answered.line);
        row.lists.contains(&answered.list) || asked.contains(&answered.line) || is_named
    };
    state.answers.change().change_marked(is_opened, open);
}

/// The person said that a line is not true: its fact and the facts of the shop that hang on it are open.
pub(in crate::session) fn not_so(state: &mut State, fact: Option<FactKey>, shop: &[ShopKey]) {
    if let Some(key) = fact {
        state.facts.change().remove(&key);
    }
    for key in shop {
        state.shop.change().remove(key);
    }
}

/// All that is kept by the place of an operation of the setup in work goes with it to its new place; where it has none the operation
/// was taken out.
pub(in crate::session) fn renumber(state: &mut State, to: impl Fn(usize) -> Option<usize>) {
    let setup = state.setup;
    let moved = |of: Option<usize>, operation: Option<usize>| match operation {
        Some(operation) if of == Some(setup) => to(operation).map(Some),
        other => Some(other),
    };
    let facts = state.facts.change();
    *facts = std::mem::take(facts)
        .into_iter()
        .filter_map(|(mut key, fact)| {
            key.operation = moved(key.setup, key.operation)?;
            Some((key, fact))
        })
        .collect();
    let shop = state.shop.change();
    *shop = std::mem::take(shop)
        .into_iter()
        .filter_map(|(mut key, said)| {
            key.operation = moved(key.setup, key.operation)?;
            Some((key, said))
        })
        .collect();
    let answers = state.answers.change();
    answers.change(
        |answered| answered.setup == setup && to(answered.operation) != Some(answered.operation),
        |answered| match to(answered.operation) {
            Some(place) => answered.operation = place,
            // It was about an operation that is no more.
            None if answered.list == ListKind::Start => open(answered),
            None => {}
        },
    );
}
