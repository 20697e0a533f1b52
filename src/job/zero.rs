//! The point of the blank that the program calls zero.

use std::fmt;
use std::str::FromStr;

/// Place across X, seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Across {
    /// Least X.
    Left,
    /// Middle of X.
    Center,
    /// Greatest X.
    Right,
}

/// Place along Y, seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Along {
    /// Least Y, nearest the person.
    Front,
    /// Middle of Y.
    Center,
    /// Greatest Y.
    Back,
}

/// Height on the blank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Height {
    /// Top face.
    Top,
    /// Half way.
    Middle,
    /// Bottom face.
    Bottom,
}

/// One of the 27 reference points of a blank: nine seen from above, at three heights.
///
/// Written `left-front-top`, or in keypad form `1+`: the digit is the key that lies
/// at that place when the keypad is the blank seen from above; `+` top, `*` middle,
/// `-` bottom.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ZeroPoint {
    /// Across X.
    pub across: Across,
    /// Along Y.
    pub along: Along,
    /// Height.
    pub height: Height,
}

/// The text is not one of the 27 points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAZeroPoint;

impl fmt::Display for NotAZeroPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "write a zero point such as left front top, centre top or 5+ \
             (keypad seen from above; + top, * middle, - bottom)",
        )
    }
}

impl std::error::Error for NotAZeroPoint {}

impl ZeroPoint {
    /// The point under this key of the keypad, `1` to `9`.
    pub fn from_keypad(digit: u8, height: Height) -> Option<Self> {
        let place = digit.checked_sub(1).filter(|place| *place < 9)?;
        let across = [Across::Left, Across::Center, Across::Right][usize::from(place % 3)];
        let along = [Along::Front, Along::Center, Along::Back][usize::from(place / 3)];
        Some(Self {
            across,
            along,
            height,
        })
    }

    /// The keypad digit of the point seen from above, 1 to 9.
    pub fn digit(self) -> u8 {
        let column = match self.across {
            Across::Left => 1,
            Across::Center => 2,
            Across::Right => 3,
        };
        let row = match self.along {
            Along::Front => 0,
            Along::Center => 3,
            Along::Back => 6,
        };
        column + row
    }

    /// All 27 points, from left front bottom on.
    pub fn all() -> impl Iterator<Item = Self> {
        [Height::Top, Height::Middle, Height::Bottom]
            .into_iter()
            .flat_map(|height| (1..=9).filter_map(move |digit| Self::from_keypad(digit, height)))
    }

    /// Where the point lies on a blank of unit size, measured from its left front bottom.
    pub fn share(self) -> [f64; 3] {
        let x = match self.across {
            Across::Left => 0.0,
            Across::Center => 0.5,
            Across::Right => 1.0,
        };
        let y = match self.along {
            Along::Front => 0.0,
            Along::Center => 0.5,
            Along::Back => 1.0,
        };
        let z = match self.height {
            Height::Top => 1.0,
            Height::Middle => 0.5,
            Height::Bottom => 0.0,
        };
        [x, y, z]
    }

    /// Keypad form, such as `5+`.
    pub fn keypad(self) -> String {
        let rung = match self.height {
            Height::Top => '+',
            Height::Middle => '*',
            Height::Bottom => '-',
        };
        format!("{}{rung}", self.digit())
    }

    /// Words for the screen, such as `centre, top` or `left front, top`.
    pub fn words(self) -> String {
        let across = match self.across {
            Across::Left => "left",
            Across::Center => "",
            Across::Right => "right",
        };
        let along = match self.along {
            Along::Front => "front",
            Along::Center => "",
            Along::Back => "back",
        };
        let plane = match (across, along) {
            ("", "") => "centre".to_owned(),
            ("", along) => format!("{along} middle"),
            (across, "") => format!("{across} middle"),
            (across, along) => format!("{across} {along}"),
        };
        let height = match self.height {
            Height::Top => "top",
            Height::Middle => "middle",
            Height::Bottom => "bottom",
        };
        format!("{plane}, {height}")
    }
}

impl fmt::Display for ZeroPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let across = match self.across {
            Across::Left => "left",
            Across::Center => "center",
            Across::Right => "right",
        };
        let along = match self.along {
            Along::Front => "front",
            Along::Center => "center",
            Along::Back => "back",
        };
        let height = match self.height {
            Height::Top => "top",
            Height::Middle => "middle",
            Height::Bottom => "bottom",
        };
        write!(f, "{across}-{along}-{height}")
    }
}

impl FromStr for ZeroPoint {
    type Err = NotAZeroPoint;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let text = text.trim().to_ascii_lowercase();
        let mut chars = text.chars();
        if let (Some(digit), Some(rung), None) = (chars.next(), chars.next(), chars.next()) {
            let height = match rung {
                '+' => Height::Top,
                '*' => Height::Middle,
                '-' => Height::Bottom,
                _ => return Err(NotAZeroPoint),
            };
            let digit = digit
                .to_digit(10)
                .and_then(|d| u8::try_from(d).ok())
                .ok_or(NotAZeroPoint)?;
            return Self::from_keypad(digit, height).ok_or(NotAZeroPoint);
        }
        in_words(&text).ok_or(NotAZeroPoint)
    }
}

/// Words that say nothing of the place.
const FILLERS: [&str; 6] = ["of", "the", "at", "corner", "edge", "face"];

/// The point of these words, in any order: a side each for X, Y and Z, where a middle stands for each side that is not named.
fn in_words(text: &str) -> Option<ZeroPoint> {
    let (mut across, mut along, mut height, mut middles) = (None, None, None, 0);
    let words = text.split([' ', '-', ',', '/', '\t']);
    for word in words.filter(|word| !word.is_empty() && !FILLERS.contains(word)) {
        let is_new = match word {
            "left" => across.replace(Across::Left).is_none(),
            "right" => across.replace(Across::Right).is_none(),
            "front" => along.replace(Along::Front).is_none(),
            "back" | "rear" => along.replace(Along::Back).is_none(),
            "top" => height.replace(Height::Top).is_none(),
            "bottom" => height.replace(Height::Bottom).is_none(),
            "centre" | "center" | "middle" => {
                middles += 1;
                true
            }
            _ => return None,
        };
        if !is_new {
            return None;
        }
    }
    // A middle of its own says the height; one says both of X and Y.
    let for_height = i32::from(height.is_none());
    let in_plane = middles - for_height;
    let is_clear = match i32::from(across.is_none()) + i32::from(along.is_none()) {
        0 => in_plane == 0,
        1 => in_plane == 1,
        _ => in_plane == 1 || in_plane == 2,
    };
    is_clear.then(|| ZeroPoint {
        across: across.unwrap_or(Across::Center),
        along: along.unwrap_or(Along::Center),
        height: height.unwrap_or(Height::Middle),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_27_points_come_back_from_both_of_their_names() {
        let mut seen = std::collections::BTreeSet::new();
        for point in ZeroPoint::all() {
            assert_eq!(point.to_string().parse(), Ok(point));
            assert_eq!(point.keypad().parse(), Ok(point));
            seen.insert(point);
        }
        assert_eq!(seen.len(), 27);
    }

    #[test]
    fn the_keypad_is_the_blank_seen_from_above() {
        let left_back = ZeroPoint::from_keypad(7, Height::Top).unwrap();
        assert_eq!(left_back.share(), [0.0, 1.0, 1.0]);
        assert_eq!("3-".parse::<ZeroPoint>().unwrap().share(), [1.0, 0.0, 0.0]);
        assert_eq!("5*".parse::<ZeroPoint>().unwrap().words(), "centre, middle");
    }

    #[test]
    fn the_same_point_is_understood_in_any_order_and_with_any_mark_between() {
        for (texts, point) in [
            (
                ["left front top", "top left front", "Front-Left, top"],
                "1+",
            ),
            (["centre top", "top center", "center-center-top"], "5+"),
            (["centre, middle", "middle centre", "5*"], "5*"),
            (
                ["rear right corner, top", "right back top", "top/right/rear"],
                "9+",
            ),
            (["left middle, bottom", "bottom centre left", "4-"], "4-"),
            (["left front middle", "middle left front", "1*"], "1*"),
        ] {
            let point: ZeroPoint = point.parse().unwrap();
            for text in texts {
                assert_eq!(text.parse(), Ok(point), "{text}");
            }
            assert_eq!(point.words().parse(), Ok(point));
        }
    }

    #[test]
    fn what_is_no_point_is_refused() {
        for text in [
            "",
            "0+",
            "5",
            "5/",
            "left",
            "left-front",
            "left-front-top-x",
            "left right top",
            "left left front top",
            "left middle",
            "centre",
            "left front top middle",
            "١+",
        ] {
            assert_eq!(text.parse::<ZeroPoint>(), Err(NotAZeroPoint), "{text}");
        }
    }
}
