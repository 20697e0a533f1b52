//! Doing what a person asked for.

use std::time::Duration;

use crate::app::act::Act;
use crate::app::answering;
use crate::app::applying::apply;
use crate::app::applying::clock_is_on;
use crate::app::begin;
use crate::app::card;
use crate::app::care;
use crate::app::effect::Effect;
use crate::app::effect::Reading;
use crate::app::field::Field;
use crate::app::form;
use crate::app::input::Input;
use crate::app::keeping;
use crate::app::leaving;
use crate::app::leaving::Exit;
use crate::app::looking;
use crate::app::model::BigNumber;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::model::Theme;
use crate::app::new_job;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::overlay::Sure;
use crate::app::page;
use crate::app::picker;
use crate::app::picker::Purpose;
use crate::app::pilots;
use crate::app::posted;
use crate::app::posted::demo_program;
use crate::app::posted::recheck;
use crate::app::readable;
use crate::app::recipe;
use crate::app::row;
use crate::app::row::Row;
use crate::app::sides;
use crate::app::threads;
use crate::app::typing;
use crate::app::undoing;
use crate::app::ways;
use crate::app::z_ways;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::tool_speed;
use crate::session::called;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::fact::FactKind;
use crate::session::gate;
use crate::session::gate::ListKind;
use crate::session::gate::Way as LineWay;
use crate::session::gauging;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::session::state::Step;
use crate::session::unfinished;

/// How many rows a page key moves.
const PAGE: usize = 8;

/// Performs one act.
pub(super) fn perform(model: &mut Model, act: Act, at: Moment) -> Vec<Effect> {
    if leaving::stay(model, &act) {
        return vec![];
    }
    match act {
        Act::Up => move_by(model, -1, at),
        Act::Down => move_by(model, 1, at),
        Act::PageUp => move_by(model, -(PAGE as isize), at),
        Act::PageDown => move_by(model, PAGE as isize, at),
        Act::Back => rail(model, -1, at),
        Act::Forward => rail(model, 1, at),
        Act::GoTo(step) => go_to(model, step, at),
        Act::Choose => choose(model, at),
        Act::So => answering::so(model, at),
        Act::BeginAnswer => answering::begin(model, at),
        Act::NotSo => answering::not_so(model, at),
        Act::Why => answering::why(model),
        Act::Clock => clock(model, at),
        Act::Pause => pause(model, at),
        Act::Earlier => {
            let (took, effects) = apply(model, Event::CutBeganEarlier(Duration::from_secs(10)), at);
            if took {
                model.say("the cut began 10 s earlier");
            }
            effects
        }
        Act::Happened => happened(model, at),
        Act::More => {
            model.overlay = Some(Overlay::More {
                typed: String::new(),
                cursor: None,
            });
            vec![]
        }
        Act::Swap => swap(model),
        Act::Note => ask(model, Asking::Note),
        Act::Theme => {
            next_theme(model);
            vec![]
        }
        Act::Readable(can) => readable::answered(model, can),
        Act::ShowLetters => {
            model.overlay = Some(Overlay::Letters);
            vec![]
        }
        Act::AskReadable => {
            readable::ask_again(model);
            vec![]
        }
        Act::View => {
            view(model);
            vec![]
        }
        Act::Finish => finish(model),
        Act::LeaveOut => ask(model, Asking::LeaveOut),
        Act::Emergency => card::open(model, None),
        Act::Help => {
            model.overlay = Some(Overlay::Help);
            vec![]
        }
        Act::Undo => undoing::undo(model, at),
        Act::Leave => leave(model),
        Act::LeaveOpen => leaving::go(model, at),
        Act::Quit => quit(model),
        Act::EnterNumber => ask(model, Asking::EmergencyNumber),
        Act::NewJob(way) => begin::choose_way(model, way),
        Act::NextTemplate => {
            let count = model.library.templates.len().max(1);
            model.begin.template = (model.begin.template + 1) % count;
            vec![]
        }
        Act::BeginNow => begin::begin(model, at),
        Act::Open(place) => match model.jobs.get(place) {
            Some(job) => vec![Effect::Load(job.path.clone())],
            None => vec![],
        },
        Act::ReadAgain => read_again(model, at),
        Act::LookAt(finding) => looking::open(model, finding),
        Act::AcceptStop(id) => looking::before_accepting(model, id),
        Act::EnterOperation(place) => enter_operation(model, place, at),
        Act::OpenAgain(place) => ask(model, Asking::OpenAgain(place)),
        Act::AddOperation => add_operation(model, at),
        Act::Fit => match model.state().and_then(|state| state.planned_tool()) {
            Some(index) => after(model, Event::ToolFitted(index), at),
            None => {
                model.refuse("plan a tool first");
                vec![]
            }
        },
        Act::PointSeen(what) => {
            let event = Event::PointSeen {
                what,
                is_right: true,
            };
            let effects = after(model, event, at);
            answering::next_open(model);
            effects
        }
        Act::ShopFact(id) => {
            let effects = after(model, Event::ShopConfirmed(id), at);
            answering::next_open(model);
            effects
        }
        Act::XySet => {
            let effects = after(model, Event::XySet, at);
            answering::next_open(model);
            effects
        }
        Act::TakeForm(field) => {
            if form::events(model, field).is_empty() {
                model.refuse(match page::first_empty(model) {
                    Some(label) => format!("something is missing: {label}"),
                    None => "something is missing: look at the rows marked !".to_owned(),
                });
                return vec![];
            }
            let effects = typing::take_form(model, field, at);
            if model.editing.is_none() {
                model.cursor = answering::first_open_row(model);
            }
            effects
        }
        Act::ReferenceSet => {
            let same = model
                .state()
                .and_then(|s| s.current_setup().z_reference.clone());
            match same {
                Some(reference) => after(model, Event::ZReferenceSet(Box::new(reference)), at),
                None => vec![],
            }
        }
        Act::TakeRecipe => take_recipe(model, at),
        Act::TakeWay(way) => ways::take(model, &way, at),
        Act::DrillInSteps => pilots::add(model, at),
        Act::MillThread => threads::mill(model, at),
        Act::TapByHand => threads::by_hand(model, at),
        Act::TakeSurface(way) => z_ways::take(model, &way, at),
        Act::Free(field) => {
            recipe::let_follow(model, field);
            vec![]
        }
        Act::CareLog => {
            if let Some(lines) = model.state().map(|state| care::lines(model, state)) {
                model.overlay = Some(Overlay::Care(lines));
            }
            vec![]
        }
        Act::ReturnTest => {
            let was_set = model.state().is_some_and(|state| {
                let zero = state.fact(FactKind::XyZero);
                zero.is_good() || zero.word() == "redo"
            });
            if !was_set {
                model.refuse("set X and Y first: there is no zero to return to");
                return vec![];
            }
            model.overlay = Some(Overlay::ReturnTest {
                inputs: [Input::default(), Input::default(), Input::default()],
                focus: 0,
                error: None,
                verdict: None,
            });
            vec![]
        }
        Act::AddSize => match form::new_size(model) {
            Some(size) => {
                let effects = after(model, Event::SizeStated(None, Box::new(size)), at);
                for field in [
                    Field::SizeWhat,
                    Field::SizeNominal,
                    Field::SizeUpper,
                    Field::SizeLower,
                    Field::SizeSide,
                    Field::SizeBy,
                    Field::SizeGauge,
                ] {
                    model.drafts.remove(&field);
                }
                effects
            }
            None => {
                model.refuse("fill in all of the size first");
                vec![]
            }
        },
        Act::LetGo => {
            match model.state().map(unfinished::may_let_go) {
                Some(Ok(())) => model.overlay = Some(Overlay::Sure(Sure::LetGo)),
                // A question whose answer would be refused is not asked.
                Some(Err(refusal)) => model.refuse(refusal.why),
                None => {}
            }
            vec![]
        }
        Act::AddSide => sides::add(model, at),
        Act::AddDeburr => add_deburr(model, at),
        Act::EnterSetup(index) => {
            let effects = after(model, Event::SetupEntered(index), at);
            let mut more = go_to(model, Step::Program, at);
            more.extend(effects);
            if let Some(work) = &mut model.work {
                work.checked = None;
            }
            more.extend(recheck(model, at));
            more
        }
        Act::NextSession if keeping::is_behind(model) && !keeping::is_full(model) => {
            model.refuse("The last answers are still being saved: try again in a moment.");
            vec![]
        }
        Act::NextSession => match model.state() {
            Some(state) => {
                let next = new_job::next_session(state, model.version.clone(), at);
                model.drafts_for_new.clear();
                vec![
                    Effect::Close,
                    Effect::Create(Box::new(next.state().clone())),
                ]
            }
            None => vec![],
        },
        Act::WrapUp => {
            model.overlay = Some(Overlay::Sure(Sure::WrapUp));
            vec![]
        }
    }
}

/// Applies an event that a row asked for, and keeps the screen's own values in step.
pub(super) fn after(model: &mut Model, event: Event, at: Moment) -> Vec<Effect> {
    let (took, mut effects) = apply(model, event, at);
    if took {
        effects.extend(recheck_if_open(model, at));
        recipe::refresh(model);
    }
    effects
}

fn move_by(model: &mut Model, by: isize, at: Moment) -> Vec<Effect> {
    let last = row::choosable(&page::rows(model)).len().saturating_sub(1);
    model.cursor = match model.cursor {
        // From nowhere to where the reading begins.
        row::NOWHERE => 0,
        cursor => cursor.min(last).saturating_add_signed(by).min(last),
    };
    if let Some(work) = &mut model.work {
        work.row_since = at;
    }
    vec![]
}

fn rail(model: &mut Model, by: isize, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let now = Step::RAIL
        .iter()
        .position(|step| *step == state.step)
        .unwrap_or(0);
    let next = now.saturating_add_signed(by).min(Step::RAIL.len() - 1);
    let mut effects = vec![];
    if by > 0 && state.step == Step::Hold {
        // Going on is the answer to the end of a list in which nothing is open.
        for kind in [ListKind::Power, ListKind::Setup] {
            let waits = model.state().is_some_and(|state| {
                let list = gate::list(state, kind);
                list.open() == 0 && !called::is_complete(state, &list)
            });
            if waits {
                effects.extend(apply(model, Event::ListEnded(kind), at).1);
            }
        }
    }
    effects.extend(go_to(model, Step::RAIL[next], at));
    effects
}

/// Shows a step of the rail.
pub(super) fn go_to(model: &mut Model, step: Step, at: Moment) -> Vec<Effect> {
    let mut effects = vec![];
    let read_only = model
        .work
        .as_ref()
        .is_some_and(|work| work.read_only.is_some());
    if let Some(work) = &mut model.work {
        // Where the person looks is kept, and is no answer: it does not stand in the way of undo.
        if let Ok(next) = work.session.apply(Event::StepEntered(step), at) {
            work.session = next;
            work.row_since = at;
            if !read_only {
                effects = keeping::save(work, at);
            }
        }
    }
    model.cursor = answering::first_open_row(model);
    recipe::refresh(model);
    effects
}

fn choose(model: &mut Model, at: Moment) -> Vec<Effect> {
    let rows = page::rows(model);
    match row::chosen(&rows, model.cursor).cloned() {
        Some(Row::Field { field, value, .. }) => {
            if let Some(why) = model.work.as_ref().and_then(keeping::only_to_read) {
                model.refuse(why);
                return vec![];
            }
            if field == Field::Tool {
                return picker::open(model, Purpose::Plan);
            }
            // A value in both units is opened in the first.
            let plain = value.split(" = ").next().unwrap_or_default().to_owned();
            typing::begin_editing(model, field, &plain);
            vec![]
        }
        Some(Row::Do { act, .. }) => perform(model, act, at),
        Some(Row::End { list, .. }) => answering::end(model, list, at),
        Some(Row::Line(_, line)) => match line.way {
            LineWay::At(step) => go_to(model, step, at),
            LineWay::Press => {
                model.say(format!("look, then 1 for {}, 3 for not so", line.word));
                vec![]
            }
        },
        None if model.cursor == row::NOWHERE => {
            model.say("nothing waits on this page: 6 goes on, 2 and 8 choose a row");
            vec![]
        }
        _ => vec![],
    }
}

fn clock(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    if state.gap.is_some() {
        model.overlay = Some(Overlay::Gap);
        return vec![];
    }
    let event = match state.phase() {
        None => Event::CutBegan {
            ago: Duration::ZERO,
        },
        Some(Phase::Cutting | Phase::Hands) => Event::ClockTurned(Phase::Waiting),
        Some(Phase::Waiting | Phase::Paused) => Event::ClockTurned(Phase::Cutting),
    };
    let began = matches!(event, Event::CutBegan { .. });
    let (took, mut effects) = apply(model, event, at);
    if took {
        if began && let Some(work) = &mut model.work {
            work.rung = (false, false);
        }
        if model.state().and_then(State::phase) == Some(Phase::Cutting) {
            effects.extend(posted::look_again(model));
        }
        effects.extend(go_to(model, Step::Cut, at));
        if clock_is_on(model) {
            effects.push(Effect::TouchAlive);
        }
    }
    effects
}

fn pause(model: &mut Model, at: Moment) -> Vec<Effect> {
    let (took, mut effects) = apply(model, Event::ClockTurned(Phase::Paused), at);
    if took {
        effects.extend(go_to(model, Step::Cut, at));
    }
    effects
}

/// Asks what happened. The clock waits from this key on, whatever it was, and if it was nothing.
fn happened(model: &mut Model, at: Moment) -> Vec<Effect> {
    let effects = match model.state().and_then(State::phase) {
        Some(Phase::Cutting | Phase::Hands) => {
            apply(model, Event::ClockTurned(Phase::Waiting), at).1
        }
        _ => vec![],
    };
    model.overlay = Some(Overlay::Happened {
        typed: String::new(),
        cursor: None,
    });
    effects
}

/// The next colours.
pub(super) fn next_theme(model: &mut Model) {
    let all = Theme::ALL;
    let now = all.iter().position(|theme| *theme == model.look.theme);
    model.look.theme = all[(now.unwrap_or(0) + 1) % all.len()];
    model.say(format!("colours: {}", model.look.theme.word()));
}

fn view(model: &mut Model) {
    if let Some(work) = &mut model.work {
        work.big = match work.big {
            BigNumber::Override => BigNumber::Rpm,
            BigNumber::Rpm => BigNumber::Feed,
            BigNumber::Feed => BigNumber::Elapsed,
            BigNumber::Elapsed => BigNumber::Override,
        };
        if !work.session.state().phase().is_some_and(Phase::is_at_work) {
            work.shows_record = !work.shows_record;
        }
    }
}

fn finish(model: &mut Model) -> Vec<Effect> {
    match model.state().map(unfinished::may_finish) {
        Some(Ok(())) => model.overlay = Some(Overlay::Sure(Sure::Finished)),
        // A question whose answer would be refused is not asked.
        Some(Err(refusal)) => model.refuse(refusal.why),
        None => {}
    }
    vec![]
}

pub(super) fn ask(model: &mut Model, asking: Asking) -> Vec<Effect> {
    if let Some(why) = model.work.as_ref().and_then(keeping::only_to_read) {
        model.refuse(why);
        return vec![];
    }
    model.overlay = Some(Overlay::Words {
        asking,
        input: Input::default(),
        error: None,
    });
    vec![]
}

fn swap(model: &mut Model) -> Vec<Effect> {
    let can = model
        .state()
        .and_then(|state| state.current_operation())
        .is_some_and(|operation| operation.kind.is_cut() && !operation.progress.is_done());
    if can {
        return picker::open(model, Purpose::Swap);
    } else {
        model.refuse("there is no cut in work whose tool could be changed");
    }
    vec![]
}

fn leave(model: &mut Model) -> Vec<Effect> {
    match model.screen {
        Screen::Jobs => vec![],
        Screen::Begin => {
            model.screen = Screen::Jobs;
            model.cursor = 0;
            model.drafts.clear();
            vec![]
        }
        Screen::Session => {
            if clock_is_on(model) {
                model.refuse("the clock is on: a pause first (p, or 0 and Enter), then the jobs");
                return vec![];
            }
            let raised = model
                .state()
                .and_then(|state| state.current_setup().raised.clone());
            if let Some(raised) = raised.filter(|_| !model.leaves_raised) {
                model.leaves_raised = true;
                let by = raised.text;
                model.refuse(format!(
                    "Z is still raised by {by}: put it back, or Esc again leaves"
                ));
                return vec![];
            }
            if leaving::offer(model, Exit::Jobs) {
                return vec![];
            }
            let at = model.now;
            let mut effects = leaving::left(model, at);
            effects.extend(keeping::depart(model, Exit::Jobs));
            effects
        }
    }
}

/// Leaves the session for the list of jobs, or the program.
pub(super) fn gone(model: &mut Model, exit: Exit) -> Vec<Effect> {
    model.leaving = None;
    model.going = None;
    if exit == Exit::Program {
        return vec![Effect::Close, Effect::Quit];
    }
    model.leaves_raised = false;
    model.screen = Screen::Jobs;
    model.cursor = 0;
    let drafts = std::mem::take(&mut model.drafts);
    if let Some(work) = model.work.take() {
        model.parked.insert(work.path, drafts);
    }
    vec![Effect::Close, Effect::ListJobs]
}

/// Ends the program; with the clock on it asks once, for the mill goes on without us.
pub(super) fn quit(model: &mut Model) -> Vec<Effect> {
    if model.going.is_some() {
        // Once more while the last save is waited for: only its own keys leave without it.
        model.overlay.get_or_insert(Overlay::Sure(Sure::Unsaved));
        return vec![];
    }
    let asked = model.overlay == Some(Overlay::Sure(Sure::Quit));
    if clock_is_on(model) && !asked {
        model.overlay = Some(Overlay::Sure(Sure::Quit));
        return vec![];
    }
    // While it cuts, eyes belong on the mill and not on a list.
    if !clock_is_on(model) && leaving::offer(model, Exit::Program) {
        model.overlay = None;
        return vec![];
    }
    let at = model.now;
    let mut effects = leaving::left(model, at);
    effects.extend(keeping::depart(model, Exit::Program));
    effects
}

fn read_again(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(program) = model
        .state()
        .and_then(|s| s.current_setup().program.clone())
    else {
        return vec![];
    };
    if demo_program(model, &program).is_some() {
        model.say("the demo's program is part of millside: checked again");
        return recheck(model, at);
    }
    vec![Effect::ReadProgram {
        path: program.file,
        reading: Reading::Asked,
    }]
}

fn enter_operation(model: &mut Model, place: usize, at: Moment) -> Vec<Effect> {
    let mut effects = after(model, Event::OperationEntered(place), at);
    model.drafts.retain(|field, _| !form::is_recipe(*field));
    let is_done = |state: &State| {
        let operation = state.current_operation();
        operation.is_some_and(|operation| operation.progress.is_done())
    };
    let step = match model.state() {
        // There it can be opened again.
        Some(state) if is_done(state) => Step::Cut,
        Some(state) if state.fact(FactKind::ToolIn).is_good() => Step::Recipe,
        _ => Step::Tool,
    };
    if model.state().is_some_and(|state| state.operation == place) {
        effects.extend(go_to(model, step, at));
    }
    effects
}

/// Deburring comes last, while the part is still held.
fn add_deburr(model: &mut Model, at: Moment) -> Vec<Effect> {
    let deburr = Operation {
        title: "deburr".to_owned(),
        kind: OperationKind::Bench,
        ..Operation::default()
    };
    let (took, mut effects) = apply(model, Event::OperationAdded(None, Box::new(deburr)), at);
    let last = model
        .state()
        .map_or(0, |state| state.current_setup().operations.len());
    if took && last > 0 {
        effects.extend(apply(model, Event::OperationEntered(last - 1), at).1);
        effects.extend(go_to(model, Step::Cut, at));
    }
    effects
}

fn add_operation(model: &mut Model, at: Moment) -> Vec<Effect> {
    match form::new_operation(model) {
        Some(operation) => {
            let effects = after(model, Event::OperationAdded(None, Box::new(operation)), at);
            model.drafts.remove(&Field::OperationTitle);
            model.drafts.remove(&Field::OperationKind);
            effects
        }
        None => {
            model.refuse("say what it is and of which kind first");
            vec![]
        }
    }
}

/// Asks for the reason that accepts a stop finding, where a reason can.
pub(super) fn accept_stop(model: &mut Model, id: String) -> Vec<Effect> {
    if tool_speed::is_never_accepted(&id) {
        model.refuse("nothing accepts a speed above a tool's rating: lower S, or a tool that is rated higher");
        return vec![];
    }
    ask(model, Asking::AcceptStop(id))
}

fn take_recipe(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(calculated) = model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref())
    else {
        return vec![];
    };
    let taken = recipe::decided(calculated);
    if calculated.is_over_speed_rating {
        model.refuse("above the speed rating of the tool: no reason lifts it; set a lower rpm, or let it follow");
        return vec![];
    }
    if !taken.exceeded.is_empty() {
        model.refuse(format!("beyond: {}", taken.exceeded.join(", ")));
        return ask(model, Asking::Beyond);
    }
    let effects = after(model, Event::RecipeDecided(Box::new(taken)), at);
    model.say("taken; set it at the machine: the list before the cut asks for it");
    effects
}

/// After an operation is done: the step where the next one begins, or measuring.
pub(super) fn next_step(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let step = match state.current_setup().next_operation() {
        None => Step::Measure,
        Some(_) if !gauging::due(state).is_empty() => Step::Measure,
        Some(_) if state.current_setup().holding.is_none() => Step::Hold,
        Some(_) if !state.current_operation().is_some_and(|o| o.kind.is_cut()) => Step::Cut,
        Some(_) if state.fact(FactKind::ToolIn).is_good() => Step::Recipe,
        Some(_) => Step::Tool,
    };
    go_to(model, step, at)
}

/// Checks the program again when it does not agree any more.
pub(super) fn recheck_if_open(model: &mut Model, at: Moment) -> Vec<Effect> {
    let agrees = model
        .state()
        .is_some_and(|state| state.fact(FactKind::Program).is_good());
    if agrees { vec![] } else { recheck(model, at) }
}
