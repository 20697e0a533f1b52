//! A recipe in rows and words.

use crate::app::field::Field;
use crate::app::model::Model;
use crate::app::recipe::Calculated;
use crate::app::recipe::LimitShown;
use crate::app::recipe::decided;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::recipe::Recipe;
use crate::job::typed::plain;
use crate::quantity;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::session::state::State;

/// The recipe before the last change.
fn before(model: &Model) -> Option<&Calculated> {
    let before = model.work.as_ref()?.before.as_ref()?;
    before.recipe.as_deref()
}

/// One value of the recipe.
fn value(calculated: &Calculated, field: Field, units: Units) -> String {
    match field {
        Field::Depth => show::length(quantity::mm(calculated.ap_mm), units),
        Field::Stepover => show::length(quantity::mm(calculated.ae_mm), units),
        Field::Rpm => show::rpm(quantity::rpm(calculated.n_rpm)),
        Field::SurfaceSpeed => show::speed(quantity::m_per_min(calculated.vc_m_min), units),
        Field::ChipLoad => show::chip_load(quantity::mm(calculated.fz_mm), units),
        _ => show::feed(quantity::mm_per_min(calculated.vf_mm_min), units),
    }
}

/// The row of one value of the recipe.
pub(in crate::app) fn row(model: &Model, calculated: &Calculated, field: Field) -> Row {
    let value = value(calculated, field, Units::Both);
    let was = before(model)
        .map(|old| self::value(old, field, Units::Metric))
        .filter(|old| *old != self::value(calculated, field, Units::Metric))
        .map(|old| format!("was {old}"));
    let kind = model.state().and_then(State::current_operation);
    let kind = kind.map(|operation| operation.kind);
    let is_hole = kind.is_some_and(OperationKind::is_hole);
    let note = match (calculated.fixed.contains(&field), was) {
        (true, Some(was)) => format!("fixed; {was}"),
        (true, None) => "fixed; 3 lets it follow".to_owned(),
        (false, Some(was)) => was,
        (false, None) if field == Field::Depth && kind == Some(OperationKind::Spot) => {
            "proposed".to_owned()
        }
        (false, None) if field == Field::Depth && is_hole => {
            "assumed: write how deep it is".to_owned()
        }
        (false, None) if field == Field::Stepover && !calculated.width_words.is_empty() => {
            calculated.width_words.clone()
        }
        (false, None) => "computed".to_owned(),
    };
    Row::Field {
        field,
        label: match field {
            Field::Depth if is_hole => "depth of the hole".to_owned(),
            _ => field.label(),
        },
        value,
        note,
        mark: Mark::Good,
    }
}

/// Limits and what follows from them, in a few lines below the values.
pub(in crate::app) fn limit_words(model: &Model, calculated: &Calculated) -> Vec<String> {
    let binding = |of: &Calculated| {
        limits(of)
            .first()
            .map(|limit| format!("{} {:.0} %", limit.name, limit.used * 100.0))
    };
    let mut lines = vec![format!(
        "removes {} cm3/min with {:.0} W at the cutter{}",
        show::three_digits(calculated.q_cm3_min),
        calculated.pc_w,
        calculated
            .step
            .as_ref()
            .map_or(String::new(), |step| format!(", belt {step}"))
    )];
    let old = before(model).and_then(binding);
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
    if let Some(old) = old.filter(|old| binding(calculated).as_ref() != Some(old)) {
        lines.push(format!("before the last change: {old}"));
    }
    lines.extend(calculated.override_words.clone());
    lines.extend(calculated.cautions.iter().take(2).cloned());
    lines.extend(calculated.entry.iter().map(|way| format!("way in: {way}")));
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
pub(in crate::app) fn why_words(calculated: &Calculated) -> Vec<String> {
    let mut words: Vec<String> = calculated.unchecked.iter().cloned().collect();
    words.extend(calculated.cautions.iter().cloned());
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
    add("chip load", &|c| {
        show::chip_load(quantity::mm(c.fz_mm), Units::Metric)
    });
    add("depth mm", &|c| plain(c.ap_mm));
    add("stepover mm", &|c| plain(c.ae_mm));
    add("surface speed m/min", &|c| format!("{:.0}", c.vc_m_min));
    add("removal cm3/min", &|c| show::three_digits(c.q_cm3_min));
    add("binds", &|c| {
        limits(c).first().map_or("-".to_owned(), |limit| {
            format!("{} {:.0} %", limit.name, limit.used * 100.0)
        })
    });
    rows
}
