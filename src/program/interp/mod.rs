//! Words of a line acting on the modal state, in the order of NISTIR 6556, table 8.

mod arcs;
mod codes;
mod cycles;
mod frames;
mod lengths;
mod moves;
mod restart;
mod tally;
mod tools;

use crate::program::arc::Plane;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::finding::Rule;
use crate::program::fold::Fold;
use crate::program::interp::codes::Codes;
use crate::program::interp::cycles::Sticky;
use crate::program::interp::lengths::Lengths;
use crate::program::interp::restart::Restart;
use crate::program::interp::tally::Tally;
use crate::program::kept::Keeper;
use crate::program::lines::LONGEST_READ;
use crate::program::lines::Line;
use crate::program::options::ReadOptions;
use crate::program::oword::OWord;
use crate::program::params::Key;
use crate::program::params::Params;
use crate::program::rules;
use crate::program::section::Turning;
use crate::program::start::Start;
use crate::program::summary::StopCode;
use crate::program::summary::Summary;
use crate::program::summary::Units;
use crate::program::time::planner::Planner;
use crate::program::word;
use crate::program::word::Block;
use crate::program::word::bit;

/// Millimetres in an inch, exactly.
pub const MM_PER_INCH: f64 = 25.4;
/// Longest line of the report (3.3).
const LONGEST_LINE: usize = 256;
/// Stops and tools kept in the summary.
const MOST_LISTED: usize = 1000;

/// What the reader does after a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flow {
    /// Reads the next line.
    Next,
    /// Runs a numbered subprogram so many times.
    Call {
        /// Number behind P.
        program: u64,
        /// Repeats, at least 1.
        times: u64,
    },
    /// M99.
    Return,
    /// M2 or M30.
    End,
    /// Flow control by O words: [`Interp::take_oword`] has it.
    Control,
}

/// Motion in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mode {
    None,
    Rapid,
    Feed,
    ArcCw,
    ArcCcw,
    Probe,
    /// Canned cycle, 73 or 81 to 89.
    Cycle(u8),
}

/// Meaning of F.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum FeedMode {
    PerMinute,
    InverseTime,
    PerTurn,
}

/// The line being carried out.
#[derive(Clone, Copy, Debug)]
struct At<'t> {
    line: u64,
    text: &'t [u8],
}

impl<'t> At<'t> {
    fn column(self, column: u32) -> Place<'t> {
        Place {
            line: self.line,
            column,
            text: self.text,
        }
    }

    fn whole(self) -> Place<'t> {
        self.column(0)
    }
}

/// When a tool was named last.
#[derive(Clone, Copy, Debug, Default)]
struct Selected {
    /// Whether anything was cut since the change before.
    is_after_cuts: bool,
    /// Feed motions before it.
    cuts: u64,
}

/// A stop behind a comment that speaks of a tool.
#[derive(Clone, Debug)]
struct CommentChange {
    line: u64,
    text: Vec<u8>,
    comment: String,
    /// Feed motions before it.
    cuts: u64,
}

/// Modal state and place of the tool.
struct Machine<'a> {
    options: ReadOptions,
    findings: Findings,
    tally: Tally,
    sink: Option<&'a mut dyn Fold>,
    planner: Option<Planner>,
    keeper: Option<Keeper>,
    /// Whether the origins were given, so that machine coordinates mean something.
    has_machine: bool,
    restart: Restart,
    motions: u64,
    mode: Mode,
    plane: Plane,
    /// What was set before the first move.
    start: Start,
    /// Line that selected the plane; 0 from the start.
    plane_line: u64,
    is_absolute: bool,
    has_absolute_centres: bool,
    feed_mode: FeedMode,
    /// Millimetres in a unit of the program.
    unit_mm: f64,
    units: Units,
    units_of_first_move: Option<Units>,
    is_compensated: bool,
    returns_to_initial: bool,
    system: usize,
    origins: [[f64; 3]; 9],
    g92: [f64; 3],
    g92_saved: [f64; 3],
    has_g92: bool,
    h: Option<u32>,
    length_mm: f64,
    /// mm/min, mm a turn, or 1/min under G93 (of the last line).
    feed: Option<f64>,
    speed: Option<f64>,
    turning: Turning,
    /// M5 stopped the spindle, and the program has not waited for the person since.
    is_off_by_m5: bool,
    /// Mist (M7) and flood (M8).
    coolant: [bool; 2],
    tool: Option<u32>,
    pending_tool: Option<u32>,
    t_without_change: bool,
    selected: Selected,
    comment_change: Option<CommentChange>,
    /// Work systems of which G10 moved the zero, with the line.
    moved: Vec<(usize, u64)>,
    /// The line of a G92 that gave a known place other numbers.
    named_line: Option<u64>,
    /// The first line that cuts by distances from a place that is not known.
    blind_from: Option<u64>,
    /// Which tool has cut with which length.
    lengths: Lengths,
    /// Z in the program's own numbers while another length makes it unknown and no motion has left it, mm.
    kept_z: Option<f64>,
    /// Feed motions before the last M6.
    cuts_at_change: u64,
    is_tool_announced: bool,
    has_changed_tool: bool,
    /// Place in the program's own numbers, mm.
    pos: [f64; 3],
    known: [bool; 3],
    /// Machine coordinates less `pos`.
    offset: [f64; 3],
    cycle: Sticky,
    /// Feeds that repeats of cycles have made beyond one hole each.
    repeated: f64,
}

/// Reads lines in order and keeps the state between them.
pub struct Interp<'a> {
    params: Params,
    block: Block,
    machine: Machine<'a>,
    has_line: bool,
    /// Whether the last line left the machine so that [`Machine::go_on`] may carry out the next one.
    is_steady: bool,
}

impl<'a> Interp<'a> {
    /// Begins with the power-up state; the place is unknown but for what `options` state.
    pub fn new(options: ReadOptions, sink: Option<&'a mut dyn Fold>) -> Self {
        let origins = options.origins_mm.unwrap_or_default();
        let keeper = (options.keep_steps > 0).then(|| Keeper::new(options.keep_steps));
        let has_machine = options.origins_mm.is_some();
        let planner = options.motion.clone().map(Planner::new);
        let mut pos = [0.0; 3];
        let mut known = [false; 3];
        for axis in 0..3 {
            if let Some(start) = options.start_mm[axis] {
                pos[axis] = start;
                known[axis] = true;
            }
        }
        Self {
            params: Params::default(),
            block: Block::default(),
            machine: Machine {
                options,
                findings: Findings::default(),
                tally: Tally::default(),
                sink,
                planner,
                keeper,
                has_machine,
                restart: Restart::default(),
                motions: 0,
                mode: Mode::None,
                plane: Plane::Xy,
                start: Start::default(),
                plane_line: 0,
                is_absolute: true,
                has_absolute_centres: false,
                feed_mode: FeedMode::PerMinute,
                unit_mm: 1.0,
                units: Units::AssumedMm,
                units_of_first_move: None,
                is_compensated: false,
                returns_to_initial: true,
                system: 0,
                origins,
                g92: [0.0; 3],
                g92_saved: [0.0; 3],
                has_g92: false,
                h: None,
                length_mm: 0.0,
                feed: None,
                speed: None,
                turning: Turning::Stopped,
                is_off_by_m5: false,
                coolant: [false; 2],
                tool: None,
                pending_tool: None,
                t_without_change: false,
                selected: Selected::default(),
                comment_change: None,
                moved: vec![],
                named_line: None,
                blind_from: None,
                lengths: Lengths::default(),
                kept_z: None,
                cuts_at_change: 0,
                is_tool_announced: false,
                has_changed_tool: false,
                pos,
                known,
                offset: origins[0],
                cycle: Sticky::default(),
                repeated: 0.0,
            },
            has_line: false,
            is_steady: false,
        }
    }

    /// Whether any line was not blank.
    pub fn has_line(&self) -> bool {
        self.has_line
    }

    /// Motions carried out so far.
    pub fn motions(&self) -> u64 {
        self.machine.motions
    }

    /// Whether any code or motion was carried out.
    pub fn has_acted(&self) -> bool {
        self.machine.tally.blocks > 0 && self.machine.tally.has_code
    }

    /// The findings so far.
    pub fn findings(&mut self) -> &mut Findings {
        &mut self.machine.findings
    }

    /// Carries out lines of nothing but coordinates at the head of `bytes`, behind line `number`, as far
    /// as the modal state allows it without a further look. Returns their bytes and how many they are.
    pub fn go_on(&mut self, bytes: &[u8], number: u64) -> (usize, u64) {
        let (mut taken, mut lines) = (0, 0);
        while self.is_steady {
            let own = self.machine.go_on(&bytes[taken..], number + lines + 1);
            if own == 0 {
                break;
            }
            taken += own;
            lines += 1;
        }
        (taken, lines)
    }

    /// The flow control of the last line.
    pub fn take_oword(&mut self) -> Option<OWord> {
        self.block.oword.take()
    }

    /// The parameters, for calls of subprograms.
    pub fn params(&mut self) -> &mut Params {
        &mut self.params
    }

    /// Whether the next lines run in a subprogram or a loop: nobody can begin again in the middle of one.
    pub fn set_inside(&mut self, is_inside: bool) {
        self.machine.restart.is_inside = is_inside;
    }

    /// Whether lines that begin with / are skipped.
    pub fn has_block_delete(&self) -> bool {
        self.machine.options.block_delete
    }

    /// Carries out one line.
    pub fn line(&mut self, line: Line<'_>) -> Flow {
        let at = At {
            line: line.number,
            text: line.text,
        };
        self.machine.tally.last_line = line.number;
        let flow = self.whole_line(line, at);
        self.is_steady = self.machine.is_steady();
        flow
    }

    fn whole_line(&mut self, line: Line<'_>, at: At<'_>) -> Flow {
        if line.text.len() > LONGEST_LINE {
            self.long_line(at, line.is_cut);
        }
        let Some(first) = line.text.iter().position(|b| !matches!(b, b' ' | b'\t')) else {
            return Flow::Next;
        };
        self.has_line = true;
        if line.text[first] == b'/' && line.text.get(first + 1) != Some(&b'/') {
            let state = if self.machine.options.block_delete {
                "on"
            } else {
                "off"
            };
            self.machine
                .findings
                .add(&rules::BLOCK_DELETE_PRESENT, at.whole(), 0, || {
                    format!("A line begins with /: whether it runs depends on a switch, taken as {state}.")
                });
            if self.machine.options.block_delete {
                return Flow::Next;
            }
            // A numbered switch, /2, is a switch too.
            let from = first + 1;
            let digit = line.text.get(from).is_some_and(u8::is_ascii_digit);
            let mut blanked;
            let text = if digit {
                blanked = line.text.to_vec();
                blanked[..=from].fill(b' ');
                blanked.as_slice()
            } else {
                blanked = line.text.to_vec();
                blanked[first] = b' ';
                blanked.as_slice()
            };
            return self.words(At { text, ..at });
        }
        self.words(at)
    }

    fn words(&mut self, at: At<'_>) -> Flow {
        word::parse(
            at.text,
            at.line,
            &self.params,
            &mut self.block,
            &mut self.machine.findings,
        );
        let flow = if self.block.oword.is_some() {
            self.machine.tally.blocks += 1;
            Flow::Control
        } else if self.block.has_words {
            self.machine.tally.blocks += 1;
            self.machine.keep_restart(at);
            self.machine.block(&self.block, at)
        } else {
            Flow::Next
        };
        if let Some((from, to)) = self.block.comment {
            let pending = self.machine.pending_tool;
            let comment = &at.text[from..to];
            if self.machine.tally.comment(comment, &self.block, pending) {
                self.machine.section_break(at.line);
            }
        }
        if !self.block.settings.is_empty() {
            for (key, value) in self.block.settings.drain(..) {
                if let Key::Number(index) = key {
                    self.machine.parameter_set(index, value, at);
                }
                self.params.set(key, value);
            }
        }
        flow
    }

    fn long_line(&mut self, at: At<'_>, is_cut: bool) {
        let level = if is_cut { Level::Stop } else { Level::Warn };
        self.machine
            .findings
            .add_at(&rules::LINE_TOO_LONG, level, at.whole(), 0, || {
                if is_cut {
                    format!("A line is longer than {LONGEST_READ} characters; the rest of it is not read.")
                } else {
                    format!("A line is longer than {LONGEST_LINE} characters.")
                }
            });
    }

    /// Closes the sections and hands out what was read; the file's own facts are the caller's.
    pub fn finish(mut self) -> Summary {
        let machine = &mut self.machine;
        machine.look_at_last_tool();
        machine.say_change_in_comment();
        machine.note_lowest();
        machine.halt();
        machine.time_section();
        let mut known = machine.known;
        let machine_final = std::array::from_fn(|axis| {
            (machine.options.origins_mm.is_some() && known[axis])
                .then(|| machine.pos[axis] + machine.offset[axis])
        });
        let program_final = std::array::from_fn(|axis| known[axis].then(|| machine.pos[axis]));
        known = [false; 3];
        machine.known = known;
        let has_machine = machine.options.origins_mm.is_some();
        let tally = std::mem::take(&mut machine.tally);
        let last_line = tally.last_line;
        let mut summary = tally.finish(has_machine, machine.tool.or(machine.pending_tool));
        summary.last_line = last_line;
        summary.start = machine.start;
        summary.blind_from = machine.blind_from;
        summary.lengths = std::mem::take(&mut machine.lengths).uses();
        summary.units = machine.units_of_first_move.unwrap_or(machine.units);
        summary.final_machine_mm = machine_final;
        summary.final_program_mm = program_final;
        summary.kept = machine.keeper.take().and_then(Keeper::finish);
        summary.over_axis = machine.planner.as_ref().and_then(Planner::over_axis);
        summary.restart_points = std::mem::take(&mut machine.restart).points();
        summary.spindle_on_at_end = machine.turning != Turning::Stopped;
        summary.uncertain_from = machine.findings.uncertain_from();
        summary.findings = std::mem::take(&mut machine.findings).into_sorted();
        summary
    }
}

impl Machine<'_> {
    fn find(
        &mut self,
        rule: &'static Rule,
        place: Place<'_>,
        key: u64,
        message: impl FnOnce() -> String,
    ) {
        self.findings.add(rule, place, key, message);
    }

    /// Carries out the words of a line.
    fn block(&mut self, b: &Block, at: At<'_>) -> Flow {
        const PLAIN: u32 = bit(b'X') | bit(b'Y') | bit(b'Z') | bit(b'F');
        if b.m_words == 0
            && b.seen & !PLAIN == 0
            && b.unreadable == 0
            && b.program_number.is_none()
            && self.is_plain(b)
        {
            self.plain_line(b, at);
            return Flow::Next;
        }
        let codes = Codes::collect(self, b, at);
        if b.is_macro {
            self.known = [false; 3];
            return Flow::Next;
        }
        if self.units_of_first_move.is_none() {
            self.set_at_start(&codes, b);
        }
        self.tally.has_code |= !b.g().is_empty() || b.m_words > 0 || b.seen != 0;
        let mut used = bit(b'F') | bit(b'S') | bit(b'T');
        // Steps 2 to 4: feed mode, units for the F of this line, F, S.
        self.feed_mode(&codes);
        let units_changed = self.set_units(b, &codes, at);
        self.set_feed(b, at, units_changed);
        self.set_speed(b, &codes, at);
        // Steps 5 to 7.
        self.select_tool(b, at);
        if codes.has_m6 {
            self.change_tool(at);
        }
        self.turn_spindle(&codes);
        // Step 10.
        if codes.has_dwell {
            used |= self.dwell(b, &codes, at);
        }
        // Steps 11 to 18.
        self.set_plane(&codes, at);
        used |= self.set_compensation(b, &codes, at);
        used |= self.set_length(b, &codes, at);
        self.set_system(&codes, at);
        if codes.path {
            used |= bit(b'P') | bit(b'Q');
        }
        if let Some(absolute) = codes.absolute {
            self.is_absolute = absolute;
        }
        if let Some(absolute) = codes.absolute_centres {
            self.has_absolute_centres = absolute;
            if absolute {
                self.find(&rules::ABSOLUTE_ARC_CENTRES, at.whole(), 0, || {
                    "Arc centres are absolute from here on (G90.1).".to_owned()
                });
            }
        }
        if let Some(initial) = codes.initial_return {
            self.returns_to_initial = initial;
        }
        // Steps 19 and 20.
        used |= self.frames_and_motion(b, &codes, at);
        self.extra_words(b, &codes, used, at);
        // Step 21.
        self.stop(b, &codes, at)
    }

    /// Keeps what the program sets before its first move, or with it.
    fn set_at_start(&mut self, codes: &Codes, b: &Block) {
        let start = &mut self.start;
        start.units = codes.units.or(start.units);
        start.plane = codes.plane.or(start.plane);
        start.system = codes.system.or(start.system);
        start.absolute = codes.absolute.or(start.absolute);
        for (code, _) in b.m() {
            match code {
                48 => start.overrides = Some(true),
                49 => start.overrides = Some(false),
                _ => {}
            }
        }
    }

    fn stop(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> Flow {
        if let Some(code) = codes.stop {
            if self.tally.stops.len() < MOST_LISTED {
                self.tally.stops.push(StopCode {
                    line: at.line,
                    code,
                });
            }
            self.halt();
            if matches!(code, 0 | 1) {
                self.lengths.changed();
            }
            match code {
                2 | 30 => {
                    // The end stops the spindle (3.6.1).
                    self.turning = Turning::Stopped;
                    return Flow::End;
                }
                0 if self.t_without_change => {
                    // A change by hand: the T word says to which tool.
                    self.t_without_change = false;
                    self.tool = self.pending_tool;
                    self.section_break(at.line);
                }
                0 | 1 => {
                    let own = b.comment.map(|(from, to)| &at.text[from..to]);
                    self.say_change_in_comment();
                    if let Some(comment) = self.tally.change_in_comment(own) {
                        self.comment_change = Some(CommentChange {
                            line: at.line,
                            text: at.text.to_vec(),
                            comment,
                            cuts: self.tally.cuts(),
                        });
                    }
                }
                _ => {}
            }
        }
        match codes.subprogram {
            Some(98) => {
                let whole = |letter: u8| {
                    b.get(letter)
                        .filter(|v| v.fract() == 0.0 && (0.0..1e15).contains(v))
                };
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "whole, 0 to 1e15"
                )]
                match whole(b'P') {
                    Some(program) => Flow::Call {
                        program: program as u64,
                        times: whole(b'L').map_or(1, |times| (times as u64).max(1)),
                    },
                    None => {
                        self.find(&rules::SUBPROGRAM_CALL, at.whole(), 1, || {
                            "M98 names no program by a whole P; what it would do is not read."
                                .to_owned()
                        });
                        Flow::Next
                    }
                }
            }
            Some(_) => Flow::Return,
            None => Flow::Next,
        }
    }

    /// Says that a tool is changed by a comment alone; not where M6 came before the next cut.
    fn say_change_in_comment(&mut self) {
        let Some(change) = self.comment_change.take() else {
            return;
        };
        let place = Place {
            line: change.line,
            column: 0,
            text: &change.text,
        };
        self.findings
            .add(&rules::TOOL_CHANGE_IN_COMMENT, place, 0, || {
                let comment = change.comment;
                format!("A stop follows a comment that speaks of a tool (\"{comment}\"), and no T names it.")
            });
    }

    /// The machine stands still.
    fn halt(&mut self) {
        self.is_off_by_m5 = false;
        if let Some(planner) = self.planner.as_mut() {
            planner.rest();
        }
        self.tell(|fold| fold.halt());
    }

    /// Tells everybody who wants to see what happens.
    fn tell(&mut self, say: impl Fn(&mut dyn Fold)) {
        if let Some(keeper) = self.keeper.as_mut() {
            say(keeper);
        }
        if let Some(sink) = self.sink.as_mut() {
            say(*sink);
        }
    }

    /// Hands the time so far to the section.
    fn time_section(&mut self) {
        if let Some(planner) = self.planner.as_mut() {
            self.tally.estimate(planner.take_seconds());
        }
    }

    /// Begins a new section unless nothing was cut yet.
    fn section_break(&mut self, line: u64) {
        self.note_lowest();
        self.time_section();
        self.tally.section_break(
            line,
            self.tool,
            self.system,
            self.has_g92,
            &mut self.findings,
        );
        self.is_tool_announced = false;
        self.tell_zero();
    }

    /// Tells which zero the numbers count from.
    fn tell_zero(&mut self) {
        let (system, is_named) = (self.system, self.has_g92);
        let is_moved = self.zero_moved_line().is_some();
        self.tell(|fold| fold.zero(system, is_named, is_moved));
    }

    /// The line in which the program moved the zero in force away from where it was set by hand.
    fn zero_moved_line(&self) -> Option<u64> {
        let by_g10 = self.moved.iter().find(|(system, _)| *system == self.system);
        by_g10.map(|(_, line)| *line).or(self.named_line)
    }
}
