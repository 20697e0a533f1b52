//! Which lines of flow control belong together: found once, since a loop may come by a million times.

use std::collections::BTreeMap;

use crate::program::oword;
use crate::program::oword::Label;
use crate::program::oword::Word;
use crate::program::read::memory::Spot;
use crate::program::read::memory::line_at;

/// A line of flow control with a label that is written out.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Label.
    pub label: Label,
    /// Word.
    pub word: Word,
    /// Just before its line.
    pub before: Spot,
    /// Just behind its line.
    pub behind: Spot,
    /// The next line of the same branch, or the end of the loop or subprogram.
    pub next: Option<usize>,
    /// The end of the whole branch, loop or subprogram.
    pub end: Option<usize>,
    /// The beginning that this line belongs to; none for what stands alone or begins something.
    pub begin: Option<usize>,
}

/// All lines of flow control of a file.
#[derive(Clone, Debug, Default)]
pub struct Outline {
    /// In the order of their lines.
    pub entries: Vec<Entry>,
    by_line: BTreeMap<u64, usize>,
    subs: BTreeMap<Label, usize>,
}

impl Outline {
    /// Looks through a file; lines that block delete takes out are left out here as well.
    pub fn new(text: &[u8], block_delete: bool) -> Self {
        let mut outline = Self::default();
        let mut open: BTreeMap<Label, Vec<usize>> = BTreeMap::new();
        let mut before = Spot::default();
        while let Some((line, next, _)) = line_at(text, before.offset) {
            let behind = Spot {
                offset: next,
                line: before.line + 1,
            };
            let line = line.strip_prefix(b"\xef\xbb\xbf").unwrap_or(line);
            let is_deleted = block_delete && line.trim_ascii_start().first() == Some(&b'/');
            if let Some(head) = oword::head(line).filter(|_| !is_deleted)
                && !matches!(head.label, Label::Computed(_))
            {
                let index = outline.entries.len();
                outline.by_line.insert(behind.line, index);
                if head.word == Word::Sub {
                    outline.subs.entry(head.label.clone()).or_insert(index);
                }
                outline.entries.push(Entry {
                    label: head.label,
                    word: head.word,
                    before,
                    behind,
                    next: None,
                    end: None,
                    begin: None,
                });
                outline.pair(index, &mut open);
            }
            before = behind;
        }
        // Ends are handed back from the last line of a branch to its first.
        for index in (0..outline.entries.len()).rev() {
            if let Some(next) = outline.entries[index].next {
                outline.entries[index].end = outline.entries[next].end.or(Some(next));
            }
        }
        outline
    }

    fn pair(&mut self, index: usize, open: &mut BTreeMap<Label, Vec<usize>>) {
        let entry = &self.entries[index];
        let word = entry.word;
        let open = open.entry(entry.label.clone()).or_default();
        let last = open.last().map(|last| self.entries[*last].word);
        let belongs = match word {
            Word::While => last == Some(Word::Do),
            Word::ElseIf | Word::Else => matches!(last, Some(Word::If | Word::ElseIf)),
            Word::EndIf => matches!(last, Some(Word::If | Word::ElseIf | Word::Else)),
            Word::EndWhile => last == Some(Word::While),
            Word::EndRepeat => last == Some(Word::Repeat),
            Word::EndSub => last == Some(Word::Sub),
            _ => false,
        };
        if belongs && let Some(last) = open.pop() {
            self.entries[last].next = Some(index);
            self.entries[index].begin = Some(self.entries[last].begin.unwrap_or(last));
        }
        let begins = match word {
            Word::Sub | Word::If | Word::Do | Word::Repeat => true,
            Word::While => !belongs,
            Word::ElseIf | Word::Else => belongs,
            _ => false,
        };
        if begins {
            open.push(index);
        }
    }

    /// The line of flow control with this number.
    pub fn at_line(&self, line: u64) -> Option<usize> {
        self.by_line.get(&line).copied()
    }

    /// Where a subprogram begins; of two with one label the first counts.
    pub fn sub(&self, label: &Label) -> Option<usize> {
        self.subs.get(label).copied()
    }
}
