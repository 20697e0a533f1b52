//! The real program in a pseudo-terminal, ended in every way that can be handled: the terminal is given back,
//! nothing confirmed is lost, and what could not be saved is said.

#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::thread;
use std::time::Duration;

use terminal::Terminal;
use terminal::record;

/// The demo job with one note in it.
fn noted(home: &Path) -> Terminal {
    let mut t = Terminal::start(home, &[], 80, 24);
    t.see("the demo job");
    t.press("\r");
    t.see("THE DEMO JOB");
    t.press("\r");
    t.see("OPERATIONS OF");
    t.press("/");
    t.see("A NOTE");
    t.enter("chips look fine");
    t.see("noted");
    t.settle();
    t
}

fn signal(t: &Terminal, name: &str) {
    let id = t.process_id().to_string();
    let sent = Command::new("kill").args(["-s", name, &id]).status();
    assert!(sent.is_ok_and(|status| status.success()), "{name}");
}

fn is_given_back(raw: &[u8]) -> bool {
    // Bracketed paste off, second screen left, cursor shown: the private modes of xterm that were set.
    let raw = String::from_utf8_lossy(raw);
    let last = |off: &str, on: &str| raw.rfind(off) > raw.rfind(on);
    last("\u{1b}[?1049l", "\u{1b}[?1049h")
        && last("\u{1b}[?2004l", "\u{1b}[?2004h")
        && last("\u{1b}[?25h", "\u{1b}[?25l")
}

/// The signals that end a program and can be handled, without those of a fault in it.
const SIGNALS: &[&str] = &[
    "HUP",
    "INT",
    "QUIT",
    "TERM",
    "USR1",
    "USR2",
    "ALRM",
    "VTALRM",
    "PROF",
    "ABRT",
    "XCPU",
    "IO",
    "TRAP",
    #[cfg(target_os = "linux")]
    "PWR",
    #[cfg(target_os = "linux")]
    "STKFLT",
    #[cfg(target_os = "linux")]
    "SYS",
];

#[test]
fn every_signal_that_can_be_handled_gives_the_terminal_back_and_saves() {
    for name in SIGNALS {
        let home = tempfile::tempdir().expect("a folder");
        let mut t = noted(home.path());
        assert!(!t.has_modes_from_before(), "it reads single keys");
        let path = record(home.path());
        signal(&t, name);
        t.wait_for_end();
        t.settle();
        assert!(is_given_back(t.raw()), "{name}");
        assert!(t.has_modes_from_before(), "{name}");
        assert_eq!(t.end(), 0, "{name}");
        let text = fs::read_to_string(&path).expect("a record");
        assert!(text.contains("chips look fine"), "{name}");
    }
}

#[test]
fn a_closed_terminal_ends_the_program_without_an_abort_and_saves() {
    let home = tempfile::tempdir().expect("a folder");
    let t = noted(home.path());
    let path = record(home.path());
    // Standard error is the terminal too: there is nowhere left to write to.
    let end = t.close();
    assert!(end.is_ok(), "{end:?}");
    let text = fs::read_to_string(&path).expect("a record");
    assert!(text.contains("chips look fine"), "{text}");
}

/// The folder of sessions, out of the way: every save fails until it is back.
struct Away {
    folder: PathBuf,
    away: PathBuf,
}

impl Away {
    fn take(home: &Path) -> Self {
        let folder = home.join("millside/sessions");
        let away = home.join("millside/away");
        fs::rename(&folder, &away).expect("the folder can be moved");
        Self { folder, away }
    }

    fn put_back(&self) {
        fs::rename(&self.away, &self.folder).expect("the folder can be moved");
    }
}

fn note_unsaved(t: &mut Terminal) {
    t.press("/");
    t.see("A NOTE");
    t.enter("not on the disk");
    t.see("NOT SAVED: the folder is gone; put it back.");
}

#[test]
fn leaving_while_the_disk_fails_asks_and_goes_by_itself_once_it_is_saved() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = noted(home.path());
    let path = record(home.path());
    let away = Away::take(home.path());
    note_unsaved(&mut t);
    t.send("q");
    t.see("QUIT WITHOUT SAVING?");
    away.put_back();
    assert_eq!(t.end(), 0);
    let text = fs::read_to_string(&path).expect("a record");
    assert!(text.contains("not on the disk"), "{text}");
}

#[test]
fn who_leaves_without_saving_gets_a_message_and_exit_code_two() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = noted(home.path());
    let _away = Away::take(home.path());
    note_unsaved(&mut t);
    t.send("\x03");
    t.see("QUIT WITHOUT SAVING?");
    t.send("9");
    t.wait_for_end();
    t.settle();
    let raw = String::from_utf8_lossy(t.raw()).into_owned();
    assert!(
        raw.contains("millside: could not save the last answers"),
        "{raw}"
    );
    assert!(is_given_back(t.raw()) && t.has_modes_from_before());
    assert_eq!(t.end(), 2);
}

#[test]
fn a_signal_while_the_disk_fails_says_so_and_ends_with_two() {
    for name in ["TERM", "HUP", "INT"] {
        let home = tempfile::tempdir().expect("a folder");
        let mut t = noted(home.path());
        let away = Away::take(home.path());
        note_unsaved(&mut t);
        signal(&t, name);
        t.wait_for_end();
        t.settle();
        let raw = String::from_utf8_lossy(t.raw()).into_owned();
        assert!(raw.contains("could not save the last answers"), "{raw}");
        assert!(raw.contains("the folder is gone"), "{raw}");
        assert_eq!(t.end(), 2, "{name}");
        away.put_back();
        let text = fs::read_to_string(record(home.path())).expect("a record");
        assert!(text.contains("chips look fine"), "{text}");
    }
}

#[test]
fn a_closed_terminal_while_the_disk_fails_still_ends_in_order() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = noted(home.path());
    let away = Away::take(home.path());
    note_unsaved(&mut t);
    assert_eq!(t.close(), Ok(2));
    away.put_back();
    let text = fs::read_to_string(record(home.path())).expect("a record");
    assert!(text.contains("chips look fine"), "{text}");
}

#[test]
fn an_edit_from_outside_is_asked_about_on_the_screen_and_both_files_stay() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = noted(home.path());
    let path = record(home.path());
    let theirs = fs::read_to_string(&path)
        .expect("a record")
        .replace("chips look fine", "chips are blue");
    fs::write(&path, &theirs).expect("the record is writable");
    t.press("/");
    t.see("A NOTE");
    t.enter("second");
    t.see("THE FILE OF THIS SESSION WAS CHANGED");
    thread::sleep(Duration::from_millis(900));
    t.press("1");
    t.send("q");
    assert_eq!(t.end(), 0);
    assert_eq!(fs::read_to_string(&path).expect("a record"), theirs);
    let stem = path.file_stem().expect("a name").to_string_lossy();
    let ours = path.with_file_name(format!("{stem}-2.toml"));
    let text = fs::read_to_string(ours).expect("our record");
    assert!(text.contains("chips look fine") && text.contains("second"));
}
