//! Cutting, waiting and paused time of an operation. Fed with moments; never asks for one.

use std::time::Duration;

use crate::session::moment::Moment;
use crate::session::moment::TOLERATED_DRIFT;

/// What the clock of an operation counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// The program runs and the tool cuts or moves between cuts.
    Cutting,
    /// A person works at the part, its clamps or the bench: nothing is cut.
    Hands,
    /// The mill stands: something happened, chips are cleared, a tool is changed.
    Waiting,
    /// The person is away from the job.
    Paused,
}

impl Phase {
    /// The word on screen and in the record.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cutting => "cutting",
            Self::Hands => "hands",
            Self::Waiting => "waiting",
            Self::Paused => "paused",
        }
    }

    /// Whether the work of the operation goes on, by the mill or by hand.
    pub fn is_at_work(self) -> bool {
        matches!(self, Self::Cutting | Self::Hands)
    }
}

/// Time spent in each phase.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spent {
    /// While cutting.
    pub cutting: Duration,
    /// While a person works by hand; no cutting time, and none of the machine's hours.
    pub hands: Duration,
    /// While waiting.
    pub waiting: Duration,
    /// While paused.
    pub paused: Duration,
}

impl Spent {
    /// The time of an operation in which nothing is cut: what was counted as cutting was work by hand.
    #[must_use]
    pub fn by_hand(self) -> Self {
        Self {
            cutting: Duration::ZERO,
            hands: self.at_work(),
            ..self
        }
    }

    /// All phases together.
    pub fn total(self) -> Duration {
        self.cutting + self.hands + self.waiting + self.paused
    }

    /// The work itself, by the mill or by hand.
    pub fn at_work(self) -> Duration {
        self.cutting + self.hands
    }

    fn of(&mut self, phase: Phase) -> &mut Duration {
        match phase {
            Phase::Cutting => &mut self.cutting,
            Phase::Hands => &mut self.hands,
            Phase::Waiting => &mut self.waiting,
            Phase::Paused => &mut self.paused,
        }
    }

    /// The same with `more` counted in `phase`.
    #[must_use]
    pub fn plus(mut self, phase: Phase, more: Duration) -> Self {
        *self.of(phase) += more;
        self
    }
}

/// Wall time that passed without monotonic time: sleep, or a clock that was set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// How long, in seconds; negative when the clock was put back.
    pub seconds: f64,
    /// When it was noticed.
    pub noticed: Moment,
}

/// The clock of one operation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clock {
    spent: Spent,
    running: Option<(Phase, Moment)>,
    /// The phase that ended when this one began, and how long it lasted.
    before: Option<(Phase, Duration)>,
    set_back: Duration,
}

/// The furthest that the beginning of a cut may be set back.
pub const MOST_SET_BACK: Duration = Duration::from_secs(60);

impl Clock {
    /// A clock that has counted this much and stands.
    pub fn stopped_at(spent: Spent) -> Self {
        Self {
            spent,
            ..Self::default()
        }
    }

    /// A clock that has counted this much and counts on from `at`.
    pub fn going_on(spent: Spent, phase: Phase, at: Moment) -> Self {
        Self {
            spent,
            running: Some((phase, at)),
            ..Self::default()
        }
    }

    /// The phase in force, if the clock is on.
    pub fn phase(&self) -> Option<Phase> {
        self.running.map(|(phase, _)| phase)
    }

    /// When the phase in force began, if the clock is on.
    pub fn phase_since(&self) -> Option<Moment> {
        self.running.map(|(_, since)| since)
    }

    /// Time spent up to `at`.
    pub fn read(&self, at: Moment) -> Spent {
        match self.running {
            None => self.spent,
            Some((phase, since)) => self.spent.plus(phase, at.since(since)),
        }
    }

    /// Counts `phase` from `at` on; what ran before is folded in.
    pub fn turn(&mut self, phase: Phase, at: Moment) {
        self.before = self.running.map(|(phase, since)| (phase, at.since(since)));
        self.spent = self.read(at);
        self.running = Some((phase, at));
        self.set_back = Duration::ZERO;
    }

    /// Stands from `at` on.
    pub fn stop(&mut self, at: Moment) {
        self.spent = self.read(at);
        self.running = None;
    }

    /// Says that the cut began `by` earlier than the clock was turned to cutting.
    ///
    /// The seconds are taken from the phase that was counted then, so that none stands
    /// twice. Answers `false`, and changes nothing, when no work is counted, when
    /// the phase before was shorter, or when the sum would pass [`MOST_SET_BACK`].
    pub fn set_back(&mut self, by: Duration) -> bool {
        let sum = self.set_back + by;
        let Some(now) = self.phase().filter(|phase| phase.is_at_work()) else {
            return false;
        };
        if sum > MOST_SET_BACK {
            return false;
        }
        if let Some((phase, lasted)) = self.before {
            if sum > lasted {
                return false;
            }
            let counted = self.spent.of(phase);
            *counted = counted.saturating_sub(by);
        }
        self.set_back = sum;
        *self.spent.of(now) += by;
        true
    }

    /// The phase in force is called another one, from its beginning.
    pub fn call(&mut self, phase: Phase) {
        if let Some((running, _)) = &mut self.running {
            *running = phase;
        }
    }

    /// Takes time out of a phase, at most what it has; how much was taken.
    pub fn take(&mut self, phase: Phase, less: Duration) -> Duration {
        let counted = self.spent.of(phase);
        let taken = less.min(*counted);
        *counted -= taken;
        taken
    }

    /// Counts time that no clock of this run saw, once the person has said what it was.
    pub fn add(&mut self, phase: Phase, more: Duration) {
        self.spent = self.spent.plus(phase, more);
    }
}

/// The gap between two moments, when it is worth a question.
pub fn gap(earlier: Moment, at: Moment) -> Option<Gap> {
    let seconds = at.drift_s(earlier);
    (seconds.abs() > TOLERATED_DRIFT.as_secs_f64()).then_some(Gap {
        seconds,
        noticed: at,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::DateTime;

    fn at(wall_s: i64, mono_s: u64) -> Moment {
        Moment {
            wall: DateTime::from_timestamp(1_700_000_000 + wall_s, 0)
                .unwrap()
                .fixed_offset(),
            mono: Duration::from_secs(mono_s),
        }
    }

    #[test]
    fn each_phase_keeps_its_own_time() {
        let mut clock = Clock::default();
        clock.turn(Phase::Cutting, at(0, 0));
        clock.turn(Phase::Waiting, at(10, 10));
        clock.turn(Phase::Cutting, at(15, 15));
        clock.stop(at(35, 35));
        let spent = clock.read(at(99, 99));
        assert_eq!(spent.cutting.as_secs(), 30);
        assert_eq!(spent.waiting.as_secs(), 5);
        assert_eq!(spent.total().as_secs(), 35);
    }

    #[test]
    fn a_wall_clock_that_jumps_changes_no_time_spent() {
        let mut clock = Clock::default();
        clock.turn(Phase::Cutting, at(0, 0));
        clock.turn(Phase::Waiting, at(3600, 10));
        clock.stop(at(-7200, 12));
        assert_eq!(clock.read(at(0, 50)).total().as_secs(), 12);
    }

    #[test]
    fn a_cut_that_began_earlier_takes_the_seconds_out_of_waiting() {
        let mut clock = Clock::default();
        clock.turn(Phase::Cutting, at(0, 0));
        clock.turn(Phase::Waiting, at(10, 10));
        clock.turn(Phase::Cutting, at(40, 40));
        assert!(clock.set_back(Duration::from_secs(20)));
        let spent = clock.read(at(50, 50));
        assert_eq!((spent.cutting.as_secs(), spent.waiting.as_secs()), (40, 10));
        assert!(!clock.set_back(Duration::from_secs(50)));
    }

    #[test]
    fn only_a_difference_of_more_than_five_seconds_is_a_gap() {
        assert_eq!(gap(at(0, 0), at(14, 10)), None);
        assert_eq!(gap(at(0, 0), at(900, 10)).map(|g| g.seconds), Some(890.0));
        assert_eq!(gap(at(0, 0), at(-10, 10)).map(|g| g.seconds), Some(-20.0));
    }
}
