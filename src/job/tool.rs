//! A tool of the rack.

use crate::job::conditions::Conditions;

/// A number of flutes in words: `1 flute`, `2 flutes`.
pub fn flutes_words(count: &str) -> String {
    let plural = if count.trim() == "1" { "" } else { "s" };
    format!("{count} flute{plural}")
}

/// Sort of tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Flat end mill.
    EndMill,
    /// Ball-nosed end mill.
    Ball,
    /// End mill with a corner radius.
    BullNose,
    /// Chamfer mill.
    Chamfer,
    /// Spot drill.
    SpotDrill,
    /// Twist drill.
    Drill,
    /// Tap.
    Tap,
    /// Reamer.
    Reamer,
    /// Face mill with several teeth or inserts.
    FaceMill,
    /// Thread mill.
    ThreadMill,
    /// One bit on an arm.
    Flycutter,
    /// Slitting saw.
    SlittingSaw,
    /// Boring head.
    BoringHead,
    /// Edge finder: touches, never cuts.
    EdgeFinder,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 14] = [
        Self::EndMill,
        Self::Ball,
        Self::BullNose,
        Self::Chamfer,
        Self::SpotDrill,
        Self::Drill,
        Self::Tap,
        Self::Reamer,
        Self::FaceMill,
        Self::ThreadMill,
        Self::Flycutter,
        Self::SlittingSaw,
        Self::BoringHead,
        Self::EdgeFinder,
    ];

    /// Word used in profiles and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::EndMill => "end mill",
            Self::Ball => "ball end mill",
            Self::BullNose => "bull-nose end mill",
            Self::Chamfer => "chamfer mill",
            Self::SpotDrill => "spot drill",
            Self::Drill => "drill",
            Self::Tap => "tap",
            Self::Reamer => "reamer",
            Self::FaceMill => "face mill",
            Self::ThreadMill => "thread mill",
            Self::Flycutter => "flycutter",
            Self::SlittingSaw => "slitting saw",
            Self::BoringHead => "boring head",
            Self::EdgeFinder => "edge finder",
        }
    }

    /// The kind of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Whether it cuts sideways.
    pub fn cuts_sideways(self) -> bool {
        matches!(
            self,
            Self::EndMill
                | Self::Ball
                | Self::BullNose
                | Self::Chamfer
                | Self::FaceMill
                | Self::ThreadMill
                | Self::Flycutter
                | Self::SlittingSaw
        )
    }

    /// What cautions call it.
    pub fn caution_word(self) -> &'static str {
        match self {
            Self::EndMill | Self::Ball | Self::BullNose => "end_mill",
            Self::Chamfer => "chamfer_mill",
            Self::SpotDrill => "spot_drill",
            Self::Drill => "drill",
            Self::Tap => "tap",
            Self::Reamer => "reamer",
            Self::FaceMill => "face_mill",
            Self::ThreadMill => "thread_mill",
            Self::Flycutter => "flycutter",
            Self::SlittingSaw => "slitting_saw",
            Self::BoringHead => "boring_head",
            Self::EdgeFinder => "edge_finder",
        }
    }
}

/// What the edge is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// High-speed steel, cobalt grades included.
    Hss,
    /// Cemented carbide.
    Carbide,
}

impl Edge {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Hss, Self::Carbide];

    /// Word used in profiles, commands and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hss => "hss",
            Self::Carbide => "carbide",
        }
    }

    /// The material of a word used in profiles and commands.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|edge| edge.word() == word)
    }
}

/// Which way the tool must turn to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Clockwise seen from above (M3).
    Right,
    /// Counter-clockwise (M4).
    Left,
}

impl Hand {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Right, Self::Left];

    /// Word used in profiles, cautions and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }

    /// The hand of a word used in profiles.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|hand| hand.word() == word)
    }
}

/// A tool of the rack.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Its own name, lower case with hyphens.
    pub name: String,
    /// What the screen calls it.
    pub title: String,
    /// Sort.
    pub kind: Kind,
    /// Cutting diameter, mm; for a chamfer mill or spot drill the largest, for a
    /// tap the nominal thread diameter.
    pub diameter_mm: f64,
    /// Number of flutes or teeth, 1 and more; 0 only for an edge finder.
    pub flutes: u32,
    /// Cutting length, mm.
    pub flute_length_mm: f64,
    /// Shank diameter, mm.
    pub shank_mm: f64,
    /// Usual length out of the holder, mm.
    pub stick_out_mm: f64,
    /// Corner radius, mm; 0 for a sharp corner, half the diameter for a ball.
    pub corner_radius_mm: f64,
    /// Helix angle, degrees; 0 for straight flutes.
    pub helix_deg: f64,
    /// Included point or chamfer angle, degrees.
    pub point_angle_deg: Option<f64>,
    /// Diameter at the tip of a chamfer mill, mm.
    pub tip_diameter_mm: Option<f64>,
    /// What the edge is made of.
    pub edge: Edge,
    /// Generic coating, such as "zirconium nitride" or "none".
    pub coating: String,
    /// Radius of the cutting edge, µm; `None` when nobody knows it.
    pub edge_radius_um: Option<f64>,
    /// Whether it cuts to its centre and may plunge.
    pub centre_cutting: bool,
    /// Which way it must turn to cut.
    pub hand: Hand,
    /// Pitch of a tap or thread mill, mm.
    pub pitch_mm: Option<f64>,
    /// Thread designation of a tap, such as "M4".
    pub thread: Option<String>,
    /// Highest speed that the cutter is rated for, rpm: printed on its body, or in its maker's sheet.
    pub cutter_rating_rpm: Option<f64>,
    /// Highest speed that its arbor is rated for, rpm.
    pub arbor_rating_rpm: Option<f64>,
    /// Highest speed that its holder is rated for, rpm.
    pub holder_rating_rpm: Option<f64>,
    /// Whether it stays in its own holder with a stored length, so that a change
    /// asks only for a check touch.
    pub stored_length: bool,
    /// Notes for the person.
    pub notes: Vec<String>,
}

impl Tool {
    /// How far the point stands ahead of the full diameter, in mm: a cone of the included angle a is D / (2 tan(a / 2)) long (plane
    /// geometry). None for a tool without a point that is known.
    pub fn point_mm(&self) -> Option<f64> {
        let half = (self.point_angle_deg? / 2.0).to_radians();
        (half.tan() > 0.0).then(|| self.diameter_mm / (2.0 * half.tan()))
    }

    /// States what cautions ask of the tool at this stick-out, mm.
    pub fn state(&self, stick_out_mm: f64, conditions: &mut Conditions) {
        conditions.word("tool_kind", self.kind.caution_word());
        conditions.word("tool_hand", self.hand.word());
        conditions.number("tool_diameter_mm", self.diameter_mm);
        if self.diameter_mm > 0.0 {
            conditions.number("tool_stickout_ratio", stick_out_mm / self.diameter_mm);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_word(kind.word()), Some(kind));
        }
        for edge in Edge::ALL {
            assert_eq!(Edge::from_word(edge.word()), Some(edge));
        }
        for hand in Hand::ALL {
            assert_eq!(Hand::from_word(hand.word()), Some(hand));
        }
    }
}
