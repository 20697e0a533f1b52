//! The tool of a recipe: a profile, changed by what the flags say, or one made of flags alone.

use crate::calculator::question::Cut;
use crate::cli::recipe::Args;
use crate::cli::recipe::find_tool;
use crate::job::tool::Edge;
use crate::job::tool::Hand;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::tool::flutes_words;
use crate::job::typed;
use crate::problem::Problem;
use crate::profile::library::Library;
use crate::quantity::to_degree;
use crate::quantity::to_mm;
use crate::quantity::to_rpm;
use crate::quantity::to_um;

/// The tool, and what had to be assumed of it.
///
/// # Errors
///
/// No tool of that name, or too little said to make one.
pub fn from(args: &Args, library: &Library) -> Result<(Tool, Vec<String>), Problem> {
    let mut assumed = vec![];
    let mut tool = match &args.tool {
        Some(name) => find_tool(library, name)?.clone(),
        None => of_flags(args, &mut assumed)?,
    };
    if let Some(d) = args.diameter {
        tool.diameter_mm = to_mm(d);
    }
    if let Some(z) = args.flutes {
        tool.flutes = z;
    }
    if let Some(edge) = args.tool_material {
        tool.edge = edge;
    }
    if let Some(radius) = args.edge_radius {
        tool.edge_radius_um = Some(to_um(radius));
    }
    if let Some(radius) = args.corner_radius {
        tool.corner_radius_mm = to_mm(radius);
    }
    if let Some(rating) = args.speed_rating {
        tool.cutter_rating_rpm = Some(to_rpm(rating));
    }
    if tool.corner_radius_mm > tool.diameter_mm / 2.0 * (1.0 + 1e-9) {
        return Err(Problem::user("compute the recipe")
            .because("the corner radius is more than half the diameter")
            .hint("A ball has half its diameter."));
    }
    if let Some(helix) = args.helix {
        tool.helix_deg = to_degree(helix);
    }
    Ok((tool, assumed))
}

/// A tool of which only diameter, flutes and edge are known.
fn of_flags(args: &Args, assumed: &mut Vec<String>) -> Result<Tool, Problem> {
    let missing = |flag: &str| {
        Problem::user("compute the recipe")
            .because(format!("--{flag} is missing"))
            .hint("Name --tool, or --diameter, --flutes and --tool-material.")
    };
    let d = to_mm(args.diameter.ok_or_else(|| missing("diameter"))?);
    let flutes = args.flutes.ok_or_else(|| missing("flutes"))?;
    let edge = args.tool_material.ok_or_else(|| missing("tool-material"))?;
    let kind = match args.cut {
        Cut::Drill => Kind::Drill,
        Cut::Ream => Kind::Reamer,
        Cut::Tap => Kind::Tap,
        Cut::Chamfer => Kind::Chamfer,
        Cut::Thread => Kind::ThreadMill,
        Cut::Side | Cut::Slot | Cut::Face | Cut::Plunge => Kind::EndMill,
    };
    let is_hole_tool = matches!(kind, Kind::Drill | Kind::Reamer | Kind::Tap);
    let flute_length_mm = if is_hole_tool { 8.0 * d } else { 3.0 * d };
    let stick_out_mm = flute_length_mm + d;
    let helix_deg = 30.0;
    if args.stickout.is_none() {
        assumed.push(format!(
            "stick-out {} mm, flutes and one diameter",
            typed::plain(stick_out_mm)
        ));
    }
    assumed.push(format!(
        "shank {} mm, flutes {} mm long: usual proportions",
        typed::plain(d),
        typed::plain(flute_length_mm)
    ));
    if args.helix.is_none() && !is_hole_tool {
        assumed.push(format!("helix {helix_deg} deg"));
    }
    if kind == Kind::EndMill && args.cut == Cut::Plunge {
        assumed.push("the tool cuts to its centre".to_owned());
    }
    let edge_radius_um = None;
    Ok(Tool {
        name: "given".to_owned(),
        title: format!(
            "{} {d} mm, {}, {}",
            kind.word(),
            flutes_words(&flutes.to_string()),
            edge.word()
        ),
        kind,
        diameter_mm: d,
        flutes,
        flute_length_mm,
        shank_mm: d,
        stick_out_mm,
        corner_radius_mm: 0.0,
        helix_deg,
        point_angle_deg: match kind {
            Kind::Chamfer => Some(90.0),
            Kind::Drill => Some(match edge {
                Edge::Hss => 118.0,
                Edge::Carbide => 140.0,
            }),
            _ => None,
        },
        tip_diameter_mm: None,
        edge,
        coating: "none".to_owned(),
        edge_radius_um,
        centre_cutting: true,
        hand: Hand::Right,
        pitch_mm: None,
        thread: None,
        cutter_rating_rpm: None,
        arbor_rating_rpm: None,
        holder_rating_rpm: None,
        stored_length: false,
        notes: vec![],
    })
}
