//! The terminal: taken over, given back whatever happens, keys in our own words.

use std::io;
use std::io::IsTerminal;
use std::io::Stdout;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::cursor::Show;
use ratatui::crossterm::event::DisableBracketedPaste;
use ratatui::crossterm::event::EnableBracketedPaste;
use ratatui::crossterm::event::KeyCode;
use ratatui::crossterm::event::KeyEvent;
use ratatui::crossterm::event::KeyModifiers;
use ratatui::crossterm::execute;
use ratatui::crossterm::terminal::Clear;
use ratatui::crossterm::terminal::ClearType;
use ratatui::crossterm::terminal::EnterAlternateScreen;
use ratatui::crossterm::terminal::LeaveAlternateScreen;
use ratatui::crossterm::terminal::disable_raw_mode;
use ratatui::crossterm::terminal::enable_raw_mode;

use crate::app::key::Key;
use crate::edge::panics;
use crate::edge::patient::Patient;
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

/// The terminal while it is taken over.
pub type Screen = Terminal<CrosstermBackend<Patient<Stdout>>>;

/// Takes the terminal over. Once `ends` is set, nothing waits for it any more.
///
/// # Errors
///
/// When there is none, or it cannot be put into raw mode.
pub fn take(ends: &Arc<AtomicBool>) -> Result<Screen, Problem> {
    if !io::stdin().is_terminal() || !io::stdout().is_terminal() {
        return Err(Problem::system("open the screen")
            .because("there is no terminal here")
            .hint("Run it in a terminal, or name a command; see millside --help."));
    }
    panics::own_terminal(give_back);
    let terminal = begin(ends).map_err(|error| {
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
fn begin(ends: &Arc<AtomicBool>) -> io::Result<Screen> {
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen)?;
    let out = Patient::new(io::stdout(), Arc::clone(ends));
    Terminal::new(CrosstermBackend::new(out))
}

/// Gives the terminal back. The library's `restore` would write to a standard error that may be gone, and panic.
pub fn give_back() {
    // Nothing can be done on a terminal that is gone.
    let _ = disable_raw_mode();
    let mut out = Patient::new(io::stdout(), Arc::new(AtomicBool::new(true)));
    let _ = execute!(out, DisableBracketedPaste, LeaveAlternateScreen, Show);
}

/// A key event in the program's words.
pub fn key(event: KeyEvent) -> Pressed {
    let control = event.modifiers.contains(KeyModifiers::CONTROL);
    let alt = event.modifiers.contains(KeyModifiers::ALT);
    let key = match event.code {
        KeyCode::Char('c') if control => Key::Interrupt,
        KeyCode::Char('z') if control => return Pressed::Suspend,
        KeyCode::Char('h') if control => Key::Backspace,
        KeyCode::Char('u') if control => Key::ClearLine,
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
