//! Styles. Words and signs carry the meaning; colour repeats it.

use ratatui::style::Color;
use ratatui::style::Modifier;
use ratatui::style::Style as Cell;
use ratatui::text::Line;

use crate::app::model::Look;
use crate::app::model::Theme;
use crate::plain;

/// The styles of one look.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    look: Look,
}

/// Colours of a theme, as places in the 256-colour cube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Text, where the theme sets it.
    pub text: Option<u8>,
    /// What lies behind it, where the theme sets it.
    pub ground: Option<u8>,
    /// What the person is to do.
    pub todo: u8,
    /// A warning.
    pub warn: u8,
    /// Redo, stop, refused.
    pub stop: u8,
}

/// The colours of a theme.
///
/// Blue, yellow and orange-red stay apart for those who do not tell red from green (after the
/// set of Okabe and Ito, from memory); on white their dark neighbours. A test works the
/// contrasts out.
pub fn palette(theme: Theme) -> Palette {
    match theme {
        Theme::Own => Palette {
            text: None,
            ground: None,
            todo: 75,
            warn: 221,
            stop: 203,
        },
        Theme::Night => Palette {
            text: Some(252),
            ground: Some(16),
            todo: 75,
            warn: 221,
            stop: 203,
        },
        Theme::Bright => Palette {
            text: Some(16),
            ground: Some(231),
            todo: 25,
            warn: 94,
            stop: 125,
        },
    }
}

impl Style {
    /// Styles for this look.
    pub fn new(look: Look) -> Self {
        Self { look }
    }

    fn coloured(self, of: fn(Palette) -> u8) -> Cell {
        if self.look.colour {
            Cell::new().fg(Color::Indexed(of(palette(self.look.theme))))
        } else {
            Cell::new()
        }
    }

    /// Text and ground of the whole screen.
    pub fn ground(self) -> Cell {
        let mut cell = Cell::new();
        if self.look.colour {
            let palette = palette(self.look.theme);
            cell.fg = palette.text.map(Color::Indexed);
            cell.bg = palette.ground.map(Color::Indexed);
        }
        cell
    }

    /// A big line that warns: its word says so; on white only black is strong enough for it.
    pub fn big_warning(self) -> Cell {
        match self.look.theme {
            Theme::Bright => self.strong(),
            Theme::Own | Theme::Night => self.warn(),
        }
    }

    /// Plain text.
    pub fn plain(self) -> Cell {
        Cell::new()
    }

    /// Headings and what matters most.
    pub fn strong(self) -> Cell {
        Cell::new().add_modifier(Modifier::BOLD)
    }

    /// What the person is to do.
    pub fn todo(self) -> Cell {
        self.coloured(|palette| palette.todo)
    }

    /// A warning.
    pub fn warn(self) -> Cell {
        self.coloured(|palette| palette.warn)
            .add_modifier(Modifier::BOLD)
    }

    /// Redo, stop, refused.
    pub fn stop(self) -> Cell {
        self.coloured(|palette| palette.stop)
            .add_modifier(Modifier::BOLD)
    }

    /// The focus.
    pub fn focus(self) -> Cell {
        Cell::new().add_modifier(Modifier::REVERSED)
    }

    /// A thin rule.
    pub fn rule(self, width: u16) -> Line<'static> {
        let sign = if self.look.ascii { "-" } else { "─" };
        Line::from(sign.repeat(usize::from(width)))
    }

    /// An upright rule.
    pub fn upright(self) -> &'static str {
        if self.look.ascii { "|" } else { "│" }
    }

    /// A bar for a share from 0 to 1, `width` cells wide; more than 1 fills it all.
    pub fn bar(self, share: f64, width: usize) -> String {
        let filled = (share.clamp(0.0, 1.0) * width as f64).round() as usize;
        let (full, empty) = if self.look.ascii {
            ("#", ".")
        } else {
            ("█", "·")
        };
        format!("{}{}", full.repeat(filled), empty.repeat(width - filled))
    }

    /// A text in at most `columns` columns; what had to go is marked.
    pub fn cut(self, text: &str, columns: usize) -> String {
        plain::cut_with(text, columns, if self.look.ascii { "~" } else { "…" })
    }

    /// Whether only ASCII may be used.
    pub fn is_ascii(self) -> bool {
        self.look.ascii
    }
}
