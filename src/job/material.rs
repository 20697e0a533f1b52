//! A workpiece material: every number with its source.

use crate::job::conditions::Conditions;
use crate::source::Source;

/// A value with its source, and what other publications say.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The value taken, in the unit of the field's name; where publications
    /// disagree, the cautious one.
    pub value: T,
    /// Where it comes from.
    pub source: Source,
    /// What other publications say.
    pub others: Vec<Other<T>>,
}

/// A value that was not taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Other<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub source: Source,
}

impl<T> Sourced<T> {
    /// A value that no other publication contradicts.
    pub fn new(value: T, source: Source) -> Self {
        Self {
            value,
            source,
            others: vec![],
        }
    }
}

/// From least to most, both inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Least.
    pub least: f64,
    /// Most; not less than least.
    pub most: f64,
}

impl Span {
    /// The middle.
    pub fn middle(self) -> f64 {
        f64::midpoint(self.least, self.most)
    }

    /// Whether a value lies inside.
    pub fn holds(self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }
}

/// Family of materials.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Aluminium alloys.
    Aluminium,
    /// Brass, bronze, copper.
    CopperAlloy,
    /// Unalloyed and alloyed steels.
    Steel,
    /// Stainless steels.
    Stainless,
    /// Cast irons.
    CastIron,
    /// Titanium and its alloys.
    Titanium,
    /// Magnesium alloys.
    Magnesium,
    /// Zinc alloys.
    Zinc,
    /// Plastics without fibre.
    Plastic,
    /// Fibre laminates.
    Composite,
}

impl Class {
    /// Every class.
    pub const ALL: [Self; 10] = [
        Self::Aluminium,
        Self::CopperAlloy,
        Self::Steel,
        Self::Stainless,
        Self::CastIron,
        Self::Titanium,
        Self::Magnesium,
        Self::Zinc,
        Self::Plastic,
        Self::Composite,
    ];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Aluminium => "aluminium",
            Self::CopperAlloy => "copper alloy",
            Self::Steel => "steel",
            Self::Stainless => "stainless steel",
            Self::CastIron => "cast iron",
            Self::Titanium => "titanium",
            Self::Magnesium => "magnesium",
            Self::Zinc => "zinc",
            Self::Plastic => "plastic",
            Self::Composite => "composite",
        }
    }

    /// The class of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.word() == word)
    }

    /// What cautions call it: metal, plastic or composite.
    pub fn caution_class(self) -> &'static str {
        match self {
            Self::Plastic => "plastic",
            Self::Composite => "composite",
            _ => "metal",
        }
    }
}

/// What the chips are like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chips {
    /// Short pieces.
    Short,
    /// Long strings and nests.
    Stringy,
    /// Dust and crumbs.
    Dust,
}

impl Chips {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Short, Self::Stringy, Self::Dust];

    /// Word used in profiles, cautions and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Short => "short",
            Self::Stringy => "stringy",
            Self::Dust => "dust",
        }
    }

    /// The kind of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|chips| chips.word() == word)
    }
}

/// How much chips of this material weld to the edge and pack in a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sticks {
    /// Chips fall away.
    Little,
    /// A built-up edge comes with heat or a blunt tool.
    Some,
    /// Chips weld soon when thin, hot or trapped.
    Much,
}

impl Sticks {
    /// Every degree.
    pub const ALL: [Self; 3] = [Self::Little, Self::Some, Self::Much];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Little => "little",
            Self::Some => "some",
            Self::Much => "much",
        }
    }

    /// The degree of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|sticks| sticks.word() == word)
    }
}

/// Surface speeds for one tool material, m/min.
#[derive(Clone, Debug, PartialEq)]
pub struct Speeds {
    /// Roughing.
    pub rough_m_min: Sourced<Span>,
    /// Finishing; `None` when no publication tells them apart.
    pub finish_m_min: Option<Sourced<Span>>,
}

impl Speeds {
    /// Span for finishing, that for roughing when none is told apart.
    pub fn finish(&self) -> &Sourced<Span> {
        self.finish_m_min.as_ref().unwrap_or(&self.rough_m_min)
    }
}

/// Taylor's tool life, `vc · T^n = C`, T in minutes.
#[derive(Clone, Debug, PartialEq)]
pub struct Taylor {
    /// Exponent n, 0 to 1.
    pub n: Sourced<f64>,
    /// Surface speed for one minute of life, m/min.
    pub c_m_min: Sourced<f64>,
}

/// Starting chip loads of small cutters as a share of the diameter.
///
/// No neutral published table was found for metals, so they are common practice
/// unless a source says otherwise; a light machine's limits usually bind first.
#[derive(Clone, Debug, PartialEq)]
pub struct ChipLoad {
    /// Full slot: chip load over diameter.
    pub slot_share: Sourced<Span>,
    /// Side cut: chip load over diameter.
    pub side_share: Sourced<Span>,
    /// Drilling: feed per turn over diameter.
    pub drill_share: Sourced<Span>,
}

/// A workpiece material.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its own name, lower case with hyphens.
    pub name: String,
    /// What the screen calls it.
    pub title: String,
    /// Other designations of the same or a like material.
    pub aliases: Vec<String>,
    /// Family.
    pub class: Class,
    /// What cautions call it: magnesium, ptfe, leaded_brass ...; "other" when
    /// there is nothing special about it, `None` when nobody has said.
    pub caution: Option<String>,
    /// Condition that the numbers are for, such as "T6".
    pub condition: String,
    /// Hardness as printed with its scale, such as "95 HB".
    pub hardness: Option<Sourced<String>>,
    /// Density, kg/m³.
    pub density_kg_m3: Sourced<f64>,
    /// Linear thermal expansion, µm/(m K).
    pub expansion_um_m_k: Option<Sourced<f64>>,
    /// Specific cutting force at 1 mm by 1 mm of chip (Kienzle), N/mm².
    pub kc1_1_n_mm2: Sourced<f64>,
    /// Exponent of chip thickness (Kienzle), 0 to 1.
    pub mc: Sourced<f64>,
    /// Specific cutting energy of textbooks, J/mm³: a cross-check.
    pub energy_j_mm3: Option<Sourced<Span>>,
    /// Work material factor Kd of the handbook's drilling formulas.
    pub drill_kd: Option<Sourced<f64>>,
    /// Surface speeds for high-speed steel; `None` when it should not be used.
    pub hss: Option<Speeds>,
    /// Surface speeds for carbide.
    pub carbide: Option<Speeds>,
    /// Surface speed of tapping, m/min.
    pub tap_m_min: Option<Sourced<Span>>,
    /// Starting chip loads.
    pub chip_load: ChipLoad,
    /// Least chip thickness over edge radius below which the edge rubs.
    pub least_chip_ratio: Sourced<f64>,
    /// How much chips weld and pack.
    pub sticks: Sourced<Sticks>,
    /// What chips it makes.
    pub chips: Chips,
    /// Tool life with high-speed steel.
    pub taylor_hss: Option<Taylor>,
    /// Tool life with carbide.
    pub taylor_carbide: Option<Taylor>,
    /// What fluid or air it is cut with.
    pub fluid: String,
    /// Notes for the person.
    pub notes: Vec<String>,
}

impl Material {
    /// States what cautions ask of the material: `material`, `material_class`, `chips`.
    ///
    /// A material that says nothing of itself leaves `material` a question, unless
    /// its class alone answers it.
    pub fn state(&self, conditions: &mut Conditions) {
        let by_class = match self.class {
            Class::Aluminium => Some("aluminium"),
            Class::Magnesium => Some("magnesium"),
            Class::Titanium => Some("titanium"),
            Class::CastIron => Some("cast_iron"),
            _ => None,
        };
        if let Some(word) = by_class.or(self.caution.as_deref()) {
            conditions.word("material", word);
        }
        conditions.word("material_class", self.class.caution_class());
        conditions.word("chips", self.chips.word());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back() {
        for class in Class::ALL {
            assert_eq!(Class::from_word(class.word()), Some(class));
        }
        for chips in Chips::ALL {
            assert_eq!(Chips::from_word(chips.word()), Some(chips));
        }
        for sticks in Sticks::ALL {
            assert_eq!(Sticks::from_word(sticks.word()), Some(sticks));
        }
    }

    #[test]
    fn a_span_holds_both_its_ends() {
        let span = Span {
            least: 60.0,
            most: 90.0,
        };
        assert!(span.holds(60.0) && span.holds(90.0) && !span.holds(90.1));
        assert!((span.middle() - 75.0).abs() < 1e-12);
    }
}
