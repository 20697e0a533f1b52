//! Arcs and helices, and what is wrong with them (NISTIR 6556, 3.5.3).

use crate::program::arc::Arc;
use crate::program::arc::Plane;
use crate::program::finding::Level;
use crate::program::interp::At;
use crate::program::interp::Machine;
use crate::program::interp::Mode;
use crate::program::interp::moves::AXIS_BITS;
use crate::program::interp::moves::Target;
use crate::program::motion::Kind;
use crate::program::rules;
use crate::program::summary::Units;
use crate::program::word::Block;
use crate::program::word::bit;

/// Letters of the centre offsets by axis.
const OFFSETS: [u8; 3] = *b"IJK";

/// Difference of radii that the report allows: 0.002 mm, 0.0002 in (3.5.3.2).
const TOLERANCE_MM: f64 = 0.002;
const TOLERANCE_IN: f64 = 0.0002;
/// Radius from which an arc is a line to within rounding, mm: over a metre it bends by 0.1 µm, and its
/// middle is no number to reckon with.
const FLATTEST_MM: f64 = 1e9;
/// Difference up to which the arc is taken as meant: rounding of machine-made programs.
const MEANT_MM: f64 = 0.005;

impl Machine<'_> {
    fn arc_tolerance_mm(&self) -> f64 {
        if self.units == Units::Inch {
            TOLERANCE_IN * self.unit_mm
        } else {
            TOLERANCE_MM
        }
    }

    /// G2 or G3; returns the letters used.
    pub(super) fn arc(&mut self, b: &Block, axes: u32, at: At<'_>) -> u32 {
        self.note_units(at);
        let [first, second, _] = self.plane.axes();
        let is_clockwise = self.mode == Mode::ArcCw;
        let used = AXIS_BITS | bit(b'I') | bit(b'J') | bit(b'K') | bit(b'R');
        let letters = [OFFSETS[first], OFFSETS[second]];
        self.look_at_plane(b, axes, at);
        let offsets = letters.map(|letter| b.get(letter));
        let has_centre = offsets.iter().any(Option::is_some);
        let radius = b.get(b'R');
        let plane_letters = [b'X' + first as u8, b'X' + second as u8];
        let has_end = plane_letters.iter().any(|letter| axes & bit(*letter) != 0);
        let target = self.target(b);
        if !self.is_ready_to_cut() {
            self.look_before_cut(at);
        }
        if !has_end && (has_centre || radius.is_none()) {
            self.find(&rules::ARC_NO_ENDPOINT, at.whole(), 0, || {
                "The arc has no end point; taken as a full circle.".to_owned()
            });
        }
        if !has_centre && radius.is_none() {
            self.find(&rules::ARC_NO_CENTRE, at.whole(), 0, || {
                "The arc has neither R nor a centre; taken as a straight line.".to_owned()
            });
            self.go(Kind::Feed, target, None, at);
            return used;
        }
        if has_centre && radius.is_some() {
            self.find(&rules::ARC_MIXED_FORMAT, at.whole(), 0, || {
                "The arc has both R and a centre; the centre is taken.".to_owned()
            });
        }
        let start_known = self.known[first] && self.known[second];
        let end_known = target.known[first] && target.known[second];
        if !start_known || !end_known {
            self.find(&rules::ARC_START_UNKNOWN, at.whole(), 0, || {
                "An arc begins or ends where the tool's place is not known; only its end is counted.".to_owned()
            });
            self.go(Kind::Arc, target, None, at);
            return used;
        }
        let from = [self.pos[first], self.pos[second]];
        let to = [target.pos[first], target.pos[second]];
        let arc = if has_centre {
            self.arc_by_centre(from, to, offsets, is_clockwise, at)
        } else {
            self.arc_by_radius(
                from,
                to,
                radius.unwrap_or_default() * self.unit_mm,
                is_clockwise,
                at,
            )
        };
        match arc {
            Some(arc) => self.go(Kind::Arc, target, Some(arc), at),
            None => self.go(Kind::Feed, target, None, at),
        }
        used
    }

    /// Words of an arc that the plane in force does not fit: another plane is meant.
    ///
    /// An offset of 0 along the normal is harmless beside both of the plane's own. Beside one of them, or where X and Y are
    /// named and neither Z nor K, the arc was written for another plane.
    fn look_at_plane(&mut self, b: &Block, axes: u32, at: At<'_>) {
        let [first, second, normal] = self.plane.axes();
        let own = [OFFSETS[first], OFFSETS[second]];
        let wrong = OFFSETS[normal];
        let has_both = own.iter().all(|letter| b.get(*letter).is_some());
        let is_flat = axes == bit(b'X') | bit(b'Y') && b.get(b'K').is_none();
        let is_xy = self.plane == Plane::Xy;
        let (level, what) = match b.get(wrong) {
            Some(value) if value != 0.0 => (Level::Stop, None),
            Some(_) if !has_both => (if is_xy { Level::Warn } else { Level::Stop }, None),
            None if is_flat && !is_xy => (Level::Stop, Some("names X and Y, and neither Z nor K")),
            _ => return,
        };
        let given: Vec<String> = OFFSETS
            .iter()
            .filter(|letter| b.get(**letter).is_some())
            .map(|letter| char::from(*letter).to_string())
            .collect();
        let what = match what {
            Some(what) => format!("{what}: it leaves the height that it starts from"),
            None => format!(
                "gives {}: {} is not used",
                given.join(" and "),
                char::from(wrong)
            ),
        };
        let plane = self.plane.word();
        let set = match self.plane_line {
            0 => "in force from the start".to_owned(),
            line => format!("line {line}"),
        };
        let place = at.column(b.column(wrong));
        self.findings.add_at(
            &rules::ARC_WRONG_PLANE_OFFSET,
            level,
            place,
            u64::from(wrong),
            || format!("{plane} ({set}) sets the plane of arcs, and this arc {what}."),
        );
    }

    fn arc_by_centre(
        &mut self,
        from: [f64; 2],
        to: [f64; 2],
        offsets: [Option<f64>; 2],
        is_clockwise: bool,
        at: At<'_>,
    ) -> Option<Arc> {
        let written = offsets.map(|offset| offset.unwrap_or(0.0) * self.unit_mm);
        let relative = [from[0] + written[0], from[1] + written[1]];
        let mut centre = if self.has_absolute_centres {
            [
                offsets[0].map_or(from[0], |o| o * self.unit_mm),
                offsets[1].map_or(from[1], |o| o * self.unit_mm),
            ]
        } else {
            relative
        };
        let tolerance = self.arc_tolerance_mm();
        let off = |centre: [f64; 2]| {
            let start = (from[0] - centre[0]).hypot(from[1] - centre[1]);
            let end = (to[0] - centre[0]).hypot(to[1] - centre[1]);
            (start - end).abs()
        };
        if (from[0] - centre[0]).hypot(from[1] - centre[1]) > FLATTEST_MM {
            self.too_flat(Level::Stop, at);
            return None;
        }
        if (from[0] - centre[0]).hypot(from[1] - centre[1]) == 0.0 {
            self.find(&rules::ARC_ZERO_RADIUS, at.whole(), 0, || {
                "The arc's centre lies on its start; taken as a straight line.".to_owned()
            });
            return None;
        }
        let error = off(centre);
        if error > tolerance {
            let absolute_fits =
                !self.has_absolute_centres && off(written) <= tolerance && written != from;
            let level = if error <= MEANT_MM {
                Level::Warn
            } else {
                Level::Stop
            };
            self.findings
                .add_at(&rules::ARC_OFF_CIRCLE, level, at.whole(), u64::from(absolute_fits), || {
                    if level == Level::Warn {
                        format!("The arc's end lies {error:.4} mm off its circle; taken as meant.")
                    } else if absolute_fits {
                        format!(
                            "The arc's end lies {error:.3} mm off its circle; as an absolute centre I and J would fit, and so they are taken."
                        )
                    } else {
                        format!("The arc's end lies {error:.3} mm off its circle; the programmed end is taken.")
                    }
                });
            if level == Level::Stop && absolute_fits {
                centre = written;
            }
        }
        let chord = (to[0] - from[0]).hypot(to[1] - from[1]);
        if chord > 0.0 && chord < tolerance {
            self.find(&rules::ARC_NEARLY_CLOSED, at.whole(), 0, || {
                format!("The arc's ends lie {chord:.4} mm apart: a full turn or nothing.")
            });
        }
        Some(Arc::about(self.plane, centre, from, to, is_clockwise))
    }

    fn too_flat(&mut self, level: Level, at: At<'_>) {
        self.findings.add_at(
            &rules::RADIUS_ARC_ILL_CONDITIONED,
            level,
            at.whole(),
            1,
            || "The arc's radius is beyond any machine; taken as a straight line.".to_owned(),
        );
    }

    fn arc_by_radius(
        &mut self,
        from: [f64; 2],
        to: [f64; 2],
        radius: f64,
        is_clockwise: bool,
        at: At<'_>,
    ) -> Option<Arc> {
        let chord = (to[0] - from[0]).hypot(to[1] - from[1]);
        if chord == 0.0 {
            self.find(&rules::ARC_RADIUS_SAME_POINT, at.whole(), 0, || {
                "An arc given by its radius ends where it starts; no motion is counted.".to_owned()
            });
            return None;
        }
        if radius == 0.0 {
            self.find(&rules::ARC_ZERO_RADIUS, at.whole(), 1, || {
                "The arc has the radius 0; taken as a straight line.".to_owned()
            });
            return None;
        }
        if radius.abs() > FLATTEST_MM {
            // The long way round such a circle is no place to go at all.
            let level = if radius < 0.0 {
                Level::Stop
            } else {
                Level::Warn
            };
            self.too_flat(level, at);
            return None;
        }
        let excess = chord / 2.0 - radius.abs();
        if excess > 0.0 {
            // Rounded half turns come out a little too wide.
            let level = if 2.0 * excess <= MEANT_MM {
                Level::Warn
            } else {
                Level::Stop
            };
            let shown = radius.abs();
            self.findings
                .add_at(&rules::ARC_RADIUS_TOO_SMALL, level, at.whole(), 0, || {
                    format!("No circle of radius {shown:.4} mm joins points {chord:.4} mm apart; taken as a half turn.")
                });
        }
        let own = radius.abs().max(chord / 2.0).copysign(radius);
        let centre = Arc::centre_of_radius(from, to, own, is_clockwise);
        let arc = Arc::about(self.plane, centre, from, to, is_clockwise);
        let degrees = arc.sweep_rad.abs().to_degrees();
        if (165.0..=195.0).contains(&degrees) || degrees > 345.0 {
            self.find(&rules::RADIUS_ARC_ILL_CONDITIONED, at.whole(), 0, || {
                format!("An arc of {degrees:.0} degrees is given by its radius: rounding shifts its centre.")
            });
        }
        Some(arc)
    }

    /// G17, G18, G19.
    pub(super) fn set_plane(&mut self, codes: &crate::program::interp::codes::Codes, at: At<'_>) {
        let Some(code) = codes.plane else { return };
        let before = self.plane;
        self.plane = match code {
            180 => Plane::Zx,
            190 => Plane::Yz,
            _ => Plane::Xy,
        };
        if self.plane != before {
            self.plane_line = at.line;
        }
        if self.is_compensated && self.plane != Plane::Xy {
            self.find(&rules::COMPENSATION_ERROR, at.whole(), 1, || {
                "The plane changes while cutter compensation is on.".to_owned()
            });
        }
    }

    /// A target that keeps the place but for one axis.
    pub(super) fn target_along(&self, axis: usize, value: f64) -> Target {
        let mut target = Target {
            pos: self.pos,
            known: self.known,
        };
        target.pos[axis] = value;
        target.known[axis] = true;
        target
    }
}
