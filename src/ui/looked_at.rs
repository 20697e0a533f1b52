//! The path of the program over the whole screen, with the finding that is meant above it.

use ratatui::layout::Rect;
use ratatui::text::Line;

use crate::app::looking::Look;
use crate::app::model::Model;
use crate::plain;
use crate::program::finding::Level;
use crate::ui::look::Style;
use crate::ui::overlay::head;
use crate::ui::overlay::keys_row;
use crate::ui::path;
use crate::ui::rows::wrap;

/// The path of the program, over the whole width, with the finding that is meant above it.
pub fn lines(model: &Model, look: &Look, style: &Style, area: Rect) -> (Rect, Vec<Line<'static>>) {
    let inside = Rect {
        y: area.y + 3,
        height: area.height.saturating_sub(3),
        ..area
    };
    let width = usize::from(inside.width).saturating_sub(2);
    let (Some(state), Some(checked)) = (
        model.state(),
        model.work.as_ref().and_then(|work| work.checked.as_ref()),
    ) else {
        return (inside, vec![]);
    };
    let mut lines = vec![];
    let finding = look
        .finding
        .and_then(|place| Some((place, checked.findings.get(place)?)));
    match finding {
        Some((place, finding)) => {
            let at = match finding.line {
                0 => "the program as a whole".to_owned(),
                line => format!("line {line}"),
            };
            let times = match finding.count {
                0 | 1 => String::new(),
                count => format!(", {count} times"),
            };
            let is_stop = finding.level == Level::Stop;
            lines.push(Line::styled(
                style.cut(
                    &format!(
                        " {} {} of {}   {}   {at}{times}",
                        finding.level.word().to_uppercase(),
                        place + 1,
                        checked.findings.len(),
                        finding.id
                    ),
                    width,
                ),
                if is_stop {
                    style.stop()
                } else {
                    style.strong()
                },
            ));
            let block = plain::text(&finding.block);
            let words = [
                block,
                plain::text(&finding.message),
                plain::text(&finding.remedy),
            ];
            for words in words.iter().filter(|words| !words.is_empty()) {
                for part in wrap(words, width.min(110)) {
                    lines.push(Line::from(format!(" {part}")));
                }
            }
            if is_stop {
                lines.push(keys_row("Enter: it may stay, with a reason", style));
            }
        }
        None => lines.push(head("THE PATH OF THE PROGRAM", style)),
    }
    let room = usize::from(inside.height).saturating_sub(lines.len() + 1);
    let picture = path::picture(checked, state.current_setup(), look, style, (width, room));
    lines.extend(
        picture
            .into_iter()
            .map(|row| Line::from(format!(" {}", style.cut(&row, width)))),
    );
    let place = usize::from(inside.height).saturating_sub(1);
    lines.truncate(place);
    while lines.len() < place {
        lines.push(Line::default());
    }
    let view = if look.from_side { "above" } else { "side" };
    lines.push(keys_row(
        &format!("1 3 finding  5 tool  7 section  * {view}  + - zoom  8 2 4 6 pan  0 back"),
        style,
    ));
    (inside, lines)
}
