//! What share of each limit a first cut may use, and what had to be relaxed.
//!
//! Force coefficients of one metal differ from table to table, an edge that has worn pushes harder, and the corner of a pocket asks for
//! more than the wall before it (common practice, no source). So a first cut takes little more than half of what the machine stands: it is the highest force that has to stay
//! within the limit, not the usual one. Where no chip that is thick enough leaves so much, one limit after the other is relaxed, only those
//! that must be, and it is said which.

use crate::calculator::MARGIN;
use crate::calculator::limit::Which;
use crate::job::tool::Edge;

/// Highest force over the usual one: other coefficients of the same metal, and a worn edge; common practice, no source.
pub const HIGH_FORCE: f64 = 1.6;

/// Share of a load limit that a first cut may use at usual force, 0.5 to 0.6; common practice, no source.
pub const FIRST_SHARE: f64 = 0.6;

/// Share of the greatest usual chip load that a first cut uses; common practice, no source.
const FIRST_CHIP: f64 = 0.75;

/// Share of the highest surface speed of the metal's table that is proposed for carbide, 0.7 to 0.8; common practice, no source.
const CARBIDE_SPEED: f64 = 0.75;

/// The same for high-speed steel, 0.6 to 0.7; common practice, no source.
const HSS_SPEED: f64 = 0.65;

/// The limits that grow with the force of the cut, in the order in which they are held here.
pub const LOADS: [Which; 6] = [
    Which::AxisPush,
    Which::ToolDeflection,
    Which::MachineDeflection,
    Which::ToolGrip,
    Which::PartHold,
    Which::MotorPower,
];

/// The share of the table's surface speed that is proposed.
pub fn speed_share(edge: Edge) -> f64 {
    match edge {
        Edge::Carbide => CARBIDE_SPEED,
        Edge::Hss => HSS_SPEED,
    }
}

/// What share of each limit may be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Caps {
    loads: [f64; LOADS.len()],
    /// Of the greatest usual chip load.
    pub chip: f64,
    /// Of what keeps a chip from rubbing and from getting hot.
    pub rubbing: f64,
    /// Of the surface speed of the table; nothing relaxes it.
    pub speed: f64,
}

impl Caps {
    /// Those of a first cut.
    pub fn first(edge: Edge) -> Self {
        Self {
            loads: [FIRST_SHARE.min(1.0 / HIGH_FORCE); LOADS.len()],
            chip: FIRST_CHIP,
            rubbing: MARGIN,
            speed: speed_share(edge),
        }
    }

    /// The share of a limit; a ceiling may be reached.
    pub fn of(&self, which: Which) -> f64 {
        if let Some(place) = LOADS.iter().position(|load| *load == which) {
            return self.loads[place];
        }
        match which {
            Which::SurfaceSpeed => self.speed,
            Which::TopSpeed | Which::LeastSpeed | Which::TopFeed => 1.0,
            Which::ChipLoad => self.chip,
            Which::Rubbing | Which::ThinHotChips => self.rubbing,
            _ => MARGIN,
        }
    }

    /// Lets a limit be used to this share; `false` for what nothing relaxes.
    pub fn relax(&mut self, which: Which, to: f64) -> bool {
        if let Some(place) = LOADS.iter().position(|load| *load == which) {
            self.loads[place] = to;
            return true;
        }
        match which {
            Which::ChipLoad => self.chip = to,
            Which::Rubbing | Which::ThinHotChips => self.rubbing = to,
            _ => return false,
        }
        true
    }

    /// Lets every limit be used whole, but the surface speed.
    pub fn whole(&mut self) {
        self.loads = [1.0; LOADS.len()];
        self.chip = 1.0;
        self.rubbing = 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_highest_force_stays_within_the_limit() {
        let push = Caps::first(Edge::Carbide).of(Which::AxisPush);
        assert!(push * HIGH_FORCE <= 1.0);
        assert!((0.5..=0.6).contains(&push));
    }

    #[test]
    fn one_limit_is_relaxed_and_no_other() {
        let first = Caps::first(Edge::Carbide);
        let mut caps = first;
        assert!(caps.relax(Which::AxisPush, 0.8));
        for which in LOADS {
            let expected = if which == Which::AxisPush {
                0.8
            } else {
                FIRST_SHARE
            };
            assert!((caps.of(which) - expected).abs() < 1e-12);
        }
        assert!(!caps.relax(Which::SurfaceSpeed, 1.0));
        assert!(!caps.relax(Which::ToolSpeed, 1.0));
        assert!((caps.of(Which::SurfaceSpeed) - first.speed).abs() < 1e-12);
    }
}
