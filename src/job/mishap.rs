//! What goes wrong at a mill: first act, what to check, what to change.

/// What happened, as the person names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mishap {
    /// An axis bound or the position is lost.
    AxisBound,
    /// Tool, holder or spindle hit something.
    Crash,
    /// The tool broke.
    ToolBroke,
    /// The tool slipped or was pulled out of its holder.
    ToolSlipped,
    /// Chips packed.
    ChipsPacked,
    /// It sings, hammers or leaves waves.
    Chatter,
    /// The part moved.
    PartMoved,
    /// The finish is poor.
    PoorFinish,
    /// Motor, spindle or tool is hot.
    Hot,
    /// Smoke or fire.
    Fire,
    /// Somebody is hurt.
    Injury,
    /// The wrong place was cut.
    WrongPlace,
    /// Power failed, or the control stopped.
    Power,
    /// Anything else.
    Other,
}

/// All that is said about one kind of mishap.
#[derive(Debug)]
pub struct Advice {
    /// The kind.
    pub mishap: Mishap,
    /// Stable name in records.
    pub id: &'static str,
    /// What the person picks.
    pub title: &'static str,
    /// First act, before anything else.
    pub first: &'static str,
    /// What to check, in order.
    pub check: &'static [&'static str],
    /// What to change, in numbers where there are some.
    pub change: &'static [&'static str],
    /// How to go on, when the person chooses to.
    pub go_on: &'static str,
}

/// The first line of every stop note.
pub const FIRST_LINE: &str =
    "Danger, crash, fire: emergency stop.  Else: feed hold, lift clear, spindle off.";

/// Every kind of mishap, in the order in which they are offered.
///
/// Checks and changes are common practice, no source; the first acts follow the recovery
/// cautions, which carry their own sources.
pub const ADVICE: &[Advice] = &[
    Advice {
        mishap: Mishap::AxisBound,
        id: "axis-bound",
        title: "axis bound or lost position",
        first: "Feed hold, lift clear, spindle off. Do not go on from here.",
        check: &[
            "Read the position at the check point: return test",
            "Then, drives off, turn the axis by hand over its travel: where does it bind?",
            "Look for chips in the ways and at the screw; wipe, oil",
        ],
        change: &[
            "Depth to 70 %, or feed to 70 %",
            "Rapid and feed of that axis to 75 %",
        ],
        go_on: "X, Y and Z set anew, also if the return test is good; from a block before the bind.",
    },
    Advice {
        mishap: Mishap::Crash,
        id: "crash",
        title: "crash",
        first: "Emergency stop. Wait until all is still, then look.",
        check: &[
            "Tool and holder: bent, cracked, slipped?",
            "Vice or fence still true, part still tight?",
            "Home again if it can, then touch X, Y and Z again",
        ],
        change: &["Find why before anything runs: zero, tool length, clamp or program"],
        go_on: "Only with the cause found, zero and tool set anew, and a run in the air.",
    },
    Advice {
        mishap: Mishap::ToolBroke,
        id: "tool-broke",
        title: "tool broke",
        first: "Spindle off and still. Find every piece before you go on.",
        check: &[
            "Is a piece stuck in the part? The next tool will meet it",
            "Part still tight? Was the tool out further than planned?",
            "Did it lose steps when it broke? Return test",
        ],
        change: &["Depth to 60 %, stick-out shorter, chips cleared more often"],
        go_on: "With a new tool, its length set, from a block before the break at clearance.",
    },
    Advice {
        mishap: Mishap::ToolSlipped,
        id: "tool-slipped",
        title: "tool slipped or was pulled out",
        first: "Here: feed hold, spindle off, and only then lift: a loose tool may drop.",
        check: &[
            "Collet and shank clean and dry, right size?",
            "How much deeper did it cut?",
        ],
        change: &[
            "Depth to 70 %, or a tool with less helix",
            "Tighten with the right spanner",
        ],
        go_on: "With the tool gripped anew and its length set, from a block before the slip.",
    },
    Advice {
        mishap: Mishap::ChipsPacked,
        id: "chips-packed",
        title: "chips packed",
        first: "Feed hold, lift clear, spindle off. Clear with a brush, not fingers.",
        check: &[
            "Metal welded to the flutes?",
            "Did it push the part or lose steps? Then note that stop as well",
        ],
        change: &[
            "Depth to 50 %, air at the cut, fewer flutes",
            "Chip load up if it was thin",
        ],
        go_on: "With slot and flutes clean, part tight, from a block before, spindle first.",
    },
    Advice {
        mishap: Mishap::Chatter,
        id: "chatter",
        title: "chatter",
        first: "Feed hold, lift clear, spindle off before you touch anything.",
        check: &[
            "Part, vice and tool tight?",
            "Stick-out as short as it can be?",
        ],
        change: &[
            "Speed 15 % down or up, or depth to 50 %",
            "Write down the speed that sang",
        ],
        go_on: "With one thing changed, hand on feed hold; listen to the first second.",
    },
    Advice {
        mishap: Mishap::PartMoved,
        id: "part-moved",
        title: "part moved",
        first: "Feed hold, lift clear, spindle off. Keep hands away until it is still.",
        check: &[
            "Seats clean, and what holds it: did it slip, lift or give?",
            "Touch X, Y and Z again",
        ],
        change: &["Hold it better", "Depth to 60 %"],
        go_on: "Only with the part held anew and every zero set anew; measure what is spoilt.",
    },
    Advice {
        mishap: Mishap::PoorFinish,
        id: "poor-finish",
        title: "poor finish",
        first: "Feed hold, lift clear, spindle off. Look before you move anything.",
        check: &["Edge worn, chipped or welded over?", "Run-out of the tool?"],
        change: &["New edge; leave 0.1 to 0.2 mm for a finish and a spring pass"],
        go_on: "Finish again where stock is left; else note it and go on.",
    },
    Advice {
        mishap: Mishap::Hot,
        id: "hot",
        title: "motor, spindle or tool hot",
        first: "Feed hold, lift clear, spindle off. Do not touch; let it cool.",
        check: &[
            "Is the tool dull? Does the belt slip?",
            "Cool again: does Z read the same at the touch? A hot spindle is longer",
            "Air flow of the motor free?",
        ],
        change: &["Depth or speed to 70 %, pauses to cool"],
        go_on: "When it can be touched; a dull tool is changed first.",
    },
    Advice {
        mishap: Mishap::Fire,
        id: "fire",
        title: "smoke or fire",
        first: "Emergency stop, stand back. Put it out, or leave and call.",
        check: &[
            "Cold? Look again after ten minutes",
            "Cables, belts and ways",
        ],
        change: &["Find the cause before the machine is switched on again"],
        go_on: "Not today, unless the cause is found and the machine looked over.",
    },
    Advice {
        mishap: Mishap::Injury,
        id: "injury",
        title: "somebody is hurt",
        first: "Emergency stop, then first aid and call for help. The job can wait.",
        check: &["Machine off and kept off"],
        change: &["Write down how it came about before anything runs again"],
        go_on: "Not before the person is cared for; another person, another session.",
    },
    Advice {
        mishap: Mishap::WrongPlace,
        id: "wrong-place",
        title: "wrong place cut",
        first: "Feed hold at once, lift clear, spindle off. Leave the zero as it is: it tells.",
        check: &[
            "Zero of the program against zero of the machine",
            "Tool and its length as planned?",
        ],
        change: &["Go through XY, tool and Z again; run in the air"],
        go_on: "Measure what is left: new blank, or a part that can still be made.",
    },
    Advice {
        mishap: Mishap::Power,
        id: "power",
        title: "power failed, control stopped",
        first: "Hands out. Spindle switch off before power comes back.",
        check: &["Home again if it can", "Return test at the check point"],
        change: &["Go on only from a line where tool, speed and height are set"],
        go_on: "Home if it can, zero by the return test, from a block where all is set.",
    },
    Advice {
        mishap: Mishap::Other,
        id: "other",
        title: "something else",
        first: "Feed hold, lift clear, spindle off. When in doubt: emergency stop.",
        check: &["Look, listen, then write down what you saw"],
        change: &["Change one thing at a time"],
        go_on: "From a block before the stop, at clearance; the first pass hand on feed hold.",
    },
];

impl Mishap {
    /// What is said about it.
    pub fn advice(self) -> &'static Advice {
        &ADVICE[self as usize]
    }

    /// What the cautions call it under their key `event`.
    pub fn caution_word(self) -> &'static str {
        match self {
            Self::AxisBound | Self::ChipsPacked => "jam",
            Self::ToolBroke => "tool_broke",
            Self::Power => "power_lost",
            Self::Fire => "fire",
            Self::Injury => "injury",
            Self::Crash => "emergency_stop",
            Self::PartMoved => "part_moved",
            Self::ToolSlipped => "tool_slipped",
            Self::Chatter => "chatter",
            Self::PoorFinish => "poor_finish",
            Self::Hot => "hot",
            Self::WrongPlace => "wrong_place",
            Self::Other => "other",
        }
    }

    /// The mishap of this name in a record.
    pub fn from_id(id: &str) -> Option<Self> {
        ADVICE
            .iter()
            .find(|advice| advice.id == id)
            .map(|advice| advice.mishap)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn advice_stands_in_the_order_of_the_kinds() {
        for (place, advice) in ADVICE.iter().enumerate() {
            assert_eq!(advice.mishap as usize, place, "{}", advice.id);
            assert_eq!(Mishap::from_id(advice.id), Some(advice.mishap));
            assert!(
                !advice.check.is_empty() && !advice.change.is_empty(),
                "{}",
                advice.id
            );
        }
        assert_eq!(ADVICE.len(), Mishap::Other as usize + 1);
    }

    #[test]
    fn each_kind_has_a_first_act_and_a_way_on_of_its_own() {
        let firsts: BTreeSet<_> = ADVICE.iter().map(|advice| advice.first).collect();
        let ways: BTreeSet<_> = ADVICE.iter().map(|advice| advice.go_on).collect();
        assert_eq!((firsts.len(), ways.len()), (ADVICE.len(), ADVICE.len()));
        for advice in ADVICE {
            // The program never says that something is safe.
            let all = format!("{} {} {:?}", advice.first, advice.go_on, advice.check);
            assert!(!all.to_lowercase().contains("safe"), "{}", advice.id);
        }
    }
}
