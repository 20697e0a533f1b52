//! What the program is checked against; everything but the program may be unknown.

use crate::check::bores::Bore;
use crate::check::chip_load::SectionRecipe;
use crate::check::hint;
use crate::check::placement::Placement;
use crate::job::holding::HeldBy;
use crate::job::holding::KeepOut;
use crate::job::machine::Machine;
use crate::job::machine::SpeedSetBy;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::tool_speed::Faster;
use crate::job::zero::ZeroPoint;
use crate::program::section::Section;
use crate::program::summary::Summary;
use crate::program::time::limits::Corner;
use crate::program::time::limits::MotionLimits;
use crate::session::care_log::Backlash;
use crate::session::state::Setup;

/// Depth that a through cut may go below the bottom of the blank, mm, unless stated.
pub const USUAL_OVER_CUT_MM: f64 = 0.5;
/// Side overhang beyond the tool's radius that lead-ins and facing take, mm (common practice, no source).
pub const SIDE_ALLOWANCE_MM: f64 = 10.0;
/// Radius taken where neither a tool nor a comment says more, mm: an end mill.
pub const UNSTATED_RADIUS_MM: f64 = 6.0;
/// The same for cuts near the top, which may be facing, mm: a small face mill.
pub const UNSTATED_FACING_RADIUS_MM: f64 = 25.0;

/// Tools that a sentence names at most.
const MOST_NAMES: usize = 6;

/// What a tool is called in a sentence.
pub fn tool_name(tool: Option<u32>) -> String {
    tool.map_or_else(|| "the tool".to_owned(), |tool| format!("T{tool}"))
}

/// What the end of a message says that rests on the assumed width of a tool.
pub fn rests_on_width(tool: Option<u32>) -> String {
    format!(" Worked out {} for {}.", assumed_cutter(), tool_name(tool))
}

/// The width that is assumed, as the end of a sentence.
pub fn assumed_cutter() -> String {
    format!(
        "with an assumed cutter of {:.0} mm",
        2.0 * UNSTATED_RADIUS_MM
    )
}

/// The setup as far as it is known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Against {
    /// Size of the blank.
    pub stock: Option<StockSize>,
    /// What lies under it.
    pub under: Under,
    /// Depth allowed below the bottom, mm; `None` takes the usual one.
    pub over_cut_mm: Option<f64>,
    /// Size of the finished part.
    pub part: Option<StockSize>,
    /// Left front bottom corner of the part from that of the blank, mm; `None`: centred, bottoms flush.
    pub part_at_mm: Option<[f64; 3]>,
    /// The point of the blank that the machine calls zero.
    pub zero: Option<ZeroPoint>,
    /// Whether it is a point of the finished part instead.
    pub is_zero_on_part: bool,
    /// Limits of the machine.
    pub machine: Option<Limits>,
    /// Tools by number.
    pub tools: Vec<(u32, ToolFacts)>,
    /// Diameters that the program was planned for where another tool has taken over since, mm, by number.
    pub posted: Vec<(u32, f64)>,
    /// What holds the blank, if it was stated.
    pub held_by: Option<HeldBy>,
    /// Places where the tool must not go.
    pub keep_outs: Vec<KeepOut>,
    /// Whether screws hold the blank and nobody has said where their heads stand.
    pub heads_unknown: bool,
    /// Where in the program they stand.
    pub keep_outs_stand: KeepOutsStand,
    /// Recipes of the program's sections.
    pub recipes: Vec<SectionRecipe>,
    /// Lines of the program that drill into a hole that is to be there, first and last, with its diameter, mm.
    pub pilots: Vec<([u64; 2], f64)>,
    /// Bores with a tolerance.
    pub bores: Vec<Bore>,
    /// Where each tool is touched off on the Z reference, X and Y in the numbers of the program, mm.
    pub z_at_mm: Option<[f64; 2]>,
    /// The setup of a session: its Z reference and the order of its operations.
    pub setup: Option<Box<Setup>>,
}

/// Where in the program the keep-outs stand: clamps may change places in the middle.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum KeepOutsStand {
    /// In all of it.
    #[default]
    Throughout,
    /// Not in these lines, first and last; before or behind a change they stand elsewhere.
    NotIn(Vec<[u64; 2]>),
    /// They change, and which lines run before and behind is not known: none is checked.
    Unknown,
}

impl KeepOutsStand {
    /// Whether they stand while a line runs.
    pub fn at(&self, line: u64) -> bool {
        match self {
            Self::Throughout => true,
            Self::NotIn(lines) => !lines
                .iter()
                .any(|[first, last]| (*first..=*last).contains(&line)),
            Self::Unknown => false,
        }
    }

    /// Says what is not checked.
    pub fn say(&self, assumed: &mut Vec<String>) {
        match self {
            Self::Throughout => {}
            Self::NotIn(lines) => {
                let lines: Vec<String> = lines
                    .iter()
                    .map(|[first, last]| format!("{first} to {last}"))
                    .collect();
                assumed.push(format!(
                    "The clamps change places: lines {} run with others, and the keep-outs are not checked there.",
                    lines.join(", ")
                ));
            }
            Self::Unknown => assumed.push(
                "The clamps change places, and nobody said which lines run before that: no keep-out is checked."
                    .to_owned(),
            ),
        }
    }
}

impl Against {
    /// Depth allowed below the bottom of the blank, mm.
    pub fn over_cut_mm(&self) -> f64 {
        self.over_cut_mm.unwrap_or(USUAL_OVER_CUT_MM)
    }

    /// The finished part and where its left front bottom corner lies from that of the blank, mm.
    pub fn part_in(&self, stock: StockSize) -> Option<(StockSize, [f64; 3])> {
        let part = self.part?;
        let at = self.part_at_mm.unwrap_or([
            (stock.x_mm - part.x_mm) / 2.0,
            (stock.y_mm - part.y_mm) / 2.0,
            0.0,
        ]);
        Some((part, at))
    }

    /// How the program lies on the blank with the zero as stated; `None` while it is not, or is a point of a part of
    /// which nothing is known.
    pub fn placed(&self, stock: StockSize) -> Option<Placement> {
        let zero = self.zero?;
        let mut placement = Placement::plain(zero);
        if self.is_zero_on_part {
            let (part, at) = self.part_in(stock)?;
            let size = [part.x_mm, part.y_mm, part.z_mm];
            let share = zero.share();
            placement.part_point_mm = Some(std::array::from_fn(|axis| {
                at[axis] + share[axis] * size[axis]
            }));
        }
        Some(placement)
    }

    /// Facts of a tool, if it was stated.
    pub fn tool(&self, number: Option<u32>) -> Option<&ToolFacts> {
        let number = number?;
        self.tools
            .iter()
            .find(|(n, _)| *n == number)
            .map(|(_, facts)| facts)
    }

    /// Radius of a section's tool, mm, as stated, else from the program's comment.
    pub fn radius_mm(&self, section: &Section) -> Option<f64> {
        self.tool(section.tool)
            .and_then(|tool| tool.diameter_mm)
            .or_else(|| hint::diameter(&section.tool_comment, section.units).map(|said| said.mm))
            .map(|d| d / 2.0)
    }

    /// The tools that cut and of which neither the setup nor a comment says a diameter, as words: `T1, T3`; `None` where
    /// each has one.
    pub fn tools_without_width(&self, summary: &Summary) -> Option<String> {
        let mut names: Vec<String> = vec![];
        let cuts = summary.sections.iter().filter(|section| section.has_cut());
        for section in cuts.filter(|section| self.radius_mm(section).is_none()) {
            let name = tool_name(section.tool);
            if !names.contains(&name) && names.len() < MOST_NAMES {
                names.push(name);
            }
        }
        (!names.is_empty()).then(|| names.join(", "))
    }

    /// The end of a message that rests on what was cut up to a line, where a tool up to there has a width that is assumed.
    pub fn assumed_up_to(&self, summary: &Summary, line: u64) -> String {
        let mut cuts = summary.sections.iter().filter(|section| section.has_cut());
        let first = cuts.find(|section| self.radius_mm(section).is_none());
        let first = first.filter(|section| section.first_line <= line);
        first.map_or(String::new(), |section| rests_on_width(section.tool))
    }

    /// Whether the person starts and sets the spindle by hand.
    pub fn spindle_by_hand(&self) -> bool {
        self.machine
            .as_ref()
            .is_some_and(|machine| machine.spindle_by_hand)
    }
}

/// What is known of a tool; `None` where it was not stated.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ToolFacts {
    /// What the person calls it.
    pub title: String,
    /// Sort of tool.
    pub kind: Option<Kind>,
    /// Pitch of the thread that a tap makes, mm.
    pub pitch_mm: Option<f64>,
    /// Cutting diameter, mm.
    pub diameter_mm: Option<f64>,
    /// Number of flutes.
    pub flutes: Option<u32>,
    /// Cutting length, mm.
    pub flute_length_mm: Option<f64>,
    /// Shank diameter, mm.
    pub shank_mm: Option<f64>,
    /// Length out of the holder, mm.
    pub stick_out_mm: Option<f64>,
    /// Whether it may plunge.
    pub centre_cutting: Option<bool>,
    /// Whether it turns clockwise to cut.
    pub turns_right: Option<bool>,
    /// Whether it cuts sideways; a drill does not.
    pub cuts_sideways: Option<bool>,
    /// Lowest speed rating of cutter, arbor and holder, rpm.
    pub speed_rating_rpm: Option<f64>,
}

impl ToolFacts {
    /// The facts of a tool of the rack.
    pub fn of(tool: &Tool) -> Self {
        Self {
            title: tool.title.clone(),
            kind: Some(tool.kind),
            pitch_mm: tool.pitch_mm,
            diameter_mm: Some(tool.diameter_mm),
            flutes: Some(tool.flutes),
            flute_length_mm: Some(tool.flute_length_mm),
            shank_mm: Some(tool.shank_mm),
            stick_out_mm: Some(tool.stick_out_mm),
            centre_cutting: Some(tool.centre_cutting),
            turns_right: Some(tool.hand == crate::job::tool::Hand::Right),
            cuts_sideways: Some(tool.kind.cuts_sideways()),
            speed_rating_rpm: tool.speed_rating_rpm(),
        }
    }
}

/// Limits of a machine that a program can exceed.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Usable travel X, Y, Z, mm.
    pub travel_mm: [f64; 3],
    /// Top feed X, Y, Z, mm/min.
    pub top_feed_mm_min: [f64; 3],
    /// Rapid X, Y, Z, mm/min.
    pub rapid_mm_min: [f64; 3],
    /// Acceleration X, Y, Z, mm/s².
    pub acceleration_mm_s2: [f64; 3],
    /// How far a corner may be rounded, mm; 0 stops at each corner.
    pub corner_tolerance_mm: f64,
    /// Blocks that the control looks ahead; 0 stops at each block.
    pub look_ahead_blocks: u32,
    /// Least and top spindle speed, 1/min.
    pub spindle_rpm: [f64; 2],
    /// How much faster than set the spindle can turn.
    pub faster: Faster,
    /// Whether the person sets the spindle by hand, so that S and M3 do nothing.
    pub spindle_by_hand: bool,
    /// Whether the spindle can turn counterclockwise.
    pub turns_left: bool,
    /// Back-off of a peck, mm.
    pub peck_backoff_mm: f64,
    /// Backlash X, Y, Z, mm.
    pub backlash_mm: [f64; 3],
    /// Where the backlash of X and Y comes from, in words.
    pub backlash_from: [String; 2],
    /// Dead time of each stop, s; 0 where it was not timed.
    pub stop_s: f64,
}

impl Limits {
    /// The same with backlash of X and Y as it was read.
    #[must_use]
    pub fn with_backlash(mut self, x_y: [Backlash; 2]) -> Self {
        for (place, read) in x_y.into_iter().enumerate() {
            self.backlash_mm[place] = read.mm;
            self.backlash_from[place] = read.from();
        }
        self
    }

    /// What the time of motions depends on.
    pub fn motion(&self) -> MotionLimits {
        let per_second = |v: f64| v / 60.0;
        // A control that does not look ahead stops at each block, whatever its tolerance.
        let corner = if self.corner_tolerance_mm > 0.0 && self.look_ahead_blocks > 0 {
            Corner::Blend {
                tolerance_mm: self.corner_tolerance_mm,
            }
        } else {
            Corner::Stop
        };
        let limits = MotionLimits::new(
            self.top_feed_mm_min.map(per_second),
            self.rapid_mm_min.map(per_second),
            self.acceleration_mm_s2,
            corner,
        );
        MotionLimits {
            look_ahead_blocks: (self.look_ahead_blocks > 0).then_some(self.look_ahead_blocks),
            stop_s: self.stop_s,
            ..limits
        }
    }

    /// The limits of a machine.
    pub fn of(machine: &Machine) -> Self {
        let axes = [&machine.axes.x, &machine.axes.y, &machine.axes.z];
        Self {
            travel_mm: axes.map(|a| a.travel_mm.value),
            top_feed_mm_min: axes.map(|a| a.top_feed_mm_min.value),
            rapid_mm_min: axes.map(|a| a.rapid_mm_min.value),
            acceleration_mm_s2: axes.map(|a| a.acceleration_mm_s2.value),
            corner_tolerance_mm: machine.control.corner_tolerance_mm.value,
            look_ahead_blocks: machine.control.look_ahead_blocks.value,
            spindle_rpm: [machine.spindle.least_rpm(), machine.spindle.top_rpm()],
            faster: Faster::of(machine),
            spindle_by_hand: machine.spindle.speed_set_by == SpeedSetBy::Hand,
            turns_left: machine.spindle.turns == crate::job::machine::Turns::Both,
            peck_backoff_mm: machine.control.peck_clearance_mm.value,
            backlash_mm: axes.map(|a| a.backlash_mm.value),
            backlash_from: ["profile"; 2].map(str::to_owned),
            stop_s: machine
                .control
                .stop_s
                .as_ref()
                .map_or(0.0, |stop| stop.value),
        }
    }
}
