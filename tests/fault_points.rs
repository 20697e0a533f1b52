//! Every place that writes a file, and what a fault or a kill at each of its steps leaves: what was there or what is new, whole, never
//! a mixture, and the fault is said. A place that is new must be put into the table below, or a test fails.

#[path = "support/running.rs"]
mod running;
mod support;

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;
use std::path::PathBuf;

use chrono::DateTime;
use millside::cli::world::World;
use millside::edge::alive;
use millside::edge::care;
use millside::edge::files;
use millside::edge::folders;
use millside::edge::held;
use millside::edge::said;
use millside::edge::save;
use millside::edge::save::Watch;
use millside::edge::store;
use millside::edge::store::Store;
use millside::job::caution::Cautions;
use millside::measure::legible::Letters;
use millside::measure::legible::Sizes;
use millside::problem::Problem;
use millside::record::read;
use millside::session::care_log::Entry;
use millside::session::care_log::Kind;
use millside::session::moment::Moment;
use millside::session::state::State;

use running::Copies;
use running::Running;
use running::holds;
use support::session::at;
use support::session::plate;

/// A world of one folder.
struct Folder(PathBuf);

impl World for Folder {
    fn read(&self, path: &Path, _longest: usize) -> io::Result<Vec<u8>> {
        fs::read(path)
    }

    fn open(&self, path: &Path) -> io::Result<Box<dyn io::Read>> {
        Ok(Box::new(fs::File::open(path)?))
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        folders::files_of(folder)
    }

    fn data_folder(&self) -> Option<PathBuf> {
        Some(self.0.clone())
    }

    fn now(&self) -> Moment {
        at(0, 0)
    }

    fn create_session(&mut self, _: Option<&Path>, _: &State) -> Result<PathBuf, Problem> {
        Err(Problem::internal("make a session here"))
    }

    fn out(&mut self, _text: &str) -> io::Result<()> {
        Ok(())
    }

    fn err(&mut self, _text: &str) -> io::Result<()> {
        Ok(())
    }
}

/// What one place writes: into this folder, asked before each step; the words of a failure.
type Write = fn(&Path, &mut dyn Watch) -> Result<(), String>;

/// One place that writes.
struct Site {
    what: &'static str,
    /// The file and the function of ours that it calls.
    at: (&'static str, &'static str),
    /// What has to be there before.
    before: Option<Write>,
    write: Write,
    /// What the new file says.
    says: &'static str,
}

fn session(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let store = Store::open(dir).map_err(|problem| problem.to_string())?;
    let created = store.create(plate().state(), watch);
    created.map(drop).map_err(|problem| problem.to_string())
}

fn entry(words: &str) -> Vec<Entry> {
    vec![Entry {
        at: DateTime::UNIX_EPOCH.fixed_offset(),
        kind: Kind::Calibrated(words.to_owned()),
        operation: String::new(),
        tool: String::new(),
        session: String::new(),
    }]
}

fn log(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let added = care::add(dir, "light-belt-mill", watch, |_| entry("gib set"));
    added.map(drop)
}

fn log_before(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let added = care::add(dir, "light-belt-mill", watch, |_| entry("belt new"));
    added.map(drop)
}

fn size(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    said::keep(dir, &Sizes::from([((80, 24), Letters::Plain)]), watch)
}

fn size_before(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    said::keep(dir, &Sizes::from([((120, 40), Letters::Plain)]), watch)
}

fn tool(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let world = Folder(dir.to_owned());
    folders::keep_tool(&world, "my-cutter", "format = 1\n# mine\n", watch).map(drop)
}

fn number(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let world = Folder(dir.to_owned());
    folders::keep_number(&world, "0800 111", watch).map(drop)
}

fn number_before(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let world = Folder(dir.to_owned());
    folders::keep_number(&world, "112", watch).map(drop)
}

fn profile(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let path = dir.join("machines/mine.toml");
    let written = files::save_profile(&path, "format = 1\n# new\n", true, watch);
    written.map_err(|error| error.to_string())
}

fn profile_again(dir: &Path, watch: &mut dyn Watch) -> Result<(), String> {
    let path = dir.join("machines/mine.toml");
    let written = files::save_profile(&path, "format = 1\n# newer\n", false, watch);
    written.map_err(|error| error.to_string())
}

const SITES: [Site; 8] = [
    Site {
        what: "a new session",
        at: ("edge/store.rs", "save::create("),
        before: None,
        write: session,
        says: "complete = true",
    },
    Site {
        what: "the machine's log",
        at: ("edge/care.rs", "save::replace("),
        before: Some(log_before),
        write: log,
        says: "gib set",
    },
    Site {
        what: "what was said of the screen",
        at: ("edge/said.rs", "save::replace("),
        before: Some(size_before),
        write: size,
        says: "columns = 80",
    },
    Site {
        what: "a tool of one's own",
        at: ("edge/folders.rs", "save::create(&path, text"),
        before: None,
        write: tool,
        says: "# mine",
    },
    Site {
        what: "the emergency number, new",
        at: ("edge/folders.rs", "save::create(&path, &text"),
        before: None,
        write: number_before,
        says: "112",
    },
    Site {
        what: "the emergency number, changed",
        at: ("edge/folders.rs", "save::replace("),
        before: Some(number_before),
        write: number,
        says: "0800 111",
    },
    Site {
        what: "a new profile",
        at: ("edge/files.rs", "save::create("),
        before: None,
        write: profile,
        says: "# new\n",
    },
    Site {
        what: "a profile in its place",
        at: ("edge/files.rs", "save::replace("),
        before: Some(profile),
        write: profile_again,
        says: "# newer\n",
    },
];

/// Places of another kind, with the test that goes through their steps.
const ELSEWHERE: [(&str, &str); 5] = [
    // Saves of an open record: `save_faults` and the kills below.
    ("edge/held.rs", "save::replace_held("),
    ("edge/held.rs", "save::create_held("),
    // The sign of life, below; the lock, which holds nothing: `save_faults`.
    ("edge/alive.rs", "For::Writing"),
    ("edge/lock.rs", "For::Writing"),
    // What both of them go through.
    ("edge/open.rs", "For::Writing"),
];

/// Every file of a folder and of those below it, by its path there.
fn all(dir: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![dir.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let raw = fs::read(&path).expect("a file");
            found.insert(path.strip_prefix(dir).expect("below").to_owned(), raw);
        }
    }
    found
}

/// Fails before one step, and keeps what lay in the folder before each.
struct Fault<'a> {
    dir: &'a Path,
    fails: Option<(&'static str, i32)>,
    seen: Vec<(String, BTreeMap<PathBuf, Vec<u8>>)>,
}

impl Watch for Fault<'_> {
    fn before(&mut self, step: &str) -> io::Result<()> {
        self.seen.push((step.to_owned(), all(self.dir)));
        match self.fails {
            Some((name, error)) if name == step => Err(io::Error::from_raw_os_error(error)),
            _ => Ok(()),
        }
    }
}

fn prepared(site: &Site) -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    if let Some(before) = site.before {
        before(dir.path(), &mut save::Unwatched).expect("written");
    }
    dir
}

/// Files without those that only say that another is being written.
fn without_signs(mut files: BTreeMap<PathBuf, Vec<u8>>) -> BTreeMap<PathBuf, Vec<u8>> {
    files.retain(|path, _| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        !name.ends_with(".lock") && !name.ends_with(".tmp")
    });
    files
}

fn has_new(site: &Site, files: &BTreeMap<PathBuf, Vec<u8>>) -> bool {
    files
        .values()
        .any(|raw| String::from_utf8_lossy(raw).contains(site.says))
}

/// Linux: EIO, EACCES, ENOSPC, EROFS.
const ERRORS: [i32; 4] = [5, 13, 28, 30];

#[test]
fn a_fault_at_each_step_of_each_place_is_said_and_spoils_nothing() {
    let mut count = 0;
    for site in &SITES {
        for step in save::STEPS {
            for error in ERRORS {
                let dir = prepared(site);
                let before = without_signs(all(dir.path()));
                let mut fault = Fault {
                    dir: dir.path(),
                    fails: Some((step, error)),
                    seen: vec![],
                };
                let outcome = (site.write)(dir.path(), &mut fault);
                let reached = fault.seen.iter().any(|(name, _)| name == step);
                let what = format!("{}, {step}, error {error}", site.what);
                if !reached {
                    // A new file has no mode to keep.
                    assert!(step == "mode" && site.before.is_none(), "{what}");
                    continue;
                }
                count += 1;
                let why = outcome.expect_err(&what);
                let words = io::Error::from_raw_os_error(error).to_string();
                let words = words.split(" (os").next().unwrap_or_default();
                let said = why.to_lowercase();
                assert!(
                    said.contains(&words.to_lowercase()) || said.contains("disk"),
                    "{what}: {why}"
                );
                let after = all(dir.path());
                assert!(
                    after
                        .keys()
                        .all(|path| !path.to_string_lossy().ends_with(".tmp")),
                    "{what}"
                );
                let after = without_signs(after);
                if step == "sync folder" {
                    // In place, but a power cut may take it back: that is what the error says.
                    assert!(has_new(site, &after), "{what}");
                } else {
                    assert_eq!(after, before, "{what}");
                }
                if step == "sync folder" && site.before.is_none() {
                    continue;
                }
                // The next try makes it good.
                (site.write)(dir.path(), &mut save::Unwatched).expect(&what);
                assert!(has_new(site, &all(dir.path())), "{what}");
            }
        }
    }
    // Four places have a file that is there, four make a new one.
    assert_eq!(count, ERRORS.len() * (4 * 6 + 4 * 5));
}

#[test]
fn a_kill_before_each_step_of_each_place_leaves_old_or_new_whole() {
    for site in &SITES {
        let dir = prepared(site);
        let before = without_signs(all(dir.path()));
        let mut watch = Fault {
            dir: dir.path(),
            fails: None,
            seen: vec![],
        };
        (site.write)(dir.path(), &mut watch).expect(site.what);
        let after = without_signs(all(dir.path()));
        assert!(has_new(site, &after) && after != before, "{}", site.what);
        let seen = watch.seen;
        assert!(seen.len() >= 5, "{}", site.what);
        for (step, files) in seen {
            let is_in_place = step == "sync folder";
            let wanted = if is_in_place { &after } else { &before };
            assert_eq!(&without_signs(files), wanted, "{}, {step}", site.what);
        }
    }
}

#[test]
fn every_place_that_writes_is_in_the_table() {
    const WRITING: [&str; 12] = [
        "save::create(",
        "save::replace(",
        "save::create_held(",
        "save::replace_held(",
        "For::Writing",
        "fs::write(",
        "fs::copy(",
        "fs::rename(",
        "File::create",
        "create_new(",
        ".append(true)",
        "set_len(",
    ];
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut unknown = vec![];
    let mut met = vec![false; SITES.len() + ELSEWHERE.len()];
    for (path, raw) in all(&root) {
        let text = String::from_utf8(raw).expect("a source");
        // What tests of a file do with files is their own affair.
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        let name = path.to_string_lossy().into_owned();
        for line in code
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"))
        {
            if name == "edge/save.rs" || !WRITING.iter().any(|call| line.contains(call)) {
                continue;
            }
            let sites = SITES.iter().map(|site| site.at).chain(ELSEWHERE);
            let mut is_known = false;
            for (place, (file, call)) in sites.enumerate() {
                if file == name && line.contains(call) {
                    met[place] = true;
                    is_known = true;
                }
            }
            if !is_known {
                unknown.push(format!("{name}: {}", line.trim()));
            }
        }
    }
    assert!(unknown.is_empty(), "in no table: {unknown:#?}");
    assert!(met.iter().all(|met| *met), "gone from the sources: {met:?}");
}

// A sign of life that could not be given costs a better guess, and never the old sign.
#[test]
fn a_sign_of_life_that_fails_leaves_the_one_before() {
    let dir = tempfile::tempdir().expect("a folder");
    let record = dir.path().join("plate.toml");
    let first = DateTime::UNIX_EPOCH.fixed_offset();
    alive::touch(&record, first, &mut save::Unwatched).expect("given");
    let mut fault = Fault {
        dir: dir.path(),
        fails: Some((alive::STEP, 28)),
        seen: vec![],
    };
    let later = first + chrono::TimeDelta::seconds(10);
    assert!(alive::touch(&record, later, &mut fault).is_err());
    assert_eq!(alive::read(&record), Some(first));
    alive::touch(&record, later, &mut save::Unwatched).expect("given");
    assert_eq!(alive::read(&record), Some(later));
}

/// What a kill left, read as the program reads it: whole, with all that was confirmed.
fn survives(left: &Path, confirmed: &[String], what: &str) {
    let store = Store::open(left).expect("a folder");
    let listed = store.list().expect("it is listed");
    assert_eq!(listed.len(), 1, "{what}");
    let path = &listed[0].path;
    assert!(listed[0].summary.is_ok(), "{what}: {:?}", listed[0].summary);
    store::load(path, Cautions::default(), at(0, 0)).expect(what);
    holds(path, confirmed);
    assert!(fs::metadata(path).expect("a record").len() < read::LONGEST as u64);
}

#[test]
fn a_kill_before_each_step_of_each_save_loses_nothing_that_was_confirmed() {
    for slow_ms in [0, 20] {
        let folder = tempfile::tempdir().expect("a folder");
        let copies = tempfile::tempdir().expect("a folder");
        let mut running = Running::demo(folder.path());
        running.slow(std::time::Duration::from_millis(slow_ms));
        running.plan.lock().expect("the plan").copies = Some(Copies {
            of: folder.path().to_owned(),
            to: copies.path().to_owned(),
            made: vec![],
            confirmed: 0,
        });
        // Confirmed one by one, then three that come while the save before them runs.
        for text in ["one", "two", "three"] {
            running.note(text);
            running.quiet();
        }
        for text in ["four", "five", "six"] {
            running.note(text);
        }
        running.quiet();
        let all_notes = running.confirmed.clone();
        let made = {
            let mut plan = running.plan.lock().expect("the plan");
            plan.copies.take().expect("copies").made
        };
        running.end().expect("everything is saved");
        let mut steps: Vec<&str> = made.iter().map(|(step, _)| step.as_str()).collect();
        assert!(steps.len() >= 5 * 7, "{steps:?}");
        for (place, (step, confirmed)) in made.iter().enumerate() {
            let left = copies.path().join(place.to_string());
            let confirmed = &all_notes[..*confirmed];
            let what = format!("kill {place} before {step}, {slow_ms} ms");
            survives(&left, confirmed, &what);
            if step != "sync" {
                continue;
            }
            // Or in the middle of writing: half of the text is in the new file.
            let entries = fs::read_dir(&left).expect("a folder");
            let mut names = entries.map(|entry| entry.expect("an entry").path());
            let half = names.find(|path| path.to_string_lossy().ends_with(".tmp"));
            let half = half.expect(&what);
            let raw = fs::read(&half).expect("a file");
            fs::write(&half, &raw[..raw.len() / 2]).expect("written");
            survives(&left, confirmed, &format!("{what}, half written"));
            // The program goes on from it.
            let mut again = Running::start(&left);
            let path = Store::open(&left)
                .expect("a folder")
                .list()
                .expect("listed")[0]
                .path
                .clone();
            let load = vec![millside::app::effect::Effect::Load(path)];
            again.outside.carry_out(&mut again.model, load);
            again.until("it is open", |model| model.work.is_some());
            again.note("after the kill");
            again.quiet();
            let mut wanted = confirmed.to_vec();
            wanted.push("after the kill".to_owned());
            holds(&again.path(), &wanted);
            again.end().expect("everything is saved");
        }
        steps.sort_unstable();
        steps.dedup();
        let mut wanted: Vec<&str> = [held::STEPS[0]].into_iter().chain(save::STEPS).collect();
        wanted.sort_unstable();
        assert_eq!(steps, wanted, "each step was met");
    }
}
