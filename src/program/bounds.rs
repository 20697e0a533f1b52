//! Extents along the three axes.

/// Least and greatest coordinate by axis; an axis that was never known is empty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Least coordinate, mm; positive infinity when the axis is empty.
    pub min: [f64; 3],
    /// Greatest coordinate, mm; negative infinity when the axis is empty.
    pub max: [f64; 3],
}

impl Default for Bounds {
    fn default() -> Self {
        Self::EMPTY
    }
}

impl Bounds {
    /// Nothing yet.
    pub const EMPTY: Self = Self {
        min: [f64::INFINITY; 3],
        max: [f64::NEG_INFINITY; 3],
    };

    /// Widens all axes to hold a point.
    #[inline]
    pub fn include(&mut self, point: [f64; 3]) {
        for (axis, value) in point.into_iter().enumerate() {
            self.include_axis(axis, value);
        }
    }

    /// Widens one axis to hold a coordinate.
    #[inline]
    pub fn include_axis(&mut self, axis: usize, value: f64) {
        if value < self.min[axis] {
            self.min[axis] = value;
        }
        if value > self.max[axis] {
            self.max[axis] = value;
        }
    }

    /// Widens to hold another box.
    pub fn unite(&mut self, other: &Self) {
        for axis in 0..3 {
            self.min[axis] = self.min[axis].min(other.min[axis]);
            self.max[axis] = self.max[axis].max(other.max[axis]);
        }
    }

    /// Least and greatest of an axis (0 X, 1 Y, 2 Z), if it was ever known.
    pub fn axis(&self, axis: usize) -> Option<(f64, f64)> {
        (self.min[axis] <= self.max[axis]).then_some((self.min[axis], self.max[axis]))
    }

    /// The box moved by an offset.
    #[must_use]
    pub fn moved(mut self, by: [f64; 3]) -> Self {
        for (axis, by) in by.into_iter().enumerate() {
            self.min[axis] += by;
            self.max[axis] += by;
        }
        self
    }

    /// Whether no axis was ever known.
    pub fn is_empty(&self) -> bool {
        (0..3).all(|axis| self.axis(axis).is_none())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_that_was_never_known_is_none() {
        let mut bounds = Bounds::EMPTY;
        assert!(bounds.is_empty());
        bounds.include_axis(1, 3.0);
        assert_eq!(bounds.axis(0), None);
        assert_eq!(bounds.axis(1), Some((3.0, 3.0)));
        let mut other = Bounds::EMPTY;
        other.unite(&bounds);
        assert_eq!(other, bounds);
    }
}
