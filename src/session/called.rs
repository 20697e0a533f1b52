//! The ends of lists: announced, answered, judged by their pace; and coming back to one left in the middle.

use std::time::Duration;

use crate::job::caution::Caution;
use crate::session::event::Answer;
use crate::session::event::Refusal;
use crate::session::facts;
use crate::session::gate;
use crate::session::leaving;
use crate::session::lines::List;
use crate::session::lines::ListKind;
use crate::session::matrix;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::recovery;
use crate::session::state::Answered;
use crate::session::state::Ended;
use crate::session::state::State;

/// Who answers a line in less than this has hardly read it (our own figure, to be tuned by use).
pub const READING: Duration = Duration::from_secs(1);

/// A list of fewer lines is too short to judge its pace.
const FEWEST: usize = 3;

/// After this long an interrupted list begins again at its top (our own figure).
pub const AWAY: Duration = Duration::from_secs(600);

/// Whether an answer is to a line of this list in the setup, and operation, in work.
pub fn is_here(state: &State, list: ListKind, answered: &Answered) -> bool {
    let of_operation = list == ListKind::Start;
    answered.list == list
        && (list.is_of_session() || answered.setup == state.setup)
        && (!of_operation || answered.operation == state.operation)
}

fn last_end(state: &State, list: ListKind) -> Option<&Ended> {
    let of_operation = list == ListKind::Start;
    state.ended.iter().rev().find(|ended| {
        ended.list == list
            && (list.is_of_session() || ended.setup == state.setup)
            && (!of_operation || ended.operation == state.operation)
    })
}

/// The answers of a list that no answered end covers yet.
fn since_the_end(state: &State, list: ListKind) -> impl Iterator<Item = &Answered> {
    let end = last_end(state, list).map(|ended| ended.at);
    let since = state.answers.after(end);
    since.filter(move |answered| is_here(state, list, answered))
}

/// Whether every line is answered and the end of the list was answered after the last of them.
pub fn is_complete(state: &State, list: &List) -> bool {
    if list.lines.is_empty() {
        return true;
    }
    list.open() == 0
        && last_end(state, list.kind).is_some()
        && since_the_end(state, list.kind).next().is_none()
}

/// The last line of a list: its name and counts, the tool, the time of day.
pub fn words(state: &State, list: &List, at: Moment) -> String {
    let tool = state
        .in_spindle
        .and_then(|index| state.rack.get(index))
        .filter(|_| list.kind == ListKind::Start)
        .map_or(String::new(), |rack| match rack.number {
            Some(number) => format!(", tool {number}"),
            // The whole name stands where it is put in: the time of day must not be cut off.
            None => {
                let short = rack.tool.title.split(',').next();
                format!(", {}", short.unwrap_or_default())
            }
        });
    format!(
        "{}: {} of {} answered{tool}, {}",
        list.kind.heading().to_lowercase(),
        list.answered(),
        list.lines.len(),
        at.wall.format("%H:%M")
    )
}

/// The end of a list is answered.
///
/// # Errors
///
/// While a line of it is open.
pub fn end(state: &mut State, kind: ListKind, at: Moment) -> Result<(), Refusal> {
    let list = gate::list(state, kind);
    // Notes wait for this end until it comes, also where the computer's clock was put back before the answers.
    let is_over = kind != ListKind::Recovery && is_complete(state, &list);
    if list.lines.is_empty() || is_over {
        return Ok(());
    }
    if list.open() > 0 {
        return Err(Refusal::because(format!(
            "{} of {} answered, {} open",
            list.answered(),
            list.lines.len(),
            list.open()
        )));
    }
    let rushed = since_the_end(state, kind).any(was_rushed);
    let ended = Ended {
        at: match kind {
            ListKind::Recovery => recovery::end_at(state, at),
            _ => at.wall,
        },
        list: kind,
        setup: state.setup,
        operation: state.operation,
        text: words(state, &list, at),
        rushed,
    };
    state.ended.push(ended);
    if kind == ListKind::Leaving {
        leaving::ended(state, at);
    }
    Ok(())
}

fn was_rushed(answered: &Answered) -> bool {
    answered
        .fell
        .is_some_and(|fell| fell.what == Happening::ListRushed)
}

/// After the last line of a list was answered: when the list went by faster than it can be
/// read, its last critical line is asked once more, and the end will be marked.
///
/// The middle one of the times counts: a long look at one line does not make up for the rest.
pub fn judge_pace(state: &mut State, kind: ListKind, at: Moment) {
    let list = gate::list(state, kind);
    if list.lines.len() < FEWEST || list.open() > 0 {
        return;
    }
    if since_the_end(state, kind).any(was_rushed) {
        return;
    }
    let mut times: Vec<Duration> = since_the_end(state, kind)
        .filter(|answered| answered.stands && answered.answer == Answer::So)
        .map(|answered| answered.shown)
        .collect();
    times.sort();
    let is_fast = times.len() >= FEWEST && times[times.len() / 2] < READING;
    let last = list.lines.iter().rfind(|line| line.critical);
    if let Some(last) = last.filter(|_| is_fast) {
        let lines = [last.id.clone()];
        matrix::doubt_lines(state, Happening::ListRushed, kind, &lines, at);
    }
}

/// The lists that were left in the middle: which, how many lines are answered, of how many.
pub fn in_the_middle(state: &State) -> Vec<(ListKind, usize, usize)> {
    ListKind::ALL
        .into_iter()
        .map(|kind| gate::list(state, kind))
        .filter(|list| list.answered() > 0 && list.open() > 0)
        .filter(|list| since_the_end(state, list.kind).next().is_some())
        .map(|list| (list.kind, list.answered(), list.lines.len()))
        .collect()
}

/// The person comes back to what was left in the middle: each such list goes back one line, and
/// begins again at its top after ten minutes. Another day is another session for every list.
pub fn came_back(state: &mut State, away_s: f64, at: Moment) {
    let last = state.answers.latest();
    if last.is_some_and(|last| last.date_naive() != at.wall.date_naive()) && state.wrap_up.is_none()
    {
        facts::noticed(state, Happening::AnotherDay, at);
        return;
    }
    for (kind, ..) in in_the_middle(state) {
        let lines = gate::list(state, kind).lines;
        let answered = lines.iter().filter(|line| !line.state.is_open());
        if away_s > AWAY.as_secs_f64() {
            let ids: Vec<String> = answered.map(|line| line.id.clone()).collect();
            matrix::doubt_lines(state, Happening::TenMinutesPassed, kind, &ids, at);
        } else if let Some(last) = answered.clone().next_back() {
            let lines = [last.id.clone()];
            matrix::doubt_lines(state, Happening::ListInterrupted, kind, &lines, at);
        }
    }
}

/// Cautions that the person's profiles leave out, with the reasons, beside those that the record
/// has already: what was once left out stays said.
pub fn left_out(cautions: &[Caution], before: Vec<String>) -> Vec<String> {
    let mut all = before;
    for caution in cautions {
        if let Some(why) = &caution.left_out {
            let words = format!("{}: {why}", caution.id);
            if !all.contains(&words) {
                all.push(words);
            }
        }
    }
    all
}
