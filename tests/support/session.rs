//! A session that can be driven without a screen, from the shipped profiles.

// Each test file uses a part of it.
#![allow(dead_code)]

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::DateTime;
use millside::app::model::Library;
use millside::app::new_job;
use millside::app::new_job::NewJob;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::recipe::Recipe;
use millside::job::reference::FoundBy;
use millside::job::reference::Surface;
use millside::job::reference::ZReference;
use millside::job::reference::Zero;
use millside::job::stock::Edges;
use millside::job::stock::Stock;
use millside::job::stock::Under;
use millside::job::typed::Typed;
use millside::profile::demo;
use millside::profile::library;
use millside::session::Session;
use millside::session::event::Answer;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::gate::Way;
use millside::session::moment::Moment;
use millside::session::state::ProgramCopy;
use millside::session::state::RackTool;
use millside::session::state::Setup;

/// A moment `wall_s` and `mono_s` seconds after the same beginning.
pub fn at(wall_s: i64, mono_s: u64) -> Moment {
    let begun = DateTime::parse_from_rfc3339("2026-03-07T14:00:00+01:00").expect("a date");
    Moment {
        wall: begun + chrono::TimeDelta::seconds(wall_s),
        mono: Duration::from_secs(mono_s),
    }
}

/// A moment at which both clocks agree.
pub fn second(s: u64) -> Moment {
    at(i64::try_from(s).expect("a small number"), s)
}

/// The shipped profiles.
pub fn shipped() -> Library {
    let loaded = library::Library::shipped();
    Library {
        machines: loaded.machines.items().to_vec(),
        materials: loaded.materials.items().to_vec(),
        tools: loaded.tools.items().to_vec(),
        cautions: loaded.cautions.items().to_vec().into(),
        templates: loaded.templates.items().to_vec(),
        emergency_number: None,
        faults: vec![],
        demo: None,
    }
}

/// A session by hand with two tools and three operations, the last one bench work.
pub fn plate() -> Session {
    let library = shipped();
    let tool = |name: &str| RackTool {
        number: None,
        tool: library
            .tools
            .iter()
            .find(|t| t.name == name)
            .expect("a shipped tool")
            .clone(),
        stick_out: None,
    };
    let operation = |title: &str, kind: OperationKind, tool: Option<usize>| Operation {
        title: title.to_owned(),
        kind,
        tool,
        ..Operation::default()
    };
    let job = NewJob {
        title: "star-tracker base plate".to_owned(),
        machine: library.machines[0].clone(),
        material: library.materials[0].clone(),
        rack: vec![tool("em-6-1f"), tool("drill-3.3")],
        setups: vec![Setup {
            title: "top side".to_owned(),
            operations: vec![
                operation("pocket", OperationKind::Pocket, Some(0)),
                operation("drill four holes", OperationKind::DrillThrough, Some(1)),
                operation("deburr", OperationKind::Bench, None),
            ],
            ..Setup::default()
        }],
        program: None,
        stated: demo::demo().expect("the demo loads").states,
        version: "0.0.0".to_owned(),
        job_id: None,
    };
    new_job::session(&library, job, second(0))
}

/// The same with a program that agrees.
pub fn plate_with_program() -> Session {
    must(&plate(), Event::ProgramRead(Box::new(program())), second(0))
}

/// A program without findings.
pub fn program() -> ProgramCopy {
    ProgramCopy {
        file: "plate.nc".to_owned(),
        is_built_in: false,
        sha256: "0".repeat(64),
        bytes: 100,
        stops: vec![],
        warnings: 0,
        notes: 0,
        time_s: Some(60.0),
        lowest_z_mm: None,
        tops: vec![],
    }
}

/// A recipe that stands for one worked out elsewhere.
pub fn recipe() -> Recipe {
    Recipe {
        n_rpm: 9000.0,
        vf_mm_min: 360.0,
        fz_mm: 0.04,
        ap_mm: 0.5,
        ae_mm: 6.0,
        fixed: vec![],
        override_percent: None,
        belt: None,
        binds: None,
        exceeded: vec![],
    }
}

/// The blank of the plate.
pub fn stock() -> Stock {
    Stock {
        x: Typed::mm(120.0),
        y: Typed::mm(90.0),
        thickness: vec![Typed::mm(12.0)],
        edges: Edges::Milled,
        under: Under::Spoil { thickness_mm: 18.0 },
        above_jaws: None,
        part: None,
    }
}

/// Applies an event that must take.
pub fn must(session: &Session, event: Event, at: Moment) -> Session {
    session
        .apply(event.clone(), at)
        .unwrap_or_else(|r| panic!("{event:?}: {}", r.why))
}

/// Answers every open line of a list that one press answers.
pub fn answer_all(session: &Session, kind: ListKind, at: Moment) -> Session {
    answer_some(session, kind, |_| true, at)
}

/// Answers what is to be answered before a hand goes to the spindle, and that the tool is in.
pub fn answer_at_spindle(session: &Session, at: Moment) -> Session {
    answer_some(session, ListKind::Start, |line| line.is_at_spindle, at)
}

fn answer_some(
    session: &Session,
    kind: ListKind,
    which: impl Fn(&gate::Line) -> bool,
    at: Moment,
) -> Session {
    let mut session = session.clone();
    for line in gate::list(session.state(), kind).lines {
        if !line.state.is_open() || line.way != Way::Press || !which(&line) {
            continue;
        }
        session = must(
            &session,
            Event::Answered {
                list: kind,
                line: line.id,
                answer: Answer::So,
                shown: Duration::from_secs(2),
            },
            at,
        );
    }
    session
}

/// Does all that the gate asks for, in the order of the work, where it is not done already.
pub fn ready(session: &Session, at: Moment) -> Session {
    let mut s = session.clone();
    let good = |s: &Session, kind| s.state().fact(kind).is_good();
    use millside::session::fact::FactKind;
    if s.state().gap.is_some() {
        s = must(&s, Event::GapExplained(None), at);
    }
    if !good(&s, FactKind::Stock) {
        s = must(&s, Event::StockMeasured(Box::new(stock())), at);
    }
    if s.state().current_setup().holding.is_none() {
        let holding = Holding {
            pull_n: None,
            rest_after_s: None,
            by: HeldBy::Vice,
            out_of_true: None,
            keep_outs: vec![],
            screws: vec![],
        };
        s = must(&s, Event::HoldingStated(Box::new(holding)), at);
    }
    let program = s.state().current_setup().program.clone();
    if let Some(program) = program.filter(|_| !good(&s, FactKind::Program)) {
        s = must(&s, Event::ProgramRead(Box::new(program)), at);
    }
    s = answer_all(&s, ListKind::Power, at);
    s = answer_all(&s, ListKind::Setup, at);
    s = must(&s, Event::ListEnded(ListKind::Power), at);
    s = must(&s, Event::ListEnded(ListKind::Setup), at);
    s = answer_all(&s, ListKind::Recovery, at);
    if s.state().current_setup().zero.is_none() {
        let zero = Zero {
            point: "5+".parse().expect("a point"),
            found_by: FoundBy::EdgeFinder,
            finder: Typed::mm(4.0),
            offset: "G54".to_owned(),
        };
        s = must(&s, Event::ZeroStated(Box::new(zero)), at);
    }
    if !good(&s, FactKind::XyZero) {
        s = must(&s, Event::XySet, at);
    }
    let is_cut = s
        .state()
        .current_operation()
        .is_some_and(|o| o.kind.is_cut());
    if is_cut {
        let planned = s.state().planned_tool().expect("a planned tool");
        if s.state().in_spindle != Some(planned) {
            s = must(&s, Event::ToolFitted(planned), at);
        }
        if s.state().fact(FactKind::ToolIn).word() == "redo" {
            s = answer_at_spindle(&s, at);
        }
        if s.state().current_setup().raised.is_some() {
            s = must(&s, Event::PutBack(Typed::mm(-11.9)), at);
        }
        if !good(&s, FactKind::ZReference) {
            let reference = ZReference {
                surface: Surface::SpoilBoard,
                height: Typed::mm(-12.0),
                shim: Typed::mm(0.1),
                at: None,
            };
            s = must(&s, Event::ZReferenceSet(Box::new(reference)), at);
        }
        if !good(&s, FactKind::ToolLength) {
            s = must(&s, Event::LengthSet(Typed::mm(-11.9)), at);
        }
        if s.state()
            .current_operation()
            .is_some_and(|o| o.recipe.is_none())
        {
            // Half its rating, for a large cutter: the spindle turns faster than it is set to.
            let state = s.state();
            let rating = state
                .planned_tool()
                .and_then(|place| state.rack[place].tool.speed_rating_rpm());
            let recipe = Recipe {
                n_rpm: rating.map_or(9000.0, |rpm| f64::min(9000.0, rpm / 2.0)),
                ..recipe()
            };
            s = must(&s, Event::RecipeDecided(Box::new(recipe)), at);
        }
        if !good(&s, FactKind::AirRun) {
            s = must(&s, Event::AirRunLeftOut("run last week".to_owned()), at);
        }
    }
    answer_all(&s, ListKind::Start, at)
}

/// How many answers stand, by list.
pub fn answers_by_list(session: &Session) -> BTreeMap<ListKind, usize> {
    let mut counts = BTreeMap::new();
    for answered in session
        .state()
        .answers
        .iter()
        .filter(|answered| answered.stands)
    {
        *counts.entry(answered.list).or_default() += 1;
    }
    counts
}
