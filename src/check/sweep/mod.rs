//! The path swept through the blank, motion by motion, while the program is read.
//!
//! Needs blank and zero. Only motions that count from the stated zero and are known on all axes are
//! swept. The blank is a grid of at most 128 by 128 heights, so places are good to a cell.

pub mod clip;
pub mod disc;
pub mod free;
pub mod grid;
mod judge;
mod machine_move;
mod near;
pub mod passes;
mod remains;
mod tops;

use crate::check::against;
use crate::check::against::Against;
use crate::check::against::ToolFacts;
use crate::check::against::UNSTATED_RADIUS_MM;
use crate::check::hint;
use crate::check::placement::Placement;
use crate::check::rules;
use crate::check::sweep::disc::Disc;
use crate::check::sweep::free::Piece;
use crate::check::sweep::grid::Grid;
use crate::check::sweep::grid::Met;
use crate::check::sweep::passes::Pass;
use crate::check::sweep::passes::Passes;
use crate::job::holding::KeepOut;
use crate::job::reference::TopLeft;
use crate::job::stock::StockSize;
use crate::program::bounds::Bounds;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::finding::Rule;
use crate::program::fold::Fold;
use crate::program::motion::Kind;
use crate::program::motion::MachineMove;
use crate::program::motion::Motion;
use crate::program::section::MOST_SECTIONS;
use crate::program::summary::Units;

/// Height of metal over a rapid that the grid's coarseness and rounding take, mm.
const RAPID_HAIR_MM: f64 = 0.05;
/// How much less than the tool a rapid is held against, cells: half a cell's diagonal and what a place is rounded by.
pub const BLIND_CELLS: f64 = 0.8;
/// Depth of a first hole from which a spot is worth a note, mm.
const SPOT_DEPTH_MM: f64 = 3.0;
/// Clearance over the top that a tool change wants, mm.
const CHANGE_CLEARANCE_MM: f64 = 5.0;
/// Share of the thickness below which what is left counts as tab or skin.
const THIN_SHARE: f64 = 0.5;
/// Samples of a whole path at most, with so many more for each line of the file: what is long is followed to its
/// end, what repeats itself without end is not.
const MOST_WALKED: u64 = 2_000_000;
const WALKED_A_LINE: u64 = 400;
/// Samples of one motion at most.
const MOST_SAMPLES: usize = 20_000;

/// Facts of a tool of which nothing was stated.
static NOTHING_STATED: ToolFacts = ToolFacts {
    title: String::new(),
    kind: None,
    pitch_mm: None,
    diameter_mm: None,
    flutes: None,
    flute_length_mm: None,
    shank_mm: None,
    stick_out_mm: None,
    centre_cutting: None,
    turns_right: None,
    cuts_sideways: None,
    speed_rating_rpm: None,
};

/// Sweeps the path through the blank.
#[derive(Debug)]
pub struct Sweep<'a> {
    against: &'a Against,
    stock: StockSize,
    /// Program numbers plus this are places from the left front bottom of the blank.
    offset: [f64; 3],
    grid: Grid,
    findings: Findings,
    /// Extents of the cuts of this section.
    cut: Bounds,
    /// Those of the sections before.
    cut_before: Bounds,
    radius_mm: f64,
    disc: Disc,
    /// A little less than the tool: what stands at its rim may be the grid's coarseness.
    inner_disc: Disc,
    facts: Option<&'a ToolFacts>,
    tool: Option<u32>,
    /// The first tool of which no width is known, where there is one.
    first_assumed: Option<Option<u32>>,
    is_of_zero: bool,
    /// Whether some of it counts from another zero, and was not followed.
    has_other_zero: bool,
    first_zero: Option<(usize, bool)>,
    last: Option<[f64; 3]>,
    stamped: Option<[f64; 3]>,
    /// The last place, in the program's numbers, that `cut` holds.
    included: Option<[f64; 3]>,
    /// The pieces when they were counted last; none while the blank is whole.
    pieces: Vec<Piece>,
    counts: u32,
    passes: Passes,
    /// What is left of the top, by section.
    tops: Vec<TopLeft>,
    /// Where the last feed motion before a rapid ended.
    fed: Option<[f64; 3]>,
    /// Whether the last motion was one.
    was_feed: bool,
    /// Height of the tip under which the holder ends below the top of some keep-out, mm.
    holder_below_mm: f64,
    /// Whether the program has the spindle turn.
    is_turning: bool,
    through: bool,
    /// Line since which the part's outside is cut all round.
    profiled_line: Option<u64>,
    has_cut_deep: bool,
    /// Line of the motion at hand.
    line: u64,
    highest_line: u64,
    /// Samples so far.
    walked: u64,
    /// The path was not followed to its end.
    is_cut_short: bool,
}

/// What the sweep has found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Swept {
    /// Findings.
    pub findings: Findings,
    /// Extents of the cuts in the program's own numbers.
    pub cut: Bounds,
    /// What the tool takes, by section.
    pub passes: Vec<Pass>,
    /// What is left of the top of the blank, by section; empty where that is not known.
    pub tops: Vec<TopLeft>,
}

/// The box of a motion that is known, ends included, in the program's own numbers.
fn reach(motion: &Motion) -> Bounds {
    let mut bounds = Bounds::EMPTY;
    bounds.include(motion.from);
    bounds.include(motion.to);
    if let Some(arc) = &motion.arc {
        arc.widen(&mut bounds);
    }
    bounds
}

impl<'a> Sweep<'a> {
    /// Begins with the whole blank.
    pub fn new(against: &'a Against, stock: StockSize, placement: &Placement) -> Self {
        let grid = Grid::new(stock);
        Self {
            against,
            stock,
            offset: placement.zero_at(stock),
            disc: Disc::new(UNSTATED_RADIUS_MM, grid.cell_mm),
            inner_disc: Disc::new(
                UNSTATED_RADIUS_MM - BLIND_CELLS * grid.cell_mm,
                grid.cell_mm,
            ),
            grid,
            findings: Findings::default(),
            cut: Bounds::EMPTY,
            cut_before: Bounds::EMPTY,
            radius_mm: UNSTATED_RADIUS_MM,
            facts: None,
            tool: None,
            first_assumed: None,
            is_of_zero: true,
            has_other_zero: false,
            first_zero: None,
            last: None,
            stamped: None,
            included: None,
            pieces: vec![],
            counts: 0,
            passes: Passes::default(),
            tops: vec![],
            fed: None,
            was_feed: false,
            holder_below_mm: f64::NEG_INFINITY,
            is_turning: false,
            through: false,
            profiled_line: None,
            has_cut_deep: false,
            line: 0,
            highest_line: 0,
            walked: 0,
            is_cut_short: false,
        }
    }

    /// Ends the sweep.
    pub fn finish(mut self) -> Swept {
        // Half a path says nothing of what it leaves.
        if !self.is_cut_short {
            self.counts = 0;
            self.count_pieces();
            self.say_hold();
            self.look_at_part_edges();
            self.look_at_end();
        }
        self.cut_before.unite(&self.cut);
        self.look_at_top();
        // Half a path, or one worked out with an assumed cutter, says nothing of what it leaves.
        let is_known = !self.is_cut_short && !self.has_other_zero && self.first_assumed.is_none();
        Swept {
            tops: if is_known { self.tops } else { vec![] },
            findings: self.findings,
            cut: self.cut_before,
            passes: self.passes.finish(&self.cut),
        }
    }

    /// Notes what the section that ends here leaves of the top.
    fn look_at_top(&mut self) {
        if let Some(line) = self.passes.first_cut_line() {
            let left = self.top_left(line);
            if self.tops.len() < MOST_SECTIONS {
                self.tops.push(left);
            }
        }
    }

    fn find(&mut self, rule: &'static Rule, key: u64, message: impl FnOnce() -> String) {
        self.find_at(rule, rule.level, key, message);
    }

    fn find_at(
        &mut self,
        rule: &'static Rule,
        level: Level,
        key: u64,
        message: impl FnOnce() -> String,
    ) {
        let place = Place {
            line: self.line,
            ..Place::FILE
        };
        // What is left of the blank rests on every width before.
        let assumed = self.first_assumed.map(against::rests_on_width);
        self.findings.add_at(rule, level, place, key, || {
            format!("{}{}", message(), assumed.unwrap_or_default())
        });
    }

    /// The place that a motion has come to after a share of its length.
    fn place_at(&self, motion: &Motion, a: [f64; 3], b: [f64; 3], share: f64) -> [f64; 3] {
        let Some(arc) = &motion.arc else {
            return clip::point(a, b, share);
        };
        let [first, second, axis] = arc.plane.axes();
        let p = arc.at(share);
        let mut at = [0.0; 3];
        at[first] = p[0] + self.offset[first];
        at[second] = p[1] + self.offset[second];
        at[axis] = a[axis] + share * (b[axis] - a[axis]);
        at
    }

    /// Places along a motion, the start left out: at most `step` apart where the tool is over the blank or near
    /// it. Elsewhere the next one is as far off as the blank, which nothing between can reach.
    fn samples(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3], step: f64) -> Vec<[f64; 3]> {
        let mut places = vec![];
        let mut travelled = 0.0;
        let mut p = a;
        while places.len() < MOST_SAMPLES {
            travelled += step.max(self.distance_mm(p));
            let goes_on = travelled < motion.length_mm;
            if !goes_on {
                // A length that is no number ends here too.
                break;
            }
            p = self.place_at(motion, a, b, travelled / motion.length_mm);
            places.push(p);
        }
        places.push(b);
        self.walked += places.len() as u64;
        places
    }

    /// How far the tool stands from the blank, seen from above; 0 over it.
    fn distance_mm(&self, p: [f64; 3]) -> f64 {
        let r = self.radius_mm + self.grid.cell_mm;
        let beyond = |value: f64, size: f64| (-r - value).max(value - size - r).max(0.0);
        beyond(p[0], self.stock.x_mm).hypot(beyond(p[1], self.stock.y_mm))
    }

    /// Whether the tool stays beside the blank: there is no metal, however long the way.
    fn is_beside(&self, motion: &Motion) -> bool {
        let r = self.radius_mm + self.grid.cell_mm;
        let reach = reach(motion).moved(self.offset);
        let size = [self.stock.x_mm, self.stock.y_mm];
        (0..2).any(|axis| reach.max[axis] < -r || reach.min[axis] > size[axis] + r)
    }

    fn rapid(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        self.stamped = None;
        if std::mem::take(&mut self.was_feed) {
            self.fed = Some(a);
        }
        self.look_at_profile();
        if a[2].min(b[2]) >= self.stock.z_mm - RAPID_HAIR_MM {
            self.look_how_close(motion, a, b);
            return;
        }
        let is_vertical = (a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9;
        if self.is_beside(motion) {
            return;
        }
        let places = if is_vertical {
            vec![if a[2] < b[2] { a } else { b }]
        } else {
            self.samples(motion, a, b, self.grid.cell_mm)
        };
        // A rise out of a cut meets nothing that it did not come through.
        if is_vertical && b[2] > a[2] {
            return;
        }
        let mut worst: f64 = 0.0;
        for p in places {
            if let Some(height) = self.grid.highest(&self.inner_disc, p[0], p[1]) {
                worst = worst.max(height - p[2].max(0.0));
            }
        }
        if worst > RAPID_HAIR_MM {
            self.find(&rules::RAPID_THROUGH_UNCUT, 0, || {
                format!("A rapid runs through metal that was not cut before, {worst:.1} mm high over it.")
            });
        }
    }

    fn cut(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        let top = self.stock.z_mm;
        self.was_feed = true;
        if a[2].min(b[2]) >= top && motion.arc.is_none() {
            self.stamped = None;
            return;
        }
        if motion.length_mm > self.grid.cell_mm && self.is_beside(motion) {
            self.stamped = None;
            return;
        }
        self.widen_cut(motion, a, b);
        // Three quarters of a cell: a stamp is a tool wide, so no cell is missed.
        let step = 0.75 * self.grid.cell_mm;
        let mut met = Met::default();
        // The start of a cut counts too.
        if self.stamped.is_none() {
            self.stamped = Some(a);
            if a[2] < top {
                self.stamp(a, &mut met);
            }
        }
        if let Some(last) = self.stamped
            && motion.length_mm < step
            && motion.arc.is_none()
        {
            let d = [b[0] - last[0], b[1] - last[1]];
            if d[0] * d[0] + d[1] * d[1] < step * step && b[2] >= last[2] - 0.01 {
                return;
            }
        }
        let is_vertical = a[0] == b[0] && a[1] == b[1] && motion.arc.is_none();
        self.look_at_depth(motion, a, b);
        if is_vertical || (motion.length_mm <= step && motion.arc.is_none()) {
            if b[2] < top {
                self.stamp(b, &mut met);
            }
            self.stamped = Some(b);
        } else {
            for p in self.samples(motion, a, b, step) {
                if p[2] < top {
                    self.stamp(p, &mut met);
                }
                self.stamped = Some(p);
            }
        }
        self.judge(motion, a, b, met);
    }

    fn stamp(&mut self, p: [f64; 3], all: &mut Met) {
        let met = self.grid.stamp(&self.disc, p[0], p[1], p[2]);
        all.step_mm = all.step_mm.max(met.step_mm);
        all.centre_mm = all.centre_mm.max(met.centre_mm);
        all.through += met.through;
    }

    /// Extents of what runs in the blank: below the top, the tool over or beside it.
    fn widen_cut(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        let r = self.radius_mm;
        let min = [-r, -r, f64::NEG_INFINITY];
        let max = [self.stock.x_mm + r, self.stock.y_mm + r, self.stock.z_mm];
        let offset = self.offset;
        let include = |p: [f64; 3], cut: &mut Bounds| {
            cut.include(std::array::from_fn(|axis| p[axis] - offset[axis]));
        };
        if motion.arc.is_none() {
            let is_in = |p: [f64; 3]| (0..3).all(|i| p[i] >= min[i] && p[i] <= max[i]);
            if is_in(a) && is_in(b) {
                // The start is mostly the end of the motion before.
                if self.included != Some(motion.from) {
                    self.cut.include(motion.from);
                }
                self.cut.include(motion.to);
                self.included = Some(motion.to);
                return;
            }
            if let Some((from, to)) = clip::inside(a, b, min, max)
                && to > from
            {
                include(clip::point(a, b, from), &mut self.cut);
                include(clip::point(a, b, to), &mut self.cut);
            }
            return;
        }
        let reach = reach(motion);
        let is_inside = (0..3).all(|axis| {
            reach.min[axis] + offset[axis] >= min[axis]
                && reach.max[axis] + offset[axis] <= max[axis]
        });
        if is_inside {
            self.cut.unite(&reach);
            return;
        }
        let mut last = a;
        for p in self.samples(motion, a, b, (motion.length_mm / 360.0).max(1e-3)) {
            if let Some((from, to)) = clip::inside(last, p, min, max)
                && to > from
            {
                include(clip::point(last, p, from), &mut self.cut);
                include(clip::point(last, p, to), &mut self.cut);
            }
            last = p;
        }
        // The circle's own outermost points, where the whole arc lies inside.
        if let Some(arc) = &motion.arc {
            let mut own = Bounds::EMPTY;
            arc.widen(&mut own);
            for axis in 0..3 {
                if let Some((low, high)) = own.axis(axis) {
                    for value in [low, high] {
                        let at = value + self.offset[axis];
                        let near = self.cut.axis(axis).is_some_and(|(l, h)| {
                            (l - value).abs() < 0.01 || (h - value).abs() < 0.01
                        });
                        if near && at >= min[axis] && at <= max[axis] {
                            self.cut.include_axis(axis, value);
                        }
                    }
                }
            }
        }
    }

    fn keep_outs(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        if self.against.keep_outs.is_empty() || !self.against.keep_outs_stand.at(motion.line) {
            return;
        }
        if a[2].min(b[2]) < self.holder_below_mm {
            self.look_at_holder(motion, a, b);
        }
        let r = self.radius_mm;
        // Most arcs are nowhere near: their box says so without a walk along them.
        let reach = reach(motion).moved(self.offset);
        let is_far = |keep_out: &KeepOut| {
            (0..2).any(|axis| {
                reach.max[axis] < keep_out.from[axis] - r || reach.min[axis] > keep_out.to[axis] + r
            })
        };
        if self.against.keep_outs.iter().all(is_far) {
            return;
        }
        let samples;
        let ends: &[[f64; 3]] = match motion.arc {
            None => &[b],
            Some(_) => {
                samples = self.samples(motion, a, b, self.grid.cell_mm.min(1.0));
                &samples
            }
        };
        for (number, keep_out) in self.against.keep_outs.iter().enumerate() {
            let min = [
                keep_out.from[0] - r,
                keep_out.from[1] - r,
                f64::NEG_INFINITY,
            ];
            let max = [
                keep_out.to[0] + r,
                keep_out.to[1] + r,
                keep_out.height - 1e-6,
            ];
            let mut last = a;
            let is_hit = ends.iter().any(|p| {
                let hit = clip::inside(last, *p, min, max).is_some();
                last = *p;
                hit
            });
            if is_hit {
                let (x, y, height) = (keep_out.from, keep_out.to, keep_out.height);
                self.find(&rules::KEEP_OUT_ENTERED, number as u64, || {
                    format!(
                        "The tool enters the keep-out from {:.0},{:.0} to {:.0},{:.0} mm, {height:.0} mm high.",
                        x[0], x[1], y[0], y[1]
                    )
                });
            }
        }
    }
}

impl Fold for Sweep<'_> {
    fn motion(&mut self, motion: &Motion) {
        self.line = motion.line;
        let place = |p: [f64; 3]| -> [f64; 3] { std::array::from_fn(|i| p[i] + self.offset[i]) };
        let (a, b) = (place(motion.from), place(motion.to));
        self.passes.motion(motion);
        self.last = (motion.to_known == [true; 3] && self.is_of_zero).then_some(b);
        if !self.is_of_zero || !motion.is_known() {
            // A move that makes the height known may come down from anywhere.
            self.stamped = None;
            return;
        }
        self.highest_line = self.highest_line.max(motion.line);
        if self.walked > MOST_WALKED + WALKED_A_LINE * self.highest_line {
            // A short program that repeats itself without end must not hold anybody up.
            self.find(&rules::PATH_NOT_FOLLOWED, 0, || {
                "The path repeats itself too often to be followed through the blank to its end."
                    .to_owned()
            });
            self.is_cut_short = true;
            return;
        }
        self.keep_outs(motion, a, b);
        if motion.kind == Kind::Rapid {
            self.rapid(motion, a, b);
        } else {
            self.cut(motion, a, b);
        }
    }

    fn dwell(&mut self, _seconds: f64) {}

    fn tool(&mut self, tool: Option<u32>, comment: &str, units: Units) {
        self.tool = tool;
        self.facts = self.against.tool(tool);
        self.holder_below_mm = self.lowest_tip_mm();
        let before = self.radius_mm;
        let diameter_mm = self
            .facts
            .and_then(|facts| facts.diameter_mm)
            .or_else(|| hint::diameter(comment, units).map(|said| said.mm));
        self.radius_mm = diameter_mm.map_or(UNSTATED_RADIUS_MM, |d| d / 2.0);
        if diameter_mm.is_none() {
            self.first_assumed.get_or_insert(tool);
        }
        if self.radius_mm != before {
            let cell_mm = self.grid.cell_mm;
            self.disc = Disc::new(self.radius_mm, cell_mm);
            self.inner_disc = Disc::new(self.radius_mm - BLIND_CELLS * cell_mm, cell_mm);
        }
        self.stamped = None;
    }

    fn zero(&mut self, system: usize, is_named: bool, is_moved: bool) {
        self.look_at_top();
        self.passes.section(&self.cut);
        self.cut_before.unite(&self.cut);
        self.cut = Bounds::EMPTY;
        self.included = None;
        if is_moved {
            (self.is_of_zero, self.has_other_zero) = (false, true);
            return;
        }
        let first = *self.first_zero.get_or_insert((system, is_named));
        self.is_of_zero = first == (system, is_named);
        self.has_other_zero |= !self.is_of_zero;
    }

    fn spindle(&mut self, is_turning: bool) {
        self.is_turning = is_turning;
    }

    fn machine_move(&mut self, machine_move: &MachineMove) {
        self.line = machine_move.line;
        self.look_at_machine_move(machine_move);
    }

    fn tool_change(&mut self, line: u64) {
        self.line = line;
        if let Some([x, y, z]) = self.last
            && z < self.stock.z_mm + CHANGE_CLEARANCE_MM
            && (-self.radius_mm..=self.stock.x_mm + self.radius_mm).contains(&x)
            && (-self.radius_mm..=self.stock.y_mm + self.radius_mm).contains(&y)
        {
            let above = z - self.stock.z_mm;
            let level = if above < -RAPID_HAIR_MM {
                Level::Stop
            } else {
                Level::Warn
            };
            self.find_at(&rules::TOOL_CHANGE_LOW, level, level as u64, || {
                if above < 0.0 {
                    format!(
                        "The tool is changed {:.1} mm below the top of the blank, in it.",
                        -above
                    )
                } else {
                    format!(
                        "The tool is changed {above:.1} mm above the top of the blank, over it."
                    )
                }
            });
        }
    }
}
