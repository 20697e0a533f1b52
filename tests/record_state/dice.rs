//! Values made at random, each within what a record can hold.

use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::TimeZone;
use millside::job::machine::Basis;
use millside::job::machine::Given;
use millside::job::typed::Typed;
use millside::quantity;
use millside::quantity::entry;

/// A seed's dice.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed ^ 0x9e37_79b9_7f4a_7c15)
    }

    pub fn next(&mut self) -> u64 {
        // splitmix64, S. Vigna, public domain; from memory. Any spread will do here.
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, most: usize) -> usize {
        (self.next() % most.max(1) as u64) as usize
    }

    pub fn yes(&mut self) -> bool {
        self.below(2) == 0
    }

    pub fn pick<T: Clone>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())].clone()
    }

    pub fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.yes().then(|| make(self))
    }

    pub fn some<T>(&mut self, most: usize, mut make: impl FnMut(&mut Self) -> T) -> Vec<T> {
        (0..self.below(most + 1)).map(|_| make(self)).collect()
    }

    pub fn number(&mut self) -> f64 {
        match self.below(5) {
            0 => 0.0,
            1 => self.below(20_000) as f64,
            2 => self.below(100_000) as f64 / 1000.0,
            3 => (self.next() % 1_000_000_000_000) as f64 / 1.0e6,
            _ => self.below(1000) as f64 / 1.0e9,
        }
    }

    /// To the millisecond, as times are kept.
    pub fn seconds(&mut self) -> f64 {
        self.below(50_000) as f64 + self.pick(&[0.0, 0.5, 0.25, 0.001])
    }

    pub fn signed(&mut self) -> f64 {
        let number = self.number();
        if self.yes() && number > 0.0 {
            -number
        } else {
            number
        }
    }

    /// A line of text without anything that acts or hides.
    pub fn line(&mut self) -> String {
        const WORDS: &[&str] = &[
            "base plate",
            "Ø6 mm",
            "\"quoted\"",
            "back\\slash",
            "x = 1",
            "# no comment",
            "'",
            "立铣刀",
            "90°",
            "a, b",
            "[setup]",
            "\"\"\"",
            "\\u{7}",
            "\\n",
            "é",
            "  ",
            "🔧",
        ];
        let count = 1 + self.below(4);
        let words: Vec<&str> = (0..count).map(|_| self.pick(WORDS)).collect();
        words.join(" ")
    }

    pub fn prose(&mut self) -> String {
        let lines: Vec<String> = (0..=self.below(2)).map(|_| self.line()).collect();
        lines.join("\n")
    }

    pub fn empty_or_line(&mut self) -> String {
        if self.yes() {
            self.line()
        } else {
            String::new()
        }
    }

    pub fn name(&mut self) -> String {
        format!("name-{}", self.below(1000))
    }

    pub fn time(&mut self) -> DateTime<FixedOffset> {
        let minutes = self.below(28 * 60) as i32 - 14 * 60;
        let offset = FixedOffset::east_opt(minutes * 60).expect("within a day");
        let nanos = self.pick(&[0_u32, 0, 500_000_000, 123_000_000]);
        let second = 1_700_000_000 + self.below(100_000_000) as i64;
        offset.timestamp_opt(second, nanos).unwrap()
    }

    pub fn lasting(&mut self) -> Duration {
        let nanos = self.pick(&[0_u32, 250_000_000, 1_000_000, 999_000_000]);
        Duration::new(self.below(100_000) as u64, nanos)
    }

    pub fn length(&mut self) -> Typed {
        let n = 1 + self.below(90_000);
        let text = match self.below(6) {
            0 => format!("{} mm", n as f64 / 1000.0),
            1 => format!("{n} um"),
            2 => format!("{} in", n as f64 / 10_000.0),
            3 => format!("{}/16 in", 1 + n % 31),
            4 => format!("{} thou", n % 500 + 1),
            _ => format!("#{}", n % 60 + 1),
        };
        let entry = entry::length(&text).expect("a length");
        Typed::new(entry.typed, quantity::to_mm(entry.value))
    }

    pub fn deviation(&mut self) -> Typed {
        let text = format!("{:.3} mm", self.below(400) as f64 / 1000.0 - 0.2);
        let entry = entry::length_signed(&text).expect("a deviation");
        Typed::new(entry.typed, quantity::to_mm(entry.value))
    }

    pub fn given<T>(&mut self, value: T) -> Given<T> {
        let basis = self.pick(&Basis::ALL);
        let note = self.empty_or_line();
        Given::new(value, basis, note)
    }

    pub fn given_number(&mut self) -> Given<f64> {
        let value = self.number();
        self.given(value)
    }

    pub fn given_seconds(&mut self) -> Given<f64> {
        let value = self.seconds();
        self.given(value)
    }

    pub fn given_count(&mut self) -> Given<u32> {
        let value = 1 + self.below(5000) as u32;
        self.given(value)
    }
}
