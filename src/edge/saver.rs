//! The thread that saves, so that no key waits for a disk. Saves are made in the order in which they were asked.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::mpsc;
use std::sync::mpsc::Sender;
use std::thread;
use std::thread::JoinHandle;

use crate::app::message::Kept;
use crate::app::message::Message;
use crate::edge::care::Keeper;
use crate::edge::held;
use crate::edge::held::Record;
use crate::edge::panics;
use crate::edge::save::Steps;
use crate::edge::worker;
use crate::plain;
use crate::record::write;
use crate::session::care_log::Entry;
use crate::session::state::State;

/// A save to be made. The record, and with it the lock, lives at least until it is done.
struct Save {
    record: Arc<Record>,
    state: Box<State>,
}

/// What is needed to save.
struct Hands {
    tell: Sender<Message>,
    keeper: Keeper,
    steps: Steps,
}

impl Hands {
    fn carry_out(&mut self, save: Save) {
        let (keeper, steps) = (&mut self.keeper, &mut self.steps);
        let Save { record, state } = save;
        // It takes the lock with it: who is told that the save is over may open the record at once.
        let write = || {
            let record = record;
            let kept = record.save(&write::text(&state), steps);
            kept.map_err(|error| plain::text(&held::why(&error)))
        };
        carry_out(&state, &self.tell, write, |state| keeper.keep(state));
    }
}

/// The thread that saves.
pub struct Saver {
    saves: Option<Sender<Save>>,
    thread: Option<JoinHandle<()>>,
    /// Where the system starts no thread, saves are made here: then a key waits for the disk, and nothing is lost.
    here: Mutex<Option<Hands>>,
}

impl Saver {
    /// Begins the thread. `care` is the folder of the machines' care logs; without one none is kept.
    pub fn begin(tell: &Sender<Message>, care: Option<PathBuf>, steps: &Steps) -> Self {
        let hands = || Hands {
            tell: tell.clone(),
            keeper: Keeper::new(care.clone(), Arc::clone(steps)),
            steps: Arc::clone(steps),
        };
        let (saves, wanted) = mpsc::channel::<Save>();
        let mut of_thread = hands();
        let started = thread::Builder::new().spawn(move || {
            for save in wanted {
                of_thread.carry_out(save);
            }
        });
        match started {
            Ok(thread) => Self {
                saves: Some(saves),
                thread: Some(thread),
                here: Mutex::new(None),
            },
            Err(_) => Self::without_thread(hands()),
        }
    }

    fn without_thread(hands: Hands) -> Self {
        Self {
            saves: None,
            thread: None,
            here: Mutex::new(Some(hands)),
        }
    }

    /// Asks for a save; it is answered with [`Message::Saved`].
    pub fn save(&self, record: Arc<Record>, state: Box<State>) {
        let save = Save { record, state };
        match &self.saves {
            // The thread ends only after this end of the channel.
            Some(saves) => drop(saves.send(save)),
            None => {
                let mut here = self.here.lock().unwrap_or_else(PoisonError::into_inner);
                if let Some(hands) = here.as_mut() {
                    hands.carry_out(save);
                }
            }
        }
    }

    /// No more saves are asked for. Whether all that were are done.
    pub fn is_done(&mut self) -> bool {
        self.saves = None;
        self.thread.as_ref().is_none_or(JoinHandle::is_finished)
    }
}

/// Saves one record and keeps the machine's log in step with it; a panic in either is a failure of it alone.
fn carry_out(
    state: &State,
    tell: &Sender<Message>,
    write: impl FnOnce() -> Result<Kept, String>,
    keep: impl FnOnce(&State) -> Option<Result<Vec<Entry>, String>>,
) {
    let saved = match panics::caught(write) {
        Ok(saved) => saved,
        Err(why) => Err(worker::failure("save the session", &why)),
    };
    // When the screen is gone, what is still queued is saved all the same.
    let _ = tell.send(Message::Saved(saved));
    let kept = match panics::caught(|| keep(state)) {
        Ok(kept) => kept,
        Err(why) => Some(Err(worker::failure("write the care log", &why))),
    };
    if let Some(kept) = kept {
        let machine = state.machine.name.clone();
        let _ = tell.send(Message::CareRead(machine, kept));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::path::Path;

    use crate::edge::clock::Clock;
    use crate::edge::lock;
    use crate::edge::lock::Lock;
    use crate::edge::save;
    use crate::job::caution::Cautions;
    use crate::profile::library;

    fn save(folder: &Path) -> Save {
        let library = library::Library::shipped();
        let job = crate::app::new_job::NewJob {
            title: "base plate".to_owned(),
            machine: library.machines.items()[0].clone(),
            material: library.materials.items()[0].clone(),
            rack: vec![],
            setups: vec![],
            program: None,
            stated: crate::job::conditions::Conditions::new(),
            version: "0.0.0".to_owned(),
            job_id: None,
        };
        let for_app = crate::app::model::Library {
            machines: vec![],
            materials: vec![],
            tools: vec![],
            cautions: Cautions::default(),
            templates: vec![],
            emergency_number: None,
            faults: vec![],
            demo: None,
        };
        let session = crate::app::new_job::session(&for_app, job, Clock::begin().now());
        let path = folder.join("plate.toml");
        let Ok(Lock::Locked(guard)) = lock::lock(&path) else {
            panic!("it is locked");
        };
        Save {
            record: Arc::new(Record::new(path, guard, b"")),
            state: Box::new(session.state().clone()),
        }
    }

    #[test]
    fn a_panic_in_a_save_is_a_failed_save_and_the_next_one_is_made() {
        let (tell, answers) = mpsc::channel();
        let folder = tempfile::tempdir().expect("a folder");
        let save = save(folder.path());
        carry_out(&save.state, &tell, || panic!("the disk is odd"), |_| None);
        carry_out(
            &save.state,
            &tell,
            || Ok(Kept::InPlace),
            |_| panic!("the log is odd"),
        );
        drop(tell);
        let answers: Vec<Message> = answers.iter().collect();
        let [
            Message::Saved(Err(why)),
            Message::Saved(Ok(Kept::InPlace)),
            Message::CareRead(_, Err(log)),
        ] = answers.as_slice()
        else {
            panic!("{answers:?}");
        };
        assert!(why.contains("could not save the session") && why.contains("the disk is odd"));
        assert!(log.contains("could not write the care log") && log.contains("the log is odd"));
    }

    #[test]
    fn where_no_thread_starts_the_save_is_made_all_the_same() {
        let folder = tempfile::tempdir().expect("a folder");
        let save = save(folder.path());
        let (tell, answers) = mpsc::channel();
        let mut saver = Saver::without_thread(Hands {
            tell,
            keeper: Keeper::new(None, save::unwatched()),
            steps: save::unwatched(),
        });
        saver.save(Arc::clone(&save.record), save.state);
        let Ok(Message::Saved(Ok(Kept::Beside(files)))) = answers.try_recv() else {
            panic!("not saved");
        };
        assert!(Path::new(&files.to).is_file() && saver.is_done());
    }
}
