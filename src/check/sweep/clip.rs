//! The part of a straight path inside a box.

/// Shares of the way, 0 to 1, between which the line from `a` to `b` runs inside the box.
pub fn inside(a: [f64; 3], b: [f64; 3], min: [f64; 3], max: [f64; 3]) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for axis in 0..3 {
        let d = b[axis] - a[axis];
        if d == 0.0 {
            if a[axis] < min[axis] || a[axis] > max[axis] {
                return None;
            }
            continue;
        }
        let (s, t) = ((min[axis] - a[axis]) / d, (max[axis] - a[axis]) / d);
        from = from.max(s.min(t));
        to = to.min(s.max(t));
    }
    (from <= to).then_some((from, to))
}

/// The point at a share of the way.
pub fn point(a: [f64; 3], b: [f64; 3], share: f64) -> [f64; 3] {
    std::array::from_fn(|axis| a[axis] + share * (b[axis] - a[axis]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_a_box_is_cut_at_its_faces() {
        let found = inside([-10.0, 5.0, 5.0], [30.0, 5.0, 5.0], [0.0; 3], [10.0; 3]);
        assert_eq!(found, Some((0.25, 0.5)));
        assert_eq!(
            inside([-10.0, 15.0, 5.0], [30.0, 15.0, 5.0], [0.0; 3], [10.0; 3]),
            None
        );
        let down = inside([5.0, 5.0, 20.0], [5.0, 5.0, 0.0], [0.0; 3], [10.0; 3]);
        assert_eq!(down, Some((0.5, 1.0)));
    }
}
