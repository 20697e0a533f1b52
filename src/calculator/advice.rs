//! The override to set for a program's speeds and feeds.

use crate::calculator::answer::Answer;
use crate::quantity::Feed;
use crate::quantity::SpindleSpeed;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::to_mm_per_min;
use crate::quantity::to_rpm;

/// Steps of a control's feed override, percent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steps {
    /// Distance between two steps.
    pub step: f64,
    /// Least setting.
    pub least: f64,
    /// Greatest setting.
    pub most: f64,
}

/// What to set, and what it makes of each feed.
#[derive(Clone, Debug, PartialEq)]
pub struct OverrideAdvice {
    /// Percent to set; `None` when no step keeps the chip load at or under the recipe's.
    pub percent: Option<f64>,
    /// Percent that would be right without steps.
    pub exact_percent: f64,
    /// Each programmed feed with what comes of it, least first.
    pub feeds: Vec<(Feed, Feed)>,
    /// Speed in the cut over the programmed speed, percent, where it is programmed.
    pub speed_percent: Option<f64>,
    /// In one or two sentences.
    pub words: String,
}

/// Returns the feed override for a section of a program.
///
/// One percent scales every F, plunge and ramp too, so the greatest programmed feed sets it: scaled, it is
/// to be no more than the recipe's feed at the speed in the cut (`in_cut`, read where a knob sets it; else the
/// recipe's). It is rounded down to the control's steps. `None` when the section has no feed.
pub fn override_for(
    feeds: &[Feed],
    programmed: Option<SpindleSpeed>,
    in_cut: Option<SpindleSpeed>,
    answer: &Answer,
    steps: Steps,
) -> Option<OverrideAdvice> {
    let mut sorted: Vec<Feed> = feeds
        .iter()
        .copied()
        .filter(|feed| to_mm_per_min(*feed).is_finite() && to_mm_per_min(*feed) > 0.0)
        .collect();
    sorted.sort_by(|a, b| to_mm_per_min(*a).total_cmp(&to_mm_per_min(*b)));
    let greatest = to_mm_per_min(*sorted.last()?);
    let speed = in_cut.unwrap_or(answer.n);
    // The chip load is to stay that of the recipe.
    let wanted = to_mm_per_min(answer.vf) * to_rpm(speed) / to_rpm(answer.n);
    let exact = 100.0 * wanted / greatest;
    let percent = fit(exact, steps);
    let feeds: Vec<(Feed, Feed)> = sorted
        .iter()
        .map(|feed| (*feed, *feed * (percent.unwrap_or(exact) / 100.0)))
        .collect();
    let speed_percent = programmed
        .filter(|s| to_rpm(*s) > 0.0)
        .map(|s| 100.0 * to_rpm(speed) / to_rpm(s));
    let worst = |share: f64| {
        show::feed(
            crate::quantity::mm_per_min(greatest * share / 100.0),
            Units::Metric,
        )
    };
    let words = match percent {
        Some(percent) => format!(
            "override {percent:.0} %: the greatest programmed feed becomes {}, the recipe's is {}",
            worst(percent),
            show::feed(answer.vf, Units::Metric)
        ),
        None => format!(
            "no step of the override fits: {exact:.0} % is wanted, the least is {:.0} %; \
             change the F words of the program",
            steps.least
        ),
    };
    Some(OverrideAdvice {
        percent,
        exact_percent: exact,
        feeds,
        speed_percent,
        words,
    })
}

/// The greatest step that is not above a percentage; none where that lies below the least.
pub fn fit(exact: f64, steps: Steps) -> Option<f64> {
    let step = if steps.step > 0.0 { steps.step } else { 1.0 };
    let fitting = ((exact + 1e-6) / step).floor() * step;
    let fitting = fitting.min(steps.most);
    (fitting >= steps.least && fitting > 0.0).then_some(fitting)
}
