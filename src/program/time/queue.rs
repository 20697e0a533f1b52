//! Look-ahead with bounded memory.
//!
//! In the square of the speed every constraint is linear, so a backward and a forward sweep give the
//! greatest speeds at once. A vertex is final when the blocks behind it are long enough to stop in
//! from the highest speed among them: nothing later can reach it.
//!
//! A control that looks ahead by some blocks only passes a vertex no faster than it can stop within the
//! blocks that it sees behind it. This one bound more is enough: what lies beyond them would bind less,
//! and what lies within them the backward sweep knows already. Blocks without motion are not counted.

use std::collections::VecDeque;

use crate::program::time::kinematics::Ramp;

/// Longest time of one motion that is counted, s.
const LONGEST_S: f64 = 1e12;

/// Blocks held at most; beyond it the newest end is taken as a stop, which can only lengthen the time.
const MOST_BLOCKS: usize = 8192;

#[derive(Clone, Copy, Debug)]
struct Block {
    length: f64,
    ramp: Ramp,
    cap: f64,
    /// Greatest speed at its beginning by the corner there.
    entry: f64,
    /// Entry speed found by the backward sweep.
    v: f64,
    /// Lines of the program that it stands for, a part of one included.
    lines: f64,
}

/// What the control sees from a vertex on, while the sweep goes backward.
#[derive(Clone, Copy, Debug)]
struct Seen {
    /// Index behind the last block that is in it.
    far: usize,
    lines: f64,
    length: f64,
    /// Sum of acceleration by length.
    push: f64,
}

impl Seen {
    fn add(&mut self, block: &Block, share: f64) {
        self.lines += share * block.lines;
        self.length += share * block.length;
        self.push += share * block.ramp.a * block.length;
    }
}

/// Blocks between two stops.
#[derive(Clone, Debug, Default)]
pub struct Queue {
    /// Blocks of the program that the control sees; `None` for all.
    look_ahead: Option<f64>,
    blocks: VecDeque<Block>,
    /// Speed at the beginning of the first block.
    v: f64,
    v_max: f64,
    /// Sum of lengths in units of the distance to stop from `v_max`.
    stops: f64,
    /// Sum at which the next sweep is worth it.
    sweep_at: f64,
    seconds: f64,
    /// What summation has lost so far.
    lost: f64,
}

impl Queue {
    /// Empty, at rest, for a control that sees so many blocks of the program beyond the one it runs.
    pub fn new(look_ahead_blocks: Option<u32>) -> Self {
        Self {
            look_ahead: look_ahead_blocks.map(f64::from),
            ..Self::default()
        }
    }

    /// Whether lines of this length are too short for the control to see as far as it takes to stop from `cap`.
    pub fn sees_too_little(&self, line_mm: f64, ramp: Ramp, cap: f64) -> bool {
        self.look_ahead
            .is_some_and(|lines| lines * line_mm < ramp.stop_mm(cap))
    }

    /// Adds a block whose beginning may be passed at `entry` at most, and which stands for so many lines of the
    /// program.
    pub fn push(&mut self, length: f64, ramp: Ramp, cap: f64, entry: f64, lines: f64) {
        if cap > self.v_max {
            self.v_max = cap;
            self.stops = self
                .blocks
                .iter()
                .map(|b| b.length / b.ramp.stop_mm(cap))
                .sum();
        }
        self.stops += length / ramp.stop_mm(self.v_max);
        self.blocks.push_back(Block {
            length,
            ramp,
            cap,
            entry: entry.min(cap),
            v: 0.0,
            lines,
        });
        if self.stops >= self.sweep_at.max(2.0) || self.blocks.len() >= MOST_BLOCKS {
            self.commit();
        }
    }

    /// Finds the entry speeds from the newest end back, at whose end the speed is `behind`. Gives the last block
    /// whose entry no later one can reach.
    fn sweep(&mut self, mut behind: f64) -> Option<usize> {
        let mut stops = 0.0;
        let mut last_final = None;
        let mut seen = Seen {
            far: self.blocks.len(),
            lines: 0.0,
            length: 0.0,
            push: 0.0,
        };
        for i in (0..self.blocks.len()).rev() {
            let most = self
                .look_ahead
                .map_or(f64::INFINITY, |lines| self.seen_from(i, lines, &mut seen));
            let block = &mut self.blocks[i];
            block.v = block
                .entry
                .min(block.cap)
                .min(most)
                .min(block.ramp.reach(behind, block.length));
            behind = block.v;
            stops += block.length / block.ramp.stop_mm(self.v_max);
            if stops >= 1.0 && last_final.is_none() {
                last_final = Some(i);
            }
        }
        last_final
    }

    /// The greatest speed at the beginning of a block from which the control can stop within the lines that it
    /// sees from there on. No bound where they reach beyond the newest end: more blocks may come, and where
    /// none do, the sweep itself ends at rest.
    fn seen_from(&self, i: usize, lines: f64, seen: &mut Seen) -> f64 {
        seen.add(&self.blocks[i], 1.0);
        while seen.far > i + 1 && seen.lines - self.blocks[seen.far - 1].lines >= lines {
            seen.far -= 1;
            seen.add(&self.blocks[seen.far], -1.0);
        }
        let over = seen.lines - lines;
        if over < 0.0 {
            return f64::INFINITY;
        }
        let mut within = *seen;
        let last = &self.blocks[seen.far - 1];
        if over > 0.0 {
            within.add(last, -(over / last.lines).min(1.0));
        }
        let ramp = Ramp {
            a: within.push / within.length,
            jerk: last.ramp.jerk,
        };
        if within.length > 0.0 {
            ramp.reach(0.0, within.length)
        } else {
            f64::INFINITY
        }
    }

    /// Runs what is final.
    fn commit(&mut self) {
        let is_full = self.blocks.len() >= MOST_BLOCKS;
        // Optimistic at the newest end, unless the queue is full.
        let behind = self
            .blocks
            .back()
            .map_or(0.0, |last| if is_full { 0.0 } else { last.cap });
        let last_final = self.sweep(behind);
        let v_max = self.v_max;
        let last_final = if is_full {
            Some(self.blocks.len() / 2)
        } else {
            last_final
        };
        if let Some(last_final) = last_final {
            for _ in 0..last_final {
                self.run_first();
            }
            self.stops = 0.0;
            for block in &self.blocks {
                self.stops += block.length / block.ramp.stop_mm(v_max);
            }
        }
        self.sweep_at = self.stops + 1.0;
    }

    /// Runs the first block to the entry speed of the next one.
    fn run_first(&mut self) {
        let Some(block) = self.blocks.pop_front() else {
            return;
        };
        let wanted = self.blocks.front().map_or(0.0, |next| next.v);
        let v0 = self.v.min(block.cap);
        let v1 = wanted
            .min(block.cap)
            .min(block.ramp.reach(v0, block.length));
        let seconds = block.ramp.time_s(block.length, v0, v1, block.cap);
        self.add(seconds);
        self.v = v1;
    }

    /// Comes to rest at the end of the last block.
    pub fn rest(&mut self) {
        if self.blocks.is_empty() {
            self.v = 0.0;
            return;
        }
        self.sweep(0.0);
        while !self.blocks.is_empty() {
            self.run_first();
        }
        self.v = 0.0;
        self.v_max = 0.0;
        self.stops = 0.0;
        self.sweep_at = 0.0;
    }

    /// Adds seconds that are not of a block.
    pub fn add(&mut self, seconds: f64) {
        // Compensated summation: ten million blocks of 0.2 ms keep their digits.
        if seconds.is_nan() || seconds >= LONGEST_S {
            // Thirty thousand years, or no number: a slip in the program, and no time of a job.
            return;
        }
        let y = seconds - self.lost;
        let sum = self.seconds + y;
        self.lost = (sum - self.seconds) - y;
        self.seconds = sum;
    }

    /// Seconds so far; call [`Self::rest`] before.
    pub fn seconds(&self) -> f64 {
        self.seconds
    }

    /// Blocks held.
    pub fn len(&self) -> usize {
        self.blocks.len()
    }

    /// Whether no block is held.
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn committing_early_changes_nothing() {
        // The same blocks swept as a whole: plain two-pass over arrays.
        let ramp = Ramp {
            a: 150.0,
            jerk: None,
        };
        let blocks: Vec<(f64, f64, f64)> = (0..5000)
            .map(|i| {
                let x = f64::from(i);
                (
                    0.02 + 0.03 * (x * 0.7).sin().abs(),
                    20.0 + 30.0 * (x * 0.013).sin().abs(),
                    5.0 + 60.0 * (x * 0.031).sin().abs(),
                )
            })
            .collect();
        let n = blocks.len();
        let mut v = vec![0.0_f64; n + 1];
        for k in 1..n {
            v[k] = blocks[k].2.min(blocks[k].1).min(blocks[k - 1].1);
        }
        for k in (0..n).rev() {
            v[k] = v[k].min(ramp.reach(v[k + 1], blocks[k].0));
        }
        let mut expected = 0.0;
        for k in 0..n {
            v[k + 1] = v[k + 1].min(ramp.reach(v[k], blocks[k].0));
            expected += ramp.time_s(blocks[k].0, v[k], v[k + 1], blocks[k].1);
        }
        let mut queue = Queue::default();
        let mut deepest = 0;
        for (length, cap, entry) in blocks {
            queue.push(length, ramp, cap, entry, 1.0);
            deepest = deepest.max(queue.len());
        }
        queue.rest();
        assert!(
            (queue.seconds() - expected).abs() < 1e-9,
            "{} {expected}",
            queue.seconds()
        );
        assert!(deepest < 2000, "{deepest}");
    }
}
