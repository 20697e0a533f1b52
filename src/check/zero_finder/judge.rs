//! One way to lay the program on the blank, and how well it fits so.

use crate::check::against::Against;
use crate::check::against::SIDE_ALLOWANCE_MM;
use crate::check::against::UNSTATED_FACING_RADIUS_MM;
use crate::check::against::UNSTATED_RADIUS_MM;
use crate::check::placement::Placement;
use crate::check::zero_finder::Candidate;
use crate::check::zero_finder::say::Lies;
use crate::check::zero_finder::say::sentence;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::program::bounds::Bounds;
use crate::program::section::Section;
use crate::program::summary::Summary;

/// What rounding takes, mm.
const HAIR_MM: f64 = 0.05;
/// Depth below the top down to which a cut may be facing, mm.
const FACING_DEPTH_MM: f64 = 2.0;
/// Depth below the bottom that a zero may need where nothing is stated, mm.
const LEAST_DEPTH_SLACK_MM: f64 = 1.0;

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
    let mut is_mostly_inside = true;
    let mut cuts_metal = false;
    let mut in_metal = 0.0;
    let mut total = 0.0;
    let mut span: Option<[f64; 4]> = None;
    for section in summary.sections.iter().filter(|s| s.cuts_from_zero()) {
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
        is_mostly_inside &= is_mostly_over(section, stock, against, &placement);
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
    let is_only_too_deep = !fits && is_inside && cuts_metal && clears;
    let is_only_too_long =
        !is_inside && is_mostly_inside && cuts_metal && below_mm <= slack + 1e-6 && clears;
    let air_share = if total > 0.0 {
        (1.0 - in_metal / total).clamp(0.0, 1.0)
    } else {
        1.0
    };
    let of_part = placement.part_point_mm.is_some();
    let rapid_below_mm = rapid_below(summary, stock, &placement);
    let rapid_into_metal_mm = rapid_into_metal(summary, stock, &placement);
    let sides_met = sides_met(summary, stock, against, &placement);
    let lies = Lies {
        span,
        below_mm,
        clears,
        air_share,
        rapid_below_mm,
        rapid_into_metal_mm,
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
        is_only_too_deep,
        is_only_too_long,
        rapid_below_mm,
        rapid_into_metal_mm,
        sides_met,
        sentence,
        placement,
    }
}

/// Whether most of a section's path lies over the blank though lines of it run far out. A hole outside is never a lead-in.
fn is_mostly_over(
    section: &Section,
    stock: StockSize,
    against: &Against,
    placement: &Placement,
) -> bool {
    /// Standard deviations about the middle that must lie over the blank: facing that runs out by two fifths of it on
    /// both sides keeps them, an outline half as large again does not.
    const DEVIATIONS: f64 = 1.05;
    let Some([(x, dx), (y, dy)]) = section.spread.middle() else {
        return false;
    };
    let area = [
        x - DEVIATIONS * dx,
        y - DEVIATIONS * dy,
        x + DEVIATIONS * dx,
        y + DEVIATIONS * dy,
    ];
    let radius = against.radius_mm(section).unwrap_or(UNSTATED_RADIUS_MM);
    section.holes == 0 && overhang(placement.area(stock, area), stock) <= radius + SIDE_ALLOWANCE_MM
}

/// How far below the top of the blank the lowest rapids across it run, mm; 0 when none does.
fn rapid_below(summary: &Summary, stock: StockSize, placement: &Placement) -> f64 {
    summary
        .sections
        .iter()
        .filter(|section| section.zero_moved_line.is_none())
        .filter_map(|section| section.lowest_across)
        .filter(|across| {
            let [x0, y0, x1, y1] = placement.area(stock, across.area);
            x0 < stock.x_mm && x1 > 0.0 && y0 < stock.y_mm && y1 > 0.0
        })
        .map(|across| stock.z_mm - placement.height(stock, across.z_mm))
        .filter(|below| *below > HAIR_MM)
        .fold(0.0, f64::max)
}

/// How far below the top of the blank the lowest rapid ends that goes down where no tool has cut before, mm; 0 when
/// none does. With several zeros in the program nothing is said: where the others lie is not known.
fn rapid_into_metal(summary: &Summary, stock: StockSize, placement: &Placement) -> f64 {
    let mut deepest: f64 = 0.0;
    for (at, section) in summary.sections.iter().enumerate() {
        let is_same_zero = |own: &Section| {
            own.zero_moved_line.is_none()
                && (own.work_system, own.has_g92) == (section.work_system, section.has_g92)
        };
        let before = &summary.sections[..at];
        let Some(descent) = section.lowest_descent else {
            continue;
        };
        let is_whole = |own: &Section| is_same_zero(own) && own.is_far_from_cuts(descent.to);
        let [x, y, z] = placement.point(stock, descent.to);
        let is_over = x > 0.0 && x < stock.x_mm && y > 0.0 && y < stock.y_mm;
        let below = stock.z_mm - z;
        if is_over && below > HAIR_MM && is_same_zero(section) && before.iter().all(is_whole) {
            deepest = deepest.max(below);
        }
    }
    deepest
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
    for section in summary.sections.iter().filter(|s| s.cuts_from_zero()) {
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
    for section in summary.sections.iter().filter(|s| s.cuts_from_zero()) {
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
        // A drill's point goes as far below where there is nothing, or nobody has said what.
        Under::Air | Under::Unknown => against.over_cut_mm().max(MOST_INTO_SPOIL_MM),
        Under::Parallels | Under::Jaw | Under::Table => against
            .over_cut_mm()
            .max(LEAST_DEPTH_SLACK_MM)
            .max(stock.z_mm / 10.0),
    }
}
