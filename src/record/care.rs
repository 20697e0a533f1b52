//! The machine's care log as a file: TOML, one entry a line, written and read by one description.

use toml::de::DeTable;

use crate::measure::backlash::Axis;
use crate::record::FORMAT;
use crate::record::RecordError;
use crate::record::eye::Eye;
use crate::record::fault;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::pen::Pen;
use crate::record::schema::HAPPENING;
use crate::record::shape::Maybe;
use crate::record::shape::Name;
use crate::record::shape::Prose;
use crate::record::shape::Text;
use crate::record::shape::Time;
use crate::record::shape::Truth;
use crate::record::shape::Word;
use crate::record::shape::Yes;
use crate::record::shape::amount;
use crate::record::shape::words;
use crate::session::care_log::Entry;
use crate::session::care_log::Kind;
use crate::session::matrix::Happening;

/// Longest log that is read, in bytes: some hundred entries of a hundred bytes a year.
pub const LONGEST: usize = 4 * 1024 * 1024;

/// A log of one machine.
#[derive(Clone, Debug, PartialEq)]
struct Log {
    machine: String,
    entries: Vec<Entry>,
}

/// What an entry tells, by its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    ReturnTest,
    Backlash,
    Happened,
    Calibrated,
    Cut,
    TakenBack,
}

impl What {
    const ALL: [Self; 6] = [
        Self::ReturnTest,
        Self::Backlash,
        Self::Happened,
        Self::Calibrated,
        Self::Cut,
        Self::TakenBack,
    ];

    fn of(kind: &Kind) -> Self {
        match kind {
            Kind::ReturnTest { .. } => Self::ReturnTest,
            Kind::Backlash { .. } => Self::Backlash,
            Kind::Happened(_) => Self::Happened,
            Kind::Calibrated(_) => Self::Calibrated,
            Kind::Cut(_) => Self::Cut,
            Kind::TakenBack => Self::TakenBack,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::ReturnTest => "return test",
            Self::Backlash => "backlash",
            Self::Happened => "happened",
            Self::Calibrated => "calibrated",
            Self::Cut => "cut",
            Self::TakenBack => "taken back",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|what| what.word() == word)
    }
}

fn log<F: Fields>(f: &mut F, v: Option<&Log>) -> Took<Log> {
    let format: u32 = f.value("format", Some(&FORMAT), &amount::COUNT)?;
    if format != FORMAT {
        let wrong = Wrong::new(
            format!("is {format}"),
            format!("This program reads format {FORMAT}: open it with the program that wrote it."),
        );
        return Err(f.fault("format", wrong));
    }
    let machine = f.value("machine", of!(v.machine), &Name)?;
    let entries = f.rows("entries", v.map(|v| v.entries.as_slice()), entry)?;
    // A file that was cut off at the end of a line would else be read as one that says less.
    f.table("end", Some(&true), |f, v| f.value("complete", v, &Truth))?;
    Ok(Log { machine, entries })
}

fn entry<F: Fields>(f: &mut F, v: Option<&Entry>) -> Took<Entry> {
    let at = f.value("at", of!(v.at), &Time)?;
    let what = v.map(|v| What::of(&v.kind));
    let what = f.value("what", what.as_ref(), &words!(What))?;
    let kind = v.map(|v| &v.kind);
    let kind = match what {
        What::ReturnTest => {
            let (error_mm, kept_zero) = match kind {
                Some(Kind::ReturnTest {
                    error_mm,
                    kept_zero,
                }) => (Some(error_mm), Some(kept_zero)),
                _ => (None, None),
            };
            let mut axis = |key, place: usize| {
                let error = error_mm.map(|error| &error[place]);
                f.value(key, error, &Maybe(amount::MM_SIGNED))
            };
            Kind::ReturnTest {
                error_mm: [axis("x", 0)?, axis("y", 1)?, axis("z", 2)?],
                kept_zero: f.value("kept_zero", kept_zero, &Yes)?,
            }
        }
        What::Backlash => {
            let (axis, mm) = match kind {
                Some(Kind::Backlash { axis, mm }) => (Some(axis), Some(mm)),
                _ => (None, None),
            };
            Kind::Backlash {
                axis: f.value("axis", axis, &words!(Axis))?,
                mm: f.value("reads", mm, &amount::MM_SIGNED)?,
            }
        }
        What::Happened => {
            let happened = match kind {
                Some(Kind::Happened(what)) => Some(what),
                _ => None,
            };
            let shape: Word<Happening> = HAPPENING;
            Kind::Happened(f.value("happened", happened, &shape)?)
        }
        What::Calibrated => {
            let words = match kind {
                Some(Kind::Calibrated(words)) => Some(words),
                _ => None,
            };
            Kind::Calibrated(f.value("words", words, &Prose)?)
        }
        What::Cut => {
            let seconds = match kind {
                Some(Kind::Cut(seconds)) => Some(seconds),
                _ => None,
            };
            Kind::Cut(f.value("seconds", seconds, &amount::COUNT)?)
        }
        What::TakenBack => Kind::TakenBack,
    };
    Ok(Entry {
        at,
        kind,
        operation: f.value("operation", of!(v.operation), &Text)?,
        tool: f.value("tool", of!(v.tool), &Text)?,
        session: f.value("session", of!(v.session), &Text)?,
    })
}

/// The text of a machine's log.
pub fn text(machine: &str, entries: &[Entry]) -> String {
    let mut pen = Pen::default();
    let whole = Log {
        machine: machine.to_owned(),
        entries: entries.to_vec(),
    };
    log(&mut pen, Some(&whole)).expect("the pen refuses nothing");
    pen.finish()
}

/// The entries of a machine's log.
///
/// # Errors
///
/// The first thing that is wrong, with its line and key; and when it is the log of another machine.
pub fn read(machine: &str, raw: &[u8]) -> Result<Vec<Entry>, RecordError> {
    let text = fault::text(
        raw,
        LONGEST,
        "A care log has at most 4 MiB.",
        "A care log is UTF-8 text.",
    )?;
    let table = DeTable::parse(text).map_err(|error| {
        RecordError::no_toml(
            text,
            &error,
            "Mend this line, or take an older copy of the file.",
        )
    })?;
    let mut eye = Eye::new(text, table.get_ref());
    let read = log(&mut eye, None)?;
    eye.finish()?;
    if read.machine != machine {
        let found = format!("is the log of the machine {}", read.machine);
        return Err(RecordError::whole(
            found,
            "Each machine has a file of its own name.",
        ));
    }
    Ok(read.entries)
}

/// The file of a machine's log in the folder of logs; none for a name that could lead elsewhere.
pub fn file_name(machine: &str) -> Option<String> {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let fits = !machine.is_empty()
        && machine.len() <= 60
        && !machine.starts_with('.')
        && machine.chars().all(is_plain);
    fits.then(|| format!("{machine}.toml"))
}

/// Name of the folder of logs in the program's data folder.
pub const FOLDER: &str = "care";
