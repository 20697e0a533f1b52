//! The JSON of `check`: one object, lengths in mm and times in s.

use serde::Serialize;

use crate::check::Report;
use crate::check::points::CheckPoint;
use crate::check::zero_finder::Candidate;
use crate::program::bounds::Bounds;
use crate::program::code;
use crate::program::finding::Finding;
use crate::program::section::Section;
use crate::program::summary::Extents;
use crate::program::summary::RestartPoint;
use crate::program::summary::Summary;

/// The whole object.
#[derive(Debug, Serialize)]
pub struct Object {
    format: u32,
    size_bytes: u64,
    sha256: String,
    units: &'static str,
    blocks: u64,
    moves: Moves,
    extents: Boxes,
    path_mm: Path,
    time_s: Times,
    tools: Vec<u32>,
    sections: Vec<SectionObject>,
    start: StartObject,
    machine_z_moves: Vec<MachineZObject>,
    uncertain_from: Option<u64>,
    findings: Vec<FindingObject>,
    zero_candidates: Vec<CandidateObject>,
    check_points: Vec<PointObject>,
    restart: Vec<RestartObject>,
    assumed: Vec<String>,
}

#[derive(Debug, Serialize)]
struct RestartObject {
    line: u64,
    at_mm: [Option<f64>; 3],
    units: &'static str,
    absolute: bool,
    /// Motion in force; empty when none is.
    motion: &'static str,
    work_offset: &'static str,
    tool: Option<u32>,
    h: Option<u32>,
    s_rpm: Option<f64>,
    mist: bool,
    flood: bool,
    feed_mm_min: Option<f64>,
}

/// What the program sets before its first move, and what it leaves to the control.
#[derive(Debug, Serialize)]
struct StartObject {
    sets: Vec<String>,
    left_to_control: Vec<&'static str>,
}

/// A move of Z in machine coordinates, which a raised Z does not raise.
#[derive(Debug, Serialize)]
struct MachineZObject {
    line: u64,
    code: String,
    /// Where it ends in machine coordinates; none: the reference position.
    to_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Moves {
    rapid: u64,
    feed: u64,
    arc: u64,
}

/// Extents of all motions, of feed motions, and of what runs in the stock.
#[derive(Debug, Serialize)]
pub struct Boxes {
    all: MinMax,
    feed: MinMax,
    cut: Option<MinMax>,
}

#[derive(Debug, Serialize)]
struct MinMax {
    min: [Option<f64>; 3],
    max: [Option<f64>; 3],
}

#[derive(Debug, Serialize)]
struct Path {
    feed: f64,
    rapid: f64,
}

/// Times of a program or section.
#[derive(Debug, Serialize)]
pub struct Times {
    feed_ideal: f64,
    dwell: f64,
    estimated: Option<f64>,
}

#[derive(Debug, Serialize)]
struct FeedObject {
    mm_min: f64,
    length_mm: f64,
}

/// One section.
#[derive(Debug, Serialize)]
pub struct SectionObject {
    tool: Option<u32>,
    title: String,
    tool_comment: String,
    s_rpm: Option<f64>,
    feeds: Vec<FeedObject>,
    extents: Boxes,
    path_mm: Path,
    time_s: Times,
    lowest_z_mm: Option<f64>,
    holes: u64,
    work_offset: &'static str,
    first_line: u64,
    last_line: u64,
}

/// One finding.
#[derive(Debug, Serialize)]
pub struct FindingObject {
    id: &'static str,
    level: &'static str,
    line: u64,
    block: String,
    message: String,
    remedy: String,
    count: u64,
}

#[derive(Debug, Serialize)]
struct CandidateObject {
    zero: String,
    of_part: bool,
    units: &'static str,
    turned: u16,
    flipped: Option<&'static str>,
    swapped: bool,
    fits: bool,
    overhang_mm: f64,
    sentence: String,
}

#[derive(Debug, Serialize)]
struct PointObject {
    x: f64,
    y: f64,
    z: f64,
    why: String,
}

/// The object of a program and its report.
pub fn object(summary: &Summary, report: &Report) -> Object {
    Object {
        format: 1,
        size_bytes: summary.size_bytes,
        sha256: summary.sha256.clone(),
        units: summary.units.word(),
        blocks: summary.blocks,
        moves: Moves {
            rapid: summary.moves.rapid,
            feed: summary.moves.feed,
            arc: summary.moves.arc,
        },
        extents: boxes(&summary.extents),
        path_mm: Path {
            feed: summary.path.feed_mm,
            rapid: summary.path.rapid_mm,
        },
        time_s: times(summary),
        tools: summary.tools.clone(),
        sections: summary.sections.iter().map(section).collect(),
        start: StartObject {
            sets: summary.start.sets(),
            left_to_control: summary.start.leaves(),
        },
        machine_z_moves: summary
            .machine_z
            .iter()
            .map(|z| MachineZObject {
                line: z.line,
                code: code::g_name(z.code),
                to_mm: z.to_mm,
            })
            .collect(),
        uncertain_from: summary.uncertain_from,
        findings: report.findings.iter().map(finding).collect(),
        zero_candidates: report.zero_candidates.iter().map(candidate).collect(),
        check_points: report.check_points.iter().map(point).collect(),
        restart: summary.restart_points.iter().map(restart).collect(),
        assumed: report.assumed.clone(),
    }
}

fn restart(point: &RestartPoint) -> RestartObject {
    RestartObject {
        line: point.line,
        at_mm: point.at_mm,
        units: point.units.word(),
        absolute: point.is_absolute,
        motion: point.motion,
        work_offset: code::system_name(point.work_system),
        tool: point.tool,
        h: point.h,
        s_rpm: point.s_rpm,
        mist: point.coolant[0],
        flood: point.coolant[1],
        feed_mm_min: point.feed_mm_min,
    }
}

/// Times of the whole program.
pub fn times(summary: &Summary) -> Times {
    Times {
        feed_ideal: summary.times.feed_ideal_s,
        dwell: summary.times.dwell_s,
        estimated: summary.times.estimated_s,
    }
}

/// One section as an object.
pub fn section(section: &Section) -> SectionObject {
    SectionObject {
        tool: section.tool,
        title: section.title.clone(),
        tool_comment: section.tool_comment.clone(),
        s_rpm: section.s_rpm,
        feeds: section
            .feeds
            .iter()
            .map(|used| FeedObject {
                mm_min: used.feed_mm_min,
                length_mm: used.length_mm,
            })
            .collect(),
        extents: boxes(&section.extents),
        path_mm: Path {
            feed: section.path.feed_mm,
            rapid: section.path.rapid_mm,
        },
        time_s: Times {
            feed_ideal: section.feed_ideal_s,
            dwell: section.dwell_s,
            estimated: section.estimated_s,
        },
        lowest_z_mm: section.lowest_z_mm,
        holes: section.holes,
        work_offset: code::system_name(section.work_system),
        first_line: section.first_line,
        last_line: section.last_line,
    }
}

fn boxes(extents: &Extents) -> Boxes {
    Boxes {
        all: min_max(&extents.all),
        feed: min_max(&extents.feed),
        cut: extents.cut.as_ref().map(min_max),
    }
}

fn min_max(bounds: &Bounds) -> MinMax {
    MinMax {
        min: std::array::from_fn(|axis| bounds.axis(axis).map(|(low, _)| low)),
        max: std::array::from_fn(|axis| bounds.axis(axis).map(|(_, high)| high)),
    }
}

/// One finding as an object.
pub fn finding(finding: &Finding) -> FindingObject {
    FindingObject {
        id: finding.id,
        level: finding.level.word(),
        line: finding.line,
        block: finding.block.clone(),
        message: finding.message.clone(),
        remedy: finding.remedy.clone(),
        count: finding.count,
    }
}

fn candidate(candidate: &Candidate) -> CandidateObject {
    CandidateObject {
        zero: candidate.zero.to_string(),
        of_part: candidate.of_part,
        units: candidate.units.word(),
        turned: candidate.turned_deg,
        flipped: candidate.flipped.map(|flip| flip.word()),
        swapped: candidate.swapped,
        fits: candidate.fits,
        overhang_mm: candidate.overhang_mm,
        sentence: candidate.sentence.clone(),
    }
}

fn point(point: &CheckPoint) -> PointObject {
    PointObject {
        x: point.x_mm,
        y: point.y_mm,
        z: point.z_mm,
        why: point.why.clone(),
    }
}
