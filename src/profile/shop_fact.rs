//! A fact of the person's own shop out of its table.

use crate::job::caution::Caution;
use crate::job::caution::Phase;
use crate::job::caution::Place;
use crate::job::shop_fact::Reach;
use crate::job::shop_fact::ShopFact;
use crate::profile::caution;
use crate::profile::caution::LONGEST_LINE;
use crate::profile::caution::check_answer;
use crate::profile::read::Section;
use crate::session::fact::FactKind;
use crate::session::state::Step;
use crate::source::Source;
use crate::source::Standing;

fn withdrawn_by(s: &Section<'_, '_>) -> Option<Vec<String>> {
    const KEY: &str = "withdrawn_by";
    let known = caution::happenings();
    let mut names = s.texts(KEY)?;
    if names.is_empty() {
        let wrong = if s.has(KEY) { "is empty" } else { "is missing" };
        let more = "A fact that nothing withdraws is never asked again.";
        let allowed = format!("Write names out of: {}.", known.join(", "));
        s.fault(KEY, wrong, format!("{more} {allowed}"));
    }
    caution::check_names(s, KEY, &names, &known);
    names.dedup();
    Some(names)
}

/// Reads a table `[[fact]]`; `None` after a fault was reported.
///
/// It becomes a caution that no phase asks: the session makes a line of it.
pub fn read(s: &Section<'_, '_>) -> Option<Caution> {
    let id = s.name("id");
    if id.as_deref().and_then(FactKind::from_id).is_some() {
        let allowed = "Give yours another name; the program's own facts stay as they are.";
        s.fault("id", "is the name of a fact of the program", allowed);
    }
    let statement = s.text("statement");
    let long = statement.as_ref().map_or(0, |text| text.chars().count());
    if long > LONGEST_LINE {
        s.fault(
            "statement",
            format!("is {long} characters long"),
            format!("Write at most {LONGEST_LINE} characters; put the rest into why."),
        );
    }
    let answer = s.text("answer");
    if let Some(answer) = &answer {
        check_answer(s, answer);
    }
    let why = s.text_if("why").unwrap_or_default();
    let reach = s.word("scope", &Reach::ALL.map(Reach::word), Reach::from_word);
    let step = s.word("step", &Step::RAIL.map(Step::word), Step::from_word);
    let withdrawn_by = withdrawn_by(s);
    let needed = s.truth("needed");
    let with_line = s.has("line").then(|| s.name("line"));
    s.finish();
    let with_line = match with_line {
        Some(name) => Some(name?),
        None => None,
    };
    let statement = statement?;
    Some(Caution {
        id: id?,
        phase: Phase::BeforeStart,
        critical: true,
        otherwise: None,
        hazard: "fact of the shop".to_owned(),
        line: statement,
        why,
        answer: Some(answer?),
        place: Place::Work,
        repeat: false,
        asked_again_by: vec![],
        when: vec![],
        source: Source {
            standing: Standing::Own,
            citation: String::new(),
        },
        reworded: false,
        checklist: None,
        shop_fact: Some(ShopFact {
            reach: reach?,
            step: step?.word().to_owned(),
            withdrawn_by: withdrawn_by?,
            needed: needed?,
            with_line,
        }),
        left_out: None,
    })
}
