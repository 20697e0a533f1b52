//! The answer of a milling cut with each formula and its numbers.

use crate::calculator::answer::Answer;
use crate::calculator::answer::Step;
use crate::calculator::bench::Bench;
use crate::calculator::bench::PUSH_SHARE;
use crate::calculator::bench::RADIAL_SHARE;
use crate::calculator::caps;
use crate::calculator::entry;
use crate::calculator::limit::Kind;
use crate::calculator::limit::Limit;
use crate::calculator::limit::Which;
use crate::calculator::mill::Load;
use crate::calculator::mill::Section;
use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::calculator::question::Question;
use crate::cutting::finish as surface;
use crate::cutting::rubbing::Cause;
use crate::cutting::spindle_drive;
use crate::cutting::thread_milling;
use crate::cutting::tool_life;
use crate::cutting::tooth_frequency;
use crate::job::machine::Axis;
use crate::quantity::cm3_per_min;
use crate::quantity::m_per_min;
use crate::quantity::mm;
use crate::quantity::mm_per_min;
use crate::quantity::n_per_mm2;
use crate::quantity::newton;
use crate::quantity::newton_metre;
use crate::quantity::rpm;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::show::three_digits;
use crate::quantity::to_hertz;
use crate::quantity::to_minute;
use crate::quantity::to_mm;
use crate::quantity::to_ratio;
use crate::quantity::to_rpm;
use crate::quantity::to_um;
use crate::quantity::watt;

/// How near a tooth frequency may come to a mode that was heard.
const NEAR_MODE: f64 = 0.08;

/// Builds the answer of a milling cut; limits are still to be put in.
pub fn mill(
    bench: &Bench,
    q: &Question<'_>,
    s: &Section,
    n_rpm: f64,
    fz_mm: f64,
    load: &Load,
) -> Answer {
    let z = bench.z;
    let torque_nm = load.ft_n * s.de_mm / 2000.0;
    let (available, step) = bench.available(n_rpm);
    let t = |v: f64| three_digits(v);
    let mut trace = vec![];
    let mut add = |what, line, source: &str| {
        trace.push(Step {
            what,
            line,
            source: source.to_owned(),
        });
    };
    add(
        "diameter that cuts",
        format!("De = {} mm at {} mm depth", t(s.de_mm), t(s.ap_mm)),
        "plane geometry",
    );
    add(
        "surface speed",
        format!(
            "vc = pi * De * n = pi * {} mm * {:.0} rpm = {} m/min (usual {} to {})",
            t(s.de_mm),
            n_rpm,
            t(load.vc_m_min),
            t(bench.speeds.least),
            t(bench.speeds.most)
        ),
        &bench.speeds_source,
    );
    add(
        "feed",
        format!(
            "vf = fz * z * n = {} mm * {z} * {n_rpm:.0} rpm = {} mm/min (usual fz {} to {} mm)",
            t(fz_mm),
            t(load.vf_mm_min),
            t(bench.usual_fz.least),
            t(bench.usual_fz.most)
        ),
        &bench.usual_fz_source,
    );
    let (from, to) = (s.arc.0.to_degrees(), s.arc.1.to_degrees());
    if bench.is_centred {
        add(
            "engagement",
            format!(
                "90 deg -+ asin(ae / De): from {} to {} deg with ae = {} mm over the middle",
                t(from),
                t(to),
                t(s.ae_mm)
            ),
            "plane geometry",
        );
        add(
            "chip",
            format!(
                "hmax = fz = {} mm, hm = fz * (cos phi1 - cos phi2) / (phi2 - phi1) * {} = {} mm",
                t(load.hmax_mm),
                t(s.mean_lead),
                t(load.hm_mm)
            ),
            "integral of fz * sin phi over the arc",
        );
    } else {
        add(
            "engagement",
            format!(
                "phi = acos(1 - 2 * ae / De) = {} deg with ae = {} mm",
                t(to),
                t(s.ae_mm)
            ),
            "Dietrich, Tschaetsch, Praxis der Zerspantechnik, 11th ed. 2014",
        );
        add(
            "chip",
            format!(
                "hmax = {} mm, hm = fz * 2 * (ae/De) / phi * {} = {} mm",
                t(load.hmax_mm),
                t(s.mean_lead),
                t(load.hm_mm)
            ),
            "El-Hofy, Fundamentals of Machining Processes, 2nd ed., p. 174; Dietrich, Tschaetsch",
        );
    }
    add(
        "specific force",
        format!(
            "kc = kc1.1 * hm^-mc = {} * {}^-{} = {:.0} N/mm2",
            t(bench.kc1_1),
            t(load.hm_mm),
            bench.mc,
            load.kc
        ),
        &q.material.kc1_1_n_mm2.source.to_string(),
    );
    add(
        "removal and power",
        format!(
            "Q = ap * ae * vf = {} cm3/min, Pc = kc * Q = {} W, mean Ft = Pc / vc = {} N, M = {} Nm",
            t(load.q_mm3_min / 1000.0),
            t(load.pc_w),
            t(load.ft_n),
            t(torque_nm)
        ),
        "El-Hofy, Fundamentals of Machining Processes, 2nd ed., p. 189",
    );
    if let Some(energy) = &q.material.energy_j_mm3 {
        add(
            "cross-check",
            format!(
                "textbook specific energy {} to {} J/mm3 gives {} to {} W at the cutter; kc here is {} J/mm3",
                t(energy.value.least),
                t(energy.value.most),
                t(energy.value.least * load.q_mm3_min / 60.0),
                t(energy.value.most * load.q_mm3_min / 60.0),
                t(load.kc / 1000.0)
            ),
            &energy.source.to_string(),
        );
    }
    add(
        "peak force",
        format!(
            "hw = fz{} = {} mm for the tooth that takes most; Ft peak = kc1.1 * sum of dz * h^(1-mc) along the \
             helix at its worst angle = {} N; with the radial force, {} of it: {} N",
            if bench.run_out_mm > 0.0 && bench.z > 1 {
                format!(" + run-out {} mm", t(bench.run_out_mm))
            } else {
                String::new()
            },
            t(load.worst_fz_mm),
            t(load.ft_peak_n),
            t(RADIAL_SHARE),
            t(load.side_peak_n)
        ),
        "Kienzle summed over slices; radial share common practice, no source",
    );
    let axis_push_n = load.in_cut_n + bench.across.friction_n;
    add(
        "axis push",
        format!(
            "F = Ft mean over the engaged angle * sqrt(1 + {}^2) = {} N, the mean while a tooth is in the metal; \
             (F + friction {} N) against {} N, used to {:.0} %: {:.0} % of the push",
            t(RADIAL_SHARE),
            t(load.in_cut_n),
            t(bench.across.friction_n),
            t(bench.across.push_n),
            100.0 * PUSH_SHARE,
            100.0 * axis_push_n / bench.across.push_n
        ),
        "the machine's profile; table and screw do not follow within a tooth; half is common practice, no source",
    );
    if let Some(screw) = bench.across.screw_n {
        add(
            "screw",
            format!(
                "2 pi * eta * T / lead = {} N at the holding torque; {} N is counted on at cutting feeds",
                t(screw),
                t(bench.across.push_n)
            ),
            "work of one turn of the screw (from memory); the machine's profile",
        );
    }
    add(
        "deflection",
        format!(
            "tool {} mm under the peak ({} mm out, {} GPa); machine {} N, the mean over a turn across the weaker way, \
             / {} N/um = {} mm; {} mm allowed",
            t(load.bend_tool_mm),
            t(bench.stick_out_mm),
            t(bench.modulus_gpa),
            t(load.mean_axis_n),
            t(bench.kx.min(bench.ky)),
            t(load.bend_machine_mm),
            t(bench.bend_mm)
        ),
        "beam theory; Kops and Vo, CIRP Annals 39/1 (1990); allowance common practice, no source",
    );
    add(
        "rubbing",
        format!(
            "least chip {} mm, from {}",
            t(bench.least_chip_mm),
            match bench.rubbing_cause {
                Cause::EdgeRadius => "the edge radius",
                Cause::Diameter => "0.0025 of the diameter",
            }
        ),
        &q.material.least_chip_ratio.source.to_string(),
    );
    add(
        "motor",
        format!(
            "Pm = Pc / {} = {} W of {} W at this speed{}",
            t(bench.efficiency),
            t(load.motor_w),
            t(available),
            step.map_or(String::new(), |at| format!(
                ", belt step {}",
                bench.belt[at].0
            ))
        ),
        "Machinery's Handbook (from memory); constant torque below the rated speed",
    );
    Answer {
        n: rpm(n_rpm),
        vc: m_per_min(load.vc_m_min),
        fz: mm(fz_mm),
        vf: mm_per_min(load.vf_mm_min),
        ap: mm(s.ap_mm),
        ae: mm(s.ae_mm),
        hmax: mm(load.hmax_mm),
        hm: mm(load.hm_mm),
        q: cm3_per_min(load.q_mm3_min / 1000.0),
        kc: n_per_mm2(load.kc),
        ft: newton(load.ft_n),
        ft_peak: newton(load.ft_peak_n),
        thrust: newton(load.pull_n),
        torque: newton_metre(torque_nm),
        pc: watt(load.pc_w),
        motor: watt(load.motor_w),
        motor_available: watt(available),
        axis_push: newton(axis_push_n),
        bend_tool: mm(load.bend_tool_mm),
        bend_machine_x: mm(load.mean_axis_n / (1000.0 * bench.kx)),
        bend_machine_y: mm(load.mean_axis_n / (1000.0 * bench.ky)),
        // A flat end leaves no cusp, whatever its corners.
        cusp: if bench.is_ball() {
            surface::cusp(mm(s.ae_mm), mm(bench.corner_mm))
        } else {
            mm(0.0)
        },
        // The corner draws the marks on a floor, the rim those on a wall.
        roughness: if q.cut == Cut::Face && bench.corner_mm > 0.0 {
            surface::peak_to_valley(mm(fz_mm), mm(bench.corner_mm))
        } else {
            surface::peak_to_valley(mm(fz_mm), mm(bench.d_mm / 2.0))
        },
        life: bench
            .taylor
            .map(|(c, n)| tool_life::life(m_per_min(c), n, m_per_min(load.vc_m_min)))
            .filter(|life| to_minute(*life).is_finite()),
        entry: entry::entry(bench, q, n_rpm, fz_mm, s.ap_mm),
        step: step.map(|at| bench.belt[at].0.clone()),
        speed_rating: bench.speed_rating_rpm.map(rpm),
        highest: rpm(bench.faster.highest(n_rpm)),
        width_held_by: vec![],
        increases: vec![],
        limits: vec![],
        cautions: bench.cautions.clone(),
        assumed: vec![],
        trace,
    }
}

/// Adds what is said of any cut once its limits are known.
pub fn finish(answer: &mut Answer, bench: &Bench, q: &Question<'_>) {
    say_tool_speed(answer, bench);
    for limit in answer.limits.iter().filter(|limit| limit.is_exceeded()) {
        answer.cautions.push(format!(
            "{} is passed: {:.0} % of what is allowed; lifted by: {}",
            limit.which.name(),
            100.0 * limit.used,
            limit.which.lift(q.cut)
        ));
    }
    for limit in answer.limits.iter().filter(|limit| limit.is_relaxed()) {
        let own = own_values(q, limit.which);
        let why = if own.is_empty() {
            "relaxed".to_owned()
        } else {
            format!("your own {}", own.join(" and "))
        };
        answer.cautions.push(format!(
            "{why}: {} is used to {:.0} %, a first cut keeps to {:.0} %",
            limit.which.name(),
            100.0 * limit.used,
            100.0 * limit.target
        ));
    }
    let is_ceiling =
        |limit: &&Limit| limit.which.kind() == Kind::Ceiling && limit.used > 1.0 + 1e-9;
    for limit in answer.limits.iter().filter(is_ceiling) {
        answer.cautions.push(format!(
            "{}: the machine cannot do what is fixed, it is at {:.0} % of it; {}",
            limit.which.name(),
            100.0 * limit.used,
            limit.which.lift(q.cut)
        ));
    }
    let tooth = tooth_frequency::tooth_frequency(q.in_cut.unwrap_or(answer.n), bench.z);
    for mode in q.heard {
        if let Some(multiple) = tooth_frequency::near_mode(tooth, *mode, NEAR_MODE) {
            answer.cautions.push(format!(
                "teeth strike at {:.0} Hz, whose multiple {multiple} is near {:.0} Hz, where it sang",
                to_hertz(tooth),
                to_hertz(*mode)
            ));
        }
    }
    if !q.cut.is_hole() && bench.z > 1 && to_mm(answer.fz) < bench.run_out_mm {
        answer.cautions.push(format!(
            "the run-out of {} mm is more than the chip load: one tooth takes it all, reckoned so",
            three_digits(bench.run_out_mm)
        ));
    }
    if bench.z == 1 && q.cut == Cut::Slot && bench.run_out_mm > 0.0 {
        answer.cautions.push(format!(
            "run-out makes the slot up to {} mm wide",
            three_digits(bench.d_mm + bench.run_out_mm)
        ));
    }
    if bench.sag > 0.0 && answer.motor_available > watt(0.0) {
        let load = to_ratio(answer.motor / answer.motor_available);
        let in_cut = spindle_drive::under_load(answer.n, bench.sag, load);
        answer.trace.push(Step {
            what: "sag",
            line: format!(
                "set {} without load, it falls to about {} in the cut",
                show::rpm(answer.n),
                show::rpm(in_cut)
            ),
            source: "the profile's share of the set speed; a direct-current motor turned down by its voltage falls further"
                .to_owned(),
        });
    }
    say_motor(answer, q);
    say_resolution(answer, q);
    if !q.cut.is_hole() {
        say_mill(answer, q);
    }
    if let Some(limit) = answer.binding() {
        let line = format!(
            "{} binds at {:.0} % of what is allowed; lifted by: {}",
            limit.which.name(),
            100.0 * limit.used,
            limit.which.lift(q.cut)
        );
        answer.trace.push(Step {
            what: "what binds",
            line,
            source: format!(
                "a first cut uses at most {:.0} % of what force and power allow, and {:.0} % of other danger limits (common practice, no source)",
                100.0 * caps::FIRST_SHARE,
                100.0 * crate::calculator::MARGIN
            ),
        });
    }
}

/// What the person fixed that a limit hangs on. The depth of a hole is the part's, not a choice.
fn own_values(q: &Question<'_>, which: Which) -> Vec<&'static str> {
    let fixed = &q.fixed;
    let is_speed = matches!(
        which,
        Which::SurfaceSpeed | Which::ToolSpeed | Which::TopSpeed | Which::LeastSpeed
    );
    let is_free = q.cut.is_hole() || is_speed;
    [
        (
            "depth",
            fixed.ap.is_some() && !q.is_depth_proposed && !is_free,
        ),
        (
            "stepover",
            fixed.ae.is_some() && !is_free && q.cut != Cut::Slot,
        ),
        ("rpm", fixed.n.is_some()),
        ("surface speed", fixed.vc.is_some()),
        ("chip load", fixed.fz.is_some() && !is_speed),
        ("feed", fixed.vf.is_some() && !is_speed),
    ]
    .into_iter()
    .filter_map(|(name, is_own)| is_own.then_some(name))
    .collect()
}

/// The highest rpm that can occur against what the tool is rated for.
fn say_tool_speed(answer: &mut Answer, bench: &Bench) {
    let Some(rating) = bench.speed_rating_rpm else {
        return;
    };
    if !bench.faster.assumed.is_empty() {
        let line = format!("highest rpm: {}", bench.faster.assumed);
        answer.assumed.push(line);
    }
    answer.trace.push(Step {
        what: "tool speed",
        line: format!(
            "{} by override, load and knob; {rating:.0} rpm is the lowest rating of cutter, arbor and holder",
            bench.faster.words(to_rpm(answer.n))
        ),
        source: "ISO 15641 on the strength of cutters (from memory); the profiles of tool and machine".to_owned(),
    });
}

/// More than the continuous rating, but within what the motor stands for a while.
fn say_motor(answer: &mut Answer, q: &Question<'_>) {
    if answer.motor_available <= watt(0.0) {
        return;
    }
    let share = to_ratio(answer.motor / answer.motor_available);
    if share <= 1.0 {
        return;
    }
    let heat = spindle_drive::heat_ratio(share);
    let line = match &q.machine.spindle.short_time {
        Some(short) if share <= short.torque_ratio.value => format!(
            "the motor stands this for {:.0} s, at {heat:.1} times its rated heat; then it must cool",
            short.time_s.value
        ),
        _ => format!("the motor would run at {heat:.1} times its rated heat: it stalls or burns"),
    };
    answer.cautions.push(line);
}

/// A feed in jerks: the chip load is less than one step of the coarsest axis that feeds.
fn say_resolution(answer: &mut Answer, q: &Question<'_>) {
    let axes = &q.machine.axes;
    let feeding = if q.cut.is_hole() {
        vec![("Z", &axes.z)]
    } else {
        vec![("X", &axes.x), ("Y", &axes.y)]
    };
    let step_mm = |axis: &Axis| {
        axis.lead_mm.value
            / f64::from(axis.full_steps_per_turn.value)
            / f64::from(axis.microsteps.value)
    };
    let coarsest = feeding
        .into_iter()
        .map(|(name, axis)| (name, step_mm(axis)))
        .fold(
            ("", 0.0),
            |most, one| if one.1 > most.1 { one } else { most },
        );
    if to_mm(answer.fz) < coarsest.1 {
        answer.cautions.push(format!(
            "the chip load is less than one step of {}, {} mm: the feed comes in jerks",
            coarsest.0,
            three_digits(coarsest.1)
        ));
    }
}

/// Entry, wall and thread: what a milling cut needs besides its limits.
fn say_mill(answer: &mut Answer, q: &Question<'_>) {
    let words = match &answer.entry {
        Some(entry) => entry.words(answer.ap),
        None => vec!["come in from outside the metal".to_owned()],
    };
    for line in words {
        answer.trace.push(Step {
            what: "entry",
            line,
            source: "ramp angle and shares of the feed common practice, no source; a ramp cuts full width and is held \
                     against the same limits"
                .to_owned(),
        });
    }
    if q.aim == Aim::Finish {
        let error = surface::wall_error(answer.bend_tool, answer.bend_machine());
        answer.trace.push(Step {
            what: "wall",
            line: format!(
                "the wall stands off by up to {} mm before a spring pass; feed marks {} um",
                three_digits(to_mm(error)),
                three_digits(to_um(answer.roughness))
            ),
            source: "two springs in series; plane geometry".to_owned(),
        });
    }
    if q.cut == Cut::Thread
        && let Some(thread) = q.thread
        && thread > mm(q.tool.diameter_mm)
    {
        let inside = thread_milling::centre_feed_inside(answer.vf, thread, mm(q.tool.diameter_mm));
        answer.cautions.push(format!(
            "{} is the feed of the edge: program {} for the tool's centre inside the thread",
            show::feed(answer.vf, Units::Metric),
            show::feed(inside, Units::Metric)
        ));
    }
}
