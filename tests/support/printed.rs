//! The printed tables of what withdraws what, read as a person reads them, and held against what an event did.

use std::collections::BTreeMap;
use std::fs;

use millside::session::clock::Phase;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::fact::FactKey;
use millside::session::fact::FactKind;
use millside::session::fact::FactState;
use millside::session::lines::ListKind;
use millside::session::matrix::Happening;
use millside::session::state::Answered;
use millside::session::state::State;

const CUT: &str = "a cut began";
const ANOTHER: &str = "another operation or setup came into work, or an operation was opened again";
const LEFT: &str = "the mill was left, or the work went on";
const NOTED: &str = "a stoppage was noted";
const GUARD: &str = "a guard was taken off or put on";
const NOT_TRUE: &str = "the line was answered as not true";
const REMOVED: &str = "the operation was taken out";
const CHECK: &str = "the check found a stop that is not accepted";
const ZERO: &str = "another zero was stated";
const RAISED: &str = "Z was raised for the air run";
const BUT: &str = " (but those before a hand goes to the spindle)";

/// The rows of a table: first cell, then the words of each further cell.
type Rows = BTreeMap<String, Vec<Vec<String>>>;

/// The tables of DEVELOPERS.md.
pub struct Page {
    facts: Rows,
    lines: Rows,
    anew: Rows,
}

fn rows(page: &str, name: &str) -> Rows {
    let (_, from) = page
        .split_once(&format!("<!-- {name} begin -->"))
        .expect("a table");
    let (table, _) = from.split_once("<!-- ").expect("its end");
    let rows = table.lines().filter(|line| line.starts_with("| ")).skip(1);
    rows.map(|row| {
        let mut cells = row.trim_matches('|').split('|').map(str::trim);
        let first = cells.next().expect("a cell").trim_matches('`').to_owned();
        let words = |cell: &str| cell.split("; ").map(str::to_owned).collect();
        (first, cells.map(words).collect())
    })
    .collect()
}

/// What an event began anew, by its words.
fn began(before: &State, event: &Event, after: &State) -> Vec<&'static str> {
    let is_cut = after.current_operation().is_some_and(|o| o.kind.is_cut());
    match event {
        Event::CutBegan { .. } | Event::ClockTurned(Phase::Cutting) if is_cut => vec![CUT],
        Event::OperationEntered(index) if *index != before.operation => vec![ANOTHER],
        Event::Finished
        | Event::LeftOut(_)
        | Event::OperationReopened { .. }
        | Event::ToolSwapped { .. } => vec![ANOTHER],
        Event::StopNoted { .. } => vec![NOTED],
        Event::ConditionStated(key, value)
            if key == "guard_removed" && before.stated.get(key) != Some(value) =>
        {
            vec![GUARD]
        }
        Event::Answered {
            answer: Answer::NotSo(_),
            ..
        } => vec![NOT_TRUE],
        Event::OperationRemoved(_) => vec![REMOVED],
        Event::ZeroStated(zero) if before.current_setup().zero.as_ref() != Some(zero) => {
            vec![ZERO]
        }
        Event::AirRunMade(_) => vec![RAISED],
        Event::MillLeft => vec![LEFT],
        _ => vec![],
    }
}

impl Page {
    /// Reads the page.
    pub fn read() -> Self {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md");
        let page = fs::read_to_string(path).expect("the page is there");
        Self {
            facts: rows(&page, "matrix"),
            lines: rows(&page, "lines"),
            anew: rows(&page, "anew"),
        }
    }

    fn withdraws(&self, kind: FactKind, words: &str) -> bool {
        self.facts[kind.statement()][1].iter().any(|by| by == words)
    }

    /// Whether the list of an answer, or its own line, stands in the table with these words; `column`: 0 with a reason, 1 as new.
    fn asks(&self, answered: &Answered, words: &str, column: usize) -> bool {
        let list = format!("all of {}", answered.list.heading());
        let with = |name: &str| {
            let row = self.lines.get(name);
            row.is_some_and(|row| row[column].iter().any(|by| by == words))
        };
        with(&list) || with(&answered.line)
    }

    /// All that this event did otherwise than the tables say.
    pub fn contradicts(&self, before: &State, event: &Event, after: &State) -> Vec<String> {
        let mut wrong = vec![];
        let began = began(before, event, after);
        for (key, _) in before.facts.iter().filter(|(_, was)| was.is_good()) {
            match after.facts.get(key) {
                Some(FactState::Good { .. }) => {}
                Some(FactState::Redo { what, .. }) => {
                    if !self.withdraws(key.kind, what.row().words) {
                        wrong.push(format!("{key:?} fell by {what:?}"));
                    }
                }
                Some(FactState::Open) | None => {
                    let by = began.iter().copied().chain([CHECK]);
                    let named = |words: &&str| {
                        let opens = &self.anew[*words][0];
                        opens.iter().any(|fact| fact == key.kind.statement())
                            || [NOT_TRUE, REMOVED].contains(words)
                    };
                    if by.filter(named).count() == 0 {
                        wrong.push(format!("{key:?} opened by {event:?}"));
                    }
                }
            }
        }
        let pairs = before.answers.iter().zip(after.answers.iter());
        for (was, is) in pairs.filter(|(was, is)| was.stands && !is.stands) {
            let mut new = after.answers.iter().skip(before.answers.len());
            let is_explained = match is.fell {
                Some(fell) => {
                    let words = fell.what.row().words;
                    let named = &self.lines["those named as it happens"][0];
                    self.asks(was, words, 0)
                        || self.asks(was, &format!("{words}{BUT}"), 0)
                        || named.iter().any(|by| by == words)
                }
                None => {
                    let by = |new: &Answered| new.list == was.list && new.line == was.line;
                    new.any(by)
                        || began
                            .iter()
                            .chain(&[LEFT])
                            .any(|words| self.asks(was, words, 1))
                        || began.contains(&NOTED) && was.list == ListKind::Recovery
                        || began.contains(&REMOVED) && was.list == ListKind::Start
                }
            };
            if !is_explained {
                wrong.push(format!("{:?} {} by {event:?}", was.list, was.line));
            }
        }
        for logged in &after.log[before.log.len()..] {
            wrong.extend(self.remains_after(before, logged.what, after));
        }
        for words in began {
            wrong.extend(self.remains_anew(before, words, after));
        }
        wrong
    }

    /// What a happening should have withdrawn and did not.
    fn remains_after(&self, before: &State, what: Happening, after: &State) -> Vec<String> {
        let words = what.row().words;
        let everywhere = what.row().is_everywhere();
        let reaches = |setup: Option<usize>| everywhere || setup.is_none_or(|s| s == before.setup);
        let is_exempt = |key: &FactKey| {
            let programless = key
                .setup
                .is_some_and(|s| before.setups[s].program.is_none());
            let other = key.operation.is_some_and(|o| o != before.operation);
            key.kind == FactKind::Program && programless || what == Happening::RecipeEdited && other
        };
        let mut wrong = vec![];
        for (key, was) in before.facts.iter().filter(|(_, was)| was.is_good()) {
            let is_meant = self.withdraws(key.kind, words) && reaches(key.setup);
            // What is as it was, its time included, did not fall.
            if is_meant && !is_exempt(key) && after.facts.get(key) == Some(was) {
                let again = after.last_seen.wall;
                if !matches!(was, FactState::Good { since, .. } if *since == again) {
                    wrong.push(format!("{key:?} stays after {what:?}"));
                }
            }
        }
        for (was, is) in before.answers.iter().zip(after.answers.iter()) {
            let is_here =
                was.list == ListKind::Start || was.list.is_of_session() || reaches(Some(was.setup));
            if was.stands && is.stands && is_here && self.asks(was, words, 0) {
                wrong.push(format!("{:?} {} stays after {what:?}", was.list, was.line));
            }
        }
        wrong
    }

    /// What a new beginning should have opened and did not.
    fn remains_anew(&self, before: &State, words: &str, after: &State) -> Vec<String> {
        let mut wrong = vec![];
        for (key, _) in before.facts.iter().filter(|(_, was)| was.is_good()) {
            let opens = &self.anew[words][0];
            let is_meant = opens.iter().any(|fact| fact == key.kind.statement())
                && key.setup == Some(before.setup);
            if is_meant && after.facts.get(key).is_some_and(FactState::is_good) {
                wrong.push(format!("{key:?} stays though {words}"));
            }
        }
        for (was, is) in before.answers.iter().zip(after.answers.iter()) {
            if was.stands && is.stands && self.asks(was, words, 1) {
                wrong.push(format!("{:?} {} stays though {words}", was.list, was.line));
            }
        }
        wrong
    }
}
