//! The person's own checklist of a kind of operation, and cautions left out with a reason.

use crate::job::caution::Caution;
use crate::job::caution::ChecklistPlace;
use crate::job::caution::Phase;
use crate::job::caution::Place;
use crate::job::operation::OperationKind;
use crate::profile::caution;
use crate::profile::read::Section;
use crate::source::Source;
use crate::source::Standing;

/// A checklist has at most this many lines: what is longer is gone through by nobody.
pub(in crate::profile) const MOST_LINES: usize = 9;

struct Line {
    text: String,
    answer: String,
    why: String,
    otherwise: Option<String>,
    place: Place,
}

fn line(s: &Section<'_, '_>) -> Option<Line> {
    let text = s.text("line");
    if let Some(text) = &text {
        caution::check_line(s, text);
    }
    let answer = s.text("answer");
    if let Some(answer) = &answer {
        caution::check_answer(s, answer);
    }
    let why = s.text_if("why").unwrap_or_default();
    let otherwise = s.text_if("otherwise");
    let place = if s.has("place") {
        s.word("place", &Place::ALL.map(Place::word), Place::from_word)
    } else {
        Some(Place::Work)
    };
    s.finish();
    Some(Line {
        text: text?,
        answer: answer?,
        why,
        otherwise,
        place: place?,
    })
}

/// Reads a table `[[checklist]]` into the lines that lists are made of; `None` after a fault was
/// reported.
pub fn read(s: &Section<'_, '_>) -> Option<Vec<Caution>> {
    let name = s.name("name");
    let title = s.text("title");
    let kind = s.word(
        "operation",
        &OperationKind::ALL.map(OperationKind::word),
        OperationKind::from_word,
    );
    let one_at_a_time = s.truth_or_false("one_at_a_time");
    let allowed = "Write at least one table [[checklist.step]] with line and answer.";
    let steps = s.sections("step", allowed)?;
    if steps.is_empty() {
        s.fault("step", "is missing", allowed);
    }
    if steps.len() > MOST_LINES {
        s.fault(
            "step",
            format!("has {} lines", steps.len()),
            format!("Write at most {MOST_LINES}: say which of them goes, or make two checklists."),
        );
    }
    let lines: Vec<Option<Line>> = steps.iter().map(line).collect();
    s.finish();
    let lines: Vec<Line> = lines.into_iter().collect::<Option<_>>()?;
    let (name, title, kind, one_at_a_time) = (name?, title?, kind?, one_at_a_time?);
    let caution = |(order, line): (usize, Line)| Caution {
        id: format!("{name}-{}", order + 1),
        phase: Phase::BeforeStart,
        critical: true,
        line: line.text,
        why: line.why,
        otherwise: line.otherwise,
        hazard: format!("step of {title}"),
        answer: Some(line.answer),
        place: line.place,
        repeat: false,
        asked_again_by: vec![],
        when: vec![],
        source: Source {
            standing: Standing::Own,
            citation: String::new(),
        },
        reworded: false,
        checklist: Some(ChecklistPlace {
            title: title.clone(),
            kind,
            one_at_a_time,
            order,
        }),
        shop_fact: None,
        left_out: None,
    };
    Some(lines.into_iter().enumerate().map(caution).collect())
}

/// Reads a table `[[leave_out]]`: the name of a caution, and the reason.
pub fn leave_out(s: &Section<'_, '_>) -> Option<(String, String)> {
    let name = s.name("caution");
    let reason = s.text("reason");
    if reason
        .as_ref()
        .is_some_and(|reason| reason.trim().is_empty())
    {
        s.fault(
            "reason",
            "is empty",
            "Write why; it stands in every record.",
        );
    }
    s.finish();
    Some((name?, reason?))
}
