//! What the model asks of the outside. `edge` carries it out and answers with messages.

use crate::session::state::State;

/// An effect.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// List the jobs of the sessions folder.
    ListJobs,
    /// Make a new record and lock it.
    Create(Box<State>),
    /// Read a record and lock it.
    Load(String),
    /// Replace the record that is open.
    Save(Box<State>),
    /// Read a program file for a new job.
    ReadForNewJob(String),
    /// Read a program file for the setup in work; says whether the person asked for it.
    ReadProgram {
        /// File as the person named it.
        path: String,
        /// Whether the person asked for it; else it is a look whether the file changed.
        asked: bool,
    },
    /// Leave a sign of life beside the record.
    TouchAlive,
    /// Take the sign of life away: the clock stands, or the record is closed.
    ClearAlive,
    /// Let go of the record that is open.
    Close,
    /// Ring the bell.
    Bell,
    /// End the program.
    Quit,
}
