//! What withdraws which fact and asks which line again: the whole truth, as data, and the only code that withdraws anything.
//!
//! Two tables. [`MATRIX`] holds what makes doubtful: a fact becomes `redo`, a line is asked again and says why. [`ANEW`] holds what
//! begins something new: a line is open as if it had never been answered. Which single lines a happening asks again stands with the
//! cautions (`asked_again_by` in their profiles), and what ends a fact of the person's own shop stands with that fact.
//!
//! Facts, facts of the shop and answers are [`Kept`]: everybody reads them, this module alone changes them, and it withdraws only what
//! a row names. Three things are no withdrawal: a newer answer takes the place of an older one to the same line, a new session
//! begins with nothing, and taking back a key brings back the session as it was before that key.

mod anew;
pub mod answers;
mod kept;
mod table;
mod withdraw;

pub use crate::session::matrix::anew::ANEW;
pub use crate::session::matrix::anew::Anew;
pub use crate::session::matrix::anew::AnewRow;
pub use crate::session::matrix::kept::Kept;
pub use crate::session::matrix::table::MATRIX;
pub(in crate::session) use crate::session::matrix::withdraw::anew;
pub(in crate::session) use crate::session::matrix::withdraw::answer;
pub(in crate::session) use crate::session::matrix::withdraw::doubt;
pub(in crate::session) use crate::session::matrix::withdraw::doubt_lines;
pub(in crate::session) use crate::session::matrix::withdraw::not_so;
pub(in crate::session) use crate::session::matrix::withdraw::renumber;
pub(in crate::session) use crate::session::matrix::withdraw::say;
pub(in crate::session) use crate::session::matrix::withdraw::say_shop;

use crate::job::caution::Caution;
use crate::session::fact::FactKind;
use crate::session::fact::FactKind::Position;
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
    /// A stop whose card asks for the emergency stop, and nobody said whether it was pressed or feed hold.
    StoppedSomehow,
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
    /// A hand was at tool or work, to touch off or to measure.
    HandNear,
    /// Tool or work was looked at from near.
    LookedNear,
    /// The cut chattered: a part that has worked loose sings first.
    Chatter,
    /// The fluid was changed.
    FluidChanged,
    /// Another person, or the first of the day.
    PersonChanged,
    /// The job goes on on another day: the mill may have been off in between, and where its axes are is doubtful.
    AnotherDay,
    /// A list was interrupted: the line before the place where it stopped is asked again.
    ListInterrupted,
    /// A list was answered faster than it can be read.
    ListRushed,
    /// The record was closed and opened again.
    OpenedAgain,
    /// More than ten minutes passed with a list open. Keep this one last.
    TenMinutesPassed,
}

/// Which lists a happening asks again; single lines it names by the cautions' own data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asks {
    /// None as a whole.
    Nothing,
    /// Every line of the list before a cut.
    Start,
    /// Every line of the list before a cut but those answered just before a hand goes to the spindle.
    StartButBeforeTheHand,
    /// Every line of every list.
    EveryList,
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
    /// The lists that it asks again.
    pub asks: Asks,
    /// Lines of cautions that go by one of these conditions are asked again.
    pub conditions: &'static [&'static str],
    /// Whether it may ask again single lines that are named as it happens, those of a list left in the middle.
    pub names_lines: bool,
    /// Whether a return test may keep or restore the zero afterwards.
    pub return_test_may_restore: bool,
    /// Whether it waits for the next standstill where the mill goes on cutting: the program noticed it by itself, and nobody has
    /// touched the mill.
    pub waits_for_standstill: bool,
}

impl Row {
    /// Whether every answered line of the start list is asked again.
    pub fn reopens_list(&self) -> bool {
        self.asks != Asks::Nothing
    }

    /// Whether it reaches every setup: what the machine as a whole lost is lost in each, and material and coolant are those of the job.
    pub fn is_everywhere(&self) -> bool {
        let all = self.what.withdraws();
        let is_of_job = [
            Happening::ToolChanged,
            Happening::MaterialEdited,
            Happening::FluidChanged,
        ];
        all.contains(&Position) || all.contains(&ViceTrue) || is_of_job.contains(&self.what)
    }
}

/// Whether a happening of this name asks the line of a caution again by itself.
pub fn asks_line(id: &str, conditions: &[&str], caution: &Caution) -> bool {
    caution.asked_again_by.iter().any(|by| by == id)
        || caution
            .when
            .iter()
            .any(|condition| conditions.contains(&condition.key.as_str()))
}

/// The words of a happening, or of what begins anew, by its name; the name itself where nothing has it.
pub fn words(id: &str) -> &str {
    let doubtful = MATRIX.iter().map(|row| (row.id, row.words));
    let mut all = doubtful.chain(ANEW.iter().map(|row| (row.id, row.words)));
    all.find(|(known, _)| *known == id)
        .map_or(id, |(_, words)| words)
}

/// What falls with a fact: (withdrawn, falls too).
pub const FALLS_WITH: &[(FactKind, FactKind)] = &[
    (Position, XyZero),
    (Position, ZReference),
    (ZReference, ToolLength),
];

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
    /// stand there, as on another day; where the wrong place was cut, the position or the zero is wrong. The event alone is named as the reason.
    pub fn comes_with(self) -> &'static [Self] {
        match self {
            Self::Fire | Self::Injury => &[Self::EmergencyStop, Self::PersonChanged],
            Self::StoppedSomehow => &[Self::EmergencyStop],
            Self::AnotherDay => &[Self::PersonChanged],
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
    use crate::session::fact::FactKind::Held;
    use crate::session::fact::FactKind::Stock;
    use std::collections::BTreeSet;

    #[test]
    fn every_row_has_its_own_name_and_event() {
        let ids: BTreeSet<_> = MATRIX.iter().map(|row| row.id).collect();
        let whats: BTreeSet<_> = MATRIX.iter().map(|row| row.what).collect();
        assert_eq!((ids.len(), whats.len()), (MATRIX.len(), MATRIX.len()));
        assert_eq!(MATRIX.len(), Happening::TenMinutesPassed as usize + 1);
        let anew: BTreeSet<_> = ANEW.iter().map(|row| row.id).collect();
        assert_eq!(anew.len(), ANEW.len());
        assert!(anew.is_disjoint(&ids));
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
