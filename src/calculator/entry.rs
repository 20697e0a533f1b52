//! How the tool gets into the metal with this recipe: the ramp, the helix and the plunge that the limits let through.
//!
//! A ramp is a slot as wide as the tool and at its end as deep as the pass, whatever the stepover of the cut that
//! follows: a side cut that the machine stands may be far too deep to ramp to. So the ramp is held against the
//! same limits, and where they do not let the whole depth through, it goes down in several passes.

use crate::calculator;
use crate::calculator::bench::Bench;
use crate::calculator::bench::GRIP_SHARE;
use crate::calculator::bench::PUSH_SHARE;
use crate::calculator::limit::Which;
use crate::calculator::question::Cut;
use crate::calculator::question::Fixed;
use crate::calculator::question::Question;
use crate::calculator::search;
use crate::cutting::entry;
use crate::job::tool::Kind;
use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::degree;
use crate::quantity::mm;
use crate::quantity::mm_per_min;
use crate::quantity::rpm;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::show::three_digits;
use crate::quantity::to_mm;
use crate::quantity::to_mm_per_min;
use crate::quantity::to_radian;

/// Bore of the helix that is named, in diameters; up to 2 leaves no core. Common practice, no source.
const HELIX_BORE: f64 = 1.5;
/// A ramp that must be shallower than this share of the depth is none.
const SHALLOWEST: f64 = 0.02;

/// A ramp, or a helix, which is a ramp wound up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ramp {
    /// Angle against the surface.
    pub angle: Angle,
    /// Feed along the ramp.
    pub feed: Feed,
    /// Deepest that one pass of it may go with every limit kept; at most the depth of the cut.
    pub depth: Length,
    /// Bore of a helix.
    pub bore: Length,
    /// How far down that helix goes in a turn.
    pub per_turn: Length,
}

/// Ways into the metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// Ramp or helix; `None` when no depth of it keeps the limits.
    pub ramp: Option<Ramp>,
    /// Feed straight down; `None` for a tool that does not cut at its centre, or a head that cannot push it.
    pub plunge: Option<Feed>,
    /// Whether the tool cuts to its centre.
    pub cuts_centre: bool,
}

/// Returns the ways in for a milling recipe.
///
/// `None` for cuts that are entered from outside the metal: a face, a chamfer, a thread, and any cut of a tool
/// that cuts at its rim only.
pub fn entry(bench: &Bench, q: &Question<'_>, n_rpm: f64, fz_mm: f64, ap_mm: f64) -> Option<Entry> {
    let goes_down = matches!(q.tool.kind, Kind::EndMill | Kind::Ball | Kind::BullNose);
    if !goes_down || !matches!(q.cut, Cut::Side | Cut::Slot) {
        return None;
    }
    Some(Entry {
        ramp: ramp(bench, n_rpm, fz_mm, ap_mm),
        plunge: plunge(bench, q, n_rpm),
        cuts_centre: q.tool.centre_cutting,
    })
}

fn ramp(bench: &Bench, n_rpm: f64, fz_mm: f64, ap_mm: f64) -> Option<Ramp> {
    let z = f64::from(bench.z);
    let angle = degree(entry::RAMP_DEG);
    // Half the feed, but not so little that it rubs.
    let slot = bench.section(ap_mm, bench.cutting_diameter(ap_mm));
    let fz_mm = (fz_mm * entry::RAMP_SHARE).max(bench.rubbing_fz(&slot).min(fz_mm));
    let sine = to_radian(angle).sin();
    let feed = (fz_mm * z * n_rpm).min(bench.down.top_feed_mm_min / sine);
    let is_kept = |depth: f64| {
        let section = bench.section(depth, bench.cutting_diameter(depth));
        let load = bench.load(&section, n_rpm, fz_mm);
        let push = load.in_cut_n + bench.across.friction_n;
        let hold = bench.part_hold_n.unwrap_or(f64::INFINITY);
        let most = |which| bench.caps.of(which);
        push <= most(Which::AxisPush) * PUSH_SHARE * bench.across.push_n
            && load.bend_tool_mm <= most(Which::ToolDeflection) * bench.bend_mm
            && load.bend_machine_mm <= most(Which::MachineDeflection) * bench.bend_mm
            && load.pull_n <= most(Which::ToolGrip) * GRIP_SHARE * bench.grip_n
            && load.pull_n <= most(Which::PartHold) * GRIP_SHARE * hold
            // Outside every belt step the limit of speed speaks.
            && (load.available_w <= 0.0 || load.motor_w <= most(Which::MotorPower) * load.available_w)
    };
    let depth = if is_kept(ap_mm) {
        ap_mm
    } else {
        let least = SHALLOWEST * ap_mm;
        if !is_kept(least) {
            return None;
        }
        search::by_halves((least, ap_mm), 10, is_kept)
    };
    let bore = mm(HELIX_BORE * bench.d_mm);
    Some(Ramp {
        angle,
        feed: mm_per_min(feed),
        depth: mm(depth),
        bore,
        per_turn: entry::depth_per_turn(angle, bore, mm(bench.d_mm)),
    })
}

/// Feed straight down: what a plunge at this speed is given. It hangs on tool, metal, head and motor alone, not on how the
/// cut that follows was found.
fn plunge(bench: &Bench, q: &Question<'_>, n_rpm: f64) -> Option<Feed> {
    if !q.tool.centre_cutting {
        return None;
    }
    let mut down = q.clone();
    down.cut = Cut::Plunge;
    down.fixed = Fixed {
        n: Some(rpm(n_rpm)),
        ..Fixed::default()
    };
    let found = calculator::answer(&down).ok()?;
    let is_too_weak = found.limits.iter().any(|limit| {
        matches!(limit.which, Which::AxisPush | Which::MotorPower) && limit.is_exceeded()
    });
    if is_too_weak {
        return None;
    }
    // A chip load that was fixed thinner is not passed, but a chip must form.
    let fixed = q.fixed.fz.map_or(f64::INFINITY, to_mm);
    let fz_mm = to_mm(found.fz).min(fixed.max(bench.least_chip_mm));
    let feed = fz_mm * f64::from(bench.z) * n_rpm;
    Some(mm_per_min(feed.min(bench.down.top_feed_mm_min)))
}

impl Entry {
    /// What to do, in one or two sentences, for a cut of this depth.
    pub fn words(&self, depth: Length) -> Vec<String> {
        let mut words = vec![];
        match &self.ramp {
            Some(ramp) => {
                let reaches = to_mm(ramp.depth) >= to_mm(depth) * (1.0 - 1e-9);
                let deep = if reaches {
                    format!(
                        "{} mm long for this depth",
                        three_digits(to_mm(entry::ramp_length(depth, ramp.angle)))
                    )
                } else {
                    format!(
                        "no deeper than {} a pass: it cuts full width",
                        show::length(mm(floor(to_mm(ramp.depth))), Units::Both)
                    )
                };
                words.push(format!(
                    "ramp at {} and {}, {deep}; or helix, {} mm bore, {} mm a turn",
                    show::angle(ramp.angle),
                    show::feed(mm_per_min(to_mm_per_min(ramp.feed).floor()), Units::Both),
                    three_digits(to_mm(ramp.bore)),
                    three_digits(to_mm(ramp.per_turn))
                ));
            }
            None => {
                words.push("no ramp keeps the limits: come in from outside the metal".to_owned())
            }
        }
        words.push(match (self.plunge, self.cuts_centre) {
            (Some(feed), _) => format!(
                "straight down at most {}",
                show::feed(mm_per_min(to_mm_per_min(feed).floor()), Units::Both)
            ),
            (None, true) => {
                "never straight down: the head does not push hard enough for a chip, or the motor stalls"
                    .to_owned()
            }
            (None, false) => "never straight down: it does not cut at its centre".to_owned(),
        });
        words
    }
}

/// A bound is shown rounded down, to a hundredth.
fn floor(value: f64) -> f64 {
    ((value * 100.0).floor() / 100.0).max(0.01)
}
