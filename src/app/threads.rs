//! Threads of a job: what a thread mill is to make, and what takes the place of a tap that the spindle cannot back out.

use crate::app::act::Act;
use crate::app::applying::apply;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page::field_row;
use crate::app::posted;
use crate::app::recipe;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::calculator::tap;
use crate::calculator::thread;
use crate::job::machine::Turns;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::operation::ThreadSize;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::typed::plain;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::State;

/// The field of the thread, for an operation that mills one.
pub(super) fn field(model: &Model, operation: &Operation) -> Vec<Row> {
    if operation.kind != OperationKind::ThreadMill {
        return vec![];
    }
    let held = operation.thread.as_ref().map(|thread| thread.text.clone());
    vec![field_row(model, Field::Thread, held)]
}

/// The thread that is milled, or why there is no recipe for it.
///
/// # Errors
///
/// No thread is named, or the tool does not mill it.
pub(super) fn of_operation(operation: &Operation, tool: &Tool) -> Result<ThreadSize, String> {
    let Some(size) = operation.thread.clone() else {
        return Err("name the thread first, such as M6: pitch and hole follow from it".to_owned());
    };
    match thread::misfit(tool, size.diameter_mm, size.pitch_mm) {
        Some(why) => Err(format!(
            "{why}; plan a thread mill of this pitch that goes into the hole"
        )),
        None => Ok(size),
    }
}

/// The tap of the operation in work, where the spindle turns right only and cannot back it out.
fn stuck_tap<'a>(state: &'a State, operation: &Operation) -> Option<(&'a Tool, f64)> {
    if operation.kind != OperationKind::Tap || state.machine.spindle.turns == Turns::Both {
        return None;
    }
    let tool = &state.rack.get(operation.tool?)?.tool;
    let pitch = tool.pitch_mm?;
    (tool.kind == Kind::Tap).then_some((tool, pitch))
}

/// A thread mill of the tap's thread: one of the job first, else the thickest of the shelf, which bends least.
fn mill_for(model: &Model, state: &State, tap: &Tool, pitch_mm: f64) -> Option<Tool> {
    let fits = |tool: &&Tool| thread::misfit(tool, tap.diameter_mm, pitch_mm).is_none();
    let in_job = state.rack.iter().map(|rack| &rack.tool).find(fits);
    let of_shelf = model.library.tools.iter().filter(fits);
    in_job
        .or_else(|| of_shelf.max_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm)))
        .cloned()
}

/// Rows that put something else in the place of such a tap.
pub(super) fn rows(model: &Model, state: &State, operation: &Operation) -> Vec<Row> {
    let Some((tap, pitch)) = stuck_tap(state, operation) else {
        return vec![];
    };
    if operation.progress != Progress::Planned {
        return vec![];
    }
    let mut rows = vec![];
    match mill_for(model, state, tap, pitch) {
        Some(mill) => rows.push(Row::Do {
            act: Act::MillThread,
            text: format!("Mill the thread instead, with {}", mill.title),
            mark: Mark::Open,
        }),
        None => rows.push(Row::Text(format!(
            "No thread mill of pitch {} mm that goes into the hole is on the shelf.",
            plain(pitch)
        ))),
    }
    rows.push(Row::Do {
        act: Act::TapByHand,
        text: "Tap by hand instead, spindle off".to_owned(),
        mark: Mark::Open,
    });
    if let Some(part) = &operation.part {
        rows.push(Row::Text(format!(
            "Lines {} to {} of the program drive the tap: take them out and post it again.",
            part.first_line, part.last_line
        )));
    }
    rows
}

/// The thread is milled: the operation gets the thread, and a thread mill.
pub(super) fn mill(model: &mut Model, at: Moment) -> Vec<Effect> {
    let found = model.state().and_then(|state| {
        let operation = state.current_operation()?;
        let (tap, pitch) = stuck_tap(state, operation)?;
        let mill = mill_for(model, state, tap, pitch)?;
        let place = state
            .rack
            .iter()
            .position(|rack| rack.tool.name == mill.name);
        let thread = ThreadSize {
            text: words_of(tap, pitch),
            diameter_mm: tap.diameter_mm,
            pitch_mm: pitch,
        };
        let edited = Operation {
            kind: OperationKind::ThreadMill,
            tool: Some(place.unwrap_or(state.rack.len())),
            thread: Some(thread),
            // The depth of a pass is another thing than that of a hole.
            depth: None,
            ..without_the_program(operation)
        };
        Some((edited, place.is_none().then_some(mill)))
    });
    let Some((edited, mill)) = found else {
        return vec![];
    };
    let added = mill.map(|mill| Event::ToolAdded {
        number: None,
        tool: Box::new(mill),
        stick_out: None,
    });
    change(model, added, edited, at)
}

/// The thread is tapped by hand: bench work under the dead spindle, with what to do as its remark.
pub(super) fn by_hand(model: &mut Model, at: Moment) -> Vec<Effect> {
    let edited = model.state().and_then(|state| {
        let operation = state.current_operation()?;
        let (tap, pitch) = stuck_tap(state, operation)?;
        let depth = operation.depth.as_ref().map_or(String::new(), |depth| {
            format!(", {}", tap::depth_words(depth.value, pitch, 0.0))
        });
        let how = format!(
            "{}: spindle off and mains off before a hand goes near it. First the {}{depth}. Start the tap square: its end in the \
             nose of the spindle, or a guide. Turn by hand, half a turn on and a quarter back, with cutting oil; \
             clear the chips.",
            words_of(tap, pitch),
            tap::drill_words(tap.diameter_mm, pitch)
        );
        let remark = match operation.remark.as_str() {
            "" => how,
            own => format!("{own}\n{how}"),
        };
        Some(Operation {
            kind: OperationKind::Bench,
            remark,
            ..without_the_program(operation)
        })
    });
    match edited {
        Some(edited) => change(model, None, edited, at),
        None => vec![],
    }
}

/// The operation without the lines that drive the tap, and without what was decided for it.
fn without_the_program(operation: &Operation) -> Operation {
    Operation {
        part: None,
        is_joined: false,
        estimate_s: None,
        feed_s: None,
        is_timed: false,
        recipe: None,
        ..operation.clone()
    }
}

/// A thread by its size, as shops write it: `M6`, or diameter and pitch where the pitch is not the coarse one.
fn words_of(tap: &Tool, pitch_mm: f64) -> String {
    let coarse = format!("M{}", plain(tap.diameter_mm));
    let is_coarse = crate::table::threads::read(&coarse)
        .is_some_and(|thread| (thread.pitch_mm - pitch_mm).abs() < 1e-9);
    if is_coarse {
        coarse
    } else {
        format!("M{}x{}", plain(tap.diameter_mm), plain(pitch_mm))
    }
}

fn change(model: &mut Model, added: Option<Event>, edited: Operation, at: Moment) -> Vec<Effect> {
    let Some(place) = model.state().map(|state| state.operation) else {
        return vec![];
    };
    let had_program = model
        .state()
        .and_then(State::current_operation)
        .is_some_and(|operation| operation.part.is_some());
    let is_milled = edited.kind == OperationKind::ThreadMill;
    let mut effects = vec![];
    let edited = Event::OperationEdited(place, Box::new(edited));
    for event in added.into_iter().chain([edited]) {
        let (took, more) = apply(model, event, at);
        effects.extend(more);
        if !took {
            return effects;
        }
    }
    effects.extend(posted::recheck(model, at));
    recipe::refresh(model);
    model.say(match (is_milled, had_program) {
        (true, true) => "thread milling now; the program still taps: post it again without the tap",
        (true, false) => "thread milling now: look at the recipe, and post a program for it",
        (false, true) => {
            "by hand now; the program still taps: take these lines out and post it again"
        }
        (false, false) => "by hand now: how it is done stands at the cut page",
    });
    effects
}
