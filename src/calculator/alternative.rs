//! What else would do when a limit cannot be kept.

use crate::calculator::answer;
use crate::calculator::answer::Answer;
use crate::calculator::question::Cut;
use crate::calculator::question::Question;
use crate::cutting::packing::Clearing;
use crate::job::tool::Tool;
use crate::quantity::Length;
use crate::quantity::mm;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::to_cm3_per_min;
use crate::quantity::to_mm;

/// Most alternatives that are named.
const MOST: usize = 5;
/// How far the collet stays off the flutes when the tool is pushed in, mm; common practice, no source.
const CLEAR_OF_FLUTES_MM: f64 = 2.0;
/// Two tools that differ by less make the same hole, mm.
const SAME_SIZE_MM: f64 = 0.005;

/// What is changed.
#[derive(Clone, Debug, PartialEq)]
pub enum Way {
    /// Depth is let free.
    Depth,
    /// Stepover is let free.
    Stepover,
    /// Speed and feed are let free.
    SpeedAndFeed,
    /// The tool is pushed in to this stick-out.
    StickOut(Length),
    /// Chips are cleared like this.
    Clearing(Clearing),
    /// The tool at this place of the rack.
    Tool(usize),
}

/// One way out.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// What kind of change it is.
    pub way: Way,
    /// What to change, such as `depth 0.62 mm` or a tool's title.
    pub change: String,
    /// The recipe then.
    pub answer: Answer,
}

/// Returns the next-best ways to cut the same when `given` passes a danger: less depth or stepover, the speed
/// and feed let free (the next belt step among them), a shorter stick-out, better clearing, a tool of the rack.
///
/// Only ways that keep every danger are named; most metal a minute first. Empty when nothing is passed. It asks
/// the calculator once for each way, so it is for a key or a command, not for every keystroke.
pub fn alternatives(question: &Question<'_>, given: &Answer, rack: &[Tool]) -> Vec<Alternative> {
    if !given.is_exceeded() {
        return vec![];
    }
    let mut found = vec![];
    let mut ask = |way: Way, change: &dyn Fn(&Answer) -> String, question: &Question<'_>| {
        if let Ok(answer) = answer(question)
            && !answer.is_exceeded()
        {
            found.push(Alternative {
                way,
                change: change(&answer),
                answer,
            });
        }
    };
    let fixed = question.fixed;
    let changed = |change: &dyn Fn(&mut Question<'_>)| {
        let mut other = question.clone();
        change(&mut other);
        other
    };
    if fixed.ap.is_some() && !question.cut.is_hole() {
        ask(
            Way::Depth,
            &|a| format!("depth {}", show::length(a.ap, Units::Both)),
            &changed(&|q| q.fixed.ap = None),
        );
    }
    if fixed.ae.is_some() {
        ask(
            Way::Stepover,
            &|a| format!("stepover {}", show::length(a.ae, Units::Both)),
            &changed(&|q| q.fixed.ae = None),
        );
    }
    if fixed.n.is_some() || fixed.vc.is_some() || fixed.fz.is_some() || fixed.vf.is_some() {
        ask(
            Way::SpeedAndFeed,
            &|a| {
                let step = a
                    .step
                    .as_ref()
                    .map_or(String::new(), |step| format!(", belt step {step}"));
                format!(
                    "{}{step}, {}",
                    show::rpm(a.n),
                    show::feed(a.vf, Units::Both)
                )
            },
            &changed(&|q| {
                q.fixed.n = None;
                q.fixed.vc = None;
                q.fixed.fz = None;
                q.fixed.vf = None;
            }),
        );
    }
    let tool = question.tool;
    let out = question.stick_out.map_or(tool.stick_out_mm, to_mm);
    let least_out = tool.flute_length_mm + CLEAR_OF_FLUTES_MM;
    if least_out < out {
        ask(
            Way::StickOut(mm(least_out)),
            &|_| format!("stick-out {}", show::length(mm(least_out), Units::Both)),
            &changed(&|q| q.stick_out = Some(mm(least_out))),
        );
    }
    if question.clearing != Clearing::Flood {
        let better = match question.clearing {
            Clearing::None | Clearing::Brush => Clearing::Air,
            Clearing::Air | Clearing::Mist | Clearing::Flood => Clearing::Flood,
        };
        ask(
            Way::Clearing(better),
            &|_| format!("clear the chips with {}", better.word()),
            &changed(&|q| q.clearing = better),
        );
    }
    // A hole or a thread of another size is another part.
    let is_sized = question.cut.is_hole() || question.cut == Cut::Thread;
    let same_width = |other: &Tool| {
        if is_sized {
            let differs = |a: f64, b: f64| (a - b).abs() > SAME_SIZE_MM;
            return !differs(other.diameter_mm, tool.diameter_mm)
                && !differs(other.pitch_mm.unwrap_or(0.0), tool.pitch_mm.unwrap_or(0.0));
        }
        (other.diameter_mm / tool.diameter_mm - 1.0).abs() < 0.5
    };
    for (place, other) in rack.iter().enumerate() {
        if other.name != tool.name && other.kind == tool.kind && same_width(other) {
            let mut q = question.clone();
            q.tool = other;
            q.stick_out = None;
            ask(Way::Tool(place), &|_| other.title.clone(), &q);
        }
    }
    found.sort_by(|a, b| {
        to_cm3_per_min(b.answer.q)
            .total_cmp(&to_cm3_per_min(a.answer.q))
            .then_with(|| a.change.cmp(&b.change))
    });
    found.truncate(MOST);
    found
}
