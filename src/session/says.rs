//! What the program works out beside a line. It answers nothing: that is done by the person alone.

use crate::job::conditions::Value;
use crate::job::holding::HeldBy;
use crate::job::machine::SpeedSetBy;
use crate::job::recipe::Recipe;
use crate::job::tool_speed::Faster;
use crate::job::typed::plain;
use crate::session::bond;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::known;
use crate::session::state::State;
use crate::session::z_surface;

/// Why a line cannot be so, by what the person stated elsewhere: metal, water and fire do not go by what was ticked.
pub fn against(state: &State, id: &str) -> Option<String> {
    let fluid = match state.stated.get("fluid") {
        Some(Value::Word(word)) => word.as_str(),
        _ => return None,
    };
    let forbidden: &[&str] = match id {
        "mg-dry-or-oil" => &["water_mix"],
        "be-wet-slow" => &["dry", "air", "mist", "alcohol"],
        _ => return None,
    };
    forbidden.contains(&fluid).then(|| {
        format!(
            "the fluid is stated as {}: state another one first, at hold",
            fluid.replace('_', " ")
        )
    })
}

/// How the speed of the program stands to the one that is to be set: only one of the two turns the spindle.
fn speed_words(state: &State, s_rpm: f64, recipe: Option<&Recipe>) -> String {
    /// Nearer than this the two are one figure.
    const SAME: f64 = 0.01;
    let Some(set) = recipe.map(|recipe| recipe.n_rpm) else {
        return format!("S{s_rpm:.0}, ");
    };
    if state.machine.spindle.speed_set_by == SpeedSetBy::Hand {
        return format!("S{s_rpm:.0} sets nothing: set {set:.0} rpm by hand, ");
    }
    if (s_rpm - set).abs() <= SAME * set {
        return format!("S{s_rpm:.0}, ");
    }
    format!(
        "S{s_rpm:.0} for {set:.0} rpm: write S{set:.0}, or spindle override {:.0} %, ",
        (100.0 * set / s_rpm).floor()
    )
}

/// What stands beside the line of this name, where there is something to say.
pub fn beside(state: &State, id: &str) -> Option<String> {
    let setup = state.current_setup();
    let operation = state.current_operation();
    let recipe = operation.and_then(|operation| operation.recipe.as_ref());
    let part = operation.and_then(|operation| operation.part.as_ref());
    let rack = state.planned_tool().and_then(|index| state.rack.get(index));
    let says = match id {
        "match-tool-program" => {
            let part = part?;
            let tool = part
                .tool_number
                .map_or(String::new(), |number| format!("T{number}, "));
            let speed = part
                .s_rpm
                .map_or(String::new(), |s_rpm| speed_words(state, s_rpm, recipe));
            let feed = part
                .feeds_mm_min
                .last()
                .map_or(String::new(), |feed| format!("F to {}, ", plain(*feed)));
            format!(
                "{tool}{speed}{feed}lines {} to {}",
                part.first_line, part.last_line
            )
        }
        "rpm-limit" => {
            let diameter = rack?.tool.diameter_mm;
            let n = recipe?.n_rpm;
            let metres = std::f64::consts::PI * diameter * n / 1000.0;
            match rack?.tool.speed_rating_rpm() {
                Some(rating) => format!(
                    "{}; rated {rating:.0}; {metres:.0} m/min at the edge",
                    Faster::of(&state.machine).words(n)
                ),
                None => format!(
                    "{n:.0} rpm on {} mm is {metres:.0} m/min at the edge",
                    plain(diameter)
                ),
            }
        }
        "spindle-before-feed" => format!("{:.0} rpm to be reached first", recipe?.n_rpm),
        "seat-and-grip" => {
            let rack = rack?;
            format!(
                "shank {} mm, {} mm out planned",
                plain(rack.tool.shank_mm),
                plain(rack.stick_out_mm())
            )
        }
        "clamps-clear" => {
            let holding = setup.holding.as_ref()?;
            if holding.heads_unknown() {
                return Some("not checked: screw heads unknown, enter them above".to_owned());
            }
            let entered = holding.keep_outs.len() + holding.screws.len();
            let program = setup.program.as_ref()?;
            let open = program.stops.iter().filter(|stop| stop.is_open());
            let count = |number: usize, what: &str| {
                let many = if number == 1 { "" } else { "s" };
                format!("{number} {what}{many}")
            };
            format!(
                "{} entered; the check has {}",
                count(entered, "keep-out"),
                count(open.count(), "stop")
            )
        }
        "first-run-slow" => match &setup.air_left_out {
            Some(why) => format!("the air run was left out: {why}"),
            None => "it has not run in the air on this setup".to_owned(),
        },
        "mg-speed" => {
            let metres = std::f64::consts::PI * rack?.tool.diameter_mm * recipe?.n_rpm / 1000.0;
            format!("{metres:.0} m/min by this recipe")
        }
        "runs-true" => {
            let off = setup.holding.as_ref()?.out_of_true.as_ref()?;
            format!("{} out of true was entered", off.text)
        }
        "mg-dry-or-oil" | "be-wet-slow" => match state.stated.get("fluid") {
            Some(Value::Word(word)) => format!("the fluid is {}", word.replace('_', " ")),
            _ => "nobody has said which fluid".to_owned(),
        },
        known::MATERIAL_AND_COOLANT => "they choose the fire card".to_owned(),
        id if id == FactKind::ZReference.id() => z_surface::now(state)?,
        bond::COOL => bond::words(state)?,
        "work-tight" => {
            let holding = setup.holding.as_ref()?;
            let by = holding.by.word();
            let holds = match holding.by {
                HeldBy::Clamps | HeldBy::Dowels | HeldBy::Screws => "hold",
                HeldBy::Vice | HeldBy::Tape | HeldBy::Glue | HeldBy::Vacuum | HeldBy::Wax => {
                    "holds"
                }
            };
            match state.fact(FactKind::Held) {
                FactState::Redo { what, .. } => {
                    format!("{by} {holds} it; in doubt since {}", what.row().words)
                }
                _ => format!("{by} {holds} it, as entered at hold"),
            }
        }
        _ => return None,
    };
    Some(says)
}
