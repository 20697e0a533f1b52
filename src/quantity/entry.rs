//! What a person typed, read as a quantity.
//!
//! Each function takes the text of a field and gives an [`Entry`]: the value, and the text set in order with
//! its unit, which is what the record keeps. The text of an entry read again gives the same value and the
//! same text. A bare number is mm, mm/min, m/min, 1/min, W, degrees, percent or minutes.

use std::error::Error;
use std::fmt;

use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Power;
use crate::quantity::Ratio;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;
use crate::quantity::Time;
use crate::quantity::number::Fault;
use crate::quantity::number::Number;
use crate::quantity::number::leading;
use crate::quantity::number::tidy;
use crate::table::drills;

/// A value with the text that it was typed as.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry<Q> {
    /// The value.
    pub value: Q,
    /// The text as typed, set in order, with its unit: `6` becomes `6 mm`, `.25in` becomes `0.25 in`.
    pub typed: String,
}

/// Why a typed value was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryError {
    /// What was wrong.
    pub fault: Fault,
    /// Name of the quantity, for example `length`.
    pub quantity: &'static str,
    /// Something that would be taken.
    pub example: &'static str,
}

impl fmt::Display for EntryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; write for example {}", self.fault, self.example)
    }
}

impl Error for EntryError {}

/// Which signs a field takes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sign {
    Any,
    NotNegative,
    Positive,
}

/// One unit: what people write, what we write, how a number becomes a quantity.
type Unit<Q> = (&'static [&'static str], &'static str, fn(f64) -> Q);

/// How one quantity is read. The first unit is that of a bare number.
struct Rule<Q: 'static> {
    quantity: &'static str,
    example: &'static str,
    units: &'static [Unit<Q>],
    allowed: &'static str,
    bound: fn() -> Q,
    bound_text: &'static str,
}

impl<Q: Copy + PartialOrd + std::ops::Neg<Output = Q>> Rule<Q> {
    fn fail(&self, fault: Fault) -> EntryError {
        EntryError {
            fault,
            quantity: self.quantity,
            example: self.example,
        }
    }

    fn read(&self, text: &str, sign: Sign) -> Result<Entry<Q>, EntryError> {
        let text = tidy(text).map_err(|fault| self.fail(fault))?;
        let (number, rest) = leading(&text).map_err(|fault| self.fail(fault))?;
        if number.is_fraction && rest.is_empty() {
            return Err(self.fail(Fault::FractionWithoutUnit));
        }
        self.finish(&number, rest, sign)
    }

    fn finish(&self, number: &Number, unit: &str, sign: Sign) -> Result<Entry<Q>, EntryError> {
        let (_, symbol, make) = self
            .units
            .iter()
            .find(|(names, symbol, _)| {
                unit.eq_ignore_ascii_case(symbol)
                    || names.iter().any(|name| unit.eq_ignore_ascii_case(name))
            })
            .ok_or_else(|| {
                self.fail(Fault::UnknownUnit {
                    unit: unit.chars().take(12).collect(),
                    allowed: self.allowed,
                })
            })?;
        match sign {
            Sign::NotNegative | Sign::Positive if number.value < 0.0 => {
                return Err(self.fail(Fault::Negative));
            }
            Sign::Positive if number.value == 0.0 => return Err(self.fail(Fault::Zero)),
            _ => {}
        }
        let value = make(number.value);
        let bound = (self.bound)();
        if value > bound || value < -bound {
            return Err(self.fail(Fault::TooLarge {
                bound: self.bound_text,
            }));
        }
        Ok(Entry {
            value,
            typed: format!("{} {symbol}", number.text),
        })
    }
}

const LENGTH: Rule<Length> = Rule {
    quantity: "length",
    example: "6 mm, 0.25 in, 1/4\", 25 thou or #7",
    units: &[
        (&["", "millimetre", "millimeter"], "mm", crate::quantity::mm),
        (&[], "cm", |v| crate::quantity::mm(10.0 * v)),
        (&["micron", "microns"], "um", crate::quantity::um),
        (&["\"", "inch", "inches", "''"], "in", crate::quantity::inch),
        (&["thous"], "thou", |v| crate::quantity::inch(v / 1000.0)),
    ],
    allowed: "mm, cm, um, in, \", thou",
    bound: || crate::quantity::mm(10_000.0),
    bound_text: "10000 mm",
};

const FEED: Rule<Feed> = Rule {
    quantity: "feed",
    example: "300, 300 mm/min or 12 in/min",
    units: &[
        (&["", "mmpm", "mm/m"], "mm/min", crate::quantity::mm_per_min),
        (&[], "mm/s", |v| crate::quantity::mm_per_min(60.0 * v)),
        (&[], "m/min", crate::quantity::m_per_min),
        (
            &["ipm", "\"/min", "inch/min"],
            "in/min",
            crate::quantity::inch_per_min,
        ),
    ],
    allowed: "mm/min, mm/s, m/min, in/min, ipm",
    bound: || crate::quantity::mm_per_min(100_000.0),
    bound_text: "100000 mm/min",
};

const SPEED: Rule<SurfaceSpeed> = Rule {
    quantity: "surface speed",
    example: "100, 100 m/min or 330 ft/min",
    units: &[
        (&[""], "m/min", crate::quantity::m_per_min),
        (&[], "m/s", |v| crate::quantity::m_per_min(60.0 * v)),
        (
            &["sfm", "fpm", "sfpm"],
            "ft/min",
            crate::quantity::ft_per_min,
        ),
    ],
    allowed: "m/min, m/s, ft/min, sfm",
    bound: || crate::quantity::m_per_min(10_000.0),
    bound_text: "10000 m/min",
};

const RPM: Rule<SpindleSpeed> = Rule {
    quantity: "spindle speed",
    example: "9000, 9k or 9000 rpm",
    units: &[(&["", "/min", "min-1"], "rpm", crate::quantity::rpm)],
    allowed: "rpm, 1/min, k",
    bound: || crate::quantity::rpm(300_000.0),
    bound_text: "300000 rpm",
};

const POWER: Rule<Power> = Rule {
    quantity: "power",
    example: "750, 750 W, 1.5 kW or 1 hp",
    units: &[
        (&[""], "W", crate::quantity::watt),
        (&[], "kW", |v| crate::quantity::watt(1000.0 * v)),
        (&[], "hp", crate::quantity::horsepower),
    ],
    allowed: "W, kW, hp",
    bound: || crate::quantity::watt(100_000.0),
    bound_text: "100 kW",
};

const FORCE: Rule<Force> = Rule {
    quantity: "force",
    example: "200, 200 N or 45 lbf",
    units: &[
        (&[""], "N", crate::quantity::newton),
        (&[], "kN", |v| crate::quantity::newton(1000.0 * v)),
        (&["lb"], "lbf", crate::quantity::pound_force),
    ],
    allowed: "N, kN, lbf",
    bound: || crate::quantity::newton(1_000_000.0),
    bound_text: "1000 kN",
};

const FREQUENCY: Rule<SpindleSpeed> = Rule {
    quantity: "frequency",
    example: "310, 310 Hz or 0.31 kHz",
    units: &[
        (&[""], "Hz", crate::quantity::hertz),
        (&[], "kHz", |v| crate::quantity::hertz(1000.0 * v)),
    ],
    allowed: "Hz, kHz",
    bound: || crate::quantity::hertz(20_000.0),
    bound_text: "20 kHz",
};

const ANGLE: Rule<Angle> = Rule {
    quantity: "angle",
    example: "30 or 30 deg",
    units: &[(
        &["", "\u{b0}", "degree", "degrees"],
        "deg",
        crate::quantity::degree,
    )],
    allowed: "deg",
    bound: || crate::quantity::degree(360.0),
    bound_text: "360 deg",
};

const PERCENT: Rule<Ratio> = Rule {
    quantity: "percentage",
    example: "80 or 80 %",
    units: &[(&["", "percent", "pct"], "%", crate::quantity::percent)],
    allowed: "%",
    bound: || crate::quantity::percent(1000.0),
    bound_text: "1000 %",
};

/// Reads a length that is zero or more: `6`, `6mm`, `.25in`, `1/4"`, `1-1/2"`, `25 thou`, `#7`, `F`.
///
/// ```
/// use millside::quantity::entry::length;
/// use millside::quantity::to_mm;
/// let entry = length(".25in").unwrap();
/// assert!((to_mm(entry.value) - 6.35).abs() < 1e-12);
/// assert_eq!(entry.typed, "0.25 in");
/// ```
///
/// # Errors
///
/// Not a number, an unknown unit or drill, negative, more than 10 m.
pub fn length(text: &str) -> Result<Entry<Length>, EntryError> {
    match drill(text) {
        Some(found) => found,
        None => LENGTH.read(text, Sign::NotNegative),
    }
}

/// Reads a length that is more than zero, such as a diameter.
///
/// # Errors
///
/// As [`length`], and zero.
pub fn length_positive(text: &str) -> Result<Entry<Length>, EntryError> {
    match drill(text) {
        Some(found) => found,
        None => LENGTH.read(text, Sign::Positive),
    }
}

/// Reads a coordinate or a deviation: a length that may be negative. Drill names are not taken.
///
/// # Errors
///
/// As [`length`] except for the sign.
pub fn length_signed(text: &str) -> Result<Entry<Length>, EntryError> {
    LENGTH.read(text, Sign::Any)
}

/// Reads a feed; more than zero.
///
/// # Errors
///
/// Not a number, an unknown unit, zero or negative, more than 100 m/min.
pub fn feed(text: &str) -> Result<Entry<Feed>, EntryError> {
    FEED.read(text, Sign::Positive)
}

/// Reads a surface speed; more than zero.
///
/// # Errors
///
/// Not a number, an unknown unit, zero or negative, more than 10000 m/min.
pub fn speed(text: &str) -> Result<Entry<SurfaceSpeed>, EntryError> {
    SPEED.read(text, Sign::Positive)
}

/// Reads a spindle speed; more than zero: `9000`, `10k`, `9.5k rpm`.
///
/// ```
/// use millside::quantity::entry::rpm;
/// assert_eq!(rpm("10k").unwrap().typed, "10000 rpm");
/// ```
///
/// # Errors
///
/// Not a number, an unknown unit, zero or negative, more than 300000 rpm.
pub fn rpm(text: &str) -> Result<Entry<SpindleSpeed>, EntryError> {
    let tidied = tidy(text).map_err(|fault| RPM.fail(fault))?;
    // The symbol 1/min would read as a fraction.
    let tidied = match tidied.strip_suffix(" 1/min") {
        Some(head) => format!("{} rpm", head.trim_end()),
        None => tidied,
    };
    let (number, rest) = leading(&tidied).map_err(|fault| RPM.fail(fault))?;
    match rest.strip_prefix(['k', 'K']) {
        Some(unit) if !number.is_fraction => {
            RPM.finish(&thousandfold(&number), unit.trim(), Sign::Positive)
        }
        _ => RPM.read(&tidied, Sign::Positive),
    }
}

/// Reads a power; more than zero.
///
/// # Errors
///
/// Not a number, an unknown unit, zero or negative, more than 100 kW.
pub fn power(text: &str) -> Result<Entry<Power>, EntryError> {
    POWER.read(text, Sign::Positive)
}

/// Reads a force; zero or more.
///
/// # Errors
///
/// Not a number, an unknown unit, negative, more than 1000 kN.
pub fn force(text: &str) -> Result<Entry<Force>, EntryError> {
    FORCE.read(text, Sign::NotNegative)
}

/// Reads a frequency; more than zero.
///
/// # Errors
///
/// Not a number, an unknown unit, zero or negative, more than 20 kHz.
pub fn frequency(text: &str) -> Result<Entry<SpindleSpeed>, EntryError> {
    FREQUENCY.read(text, Sign::Positive)
}

/// Reads an angle from 0 to 360 degrees.
///
/// # Errors
///
/// Not a number, an unknown unit, negative, more than a full turn.
pub fn angle(text: &str) -> Result<Entry<Angle>, EntryError> {
    ANGLE.read(text, Sign::NotNegative)
}

/// Reads an angle that may be negative.
///
/// # Errors
///
/// As [`angle`] except for the sign.
pub fn angle_signed(text: &str) -> Result<Entry<Angle>, EntryError> {
    ANGLE.read(text, Sign::Any)
}

/// Reads a percentage; zero or more.
///
/// # Errors
///
/// Not a number, an unknown unit, negative, more than 1000 %.
pub fn percent(text: &str) -> Result<Entry<Ratio>, EntryError> {
    PERCENT.read(text, Sign::NotNegative)
}

/// Reads a duration: `5`, `5 min`, `90 s`, `1h 5m`, `1:05:00` or `4:30` (minutes and seconds).
///
/// # Errors
///
/// Not a duration, a unit twice or out of order, more than 1000 h.
pub fn duration(text: &str) -> Result<Entry<Time>, EntryError> {
    crate::quantity::entry_duration::read(text)
}

/// Reads a drill by its number or letter; none when the text is not of that form.
fn drill(text: &str) -> Option<Result<Entry<Length>, EntryError>> {
    let text = tidy(text).ok()?;
    let lower = text.to_ascii_lowercase();
    let name = lower.strip_suffix("drill").unwrap_or(&lower).trim();
    let number = ["#", "no.", "no"]
        .iter()
        .find_map(|prefix| name.strip_prefix(prefix))
        .map(str::trim_start);
    let (size, typed) = if let Some(digits) = number {
        let n = digits.parse::<u32>().ok();
        (n.and_then(drills::number), format!("#{}", n.unwrap_or(0)))
    } else {
        let mut letters = name.chars();
        let letter = letters.next().filter(char::is_ascii_alphabetic)?;
        if letters.next().is_some() {
            return None;
        }
        (
            drills::letter(letter),
            letter.to_ascii_uppercase().to_string(),
        )
    };
    Some(match size {
        Some(e4) => Ok(Entry {
            value: crate::quantity::inch(f64::from(e4) / 10_000.0),
            typed,
        }),
        None => Err(LENGTH.fail(Fault::UnknownDrill)),
    })
}

/// Moves the decimal point by three, in the text too, so that no rounding creeps in.
fn thousandfold(number: &Number) -> Number {
    let (whole, part) = number.text.split_once('.').unwrap_or((&number.text, ""));
    let shifted = format!("{part:0<3}");
    let (head, tail) = shifted.split_at(3);
    let (sign, whole) = match whole.strip_prefix('-') {
        Some(whole) => ("-", whole),
        None => ("", whole),
    };
    let joined = format!("{whole}{head}");
    let whole = joined.trim_start_matches('0');
    let whole = if whole.is_empty() { "0" } else { whole };
    let tail = tail.trim_end_matches('0');
    let text = if tail.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{tail}")
    };
    Number {
        value: text.parse().unwrap_or(number.value * 1000.0),
        text,
        is_fraction: false,
    }
}

#[cfg(test)]
mod tests {
    use crate::quantity::entry::EntryError;
    use crate::quantity::entry::angle;
    use crate::quantity::entry::duration;
    use crate::quantity::entry::feed;
    use crate::quantity::entry::length;
    use crate::quantity::entry::length_positive;
    use crate::quantity::entry::length_signed;
    use crate::quantity::entry::percent;
    use crate::quantity::entry::power;
    use crate::quantity::entry::rpm;
    use crate::quantity::entry::speed;
    use crate::quantity::number::Fault;
    use crate::quantity::to_degree;
    use crate::quantity::to_m_per_min;
    use crate::quantity::to_mm;
    use crate::quantity::to_mm_per_min;
    use crate::quantity::to_percent;
    use crate::quantity::to_rpm;
    use crate::quantity::to_second;
    use crate::quantity::to_watt;

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-9 * b.abs().max(1.0)
    }

    #[test]
    fn a_length_is_read_in_every_way_people_write_it() {
        for (text, mm, typed) in [
            ("6", 6.0, "6 mm"),
            ("6mm", 6.0, "6 mm"),
            (" 6,5 MM ", 6.5, "6.5 mm"),
            (".25in", 6.35, "0.25 in"),
            ("1/4\"", 6.35, "1/4 in"),
            ("1-1/2\"", 38.1, "1-1/2 in"),
            ("25 thou", 0.635, "25 thou"),
            ("40um", 0.04, "40 um"),
            ("40 \u{b5}m", 0.04, "40 um"),
            ("#7", 5.1054, "#7"),
            ("no. 7 drill", 5.1054, "#7"),
            ("f", 6.5278, "F"),
            ("0", 0.0, "0 mm"),
        ] {
            let entry = length(text).unwrap();
            assert!(near(to_mm(entry.value), mm), "{text}: {:?}", entry.value);
            assert_eq!(entry.typed, typed);
        }
    }

    #[test]
    fn a_length_says_what_was_wrong() {
        let says = |text: &str| length(text).unwrap_err().to_string();
        assert_eq!(
            says("6 m"),
            "the unit \"m\" is not one of mm, cm, um, in, \", thou; \
             write for example 6 mm, 0.25 in, 1/4\", 25 thou or #7"
        );
        assert!(says("1/4").starts_with("a fraction needs its unit"));
        assert!(says("-1").starts_with("it must not be negative"));
        assert!(says("99999").starts_with("it is more than 10000 mm"));
        assert!(says("#99").starts_with("there are drills #1 to #97 and A to Z"));
        assert!(says("#").starts_with("there are drills"));
        assert!(says("1'000").starts_with("the unit \"\\'000\" is not one of"));
        assert!(says("nan").starts_with("it does not begin with a number"));
        let hostile = says("6 \u{1b}[2J\u{202e}");
        assert!(!hostile.contains('\u{1b}') && !hostile.contains('\u{202e}'));
    }

    #[test]
    fn a_coordinate_may_be_negative_and_a_diameter_not_zero() {
        let entry = length_signed("-0,5").unwrap();
        assert!(near(to_mm(entry.value), -0.5));
        assert_eq!(entry.typed, "-0.5 mm");
        assert!(length_signed("-20000").is_err());
        assert_eq!(length_positive("0").unwrap_err().fault, Fault::Zero);
    }

    #[test]
    fn speeds_and_feeds_are_read_in_both_worlds() {
        for (text, n, typed) in [
            ("9000", 9000.0, "9000 rpm"),
            ("10k", 10_000.0, "10000 rpm"),
            ("9.35k rpm", 9350.0, "9350 rpm"),
            ("0.5K", 500.0, "500 rpm"),
            ("9000 1/min", 9000.0, "9000 rpm"),
            ("9000 /min", 9000.0, "9000 rpm"),
        ] {
            let entry = rpm(text).unwrap();
            assert!(near(to_rpm(entry.value), n), "{text}");
            assert_eq!(entry.typed, typed);
        }
        assert!(rpm("0").is_err() && rpm("400k").is_err() && rpm("12,000").is_err());
        assert!(rpm("90001/min").is_err() && rpm("9000-").is_err());
        assert!(near(to_mm_per_min(feed("12 ipm").unwrap().value), 304.8));
        assert!(near(to_mm_per_min(feed("300").unwrap().value), 300.0));
        assert!(near(to_m_per_min(speed("100 sfm").unwrap().value), 30.48));
        assert!(near(to_m_per_min(speed("100").unwrap().value), 100.0));
    }

    #[test]
    fn power_angle_and_percent_are_read() {
        assert!(near(to_watt(power("1.5 kW").unwrap().value), 1500.0));
        assert!(near(to_watt(power("1 hp").unwrap().value), 745.6999));
        assert!(near(to_degree(angle("30\u{b0}").unwrap().value), 30.0));
        assert!(angle("361").is_err());
        assert!(near(to_percent(percent("80%").unwrap().value), 80.0));
    }

    #[test]
    fn a_duration_is_read_as_people_say_it() {
        for (text, seconds, typed) in [
            ("5", 300.0, "5 min"),
            ("90s", 90.0, "90 s"),
            ("1h 5m", 3900.0, "1 h 5 min"),
            ("1h5m10s", 3910.0, "1 h 5 min 10 s"),
            ("1:05:00", 3900.0, "1:05:00"),
            ("4:30", 270.0, "4:30"),
            ("1.5 h", 5400.0, "1.5 h"),
        ] {
            let entry = duration(text).unwrap();
            assert!(near(to_second(entry.value), seconds), "{text}");
            assert_eq!(entry.typed, typed);
            assert_eq!(duration(&entry.typed), Ok(entry));
        }
        for text in [
            "", "5 parsec", "5m 1h", "1:5", "1:60", "5 5", "-5", "h", "9999h",
        ] {
            let error: EntryError = duration(text).unwrap_err();
            assert!(
                error.to_string().contains("write for example 5 min"),
                "{text}"
            );
        }
    }
}
