//! The blank from above: zero, program, keep-outs, in characters.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::app::looking::Look;
use crate::app::model::Model;
use crate::job::typed::plain;
use crate::program::kept::Kept;
use crate::session::state::Setup;
use crate::ui::look::Style;
use crate::ui::path;

/// A terminal cell is about twice as high as it is wide.
const CELL_ASPECT: f64 = 2.0;

/// A longer program is drawn as a box here: its path is drawn when it is looked at.
const MOST_STEPS: usize = 20_000;
/// Rows of the picture beside the list.
const MOST_ROWS: usize = 26;
pub(super) const LEAST_ROWS: usize = 6;

/// Draws the blank of the setup in work from above, as large as fits.
pub fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let Some(state) = model.state() else { return };
    let setup = state.current_setup();
    let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
    let room = (
        usize::from(area.width),
        usize::from(area.height).min(MOST_ROWS),
    );
    let is_short = |kept: &Kept| kept.len() <= MOST_STEPS;
    if let Some(checked) = checked.filter(|c| c.summary.kept.as_ref().is_some_and(is_short))
        && room.1 >= LEAST_ROWS
    {
        let rows = path::picture(checked, setup, &Look::default(), style, room);
        let lines: Vec<Line> = rows
            .into_iter()
            .map(|row| Line::from(style.cut(&row, room.0)))
            .collect();
        frame.render_widget(Paragraph::new(lines), area);
        return;
    }
    let cut = model
        .work
        .as_ref()
        .and_then(|work| work.checked.as_ref())
        .map(|checked| checked.summary.extents.feed);
    let bounds = cut.as_ref().and_then(|b| Some((b.axis(0)?, b.axis(1)?)));
    frame.render_widget(Paragraph::new(lines(setup, bounds, style, area)), area);
}

type Range = (f64, f64);

/// The rows of the drawing; `cut` is the program's range in X and Y, in its own numbers.
fn lines(
    setup: &Setup,
    cut: Option<(Range, Range)>,
    style: &Style,
    area: Rect,
) -> Vec<Line<'static>> {
    let Some(stock) = &setup.stock else {
        return vec![Line::from("from above: no blank measured yet")];
    };
    let (x_mm, y_mm) = (stock.x.value, stock.y.value);
    let columns = f64::from(area.width.saturating_sub(2)).min(60.0);
    let rows = f64::from(area.height.saturating_sub(3)).min(24.0);
    if columns < 12.0 || rows < 4.0 {
        return vec![];
    }
    let mm_a_column = (x_mm / columns).max(y_mm / (rows * CELL_ASPECT));
    let width = ((x_mm / mm_a_column).round() as usize).max(2);
    let height = ((y_mm / (mm_a_column * CELL_ASPECT)).round() as usize).max(2);
    let mut cells = vec![vec![' '; width]; height];
    let column = |x: f64| ((x / x_mm * width as f64).floor().max(0.0) as usize).min(width - 1);
    let row = |y: f64| {
        height - 1 - ((y / y_mm * height as f64).floor().max(0.0) as usize).min(height - 1)
    };
    let share = setup.zero.as_ref().map(|zero| zero.point.share());
    if let (Some(share), Some((x, y))) = (share, cut) {
        let origin = [share[0] * x_mm, share[1] * y_mm];
        let (left, right) = (column(origin[0] + x.0), column(origin[0] + x.1));
        let (back, front) = (row(origin[1] + y.1), row(origin[1] + y.0));
        for line in cells.iter_mut().take(front + 1).skip(back) {
            for cell in line.iter_mut().take(right + 1).skip(left) {
                *cell = if style.is_ascii() { '.' } else { '·' };
            }
        }
    }
    for keep_out in setup.zones() {
        let (back, front) = (row(keep_out.to[1]), row(keep_out.from[1]));
        let (left, right) = (column(keep_out.from[0]), column(keep_out.to[0]));
        for line in cells.iter_mut().take(front + 1).skip(back) {
            for cell in line.iter_mut().take(right + 1).skip(left) {
                *cell = if style.is_ascii() { '/' } else { '▒' };
            }
        }
    }
    if let Some(share) = share {
        let (x, y) = (column(share[0] * x_mm), row(share[1] * y_mm));
        for (offset, sign) in ['(', '0', ')'].into_iter().enumerate() {
            let at = (x + offset).saturating_sub(1).min(width - 1);
            cells[y][at] = sign;
        }
    }
    let edge = if style.is_ascii() { "-" } else { "─" };
    let mut lines = vec![Line::from(format!(
        "from above, {} x {} mm{}",
        plain(x_mm),
        plain(y_mm),
        if share.is_some() { ", (0) is zero" } else { "" }
    ))];
    lines.push(Line::from(format!(" {}", edge.repeat(width))));
    for line in cells {
        let inner: String = line.into_iter().collect();
        lines.push(Line::from(format!("{0}{inner}{0}", style.upright())));
    }
    lines.push(Line::from(format!(" {}", edge.repeat(width))));
    lines
}
