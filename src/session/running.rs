//! The clock of the operation in work: what turns it, and what time nobody saw.

use std::time::Duration;

use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::session::bond;
use crate::session::called;
use crate::session::clock;
use crate::session::clock::Clock;
use crate::session::clock::Gap;
use crate::session::clock::Phase;
use crate::session::event::Refusal;
use crate::session::event::Unseen;
use crate::session::facts;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::leaving;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::planning::judge_program;
use crate::session::state::State;
use crate::session::unfinished;
use crate::session::z_surface;

/// After this long with a list answered and no cut begun, the list is asked again.
const LIST_AGES: Duration = Duration::from_secs(600);

pub(in crate::session) fn notice_gap(state: &mut State, at: Moment) {
    let before = state.last_seen;
    state.last_seen = at;
    bond::pass(state, before, at);
    let Some(phase) = state.phase() else { return };
    let Some(new) = clock::gap(before, at) else {
        return;
    };
    if phase == Phase::Paused && new.seconds > 0.0 && state.gap.is_none() {
        // Whoever turned the clock to a pause has said what this time is.
        let more = Duration::try_from_secs_f64(new.seconds).unwrap_or_default();
        let place = (state.setup, state.operation);
        state.clocks.entry(place).or_default().add(phase, more);
        return;
    }
    let seconds = new.seconds + state.gap.map_or(0.0, |(old, _)| old.seconds);
    state.gap = Some((
        Gap {
            seconds,
            noticed: at,
        },
        state.gap.map_or(phase, |(_, old)| old),
    ));
}

pub(in crate::session) fn age_list(state: &mut State, at: Moment) {
    if may_cut(state) {
        return;
    }
    let oldest = state
        .answers
        .standing()
        .filter(|answered| answered.list == ListKind::Start)
        .map(|answered| answered.at)
        .max();
    let Some(last) = oldest else { return };
    let waited = (at.wall - last).to_std().unwrap_or_default();
    if waited > LIST_AGES {
        facts::happen(state, Happening::TenMinutesPassed, at);
        let bonded = state
            .current_setup()
            .holding
            .as_ref()
            .is_some_and(|h| h.by.is_bond());
        if bonded {
            facts::happen(state, Happening::BondTired, at);
        }
    }
}

pub(in crate::session) fn cutting_s(state: &State, at: Moment) -> u64 {
    state
        .clock()
        .map_or(0, |clock| clock.read(at).cutting.as_secs())
}

/// The clock counts waiting from now on, if it counted cutting.
pub(in crate::session) fn to_waiting(state: &mut State, at: Moment) {
    if state.phase().is_some_and(Phase::is_at_work) {
        let place = (state.setup, state.operation);
        state
            .clocks
            .entry(place)
            .or_default()
            .turn(Phase::Waiting, at);
    }
}

pub(in crate::session) fn require_clear(state: &State) -> Result<(), Refusal> {
    let open = gate::obstacles(state);
    match open.first() {
        None => Ok(()),
        Some(first) if open.len() == 1 => Err(Refusal::because(format!("open: {}", first.words))),
        Some(first) => Err(Refusal::because(format!(
            "{} open, first: {}",
            open.len(),
            first.words
        ))),
    }
}

/// What the clock counts while the work of the operation goes on: no spindle turns for clamps that change places.
fn work_phase(state: &State) -> Phase {
    match state.current_operation() {
        Some(operation) if !operation.kind.is_cut() => Phase::Hands,
        _ => Phase::Cutting,
    }
}

pub(in crate::session) fn cut_began(
    state: &mut State,
    ago: Duration,
    at: Moment,
) -> Result<(), Refusal> {
    require_clear(state)?;
    let (setup, index) = (state.setup, state.operation);
    let place = (setup, index);
    let running = state.clocks.get(&place).and_then(Clock::phase);
    if let Some(phase) = running.filter(|phase| phase.is_at_work()) {
        return Err(Refusal::because(format!(
            "the clock counts {} already",
            phase.word()
        )));
    }
    let phase = work_phase(state);
    // Turning the clock on is the answer to the end of the list: nothing is open.
    called::end(state, ListKind::Recovery, at)?;
    called::end(state, ListKind::Start, at)?;
    // The work goes on: what was answered before leaving was for another time.
    leaving::over(state);
    let clock = state.clocks.entry(place).or_default();
    clock.turn(phase, at);
    if !ago.is_zero() && !clock.set_back(ago) {
        return Err(Refusal::because(
            "the beginning can be set back by at most a minute",
        ));
    }
    let mut is_cut = false;
    if let Some(operation) = state.setups[setup].operations.get_mut(index) {
        operation.progress = Progress::Begun;
        is_cut = operation.kind.is_cut();
    }
    state.list_is_full = false;
    state.hands_were_in = false;
    if is_cut {
        matrix::anew(state, Anew::CutBegan, &[]);
    }
    Ok(())
}

pub(in crate::session) fn clock_turned(
    state: &mut State,
    phase: Phase,
    at: Moment,
) -> Result<(), Refusal> {
    match (state.phase(), phase) {
        (None, _) => Err(Refusal::because("the clock is off")),
        (Some(now), wanted) if now == wanted => Err(Refusal::because(format!(
            "the clock counts {} already",
            now.word()
        ))),
        (Some(_), Phase::Cutting | Phase::Hands) => cut_began(state, Duration::ZERO, at),
        (Some(now), wanted) => {
            let place = (state.setup, state.operation);
            state.clocks.entry(place).or_default().turn(wanted, at);
            if now.is_at_work() {
                facts::happen(state, Happening::HandsIn, at);
            }
            Ok(())
        }
    }
}

/// Whether the mill cuts, or may cut as far as anybody knows: then no hand goes in, and nothing is asked that needs one.
pub(in crate::session) fn may_cut(state: &State) -> bool {
    let unseen = state.gap.is_some_and(|(_, phase)| phase == Phase::Cutting);
    unseen || state.phase() == Some(Phase::Cutting)
}

/// Whether this waits for the next standstill: the program noticed it by itself while the mill may cut.
///
/// A program that changes under a running clock is told at once; one that changed while nobody looked waits with the rest.
pub(in crate::session) fn is_put_off(state: &State, what: Happening) -> bool {
    let went_on_unseen = state.phase() != Some(Phase::Cutting) || !state.asks_later.is_empty();
    what.row().waits_for_standstill
        && may_cut(state)
        && (what != Happening::ProgramChanged || went_on_unseen)
}

/// What was put off happens once the mill stands.
pub(in crate::session) fn settle(state: &mut State, at: Moment) {
    if state.asks_later.is_empty() || may_cut(state) {
        return;
    }
    for what in std::mem::take(&mut state.asks_later) {
        facts::happen(state, what, at);
    }
    judge_program(state, at);
}

pub(in crate::session) fn gap_explained(
    state: &mut State,
    phase: Option<Phase>,
    at: Moment,
) -> Result<(), Refusal> {
    let Some((gap, was)) = state.gap.take() else {
        return Err(Refusal::because("there is nothing to explain"));
    };
    if let Some(phase) = phase {
        // Of a computer's clock that was put back there is no time to count.
        let more = Duration::try_from_secs_f64(gap.seconds).unwrap_or_default();
        count_unseen(state, phase, more, at);
        if was.is_at_work() && phase.is_at_work() {
            work_goes_on(state, gap, was);
        }
    }
    Ok(())
}

fn count_unseen(state: &mut State, phase: Phase, more: Duration, at: Moment) {
    let phase = if phase.is_at_work() {
        work_phase(state)
    } else {
        phase
    };
    let place = (state.setup, state.operation);
    state.clocks.entry(place).or_default().add(phase, more);
    bond::explained(state, phase, more, at);
}

/// The work went on: what was counted as waiting since the question came was that work.
fn work_goes_on(state: &mut State, gap: Gap, was: Phase) {
    let place = (state.setup, state.operation);
    let clock = state.clocks.entry(place).or_default();
    let is_since = clock
        .phase_since()
        .is_some_and(|since| since.mono >= gap.noticed.mono);
    if clock.phase() == Some(Phase::Waiting) && is_since {
        clock.call(was);
    }
}

/// What became of a cut that nobody saw: ended, counted to its estimate and no further; or nobody knows, and nothing is counted.
pub(in crate::session) fn cut_unseen(
    state: &mut State,
    became: Unseen,
    at: Moment,
) -> Result<(), Refusal> {
    if state.gap.is_none_or(|(_, was)| was != Phase::Cutting) {
        return Err(Refusal::because("no cut went on unseen"));
    }
    let cut = ended_unseen_s(state, at).unwrap_or_default();
    let Some((gap, _)) = state.gap.take() else {
        return Ok(());
    };
    match became {
        Unseen::Ended => {
            let all = Duration::try_from_secs_f64(gap.seconds).unwrap_or_default();
            let cut = Duration::try_from_secs_f64(cut)
                .unwrap_or_default()
                .min(all);
            count_unseen(state, Phase::Cutting, cut, at);
            count_unseen(state, Phase::Waiting, all - cut, at);
            // A computer that slept left the clock on.
            to_waiting(state, at);
        }
        Unseen::Unknown => work_goes_on(state, gap, Phase::Cutting),
    }
    Ok(())
}

/// How much of an unseen stretch was cutting if the cut ended in it, in seconds: what the estimate had left; none where there is no
/// estimate.
pub fn ended_unseen_s(state: &State, at: Moment) -> Option<f64> {
    let (gap, _) = state.gap?;
    let estimate = state.current_operation()?.estimate_now_s()?;
    let so_far = state.clock()?.read(at).cutting.as_secs_f64();
    Some((estimate - so_far).max(0.0).min(gap.seconds.max(0.0)))
}

pub(in crate::session) fn reopened(
    state: &mut State,
    alive_s: f64,
    away_s: f64,
    seen: Moment,
    at: Moment,
) {
    if let Some(phase) = state.phase() {
        let place = (state.setup, state.operation);
        let clock = state.clocks.entry(place).or_default();
        let alive = Duration::try_from_secs_f64(alive_s).unwrap_or_default();
        let mut unseen_s = away_s.max(0.0);
        let mut was = phase;
        if let Some((gap, before)) = state.gap {
            // The question was on show already: what the mill did meanwhile nobody knows either.
            let shown = (seen.wall - gap.noticed.wall).to_std().unwrap_or_default();
            let shown = clock.take(phase, shown);
            unseen_s += gap.seconds.max(0.0) + shown.as_secs_f64() + alive.as_secs_f64();
            was = before;
        } else {
            clock.add(phase, alive);
        }
        if phase.is_at_work() {
            clock.turn(Phase::Waiting, at);
        }
        if state.gap.is_none() {
            bond::explained(state, phase, alive, at);
        }
        // A cut is asked about even where a clock that was put back shows no time.
        if unseen_s > 0.0 || was == Phase::Cutting {
            let gap = Gap {
                seconds: unseen_s,
                noticed: at,
            };
            state.gap = Some((gap, was));
        }
    }
    facts::noticed(state, Happening::OpenedAgain, at);
}

pub(in crate::session) fn finished(state: &mut State, at: Moment) -> Result<(), Refusal> {
    let (setup, index) = (state.setup, state.operation);
    let place = (setup, index);
    unfinished::may_finish(state)?;
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    let kind = operation.kind;
    operation.progress = Progress::Finished;
    if let Some(clock) = state.clocks.get_mut(&place) {
        clock.stop(at);
    }
    let loss = z_surface::taken_by(state.current_setup(), index);
    // What is left beside a facing is looked at anew; beside any other cut the tool is touched off as before.
    if loss.is_some_and(|loss| loss.taken == z_surface::Taken::Gone || kind == OperationKind::Face)
    {
        facts::happen(state, Happening::ReferenceRemoved, at);
    }
    match kind {
        OperationKind::ClampSwap => {
            // Other clamps stand elsewhere: what holds the part is to be said anew.
            state.setups[setup].holding = None;
            facts::happen(state, Happening::ClampsChangedPartStill, at);
            judge_program(state, at);
        }
        OperationKind::Face | OperationKind::Profile => {
            facts::happen(state, Happening::OutsideCut, at)
        }
        _ => {}
    }
    go_on(state);
    Ok(())
}

pub(in crate::session) fn left_out(
    state: &mut State,
    reason: String,
    at: Moment,
) -> Result<(), Refusal> {
    if reason.trim().is_empty() {
        return Err(Refusal::because("leaving an operation out needs a reason"));
    }
    let (setup, index) = (state.setup, state.operation);
    if let Some(clock) = state.clocks.get_mut(&(setup, index)) {
        clock.stop(at);
    }
    let Some(operation) = state.setups[setup].operations.get_mut(index) else {
        return Err(Refusal::because("there is no operation yet"));
    };
    operation.progress = Progress::LeftOut;
    if !operation.remark.is_empty() {
        operation.remark.push_str("; ");
    }
    operation.remark.push_str("left out: ");
    operation.remark.push_str(reason.trim());
    go_on(state);
    Ok(())
}

/// The next operation comes into work; its start list is a new one.
pub(in crate::session) fn go_on(state: &mut State) {
    if let Some(next) = state.current_setup().next_operation() {
        state.operation = next;
    }
    state.hands_were_in = false;
    facts::reopen_start(state);
}
