//! Ways into the metal, passes over the middle of a strip, and warnings of what was heard or is too fine to feed.

use millside::calculator::answer;
use millside::calculator::answer::Answer;
use millside::calculator::limit::Which;
use millside::calculator::question::Cut;
use millside::calculator::question::Question;
use millside::job::machine::Basis;
use millside::job::machine::Given;
use millside::job::machine::Machine;
use millside::profile::library::Library;
use millside::quantity::hertz;
use millside::quantity::mm;
use millside::quantity::mm_per_min;
use millside::quantity::newton;
use millside::quantity::rpm;
use millside::quantity::to_degree;
use millside::quantity::to_mm;
use millside::quantity::to_mm_per_min;
use millside::quantity::to_newton;
use millside::quantity::to_rpm;

fn library() -> Library {
    Library::shipped()
}

fn ask<'a>(library: &'a Library, tool: &str, cut: Cut) -> Question<'a> {
    Question::new(
        library.machines.get("light-belt-mill").expect("shipped"),
        library.materials.get("al-6082-t6").expect("shipped"),
        library.tools.get(tool).expect("shipped"),
        cut,
    )
}

/// A light mill whose values a test may change.
fn light_mill(library: &Library) -> Machine {
    let shipped = library.machines.get("light-belt-mill");
    shipped.expect("shipped").clone()
}

fn used(answer: &Answer, which: Which) -> f64 {
    let found = answer.limits.iter().find(|limit| limit.which == which);
    found.expect("the limit is listed").used
}

/// A ramp ends as a slot as wide as the tool. What is said of its depth must therefore be what a slot of that
/// depth uses of the same limits at the ramp's feed.
#[test]
fn a_ramp_is_no_deeper_than_a_slot_that_keeps_the_limits() {
    let library = library();
    let mut tried = 0;
    for tool in ["em-6-1f", "em-6-2f", "em-6-3f", "em-3-1f"] {
        let Some(own) = library.tools.get(tool) else {
            continue;
        };
        let side = answer(&ask(&library, tool, Cut::Side)).expect("an answer");
        let ramp = side
            .entry
            .as_ref()
            .and_then(|entry| entry.ramp)
            .expect("a ramp");
        assert!(to_mm(ramp.depth) <= to_mm(side.ap));
        let slot = |depth: f64| {
            let mut q = ask(&library, tool, Cut::Slot);
            q.fixed.n = Some(side.n);
            q.fixed.fz = Some(mm(to_mm_per_min(ramp.feed)
                / to_rpm(side.n)
                / f64::from(own.flutes)));
            q.fixed.ap = Some(mm(depth));
            let answer = answer(&q).expect("an answer");
            [
                Which::AxisPush,
                Which::ToolDeflection,
                Which::MachineDeflection,
                Which::ToolGrip,
                Which::MotorPower,
            ]
            .into_iter()
            .map(|which| used(&answer, which))
            .fold(0.0, f64::max)
        };
        let depth = to_mm(ramp.depth);
        // Six tenths of what force and power allow (common practice, no source).
        assert!(slot(depth) <= 0.6 + 1e-6, "{tool}: {}", slot(depth));
        if depth < to_mm(side.ap) * 0.999 {
            assert!(slot(depth * 1.02) > 0.6, "{tool}: {}", slot(depth * 1.02));
            tried += 1;
        }
    }
    assert!(tried >= 2, "deep side cuts must be too deep to ramp to");
}

/// Common practice, no source: ramp 2 to 3 degrees, ramp at half feed, straight plunge at a third and with
/// centre-cutting tools only. Where half the chip would rub, it is the least chip instead.
#[test]
fn ways_in_lie_in_the_ranges_of_practice() {
    let library = library();
    let slot = answer(&ask(&library, "em-6-1f", Cut::Slot)).expect("an answer");
    let entry = slot.entry.as_ref().expect("ways in");
    let ramp = entry.ramp.expect("a ramp");
    assert!((2.0..=3.0).contains(&to_degree(ramp.angle)));
    let least = to_mm(mm(0.0025 * 6.0));
    let chip = |feed: f64| feed / to_rpm(slot.n);
    let half = 0.5 * to_mm(slot.fz);
    let at = chip(to_mm_per_min(ramp.feed));
    assert!((at - half.max(least)).abs() < 1e-9, "{at} {half}");
    let plunge = chip(to_mm_per_min(entry.plunge.expect("it cuts its centre")));
    // A third of what is usual for such a slot, whatever held this one.
    let material = library.materials.get("al-6082-t6").expect("shipped");
    let usual = material.chip_load.slot_share.value.most * 6.0;
    assert!(
        plunge <= (usual / 3.0).max(least) + 1e-9,
        "{plunge} {usual}"
    );

    let mut rim_only = library.tools.get("em-6-1f").expect("shipped").clone();
    rim_only.centre_cutting = false;
    let mut q = ask(&library, "em-6-1f", Cut::Slot);
    q.tool = &rim_only;
    let slot = answer(&q).expect("an answer");
    let entry = slot.entry.as_ref().expect("ways in");
    assert!(entry.plunge.is_none() && entry.ramp.is_some());
    let words = entry.words(slot.ap).join(" ");
    assert!(words.contains("does not cut at its centre"), "{words}");
}

/// A head that can hardly move itself does not plunge.
#[test]
fn a_weak_head_is_not_told_to_plunge() {
    let library = library();
    let mut machine = light_mill(&library);
    let push = 2.0 * machine.axes.z.friction_n.value;
    machine.axes.z.push_n = Given::new(push, Basis::Measured, "");
    let mut q = ask(&library, "em-6-1f", Cut::Slot);
    q.machine = &machine;
    let slot = answer(&q).expect("an answer");
    let entry = slot.entry.as_ref().expect("ways in");
    assert!(entry.plunge.is_none());
    let words = entry.words(slot.ap).join(" ");
    assert!(words.contains("does not push hard enough"), "{words}");
}

/// By hand: a strip half as wide as the tool is in the metal from 60 to 120 degrees; hmax = fz, and
/// hm = fz (cos 60 - cos 120) / (pi / 3) = 0.95493 fz. Engaged from one side the same width gives
/// hmax = fz (90 degrees) and hm = 2/pi fz.
#[test]
fn a_pass_over_the_middle_has_a_thick_chip_throughout() {
    let library = library();
    let mut machine = light_mill(&library);
    machine.spindle.run_out_mm.value = 0.0;
    let chip = |centred: bool| {
        let mut q = ask(&library, "em-6-3f", Cut::Face);
        q.machine = &machine;
        q.centred = centred;
        q.fixed.ae = Some(mm(3.0));
        q.fixed.ap = Some(mm(0.3));
        q.fixed.n = Some(rpm(6000.0));
        q.fixed.fz = Some(mm(0.03));
        let a = answer(&q).expect("an answer");
        (to_mm(a.hmax), to_mm(a.hm), to_newton(a.ft))
    };
    let (hmax, hm, _) = chip(true);
    assert!((hmax - 0.03).abs() < 1e-9);
    assert!((hm - 0.03 * 0.954_93).abs() < 1e-6, "{hm}");
    let (hmax, hm, _) = chip(false);
    assert!((hmax - 0.03).abs() < 1e-9);
    assert!((hm - 0.03 * 2.0 / std::f64::consts::PI).abs() < 1e-6);
    // The same metal a minute in a thicker chip takes less force: kc falls with hm.
    assert!(chip(true).2 < chip(false).2);
}

#[test]
fn a_mode_that_was_heard_is_warned_of_when_teeth_strike_near_it() {
    let library = library();
    let warned = |hz: f64| {
        let heard = [hertz(hz)];
        let mut q = ask(&library, "em-6-3f", Cut::Side);
        q.heard = &heard;
        q.fixed.n = Some(rpm(6000.0));
        let a = answer(&q).expect("an answer");
        a.cautions.iter().any(|caution| caution.contains("sang"))
    };
    // By hand: three teeth at 6000 rpm strike 300 times a second.
    assert!(warned(300.0) && warned(600.0));
    assert!(!warned(450.0));
}

#[test]
fn the_lift_of_a_part_on_tape_is_held_against_what_the_tape_stood() {
    let library = library();
    let lift = |stood: f64| {
        let mut q = ask(&library, "em-6-2f", Cut::Side);
        q.part_hold = Some(newton(stood));
        q.fixed.ap = Some(mm(3.0));
        q.fixed.ae = Some(mm(0.5));
        let a = answer(&q).expect("an answer");
        (used(&a, Which::PartHold), to_newton(a.thrust), a)
    };
    // Half of what it stood is let be used (common practice, no source).
    let (share, pull, _) = lift(400.0);
    assert!((share - pull / 200.0).abs() < 1e-9);
    let (share, _, weak) = lift(10.0);
    assert!(share <= 0.9 + 1e-9 || weak.is_exceeded(), "{share}");
}

/// One microstep of the coarser axis that feeds, by hand from lead, steps and microsteps.
#[test]
fn a_chip_load_under_one_step_of_any_feeding_axis_is_said() {
    let library = library();
    let mut machine = light_mill(&library);
    machine.axes.y.lead_mm.value = 12.0;
    machine.axes.y.full_steps_per_turn.value = 200;
    machine.axes.y.microsteps.value = 1;
    let said = |fz: f64| {
        let mut q = ask(&library, "em-6-1f", Cut::Slot);
        q.machine = &machine;
        q.fixed.fz = Some(mm(fz));
        q.fixed.ap = Some(mm(0.3));
        let a = answer(&q).expect("an answer");
        a.cautions.iter().any(|c| c.contains("one step of Y"))
    };
    // 12 mm / 200 = 0.06 mm.
    assert!(said(0.05));
    assert!(!said(0.07));
}

#[test]
fn what_cannot_be_is_no_recipe_without_a_word() {
    let library = library();
    // A depth beyond what stands out of the holder.
    let mut q = ask(&library, "em-6-3f", Cut::Side);
    q.stick_out = Some(mm(5.0));
    q.fixed.ap = Some(mm(10.0));
    let deep = answer(&q).expect("an answer");
    assert!(used(&deep, Which::FluteLength) > 1.9 && deep.is_exceeded());
    // A shank of 16 mm in a spindle whose largest collet takes 10.
    let mill = library.machines.get("light-belt-mill").expect("shipped");
    assert!(mill.spindle.largest_shank_mm.value < 16.0);
    let thick = answer(&ask(&library, "face-50-4", Cut::Face)).expect("an answer");
    assert!(used(&thick, Which::Shank) > 1.0 && thick.is_exceeded());
    // A feed that the axes do not reach is no danger, and is said.
    let mut q = ask(&library, "em-6-3f", Cut::Side);
    q.fixed.vf = Some(mm_per_min(1200.0));
    let fast = answer(&q).expect("an answer");
    assert!(
        fast.cautions
            .iter()
            .any(|c| c.contains("the machine cannot do what is fixed")),
        "{:?}",
        fast.cautions
    );
}
