//! Keeping the record on the disk in step with the screen.
//!
//! One save runs at a time; what changes meanwhile is saved when it is over. A save that failed is tried again by
//! itself, soon and then slower, and at once with the next answer. As long as the disk is behind, the header says
//! so: an answer that stands on the screen without a sign is on the disk. Who leaves waits for the last save,
//! and is asked when it fails or takes long. The time comes with the messages; no clock is read here.

use std::path::Path;
use std::time::Duration;

use crate::app::effect::Effect;
use crate::app::key::Key;
use crate::app::leaving::Exit;
use crate::app::message::Beside;
use crate::app::message::Kept;
use crate::app::model::Model;
use crate::app::model::Work;
use crate::app::overlay::Overlay;
use crate::app::overlay::Sure;
use crate::app::perform;
use crate::plain;
use crate::record::read;
use crate::session::clock::Phase;
use crate::session::gate;
use crate::session::moment::Moment;

/// Who leaves is told what is waited for when the last save takes longer than this.
const PATIENCE: Duration = Duration::from_millis(300);

/// Between two tries of a failed save at most, in seconds.
const LONGEST_PAUSE_S: u64 = 30;

/// How far the disk is behind the screen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Keeping {
    /// Since when something on the screen is not on the disk; none: all of it is.
    pub behind: Option<Moment>,
    /// A save is under way.
    pub is_writing: bool,
    /// Something changed while it was.
    pub again: bool,
    /// The last try failed.
    pub failed: Option<Failed>,
    /// The record goes on in another file, and the person has not answered yet.
    pub beside: Option<Asked>,
}

/// Tries that failed, one after the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Failed {
    /// Why the last one did, in words for the person.
    pub why: String,
    /// How many there were, at least one.
    pub tries: u32,
    /// When the last one was.
    pub at: Moment,
}

/// A question about the file, and since when it is on show.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Which files.
    pub files: Beside,
    /// Since when it is on show; none: not yet.
    pub shown: Option<Moment>,
}

/// The person is on the way out and waits for the last save.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Going {
    /// Where to.
    pub exit: Exit,
    /// Since when.
    pub since: Moment,
}

impl Failed {
    /// Until the next try: 1, 2, 4, 8, 16 and then 30 s.
    fn pause(&self) -> Duration {
        let doubled = 1_u64.checked_shl(self.tries.saturating_sub(1));
        Duration::from_secs(doubled.map_or(LONGEST_PAUSE_S, |s| s.min(LONGEST_PAUSE_S)))
    }

    /// Seconds until the next try, rounded up.
    fn seconds_left(&self, now: Moment) -> u64 {
        let left = self.pause().saturating_sub(now.since(self.at));
        left.as_millis().div_ceil(1000).try_into().unwrap_or(0)
    }
}

/// Whether something on the screen is not on the disk.
pub fn is_behind(model: &Model) -> bool {
    let work = model.work.as_ref();
    work.is_some_and(|work| work.keeping.behind.is_some())
}

/// Whether the record takes no more: then the job goes on in its next session.
pub(super) fn is_full(model: &Model) -> bool {
    let work = model.work.as_ref();
    let failed = work.and_then(|work| work.keeping.failed.as_ref());
    failed.is_some_and(|failed| failed.why == read::FULL)
}

/// Asks for a save, or remembers that one is due when the last is still under way.
pub(super) fn save(work: &mut Work, at: Moment) -> Vec<Effect> {
    if work.read_only.is_some() {
        return vec![];
    }
    work.keeping.behind.get_or_insert(at);
    if work.keeping.is_writing {
        work.keeping.again = true;
        return vec![];
    }
    push(work)
}

/// Begins the save that is due, where none is under way.
fn push(work: &mut Work) -> Vec<Effect> {
    let keeping = &mut work.keeping;
    if keeping.behind.is_none() || keeping.is_writing {
        return vec![];
    }
    keeping.is_writing = true;
    vec![Effect::Save(Box::new(work.session.state().clone()))]
}

/// The program is told to end: what is not on the disk is tried once more.
pub(super) fn ending(model: &mut Model) -> Vec<Effect> {
    model.work.as_mut().map_or(vec![], push)
}

/// A save is over.
pub(super) fn saved(model: &mut Model, outcome: Result<Kept, String>) -> Vec<Effect> {
    let now = model.now;
    let Some(work) = &mut model.work else {
        if let Err(why) = outcome {
            // The person left without waiting for it.
            model.refuse(format!("The last answers are not saved: {why}"));
        }
        return vec![];
    };
    let keeping = &mut work.keeping;
    keeping.is_writing = false;
    match outcome {
        Ok(kept) => {
            keeping.failed = None;
            if let Kept::Beside(files) = kept {
                work.path = files.to.to_string_lossy().into_owned();
                keeping.beside = Some(Asked { files, shown: None });
            }
            if std::mem::take(&mut keeping.again) {
                return push(work);
            }
            keeping.behind = None;
        }
        Err(why) => {
            let tries = keeping.failed.as_ref().map_or(0, |failed| failed.tries);
            keeping.failed = Some(Failed {
                why,
                tries: tries.saturating_add(1),
                at: now,
            });
            keeping.again = false;
            keeping.behind.get_or_insert(now);
            if model.going.is_some() && model.overlay.is_none() {
                model.overlay = Some(Overlay::Sure(Sure::Unsaved));
            }
        }
    }
    go_on(model)
}

/// Time passed: a failed save is tried again, a question comes up, who waited for the disk goes.
pub(super) fn tick(model: &mut Model, at: Moment) -> Vec<Effect> {
    let mut effects = go_on(model);
    let is_free = model.overlay.is_none() && model.editing.is_none();
    if let Some(going) = model.going
        && is_free
        && at.since(going.since) > PATIENCE
    {
        model.overlay = Some(Overlay::Sure(Sure::Unsaved));
    }
    let Some(work) = &mut model.work else {
        return effects;
    };
    let failed = work.keeping.failed.as_ref();
    if failed.is_some_and(|failed| at.since(failed.at) >= failed.pause()) {
        effects.extend(push(work));
    }
    // While it cuts, eyes belong on the mill: the header and the row below say it until then.
    let is_cutting = work.session.state().phase() == Some(Phase::Cutting);
    if let Some(asked) = &mut work.keeping.beside
        && is_free
        && !is_cutting
        && model.going.is_none()
    {
        asked.shown = Some(at);
        model.overlay = Some(Overlay::Sure(Sure::Beside));
    }
    effects
}

/// Leaves once everything is on the disk.
pub(super) fn depart(model: &mut Model, exit: Exit) -> Vec<Effect> {
    if !is_behind(model) {
        return perform::gone(model, exit);
    }
    model.going = Some(Going {
        exit,
        since: model.now,
    });
    model.work.as_mut().map_or(vec![], push)
}

/// Goes, when the person waited for the disk and nothing is left to wait for. The emergency card is not taken away.
fn go_on(model: &mut Model) -> Vec<Effect> {
    let is_card = matches!(model.overlay, Some(Overlay::Emergency(..)));
    match model.going {
        Some(going) if !is_behind(model) && !is_card => {
            model.overlay = None;
            perform::gone(model, going.exit)
        }
        _ => vec![],
    }
}

/// A key while the last save is waited for.
pub(super) fn unsaved(model: &mut Model, key: Key) -> Vec<Effect> {
    let Some(going) = model.going else {
        return vec![];
    };
    match key {
        Key::Char('3' | '4') | Key::Escape => {
            model.going = None;
            model.say("back at the work");
            vec![]
        }
        Key::Char('9') => {
            let mut effects = perform::gone(model, going.exit);
            for effect in &mut effects {
                if *effect == Effect::Quit {
                    *effect = Effect::QuitUnsaved;
                }
            }
            effects
        }
        key => {
            model.overlay = Some(Overlay::Sure(Sure::Unsaved));
            match key {
                Key::Char('1') => model.work.as_mut().map_or(vec![], push),
                _ => vec![],
            }
        }
    }
}

/// A key at the question which of two files goes on.
pub(super) fn beside(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    let Some(work) = &mut model.work else {
        return vec![];
    };
    let Some(asked) = &work.keeping.beside else {
        return vec![];
    };
    // A key that was meant for what was on show before.
    let is_fresh = asked
        .shown
        .is_none_or(|shown| at.since(shown) < gate::LEAST_SHOW);
    let is_behind = work.keeping.behind.is_some();
    match key {
        Key::Char('1') if !is_fresh => {
            work.keeping.beside = None;
            vec![]
        }
        Key::Char('2') if !is_fresh && !asked.files.is_gone && !is_behind => {
            let from = asked.files.from.clone();
            work.keeping.beside = None;
            vec![Effect::Load(from)]
        }
        _ => {
            model.overlay = Some(Overlay::Sure(Sure::Beside));
            vec![]
        }
    }
}

/// The sign in the header, where the record is not what the screen shows; empty where it is.
pub fn sign(work: &Work, now: Moment) -> String {
    let keeping = &work.keeping;
    if work.read_only.is_some() {
        return "ONLY TO READ".to_owned();
    }
    if keeping.failed.is_some() {
        return "NOT SAVED".to_owned();
    }
    match keeping.behind.map(|since| now.since(since).as_secs()) {
        Some(0) => "SAVING".to_owned(),
        Some(seconds) => format!("SAVING {seconds} s"),
        None if keeping.beside.is_some() => "FILE CHANGED".to_owned(),
        None => String::new(),
    }
}

/// Why nothing can be answered in an open job, if so.
pub(super) fn only_to_read(work: &Work) -> Option<String> {
    let why = work.read_only.as_ref()?;
    Some(format!("only to read here: {why}"))
}

/// What is wrong with the record, and what comes of it; none where all is well.
pub fn words(work: &Work, now: Moment) -> Option<String> {
    let keeping = &work.keeping;
    if let Some(failed) = &keeping.failed {
        let next = match failed.seconds_left(now) {
            _ if keeping.is_writing => "Trying again now.".to_owned(),
            seconds => format!("Next try in {seconds} s."),
        };
        return Some(format!("NOT SAVED: {}. {next}", failed.why));
    }
    keeping.beside.as_ref().map(|asked| happened(&asked.files))
}

/// What became of the file, in one sentence or two.
pub fn happened(files: &Beside) -> String {
    let name = |path: &Path| {
        let name = path.file_name().unwrap_or(path.as_os_str());
        plain::text(&name.to_string_lossy())
    };
    let (from, to) = (name(&files.from), name(&files.to));
    if files.is_gone {
        format!("{from} was renamed or deleted outside millside. Your answers are saved in {to}.")
    } else {
        format!("{from} was changed outside millside. Your answers are saved in {to}.")
    }
}
