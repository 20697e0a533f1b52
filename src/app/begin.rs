//! The page of a new job, and what the demo fills in.

use std::collections::BTreeMap;

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
use crate::app::named;
use crate::app::named::Choice;
use crate::app::new_job;
use crate::app::new_job::NewJob;
use crate::app::page;
use crate::job::conditions::Conditions;
use crate::job::operation::Operation;
use crate::job::stock::Under;
use crate::job::typed;
use crate::job::typed::Typed;
use crate::plain;
use crate::profile::demo::Demo;
use crate::session::moment::Moment;
use crate::session::state::RackTool;
use crate::session::state::Setup;
use crate::session::state::State;

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
    let label = |choices: Vec<Choice>, name: Option<&String>| {
        let mut choices = choices.into_iter();
        choices.find(|choice| Some(&choice.name) == name)
    };
    let machine = label(named::machines(library), machine.map(|m| &m.name));
    let material = label(named::materials(library), material.map(|m| &m.name));
    let filled = [(Field::Machine, machine), (Field::Material, material)];
    let filled = filled
        .into_iter()
        .filter_map(|(field, choice)| Some((field, choice?.label)));
    model.drafts.extend(filled);
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
    let machine = text(Field::Machine).and_then(|label| named::machine(library, &label).cloned());
    let material =
        text(Field::Material).and_then(|label| named::material(library, &label).cloned());
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
                let (setups, rack) = new_job::from_template(library, template);
                (setups, rack, None)
            }
            None => (vec![], vec![], None),
        },
        Way::Program => match model.begin.program.clone() {
            Some(read) => (
                vec![new_job::program_setup(&read.summary, &[])],
                vec![],
                Some(read),
            ),
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
    let session = new_job::session(library, job, at);
    model.begin.is_busy = true;
    model.drafts_for_new = suggested;
    vec![Effect::Create(Box::new(session.state().clone()))]
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
                .map(|(place, section)| new_job::operation(place, section, &tool_of))
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
    let is_demo = setup.program.as_ref().is_some_and(|p| p.is_built_in);
    let Some(job) = model.library.demo.as_ref().filter(|_| is_demo) else {
        return BTreeMap::new();
    };
    let mut drafts = demo_drafts(&job.demo);
    drafts.retain(|field, _| match field {
        Field::HeldBy | Field::KeepOut(_) | Field::Screw(_) => {
            setup.holding.is_none() && state.clocks.is_empty()
        }
        Field::ZeroPoint | Field::FoundBy | Field::Finder | Field::Offset => setup.zero.is_none(),
        Field::Surface | Field::Height | Field::Shim => setup.z_reference.is_none(),
        _ => setup.stock.is_none(),
    });
    drafts
}
