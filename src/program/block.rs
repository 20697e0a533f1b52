//! Words of one line, as the parser leaves them.

use crate::program::oword::OWord;
use crate::program::params::Key;

/// G codes kept of one line.
pub(super) const MOST_G: usize = 16;
/// M codes kept of one line.
pub(super) const MOST_M: usize = 8;

/// Bit of a letter in [`Block::seen`].
pub const fn bit(letter: u8) -> u32 {
    1 << (letter - b'A')
}

/// Words of one line.
#[derive(Clone, Debug, Default)]
pub struct Block {
    /// Letters with a value, one bit each.
    pub seen: u32,
    /// Letters whose value could not be read.
    pub unreadable: u32,
    /// Axis letters without a number behind a code that takes them so: they name the axis.
    pub bare: u32,
    pub(super) value: [f64; 26],
    pub(super) column: [u16; 26],
    pub(super) g: [(i32, u16); MOST_G],
    pub(super) g_count: usize,
    pub(super) m: [(u32, u16); MOST_M],
    pub(super) m_count: usize,
    /// M words on the line, kept or not.
    pub m_words: usize,
    /// Parameter settings in order; they act after the line's values were read.
    pub settings: Vec<(Key, f64)>,
    /// Place of the last comment's text in the line.
    pub comment: Option<(usize, usize)>,
    /// Number behind an O or a colon at the head of the line.
    pub program_number: Option<f64>,
    /// Flow control; such a line has no other words.
    pub oword: Option<OWord>,
    /// Whether a code of the line takes the other words as its own.
    pub is_macro: bool,
    /// Whether the line says more than a comment or its number.
    pub has_words: bool,
    pub(super) last_letter: u8,
}

impl Block {
    /// Value of a letter's word.
    pub fn get(&self, letter: u8) -> Option<f64> {
        let i = usize::from(letter - b'A');
        (self.seen & (1 << i) != 0).then(|| self.value[i])
    }

    /// Column of a letter's word, counted from 1; 0 when it is not there.
    pub fn column(&self, letter: u8) -> u32 {
        u32::from(self.column[usize::from(letter - b'A')])
    }

    /// G codes in tenths with their columns.
    pub fn g(&self) -> &[(i32, u16)] {
        &self.g[..self.g_count]
    }

    /// M codes with their columns.
    pub fn m(&self) -> &[(u32, u16)] {
        &self.m[..self.m_count]
    }

    pub(super) fn clear(&mut self) {
        self.seen = 0;
        self.unreadable = 0;
        self.bare = 0;
        self.column = [0; 26];
        self.g_count = 0;
        self.m_count = 0;
        self.m_words = 0;
        self.settings.clear();
        self.comment = None;
        self.program_number = None;
        self.oword = None;
        self.is_macro = false;
        self.has_words = false;
        self.last_letter = 0;
    }
}
