//! Running a program from memory: subprograms, branches and loops.
//!
//! From the first call or line of flow control on, the rest of the program runs from the file held in memory,
//! within bounds on lines, bytes and motions: a loop without end is a finding, not a reader without end. A branch
//! or loop that is not closed, or one that the program leaves otherwise than by its own words, is said once and
//! its line is left out.

use std::collections::BTreeMap;

use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::interp::Flow;
use crate::program::lines::LONGEST_READ;
use crate::program::lines::Line;
use crate::program::oword::Label;
use crate::program::oword::OWord;
use crate::program::oword::Word;
use crate::program::read::Core;
use crate::program::read::End;
use crate::program::read::outline::Outline;
use crate::program::read::without_mark;
use crate::program::rules;

/// Calls within calls.
const DEEPEST_CALL: usize = 10;
/// Lines run by calls and loops; a program that needs more is taken as one without end.
const MOST_LINES: u64 = 1_000_000;
/// Bytes of the lines run by calls and loops, since lines may be long.
const MOST_BYTES: usize = 8 * 1024 * 1024;
/// Motions run from there on; a cycle with repeats makes many of one line.
const MOST_MOTIONS: u64 = 4_000_000;
/// Key of findings about subprograms with a label, beyond those with a number.
const LABEL_KEY: u64 = 1 << 60;

/// A place between two lines: where the next one begins, and the number of the one before.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spot {
    /// Bytes before it.
    pub offset: usize,
    /// Lines before it.
    pub line: u64,
}

/// A call by M98.
#[derive(Clone, Copy, Debug)]
pub struct Call {
    /// Number behind P.
    pub program: u64,
    /// How many times.
    pub times: u64,
    /// Line of the call.
    pub line: u64,
}

/// What needs the whole file.
#[derive(Clone, Debug)]
pub enum Begin {
    /// A call by M98, carried out but for its subprogram.
    Call {
        /// Behind its line.
        behind: Spot,
        /// The call.
        call: Call,
    },
    /// A line of flow control that was not read yet.
    Control {
        /// Behind it.
        behind: Spot,
        /// Its bytes.
        text: Vec<u8>,
        /// Whether the rest of it was left out.
        is_cut: bool,
    },
}

impl Begin {
    /// Behind its line.
    pub fn behind_mut(&mut self) -> &mut Spot {
        match self {
            Self::Call { behind, .. } | Self::Control { behind, .. } => behind,
        }
    }
}

/// What runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Main,
    /// Called by M98.
    Numbered,
    /// Called by an O word.
    Labelled,
}

/// A branch or loop that the program is in.
#[derive(Clone, Copy, Debug)]
struct Open {
    /// Where it begins, in the outline.
    begin: usize,
    /// Rounds to come.
    left: u64,
    /// Whether one of the conditions of a branch held.
    is_taken: bool,
}

struct Frame {
    part: Part,
    back: Spot,
    body: Spot,
    left: u64,
    open: Vec<Open>,
}

/// State of the run.
struct Run {
    outline: Outline,
    programs: BTreeMap<u64, Spot>,
    at: Spot,
    /// The main program first; never empty.
    stack: Vec<Frame>,
    lines: u64,
    bytes: usize,
    motions_before: u64,
    has_said: bool,
}

impl Core<'_> {
    /// Runs the rest of the program from memory.
    pub(super) fn run_from_memory(&mut self, head: &[u8], mut begin: Begin) {
        let spot = begin.behind_mut();
        // The line end may have been cut in two by the pieces that the file came in.
        let before = spot.offset.checked_sub(1).and_then(|at| head.get(at));
        if before == Some(&b'\r') && head.get(spot.offset) == Some(&b'\n') {
            spot.offset += 1;
        }
        let at = *spot;
        let mut run = Run {
            outline: Outline::new(head, self.interp.has_block_delete()),
            programs: find_programs(head),
            at,
            stack: vec![Frame {
                part: Part::Main,
                back: at,
                body: at,
                left: 0,
                open: vec![],
            }],
            lines: 0,
            bytes: 0,
            motions_before: self.interp.motions(),
            has_said: false,
        };
        match begin {
            Begin::Call { call, .. } => run.call(self, call),
            Begin::Control { text, is_cut, .. } => {
                run.line(
                    self,
                    Line {
                        number: at.line,
                        text: &text,
                        is_cut,
                    },
                );
            }
        }
        while let Some((text, next, is_cut)) = line_at(head, run.at.offset) {
            run.at = Spot {
                offset: next,
                line: run.at.line + 1,
            };
            let line = Line {
                number: run.at.line,
                text,
                is_cut,
            };
            if !run.is_within_bounds(self, line) || !run.line(self, line) {
                break;
            }
        }
        self.interp.set_inside(false);
    }
}

impl Run {
    fn top(&mut self) -> &mut Frame {
        let last = self.stack.len() - 1;
        &mut self.stack[last]
    }

    fn is_main(&self) -> bool {
        self.stack.len() == 1
    }

    /// Counts a line of a call or loop; false once there are too many.
    fn is_within_bounds(&mut self, core: &mut Core<'_>, line: Line<'_>) -> bool {
        let is_main = self.is_main();
        let frame = self.top();
        let inside = frame.open.last().map(|open| open.begin);
        core.interp.set_inside(!is_main || inside.is_some());
        if is_main && inside.is_none() {
            return true;
        }
        self.lines += 1;
        self.bytes += line.text.len();
        let motions = core.interp.motions() - self.motions_before;
        if self.lines <= MOST_LINES && self.bytes <= MOST_BYTES && motions <= MOST_MOTIONS {
            return true;
        }
        // The outermost loop is the one that does not end.
        let first = self
            .stack
            .iter()
            .flat_map(|frame| &frame.open)
            .map(|open| self.outline.entries[open.begin].behind.line)
            .next();
        let place = Place {
            line: first.unwrap_or(line.number),
            ..Place::FILE
        };
        let lines = self.lines;
        core.interp
            .findings()
            .add(&rules::ENDLESS_PROGRAM, place, 0, || {
                let what = match first {
                    Some(first) => format!("The loop of line {first}"),
                    None => "Subprograms".to_owned(),
                };
                format!(
                    "{what} ran {lines} lines and {motions} motions; the bounds are {MOST_LINES} lines, {MOST_BYTES} characters and {MOST_MOTIONS} motions, and the rest is left out."
                )
            });
        false
    }

    /// Carries out one line; false at the end of the program.
    fn line(&mut self, core: &mut Core<'_>, line: Line<'_>) -> bool {
        let entry = self
            .outline
            .at_line(line.number)
            .filter(|_| core.end.is_none());
        if let Some(index) = entry
            && !self.can_run(core, index, line)
        {
            return true;
        }
        let flow = if self.is_main() {
            core.line(line)
        } else {
            core.interp.line(line)
        };
        match flow {
            // Whether it is to run cannot be told: it is left out as a whole.
            Flow::Next if entry.is_some() => self.skip(entry),
            Flow::Next => {}
            Flow::Call { program, times } => {
                let call = Call {
                    program,
                    times,
                    line: line.number,
                };
                self.call(core, call);
            }
            Flow::Return => self.back(core, None),
            Flow::Control => {
                if let Some(oword) = core.interp.take_oword() {
                    self.control(core, oword, line);
                }
            }
            Flow::End if self.is_main() => {}
            Flow::End => {
                core.end = Some(End::Code);
                return false;
            }
        }
        true
    }

    /// Goes on behind what a line of flow control begins, or the rest of what it belongs to.
    fn skip(&mut self, entry: Option<usize>) {
        if let Some(entry) = entry {
            let begin = self.outline.entries[entry].begin.unwrap_or(entry);
            if let Some(place) = self.place_of(begin) {
                self.top().open.truncate(place);
            }
            self.leap(entry);
        }
    }

    /// Whether a line of flow control is to be read: branches that were taken are left without a look at the
    /// other conditions, and what has no end is left out.
    fn can_run(&mut self, core: &mut Core<'_>, index: usize, line: Line<'_>) -> bool {
        let entry = &self.outline.entries[index];
        let begins = matches!(
            entry.word,
            Word::Sub | Word::If | Word::Do | Word::Repeat | Word::ElseIf | Word::Else
        ) || entry.word == Word::While && entry.begin.is_none();
        if begins && entry.end.is_none() {
            let name = entry.word.name();
            say(core, line, || {
                format!("Nothing ends this {name} with its own label; the line is not followed.")
            });
            return false;
        }
        if matches!(entry.word, Word::ElseIf | Word::Else)
            && let (Some(begin), Some(end)) = (entry.begin, entry.end)
            && let Some(place) = self.place_of(begin)
            && self.top().open[place].is_taken
        {
            self.top().open.truncate(place);
            self.at = self.outline.entries[end].behind;
            return false;
        }
        true
    }

    /// Where a branch or loop stands among those that the program is in.
    fn place_of(&mut self, begin: usize) -> Option<usize> {
        self.top().open.iter().rposition(|open| open.begin == begin)
    }

    fn call(&mut self, core: &mut Core<'_>, mut call: Call) {
        let mut body = self.programs.get(&call.program).copied();
        if body.is_none() && call.program >= 10_000 {
            // Four digits of number below the count of repeats, common practice.
            body = self.programs.get(&(call.program % 10_000)).copied();
            if body.is_some() {
                call.times = call.program / 10_000;
            }
        }
        let place = Place {
            line: call.line,
            ..Place::FILE
        };
        let Some(body) = body else {
            core.no_subprogram(call, "the file holds no such program");
            return;
        };
        let calls_itself = self
            .stack
            .iter()
            .any(|frame| frame.part == Part::Numbered && frame.body == body);
        if calls_itself {
            // Nothing in the language could end it.
            core.interp
                .findings()
                .add(&rules::SUBPROGRAM_DEPTH, place, 1, || {
                    let program = call.program;
                    format!("Program {program} calls itself, by others or directly, and so without end; the call is left out.")
                });
            return;
        }
        if self.is_too_deep(core, place) {
            return;
        }
        core.has_called = true;
        core.interp.findings().add_at(
            &rules::SUBPROGRAM_CALL,
            Level::Note,
            place,
            call.program + 10,
            || {
                let (program, times) = (call.program, call.times);
                format!("M98 runs program {program} of this file, {times} times.")
            },
        );
        self.go_in(Part::Numbered, body, call.times.saturating_sub(1));
    }

    fn is_too_deep(&self, core: &mut Core<'_>, place: Place<'_>) -> bool {
        let is_too_deep = self.stack.len() > DEEPEST_CALL;
        if is_too_deep {
            core.interp
                .findings()
                .add(&rules::SUBPROGRAM_DEPTH, place, 0, || {
                    format!("Subprograms call each other more than {DEEPEST_CALL} deep; the call is left out.")
                });
        }
        is_too_deep
    }

    fn go_in(&mut self, part: Part, body: Spot, left: u64) {
        self.stack.push(Frame {
            part,
            back: self.at,
            body,
            left,
            open: vec![],
        });
        self.at = body;
    }

    /// The end of a subprogram: its next round, or back behind the call.
    fn back(&mut self, core: &mut Core<'_>, value: Option<f64>) {
        if self.is_main() {
            return;
        }
        let frame = self.top();
        frame.open.clear();
        if frame.left > 0 {
            frame.left -= 1;
            self.at = frame.body;
            return;
        }
        if let Some(frame) = self.stack.pop() {
            self.at = frame.back;
            if frame.part == Part::Labelled {
                core.interp.params().leave(value);
            }
        }
    }

    /// Carries out a line of flow control whose values were read.
    fn control(&mut self, core: &mut Core<'_>, oword: OWord, line: Line<'_>) {
        if !self.has_said {
            self.has_said = true;
            let place = Place {
                line: line.number,
                column: 0,
                text: without_mark(line.text),
            };
            core.interp
                .findings()
                .add(&rules::O_WORDS_RUN, place, 0, || {
                    "Flow control by O words is run here as the successors of the language's open interpreter have it; NISTIR 6556 itself has none."
                        .to_owned()
                });
        }
        let index = self.outline.at_line(line.number);
        let holds = oword.values.first().is_some_and(|value| *value != 0.0);
        match (oword.word, index) {
            (Word::Call, _) => self.call_labelled(core, &oword, line),
            (Word::Return | Word::EndSub, _) => {
                if self.top().part == Part::Labelled {
                    self.back(core, oword.values.first().copied());
                } else {
                    stray(core, line, oword.word);
                }
            }
            (_, None) => stray(core, line, oword.word),
            (Word::Sub, Some(index)) => self.leap(index),
            (Word::If, Some(index)) => {
                self.top().open.push(Open {
                    begin: index,
                    left: 0,
                    is_taken: holds,
                });
                if !holds {
                    self.next_branch(index);
                }
            }
            (Word::ElseIf | Word::Else, Some(index)) => {
                let begin = self.outline.entries[index].begin;
                match begin.and_then(|begin| self.place_of(begin)) {
                    None => stray(core, line, oword.word),
                    Some(place) if holds || oword.word == Word::Else => {
                        self.top().open[place].is_taken = true;
                    }
                    Some(_) => self.next_branch(index),
                }
            }
            (Word::While, Some(index)) => self.at_while(index, holds),
            (Word::Do, Some(index)) => self.enter(index, 0),
            (Word::Repeat, Some(index)) => {
                let rounds = oword.values.first().copied().unwrap_or(0.0).round();
                if rounds >= 1.0 {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "cut off at 2^64, far beyond what is run"
                    )]
                    self.enter(index, rounds as u64 - 1);
                } else {
                    self.leap(index);
                }
            }
            (Word::EndIf | Word::EndWhile | Word::EndRepeat, Some(index)) => {
                let begin = self.outline.entries[index].begin;
                match begin.and_then(|begin| self.place_of(begin)) {
                    Some(place) => self.round(place),
                    None => stray(core, line, oword.word),
                }
            }
            (Word::Break | Word::Continue, Some(_)) => self.leave(core, &oword, line),
        }
    }

    /// Goes on behind the end of a branch, loop or subprogram.
    fn leap(&mut self, begin: usize) {
        if let Some(end) = self.outline.entries[begin].end {
            self.at = self.outline.entries[end].behind;
        }
    }

    fn enter(&mut self, begin: usize, left: u64) {
        let open = Open {
            begin,
            left,
            is_taken: true,
        };
        self.top().open.push(open);
    }

    /// Goes on at the next line of a branch, which is read as any other.
    fn next_branch(&mut self, index: usize) {
        if let Some(next) = self.outline.entries[index].next {
            self.at = self.outline.entries[next].before;
        }
    }

    /// A condition at the head of a loop, or at the end of one that began with `do`.
    fn at_while(&mut self, index: usize, holds: bool) {
        let begin = self.outline.entries[index].begin;
        let place = self.place_of(begin.unwrap_or(index));
        if let Some(place) = place {
            self.top().open.truncate(place + usize::from(holds));
        }
        match (begin, holds) {
            (Some(begin), true) if place.is_some() => {
                self.at = self.outline.entries[begin].behind;
            }
            (Some(_), _) => {}
            (None, true) if place.is_none() => self.enter(index, 0),
            (None, true) => {}
            (None, false) => self.leap(index),
        }
    }

    /// The end of a branch, or of a round of a loop.
    fn round(&mut self, place: usize) {
        self.top().open.truncate(place + 1);
        let Open { begin, left, .. } = self.top().open[place];
        let entry = &self.outline.entries[begin];
        match entry.word {
            Word::While => self.at = entry.before,
            Word::Repeat if left > 0 => {
                self.at = entry.behind;
                self.top().open[place].left -= 1;
            }
            _ => self.top().open.truncate(place),
        }
    }

    /// Leaves a loop, or goes on with its next round.
    fn leave(&mut self, core: &mut Core<'_>, oword: &OWord, line: Line<'_>) {
        let last = self.stack.len() - 1;
        let entries = &self.outline.entries;
        let place = self.stack[last].open.iter().rposition(|open| {
            let entry = &entries[open.begin];
            entry.label == oword.label && entry.word != Word::If
        });
        let Some(place) = place else {
            stray(core, line, oword.word);
            return;
        };
        let begin = self.stack[last].open[place].begin;
        if oword.word == Word::Break {
            self.leap(begin);
            self.top().open.truncate(place);
            return;
        }
        self.top().open.truncate(place + 1);
        if let Some(end) = self.outline.entries[begin].end {
            self.at = self.outline.entries[end].before;
        }
    }

    fn call_labelled(&mut self, core: &mut Core<'_>, oword: &OWord, line: Line<'_>) {
        let place = Place {
            line: line.number,
            column: 0,
            text: line.text,
        };
        let sub = self
            .outline
            .sub(&oword.label)
            .filter(|sub| self.outline.entries[*sub].end.is_some());
        let Some(sub) = sub else {
            // One finding for each subprogram that is not there.
            let key = match &oword.label {
                Label::Number(number) => *number,
                Label::Name(name) => name.bytes().fold(7, |key: u64, byte| {
                    key.wrapping_mul(31).wrapping_add(u64::from(byte))
                }),
                Label::Computed(_) => 0,
            };
            core.interp.findings().add(
                &rules::SUBPROGRAM_CALL,
                place,
                key.wrapping_add(LABEL_KEY),
                || "An O word calls a subprogram that this file does not hold; its moves are left out.".to_owned(),
            );
            return;
        };
        if self.is_too_deep(core, place) {
            return;
        }
        core.has_called = true;
        core.interp.params().enter(&oword.values);
        let body = self.outline.entries[sub].behind;
        self.go_in(Part::Labelled, body, 0);
    }
}

/// Says once what is wrong with flow control.
fn say(core: &mut Core<'_>, line: Line<'_>, message: impl FnOnce() -> String) {
    let place = Place {
        line: line.number,
        column: 0,
        text: without_mark(line.text),
    };
    core.interp
        .findings()
        .add(&rules::UNKNOWN_WORD, place, LABEL_KEY, message);
}

fn stray(core: &mut Core<'_>, line: Line<'_>, word: Word) {
    say(core, line, || {
        format!(
            "Nothing began with this label that {} could belong to; the line is not followed.",
            word.name()
        )
    });
}

/// The line that begins at `offset`, the offset behind it, and whether it was cut.
pub fn line_at(text: &[u8], offset: usize) -> Option<(&[u8], usize, bool)> {
    let rest = text.get(offset..).filter(|rest| !rest.is_empty())?;
    let end = memchr::memchr2(b'\n', b'\r', rest).unwrap_or(rest.len());
    let mut next = end + 1;
    if rest.get(end) == Some(&b'\r') && rest.get(next) == Some(&b'\n') {
        next += 1;
    }
    let line = &rest[..end.min(LONGEST_READ)];
    Some((line, offset + next.min(rest.len()), end > LONGEST_READ))
}

/// Just before the first line of each numbered program, which is its O line itself. Of two with one number the
/// first counts. Looked for once, since a loop may call a million times.
fn find_programs(text: &[u8]) -> BTreeMap<u64, Spot> {
    let mut found = BTreeMap::new();
    let mut at = Spot::default();
    while let Some((line, next, _)) = line_at(text, at.offset) {
        let head = line.trim_ascii_start();
        if let Some((b'O' | b'o' | b':', rest)) = head.split_first() {
            let digits: String = rest
                .iter()
                .filter(|b| !matches!(b, b' ' | b'\t'))
                .take_while(|b| b.is_ascii_digit())
                .take(18)
                .map(|b| char::from(*b))
                .collect();
            if let Ok(program) = digits.parse() {
                found.entry(program).or_insert(at);
            }
        }
        at = Spot {
            offset: next,
            line: at.line + 1,
        };
    }
    found
}
