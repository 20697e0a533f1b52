//! What does not change while a recipe is sought: machine, metal and tool as plain numbers.

use crate::calculator::MARGIN;
use crate::calculator::caps::Caps;
use crate::calculator::limit::Which;
use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::calculator::tap;
use crate::cutting::axis_push;
use crate::cutting::bending;
use crate::cutting::helix::SinePower;
use crate::cutting::packing::Sticking;
use crate::cutting::packing::least_slot_chip_load;
use crate::cutting::packing::slot_depth_bound;
use crate::cutting::rubbing;
use crate::cutting::spindle_drive::Rating;
use crate::job::machine::Axis;
use crate::job::machine::Basis;
use crate::job::material::Span;
use crate::job::material::Sticks;
use crate::job::tool::Edge;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::tool_speed;
use crate::job::tool_speed::Faster;
use crate::job::typed::plain;
use crate::quantity::gigapascal;
use crate::quantity::mm;
use crate::quantity::newton;
use crate::quantity::newton_metre;
use crate::quantity::rpm;
use crate::quantity::show;
use crate::quantity::to_mm;
use crate::quantity::to_newton;
use crate::quantity::to_rpm;
use crate::quantity::um;
use crate::quantity::watt;

/// Radial over tangential force; common practice, no source (0.3 to 0.5).
pub const RADIAL_SHARE: f64 = 0.4;
/// Share of the axis motor's push that a cut may take; common practice, no source. It is held against the
/// force that is the mean while a tooth is in the metal: heavier than a tooth's passage is the table, but a
/// motor must hold between the gaps. With the peak the usual side cuts of light mills would be refused.
pub const PUSH_SHARE: f64 = 0.5;
/// Share of the pull at which a tool creeps that a cut may take; common practice, no source.
pub const GRIP_SHARE: f64 = 0.5;
/// Bending allowed in roughing, mm, the cautious end of 0.03 to 0.05; common practice, no source.
pub const BEND_ROUGH_MM: f64 = 0.03;
/// Bending allowed in finishing, mm; common practice, no source.
pub const BEND_FINISH_MM: f64 = 0.01;
/// Elastic modulus of cemented carbide, GPa, the least of 520 to 690; Kalpakjian and Schmid (from memory).
const CARBIDE_GPA: f64 = 520.0;
/// Elastic modulus of high-speed steel, GPa; Kalpakjian and Schmid (from memory).
const HSS_GPA: f64 = 200.0;
/// Edge radius of a keen carbide edge, µm; common practice, no source.
const CARBIDE_EDGE_UM: f64 = 5.0;
/// Edge radius of an edge of high-speed steel, µm; common practice, no source.
const HSS_EDGE_UM: f64 = 10.0;

/// The weaker of the two axes of the table, or the axis of the head.
#[derive(Clone, Copy, Debug)]
pub struct Weakest {
    pub push_n: f64,
    /// Push of the screw at the motor's holding torque, where that is known.
    pub screw_n: Option<f64>,
    pub friction_n: f64,
    pub top_feed_mm_min: f64,
}

/// Numbers of a question.
#[derive(Debug)]
pub struct Bench {
    /// Share of each limit that may be used.
    pub caps: Caps,
    pub cut: Cut,
    pub aim: Aim,
    /// The tool's centre runs along the middle of the cut.
    pub is_centred: bool,
    pub d_mm: f64,
    pub z: u32,
    pub corner_mm: f64,
    pub lead_deg: f64,
    pub tip_mm: f64,
    pub helix_tan: f64,
    pub flute_mm: f64,
    /// Shank over the largest that the spindle takes; no more than nothing while it fits.
    pub shank_share: f64,
    pub stick_out_mm: f64,
    pub modulus_gpa: f64,
    /// Bending of the tool for one newton at its tip, mm.
    pub tool_mm_n: f64,
    pub run_out_mm: f64,
    /// Time that the spindle takes to stop, s.
    pub stop_s: f64,
    pub least_chip_mm: f64,
    pub rubbing_cause: rubbing::Cause,
    pub kc1_1: f64,
    pub mc: f64,
    pub table: SinePower,
    pub speeds: Span,
    pub speeds_source: String,
    pub usual_fz: Span,
    pub usual_fz_source: String,
    pub thin_mm: f64,
    pub depth_bound: f64,
    pub total_depth_mm: Option<f64>,
    pub across: Weakest,
    pub down: Weakest,
    pub kx: f64,
    pub ky: f64,
    pub grip_n: f64,
    pub part_hold_n: Option<f64>,
    pub bend_mm: f64,
    pub rating: Rating,
    pub efficiency: f64,
    pub sag: f64,
    pub belt: Vec<(String, f64, f64, f64)>,
    pub least_rpm: f64,
    pub top_rpm: f64,
    /// Step in which the speed is set, rpm.
    pub step_rpm: f64,
    /// Lowest rating of cutter, arbor and holder, where it is known, rpm.
    pub speed_rating_rpm: Option<f64>,
    /// How much faster than set the spindle can turn.
    pub faster: Faster,
    pub taylor: Option<(f64, f64)>,
    pub cautions: Vec<String>,
    pub assumed: Vec<String>,
}

/// The edge radius of a tool, in µm: the stated one, else the usual one of its edge (common practice, no source).
pub fn edge_um(tool: &Tool) -> f64 {
    tool.edge_radius_um.unwrap_or(match tool.edge {
        Edge::Carbide => CARBIDE_EDGE_UM,
        Edge::Hss => HSS_EDGE_UM,
    })
}

fn suits(kind: Kind, cut: Cut) -> bool {
    match cut {
        Cut::Side => matches!(
            kind,
            Kind::EndMill | Kind::Ball | Kind::BullNose | Kind::FaceMill | Kind::Flycutter
        ),
        Cut::Slot => matches!(kind, Kind::EndMill | Kind::Ball | Kind::BullNose),
        Cut::Face => matches!(
            kind,
            Kind::EndMill | Kind::Ball | Kind::BullNose | Kind::FaceMill | Kind::Flycutter
        ),
        Cut::Plunge => matches!(kind, Kind::EndMill | Kind::Ball | Kind::BullNose),
        Cut::Drill => matches!(kind, Kind::Drill | Kind::SpotDrill),
        Cut::Ream => kind == Kind::Reamer,
        Cut::Tap => kind == Kind::Tap,
        Cut::Chamfer => matches!(kind, Kind::Chamfer | Kind::SpotDrill),
        Cut::Thread => kind == Kind::ThreadMill,
    }
}

/// Push of the screw at the motor's holding torque, N.
fn screw(axis: &Axis) -> Option<f64> {
    let torque = axis.holding_torque_nm.as_ref()?;
    Some(to_newton(axis_push::screw_push(
        newton_metre(torque.value),
        axis.screw_efficiency.value,
        mm(axis.lead_mm.value),
    )))
}

/// Push that is counted on, N: at rest the screw cannot push harder than at its holding torque, but what
/// was measured is believed as it is.
fn push(axis: &Axis) -> f64 {
    let own = axis.push_n.value;
    match screw(axis) {
        Some(screw) if axis.push_n.is_assumed() => own.min(screw),
        _ => own,
    }
}

/// Push of the head that is counted on, N: where motor and screw are known it is computed, for a hole is fed so slowly
/// that a stepping motor still has nearly its holding torque. Where they are starting values, the starting value of the push
/// stands, which is what such machines are known to do.
fn push_down(axis: &Axis) -> f64 {
    computed_push(axis).unwrap_or_else(|| push(axis))
}

/// Push of the screw, N, where it is to be computed.
fn computed_push(axis: &Axis) -> Option<f64> {
    let torque = axis.holding_torque_nm.as_ref()?;
    let is_known = !torque.is_assumed() && !axis.lead_mm.is_assumed();
    let is_computed = axis.push_n.how.basis == Basis::Computed;
    if is_computed || axis.push_n.is_assumed() && is_known {
        screw(axis)
    } else {
        None
    }
}

impl Bench {
    /// Takes the numbers out of the profiles and says what had to be assumed.
    ///
    /// # Errors
    ///
    /// A tool that does not make the cut, a metal without speeds, fixed values that are not positive.
    pub fn new(q: &Question<'_>) -> Result<Self, Refusal> {
        let (machine, material, tool) = (q.machine, q.material, q.tool);
        if tool.kind == Kind::SlittingSaw && !q.cut.is_hole() {
            return Err(Refusal::Saw);
        }
        if !suits(tool.kind, q.cut) || tool.flutes == 0 || tool.diameter_mm <= 0.0 {
            return Err(Refusal::ToolCannot {
                tool: tool.kind.word(),
                cut: q.cut.word(),
            });
        }
        let fixed = q.fixed;
        for (name, value) in [
            ("rpm", fixed.n.map(to_rpm)),
            ("surface speed", fixed.vc.map(crate::quantity::to_m_per_min)),
            ("chip load", fixed.fz.map(to_mm)),
            ("feed", fixed.vf.map(crate::quantity::to_mm_per_min)),
            ("depth", fixed.ap.map(to_mm)),
            ("stepover", fixed.ae.map(to_mm)),
            ("stick-out", q.stick_out.map(to_mm)),
        ] {
            if value.is_some_and(|v| !(v.is_finite() && v > 0.0)) {
                return Err(Refusal::NotPositive { name });
            }
        }
        if fixed.n.is_some() && fixed.vc.is_some() {
            return Err(Refusal::SpeedTwice);
        }
        if tool.lacks_speed_rating() {
            return Err(Refusal::NoSpeedRating {
                tool: tool.kind.word(),
            });
        }
        let mut cautions = vec![];
        let mut assumed = vec![];
        let stick_out_mm = q.stick_out.map_or_else(
            || {
                assumed.push(format!(
                    "stick-out {} mm, the tool's usual one",
                    plain(tool.stick_out_mm)
                ));
                tool.stick_out_mm
            },
            to_mm,
        );
        let flute_mm = if tool.flute_length_mm > 0.0 {
            tool.flute_length_mm
        } else {
            assumed.push("flutes one diameter long: the profile does not say".to_owned());
            tool.diameter_mm
        };
        if stick_out_mm < flute_mm {
            assumed.push("only what stands out of the holder cuts".to_owned());
        }
        let flute_mm = flute_mm.min(stick_out_mm);
        let run_out_mm = q
            .run_out
            .map_or(machine.spindle.run_out_mm.value, to_mm)
            .max(0.0);
        if q.run_out.is_none() && machine.spindle.run_out_mm.is_assumed() {
            assumed.push(format!("run-out {run_out_mm} mm, not measured"));
        }
        let edge_um = edge_um(tool);
        if tool.edge_radius_um.is_none() {
            assumed.push(format!(
                "edge radius {edge_um} um (common practice, no source)"
            ));
        }
        let (least, rubbing_cause) = rubbing::least_chip(
            um(edge_um),
            material.least_chip_ratio.value,
            mm(tool.diameter_mm),
        );
        let (speeds, speeds_source) = speeds(q, &mut cautions, &mut assumed)?;
        let share = match q.cut {
            Cut::Slot | Cut::Plunge => &material.chip_load.slot_share,
            Cut::Drill | Cut::Ream => &material.chip_load.drill_share,
            _ => &material.chip_load.side_share,
        };
        let scale = match q.cut {
            // A share of the feed of a turn, over the edges.
            Cut::Drill => tool.diameter_mm / f64::from(tool.flutes),
            Cut::Ream => 2.0 * tool.diameter_mm / f64::from(tool.flutes),
            Cut::Plunge => tool.diameter_mm * crate::cutting::entry::PLUNGE_SHARE,
            _ => tool.diameter_mm,
        };
        let usual_fz = Span {
            least: share.value.least * scale,
            most: share.value.most * scale,
        };
        let sticking = match material.sticks.value {
            Sticks::Little => Sticking::Little,
            Sticks::Some => Sticking::Some,
            Sticks::Much => Sticking::Much,
        };
        let thin = if q.cut == Cut::Slot {
            to_mm(least_slot_chip_load(
                mm(usual_fz.least),
                sticking,
                q.clearing,
            ))
        } else {
            0.0
        };
        if q.cut == Cut::Slot && q.total_depth.is_none() {
            assumed.push("the slot is no deeper in all than this one pass".to_owned());
        }
        let (x, y) = (&machine.axes.x, &machine.axes.y);
        let weakest_of = |a: &Axis, b: &Axis, push: fn(&Axis) -> f64| {
            let left = |axis: &Axis| push(axis) * PUSH_SHARE - axis.friction_n.value;
            let axis = if left(a) <= left(b) { a } else { b };
            Weakest {
                push_n: push(axis),
                screw_n: screw(axis),
                friction_n: axis.friction_n.value,
                top_feed_mm_min: a.top_feed_mm_min.value.min(b.top_feed_mm_min.value),
            }
        };
        for (name, axis) in [("X", x), ("Y", y), ("Z", &machine.axes.z)] {
            if name == "Z"
                && let (Some(push), Some(torque)) = (computed_push(axis), &axis.holding_torque_nm)
            {
                assumed.push(format!(
                    "Z pushes {push:.0} N, computed from 2 pi * {} * {} N m / {} mm, not measured; friction {} N",
                    plain(axis.screw_efficiency.value),
                    plain(torque.value),
                    plain(axis.lead_mm.value),
                    plain(axis.friction_n.value)
                ));
            } else if axis.push_n.is_assumed() {
                assumed.push(format!(
                    "{name} pushes {} N, friction {} N: starting values, not measured",
                    axis.push_n.value, axis.friction_n.value
                ));
            }
        }
        if x.stiffness_n_um.is_assumed() {
            assumed.push(format!(
                "stiffness {} N/um at the tool, not measured",
                x.stiffness_n_um.value
            ));
        }
        let spindle = &machine.spindle;
        assumed.push(format!(
            "radial force {RADIAL_SHARE} of the tangential one (common practice, no source)"
        ));
        if spindle.sag_share.value > 0.0 {
            cautions.push(format!(
                "without load the spindle turns up to {:.0} % faster: read the speed in the cut",
                100.0 * spindle.sag_share.value
            ));
        }
        let taylor = match tool.edge {
            Edge::Hss => &material.taylor_hss,
            Edge::Carbide => &material.taylor_carbide,
        };
        let finishing = q.aim == Aim::Finish;
        let modulus_gpa = match tool.edge {
            Edge::Carbide => CARBIDE_GPA,
            Edge::Hss => HSS_GPA,
        };
        let beam = bending::Beam {
            stick_out: mm(stick_out_mm),
            fluted: mm(flute_mm),
            shank: mm(tool.shank_mm),
            diameter: mm(tool.diameter_mm),
            modulus: gigapascal(modulus_gpa),
        };
        let bench = Self {
            caps: Caps::first(tool.edge),
            cut: q.cut,
            aim: q.aim,
            is_centred: q.centred && q.cut == Cut::Face,
            d_mm: tool.diameter_mm,
            z: tool.flutes,
            corner_mm: match tool.kind {
                Kind::Ball => tool.diameter_mm / 2.0,
                _ => tool.corner_radius_mm.clamp(0.0, tool.diameter_mm / 2.0),
            },
            lead_deg: match (q.cut, tool.point_angle_deg) {
                (Cut::Chamfer, Some(angle)) => (angle / 2.0).clamp(1.0, 90.0),
                (Cut::Chamfer, None) => 45.0,
                // A face mill states the included angle of its edges.
                (_, Some(angle)) if tool.kind == Kind::FaceMill => (angle / 2.0).clamp(1.0, 90.0),
                _ => 90.0,
            },
            tip_mm: tool
                .tip_diameter_mm
                .unwrap_or(0.0)
                .clamp(0.0, tool.diameter_mm),
            helix_tan: tool.helix_deg.clamp(0.0, 80.0).to_radians().tan(),
            flute_mm,
            shank_share: if tool.shank_mm > spindle.largest_shank_mm.value {
                tool.shank_mm / spindle.largest_shank_mm.value
            } else {
                0.0
            },
            stick_out_mm,
            modulus_gpa,
            tool_mm_n: to_mm(bending::tool(newton(1.0), beam)),
            run_out_mm,
            stop_s: tap::stop_s(&machine.spindle).0,
            least_chip_mm: to_mm(least),
            rubbing_cause,
            kc1_1: material.kc1_1_n_mm2.value,
            mc: material.mc.value,
            table: SinePower::new(material.mc.value),
            speeds,
            speeds_source,
            usual_fz,
            usual_fz_source: share.source.to_string(),
            thin_mm: thin,
            depth_bound: slot_depth_bound(q.clearing, sticking),
            total_depth_mm: q.total_depth.map(to_mm),
            across: weakest_of(x, y, push),
            down: weakest_of(&machine.axes.z, &machine.axes.z, push_down),
            kx: x.stiffness_n_um.value,
            ky: y.stiffness_n_um.value,
            grip_n: spindle.grip_n.value,
            part_hold_n: q.part_hold.map(to_newton),
            bend_mm: if finishing {
                BEND_FINISH_MM
            } else {
                BEND_ROUGH_MM
            },
            rating: Rating {
                power: watt(spindle.rated_w.value),
                speed: rpm(spindle.rated_rpm.value),
                cooled_from: rpm(spindle.constant_torque_from_rpm.value),
            },
            efficiency: spindle.efficiency.value,
            sag: spindle.sag_share.value,
            belt: spindle
                .steps
                .iter()
                .map(|step| {
                    (
                        step.name.clone(),
                        step.ratio.value,
                        step.least_rpm.value,
                        step.top_rpm.value,
                    )
                })
                .collect(),
            // A spindle that is said to turn from 0 on still turns.
            least_rpm: spindle.least_rpm().max(1.0),
            top_rpm: spindle.top_rpm(),
            step_rpm: spindle.step_rpm(),
            speed_rating_rpm: tool.speed_rating_rpm(),
            faster: Faster::of(machine),
            taylor: taylor.as_ref().map(|t| (t.c_m_min.value, t.n.value)),
            cautions,
            assumed,
        };
        let is_n_fixed =
            fixed.n.is_some() || fixed.vc.is_some() || fixed.fz.is_some() && fixed.vf.is_some();
        if bench.speed_rating_rpm.is_some() && bench.most_rpm() < bench.least_rpm && !is_n_fixed {
            return Err(Refusal::SpindleTooFast {
                least: show::rpm(rpm(bench.least_rpm)),
                most: show::rpm(rpm(bench.most_rpm().floor())),
            });
        }
        Ok(bench)
    }

    /// The greatest rpm that a recommendation sets: the spindle's top, and what keeps the highest rpm that can occur at
    /// the usual share of the tool's rating. The share is never given up.
    pub fn most_rpm(&self) -> f64 {
        self.speed_rating_rpm.map_or(self.top_rpm, |rating| {
            self.top_rpm.min(self.faster.to_set(MARGIN * rating))
        })
    }

    /// The greatest rpm that can be set and is not above the wanted one; below the least of the spindle steps of the
    /// knob or the S word alone.
    pub fn settable(&self, wanted_rpm: f64) -> f64 {
        let belt = self.belt.iter().map(|(_, _, least, top)| [*least, *top]);
        tool_speed::settable_rpm(belt, self.step_rpm, wanted_rpm).unwrap_or_else(|| {
            let steps = (wanted_rpm / self.step_rpm).floor() * self.step_rpm;
            if steps > 0.0 { steps } else { wanted_rpm }
        })
    }

    /// The rpm to set for one that follows from a fixed surface speed. Faster than the spindle it stays, so that the limit speaks.
    pub fn set_for(&self, wanted_rpm: f64) -> f64 {
        if wanted_rpm > self.top_rpm {
            return wanted_rpm;
        }
        self.settable(wanted_rpm)
    }

    /// The speed rating as a limit, where it is known.
    pub fn tool_speed(&self, n_rpm: f64) -> Option<(Which, f64)> {
        let rating = self.speed_rating_rpm?;
        Some((Which::ToolSpeed, self.faster.highest(n_rpm) / rating))
    }

    /// Whether the end is round to its centre.
    pub fn is_ball(&self) -> bool {
        self.corner_mm >= self.d_mm / 2.0 * (1.0 - 1e-9)
    }

    /// The power that the motor gives at a spindle speed, W, and the belt step that gives most.
    pub fn available(&self, n_rpm: f64) -> (f64, Option<usize>) {
        let mut best = (0.0, None);
        for (at, (_, ratio, least, top)) in self.belt.iter().enumerate() {
            let inside = n_rpm >= least * (1.0 - 1e-9) && n_rpm <= top * (1.0 + 1e-9);
            if !inside || *ratio <= 0.0 {
                continue;
            }
            let power = crate::quantity::to_watt(crate::cutting::spindle_drive::power_at(
                self.rating,
                rpm(n_rpm / ratio),
            ));
            if power > best.0 {
                best = (power, Some(at));
            }
        }
        best
    }
}

/// Surface speeds for this tool in this metal.
fn speeds(
    q: &Question<'_>,
    cautions: &mut Vec<String>,
    assumed: &mut Vec<String>,
) -> Result<(Span, String), Refusal> {
    let (material, tool) = (q.material, q.tool);
    if q.cut == Cut::Tap
        && let Some(tap) = &material.tap_m_min
    {
        return Ok((tap.value, tap.source.to_string()));
    }
    let own = match tool.edge {
        Edge::Hss => &material.hss,
        Edge::Carbide => &material.carbide,
    };
    let (span, source) = match (own, &material.hss, &material.carbide) {
        (Some(speeds), _, _) => {
            let speeds = match q.aim {
                Aim::Finish => speeds.finish(),
                Aim::Removal | Aim::Life => &speeds.rough_m_min,
            };
            (speeds.value, speeds.source.to_string())
        }
        (None, Some(hss), _) => {
            assumed
                .push("surface speeds of high-speed steel: none are known for carbide".to_owned());
            (hss.rough_m_min.value, hss.rough_m_min.source.to_string())
        }
        (None, None, Some(carbide)) => {
            cautions.push(
                "this metal is not cut with high-speed steel: the edge will not last".to_owned(),
            );
            assumed.push("a quarter of the surface speeds of carbide (no source)".to_owned());
            let span = carbide.rough_m_min.value;
            (
                Span {
                    least: span.least / 4.0,
                    most: span.most / 4.0,
                },
                carbide.rough_m_min.source.to_string(),
            )
        }
        (None, None, None) => return Err(Refusal::NoSpeeds),
    };
    let share = match q.cut {
        // Common practice, no source: a reamer at half the speed of a drill, a tap at a third.
        Cut::Ream => 0.5,
        Cut::Tap => 1.0 / 3.0,
        _ => 1.0,
    };
    if share < 1.0 {
        assumed.push(format!(
            "{:.0} % of the milling speed for this tool (common practice, no source)",
            100.0 * share
        ));
    }
    Ok((
        Span {
            least: span.least * share,
            most: span.most * share,
        },
        source,
    ))
}
