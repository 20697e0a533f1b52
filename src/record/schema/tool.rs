//! The tools of a job in a record.

use crate::job::tool::Edge;
use crate::job::tool::Hand;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::shape::List;
use crate::record::shape::Maybe;
use crate::record::shape::Name;
use crate::record::shape::Prose;
use crate::record::shape::Text;
use crate::record::shape::TextIf;
use crate::record::shape::Yes;
use crate::record::shape::amount;
use crate::record::shape::amount::Length;
use crate::record::shape::words;
use crate::session::state::RackTool;

pub(in crate::record) fn rack_tool<F: Fields>(f: &mut F, v: Option<&RackTool>) -> Took<RackTool> {
    Ok(RackTool {
        number: f.value("number", of!(v.number), &Maybe(amount::COUNT))?,
        tool: tool(f, of!(v.tool))?,
        stick_out: f.value("stick_out_here", of!(v.stick_out), &Maybe(Length::FromZero))?,
    })
}

fn tool<F: Fields>(f: &mut F, v: Option<&Tool>) -> Took<Tool> {
    Ok(Tool {
        name: f.value("name", of!(v.name), &Name)?,
        title: f.value("title", of!(v.title), &Text)?,
        kind: f.value("kind", of!(v.kind), &words!(Kind))?,
        diameter_mm: f.value("diameter", of!(v.diameter_mm), &amount::MM)?,
        flutes: f.value("flutes", of!(v.flutes), &amount::COUNT)?,
        flute_length_mm: f.value("flute_length", of!(v.flute_length_mm), &amount::MM)?,
        shank_mm: f.value("shank", of!(v.shank_mm), &amount::MM)?,
        stick_out_mm: f.value("stick_out", of!(v.stick_out_mm), &amount::MM)?,
        corner_radius_mm: f.value("corner_radius", of!(v.corner_radius_mm), &amount::MM)?,
        helix_deg: f.value("helix", of!(v.helix_deg), &amount::DEG)?,
        point_angle_deg: f.value("point_angle", of!(v.point_angle_deg), &Maybe(amount::DEG))?,
        tip_diameter_mm: f.value("tip_diameter", of!(v.tip_diameter_mm), &Maybe(amount::MM))?,
        edge: f.value("edge", of!(v.edge), &words!(Edge))?,
        coating: f.value("coating", of!(v.coating), &Text)?,
        edge_radius_um: f.value("edge_radius", of!(v.edge_radius_um), &Maybe(amount::UM))?,
        centre_cutting: f.value("centre_cutting", of!(v.centre_cutting), &Yes)?,
        hand: f.value("hand", of!(v.hand), &words!(Hand))?,
        pitch_mm: f.value("pitch", of!(v.pitch_mm), &Maybe(amount::MM))?,
        thread: f.value("thread", of!(v.thread), &TextIf)?,
        cutter_rating_rpm: f.value("top_speed", of!(v.cutter_rating_rpm), &Maybe(amount::RPM))?,
        arbor_rating_rpm: f.value(
            "arbor_speed_rating",
            of!(v.arbor_rating_rpm),
            &Maybe(amount::RPM),
        )?,
        holder_rating_rpm: f.value(
            "holder_speed_rating",
            of!(v.holder_rating_rpm),
            &Maybe(amount::RPM),
        )?,
        stored_length: f.value("stored_length", of!(v.stored_length), &Yes)?,
        notes: f.value("notes", of!(v.notes), &List(Prose))?,
    })
}
