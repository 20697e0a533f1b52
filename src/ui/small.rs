//! A window too small for a screen: what the clock shows, the keys that are left, and a short emergency card.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::app::cards;
use crate::app::cards::Page;
use crate::app::model::Model;
use crate::app::overlay::Overlay;
use crate::app::small;
use crate::job::card::On;
use crate::job::mishap::Mishap;
use crate::plain;
use crate::ui::look::Style;
use crate::ui::overlay::beside;
use crate::ui::rows::wrap;

/// Draws the window.
pub(super) fn draw(model: &Model, style: &Style, frame: &mut Frame, area: Rect) {
    let lines = match &model.overlay {
        Some(Overlay::Emergency(page, part, _)) => card(model, *page, *part, style, area),
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

/// A page of the card with less around it.
fn card(model: &Model, page: Page, part: usize, style: &Style, area: Rect) -> Vec<Line<'static>> {
    let (width, height) = (usize::from(area.width), usize::from(area.height));
    let (rows, keys) = match page {
        Page::First => (first_page(model, width, height), keys_of_first(width)),
        _ => one_part(model, page, part, width, height),
    };
    let mut lines: Vec<Line> = vec![];
    for row in rows {
        // On the last page no one act is the first for everything.
        let is_first = lines.is_empty() && page != Page::StopOrHold;
        let look = if is_first {
            style.stop()
        } else {
            style.strong()
        };
        lines.push(Line::styled(row, look));
    }
    lines.push(Line::styled(keys, style.todo()));
    lines
}

fn keys_of_first(width: usize) -> &'static str {
    let all = [
        "1 fire 2 hurt 3 eye 4 hold  else: back",
        "1 fire 2 hurt 3 eye else: back",
    ];
    let fits = all.into_iter().find(|keys| plain::width(keys) <= width);
    // Which page has what is worth more than that every other key leads back.
    fits.unwrap_or("1 fire 2 hurt 3 eye")
}

/// Fewer columns than this have the keys in the fewest words.
const NARROW: usize = 38;

/// The first page, in full where that fits, else in fewer words.
fn first_page(model: &Model, width: usize, height: usize) -> Vec<String> {
    let room = height.saturating_sub(1);
    let whole = whole(model, width);
    if whole.len() <= room {
        return whole;
    }
    let brief = brief(model, width, room);
    if brief.len() <= room {
        return brief;
    }
    short(model, width, room)
}

const FIRST_PARTS: [(&str, On); 3] = [
    ("", On::Stop),
    ("FIRE ", On::FireFirst),
    ("HURT ", On::HurtFirst),
];

/// All lines of the first page as the large card has them.
fn whole(model: &Model, width: usize) -> Vec<String> {
    let mut rows = vec![];
    for (heading, on) in FIRST_PARTS {
        for (place, text) in cards::texts(model, on, None).iter().enumerate() {
            let heading = if place == 0 { heading } else { "" };
            rows.extend(wrap(&format!("{heading}{text}"), width));
        }
    }
    rows.extend(wrap(&cards::number(model), width));
    rows
}

/// Each line of the first page in one row, and the number where there is room. Lines that the smallest window does not have give way first,
/// the last of them at once.
fn brief(model: &Model, width: usize, room: usize) -> Vec<String> {
    let chosen = FIRST_PARTS.into_iter();
    let chosen = chosen.flat_map(|(_, on)| cards::chosen(model, on, None));
    let mut kept: Vec<(bool, Vec<String>)> = chosen
        .filter_map(|line| {
            let brief = line.brief.as_ref()?;
            let gives_way = line.short.is_none() && line.forbids.is_empty();
            Some((gives_way, wrap(brief, width)))
        })
        .collect();
    let number = wrap(&dialled(model), width);
    // An entered number is worth more than what gives way; where none is entered it says the least.
    let is_entered = model.library.emergency_number.is_some();
    kept.push((!is_entered, number));
    let count =
        |kept: &[(bool, Vec<String>)]| kept.iter().map(|(_, rows)| rows.len()).sum::<usize>();
    while count(&kept) > room {
        let Some(place) = kept.iter().rposition(|(gives_way, _)| *gives_way) else {
            break;
        };
        kept.remove(place);
    }
    kept.into_iter().flat_map(|(_, rows)| rows).collect()
}

/// The emergency number in few words.
fn dialled(model: &Model) -> String {
    match &model.library.emergency_number {
        Some(number) => format!("Call {}", plain::text(number)),
        None => "Dial your local emergency number.".to_owned(),
    }
}

/// What must not be missed in the fewest words, and as much of the rest as there is room for.
fn short(model: &Model, width: usize, room: usize) -> Vec<String> {
    let chosen = FIRST_PARTS.into_iter();
    let entered = model.library.emergency_number.as_deref().map(plain::text);
    let lines: Vec<(bool, String)> = chosen
        .flat_map(|(_, on)| cards::chosen(model, on, None))
        .filter_map(|line| {
            let is_needed = line.on == On::Stop || line.has_number || !line.forbids.is_empty();
            let short = line.short.clone()?;
            // Nobody looks further for the number where there is room for it.
            let dialled = entered.iter().filter(|_| line.has_number);
            let dialled = dialled.map(|number| format!("{short} {number}")).next();
            let fits = dialled.filter(|words| plain::width(words) <= width);
            Some((is_needed, fits.unwrap_or(short)))
        })
        .collect();
    let needed = lines.iter().filter(|(is_needed, _)| *is_needed).count();
    let mut spare = room.saturating_sub(needed);
    let mut rows = vec![];
    for (is_needed, text) in lines {
        if !is_needed {
            if spare == 0 {
                continue;
            }
            spare -= 1;
        }
        rows.push(text);
    }
    let number = dialled(model);
    let stands = |number: &String| rows.iter().any(|row| row.ends_with(number.as_str()));
    let is_left = entered.is_some_and(|entered| !stands(&entered.to_string()));
    if spare > 0 && is_left && plain::width(&number) <= width {
        rows.push(number);
    }
    rows
}

/// One part of another page and the keys below it: whole lines as far as they fit, in few words where the page has more than one part.
fn one_part(
    model: &Model,
    page: Page,
    part: usize,
    width: usize,
    height: usize,
) -> (Vec<String>, &'static str) {
    let room = height.saturating_sub(1).max(1);
    let whole = parts(&items(model, page, cards::texts, width), room);
    let mut parts = if whole.len() == 1 {
        whole
    } else {
        parts(&items(model, page, cards::briefs, width), room)
    };
    let keys = match (parts.len(), width < NARROW) {
        (1, true) => "1-4 more  else: back",
        (1, false) => "1-4, . pages   other key: back",
        (_, true) => "again more else back",
        (_, false) => "again: more   . first   other key: back",
    };
    let place = part % parts.len();
    (parts.swap_remove(place), keys)
}

/// The rows of a line, and whether it is the heading of those below it.
type Item = (bool, Vec<String>);

/// The lines of a page, and the number behind them.
fn items(
    model: &Model,
    page: Page,
    words: fn(&Model, On, Option<Mishap>) -> Vec<String>,
    width: usize,
) -> Vec<Item> {
    let mut all = vec![];
    for (_, on) in page.parts() {
        let heads = cards::chosen(model, *on, None)
            .into_iter()
            .map(|line| line.is_heading);
        let texts = words(model, *on, None);
        all.extend(heads.zip(texts.iter().map(|text| wrap(text, width))));
    }
    all.push((false, wrap(&dialled(model), width)));
    all
}

/// The lines in as many parts as they need. Half a sentence may say the opposite of the whole, so that a line is parted only where it is
/// longer than a window; a heading stands with its lines, and again above those in the next part.
fn parts(items: &[Item], room: usize) -> Vec<Vec<String>> {
    let mut parts: Vec<Vec<String>> = vec![vec![]];
    let mut heading: &[String] = &[];
    for (place, (is_heading, rows)) in items.iter().enumerate() {
        let used = parts.last().map_or(0, Vec::len);
        if *is_heading {
            heading = rows;
            let next = items.get(place + 1).map_or(0, |(_, rows)| rows.len());
            if used > 0 && used + rows.len() + next > room {
                parts.push(vec![]);
            }
        } else if used > 0 && used + rows.len() > room {
            parts.push(heading.to_vec());
        }
        for row in rows {
            if parts.last().is_some_and(|part| part.len() >= room) {
                parts.push(vec![]);
            }
            if let Some(part) = parts.last_mut() {
                part.push(row.clone());
            }
        }
    }
    parts
}
