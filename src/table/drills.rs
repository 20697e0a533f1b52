//! Number and letter drills: the sizes of twist drills that carry a name instead of a measure.
//!
//! Sizes after ASME B94.11M (from memory), each checked against a printed list: #97 to #54 a public
//! domain chart of drill sizes (version 2, 2007), many of #53 to Z *Machinery's Handbook*, 31st ed.,
//! p. 2168, table 4 and p. 2155, table 2, and all of #80 to Z the drill table of an open CAD part library,
//! which rounds six sizes to three places.

/// Diameters of the drills #1 to #97, in ten-thousandths of an inch.
#[rustfmt::skip]
const NUMBER: [u16; 97] = [
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, 1910, 1890,
    1850, 1820, 1800, 1770, 1730, 1695, 1660, 1610, 1590, 1570, 1540, 1520,
    1495, 1470, 1440, 1405, 1360, 1285, 1200, 1160, 1130, 1110, 1100, 1065,
    1040, 1015, 995, 980, 960, 935, 890, 860, 820, 810, 785, 760,
    730, 700, 670, 635, 595, 550, 520, 465, 430, 420, 410, 400,
    390, 380, 370, 360, 350, 330, 320, 310, 292, 280, 260, 250,
    240, 225, 210, 200, 180, 160, 145, 135, 130, 125, 120, 115,
    110, 105, 100, 95, 91, 87, 83, 79, 75, 71, 67, 63,
    59,
];

/// Diameters of the drills A to Z, in ten-thousandths of an inch.
#[rustfmt::skip]
const LETTER: [u16; 26] = [
    2340, 2380, 2420, 2460, 2500, 2570, 2610, 2660, 2720, 2770, 2810, 2900,
    2950, 3020, 3160, 3230, 3320, 3390, 3480, 3580, 3680, 3770, 3860, 3970,
    4040, 4130,
];

/// Returns the diameter of a number drill in ten-thousandths of an inch; none outside #1 to #97.
///
/// ```
/// // Machinery's Handbook, 31st ed., p. 2168, table 4: No. 7 is 0.2010 in.
/// assert_eq!(millside::table::drills::number(7), Some(2010));
/// ```
pub fn number(n: u32) -> Option<u16> {
    let index = usize::try_from(n).ok()?.checked_sub(1)?;
    NUMBER.get(index).copied()
}

/// Returns the diameter of a letter drill in ten-thousandths of an inch; the case does not matter.
///
/// ```
/// // Machinery's Handbook, 31st ed., p. 2168, table 4: letter F is 0.2570 in.
/// assert_eq!(millside::table::drills::letter('f'), Some(2570));
/// ```
pub fn letter(letter: char) -> Option<u16> {
    let letter = letter.to_ascii_uppercase();
    if !letter.is_ascii_uppercase() {
        return None;
    }
    LETTER.get(letter as usize - 'A' as usize).copied()
}

#[cfg(test)]
mod tests {
    use crate::table::drills::LETTER;
    use crate::table::drills::NUMBER;
    use crate::table::drills::letter;
    use crate::table::drills::number;

    #[test]
    fn a_higher_number_is_a_thinner_drill() {
        assert!(NUMBER.windows(2).all(|pair| pair[0] > pair[1]));
    }

    #[test]
    fn a_later_letter_is_a_thicker_drill_and_all_are_thicker_than_number_one() {
        assert!(LETTER.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(LETTER[0] > NUMBER[0]);
    }

    #[test]
    fn only_named_sizes_exist() {
        assert_eq!(number(0), None);
        assert_eq!(number(97), Some(59));
        assert_eq!(number(98), None);
        assert_eq!(letter('ä'), None);
        assert_eq!(letter('Z'), Some(4130));
    }
}
