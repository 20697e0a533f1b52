//! Making facts good, and withdrawing them by the matrix.

use std::time::Duration;

use crate::job::mishap::Mishap;
use crate::job::stalled::Stalled;
use crate::session::bond;
use crate::session::called;
use crate::session::clock::Phase;
use crate::session::event::Answer;
use crate::session::event::Refusal;
use crate::session::fact::FactKey;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::gate;
use crate::session::gate::FULL_SPEED;
use crate::session::gate::ListKind;
use crate::session::gate::Way;
use crate::session::leaving;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::running::is_put_off;
use crate::session::running::to_waiting;
use crate::session::says;
use crate::session::shop;
use crate::session::state::Answered;
use crate::session::state::Logged;
use crate::session::state::State;

/// What a mishap makes doubtful here: heat loosens tape, glue and vacuum, and no vice.
pub fn doubts(state: &State, mishap: Mishap) -> Vec<Happening> {
    let is_bonded = state
        .current_setup()
        .holding
        .as_ref()
        .is_some_and(|holding| holding.by.is_bond());
    let heats = matches!(mishap, Mishap::Hot | Mishap::Fire | Mishap::ChipsPacked);
    let mut all = of_any_hold(mishap).to_vec();
    if is_bonded && heats {
        all.push(Happening::BondTired);
    }
    all
}

/// Which axis stalled, while that is what made a zero doubtful; `None` where nobody could say which.
pub fn stalled(state: &State) -> Option<Stalled> {
    let kinds = [
        FactKind::Position,
        FactKind::XyZero,
        FactKind::ZReference,
        FactKind::ToolLength,
    ];
    let since = kinds.into_iter().filter_map(|kind| match state.fact(kind) {
        FactState::Redo {
            what: Happening::AxisBound,
            since,
        } => Some(since),
        _ => None,
    });
    let since = since.min()?;
    let stops = state.stops.iter();
    let mut stalls = stops.filter(|stop| stop.mishap == Mishap::AxisBound && stop.at >= since);
    let axes = stalls.next()?.stalled?;
    // Another axis since, or one that nobody named: each may be off.
    stalls
        .all(|stop| stop.stalled == Some(axes))
        .then_some(axes)
}

fn of_any_hold(mishap: Mishap) -> &'static [Happening] {
    match mishap {
        Mishap::AxisBound => &[Happening::AxisBound],
        Mishap::Crash => &[Happening::Crash],
        // Their cards ask for the emergency stop; whether it was that key nobody has said. What only it withdrew, a return test may give back.
        Mishap::ToolBroke => &[Happening::ToolBroke, Happening::StoppedSomehow],
        Mishap::ToolSlipped => &[Happening::ToolSlipped, Happening::StoppedSomehow],
        Mishap::ChipsPacked => &[Happening::ChipsPacked],
        Mishap::PartMoved => &[Happening::PartMovedInCut, Happening::StoppedSomehow],
        Mishap::Fire => &[Happening::Fire],
        Mishap::Injury => &[Happening::Injury],
        Mishap::WrongPlace => &[Happening::WrongPlaceCut],
        Mishap::Power => &[Happening::PowerOff],
        Mishap::SpindleStalled | Mishap::ChipNest | Mishap::Shaking => {
            &[Happening::StoppedInCut, Happening::StoppedSomehow]
        }
        Mishap::Chatter | Mishap::PoorFinish | Mishap::Hot | Mishap::Other => &[Happening::HandsIn],
    }
}

/// Makes a fact of the operation in work good.
pub fn good(state: &mut State, kind: FactKind, by: SaidBy, value: Option<String>, at: Moment) {
    if by != SaidBy::Computed {
        // Somebody works at the mill: what was answered before leaving it was for another time.
        leaving::over(state);
    }
    matrix::say(state, key(state, kind), at.wall, by, value);
}

fn key(state: &State, kind: FactKind) -> FactKey {
    FactKey::of(kind, state.setup, state.operation, state.planned_tool())
}

/// Something happened: the matrix withdraws what its row says, and the clock waits where a cut waits for it.
pub fn happen(state: &mut State, what: Happening, at: Moment) {
    let waits = matrix::doubt(state, what, at);
    if what.row().reopens_list() {
        state.list_is_full = true;
    }
    if what == Happening::HandsIn {
        state.hands_were_in = true;
    }
    if waits {
        to_waiting(state, at);
    }
    state.log.push(Logged { at: at.wall, what });
}

/// The program noticed something by itself: it happens now, or at the next standstill where the mill may cut.
pub(in crate::session) fn noticed(state: &mut State, what: Happening, at: Moment) {
    if !is_put_off(state, what) {
        happen(state, what, at);
    } else if !state.asks_later.contains(&what) {
        state.asks_later.push(what);
    }
}

/// Every line of the start list is a new question: it is another cut.
pub fn reopen_start(state: &mut State) {
    matrix::anew(state, Anew::AnotherCut, &[]);
}

/// A hand was at tool or work, to touch off or to measure: what was said of hands and keys before it is to be seen anew.
pub(in crate::session) fn hands_near(state: &mut State, at: Moment) {
    matrix::doubt(state, Happening::HandNear, at);
    to_waiting(state, at);
}

/// A zero or a length was set anew: that all match, and the first run of what follows, are questions again (rule d14 of lists).
pub(in crate::session) fn zero_set(state: &mut State, at: Moment) {
    hands_near(state, at);
    matrix::doubt(state, Happening::ZeroSet, at);
}

/// Takes the person's answer to one line; a line that is a fact too makes it good.
///
/// # Errors
///
/// When the list has no such line, or the line needs a value.
pub fn answer(
    state: &mut State,
    kind: ListKind,
    id: &str,
    answer: Answer,
    shown: Duration,
    at: Moment,
) -> Result<(), Refusal> {
    let list = gate::list(state, kind);
    let Some(line) = list.lines.into_iter().find(|line| line.id == id) else {
        return Err(Refusal::because("this line is not on the list any more"));
    };
    if let (Answer::So, Way::At(step)) = (&answer, line.way) {
        return Err(Refusal::because(format!(
            "it needs a value: enter it at {}",
            step.word()
        )));
    }
    if answer == Answer::So {
        may_be_so(state, id)?;
    }
    if let Answer::NotSo(words) = &answer
        && words.trim().is_empty()
    {
        return Err(Refusal::because("say what is not so"));
    }
    if let Some(fact) = line.fact {
        match answer {
            Answer::So => confirm(state, fact, at)?,
            Answer::NotSo(_) => matrix::not_so(state, Some(key(state, fact)), &[]),
        }
    }
    shop::answered(state, id, &answer, at);
    if id == bond::COOL && answer == Answer::So {
        bond::felt_cool(state);
    }
    state.told.get_or_insert(at.wall);
    if matches!(answer, Answer::NotSo(_)) {
        to_waiting(state, at);
    }
    let (setup, operation) = (state.setup, state.operation);
    let answered = Answered {
        list: kind,
        version: state.cautions.version().into(),
        setup,
        operation,
        line: line.id,
        text: line.text.into(),
        answer,
        at: at.wall,
        shown,
        stands: true,
        fell: None,
    };
    matrix::answer(state, answered);
    called::judge_pace(state, kind, at);
    Ok(())
}

/// Whether a line can be so by what the person has said and done.
fn may_be_so(state: &State, id: &str) -> Result<(), Refusal> {
    if let Some(words) = says::against(state, id) {
        return Err(Refusal::because(words));
    }
    if state.phase() == Some(Phase::Cutting) && ends_with_a_cut(state, id) {
        return Err(Refusal::because(
            "the timer runs: answer this once the mill stands still",
        ));
    }
    if id == FULL_SPEED {
        // With the spindle turning nobody goes to work, clamps or zero any more.
        let own = gate::list(state, ListKind::Start);
        let own = own.lines.into_iter().find(|line| line.id == id);
        let own = own.map_or(String::new(), |line| line.text);
        let open = gate::obstacles(state);
        let open = open.iter().filter(|other| other.words != own).count();
        if open > 0 {
            return Err(Refusal::because(format!(
                "the spindle turns last: {open} open before it"
            )));
        }
    }
    Ok(())
}

/// Whether what a line says is over as soon as the spindle turns.
fn ends_with_a_cut(state: &State, id: &str) -> bool {
    let is_cut = state.current_operation().is_some_and(|o| o.kind.is_cut());
    let caution = state.cautions.iter().find(|caution| caution.id == id);
    let at_cut = Anew::CutBegan.row().id;
    is_cut && caution.is_some_and(|caution| matrix::asks_line(at_cut, &[], caution))
}

/// Makes a fact good that needs no value.
///
/// # Errors
///
/// When something must be stated first, or the fact needs a value.
pub fn confirm(state: &mut State, kind: FactKind, at: Moment) -> Result<(), Refusal> {
    let setup = state.current_setup();
    match kind {
        FactKind::ViceTrue | FactKind::Position => {}
        FactKind::Held if setup.holding.is_none() => {
            return Err(Refusal::because("say first what holds the part"));
        }
        FactKind::Held => {}
        FactKind::ToolIn if state.in_spindle.is_none() => {
            return Err(Refusal::because(
                "say first that this tool goes in, the row above",
            ));
        }
        FactKind::ToolIn if state.in_spindle != state.planned_tool() => {
            return Err(Refusal::because("another tool is in the spindle"));
        }
        FactKind::ToolIn => {}
        FactKind::Recipe
            if state
                .current_operation()
                .is_none_or(|operation| operation.recipe.is_none()) =>
        {
            return Err(Refusal::because("decide the recipe first"));
        }
        FactKind::Recipe => {}
        _ => {
            let words = format!("{} needs a value: enter it at its step", kind.statement());
            return Err(Refusal::because(words));
        }
    }
    good(state, kind, SaidBy::Confirmed, None, at);
    Ok(())
}
