//! The stepover and the speed that go with a depth: never more at a greater depth.
//!
//! Worked out for each depth alone, the best stepover goes up and down a little: where more teeth overlap, a wider cut is
//! better than at a hair less depth. And a narrower cut may let the motor turn faster. So they are worked out at fixed rungs
//! of depth that are the same whatever depth is asked: coarse ones, each no wider and no faster than the one before, and
//! between two of them, by halves, others that lie between both. A depth gets the stepover of the next rung below it, and a
//! speed no higher than at the rung above it: two depths share all rungs down to where they part, so what holds for the
//! rungs holds for them. What is lost is the stepover that a cut less than a hundredth shallower would have had.
//!
//! The ladder ends where no stepover keeps the limits; what goes with the last rung that did is carried on.

use crate::calculator::bench::Bench;
use crate::calculator::search;
use crate::calculator::search::Range;
use crate::calculator::speed;
use crate::calculator::speed::Given;

/// Depth of a coarse rung over the one before.
const STEP: f64 = 1.6;
/// Halvings between two coarse rungs: the finest lie seven thousandths apart.
const HALVINGS: usize = 6;
/// What is a rung and lost its last digit to units is still that rung.
const SAME: f64 = 1.0 + 1e-9;
/// Most coarse rungs: 1.6 to this power is further than any flutes reach.
const MOST: i32 = 40;

/// Greatest stepover and speed.
#[derive(Clone, Copy, Debug)]
pub struct Rung {
    pub ap_mm: f64,
    pub ae_mm: f64,
    pub n_rpm: f64,
}

/// The stepover for a depth and the speed that it may not pass; `None` where no depth up to there keeps the limits.
pub fn at_depth(bench: &mut Bench, given: Given, ap_mm: f64, ae: Range) -> Option<Rung> {
    let first = speed::shallow_mm(bench);
    let mut shallower: Option<Rung> = None;
    let mut deeper = None;
    let mut end = first;
    for i in 0..MOST {
        end = first * STEP.powi(i);
        deeper = rung(bench, given, end, ae, shallower, None);
        let is_below = end * SAME >= ap_mm;
        if is_below || deeper.is_none() && shallower.is_some() {
            break;
        }
        shallower = deeper;
    }
    if let Some(mut above) = shallower {
        for _ in 0..HALVINGS {
            let middle = (above.ap_mm * end).sqrt();
            let found = rung(bench, given, middle, ae, Some(above), deeper);
            match found {
                Some(found) if middle * SAME < ap_mm => above = found,
                _ => (deeper, end) = (found, middle),
            }
        }
        shallower = Some(above);
    }
    let n_rpm = shallower.map_or(f64::INFINITY, |above| above.n_rpm);
    let here = deeper.or(shallower)?;
    Some(Rung { n_rpm, ..here })
}

/// The stepover for a depth where none up to there keeps the limits: the narrowest of those that pass them least.
pub fn least_bad(bench: &Bench, given: Given, ap_mm: f64, ae: Range) -> f64 {
    let first = speed::shallow_mm(bench);
    let mut narrowest = ae.1;
    for i in 0..MOST {
        let depth = first * STEP.powi(i);
        narrowest = search::least_bad(bench, given, (depth, depth), (ae.0, narrowest)).ae_mm;
        if depth * SAME >= ap_mm {
            break;
        }
    }
    narrowest
}

/// A rung no wider and no faster than the one above it, and no narrower or slower than the one below it.
fn rung(
    bench: &mut Bench,
    mut given: Given,
    ap_mm: f64,
    ae: Range,
    above: Option<Rung>,
    below: Option<Rung>,
) -> Option<Rung> {
    given.no_faster = above.map_or(f64::INFINITY, |above| above.n_rpm);
    let widest = above.map_or(ae.1, |above| above.ae_mm);
    let narrowest = below.map_or(ae.0, |below| below.ae_mm);
    let of = |bench: &mut Bench, ae| {
        let first = bench.caps;
        let found = search::relaxing(bench, given, (ap_mm, ap_mm), ae, true);
        bench.caps = first;
        found.map(|found| Rung {
            ap_mm,
            ae_mm: found.ae_mm,
            n_rpm: found.n_rpm,
        })
    };
    let own = of(bench, (narrowest, widest));
    match (own, below) {
        (Some(own), Some(below)) if own.n_rpm < below.n_rpm => {
            // As narrow as below the motor drives it at least as fast.
            of(bench, (narrowest, narrowest)).or(Some(own))
        }
        _ => own,
    }
}
