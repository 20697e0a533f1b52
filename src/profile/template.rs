//! A job template out of its table.

use crate::job::holding::HeldBy;
use crate::job::operation::OperationKind;
use crate::job::template::PlannedOperation;
use crate::job::template::PlannedSetup;
use crate::job::template::Step;
use crate::job::template::Template;
use crate::job::zero::ZeroPoint;
use crate::profile::read::Section;

fn step(s: &Section<'_, '_>) -> Option<Step> {
    if let Some(what) = s.text_if("measure") {
        s.finish();
        return Some(Step::Measure(what));
    }
    let title = s.text("title");
    let kind = s.word(
        "kind",
        &OperationKind::ALL.map(OperationKind::word),
        OperationKind::from_word,
    );
    let tool = s.text_if("tool");
    let note = s.text_if("note").unwrap_or_default();
    s.finish();
    Some(Step::Operation(PlannedOperation {
        title: title?,
        kind: kind?,
        tool,
        note,
    }))
}

/// Reads a zero point of a key.
pub fn zero(s: &Section<'_, '_>) -> Option<ZeroPoint> {
    let text = s.text("zero")?;
    match text.parse() {
        Ok(point) => Some(point),
        Err(_) => {
            s.fault(
                "zero",
                format!("is \"{text}\""),
                "Write a zero point such as left-front-top or 1+ (keypad seen from above).",
            );
            None
        }
    }
}

fn setup(s: &Section<'_, '_>) -> Option<PlannedSetup> {
    let title = s.text("title");
    let turn = s.text_if("turn").unwrap_or_default();
    let held_by = s.word("held_by", &HeldBy::ALL.map(HeldBy::word), HeldBy::from_word);
    let hold = s.text("hold");
    let zero = zero(s);
    let zero_note = s.text_if("zero_note").unwrap_or_default();
    let allowed = "Write at least one table [[template.setup.step]].";
    let steps: Option<Vec<Step>> = s
        .sections("step", allowed)
        .map(|steps| steps.iter().map(step).collect::<Vec<_>>())
        .and_then(|steps| steps.into_iter().collect());
    if steps.as_ref().is_some_and(Vec::is_empty) {
        s.fault("step", "is missing", allowed);
    }
    s.finish();
    Some(PlannedSetup {
        title: title?,
        turn,
        held_by: held_by?,
        hold: hold?,
        zero: zero?,
        zero_note,
        steps: steps?,
    })
}

/// Reads a table `[[template]]`; `None` after a fault was reported.
pub fn read(s: &Section<'_, '_>) -> Option<Template> {
    let name = s.name("name");
    let title = s.text("title");
    let about = s.text("about");
    let allowed = "Write at least one table [[template.setup]].";
    let setups: Option<Vec<PlannedSetup>> = s
        .sections("setup", allowed)
        .map(|setups| setups.iter().map(setup).collect::<Vec<_>>())
        .and_then(|setups| setups.into_iter().collect());
    if setups.as_ref().is_some_and(Vec::is_empty) {
        s.fault("setup", "is missing", allowed);
    }
    s.finish();
    Some(Template {
        name: name?,
        title: title?,
        about: about?,
        setups: setups?,
    })
}
