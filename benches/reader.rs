//! How fast programs are read: read with extents, with times, with all checks.
//!
//! Two million short surfacing lines are made in memory and in a file; each task runs several times,
//! tasks in turn, and the median counts. Beside them `wc -l` and a parser of the public registry on
//! the same file. Run with
//! `cargo bench --bench reader`; the number of lines and words of the tasks' names can be given behind `--`.

use std::fs;
use std::io::Write;
use std::process::Command;
use std::time::Instant;

use millside::check;
use millside::check::Against;
use millside::check::against::ToolFacts;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::program::read::ReadOptions;
use millside::program::read::read;
use millside::program::time::limits::Corner;
use millside::program::time::limits::MotionLimits;

const ROUNDS: usize = 9;

/// Name and work of one measurement.
type Task<'a> = (&'static str, Box<dyn Fn() + 'a>);

/// A dome milled in short lines, as a surfacing program is.
fn surface(lines: usize) -> Vec<u8> {
    let mut text = Vec::with_capacity(lines * 26 + 200);
    text.extend_from_slice(
        b"G21 G90 G17\nT1 M6 (ball end mill 6 mm)\nM3 S12000\nG0 X0 Y0 Z10\nG1 Z1 F500\nF2400\n",
    );
    let across = 1000;
    let rows = lines / across + 1;
    for row in 0..rows {
        let y = 90.0 * row as f64 / rows as f64;
        for i in 0..across {
            let i = if row % 2 == 0 { i } else { across - 1 - i };
            let x = 120.0 * i as f64 / across as f64;
            let z = -6.0 + 5.0 * (-((x - 60.0).powi(2) + (y - 45.0).powi(2)) / 900.0).exp();
            writeln!(text, "X{x:.3} Y{y:.3} Z{z:.4}").expect("memory takes text");
        }
    }
    text.extend_from_slice(b"G0 Z10\nM5\nM30\n");
    text
}

/// Words that the fastest general-purpose parser of the public registry finds: it stops at words, without
/// modal state or extents.
fn words_by_registry_parser(bytes: &[u8]) -> usize {
    let stream = futures_util::stream::iter(bytes.iter().map(|b| Ok::<u8, async_gcode::Error>(*b)));
    let mut parser = async_gcode::Parser::new(stream);
    futures_executor::block_on(async move {
        let mut words = 0;
        while let Some(item) = parser.next().await {
            words += usize::from(matches!(item, Ok(async_gcode::GCode::Word(..))));
        }
        words
    })
}

fn main() {
    // The harness hands over switches of its own.
    let asked: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .collect();
    let lines = asked
        .iter()
        .find_map(|a| a.parse().ok())
        .unwrap_or(2_000_000);
    let names: Vec<&String> = asked
        .iter()
        .filter(|a| a.parse::<usize>().is_err())
        .collect();
    let text = surface(lines);
    let megabytes = text.len() as f64 / 1e6;
    let path = std::env::temp_dir().join(format!("millside-bench-{}.nc", std::process::id()));
    fs::write(&path, &text).expect("the temporary folder takes a file");
    let plain = ReadOptions::default();
    let timed = ReadOptions {
        motion: Some(MotionLimits::new(
            [50.0, 50.0, 30.0],
            [80.0, 80.0, 40.0],
            [200.0, 200.0, 100.0],
            Corner::Blend { tolerance_mm: 0.02 },
        )),
        ..ReadOptions::default()
    };
    let against = Against {
        stock: Some(StockSize {
            x_mm: 120.0,
            y_mm: 90.0,
            z_mm: 12.0,
        }),
        under: Under::Spoil { thickness_mm: 10.0 },
        zero: "left-front-top".parse().ok(),
        ..Against::default()
    };
    let all_stated = Against {
        part: Some(StockSize {
            x_mm: 116.0,
            y_mm: 86.0,
            z_mm: 12.0,
        }),
        tools: vec![(
            1,
            ToolFacts {
                diameter_mm: Some(6.0),
                flutes: Some(2),
                flute_length_mm: Some(15.0),
                shank_mm: Some(6.0),
                stick_out_mm: Some(25.0),
                centre_cutting: Some(true),
                ..ToolFacts::default()
            },
        )],
        keep_outs: vec![KeepOut {
            from: [-30.0, 30.0],
            to: [-5.0, 60.0],
            height: 20.0,
        }],
        ..against.clone()
    };
    let mut tasks: Vec<Task<'_>> = vec![
        (
            "wc -l",
            Box::new(|| {
                let output = Command::new("wc")
                    .arg("-l")
                    .arg(&path)
                    .output()
                    .expect("wc runs");
                assert!(output.status.success());
            }),
        ),
        (
            "registry's fastest parser",
            Box::new(|| {
                let bytes = fs::read(&path).expect("reads");
                let words = words_by_registry_parser(&bytes);
                assert!(words > lines, "{words}");
            }),
        ),
        (
            "read and extents",
            Box::new(|| {
                let summary = read(fs::File::open(&path).expect("opens"), &plain).expect("reads");
                assert_eq!(summary.findings.len(), 0, "{:?}", summary.findings);
            }),
        ),
        (
            "read, extents and time",
            Box::new(|| {
                let summary = read(fs::File::open(&path).expect("opens"), &timed).expect("reads");
                assert!(summary.times.estimated_s.is_some());
            }),
        ),
        (
            "all checks",
            Box::new(|| {
                let file = fs::File::open(&path).expect("opens");
                let (summary, _) = check::examine(file, &timed, &against).expect("reads");
                assert!(summary.extents.cut.is_some());
            }),
        ),
        (
            "all checks, tool stated",
            Box::new(|| {
                let file = fs::File::open(&path).expect("opens");
                let (summary, _) = check::examine(file, &timed, &all_stated).expect("reads");
                assert!(summary.extents.cut.is_some());
            }),
        ),
    ];
    if !names.is_empty() {
        tasks.retain(|(name, _)| names.iter().any(|asked| name.contains(asked.as_str())));
    }
    let mut seconds = vec![vec![]; tasks.len()];
    for _ in 0..ROUNDS {
        for (i, (_, task)) in tasks.iter_mut().enumerate() {
            let begin = Instant::now();
            task();
            seconds[i].push(begin.elapsed().as_secs_f64());
        }
    }
    for task in &mut seconds {
        task.sort_by(f64::total_cmp);
    }
    let mut out = std::io::stdout().lock();
    writeln!(
        out,
        "{lines} lines, {megabytes:.1} MB, median and best of {ROUNDS}"
    )
    .expect("prints");
    for ((name, _), own) in tasks.iter().zip(&seconds) {
        let (median, best) = (own[ROUNDS / 2], own[0]);
        writeln!(
            out,
            "{name:<26} {:>8.1} MB/s, best {:>8.1}, {:>6.1} times {}",
            megabytes / median,
            megabytes / best,
            median / seconds[0][ROUNDS / 2],
            tasks[0].0
        )
        .expect("prints");
    }
    fs::remove_file(&path).expect("the file can be removed");
}
