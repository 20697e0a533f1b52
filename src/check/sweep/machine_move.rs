//! Moves to a place that only the machine knows (G28, G30, G53), begun with the tool low.
//!
//! Which way such a move runs is not known. Where metal stands in each direction it may take it is a stop; where one is
//! free, or Z moves at the same time, it depends on the machine, and a warning names the height.

use std::f64::consts::TAU;

use crate::check::rules;
use crate::check::sweep::RAPID_HAIR_MM;
use crate::check::sweep::Sweep;
use crate::check::sweep::near::CLOSE_MM;
use crate::program::finding::Level;
use crate::program::motion::MachineMove;

/// Directions looked along where X and Y both move.
const DIRECTIONS: u32 = 32;
/// Rise of Z over the way across where Z moves too: an axis that rises as fast as the others go.
const RISE: f64 = 1.0;

impl Sweep<'_> {
    /// A move of X or Y to a place of the machine: how low the tool stands, and what stands around it.
    pub(super) fn look_at_machine_move(&mut self, machine_move: &MachineMove) {
        let from = machine_move.from_mm;
        let Some(z) = from[2].filter(|_| self.is_of_zero) else {
            return;
        };
        let z = z + self.offset[2];
        let top = self.stock.z_mm;
        let clamps = self.against.keep_outs.iter();
        let clamp = clamps
            .map(|keep_out| keep_out.height)
            .filter(|_| self.against.keep_outs_stand.at(machine_move.line))
            .fold(f64::NEG_INFINITY, f64::max);
        if z >= top + CLOSE_MM && z >= clamp {
            return;
        }
        let is_blocked = match (from[0], from[1]) {
            (Some(x), Some(y)) => {
                let at = [x + self.offset[0], y + self.offset[1], z];
                self.is_blocked(at, machine_move.axes)
            }
            _ => false,
        };
        let level = if is_blocked { Level::Stop } else { Level::Warn };
        let height = if z < top - RAPID_HAIR_MM {
            format!("{:.1} mm below the top of the stock", top - z)
        } else if z < top + CLOSE_MM {
            format!("{:.2} mm above the top of the stock", (z - top).max(0.0))
        } else {
            format!("lower than a keep-out, which is {clamp:.0} mm high")
        };
        let way = if is_blocked {
            "metal stands in every direction"
        } else {
            "which way it goes is not known"
        };
        let also = if machine_move.axes[2] {
            " Z moves at the same time, not first."
        } else {
            ""
        };
        self.find_at(&rules::MACHINE_MOVE_LOW, level, machine_move.line, || {
            format!(
                "{} with the tool {height}: {way}.{also}",
                machine_move.words()
            )
        });
    }

    /// Whether metal stands in each direction that the axes may take the tool.
    fn is_blocked(&self, at: [f64; 3], axes: [bool; 3]) -> bool {
        let is_free = |direction: [f64; 2]| !self.meets_metal(at, direction, axes[2]);
        match axes {
            [true, false, _] => ![[-1.0, 0.0], [1.0, 0.0]].into_iter().any(is_free),
            [false, true, _] => ![[0.0, -1.0], [0.0, 1.0]].into_iter().any(is_free),
            _ => !(0..DIRECTIONS)
                .map(|i| f64::from(i) / f64::from(DIRECTIONS) * TAU)
                .any(|angle| is_free([angle.cos(), angle.sin()])),
        }
    }

    /// Whether the tool meets metal on its way across in a direction, until it has left the blank.
    fn meets_metal(&self, at: [f64; 3], direction: [f64; 2], rises: bool) -> bool {
        let step = self.grid.cell_mm;
        let mut way = 0.0;
        loop {
            let p = [
                at[0] + way * direction[0],
                at[1] + way * direction[1],
                at[2] + if rises { way * RISE } else { 0.0 },
            ];
            if self.distance_mm(p) > 0.0 || p[2] >= self.stock.z_mm {
                return false;
            }
            let highest = self.grid.highest(&self.inner_disc, p[0], p[1]);
            if highest.is_some_and(|height| height > p[2].max(0.0) + RAPID_HAIR_MM) {
                return true;
            }
            way += step;
        }
    }
}
