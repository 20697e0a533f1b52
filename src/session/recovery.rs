//! What is asked after a stop: the lines of all notes that no list was gone through for, whatever operation they were made in.

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::TimeDelta;

use crate::job::caution;
use crate::job::caution::Caution;
use crate::job::caution::Phase as Pause;
use crate::job::mishap::Mishap;
use crate::session::gate;
use crate::session::known;
use crate::session::lines::ListKind;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::state::Logged;
use crate::session::state::State;
use crate::session::state::StopNote;

/// Lines that say more than another one: where both are asked, the first alone is.
const SAYS_MORE: &[(&str, &str)] = &[
    ("hurt", "nobody-hurt"),
    ("power-back", "position-after-stop"),
];

fn last_end(state: &State) -> Option<DateTime<FixedOffset>> {
    let ended = state.ended.iter();
    let ended = ended.filter(|ended| ended.list == ListKind::Recovery);
    ended.map(|ended| ended.at).max()
}

/// The time of a note that is made now: after the list that was ended before it, also where the computer's clock was put back.
pub(in crate::session) fn note_at(state: &State, at: Moment) -> DateTime<FixedOffset> {
    match last_end(state) {
        Some(end) if end >= at.wall => end + TimeDelta::seconds(1),
        _ => at.wall,
    }
}

/// The time of the end of a list that is ended now: never before a note that it ends.
pub(in crate::session) fn end_at(state: &State, at: Moment) -> DateTime<FixedOffset> {
    let last = state.stops.iter().map(|stop| stop.at).max();
    last.map_or(at.wall, |last| last.max(at.wall))
}

/// The stop notes since the last list after a stop was gone through to its end, oldest first.
pub fn pending(state: &State) -> impl Iterator<Item = &StopNote> {
    let ended = last_end(state);
    let stops = state.stops.iter();
    stops.filter(move |stop| ended.is_none_or(|ended| stop.at > ended))
}

/// Whether the emergency stop was pressed in a stop whose lines are open: it was said, or what happened leaves no other key.
pub(in crate::session) fn was_emergency(state: &State) -> bool {
    let Some(first) = pending(state).map(|stop| stop.at).min() else {
        return false;
    };
    let leaves_none =
        |stop: &StopNote| matches!(stop.mishap, Mishap::Crash | Mishap::Fire | Mishap::Injury);
    let said = |logged: &Logged| logged.what == Happening::EmergencyStop && logged.at >= first;
    pending(state).any(leaves_none) || state.log.iter().any(said)
}

fn of(state: &State, mishap: Mishap) -> Vec<&Caution> {
    let mut known = known::conditions(state);
    known.word("event", mishap.caution_word());
    let mut asked = caution::select(&state.cautions, Pause::Recovery, &known);
    if mishap == Mishap::ChipsPacked {
        // A hand is about to go in for them.
        let chips = caution::select(&state.cautions, Pause::ChipClearing, &known);
        asked.extend(chips.into_iter().filter(|caution| caution.critical));
    }
    let kind = state.current_operation().map(|operation| operation.kind);
    asked.retain(|caution| {
        let checklist = caution.checklist.as_ref();
        checklist.is_none_or(|place| Some(place.kind) == kind)
    });
    asked
}

/// What all open notes ask, no caution twice, in the order in which one note would ask it: the person first, then fire.
pub(in crate::session) fn cautions(state: &State) -> Vec<&Caution> {
    let mut all: Vec<&Caution> = vec![];
    for stop in pending(state) {
        for caution in of(state, stop.mishap) {
            if !all.iter().any(|other| other.id == caution.id) {
                all.push(caution);
            }
        }
    }
    for (more, less) in SAYS_MORE {
        let is_there = |id: &str| all.iter().any(|c| c.id == id && !c.reworded);
        if is_there(more) && is_there(less) {
            all.retain(|caution| caution.id != *less);
        }
    }
    let place = |caution: &Caution| {
        state
            .cautions
            .iter()
            .position(|other| other.id == caution.id)
    };
    all.sort_by_key(|caution| {
        let order = caution.checklist.as_ref().map(|list| list.order);
        (!caution.critical, order, caution.place, place(caution))
    });
    all
}

/// A note asks its lines anew: what was answered to them before it was about another stop.
pub(in crate::session) fn ask(state: &mut State, mishap: Mishap) {
    let ids: Vec<String> = of(state, mishap).iter().map(|c| c.id.clone()).collect();
    matrix::anew(state, Anew::StopNoted, &ids);
}

/// What is about a person or a fire: before these are answered no hand goes in, not even to take the part out.
const PERSON_OR_FIRE: &[&str] = &[
    "hurt",
    "nobody-hurt",
    "metal-fire",
    "light-metal-fire",
    "oil-fire",
];

/// Whether a line about a person or a fire is open.
pub(in crate::session) fn person_or_fire_waits(state: &State) -> bool {
    let lines = gate::list(state, ListKind::Recovery).lines;
    let mut open = lines.iter().filter(|line| line.state.is_open());
    open.any(|line| PERSON_OR_FIRE.contains(&line.id.as_str()))
}

/// How many lines after a stop are open.
pub fn open(state: &State) -> usize {
    gate::list(state, ListKind::Recovery).open()
}
