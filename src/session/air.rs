//! The run in the air: how high Z goes for it, over what, and how far it goes.

use crate::job::holding::HeldBy;
use crate::job::holding::KeepOut;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::typed::plain;
use crate::session::state::State;

/// Clearance that an air run keeps above what stands highest, in mm.
const AIR_MM: f64 = 1.0;

/// What the deepest cut must stay above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Over {
    /// The top of the blank.
    Blank,
    /// A keep-out that stands higher than the blank by this, in mm; none where the blank is not known.
    KeepOut(Option<f64>),
    /// The head of a screw that stands above the blank by this, in mm.
    ScrewHead(f64),
}

impl Over {
    /// The words behind `above` and `meets`.
    pub fn words(self) -> String {
        match self {
            Self::Blank => "the blank".to_owned(),
            Self::ScrewHead(by) => {
                format!("the highest screw head, {} mm above the blank", plain(by))
            }
            Self::KeepOut(None) => "the highest keep-out".to_owned(),
            Self::KeepOut(Some(by)) => {
                format!("the highest keep-out, {} mm above the blank", plain(by))
            }
        }
    }
}

/// The least by which Z must be raised, in mm, so that no cut of the setup meets the blank or a keep-out; and which of the two
/// stands higher.
///
/// Of a thickness that differs from corner to corner the top is reckoned from the greatest, the bottom, from which keep-outs are
/// measured, from the least: so each is as high as it can be.
pub fn least_raise(state: &State) -> (f64, Over) {
    let setup = state.current_setup();
    let program = setup.program.as_ref().and_then(|p| p.lowest_z_mm);
    let lowest = setup
        .operations
        .iter()
        .filter_map(|operation| operation.part.as_ref()?.lowest_z_mm)
        .chain(program)
        .chain(unknown_depths(state).filter_map(|operation| through_mm(state, operation)))
        .fold(0.0, f64::min);
    // Top and bottom of the blank in the program's own numbers.
    let (top, bottom) = match (&setup.zero, &setup.stock) {
        (Some(zero), Some(stock)) => {
            let share = zero.point.share()[2];
            (
                (1.0 - share) * stock.greatest_mm(),
                -share * stock.least_mm(),
            )
        }
        _ => (0.0, 0.0),
    };
    let keep_out = keep_outs(state)
        .map(|keep_out| bottom + keep_out.height)
        .fold(f64::NEG_INFINITY, f64::max);
    let holding = setup.holding.as_ref();
    let head = holding
        .into_iter()
        .flat_map(|holding| &holding.screws)
        .map(|head| head.height)
        .fold(0.0, f64::max);
    if top + head > top.max(keep_out) {
        return (top + head - lowest + AIR_MM, Over::ScrewHead(head));
    }
    if keep_out <= top {
        return (top - lowest + AIR_MM, Over::Blank);
    }
    let by = setup
        .stock
        .as_ref()
        .filter(|_| setup.zero.is_some())
        .map(|_| keep_out - top);
    (keep_out - lowest + AIR_MM, Over::KeepOut(by))
}

/// Cuts still to come that are no part of a program: nobody has said how deep they go.
fn unknown_depths(state: &State) -> impl Iterator<Item = &Operation> {
    let operations = state.current_setup().operations.iter();
    operations.filter(|o| o.kind.is_cut() && o.part.is_none() && !o.progress.is_done())
}

/// Z of a cut that goes through the blank, in mm in the program's own numbers, where blank and zero are known: as low as the
/// bottom can be, with a drill's point below it.
fn through_mm(state: &State, operation: &Operation) -> Option<f64> {
    let setup = state.current_setup();
    let (zero, stock) = (setup.zero.as_ref()?, setup.stock.as_ref()?);
    let bottom = -zero.point.share()[2] * stock.greatest_mm();
    let point = operation
        .tool
        .and_then(|index| state.rack.get(index))
        .and_then(|rack| rack.tool.point_mm())
        .unwrap_or(0.0);
    Some(bottom - point)
}

/// How the depth of cuts was taken that are no part of a program.
pub fn taken_through(state: &State) -> Option<String> {
    let titles: Vec<&str> = unknown_depths(state).map(|o| o.title.as_str()).collect();
    let (first, rest) = titles.split_first()?;
    let what = if rest.is_empty() {
        (*first).to_owned()
    } else {
        format!("{first} and {} more", rest.len())
    };
    let setup = state.current_setup();
    Some(if setup.zero.is_some() && setup.stock.is_some() {
        format!(
            "No program part says how deep {what} goes: taken as through the blank, and no deeper."
        )
    } else {
        format!(
            "No program part says how deep {what} goes, and blank or zero is not stated: raise Z by more than it can go."
        )
    })
}

fn keep_outs(state: &State) -> impl Iterator<Item = &KeepOut> {
    let holding = state.current_setup().holding.as_ref();
    holding.into_iter().flat_map(|holding| &holding.keep_outs)
}

fn begin(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}", first.to_uppercase(), letters.as_str())
    })
}

/// How far the air run goes with the clamps that are on, where they change places later in this setup.
pub fn goes_to(state: &State) -> Option<String> {
    let operations = &state.current_setup().operations;
    let is_swap = |kind: OperationKind| kind == OperationKind::ClampSwap;
    let place = operations
        .iter()
        .position(|o| is_swap(o.kind) && !o.progress.is_done())?;
    let begins = operations[..place]
        .iter()
        .rposition(|o| is_swap(o.kind))
        .map_or(0, |swap| swap + 1);
    let before = &operations[begins..place];
    let swap = format!("operation {}, {}", place + 1, operations[place].title);
    let by = state.current_setup().holding.as_ref().map(|held| held.by);
    let with = by.map_or("with what holds it now", HeldBy::with_it);
    let rest = match by {
        Some(HeldBy::Clamps | HeldBy::Dowels | HeldBy::Screws | HeldBy::Vice) | None => {
            "Run the rest in the air once that is done."
        }
        Some(_) => "If nothing that holds changes there, leave that operation out.",
    };
    let last_line = before
        .iter()
        .rev()
        .find_map(|o| o.part.as_ref())
        .map(|part| part.last_line);
    Some(match (last_line, before.last()) {
        (Some(line), _) => format!(
            "{} the air run goes to line {line}: then comes {swap}. {rest}",
            begin(with)
        ),
        (None, Some(_)) => format!(
            "{} the air run goes to the end of operation {place}: then comes {swap}. {rest}",
            begin(with)
        ),
        (None, None) => {
            format!("Next comes {swap}: no part of the program runs in the air {with}.")
        }
    })
}
