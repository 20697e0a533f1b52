//! What lies over a screen and takes its keys until it is closed.

use crate::app::browse::Files;
use crate::app::cards::Page;
use crate::app::input::Input;
use crate::app::looking::Look;
use crate::app::own_tool::OwnTool;
use crate::app::picker::Pick;
use crate::app::recipe::Calculated;
use crate::job::mishap::Mishap;
use crate::session::gate::ListKind;
use crate::session::matrix::Happening;

/// What words are asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asking {
    /// The emergency number of the shop.
    EmergencyNumber,
    /// A note.
    Note,
    /// What is not so, on this line.
    NotSo(ListKind, String),
    /// Why a recipe may go beyond a danger limit.
    Beyond,
    /// Why a stop finding may stay.
    AcceptStop(String),
    /// Why an operation is left out.
    LeaveOut,
    /// Why the operation at this place, which was done, is opened again.
    OpenAgain(usize),
    /// What was seen at a mishap.
    Mishap(Mishap),
    /// Why the tool is changed in the middle.
    SwapReason(usize),
}

/// What a question of yes or no is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sure {
    /// The operation is finished.
    Finished,
    /// The part is let go.
    LetGo,
    /// The job is closed.
    WrapUp,
    /// The program ends while the clock is on.
    Quit,
    /// The person leaves, and the last answers are not saved yet.
    Unsaved,
    /// The file was changed outside: which of two goes on.
    Beside,
}

/// An item of the list behind the key for what happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhatHappened {
    /// Something went wrong.
    Mishap(Mishap),
    /// Something changed.
    Change(Happening),
}

/// An overlay.
#[derive(Clone, Debug, PartialEq)]
pub enum Overlay {
    /// Keys and words of the screen below.
    Help,
    /// Why a line is asked.
    Why {
        /// Heading.
        title: String,
        /// Text, a paragraph each.
        text: Vec<String>,
    },
    /// The emergency card, its page on show, how often a small window was turned on in it, and what it lies over; that comes back when
    /// the card is closed.
    Emergency(Page, usize, Option<Box<Overlay>>),
    /// Words are asked for.
    Words {
        /// What for.
        asking: Asking,
        /// What is typed.
        input: Input,
        /// Why the last Enter was not taken.
        error: Option<String>,
    },
    /// What happened? By number.
    Happened {
        /// The number typed so far.
        typed: String,
        /// Chosen row, once one was chosen.
        cursor: Option<usize>,
    },
    /// What has no key of its own on a keypad. By number.
    More {
        /// The number typed so far.
        typed: String,
        /// Chosen row, once one was chosen.
        cursor: Option<usize>,
    },
    /// The first acts of a mishap that cannot wait for a question.
    Acts(Mishap),
    /// What to do after a mishap.
    Advice(Mishap),
    /// Which program file? What a folder holds, by number.
    Files(Files),
    /// Which tool?
    Pick(Pick),
    /// A tool of one's own.
    OwnTool(Box<OwnTool>),
    /// Old and new recipe side by side.
    Compare {
        /// Place of the new tool in the rack.
        to: usize,
        /// Why.
        reason: String,
        /// Before, where it could be computed.
        old: Option<Box<Calculated>>,
        /// After, where it could be computed.
        new: Option<Box<Calculated>>,
    },
    /// The error at the check point, axis by axis.
    ReturnTest {
        /// X, Y, Z.
        inputs: [Input; 3],
        /// Which one owns the keys.
        focus: usize,
        /// Why the last Enter was not taken.
        error: Option<String>,
        /// What it says, once entered.
        verdict: Option<Vec<String>>,
    },
    /// Return tests and backlash readings, with their dates.
    Care(Vec<String>),
    /// The big letters, to be read from where the person stands.
    Letters,
    /// The path of the program, and its findings.
    Look(Look),
    /// What was an unseen stretch of time?
    Gap,
    /// Are you sure?
    Sure(Sure),
}

/// What can have happened, in the order in which it is offered.
pub fn happenings() -> Vec<WhatHappened> {
    let mishaps = crate::job::mishap::ADVICE
        .iter()
        .map(|a| WhatHappened::Mishap(a.mishap));
    let changes = [
        Happening::ClampsChangedPartStill,
        Happening::ClampsChanged,
        Happening::PartMoved,
        Happening::ViceMoved,
        Happening::EmergencyStop,
        Happening::ControllerRestarted,
        Happening::LimitHit,
        Happening::MotorsIdle,
        Happening::HandwheelTurned,
        Happening::ReferenceRemoved,
        Happening::HandsIn,
        Happening::FluidChanged,
        Happening::PersonChanged,
        Happening::BondTired,
    ];
    mishaps
        .chain(changes.into_iter().map(WhatHappened::Change))
        .collect()
}

impl WhatHappened {
    /// Words in the list.
    pub fn words(self) -> &'static str {
        match self {
            Self::Mishap(mishap) => mishap.advice().title,
            Self::Change(what) => what.row().words,
        }
    }
}
