//! What stands on the screen when something went wrong: the emergency card, what happened, what to do then.

use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::after_stop;
use crate::app::model::Model;
use crate::app::overlay::happenings;
use crate::app::stop_advice;
use crate::job::mishap::FIRST_LINE;
use crate::job::mishap::Mishap;
use crate::plain;
use crate::session;
use crate::session::clock::Phase;
use crate::session::known;
use crate::session::state::State;
use crate::ui::look::Style;
use crate::ui::overlay::body;
use crate::ui::overlay::head;
use crate::ui::overlay::keys_row;
use crate::ui::overlay::number_row;

/// What to do at once, before all else; in two rows where one would be cut.
pub(super) fn first_rows(style: &Style, columns: usize) -> Vec<Line<'static>> {
    let whole = format!(" {FIRST_LINE}");
    let rows = if plain::width(&whole) <= columns {
        vec![whole]
    } else {
        let sentences = FIRST_LINE.split("  ");
        sentences.map(|words| format!(" {words}")).collect()
    };
    rows.into_iter()
        .map(|row| Line::styled(row, style.stop()))
        .collect()
}

/// The card that is one key away from everywhere.
pub(super) fn emergency(model: &Model, style: &Style) -> Vec<Line<'static>> {
    let known = model.state().map(known::conditions).unwrap_or_default();
    let fire = after_stop::fire_words(&known).join("\n   ");
    let fire = format!("3  {fire}");
    let mut lines = vec![Line::styled("  DANGER", style.stop()), Line::default()];
    for text in [
        "1  Emergency stop. Now.",
        "2  Step back. Do not reach in. Wait until all is still.",
        &fire,
        "4  Hurt: first aid, call for help. The job can wait.",
    ] {
        for row in text.lines() {
            lines.push(Line::styled(format!("  {row}"), style.strong()));
        }
        lines.push(Line::default());
    }
    lines.push(Line::from("  This program cannot stop the mill."));
    lines.push(keys_row("any key but . goes back", style));
    lines
}

/// What may have happened, by number.
pub(super) fn happened(
    model: &Model,
    typed: &str,
    cursor: Option<usize>,
    style: &Style,
    inside: &Rect,
) -> Vec<Line<'static>> {
    let waits = model.state().and_then(State::phase) == Some(Phase::Waiting);
    let mut lines = first_rows(style, usize::from(inside.width));
    lines.push(head(
        &format!(
            "WHAT HAPPENED? its number, then Enter{}",
            if waits { "   The clock waits." } else { "" }
        ),
        style,
    ));
    let all = happenings();
    let half = all.len().div_ceil(2);
    let words = |index: usize| {
        let what = all.get(index)?;
        Some(format!("{:>2} {}", index + 1, what.words()))
    };
    // The left column is as wide as it must be, and two apart where there is room: the longest stands on the right.
    let longest = |places: std::ops::Range<usize>| {
        let widths = places.filter_map(words).map(|text| plain::width(&text));
        widths.max().unwrap_or(0)
    };
    let (least, other) = (longest(0..half), longest(half..all.len()));
    let width = usize::from(inside.width);
    let lead = if least + other + 3 > width { 1 } else { 2 };
    let room = width.saturating_sub(lead);
    let left = (least + 2).min(room.saturating_sub(other).max(least + 1));
    let right = room.saturating_sub(left);
    for place in 0..half {
        let mut spans = vec![Span::raw(" ".repeat(lead - 1))];
        // The sign stands in the column before each cell, and shows where there is no colour and no reverse.
        for (index, wide) in [(place, left - 1), (place + half, right)] {
            let Some(text) = words(index) else { continue };
            let text = plain::pad(&style.cut(&text, wide), wide);
            let (sign, cell) = if Some(index) == cursor {
                (">", style.focus())
            } else {
                (" ", style.plain())
            };
            spans.push(Span::styled(format!("{sign}{text}"), cell));
        }
        lines.push(Line::from(spans));
    }
    let chosen = cursor
        .and_then(|place| all.get(place))
        .map(|what| what.words());
    lines.push(number_row(typed, chosen, "nothing happened", style));
    lines.push(keys_row("Enter take it   0 Enter nothing happened", style));
    lines
}

/// What to do at once: the acts of what cannot wait, else one line.
pub(super) fn first_of(
    model: &Model,
    mishap: Mishap,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let acts = after_stop::first_acts(model, mishap);
    if acts.is_empty() {
        return body(mishap.advice().first, width);
    }
    acts.into_iter()
        .map(|act| Line::styled(format!("  {act}"), style.strong()))
        .collect()
}

/// Nothing but what to do, before anything is asked.
pub(super) fn acts(
    model: &Model,
    mishap: Mishap,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let title = mishap.advice().title.to_uppercase();
    let mut lines = vec![
        Line::styled(format!("  {title}: do this first"), style.stop()),
        Line::default(),
    ];
    for act in first_of(model, mishap, style, width) {
        lines.extend([act, Line::default()]);
    }
    if let Some(stop) = model.state().and_then(|state| state.stops.last()) {
        let text = format!(
            "  Written down at {}; a remark can wait.",
            stop.at.format("%H:%M")
        );
        lines.push(Line::from(text));
    }
    lines.push(Line::from("  This program cannot stop the mill."));
    lines.push(keys_row(
        "when nobody is in danger: any key, then what you saw",
        style,
    ));
    lines
}

/// What a mishap makes doubtful, what to check, to change, and how to go on.
pub(super) fn advice(
    model: &Model,
    mishap: Mishap,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let advice = mishap.advice();
    let last = model.state().and_then(|state| state.stops.last());
    let noted = match last {
        Some(stop) if stop.words.is_empty() => "   noted, without a remark",
        _ => "",
    };
    let title = format!("{}{noted}", advice.title.to_uppercase());
    let mut lines = first_rows(style, width + 4);
    lines.push(head(&title, style));
    lines.extend(first_of(model, mishap, style, width));
    let mut doubtful: Vec<&str> = vec![];
    if let Some(state) = model.state() {
        for what in session::doubts(state, mishap) {
            for kind in what.withdraws() {
                if state.fact(kind).word() == "redo" && !doubtful.contains(&kind.statement()) {
                    doubtful.push(kind.statement());
                }
            }
        }
    }
    if !doubtful.is_empty() {
        lines.push(head("NOW DOUBTFUL", style));
        lines.extend(
            doubtful
                .into_iter()
                .map(|text| Line::styled(format!("  ! {text}"), style.stop())),
        );
    }
    lines.push(head("CHECK, in this order", style));
    for (place, text) in stop_advice::checks(model, mishap).iter().enumerate() {
        lines.extend(body(&format!("{} {text}", place + 1), width));
    }
    lines.push(head("CHANGE", style));
    for text in stop_advice::changes(model, mishap) {
        lines.extend(body(&format!("- {text}"), width));
    }
    lines.push(head("GO ON, if you choose to", style));
    lines.extend(body(advice.go_on, width));
    let into = model
        .state()
        .filter(|_| after_stop::may_go_on(mishap))
        .and_then(after_stop::into_operation);
    let again = into.map_or(String::new(), |into| {
        format!("6 begin again before {into}   or ")
    });
    let waits = model.state().and_then(State::phase) == Some(Phase::Waiting);
    let clock = if waits { "; the clock waits" } else { "" };
    lines.push(keys_row(
        &format!("{again}any key: back to the list{clock}"),
        style,
    ));
    lines
}
