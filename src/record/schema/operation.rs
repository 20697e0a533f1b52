//! An operation in a record, with its clock.

use std::time::Duration;

use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::Outcome;
use crate::job::operation::ProgramPart;
use crate::job::operation::Progress;
use crate::job::operation::ThreadSize;
use crate::job::recipe::Recipe;
use crate::job::recipe::ToolChange;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::shape::List;
use crate::record::shape::Maybe;
use crate::record::shape::Prose;
use crate::record::shape::Text;
use crate::record::shape::TextIf;
use crate::record::shape::Word;
use crate::record::shape::Yes;
use crate::record::shape::amount;
use crate::record::shape::amount::Lasting;
use crate::record::shape::amount::Length;
use crate::record::shape::amount::Place;
use crate::record::shape::words;
use crate::session::clock::Phase;
use crate::session::clock::Spent;

/// What a clock had counted when the record was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::record) struct Counted {
    /// In each phase.
    pub spent: Spent,
    /// The phase in force.
    pub phase: Option<Phase>,
}

/// An operation and its clock, if that was ever on.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::record) struct Timed {
    /// The operation.
    pub operation: Operation,
    /// Its clock.
    pub clock: Option<Counted>,
}

const PHASES: [Phase; 4] = [Phase::Cutting, Phase::Hands, Phase::Waiting, Phase::Paused];

/// What a clock counts.
pub(in crate::record) const PHASE: Word<Phase> = Word {
    word: |phase| phase.word().to_owned(),
    from: |word| PHASES.into_iter().find(|phase| phase.word() == word),
    all: || PHASES.iter().map(|phase| phase.word().to_owned()).collect(),
};

const EVERY_PROGRESS: [Progress; 4] = [
    Progress::Planned,
    Progress::Begun,
    Progress::Finished,
    Progress::LeftOut,
];

const PROGRESS: Word<Progress> = Word {
    word: |progress| progress.word().to_owned(),
    from: Progress::from_word,
    all: || {
        EVERY_PROGRESS
            .iter()
            .map(|progress| progress.word().to_owned())
            .collect()
    },
};

pub(in crate::record) fn timed<F: Fields>(
    f: &mut F,
    v: Option<&Timed>,
    tools: usize,
) -> Took<Timed> {
    let o = v.map(|v| &v.operation);
    let operation = Operation {
        title: f.value("title", of!(o.title), &Text)?,
        kind: f.value("kind", of!(o.kind), &words!(OperationKind))?,
        tool: f.value("tool", of!(o.tool), &Maybe(Place(tools)))?,
        depth: f.value("depth", of!(o.depth), &Maybe(Length::Positive))?,
        stepover: f.value("stepover", of!(o.stepover), &Maybe(Length::Positive))?,
        pilot: f.value("pilot", of!(o.pilot), &Maybe(Length::Positive))?,
        thread: f.row_if("thread", of!(o.thread), thread)?,
        remark: f.value("remark", of!(o.remark), &Prose)?,
        progress: f.value("progress", of!(o.progress), &PROGRESS)?,
        estimate_s: f.value("estimate", of!(o.estimate_s), &Maybe(amount::SECOND))?,
        feed_s: f.value("estimate_feed", of!(o.feed_s), &Maybe(amount::SECOND))?,
        read_rpm: f.value("speed_read", of!(o.read_rpm), &Maybe(amount::RPM))?,
        is_timed: f.value("estimate_with_acceleration", of!(o.is_timed), &Yes)?,
        is_joined: f.value("joined", of!(o.is_joined), &Yes)?,
        part: f.table_if("program_part", of!(o.part), part)?,
        recipe: f.table_if("recipe", of!(o.recipe), recipe)?,
        changes: f.tables("tool_change", o.map(|o| o.changes.as_slice()), change)?,
        outcome: f.table_if("outcome", of!(o.outcome), |f, v| {
            Ok(Outcome {
                rating: f.value(
                    "rating",
                    of!(v.rating),
                    &amount::Count { least: 1, most: 5 },
                )?,
                remark: f.value("remark", of!(v.remark), &Prose)?,
            })
        })?,
    };
    let mut clock = f.row_if("clock", of!(v.clock), counted)?;
    if let Some(counted) = clock.as_mut().filter(|_| !operation.kind.is_cut()) {
        // Older records counted work by hand as cutting.
        counted.spent = counted.spent.by_hand();
        if counted.phase == Some(Phase::Cutting) {
            counted.phase = Some(Phase::Hands);
        }
    }
    Ok(Timed { operation, clock })
}

fn counted<F: Fields>(f: &mut F, v: Option<&Counted>) -> Took<Counted> {
    let hands = v.map(|v| Some(v.spent.hands).filter(|hands| !hands.is_zero()));
    Ok(Counted {
        phase: f.value("counts", of!(v.phase), &Maybe(PHASE))?,
        spent: Spent {
            cutting: lasting(f, "cutting", of!(v.spent.cutting))?,
            hands: f
                .value("hands", hands.as_ref(), &Maybe(Lasting))?
                .unwrap_or_default(),
            waiting: lasting(f, "waiting", of!(v.spent.waiting))?,
            paused: lasting(f, "paused", of!(v.spent.paused))?,
        },
    })
}

fn lasting<F: Fields>(f: &mut F, key: &'static str, v: Option<&Duration>) -> Took<Duration> {
    f.value(key, v, &Lasting)
}

pub(in crate::record) fn part<F: Fields>(f: &mut F, v: Option<&ProgramPart>) -> Took<ProgramPart> {
    Ok(ProgramPart {
        first_line: f.value("first_line", of!(v.first_line), &amount::COUNT)?,
        last_line: f.value("last_line", of!(v.last_line), &amount::COUNT)?,
        tool_number: f.value("tool_number", of!(v.tool_number), &Maybe(amount::COUNT))?,
        s_rpm: f.value("s", of!(v.s_rpm), &Maybe(amount::RPM))?,
        feeds_mm_min: f.value("feeds", of!(v.feeds_mm_min), &List(amount::MM_MIN))?,
        lowest_z_mm: f.value("lowest_z", of!(v.lowest_z_mm), &Maybe(amount::MM_SIGNED))?,
    })
}

pub(in crate::record) fn recipe<F: Fields>(f: &mut F, v: Option<&Recipe>) -> Took<Recipe> {
    Ok(Recipe {
        n_rpm: f.value("n", of!(v.n_rpm), &amount::RPM)?,
        vf_mm_min: f.value("vf", of!(v.vf_mm_min), &amount::MM_MIN)?,
        fz_mm: f.value("fz", of!(v.fz_mm), &amount::MM)?,
        ap_mm: f.value("ap", of!(v.ap_mm), &amount::MM)?,
        ae_mm: f.value("ae", of!(v.ae_mm), &amount::MM)?,
        belt: f.value("belt", of!(v.belt), &TextIf)?,
        fixed: f.value("fixed", of!(v.fixed), &List(Text))?,
        override_percent: f.value("override", of!(v.override_percent), &Maybe(amount::PERCENT))?,
        binds: f.value("binds", of!(v.binds), &TextIf)?,
        exceeded: f.value("exceeded", of!(v.exceeded), &List(Text))?,
    })
}

fn thread<F: Fields>(f: &mut F, v: Option<&ThreadSize>) -> Took<ThreadSize> {
    Ok(ThreadSize {
        text: f.value("size", of!(v.text), &Text)?,
        diameter_mm: f.value("diameter", of!(v.diameter_mm), &amount::MM)?,
        pitch_mm: f.value("pitch", of!(v.pitch_mm), &amount::MM)?,
    })
}

fn change<F: Fields>(f: &mut F, v: Option<&ToolChange>) -> Took<ToolChange> {
    Ok(ToolChange {
        after_cutting_s: f.value("after_cutting_s", of!(v.after_cutting_s), &amount::COUNT)?,
        from: f.value("from", of!(v.from), &Text)?,
        from_name: f.value("from_name", of!(v.from_name), &Text)?,
        to: f.value("to", of!(v.to), &Text)?,
        reason: f.value("reason", of!(v.reason), &Prose)?,
        before: f.table_if("before", of!(v.before), recipe)?,
        after: f.table_if("after", of!(v.after), recipe)?,
    })
}

/// What no record can hold is left out before it is written: a recipe or a feed that is not
/// a number says nothing, and would make the record unreadable.
pub(in crate::record) fn without_nonsense(operation: &Operation) -> Operation {
    let mut operation = operation.clone();
    let sound = |value: f64| (0.0..=amount::HUGE).contains(&value);
    let is_sound = |recipe: &Recipe| {
        [
            recipe.n_rpm,
            recipe.vf_mm_min,
            recipe.fz_mm,
            recipe.ap_mm,
            recipe.ae_mm,
        ]
        .into_iter()
        .all(sound)
    };
    operation.recipe = operation.recipe.filter(is_sound);
    for change in &mut operation.changes {
        change.before = change.before.take().filter(is_sound);
        change.after = change.after.take().filter(is_sound);
    }
    if let Some(part) = &mut operation.part {
        part.feeds_mm_min.retain(|feed| sound(*feed));
    }
    if let Some(outcome) = &mut operation.outcome {
        outcome.rating = outcome.rating.clamp(1, 5);
    }
    operation
}
