//! Reader and check on programs made at random from the kept corpus: no panic, no hang, no memory
//! over the bound.
//!
//! Programs of `tests/fixtures` are cut, mixed and spoilt, then read in pieces, swept and timed. A
//! program that panics or takes longer than a second is put into `tests/fixtures/corpus`, which the
//! tests read ever after. Coverage guides nothing: that needs a compiler that is not stable. Run with
//! `cargo bench --bench fuzz -- 600`, seconds and seed as arguments; the slowest program is left as `slowest.nc` in
//! the build's folder `tmp`. Exit code 1 when anything was found.

use std::fs;
use std::io::Write;
use std::panic;
use std::panic::AssertUnwindSafe;
use std::path::Path;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;
use std::time::Instant;
use std::time::SystemTime;

use millside::check;
use millside::check::Against;
use millside::check::against::Limits;
use millside::check::against::ToolFacts;
use millside::check::chip_load::SectionRecipe;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::job::tool_speed::Faster;
use millside::program::read::ReadOptions;
use millside::program::read::Reader;
use millside::program::read::read_bytes;
use millside::program::time::limits::Corner;
use millside::program::time::limits::MotionLimits;

/// Longest time that one program of [`LONGEST`] bytes may take.
const HANG: Duration = Duration::from_secs(1);
/// Memory that reading and checking may take, bytes.
const MOST_MEMORY: u64 = 16 << 20;
/// Longest program made.
const LONGEST: usize = 64 << 10;
/// Pieces of the language that are put in.
const WORDS: [&str; 34] = [
    "G0",
    "G1",
    "G2 X1 R1",
    "G3 I1",
    "G17",
    "G18",
    "G19",
    "G20",
    "G21",
    "G28",
    "G53 G0 Z0",
    "G55",
    "G73 Q1",
    "G80",
    "G81 Z-1 R1",
    "G83 Q0.1",
    "G90",
    "G91",
    "G92 X1",
    "G93",
    "G94",
    "M0",
    "M3",
    "M5",
    "M6",
    "M30",
    "M98 P1 L5",
    "M99",
    "O1",
    "T1",
    "L99999",
    "#1=[#1+1]",
    "X#1",
    "%",
];
/// Numbers that are put in.
const NUMBERS: [&str; 10] = [
    "0",
    "-0",
    "1e9",
    ".",
    "99999999999999999999",
    "0.000000001",
    "-1000000",
    "25.4",
    "1.5.2",
    "+",
];

/// Numbers that look like chance, the same for the same seed (a linear step and a mix of its bits).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, count: usize) -> usize {
        (self.next() % count.max(1) as u64) as usize
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }

    /// A stretch of a text, mostly short.
    fn stretch(&mut self, length: usize) -> std::ops::Range<usize> {
        let from = self.below(length + 1);
        let most = *self.of(&[2, 8, 30, 400]);
        from..(from + self.below(most)).min(length)
    }
}

fn programs(folder: &Path, all: &mut Vec<Vec<u8>>) {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the fixtures are readable")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            programs(&path, all);
        } else if path
            .extension()
            .is_some_and(|end| end == "nc" || end == "ngc")
        {
            all.push(fs::read(path).expect("a program is readable"));
        }
    }
}

fn make(corpus: &[Vec<u8>], chance: &mut Chance) -> Vec<u8> {
    let mut text = chance.of(corpus).clone();
    text.truncate(LONGEST);
    for _ in 0..=chance.below(8) {
        let at = chance.stretch(text.len());
        let new: Vec<u8> = match chance.below(9) {
            0 => vec![],
            1 => text[at.clone()].repeat(1 + chance.below(300)),
            2 => {
                let other = chance.of(corpus);
                other[chance.stretch(other.len())].to_vec()
            }
            3 => vec![chance.below(256) as u8],
            4 => format!("\n{}\n", chance.of(&WORDS)).into_bytes(),
            5 => format!(" {} ", chance.of(&WORDS)).into_bytes(),
            6 => chance.of(&NUMBERS).as_bytes().to_vec(),
            7 => format!("{}{}", chance.of(&["X", "Y", "Z", "F"]), chance.below(2000)).into_bytes(),
            _ => chance
                .of(&["\n", "\r", "\r\n", " ", "\t"])
                .as_bytes()
                .to_vec(),
        };
        text.splice(at, new);
        text.truncate(LONGEST);
    }
    text
}

/// Reads, sweeps and times a program; panics where the pieces matter.
fn look_at(text: &[u8], chance: &mut Chance, against: &Against) {
    let options = ReadOptions {
        motion: Some(MotionLimits::new(
            [10.0; 3],
            [20.0; 3],
            [100.0; 3],
            *chance.of(&[Corner::Stop, Corner::Blend { tolerance_mm: 0.01 }]),
        )),
        start_mm: [(chance.below(2) == 0).then_some(1.0); 3],
        restart_line: (chance.below(4) == 0).then_some(20),
        ..ReadOptions::default()
    };
    let (summary, _) = check::examine(text, &options, against).expect("memory is readable");
    assert!(summary.times.estimated_s.is_none_or(f64::is_finite));
    if chance.below(8) == 0 {
        let mut reader = Reader::new(&options, None);
        for piece in text.chunks(1 + chance.below(5000)) {
            reader.feed(piece);
        }
        assert_eq!(reader.finish(), read_bytes(text, &options), "in pieces");
    }
}

fn setup() -> Against {
    let tool = ToolFacts {
        diameter_mm: Some(6.0),
        flutes: Some(2),
        flute_length_mm: Some(10.0),
        shank_mm: Some(6.0),
        stick_out_mm: Some(20.0),
        centre_cutting: Some(false),
        ..ToolFacts::default()
    };
    let size = |x_mm: f64, y_mm: f64| StockSize {
        x_mm,
        y_mm,
        z_mm: 12.0,
    };
    Against {
        stock: Some(size(120.0, 90.0)),
        under: Under::Jaw,
        part: Some(size(110.0, 80.0)),
        zero: "left-front-top".parse().ok(),
        tools: vec![(1, tool)],
        keep_outs: vec![KeepOut {
            from: [0.0, 0.0],
            to: [5.0, 5.0],
            height: 20.0,
        }],
        machine: Some(limits()),
        recipes: vec![SectionRecipe {
            first_line: 1,
            fz_mm: 0.02,
            ap_mm: 0.5,
            ae_mm: 3.0,
            n_rpm: 8000.0,
            override_percent: None,
            flutes: 2,
        }],
        ..Against::default()
    }
}

fn limits() -> Limits {
    Limits {
        travel_mm: [300.0, 200.0, 100.0],
        top_feed_mm_min: [600.0; 3],
        rapid_mm_min: [1200.0; 3],
        acceleration_mm_s2: [100.0; 3],
        corner_tolerance_mm: 0.01,
        look_ahead_blocks: 16,
        spindle_rpm: [1000.0, 10_000.0],
        faster: Faster::default(),
        spindle_by_hand: false,
        turns_left: false,
        peck_backoff_mm: 0.2,
        backlash_mm: [0.05; 3],
        backlash_from: Default::default(),
        stop_s: 0.0,
    }
}

/// A line of the system's account of this process, bytes; none where it keeps none.
fn memory(line: &str) -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with(line))?;
    let kilobytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes << 10)
}

/// Time that this thread was on a processor, so that others on the machine do not count; where the
/// system does not say, time on the clock.
fn on_processor(begin: Instant) -> Duration {
    fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse().ok())
        .map_or_else(|| begin.elapsed(), Duration::from_nanos)
}

fn main() -> ExitCode {
    let asked: Vec<u64> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let by_clock = SystemTime::now()
        .duration_since(SystemTime::UNIX_EPOCH)
        .map_or(1, |since| since.as_secs());
    let seconds = Duration::from_secs(asked.first().copied().unwrap_or(10));
    let seed = asked.get(1).copied().unwrap_or(by_clock);
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let mut corpus = vec![];
    programs(&fixtures, &mut corpus);
    let against = setup();
    let mut chance = Chance(seed);
    let mut out = std::io::stdout().lock();
    let mut keep = |text: &[u8], why: &str, number: u64| {
        let name = format!("{why}_{seed}_{number}.nc");
        fs::write(fixtures.join("corpus").join(&name), text).expect("the corpus takes a file");
        writeln!(out, "{name}").expect("prints");
    };
    let slowest_at = Path::new(env!("CARGO_TARGET_TMPDIR")).join("slowest.nc");
    let before = memory("VmRSS");
    let begin = Instant::now();
    let (mut count, mut found, mut slowest) = (0_u64, 0, Duration::ZERO);
    while begin.elapsed() < seconds {
        let text = make(&corpus, &mut chance);
        let look = || {
            let own = on_processor(begin);
            let mut same = Chance(seed ^ count);
            let outcome = panic::catch_unwind(AssertUnwindSafe(|| {
                look_at(&text, &mut same, &against);
            }));
            (outcome.is_err(), on_processor(begin).saturating_sub(own))
        };
        let (panics, took) = look();
        if took > slowest {
            slowest = took;
            fs::write(&slowest_at, &text).expect("the build's folder takes a file");
        }
        if panics {
            keep(&text, "panics", count);
            found += 1;
        } else if took > HANG {
            keep(&text, "hangs", count);
            found += 1;
        }
        count += 1;
    }
    let most = memory("VmHWM");
    let taken = most
        .zip(before)
        .map(|(most, before)| most.saturating_sub(before));
    let is_over = taken.is_some_and(|taken| taken > MOST_MEMORY);
    let memory = taken.map_or("not known here".to_owned(), |taken| {
        format!("{:.1} MB at most", taken as f64 / 1e6)
    });
    writeln!(
        out,
        "seed {seed}: {count} programs from {} in {:.0} s, {found} found, slowest {:.0} ms, memory {memory}",
        corpus.len(),
        begin.elapsed().as_secs_f64(),
        slowest.as_secs_f64() * 1e3,
    )
    .expect("prints");
    if found > 0 || is_over {
        ExitCode::FAILURE
    } else {
        ExitCode::SUCCESS
    }
}
