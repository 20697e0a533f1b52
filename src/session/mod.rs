//! The one owner of a session's state: events, facts, gate, clock.

pub mod air;
mod apply;
pub mod bond;
pub mod called;
pub mod care;
pub mod care_log;
pub mod clock;
pub mod event;
pub mod fact;
mod facts;
pub mod gate;
pub mod gauging;
mod guards;
mod joined;
pub mod known;
pub mod leaving;
pub mod lines;
pub mod matrix;
pub mod moment;
mod pages;
mod planning;
pub mod recovery;
mod running;
mod says;
pub mod shop;
pub mod state;
pub mod tool_speed;
mod tooling;
pub mod unfinished;
pub mod z_surface;

pub use crate::session::apply::RETURN_ERROR_ALLOWED_MM;
pub use crate::session::facts::doubts;
pub use crate::session::facts::stalled;
pub use crate::session::running::ended_unseen_s;

use crate::session::event::Event;
use crate::session::event::Refusal;
use crate::session::moment::Moment;
use crate::session::state::State;

/// A session: the only owner of its state. Everybody reads it; only events change it.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    state: State,
}

impl Session {
    /// A session in this state, new or read from a record.
    pub fn new(state: State) -> Self {
        Self { state }
    }

    /// A session that begins now: where no program is, none can disagree.
    pub fn begin(mut state: State, at: Moment) -> Self {
        planning::judge_program(&mut state, at);
        Self { state }
    }

    /// What the session knows.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Applies one event: the next session, or why it cannot be.
    ///
    /// The same events at the same moments give the same state. Nothing here reads a
    /// clock: time enters with `at`.
    ///
    /// # Errors
    ///
    /// A [`Refusal`] says in one sentence what stands against it; the session stays as it was.
    pub fn apply(&self, event: Event, at: Moment) -> Result<Self, Refusal> {
        let mut next = self.clone();
        apply::apply(&mut next.state, event, at)?;
        Ok(next)
    }
}
