//! Drawing the model. Changes nothing.

mod drawing;
mod files;
mod frame;
pub mod glyphs;
pub mod look;
mod looked_at;
mod overlay;
mod path;
mod rows;
mod running;
mod side;
mod small;
mod stopped;
mod unsaved;

use ratatui::Frame;
use ratatui::layout::Constraint;
use ratatui::layout::Layout;
use ratatui::layout::Rect;
use ratatui::widgets::Clear;
use ratatui::widgets::Paragraph;

use crate::app::keys;
use crate::app::model::BESIDE;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::readable;
use crate::app::small::LEAST;
use crate::ui::look::Style;

/// From this width on the record of the session stands at the right edge.
const RECORD: u16 = 150;

/// Draws the whole screen.
pub fn view(model: &Model, frame: &mut Frame) {
    let style = Style::new(model.look);
    let area = frame.area();
    frame.buffer_mut().set_style(area, style.ground());
    if area.width < LEAST.0 || area.height < LEAST.1 {
        small::draw(model, &style, frame, area);
        return;
    }
    match model.screen {
        Screen::Jobs | Screen::Begin => list_screen(model, &style, frame, area),
        Screen::Session => session_screen(model, &style, frame, area),
    }
    if let Some(over) = &model.overlay {
        let (inside, lines) = overlay::lines(model, over, &style, area);
        frame.render_widget(Clear, inside);
        frame.buffer_mut().set_style(inside, style.ground());
        frame.render_widget(Paragraph::new(lines), inside);
    }
}

fn list_screen(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let said = frame::notice(model, style, area.width);
    let [head, rule, body, notice, foot] = area.layout(&Layout::vertical([
        Constraint::Length(2),
        Constraint::Length(1),
        Constraint::Fill(1),
        Constraint::Length(if said.len() > 1 { 2 } else { 1 }),
        Constraint::Length(1),
    ]));
    frame.render_widget(
        Paragraph::new(frame::list_header(model, style, head.width)),
        head,
    );
    frame.render_widget(Paragraph::new(style.rule(rule.width)), rule);
    let body = Rect {
        width: body.width.min(110),
        ..body
    };
    rows::draw(model, style, frame, body);
    frame.render_widget(Paragraph::new(said), notice);
    frame.render_widget(
        Paragraph::new(frame::footer(model, style, foot.width)),
        foot,
    );
}

fn session_screen(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let is_wide = area.width >= BESIDE;
    let strip_height = if is_wide { 0 } else { 2 };
    let said = frame::notice(model, style, area.width);
    let [head, rail, rule, body, rule2, strip, notice, foot] = area.layout(&Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Fill(1),
        Constraint::Length(u16::from(!is_wide)),
        Constraint::Length(strip_height),
        Constraint::Length(if said.len() > 1 { 2 } else { 1 }),
        Constraint::Length(1),
    ]));
    frame.render_widget(
        Paragraph::new(frame::header(model, style, head.width)),
        head,
    );
    frame.render_widget(Paragraph::new(frame::rail(model, style, rail.width)), rail);
    frame.render_widget(Paragraph::new(style.rule(rule.width)), rule);
    let running = keys::place(model) == keys::Place::Running;
    if running && readable::is_doubled(model) {
        // The large letters need the place of what stands beside them.
        running::draw(model, style, frame, body);
    } else if is_wide {
        let record = if area.width >= RECORD { 38 } else { 0 };
        let [left, gap, right, gap2, far] = body.layout(&Layout::horizontal([
            Constraint::Length(78),
            Constraint::Length(2),
            Constraint::Fill(1),
            Constraint::Length(if record > 0 { 2 } else { 0 }),
            Constraint::Length(record),
        ]));
        main_part(model, style, frame, left, running);
        side::bar(style, frame, gap);
        side::draw(model, style, frame, right);
        if record > 0 {
            side::bar(style, frame, gap2);
            side::record(model, style, frame, far);
        }
    } else {
        main_part(model, style, frame, body, running);
        frame.render_widget(Paragraph::new(style.rule(rule2.width)), rule2);
        frame.render_widget(
            Paragraph::new(side::strip(model, style, strip.width)),
            strip,
        );
    }
    frame.render_widget(Paragraph::new(said), notice);
    frame.render_widget(
        Paragraph::new(frame::footer(model, style, foot.width)),
        foot,
    );
}

fn main_part(model: &Model, style: &Style, frame: &mut Frame, area: Rect, running: bool) {
    if running {
        running::draw(model, style, frame, area);
    } else if model.record_hides_rows() {
        side::record(model, style, frame, area);
    } else {
        rows::draw(model, style, frame, area);
    }
}
