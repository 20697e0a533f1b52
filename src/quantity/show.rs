//! Quantities as text: metric, inch, or both. Never `NaN`: a value that is no number shows as `?`.
//!
//! ```
//! use millside::quantity::mm;
//! use millside::quantity::show;
//! use millside::quantity::show::Units;
//! assert_eq!(show::length(mm(6.0), Units::Both), "6.00 mm = 0.2362 in");
//! assert_eq!(show::length(mm(6.0), Units::Metric), "6.00 mm");
//! ```

use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Power;
use crate::quantity::Ratio;
use crate::quantity::RemovalRate;
use crate::quantity::SpecificForce;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;
use crate::quantity::Time;
use crate::quantity::Torque;

/// What stands in place of a value that is no number.
pub const NO_NUMBER: &str = "?";

/// Units to print in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Metric only.
    Metric,
    /// Inch only.
    Inch,
    /// Metric, an equals sign, inch.
    #[default]
    Both,
}

impl Units {
    fn join(self, metric: impl Fn() -> String, inch: impl Fn() -> String) -> String {
        match self {
            Self::Metric => metric(),
            Self::Inch => inch(),
            Self::Both => format!("{} = {}", metric(), inch()),
        }
    }
}

/// Prints with at least `least` and at most `most` decimals; zeros beyond `least` are left out.
fn decimals(value: f64, least: usize, most: usize) -> String {
    if !value.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let mut text = format!("{value:.most$}");
    if most > least {
        let removable = most - least;
        let zeros = text.bytes().rev().take_while(|b| *b == b'0').count();
        text.truncate(text.len() - zeros.min(removable));
        if text.ends_with('.') {
            text.pop();
        }
    }
    if text.trim_start_matches(['-', '0', '.']).is_empty() {
        text = text.trim_start_matches('-').to_owned();
    }
    text
}

/// Prints about three significant digits, without powers of ten; zeros behind the point are kept.
///
/// ```
/// use millside::quantity::show::three_digits;
/// assert_eq!(three_digits(0.0425), "0.0425");
/// assert_eq!(three_digits(11.34), "11.3");
/// assert_eq!(three_digits(288.4), "288");
/// ```
pub fn three_digits(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        v if v >= 0.9995 => 2,
        v if v >= 0.099_95 => 3,
        0.0 => 0,
        _ => 4,
    };
    decimals(value, places, places)
}

fn metric_length(value: Length) -> String {
    let mm = crate::quantity::to_mm(value);
    let (least, most) = if mm != 0.0 && mm.abs() < 0.0995 {
        (3, 4)
    } else {
        (2, 3)
    };
    format!("{} mm", decimals(mm, least, most))
}

/// Prints a length: `6.00 mm = 0.2362 in`, `0.040 mm = 0.0016 in`.
pub fn length(value: Length, units: Units) -> String {
    units.join(
        || metric_length(value),
        || {
            let inch = crate::quantity::to_inch(value);
            let most = if inch != 0.0 && inch.abs() < 0.01 {
                5
            } else {
                4
            };
            format!("{} in", decimals(inch, 4, most))
        },
    )
}

/// Prints a chip load, the same number in the same digits wherever it stands: `0.172 mm = 0.0068 in`, `0.040 mm = 0.0016 in`.
///
/// It is rounded first to the ten-thousandth that a recipe keeps, so that what was taken looks like what was proposed.
///
/// ```
/// use millside::quantity::mm;
/// use millside::quantity::show::Units;
/// use millside::quantity::show::chip_load;
/// assert_eq!(chip_load(mm(0.1718), Units::Metric), chip_load(mm(0.171_76), Units::Metric));
/// assert_eq!(chip_load(mm(0.04), Units::Metric), "0.040 mm");
/// ```
pub fn chip_load(value: Length, units: Units) -> String {
    let kept = (crate::quantity::to_mm(value) * 1e4).round() / 1e4;
    length(crate::quantity::mm(kept), units)
}

/// Prints a feed: `300 mm/min = 11.8 in/min`.
pub fn feed(value: Feed, units: Units) -> String {
    units.join(
        || {
            format!(
                "{} mm/min",
                three_digits(crate::quantity::to_mm_per_min(value))
            )
        },
        || {
            format!(
                "{} in/min",
                three_digits(crate::quantity::to_inch_per_min(value))
            )
        },
    )
}

/// Prints a surface speed: `170 m/min = 557 ft/min`.
pub fn speed(value: SurfaceSpeed, units: Units) -> String {
    units.join(
        || {
            format!(
                "{} m/min",
                three_digits(crate::quantity::to_m_per_min(value))
            )
        },
        || {
            format!(
                "{} ft/min",
                three_digits(crate::quantity::to_ft_per_min(value))
            )
        },
    )
}

/// Prints a spindle speed: `9000 rpm`.
pub fn rpm(value: SpindleSpeed) -> String {
    let n = crate::quantity::to_rpm(value);
    let places = usize::from(n.abs() < 9.95 && n != 0.0);
    format!("{} rpm", decimals(n, places, places))
}

/// Prints a removal rate: `1.80 cm3/min = 0.110 in3/min`.
pub fn removal(value: RemovalRate, units: Units) -> String {
    units.join(
        || {
            format!(
                "{} cm3/min",
                three_digits(crate::quantity::to_cm3_per_min(value))
            )
        },
        || {
            format!(
                "{} in3/min",
                three_digits(crate::quantity::to_inch3_per_min(value))
            )
        },
    )
}

/// Prints a force: `120 N = 27.0 lbf`.
pub fn force(value: Force, units: Units) -> String {
    units.join(
        || format!("{} N", three_digits(crate::quantity::to_newton(value))),
        || {
            format!(
                "{} lbf",
                three_digits(crate::quantity::to_pound_force(value))
            )
        },
    )
}

/// Prints a torque: `0.105 Nm = 0.929 lbf in`.
pub fn torque(value: Torque, units: Units) -> String {
    units.join(
        || {
            format!(
                "{} Nm",
                three_digits(crate::quantity::to_newton_metre(value))
            )
        },
        || {
            format!(
                "{} lbf in",
                three_digits(crate::quantity::to_pound_force_inch(value))
            )
        },
    )
}

/// Prints a power: `750 W = 1.01 hp`, from ten kilowatts on in kW.
pub fn power(value: Power, units: Units) -> String {
    let watt = crate::quantity::to_watt(value);
    units.join(
        || {
            if watt.abs() < 9999.5 {
                format!("{} W", three_digits(watt))
            } else {
                format!("{} kW", three_digits(watt / 1000.0))
            }
        },
        || format!("{} hp", three_digits(crate::quantity::to_horsepower(value))),
    )
}

/// Prints a specific force: `1420 N/mm2`.
pub fn specific_force(value: SpecificForce) -> String {
    format!(
        "{} N/mm2",
        three_digits(crate::quantity::to_n_per_mm2(value))
    )
}

/// Prints an angle: `30 deg`.
pub fn angle(value: Angle) -> String {
    format!("{} deg", decimals(crate::quantity::to_degree(value), 0, 2))
}

/// Prints a percentage without decimals: `83 %`.
pub fn percent(value: Ratio) -> String {
    format!("{} %", decimals(crate::quantity::to_percent(value), 0, 0))
}

/// Prints a duration as `m:ss`, from an hour on as `h:mm:ss`; rounded to the second.
pub fn duration(value: Time) -> String {
    let seconds = crate::quantity::to_second(value);
    if !seconds.is_finite() || seconds.abs() > 1e12 {
        return NO_NUMBER.to_owned();
    }
    let sign = if seconds.round() < 0.0 { "-" } else { "" };
    let whole = seconds.abs().round() as u64;
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    if h > 0 {
        format!("{sign}{h}:{m:02}:{s:02}")
    } else {
        format!("{sign}{m}:{s:02}")
    }
}

#[cfg(test)]
mod tests {
    use crate::quantity::mm;
    use crate::quantity::mm_per_min;
    use crate::quantity::rpm;
    use crate::quantity::second;
    use crate::quantity::show;
    use crate::quantity::show::Units;
    use crate::quantity::watt;

    #[test]
    fn lengths_keep_the_places_that_matter() {
        let metric = |v: f64| show::length(mm(v), Units::Metric);
        assert_eq!(metric(6.0), "6.00 mm");
        assert_eq!(metric(6.35), "6.35 mm");
        assert_eq!(metric(12.3456), "12.346 mm");
        assert_eq!(metric(0.04), "0.040 mm");
        assert_eq!(metric(0.0025), "0.0025 mm");
        assert_eq!(metric(0.0), "0.00 mm");
        assert_eq!(metric(-0.000_001), "0.000 mm");
        assert_eq!(show::length(mm(6.35), Units::Inch), "0.2500 in");
        assert_eq!(show::length(mm(0.04), Units::Inch), "0.00157 in");
    }

    #[test]
    fn other_quantities_carry_three_digits_and_both_units() {
        assert_eq!(
            show::feed(mm_per_min(288.0), Units::Both),
            "288 mm/min = 11.3 in/min"
        );
        assert_eq!(show::power(watt(750.0), Units::Both), "750 W = 1.01 hp");
        assert_eq!(show::rpm(rpm(9000.0)), "9000 rpm");
    }

    #[test]
    fn durations_show_hours_only_when_there_are_some() {
        assert_eq!(show::duration(second(59.6)), "1:00");
        assert_eq!(show::duration(second(3661.0)), "1:01:01");
        assert_eq!(show::duration(second(-5.0)), "-0:05");
    }

    #[test]
    fn what_is_no_number_is_never_printed_as_one() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for text in [
                show::length(mm(bad), Units::Both),
                show::feed(mm_per_min(bad), Units::Both),
                show::duration(second(bad)),
            ] {
                assert!(text.contains('?'), "{text}");
                assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
            }
        }
    }
}
