//! Rows of a page: lines to answer, fields, things to do, text.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::text::Span;
use ratatui::widgets::Paragraph;

use crate::app::answering;
use crate::app::field;
use crate::app::field::Takes;
use crate::app::model::Editing;
use crate::app::model::Model;
use crate::app::page;
use crate::app::reasons;
use crate::app::row;
use crate::app::row::Mark;
use crate::app::row::Row;
use crate::plain;
use crate::session::gate::Line as GateLine;
use crate::session::gate::LineState;
use crate::session::gate::ListKind;
use crate::session::gate::Way;
use crate::ui::look::Style;
use crate::ui::overlay::beside;

/// Columns of the label before a field.
const LABEL: usize = 27;

/// Draws the rows of the page that is shown; the chosen one is always in sight.
pub fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let width = usize::from(area.width);
    let rows = &model.rows;
    let chosen = row::chosen_place(rows, model.cursor);
    let mut lines: Vec<Line> = vec![];
    let mut focus = (0, 1);
    let mut input_at = None;
    let mut last_reason = None;
    for (place, row) in rows.iter().enumerate() {
        let is_chosen = Some(place) == chosen;
        let first = lines.len();
        match row {
            Row::Gap => lines.push(Line::default()),
            Row::Head(text) => {
                lines.push(Line::styled(
                    style.cut(&format!(" {}", plain::text(text)), width),
                    style.strong(),
                ));
            }
            Row::Text(text) => {
                let cell = if text.starts_with("REDO") || text.starts_with("STOP") {
                    style.stop()
                } else {
                    style.plain()
                };
                for part in wrap(&plain::text(text), width.saturating_sub(5).min(100)) {
                    lines.push(Line::styled(format!("     {part}"), cell));
                }
            }
            Row::Line(kind, line) => {
                let keys = answer_keys(model, *kind, line);
                gate_line(line, &keys, is_chosen, width, style, &mut lines);
                reason_once(line, &mut last_reason, style, &mut lines, first);
            }
            Row::End {
                list,
                text,
                is_answered,
            } => end_line(
                *list,
                text,
                *is_answered,
                is_chosen,
                width,
                style,
                &mut lines,
            ),
            Row::Do { text, mark, .. } => {
                let lead = lead(is_chosen, *mark);
                let mut parts = wrap(&plain::text(text), width.saturating_sub(6)).into_iter();
                let first = parts.next().unwrap_or_default();
                lines.push(Line::styled(
                    format!("{lead}{first}"),
                    cell_of(is_chosen, *mark, style),
                ));
                lines.extend(parts.map(|part| Line::from(format!("      {part}"))));
            }
            Row::Field {
                field,
                label,
                value,
                note,
                mark,
            } => {
                let editing = model
                    .editing
                    .as_ref()
                    .filter(|e| e.field == *field && is_chosen);
                match editing {
                    Some(editing) => {
                        input_at = Some((lines.len(), editing));
                        edited_field(model, editing, label, width, style, &mut lines);
                    }
                    None => {
                        field_lines(
                            &Shown {
                                label,
                                value,
                                note,
                                mark: *mark,
                            },
                            is_chosen,
                            width,
                            style,
                            &mut lines,
                        );
                    }
                }
            }
        }
        if is_chosen {
            focus = (first, lines.len());
        }
    }
    let height = usize::from(area.height);
    let (top, room) = window(&lines, height, width, &focus);
    if let Some((at, editing)) = input_at
        && at >= top
        && at - top < room
    {
        let column = 2
            + 2
            + LABEL
            + editing
                .input
                .cursor()
                .saturating_sub(hidden(editing, width));
        let column = u16::try_from(column)
            .unwrap_or(u16::MAX)
            .min(area.width.saturating_sub(1));
        let row = u16::try_from(at - top).unwrap_or(0);
        frame.set_cursor_position((area.x + column, area.y + row));
    }
    let below = lines.len().saturating_sub(top + room);
    let shown: Vec<Line> = lines.into_iter().skip(top).take(room).collect();
    frame.render_widget(Paragraph::new(shown), area);
    if below > 0 && area.height > 0 {
        let text = more_below(below);
        let columns = u16::try_from(text.len())
            .unwrap_or(area.width)
            .min(area.width);
        let place = Rect {
            x: area.x + area.width - columns,
            y: area.y + area.height - 1,
            width: columns,
            height: 1,
        };
        frame.render_widget(Paragraph::new(Line::styled(text, style.todo())), place);
    }
}

/// What stands at the end of the last row where more follow.
fn more_below(count: usize) -> String {
    format!(" {count} more below ")
}

/// From which line on how many are shown, so that what is chosen is in sight with a little of what comes before and after.
///
/// Where the last row has no room for how many follow, that stands in a row of its own.
fn window(
    lines: &[Line<'_>],
    height: usize,
    width: usize,
    focus: &(usize, usize),
) -> (usize, usize) {
    let count = lines.len();
    if count <= height {
        return (0, height);
    }
    let top_of = |room: usize| {
        if focus.1 + 2 <= room {
            0
        } else {
            (focus.1 + 2).min(count).saturating_sub(room).min(focus.0)
        }
    };
    let top = top_of(height);
    let below = count.saturating_sub(top + height);
    let last = top + height.saturating_sub(1);
    let is_free = |line: &Line<'_>| line.width() + more_below(below).len() <= width;
    if below == 0 || lines.get(last).is_some_and(is_free) {
        return (top, height);
    }
    let room = height.saturating_sub(1);
    let top = top_of(room);
    if top + height >= count {
        ((count - height).min(focus.0), height)
    } else {
        (top, room)
    }
}

fn lead(is_chosen: bool, mark: Mark) -> String {
    let hand = if is_chosen { ">" } else { " " };
    let sign = match mark {
        Mark::Good => "x",
        Mark::Redo => "!",
        Mark::Open => "-",
        Mark::Optional => " ",
    };
    format!(" {hand} {sign} ")
}

fn cell_of(is_chosen: bool, mark: Mark, style: &Style) -> ratatui::style::Style {
    match (is_chosen, mark) {
        (true, _) => style.focus(),
        (false, Mark::Redo) => style.stop(),
        (false, Mark::Open) => style.todo(),
        (false, _) => style.plain(),
    }
}

/// The end of a list over the whole width, and the key that answers it.
fn end_line(
    list: ListKind,
    text: &str,
    is_answered: bool,
    is_chosen: bool,
    width: usize,
    style: &Style,
    lines: &mut Vec<Line<'static>>,
) {
    let hand = if is_chosen { ">" } else { " " };
    let mark = if is_answered { "x" } else { "=" };
    let text = style.cut(&format!("{hand} {mark} {}", plain::text(text)), width);
    let cell = match (is_chosen, is_answered) {
        (true, _) => style.focus(),
        (false, false) => style.todo(),
        (false, true) => style.plain(),
    };
    lines.push(Line::styled(plain::pad(&text, width), cell));
    if !is_answered {
        let key = match list {
            ListKind::Start => "5 = so, and the clock goes on when nothing else is open",
            ListKind::Power | ListKind::Setup => "1 = so    6 = so, and go on",
            ListKind::Recovery | ListKind::Release | ListKind::Leaving => "1 = so",
        };
        lines.push(Line::from(format!("      {key}")));
    }
}

/// Why a line is asked again, under the first of those that the same thing asked again.
fn reason_once(
    line: &GateLine,
    last: &mut Option<String>,
    style: &Style,
    lines: &mut Vec<Line<'static>>,
    first: usize,
) {
    let LineState::Redo(what, since) = &line.state else {
        return;
    };
    let words = format!("      {} {}.", since.format("%H:%M"), what.row().words);
    if last.as_ref() != Some(&words) {
        lines.insert(first + 1, Line::styled(words.clone(), style.stop()));
        *last = Some(words);
    }
}

/// The keys that answer a line, as they are printed beside it.
fn answer_keys(model: &Model, kind: ListKind, line: &GateLine) -> String {
    let digit = model
        .state()
        .map_or('1', |state| answering::digit_of(state, line));
    let is_begun = model.begun.as_ref() == Some(&(kind, line.id.clone()));
    match digit {
        '1' => "1".to_owned(),
        digit if is_begun => format!("1, now {digit}"),
        digit => format!("1, then {digit}"),
    }
}

fn gate_line(
    line: &GateLine,
    keys: &str,
    is_chosen: bool,
    width: usize,
    style: &Style,
    lines: &mut Vec<Line<'static>>,
) {
    let hand = if is_chosen { ">" } else { " " };
    let mark = line.state.mark();
    let text = plain::text(&line.text);
    let word = match &line.state {
        LineState::Open => "open".to_owned(),
        LineState::Answered => line.word.clone(),
        LineState::NotSo(_) => "NOT SO".to_owned(),
        LineState::Redo(..) => "REDO".to_owned(),
    };
    let left = format!("{hand}{mark} {text}");
    let room = width.saturating_sub(plain::width(&left) + 1);
    let right = if plain::width(&word) < room {
        format!("{word:>room$}", room = room)
    } else {
        String::new()
    };
    let cell = match &line.state {
        _ if is_chosen => style.focus(),
        LineState::NotSo(_) | LineState::Redo(..) => style.stop(),
        LineState::Open => style.todo(),
        LineState::Answered => style.plain(),
    };
    lines.push(Line::styled(
        style.cut(&format!("{left}{right}"), width),
        cell,
    ));
    if line.state == LineState::Answered && right.is_empty() {
        // Neither the line nor the state that was answered may be cut.
        let word = format!("{word:>width$}");
        lines.push(Line::styled(style.cut(&word, width), style.plain()));
    }
    if let LineState::NotSo(words) = &line.state {
        let words = format!("Not so: {}", plain::text(words));
        for part in wrap(&words, width.saturating_sub(6)) {
            lines.push(Line::styled(format!("      {part}"), style.stop()));
        }
        let words = format!("Do: {}", plain::text(&line.otherwise));
        for part in wrap(&words, width.saturating_sub(6)) {
            lines.push(Line::styled(format!("      {part}"), style.todo()));
        }
    }
    if is_chosen && line.state.is_open() {
        if let Some(says) = &line.says {
            let words = format!("{}: {}", line.says_by(), plain::text(says));
            for part in wrap(&words, width.saturating_sub(6)) {
                lines.push(Line::from(format!("      {part}")));
            }
        }
        let hint = match line.way {
            Way::Press => format!("      {keys} = {}    3 = not so    7 = why", line.word),
            Way::At(step) => format!(
                "      Enter goes to {}, where its value is entered",
                step.word()
            ),
        };
        lines.push(Line::from(hint));
    }
}

struct Shown<'a> {
    label: &'a str,
    value: &'a str,
    note: &'a str,
    mark: Mark,
}

fn field_lines(
    shown: &Shown,
    is_chosen: bool,
    width: usize,
    style: &Style,
    lines: &mut Vec<Line<'static>>,
) {
    let lead = lead(is_chosen, shown.mark);
    let label = plain::text(shown.label);
    let label = if plain::width(&label) < LABEL {
        plain::pad(&label, LABEL - 1)
    } else {
        format!("{label} ")
    };
    let value = match (shown.value, shown.mark) {
        ("", Mark::Optional) => "-".to_owned(),
        ("", _) => "open".to_owned(),
        (value, _) => plain::text(value),
    };
    let note = plain::text(shown.note);
    let text = format!("{lead}{label}{value}");
    let cell = cell_of(is_chosen, shown.mark, style);
    if note.is_empty() || plain::width(&text) + 3 + plain::width(&note) <= width {
        let gap = if note.is_empty() { "" } else { "   " };
        lines.push(Line::styled(
            style.cut(&format!("{text}{gap}{note}"), width),
            cell,
        ));
        return;
    }
    // A note that would be cut off goes on below.
    lines.push(Line::styled(style.cut(&text, width), cell));
    for part in wrap(&note, width.saturating_sub(8)) {
        lines.push(Line::from(format!("       {part}")));
    }
}

fn hidden(editing: &Editing, width: usize) -> usize {
    let room = width.saturating_sub(LABEL + 6).max(8);
    (editing.input.cursor() + 1).saturating_sub(room)
}

fn edited_field(
    model: &Model,
    editing: &Editing,
    label: &str,
    width: usize,
    style: &Style,
    lines: &mut Vec<Line<'static>>,
) {
    let takes = page::takes(model, editing.field);
    let label = plain::pad(&style.cut(&plain::text(label), LABEL - 1), LABEL - 1);
    let text = plain::text(editing.input.text());
    let shown: String = text.chars().skip(hidden(editing, width)).collect();
    let room = width.saturating_sub(LABEL + 6);
    let columns = plain::width(&shown).max(12).min(room);
    let box_of = plain::pad(&style.cut(&shown, room), columns);
    let mut spans = vec![
        Span::raw(format!(" > = {label}")),
        Span::styled(box_of, style.focus()),
    ];
    let understood = field::understand(&takes, editing.input.text());
    let takes_back = reasons::takes_back(editing.input.text());
    if takes_back {
        spans.push(Span::raw("   Enter leaves it as it was"));
    } else if let Ok(understood) = &understood {
        spans.push(Span::raw(format!("   {}", field::echo(&takes, understood))));
    }
    lines.push(Line::from(spans));
    match &takes {
        Takes::Choice(options) => choices(options, editing, width, style, lines),
        Takes::Reason(offered) => {
            let offered: Vec<String> = offered.iter().map(|reason| (*reason).to_owned()).collect();
            choices(&offered, editing, width, style, lines);
        }
        _ => {}
    }
    if takes == Takes::Point {
        // The keypad is the blank seen from above.
        for (keys, height) in [
            ("7 8 9   back", "+ top"),
            ("4 5 6", "* middle"),
            ("1 2 3   front", "- bottom"),
        ] {
            lines.push(Line::from(format!("       {keys:<20}{height}")));
        }
    }
    let error = match (&editing.error, &understood) {
        (Some(error), _) => Some(error.clone()),
        (None, Err(why)) if !takes_back && !editing.input.text().trim().is_empty() => {
            Some(why.clone())
        }
        _ => None,
    };
    if let Some(error) = error {
        for part in wrap(&plain::text(&error), width.saturating_sub(8)) {
            lines.push(Line::styled(format!("     ! {part}"), style.warn()));
        }
    }
}

/// Up to this many options stand in one running line; more stand below each other.
const FEW: usize = 14;

/// How many of a long list are shown at once: a number and all that begin with it, from 2 and 20 to 29.
const SHOWN: usize = 11;

/// The options of a choice: all when they are few, else those that hold what is typed.
fn choices(
    options: &[String],
    editing: &Editing,
    width: usize,
    style: &Style,
    lines: &mut Vec<Line<'static>>,
) {
    let name = |place: usize| format!("{} {}", place + 1, plain::text(&options[place]));
    if options.len() <= FEW {
        let all: Vec<String> = (0..options.len()).map(name).collect();
        // No name is broken between two rows.
        for part in beside(&all, width.saturating_sub(8)) {
            lines.push(Line::from(style.cut(&format!("       {part}"), width)));
        }
        return;
    }
    let typed = editing.input.text().trim().to_lowercase();
    // On a keypad a list is leafed through by its numbers, whatever digits are in the names.
    let is_number = !typed.is_empty() && typed.bytes().all(|b| b.is_ascii_digit());
    let holds: Vec<usize> = (0..options.len())
        .filter(|place| {
            editing.input.is_untouched()
                || (!is_number && options[*place].to_lowercase().contains(&typed))
                || (place + 1).to_string().starts_with(&typed)
        })
        .collect();
    let exact = holds
        .iter()
        .position(|place| options[*place].to_lowercase() == typed);
    let last = holds.len().saturating_sub(SHOWN);
    let top = exact.unwrap_or(0).saturating_sub(SHOWN / 2).min(last);
    for (row, place) in holds.iter().enumerate().skip(top).take(SHOWN) {
        let (sign, cell) = if Some(row) == exact {
            (">", style.strong())
        } else {
            (" ", style.plain())
        };
        let text = style.cut(&format!("     {sign} {}", name(*place)), width);
        lines.push(Line::styled(text, cell));
    }
    let rest = holds.len().saturating_sub(top + SHOWN);
    let hint = if rest > 0 {
        format!("{rest} more; ")
    } else {
        String::new()
    };
    lines.push(Line::from(format!(
        "       {hint}type a number (2 shows 2 and 20 to 29) or a part of the name"
    )));
}

/// Breaks a text at spaces into parts of at most `width` columns.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(8);
    let mut parts: Vec<String> = vec![];
    let mut part = String::new();
    for word in text.split(' ') {
        let word = plain::cut_with(word, width, "~");
        if !part.is_empty() && plain::width(&part) + 1 + plain::width(&word) > width {
            parts.push(std::mem::take(&mut part));
        }
        if !part.is_empty() {
            part.push(' ');
        }
        part.push_str(&word);
    }
    parts.push(part);
    parts
}
