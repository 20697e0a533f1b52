//! A whole program, from any source of bytes, to its [`Summary`].

mod memory;
mod outline;

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
use crate::program::oword;
use crate::program::read::memory::Begin;
use crate::program::read::memory::Call;
use crate::program::read::memory::Spot;
use crate::program::rules;
pub use crate::program::summary::Summary;

/// Bytes taken from the source at a time.
const PIECE: usize = 256 * 1024;
/// Subprograms are looked for in files up to this size, which are held in memory.
const MOST_HELD: usize = 4 * 1024 * 1024;
/// Key of the finding about flow control in a longer file.
const NO_CONTROL: u64 = 2000;

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
    /// Where running from memory has to begin, once a subprogram was called or flow control met.
    begin: Option<Begin>,
    hash: Sha256,
    size_bytes: u64,
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

/// Hands lines to the core up to the first call of a subprogram or line of flow control.
struct UntilMemory<'r, 'a> {
    core: &'r mut Core<'a>,
    /// Whether the file is held so far.
    is_held: bool,
    /// What needs the whole file, its place without the offset.
    begin: Option<Begin>,
}

impl TakeLines for UntilMemory<'_, '_> {
    fn ahead(&mut self, bytes: &[u8], number: u64) -> (usize, u64) {
        if self.core.end.is_some() {
            return (0, 0);
        }
        self.core.interp.go_on(bytes, number)
    }

    fn line(&mut self, line: Line<'_>) -> bool {
        let behind = Spot {
            offset: 0,
            line: line.number,
        };
        if self.core.end.is_none() && oword::head(without_mark(line.text)).is_some() {
            if self.is_held {
                self.begin = Some(Begin::Control {
                    behind,
                    text: line.text.to_vec(),
                    is_cut: line.is_cut,
                });
                return false;
            }
            self.core.no_control(line);
            return true;
        }
        let Flow::Call { program, times } = self.core.line(line) else {
            return true;
        };
        let call = Call {
            program,
            times,
            line: line.number,
        };
        if self.is_held {
            self.begin = Some(Begin::Call { behind, call });
            return false;
        }
        self.core
            .no_subprogram(call, "the file is too long to look for it");
        true
    }
}

/// A line without the byte-order mark that a file may begin with.
fn without_mark(text: &[u8]) -> &[u8] {
    text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text)
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
            begin: None,
            hash: Sha256::new(),
            size_bytes: 0,
        }
    }

    /// Takes the next piece, of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        self.hash.update(bytes);
        self.size_bytes += bytes.len() as u64;
        let Some(head) = &mut self.head else {
            self.run(bytes);
            return;
        };
        head.extend_from_slice(bytes);
        if head.len() <= MOST_HELD {
            if self.begin.is_none() {
                self.run(bytes);
            }
            return;
        }
        // Too long to be held: what waits for the whole file waits in vain.
        let head = self.head.take().unwrap_or_default();
        let Some(begin) = self.begin.take() else {
            self.run(bytes);
            return;
        };
        let behind = self.core.without_memory(begin);
        self.run(head.get(behind.offset..).unwrap_or_default());
    }

    fn run(&mut self, bytes: &[u8]) {
        let mut until = UntilMemory {
            core: &mut self.core,
            is_held: self.head.is_some(),
            begin: None,
        };
        self.lines.feed(bytes, &mut until);
        self.begin = until.begin;
        if let Some(begin) = &mut self.begin {
            begin.behind_mut().offset = self.lines.offset();
        }
    }

    /// Ends the program.
    pub fn finish(mut self) -> Summary {
        let head = self.head.take().unwrap_or_default();
        if self.begin.is_none() {
            let mut until = UntilMemory {
                core: &mut self.core,
                is_held: !head.is_empty(),
                begin: None,
            };
            self.lines.end(&mut until);
            self.begin = until.begin;
            if let Some(begin) = &mut self.begin {
                begin.behind_mut().offset = head.len();
            }
        }
        if let Some(begin) = self.begin.take() {
            self.core.run_from_memory(&head, begin);
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
            if line.text != without_mark(line.text) {
                line.text = without_mark(line.text);
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
            Flow::Next | Flow::Call { .. } | Flow::Control => {}
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

    /// Goes on behind what would need the whole file.
    fn without_memory(&mut self, begin: Begin) -> Spot {
        match begin {
            Begin::Call { behind, call } => {
                self.no_subprogram(call, "the file is too long to look for it");
                behind
            }
            Begin::Control {
                behind,
                text,
                is_cut,
            } => {
                self.no_control(Line {
                    number: behind.line,
                    text: &text,
                    is_cut,
                });
                behind
            }
        }
    }

    fn no_control(&mut self, line: Line<'_>) {
        let place = Place {
            line: line.number,
            column: 0,
            text: line.text,
        };
        self.interp
            .findings()
            .add(&rules::UNKNOWN_WORD, place, NO_CONTROL, || {
                "The file is too long to follow its flow control by O words; these lines are left out."
                    .to_owned()
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
            // What never ends does not come to its end.
            (_, None) if findings.has(&rules::ENDLESS_PROGRAM) => {}
            (_, None) => {
                findings.add(&rules::NO_PROGRAM_END, Place::FILE, 0, || {
                    "The program has no M2 or M30.".to_owned()
                });
            }
            _ => {}
        }
    }
}
