//! The real program in a pseudo-terminal: what it takes over, it gives back; what it reads, it does not trust.

#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;
use std::path::PathBuf;

use terminal::Terminal;

fn records(home: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(home.join("millside/sessions"))
        .map(|dir| {
            dir.filter_map(Result::ok)
                .map(|entry| entry.path())
                .collect()
        })
        .unwrap_or_default();
    files.retain(|path| path.extension().is_some_and(|end| end == "toml"));
    files.sort();
    files
}

fn begin_demo(home: &Path) -> Terminal {
    let mut t = Terminal::start(home, &[], 80, 24);
    t.see("the demo job");
    t.press("\r");
    t.see("THE DEMO JOB");
    t.press("\r");
    t.see("OPERATIONS OF");
    t
}

#[test]
fn it_takes_the_screen_and_gives_it_back() {
    let home = tempfile::tempdir().unwrap();
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("No job yet");
    assert!(t.is_full_screen());
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn without_a_terminal_it_says_so_and_ends_with_two() {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_millside"))
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let words = String::from_utf8(output.stderr).unwrap();
    assert!(words.contains("no terminal"), "{words}");
}

#[test]
fn a_new_job_is_on_disk_before_the_first_answer_and_opens_where_it_stopped() {
    let home = tempfile::tempdir().unwrap();
    let mut t = begin_demo(home.path());
    assert_eq!(records(home.path()).len(), 1);
    t.press("6");
    t.see("THE BLANK AS MEASURED");
    t.press("\r");
    t.see("sets the first pass");
    t.kill();
    let text = fs::read_to_string(&records(home.path())[0]).unwrap();
    assert!(text.contains("120 mm"), "{text}");
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("UNFINISHED");
    t.see("stock");
    t.press("\r");
    t.see("THE BLANK AS MEASURED");
    t.see("x stock X, left to right");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_second_program_opens_the_job_only_to_read_and_says_so() {
    let home = tempfile::tempdir().unwrap();
    let mut first = begin_demo(home.path());
    let before = fs::read_to_string(&records(home.path())[0]).unwrap();
    let record = records(home.path())[0].to_string_lossy().into_owned();
    let mut second = Terminal::start(home.path(), &["open", &record], 80, 24);
    second.see("ONLY TO READ");
    second.press("6");
    second.press("6");
    second.see("BEFORE POWER");
    std::thread::sleep(std::time::Duration::from_millis(800));
    second.press("1");
    second.see("only to read here");
    second.send("q");
    assert_eq!(second.end(), 0);
    assert_eq!(
        fs::read_to_string(&records(home.path())[0]).unwrap(),
        before
    );
    first.press("6");
    first.see("THE BLANK AS MEASURED");
    first.send("q");
    assert_eq!(first.end(), 0);
}

#[test]
fn no_color_means_no_colour_and_nothing_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let environment = [("NO_COLOR", "1")];
    let mut plain = Terminal::start_with(home.path(), &[], 80, 24, &environment);
    plain.see("the demo job");
    plain.press("\r\r");
    plain.see("OPERATIONS OF");
    assert!(!plain.has_colour());
    plain.send("q");
    assert_eq!(plain.end(), 0);
    let other = tempfile::tempdir().unwrap();
    let mut coloured = begin_demo(other.path());
    coloured.press("66");
    coloured.see("BEFORE POWER");
    assert!(coloured.has_colour());
    coloured.send("q");
    assert_eq!(coloured.end(), 0);
}

#[test]
fn a_window_that_is_too_small_says_so_and_comes_back() {
    let home = tempfile::tempdir().unwrap();
    let mut t = begin_demo(home.path());
    t.resize(40, 12);
    t.see("too small");
    t.see("clock off");
    t.resize(120, 40);
    t.see("SET AT THE MACHINE");
    t.resize(80, 24);
    t.see("OPERATIONS OF");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn ascii_only_means_ascii_only() {
    let home = tempfile::tempdir().unwrap();
    let environment = [("MILLSIDE_ASCII", "1")];
    let mut t = Terminal::start_with(home.path(), &[], 120, 40, &environment);
    t.see("the demo job");
    t.press("\r\r");
    t.see("OPERATIONS OF");
    t.press("6\r");
    t.see("from above");
    let screen = t.screen();
    assert!(screen.is_ascii(), "{screen}");
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn nothing_from_a_program_file_reaches_the_terminal_raw() {
    let home = tempfile::tempdir().unwrap();
    let hostile = "(\u{1b}[31mRED\u{1b}]0;owned\u{7} \u{202e}gnp.exe \u{200b}pocket)\nG21 G90\nT1 M6\n\
                   (\u{1b}[2J\u{9b}31m SECTION)\nS9000 M3\nG0 X0 Y0 Z5\nG1 Z-1 F100\nX20\nM30\n";
    fs::write(home.path().join("hostile.nc"), hostile).unwrap();
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("the demo job");
    t.press("2\r");
    t.see("A JOB FROM A PROGRAM");
    t.press("\r");
    t.enter("hostile.nc");
    t.see("section 1");
    t.press("222222");
    t.press("\r");
    t.see("OPERATIONS OF");
    let raw = String::from_utf8_lossy(t.raw()).into_owned();
    for bad in [
        "\u{1b}[31mRED",
        "\u{1b}]0;owned",
        "\u{202e}",
        "\u{200b}",
        "\u{9b}31m",
    ] {
        assert!(!raw.contains(bad), "{bad:?} reached the terminal");
    }
    assert!(t.screen().contains("\\u{1b}[31mRED"), "{}", t.screen());
    t.send("q");
    assert_eq!(t.end(), 0);
}

#[test]
fn a_broken_record_is_listed_with_its_fault_and_left_as_it_is() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("millside/sessions");
    fs::create_dir_all(&folder).unwrap();
    let broken = b"format = 1\ntitle = \"\xff\xfe\"\n";
    fs::write(folder.join("broken.toml"), broken).unwrap();
    let mut t = Terminal::start(home.path(), &[], 100, 30);
    t.see("COULD NOT BE READ");
    t.see("broken.toml");
    t.send("q");
    assert_eq!(t.end(), 0);
    assert_eq!(fs::read(folder.join("broken.toml")).unwrap(), broken);
}

#[test]
fn what_was_said_of_the_letters_is_known_the_next_time() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("millside/screen.toml");
    let question = "can you read them where you stand?";
    let mut t = begin_demo(home.path());
    t.press("66");
    t.see(question);
    t.press("8");
    t.press("\r");
    t.see("BIG LETTERS");
    t.press("1");
    t.see("good: kept");
    assert!(!t.screen().contains(question), "{}", t.screen());
    t.send("q");
    assert_eq!(t.end(), 0);
    let text = fs::read_to_string(&file).unwrap();
    assert!(
        text.contains("columns = 80, rows = 24, letters = \"plain\""),
        "{text}"
    );
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("UNFINISHED");
    t.press("\r");
    t.see("BEFORE POWER");
    assert!(!t.screen().contains(question), "{}", t.screen());
    t.resize(90, 30);
    t.see(question);
    t.send("q");
    assert_eq!(t.end(), 0);
    // A file that somebody broke is said, and stays as it is.
    let broken = text.replace("plain", "fancy");
    fs::write(&file, &broken).unwrap();
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("letters");
    t.see("fancy");
    t.see("UNFINISHED");
    t.press("\r");
    t.see(question);
    t.press("8");
    t.press("\r");
    t.see("BIG LETTERS");
    t.press("1");
    t.see("not kept for another time");
    t.send("q");
    assert_eq!(t.end(), 0);
    assert_eq!(fs::read_to_string(&file).unwrap(), broken);
}
