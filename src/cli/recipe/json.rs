//! A recipe as one JSON object.

use serde::Serialize;
use serde_json::Value;

use crate::calculator::alternative::Alternative;
use crate::calculator::answer::Answer;
use crate::calculator::increase::Increase;
use crate::calculator::increase::Raised;
use crate::calculator::pilot;
use crate::calculator::pilot::Plan;
use crate::calculator::pilot::Stage;
use crate::calculator::question::Question;
use crate::quantity::Length;
use crate::quantity::mm;
use crate::quantity::to_cm3_per_min;
use crate::quantity::to_degree;
use crate::quantity::to_m_per_min;
use crate::quantity::to_minute;
use crate::quantity::to_mm;
use crate::quantity::to_mm_per_min;
use crate::quantity::to_n_per_mm2;
use crate::quantity::to_newton;
use crate::quantity::to_newton_metre;
use crate::quantity::to_rpm;
use crate::quantity::to_watt;

#[derive(Debug, Serialize)]
struct Object<'a> {
    format: u32,
    n_rpm: f64,
    /// Highest rpm that can occur: override, load and knob counted.
    highest_rpm: f64,
    /// Lowest rating of cutter, arbor and holder.
    speed_rating_rpm: Option<f64>,
    vc_m_min: f64,
    fz_mm: f64,
    vf_mm_min: f64,
    ap_mm: f64,
    ae_mm: f64,
    /// Limits that hold the stepover, where it was free and is not as wide as it may be.
    ae_held_by: Vec<&'a str>,
    increases: Vec<IncreaseObject>,
    hmax_mm: f64,
    hm_mm: f64,
    q_cm3_min: f64,
    kc_n_mm2: f64,
    ft_n: f64,
    ft_peak_n: f64,
    thrust_n: f64,
    torque_nm: f64,
    pc_w: f64,
    motor_w: f64,
    motor_available_w: f64,
    axis_push_n: f64,
    bend_tool_mm: f64,
    bend_machine_mm: f64,
    bend_machine_x_mm: f64,
    bend_machine_y_mm: f64,
    cusp_mm: f64,
    marks_mm: f64,
    life_min: Option<f64>,
    belt_step: Option<&'a str>,
    /// Ways into the metal; none for cuts that begin outside it.
    entry: Option<EntryObject>,
    limits: Vec<LimitObject<'a>>,
    cautions: &'a [String],
    assumed: &'a [String],
    /// Ways that keep every danger, when this one does not.
    alternatives: Vec<AlternativeObject<'a>>,
    /// The hole that the drill opens.
    #[serde(skip_serializing_if = "Option::is_none")]
    pilot_mm: Option<f64>,
    /// What to do first, or instead, where the drill asks for more than head or motor give in a first cut.
    #[serde(skip_serializing_if = "Option::is_none")]
    in_steps: Option<StepsObject<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    trace: Option<Vec<StepObject<'a>>>,
}

#[derive(Debug, Serialize)]
struct EntryObject {
    ramp: Option<RampObject>,
    /// Feed straight down; none where it must not be.
    plunge_mm_min: Option<f64>,
}

#[derive(Debug, Serialize)]
struct RampObject {
    angle_deg: f64,
    feed_mm_min: f64,
    deepest_mm: f64,
    helix_bore_mm: f64,
    helix_per_turn_mm: f64,
}

#[derive(Debug, Serialize)]
struct AlternativeObject<'a> {
    change: &'a str,
    n_rpm: f64,
    vf_mm_min: f64,
    ap_mm: f64,
    ae_mm: f64,
    q_cm3_min: f64,
}

#[derive(Debug, Serialize)]
struct LimitObject<'a> {
    name: &'a str,
    kind: &'a str,
    used: f64,
    binds: bool,
    lift: &'a str,
}

#[derive(Debug, Serialize)]
struct StepObject<'a> {
    what: &'a str,
    line: &'a str,
    source: &'a str,
}

/// How a hole is made where the drill alone asks for too much.
#[derive(Debug, Serialize)]
struct StepsObject<'a> {
    /// `drill`, `mill` or `nothing`.
    way: &'static str,
    /// The tools before the drill, or the end mill, in order.
    tools: Vec<StageObject<'a>>,
    /// The drill itself, after them.
    #[serde(skip_serializing_if = "Option::is_none")]
    last: Option<StageObject<'a>>,
    /// The same in words.
    words: Vec<String>,
}

#[derive(Debug, Serialize)]
struct StageObject<'a> {
    tool: &'a str,
    diameter_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pilot_mm: Option<f64>,
    n_rpm: f64,
    vf_mm_min: f64,
    fz_mm: f64,
    thrust_n: f64,
    torque_nm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    used: Option<f64>,
}

impl<'a> StageObject<'a> {
    fn of(tool: &'a str, diameter: Length, pilot: Option<Length>, answer: &Answer) -> Self {
        let most = pilot::most_loaded(answer);
        Self {
            tool,
            diameter_mm: to_mm(diameter),
            pilot_mm: pilot.map(to_mm),
            n_rpm: to_rpm(answer.n),
            vf_mm_min: to_mm_per_min(answer.vf),
            fz_mm: to_mm(answer.fz),
            thrust_n: to_newton(answer.thrust),
            torque_nm: to_newton_metre(answer.torque),
            limit: most.map(|limit| limit.which.name()),
            used: most.map(|limit| limit.used),
        }
    }
}

impl<'a> StepsObject<'a> {
    fn of(question: &'a Question<'_>, depth: Length, plan: &'a Plan) -> Self {
        let stage = |of: &'a Stage| StageObject::of(&of.title, of.diameter, of.pilot, &of.answer);
        let (way, tools, last) = match plan {
            Plan::Drill { first, last } => {
                let after = first.last().map(|stage| stage.diameter);
                let d = mm(question.tool.diameter_mm);
                let last = StageObject::of(&question.tool.title, d, after, last);
                ("drill", first.iter().map(stage).collect(), Some(last))
            }
            Plan::Mill(end_mill) => ("mill", vec![stage(end_mill)], None),
            Plan::Nothing => ("nothing", vec![], None),
        };
        Self {
            way,
            tools,
            last,
            words: plan.words(question, depth),
        }
    }
}

/// What to raise next, after a first cut that went well.
#[derive(Debug, Serialize)]
struct IncreaseObject {
    raise: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    n_rpm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    vf_mm_min: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ae_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ap_mm: Option<f64>,
    limit: &'static str,
    used: f64,
}

impl IncreaseObject {
    fn of(one: &Increase) -> Self {
        let (mut n, mut vf, mut ae, mut ap) = (None, None, None, None);
        match one.raised {
            Raised::Speed(speed, feed) => {
                n = Some(to_rpm(speed));
                vf = Some(to_mm_per_min(feed));
            }
            Raised::Feed(feed) => vf = Some(to_mm_per_min(feed)),
            Raised::Stepover(width) => ae = Some(to_mm(width)),
            Raised::Depth(depth) => ap = Some(to_mm(depth)),
        }
        Self {
            raise: one.raised.name(),
            n_rpm: n,
            vf_mm_min: vf,
            ae_mm: ae,
            ap_mm: ap,
            limit: one.which.name(),
            used: one.used,
        }
    }
}

/// The object of an answer.
pub fn object(
    question: &Question<'_>,
    answer: &Answer,
    others: &[Alternative],
    plan: Option<&Plan>,
    with_trace: bool,
) -> Value {
    let object = Object {
        format: 1,
        n_rpm: to_rpm(answer.n),
        highest_rpm: to_rpm(answer.highest),
        speed_rating_rpm: answer.speed_rating.map(to_rpm),
        vc_m_min: to_m_per_min(answer.vc),
        fz_mm: to_mm(answer.fz),
        vf_mm_min: to_mm_per_min(answer.vf),
        ap_mm: to_mm(answer.ap),
        ae_mm: to_mm(answer.ae),
        ae_held_by: answer
            .width_held_by
            .iter()
            .map(|which| which.name())
            .collect(),
        increases: answer.increases.iter().map(IncreaseObject::of).collect(),
        hmax_mm: to_mm(answer.hmax),
        hm_mm: to_mm(answer.hm),
        q_cm3_min: to_cm3_per_min(answer.q),
        kc_n_mm2: to_n_per_mm2(answer.kc),
        ft_n: to_newton(answer.ft),
        ft_peak_n: to_newton(answer.ft_peak),
        thrust_n: to_newton(answer.thrust),
        torque_nm: to_newton_metre(answer.torque),
        pc_w: to_watt(answer.pc),
        motor_w: to_watt(answer.motor),
        motor_available_w: to_watt(answer.motor_available),
        axis_push_n: to_newton(answer.axis_push),
        bend_tool_mm: to_mm(answer.bend_tool),
        bend_machine_mm: to_mm(answer.bend_machine()),
        bend_machine_x_mm: to_mm(answer.bend_machine_x),
        bend_machine_y_mm: to_mm(answer.bend_machine_y),
        cusp_mm: to_mm(answer.cusp),
        marks_mm: to_mm(answer.roughness),
        life_min: answer.life.map(to_minute).filter(|life| life.is_finite()),
        belt_step: answer.step.as_deref(),
        entry: answer.entry.as_ref().map(|entry| EntryObject {
            ramp: entry.ramp.map(|ramp| RampObject {
                angle_deg: to_degree(ramp.angle),
                feed_mm_min: to_mm_per_min(ramp.feed),
                deepest_mm: to_mm(ramp.depth),
                helix_bore_mm: to_mm(ramp.bore),
                helix_per_turn_mm: to_mm(ramp.per_turn),
            }),
            plunge_mm_min: entry.plunge.map(to_mm_per_min),
        }),
        limits: answer
            .limits
            .iter()
            .map(|limit| LimitObject {
                name: limit.which.name(),
                kind: limit.which.kind().word(),
                used: limit.used,
                binds: limit.binds,
                lift: limit.which.lift(question.cut),
            })
            .collect(),
        pilot_mm: question.pilot.map(to_mm),
        in_steps: plan.map(|plan| StepsObject::of(question, answer.ap, plan)),
        cautions: &answer.cautions,
        assumed: &answer.assumed,
        alternatives: others
            .iter()
            .map(|other| AlternativeObject {
                change: &other.change,
                n_rpm: to_rpm(other.answer.n),
                vf_mm_min: to_mm_per_min(other.answer.vf),
                ap_mm: to_mm(other.answer.ap),
                ae_mm: to_mm(other.answer.ae),
                q_cm3_min: to_cm3_per_min(other.answer.q),
            })
            .collect(),
        trace: with_trace.then(|| {
            answer
                .trace
                .iter()
                .map(|step| StepObject {
                    what: step.what,
                    line: &step.line,
                    source: &step.source,
                })
                .collect()
        }),
    };
    serde_json::to_value(object).unwrap_or(Value::Null)
}
