//! G and M codes that are known, with their modal groups (NISTIR 6556, 3.4, tables 5 and 7).

/// Modal group of a G code. Codes of one group exclude each other on a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Group 0: acts on its line only.
    Once,
    /// Group 1: motion.
    Motion,
    /// Group 2: plane.
    Plane,
    /// Group 3: absolute or incremental.
    Distance,
    /// Arc centres absolute or incremental; common practice, not of the report.
    ArcDistance,
    /// Group 5: meaning of F.
    FeedMode,
    /// Group 6: units.
    Units,
    /// Group 7: cutter radius compensation.
    Radius,
    /// Group 8: tool length offset.
    Length,
    /// Group 10: return level of cycles.
    Return,
    /// Group 12: work system.
    System,
    /// Group 13: path control.
    Path,
    /// Cancels something that is not followed; common practice, moves nothing.
    Harmless,
}

impl Group {
    /// A bit for each group that excludes a second code.
    pub fn bit(self) -> u16 {
        match self {
            Self::Once | Self::Harmless => 0,
            other => 1 << (other as u16),
        }
    }

    /// Whether two codes of the group leave the tool's place in doubt.
    pub fn is_geometric(self) -> bool {
        !matches!(self, Self::FeedMode | Self::Return | Self::Path)
    }
}

/// Group of a G code given in tenths (`G59.1` is 591); `None` when the code is not followed.
pub fn g_group(tenths: i32) -> Option<Group> {
    Some(match tenths {
        0 | 10 | 20 | 30 | 382 | 730 | 800 | 810 | 820 | 830 | 840 | 850 | 860 | 870 | 880
        | 890 => Group::Motion,
        40 | 100 | 280 | 300 | 530 | 920 | 921 | 922 | 923 => Group::Once,
        170 | 180 | 190 => Group::Plane,
        200 | 210 | 700 | 710 => Group::Units,
        400 | 410 | 420 => Group::Radius,
        430 | 490 => Group::Length,
        540 | 550 | 560 | 570 | 580 | 590 | 591 | 592 | 593 => Group::System,
        610 | 611 | 640 => Group::Path,
        900 | 910 => Group::Distance,
        901 | 911 => Group::ArcDistance,
        930 | 940 | 950 => Group::FeedMode,
        980 | 990 => Group::Return,
        // Exact stop for one line, look-ahead, and the ends of polar, scaling, macro and rotation modes.
        80 | 90 | 150 | 500 | 670 | 690 => Group::Harmless,
        _ => return None,
    })
}

/// G codes that are not followed and hand the rest of their words to something else.
pub fn takes_all_words(tenths: i32) -> bool {
    matches!(tenths, 650 | 660 | 661)
}

/// Number of the work system chosen by a code, 0 for G54 to 8 for G59.3.
pub fn system(tenths: i32) -> Option<usize> {
    Some(match tenths {
        540 => 0,
        550 => 1,
        560 => 2,
        570 => 3,
        580 => 4,
        590 => 5,
        591 => 6,
        592 => 7,
        593 => 8,
        _ => return None,
    })
}

/// Name of a work system, 0 for G54.
pub fn system_name(system: usize) -> &'static str {
    const NAMES: [&str; 9] = [
        "G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3",
    ];
    NAMES[system.min(8)]
}

/// Group of an M code as a bit; `None` when the code is not known, 0 when it excludes none.
pub fn m_group(code: u32) -> Option<u8> {
    Some(match code {
        0 | 1 | 2 | 30 | 60 => 1,
        3..=5 => 2,
        6 => 4,
        7..=9 => 8,
        48 | 49 => 16,
        98 | 99 => 32,
        _ => return None,
    })
}

/// A G code as people write it.
pub fn g_name(tenths: i32) -> String {
    if tenths % 10 == 0 {
        format!("G{}", tenths / 10)
    } else {
        format!("G{}.{}", tenths / 10, tenths % 10)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_of_the_report_has_a_group() {
        // NISTIR 6556, table 5.
        for tenths in [
            0, 10, 20, 30, 40, 100, 170, 180, 190, 200, 210, 280, 300, 382, 400, 410, 420, 430,
            490, 530, 540, 550, 560, 570, 580, 590, 591, 592, 593, 610, 611, 640, 800, 810, 820,
            830, 840, 850, 860, 870, 880, 890, 900, 910, 920, 921, 922, 923, 930, 940, 980, 990,
        ] {
            assert!(g_group(tenths).is_some(), "{tenths}");
        }
        assert_eq!(g_group(50), None);
        assert_eq!(g_name(593), "G59.3");
    }

    #[test]
    fn groups_that_exclude_have_bits_of_their_own() {
        let bits = [
            Group::Motion,
            Group::Plane,
            Group::Distance,
            Group::ArcDistance,
            Group::FeedMode,
            Group::Units,
            Group::Radius,
            Group::Length,
            Group::Return,
            Group::System,
            Group::Path,
        ]
        .map(Group::bit);
        let all: u16 = bits.iter().fold(0, |sum, bit| sum | bit);
        assert_eq!(all.count_ones() as usize, bits.len());
    }
}
