//! What is asked when the record is not on the disk: leave without it, or which of two files goes on.

use ratatui::text::Line;

use crate::app::keeping;
use crate::app::leaving::Exit;
use crate::app::model::Model;
use crate::ui::look::Style;
use crate::ui::overlay::body;
use crate::ui::overlay::head;
use crate::ui::overlay::keys_row;

/// The person leaves, and the last answers are not saved yet.
pub(super) fn leaving(model: &Model, style: &Style, width: usize) -> Vec<Line<'static>> {
    let exit = model.going.map_or(Exit::Program, |going| going.exit);
    let to = match exit {
        Exit::Jobs => "to the list of jobs",
        Exit::Program => "millside",
    };
    let Some(work) = &model.work else {
        return vec![];
    };
    let keeping = &work.keeping;
    let waited = keeping
        .behind
        .map_or(0, |since| model.now.since(since).as_secs());
    let first = match exit {
        Exit::Jobs => "LEAVE WITHOUT SAVING?",
        Exit::Program => "QUIT WITHOUT SAVING?",
    };
    let mut lines = vec![Line::styled(format!("  {first}"), style.stop())];
    lines.extend(body("Your last answers are not on the disk yet.", width));
    match keeping::words(work, model.now).filter(|_| keeping.failed.is_some()) {
        Some(words) => lines.extend(body(&words, width)),
        None => lines.extend(body(
            &format!("The disk is slow: waiting for the save since {waited} s."),
            width,
        )),
    }
    let goes = match exit {
        Exit::Jobs => format!("Once they are saved, this goes {to} by itself."),
        Exit::Program => format!("Once they are saved, {to} quits by itself."),
    };
    lines.extend(body(&goes, width));
    if exit == Exit::Program {
        lines.extend(body("The mill keeps running.", width));
    }
    lines.push(Line::default());
    let again = if keeping.failed.is_some() && !keeping.is_writing {
        "1 try again now   "
    } else {
        ""
    };
    lines.push(keys_row(
        &format!("{again}3 stay   9 leave; the last answers are lost"),
        style,
    ));
    lines
}

/// The file was changed outside: which of two goes on.
pub(super) fn beside(model: &Model, style: &Style, width: usize) -> Vec<Line<'static>> {
    let mut lines = vec![head("THE FILE OF THIS SESSION WAS CHANGED", style)];
    let asked = model
        .work
        .as_ref()
        .and_then(|work| work.keeping.beside.as_ref());
    let Some(asked) = asked else {
        return lines;
    };
    lines.extend(body(&keeping::happened(&asked.files), width));
    lines.push(Line::default());
    if asked.files.is_gone {
        lines.push(keys_row("1 Go on in the new file", style));
    } else {
        lines.extend(body("Both files are kept.", width));
        lines.push(Line::default());
        lines.push(Line::from("  1  Go on with this session, in the new file"));
        lines.push(Line::from("  2  Open the changed file instead"));
        lines.push(Line::default());
        lines.push(keys_row("1 2", style));
    }
    lines
}
