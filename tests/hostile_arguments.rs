//! Arguments and names of files that carry what acts on a terminal: nothing of it comes out as it is, wherever it
//! was put in. A name of a file is chosen by whoever made the file, and `millside check *` takes what is there.

#![cfg(unix)]

#[path = "support/terminal.rs"]
mod terminal;

use std::ffi::OsStr;
use std::ffi::OsString;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Command;
use std::process::Output;

use clap::CommandFactory;

use millside::cli::Cli;
use millside::plain;
use terminal::Terminal;

/// ESC, C1, DEL, a turn of the reading direction, what nobody sees, a separator, a second line that looks like ours.
const HOSTILE: &str = "a\u{1b}[2J\u{9b}31m\u{7f}\u{202e}\u{200b}\u{2028}\nforged: b\rc";

/// The same as bytes that are no UTF-8: a terminal may take a single byte for a C1.
const BYTES: &[u8] = b"a\x9b31m\x90\xff\x1b[2J\nforged: b";

const PROGRAM: &str = "G21 G90\nG0 X0 Y0 Z5\nM3 S6000\nG1 Z-1 F100\nG0 Z5\nM30\n";

fn both() -> [OsString; 2] {
    [OsString::from(HOSTILE), OsStr::from_bytes(BYTES).to_owned()]
}

fn run(home: &Path, arguments: &[OsString]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(arguments)
        .current_dir(home)
        .env("HOME", home)
        .env("XDG_DATA_HOME", home)
        .output()
        .expect("the program starts")
}

/// What came out is text, with nothing in it that acts or hides, and no line that an argument made.
fn is_plain(output: &Output, arguments: &[OsString]) {
    for stream in [&output.stdout, &output.stderr] {
        let text = std::str::from_utf8(stream)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {stream:?}"));
        let odd = text.chars().find(|c| *c != '\n' && plain::is_hidden(*c));
        assert_eq!(odd, None, "{arguments:?}: {text:?}");
        for line in text.lines() {
            assert!(
                !line.trim_start().starts_with("forged"),
                "{arguments:?}: {text}"
            );
        }
    }
}

/// Every command with the words that lead to it, subcommands of subcommands included.
fn commands(
    command: &clap::Command,
    before: &[String],
    out: &mut Vec<(Vec<String>, clap::Command)>,
) {
    out.push((before.to_vec(), command.clone()));
    for below in command
        .get_subcommands()
        .filter(|below| below.get_name() != "help")
    {
        let mut words = before.to_vec();
        words.push(below.get_name().to_owned());
        commands(below, &words, out);
    }
}

/// Each argument list of each command that has something hostile at one place.
fn lists(hostile: &OsStr) -> Vec<Vec<OsString>> {
    let mut all = vec![];
    commands(&Cli::command(), &[], &mut all);
    let mut lists = vec![];
    for (words, command) in all {
        let words: Vec<OsString> = words.into_iter().map(OsString::from).collect();
        let with = |more: &[OsString]| [words.as_slice(), more].concat();
        let joined = |before: &str| {
            let mut text = OsString::from(before);
            text.push(hostile);
            text
        };
        // As a command, a value too many, an option that is none, before and behind what is needed.
        for odd in [joined(""), joined("--"), joined("-"), joined("--json=")] {
            lists.push(with(std::slice::from_ref(&odd)));
            lists.push([std::slice::from_ref(&odd), words.as_slice()].concat());
            lists.push(with(&[
                "good.nc".into(),
                "good.nc".into(),
                "good.nc".into(),
                odd,
            ]));
        }
        let needed: Vec<&clap::Arg> = command
            .get_arguments()
            .filter(|argument| argument.is_required_set())
            .collect();
        for argument in command.get_arguments() {
            let mut list = words.clone();
            for other in needed
                .iter()
                .filter(|other| other.get_id() != argument.get_id())
            {
                list.extend(
                    other
                        .get_long()
                        .map(|long| OsString::from(format!("--{long}"))),
                );
                list.push("good.nc".into());
            }
            let value = |text: OsString| [list.as_slice(), std::slice::from_ref(&text)].concat();
            match argument.get_long() {
                Some(long) => {
                    lists.push(value(joined(&format!("--{long}="))));
                    // Such as 1=TOOL, where the part behind is free.
                    lists.push(value(joined(&format!("--{long}=1="))));
                }
                None => lists.push(value(joined(""))),
            }
        }
    }
    lists
}

#[test]
fn no_argument_of_any_command_comes_out_as_it_is() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("good.nc"), PROGRAM).expect("written");
    let mut refused = 0;
    for hostile in both() {
        for arguments in lists(&hostile) {
            let output = run(dir.path(), &arguments);
            is_plain(&output, &arguments);
            refused += u32::from(output.status.code() == Some(2));
        }
    }
    assert!(
        refused > 100,
        "only {refused} were refused: the table misses"
    );
}

#[test]
fn the_name_of_a_file_comes_out_escaped_wherever_it_is_told() {
    let dir = tempfile::tempdir().expect("a folder");
    let home = dir.path();
    for name in both() {
        let begin = |words: &[&str], more: &[OsString]| -> Vec<OsString> {
            let words = words.iter().map(OsString::from);
            words.chain(more.iter().cloned()).collect()
        };
        fs::write(home.join(&name), PROGRAM).expect("written");
        let mut folder = OsString::from("--sessions=");
        folder.push(&name);
        folder.push(".d");
        let one = std::slice::from_ref(&name);
        let made = begin(&["new", "--title", "plate"], std::slice::from_ref(&folder));
        let twice = [name.clone(), name.clone()];
        for arguments in [
            begin(&["check"], one),
            begin(&["check", "--json"], one),
            begin(&["check"], &twice),
            begin(&["time"], one),
            begin(&["time", "--calibrate"], one),
            begin(&["diff"], &twice),
            begin(&["profile", "check"], one),
            begin(&["profile", "check", "--json"], one),
            begin(&["new", "--program"], one),
            begin(&["new", "--json", "--program"], one),
            made,
        ] {
            let output = run(home, &arguments);
            is_plain(&output, &arguments);
        }
        // A line of the file with a fault is shown with the name.
        fs::write(
            home.join(&name),
            format!(
                "format = 1\n[[tool]]\nname = {HOSTILE:?}\nx = \"{}\u{202e}\"\n",
                "é".repeat(90)
            ),
        )
        .expect("written");
        let arguments = begin(&["profile", "check"], one);
        let output = run(home, &arguments);
        assert_eq!(output.status.code(), Some(1), "{output:?}");
        is_plain(&output, &arguments);
    }
}

#[test]
fn the_name_that_the_program_is_called_by_is_not_repeated() {
    let dir = tempfile::tempdir().expect("a folder");
    for arguments in [["--help"], ["check"], ["--version"]] {
        let output = Command::new(env!("CARGO_BIN_EXE_millside"))
            .arg0(HOSTILE)
            .args(arguments)
            .env("XDG_DATA_HOME", dir.path())
            .output()
            .expect("the program starts");
        is_plain(&output, &arguments.map(OsString::from));
    }
}

#[test]
fn on_a_terminal_a_usage_error_is_as_plain() {
    let dir = tempfile::tempdir().expect("a folder");
    let mut t = Terminal::start(dir.path(), &["check", "x", HOSTILE], 120, 40);
    t.see("For more information");
    let text = String::from_utf8_lossy(t.raw()).into_owned();
    let odd = text
        .chars()
        .find(|c| !"\r\n".contains(*c) && plain::is_hidden(*c));
    assert_eq!(odd, None, "{text:?}");
    assert!(text.contains("a\\u{1b}[2J\\u{9b}31m"), "{text}");
    assert_eq!(t.end(), 2);
}
