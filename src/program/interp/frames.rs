//! Work systems, G92, machine moves, tool length and radius compensation.

use crate::program::arc::Plane;
use crate::program::code;
use crate::program::interp::At;
use crate::program::interp::Machine;
use crate::program::interp::Mode;
use crate::program::interp::codes::Codes;
use crate::program::interp::moves::AXES;
use crate::program::interp::moves::AXIS_BITS;
use crate::program::interp::moves::Target;
use crate::program::machine_z::MachineZ;
use crate::program::motion::Kind;
use crate::program::motion::MachineMove;
use crate::program::rules;
use crate::program::word::Block;
use crate::program::word::bit;

impl Machine<'_> {
    /// Recomputes the program's numbers for a new offset, the tool standing still.
    fn rebase(&mut self, axis: usize, offset: f64) {
        let machine = self.pos[axis] + self.offset[axis];
        self.offset[axis] = offset;
        self.pos[axis] = machine - offset;
    }

    /// G54 to G59.3.
    pub(super) fn set_system(&mut self, codes: &Codes, at: At<'_>) {
        let Some(system) = codes.system else { return };
        if self.is_compensated {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 2, || {
                "The work system changes while cutter compensation is on.".to_owned()
            });
        }
        if system == self.system {
            return;
        }
        self.system = system;
        self.section_break(at.line);
        for axis in 0..3 {
            if self.options.origins_mm.is_some() {
                self.rebase(axis, self.origins[system][axis] + self.g92[axis]);
            } else {
                self.known[axis] = false;
            }
        }
    }

    /// G41, G42, G40; returns the letters used.
    pub(super) fn set_compensation(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> u32 {
        if self.is_compensated && codes.units.is_some() {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 3, || {
                "The units change while cutter compensation is on.".to_owned()
            });
        }
        let Some(code) = codes.radius else { return 0 };
        if code == 400 {
            self.is_compensated = false;
            return 0;
        }
        let name = code::g_name(code);
        self.find(&rules::CUTTER_COMPENSATION, at.whole(), 0, || {
            format!("{name} turns cutter compensation on; the programmed path is read, not the real one.")
        });
        if self.is_compensated {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 0, || {
                "Cutter compensation is turned on while it is on.".to_owned()
            });
        }
        if self.plane != Plane::Xy {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 4, || {
                "Cutter compensation is turned on outside the XY plane.".to_owned()
            });
        }
        if let Some(d) = b.get(b'D')
            && (d < 0.0 || d.fract().abs() > 1e-4 || d > 1e6)
        {
            self.find(
                &rules::COMPENSATION_ERROR,
                at.column(b.column(b'D')),
                6,
                || format!("D{d} is no number of a tool."),
            );
        }
        self.is_compensated = true;
        self.tally.compensated();
        bit(b'D')
    }

    /// G43, G49; returns the letters used.
    pub(super) fn set_length(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> u32 {
        let Some(code) = codes.length else { return 0 };
        if code == 490 {
            if self.h.is_some() {
                self.new_length(None, 0.0, true, at);
            }
            return bit(b'H');
        }
        let Some(h) = b.get(b'H') else {
            self.find(&rules::MISSING_H, at.whole(), 0, || {
                "G43 has no H: which tool length applies is not known.".to_owned()
            });
            self.new_length(self.tool, 0.0, false, at);
            return 0;
        };
        if h < 0.0 || (h - h.round()).abs() > 1e-4 || h > 1e6 {
            self.find(&rules::BAD_H, at.column(b.column(b'H')), 0, || {
                format!("H{h} is no number of a tool length.")
            });
            self.new_length(None, 0.0, false, at);
            return bit(b'H');
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and a million"
        )]
        let number = h.round() as u32;
        if number == 0 {
            self.new_length(Some(0), 0.0, true, at);
            return bit(b'H');
        }
        let length = match &self.options.tool_lengths_mm {
            Some(table) => table.get(&number).copied(),
            None => None,
        };
        if length.is_none() {
            let has_table = self.options.tool_lengths_mm.is_some();
            let level = Self::unstated(has_table);
            self.findings.add_at(
                &rules::TOOL_LENGTH_UNKNOWN,
                level,
                at.whole(),
                if has_table { u64::from(number) } else { 0 },
                || {
                    if has_table {
                        format!("The length table has no entry for H{number}; taken as 0.")
                    } else {
                        "Tool lengths (G43 H) come from the control's tool table.".to_owned()
                    }
                },
            );
        }
        let is_known = length.is_some() || self.options.tool_lengths_mm.is_some();
        if self.h != Some(number) || is_known {
            self.new_length(Some(number), length.unwrap_or(0.0), is_known, at);
        }
        bit(b'H')
    }

    /// The controlled point moves along Z when another length applies, without a motion.
    fn new_length(&mut self, h: Option<u32>, length_mm: f64, is_known: bool, at: At<'_>) {
        self.note_lowest();
        self.lengths.set(at.line, h.is_some());
        if is_known && self.options.tool_lengths_mm.is_some() {
            self.pos[2] -= length_mm - self.length_mm;
            self.length_mm = length_mm;
        } else {
            if self.known[2] {
                self.kept_z = Some(self.pos[2]);
            }
            self.known[2] = false;
        }
        self.h = h;
    }

    /// G10, G28, G30, G92 and its kin; returns the letters used.
    pub(super) fn frame(&mut self, b: &Block, code: i32, at: At<'_>) -> u32 {
        match code {
            100 => self.set_origin(b, at),
            280 | 300 => {
                self.reference(b, code, at);
                AXIS_BITS
            }
            920 => {
                self.name_place(b, at);
                AXIS_BITS
            }
            _ => {
                self.g92_again(code, at);
                0
            }
        }
    }

    fn set_origin(&mut self, b: &Block, at: At<'_>) -> u32 {
        let used = AXIS_BITS | bit(b'L') | bit(b'P') | bit(b'R');
        let system = b
            .get(b'P')
            .filter(|p| (p - p.round()).abs() <= 1e-4 && (1.0..=9.0).contains(&p.round()));
        let (Some(2.0), Some(system)) = (b.get(b'L'), system) else {
            self.find(&rules::BAD_G10, at.whole(), 0, || {
                "G10 is not L2 with P from 1 to 9: what it sets is not followed.".to_owned()
            });
            for (axis, letter) in AXES.into_iter().enumerate() {
                if b.get(letter).is_some() {
                    self.known[axis] = false;
                }
            }
            return used;
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 1 and 9"
        )]
        let system = system.round() as usize - 1;
        let name = code::system_name(system);
        self.find(&rules::G10_ORIGIN, at.whole(), system as u64, || {
            format!("G10 moves the zero of {name} from within the program.")
        });
        if self.options.origins_mm.is_none() && self.moved.iter().all(|(moved, _)| *moved != system)
        {
            self.moved.push((system, at.line));
        }
        if system == self.system && self.tally.has_moved() {
            self.section_break(at.line);
        }
        if system == self.system {
            self.tell_zero();
        }
        for (axis, letter) in AXES.into_iter().enumerate() {
            let Some(value) = b.get(letter) else { continue };
            self.origins[system][axis] = value * self.unit_mm;
            if system != self.system {
                continue;
            }
            if self.options.origins_mm.is_some() {
                self.rebase(axis, self.origins[system][axis] + self.g92[axis]);
            } else {
                self.known[axis] = false;
            }
        }
        used
    }

    fn name_place(&mut self, b: &Block, at: At<'_>) {
        if self.is_compensated {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 7, || {
                "G92 stands while cutter compensation is on.".to_owned()
            });
        }
        if b.seen & AXIS_BITS == 0 {
            self.find(&rules::G92_NO_AXES, at.whole(), 0, || {
                "G92 names no axis; it is left out.".to_owned()
            });
            return;
        }
        self.find(&rules::G92_OFFSET, at.whole(), 0, || {
            "G92 gives the tool's present place a new name: the zero moves, and stays moved after the program."
                .to_owned()
        });
        self.has_g92 = true;
        let gets_another = |axis: usize| {
            let value = b.get(AXES[axis]).map(|value| value * self.unit_mm);
            self.known[axis] && value.is_some_and(|value| (value - self.pos[axis]).abs() > 1e-6)
        };
        if (0..3).any(gets_another) && self.options.origins_mm.is_none() {
            self.named_line.get_or_insert(at.line);
        }
        if self.tally.has_moved() {
            self.section_break(at.line);
        }
        for (axis, letter) in AXES.into_iter().enumerate() {
            let Some(value) = b.get(letter) else { continue };
            let value = value * self.unit_mm;
            if self.known[axis] {
                // The offset by which the numbers shift; the place stays (3.5.18).
                let shift = self.pos[axis] - value;
                self.g92[axis] += shift;
                self.offset[axis] += shift;
            }
            self.pos[axis] = value;
            self.known[axis] = true;
        }
        self.g92_saved = self.g92;
        self.tell_zero();
    }

    fn g92_again(&mut self, code: i32, at: At<'_>) {
        if code == 923 {
            self.find(&rules::G92_OFFSET, at.whole(), 0, || {
                "G92.3 brings back an offset from before.".to_owned()
            });
        }
        if self.tally.has_moved() && self.has_g92 {
            self.section_break(at.line);
        }
        let wanted = if code == 923 {
            self.g92_saved
        } else {
            [0.0; 3]
        };
        let is_relation_known = self.options.origins_mm.is_some();
        for (axis, wanted) in wanted.into_iter().enumerate() {
            let shift = wanted - self.g92[axis];
            if self.has_g92 && !is_relation_known && code != 923 && shift == 0.0 {
                // The place was named while it was unknown: the old numbers cannot be had back.
                self.known[axis] = false;
            }
            self.rebase(axis, self.offset[axis] + shift);
        }
        self.g92 = wanted;
        if code == 921 {
            self.g92_saved = [0.0; 3];
        }
        self.has_g92 = code == 923;
        if code != 923 {
            self.named_line = None;
        } else if wanted != [0.0; 3] && !is_relation_known {
            self.named_line.get_or_insert(at.line);
        }
        self.tell_zero();
    }

    /// G28 and G30: by way of the point given to the machine's reference point.
    fn reference(&mut self, b: &Block, code: i32, at: At<'_>) {
        if self.is_compensated {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 8, || {
                "The tool goes to a reference point while cutter compensation is on.".to_owned()
            });
        }
        let name = code::g_name(code);
        let point = if code == 280 {
            self.options.g28_mm
        } else {
            self.options.g30_mm
        };
        self.find(&rules::MACHINE_POSITION_UNKNOWN, at.whole(), code as u64, || {
            format!("{name} goes to a point stored in the machine: where it lies is not in the program.")
        });
        if b.seen & AXIS_BITS != 0 {
            let target = self.target(b);
            self.note_units(at);
            self.go(Kind::Rapid, target, None, at);
        }
        let has_frame = self.options.origins_mm.is_some();
        let named = (b.seen | b.unreadable | b.bare) & AXIS_BITS;
        // Bare letters name the axes that go; the report, which wants numbers, sends all of them (3.5.8).
        let stays = AXES.map(|letter| b.bare != 0 && named & bit(letter) == 0);
        if named == 0 || named & bit(b'Z') != 0 {
            self.tally.machine_z(MachineZ {
                line: at.line,
                code,
                to_mm: None,
            });
        }
        let target = match point.filter(|_| has_frame) {
            Some(point) => Target {
                pos: std::array::from_fn(|axis| {
                    if stays[axis] {
                        self.pos[axis]
                    } else {
                        point[axis] - self.offset[axis]
                    }
                }),
                known: std::array::from_fn(|axis| !stays[axis] || self.known[axis]),
            },
            None => {
                let axes = AXES.map(|letter| named == 0 || named & bit(letter) != 0);
                self.leave_for_machine(code, axes, at);
                Target {
                    pos: self.pos,
                    known: std::array::from_fn(|axis| stays[axis] && self.known[axis]),
                }
            }
        };
        self.go(Kind::Rapid, target, None, at);
    }

    /// The tool goes to a place that only the machine knows, along these axes: the report has all of them move behind a
    /// G28 (3.5.8), most controls only those that are named, and those are looked at here.
    fn leave_for_machine(&mut self, code: i32, axes: [bool; 3], at: At<'_>) {
        let mut from_mm = std::array::from_fn(|axis| self.known[axis].then(|| self.pos[axis]));
        from_mm[2] = from_mm[2].or(self.kept_z);
        if axes[2] {
            self.kept_z = None;
        }
        if !axes[0] && !axes[1] {
            return;
        }
        let machine_move = MachineMove {
            line: at.line,
            code,
            axes,
            from_mm,
            cuts_from_mm: self.tally.cut_from_mm(),
        };
        self.tally.machine_move(&machine_move);
        self.tell(|fold| fold.machine_move(&machine_move));
    }

    /// G53: one straight move in machine coordinates. Returns the letters used.
    pub(super) fn machine_move(&mut self, b: &Block, codes: &Codes, at: At<'_>) -> u32 {
        if self.is_compensated {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 9, || {
                "G53 stands while cutter compensation is on.".to_owned()
            });
        }
        let axes = (b.seen | b.unreadable) & AXIS_BITS;
        if axes == 0 {
            self.find(&rules::G53_NO_AXES, at.whole(), 0, || {
                "G53 names no axis; it is left out.".to_owned()
            });
            return AXIS_BITS;
        }
        let is_straight = matches!(self.mode, Mode::Rapid | Mode::Feed);
        if !is_straight {
            self.find(&rules::G53_WITHOUT_G0_G1, at.whole(), 0, || {
                "G53 stands without G0 or G1; taken as a rapid.".to_owned()
            });
        }
        self.find(&rules::MACHINE_POSITION_UNKNOWN, at.whole(), 530, || {
            "G53 counts from the machine's own zero: where that lies is not in the program."
                .to_owned()
        });
        if axes & bit(b'Z') != 0 {
            self.tally.machine_z(MachineZ {
                line: at.line,
                code: 530,
                to_mm: b.get(b'Z').map(|z| z * self.unit_mm),
            });
        }
        let has_frame = self.options.origins_mm.is_some();
        let mut target = Target {
            pos: self.pos,
            known: self.known,
        };
        for (axis, letter) in AXES.into_iter().enumerate() {
            if axes & bit(letter) == 0 {
                continue;
            }
            match b.get(letter).filter(|_| has_frame) {
                Some(value) => {
                    target.pos[axis] = value * self.unit_mm - self.offset[axis];
                    target.known[axis] = true;
                }
                None => target.known[axis] = false,
            }
        }
        self.note_units(at);
        let is_feed = self.mode == Mode::Feed && codes.motion != Some(0);
        if !has_frame && !is_feed {
            self.leave_for_machine(530, AXES.map(|letter| axes & bit(letter) != 0), at);
        }
        if is_feed {
            self.cut_line(target, at);
        } else {
            self.go(Kind::Rapid, target, None, at);
        }
        AXIS_BITS
    }

    /// Settings that reach the work systems (3.2.1, table 2).
    pub(super) fn parameter_set(&mut self, index: usize, value: f64, at: At<'_>) {
        match index {
            5220 if !(1.0..=9.0).contains(&value) || value.fract() != 0.0 => {
                self.find(&rules::BAD_WORK_SYSTEM, at.whole(), 0, || {
                    format!("Parameter 5220 is set to {value}; work systems count from 1 to 9.")
                });
            }
            5220 => {}
            5161..=5390 => {
                self.find(&rules::G10_ORIGIN, at.whole(), 100, || {
                    format!(
                        "Parameter {index} belongs to the machine's offsets; the program sets it."
                    )
                });
            }
            _ => {}
        }
    }
}
