//! The quick way through lines of nothing but short numbers: most lines of most programs. It ends where
//! [`crate::program::word`] would, or leaves the line to it.

use crate::program::block::Block;
use crate::program::block::MOST_G;
use crate::program::block::bit;
use crate::program::number;

/// Reads the line at the head of `bytes` when it is nothing but X, Y and Z words, in this order, each
/// at most once and with a short number. Returns its bytes, end included; 0 leaves the line to
/// [`crate::program::word::parse`] and `values` of no use.
#[inline]
pub fn coordinates(bytes: &[u8], values: &mut [f64; 3]) -> usize {
    /// Longer lines are reported, so they are not for this way.
    const LONGEST: usize = 64;
    let mut at = 0;
    for (letter, value) in b"XYZ".iter().zip(values) {
        if bytes.get(at) == Some(letter) {
            let Some((number, end)) = number::short(bytes, at + 1) else {
                return 0;
            };
            *value = number;
            at = end + usize::from(bytes.get(end) == Some(&b' '));
        }
    }
    if at == 0 || at > LONGEST {
        return 0;
    }
    match bytes[at..] {
        [b'\n', ..] => at + 1,
        [b'\r', b'\n', ..] => at + 2,
        _ => 0,
    }
}

/// Reads a line of nothing but G codes and coordinate words with short numbers, each letter once:
/// most lines of most programs. False leaves the line to the parser.
pub(super) fn words(text: &[u8], block: &mut Block) -> bool {
    const WORDS: u32 = bit(b'F')
        | bit(b'I')
        | bit(b'J')
        | bit(b'K')
        | bit(b'R')
        | bit(b'X')
        | bit(b'Y')
        | bit(b'Z');
    let mut at = 0;
    let mut seen = 0;
    while let Some(&byte) = text.get(at) {
        if byte == b' ' {
            at += 1;
            continue;
        }
        let letter = byte & 0xdf;
        let index = letter.wrapping_sub(b'A');
        if !byte.is_ascii_alphabetic() {
            return false;
        }
        let Some((value, end)) = number::short(text, at + 1) else {
            return false;
        };
        let column = (at + 1) as u16;
        if letter == b'G' {
            let tenths = value * 10.0;
            #[expect(clippy::cast_possible_truncation, reason = "compared right after")]
            let code = tenths as i32;
            if f64::from(code) != tenths
                || !(0..1000).contains(&code)
                || block.g_count == MOST_G
                || code == 650
                || code == 660
            {
                return false;
            }
            block.g[block.g_count] = (code, column);
            block.g_count += 1;
        } else {
            let mark = 1_u32 << index;
            if WORDS & mark == 0 || seen & mark != 0 {
                return false;
            }
            seen |= mark;
            block.value[usize::from(index)] = value;
            block.column[usize::from(index)] = column;
        }
        at = end;
    }
    block.seen = seen;
    block.has_words = seen != 0 || block.g_count > 0;
    text.len() < usize::from(u16::MAX)
}
