//! The lines of one profile, for people and for programs.

use serde_json::Value;
use serde_json::json;

use crate::job::caution::Caution;
use crate::job::conditions::Condition;
use crate::job::conditions::Conditions;
use crate::job::conditions::Test;
use crate::job::conditions::Value as Stated;
use crate::job::machine::Axis;
use crate::job::machine::Given;
use crate::job::machine::How;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::material::Sourced;
use crate::job::material::Span;
use crate::job::material::Speeds;
use crate::job::material::Taylor;
use crate::job::template::Step;
use crate::job::template::Template;
use crate::job::tool::Tool;
use crate::profile::sources::standing_word;
use crate::profile::unit::Unit;
use crate::source::Source;

/// One line of a profile.
pub struct Line {
    /// Key of the JSON object, with the unit.
    pub key: String,
    /// What people read in its place.
    pub label: String,
    /// Value for people, with source or evidence.
    pub text: String,
    /// Value for programs.
    pub json: Value,
}

fn line(key: &str, label: &str, text: impl Into<String>, json: Value) -> Line {
    Line {
        key: key.to_owned(),
        label: label.to_owned(),
        text: text.into(),
        json,
    }
}

fn plain_line(key: &str, label: &str, text: &str) -> Line {
    line(key, label, text, text.into())
}

fn list_line(key: &str, label: &str, texts: &[String]) -> Option<Line> {
    (!texts.is_empty()).then(|| line(key, label, texts.join(" / "), json!(texts)))
}

fn how_text(how: &How) -> String {
    if how.note.is_empty() {
        how.basis.word().to_owned()
    } else {
        format!("{}: {}", how.basis.word(), how.note)
    }
}

fn given_json<T: Into<Value> + Clone>(given: &Given<T>) -> Value {
    json!({
        "value": given.value.clone().into(),
        "how": given.how.basis.word(),
        "note": given.how.note,
    })
}

fn given(key: &str, label: &str, unit: Unit, value: &Given<f64>) -> Line {
    let text = format!("{}  ({})", unit.show(value.value), how_text(&value.how));
    line(key, label, text, given_json(value))
}

fn given_any<T: Into<Value> + Clone>(
    key: &str,
    label: &str,
    shown: &str,
    value: &Given<T>,
) -> Line {
    let text = format!("{shown}  ({})", how_text(&value.how));
    line(key, label, text, given_json(value))
}

/// Lines of a machine.
pub fn machine(machine: &Machine) -> Vec<Line> {
    let mut lines = vec![
        plain_line("title", "title", &machine.title),
        plain_line("kind", "kind", machine.kind.word()),
    ];
    for (name, axis) in [
        ("x", &machine.axes.x),
        ("y", &machine.axes.y),
        ("z", &machine.axes.z),
    ] {
        lines.extend(axis_lines(name, axis));
    }
    lines.extend(spindle(machine));
    lines.extend(control(machine));
    lines.extend(states(&machine.states));
    lines.extend(list_line("notes", "notes", &machine.notes));
    lines
}

fn axis_lines(name: &str, axis: &Axis) -> Vec<Line> {
    let up = name.to_uppercase();
    let of = |key: &str, label: &str, unit: Unit, value: &Given<f64>| {
        given(
            &format!("{name}_{key}"),
            &format!("{up} {label}"),
            unit,
            value,
        )
    };
    let steps = &axis.full_steps_per_turn;
    let micro = &axis.microsteps;
    let mut lines = vec![
        of("travel_mm", "travel", Unit::Length, &axis.travel_mm),
        of("rapid_mm_min", "rapid", Unit::Feed, &axis.rapid_mm_min),
        of(
            "top_feed_mm_min",
            "top feed",
            Unit::Feed,
            &axis.top_feed_mm_min,
        ),
        of(
            "acceleration_mm_s2",
            "acceleration",
            Unit::Acceleration,
            &axis.acceleration_mm_s2,
        ),
        of("lead_mm", "screw lead", Unit::Length, &axis.lead_mm),
        given_any(
            &format!("{name}_full_steps_per_turn"),
            &format!("{up} full steps a turn"),
            &steps.value.to_string(),
            steps,
        ),
        given_any(
            &format!("{name}_microsteps"),
            &format!("{up} microsteps"),
            &micro.value.to_string(),
            micro,
        ),
    ];
    lines.extend(
        axis.holding_torque_nm
            .as_ref()
            .map(|torque| of("holding_torque_nm", "holding torque", Unit::Torque, torque)),
    );
    lines.extend([
        of(
            "screw_efficiency_share",
            "screw efficiency",
            Unit::Share,
            &axis.screw_efficiency,
        ),
        of("push_n", "push", Unit::Force, &axis.push_n),
        of("friction_n", "friction", Unit::Force, &axis.friction_n),
        of("backlash_mm", "backlash", Unit::Length, &axis.backlash_mm),
        of(
            "stiffness_n_um",
            "stiffness",
            Unit::Stiffness,
            &axis.stiffness_n_um,
        ),
    ]);
    lines
}

fn spindle(machine: &Machine) -> Vec<Line> {
    let spindle = &machine.spindle;
    let mut lines = vec![
        plain_line("motor", "spindle motor", spindle.motor.word()),
        given("rated_w", "rated power", Unit::Power, &spindle.rated_w),
        given("rated_rpm", "rated speed", Unit::Rpm, &spindle.rated_rpm),
        given(
            "constant_torque_from_rpm",
            "full torque from",
            Unit::Rpm,
            &spindle.constant_torque_from_rpm,
        ),
    ];
    if let Some(short) = &spindle.short_time {
        lines.push(given_any(
            "short_time_torque_ratio",
            "short-time torque",
            &format!(
                "{} times for {} s",
                short.torque_ratio.value, short.time_s.value
            ),
            &short.torque_ratio,
        ));
        lines.push(given(
            "short_time_s",
            "short time",
            Unit::Time,
            &short.time_s,
        ));
    }
    lines.push(given(
        "sag_share",
        "speed lost at full torque",
        Unit::Share,
        &spindle.sag_share,
    ));
    lines.push(given(
        "efficiency_share",
        "drive efficiency",
        Unit::Share,
        &spindle.efficiency,
    ));
    for step in &spindle.steps {
        let text = format!(
            "{} to {}, {} spindle turns a motor turn  ({})",
            Unit::Rpm.show(step.least_rpm.value),
            Unit::Rpm.show(step.top_rpm.value),
            step.ratio.value,
            how_text(&step.top_rpm.how)
        );
        lines.push(line(
            &format!("step_{}", step.name.replace(' ', "_")),
            &format!("step {}", step.name),
            text,
            json!({
                "ratio": given_json(&step.ratio),
                "least_rpm": given_json(&step.least_rpm),
                "top_rpm": given_json(&step.top_rpm),
            }),
        ));
    }
    lines.extend([
        plain_line("speed_set_by", "speed set by", spindle.speed_set_by.word()),
        plain_line("turns", "turns", spindle.turns.word()),
        given(
            "largest_shank_mm",
            "largest shank",
            Unit::Length,
            &spindle.largest_shank_mm,
        ),
        given("grip_n", "grip of the holder", Unit::Force, &spindle.grip_n),
        given("run_out_mm", "run-out", Unit::Length, &spindle.run_out_mm),
    ]);
    lines
}

fn control(machine: &Machine) -> Vec<Line> {
    let control = &machine.control;
    let switches = &control.has_home_switches;
    vec![
        given_any(
            "override_step_percent",
            "override step",
            &format!("{} %", control.override_step_percent.value),
            &control.override_step_percent,
        ),
        given_any(
            "override_least_percent",
            "override from",
            &format!("{} %", control.override_least_percent.value),
            &control.override_least_percent,
        ),
        given_any(
            "override_most_percent",
            "override to",
            &format!("{} %", control.override_most_percent.value),
            &control.override_most_percent,
        ),
        given_any(
            "has_home_switches",
            "home switches",
            if switches.value { "yes" } else { "no" },
            switches,
        ),
        given(
            "peck_clearance_mm",
            "peck clearance",
            Unit::Length,
            &control.peck_clearance_mm,
        ),
        given_any(
            "work_offsets",
            "work offsets",
            &control.work_offsets.value.to_string(),
            &control.work_offsets,
        ),
        given(
            "corner_tolerance_mm",
            "corner tolerance",
            Unit::Length,
            &control.corner_tolerance_mm,
        ),
        given_any(
            "look_ahead_blocks",
            "look-ahead, blocks",
            &control.look_ahead_blocks.value.to_string(),
            &control.look_ahead_blocks,
        ),
        given(
            "tool_change_s",
            "tool change by hand",
            Unit::Time,
            &control.tool_change_s,
        ),
    ]
}

fn stated_json(value: &Stated) -> Value {
    match value {
        Stated::Word(word) => word.clone().into(),
        Stated::Truth(truth) => (*truth).into(),
        Stated::Number(number) => (*number).into(),
    }
}

fn states(stated: &Conditions) -> Option<Line> {
    let text: Vec<String> = stated
        .iter()
        .map(|(key, value)| format!("{key} {value}"))
        .collect();
    let object: serde_json::Map<String, Value> = stated
        .iter()
        .map(|(key, value)| (key.to_owned(), stated_json(value)))
        .collect();
    (!text.is_empty()).then(|| line("states", "states", text.join(", "), Value::Object(object)))
}

fn source_json(source: &Source) -> Value {
    json!({ "standing": standing_word(source.standing), "citation": source.citation })
}

fn sourced<T>(
    key: &str,
    label: &str,
    value: &Sourced<T>,
    show: impl Fn(&T) -> String,
    as_json: impl Fn(&T) -> Value,
) -> Line {
    let mut text = format!("{}  [{}]", show(&value.value), value.source);
    for other in &value.others {
        text.push_str(&format!("; also {} [{}]", show(&other.value), other.source));
    }
    let others: Vec<Value> = value
        .others
        .iter()
        .map(
            |other| json!({ "value": as_json(&other.value), "source": source_json(&other.source) }),
        )
        .collect();
    line(
        key,
        label,
        text,
        json!({
            "value": as_json(&value.value),
            "source": source_json(&value.source),
            "others": others,
        }),
    )
}

fn sourced_number(key: &str, label: &str, unit: Option<Unit>, value: &Sourced<f64>) -> Line {
    sourced(
        key,
        label,
        value,
        |number| unit.map_or_else(|| number.to_string(), |unit| unit.show(*number)),
        |number| json!(number),
    )
}

fn span_text(unit: Unit, span: Span) -> String {
    let most = unit.show(span.most);
    if span.least == span.most {
        return most;
    }
    let least = unit.show(span.least);
    let bare = least.trim_end_matches(unit.symbol()).trim_end();
    format!("{bare} to {most}")
}

fn sourced_span(key: &str, label: &str, unit: Unit, value: &Sourced<Span>) -> Line {
    sourced(
        key,
        label,
        value,
        |span| span_text(unit, *span),
        |span| json!([span.least, span.most]),
    )
}

fn speeds(key: &str, label: &str, speeds: Option<&Speeds>) -> Vec<Line> {
    let Some(speeds) = speeds else {
        return vec![];
    };
    let mut lines = vec![sourced_span(
        &format!("{key}_m_min"),
        label,
        Unit::SurfaceSpeed,
        &speeds.rough_m_min,
    )];
    lines.extend(speeds.finish_m_min.as_ref().map(|finish| {
        sourced_span(
            &format!("{key}_finish_m_min"),
            &format!("{label}, finishing"),
            Unit::SurfaceSpeed,
            finish,
        )
    }));
    lines
}

fn taylor(key: &str, label: &str, taylor: Option<&Taylor>) -> Vec<Line> {
    let Some(taylor) = taylor else {
        return vec![];
    };
    vec![
        sourced_number(&format!("{key}_n"), &format!("{label}, n"), None, &taylor.n),
        sourced_number(
            &format!("{key}_c_m_min"),
            &format!("{label}, C"),
            Some(Unit::SurfaceSpeed),
            &taylor.c_m_min,
        ),
    ]
}

/// Lines of a material.
pub fn material(material: &Material) -> Vec<Line> {
    let mut lines = vec![plain_line("title", "title", &material.title)];
    lines.extend(list_line("aliases", "also", &material.aliases));
    lines.push(plain_line("class", "class", material.class.word()));
    lines.push(plain_line("condition", "condition", &material.condition));
    if let Some(caution) = &material.caution {
        lines.push(plain_line("caution", "cautions call it", caution));
    }
    lines.extend(material.hardness.as_ref().map(|hardness| {
        sourced("hardness", "hardness", hardness, Clone::clone, |text| {
            json!(text)
        })
    }));
    lines.push(sourced_number(
        "density_kg_m3",
        "density",
        Some(Unit::Density),
        &material.density_kg_m3,
    ));
    lines.extend(material.expansion_um_m_k.as_ref().map(|expansion| {
        sourced_number(
            "expansion_um_m_k",
            "thermal expansion",
            Some(Unit::Expansion),
            expansion,
        )
    }));
    lines.push(sourced_number(
        "kc1_1_n_mm2",
        "kc1.1",
        Some(Unit::SpecificForce),
        &material.kc1_1_n_mm2,
    ));
    lines.push(sourced_number("mc", "mc", None, &material.mc));
    lines.extend(
        material
            .energy_j_mm3
            .as_ref()
            .map(|energy| sourced_span("energy_j_mm3", "specific energy", Unit::Energy, energy)),
    );
    lines.extend(
        material
            .drill_kd
            .as_ref()
            .map(|kd| sourced_number("drill_kd", "drilling factor Kd", None, kd)),
    );
    lines.extend(speeds(
        "hss",
        "surface speed, high-speed steel",
        material.hss.as_ref(),
    ));
    lines.extend(speeds(
        "carbide",
        "surface speed, carbide",
        material.carbide.as_ref(),
    ));
    lines.extend(
        material
            .tap_m_min
            .as_ref()
            .map(|tap| sourced_span("tap_m_min", "surface speed, tap", Unit::SurfaceSpeed, tap)),
    );
    let load = &material.chip_load;
    lines.extend([
        sourced_span(
            "fz_slot_share",
            "chip load in a slot, of diameter",
            Unit::Share,
            &load.slot_share,
        ),
        sourced_span(
            "fz_side_share",
            "chip load at a side, of diameter",
            Unit::Share,
            &load.side_share,
        ),
        sourced_span(
            "drill_feed_share",
            "drill feed a turn, of diameter",
            Unit::Share,
            &load.drill_share,
        ),
        sourced_number(
            "least_chip_ratio",
            "least chip over edge radius",
            None,
            &material.least_chip_ratio,
        ),
        sourced(
            "sticks",
            "sticks to the edge",
            &material.sticks,
            |sticks| sticks.word().to_owned(),
            |sticks| json!(sticks.word()),
        ),
        plain_line("chips", "chips", material.chips.word()),
    ]);
    lines.extend(taylor(
        "taylor_hss",
        "tool life, high-speed steel",
        material.taylor_hss.as_ref(),
    ));
    lines.extend(taylor(
        "taylor_carbide",
        "tool life, carbide",
        material.taylor_carbide.as_ref(),
    ));
    lines.push(plain_line("fluid", "fluid", &material.fluid));
    lines.extend(list_line("notes", "notes", &material.notes));
    lines
}

fn measure(key: &str, label: &str, unit: Unit, value: f64) -> Line {
    line(key, label, unit.show(value), json!(value))
}

/// Lines of a tool.
pub fn tool(tool: &Tool) -> Vec<Line> {
    let yes = |truth: bool| if truth { "yes" } else { "no" };
    let mut lines = vec![
        plain_line("title", "title", &tool.title),
        plain_line("kind", "kind", tool.kind.word()),
        measure("diameter_mm", "diameter", Unit::Length, tool.diameter_mm),
        line(
            "flutes",
            "flutes",
            tool.flutes.to_string(),
            json!(tool.flutes),
        ),
        measure(
            "flute_length_mm",
            "flute length",
            Unit::Length,
            tool.flute_length_mm,
        ),
        measure("shank_mm", "shank", Unit::Length, tool.shank_mm),
        measure("stick_out_mm", "stick-out", Unit::Length, tool.stick_out_mm),
        measure(
            "corner_radius_mm",
            "corner radius",
            Unit::Length,
            tool.corner_radius_mm,
        ),
        measure("helix_deg", "helix", Unit::Angle, tool.helix_deg),
    ];
    let optional = [
        (
            "point_angle_deg",
            "point angle",
            Unit::Angle,
            tool.point_angle_deg,
        ),
        (
            "tip_diameter_mm",
            "tip diameter",
            Unit::Length,
            tool.tip_diameter_mm,
        ),
        (
            "edge_radius_mm",
            "edge radius",
            Unit::Length,
            tool.edge_radius_um.map(|um| um / 1000.0),
        ),
        ("pitch_mm", "pitch", Unit::Length, tool.pitch_mm),
        ("top_rpm", "top speed", Unit::Rpm, tool.top_rpm),
    ];
    for (key, label, unit, value) in optional {
        lines.extend(value.map(|value| measure(key, label, unit, value)));
    }
    if let Some(thread) = &tool.thread {
        lines.push(plain_line("thread", "thread", thread));
    }
    lines.extend([
        plain_line("edge", "edge", tool.edge.word()),
        plain_line("coating", "coating", &tool.coating),
        line(
            "centre_cutting",
            "centre cutting",
            yes(tool.centre_cutting),
            json!(tool.centre_cutting),
        ),
        plain_line("hand", "hand", tool.hand.word()),
        line(
            "stored_length",
            "length stored with its holder",
            yes(tool.stored_length),
            json!(tool.stored_length),
        ),
    ]);
    lines.extend(list_line("notes", "notes", &tool.notes));
    lines
}

fn condition_text(condition: &Condition) -> String {
    match &condition.test {
        Test::OneOf(values) => {
            let values: Vec<String> = values.iter().map(ToString::to_string).collect();
            format!("{} is {}", condition.key, values.join(" or "))
        }
        Test::AtLeast(least) => format!("{} is {least} or more", condition.key),
    }
}

fn condition_json(condition: &Condition) -> Value {
    match &condition.test {
        Test::OneOf(values) => {
            let values: Vec<Value> = values.iter().map(stated_json).collect();
            json!({ "key": condition.key, "one_of": values })
        }
        Test::AtLeast(least) => json!({ "key": condition.key, "at_least": least }),
    }
}

/// Lines of a caution.
pub fn caution(caution: &Caution) -> Vec<Line> {
    let when: Vec<String> = caution.when.iter().map(condition_text).collect();
    let when = if when.is_empty() {
        "always".to_owned()
    } else {
        when.join(", and ")
    };
    let conditions: Vec<Value> = caution.when.iter().map(condition_json).collect();
    let mut lines = vec![
        plain_line("line", "line", &caution.line),
        plain_line("phase", "phase", caution.phase.word()),
        line(
            "critical",
            "critical",
            if caution.critical { "yes" } else { "no" },
            json!(caution.critical),
        ),
    ];
    if let Some(answer) = &caution.answer {
        lines.push(plain_line("answer", "answer", answer));
    }
    lines.extend([
        plain_line("place", "place", caution.place.word()),
        line(
            "repeat",
            "asked at every start",
            if caution.repeat { "yes" } else { "no" },
            json!(caution.repeat),
        ),
        line("when", "when", when, json!(conditions)),
        plain_line("hazard", "hazard", &caution.hazard),
        plain_line("why", "why", &caution.why),
        line(
            "source",
            "source",
            caution.source.to_string(),
            source_json(&caution.source),
        ),
    ]);
    lines
}

/// Lines of a job template.
pub fn template(template: &Template) -> Vec<Line> {
    let mut lines = vec![
        plain_line("title", "title", &template.title),
        plain_line("about", "about", &template.about),
    ];
    let mut setups = vec![];
    for (index, setup) in template.setups.iter().enumerate() {
        let number = index + 1;
        lines.push(line(
            "setups",
            &format!("setup {number}"),
            &*setup.title,
            Value::Null,
        ));
        let mut part = |label: &str, text: &str| {
            if !text.is_empty() {
                lines.push(line("setups", label, text, Value::Null));
            }
        };
        part("  turn", &setup.turn);
        part(
            "  held by",
            &format!("{}: {}", setup.held_by.word(), setup.hold),
        );
        part("  zero", &format!("{}. {}", setup.zero, setup.zero_note));
        let mut steps = vec![];
        for step in &setup.steps {
            match step {
                Step::Operation(operation) => {
                    let tool = operation.tool.as_deref().unwrap_or("-");
                    part(
                        &format!("  {}", operation.kind.word()),
                        &format!("{}; tool: {tool}; {}", operation.title, operation.note),
                    );
                    steps.push(json!({
                        "title": operation.title,
                        "kind": operation.kind.word(),
                        "tool": operation.tool,
                        "note": operation.note,
                    }));
                }
                Step::Measure(what) => {
                    part("  measure", what);
                    steps.push(json!({ "measure": what }));
                }
            }
        }
        setups.push(json!({
            "title": setup.title,
            "turn": setup.turn,
            "held_by": setup.held_by.word(),
            "hold": setup.hold,
            "zero": setup.zero.to_string(),
            "zero_note": setup.zero_note,
            "steps": steps,
        }));
    }
    // The lines above are for people; this one carries the object, and comes last so that it wins.
    lines.push(line(
        "setups",
        "setups",
        setups.len().to_string(),
        json!(setups),
    ));
    lines
}
