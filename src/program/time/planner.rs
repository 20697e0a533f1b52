//! Motions to seconds.

use crate::program::arc::Arc;
use crate::program::motion::Kind;
use crate::program::motion::Motion;
use crate::program::motion::Pace;
use crate::program::time::corner::Turn;
use crate::program::time::corner::normal;
use crate::program::time::corner::turn;
use crate::program::time::kinematics::Ramp;
use crate::program::time::limits::Corner;
use crate::program::time::limits::MotionLimits;
use crate::program::time::limits::RapidPath;
use crate::program::time::merge::Chord;
use crate::program::time::queue::Queue;

/// A leg that waits for the corner at its end.
#[derive(Clone, Copy, Debug)]
struct Leg {
    length: f64,
    /// Lines of the program that it stands for.
    lines: u32,
    /// Directions at its beginning and end.
    begin: [f64; 3],
    end: [f64; 3],
    ramp: Ramp,
    cap: f64,
    /// Greatest speed at its beginning.
    entry: f64,
    /// What the corner at its beginning has taken.
    cut: f64,
    /// Speed of the curve when the corner at its beginning is smooth.
    smooth: Option<f64>,
}

impl Leg {
    fn lines_per_mm(&self) -> f64 {
        f64::from(self.lines) / self.length
    }
}

/// A feed line with a known length that waits to be planned.
#[derive(Clone, Copy, Debug)]
struct Line {
    from: [f64; 3],
    to: [f64; 3],
    length: f64,
    speed: f64,
    line: u64,
}

/// Lines planned in one go: whether a line ends a chord is hard to foresee, and the reader, which is
/// ahead by then, need not wait for it.
const MOST_WAITING: usize = 64;

/// Adds up the time of motions as they come.
#[derive(Clone, Debug)]
pub struct Planner {
    limits: MotionLimits,
    tolerance: Option<f64>,
    merge_mm: f64,
    waiting: Vec<Line>,
    chord: Option<(Chord, f64)>,
    leg: Option<Leg>,
    queue: Queue,
    taken: f64,
    stops: u64,
    over: Option<OverAxis>,
}

/// Feed moves that are programmed faster than the axes go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverAxis {
    /// Line of the first one.
    pub line: u64,
    /// How many.
    pub count: u64,
    /// Feed programmed there, mm/min.
    pub programmed_mm_min: f64,
    /// Feed that the axes give there, mm/min.
    pub possible_mm_min: f64,
}

/// Share by which a feed must lie over the axes to count.
const OVER_SHARE: f64 = 1.001;

impl Planner {
    /// Begins at rest.
    pub fn new(limits: MotionLimits) -> Self {
        let tolerance = match limits.corner {
            Corner::Stop => None,
            Corner::Blend { tolerance_mm } => Some(tolerance_mm),
        };
        // Twice the resolution, never above half the tolerance.
        let merge_mm = tolerance.map_or(0.0, |e| (2.0 * limits.resolution_mm).min(e / 2.0));
        Self {
            queue: Queue::new(limits.look_ahead_blocks),
            limits,
            tolerance,
            merge_mm,
            waiting: Vec::with_capacity(MOST_WAITING),
            chord: None,
            leg: None,
            taken: 0.0,
            stops: 0,
            over: None,
        }
    }

    /// A motion; motions without a known feed or length take no time.
    #[inline]
    pub fn motion(&mut self, motion: &Motion) {
        if let Pace::MmPerMin(feed) = motion.pace
            && feed > 0.0
            && motion.kind == Kind::Feed
            && motion.length_mm > 0.0
            && motion.length_mm.is_finite()
            && motion.is_known()
        {
            self.wait(motion, feed / 60.0);
        } else {
            self.plan(motion);
        }
    }

    #[inline]
    fn wait(&mut self, motion: &Motion, speed: f64) {
        self.waiting.push(Line {
            from: motion.from,
            to: motion.to,
            length: motion.length_mm,
            speed: speed * self.limits.feed_override,
            line: motion.line,
        });
        if self.waiting.len() == MOST_WAITING {
            self.plan_waiting();
        }
    }

    fn plan(&mut self, motion: &Motion) {
        if motion.length_mm <= 0.0 || !motion.length_mm.is_finite() {
            return;
        }
        if motion.kind == Kind::Rapid {
            self.rest();
            let seconds = self.rapid_s(motion);
            self.queue.add(seconds);
            self.stops += 1;
            return;
        }
        let speed = match motion.pace {
            Pace::MmPerMin(feed) if feed > 0.0 => feed / 60.0,
            Pace::Seconds(seconds) if seconds > 0.0 => motion.length_mm / seconds,
            _ => {
                self.rest();
                return;
            }
        };
        if motion.arc.is_none() && motion.is_known() {
            self.wait(motion, speed);
            return;
        }
        let speed = speed * self.limits.feed_override;
        self.end_chord();
        let leg = match &motion.arc {
            Some(arc) => self.arc_leg(motion, arc, speed),
            None => {
                let u = Self::direction(motion);
                self.look_at_axes(u, speed, motion.line);
                self.line_leg(motion.length_mm, u, speed, 1)
            }
        };
        self.take(leg);
    }

    /// A dwell with a stop on both sides.
    pub fn dwell(&mut self, seconds: f64) {
        self.rest();
        self.queue.add(seconds);
    }

    /// A spindle start or a change of its speed.
    pub fn spindle_start(&mut self) {
        self.dwell(self.limits.spindle_start_s.unwrap_or(0.0));
    }

    /// A tool change.
    pub fn tool_change(&mut self) {
        self.dwell(self.limits.tool_change_s.unwrap_or(0.0));
    }

    /// Comes to rest: stops, rapids, tool changes.
    pub fn rest(&mut self) {
        self.end_chord();
        if let Some(leg) = self.leg.take() {
            self.emit(leg, 0.0, None);
            self.stops += 1;
        }
        self.queue.rest();
    }

    /// Feed moves so far that the axes do not reach.
    pub fn over_axis(&self) -> Option<OverAxis> {
        self.over
    }

    /// Comes to rest and hands out the seconds since the last time it was asked.
    pub fn take_seconds(&mut self) -> f64 {
        self.rest();
        let now = self.queue.seconds() + self.limits.stop_s * self.stops as f64;
        let since = now - self.taken;
        self.taken = now;
        since
    }

    /// Notes a feed along a direction that is programmed faster than the axes go.
    fn look_at_axes(&mut self, u: [f64; 3], speed: f64, line: u64) {
        let possible = MotionLimits::along(&self.limits.feed_mm_s, u);
        if speed > possible * OVER_SHARE {
            self.over
                .get_or_insert(OverAxis {
                    line,
                    count: 0,
                    programmed_mm_min: speed * 60.0,
                    possible_mm_min: possible * 60.0,
                })
                .count += 1;
        }
    }

    fn direction(motion: &Motion) -> [f64; 3] {
        std::array::from_fn(|axis| {
            if motion.from_known[axis] && motion.to_known[axis] {
                (motion.to[axis] - motion.from[axis]) / motion.length_mm
            } else {
                0.0
            }
        })
    }

    fn rapid_s(&self, motion: &Motion) -> f64 {
        let limits = &self.limits;
        let u = Self::direction(motion);
        match limits.rapid_path {
            RapidPath::Straight => {
                let ramp = Ramp {
                    a: MotionLimits::along(&limits.acceleration_mm_s2, u),
                    jerk: limits.jerk_mm_s3,
                };
                let cap = MotionLimits::along(&limits.rapid_mm_s, u);
                ramp.time_s(motion.length_mm, 0.0, 0.0, cap)
            }
            RapidPath::DogLeg => (0..3)
                .map(|axis| {
                    let ramp = Ramp {
                        a: limits.acceleration_mm_s2[axis],
                        jerk: limits.jerk_mm_s3,
                    };
                    let length = (u[axis] * motion.length_mm).abs();
                    ramp.time_s(length, 0.0, 0.0, limits.rapid_mm_s[axis])
                })
                .fold(0.0, f64::max),
        }
    }

    /// Plans the lines that wait.
    fn plan_waiting(&mut self) {
        let mut waiting = std::mem::take(&mut self.waiting);
        for line in &waiting {
            self.line(line);
        }
        waiting.clear();
        self.waiting = waiting;
    }

    fn line(&mut self, line: &Line) {
        let d: [f64; 3] = std::array::from_fn(|axis| line.to[axis] - line.from[axis]);
        // Multiplied out: a line within the limits, as most are, needs no division here.
        let is_over =
            |axis: usize| d[axis].abs() * line.speed > self.limits.feed_mm_s[axis] * line.length;
        if is_over(0) | is_over(1) | is_over(2) {
            self.look_at_axes(d.map(|d| d / line.length), line.speed, line.line);
        }
        if let Some((chord, of_speed)) = &mut self.chord
            && *of_speed == line.speed
            && chord.end() == line.from
            && chord.extend(line.to, self.merge_mm)
        {
            return;
        }
        self.plan_chord();
        let u = d.map(|d| d / line.length);
        if self.merge_mm == 0.0 {
            let leg = self.line_leg(line.length, u, line.speed, 1);
            self.take(leg);
            return;
        }
        let chord = Chord::new(line.from, line.to, line.length, u, self.merge_mm);
        self.chord = Some((chord, line.speed));
    }

    /// Nothing waits behind this, neither lines nor the chord that they have begun.
    fn end_chord(&mut self) {
        self.plan_waiting();
        self.plan_chord();
    }

    fn plan_chord(&mut self) {
        if let Some((chord, speed)) = self.chord.take() {
            let (length, u) = chord.line();
            let leg = self.line_leg(length, u, speed, chord.lines());
            self.take(leg);
        }
    }

    fn line_leg(&self, length: f64, u: [f64; 3], speed: f64, lines: u32) -> Leg {
        let limits = &self.limits;
        Leg {
            length,
            lines,
            begin: u,
            end: u,
            ramp: Ramp {
                a: MotionLimits::along(&limits.acceleration_mm_s2, u),
                jerk: limits.jerk_mm_s3,
            },
            cap: speed.min(MotionLimits::along(&limits.feed_mm_s, u)),
            entry: 0.0,
            cut: 0.0,
            smooth: None,
        }
    }

    /// A helix of radius r and rise c = dc/sweep: slope by tan = c/r, curvature radius (r² + c²)/r.
    fn arc_leg(&self, motion: &Motion, arc: &Arc, speed: f64) -> Leg {
        let limits = &self.limits;
        let [first, second, axis] = arc.plane.axes();
        let flat = |values: &[f64; 3]| values[first].min(values[second]);
        let rise = if motion.from_known[axis] && motion.to_known[axis] {
            motion.to[axis] - motion.from[axis]
        } else {
            0.0
        };
        let around = arc.radius_mm * arc.sweep_rad.abs();
        let (cos, sin) = (around / motion.length_mm, rise.abs() / motion.length_mm);
        let c = rise / arc.sweep_rad.abs();
        let curvature = (arc.radius_mm * arc.radius_mm + c * c) / arc.radius_mm;
        let across = flat(&limits.acceleration_mm_s2);
        let share = |limit: f64, part: f64| {
            if part > 1e-12 {
                limit / part
            } else {
                f64::INFINITY
            }
        };
        let a = share(across, cos).min(share(limits.acceleration_mm_s2[axis], sin));
        let cap = speed
            .min(share(flat(&limits.feed_mm_s), cos))
            .min(share(limits.feed_mm_s[axis], sin))
            .min((across * curvature).sqrt());
        let tangent = |angle: f64| -> [f64; 3] {
            let way = arc.sweep_rad.signum();
            let mut u = [0.0; 3];
            u[first] = -angle.sin() * way * cos;
            u[second] = angle.cos() * way * cos;
            u[axis] = rise / motion.length_mm;
            u
        };
        Leg {
            length: motion.length_mm,
            lines: 1,
            begin: tangent(arc.start_rad),
            end: tangent(arc.start_rad + arc.sweep_rad),
            ramp: Ramp {
                a,
                jerk: limits.jerk_mm_s3,
            },
            cap,
            entry: 0.0,
            cut: 0.0,
            smooth: None,
        }
    }

    /// Takes the next leg: the corner between the waiting leg and this one is known now.
    fn take(&mut self, mut next: Leg) {
        let Some(leg) = self.leg.take() else {
            self.leg = Some(next);
            return;
        };
        let found = match self.tolerance {
            None => Turn::Stop,
            Some(tolerance) => turn(
                leg.end,
                next.begin,
                [leg.length, next.length],
                tolerance,
                leg.cap.min(next.cap),
                || match normal(leg.end, next.begin) {
                    Some(n) => MotionLimits::in_plane(&self.limits.acceleration_mm_s2, n),
                    None => leg.ramp.a.min(next.ramp.a),
                },
            ),
        };
        match found {
            Turn::Straight => {
                next.entry = leg.cap.min(next.cap);
                self.emit(leg, 0.0, None);
            }
            Turn::Smooth(v) => {
                next.entry = v;
                next.smooth = Some(v);
                self.emit(leg, 0.0, Some(v));
            }
            Turn::Rounded { v, length, cut } => {
                next.entry = v;
                next.cut = cut;
                let ramp = match normal(leg.end, next.begin) {
                    Some(n) => Ramp {
                        a: MotionLimits::in_plane(&self.limits.acceleration_mm_s2, n),
                        jerk: self.limits.jerk_mm_s3,
                    },
                    None => leg.ramp,
                };
                self.emit(leg, cut, None);
                let lines = cut * (leg.lines_per_mm() + next.lines_per_mm());
                self.queue.push(length, ramp, v, v, lines);
            }
            Turn::Stop => {
                self.emit(leg, 0.0, None);
                self.queue.rest();
                self.stops += 1;
            }
        }
        self.leg = Some(next);
    }

    fn emit(&mut self, leg: Leg, cut: f64, smooth: Option<f64>) {
        let mut cap = leg.cap;
        if let (Some(a), Some(b)) = (leg.smooth, smooth) {
            // Within a curve the chord is no place to speed up.
            cap = cap.min(a.max(b));
        }
        let length = (leg.length - leg.cut - cut).max(0.0);
        let lines = leg.lines_per_mm() * length;
        if leg.lines > 1 && self.queue.sees_too_little(length / lines, leg.ramp, cap) {
            // Between the lines of a chord the control may see no further than it can stop in.
            let lines = lines.ceil();
            let mut entry = leg.entry;
            let mut left = lines;
            while left > 0.0 {
                self.queue.push(length / lines, leg.ramp, cap, entry, 1.0);
                entry = cap;
                left -= 1.0;
            }
            return;
        }
        self.queue.push(length, leg.ramp, cap, leg.entry, lines);
    }
}
