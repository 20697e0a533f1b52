//! What lies over a screen: help, reasons, stop note, tool change, questions.

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::TimeDelta;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::text::Span;

use crate::app::care;
use crate::app::checking;
use crate::app::field;
use crate::app::finishing;
use crate::app::input::Input;
use crate::app::keys;
use crate::app::model::Model;
use crate::app::more;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::overlay::Sure;
use crate::app::own_tool;
use crate::app::own_tool::OwnTool;
use crate::app::picker;
use crate::app::picker::Pick;
use crate::app::picker::Purpose;
use crate::app::readable;
use crate::app::reasons;
use crate::app::recipe;
use crate::app::watch;
use crate::app::words;
use crate::check::walls;
use crate::job::mishap::Mishap;
use crate::job::typed::plain as plain_number;
use crate::plain;
use crate::session;
use crate::session::care_log;
use crate::session::clock::Gap;
use crate::session::clock::Phase;
use crate::session::gate;
use crate::ui::files;
use crate::ui::frame;
use crate::ui::glyphs;
use crate::ui::glyphs::Size;
use crate::ui::look::Style;
use crate::ui::looked_at;
use crate::ui::rows::wrap;
use crate::ui::stopped;
use crate::ui::unsaved;

/// The place of an overlay and its rows.
pub fn lines(
    model: &Model,
    overlay: &Overlay,
    style: &Style,
    area: Rect,
) -> (Rect, Vec<Line<'static>>) {
    // Below the header and the rail, over everything else: the clock's state stays in sight.
    let inside = Rect {
        x: area.x,
        y: area.y + 3,
        width: if area.width >= 120 {
            78
        } else {
            area.width.min(110)
        },
        height: area.height.saturating_sub(3),
    };
    let width = usize::from(inside.width).saturating_sub(4);
    let mut lines = match overlay {
        Overlay::Help => help(model, style, width),
        Overlay::Why { title, text } => why(title, text, style, width),
        Overlay::Emergency(page, ..) => stopped::emergency(model, *page, style, &inside),
        Overlay::Words {
            asking,
            input,
            error,
        } => asked(model, asking, input, error.as_deref(), style, width),
        Overlay::Happened { typed, cursor } => {
            stopped::happened(model, typed, *cursor, style, &inside)
        }
        Overlay::More { typed, cursor } => more_rows(model, typed, *cursor, style),
        Overlay::Acts(mishap) => stopped::acts(model, *mishap, style, width),
        Overlay::Advice(mishap) => stopped::advice(model, *mishap, style, width),
        Overlay::Files(list) => files::lines(list, style, &inside),
        Overlay::Pick(choice) => pick(model, choice, style, &inside),
        Overlay::OwnTool(form) => own_tool_rows(form, style, width),
        Overlay::Compare {
            to,
            reason,
            old,
            new,
        } => compare(
            model,
            *to,
            reason,
            old.as_deref(),
            new.as_deref(),
            style,
            width,
        ),
        Overlay::ReturnTest {
            inputs,
            focus,
            error,
            verdict,
        } => returned(
            model,
            inputs,
            *focus,
            error.as_deref(),
            verdict.as_deref(),
            style,
            width,
        ),
        Overlay::Care(log) => care_log(log, style, width),
        Overlay::Letters => return letters(model, style, area),
        Overlay::Look(look) => return looked_at::lines(model, look, style, area),
        Overlay::Gap => gap(model, style, width),
        Overlay::Sure(Sure::Unsaved) => unsaved::leaving(model, style, width),
        Overlay::Sure(Sure::Beside) => unsaved::beside(model, style, width),
        Overlay::Sure(sure) => are_you_sure(model, sure, style, width),
    };
    // It lies over the row where the outcome of a key stands.
    if let Some(notice) = model.notice.as_ref().filter(|notice| notice.is_refusal) {
        let text = format!("! {}", plain::text(&notice.text));
        let refused = frame::two_rows(&text, width, style);
        // It is never what falls off at the end.
        lines.truncate(usize::from(inside.height).saturating_sub(refused.len()));
        let refused = refused.into_iter();
        lines.extend(refused.map(|row| Line::styled(format!("  {row}"), style.warn())));
    }
    lines.truncate(usize::from(inside.height));
    (inside, lines)
}

/// The big letters as the running view has them, over the whole width.
fn letters(model: &Model, style: &Style, area: Rect) -> (Rect, Vec<Line<'static>>) {
    let inside = Rect {
        y: area.y + 3,
        height: area.height.saturating_sub(3),
        ..area
    };
    let is_doubled = readable::is_doubled(model);
    let size = if is_doubled {
        Size::Double
    } else {
        Size::Single
    };
    let mut lines = vec![
        head("BIG LETTERS, as while it cuts", style),
        Line::default(),
    ];
    for text in ["CUTTING", "01:58"] {
        let rows = glyphs::rows(text, size, style.is_ascii());
        lines.extend(
            rows.into_iter()
                .map(|row| Line::styled(format!("  {row}"), style.strong())),
        );
        lines.push(Line::default());
    }
    lines.extend(body(
        "Go where you stand while it cuts. It is kept for this size of the window.",
        usize::from(inside.width).saturating_sub(4),
    ));
    lines.push(keys_row(
        "1 can be read   3 cannot   any other key: back",
        style,
    ));
    lines.truncate(usize::from(inside.height));
    (inside, lines)
}

pub(super) fn head(text: &str, style: &Style) -> Line<'static> {
    Line::styled(format!("  {text}"), style.strong())
}

pub(super) fn body(text: &str, width: usize) -> Vec<Line<'static>> {
    wrap(&plain::text(text), width)
        .into_iter()
        .map(|part| Line::from(format!("  {part}")))
        .collect()
}

/// As many in a row as fit, none broken.
pub(super) fn beside(parts: &[String], width: usize) -> Vec<String> {
    let mut rows: Vec<String> = vec![];
    for part in parts {
        match rows.last_mut() {
            Some(row) if plain::width(row) + 3 + plain::width(part) <= width => {
                row.push_str("   ");
                row.push_str(part);
            }
            _ => rows.push(part.clone()),
        }
    }
    rows
}

pub(super) fn keys_row(text: &str, style: &Style) -> Line<'static> {
    Line::styled(format!("  {text}"), style.todo())
}

fn help(model: &Model, style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![head("KEYS HERE", style)];
    for binding in keys::all(model) {
        lines.push(Line::from(vec![
            Span::styled(format!("  {:<16}", binding.key), style.strong()),
            Span::raw(binding.words),
        ]));
    }
    lines.extend(body(
        "A list for a person: its keys do not move or stop the mill.",
        width,
    ));
    lines
}

fn why(title: &str, text: &[String], style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![head("WHY", style)];
    lines.extend(body(title, width));
    lines.push(Line::default());
    for part in text.iter().filter(|part| !part.is_empty()) {
        lines.extend(body(part, width));
    }
    lines.push(Line::default());
    lines.push(keys_row("any key: back", style));
    lines
}

fn typed_row(input: &Input, style: &Style, width: usize) -> Line<'static> {
    let text = plain::text(input.text());
    let room = width.saturating_sub(2);
    let skip = text.chars().count().saturating_sub(room);
    let shown: String = text.chars().skip(skip).collect();
    Line::from(vec![
        Span::raw("  "),
        Span::styled(plain::pad(&shown, room.min(60)), style.focus()),
    ])
}

fn asked(
    model: &Model,
    asking: &Asking,
    input: &Input,
    error: Option<&str>,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let mut lines = vec![];
    match asking {
        Asking::EmergencyNumber => {
            lines.push(head("YOUR EMERGENCY NUMBER, as you dial it here", style));
            lines.extend(body(
                "The card shows it behind every line that calls for help. It is kept for all jobs.",
                width,
            ));
        }
        Asking::Note => lines.push(head("A NOTE", style)),
        Asking::NotSo(list, id) => {
            lines.push(head("NOT SO: what is wrong?", style));
            let text = model.state().and_then(|state| {
                gate::list(state, *list)
                    .lines
                    .into_iter()
                    .find(|line| line.id == *id)
            });
            lines.extend(body(&text.map_or(String::new(), |line| line.text), width));
            lines.extend(body(
                "The line stays open, and the clock off, until it is so.",
                width,
            ));
        }
        Asking::Beyond => {
            lines.push(Line::styled(
                "  BEYOND A DANGER LIMIT, because",
                style.stop(),
            ));
            let exceeded = model
                .work
                .as_ref()
                .and_then(|work| work.calculated.as_ref())
                .map_or(vec![], |calculated| recipe::decided(calculated).exceeded);
            lines.extend(body(&exceeded.join(", "), width));
            lines.extend(body(
                "Esc goes back to mend it. The reason stays in the record.",
                width,
            ));
        }
        Asking::AcceptStop(id) => {
            lines.push(head("ACCEPT THIS STOP FINDING, because", style));
            lines.extend(body(id, width));
            lines.extend(body(
                "It stays in sight, and lapses when the program changes.",
                width,
            ));
        }
        Asking::LeaveOut => lines.push(head("LEAVE THIS OPERATION OUT, because", style)),
        Asking::OpenAgain(_) => {
            lines.push(head("OPEN THIS OPERATION AGAIN, because", style));
            lines.extend(body(
                "Its clock goes on from what it had; the list before a cut is asked in full.",
                width,
            ));
        }
        Asking::Mishap(mishap) => {
            lines.extend(stopped::first_rows(model, Some(*mishap), style, width + 4));
            lines.push(Line::default());
            lines.push(head(&mishap.advice().title.to_uppercase(), style));
            lines.extend(stopped::first_of(model, *mishap, style, width));
            lines.push(Line::default());
            let question = if *mishap == Mishap::AxisBound {
                "Which axis stalled? That one is set again, the others are proved. Its number, several together (13: X and Z), or Enter alone: not known."
            } else {
                "What did you see? Words or a number; Enter alone goes on."
            };
            lines.extend(body(question, width));
        }
        Asking::SwapReason(_) => {
            lines.push(head("WHY ANOTHER TOOL?", style));
        }
    }
    let numbered: Vec<String> = reasons::offered(asking)
        .iter()
        .enumerate()
        .map(|(place, reason)| format!("{} {reason}", place + 1))
        .collect();
    let reasons = beside(&numbered, width);
    lines.extend(
        reasons
            .into_iter()
            .map(|row| Line::from(format!("  {row}"))),
    );
    lines.push(Line::default());
    lines.push(typed_row(input, style, width));
    if let Some(error) = error {
        lines.push(Line::styled(format!("  ! {error}"), style.warn()));
    }
    lines.push(Line::default());
    let keys = match asking {
        Asking::Mishap(_) => "Enter take it   0 Enter: noted without words   .. emergency",
        _ => "Enter take it   0 Enter leave it   .. emergency",
    };
    lines.push(keys_row(keys, style));
    lines
}

/// A row of a list of numbers; the one that the number means is marked in reverse and by a sign.
pub(super) fn numbered_row(
    place: usize,
    text: &str,
    cursor: Option<usize>,
    style: &Style,
) -> Line<'static> {
    let (sign, cell) = if Some(place) == cursor {
        (">", style.focus())
    } else {
        (" ", style.plain())
    };
    let text = plain::text(text);
    Line::styled(format!(" {sign}{:>2} {text}", place + 1), cell)
}

/// The number typed so far and what it stands for, so that a slip is seen before Enter.
pub(super) fn number_row(
    typed: &str,
    chosen: Option<&str>,
    nothing: &str,
    style: &Style,
) -> Line<'static> {
    let means = match (typed, chosen) {
        ("", None) => String::new(),
        (typed, _) if typed.parse() == Ok(0) => nothing.to_owned(),
        (_, Some(words)) => plain::text(words).to_owned(),
        (_, None) => "no such number".to_owned(),
    };
    Line::styled(format!("  number {typed}  {means}"), style.strong())
}

/// What has no key of its own on a keypad, by number.
fn more_rows(
    model: &Model,
    typed: &str,
    cursor: Option<usize>,
    style: &Style,
) -> Vec<Line<'static>> {
    let mut lines = vec![head("MORE: its number, then Enter", style)];
    let items = more::items(model);
    for (place, (text, _)) in items.iter().enumerate() {
        lines.push(numbered_row(place, text, cursor, style));
    }
    let chosen = cursor.and_then(|place| items.get(place));
    let chosen = chosen.map(|(text, _)| text.to_owned());
    lines.push(number_row(typed, chosen, "leave", style));
    lines.push(keys_row("Enter do it   0 Enter leave", style));
    lines
}

fn pick(model: &Model, pick: &Pick, style: &Style, inside: &Rect) -> Vec<Line<'static>> {
    let width = usize::from(inside.width).saturating_sub(4);
    let text = match pick.purpose {
        Purpose::Plan => "WHICH TOOL IS PLANNED? Type its size, thread or name",
        Purpose::Swap => "WHICH TOOL GOES IN? Type its size, thread or name",
    };
    let mut lines = vec![head(text, style), typed_row(&pick.input, style, width)];
    let offers = picker::offers(model, pick.input.text());
    // Around the list stand heading, what is typed, what is beyond it, the keys and what was refused, in two rows at most.
    let room = usize::from(inside.height).saturating_sub(7).max(1);
    // What is marked stands in the middle, so that its neighbours are seen.
    let last = offers.len().saturating_sub(room);
    let top = pick
        .cursor
        .map_or(0, |cursor| cursor.saturating_sub(room / 2).min(last));
    for (place, offer) in offers.iter().enumerate().skip(top).take(room) {
        let (sign, cell) = if Some(place) == pick.cursor {
            (">", style.focus())
        } else {
            (" ", style.plain())
        };
        let text = style.cut(&plain::text(&offer.text(model)), width);
        lines.push(Line::styled(format!(" {sign} {text}"), cell));
    }
    let below = offers.len().saturating_sub(top + room);
    if top + below > 0 {
        let more: Vec<String> = [(top, "above"), (below, "below")]
            .into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, where_)| format!("{count} more {where_}"))
            .collect();
        lines.push(Line::styled(
            format!("   {}", more.join(", ")),
            style.plain(),
        ));
    }
    for keys in [
        "Enter take it   + or arrows next   * clear   - a tool of your own",
        "0 Enter or Esc leave   .. emergency",
    ] {
        lines.push(keys_row(keys, style));
    }
    lines
}

fn own_tool_rows(form: &OwnTool, style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![head("A TOOL OF YOUR OWN", style)];
    let shown = form.shown();
    for place in &shown {
        let (row, typed) = (own_tool::ROWS[*place], form.inputs[*place].text());
        let cell = if *place == form.focus {
            style.focus()
        } else {
            style.plain()
        };
        let echo = match (row.key, form.kind()) {
            ("kind", Some(kind)) => kind.word(),
            _ if typed.is_empty() => row.hint,
            _ => "",
        };
        lines.push(Line::from(vec![
            Span::raw(format!("  {:<22}", row.label)),
            Span::styled(plain::pad(&plain::text(typed), 14), cell),
            Span::raw(format!("   {echo}")),
        ]));
    }
    if form.kind().is_none() || form.focus == 0 {
        let kinds: Vec<String> = own_tool::kinds()
            .enumerate()
            .map(|(place, kind)| format!("{} {}", place + 1, kind.word()))
            .collect();
        let rows = beside(&kinds, width).into_iter();
        lines.extend(rows.map(|row| Line::from(format!("  {row}"))));
    }
    if let Some(error) = &form.error {
        let rows = wrap(&format!("! {}", plain::text(error)), width).into_iter();
        lines.extend(rows.map(|row| Line::styled(format!("  {row}"), style.warn())));
    }
    let enter = match shown.last() == Some(&form.focus) && form.kind().is_some() {
        true => "Enter keep and use it",
        false => "Enter next",
    };
    lines.push(keys_row(
        &format!("{enter}   up down move   / Enter or Esc back   .. emergency"),
        style,
    ));
    lines
}

fn compare(
    model: &Model,
    to: usize,
    reason: &str,
    old: Option<&recipe::Calculated>,
    new: Option<&recipe::Calculated>,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let mut lines = vec![head("BEFORE AND AFTER", style)];
    lines.extend(body(&format!("because: {reason}"), width));
    let name = |index: Option<usize>| {
        index
            .and_then(|index| model.state()?.rack.get(index))
            .map_or("none".to_owned(), |rack| plain::text(&rack.tool.title))
    };
    let planned = model.state().and_then(|state| state.planned_tool());
    // A row each: a name that is cut off does not tell two tools apart.
    for (what, tool) in [("out", name(planned)), ("in", name(Some(to)))] {
        lines.push(Line::from(format!("  {what:<5}{tool}")));
    }
    let walls = model.state().and_then(|state| {
        let checked = model.work.as_ref()?.checked.as_ref()?;
        checking::walls_off(state, checked, Some(&state.rack.get(to)?.tool))
    });
    if let Some((posted, fitted)) = walls {
        let text = format!(
            "! posted for {} mm, without compensation. {}.",
            plain_number(posted),
            walls::words(posted, fitted)
        );
        let rows = wrap(&text, width).into_iter();
        lines.extend(rows.map(|row| Line::styled(format!("  {row}"), style.stop())));
    }
    for (label, before, after) in recipe::shown::compare_rows(old, new) {
        let changed = before != after;
        let cell = if changed {
            style.strong()
        } else {
            style.plain()
        };
        lines.push(Line::styled(
            format!("  {label:<22}{before:<28}{after}"),
            cell,
        ));
    }
    lines.push(Line::default());
    if let Some(new) = new {
        for caution in new.cautions.iter().take(1) {
            lines.extend(body(caution, width));
        }
        lines.push(Line::styled(
            format!(
                "  SET  {}",
                recipe::shown::short(
                    model.state().and_then(|state| state.current_operation()),
                    new
                )
            ),
            style.strong(),
        ));
    } else {
        lines.extend(body(
            "The recipe cannot be worked out: decide it at recipe.",
            width,
        ));
    }
    lines.extend(body(
        "To be redone: the tool, its length, the recipe at the machine, the start list.",
        width,
    ));
    lines.push(keys_row("Enter change it   3 leave it as it is", style));
    lines
}

fn returned(
    model: &Model,
    inputs: &[Input; 3],
    focus: usize,
    error: Option<&str>,
    verdict: Option<&[String]>,
    style: &Style,
    width: usize,
) -> Vec<Line<'static>> {
    let mut lines = vec![head("RETURN TEST", style)];
    lines.extend(body(
        "Spindle stopped, the same tool or finder. Touch the check point three times, each time \
         from the side the zero was set from. Enter the three errors with * between.",
        width,
    ));
    if let Some(zero) = model.state().and_then(|s| s.current_setup().zero.as_ref()) {
        lines.extend(body(
            &format!(
                "The zero is {}, set from outside: {}.",
                zero.point.words(),
                care::last_approach(zero.point)
            ),
            width,
        ));
    }
    let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
    if let Some(point) = checked.and_then(|checked| checked.check_points.first()) {
        lines.extend(body(&format!("The first check point: {point}"), width));
    }
    // Once it is entered it is one of them itself.
    if let Some(state) = model.state().filter(|_| verdict.is_none()) {
        for text in care_log::trend_of_returns(&care::log(model, state)) {
            lines.extend(body(&text, width));
        }
    }
    for (place, name) in ["X", "Y", "Z (may stay empty)"].iter().enumerate() {
        let text = plain::text(inputs[place].text());
        let cell = if place == focus && verdict.is_none() {
            style.focus()
        } else {
            style.plain()
        };
        let echo = match field::touches(inputs[place].text()) {
            Ok(touches) => {
                let each: Vec<String> = touches.iter().map(|mm| plain_number(*mm)).collect();
                format!("{} mm", each.join(", "))
            }
            Err(_) => String::new(),
        };
        lines.push(Line::from(vec![
            Span::raw(format!("  error in {name:<20}")),
            Span::styled(plain::pad(&text, 18), cell),
            Span::raw(format!("   {echo}")),
        ]));
    }
    if let Some(error) = error {
        lines.push(Line::styled(format!("  ! {error}"), style.warn()));
    }
    lines.push(Line::default());
    match verdict {
        Some(verdict) => {
            for text in verdict {
                lines.extend(body(text, width));
            }
            lines.push(keys_row("any key: back", style));
        }
        None => lines.push(keys_row(
            "Enter next   up down move   Esc or Enter twice: leave it   .. emergency",
            style,
        )),
    }
    lines
}

fn care_log(log: &[String], style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![head("CARE LOG, newest first", style)];
    for text in log {
        lines.extend(body(text, width));
    }
    lines.push(keys_row("any key: back", style));
    lines
}

fn gap(model: &Model, style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![head("TIME THAT NOBODY SAW", style)];
    if let Some((gap, phase)) = model.state().and_then(|state| state.gap) {
        lines.extend(body(
            &format!(
                "Last seen alive {}. {} passed unseen (sleep, a closed terminal, or a clock that \
                 was set). Before it the clock counted {}. What was the mill doing?",
                last_alive(gap).format("%d %b %Y %H:%M:%S"),
                words::time(gap.seconds.abs()),
                phase.word()
            ),
            width,
        ));
    }
    lines.push(Line::default());
    let state = model.state();
    let of_a_cut = state
        .and_then(|state| state.gap)
        .is_some_and(|(_, phase)| phase == Phase::Cutting);
    let by_hand = state
        .and_then(|state| state.gap)
        .is_some_and(|(_, phase)| phase == Phase::Hands);
    for text in [
        if by_hand {
            "1  the work by hand went on"
        } else {
            "1  it went on cutting"
        },
        "2  it stopped, or stood and waited",
        "3  a pause",
        "4  count none of it",
    ] {
        lines.push(Line::from(format!("  {text}")));
    }
    if of_a_cut {
        let counted = state
            .and_then(|state| session::ended_unseen_s(state, model.now))
            .map_or("counted as waiting: no estimate".to_owned(), |seconds| {
                format!(
                    "{} counted as cutting, to the estimate",
                    words::time(seconds)
                )
            });
        lines.push(Line::from(format!("  5  the cut has ended ({counted})")));
        lines.push(Line::from(
            "  6  not known: taken as still cutting, nothing counted",
        ));
    }
    lines.push(Line::default());
    let keys = if of_a_cut { "1 2 3 4 5 6" } else { "1 2 3 4" };
    lines.push(keys_row(keys, style));
    lines
}

/// When the unseen time began.
fn last_alive(gap: Gap) -> DateTime<FixedOffset> {
    let seconds = gap.seconds.clamp(-1e9, 1e9).round() as i64;
    gap.noticed.wall - TimeDelta::seconds(seconds)
}

fn are_you_sure(model: &Model, sure: &Sure, style: &Style, width: usize) -> Vec<Line<'static>> {
    let finish = format!("{} finished   3 not yet", finishing::digit_now(model));
    let let_go = format!(
        "{} let it go   3 not yet",
        finishing::digit_to_let_go(model)
    );
    let (title, text, keys) = match sure {
        Sure::Unsaved | Sure::Beside => return vec![],
        Sure::Finished => (
            "FINISHED?",
            format!(
                "{}{} The clock of this operation stops for good. Spindle off, tool clear.",
                finishing::words(model),
                model.state().map_or(String::new(), |state| {
                    let progress = watch::progress(state, model.now);
                    let cut = words::time(progress.cutting_s);
                    match progress.estimate_s {
                        Some(estimate) => {
                            format!(
                                "Cut {cut} of {}.",
                                words::estimate(
                                    progress.is_timed,
                                    estimate,
                                    progress.override_percent
                                )
                            )
                        }
                        None => format!("Cut {cut}."),
                    }
                })
            ),
            finish.as_str(),
        ),
        Sure::LetGo => (
            "LET THE PART GO?",
            format!(
                "{}This ends X, Y and Z of this setup; nothing can be cut again from here.",
                finishing::words_to_let_go(model)
            ),
            let_go.as_str(),
        ),
        Sure::WrapUp => (
            "CLOSE THE SESSION?",
            "It is saved as it is. What is not done stays with the job.".to_owned(),
            "1 close it   3 not yet",
        ),
        Sure::Quit => (
            "THE CLOCK IS ON",
            "The mill goes on without this program. The clock is asked about when you come back."
                .to_owned(),
            "1 end millside   3 stay",
        ),
    };
    let mut lines = vec![head(title, style)];
    lines.extend(body(&text, width));
    lines.push(Line::default());
    lines.push(keys_row(keys, style));
    lines
}
