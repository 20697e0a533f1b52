//! Whether the surface that Z is set to is still there when a tool is touched off on it, and what else to touch off on.
//!
//! A reference is needed once for each tool. Facing takes the stock top away before the tools behind it come, so the plan is looked at
//! from its beginning: by the path of the program where that was followed through the blank, else by the kind of the operations.

use crate::job::holding::HeldBy;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Progress;
use crate::job::reference::Surface;
use crate::job::reference::TopLeft;
use crate::job::reference::ZReference;
use crate::job::stock::Under;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::session::state::Setup;
use crate::session::state::State;

/// A hair that rounding takes, mm.
const HAIR_MM: f64 = 0.005;
/// Share of the top under which less than half of it is left to touch off on (common practice, no source).
const HALF: f64 = 0.5;

/// How much of the surface an operation takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// All of it, or the place where the tools are touched off.
    Gone,
    /// Some of it: the tool must be touched off where the rest is.
    Partly,
}

/// A surface that an operation cuts before a tool is touched off on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Loss {
    /// How much of it.
    pub taken: Taken,
    /// The operation that cuts it, counted from 0.
    pub by: usize,
    /// Whether the path of the program shows it; else it is concluded from the kind of the operation.
    pub is_by_path: bool,
}

/// Another surface to touch off on.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The surface.
    pub surface: Surface,
    /// Its Z as worked out, mm; none: to be measured and typed.
    pub height_mm: Option<f64>,
    /// Where on it, X and Y in the numbers of the program, mm.
    pub at: Option<[f64; 2]>,
    /// What to do, with the sum that gives the Z.
    pub words: String,
}

/// For each tool behind the first that is to be touched off in this setup: its operation, and what takes its Z reference before.
///
/// A tool that stays in for the next operation is not touched off again. Operations that were left out cut nothing.
pub fn losses(setup: &Setup) -> Vec<(usize, Loss)> {
    let Some(reference) = &setup.z_reference else {
        return vec![];
    };
    touched_off(setup)
        .into_iter()
        .filter_map(|place| Some((place, loss_before(setup, reference, place, |_| true)?)))
        .collect()
}

/// The operations before which a tool behind the first is touched off.
fn touched_off(setup: &Setup) -> Vec<usize> {
    let mut before: Option<&Operation> = None;
    let mut found = vec![];
    for (place, operation) in setup.operations.iter().enumerate() {
        if !is_cut(operation) {
            continue;
        }
        if before.is_some_and(|b| b.tool.is_none() || b.tool != operation.tool) {
            found.push(place);
        }
        before = Some(operation);
    }
    found
}

/// What has taken a surface away by now: of the operations before this one those that have begun.
pub fn lost_now(setup: &Setup, reference: &ZReference, place: usize) -> Option<Loss> {
    loss_before(setup, reference, place, |progress| {
        matches!(progress, Progress::Begun | Progress::Finished)
    })
}

/// What this operation takes of the Z reference of its setup.
pub fn taken_by(setup: &Setup, place: usize) -> Option<Loss> {
    taken(setup, setup.z_reference.as_ref()?, place)
}

fn is_cut(operation: &Operation) -> bool {
    operation.kind.is_cut() && operation.progress != Progress::LeftOut
}

/// The gravest loss before an operation; of equal ones the first.
fn loss_before(
    setup: &Setup,
    reference: &ZReference,
    place: usize,
    counts: impl Fn(Progress) -> bool,
) -> Option<Loss> {
    let before = setup.operations.iter().enumerate().take(place);
    let all = before
        .filter(|(_, operation)| is_cut(operation) && counts(operation.progress))
        .filter_map(|(by, _)| taken(setup, reference, by));
    let mut found: Option<Loss> = None;
    for loss in all {
        if found.is_none_or(|f| f.taken == Taken::Partly && loss.taken == Taken::Gone) {
            found = Some(loss);
        }
    }
    found
}

fn taken(setup: &Setup, reference: &ZReference, by: usize) -> Option<Loss> {
    let operation = setup.operations.get(by)?;
    let (taken, is_by_path) = match reference.surface {
        Surface::StockTop => of_top(setup, reference, operation),
        Surface::NewFace => of_new_face(setup, reference, by, operation),
        Surface::SpoilBoard => of_board(setup, operation),
        Surface::Table | Surface::Jaw | Surface::Pad | Surface::Parallel => None,
    }?;
    Some(Loss {
        taken,
        by,
        is_by_path,
    })
}

/// What the path leaves of the top behind the last cut of an operation.
fn top_behind<'a>(setup: &'a Setup, operation: &Operation) -> Option<&'a TopLeft> {
    let part = operation.part.as_ref()?;
    let tops = &setup.program.as_ref()?.tops;
    tops.iter()
        .rfind(|top| (part.first_line..=part.last_line).contains(&top.line))
}

fn of_top(setup: &Setup, reference: &ZReference, operation: &Operation) -> Option<(Taken, bool)> {
    let is_facing = operation.kind == OperationKind::Face;
    let Some(top) = top_behind(setup, operation) else {
        return match operation.kind {
            OperationKind::Face => Some((Taken::Gone, false)),
            // Nobody has said what it mills.
            OperationKind::Mill => Some((Taken::Partly, false)),
            _ => None,
        };
    };
    if reference.at.is_some() {
        let deep = top.at_place_deep_mm?;
        return (deep > HAIR_MM).then_some((Taken::Gone, true));
    }
    if top.clear.is_none() {
        return Some((Taken::Gone, true));
    }
    let is_cut = top.share < 1.0;
    (is_cut && (is_facing || top.share < HALF)).then_some((Taken::Partly, true))
}

fn of_new_face(
    setup: &Setup,
    reference: &ZReference,
    by: usize,
    operation: &Operation,
) -> Option<(Taken, bool)> {
    // The facing that has made it: the last one that was cut, else the first that is planned.
    let is_facing =
        |o: &Operation| o.kind == OperationKind::Face && o.progress != Progress::LeftOut;
    let operations = &setup.operations;
    let made_by = operations
        .iter()
        .rposition(|o| is_facing(o) && o.progress != Progress::Planned)
        .or_else(|| operations.iter().position(is_facing));
    if made_by.is_some_and(|made_by| by <= made_by) {
        return None;
    }
    match top_behind(setup, operation) {
        Some(top) => {
            (top.highest_mm < reference.height.value - HAIR_MM).then_some((Taken::Gone, true))
        }
        None => is_facing(operation).then_some((Taken::Gone, false)),
    }
}

/// A board reaches out from under the blank, so that a cut through the blank leaves some of it.
fn of_board(setup: &Setup, operation: &Operation) -> Option<(Taken, bool)> {
    let bottom_mm = || {
        let stock = setup.stock.as_ref()?;
        Some(-setup.zero.as_ref()?.point.share()[2] * stock.greatest_mm())
    };
    let lowest = operation.part.as_ref().and_then(|part| part.lowest_z_mm);
    match lowest.zip(bottom_mm()) {
        Some((lowest, bottom)) => (lowest < bottom - HAIR_MM).then_some((Taken::Partly, true)),
        None => matches!(
            operation.kind,
            OperationKind::Profile | OperationKind::DrillThrough
        )
        .then_some((Taken::Partly, false)),
    }
}

/// What happens to the surface, one sentence.
pub fn words(setup: &Setup, reference: &ZReference, loss: &Loss) -> String {
    let operation = setup.operations.get(loss.by);
    let title = operation.map_or("", |operation| operation.title.as_str());
    let top = operation.and_then(|operation| top_behind(setup, operation));
    let surface = reference.surface.word();
    match (reference.surface, loss.taken) {
        (Surface::SpoilBoard, _) => {
            format!("\"{title}\" cuts into the {surface}: touch off clear of its cut.")
        }
        (_, Taken::Gone) => match (reference.at, top.and_then(|top| top.at_place_deep_mm)) {
            (Some([x, y]), Some(deep)) => format!(
                "\"{title}\" cuts the {surface} at X {} Y {}, {} mm deep.",
                plain(x),
                plain(y),
                plain(deep)
            ),
            _ => format!("\"{title}\" cuts the {surface} away."),
        },
        (_, Taken::Partly) => match top {
            Some(top) => format!(
                "\"{title}\" cuts the {surface}: {:.0} % of it stays.",
                100.0 * top.share
            ),
            None => format!("\"{title}\" may cut the {surface}: its path is not known."),
        },
    }
}

/// Surfaces that stay, for the tools behind a loss, each with its Z; the face that was cut once it is there.
pub fn ways(setup: &Setup, reference: &ZReference, loss: &Loss) -> Vec<Way> {
    let mut ways = vec![];
    let held_by = setup.holding.as_ref().map(|holding| holding.by);
    let under = setup
        .stock
        .as_ref()
        .map_or(Under::Unknown, |stock| stock.under);
    if let Some(way) = uncut_place(setup, reference) {
        ways.push(way);
    }
    let mut stays = vec![];
    match under {
        Under::Spoil { .. } => {
            stays.push((Surface::SpoilBoard, "the spoil board, clear of all cuts"))
        }
        Under::Parallels => stays.push((
            Surface::Parallel,
            "a parallel, where it stands out beside the part",
        )),
        Under::Table => stays.push((Surface::Table, "the table")),
        Under::Jaw | Under::Air | Under::Unknown => {}
    }
    if under == Under::Jaw || held_by == Some(HeldBy::Vice) {
        stays.push((Surface::Jaw, "the top of the fixed jaw"));
    }
    stays.push((Surface::Pad, "a pad or tool setter fixed to the table"));
    for (surface, place) in stays {
        if surface != reference.surface {
            ways.push(by_blank(setup, surface, place));
        }
    }
    let operation = setup.operations.get(loss.by);
    let is_there = operation.is_some_and(|o| o.progress == Progress::Finished);
    if is_there && let Some((height, sum)) = new_face(setup, reference, loss.by) {
        ways.push(Way {
            surface: Surface::NewFace,
            height_mm: Some(height),
            at: None,
            words: format!("the new face: Z {} mm ({sum})", plain(height)),
        });
    }
    ways
}

/// A place of the top that no cut reaches before the last tool is touched off.
fn uncut_place(setup: &Setup, reference: &ZReference) -> Option<Way> {
    let last = *touched_off(setup).last()?;
    let before: Vec<&Operation> = setup.operations[..last]
        .iter()
        .filter(|operation| is_cut(operation))
        .collect();
    // Cuts by hand are in no path.
    let tops: Option<Vec<&TopLeft>> = before
        .into_iter()
        .map(|operation| top_behind(setup, operation))
        .collect();
    let [x, y] = tops?.last()?.clear?;
    if reference.surface != Surface::StockTop || reference.at == Some([x, y]) {
        return None;
    }
    Some(Way {
        surface: Surface::StockTop,
        height_mm: Some(reference.height.value),
        at: Some([x, y]),
        words: format!(
            "the stock top at X {} Y {}, which no cut reaches before: Z {} mm",
            plain(x),
            plain(y),
            plain(reference.height.value)
        ),
    })
}

/// A surface whose Z the blank as measured gives, else one to be measured.
fn by_blank(setup: &Setup, surface: Surface, place: &str) -> Way {
    let stands = ZReference {
        surface,
        height: Typed::mm(0.0),
        shim: Typed::mm(0.0),
        at: None,
    };
    let known = setup.zero.as_ref().zip(setup.stock.as_ref());
    let height = known.and_then(|(zero, stock)| {
        let height = stands.by_blank_mm(zero.point, stock)?;
        Some((round(height), stock.greatest_mm()))
    });
    Way {
        surface,
        height_mm: height.map(|(height, _)| height),
        at: None,
        words: match height {
            Some((height, thick)) => format!(
                "{place}: Z {} mm (blank {} mm thick)",
                plain(height),
                plain(thick)
            ),
            None => format!("{place}: measure its Z first"),
        },
    }
}

/// To a micrometre, so that a sum shows no digits of its own.
fn round(mm: f64) -> f64 {
    (mm * 1000.0).round() / 1000.0 + 0.0
}

/// Z of the face that an operation has cut, mm, with the sum that gives it; none where nothing says how deep it went.
pub fn new_face(setup: &Setup, reference: &ZReference, by: usize) -> Option<(f64, String)> {
    let operation = setup.operations.get(by)?;
    let title = &operation.title;
    if let Some(top) = top_behind(setup, operation)
        && top.clear.is_none()
    {
        return Some((
            round(top.highest_mm),
            format!("the highest metal that \"{title}\" leaves, by its path"),
        ));
    }
    if operation.kind != OperationKind::Face {
        return None;
    }
    if let Some(lowest) = operation.part.as_ref().and_then(|part| part.lowest_z_mm) {
        return Some((
            round(lowest),
            format!("the lowest Z in the lines of \"{title}\""),
        ));
    }
    let deep = operation
        .recipe
        .as_ref()
        .map(|recipe| recipe.ap_mm)
        .or_else(|| operation.depth.as_ref().map(|depth| depth.value))?;
    let was = reference.height.value;
    Some((
        round(was - deep),
        format!("{} before, less one pass of {} mm", plain(was), plain(deep)),
    ))
}

/// What has become of the Z reference of the setup in work by now, one sentence.
pub fn now(state: &State) -> Option<String> {
    let setup = state.current_setup();
    let reference = setup.z_reference.as_ref()?;
    let loss = lost_now(setup, reference, state.operation)?;
    Some(words(setup, reference, &loss))
}

/// Why no tool can be touched off on the Z reference of the setup any more, where the path shows it.
pub fn lost(state: &State) -> Option<String> {
    refused(state, state.current_setup().z_reference.as_ref()?)
}

/// Why Z cannot be set to a surface: the path shows that it is no longer there. What only the kind of an operation tells is said, and
/// the person decides.
pub fn refused(state: &State, reference: &ZReference) -> Option<String> {
    let setup = state.current_setup();
    let loss = lost_now(setup, reference, state.operation)?;
    let is_sure = loss.taken == Taken::Gone && loss.is_by_path;
    is_sure.then(|| {
        format!(
            "{} Touch off on another surface.",
            words(setup, reference, &loss)
        )
    })
}

/// The next tool that finds its Z reference cut, from the operation in work on: its operation and what is said of it.
pub fn ahead(state: &State) -> Option<(usize, Loss, String)> {
    let setup = state.current_setup();
    let reference = setup.z_reference.as_ref()?;
    let (place, loss) = losses(setup)
        .into_iter()
        .find(|(place, loss)| *place >= state.operation && is_raised(setup, loss))?;
    let title = &setup.operations[place].title;
    let said = words(setup, reference, &loss);
    Some((place, loss, format!("Z reference of \"{title}\": {said}")))
}

/// A cut beside the place of the touch is a matter of every job; facing and what takes it all are not.
fn is_raised(setup: &Setup, loss: &Loss) -> bool {
    loss.taken == Taken::Gone
        || setup
            .operations
            .get(loss.by)
            .is_some_and(|operation| operation.kind == OperationKind::Face)
}
