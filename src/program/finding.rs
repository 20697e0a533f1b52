//! What the reader and the check have to say, grouped and capped.

use crate::program::text;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Worth knowing.
    Note,
    /// The path is known, but something is not as it should be.
    Warn,
    /// A person must look before anything is cut.
    Stop,
}

impl Level {
    /// Word used on screen and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warn => "warn",
            Self::Stop => "stop",
        }
    }
}

/// A kind of finding: its stable id, its usual level and what to do about it.
#[derive(Debug, PartialEq, Eq)]
pub struct Rule {
    /// Stable name in kebab case.
    pub id: &'static str,
    /// Usual level; one finding may be milder or graver where its message says why.
    pub level: Level,
    /// Whether the tool's place is a guess from there on when the level is `stop`.
    pub is_uncertain: bool,
    /// What to do, a full sentence.
    pub remedy: &'static str,
}

/// One finding, or several of one kind and message.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable name of the rule, in kebab case.
    pub id: &'static str,
    /// How much it matters.
    pub level: Level,
    /// Line of the file where it was met first, counted from 1; 0 for the file as a whole.
    pub line: u64,
    /// Column of the line, counted from 1; 0 for the line as a whole.
    pub column: u32,
    /// The block as written, escaped and cut.
    pub block: String,
    /// What is wrong, a full sentence.
    pub message: String,
    /// What to do, a full sentence.
    pub remedy: String,
    /// How often it was met.
    pub count: u64,
}

/// Different messages kept for one rule; more of them only raise the count.
const MESSAGES_PER_RULE: usize = 8;
/// Characters kept of a block.
pub const BLOCK_CHARS: usize = 80;

/// Where a finding was met.
#[derive(Clone, Copy, Debug)]
pub struct Place<'a> {
    /// Line, counted from 1; 0 for the whole file.
    pub line: u64,
    /// Column, counted from 1; 0 for the whole line.
    pub column: u32,
    /// Bytes of the line.
    pub text: &'a [u8],
}

impl Place<'_> {
    /// The file as a whole.
    pub const FILE: Place<'static> = Place {
        line: 0,
        column: 0,
        text: b"",
    };
}

#[derive(Clone, Debug, PartialEq)]
struct Entry {
    rule: &'static Rule,
    key: u64,
    finding: Finding,
}

/// Findings grouped by rule and key, in the order first met.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    entries: Vec<Entry>,
    uncertain_from: Option<u64>,
}

impl Findings {
    /// Adds a finding at the rule's own level.
    ///
    /// Findings of one rule and `key` are one entry with a count; `message` is called
    /// for the first of them only.
    pub fn add(
        &mut self,
        rule: &'static Rule,
        place: Place<'_>,
        key: u64,
        message: impl FnOnce() -> String,
    ) {
        self.add_at(rule, rule.level, place, key, message);
    }

    /// Adds a finding at a level of its own.
    pub fn add_at(
        &mut self,
        rule: &'static Rule,
        level: Level,
        place: Place<'_>,
        key: u64,
        message: impl FnOnce() -> String,
    ) {
        if level == Level::Stop && rule.is_uncertain && self.uncertain_from.is_none() {
            self.uncertain_from = Some(place.line);
        }
        let mut of_rule = 0;
        let mut first_of_rule = None;
        for (i, entry) in self.entries.iter_mut().enumerate() {
            if std::ptr::eq(entry.rule, rule) {
                if entry.key == key && entry.finding.level == level {
                    entry.finding.count += 1;
                    return;
                }
                of_rule += 1;
                first_of_rule.get_or_insert(i);
            }
        }
        // A graver level is always kept, even beyond the cap.
        if of_rule >= MESSAGES_PER_RULE
            && let Some(first) = first_of_rule
            && self.entries[first].finding.level >= level
        {
            self.entries[first].finding.count += 1;
            return;
        }
        if of_rule >= 2 * MESSAGES_PER_RULE
            && let Some(first) = first_of_rule
        {
            self.entries[first].finding.count += 1;
            self.entries[first].finding.level = self.entries[first].finding.level.max(level);
            return;
        }
        self.entries.push(Entry {
            rule,
            key,
            finding: Finding {
                id: rule.id,
                level,
                line: place.line,
                column: place.column,
                block: text::printable(place.text, BLOCK_CHARS),
                message: message(),
                remedy: rule.remedy.to_owned(),
                count: 1,
            },
        });
    }

    /// The first line from which the tool's place is a guess.
    pub fn uncertain_from(&self) -> Option<u64> {
        self.uncertain_from
    }

    /// Forgets the findings of these rules: later lines have explained them.
    pub fn forget(&mut self, rules: &[&'static Rule]) {
        self.entries
            .retain(|entry| rules.iter().all(|rule| rule.id != entry.rule.id));
        self.uncertain_from = self
            .entries
            .iter()
            .filter(|e| e.finding.level == Level::Stop && e.rule.is_uncertain)
            .map(|e| e.finding.line)
            .min();
    }

    /// Whether a rule has a finding.
    pub fn has(&self, rule: &'static Rule) -> bool {
        self.entries.iter().any(|entry| entry.rule.id == rule.id)
    }

    /// How many entries are held.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The findings, gravest first, then by line.
    pub fn into_sorted(self) -> Vec<Finding> {
        let mut all: Vec<Finding> = self.entries.into_iter().map(|e| e.finding).collect();
        all.sort_by(|a, b| b.level.cmp(&a.level).then(a.line.cmp(&b.line)));
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    static RULE: Rule = Rule {
        id: "some-rule",
        level: Level::Warn,
        is_uncertain: true,
        remedy: "Do something.",
    };

    fn place(line: u64) -> Place<'static> {
        Place {
            line,
            column: 1,
            text: b"G1",
        }
    }

    #[test]
    fn findings_of_one_kind_are_counted_and_capped() {
        let mut findings = Findings::default();
        for line in 1..=1000 {
            findings.add(&RULE, place(line), line % 50, || "message".to_owned());
        }
        assert_eq!(findings.len(), MESSAGES_PER_RULE);
        let total: u64 = findings.into_sorted().iter().map(|f| f.count).sum();
        assert_eq!(total, 1000);
    }

    #[test]
    fn a_stop_is_not_lost_behind_a_crowd_of_warnings() {
        let mut findings = Findings::default();
        for line in 1..=100 {
            findings.add(&RULE, place(line), line, || "warning".to_owned());
        }
        findings.add_at(&RULE, Level::Stop, place(101), 500, || "grave".to_owned());
        assert_eq!(findings.uncertain_from(), Some(101));
        let sorted = findings.into_sorted();
        assert_eq!(sorted[0].level, Level::Stop);
        assert_eq!(sorted[0].message, "grave");
    }

    #[test]
    fn forgetting_a_rule_takes_its_uncertainty_with_it() {
        let mut findings = Findings::default();
        findings.add_at(&RULE, Level::Stop, place(3), 0, || "grave".to_owned());
        findings.forget(&[&RULE]);
        assert!(findings.is_empty());
        assert_eq!(findings.uncertain_from(), None);
    }
}
