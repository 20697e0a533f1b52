//! Packing: chips that fill the flutes weld, and the tool breaks. Two causes, kept apart.

use crate::quantity::Length;

/// How chips are cleared from a slot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Clearing {
    /// Not at all: dry, nobody beside it.
    #[default]
    None,
    /// A brush between passes.
    Brush,
    /// An air jet.
    Air,
    /// Mist.
    Mist,
    /// A stream of coolant.
    Flood,
}

impl Clearing {
    /// Every way.
    pub const ALL: [Self; 5] = [Self::None, Self::Brush, Self::Air, Self::Mist, Self::Flood];

    /// Word used in commands and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Brush => "brush",
            Self::Air => "air",
            Self::Mist => "mist",
            Self::Flood => "flood",
        }
    }

    /// The way of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|way| way.word() == word)
    }
}

/// How much a metal's chips weld and pack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sticking {
    /// Chips fall away.
    Little,
    /// A built-up edge comes with heat.
    Some,
    /// Chips weld soon when thin, hot or trapped.
    Much,
}

/// Returns how deep a slot may become, in diameters, before chips that stay in it pack.
///
/// # Formula
///
/// ```text
/// none 1.0   brush 1.25   air 2.0   mist 2.5   flood 3.0      times 1.5 for a metal that sticks little
/// ```
///
/// | symbol     | meaning                                  | unit | valid range |
/// |------------|------------------------------------------|------|-------------|
/// | result     | total depth of the slot over the diameter | -   | 1 to 4.5    |
///
/// # Range of validity
///
/// Total depth, not the depth of one pass: the chips of all passes lie in the same slot. Side cuts that are
/// open to one side throw their chips out and are not bound by it.
///
/// # Source
///
/// Common practice, no source: one diameter dry and two with air are usual for a 6000-series aluminium; the
/// values between and beyond are ours.
///
/// # Worked example
///
/// Common practice: one diameter dry, two with air.
///
/// ```
/// use millside::cutting::packing::Clearing;
/// use millside::cutting::packing::Sticking;
/// use millside::cutting::packing::slot_depth_bound;
/// assert!((slot_depth_bound(Clearing::None, Sticking::Much) - 1.0).abs() < 1e-12);
/// assert!((slot_depth_bound(Clearing::Air, Sticking::Much) - 2.0).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn slot_depth_bound(clearing: Clearing, sticking: Sticking) -> f64 {
    let diameters = match clearing {
        Clearing::None => 1.0,
        Clearing::Brush => 1.25,
        Clearing::Air => 2.0,
        Clearing::Mist => 2.5,
        Clearing::Flood => 3.0,
    };
    match sticking {
        Sticking::Little => 1.5 * diameters,
        Sticking::Some | Sticking::Much => diameters,
    }
}

/// Returns the chip load under which the chips of a full slot run thin and hot and weld.
///
/// # Formula
///
/// ```text
/// fmin = s · f0      s = 0.9 sticks much, 0.6 some, 0.3 little; three quarters of it with mist or flood
/// ```
///
/// | symbol | meaning                                        | unit | valid range |
/// |--------|------------------------------------------------|------|-------------|
/// | `fmin` | least chip load in a slot                      | mm   | result      |
/// | `f0`   | least of the usual chip loads for a slot       | mm   | > 0         |
///
/// # Range of validity
///
/// A thin chip carries little heat away and the tooth passes the same place often: with a feed ceiling more
/// flutes at the same speed make it worse. Lowering the speed or taking fewer flutes lifts it.
///
/// # Source
///
/// Common practice, no source; the shares are ours.
///
/// # Worked example
///
/// By hand: 0.03 mm for a metal that sticks much, dry, gives 0.027 mm.
///
/// ```
/// use millside::cutting::packing::Clearing;
/// use millside::cutting::packing::Sticking;
/// use millside::cutting::packing::least_slot_chip_load;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// let least = least_slot_chip_load(mm(0.03), Sticking::Much, Clearing::None);
/// assert!((to_mm(least) - 0.027).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn least_slot_chip_load(usual: Length, sticking: Sticking, clearing: Clearing) -> Length {
    let share = match sticking {
        Sticking::Little => 0.3,
        Sticking::Some => 0.6,
        Sticking::Much => 0.9,
    };
    let cooled = match clearing {
        Clearing::Mist | Clearing::Flood => 0.75,
        Clearing::None | Clearing::Brush | Clearing::Air => 1.0,
    };
    usual * (share * cooled)
}
