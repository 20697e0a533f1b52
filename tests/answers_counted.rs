//! How many answers a job takes: five tools in one setup at most forty-one, and what more is asked only for a reason that is counted too.
//!
//! The figure is that of the rule d18 of lists; the reasons stand in DEVELOPERS.md.

mod support;

use std::collections::BTreeMap;
use std::time::Duration;

use millside::job::caution::Caution;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::typed::Typed;
use millside::profile::fault::Origin;
use millside::profile::library::Library;
use millside::profile::library::ProfileFile;
use millside::session::Session;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate::ListKind;
use millside::session::matrix::Kept;
use millside::session::state::RackTool;
use millside::session::state::State;

use support::desk::Desk;
use support::session::answer_all;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::session::shipped;

/// The most that a job of five tools in one setup takes: forty, and one since material and coolant are accepted once a setup, on a line
/// of their own, for they choose what the emergency cards say.
const MOST: usize = 41;

const SMALL: [&str; 5] = [
    "em-6-1f",
    "spot-6-90",
    "drill-3.3",
    "em-4-1f",
    "chamfer-6-90",
];

/// Five operations, each with a tool of its own that is put in by hand.
fn five(machine: usize, names: [&str; 5]) -> State {
    let library = shipped();
    let mut state = plate().state().clone();
    state.machine = library.machines[machine].clone();
    let tool = |name: &&str| RackTool {
        number: None,
        tool: library
            .tools
            .iter()
            .find(|tool| tool.name == **name)
            .expect("a shipped tool")
            .clone(),
        stick_out: None,
    };
    state.rack = names.iter().map(tool).collect();
    state.setups[0].operations = (0..5)
        .map(|tool| Operation {
            title: format!("operation {}", tool + 1),
            kind: OperationKind::Pocket,
            tool: Some(tool),
            ..Operation::default()
        })
        .collect();
    state
}

/// The air run in the order of the work: the first tool is in, its lines at the spindle answered, the list before the cut not begun.
fn run_in_the_air(session: &Session) -> Session {
    let all = ready(session, second(1));
    let at_spindle: Vec<String> = millside::session::gate::list(all.state(), ListKind::Start)
        .lines
        .into_iter()
        .filter(|line| line.is_at_spindle)
        .map(|line| line.id)
        .collect();
    let mut state = all.state().clone();
    let mut answers: Vec<_> = state.answers.iter().cloned().collect();
    answers
        .retain(|answered| answered.list != ListKind::Start || at_spindle.contains(&answered.line));
    state.answers = Kept::of(answers.into_iter().collect());
    state.setups[0].air_left_out = None;
    let mut facts = (*state.facts).clone();
    facts.retain(|key, _| key.kind != FactKind::AirRun);
    state.facts = Kept::of(facts);
    let s = must(
        &Session::new(state),
        Event::AirRunMade(Typed::mm(40.0)),
        second(2),
    );
    must(&s, Event::PutBack(Typed::mm(-11.9)), second(2))
}

/// Every operation through its gate; how often each line was answered.
fn answers(mut session: Session) -> BTreeMap<String, usize> {
    for round in 0..40u64 {
        let now = 10 + round * 100;
        session = ready(&session, second(now));
        if session
            .state()
            .current_operation()
            .is_some_and(|o| o.kind.is_cut())
        {
            let began = Event::CutBegan {
                ago: Duration::ZERO,
            };
            session = must(&session, began, second(now + 1));
        }
        session = must(&session, Event::Finished, second(now + 2));
        if session.state().current_setup().next_operation().is_none() {
            break;
        }
    }
    let mut counts = BTreeMap::new();
    for answered in session.state().answers.iter() {
        *counts.entry(answered.line.clone()).or_default() += 1;
    }
    counts
}

fn sum(counts: &BTreeMap<String, usize>) -> usize {
    counts.values().sum()
}

#[test]
fn five_tools_take_at_most_forty_one_answers_on_every_shipped_machine() {
    for machine in 0..shipped().machines.len() {
        let session = Session::new(five(machine, SMALL));
        let counts = answers(run_in_the_air(&session));
        assert!(sum(&counts) <= MOST, "machine {machine}: {counts:?}");
        assert!(
            sum(&counts) >= 30,
            "machine {machine}: what is not asked any more? {counts:?}"
        );
        // The first tool is changed, too.
        assert_eq!(counts["seat-and-grip"], 5, "machine {machine}");
        // Once a setup, and on a line of its own.
        assert_eq!(counts["material-and-coolant"], 1, "machine {machine}");
    }
}

// Each start without an air run is the first run of its part of the program, above metal that nobody ran over.
#[test]
fn an_air_run_left_out_costs_one_line_a_start_and_nothing_else() {
    for machine in 0..shipped().machines.len() {
        let session = Session::new(five(machine, SMALL));
        let with = answers(run_in_the_air(&session));
        let mut without = answers(session);
        assert_eq!(
            without.remove("first-run-slow"),
            Some(5),
            "machine {machine}"
        );
        assert_eq!(without, with, "machine {machine}");
    }
}

// What a large cutter bears is marked on it and nowhere else; what else its kind asks is asked for that cutter alone.
#[test]
fn a_large_cutter_costs_the_lines_of_its_own_limits() {
    let own = ["rpm-limit", "turn-by-hand", "flycutter", "saw-cutter"];
    for machine in 0..shipped().machines.len() {
        let one = answers(run_in_the_air(&Session::new(five(
            machine,
            [
                "face-25-2",
                "spot-6-90",
                "drill-3.3",
                "em-4-1f",
                "chamfer-6-90",
            ],
        ))));
        assert_eq!(one["rpm-limit"], 1);
        let small = answers(run_in_the_air(&Session::new(five(machine, SMALL))));
        assert_eq!(sum(&one), sum(&small) + 1, "machine {machine}: {one:?}");

        let large = [
            "face-25-2",
            "face-50-4",
            "flycutter-40",
            "face-25-2",
            "saw-63-1",
        ];
        let counts = answers(run_in_the_air(&Session::new(five(machine, large))));
        assert_eq!(counts["rpm-limit"], 5);
        let of_others: usize = counts
            .iter()
            .filter(|(line, _)| !own.contains(&line.as_str()))
            .map(|(_, count)| count)
            .sum();
        assert!(of_others <= MOST, "machine {machine}: {counts:?}");
    }
}

fn with_own_checklist(cautions: &str) -> Vec<Caution> {
    let file = ProfileFile {
        origin: Origin::Own,
        file: "own.toml".to_owned(),
        bytes: Ok(std::borrow::Cow::Owned(cautions.as_bytes().to_vec())),
    };
    let loaded = Library::with_own(&[file]);
    assert!(loaded.faults.is_empty(), "{:?}", loaded.faults);
    loaded.cautions.items().to_vec()
}

/// A job from each template, its lists with a checklist of one's own for pockets.
#[test]
fn a_setup_of_a_template_takes_at_most_forty_answers_and_those_of_its_own_checklist() {
    let own = "format = 1\n[[checklist]]\nname = \"ours\"\ntitle = \"Our pockets\"\noperation = \"pocket\"\n\
               [[checklist.step]]\nline = \"Nozzle points at the tip\"\nanswer = \"AIMED\"\n\
               [[checklist.step]]\nline = \"Brush lies on the bench\"\nanswer = \"THERE\"\n";
    let cautions = with_own_checklist(own);
    let mut asked_own = 0;
    for template in 0..support::desk::library().templates.len() {
        let mut desk = Desk::new(80, 24);
        desk.keys("22\r");
        for _ in 0..template {
            desk.keys("\r");
        }
        desk.keys("2\rstar plate\r");
        for _ in 0..6 {
            desk.key(millside::app::key::Key::Down);
        }
        desk.keys("\r");
        for machine in shipped().machines {
            let mut state = desk.state().clone();
            let starts = |kind| {
                let operations = &state.setups[0].operations;
                operations.iter().filter(|o| o.kind == kind).count()
            };
            let pockets = starts(OperationKind::Pocket);
            let name = (state.head.title.clone(), machine.name.clone());
            state.machine = machine;
            // Machine and shop are known, and every critical line that depends on them.
            state.stated = plate().state().stated.clone();
            state.cautions = cautions.clone().into();
            let counts = answers(Session::new(state));
            let ours: usize = ["ours-1", "ours-2"]
                .iter()
                .filter_map(|line| counts.get(*line))
                .sum();
            assert_eq!(ours, 2 * pockets, "{name:?}: {counts:?}");
            asked_own += ours;
            // A line a start for want of an air run, and one for each time that a hand goes in between the cuts.
            let of = |line: &str| counts.get(line).copied().unwrap_or_default();
            let extra = of("first-run-slow") + of("still-before-gauge");
            assert_eq!(of("start-blocked"), 0, "{name:?}: {counts:?}");
            assert!(sum(&counts) - ours - extra <= MOST, "{name:?}: {counts:?}");
        }
    }
    assert!(asked_own > 0, "no template has a pocket");
}

#[test]
fn guards_and_screen_are_one_look_unless_somebody_words_them_anew() {
    let mut state = plate().state().clone();
    let power = |state: &State| -> Vec<String> {
        let list = millside::session::gate::list(state, ListKind::Power);
        list.lines.into_iter().map(|line| line.id).collect()
    };
    let joined = power(&state);
    assert!(joined.iter().all(|id| id != "screen-up"), "{joined:?}");
    let list = millside::session::gate::list(&state, ListKind::Power);
    let line = list.lines.iter().find(|line| line.id == "guards-on");
    let line = line.expect("guards are asked for");
    assert!(
        line.text.contains("screen") && line.why.contains("height of a face"),
        "{line:?}"
    );
    let mut cautions = state.cautions.to_vec();
    for caution in cautions
        .iter_mut()
        .filter(|caution| caution.id == "screen-up")
    {
        caution.reworded = true;
    }
    state.cautions = cautions.into();
    assert!(power(&state).iter().any(|id| id == "screen-up"));
    let answered = answer_all(&Session::new(state), ListKind::Power, second(5));
    assert!(
        answered
            .state()
            .answers
            .iter()
            .any(|a| a.line == "screen-up")
    );
}
