//! Sections, counts and titles while a program is read.

use crate::program::bounds::Bounds;
use crate::program::finding::Findings;
use crate::program::finding::Place;
use crate::program::machine_z::MOST_KEPT;
use crate::program::machine_z::MachineZ;
use crate::program::motion::MachineMove;
use crate::program::motion::Motion;
use crate::program::rules;
use crate::program::section::MOST_SECTIONS;
use crate::program::section::Section;
use crate::program::section::Turning;
use crate::program::summary::Extents;
use crate::program::summary::StopCode;
use crate::program::summary::Summary;
use crate::program::summary::Units;
use crate::program::text;
use crate::program::word::Block;
use crate::program::work;

/// Characters kept of a comment.
const COMMENT_CHARS: usize = 60;
/// Words by which a comment speaks of a tool.
const TOOL_WORDS: [&str; 8] = [
    "tool", "cutter", "endmill", "mill", "drill", "bit", "tap", "reamer",
];
/// Tools named in header comments that are kept.
const MOST_COMMENTED_TOOLS: usize = 100;

/// What is counted while a program is read.
#[derive(Debug, Default)]
pub struct Tally {
    pub blocks: u64,
    pub has_code: bool,
    pub last_line: u64,
    pub t_line: u64,
    pub tools: Vec<u32>,
    pub stops: Vec<StopCode>,
    machine_z: Vec<MachineZ>,
    sections: Vec<Section>,
    /// Feed motions of the sections that are complete.
    cuts_before: u64,
    current: Section,
    /// The last comment on a line of its own since the last cut.
    recent_comment: Option<String>,
    commented_tools: Vec<(u32, String)>,
    /// The work of the section as a comment before its first cut names it.
    work: Option<&'static str>,
    /// The first move to a place of the machine from below where the cuts of its section begin.
    machine_move_low: Option<MachineMove>,
}

/// State of the machine that a section keeps from its first cut on.
#[derive(Clone, Copy, Debug)]
pub struct CutState {
    pub tool: Option<u32>,
    pub h: Option<u32>,
    pub speed: Option<f64>,
    pub turning: Turning,
    pub system: usize,
    pub has_g92: bool,
    pub units: Units,
    /// Whether cutter compensation is on.
    pub is_compensated: bool,
    pub zero_moved_line: Option<u64>,
}

impl Tally {
    /// Highest start of a cut in this section, mm: where the program itself thinks that it is clear.
    pub fn cut_from_mm(&self) -> Option<f64> {
        self.current.extents.feed.axis(2).map(|(_, high)| high)
    }

    /// Lowest feed motion in this section so far, mm.
    pub fn lowest_mm(&self) -> Option<f64> {
        self.current.extents.feed.axis(2).map(|(low, _)| low)
    }

    /// Keeps the first move to a place of the machine that begins lower than the cuts do.
    pub fn machine_move(&mut self, machine_move: &MachineMove) {
        if machine_move.is_below_start() {
            self.machine_move_low.get_or_insert(*machine_move);
        }
    }

    /// Keeps a move of Z in machine coordinates.
    pub fn machine_z(&mut self, machine_z: MachineZ) {
        let is_known = self.machine_z.iter().any(|z| z.line == machine_z.line);
        if !is_known && self.machine_z.len() < MOST_KEPT {
            self.machine_z.push(machine_z);
        }
    }

    /// Feed motions and arcs so far.
    pub fn cuts(&self) -> u64 {
        self.cuts_before + self.current.moves.feed + self.current.moves.arc
    }

    /// Whether the section so far has moved anything.
    pub fn has_moved(&self) -> bool {
        let moves = self.current.moves;
        moves.rapid + moves.feed + moves.arc > 0
    }

    /// Counts a motion into the section; returns whether it is its first cut.
    #[inline]
    pub fn motion(&mut self, motion: &Motion, has_machine: bool) -> bool {
        let had_cut = self.current.has_cut();
        self.current.add(motion, has_machine);
        !had_cut && self.current.has_cut()
    }

    /// Keeps the state of the machine at the first cut.
    pub fn first_cut(&mut self, state: CutState) {
        self.title_by_work();
        self.recent_comment = None;
        let section = &mut self.current;
        if section.first_line == 0 {
            section.first_line = 1;
        }
        section.tool = state.tool;
        section.h = state.h;
        section.work_system = state.system;
        section.has_g92 = state.has_g92;
        section.units = state.units;
        section.is_compensated |= state.is_compensated;
        section.zero_moved_line = state.zero_moved_line;
        section.turning = state.turning;
        section.s_rpm = state.speed.filter(|_| state.turning != Turning::Stopped);
        section.s_highest_rpm = section.s_rpm;
    }

    /// What the section does, by the last comment before its first cut, else by its title. A comment that names the work says more
    /// than the name of the part above it.
    fn title_by_work(&mut self) {
        let title = &mut self.current.title;
        let by_comment = self.recent_comment.as_deref().and_then(work::named);
        self.work = by_comment.or_else(|| work::named(title));
        if by_comment.is_some()
            && work::named(title).is_none()
            && !speaks_of_tool(title)
            && let Some(comment) = &self.recent_comment
        {
            title.clone_from(comment);
        }
    }

    /// Cutter compensation is turned on.
    pub fn compensated(&mut self) {
        self.current.is_compensated = true;
    }

    /// A spindle speed that applies to cuts from here on.
    pub fn speed(&mut self, speed: f64) {
        if self.current.has_cut() {
            let section = &mut self.current;
            section.s_rpm = section.s_rpm.or(Some(speed));
            section.s_highest_rpm = Some(section.s_highest_rpm.map_or(speed, |s| s.max(speed)));
        }
    }

    /// Counts a dwell in.
    pub fn dwell(&mut self, seconds: f64) {
        self.current.dwell_s += seconds;
    }

    /// Counts time with acceleration in.
    pub fn estimate(&mut self, seconds: f64) {
        let old = self.current.estimated_s.unwrap_or(0.0);
        self.current.estimated_s = Some(old + seconds);
    }

    /// Counts a hole in.
    pub fn hole(&mut self) {
        self.current.holes += 1;
    }

    /// What the comments say of a tool.
    pub fn comment_of(&self, tool: Option<u32>) -> &str {
        self.commented_tools
            .iter()
            .find(|(t, _)| Some(*t) == tool)
            .map_or("", |(_, text)| text)
    }

    /// Begins a new section when the old one has cut.
    pub fn section_break(
        &mut self,
        line: u64,
        tool: Option<u32>,
        system: usize,
        has_g92: bool,
        findings: &mut Findings,
    ) {
        let is_new = self.current.has_cut() && self.sections.len() + 1 < MOST_SECTIONS;
        if self.current.has_cut() && !is_new {
            let place = Place {
                line,
                ..Place::FILE
            };
            findings.add(&rules::SECTIONS_CAPPED, place, 0, || {
                format!("The program has more than {MOST_SECTIONS} sections.")
            });
            return;
        }
        if is_new {
            let mut old = std::mem::take(&mut self.current);
            self.cuts_before += old.moves.feed + old.moves.arc;
            old.last_line = line.saturating_sub(1).max(old.first_line);
            self.sections.push(old);
        }
        self.current.first_line = line;
        self.current.tool = tool;
        self.current.work_system = system;
        self.current.has_g92 = has_g92;
        if let Some(title) = self.recent_comment.take() {
            self.current.title = title;
        }
    }

    /// Takes a comment as a hint for a title or a tool. Answers whether other work begins with it, although the tool stays.
    pub fn comment(&mut self, comment: &[u8], block: &Block, pending_tool: Option<u32>) -> bool {
        let comment = comment.trim_ascii();
        let comment = message(comment).unwrap_or(comment);
        if !comment.iter().any(u8::is_ascii_alphabetic) {
            return false;
        }
        if let Some(tool) = named_tool(comment) {
            self.keep_tool_comment(tool, comment);
            return false;
        }
        let changes_tool = block.m().iter().any(|(m, _)| *m == 6) || block.get(b'T').is_some();
        if changes_tool {
            if let Some(tool) = pending_tool {
                self.keep_tool_comment(tool, comment);
            }
            return false;
        }
        // A comment behind other words speaks of its line, not of the section; a line of code that was put in
        // brackets speaks of nothing.
        if block.has_words || is_code(comment) {
            return false;
        }
        let text = text::printable(comment, COMMENT_CHARS);
        // Some writers name the size of a tool in the line below its change.
        if !self.current.has_cut()
            && self.current.first_line > 0
            && speaks_of_tool(&text)
            && comment.iter().any(u8::is_ascii_digit)
            && let Some(tool) = self.current.tool
        {
            self.keep_tool_comment(tool, comment);
        }
        if !self.current.has_cut() && self.current.first_line > 0 && self.current.title.is_empty() {
            self.current.title = text;
            return false;
        }
        // What speaks of a tool belongs to a change by hand.
        let begins = self.current.has_cut()
            && !speaks_of_tool(&text)
            && work::named(&text).is_some_and(|other| self.work.is_some_and(|now| now != other));
        self.recent_comment = Some(text);
        begins
    }

    /// The comment before or beside a stop, when it speaks of a tool.
    pub fn change_in_comment(&self, own: Option<&[u8]>) -> Option<String> {
        let own = own.map(|comment| text::printable(comment.trim_ascii(), COMMENT_CHARS));
        let comment = own.or_else(|| self.recent_comment.clone())?;
        speaks_of_tool(&comment).then_some(comment)
    }

    fn keep_tool_comment(&mut self, tool: u32, comment: &[u8]) {
        let known = self.commented_tools.iter().any(|(t, _)| *t == tool);
        if !known && self.commented_tools.len() < MOST_COMMENTED_TOOLS {
            let text = text::printable(without_number(comment), COMMENT_CHARS);
            self.commented_tools.push((tool, text));
        }
    }

    /// Closes the last section and sums up.
    pub fn finish(mut self, has_machine: bool, tool: Option<u32>) -> Summary {
        let mut last = std::mem::take(&mut self.current);
        last.last_line = self.last_line;
        if last.first_line == 0 {
            last.first_line = 1;
        }
        match self.sections.last_mut() {
            // A tail without a cut (retract, reference point) belongs to the section before.
            Some(before) if !last.has_cut() => before.absorb(&last),
            _ => {
                last.tool = last.tool.or(tool);
                self.sections.push(last);
            }
        }
        if self.sections.len() == 1
            && self.sections[0].title.is_empty()
            && let Some(comment) = self.recent_comment.take()
        {
            self.sections[0].title = comment;
        }
        let mut summary = Summary::default();
        let is_used = |tool: &u32| {
            self.tools.contains(tool) || self.sections.iter().any(|s| s.tool == Some(*tool))
        };
        let commented = self.commented_tools.iter().map(|(tool, _)| *tool);
        summary.comments_of_other_tools = commented.filter(|tool| !is_used(tool)).take(5).collect();
        let mut all = Section::default();
        for section in &mut self.sections {
            section.finish();
            if let Some(tool) = section.tool {
                section.tool_comment = self
                    .commented_tools
                    .iter()
                    .find(|(t, _)| *t == tool)
                    .map(|(_, text)| text.clone())
                    .unwrap_or_default();
            }
            all.absorb(section);
        }
        summary.blocks = self.blocks;
        summary.moves = all.moves;
        summary.path = all.path;
        summary.extents = all.extents;
        summary.machine_extents = has_machine.then_some(all.machine_extents);
        summary.times.feed_ideal_s = all.feed_ideal_s;
        summary.times.dwell_s = all.dwell_s;
        summary.times.estimated_s = all.estimated_s;
        summary.tools = self.tools;
        summary.stops = self.stops;
        summary.machine_z = self.machine_z;
        summary.machine_move_low = self.machine_move_low;
        summary.sections = self.sections;
        debug_assert!(summary.extents.cut.is_none() && Extents::default().all == Bounds::EMPTY);
        summary
    }
}

fn speaks_of_tool(comment: &str) -> bool {
    let lower = comment.to_ascii_lowercase();
    lower
        .split(|c: char| !c.is_alphanumeric())
        .any(|word| TOOL_WORDS.contains(&word))
}

/// Text of a message comment, `MSG,` taken off; blanks in the mark mean nothing (3.3.4).
fn message(comment: &[u8]) -> Option<&[u8]> {
    let mut wanted = b"MSG,".iter();
    let mut next = wanted.next()?;
    for (i, byte) in comment.iter().enumerate() {
        if matches!(byte, b' ' | b'\t') {
            continue;
        }
        if byte.to_ascii_uppercase() != *next {
            return None;
        }
        match wanted.next() {
            Some(more) => next = more,
            None => return Some(comment[i + 1..].trim_ascii()),
        }
    }
    None
}

/// Whether a comment is a line of code that was taken out: nothing but words of letter and number, or a setting.
fn is_code(comment: &[u8]) -> bool {
    if comment.first() == Some(&b'#') {
        return true;
    }
    let text: Vec<u8> = comment
        .iter()
        .filter(|b| !matches!(b, b' ' | b'\t'))
        .map(u8::to_ascii_uppercase)
        .collect();
    let mut rest = text.as_slice();
    while let Some((letter, behind)) = rest.split_first() {
        let sign = usize::from(matches!(behind.first(), Some(b'+' | b'-')));
        let digits = behind[sign..]
            .iter()
            .take_while(|b| matches!(b, b'0'..=b'9' | b'.'))
            .count();
        if !b"FGIJKMNRSTXYZ".contains(letter) || digits == 0 {
            return false;
        }
        rest = &behind[sign + digits..];
    }
    true
}

/// A tool's comment without the number at its head.
fn without_number(comment: &[u8]) -> &[u8] {
    if named_tool(comment).is_none() {
        return comment;
    }
    let letters = comment.iter().take_while(|b| !b.is_ascii_digit()).count();
    let digits = comment[letters..]
        .iter()
        .take_while(|b| b.is_ascii_digit())
        .count();
    let rest = &comment[letters + digits..];
    let marks = rest
        .iter()
        .take_while(|b| matches!(b, b' ' | b'\t' | b':' | b'-' | b'=' | b','))
        .count();
    &rest[marks..]
}

/// The tool that a header comment speaks of: it begins with `T1` or `TOOL 1`.
fn named_tool(comment: &[u8]) -> Option<u32> {
    let upper: Vec<u8> = comment
        .iter()
        .take(16)
        .map(u8::to_ascii_uppercase)
        .collect();
    let rest = upper
        .strip_prefix(b"TOOL")
        .or_else(|| upper.strip_prefix(b"T"))?;
    let rest = rest.trim_ascii_start();
    let rest = rest.strip_prefix(b"#").unwrap_or(rest);
    let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
    if digits == 0 || digits > 6 || rest.get(digits).is_some_and(u8::is_ascii_alphanumeric) {
        return None;
    }
    std::str::from_utf8(&rest[..digits]).ok()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_loses_its_mark() {
        assert_eq!(
            message(b" m s g , change the clamp "),
            Some(&b"change the clamp"[..])
        );
        assert_eq!(message(b"message"), None);
    }

    #[test]
    fn a_line_of_code_in_brackets_is_told_from_words() {
        for code in [
            "G1 X10 F100",
            "g0z5.",
            "N20 M6 T2",
            "M 3 S8000",
            "X-1.5",
            "#1=5",
        ] {
            assert!(is_code(code.as_bytes()), "{code}");
        }
        for text in [
            "Contour 1",
            "SIDE 2",
            "G1 over the edge",
            "10 mm deep",
            "A1",
        ] {
            assert!(!is_code(text.as_bytes()), "{text}");
        }
    }

    #[test]
    fn tools_are_known_by_their_header_line() {
        assert_eq!(named_tool(b"T12  D=6. CR=0. - flat end mill"), Some(12));
        assert_eq!(named_tool(b"Tool 3: drill"), Some(3));
        assert_eq!(named_tool(b"T6MM"), None);
        assert_eq!(named_tool(b"TOP FACE"), None);
    }
}
