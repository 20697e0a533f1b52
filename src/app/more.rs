//! What has no key of its own on a numeric keypad, by number: a second way to what letters do.
//!
//! Nothing here happens by a single key: Enter alone opens the list, a number is typed, Enter takes it. Enter without a number does
//! nothing, so that a key that is held down or leaned on goes no further than the list.

use crate::app::act::Act;
use crate::app::model::Model;
use crate::app::model::Screen;

/// The rows of the list, in an order that never changes within a screen.
pub fn items(model: &Model) -> Vec<(&'static str, Act)> {
    match model.screen {
        Screen::Session => vec![
            ("return test", Act::ReturnTest),
            ("clock: a pause", Act::Pause),
            ("leave this operation out", Act::LeaveOut),
            ("take back the last answer or entry", Act::Undo),
            ("back to the jobs; what was taken is saved", Act::Leave),
            ("end the program", Act::Quit),
        ],
        Screen::Begin => vec![
            ("back to the jobs", Act::Leave),
            ("end the program", Act::Quit),
        ],
        Screen::Jobs => vec![("end the program", Act::Quit)],
    }
}
