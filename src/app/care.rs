//! What is known of the machine itself: return tests and backlash readings, in words.

use crate::job::machine::Axis;
use crate::job::zero::Across;
use crate::job::zero::Along;
use crate::job::zero::ZeroPoint;
use crate::measure::backlash;
use crate::measure::return_test;
use crate::session::RETURN_ERROR_ALLOWED_MM;
use crate::session::state::BacklashRead;
use crate::session::state::State;

fn all(state: &State) -> [(&'static str, &Axis); 3] {
    let axes = &state.machine.axes;
    [("X", &axes.x), ("Y", &axes.y), ("Z", &axes.z)]
}

/// What a return test says, axis by axis.
pub(in crate::app) fn axes(state: &State, error_mm: [Option<f64>; 3]) -> Vec<String> {
    all(state)
        .into_iter()
        .zip(error_mm)
        .filter_map(|((name, axis), error)| {
            let allowed = axis.backlash_mm.value + RETURN_ERROR_ALLOWED_MM;
            let read = return_test::read(error?, axis.four_full_steps_mm(), allowed);
            Some(read.words(name))
        })
        .collect()
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

/// How many of each there are, for the row that leads to them; none where there is nothing.
pub(in crate::app) fn summary(state: &State) -> Option<String> {
    let (tests, read) = (state.return_tests.len(), state.backlash.len());
    (tests + read > 0).then(|| format!("care log: return tests {tests}, backlash readings {read}"))
}

/// The care log, newest first.
pub(in crate::app) fn lines(state: &State) -> Vec<String> {
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
        lines.extend(axes(state, test.error_mm));
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
