//! A greater depth or width never raises the proposed speed or width, and neighbouring depths have neighbouring answers.

use millside::calculator::answer;
use millside::calculator::answer::Answer;
use millside::calculator::question::Cut;
use millside::calculator::question::Question;
use millside::job::machine::Machine;
use millside::job::tool::Kind;
use millside::job::tool::Tool;
use millside::profile::library::Library;
use millside::quantity::mm;
use millside::quantity::to_mm;
use millside::quantity::to_mm_per_min;
use millside::quantity::to_rpm;

/// Cuts whose depth and width are free to choose.
const CUTS: [Cut; 3] = [Cut::Side, Cut::Slot, Cut::Face];

/// Shallowest depth that is proposed, mm.
fn shallow_mm(tool: &Tool) -> f64 {
    (0.02 * tool.diameter_mm).min(0.1)
}

/// The pairs of machine, metal, tool and cut that are tried: one in 29, each metal several times.
fn each(mut look: impl FnMut(&str, Question<'_>, &Tool, &Machine)) {
    let library = Library::shipped();
    for machine in library.machines.items() {
        for (row, material) in library.materials.items().iter().enumerate() {
            for (column, tool) in library.tools.items().iter().enumerate() {
                if (row + column) % 29 != 0 || tool.kind == Kind::EdgeFinder {
                    continue;
                }
                for cut in CUTS {
                    let place = format!(
                        "{} {} {} {}",
                        machine.name,
                        material.name,
                        tool.name,
                        cut.word()
                    );
                    let question = Question::new(machine, material, tool, cut);
                    look(&place, question, tool, machine);
                }
            }
        }
    }
}

/// No more than before; the last digits are those of the units.
fn no_higher(what: &str, before: f64, after: f64, faults: &mut Vec<String>) {
    if after > before * (1.0 + 1e-9) {
        faults.push(format!("{what}: {before} to {after}"));
    }
}

#[test]
fn a_greater_depth_never_raises_speed_or_width() {
    let (mut compared, mut faults) = (0, vec![]);
    each(|place, question, tool, _| {
        let mut before: Option<(f64, Answer)> = None;
        let mut depth = shallow_mm(tool);
        while depth < 2.0 * tool.diameter_mm {
            let mut q = question.clone();
            q.fixed.ap = Some(mm(depth));
            let Ok(now) = answer(&q) else { return };
            if let Some((shallower, old)) = &before {
                compared += 1;
                let at = format!("{place} {shallower:.3} to {depth:.3} deep");
                no_higher(
                    &format!("{at}, rpm"),
                    to_rpm(old.n),
                    to_rpm(now.n),
                    &mut faults,
                );
                // A slot is as wide as the tool cuts at that depth. From a depth too shallow for any width to keep the limits
                // to one where some does, there is nothing to compare.
                let is_first = old.is_exceeded() && !now.is_exceeded();
                if q.cut != Cut::Slot && !is_first {
                    let (old, new) = (to_mm(old.ae), to_mm(now.ae));
                    no_higher(&format!("{at}, width"), old, new, &mut faults);
                }
            }
            before = Some((depth, now));
            depth *= 1.3;
        }
    });
    assert!(compared > 300, "{compared}");
    let shown = &faults[..faults.len().min(40)];
    assert!(
        faults.is_empty(),
        "{} of {compared}: {shown:#?}",
        faults.len()
    );
}

/// Typing the depth that was proposed changes nothing, and a greater one raises nothing.
#[test]
fn the_proposed_depth_lies_on_the_same_curve() {
    let (mut compared, mut faults) = (0, vec![]);
    each(|place, question, _, _| {
        let Ok(free) = answer(&question) else { return };
        for share in [1.0, 1.1, 1.5] {
            let mut q = question.clone();
            q.fixed.ap = Some(free.ap * share);
            let typed = answer(&q).expect("the same values");
            compared += 1;
            let at = format!("{place} at {share}");
            no_higher(
                &format!("{at}, rpm"),
                to_rpm(free.n),
                to_rpm(typed.n),
                &mut faults,
            );
            let (old, new) = (to_mm(free.ae), to_mm(typed.ae));
            if q.cut == Cut::Slot {
                continue;
            }
            no_higher(&format!("{at}, width"), old, new, &mut faults);
        }
    });
    assert!(compared > 50, "{compared}");
    let shown = &faults[..faults.len().min(40)];
    assert!(
        faults.is_empty(),
        "{} of {compared}: {shown:#?}",
        faults.len()
    );
}

/// A wider cut takes no more speed, except where a narrower one had to be slowed: at the most that the axes feed, its thin
/// chip would have rubbed.
#[test]
fn a_greater_width_never_raises_the_speed() {
    let (mut compared, mut faults) = (0, vec![]);
    each(|place, question, tool, machine| {
        // With a rounded corner the thinnest chip is that of a shallow pass: the speed follows the width further.
        if question.cut == Cut::Slot || tool.corner_radius_mm > 0.0 {
            return;
        }
        let top_feed = machine
            .axes
            .x
            .top_feed_mm_min
            .value
            .min(machine.axes.y.top_feed_mm_min.value);
        for depth in [0.05, 0.2, 1.0] {
            let mut before: Option<Answer> = None;
            let mut width = 0.02 * tool.diameter_mm;
            while width < 0.9 * tool.diameter_mm {
                let mut q = question.clone();
                q.fixed.ap = Some(mm(depth * tool.diameter_mm));
                q.fixed.ae = Some(mm(width));
                let Ok(now) = answer(&q) else { break };
                if let Some(old) = &before {
                    compared += 1;
                    let rubbing = old.limits.iter().find(|l| l.which.name() == "rubbing");
                    // A step of the speed below the top feed is the rounding of the rpm.
                    let was_slowed = to_mm_per_min(old.vf) > 0.9 * top_feed
                        || rubbing.is_some_and(|l| l.used > 0.85);
                    if !was_slowed {
                        let what = format!("{place} {depth} d deep, {width:.3} wide, rpm");
                        no_higher(&what, to_rpm(old.n), to_rpm(now.n), &mut faults);
                    }
                }
                before = Some(now);
                width *= 1.4;
            }
        }
    });
    assert!(compared > 300, "{compared}");
    let shown = &faults[..faults.len().min(40)];
    assert!(
        faults.is_empty(),
        "{} of {compared}: {shown:#?}",
        faults.len()
    );
}

/// The width at a depth a tenth greater is at least half of the one before, unless limits hold it; they are named then.
#[test]
fn a_small_step_of_the_depth_moves_the_width_gently() {
    let (mut compared, mut faults) = (0, vec![]);
    each(|place, question, tool, _| {
        let mut before: Option<Answer> = None;
        let mut depth = shallow_mm(tool);
        while depth < tool.diameter_mm {
            let mut q = question.clone();
            q.fixed.ap = Some(mm(depth));
            let Ok(now) = answer(&q) else { return };
            if let Some(old) = &before {
                compared += 1;
                let half = to_mm(now.ae) < 0.5 * to_mm(old.ae);
                if half && now.width_held_by.is_empty() && !now.is_exceeded() {
                    faults.push(format!("{place} {depth:.3}: {:?} to {:?}", old.ae, now.ae));
                }
            }
            before = Some(now);
            depth *= 1.1;
        }
    });
    assert!(compared > 600, "{compared}");
    let shown = &faults[..faults.len().min(40)];
    assert!(
        faults.is_empty(),
        "{} of {compared}: {shown:#?}",
        faults.len()
    );
}

/// The 25 mm face mill of the light mill in aluminium, as it stands on the shelf.
#[test]
fn the_face_mill_of_the_light_mill_takes_no_more_speed_at_more_depth() {
    let library = Library::shipped();
    let mut question = Question::new(
        library.machines.get("light-belt-mill").expect("shipped"),
        library.materials.get("al-6061-t6").expect("shipped"),
        library.tools.get("face-25-2").expect("shipped"),
        Cut::Face,
    );
    let answers = [0.3, 0.5, 0.7].map(|depth| {
        question.fixed.ap = Some(mm(depth));
        answer(&question).expect("an answer")
    });
    for pair in answers.windows(2) {
        assert!(pair[1].n <= pair[0].n, "{pair:?}");
        assert!(pair[1].ae <= pair[0].ae, "{pair:?}");
        assert!(pair[1].pc <= pair[0].pc * 1.25, "{pair:?}");
        let halved = to_mm(pair[1].ae) < 0.5 * to_mm(pair[0].ae);
        assert!(!halved || !pair[1].width_held_by.is_empty(), "{pair:?}");
    }
}
