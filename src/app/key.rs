//! A key, free of any terminal library.

/// A key as the program knows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// A printed character.
    Char(char),
    /// Enter, also of the numeric keypad.
    Enter,
    /// Escape.
    Escape,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
    /// Clears the line that is typed.
    ClearLine,
    /// Tab.
    Tab,
    /// Tab backwards.
    BackTab,
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// Home.
    Home,
    /// End.
    End,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Ends the program from anywhere, everything saved.
    Interrupt,
}
