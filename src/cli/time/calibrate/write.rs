//! `millside time --calibrate --write`: what was timed into the person's own profile of the machine.

use std::borrow::Cow;
use std::fmt::Write;
use std::path::PathBuf;

use serde::Serialize;

use crate::cli::check::say;
use crate::cli::check::setup;
use crate::cli::library;
use crate::cli::world::World;
use crate::job::machine::Axis;
use crate::job::machine::Given;
use crate::job::machine::Machine;
use crate::plain;
use crate::problem::Problem;
use crate::profile::amend;
use crate::profile::amend::Change;
use crate::profile::fault::Origin;
use crate::profile::library::LARGEST_FILE;
use crate::profile::library::Library;
use crate::profile::library::ProfileFile;
use crate::profile::shipped;
use crate::program::time::calibrate::Fit;
use crate::program::time::calibrate::NoFit;
use crate::session::care_log::Entry;
use crate::session::care_log::Kind;

/// What the runs of an axis told.
type Fits = [(String, Result<Fit, NoFit>)];

/// One value as it was and as it is now.
#[derive(Debug, Serialize)]
pub struct Written {
    /// Where it stands, such as `x.acceleration`.
    key: String,
    /// What stood there; `null` where nothing did.
    old: Option<String>,
    /// What stands there now.
    new: String,
    /// What is known of its error, or why it is so.
    note: String,
}

/// What was written, and where.
#[derive(Debug, Serialize)]
pub struct Saved {
    /// The machine.
    machine: String,
    /// File.
    file: String,
    /// Whether the file is a new copy of the shipped profile.
    is_new: bool,
    /// Values.
    values: Vec<Written>,
    /// What was not written and why, sentences.
    left: Vec<String>,
}

impl Saved {
    /// The file that was written, escaped.
    pub fn file(&self) -> &str {
        &self.file
    }
}

/// Writes what was timed into the person's own profile of a machine.
///
/// # Errors
///
/// A name that no profile has, nothing to be written, a file that cannot be read or written.
pub fn run(name: &str, fits: &Fits, world: &mut dyn World) -> Result<Saved, Problem> {
    let library = library::load(world);
    let found = library.machines.get_marked(name);
    let (machine, mark) = found.ok_or_else(|| setup::no_machine(name, &library))?;
    let (changes, values, left) = changes(machine, fits);
    if changes.is_empty() {
        return Err(Problem::user("write the machine's profile")
            .because(format!(
                "the runs tell nothing to write. {}",
                left.join(" ")
            ))
            .hint("Time more runs, then call it again."));
    }
    let is_new = mark.origin == Origin::Shipped;
    let (path, old) = if is_new {
        new_file(name, world)?
    } else {
        own_file(&mark.file, world)?
    };
    let place = plain::text(&path.display().to_string());
    let cannot = |why: String| {
        Problem::user("write the machine's profile")
            .at(place.clone())
            .because(why)
    };
    let text = amend::machine(&old, name, &changes).map_err(|why| cannot(why.to_string()))?;
    // What the program could not read again must never take the place of what it can.
    let again = Library::only(&[ProfileFile {
        origin: Origin::Own,
        file: path.display().to_string(),
        bytes: Ok(Cow::Owned(text.clone().into_bytes())),
    }]);
    if again.machines.get(name).is_none() {
        let why = again.faults.first().map(ToString::to_string);
        return Err(cannot(format!(
            "with the new values it is no profile: {}",
            why.unwrap_or_default()
        )));
    }
    world.save_profile(&path, &text, is_new).map_err(|error| {
        Problem::system("write the machine's profile")
            .at(place.clone())
            .from_error(error)
            .hint("The old profile is as it was.")
    })?;
    let words: Vec<String> = values
        .iter()
        .map(|value| format!("{} {}", value.key, value.new))
        .collect();
    let entry = Entry {
        at: world.now().wall,
        session: String::new(),
        operation: String::new(),
        tool: String::new(),
        kind: Kind::Calibrated(words.join(", ")),
    };
    let mut left = left;
    if let Err(why) = world.keep_care(name, entry) {
        left.push(format!("Not in the machine's care log: {why}."));
    }
    Ok(Saved {
        machine: name.to_owned(),
        file: place,
        is_new,
        values,
        left,
    })
}

/// The changes, each with what it replaces, and what is left as it is.
fn changes(machine: &Machine, fits: &Fits) -> (Vec<Change>, Vec<Written>, Vec<String>) {
    let mut all = All::default();
    for (table, axis) in [
        ("x", &machine.axes.x),
        ("y", &machine.axes.y),
        ("z", &machine.axes.z),
    ] {
        all.axis(table, axis, fits);
    }
    all.stop(machine, fits);
    (all.changes, all.written, all.left)
}

#[derive(Default)]
struct All {
    changes: Vec<Change>,
    written: Vec<Written>,
    left: Vec<String>,
}

impl All {
    fn add(
        &mut self,
        table: &'static str,
        key: &'static str,
        old: Option<String>,
        new: String,
        note: String,
    ) {
        self.written.push(Written {
            key: format!("{table}.{key}"),
            old,
            new: new.clone(),
            note: note.clone(),
        });
        self.changes.push(Change {
            table,
            key,
            value: new,
            note,
        });
    }

    fn axis(&mut self, table: &'static str, axis: &Axis, fits: &Fits) {
        let mut sound: Vec<&Fit> = vec![];
        for (name, fit) in fits {
            // Up and down may differ: Z+ and Z- are both runs of Z.
            if name.trim_end_matches(['+', '-']).to_ascii_lowercase() != table {
                continue;
            }
            match fit {
                Ok(fit) if fit.acceleration_interval.iter().all(|a| a.is_finite()) => {
                    sound.push(fit);
                }
                Ok(_) => self.left.push(format!(
                    "The acceleration of {name} has an error that is not known: time more runs."
                )),
                Err(why) => self.left.push(format!("{name}: {}.", why.words())),
            }
        }
        // The slower way decides: a time that is too short misleads more than one too long.
        let slowest = sound
            .iter()
            .min_by(|a, b| a.acceleration_mm_s2.total_cmp(&b.acceleration_mm_s2));
        if let Some(fit) = slowest {
            let [low, high] = fit.acceleration_interval;
            self.add(
                table,
                "acceleration",
                Some(shown(&axis.acceleration_mm_s2, "mm/s2")),
                format!("{:.0} mm/s2", fit.acceleration_mm_s2),
                format!("runs timed; {low:.0} to {high:.0} mm/s2, 95 times in 100"),
            );
        }
        let slowest = sound
            .iter()
            .filter_map(|fit| fit.rapid_mm_s)
            .min_by(|a, b| a.value.total_cmp(&b.value));
        let Some(rapid) = slowest else {
            return;
        };
        if !rapid.half_width.is_finite() {
            self.left.push(format!(
                "The rapid of {} has an error that is not known: time four rapids at least.",
                table.to_ascii_uppercase()
            ));
            return;
        }
        let mm_min = (rapid.value * 60.0).round();
        self.add(
            table,
            "rapid",
            Some(shown(&axis.rapid_mm_min, "mm/min")),
            format!("{mm_min:.0} mm/min"),
            format!("runs timed; +- {:.0} mm/min", rapid.half_width * 60.0),
        );
        // How much of its speed an axis is given for cutting is a choice; more than it has is none.
        if axis.top_feed_mm_min.value > mm_min {
            self.add(
                table,
                "top_feed",
                Some(shown(&axis.top_feed_mm_min, "mm/min")),
                format!("{mm_min:.0} mm/min"),
                "runs timed; the axis goes no faster in a rapid".to_owned(),
            );
        }
    }

    fn stop(&mut self, machine: &Machine, fits: &Fits) {
        let known = fits
            .iter()
            .filter_map(|(axis, fit)| Some((axis, fit.as_ref().ok()?.stop_s)))
            .filter(|(_, stop)| stop.half_width.is_finite());
        // The control stops, not an axis: the runs that tell it best decide.
        let Some((axis, stop)) = known.min_by(|a, b| a.1.half_width.total_cmp(&b.1.half_width))
        else {
            return;
        };
        let old = machine.control.stop_s.as_ref();
        self.add(
            "control",
            "stop",
            old.map(|old| shown(old, "s")),
            format!("{:.3} s", stop.value.max(0.0)),
            format!("runs of {axis} timed; +- {:.3} s", stop.half_width),
        );
    }
}

fn shown(given: &Given<f64>, unit: &str) -> String {
    format!("{} {unit} ({})", given.value, given.how.basis.word())
}

/// File and text of a profile that is the person's own.
fn own_file(file: &str, world: &dyn World) -> Result<(PathBuf, String), Problem> {
    let unreadable = |why: String| {
        Problem::user("read the machine's profile")
            .at(plain::text(file))
            .because(why)
    };
    let folder = library::own_folder(world).ok_or_else(no_folder)?;
    let path = library::FOLDERS
        .iter()
        .filter_map(|below| world.list(&folder.join(below)).ok())
        .flatten()
        .find(|path| path.display().to_string() == file)
        .ok_or_else(|| unreadable("it is not there any more".to_owned()))?;
    let bytes = world
        .read(&path, LARGEST_FILE)
        .map_err(|error| unreadable(error.to_string()))?;
    let text = String::from_utf8(bytes).map_err(|_| unreadable("it is not UTF-8".to_owned()))?;
    Ok((path, text))
}

/// File for an own copy of a shipped profile, and the shipped text.
fn new_file(name: &str, world: &dyn World) -> Result<(PathBuf, String), Problem> {
    let folder = library::own_folder(world).ok_or_else(no_folder)?;
    let below = format!("machines/{name}.toml");
    let (_, text) = shipped::FILES
        .iter()
        .find(|(file, _)| *file == below)
        .ok_or_else(|| {
            Problem::internal("copy the shipped profile")
                .at(plain::text(&below))
                .because("it is not among the shipped files")
        })?;
    Ok((folder.join(below), (*text).to_owned()))
}

fn no_folder() -> Problem {
    Problem::system("find the folder for own profiles")
        .because("the system names no data folder")
        .hint("Set HOME or XDG_DATA_HOME.")
}

/// What was written, for a person.
pub fn words(saved: &Saved) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail, here and below.
    let _ = writeln!(out, "\n{} in {}", saved.machine, saved.file);
    if saved.is_new {
        out.push_str("   a copy of the shipped profile; it wins from now on\n");
    }
    for value in &saved.values {
        let old = value.old.as_deref().unwrap_or("not stated");
        say::wrap(
            &mut out,
            &format!(
                "   {}: was {old}, is {} ({})",
                value.key, value.new, value.note
            ),
            6,
        );
    }
    for line in &saved.left {
        say::wrap(&mut out, &format!("   left as it was: {line}"), 6);
    }
    out
}
