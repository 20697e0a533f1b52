//! One line of text with a cursor, counted in characters.

use crate::app::key::Key;

/// The longest text that a field takes, in characters.
const LONGEST: usize = 400;

/// A line that is being typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Input {
    text: String,
    cursor: usize,
    /// Nothing was pressed yet: the first character takes the place of the old text.
    is_untouched: bool,
}

impl Input {
    /// A line with this text, the cursor behind it. The first character that is typed
    /// replaces the text; any other key keeps it to be mended.
    pub fn new(text: impl Into<String>) -> Self {
        let text = text.into();
        let cursor = text.chars().count();
        Self {
            text,
            cursor,
            is_untouched: true,
        }
    }

    /// A line with this text, the cursor behind it, to be typed on.
    pub fn begun(text: impl Into<String>) -> Self {
        Self {
            is_untouched: false,
            ..Self::new(text)
        }
    }

    /// What was typed was not taken: it stays, and the next character begins another value; any other key keeps it to be edited.
    pub fn refused(&mut self) {
        self.is_untouched = true;
    }

    /// The text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The cursor's place, in characters.
    pub fn cursor(&self) -> usize {
        self.cursor
    }

    /// Whether nothing was pressed yet.
    pub fn is_untouched(&self) -> bool {
        self.is_untouched
    }

    /// The character before the cursor.
    pub fn before(&self) -> Option<char> {
        self.text.chars().nth(self.cursor.checked_sub(1)?)
    }

    /// Whether no character more has room.
    pub fn is_full(&self) -> bool {
        self.text.chars().count() >= LONGEST
    }

    fn byte(&self, place: usize) -> usize {
        self.text
            .char_indices()
            .nth(place)
            .map_or(self.text.len(), |(at, _)| at)
    }

    /// Takes a key; answers whether it meant anything here.
    pub fn press(&mut self, key: Key) -> bool {
        if std::mem::take(&mut self.is_untouched) && matches!(key, Key::Char(_)) {
            self.text.clear();
            self.cursor = 0;
        }
        let length = self.text.chars().count();
        match key {
            Key::Char(c) if !c.is_control() && length < LONGEST => {
                let at = self.byte(self.cursor);
                self.text.insert(at, c);
                self.cursor += 1;
            }
            Key::Backspace if self.cursor > 0 => {
                self.cursor -= 1;
                let at = self.byte(self.cursor);
                self.text.remove(at);
            }
            Key::Delete if self.cursor < length => {
                let at = self.byte(self.cursor);
                self.text.remove(at);
            }
            Key::ClearLine => {
                self.text.clear();
                self.cursor = 0;
            }
            Key::Left => self.cursor = self.cursor.saturating_sub(1),
            Key::Right => self.cursor = (self.cursor + 1).min(length),
            Key::Home => self.cursor = 0,
            Key::End => self.cursor = length,
            _ => return false,
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typing_and_deleting_works_inside_the_text() {
        let mut input = Input::new("6 mm");
        for key in [
            Key::Home,
            Key::Delete,
            Key::Char('8'),
            Key::Char(','),
            Key::Char('5'),
        ] {
            assert!(input.press(key));
        }
        assert_eq!(input.text(), "8,5 mm");
        assert!(input.press(Key::End) && input.press(Key::Backspace));
        assert_eq!((input.text(), input.cursor()), ("8,5 m", 5));
        assert!(!Input::default().press(Key::Backspace));
    }

    #[test]
    fn the_first_character_replaces_what_stood_there() {
        let mut input = Input::new("120 mm");
        assert!(input.press(Key::Char('6')) && input.press(Key::Char('0')));
        assert_eq!(input.text(), "60");
    }

    #[test]
    fn a_line_is_cleared_by_one_key() {
        let mut input = Input::begun("120 mm");
        assert!(input.press(Key::Left) && input.press(Key::ClearLine));
        assert!(input.press(Key::Char('7')));
        assert_eq!((input.text(), input.cursor()), ("7", 1));
    }

    #[test]
    fn after_a_refusal_a_character_begins_again_and_any_other_key_edits() {
        let mut input = Input::begun("6 kg");
        input.refused();
        assert!(input.press(Key::Char('6')) && input.press(Key::Char('0')));
        assert_eq!(input.text(), "60");
        let mut input = Input::begun("6 kg");
        input.refused();
        assert!(input.press(Key::Backspace) && input.press(Key::Backspace));
        assert!(input.press(Key::Char('m')) && input.press(Key::Char('m')));
        assert_eq!(input.text(), "6 mm");
    }

    #[test]
    fn characters_of_several_bytes_are_one_step() {
        let mut input = Input::new("Ø é");
        assert!(input.press(Key::Backspace));
        assert_eq!(input.text(), "Ø ");
    }
}
