//! A whole program, from any source of bytes, to its [`Summary`].

use std::collections::BTreeMap;
use std::io;
use std::io::Read;

use sha2::Digest;
use sha2::Sha256;

use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::fold::Fold;
use crate::program::interp::Flow;
use crate::program::interp::Interp;
use crate::program::lines::Line;
use crate::program::lines::Lines;
use crate::program::lines::TakeLines;
pub use crate::program::options::ReadOptions;
use crate::program::rules;
pub use crate::program::summary::Summary;

/// Bytes taken from the source at a time.
const PIECE: usize = 256 * 1024;
/// Subprograms are looked for in files up to this size, which are held in memory.
const MOST_HELD: usize = 4 * 1024 * 1024;
/// Calls within calls.
const DEEPEST_CALL: usize = 10;
/// Lines run by calls; a program that needs more is taken as one without end.
const MOST_CALLED_LINES: u64 = 1_000_000;
/// Bytes of the lines run by calls, since lines may be long.
const MOST_CALLED_BYTES: usize = 8 * 1024 * 1024;
/// Motions run from there on; a cycle with repeats makes many of one line.
const MOST_CALLED_MOTIONS: u64 = 4_000_000;

/// Reads a program.
///
/// # Errors
///
/// Only those of `input`: whatever is wrong with the program is a finding.
pub fn read(input: impl Read, options: &ReadOptions) -> io::Result<Summary> {
    read_into(input, options, None)
}

/// Reads a program and shows each of its motions to `sink`.
///
/// # Errors
///
/// Only those of `input`.
pub fn read_with(
    input: impl Read,
    options: &ReadOptions,
    sink: &mut dyn Fold,
) -> io::Result<Summary> {
    read_into(input, options, Some(sink))
}

fn read_into(
    mut input: impl Read,
    options: &ReadOptions,
    sink: Option<&mut dyn Fold>,
) -> io::Result<Summary> {
    let mut reader = Reader::new(options, sink);
    let mut piece = vec![0; PIECE];
    loop {
        match input.read(&mut piece) {
            Ok(0) => break,
            Ok(count) => reader.feed(&piece[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(reader.finish())
}

/// Reads a program that is in memory.
pub fn read_bytes(bytes: &[u8], options: &ReadOptions) -> Summary {
    let mut reader = Reader::new(options, None);
    for piece in bytes.chunks(PIECE) {
        reader.feed(piece);
    }
    reader.finish()
}

/// Reads a program handed over piece by piece, so that the caller can show progress or give up.
pub struct Reader<'a> {
    lines: Lines,
    core: Core<'a>,
    head: Option<Vec<u8>>,
    /// Where running from memory has to go on, once a subprogram was called.
    call: Option<Call>,
    hash: Sha256,
    size_bytes: u64,
}

#[derive(Clone, Copy, Debug)]
struct Call {
    /// Offset and number of the line behind the call.
    back: (usize, u64),
    program: u64,
    times: u64,
    line: u64,
}

/// Interpreter and the bounds of the file.
struct Core<'a> {
    interp: Interp<'a>,
    percent: Percent,
    end: Option<End>,
    has_looked_behind_end: bool,
    has_called: bool,
    first_line: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Percent {
    None,
    Open(u64),
    Closed,
}

/// Why the rest is not carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Code,
    Percent,
    MainReturn,
}

/// Hands lines to the core up to the first call of a subprogram.
struct UntilCall<'r, 'a> {
    core: &'r mut Core<'a>,
    /// The call, its way back without the offset.
    call: Option<Call>,
}

impl TakeLines for UntilCall<'_, '_> {
    fn ahead(&mut self, bytes: &[u8], number: u64) -> (usize, u64) {
        if self.core.end.is_some() {
            return (0, 0);
        }
        self.core.interp.go_on(bytes, number)
    }

    fn line(&mut self, line: Line<'_>) -> bool {
        if let Flow::Call { program, times } = self.core.line(line) {
            self.call = Some(Call {
                back: (0, line.number),
                program,
                times,
                line: line.number,
            });
        }
        self.call.is_none()
    }
}

impl<'a> Reader<'a> {
    /// Begins with nothing read.
    pub fn new(options: &ReadOptions, sink: Option<&'a mut dyn Fold>) -> Self {
        Self {
            lines: Lines::default(),
            core: Core {
                interp: Interp::new(options.clone(), sink),
                percent: Percent::None,
                end: None,
                has_looked_behind_end: false,
                has_called: false,
                first_line: true,
            },
            head: Some(vec![]),
            call: None,
            hash: Sha256::new(),
            size_bytes: 0,
        }
    }

    /// Takes the next piece, of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        self.hash.update(bytes);
        self.size_bytes += bytes.len() as u64;
        if let Some(head) = &mut self.head {
            head.extend_from_slice(bytes);
            if head.len() <= MOST_HELD {
                if self.call.is_none() {
                    self.run(bytes);
                }
                return;
            }
            // Too long to be held: a call that waits for its subprogram waits in vain.
            let head = self.head.take().unwrap_or_default();
            let Some(call) = self.call.take() else {
                self.run(bytes);
                return;
            };
            self.core
                .no_subprogram(call, "the file is too long to look for it");
            let rest = head.get(call.back.0..).unwrap_or_default();
            self.run(rest);
            return;
        }
        self.run(bytes);
    }

    fn run(&mut self, bytes: &[u8]) {
        let mut rest = bytes;
        while !rest.is_empty() {
            let before = self.lines.offset();
            let mut until = UntilCall {
                core: &mut self.core,
                call: None,
            };
            self.lines.feed(rest, &mut until);
            let Some(mut call) = until.call else {
                return;
            };
            call.back.0 = self.lines.offset();
            if self.head.is_some() {
                self.call = Some(call);
                return;
            }
            self.core
                .no_subprogram(call, "the file is too long to look for it");
            // The rest of this piece begins behind the line of the call.
            let total = before + rest.len();
            let left = total.saturating_sub(self.lines.offset()).min(rest.len());
            rest = &rest[rest.len() - left..];
        }
    }

    /// Ends the program.
    pub fn finish(mut self) -> Summary {
        if let Some(call) = self.call.take() {
            let head = self.head.take().unwrap_or_default();
            self.core.run_from_memory(&head, call);
        } else {
            let mut until = UntilCall {
                core: &mut self.core,
                call: None,
            };
            self.lines.end(&mut until);
            if let Some(mut call) = until.call {
                let head = self.head.take().unwrap_or_default();
                call.back.0 = head.len();
                if head.is_empty() {
                    self.core
                        .no_subprogram(call, "the file is too long to look for it");
                } else {
                    self.core.run_from_memory(&head, call);
                }
            }
        }
        self.core.look_at_bounds();
        let has_end = self.core.end.is_some();
        let mut summary = self.core.interp.finish();
        summary.size_bytes = self.size_bytes;
        summary.sha256 = self
            .hash
            .finalize()
            .iter()
            .map(|b| format!("{b:02x}"))
            .collect();
        summary.has_end = has_end;
        summary
    }
}

impl Core<'_> {
    /// One line with the bounds of the file in mind.
    fn line(&mut self, line: Line<'_>) -> Flow {
        let mut line = line;
        if self.first_line {
            self.first_line = false;
            if let Some(rest) = line.text.strip_prefix(b"\xef\xbb\xbf") {
                line.text = rest;
                let place = Place {
                    line: line.number,
                    column: 1,
                    text: b"",
                };
                self.interp
                    .findings()
                    .add(&rules::BYTE_ORDER_MARK, place, 0, || {
                        "The file begins with a byte-order mark; it is skipped.".to_owned()
                    });
            }
        }
        if self.end.is_some() {
            self.behind_end(line);
            return Flow::Next;
        }
        let first = line.text.iter().find(|b| !matches!(b, b' ' | b'\t'));
        if first == Some(&b'%') {
            self.percent(line);
            return Flow::Next;
        }
        let flow = self.interp.line(line);
        match flow {
            Flow::End => self.end = Some(End::Code),
            Flow::Return => {
                self.end = Some(End::MainReturn);
                let place = Place {
                    line: line.number,
                    column: 0,
                    text: line.text,
                };
                self.interp
                    .findings()
                    .add_at(&rules::SUBPROGRAM_CALL, Level::Warn, place, 2, || {
                        "M99 ends the main program: on many controls it begins again without end; read once."
                            .to_owned()
                    });
            }
            Flow::Next | Flow::Call { .. } => {}
        }
        flow
    }

    fn percent(&mut self, line: Line<'_>) {
        let place = Place {
            line: line.number,
            column: 0,
            text: line.text,
        };
        match self.percent {
            Percent::None if !self.interp.has_line() => self.percent = Percent::Open(line.number),
            Percent::None if !self.interp.has_acted() => {
                self.percent = Percent::Open(line.number);
                let findings = self.interp.findings();
                findings.forget(&[
                    &rules::UNKNOWN_WORD,
                    &rules::MISSING_NUMBER,
                    &rules::BAD_CHARACTER,
                    &rules::BAD_NUMBER,
                ]);
                findings.add(&rules::TEXT_BEFORE_PERCENT, place, 0, || {
                    "Text stands before the first % line.".to_owned()
                });
            }
            Percent::None => {
                self.percent = Percent::Closed;
                self.end = Some(End::Percent);
                self.interp
                    .findings()
                    .add(&rules::PERCENT_POSITION, place, 0, || {
                        "A % line stands in the file and none at its head; reading ends there."
                            .to_owned()
                    });
            }
            Percent::Open(_) | Percent::Closed => {
                self.percent = Percent::Closed;
                self.end = Some(End::Percent);
            }
        }
    }

    fn behind_end(&mut self, line: Line<'_>) {
        let text = line.text.trim_ascii();
        if text.first() == Some(&b'%') {
            if self.percent != Percent::None {
                self.percent = Percent::Closed;
            }
            return;
        }
        if self.has_looked_behind_end || text.is_empty() || self.percent == Percent::Closed {
            return;
        }
        self.has_looked_behind_end = true;
        let is_subprogram = matches!(text[0], b'O' | b'o' | b':');
        if is_subprogram && self.has_called {
            return;
        }
        let level = if is_subprogram || matches!(text[0], b'(' | b';') {
            Level::Note
        } else {
            Level::Warn
        };
        let place = Place {
            line: line.number,
            column: 0,
            text: line.text,
        };
        self.interp
            .findings()
            .add_at(&rules::TEXT_AFTER_END, level, place, 0, || {
                "Lines stand behind the end of the program; they do not run.".to_owned()
            });
    }

    fn no_subprogram(&mut self, call: Call, why: &str) {
        let place = Place {
            line: call.line,
            ..Place::FILE
        };
        self.interp
            .findings()
            .add(&rules::SUBPROGRAM_CALL, place, call.program + 10, || {
                let program = call.program;
                format!("M98 calls program {program}, and {why}; its moves are left out.")
            });
    }

    /// Runs the rest of the program from memory, subprograms included.
    fn run_from_memory(&mut self, head: &[u8], first: Call) {
        struct Frame {
            back: (usize, u64),
            body: (usize, u64),
            left: u64,
        }
        let programs = find_programs(head);
        let mut stack: Vec<Frame> = vec![];
        let mut at = first.back;
        let mut pending = Some(first);
        let mut lines_run: u64 = 0;
        let mut bytes_run = 0;
        let motions_before = self.interp.motions();
        loop {
            if let Some(mut call) = pending.take() {
                let mut body = programs.get(&call.program).copied();
                if body.is_none() && call.program >= 10_000 {
                    // Four digits of number below the count of repeats, common practice.
                    body = programs.get(&(call.program % 10_000)).copied();
                    if body.is_some() {
                        call.times = call.program / 10_000;
                    }
                }
                let place = Place {
                    line: call.line,
                    ..Place::FILE
                };
                match body {
                    None => self.no_subprogram(call, "the file holds no such program"),
                    // Nothing in the language could end it.
                    Some(body) if stack.iter().any(|frame| frame.body == body) => {
                        self.interp
                            .findings()
                            .add(&rules::SUBPROGRAM_DEPTH, place, 1, || {
                                let program = call.program;
                                format!("Program {program} calls itself, by others or directly, and so without end; the call is left out.")
                            });
                    }
                    Some(_) if stack.len() >= DEEPEST_CALL => {
                        self.interp
                            .findings()
                            .add(&rules::SUBPROGRAM_DEPTH, place, 0, || {
                                format!("Subprograms call each other more than {DEEPEST_CALL} deep; the call is left out.")
                            });
                    }
                    Some(body) => {
                        self.has_called = true;
                        self.interp.findings().add_at(
                            &rules::SUBPROGRAM_CALL,
                            Level::Note,
                            place,
                            call.program + 10,
                            || {
                                let (program, times) = (call.program, call.times);
                                format!("M98 runs program {program} of this file, {times} times.")
                            },
                        );
                        stack.push(Frame {
                            back: at,
                            body,
                            left: call.times.saturating_sub(1),
                        });
                        at = body;
                    }
                }
            }
            let Some((text, next, is_cut)) = line_at(head, at.0) else {
                break;
            };
            let number = at.1 + 1;
            at = (next, number);
            if !stack.is_empty() {
                lines_run += 1;
                bytes_run += text.len();
                let motions = self.interp.motions() - motions_before;
                if lines_run > MOST_CALLED_LINES
                    || bytes_run > MOST_CALLED_BYTES
                    || motions > MOST_CALLED_MOTIONS
                {
                    let place = Place {
                        line: number,
                        ..Place::FILE
                    };
                    self.interp
                        .findings()
                        .add(&rules::ENDLESS_PROGRAM, place, 0, || {
                            format!(
                                "Subprograms ran {lines_run} lines and {motions} motions; the rest is left out."
                            )
                        });
                    break;
                }
            }
            let line = Line {
                number,
                text,
                is_cut,
            };
            if stack.is_empty() {
                if let Flow::Call { program, times } = self.line(line) {
                    pending = Some(Call {
                        back: at,
                        program,
                        times,
                        line: number,
                    });
                }
                continue;
            }
            match self.interp.line(line) {
                Flow::Next => {}
                Flow::Call { program, times } => {
                    pending = Some(Call {
                        back: at,
                        program,
                        times,
                        line: number,
                    });
                }
                Flow::Return => {
                    if let Some(frame) = stack.last_mut() {
                        if frame.left > 0 {
                            frame.left -= 1;
                            at = frame.body;
                        } else {
                            at = frame.back;
                            stack.pop();
                        }
                    }
                }
                Flow::End => {
                    self.end = Some(End::Code);
                    break;
                }
            }
        }
    }

    fn look_at_bounds(&mut self) {
        let has_line = self.interp.has_line() || self.percent != Percent::None;
        let percent = self.percent;
        let end = self.end;
        let findings = self.interp.findings();
        if !has_line {
            findings.add(&rules::EMPTY_PROGRAM, Place::FILE, 0, || {
                "There is nothing in the file.".to_owned()
            });
            return;
        }
        match (percent, end) {
            (Percent::Open(line), None) => {
                let place = Place {
                    line,
                    ..Place::FILE
                };
                findings.add(&rules::PERCENT_UNCLOSED, place, 0, || {
                    "The file opens with % and has neither a second one nor M2 or M30.".to_owned()
                });
            }
            (Percent::Open(line), Some(_)) => {
                let place = Place {
                    line,
                    ..Place::FILE
                };
                findings.add_at(&rules::PERCENT_UNCLOSED, Level::Note, place, 1, || {
                    "The file opens with % and has no second one.".to_owned()
                });
            }
            (_, None) => {
                findings.add(&rules::NO_PROGRAM_END, Place::FILE, 0, || {
                    "The program has no M2 or M30.".to_owned()
                });
            }
            _ => {}
        }
    }
}

/// The line that begins at `offset`, the offset behind it, and whether it was cut.
fn line_at(text: &[u8], offset: usize) -> Option<(&[u8], usize, bool)> {
    let rest = text.get(offset..).filter(|rest| !rest.is_empty())?;
    let end = memchr::memchr2(b'\n', b'\r', rest).unwrap_or(rest.len());
    let mut next = end + 1;
    if rest.get(end) == Some(&b'\r') && rest.get(next) == Some(&b'\n') {
        next += 1;
    }
    let longest = crate::program::lines::LONGEST_READ;
    let line = &rest[..end.min(longest)];
    Some((line, offset + next.min(rest.len()), end > longest))
}

/// Offset and line number just before the first line of each numbered program: its O line itself. Of
/// two with one number the first counts. Looked for once, since a loop may call a million times.
fn find_programs(text: &[u8]) -> BTreeMap<u64, (usize, u64)> {
    let mut found = BTreeMap::new();
    let mut at = 0;
    let mut line_number = 0;
    while let Some((line, next, _)) = line_at(text, at) {
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
                found.entry(program).or_insert((at, line_number));
            }
        }
        at = next;
        line_number += 1;
    }
    found
}
