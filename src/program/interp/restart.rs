//! Blocks before a line at which the tool stands clear, with what was in force there.

use std::collections::VecDeque;

use crate::program::interp::At;
use crate::program::interp::FeedMode;
use crate::program::interp::Machine;
use crate::program::interp::Mode;
use crate::program::section::Turning;
use crate::program::summary::RestartPoint;

/// Points kept.
const MOST: usize = 5;
/// How far below the highest place so far a block still counts as clear, mm.
const CLEAR_MM: f64 = 1e-3;

/// Keeps the last clear blocks before a line.
#[derive(Debug, Default)]
pub struct Restart {
    points: VecDeque<RestartPoint>,
    pub is_after_rapid: bool,
    /// Whether a subprogram or a loop runs.
    pub is_inside: bool,
}

impl Restart {
    /// The points, last first.
    pub fn points(self) -> Vec<RestartPoint> {
        self.points.into_iter().rev().collect()
    }
}

impl Machine<'_> {
    /// Keeps the state before a block when the tool stands at clearance height.
    pub(super) fn keep_restart(&mut self, at: At<'_>) {
        let Some(line) = self.options.restart_line else {
            return;
        };
        if at.line > line || !self.known[2] || self.restart.is_inside {
            return;
        }
        let motion = match self.mode {
            Mode::None => "",
            Mode::Rapid => "G0",
            Mode::Feed => "G1",
            Mode::ArcCw => "G2",
            Mode::ArcCcw => "G3",
            // In the middle of a cycle nobody can set by hand all that it keeps.
            Mode::Cycle(_) | Mode::Probe => return,
        };
        let z = self.pos[2];
        // Clearance is where the section begins its first cut from, or above.
        let least = self.tally.cut_from_mm();
        if !self.restart.is_after_rapid || least.is_some_and(|least| z < least - CLEAR_MM) {
            return;
        }
        if self.restart.points.len() == MOST {
            self.restart.points.pop_front();
        }
        self.restart.points.push_back(RestartPoint {
            line: at.line,
            at_mm: std::array::from_fn(|axis| self.known[axis].then(|| self.pos[axis])),
            units: self.units,
            is_absolute: self.is_absolute,
            plane: self.plane,
            feed_mode: match self.feed_mode {
                FeedMode::PerMinute => "G94",
                FeedMode::InverseTime => "G93",
                FeedMode::PerTurn => "G95",
            },
            motion,
            work_system: self.system,
            tool: self.tool.or(self.pending_tool),
            h: self.h,
            s_rpm: self.speed.filter(|_| self.turning != Turning::Stopped),
            turning: self.turning,
            coolant: self.coolant,
            feed_mm_min: self.feed.filter(|_| self.feed_mode == FeedMode::PerMinute),
        });
    }
}
