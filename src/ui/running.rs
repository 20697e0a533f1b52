//! The running view: state, time left and one number, readable from where the person stands.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::text::Span;
use ratatui::widgets::Paragraph;

use crate::app::model::BigNumber;
use crate::app::model::Model;
use crate::app::readable;
use crate::app::watch;
use crate::app::watch::Progress;
use crate::app::words;
use crate::plain;
use crate::session::bond;
use crate::session::state::State;
use crate::ui::frame;
use crate::ui::glyphs;
use crate::ui::glyphs::Size;
use crate::ui::look::Style;

/// Column of the time beside the state: seven letters and a gap.
const TIME: u16 = 43;

/// Asked once, and again when the window changed; nothing waits for the answer.
const QUESTION: &str = " Stand where you stand: can you read this?   1 yes   3 no";

/// Draws the running view.
pub fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let Some(state) = model.state() else { return };
    let progress = watch::progress(state, model.now);
    let is_over = progress.left_s().is_some_and(|left| left < 0.0);
    let mut y = area.y;
    let is_cut = state
        .current_operation()
        .is_some_and(|operation| operation.kind.is_cut());
    let state_word = match (is_over, is_cut) {
        (true, _) => "OVER",
        (false, true) => "CUTTING",
        (false, false) => "WORKING",
    };
    let (time_label, time) = time_left(progress);
    let cell = if is_over || progress.is_nearly() {
        style.big_warning()
    } else {
        style.strong()
    };
    let (number_label, number) = number(model, state, progress);
    if readable::is_doubled(model) {
        for (text, label, cell) in [
            (state_word, "clock", cell),
            (time.as_str(), time_label.as_str(), cell),
            (number.as_str(), number_label.as_str(), style.strong()),
        ] {
            big(
                frame,
                style,
                area,
                &mut y,
                &[(text, 0)],
                (cell, Size::Double),
            );
            caption(frame, area, &mut y, &[(label, 0)]);
        }
    } else {
        big(
            frame,
            style,
            area,
            &mut y,
            &[(state_word, 0), (&time, TIME)],
            (cell, Size::Single),
        );
        caption(frame, area, &mut y, &[("clock", 0), (&time_label, TIME)]);
        big(
            frame,
            style,
            area,
            &mut y,
            &[(&number, 0)],
            (style.strong(), Size::Single),
        );
        caption(frame, area, &mut y, &[(&number_label, 0)]);
    }
    let rest = Rect {
        y,
        height: (area.y + area.height).saturating_sub(y),
        ..area
    };
    let mut lines = text_lines(state, progress, style, rest.width);
    if model.legible.asks {
        lines.insert(0, Line::styled(QUESTION, style.todo()));
    }
    // The last row, that these keys do not stop the mill, is never pushed off: the least of the reminders above it goes.
    while lines.len() > usize::from(rest.height) && lines.len() > 3 {
        lines.remove(lines.len() - 2);
    }
    frame.render_widget(Paragraph::new(lines), rest);
}

fn big(
    frame: &mut Frame,
    style: &Style,
    area: Rect,
    y: &mut u16,
    parts: &[(&str, u16)],
    (cell, size): (ratatui::style::Style, Size),
) {
    for (text, column) in parts {
        let place = Rect {
            x: area.x + 1 + column,
            y: *y,
            width: area.width.saturating_sub(1 + column),
            height: size.rows(),
        };
        let lines: Vec<Line> = if glyphs::width(text, size) <= usize::from(place.width) {
            glyphs::rows(text, size, style.is_ascii())
                .into_iter()
                .map(|row| Line::styled(row, cell))
                .collect()
        } else {
            // What does not fit big is whole and small, not cut.
            vec![
                Line::default(),
                Line::styled((*text).to_owned(), style.focus()),
            ]
        };
        frame.render_widget(Paragraph::new(lines), place);
    }
    *y += size.rows();
}

fn caption(frame: &mut Frame, area: Rect, y: &mut u16, parts: &[(&str, u16)]) {
    for (text, column) in parts {
        let place = Rect {
            x: area.x + 1 + column,
            y: *y,
            width: area.width.saturating_sub(1 + column),
            height: 1,
        };
        frame.render_widget(Paragraph::new((*text).to_owned()), place);
    }
    *y += 1;
}

fn time_left(progress: Progress) -> (String, String) {
    match progress.left_s() {
        None => (
            "elapsed; there is no estimate".to_owned(),
            words::time(progress.cutting_s),
        ),
        Some(left) if left >= 0.0 && progress.is_nearly() => {
            ("NEARLY UP, by the estimate".to_owned(), words::time(left))
        }
        Some(left) if left >= 0.0 => (
            {
                let least = if progress.is_timed { "" } else { " at least" };
                match progress.override_percent {
                    Some(percent) => format!("left{least}, at {percent:.0} % override"),
                    None => format!("left{least}, by the estimate"),
                }
            },
            words::time(left),
        ),
        Some(left) => (
            "over the estimate, counting up".to_owned(),
            words::time(-left),
        ),
    }
}

fn number(model: &Model, state: &State, progress: Progress) -> (String, String) {
    let recipe = state
        .current_operation()
        .and_then(|operation| operation.recipe.as_ref());
    let which = model.work.as_ref().map(|work| work.big).unwrap_or_default();
    let set = |label: &str, value: Option<String>| {
        (
            format!("{label}   (* another number)"),
            value.unwrap_or_else(|| "-".to_owned()),
        )
    };
    match which {
        BigNumber::Override => set(
            "feed override to set",
            recipe
                .and_then(|r| r.override_percent)
                .map(|p| format!("{p:.0} %")),
        ),
        BigNumber::Rpm => set("rpm to set", recipe.map(|r| format!("{:.0}", r.n_rpm))),
        BigNumber::Feed => {
            let operation = state.current_operation();
            let greatest = operation
                .and_then(|o| o.part.as_ref())
                .and_then(|part| part.feeds_mm_min.last().copied());
            set(
                "feed at most, mm/min, to set",
                recipe.map(|r| match (greatest, r.override_percent) {
                    (Some(feed), Some(percent)) => format!("{:.0}", feed * percent / 100.0),
                    _ => format!("{:.0}", r.vf_mm_min),
                }),
            )
        }
        BigNumber::Elapsed => set("elapsed, all phases", Some(words::time(progress.elapsed_s))),
    }
}

fn text_lines(state: &State, progress: Progress, style: &Style, width: u16) -> Vec<Line<'static>> {
    let mut lines = vec![];
    let mut reminders = 2;
    let share = progress
        .estimate_s
        .filter(|estimate| *estimate > 0.0)
        .map_or(String::new(), |estimate| {
            format!(
                "   time used: {:.0} % of the estimate",
                100.0 * progress.cutting_s / estimate
            )
        });
    lines.push(Line::from(format!(
        " cutting {}{share}",
        words::time(progress.cutting_s)
    )));
    if let Some(words) = bond::words(state) {
        let cell = if bond::is_due(state) {
            style.warn()
        } else {
            style.plain()
        };
        let room = usize::from(width).saturating_sub(1);
        let mut words = plain::text(&words);
        if plain::width(&words) > room {
            // The whole of it stands at hold; a row more would push the last one off the screen.
            words = words.replace(", no source)", ")");
        }
        let rows = frame::two_rows(&words, room, style);
        reminders -= rows.len() - 1;
        lines.extend(
            rows.into_iter()
                .map(|row| Line::styled(format!(" {row}"), cell)),
        );
    }
    let next = state
        .current_setup()
        .operations
        .iter()
        .enumerate()
        .skip(state.operation + 1)
        .find(|(_, operation)| !operation.progress.is_done());
    lines.push(Line::from(match next {
        Some((place, operation)) => {
            let tool = operation.tool.and_then(|index| state.rack.get(index));
            let change = match tool {
                Some(rack) if operation.tool != state.in_spindle => {
                    // The whole name stands where it is put in.
                    let tool = rack.tool.title.split(',').next().unwrap_or_default();
                    format!(": change to {}", plain::text(tool))
                }
                _ => String::new(),
            };
            format!(
                " hands needed next: {} {}{change}",
                place + 1,
                plain::text(&operation.title)
            )
        }
        None => " hands needed next: measure, while the part is held".to_owned(),
    }));
    for reminder in crate::app::page::cutting_reminders(state)
        .into_iter()
        .take(reminders)
    {
        lines.push(Line::styled(
            format!(" {}", plain::text(&reminder)),
            style.warn(),
        ));
    }
    lines.push(Line::from(vec![
        Span::raw(" These keys do not move or stop the mill."),
        Span::raw(if progress.cutting_s < 60.0 {
            "   2: the cut began 10 s earlier"
        } else {
            ""
        }),
    ]));
    lines
        .into_iter()
        .map(|line| line_cut(line, width, style))
        .collect()
}

fn line_cut(line: Line<'static>, width: u16, style: &Style) -> Line<'static> {
    if line.width() <= usize::from(width) {
        return line;
    }
    let text: String = line
        .spans
        .iter()
        .map(|span| span.content.as_ref())
        .collect();
    Line::styled(style.cut(&text, usize::from(width)), line.style)
}
