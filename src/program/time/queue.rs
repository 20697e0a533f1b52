//! Look-ahead with bounded memory.
//!
//! In the square of the speed every constraint is linear, so a backward and a forward sweep give the
//! greatest speeds at once. A vertex is final when the blocks behind it are long enough to stop in
//! from the highest speed among them: nothing later can reach it.

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
}

/// Blocks between two stops.
#[derive(Clone, Debug, Default)]
pub struct Queue {
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
    /// Adds a block whose beginning may be passed at `entry` at most.
    pub fn push(&mut self, length: f64, ramp: Ramp, cap: f64, entry: f64) {
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
        });
        if self.stops >= self.sweep_at.max(2.0) || self.blocks.len() >= MOST_BLOCKS {
            self.commit();
        }
    }

    /// Runs what is final.
    fn commit(&mut self) {
        let is_full = self.blocks.len() >= MOST_BLOCKS;
        // Optimistic at the newest end, unless the queue is full.
        let mut behind = self
            .blocks
            .back()
            .map_or(0.0, |last| if is_full { 0.0 } else { last.cap });
        let mut stops = 0.0;
        let mut last_final = None;
        let v_max = self.v_max;
        for (i, block) in self.blocks.iter_mut().enumerate().rev() {
            block.v = block
                .entry
                .min(block.cap)
                .min(block.ramp.reach(behind, block.length));
            behind = block.v;
            stops += block.length / block.ramp.stop_mm(v_max);
            if stops >= 1.0 && last_final.is_none() {
                last_final = Some(i);
            }
        }
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
        let mut behind = 0.0;
        for block in self.blocks.iter_mut().rev() {
            block.v = block
                .entry
                .min(block.cap)
                .min(block.ramp.reach(behind, block.length));
            behind = block.v;
        }
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
            queue.push(length, ramp, cap, entry);
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
