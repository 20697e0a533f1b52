//! What the list of sessions shows of one.

use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;

use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::session::clock::Phase;
use crate::session::clock::Spent;
use crate::session::state::State;
use crate::session::state::Step;

/// A session in a few facts.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// Name of the session.
    pub session_id: String,
    /// Name of the job.
    pub job_id: String,
    /// Title of the job.
    pub title: String,
    /// Title of the machine.
    pub machine: String,
    /// Title of the material.
    pub material: String,
    /// When it began.
    pub begun: DateTime<FixedOffset>,
    /// When it last heard of anything.
    pub seen: DateTime<FixedOffset>,
    /// The step in work.
    pub step: Step,
    /// Title of the setup in work.
    pub setup: String,
    /// Title of the operation in work; empty when there is none.
    pub operation: String,
    /// Operations finished or left out.
    pub done: usize,
    /// All operations.
    pub operations: usize,
    /// Whether it was wrapped up.
    pub is_closed: bool,
    /// Whether something of the job is left to do.
    pub is_job_open: bool,
    /// Estimated time of all operations that are not left out, in seconds; `at least`. None
    /// when not one has an estimate.
    pub estimate_s: Option<f64>,
    /// Time spent in all operations.
    pub spent: Spent,
    /// The phase of the clock that was on when it was last saved.
    pub phase: Option<Phase>,
}

impl Summary {
    /// The facts of a state.
    pub fn of(state: &State) -> Self {
        let operations = || state.setups.iter().flat_map(|setup| &setup.operations);
        let estimates: Vec<f64> = operations()
            .filter(|operation| operation.progress != Progress::LeftOut)
            .filter_map(Operation::estimate_now_s)
            .collect();
        let spent = state.clocks.values().fold(Spent::default(), |sum, clock| {
            let one = clock.read(state.last_seen);
            let add = |a: Duration, b: Duration| a.saturating_add(b);
            Spent {
                cutting: add(sum.cutting, one.cutting),
                hands: add(sum.hands, one.hands),
                waiting: add(sum.waiting, one.waiting),
                paused: add(sum.paused, one.paused),
            }
        });
        Self {
            session_id: state.head.session_id.clone(),
            job_id: state.head.job_id.clone(),
            title: state.head.title.clone(),
            machine: state.machine.title.clone(),
            material: state.material.title.clone(),
            begun: state.head.begun,
            seen: state.last_seen.wall,
            step: state.step,
            setup: state.current_setup().title.clone(),
            operation: state
                .current_operation()
                .map_or_else(String::new, |operation| operation.title.clone()),
            done: operations().filter(|o| o.progress.is_done()).count(),
            operations: operations().count(),
            is_closed: state.wrap_up.is_some(),
            is_job_open: state.wrap_up.as_ref().is_none_or(|wrap_up| !wrap_up.done),
            estimate_s: (!estimates.is_empty()).then(|| estimates.iter().sum()),
            spent,
            phase: state.clocks.values().find_map(|clock| clock.phase()),
        }
    }
}
