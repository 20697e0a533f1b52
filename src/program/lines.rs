//! Bytes in pieces of any size to lines: CR, LF or both end a line.

use memchr::memchr2;

/// Longest line that is read; of a longer one the rest is left out and reported.
pub const LONGEST_READ: usize = 65_536;

/// Cuts a stream into lines, whatever the size of its pieces.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    carry: Vec<u8>,
    after_cr: bool,
    is_cut: bool,
    number: u64,
    offset: usize,
    held: usize,
}

/// One line without its end.
#[derive(Clone, Copy, Debug)]
pub struct Line<'a> {
    /// Counted from 1.
    pub number: u64,
    /// Bytes without the line end, at most [`LONGEST_READ`].
    pub text: &'a [u8],
    /// Whether the rest of the line was left out.
    pub is_cut: bool,
}

/// Whoever is handed the lines.
pub trait TakeLines {
    /// Takes what needs no search for its end: whole lines at the head of `bytes`, which follow line
    /// `number`. Returns how many bytes, ends included, and how many lines.
    fn ahead(&mut self, _bytes: &[u8], _number: u64) -> (usize, u64) {
        (0, 0)
    }

    /// Takes a line; false to be handed no more.
    fn line(&mut self, line: Line<'_>) -> bool;
}

impl Lines {
    /// Offset of the first byte that was not yet handed out, from the beginning of the stream.
    pub fn offset(&self) -> usize {
        self.offset
    }

    /// Number of the last line handed out.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// Hands out the lines that end in `bytes` as long as they are wanted.
    pub fn feed(&mut self, bytes: &[u8], taker: &mut impl TakeLines) {
        let mut rest = bytes;
        if self.after_cr && !rest.is_empty() {
            self.after_cr = false;
            if rest[0] == b'\n' {
                rest = &rest[1..];
                self.offset += 1;
            }
        }
        loop {
            if self.carry.is_empty() && !self.is_cut {
                let (taken, lines) = taker.ahead(rest, self.number);
                rest = &rest[taken..];
                self.offset += taken;
                self.number += lines;
            }
            let Some(end) = memchr2(b'\n', b'\r', rest) else {
                break;
            };
            let mut next = end + 1;
            if rest[end] == b'\r' {
                match rest.get(next) {
                    Some(b'\n') => next += 1,
                    Some(_) => {}
                    None => self.after_cr = true,
                }
            }
            self.number += 1;
            self.offset += next;
            let go_on = if self.carry.is_empty() && !self.is_cut {
                let text = &rest[..end];
                taker.line(Line {
                    number: self.number,
                    text: &text[..text.len().min(LONGEST_READ)],
                    is_cut: text.len() > LONGEST_READ,
                })
            } else {
                self.offset += self.held;
                self.held = 0;
                self.hold(&rest[..end]);
                let go_on = taker.line(Line {
                    number: self.number,
                    text: &self.carry,
                    is_cut: self.is_cut,
                });
                self.carry.clear();
                self.is_cut = false;
                go_on
            };
            rest = &rest[next..];
            if !go_on {
                return;
            }
        }
        self.held += rest.len();
        self.hold(rest);
    }

    /// Hands out the last line when it has no line end.
    pub fn end(&mut self, taker: &mut impl TakeLines) {
        if !self.carry.is_empty() {
            self.number += 1;
            self.offset += self.held;
            self.held = 0;
            taker.line(Line {
                number: self.number,
                text: &self.carry,
                is_cut: self.is_cut,
            });
            self.carry.clear();
        }
    }

    fn hold(&mut self, piece: &[u8]) {
        let room = LONGEST_READ - self.carry.len();
        if piece.len() > room {
            self.is_cut = true;
        }
        self.carry
            .extend_from_slice(&piece[..piece.len().min(room)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keeps lines, up to one that reads `until`; with `is_ahead`, takes those that hold no CR ahead.
    #[derive(Default)]
    struct Kept {
        lines: Vec<(u64, Vec<u8>, bool)>,
        until: Option<&'static [u8]>,
        is_ahead: bool,
    }

    impl TakeLines for Kept {
        fn ahead(&mut self, bytes: &[u8], number: u64) -> (usize, u64) {
            let end = bytes.iter().position(|b| matches!(b, b'\n' | b'\r'));
            let is_short = |end: &usize| *end <= LONGEST_READ && bytes[*end] == b'\n';
            let Some(end) = end.filter(is_short).filter(|_| self.is_ahead) else {
                return (0, 0);
            };
            self.lines.push((number + 1, bytes[..end].to_vec(), false));
            (end + 1, 1)
        }

        fn line(&mut self, line: Line<'_>) -> bool {
            self.lines
                .push((line.number, line.text.to_vec(), line.is_cut));
            self.until != Some(line.text)
        }
    }

    fn lines(pieces: &[&[u8]]) -> Vec<(u64, Vec<u8>, bool)> {
        let found = [false, true].map(|is_ahead| {
            let mut kept = Kept {
                is_ahead,
                ..Kept::default()
            };
            let mut lines = Lines::default();
            for piece in pieces {
                lines.feed(piece, &mut kept);
            }
            lines.end(&mut kept);
            kept.lines
        });
        assert_eq!(found[0], found[1], "taken ahead or not");
        let [found, _] = found;
        found
    }

    #[test]
    fn each_kind_of_line_end_ends_a_line_once() {
        let text = b"a\nb\r\nc\rd\n\ne";
        let whole = lines(&[text]);
        let words: Vec<&[u8]> = whole.iter().map(|(_, t, _)| t.as_slice()).collect();
        assert_eq!(words, [&b"a"[..], b"b", b"c", b"d", b"", b"e"]);
        for size in 1..text.len() {
            let pieces: Vec<&[u8]> = text.chunks(size).collect();
            assert_eq!(lines(&pieces), whole, "pieces of {size}");
        }
    }

    #[test]
    fn a_line_without_end_is_cut_and_the_next_one_is_whole() {
        let mut text = vec![b'X'; LONGEST_READ + 10];
        text.extend_from_slice(b"\nG1\n");
        let whole = lines(&[&text]);
        assert_eq!((whole[0].1.len(), whole[0].2), (LONGEST_READ, true));
        assert_eq!(whole[1], (2, b"G1".to_vec(), false));
        let pieces: Vec<&[u8]> = text.chunks(1000).collect();
        assert_eq!(lines(&pieces), whole);
    }

    #[test]
    fn the_offset_is_where_the_next_line_begins() {
        let text = b"aa\r\nbbb\ncccc";
        for size in 1..=text.len() {
            let mut lines = Lines::default();
            let mut found = None;
            let mut at = 0;
            let mut kept = Kept {
                until: Some(b"bbb"),
                ..Kept::default()
            };
            for piece in text.chunks(size) {
                lines.feed(piece, &mut kept);
                at += piece.len();
                if kept.lines.last().is_some_and(|(_, text, _)| text == b"bbb") {
                    found = Some(lines.offset());
                    break;
                }
            }
            assert_eq!(found, Some(8), "pieces of {size}, stopped at {at}");
        }
    }
}
