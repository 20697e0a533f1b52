//! The calculator beside the checklist: what is fixed stays, the rest follows each key.

mod proposal;
pub mod shown;

use std::collections::BTreeMap;

use crate::app::field;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::model::Work;
use crate::app::pilots;
use crate::app::pilots::InSteps;
use crate::app::threads;
use crate::app::ways;
use crate::calculator;
use crate::calculator::advice::OverrideAdvice;
use crate::calculator::advice::Steps;
use crate::calculator::alternative;
use crate::calculator::question::Cut;
use crate::calculator::question::Fixed;
use crate::calculator::question::Question;
use crate::cutting::packing::Clearing;
use crate::job::conditions::Value;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::recipe::Recipe;
use crate::job::tool::Tool;
use crate::job::zero::Height;
use crate::quantity;
use crate::quantity::Feed;
use crate::quantity::SpindleSpeed;
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
    /// How far tool and machine give way under the cut, together, mm.
    pub deflection_mm: f64,
    /// Power at the cutter in W.
    pub pc_w: f64,
    /// Belt step to choose, if there is a choice.
    pub step: Option<String>,
    /// Limits, the one that binds first.
    pub limits: Vec<LimitShown>,
    /// Whether the tool can turn faster than it is rated for: such a recipe is not taken.
    pub is_over_speed_rating: bool,
    /// What holds the stepover, where limits do; may be empty.
    pub width_words: String,
    /// What to raise next after a first cut that went well; may be empty.
    pub next_words: String,
    /// What to mind.
    pub cautions: Vec<String>,
    /// A danger that could not be worked out, for want of what holds: said before the recipe is taken.
    pub unchecked: Option<String>,
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
    /// How the tool gets into the metal.
    pub entry: Vec<String>,
    /// The hole that a drill opens, mm.
    pub pilot_mm: Option<f64>,
    /// What to drill first, where a drill asks for more than head or motor give in a first cut.
    pub in_steps: Option<InSteps>,
    /// Ways out, where a danger is passed.
    pub ways: Vec<ways::Shown>,
}

impl Calculated {
    /// Whether another recipe would look the same to the person: all that is set, and what binds.
    fn reads_like(&self, other: &Self) -> bool {
        let figures = |of: &Self| {
            [
                of.n_rpm,
                of.vc_m_min,
                of.fz_mm,
                of.vf_mm_min,
                of.ap_mm,
                of.ae_mm,
            ]
        };
        figures(self) == figures(other)
            && self.tool == other.tool
            && shown::limits(self).first() == shown::limits(other).first()
    }
}

/// The recipe before the last change, for the operation it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct Before {
    /// Setup and operation, counted from 0.
    pub place: (usize, usize),
    /// The field that was typed in while it changed: a number is typed digit by digit, and the recipe before
    /// the first of them is meant.
    pub during: Option<Field>,
    /// The recipe; none while nothing has changed yet.
    pub recipe: Option<Box<Calculated>>,
}

/// Works out the recipe of the operation in work again.
pub(super) fn refresh(model: &mut Model) {
    let worked_out = match model.state() {
        Some(state) => state
            .planned_tool()
            .map(|tool| calculate(model, state, tool)),
        None => None,
    };
    let editing = model.editing.as_ref().map(|editing| editing.field);
    if let Some(work) = &mut model.work {
        match worked_out {
            Some(Ok(calculated)) => {
                remember(work, Some(&calculated), editing);
                work.calculated = Some(calculated);
                work.no_recipe = None;
            }
            Some(Err(why)) => {
                remember(work, None, editing);
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

/// Keeps the recipe that is about to be replaced, so that the page can say what changed. There may be no new one: the first digits
/// of a number can be out of reach.
fn remember(work: &mut Work, new: Option<&Calculated>, editing: Option<Field>) {
    let state = work.session.state();
    let place = (state.setup, state.operation);
    let Some(before) = work.before.as_mut().filter(|before| before.place == place) else {
        work.before = Some(Before {
            place,
            during: None,
            recipe: None,
        });
        return;
    };
    let differs = |old: &&Calculated| new.is_none_or(|new| !old.reads_like(new));
    if let Some(old) = work.calculated.as_ref().filter(differs)
        && (editing.is_none() || before.during != editing)
    {
        before.recipe = Some(Box::new(old.clone()));
        before.during = editing;
    }
    if editing.is_none() {
        before.during = None;
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
    let thread = match cut {
        Cut::Thread => Some(threads::of_operation(operation, &rack.tool)?),
        _ => None,
    };
    if cut == Cut::Slot || cut.is_hole() {
        // A slot is as wide as the tool, and so is a hole.
        fixed.retain(|(field, _)| *field != Field::Stepover);
    }
    let mut given = fixed.clone();
    let total = total_depth_mm(state, operation);
    let first = proposal::first(state, operation, rack, total, &mut given);
    if first.is_some() && !(cut.is_hole() && operation.part.is_some()) {
        proposal::keep_limits(&mut given, |given| {
            let tool = as_it_cuts(operation, rack, given);
            let question = question(state, operation, rack, &tool, cut, given);
            calculator::answer(&question).ok()
        });
    }
    let tool = as_it_cuts(operation, rack, &given);
    let heard: Vec<SpindleSpeed> = state
        .heard
        .iter()
        .map(|mode| quantity::hertz(mode.hz))
        .collect();
    let mut question = question(state, operation, rack, &tool, cut, &given);
    question.heard = &heard;
    question.is_depth_proposed = first.is_some();
    question.thread = thread.as_ref().map(|size| quantity::mm(size.diameter_mm));
    question.pitch = thread.as_ref().map(|size| quantity::mm(size.pitch_mm));
    let answer = calculator::answer(&question).map_err(|refusal| refusal.to_string())?;
    // What was passed is rare and asks for a way out; what is kept asks for nothing.
    let others: Vec<Tool> = state.rack.iter().map(|rack| rack.tool.clone()).collect();
    let ways = ways::shown(alternative::alternatives(&question, &answer, &others));
    let holding = state.current_setup().holding.as_ref();
    let unchecked = holding
        .filter(|holding| holding.by.is_bond() && holding.pull_n.is_none() && !cut.is_hole())
        .map(|holding| {
            format!(
                "what the {} stands is not stated at hold: the lift of the part is not checked",
                holding.by.word()
            )
        });
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
        let in_cut = operation.read_rpm.map(quantity::rpm);
        calculator::advice::override_for(&feeds, programmed, in_cut, &answer, steps)
    });
    let is_passed = answer.limits.iter().any(|limit| limit.is_exceeded());
    let limits = answer
        .limits
        .iter()
        .map(|limit| LimitShown {
            name: limit.which.name().to_owned(),
            kind: limit.which.kind().word(),
            used: limit.used,
            binds: limit.binds,
            is_exceeded: limit.is_exceeded(),
            lift: limit.which.lift(cut).to_owned(),
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
        deflection_mm: quantity::to_mm(answer.bend_tool + answer.bend_machine()),
        pc_w: quantity::to_watt(answer.pc),
        step: answer.step.clone(),
        limits,
        is_over_speed_rating: answer.is_over_speed_rating(),
        width_words: answer.width_words(),
        next_words: answer.next_words(),
        cautions: answer.cautions.clone(),
        unchecked,
        assumed: first
            .into_iter()
            .chain(answer.assumed.iter().cloned())
            .collect(),
        trace: answer
            .trace
            .iter()
            .map(|step| format!("{}: {} ({})", step.what, step.line, step.source))
            .collect(),
        fixed: fixed.into_iter().map(|(field, _)| field).collect(),
        override_percent: advice
            .as_ref()
            .filter(|_| !is_passed)
            .and_then(|advice| advice.percent)
            .map(|p| p.min(100.0)),
        override_words: advice.map(|advice| {
            if is_passed {
                return "override: not worked out while a danger limit is passed".to_owned();
            }
            let words = override_words(advice);
            if operation.depth.is_some() {
                words
            } else {
                format!(
                    "{words}; the program's passes are held against it once blank and zero are known: none deeper than {}",
                    quantity::show::length(answer.ap, quantity::show::Units::Metric)
                )
            }
        }),
        pilot_mm: question.pilot.map(quantity::to_mm),
        in_steps: pilots::work_out(model, state, &question, &answer),
        entry: answer
            .entry
            .as_ref()
            .map_or(vec![], |entry| entry.words(answer.ap)),
        ways,
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
        OperationKind::ThreadMill => Cut::Thread,
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
    question.widest = proposal::widest_mm(operation, tool).map(quantity::mm);
    question.total_depth = total_depth_mm(state, operation).map(quantity::mm);
    let pilot = operation.pilot.as_ref();
    question.pilot = pilot.map(|hole| quantity::mm(hole.value));
    question.clearing = clearing(state);
    question.in_cut = operation.read_rpm.map(quantity::rpm);
    let holding = state.current_setup().holding.as_ref();
    question.part_hold = holding
        .and_then(|holding| holding.pull_n)
        .map(quantity::newton);
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
        belt: calculated.step.clone(),
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
