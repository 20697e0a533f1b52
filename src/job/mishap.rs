//! What goes wrong at a mill. What is said about each kind stands in `profiles/cards/`, by material and machine.

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
    /// The spindle stalled in the cut.
    SpindleStalled,
    /// A nest of chips turns with the tool and lashes.
    ChipNest,
    /// The machine shakes violently.
    Shaking,
    /// Anything else.
    Other,
}

/// One kind of stoppage, as records and lists name it. What is said about it stands in the cards.
#[derive(Debug)]
pub struct Advice {
    /// The kind.
    pub mishap: Mishap,
    /// Stable name in records.
    pub id: &'static str,
    /// What the person picks.
    pub title: &'static str,
}

/// Every kind of mishap, in the order in which they are offered.
pub const ADVICE: &[Advice] = &[
    Advice {
        mishap: Mishap::AxisBound,
        id: "axis-bound",
        title: "axis bound or lost position",
    },
    Advice {
        mishap: Mishap::Crash,
        id: "crash",
        title: "crash",
    },
    Advice {
        mishap: Mishap::ToolBroke,
        id: "tool-broke",
        title: "tool broke",
    },
    Advice {
        mishap: Mishap::ToolSlipped,
        id: "tool-slipped",
        title: "tool slipped or was pulled out",
    },
    Advice {
        mishap: Mishap::ChipsPacked,
        id: "chips-packed",
        title: "chips packed",
    },
    Advice {
        mishap: Mishap::Chatter,
        id: "chatter",
        title: "chatter",
    },
    Advice {
        mishap: Mishap::PartMoved,
        id: "part-moved",
        title: "part moved",
    },
    Advice {
        mishap: Mishap::PoorFinish,
        id: "poor-finish",
        title: "poor finish",
    },
    Advice {
        mishap: Mishap::Hot,
        id: "hot",
        title: "motor, spindle or tool hot",
    },
    Advice {
        mishap: Mishap::Fire,
        id: "fire",
        title: "smoke or fire",
    },
    Advice {
        mishap: Mishap::Injury,
        id: "injury",
        title: "somebody is hurt",
    },
    Advice {
        mishap: Mishap::WrongPlace,
        id: "wrong-place",
        title: "wrong place cut",
    },
    Advice {
        mishap: Mishap::Power,
        id: "power",
        title: "power failed, control stopped",
    },
    Advice {
        mishap: Mishap::SpindleStalled,
        id: "spindle-stalled",
        title: "spindle stalled",
    },
    Advice {
        mishap: Mishap::ChipNest,
        id: "chip-nest",
        title: "chip nest lashes",
    },
    Advice {
        mishap: Mishap::Shaking,
        id: "shaking",
        title: "violent shaking",
    },
    Advice {
        mishap: Mishap::Other,
        id: "other",
        title: "something else",
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
            Self::SpindleStalled => "spindle_stalled",
            Self::ChipNest => "chip_nest",
            Self::Shaking => "shaking",
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

    #[test]
    fn advice_stands_in_the_order_of_the_kinds() {
        for (place, advice) in ADVICE.iter().enumerate() {
            assert_eq!(advice.mishap as usize, place, "{}", advice.id);
            assert_eq!(Mishap::from_id(advice.id), Some(advice.mishap));
        }
        assert_eq!(ADVICE.len(), Mishap::Other as usize + 1);
    }
}
