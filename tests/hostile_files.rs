//! What lies on the disk and is no file of ours: pipes, devices, folders, sockets, links that lead out of a folder.
//! Nothing of it may hold the program up, be read without end, or be written to.

#![cfg(unix)]

#[path = "support/terminal.rs"]
mod terminal;

use std::ffi::OsStr;
use std::fs;
use std::fs::File;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::symlink;
use std::os::unix::net::UnixListener;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;
use std::process::Stdio;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use chrono::DateTime;

use millside::edge::alive;
use millside::edge::care;
use millside::edge::lock;
use millside::edge::open;
use millside::edge::said;
use millside::edge::save;
use millside::edge::save::Unwatched;
use millside::measure::legible::Letters;
use millside::measure::legible::Sizes;
use terminal::Terminal;

/// A program that has not ended by then waits for something that never comes.
const DEADLINE: Duration = Duration::from_secs(30);

const PROGRAM: &str = "G21 G90\nG0 X0 Y0 Z5\nM3 S6000\nG1 Z-1 F100\nG0 Z5\nM30\n";

fn pipe(path: &Path) {
    let made = Command::new("mkfifo").arg(path).status();
    assert!(made.expect("mkfifo is there").success());
}

/// One of each kind, with a word of what is said of it.
fn odd_files(dir: &Path) -> Vec<(PathBuf, &'static str)> {
    let at = |name: &str| dir.join(name);
    pipe(&at("pipe"));
    fs::create_dir(at("folder")).expect("a folder");
    UnixListener::bind(at("socket")).expect("a socket");
    symlink(at("loop"), at("loop")).expect("a link");
    symlink("/dev/zero", at("link-to-device")).expect("a link");
    symlink(at("pipe"), at("link-to-pipe")).expect("a link");
    vec![
        (at("pipe"), "it is a pipe"),
        (at("folder"), "it is a folder"),
        (at("socket"), "it is a socket"),
        (at("loop"), "symbolic links"),
        (at("link-to-device"), "it is a device"),
        (at("link-to-pipe"), "it is a pipe"),
        ("/dev/zero".into(), "it is a device"),
    ]
}

fn run(home: &Path, arguments: &[&str]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(arguments)
        .current_dir(home)
        .env("HOME", home)
        .env("XDG_DATA_HOME", home)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let begun = Instant::now();
    while child.try_wait().expect("it is a child of ours").is_none() {
        if begun.elapsed() > DEADLINE {
            child.kill().expect("it can be ended");
            panic!("millside {arguments:?} does not end");
        }
        thread::sleep(Duration::from_millis(2));
    }
    child.wait_with_output().expect("its output")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

/// Makes a session and gives its record.
fn record(home: &Path) -> PathBuf {
    let made = run(home, &["new", "--title", "base plate"]);
    assert!(made.status.success(), "{made:?}");
    let path = String::from_utf8(made.stdout).expect("text");
    PathBuf::from(path.lines().next().expect("a path"))
}

#[test]
fn no_command_waits_for_what_is_no_file() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    fs::write(home.join("good.nc"), PROGRAM).expect("written");
    let good = record(home);
    let good = text(&good);
    for (path, what) in odd_files(home) {
        let odd = text(&path);
        for arguments in [
            vec!["check", odd],
            vec!["check", "good.nc", "--session", odd],
            vec!["time", odd],
            vec!["time", "--calibrate", odd],
            vec!["diff", odd, good],
            vec!["diff", good, odd],
            vec!["new", "--program", odd],
            vec!["profile", "check", odd],
        ] {
            let output = run(home, &arguments);
            let said = String::from_utf8_lossy(&output.stderr);
            assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
            assert!(said.contains(what), "{arguments:?}: {said}");
            assert!(
                said.contains(odd),
                "{arguments:?} without its place: {said}"
            );
        }
    }
}

#[test]
fn what_is_read_whole_has_a_limit() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    fs::write(home.join("good.nc"), PROGRAM).expect("written");
    let good = record(home);
    // No disk is needed for it: nothing was written into it.
    let long = home.join("long.toml");
    File::create(&long)
        .and_then(|file| file.set_len(1 << 40))
        .expect("a file of a TiB");
    for arguments in [
        vec!["check", "good.nc", "--session", "long.toml"],
        vec!["time", "--calibrate", "long.toml"],
        vec!["diff", "long.toml", text(&good)],
        vec!["profile", "check", "long.toml"],
    ] {
        let output = run(home, &arguments);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains("MiB, the most that is read"), "{said}");
    }
    fs::write(&long, [b'#'; 1000]).expect("written");
    assert!(open::whole(&long, 1000).is_ok());
    assert!(open::whole(&long, 999).is_err());
    // Files of the system tell no size.
    assert!(open::whole(Path::new("/proc/self/maps"), 10).is_err());
}

#[test]
fn an_odd_file_among_the_profiles_or_logs_is_told_and_the_rest_is_used() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    let tools = home.join("millside/profiles/tools");
    let logs = home.join("millside/care");
    fs::create_dir_all(&tools).expect("a folder");
    fs::create_dir_all(&logs).expect("a folder");
    pipe(&tools.join("own.toml"));
    symlink("/dev/zero", tools.join("zero.toml")).expect("a link");
    pipe(&logs.join("bench-mill.toml"));
    fs::write(home.join("good.nc"), PROGRAM).expect("written");
    let output = run(home, &["profile", "check"]);
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(
        said.contains("own.toml") && said.contains("it is a pipe"),
        "{said}"
    );
    assert!(
        said.contains("zero.toml") && said.contains("it is a device"),
        "{said}"
    );
    let output = run(home, &["check", "good.nc", "--machine", "bench-mill"]);
    assert_ne!(output.status.code(), Some(2), "{output:?}");
    let output = run(home, &["recipe", "--help"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
}

#[test]
fn pipes_beside_the_records_do_not_stop_the_list_of_jobs() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    let good = record(home);
    let sessions = good.parent().expect("a folder");
    let name = good.file_name().expect("a name").to_string_lossy();
    pipe(&sessions.join(format!(".{name}.alive")));
    pipe(&sessions.join("2026-pipe.toml"));
    symlink("/dev/zero", sessions.join("2026-zero.toml")).expect("a link");
    let mut t = Terminal::start(home, &[], 120, 40);
    t.see("UNFINISHED");
    t.see("2026-pipe.toml: it is a pipe");
    t.see("2026-zero.toml: it is a device");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_pipe_as_the_program_is_refused_on_the_screen() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    pipe(&home.join("p.nc"));
    let mut t = Terminal::start(home, &[], 120, 40);
    t.see("a job from a G-code program");
    t.press("\x1b[B");
    t.press("\r");
    t.see("A JOB FROM A PROGRAM");
    t.press("\r");
    t.send("p.nc\r");
    t.see("it is a pipe");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_record_whose_name_is_no_utf_8_opens_and_keeps_its_own_lock() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    let good = record(home);
    let odd = good.with_file_name(OsStr::from_bytes(b"2026-\xff\x9b.toml"));
    fs::rename(&good, &odd).expect("renamed");
    let mut t = Terminal::start(home, &[], 120, 40);
    t.see("UNFINISHED");
    t.press("\r");
    t.see("OPERATIONS OF");
    assert!(!t.screen().contains("only read"), "{}", t.screen());
    let lock = odd.with_file_name(OsStr::from_bytes(b".2026-\xff\x9b.toml.lock"));
    assert!(lock.exists());
    t.send("q");
    t.end();
}

/// The text of a file of the person's that a link leads to.
const PRECIOUS: &str = "do not touch";

#[test]
fn heartbeat_and_lock_go_through_no_link() {
    let dir = tempfile::tempdir().expect("a folder");
    let record = dir.path().join("a.toml");
    fs::write(&record, "record").expect("written");
    let target = dir.path().join("precious");
    let absent = dir.path().join("absent");
    let now = DateTime::UNIX_EPOCH.fixed_offset();
    for ending in ["alive", "lock"] {
        let planted = dir.path().join(format!(".a.toml.{ending}"));
        let refused = |why: &str| {
            let refusal = match ending {
                "alive" => alive::touch(&record, now, &mut Unwatched).err(),
                _ => lock::lock(&record).map(|_| ()).err(),
            };
            let said = refusal.expect("it is refused").to_string();
            assert!(said.contains(why), "{ending}: {said}");
            assert!(alive::read(&record).is_none());
        };
        fs::write(&target, PRECIOUS).expect("written");
        symlink(&target, &planted).expect("a link");
        refused("it is a link");
        fs::remove_file(&planted).expect("removed");
        symlink(&absent, &planted).expect("a link");
        refused("it is a link");
        assert!(!absent.exists(), "{ending} made a file through a link");
        fs::remove_file(&planted).expect("removed");
        // An archive can carry a second name of a file, too.
        fs::hard_link(&target, &planted).expect("a second name");
        refused("a second name");
        assert_eq!(fs::read_to_string(&target).expect("read"), PRECIOUS);
        fs::remove_file(&planted).expect("removed");
        pipe(&planted);
        refused("it is a pipe");
        fs::remove_file(&planted).expect("removed");
    }
    // With nothing in the way both work.
    alive::touch(&record, now, &mut Unwatched).expect("a sign of life");
    assert_eq!(alive::read(&record), Some(now));
    assert!(lock::lock(&record).is_ok());
}

#[test]
fn log_and_sizes_are_never_written_through_a_link_to_something_else() {
    let dir = tempfile::tempdir().expect("a folder");
    let target = dir.path().join("precious");
    let absent = dir.path().join("absent");
    let sizes = Sizes::from([((80, 24), Letters::Plain)]);
    for text in [PRECIOUS, ""] {
        fs::write(&target, text).expect("written");
        symlink(&target, dir.path().join("screen.toml")).expect("a link");
        symlink(&target, dir.path().join("mill.toml")).expect("a link");
        assert!(
            said::keep(dir.path(), &sizes, &mut Unwatched).is_err(),
            "{text:?}"
        );
        assert!(
            care::add(dir.path(), "mill", &mut Unwatched, |_| vec![]).is_err(),
            "{text:?}"
        );
        assert_eq!(fs::read_to_string(&target).expect("read"), text);
        for name in ["screen.toml", "mill.toml"] {
            fs::remove_file(dir.path().join(name)).expect("removed");
        }
    }
    symlink(&absent, dir.path().join("screen.toml")).expect("a link");
    assert!(said::keep(dir.path(), &sizes, &mut Unwatched).is_err());
    assert!(!absent.exists());
}

#[test]
fn a_new_record_takes_the_place_of_no_link() {
    let dir = tempfile::tempdir().expect("a folder");
    let target = dir.path().join("precious");
    fs::write(&target, PRECIOUS).expect("written");
    let planted = dir.path().join("a.toml");
    symlink(&target, &planted).expect("a link");
    assert!(save::create(&planted, "record", &mut Unwatched).is_err());
    assert_eq!(fs::read_to_string(&target).expect("read"), PRECIOUS);
}

#[test]
fn a_record_whose_name_is_no_utf_8_is_taken_by_every_command() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    let good = record(home);
    let odd = home.join(OsStr::from_bytes(b"plate-\xff.toml"));
    fs::copy(&good, &odd).expect("copied");
    let program = home.join(OsStr::from_bytes(b"plate-\xff.nc"));
    fs::write(&program, PROGRAM).expect("written");
    let millside = |arguments: &[&OsStr]| {
        Command::new(env!("CARGO_BIN_EXE_millside"))
            .args(arguments)
            .env("XDG_DATA_HOME", home)
            .output()
            .expect("the program runs")
    };
    let same = millside(&["diff".as_ref(), good.as_ref(), odd.as_ref()]);
    assert_eq!(same.status.code(), Some(0), "{same:?}");
    let checked = millside(&["check".as_ref(), program.as_ref()]);
    assert!(checked.stderr.is_empty(), "{checked:?}");
    assert!(String::from_utf8(checked.stdout).is_ok(), "it is escaped");
    // A record could not lead to it again: refused, and nothing is made.
    let before = fs::read_dir(home).expect("a folder").count();
    let refused = millside(&["new".as_ref(), "--program".as_ref(), program.as_ref()]);
    assert_eq!(refused.status.code(), Some(2), "{refused:?}");
    let words = String::from_utf8(refused.stderr).expect("it is escaped");
    assert!(
        words.contains("no UTF-8") && words.contains("another name"),
        "{words}"
    );
    assert_eq!(fs::read_dir(home).expect("a folder").count(), before);
    let program = env!("CARGO_BIN_EXE_millside");
    let arguments: [&OsStr; 2] = ["open".as_ref(), odd.as_ref()];
    let mut t = Terminal::start_program(program, home, &arguments, 120, 40, &[]);
    t.see("base plate");
    t.see("OPERATIONS OF");
    t.send("q");
    assert_eq!(t.end(), 0);
}
