//! The calculator on shipped profiles: facts of the trade, limits, fixed values, neighbours.

use millside::calculator::answer;
use millside::calculator::answer::Answer;
use millside::calculator::increase::Raised;
use millside::calculator::limit::Kind;
use millside::calculator::limit::Which;
use millside::calculator::question::Aim;
use millside::calculator::question::Cut;
use millside::calculator::question::Fixed;
use millside::calculator::question::Question;
use millside::calculator::question::Refusal;
use millside::cutting::packing::Clearing;
use millside::job::machine::Basis;
use millside::job::machine::Given;
use millside::profile::library::Library;
use millside::quantity::m_per_min;
use millside::quantity::mm;
use millside::quantity::mm_per_min;
use millside::quantity::rpm;
use millside::quantity::to_m_per_min;
use millside::quantity::to_mm;
use millside::quantity::to_mm_per_min;
use millside::quantity::to_newton;
use millside::quantity::to_rpm;

fn library() -> Library {
    Library::shipped()
}

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
    answer
        .limits
        .iter()
        .find(|limit| limit.which == which)
        .expect("the limit is listed")
        .used
}

#[test]
fn the_demo_slot_lands_in_the_ranges_of_practice_and_says_why() {
    // Common practice, no source: 6 mm single flute, 6000-series aluminium, light mill:
    // chip load 0.03 to 0.06 mm, 0.3 to 1 mm deep.
    let library = library();
    let q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-1f",
        Cut::Slot,
    );
    let answer = answer(&q).expect("an answer");
    assert!((0.03..=0.06).contains(&to_mm(answer.fz)), "{:?}", answer.fz);
    assert!((0.3..=1.0).contains(&to_mm(answer.ap)), "{:?}", answer.ap);
    assert!(!answer.is_exceeded());
    assert!(answer.binding().is_some());
    assert!(answer.trace.iter().any(|step| step.what == "what binds"));
}

/// Common practice, no source: 0.06 mm, 3 deep by 0.5, and 0.04 mm, 0.5 deep in a slot run on a light mill;
/// face 0.3 deep at half the width.
#[test]
fn the_usual_cuts_of_a_light_mill_pass_no_danger() {
    let library = library();
    for (cut, fz, ap, ae) in [
        (Cut::Side, 0.06, 3.0, 0.5),
        (Cut::Slot, 0.04, 0.5, 6.0),
        (Cut::Face, 0.05, 0.3, 3.0),
    ] {
        let mut q = ask(&library, "light-belt-mill", "al-6082-t6", "em-6-1f", cut);
        q.fixed = Fixed {
            n: Some(rpm(9000.0)),
            fz: Some(mm(fz)),
            ap: Some(mm(ap)),
            ae: Some(mm(ae)),
            ..Fixed::default()
        };
        let answer = answer(&q).expect("an answer");
        assert!(
            !answer.is_exceeded(),
            "{}: {:?}",
            cut.word(),
            answer.limits[0]
        );
    }
}

/// With a feed ceiling of 500 mm/min and the spindle at 9000 rpm three flutes run thin, one does not.
/// Common practice, no source.
#[test]
fn three_flutes_run_thin_and_hot_under_a_feed_ceiling_where_one_does_not() {
    let mut library_machine = library()
        .machines
        .get("light-belt-mill")
        .expect("shipped machine")
        .clone();
    library_machine.axes.x.top_feed_mm_min.value = 500.0;
    library_machine.axes.y.top_feed_mm_min.value = 500.0;
    let library = library();
    let fixed = Fixed {
        n: Some(rpm(9000.0)),
        vf: Some(mm_per_min(500.0)),
        ap: Some(mm(0.3)),
        ..Fixed::default()
    };
    let thin = |tool: &str| {
        let mut q = ask(&library, "light-belt-mill", "al-6082-t6", tool, Cut::Slot);
        q.machine = &library_machine;
        q.fixed = fixed;
        used(&answer(&q).expect("an answer"), Which::ThinHotChips)
    };
    assert!(thin("em-6-3f") > 1.0);
    assert!(thin("em-6-1f") < 1.0);
}

/// Common practice, no source.
#[test]
fn a_six_millimetre_drill_at_a_tenth_takes_over_half_of_a_small_axis_motor() {
    let library = library();
    let mut drill = library
        .tools
        .get("drill-3.3")
        .expect("shipped tool")
        .clone();
    drill.diameter_mm = 6.0;
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "drill-3.3",
        Cut::Drill,
    );
    q.tool = &drill;
    // A small axis motor: 300 N were measured.
    let mut machine = q.machine.clone();
    machine.axes.z.push_n = Given::new(300.0, Basis::Measured, "");
    q.machine = &machine;
    q.fixed.fz = Some(mm(0.05));
    let answer = answer(&q).expect("an answer");
    assert!(used(&answer, Which::AxisPush) > 1.0);
    assert!(to_newton(answer.thrust) > 0.5 * q.machine.axes.z.push_n.value);
    assert!(answer.is_exceeded());
}

#[test]
fn what_is_fixed_comes_back_unchanged_and_may_pass_its_limits() {
    let library = library();
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-2f",
        Cut::Side,
    );
    q.fixed = Fixed {
        vc: Some(m_per_min(123.4)),
        vf: Some(mm_per_min(777.0)),
        ap: Some(mm(9.0)),
        ae: Some(mm(2.0)),
        ..Fixed::default()
    };
    let answer = answer(&q).expect("an answer");
    // 123 400 / (6 pi) = 6546.6, and the knob has steps of 50: 6500, which is 6.5 * 6 pi = 122.522 m/min.
    assert!(
        (to_m_per_min(answer.vc) - 122.522).abs() < 0.001,
        "{:?}",
        answer.vc
    );
    assert_eq!(answer.vf, mm_per_min(777.0));
    assert_eq!((answer.ap, answer.ae), (mm(9.0), mm(2.0)));
    // By hand: n = 1000 * 123.4 / (6 pi) = 6546.6; rounded down to 6500; fz = 777 / (2 * 6500) = 0.059769.
    assert!((to_rpm(answer.n) - 6500.0).abs() < 1e-6);
    assert!((to_mm(answer.fz) - 0.059_769).abs() < 1e-5);
    assert!(answer.is_exceeded());
    assert!(answer.limits[0].binds && answer.limits[0].is_exceeded());
}

#[test]
fn plain_arithmetic_agrees_with_the_textbook_chain() {
    // By hand from kc1.1 = 800, mc = 0.25: 10000 rpm, 6 mm, 1 flute, fz 0.04, slot 0.5 deep.
    let library = library();
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-1f",
        Cut::Slot,
    );
    q.fixed = Fixed {
        n: Some(rpm(9000.0)),
        fz: Some(mm(0.04)),
        ap: Some(mm(0.5)),
        ..Fixed::default()
    };
    let a = answer(&q).expect("an answer");
    let near = |value: f64, hand: f64| (value / hand - 1.0).abs() < 1e-3;
    assert!(near(to_m_per_min(a.vc), 169.646));
    assert!(near(to_mm_per_min(a.vf), 360.0));
    assert!(near(to_mm(a.hmax), 0.04));
    assert!(near(to_mm(a.hm), 0.025_464_8));
    // kc = 800 * 0.0254648^-0.25 = 2002.65 N/mm2; Q = 1.08 cm3/min; Pc = 36.048 W.
    assert!(near(millside::quantity::to_n_per_mm2(a.kc), 2002.65));
    assert!(near(millside::quantity::to_cm3_per_min(a.q), 1.08));
    assert!(near(millside::quantity::to_watt(a.pc), 36.048));
    assert!(near(to_newton(a.ft), 12.7494));
    assert!(near(
        millside::quantity::to_newton_metre(a.torque),
        0.038_248
    ));
    // Peak: kc1.1 * 0.5 * 0.04^0.75 = 35.777 N; the helix lags 11 degrees, which takes 0.4 % off.
    assert!((to_newton(a.ft_peak) / 35.777 - 1.0).abs() < 0.01);
}

#[test]
fn contradictions_are_refused_in_words() {
    let library = library();
    let base = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-1f",
        Cut::Slot,
    );
    let refused = |change: &dyn Fn(&mut Question<'_>)| {
        let mut q = base.clone();
        change(&mut q);
        answer(&q).expect_err("refused")
    };
    assert_eq!(
        refused(&|q| {
            q.fixed.n = Some(rpm(9000.0));
            q.fixed.vc = Some(m_per_min(100.0));
        }),
        Refusal::SpeedTwice
    );
    assert_eq!(
        refused(&|q| {
            q.fixed.n = Some(rpm(9000.0));
            q.fixed.fz = Some(mm(0.04));
            q.fixed.vf = Some(mm_per_min(900.0));
        }),
        Refusal::FeedTwice
    );
    assert!(matches!(
        refused(&|q| q.fixed.ae = Some(mm(7.0))),
        Refusal::TooWide { .. }
    ));
    assert!(matches!(
        refused(&|q| q.fixed.ap = Some(mm(f64::NAN))),
        Refusal::NotPositive { .. }
    ));
    assert!(matches!(
        refused(&|q| q.cut = Cut::Drill),
        Refusal::ToolCannot { .. }
    ));
}

/// Every shipped machine, metal, tool and cut: finite figures and one limit that binds.
#[test]
fn no_profile_gives_a_figure_that_is_no_number() {
    let library = library();
    let mut answered = 0;
    for machine in library.machines.items() {
        for (row, material) in library.materials.items().iter().enumerate() {
            for (column, tool) in library.tools.items().iter().enumerate() {
                // An eighth of all pairs, each metal and each tool several times.
                if (row + column) % 8 != 0 {
                    continue;
                }
                for cut in Cut::ALL {
                    let q = Question::new(machine, material, tool, cut);
                    let Ok(a) = answer(&q) else { continue };
                    answered += 1;
                    let place = format!(
                        "{} {} {} {}",
                        machine.name,
                        material.name,
                        tool.name,
                        cut.word()
                    );
                    for (name, value) in [
                        ("n", to_rpm(a.n)),
                        ("vc", to_m_per_min(a.vc)),
                        ("fz", to_mm(a.fz)),
                        ("vf", to_mm_per_min(a.vf)),
                        ("ap", to_mm(a.ap)),
                        ("ae", to_mm(a.ae)),
                    ] {
                        assert!(value.is_finite() && value > 0.0, "{place}: {name} {value}");
                    }
                    for (name, value) in [
                        ("hmax", to_mm(a.hmax)),
                        ("hm", to_mm(a.hm)),
                        ("ft", to_newton(a.ft)),
                        ("peak", to_newton(a.ft_peak)),
                        ("thrust", to_newton(a.thrust)),
                        ("push", to_newton(a.axis_push)),
                        ("tool", to_mm(a.bend_tool)),
                        ("machine", to_mm(a.bend_machine())),
                        ("cusp", to_mm(a.cusp)),
                        ("marks", to_mm(a.roughness)),
                    ] {
                        assert!(value.is_finite() && value >= 0.0, "{place}: {name} {value}");
                    }
                    for limit in &a.limits {
                        assert!(limit.used.is_finite(), "{place}: {}", limit.which.name());
                    }
                    assert_eq!(
                        a.limits.iter().filter(|limit| limit.binds).count(),
                        1,
                        "{place}"
                    );
                    assert!(!a.trace.is_empty() && !a.assumed.is_empty(), "{place}");
                }
            }
        }
    }
    assert!(answered > 200, "{answered}");
}

#[test]
fn a_recommendation_is_the_same_each_time() {
    let library = library();
    for cut in [Cut::Slot, Cut::Side, Cut::Face] {
        let q = ask(&library, "bench-mill", "al-6082-t6", "em-6-3f", cut);
        assert_eq!(answer(&q), answer(&q));
    }
}

/// Fixing all of a neighbour's values gives its worth; none that keeps the margins beats the recommendation.
/// What a first cut may use (common practice, no source): six tenths of what force and power allow, three quarters of the usual chip
/// load and of carbide's surface speed, nine tenths of other dangers, ceilings whole.
fn first_cut(which: Which) -> f64 {
    match which {
        Which::AxisPush
        | Which::ToolDeflection
        | Which::MachineDeflection
        | Which::ToolGrip
        | Which::PartHold
        | Which::MotorPower => 0.6,
        Which::ChipLoad | Which::SurfaceSpeed => 0.75,
        Which::TopSpeed | Which::LeastSpeed | Which::TopFeed => 1.0,
        _ => 0.9,
    }
}

#[test]
fn no_neighbour_that_keeps_its_limits_beats_the_recommendation_by_a_hundredth() {
    let library = library();
    for machine in ["light-belt-mill", "bench-mill", "gantry-router"] {
        for (tool, cut) in [
            ("em-6-1f", Cut::Slot),
            ("em-6-1f", Cut::Side),
            ("em-6-3f", Cut::Side),
            ("em-6-2f", Cut::Face),
        ] {
            for material in ["al-6082-t6", "al-6061-t6"] {
                let q = ask(&library, machine, material, tool, cut);
                let best = answer(&q).expect("an answer");
                let rate = |a: &Answer| millside::quantity::to_cm3_per_min(a.q);
                let keeps = |a: &Answer| {
                    a.limits
                        .iter()
                        .all(|limit| limit.used <= first_cut(limit.which) + 1e-6)
                };
                let place = format!("{machine} {material} {tool} {}", cut.word());
                assert!(keeps(&best), "{place}: {:?}", best.limits[0]);
                let factors = [0.9, 0.95, 0.98, 1.0, 1.02, 1.05, 1.1];
                for n in factors {
                    for fz in factors {
                        for ap in factors {
                            for ae in factors {
                                let mut near = q.clone();
                                let ae = if cut == Cut::Slot { 1.0 } else { ae };
                                near.fixed = Fixed {
                                    n: Some(best.n * n),
                                    fz: Some(best.fz * fz),
                                    ap: Some(best.ap * ap),
                                    ae: Some(best.ae * ae),
                                    ..Fixed::default()
                                };
                                // Beyond the depth that is sought, or the width of a face cut.
                                let is_outside = to_mm(best.ap * ap) > 12.0
                                    || cut == Cut::Side && to_mm(best.ae * ae) > 3.0
                                    || cut == Cut::Face && to_mm(best.ae * ae) > 4.5;
                                if is_outside {
                                    continue;
                                }
                                let near = match answer(&near) {
                                    // Faster than the spindle turns, or slower.
                                    Err(Refusal::OutOfReach { .. }) if n != 1.0 => continue,
                                    near => near.expect("an answer"),
                                };
                                assert!(
                                    !keeps(&near) || rate(&near) <= 1.01 * rate(&best),
                                    "{place}: {} beats {} with {near:?}",
                                    rate(&near),
                                    rate(&best)
                                );
                            }
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn each_aim_and_each_way_of_clearing_does_what_it_says() {
    let library = library();
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-2f",
        Cut::Side,
    );
    let mut ask_for = |aim| {
        q.aim = aim;
        answer(&q).expect("an answer")
    };
    let (removal, finish) = (ask_for(Aim::Removal), ask_for(Aim::Finish));
    let error = |a: &Answer| to_mm(a.bend_tool) + to_mm(a.bend_machine());
    assert!(error(&finish) < error(&removal));
    assert!(to_mm(finish.bend_tool) <= 0.01);
    let mut slot = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-1f",
        Cut::Slot,
    );
    slot.total_depth = Some(mm(9.0));
    let mut packed = |clearing| {
        slot.clearing = clearing;
        used(&answer(&slot).expect("an answer"), Which::ChipsThatStay)
    };
    // Common practice, no source: one diameter dry, two with air.
    assert!(packed(Clearing::None) > 1.0);
    assert!(packed(Clearing::Air) < 1.0);
}

#[test]
fn a_recommendation_slows_the_spindle_rather_than_run_thin() {
    let library = library();
    let mut machine = library
        .machines
        .get("light-belt-mill")
        .expect("shipped machine")
        .clone();
    machine.axes.x.top_feed_mm_min.value = 500.0;
    machine.axes.y.top_feed_mm_min.value = 500.0;
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-3f",
        Cut::Slot,
    );
    q.machine = &machine;
    let answer = answer(&q).expect("an answer");
    assert!(used(&answer, Which::ThinHotChips) <= 0.9 + 1e-9);
    assert!(used(&answer, Which::Rubbing) <= 0.9 + 1e-9);
    assert!(to_rpm(answer.n) < 6000.0, "{:?}", answer.n);
    assert!(to_mm_per_min(answer.vf) <= 500.0 + 1e-6);
}

#[test]
fn every_limit_of_a_slot_is_listed_once() {
    let library = library();
    let mut q = ask(
        &library,
        "light-belt-mill",
        "al-6082-t6",
        "em-6-1f",
        Cut::Slot,
    );
    q.part_hold = Some(millside::quantity::newton(200.0));
    let answer = answer(&q).expect("an answer");
    for which in [
        Which::AxisPush,
        Which::ChipsThatStay,
        Which::ThinHotChips,
        Which::ToolDeflection,
        Which::MachineDeflection,
        Which::ToolGrip,
        Which::PartHold,
        Which::Rubbing,
        Which::ChipLoad,
        Which::SurfaceSpeed,
        Which::MotorPower,
        Which::FluteLength,
        Which::Shank,
        Which::TopSpeed,
        Which::LeastSpeed,
        Which::TopFeed,
    ] {
        let count = answer
            .limits
            .iter()
            .filter(|limit| limit.which == which)
            .count();
        assert_eq!(count, 1, "{}", which.name());
    }
    assert_eq!(answer.limits.len(), 16);
    let kinds = |which: Which| which.kind();
    assert_eq!(kinds(Which::TopSpeed), Kind::Ceiling);
    assert_eq!(kinds(Which::TopFeed), Kind::Ceiling);
    assert_eq!(kinds(Which::AxisPush), Kind::Danger);
}

/// What a first cut leaves is raised one value at a time, within what is usual for the cut, to 70 and then 80 % of what force and power
/// allow (common practice, no source). Each step is asked again with its values fixed.
#[test]
fn the_next_increases_are_what_they_say() {
    let library = library();
    let mut seen = 0;
    for machine in ["light-belt-mill", "bench-mill", "gantry-router"] {
        for (tool, cut) in [
            ("em-6-2f", Cut::Slot),
            ("em-6-2f", Cut::Side),
            ("em-10-3f", Cut::Side),
            ("face-25-2", Cut::Face),
        ] {
            let q = ask(&library, machine, "al-6082-t6", tool, cut);
            let Ok(first) = answer(&q) else { continue };
            let mut now = Fixed {
                n: Some(first.n),
                fz: Some(first.fz),
                ap: Some(first.ap),
                ae: Some(first.ae),
                ..Fixed::default()
            };
            let d = q.tool.diameter_mm;
            for (place, increase) in first.increases.iter().enumerate() {
                seen += 1;
                let place_words = format!("{machine} {tool} {}: {increase:?}", cut.word());
                match increase.raised {
                    Raised::Feed(feed) => {
                        let n = to_rpm(first.n) * f64::from(q.tool.flutes);
                        now.fz = Some(mm(to_mm_per_min(feed) / n));
                    }
                    Raised::Stepover(width) => {
                        let most = if cut == Cut::Side { 0.5 * d } else { 0.75 * d };
                        assert!(to_mm(width) <= most * (1.0 + 1e-9), "{place_words}");
                        now.ae = Some(width);
                    }
                    Raised::Depth(depth) => now.ap = Some(depth),
                    Raised::Speed(..) => panic!("{place_words}"),
                }
                let mut again = q.clone();
                again.fixed = now;
                let again = answer(&again).expect("an answer");
                let up_to = [0.7, 0.8][place];
                for limit in &again.limits {
                    let most: f64 = match limit.which {
                        Which::AxisPush
                        | Which::ToolDeflection
                        | Which::MachineDeflection
                        | Which::ToolGrip
                        | Which::MotorPower => up_to,
                        Which::TopSpeed | Which::LeastSpeed | Which::TopFeed => 1.0,
                        _ => 0.9,
                    };
                    let was = first.limits.iter().find(|old| old.which == limit.which);
                    let was = was.map_or(0.0, |old| old.used);
                    assert!(
                        limit.used <= most.max(was) + 1e-6,
                        "{place_words}: {limit:?}"
                    );
                }
                let named = again
                    .limits
                    .iter()
                    .find(|limit| limit.which == increase.which);
                let used = named.expect("it is listed").used;
                assert!((used - increase.used).abs() < 1e-6, "{place_words}: {used}");
            }
        }
    }
    assert!(seen >= 8, "{seen}");
}
