//! What interrupts a person and a terminal: the session and its clock come out of it right.

#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;
use std::process::Command;

use terminal::Terminal;

fn record(home: &Path) -> String {
    let folder = home.join("millside/sessions");
    let path = fs::read_dir(folder)
        .expect("the folder of sessions")
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .find(|path| path.extension().is_some_and(|end| end == "toml"))
        .expect("a record");
    fs::read_to_string(path).expect("text")
}

/// Three of the four lines before power answered.
fn in_the_middle(home: &Path) -> Terminal {
    let mut t = Terminal::start(home, &[], 80, 24);
    t.see("the demo job");
    t.press("\r");
    t.see("THE DEMO JOB");
    t.press("\r");
    t.see("OPERATIONS OF");
    t.press("66");
    t.see("BEFORE POWER   0 of 4");
    for done in 1..=3 {
        std::thread::sleep(std::time::Duration::from_millis(1050));
        t.send("1");
        t.see(&format!("BEFORE POWER   {done} of 4"));
    }
    t.settle();
    t
}

fn signal(t: &Terminal, name: &str) {
    let id = t.process_id().to_string();
    let sent = Command::new("kill").args(["-s", name, &id]).status();
    assert!(sent.is_ok_and(|status| status.success()), "{name}");
}

#[test]
fn a_killed_program_opens_where_the_list_stopped_one_line_back() {
    let home = tempfile::tempdir().expect("a folder");
    let t = in_the_middle(home.path());
    t.kill();
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("UNFINISHED");
    t.press("\r");
    t.see("STOPPED AT 3 of 4");
    t.see("2 of 4 answered, 2 open");
    t.see("the list stopped after this line");
    t.send("q");
    assert_eq!(t.end(), 0);
    assert!(record(home.path()).contains("because = \"list-interrupted\""));
}

#[test]
fn a_terminal_that_hangs_up_leaves_the_record_whole() {
    let home = tempfile::tempdir().expect("a folder");
    let t = in_the_middle(home.path());
    signal(&t, "HUP");
    let mut t = t;
    t.wait_for_end();
    let text = record(home.path());
    assert!(text.trim_end().ends_with("complete = true"), "{text}");
    assert_eq!(text.matches(", shown = ").count(), 3);
}

#[test]
fn a_program_out_of_the_background_says_where_the_list_stopped() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = in_the_middle(home.path());
    t.send("\x1a");
    assert!(
        t.wait_until(std::time::Duration::from_secs(10), |t| !t.is_full_screen()),
        "{}",
        t.screen()
    );
    t.wait_until_stopped();
    signal(&t, "CONT");
    t.see("STOPPED AT 3 of 4");
    t.see("2 of 4 answered, 2 open");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_window_that_is_too_small_loses_no_answer() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = in_the_middle(home.path());
    t.resize(40, 12);
    t.see("too small");
    t.see("clock off");
    t.resize(80, 24);
    t.see("BEFORE POWER   3 of 4");
    t.send("q");
    assert_eq!(t.end(), 0);
}
