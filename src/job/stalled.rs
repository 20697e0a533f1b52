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
}

impl Stalled {
    /// Every answer, in the order in which it is offered; who cannot say gives none, and each axis may have lost steps.
    pub const ALL: [Self; 4] = [Self::X, Self::Y, Self::Z, Self::XAndY];

    /// The words of the answers, in the same order.
    pub const WORDS: [&'static str; 4] = ["X", "Y", "Z", "X and Y"];

    /// Word on screen and in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::X => "X",
            Self::Y => "Y",
            Self::Z => "Z",
            Self::XAndY => "X and Y",
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
            assert_eq!(Stalled::from_word(word), Some(axes));
        }
    }
}
