//! The machine's care log: what was learned of it, kept across jobs. Entries are added and never changed.

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::SubsecRound;
use chrono::TimeDelta;

use crate::job::machine::Machine;
use crate::job::typed::plain;
use crate::measure::backlash::Axis;
use crate::measure::backlash::TELLS_MM;
use crate::session::matrix::Happening;
use crate::session::state::State;

/// What an entry tells.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A return test.
    ReturnTest {
        /// Error in X, Y, Z in mm, where it was read.
        error_mm: [Option<f64>; 3],
        /// Whether it kept or restored the zero.
        kept_zero: bool,
    },
    /// Backlash read from opposite touches.
    Backlash {
        /// Which axis.
        axis: Axis,
        /// Backlash in mm.
        mm: f64,
    },
    /// A crash, a bound axis, a lost position, a limit hit.
    Happened(Happening),
    /// Values of the profile were found by timed runs; in words.
    Calibrated(String),
    /// So many seconds of cutting came to an end since the session's last entry of this kind.
    Cut(u64),
    /// The reading of this session and moment was taken back.
    TakenBack,
}

/// One entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// In which session, by its name; empty where there was none.
    pub session: String,
    /// The operation in work, if one was.
    pub operation: String,
    /// The tool in the spindle, if one was.
    pub tool: String,
    /// What.
    pub kind: Kind,
}

/// Of what happens to a session, this is kept with the machine.
pub const KEPT: [Happening; 5] = [
    Happening::Crash,
    Happening::AxisBound,
    Happening::PositionLost,
    Happening::WrongPlaceCut,
    Happening::LimitHit,
];

/// What was entered less than this ago was entered with the operation and tool of now.
const JUST_NOW: TimeDelta = TimeDelta::seconds(60);

/// What a session has to add to the log of its machine: its entries, and the cutting that came to an end.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    entries: Vec<Entry>,
    cut_s: u64,
}

impl Told {
    /// Whether there is nothing to tell.
    pub fn is_nothing(&self) -> bool {
        self.entries.is_empty() && self.cut_s == 0
    }

    /// Whether both tell the same; in which operation a reading was entered is known only at first.
    pub fn says_same(&self, other: &Self) -> bool {
        let same = |(a, b): (&Entry, &Entry)| is_same(a, b);
        self.cut_s == other.cut_s
            && self.entries.len() == other.entries.len()
            && self.entries.iter().zip(&other.entries).all(same)
    }
}

/// What a session tells of its machine.
pub fn told(state: &State) -> Told {
    let now = state.last_seen.wall;
    let operation = state.current_operation().map(|o| o.title.clone());
    let tool = state.in_spindle.and_then(|index| state.rack.get(index));
    let entry = |at: DateTime<FixedOffset>, kind: Kind| {
        let is_now = now - at < JUST_NOW;
        let if_now = |text: Option<String>| text.filter(|_| is_now).unwrap_or_default();
        Entry {
            at: at.trunc_subsecs(3),
            session: state.head.session_id.clone(),
            operation: if_now(operation.clone()),
            tool: if_now(tool.map(|rack| rack.tool.title.clone())),
            kind,
        }
    };
    let mut entries: Vec<Entry> = state
        .return_tests
        .iter()
        .map(|test| {
            let kind = Kind::ReturnTest {
                error_mm: test.error_mm(),
                kept_zero: test.kept_zero,
            };
            entry(test.at, kind)
        })
        .collect();
    entries.extend(state.backlash.iter().map(|read| {
        let kind = Kind::Backlash {
            axis: read.touches.axis,
            mm: read.touches.backlash_mm(),
        };
        entry(read.at, kind)
    }));
    let happened = state
        .log
        .iter()
        .filter(|logged| KEPT.contains(&logged.what));
    entries.extend(happened.map(|logged| entry(logged.at, Kind::Happened(logged.what))));
    entries.sort_by_key(|entry| entry.at);
    let ended = state
        .clocks
        .values()
        .filter(|clock| clock.phase().is_none());
    let cut_s = ended
        .map(|clock| clock.read(state.last_seen).cutting.as_secs())
        .sum();
    Told { entries, cut_s }
}

fn is_same(a: &Entry, b: &Entry) -> bool {
    let is_kind = match (&a.kind, &b.kind) {
        (Kind::ReturnTest { .. }, Kind::ReturnTest { .. }) => true,
        (Kind::Backlash { axis, .. }, Kind::Backlash { axis: other, .. }) => axis == other,
        (Kind::Happened(what), Kind::Happened(other)) => what == other,
        _ => false,
    };
    is_kind && a.session == b.session && a.at == b.at
}

/// What is to be added to a log so that it holds all that a session tells.
///
/// A reading that the log has and the session has no more was taken back: that is an entry too.
pub fn missing(log: &[Entry], state: &State) -> Vec<Entry> {
    let Told { entries, cut_s } = told(state);
    let mut new: Vec<Entry> = entries
        .iter()
        .filter(|entry| !log.iter().any(|old| is_same(old, entry)))
        .cloned()
        .collect();
    let session = state.head.session_id.as_str();
    let ours = || log.iter().filter(|old| old.session == session);
    for old in standing(log).filter(|old| old.session == session) {
        // A return test cannot be taken back.
        let is_reading = matches!(old.kind, Kind::Backlash { .. });
        if is_reading && !entries.iter().any(|entry| is_same(old, entry)) {
            new.push(Entry {
                kind: Kind::TakenBack,
                ..old.clone()
            });
        }
    }
    let counted: u64 = ours()
        .map(|old| match old.kind {
            Kind::Cut(seconds) => seconds,
            _ => 0,
        })
        .sum();
    if cut_s > counted {
        new.push(Entry {
            at: state.last_seen.wall.trunc_subsecs(3),
            session: session.to_owned(),
            operation: String::new(),
            tool: String::new(),
            kind: Kind::Cut(cut_s - counted),
        });
    }
    new
}

/// Sessions and moments of what was taken back; hardly ever one.
fn taken_back(log: &[Entry]) -> Vec<(String, DateTime<FixedOffset>)> {
    let is_taken = |entry: &&Entry| entry.kind == Kind::TakenBack;
    log.iter()
        .filter(is_taken)
        .map(|entry| (entry.session.clone(), entry.at))
        .collect()
}

fn counts(entry: &Entry, taken: &[(String, DateTime<FixedOffset>)]) -> bool {
    let is_of = |(session, at): &(String, DateTime<FixedOffset>)| {
        *session == entry.session && *at == entry.at
    };
    // Cutting that ended at that very moment was cut all the same.
    let is_reading = matches!(entry.kind, Kind::Backlash { .. } | Kind::TakenBack);
    !(is_reading && taken.iter().any(is_of))
}

/// The entries that count: none that was taken back.
pub fn standing(log: &[Entry]) -> impl Iterator<Item = &Entry> {
    let taken = taken_back(log);
    log.iter().filter(move |entry| counts(entry, &taken))
}

/// A log together with what the open session tells, whether or not that is written yet.
pub fn with_session(log: &[Entry], state: &State) -> Vec<Entry> {
    let mut all = log.to_vec();
    all.extend(missing(log, state));
    let taken = taken_back(&all);
    all.retain(|entry| counts(entry, &taken));
    all.sort_by_key(|entry| entry.at);
    all
}

/// Backlash of an axis that is to be used, and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Backlash {
    /// In mm.
    pub mm: f64,
    /// When it was read, and whether in the session at hand; none: the profile has it.
    pub read: Option<(DateTime<FixedOffset>, bool)>,
}

impl Backlash {
    /// Where the value comes from, in words that follow it.
    pub fn from(&self) -> String {
        match self.read {
            Some((at, true)) => format!("read in this session, {}", at.format("%d %b %Y")),
            Some((at, false)) => format!("read {}", at.format("%d %b %Y")),
            None => "profile".to_owned(),
        }
    }
}

/// The newest backlash reading of an axis that can be believed, in mm: less than none, beyond what
/// callipers tell, is a fault of the sum.
fn newest<'a>(entries: impl Iterator<Item = &'a Entry>, wanted: Axis) -> Option<Backlash> {
    entries
        .filter_map(|entry| match entry.kind {
            Kind::Backlash { axis, mm } if axis == wanted && mm >= -TELLS_MM => {
                Some((entry.at, mm.max(0.0)))
            }
            _ => None,
        })
        .max_by_key(|(at, _)| *at)
        .map(|(at, mm)| Backlash {
            mm,
            read: Some((at, false)),
        })
}

fn of_profile(machine: &Machine, axis: Axis) -> f64 {
    match axis {
        Axis::X => machine.axes.x.backlash_mm.value,
        Axis::Y => machine.axes.y.backlash_mm.value,
    }
}

/// The backlash of a machine: the newest reading of its log, else the value of its profile.
pub fn backlash_of(machine: &Machine, log: &[Entry], axis: Axis) -> Backlash {
    newest(standing(log), axis).unwrap_or(Backlash {
        mm: of_profile(machine, axis),
        read: None,
    })
}

/// The backlash to use in a session: its own newest reading, else that of the log, else the profile's.
pub fn backlash(state: &State, log: &[Entry], axis: Axis) -> Backlash {
    let told = told(state).entries;
    if let Some(own) = newest(told.iter(), axis) {
        return Backlash {
            read: own.read.map(|(at, _)| (at, true)),
            ..own
        };
    }
    // What this session took back still stands in a log that was read before.
    let others: Vec<Entry> = log
        .iter()
        .filter(|entry| entry.session != state.head.session_id)
        .cloned()
        .collect();
    backlash_of(&state.machine, &others, axis)
}

/// Backlash is much greater than the profile has it when it is more than twice that, and by more
/// than callipers tell. Our own figure.
const MUCH: f64 = 2.0;

/// What is to be said of a machine whose backlash is much greater than its profile has it, axis by axis.
pub fn much_greater(state: &State, log: &[Entry]) -> Vec<String> {
    Axis::ALL
        .into_iter()
        .filter_map(|axis| {
            let used = backlash(state, log, axis);
            used.read?;
            let profile = of_profile(&state.machine, axis);
            (used.mm > MUCH * profile && used.mm - profile > TELLS_MM).then(|| {
                format!(
                    "BACKLASH {}: {} mm, {}; the profile has {} mm. Look at screw and nut, or mend the profile.",
                    axis.word(),
                    plain(used.mm),
                    used.from(),
                    plain(profile)
                )
            })
        })
        .collect()
}

/// Hours of cutting that came to an end after a moment.
pub fn hours_since(log: &[Entry], at: DateTime<FixedOffset>) -> f64 {
    let seconds: u64 = log
        .iter()
        .filter(|entry| entry.at > at)
        .map(|entry| match entry.kind {
            Kind::Cut(seconds) => seconds,
            _ => 0,
        })
        .sum();
    seconds as f64 / 3600.0
}

/// So many return tests are shown side by side.
const SHOWN: usize = 5;

/// How it went with each axis, a sentence each. Nothing of an axis that nobody looked at.
pub fn trend(log: &[Entry]) -> Vec<String> {
    let mut lines = trend_of_backlash(log);
    lines.extend(trend_of_returns(log));
    lines
}

/// The numbers of one kind with their moments, oldest first: what an old session adds when it is
/// opened again stands behind what is newer.
fn in_time(
    log: &[Entry],
    number: impl Fn(&Kind) -> Option<f64>,
) -> Vec<(DateTime<FixedOffset>, f64)> {
    let mut all: Vec<_> = standing(log)
        .filter_map(|entry| Some((entry.at, number(&entry.kind)?)))
        .collect();
    all.sort_by_key(|(at, _)| *at);
    all
}

/// Backlash of X and Y then and now, and the cutting since.
pub fn trend_of_backlash(log: &[Entry]) -> Vec<String> {
    let of_axis = |wanted: Axis| {
        let read = in_time(log, |kind| match kind {
            Kind::Backlash { axis, mm } if *axis == wanted => Some(*mm),
            _ => None,
        });
        let (last, now) = read.last().copied()?;
        let then = read
            .first()
            .filter(|_| read.len() > 1)
            .map(|(at, mm)| format!("{} mm on {}, ", plain(*mm), at.format("%d %b %Y")));
        Some(format!(
            "{} backlash: {}{} mm on {}; {:.1} h of cutting since",
            wanted.word(),
            then.unwrap_or_default(),
            plain(now),
            last.format("%d %b %Y"),
            hours_since(log, last)
        ))
    };
    Axis::ALL.into_iter().filter_map(of_axis).collect()
}

/// The last errors of return tests axis by axis, and the cutting since.
pub fn trend_of_returns(log: &[Entry]) -> Vec<String> {
    let of_axis = |(place, axis): (usize, &str)| {
        let errors = in_time(log, |kind| match kind {
            Kind::ReturnTest { error_mm, .. } => error_mm[place],
            _ => None,
        });
        let (last, _) = errors.last().copied()?;
        let skipped = errors.len().saturating_sub(SHOWN);
        let words: Vec<String> = errors[skipped..].iter().map(|(_, mm)| plain(*mm)).collect();
        Some(format!(
            "{axis} return tests, newest last: {} mm; {:.1} h of cutting since {}",
            words.join(" "),
            hours_since(log, last),
            last.format("%d %b %Y")
        ))
    };
    ["X", "Y", "Z"]
        .into_iter()
        .enumerate()
        .filter_map(of_axis)
        .collect()
}

/// An entry in one line; cutting time is in the trend alone.
pub fn line(entry: &Entry) -> Option<String> {
    let what = match &entry.kind {
        Kind::ReturnTest {
            error_mm,
            kept_zero,
        } => {
            let axes: Vec<String> = ["X", "Y", "Z"]
                .into_iter()
                .zip(error_mm)
                .filter_map(|(axis, error)| Some(format!("{axis} {}", plain((*error)?))))
                .collect();
            let kept = if *kept_zero {
                "zero found where it was"
            } else {
                "zero not where it was"
            };
            format!("return test {} mm, {kept}", axes.join(" "))
        }
        Kind::Backlash { axis, mm } => format!("backlash {} {} mm", axis.word(), plain(*mm)),
        Kind::Happened(what) => what.row().words.to_owned(),
        Kind::Calibrated(words) => format!("timed runs: {words}"),
        Kind::Cut(_) | Kind::TakenBack => return None,
    };
    let mut line = format!("{} {what}", entry.at.format("%d %b %Y %H:%M"));
    for more in [&entry.operation, &entry.tool] {
        if !more.is_empty() {
            line.push_str(", ");
            line.push_str(more);
        }
    }
    Some(line)
}
