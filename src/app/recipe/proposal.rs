//! The first depth that is proposed where neither program nor plan nor person has one.

use crate::app::field::Field;
use crate::calculator::answer::Answer;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::typed::plain;
use crate::quantity;
use crate::session::state::RackTool;
use crate::session::state::State;

/// Depth of a light pass over a face, mm. Common practice, no source.
const FACE_MM: f64 = 0.3;
/// What a program faces off in all is taken as one pass up to this, mm. Common practice, no source.
const ONE_PASS_MM: f64 = 1.0;
/// Share of a face mill that it lies on in a light pass. Common practice, no source.
const FACE_SHARE: f64 = 0.5;
/// Share of a spot drill's diameter that it opens where no drill is known that follows it. Common practice, no source.
const SPOT_SHARE: f64 = 0.5;
/// In so many steps the depth is taken back where it passes a limit.
const STEPS: usize = 20;

/// Puts in the first depth, as far as nobody has given one; says so in a sentence.
///
/// `total` is how deep the program goes below the top, in mm, where that is known.
///
/// A spot goes no deeper than until its cone is as wide as the hole: D / (2 tan(a / 2)) for a hole of D and a point of the included
/// angle a (plane geometry). A face is taken in a light pass.
pub(super) fn first(
    state: &State,
    operation: &Operation,
    rack: &RackTool,
    total: Option<f64>,
    given: &mut Vec<(Field, f64)>,
) -> Option<String> {
    let has = |field: Field, given: &[(Field, f64)]| given.iter().any(|(known, _)| *known == field);
    if has(Field::Depth, given) {
        return None;
    }
    match operation.kind {
        OperationKind::Spot if total.is_some() => {
            let depth = total.unwrap_or_default();
            given.push((Field::Depth, depth));
            Some(format!(
                "spot {} mm deep: the lowest that the program goes",
                plain(depth)
            ))
        }
        OperationKind::Spot => {
            let drill = smallest_drill_mm(state, operation);
            let width = drill
                .unwrap_or(rack.tool.diameter_mm * SPOT_SHARE)
                .min(rack.tool.diameter_mm);
            let depth = rack.tool.point_mm()? * width / rack.tool.diameter_mm;
            let depth = hundredth(depth);
            given.push((Field::Depth, depth));
            let why = match drill {
                Some(drill) if drill <= rack.tool.diameter_mm => {
                    format!(
                        "its cone is then as wide as the drill of {} mm",
                        plain(drill)
                    )
                }
                Some(_) => "its cone is then as wide as the spot drill".to_owned(),
                None => format!(
                    "its cone is then {} mm wide, half of the spot drill (common practice, no source)",
                    plain(width)
                ),
            };
            Some(format!("spot {} mm deep: {why}", plain(depth)))
        }
        OperationKind::Face => {
            if let Some(depth) = total.filter(|total| *total <= ONE_PASS_MM) {
                given.push((Field::Depth, depth));
                return Some(format!(
                    "{} mm deep: the lowest that the program goes, in one pass",
                    plain(depth)
                ));
            }
            given.push((Field::Depth, FACE_MM));
            Some(format!(
                "a light pass {} mm deep (common practice, no source)",
                plain(FACE_MM)
            ))
        }
        OperationKind::Drill
        | OperationKind::DrillThrough
        | OperationKind::Ream
        | OperationKind::Tap => {
            let lowest = operation.part.as_ref().and_then(|part| part.lowest_z_mm);
            let (depth, from) = match total {
                Some(total) => (total, ""),
                // Before the zero is stated: programs of holes mostly have Z0 on top.
                None => (
                    -lowest.filter(|z| *z < 0.0 && state.current_setup().zero.is_none())?,
                    " below Z0, taken as the top",
                ),
            };
            given.push((Field::Depth, depth));
            Some(format!(
                "hole {} mm deep: the lowest that the program goes{from}",
                plain(depth)
            ))
        }
        _ => None,
    }
}

/// Widest stepover that is proposed, mm, at any depth: that of a light pass over a face.
///
/// How wide a program's passes are nobody has said: they may be as wide as the tool.
pub(super) fn widest_mm(operation: &Operation, tool: &Tool) -> Option<f64> {
    (operation.kind == OperationKind::Face && operation.part.is_none())
        .then_some(tool.diameter_mm * FACE_SHARE)
}

/// Takes the depth back to one that passes no danger limit, where a smaller one does not.
pub(super) fn keep_limits(
    given: &mut Vec<(Field, f64)>,
    answer: impl Fn(&[(Field, f64)]) -> Option<Answer>,
) {
    let passes = |answer: &Answer| answer.limits.iter().any(|limit| limit.is_exceeded());
    let Some(first) = answer(given).filter(passes) else {
        return;
    };
    let depth = quantity::to_mm(first.ap);
    let with = |depth: f64| {
        let mut other: Vec<(Field, f64)> = given.clone();
        other.retain(|(field, _)| *field != Field::Depth);
        other.push((Field::Depth, depth));
        other
    };
    let keeps = |depth: f64| answer(&with(depth)).is_some_and(|answer| !passes(&answer));
    // From the top down, for a cut that is too small breaks limits of its own.
    let smaller = (1..STEPS)
        .map(|step| hundredth(depth * (1.0 - step as f64 / STEPS as f64)))
        .find(|depth| *depth > 0.0 && keeps(*depth));
    if let Some(depth) = smaller {
        *given = with(depth);
    }
}

/// Down to a hundredth of a millimetre: a depth that is proposed is never more than was reckoned.
fn hundredth(mm: f64) -> f64 {
    (mm * 100.0 + 1e-6).floor() / 100.0
}

/// Diameter of the thinnest drill that comes after this operation in its setup, mm.
fn smallest_drill_mm(state: &State, operation: &Operation) -> Option<f64> {
    let operations = &state.current_setup().operations;
    let here = operations.iter().position(|other| other == operation)?;
    operations[here + 1..]
        .iter()
        .filter(|other| {
            matches!(
                other.kind,
                OperationKind::Drill | OperationKind::DrillThrough
            )
        })
        .filter_map(|other| state.rack.get(other.tool?))
        .filter(|rack| rack.tool.kind == Kind::Drill)
        .map(|rack| rack.tool.diameter_mm)
        .min_by(f64::total_cmp)
}
