//! The copy of the machine in a record.

use crate::job::machine::Axes;
use crate::job::machine::Axis;
use crate::job::machine::Basis;
use crate::job::machine::BeltStep;
use crate::job::machine::Control;
use crate::job::machine::Given;
use crate::job::machine::How;
use crate::job::machine::Kind;
use crate::job::machine::Machine;
use crate::job::machine::MotorKind;
use crate::job::machine::ShortTime;
use crate::job::machine::SpeedSetBy;
use crate::job::machine::Spindle;
use crate::job::machine::Turns;
use crate::job::tool_speed::SpeedSetting;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::shape::List;
use crate::record::shape::Name;
use crate::record::shape::Prose;
use crate::record::shape::Shape;
use crate::record::shape::Text;
use crate::record::shape::Truth;
use crate::record::shape::amount;
use crate::record::shape::words;

pub(in crate::record) fn machine<F: Fields>(f: &mut F, v: Option<&Machine>) -> Took<Machine> {
    Ok(Machine {
        name: f.value("name", of!(v.name), &Name)?,
        title: f.value("title", of!(v.title), &Text)?,
        kind: f.value("kind", of!(v.kind), &words!(Kind))?,
        notes: f.value("notes", of!(v.notes), &List(Prose))?,
        axes: Axes {
            x: f.table("x", of!(v.axes.x), axis)?,
            y: f.table("y", of!(v.axes.y), axis)?,
            z: f.table("z", of!(v.axes.z), axis)?,
        },
        spindle: f.table("spindle", of!(v.spindle), spindle)?,
        control: f.table("control", of!(v.control), control)?,
        states: f.conditions("states", of!(v.states))?,
    })
}

/// A value with how it was found, on one line.
fn given<F: Fields, T: Clone>(
    f: &mut F,
    key: &'static str,
    v: Option<&Given<T>>,
    shape: &impl Shape<T>,
) -> Took<Given<T>> {
    f.row(key, v, |f, v| bare_given(f, v, shape))
}

fn bare_given<F: Fields, T: Clone>(
    f: &mut F,
    v: Option<&Given<T>>,
    shape: &impl Shape<T>,
) -> Took<Given<T>> {
    Ok(Given {
        value: f.value("value", of!(v.value), shape)?,
        how: How {
            basis: f.value("how", of!(v.how.basis), &words!(Basis))?,
            note: f.value("note", of!(v.how.note), &Prose)?,
        },
    })
}

fn axis<F: Fields>(f: &mut F, v: Option<&Axis>) -> Took<Axis> {
    Ok(Axis {
        travel_mm: given(f, "travel", of!(v.travel_mm), &amount::MM)?,
        rapid_mm_min: given(f, "rapid", of!(v.rapid_mm_min), &amount::MM_MIN)?,
        top_feed_mm_min: given(f, "top_feed", of!(v.top_feed_mm_min), &amount::MM_MIN)?,
        acceleration_mm_s2: given(f, "acceleration", of!(v.acceleration_mm_s2), &amount::MM_S2)?,
        lead_mm: given(f, "lead", of!(v.lead_mm), &amount::MM)?,
        full_steps_per_turn: given(
            f,
            "full_steps",
            of!(v.full_steps_per_turn),
            &amount::Count {
                least: 1,
                most: 1_000_000,
            },
        )?,
        microsteps: given(f, "microsteps", of!(v.microsteps), &amount::COUNT)?,
        holding_torque_nm: f.row_if("holding_torque", of!(v.holding_torque_nm), |f, v| {
            bare_given(f, v, &amount::NM)
        })?,
        screw_efficiency: given(
            f,
            "screw_efficiency",
            of!(v.screw_efficiency),
            &amount::BARE,
        )?,
        push_n: given(f, "push", of!(v.push_n), &amount::NEWTON)?,
        friction_n: given(f, "friction", of!(v.friction_n), &amount::NEWTON)?,
        backlash_mm: given(f, "backlash", of!(v.backlash_mm), &amount::MM)?,
        stiffness_n_um: given(f, "stiffness", of!(v.stiffness_n_um), &amount::N_UM)?,
    })
}

fn spindle<F: Fields>(f: &mut F, v: Option<&Spindle>) -> Took<Spindle> {
    let spindle = Spindle {
        motor: f.value("motor", of!(v.motor), &words!(MotorKind))?,
        rated_w: given(f, "rated_power", of!(v.rated_w), &amount::WATT)?,
        rated_rpm: given(f, "rated_speed", of!(v.rated_rpm), &amount::RPM)?,
        constant_torque_from_rpm: given(
            f,
            "constant_torque_from",
            of!(v.constant_torque_from_rpm),
            &amount::RPM,
        )?,
        short_time: f.table_if("short_time", of!(v.short_time), |f, v| {
            Ok(ShortTime {
                torque_ratio: given(f, "torque_ratio", of!(v.torque_ratio), &amount::BARE)?,
                time_s: given(f, "time", of!(v.time_s), &amount::SECOND)?,
            })
        })?,
        sag_share: given(f, "sag", of!(v.sag_share), &amount::BARE)?,
        efficiency: given(f, "efficiency", of!(v.efficiency), &amount::BARE)?,
        steps: f.tables("step", v.map(|v| v.steps.as_slice()), belt_step)?,
        speed_set_by: f.value("speed_set_by", of!(v.speed_set_by), &words!(SpeedSetBy))?,
        setting: SpeedSetting {
            step_rpm: f.row_if("speed_step", of!(v.setting.step_rpm), |f, v| {
                bare_given(f, v, &amount::RPM)
            })?,
            unloaded_share: f.row_if("unloaded", of!(v.setting.unloaded_share), |f, v| {
                bare_given(f, v, &amount::BARE)
            })?,
            tolerance_share: f.row_if(
                "speed_tolerance",
                of!(v.setting.tolerance_share),
                |f, v| bare_given(f, v, &amount::BARE),
            )?,
            override_most_percent: f.row_if(
                "speed_override_most",
                of!(v.setting.override_most_percent),
                |f, v| bare_given(f, v, &amount::PERCENT),
            )?,
        },
        turns: f.value("turns", of!(v.turns), &words!(Turns))?,
        stop_s: f.row_if("stop_time", of!(v.stop_s), |f, v| {
            bare_given(f, v, &amount::SECOND)
        })?,
        largest_shank_mm: given(f, "largest_shank", of!(v.largest_shank_mm), &amount::MM)?,
        grip_n: given(f, "grip", of!(v.grip_n), &amount::NEWTON)?,
        run_out_mm: given(f, "run_out", of!(v.run_out_mm), &amount::MM)?,
    };
    if spindle.steps.is_empty() {
        let allowed = "Write at least one belt or gear step.";
        return Err(f.fault("step", Wrong::new("is missing", allowed)));
    }
    Ok(spindle)
}

fn belt_step<F: Fields>(f: &mut F, v: Option<&BeltStep>) -> Took<BeltStep> {
    Ok(BeltStep {
        name: f.value("name", of!(v.name), &Text)?,
        ratio: given(f, "ratio", of!(v.ratio), &amount::BARE)?,
        least_rpm: given(f, "least", of!(v.least_rpm), &amount::RPM)?,
        top_rpm: given(f, "top", of!(v.top_rpm), &amount::RPM)?,
    })
}

fn control<F: Fields>(f: &mut F, v: Option<&Control>) -> Took<Control> {
    Ok(Control {
        override_step_percent: given(
            f,
            "override_step",
            of!(v.override_step_percent),
            &amount::PERCENT,
        )?,
        override_least_percent: given(
            f,
            "override_least",
            of!(v.override_least_percent),
            &amount::PERCENT,
        )?,
        override_most_percent: given(
            f,
            "override_most",
            of!(v.override_most_percent),
            &amount::PERCENT,
        )?,
        has_home_switches: given(f, "home_switches", of!(v.has_home_switches), &Truth)?,
        peck_clearance_mm: given(f, "peck_clearance", of!(v.peck_clearance_mm), &amount::MM)?,
        work_offsets: given(f, "work_offsets", of!(v.work_offsets), &amount::COUNT)?,
        corner_tolerance_mm: given(
            f,
            "corner_tolerance",
            of!(v.corner_tolerance_mm),
            &amount::MM,
        )?,
        look_ahead_blocks: given(
            f,
            "look_ahead_blocks",
            of!(v.look_ahead_blocks),
            &amount::COUNT,
        )?,
        tool_change_s: given(f, "tool_change", of!(v.tool_change_s), &amount::SECOND)?,
        stop_s: f.row_if("stop", of!(v.stop_s), |f, v| {
            bare_given(f, v, &amount::SECOND)
        })?,
    })
}
