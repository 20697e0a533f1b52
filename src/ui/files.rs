//! The list of a folder, for a program in it.

use ratatui::layout::Rect;
use ratatui::text::Line;

use crate::app::browse::Files;
use crate::plain;
use crate::ui::look::Style;
use crate::ui::overlay;

/// The rows of the list; what is marked stays in sight.
pub(super) fn lines(files: &Files, style: &Style, inside: &Rect) -> Vec<Line<'static>> {
    let width = usize::from(inside.width).saturating_sub(4);
    let folder = match files.folder.as_str() {
        "" => "this folder".to_owned(),
        folder => plain::text(folder),
    };
    let mut lines = vec![overlay::head(
        &style.cut(&format!("PROGRAM FILE in {folder}: its number"), width),
        style,
    )];
    let rows = files.rows();
    // Heading, what is beyond the list, the number, the keys and what was refused, in two rows at most.
    let room = usize::from(inside.height).saturating_sub(7).max(1);
    let last = rows.len().saturating_sub(room);
    let top = files
        .cursor
        .map_or(0, |cursor| cursor.saturating_sub(room / 2).min(last));
    for (place, text) in rows.iter().enumerate().skip(top).take(room) {
        let text = style.cut(text, width.saturating_sub(6));
        lines.push(overlay::numbered_row(place, &text, files.cursor, style));
    }
    let below = rows.len().saturating_sub(top + room);
    let mut beyond: Vec<String> = [(top, "above"), (below, "below")]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, place)| format!("{count} more {place}"))
        .collect();
    if files.listing.has_more {
        beyond.push("the folder holds more: type the path".to_owned());
    }
    if !beyond.is_empty() {
        lines.push(Line::from(format!("   {}", beyond.join(", "))));
    }
    let chosen = files.cursor.and_then(|place| rows.get(place));
    let chosen = chosen.map(String::as_str);
    lines.push(overlay::number_row(&files.typed, chosen, "leave", style));
    lines.push(overlay::keys_row(
        "Enter take it   / clear the number   arrows move   0 Enter leave",
        style,
    ));
    lines
}
