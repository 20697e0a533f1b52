//! What the model asks of the outside. `edge` carries it out and answers with messages.

use std::path::PathBuf;

use crate::app::following::Path;
use crate::measure::legible::Sizes;
use crate::session::state::State;

/// Why a program file is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// The person asked for it, and is told of it.
    Asked,
    /// The program is not known here yet.
    Needed,
    /// Only if the file is another than when it was last read.
    IfChanged,
}

/// An effect.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// List the jobs of the sessions folder.
    ListJobs,
    /// Make a new record and lock it.
    Create(Box<State>),
    /// Read a record and lock it.
    Load(PathBuf),
    /// Replace the record that is open.
    Save(Box<State>),
    /// Read a program file for a new job.
    ReadForNewJob(String),
    /// Read a program file for the setup in work.
    ReadProgram {
        /// File as the person named it.
        path: String,
        /// Why it is read.
        reading: Reading,
    },
    /// List the folder of a path that is being typed.
    ListFolder {
        /// The path as it stands.
        typed: String,
        /// Whether all of the folder is to be shown, and not what completes the path.
        lists: bool,
    },
    /// Find blocks of a program at which it could be begun again before a line.
    FindRestart {
        /// File as the person named it; none: the program of the demo job, which comes with millside.
        path: Option<String>,
        /// The line, counted from 1.
        line: u64,
    },
    /// Follow the path of a program file through the blank of a setup.
    FollowPath(String, Box<Path>),
    /// Stop reading a program.
    LeaveReading,
    /// Read the care log of the machine of this name.
    ReadCare(String),
    /// Leave a sign of life beside the record.
    TouchAlive,
    /// Take the sign of life away: the clock stands, or the record is closed.
    ClearAlive,
    /// Let go of the record that is open.
    Close,
    /// Keep what was said of the screen's letters, by size of the window.
    KeepSizes(Sizes),
    /// Keeps the emergency number of the shop in the person's own profiles.
    KeepNumber(String),
    /// Keep a tool of one's own in the person's profiles.
    KeepTool {
        /// Its name, which names the file.
        name: String,
        /// Text of the profile.
        text: String,
    },
    /// Ring the bell.
    Bell,
    /// End the program.
    Quit,
    /// End the program at once; the person knows that the last answers are not saved.
    QuitUnsaved,
}
