//! Happenings down: what each makes doubtful.

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
use crate::session::matrix::Asks;
use crate::session::matrix::Happening;
use crate::session::matrix::Row;

/// Events down, facts and lists across.
pub const MATRIX: &[Row] = &[
    row(
        Happening::StockEdited,
        "stock-edited",
        "stock was entered anew",
    )
    .facts(&[Program])
    .asks(Asks::Start),
    row(
        Happening::SizeEdited,
        "size-edited",
        "length or width of the blank was entered anew",
    )
    .facts(&[XyZero, Program])
    .asks(Asks::Start),
    row(
        Happening::ThicknessEdited,
        "thickness-edited",
        "the thickness of the blank was entered anew",
    )
    .facts(&[ZReference, Program, AirRun])
    .asks(Asks::Start),
    row(
        Happening::OutsideCut,
        "outside-cut",
        "a cut changed the outside of the blank",
    ),
    row(
        Happening::ViceMoved,
        "vice-moved",
        "vice or fence was moved",
    )
    .facts(&[ViceTrue, Held, XyZero, ZReference, Program, AirRun])
    .asks(Asks::Start),
    row(
        Happening::PartMoved,
        "part-moved",
        "the part was moved or turned",
    )
    .facts(&[Stock, Held, XyZero, ZReference, Program, AirRun])
    .asks(Asks::Start),
    row(
        Happening::ClampsChanged,
        "clamps-changed",
        "clamps were changed",
    )
    .facts(&[Held, XyZero, ZReference, Program, AirRun])
    .asks(Asks::Start),
    row(
        Happening::ClampsChangedPartStill,
        "clamps-changed-part-still",
        "clamps were changed, the part still",
    )
    .facts(&[Held, XyZero, Program, AirRun])
    .asks(Asks::Start)
    .restorable(),
    row(Happening::PartLetGo, "part-let-go", "the part was let go")
        .facts(&[Stock, Held, XyZero, ZReference, AirRun])
        .asks(Asks::Start),
    row(
        Happening::PartMovedInCut,
        "part-moved-in-cut",
        "the part moved in the cut",
    )
    .facts(&[Held, XyZero, ZReference, AirRun])
    .asks(Asks::Start),
    row(Happening::Crash, "crash", "something was hit")
        .facts(&[ViceTrue, Held, Position, ToolIn, ToolLength, AirRun])
        .asks(Asks::Start),
    row(Happening::ChipsPacked, "chips-packed", "chips packed")
        .facts(&[Held])
        .asks(Asks::Start),
    row(Happening::ToolBroke, "tool-broke", "the tool broke")
        .facts(&[Held, ToolIn, ToolLength, Recipe])
        .asks(Asks::Start),
    row(
        Happening::ToolSlipped,
        "tool-slipped",
        "the tool slipped or was pulled out",
    )
    .facts(&[ToolIn, ToolLength])
    .asks(Asks::Start),
    row(
        Happening::StoppedInCut,
        "stopped-in-cut",
        "stopped with the tool in the cut",
    )
    .facts(&[Held, ToolIn, ToolLength])
    .asks(Asks::Start),
    row(Happening::AxisBound, "axis-bound", "an axis bound")
        .facts(&[Held, Position])
        .asks(Asks::Start),
    row(
        Happening::PositionLost,
        "position-lost",
        "position was lost",
    )
    .facts(&[Position])
    .asks(Asks::Start),
    row(
        Happening::BondTired,
        "bond-tired",
        "long pause or heat on the bond",
    )
    .facts(&[Held])
    .asks(Asks::Start)
    .lines(),
    row(Happening::PowerOff, "power-off", "power was off")
        .facts(&[Position])
        .asks(Asks::EveryList)
        .restorable(),
    row(
        Happening::ControllerRestarted,
        "controller-restarted",
        "the controller was started again",
    )
    .facts(&[Position])
    .asks(Asks::EveryList)
    .restorable(),
    row(Happening::EmergencyStop, "emergency-stop", "emergency stop")
        .facts(&[Position])
        .asks(Asks::Start)
        .restorable(),
    row(
        Happening::StoppedSomehow,
        "stopped-somehow",
        "stopped, by which key is not said",
    )
    .facts(&[Position])
    .asks(Asks::Start)
    .restorable(),
    row(Happening::Fire, "fire", "smoke or fire")
        .facts(&[Position])
        .asks(Asks::EveryList)
        .restorable(),
    row(Happening::Injury, "injury", "somebody was hurt")
        .facts(&[Position])
        .asks(Asks::EveryList)
        .restorable(),
    row(
        Happening::WrongPlaceCut,
        "wrong-place",
        "the wrong place was cut",
    )
    .facts(&[Position, Program, AirRun])
    .asks(Asks::Start),
    row(Happening::LimitHit, "limit-hit", "a limit was hit")
        .facts(&[Position])
        .asks(Asks::Start)
        .restorable(),
    row(
        Happening::MotorsIdle,
        "motors-idle",
        "axis motors were without current",
    )
    .facts(&[Position])
    .restorable(),
    row(
        Happening::HandwheelTurned,
        "handwheel-turned",
        "a handwheel was turned",
    )
    .facts(&[Position])
    .restorable(),
    row(
        Happening::ZeroEdited,
        "zero-edited",
        "the zero was entered anew",
    )
    .facts(&[Program, AirRun])
    .asks(Asks::Start),
    row(
        Happening::CheckPointMissed,
        "check-point-missed",
        "a check point was not where it must be",
    )
    .facts(&[XyZero, AirRun])
    .asks(Asks::Start),
    row(
        Happening::ZeroSet,
        "zero-set",
        "a zero or a length was set anew",
    ),
    row(
        Happening::TouchMissed,
        "touch-missed",
        "Z did not read at the touch what it must",
    )
    .facts(&[ToolLength])
    .asks(Asks::Start),
    row(
        Happening::ReferenceRemoved,
        "z-reference-removed",
        "a cut took the surface that Z was set to",
    )
    .facts(&[ZReference]),
    row(Happening::ToolChanged, "tool-changed", "tool changed")
        .facts(&[ToolIn, ToolLength])
        .asks(Asks::StartButBeforeTheHand),
    row(
        Happening::ToolEdited,
        "tool-edited",
        "the planned tool was edited",
    )
    .facts(&[ToolIn, ToolLength, Program, Recipe])
    .asks(Asks::Start),
    row(
        Happening::ProgramChanged,
        "program-changed",
        "the program changed",
    )
    .facts(&[Program, AirRun, Recipe])
    .asks(Asks::Start)
    .waits(),
    row(
        Happening::HoldingEdited,
        "holding-edited",
        "the holding was entered anew",
    )
    .facts(&[Program, AirRun])
    .asks(Asks::Start),
    row(
        Happening::MachineEdited,
        "machine-edited",
        "the machine was edited",
    )
    .facts(&[Position, Program, Recipe])
    .asks(Asks::Start),
    row(
        Happening::MaterialEdited,
        "material-edited",
        "the material was edited",
    )
    .facts(&[Recipe])
    .asks(Asks::Start)
    .conditions(&["material", "material_class"]),
    row(
        Happening::RecipeEdited,
        "recipe-edited",
        "the recipe was edited",
    )
    .facts(&[Recipe]),
    row(
        Happening::AirRunMade,
        "air-run-made",
        "Z was raised for the air run",
    )
    .facts(&[ZReference]),
    row(
        Happening::ReferenceEdited,
        "z-reference-edited",
        "the Z reference was entered anew",
    )
    .facts(&[ToolLength, AirRun])
    .asks(Asks::Start),
    row(Happening::HandsIn, "hands-in", "hands were in"),
    row(
        Happening::HandNear,
        "hand-near",
        "a hand was at tool or work",
    ),
    row(
        Happening::LookedNear,
        "looked-near",
        "tool or work was looked at from near",
    ),
    row(Happening::Chatter, "chatter", "the cut chattered"),
    row(
        Happening::FluidChanged,
        "fluid-changed",
        "the fluid was changed",
    )
    .facts(&[Recipe])
    .asks(Asks::Start)
    .conditions(&["fluid"]),
    row(
        Happening::PersonChanged,
        "person-changed",
        "another person or day",
    )
    .asks(Asks::EveryList)
    .waits(),
    row(
        Happening::AnotherDay,
        "another-day",
        "it is another day: the mill may have been off",
    )
    .facts(&[Position])
    .asks(Asks::EveryList)
    .restorable()
    .waits(),
    row(
        Happening::ListInterrupted,
        "list-interrupted",
        "the list stopped after this line: one step back",
    )
    .lines(),
    row(
        Happening::ListRushed,
        "list-rushed",
        "the list went by faster than it can be read: once more",
    )
    .lines(),
    row(
        Happening::OpenedAgain,
        "opened-again",
        "the record was closed and opened again",
    )
    .asks(Asks::Start)
    .waits(),
    row(
        Happening::TenMinutesPassed,
        "ten-minutes",
        "more than ten minutes passed",
    )
    .asks(Asks::Start)
    .lines()
    .waits(),
];

const fn row(what: Happening, id: &'static str, words: &'static str) -> Row {
    Row {
        what,
        id,
        words,
        withdraws: &[],
        asks: Asks::Nothing,
        conditions: &[],
        names_lines: false,
        return_test_may_restore: false,
        waits_for_standstill: false,
    }
}

impl Row {
    const fn facts(mut self, withdraws: &'static [FactKind]) -> Self {
        self.withdraws = withdraws;
        self
    }

    const fn asks(mut self, asks: Asks) -> Self {
        self.asks = asks;
        self
    }

    const fn conditions(mut self, keys: &'static [&'static str]) -> Self {
        self.conditions = keys;
        self
    }

    const fn lines(mut self) -> Self {
        self.names_lines = true;
        self
    }

    const fn restorable(mut self) -> Self {
        self.return_test_may_restore = true;
        self
    }

    const fn waits(mut self) -> Self {
        self.waits_for_standstill = true;
        self
    }
}
