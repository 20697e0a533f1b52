//! Cautions: what to look at, when it applies, and which of them a list shows.

use std::ops::Deref;
use std::sync::Arc;

use std::fmt;

use crate::job::conditions::Condition;
use crate::job::conditions::Conditions;
use crate::job::operation::OperationKind;
use crate::job::shop_fact::ShopFact;
use crate::source::Source;

/// When in the work a caution is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Once a session, before the machine is live.
    BeforePower,
    /// Once a job or clamping.
    Setup,
    /// Each time a hand goes to the spindle.
    ToolChange,
    /// Before every start.
    BeforeStart,
    /// While it cuts: a reminder.
    Cutting,
    /// Before hands or tools go in for chips.
    ChipClearing,
    /// Before a gauge or a hand goes to the work.
    Measuring,
    /// Before the person leaves the machine.
    End,
    /// After a stop, a loss of power, a jam, fire or injury.
    Recovery,
}

impl Phase {
    /// Every phase in the order of the work.
    pub const ALL: [Self; 9] = [
        Self::BeforePower,
        Self::Setup,
        Self::ToolChange,
        Self::BeforeStart,
        Self::Cutting,
        Self::ChipClearing,
        Self::Measuring,
        Self::End,
        Self::Recovery,
    ];

    /// Word used in profiles and records.
    pub fn word(self) -> &'static str {
        match self {
            Self::BeforePower => "before_power",
            Self::Setup => "setup",
            Self::ToolChange => "tool_change",
            Self::BeforeStart => "before_start",
            Self::Cutting => "cutting",
            Self::ChipClearing => "chip_clearing",
            Self::Measuring => "measuring",
            Self::End => "end",
            Self::Recovery => "recovery",
        }
    }

    /// The phase of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|phase| phase.word() == word)
    }
}

/// Where the hand or the eye goes. The order is the walk of a list: from
/// oneself along the cutting loop outwards, with no return.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// The person's own body, clothes and mind.
    Person,
    /// Spindle, tool, drive and its cover.
    Spindle,
    /// The part and what holds it.
    Work,
    /// Table, axes, nozzles.
    Table,
    /// Door, guards, screen.
    Door,
    /// Panel, knobs, emergency stop, program.
    Controls,
    /// Floor, light, air, fire means, other people.
    Room,
}

impl Place {
    /// Every place in the order of the walk.
    pub const ALL: [Self; 7] = [
        Self::Person,
        Self::Spindle,
        Self::Work,
        Self::Table,
        Self::Door,
        Self::Controls,
        Self::Room,
    ];

    /// Word used in profiles.
    pub fn word(self) -> &'static str {
        match self {
            Self::Person => "person",
            Self::Spindle => "spindle",
            Self::Work => "work",
            Self::Table => "table",
            Self::Door => "door",
            Self::Controls => "controls",
            Self::Room => "room",
        }
    }

    /// The place of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|place| place.word() == word)
    }
}

/// One caution.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// Its name, lower case with hyphens.
    pub id: String,
    /// When it is asked.
    pub phase: Phase,
    /// Whether a start may not pass it by.
    pub critical: bool,
    /// The line on the screen, at most 70 characters.
    pub line: String,
    /// Why, one or two sentences.
    pub why: String,
    /// What to do where it is not so; nothing where nobody wrote it.
    pub otherwise: Option<String>,
    /// What it guards against, in a few words.
    pub hazard: String,
    /// The state a person confirms, such as "TIGHT"; every critical caution has
    /// one, others may be without.
    pub answer: Option<String>,
    /// Where the hand or the eye goes.
    pub place: Place,
    /// Whether it is asked again at every start, whatever was answered before.
    pub repeat: bool,
    /// Names of what makes an answer to it doubtful, beside what asks its whole list again.
    pub asked_again_by: Vec<String>,
    /// All must hold; empty means always.
    pub when: Vec<Condition>,
    /// Where it comes from, and how sure that is.
    pub source: Source,
    /// Whether the person worded a shipped one anew.
    pub reworded: bool,
    /// The checklist whose line it is.
    pub checklist: Option<ChecklistPlace>,
    /// What makes it a fact of the shop, if it is one: then no phase asks it.
    pub shop_fact: Option<ShopFact>,
    /// Why the person leaves it out, if so. It stays in every record.
    pub left_out: Option<String>,
}

/// A line's place in the person's own checklist of one kind of operation.
#[derive(Clone, Debug, PartialEq)]
pub struct ChecklistPlace {
    /// Heading of the checklist.
    pub title: String,
    /// The kind of operation that it is for.
    pub kind: OperationKind,
    /// Whether the next line is hidden until this one is answered.
    pub one_at_a_time: bool,
    /// Place among its lines, counted from 0.
    pub order: usize,
}

/// Whether a caution applies to what a job has stated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Applies {
    /// Every condition holds.
    Yes,
    /// A condition fails.
    No,
    /// No condition fails, but this key has not been stated.
    NotStated(String),
}

impl Caution {
    /// Whether the caution applies.
    ///
    /// One failed condition is enough for no; else one unstated key is a question.
    pub fn applies(&self, stated: &Conditions) -> Applies {
        let mut missing = None;
        for condition in &self.when {
            match condition.holds(stated) {
                Some(true) => {}
                Some(false) => return Applies::No,
                None => {
                    missing.get_or_insert(&condition.key);
                }
            }
        }
        missing.map_or(Applies::Yes, |key| Applies::NotStated(key.clone()))
    }

    /// Whether a list shows it: it applies, or it is critical and cannot be ruled out.
    pub fn is_shown(&self, stated: &Conditions) -> bool {
        if self.left_out.is_some() {
            return false;
        }
        match self.applies(stated) {
            Applies::Yes => true,
            Applies::No => false,
            Applies::NotStated(_) => self.critical,
        }
    }
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.line)
    }
}

/// The cautions that lists choose from, shared by all copies of a session, with their [`version`].
#[derive(Clone, Debug, PartialEq)]
pub struct Cautions {
    all: Arc<[Caution]>,
    version: Arc<str>,
}

impl Cautions {
    /// A short name for exactly these cautions, as [`version`] makes it.
    pub fn version(&self) -> &str {
        &self.version
    }
}

impl Default for Cautions {
    fn default() -> Self {
        Self::from(vec![])
    }
}

impl From<Vec<Caution>> for Cautions {
    fn from(all: Vec<Caution>) -> Self {
        Self {
            version: version(&all).into(),
            all: all.into(),
        }
    }
}

impl Deref for Cautions {
    type Target = [Caution];

    fn deref(&self) -> &[Caution] {
        &self.all
    }
}

/// A short name for exactly these cautions, so that an answer tells which list it was given to.
///
/// 64-bit FNV-1a of names, lines and conditions, cut to eight hexadecimal digits: it tells
/// lists apart and protects nothing.
pub fn version(cautions: &[Caution]) -> String {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut add = |text: &str| {
        for byte in text.bytes().chain([0]) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    };
    for caution in cautions {
        add(&caution.id);
        add(caution.phase.word());
        add(&caution.line);
        add(if caution.critical { "critical" } else { "" });
        add(&format!("{:?}", caution.when));
        if let Some(fact) = &caution.shop_fact {
            add(fact.reach.word());
            fact.withdrawn_by.iter().for_each(|what| add(what));
            add(if fact.needed { "needed" } else { "" });
        }
        if caution.left_out.is_some() {
            add("left out");
        }
    }
    format!("{:08x}", hash >> 32)
}

/// The cautions of one phase that a job must be asked, critical ones first, then
/// along the walk of [`Place`], then in the order given. The same input gives the same list.
pub fn select<'a>(cautions: &'a [Caution], phase: Phase, stated: &Conditions) -> Vec<&'a Caution> {
    let mut list: Vec<&Caution> = cautions
        .iter()
        .filter(|caution| caution.phase == phase && caution.shop_fact.is_none())
        .filter(|caution| caution.is_shown(stated))
        .collect();
    // A checklist of the person keeps its own order, behind what is asked anyway.
    list.sort_by_key(|caution| match &caution.checklist {
        None => (!caution.critical, 0, caution.place),
        Some(place) => (!caution.critical, place.order + 1, Place::Person),
    });
    list
}

/// The keys that cautions of these phases ask for and nobody has stated, in
/// the order of the alphabet: the questions of the setup.
pub fn unstated<'a>(
    cautions: &'a [Caution],
    phases: &[Phase],
    stated: &Conditions,
) -> Vec<&'a str> {
    let mut keys: Vec<&str> = cautions
        .iter()
        .filter(|caution| phases.contains(&caution.phase) && caution.left_out.is_none())
        .filter(|caution| matches!(caution.applies(stated), Applies::NotStated(_)))
        .flat_map(|caution| &caution.when)
        .map(|condition| condition.key.as_str())
        .filter(|key| stated.get(key).is_none())
        .collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::conditions::Test;
    use crate::job::conditions::Value;
    use crate::source::Standing;

    fn caution(id: &str, critical: bool, place: Place, when: Vec<Condition>) -> Caution {
        Caution {
            id: id.to_owned(),
            phase: Phase::Setup,
            critical,
            line: id.to_owned(),
            why: String::new(),
            otherwise: None,
            hazard: String::new(),
            answer: None,
            place,
            repeat: false,
            asked_again_by: vec![],
            when,
            source: Source {
                standing: Standing::CommonPractice,
                citation: String::new(),
            },
            reworded: false,
            checklist: None,
            shop_fact: None,
            left_out: None,
        }
    }

    fn word(key: &str, word: &str) -> Condition {
        Condition {
            key: key.to_owned(),
            test: Test::OneOf(vec![Value::Word(word.to_owned())]),
        }
    }

    #[test]
    fn a_critical_caution_is_shown_until_it_is_ruled_out() {
        let pvc = caution("pvc", true, Place::Work, vec![word("material", "pvc")]);
        let mut stated = Conditions::new();
        assert_eq!(
            pvc.applies(&stated),
            Applies::NotStated("material".to_owned())
        );
        assert!(pvc.is_shown(&stated));
        stated.word("material", "other");
        assert!(!pvc.is_shown(&stated));
        stated.word("material", "pvc");
        assert_eq!(pvc.applies(&stated), Applies::Yes);
    }

    #[test]
    fn one_failed_condition_outweighs_an_unstated_one() {
        let both = caution(
            "both",
            true,
            Place::Work,
            vec![word("extraction", "none"), word("material", "pvc")],
        );
        let mut stated = Conditions::new();
        stated.word("material", "other");
        assert_eq!(both.applies(&stated), Applies::No);
    }

    #[test]
    fn critical_lines_come_first_and_then_the_walk() {
        let cautions = [
            caution("room", true, Place::Room, vec![]),
            caution("hand", false, Place::Person, vec![]),
            caution("work", true, Place::Work, vec![]),
            caution("spindle", true, Place::Spindle, vec![]),
        ];
        let ids: Vec<_> = select(&cautions, Phase::Setup, &Conditions::new())
            .iter()
            .map(|caution| caution.id.as_str())
            .collect();
        assert_eq!(ids, ["spindle", "work", "room", "hand"]);
        assert!(select(&cautions, Phase::End, &Conditions::new()).is_empty());
    }

    #[test]
    fn unstated_keys_are_named_once() {
        let cautions = [
            caution("a", true, Place::Work, vec![word("material", "pvc")]),
            caution("b", false, Place::Work, vec![word("material", "ptfe")]),
        ];
        let keys = unstated(&cautions, &[Phase::Setup], &Conditions::new());
        assert_eq!(keys, ["material"]);
    }

    #[test]
    fn every_word_leads_back() {
        for phase in Phase::ALL {
            assert_eq!(Phase::from_word(phase.word()), Some(phase));
        }
        for place in Place::ALL {
            assert_eq!(Place::from_word(place.word()), Some(place));
        }
    }
}
