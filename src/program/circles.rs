//! Full circles that a tool runs, as when a bore is interpolated.

use std::f64::consts::TAU;

use crate::program::arc::Arc;
use crate::program::arc::Plane;

/// Circles kept of a section.
const MOST: usize = 64;
/// Middles and radii closer than this are one circle, mm.
const SAME_MM: f64 = 0.01;
/// What rounding may leave of a full turn, radians.
const HAIR_RAD: f64 = 1e-3;

/// A full circle of the tool's middle in X and Y, flat or as a helix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Middle, mm.
    pub centre: [f64; 2],
    /// Radius, the greatest about this middle, mm.
    pub radius_mm: f64,
    /// Line of its last arc.
    pub line: u64,
}

/// Full circles, whatever number of arcs they are made of.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Circles {
    found: Vec<Circle>,
    /// The circle that is being run, and the angle so far.
    open: Option<(Circle, f64)>,
}

impl Circles {
    /// Takes the next arc.
    pub fn add(&mut self, arc: &Arc, line: u64) {
        if arc.plane != Plane::Xy || !arc.radius_mm.is_finite() {
            self.open = None;
            return;
        }
        let own = Circle {
            centre: arc.centre,
            radius_mm: arc.radius_mm,
            line,
        };
        let swept = match self.open {
            Some((open, swept))
                if is_near(open.centre, own.centre)
                    && (open.radius_mm - own.radius_mm).abs() < SAME_MM
                    && swept.signum() == arc.sweep_rad.signum() =>
            {
                swept + arc.sweep_rad
            }
            _ => arc.sweep_rad,
        };
        if swept.abs() < TAU - HAIR_RAD {
            self.open = Some((own, swept));
            return;
        }
        self.open = None;
        self.keep(own);
    }

    fn keep(&mut self, circle: Circle) {
        let same = |found: &Circle| is_near(found.centre, circle.centre);
        if let Some(place) = self.found.iter().position(same) {
            let found = &mut self.found[place];
            if circle.radius_mm > found.radius_mm {
                *found = circle;
            }
        } else if self.found.len() < MOST {
            self.found.push(circle);
        }
    }

    /// Takes in the circles of another section.
    pub fn absorb(&mut self, other: &Self) {
        for circle in &other.found {
            self.keep(*circle);
        }
    }

    /// The circles, each middle once, in the order met; of very many the first.
    pub fn found(&self) -> &[Circle] {
        &self.found
    }
}

fn is_near(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() < SAME_MM && (a[1] - b[1]).abs() < SAME_MM
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arc(radius_mm: f64, sweep_rad: f64) -> Arc {
        Arc {
            plane: Plane::Xy,
            centre: [30.0, 20.0],
            radius_mm,
            start_rad: 0.0,
            sweep_rad,
        }
    }

    #[test]
    fn halves_make_a_circle_and_the_largest_about_a_middle_counts() {
        let mut circles = Circles::default();
        circles.add(&arc(5.0, TAU / 2.0), 1);
        assert_eq!(circles.found(), []);
        circles.add(&arc(5.0, TAU / 2.0), 2);
        circles.add(&arc(8.0, -TAU), 3);
        circles.add(&arc(6.0, TAU), 4);
        assert_eq!(
            circles.found(),
            [Circle {
                centre: [30.0, 20.0],
                radius_mm: 8.0,
                line: 3
            }]
        );
    }

    #[test]
    fn there_and_back_is_no_circle() {
        let mut circles = Circles::default();
        circles.add(&arc(5.0, TAU / 2.0), 1);
        circles.add(&arc(5.0, -TAU / 2.0), 2);
        assert_eq!(circles.found(), []);
    }
}
