//! After a stop: what to change in numbers, and the way back into the program.

use crate::app::effect::Effect;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::page;
use crate::app::perform;
use crate::app::recipe;
use crate::app::row;
use crate::app::row::Row;
use crate::app::words;
use crate::calculator::limit::Which;
use crate::cutting::finish;
use crate::job::conditions::Conditions;
use crate::job::conditions::Value;
use crate::job::mishap::Mishap;
use crate::job::recipe::Recipe;
use crate::job::typed::plain;
use crate::quantity;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::session::known;
use crate::session::moment::Moment;
use crate::session::state::State;
use crate::session::state::Step;

/// Another speed by this share moves the teeth away from what sang. Common practice, no source.
const AWAY: f64 = 0.15;

/// Feed marks higher than this can be seen, in µm. Common practice, no source.
const SEEN_UM: f64 = 1.0;

/// What burns here, and what puts it out.
///
/// Magnesium, titanium, zirconium: T.O. 1-1A-9 warning and para g(1), titanium safety data sheet 1986. Fines of aluminium are a
/// combustible metal too (NFPA 484, from memory): solid chips seldom burn, dust and thin chips do.
pub fn fire_words(known: &Conditions) -> Vec<&'static str> {
    let first: &[&str] = if ["magnesium", "titanium", "zirconium"]
        .iter()
        .any(|metal| is(known, metal))
    {
        &[
            "Metal fire: class D powder or dry sand. No water, no foam.",
            "Other fire: the extinguisher that suits it.",
        ]
    } else if is(known, "aluminium") {
        &[
            "Metal fire: class D powder or dry sand, never water.",
            "Other fire: the extinguisher that suits it.",
        ]
    } else {
        &["Fire: the extinguisher that suits it."]
    };
    let mut lines = first.to_vec();
    lines.push("Not out at once: out, close the door, call for help.");
    lines
}

/// The same in twenty characters, for the smallest windows.
pub fn fire_short(known: &Conditions) -> &'static str {
    if ["magnesium", "titanium", "zirconium", "aluminium"]
        .iter()
        .any(|metal| is(known, metal))
    {
        "Fire: D or dry sand"
    } else {
        "Fire: extinguisher"
    }
}

fn is(known: &Conditions, metal: &str) -> bool {
    known.get("material") == Some(&Value::Word(metal.to_owned()))
}

/// The first acts that stand alone on the screen before anything is asked, for what cannot wait.
pub fn first_acts(model: &Model, mishap: Mishap) -> Vec<&'static str> {
    match mishap {
        Mishap::Fire => {
            let known = model.state().map(known::conditions).unwrap_or_default();
            let mut lines = vec!["Emergency stop. Stand back."];
            lines.extend(fire_words(&known));
            lines
        }
        Mishap::Injury => vec![
            "Emergency stop. Do not reach in before all is still.",
            "First aid. Call for help.",
            "The job can wait.",
        ],
        _ => vec![],
    }
}

/// Whether a way back into the program and other numbers may be offered at once. Fire and injury come first and alone.
pub fn may_go_on(mishap: Mishap) -> bool {
    !matches!(mishap, Mishap::Fire | Mishap::Injury)
}

/// What to change after a mishap, worked out from the recipe that was taken.
pub fn numbers(model: &Model, mishap: Mishap) -> Vec<String> {
    let Some(state) = model.state() else {
        return vec![];
    };
    if !may_go_on(mishap) {
        return vec![];
    }
    let recipe = state
        .current_operation()
        .and_then(|operation| operation.recipe.as_ref());
    let Some(recipe) = recipe else { return vec![] };
    match mishap {
        Mishap::Chatter => chatter(state, recipe),
        Mishap::ChipsPacked => packed(model, state, recipe),
        Mishap::ToolBroke => {
            let mut lines = vec![depth(state, recipe, 0.6)];
            lines.extend(stick_out(state, recipe));
            lines
        }
        Mishap::AxisBound => bound(model, state, recipe),
        Mishap::PoorFinish => finish_marks(state, recipe).into_iter().collect(),
        Mishap::ToolSlipped | Mishap::Hot => vec![depth(state, recipe, 0.7)],
        Mishap::PartMoved => vec![depth(state, recipe, 0.6)],
        _ => vec![],
    }
}

fn cuts_sideways(state: &State) -> bool {
    let tool = state.planned_tool().and_then(|index| state.rack.get(index));
    tool.is_some_and(|rack| rack.tool.kind.cuts_sideways())
}

/// Less depth; a drill has its depth from the hole and takes less feed instead.
fn depth(state: &State, recipe: &Recipe, share: f64) -> String {
    if cuts_sideways(state) {
        format!(
            "Depth {} to {} mm",
            plain(recipe.ap_mm),
            plain(recipe.ap_mm * share)
        )
    } else {
        format!(
            "Feed {:.0} to {:.0} mm/min, pecks half as deep",
            recipe.vf_mm_min,
            recipe.vf_mm_min * share
        )
    }
}

fn flutes(state: &State) -> u32 {
    let tool = state.planned_tool().and_then(|index| state.rack.get(index));
    tool.map_or(1, |rack| rack.tool.flutes.max(1))
}

fn chatter(state: &State, recipe: &Recipe) -> Vec<String> {
    let spindle = &state.machine.spindle;
    let hz = |rpm: f64| rpm * f64::from(flutes(state)) / 60.0;
    let mut lines: Vec<String> = [1.0 - AWAY, 1.0 + AWAY]
        .into_iter()
        .map(|share| ((recipe.n_rpm * share / 10.0).round() * 10.0, share))
        .filter(|(rpm, _)| (spindle.least_rpm()..=spindle.top_rpm()).contains(rpm))
        .map(|(rpm, share)| {
            format!(
                "rpm {:.0} to {rpm:.0}, feed {:.0} to {:.0}: teeth at {:.0} Hz, not {:.0}",
                recipe.n_rpm,
                recipe.vf_mm_min,
                recipe.vf_mm_min * share,
                hz(rpm),
                hz(recipe.n_rpm)
            )
        })
        .collect();
    lines.push(format!("Or: {}", depth(state, recipe, 0.5)));
    lines
}

fn packed(model: &Model, state: &State, recipe: &Recipe) -> Vec<String> {
    let mut lines = vec![format!(
        "{}; air at the cut. Chip load stays {}",
        depth(state, recipe, 0.5),
        show::chip_load(quantity::mm(recipe.fz_mm), Units::Metric)
    )];
    for which in [Which::ChipsThatStay, Which::ThinHotChips] {
        if let Some(used) = used(model, which) {
            lines.push(format!("{} were at {used} % by the sum", which.name()));
        }
    }
    lines
}

/// Share of a limit in percent, while the recipe that was taken is the one on show.
fn used(model: &Model, which: Which) -> Option<String> {
    let calculated = model.work.as_ref()?.calculated.as_ref()?;
    let taken = model.state()?.current_operation()?.recipe.as_ref()?;
    if recipe::decided(calculated) != *taken {
        return None;
    }
    let limit = calculated
        .limits
        .iter()
        .find(|limit| limit.name == which.name())?;
    Some(format!("{:.0}", limit.used * 100.0))
}

/// A tool bends with the cube of what stands out.
fn stick_out(state: &State, recipe: &Recipe) -> Option<String> {
    const SHORTER_MM: f64 = 2.0;
    let rack = state
        .planned_tool()
        .and_then(|index| state.rack.get(index))?;
    let out = rack
        .stick_out
        .as_ref()
        .map_or(rack.tool.stick_out_mm, |typed| typed.value);
    let shorter = out - SHORTER_MM;
    let less = (1.0 - (shorter / out).powi(3)) * 100.0;
    (shorter > recipe.ap_mm.max(SHORTER_MM)).then(|| {
        format!(
            "Stick-out {} to {} mm, if the part lets it: bends {less:.0} % less",
            plain(out),
            plain(shorter)
        )
    })
}

fn bound(model: &Model, state: &State, recipe: &Recipe) -> Vec<String> {
    let axes = &state.machine.axes;
    let push = used(model, Which::AxisPush)
        .map(|used| format!("; axis push was {used} % by the sum"))
        .unwrap_or_default();
    let down = |rapid: f64| format!("{rapid:.0} to {:.0}", rapid * 0.75);
    let [x, y, z] = [&axes.x, &axes.y, &axes.z].map(|axis| down(axis.rapid_mm_min.value));
    let plane = if x == y {
        format!("X Y {x}")
    } else {
        format!("X {x}, Y {y}")
    };
    vec![
        format!("{}{push}", depth(state, recipe, 0.7)),
        format!("Rapid of the one that bound: {plane}, Z {z} mm/min"),
    ]
}

/// How high the feed marks on a wall are: all teeth at work, and one alone where it runs out.
fn finish_marks(state: &State, recipe: &Recipe) -> Option<String> {
    if !cuts_sideways(state) {
        return None;
    }
    let rack = state
        .planned_tool()
        .and_then(|index| state.rack.get(index))?;
    let radius = quantity::mm(rack.tool.diameter_mm / 2.0);
    let um = |feed_mm: f64| {
        quantity::to_mm(finish::peak_to_valley(quantity::mm(feed_mm), radius)) * 1000.0
    };
    let (all, one) = (
        um(recipe.fz_mm),
        um(recipe.fz_mm * f64::from(flutes(state))),
    );
    let what = if one > SEEN_UM {
        format!(
            "feed {:.0} to {:.0} mm/min makes them a quarter",
            recipe.vf_mm_min,
            recipe.vf_mm_min / 2.0
        )
    } else {
        "less feed will not mend it".to_owned()
    };
    Some(format!(
        "Feed marks on a wall {all:.1} µm high by the sum, {one:.1} if one tooth cuts alone: {what}"
    ))
}

/// How far into the operation the clock was at the stop, as the program step takes it.
pub fn into_operation(state: &State) -> Option<String> {
    state.current_setup().program.as_ref()?;
    let stop = state
        .stops
        .last()
        .filter(|stop| stop.setup == state.setup && stop.operation == state.operation)?;
    (stop.after_cutting_s > 0).then(|| words::time(stop.after_cutting_s as f64))
}

/// To the program step, with the time of the stop filled in as a draft: nothing is taken.
pub(super) fn begin_again(model: &mut Model, at: Moment) -> Vec<Effect> {
    let Some(text) = model.state().and_then(into_operation) else {
        return vec![];
    };
    let effects = perform::go_to(model, Step::Program, at);
    model.drafts.insert(Field::BeginAgain, text);
    let rows = page::rows(model);
    let field = row::choosable(&rows).into_iter().position(|place| {
        matches!(
            rows[place],
            Row::Field {
                field: Field::BeginAgain,
                ..
            }
        )
    });
    if let Some(field) = field {
        model.cursor = field;
    }
    effects
}
