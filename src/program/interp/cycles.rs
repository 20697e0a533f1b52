//! Canned cycles as the moves they make (NISTIR 6556, 3.5.16).

use crate::program::finding::Level;
use crate::program::interp::At;
use crate::program::interp::FeedMode;
use crate::program::interp::Machine;
use crate::program::interp::Mode;
use crate::program::interp::moves::AXES;
use crate::program::interp::moves::AXIS_BITS;
use crate::program::interp::moves::Target;
use crate::program::motion::Kind;
use crate::program::rules;
use crate::program::section::Turning;
use crate::program::word::Block;
use crate::program::word::bit;

/// Repeats and pecks carried out one by one; more would only cost time.
const MOST_REPEATS: u64 = 10_000;
const MOST_PECKS: f64 = 1_000.0;
/// Feeds of one line at most, repeats times pecks.
const MOST_FEEDS: f64 = 20_000.0;
/// Feeds that all repeats of a program together may make beyond one hole each.
const MOST_REPEATED: f64 = 200_000.0;

/// Words that stay in force while the same cycle goes on, in program units.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sticky {
    r: Option<f64>,
    depth: Option<f64>,
    p: Option<f64>,
    q: Option<f64>,
    /// I, J, K of a back bore, by axis.
    offsets: [Option<f64>; 3],
}

impl Sticky {
    /// Another motion code ends what was kept.
    pub fn forget(&mut self) {
        *self = Self::default();
    }
}

/// Levels of one cycle line along the drilling axis, mm.
struct Levels {
    axis: usize,
    r: f64,
    bottom: f64,
    clear: f64,
}

impl Machine<'_> {
    /// A line under a canned cycle; returns the letters used.
    pub(super) fn cycle_line(&mut self, b: &Block, axes: u32, at: At<'_>) -> u32 {
        let Mode::Cycle(code) = self.mode else {
            return 0;
        };
        let used = AXIS_BITS
            | bit(b'R')
            | bit(b'L')
            | bit(b'P')
            | bit(b'Q')
            | if code == 87 || b.get(b'L').is_none() {
                bit(b'I') | bit(b'J') | bit(b'K')
            } else {
                0
            };
        if axes == 0 {
            self.find(
                &rules::CYCLE_NO_AXIS_WORDS,
                at.whole(),
                u64::from(code),
                || format!("G{code} names no axis: where the hole is, is not known."),
            );
            return used;
        }
        self.note_units(at);
        let Some(levels) = self.cycle_levels(b, code, at) else {
            // Without levels only the way across is known.
            let [first, second, _] = self.plane.axes();
            let mut target = self.target(b);
            let normal = self.plane.axes()[2];
            target.pos[normal] = self.pos[normal];
            target.known[normal] = self.known[normal];
            if axes & (bit(AXES[first]) | bit(AXES[second])) != 0 {
                self.go_cycle(Kind::Rapid, target, None, true, at);
            }
            return used;
        };
        self.look_before_cycle(b, code, at);
        let repeats = self.repeats(b, code, at);
        let repeats = self.bounded(repeats, code, &levels, at);
        self.holes(b, code, &levels, repeats, at);
        used
    }

    fn cycle_levels(&mut self, b: &Block, code: u8, at: At<'_>) -> Option<Levels> {
        let [_, _, axis] = self.plane.axes();
        self.cycle.r = b.get(b'R').or(self.cycle.r);
        self.cycle.depth = b.get(AXES[axis]).or(self.cycle.depth);
        self.cycle.p = b.get(b'P').or(self.cycle.p);
        self.cycle.q = b.get(b'Q').or(self.cycle.q);
        for (kept, letter) in self.cycle.offsets.iter_mut().zip(*b"IJK") {
            *kept = b.get(letter).or(*kept);
        }
        let shown = char::from(AXES[axis]);
        let Some(depth) = self.cycle.depth else {
            self.find(
                &rules::CYCLE_MISSING_DEPTH,
                at.whole(),
                u64::from(code),
                || format!("G{code} has no {shown}: how deep the hole is, is not known."),
            );
            return None;
        };
        let old = self.known[axis].then_some(self.pos[axis]);
        let Some(r) = self.cycle.r else {
            self.find(&rules::CYCLE_MISSING_R, at.whole(), u64::from(code), || {
                format!("G{code} has no R: the level to retract to is not known.")
            });
            return None;
        };
        let unit = self.unit_mm;
        let (r, bottom) = if self.is_absolute {
            (r * unit, depth * unit)
        } else {
            let Some(old) = old else {
                self.find(&rules::CYCLE_START_UNKNOWN, at.whole(), 1, || {
                    format!("G{code} counts from the height before it (G91), which is not known.")
                });
                self.blind_from.get_or_insert(at.line);
                self.known[axis] = false;
                return None;
            };
            (old + r * unit, old + r * unit + depth * unit)
        };
        if r < bottom {
            self.find(
                &rules::CYCLE_R_BELOW_DEPTH,
                at.whole(),
                u64::from(code),
                || format!("G{code} has its level R below the bottom of the hole."),
            );
            return None;
        }
        let clear = if self.returns_to_initial {
            if old.is_none() {
                self.find(&rules::CYCLE_START_UNKNOWN, at.whole(), 0, || {
                    format!("G{code} returns to the height before it (G98), which is not known; taken as R.")
                });
            }
            old.map_or(r, |old| old.max(r))
        } else {
            r
        };
        Some(Levels {
            axis,
            r,
            bottom,
            clear,
        })
    }

    fn look_before_cycle(&mut self, b: &Block, code: u8, at: At<'_>) {
        if !self.is_ready_to_cut() {
            self.look_before_cut(at);
        }
        if self.feed_mode == FeedMode::InverseTime {
            self.find(&rules::CYCLE_IN_INVERSE_TIME, at.whole(), 0, || {
                format!("G{code} does not go with inverse time (G93).")
            });
        }
        if self.is_compensated {
            self.find(&rules::CYCLE_WITH_COMPENSATION, at.whole(), 0, || {
                format!("G{code} does not go with cutter compensation.")
            });
        }
        if matches!(code, 82 | 86 | 88 | 89) {
            match self.cycle.p {
                None => self.find(&rules::CYCLE_MISSING_P, at.whole(), u64::from(code), || {
                    format!("G{code} has no P: how long it dwells is not known.")
                }),
                Some(p) if p < 0.0 => self.find(
                    &rules::CYCLE_NEGATIVE_P,
                    at.whole(),
                    u64::from(code),
                    || format!("G{code} has a negative dwell; it is left out."),
                ),
                Some(seconds) => self.look_at_dwell(seconds, at),
            }
        }
        if matches!(code, 73 | 83) {
            match self.cycle.q {
                None => self.find(&rules::CYCLE_MISSING_Q, at.whole(), u64::from(code), || {
                    format!("G{code} has no Q: the peck is not known; taken in one go.")
                }),
                Some(q) if q <= 0.0 => {
                    self.find(&rules::CYCLE_BAD_Q, at.whole(), u64::from(code), || {
                        format!("G{code} has a peck of Q{q}; taken in one go.")
                    })
                }
                Some(_) => {}
            }
        }
        if code == 73 {
            self.find(&rules::PECK_CYCLE_G73, at.whole(), 0, || {
                "G73 is taken as pecking without retract.".to_owned()
            });
        }
        match code {
            84 => self.find(&rules::TAPPING_CYCLE, at.whole(), 0, || {
                "G84 taps: speed and feed must go together, and the spindle must reverse.".to_owned()
            }),
            86 | 87 => self.find(&rules::BORING_CYCLE_SPINDLE_STOP, at.whole(), u64::from(code), || {
                format!("G{code} stops the spindle in the bore.")
            }),
            88 => self.find(&rules::MANUAL_RETRACT, at.whole(), 0, || {
                "G88 stops for the tool to be taken out by hand; taken as back at the clear level.".to_owned()
            }),
            _ => {}
        }
        let spindle_fits = match code {
            84 => self.turning == Turning::Clockwise,
            86 | 88 => self.turning != Turning::Stopped,
            _ => true,
        };
        if !spindle_fits {
            self.find(&rules::CYCLE_SPINDLE, at.whole(), u64::from(code), || {
                if code == 84 {
                    "G84 taps right-hand threads, and the spindle does not turn clockwise."
                        .to_owned()
                } else {
                    format!("G{code} needs a turning spindle.")
                }
            });
        }
        if code == 87 {
            let letter = *b"IJK".get(self.plane.axes()[2]).unwrap_or(&b'K');
            if self.cycle.offsets[self.plane.axes()[2]].is_none() {
                self.find(&rules::CYCLE_MISSING_K, at.column(b.column(b'K')), 0, || {
                    let letter = char::from(letter);
                    format!("G87 has no {letter}: how far up it bores is not known; taken as no bore.")
                });
            }
        }
    }

    fn repeats(&mut self, b: &Block, code: u8, at: At<'_>) -> u64 {
        let (letter, value) = match (b.get(b'L'), b.get(b'K')) {
            (Some(l), _) => (b'L', l),
            (None, Some(k)) if code != 87 => {
                self.find(&rules::CYCLE_REPEAT_K, at.column(b.column(b'K')), 0, || {
                    format!("G{code} has K{k}; taken as a count of repeats.")
                });
                (b'K', k)
            }
            _ => return 1,
        };
        if value < 1.0 || (value - value.round()).abs() > 1e-4 {
            self.find(&rules::CYCLE_BAD_L, at.column(b.column(letter)), 0, || {
                let letter = char::from(letter);
                format!("{letter}{value} is no count of repeats; taken as 1.")
            });
            return 1;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at least 1, saturates"
        )]
        let mut repeats = value.round() as u64;
        if repeats > MOST_REPEATS {
            self.find(&rules::CYCLE_BAD_L, at.column(b.column(letter)), 1, || {
                format!("{repeats} repeats are more than {MOST_REPEATS}; only those are followed.")
            });
            repeats = MOST_REPEATS;
        }
        if repeats > 1 && self.is_absolute {
            self.find(&rules::REPEAT_IN_PLACE, at.whole(), 0, || {
                "The cycle repeats at the same place (G90).".to_owned()
            });
        }
        repeats
    }

    /// Fewer repeats where each of them takes many pecks: no program means them, and a slip must not
    /// hold the reader up.
    fn bounded(&mut self, repeats: u64, code: u8, levels: &Levels, at: At<'_>) -> u64 {
        let pecks = match self.cycle.q.filter(|q| *q > 0.0 && matches!(code, 73 | 83)) {
            Some(q) => ((levels.r - levels.bottom) / (q * self.unit_mm)).clamp(1.0, MOST_PECKS),
            None => 1.0,
        };
        let allowed = MOST_FEEDS.min(MOST_REPEATED - self.repeated).max(0.0);
        if repeats == 1 || repeats as f64 * pecks <= allowed {
            self.repeated += (repeats - 1) as f64 * pecks;
            return repeats;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 1 and the most"
        )]
        let fewer = ((allowed / pecks) as u64).max(1);
        self.repeated += (fewer - 1) as f64 * pecks;
        self.find(&rules::CYCLE_BAD_L, at.whole(), 2, || {
            format!("{repeats} repeats of {pecks:.0} pecks each are more than is followed; {fewer} repeats are.")
        });
        fewer
    }

    fn holes(&mut self, b: &Block, code: u8, levels: &Levels, repeats: u64, at: At<'_>) {
        let [first, second, axis] = self.plane.axes();
        // Below R, or at a height that is not known: up to R first.
        if !self.known[axis] || self.pos[axis] < levels.r {
            self.along(Kind::Rapid, axis, levels.r, at);
        }
        for _ in 0..repeats {
            let mut target = self.target(b);
            target.pos[axis] = self.pos[axis];
            target.known[axis] = self.known[axis];
            let has_place = [first, second]
                .iter()
                .any(|i| (b.seen | b.unreadable) & bit(AXES[*i]) != 0);
            let is_there = target.pos == self.pos && target.known == self.known;
            if has_place || !is_there || self.known[first] || self.known[second] {
                self.go_cycle(Kind::Rapid, target, None, true, at);
            }
            if self.pos[axis] != levels.r {
                self.along(Kind::Rapid, axis, levels.r, at);
            }
            self.one_hole(code, levels, target, at);
            self.tally.hole();
        }
    }

    fn one_hole(&mut self, code: u8, levels: &Levels, hole: Target, at: At<'_>) {
        let axis = levels.axis;
        let dwell = self.cycle.p.filter(|p| *p > 0.0).unwrap_or(0.0);
        match code {
            83 | 73 => self.peck(code, levels, at),
            87 => self.back_bore(levels, hole, at),
            _ => self.along(Kind::Feed, axis, levels.bottom, at),
        }
        if matches!(code, 82 | 86 | 88 | 89) && dwell > 0.0 {
            self.tell_dwell(dwell);
        }
        match code {
            84 | 85 | 89 => self.along(Kind::Feed, axis, levels.clear, at),
            83 | 87 => {}
            // By hand: no move of the program.
            88 => self.pos[axis] = levels.clear,
            _ => self.along(Kind::Rapid, axis, levels.clear, at),
        }
    }

    fn peck(&mut self, code: u8, levels: &Levels, at: At<'_>) {
        let axis = levels.axis;
        let depth = levels.r - levels.bottom;
        let q = self
            .cycle
            .q
            .filter(|q| *q > 0.0)
            .map_or(depth, |q| q * self.unit_mm);
        let out = if self.options.pecks_to_clear {
            levels.clear
        } else {
            levels.r
        };
        let backoff = self.options.peck_backoff_mm;
        // A hair less than a whole number of pecks is that number.
        let mut q = q.max(depth * 1e-9);
        if depth / q > MOST_PECKS {
            let pecks = depth / q;
            self.findings
                .add_at(&rules::CYCLE_BAD_Q, Level::Warn, at.whole(), 9, || {
                    format!("The hole takes {pecks:.0} pecks; {MOST_PECKS} are followed.")
                });
            q = depth / MOST_PECKS;
        }
        let mut reached = levels.r;
        loop {
            let next = (reached - q).max(levels.bottom);
            let is_last = next - levels.bottom <= q * 1e-6;
            let next = if is_last { levels.bottom } else { next };
            self.along(Kind::Feed, axis, next, at);
            if is_last {
                break;
            }
            if code == 83 {
                self.along(Kind::Rapid, axis, out, at);
                self.along(Kind::Rapid, axis, (next + backoff).min(out), at);
            }
            reached = next;
        }
        if code == 83 {
            self.along(Kind::Rapid, axis, levels.clear, at);
        }
    }

    fn back_bore(&mut self, levels: &Levels, hole: Target, at: At<'_>) {
        let axes = self.plane.axes();
        let axis = levels.axis;
        let unit = self.unit_mm;
        let offset = |i: usize| self.cycle.offsets[i].unwrap_or(0.0) * unit;
        let mut aside = hole;
        aside.pos[axes[0]] += offset(axes[0]);
        aside.pos[axes[1]] += offset(axes[1]);
        let top = match self.cycle.offsets[axis] {
            Some(k) if self.is_absolute => k * unit,
            Some(k) => levels.bottom + k * unit,
            None => levels.bottom,
        };
        if top < levels.bottom {
            self.find(&rules::BACK_BORE_TOP_BELOW_BOTTOM, at.whole(), 0, || {
                "The top of the back bore lies below its bottom; carried out as written.".to_owned()
            });
        }
        self.across(aside, axis, at);
        self.along(Kind::Rapid, axis, levels.bottom, at);
        self.across(hole, axis, at);
        self.along(Kind::Feed, axis, top, at);
        self.along(Kind::Feed, axis, levels.bottom, at);
        self.across(aside, axis, at);
        self.along(Kind::Rapid, axis, levels.clear, at);
        self.across(hole, axis, at);
    }

    fn across(&mut self, to: Target, axis: usize, at: At<'_>) {
        let mut target = to;
        target.pos[axis] = self.pos[axis];
        target.known[axis] = self.known[axis];
        self.go_cycle(Kind::Rapid, target, None, true, at);
    }

    fn along(&mut self, kind: Kind, axis: usize, value: f64, at: At<'_>) {
        let target = self.target_along(axis, value);
        self.go_cycle(kind, target, None, true, at);
    }
}
