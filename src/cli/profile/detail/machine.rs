//! The lines of a machine.

use serde_json::Value;
use serde_json::json;

use crate::cli::profile::detail::Line;
use crate::cli::profile::detail::line;
use crate::cli::profile::detail::list_line;
use crate::cli::profile::detail::plain_line;
use crate::cli::profile::detail::stated_json;
use crate::job::conditions::Conditions;
use crate::job::machine::Axis;
use crate::job::machine::Given;
use crate::job::machine::How;
use crate::job::machine::Machine;
use crate::profile::unit::Unit;

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
    ]);
    let setting = &spindle.setting;
    let optional = [
        (
            "speed_step_rpm",
            "speed set in steps of",
            Unit::Rpm,
            &setting.step_rpm,
        ),
        (
            "unloaded_share",
            "faster without load by",
            Unit::Share,
            &setting.unloaded_share,
        ),
        (
            "speed_tolerance_share",
            "set too high by up to",
            Unit::Share,
            &setting.tolerance_share,
        ),
    ];
    lines.extend(
        spindle
            .stop_s
            .as_ref()
            .map(|stop| given("stop_time_s", "stops in", Unit::Time, stop)),
    );
    for (key, label, unit, value) in optional {
        lines.extend(value.as_ref().map(|value| given(key, label, unit, value)));
    }
    if let Some(most) = &setting.override_most_percent {
        lines.push(given_any(
            "speed_override_most_percent",
            "spindle override to",
            &format!("{} %", most.value),
            most,
        ));
    }
    lines.extend([
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
    let mut lines = vec![
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
    ];
    let stop = control.stop_s.as_ref();
    lines.extend(stop.map(|stop| {
        // A time of day would round it away.
        let shown = format!("{:.3} s", stop.value);
        given_any("stop_s", "dead time of a stop", &shown, stop)
    }));
    lines
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
