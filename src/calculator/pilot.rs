//! Pilot holes: what a hole that is there already changes, and which one to drill first where a drill asks for more than head or motor give.
//!
//! A pilot hole as wide as the web of the drill takes over what its chisel edge does, most of the thrust. What it leaves of the torque is that
//! of the ring, so where the motor is too weak a wider hole must be opened in between. Where no drill of the shelf does it either, an end mill
//! that goes round in a helix does, if one is there. Never for solid carbide: it centres itself, and its corners break in a hole.

use crate::calculator::MARGIN;
use crate::calculator::answer;
use crate::calculator::answer::Answer;
use crate::calculator::limit::Kind;
use crate::calculator::limit::Limit;
use crate::calculator::limit::Which;
use crate::calculator::question::Cut;
use crate::calculator::question::Fixed;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::cutting::drilling;
use crate::cutting::thread_milling;
use crate::job::material::Class;
use crate::job::tool::Edge;
use crate::job::tool::Kind as Sort;
use crate::job::tool::Tool;
use crate::quantity::Length;
use crate::quantity::degree;
use crate::quantity::mm;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::show::three_digits as t;
use crate::quantity::to_mm;
use crate::quantity::to_radian;

/// Widest pilot hole over the drill; at least it is as wide as the chisel edge. Common practice, no source.
const MOST_PILOT: f64 = 0.3;
/// A hole that is opened in between over the last drill, at least. Common practice, no source.
const LEAST_OPENED: f64 = 0.4;
/// The same at most: in a thinner ring the corners of the lips grab and chatter. Common practice, no source.
const MOST_OPENED: f64 = 0.8;
/// The same in what pulls a drill in. Common practice, no source.
const MOST_OPENED_GRABBING: f64 = 0.6;
/// An end mill over the bore that it goes round in: half leaves no core, and chips need room. Common practice, no source.
const MILL: (f64, f64) = (0.5, 0.8);
/// Sizes closer than this are the same, mm.
const SAME_MM: f64 = 0.005;

/// A tool and its recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Its place among the tools that were offered.
    pub place: usize,
    /// Its title.
    pub title: String,
    /// Its diameter.
    pub diameter: Length,
    /// The hole that it opens; `None` into the full.
    pub pilot: Option<Length>,
    /// Its recipe.
    pub answer: Answer,
}

/// What to do instead of drilling into the full.
#[derive(Clone, Debug, PartialEq)]
pub enum Plan {
    /// Drill these first, the thinnest first, then the hole with the recipe of `last`.
    Drill {
        /// The holes to drill first.
        first: Vec<Stage>,
        /// The recipe of the hole itself, after them.
        last: Box<Answer>,
    },
    /// Bore it with an end mill in a helix.
    Mill(Box<Stage>),
    /// Nothing that is there makes this hole on this machine.
    Nothing,
}

/// The pilot hole that counts: one narrower than the chisel edge leaves it its work.
///
/// # Errors
///
/// A solid carbide drill, and a hole as wide as the drill.
pub fn counted(q: &Question<'_>) -> Result<Option<f64>, Refusal> {
    let Some(pilot) = q.pilot.map(to_mm).filter(|_| q.cut == Cut::Drill) else {
        return Ok(None);
    };
    if !(pilot.is_finite() && pilot > 0.0) {
        return Err(Refusal::NotPositive { name: "pilot hole" });
    }
    if q.tool.edge == Edge::Carbide {
        return Err(Refusal::PilotForCarbide);
    }
    if pilot >= q.tool.diameter_mm - SAME_MM {
        return Err(Refusal::PilotTooWide {
            drill: show::length(mm(q.tool.diameter_mm), Units::Both),
        });
    }
    let chisel = drilling::STANDARD_POINT.chisel * q.tool.diameter_mm;
    Ok((pilot >= chisel - SAME_MM).then_some(pilot))
}

/// What to do where a drill pulls itself in; common practice, no source.
const GRABS: &str = "a drill grabs when it opens a hole in brass, copper or plastic: stone a narrow flat on both lips, clamp the part down, \
                     no hand near it, and take up the backlash of Z";

/// What to mind when a drill opens a hole, or goes through a sheet.
pub fn cautions(q: &Question<'_>, depth_mm: f64) -> Vec<String> {
    let mut said = vec![];
    let drill = q.tool;
    if drill.kind != Sort::Drill {
        return said;
    }
    let chisel = drilling::STANDARD_POINT.chisel * drill.diameter_mm;
    if let Some(pilot) = q.pilot.map(to_mm) {
        if pilot < chisel - SAME_MM {
            said.push(format!(
                "the pilot hole is narrower than the chisel edge, about {} mm: reckoned as into the full",
                t(chisel)
            ));
        }
        if grabs(q.material.class) {
            said.push(GRABS.to_owned());
        }
    }
    let angle = degree(drill.point_angle_deg.unwrap_or(118.0));
    if depth_mm <= to_mm(drilling::point_length(mm(drill.diameter_mm), angle)) {
        said.push(
            "a sheet thinner than the drill's point: the drill grabs and lifts it; clamp it on a backing board all round the hole, \
             or mill the hole"
                .to_owned(),
        );
    }
    said
}

/// Materials in which a drill that opens a hole pulls itself in; common practice, no source.
fn grabs(class: Class) -> bool {
    matches!(class, Class::CopperAlloy | Class::Plastic)
}

/// Whether head or motor are used to more than a first cut uses.
pub fn is_wanted(q: &Question<'_>, given: &Answer) -> bool {
    q.cut == Cut::Drill
        && q.tool.kind == Sort::Drill
        && q.pilot.is_none()
        && loads(given).any(|limit| limit.is_relaxed() || limit.is_exceeded())
}

/// What a pilot hole takes load off.
fn loads(answer: &Answer) -> impl Iterator<Item = &Limit> {
    answer
        .limits
        .iter()
        .filter(|limit| matches!(limit.which, Which::AxisPush | Which::MotorPower))
}

/// Head or motor, whichever is used more, with its share.
pub fn most_loaded(answer: &Answer) -> Option<&Limit> {
    loads(answer).max_by(|a, b| a.used.total_cmp(&b.used))
}

/// What to drill first, or to do instead, where a drill asks for more than head or motor give in a first cut; `None` where it does not, or where
/// a pilot hole takes nothing off what is no more than relaxed.
///
/// It asks the calculator up to twenty times, and only then.
pub fn plan(q: &Question<'_>, given: &Answer, shelf: &[Tool]) -> Option<Plan> {
    if !is_wanted(q, given) {
        return None;
    }
    let is_passed = loads(given).any(Limit::is_exceeded);
    let d = q.tool.diameter_mm;
    if q.tool.edge == Edge::Hss
        && let Some(found) = drilled(q, d, given.ap, shelf)
    {
        return Some(found);
    }
    is_passed.then(|| {
        milled(q, d, given.ap, shelf).map_or(Plan::Nothing, |found| Plan::Mill(Box::new(found)))
    })
}

/// The drills to begin with.
fn drilled(q: &Question<'_>, d: f64, depth: Length, shelf: &[Tool]) -> Option<Plan> {
    let pilots = drills(
        shelf,
        drilling::STANDARD_POINT.chisel * d,
        MOST_PILOT * d,
        depth,
    );
    let pilot = *pilots.last()?;
    let first = stage(q, shelf, pilot, None, depth)?;
    let after = |hole: Length| {
        let mut last = q.clone();
        last.pilot = Some(hole);
        answer(&last).ok().filter(keeps)
    };
    if let Some(last) = after(first.diameter) {
        return Some(Plan::Drill {
            first: vec![first],
            last: Box::new(last),
        });
    }
    // The narrowest hole in between that leaves the last drill no more than a first cut, else the widest.
    let most = if grabs(q.material.class) {
        MOST_OPENED_GRABBING
    } else {
        MOST_OPENED
    };
    let between = drills(shelf, LEAST_OPENED * d, most * d, depth);
    let is_light = |a: &Answer| !loads(a).any(Limit::is_relaxed);
    let size = |place: usize| mm(shelf[place].diameter_mm);
    let at = between.partition_point(|place| !after(size(*place)).is_some_and(|a| is_light(&a)));
    let place = *between.get(at).or(between.last())?;
    let last = after(size(place))?;
    let opened = stage(q, shelf, place, Some(first.diameter), depth)?;
    Some(Plan::Drill {
        first: vec![first, opened],
        last: Box::new(last),
    })
}

/// The end mill that bores it soonest.
fn milled(q: &Question<'_>, d: f64, depth: Length, shelf: &[Tool]) -> Option<Stage> {
    let is_fit = |tool: &Tool| {
        tool.kind == Sort::EndMill
            && tool.diameter_mm >= MILL.0 * d
            && tool.diameter_mm <= MILL.1 * d
            && tool.flute_length_mm >= to_mm(depth)
    };
    let found = shelf.iter().enumerate().filter(|(_, tool)| is_fit(tool));
    found
        .filter_map(|(place, tool)| {
            let mut other = q.clone();
            other.cut = Cut::Slot;
            other.tool = tool;
            other.fixed = Fixed::default();
            other.stick_out = None;
            other.total_depth = Some(depth);
            let answer = answer(&other).ok()?;
            let has_ramp = answer
                .entry
                .as_ref()
                .is_some_and(|entry| entry.ramp.is_some());
            (has_ramp && !answer.is_exceeded()).then(|| Stage {
                place,
                title: tool.title.clone(),
                diameter: mm(tool.diameter_mm),
                pilot: None,
                answer,
            })
        })
        .max_by(|a, b| {
            a.answer
                .q
                .partial_cmp(&b.answer.q)
                .unwrap_or(std::cmp::Ordering::Equal)
        })
}

/// Places of the twist drills of these sizes that are long enough, the thinnest first.
fn drills(shelf: &[Tool], least: f64, most: f64, depth: Length) -> Vec<usize> {
    let mut found: Vec<usize> = (0..shelf.len())
        .filter(|place| {
            let tool = &shelf[*place];
            tool.kind == Sort::Drill
                && tool.edge == Edge::Hss
                && tool.diameter_mm >= least - SAME_MM
                && tool.diameter_mm <= most + SAME_MM
                && tool.flute_length_mm >= to_mm(depth)
        })
        .collect();
    found.sort_by(|a, b| shelf[*a].diameter_mm.total_cmp(&shelf[*b].diameter_mm));
    found
}

/// One hole on the way, as deep as the last.
fn stage(
    q: &Question<'_>,
    shelf: &[Tool],
    place: usize,
    pilot: Option<Length>,
    depth: Length,
) -> Option<Stage> {
    let tool = &shelf[place];
    let mut own = q.clone();
    own.tool = tool;
    own.stick_out = None;
    own.pilot = pilot;
    own.fixed = Fixed {
        ap: Some(depth),
        ..Fixed::default()
    };
    let answer = answer(&own).ok().filter(keeps)?;
    Some(Stage {
        place,
        title: tool.title.clone(),
        diameter: mm(tool.diameter_mm),
        pilot,
        answer,
    })
}

/// Whether every danger is kept with the margin of a recommendation.
fn keeps(answer: &Answer) -> bool {
    let dangers = answer
        .limits
        .iter()
        .filter(|limit| limit.which.kind() == Kind::Danger);
    dangers
        .into_iter()
        .all(|limit| limit.used <= MARGIN * (1.0 + 1e-9))
}

/// Speed, feed and what is used most, such as `2500 rpm, 56 mm/min (axis push 48 %)`.
pub fn recipe_words(answer: &Answer) -> String {
    let used = most_loaded(answer).map_or(String::new(), |limit| {
        format!(" ({} {:.0} %)", limit.which.name(), 100.0 * limit.used)
    });
    format!(
        "{}, {}{used}",
        show::rpm(answer.n),
        show::feed(answer.vf, Units::Metric)
    )
}

impl Plan {
    /// What to do, one line a step, for a hole of this depth.
    pub fn words(&self, q: &Question<'_>, depth: Length) -> Vec<String> {
        match self {
            Self::Drill { first, last } => {
                let mut lines: Vec<String> = first
                    .iter()
                    .map(|stage| {
                        let what = match stage.pilot {
                            None => "pilot hole",
                            Some(_) => "open it",
                        };
                        format!("{what}: {}, {}", stage.title, recipe_words(&stage.answer))
                    })
                    .collect();
                lines.push(format!("this drill last: {}", recipe_words(last)));
                if grabs(q.material.class) {
                    lines.push(GRABS.to_owned());
                }
                lines
            }
            Self::Mill(stage) => {
                let bore = mm(q.tool.diameter_mm);
                let mut lines =
                    vec!["no drilling in steps keeps the limits of this machine".to_owned()];
                if let Some(ramp) = stage.answer.entry.as_ref().and_then(|entry| entry.ramp) {
                    let round = std::f64::consts::PI * (to_mm(bore) - to_mm(stage.diameter));
                    let turn = (round * to_radian(ramp.angle).tan()).min(to_mm(ramp.depth));
                    let feed = thread_milling::centre_feed_inside(ramp.feed, bore, stage.diameter);
                    lines.push(format!(
                        "bore it in a helix with {}: {}, {} at the tool's centre, at most {} mm down a turn",
                        stage.title,
                        show::rpm(stage.answer.n),
                        show::feed(feed, Units::Metric),
                        t((turn * 100.0).floor() / 100.0)
                    ));
                }
                lines
            }
            Self::Nothing => {
                let d = q.tool.diameter_mm;
                let depth = to_mm(depth);
                vec![format!(
                    "no tool that is there makes this hole on this machine: an end mill of {} to {} mm with flutes of {} mm may bore it in a \
                     helix, else drill it on a larger machine",
                    t(MILL.0 * d),
                    t(MILL.1 * d),
                    t(depth)
                )]
            }
        }
    }
}
