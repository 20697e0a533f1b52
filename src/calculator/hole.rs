//! Cuts that feed along the tool's axis: plunge, drill, ream, tap.

use crate::calculator::MARGIN;
use crate::calculator::answer::Answer;
use crate::calculator::answer::Step;
use crate::calculator::bench::Bench;
use crate::calculator::bench::PUSH_SHARE;
use crate::calculator::increase;
use crate::calculator::limit;
use crate::calculator::limit::Limit;
use crate::calculator::limit::Which;
use crate::calculator::pilot;
use crate::calculator::question::Cut;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::calculator::search;
use crate::calculator::tap;
use crate::calculator::trace;
use crate::cutting::drilling;
use crate::cutting::finish;
use crate::cutting::force;
use crate::cutting::opening;
use crate::cutting::packing::Clearing;
use crate::cutting::power;
use crate::cutting::removal_rate;
use crate::cutting::tapping;
use crate::cutting::tool_life;
use crate::job::material::Class;
use crate::quantity::degree;
use crate::quantity::m_per_min;
use crate::quantity::mm;
use crate::quantity::mm_per_min;
use crate::quantity::n_per_mm2;
use crate::quantity::newton;
use crate::quantity::newton_metre;
use crate::quantity::rpm;
use crate::quantity::show::three_digits as t;
use crate::quantity::to_m_per_min;
use crate::quantity::to_minute;
use crate::quantity::to_mm;
use crate::quantity::to_mm_per_min;
use crate::quantity::to_n_per_mm2;
use crate::quantity::to_newton;
use crate::quantity::to_newton_metre;
use crate::quantity::to_rpm;
use crate::quantity::watt;

/// Depth of hole in diameters when none is given.
const USUAL_DEPTH: f64 = 2.0;
/// What a reamer takes off the radius, mm; common practice, no source.
const REAMING_MM: f64 = 0.1;
/// Included point angle of a drill that does not state it, degrees.
const POINT_DEG: f64 = 118.0;
/// Included angle of the end of a milling tool: it is flat.
const FLAT_DEG: f64 = 180.0;

/// Forces of a feed per turn.
#[derive(Clone, Copy, Debug)]
struct Load {
    thrust_n: f64,
    torque_nm: f64,
}

/// Numbers of the hole.
#[derive(Clone, Copy, Debug)]
struct Hole {
    depth_mm: f64,
    /// Stepover: the width that is cut on the radius.
    ae_mm: f64,
    point_deg: f64,
    kd: Option<f64>,
    tap_kc: f64,
    pitch_mm: f64,
    /// The hole that is opened, where it takes the chisel edge's work.
    pilot_mm: Option<f64>,
}

impl Hole {
    /// Diameter that is not metal any more.
    fn open_mm(self) -> f64 {
        self.pilot_mm.unwrap_or(0.0)
    }
}

/// Answers a question about a hole.
///
/// # Errors
///
/// Values that contradict each other, a tap without a pitch.
pub fn answer(bench: &Bench, q: &Question<'_>) -> Result<Answer, Refusal> {
    let mut assumed = bench.assumed.clone();
    let mut cautions = bench.cautions.clone();
    let d = bench.d_mm;
    let z = f64::from(bench.z);
    let depth_mm = q.fixed.ap.map_or_else(
        || {
            assumed.push(format!(
                "hole {} mm deep, twice the diameter",
                t(USUAL_DEPTH * d)
            ));
            USUAL_DEPTH * d
        },
        to_mm,
    );
    let pitch_mm = search::pitch_mm(q);
    if q.cut == Cut::Tap {
        tap::can_reverse(q, pitch_mm.ok_or(Refusal::NoPitch)?, depth_mm)?;
        if let (stop_s, true) = tap::stop_s(&q.machine.spindle) {
            assumed.push(format!(
                "the spindle stops in {stop_s} s (common practice, no source): time it, and enter it as stop_time of the machine"
            ));
        }
    }
    let ae_mm = match (q.cut, q.fixed.ae) {
        (Cut::Ream, Some(ae)) => to_mm(ae),
        (Cut::Ream, None) => {
            assumed.push(format!(
                "{REAMING_MM} mm left on the radius (common practice, no source)"
            ));
            REAMING_MM
        }
        _ => d,
    };
    let hole = Hole {
        depth_mm,
        ae_mm,
        point_deg: match q.cut {
            Cut::Plunge => FLAT_DEG,
            _ => q.tool.point_angle_deg.unwrap_or(POINT_DEG),
        },
        kd: q.material.drill_kd.as_ref().map(|kd| kd.value),
        tap_kc: tap_specific_force(q.material.class),
        pitch_mm: pitch_mm.unwrap_or(0.0),
        pilot_mm: pilot::counted(q)?,
    };
    let deep = if q.cut == Cut::Drill {
        drilling::deep_hole(depth_mm / d)
    } else {
        drilling::deep_hole(0.0)
    };
    let (n_rpm, fz_mm) = choose(bench, q, hole, deep)?;
    let vf = fz_mm * z * n_rpm;
    let load = load(bench, q.cut, hole, fz_mm);
    let vc_m_min = std::f64::consts::PI * d * n_rpm / 1000.0;
    let pc = power::power_of_torque(newton_metre(load.torque_nm), rpm(n_rpm));
    let motor = power::motor_power(pc, bench.efficiency);
    let (available, step) = bench.available(n_rpm);
    let h = drilling::chip(mm(fz_mm * z), bench.z, degree(hole.point_deg));
    let kc = force::specific_force(n_per_mm2(bench.kc1_1), bench.mc, h);
    let axis_push_n = load.thrust_n + bench.down.friction_n;
    let used_at = |n: f64, fz: f64| used(bench, q, hole, deep, n, fz);
    let used = used_at(n_rpm, fz_mm);
    say(q, hole, n_rpm, &mut cautions);
    let ft_n = 2000.0 * load.torque_nm / d;
    let trace = steps(bench, q, hole, n_rpm, fz_mm, load);
    let q_rate = match q.cut {
        Cut::Ream => {
            removal_rate::drilling_rate(mm(d), mm_per_min(vf))
                - removal_rate::drilling_rate(mm((d - 2.0 * ae_mm).max(0.0)), mm_per_min(vf))
        }
        Cut::Tap => removal_rate::drilling_rate(mm(d), mm_per_min(vf)) * 0.0,
        _ => {
            removal_rate::drilling_rate(mm(d), mm_per_min(vf))
                - removal_rate::drilling_rate(mm(hole.open_mm()), mm_per_min(vf))
        }
    };
    let mut answer = Answer {
        n: rpm(n_rpm),
        vc: m_per_min(vc_m_min),
        fz: mm(fz_mm),
        vf: mm_per_min(vf),
        ap: mm(depth_mm),
        ae: mm(ae_mm),
        hmax: h,
        hm: h,
        q: q_rate,
        kc,
        ft: newton(ft_n),
        ft_peak: newton(ft_n),
        thrust: newton(load.thrust_n),
        torque: newton_metre(load.torque_nm),
        pc,
        motor,
        motor_available: watt(available),
        axis_push: newton(axis_push_n),
        bend_tool: mm(0.0),
        bend_machine_x: mm(0.0),
        bend_machine_y: mm(0.0),
        cusp: mm(0.0),
        roughness: finish::peak_to_valley(mm(fz_mm), mm(d / 2.0)),
        life: bench
            .taylor
            .map(|(c, n)| tool_life::life(m_per_min(c), n, m_per_min(vc_m_min)))
            .filter(|life| to_minute(*life).is_finite()),
        entry: None,
        step: step.map(|at| bench.belt[at].0.clone()),
        speed_rating: bench.speed_rating_rpm.map(rpm),
        highest: rpm(bench.faster.highest(n_rpm)),
        width_held_by: vec![],
        increases: vec![],
        limits: limit::in_order(&used, &bench.caps),
        cautions,
        assumed,
        trace,
    };
    // Where a load is relaxed already, nothing is raised.
    let is_full = |limit: &Limit| limit.is_exceeded() || limit.is_relaxed();
    if q.cut != Cut::Tap && !answer.limits.iter().any(is_full) {
        let cut = increase::Boring { n_rpm, fz_mm };
        answer.increases = increase::of_hole(bench, &q.fixed, cut, used_at);
    }
    trace::finish(&mut answer, bench, q);
    Ok(search::keep_fixed(answer, q))
}

/// Share used of each limit.
fn used(
    bench: &Bench,
    q: &Question<'_>,
    hole: Hole,
    deep: drilling::Deep,
    n_rpm: f64,
    fz_mm: f64,
) -> Vec<(Which, f64)> {
    let feed = fz_mm * f64::from(bench.z);
    let load = load(bench, q.cut, hole, fz_mm);
    let h = drilling::chip(mm(feed), bench.z, degree(hole.point_deg));
    let vc_m_min = std::f64::consts::PI * bench.d_mm * n_rpm / 1000.0;
    let power = power_share(bench, q.cut, hole, n_rpm, fz_mm);
    let mut used = vec![
        (
            Which::AxisPush,
            (load.thrust_n + bench.down.friction_n) / (PUSH_SHARE * bench.down.push_n),
        ),
        (
            Which::SurfaceSpeed,
            vc_m_min / (bench.speeds.most * deep.speed),
        ),
        (
            Which::MotorPower,
            // Outside every belt step the limit of speed speaks.
            if power.is_finite() { power } else { 0.0 },
        ),
        (Which::FluteLength, hole.depth_mm / bench.flute_mm),
        (Which::Shank, bench.shank_share),
        (Which::TopSpeed, n_rpm / bench.top_rpm),
        (Which::LeastSpeed, bench.least_rpm / n_rpm),
        (Which::TopFeed, feed * n_rpm / bench.down.top_feed_mm_min),
    ];
    used.extend(bench.tool_speed(n_rpm));
    if q.cut == Cut::Tap {
        used.push((Which::RunOn, tap::run_on_share(n_rpm, bench.stop_s)));
    } else {
        used.push((Which::ChipLoad, fz_mm / (bench.usual_fz.most * deep.feed)));
        used.push((Which::Rubbing, bench.least_chip_mm / to_mm(h).max(1e-9)));
    }
    if q.cut == Cut::Plunge {
        used.push((
            Which::CentreCutting,
            if q.tool.centre_cutting { 0.0 } else { 2.0 },
        ));
    }
    used
}

/// Speed and feed: the most that every limit lets through; what is fixed stays.
fn choose(
    bench: &Bench,
    q: &Question<'_>,
    hole: Hole,
    deep: drilling::Deep,
) -> Result<(f64, f64), Refusal> {
    let z = f64::from(bench.z);
    let per_turn = std::f64::consts::PI * bench.d_mm / 1000.0;
    let given_n = q.fixed.n.map(to_rpm).or(q
        .fixed
        .vc
        .map(|vc| bench.set_for(to_m_per_min(vc) / per_turn)));
    let given_fz = q.fixed.fz.map(to_mm);
    let given_vf = q.fixed.vf.map(to_mm_per_min);
    let tap_fz = (q.cut == Cut::Tap).then_some(hole.pitch_mm / z);
    if let (Some(fz), Some(own)) = (given_fz, tap_fz)
        && (fz / own - 1.0).abs() > 0.005
    {
        return Err(Refusal::FeedTwice);
    }
    let fz_fixed = tap_fz.or(given_fz);
    if let (Some(n), Some(fz), Some(vf)) = (given_n, fz_fixed, given_vf) {
        if (fz * z * n / vf - 1.0).abs() > 0.005 {
            return Err(Refusal::FeedTwice);
        }
        return Ok((n, fz));
    }
    match (fz_fixed, given_vf, given_n) {
        (Some(fz), Some(vf), None) => return Ok((vf / (fz * z), fz)),
        (None, Some(vf), Some(n)) => return Ok((n, vf / (z * n))),
        _ => {}
    }
    let aim_vc = match q.aim {
        crate::calculator::question::Aim::Life => bench.speeds.least,
        _ => bench.caps.speed * bench.speeds.most,
    };
    let mut top_n = bench.most_rpm().min(aim_vc * deep.speed / per_turn);
    if q.cut == Cut::Tap {
        top_n = top_n.min(tap::most_rpm(MARGIN, bench.stop_s));
    }
    // Feed first: force does not depend on speed.
    let most = bench.caps.chip * bench.usual_fz.most * deep.feed;
    // Not so thin that it rubs: rather say that a limit is passed.
    let sine = (hole.point_deg.to_radians() / 2.0).sin();
    let thinnest = (bench.least_chip_mm / (MARGIN * sine)).min(most);
    let fz = fz_fixed.unwrap_or_else(|| push_up_to(bench, q.cut, hole, most).max(thinnest));
    // The feed is fixed: a tool that may not turn so fast takes a thicker chip.
    if let (None, Some(vf)) = (given_n, given_vf) {
        let n = bench.settable((vf / (fz * z)).min(bench.most_rpm()));
        return Ok((n, vf / (z * n)));
    }
    let speeds = match given_n {
        Some(n) => vec![n],
        None => {
            let by_feed = bench.down.top_feed_mm_min / (fz * z);
            let wanted = top_n.min(by_feed).max(bench.least_rpm.min(top_n));
            slower(bench, wanted)
        }
    };
    let share = |n: f64, fz: f64| power_share(bench, q.cut, hole, n, fz);
    if let Some(n) = speeds
        .iter()
        .find(|n| share(**n, fz) <= bench.caps.of(Which::MotorPower))
    {
        return Ok((*n, fz));
    }
    let thinnest = fz_fixed.unwrap_or(thinnest);
    // No speed has the power for this chip: a thinner one where the motor is least overloaded, at the highest such speed.
    let least = |a: &&f64, b: &&f64| {
        let of = |n: f64| (share(n, thinnest) * 1e6).round();
        of(**a).total_cmp(&of(**b)).then(b.total_cmp(a))
    };
    let n = speeds.iter().min_by(least).copied().unwrap_or(top_n);
    let fz = up_to(fz, |fz| share(n, fz) <= bench.caps.of(Which::MotorPower)).max(thinnest);
    Ok((n, fz))
}

/// Speeds from the wanted one down to the least of the spindle, each of which can be set.
fn slower(bench: &Bench, wanted: f64) -> Vec<f64> {
    const STEP: f64 = 0.95;
    let tops = bench.belt.iter().map(|(_, _, _, top)| *top);
    let mut speeds: Vec<f64> = std::iter::successors(Some(wanted), |n| Some(n * STEP))
        .take_while(|n| *n >= bench.least_rpm)
        .chain(tops.filter(|top| *top < wanted))
        .map(|n| bench.settable(n))
        .collect();
    speeds.sort_by(|a, b| b.total_cmp(a));
    if speeds.is_empty() {
        speeds.push(bench.settable(wanted));
    }
    speeds
}

/// The greatest chip load up to `most` whose thrust the axis of the head pushes with the margin kept.
fn push_up_to(bench: &Bench, cut: Cut, hole: Hole, most: f64) -> f64 {
    let push =
        bench.caps.of(Which::AxisPush) * PUSH_SHARE * bench.down.push_n - bench.down.friction_n;
    up_to(most, |fz| load(bench, cut, hole, fz).thrust_n <= push)
}

/// The greatest chip load up to `most` that fits, where every thinner one fits too.
fn up_to(most: f64, fits: impl Fn(f64) -> bool) -> f64 {
    if fits(most) {
        return most;
    }
    search::by_halves((0.0, most), 40, fits)
}

/// Share of the motor's power that a hole takes; no power at all is more than any share.
fn power_share(bench: &Bench, cut: Cut, hole: Hole, n_rpm: f64, fz_mm: f64) -> f64 {
    let torque = load(bench, cut, hole, fz_mm).torque_nm;
    let needs = 2.0 * std::f64::consts::PI * torque * n_rpm / 60.0 / bench.efficiency;
    let (available, _) = bench.available(n_rpm);
    if available > 0.0 {
        needs / available
    } else {
        f64::INFINITY
    }
}

fn load(bench: &Bench, cut: Cut, hole: Hole, fz_mm: f64) -> Load {
    let feed = mm(fz_mm * f64::from(bench.z));
    let d = mm(bench.d_mm);
    let h = drilling::chip(feed, bench.z, degree(hole.point_deg));
    let kc = force::specific_force(n_per_mm2(bench.kc1_1), bench.mc, h);
    match cut {
        Cut::Tap => Load {
            // A tap pulls itself in; what the axis pushes is small.
            thrust_n: 0.0,
            torque_nm: to_newton_metre(tapping::torque(
                n_per_mm2(hole.tap_kc),
                mm(hole.pitch_mm),
                d,
            )),
        },
        Cut::Ream => {
            let edge = force::tangential(mm(hole.ae_mm), mm(fz_mm), kc) * f64::from(bench.z);
            Load {
                thrust_n: to_newton(edge) / 2.0,
                torque_nm: to_newton_metre(power::torque_of_force(edge, d)),
            }
        }
        _ => {
            let open = mm(hole.open_mm());
            // The ring is the difference of two full holes.
            let simple = drilling::torque_of_specific_force(kc, feed, d)
                - drilling::torque_of_specific_force(kc, feed, open);
            let point = match (cut, hole.pilot_mm) {
                // An end mill that cuts to its centre has no chisel edge to speak of.
                (Cut::Plunge, _) => drilling::SPLIT_POINT,
                (_, Some(_)) => opening::ring(open, d),
                (_, None) => drilling::STANDARD_POINT,
            };
            match hole.kd {
                Some(kd) => Load {
                    thrust_n: to_newton(drilling::thrust(kd, feed, d, point, 1.0)),
                    torque_nm: to_newton_metre(drilling::torque(kd, feed, d, point, 1.0))
                        .max(to_newton_metre(simple)),
                },
                None => {
                    // A metal without the handbook's factor: kc over both lips at half, and half as much again for the chisel edge.
                    let lips = to_n_per_mm2(kc) * to_mm(feed) * (bench.d_mm - hole.open_mm()) / 4.0;
                    let chisel = if hole.pilot_mm.is_some() { 1.0 } else { 1.5 };
                    Load {
                        thrust_n: chisel * lips,
                        torque_nm: to_newton_metre(simple),
                    }
                }
            }
        }
    }
}

/// Specific force for the square-of-pitch form, N/mm²; the greater where a class has two.
///
/// Technical page of a thread-tool supplier (name left out); what it does not list takes steel's.
fn tap_specific_force(class: Class) -> f64 {
    match class {
        Class::Aluminium | Class::Magnesium | Class::Plastic => 800.0,
        Class::CopperAlloy | Class::Zinc => 1100.0,
        Class::CastIron => 1250.0,
        Class::Stainless | Class::Titanium => 3200.0,
        Class::Steel | Class::Composite => 2600.0,
    }
}

fn say(q: &Question<'_>, hole: Hole, n_rpm: f64, cautions: &mut Vec<String>) {
    let d = q.tool.diameter_mm;
    match q.cut {
        Cut::Drill => {
            let cleared = q.clearing != Clearing::None;
            let first = drilling::peck(mm(0.0), mm(d), cleared);
            if hole.depth_mm > to_mm(first) * (1.0 + 1e-9) {
                let next = drilling::peck(first, mm(d), cleared);
                cautions.push(format!(
                    "drill in pecks: first {} mm, then {} mm, half of that from {} mm on",
                    t(to_mm(first)),
                    t(to_mm(next)),
                    t(4.0 * d)
                ));
            }
            if hole.depth_mm > 8.0 * d {
                cautions.push("deeper than 8 diameters: no rule covers it".to_owned());
            }
            cautions.extend(pilot::cautions(q, hole.depth_mm));
        }
        Cut::Tap => {
            let nominal = q.thread.map_or(d, to_mm);
            cautions.push(tap::drill_words(nominal, hole.pitch_mm));
            let (stop_s, _) = tap::stop_s(&q.machine.spindle);
            cautions.extend(tap::cautions(hole.depth_mm, hole.pitch_mm, n_rpm, stop_s));
        }
        Cut::Plunge if !q.tool.centre_cutting => {
            cautions.push("this tool does not cut at its centre: ramp or helix instead".to_owned());
        }
        _ => {}
    }
}

fn steps(
    bench: &Bench,
    q: &Question<'_>,
    hole: Hole,
    n_rpm: f64,
    fz_mm: f64,
    load: Load,
) -> Vec<Step> {
    let z = f64::from(bench.z);
    let mut steps = vec![
        Step {
            what: "surface speed",
            line: format!(
                "vc = pi * D * n = pi * {} mm * {n_rpm:.0} rpm = {} m/min (usual {} to {})",
                t(bench.d_mm),
                t(std::f64::consts::PI * bench.d_mm * n_rpm / 1000.0),
                t(bench.speeds.least),
                t(bench.speeds.most)
            ),
            source: bench.speeds_source.clone(),
        },
        Step {
            what: "feed",
            line: format!(
                "vf = fz * z * n = {} mm * {} * {n_rpm:.0} rpm = {} mm/min",
                t(fz_mm),
                bench.z,
                t(fz_mm * z * n_rpm)
            ),
            source: if q.cut == Cut::Tap {
                "the pitch, exactly".to_owned()
            } else {
                bench.usual_fz_source.clone()
            },
        },
    ];
    let (line, source) = match (q.cut, hole.kd) {
        (Cut::Tap, _) => (
            format!(
                "M = kc * P^2 * D / 8 = {} * {}^2 * {} / 8000 = {} Nm",
                t(hole.tap_kc),
                t(hole.pitch_mm),
                t(bench.d_mm),
                t(load.torque_nm)
            ),
            "technical page of a thread-tool supplier".to_owned(),
        ),
        (Cut::Ream, _) => (
            format!(
                "M = z * b * h * kc * D / 2 = {} Nm, thrust {} N",
                t(load.torque_nm),
                t(load.thrust_n)
            ),
            q.material.kc1_1_n_mm2.source.to_string(),
        ),
        (_, kd) => drilled(bench, hole, kd, fz_mm * z, load),
    };
    steps.push(Step {
        what: "thrust and torque",
        line,
        source,
    });
    steps.push(Step {
        what: "axis push",
        line: format!(
            "({} N + friction {} N) against {} N, used to {:.0} %",
            t(load.thrust_n),
            t(bench.down.friction_n),
            t(bench.down.push_n),
            100.0 * PUSH_SHARE
        ),
        source: "the machine's profile; half is common practice, no source".to_owned(),
    });
    steps
}

/// Thrust and torque of a drill in words, with the source.
fn drilled(
    bench: &Bench,
    hole: Hole,
    kd: Option<f64>,
    feed_mm: f64,
    load: Load,
) -> (String, String) {
    let ring = hole.pilot_mm.map(|pilot| {
        let point = opening::ring(mm(pilot), mm(bench.d_mm));
        format!(
            " after {} mm: A = (1 - p^2) / (1 + p)^0.2 = {}, B = (1 - p) / (1 + p)^0.2 = {}, no chisel edge",
            t(pilot),
            t(point.a),
            t(point.b)
        )
    });
    let source = match (kd, &ring) {
        (Some(_), None) => {
            "Machinery's Handbook, 31st ed., p. 1152, sharp; standard point, split point for a plunge; El-Hofy, 2nd ed., p. 143, where its torque is greater"
        }
        (Some(_), Some(_)) => {
            "Machinery's Handbook, 31st ed., p. 1152, sharp, with the lips' share of its factors after Shaw and Oxford, Trans. ASME 79 (1957) (from memory); El-Hofy, 2nd ed., p. 143, where its torque is greater"
        }
        (None, _) => {
            "El-Hofy, Fundamentals of Machining Processes, 2nd ed., p. 143; thrust own estimate"
        }
    };
    let ring = ring.unwrap_or_default();
    let line = match kd {
        Some(kd) => format!(
            "Kd {}{ring}: thrust {} N; M = {} Nm, the greater of Kd and kc * f * (D^2 - d^2) / 8, at {} mm a turn",
            t(kd),
            t(load.thrust_n),
            t(load.torque_nm),
            t(feed_mm)
        ),
        None => format!(
            "M = kc * f * (D^2 - d^2) / 8 = {} Nm, thrust {} N, d {} mm",
            t(load.torque_nm),
            t(load.thrust_n),
            t(hole.open_mm())
        ),
    };
    (line, source.to_owned())
}
