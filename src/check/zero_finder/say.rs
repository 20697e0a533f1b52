//! What is said of the zeros: one sentence each, and the findings.

use crate::check::against;
use crate::check::against::Against;
use crate::check::placement::Flip;
use crate::check::placement::Placement;
use crate::check::rules;
use crate::check::zero_finder::AIR_CLASSES;
use crate::check::zero_finder::Candidate;
use crate::job::stock::StockSize;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::summary::Summary;
use crate::program::summary::Units;

/// Name of a placement for the person.
pub fn name(placement: &Placement) -> String {
    let mut text = placement.zero.words();
    if placement.part_point_mm.is_some() {
        text.push_str(" of the finished part");
    }
    if placement.quarter_turns != 0 {
        text.push_str(&format!(
            ", the program turned by {} degrees counterclockwise",
            u16::from(placement.quarter_turns) * 90
        ));
    }
    match placement.flipped {
        Some(Flip::AboutX) => text.push_str(", the part turned over about X"),
        Some(Flip::AboutY) => text.push_str(", the part turned over about Y"),
        None => {}
    }
    if placement.swapped {
        text.push_str(", X and Y exchanged, which mirrors the part");
    }
    if placement.scale > 1.0 {
        text.push_str(", numbers in inches");
    } else if placement.scale < 1.0 {
        text.push_str(", numbers in mm");
    }
    text
}

/// How a program lies on the blank.
pub(super) struct Lies {
    pub span: Option<[f64; 4]>,
    pub below_mm: f64,
    pub clears: bool,
    pub air_share: f64,
    pub rapid_below_mm: f64,
    pub rapid_into_metal_mm: f64,
    pub sides_met: usize,
}

pub(super) fn sentence(placement: &Placement, stock: StockSize, lies: &Lies) -> String {
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
    } else if lies.rapid_into_metal_mm > 0.0 {
        format!(
            "; a rapid goes down {:.1} mm into metal that was not cut before",
            lies.rapid_into_metal_mm
        )
    } else if lies.rapid_below_mm > 0.0 {
        format!(
            "; rapids run across {:.1} mm below the top, where it must have been cut before",
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
    let width = against
        .tools_without_width(summary)
        .map_or_else(String::new, |tools| {
            format!(" Worked out {} for {tools}.", against::assumed_cutter())
        });
    let best = candidates.iter().find(|c| c.fits);
    let given = against
        .stock
        .and_then(|stock| candidates.iter().find(|c| c.is_given(stock, against)));
    let Some(best) = best else {
        if given.is_some_and(|given| given.is_only_too_deep) {
            // The depth is said for itself, with what lies under the blank.
            return;
        }
        let nearest = &candidates[0];
        findings.add(&rules::NO_ZERO_FITS, Place::FILE, 0, || {
            format!(
                "The program fits the blank with no zero. Nearest: {}{width}",
                nearest.sentence
            )
        });
        return;
    };
    if best.is_only_too_long {
        findings.add_at(&rules::NO_ZERO_FITS, Level::Warn, Place::FILE, 0, || {
            format!(
                "With every zero the path runs far out of the blank, as long lead-ins and facing do. {} Look that nothing stands there.{width}",
                best.sentence
            )
        });
    }
    if best.placement.scale != 1.0 {
        findings.add(&rules::UNITS_DO_NOT_FIT, Place::FILE, 0, || {
            format!(
                "The program is read in {}, and so it does not fit the blank; its numbers fit in {}.",
                match summary.units {
                    Units::Inch => "inches",
                    Units::Mm => "mm",
                    Units::AssumedMm => "mm, since it states no unit",
                },
                if best.units == Units::Inch { "inches" } else { "mm" }
            )
        });
    }
    let is_clear_best = |c: &Candidate| c.rank() == best.rank();
    match given {
        // The unit comes first: in the right one this zero may be the one that is meant.
        _ if best.placement.scale != 1.0 => {}
        Some(given) if !given.fits => {
            findings.add(&rules::ZERO_DOES_NOT_FIT, Place::FILE, 0, || {
                format!(
                    "{} It fits with zero at {}.{width}",
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
                    "{} It would fit better with zero at {}.{width}",
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
            format!("Several zeros fit: {}. {feature}{width}", names.join("; "))
        });
    }
}

/// The feature to look at when several zeros fit.
fn feature(summary: &Summary, ties: &[&Candidate], against: &Against) -> String {
    let of_zero = || {
        let sections = summary.sections.iter();
        sections.filter(|section| section.zero_moved_line.is_none())
    };
    let hole = of_zero().find_map(|s| s.first_hole_mm);
    let cut = of_zero().find_map(|s| s.first_cut_mm);
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
    if places.iter().all(|place| *place == places[0]) {
        return format!(
            "They differ in height only: look how deep the {what} goes, {} (mm).",
            places[0]
        );
    }
    format!("Look at the {what}: it lies {} (mm).", places.join(", or "))
}
