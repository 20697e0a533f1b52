//! Which point of the blank the program was made for.
//!
//! The path is laid on the blank with its zero at each of the 27 reference points, and at those of
//! the finished part where it is known. A zero fits when no section's path hangs over the sides by
//! more than the tool's radius and an allowance, nothing goes below the bottom beyond the over-cut,
//! metal is cut, and the highest rapid clears the top. Of those that fit, one with which no rapid runs
//! across or down below the top comes first, then one with which long cuts lie a tool's radius outside the
//! finished part, where that is known. Only when nothing fits as stated are turned,
//! mirrored and exchanged axes tried, then the other unit.

pub mod judge;
pub mod say;

use crate::check::against::Against;
use crate::check::placement::Flip;
use crate::check::placement::Placement;
use crate::job::stock::StockSize;
use crate::job::zero::Height;
use crate::job::zero::ZeroPoint;
use crate::program::interp::MM_PER_INCH;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::program::summary::Units;

pub use judge::cut_box;
pub use judge::judge;
pub use say::check;
pub use say::name;

/// Candidates reported at most.
const MOST: usize = 12;
/// Zeros closer than this are one, mm.
const SAME_POINT_MM: f64 = 0.01;
/// Overhangs closer than this are taken as equal, mm.
const SAME_MM: f64 = 0.5;
/// Shares of the feed path above the blank that make a class of their own: hardly any, some, much, most.
pub(super) const AIR_CLASSES: [f64; 3] = [0.1, 0.5, 0.8];

/// One way to lay the program on the blank.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The point that the program calls zero.
    pub zero: ZeroPoint,
    /// Whether it is a point of the finished part, not of the blank.
    pub of_part: bool,
    /// Unit of the program's numbers.
    pub units: Units,
    /// Turned counterclockwise seen from above, degrees: 0, 90, 180, 270.
    pub turned_deg: u16,
    /// Turned over.
    pub flipped: Option<Flip>,
    /// X and Y exchanged.
    pub swapped: bool,
    /// Whether the program fits the blank so.
    pub fits: bool,
    /// How far the tool's centre runs beyond the sides in a cut, mm.
    pub overhang_mm: f64,
    /// How far the tool goes below the bottom, mm.
    pub below_mm: f64,
    /// Share of the feed path that runs above the blank, 0 to 1.
    pub air_share: f64,
    /// Whether nothing but the depth below the bottom keeps it from fitting.
    pub is_only_too_deep: bool,
    /// Whether nothing but lines that run far out of the blank keeps it from fitting, while most of the path lies over it:
    /// long lead-ins or facing.
    pub is_only_too_long: bool,
    /// How far rapids run across the blank below its top, mm; 0 when none does.
    pub rapid_below_mm: f64,
    /// How far a rapid goes down below the top where nothing has been cut before, mm; 0 when none does.
    pub rapid_into_metal_mm: f64,
    /// Sides of the finished part, 0 to 4, that long cuts lie a tool's radius outside of; 0 where the part is
    /// not known.
    pub sides_met: usize,
    /// How the program lies so, one sentence with the numbers.
    pub sentence: String,
    /// The placement, to be used by other checks.
    pub placement: Placement,
}

impl Candidate {
    /// Whether it is the zero that was stated.
    pub fn is_given(&self, stock: StockSize, against: &Against) -> bool {
        let Some(given) = against.placed(stock) else {
            return false;
        };
        let (own, given) = (self.placement.zero_at(stock), given.zero_at(stock));
        self.placement.is_plain() && (0..3).all(|i| (own[i] - given[i]).abs() < SAME_POINT_MM)
    }

    /// Fitting first, then rapids above the top, little air, sides where the part has them, little overhang, and
    /// the usual heights.
    fn rank(&self) -> (bool, bool, usize, usize, i64, u8) {
        let air = AIR_CLASSES
            .iter()
            .filter(|limit| self.air_share >= **limit)
            .count();
        let height = match self.zero.height {
            Height::Top => 0,
            Height::Bottom => 1,
            Height::Middle => 2,
        };
        #[expect(clippy::cast_possible_truncation, reason = "saturates")]
        let overhang = (self.overhang_mm / SAME_MM).round() as i64;
        let is_low = self.rapid_below_mm > 0.0 || self.rapid_into_metal_mm > 0.0;
        (
            !self.fits,
            is_low,
            air,
            4 - self.sides_met,
            overhang,
            height,
        )
    }
}

/// The zeros that the program may be made for, best first.
pub fn find(summary: &Summary, stock: StockSize, against: &Against) -> Vec<Candidate> {
    if !summary.sections.iter().any(Section::cuts_from_zero) {
        return vec![];
    }
    let plain = |scale: f64| -> Vec<Candidate> {
        placements(stock, against, scale)
            .map(|p| judge(summary, stock, against, p))
            .collect()
    };
    let other_scale = if summary.units == Units::Inch {
        1.0 / MM_PER_INCH
    } else {
        MM_PER_INCH
    };
    let mut all = plain(1.0);
    if !all.iter().any(|c| c.fits) {
        let mut turned = vec![];
        for base in placements(stock, against, 1.0) {
            turned.extend(turns(base).map(|p| judge(summary, stock, against, p)));
        }
        all.extend(turned.into_iter().filter(|c| c.fits));
    }
    if !all.iter().any(|c| c.fits) || is_tiny(summary, stock) {
        let mut other = plain(other_scale);
        if !other.iter().any(|c| c.fits) {
            for base in placements(stock, against, other_scale) {
                other.extend(turns(base).map(|p| judge(summary, stock, against, p)));
            }
        }
        let is_job = !is_speck(summary, stock, other_scale);
        let fitting: Vec<Candidate> = other.into_iter().filter(|c| c.fits && is_job).collect();
        if is_tiny(summary, stock) && fitting.iter().any(|c| c.air_share < 0.5) {
            // In the stated unit the whole job would be a speck on the blank.
            for c in &mut all {
                c.fits = false;
            }
        }
        all.extend(fitting);
    }
    // Lead-ins and facing may run out as far as they like: that is worth a warning, and no reason to refuse every zero.
    if !all.iter().any(|c| c.fits) {
        for c in &mut all {
            c.fits = c.is_only_too_long && c.placement.is_plain();
        }
    }
    // Where one zero puts most of the path into metal, one that leaves most of it in the air is not meant.
    if all.iter().any(|c| c.fits && c.air_share < AIR_CLASSES[1]) {
        for c in all.iter_mut().filter(|c| c.air_share >= AIR_CLASSES[2]) {
            c.fits = false;
        }
    }
    // Where rapids stay above the top with one zero, one with which they run through the metal is not meant.
    if all.iter().any(|c| c.fits && c.rapid_below_mm == 0.0) {
        for c in all.iter_mut().filter(|c| c.rapid_below_mm > 0.0) {
            c.fits &= c.is_given(stock, against);
        }
    }
    // A rapid into metal that nothing has cut refutes the stated zero too: another has none.
    if all.iter().any(|c| c.fits && c.rapid_into_metal_mm == 0.0) {
        for c in all.iter_mut().filter(|c| c.rapid_into_metal_mm > 0.0) {
            c.fits = false;
        }
    }
    all.sort_by_key(Candidate::rank);
    let mut kept: Vec<Candidate> = vec![];
    for candidate in all {
        if kept.len() < MOST || candidate.is_given(stock, against) {
            kept.push(candidate);
        }
    }
    kept
}

/// Whether the program covers less than a tenth of the blank both ways and would cover half of it in
/// the other unit.
fn is_tiny(summary: &Summary, stock: StockSize) -> bool {
    if summary.units == Units::Inch {
        return false;
    }
    let size = |axis: usize| {
        summary
            .extents
            .feed
            .axis(axis)
            .map_or(0.0, |(low, high)| high - low)
    };
    let (x, y) = (size(0), size(1));
    let (long, short) = if x >= y { (x, y) } else { (y, x) };
    let widest = stock.x_mm.max(stock.y_mm);
    let narrowest = stock.x_mm.min(stock.y_mm);
    long < widest / 10.0 && short < narrowest / 10.0 && long * MM_PER_INCH > widest / 2.0
}

/// Whether the program would cover less than a fifth of the blank both ways at a scale.
fn is_speck(summary: &Summary, stock: StockSize, scale: f64) -> bool {
    let size = |axis: usize| {
        summary
            .extents
            .feed
            .axis(axis)
            .map_or(0.0, |(low, high)| (high - low) * scale)
    };
    size(0) < stock.x_mm / 5.0 && size(1) < stock.y_mm / 5.0
}

fn placements(stock: StockSize, against: &Against, scale: f64) -> impl Iterator<Item = Placement> {
    let part = against.part_in(stock);
    let of_blank = ZeroPoint::all().map(move |zero| Placement {
        scale,
        ..Placement::plain(zero)
    });
    let of_part = part.into_iter().flat_map(move |(part, at)| {
        ZeroPoint::all().filter_map(move |zero| {
            let share = zero.share();
            let point = [
                at[0] + share[0] * part.x_mm,
                at[1] + share[1] * part.y_mm,
                at[2] + share[2] * part.z_mm,
            ];
            // A point of the part that is one of the blank is no other zero.
            let is_of_blank = ZeroPoint::all().any(|own| {
                let own = Placement::plain(own).zero_at(stock);
                (0..3).all(|i| (own[i] - point[i]).abs() < SAME_POINT_MM)
            });
            (!is_of_blank).then(|| Placement {
                part_point_mm: Some(point),
                scale,
                ..Placement::plain(zero)
            })
        })
    });
    of_blank.chain(of_part)
}

/// The other ways to lay the same zero: a quarter turn first, then exchanged, then the rest.
fn turns(base: Placement) -> impl Iterator<Item = Placement> {
    [
        (1, None, false),
        (3, None, false),
        (0, None, true),
        (2, None, false),
        (0, Some(Flip::AboutX), false),
        (0, Some(Flip::AboutY), false),
    ]
    .into_iter()
    .map(move |(quarter_turns, flipped, swapped)| Placement {
        quarter_turns,
        flipped,
        swapped,
        ..base
    })
}
