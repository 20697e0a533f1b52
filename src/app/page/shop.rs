//! Facts of the person's own shop, at the step where they stand.

use crate::app::act::Act;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::session::fact::FactState;
use crate::session::shop;
use crate::session::state::State;
use crate::session::state::Step;

/// Rows below those of the step; what a line of the page asks already is not asked twice.
pub(super) fn rows(state: &State, above: &[Row]) -> Vec<Row> {
    let is_asked = |id: &str| {
        above
            .iter()
            .any(|row| matches!(row, Row::Line(_, line) if line.id == id))
    };
    let mut rows = vec![];
    for (caution, fact) in shop::at_step(state, state.step) {
        if is_asked(&caution.id) {
            continue;
        }
        let stands = shop::stands(state, &caution.id);
        if let FactState::Redo { since, what } = &stands {
            rows.push(Row::Text(format!(
                "REDO: {} {}.",
                since.format("%H:%M"),
                what.row().words
            )));
        }
        let (mark, text) = match &stands {
            FactState::Good { since, .. } => (
                Mark::Good,
                format!("{}   since {}", caution.line, since.format("%H:%M")),
            ),
            FactState::Redo { .. } => (Mark::Redo, format!("{}   REDO", caution.line)),
            FactState::Open if fact.needed => (Mark::Open, caution.line.clone()),
            FactState::Open => (Mark::Optional, caution.line.clone()),
        };
        rows.push(match &fact.with_line {
            Some(_) if stands.is_good() => Row::Text(text),
            Some(with) => Row::Text(format!("{text}   comes with the line {with}")),
            None => Row::Do {
                act: Act::ShopFact(caution.id.clone()),
                text,
                mark,
            },
        });
    }
    if !rows.is_empty() {
        rows.insert(0, Row::Head("FACTS OF YOUR SHOP".to_owned()));
        rows.insert(0, Row::Gap);
    }
    rows
}

/// The sign of a step, where a fact of the shop that a cut needs stands worse.
pub(super) fn with_facts(state: &State, step: Step, mark: Mark) -> Mark {
    let stands: Vec<FactState> = shop::at_step(state, step)
        .filter(|(_, fact)| fact.needed)
        .map(|(caution, _)| shop::stands(state, &caution.id))
        .collect();
    let is_redo = |fact: &FactState| matches!(fact, FactState::Redo { .. });
    match mark {
        Mark::Redo => mark,
        _ if stands.iter().any(is_redo) => Mark::Redo,
        _ if stands.iter().any(|fact| !fact.is_good()) => Mark::Open,
        _ => mark,
    }
}
