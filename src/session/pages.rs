//! The pages of a list that is longer than one: split at a natural break, never shortened.

use std::ops::Range;

use crate::session::lines::Line;
use crate::session::lines::ListKind;
use crate::session::lines::MOST_LINES;
use crate::session::state::State;

/// Splits what is longer than a page, and sets the person's own checklist apart.
pub(in crate::session) fn split(state: &State, kind: ListKind, lines: &mut [Line]) -> Vec<String> {
    let caution = |line: &Line| state.cautions.iter().find(|caution| caution.id == line.id);
    let checklist = |line: &Line| {
        let place = caution(line)?.checklist.as_ref()?;
        Some(place.title.clone())
    };
    // Where the hand is: at the spindle first, then on the way round the machine.
    let stand = |line: &Line| {
        (
            line.is_at_spindle,
            caution(line).map(|caution| caution.place),
        )
    };
    let mut parts: Vec<String> = vec![];
    for run in lines.chunk_by_mut(|one, next| checklist(one) == checklist(next)) {
        let heading = checklist(&run[0]).unwrap_or_else(|| kind.heading().to_owned());
        let stands: Vec<_> = run.iter().map(stand).collect();
        for range in pages(&stands) {
            for line in &mut run[range] {
                line.part = parts.len();
            }
            parts.push(heading.clone());
        }
    }
    if parts.is_empty() {
        parts.push(kind.heading().to_owned());
    }
    parts
}

/// The fewest pages that hold lines with these stands, each of at most [`MOST_LINES`].
///
/// A page ends where the hand leaves the spindle, else where it goes on to another place, and where there
/// is a choice so that the pages are nearly of a length.
fn pages<T: PartialEq>(stands: &[(bool, T)]) -> Vec<Range<usize>> {
    let mut ranges = vec![];
    let mut begin = 0;
    for left in (1..=stands.len().div_ceil(MOST_LINES)).rev() {
        let rest = stands.len() - begin;
        let even = begin + rest.div_ceil(left);
        let least = begin + rest.saturating_sub(MOST_LINES * (left - 1)).max(1);
        let most = stands.len().min(begin + MOST_LINES);
        let end = (least..=most)
            .min_by_key(|end| {
                let break_here = match stands.get(end - 1..=*end) {
                    Some([before, after]) if before.0 != after.0 => 0,
                    Some([before, after]) if before.1 != after.1 => 1,
                    _ => 2,
                };
                (break_here, end.abs_diff(even))
            })
            .unwrap_or(most);
        ranges.push(begin..end);
        begin = end;
    }
    ranges
}
