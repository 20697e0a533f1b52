//! Properties of the formulas and of the calculator, over random values.

use std::f64::consts::PI;

use millside::calculator::answer;
use millside::calculator::question::Aim;
use millside::calculator::question::Cut;
use millside::calculator::question::Fixed;
use millside::calculator::question::Question;
use millside::calculator::question::Refusal;
use millside::cutting::bending;
use millside::cutting::chip_thickness;
use millside::cutting::edge_contact;
use millside::cutting::effective_diameter;
use millside::cutting::feed;
use millside::cutting::helix;
use millside::cutting::helix::SinePower;
use millside::cutting::helix::Teeth;
use millside::cutting::spindle_speed;
use millside::profile::library::Library;
use millside::quantity as q;
use proptest::prelude::*;

/// Tangential force at an angle of the tip by a sum over slices: no table, no closed form.
fn by_slices(teeth: Teeth, mc: f64, tip: f64) -> f64 {
    const SLICES: usize = 2000;
    let mut sum = 0.0;
    for tooth in 0..teeth.count {
        let own = tip + 2.0 * PI * f64::from(tooth) / f64::from(teeth.count);
        for slice in 0..SLICES {
            let lag = teeth.lag * (slice as f64 + 0.5) / SLICES as f64;
            let phi = (own - lag).rem_euclid(2.0 * PI);
            if phi >= teeth.entry && phi <= teeth.exit {
                sum += phi.sin().max(0.0).powf(1.0 - mc);
            }
        }
    }
    sum / SLICES as f64
}

/// Peak and mean over a turn by slices at every degree.
fn turn_by_slices(teeth: Teeth, mc: f64) -> (f64, f64) {
    let all: Vec<f64> = (0..360)
        .map(|degree| by_slices(teeth, mc, f64::from(degree).to_radians()))
        .collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    (all.into_iter().fold(0.0, f64::max), mean)
}

#[test]
fn force_over_a_turn_agrees_with_a_sum_over_slices() {
    for (count, exit, lag, mc) in [
        (1, PI, 0.117, 0.25),
        (1, PI, 1.2, 0.17),
        (2, PI, 0.6, 0.25),
        (3, PI, 0.3, 0.25),
        (3, 0.9, 1.1, 0.25),
        (4, 0.6, 2.0, 0.21),
        (2, 1.6, 0.4, 0.0),
    ] {
        let teeth = Teeth {
            count,
            entry: 0.0,
            exit,
            lag,
        };
        let shares = helix::over_a_turn(teeth, &SinePower::new(mc));
        let (peak, mean) = turn_by_slices(teeth, mc);
        assert!(
            (shares.peak / peak - 1.0).abs() < 0.01,
            "{teeth:?}: {} for {peak}",
            shares.peak
        );
        assert!(
            (shares.mean / mean - 1.0).abs() < 0.01,
            "{teeth:?}: {} for {mean}",
            shares.mean
        );
    }
}

/// Two ways to a mean: kc at the mean chip, and the mean of kc over the arc. For a
/// narrow cut the chip grows evenly from 0, which makes the first (1 + p) / 2^p of the second, p = 1 - mc.
#[test]
fn the_textbook_mean_agrees_with_the_integral() {
    for mc in [0.0, 0.14, 0.21, 0.25, 0.28] {
        for share in [0.02_f64, 0.1, 0.3, 0.5, 0.8, 1.0] {
            let phi = (1.0 - 2.0 * share).acos();
            let integral = SinePower::new(mc).integral(phi) / phi;
            let textbook = (2.0 * share / phi).powf(1.0 - mc);
            let ratio = textbook / integral;
            let p = 1.0 - mc;
            let most = (1.0 + p) / 2.0_f64.powf(p) + 1e-3;
            assert!(
                (1.0 - 1e-3..=most).contains(&ratio),
                "{mc} {share}: {ratio}"
            );
        }
    }
}

/// The stepped tool against numbers from `tests/fixtures/cutting/tool_bending.py` (quadrature of the moment's work).
#[test]
fn bending_agrees_with_quadrature() {
    let beam = |out, fluted, shank, d, e| bending::Beam {
        stick_out: q::mm(out),
        fluted: q::mm(fluted),
        shank: q::mm(shank),
        diameter: q::mm(d),
        modulus: q::gigapascal(e),
    };
    for (force, beam, expected_mm) in [
        (50.0, beam(25.0, 15.0, 6.0, 6.0, 600.0), QUADRATURE_MM[0]),
        (20.0, beam(20.0, 9.0, 6.0, 3.0, 600.0), QUADRATURE_MM[1]),
        (60.0, beam(22.0, 18.0, 6.0, 6.0, 520.0), QUADRATURE_MM[2]),
        (35.0, beam(30.0, 40.0, 8.0, 8.0, 200.0), QUADRATURE_MM[3]),
    ] {
        let value = q::to_mm(bending::tool(q::newton(force), beam));
        assert!(
            (value / expected_mm - 1.0).abs() < 1e-5,
            "{value} for {expected_mm}"
        );
    }
}

/// Printed by `python3 tests/fixtures/cutting/tool_bending.py`.
const QUADRATURE_MM: [f64; 4] = [0.008946624, 0.006243513, 0.011519750, 0.019124530];

proptest! {
    #[test]
    fn speed_and_feed_go_both_ways(vc in 1.0..600.0f64, d in 0.2..80.0f64, fz in 0.001..1.0f64, z in 1u32..12) {
        let (vc, d, fz) = (q::m_per_min(vc), q::mm(d), q::mm(fz));
        let n = spindle_speed::spindle_speed(vc, d);
        prop_assert!((q::to_ratio(spindle_speed::surface_speed(n, d) / vc) - 1.0).abs() < 1e-12);
        let vf = feed::table_feed(fz, z, n);
        prop_assert!((q::to_ratio(feed::chip_load(vf, z, n) / fz) - 1.0).abs() < 1e-12);
        prop_assert!((q::to_ratio(feed::speed_for_chip_load(vf, fz, z) / n) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn thinning_goes_to_one_at_half_the_width(d in 0.5..80.0f64, share in 0.5..1.0f64, narrow in 0.01..0.5f64) {
        let d = q::mm(d);
        prop_assert!((chip_thickness::feed_compensation(d * share, d) - 1.0).abs() < 1e-9);
        let k = chip_thickness::feed_compensation(d * narrow, d);
        prop_assert!(k >= 1.0);
        // A wider cut thins less.
        prop_assert!(chip_thickness::feed_compensation(d * (narrow * 0.9), d) >= k);
    }

    #[test]
    fn the_mean_chip_never_passes_the_thickest(fz in 0.001..1.0f64, share in 0.001..1.0f64, lead in 5.0..90.0f64) {
        let (fz, d, lead) = (q::mm(fz), q::mm(10.0), q::degree(lead));
        let mean = chip_thickness::mean(fz, d * share, d, lead);
        let most = chip_thickness::thickest(fz, d * share, d, lead);
        prop_assert!(mean <= most * (1.0 + 1e-9));
        prop_assert!(most <= fz * (1.0 + 1e-9));
        prop_assert!(q::to_mm(mean) > 0.0);
    }

    #[test]
    fn a_round_corner_keeps_the_area_of_the_chip(r in 0.1..5.0f64, ap in 0.01..8.0f64) {
        let contact = edge_contact::contact(q::mm(ap), q::mm(r), q::degree(90.0));
        prop_assert!((q::to_mm(contact.length) * contact.mean / ap - 1.0).abs() < 1e-9);
        prop_assert!(contact.mean <= contact.steepest + 1e-9 && contact.steepest <= 1.0 + 1e-9);
        let de = effective_diameter::corner(q::mm(10.0), q::mm(r), q::mm(ap));
        prop_assert!(de <= q::mm(10.0 + 1e-9) && q::to_mm(de) > 0.0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A fixed value comes back, more feed never lowers force, and no figure is no number.
    #[test]
    fn more_feed_never_lowers_force(
        n in 300.0..9000.0f64, fz in 0.002..0.3f64, more in 1.0..3.0f64,
        ap in 0.02..12.0f64, ae in 0.02..6.0f64, tool in 0usize..3,
    ) {
        let library = Library::shipped();
        let machine = library.machines.get("light-belt-mill").expect("shipped");
        let material = library.materials.get("al-6082-t6").expect("shipped");
        let tool = library.tools.get(["em-6-1f", "em-6-2f", "em-6-3f"][tool]).expect("shipped");
        let ask = |fz: f64| {
            let mut question = Question::new(machine, material, tool, Cut::Side);
            question.fixed = Fixed {
                n: Some(q::rpm(n)),
                fz: Some(q::mm(fz)),
                ap: Some(q::mm(ap)),
                ae: Some(q::mm(ae)),
                ..Fixed::default()
            };
            answer(&question).expect("an answer")
        };
        let (less, more) = (ask(fz), ask(fz * more));
        prop_assert_eq!(less.n, q::rpm(n));
        prop_assert_eq!(less.fz, q::mm(fz));
        prop_assert_eq!(less.ap, q::mm(ap));
        prop_assert_eq!(less.ae, q::mm(ae));
        for (a, b) in [
            (less.ft, more.ft),
            (less.ft_peak, more.ft_peak),
            (less.thrust, more.thrust),
            (less.axis_push, more.axis_push),
        ] {
            prop_assert!(b >= a * (1.0 - 1e-9));
            prop_assert!(q::to_newton(a).is_finite() && q::to_newton(b).is_finite());
        }
        prop_assert!(less.ft <= less.ft_peak * (1.0 + 0.05));
        for limit in &more.limits {
            prop_assert!(limit.used.is_finite() && limit.used >= 0.0);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Whatever subset is fixed, it comes back to the last digit, the values fit each other, and the
    /// figures are numbers. A surface speed comes back as that of the rpm below it that can be set.
    #[test]
    fn any_fixed_subset_comes_back_and_the_rest_fits_it(
        which in 0u32..32, values in (500.0..20_000.0f64, 0.005..0.2f64, 50.0..1500.0f64, 0.05..8.0f64, 0.05..6.0f64),
        tool in 0usize..6, cut in 0usize..3, aim in 0usize..3, machine in 0usize..3, vc in any::<bool>(),
    ) {
        let library = Library::shipped();
        let machine = &library.machines.items()[machine];
        let material = library.materials.get("al-6061-t6").expect("shipped");
        let tool = library
            .tools
            .get(["em-6-1f", "em-6-2f", "em-6-3f", "ball-6-2f", "em-2-1f", "em-6-2f-hss"][tool])
            .expect("shipped");
        let mut question = Question::new(machine, material, tool, [Cut::Slot, Cut::Side, Cut::Face][cut]);
        question.aim = Aim::ALL[aim];
        let (n, fz, vf, ap, ae) = values;
        let fixed = |bit: u32| which & (1 << bit) != 0;
        question.fixed = Fixed {
            n: (fixed(0) && !vc).then(|| q::rpm(n)),
            vc: (fixed(0) && vc).then(|| q::m_per_min(n / 100.0)),
            fz: fixed(1).then(|| q::mm(fz)),
            vf: fixed(2).then(|| q::mm_per_min(vf)),
            ap: fixed(3).then(|| q::mm(ap)),
            ae: fixed(4).then(|| q::mm(ae.min(0.9 * tool.diameter_mm))),
        };
        let a = match answer(&question) {
            Ok(a) => a,
            Err(Refusal::OutOfReach { is_fixed, .. }) => {
                // What is fixed asks for a speed that the spindle does not have, or the steel edge is too slow for it.
                prop_assert!(!is_fixed || fixed(0) || fixed(1) && fixed(2));
                prop_assert!(which & 0b111 != 0 || tool.name == "em-6-2f-hss");
                return Ok(());
            }
            // Only too many values, or a ball that cuts too narrow there.
            Err(_) => {
                prop_assert!(which & 0b111 == 0b111 || fixed(4));
                return Ok(());
            }
        };
        let f = question.fixed;
        prop_assert!(f.n.is_none_or(|n| n == a.n));
        let step = q::rpm(machine.spindle.step_rpm());
        let is_below = |vc| vc >= a.vc * (1.0 - 1e-12) && vc <= a.vc * ((a.n + step) / a.n);
        let has_belt_steps_alone = machine.spindle.steps.iter().all(|belt| belt.least_rpm.value == belt.top_rpm.value);
        prop_assert!(f.vc.is_none_or(|vc| is_below(vc) || has_belt_steps_alone), "{a:?}");
        prop_assert!(f.fz.is_none_or(|fz| fz == a.fz) && f.vf.is_none_or(|vf| vf == a.vf));
        prop_assert!(f.ap.is_none_or(|ap| ap == a.ap) && f.ae.is_none_or(|ae| ae == a.ae));
        let vf = feed::table_feed(a.fz, tool.flutes, a.n);
        prop_assert!((q::to_ratio(vf / a.vf) - 1.0).abs() < 0.006, "{a:?}");
        let de = a.vc / (PI * a.n);
        prop_assert!(q::to_mm(de) > 0.0 && q::to_mm(de) <= tool.diameter_mm * 1.001, "{a:?}");
        for value in [
            q::to_newton(a.ft), q::to_newton(a.ft_peak), q::to_newton(a.axis_push), q::to_watt(a.pc),
            q::to_mm(a.bend_tool), q::to_mm(a.bend_machine()), q::to_mm(a.hmax), q::to_mm(a.hm),
        ] {
            prop_assert!(value.is_finite() && value > 0.0, "{a:?}");
        }
        let lines: Vec<&str> = a.trace.iter().map(|step| step.line.as_str()).collect();
        let page = lines.join("\n");
        prop_assert!(!page.contains("NaN") && !page.contains("inf"), "{page}");
    }
}

/// From one end to the other by ratio, both ends often.
fn span(least: f64, most: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        1 => Just(least),
        1 => Just(most),
        4 => (0.0..1.0f64).prop_map(move |t| {
            let low = least.max(most * 1e-9);
            low * (most / low).powf(t)
        }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Any value that a profile may have, and all at their ends together, still gives numbers.
    #[test]
    fn extreme_profiles_that_load_give_numbers(
        push in span(1.0, 100_000.0), friction in span(0.0, 10_000.0), stiffness in span(0.01, 1000.0),
        top_feed in span(10.0, 100_000.0), watt in span(10.0, 100_000.0), rated in span(100.0, 200_000.0),
        efficiency in span(0.05, 1.0), run_out in span(0.0, 1.0), kc in span(10.0, 10_000.0), mc in span(0.0, 0.6),
        d in span(0.05, 300.0), z in 1u32..60, flute in span(0.0, 500.0), out in span(1.0, 500.0),
        helix in span(0.0, 75.0), corner in span(0.0, 150.0), least_rpm in span(0.0, 1000.0),
        n_taylor in span(0.01, 1.0), cut in 0usize..9, aim in 0usize..3,
    ) {
        let library = Library::shipped();
        let mut machine = library.machines.items()[0].clone();
        for axis in [&mut machine.axes.x, &mut machine.axes.y, &mut machine.axes.z] {
            axis.push_n.value = push;
            axis.friction_n.value = friction;
            axis.stiffness_n_um.value = stiffness;
            axis.top_feed_mm_min.value = top_feed;
        }
        machine.spindle.rated_w.value = watt;
        machine.spindle.rated_rpm.value = rated;
        machine.spindle.efficiency.value = efficiency;
        machine.spindle.run_out_mm.value = run_out;
        machine.spindle.steps[0].least_rpm.value = least_rpm;
        let mut material = library.materials.get("steel-c45").expect("shipped").clone();
        material.kc1_1_n_mm2.value = kc;
        material.mc.value = mc;
        if let Some(taylor) = &mut material.taylor_carbide {
            taylor.n.value = n_taylor;
        }
        let cut = Cut::ALL[cut];
        let mut tool = library
            .tools
            .items()
            .iter()
            .find(|tool| answer(&Question::new(&machine, &material, tool, cut)).is_ok())
            .unwrap_or(&library.tools.items()[0])
            .clone();
        tool.diameter_mm = d;
        tool.flutes = z;
        tool.flute_length_mm = flute;
        tool.stick_out_mm = out;
        tool.helix_deg = helix;
        tool.corner_radius_mm = corner;
        let mut question = Question::new(&machine, &material, &tool, cut);
        question.aim = Aim::ALL[aim];
        let Ok(a) = answer(&question) else { return Ok(()) };
        for (name, value) in [
            ("n", q::to_rpm(a.n)), ("vc", q::to_m_per_min(a.vc)), ("fz", q::to_mm(a.fz)),
            ("vf", q::to_mm_per_min(a.vf)), ("ap", q::to_mm(a.ap)), ("ae", q::to_mm(a.ae)),
        ] {
            prop_assert!(value.is_finite() && value > 0.0, "{} {name} {value}", cut.word());
        }
        for (name, value) in [
            ("hmax", q::to_mm(a.hmax)), ("hm", q::to_mm(a.hm)), ("kc", q::to_n_per_mm2(a.kc)),
            ("ft", q::to_newton(a.ft)), ("peak", q::to_newton(a.ft_peak)), ("thrust", q::to_newton(a.thrust)),
            ("torque", q::to_newton_metre(a.torque)), ("pc", q::to_watt(a.pc)), ("motor", q::to_watt(a.motor)),
            ("available", q::to_watt(a.motor_available)), ("push", q::to_newton(a.axis_push)),
            ("tool", q::to_mm(a.bend_tool)), ("machine", q::to_mm(a.bend_machine())),
            ("cusp", q::to_mm(a.cusp)), ("marks", q::to_mm(a.roughness)),
            ("life", a.life.map_or(0.0, q::to_minute)),
        ] {
            prop_assert!(value.is_finite() && value >= 0.0, "{} {name} {value}", cut.word());
        }
        for limit in &a.limits {
            prop_assert!(limit.used.is_finite() && limit.used >= 0.0, "{} {limit:?}", cut.word());
        }
        let words = a.trace.iter().map(|step| &step.line).chain(&a.cautions).chain(&a.assumed);
        for line in words {
            prop_assert!(!line.contains("NaN") && !line.contains(" inf"), "{line}");
        }
    }
}
