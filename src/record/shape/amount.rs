//! Numbers in a record: with their unit, counted, or as a length that a person typed.

use std::fmt::Display;
use std::str::FromStr;
use std::time::Duration;

use toml::de::DeValue;

use crate::job::typed::Typed;
use crate::quantity;
use crate::quantity::entry;
use crate::record::fault::Wrong;
use crate::record::shape::Shape;
use crate::record::shape::found;
use crate::record::shape::quoted;

/// No number of a job is greater; the reader takes none and the pen writes none.
pub(in crate::record) const HUGE: f64 = 1.0e12;

/// A number with its unit, such as `"6 mm"`; without unit a bare number.
///
/// Twelve significant digits are written, of seconds three decimals: more than anything at a
/// mill can tell, and 18 mm does not become 18.000000000000004 mm on its way through inches.
pub(in crate::record) struct Amount {
    /// The one unit of this value; empty for a bare number.
    pub unit: &'static str,
    /// The least that is taken.
    pub least: f64,
}

/// Length or coordinate that may be negative.
pub(in crate::record) const MM_SIGNED: Amount = signed("mm");
/// Length, zero or more.
pub(in crate::record) const MM: Amount = from_zero("mm");
/// Edge radius.
pub(in crate::record) const UM: Amount = from_zero("um");
/// Feed.
pub(in crate::record) const MM_MIN: Amount = from_zero("mm/min");
/// Surface speed.
pub(in crate::record) const M_MIN: Amount = from_zero("m/min");
/// Spindle or motor speed.
pub(in crate::record) const RPM: Amount = from_zero("rpm");
/// Frequency of a sound.
pub(in crate::record) const HERTZ: Amount = from_zero("Hz");
/// Acceleration.
pub(in crate::record) const MM_S2: Amount = from_zero("mm/s2");
/// Force.
pub(in crate::record) const NEWTON: Amount = from_zero("N");
/// Torque.
pub(in crate::record) const NM: Amount = from_zero("N m");
/// Power.
pub(in crate::record) const WATT: Amount = from_zero("W");
/// Stiffness.
pub(in crate::record) const N_UM: Amount = from_zero("N/um");
/// Specific force.
pub(in crate::record) const N_MM2: Amount = from_zero("N/mm2");
/// Specific energy.
pub(in crate::record) const J_MM3: Amount = from_zero("J/mm3");
/// Density.
pub(in crate::record) const KG_M3: Amount = from_zero("kg/m3");
/// Thermal expansion.
pub(in crate::record) const UM_M_K: Amount = from_zero("um/(m K)");
/// Angle.
pub(in crate::record) const DEG: Amount = from_zero("deg");
/// Percentage.
pub(in crate::record) const PERCENT: Amount = from_zero("%");
/// Time.
pub(in crate::record) const SECOND: Amount = from_zero("s");
/// Time that may be negative.
pub(in crate::record) const SECOND_SIGNED: Amount = signed("s");
/// A ratio, a share of one, a factor.
pub(in crate::record) const BARE: Amount = from_zero("");

const fn from_zero(unit: &'static str) -> Amount {
    Amount { unit, least: 0.0 }
}

const fn signed(unit: &'static str) -> Amount {
    Amount { unit, least: -HUGE }
}

impl Amount {
    fn takes(&self, value: f64) -> bool {
        (self.least..=HUGE).contains(&value)
    }

    /// Number and unit in one text, as they stand in a list or behind a key.
    fn text(&self, value: f64) -> String {
        let places = if self.unit == "s" { 3 } else { 12 };
        let value = rounded(value, places);
        if self.unit.is_empty() {
            value.to_string()
        } else {
            quoted(&format!("{value} {}", self.unit))
        }
    }
}

impl Shape<f64> for Amount {
    fn write(&self, value: &f64, _is_inline: bool) -> Option<String> {
        self.takes(*value).then(|| self.text(*value))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<f64, Wrong> {
        let value = if self.unit.is_empty() {
            number(found)
        } else {
            found
                .as_str()
                .and_then(|text| text.trim().strip_suffix(self.unit))
                .map(str::trim_end)
                .filter(|text| text.len() <= 400)
                .and_then(decimal)
        };
        value
            .filter(|value| self.takes(*value))
            .ok_or_else(|| self.wrong(found))
    }

    fn allowed(&self) -> String {
        let negative = if self.least < 0.0 {
            ""
        } else {
            ", zero or more"
        };
        if self.unit.is_empty() {
            format!("Write a number{negative}.")
        } else {
            format!(
                "Write a number with its unit in quotes, such as \"6 {}\"{negative}.",
                self.unit
            )
        }
    }
}

/// At most so many decimals and twelve significant digits; never a minus zero.
fn rounded(value: f64, places: usize) -> f64 {
    let cut: f64 = format!("{value:.11e}").parse().unwrap_or(value);
    let cut: f64 = format!("{cut:.places$}").parse().unwrap_or(cut);
    if cut == 0.0 { 0.0 } else { cut }
}

/// A finite number in decimal digits.
fn decimal(text: &str) -> Option<f64> {
    let plain = !text.is_empty()
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E'));
    if !plain {
        return None;
    }
    text.parse().ok().filter(|value: &f64| value.is_finite())
}

/// The number of a TOML integer or float; neither NaN nor infinite.
pub(in crate::record) fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(integer) if integer.radix() == 10 => decimal(integer.as_str()),
        DeValue::Float(float) => decimal(float.as_str()),
        _ => None,
    }
}

/// A whole number from `least` up to what its type and a record can hold.
pub(in crate::record) struct Count {
    /// The least that is taken.
    pub least: u64,
    /// The greatest that is taken.
    pub most: u64,
}

/// Any count.
pub(in crate::record) const COUNT: Count = Count {
    least: 0,
    most: i64::MAX as u64,
};

impl<T: Copy + Display + FromStr> Shape<T> for Count {
    fn write(&self, value: &T, _is_inline: bool) -> Option<String> {
        let text = value.to_string();
        let fits = text
            .parse::<u64>()
            .is_ok_and(|count| (self.least..=self.most).contains(&count));
        fits.then_some(text)
    }

    fn read(&self, found: &DeValue<'_>) -> Result<T, Wrong> {
        let count = match found {
            DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str().parse().ok(),
            _ => None,
        };
        count
            .filter(|count| (self.least..=self.most).contains(count))
            .and_then(|count: u64| count.to_string().parse().ok())
            .ok_or_else(|| Shape::<T>::wrong(self, found))
    }

    fn allowed(&self) -> String {
        if self.most == COUNT.most {
            format!("Write a whole number, {} or more.", self.least)
        } else {
            format!("Write a whole number from {} to {}.", self.least, self.most)
        }
    }
}

/// A place in a list of this many: counted from 0 in the state and from 1 in the record.
pub(in crate::record) struct Place(pub usize);

/// A place in a list that may have become shorter since.
pub(in crate::record) const ANY_PLACE: Place = Place(1_000_000);

impl Shape<usize> for Place {
    fn write(&self, value: &usize, _is_inline: bool) -> Option<String> {
        Some((value + 1).to_string())
    }

    fn read(&self, found: &DeValue<'_>) -> Result<usize, Wrong> {
        let count: usize = Count {
            least: 1,
            most: self.0 as u64,
        }
        .read(found)
        .map_err(|_| self.wrong(found))?;
        Ok(count - 1)
    }

    fn allowed(&self) -> String {
        match self.0 {
            0 => "There is none so far: leave it out.".to_owned(),
            most => format!("Write a whole number from 1 to {most}."),
        }
    }
}

/// A length as the person typed it; kept to the letter.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(in crate::record) enum Length {
    /// A coordinate or a deviation.
    Signed,
    /// Zero or more.
    FromZero,
    /// More than zero.
    Positive,
}

/// The greatest length that a field takes, in mm.
const LONGEST_MM: f64 = 10_000.0;

impl Length {
    /// What is understood of a text with a unit, in mm.
    fn understand(self, text: &str) -> Result<f64, String> {
        if text
            .chars()
            .all(|c| c.is_ascii_digit() || "+-.,/ ".contains(c))
        {
            return Err("has no unit".to_owned());
        }
        let entry = match self {
            // A drill's name has no sign.
            Self::Signed => entry::length(text).or_else(|_| entry::length_signed(text)),
            Self::FromZero => entry::length(text),
            Self::Positive => entry::length_positive(text),
        };
        match entry {
            Ok(entry) => Ok(quantity::to_mm(entry.value)),
            // A value that was computed may have more digits than a person types.
            Err(error) => self.computed(text).ok_or_else(|| error.fault.to_string()),
        }
    }

    fn computed(self, text: &str) -> Option<f64> {
        let value = decimal(text.strip_suffix(" mm")?)?;
        let fits = match self {
            Self::Signed => value.abs() <= LONGEST_MM,
            Self::FromZero => (0.0..=LONGEST_MM).contains(&value),
            Self::Positive => value > 0.0 && value <= LONGEST_MM,
        };
        fits.then_some(value)
    }
}

impl Shape<Typed> for Length {
    fn write(&self, value: &Typed, _is_inline: bool) -> Option<String> {
        let says_so = self
            .understand(&value.text)
            .is_ok_and(|mm| (mm - value.value).abs() <= 1e-9 * mm.abs().max(1.0));
        if says_so {
            return Some(quoted(&value.text));
        }
        // The value is what was computed with: it goes before a text that says otherwise.
        MM_SIGNED.write(&value.value.clamp(-LONGEST_MM, LONGEST_MM), true)
    }

    fn read(&self, found: &DeValue<'_>) -> Result<Typed, Wrong> {
        let Some(text) = found.as_str() else {
            return Err(self.wrong(found));
        };
        match self.understand(text) {
            Ok(value) => Ok(Typed::new(text, value)),
            Err(why) => Err(Wrong::new(
                format!("{}: {why}", self::found(found)),
                Shape::<Typed>::allowed(self),
            )),
        }
    }

    fn allowed(&self) -> String {
        let negative = match self {
            Self::Signed => "",
            Self::FromZero => ", zero or more",
            Self::Positive => ", more than zero",
        };
        format!("Write a length with its unit in quotes, such as \"6 mm\"{negative}.")
    }
}

/// Time spent in seconds, to the millisecond; none is left out.
pub(in crate::record) struct Lasting;

/// Longest time that is taken: a hundred years of three shifts.
const LONGEST_S: u64 = 3_200_000_000;

impl Shape<Duration> for Lasting {
    fn write(&self, value: &Duration, _is_inline: bool) -> Option<String> {
        let part = format!("{:03}", value.subsec_millis());
        let part = part.trim_end_matches('0');
        let point = if part.is_empty() { "" } else { "." };
        let seconds = value.as_secs().min(LONGEST_S);
        let is_none = seconds == 0 && part.is_empty();
        (!is_none).then(|| quoted(&format!("{seconds}{point}{part} s")))
    }

    fn read(&self, found: &DeValue<'_>) -> Result<Duration, Wrong> {
        let read = || {
            let text = found.as_str()?.trim().strip_suffix('s')?.trim_end();
            let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
            let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
            if !digits(whole) || !digits(part) || part.len() > 9 {
                return None;
            }
            let seconds: u64 = whole.parse().ok().filter(|s| *s <= LONGEST_S)?;
            let nanos: u32 = format!("{part:0<9}").parse().ok()?;
            Some(Duration::new(seconds, nanos))
        };
        read().ok_or_else(|| self.wrong(found))
    }

    fn missing(&self) -> Option<Duration> {
        Some(Duration::ZERO)
    }

    fn allowed(&self) -> String {
        "Write seconds with their unit in quotes, such as \"12.5 s\".".to_owned()
    }
}
