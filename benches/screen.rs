//! Start to first frame, key to screen, and saving, beside common terminal programs in the same run.
//!
//! `cargo bench --bench screen`. Prints medians in milliseconds; programs that are not there are left out.

#![allow(clippy::print_stdout)]

use std::fs;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use millside::edge::save;
use millside::edge::save::Unwatched;
use portable_pty::CommandBuilder;
use portable_pty::PtySize;
use portable_pty::native_pty_system;

const RUNS: usize = 15;

/// A screen counts as settled when nothing came for this long.
const QUIET: Duration = Duration::from_millis(60);

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Time from `begin` to the last byte before the screen fell quiet, in milliseconds.
fn settled(bytes: &Receiver<Instant>, begin: Instant) -> Option<f64> {
    let mut last = bytes.recv_timeout(Duration::from_secs(5)).ok()?;
    while let Ok(at) = bytes.recv_timeout(QUIET) {
        last = at;
    }
    Some((last - begin).as_secs_f64() * 1000.0)
}

/// First frame and key to screen of one program, in milliseconds.
fn one_run(home: &Path, program: &str, arguments: &[&str], keys: &[&str]) -> Option<(f64, f64)> {
    let size = PtySize {
        rows: 24,
        cols: 80,
        pixel_width: 0,
        pixel_height: 0,
    };
    let pair = native_pty_system().openpty(size).ok()?;
    let mut command = CommandBuilder::new(program);
    command.args(arguments);
    command.cwd(home);
    for name in ["HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"] {
        command.env(name, home);
    }
    command.env("TERM", "xterm-256color");
    command.env("LANG", "C.UTF-8");
    let mut reader = pair.master.try_clone_reader().ok()?;
    let mut writer = pair.master.take_writer().ok()?;
    let (sender, bytes) = channel();
    let begin = Instant::now();
    let mut child = pair.slave.spawn_command(command).ok()?;
    drop(pair.slave);
    thread::spawn(move || {
        let mut buffer = [0; 65536];
        while let Ok(read) = reader.read(&mut buffer) {
            if read == 0 || sender.send(Instant::now()).is_err() {
                break;
            }
        }
    });
    let first = settled(&bytes, begin)?;
    let mut key_times = vec![];
    for key in keys.iter().cycle().take(20) {
        let pressed = Instant::now();
        writer.write_all(key.as_bytes()).ok()?;
        writer.flush().ok()?;
        // The first byte that answers the key.
        let answer = bytes.recv_timeout(Duration::from_secs(1)).ok()?;
        key_times.push((answer - pressed).as_secs_f64() * 1000.0);
        while bytes.recv_timeout(Duration::from_millis(30)).is_ok() {}
    }
    let _ = child.kill();
    let _ = child.wait();
    Some((first, median(key_times)))
}

fn measure(home: &Path, name: &str, program: &str, arguments: &[&str], keys: &[&str]) {
    let runs: Vec<(f64, f64)> = (0..RUNS)
        .filter_map(|_| one_run(home, program, arguments, keys))
        .collect();
    if runs.is_empty() {
        println!("{name:<10} not here");
        return;
    }
    println!(
        "{name:<10} first frame settled {:>7.2} ms   key to screen {:>6.2} ms   ({} runs)",
        median(runs.iter().map(|r| r.0).collect()),
        median(runs.iter().map(|r| r.1).collect()),
        runs.len()
    );
}

fn saving(home: &Path) {
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/sessions");
    let record = fs::read_dir(sample).ok().and_then(|dir| {
        dir.filter_map(Result::ok)
            .map(|entry| entry.path())
            .find(|p| p.is_file())
    });
    let Some(text) = record.and_then(|path| fs::read_to_string(path).ok()) else {
        return;
    };
    let (safe, plain) = (home.join("safe.toml"), home.join("plain.toml"));
    let mut times = (vec![], vec![]);
    for _ in 0..60 {
        let begin = Instant::now();
        if save::replace(&safe, &text, &mut Unwatched).is_err() {
            return;
        }
        times.0.push(begin.elapsed().as_secs_f64() * 1000.0);
        let begin = Instant::now();
        if fs::write(&plain, &text).is_err() {
            return;
        }
        times.1.push(begin.elapsed().as_secs_f64() * 1000.0);
    }
    println!(
        "save       {:.1} kB, two fsyncs and a rename {:>7.2} ms   plain overwrite {:>6.2} ms",
        text.len() as f64 / 1000.0,
        median(times.0),
        median(times.1)
    );
}

fn main() {
    let Ok(home) = tempfile::tempdir() else {
        return;
    };
    let text: String = (0..2000).map(|line| format!("line {line}\n")).collect();
    let file = home.path().join("text");
    if fs::write(&file, text).is_err() {
        return;
    }
    let file = file.to_string_lossy().into_owned();
    measure(
        home.path(),
        "millside",
        env!("CARGO_BIN_EXE_millside"),
        &[],
        &["2", "8"],
    );
    measure(home.path(), "less", "less", &[&file], &["j", "k"]);
    measure(home.path(), "nano", "nano", &[&file], &["\x1b[B", "\x1b[A"]);
    measure(
        home.path(),
        "vim",
        "vim",
        &["-u", "NONE", &file],
        &["j", "k"],
    );
    saving(home.path());
}
