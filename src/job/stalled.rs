//! Which axis stalled, as the person saw or heard it: that one is set again, and the others are proved by touch.

/// The axis or axes that lost steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stalled {
    /// X alone.
    X,
    /// Y alone.
    Y,
    /// Z alone.
    Z,
    /// X and Y.
    XAndY,
    /// X and Z.
    XAndZ,
    /// Y and Z.
    YAndZ,
    /// All three.
    All,
}

impl Stalled {
    /// Every answer, in the order in which it is offered; who cannot say gives none, and each axis may have lost steps.
    pub const ALL: [Self; 7] = [
        Self::X,
        Self::Y,
        Self::Z,
        Self::XAndY,
        Self::XAndZ,
        Self::YAndZ,
        Self::All,
    ];

    /// The words of the answers that have a number of their own, in the same order; further ones are named by several numbers.
    pub const WORDS: [&'static str; 4] = ["X", "Y", "Z", "X and Y"];

    /// Several axes by the numbers of each, such as `13` for X and Z.
    pub fn from_numbers(text: &str) -> Option<Self> {
        let mut axes = [false; 3];
        for digit in text.chars().filter(|c| !c.is_whitespace()) {
            let axis = axes.get_mut((digit.to_digit(10)? as usize).checked_sub(1)?)?;
            // Twice the same is a key that was leaned on.
            if std::mem::replace(axis, true) {
                return None;
            }
        }
        Self::ALL.into_iter().find(|stalled| stalled.axes() == axes)
    }

    /// Word on screen and in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::X => "X",
            Self::Y => "Y",
            Self::Z => "Z",
            Self::XAndY => "X and Y",
            Self::XAndZ => "X and Z",
            Self::YAndZ => "Y and Z",
            Self::All => "X, Y and Z",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|axes| axes.word() == word)
    }

    /// Whether X, Y and Z, in this order, may have lost steps.
    pub fn axes(self) -> [bool; 3] {
        match self {
            Self::X => [true, false, false],
            Self::Y => [false, true, false],
            Self::Z => [false, false, true],
            Self::XAndY => [true, true, false],
            Self::XAndZ => [true, false, true],
            Self::YAndZ => [false, true, true],
            Self::All => [true, true, true],
        }
    }

    /// What to set again and what to prove.
    pub fn what_to_do(self) -> &'static str {
        match self {
            Self::X => {
                "X stalled: set X again. Y and Z: prove them with the return test, or set them again."
            }
            Self::Y => {
                "Y stalled: set Y again. X and Z: prove them with the return test, or set them again."
            }
            Self::Z => {
                "Z stalled: set Z again. X and Y: prove them with the return test, or set them again."
            }
            Self::XAndY => {
                "X and Y stalled: set both again. Z: prove it with the return test, or set it again."
            }
            Self::XAndZ => {
                "X and Z stalled: set both again. Y: prove it with the return test, or set it again."
            }
            Self::YAndZ => {
                "Y and Z stalled: set both again. X: prove it with the return test, or set it again."
            }
            Self::All => "X, Y and Z stalled: set all three again.",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_lead_back_in_their_order() {
        for (axes, word) in Stalled::ALL.into_iter().zip(Stalled::WORDS) {
            assert_eq!(axes.word(), word);
        }
        for axes in Stalled::ALL {
            assert_eq!(Stalled::from_word(axes.word()), Some(axes));
        }
    }

    #[test]
    fn several_axes_are_named_by_their_numbers() {
        for (text, axes) in [
            ("13", Some(Stalled::XAndZ)),
            ("3 2", Some(Stalled::YAndZ)),
            ("123", Some(Stalled::All)),
            ("12", Some(Stalled::XAndY)),
            ("11", None),
            ("15", None),
            ("10", None),
            ("", None),
        ] {
            assert_eq!(Stalled::from_numbers(text), axes, "{text}");
        }
    }
}
