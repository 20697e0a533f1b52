//! A section of a program: one piece of work, which runs with one tool, one zero and no hands between.

use crate::program::bounds::Bounds;
use crate::program::circles::Circles;
use crate::program::levels::Levels;
use crate::program::motion::Kind;
use crate::program::motion::Motion;
use crate::program::motion::Pace;
use crate::program::runs;
use crate::program::runs::Runs;
use crate::program::spread::Spread;
use crate::program::summary::Extents;
use crate::program::summary::Moves;
use crate::program::summary::PathLength;
use crate::program::summary::Units;

/// Sections kept apart; more are counted into the last.
pub const MOST_SECTIONS: usize = 400;
/// Feeds kept apart in a section; more are counted into `other_feeds_mm`.
pub const MOST_FEEDS: usize = 48;

/// Length below which a motion goes nowhere, mm: what rounding leaves of equal places, far below any
/// machine's step.
const ZERO_MM: f64 = 1e-9;

/// Heights of rapids closer than this are one, mm.
const SAME_HEIGHT_MM: f64 = 0.05;

/// How the spindle turns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turning {
    /// Stopped, or never started.
    #[default]
    Stopped,
    /// M3.
    Clockwise,
    /// M4.
    Counterclockwise,
}

/// A programmed feed and the path that it applies to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeedUse {
    /// Feed, mm/min.
    pub feed_mm_min: f64,
    /// Path at this feed, mm.
    pub length_mm: f64,
}

/// Where rapids run across at their lowest height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Across {
    /// The height, mm.
    pub z_mm: f64,
    /// Least X, least Y, greatest X, greatest Y of the moves there, mm.
    pub area: [f64; 4],
}

/// A rapid that goes down where no cut of its section has been before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Descent {
    /// Where it ends, mm.
    pub to: [f64; 3],
    /// Its line.
    pub line: u64,
}

/// One section of a program.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// Tool number; `None` when the program names none.
    pub tool: Option<u32>,
    /// Title from the comment before the section, escaped: a hint, never evidence.
    pub title: String,
    /// What a comment says of the tool, escaped: a hint, never evidence.
    pub tool_comment: String,
    /// Length offset number in force (G43 H), if any.
    pub h: Option<u32>,
    /// Spindle speed at the first cut, 1/min.
    pub s_rpm: Option<f64>,
    /// Greatest spindle speed of a cut, 1/min.
    pub s_highest_rpm: Option<f64>,
    /// How the spindle turns at the first cut.
    pub turning: Turning,
    /// Distinct feeds, lowest first, at most [`MOST_FEEDS`].
    pub feeds: Vec<FeedUse>,
    /// Lowest feed, mm/min.
    pub feed_lowest_mm_min: Option<f64>,
    /// Highest feed, mm/min.
    pub feed_highest_mm_min: Option<f64>,
    /// Path at feeds beyond the list, mm.
    pub other_feeds_mm: f64,
    /// Path without a known feed, mm.
    pub unknown_feed_mm: f64,
    /// Extents in the program's own numbers.
    pub extents: Extents,
    /// Extents in machine coordinates, meaningful when origins were given.
    pub machine_extents: Extents,
    /// Motions by kind.
    pub moves: Moves,
    /// Path lengths.
    pub path: PathLength,
    /// Path over programmed feed, s.
    pub feed_ideal_s: f64,
    /// Dwells, s.
    pub dwell_s: f64,
    /// With acceleration and rapids, s; `None` without a machine.
    pub estimated_s: Option<f64>,
    /// First line, counted from 1.
    pub first_line: u64,
    /// Last line.
    pub last_line: u64,
    /// Work system, 0 for G54 to 8 for G59.3.
    pub work_system: usize,
    /// Units in force at the first cut.
    pub units: Units,
    /// Whether G41 or G42 was on in it: the control then moves the path by the diameter in its own table.
    pub is_compensated: bool,
    /// Whether the program moved its zero with G92 before or in the section.
    pub has_g92: bool,
    /// The line in which the program moved this zero away from where it was set by hand (G10, or G92 at a known place).
    pub zero_moved_line: Option<u64>,
    /// Lowest Z of a feed motion, mm.
    pub lowest_z_mm: Option<f64>,
    /// Holes made by canned cycles.
    pub holes: u64,
    /// Where cuts run, by height.
    pub levels: Levels,
    /// Line of the first feed motion.
    pub first_cut_line: Option<u64>,
    /// End of the first feed motion that is known on all axes, mm.
    pub first_cut_mm: Option<[f64; 3]>,
    /// First hole made by a canned cycle: its bottom, mm.
    pub first_hole_mm: Option<[f64; 3]>,
    /// Full circles that its tool runs.
    pub circles: Circles,
    /// Long straight cuts along X or Y.
    pub runs: Runs,
    /// Where most of the feed path lies.
    pub spread: Spread,
    /// The lowest rapids across, if any is known.
    pub lowest_across: Option<Across>,
    /// The rapid that goes down lowest where the section has not cut before, if there is one.
    pub lowest_descent: Option<Descent>,
    last_feed: usize,
    /// End of the last motion, when it was a cut and is known.
    cut_end: Option<[f64; 3]>,
}

impl Section {
    /// Counts a motion in. `has_machine` says whether machine coordinates mean anything.
    #[inline]
    pub fn add(&mut self, motion: &Motion, has_machine: bool) {
        if has_machine || !self.go_on(motion) {
            self.add_any(motion, has_machine);
        }
    }

    /// Counts in a line that goes on where the last cut ended, at the feed of that one: what
    /// [`Self::add_any`] comes to then, without asking what the last cut has answered. False, with
    /// nothing done, for every other motion.
    #[inline]
    fn go_on(&mut self, motion: &Motion) -> bool {
        let Some(used) = self.feeds.get_mut(self.last_feed) else {
            return false;
        };
        let seconds_per_mm = 60.0 / used.feed_mm_min;
        if motion.kind != Kind::Feed
            || Some(motion.from) != self.cut_end
            || motion.to_known != [true; 3]
            || motion.pace != Pace::MmPerMin(used.feed_mm_min)
            || motion.length_mm < ZERO_MM
            || motion.length_mm >= runs::LEAST_MM
            || motion.is_cycle
        {
            return false;
        }
        used.length_mm += motion.length_mm;
        self.moves.feed += 1;
        self.path.feed_mm += motion.length_mm;
        self.feed_ideal_s += motion.length_mm * seconds_per_mm;
        self.extents.feed.include(motion.to);
        self.cut_end = Some(motion.to);
        self.spread.add(motion);
        self.levels
            .add_line(motion.from, motion.to, motion.length_mm);
        true
    }

    fn add_any(&mut self, motion: &Motion, has_machine: bool) {
        if motion.length_mm < ZERO_MM && motion.from_known == motion.to_known {
            // A motion that goes nowhere widens nothing; one that makes an axis known goes somewhere.
            self.moves.zero += 1;
            if motion.kind != Kind::Rapid
                && let Pace::Seconds(seconds) = motion.pace
            {
                self.feed_ideal_s += seconds;
            }
            return;
        }
        match motion.kind {
            Kind::Rapid => {
                // Feed motions are counted into all of them when the section is complete.
                widen(&mut self.extents.all, motion, [0.0; 3]);
                if has_machine {
                    widen(&mut self.machine_extents.all, motion, motion.machine_offset);
                }
                self.moves.rapid += 1;
                self.look_across(motion);
                self.look_down(motion);
                self.path.rapid_mm += motion.length_mm;
                self.cut_end = None;
                return;
            }
            Kind::Feed => self.moves.feed += 1,
            Kind::Arc => self.moves.arc += 1,
        }
        self.path.feed_mm += motion.length_mm;
        self.feed_ideal_s += motion.ideal_s().unwrap_or(0.0);
        if Some(motion.from) == self.cut_end && motion.arc.is_none() && motion.to_known == [true; 3]
        {
            // The start was the end of the cut before.
            self.extents.feed.include(motion.to);
        } else {
            widen(&mut self.extents.feed, motion, [0.0; 3]);
        }
        self.cut_end = (motion.to_known == [true; 3]).then_some(motion.to);
        if has_machine {
            widen(
                &mut self.machine_extents.feed,
                motion,
                motion.machine_offset,
            );
        }
        self.first_cut_line.get_or_insert(motion.line);
        if motion.to_known == [true; 3] {
            self.first_cut_mm.get_or_insert(motion.to);
            if motion.is_cycle {
                self.first_hole_mm.get_or_insert(motion.to);
            }
        }
        if let Some(arc) = &motion.arc {
            self.circles.add(arc, motion.line);
        }
        self.add_feed(motion);
        self.levels.add(motion);
        self.spread.add(motion);
        self.runs.add(motion);
    }

    /// Keeps the lowest rapid across in mind.
    fn look_across(&mut self, motion: &Motion) {
        let (a, b) = (motion.from, motion.to);
        if !motion.is_known() || (a[0] == b[0] && a[1] == b[1]) {
            return;
        }
        self.run_across(Across {
            // A rapid that comes down on its way is as low as its end only there.
            z_mm: a[2].max(b[2]),
            area: [
                a[0].min(b[0]),
                a[1].min(b[1]),
                a[0].max(b[0]),
                a[1].max(b[1]),
            ],
        });
    }

    /// Keeps the rapid in mind that goes down lowest into what nothing has cut yet.
    fn look_down(&mut self, motion: &Motion) {
        if motion.is_known() && motion.to[2] < motion.from[2] {
            self.descend(Descent {
                to: motion.to,
                line: motion.line,
            });
        }
    }

    fn descend(&mut self, descent: Descent) {
        let is_lowest = self
            .lowest_descent
            .is_none_or(|own| descent.to[2] < own.to[2]);
        if is_lowest && self.is_far_from_cuts(descent.to) {
            self.lowest_descent = Some(descent);
        }
    }

    /// Whether a place lies farther from all that the section has cut so far than a wide tool reaches.
    pub fn is_far_from_cuts(&self, place: [f64; 3]) -> bool {
        /// Reach of the widest usual face mill, mm (common practice, no source).
        const WIDE_MM: f64 = 40.0;
        (0..2).any(|axis| {
            self.extents.feed.axis(axis).is_none_or(|(low, high)| {
                place[axis] < low - WIDE_MM || place[axis] > high + WIDE_MM
            })
        })
    }

    fn run_across(&mut self, across: Across) {
        match &mut self.lowest_across {
            Some(own) if across.z_mm > own.z_mm + SAME_HEIGHT_MM => {}
            Some(own) if across.z_mm >= own.z_mm - SAME_HEIGHT_MM => {
                own.z_mm = own.z_mm.min(across.z_mm);
                own.area = [
                    own.area[0].min(across.area[0]),
                    own.area[1].min(across.area[1]),
                    own.area[2].max(across.area[2]),
                    own.area[3].max(across.area[3]),
                ];
            }
            own => *own = Some(across),
        }
    }

    fn add_feed(&mut self, motion: &Motion) {
        let feed = match motion.pace {
            Pace::MmPerMin(feed) if feed > 0.0 => feed,
            Pace::Seconds(seconds) if seconds > 0.0 => motion.length_mm / seconds * 60.0,
            _ => {
                self.unknown_feed_mm += motion.length_mm;
                return;
            }
        };
        if let Some(used) = self.feeds.get_mut(self.last_feed)
            && same_feed(used.feed_mm_min, feed)
        {
            used.length_mm += motion.length_mm;
            return;
        }
        self.feed_lowest_mm_min = Some(self.feed_lowest_mm_min.map_or(feed, |low| low.min(feed)));
        self.feed_highest_mm_min =
            Some(self.feed_highest_mm_min.map_or(feed, |high| high.max(feed)));
        if let Some(i) = self
            .feeds
            .iter()
            .position(|used| same_feed(used.feed_mm_min, feed))
        {
            self.feeds[i].length_mm += motion.length_mm;
            self.last_feed = i;
        } else if self.feeds.len() < MOST_FEEDS {
            self.last_feed = self.feeds.len();
            self.feeds.push(FeedUse {
                feed_mm_min: feed,
                length_mm: motion.length_mm,
            });
        } else {
            self.other_feeds_mm += motion.length_mm;
        }
    }

    /// Puts the feeds in order once the section is complete.
    pub fn finish(&mut self) {
        self.extents.all.unite(&self.extents.feed);
        self.machine_extents.all.unite(&self.machine_extents.feed);
        // Left over from counting, and no fact of the section.
        self.cut_end = None;
        self.feeds
            .sort_by(|a, b| a.feed_mm_min.total_cmp(&b.feed_mm_min));
        self.lowest_z_mm = self.extents.feed.axis(2).map(|(low, _)| low);
        self.last_feed = 0;
    }

    /// Whether anything is cut that counts from the zero set by hand.
    pub fn cuts_from_zero(&self) -> bool {
        self.has_cut() && self.zero_moved_line.is_none()
    }

    /// Whether anything moves at feed.
    pub fn has_cut(&self) -> bool {
        self.first_cut_line.is_some()
    }

    /// Counts another section in, as when the cap of sections is reached or a tail has no cut.
    pub fn absorb(&mut self, other: &Self) {
        self.moves.rapid += other.moves.rapid;
        self.moves.feed += other.moves.feed;
        self.moves.arc += other.moves.arc;
        self.moves.zero += other.moves.zero;
        self.path.feed_mm += other.path.feed_mm;
        self.path.rapid_mm += other.path.rapid_mm;
        self.feed_ideal_s += other.feed_ideal_s;
        self.dwell_s += other.dwell_s;
        self.estimated_s = match (self.estimated_s, other.estimated_s) {
            (Some(a), Some(b)) => Some(a + b),
            (a, b) => a.or(b),
        };
        self.unknown_feed_mm += other.unknown_feed_mm;
        self.other_feeds_mm += other.other_feeds_mm;
        if let Some(descent) = other.lowest_descent {
            self.descend(descent);
        }
        self.extents.all.unite(&other.extents.all);
        self.extents.feed.unite(&other.extents.feed);
        self.machine_extents.all.unite(&other.machine_extents.all);
        self.machine_extents.feed.unite(&other.machine_extents.feed);
        self.levels.absorb(&other.levels);
        self.spread.absorb(&other.spread);
        self.circles.absorb(&other.circles);
        self.runs.absorb(&other.runs);
        if let Some(across) = other.lowest_across {
            self.run_across(across);
        }
        self.holes += other.holes;
        self.last_line = self.last_line.max(other.last_line);
        self.first_cut_line = self.first_cut_line.or(other.first_cut_line);
        self.first_cut_mm = self.first_cut_mm.or(other.first_cut_mm);
        self.first_hole_mm = self.first_hole_mm.or(other.first_hole_mm);
        self.s_rpm = self.s_rpm.or(other.s_rpm);
        self.s_highest_rpm = self.s_highest_rpm.max_with(other.s_highest_rpm);
        self.feed_lowest_mm_min = match (self.feed_lowest_mm_min, other.feed_lowest_mm_min) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        self.feed_highest_mm_min = self.feed_highest_mm_min.max_with(other.feed_highest_mm_min);
        for used in &other.feeds {
            if let Some(own) = self
                .feeds
                .iter_mut()
                .find(|own| same_feed(own.feed_mm_min, used.feed_mm_min))
            {
                own.length_mm += used.length_mm;
            } else if self.feeds.len() < MOST_FEEDS {
                self.feeds.push(*used);
            } else {
                self.other_feeds_mm += used.length_mm;
            }
        }
    }
}

trait MaxWith {
    fn max_with(self, other: Self) -> Self;
}

impl MaxWith for Option<f64> {
    fn max_with(self, other: Self) -> Self {
        match (self, other) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        }
    }
}

fn same_feed(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-6 * a.max(b)
}

/// Widens `bounds` by a motion, its start included, each axis where it is known.
pub fn widen(bounds: &mut Bounds, motion: &Motion, offset: [f64; 3]) {
    for (axis, offset) in offset.into_iter().enumerate() {
        if motion.from_known[axis] {
            bounds.include_axis(axis, motion.from[axis] + offset);
        }
        if motion.to_known[axis] {
            bounds.include_axis(axis, motion.to[axis] + offset);
        }
    }
    if let Some(arc) = &motion.arc {
        let mut own = Bounds::EMPTY;
        arc.widen(&mut own);
        bounds.unite(&own.moved(offset));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(from: [f64; 3], to: [f64; 3], feed: f64) -> Motion {
        let d = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
        Motion {
            kind: Kind::Feed,
            from,
            to,
            from_known: [true; 3],
            to_known: [true; 3],
            arc: None,
            length_mm: (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt(),
            pace: Pace::MmPerMin(feed),
            line: 1,
            machine_offset: [0.0; 3],
            is_cycle: false,
        }
    }

    #[test]
    fn feeds_are_kept_apart_and_capped() {
        let mut section = Section::default();
        for i in 0..200 {
            section.add(
                &line([0.0; 3], [1.0, 0.0, 0.0], 100.0 + f64::from(i)),
                false,
            );
        }
        section.finish();
        assert_eq!(section.feeds.len(), MOST_FEEDS);
        assert_eq!(section.feed_lowest_mm_min, Some(100.0));
        assert_eq!(section.feed_highest_mm_min, Some(299.0));
        let listed: f64 = section.feeds.iter().map(|f| f.length_mm).sum();
        assert!((listed + section.other_feeds_mm - 200.0).abs() < 1e-9);
    }

    proptest::proptest! {
        /// Few values, so that lines often go on from each other at the same feed.
        #[test]
        fn a_line_that_goes_on_counts_as_any_motion_does(
            steps in proptest::collection::vec((0..3_u8, 0..3_u8, 0..3_u8, 0..10_u8), 0..60),
            has_machine in proptest::bool::weighted(0.1),
        ) {
            let (mut by_add, mut by_any) = (Section::default(), Section::default());
            let mut at = [0.0; 3];
            for (x, y, z, how) in steps {
                let to = [4.0 * f64::from(x), f64::from(y) / 3.0, -f64::from(z)];
                let mut motion = line(at, to, if how == 0 { 70.0 } else { 300.0 });
                match how {
                    1 => motion.kind = Kind::Rapid,
                    2 => motion.from = [5.0; 3],
                    3 => motion.pace = Pace::Seconds(2.0),
                    4 => motion.to_known = [true, false, true],
                    5 => motion.is_cycle = true,
                    _ => {}
                }
                at = to;
                by_add.add(&motion, has_machine);
                by_any.add_any(&motion, has_machine);
            }
            proptest::prop_assert_eq!(by_add, by_any);
        }
    }
}
