//! What machine and tool can do at all: straight down, speeds of the spindle, push of the head, other tools, small cutters.

use std::f64::consts::PI;

use millside::calculator::alternative::Way;
use millside::calculator::alternative::alternatives;
use millside::calculator::answer;
use millside::calculator::answer::Answer;
use millside::calculator::limit::Which;
use millside::calculator::question::Aim;
use millside::calculator::question::Cut;
use millside::calculator::question::Question;
use millside::calculator::question::Refusal;
use millside::job::machine::Basis;
use millside::job::machine::Given;
use millside::profile::library::Library;
use millside::quantity::mm;
use millside::quantity::rpm;
use millside::quantity::to_mm;
use millside::quantity::to_mm_per_min;
use millside::quantity::to_rpm;
use millside::quantity::to_watt;

fn ask<'a>(
    library: &'a Library,
    machine: &str,
    material: &str,
    tool: &str,
    cut: Cut,
) -> Question<'a> {
    Question::new(
        library.machines.get(machine).expect("shipped machine"),
        library.materials.get(material).expect("shipped material"),
        library.tools.get(tool).expect("shipped tool"),
        cut,
    )
}

fn used(answer: &Answer, which: Which) -> f64 {
    let found = answer.limits.iter().find(|limit| limit.which == which);
    found.expect("the limit is listed").used
}

/// By hand, from the usual chip load of 0.010 of the diameter, a third of it straight down (common practice, no source) and
/// three quarters of it for a first cut: 0.75 * 0.010 mm / 3 * 2 flutes * 9000 rpm = 45 mm/min.
#[test]
fn straight_down_does_not_hang_on_the_run_out() {
    let library = Library::shipped();
    for (material, tool) in [
        ("al-6061-t6", "em-1-2f"),
        ("al-6061-t6", "em-6-2f"),
        ("titanium-grade-5", "em-1-2f"),
    ] {
        for cut in [Cut::Slot, Cut::Side] {
            let q = ask(&library, "light-belt-mill", material, tool, cut);
            let mut feeds = vec![];
            for run_out in [0.0, 0.01, 0.02, 0.03] {
                let mut q = q.clone();
                q.run_out = Some(mm(run_out));
                q.fixed.n = Some(rpm(9000.0));
                let found = answer(&q).expect("an answer");
                let entry = found.entry.expect("ways in");
                feeds.push(to_mm_per_min(entry.plunge.expect("it cuts its centre")));
            }
            let mut down = q.clone();
            down.cut = Cut::Plunge;
            down.fixed.n = Some(rpm(9000.0));
            feeds.push(to_mm_per_min(answer(&down).expect("an answer").vf));
            let place = format!("{material} {tool} {}: {feeds:?}", cut.word());
            assert!(
                feeds
                    .iter()
                    .all(|feed| (feed / feeds[0] - 1.0).abs() < 1e-9),
                "{place}"
            );
            if (material, tool) == ("al-6061-t6", "em-1-2f") {
                assert!((feeds[0] - 45.0).abs() < 1e-6, "{place}");
            }
        }
    }
}

/// Every shipped pair: what has an answer can be turned, and there is power for it.
#[test]
fn a_recipe_lies_within_what_the_spindle_turns() {
    let library = Library::shipped();
    let (mut answered, mut refused) = (0, 0);
    for machine in library.machines.items() {
        for (row, material) in library.materials.items().iter().enumerate() {
            for (column, tool) in library.tools.items().iter().enumerate() {
                if (row + column) % 8 != 0 {
                    continue;
                }
                for cut in Cut::ALL {
                    let q = Question::new(machine, material, tool, cut);
                    let found = match answer(&q) {
                        Ok(found) => found,
                        Err(Refusal::OutOfReach { .. }) => {
                            refused += 1;
                            continue;
                        }
                        Err(_) => continue,
                    };
                    answered += 1;
                    let n = to_rpm(found.n);
                    let place = format!(
                        "{} {} {} {}: {n} rpm",
                        machine.name,
                        material.name,
                        tool.name,
                        cut.word()
                    );
                    let turns = machine.spindle.steps.iter().any(|step| {
                        n >= step.least_rpm.value - 1e-6 && n <= step.top_rpm.value + 1e-6
                    });
                    assert!(turns, "{place}");
                    assert!(to_watt(found.motor_available) > 0.0, "{place}");
                }
            }
        }
    }
    assert!(answered > 200 && refused > 20, "{answered} {refused}");
}

#[test]
fn a_speed_that_the_spindle_does_not_turn_at_is_refused_with_what_to_do() {
    let library = Library::shipped();
    // High-speed steel in mild steel wants some 1600 rpm; the router turns no slower than 8000.
    let mut q = ask(
        &library,
        "gantry-router",
        "steel-mild",
        "em-6-2f-hss",
        Cut::Side,
    );
    let words = answer(&q).expect_err("refused").to_string();
    assert!(
        words.contains("8000") && words.contains("carbide"),
        "{words}"
    );
    q.fixed.n = Some(rpm(1600.0));
    let words = answer(&q).expect_err("refused").to_string();
    assert!(words.contains("enter a speed"), "{words}");
    q.fixed.n = Some(rpm(60_000.0));
    assert!(matches!(answer(&q), Err(Refusal::OutOfReach { .. })));
    q.fixed.n = Some(rpm(8000.0));
    assert!(answer(&q).is_ok());
}

#[test]
fn a_slitting_saw_is_not_reckoned_as_an_end_mill() {
    let library = Library::shipped();
    for cut in [Cut::Side, Cut::Slot, Cut::Face] {
        let q = ask(&library, "bench-mill", "al-6061-t6", "saw-63-1", cut);
        assert_eq!(answer(&q), Err(Refusal::Saw), "{}", cut.word());
    }
}

/// The torque of the motor is the same from its cooled speed up: below 1500 rpm of the motor through 1:2 nothing is gained,
/// so no plunge belongs there.
#[test]
fn a_plunge_that_is_too_much_is_not_slowed_down_for_nothing() {
    let library = Library::shipped();
    let q = ask(
        &library,
        "light-belt-mill",
        "al-6061-t6",
        "em-10-3f",
        Cut::Plunge,
    );
    let found = answer(&q).expect("an answer");
    assert!(to_rpm(found.n) >= 750.0, "{:?}", found.n);
    assert!(
        used(&found, Which::MotorPower) < 1.5,
        "{:?}",
        found.limits[0]
    );
}

/// Power screw: the work of one turn, 2 pi T eta in and F p out (common textbook relation, from memory). By hand for
/// 1.8 N m, 35 % and 4 mm: 2 pi * 0.35 * 1.8 / 0.004 = 989.6 N; half of it is used.
#[test]
fn the_push_of_the_head_is_computed_where_motor_and_screw_are_known() {
    let library = Library::shipped();
    let q = ask(
        &library,
        "light-belt-mill",
        "al-6061-t6",
        "drill-5",
        Cut::Drill,
    );
    let found = answer(&q).expect("an answer");
    let push = |found: &Answer| {
        2.0 * millside::quantity::to_newton(found.axis_push) / used(found, Which::AxisPush)
    };
    assert!((push(&found) - 989.6).abs() < 0.1, "{}", push(&found));
    // An ordinary hole for such a mill (common practice, no source).
    assert!(!found.is_exceeded(), "{:?}", found.limits[0]);
    assert!(
        found
            .assumed
            .iter()
            .any(|line| line.contains("Z pushes 990 N, computed"))
    );

    // Starting values of motor and screw give way to the starting value of the push ...
    let mut q = ask(&library, "bench-mill", "al-6061-t6", "drill-5", Cut::Drill);
    assert!((push(&answer(&q).expect("an answer")) - 1500.0).abs() < 0.1);
    // ... and values that were read do not: 2 pi * 0.85 * 2 / 0.005 = 2136.3 N.
    let mut machine = q.machine.clone();
    machine.axes.z.holding_torque_nm = Some(Given::new(2.0, Basis::Label, ""));
    machine.axes.z.lead_mm = Given::new(5.0, Basis::Measured, "");
    q.machine = &machine;
    let by_screw = 2.0 * PI * 0.85 * 2.0 / 0.005;
    assert!((push(&answer(&q).expect("an answer")) - by_screw).abs() < 0.1);
    // What was measured is believed.
    let mut machine = machine.clone();
    machine.axes.z.push_n = Given::new(700.0, Basis::Measured, "");
    q.machine = &machine;
    assert!((push(&answer(&q).expect("an answer")) - 700.0).abs() < 0.1);
}

#[test]
fn another_size_of_hole_or_thread_is_no_way_out() {
    let library = Library::shipped();
    let mut passed = 0;
    let mut machine = ask(&library, "bench-mill", "al-6061-t6", "drill-5", Cut::Drill)
        .machine
        .clone();
    // So weak that the tools asked for pass a limit, and thinner ones do not.
    machine.axes.z.push_n = Given::new(330.0, Basis::Measured, "");
    machine.spindle.rated_w.value = 30.0;
    for (tool, cut) in [
        ("drill-5", Cut::Drill),
        ("drill-8", Cut::Drill),
        ("tap-m6", Cut::Tap),
        ("tap-m8", Cut::Tap),
    ] {
        let mut q = ask(&library, "bench-mill", "al-6061-t6", tool, cut);
        q.machine = &machine;
        let Ok(found) = answer(&q) else { continue };
        passed += usize::from(found.is_exceeded());
        for other in alternatives(&q, &found, library.tools.items()) {
            let Way::Tool(place) = other.way else {
                continue;
            };
            let other = &library.tools.items()[place];
            assert_eq!(
                other.diameter_mm, q.tool.diameter_mm,
                "{tool}: {}",
                other.name
            );
            assert_eq!(other.pitch_mm, q.tool.pitch_mm, "{tool}: {}", other.name);
        }
    }
    assert!(passed > 0);
}

/// Where one tooth takes all, it takes a thick chip: a hair more of run-out does not end the cut. How thick that chip is goes
/// up to all flutes' and no further (plane geometry).
#[test]
fn run_out_above_the_chip_load_is_not_called_rubbing() {
    let library = Library::shipped();
    let depth = |tool: &str, run_out: f64| {
        let mut q = ask(&library, "light-belt-mill", "al-6061-t6", tool, Cut::Slot);
        q.run_out = Some(mm(run_out));
        let found = answer(&q).expect("an answer");
        assert!(used(&found, Which::Rubbing) <= 1.0, "{tool} {run_out}");
        to_mm(found.ap)
    };
    for tool in ["em-1-2f", "em-1.5-2f", "em-2-2f", "em-3-2f", "em-3-3f"] {
        let depths: Vec<f64> = [0.008, 0.010, 0.012, 0.014, 0.02, 0.03]
            .into_iter()
            .map(|run_out| depth(tool, run_out))
            .collect();
        for pair in depths.windows(2) {
            assert!(
                pair[1] > 0.6 * pair[0] && pair[1] <= 1.05 * pair[0],
                "{tool}: {depths:?}"
            );
        }
    }
    let q = ask(
        &library,
        "light-belt-mill",
        "al-6061-t6",
        "em-1-2f",
        Cut::Slot,
    );
    let found = answer(&q).expect("an answer");
    assert!(!found.is_exceeded(), "{:?}", found.limits[0]);
    assert!(
        found
            .cautions
            .iter()
            .any(|line| line.contains("one tooth takes it all"))
    );
}

#[test]
fn a_spindle_that_cannot_reverse_gets_no_power_tapping_but_what_to_do() {
    let library = Library::shipped();
    for machine in ["light-belt-mill", "gantry-router"] {
        let mut q = ask(&library, machine, "al-6061-t6", "tap-m6", Cut::Tap);
        q.fixed.ap = Some(mm(12.0));
        let words = answer(&q).expect_err("refused").to_string();
        // By hand: 12 + 4 pitches of lead + 2 of chip room, 1 mm each, and nothing runs on.
        for part in ["turns right only", "by hand", "thread mill", "18.0 mm deep"] {
            assert!(words.contains(part), "{machine}: no {part} in {words}");
        }
    }
}

/// A practised hand taps M6 at 200 rpm at most, with a floating holder (common practice, no source). By hand: a spindle that
/// stops evenly in 1 s from 180 rpm runs on by 180 / 60 / 2 = 1.5 turns, which is the bound; nine tenths of it are 162 rpm.
#[test]
fn power_tapping_is_slow_deep_enough_and_floating() {
    let library = Library::shipped();
    for tool in ["tap-m3", "tap-m6"] {
        let q = ask(&library, "bench-mill", "al-6061-t6", tool, Cut::Tap);
        let found = answer(&q).expect("an answer");
        assert!(to_rpm(found.n) <= 162.0 + 1e-6, "{tool}: {:?}", found.n);
        assert!(used(&found, Which::RunOn) <= 0.9 + 1e-9);
    }
    let mut q = ask(&library, "bench-mill", "al-6061-t6", "tap-m6", Cut::Tap);
    q.fixed.n = Some(rpm(500.0));
    let fast = answer(&q).expect("an answer");
    assert!(fast.is_exceeded() && used(&fast, Which::RunOn) > 2.7);
    // 12 mm of thread, 4 of lead, 500 / 60 / 2 = 4.17 of run-on and 2 of chip room.
    q.fixed.ap = Some(mm(12.0));
    let said = answer(&q).expect("an answer").cautions.join("\n");
    for part in ["22.2 mm deep", "floating tap holder", "100 %"] {
        assert!(said.contains(part), "no {part} in {said}");
    }
}

/// Plane geometry, by hand: marks of a corner of 0.4 mm are f^2 / (8 * 0.4) high, those of a ball with its stepover
/// 2 * sqrt(0.005 * (6 - 0.005)) = 0.3463 mm leave cusps of 0.005 mm; a flat end leaves none.
#[test]
fn the_corner_draws_the_marks_on_a_face_and_only_a_ball_leaves_cusps() {
    let library = Library::shipped();
    let q = ask(
        &library,
        "light-belt-mill",
        "al-6061-t6",
        "face-25-2",
        Cut::Face,
    );
    let face = answer(&q).expect("an answer");
    let f = to_mm(face.fz);
    assert!((to_mm(face.roughness) / (f * f / 3.2) - 1.0).abs() < 0.02);
    assert_eq!(to_mm(face.cusp), 0.0);
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6061-t6",
        "ball-6-2f",
        Cut::Face,
    );
    q.aim = Aim::Finish;
    let ball = answer(&q).expect("an answer");
    assert!((to_mm(ball.ae) - 0.3463).abs() < 1e-3, "{:?}", ball.ae);
    assert!((to_mm(ball.cusp) - 0.005).abs() < 1e-4, "{:?}", ball.cusp);
}
