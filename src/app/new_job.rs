//! What the first session of a job is made of, from a program, a template or by hand; and the next one.

use std::collections::BTreeMap;

use sha2::Digest;
use sha2::Sha256;

use crate::app::checking;
use crate::app::message::ProgramRead;
use crate::app::model::Library;
use crate::check::against::Limits;
use crate::job::conditions::Conditions;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::ProgramPart;
use crate::job::operation::Progress;
use crate::job::template;
use crate::job::template::Template;
use crate::plain;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::program::time::limits::MotionLimits;
use crate::session::Session;
use crate::session::bond::BondHeat;
use crate::session::called;
use crate::session::event::Event;
use crate::session::matrix::Kept;
use crate::session::matrix::answers::Answers;
use crate::session::moment::Moment;
use crate::session::state::Head;
use crate::session::state::RackTool;
use crate::session::state::Setup;
use crate::session::state::State;
use crate::session::state::Step;

/// What a new job is made of, whoever asks for it.
#[derive(Clone, Debug)]
pub struct NewJob {
    /// What the person calls it.
    pub title: String,
    /// The machine.
    pub machine: Machine,
    /// The material.
    pub material: Material,
    /// Tools known from the start, with their numbers in the program.
    pub rack: Vec<RackTool>,
    /// Setups; at least one is made when there is none.
    pub setups: Vec<Setup>,
    /// The program of the first setup.
    pub program: Option<ProgramRead>,
    /// Conditions that the person has stated already.
    pub stated: Conditions,
    /// Version of the program that makes the record.
    pub version: String,
    /// Goes on with this job; a new one when there is none.
    pub job_id: Option<String>,
}

/// Makes the first session of a job.
pub fn session(library: &Library, job: NewJob, at: Moment) -> Session {
    let mut setups = job.setups;
    if setups.is_empty() {
        setups.push(Setup {
            title: "first side".to_owned(),
            ..Setup::default()
        });
    }
    if let (Some(read), Some(first)) = (&job.program, setups.first_mut()) {
        time_on(&mut first.operations, &read.summary, &job.machine);
    }
    let id = name_of(&job.title, at);
    let state = State {
        head: Head {
            job_id: job.job_id.unwrap_or_else(|| id.clone()),
            session_id: id,
            title: job.title,
            begun: at.wall,
            version: job.version,
        },
        machine: job.machine,
        material: job.material,
        rack: job.rack,
        stated: job.stated,
        cautions: library.cautions.clone(),
        setups,
        setup: 0,
        operation: 0,
        step: Step::Program,
        in_spindle: None,
        facts: Kept::of(BTreeMap::new()),
        answers: Kept::of(Answers::default()),
        ended: vec![],
        left_out: called::left_out(&library.cautions, vec![]),
        told: None,
        list_is_full: true,
        hands_were_in: false,
        clocks: BTreeMap::new(),
        log: vec![],
        stops: vec![],
        notes: vec![],
        return_tests: vec![],
        backlash: vec![],
        left_open: vec![],
        bond: BondHeat::default(),
        shop: Kept::of(BTreeMap::new()),
        heard: vec![],
        gap: None,
        asks_later: vec![],
        last_seen: at,
        wrap_up: None,
    };
    let session = Session::begin(state, at);
    match job.program {
        None => session,
        Some(read) => {
            let checked = checking::check(session.state(), read.summary, &[], None);
            let copy = checking::copy(&read.file, read.is_built_in, &checked);
            session
                .apply(Event::ProgramRead(Box::new(copy)), at)
                .expect("reading a program is never refused")
        }
    }
}

/// The next session of a job: what is left to do, and nothing of it taken as known.
///
/// Sizes, holding and zeros come along as they were stated; every fact is open again.
pub fn next_session(before: &State, version: String, at: Moment) -> Session {
    let setups: Vec<Setup> = before
        .setups
        .iter()
        .filter(|setup| {
            setup
                .operations
                .iter()
                .any(|operation| !operation.progress.is_done())
        })
        .map(|setup| Setup {
            operations: setup
                .operations
                .iter()
                .filter(|operation| !operation.progress.is_done())
                .map(|operation| Operation {
                    progress: Progress::Planned,
                    outcome: None,
                    ..operation.clone()
                })
                .collect(),
            raised: None,
            air_left_out: None,
            let_go: None,
            ..setup.clone()
        })
        .collect();
    let mut state = before.clone();
    state.head = Head {
        session_id: name_of(&before.head.title, at),
        begun: at.wall,
        version,
        ..before.head.clone()
    };
    state.setups = setups;
    state.setup = 0;
    state.operation = 0;
    state.step = Step::Program;
    state.in_spindle = None;
    state.facts = Kept::of(BTreeMap::new());
    state.shop = Kept::of(BTreeMap::new());
    state.answers = Kept::of(Answers::default());
    state.ended.clear();
    state.list_is_full = true;
    state.hands_were_in = false;
    state.clocks.clear();
    state.log.clear();
    state.stops.clear();
    state.notes.clear();
    state.return_tests.clear();
    state.gap = None;
    state.asks_later.clear();
    state.last_seen = at;
    state.wrap_up = None;
    Session::begin(state, at)
}

/// A name that no other session has: date, time and a digest of what is being made.
fn name_of(title: &str, at: Moment) -> String {
    let mut digest = Sha256::new();
    digest.update(title.as_bytes());
    digest.update(
        at.wall
            .timestamp_nanos_opt()
            .unwrap_or_default()
            .to_le_bytes(),
    );
    digest.update(at.mono.as_nanos().to_le_bytes());
    let bytes = digest.finalize();
    format!(
        "{}-{:02x}{:02x}{:02x}",
        at.wall.format("%Y%m%d-%H%M%S"),
        bytes[0],
        bytes[1],
        bytes[2]
    )
}

/// The operations of a program, one for each section that cuts.
///
/// `tool_of` gives the place in the rack of a tool number, where it is known.
pub fn operations(summary: &Summary, tool_of: &dyn Fn(u32) -> Option<usize>) -> Vec<Operation> {
    summary
        .sections
        .iter()
        .enumerate()
        .filter(|(_, section)| section.has_cut() || section.holes > 0)
        .map(|(place, section)| operation(place, section, tool_of))
        .collect()
}

/// Times the operations that run sections of a program on a machine, where the program is short enough to be kept.
pub fn time_on(operations: &mut [Operation], summary: &Summary, machine: &Machine) {
    let Some(kept) = &summary.kept else { return };
    let sections: Vec<[u64; 2]> = summary
        .sections
        .iter()
        .map(|section| [section.first_line, section.last_line])
        .collect();
    let limits = Limits::of(machine).motion();
    let halved = MotionLimits {
        feed_override: 0.5,
        ..limits.clone()
    };
    let seconds = kept.section_seconds(&sections, limits);
    // Half the feed takes twice the time of what the override stretches: what comes on top is once that time.
    let at_half = kept.section_seconds(&sections, halved);
    for operation in operations {
        let Some(part) = &operation.part else {
            continue;
        };
        let lines = [part.first_line, part.last_line];
        let place = sections.iter().position(|section| *section == lines);
        if let Some(place) = place
            && let Some(seconds) = seconds.get(place)
        {
            operation.estimate_s = Some(*seconds);
            operation.feed_s = at_half.get(place).map(|slow| (slow - seconds).max(0.0));
            operation.is_timed = true;
        }
    }
}

pub(super) fn operation(
    place: usize,
    section: &Section,
    tool_of: &dyn Fn(u32) -> Option<usize>,
) -> Operation {
    let title = match section.title.trim() {
        "" => format!("section {}", place + 1),
        title => plain::cut(&plain::text(title), 40),
    };
    let remark = match section.tool_comment.trim() {
        "" => String::new(),
        comment => format!("G-code comment: {}", plain::text(comment)),
    };
    let feeds = section.feeds.iter().map(|feed| feed.feed_mm_min).collect();
    Operation {
        kind: kind_of(&title, section),
        title,
        tool: section.tool.and_then(tool_of),
        part: Some(ProgramPart {
            first_line: section.first_line,
            last_line: section.last_line,
            tool_number: section.tool,
            s_rpm: section.s_rpm,
            feeds_mm_min: feeds,
            lowest_z_mm: section.lowest_z_mm,
        }),
        remark,
        feed_s: section
            .estimated_s
            .is_none()
            .then_some(section.feed_ideal_s),
        estimate_s: Some(
            section
                .estimated_s
                .unwrap_or(section.feed_ideal_s + section.dwell_s),
        ),
        ..Operation::default()
    }
}

/// A first guess from words and cycles; the person sees it and can change it.
fn kind_of(title: &str, section: &Section) -> OperationKind {
    let title = title.to_lowercase();
    let says = |word: &str| title.contains(word);
    if says("spot") {
        OperationKind::Spot
    } else if says("thread mill") {
        OperationKind::ThreadMill
    } else if says("tap") {
        OperationKind::Tap
    } else if says("ream") {
        OperationKind::Ream
    } else if says("drill") || section.holes > 0 {
        OperationKind::Drill
    } else if says("face") {
        OperationKind::Face
    } else if says("pocket") || says("bore") || says("seat") {
        OperationKind::Pocket
    } else if says("slot") {
        OperationKind::Slot
    } else if says("chamfer") || says("deburr") {
        OperationKind::Chamfer
    } else if says("profile") || says("outside") || says("contour") {
        OperationKind::Profile
    } else {
        OperationKind::Mill
    }
}

/// Setups and operations of a template, and the tools that it names.
pub fn from_template(library: &Library, template: &Template) -> (Vec<Setup>, Vec<RackTool>) {
    let mut rack: Vec<RackTool> = vec![];
    let mut setups = vec![];
    for planned in &template.setups {
        let mut operations = vec![];
        for step in &planned.steps {
            operations.push(match step {
                template::Step::Operation(step) => {
                    let named = step
                        .tool
                        .as_deref()
                        .and_then(|name| library.tools.iter().find(|tool| tool.name == name));
                    let tool = named.map(|tool| {
                        rack.iter()
                            .position(|r| r.tool.name == tool.name)
                            .unwrap_or_else(|| {
                                rack.push(RackTool {
                                    number: None,
                                    tool: tool.clone(),
                                    stick_out: None,
                                });
                                rack.len() - 1
                            })
                    });
                    Operation {
                        title: step.title.clone(),
                        kind: step.kind,
                        tool,
                        remark: step.note.clone(),
                        ..Operation::default()
                    }
                }
                template::Step::Measure(what) => Operation {
                    title: format!("measure {what}"),
                    kind: OperationKind::Bench,
                    ..Operation::default()
                },
            });
        }
        // Each is a sentence of its own, with or without its full stop.
        let plan: String = [&planned.turn, &planned.hold, &planned.zero_note]
            .into_iter()
            .map(|words| words.trim().trim_end_matches('.'))
            .filter(|words| !words.is_empty())
            .map(|words| format!("{words}. "))
            .collect();
        setups.push(Setup {
            title: planned.title.clone(),
            plan: format!("{plan}Zero {}", planned.zero.words()),
            operations,
            ..Setup::default()
        });
    }
    (setups, rack)
}

/// One setup with the operations of a program.
pub fn program_setup(summary: &Summary, rack: &[RackTool]) -> Setup {
    let tool_of = |number: u32| rack.iter().position(|r| r.number == Some(number));
    Setup {
        title: "first side".to_owned(),
        operations: operations(summary, &tool_of),
        ..Setup::default()
    }
}
