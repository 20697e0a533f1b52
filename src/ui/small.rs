//! A window too small for a screen: what the clock shows, the keys that are left, and a short emergency card.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::app::after_stop;
use crate::app::model::Model;
use crate::app::overlay::Overlay;
use crate::app::small;
use crate::session::known;
use crate::ui::look::Style;
use crate::ui::overlay::beside;
use crate::ui::rows::wrap;

/// Draws the window.
pub(super) fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let lines = match model.overlay {
        Some(Overlay::Emergency(_)) => card(model, style, area),
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

/// The lines of the card with less around them; fewer words where even these do not fit.
fn card(model: &Model, style: &Style, area: Rect) -> Vec<Line<'static>> {
    let known = model.state().map(known::conditions).unwrap_or_default();
    let fire = after_stop::fire_words(&known);
    let mut lines = vec![Line::styled("DANGER", style.stop())];
    let steps: [&[&str]; 4] = [
        &["Emergency stop. Now."],
        &["Step back. Do not reach in. Wait until all is still."],
        &fire,
        &["Hurt: first aid, call for help."],
    ];
    let room = usize::from(area.width).saturating_sub(2);
    for (place, texts) in steps.into_iter().enumerate() {
        let rows = texts.iter().flat_map(|text| wrap(text, room));
        for (row, text) in rows.enumerate() {
            let number = if row == 0 {
                (place + 1).to_string()
            } else {
                " ".to_owned()
            };
            lines.push(Line::styled(format!("{number} {text}"), style.strong()));
        }
    }
    lines.push(Line::styled("any key but . goes back", style.todo()));
    if lines.len() > usize::from(area.height) {
        let short = [
            "EMERGENCY STOP NOW",
            "Stand back",
            after_stop::fire_short(&known),
            "First aid, call help",
            "other key: back",
        ];
        lines = short.into_iter().map(Line::from).collect();
        lines[0] = lines[0].clone().style(style.stop());
    }
    lines
}
