//! Very short lines put together, so that the rounding of coordinates is not taken for corners.

/// Points after which a chord ends in any case.
const MOST_POINTS: u32 = 256;

/// A chord in the making: it may go on as long as every point lies within the tolerance of it and
/// each lies further along it.
#[derive(Clone, Debug)]
pub struct Chord {
    start: [f64; 3],
    end: [f64; 3],
    /// Direction of the first line and two across it.
    frame: [[f64; 3]; 3],
    /// Slopes across that keep all points within the tolerance.
    slopes: [[f64; 2]; 2],
    along: f64,
    points: u32,
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn minus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

impl Chord {
    /// Begins with one line of this length and direction.
    pub fn new(
        start: [f64; 3],
        end: [f64; 3],
        length: f64,
        direction: [f64; 3],
        tolerance: f64,
    ) -> Self {
        let u = direction;
        // Across: X and Y turned by 90 degrees, and what is square to both.
        let flat = u[0].hypot(u[1]);
        let v = if flat > 1e-9 {
            [-u[1] / flat, u[0] / flat, 0.0]
        } else {
            [1.0, 0.0, 0.0]
        };
        let w = [
            u[1] * v[2] - u[2] * v[1],
            u[2] * v[0] - u[0] * v[2],
            u[0] * v[1] - u[1] * v[0],
        ];
        let slope = tolerance / length;
        Self {
            start,
            end,
            frame: [u, v, w],
            slopes: [[-slope, slope]; 2],
            along: length,
            points: 1,
        }
    }

    /// Takes another point when the chord can go on to it.
    pub fn extend(&mut self, point: [f64; 3], tolerance: f64) -> bool {
        if self.points >= MOST_POINTS {
            return false;
        }
        let d = minus(point, self.start);
        let along = dot(d, self.frame[0]);
        if along <= self.along {
            return false;
        }
        let per_mm = 1.0 / along;
        let slope = [
            dot(d, self.frame[1]) * per_mm,
            dot(d, self.frame[2]) * per_mm,
        ];
        let is_within = |axis: usize| {
            let [low, high] = self.slopes[axis];
            (slope[axis] >= low) & (slope[axis] <= high)
        };
        if !(is_within(0) & is_within(1)) {
            return false;
        }
        let width = tolerance * per_mm;
        for (slope, [low, high]) in slope.into_iter().zip(&mut self.slopes) {
            // Spelled out: the library's max and min also look for what is no number.
            if slope - width > *low {
                *low = slope - width;
            }
            if slope + width < *high {
                *high = slope + width;
            }
        }
        self.along = along;
        self.end = point;
        self.points += 1;
        true
    }

    /// Start, end, length and direction of the chord.
    pub fn line(&self) -> (f64, [f64; 3]) {
        let d = minus(self.end, self.start);
        let length = dot(d, d).sqrt();
        (length, d.map(|v| v / length))
    }

    /// How many lines it stands for.
    pub fn lines(&self) -> u32 {
        self.points
    }

    /// Where the chord ends.
    pub fn end(&self) -> [f64; 3] {
        self.end
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chord(points: &[[f64; 3]], tolerance: f64) -> (Chord, usize) {
        let d = minus(points[1], points[0]);
        let length = dot(d, d).sqrt();
        let mut chord = Chord::new(
            points[0],
            points[1],
            length,
            d.map(|v| v / length),
            tolerance,
        );
        let taken = points[2..]
            .iter()
            .take_while(|p| chord.extend(**p, tolerance))
            .count();
        (chord, taken)
    }

    #[test]
    fn rounding_is_put_together_and_a_corner_is_not() {
        let line: Vec<[f64; 3]> = (0..60)
            .map(|i| {
                let x = f64::from(i) * 0.01;
                [x, (x * 0.3 * 1000.0).round() / 1000.0, 0.0]
            })
            .collect();
        let (whole, taken) = chord(&line, 0.002);
        assert_eq!(taken, 58);
        assert!((whole.line().0 - line[59][0].hypot(line[59][1])).abs() < 1e-9);
        let mut corner = line;
        corner.push([0.59, 0.3, 0.0]);
        assert_eq!(chord(&corner, 0.002).1, 58);
    }

    #[test]
    fn no_point_lies_further_off_than_the_tolerance() {
        let arc: Vec<[f64; 3]> = (0..200)
            .map(|i| {
                let t = f64::from(i) * 0.002;
                [10.0 * t.sin(), 10.0 - 10.0 * t.cos(), t]
            })
            .collect();
        let (chord, taken) = chord(&arc, 0.002);
        assert!(taken > 2);
        let (_, u) = chord.line();
        for p in &arc[..taken + 2] {
            let d = minus(*p, arc[0]);
            let along = dot(d, u);
            let off = (dot(d, d) - along * along).max(0.0).sqrt();
            // A box of slopes holds a disc's points to within its diagonal.
            assert!(off <= 0.002 * 2_f64.sqrt() + 1e-9, "{off}");
        }
    }
}
