//! A machine out of its table.

use std::ops::RangeInclusive;

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
use crate::profile::conditions;
use crate::profile::read::Section;
use crate::profile::unit::Unit;

const GIVEN: &str = "Write { value = ..., how = \"measured\", note = \"with what\" }; how is measured, label, \
     manual, computed or assumed.";

fn given<T>(
    section: &Section<'_, '_>,
    key: &'static str,
    read: impl Fn(&Section<'_, '_>) -> Option<T>,
) -> Option<Given<T>> {
    let inner = section.section(key, GIVEN)?;
    let words = Basis::ALL.map(Basis::word);
    let value = read(&inner);
    let basis = inner.word("how", &words, Basis::from_word);
    let note = inner.text_if("note").unwrap_or_default();
    inner.finish();
    Some(Given {
        value: value?,
        how: How {
            basis: basis?,
            note,
        },
    })
}

fn quantity(
    section: &Section<'_, '_>,
    key: &'static str,
    unit: Unit,
    range: RangeInclusive<f64>,
) -> Option<Given<f64>> {
    given(section, key, |inner| {
        inner.quantity("value", unit, range.clone())
    })
}

fn number(
    section: &Section<'_, '_>,
    key: &'static str,
    range: RangeInclusive<f64>,
) -> Option<Given<f64>> {
    given(section, key, |inner| inner.number("value", range.clone()))
}

fn count(
    section: &Section<'_, '_>,
    key: &'static str,
    range: RangeInclusive<u32>,
) -> Option<Given<u32>> {
    given(section, key, |inner| inner.count("value", range.clone()))
}

fn axis(machine: &Section<'_, '_>, key: &'static str) -> Option<Axis> {
    let s = machine.section(key, "Write a table for this axis.")?;
    let travel_mm = quantity(&s, "travel", Unit::Length, 10.0..=5000.0);
    let rapid_mm_min = quantity(&s, "rapid", Unit::Feed, 10.0..=100_000.0);
    let top_feed_mm_min = quantity(&s, "top_feed", Unit::Feed, 10.0..=100_000.0);
    let acceleration_mm_s2 = quantity(&s, "acceleration", Unit::Acceleration, 1.0..=50_000.0);
    let lead_mm = quantity(&s, "lead", Unit::Length, 0.2..=200.0);
    let full_steps_per_turn = count(&s, "full_steps", 20..=100_000);
    let microsteps = count(&s, "microsteps", 1..=1024);
    let holding_torque_nm = s
        .has("holding_torque")
        .then(|| quantity(&s, "holding_torque", Unit::Torque, 0.01..=200.0));
    let screw_efficiency = quantity(&s, "screw_efficiency", Unit::Share, 0.01..=1.0);
    let push_n = quantity(&s, "push", Unit::Force, 1.0..=100_000.0);
    let friction_n = quantity(&s, "friction", Unit::Force, 0.0..=10_000.0);
    let backlash_mm = quantity(&s, "backlash", Unit::Length, 0.0..=5.0);
    let stiffness_n_um = quantity(&s, "stiffness", Unit::Stiffness, 0.01..=1000.0);
    s.finish();
    Some(Axis {
        travel_mm: travel_mm?,
        rapid_mm_min: rapid_mm_min?,
        top_feed_mm_min: top_feed_mm_min?,
        acceleration_mm_s2: acceleration_mm_s2?,
        lead_mm: lead_mm?,
        full_steps_per_turn: full_steps_per_turn?,
        microsteps: microsteps?,
        holding_torque_nm: holding_torque_nm.flatten(),
        screw_efficiency: screw_efficiency?,
        push_n: push_n?,
        friction_n: friction_n?,
        backlash_mm: backlash_mm?,
        stiffness_n_um: stiffness_n_um?,
    })
}

fn step(s: &Section<'_, '_>) -> Option<BeltStep> {
    let name = s.text("name");
    let ratio = number(s, "ratio", 0.01..=100.0);
    let least_rpm = quantity(s, "least", Unit::Rpm, 0.0..=200_000.0);
    let top_rpm = quantity(s, "top", Unit::Rpm, 1.0..=200_000.0);
    s.finish();
    let step = BeltStep {
        name: name?,
        ratio: ratio?,
        least_rpm: least_rpm?,
        top_rpm: top_rpm?,
    };
    // A belt on a motor of one speed gives one speed.
    if step.least_rpm.value > step.top_rpm.value {
        s.fault(
            "top",
            "is below the least speed of this step",
            "Write the top spindle speed of this belt or gear position.",
        );
        return None;
    }
    Some(step)
}

fn short_time(s: &Section<'_, '_>) -> Option<ShortTime> {
    let torque_ratio = number(s, "torque_ratio", 1.0..=10.0);
    let time_s = quantity(s, "time", Unit::Time, 1.0..=36_000.0);
    s.finish();
    Some(ShortTime {
        torque_ratio: torque_ratio?,
        time_s: time_s?,
    })
}

/// Reads how the speed is set; a fault leaves its key out, and is reported.
fn setting(s: &Section<'_, '_>) -> SpeedSetting {
    let given = |key: &'static str, unit: Unit, range: RangeInclusive<f64>| {
        s.has(key).then(|| quantity(s, key, unit, range)).flatten()
    };
    SpeedSetting {
        step_rpm: given("speed_step", Unit::Rpm, 1.0..=5000.0),
        unloaded_share: given("unloaded", Unit::Share, 0.0..=2.0),
        tolerance_share: given("speed_tolerance", Unit::Share, 0.0..=0.5),
        override_most_percent: s
            .has("speed_override_most_percent")
            .then(|| number(s, "speed_override_most_percent", 100.0..=500.0))
            .flatten(),
    }
}

fn spindle(machine: &Section<'_, '_>) -> Option<Spindle> {
    let s = machine.section("spindle", "Write a table [machine.spindle].")?;
    let motors = MotorKind::ALL.map(MotorKind::word);
    let motor = s.word("motor", &motors, MotorKind::from_word);
    let rated_w = quantity(&s, "rated_power", Unit::Power, 10.0..=100_000.0);
    let rated_rpm = quantity(&s, "rated_speed", Unit::Rpm, 100.0..=200_000.0);
    let constant_torque_from_rpm = quantity(&s, "constant_torque_from", Unit::Rpm, 0.0..=200_000.0);
    let short = s
        .section_if(
            "short_time",
            "Write a table with torque_ratio and time, or leave it out.",
        )
        .map(|inner| short_time(&inner));
    let sag_share = quantity(&s, "sag", Unit::Share, 0.0..=0.9);
    let efficiency = quantity(&s, "efficiency", Unit::Share, 0.05..=1.0);
    let allowed = "Write at least one table [[machine.spindle.step]], slowest first.";
    let steps: Option<Vec<BeltStep>> = s
        .sections("step", allowed)
        .map(|steps| steps.iter().map(step).collect::<Vec<_>>())
        .and_then(|steps| steps.into_iter().collect());
    if steps.as_ref().is_some_and(Vec::is_empty) {
        s.fault("step", "is missing", allowed);
    }
    let set_by = SpeedSetBy::ALL.map(SpeedSetBy::word);
    let speed_set_by = s.word("speed_set_by", &set_by, SpeedSetBy::from_word);
    let turns = s.word("turns", &Turns::ALL.map(Turns::word), Turns::from_word);
    let setting = setting(&s);
    let stop_s = s
        .has("stop_time")
        .then(|| quantity(&s, "stop_time", Unit::Time, 0.05..=120.0));
    let largest_shank_mm = quantity(&s, "largest_shank", Unit::Length, 0.5..=100.0);
    let grip_n = quantity(&s, "grip", Unit::Force, 1.0..=1_000_000.0);
    let run_out_mm = quantity(&s, "run_out", Unit::Length, 0.0..=1.0);
    s.finish();
    Some(Spindle {
        motor: motor?,
        rated_w: rated_w?,
        rated_rpm: rated_rpm?,
        constant_torque_from_rpm: constant_torque_from_rpm?,
        short_time: short.flatten(),
        sag_share: sag_share?,
        efficiency: efficiency?,
        steps: steps.filter(|steps| !steps.is_empty())?,
        speed_set_by: speed_set_by?,
        setting,
        turns: turns?,
        stop_s: stop_s.flatten(),
        largest_shank_mm: largest_shank_mm?,
        grip_n: grip_n?,
        run_out_mm: run_out_mm?,
    })
}

fn control(machine: &Section<'_, '_>) -> Option<Control> {
    let s = machine.section("control", "Write a table [machine.control].")?;
    let override_step_percent = number(&s, "override_step_percent", 0.1..=50.0);
    let override_least_percent = number(&s, "override_least_percent", 0.0..=100.0);
    let override_most_percent = number(&s, "override_most_percent", 100.0..=500.0);
    let has_home_switches = given(&s, "home_switches", |inner| inner.truth("value"));
    let peck_clearance_mm = quantity(&s, "peck_clearance", Unit::Length, 0.0..=20.0);
    let work_offsets = count(&s, "work_offsets", 1..=1000);
    let corner_tolerance_mm = quantity(&s, "corner_tolerance", Unit::Length, 0.0..=5.0);
    let look_ahead_blocks = count(&s, "look_ahead_blocks", 0..=100_000);
    let tool_change_s = quantity(&s, "tool_change", Unit::Time, 0.0..=36_000.0);
    let stop_s = s
        .has("stop")
        .then(|| quantity(&s, "stop", Unit::Time, 0.0..=60.0));
    s.finish();
    Some(Control {
        override_step_percent: override_step_percent?,
        override_least_percent: override_least_percent?,
        override_most_percent: override_most_percent?,
        has_home_switches: has_home_switches?,
        peck_clearance_mm: peck_clearance_mm?,
        work_offsets: work_offsets?,
        corner_tolerance_mm: corner_tolerance_mm?,
        look_ahead_blocks: look_ahead_blocks?,
        tool_change_s: tool_change_s?,
        stop_s: stop_s.flatten(),
    })
}

/// Reads a table `[[machine]]`; `None` after a fault was reported.
pub fn read(s: &Section<'_, '_>) -> Option<Machine> {
    let name = s.name("name");
    let title = s.text("title");
    let kind = s.word("kind", &Kind::ALL.map(Kind::word), Kind::from_word);
    let axes = (axis(s, "x"), axis(s, "y"), axis(s, "z"));
    let spindle = spindle(s);
    let control = control(s);
    let states = s
        .section_if(
            "states",
            "Write a table [machine.states] with keys of cautions, such as enclosure = \"none\".",
        )
        .map_or_else(
            || Some(Default::default()),
            |inner| conditions::stated(&inner),
        );
    let notes = s.texts("notes");
    s.finish();
    Some(Machine {
        name: name?,
        title: title?,
        kind: kind?,
        axes: Axes {
            x: axes.0?,
            y: axes.1?,
            z: axes.2?,
        },
        spindle: spindle?,
        control: control?,
        states: states?,
        notes: notes?,
    })
}
