//! Numbered parameters 1 to 5399 (NISTIR 6556, 3.2.1).

/// First parameter that does not exist.
pub const BEYOND: usize = 5400;

/// Values of the parameters; memory is taken with the first setting.
#[derive(Clone, Debug, Default)]
pub struct Params {
    values: Vec<Option<f64>>,
}

impl Params {
    /// The value, if the program has set it.
    pub fn get(&self, index: usize) -> Option<f64> {
        self.values.get(index).copied().flatten()
    }

    /// Sets a value; an index out of range is ignored, the parser has refused it.
    pub fn set(&mut self, index: usize, value: f64) {
        if self.values.is_empty() {
            self.values.resize(BEYOND, None);
        }
        if let Some(slot) = self.values.get_mut(index) {
            *slot = Some(value);
        }
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
