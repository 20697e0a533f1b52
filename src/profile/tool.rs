//! A tool out of its table.

use crate::job::tool::Edge;
use crate::job::tool::Hand;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::profile::read::Section;
use crate::profile::unit::Unit;

/// Reads a table `[[tool]]`; `None` after a fault was reported.
pub fn read(s: &Section<'_, '_>) -> Option<Tool> {
    let name = s.name("name");
    let title = s.text("title");
    let kind = s.word("kind", &Kind::ALL.map(Kind::word), Kind::from_word);
    let diameter_mm = s.quantity("diameter", Unit::Length, 0.05..=300.0);
    let is_finder = kind == Some(Kind::EdgeFinder);
    let flutes = if is_finder && !s.has("flutes") {
        Some(0)
    } else {
        s.count("flutes", 1..=60)
    };
    let flute_length_mm = s.quantity("flute_length", Unit::Length, 0.0..=500.0);
    let shank_mm = s.quantity("shank", Unit::Length, 0.5..=100.0);
    let stick_out_mm = s.quantity("stick_out", Unit::Length, 1.0..=500.0);
    let corner = s.quantity_if("corner_radius", Unit::Length, 0.0..=150.0);
    let helix_deg = s.quantity_if("helix", Unit::Angle, 0.0..=75.0);
    let point_angle_deg = s.quantity_if("point_angle", Unit::Angle, 10.0..=180.0);
    let tip_diameter_mm = s.quantity_if("tip_diameter", Unit::Length, 0.0..=100.0);
    let edge = s.word("edge", &Edge::ALL.map(Edge::word), Edge::from_word);
    let coating = s.text_if("coating").unwrap_or_else(|| "none".to_owned());
    let edge_radius = s.quantity_if("edge_radius", Unit::Length, 0.0..=0.2);
    let centre_cutting = s.truth_or_false("centre_cutting");
    let hand = if s.has("hand") {
        s.word("hand", &Hand::ALL.map(Hand::word), Hand::from_word)
    } else {
        Some(Hand::Right)
    };
    let pitch_mm = s.quantity_if("pitch", Unit::Length, 0.1..=10.0);
    let thread = s.text_if("thread");
    let rating = |key| s.quantity_if(key, Unit::Rpm, 1.0..=300_000.0);
    // `top_speed` is what older profiles call it; where both stand, the lower one counts.
    let cutter_rating_rpm = [rating("speed_rating"), rating("top_speed")]
        .into_iter()
        .flatten()
        .min_by(f64::total_cmp);
    let arbor_rating_rpm = rating("arbor_speed_rating");
    let holder_rating_rpm = rating("holder_speed_rating");
    let stored_length = s.truth_or_false("stored_length");
    let notes = s.texts("notes");
    s.finish();
    let kind = kind?;
    needs(s, kind, pitch_mm, point_angle_deg, corner);
    let diameter_mm = diameter_mm?;
    let corner_radius_mm = match kind {
        Kind::Ball => diameter_mm / 2.0,
        _ => corner.unwrap_or(0.0),
    };
    if corner_radius_mm > diameter_mm / 2.0 {
        s.fault(
            "corner_radius",
            "is more than half the diameter",
            "Write a radius of at most half the diameter.",
        );
        return None;
    }
    Some(Tool {
        name: name?,
        title: title?,
        kind,
        diameter_mm,
        flutes: flutes?,
        flute_length_mm: flute_length_mm?,
        shank_mm: shank_mm?,
        stick_out_mm: stick_out_mm?,
        corner_radius_mm,
        helix_deg: helix_deg.unwrap_or(0.0),
        point_angle_deg,
        tip_diameter_mm,
        edge: edge?,
        coating,
        edge_radius_um: edge_radius.map(|mm| mm * 1000.0),
        centre_cutting: centre_cutting?,
        hand: hand?,
        pitch_mm,
        thread,
        cutter_rating_rpm,
        arbor_rating_rpm,
        holder_rating_rpm,
        stored_length: stored_length?,
        notes: notes?,
    })
}

fn needs(
    s: &Section<'_, '_>,
    kind: Kind,
    pitch_mm: Option<f64>,
    point_angle_deg: Option<f64>,
    corner_mm: Option<f64>,
) {
    if matches!(kind, Kind::Tap | Kind::ThreadMill) && pitch_mm.is_none() && !s.has("pitch") {
        s.fault(
            "pitch",
            "is missing",
            format!("Write the pitch of this {}.", kind.word()),
        );
    }
    if matches!(kind, Kind::Chamfer | Kind::SpotDrill | Kind::Drill)
        && point_angle_deg.is_none()
        && !s.has("point_angle")
    {
        s.fault(
            "point_angle",
            "is missing",
            format!(
                "Write the included angle of this {}, such as \"90 deg\".",
                kind.word()
            ),
        );
    }
    if kind == Kind::BullNose && corner_mm.is_none() && !s.has("corner_radius") {
        s.fault("corner_radius", "is missing", "Write the corner radius.");
    }
}
