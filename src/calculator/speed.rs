//! The spindle speed of a milling cut.
//!
//! A greater depth must never raise it, and a change of one value is to move the others gently. So it is not sought among
//! depths and stepovers: it is the highest speed that edge, tool rating and spindle allow, or the one at which the feed
//! ceiling still leaves a chip that is nearly as thick as usual and does not rub. A cut that needs less force gets a
//! thinner chip at the same speed, never another speed. Only where the motor lacks the power for the thinnest chip is the
//! speed lowered, step by step.
//!
//! With a rounded corner a deeper cut makes the chip thicker, which would let the speed rise again: what keeps it from
//! rubbing is taken at the shallowest usual depth. A wider cut, too, makes the chip thicker; there the speed may follow,
//! but only where the feed ceiling and rubbing together had lowered it.

use std::f64::consts::PI;

use crate::calculator::MARGIN;
use crate::calculator::bench::Bench;
use crate::calculator::limit::Which;
use crate::calculator::mill::Section;
use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::cutting::chip_thickness;
use crate::cutting::edge_contact;
use crate::quantity::degree;
use crate::quantity::mm;
use crate::quantity::to_m_per_min;
use crate::quantity::to_mm;
use crate::quantity::to_mm_per_min;
use crate::quantity::to_rpm;

/// Share of the least usual chip load that the most feed of the axes must still give at the speed; common practice, no
/// source.
const USUAL_SHARE: f64 = 0.85;

/// Fixed values as plain numbers.
#[derive(Clone, Copy, Debug)]
pub struct Given {
    pub n: Option<f64>,
    pub vc: Option<f64>,
    pub fz: Option<f64>,
    pub vf: Option<f64>,
    /// The speed at less depth, which a free one does not pass.
    pub no_faster: f64,
}

impl Given {
    /// The fixed values of a question.
    pub fn of(fixed: &crate::calculator::question::Fixed) -> Self {
        Self {
            n: fixed.n.map(to_rpm),
            vc: fixed.vc.map(to_m_per_min),
            fz: fixed.fz.map(to_mm),
            vf: fixed.vf.map(to_mm_per_min),
            no_faster: f64::INFINITY,
        }
    }

    /// The speed that these values alone give, at a diameter that cuts: what was fixed as it is, and of a surface speed the
    /// greatest rpm below it that the control can be set to.
    pub fn speed(&self, bench: &Bench, de_mm: f64) -> Option<f64> {
        let by_surface = || Some(bench.set_for(self.vc? * 1000.0 / (PI * de_mm)));
        let by_feed = || Some(self.vf? / (f64::from(bench.z) * self.fz?));
        self.n.or_else(by_surface).or_else(by_feed)
    }

    /// The feed that the speed is worked out from, mm/min: the fixed one, else the most that the axes follow.
    pub fn feed(&self, bench: &Bench) -> f64 {
        self.vf.unwrap_or(bench.across.top_feed_mm_min)
    }
}

/// Shallowest depth that is proposed, mm.
pub fn shallow_mm(bench: &Bench) -> f64 {
    (0.02 * bench.d_mm).min(0.1)
}

/// The thinnest chip load, mm, at which this stepover does not rub at any usual depth.
fn keeps_its_chip(bench: &Bench, s: &Section) -> f64 {
    let here = bench.rubbing_fz(s).max(bench.thin_mm);
    if bench.corner_mm <= 0.0 || bench.cut == Cut::Chamfer {
        return here / MARGIN;
    }
    let (ae, d, square) = (mm(s.ae_mm), mm(bench.d_mm), degree(90.0));
    let thinning = if bench.is_centred {
        1.0
    } else {
        to_mm(chip_thickness::thickest(mm(1.0), ae, d, square))
    };
    let corner = edge_contact::contact(
        mm(shallow_mm(bench)),
        mm(bench.corner_mm),
        degree(bench.lead_deg),
    );
    let shallow = bench.least_chip_mm / (thinning * corner.steepest).max(1e-9);
    // No thicker than the chip may be: where even that rubs, no speed helps.
    let most = bench.most_fz(&Section { thinning, ..*s });
    (shallow.max(here) / MARGIN).min(most)
}

/// The speed to run at while the motor has the power, rpm.
pub fn wanted(bench: &Bench, given: Given, s: &Section) -> f64 {
    if let Some(n) = given.speed(bench, s.de_mm) {
        return n;
    }
    let per_turn = PI * s.de_mm / 1000.0;
    let highest = bench
        .most_rpm()
        .min(bench.caps.speed * bench.speeds.most / per_turn);
    let usual = USUAL_SHARE * bench.usual_fz.least;
    let fz_mm = given
        .fz
        .unwrap_or_else(|| keeps_its_chip(bench, s).max(usual));
    let by_feed = given.feed(bench) / (f64::from(bench.z) * fz_mm);
    let most = bench.settable(highest.min(by_feed)).min(given.no_faster);
    if bench.aim != Aim::Life || given.vf.is_some() {
        return most;
    }
    // An edge lasts longest at its least usual speed; slower gains nothing that is known.
    let slow = (bench.speeds.least / per_turn).max(bench.least_rpm);
    most.min(bench.settable(slow))
}

/// The highest speed up to `most_rpm` at which the motor drives the thinnest chip, rpm.
///
/// `power_w` is the power at the motor for one turn a minute, over `fz^(1-mc)`; `least_fz` gives the thinnest chip load at
/// a speed, mm.
pub fn with_power(
    bench: &Bench,
    most_rpm: f64,
    watt_per_turn: f64,
    least_fz: impl Fn(f64) -> f64,
) -> Option<f64> {
    let p = 1.0 - bench.mc;
    let share = bench.caps.of(Which::MotorPower);
    let drives = |n: f64| {
        let (available, step) = bench.available(n);
        step.is_some() && share * available >= watt_per_turn * n * least_fz(n).powf(p)
    };
    if drives(most_rpm) {
        return Some(most_rpm);
    }
    let rated = to_rpm(bench.rating.speed);
    let cooled = to_rpm(bench.rating.cooled_from);
    let full = share * crate::quantity::to_watt(bench.rating.power);
    // Where the power is the same at every speed, the chip alone says how fast.
    let constant = full / (watt_per_turn * least_fz(most_rpm).powf(p));
    let belt = bench.belt.iter();
    belt.flat_map(|(_, ratio, least, top)| {
        let of_motor = [*top, rated * ratio, cooled * ratio, constant];
        of_motor.map(|n| n.clamp(*least, *top))
    })
    .map(|n| bench.settable(n))
    .filter(|n| *n < most_rpm && drives(*n))
    .max_by(f64::total_cmp)
}
