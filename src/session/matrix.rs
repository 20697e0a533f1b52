//! What withdraws which fact: the whole truth, as data.

use crate::session::fact::FactKind;
use crate::session::fact::FactKind::AirRun;
use crate::session::fact::FactKind::Held;
use crate::session::fact::FactKind::Position;
use crate::session::fact::FactKind::Program;
use crate::session::fact::FactKind::Recipe;
use crate::session::fact::FactKind::Stock;
use crate::session::fact::FactKind::ToolIn;
use crate::session::fact::FactKind::ToolLength;
use crate::session::fact::FactKind::ViceTrue;
use crate::session::fact::FactKind::XyZero;
use crate::session::fact::FactKind::ZReference;

/// Something that makes what was known doubtful.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Happening {
    /// Stock size or what lies under it was entered anew.
    StockEdited,
    /// Length or width of the blank was entered anew, from which X and Y were reckoned.
    SizeEdited,
    /// The thickness of the blank, from which Z was reckoned, was entered anew.
    ThicknessEdited,
    /// A finished cut changed the outside of the blank.
    OutsideCut,
    /// Vice or fence was moved.
    ViceMoved,
    /// The part was moved or turned.
    PartMoved,
    /// Clamps were changed and the part may have moved.
    ClampsChanged,
    /// Clamps were changed with the part still.
    ClampsChangedPartStill,
    /// The part was let go.
    PartLetGo,
    /// The part moved in the cut.
    PartMovedInCut,
    /// Tool or machine hit something.
    Crash,
    /// Chips packed around the tool.
    ChipsPacked,
    /// The tool broke.
    ToolBroke,
    /// The tool slipped or was pulled out of its holder.
    ToolSlipped,
    /// The spindle stalled, a nest of chips lashed or the machine shook: stopped with the tool in the cut.
    StoppedInCut,
    /// An axis bound.
    AxisBound,
    /// The machine lost its position.
    PositionLost,
    /// A long pause, or heat, on tape, glue or vacuum.
    BondTired,
    /// The machine was switched off, or lost power.
    PowerOff,
    /// The controller was started again.
    ControllerRestarted,
    /// The emergency stop was pressed.
    EmergencyStop,
    /// Smoke or fire.
    Fire,
    /// Somebody was hurt.
    Injury,
    /// The wrong place was cut.
    WrongPlaceCut,
    /// A limit was hit.
    LimitHit,
    /// The axis motors were without current.
    MotorsIdle,
    /// A handwheel was turned.
    HandwheelTurned,
    /// The XY zero was entered anew.
    ZeroEdited,
    /// A check point was not where it must be.
    CheckPointMissed,
    /// A zero or a length was set anew; facts stay.
    ZeroSet,
    /// Z did not read at the touch what it must.
    TouchMissed,
    /// The surface that Z was set to is gone.
    ReferenceRemoved,
    /// Another tool was put in.
    ToolChanged,
    /// The planned tool was edited.
    ToolEdited,
    /// The program's content changed.
    ProgramChanged,
    /// Holding or keep-outs were entered anew.
    HoldingEdited,
    /// The machine was edited or changed for another.
    MachineEdited,
    /// The material was edited or changed for another.
    MaterialEdited,
    /// Depth, stepover or belt was edited.
    RecipeEdited,
    /// The program was run in the air, above the part.
    AirRunMade,
    /// The heights of tools or Z reference were entered anew.
    ReferenceEdited,
    /// A door was opened, or hands were in.
    HandsIn,
    /// The fluid was changed.
    FluidChanged,
    /// Another person, or another day.
    PersonChanged,
    /// A list was interrupted: the line before the place where it stopped is asked again.
    ListInterrupted,
    /// A list was answered faster than it can be read.
    ListRushed,
    /// The record was closed and opened again.
    OpenedAgain,
    /// More than ten minutes passed with a list open. Keep this one last.
    TenMinutesPassed,
}

/// One row of the matrix.
#[derive(Debug)]
pub struct Row {
    /// What happened.
    pub what: Happening,
    /// Stable name in records.
    pub id: &'static str,
    /// What happened, in words that follow a time of day.
    pub words: &'static str,
    /// The facts that it withdraws.
    pub withdraws: &'static [FactKind],
    /// Whether every answered line of the start list is asked again.
    pub reopens_list: bool,
    /// Whether a return test may keep or restore the zero afterwards.
    pub return_test_may_restore: bool,
}

/// Events down, facts and lists across.
pub const MATRIX: &[Row] = &[
    row(
        Happening::StockEdited,
        "stock-edited",
        "stock was entered anew",
        &[Program],
        true,
        false,
    ),
    row(
        Happening::SizeEdited,
        "size-edited",
        "length or width of the blank was entered anew",
        &[XyZero, Program],
        true,
        false,
    ),
    row(
        Happening::ThicknessEdited,
        "thickness-edited",
        "the thickness of the blank was entered anew",
        &[ZReference, Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::OutsideCut,
        "outside-cut",
        "a cut changed the outside of the blank",
        &[],
        false,
        false,
    ),
    row(
        Happening::ViceMoved,
        "vice-moved",
        "vice or fence was moved",
        &[ViceTrue, Held, XyZero, ZReference, Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::PartMoved,
        "part-moved",
        "the part was moved or turned",
        &[Stock, Held, XyZero, ZReference, Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::ClampsChanged,
        "clamps-changed",
        "clamps were changed",
        &[Held, XyZero, ZReference, Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::ClampsChangedPartStill,
        "clamps-changed-part-still",
        "clamps were changed, the part still",
        &[Held, XyZero, Program, AirRun],
        true,
        true,
    ),
    row(
        Happening::PartLetGo,
        "part-let-go",
        "the part was let go",
        &[Stock, Held, XyZero, ZReference, AirRun],
        true,
        false,
    ),
    row(
        Happening::PartMovedInCut,
        "part-moved-in-cut",
        "the part moved in the cut",
        &[Held, XyZero, ZReference, AirRun],
        true,
        false,
    ),
    row(
        Happening::Crash,
        "crash",
        "something was hit",
        &[ViceTrue, Held, Position, ToolIn, ToolLength, AirRun],
        true,
        false,
    ),
    row(
        Happening::ChipsPacked,
        "chips-packed",
        "chips packed",
        &[Held],
        true,
        false,
    ),
    row(
        Happening::ToolBroke,
        "tool-broke",
        "the tool broke",
        &[Held, ToolIn, ToolLength, Recipe],
        true,
        false,
    ),
    row(
        Happening::ToolSlipped,
        "tool-slipped",
        "the tool slipped or was pulled out",
        &[ToolIn, ToolLength],
        true,
        false,
    ),
    row(
        Happening::StoppedInCut,
        "stopped-in-cut",
        "stopped with the tool in the cut",
        &[Held, ToolIn, ToolLength],
        true,
        false,
    ),
    row(
        Happening::AxisBound,
        "axis-bound",
        "an axis bound",
        &[Held, Position],
        true,
        false,
    ),
    row(
        Happening::PositionLost,
        "position-lost",
        "position was lost",
        &[Position],
        true,
        false,
    ),
    row(
        Happening::BondTired,
        "bond-tired",
        "long pause or heat on the bond",
        &[Held],
        true,
        false,
    ),
    row(
        Happening::PowerOff,
        "power-off",
        "power was off",
        &[Position],
        true,
        true,
    ),
    row(
        Happening::ControllerRestarted,
        "controller-restarted",
        "the controller was started again",
        &[Position],
        true,
        true,
    ),
    row(
        Happening::EmergencyStop,
        "emergency-stop",
        "emergency stop",
        &[Position],
        true,
        true,
    ),
    row(
        Happening::Fire,
        "fire",
        "smoke or fire",
        &[Position],
        true,
        true,
    ),
    row(
        Happening::Injury,
        "injury",
        "somebody was hurt",
        &[Position],
        true,
        true,
    ),
    row(
        Happening::WrongPlaceCut,
        "wrong-place",
        "the wrong place was cut",
        &[Position, Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::LimitHit,
        "limit-hit",
        "a limit was hit",
        &[Position],
        true,
        true,
    ),
    row(
        Happening::MotorsIdle,
        "motors-idle",
        "axis motors were without current",
        &[Position],
        false,
        true,
    ),
    row(
        Happening::HandwheelTurned,
        "handwheel-turned",
        "a handwheel was turned",
        &[Position],
        false,
        true,
    ),
    row(
        Happening::ZeroEdited,
        "zero-edited",
        "the zero was entered anew",
        &[Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::CheckPointMissed,
        "check-point-missed",
        "a check point was not where it must be",
        &[XyZero, AirRun],
        true,
        false,
    ),
    row(
        Happening::ZeroSet,
        "zero-set",
        "a zero or a length was set anew",
        &[],
        false,
        false,
    ),
    row(
        Happening::TouchMissed,
        "touch-missed",
        "Z did not read at the touch what it must",
        &[ToolLength],
        true,
        false,
    ),
    row(
        Happening::ReferenceRemoved,
        "z-reference-removed",
        "a cut took the surface that Z was set to",
        &[ZReference],
        false,
        false,
    ),
    row(
        Happening::ToolChanged,
        "tool-changed",
        "tool changed",
        &[ToolIn, ToolLength],
        true,
        false,
    ),
    row(
        Happening::ToolEdited,
        "tool-edited",
        "the planned tool was edited",
        &[ToolIn, ToolLength, Program, Recipe],
        true,
        false,
    ),
    row(
        Happening::ProgramChanged,
        "program-changed",
        "the program changed",
        &[Program, AirRun, Recipe],
        true,
        false,
    ),
    row(
        Happening::HoldingEdited,
        "holding-edited",
        "the holding was entered anew",
        &[Program, AirRun],
        true,
        false,
    ),
    row(
        Happening::MachineEdited,
        "machine-edited",
        "the machine was edited",
        &[Position, Program, Recipe],
        true,
        false,
    ),
    row(
        Happening::MaterialEdited,
        "material-edited",
        "the material was edited",
        &[Recipe],
        true,
        false,
    ),
    row(
        Happening::RecipeEdited,
        "recipe-edited",
        "the recipe was edited",
        &[Recipe],
        false,
        false,
    ),
    row(
        Happening::AirRunMade,
        "air-run-made",
        "Z was raised for the air run",
        &[ZReference],
        false,
        false,
    ),
    row(
        Happening::ReferenceEdited,
        "z-reference-edited",
        "the Z reference was entered anew",
        &[ToolLength, AirRun],
        true,
        false,
    ),
    row(
        Happening::HandsIn,
        "hands-in",
        "hands were in",
        &[],
        false,
        false,
    ),
    row(
        Happening::FluidChanged,
        "fluid-changed",
        "the fluid was changed",
        &[Recipe],
        true,
        false,
    ),
    row(
        Happening::PersonChanged,
        "person-changed",
        "another person or day",
        &[],
        true,
        false,
    ),
    row(
        Happening::ListInterrupted,
        "list-interrupted",
        "the list stopped after this line: one step back",
        &[],
        false,
        false,
    ),
    row(
        Happening::ListRushed,
        "list-rushed",
        "the list went by faster than it can be read: once more",
        &[],
        false,
        false,
    ),
    row(
        Happening::OpenedAgain,
        "opened-again",
        "the record was closed and opened again",
        &[],
        true,
        false,
    ),
    row(
        Happening::TenMinutesPassed,
        "ten-minutes",
        "more than ten minutes passed",
        &[],
        true,
        false,
    ),
];

/// What falls with a fact: (withdrawn, falls too).
pub const FALLS_WITH: &[(FactKind, FactKind)] = &[
    (Position, XyZero),
    (Position, ZReference),
    (ZReference, ToolLength),
];

const fn row(
    what: Happening,
    id: &'static str,
    words: &'static str,
    withdraws: &'static [FactKind],
    reopens_list: bool,
    return_test_may_restore: bool,
) -> Row {
    Row {
        what,
        id,
        words,
        withdraws,
        reopens_list,
        return_test_may_restore,
    }
}

impl Happening {
    /// The row of the matrix for this happening.
    pub fn row(self) -> &'static Row {
        &MATRIX[self as usize]
    }

    /// The happening of this name in a record.
    pub fn from_id(id: &str) -> Option<Self> {
        MATRIX.iter().find(|row| row.id == id).map(|row| row.what)
    }

    /// What comes with it, for what a profile names: after a fire or an injury the emergency stop was hit, and another person may
    /// stand there; where the wrong place was cut, the position or the zero is wrong. The event alone is named as the reason.
    pub fn comes_with(self) -> &'static [Self] {
        match self {
            Self::Fire | Self::Injury => &[Self::EmergencyStop, Self::PersonChanged],
            Self::WrongPlaceCut => &[Self::PositionLost, Self::ZeroEdited],
            _ => &[],
        }
    }

    /// Whether it is a stop that a person noted: as a reason it goes before what made a line fall earlier.
    pub fn is_stop(self) -> bool {
        matches!(
            self,
            Self::AxisBound
                | Self::Crash
                | Self::ToolBroke
                | Self::ToolSlipped
                | Self::StoppedInCut
                | Self::ChipsPacked
                | Self::PartMovedInCut
                | Self::Fire
                | Self::Injury
                | Self::WrongPlaceCut
                | Self::PowerOff
        )
    }

    /// Every fact that is withdrawn, those that fall with another included.
    pub fn withdraws(self) -> Vec<FactKind> {
        let mut all = self.row().withdraws.to_vec();
        let mut looked_at = 0;
        while let Some(kind) = all.get(looked_at).copied() {
            looked_at += 1;
            for (fallen, too) in FALLS_WITH {
                if *fallen == kind && !all.contains(too) {
                    all.push(*too);
                }
            }
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_row_has_its_own_name_and_event() {
        let ids: BTreeSet<_> = MATRIX.iter().map(|row| row.id).collect();
        let whats: BTreeSet<_> = MATRIX.iter().map(|row| row.what).collect();
        assert_eq!((ids.len(), whats.len()), (MATRIX.len(), MATRIX.len()));
        assert_eq!(MATRIX.len(), Happening::TenMinutesPassed as usize + 1);
        for row in MATRIX {
            assert_eq!(Happening::from_id(row.id), Some(row.what));
            assert_eq!(row.what.row().id, row.id);
        }
    }

    #[test]
    fn a_lost_position_takes_both_zeros_and_the_length_with_it() {
        let withdrawn = Happening::AxisBound.withdraws();
        for kind in [Held, Position, XyZero, ZReference, ToolLength] {
            assert!(withdrawn.contains(&kind), "{kind:?}");
        }
        assert!(!withdrawn.contains(&Stock));
    }
}
