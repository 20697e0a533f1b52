//! A caution out of its table.

use crate::job::caution::Caution;
use crate::job::caution::Phase;
use crate::job::caution::Place;
use crate::profile::conditions;
use crate::profile::read::Section;
use crate::profile::sources::source;

/// Longest line of a caution, in characters.
pub const LONGEST_LINE: usize = 70;

/// Answers that a person gives without looking.
const EMPTY_ANSWERS: [&str; 8] = [
    "ok",
    "okay",
    "yes",
    "check",
    "checked",
    "done",
    "set",
    "as required",
];

/// Reports a line that is too long or says several things.
pub fn check_line(s: &Section<'_, '_>, line: &str) {
    let long = line.chars().count();
    if long > LONGEST_LINE {
        s.fault(
            "line",
            format!("is {long} characters long"),
            format!("Write at most {LONGEST_LINE} characters; put the rest into why."),
        );
    }
    if line.matches(';').count() > 1 {
        s.fault(
            "line",
            "has more than one semicolon",
            "Write one check a line; make two cautions of it.",
        );
    }
}

/// Reports an answer that is given without looking.
pub fn check_answer(s: &Section<'_, '_>, answer: &str) {
    if EMPTY_ANSWERS.contains(&answer.to_lowercase().as_str()) {
        s.fault(
            "answer",
            format!("is \"{answer}\""),
            "Write the state that the person sees, such as \"TIGHT\" or \"SHUT\".",
        );
    }
}

/// Reads a table `[[caution]]`; `None` after a fault was reported.
pub fn read(s: &Section<'_, '_>) -> Option<Caution> {
    let id = s.name("id");
    let phase = s.word("phase", &Phase::ALL.map(Phase::word), Phase::from_word);
    let critical = s.truth_or_false("critical");
    let line = s.text("line");
    if let Some(line) = &line {
        check_line(s, line);
    }
    let why = s.text("why");
    let otherwise = s.text_if("otherwise");
    let hazard = s.text("hazard");
    let answer = s.text_if("answer");
    if critical == Some(true) && answer.is_none() && !s.has("answer") {
        s.fault(
            "answer",
            "is missing",
            "A critical caution needs the state to confirm, such as \"TIGHT\".",
        );
    }
    if let Some(answer) = &answer {
        check_answer(s, answer);
    }
    let place = s.word("place", &Place::ALL.map(Place::word), Place::from_word);
    let repeat = s.truth_or_false("repeat");
    let when = s
        .section_if(
            "when",
            "Write a table of conditions, such as { enclosure = \"none\" }.",
        )
        .map_or_else(|| Some(vec![]), |inner| conditions::when(&inner));
    let source = source(s);
    s.finish();
    Some(Caution {
        id: id?,
        phase: phase?,
        critical: critical?,
        line: line?,
        why: why?,
        otherwise,
        hazard: hazard?,
        answer,
        place: place?,
        repeat: repeat?,
        when: when?,
        source: source?,
        reworded: false,
        checklist: None,
        shop_fact: None,
        left_out: None,
    })
}
