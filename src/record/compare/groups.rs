//! What is compared, in the order of the work.

use std::collections::BTreeMap;

use crate::job::operation::Operation;
use crate::job::reading::Reading;
use crate::job::reading::Verdict;
use crate::job::recipe::Recipe;
use crate::job::typed::plain;
use crate::record::compare::Group;
use crate::record::compare::Row;
use crate::record::compare::fact;
use crate::record::compare::fact::Fact;
use crate::record::compare::flat;
use crate::record::schema::machine;
use crate::record::schema::material;
use crate::record::schema::operation;
use crate::record::schema::setup;
use crate::record::schema::setup::Worked;
use crate::record::schema::tool;
use crate::session::clock::Spent;
use crate::session::event::Answer;
use crate::session::fact::FactState;
use crate::session::matrix::Happening;
use crate::session::state::RackTool;
use crate::session::state::Setup;
use crate::session::state::State;

/// Every group, with and without differences.
pub(in crate::record::compare) fn all(a: &State, b: &State) -> Vec<Group> {
    let mut groups = vec![
        group("job", fact::rows(&job(a), &job(b))),
        group(
            "machine",
            fact::rows(
                &flat::facts(&a.machine, machine::machine),
                &flat::facts(&b.machine, machine::machine),
            ),
        ),
        group(
            "material",
            fact::rows(
                &flat::facts(&a.material, material::material),
                &flat::facts(&b.material, material::material),
            ),
        ),
        group("tools", tools(a, b)),
        group("conditions", fact::rows(&stated(a), &stated(b))),
    ];
    for place in 0..a.setups.len().max(b.setups.len()) {
        groups.push(one_setup(place, a.setups.get(place), b.setups.get(place)));
    }
    let pairs = pairs(a, b);
    groups.push(group("operations", unmatched(&pairs)));
    groups.push(of_operations("recipes", &pairs, recipe));
    groups.push(of_operations("program parts", &pairs, part));
    groups.push(times(a, b, &pairs));
    groups.push(of_operations("tool changes", &pairs, changes));
    groups.push(group("readings", fact::rows(&readings(a), &readings(b))));
    groups.push(of_operations("outcomes", &pairs, outcome));
    groups.push(group("stops", fact::only(&stops(a), &stops(b))));
    groups.push(group("return tests", fact::rows(&tests(a), &tests(b))));
    groups.push(group("backlash", fact::only(&backlash(a), &backlash(b))));
    groups.push(group("heard", fact::only(&heard(a), &heard(b))));
    groups.push(group("doubts", fact::rows(&doubts(a), &doubts(b))));
    groups.push(group("facts of the shop", fact::rows(&shop(a), &shop(b))));
    groups.push(group("answers", fact::rows(&answers(a), &answers(b))));
    groups.push(group("mill left", fact::only(&left(a), &left(b))));
    groups.push(group("notes", fact::only(&notes(a), &notes(b))));
    groups.push(group("wrap up", fact::rows(&wrap_up(a), &wrap_up(b))));
    groups
}

fn group(title: &str, rows: Vec<Row>) -> Group {
    Group {
        title: title.to_owned(),
        rows,
    }
}

fn job(state: &State) -> Vec<Fact> {
    vec![
        Fact::words("title", &state.head.title),
        Fact::words("program version", &state.head.version),
    ]
}

fn stated(state: &State) -> Vec<Fact> {
    let stated = state.stated.iter();
    stated
        .map(|(key, value)| Fact::words(key.replace('_', " "), value.to_string()))
        .collect()
}

/// Tools meet by their profile's name; those left over by their number in the program.
fn tools(a: &State, b: &State) -> Vec<Row> {
    let mut rows = vec![];
    let mut left: Vec<&RackTool> = vec![];
    let mut right: Vec<&RackTool> = b.rack.iter().collect();
    let mut meet = |one: &RackTool, other: &RackTool| {
        let title = &one.tool.title;
        let facts = |rack: &RackTool| {
            let facts = flat::facts(rack, tool::rack_tool);
            at(facts, title)
        };
        rows.extend(fact::rows(&facts(one), &facts(other)));
    };
    for one in &a.rack {
        match right
            .iter()
            .position(|other| other.tool.name == one.tool.name)
        {
            Some(place) => meet(one, right.remove(place)),
            None => left.push(one),
        }
    }
    let alone = |rack: &RackTool| Fact::words("tool", "in the job").at(&rack.tool.title);
    let mut only_left = vec![];
    for one in left {
        let same = |other: &&RackTool| one.number.is_some() && other.number == one.number;
        match right.iter().position(same) {
            Some(place) => meet(one, right.remove(place)),
            None => only_left.push(alone(one)),
        }
    }
    let only_right: Vec<Fact> = right.into_iter().map(alone).collect();
    rows.extend(fact::only(&only_left, &only_right));
    rows
}

fn one_setup(place: usize, a: Option<&Setup>, b: Option<&Setup>) -> Group {
    let facts = |setup: Option<&Setup>| {
        let Some(setup) = setup else { return vec![] };
        let worked = Worked {
            setup: Setup {
                operations: vec![],
                readings: vec![],
                points_seen: vec![],
                let_go: None,
                ..setup.clone()
            },
            operations: vec![],
        };
        let mut facts = flat::facts(&worked, |f, v| setup::worked(f, v, 0));
        let is_free = if setup.let_go.is_some() { "yes" } else { "no" };
        facts.push(Fact::words("part let go", is_free));
        facts
    };
    let title = format!("setup {}", place + 1);
    group(&title, fact::rows(&facts(a), &facts(b)))
}

/// An operation with the state that it belongs to.
#[derive(Clone, Copy)]
struct Placed<'s> {
    state: &'s State,
    setup: usize,
    index: usize,
    operation: &'s Operation,
}

/// Two operations that are compared, or one that only one session has.
struct Pair<'s> {
    name: String,
    a: Option<Placed<'s>>,
    b: Option<Placed<'s>>,
}

fn placed(state: &State, setup: usize) -> Vec<Placed<'_>> {
    let operations = state.setups.get(setup).map(|setup| &setup.operations);
    operations
        .into_iter()
        .flatten()
        .enumerate()
        .map(|(index, operation)| Placed {
            state,
            setup,
            index,
            operation,
        })
        .collect()
}

/// Operations of a setup meet by title, those left over by kind, in their order.
fn pairs<'s>(a: &'s State, b: &'s State) -> Vec<Pair<'s>> {
    let mut pairs = vec![];
    for setup in 0..a.setups.len().max(b.setups.len()) {
        let left = placed(a, setup);
        let mut right: Vec<Option<Placed<'s>>> = placed(b, setup).into_iter().map(Some).collect();
        let mut take = |fits: &dyn Fn(&Operation) -> bool| {
            let fits = |place: &&mut Option<Placed<'s>>| {
                place.as_ref().is_some_and(|other| fits(other.operation))
            };
            right.iter_mut().find(fits).and_then(Option::take)
        };
        let mut met: Vec<Option<Placed<'s>>> = left
            .iter()
            .map(|one| take(&|other| other.title == one.operation.title))
            .collect();
        for (one, met) in left.iter().zip(&mut met) {
            if met.is_none() {
                *met = take(&|other| other.kind == one.operation.kind);
            }
        }
        let with_setup = a.setups.len().max(b.setups.len()) > 1;
        let name = |placed: &Placed<'_>| {
            let title = &placed.operation.title;
            if with_setup {
                format!("{title} (setup {})", setup + 1)
            } else {
                title.clone()
            }
        };
        pairs.extend(left.into_iter().zip(met).map(|(one, other)| Pair {
            name: name(&one),
            a: Some(one),
            b: other,
        }));
        pairs.extend(right.into_iter().flatten().map(|other| Pair {
            name: name(&other),
            a: None,
            b: Some(other),
        }));
    }
    pairs
}

/// Operations that only one session has: one row each, nothing further of them.
fn unmatched(pairs: &[Pair<'_>]) -> Vec<Row> {
    let words =
        |placed: Option<Placed<'_>>| placed.map(|placed| placed.operation.kind.word().to_owned());
    pairs
        .iter()
        .filter(|pair| pair.a.is_none() || pair.b.is_none())
        .map(|pair| Row {
            place: pair.name.clone(),
            what: "operation".to_owned(),
            a: words(pair.a),
            b: words(pair.b),
            change: None,
        })
        .collect()
}

fn of_operations(title: &str, pairs: &[Pair<'_>], facts: fn(Placed<'_>) -> Vec<Fact>) -> Group {
    let rows = pairs.iter().filter_map(|pair| {
        let side = |placed: Placed<'_>| at(facts(placed), &pair.name);
        Some(fact::rows(&side(pair.a?), &side(pair.b?)))
    });
    group(title, rows.flatten().collect())
}

fn at(facts: Vec<Fact>, above: &str) -> Vec<Fact> {
    facts.into_iter().map(|fact| fact.at(above)).collect()
}

fn recipe(placed: Placed<'_>) -> Vec<Fact> {
    let operation = placed.operation;
    let tool = operation.tool.and_then(|tool| placed.state.rack.get(tool));
    let mut facts = vec![
        Fact::words("title", &operation.title),
        Fact::words("kind", operation.kind.word()),
        Fact::words("tool", tool.map_or("none", |rack| &rack.tool.title)),
    ];
    if let Some(recipe) = &operation.recipe {
        facts.extend(flat::facts(recipe, operation::recipe));
    }
    if !operation.remark.is_empty() {
        facts.push(Fact::words("remark", &operation.remark));
    }
    facts
}

fn part(placed: Placed<'_>) -> Vec<Fact> {
    let part = placed.operation.part.as_ref();
    part.map(|part| flat::facts(part, operation::part))
        .unwrap_or_default()
}

fn changes(placed: Placed<'_>) -> Vec<Fact> {
    let changes = placed.operation.changes.iter().enumerate();
    changes
        .flat_map(|(place, change)| {
            let recipe =
                |recipe: &Option<Recipe>| recipe.as_ref().map_or_else(|| "none".to_owned(), short);
            let facts = vec![
                Fact::words("tool out", &change.from),
                Fact::words("tool in", &change.to),
                Fact::time("after cutting", change.after_cutting_s as f64),
                Fact::words("reason", &change.reason),
                Fact::words("recipe before", recipe(&change.before)),
                Fact::words("recipe after", recipe(&change.after)),
            ];
            at(facts, &format!("change {}", place + 1))
        })
        .collect()
}

/// A recipe in one line.
fn short(recipe: &Recipe) -> String {
    format!(
        "{} rpm, {} mm/min, fz {} mm, ap {} mm, ae {} mm",
        plain(recipe.n_rpm),
        plain(recipe.vf_mm_min),
        plain(recipe.fz_mm),
        plain(recipe.ap_mm),
        plain(recipe.ae_mm)
    )
}

fn outcome(placed: Placed<'_>) -> Vec<Fact> {
    let operation = placed.operation;
    let mut facts = vec![Fact::words("progress", operation.progress.word())];
    if let Some(outcome) = &operation.outcome {
        facts.push(Fact::words("rating", format!("{} of 5", outcome.rating)));
        if !outcome.remark.is_empty() {
            facts.push(Fact::words("remark", &outcome.remark));
        }
    }
    facts
}

/// Estimated and actual times, of each operation and together.
fn times(a: &State, b: &State, pairs: &[Pair<'_>]) -> Group {
    let of_one = |placed: Option<Placed<'_>>| {
        let estimate = placed.and_then(|placed| placed.operation.estimate_s);
        let mut facts: Vec<Fact> = estimate
            .into_iter()
            .map(|seconds| Fact::time("estimate", seconds))
            .collect();
        let clock = placed.and_then(|p| Some((p.state, p.state.clocks.get(&(p.setup, p.index))?)));
        let spent = clock.map(|(state, clock)| clock.read(state.last_seen));
        facts.extend(spent_facts(spent.unwrap_or_default()));
        facts
    };
    let mut rows: Vec<Row> = pairs
        .iter()
        .flat_map(|pair| {
            let side = |placed| at(of_one(placed), &pair.name);
            fact::rows(&side(pair.a), &side(pair.b))
        })
        .collect();
    let total = |state: &State| {
        let operations = state.setups.iter().flat_map(|setup| &setup.operations);
        let estimate: f64 = operations.filter_map(|o| o.estimate_s).sum();
        let mut facts = vec![Fact::time("estimate", estimate)];
        let mut sum = Spent::default();
        for clock in state.clocks.values() {
            let one = clock.read(state.last_seen);
            sum.cutting = sum.cutting.saturating_add(one.cutting);
            sum.hands = sum.hands.saturating_add(one.hands);
            sum.waiting = sum.waiting.saturating_add(one.waiting);
            sum.paused = sum.paused.saturating_add(one.paused);
        }
        facts.extend(spent_facts(sum));
        at(facts, "together")
    };
    rows.extend(fact::rows(&total(a), &total(b)));
    group("time", rows)
}

fn spent_facts(spent: Spent) -> Vec<Fact> {
    vec![
        Fact::time("cutting", spent.cutting.as_secs_f64()),
        Fact::time("by hand", spent.hands.as_secs_f64()),
        Fact::time("waiting", spent.waiting.as_secs_f64()),
        Fact::time("paused", spent.paused.as_secs_f64()),
    ]
}

fn readings(state: &State) -> Vec<Fact> {
    let readings = state
        .setups
        .iter()
        .enumerate()
        .flat_map(|(setup, s)| s.readings.iter().map(move |reading| (setup, reading)));
    readings
        .flat_map(|(setup, reading)| {
            let name = if state.setups.len() > 1 {
                format!("{} (setup {})", reading.what, setup + 1)
            } else {
                reading.what.clone()
            };
            at(reading_facts(reading), &name)
        })
        .collect()
}

fn reading_facts(reading: &Reading) -> Vec<Fact> {
    let mut facts = vec![
        Fact::written("nominal", &reading.nominal.text),
        Fact::written("upper", &reading.upper.text),
        Fact::written("lower", &reading.lower.text),
        Fact::words("side", reading.of.word()),
    ];
    let actual = reading.actual.as_ref();
    facts.extend(actual.map(|actual| Fact::written("actual", &actual.text)));
    facts.push(Fact::words(
        "verdict",
        match reading.verdict() {
            Verdict::NotMeasured => "not measured".to_owned(),
            Verdict::Within => "within".to_owned(),
            Verdict::MetalLeft(mm) => format!("{} mm of metal left", plain(mm)),
            Verdict::CutAway(mm) => format!("{} mm too much cut", plain(mm)),
        },
    ));
    facts
}

/// The title of an operation, for what happened there.
fn place_name(state: &State, setup: usize, operation: usize) -> String {
    let operations = state.setups.get(setup).map(|setup| &setup.operations);
    operations
        .and_then(|operations| operations.get(operation))
        .map_or_else(
            || format!("setup {}", setup + 1),
            |operation| operation.title.clone(),
        )
}

fn stops(state: &State) -> Vec<Fact> {
    let stops = state.stops.iter();
    stops
        .map(|stop| {
            let after = Fact::time("", stop.after_cutting_s as f64).text;
            let mut text = format!("{} after {after} of cutting", stop.mishap.advice().title);
            if !stop.words.is_empty() {
                text.push_str(&format!(": {}", stop.words));
            }
            Fact::words("stop", text).at(&place_name(state, stop.setup, stop.operation))
        })
        .collect()
}

fn tests(state: &State) -> Vec<Fact> {
    let tests = state.return_tests.iter().enumerate();
    tests
        .flat_map(|(place, test)| {
            let name = format!("test {}", place + 1);
            let axes = ["X", "Y", "Z"].into_iter().zip(test.error_mm());
            let mut facts: Vec<Fact> = axes
                .filter_map(|(axis, error)| {
                    let error = error?;
                    Some(Fact::written(
                        format!("{axis} error"),
                        format!("{error} mm"),
                    ))
                })
                .collect();
            facts.push(Fact::words(
                "zero kept",
                if test.kept_zero { "yes" } else { "no" },
            ));
            at(facts, &name)
        })
        .collect()
}

fn backlash(state: &State) -> Vec<Fact> {
    let read = state.backlash.iter();
    read.map(|read| Fact::written("backlash", read.touches.words()))
        .collect()
}

fn heard(state: &State) -> Vec<Fact> {
    let heard = state.heard.iter();
    heard
        .map(|mode| Fact::written("sang at", format!("{} Hz", mode.hz)))
        .collect()
}

/// How often each thing happened that makes facts doubtful. Hands and ten minutes are every
/// day's business.
fn doubts(state: &State) -> Vec<Fact> {
    let mut counts: BTreeMap<Happening, u32> = BTreeMap::new();
    for logged in &state.log {
        if !matches!(
            logged.what,
            Happening::HandsIn | Happening::TenMinutesPassed
        ) {
            *counts.entry(logged.what).or_default() += 1;
        }
    }
    counts
        .into_iter()
        .map(|(what, count)| Fact::words(what.row().words, format!("{count} times")))
        .collect()
}

/// Facts of the person's own shop, and how each stands at the end.
fn shop(state: &State) -> Vec<Fact> {
    let said = state.shop.iter();
    said.map(|(key, said)| {
        let text = match &said.state {
            FactState::Redo { what, .. } => format!("redo: {}", what.row().words),
            FactState::Good { value, .. } => match value {
                Some(value) => format!("good: {value}"),
                None => "good".to_owned(),
            },
            FactState::Open => "open".to_owned(),
        };
        let place = match (key.setup, key.operation, key.tool) {
            (Some(setup), Some(operation), _) => place_name(state, setup, operation),
            (Some(setup), None, _) => format!("setup {}", setup + 1),
            // A tool that was exchanged under its number is the same place in the job.
            (None, _, Some(tool)) => match state.rack.get(tool).and_then(|rack| rack.number) {
                Some(number) => format!("tool {number}"),
                None => format!("tool at place {}", tool + 1),
            },
            (None, _, None) => String::new(),
        };
        let statement = Fact::words(&said.statement, text);
        if place.is_empty() {
            statement
        } else {
            statement.at(&place)
        }
    })
    .collect()
}

/// The last answer to each line that was ever asked.
fn answers(state: &State) -> Vec<Fact> {
    let mut last: BTreeMap<(&str, usize, &str), String> = BTreeMap::new();
    for answered in state.answers.iter() {
        let text = match &answered.answer {
            Answer::So => "so".to_owned(),
            Answer::NotSo(words) => format!("not so: {words}"),
        };
        last.insert((answered.list.word(), answered.setup, &answered.line), text);
    }
    last.into_iter()
        .map(|((list, setup, line), text)| {
            Fact::words(line, text).at(&format!("{list} list, setup {}", setup + 1))
        })
        .collect()
}

fn left(state: &State) -> Vec<Fact> {
    let left = state.left_open.iter();
    left.map(|left| Fact::words("left", &left.text)).collect()
}

fn notes(state: &State) -> Vec<Fact> {
    let notes = state.notes.iter();
    notes
        .map(|note| {
            let place = place_name(state, note.setup, note.operation);
            Fact::words("note", &note.text).at(&place)
        })
        .collect()
}

fn wrap_up(state: &State) -> Vec<Fact> {
    let Some(wrap_up) = &state.wrap_up else {
        return vec![Fact::words("closed", "no")];
    };
    vec![
        Fact::words("closed", "yes"),
        Fact::words("learned", &wrap_up.learned),
        Fact::words("job is done", if wrap_up.done { "yes" } else { "no" }),
    ]
}
