//! A message and the model give the next model and effects. Reads no clock, no file.

use crate::app::act::Act;
use crate::app::answering;
use crate::app::applying;
use crate::app::begin;
use crate::app::browse;
use crate::app::card;
use crate::app::care;
use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::following;
use crate::app::keeping;
use crate::app::keeping::Keeping;
use crate::app::key::Key;
use crate::app::keys;
use crate::app::keys::Place;
use crate::app::message::Message;
use crate::app::model::BigNumber;
use crate::app::model::CareKnown;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::model::Stopped;
use crate::app::model::Work;
use crate::app::overlay::Overlay;
use crate::app::overlays;
use crate::app::page;
use crate::app::perform;
use crate::app::posted;
use crate::app::readable;
use crate::app::recipe;
use crate::app::row;
use crate::app::row::Row;
use crate::app::small;
use crate::app::typing;
use crate::app::watch;
use crate::session::called;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::Step;

/// Applies one message.
pub fn update(model: &mut Model, message: Message) -> Vec<Effect> {
    let from_outside = matches!(
        message,
        Message::Ticked(_) | Message::ProgramRead(..) | Message::CareRead(..) | Message::Saved(_)
    );
    let chosen = from_outside
        .then(|| answering::chosen_line(model))
        .flatten();
    let was_running = keys::place(model) == Place::Running;
    let was_covered = model.overlay.is_some();
    let told = matches!(model.overlay, Some(Overlay::Advice(_)));
    let effects = applied(model, message);
    let is_open = was_covered && model.overlay.is_none();
    let at_the_list = model.state().is_some_and(|state| state.step == Step::Cut);
    if was_running && keys::place(model) == Place::Step || told && is_open && at_the_list {
        // Other rows are on show: the first that waits, for an eye that was at the mill.
        model.cursor = answering::first_open_row(model);
    }
    if is_open && let Some(work) = &mut model.work {
        // What lay below was not to be seen until now.
        work.row_since = model.now;
    }
    if let Some(chosen) = chosen {
        answering::keep_line(model, &chosen);
    }
    page::refresh(model);
    effects
}

fn applied(model: &mut Model, message: Message) -> Vec<Effect> {
    match message {
        Message::Pressed(key, at) => {
            model.now = at;
            pressed(model, key, at)
        }
        Message::Pasted(text) => {
            if model.overlay.is_none() && !small::is_small(model) {
                typing::pasted(model, &text);
            }
            vec![]
        }
        Message::Ticked(at) => watch::tick(model, at),
        Message::Resized(columns, rows) => {
            let is_other = model.size != (columns, rows);
            model.size = (columns, rows);
            if is_other {
                readable::ask_where_unknown(model);
            }
            vec![]
        }
        Message::NotKept(why) => {
            model.refuse(format!("not kept for another time: {why}"));
            vec![]
        }
        Message::NumberKept(Ok(file)) => {
            model.say(format!("on every card from now on; kept in {file}"));
            vec![]
        }
        Message::NumberKept(Err(why)) => {
            model.refuse(format!(
                "on the cards until you leave, and not kept for another time: {why}"
            ));
            vec![]
        }
        Message::ToolKept(Ok(file)) => {
            model.say(format!("kept in {file}"));
            vec![]
        }
        Message::ToolKept(Err(why)) => {
            model.refuse(format!(
                "the tool is in this job, and not kept for another: {why}"
            ));
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
        Message::CameBack(away_s, at) => {
            model.now = at;
            came_back(model, away_s, at)
        }
        Message::Saved(outcome) => keeping::saved(model, outcome),
        Message::Ending(at) => {
            model.now = at;
            keeping::ending(model)
        }
        Message::ReadForNewJob(read, at) => {
            model.now = at;
            begin::program_read(model, read)
        }
        Message::FolderListed(typed, lists, listing) => {
            browse::listed(model, &typed, lists, listing)
        }
        Message::RestartFound(found, line, at) => {
            model.now = at;
            posted::restart_found(model, found, line);
            vec![]
        }
        Message::CareRead(machine, read) => {
            care::known(model, &machine, read);
            vec![]
        }
        Message::PathFollowed(outcome, path, at) => following::done(model, outcome, &path, at),
        Message::Reading(percent) => {
            model.reading = percent;
            vec![]
        }
        Message::ProgramRead(read, asked, at) => {
            model.now = at;
            posted::program_read(model, read, asked, at)
        }
    }
}

fn pressed(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    if key == Key::Interrupt {
        return perform::quit(model);
    }
    model.is_held = answering::is_held(model.last_key, key, at, card::turns(model, key));
    let follows = answering::follows(model.last_key, key, at);
    model.last_key = Some((key, at));
    let begun = model.begun.take();
    if model.going.is_some() && model.overlay.is_none() {
        // On the way out; in a moment the screen says what it waits for.
        return vec![];
    }
    if small::is_small(model) {
        return small::pressed(model, key, at, follows);
    }
    model.notice = None;
    if model.overlay.is_some() {
        return overlays::pressed(model, key, at);
    }
    if key == Key::Escape && model.reading.is_some() && model.editing.is_none() {
        return vec![Effect::LeaveReading];
    }
    if model.editing.is_some() {
        return typing::pressed(model, key, at);
    }
    if let Some(effects) = answering::go_on(model, begun, key, at) {
        return effects;
    }
    let place = keys::place(model);
    match keys::meaning(model, key) {
        Some(act) if keys::counts_once(place, &act, model.is_held, follows) => {
            model.say("a key that is held down counts once");
            vec![]
        }
        Some(Act::Choose) if follows && sets_a_zero(model) => {
            model.say("look first: Enter again when you have seen it at the machine");
            vec![]
        }
        Some(act) => perform::perform(model, act, at),
        None => vec![],
    }
}

/// Whether Enter says of the chosen row that a zero which was in doubt is set: the Enter that led there from a list must not say it too.
fn sets_a_zero(model: &Model) -> bool {
    matches!(
        row::chosen(&model.rows, model.cursor),
        Some(Row::Do {
            act: Act::XySet | Act::ReferenceSet,
            mark: row::Mark::Redo,
            ..
        })
    )
}

/// What was left in the middle goes back one line, and says where it stopped.
fn came_back(model: &mut Model, away_s: f64, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let stopped: Vec<Stopped> = called::in_the_middle(state)
        .into_iter()
        .map(|(list, answered, of)| Stopped {
            list,
            answered,
            of,
            away_s,
        })
        .collect();
    let other_day = state
        .answers
        .last()
        .is_some_and(|last| last.at.date_naive() != at.wall.date_naive())
        && state.wrap_up.is_none();
    if stopped.is_empty() && !other_day {
        return vec![];
    }
    let (took, effects) = applying::apply(model, Event::CameBack { away_s }, at);
    if took && let Some(work) = &mut model.work {
        work.stopped = stopped;
        model.cursor = answering::first_open_row(model);
    }
    effects
}

fn opened(
    model: &mut Model,
    path: String,
    session: crate::session::Session,
    read_only: Option<String>,
    away: Option<(f64, f64)>,
    at: Moment,
) -> Vec<Effect> {
    model.begin.is_busy = false;
    model.screen = Screen::Session;
    model.cursor = 0;
    readable::ask_where_unknown(model);
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
        keeping: Keeping::default(),
        undo: vec![],
        row_since: at,
        alive_since: at,
        program_seen: at,
        checked: None,
        followed: None,
        looks_before_start: false,
        reposted: vec![],
        begin_again: vec![],
        calculated: None,
        before: None,
        no_recipe: None,
        big: BigNumber::default(),
        rung: (false, false),
        shows_record: false,
        stopped: vec![],
        care: CareKnown::default(),
    });
    let mut effects = vec![];
    let why_read_only = model.work.as_ref().and_then(keeping::only_to_read);
    let read_only = why_read_only.is_some();
    if let Some(why) = why_read_only {
        model.refuse(why);
    } else if let Some((alive_s, away_s)) = away {
        effects.extend(applying::apply(model, Event::Reopened { alive_s, away_s }, at).1);
        if model.state().is_some_and(|state| state.gap.is_some()) {
            model.overlay = Some(Overlay::Gap);
        }
    }
    if !read_only {
        let last = model.state().and_then(|state| state.answers.last());
        let away_s = last.map_or(0.0, |last| {
            (at.wall - last.at).num_milliseconds().max(0) as f64 / 1000.0
        });
        effects.extend(came_back(model, away_s, at));
    }
    effects.extend(
        model
            .state()
            .map(|state| Effect::ReadCare(state.machine.name.clone())),
    );
    let program = model
        .state()
        .and_then(|state| state.current_setup().program.clone());
    if let Some(program) = program {
        match posted::demo_program(model, &program) {
            Some(read) => effects.extend(posted::program_read(model, Ok(read), false, at)),
            None => effects.push(Effect::ReadProgram {
                path: program.file,
                reading: Reading::Needed,
            }),
        }
    }
    recipe::refresh(model);
    effects
}
