//! Whether a thread mill can mill a thread.

use crate::cutting::tapping;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::typed::plain;
use crate::plain;
use crate::quantity::mm;
use crate::quantity::to_mm;

/// Pitches and diameters that differ by less are the same, mm.
const SAME_MM: f64 = 0.005;

/// Diameter of the hole that the mill goes into: the minor diameter of the inside thread, mm. ISO 68-1, basic profile.
pub fn hole_mm(diameter_mm: f64, pitch_mm: f64) -> f64 {
    to_mm(tapping::tap_hole(
        mm(diameter_mm),
        mm(pitch_mm),
        100.0,
        tapping::Meaning::BasicProfile,
    ))
}

/// Why this tool does not mill the thread of this diameter and pitch, mm, in words; none where it does.
pub fn misfit(tool: &Tool, diameter_mm: f64, pitch_mm: f64) -> Option<String> {
    let title = plain::text(&tool.title);
    if tool.kind != Kind::ThreadMill {
        return Some(format!("\"{title}\" is no thread mill"));
    }
    let own = tool.pitch_mm.unwrap_or(0.0);
    if (own - pitch_mm).abs() > SAME_MM {
        return Some(format!(
            "the thread mill \"{title}\" has a pitch of {} mm, the thread one of {} mm",
            plain(own),
            plain(pitch_mm)
        ));
    }
    let hole = hole_mm(diameter_mm, pitch_mm);
    (tool.diameter_mm >= hole).then(|| {
        format!(
            "the thread mill \"{title}\" is {} mm thick, and the hole of the thread {hole:.2} mm",
            plain(tool.diameter_mm)
        )
    })
}
