//! What a mistyped word may have meant.

use crate::plain::is_hidden;

/// One slip for so many characters, and one in a shorter word of three and more: beyond it a proposal would be a guess.
const PER_SLIP: usize = 4;

/// No name is longer; of a longer text the beginning is looked at.
const LONGEST: usize = 60;

/// From so many characters on a part of a name is taken for the name.
const PART: usize = 3;

/// The known word that a mistyped one most likely meant, if one is near enough.
pub fn word<'k>(typed: &str, known: &[&'k str]) -> Option<&'k str> {
    near_enough(typed, known).first().copied()
}

/// Up to three names that a mistyped one may have meant: those near enough first, then those that hold all its parts.
pub fn names<'k>(typed: &str, known: &[&'k str]) -> Vec<&'k str> {
    let mut near = near_enough(typed, known);
    if typed.chars().count() >= PART {
        let has_all = |name: &str| typed.split('-').all(|part| name.contains(part));
        let holds = |name: &&&str| has_all(name) && !near.contains(name);
        let more: Vec<&str> = known.iter().filter(holds).copied().collect();
        near.extend(more);
    }
    near.truncate(3);
    near
}

/// Known words within the slips that are allowed, nearest first.
fn near_enough<'k>(typed: &str, known: &[&'k str]) -> Vec<&'k str> {
    // What cannot be seen was not meant.
    let typed: String = typed.chars().filter(|c| !is_hidden(*c)).collect();
    let most = match typed.chars().count() {
        0..=2 => 0,
        long => (long / PER_SLIP).max(1),
    };
    let mut near: Vec<(usize, &str)> = known
        .iter()
        .map(|word| (slips(&typed, word), *word))
        .filter(|(slips, _)| *slips <= most)
        .collect();
    near.sort_by_key(|(slips, _)| *slips);
    near.into_iter().map(|(_, word)| word).collect()
}

/// How many characters were left out, added, exchanged or swapped with their neighbour between two words.
fn slips(typed: &str, meant: &str) -> usize {
    let typed: Vec<char> = typed.chars().take(LONGEST).collect();
    let meant: Vec<char> = meant.chars().take(LONGEST).collect();
    let mut before: Vec<usize> = vec![];
    let mut last: Vec<usize> = (0..=meant.len()).collect();
    for (i, from) in typed.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in meant.iter().enumerate() {
            let mut best = (last[j] + usize::from(from != to))
                .min(last[j + 1] + 1)
                .min(row[j] + 1);
            if i > 0 && j > 0 && *from == meant[j - 1] && typed[i - 1] == *to {
                best = best.min(before[j - 1] + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[meant.len()]
}

/// The way out for a word that is none of these: the one that was meant, and all that may be written.
pub fn one_of(typed: &str, known: &[&str]) -> String {
    let all = format!("Write one of: {}.", known.join(", "));
    match word(typed, known) {
        Some(near) => format!("Did you mean {near}? {all}"),
        None => all,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_a_letter_is_proposed_and_a_far_word_is_not() {
        assert_eq!(word("vise", &["vacuum", "vice"]), Some("vice"));
        assert_eq!(word("vcie", &["vacuum", "vice"]), Some("vice"));
        let far = ["controller-restarted", "never-reach"];
        assert_eq!(word("never-heard", &far), None);
        assert_eq!(word("keys", &["eyes"]), None);
        assert_eq!(
            one_of("clamp", &["vice", "clamps"]),
            "Did you mean clamps? Write one of: vice, clamps."
        );
        assert_eq!(one_of("rope", &["vice"]), "Write one of: vice.");
    }

    #[test]
    fn a_part_of_a_name_is_taken_for_the_name() {
        let known = ["light-belt-mill", "bench-mill", "gantry-router"];
        assert_eq!(names("gantry", &known), ["gantry-router"]);
        assert_eq!(names("light-mill", &known), ["light-belt-mill"]);
        assert_eq!(names("bench-mil", &known), ["bench-mill"]);
        assert!(names("no-such", &known).is_empty());
        assert!(names("li", &known).is_empty());
    }
}
