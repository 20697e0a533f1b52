//! Header, rail, notice and footer.

use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::keeping;
use crate::app::keys;
use crate::app::model::Model;
use crate::app::model::Screen;
use crate::app::page;
use crate::app::row::Mark;
use crate::plain;
use crate::session::state::Step;
use crate::ui::look::Style;
use crate::ui::rows::wrap;

/// Header of the screens outside of a session.
pub fn list_header(model: &Model, style: &Style, width: u16) -> Vec<Line<'static>> {
    let clock = model.now.wall.format("%H:%M").to_string();
    let title = match model.screen {
        Screen::Jobs => "millside   jobs",
        _ => "millside   a new job",
    };
    let words = match model.screen {
        Screen::Jobs if !model.jobs_known => "reading the folder ...".to_owned(),
        Screen::Jobs if model.jobs.is_empty() => {
            "No job yet. Begin with the demo, it needs nothing of yours.".to_owned()
        }
        Screen::Jobs => format!(
            "Choose a job to go on with, or begin one.  {}",
            model.folder
        ),
        _ => "Fill in, then begin. A list for a person, beside the mill: it moves nothing."
            .to_owned(),
    };
    vec![
        ends(title, &clock, width, style),
        Line::from(style.cut(&format!(" {words}"), usize::from(width))),
    ]
}

fn ends(left: &str, right: &str, width: u16, style: &Style) -> Line<'static> {
    let room = usize::from(width).saturating_sub(plain::width(right) + 2);
    let left = plain::pad(&style.cut(&format!(" {left}"), room), room);
    Line::from(vec![
        Span::styled(left, style.strong()),
        Span::raw(format!(" {right} ")),
    ])
}

/// Header of a session: job, setup, operation, time of day.
pub fn header(model: &Model, style: &Style, width: u16) -> Line<'static> {
    let Some(state) = model.state() else {
        return Line::default();
    };
    let setup = state.current_setup();
    let operation = state
        .current_operation()
        .map_or(String::new(), |operation| {
            format!(
                "   {} of {}  {}",
                state.operation + 1,
                setup.operations.len(),
                plain::text(&operation.title)
            )
        });
    let sign = model
        .work
        .as_ref()
        .map(|work| keeping::sign(work, model.now));
    let mut saving = sign.unwrap_or_default();
    if !saving.is_empty() {
        saving.push_str("  ");
    }
    let left = format!(
        "{}   {}{operation}",
        plain::text(&state.head.title),
        plain::text(&setup.title)
    );
    let right = format!("{saving}{}", model.now.wall.format("%H:%M"));
    ends(&left, &right, width, style)
}

/// The rail: each step with its sign; a step without a sign is open.
pub fn rail(model: &Model, style: &Style, width: u16) -> Line<'static> {
    let Some(state) = model.state() else {
        return Line::default();
    };
    let marks: Vec<(Step, &str)> = Step::RAIL
        .into_iter()
        .map(|step| {
            let sign = match page::step_mark(state, step) {
                Mark::Good => "x",
                Mark::Redo => "!",
                Mark::Open | Mark::Optional => "",
            };
            (step, sign)
        })
        .collect();
    let long: usize = marks
        .iter()
        .map(|(step, sign)| step.word().len() + if sign.is_empty() { 1 } else { 3 })
        .sum();
    let tight = long > usize::from(width);
    let mut spans = vec![];
    if !tight {
        spans.push(Span::raw(" "));
    }
    for (place, (step, sign)) in marks.iter().enumerate() {
        let text = match *sign {
            "" => step.word().to_owned(),
            sign if tight && place == 0 => format!("{sign}{}", step.word()),
            sign => format!("{sign} {}", step.word()),
        };
        let cell = if *step == state.step {
            style.focus()
        } else if *sign == "!" {
            style.stop()
        } else {
            style.plain()
        };
        spans.push(Span::styled(text, cell));
        if place + 1 < marks.len() {
            spans.push(Span::raw(" "));
        }
    }
    Line::from(spans)
}

/// The outcome of the last key, or a thin rule. What does not fit goes on in a second row.
pub fn notice(model: &Model, style: &Style, width: u16) -> Vec<Line<'static>> {
    let columns = usize::from(width);
    let (text, cell) = if let Some(editing) = &model.editing {
        (
            format!(
                "FILLING IN {}: every key is text until Enter",
                editing.field.label()
            ),
            style.warn(),
        )
    } else if let Some(percent) = model.reading {
        (
            format!("reading the program: {percent} %   Esc leaves it"),
            style.todo(),
        )
    } else if let Some(words) = unsaved(model) {
        (format!("! {}", plain::text(&words)), style.stop())
    } else if let Some(notice) = &model.notice {
        let (sign, cell) = if notice.is_refusal {
            ("!", style.warn())
        } else {
            ("*", style.todo())
        };
        (format!("{sign} {}", plain::text(&notice.text)), cell)
    } else {
        return vec![style.rule(width)];
    };
    two_rows(&text, columns.saturating_sub(1), style)
        .into_iter()
        .map(|row| Line::styled(format!(" {row}"), cell))
        .collect()
}

/// What is wrong with the record. It goes before a confirmation, which would say that all is well, and not before a refusal.
fn unsaved(model: &Model) -> Option<String> {
    let is_refused = model.notice.as_ref().is_some_and(|said| said.is_refusal);
    let work = model.work.as_ref().filter(|_| !is_refused)?;
    keeping::words(work, model.now)
}

/// A text in at most two rows, the second set in and cut where even that is too little.
pub fn two_rows(text: &str, width: usize, style: &Style) -> Vec<String> {
    let mut parts = wrap(text, width.saturating_sub(2)).into_iter();
    let first = parts.next().unwrap_or_default();
    let rest = parts.collect::<Vec<_>>().join(" ");
    if rest.is_empty() {
        return vec![first];
    }
    if plain::width(text) <= width {
        return vec![text.to_owned()];
    }
    vec![first, style.cut(&format!("  {rest}"), width)]
}

/// What the keys do here. What lies over the screen has its keys in its own last row.
pub fn footer(model: &Model, style: &Style, width: u16) -> Line<'static> {
    if model.overlay.is_some() {
        return Line::default();
    }
    let mut spans = vec![Span::raw(" ")];
    let mut used = 1;
    for binding in keys::footer(model) {
        let length = plain::width(binding.key) + 1 + plain::width(&binding.words) + 2;
        if used + length > usize::from(width) + 2 {
            break;
        }
        used += length;
        spans.push(Span::styled(binding.key, style.strong()));
        spans.push(Span::raw(format!(" {}  ", binding.words)));
    }
    Line::from(spans)
}
