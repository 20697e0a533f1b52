//! What time does: signs of life, bells, a look whether the program file changed.

use std::time::Duration;

use crate::app::applying::clock_is_on;
use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::keeping;
use crate::app::model::Model;
use crate::app::overlay::Overlay;
use crate::app::posted::demo_program;
use crate::job::operation::Operation;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::State;

/// How often the record gets a sign of life while a clock is on.
const ALIVE: Duration = Duration::from_secs(10);

/// How often the program file is looked at.
const LOOK: Duration = Duration::from_secs(2);

/// `Nearly` begins at this share of the estimate.
const NEARLY: f64 = 0.9;

/// Time passed.
pub(super) fn tick(model: &mut Model, at: Moment) -> Vec<Effect> {
    model.now = at;
    let mut effects = vec![];
    let had_gap = model.state().is_some_and(|state| state.gap.is_some());
    let Some(work) = &mut model.work else {
        return effects;
    };
    if let Ok(next) = work.session.apply(Event::Looked, at) {
        let lists_changed = next.state().answers != work.session.state().answers;
        work.session = next;
        if lists_changed && work.read_only.is_none() {
            effects.extend(keeping::save(work, at));
        }
    }
    if at.since(work.program_seen) >= LOOK {
        work.program_seen = at;
        let program = work.session.state().current_setup().program.clone();
        if let Some(program) = program.filter(|program| demo_program(model, program).is_none()) {
            let path = program.file;
            effects.push(Effect::ReadProgram {
                path,
                reading: Reading::IfChanged,
            });
        }
    }
    if clock_is_on(model) {
        if let Some(work) = &mut model.work
            && at.since(work.alive_since) >= ALIVE
        {
            work.alive_since = at;
            effects.push(Effect::TouchAlive);
        }
        effects.extend(bells(model, at));
    }
    let has_gap = model.state().is_some_and(|state| state.gap.is_some());
    if has_gap && !had_gap && model.overlay.is_none() && model.editing.is_none() {
        model.overlay = Some(Overlay::Gap);
        effects.push(Effect::Bell);
    }
    effects.extend(keeping::tick(model, at));
    effects
}

/// How the cut stands against its estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Cutting time so far, or work by hand where nothing is cut, in seconds.
    pub cutting_s: f64,
    /// All phases together, in seconds.
    pub elapsed_s: f64,
    /// Estimate of cutting time with the override that is set, in seconds.
    pub estimate_s: Option<f64>,
    /// The override that the estimate follows, percent, where it is not 100 %.
    pub override_percent: Option<f64>,
    /// Whether acceleration and rapids of the machine are in the estimate.
    pub is_timed: bool,
}

impl Progress {
    /// Seconds left; negative when the estimate is over.
    pub fn left_s(self) -> Option<f64> {
        self.estimate_s.map(|estimate| estimate - self.cutting_s)
    }

    /// Whether the estimate is nearly used up, or over.
    pub fn is_nearly(self) -> bool {
        self.estimate_s
            .is_some_and(|estimate| self.cutting_s >= NEARLY * estimate)
    }
}

/// How the operation in work stands at `at`.
pub fn progress(state: &State, at: Moment) -> Progress {
    let spent = state
        .clock()
        .map(|clock| clock.read(at))
        .unwrap_or_default();
    Progress {
        cutting_s: spent.at_work().as_secs_f64(),
        elapsed_s: spent.total().as_secs_f64(),
        estimate_s: state
            .current_operation()
            .and_then(Operation::estimate_now_s),
        override_percent: state
            .current_operation()
            .and_then(Operation::slowed_to_percent),
        is_timed: state
            .current_operation()
            .is_some_and(|operation| operation.is_timed),
    }
}

fn bells(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(work) = &mut model.work else {
        return vec![];
    };
    let state = work.session.state();
    if state.phase() != Some(Phase::Cutting) {
        return vec![];
    }
    let progress = progress(state, at);
    let is_over = progress.left_s().is_some_and(|left| left <= 0.0);
    let rings = (progress.is_nearly() && !work.rung.0) || (is_over && !work.rung.1);
    work.rung.0 |= progress.is_nearly();
    work.rung.1 |= is_over;
    if rings { vec![Effect::Bell] } else { vec![] }
}
