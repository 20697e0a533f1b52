//! Which point of the blank the program was made for.
//!
//! The path is laid on the blank with its zero at each of the 27 reference points, and at those of
//! the finished part where it is known. A zero fits when no section's path hangs over the sides by
//! more than the tool's radius and an allowance, nothing goes below the bottom beyond the over-cut,
//! metal is cut, and the highest rapid clears the top. Of those that fit, one with which no rapid runs
//! across below the top comes first, then one with which long cuts lie a tool's radius outside the
//! finished part, where that is known. Only when nothing fits as stated are turned,
//! mirrored and exchanged axes tried, then the other unit.

use crate::check::against::Against;
use crate::check::against::SIDE_ALLOWANCE_MM;
use crate::check::against::UNSTATED_FACING_RADIUS_MM;
use crate::check::against::UNSTATED_RADIUS_MM;
use crate::check::placement::Flip;
use crate::check::placement::Placement;
use crate::check::rules;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::job::zero::Height;
use crate::job::zero::ZeroPoint;
use crate::program::bounds::Bounds;
use crate::program::finding::Findings;
use crate::program::finding::Place;
use crate::program::interp::MM_PER_INCH;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::program::summary::Units;

/// Candidates reported at most.
const MOST: usize = 12;
/// Zeros closer than this are one, mm.
const SAME_POINT_MM: f64 = 0.01;
/// Overhangs closer than this are taken as equal, mm.
const SAME_MM: f64 = 0.5;
/// Shares of the feed path above the blank that make a class of their own: hardly any, some, much, most.
const AIR_CLASSES: [f64; 3] = [0.1, 0.5, 0.8];
/// Depth below the top down to which a cut may be facing, mm.
const FACING_DEPTH_MM: f64 = 2.0;
/// Depth below the bottom that a zero may need where nothing is stated, mm.
const LEAST_DEPTH_SLACK_MM: f64 = 1.0;

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
    /// How far rapids run across the blank below its top, mm; 0 when none does.
    pub rapid_below_mm: f64,
    /// Sides of the finished part, 0 to 4, that long cuts lie a tool's radius outside of; 0 where the part is
    /// not known.
    pub sides_met: usize,
    /// How the program lies so, one sentence with the numbers.
    pub sentence: String,
    /// The placement, to be used by other checks.
    pub placement: Placement,
}

impl Candidate {
    /// Fitting first, then little air, rapids above the top, sides where the part has them, little overhang, and
    /// the usual heights.
    fn rank(&self) -> (bool, usize, bool, usize, i64, u8) {
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
        let is_low = self.rapid_below_mm > 0.0;
        (
            !self.fits,
            air,
            is_low,
            4 - self.sides_met,
            overhang,
            height,
        )
    }
}

/// The zeros that the program may be made for, best first.
pub fn find(summary: &Summary, stock: StockSize, against: &Against) -> Vec<Candidate> {
    if !summary.sections.iter().any(Section::has_cut) {
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
    // Where one zero puts most of the path into metal, one that leaves most of it in the air is not meant.
    if all.iter().any(|c| c.fits && c.air_share < AIR_CLASSES[1]) {
        for c in all.iter_mut().filter(|c| c.air_share >= AIR_CLASSES[2]) {
            c.fits = false;
        }
    }
    all.sort_by_key(Candidate::rank);
    let mut kept: Vec<Candidate> = vec![];
    for candidate in all {
        let is_given = candidate.placement.is_plain()
            && !candidate.of_part
            && Some(candidate.zero) == against.zero;
        if kept.len() < MOST || is_given {
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

/// Lays the program on the blank.
pub fn judge(
    summary: &Summary,
    stock: StockSize,
    against: &Against,
    placement: Placement,
) -> Candidate {
    let zero_z = placement.zero_at(stock)[2];
    let top = (stock.z_mm - zero_z) / placement.scale;
    let slack = depth_slack(stock, against);
    let bottom = (-slack - zero_z) / placement.scale;
    let mut overhang_mm: f64 = 0.0;
    let mut below_mm = f64::NEG_INFINITY;
    let mut is_inside = true;
    let mut cuts_metal = false;
    let mut in_metal = 0.0;
    let mut total = 0.0;
    let mut span: Option<[f64; 4]> = None;
    for section in summary.sections.iter().filter(|s| s.has_cut()) {
        total += section.path.feed_mm;
        if let Some(low) = section.lowest_z_mm {
            below_mm = below_mm.max(-placement.height(stock, low));
        }
        let Some(area) = section.levels.below(top) else {
            continue;
        };
        in_metal += section.levels.length_between_mm(bottom, top);
        let [x0, y0, x1, y1] = placement.area(stock, area);
        let over = overhang([x0, y0, x1, y1], stock);
        overhang_mm = overhang_mm.max(over);
        let radius = against.radius_mm(section);
        is_inside &= over <= radius.unwrap_or(UNSTATED_FACING_RADIUS_MM) + SIDE_ALLOWANCE_MM;
        if let Some(deep) = section
            .levels
            .below(top - FACING_DEPTH_MM / placement.scale)
        {
            let over = overhang(placement.area(stock, deep), stock);
            is_inside &= over <= radius.unwrap_or(UNSTATED_RADIUS_MM) + SIDE_ALLOWANCE_MM;
        }
        cuts_metal |= x0 < stock.x_mm && x1 > 0.0 && y0 < stock.y_mm && y1 > 0.0;
        span = Some(span.map_or([x0, y0, x1, y1], |s| {
            [s[0].min(x0), s[1].min(y0), s[2].max(x1), s[3].max(y1)]
        }));
    }
    let clears = summary
        .extents
        .all
        .axis(2)
        .is_none_or(|(_, high)| placement.height(stock, high) >= stock.z_mm);
    let fits = is_inside && cuts_metal && below_mm <= slack + 1e-6 && clears;
    let air_share = if total > 0.0 {
        (1.0 - in_metal / total).clamp(0.0, 1.0)
    } else {
        1.0
    };
    let of_part = placement.part_point_mm.is_some();
    let rapid_below_mm = rapid_below(summary, stock, &placement);
    let sides_met = sides_met(summary, stock, against, &placement);
    let lies = Lies {
        span,
        below_mm,
        clears,
        air_share,
        rapid_below_mm,
        sides_met,
    };
    let sentence = sentence(&placement, stock, &lies);
    Candidate {
        zero: placement.zero,
        of_part,
        units: placement.units(summary.units),
        turned_deg: u16::from(placement.quarter_turns) * 90,
        flipped: placement.flipped,
        swapped: placement.swapped,
        fits,
        overhang_mm,
        below_mm: below_mm.max(0.0),
        air_share,
        rapid_below_mm,
        sides_met,
        sentence,
        placement,
    }
}

/// How far below the top of the blank the lowest rapids across it run, mm; 0 when none does.
fn rapid_below(summary: &Summary, stock: StockSize, placement: &Placement) -> f64 {
    /// What rounding takes, mm.
    const HAIR_MM: f64 = 0.05;
    summary
        .sections
        .iter()
        .filter_map(|section| section.lowest_across)
        .filter(|across| {
            let [x0, y0, x1, y1] = placement.area(stock, across.area);
            x0 < stock.x_mm && x1 > 0.0 && y0 < stock.y_mm && y1 > 0.0
        })
        .map(|across| stock.z_mm - placement.height(stock, across.z_mm))
        .filter(|below| *below > HAIR_MM)
        .fold(0.0, f64::max)
}

/// Sides of the finished part beside which a long cut runs, a tool's radius outside.
fn sides_met(
    summary: &Summary,
    stock: StockSize,
    against: &Against,
    placement: &Placement,
) -> usize {
    /// What a finishing allowance and the cells of a drawing take, mm.
    const NEAR_MM: f64 = 0.6;
    /// Share of a side that a cut must run along, tabs and lead-ins left out.
    const LEAST_SHARE: f64 = 0.4;
    let Some((part, at)) = against.part_in(stock) else {
        return 0;
    };
    let half_way = at[2] + part.z_mm / 2.0;
    let mut runs = vec![];
    for section in &summary.sections {
        let Some(radius) = against.radius_mm(section) else {
            continue;
        };
        for run in section.runs.found() {
            let (along, across) = if run.is_along_x {
                ([1.0, run.at_mm], [0.0, run.at_mm])
            } else {
                ([run.at_mm, 1.0], [run.at_mm, 0.0])
            };
            let [a, b] = [along, across].map(|[x, y]| placement.point(stock, [x, y, run.low_mm]));
            // Turned or exchanged, a run along X may lie along Y.
            let is_along_x = (a[0] - b[0]).abs() > (a[1] - b[1]).abs();
            if a[2] < half_way {
                let where_mm = if is_along_x { a[1] } else { a[0] };
                runs.push((
                    is_along_x,
                    where_mm,
                    radius,
                    run.length_mm * placement.scale,
                ));
            }
        }
    }
    let sides = [
        (false, at[0], -1.0, part.y_mm),
        (false, at[0] + part.x_mm, 1.0, part.y_mm),
        (true, at[1], -1.0, part.x_mm),
        (true, at[1] + part.y_mm, 1.0, part.x_mm),
    ];
    sides
        .into_iter()
        .filter(|(is_along_x, edge, out, length)| {
            runs.iter().any(|(along, where_mm, radius, run)| {
                along == is_along_x
                    && (where_mm - (edge + out * radius)).abs() <= NEAR_MM
                    && *run >= LEAST_SHARE * length
            })
        })
        .count()
}

/// How far an area runs beyond the sides of the blank, mm.
fn overhang([x0, y0, x1, y1]: [f64; 4], stock: StockSize) -> f64 {
    (-x0)
        .max(-y0)
        .max(x1 - stock.x_mm)
        .max(y1 - stock.y_mm)
        .max(0.0)
}

/// Extents of what runs in the blank, in the program's own numbers, from the heights kept while reading.
pub fn cut_box(summary: &Summary, stock: StockSize, placement: &Placement) -> Option<Bounds> {
    let top = (stock.z_mm - placement.zero_at(stock)[2]) / placement.scale;
    let mut cut = Bounds::EMPTY;
    for section in summary.sections.iter().filter(|s| s.has_cut()) {
        let (Some([x0, y0, x1, y1]), Some((low, high))) =
            (section.levels.below(top), section.extents.feed.axis(2))
        else {
            continue;
        };
        cut.include([x0, y0, low]);
        cut.include([x1, y1, high.min(top)]);
    }
    (!cut.is_empty()).then_some(cut)
}

/// A through cut goes into the spoil board by a drill's point or a skin, not by a board's
/// thickness, mm (common practice, no source).
const MOST_INTO_SPOIL_MM: f64 = 3.0;

fn depth_slack(stock: StockSize, against: &Against) -> f64 {
    match against.under {
        Under::Spoil { thickness_mm } => against
            .over_cut_mm()
            .max(thickness_mm.min(MOST_INTO_SPOIL_MM)),
        _ => against
            .over_cut_mm()
            .max(LEAST_DEPTH_SLACK_MM)
            .max(stock.z_mm / 10.0),
    }
}

/// Name of a placement for the person.
pub fn name(placement: &Placement) -> String {
    let mut text = placement.zero.words();
    if placement.part_point_mm.is_some() {
        text.push_str(" of the finished part");
    }
    if placement.quarter_turns != 0 {
        text.push_str(&format!(
            ", turned by {} degrees",
            u16::from(placement.quarter_turns) * 90
        ));
    }
    match placement.flipped {
        Some(Flip::AboutX) => text.push_str(", turned over about X"),
        Some(Flip::AboutY) => text.push_str(", turned over about Y"),
        None => {}
    }
    if placement.swapped {
        text.push_str(", X and Y exchanged");
    }
    if placement.scale > 1.0 {
        text.push_str(", numbers in inches");
    } else if placement.scale < 1.0 {
        text.push_str(", numbers in mm");
    }
    text
}

/// How a program lies on the blank.
struct Lies {
    span: Option<[f64; 4]>,
    below_mm: f64,
    clears: bool,
    air_share: f64,
    rapid_below_mm: f64,
    sides_met: usize,
}

fn sentence(placement: &Placement, stock: StockSize, lies: &Lies) -> String {
    let name = name(placement);
    let Lies {
        below_mm,
        air_share,
        ..
    } = *lies;
    let Some([x0, y0, x1, y1]) = lies.span else {
        return format!("With zero at {name} no cut reaches the blank.");
    };
    let mut over = vec![];
    for (much, side) in [
        (-x0, "left"),
        (x1 - stock.x_mm, "right"),
        (-y0, "front"),
        (y1 - stock.y_mm, "back"),
    ] {
        if much > 0.05 {
            over.push(format!("{much:.1} mm beyond the {side}"));
        }
    }
    let sides = if over.is_empty() {
        "the tool's centre stays inside the blank".to_owned()
    } else {
        format!("the tool's centre runs {}", over.join(", "))
    };
    let depth = if below_mm > 0.005 {
        format!("{below_mm:.2} mm below the bottom")
    } else {
        format!(
            "down to {:.2} mm above the bottom",
            (-below_mm).max(0.0).min(stock.z_mm)
        )
    };
    let clear = if !lies.clears {
        "; no rapid clears the top".to_owned()
    } else if lies.rapid_below_mm > 0.0 {
        format!(
            "; a rapid runs across {:.1} mm below the top",
            lies.rapid_below_mm
        )
    } else {
        String::new()
    };
    let sides = match lies.sides_met {
        0 => sides,
        count => format!("{sides}, cuts run along {count} of the part's 4 sides,"),
    };
    let air = if air_share >= AIR_CLASSES[1] {
        format!(
            "; {:.0} % of the feed path runs above the blank",
            100.0 * air_share
        )
    } else {
        String::new()
    };
    format!("With zero at {name} {sides} and goes {depth}{clear}{air}.")
}

/// Judges the stated zero and the units.
pub fn check(
    summary: &Summary,
    against: &Against,
    candidates: &[Candidate],
    findings: &mut Findings,
) {
    if candidates.is_empty() {
        return;
    }
    let best = candidates.iter().find(|c| c.fits);
    let given = against.zero.and_then(|zero| {
        candidates
            .iter()
            .find(|c| c.placement.is_plain() && !c.of_part && c.zero == zero)
    });
    let Some(best) = best else {
        let nearest = &candidates[0];
        findings.add(&rules::NO_ZERO_FITS, Place::FILE, 0, || {
            format!(
                "The program fits the blank with no zero. Nearest: {}",
                nearest.sentence
            )
        });
        return;
    };
    if best.placement.scale != 1.0 {
        findings.add(&rules::UNITS_DO_NOT_FIT, Place::FILE, 0, || {
            format!(
                "The program is read in {}, and so it does not fit the blank; its numbers fit in {}.",
                summary.units.word(),
                best.units.word()
            )
        });
    }
    let is_clear_best = |c: &Candidate| c.rank() == best.rank();
    match given {
        Some(given) if !given.fits => {
            findings.add(&rules::ZERO_DOES_NOT_FIT, Place::FILE, 0, || {
                format!(
                    "{} It fits with zero at {}.",
                    given.sentence,
                    name(&best.placement)
                )
            });
        }
        Some(given)
            if !is_clear_best(given)
                && (given.overhang_mm > best.overhang_mm + 2.0
                    || given.sides_met + 2 <= best.sides_met) =>
        {
            findings.add(&rules::ZERO_FITS_BETTER, Place::FILE, 0, || {
                format!(
                    "{} It would fit better with zero at {}.",
                    given.sentence,
                    name(&best.placement)
                )
            });
        }
        _ => {}
    }
    let ties: Vec<&Candidate> = candidates
        .iter()
        .filter(|c| c.fits && is_clear_best(c))
        .take(4)
        .collect();
    if ties.len() > 1 {
        findings.add(&rules::ZERO_AMBIGUOUS, Place::FILE, 0, || {
            let names: Vec<String> = ties.iter().map(|c| name(&c.placement)).collect();
            let feature = feature(summary, &ties, against);
            format!("Several zeros fit: {}. {feature}", names.join("; "))
        });
    }
}

/// The feature to look at when several zeros fit.
fn feature(summary: &Summary, ties: &[&Candidate], against: &Against) -> String {
    let hole = summary.sections.iter().find_map(|s| s.first_hole_mm);
    let cut = summary.sections.iter().find_map(|s| s.first_cut_mm);
    let (what, Some(at)) = (
        if hole.is_some() {
            "first hole"
        } else {
            "first cut"
        },
        hole.or(cut),
    ) else {
        return "Look at the first cut.".to_owned();
    };
    let Some(stock) = against.stock else {
        return format!("Look at the {what}.");
    };
    let places: Vec<String> = ties
        .iter()
        .map(|c| {
            let p = c.placement.point(stock, at);
            format!("{:.1} from the left and {:.1} from the front", p[0], p[1])
        })
        .collect();
    format!("Look at the {what}: it lies {} (mm).", places.join(", or "))
}
