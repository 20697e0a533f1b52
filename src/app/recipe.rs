//! The calculator beside the checklist: what is fixed stays, the rest follows each key.

use crate::app::field;
use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::job::operation::Operation;
use crate::job::recipe::Recipe;
use crate::job::typed::plain;
use crate::quantity;
use crate::quantity::show;
use crate::quantity::show::Units;
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
    let calculated = model
        .state()
        .and_then(|state| calculate(model, state, state.planned_tool()?));
    if let Some(work) = &mut model.work {
        work.calculated = calculated;
    }
}

/// Old and new recipe for a change of tool, with the same values fixed.
pub(super) fn compare(model: &Model, to: usize) -> (Option<Calculated>, Option<Calculated>) {
    let Some(state) = model.state() else {
        return (None, None);
    };
    let old = state
        .planned_tool()
        .and_then(|tool| calculate(model, state, tool));
    (old, calculate(model, state, to))
}

/// What is fixed: the field that is being typed, else the drafts, else the taken recipe's.
fn fixed(model: &Model, operation: &Operation) -> Vec<(Field, f64)> {
    FIELDS
        .iter()
        .filter_map(|field| {
            let typing = model
                .editing
                .as_ref()
                .filter(|editing| editing.field == *field);
            let text = match typing {
                Some(editing) => editing.input.text().to_owned(),
                None => match model.drafts.get(field) {
                    Some(text) => text.clone(),
                    None => {
                        let value = taken(operation, *field).or_else(|| planned(operation, *field));
                        return value.map(|value| (*field, value));
                    }
                },
            };
            let understood = field::understand(&field.takes(), &text).ok()?;
            Some((*field, understood.number()?.value))
        })
        .collect()
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

fn calculate(model: &Model, state: &State, tool: usize) -> Option<Calculated> {
    let operation = state
        .current_operation()
        .filter(|operation| operation.kind.is_cut())?;
    let rack = state.rack.get(tool)?;
    let fixed = fixed(model, operation);
    let _ = (rack, fixed);
    None
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
pub fn short(calculated: &Calculated) -> String {
    let step = calculated
        .step
        .as_ref()
        .map_or(String::new(), |step| format!(" (belt {step})"));
    let percent = calculated
        .override_percent
        .map_or(String::new(), |percent| {
            format!(" = override {percent:.0} %")
        });
    format!(
        "{:.0} rpm{step}   {:.0} mm/min{percent}",
        calculated.n_rpm, calculated.vf_mm_min
    )
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
