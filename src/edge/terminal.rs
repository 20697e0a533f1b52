//! The terminal: taken over, given back whatever happens, keys in our own words.

use std::io;
use std::io::IsTerminal;

use ratatui::DefaultTerminal;
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::event::DisableBracketedPaste;
use ratatui::crossterm::event::EnableBracketedPaste;
use ratatui::crossterm::event::KeyCode;
use ratatui::crossterm::event::KeyEvent;
use ratatui::crossterm::event::KeyModifiers;
use ratatui::crossterm::execute;
use ratatui::crossterm::terminal::Clear;
use ratatui::crossterm::terminal::ClearType;
use ratatui::crossterm::terminal::EnterAlternateScreen;
use ratatui::crossterm::terminal::enable_raw_mode;

use crate::app::key::Key;
use crate::edge::panics;
use crate::problem::Problem;

/// A key event as the program means it; Ctrl-Z is a wish to be suspended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pressed {
    /// A key for the model.
    Key(Key),
    /// Put the program into the background.
    Suspend,
    /// Nothing that means something here.
    Nothing,
}

/// Takes the terminal over.
///
/// # Errors
///
/// When there is none, or it cannot be put into raw mode.
pub fn take() -> Result<DefaultTerminal, Problem> {
    if !io::stdin().is_terminal() || !io::stdout().is_terminal() {
        return Err(Problem::system("open the screen")
            .because("there is no terminal here")
            .hint("Run it in a terminal, or name a command; see millside --help."));
    }
    panics::own_terminal(give_back);
    let terminal = begin().map_err(|error| {
        give_back();
        Problem::system("open the screen").from_error(error)
    })?;
    // A run that was killed leaves its last screen behind, and a terminal that is on its second screen already clears nothing.
    let _ = execute!(io::stdout(), Clear(ClearType::All));
    // Without it a pasted text arrives as keys; nothing else is lost.
    let _ = execute!(io::stdout(), EnableBracketedPaste);
    Ok(terminal)
}

/// As the library's own beginning, which would set one more panic hook each time, for every thread.
fn begin() -> io::Result<DefaultTerminal> {
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen)?;
    Terminal::new(CrosstermBackend::new(io::stdout()))
}

fn plain_paste() {
    // Nothing can be done on a terminal that is gone.
    let _ = execute!(io::stdout(), DisableBracketedPaste);
}

/// Gives the terminal back.
pub fn give_back() {
    plain_paste();
    // The library's `restore` would write to a standard error that may be gone, and panic.
    let _ = ratatui::try_restore();
}

/// A key event in the program's words.
pub fn key(event: KeyEvent) -> Pressed {
    let control = event.modifiers.contains(KeyModifiers::CONTROL);
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    let key = match event.code {
        KeyCode::Char('c') if control => Key::Interrupt,
        KeyCode::Char('z') if control => return Pressed::Suspend,
        KeyCode::Char('h') if control => Key::Backspace,
        KeyCode::Char('m' | 'j') if control => Key::Enter,
        KeyCode::Char(_) if control || alt => return Pressed::Nothing,
        KeyCode::Char(c) => Key::Char(c),
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Escape,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Delete => Key::Delete,
        KeyCode::Tab => Key::Tab,
        KeyCode::BackTab => Key::BackTab,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        _ => return Pressed::Nothing,
    };
    Pressed::Key(key)
}
