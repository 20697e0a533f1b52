//! Making facts good, and withdrawing them by the matrix.

use std::time::Duration;

use crate::job::caution;
use crate::job::mishap::Mishap;
use crate::session::bond;
use crate::session::called;
use crate::session::event::Answer;
use crate::session::event::Refusal;
use crate::session::fact::FactKey;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::gate;
use crate::session::gate::AT_REST;
use crate::session::gate::FULL_SPEED;
use crate::session::gate::HANDS_LINES;
use crate::session::gate::ListKind;
use crate::session::gate::Way;
use crate::session::leaving;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
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

fn of_any_hold(mishap: Mishap) -> &'static [Happening] {
    match mishap {
        Mishap::AxisBound => &[Happening::AxisBound],
        Mishap::Crash => &[Happening::Crash],
        // The emergency stop comes with these: what only it withdrew, a return test may give back.
        Mishap::ToolBroke => &[Happening::ToolBroke, Happening::EmergencyStop],
        Mishap::ToolSlipped => &[Happening::ToolSlipped, Happening::EmergencyStop],
        Mishap::ChipsPacked => &[Happening::ChipsPacked],
        Mishap::PartMoved => &[Happening::PartMovedInCut, Happening::EmergencyStop],
        Mishap::Fire => &[Happening::Fire],
        Mishap::Injury => &[Happening::Injury],
        Mishap::WrongPlace => &[Happening::WrongPlaceCut],
        Mishap::Power => &[Happening::PowerOff],
        Mishap::SpindleStalled | Mishap::ChipNest | Mishap::Shaking => {
            &[Happening::StoppedInCut, Happening::EmergencyStop]
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
    let key = FactKey::of(kind, state.setup, state.operation, state.planned_tool());
    state.facts.insert(
        key,
        FactState::Good {
            since: at.wall,
            by,
            value,
        },
    );
}

/// Makes a fact of the operation in work open.
pub fn forget(state: &mut State, kind: FactKind) {
    let key = FactKey::of(kind, state.setup, state.operation, state.planned_tool());
    state.facts.remove(&key);
}

/// Withdraws what the matrix says, and asks lists again.
pub fn happen(state: &mut State, what: Happening, at: Moment) {
    let row = what.row();
    let withdrawn = what.withdraws();
    // What the machine as a whole lost is lost in every setup; the rest only here.
    let everywhere = withdrawn.contains(&FactKind::Position)
        || withdrawn.contains(&FactKind::ViceTrue)
        || what == Happening::ToolChanged;
    let here = state.setup;
    let operation = state.operation;
    let has_program: Vec<bool> = state.setups.iter().map(|s| s.program.is_some()).collect();
    for (key, fact) in &mut state.facts {
        // Where no program is, none can disagree.
        if key.kind == FactKind::Program
            && key
                .setup
                .is_some_and(|setup| has_program.get(setup) == Some(&false))
        {
            continue;
        }
        let reaches = everywhere || key.setup.is_none_or(|setup| setup == here);
        let is_own_recipe = what != Happening::RecipeEdited || key.operation == Some(operation);
        if withdrawn.contains(&key.kind) && reaches && is_own_recipe && fact.is_good() {
            *fact = FactState::Redo {
                since: at.wall,
                what,
            };
        }
    }
    let shop_waits = shop::withdraw(state, what, everywhere, at);
    if row.reopens_list {
        if what == Happening::ToolChanged {
            // That the spindle is dead is answered just before the hand goes to it.
            let kept = gate::before_the_hand(state);
            reopen_start_but(state, &kept, Some((what, at)));
        } else {
            reopen_start_but(state, &[], Some((what, at)));
        }
        state.list_is_full = true;
    }
    if what == Happening::HandsIn {
        state.hands_were_in = true;
        for answered in &mut state.answers {
            if answered.list == ListKind::Start && HANDS_LINES.contains(&answered.line.as_str()) {
                answered.fall(what, at.wall);
            }
        }
    }
    if matches!(
        what,
        Happening::PowerOff
            | Happening::ControllerRestarted
            | Happening::PersonChanged
            | Happening::Fire
            | Happening::Injury
    ) {
        for answered in &mut state.answers {
            answered.fall(what, at.wall);
        }
    }
    ask_again(state, what, at);
    if row.reopens_list || !withdrawn.is_empty() || shop_waits || what == Happening::HandsIn {
        to_waiting(state, at);
    }
    state.log.push(Logged { at: at.wall, what });
}

/// Every line of the start list is a new question: it is another cut.
pub fn reopen_start(state: &mut State) {
    reopen_start_but(state, &[], None);
}

/// Every line of the start list is asked again, except these; with the reason, if there is one.
fn reopen_start_but(state: &mut State, kept: &[String], why: Option<(Happening, Moment)>) {
    for answered in &mut state.answers {
        if answered.list == ListKind::Start && !kept.contains(&answered.line) {
            match why {
                Some((what, at)) => answered.fall(what, at.wall),
                None => {
                    answered.stands = false;
                    answered.fell = None;
                }
            }
        }
    }
}

/// A hand was at tool or work, to touch off or to measure: what was said of hands and keys before it is to be seen anew.
pub(in crate::session) fn hands_near(state: &mut State, at: Moment) {
    for line in HANDS_LINES.iter().chain(&["keys-off"]) {
        ask_start_line(state, line, Happening::HandsIn, at);
    }
    to_waiting(state, at);
}

/// A zero or a length was set anew: that all match, and the first run of what follows, are questions again (rule d14 of lists).
pub(in crate::session) fn zero_set(state: &mut State, at: Moment) {
    hands_near(state, at);
    for line in ["match-tool-program", "first-run-slow"] {
        ask_start_line(state, line, Happening::ZeroSet, at);
    }
}

/// Asks one line of the start list of the operation in work again.
pub(in crate::session) fn ask_start_line(
    state: &mut State,
    line: &str,
    what: Happening,
    at: Moment,
) {
    let (setup, operation) = (state.setup, state.operation);
    for answered in &mut state.answers {
        let is_here = (answered.setup, answered.operation) == (setup, operation);
        if is_here && answered.list == ListKind::Start && answered.line == line {
            answered.fall(what, at.wall);
        }
    }
}

/// The spindle turns from now on: that it was at rest is to be seen anew.
pub(in crate::session) fn spindle_turns(state: &mut State) {
    for answered in &mut state.answers {
        if answered.list == ListKind::Start && AT_REST.contains(&answered.line.as_str()) {
            answered.stands = false;
            answered.fell = None;
        }
    }
}

/// Lines of lists that are answered once, which a happening asks again all the same.
const ASKED_AGAIN: &[(Happening, &[&str])] = &[
    (Happening::ViceMoved, &["clamps-clear", "bonded-hold"]),
    (Happening::PartMoved, &["clamps-clear", "bonded-hold"]),
    (Happening::ClampsChanged, &["clamps-clear", "bonded-hold"]),
    (
        Happening::ClampsChangedPartStill,
        &["clamps-clear", "bonded-hold"],
    ),
    (Happening::HoldingEdited, &["clamps-clear"]),
    (Happening::PartMovedInCut, &["clamps-clear", "bonded-hold"]),
    (Happening::Crash, &["clamps-clear", "bonded-hold"]),
    (Happening::BondTired, &["bonded-hold"]),
    (
        Happening::FluidChanged,
        &["mg-dry-or-oil", "be-wet-slow", "material-and-coolant"],
    ),
    (
        Happening::MaterialEdited,
        &["extinguisher-fit", "material-and-coolant"],
    ),
];

/// Lines that depend on a stated thing, which a happening changes.
const DEPENDING: &[(Happening, &[&str])] = &[
    (Happening::MaterialEdited, &["material", "material_class"]),
    (Happening::FluidChanged, &["fluid"]),
];

fn ask_again(state: &mut State, what: Happening, at: Moment) {
    let named = ASKED_AGAIN
        .iter()
        .filter(|(happening, _)| *happening == what)
        .flat_map(|(_, ids)| ids.iter().map(|id| (*id).to_owned()));
    let keys: Vec<&str> = DEPENDING
        .iter()
        .filter(|(happening, _)| *happening == what)
        .flat_map(|(_, keys)| keys.iter().copied())
        .collect();
    let depending = state
        .cautions
        .iter()
        .filter(|caution| {
            let mut when = caution.when.iter();
            when.any(|condition| keys.contains(&condition.key.as_str()))
        })
        .map(|caution| caution.id.clone());
    let ids: Vec<String> = named.chain(depending).collect();
    let setup = state.setup;
    for answered in &mut state.answers {
        let is_here = answered.list == ListKind::Power || answered.setup == setup;
        if is_here && ids.contains(&answered.line) {
            answered.fall(what, at.wall);
        }
    }
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
            Answer::NotSo(_) => forget(state, fact),
        }
    }
    shop::answered(state, id, &answer, at);
    if id == bond::COOL && answer == Answer::So {
        bond::felt_cool(state);
    }
    for old in &mut state.answers {
        if old.list == kind && old.line == id {
            old.stands = false;
        }
    }
    state.told.get_or_insert(at.wall);
    if matches!(answer, Answer::NotSo(_)) {
        to_waiting(state, at);
    }
    let (setup, operation) = (state.setup, state.operation);
    state.answers.push(Answered {
        list: kind,
        version: caution::version(&state.cautions),
        setup,
        operation,
        line: line.id,
        text: line.text,
        answer,
        at: at.wall,
        shown,
        stands: true,
        fell: None,
    });
    called::judge_pace(state, kind, at);
    Ok(())
}

/// Whether a line can be so by what the person has said and done.
fn may_be_so(state: &State, id: &str) -> Result<(), Refusal> {
    if let Some(words) = says::against(state, id) {
        return Err(Refusal::because(words));
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
