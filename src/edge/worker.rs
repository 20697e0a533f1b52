//! A job beside the screen on a thread of its own. Whatever becomes of it, the loop gets one answer.

use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::mpsc::Sender;
use std::thread;

use crate::app::message::Message;
use crate::edge::panics;

/// What to say of work that failed inside the program; `what` fits after "could not".
pub fn failure(what: &str, why: &str) -> String {
    format!("could not {what}: internal error, {why}. Try it again; the session goes on")
}

/// Starts the job. Its message goes to the loop; where it panics, or where the system gives no thread, that of
/// `failed` does, made from what to tell the person. `what` fits after "could not".
pub fn start(
    what: &'static str,
    tell: &Sender<Message>,
    job: impl FnOnce() -> Message + Send + 'static,
    failed: impl FnOnce(String) -> Message + Send + 'static,
) {
    // Taken by the thread, or here when there is none. A screen that is gone waits for nothing.
    let failed = Arc::new(Mutex::new(Some(failed)));
    let fail = {
        let tell = tell.clone();
        move |why: String| {
            let failed = failed.lock().unwrap_or_else(PoisonError::into_inner).take();
            if let Some(failed) = failed {
                let _ = tell.send(failed(why));
            }
        }
    };
    let begun = thread::Builder::new().spawn({
        let (tell, fail) = (tell.clone(), fail.clone());
        move || match panics::caught(job) {
            Ok(message) => {
                let _ = tell.send(message);
            }
            Err(why) => fail(failure(what, &why)),
        }
    });
    if let Err(error) = begun {
        fail(format!(
            "could not {what}: the system starts no thread, {error}. Try it again"
        ));
    }
}
