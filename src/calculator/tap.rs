//! Tapping under power: whether the spindle can reverse, how far it runs on while it stops, how deep the hole must be.
//!
//! Nothing ties the turns of such a spindle to the feed. It runs on while it stops, and the tap with it, so the speed is
//! bound by the turns it runs on, a floating holder takes up the difference, and the hole must have room for it.

use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::cutting::tapping;
use crate::job::machine::Spindle;
use crate::job::machine::Turns;
use crate::quantity::Length;
use crate::quantity::mm;
use crate::quantity::show::three_digits as t;
use crate::quantity::to_mm;

/// Time that a small spindle takes to stop where nobody has timed it, s; common practice, no source.
const STOP_S: f64 = 1.0;
/// Turns that a spindle may run on with a floating holder; common practice, no source.
const MOST_TURNS: f64 = 1.5;
/// Chamfered lead of a tap in pitches, that of a plug tap; common practice, no source.
const LEAD_PITCHES: f64 = 4.0;
/// Percentage of thread that the hole for a tap is proposed for, tap-drill tables; common practice, no source.
pub const THREAD_PERCENT: f64 = 70.0;

/// Time that the spindle takes to stop, s, and whether it is assumed.
pub fn stop_s(spindle: &Spindle) -> (f64, bool) {
    spindle
        .stop_s
        .as_ref()
        .map_or((STOP_S, true), |given| (given.value, false))
}

/// Turns that the spindle runs on: it slows down evenly, n / 60 * s / 2.
pub fn run_on_turns(n_rpm: f64, stop_s: f64) -> f64 {
    n_rpm / 60.0 * stop_s / 2.0
}

/// Share of the turns that it may run on.
pub fn run_on_share(n_rpm: f64, stop_s: f64) -> f64 {
    run_on_turns(n_rpm, stop_s) / MOST_TURNS
}

/// Highest speed that a share of the turns allows, rpm.
pub fn most_rpm(share: f64, stop_s: f64) -> f64 {
    share * MOST_TURNS * 2.0 * 60.0 / stop_s
}

/// The hole to drill for a thread of this diameter and pitch, mm.
pub fn hole_of(diameter_mm: f64, pitch_mm: f64) -> Length {
    tapping::tap_hole(
        mm(diameter_mm),
        mm(pitch_mm),
        THREAD_PERCENT,
        tapping::Meaning::TapDrillTable,
    )
}

/// The drills in steps of a tenth on either side of the proposed hole, with the thread that they leave, as tap-drill tables count it.
pub fn drill_words(diameter_mm: f64, pitch_mm: f64) -> String {
    let hole = to_mm(hole_of(diameter_mm, pitch_mm));
    let below = (hole * 10.0 + 1e-9).floor() / 10.0;
    let with_percent = |drill_mm: f64| {
        let percent = tapping::percent_of_thread(
            mm(diameter_mm),
            mm(drill_mm),
            mm(pitch_mm),
            tapping::Meaning::TapDrillTable,
        );
        format!("{drill_mm:.1} mm ({percent:.0} % thread)")
    };
    format!(
        "tap drill {} or {}",
        with_percent(below),
        with_percent(below + 0.1)
    )
}

/// How deep to drill, in words: thread, lead of the tap, run-on and room for chips.
pub fn depth_words(thread_mm: f64, pitch_mm: f64, run_on_turns: f64) -> String {
    let lead = LEAD_PITCHES * pitch_mm;
    let run_on = run_on_turns * pitch_mm;
    let chips = tapping::CHIP_PITCHES * pitch_mm;
    let run_on_words = if run_on > 0.0 {
        format!(" + run-on {}", t(run_on))
    } else {
        String::new()
    };
    format!(
        "at least {} mm deep where it is blind: thread {} + lead {}{run_on_words} + chips {}",
        t(thread_mm + lead + run_on + chips),
        t(thread_mm),
        t(lead),
        t(chips)
    )
}

/// What to do besides, for a tap that a spindle drives.
pub fn cautions(thread_mm: f64, pitch_mm: f64, n_rpm: f64, stop_s: f64) -> [String; 3] {
    [
        format!(
            "drill {}",
            depth_words(thread_mm, pitch_mm, run_on_turns(n_rpm, stop_s))
        ),
        "use a floating tap holder: the turns do not follow the feed".to_owned(),
        "set feed override and speed override to 100 % and leave them there while the tap is in the hole"
            .to_owned(),
    ]
}

/// Refuses power tapping where the spindle cannot turn back out.
///
/// # Errors
///
/// A spindle that turns right only.
pub fn can_reverse(q: &Question<'_>, pitch_mm: f64, thread_mm: f64) -> Result<(), Refusal> {
    if q.machine.spindle.turns == Turns::Both {
        return Ok(());
    }
    let nominal_mm = q.thread.map_or(q.tool.diameter_mm, to_mm);
    Err(Refusal::TapCannotReverse {
        hole: drill_words(nominal_mm, pitch_mm),
        depth: depth_words(thread_mm, pitch_mm, 0.0),
    })
}
