//! What each cut says of the tool: its depth, its sort, its spindle.

use crate::check::rules;
use crate::check::sweep::NOTHING_STATED;
use crate::check::sweep::RAPID_HAIR_MM;
use crate::check::sweep::SPOT_DEPTH_MM;
use crate::check::sweep::Sweep;
use crate::check::sweep::THIN_SHARE;
use crate::check::sweep::grid::Met;
use crate::check::sweep::grid::THROUGH_MM;
use crate::cutting::tapping;
use crate::job::tool::Kind;
use crate::program::finding::Level;
use crate::program::motion::Motion;

/// The kind of a tool as it stands behind a comma.
fn with_article(word: &str) -> String {
    let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {word}")
}

/// What a tool is called. Only what is found is worth a name: one for each motion would be felt.
fn name(tool: Option<u32>) -> String {
    tool.map_or_else(|| "The tool".to_owned(), |tool| format!("T{tool}"))
}

/// Radius of an arc below which a tool that does not cut at its centre goes down on that, as share of its own (common
/// practice, no source).
const TIGHT_SHARE: f64 = 0.25;

/// Whether a motion goes down rather than along. A turn of a helix ends over where it began: its way counts, not its ends.
fn is_plunge(motion: &Motion, a: [f64; 3], b: [f64; 3]) -> bool {
    let [dx, dy, down] = [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    // In squares: a root for each of millions of lines would be felt.
    let along_squared = if motion.arc.is_some() {
        motion.length_mm * motion.length_mm - down * down
    } else {
        dx * dx + dy * dy
    };
    down > 0.0 && along_squared < 0.25 * down * down
}

/// Thickness of a chip that the grid's coarseness may make, mm.
const REAL_MM: f64 = 0.3;

impl Sweep<'_> {
    /// Metal on the way of the tool's middle, before a motion cuts it: half way along, or all of it where the motion
    /// goes down.
    pub(super) fn look_at_depth(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3]) {
        let is_plunge = is_plunge(motion, a, b);
        // Shorter ones begin and end in what the tool has cut before and after.
        if motion.length_mm < 2.0 * self.radius_mm && !is_plunge {
            return;
        }
        let p = if is_plunge {
            b
        } else {
            self.place_at(motion, a, b, 0.5)
        };
        if let Some([x, y]) = self.grid.cell(p[0], p[1]) {
            let depth_mm = self.grid.height(x, y) - p[2].max(0.0);
            if depth_mm > RAPID_HAIR_MM {
                self.passes.taken(motion, depth_mm, is_plunge);
            }
        }
    }

    /// What a cut that met metal says of the tool.
    pub(super) fn judge(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3], met: Met) {
        if met.step_mm <= 0.0 {
            return;
        }
        self.has_cut_deep |= b[2] < self.stock.z_mm * THIN_SHARE;
        if self.profiled_line.is_some() && met.step_mm > RAPID_HAIR_MM {
            self.look_inside(b);
        }
        let key = u64::from(self.tool.unwrap_or(u32::MAX));
        let tool = self.tool;
        let depth = self.stock.z_mm - a[2].min(b[2]);
        let is_plunge = is_plunge(motion, a, b);
        let is_tight = b[2] < a[2]
            && motion
                .arc
                .as_ref()
                .is_some_and(|arc| arc.radius_mm < TIGHT_SHARE * self.radius_mm);
        if met.step_mm > RAPID_HAIR_MM {
            self.look_at_spindle();
        }
        if self.facts.is_none() && !motion.is_cycle {
            // Nothing is stated of the tool: only what comes free is of interest.
            if met.through > 0 {
                self.through = true;
                self.count_pieces();
            }
            return;
        }
        let facts = self.facts.unwrap_or(&NOTHING_STATED);
        if facts.cuts_sideways == Some(false) || motion.is_cycle {
            self.look_at_kind(motion, a, b, met);
        }
        if (is_plunge || is_tight)
            && met.centre_mm > RAPID_HAIR_MM
            && facts.centre_cutting == Some(false)
            && facts.cuts_sideways != Some(false)
        {
            self.find(&rules::PLUNGE_NOT_CENTRE_CUTTING, key, || {
                format!(
                    "{} plunges straight down into metal and does not cut at its centre.",
                    name(tool)
                )
            });
        }
        if let Some(flutes) = facts.flute_length_mm {
            let step = met.step_mm.min(self.stock.z_mm);
            if step > flutes + RAPID_HAIR_MM && !is_plunge {
                self.find(&rules::DEEPER_THAN_FLUTES, key, || {
                    format!(
                        "{} takes {step:.1} mm in one step; its flutes are {flutes:.1} mm long.",
                        name(tool)
                    )
                });
            } else if depth > flutes + RAPID_HAIR_MM {
                let (level, shank) = match (facts.shank_mm, facts.diameter_mm) {
                    (Some(shank), Some(d)) if shank < d => (Level::Warn, "is thinner than the cut"),
                    (Some(_), Some(_)) => (Level::Warn, "is as thick as the cut or thicker"),
                    _ => (Level::Note, "is not stated"),
                };
                self.find_at(&rules::SHANK_IN_CUT, level, key, || {
                    format!(
                        "{} works {depth:.1} mm below the top; its flutes are {flutes:.1} mm long and its shank {shank}.",
                        name(tool)
                    )
                });
            }
        }
        if let Some(out) = facts.stick_out_mm
            && depth > out + RAPID_HAIR_MM
        {
            self.find(&rules::HOLDER_BELOW_TOP, key, || {
                format!(
                    "{} works {depth:.1} mm below the top and sticks out {out:.1} mm: the holder goes below the top.",
                    name(tool)
                )
            });
        }
        if motion.is_cycle
            && is_plunge
            && met.centre_mm >= depth.min(self.stock.z_mm) - RAPID_HAIR_MM
            && depth > SPOT_DEPTH_MM
            && b[2] < self.stock.z_mm - SPOT_DEPTH_MM
            && facts.cuts_sideways != Some(true)
        {
            self.find(&rules::HOLE_WITHOUT_SPOT, key, || {
                "A hole begins in uncut metal, without a spot before it.".to_owned()
            });
        }
        if met.through > 0 {
            self.through = true;
            self.count_pieces();
        }
    }

    /// Metal is cut while the program has the spindle stand still.
    fn look_at_spindle(&mut self) {
        if self.is_turning || self.against.machine.is_none() || self.against.spindle_by_hand() {
            return;
        }
        self.find(&rules::SPINDLE_STOPPED_IN_METAL, 0, || {
            "The tool is pushed through metal while the program has the spindle stopped.".to_owned()
        });
    }

    /// What the sort of tool says of this cut.
    #[cold]
    #[inline(never)]
    fn look_at_kind(&mut self, motion: &Motion, a: [f64; 3], b: [f64; 3], met: Met) {
        let Some(facts) = self.facts else { return };
        let key = u64::from(self.tool.unwrap_or(u32::MAX));
        let is_plunge = is_plunge(motion, a, b);
        let word = with_article(facts.kind.map_or("tool", Kind::word));
        if facts.cuts_sideways == Some(false)
            && met.step_mm > REAL_MM
            && (motion.arc.is_some() || !is_plunge && motion.length_mm > self.grid.cell_mm)
        {
            let name = name(self.tool);
            // A spot drill is run along an edge to break it; it stands that, not more.
            let level = if facts.kind == Some(Kind::SpotDrill) && met.step_mm < self.radius_mm {
                Level::Warn
            } else {
                Level::Stop
            };
            self.find_at(&rules::CANNOT_CUT_SIDEWAYS, level, key, || {
                format!(
                    "{name}, {word}, is moved sideways through {:.1} mm of metal.",
                    met.step_mm
                )
            });
        }
        if is_plunge && met.centre_mm > REAL_MM {
            self.look_at_pilot(motion, met);
        }
        if !motion.is_cycle || !is_plunge {
            return;
        }
        if let (Some(Kind::Tap), Some(pitch_mm)) = (facts.kind, facts.pitch_mm) {
            self.look_below_tap(pitch_mm, b);
        }
        if met.centre_mm <= REAL_MM {
            return;
        }
        let name = name(self.tool);
        if matches!(facts.kind, Some(Kind::Tap | Kind::Reamer)) {
            self.find(&rules::TAP_WITHOUT_HOLE, key, || {
                format!(
                    "{name}, {word}, goes {:.1} mm into metal that was not drilled.",
                    met.centre_mm
                )
            });
        }
        let is_end_mill = matches!(
            facts.kind,
            Some(Kind::EndMill | Kind::Ball | Kind::BullNose | Kind::FaceMill)
        );
        let deep_mm = self.stock.z_mm - b[2];
        if is_end_mill && deep_mm > self.radius_mm {
            self.find(&rules::DRILLED_WITH_END_MILL, key, || {
                format!("{name}, {word}, drills {deep_mm:.1} mm deep in a cycle.")
            });
        }
    }

    /// A tap that ends near the bottom of its hole meets its own chips, and as it runs on the bottom: it breaks.
    fn look_below_tap(&mut self, pitch_mm: f64, end: [f64; 3]) {
        let Some([x, y]) = self.grid.cell(end[0], end[1]) else {
            return;
        };
        let floor_mm = self.grid.height(x, y);
        let (below_mm, room_mm) = (end[2] - floor_mm, tapping::CHIP_PITCHES * pitch_mm);
        // Through the blank nothing is in its way; what was not drilled at all is another matter.
        if floor_mm <= THROUGH_MM || below_mm < -REAL_MM || below_mm >= room_mm - REAL_MM {
            return;
        }
        let tool = self.tool;
        let key = u64::from(tool.unwrap_or(u32::MAX));
        self.find(&rules::TAP_HOLE_SHALLOW, key, || {
            format!(
                "{} ends {:.1} mm above the bottom of its hole; its chips take {room_mm:.1} mm, 2 pitches, and the spindle runs on.",
                name(tool),
                below_mm.max(0.0)
            )
        });
    }

    /// Metal stands where the pilot hole of a drill is to be. A hole that is hardly wider than the cells of the grid would not be seen.
    #[cold]
    fn look_at_pilot(&mut self, motion: &Motion, met: Met) {
        /// Cells across a hole that is surely seen at its centre: one cell off on each side, and its own.
        const CELLS: f64 = 3.0;
        let here = |lines: &[u64; 2]| (lines[0]..=lines[1]).contains(&motion.line);
        let pilot = self.against.pilots.iter().find(|(lines, _)| here(lines));
        let Some((_, pilot_mm)) = pilot.filter(|(_, d)| *d >= CELLS * self.grid.cell_mm) else {
            return;
        };
        let (tool, pilot_mm) = (self.tool, *pilot_mm);
        let key = u64::from(tool.unwrap_or(u32::MAX));
        self.find(&rules::HOLE_WITHOUT_PILOT, key, || {
            format!(
                "{} goes {:.1} mm into metal where its pilot hole of {pilot_mm:.1} mm is to be.",
                name(tool),
                met.centre_mm
            )
        });
    }
}
