//! What stands beside or below the list: numbers to set, limits, clock, drawing, record.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::app::checking;
use crate::app::model::Model;
use crate::app::recipe;
use crate::app::watch;
use crate::app::words;
use crate::plain;
use crate::program::finding::Level;
use crate::session::clock::Phase;
use crate::session::event::Answer;
use crate::session::state::State;
use crate::ui::drawing;
use crate::ui::look::Style;
use crate::ui::rows::wrap;

/// An upright rule with a space on its left.
pub fn bar(style: &Style, frame: &mut Frame, area: Rect) {
    let lines = vec![Line::from(style.upright()); usize::from(area.height)];
    frame.render_widget(Paragraph::new(lines), area);
}

/// Two rows for narrow windows: what to set, and the clock.
pub fn strip(model: &Model, style: &Style, width: u16) -> Vec<Line<'static>> {
    let width = usize::from(width);
    let Some(state) = model.state() else {
        return vec![];
    };
    let first = style.cut(&format!(" {}", set_words(model, state)), width);
    let second = style.cut(&format!(" {}", clock_words(model, state)), width);
    vec![Line::styled(first, style.strong()), Line::from(second)]
}

fn set_words(model: &Model, state: &State) -> String {
    let operation = state.current_operation();
    let calculated = model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref());
    match operation.and_then(|o| o.recipe.as_ref()) {
        Some(taken) => {
            let step = calculated.and_then(|calculated| calculated.step.as_deref());
            let binds = taken
                .binds
                .as_ref()
                .map_or(String::new(), |binds| format!("  binds: {binds}"));
            let beyond = match taken.exceeded.as_slice() {
                [] => String::new(),
                [one] => format!("BEYOND {one}   "),
                [worst, rest @ ..] => format!("BEYOND {worst} and {} more   ", rest.len()),
            };
            format!(
                "{beyond}set  {}{binds}",
                recipe::shown::to_set(operation, taken, step)
            )
        }
        None => match calculated {
            Some(calculated) => {
                let beyond = calculated.limits.iter().any(|limit| limit.is_exceeded);
                format!(
                    "{}proposed, not taken: {}",
                    if beyond { "BEYOND A LIMIT   " } else { "" },
                    recipe::shown::short(operation, calculated)
                )
            }
            None if operation.is_some_and(|o| !o.kind.is_cut()) => {
                "no recipe: nothing is cut here".to_owned()
            }
            None => no_recipe_words(state),
        },
    }
}

/// What is missing for a recipe.
fn no_recipe_words(state: &State) -> String {
    let planned = state.planned_tool().and_then(|tool| state.rack.get(tool));
    let words = match planned {
        None => "no recipe yet: plan a tool, then recipe",
        Some(rack) if rack.tool.lacks_speed_rating() => {
            "no recipe yet: enter the speed rating of the tool at recipe"
        }
        Some(_) => "no recipe for this tool: recipe says why",
    };
    words.to_owned()
}

fn clock_words(model: &Model, state: &State) -> String {
    let progress = watch::progress(state, model.now);
    let estimate = match progress.estimate_s {
        Some(estimate) => format!(
            "estimate {}",
            words::estimate(progress.is_timed, estimate, progress.override_percent)
        ),
        None => "no estimate".to_owned(),
    };
    let next = state
        .current_setup()
        .operations
        .iter()
        .skip(state.operation + 1)
        .find(|operation| !operation.progress.is_done())
        .map_or(String::new(), |operation| {
            format!("   after this: {}", operation.title)
        });
    match state.phase() {
        None if progress.elapsed_s > 0.0 => {
            format!(
                "clock stands at {}   {estimate}{next}",
                words::time(progress.cutting_s)
            )
        }
        None => format!("clock off   {estimate}{next}"),
        Some(phase) => format!(
            "{}   cutting {}   all {}   {estimate}",
            phase.word().to_uppercase(),
            words::time(progress.cutting_s),
            words::time(progress.elapsed_s)
        ),
    }
}

/// So many limits stand beside the list where there is room for them.
const MOST_LIMITS: usize = 8;

/// So many stand there in any case.
const FEWEST_LIMITS: usize = 4;

/// The region beside the list in wide windows.
pub fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let Some(state) = model.state() else { return };
    let width = usize::from(area.width);
    let mut lines = vec![Line::styled("SET AT THE MACHINE", style.strong())];
    for part in wrap(&set_words(model, state), width) {
        lines.push(Line::from(part));
    }
    if let Some(tool) = state.planned_tool().and_then(|index| state.rack.get(index)) {
        let title = plain::text(&tool.tool.title);
        let named = format!("tool {title}");
        // Where both do not fit, the whole name goes before the word for it.
        let text = if plain::width(&named) > width {
            title
        } else {
            named
        };
        lines.extend(wrap(&text, width).into_iter().map(Line::from));
    }
    lines.push(Line::default());
    let below = below_limits(model, state, style, width);
    if let Some(calculated) = model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref())
    {
        lines.push(Line::styled(
            "LIMITS, the one that binds first",
            style.strong(),
        ));
        // Those that are far from binding give way to the drawing.
        let taken = lines.len() + below.len() + drawing::LEAST_ROWS;
        let room = usize::from(area.height).saturating_sub(taken);
        let limits: Vec<_> = recipe::shown::limits(calculated)
            .into_iter()
            .take(room.clamp(FEWEST_LIMITS, MOST_LIMITS))
            .collect();
        // The bar gives way to the name.
        let longest = limits.iter().map(|limit| limit.name.len()).max();
        let bar = width.saturating_sub(17 + longest.unwrap_or(0)).clamp(3, 10);
        for limit in limits {
            let text = format!(
                "{:>4.0} % {} {:<8} {}",
                limit.used * 100.0,
                style.bar(limit.used, bar),
                limit.kind,
                limit.name
            );
            let cell = if limit.is_exceeded {
                style.stop()
            } else if limit.binds {
                style.strong()
            } else {
                style.plain()
            };
            lines.push(Line::styled(style.cut(&text, width), cell));
        }
    }
    lines.extend(below);
    let used = u16::try_from(lines.len())
        .unwrap_or(area.height)
        .min(area.height);
    frame.render_widget(Paragraph::new(lines), area);
    let rest = Rect {
        y: area.y + used,
        height: area.height - used,
        ..area
    };
    drawing::draw(model, style, frame, rest);
}

/// What stands between the limits and the drawing: what was assumed, the program's findings, the clock.
fn below_limits(model: &Model, state: &State, style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![];
    let calculated = model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref());
    if let Some(calculated) = calculated {
        for word in recipe::shown::assumed(calculated).into_iter().take(3) {
            for part in wrap(&format!("assumed: {word}"), width) {
                lines.push(Line::from(part));
            }
        }
        lines.push(Line::default());
    }
    lines.extend(findings(model, style, width));
    lines.push(Line::styled("CLOCK", style.strong()));
    let cell = match state.phase() {
        Some(Phase::Cutting | Phase::Hands) => style.strong(),
        Some(_) => style.warn(),
        None => style.plain(),
    };
    for part in wrap(&clock_words(model, state), width) {
        lines.push(Line::styled(part, cell));
    }
    lines.push(Line::default());
    lines
}

/// Stops and warnings of the program, the worst first, whole; nothing where there are none.
fn findings(model: &Model, style: &Style, width: usize) -> Vec<Line<'static>> {
    /// More are on the page of the program.
    const MOST: usize = 3;
    let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
    let grave: Vec<String> = checked
        .iter()
        .flat_map(|checked| &checked.findings)
        .filter(|finding| finding.level != Level::Note)
        .map(checking::line)
        .collect();
    if grave.is_empty() {
        return vec![];
    }
    let mut lines = vec![Line::styled("PROGRAM, what to look at", style.strong())];
    for text in grave.iter().take(MOST) {
        let parts = wrap(text, width.saturating_sub(2));
        lines.extend(parts.iter().enumerate().map(|(place, part)| {
            let indent = if place == 0 { "" } else { "  " };
            Line::from(format!("{indent}{part}"))
        }));
    }
    if grave.len() > MOST {
        lines.push(Line::from(format!("and {} more", grave.len() - MOST)));
    }
    lines.push(Line::default());
    lines
}

/// What was written down so far, newest first.
pub fn record(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let Some(state) = model.state() else { return };
    let width = usize::from(area.width);
    let mut dated: Vec<(chrono::DateTime<chrono::FixedOffset>, String)> = vec![];
    for answered in state.answers.iter().rev().take(usize::from(area.height)) {
        let words = match &answered.answer {
            Answer::So => answered.text.to_string(),
            Answer::NotSo(words) => format!("NOT SO {}: {words}", answered.text),
        };
        dated.push((answered.at, words));
    }
    dated.extend(
        state
            .log
            .iter()
            .map(|logged| (logged.at, logged.what.row().words.to_owned())),
    );
    dated.extend(
        state
            .notes
            .iter()
            .map(|note| (note.at, format!("note: {}", note.text))),
    );
    dated.extend(state.stops.iter().map(|stop| {
        (
            stop.at,
            format!("STOP {} {}", stop.mishap.advice().title, stop.words),
        )
    }));
    dated.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    let mut lines = vec![Line::styled("WRITTEN DOWN, newest first", style.strong())];
    for (at, words) in dated {
        // What does not fit stands below, behind the time.
        let room = width.saturating_sub(6);
        for (place, part) in wrap(&plain::text(&words), room).iter().enumerate() {
            let before = if place == 0 {
                at.format("%H:%M ").to_string()
            } else {
                " ".repeat(6)
            };
            lines.push(Line::from(style.cut(&format!("{before}{part}"), width)));
        }
        if lines.len() > usize::from(area.height) {
            break;
        }
    }
    frame.render_widget(Paragraph::new(lines), area);
}
