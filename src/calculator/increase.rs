//! What to raise next once a first cut has gone well: one value at a time, with the share of the limits that it then uses.

use crate::calculator::MARGIN;
use crate::calculator::bench::Bench;
use crate::calculator::caps::LOADS;
use crate::calculator::limit::Kind;
use crate::calculator::limit::Which;
use crate::calculator::question::Cut;
use crate::calculator::question::Fixed;
use crate::calculator::search;
use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::SpindleSpeed;
use crate::quantity::mm;
use crate::quantity::mm_per_min;
use crate::quantity::rpm;

/// Shares of the load limits that the two increases go up to.
const UP_TO: [f64; 2] = [0.7, 0.8];

/// Less than this is no increase that anybody would notice at the mill.
const LEAST: f64 = 1.05;

/// Most that one value is raised at once.
const MOST: f64 = 1.5;

/// The value that is raised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Raised {
    /// The feed, at the same speed.
    Feed(Feed),
    /// The stepover.
    Stepover(Length),
    /// The depth.
    Depth(Length),
    /// The speed, at the same feed per turn.
    Speed(SpindleSpeed, Feed),
}

impl Raised {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Feed(_) => "feed",
            Self::Stepover(_) => "stepover",
            Self::Depth(_) => "depth",
            Self::Speed(_, _) => "speed",
        }
    }
}

/// One increase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Increase {
    /// What is raised, and to what.
    pub raised: Raised,
    /// The load limit that is then used most.
    pub which: Which,
    /// Its share.
    pub used: f64,
}

/// A milling cut as plain numbers.
#[derive(Clone, Copy, Debug)]
pub struct Cutting {
    /// Speed.
    pub n_rpm: f64,
    /// Chip load.
    pub fz_mm: f64,
    /// Depth.
    pub ap_mm: f64,
    /// Stepover.
    pub ae_mm: f64,
}

/// A hole as plain numbers.
#[derive(Clone, Copy, Debug)]
pub struct Boring {
    /// Speed.
    pub n_rpm: f64,
    /// Chip load.
    pub fz_mm: f64,
}

/// One value of a cut times a factor.
type Change = fn(Cutting, f64) -> Cutting;

/// The next two increases of a milling cut; what is fixed stays.
pub fn of_mill(bench: &Bench, fixed: &Fixed, cut: Cutting) -> Vec<Increase> {
    let used = |c: Cutting| {
        let section = bench.section(c.ap_mm, c.ae_mm.min(bench.cutting_diameter(c.ap_mm)));
        let load = bench.load(&section, c.n_rpm, c.fz_mm);
        bench.used(&section, c.n_rpm, c.fz_mm, &load)
    };
    let is_slot = bench.cut == Cut::Slot;
    let knobs: [(bool, Change); 3] = [
        (fixed.vf.is_none() && fixed.fz.is_none(), |c, by| Cutting {
            fz_mm: c.fz_mm * by,
            ..c
        }),
        (fixed.ae.is_none() && !is_slot, |c, by| Cutting {
            ae_mm: c.ae_mm * by,
            ..c
        }),
        (fixed.ap.is_none(), |c, by| Cutting {
            ap_mm: c.ap_mm * by,
            ..c
        }),
    ];
    let mut all = vec![];
    let mut now = cut;
    for up_to in UP_TO {
        let before = used(now);
        let fits = |c: Cutting| {
            c.ae_mm <= widest(bench, c).max(now.ae_mm)
                && used(c)
                    .iter()
                    .zip(&before)
                    .all(|((which, used), (_, was))| {
                        *used <= most(*which, up_to).max(*was) * (1.0 + 1e-9)
                    })
        };
        let raised = knobs
            .iter()
            .enumerate()
            .find_map(|(place, (is_free, change))| {
                let by = is_free.then(|| most_that_fits(|by| fits(change(now, by))))?;
                (by >= LEAST).then(|| (place, change(now, by)))
            });
        let Some((place, next)) = raised else {
            break;
        };
        now = next;
        let (which, share) = most_loaded(&used(now));
        all.push(Increase {
            raised: match place {
                0 => Raised::Feed(mm_per_min(now.fz_mm * f64::from(bench.z) * now.n_rpm)),
                1 => Raised::Stepover(mm(now.ae_mm)),
                _ => Raised::Depth(mm(now.ap_mm)),
            },
            which,
            used: share,
        });
    }
    all
}

/// The next two increases of a hole, whose depth and width are what they are: the feed, then the speed, whose surface speed goes up by the
/// same steps as the loads.
pub fn of_hole(
    bench: &Bench,
    fixed: &Fixed,
    hole: Boring,
    used: impl Fn(f64, f64) -> Vec<(Which, f64)>,
) -> Vec<Increase> {
    let is_feed_free = fixed.vf.is_none() && fixed.fz.is_none();
    let is_speed_free = fixed.n.is_none() && fixed.vc.is_none() && fixed.vf.is_none();
    let mut now = hole;
    let mut all = vec![];
    for up_to in UP_TO {
        let before = used(now.n_rpm, now.fz_mm);
        let most = |which: Which| match which {
            Which::SurfaceSpeed => up_to,
            which => most(which, up_to),
        };
        let fits = |n: f64, fz: f64| {
            used(n, fz)
                .iter()
                .zip(&before)
                .all(|((which, used), (_, was))| *used <= most(*which).max(*was) * (1.0 + 1e-9))
        };
        let feed = now.fz_mm * most_that_fits(|by| is_feed_free && fits(now.n_rpm, now.fz_mm * by));
        let speed = bench.settable(
            now.n_rpm * most_that_fits(|by| is_speed_free && fits(now.n_rpm * by, now.fz_mm)),
        );
        let turns = f64::from(bench.z);
        if feed >= now.fz_mm * LEAST {
            now.fz_mm = feed;
            let (which, used) = most_loaded(&used(now.n_rpm, now.fz_mm));
            all.push(Increase {
                raised: Raised::Feed(mm_per_min(now.fz_mm * turns * now.n_rpm)),
                which,
                used,
            });
        } else if speed >= now.n_rpm * LEAST && fits(speed, now.fz_mm) {
            now.n_rpm = speed;
            let used = used(now.n_rpm, now.fz_mm);
            let share = used.iter().find(|(which, _)| *which == Which::SurfaceSpeed);
            all.push(Increase {
                raised: Raised::Speed(rpm(speed), mm_per_min(now.fz_mm * turns * speed)),
                which: Which::SurfaceSpeed,
                used: share.map_or(0.0, |(_, used)| *used),
            });
        } else {
            break;
        }
    }
    all
}

/// The widest stepover that is proposed for the kind of cut.
fn widest(bench: &Bench, cut: Cutting) -> f64 {
    let d = bench.cutting_diameter(cut.ap_mm);
    match bench.cut {
        Cut::Face => 0.75 * d,
        Cut::Side => 0.5 * d,
        _ => d,
    }
}

fn most(which: Which, up_to: f64) -> f64 {
    match which.kind() {
        _ if LOADS.contains(&which) => up_to,
        Kind::Danger => MARGIN,
        Kind::Ceiling => 1.0,
    }
}

fn most_loaded(used: &[(Which, f64)]) -> (Which, f64) {
    used.iter()
        .filter(|(which, _)| LOADS.contains(which))
        .copied()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((Which::AxisPush, 0.0))
}

/// The greatest factor up to the most that fits, by halves; 1 where none does.
fn most_that_fits(fits: impl Fn(f64) -> bool) -> f64 {
    if fits(MOST) {
        return MOST;
    }
    search::by_halves((1.0, MOST), 12, fits)
}
