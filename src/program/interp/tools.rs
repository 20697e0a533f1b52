//! Feed, speed, tool, spindle and dwell.

use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::interp::At;
use crate::program::interp::FeedMode;
use crate::program::interp::MM_PER_INCH;
use crate::program::interp::MOST_LISTED;
use crate::program::interp::Machine;
use crate::program::interp::Mode;
use crate::program::interp::Selected;
use crate::program::interp::codes::Codes;
use crate::program::rules;
use crate::program::section::Turning;
use crate::program::summary::Units;
use crate::program::word::Block;
use crate::program::word::bit;

/// Dwell from which P may be meant in milliseconds, s.
const SUSPICIOUS_DWELL_S: f64 = 60.0;

impl Machine<'_> {
    pub(super) fn feed_mode(&mut self, codes: &Codes) {
        if let Some(mode) = codes.feed_mode
            && mode != self.feed_mode
        {
            self.feed_mode = mode;
            // Whether the number lives on is not said: the next feed move needs its own F.
            self.feed = None;
        }
    }

    /// Sets the units of a line; returns whether they change what an F meant.
    pub(super) fn set_units(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> bool {
        let Some(code) = codes.units else {
            return false;
        };
        let (units, unit_mm) = if code == 200 {
            (Units::Inch, MM_PER_INCH)
        } else {
            (Units::Mm, 1.0)
        };
        let was_stated = self.units != Units::AssumedMm;
        let changes = unit_mm != self.unit_mm;
        if changes && (self.feed.is_some() || (was_stated && b.get(b'F').is_some())) {
            self.find(&rules::FEED_BEFORE_UNIT_CHANGE, at.whole(), 0, || {
                "The units change after an F: controls differ whether the feed changes with them; \
                 taken as the same feed."
                    .to_owned()
            });
        }
        if changes && self.units_of_first_move.is_some() {
            self.find(&rules::UNITS_MIXED, at.whole(), 0, || {
                "The units change within the program.".to_owned()
            });
        }
        if self.units != units {
            // What a comment says of the tool is in the unit in force.
            self.is_tool_announced = false;
        }
        self.units = units;
        self.unit_mm = unit_mm;
        changes && was_stated
    }

    /// Whether G20 or G21 was met.
    pub(super) fn has_g20_or_g21(&self) -> bool {
        self.units != Units::AssumedMm
    }

    pub(super) fn set_feed(&mut self, b: &Block, at: At<'_>, units_changed: bool) {
        let Some(value) = b.get(b'F') else {
            if self.feed_mode == FeedMode::InverseTime {
                self.feed = None;
            }
            return;
        };
        if value < 0.0 {
            self.find(&rules::NEGATIVE_FEED, at.column(b.column(b'F')), 0, || {
                format!("F{value} is negative; the feed is left as it was.")
            });
            return;
        }
        let scale = match (self.feed_mode, units_changed) {
            (FeedMode::InverseTime, _) => 1.0,
            // F acts before the units of its line (table 8).
            (_, true) if self.units == Units::Inch => 1.0,
            (_, true) => MM_PER_INCH,
            (_, false) => self.unit_mm,
        };
        self.feed = Some(value * scale);
    }

    pub(super) fn set_speed(&mut self, b: &Block, codes: &Codes, at: At<'_>) {
        // In a dwell an S is a number of turns, and behind an unknown M code it is unknown.
        let Some(value) = b.get(b'S').filter(|_| !codes.has_dwell) else {
            return;
        };
        if value < 0.0 {
            self.find(&rules::NEGATIVE_SPEED, at.column(b.column(b'S')), 0, || {
                format!("S{value} is negative; the speed is left as it was.")
            });
            return;
        }
        self.speed = Some(value);
        self.tell_spindle();
        if self.turning != Turning::Stopped && value > 0.0 {
            self.tally.speed(value);
        }
    }

    pub(super) fn select_tool(&mut self, b: &Block, at: At<'_>) {
        let Some(value) = b.get(b'T') else { return };
        let place = at.column(b.column(b'T'));
        if value < 0.0 {
            self.find(&rules::NEGATIVE_TOOL, place, 0, || {
                format!("T{value} is negative; it is left out.")
            });
            return;
        }
        let whole = value.round();
        if (value - whole).abs() > 1e-4 || whole > 1e9 {
            self.find(&rules::NOT_INTEGER, place, u64::from(b'T'), || {
                format!("T{value} is not a whole number; it is left out.")
            });
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 1e9"
        )]
        let tool = whole as u32;
        if self.pending_tool != Some(tool) && self.has_cut_with_another() {
            self.tool_not_changed(Level::Warn);
        }
        if self.tool.is_none() && self.pending_tool != Some(tool) {
            self.lengths.changed();
        }
        self.pending_tool = Some(tool);
        self.t_without_change = self.tool != Some(tool);
        self.tally.t_line = at.line;
        let cuts = self.tally.cuts();
        self.selected = Selected {
            is_after_cuts: cuts > self.cuts_at_change,
            cuts,
        };
    }

    /// Whether a tool was named after cuts with another, never changed to, and more was cut then. One that is
    /// named right behind a change, before its cuts, is only made ready.
    fn has_cut_with_another(&self) -> bool {
        self.t_without_change
            && self.selected.is_after_cuts
            && self.tally.cuts() > self.selected.cuts
    }

    /// At the end: a T that no M6 came for.
    pub(super) fn look_at_last_tool(&mut self) {
        if !self.t_without_change {
            return;
        }
        let is_made_ready = self.has_changed_tool && !self.has_cut_with_another();
        self.tool_not_changed(if is_made_ready {
            Level::Note
        } else {
            Level::Warn
        });
    }

    fn tool_not_changed(&mut self, level: Level) {
        let tool = self.pending_tool.unwrap_or_default();
        let place = Place {
            line: self.tally.t_line,
            ..Place::FILE
        };
        let cut_with = self.tool.filter(|_| self.has_cut_with_another());
        self.findings
            .add_at(&rules::TOOL_SELECTED_NOT_CHANGED, level, place, u64::from(tool), || {
                let how = "some controls change at once, others never";
                match cut_with {
                    Some(other) => format!("T{tool} is named and no M6 follows: {how}. The cuts behind it run with T{other} here."),
                    None => format!("T{tool} is never followed by M6: {how}."),
                }
            });
    }

    pub(super) fn change_tool(&mut self, at: At<'_>) {
        self.has_changed_tool = true;
        let cuts = self.tally.cuts();
        if self
            .comment_change
            .as_ref()
            .is_some_and(|change| change.cuts == cuts)
        {
            // The stop was for this change.
            self.comment_change = None;
        }
        self.cuts_at_change = self.tally.cuts();
        self.t_without_change = false;
        if let Some(tool) = self.pending_tool {
            if self.tally.tools.len() < MOST_LISTED {
                self.tally.tools.push(tool);
            }
            self.tool = Some(tool);
        } else {
            self.find(&rules::TOOL_CHANGE_WITHOUT_TOOL_WORD, at.whole(), 0, || {
                "M6 changes the tool, but no T says to which.".to_owned()
            });
        }
        self.lengths.changed();
        // The spindle is stopped after a change (3.6.3).
        self.set_turning(Turning::Stopped);
        self.halt();
        self.tell(|fold| fold.tool_change(at.line));
        self.section_break(at.line);
        if let Some(planner) = self.planner.as_mut() {
            planner.tool_change();
        }
    }

    fn set_turning(&mut self, turning: Turning) {
        self.turning = turning;
        self.tell_spindle();
    }

    /// A spindle that is started with S0 does not turn; without any S it turns as fast as it is set by hand.
    fn tell_spindle(&mut self) {
        let is_turning = self.turning != Turning::Stopped && self.speed != Some(0.0);
        self.tell(|fold| fold.spindle(is_turning));
    }

    pub(super) fn turn_spindle(&mut self, codes: &Codes) {
        match codes.spindle {
            Some(3) => self.set_turning(Turning::Clockwise),
            Some(4) => self.set_turning(Turning::Counterclockwise),
            Some(5) => self.set_turning(Turning::Stopped),
            _ => return,
        }
        self.is_off_by_m5 = self.turning == Turning::Stopped;
        if self.turning != Turning::Stopped
            && let Some(planner) = self.planner.as_mut()
        {
            planner.spindle_start();
        }
        if self.turning != Turning::Stopped
            && let Some(speed) = self.speed.filter(|s| *s > 0.0)
        {
            self.tally.speed(speed);
        }
    }

    /// G4; returns the letters it uses.
    pub(super) fn dwell(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> u32 {
        let has_motion = codes.motion.is_some() || self.mode_is_motion();
        let mut used = bit(b'P') | bit(b'S') | bit(b'U');
        let seconds = if let Some(p) = b.get(b'P') {
            p
        } else {
            // X in a dwell is a time elsewhere, not a place.
            let x = b.get(b'X');
            if x.is_some() || !has_motion {
                used |= bit(b'X');
            }
            self.find(&rules::DWELL_MISSING_P, at.whole(), 0, || match x {
                Some(x) => {
                    format!("G4 has X{x} and no P; taken as a dwell of {x} seconds, not as a move.")
                }
                None => "G4 has no P: how long it dwells is not known.".to_owned(),
            });
            x.unwrap_or(0.0)
        };
        if seconds < 0.0 {
            self.find(&rules::DWELL_NEGATIVE, at.whole(), 0, || {
                format!("The dwell of {seconds} seconds is negative; it is left out.")
            });
            return used;
        }
        self.look_at_dwell(seconds, at);
        self.tell_dwell(seconds);
        used
    }

    /// A dwell so long that milliseconds may be meant.
    pub(super) fn look_at_dwell(&mut self, seconds: f64, at: At<'_>) {
        if seconds >= SUSPICIOUS_DWELL_S {
            let short = seconds / 1000.0;
            self.find(&rules::DWELL_UNITS, at.whole(), 0, || {
                format!("A dwell P{seconds} is {seconds} s by the report, {short} s on controls that count milliseconds; taken as seconds.")
            });
        }
    }

    /// Looks before a cut whether feed and spindle are as a cut needs them.
    pub(super) fn look_before_cut(&mut self, at: At<'_>) {
        match self.feed_mode {
            FeedMode::PerMinute if self.feed.is_some_and(|f| f > 0.0) => {}
            FeedMode::PerMinute => {
                let is_zero = self.feed.is_some();
                self.find(&rules::FEED_MISSING, at.whole(), 0, || {
                    let what = if is_zero {
                        "The feed is zero in"
                    } else {
                        "No feed is set before"
                    };
                    format!("{what} this cut; its time is not counted.")
                });
            }
            FeedMode::InverseTime => {
                if self.feed.is_none_or(|f| f <= 0.0) {
                    self.find(&rules::INVERSE_TIME_FEED_MISSING, at.whole(), 0, || {
                        "Under G93 each feed line needs its own F.".to_owned()
                    });
                }
            }
            FeedMode::PerTurn => {
                if self.feed.is_none_or(|f| f <= 0.0) {
                    self.find(&rules::FEED_MISSING, at.whole(), 0, || {
                        "No feed is set before this cut; its time is not counted.".to_owned()
                    });
                } else if self.speed.is_none_or(|s| s <= 0.0) {
                    self.find(&rules::FEED_PER_REV_WITHOUT_SPEED, at.whole(), 0, || {
                        "A feed per turn has no speed to go with.".to_owned()
                    });
                }
                self.find(&rules::FEED_PER_REVOLUTION, at.whole(), 0, || {
                    "The feed is per turn (G95).".to_owned()
                });
            }
        }
        if self.is_off_by_m5 {
            self.find(&rules::CUT_AFTER_M5, at.whole(), 0, || {
                "A feed move runs after M5, and no M3 or M4 and no stop for the person stands between.".to_owned()
            });
        } else if self.turning == Turning::Stopped {
            self.find(&rules::SPINDLE_STOPPED, at.whole(), 0, || {
                "A feed move runs while the program has the spindle stopped.".to_owned()
            });
        } else if self.speed.is_none_or(|s| s <= 0.0) {
            self.find(&rules::SPINDLE_SPEED_MISSING, at.whole(), 0, || {
                "The spindle is started, but no S greater than zero is set.".to_owned()
            });
        }
        if self.units == Units::AssumedMm {
            self.units_not_stated(at);
        }
    }

    /// Notes the units of the first motion.
    pub(super) fn note_units(&mut self, at: At<'_>) {
        if self.units_of_first_move.is_none() {
            self.units_of_first_move = Some(self.units);
            self.units_not_stated(at);
        }
    }

    fn units_not_stated(&mut self, at: At<'_>) {
        if self.units == Units::AssumedMm && self.findings_lack_units() {
            self.find(&rules::UNITS_NOT_STATED, at.whole(), 0, || {
                "The tool moves before G20 or G21 is stated; read as mm.".to_owned()
            });
        }
    }

    fn findings_lack_units(&self) -> bool {
        !self.findings.has(&rules::UNITS_NOT_STATED)
    }

    /// Notes that M5 or M9 stands on a line with a motion.
    pub(super) fn look_at_order(&mut self, codes: &Codes, at: At<'_>) {
        if let Some((m, column)) = codes.off {
            // Before or after a rapid makes no cut with a stopped spindle.
            let level = if self.mode == Mode::Rapid {
                Level::Note
            } else {
                Level::Warn
            };
            self.findings.add_at(
                &rules::ORDER_OF_EXECUTION,
                level,
                at.column(u32::from(column)),
                u64::from(m),
                || format!("M{m} stands on a line with a move: it acts before it here, after it elsewhere."),
            );
        }
    }

    /// Level of a finding that only says what was not stated.
    pub(super) fn unstated(is_stated: bool) -> Level {
        if is_stated { Level::Warn } else { Level::Note }
    }

    pub(super) fn tell_dwell(&mut self, seconds: f64) {
        self.tally.dwell(seconds);
        if let Some(planner) = self.planner.as_mut() {
            planner.dwell(seconds);
        }
        self.tell(|fold| fold.dwell(seconds));
    }
}
