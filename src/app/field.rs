//! Every field of every form: its label, what it takes and how it is understood.

use crate::app::reasons;
use crate::app::words;
use crate::job::conditions;
use crate::job::conditions::KEYS;
use crate::job::head;
use crate::job::holding::HeldBy;
use crate::job::holding::ScrewHead;
use crate::job::operation::OperationKind;
use crate::job::operation::ThreadSize;
use crate::job::reading::Of;
use crate::job::reference::FoundBy;
use crate::job::reference::Surface;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::job::zero::ZeroPoint;
use crate::measure::lost_steps::TOUCHES;
use crate::quantity;
use crate::quantity::entry;
use crate::quantity::number;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::table::threads;

/// A field.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// Title of a new job.
    Title,
    /// Machine of a new job.
    Machine,
    /// Material of a new job.
    Material,
    /// Path of the program.
    Program,
    /// Line, or time into the operation, before which the program is to be begun again.
    BeginAgain,
    /// Stock along X.
    StockX,
    /// Stock along Y.
    StockY,
    /// Thickness at a corner, 0 to 3.
    Thickness(usize),
    /// Sawn or milled.
    Edges,
    /// What lies under the stock.
    Under,
    /// Thickness of the spoil board.
    Spoil,
    /// How far the stock stands above the jaws.
    AboveJaws,
    /// Finished size along X, Y, Z.
    Part(usize),
    /// What holds the part.
    HeldBy,
    /// How far the vice is out of true.
    OutOfTrue,
    /// A keep-out, 0 to 3.
    KeepOut(usize),
    /// The head of a screw that holds the part, counted from 0.
    Screw(usize),
    /// Zero point.
    ZeroPoint,
    /// How the zero is found.
    FoundBy,
    /// Diameter of what touches.
    Finder,
    /// What an axis reads at a touch: X left, X right, Y front, Y back.
    TouchAt(usize),
    /// Work offset.
    Offset,
    /// Which tool is planned.
    Tool,
    /// Stick-out of the planned tool.
    StickOut,
    /// Speed rating of the planned tool.
    SpeedRating,
    /// Surface that Z is set to.
    Surface,
    /// Height of that surface above Z0.
    Height,
    /// Thickness of paper or shim.
    Shim,
    /// Reading of Z at the touch.
    Touch,
    /// Spindle speed.
    Rpm,
    /// Spindle speed that was read in the cut.
    ReadRpm,
    /// Surface speed.
    SurfaceSpeed,
    /// Chip load.
    ChipLoad,
    /// Table feed.
    Feed,
    /// Depth.
    Depth,
    /// Stepover.
    Stepover,
    /// The hole that a drill opens.
    Pilot,
    /// The thread that a thread mill makes.
    Thread,
    /// Frequencies that the machine was heard to sing at.
    Heard,
    /// Upward pull that the bond stood in a test.
    HoldPull,
    /// After how many minutes of cutting the bond is to rest.
    RestAfter,
    /// By how much Z is raised for the air run.
    Raise,
    /// Reading of Z when it is put back.
    PutBack,
    /// Why the air run is left out.
    NoAir,
    /// A measured size, by place.
    Reading(usize),
    /// By how much the gauge of a size may be wrong, by place.
    Gauge(usize),
    /// What a new size is.
    SizeWhat,
    /// Nominal value of a new size.
    SizeNominal,
    /// Upper deviation of a new size.
    SizeUpper,
    /// Lower deviation of a new size.
    SizeLower,
    /// Inside or outside size.
    SizeSide,
    /// Operation that makes the size.
    SizeBy,
    /// By how much the gauge of a new size may be wrong.
    SizeGauge,
    /// Title of an operation to add.
    OperationTitle,
    /// Kind of an operation to add.
    OperationKind,
    /// Lines of the program that a planned operation runs, by its place.
    Lines(usize),
    /// Rating of an operation, by place.
    Rating(usize),
    /// What was learned.
    Learned,
    /// Words in an overlay: note, reason, what is not so.
    Words,
    /// A condition of machine or shop, by its place among all keys.
    Condition(usize),
    /// Error at the check point in X, Y, Z.
    ReturnError(usize),
}

/// What a field takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A length of zero or more.
    Length,
    /// A length of more than zero.
    PositiveLength,
    /// A length with a sign.
    SignedLength,
    /// A spindle speed.
    Rpm,
    /// A surface speed.
    SurfaceSpeed,
    /// A table feed.
    Feed,
    /// One of the 27 points.
    Point,
    /// Least X and Y, greatest X and Y, height.
    KeepOut,
    /// X and Y of a screw, then its thread, or diameter and height of its head.
    Screw,
    /// A thread by its size.
    Thread,
    /// A digit from 1 to 5, then words.
    Rating,
    /// Any words.
    Words,
    /// A plain number of zero or more.
    Number,
    /// A force of zero or more.
    Force,
    /// A line of the program, or a time into the operation.
    LineOrTime,
    /// Frequencies, one after another; `none` for no more of them.
    Frequencies,
    /// One of these, by number.
    Choice(Vec<String>),
    /// One of these reasons by number, or words.
    Reason(&'static [&'static str]),
}

fn choice<const N: usize>(words: [&str; N]) -> Takes {
    Takes::Choice(words.iter().map(|word| (*word).to_owned()).collect())
}

impl Field {
    /// Label before the field.
    pub fn label(self) -> String {
        match self {
            Self::Title => "job".into(),
            Self::Machine => "machine".into(),
            Self::Material => "material".into(),
            Self::Program => "program file".into(),
            Self::BeginAgain => "begin again before".into(),
            Self::StockX => "stock X, left to right".into(),
            Self::StockY => "stock Y, front to back".into(),
            Self::Thickness(corner) => {
                let names = ["left front", "right front", "left back", "right back"];
                format!("thickness {}", names.get(corner).unwrap_or(&"more"))
            }
            Self::Edges => "outside is".into(),
            Self::Under => "under it lies".into(),
            Self::Spoil => "spoil board thickness".into(),
            Self::AboveJaws => "stands above the jaws".into(),
            Self::Part(axis) => format!("finished size {}", ["X", "Y", "Z"][axis.min(2)]),
            Self::HeldBy => "held by".into(),
            Self::OutOfTrue => "vice or fence out of true".into(),
            Self::KeepOut(place) => format!("keep-out {}", place + 1),
            Self::Screw(place) => format!("screw head {}", place + 1),
            Self::ZeroPoint => "zero point".into(),
            Self::FoundBy => "found by".into(),
            Self::Finder => "diameter at its tip".into(),
            Self::TouchAt(place) => {
                let names = ["X, left", "X, right", "Y, front", "Y, back"];
                format!("{} touch reads", names[place.min(3)])
            }
            Self::Offset => "work offset".into(),
            Self::Tool => "planned tool".into(),
            Self::StickOut => "stick-out".into(),
            Self::SpeedRating => "speed rating of the tool".into(),
            Self::Surface => "Z is set to".into(),
            Self::Height => "its height above Z0".into(),
            Self::Shim => "paper or shim".into(),
            Self::Touch => "Z reads at the touch".into(),
            Self::Rpm => "rpm".into(),
            Self::ReadRpm => "speed read in the cut".into(),
            Self::SurfaceSpeed => "surface speed".into(),
            Self::ChipLoad => "chip load".into(),
            Self::Feed => "feed".into(),
            Self::Depth => "depth".into(),
            Self::Stepover => "stepover".into(),
            Self::Pilot => "pilot hole".into(),
            Self::Thread => "thread, such as M6".into(),
            Self::Heard => "heard it sing at, Hz".into(),
            Self::HoldPull => "stood a pull upward of".into(),
            Self::RestAfter => "rest it after, min of cutting".into(),
            Self::Raise => "Z raised by".into(),
            Self::PutBack => "put back: Z reads".into(),
            Self::NoAir => "or leave it out, because".into(),
            Self::Reading(_) => "reads".into(),
            Self::SizeWhat => "another size".into(),
            Self::SizeNominal => "nominal".into(),
            Self::SizeUpper => "upper deviation".into(),
            Self::SizeLower => "lower deviation".into(),
            Self::SizeSide => "size is".into(),
            Self::SizeBy => "made by".into(),
            Self::Gauge(_) | Self::SizeGauge => "gauge may be wrong by".into(),
            Self::OperationTitle => "another operation".into(),
            Self::OperationKind => "its kind".into(),
            Self::Lines(_) => "lines of the program".into(),
            Self::Rating(_) => "went, 1 to 5 and words".into(),
            Self::Learned => "next time".into(),
            Self::Words => "words".into(),
            Self::Condition(place) => KEYS.get(place).map_or(String::new(), |key| match key.name {
                "lift_kg" => "heaviest piece, kg".to_owned(),
                "noise_dba" => "noise at your ear, dBA".to_owned(),
                name => name.replace('_', " "),
            }),
            Self::ReturnError(axis) => format!("error in {}", ["X", "Y", "Z"][axis.min(2)]),
        }
    }

    /// What the field takes. Choices that depend on the job are filled in by the form.
    pub fn takes(self) -> Takes {
        match self {
            Self::StockX | Self::StockY | Self::Thickness(_) | Self::Part(_) => {
                Takes::PositiveLength
            }
            Self::Spoil | Self::StickOut | Self::Raise | Self::Depth | Self::Stepover => {
                Takes::PositiveLength
            }
            Self::AboveJaws
            | Self::OutOfTrue
            | Self::Finder
            | Self::Shim
            | Self::Pilot
            | Self::Gauge(_)
            | Self::SizeGauge => Takes::Length,
            Self::ChipLoad | Self::SizeNominal => Takes::PositiveLength,
            Self::Height | Self::Touch | Self::PutBack => Takes::SignedLength,
            Self::Reading(_) => Takes::PositiveLength,
            Self::TouchAt(_) | Self::SizeUpper | Self::SizeLower | Self::ReturnError(_) => {
                Takes::SignedLength
            }
            Self::Rpm | Self::ReadRpm | Self::SpeedRating => Takes::Rpm,
            Self::SurfaceSpeed => Takes::SurfaceSpeed,
            Self::Feed => Takes::Feed,
            Self::Heard => Takes::Frequencies,
            Self::BeginAgain => Takes::LineOrTime,
            Self::HoldPull => Takes::Force,
            Self::RestAfter => Takes::Number,
            Self::ZeroPoint => Takes::Point,
            Self::KeepOut(_) => Takes::KeepOut,
            Self::Screw(_) => Takes::Screw,
            Self::Rating(_) => Takes::Rating,
            Self::NoAir => Takes::Reason(reasons::NO_AIR),
            Self::Condition(place) => match KEYS.get(place).map(|key| key.takes) {
                Some(conditions::Takes::OneOf(words) | conditions::Takes::Given(words)) => {
                    Takes::Choice(words.iter().map(|word| word.replace('_', " ")).collect())
                }
                Some(conditions::Takes::Truth) => choice(["yes", "no"]),
                Some(conditions::Takes::Number) | None => Takes::Number,
            },
            Self::Thread => Takes::Thread,
            Self::Edges => choice(["sawn", "milled"]),
            Self::Under => choice(["spoil board", "parallels", "jaw", "table", "air"]),
            Self::SizeSide => choice(Of::ALL.map(Of::word)),
            // The operations of the setup: see the page.
            Self::SizeBy => Takes::Choice(vec![]),
            Self::HeldBy => Takes::Choice(HeldBy::ALL.map(|h| h.word().to_owned()).to_vec()),
            Self::FoundBy => Takes::Choice(FoundBy::ALL.map(|f| f.word().to_owned()).to_vec()),
            Self::Surface => Takes::Choice(Surface::ALL.map(|s| s.word().to_owned()).to_vec()),
            Self::OperationKind => {
                Takes::Choice(OperationKind::ALL.map(|k| k.word().to_owned()).to_vec())
            }
            _ => Takes::Words,
        }
    }

    /// Whether the form can go without it.
    pub fn is_optional(self) -> bool {
        matches!(
            self,
            Self::Thickness(1..)
                | Self::Spoil
                | Self::AboveJaws
                | Self::Part(_)
                | Self::OutOfTrue
                | Self::Heard
                | Self::Pilot
                | Self::BeginAgain
                | Self::TouchAt(_)
                | Self::ReadRpm
                | Self::HoldPull
                | Self::RestAfter
                | Self::KeepOut(_)
                | Self::Screw(_)
                | Self::NoAir
                | Self::Learned
                | Self::Lines(_)
                | Self::Gauge(_)
                | Self::SizeGauge
                | Self::SizeBy
                | Self::Rating(_)
                | Self::ReturnError(2)
        )
    }
}

/// What was understood of a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Understood {
    /// A number with what was typed; mm, mm/min, m/min or 1/min by the field.
    Number(Typed),
    /// One of the 27 points.
    Point(ZeroPoint),
    /// Least X, Y, greatest X, Y, height in mm.
    Box([f64; 5]),
    /// The head of a screw.
    Screw(ScrewHead),
    /// A thread.
    Thread(ThreadSize),
    /// A digit and words.
    Rating(u8, String),
    /// Frequencies in Hz.
    Frequencies(Vec<f64>),
    /// A line of the program, counted from 1.
    Line(u64),
    /// A time into the operation, s.
    After(f64),
    /// Words, or the word that was chosen.
    Words(String),
}

impl Understood {
    /// The number, where there is one.
    pub fn number(&self) -> Option<&Typed> {
        match self {
            Self::Number(typed) => Some(typed),
            _ => None,
        }
    }

    /// The words, where there are some.
    pub fn words(&self) -> Option<&str> {
        match self {
            Self::Words(words) => Some(words),
            _ => None,
        }
    }
}

/// Reads the text of a field.
///
/// # Errors
///
/// Says why it was not taken, and what would be.
pub fn understand(takes: &Takes, text: &str) -> Result<Understood, String> {
    let length = |entry: entry::Entry<quantity::Length>| {
        // The way through metres leaves a hair of noise; nobody types a billionth of a millimetre.
        let mm = (quantity::to_mm(entry.value) * 1e9).round() / 1e9;
        Understood::Number(Typed::new(entry.typed, mm))
    };
    let is_length = matches!(
        takes,
        Takes::Length | Takes::PositiveLength | Takes::SignedLength
    );
    if is_length && text.trim().len() == 1 && text.trim().starts_with(|c: char| c.is_alphabetic()) {
        // A letter drill as a length is a slip of the finger more often than a wish.
        return Err("one letter is no length here; write its size, such as 9.35 mm".to_owned());
    }
    match takes {
        Takes::Length => entry::length(text).map(length).map_err(|e| e.to_string()),
        Takes::PositiveLength => entry::length_positive(text)
            .map(length)
            .map_err(|e| e.to_string()),
        Takes::SignedLength => entry::length_signed(text)
            .map(length)
            .map_err(|e| e.to_string()),
        Takes::Rpm => entry::rpm(text)
            .map(|e| Understood::Number(Typed::new(e.typed, quantity::to_rpm(e.value))))
            .map_err(|e| e.to_string()),
        Takes::SurfaceSpeed => entry::speed(text)
            .map(|e| Understood::Number(Typed::new(e.typed, quantity::to_m_per_min(e.value))))
            .map_err(|e| e.to_string()),
        Takes::Feed => entry::feed(text)
            .map(|e| Understood::Number(Typed::new(e.typed, quantity::to_mm_per_min(e.value))))
            .map_err(|e| e.to_string()),
        Takes::Point => text
            .parse()
            .map(Understood::Point)
            .map_err(|e: crate::job::zero::NotAZeroPoint| e.to_string()),
        Takes::KeepOut => keep_out(text),
        Takes::Screw => screw(text),
        Takes::Thread => thread(text),
        Takes::Rating => rating(text),
        Takes::Number => plain_number(text),
        Takes::Force => entry::force(text)
            .map(|e| Understood::Number(Typed::new(e.typed, quantity::to_newton(e.value))))
            .map_err(|e| e.to_string()),
        Takes::Frequencies => frequencies(text),
        Takes::LineOrTime => line_or_time(text),
        Takes::Words => free_words(text),
        Takes::Choice(options) => chosen(options, text),
        Takes::Reason(offered) => reasons::of_field(offered, text.trim()).map(Understood::Words),
    }
}

fn thread(text: &str) -> Result<Understood, String> {
    // A keypad has neither M nor x.
    let by_keypad = || format!("M{}", text.trim().replacen('*', "x", 1));
    let text = match threads::read(text.trim()) {
        Some(_) => text.trim().to_owned(),
        None => by_keypad(),
    };
    let found = threads::read(&text)
        .ok_or_else(|| "write a thread such as M6, M6x0.75, 1/4-20 or 10-32".to_owned())?;
    Ok(Understood::Thread(ThreadSize {
        text,
        diameter_mm: found.diameter_mm,
        pitch_mm: found.pitch_mm,
    }))
}

fn free_words(text: &str) -> Result<Understood, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("write something; Esc leaves it".to_owned());
    }
    Ok(Understood::Words(text.to_owned()))
}

fn plain_number(text: &str) -> Result<Understood, String> {
    let (number, rest) =
        number::leading(text.trim()).map_err(|fault| format!("{fault}; write for example 80"))?;
    if !rest.trim().is_empty() || !(0.0..=100_000.0).contains(&number.value) {
        return Err("a number from 0 to 100000, such as 80".to_owned());
    }
    Ok(Understood::Number(Typed::new(number.text, number.value)))
}

fn frequencies(text: &str) -> Result<Understood, String> {
    let text = text.trim();
    if matches!(text, "none" | "0") {
        return Ok(Understood::Frequencies(vec![]));
    }
    // A unit stands apart from its number as often as not.
    let tidy = text.replace(" Hz", "Hz").replace(" kHz", "kHz");
    tidy.split([' ', ',', ';', '*'])
        .filter(|part| !part.is_empty())
        .map(|part| {
            entry::frequency(part)
                .map(|e| quantity::to_hertz(e.value))
                .map_err(|e| format!("{e}; none for no more of them"))
        })
        .collect::<Result<Vec<f64>, String>>()
        .map(Understood::Frequencies)
}

fn line_or_time(text: &str) -> Result<Understood, String> {
    const FORM: &str =
        "a line of the program, such as 214, or a time into the operation, such as 6/40 or 6:40";
    // A keypad has no colon.
    let text = &text.trim().replace('/', ":");
    if text.contains(':') {
        let time = entry::duration(text).map_err(|e| format!("{FORM}; {e}"))?;
        return Ok(Understood::After(quantity::to_second(time.value)));
    }
    let digits = text.strip_prefix("line").unwrap_or(text).trim();
    match digits.parse::<u64>() {
        Ok(line) if line > 0 => Ok(Understood::Line(line)),
        _ => Err(FORM.to_owned()),
    }
}

/// Frequencies as they are shown and typed.
pub fn frequency_words(all: &[f64]) -> String {
    if all.is_empty() {
        return "none".to_owned();
    }
    let each: Vec<String> = all.iter().map(|hz| format!("{} Hz", plain(*hz))).collect();
    each.join(", ")
}

fn rating(text: &str) -> Result<Understood, String> {
    let text = text.trim();
    let digit = text
        .chars()
        .next()
        .and_then(|c| c.to_digit(10))
        .filter(|d| (1..=5).contains(d));
    let Some(digit) = digit.and_then(|d| u8::try_from(d).ok()) else {
        return Err("a digit from 1 (never again) to 5 (just so), then words".to_owned());
    };
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit() || c == ' ' || c == ',');
    Ok(Understood::Rating(digit, rest.trim().to_owned()))
}

fn chosen(options: &[String], text: &str) -> Result<Understood, String> {
    let text = text.trim();
    let by_number = text
        .parse::<usize>()
        .ok()
        .and_then(|n| options.get(n.checked_sub(1)?));
    let lower = text.to_lowercase();
    let by_word = || options.iter().find(|option| option.to_lowercase() == lower);
    let begins = || {
        let mut all = options
            .iter()
            .filter(|option| option.to_lowercase().contains(&lower));
        let first = all.next().filter(|_| !lower.is_empty());
        if all.next().is_some() { None } else { first }
    };
    by_number
        .or_else(by_word)
        .or_else(begins)
        .map(|option| Understood::Words(option.clone()))
        .ok_or_else(|| format!("a number from 1 to {}, or part of a name", options.len()))
}

/// The touches of one axis at the check point: its errors in mm, with `*`, `;` or a space between.
///
/// # Errors
///
/// Says what is asked for where there are not three, or one is no length.
pub fn touches(text: &str) -> Result<Vec<f64>, String> {
    const FORM: &str = "three errors with * between, for example 0.01*0*0.02";
    let touches: Vec<f64> = text
        .split([' ', ';', '*'])
        .filter(|part| !part.is_empty())
        .map(|part| {
            let entry = entry::length_signed(part).map_err(|e| format!("{FORM}: {e}"))?;
            Ok((quantity::to_mm(entry.value) * 1e9).round() / 1e9)
        })
        .collect::<Result<_, String>>()?;
    if touches.len() == TOUCHES {
        Ok(touches)
    } else {
        Err(format!("{FORM}; there are {}", touches.len()))
    }
}

fn keep_out(text: &str) -> Result<Understood, String> {
    const FORM: &str =
        "five lengths with * between: X and Y where it begins, X and Y where it ends, its height";
    let parts: Vec<&str> = text
        .split([' ', ';', '*'])
        .filter(|part| !part.is_empty())
        .collect();
    let numbers: Vec<f64> = parts
        .iter()
        .map(|part| entry::length_signed(part).map(|e| quantity::to_mm(e.value)))
        .collect::<Result<_, _>>()
        .map_err(|e| format!("{FORM}: {e}"))?;
    let all: [f64; 5] = numbers.try_into().map_err(|_| FORM.to_owned())?;
    if all[2] <= all[0] || all[3] <= all[1] || all[4] <= 0.0 {
        return Err(format!("{FORM}; the end must lie beyond the beginning"));
    }
    Ok(Understood::Box(all))
}

/// The most screws whose heads are entered.
pub const MOST_SCREWS: usize = 8;

fn screw(text: &str) -> Result<Understood, String> {
    let parts: Vec<&str> = text
        .split([' ', ';', '*'])
        .filter(|part| !part.is_empty())
        .collect();
    head::understood(&parts).map(Understood::Screw)
}

/// What was understood, in both units where it has one.
pub fn echo(takes: &Takes, understood: &Understood) -> String {
    match (takes, understood) {
        (Takes::Length | Takes::PositiveLength | Takes::SignedLength, Understood::Number(n)) => {
            show::length(quantity::mm(n.value), Units::Both)
        }
        (Takes::Rpm, Understood::Number(n)) => show::rpm(quantity::rpm(n.value)),
        (Takes::SurfaceSpeed, Understood::Number(n)) => {
            show::speed(quantity::m_per_min(n.value), Units::Both)
        }
        (Takes::Feed, Understood::Number(n)) => {
            show::feed(quantity::mm_per_min(n.value), Units::Both)
        }
        (Takes::Force, Understood::Number(n)) => {
            show::force(quantity::newton(n.value), Units::Both)
        }
        (_, Understood::Line(line)) => format!("line {line}"),
        (_, Understood::After(seconds)) => {
            format!(
                "{} into the operation, {seconds:.0} s",
                words::time(*seconds)
            )
        }
        (_, Understood::Frequencies(all)) => frequency_words(all),
        (_, Understood::Point(point)) => point.words(),
        (_, Understood::Thread(size)) => format!(
            "{} mm, pitch {} mm",
            plain(size.diameter_mm),
            plain(size.pitch_mm)
        ),
        (_, Understood::Screw(head)) => {
            let [x, y] = head.at.map(plain);
            format!(
                "X {x} Y {y}, head {} across, {} above the blank, mm",
                plain(head.diameter),
                plain(head.height)
            )
        }
        (_, Understood::Box(b)) => {
            let [x0, y0, x1, y1, height] = b.map(plain);
            format!("X {x0} to {x1}, Y {y0} to {y1}, {height} high, mm")
        }
        (_, Understood::Rating(digit, words)) => format!("{digit} of 5 {words}"),
        (Takes::Choice(_) | Takes::Reason(_), Understood::Words(words)) => words.clone(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_takes_what_people_write_and_shows_both_units() {
        let takes = Takes::PositiveLength;
        for (text, value) in [
            ("6", 6.0),
            ("6mm", 6.0),
            (".25in", 6.35),
            ("1/4\"", 6.35),
            ("25 thou", 0.635),
        ] {
            let understood = understand(&takes, text).unwrap();
            assert!(
                (understood.number().unwrap().value - value).abs() < 1e-9,
                "{text}"
            );
        }
        let quarter = understand(&takes, "1/4\"").unwrap();
        assert_eq!(echo(&takes, &quarter), "6.35 mm = 0.2500 in");
        assert!(understand(&takes, "-1").is_err() && understand(&takes, "nan").is_err());
        assert!(understand(&takes, "0").is_err());
    }

    #[test]
    fn a_choice_is_taken_by_number_or_by_a_part_that_only_one_has() {
        let takes = Field::HeldBy.takes();
        assert_eq!(understand(&takes, "1").unwrap().words(), Some("vice"));
        assert_eq!(understand(&takes, "tap").unwrap().words(), Some("tape"));
        assert!(understand(&takes, "9").is_err() && understand(&takes, "c").is_err());
    }

    #[test]
    fn a_keep_out_needs_five_lengths_in_order() {
        assert!(understand(&Takes::KeepOut, "0 0 10 20 18").is_ok());
        assert!(understand(&Takes::KeepOut, "10 0 0 20 18").is_err());
        assert!(understand(&Takes::KeepOut, "0 0 10").is_err());
        // A keypad has no space.
        assert_eq!(
            understand(&Takes::KeepOut, "0*0*10*20*18"),
            understand(&Takes::KeepOut, "0 0 10 20 18")
        );
    }
}
