//! What stands on the screen when something went wrong: the emergency card, what happened, what to do then.

use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::after_stop;
use crate::app::card;
use crate::app::cards;
use crate::app::cards::Page;
use crate::app::model::Model;
use crate::app::overlay::happenings;
use crate::app::stop_advice;
use crate::job::card::On;
use crate::job::card::StopsBy;
use crate::job::mishap::Mishap;
use crate::plain;
use crate::session;
use crate::session::clock::Phase;
use crate::session::state::State;
use crate::ui::glyphs;
use crate::ui::glyphs::Size;
use crate::ui::look::Style;
use crate::ui::overlay::beside;
use crate::ui::overlay::body;
use crate::ui::overlay::head;
use crate::ui::overlay::keys_row;
use crate::ui::overlay::number_row;
use crate::ui::rows::wrap;

/// What to do at once, before all else; in two rows where one would be cut.
pub(super) fn first_rows(
    model: &Model,
    mishap: Option<Mishap>,
    style: &Style,
    columns: usize,
) -> Vec<Line<'static>> {
    let rule = cards::rule(model, mishap);
    let whole = format!(" {}", rule.join("  "));
    let rows = if plain::width(&whole) <= columns {
        vec![whole]
    } else {
        rule.iter().map(|words| format!(" {words}")).collect()
    };
    rows.into_iter()
        .map(|row| Line::styled(row, style.stop()))
        .collect()
}

/// The card that is one key away from everywhere: the emergency stop first and large, but for the pages where it is not the first act
/// for everything.
pub(super) fn emergency(
    model: &Model,
    page: Page,
    style: &Style,
    inside: &Rect,
) -> Vec<Line<'static>> {
    let width = usize::from(inside.width).saturating_sub(4);
    let mut lines = vec![];
    let mut below = vec![];
    // Whoever is held by a current needs the mains off; half of what stands on the last page needs no stop.
    let stops_first = !matches!(page, Page::FirstAid | Page::StopOrHold);
    // Fire and injury begin with the emergency stop themselves.
    if page == Page::First {
        lines = first_of_all(model, style, width);
    }
    for (heading, on) in page.parts() {
        let texts = cards::texts(model, *on, None);
        match page {
            Page::First => {
                let lead = format!("{heading}  ");
                for (place, text) in texts.iter().enumerate() {
                    let lead = if place == 0 { lead.as_str() } else { "      " };
                    below.extend(bold(text, lead, width, style));
                }
                below.push(Line::default());
            }
            Page::Fire | Page::Injury => below.extend(card_rows(&texts, width, style)),
            Page::FirstAid => {
                below.push(head(heading, style));
                below.extend(texts.iter().flat_map(|text| bold(text, "", width, style)));
            }
            Page::StopOrHold => {
                below.push(head(heading, style));
                below.extend(blocks(model, *on, width, style));
            }
        }
    }
    if !matches!(page, Page::First | Page::StopOrHold) {
        below.push(Line::default());
    }
    let calls = page.parts().iter().any(|(_, on)| {
        cards::chosen(model, *on, None)
            .iter()
            .any(|line| line.has_number)
    });
    below.extend(said_of_the_card(model, page, calls, width));
    below.push(Line::from("  millside cannot stop the mill."));
    let keys: Vec<String> = Page::KEYS
        .iter()
        .map(|(key, _, words)| format!("{key} {words}"))
        .collect();
    let note = if card::notes(model) { "  - note" } else { "" };
    below.push(keys_row(
        &format!("{}{note}  other key: back", keys.join("  ")),
        style,
    ));
    // Large where there is room: it must be read in passing, and nothing below may be pushed off for it.
    let big = glyphs::rows("STOP", Size::Single, style.is_ascii());
    // The signal word follows the act: what is read first is what to do.
    if stops_first && let Some(first) = lines.first_mut().or(below.first_mut()) {
        first.push_span(Span::raw("   DANGER"));
    }
    let mut all: Vec<Line> = vec![];
    if stops_first && lines.len() + below.len() + big.len() < usize::from(inside.height) {
        let big = big.into_iter();
        all.extend(big.map(|row| Line::styled(format!("  {row}"), style.stop())));
        all.push(Line::default());
    }
    all.append(&mut lines);
    all.append(&mut below);
    all
}

/// The rows of the fire or the injury card, its first act marked.
fn card_rows(texts: &[String], width: usize, style: &Style) -> Vec<Line<'static>> {
    let mut rows: Vec<Line> = texts
        .iter()
        .flat_map(|text| bold(text, "", width, style))
        .collect();
    if let Some(first) = rows.first_mut() {
        *first = first.clone().style(style.stop());
    }
    rows
}

/// Lines below their headings.
fn blocks(model: &Model, on: On, width: usize, style: &Style) -> Vec<Line<'static>> {
    let lines = cards::chosen(model, on, None).into_iter();
    lines
        .flat_map(|line| {
            let look = if line.stops_by == Some(StopsBy::EmergencyStop) {
                style.stop()
            } else {
                style.strong()
            };
            if line.is_heading {
                vec![Line::styled(format!("  {}", line.text), look)]
            } else {
                bold(&line.text, "  ", width, style)
            }
        })
        .collect()
}

/// Where the words of a card come from, and the emergency number, unless it stands behind one of its lines.
fn said_of_the_card(model: &Model, page: Page, calls: bool, width: usize) -> Vec<Line<'static>> {
    let mut texts = vec![];
    // The first page keeps its rows for what is done; those behind it say where they come from.
    if !matches!(page, Page::First | Page::StopOrHold) {
        texts = cards::texts(model, On::From, None);
    }
    if !calls || model.library.emergency_number.is_none() {
        texts.push(cards::number(model));
    }
    texts.iter().flat_map(|text| body(text, width)).collect()
}

/// The emergency stop, before everything else.
fn first_of_all(model: &Model, style: &Style, width: usize) -> Vec<Line<'static>> {
    let texts = cards::texts(model, On::Stop, None);
    let mut lines = vec![];
    for (place, text) in texts.iter().enumerate() {
        let look = if place == 0 {
            style.stop()
        } else {
            style.strong()
        };
        let rows = wrap(text, width).into_iter();
        lines.extend(rows.map(|row| Line::styled(format!("  {row}"), look)));
    }
    lines
}

/// A line of a card, its further rows under its words.
fn bold(text: &str, lead: &str, width: usize, style: &Style) -> Vec<Line<'static>> {
    let room = width.saturating_sub(lead.len());
    wrap(text, room)
        .into_iter()
        .enumerate()
        .map(|(row, part)| {
            let lead = if row == 0 {
                lead.to_owned()
            } else {
                " ".repeat(lead.len().max(2))
            };
            Line::styled(format!("  {lead}{part}"), style.strong())
        })
        .collect()
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
    let mut lines = first_rows(model, None, style, usize::from(inside.width));
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

/// What to do at once.
pub(super) fn first_of(
    model: &Model,
    mishap: Mishap,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let acts = cards::first_act(model, mishap);
    acts.iter()
        .flat_map(|act| bold(act, "", width, style))
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
    let mut lines = vec![Line::styled(
        format!("  {title}: do this first"),
        style.stop(),
    )];
    lines.extend(card_rows(&cards::first_acts(model, mishap), width, style));
    lines.push(Line::default());
    lines.extend(said_of_the_card(model, Page::Fire, true, width));
    if let Some(stop) = model.state().and_then(|state| state.stops.last()) {
        let text = format!(
            "  Written down at {}; a remark can wait.",
            stop.at.format("%H:%M")
        );
        lines.push(Line::from(text));
    }
    lines.push(Line::from("  millside cannot stop the mill."));
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
    let mut lines = first_rows(model, Some(mishap), style, width + 4);
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
        let doubtful: Vec<String> = doubtful
            .into_iter()
            .map(|text| format!("! {text}"))
            .collect();
        let rows = beside(&doubtful, width).into_iter();
        lines.extend(rows.map(|row| Line::styled(format!("  {row}"), style.stop())));
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
    let go_on = cards::texts(model, On::GoOn, Some(mishap));
    lines.extend(go_on.iter().flat_map(|text| body(text, width)));
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
