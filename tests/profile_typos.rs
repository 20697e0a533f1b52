//! `millside profile check` on files with a fault: whatever is wrong, it is told with its place, and nothing panics.

use std::io;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;

use millside::cli::Outcome;
use millside::cli::profile;
use millside::cli::profile::Action;
use millside::cli::profile::Args;
use millside::cli::world::World;
use millside::plain;
use millside::problem::Problem;
use millside::profile::shipped;
use millside::session::moment::Moment;
use millside::session::state::State;

/// A disk with one file, and what was printed.
struct OneFile {
    bytes: Vec<u8>,
    printed: String,
}

impl World for OneFile {
    fn read(&self, _path: &Path, _longest: usize) -> io::Result<Vec<u8>> {
        Ok(self.bytes.clone())
    }

    fn open(&self, _path: &Path) -> io::Result<Box<dyn Read>> {
        Err(io::ErrorKind::NotFound.into())
    }

    fn now(&self) -> Moment {
        unreachable!("a check knows no time")
    }

    fn create_session(&mut self, _: Option<&Path>, _: &State) -> Result<PathBuf, Problem> {
        unreachable!("a check makes nothing")
    }

    fn out(&mut self, text: &str) -> io::Result<()> {
        self.printed.push_str(text);
        Ok(())
    }

    fn err(&mut self, _text: &str) -> io::Result<()> {
        Ok(())
    }
}

/// Checks a file of this text; gives what is printed, and whether there was a fault.
fn check(text: &str) -> (String, bool) {
    let mut world = OneFile {
        bytes: text.as_bytes().to_vec(),
        printed: String::new(),
    };
    let action = Action::Check {
        files: vec![PathBuf::from("mine.toml")],
        json: false,
    };
    let outcome = profile::run(&Args { action }, &mut world).expect("the file is there");
    (world.printed, outcome == Outcome::LookFirst)
}

fn is_located(printed: &str) -> bool {
    printed.contains("--> mine.toml:")
        || printed.contains("\nmine.toml: ")
        || printed.starts_with("mine.toml: ")
}

#[test]
fn a_fault_is_shown_whatever_column_it_ends_at() {
    for filler in ["x", "é", "立", "e\u{301}", "🔩"] {
        for columns in 90..=130 {
            let wide = plain::width(filler);
            let text = filler.repeat(columns / wide);
            // It ends at this column; it begins there; it is no TOML from there on.
            for line in [
                format!("kind = \"{text}\""),
                format!("x = {{ y = \"{text}\", z = \"6 m\" }}"),
                format!("title = \"{text}\" garbage"),
                format!("title = \"{text}"),
            ] {
                let file = format!("format = 1\n[[tool]]\nname = \"a\"\n{line}\n");
                let (printed, is_faulty) = check(&file);
                assert!(is_faulty && is_located(&printed), "{line}\n{printed}");
                assert!(printed.contains("mine.toml:4:"), "{line}\n{printed}");
                let shown = printed.lines().filter(|line| line.starts_with("4 | "));
                for line in shown {
                    assert!(plain::width(line) <= 104, "{line}");
                }
            }
        }
    }
}

/// A row of numbers that look thrown, the same each time (a linear congruential generator; Knuth, The Art of
/// Computer Programming, volume 2, 3.3.4, table 1, line 26).
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % limit.max(1)
    }
}

/// A slip of the finger at a place thrown.
fn typo(text: &str, dice: &mut Dice) -> String {
    const TYPED: [&str; 16] = [
        "\"", "'", "[", "]", "{", "}", "=", "\n", "\t", "#", "x", "7", "-", "é", "立", "\u{202e}",
    ];
    let mut characters: Vec<char> = text.chars().collect();
    let at = dice.below(characters.len());
    let typed = TYPED[dice.below(TYPED.len())];
    let typed = typed.repeat(1 + dice.below(3) * 60);
    match dice.below(4) {
        0 => drop(characters.remove(at)),
        1 => drop(characters.splice(at..at + 1, typed.chars())),
        2 => drop(characters.splice(at..at, typed.chars())),
        _ => {
            let until = (at + 1 + dice.below(120)).min(characters.len());
            let twice: Vec<char> = characters[at..until].to_vec();
            drop(characters.splice(at..at, twice));
        }
    }
    characters.into_iter().collect()
}

#[test]
fn a_typo_in_a_shipped_profile_is_no_panic_and_its_faults_have_a_place() {
    // More of them: TYPOS=5000 cargo test --release --test profile_typos
    let count = std::env::var("TYPOS")
        .ok()
        .and_then(|count| count.parse().ok());
    let mut dice = Dice(20_261_114);
    let mut faulty = 0;
    for _ in 0..count.unwrap_or(100) {
        let (_, text) = shipped::FILES[dice.below(shipped::FILES.len())];
        let mut text = typo(text, &mut dice);
        if dice.below(3) == 0 {
            text = typo(&text, &mut dice);
        }
        let (printed, is_faulty) = check(&text);
        assert!(!is_faulty || is_located(&printed), "{printed}");
        assert!(
            !printed.chars().any(|c| c != '\n' && plain::is_hidden(c)),
            "{printed}"
        );
        faulty += u32::from(is_faulty);
    }
    assert!(faulty > 10, "{faulty}: the typos miss");
}
