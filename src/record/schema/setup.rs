//! A setup in a record: program, blank, holding, zeros, operations, sizes.

use crate::job::holding::HeldBy;
use crate::job::holding::Holding;
use crate::job::holding::KeepOut;
use crate::job::holding::ScrewHead;
use crate::job::reading::Of;
use crate::job::reading::Read;
use crate::job::reading::Reading;
use crate::job::reference::FoundBy;
use crate::job::reference::Surface;
use crate::job::reference::TopLeft;
use crate::job::reference::ZReference;
use crate::job::reference::Zero;
use crate::job::stock::Edges;
use crate::job::stock::Stock;
use crate::job::stock::Under;
use crate::job::typed::Typed;
use crate::job::zero::ZeroPoint;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::schema::operation;
use crate::record::schema::operation::Timed;
use crate::record::shape::List;
use crate::record::shape::Maybe;
use crate::record::shape::Prose;
use crate::record::shape::Text;
use crate::record::shape::TextIf;
use crate::record::shape::Time;
use crate::record::shape::Truth;
use crate::record::shape::Word;
use crate::record::shape::Yes;
use crate::record::shape::amount;
use crate::record::shape::amount::Length;
use crate::record::shape::words;
use crate::session::state::PointSeen;
use crate::session::state::ProgramCopy;
use crate::session::state::Setup;
use crate::session::state::StopFinding;

/// A setup with its operations apart, each with its clock.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::record) struct Worked {
    /// The setup; its operations are empty here.
    pub setup: Setup,
    /// Its operations.
    pub operations: Vec<Timed>,
}

pub(in crate::record) fn worked<F: Fields>(
    f: &mut F,
    v: Option<&Worked>,
    tools: usize,
) -> Took<Worked> {
    let s = v.map(|v| &v.setup);
    let setup = Setup {
        title: f.value("title", of!(s.title), &Text)?,
        plan: f.value("plan", of!(s.plan), &Prose)?,
        raised: f.value("raised", of!(s.raised), &Maybe(Length::FromZero))?,
        air_left_out: f.value("air_left_out", of!(s.air_left_out), &TextIf)?,
        let_go: f.value("let_go", of!(s.let_go), &Maybe(Time))?,
        program: f.table_if("program", of!(s.program), program)?,
        stock: f.table_if("stock", of!(s.stock), stock)?,
        holding: f.table_if("holding", of!(s.holding), holding)?,
        zero: f.table_if("zero", of!(s.zero), zero)?,
        z_reference: f.table_if("z_reference", of!(s.z_reference), |f, v| {
            Ok(ZReference {
                surface: f.value("surface", of!(v.surface), &words!(Surface))?,
                height: f.value("height", of!(v.height), &Length::Signed)?,
                shim: f.value("shim", of!(v.shim), &Length::FromZero)?,
                at: at(f, v.map(|v| v.at.as_ref()))?,
            })
        })?,
        points_seen: f.rows(
            "points_seen",
            s.map(|s| s.points_seen.as_slice()),
            |f, v| {
                Ok(PointSeen {
                    at: f.value("at", of!(v.at), &Time)?,
                    what: f.value("what", of!(v.what), &Text)?,
                })
            },
        )?,
        operations: vec![],
        readings: f.rows("readings", s.map(|s| s.readings.as_slice()), reading)?,
    };
    let operations = f.tables("operation", v.map(|v| v.operations.as_slice()), |f, v| {
        operation::timed(f, v, tools)
    })?;
    Ok(Worked { setup, operations })
}

/// The file that a record of an older version names where it means the program of the demo job.
const DEMO_BEFORE: &str = "built-in/star-tracker-plate.nc";

fn program<F: Fields>(f: &mut F, v: Option<&ProgramCopy>) -> Took<ProgramCopy> {
    let file = f.value("file", of!(v.file), &Text)?;
    // Older records have no such key, and there the name alone told it. It is written where one of the two is so.
    let is_as_before = file == DEMO_BEFORE;
    let written = v.map(|v| (v.is_built_in || is_as_before).then_some(v.is_built_in));
    let is_built_in = f.value("built_in", written.as_ref(), &Maybe(Truth))?;
    Ok(ProgramCopy {
        file,
        is_built_in: is_built_in.unwrap_or(is_as_before),
        sha256: f.value("sha256", of!(v.sha256), &Text)?,
        bytes: f.value("bytes", of!(v.bytes), &amount::COUNT)?,
        time_s: f.value("estimate", of!(v.time_s), &Maybe(amount::SECOND))?,
        warnings: f.value("warnings", of!(v.warnings), &amount::COUNT)?,
        notes: f.value("notes", of!(v.notes), &amount::COUNT)?,
        lowest_z_mm: f.value("lowest_z", of!(v.lowest_z_mm), &Maybe(amount::MM_SIGNED))?,
        tops: f.rows("tops", v.map(|v| v.tops.as_slice()), top_left)?,
        stops: f.rows("stops", v.map(|v| v.stops.as_slice()), |f, v| {
            Ok(StopFinding {
                id: f.value("id", of!(v.id), &Text)?,
                message: f.value("message", of!(v.message), &Prose)?,
                accepted: f.value("accepted", of!(v.accepted), &TextIf)?,
            })
        })?,
    })
}

/// What a section of the program leaves of the top of the blank.
fn top_left<F: Fields>(f: &mut F, v: Option<&TopLeft>) -> Took<TopLeft> {
    Ok(TopLeft {
        line: f.value("line", of!(v.line), &amount::COUNT)?,
        share: f.value("share", of!(v.share), &amount::BARE)?,
        highest_mm: f.value("highest_z", of!(v.highest_mm), &amount::MM_SIGNED)?,
        at_place_deep_mm: f.value(
            "cut_at_reference",
            of!(v.at_place_deep_mm),
            &Maybe(amount::MM_SIGNED),
        )?,
        clear: at(f, v.map(|v| v.clear.as_ref()))?,
    })
}

/// A place by X and Y, written where it is known.
fn at<F: Fields>(f: &mut F, v: Option<Option<&[f64; 2]>>) -> Took<Option<[f64; 2]>> {
    let axis = |number: usize| v.map(|v| v.map(|at| at[number]));
    let x = f.value("at_x", axis(0).as_ref(), &Maybe(amount::MM_SIGNED))?;
    let y = f.value("at_y", axis(1).as_ref(), &Maybe(amount::MM_SIGNED))?;
    Ok(x.zip(y).map(|(x, y)| [x, y]))
}

fn stock<F: Fields>(f: &mut F, v: Option<&Stock>) -> Took<Stock> {
    const EDGES: Word<Edges> = Word {
        word: |edges| edges.word().to_owned(),
        from: |word| ALL.into_iter().find(|edges| edges.word() == word),
        all: || ALL.iter().map(|edges| edges.word().to_owned()).collect(),
    };
    const ALL: [Edges; 2] = [Edges::Sawn, Edges::Milled];
    let x = f.value("x", of!(v.x), &Length::Positive)?;
    let y = f.value("y", of!(v.y), &Length::Positive)?;
    let thickness = f.value("thickness", of!(v.thickness), &List(Length::Positive))?;
    if !(1..=4).contains(&thickness.len()) {
        let wrong = Wrong::new(
            format!("has {} values", thickness.len()),
            "Write one to four thicknesses: left front, right front, left back, right back.",
        );
        return Err(f.fault("thickness", wrong));
    }
    let edges = f.value("edges", of!(v.edges), &EDGES)?;
    let under = under(f, of!(v.under))?;
    let above_jaws = f.value("above_jaws", of!(v.above_jaws), &Maybe(Length::FromZero))?;
    let part = f.row_if("part", of!(v.part), |f, v| {
        Ok([
            f.value("x", v.map(|v| &v[0]), &Length::FromZero)?,
            f.value("y", v.map(|v| &v[1]), &Length::FromZero)?,
            f.value("z", v.map(|v| &v[2]), &Length::FromZero)?,
        ])
    })?;
    Ok(Stock {
        x,
        y,
        thickness,
        edges,
        under,
        above_jaws,
        part,
    })
}

fn under<F: Fields>(f: &mut F, v: Option<&Under>) -> Took<Under> {
    const ALL: [Under; 6] = [
        Under::Unknown,
        Under::Spoil { thickness_mm: 0.0 },
        Under::Parallels,
        Under::Jaw,
        Under::Table,
        Under::Air,
    ];
    const UNDER: Word<Under> = Word {
        word: |under| under.word().to_owned(),
        from: |word| ALL.into_iter().find(|under| under.word() == word),
        all: || ALL.iter().map(|under| under.word().to_owned()).collect(),
    };
    let under = f.value("under", v, &UNDER)?;
    if !matches!(under, Under::Spoil { .. }) {
        return Ok(under);
    }
    let thickness = v.map(|v| match v {
        Under::Spoil { thickness_mm } => *thickness_mm,
        _ => 0.0,
    });
    let thickness_mm = f.value("spoil_thickness", thickness.as_ref(), &amount::MM)?;
    Ok(Under::Spoil { thickness_mm })
}

fn holding<F: Fields>(f: &mut F, v: Option<&Holding>) -> Took<Holding> {
    Ok(Holding {
        by: f.value("by", of!(v.by), &words!(HeldBy))?,
        out_of_true: f.value("out_of_true", of!(v.out_of_true), &Maybe(Length::Signed))?,
        pull_n: f.value("stands_pull", of!(v.pull_n), &Maybe(amount::NEWTON))?,
        rest_after_s: f.value("rest_after", of!(v.rest_after_s), &Maybe(amount::SECOND))?,
        keep_outs: f.rows("keep_outs", v.map(|v| v.keep_outs.as_slice()), |f, v| {
            Ok(KeepOut {
                from: [
                    f.value("x_from", v.map(|v| &v.from[0]), &amount::MM_SIGNED)?,
                    f.value("y_from", v.map(|v| &v.from[1]), &amount::MM_SIGNED)?,
                ],
                to: [
                    f.value("x_to", v.map(|v| &v.to[0]), &amount::MM_SIGNED)?,
                    f.value("y_to", v.map(|v| &v.to[1]), &amount::MM_SIGNED)?,
                ],
                height: f.value("height", of!(v.height), &amount::MM_SIGNED)?,
            })
        })?,
        screws: f.rows("screws", v.map(|v| v.screws.as_slice()), |f, v| {
            Ok(ScrewHead {
                at: [
                    f.value("x", v.map(|v| &v.at[0]), &amount::MM_SIGNED)?,
                    f.value("y", v.map(|v| &v.at[1]), &amount::MM_SIGNED)?,
                ],
                diameter: f.value("head_diameter", of!(v.diameter), &amount::MM)?,
                height: f.value("above_blank", of!(v.height), &amount::MM)?,
            })
        })?,
    })
}

fn zero<F: Fields>(f: &mut F, v: Option<&Zero>) -> Took<Zero> {
    const POINT: Word<ZeroPoint> = Word {
        word: ToString::to_string,
        from: |word| word.parse().ok(),
        all: || ZeroPoint::all().map(|point| point.to_string()).collect(),
    };
    Ok(Zero {
        point: f.value("point", of!(v.point), &POINT)?,
        found_by: f.value("found_by", of!(v.found_by), &words!(FoundBy))?,
        finder: f.value("finder", of!(v.finder), &Length::FromZero)?,
        offset: f.value("offset", of!(v.offset), &Text)?,
    })
}

fn reading<F: Fields>(f: &mut F, v: Option<&Reading>) -> Took<Reading> {
    // The key of older records tells inside from outside; the second one stands beside it only where that is not all.
    let is_inside = v.map(|v| matches!(v.of, Of::Inside | Of::InsideOneWall));
    let more = v.map(|v| Some(v.of).filter(|of| !matches!(of, Of::Outside | Of::Inside)));
    let sizes: Option<Vec<Typed>> = v.map(|v| v.reads.iter().map(|r| r.size.clone()).collect());
    let after: Option<Vec<String>> = v.map(|v| v.reads.iter().map(|r| r.after.clone()).collect());
    let reading = Reading {
        what: f.value("what", of!(v.what), &Text)?,
        nominal: f.value("nominal", of!(v.nominal), &Length::Signed)?,
        upper: f.value("upper", of!(v.upper), &Length::Signed)?,
        lower: f.value("lower", of!(v.lower), &Length::Signed)?,
        actual: f.value("actual", of!(v.actual), &Maybe(Length::Signed))?,
        of: match f.value("inside", is_inside.as_ref(), &Yes)? {
            true => Of::Inside,
            false => Of::Outside,
        },
        gauge: f.value("gauge", of!(v.gauge), &Maybe(Length::FromZero))?,
        reads: vec![],
        made_by: f.value("made_by", of!(v.made_by), &Maybe(Text))?,
    };
    let more = f.value("size_of", more.as_ref(), &Maybe(words!(Of)))?;
    let sizes = f.value("reads", sizes.as_ref(), &List(Length::Signed))?;
    let after = f.value("read_after", after.as_ref(), &List(Text))?;
    if after.len() != sizes.len() {
        let wrong = Wrong::new(
            format!("has {} values", after.len()),
            format!("Write as many as reads has, {}.", sizes.len()),
        );
        return Err(f.fault("read_after", wrong));
    }
    let reads = sizes.into_iter().zip(after);
    Ok(Reading {
        of: more.unwrap_or(reading.of),
        reads: reads.map(|(size, after)| Read { size, after }).collect(),
        ..reading
    })
}
