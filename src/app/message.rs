//! What reaches the model from the outside.

use std::path::PathBuf;

use crate::app::browse::Listing;
use crate::app::following::Path;
use crate::app::key::Key;
use crate::check::sweep::Swept;
use crate::program::summary::RestartPoint;
use crate::program::summary::Summary;
use crate::session::Session;
use crate::session::care_log::Entry;
use crate::session::moment::Moment;

/// One job in the list, read from its newest record.
#[derive(Clone, Debug, PartialEq)]
pub struct JobSummary {
    /// Where the record is. Its name need not be UTF-8.
    pub path: PathBuf,
    /// What the person calls it.
    pub title: String,
    /// Setup and step where it stands.
    pub stands_at: String,
    /// When it was last saved.
    pub last_seen: String,
    /// Whether nothing is left to do.
    pub is_done: bool,
    /// Cutting time so far, in seconds.
    pub actual_s: f64,
    /// Estimated time, in seconds, where every operation has one.
    pub estimate_s: Option<f64>,
    /// Why it could not be read.
    pub fault: Option<String>,
}

/// A program file, read and summed up.
#[derive(Clone, Debug, PartialEq)]
pub struct ProgramRead {
    /// File as the person named it.
    pub file: String,
    /// Whether it is no file: the program of the demo job comes with millside.
    pub is_built_in: bool,
    /// What the reader made of it.
    pub summary: Summary,
}

/// Where a record was saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kept {
    /// In its file.
    InPlace,
    /// In a new file: its own is not any more what this program wrote last.
    Beside(Beside),
}

/// The two files of a record that was changed outside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    /// The file that was changed, left as it is.
    pub from: PathBuf,
    /// The new file, in which the session goes on.
    pub to: PathBuf,
    /// There is no file of the first name any more.
    pub is_gone: bool,
}

/// A message.
#[derive(Debug)]
pub enum Message {
    /// A key was pressed.
    Pressed(Key, Moment),
    /// Text was pasted, without characters that cannot be seen.
    Pasted(String),
    /// Time passed.
    Ticked(Moment),
    /// The window has this many columns and rows.
    Resized(u16, u16),
    /// What was said of the screen could not be kept.
    NotKept(String),
    /// The emergency number was kept in a file, or why not.
    NumberKept(Result<String, String>),
    /// A tool of one's own was kept in this file, or why it was not.
    ToolKept(Result<String, String>),
    /// The jobs were listed.
    JobsListed(Result<Vec<JobSummary>, String>),
    /// A record was made or read, and locked or not.
    Opened {
        /// Where it is.
        path: String,
        /// The session.
        session: Box<Session>,
        /// Why nothing can be answered here, if so: another program has it open, or it cannot be locked.
        read_only: Option<String>,
        /// When its clock was on: seconds from the save to the last sign of life, and from
        /// there until now.
        away: Option<(f64, f64)>,
        /// Now.
        at: Moment,
    },
    /// A record could not be made or read.
    NotOpened(String),
    /// The program was in the background for so many seconds.
    CameBack(f64, Moment),
    /// The record was saved, or why not.
    Saved(Result<Kept, String>),
    /// The program is told to end.
    Ending(Moment),
    /// The care log of the machine of this name was read or written.
    CareRead(String, Result<Vec<Entry>, String>),
    /// A program file was read for a new job.
    ReadForNewJob(Result<ProgramRead, String>, Moment),
    /// The folder of this path was listed, or why not; whether all of it is to be shown.
    FolderListed(String, bool, Result<Listing, String>),
    /// Blocks were found at which a program could be begun again before a line.
    RestartFound(Result<Vec<RestartPoint>, String>, u64, Moment),
    /// The path of a program was followed through the blank, or could not be.
    PathFollowed(Result<Swept, String>, Box<Path>, Moment),
    /// How far a long program is read, percent; none: no long one is being read.
    Reading(Option<u8>),
    /// A program file was read for the setup in work.
    ProgramRead(Result<ProgramRead, String>, bool, Moment),
}
