//! The recommended milling recipe: the best that keeps every limit.
//!
//! Depth is sought on a grid and then by golden section around its best place, and for each depth the stepover that goes
//! with it; [`crate::calculator::ladder`] sees to it that a greater depth raises neither stepover nor speed. For each pair
//! the forces are a power of the chip load, so the greatest chip load is known at once, and [`crate::calculator::speed`]
//! gives the speed.
//!
//! A wide cut with thin chips and a narrow one with thick chips are often nearly as good. Taking the better of the two would
//! make the stepover jump between them for a hair of depth, down and up again. So the widest place that is better than its
//! neighbours is taken: a greater depth only narrows it, and a jump comes only where limits end the wide cut. They are named.

use crate::calculator::MARGIN;
use crate::calculator::answer::Answer;
use crate::calculator::bench::Bench;
use crate::calculator::caps;
use crate::calculator::caps::Caps;
use crate::calculator::increase;
use crate::calculator::ladder;
use crate::calculator::limit;
use crate::calculator::limit::Which;
use crate::calculator::mill::Section;
use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::calculator::speed;
use crate::calculator::speed::Given;
use crate::calculator::trace;
use crate::cutting::finish;
use crate::cutting::tool_life;
use crate::quantity::Length;
use crate::quantity::m_per_min;
use crate::quantity::mm;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::to_minute;
use crate::quantity::to_mm;

/// Stepover of a finishing pass, mm (0.1 to 0.2); common practice, no source.
const FINISH_STEPOVER_MM: f64 = 0.15;
/// Cusps that a finishing ball leaves, mm; common practice, no source.
const FINISH_CUSP_MM: f64 = 0.005;
/// A life beyond this, minutes, is no figure any more: a small exponent makes it endless.
const LONGEST_LIFE_MIN: f64 = 1e6;

/// A recipe and how good it is.
#[derive(Clone, Copy, Debug)]
pub struct Found {
    pub n_rpm: f64,
    fz_mm: f64,
    ap_mm: f64,
    pub ae_mm: f64,
    worth: f64,
}

/// Least and most of a value.
pub type Range = (f64, f64);

/// Answers a question about a milling cut.
///
/// # Errors
///
/// Values that contradict each other, or a stepover wider than the tool.
pub fn answer(mut bench: Bench, q: &Question<'_>) -> Result<Answer, Refusal> {
    let mut assumed = bench.assumed.clone();
    let given = Given::of(&q.fixed);
    let ap = depth_range(&bench, q, &mut assumed)?;
    let stepover = stepover_range(&bench, q, &mut assumed)?;
    let deepest = bench.cutting_diameter(ap.0);
    if let Some(ae) = q.fixed.ae.map(to_mm)
        && ae > bench.cutting_diameter(ap.1) * (1.0 + 1e-9)
    {
        return Err(Refusal::TooWide {
            bound: show::length(mm(bench.cutting_diameter(ap.1)), Units::Both),
        });
    }
    if let Some(ae) = q.fixed.ae.map(to_mm)
        && q.cut == Cut::Slot
        && (ae - bench.d_mm).abs() > 1e-3 * bench.d_mm
    {
        return Err(Refusal::SlotWidth {
            bound: show::length(mm(bench.d_mm), Units::Both),
        });
    }
    let stepover = if stepover.0 > deepest && ap.0 == ap.1 {
        (deepest, deepest)
    } else {
        stepover
    };
    if let (Some(fz), Some(vf)) = (given.fz, given.vf)
        && (given.n.is_some() || given.vc.is_some())
    {
        let n = given
            .n
            .unwrap_or_else(|| given.vc.unwrap_or(0.0) * 1000.0 / (std::f64::consts::PI * deepest));
        if ((fz * f64::from(bench.z) * n - vf) / vf).abs() > 0.005 {
            return Err(Refusal::FeedTwice);
        }
    }
    let depth = if ap.0 < ap.1 {
        best_depth(&mut bench, given, ap, stepover)
    } else {
        ap.0
    };
    let found = recipe(&mut bench, given, depth, stepover);
    let bench = &bench;
    let section = bench.section(found.ap_mm, found.ae_mm);
    let load = bench.load(&section, found.n_rpm, found.fz_mm);
    let used = bench.used(&section, found.n_rpm, found.fz_mm, &load);
    let mut answer = trace::mill(bench, q, &section, found.n_rpm, found.fz_mm, &load);
    answer.limits = limit::in_order(&used, &Caps::first(q.tool.edge));
    let cut = increase::Cutting {
        n_rpm: found.n_rpm,
        fz_mm: found.fz_mm,
        ap_mm: found.ap_mm,
        ae_mm: found.ae_mm,
    };
    if q.aim != Aim::Finish && !matches!(q.cut, Cut::Chamfer | Cut::Thread) && !answer.is_exceeded()
    {
        answer.increases = increase::of_mill(bench, &q.fixed, cut);
    }
    answer.width_held_by = width_held_by(bench, given, &found, stepover);
    answer.assumed = assumed;
    trace::finish(&mut answer, bench, q);
    Ok(keep_fixed(answer, q))
}

/// What was fixed comes back to the last digit.
pub fn keep_fixed(mut answer: Answer, q: &Question<'_>) -> Answer {
    let fixed = q.fixed;
    answer.n = fixed.n.unwrap_or(answer.n);
    answer.fz = fixed.fz.unwrap_or(answer.fz);
    answer.vf = fixed.vf.unwrap_or(answer.vf);
    answer.ap = fixed.ap.unwrap_or(answer.ap);
    answer.ae = fixed.ae.unwrap_or(answer.ae);
    answer
}

fn depth_range(
    bench: &Bench,
    q: &Question<'_>,
    assumed: &mut Vec<String>,
) -> Result<Range, Refusal> {
    let fix = |value: Length| Ok((to_mm(value), to_mm(value)));
    if let Some(ap) = q.fixed.ap {
        return fix(ap);
    }
    let most = (MARGIN * bench.flute_mm).min(2.0 * bench.d_mm);
    let shallow = speed::shallow_mm(bench);
    let one = |value: f64, why: &str, assumed: &mut Vec<String>| {
        assumed.push(format!("depth {} mm, {why}", show::three_digits(value)));
        Ok((value, value))
    };
    match q.cut {
        Cut::Chamfer => one(
            (0.5_f64).min(most),
            "a small chamfer (common practice, no source)",
            assumed,
        ),
        Cut::Thread => {
            let pitch = pitch_mm(q).ok_or(Refusal::NoPitch)?;
            one(pitch, "one pitch a turn", assumed)
        }
        Cut::Slot => {
            let packed = match bench.total_depth_mm {
                Some(total) => total,
                None => MARGIN * bench.depth_bound * bench.d_mm,
            };
            let most = most.min(packed);
            Ok((shallow.min(most), most))
        }
        _ => {
            assumed.push(format!(
                "the depth is sought up to {} mm, two diameters or the flutes",
                show::three_digits(most)
            ));
            Ok((shallow, most))
        }
    }
}

fn stepover_range(
    bench: &Bench,
    q: &Question<'_>,
    assumed: &mut Vec<String>,
) -> Result<Range, Refusal> {
    if let Some(ae) = q.fixed.ae {
        return Ok((to_mm(ae), to_mm(ae)));
    }
    let d = bench.d_mm;
    let widest = q.widest.map_or(f64::INFINITY, to_mm);
    // A ball cuts wider the deeper it goes: what it cuts at a shallow pass is wide enough at any depth.
    let widest = if bench.corner_mm > 0.0 {
        widest.min(bench.cutting_diameter(speed::shallow_mm(bench)))
    } else {
        widest
    };
    let up_to = |least: f64, most: f64| Ok((least.min(widest), most.min(widest)));
    let mut one = |value: f64, why: &str| {
        assumed.push(format!("stepover {} mm, {why}", show::three_digits(value)));
        Ok((value, value))
    };
    match q.cut {
        Cut::Slot => Ok((d, d)),
        Cut::Chamfer => {
            let depth = q.fixed.ap.map_or(0.5, to_mm);
            let width = depth * bench.lead_deg.to_radians().tan();
            one(
                width.min(bench.cutting_diameter(depth)),
                "the width of the chamfer",
            )
        }
        Cut::Thread => {
            let pitch = pitch_mm(q).ok_or(Refusal::NoPitch)?;
            one(
                (0.613_434 * pitch).min(d),
                "the height of the outside thread profile",
            )
        }
        Cut::Face if q.aim == Aim::Finish && bench.is_ball() => one(
            to_mm(finish::stepover(mm(FINISH_CUSP_MM), mm(bench.corner_mm))).min(widest),
            "which leaves cusps of 0.005 mm (common practice, no source)",
        ),
        Cut::Face if bench.is_centred => up_to(0.1 * d, d),
        Cut::Face => up_to(0.1 * d, 0.75 * d),
        _ if q.aim == Aim::Finish => one(
            FINISH_STEPOVER_MM.min(0.5 * d),
            "what is left for a finish (common practice, no source)",
        ),
        _ => up_to(0.02 * d, 0.5 * d),
    }
}

/// Pitch of the thread to be cut.
pub fn pitch_mm(q: &Question<'_>) -> Option<f64> {
    q.pitch
        .map(to_mm)
        .or(q.tool.pitch_mm)
        .filter(|pitch| *pitch > 0.0)
}

/// Point `i` of `count` between the ends, evenly spaced by ratio.
fn between(range: Range, i: usize, count: usize) -> f64 {
    if range.0 == range.1 || count < 2 {
        return range.0;
    }
    range.0 * (range.1 / range.0).powf(i as f64 / (count - 1) as f64)
}

/// The greatest value between one that fits and one that does not, by so many halvings.
pub fn by_halves((mut low, mut high): Range, steps: usize, fits: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..steps {
        let middle = f64::midpoint(low, high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// The better of two.
fn better(a: Option<Found>, b: Option<Found>) -> Option<Found> {
    match (a, b) {
        (Some(a), Some(b)) if b.worth > a.worth * (1.0 + 1e-9) => Some(b),
        (Some(a), _) => Some(a),
        (None, b) => b,
    }
}

/// The greatest of a function over a range: a grid, then a golden section around its highest place, or around the last
/// place that is higher than its neighbours.
fn greatest(
    range: Range,
    (grid, steps): (usize, usize),
    is_last: bool,
    of: &mut dyn FnMut(f64) -> Option<Found>,
) -> Option<Found> {
    if range.0 >= range.1 {
        return of(range.0);
    }
    let mut seen = [None; 16];
    let grid = grid.min(seen.len());
    let worth = |found: Option<Found>| found.map_or(0.0, |f| f.worth);
    let is_top = |seen: &[Option<Found>], i: usize| {
        let own = worth(seen[i]);
        own > 0.0
            && (i == 0 || own >= worth(seen[i - 1]))
            && (i + 1 == grid || own > worth(seen[i + 1]))
    };
    let mut top = None;
    for i in (0..grid).rev() {
        seen[i] = of(between(range, i, grid));
        if is_last && i + 1 < grid && is_top(&seen, i + 1) {
            // What lies before the last top is not asked.
            top = Some(i + 1);
            break;
        }
    }
    let top = match top {
        Some(top) => top,
        None => (0..grid)
            .filter(|i| is_top(&seen, *i))
            .max_by(|a, b| worth(seen[*a]).total_cmp(&worth(seen[*b])))?,
    };
    let mut best = seen[top];
    let mut low = between(range, top.saturating_sub(1), grid);
    let mut high = between(range, (top + 1).min(grid - 1), grid);
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let inner = |low: f64, high: f64| {
        let span = high - low;
        (high - GOLDEN * span, low + GOLDEN * span)
    };
    let (mut left, mut right) = inner(low, high);
    let (mut at_left, mut at_right) = (of(left), of(right));
    for _ in 0..steps {
        best = better(best, better(at_left, at_right));
        if worth(at_left) >= worth(at_right) {
            high = right;
            (right, at_right) = (left, at_left);
            left = inner(low, high).0;
            at_left = of(left);
        } else {
            low = left;
            (left, at_left) = (right, at_right);
            right = inner(low, high).1;
            at_right = of(right);
        }
    }
    better(best, better(at_left, at_right))
}

/// The depth at which most is gained where its best stepover goes with it; a limit is relaxed only where none keeps all of them.
fn best_depth(bench: &mut Bench, given: Given, ap: Range, ae: Range) -> f64 {
    let first = bench.caps;
    let found = relaxing(bench, given, ap, ae, false);
    let depth = found.map_or_else(
        || least_bad(bench, given, ap, ae).ap_mm,
        |found| found.ap_mm,
    );
    bench.caps = first;
    depth
}

/// The recipe at a depth; the caps of the bench are then those that it keeps.
fn recipe(bench: &mut Bench, mut given: Given, ap_mm: f64, mut ae: Range) -> Found {
    let first = bench.caps;
    if ae.0 < ae.1
        && let Some(rung) = ladder::at_depth(bench, given, ap_mm, ae)
    {
        ae = (rung.ae_mm, rung.ae_mm);
        given.no_faster = rung.n_rpm;
    }
    if let Some(found) = relaxing(bench, given, (ap_mm, ap_mm), ae, true) {
        return found;
    }
    if ae.0 == ae.1 {
        // A shallower slot may have been turned slower for the power: what passes its limits is not to turn faster.
        let whole = bench.caps;
        bench.caps = first;
        if let Some(rung) = ladder::at_depth(bench, given, ap_mm, ae) {
            given.no_faster = rung.n_rpm;
        }
        bench.caps = whole;
    }
    if ae.0 < ae.1 {
        let width = ladder::least_bad(bench, given, ap_mm, ae);
        ae = (width, width);
    }
    least_bad(bench, given, (ap_mm, ap_mm), ae)
}

/// The best recipe at a depth.
pub fn at_depth(bench: &Bench, given: Given, ap_mm: f64, ae: Range) -> Option<Found> {
    /// Logarithm of a stepover over the next narrower one of the grid: from a fiftieth to half the diameter in 15 steps.
    const APART: f64 = 0.215;
    let count = ((ae.1 / ae.0).ln() / APART).ceil() as usize + 1;
    greatest(ae, (count.clamp(3, 16), 6), true, &mut |ae_mm| {
        at(bench, given, ap_mm, ae_mm)
    })
}

/// The best recipe in these ranges with as few limits relaxed as is needed, one after the other, and if `sparing` each no further than it
/// must; the bench then has the caps that the recipe keeps.
///
/// Neither the speed rating of the tool nor the surface speed is relaxed. `None` where even whole limits leave no recipe.
pub fn relaxing(
    bench: &mut Bench,
    given: Given,
    ap: Range,
    ae: Range,
    sparing: bool,
) -> Option<Found> {
    /// Halvings between the share of a first cut and the whole limit: to about a hundredth.
    const STEPS: usize = 5;
    let of = |bench: &Bench| {
        if ap.0 < ap.1 {
            greatest(ap, (10, 9), false, &mut |ap_mm| {
                at_depth(bench, given, ap_mm, ae)
            })
        } else {
            at_depth(bench, given, ap.0, ae)
        }
    };
    let first = bench.caps;
    let mut relaxed = vec![];
    let mut found = loop {
        if let Some(found) = of(bench) {
            break found;
        }
        let Some(worst) = worst_of_nearest(bench, given, ap, ae) else {
            bench.caps.whole();
            let found = of(bench)?;
            relaxed = caps::LOADS.to_vec();
            relaxed.extend([Which::ChipLoad, Which::Rubbing]);
            break found;
        };
        bench.caps.relax(worst, 1.0);
        relaxed.push(worst);
    };
    if !sparing {
        return Some(found);
    }
    for which in relaxed {
        let (mut low, mut high) = (first.of(which), 1.0);
        bench.caps.relax(which, low);
        if let Some(better) = of(bench) {
            found = better;
            continue;
        }
        for _ in 0..STEPS {
            let middle = f64::midpoint(low, high);
            bench.caps.relax(which, middle);
            match of(bench) {
                Some(better) => (found, high) = (better, middle),
                None => low = middle,
            }
        }
        bench.caps.relax(which, high);
    }
    Some(found)
}

/// The limit that the recipe nearest to the caps passes most and that may be relaxed; `None` where there is no such one any more.
fn worst_of_nearest(bench: &Bench, given: Given, ap: Range, ae: Range) -> Option<Which> {
    let near = least_bad(bench, given, ap, ae);
    let section = bench.section(near.ap_mm, near.ae_mm);
    let load = bench.load(&section, near.n_rpm, near.fz_mm);
    let used = bench.used(&section, near.n_rpm, near.fz_mm, &load);
    let over = |(which, used): &(Which, f64)| *used / bench.caps.of(*which);
    let may_relax = |which: Which| {
        let mut caps = bench.caps;
        caps.relax(which, 1.0) && bench.caps.of(which) < 1.0
    };
    used.iter()
        .filter(|one| over(one) > 1.0 + 1e-9 && may_relax(one.0))
        .max_by(|a, b| over(a).total_cmp(&over(b)))
        .map(|(which, _)| *which)
}

/// The best chip load at a depth and stepover, at the speed that goes with them.
fn at(bench: &Bench, given: Given, ap_mm: f64, ae_mm: f64) -> Option<Found> {
    let section = bench.section(ap_mm, ae_mm.min(bench.cutting_diameter(ap_mm)));
    let z = f64::from(bench.z);
    let is_n_fixed = given.n.is_some() || given.vc.is_some();
    let least_fz = bench.rubbing_fz(&section).max(bench.thin_mm) / bench.caps.rubbing;
    let most_fz = (bench.caps.chip * bench.most_fz(&section)).min(bench.force_fz(&section));
    if least_fz > most_fz {
        return None;
    }
    let wanted = speed::wanted(bench, given, &section);
    let is_in_range = wanted >= bench.least_rpm && wanted <= bench.most_rpm() * (1.0 + 1e-9);
    if !is_n_fixed && !is_in_range {
        return None;
    }
    let watt_per_turn = bench.watt_per_turn(&section);
    let thinnest = |n: f64| match (given.fz, given.vf) {
        (Some(fz), _) => fz,
        (None, Some(vf)) => vf / (z * n),
        (None, None) => least_fz,
    };
    let n_rpm = if given.speed(bench, section.de_mm).is_some() {
        wanted
    } else {
        speed::with_power(bench, wanted, watt_per_turn, thinnest)?
    };
    let (available, step) = bench.available(n_rpm);
    // What the motor gives power for: Pm = w · n · fz^(1-mc). At a fixed speed that no belt step reaches the limit
    // of speed speaks.
    let by_power = if step.is_some() {
        (bench.caps.of(Which::MotorPower) * available / (watt_per_turn * n_rpm))
            .powf(1.0 / (1.0 - bench.mc))
    } else {
        f64::INFINITY
    };
    let mut most = most_fz.min(by_power);
    if given.vf.is_none() && !(is_n_fixed && given.fz.is_some()) {
        most = most.min(bench.across.top_feed_mm_min / (z * n_rpm));
    }
    let fz_mm = match (given.fz, given.vf) {
        (None, None) if bench.aim != Aim::Finish => most,
        _ => thinnest(n_rpm),
    };
    // A whole turn of rounding is let pass.
    if fz_mm > most * (1.0 + 1e-9) || fz_mm < least_fz * (1.0 - 1e-9) {
        return None;
    }
    Some(Found {
        n_rpm,
        fz_mm,
        ap_mm,
        ae_mm: section.ae_mm,
        worth: worth(bench, n_rpm, fz_mm, &section),
    })
}

/// What holds the stepover where it was free and is not as wide as it may be: dangers at their margin at a twentieth more,
/// or at twice as much, where the chip would have to be thinner, or thinner than it may be.
fn width_held_by(bench: &Bench, given: Given, found: &Found, ae: Range) -> Vec<Which> {
    if ae.0 >= ae.1 {
        return vec![];
    }
    for by in [1.05, 2.0] {
        let ae_mm = (by * found.ae_mm).min(ae.1);
        if ae_mm <= found.ae_mm * 1.01 {
            continue;
        }
        let section = bench.section(found.ap_mm, ae_mm);
        let (n_rpm, fz_mm) = match at(bench, given, found.ap_mm, ae_mm) {
            Some(wider) if wider.fz_mm >= found.fz_mm * (1.0 - 1e-3) => continue,
            Some(wider) => (wider.n_rpm, wider.fz_mm),
            None => {
                let least = bench.rubbing_fz(&section).max(bench.thin_mm) / bench.caps.rubbing;
                let n_rpm = speed::wanted(bench, given, &section);
                (n_rpm, given.fz.unwrap_or(least))
            }
        };
        let load = bench.load(&section, n_rpm, fz_mm);
        let used = bench.used(&section, n_rpm, fz_mm, &load).into_iter();
        let is_held = |(which, used): &(Which, f64)| {
            which.kind() == limit::Kind::Danger && *used >= bench.caps.of(*which) * (1.0 - 1e-3)
        };
        let held: Vec<Which> = used.filter(is_held).map(|(which, _)| which).collect();
        if !held.is_empty() {
            return held;
        }
    }
    vec![]
}

/// What the aim calls good.
fn worth(bench: &Bench, n_rpm: f64, fz_mm: f64, section: &Section) -> f64 {
    let vf = fz_mm * f64::from(bench.z) * n_rpm;
    let rate = section.ap_mm * section.ae_mm * vf;
    match bench.aim {
        Aim::Removal => rate,
        // Wall, or floor, finished in a minute for each millimetre of error.
        Aim::Finish => {
            let load = bench.load(section, n_rpm, fz_mm);
            let width = if bench.cut == Cut::Face {
                section.ae_mm
            } else {
                section.ap_mm
            };
            width * vf / bench.finish_error(fz_mm, &load).max(1e-9)
        }
        Aim::Life => {
            // Slower than the least usual speed gains nothing that is known.
            let vc = std::f64::consts::PI * section.de_mm * n_rpm / 1000.0;
            let vc = vc.max(bench.speeds.least);
            match bench.taylor {
                Some((c, n)) => {
                    let life = to_minute(tool_life::life(m_per_min(c), n, m_per_min(vc)));
                    rate * life.min(LONGEST_LIFE_MIN)
                }
                None => rate / vc.powi(4),
            }
        }
    }
}

/// The recipe that passes its limits least, when none keeps them.
pub fn least_bad(bench: &Bench, given: Given, ap: Range, ae: Range) -> Found {
    const COARSE: usize = 5;
    let points = |range: Range| if range.0 == range.1 { 1 } else { COARSE };
    let z = f64::from(bench.z);
    let mut best: Option<(f64, Found)> = None;
    for i in 0..points(ap) {
        for j in 0..points(ae) {
            let ap_mm = between(ap, i, points(ap));
            let section = bench.section(
                ap_mm,
                between(ae, j, points(ae)).min(bench.cutting_diameter(ap_mm)),
            );
            let n_rpm = speed::wanted(bench, given, &section);
            let least_fz = bench.rubbing_fz(&section).max(bench.thin_mm);
            let most_fz = bench.most_fz(&section);
            let wanted = given.fz.unwrap_or(least_fz.min(most_fz));
            for fz_mm in [wanted, given.fz.unwrap_or(most_fz)] {
                if !fz_mm.is_finite() || fz_mm <= 0.0 {
                    continue;
                }
                let most_at_feed = given.feed(bench) / (z * n_rpm);
                let fz_mm = match (given.fz, given.vf) {
                    (None, Some(_)) => most_at_feed,
                    (None, None) => fz_mm.min(most_at_feed),
                    _ => fz_mm,
                };
                let load = bench.load(&section, n_rpm, fz_mm);
                let worst = bench
                    .used(&section, n_rpm, fz_mm, &load)
                    .iter()
                    .map(|(which, used)| *used / bench.caps.of(*which))
                    .fold(0.0, f64::max);
                if best.is_none_or(|(old, _)| worst < old) {
                    let found = Found {
                        n_rpm,
                        fz_mm,
                        ap_mm,
                        ae_mm: section.ae_mm,
                        worth: 0.0,
                    };
                    best = Some((worst, found));
                }
            }
        }
    }
    best.map_or(
        Found {
            n_rpm: bench.least_rpm.min(bench.most_rpm()),
            fz_mm: bench.usual_fz.least,
            ap_mm: ap.0,
            ae_mm: ae.0,
            worth: 0.0,
        },
        |(_, found)| found,
    )
}
