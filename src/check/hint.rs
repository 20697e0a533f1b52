//! What a comment says of a tool's diameter: a hint to offer or to allow for, never evidence.
//!
//! A unit that is written counts. A fraction is of an inch (common practice, no source). What has neither is in the unit of the
//! program, for the comment comes from where its numbers come from. Numbers of other things (shank, corner, depth, feed,
//! flutes, threads) are left out, and where two sizes are left, none is believed.

mod sizes;

use crate::check::hint::sizes::Size;
use crate::program::interp::MM_PER_INCH;
use crate::program::summary::Units;

/// Largest diameter that is believed, mm.
const LARGEST_MM: f64 = 200.0;
/// Diameters closer than this are one, mm: 1/4 in is also written as 6.35 or 6.3 mm.
const SAME_MM: f64 = 0.06;
/// A size without unit, label or point that is larger was not meant in inches, in.
const LARGEST_PLAIN_IN: f64 = 4.0;
/// One that is smaller may be a part of an inch in a program in mm, mm.
const LEAST_PLAIN_MM: f64 = 1.0;

/// Where the unit of a diameter comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitFrom {
    /// It is written beside the number.
    Comment,
    /// It is that of the program.
    Program(Units),
}

impl UnitFrom {
    /// What a sentence adds about the unit; nothing where it is written.
    pub fn words(self) -> &'static str {
        match self {
            Self::Comment => "",
            Self::Program(Units::Inch) => ", in inches (G20), the program's unit",
            Self::Program(Units::Mm) => ", in mm (G21), the program's unit",
            Self::Program(Units::AssumedMm) => ", in mm: the program states no unit",
        }
    }
}

/// A diameter that a comment names.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Said {
    /// Diameter, mm, greater than 0, at most 200.
    pub mm: f64,
    /// Where its unit comes from.
    pub unit: UnitFrom,
}

/// The one diameter that a comment names; `None` where it names none, or several.
pub fn diameter(comment: &str, units: Units) -> Option<Said> {
    let sizes = sizes::of(comment)?;
    let program_mm = if units == Units::Inch {
        MM_PER_INCH
    } else {
        1.0
    };
    let said = |size: &Size| match size.unit_mm {
        Some(unit_mm) => Said {
            mm: size.value * unit_mm,
            unit: UnitFrom::Comment,
        },
        None => Said {
            mm: size.value * program_mm,
            unit: UnitFrom::Program(units),
        },
    };
    let is_plain_believed = |size: &&Size| match units {
        Units::Inch => size.has_point && size.value <= LARGEST_PLAIN_IN,
        Units::Mm | Units::AssumedMm => size.value >= LEAST_PLAIN_MM,
    };
    let labelled: Vec<Said> = sizes.labelled.iter().map(said).collect();
    let with_unit: Vec<Said> = sizes.with_unit.iter().map(said).collect();
    let by_d: Vec<Said> = sizes.by_d.iter().map(said).collect();
    let plain: Vec<Said> = sizes
        .plain
        .iter()
        .filter(is_plain_believed)
        .map(said)
        .collect();
    let found = [labelled, with_unit, by_d, plain]
        .into_iter()
        .find(|found| !found.is_empty())?;
    let first = found.first().copied()?;
    let is_one = found
        .iter()
        .all(|other| (other.mm - first.mm).abs() < SAME_MM);
    (is_one && first.mm > 0.0 && first.mm <= LARGEST_MM).then_some(first)
}
