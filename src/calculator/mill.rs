//! One milling recipe with all values given: loads and limits.

use std::f64::consts::PI;

use crate::calculator::bench::Bench;
use crate::calculator::bench::GRIP_SHARE;
use crate::calculator::bench::PUSH_SHARE;
use crate::calculator::bench::RADIAL_SHARE;
use crate::calculator::limit::Which;
use crate::calculator::question::Cut;
use crate::cutting::chip_thickness;
use crate::cutting::edge_contact;
use crate::cutting::effective_diameter;
use crate::cutting::finish;
use crate::cutting::force;
use crate::cutting::helix;
use crate::cutting::run_out;
use crate::quantity::degree;
use crate::quantity::mm;
use crate::quantity::n_per_mm2;
use crate::quantity::to_mm;
use crate::quantity::to_n_per_mm2;
use crate::quantity::to_radian;

/// What follows from depth and stepover alone.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    pub ap_mm: f64,
    pub ae_mm: f64,
    /// Diameter that cuts.
    pub de_mm: f64,
    /// Where a tooth goes in and comes out, radians from where the chip has no thickness.
    pub arc: (f64, f64),
    /// Thickest chip and mean chip over the chip load, the lead of the edge left out.
    pub thinning: f64,
    pub mean_thinning: f64,
    /// Greatest and mean sin κ along the edge.
    pub steepest: f64,
    pub mean_lead: f64,
    /// Peak tangential force over `fz'^(1-mc)`.
    pub peak: f64,
    /// Tangential force while a tooth is in the metal, mean, over `fz'^(1-mc)`.
    pub in_cut: f64,
    /// Greatest mean force along one axis over `fz^(1-mc)`.
    pub mean_axis: f64,
}

/// Loads of a recipe.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    pub vc_m_min: f64,
    pub vf_mm_min: f64,
    pub hmax_mm: f64,
    pub hm_mm: f64,
    pub q_mm3_min: f64,
    pub kc: f64,
    pub pc_w: f64,
    pub ft_n: f64,
    pub ft_peak_n: f64,
    /// Chip load of the tooth that takes most, run-out counted in, mm.
    pub worst_fz_mm: f64,
    pub side_peak_n: f64,
    pub in_cut_n: f64,
    pub pull_n: f64,
    pub mean_axis_n: f64,
    pub bend_tool_mm: f64,
    pub bend_machine_mm: f64,
    pub motor_w: f64,
    pub available_w: f64,
}

impl Bench {
    /// Diameter that cuts at a depth.
    pub fn cutting_diameter(&self, ap_mm: f64) -> f64 {
        if self.cut == Cut::Chamfer {
            return to_mm(effective_diameter::point(
                mm(self.d_mm),
                mm(self.tip_mm),
                mm(ap_mm),
                degree(2.0 * self.lead_deg),
            ));
        }
        to_mm(effective_diameter::corner(
            mm(self.d_mm),
            mm(self.corner_mm),
            mm(ap_mm),
        ))
    }

    /// Works out what follows from depth and stepover.
    pub fn section(&self, ap_mm: f64, ae_mm: f64) -> Section {
        let de_mm = self.cutting_diameter(ap_mm);
        let contact = edge_contact::contact(mm(ap_mm), mm(self.corner_mm), degree(self.lead_deg));
        let (arc, thinning, mean_thinning) = self.arc(ae_mm, de_mm);
        let lag = 2.0 * ap_mm * self.helix_tan / de_mm;
        // Share of the time in which some tooth is in the metal.
        let engaged = (f64::from(self.z) * (arc.1 - arc.0 + lag) / (2.0 * PI)).clamp(1e-9, 1.0);
        let shares = helix::over_a_turn(
            helix::Teeth {
                count: self.z,
                entry: arc.0,
                exit: arc.1,
                lag,
            },
            &self.table,
        );
        // b · kc1.1 · (m · fz)^(1-mc) with b = ap / m
        let lead = if contact.mean < 1.0 {
            contact.mean.powf(-self.mc)
        } else {
            1.0
        };
        let scale = self.kc1_1 * ap_mm * lead;
        let (along, square) = (
            shares.mean_feed_of_tangential.abs(),
            shares.mean_normal_of_tangential.abs(),
        );
        let mean_axis = (along + RADIAL_SHARE * square).max(square + RADIAL_SHARE * along);
        Section {
            ap_mm,
            ae_mm,
            de_mm,
            arc,
            thinning,
            mean_thinning,
            steepest: contact.steepest,
            mean_lead: contact.mean,
            peak: scale * shares.peak,
            in_cut: scale * (shares.mean / engaged).min(shares.peak),
            mean_axis: scale * mean_axis,
        }
    }

    /// Arc of a tooth and what it makes of the chip load: thickest and mean.
    fn arc(&self, ae_mm: f64, de_mm: f64) -> ((f64, f64), f64, f64) {
        let (ae, de, one, square) = (mm(ae_mm), mm(de_mm), mm(1.0), degree(90.0));
        if self.is_centred {
            let (from, to) = chip_thickness::centred(ae, de);
            let mean = chip_thickness::mean_between(one, from, to, square);
            return ((to_radian(from), to_radian(to)), 1.0, to_mm(mean));
        }
        let out = to_radian(chip_thickness::engagement(ae, de));
        let thickest = chip_thickness::thickest(one, ae, de, square);
        let mean = chip_thickness::mean(one, ae, de, square);
        ((0.0, out), to_mm(thickest), to_mm(mean))
    }

    /// Loads of a recipe.
    pub fn load(&self, s: &Section, n_rpm: f64, fz_mm: f64) -> Load {
        let z = f64::from(self.z);
        let p = 1.0 - self.mc;
        let vf_mm_min = fz_mm * z * n_rpm;
        let worst = to_mm(run_out::worst_chip_load(
            mm(fz_mm),
            mm(self.run_out_mm),
            self.z,
        ));
        let hmax_mm = fz_mm * s.thinning * s.steepest;
        let hm_mm = fz_mm * s.mean_thinning * s.mean_lead;
        let kc = to_n_per_mm2(force::specific_force(
            n_per_mm2(self.kc1_1),
            self.mc,
            mm(hm_mm),
        ));
        let q_mm3_min = s.ap_mm * s.ae_mm * vf_mm_min;
        let vc_m_min = PI * s.de_mm * n_rpm / 1000.0;
        let pc_w = kc * q_mm3_min / 60_000.0;
        let ft_peak_n = s.peak * worst.powf(p);
        let side_peak_n = ft_peak_n * (1.0 + RADIAL_SHARE * RADIAL_SHARE).sqrt();
        let mean_axis_n = s.mean_axis * fz_mm.powf(p);
        Load {
            vc_m_min,
            vf_mm_min,
            hmax_mm,
            hm_mm,
            q_mm3_min,
            kc,
            pc_w,
            ft_n: 60.0 * pc_w / vc_m_min,
            ft_peak_n,
            worst_fz_mm: worst,
            side_peak_n,
            in_cut_n: s.in_cut * worst.powf(p) * (1.0 + RADIAL_SHARE * RADIAL_SHARE).sqrt(),
            pull_n: ft_peak_n * self.helix_tan,
            mean_axis_n,
            bend_tool_mm: side_peak_n * self.tool_mm_n,
            bend_machine_mm: mean_axis_n / (1000.0 * self.kx.min(self.ky)),
            motor_w: pc_w / self.efficiency,
            available_w: self.available(n_rpm).0,
        }
    }

    /// Greatest chip load that is usual for this cut at this stepover, mm: a narrow cut thins the chip, and
    /// the usual side cut is taken to be a tenth of the diameter wide. No more than half as much again.
    pub fn most_fz(&self, s: &Section) -> f64 {
        let more = if self.cut == Cut::Side && s.thinning > 0.0 {
            (0.6 / s.thinning).clamp(1.0, 1.5)
        } else {
            1.0
        };
        self.usual_fz.most * more
    }

    /// Chip load under which the thickest chip rubs, mm.
    pub fn rubbing_fz(&self, s: &Section) -> f64 {
        let thinning = s.thinning * s.steepest;
        if thinning > 0.0 {
            self.least_chip_mm / thinning
        } else {
            f64::INFINITY
        }
    }

    /// Every limit with the share used.
    pub fn used(&self, s: &Section, n_rpm: f64, fz_mm: f64, load: &Load) -> Vec<(Which, f64)> {
        let axis = (load.in_cut_n + self.across.friction_n) / (PUSH_SHARE * self.across.push_n);
        let mut used = vec![
            (Which::AxisPush, axis),
            (Which::ToolDeflection, load.bend_tool_mm / self.bend_mm),
            (
                Which::MachineDeflection,
                load.bend_machine_mm / self.bend_mm,
            ),
            (Which::ToolGrip, load.pull_n / (GRIP_SHARE * self.grip_n)),
            (Which::Rubbing, self.rubbing_fz(s) / fz_mm),
            (Which::ChipLoad, fz_mm / self.most_fz(s)),
            (Which::SurfaceSpeed, load.vc_m_min / self.speeds.most),
            (
                Which::MotorPower,
                if load.available_w > 0.0 {
                    load.motor_w / load.available_w
                } else {
                    // Outside every belt step the limit of speed speaks.
                    0.0
                },
            ),
            (Which::FluteLength, s.ap_mm / self.flute_mm),
            (Which::Shank, self.shank_share),
            (Which::TopSpeed, n_rpm / self.top_rpm),
            (Which::LeastSpeed, self.least_rpm / n_rpm),
            (Which::TopFeed, load.vf_mm_min / self.across.top_feed_mm_min),
        ];
        if self.cut == Cut::Slot {
            let deep = self.total_depth_mm.unwrap_or(s.ap_mm).max(s.ap_mm);
            used.push((Which::ChipsThatStay, deep / (self.d_mm * self.depth_bound)));
            used.push((Which::ThinHotChips, self.thin_mm / fz_mm));
        }
        used.extend(self.tool_speed(n_rpm));
        if let Some(hold) = self.part_hold_n {
            used.push((Which::PartHold, load.pull_n / (GRIP_SHARE * hold)));
        }
        used
    }

    /// Greatest chip load that keeps every danger that does not depend on speed, mm.
    pub fn force_fz(&self, s: &Section) -> f64 {
        let p = 1.0 - self.mc;
        let resultant = (1.0 + RADIAL_SHARE * RADIAL_SHARE).sqrt();
        let push = (self.caps.of(Which::AxisPush) * PUSH_SHARE * self.across.push_n
            - self.across.friction_n)
            / resultant;
        let tool =
            self.caps.of(Which::ToolDeflection) * self.bend_mm / (self.tool_mm_n * resultant);
        let mut peak = tool;
        if self.helix_tan > 0.0 {
            peak =
                peak.min(self.caps.of(Which::ToolGrip) * GRIP_SHARE * self.grip_n / self.helix_tan);
            if let Some(hold) = self.part_hold_n {
                peak = peak.min(self.caps.of(Which::PartHold) * GRIP_SHARE * hold / self.helix_tan);
            }
        }
        if peak <= 0.0 || push <= 0.0 {
            return 0.0;
        }
        let worst = (peak / s.peak).min(push / s.in_cut).powf(1.0 / p);
        // The worst tooth takes fz + t, at most z · fz.
        let by_peak = if self.z > 1 {
            (worst - self.run_out_mm).max(worst / f64::from(self.z))
        } else {
            worst
        };
        let mean =
            self.caps.of(Which::MachineDeflection) * self.bend_mm * 1000.0 * self.kx.min(self.ky);
        by_peak.min((mean / s.mean_axis).powf(1.0 / p))
    }

    /// Power at the motor for one turn a minute, over `fz^(1-mc)`, W.
    pub fn watt_per_turn(&self, s: &Section) -> f64 {
        // pc = kc1.1 · (c · fz)^-mc · ap · ae · fz · z · n / 60000
        let c = s.mean_thinning * s.mean_lead;
        let at_cutter = self.kc1_1 * c.powf(-self.mc) * s.ap_mm * s.ae_mm * f64::from(self.z);
        at_cutter / 60_000.0 / self.efficiency
    }

    /// Error of a wall and marks of the feed, mm: what a finish is to have little of.
    pub fn finish_error(&self, fz_mm: f64, load: &Load) -> f64 {
        let marks = finish::peak_to_valley(mm(fz_mm), mm(self.d_mm / 2.0));
        load.bend_tool_mm + load.bend_machine_mm + to_mm(marks)
    }
}
