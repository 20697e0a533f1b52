//! A new job: from a program, a template, by hand, or the demo.

use std::collections::BTreeMap;

use sha2::Digest;
use sha2::Sha256;

use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::field;
use crate::app::field::Field;
use crate::app::message::ProgramRead;
use crate::app::model::Begin;
use crate::app::model::DemoJob;
use crate::app::model::Library;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::model::Way;
use crate::app::page;
use crate::job::conditions::Conditions;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::ProgramPart;
use crate::job::operation::Progress;
use crate::job::stock::Under;
use crate::job::template;
use crate::job::template::Template;
use crate::job::typed;
use crate::job::typed::Typed;
use crate::plain;
use crate::profile::demo::Demo;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::session::Session;
use crate::session::event::Event;
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
        facts: BTreeMap::new(),
        answers: vec![],
        list_is_full: true,
        hands_were_in: false,
        clocks: BTreeMap::new(),
        log: vec![],
        stops: vec![],
        notes: vec![],
        return_tests: vec![],
        gap: None,
        last_seen: at,
        wrap_up: None,
    };
    let session = Session::begin(state, at);
    match job.program {
        None => session,
        Some(read) => {
            let checked = checking::check(session.state(), read.summary);
            let copy = checking::copy(&read.file, &checked);
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
    state.facts.clear();
    state.answers.clear();
    state.list_is_full = true;
    state.hands_were_in = false;
    state.clocks.clear();
    state.log.clear();
    state.stops.clear();
    state.notes.clear();
    state.return_tests.clear();
    state.gap = None;
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

fn operation(place: usize, section: &Section, tool_of: &dyn Fn(u32) -> Option<usize>) -> Operation {
    let title = match section.title.trim() {
        "" => format!("section {}", place + 1),
        title => plain::cut(&plain::text(title), 40),
    };
    let remark = match section.tool_comment.trim() {
        "" => String::new(),
        comment => format!("program says: {}", plain::text(comment)),
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
                    let named = step.tool.as_deref().and_then(|name| {
                        library
                            .tools
                            .iter()
                            .find(|tool| tool.name == name || tool.title == name)
                    });
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
        let plan: Vec<&str> = [&planned.turn, &planned.hold, &planned.zero_note]
            .into_iter()
            .map(String::as_str)
            .filter(|words| !words.is_empty())
            .collect();
        setups.push(Setup {
            title: planned.title.clone(),
            plan: format!("{}; zero {}", plan.join("; "), planned.zero.words()),
            operations,
            ..Setup::default()
        });
    }
    (setups, rack)
}

/// Shows the page of a new job.
pub(super) fn choose_way(model: &mut Model, way: Way) -> Vec<Effect> {
    model.screen = Screen::Begin;
    model.cursor = 0;
    model.begin = Begin {
        way,
        ..Begin::default()
    };
    model.drafts.clear();
    model.drafts_for_new.clear();
    let library = &model.library;
    let (machine, material) = match (&library.demo, way) {
        (Some(job), Way::Demo) => {
            model.drafts.insert(Field::Title, job.demo.title.clone());
            (
                library.machines.iter().find(|m| m.name == job.demo.machine),
                library
                    .materials
                    .iter()
                    .find(|m| m.name == job.demo.material),
            )
        }
        _ => (library.machines.first(), library.materials.first()),
    };
    let machine = machine.map(|m| m.title.clone());
    let material = material.map(|m| m.title.clone());
    model
        .drafts
        .extend(machine.map(|title| (Field::Machine, title)));
    model
        .drafts
        .extend(material.map(|title| (Field::Material, title)));
    if way == Way::Demo {
        // Everything is filled in: the cursor waits on the last row.
        model.cursor = crate::app::row::choosable(&page::rows(model))
            .len()
            .saturating_sub(1);
    }
    vec![]
}

/// Asks for the program file that was typed.
pub(super) fn read_program(model: &mut Model) -> Vec<Effect> {
    let Some(path) = model.drafts.get(&Field::Program).cloned() else {
        return vec![];
    };
    match model.screen {
        Screen::Begin => {
            model.begin.is_busy = true;
            vec![Effect::ReadForNewJob(path)]
        }
        _ => {
            model.drafts.remove(&Field::Program);
            vec![Effect::ReadProgram {
                path,
                reading: Reading::Asked,
            }]
        }
    }
}

/// The program file of a new job was read, or not.
pub(super) fn program_read(model: &mut Model, read: Result<ProgramRead, String>) -> Vec<Effect> {
    model.begin.is_busy = false;
    match read {
        Err(why) => model.refuse(why),
        Ok(read) => {
            if let std::collections::btree_map::Entry::Vacant(e) = model.drafts.entry(Field::Title)
            {
                let name = read.file.rsplit(['/', '\\']).next().unwrap_or_default();
                let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
                let title = plain::cut(&plain::text(stem), 40);
                if !title.is_empty() {
                    e.insert(title);
                }
            }
            model.begin.program = Some(read);
            model.cursor = 1;
        }
    }
    vec![]
}

/// Makes the record of the new job, once all it needs is there.
pub(super) fn begin(model: &mut Model, at: Moment) -> Vec<Effect> {
    if model.begin.is_busy {
        return vec![];
    }
    let text = |field: Field| {
        let text = model.drafts.get(&field)?;
        let understood = field::understand(&page::takes(model, field), text).ok()?;
        understood.words().map(str::to_owned)
    };
    let library = &model.library;
    let machine = text(Field::Machine)
        .and_then(|title| library.machines.iter().find(|m| m.title == title).cloned());
    let material = text(Field::Material)
        .and_then(|title| library.materials.iter().find(|m| m.title == title).cloned());
    let (Some(title), Some(machine), Some(material)) = (text(Field::Title), machine, material)
    else {
        let missing = if text(Field::Title).is_none() {
            "name the job first"
        } else if text(Field::Machine).is_none() {
            "choose the machine first"
        } else {
            "choose the material first"
        };
        model.refuse(missing);
        return vec![];
    };
    let mut suggested = BTreeMap::new();
    let mut stated = Conditions::new();
    let (setups, rack, program) = match model.begin.way {
        Way::Hand => (vec![], vec![], None),
        Way::Template => match library.templates.get(model.begin.template) {
            Some(template) => {
                let (setups, rack) = from_template(library, template);
                (setups, rack, None)
            }
            None => (vec![], vec![], None),
        },
        Way::Program => match model.begin.program.clone() {
            Some(read) => (vec![program_setup(&read.summary, &[])], vec![], Some(read)),
            None => {
                model.refuse("name the program file first");
                return vec![];
            }
        },
        Way::Demo => match &library.demo {
            Some(job) => {
                suggested = demo_drafts(&job.demo);
                stated = job.demo.states.clone();
                let (setup, rack) = demo_setup(library, job);
                (vec![setup], rack, Some(job.program.clone()))
            }
            None => return vec![],
        },
    };
    let version = model.version.clone();
    let job = NewJob {
        title,
        machine,
        material,
        rack,
        setups,
        program,
        stated,
        version,
        job_id: None,
    };
    let session = session(library, job, at);
    model.begin.is_busy = true;
    model.drafts_for_new = suggested;
    vec![Effect::Create(Box::new(session.state().clone()))]
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

/// The demo's setup with its operations, each with its section of the program.
fn demo_setup(library: &Library, job: &DemoJob) -> (Setup, Vec<RackTool>) {
    let rack: Vec<RackTool> = job
        .demo
        .tools
        .iter()
        .filter_map(|named| {
            let tool = library
                .tools
                .iter()
                .find(|tool| tool.name == named.tool)?
                .clone();
            Some(RackTool {
                number: Some(named.number),
                tool,
                stick_out: named.stick_out.clone(),
            })
        })
        .collect();
    let tool_of = |number: u32| rack.iter().position(|r| r.number == Some(number));
    let sections = &job.program.summary.sections;
    let operations = job
        .demo
        .operations
        .iter()
        .map(|planned| {
            let section = planned
                .section
                .and_then(|number| usize::try_from(number).ok()?.checked_sub(1))
                .and_then(|place| sections.get(place).map(|section| (place, section)));
            let from_program = section
                .map(|(place, section)| operation(place, section, &tool_of))
                .unwrap_or_default();
            Operation {
                title: planned.title.clone(),
                kind: planned.kind,
                tool: planned.tool.and_then(tool_of),
                depth: planned.depth.clone(),
                stepover: planned.stepover.clone(),
                remark: String::new(),
                ..from_program
            }
        })
        .collect();
    let setup = Setup {
        title: job.demo.setup.clone(),
        operations,
        readings: job.demo.readings.clone(),
        ..Setup::default()
    };
    (setup, rack)
}

/// What the demo fills in, for the person to look at and take.
fn demo_drafts(demo: &Demo) -> BTreeMap<Field, String> {
    let mut drafts = BTreeMap::new();
    let stock = &demo.stock;
    drafts.insert(Field::StockX, stock.x.text.clone());
    drafts.insert(Field::StockY, stock.y.text.clone());
    for (corner, thickness) in stock.thickness.iter().enumerate().take(4) {
        drafts.insert(Field::Thickness(corner), thickness.text.clone());
    }
    drafts.insert(Field::Edges, stock.edges.word().to_owned());
    drafts.insert(Field::Under, stock.under.word().to_owned());
    if let Under::Spoil { thickness_mm } = stock.under {
        drafts.insert(Field::Spoil, Typed::mm(thickness_mm).text);
    }
    for (axis, size) in stock.part.iter().flatten().enumerate() {
        drafts.insert(Field::Part(axis), size.text.clone());
    }
    drafts.insert(Field::HeldBy, demo.holding.by.word().to_owned());
    for (place, box_of) in demo.holding.keep_outs.iter().enumerate().take(4) {
        let [x0, y0] = box_of.from.map(typed::plain);
        let [x1, y1] = box_of.to.map(typed::plain);
        let text = format!("{x0} {y0} {x1} {y1} {}", typed::plain(box_of.height));
        drafts.insert(Field::KeepOut(place), text);
    }
    drafts.insert(Field::ZeroPoint, demo.zero.point.keypad());
    drafts.insert(Field::FoundBy, demo.zero.found_by.word().to_owned());
    drafts.insert(Field::Finder, demo.zero.finder.text.clone());
    drafts.insert(Field::Offset, demo.zero.offset.clone());
    drafts.insert(Field::Surface, demo.z_reference.surface.word().to_owned());
    drafts.insert(Field::Height, demo.z_reference.height.text.clone());
    drafts.insert(Field::Shim, demo.z_reference.shim.text.clone());
    drafts
}

/// What the demo fills in, for a session of it that was closed before it was taken.
pub(super) fn suggested_again(model: &Model, state: &State) -> BTreeMap<Field, String> {
    let setup = state.current_setup();
    let job = model.library.demo.as_ref().filter(|job| {
        setup
            .program
            .as_ref()
            .is_some_and(|program| program.file == job.program.file)
    });
    let Some(job) = job else {
        return BTreeMap::new();
    };
    let mut drafts = demo_drafts(&job.demo);
    drafts.retain(|field, _| match field {
        Field::HeldBy | Field::KeepOut(_) => setup.holding.is_none() && state.clocks.is_empty(),
        Field::ZeroPoint | Field::FoundBy | Field::Finder | Field::Offset => setup.zero.is_none(),
        Field::Surface | Field::Height | Field::Shim => setup.z_reference.is_none(),
        _ => setup.stock.is_none(),
    });
    drafts
}
