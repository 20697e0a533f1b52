//! Faults of the disk, one for each call of a save, in the program itself with real files and without a terminal:
//! every answer that the screen confirms without a sign is in the record.

#[path = "support/running.rs"]
mod running;
mod support;

use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::sync::Mutex;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use millside::app::act::Act;
use millside::app::effect::Effect;
use millside::app::keeping;
use millside::app::key::Key;
use millside::app::model::Screen;
use millside::app::overlay::Overlay;
use millside::app::overlay::Sure;
use millside::app::page;
use millside::app::row;
use millside::app::row::Row;
use millside::edge::held;
use millside::edge::lock;
use millside::edge::lock::Lock;
use millside::edge::outside::OPEN_STEPS;
use millside::edge::outside::Outside;
use millside::edge::save;
use millside::edge::save::Steps;
use millside::edge::store::Store;
use millside::record::read;
use millside::session::Session;
use millside::session::event::Event;

use running::LONG;
use running::Running;
use running::holds;
use running::strays;
use support::desk::library;

/// Steps of a save of a record that is already there.
fn steps() -> Vec<&'static str> {
    let mut all = vec![held::STEPS[0]];
    all.extend(save::STEPS);
    all
}

/// Errors of the system, numbers of Linux: EINTR, EIO, EAGAIN, EACCES, EMFILE, EFBIG, ENOSPC, EROFS, EDQUOT.
const ERRORS: [i32; 9] = [4, 5, 11, 13, 24, 27, 28, 30, 122];

#[test]
fn each_call_of_a_save_that_fails_once_is_said_and_made_good_by_itself() {
    let mut count = 0;
    for step in steps() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut running = Running::demo(folder.path());
        for error in ERRORS {
            running.fail(step, error, 1);
            let text = format!("note {count}");
            running.note(&text);
            running.until("it failed", |model| {
                let work = model.work.as_ref().expect("a session");
                work.keeping.failed.is_some()
            });
            let work = running.model.work.as_ref().expect("a session");
            assert_eq!(keeping::sign(work, running.now()), "NOT SAVED", "{step}");
            holds(&running.path(), &running.confirmed[..count % ERRORS.len()]);
            running.pass(2);
            running.quiet();
            holds(&running.path(), &running.confirmed);
            assert_eq!(strays(folder.path()), 0, "{step}, error {error}");
            count += 1;
        }
        running.end().expect("everything is saved");
    }
    assert_eq!(count, 7 * ERRORS.len(), "each call with each error");
}

#[test]
fn the_screen_says_when_the_disk_goes_on_failing_and_no_way_out_is_silent() {
    for step in steps() {
        for way in ["q", "interrupt", "\x1b", "signal"] {
            let folder = tempfile::tempdir().expect("a folder");
            let mut running = Running::demo(folder.path());
            running.note("before");
            running.quiet();
            let path = running.path();
            running.fail(step, 28, u32::MAX);
            running.note("after");
            match way {
                "signal" => {
                    let problem = running.end().expect_err("it is not saved");
                    let words = problem.to_string();
                    assert!(words.contains("the disk is full"), "{words}");
                    assert!(words.contains(&path.display().to_string()), "{words}");
                    holds(&path, &["before".to_owned()]);
                    continue;
                }
                "interrupt" => running.key(Key::Interrupt),
                keys => running.keys(keys),
            }
            running.until("it asks", |model| {
                model.overlay == Some(Overlay::Sure(Sure::Unsaved))
            });
            assert!(!running.outside.has_quit(), "{step}, {way}");
            if way == "interrupt" {
                // The person knows, and leaves.
                running.keys("9");
                assert!(running.outside.has_quit());
                assert!(running.end().is_err(), "said once more, and exit code 2");
                holds(&path, &["before".to_owned()]);
                continue;
            }
            running.mend();
            running.pass(60);
            running.quiet();
            holds(&path, &running.confirmed);
            running.end().expect("everything is saved");
        }
    }
}

#[test]
fn on_a_slow_disk_every_way_out_keeps_what_waits_behind_a_running_save() {
    for way in ["q", "interrupt", "\x1b", "signal"] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut running = Running::demo(folder.path());
        let path = running.path();
        running.slow(Duration::from_millis(100));
        for text in ["one", "two", "three"] {
            running.note(text);
        }
        let all = running.confirmed.clone();
        match way {
            "signal" => {}
            "interrupt" => running.key(Key::Interrupt),
            keys => running.keys(keys),
        }
        if way != "signal" {
            let begun = Instant::now();
            while !running.outside.has_quit() && running.model.screen == Screen::Session {
                assert!(begun.elapsed() < LONG, "{way} never leaves");
                running.turn();
            }
            holds(&path, &all);
        }
        running.end().expect("everything is saved");
        holds(&path, &all);
    }
}

#[test]
fn a_slow_disk_never_lets_the_old_record_be_opened_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut running = Running::demo(folder.path());
    let path = running.path();
    running.slow(Duration::from_millis(100));
    for text in ["one", "two", "three"] {
        running.note(text);
    }
    // Back to the jobs and into the first one, the same keys as fast as they go.
    running.keys("\x1b");
    running.until("the jobs", |model| model.screen == Screen::Jobs);
    running.until("the jobs are listed", |model| !model.jobs.is_empty());
    running.keys("\r");
    running.until("it is open", |model| model.screen == Screen::Session);
    running.note("four");
    running.quiet();
    holds(&path, &running.confirmed);
    // Left without waiting: what reads the record again waits for the save that is under way.
    running.note("five");
    running.keys("\x1b");
    running.ahead += Duration::from_secs(1);
    running.turn();
    running.until("it asks", |model| {
        model.overlay == Some(Overlay::Sure(Sure::Unsaved))
    });
    running.keys("9");
    assert_eq!(running.model.screen, Screen::Jobs);
    let load = vec![Effect::Load(path.clone())];
    running.outside.carry_out(&mut running.model, load);
    assert_eq!(running.model.screen, Screen::Jobs, "not before the save");
    running.until("it is open", |model| model.screen == Screen::Session);
    let work = running.model.work.as_ref().expect("a session");
    assert!(
        work.read_only.is_none(),
        "its own save holds no lock any more"
    );
    holds(&path, &running.confirmed);
    running.end().expect("everything is saved");
}

#[test]
fn the_lock_is_held_until_the_last_save_is_on_the_disk() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = Running::demo(folder.path());
    let path = first.path();
    first.slow(Duration::from_millis(300));
    first.note("one");
    first.keys("\x1b");
    first.ahead += Duration::from_secs(1);
    first.turn();
    first.keys("9");
    assert!(first.model.work.is_none(), "the first program left it");
    assert!(matches!(lock::lock(&path), Ok(Lock::HeldByAnother)));
    let begun = Instant::now();
    while matches!(lock::lock(&path), Ok(Lock::HeldByAnother)) {
        assert!(begun.elapsed() < LONG, "the lock is never free");
        thread::sleep(Duration::from_millis(5));
    }
    holds(&path, &first.confirmed);
}

#[test]
fn a_record_is_locked_before_it_is_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = Running::demo(folder.path());
    let path = first.path();
    first.note("one");
    first.quiet();
    first.end().expect("everything is saved");
    let was_locked = Arc::new(Mutex::new(None));
    let (seen, looked_at) = (Arc::clone(&was_locked), path.clone());
    let steps: Steps = Arc::new(move |step| {
        if step == OPEN_STEPS[1] {
            let locked = matches!(lock::lock(&looked_at), Ok(Lock::HeldByAnother));
            *seen.lock().expect("one thread") = Some(locked);
        }
        Ok(())
    });
    let mut running = Running::start(folder.path());
    let store = Store::open(folder.path()).expect("a folder");
    running.outside = Outside::begin(running.clock, store, None, library(), steps);
    let load = vec![Effect::Load(path.clone())];
    running.outside.carry_out(&mut running.model, load);
    assert_eq!(running.model.screen, Screen::Session);
    assert_eq!(*was_locked.lock().expect("one thread"), Some(true));
}

#[test]
fn a_record_that_cannot_be_locked_or_read_is_not_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let first = Running::demo(folder.path());
    let path = first.path();
    first.end().expect("everything is saved");
    let before = fs::read(&path).expect("a record");
    let load = || vec![Effect::Load(path.clone())];
    let mut running = Running::start(folder.path());
    running.fail(OPEN_STEPS[1], 5, 1);
    running.outside.carry_out(&mut running.model, load());
    assert!(running.model.work.is_none() && running.model.notice.is_some());
    assert!(
        matches!(lock::lock(&path), Ok(Lock::Locked(_))),
        "let go again"
    );
    running.fail(OPEN_STEPS[0], 37, 1);
    running.outside.carry_out(&mut running.model, load());
    let work = running.model.work.as_ref().expect("it is shown");
    assert!(work.read_only.is_some());
    running.note("nothing");
    running.pass(3);
    running.end().expect("there is nothing to save");
    assert_eq!(fs::read(&path).expect("a record"), before);
}

#[test]
fn who_deletes_the_lock_file_lets_no_second_program_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut first = Running::demo(folder.path());
    let path = first.path();
    let name = path.file_name().expect("a name").to_string_lossy();
    let lock_file = path.with_file_name(format!(".{name}.lock"));
    for text in ["one", "two"] {
        fs::remove_file(&lock_file).expect("the lock file");
        assert!(
            matches!(lock::lock(&path), Ok(Lock::HeldByAnother)),
            "before {text}"
        );
        first.note(text);
        first.quiet();
        assert!(
            matches!(lock::lock(&path), Ok(Lock::HeldByAnother)),
            "after {text}"
        );
    }
    holds(&path, &first.confirmed);
    first.end().expect("everything is saved");
    assert!(matches!(lock::lock(&path), Ok(Lock::Locked(_))));
}

/// What somebody else does to the file, and what lies in its place then.
type Meddle = fn(&Path) -> Option<String>;

fn edited(path: &Path) -> Option<String> {
    let text = fs::read_to_string(path).expect("a record");
    let text = text.replacen("\n", "\n# a remark of mine\n", 1);
    // As an editor writes: another file under the same name.
    let other = path.with_extension("new");
    fs::write(&other, &text).expect("the folder is writable");
    fs::rename(&other, path).expect("the folder is writable");
    Some(text)
}

fn edited_in_place(path: &Path) -> Option<String> {
    // The same length, at the same moment as the last save for all anybody knows.
    let text = fs::read_to_string(path).expect("a record");
    let text = text.replacen("complete = true", "complete = trUe", 1);
    fs::write(path, &text).expect("the file is writable");
    Some(text)
}

fn deleted(path: &Path) -> Option<String> {
    fs::remove_file(path).expect("a record");
    None
}

fn renamed(path: &Path) -> Option<String> {
    fs::rename(path, path.with_file_name("renamed.toml")).expect("a record");
    None
}

#[test]
fn an_edit_from_outside_is_noticed_before_writing_and_both_are_kept() {
    let ways: [(&str, Meddle); 4] = [
        ("edited", edited),
        ("edited in place", edited_in_place),
        ("deleted", deleted),
        ("renamed", renamed),
    ];
    for (what, meddle) in ways {
        // The new file may fail as well, at each of its calls.
        let failing = held::STEPS
            .iter()
            .chain(&save::STEPS)
            .map(|step| Some(*step));
        for step in [None].into_iter().chain(failing) {
            let folder = tempfile::tempdir().expect("a folder");
            let mut running = Running::demo(folder.path());
            running.note("before");
            running.quiet();
            let path = running.path();
            let theirs = meddle(&path);
            if let Some(step) = step {
                running.fail(step, 28, 1);
            }
            running.note("after");
            running.pass(3);
            running.quiet();
            assert_eq!(fs::read_to_string(&path).ok(), theirs, "{what}, {step:?}");
            let ours = running.path();
            assert_ne!(ours, path, "{what}, {step:?}");
            holds(&ours, &running.confirmed);
            assert!(matches!(lock::lock(&ours), Ok(Lock::HeldByAnother)));
            let stem = path.file_stem().expect("a name").to_string_lossy();
            let second = format!("{stem}-2.toml");
            assert_eq!(ours, path.with_file_name(second), "{what}, {step:?}");
            // Asked, and saved on meanwhile.
            assert_eq!(running.model.overlay, Some(Overlay::Sure(Sure::Beside)));
            running.keys("1");
            running.note("later");
            running.quiet();
            holds(&ours, &running.confirmed);
            assert_eq!(running.path(), ours, "one new file is enough");
            assert_eq!(fs::read_to_string(&path).ok(), theirs, "{what}, {step:?}");
            running.end().expect("everything is saved");
        }
    }
}

#[test]
fn the_changed_file_is_opened_instead_when_the_person_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut running = Running::demo(folder.path());
    let path = running.path();
    edited(&path);
    running.note("mine");
    running.quiet();
    running.pass(2);
    let ours = running.path();
    running.keys("2");
    running.until("theirs is open", |model| {
        let work = model.work.as_ref();
        work.is_some_and(|work| Path::new(&work.path) == path)
    });
    let work = running.model.work.as_ref().expect("a session");
    assert!(work.read_only.is_none());
    holds(&ours, &["mine".to_owned()]);
    running.note("theirs");
    running.quiet();
    holds(&path, &["theirs".to_owned()]);
    running.end().expect("everything is saved");
}

#[test]
fn a_save_whose_folder_could_not_be_synced_is_not_taken_for_an_edit_from_outside() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut running = Running::demo(folder.path());
    let path = running.path();
    running.fail("sync folder", 5, 3);
    running.note("one");
    running.pass(20);
    running.quiet();
    assert_eq!(running.path(), path);
    holds(&path, &running.confirmed);
    assert!(!running.asks());
}

#[test]
fn who_gives_up_waiting_at_the_end_is_told_what_is_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut running = Running::demo(folder.path());
    running.slow(Duration::from_secs(2));
    running.note("one");
    let told = std::cell::Cell::new(0);
    let say = || told.set(told.get() + 1);
    let ended = running
        .outside
        .end(&mut running.model, say, || told.get() > 0);
    assert_eq!(told.get(), 1, "told once, before the person can give up");
    let words = ended.expect_err("it is not saved").to_string();
    assert!(words.contains("could not save the last answers"), "{words}");
}

#[test]
fn what_keeps_a_job_from_being_answered_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let first = Running::demo(folder.path());
    let path = first.path();
    let opened = |error: Option<i32>, path: &Path| {
        let mut running = Running::start(folder.path());
        if let Some(error) = error {
            running.fail(OPEN_STEPS[0], error, 1);
        }
        let load = vec![Effect::Load(path.to_owned())];
        running.outside.carry_out(&mut running.model, load);
        let work = running.model.work.as_ref().expect("it is shown");
        assert!(work.read_only.is_some(), "{error:?}");
        let said = |running: &Running| running.model.notice.clone().expect("a notice").text;
        let at_first = said(&running);
        // The same is said to a key that would answer.
        running.note("nothing");
        assert_eq!(said(&running), at_first);
        at_first
    };
    let another = opened(None, &path);
    assert!(another.contains("another program has this job open"));
    first.end().expect("everything is saved");
    // Linux: EACCES, EROFS, ENAMETOOLONG, ENOLCK, EOPNOTSUPP, EIO.
    for (error, words) in [
        (13, "the folder may not be written"),
        (30, "the disk is read-only"),
        (36, "the file's name is too long"),
        (37, "this disk has no locks"),
        (95, "this disk has no locks"),
        (5, "it cannot be locked"),
    ] {
        let said = opened(Some(error), &path);
        assert!(
            said.starts_with("only to read here: ") && said.contains(words),
            "{said}"
        );
        assert!(!said.contains("another program"), "{said}");
    }
    // A name that has room for itself and not for what the lock adds to it.
    let long = path.with_file_name(format!("{}.toml", "n".repeat(248)));
    fs::rename(&path, &long).expect("renamed");
    let said = opened(None, &long);
    assert!(said.contains("the file's name is too long"), "{said}");
}

#[test]
fn a_full_record_is_said_and_the_job_goes_on_in_its_next_session() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut running = Running::demo(folder.path());
    let path = running.path();
    let work = running.model.work.as_mut().expect("a session");
    let mut state = work.session.state().clone();
    state.head.version = "v".repeat(read::LONGEST);
    work.session = Session::new(state);
    running.note("too much");
    running.until("it is refused", |model| {
        let work = model.work.as_ref().expect("a session");
        work.keeping.failed.is_some()
    });
    let now = running.now();
    let said = running
        .model
        .work
        .as_ref()
        .and_then(|work| keeping::words(work, now));
    let said = said.expect("a sentence");
    assert!(
        said.contains("the record is full") && said.contains("next session"),
        "{said}"
    );
    holds(&path, &[]);
    // Wrapped up, something left to do: the next session begins, whatever the old record lacks.
    let work = running.model.work.as_mut().expect("a session");
    let wrapped = Event::WrappedUp {
        learned: String::new(),
        done: false,
    };
    work.session = work.session.apply(wrapped, now).expect("it is wrapped up");
    running.keys("6666666666");
    let rows = page::rows(&running.model);
    let is_next = |row: &Row| {
        let act = Act::NextSession;
        matches!(row, Row::Do { act: found, .. } if *found == act)
    };
    let mut choosable = row::choosable(&rows).into_iter();
    let next = choosable.position(|place| is_next(&rows[place]));
    running.model.cursor = next.expect("a row for it");
    running.keys("\r");
    let other = running.path();
    assert_ne!(other, path);
    holds(&other, &[]);
}
