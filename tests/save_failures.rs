//! Each step of a save is made to fail; the file then holds the old text or the new one.

mod record_state;

use std::fs;
use std::fs::File;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;
use std::time::SystemTime;

use chrono::DateTime;

use millside::edge::alive;
use millside::edge::held;
use millside::edge::lock;
use millside::edge::lock::Lock;
use millside::edge::open;
use millside::edge::save;
use millside::edge::save::STEPS;
use millside::edge::save::Unwatched;
use millside::edge::save::Watch;
use millside::edge::store;
use millside::edge::store::Store;
use millside::edge::stray;
use millside::job::caution::Cautions;
use millside::record::read;
use millside::record::write;

use record_state::Dice;
use record_state::reading_at;

/// Fails one step and notes all that were reached.
struct FailAt {
    step: &'static str,
    reached: Vec<String>,
}

impl Watch for FailAt {
    fn before(&mut self, step: &str) -> io::Result<()> {
        self.reached.push(step.to_owned());
        if step == self.step {
            Err(io::Error::other("made to fail"))
        } else {
            Ok(())
        }
    }
}

fn names(dir: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(dir)
        .expect("the folder is readable")
        .map(|entry| {
            let entry = entry.expect("an entry");
            entry.file_name().to_string_lossy().into_owned()
        })
        .collect();
    names.sort();
    names
}

fn record_in(dir: &Path, text: &str) -> PathBuf {
    let path = dir.join("a.toml");
    fs::write(&path, text).expect("the folder is writable");
    path
}

#[test]
fn a_save_that_fails_before_the_rename_leaves_the_old_text_and_no_stray_file() {
    for step in ["create", "mode", "write", "sync", "rename"] {
        let dir = tempfile::tempdir().unwrap();
        let path = record_in(dir.path(), "old");
        let mut watch = FailAt {
            step,
            reached: vec![],
        };
        let error = save::replace(&path, "new", &mut watch).expect_err(step);
        assert_eq!(error.to_string(), "made to fail", "{step}");
        assert_eq!(fs::read_to_string(&path).unwrap(), "old", "{step}");
        assert_eq!(names(dir.path()), ["a.toml"], "{step}");
        assert_eq!(watch.reached.last().map(String::as_str), Some(step));
    }
}

#[test]
fn a_save_whose_folder_cannot_be_synced_has_the_new_text_in_place_and_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    let mut watch = FailAt {
        step: "sync folder",
        reached: vec![],
    };
    assert!(save::replace(&path, "new", &mut watch).is_err());
    assert_eq!(fs::read_to_string(&path).unwrap(), "new");
    assert_eq!(names(dir.path()), ["a.toml"]);
    assert_eq!(watch.reached, STEPS, "each step was watched, in this order");
}

#[test]
fn a_new_record_that_fails_at_any_step_before_the_rename_leaves_nothing() {
    for step in ["create", "write", "sync", "rename"] {
        let dir = tempfile::tempdir().unwrap();
        let mut watch = FailAt {
            step,
            reached: vec![],
        };
        let path = dir.path().join("new.toml");
        save::create(&path, "text", &mut watch).expect_err(step);
        assert!(names(dir.path()).is_empty(), "{step}");
    }
}

#[test]
fn a_new_record_never_replaces_a_file() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    let error = save::create(&path, "new", &mut Unwatched).expect_err("it is there");
    assert_eq!(error.kind(), io::ErrorKind::AlreadyExists);
    assert_eq!(fs::read_to_string(&path).unwrap(), "old");
    assert_eq!(names(dir.path()), ["a.toml"]);
}

#[cfg(unix)]
#[test]
fn the_mode_of_a_record_is_kept_and_a_write_protected_one_is_left_alone() {
    use std::os::unix::fs::PermissionsExt;

    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    for mode in [0o600, 0o640, 0o664] {
        fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
        save::replace(&path, "new", &mut Unwatched).unwrap();
        let found = fs::metadata(&path).unwrap().permissions().mode() & 0o777;
        assert_eq!(found, mode, "{mode:o}");
    }
    fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
    let error = save::replace(&path, "newer", &mut Unwatched).expect_err("write-protected");
    assert_eq!(error.kind(), io::ErrorKind::PermissionDenied);
    assert_eq!(fs::read_to_string(&path).unwrap(), "new");
    assert_eq!(names(dir.path()), ["a.toml"]);
}

#[cfg(unix)]
#[test]
fn a_new_record_can_be_read_by_others_as_any_file_of_the_person() {
    use std::os::unix::fs::PermissionsExt;

    let dir = tempfile::tempdir().unwrap();
    let plain = dir.path().join("plain");
    fs::write(&plain, "x").unwrap();
    let store = Store::open(dir.path().join("sessions")).unwrap();
    let path = store.create(&Dice::new(2).state(), &mut Unwatched).unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    // The umask of whoever runs this test takes its share from both alike.
    assert_eq!(mode(&path), mode(&plain) & 0o644);
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_its_file_is_replaced() {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("real")).unwrap();
    let real = record_in(&dir.path().join("real"), "old");
    let link = dir.path().join("link.toml");
    std::os::unix::fs::symlink(&real, &link).unwrap();
    save::replace(&link, "new", &mut Unwatched).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&real).unwrap(), "new");
    fs::remove_file(&real).unwrap();
    assert!(save::replace(&link, "newer", &mut Unwatched).is_err());
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
}

#[test]
fn sessions_of_one_second_and_title_get_names_of_their_own() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let mut state = Dice::new(9).state();
    state.head.title = "Star-tracker base plate".to_owned();
    let paths: Vec<PathBuf> = (0..40)
        .map(|_| store.create(&state, &mut Unwatched).unwrap())
        .collect();
    assert_eq!(names(dir.path()).len(), 40);
    let name = paths[0].file_name().unwrap().to_string_lossy().into_owned();
    let date = state.head.begun.format("%Y-%m-%d-%H%M%S").to_string();
    assert!(
        name.starts_with(&format!("{date}-star-tracker-base-plate-")),
        "{name}"
    );
    let digits = name.trim_end_matches(".toml").rsplit('-').next().unwrap();
    assert!(
        digits.len() == 4 && u16::from_str_radix(digits, 16).is_ok(),
        "{name}"
    );
}

#[test]
fn what_was_created_and_saved_is_loaded_again() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path().join("a/b")).unwrap();
    let mut state = Dice::new(11).state();
    let path = store.create(&state, &mut Unwatched).unwrap();
    state.head.title = "Another title".to_owned();
    let text = write::text(&state);
    save::replace(&path, &text, &mut Unwatched).unwrap();
    let (back, raw) = store::load(&path, Cautions::default(), reading_at()).unwrap();
    assert_eq!(back, state);
    assert_eq!(raw, text.as_bytes());
}

#[test]
fn a_file_that_cannot_be_read_is_listed_with_its_error_and_left_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let mut old = Dice::new(20).state();
    old.last_seen.wall = DateTime::parse_from_rfc3339("2026-11-24T10:00:00+01:00").unwrap();
    let mut new = Dice::new(21).state();
    new.last_seen.wall = DateTime::parse_from_rfc3339("2026-11-25T10:00:00+01:00").unwrap();
    let old_path = store.create(&old, &mut Unwatched).unwrap();
    let new_path = store.create(&new, &mut Unwatched).unwrap();
    fs::write(dir.path().join("broken.toml"), "format = 1\ntitle = \u{1b}").unwrap();
    fs::write(dir.path().join("raw.toml"), b"format = \xff").unwrap();
    fs::write(dir.path().join("notes.txt"), "not a record").unwrap();
    fs::write(dir.path().join(".millside-x.tmp"), "left behind").unwrap();
    fs::create_dir(dir.path().join("folder.toml")).unwrap();
    let before = names(dir.path());

    let listed = store.list().unwrap();
    let paths: Vec<PathBuf> = listed.iter().map(|one| one.path.clone()).collect();
    assert_eq!(
        paths,
        [
            new_path.clone(),
            old_path.clone(),
            dir.path().join("broken.toml"),
            dir.path().join("raw.toml")
        ]
    );
    let first = listed[0].summary.as_ref().unwrap();
    assert_eq!(
        (&first.title, first.seen),
        (&new.head.title, new.last_seen.wall)
    );
    let error = listed[2].summary.as_ref().unwrap_err();
    assert!(error.starts_with("line 2: "), "{error}");
    assert!(!error.chars().any(millside::plain::is_hidden), "{error}");
    assert_eq!(names(dir.path()), before);

    // A session that was cut off after its last save was seen later than it says itself.
    let later = DateTime::parse_from_rfc3339("2026-11-25T12:00:00+01:00").unwrap();
    alive::touch(&old_path, later, &mut Unwatched).unwrap();
    let listed = store.list().unwrap();
    assert_eq!((&listed[0].path, listed[0].alive), (&old_path, Some(later)));
}

#[test]
fn a_record_that_cannot_be_read_says_file_line_and_key() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "format = 3\n");
    let problem = store::load(&path, Cautions::default(), reading_at()).unwrap_err();
    let words = problem.to_string();
    assert!(
        words.contains("a.toml") && words.contains("line 1: format is 3"),
        "{words}"
    );
    let missing = store::load(
        &dir.path().join("none.toml"),
        Cautions::default(),
        reading_at(),
    );
    assert!(missing.is_err());
    assert!(
        store::load(dir.path(), Cautions::default(), reading_at()).is_err(),
        "a folder"
    );
}

#[test]
fn a_second_program_may_not_write_until_the_first_lets_go() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    let first = lock::lock(&path).unwrap();
    assert!(matches!(first, Lock::Locked(_)));
    // A lock of the same file through another handle counts as another program's.
    assert!(matches!(lock::lock(&path).unwrap(), Lock::HeldByAnother));
    save::replace(&path, "new", &mut Unwatched).unwrap();
    assert!(
        matches!(lock::lock(&path).unwrap(), Lock::HeldByAnother),
        "a save changes nothing"
    );
    drop(first);
    assert_eq!(names(dir.path()), ["a.toml"]);
    assert!(matches!(lock::lock(&path).unwrap(), Lock::Locked(_)));
}

#[test]
fn a_lock_file_left_behind_by_a_crash_locks_nobody_out() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    fs::write(dir.path().join(".a.toml.lock"), "").unwrap();
    assert!(matches!(lock::lock(&path).unwrap(), Lock::Locked(_)));
}

#[cfg(unix)]
#[test]
fn a_link_and_its_file_share_one_lock() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    let link = dir.path().join("link.toml");
    std::os::unix::fs::symlink(&path, &link).unwrap();
    let _first = lock::lock(&path).unwrap();
    assert!(matches!(lock::lock(&link).unwrap(), Lock::HeldByAnother));
}

#[test]
fn the_sign_of_life_is_read_back_until_it_is_taken_away() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    assert_eq!(alive::read(&path), None);
    for text in ["2026-11-25T15:31:02.250+01:00", "2026-11-25T15:31:12+01:00"] {
        let wall = DateTime::parse_from_rfc3339(text).unwrap();
        alive::touch(&path, wall, &mut Unwatched).unwrap();
        assert_eq!(alive::read(&path), Some(wall));
    }
    assert_eq!(names(dir.path()), [".a.toml.alive", "a.toml"]);
    fs::write(dir.path().join(".a.toml.alive"), "2026-11-2").unwrap();
    assert_eq!(alive::read(&path), None, "half a sign is none");
    alive::clear(&path).unwrap();
    alive::clear(&path).unwrap();
    assert_eq!(names(dir.path()), ["a.toml"]);
}

/// What clearing up leaves of a folder.
fn cleared(dir: &Path) -> Vec<String> {
    stray::clear(dir);
    names(dir)
}

fn aged(path: &Path, seconds: u64) -> File {
    let file = File::options()
        .create(true)
        .append(true)
        .open(path)
        .expect("the folder is writable");
    let then = SystemTime::now() - Duration::from_secs(seconds);
    file.set_modified(then).expect("a time is set");
    file
}

#[test]
fn temporary_files_that_a_killed_program_left_are_taken_away_once_they_are_old() {
    let dir = tempfile::tempdir().unwrap();
    let stray = dir.path().join(".millside-a1B2c3.tmp");
    aged(&stray, 3000);
    assert_eq!(cleared(dir.path()).len(), 1, "it may be in use");
    aged(&stray, 4000);
    assert!(cleared(dir.path()).is_empty());
}

#[test]
fn nothing_but_our_own_old_temporary_files_is_ever_taken_away() {
    let dir = tempfile::tempdir().unwrap();
    let others = [
        "a.toml",
        ".a.toml.lock",
        ".millside-a1B2c3",
        ".millside-a1B2c34.tmp",
        ".millside-n-tes.tmp",
        "a.tmp",
        ".millside-future.tmp",
    ];
    for name in others {
        aged(&dir.path().join(name), 100_000);
    }
    let ahead = File::options()
        .append(true)
        .open(dir.path().join(".millside-future.tmp"))
        .unwrap();
    ahead
        .set_modified(SystemTime::now() + Duration::from_secs(100_000))
        .unwrap();
    fs::create_dir(dir.path().join(".millside-folder.tmp")).unwrap();
    let before = names(dir.path());
    assert_eq!(before.len(), others.len() + 1);
    assert_eq!(cleared(dir.path()), before);
}

#[cfg(unix)]
#[test]
fn a_temporary_file_that_is_being_written_or_is_reached_through_a_link_stays() {
    let dir = tempfile::tempdir().unwrap();
    let outside = tempfile::tempdir().unwrap();
    let path = dir.path().join(".millside-a1B2c3.tmp");
    let writing = aged(&path, 100_000);
    writing.try_lock().unwrap();
    assert_eq!(cleared(dir.path()).len(), 1);
    drop(writing);
    // A second name elsewhere: whose it is cannot be told.
    fs::hard_link(&path, outside.path().join("b")).unwrap();
    assert_eq!(cleared(dir.path()).len(), 1);
    fs::remove_file(&path).unwrap();
    std::os::unix::fs::symlink(outside.path().join("b"), &path).unwrap();
    assert_eq!(cleared(dir.path()).len(), 1);
    assert_eq!(names(outside.path()), ["b"]);
}

#[cfg(unix)]
#[test]
fn a_save_holds_its_temporary_file_from_the_beginning() {
    /// Looks, before each step, whether the temporary file is held.
    struct Looks<'a>(&'a Path, Vec<String>);
    impl Watch for Looks<'_> {
        fn before(&mut self, step: &str) -> io::Result<()> {
            let all = names(self.0);
            if let Some(name) = all.iter().find(|name| name.ends_with(".tmp")) {
                let file = File::open(self.0.join(name))?;
                assert!(file.try_lock().is_err(), "{step}: nobody holds {name}");
                self.1.push(step.to_owned());
            }
            Ok(())
        }
    }
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    let mut looks = Looks(dir.path(), vec![]);
    save::replace(&path, "new", &mut looks).unwrap();
    assert_eq!(looks.1, ["mode", "write", "sync", "rename"]);
}

#[test]
fn a_record_that_could_not_be_read_again_is_not_written() {
    let dir = tempfile::tempdir().unwrap();
    let path = record_in(dir.path(), "old");
    let Ok(Lock::Locked(guard)) = lock::lock(&path) else {
        panic!("it is locked");
    };
    let record = held::Record::new(path.clone(), guard, b"old");
    let text = "x".repeat(read::LONGEST + 1);
    let error = record.save(&text, &mut Unwatched).expect_err("too long");
    assert_eq!(held::why(&error), read::FULL);
    assert_eq!(fs::read_to_string(&path).unwrap(), "old");
    // The longest that is read is written.
    record.save(&text[1..], &mut Unwatched).unwrap();
    assert!(open::whole(&path, read::LONGEST).is_ok());
    // A new one is held to the same.
    let store = Store::open(dir.path().join("sessions")).unwrap();
    let mut state = Dice::new(2).state();
    state.head.title = "x".repeat(read::LONGEST);
    let problem = store.create(&state, &mut Unwatched).expect_err("too long");
    assert!(problem.to_string().contains("full"), "{problem}");
    assert!(names(store.dir()).is_empty());
}
