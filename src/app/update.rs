//! A message and the model give the next model and effects. Reads no clock, no file.

use crate::app::begin;
use crate::app::checking;
use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::key::Key;
use crate::app::keys;
use crate::app::message::Message;
use crate::app::message::ProgramRead;
use crate::app::model::BigNumber;
use crate::app::model::Model;
use crate::app::model::Saving;
use crate::app::model::Screen;
use crate::app::model::Work;
use crate::app::overlay::Overlay;
use crate::app::overlays;
use crate::app::perform;
use crate::app::recipe;
use crate::app::typing;
use crate::app::watch;
use crate::job::operation::Operation;
use crate::job::operation::Progress;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::ProgramCopy;
use crate::session::state::State;

/// Applies one message.
pub fn update(model: &mut Model, message: Message) -> Vec<Effect> {
    match message {
        Message::Pressed(key, at) => {
            model.now = at;
            pressed(model, key, at)
        }
        Message::Ticked(at) => watch::tick(model, at),
        Message::Resized(columns, rows) => {
            model.size = (columns, rows);
            vec![]
        }
        Message::JobsListed(Ok(jobs)) => {
            model.jobs = jobs;
            model.jobs_known = true;
            vec![]
        }
        Message::JobsListed(Err(why)) => {
            model.jobs_known = true;
            model.refuse(why);
            vec![]
        }
        Message::Opened {
            path,
            session,
            read_only,
            away,
            at,
        } => {
            model.now = at;
            opened(model, path, *session, read_only, away, at)
        }
        Message::NotOpened(why) => {
            model.begin.is_busy = false;
            model.refuse(why);
            vec![]
        }
        Message::Saved(outcome) => saved(model, outcome),
        Message::ReadForNewJob(read, at) => {
            model.now = at;
            begin::program_read(model, read)
        }
        Message::ProgramRead(read, asked, at) => {
            model.now = at;
            program_read(model, read, asked, at)
        }
    }
}

fn pressed(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    if key == Key::Interrupt {
        return perform::quit(model);
    }
    model.notice = None;
    if model.overlay.is_some() {
        return overlays::pressed(model, key, at);
    }
    if model.editing.is_some() {
        return typing::pressed(model, key, at);
    }
    match keys::meaning(model, key) {
        Some(act) => perform::perform(model, act, at),
        None => vec![],
    }
}

/// Applies an event to the open session, and asks for a save when it took.
///
/// Answers whether it took; a refusal becomes the notice.
pub(super) fn apply(model: &mut Model, event: Event, at: Moment) -> (bool, Vec<Effect>) {
    let Some(work) = &mut model.work else {
        return (false, vec![]);
    };
    if work.read_only {
        model.refuse("opened by another program: only to read here");
        return (false, vec![]);
    }
    let undoable = is_undoable(&event);
    // A check follows from what was entered: it neither can be taken back nor stands in the way.
    let is_check = matches!(event, Event::ProgramRead(_) | Event::StepEntered(_));
    match work.session.apply(event, at) {
        Err(refusal) => {
            model.refuse(refusal.why);
            (false, vec![])
        }
        Ok(next) => {
            if undoable {
                work.undo.push(work.session.clone());
                let too_many = work.undo.len().saturating_sub(50);
                work.undo.drain(..too_many);
            } else if !is_check {
                work.undo.clear();
            }
            work.session = next;
            work.row_since = at;
            let mut effects = save(work);
            if work.session.state().phase().is_none() {
                effects.push(Effect::ClearAlive);
            }
            (true, effects)
        }
    }
}

/// Answers and entries can be taken back; clocks, mishaps and what was let go cannot.
fn is_undoable(event: &Event) -> bool {
    matches!(
        event,
        Event::Answered { .. }
            | Event::StockMeasured(_)
            | Event::HoldingStated(_)
            | Event::ZeroStated(_)
            | Event::XySet
            | Event::ZReferenceSet(_)
            | Event::ToolAdded { .. }
            | Event::ToolEdited { .. }
            | Event::OperationAdded(..)
            | Event::OperationEdited(..)
            | Event::OperationEntered(_)
            | Event::ToolFitted(_)
            | Event::LengthSet(_)
            | Event::RecipeDecided(_)
            | Event::AirRunLeftOut(_)
            | Event::StopAccepted { .. }
            | Event::Measured(..)
            | Event::SizeStated(..)
            | Event::Rated(..)
            | Event::StepEntered(_)
    )
}

/// Asks for a save, or remembers that one is due when the last is still under way.
pub(super) fn save(work: &mut Work) -> Vec<Effect> {
    if work.read_only {
        return vec![];
    }
    if work.saving == Saving::Writing {
        work.save_again = true;
        return vec![];
    }
    work.saving = Saving::Writing;
    vec![Effect::Save(Box::new(work.session.state().clone()))]
}

fn saved(model: &mut Model, outcome: Result<(), String>) -> Vec<Effect> {
    let Some(work) = &mut model.work else {
        return vec![];
    };
    match outcome {
        Ok(()) => {
            work.saving = Saving::Saved;
            if std::mem::take(&mut work.save_again) {
                return save(work);
            }
        }
        Err(why) => {
            work.saving = Saving::Failed(why.clone());
            work.save_again = false;
            model.refuse(format!("not saved: {why}"));
        }
    }
    vec![]
}

fn opened(
    model: &mut Model,
    path: String,
    session: crate::session::Session,
    read_only: bool,
    away: Option<(f64, f64)>,
    at: Moment,
) -> Vec<Effect> {
    model.begin.is_busy = false;
    model.screen = Screen::Session;
    model.cursor = 0;
    model.overlay = None;
    model.editing = None;
    model.drafts = std::mem::take(&mut model.drafts_for_new);
    if model.drafts.is_empty() {
        model.drafts = model
            .parked
            .remove(&path)
            .unwrap_or_else(|| begin::suggested_again(model, session.state()));
    }
    model.work = Some(Work {
        path,
        session,
        read_only,
        saving: Saving::Saved,
        save_again: false,
        undo: vec![],
        row_since: at,
        alive_since: at,
        program_seen: at,
        checked: None,
        calculated: None,
        no_recipe: None,
        big: BigNumber::default(),
        rung: (false, false),
        shows_record: false,
    });
    let mut effects = vec![];
    if read_only {
        model.refuse("another program has this job open: you can read it, not answer");
    } else if let Some((alive_s, away_s)) = away {
        effects.extend(apply(model, Event::Reopened { alive_s, away_s }, at).1);
        if model.state().is_some_and(|state| state.gap.is_some()) {
            model.overlay = Some(Overlay::Gap);
        }
    }
    let program = model
        .state()
        .and_then(|state| state.current_setup().program.clone());
    if let Some(program) = program {
        match demo_program(model, &program.file) {
            Some(read) => effects.extend(program_read(model, Ok(read), false, at)),
            None => effects.push(Effect::ReadProgram {
                path: program.file,
                reading: Reading::Needed,
            }),
        }
    }
    recipe::refresh(model);
    effects
}

/// The demo's program needs no file.
pub(super) fn demo_program(model: &Model, file: &str) -> Option<ProgramRead> {
    let demo = model.library.demo.as_ref()?;
    (demo.program.file == file).then(|| demo.program.clone())
}

fn program_read(
    model: &mut Model,
    read: Result<ProgramRead, String>,
    asked: bool,
    at: Moment,
) -> Vec<Effect> {
    if let Some(work) = &mut model.work {
        work.program_seen = at;
    }
    let Some(state) = model.state() else {
        return vec![];
    };
    let read = match read {
        Ok(read) => read,
        Err(why) if asked => {
            model.refuse(why);
            return vec![];
        }
        Err(_) => return vec![],
    };
    let checked = checking::check(state, read.summary);
    let copy = checking::copy(&read.file, &checked);
    let before = state.current_setup().program.clone();
    let changed = before.as_ref().is_some_and(|old| old.sha256 != copy.sha256);
    let same = before.as_ref().is_some_and(|old| {
        let ids = |p: &ProgramCopy| p.stops.iter().map(|s| s.id.clone()).collect::<Vec<_>>();
        old.sha256 == copy.sha256 && ids(old) == ids(&copy)
    });
    let file = copy.file.clone();
    if let Some(work) = &mut model.work {
        work.checked = Some(checked);
    }
    if same
        && model
            .state()
            .is_some_and(|s| s.fact(crate::session::fact::FactKind::Program).is_good())
    {
        return vec![];
    }
    let (_, mut effects) = apply(model, Event::ProgramRead(Box::new(copy)), at);
    if asked || changed {
        effects.extend(operations_of(model, at));
    }
    if changed {
        model.refuse(format!(
            "the program changed: {file} was read and checked again"
        ));
    } else if asked {
        model.say(format!("{file} was read and checked"));
    }
    recipe::refresh(model);
    effects
}

/// Planned operations that ran sections of another program give way to those of this one;
/// what has begun stays, and so does what is no part of a program.
fn operations_of(model: &mut Model, at: Moment) -> Vec<Effect> {
    let (Some(state), Some(checked)) = (
        model.state(),
        model.work.as_ref().and_then(|work| work.checked.as_ref()),
    ) else {
        return vec![];
    };
    let before = &state.current_setup().operations;
    let tool_of = |number: u32| {
        let in_rack = state
            .rack
            .iter()
            .position(|rack| rack.number == Some(number));
        let planned = before.iter().find_map(|operation| {
            let part = operation.part.as_ref()?;
            operation.tool.filter(|_| part.tool_number == Some(number))
        });
        in_rack.or(planned)
    };
    let new = begin::operations(&checked.summary, &tool_of);
    let sections = |all: &[Operation]| {
        let of = |o: &Operation| o.part.as_ref().map(|p| (p.first_line, p.last_line));
        all.iter().filter_map(of).collect::<Vec<_>>()
    };
    if sections(before) == sections(&new) {
        return vec![];
    }
    let done: Vec<String> = before
        .iter()
        .filter(|operation| operation.progress != Progress::Planned)
        .map(|operation| operation.title.clone())
        .collect();
    let mut events: Vec<Event> = before
        .iter()
        .enumerate()
        .rev()
        .filter(|(_, o)| o.progress == Progress::Planned && o.part.is_some())
        .map(|(place, _)| Event::OperationRemoved(place))
        .collect();
    events.extend(
        new.into_iter()
            .filter(|operation| !done.contains(&operation.title))
            .map(|operation| Event::OperationAdded(None, Box::new(operation))),
    );
    events
        .into_iter()
        .flat_map(|event| apply(model, event, at).1)
        .collect()
}

/// Checks the program again because something it was checked against changed.
pub(super) fn recheck(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let Some(program) = state.current_setup().program.clone() else {
        return vec![];
    };
    let Some(checked) = model.work.as_ref().and_then(|work| work.checked.clone()) else {
        return vec![Effect::ReadProgram {
            path: program.file,
            reading: Reading::Needed,
        }];
    };
    let read = ProgramRead {
        file: program.file,
        summary: checked.summary,
    };
    program_read(model, Ok(read), false, at)
}

/// Whether the clock of the open session is on.
pub(super) fn clock_is_on(model: &Model) -> bool {
    model
        .state()
        .and_then(State::phase)
        .is_some_and(|phase| phase != Phase::Paused)
}
