//! What is known of the machine itself: return tests and backlash readings, in words.

use crate::app::checking;
use crate::app::model::CareKnown;
use crate::app::model::Model;
use crate::job::machine::Axis;
use crate::job::stalled::Stalled;
use crate::job::zero::Across;
use crate::job::zero::Along;
use crate::job::zero::ZeroPoint;
use crate::measure::backlash;
use crate::measure::lost_steps;
use crate::measure::lost_steps::Pattern;
use crate::session;
use crate::session::RETURN_ERROR_ALLOWED_MM;
use crate::session::care_log;
use crate::session::care_log::Entry;
use crate::session::care_log::Kind;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::matrix::Happening;
use crate::session::state::BacklashRead;
use crate::session::state::State;

fn all(state: &State) -> [(&'static str, &Axis); 3] {
    let axes = &state.machine.axes;
    [("X", &axes.x), ("Y", &axes.y), ("Z", &axes.z)]
}

/// What a return test says, axis by axis.
pub(in crate::app) fn axes(state: &State, touches_mm: &[Vec<f64>; 3]) -> Vec<String> {
    all(state)
        .into_iter()
        .zip(touches_mm)
        .filter_map(|((name, axis), touches)| {
            let allowed = RETURN_ERROR_ALLOWED_MM;
            let read = lost_steps::read(touches, axis.four_full_steps_mm(), allowed)?;
            let backlash = axis.backlash_mm.value;
            let is_backlash = matches!(read.pattern, Pattern::Slip | Pattern::CannotTell)
                && read.error_mm.abs() > allowed
                && (read.error_mm.abs() - backlash).abs() <= allowed + 1e-9;
            let also = if is_backlash {
                "; or the backlash: was the last approach from the zero's side?"
            } else {
                ""
            };
            Some(format!("{}{also}", read.words(name)))
        })
        .collect()
}

/// What a return test may make good again, in short words.
const MAY_RETURN: [(FactKind, &str); 4] = [
    (FactKind::Position, "machine position"),
    (FactKind::XyZero, "X Y"),
    (FactKind::ZReference, "Z reference"),
    (FactKind::ToolLength, "Z with this tool"),
];

/// What a return test says: axis by axis, then which of position, X Y and Z is good again, and which is to be redone all the same, and
/// why.
pub(in crate::app) fn verdict(
    before: &State,
    now: &State,
    touches_mm: &[Vec<f64>; 3],
) -> Vec<String> {
    let mut lines = axes(before, touches_mm);
    let is_found = now.return_tests.last().is_some_and(|test| test.kept_zero);
    let stalled = session::stalled(before);
    lines.push(if is_found {
        "X and Y were found where they were.".to_owned()
    } else if let Some(words) = stalled.map(Stalled::what_to_do) {
        words.to_owned()
    } else {
        "X and Y are not where they were: set them again.".to_owned()
    });
    let mut again = vec![];
    let mut stays: Vec<(String, Vec<&str>)> = vec![];
    for (kind, name) in MAY_RETURN {
        let FactState::Redo { what, .. } = before.fact(kind) else {
            continue;
        };
        if now.fact(kind).is_good() {
            again.push(name);
            continue;
        }
        let is_height = matches!(kind, FactKind::ZReference | FactKind::ToolLength);
        let is_of_stall = what == Happening::AxisBound && stalled.is_some();
        let why = if !is_of_stall && !what.row().return_test_may_restore {
            format!(
                "{}, and a return test keeps nothing after that",
                what.row().words
            )
        } else if is_of_stall {
            "it stalled, or was not found where it was".to_owned()
        } else if is_height && !is_found {
            "the position is lost with X or Y".to_owned()
        } else if is_height && touches_mm[2].is_empty() {
            "Z was not tested".to_owned()
        } else if is_height && before.current_setup().raised.is_some() {
            "Z is raised for the air run".to_owned()
        } else if is_height {
            "Z is off by too much, or what it rests on stays redo".to_owned()
        } else {
            "X or Y is off by too much, or its touches scatter".to_owned()
        };
        match stays.iter_mut().find(|(other, _)| *other == why) {
            Some((_, names)) => names.push(name),
            None => stays.push((why, vec![name])),
        }
    }
    if !again.is_empty() {
        lines.push(format!("Good again: {}.", again.join(", ")));
    } else if is_found && stays.is_empty() {
        lines.push("They were good and stay so.".to_owned());
    }
    lines.extend(
        stays
            .into_iter()
            .map(|(why, names)| format!("Still redo: {}: {why}.", names.join(", "))),
    );
    lines
}

/// From which side X and Y are come on to, as when the zero was set.
pub fn last_approach(point: ZeroPoint) -> &'static str {
    match (point.across, point.along) {
        (Across::Right, Along::Back) => "last in X from the right, in Y from the back",
        (Across::Right, _) => "last in X from the right, in Y from the front",
        (_, Along::Back) => "last in X from the left, in Y from the back",
        _ => "last in X from the left, in Y from the front",
    }
}

/// A backlash reading: its sum, and how it stands to the profile.
pub(in crate::app) fn backlash(state: &State, read: &BacklashRead) -> [String; 2] {
    let axis = match read.touches.axis {
        backlash::Axis::X => &state.machine.axes.x,
        backlash::Axis::Y => &state.machine.axes.y,
    };
    [
        read.touches.words(),
        read.touches.against(axis.backlash_mm.value),
    ]
}

/// The care log was read, or added to.
pub(in crate::app) fn known(model: &mut Model, machine: &str, read: Result<Vec<Entry>, String>) {
    let Some(work) = &mut model.work else { return };
    if work.session.state().machine.name != machine {
        return;
    }
    match read {
        Ok(entries) => {
            work.care = CareKnown {
                entries,
                fault: None,
            };
            if let Some(checked) = &mut work.checked {
                checking::look_at_recipes(checked, work.session.state(), &work.care.entries);
            }
        }
        Err(why) => {
            work.care.fault = Some(why.clone());
            model.refuse(format!("care log not kept: {why}"));
        }
    }
}

/// The log across jobs, what the open session adds to it included, oldest first.
pub fn log(model: &Model, state: &State) -> Vec<Entry> {
    care_log::with_session(model.care_entries(), state)
}

/// How many of each there are, for the row that leads to them; none where there is nothing.
pub(in crate::app) fn summary(model: &Model, state: &State) -> Option<String> {
    if let Some(why) = model
        .work
        .as_ref()
        .and_then(|work| work.care.fault.as_ref())
    {
        return Some(format!("care log NOT KEPT: {why}"));
    }
    let log = log(model, state);
    let count = |is_meant: fn(&Kind) -> bool| log.iter().filter(|e| is_meant(&e.kind)).count();
    let tests = count(|kind| matches!(kind, Kind::ReturnTest { .. }));
    let read = count(|kind| matches!(kind, Kind::Backlash { .. }));
    let happened = count(|kind| matches!(kind, Kind::Happened(_)));
    let runs = count(|kind| matches!(kind, Kind::Calibrated(_)));
    let mut text = format!("care log: return tests {tests}, backlash readings {read}");
    if happened > 0 {
        text.push_str(&format!(", crashes and lost positions {happened}"));
    }
    (tests + read + happened + runs > 0).then_some(text)
}

/// The care log: how it went with each axis, then this session in full and the others in a line
/// each, newest first.
pub(in crate::app) fn lines(model: &Model, state: &State) -> Vec<String> {
    let mut all = vec![];
    if let Some(why) = model
        .work
        .as_ref()
        .and_then(|work| work.care.fault.as_ref())
    {
        all.push(format!("NOT KEPT beyond this session: {why}"));
    }
    let log = log(model, state);
    all.extend(care_log::trend(&log));
    all.extend(of_session(state));
    let others = log
        .iter()
        .rev()
        .filter(|entry| {
            let is_in_full = matches!(entry.kind, Kind::ReturnTest { .. } | Kind::Backlash { .. });
            entry.session != state.head.session_id || !is_in_full
        })
        .filter_map(care_log::line);
    all.extend(others);
    all
}

/// What the session itself read, newest first.
fn of_session(state: &State) -> Vec<String> {
    let tests = state.return_tests.iter().map(|test| {
        let kept = if test.kept_zero {
            "the zero was found where it was"
        } else {
            "the zero was not where it was"
        };
        let mut lines = vec![format!(
            "{} return test: {kept}",
            test.at.format("%d %b %H:%M")
        )];
        lines.extend(axes(state, &test.touches_mm));
        (test.at, lines)
    });
    let read = state.backlash.iter().map(|read| {
        let [sum, against] = backlash(state, read);
        let at = read.at.format("%d %b %H:%M");
        (read.at, vec![format!("{at} {sum}"), against])
    });
    let mut all: Vec<_> = tests.chain(read).collect();
    all.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    all.into_iter().flat_map(|(_, lines)| lines).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_approach_is_from_the_side_that_was_touched() {
        let from = |point: &str| last_approach(point.parse().unwrap());
        assert!(from("left-front-top").ends_with("X from the left, in Y from the front"));
        assert!(from("right-back-top").ends_with("X from the right, in Y from the back"));
        assert!(from("left-back-top").ends_with("X from the left, in Y from the back"));
        // In the middle the touch sheet begins at the left and the front edge.
        assert!(from("5+").ends_with("X from the left, in Y from the front"));
    }
}
