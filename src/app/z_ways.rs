//! A Z reference that is cut before the last tool is touched off on it: what the page of Z says of it, and taking another surface.

use crate::app::act::Act;
use crate::app::answering;
use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::perform;
use crate::app::posted;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::job::reference::ZReference;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::session::state::Step;
use crate::session::z_surface;
use crate::session::z_surface::Way;

/// What is said of the reference, and the surfaces that stay, each taken with one press.
pub(super) fn rows(state: &State) -> Vec<Row> {
    let setup = state.current_setup();
    let Some(reference) = &setup.z_reference else {
        return vec![];
    };
    let now = z_surface::lost_now(setup, reference, state.operation);
    let (loss, said) = match (now, z_surface::ahead(state)) {
        (Some(loss), _) => (loss, z_surface::words(setup, reference, &loss)),
        (None, Some((_, loss, said))) => (loss, said),
        (None, None) => return vec![],
    };
    let mut rows = vec![Row::Text(said)];
    let ways = z_surface::ways(setup, reference, &loss);
    rows.push(Row::Text("These stay; 1 takes one:".to_owned()));
    rows.extend(ways.into_iter().map(|way| Row::Do {
        text: format!("touch off Z on {}", way.words),
        act: Act::TakeSurface(way),
        mark: Mark::Optional,
    }));
    let is_to_come = now.is_none();
    if is_to_come && let Some((height, sum)) = z_surface::new_face(setup, reference, loss.by) {
        rows.push(Row::Text(format!(
            "Or, once it is cut, the new face: Z {} mm ({sum}).",
            plain(height)
        )));
    }
    rows
}

/// Takes a surface with its Z; one whose Z nobody knows yet is put into the form, and its Z is asked for.
pub(super) fn take(model: &mut Model, way: &Way, at: Moment) -> Vec<Effect> {
    let Some(old) = model
        .state()
        .and_then(|state| state.current_setup().z_reference.clone())
    else {
        return vec![];
    };
    let Some(height) = way.height_mm else {
        model
            .drafts
            .insert(Field::Surface, way.surface.word().to_owned());
        model.drafts.insert(Field::Height, String::new());
        model.cursor = answering::first_open_row(model);
        model.say("measure its Z from Z0 with a tool that is set, then type it as the height");
        return vec![];
    };
    let reference = ZReference {
        surface: way.surface,
        height: Typed::mm(height),
        shim: old.shim,
        at: way.at,
    };
    let words = format!(
        "Z reference: {}, Z {} mm",
        way.surface.word(),
        plain(height)
    );
    let before = model
        .state()
        .map(|state| state.current_setup().z_reference.clone());
    let mut effects = perform::after(model, Event::ZReferenceSet(Box::new(reference)), at);
    let now = model
        .state()
        .map(|state| state.current_setup().z_reference.clone());
    if before != now {
        effects.extend(posted::recheck(model, at));
        model.say(words);
    }
    effects
}

/// Before a cut that takes the reference of a later tool, or comes before one that does: what is said of it above the list.
pub(super) fn before_cut(state: &State) -> Option<String> {
    let (_, loss, said) = z_surface::ahead(state)?;
    // What was cut already stands beside the line that asks for the reference.
    (loss.by >= state.operation).then(|| format!("{said} Choose at {}.", Step::Z.word()))
}
