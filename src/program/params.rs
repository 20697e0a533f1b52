//! Numbered parameters 1 to 5399 (NISTIR 6556, 3.2.1), and named ones as the successors of its interpreter have
//! them (from memory): a name that begins with _ holds everywhere, every other one in its subprogram, and so do
//! the numbers up to 30.

use std::collections::BTreeMap;

/// First parameter that does not exist.
pub const BEYOND: usize = 5400;
/// Numbered parameters from 1 on that a subprogram has for itself.
pub const LOCAL: usize = 30;

/// Which parameter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Key {
    /// From 1 to 5399.
    Number(usize),
    /// Lower case, without blanks.
    Name(String),
}

/// What the caller of a subprogram gets back.
#[derive(Clone, Debug)]
struct Saved {
    named: BTreeMap<String, f64>,
    numbered: Vec<Option<f64>>,
}

/// Values of the parameters; memory is taken with the first setting.
#[derive(Clone, Debug, Default)]
pub struct Params {
    values: Vec<Option<f64>>,
    global: BTreeMap<String, f64>,
    named: BTreeMap<String, f64>,
    saved: Vec<Saved>,
}

impl Params {
    /// The value, if the program has set it.
    pub fn get(&self, index: usize) -> Option<f64> {
        self.values.get(index).copied().flatten()
    }

    /// The value of a named parameter, if the program has set it.
    pub fn named(&self, name: &str) -> Option<f64> {
        let map = if name.starts_with('_') {
            &self.global
        } else {
            &self.named
        };
        map.get(name).copied()
    }

    /// Sets a value; an index out of range is ignored, the parser has refused it.
    pub fn set(&mut self, key: Key, value: f64) {
        match key {
            Key::Number(index) => {
                if self.values.is_empty() {
                    self.values.resize(BEYOND, None);
                }
                if let Some(slot) = self.values.get_mut(index) {
                    *slot = Some(value);
                }
            }
            Key::Name(name) if name.starts_with('_') => {
                self.global.insert(name, value);
            }
            Key::Name(name) => {
                self.named.insert(name, value);
            }
        }
    }

    /// Goes into a subprogram: #1 and on are its arguments, the rest of its own numbers is 0.
    pub fn enter(&mut self, arguments: &[f64]) {
        let numbered = (1..=LOCAL).map(|index| self.get(index)).collect();
        self.saved.push(Saved {
            named: std::mem::take(&mut self.named),
            numbered,
        });
        for index in 1..=LOCAL {
            let value = arguments.get(index - 1).copied().unwrap_or(0.0);
            self.set(Key::Number(index), value);
        }
    }

    /// Comes back from a subprogram, perhaps with a value.
    pub fn leave(&mut self, value: Option<f64>) {
        let Some(saved) = self.saved.pop() else {
            return;
        };
        self.named = saved.named;
        for (slot, old) in self.values.iter_mut().skip(1).zip(saved.numbered) {
            *slot = old;
        }
        let returned = if value.is_some() { 1.0 } else { 0.0 };
        self.set(Key::Name("_value".to_owned()), value.unwrap_or(0.0));
        self.set(Key::Name("_value_returned".to_owned()), returned);
    }

    /// Whether a computed index names a parameter: whole to within 0.0001 (3.3.2.1).
    pub fn index(value: f64) -> Option<usize> {
        let whole = value.round();
        if (value - whole).abs() > 1e-4 || !(1.0..5400.0).contains(&whole) {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 1 and 5399"
        )]
        Some(whole as usize)
    }
}
