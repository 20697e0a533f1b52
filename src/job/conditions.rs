//! What a job has stated about machine, metal, tool and place, and the tests on it.
//!
//! A key that nobody has stated is not a "no": it is a question.

use std::collections::BTreeMap;
use std::fmt;

/// One stated value.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A word of the key's vocabulary.
    Word(String),
    /// Yes or no.
    Truth(bool),
    /// A number in the unit of the key's name.
    Number(f64),
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Word(word) => f.write_str(word),
            Self::Truth(true) => f.write_str("yes"),
            Self::Truth(false) => f.write_str("no"),
            Self::Number(number) => write!(f, "{number}"),
        }
    }
}

/// What kind of value a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// One of these, which the program itself states of tool, material, holding, operation or stop.
    ///
    /// Records of another version may hold more; nothing here ever states those.
    Given(&'static [&'static str]),
    /// Yes or no.
    Truth,
    /// A number, zero or more.
    Number,
}

/// A key that a caution may ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// Name in profiles and records.
    pub name: &'static str,
    /// Values it takes.
    pub takes: Takes,
    /// Question to the person when it has not been stated.
    pub question: &'static str,
    /// Whether it is equipment of machine or shop, which a machine's profile may propose. What belongs to the work in hand or to the
    /// moment, such as a guard that is off, no profile can know: it is said for each job.
    pub is_equipment: bool,
}

/// Every key, in the order of the alphabet.
pub const KEYS: &[Key] = &[
    Key {
        name: "air_gun",
        takes: Takes::Truth,
        question: "Is there an air gun in the shop?",
        is_equipment: true,
    },
    Key {
        name: "bond_warm",
        takes: Takes::Truth,
        question: "Was much cut on tape or glue without a rest?",
        is_equipment: false,
    },
    Key {
        name: "chips",
        takes: Takes::OneOf(&["short", "stringy", "dust"]),
        question: "What chips does it make?",
        is_equipment: false,
    },
    Key {
        name: "drawbar",
        takes: Takes::OneOf(&["manual", "power"]),
        question: "Is the tool clamped by hand or by a power drawbar?",
        is_equipment: true,
    },
    Key {
        name: "drive",
        takes: Takes::OneOf(&["belt", "gear", "direct"]),
        question: "What stands between motor and spindle?",
        is_equipment: true,
    },
    Key {
        name: "drive_cover",
        takes: Takes::OneOf(&["open", "closed"]),
        question: "Can the belt cover be opened without a tool?",
        is_equipment: true,
    },
    Key {
        name: "enclosure",
        takes: Takes::OneOf(&["none", "partial", "full"]),
        question: "How far is the machine enclosed?",
        is_equipment: true,
    },
    Key {
        name: "event",
        takes: Takes::Given(&[
            "jam",
            "tool_broke",
            "power_lost",
            "emergency_stop",
            "fire",
            "injury",
            "part_moved",
            "tool_slipped",
            "chatter",
            "poor_finish",
            "hot",
            "wrong_place",
            "spindle_stalled",
            "chip_nest",
            "shaking",
            "other",
        ]),
        question: "What happened?",
        is_equipment: false,
    },
    Key {
        name: "extraction",
        takes: Takes::OneOf(&["none", "present"]),
        question: "Is there dust extraction at the cutter?",
        is_equipment: true,
    },
    Key {
        name: "feed",
        takes: Takes::OneOf(&["hand", "program"]),
        question: "Is the feed by hand or by the program?",
        is_equipment: true,
    },
    Key {
        name: "first_run",
        takes: Takes::Truth,
        question: "Is this the first run of the program on this setup?",
        is_equipment: false,
    },
    Key {
        name: "fluid",
        takes: Takes::OneOf(&["dry", "air", "water_mix", "mist", "neat_oil", "alcohol"]),
        question: "What cools and clears the cut?",
        is_equipment: true,
    },
    Key {
        name: "gravity_axis",
        takes: Takes::Truth,
        question: "Can the head sink when the power is off?",
        is_equipment: true,
    },
    Key {
        name: "guard_removed",
        takes: Takes::Truth,
        question: "Does this work need a guard off?",
        is_equipment: false,
    },
    Key {
        name: "lift_kg",
        takes: Takes::Number,
        question: "What is the heaviest piece to lift, in kg?",
        is_equipment: false,
    },
    Key {
        name: "lighting",
        takes: Takes::OneOf(&["steady", "mains_flicker"]),
        question: "Is the light at the tool steady?",
        is_equipment: true,
    },
    Key {
        name: "material",
        takes: Takes::Given(&[
            "magnesium",
            "titanium",
            "zirconium",
            "aluminium",
            "beryllium_copper",
            "leaded_brass",
            "leaded_steel",
            "cast_iron",
            "graphite",
            "carbon_fibre",
            "glass_epoxy",
            "phenolic_laminate",
            "aramid",
            "ptfe",
            "pvc",
            "other",
        ]),
        question: "What is being cut?",
        is_equipment: false,
    },
    Key {
        name: "material_class",
        takes: Takes::OneOf(&["plastic", "metal", "composite"]),
        question: "Is it plastic, metal or composite?",
        is_equipment: false,
    },
    Key {
        name: "mounting",
        takes: Takes::OneOf(&["bench", "floor"]),
        question: "Does the machine stand on a bench or on the floor?",
        is_equipment: true,
    },
    Key {
        name: "noise_dba",
        takes: Takes::Number,
        question: "How loud is the cut at your ear, in dBA?",
        is_equipment: true,
    },
    Key {
        name: "operation",
        takes: Takes::Given(&["slot", "drill", "drill_through", "tap", "other"]),
        question: "What operation is it?",
        is_equipment: false,
    },
    Key {
        name: "position_at_stop",
        takes: Takes::OneOf(&["lost", "kept"]),
        question: "Does the machine keep its position through an emergency stop?",
        is_equipment: true,
    },
    Key {
        name: "rigidity",
        takes: Takes::OneOf(&["low", "normal"]),
        question: "How stiff is the machine?",
        is_equipment: true,
    },
    Key {
        name: "shared_space",
        takes: Takes::Truth,
        question: "Can others, or children, come near the machine?",
        is_equipment: true,
    },
    Key {
        name: "speed_range_change",
        takes: Takes::Truth,
        question: "Must a belt or gear be moved for this cut?",
        is_equipment: false,
    },
    Key {
        name: "spoil_board",
        takes: Takes::Truth,
        question: "Does the work lie on a spoil board?",
        is_equipment: false,
    },
    Key {
        name: "start",
        takes: Takes::OneOf(&["manual", "automatic", "remote", "timed"]),
        question: "Can the machine begin to move without a hand on it?",
        is_equipment: true,
    },
    Key {
        name: "tool_changer",
        takes: Takes::Truth,
        question: "Does the machine change tools by itself?",
        is_equipment: true,
    },
    Key {
        name: "tool_diameter_mm",
        takes: Takes::Number,
        question: "What is the tool's diameter, in mm?",
        is_equipment: false,
    },
    Key {
        name: "tool_hand",
        takes: Takes::OneOf(&["right", "left"]),
        question: "Does the tool cut right-handed or left-handed?",
        is_equipment: false,
    },
    Key {
        name: "tool_kind",
        takes: Takes::Given(&[
            "end_mill",
            "chamfer_mill",
            "spot_drill",
            "drill",
            "tap",
            "reamer",
            "face_mill",
            "thread_mill",
            "flycutter",
            "slitting_saw",
            "boring_head",
            "edge_finder",
        ]),
        question: "What sort of tool is it?",
        is_equipment: false,
    },
    Key {
        name: "tool_stickout_ratio",
        takes: Takes::Number,
        question: "How many diameters does the tool stand out?",
        is_equipment: false,
    },
    Key {
        name: "work_shape",
        takes: Takes::OneOf(&["block", "thin", "round", "tall", "sheet"]),
        question: "What shape is the work?",
        is_equipment: false,
    },
    Key {
        name: "workholding",
        takes: Takes::Given(&[
            "vice", "clamps", "dowels", "screws", "tape", "glue", "vacuum", "wax",
        ]),
        question: "What holds the work?",
        is_equipment: false,
    },
];

/// The key of a name.
pub fn key(name: &str) -> Option<&'static Key> {
    KEYS.iter().find(|key| key.name == name)
}

/// Stated keys with their values.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Conditions {
    stated: BTreeMap<String, Value>,
}

impl Conditions {
    /// Nothing stated.
    pub fn new() -> Self {
        Self::default()
    }

    /// States a key; a later statement replaces an earlier one.
    pub fn state(&mut self, key: impl Into<String>, value: Value) {
        self.stated.insert(key.into(), value);
    }

    /// States a word.
    pub fn word(&mut self, key: &str, word: &str) {
        self.state(key, Value::Word(word.to_owned()));
    }

    /// States yes or no.
    pub fn truth(&mut self, key: &str, truth: bool) {
        self.state(key, Value::Truth(truth));
    }

    /// States a number in the unit of the key's name.
    pub fn number(&mut self, key: &str, number: f64) {
        self.state(key, Value::Number(number));
    }

    /// Takes a statement back: the key is a question again.
    pub fn forget(&mut self, key: &str) {
        self.stated.remove(key);
    }

    /// Adds what another part of the job states; the other wins.
    pub fn extend(&mut self, other: &Self) {
        for (key, value) in &other.stated {
            self.stated.insert(key.clone(), value.clone());
        }
    }

    /// The value of a key, if stated.
    pub fn get(&self, key: &str) -> Option<&Value> {
        self.stated.get(key)
    }

    /// Every stated key in the order of the alphabet.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.stated.iter().map(|(key, value)| (key.as_str(), value))
    }

    /// How many keys are stated.
    pub fn len(&self) -> usize {
        self.stated.len()
    }

    /// Whether nothing is stated.
    pub fn is_empty(&self) -> bool {
        self.stated.is_empty()
    }
}

/// What a condition asks of a stated value.
#[derive(Clone, Debug, PartialEq)]
pub enum Test {
    /// Any of these.
    OneOf(Vec<Value>),
    /// A number, at least this.
    AtLeast(f64),
}

/// One key and what is asked of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    /// Key.
    pub key: String,
    /// Test.
    pub test: Test,
}

impl Condition {
    /// Whether the stated value passes; `None` when the key is not stated.
    pub fn holds(&self, stated: &Conditions) -> Option<bool> {
        let value = stated.get(&self.key)?;
        Some(match &self.test {
            Test::OneOf(values) => values.contains(value),
            Test::AtLeast(least) => match value {
                Value::Number(number) => number >= least,
                Value::Word(_) | Value::Truth(_) => false,
            },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::holding::HeldBy;
    use crate::job::mishap::ADVICE;
    use crate::job::operation::OperationKind;
    use crate::job::tool::Kind;
    use std::collections::BTreeSet;

    #[test]
    fn keys_stand_in_order_and_each_asks_a_question() {
        for pair in KEYS.windows(2) {
            assert!(pair[0].name < pair[1].name, "{}", pair[1].name);
        }
        for key in KEYS {
            assert!(key.question.ends_with('?'), "{}", key.name);
            assert!(key.question.chars().count() <= 70, "{}", key.name);
        }
    }

    fn given(name: &str) -> BTreeSet<&'static str> {
        match key(name).expect("a key").takes {
            Takes::Given(words) => words.iter().copied().collect(),
            takes => panic!("{name} takes {takes:?}"),
        }
    }

    #[test]
    fn what_the_program_states_is_exactly_what_a_caution_may_ask_for() {
        assert_eq!(
            given("workholding"),
            HeldBy::ALL.into_iter().map(HeldBy::word).collect()
        );
        assert_eq!(
            given("tool_kind"),
            Kind::ALL.into_iter().map(Kind::caution_word).collect()
        );
        assert_eq!(
            given("operation"),
            OperationKind::ALL
                .into_iter()
                .map(OperationKind::caution_word)
                .collect()
        );
        assert_eq!(
            given("event"),
            ADVICE.iter().map(|a| a.mishap.caution_word()).collect()
        );
    }

    #[test]
    fn an_unstated_key_neither_holds_nor_fails() {
        let asks = Condition {
            key: "chips".to_owned(),
            test: Test::OneOf(vec![Value::Word("stringy".to_owned())]),
        };
        let mut stated = Conditions::new();
        assert_eq!(asks.holds(&stated), None);
        stated.word("chips", "short");
        assert_eq!(asks.holds(&stated), Some(false));
        stated.word("chips", "stringy");
        assert_eq!(asks.holds(&stated), Some(true));
        stated.forget("chips");
        assert_eq!(asks.holds(&stated), None);
    }

    #[test]
    fn at_least_takes_the_bound_itself() {
        let asks = Condition {
            key: "noise_dba".to_owned(),
            test: Test::AtLeast(85.0),
        };
        let mut stated = Conditions::new();
        stated.number("noise_dba", 84.9);
        assert_eq!(asks.holds(&stated), Some(false));
        stated.number("noise_dba", 85.0);
        assert_eq!(asks.holds(&stated), Some(true));
    }
}
