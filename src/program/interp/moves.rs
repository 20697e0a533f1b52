//! Straight moves, and what all moves share.

use crate::program::arc::Arc;
use crate::program::finding::Level;
use crate::program::interp::At;
use crate::program::interp::FeedMode;
use crate::program::interp::Machine;
use crate::program::interp::Mode;
use crate::program::interp::codes::Codes;
use crate::program::interp::tally::CutState;
use crate::program::motion::Kind;
use crate::program::motion::Motion;
use crate::program::motion::Pace;
use crate::program::quick;
use crate::program::rules;
use crate::program::section::Turning;
use crate::program::summary::Units;
use crate::program::word::Block;
use crate::program::word::bit;

/// Letters of the linear axes.
pub const AXES: [u8; 3] = *b"XYZ";
/// Their bits.
pub const AXIS_BITS: u32 = bit(b'X') | bit(b'Y') | bit(b'Z');

/// Places farther from zero than this are no machine's and none that a number of fifteen digits names, in mm or inches:
/// what is added up beyond is on its way out of what can be counted, mm.
const FAR_MM: f64 = 1e17;

/// Where a move ends.
#[derive(Clone, Copy, Debug)]
pub struct Target {
    pub pos: [f64; 3],
    pub known: [bool; 3],
}

#[inline]
fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt()
}

impl Machine<'_> {
    /// Whether a line without codes but G0 and G1 can be carried out without looking further.
    pub(super) fn is_plain(&self, b: &Block) -> bool {
        if self.units == Units::AssumedMm
            || self.units_of_first_move.is_none()
            || self.feed_mode != FeedMode::PerMinute
            || self.is_compensated
            || b.seen & AXIS_BITS == 0
            || b.get(b'F').is_some_and(|f| f < 0.0)
        {
            return false;
        }
        match b.g() {
            [] => matches!(self.mode, Mode::Rapid | Mode::Feed),
            [(0 | 10, _)] => true,
            _ => false,
        }
    }

    /// A line of axis words, F and at most G0 or G1: most lines of most programs.
    pub(super) fn plain_line(&mut self, b: &Block, at: At<'_>) {
        match b.g() {
            [(0, _)] => self.mode = Mode::Rapid,
            [(10, _)] => self.mode = Mode::Feed,
            _ => {}
        }
        if let Some(f) = b.get(b'F') {
            self.feed = Some(f * self.unit_mm);
        }
        self.straight(b, at);
    }

    /// Whether a line of nothing but X, Y and Z words is a feed move with no further look, and the
    /// next one too: [`Self::go_on`] changes nothing that is asked here.
    pub(super) fn is_steady(&self) -> bool {
        self.mode == Mode::Feed
            && self.is_absolute
            && self.known == [true; 3]
            && self.units_of_first_move.is_some()
            && !self.is_compensated
            && self.is_ready_to_cut()
            && self.is_tool_announced
            && self.lengths.is_counted()
            && !self.restart.is_after_rapid
    }

    /// Carries out the line at the head of `bytes` when it is nothing but coordinates, while
    /// [`Self::is_steady`]: what [`Self::plain_line`] comes to then, and nearly every line of a
    /// surfacing program. Returns its bytes; 0, with nothing done, for every other line.
    pub(super) fn go_on(&mut self, bytes: &[u8], line: u64) -> usize {
        // An axis that is not named keeps its place to the last bit.
        let unnamed = f64::NAN;
        let mut values = [unnamed; 3];
        let taken = quick::coordinates(bytes, &mut values);
        if taken == 0 {
            return 0;
        }
        let mut pos = self.pos;
        for (place, value) in pos.iter_mut().zip(values) {
            if !value.is_nan() {
                *place = value * self.unit_mm;
            }
        }
        self.tally.last_line = line;
        self.tally.blocks += 1;
        let known = [true; 3];
        self.carry_out(Motion {
            kind: Kind::Feed,
            from: self.pos,
            to: pos,
            from_known: known,
            to_known: known,
            arc: None,
            length_mm: distance(self.pos, pos),
            pace: self.pace(),
            line,
            machine_offset: self.offset,
            is_cycle: false,
        });
        taken
    }

    /// Whether axis words alone move the tool.
    pub(super) fn mode_is_motion(&self) -> bool {
        self.mode != Mode::None
    }

    /// The end point that the axis words of a line name.
    pub(super) fn target(&self, b: &Block) -> Target {
        let mut pos = self.pos;
        let mut known = self.known;
        for (axis, letter) in AXES.into_iter().enumerate() {
            if let Some(value) = b.get(letter) {
                if self.is_absolute {
                    pos[axis] = value * self.unit_mm;
                    known[axis] = true;
                } else {
                    pos[axis] += value * self.unit_mm;
                }
            } else if b.unreadable & bit(letter) != 0 {
                known[axis] = false;
            }
        }
        Target { pos, known }
    }

    /// A rapid or feed line by the mode in force.
    pub(super) fn straight(&mut self, b: &Block, at: At<'_>) {
        let target = self.target(b);
        if self.mode == Mode::Rapid {
            if b.seen & bit(b'F') != 0 {
                self.find(&rules::FEED_ON_RAPID, at.column(b.column(b'F')), 0, || {
                    "An F stands on a rapid; it applies from the next cut on.".to_owned()
                });
            }
            self.note_units(at);
            self.go(Kind::Rapid, target, None, at);
        } else {
            self.note_units(at);
            self.cut_line(target, at);
        }
    }

    /// A feed line with the looks that come before a cut.
    pub(super) fn cut_line(&mut self, target: Target, at: At<'_>) {
        if !self.is_ready_to_cut() {
            self.look_before_cut(at);
        }
        self.go(Kind::Feed, target, None, at);
    }

    /// Whether a cut needs no further look.
    pub(super) fn is_ready_to_cut(&self) -> bool {
        self.turning != Turning::Stopped
            && self.feed_mode == FeedMode::PerMinute
            && self.feed.is_some_and(|f| f > 0.0)
            && self.speed.is_some_and(|s| s > 0.0)
            && self.units != Units::AssumedMm
    }

    /// Moves the tool and tells the folds.
    pub(super) fn go(&mut self, kind: Kind, target: Target, arc: Option<Arc>, at: At<'_>) {
        self.go_cycle(kind, target, arc, false, at);
    }

    /// Moves the tool; `is_cycle` when a canned cycle asked for it.
    pub(super) fn go_cycle(
        &mut self,
        kind: Kind,
        target: Target,
        arc: Option<Arc>,
        is_cycle: bool,
        at: At<'_>,
    ) {
        let (target, arc) = self.within_reach(target, arc, at);
        if kind != Kind::Rapid && !self.is_absolute && self.moves_blind(&target) {
            self.blind_from.get_or_insert(at.line);
        }
        if !self.lengths.is_counted() {
            self.count_length(kind, &target, at);
        }
        if let Some(z) = self.kept_z {
            self.kept_z = (!target.known[2]).then(|| z + target.pos[2] - self.pos[2]);
        }
        let length_mm = self.length(target, arc.as_ref());
        let motion = Motion {
            kind,
            from: self.pos,
            to: target.pos,
            from_known: self.known,
            to_known: target.known,
            arc,
            length_mm,
            pace: if kind == Kind::Rapid {
                Pace::Unknown
            } else {
                self.pace()
            },
            line: at.line,
            machine_offset: self.offset,
            is_cycle,
        };
        self.carry_out(motion);
    }

    /// Whether a move by distances has a part along an axis whose place is not known. G92 may have named the others.
    fn moves_blind(&self, target: &Target) -> bool {
        let [first, second, _] = self.plane.axes();
        // A full circle comes back to where it began, and still needs its place.
        let is_arc = matches!(self.mode, Mode::ArcCw | Mode::ArcCcw);
        (0..3).any(|axis| {
            let is_of_arc = is_arc && (axis == first || axis == second);
            !target.known[axis] && (is_of_arc || target.pos[axis] != self.pos[axis])
        })
    }

    /// A place that no machine reaches is taken as not known: distances that add up without end lead there.
    fn within_reach(
        &mut self,
        mut target: Target,
        arc: Option<Arc>,
        at: At<'_>,
    ) -> (Target, Option<Arc>) {
        let is_far = |pos: &f64| pos.is_nan() || pos.abs() >= FAR_MM;
        if !target.pos.iter().any(is_far) {
            return (target, arc);
        }
        for (pos, known) in target.pos.iter_mut().zip(&mut target.known) {
            if is_far(pos) {
                (*pos, *known) = (0.0, false);
            }
        }
        self.find(&rules::NUMBER_NOT_FINITE, at.whole(), 1, || {
            "The tool would go farther than any machine reaches; its place is taken as not known."
                .to_owned()
        });
        (target, None)
    }

    /// Moves the tool, counts the motion and tells the folds.
    #[inline(always)]
    fn carry_out(&mut self, motion: Motion) {
        self.pos = motion.to;
        self.known = motion.to_known;
        self.motions += 1;
        self.restart.is_after_rapid = motion.kind == Kind::Rapid;
        if self.tally.motion(&motion, self.has_machine) {
            self.tally.first_cut(CutState {
                tool: self.tool.or(self.pending_tool),
                h: self.h,
                speed: self.speed,
                turning: self.turning,
                system: self.system,
                has_g92: self.has_g92,
                units: self.units,
                is_compensated: self.is_compensated,
                zero_moved_line: self.zero_moved_line(),
            });
        }
        if let Some(planner) = self.planner.as_mut() {
            planner.motion(&motion);
        }
        if !self.is_tool_announced {
            self.is_tool_announced = true;
            let tool = self.tool.or(self.pending_tool);
            let comment = self.tally.comment_of(tool).to_owned();
            let units = self.units;
            self.tell(|fold| fold.tool(tool, &comment, units));
        }
        self.tell(|fold| fold.motion(&motion));
    }

    /// Length over the axes known at both ends.
    fn length(&self, target: Target, arc: Option<&Arc>) -> f64 {
        if arc.is_none() && self.known == [true; 3] && target.known == [true; 3] {
            return distance(self.pos, target.pos);
        }
        let mut sum = 0.0;
        let mut along = 0.0;
        let normal = arc.map(|arc| arc.plane.axes()[2]);
        for axis in 0..3 {
            if self.known[axis] && target.known[axis] {
                let d = target.pos[axis] - self.pos[axis];
                sum += d * d;
                if normal == Some(axis) {
                    along = d;
                }
            }
        }
        match arc {
            Some(arc) => arc.length_mm(along),
            None => sum.sqrt(),
        }
    }

    #[inline]
    fn pace(&self) -> Pace {
        let Some(feed) = self.feed.filter(|f| *f > 0.0) else {
            return Pace::Unknown;
        };
        match self.feed_mode {
            FeedMode::PerMinute => Pace::MmPerMin(feed),
            FeedMode::InverseTime => Pace::Seconds(60.0 / feed),
            FeedMode::PerTurn => match self.speed.filter(|s| *s > 0.0) {
                Some(speed) => Pace::MmPerMin(feed * speed),
                None => Pace::Unknown,
            },
        }
    }

    /// Steps 19 and 20: frames, then the motion of the line. Returns the letters used.
    pub(super) fn frames_and_motion(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> u32 {
        let axes = (b.seen | b.unreadable) & AXIS_BITS;
        let mut used = 0;
        if let Some(motion) = codes.motion {
            self.set_mode(motion);
        }
        let dwell_took_x = codes.has_dwell && b.get(b'P').is_none() && b.get(b'X').is_some();
        if codes.has_unknown_g && codes.motion.is_none() {
            // Whatever the code does with the axes named, the place is a guess.
            for (axis, letter) in AXES.into_iter().enumerate() {
                if axes & bit(letter) != 0 {
                    self.known[axis] = false;
                }
            }
            return used | AXIS_BITS;
        }
        if let Some(frame) = codes.frame {
            let moves_by_itself = matches!(frame, 280 | 300);
            let takes_axes = !matches!(frame, 921..=923);
            if let Some(motion) = codes
                .motion
                .filter(|m| *m != 800 && takes_axes && axes != 0)
            {
                let level = if moves_by_itself && motion == 0 {
                    Level::Warn
                } else {
                    Level::Stop
                };
                self.findings.add_at(
                    &rules::GROUP_0_AND_1_AXIS_CONFLICT,
                    level,
                    at.whole(),
                    0,
                    || {
                        let (a, c) = (
                            crate::program::code::g_name(frame),
                            crate::program::code::g_name(motion),
                        );
                        format!("{a} and {c} both want the axes of the line; {a} is taken.")
                    },
                );
            }
            used |= self.frame(b, frame, at);
            if takes_axes {
                return used | AXIS_BITS;
            }
        }
        if codes.has_g53 {
            return used | self.machine_move(b, codes, at);
        }
        if dwell_took_x && codes.motion.is_none() && axes == bit(b'X') {
            return used;
        }
        used | self.motion(b, codes, axes, at)
    }

    fn set_mode(&mut self, motion: i32) {
        let before = self.mode;
        self.mode = match motion {
            0 => Mode::Rapid,
            10 => Mode::Feed,
            20 => Mode::ArcCw,
            30 => Mode::ArcCcw,
            382 => Mode::Probe,
            730 => Mode::Cycle(73),
            810 => Mode::Cycle(81),
            820 => Mode::Cycle(82),
            830 => Mode::Cycle(83),
            840 => Mode::Cycle(84),
            850 => Mode::Cycle(85),
            860 => Mode::Cycle(86),
            870 => Mode::Cycle(87),
            880 => Mode::Cycle(88),
            890 => Mode::Cycle(89),
            _ => Mode::None,
        };
        if self.mode != before {
            self.cycle.forget();
        }
    }

    fn motion(&mut self, b: &Block, codes: &Codes, axes: u32, at: At<'_>) -> u32 {
        let arc_words = b.seen & (bit(b'I') | bit(b'J') | bit(b'K') | bit(b'R'));
        let is_arc = matches!(self.mode, Mode::ArcCw | Mode::ArcCcw);
        let is_cycle = matches!(self.mode, Mode::Cycle(_));
        if axes == 0 {
            let explicit = codes.motion.is_some_and(|m| m != 800);
            if is_arc && arc_words != 0 {
                return self.arc(b, axes, at);
            }
            if is_cycle && explicit {
                return self.cycle_line(b, axes, at);
            }
            if explicit && self.mode == Mode::Probe {
                self.find(&rules::PROBE_ERROR, at.whole(), 0, || {
                    "G38.2 names no axis to probe along.".to_owned()
                });
                return 0;
            }
            if explicit {
                let name = codes
                    .motion
                    .map(crate::program::code::g_name)
                    .unwrap_or_default();
                self.find(&rules::MOTION_CODE_WITHOUT_AXES, at.whole(), 0, || {
                    format!("{name} stands without an axis; it sets the mode only.")
                });
            }
            return 0;
        }
        if codes.off.is_some() && self.mode != Mode::None {
            self.look_at_order(codes, at);
        }
        match self.mode {
            Mode::None => {
                // Many headers write G43 H1 Z50 behind G80: the retract that comes with a length is meant as a rapid
                // (common practice, no source).
                let is_header = codes.length == Some(430) && axes == bit(b'Z');
                let rule = &rules::AXIS_WORDS_WITHOUT_MOTION;
                let level = if is_header { Level::Warn } else { rule.level };
                self.findings
                    .add_at(rule, level, at.whole(), level as u64, || {
                        "Axis words stand without a motion code in force; taken as a rapid."
                            .to_owned()
                    });
                self.note_units(at);
                let target = self.target(b);
                self.go(Kind::Rapid, target, None, at);
                AXIS_BITS
            }
            Mode::Rapid | Mode::Feed => {
                self.straight(b, at);
                AXIS_BITS
            }
            Mode::ArcCw | Mode::ArcCcw => self.arc(b, axes, at),
            Mode::Probe => {
                self.probe(b, at);
                AXIS_BITS
            }
            Mode::Cycle(_) => self.cycle_line(b, axes, at),
        }
    }

    fn probe(&mut self, b: &Block, at: At<'_>) {
        if self.feed_mode == FeedMode::InverseTime {
            self.find(&rules::PROBE_ERROR, at.whole(), 1, || {
                "G38.2 does not go with inverse time (G93).".to_owned()
            });
        }
        if self.is_compensated {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 5, || {
                "G38.2 probes while cutter compensation is on.".to_owned()
            });
        }
        let target = self.target(b);
        self.note_units(at);
        let least = if self.units == Units::Inch {
            0.01 * self.unit_mm
        } else {
            0.254
        };
        if self.known == [true; 3] && self.length(target, None) < least {
            self.find(&rules::PROBE_ERROR, at.whole(), 2, || {
                "G38.2 probes over less than 0.254 mm (0.01 in).".to_owned()
            });
        }
        self.find(&rules::PROBE_END_UNKNOWN, at.whole(), 0, || {
            "A probing move ends where the probe touches; taken to its programmed end.".to_owned()
        });
        // A probe turns no spindle: only the feed is looked at.
        if self.feed.is_none_or(|f| f <= 0.0) {
            self.look_before_cut(at);
        }
        self.go(Kind::Feed, target, None, at);
    }
}
