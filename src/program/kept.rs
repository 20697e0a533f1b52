//! The motions of a program kept in memory, so that they can be swept or timed again without the file.

use std::sync::Arc as Shared;

use crate::program::arc::Arc;
use crate::program::fold::Fold;
use crate::program::motion::Kind;
use crate::program::motion::MachineMove;
use crate::program::motion::Motion;
use crate::program::motion::Pace;
use crate::program::summary::Units;
use crate::program::time::limits::MotionLimits;
use crate::program::time::planner::Planner;

/// What happened, in order.
#[derive(Clone, Debug, PartialEq)]
enum Step {
    Move {
        kind: Kind,
        to: [f64; 3],
        to_known: [bool; 3],
        arc: Option<Box<Arc>>,
        length_mm: f64,
        pace: Pace,
        line: u64,
        is_cycle: bool,
    },
    /// The next motion begins elsewhere than the last one ended: the numbers count from another zero.
    From([f64; 3], [bool; 3]),
    Dwell(f64),
    Halt,
    Tool(Option<u32>, Box<str>, Units),
    Zero(usize, bool, bool),
    ToolChange(u64),
    MachineMove(Box<MachineMove>),
    Spindle(bool),
}

/// Keeps motions up to a number of steps.
#[derive(Debug)]
pub struct Keeper {
    steps: Vec<Step>,
    most: usize,
    at: ([f64; 3], [bool; 3]),
    is_full: bool,
}

/// The motions of a program.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    steps: Shared<[Step]>,
}

impl Keeper {
    /// Keeps at most so many steps; a program with more is not kept at all.
    pub fn new(most: usize) -> Self {
        Self {
            steps: vec![],
            most,
            at: ([0.0; 3], [false; 3]),
            is_full: most == 0,
        }
    }

    fn push(&mut self, step: Step) {
        if self.steps.len() >= self.most {
            self.is_full = true;
            self.steps = vec![];
        }
        if !self.is_full {
            self.steps.push(step);
        }
    }

    /// The motions, unless there were too many.
    pub fn finish(self) -> Option<Kept> {
        (!self.is_full).then(|| Kept {
            steps: self.steps.into(),
        })
    }
}

impl Fold for Keeper {
    fn motion(&mut self, motion: &Motion) {
        if self.is_full {
            return;
        }
        if self.at != (motion.from, motion.from_known) {
            self.push(Step::From(motion.from, motion.from_known));
        }
        self.at = (motion.to, motion.to_known);
        self.push(Step::Move {
            kind: motion.kind,
            to: motion.to,
            to_known: motion.to_known,
            arc: motion.arc.map(Box::new),
            length_mm: motion.length_mm,
            pace: motion.pace,
            line: motion.line,
            is_cycle: motion.is_cycle,
        });
    }

    fn dwell(&mut self, seconds: f64) {
        self.push(Step::Dwell(seconds));
    }

    fn halt(&mut self) {
        self.push(Step::Halt);
    }

    fn tool(&mut self, tool: Option<u32>, comment: &str, units: Units) {
        self.push(Step::Tool(tool, comment.into(), units));
    }

    fn zero(&mut self, system: usize, is_named: bool, is_moved: bool) {
        self.push(Step::Zero(system, is_named, is_moved));
    }

    fn tool_change(&mut self, line: u64) {
        self.push(Step::ToolChange(line));
    }

    fn machine_move(&mut self, machine_move: &MachineMove) {
        self.push(Step::MachineMove(Box::new(*machine_move)));
    }

    fn spindle(&mut self, is_turning: bool) {
        self.push(Step::Spindle(is_turning));
    }
}

impl Kept {
    /// How many steps are kept.
    pub fn len(&self) -> usize {
        self.steps.len()
    }

    /// Whether nothing moves.
    pub fn is_empty(&self) -> bool {
        self.steps.is_empty()
    }

    /// The line of the file that a section, given by its lines, has come to after so many seconds at its programmed
    /// feeds, dwells included. `None` when it does not last that long.
    pub fn line_after(&self, lines: [u64; 2], seconds: f64) -> Option<u64> {
        struct Clocked {
            lines: [u64; 2],
            left_s: f64,
            is_in: bool,
            line: Option<u64>,
        }
        impl Clocked {
            fn pass(&mut self, seconds: f64, line: u64) {
                self.left_s -= seconds;
                if self.left_s < 0.0 && self.line.is_none() {
                    self.line = Some(line);
                }
            }
        }
        impl Fold for Clocked {
            fn motion(&mut self, motion: &Motion) {
                self.is_in = (self.lines[0]..=self.lines[1]).contains(&motion.line);
                if self.is_in {
                    self.pass(motion.ideal_s().unwrap_or(0.0), motion.line);
                }
            }
            fn dwell(&mut self, seconds: f64) {
                if self.is_in {
                    // A dwell stands behind the motion before it; its own line is not kept.
                    self.left_s -= seconds;
                }
            }
        }
        let mut clocked = Clocked {
            lines,
            left_s: seconds,
            is_in: false,
            line: None,
        };
        self.replay(&mut clocked);
        clocked.line
    }

    /// Shows everything to `fold` again, as it was shown while reading.
    pub fn replay(&self, fold: &mut dyn Fold) {
        let (mut from, mut from_known) = ([0.0; 3], [false; 3]);
        for step in &*self.steps {
            match step {
                Step::From(at, known) => (from, from_known) = (*at, *known),
                Step::Move {
                    kind,
                    to,
                    to_known,
                    arc,
                    length_mm,
                    pace,
                    line,
                    is_cycle,
                } => {
                    fold.motion(&Motion {
                        kind: *kind,
                        from,
                        to: *to,
                        from_known,
                        to_known: *to_known,
                        arc: arc.as_deref().copied(),
                        length_mm: *length_mm,
                        pace: *pace,
                        line: *line,
                        machine_offset: [0.0; 3],
                        is_cycle: *is_cycle,
                    });
                    (from, from_known) = (*to, *to_known);
                }
                Step::Dwell(seconds) => fold.dwell(*seconds),
                Step::Halt => fold.halt(),
                Step::Tool(tool, comment, units) => fold.tool(*tool, comment, *units),
                Step::Zero(system, is_named, is_moved) => fold.zero(*system, *is_named, *is_moved),
                Step::ToolChange(line) => fold.tool_change(*line),
                Step::MachineMove(machine_move) => fold.machine_move(machine_move),
                Step::Spindle(is_turning) => fold.spindle(*is_turning),
            }
        }
    }

    /// Seconds of each section, given by its lines, on a machine; spindle starts and hands left out. The tool stands
    /// still between sections. What runs outside of all counts with the section before it.
    pub fn section_seconds(&self, sections: &[[u64; 2]], limits: MotionLimits) -> Vec<f64> {
        struct Timed<'a> {
            planner: Planner,
            sections: &'a [[u64; 2]],
            now: usize,
            seconds: Vec<f64>,
        }
        impl Timed<'_> {
            fn settle(&mut self) {
                let seconds = self.planner.take_seconds();
                if let Some(sum) = self.seconds.get_mut(self.now) {
                    *sum += seconds;
                }
            }
        }
        impl Fold for Timed<'_> {
            fn motion(&mut self, motion: &Motion) {
                let holds = |[first, last]: &[u64; 2]| (*first..=*last).contains(&motion.line);
                if !self.sections.get(self.now).is_some_and(holds)
                    && let Some(next) = self.sections.iter().position(holds)
                {
                    self.settle();
                    self.now = next;
                }
                self.planner.motion(motion);
            }
            fn dwell(&mut self, seconds: f64) {
                self.planner.dwell(seconds);
            }
            fn halt(&mut self) {
                self.planner.rest();
            }
            fn zero(&mut self, _system: usize, _is_named: bool, _is_moved: bool) {
                self.planner.rest();
            }
        }
        let mut timed = Timed {
            planner: Planner::new(limits),
            sections,
            now: 0,
            seconds: vec![0.0; sections.len()],
        };
        self.replay(&mut timed);
        timed.settle();
        timed.seconds
    }

    /// Seconds of the whole program on a machine, spindle starts and hands left out.
    pub fn seconds(&self, limits: MotionLimits) -> f64 {
        struct Timed(Planner);
        impl Fold for Timed {
            fn motion(&mut self, motion: &Motion) {
                self.0.motion(motion);
            }
            fn dwell(&mut self, seconds: f64) {
                self.0.dwell(seconds);
            }
            fn halt(&mut self) {
                self.0.rest();
            }
            fn zero(&mut self, _system: usize, _is_named: bool, _is_moved: bool) {
                self.0.rest();
            }
        }
        let mut timed = Timed(Planner::new(limits));
        self.replay(&mut timed);
        timed.0.take_seconds()
    }
}
