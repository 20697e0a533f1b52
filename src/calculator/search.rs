//! The recommended milling recipe: the best that keeps every limit.
//!
//! Stepover is sought on a grid and then by golden section around its two best places, and for each stepover
//! the depth in the same way. For each pair the forces are a power of the chip load, so the greatest chip load
//! is known at once, and the best speed is among a few: the top, a belt step's end or rated speed, or the one
//! at which the feed ceiling meets a bound of the chip load.

use crate::calculator::MARGIN;
use crate::calculator::answer::Answer;
use crate::calculator::bench::Bench;
use crate::calculator::limit;
use crate::calculator::mill::Section;
use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::calculator::trace;
use crate::cutting::tool_life;
use crate::quantity::Length;
use crate::quantity::m_per_min;
use crate::quantity::mm;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::to_m_per_min;
use crate::quantity::to_minute;
use crate::quantity::to_mm;
use crate::quantity::to_mm_per_min;
use crate::quantity::to_rpm;

/// Stepover of a finishing pass, mm (0.1 to 0.2); common practice, no source.
const FINISH_STEPOVER_MM: f64 = 0.15;
/// A life beyond this, minutes, is no figure any more: a small exponent makes it endless.
const LONGEST_LIFE_MIN: f64 = 1e6;

/// Fixed values as plain numbers.
#[derive(Clone, Copy, Debug)]
struct Given {
    n: Option<f64>,
    vc: Option<f64>,
    fz: Option<f64>,
    vf: Option<f64>,
}

/// A recipe and how good it is.
#[derive(Clone, Copy, Debug)]
struct Found {
    n_rpm: f64,
    fz_mm: f64,
    ap_mm: f64,
    ae_mm: f64,
    worth: f64,
}

/// Least and most of a value.
type Range = (f64, f64);

/// Answers a question about a milling cut.
///
/// # Errors
///
/// Values that contradict each other, or a stepover wider than the tool.
pub fn answer(mut bench: Bench, q: &Question<'_>) -> Result<Answer, Refusal> {
    let mut assumed = bench.assumed.clone();
    let given = Given {
        n: q.fixed.n.map(to_rpm),
        vc: q.fixed.vc.map(to_m_per_min),
        fz: q.fixed.fz.map(to_mm),
        vf: q.fixed.vf.map(to_mm_per_min),
    };
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
    let found = best(&bench, given, ap, stepover);
    let found = found.or_else(|| {
        // The margin cannot be kept; the limits themselves perhaps can.
        bench.margin = 1.0;
        best(&bench, given, ap, stepover)
    });
    let found = found.unwrap_or_else(|| least_bad(&bench, given, ap, stepover));
    let bench = &bench;
    let section = bench.section(found.ap_mm, found.ae_mm);
    let load = bench.load(&section, found.n_rpm, found.fz_mm);
    let used = bench.used(&section, found.n_rpm, found.fz_mm, &load);
    let mut answer = trace::mill(bench, q, &section, found.n_rpm, found.fz_mm, &load);
    answer.limits = limit::in_order(&used);
    answer.assumed = assumed;
    trace::finish(&mut answer, bench, q);
    Ok(keep_fixed(answer, q))
}

/// What was fixed comes back to the last digit.
pub fn keep_fixed(mut answer: Answer, q: &Question<'_>) -> Answer {
    let fixed = q.fixed;
    answer.n = fixed.n.unwrap_or(answer.n);
    answer.vc = fixed.vc.unwrap_or(answer.vc);
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
    let shallow = (0.02 * bench.d_mm).min(0.1);
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
        Cut::Face if bench.is_centred => Ok((0.1 * d, d)),
        Cut::Face => Ok((0.1 * d, 0.75 * d)),
        _ if q.aim == Aim::Finish => one(
            FINISH_STEPOVER_MM.min(0.5 * d),
            "what is left for a finish (common practice, no source)",
        ),
        _ => Ok((0.02 * d, 0.5 * d)),
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

/// The better of two.
fn better(a: Option<Found>, b: Option<Found>) -> Option<Found> {
    match (a, b) {
        (Some(a), Some(b)) if b.worth > a.worth * (1.0 + 1e-9) => Some(b),
        (Some(a), _) => Some(a),
        (None, b) => b,
    }
}

/// The greatest of a function over a range: a grid, then a golden section around its `peaks` highest places.
fn greatest(
    range: Range,
    grid: usize,
    peaks: usize,
    steps: usize,
    of: &mut dyn FnMut(f64) -> Option<Found>,
) -> Option<Found> {
    if range.0 >= range.1 {
        return of(range.0);
    }
    let mut seen = [None; 16];
    let grid = grid.min(seen.len());
    for (i, place) in seen.iter_mut().enumerate().take(grid) {
        *place = of(between(range, i, grid));
    }
    let worth = |found: Option<Found>| found.map_or(0.0, |f| f.worth);
    let mut best = seen[..grid].iter().copied().fold(None, better);
    let mut tops: Vec<usize> = (0..grid)
        .filter(|i| {
            let own = worth(seen[*i]);
            own > 0.0
                && (*i == 0 || own >= worth(seen[i - 1]))
                && (i + 1 == grid || own > worth(seen[i + 1]))
        })
        .collect();
    tops.sort_by(|a, b| worth(seen[*b]).total_cmp(&worth(seen[*a])));
    for top in tops.into_iter().take(peaks) {
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
        best = better(best, better(at_left, at_right));
    }
    best
}

/// The best recipe that keeps every limit, if any does.
fn best(bench: &Bench, given: Given, ap: Range, ae: Range) -> Option<Found> {
    greatest(ae, 10, 2, 7, &mut |ae_mm| {
        greatest(ap, 7, 1, 9, &mut |ap_mm| at(bench, given, ap_mm, ae_mm))
    })
}

/// Highest and least spindle speed that may be chosen.
fn speeds(bench: &Bench, given: Given, de_mm: f64) -> Range {
    let per_turn = std::f64::consts::PI * de_mm / 1000.0;
    if let Some(n) = given.n.or(given.vc.map(|vc| vc / per_turn)) {
        return (n, n);
    }
    let top = bench
        .top_rpm
        .min(bench.margin * bench.speeds.most / per_turn);
    (bench.least_rpm, top)
}

/// The best speed and chip load at a depth and stepover.
fn at(bench: &Bench, given: Given, ap_mm: f64, ae_mm: f64) -> Option<Found> {
    let section = bench.section(ap_mm, ae_mm.min(bench.cutting_diameter(ap_mm)));
    let z = f64::from(bench.z);
    let (low_n, high_n) = speeds(bench, given, section.de_mm);
    let is_n_fixed = low_n == high_n;
    let least_fz = bench.rubbing_fz(&section).max(bench.thin_mm) / bench.margin;
    let most_fz = (bench.margin * bench.most_fz(&section)).min(bench.force_fz(&section));
    if high_n < low_n || least_fz > most_fz {
        return None;
    }
    let ceiling = bench.across.top_feed_mm_min;
    let per_turn = std::f64::consts::PI * section.de_mm / 1000.0;
    let mut candidates = [0.0; 32];
    let mut count = 0;
    let mut add = |n: f64| {
        if n.is_finite() && n >= low_n && n <= high_n && count < candidates.len() {
            candidates[count] = n;
            count += 1;
        }
    };
    match (given.vf, given.fz) {
        (Some(vf), Some(fz)) if !is_n_fixed => add(vf / (z * fz)),
        (Some(vf), _) => {
            add(vf / (z * most_fz));
            add(vf / (z * least_fz));
        }
        (None, Some(fz)) => add(ceiling / (z * fz)),
        (None, None) => {
            add(ceiling / (z * most_fz));
            add(ceiling / (z * least_fz));
        }
    }
    if !(given.vf.is_some() && given.fz.is_some() && !is_n_fixed) {
        if bench.aim == Aim::Life {
            add(bench.speeds.least / per_turn);
        }
        add(low_n);
        add(high_n);
        let rated = to_rpm(bench.rating.speed);
        for (_, ratio, _, top) in &bench.belt {
            add(rated * ratio);
            add(*top);
        }
    }
    let candidates = &mut candidates[..count];
    candidates.sort_by(f64::total_cmp);
    let mut best: Option<Found> = None;
    let mut last_n = f64::NAN;
    let p = 1.0 - bench.mc;
    let watt_per_turn = bench.watt_per_turn(&section);
    let most_to_p = most_fz.powf(p);
    for n_rpm in candidates.iter().copied() {
        if n_rpm == last_n {
            continue;
        }
        last_n = n_rpm;
        let (available, step) = bench.available(n_rpm);
        if (step.is_none() || available <= 0.0) && !is_n_fixed {
            continue;
        }
        // What the motor gives power for: Pm = w · n · fz^(1-mc).
        let by_power = if step.is_some() {
            bench.margin * available / (watt_per_turn * n_rpm)
        } else {
            // A fixed speed that no belt step reaches: the limit of speed speaks.
            f64::INFINITY
        };
        let most = if by_power < most_to_p {
            by_power.powf(1.0 / p)
        } else {
            most_fz
        };
        let most = if given.vf.is_some() || is_n_fixed && given.fz.is_some() {
            most
        } else {
            most.min(ceiling / (z * n_rpm))
        };
        let fz_mm = match (given.fz, given.vf) {
            (Some(fz), _) => fz,
            (None, Some(vf)) => vf / (z * n_rpm),
            (None, None) if bench.aim == Aim::Finish => least_fz,
            (None, None) => most,
        };
        // A whole turn of rounding is let pass.
        if fz_mm > most * (1.0 + 1e-9) || fz_mm < least_fz * (1.0 - 1e-9) {
            continue;
        }
        let worth = worth(bench, n_rpm, fz_mm, &section);
        if best.is_none_or(|old| worth > old.worth * (1.0 + 1e-6)) {
            best = Some(Found {
                n_rpm,
                fz_mm,
                ap_mm,
                ae_mm: section.ae_mm,
                worth,
            });
        }
    }
    best
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
fn least_bad(bench: &Bench, given: Given, ap: Range, ae: Range) -> Found {
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
            let (low_n, high_n) = speeds(bench, given, section.de_mm);
            let least_fz = bench.rubbing_fz(&section).max(bench.thin_mm);
            let most_fz = bench.most_fz(&section);
            let wanted = given.fz.unwrap_or(least_fz.min(most_fz));
            for fz_mm in [wanted, given.fz.unwrap_or(most_fz)] {
                if !fz_mm.is_finite() || fz_mm <= 0.0 {
                    continue;
                }
                let ceiling = given.vf.unwrap_or(bench.across.top_feed_mm_min) / (z * fz_mm);
                let n_rpm = match given.vf {
                    Some(_) if given.n.is_none() && given.vc.is_none() => ceiling,
                    _ => ceiling.clamp(low_n.min(high_n), high_n),
                };
                let fz_mm = match (given.fz, given.vf) {
                    (None, Some(vf)) => vf / (z * n_rpm),
                    _ => fz_mm,
                };
                let load = bench.load(&section, n_rpm, fz_mm);
                let worst = bench
                    .used(&section, n_rpm, fz_mm, &load)
                    .iter()
                    .map(|(_, used)| *used)
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
            n_rpm: bench.least_rpm,
            fz_mm: bench.usual_fz.least,
            ap_mm: ap.0,
            ae_mm: ae.0,
            worth: 0.0,
        },
        |(_, found)| found,
    )
}
