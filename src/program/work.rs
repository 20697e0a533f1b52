//! What work a comment names: with one tool in, a pocket and a profile are two pieces of work, each with its own passes.

/// Words of the trade for work that one tool can go on to without a change, and what is the same work by another word.
const WORDS: [(&str, &str); 14] = [
    ("face", "face"),
    ("facing", "face"),
    ("pocket", "pocket"),
    ("pocketing", "pocket"),
    ("profile", "profile"),
    ("profiling", "profile"),
    ("contour", "profile"),
    ("outside", "profile"),
    ("slot", "slot"),
    ("slotting", "slot"),
    ("bore", "bore"),
    ("chamfer", "chamfer"),
    ("deburr", "chamfer"),
    ("engrave", "engrave"),
];

/// A sentence longer than this tells of the work and is no title, in words.
const MOST_WORDS: usize = 6;

/// The work that a comment names as a title would; none where it names none, or tells a story.
pub fn named(comment: &str) -> Option<&'static str> {
    if comment.split_whitespace().count() > MOST_WORDS {
        return None;
    }
    let lower = comment.to_ascii_lowercase();
    lower
        .split(|c: char| !c.is_ascii_alphabetic())
        .find_map(|word| {
            let is = |known: &&(&str, &str)| {
                known.0 == word || word.strip_suffix('s').is_some_and(|one| one == known.0)
            };
            WORDS.iter().find(is).map(|(_, work)| *work)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_names_its_work_and_a_story_names_none() {
        for (comment, work) in [
            ("POCKET THE BEARING SEAT", Some("pocket")),
            ("2D Pocket1", Some("pocket")),
            ("2d contour 3", Some("profile")),
            ("OUTSIDE PROFILE WITH FOUR TABS", Some("profile")),
            ("LAYER 1 OF 12", None),
            ("SURFACE SPEED 120", None),
            ("GO BACK TO CLEAR THE FACE OF THE JAW", None),
        ] {
            assert_eq!(named(comment), work, "{comment}");
        }
    }
}
