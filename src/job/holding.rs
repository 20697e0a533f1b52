//! What holds the part, and where the tool must not go.

use crate::job::typed::Typed;

/// What holds the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeldBy {
    /// A vice.
    Vice,
    /// Clamps on the table or on a spoil board.
    Clamps,
    /// Double-sided tape.
    Tape,
    /// Glue.
    Glue,
    /// Vacuum.
    Vacuum,
    /// Dowels, with clamps or screws.
    Dowels,
    /// Screws through the part or its waste.
    Screws,
    /// Wax that is melted on and off.
    Wax,
}

impl HeldBy {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 8] = [
        Self::Vice,
        Self::Clamps,
        Self::Dowels,
        Self::Screws,
        Self::Tape,
        Self::Glue,
        Self::Vacuum,
        Self::Wax,
    ];

    /// Word used in records, conditions and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Vice => "vice",
            Self::Clamps => "clamps",
            Self::Tape => "tape",
            Self::Glue => "glue",
            Self::Vacuum => "vacuum",
            Self::Dowels => "dowels",
            Self::Screws => "screws",
            Self::Wax => "wax",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|held| held.word() == word)
    }

    /// What is to be felt before a cut, and the state that is confirmed. Common practice, no source.
    pub fn tight(self) -> (&'static str, &'static str) {
        match self {
            Self::Vice => (
                "Push hard on the work: vice tight to table, work tight in vice",
                "TIGHT",
            ),
            Self::Clamps => (
                "Push hard on the work: each clamp is tight and bears on the work",
                "TIGHT",
            ),
            Self::Screws => (
                "Push hard on the work: each screw is tight and its head bears",
                "TIGHT",
            ),
            Self::Dowels => (
                "Dowels do not hold down: pull up, something else holds it tight",
                "HELD DOWN",
            ),
            Self::Tape => (
                "Pull hard on the work, up and sideways: the tape does not give",
                "HOLDS",
            ),
            Self::Glue => (
                "Pull hard on the work, up and sideways: the glue does not give",
                "HOLDS",
            ),
            Self::Wax => (
                "Pull hard on the work, up and sideways: the wax does not give",
                "HOLDS",
            ),
            Self::Vacuum => (
                "The pump runs; pull hard on the work, up and sideways: it holds",
                "HOLDS",
            ),
        }
    }

    /// What must stay clear of every move, and the state that is confirmed. Common practice, no source.
    pub fn clear(self) -> (&'static str, &'static str) {
        (
            match self {
                Self::Vice => "Jaws, handle and stop of the vice stay clear of every move",
                Self::Clamps => "Clamps, bolts and their packing stay clear of every move",
                Self::Dowels => "Dowels, and what holds down with them, clear of every move",
                Self::Screws => "Screw heads, in part and waste, stay clear of every move",
                Self::Vacuum => "Seal, hose and stops stay clear of every move",
                Self::Tape | Self::Glue | Self::Wax => {
                    "Stops, and what else is on the table, stay clear of every move"
                }
            },
            "CLEAR",
        )
    }

    /// What holds it now, as a sentence begins: with these clamps the air run goes so far.
    pub fn with_it(self) -> &'static str {
        match self {
            Self::Vice => "in this vice",
            Self::Clamps => "with these clamps",
            Self::Dowels => "on these dowels",
            Self::Screws => "with these screws",
            Self::Tape => "on this tape",
            Self::Glue => "on this glue",
            Self::Vacuum => "on this vacuum",
            Self::Wax => "on this wax",
        }
    }

    /// What is looked at when the part moved, and what holds it better. Common practice, no source.
    pub fn when_it_moved(self) -> (&'static str, &'static str) {
        match self {
            Self::Vice => (
                "Seats and jaws clean, part gripped deep enough, jaws parallel?",
                "Grip deeper or over more length; clean, dry jaws",
            ),
            Self::Clamps => (
                "Seats clean, each clamp pressing on the part and not on its packing?",
                "More clamps, lower, nearer to the cut",
            ),
            Self::Dowels => (
                "Seats clean, dowels a snug fit, what holds down with them still tight?",
                "Hold down with more clamps or screws beside the dowels",
            ),
            Self::Screws => (
                "Seats clean, heads bearing, threads or board not torn?",
                "More screws, nearer to the cut, into fresh board",
            ),
            Self::Tape => (
                "Tape torn, stretched or warm; oil or dust on either face?",
                "New tape over more of the face, both faces wiped free of grease",
            ),
            Self::Glue => (
                "Glue cracked, soft or warm; did it part from work or board?",
                "Glue anew over more of the face, both faces free of grease",
            ),
            Self::Vacuum => (
                "Pump and gauge, seal whole, no cut through into the bed?",
                "More area under vacuum, a whole seal; add a stop against pushing",
            ),
            Self::Wax => (
                "Wax soft, warm or cracked; did it part from work or plate?",
                "Wax anew, both warm enough to wet; add a stop against pushing",
            ),
        }
    }

    /// Whether heat or a long pause may loosen it.
    pub fn is_bond(self) -> bool {
        matches!(self, Self::Tape | Self::Glue | Self::Vacuum | Self::Wax)
    }
}

/// A box where the tool must not go: a clamp, a jaw, a screw head.
///
/// Measured from the left front bottom of the blank; lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeepOut {
    /// Least X and Y.
    pub from: [f64; 2],
    /// Greatest X and Y.
    pub to: [f64; 2],
    /// Height above the bottom of the blank.
    pub height: f64,
}

/// The head of a screw that holds the part, its washer included. The tool must not go there either: not into the head, and not into
/// the metal below it, where the screw is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScrewHead {
    /// X and Y of its middle from the left front corner of the blank, mm.
    pub at: [f64; 2],
    /// Diameter, mm; more than 0.
    pub diameter: f64,
    /// Height above the top of the blank, mm; 0 for a head that is sunk flush.
    pub height: f64,
}

impl ScrewHead {
    /// The zone of the head on a blank of this thickness, mm: the square around it, so that it is nowhere smaller than the head.
    pub fn zone(&self, thickness_mm: f64) -> KeepOut {
        let r = self.diameter / 2.0;
        KeepOut {
            from: self.at.map(|middle| middle - r),
            to: self.at.map(|middle| middle + r),
            height: thickness_mm + self.height,
        }
    }
}

impl Holding {
    /// Whether screws hold the part and nobody has said where their heads stand.
    pub fn heads_unknown(&self) -> bool {
        self.by == HeldBy::Screws && self.screws.is_empty()
    }

    /// All places where the tool must not go on a blank of this greatest thickness, mm.
    pub fn zones(&self, thickness_mm: f64) -> Vec<KeepOut> {
        let heads = self.screws.iter().map(|head| head.zone(thickness_mm));
        self.keep_outs.iter().copied().chain(heads).collect()
    }
}

/// What is said where heads of screws are not stated.
pub const HEADS_UNKNOWN: &str =
    "Not checked: screw heads unknown. Enter place and head of each screw at hold.";

/// How the part is held in one setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Holding {
    /// Upward pull that a bond stood in a test, in N.
    pub pull_n: Option<f64>,
    /// After how much cutting the bond is to rest, in s, if the person has a figure of their own.
    pub rest_after_s: Option<f64>,
    /// What holds it.
    pub by: HeldBy,
    /// How far the vice or fence is out of true over its length, in mm, if it was measured.
    pub out_of_true: Option<Typed>,
    /// Where the tool must not go.
    pub keep_outs: Vec<KeepOut>,
    /// Heads of the screws that hold it.
    pub screws: Vec<ScrewHead>,
}
