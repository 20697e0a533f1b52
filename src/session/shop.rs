//! Facts of the person's own shop: how they stand, what makes them good, what withdraws them.

use crate::job::caution::Caution;
use crate::job::shop_fact::Reach;
use crate::job::shop_fact::ShopFact;
use crate::session::event::Answer;
use crate::session::event::Refusal;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::gate;
use crate::session::joined;
use crate::session::lines::Line;
use crate::session::lines::LineState;
use crate::session::lines::ListKind;
use crate::session::lines::OTHERWISE;
use crate::session::lines::Way;
use crate::session::matrix;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::session::state::Step;

/// One fact of the shop, of one thing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ShopKey {
    /// Its name in the person's profiles.
    pub id: String,
    /// Of which setup, counted from 0.
    pub setup: Option<usize>,
    /// Of which tool of the job, counted from 0.
    pub tool: Option<usize>,
    /// Of which operation of the setup, counted from 0.
    pub operation: Option<usize>,
}

/// How a fact of the shop stands. The statement stays with it: the profile may be gone when the
/// record is read.
#[derive(Clone, Debug, PartialEq)]
pub struct ShopSaid {
    /// What it says.
    pub statement: String,
    /// How it stands.
    pub state: FactState,
}

/// The facts that the person's profiles add, each with the caution that words it.
pub fn all(state: &State) -> impl Iterator<Item = (&Caution, &ShopFact)> {
    state
        .cautions
        .iter()
        .filter(|caution| caution.left_out.is_none())
        .filter_map(|caution| Some((caution, caution.shop_fact.as_ref()?)))
}

/// Those that stand at a step of the rail.
pub fn at_step(state: &State, step: Step) -> impl Iterator<Item = (&Caution, &ShopFact)> {
    all(state).filter(move |(_, fact)| fact.step == step.word())
}

fn key(state: &State, id: &str, reach: Reach) -> ShopKey {
    let of_setup = matches!(reach, Reach::Setup | Reach::Operation);
    ShopKey {
        id: id.to_owned(),
        setup: of_setup.then_some(state.setup),
        tool: state.planned_tool().filter(|_| reach == Reach::Tool),
        operation: (reach == Reach::Operation).then_some(state.operation),
    }
}

/// How a fact stands for the operation in work.
pub fn stands(state: &State, id: &str) -> FactState {
    all(state)
        .find(|(caution, _)| caution.id == id)
        .and_then(|(caution, fact)| state.shop.get(&key(state, &caution.id, fact.reach)))
        .map_or(FactState::Open, |said| said.state.clone())
}

/// The facts that an answer to this line makes good: of its own name, or bound to it.
fn of_line<'a>(state: &'a State, line: &str) -> Vec<(&'a Caution, &'a ShopFact)> {
    let also = joined::answered_with(state, line);
    all(state)
        .filter(|(caution, fact)| match &fact.with_line {
            None => caution.id == line,
            Some(with) => caution.id == line || with == line || Some(with.as_str()) == also,
        })
        .collect()
}

/// A line of a list was answered: the facts that hang on it follow.
pub(in crate::session) fn answered(state: &mut State, line: &str, answer: &Answer, at: Moment) {
    let said: Vec<(ShopKey, ShopSaid)> = of_line(state, line)
        .into_iter()
        .map(|(caution, fact)| {
            let key = key(state, &caution.id, fact.reach);
            (key, good(caution, at))
        })
        .collect();
    for (key, good) in said {
        match answer {
            Answer::So => matrix::say_shop(state, key, good),
            Answer::NotSo(_) => matrix::not_so(state, None, &[key]),
        }
    }
}

fn good(caution: &Caution, at: Moment) -> ShopSaid {
    ShopSaid {
        statement: caution.line.clone(),
        state: FactState::Good {
            since: at.wall,
            by: SaidBy::Confirmed,
            value: caution.answer.clone(),
        },
    }
}

/// The person looked, at the step where the fact stands, and said that it is so.
///
/// # Errors
///
/// When no profile has such a fact, or a line of a list is asked for it.
pub(in crate::session) fn confirm(state: &mut State, id: &str, at: Moment) -> Result<(), Refusal> {
    let Some((caution, fact)) = all(state).find(|(caution, _)| caution.id == id) else {
        return Err(Refusal::because("your profiles have no such fact now"));
    };
    if fact.with_line.is_some() {
        return Err(Refusal::because(
            "a line of a list is asked for it: answer that",
        ));
    }
    let key = key(state, id, fact.reach);
    let good = good(caution, at);
    matrix::say_shop(state, key, good);
    Ok(())
}

/// How a line stands on which facts of the shop hang that a cut waits for: answered only while
/// they are good.
pub(in crate::session) fn with_facts(
    state: &State,
    line: &str,
    as_answered: LineState,
) -> LineState {
    if as_answered.is_open() {
        return as_answered;
    }
    of_line(state, line)
        .into_iter()
        .filter(|(caution, fact)| fact.needed && caution.id != line)
        .map(|(caution, _)| stands(state, &caution.id))
        .find(|fact| !fact.is_good())
        .map_or(LineState::Answered, |fact| match fact {
            FactState::Redo { what, since } => LineState::Redo(what, since),
            _ => LineState::Open,
        })
}

/// The lines of the list before a cut that ask for facts of the shop: those that it needs, that
/// no other line asks for, and that are not good or were answered in this very list.
pub(in crate::session) fn lines(state: &State, asked: impl Fn(&str) -> bool) -> Vec<Line> {
    let needed = all(state).filter(|(_, fact)| fact.needed);
    needed
        .filter(|(_, fact)| fact.with_line.as_deref().is_none_or(|line| !asked(line)))
        .filter_map(|(caution, _)| {
            let last = gate::last_answer(state, ListKind::Start, &caution.id)
                .filter(|answered| answered.stands);
            let line_state = match (stands(state, &caution.id), last.map(|a| &a.answer)) {
                (FactState::Redo { what, since }, _) => LineState::Redo(what, since),
                (FactState::Open, Some(Answer::NotSo(words))) => LineState::NotSo(words.clone()),
                (FactState::Open, _) => LineState::Open,
                (FactState::Good { .. }, Some(_)) => LineState::Answered,
                (FactState::Good { .. }, None) => return None,
            };
            Some(line(caution, line_state))
        })
        .collect()
}

fn line(caution: &Caution, state: LineState) -> Line {
    Line {
        id: caution.id.clone(),
        text: caution.line.clone(),
        word: caution.answer.clone().unwrap_or_else(|| "SEEN".to_owned()),
        why: if caution.why.is_empty() {
            "A fact of your own profiles: the clock waits until it is good.".to_owned()
        } else {
            caution.why.clone()
        },
        otherwise: caution
            .otherwise
            .clone()
            .unwrap_or_else(|| OTHERWISE.to_owned()),
        says: None,
        critical: true,
        is_worst: false,
        part: 0,
        fact: None,
        way: Way::Press,
        is_at_spindle: false,
        state,
    }
}
