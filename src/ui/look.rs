//! Styles. Words and signs carry the meaning; colour repeats it.

use ratatui::style::Color;
use ratatui::style::Modifier;
use ratatui::style::Style as Cell;
use ratatui::text::Line;

use crate::app::model::Look;
use crate::plain;

/// The styles of one look.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    look: Look,
}

// The set of Okabe and Ito, nearest of the 256-colour cube (values from memory).
const SKY_BLUE: Color = Color::Indexed(74);
const YELLOW: Color = Color::Indexed(221);
const ORANGE_RED: Color = Color::Indexed(166);

impl Style {
    /// Styles for this look.
    pub fn new(look: Look) -> Self {
        Self { look }
    }

    fn coloured(self, colour: Color) -> Cell {
        if self.look.colour {
            Cell::new().fg(colour)
        } else {
            Cell::new()
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
        self.coloured(SKY_BLUE)
    }

    /// A warning.
    pub fn warn(self) -> Cell {
        self.coloured(YELLOW).add_modifier(Modifier::BOLD)
    }

    /// Redo, stop, refused.
    pub fn stop(self) -> Cell {
        self.coloured(ORANGE_RED).add_modifier(Modifier::BOLD)
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
