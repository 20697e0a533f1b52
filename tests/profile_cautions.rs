//! Which cautions are asked in which situation, and how they are worded.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use millside::job::caution;
use millside::job::caution::Applies;
use millside::job::caution::Caution;
use millside::job::caution::Phase;
use millside::job::conditions::Conditions;
use millside::job::conditions::KEYS;
use millside::job::conditions::Takes;
use millside::job::conditions::Value;
use millside::job::mishap::ADVICE;
use millside::job::operation::OperationKind;
use millside::job::tool::Edge;
use millside::profile::library::Library;
use proptest::prelude::*;
use toml::Table;

const SITUATIONS: &str = include_str!("fixtures/profiles/situations.toml");

static LIBRARY: LazyLock<Library> = LazyLock::new(Library::shipped);

fn text<'a>(situation: &'a Table, key: &str) -> Option<&'a str> {
    situation.get(key).and_then(toml::Value::as_str)
}

fn ids(situation: &Table, key: &str) -> Vec<String> {
    situation[key]
        .as_array()
        .expect("a list of ids")
        .iter()
        .map(|id| id.as_str().expect("an id").to_owned())
        .collect()
}

fn stated(library: &Library, situation: &Table) -> Conditions {
    let mut stated = Conditions::new();
    if let Some(name) = text(situation, "machine") {
        stated.extend(&library.machines.get(name).expect(name).states);
    }
    if let Some(name) = text(situation, "material") {
        library.materials.get(name).expect(name).state(&mut stated);
    }
    if let Some(name) = text(situation, "tool") {
        let tool = library.tools.get(name).expect(name);
        let stick_out = situation
            .get("stick_out_mm")
            .and_then(toml::Value::as_float)
            .unwrap_or(tool.stick_out_mm);
        tool.state(stick_out, &mut stated);
    }
    if let Some(word) = text(situation, "operation") {
        let kind = OperationKind::from_word(word).expect(word);
        stated.word("operation", kind.caution_word());
    }
    if let Some(more) = situation.get("states").and_then(toml::Value::as_table) {
        for (key, value) in more {
            let value = match value {
                toml::Value::String(word) => Value::Word(word.clone()),
                toml::Value::Boolean(truth) => Value::Truth(*truth),
                toml::Value::Float(number) => Value::Number(*number),
                other => panic!("{key} is {other}"),
            };
            stated.state(key, value);
        }
    }
    stated
}

#[test]
fn each_situation_asks_what_it_must_and_not_what_it_must_not() {
    let library = &*LIBRARY;
    let table: Table = SITUATIONS.parse().expect("the fixture is TOML");
    let situations = table["situation"].as_array().expect("situations");
    assert!(situations.len() >= 60, "{}", situations.len());
    let mut wrong = vec![];
    for situation in situations {
        let situation = situation.as_table().expect("a table");
        let name = text(situation, "name").expect("a name");
        assert!(text(situation, "source").is_some_and(|source| !source.is_empty()));
        let phase = Phase::from_word(text(situation, "phase").expect("a phase")).expect("known");
        let list: Vec<&str> =
            caution::select(library.cautions.items(), phase, &stated(library, situation))
                .iter()
                .map(|caution| caution.id.as_str())
                .collect();
        for id in ids(situation, "must") {
            if !list.contains(&id.as_str()) {
                wrong.push(format!("{name}: must ask {id}"));
            }
        }
        for id in ids(situation, "must_not") {
            let known = library.cautions.get(&id).expect("a caution");
            assert_eq!(known.phase, phase, "{name}: {id} could never be asked here");
            if list.contains(&id.as_str()) {
                wrong.push(format!("{name}: must not ask {id}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_conditional_critical_caution_stands_in_a_situation() {
    let library = &*LIBRARY;
    let table: Table = SITUATIONS.parse().expect("the fixture is TOML");
    let mut asked = BTreeSet::new();
    for situation in table["situation"].as_array().expect("situations") {
        asked.extend(ids(situation.as_table().expect("a table"), "must"));
    }
    let missing: Vec<&str> = library
        .cautions
        .items()
        .iter()
        .filter(|caution| caution.critical && !caution.when.is_empty())
        .map(|caution| caution.id.as_str())
        .filter(|id| !asked.contains(*id))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

fn lists(library: &Library, stated: &Conditions) -> Vec<Vec<Caution>> {
    Phase::ALL
        .into_iter()
        .map(|phase| {
            caution::select(library.cautions.items(), phase, stated)
                .into_iter()
                .cloned()
                .collect()
        })
        .collect()
}

/// Any statements at all: some keys stated, each with a value it may take.
fn statements() -> impl Strategy<Value = Conditions> {
    let each: Vec<_> = KEYS
        .iter()
        .map(|key| {
            let value: BoxedStrategy<Value> = match key.takes {
                Takes::OneOf(words) | Takes::Given(words) => {
                    proptest::sample::select(words.to_vec())
                        .prop_map(|word| Value::Word(word.to_owned()))
                        .boxed()
                }
                Takes::Truth => any::<bool>().prop_map(Value::Truth).boxed(),
                Takes::Number => (0.0..120.0).prop_map(Value::Number).boxed(),
            };
            proptest::option::of(value)
        })
        .collect();
    each.prop_map(|values| {
        let mut stated = Conditions::new();
        for (key, value) in KEYS.iter().zip(values) {
            if let Some(value) = value {
                stated.state(key.name, value);
            }
        }
        stated
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_list_is_critical_first_and_never_walks_back(stated in statements()) {
        let library = &*LIBRARY;
        for list in lists(library, &stated) {
            for pair in list.windows(2) {
                prop_assert!(pair[0].critical >= pair[1].critical);
                if pair[0].critical == pair[1].critical {
                    prop_assert!(pair[0].place <= pair[1].place);
                }
            }
        }
        prop_assert_eq!(lists(library, &stated), lists(library, &stated));
    }

    #[test]
    fn no_critical_caution_is_left_out_unless_it_is_ruled_out(stated in statements()) {
        let library = &*LIBRARY;
        let shown: Vec<String> = lists(library, &stated)
            .into_iter()
            .flatten()
            .map(|caution| caution.id)
            .collect();
        for caution in library.cautions.items() {
            let expected = match caution.applies(&stated) {
                Applies::Yes => true,
                Applies::No => false,
                Applies::NotStated(_) => caution.critical,
            };
            prop_assert_eq!(shown.contains(&caution.id), expected, "{}", &caution.id);
        }
    }

    #[test]
    fn stating_more_never_adds_a_line_that_was_ruled_out(stated in statements()) {
        let library = &*LIBRARY;
        for caution in library.cautions.items() {
            if caution.applies(&stated) != Applies::No {
                continue;
            }
            let mut more = stated.clone();
            for key in KEYS {
                if more.get(key.name).is_none() && key.takes == Takes::Truth {
                    more.truth(key.name, true);
                }
            }
            prop_assert_eq!(caution.applies(&more), Applies::No);
        }
    }
}

#[test]
fn the_questions_of_the_setup_are_those_that_nobody_answered() {
    let library = &*LIBRARY;
    let machine = library.machines.get("light-belt-mill").expect("shipped");
    let mut known = machine.states.clone();
    library
        .materials
        .get("al-6061-t6")
        .expect("shipped")
        .state(&mut known);
    let open = caution::unstated(library.cautions.items(), &Phase::ALL, &known);
    assert!(
        open.contains(&"fluid") && open.contains(&"air_gun"),
        "{open:?}"
    );
    assert!(
        !open.contains(&"enclosure") && !open.contains(&"material"),
        "{open:?}"
    );
    assert!(
        !open.contains(&"extraction"),
        "aluminium makes no such dust: {open:?}"
    );
}

// The wording rules follow the published guidance on checklists: Degani and Wiener 1993, Human
// Factors 35(2); typography after Degani 1992, NASA CR-177605.
#[test]
fn every_line_is_short_and_says_one_thing() {
    for caution in LIBRARY.cautions.items() {
        let line = &caution.line;
        assert!(line.chars().count() <= 70, "{line}");
        assert!(line.matches(';').count() <= 1, "{line}");
        assert!(!line.ends_with('.'), "{line}");
        for banned in [
            " safe ",
            "unsafe",
            "safely",
            "please",
            "don't",
            "do not forget",
        ] {
            assert!(
                !format!(" {} ", line.to_lowercase()).contains(banned),
                "{line}"
            );
        }
        for word in line.split(|c: char| !c.is_alphanumeric()) {
            let is_loud = word.len() > 1
                && word.chars().any(char::is_alphabetic)
                && word.chars().all(|c| c.is_uppercase() || c.is_numeric());
            assert!(
                !is_loud
                    || ["PVC", "PTFE", "CO2", "D", "ABC", "FFP2", "FFP3", "N95"].contains(&word),
                "{line}: {word}"
            );
        }
    }
}

#[test]
fn every_critical_answer_names_a_state() {
    for caution in LIBRARY.cautions.items() {
        if !caution.critical {
            continue;
        }
        let answer = caution
            .answer
            .as_deref()
            .expect("a critical caution has an answer");
        let words: Vec<String> = answer
            .split(|c: char| !c.is_alphanumeric())
            .map(str::to_lowercase)
            .collect();
        for banned in [
            "ok", "okay", "yes", "check", "checked", "done", "set", "required",
        ] {
            assert!(
                !words.contains(&banned.to_owned()),
                "{}: {answer}",
                caution.id
            );
        }
        assert!(answer.chars().count() <= 22, "{}: {answer}", caution.id);
    }
}

/// An answer is the state that a person sees, in capitals, and no deed of somebody who reads or writes it down: units keep their own
/// letters. That something is read once more is itself what one line asks.
#[test]
fn every_answer_is_what_a_person_would_say_of_the_thing() {
    for caution in LIBRARY.cautions.items() {
        let Some(answer) = caution.answer.as_deref() else {
            continue;
        };
        let words: Vec<&str> = answer.split_whitespace().collect();
        for word in &words {
            let is_small = word.chars().any(char::is_lowercase);
            assert!(!is_small || *word == "m/min", "{}: {answer}", caution.id);
        }
        let deeds = ["READ", "WRITTEN", "NOTED", "ENTERED"];
        let is_deed = words.iter().any(|word| deeds.contains(word));
        assert!(
            !is_deed || answer == "READ AGAIN",
            "{}: {answer}",
            caution.id
        );
        // Either this or that is no state: one of them is so.
        assert!(!words.contains(&"or"), "{}: {answer}", caution.id);
    }
}

#[test]
fn every_caution_says_why_and_where_it_comes_from() {
    for caution in LIBRARY.cautions.items() {
        assert!(caution.why.chars().count() >= 20, "{}", caution.id);
        assert!(!caution.hazard.is_empty(), "{}", caution.id);
        assert!(!caution.source.to_string().is_empty(), "{}", caution.id);
    }
}

#[test]
fn the_killer_lines_are_asked_at_every_start() {
    let repeated: Vec<String> = LIBRARY
        .cautions
        .items()
        .iter()
        .filter(|caution| caution.repeat)
        .map(|caution| caution.id.clone())
        .collect();
    assert_eq!(repeated, ["hands-bare-out", "work-tight", "keys-off"]);
}

#[test]
fn every_condition_of_a_shipped_caution_uses_words_that_exist() {
    for caution in LIBRARY.cautions.items() {
        for condition in &caution.when {
            let key = millside::job::conditions::key(&condition.key).expect("a known key");
            let millside::job::conditions::Test::OneOf(values) = &condition.test else {
                assert_eq!(key.takes, Takes::Number);
                continue;
            };
            for value in values {
                let fits = match (key.takes, value) {
                    (Takes::OneOf(words) | Takes::Given(words), Value::Word(word)) => {
                        words.contains(&word.as_str())
                    }
                    (Takes::Truth, Value::Truth(_)) => true,
                    _ => false,
                };
                assert!(fits, "{}: {} {value}", caution.id, condition.key);
            }
        }
    }
}

fn ids_of(phase: Phase, stated: &Conditions) -> Vec<String> {
    caution::select(LIBRARY.cautions.items(), phase, stated)
        .into_iter()
        .filter(|caution| caution.critical)
        .map(|caution| caution.id.clone())
        .collect()
}

// Order of the work: 29 CFR 1910.147 and Mich. R 408.12640(a) want the spindle dead before a hand
// goes in; feed follows the spindle (common practice, no source); T.O. 1-1A-9 wants no water first.
#[test]
fn what_must_come_first_comes_first() {
    let mut stated = Conditions::new();
    stated.truth("air_gun", true);
    for (phase, first) in [
        (Phase::ToolChange, "spindle-dead"),
        (Phase::ChipClearing, "stop-first"),
        (Phase::Measuring, "still-before-gauge"),
        (Phase::Setup, "clear-to-home"),
        (Phase::Recovery, "hurt"),
        (Phase::BeforePower, "eyes"),
    ] {
        let list = ids_of(phase, &stated);
        let at = list.iter().position(|id| id == first).expect(first);
        let before = &list[..at];
        let is_early = before
            .iter()
            .all(|id| LIBRARY.cautions.get(id).is_some_and(|c| !c.when.is_empty()));
        assert!(is_early, "{}: {before:?} before {first}", phase.word());
    }
    let start = ids_of(Phase::BeforeStart, &stated);
    assert_eq!(
        start.last().map(String::as_str),
        Some("spindle-before-feed")
    );
}

// WHO manual 2009: five to nine items a section. Every tool on every metal that it may cut.
#[test]
fn a_start_on_an_ordinary_job_has_at_most_nine_critical_lines() {
    for machine in LIBRARY.machines.items() {
        for material in LIBRARY.materials.items() {
            for tool in LIBRARY.tools.items() {
                if tool.edge == Edge::Hss && material.hss.is_none() {
                    continue;
                }
                let mut stated = machine.states.clone();
                material.state(&mut stated);
                tool.state(tool.stick_out_mm, &mut stated);
                stated.word("operation", "other");
                stated.word("work_shape", "block");
                stated.truth("first_run", true);
                // The session counts it by itself; before a first cut no bond is warm.
                stated.truth("bond_warm", false);
                let list = ids_of(Phase::BeforeStart, &stated);
                // First runs of large tools, and of taps in laminate, have up to eleven lines: a
                // list that must be divided, for none may be dropped.
                let is_ordinary =
                    tool.diameter_mm < 25.0 && material.class.caution_class() == "metal";
                let most = if is_ordinary { 9 } else { 11 };
                assert!(
                    (5..=most).contains(&list.len()),
                    "{} {} {}: {list:?}",
                    machine.name,
                    material.name,
                    tool.name
                );
            }
        }
    }
}

// Every kind of stop note selects its own recovery list: the situations of the phase `recovery` say what must be on it.
#[test]
fn every_kind_of_stop_note_stands_in_a_situation() {
    let table: Table = SITUATIONS.parse().expect("the fixture is TOML");
    let tried: BTreeSet<String> = table["situation"]
        .as_array()
        .expect("situations")
        .iter()
        .filter_map(|situation| situation.as_table())
        .filter(|situation| text(situation, "phase") == Some("recovery"))
        .filter_map(|situation| situation.get("states")?.get("event")?.as_str())
        .map(str::to_owned)
        .collect();
    for advice in ADVICE {
        let word = advice.mishap.caution_word();
        assert!(tried.contains(word), "{}: {word}", advice.id);
    }
}
