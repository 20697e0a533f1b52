//! What a person can do, free of keys.

use crate::app::field::Field;
use crate::app::model::Way;
use crate::calculator::alternative::Way as Instead;
use crate::session::state::Step;
use crate::session::z_surface;

/// Something a person does. Keys are given their meaning in [`crate::app::keys`].
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Choose the row above.
    Up,
    /// Choose the row below.
    Down,
    /// One screen of rows up.
    PageUp,
    /// One screen of rows down.
    PageDown,
    /// Go back on the rail.
    Back,
    /// Go forward on the rail.
    Forward,
    /// Go to a step.
    GoTo(Step),
    /// Do what the chosen row does: fill in, go there, do it.
    Choose,
    /// The state shown is so.
    So,
    /// `1` on one of the worst lines, which ask for another digit behind it.
    BeginAnswer,
    /// It is not so.
    NotSo,
    /// Why and how.
    Why,
    /// Clock on, clock waiting, clock cutting.
    Clock,
    /// The clock counts a pause.
    Pause,
    /// The cut began ten seconds earlier.
    Earlier,
    /// What happened?
    Happened,
    /// Another tool in the middle of the operation.
    Swap,
    /// A note.
    Note,
    /// The screen can be read from where the person stands, or cannot.
    Readable(bool),
    /// Ask once more whether the screen can be read.
    AskReadable,
    /// Show the big letters, to be read from where the person stands.
    ShowLetters,
    /// Another view or number.
    View,
    /// Colours for another light.
    Theme,
    /// The operation is finished.
    Finish,
    /// The operation is left out.
    LeaveOut,
    /// What has no key of its own on a keypad, by number.
    More,
    /// The emergency card.
    Emergency,
    /// Keys and words.
    Help,
    /// Take back the last answer.
    Undo,
    /// Leave this screen.
    Leave,
    /// Leave the mill with its list open.
    LeaveOpen,
    /// End the program.
    Quit,
    /// Asks for the emergency number of the shop.
    EnterNumber,
    /// Begin a new job this way.
    NewJob(Way),
    /// Choose the next template.
    NextTemplate,
    /// Make the new job.
    BeginNow,
    /// Open the job at this place in the list.
    Open(usize),
    /// Read the program file again.
    ReadAgain,
    /// Look at the path of the program, near the finding at this place if one is meant.
    LookAt(Option<usize>),
    /// Accept the stop finding of this name.
    AcceptStop(String),
    /// Work on this operation of the setup.
    EnterOperation(usize),
    /// Open this operation of the setup again, which was finished or left out.
    OpenAgain(usize),
    /// Add the operation whose title and kind are filled in.
    AddOperation,
    /// The planned tool goes into the spindle.
    Fit,
    /// X and Y are set.
    XySet,
    /// The check point of these words was looked at, and was right.
    PointSeen(String),
    /// The fact of the shop of this name was looked at, and is so.
    ShopFact(String),
    /// Take the form that this field belongs to as it stands.
    TakeForm(Field),
    /// The Z reference is as stated, and set again.
    ReferenceSet,
    /// Take the recipe as it stands.
    TakeRecipe,
    /// Change the recipe in this way, so that it keeps every limit.
    TakeWay(Instead),
    /// Add the holes that are drilled before this one, each an operation of its own.
    DrillInSteps,
    /// Mill the thread instead of tapping it.
    MillThread,
    /// Tap by hand instead of under power.
    TapByHand,
    /// Touch off on another surface, whose Z is worked out or is to be measured.
    TakeSurface(z_surface::Way),
    /// Let this value of the recipe follow again.
    Free(Field),
    /// Return test.
    ReturnTest,
    /// Return tests and backlash readings, with their dates.
    CareLog,
    /// Add the size whose values are filled in.
    AddSize,
    /// Let the part go.
    LetGo,
    /// Add a side behind the last one.
    AddSide,
    /// Add deburring as an operation, and go to it.
    AddDeburr,
    /// Go on to this setup.
    EnterSetup(usize),
    /// Close the session.
    WrapUp,
    /// Go on with what is left of the job, in a session of its own.
    NextSession,
}
