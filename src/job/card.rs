//! What stands on the emergency cards and on stoppage pages, as data: each line with the material, coolant and stoppage that it is for.
//!
//! Nothing here is made by changing words of another line. A line that recommends or forbids something to put a fire out names it in its
//! data, so that a test can hold the meaning and not only the words.

use crate::job::conditions::Condition;
use crate::job::conditions::Conditions;
use crate::job::conditions::Test;
use crate::job::conditions::Value;
use crate::job::mishap::Mishap;
use crate::source::Source;

/// What a key of a card has where nobody has stated it.
///
/// A card cannot wait for an answer: each line says itself whether it is shown then.
pub const NOT_STATED: &str = "not_stated";

/// Metals whose chips burn so that water, foam, CO2 and ordinary powder feed the fire (T.O. 1-1A-9 warning and para g(1); titanium
/// safety data sheet, 1986; zirconium from memory). What nobody has stated may be one of them.
pub const BURNING_METALS: [&str; 4] = ["magnesium", "titanium", "zirconium", NOT_STATED];

/// Where a line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum On {
    /// First of all, on every page: the emergency stop.
    Stop,
    /// The first page, about fire.
    FireFirst,
    /// The first page, about somebody who is hurt.
    HurtFirst,
    /// The fire card.
    Fire,
    /// The injury card.
    Injury,
    /// Its second page.
    FirstAid,
    /// When to press the emergency stop, and when feed hold.
    StopOrHold,
    /// Above the list of what happened and above each stoppage.
    Rule,
    /// The first act of a stoppage.
    Act,
    /// What to check after it, in order.
    Check,
    /// What to change after it.
    Change,
    /// How to go on after it.
    GoOn,
    /// Air at the cut, beside the numbers after packed chips.
    Jet,
    /// Where the words come from, on both cards.
    From,
}

impl On {
    /// Every place.
    pub const ALL: [Self; 14] = [
        Self::Stop,
        Self::FireFirst,
        Self::HurtFirst,
        Self::Fire,
        Self::Injury,
        Self::FirstAid,
        Self::StopOrHold,
        Self::Rule,
        Self::Act,
        Self::Check,
        Self::Change,
        Self::GoOn,
        Self::Jet,
        Self::From,
    ];

    /// Word used in the files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::FireFirst => "fire first",
            Self::HurtFirst => "hurt first",
            Self::Fire => "fire",
            Self::Injury => "injury",
            Self::FirstAid => "first aid",
            Self::StopOrHold => "stop or hold",
            Self::Rule => "rule",
            Self::Act => "act",
            Self::Check => "check",
            Self::Change => "change",
            Self::GoOn => "go on",
            Self::Jet => "jet",
            Self::From => "from",
        }
    }

    /// The place of a word used in the files.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|on| on.word() == word)
    }
}

/// What is laid or sprayed on a fire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Agent {
    /// Water.
    Water,
    /// Foam.
    Foam,
    /// Carbon dioxide.
    Co2,
    /// Ordinary (ABC) powder.
    Powder,
    /// Bone-dry sand.
    Sand,
    /// Powder for burning metal.
    ClassD,
}

impl Agent {
    /// Every agent.
    pub const ALL: [Self; 6] = [
        Self::Water,
        Self::Foam,
        Self::Co2,
        Self::Powder,
        Self::Sand,
        Self::ClassD,
    ];

    /// Word used in the files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::Foam => "foam",
            Self::Co2 => "co2",
            Self::Powder => "powder",
            Self::Sand => "sand",
            Self::ClassD => "class-d",
        }
    }

    /// The agent of a word used in the files.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|agent| agent.word() == word)
    }

    /// Whether it may be laid on burning metal.
    pub fn suits_metal(self) -> bool {
        matches!(self, Self::Sand | Self::ClassD)
    }
}

/// With what a first act stops the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopsBy {
    /// The emergency stop.
    EmergencyStop,
    /// Feed hold, lift clear, spindle off.
    FeedHold,
    /// Lift clear or the emergency stop, and no feed hold in the cut.
    LiftClear,
}

impl StopsBy {
    /// Every way.
    pub const ALL: [Self; 3] = [Self::EmergencyStop, Self::FeedHold, Self::LiftClear];

    /// Word used in the files.
    pub fn word(self) -> &'static str {
        match self {
            Self::EmergencyStop => "emergency stop",
            Self::FeedHold => "feed hold",
            Self::LiftClear => "lift clear",
        }
    }

    /// The way of a word used in the files.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|by| by.word() == word)
    }
}

/// One line of a card.
#[derive(Clone, Debug, PartialEq)]
pub struct CardLine {
    /// Where it stands.
    pub on: On,
    /// What it says.
    pub text: String,
    /// The same in forty characters, for small windows.
    pub brief: Option<String>,
    /// The same in twenty characters, for the smallest windows; only where it must not be missing there.
    pub short: Option<String>,
    /// Whether it is the heading of the lines below it.
    pub is_heading: bool,
    /// Of which stoppages; empty where it is of all, or of none.
    pub happened: Vec<Mishap>,
    /// All must hold; a key that nobody has stated counts as [`NOT_STATED`].
    pub when: Vec<Condition>,
    /// What it recommends on the fire.
    pub recommends: Vec<Agent>,
    /// What it forbids on the fire.
    pub forbids: Vec<Agent>,
    /// What it warns of, with no word on whether it suits the fire.
    pub warns_of: Vec<Agent>,
    /// With what a first act stops the machine, or what a rule is about.
    pub stops_by: Option<StopsBy>,
    /// Whether the emergency number of the shop stands behind it.
    pub has_number: bool,
    /// Whether it is a share that stands in for a number: where the number is known, the share says nothing more.
    pub is_share: bool,
    /// Where it comes from.
    pub source: Source,
}

impl CardLine {
    /// Whether it is shown for what is stated.
    pub fn applies(&self, happened: Option<Mishap>, stated: &Conditions) -> bool {
        let is_of =
            self.happened.is_empty() || happened.is_some_and(|what| self.happened.contains(&what));
        let not_stated = Value::Word(NOT_STATED.to_owned());
        is_of
            && self.when.iter().all(|condition| {
                let value = stated.get(&condition.key).unwrap_or(&not_stated);
                match &condition.test {
                    Test::OneOf(values) => values.contains(value),
                    Test::AtLeast(_) => condition.holds(stated) == Some(true),
                }
            })
    }
}

/// The lines at a place, in the order of the files.
pub fn select<'a>(
    lines: &'a [CardLine],
    on: On,
    happened: Option<Mishap>,
    stated: &Conditions,
) -> Vec<&'a CardLine> {
    lines
        .iter()
        .filter(|line| line.on == on && line.applies(happened, stated))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back() {
        for on in On::ALL {
            assert_eq!(On::from_word(on.word()), Some(on));
        }
        for agent in Agent::ALL {
            assert_eq!(Agent::from_word(agent.word()), Some(agent));
        }
        for by in StopsBy::ALL {
            assert_eq!(StopsBy::from_word(by.word()), Some(by));
        }
    }
}
