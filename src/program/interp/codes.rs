//! The codes of one line sorted into what they set, with their conflicts.

use crate::program::code;
use crate::program::code::Group;
use crate::program::finding::Level;
use crate::program::interp::At;
use crate::program::interp::FeedMode;
use crate::program::interp::Machine;
use crate::program::rules;
use crate::program::word::Block;
use crate::program::word::bit;

/// What the G and M codes of a line ask for.
#[derive(Clone, Copy, Debug, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "one a code that only acts on its line"
)]
pub struct Codes {
    /// Motion code in tenths.
    pub motion: Option<i32>,
    /// G80 beside another motion code.
    pub also_g80: bool,
    pub plane: Option<i32>,
    pub absolute: Option<bool>,
    pub absolute_centres: Option<bool>,
    pub feed_mode: Option<FeedMode>,
    /// 200 inch, 210 mm.
    pub units: Option<i32>,
    pub radius: Option<i32>,
    pub length: Option<i32>,
    pub initial_return: Option<bool>,
    pub system: Option<usize>,
    pub path: bool,
    pub has_dwell: bool,
    pub has_g53: bool,
    /// G10, G28, G30, G92 and its kin, in tenths.
    pub frame: Option<i32>,
    /// A code that is not followed.
    pub has_unknown_g: bool,
    pub has_unknown_m: bool,
    pub has_m6: bool,
    /// 3, 4 or 5.
    pub spindle: Option<u32>,
    /// M5 or M9 with the column.
    pub off: Option<(u32, u16)>,
    /// 0, 1, 2, 30 or 60.
    pub stop: Option<u32>,
    /// 98 or 99.
    pub subprogram: Option<u32>,
}

impl Codes {
    /// Sorts the codes of a line.
    pub(super) fn collect(machine: &mut Machine<'_>, b: &Block, at: At<'_>) -> Self {
        let mut codes = Self::default();
        let mut groups = 0_u16;
        for &(tenths, column) in b.g() {
            let place = at.column(u32::from(column));
            let Some(group) = code::g_group(tenths) else {
                codes.unknown_g(machine, tenths, column, at);
                continue;
            };
            let units_elsewhere = matches!(tenths, 700 | 710) && machine.has_g20_or_g21();
            if units_elsewhere {
                codes.unknown_g(machine, tenths, column, at);
                continue;
            }
            if groups & group.bit() != 0 {
                let before = b
                    .g()
                    .iter()
                    .find(|(t, _)| code::g_group(*t) == Some(group))
                    .map_or(tenths, |(t, _)| *t);
                let ends_cycle =
                    group == Group::Motion && (tenths == 800 || before == 800) && tenths != before;
                let level = if ends_cycle {
                    Level::Note
                } else if before == tenths || !group.is_geometric() {
                    Level::Warn
                } else {
                    Level::Stop
                };
                machine
                    .findings
                    .add_at(&rules::SAME_MODAL_GROUP, level, place, tenths as u64, || {
                        let (a, c) = (code::g_name(before), code::g_name(tenths));
                        if ends_cycle {
                            format!("{a} and {c} stand on one line; the cycle ends, then the motion runs.")
                        } else {
                            format!("{a} and {c} exclude each other on a line; the last one is taken.")
                        }
                    });
                if ends_cycle && tenths == 800 {
                    codes.also_g80 = true;
                    continue;
                }
                codes.also_g80 |= ends_cycle;
            }
            groups |= group.bit();
            codes.take_g(machine, group, tenths, at);
        }
        codes.take_m(machine, b, at);
        codes
    }

    fn unknown_g(&mut self, machine: &mut Machine<'_>, tenths: i32, column: u16, at: At<'_>) {
        self.has_unknown_g = true;
        machine.find(
            &rules::UNKNOWN_G_CODE,
            at.column(u32::from(column)),
            tenths as u64,
            || {
                let name = code::g_name(tenths);
                match tenths {
                    650 | 660 | 661 => format!("{name} calls a macro; its moves are not followed."),
                    700 | 710 => {
                        format!("{name} beside G20 or G21 is not read as units: elsewhere it is a cycle.")
                    }
                    510 | 511 => format!("{name} scales the program; this is not followed."),
                    680..=682 => format!("{name} turns the program; this is not followed."),
                    160 => format!("{name} is polar programming; this is not followed."),
                    520 => format!("{name} shifts the zero; this is not followed."),
                    _ => format!("{name} is not a code of this language; the axes it names are unknown after it."),
                }
            },
        );
    }

    fn take_g(&mut self, machine: &mut Machine<'_>, group: Group, tenths: i32, at: At<'_>) {
        match group {
            Group::Motion => self.motion = Some(tenths),
            Group::Plane => self.plane = Some(tenths),
            Group::Distance => self.absolute = Some(tenths == 900),
            Group::ArcDistance => self.absolute_centres = Some(tenths == 901),
            Group::FeedMode => {
                self.feed_mode = Some(match tenths {
                    930 => FeedMode::InverseTime,
                    950 => FeedMode::PerTurn,
                    _ => FeedMode::PerMinute,
                });
            }
            Group::Units => {
                if matches!(tenths, 700 | 710) {
                    machine.find(&rules::G70_G71_UNITS, at.whole(), tenths as u64, || {
                        let name = code::g_name(tenths);
                        format!("{name} is taken as the unit, since neither G20 nor G21 is stated.")
                    });
                }
                self.units = Some(if matches!(tenths, 200 | 700) {
                    200
                } else {
                    210
                });
            }
            Group::Radius => self.radius = Some(tenths),
            Group::Length => self.length = Some(tenths),
            Group::Return => self.initial_return = Some(tenths == 980),
            Group::System => self.system = code::system(tenths),
            Group::Path => self.path = true,
            Group::Harmless => {}
            Group::Once => {
                match tenths {
                    40 => self.has_dwell = true,
                    530 => self.has_g53 = true,
                    _ => {
                        if let Some(other) = self.frame.filter(|other| *other != tenths) {
                            machine.find(&rules::SAME_MODAL_GROUP, at.whole(), tenths as u64, || {
                            let (a, c) = (code::g_name(other), code::g_name(tenths));
                            format!("{a} and {c} both want the axes of the line; the last one is taken.")
                        });
                        }
                        self.frame = Some(tenths);
                    }
                }
            }
        }
    }

    fn take_m(&mut self, machine: &mut Machine<'_>, b: &Block, at: At<'_>) {
        if b.m_words > 4 {
            let words = b.m_words;
            machine.find(&rules::TOO_MANY_M_WORDS, at.whole(), 0, || {
                format!("{words} M codes stand on one line; many controls take fewer.")
            });
        }
        let mut groups = 0_u8;
        for &(m, column) in b.m() {
            let place = at.column(u32::from(column));
            let Some(group) = code::m_group(m) else {
                self.has_unknown_m = true;
                machine.find(&rules::UNKNOWN_M_CODE, place, u64::from(m), || {
                    format!("M{m} is not a code of this language; it is taken to move nothing.")
                });
                continue;
            };
            if groups & group != 0 {
                machine
                    .findings
                    .add_at(&rules::SAME_MODAL_GROUP, Level::Warn, place, 10_000 + u64::from(m), || {
                        format!("M{m} and another M code exclude each other on a line; the last one is taken.")
                    });
            }
            groups |= group;
            match m {
                3..=5 => {
                    self.spindle = Some(m);
                    if m == 5 {
                        self.off = Some((m, column));
                    }
                }
                6 => self.has_m6 = true,
                // Both may run at once; M9 stops both.
                7 => machine.coolant[0] = true,
                8 => machine.coolant[1] = true,
                9 => {
                    machine.coolant = [false; 2];
                    self.off = self.off.or(Some((m, column)));
                }
                0 | 1 | 2 | 30 | 60 => self.stop = Some(m),
                98 | 99 => self.subprogram = Some(m),
                _ => {}
            }
        }
    }
}

impl Machine<'_> {
    /// Words that no code of the line uses (report, appendix A), and rotary words.
    pub(super) fn extra_words(&mut self, b: &Block, codes: &Codes, used: u32, at: At<'_>) {
        let mut extra = b.seen & !used;
        if extra == 0 {
            return;
        }
        for letter in [b'A', b'B', b'C'] {
            let Some(value) = b.get(letter) else { continue };
            extra &= !bit(letter);
            if codes.has_unknown_m {
                continue;
            }
            let level = if value == 0.0 {
                Level::Warn
            } else {
                Level::Stop
            };
            let place = at.column(b.column(letter));
            self.findings
                .add_at(&rules::ROTARY_AXIS, level, place, u64::from(letter), || {
                    let letter = char::from(letter);
                    format!("{letter} is a rotary axis; a mill with three axes has none. It is left out.")
                });
        }
        if codes.has_unknown_m || codes.has_unknown_g || codes.subprogram.is_some() {
            return;
        }
        let mut letter = b'A';
        while extra != 0 && letter <= b'Z' {
            if extra & bit(letter) != 0 {
                extra &= !bit(letter);
                let could_be_an_arc = matches!(letter, b'I' | b'J' | b'K' | b'R');
                let level = if could_be_an_arc {
                    Level::Stop
                } else {
                    Level::Warn
                };
                let place = at.column(b.column(letter));
                self.findings
                    .add_at(&rules::EXTRA_WORD, level, place, u64::from(letter), || {
                        let letter = char::from(letter);
                        format!("No code of the line uses the word {letter}; it is left out.")
                    });
            }
            letter += 1;
        }
    }
}
