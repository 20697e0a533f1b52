//! Two lines of a list that one look answers.

use crate::session::guards;
use crate::session::lines::Line;
use crate::session::state::State;

/// Two cautions that one look answers, in words that say both: (asked, with it, line, state).
///
/// A door that is shut keeps out the hands that the other line is about, a spindle that ran down by
/// itself is at rest, and guards and screen are seen in one look round the machine, and what is at
/// rest is blocked by the same hand, as before a tool is touched. Where the person has worded either anew, both are asked.
const JOINED: &[(&str, &str, &str, &str)] = &[
    (
        "hands-bare-out",
        "door-shut",
        "Gloves off, hands and rag out; door shut, interlock untouched",
        "BARE, OUT, SHUT",
    ),
    (
        "spindle-dead",
        "let-it-stop",
        "Spindle ran down untouched and is at rest; the start is blocked",
        "AT REST, BLOCKED",
    ),
    (
        "guards-on",
        "screen-up",
        "Guards on, without a crack; a screen between the tool and every face",
        "ON, WHOLE, UP",
    ),
    (
        "still-before-gauge",
        "start-blocked",
        "Spindle and axes stand still; the start is blocked while hands are in",
        "STILL, BLOCKED",
    ),
];

fn is_reworded(state: &State, id: &str) -> bool {
    state.cautions.iter().any(|c| c.id == id && c.reworded)
}

/// The caution that an answer to this line is an answer to as well.
pub(in crate::session) fn answered_with(state: &State, line: &str) -> Option<&'static str> {
    JOINED
        .iter()
        .find(|(asked, with, ..)| {
            *asked == line
                && !is_reworded(state, asked)
                && !is_reworded(state, with)
                // With a guard off the two are no longer one look.
                && guards::line(state, asked).is_none()
        })
        .map(|(_, with, ..)| *with)
}

/// Makes one line of each pair that is there.
pub(in crate::session) fn join(state: &State, lines: &mut Vec<Line>) {
    for (asked, with, text, word) in JOINED {
        if answered_with(state, asked) != Some(with) {
            continue;
        }
        let other = lines.iter().position(|line| line.id == *with);
        let Some(other) = other.filter(|_| lines.iter().any(|line| line.id == *asked)) else {
            continue;
        };
        let other = lines.remove(other);
        if let Some(line) = lines.iter_mut().find(|line| line.id == *asked) {
            line.text = (*text).to_owned();
            line.word = (*word).to_owned();
            line.why.push(' ');
            line.why.push_str(&other.why);
        }
    }
}
