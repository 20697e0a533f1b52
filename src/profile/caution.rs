//! A caution out of its table.

use crate::job::caution::Caution;
use crate::job::caution::Phase;
use crate::job::caution::Place;
use crate::plain::near;
use crate::profile::conditions;
use crate::profile::read::Section;
use crate::profile::sources::source;
use crate::session::matrix::ANEW;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::matrix::MATRIX;

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

/// Where a line may be asked again because a cut began: these are not asked while it cuts.
const BEFORE_A_HAND: &[Phase] = &[
    Phase::ToolChange,
    Phase::BeforeStart,
    Phase::ChipClearing,
    Phase::Measuring,
    Phase::Recovery,
];

/// Names of happenings that a profile may say; what is about a list alone changes nothing at the mill.
pub(in crate::profile) fn happenings() -> Vec<&'static str> {
    MATRIX
        .iter()
        .filter(|row| !matches!(row.what, Happening::ListInterrupted | Happening::ListRushed))
        .map(|row| row.id)
        .collect()
}

/// Reports each name that is none of `known`.
pub(in crate::profile) fn check_names(
    s: &Section<'_, '_>,
    key: &'static str,
    names: &[String],
    known: &[&str],
) {
    let allowed = format!("Write names out of: {}.", known.join(", "));
    for name in names.iter().filter(|name| !known.contains(&name.as_str())) {
        let meant =
            near::word(name, known).map_or(String::new(), |near| format!("Did you mean {near}? "));
        s.fault(
            key,
            format!("names \"{name}\", which never happens here"),
            format!("{meant}{allowed}"),
        );
    }
}

fn asked_again_by(s: &Section<'_, '_>, phase: Option<Phase>) -> Option<Vec<String>> {
    const KEY: &str = "asked_again_by";
    let mut known = happenings();
    let steps = ANEW.iter();
    let steps = steps.filter(|row| matches!(row.what, Anew::CutBegan | Anew::GuardMoved));
    known.extend(steps.map(|row| row.id));
    let names = s.texts(KEY)?;
    check_names(s, KEY, &names, &known);
    let at_cut = Anew::CutBegan.row().id;
    if names.iter().any(|name| name == at_cut)
        && phase.is_some_and(|phase| !BEFORE_A_HAND.contains(&phase))
    {
        let allowed = BEFORE_A_HAND.iter().map(|phase| phase.word());
        s.fault(
            KEY,
            format!("names \"{at_cut}\" for a line that must stay answered while it cuts"),
            format!(
                "Name it in the phases {}.",
                allowed.collect::<Vec<_>>().join(", ")
            ),
        );
    }
    Some(names)
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
    let asked_again_by = asked_again_by(s, phase);
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
        asked_again_by: asked_again_by?,
        when: when?,
        source: source?,
        reworded: false,
        checklist: None,
        shop_fact: None,
        left_out: None,
    })
}
