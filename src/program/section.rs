//! A section of a program: what runs with one tool, one zero and no hands between.

use crate::program::bounds::Bounds;
use crate::program::circles::Circles;
use crate::program::motion::Kind;
use crate::program::motion::Motion;
use crate::program::motion::Pace;
use crate::program::summary::Extents;
use crate::program::summary::Moves;
use crate::program::summary::PathLength;

/// Sections kept apart; more are counted into the last.
pub const MOST_SECTIONS: usize = 400;
/// Feeds kept apart in a section; more are counted into `other_feeds_mm`.
pub const MOST_FEEDS: usize = 48;
/// Heights kept apart in a section.
pub const MOST_LEVELS: usize = 128;

/// Length below which a motion goes nowhere, mm: what rounding leaves of equal places, far below any
/// machine's step.
const ZERO_MM: f64 = 1e-9;

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
    /// Whether the program moved its zero with G92 before or in the section.
    pub has_g92: bool,
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
        self.extents.all.unite(&other.extents.all);
        self.extents.feed.unite(&other.extents.feed);
        self.machine_extents.all.unite(&other.machine_extents.all);
        self.machine_extents.feed.unite(&other.machine_extents.feed);
        self.levels.absorb(&other.levels);
        self.circles.absorb(&other.circles);
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

/// Where feed motions run in X and Y, by their lowest Z, in steps that grow with the range.
#[derive(Clone, Debug, PartialEq)]
pub struct Levels {
    step_mm: f64,
    first: i64,
    boxes: Vec<[f64; 4]>,
    lengths_mm: Vec<f64>,
}

impl Default for Levels {
    fn default() -> Self {
        Self {
            step_mm: 0.05,
            first: 0,
            boxes: vec![],
            lengths_mm: vec![],
        }
    }
}

const EMPTY_BOX: [f64; 4] = [
    f64::INFINITY,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::NEG_INFINITY,
];

impl Levels {
    fn add(&mut self, motion: &Motion) {
        if !motion.is_known() {
            return;
        }
        let Some(arc) = &motion.arc else {
            self.add_line(motion.from, motion.to, motion.length_mm);
            return;
        };
        let mut bounds = Bounds::EMPTY;
        bounds.include(motion.from);
        bounds.include(motion.to);
        arc.widen(&mut bounds);
        let ([x0, y0, low_z], [x1, y1, _]) = (bounds.min, bounds.max);
        self.add_box(low_z, [x0, y0, x1, y1], motion.length_mm);
    }

    #[inline]
    fn add_line(&mut self, a: [f64; 3], b: [f64; 3], length_mm: f64) {
        let own = join([a[0], a[1], a[0], a[1]], [b[0], b[1], b[0], b[1]]);
        self.add_box(lesser(a[2], b[2]), own, length_mm);
    }

    fn add_box(&mut self, low_z: f64, own: [f64; 4], length_mm: f64) {
        if !low_z.is_finite() {
            return;
        }
        let mut index = self.index(low_z);
        // Most motions fall on a height that is there.
        if let Ok(i) = usize::try_from(index.wrapping_sub(self.first))
            && let (Some(b), Some(length)) = (self.boxes.get_mut(i), self.lengths_mm.get_mut(i))
        {
            *b = join(*b, own);
            *length += length_mm;
            return;
        }
        if self.boxes.is_empty() {
            self.first = index;
        }
        loop {
            let last = self.first.saturating_add(self.boxes.len() as i64);
            let span = last
                .max(index.saturating_add(1))
                .saturating_sub(self.first.min(index));
            if span <= MOST_LEVELS as i64 {
                break;
            }
            self.coarsen();
            index = self.index(low_z);
        }
        while index < self.first {
            self.boxes.insert(0, EMPTY_BOX);
            self.lengths_mm.insert(0, 0.0);
            self.first -= 1;
        }
        while index >= self.first + self.boxes.len() as i64 {
            self.boxes.push(EMPTY_BOX);
            self.lengths_mm.push(0.0);
        }
        if let Ok(i) = usize::try_from(index - self.first)
            && let (Some(b), Some(length)) = (self.boxes.get_mut(i), self.lengths_mm.get_mut(i))
        {
            *b = join(*b, own);
            *length += length_mm;
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "saturates, and coarsening follows"
    )]
    fn index(&self, z: f64) -> i64 {
        let steps = (z / self.step_mm).clamp(-1e15, 1e15);
        let whole = steps as i64;
        // Down to the next whole number, without a call for it.
        whole - i64::from(steps < whole as f64)
    }

    fn coarsen(&mut self) {
        let old = std::mem::take(&mut self.boxes);
        let lengths = std::mem::take(&mut self.lengths_mm);
        let first = self.first;
        self.step_mm *= 2.0;
        self.first = first.div_euclid(2);
        for (i, (b, length)) in old.into_iter().zip(lengths).enumerate() {
            let at = (first + i as i64).div_euclid(2) - self.first;
            let at = usize::try_from(at).unwrap_or(0);
            if at >= self.boxes.len() {
                self.boxes.resize(at + 1, EMPTY_BOX);
                self.lengths_mm.resize(at + 1, 0.0);
            }
            self.boxes[at] = join(self.boxes[at], b);
            self.lengths_mm[at] += length;
        }
    }

    fn absorb(&mut self, other: &Self) {
        for (i, (b, length)) in other.boxes.iter().zip(&other.lengths_mm).enumerate() {
            if b[0] <= b[2] {
                let z = (other.first as f64 + i as f64 + 0.5) * other.step_mm;
                self.add_box(z, *b, *length);
            }
        }
    }

    /// Least X, least Y, greatest X, greatest Y of feed motions that reach below `z_mm`, to
    /// within the step; `None` when there is none.
    pub fn below(&self, z_mm: f64) -> Option<[f64; 4]> {
        let mut all = EMPTY_BOX;
        for (i, b) in self.boxes.iter().enumerate() {
            // The level's lowest plane lies below; half a step decides for the level as a whole.
            if (self.first as f64 + i as f64 + 0.5) * self.step_mm < z_mm {
                all = join(all, *b);
            }
        }
        (all[0] <= all[2]).then_some(all)
    }

    /// Path of feed motions whose lowest point lies below `z_mm` and not below `from_mm`, mm.
    pub fn length_between_mm(&self, from_mm: f64, z_mm: f64) -> f64 {
        self.lengths_mm
            .iter()
            .enumerate()
            .filter(|(i, _)| {
                let middle = (self.first as f64 + *i as f64 + 0.5) * self.step_mm;
                middle < z_mm && middle >= from_mm
            })
            .map(|(_, length)| length)
            .sum()
    }
}

// Spelled out: the library's min and max also look for what is no number, which costs more than the rest.
fn lesser(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

fn greater(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

fn join(a: [f64; 4], b: [f64; 4]) -> [f64; 4] {
    [
        lesser(a[0], b[0]),
        lesser(a[1], b[1]),
        greater(a[2], b[2]),
        greater(a[3], b[3]),
    ]
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
                let to = [f64::from(x), f64::from(y) / 3.0, -f64::from(z)];
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

    #[test]
    fn levels_tell_cuts_from_feed_moves_above() {
        let mut levels = Levels::default();
        levels.add(&line([-50.0, 0.0, 5.0], [60.0, 0.0, 5.0], 100.0));
        levels.add(&line([0.0, 0.0, -1.0], [20.0, 30.0, -1.0], 100.0));
        assert_eq!(levels.below(0.0), Some([0.0, 0.0, 20.0, 30.0]));
        assert!((levels.length_between_mm(-5.0, 0.0) - 1300_f64.sqrt()).abs() < 1e-9);
        assert_eq!(levels.below(-2.0), None);
        assert_eq!(levels.below(10.0), Some([-50.0, 0.0, 60.0, 30.0]));
    }

    #[test]
    fn levels_stay_bounded_whatever_the_heights() {
        let mut levels = Levels::default();
        for z in [0.0, 1e3, -1e6, 1e12, -1e300, 3.0] {
            levels.add(&line([0.0, 0.0, z], [1.0, 1.0, z], 100.0));
        }
        assert!(levels.boxes.len() <= MOST_LEVELS);
        assert_eq!(levels.below(f64::INFINITY), Some([0.0, 0.0, 1.0, 1.0]));
    }
}
