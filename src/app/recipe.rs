//! The calculator beside the checklist: what is fixed stays, the rest follows each key.

use std::collections::BTreeMap;

use crate::app::field;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::calculator;
use crate::calculator::advice::OverrideAdvice;
use crate::calculator::advice::Steps;
use crate::calculator::question::Cut;
use crate::calculator::question::Fixed;
use crate::calculator::question::Question;
use crate::cutting::packing::Clearing;
use crate::job::conditions::Value;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::recipe::Recipe;
use crate::job::tool::Tool;
use crate::job::typed::plain;
use crate::job::zero::Height;
use crate::quantity;
use crate::quantity::Feed;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::session::state::RackTool;
use crate::session::state::State;

/// The values of a recipe that a person may fix, in the order of the page.
pub const FIELDS: &[Field] = &[
    Field::Depth,
    Field::Stepover,
    Field::Rpm,
    Field::SurfaceSpeed,
    Field::ChipLoad,
    Field::Feed,
];

/// A limit as it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitShown {
    /// Its name.
    pub name: String,
    /// `danger` or `ceiling`.
    pub kind: &'static str,
    /// Share used; more than 1 when a fixed value breaks it.
    pub used: f64,
    /// Whether it is the one that stopped the recipe from doing more.
    pub binds: bool,
    /// A danger that is used to more than all.
    pub is_exceeded: bool,
    /// What would lift it.
    pub lift: String,
}

/// A recipe as it was worked out, with what was fixed for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Calculated {
    /// Title of the tool.
    pub tool: String,
    /// Spindle speed in 1/min.
    pub n_rpm: f64,
    /// Surface speed in m/min.
    pub vc_m_min: f64,
    /// Chip load in mm.
    pub fz_mm: f64,
    /// Feed in mm/min.
    pub vf_mm_min: f64,
    /// Depth in mm.
    pub ap_mm: f64,
    /// Stepover in mm.
    pub ae_mm: f64,
    /// Removal rate in cm3/min.
    pub q_cm3_min: f64,
    /// Power at the cutter in W.
    pub pc_w: f64,
    /// Belt step to choose, if there is a choice.
    pub step: Option<String>,
    /// Limits, the one that binds first.
    pub limits: Vec<LimitShown>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What was assumed.
    pub assumed: Vec<String>,
    /// Every formula used, with its numbers and source.
    pub trace: Vec<String>,
    /// What was fixed by the person.
    pub fixed: Vec<Field>,
    /// Feed override to set, in percent, where the program has feeds and a step fits.
    pub override_percent: Option<f64>,
    /// What is to be said of the override.
    pub override_words: Option<String>,
}

/// Works out the recipe of the operation in work again.
pub(super) fn refresh(model: &mut Model) {
    let worked_out = match model.state() {
        Some(state) => state
            .planned_tool()
            .map(|tool| calculate(model, state, tool)),
        None => None,
    };
    if let Some(work) = &mut model.work {
        match worked_out {
            Some(Ok(calculated)) => {
                work.calculated = Some(calculated);
                work.no_recipe = None;
            }
            Some(Err(why)) => {
                work.calculated = None;
                work.no_recipe = Some(why);
            }
            None => {
                work.calculated = None;
                work.no_recipe = None;
            }
        }
    }
}

/// Old and new recipe for a change of tool, with the same values fixed.
pub(super) fn compare(model: &Model, to: usize) -> (Option<Calculated>, Option<Calculated>) {
    let Some(state) = model.state() else {
        return (None, None);
    };
    let old = state
        .planned_tool()
        .and_then(|tool| calculate(model, state, tool).ok());
    let new = match calculate(model, state, to) {
        Ok(new) => Some(new),
        Err(why) => {
            // What was fixed for the old tool does not suit the new one: say so, and go on without.
            let free = Model {
                drafts: BTreeMap::new(),
                editing: None,
                ..model.clone()
            };
            let mut unplanned = state.clone();
            let (setup, operation) = (unplanned.setup, unplanned.operation);
            if let Some(operation) = unplanned.setups[setup].operations.get_mut(operation) {
                operation.stepover = None;
                operation.recipe = None;
            }
            calculate(&free, &unplanned, to).ok().map(|mut new| {
                new.cautions.insert(
                    0,
                    format!("{why}: worked out without it, and not as the program cuts"),
                );
                new
            })
        }
    };
    (old, new)
}

/// What is fixed: the field that is being typed, else the drafts, else the taken recipe's.
fn fixed(model: &Model, operation: &Operation) -> Vec<(Field, f64)> {
    let number = |field: Field, text: &str| {
        let understood = field::understand(&field.takes(), text).ok()?;
        understood.number().map(|typed| typed.value)
    };
    FIELDS
        .iter()
        .filter_map(|field| {
            let typing = model
                .editing
                .as_ref()
                .filter(|editing| editing.field == *field);
            // What is typed and makes no sense yet changes nothing.
            let typed = typing.and_then(|editing| number(*field, editing.input.text()));
            let was_fixed = || match model.drafts.get(field) {
                // An empty draft lets follow what program or plan had fixed.
                Some(text) => number(*field, text),
                None => taken(operation, *field).or_else(|| planned(operation, *field)),
            };
            let untouched = typing.is_some_and(|editing| editing.input.is_untouched());
            let value = if untouched {
                was_fixed()
            } else {
                typed.or_else(was_fixed)
            };
            value.map(|value| (*field, value))
        })
        .collect()
}

/// Lets a value follow again, whoever had fixed it.
pub(super) fn let_follow(model: &mut Model, field: Field) {
    let is_planned = model
        .state()
        .and_then(|state| state.current_operation())
        .is_some_and(|o| taken(o, field).or_else(|| planned(o, field)).is_some());
    if is_planned {
        model.drafts.insert(field, String::new());
    } else {
        model.drafts.remove(&field);
    }
    refresh(model);
}

/// Names of values that are fixed while there is no recipe, with their values in mm.
pub(super) fn fixed_now(model: &Model, operation: &Operation) -> Vec<(Field, f64)> {
    fixed(model, operation)
}

/// The value that program or plan has.
fn planned(operation: &Operation, field: Field) -> Option<f64> {
    let typed = match field {
        Field::Depth => operation.depth.as_ref(),
        Field::Stepover => operation.stepover.as_ref(),
        _ => None,
    };
    typed.map(|typed| typed.value)
}

/// The value that the person had fixed when the recipe was taken.
fn taken(operation: &Operation, field: Field) -> Option<f64> {
    let recipe = operation.recipe.as_ref()?;
    recipe
        .fixed
        .contains(&field.label())
        .then_some(match field {
            Field::Depth => recipe.ap_mm,
            Field::Stepover => recipe.ae_mm,
            Field::Rpm => recipe.n_rpm,
            Field::ChipLoad => recipe.fz_mm,
            Field::Feed => recipe.vf_mm_min,
            _ => return None,
        })
}

fn calculate(model: &Model, state: &State, tool: usize) -> Result<Calculated, String> {
    let operation = state
        .current_operation()
        .filter(|operation| operation.kind.is_cut())
        .ok_or("bench work has no recipe")?;
    let rack = state.rack.get(tool).ok_or("plan a tool first")?;
    let mut fixed = fixed(model, operation);
    let stepover = fixed.iter().any(|(field, _)| *field == Field::Stepover);
    let cut = cut_of(operation.kind, stepover);
    if cut == Cut::Slot || cut.is_hole() {
        // A slot is as wide as the tool, and so is a hole.
        fixed.retain(|(field, _)| *field != Field::Stepover);
    }
    let tool = as_it_cuts(operation, rack, &fixed);
    let question = question(state, operation, rack, &tool, cut, &fixed);
    let answer = calculator::answer(&question).map_err(|refusal| refusal.to_string())?;
    let control = &state.machine.control;
    let steps = Steps {
        step: control.override_step_percent.value,
        least: control.override_least_percent.value,
        most: control.override_most_percent.value,
    };
    let advice = operation.part.as_ref().and_then(|part| {
        let feeds: Vec<Feed> = part
            .feeds_mm_min
            .iter()
            .map(|feed| quantity::mm_per_min(*feed))
            .collect();
        let programmed = part.s_rpm.map(quantity::rpm);
        calculator::advice::override_for(&feeds, programmed, None, &answer, steps)
    });
    let limits = answer
        .limits
        .iter()
        .map(|limit| LimitShown {
            name: limit.which.name().to_owned(),
            kind: limit.which.kind().word(),
            used: limit.used,
            binds: limit.binds,
            is_exceeded: limit.is_exceeded(),
            lift: limit.which.lift().to_owned(),
        })
        .collect();
    Ok(Calculated {
        tool: rack.tool.title.clone(),
        n_rpm: quantity::to_rpm(answer.n),
        vc_m_min: quantity::to_m_per_min(answer.vc),
        fz_mm: quantity::to_mm(answer.fz),
        vf_mm_min: quantity::to_mm_per_min(answer.vf),
        ap_mm: quantity::to_mm(answer.ap),
        ae_mm: quantity::to_mm(answer.ae),
        q_cm3_min: quantity::to_cm3_per_min(answer.q),
        pc_w: quantity::to_watt(answer.pc),
        step: answer.step.clone(),
        limits,
        cautions: answer.cautions.clone(),
        assumed: answer.assumed.clone(),
        trace: answer
            .trace
            .iter()
            .map(|step| format!("{}: {} ({})", step.what, step.line, step.source))
            .collect(),
        fixed: fixed.into_iter().map(|(field, _)| field).collect(),
        override_percent: advice
            .as_ref()
            .and_then(|advice| advice.percent)
            .map(|p| p.min(100.0)),
        override_words: advice.map(override_words),
    })
}

/// What is said of the override. It scales plunge and ramp as well, and a first run at more than was
/// programmed surprises: what the recipe would stand beyond that is said, and not proposed.
fn override_words(advice: OverrideAdvice) -> String {
    if advice.exact_percent <= 100.0 {
        return format!("{}; plunge and ramp are scaled too", advice.words);
    }
    format!(
        "override 100 %: the programmed feeds lie below the recipe, which would stand {:.0} %",
        advice.exact_percent
    )
}

/// The cut that the calculator reckons with. A pocket or profile of unknown stepover is taken
/// as a full slot, the worst of its cuts.
fn cut_of(kind: OperationKind, has_stepover: bool) -> Cut {
    match kind {
        OperationKind::Face => Cut::Face,
        OperationKind::Slot => Cut::Slot,
        OperationKind::Pocket | OperationKind::Profile | OperationKind::Mill if !has_stepover => {
            Cut::Slot
        }
        OperationKind::Spot | OperationKind::Drill | OperationKind::DrillThrough => Cut::Drill,
        OperationKind::Ream => Cut::Ream,
        OperationKind::Tap => Cut::Tap,
        OperationKind::Chamfer => Cut::Chamfer,
        _ => Cut::Side,
    }
}

/// The tool with the diameter that it cuts: a spot drill only goes in as deep as its point.
fn as_it_cuts(operation: &Operation, rack: &RackTool, fixed: &[(Field, f64)]) -> Tool {
    let mut tool = rack.tool.clone();
    let depth = fixed
        .iter()
        .find(|(field, _)| *field == Field::Depth)
        .map(|(_, depth)| *depth);
    if let (OperationKind::Spot, Some(depth), Some(angle)) =
        (operation.kind, depth, tool.point_angle_deg)
    {
        // Plane geometry of the point: a cone of this included angle, this deep.
        let at_depth = 2.0 * depth * (angle.to_radians() / 2.0).tan();
        if at_depth > 0.0 {
            tool.diameter_mm = tool.diameter_mm.min(at_depth);
        }
    }
    tool
}

fn question<'a>(
    state: &'a State,
    operation: &Operation,
    rack: &RackTool,
    tool: &'a Tool,
    cut: Cut,
    fixed: &[(Field, f64)],
) -> Question<'a> {
    let value = |field: Field| {
        fixed
            .iter()
            .find(|(f, _)| *f == field)
            .map(|(_, value)| *value)
    };
    let mut question = Question::new(&state.machine, &state.material, tool, cut);
    question.stick_out = Some(quantity::mm(rack.stick_out_mm()));
    question.fixed = Fixed {
        n: value(Field::Rpm).map(quantity::rpm),
        vc: value(Field::SurfaceSpeed).map(quantity::m_per_min),
        fz: value(Field::ChipLoad).map(quantity::mm),
        vf: value(Field::Feed).map(quantity::mm_per_min),
        ap: value(Field::Depth).map(quantity::mm),
        ae: value(Field::Stepover).map(quantity::mm),
    };
    question.total_depth = total_depth_mm(state, operation).map(quantity::mm);
    question.clearing = clearing(state);
    question
}

/// How deep the section goes below the top of the blank, where the program and the zero say it.
fn total_depth_mm(state: &State, operation: &Operation) -> Option<f64> {
    let lowest = operation.part.as_ref()?.lowest_z_mm?;
    let zero = state.current_setup().zero.as_ref()?;
    (zero.point.height == Height::Top && lowest < 0.0).then_some(-lowest)
}

/// How chips are cleared, by what the person said of cooling; nothing said is nothing done.
fn clearing(state: &State) -> Clearing {
    match state.stated.get("fluid") {
        Some(Value::Word(word)) => match word.as_str() {
            "air" => Clearing::Air,
            "mist" | "alcohol" => Clearing::Mist,
            "water_mix" | "neat_oil" => Clearing::Flood,
            _ => Clearing::None,
        },
        _ => Clearing::None,
    }
}

/// What would be taken into the record.
pub fn decided(calculated: &Calculated) -> Recipe {
    let round = |value: f64, step: f64| (value / step).round() * step;
    let share = |limit: &LimitShown| format!("{} {:.0} %", limit.name, limit.used * 100.0);
    Recipe {
        n_rpm: round(calculated.n_rpm, 1.0),
        vf_mm_min: round(calculated.vf_mm_min, 1.0),
        fz_mm: round(calculated.fz_mm, 0.0001),
        ap_mm: round(calculated.ap_mm, 0.001),
        ae_mm: round(calculated.ae_mm, 0.001),
        fixed: calculated.fixed.iter().map(|field| field.label()).collect(),
        override_percent: calculated.override_percent,
        binds: calculated
            .limits
            .iter()
            .find(|limit| limit.binds)
            .map(share),
        exceeded: calculated
            .limits
            .iter()
            .filter(|l| l.is_exceeded)
            .map(share)
            .collect(),
    }
}

/// The row of one value of the recipe.
pub(super) fn row(model: &Model, calculated: &Calculated, field: Field) -> Row {
    let value = match field {
        Field::Depth => show::length(quantity::mm(calculated.ap_mm), Units::Both),
        Field::Stepover => show::length(quantity::mm(calculated.ae_mm), Units::Both),
        Field::Rpm => show::rpm(quantity::rpm(calculated.n_rpm)),
        Field::SurfaceSpeed => show::speed(quantity::m_per_min(calculated.vc_m_min), Units::Both),
        Field::ChipLoad => show::length(quantity::mm(calculated.fz_mm), Units::Both),
        _ => show::feed(quantity::mm_per_min(calculated.vf_mm_min), Units::Both),
    };
    let is_fixed = calculated.fixed.contains(&field);
    let note = match (is_fixed, model.drafts.get(&field)) {
        (true, Some(typed)) => format!("fixed as {typed}; 3 lets it follow"),
        (true, None) => "fixed; 3 lets it follow".to_owned(),
        (false, _) => "computed".to_owned(),
    };
    let typed = model.drafts.get(&field).cloned();
    // While it is typed the row shows the text; else the number that is in force.
    let value = if is_fixed {
        typed.unwrap_or(value)
    } else {
        value
    };
    Row::Field {
        field,
        label: field.label(),
        value,
        note,
        mark: Mark::Good,
    }
}

/// Limits and what follows from them, in a few lines below the values.
pub(super) fn limit_words(calculated: &Calculated) -> Vec<String> {
    let mut lines = vec![format!(
        "removes {} cm3/min with {:.0} W at the cutter{}",
        plain(calculated.q_cm3_min),
        calculated.pc_w,
        calculated
            .step
            .as_ref()
            .map_or(String::new(), |step| format!(", belt {step}"))
    )];
    for limit in limits(calculated).into_iter().take(3) {
        let word = match (limit.is_exceeded, limit.binds) {
            (true, _) => "EXCEEDED",
            (false, true) => "binds",
            (false, false) => "then",
        };
        let lift = if limit.binds || limit.is_exceeded {
            format!("; lifted by: {}", limit.lift)
        } else {
            String::new()
        };
        lines.push(format!(
            "{word} {} ({}) {:.0} %{lift}",
            limit.name,
            limit.kind,
            limit.used * 100.0
        ));
    }
    lines.extend(calculated.override_words.clone());
    lines.extend(calculated.cautions.iter().take(2).cloned());
    lines
}

/// Limits, the one that binds first, then exceeded ones, then by share used.
pub fn limits(calculated: &Calculated) -> Vec<LimitShown> {
    let mut limits = calculated.limits.clone();
    limits.sort_by(|a, b| {
        (b.binds, b.is_exceeded)
            .cmp(&(a.binds, a.is_exceeded))
            .then(b.used.total_cmp(&a.used))
            .then(a.name.cmp(&b.name))
    });
    limits
}

/// What was assumed.
pub fn assumed(calculated: &Calculated) -> Vec<String> {
    calculated.assumed.clone()
}

/// The numbers to set, in one line.
pub fn short(operation: Option<&Operation>, calculated: &Calculated) -> String {
    to_set(operation, &decided(calculated), calculated.step.as_deref())
}

/// What to set at the machine for a recipe: speed, and the feed, or the override of a program's feeds.
pub fn to_set(operation: Option<&Operation>, recipe: &Recipe, step: Option<&str>) -> String {
    let step = step.map_or(String::new(), |step| format!(" (belt {step})"));
    let part = operation.and_then(|operation| operation.part.as_ref());
    let greatest = part.and_then(|part| part.feeds_mm_min.last().copied());
    match (greatest, recipe.override_percent) {
        (Some(feed), Some(percent)) => format!(
            "{:.0} rpm{step}  override {percent:.0} %, F to {:.0} mm/min",
            recipe.n_rpm,
            feed * percent / 100.0
        ),
        (Some(_), None) => {
            format!(
                "{:.0} rpm{step}   no override fits: change the program's F",
                recipe.n_rpm
            )
        }
        (None, _) => format!(
            "{:.0} rpm{step}   {:.0} mm/min",
            recipe.n_rpm, recipe.vf_mm_min
        ),
    }
}

/// Why the numbers are as they are.
pub(super) fn why_words(calculated: &Calculated) -> Vec<String> {
    let mut words: Vec<String> = calculated.cautions.clone();
    words.extend(
        calculated
            .assumed
            .iter()
            .map(|assumed| format!("assumed: {assumed}")),
    );
    words.extend(calculated.trace.iter().cloned());
    words
}

/// Rows of a comparison: label, before, after.
pub fn compare_rows(
    old: Option<&Calculated>,
    new: Option<&Calculated>,
) -> Vec<(&'static str, String, String)> {
    let both = |of: &dyn Fn(&Calculated) -> String| {
        let text = |side: Option<&Calculated>| side.map_or("-".to_owned(), of);
        (text(old), text(new))
    };
    let mut rows = vec![];
    let mut add = |label: &'static str, of: &dyn Fn(&Calculated) -> String| {
        let (before, after) = both(of);
        rows.push((label, before, after));
    };
    add("rpm", &|c| format!("{:.0}", c.n_rpm));
    add("feed mm/min", &|c| format!("{:.0}", c.vf_mm_min));
    add("override", &|c| {
        c.override_percent
            .map_or("-".to_owned(), |p| format!("{p:.0} %"))
    });
    add("chip load mm", &|c| format!("{:.4}", c.fz_mm));
    add("depth mm", &|c| plain(c.ap_mm));
    add("stepover mm", &|c| plain(c.ae_mm));
    add("surface speed m/min", &|c| format!("{:.0}", c.vc_m_min));
    add("removal cm3/min", &|c| plain(c.q_cm3_min));
    add("binds", &|c| {
        limits(c).first().map_or("-".to_owned(), |limit| {
            format!("{} {:.0} %", limit.name, limit.used * 100.0)
        })
    });
    rows
}
