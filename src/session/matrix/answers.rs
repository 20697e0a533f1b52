//! Every answer that was ever given, in their order.
//!
//! A session is copied with each event, and its answers are by far the most of it. They stand in blocks that copies share, and a block
//! is copied only when one of its answers changes. A block knows what it holds, so that nobody goes through thousands of old answers to
//! find the few that stand.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::DateTime;
use chrono::FixedOffset;

use crate::session::state::Answered;

/// Answers to a block: copying one is quick, and the list of blocks is short.
const BLOCK: usize = 64;

/// So many answers at most, what was counted of them beside.
#[derive(Clone, Debug, PartialEq)]
struct Block {
    answers: Vec<Answered>,
    /// How many of them stand.
    standing: usize,
    /// How many of them stand, or name what made them fall.
    marked: usize,
    /// The latest time of day of any.
    latest: DateTime<FixedOffset>,
}

impl Block {
    fn of(first: Answered) -> Self {
        let mut block = Self {
            latest: first.at,
            answers: vec![first],
            standing: 0,
            marked: 0,
        };
        block.count();
        block
    }

    fn count(&mut self) {
        let stand = |answered: &&Answered| answered.stands;
        self.standing = self.answers.iter().filter(stand).count();
        let marked = |answered: &&Answered| answered.stands || answered.fell.is_some();
        self.marked = self.answers.iter().filter(marked).count();
        let latest = self.answers.iter().map(|answered| answered.at).max();
        self.latest = latest.unwrap_or(self.latest);
    }
}

/// How often a line was answered, and where it was last.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tally {
    times: usize,
    last: usize,
}

/// Every answer that was ever given, oldest first.
#[derive(Clone, Debug, Default)]
pub struct Answers {
    /// All but the last are full.
    blocks: Vec<Arc<Block>>,
    /// By the name of the line.
    lines: Arc<BTreeMap<Arc<str>, Tally>>,
}

impl Answers {
    /// How many.
    pub fn len(&self) -> usize {
        let last = self.blocks.last().map_or(0, |block| block.answers.len());
        self.blocks.len().saturating_sub(1) * BLOCK + last
    }

    /// Whether nobody has answered anything.
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }

    /// From the oldest to the newest.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &Answered> {
        self.blocks.iter().flat_map(|block| &block.answers)
    }

    /// The newest.
    pub fn last(&self) -> Option<&Answered> {
        self.blocks.last().and_then(|block| block.answers.last())
    }

    /// The latest time of day of any answer; the computer's clock may have been put back since.
    pub fn latest(&self) -> Option<DateTime<FixedOffset>> {
        self.blocks.iter().map(|block| block.latest).max()
    }

    /// Those that stand, from the oldest to the newest.
    pub fn standing(&self) -> impl Iterator<Item = &Answered> {
        let blocks = self.blocks.iter().filter(|block| block.standing > 0);
        let all = blocks.flat_map(|block| &block.answers);
        all.filter(|answered| answered.stands)
    }

    /// Those of a later time of day than this, or all; from the oldest to the newest.
    pub fn after(&self, end: Option<DateTime<FixedOffset>>) -> impl Iterator<Item = &Answered> {
        let is_after = move |at: DateTime<FixedOffset>| end.is_none_or(|end| at > end);
        let blocks = self.blocks.iter();
        let blocks = blocks.filter(move |block| is_after(block.latest));
        let all = blocks.flat_map(|block| &block.answers);
        all.filter(move |answered| is_after(answered.at))
    }

    /// How often a line of this name was answered.
    pub fn times(&self, line: &str) -> usize {
        self.lines.get(line).map_or(0, |tally| tally.times)
    }

    /// The newest answer to a line of this name that is meant.
    pub fn last_to(&self, line: &str, is_meant: impl Fn(&Answered) -> bool) -> Option<&Answered> {
        let last = self.lines.get(line)?.last;
        let (block, place) = (last / BLOCK, last % BLOCK);
        let newest = self.blocks[block].answers[..=place].iter().rev();
        let older = self.blocks[..block].iter().rev();
        newest
            .chain(older.flat_map(|block| block.answers.iter().rev()))
            .find(|answered| answered.line == line && is_meant(answered))
    }

    /// Adds the newest.
    pub(in crate::session::matrix) fn push(&mut self, mut new: Answered) {
        let place = self.len();
        // A line is answered again and again in the same words: they are kept once.
        if let Some(last) = self.last_to(&new.line, |_| true) {
            for (words, before) in [
                (&mut new.text, &last.text),
                (&mut new.version, &last.version),
            ] {
                if *words == *before {
                    words.clone_from(before);
                }
            }
        }
        let lines = Arc::make_mut(&mut self.lines);
        match lines.get_mut(new.line.as_str()) {
            Some(tally) => {
                tally.times += 1;
                tally.last = place;
            }
            None => {
                let tally = Tally {
                    times: 1,
                    last: place,
                };
                lines.insert(Arc::from(new.line.as_str()), tally);
            }
        }
        match self.blocks.last_mut() {
            Some(block) if block.answers.len() < BLOCK => {
                let block = Arc::make_mut(block);
                // As much as a full block takes and no more: a copy has room for itself alone, and would double it.
                let room = BLOCK - block.answers.len();
                block.answers.reserve_exact(room);
                block.answers.push(new);
                block.count();
            }
            _ => self.blocks.push(Arc::new(Block::of(new))),
        }
    }

    /// Changes those that stand and are meant.
    pub(in crate::session::matrix) fn change_standing(
        &mut self,
        is_meant: impl Fn(&Answered) -> bool,
        change: impl FnMut(&mut Answered),
    ) {
        let is_meant = |answered: &Answered| answered.stands && is_meant(answered);
        self.change_in(|block| block.standing > 0, is_meant, change);
    }

    /// Changes those that stand, or name what made them fall, and are meant.
    pub(in crate::session::matrix) fn change_marked(
        &mut self,
        is_meant: impl Fn(&Answered) -> bool,
        change: impl FnMut(&mut Answered),
    ) {
        let is_marked = |answered: &Answered| answered.stands || answered.fell.is_some();
        let is_meant = |answered: &Answered| is_marked(answered) && is_meant(answered);
        self.change_in(|block| block.marked > 0, is_meant, change);
    }

    /// Changes any that are meant.
    pub(in crate::session::matrix) fn change(
        &mut self,
        is_meant: impl Fn(&Answered) -> bool,
        change: impl FnMut(&mut Answered),
    ) {
        self.change_in(|_| true, is_meant, change);
    }

    fn change_in(
        &mut self,
        may_hold: impl Fn(&Block) -> bool,
        is_meant: impl Fn(&Answered) -> bool,
        mut change: impl FnMut(&mut Answered),
    ) {
        for block in &mut self.blocks {
            if !may_hold(block) || !block.answers.iter().any(&is_meant) {
                continue;
            }
            let block = Arc::make_mut(block);
            let meant = block
                .answers
                .iter_mut()
                .filter(|answered| is_meant(answered));
            meant.for_each(&mut change);
            block.count();
        }
    }
}

impl FromIterator<Answered> for Answers {
    fn from_iter<I: IntoIterator<Item = Answered>>(all: I) -> Self {
        let mut answers = Self::default();
        for answered in all {
            answers.push(answered);
        }
        answers
    }
}

impl PartialEq for Answers {
    fn eq(&self, other: &Self) -> bool {
        // Blocks that two copies share are the same without a look into them.
        let is_same = |(a, b): (&Arc<Block>, &Arc<Block>)| Arc::ptr_eq(a, b) || a == b;
        self.blocks.len() == other.blocks.len()
            && self.blocks.iter().zip(&other.blocks).all(is_same)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::time::Duration;

    use chrono::TimeDelta;
    use proptest::prelude::*;

    use crate::session::event::Answer;
    use crate::session::lines::ListKind;
    use crate::session::matrix::Happening;
    use crate::session::state::Fell;

    fn answered(line: usize, minute: i64) -> Answered {
        let day: DateTime<FixedOffset> = DateTime::UNIX_EPOCH.into();
        Answered {
            list: ListKind::Start,
            version: "1".into(),
            setup: line % 2,
            operation: 0,
            line: format!("line {line}"),
            text: "it is so".into(),
            answer: Answer::So,
            at: day + TimeDelta::minutes(minute),
            shown: Duration::from_secs(2),
            stands: true,
            fell: None,
        }
    }

    fn fall(answered: &mut Answered) {
        answered.stands = false;
        answered.fell = Some(Fell {
            at: answered.at,
            what: Happening::Crash,
        });
    }

    proptest! {
        /// Whatever is done, the blocks hold what one plain list would hold, and find in it what a look at each would.
        #[test]
        fn blocks_hold_what_one_list_would(steps in prop::collection::vec((0usize..4, 0usize..9, 0i64..50), 1..300)) {
            let mut blocks = Answers::default();
            let mut plain: Vec<Answered> = vec![];
            for (what, line, minute) in steps {
                let name = format!("line {line}");
                let is_it = |answered: &Answered| answered.line == name;
                let before = blocks.clone();
                let kept = plain.clone();
                match what {
                    0 | 1 => {
                        blocks.push(answered(line, minute));
                        plain.push(answered(line, minute));
                    }
                    2 => {
                        blocks.change_standing(is_it, fall);
                        plain.iter_mut().filter(|a| a.stands && is_it(a)).for_each(fall);
                    }
                    _ => {
                        blocks.change_marked(is_it, |a| (a.stands, a.fell) = (false, None));
                        let marked = plain.iter_mut().filter(|a| is_it(a));
                        marked.for_each(|a| (a.stands, a.fell) = (false, None));
                    }
                }
                // A copy that was made before has not changed.
                prop_assert!(before.iter().eq(&kept));
                prop_assert_eq!(before == blocks, kept == plain);
                prop_assert!(blocks.iter().eq(&plain));
                prop_assert_eq!(blocks.len(), plain.len());
                prop_assert_eq!(blocks.last(), plain.last());
                prop_assert_eq!(blocks.latest(), plain.iter().map(|a| a.at).max());
                prop_assert_eq!(blocks.times(&name), plain.iter().filter(|a| is_it(a)).count());
                prop_assert!(blocks.standing().eq(plain.iter().filter(|a| a.stands)));
                let here = |a: &Answered| a.setup == 0;
                let last = plain.iter().rev().find(|a| is_it(a) && here(a));
                prop_assert_eq!(blocks.last_to(&name, here), last);
                let end = answered(0, minute).at;
                prop_assert!(blocks.after(Some(end)).eq(plain.iter().filter(|a| a.at > end)));
            }
        }
    }
}
