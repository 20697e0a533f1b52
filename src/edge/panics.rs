//! What a panic may do: one of the loop's own thread gives the terminal back and ends the program; one of any
//! other thread touches nothing and becomes the answer of the job that failed.
//!
//! The hook is set once and belongs to the thread that took the terminal first. It prints nothing that could act
//! on a terminal: a message of the language may quote text of a file as it is.

use std::any::Any;
use std::cell::RefCell;
use std::fmt::Display;
use std::io;
use std::io::Write;
use std::panic;
use std::panic::AssertUnwindSafe;
use std::sync::Once;
use std::thread;

use crate::plain;

thread_local! {
    /// Where this thread panicked last, file and line.
    static PLACE: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// From now on a panic of the calling thread gives the terminal back before it is told; later calls do nothing.
pub fn own_terminal(give_back: fn()) {
    static SET: Once = Once::new();
    let owner = thread::current().id();
    SET.call_once(|| {
        panic::set_hook(Box::new(move |info| {
            if thread::current().id() == owner {
                give_back();
                let what = plain::text(&told(info.payload(), info.location()));
                // Nothing can be done when standard error is closed too.
                let _ = writeln!(
                    io::stderr().lock(),
                    "millside: internal error: {what}. Open the session again: it holds what was saved."
                );
            } else {
                let place = info.location().map(ToString::to_string);
                PLACE.with(|kept| kept.replace(place));
            }
        }));
    });
}

/// Does the job; a panic in it becomes what it said, with its place where that is known, escaped.
///
/// # Errors
///
/// When the job panicked.
pub fn caught<T>(job: impl FnOnce() -> T) -> Result<T, String> {
    // What a job that panicked leaves half done is its own: it hands over everything in its answer.
    panic::catch_unwind(AssertUnwindSafe(job)).map_err(|payload| {
        let place = PLACE.with(RefCell::take);
        plain::text(&told(payload.as_ref(), place))
    })
}

/// What a panic said, and where that is known.
fn told(payload: &(dyn Any + Send), place: Option<impl Display>) -> String {
    let said = payload.downcast_ref::<&str>().copied();
    let said = said
        .or_else(|| payload.downcast_ref::<String>().map(String::as_str))
        .unwrap_or("it did not say why");
    match place {
        Some(place) => format!("{said} ({place})"),
        None => said.to_owned(),
    }
}
