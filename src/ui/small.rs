//! A window too small for a screen: what the clock shows, the keys that are left, and a short emergency card.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::app::cards;
use crate::app::model::Model;
use crate::app::overlay::Overlay;
use crate::app::small;
use crate::job::card::On;
use crate::ui::look::Style;
use crate::ui::overlay::beside;
use crate::ui::rows::wrap;

/// Draws the window.
pub(super) fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let lines = match model.overlay {
        Some(Overlay::Emergency(..)) => card(model, style, area),
        _ => said(model, style, area),
    };
    frame.render_widget(Paragraph::new(lines), area);
}

fn said(model: &Model, style: &Style, area: Rect) -> Vec<Line<'static>> {
    let (width, height) = (usize::from(area.width), usize::from(area.height));
    let says = small::says(model, area.width, area.height);
    let mut lines: Vec<Line> = vec![];
    lines.extend(says.clock.map(|clock| Line::styled(clock, style.strong())));
    let keys = beside(&says.keys, width);
    lines.extend(keys.into_iter().map(|row| Line::styled(row, style.todo())));
    for text in says.more {
        let rows = wrap(&text, width);
        // Half a sentence may say the opposite of the whole.
        if lines.len() + rows.len() <= height {
            lines.extend(rows.into_iter().map(Line::from));
        }
    }
    lines
}

/// The first page of the card with less around it; fewer words where even these do not fit.
fn card(model: &Model, style: &Style, area: Rect) -> Vec<Line<'static>> {
    let (width, height) = (usize::from(area.width), usize::from(area.height));
    // First all of it, then what must not be missed, then that in the fewest words.
    for has_short_alone in [false, true] {
        let lines = whole(model, style, width, has_short_alone);
        if lines.len() <= height {
            return lines;
        }
    }
    let parts = [On::Stop, On::FireFirst, On::HurtFirst];
    let short = parts
        .into_iter()
        .flat_map(|on| cards::chosen(model, on, None))
        .filter_map(|line| line.short.clone());
    let mut lines: Vec<Line> = short.map(Line::from).collect();
    if let Some(first) = lines.first_mut() {
        *first = first.clone().style(style.stop());
    }
    lines.push(Line::styled("other key: back", style.todo()));
    lines
}

/// The lines of the first page in full, or only those that the smallest window has too.
fn whole(model: &Model, style: &Style, width: usize, has_short_alone: bool) -> Vec<Line<'static>> {
    let mut lines: Vec<Line> = vec![];
    for (heading, on) in [
        ("", On::Stop),
        ("FIRE ", On::FireFirst),
        ("HURT ", On::HurtFirst),
    ] {
        let chosen = cards::chosen(model, on, None);
        let texts = cards::texts(model, on, None);
        for (place, (line, text)) in chosen.iter().zip(&texts).enumerate() {
            if has_short_alone && line.short.is_none() {
                continue;
            }
            let heading = if place == 0 { heading } else { "" };
            let look = if lines.is_empty() {
                style.stop()
            } else {
                style.strong()
            };
            let rows = wrap(&format!("{heading}{text}"), width).into_iter();
            lines.extend(rows.map(|row| Line::styled(row, look)));
        }
    }
    lines.push(Line::styled("other key: back", style.todo()));
    lines
}
