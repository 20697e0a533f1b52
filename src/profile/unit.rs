//! Values with their unit, as profiles hold them: "9000 rpm", "0.05 mm", "60 to 90 m/min".

use crate::job::material::Span;
use crate::quantity;
use crate::quantity::entry;
use crate::quantity::entry::Entry;
use crate::quantity::entry::EntryError;

/// What a value measures, and so the unit that it is kept in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// mm.
    Length,
    /// mm/min.
    Feed,
    /// m/min.
    SurfaceSpeed,
    /// 1/min.
    Rpm,
    /// W.
    Power,
    /// N.
    Force,
    /// Degrees.
    Angle,
    /// Share of one, written in percent.
    Share,
    /// Seconds.
    Time,
    /// N m.
    Torque,
    /// N/µm.
    Stiffness,
    /// mm/s².
    Acceleration,
    /// N/mm².
    SpecificForce,
    /// J/mm³.
    Energy,
    /// kg/m³.
    Density,
    /// µm/(m K).
    Expansion,
}

/// A unit of the table: how it is written and what one of it is in the kept unit.
type Written = (&'static [&'static str], f64);

const TORQUE: &[Written] = &[(&["N m", "Nm"], 1.0)];
const STIFFNESS: &[Written] = &[
    (&["N/um", "N/µm", "N/μm"], 1.0),
    (&["kN/mm"], 1.0),
    (&["N/mm"], 1.0e-3),
];
const ACCELERATION: &[Written] = &[(&["mm/s2", "mm/s²"], 1.0), (&["m/s2", "m/s²"], 1000.0)];
const SPECIFIC_FORCE: &[Written] = &[(&["N/mm2", "N/mm²", "MPa"], 1.0)];
const ENERGY: &[Written] = &[(&["J/mm3", "J/mm³"], 1.0)];
const DENSITY: &[Written] = &[(&["kg/m3", "kg/m³"], 1.0), (&["g/cm3", "g/cm³"], 1000.0)];
const EXPANSION: &[Written] = &[(&["um/(m K)", "µm/(m K)", "μm/(m K)"], 1.0)];

impl Unit {
    /// An example of a value.
    pub fn example(self) -> &'static str {
        match self {
            Self::Length => "6 mm",
            Self::Feed => "300 mm/min",
            Self::SurfaceSpeed => "90 m/min",
            Self::Rpm => "9000 rpm",
            Self::Power => "750 W",
            Self::Force => "200 N",
            Self::Angle => "118 deg",
            Self::Share => "35 %",
            Self::Time => "90 s",
            Self::Torque => "1.2 N m",
            Self::Stiffness => "2 N/um",
            Self::Acceleration => "150 mm/s2",
            Self::SpecificForce => "800 N/mm2",
            Self::Energy => "0.9 J/mm3",
            Self::Density => "2700 kg/m3",
            Self::Expansion => "23.6 um/(m K)",
        }
    }

    /// How a number of this unit is shown.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Length => "mm",
            Self::Feed => "mm/min",
            Self::SurfaceSpeed => "m/min",
            Self::Rpm => "rpm",
            Self::Power => "W",
            Self::Force => "N",
            Self::Angle => "°",
            Self::Share => "%",
            Self::Time => "s",
            Self::Torque => "N m",
            Self::Stiffness => "N/µm",
            Self::Acceleration => "mm/s²",
            Self::SpecificForce => "N/mm²",
            Self::Energy => "J/mm³",
            Self::Density => "kg/m³",
            Self::Expansion => "µm/(m K)",
        }
    }

    /// Reads a value with its unit into the kept unit.
    ///
    /// # Errors
    ///
    /// A fragment that says what is wrong: no unit, another unit, no number.
    pub fn read(self, text: &str) -> Result<f64, String> {
        let text = text.trim();
        if !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || c == '.') {
            return Err("has no unit".to_owned());
        }
        let take = |read: Result<f64, EntryError>| read.map_err(|error| error.fault.to_string());
        match self {
            Self::Length => take(entry::length(text).map(|e| quantity::to_mm(e.value))),
            Self::Feed => take(entry::feed(text).map(|e| quantity::to_mm_per_min(e.value))),
            Self::SurfaceSpeed => take(entry::speed(text).map(|e| quantity::to_m_per_min(e.value))),
            Self::Rpm => take(entry::rpm(text).map(|e| quantity::to_rpm(e.value))),
            Self::Power => take(entry::power(text).map(|e| quantity::to_watt(e.value))),
            Self::Force => take(entry::force(text).map(|e| quantity::to_newton(e.value))),
            Self::Angle => take(entry::angle(text).map(|e| quantity::to_degree(e.value))),
            Self::Share => take(entry::percent(text).map(|e| quantity::to_ratio(e.value))),
            Self::Time => {
                take(entry::duration(text).map(|e: Entry<_>| quantity::to_second(e.value)))
            }
            Self::Torque => by_table(text, TORQUE),
            Self::Stiffness => by_table(text, STIFFNESS),
            Self::Acceleration => by_table(text, ACCELERATION),
            Self::SpecificForce => by_table(text, SPECIFIC_FORCE),
            Self::Energy => by_table(text, ENERGY),
            Self::Density => by_table(text, DENSITY),
            Self::Expansion => by_table(text, EXPANSION),
        }
    }

    /// Reads "60 to 90 m/min", or one value as both ends.
    ///
    /// # Errors
    ///
    /// As [`Self::read`], and when the first value is greater than the second.
    pub fn read_span(self, text: &str) -> Result<Span, String> {
        let Some((least, most)) = text.split_once(" to ") else {
            let value = self.read(text)?;
            return Ok(Span {
                least: value,
                most: value,
            });
        };
        let top = self.read(most)?;
        let least = least.trim();
        let bottom = if least.chars().all(|c| c.is_ascii_digit() || c == '.') {
            let unit = most
                .trim()
                .trim_start_matches(|c: char| c.is_ascii_digit() || c == '.' || c.is_whitespace());
            self.read(&format!("{least} {unit}"))?
        } else {
            self.read(least)?
        };
        if bottom > top {
            return Err("goes from more to less".to_owned());
        }
        Ok(Span {
            least: bottom,
            most: top,
        })
    }

    /// A kept value with its unit, as a person reads it.
    pub fn show(self, value: f64) -> String {
        let (value, gap) = match self {
            Self::Share => (value * 100.0, " "),
            Self::Angle => (value, ""),
            _ => (value, " "),
        };
        let text = match value.abs() {
            large if large >= 100.0 => format!("{value:.1}"),
            middle if middle >= 10.0 => format!("{value:.2}"),
            _ => format!("{value:.4}"),
        };
        let number = text.trim_end_matches('0').trim_end_matches('.');
        format!("{number}{gap}{}", self.symbol())
    }
}

fn by_table(text: &str, units: &[Written]) -> Result<f64, String> {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let value: f64 = number
        .parse()
        .map_err(|_| "it does not begin with a number".to_owned())?;
    let unit = unit.trim();
    units
        .iter()
        .find(|(names, _)| names.contains(&unit))
        .map(|(_, factor)| value * factor)
        .ok_or_else(|| {
            let allowed: Vec<&str> = units.iter().filter_map(|u| u.0.first()).copied().collect();
            format!("the unit \"{unit}\" is not one of {}", allowed.join(", "))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Unit; 16] = [
        Unit::Length,
        Unit::Feed,
        Unit::SurfaceSpeed,
        Unit::Rpm,
        Unit::Power,
        Unit::Force,
        Unit::Angle,
        Unit::Share,
        Unit::Time,
        Unit::Torque,
        Unit::Stiffness,
        Unit::Acceleration,
        Unit::SpecificForce,
        Unit::Energy,
        Unit::Density,
        Unit::Expansion,
    ];

    #[test]
    fn every_example_is_taken_and_every_bare_number_is_not() {
        for unit in ALL {
            unit.read(unit.example())
                .unwrap_or_else(|why| panic!("{unit:?}: {why}"));
            assert_eq!(unit.read("12.5"), Err("has no unit".to_owned()), "{unit:?}");
            assert!(unit.read("NaN").is_err(), "{unit:?}");
            assert!(unit.read("").is_err(), "{unit:?}");
            assert!(unit.read("5 furlongs").is_err(), "{unit:?}");
        }
    }

    // Conversions: 1 in = 25.4 mm exactly (international inch, 1959).
    #[test]
    fn inch_and_metric_give_the_same_length() {
        let mm = Unit::Length.read("1/4 in").unwrap();
        assert!((mm - 6.35).abs() < 1e-12);
        let stiffness = Unit::Stiffness.read("2000 N/mm").unwrap();
        assert!((stiffness - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_span_takes_its_unit_from_the_second_value() {
        let span = Unit::SurfaceSpeed.read_span("60 to 90 m/min").unwrap();
        assert!((span.least - 60.0).abs() < 1e-9 && (span.most - 90.0).abs() < 1e-9);
        let feet = Unit::SurfaceSpeed.read_span("200 to 300 ft/min").unwrap();
        assert!((feet.least - 60.96).abs() < 1e-9 && (feet.most - 91.44).abs() < 1e-9);
        let share = Unit::Share.read_span("0.5 to 1 %").unwrap();
        assert!((share.least - 0.005).abs() < 1e-12);
        assert_eq!(
            Unit::SurfaceSpeed.read_span("90 to 60 m/min"),
            Err("goes from more to less".to_owned())
        );
    }

    #[test]
    fn a_value_is_shown_with_its_unit() {
        assert_eq!(Unit::Share.show(0.35), "35 %");
        assert_eq!(Unit::Angle.show(118.0), "118°");
        assert_eq!(Unit::Length.show(6.35), "6.35 mm");
        assert_eq!(Unit::SurfaceSpeed.show(243.84), "243.8 m/min");
        assert_eq!(Unit::Rpm.show(9000.0), "9000 rpm");
    }
}
