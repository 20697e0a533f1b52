//! What happened in a session: facts, answers, doubts, stops, notes, tests.

use chrono::DateTime;

use crate::job::mishap::ADVICE;
use crate::job::mishap::Mishap;
use crate::job::stalled::Stalled;
use crate::measure::backlash::Axis;
use crate::measure::backlash::Opposite;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::shape::List;
use crate::record::shape::Maybe;
use crate::record::shape::Name;
use crate::record::shape::Prose;
use crate::record::shape::Text;
use crate::record::shape::TextIf;
use crate::record::shape::Time;
use crate::record::shape::Word;
use crate::record::shape::Yes;
use crate::record::shape::amount;
use crate::record::shape::amount::ANY_PLACE;
use crate::record::shape::amount::Lasting;
use crate::record::shape::amount::Place;
use crate::record::shape::words;
use crate::session::event::Answer;
use crate::session::fact::FactKey;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::gate::ListKind;
use crate::session::leaving::LeftOpen;
use crate::session::matrix::Happening;
use crate::session::matrix::MATRIX;
use crate::session::shop::ShopKey;
use crate::session::shop::ShopSaid;
use crate::session::state::Answered;
use crate::session::state::BacklashRead;
use crate::session::state::Ended;
use crate::session::state::Fell;
use crate::session::state::HeardMode;
use crate::session::state::Logged;
use crate::session::state::Note;
use crate::session::state::ReturnTest;
use crate::session::state::StopNote;
use crate::session::state::WrapUp;

/// How many setups and tools there are: places must lie within.
#[derive(Clone, Copy, Debug)]
pub(in crate::record) struct Bounds {
    /// Setups.
    pub setups: usize,
    /// Tools of the job.
    pub tools: usize,
}

pub(in crate::record) const HAPPENING: Word<Happening> = Word {
    word: |what| what.row().id.to_owned(),
    from: Happening::from_id,
    all: || MATRIX.iter().map(|row| row.id.to_owned()).collect(),
};

const FACT: Word<FactKind> = Word {
    word: |kind| kind.id().to_owned(),
    from: FactKind::from_id,
    all: || FactKind::ALL.iter().map(|k| k.id().to_owned()).collect(),
};

const MISHAP: Word<Mishap> = Word {
    word: |mishap| mishap.advice().id.to_owned(),
    from: Mishap::from_id,
    all: || ADVICE.iter().map(|a| a.id.to_owned()).collect(),
};

const STALLED: Word<Stalled> = Word {
    word: |axes| axes.word().to_owned(),
    from: Stalled::from_word,
    all: || Stalled::ALL.map(|axes| axes.word().to_owned()).to_vec(),
};

const SAID_BY: Word<SaidBy> = Word {
    word: |by| by.word().to_owned(),
    from: SaidBy::from_word,
    all: || {
        [SaidBy::Measured, SaidBy::Confirmed, SaidBy::Computed]
            .iter()
            .map(|by| by.word().to_owned())
            .collect()
    },
};

/// How a fact stands, told by its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stands {
    Good,
    Redo,
}

const STANDS: Word<Stands> = Word {
    word: |stands| match stands {
        Stands::Good => "good".to_owned(),
        Stands::Redo => "redo".to_owned(),
    },
    from: |word| match word {
        "good" => Some(Stands::Good),
        "redo" => Some(Stands::Redo),
        _ => None,
    },
    all: || vec!["good".to_owned(), "redo".to_owned()],
};

/// A fact that was ever said; an open one has no line.
pub(in crate::record) fn fact<F: Fields>(
    f: &mut F,
    v: Option<&(FactKey, FactState)>,
    bounds: Bounds,
) -> Took<(FactKey, FactState)> {
    let key = FactKey {
        kind: f.value("fact", of!(v.0.kind), &FACT)?,
        setup: f.value("setup", of!(v.0.setup), &Maybe(Place(bounds.setups)))?,
        operation: f.value("operation", of!(v.0.operation), &Maybe(ANY_PLACE))?,
        tool: f.value("tool", of!(v.0.tool), &Maybe(Place(bounds.tools)))?,
    };
    Ok((key, stands(f, v.map(|(_, state)| state))?))
}

/// A fact of the shop that was ever said; its statement stays, whatever becomes of the profile.
pub(in crate::record) fn shop<F: Fields>(
    f: &mut F,
    v: Option<&(ShopKey, ShopSaid)>,
    bounds: Bounds,
) -> Took<(ShopKey, ShopSaid)> {
    let key = ShopKey {
        id: f.value("fact", of!(v.0.id), &Name)?,
        setup: f.value("setup", of!(v.0.setup), &Maybe(Place(bounds.setups)))?,
        operation: f.value("operation", of!(v.0.operation), &Maybe(ANY_PLACE))?,
        tool: f.value("tool", of!(v.0.tool), &Maybe(Place(bounds.tools)))?,
    };
    let statement = f.value("says", of!(v.1.statement), &Text)?;
    let state = stands(f, of!(v.1.state))?;
    Ok((key, ShopSaid { statement, state }))
}

/// How a fact stands: since when, said by whom or withdrawn by what.
fn stands<F: Fields>(f: &mut F, state: Option<&FactState>) -> Took<FactState> {
    let stands = state.map(|state| match state {
        FactState::Redo { .. } => Stands::Redo,
        FactState::Good { .. } | FactState::Open => Stands::Good,
    });
    let stands = f.value("is", stands.as_ref(), &STANDS)?;
    let since = state.map(|state| match state {
        FactState::Good { since, .. } | FactState::Redo { since, .. } => *since,
        FactState::Open => DateTime::UNIX_EPOCH.fixed_offset(),
    });
    let since = f.value("since", since.as_ref(), &Time)?;
    Ok(match stands {
        Stands::Redo => {
            let what = state.and_then(|state| match state {
                FactState::Redo { what, .. } => Some(*what),
                _ => None,
            });
            let what = f.value("because", what.as_ref(), &HAPPENING)?;
            FactState::Redo { since, what }
        }
        Stands::Good => {
            let said = state.map(|state| match state {
                FactState::Good { by, value, .. } => (*by, value.clone()),
                _ => (SaidBy::Computed, None),
            });
            FactState::Good {
                since,
                by: f.value("by", said.as_ref().map(|s| &s.0), &SAID_BY)?,
                value: f.value("value", said.as_ref().map(|s| &s.1), &TextIf)?,
            }
        }
    })
}

/// Whether a line of a list is so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum IsSo {
    So,
    NotSo,
}

const IS_SO: Word<IsSo> = Word {
    word: |so| match so {
        IsSo::So => "so".to_owned(),
        IsSo::NotSo => "not so".to_owned(),
    },
    from: |word| match word {
        "so" => Some(IsSo::So),
        "not so" => Some(IsSo::NotSo),
        _ => None,
    },
    all: || vec!["so".to_owned(), "not so".to_owned()],
};

pub(in crate::record) fn answered<F: Fields>(
    f: &mut F,
    v: Option<&Answered>,
    bounds: Bounds,
) -> Took<Answered> {
    let is_so = v.map(|v| match v.answer {
        Answer::So => IsSo::So,
        Answer::NotSo(_) => IsSo::NotSo,
    });
    let words = v.map(|v| match &v.answer {
        Answer::So => String::new(),
        Answer::NotSo(words) => words.clone(),
    });
    let version = v.map(|v| v.version.to_string());
    let text = v.map(|v| v.text.to_string());
    Ok(Answered {
        at: f.value("at", of!(v.at), &Time)?,
        list: f.value("list", of!(v.list), &words!(ListKind))?,
        version: f.value("version", version.as_ref(), &Text)?.into(),
        setup: f.value("setup", of!(v.setup), &Place(bounds.setups))?,
        operation: f.value("operation", of!(v.operation), &ANY_PLACE)?,
        line: f.value("line", of!(v.line), &Name)?,
        text: f.value("text", text.as_ref(), &Prose)?.into(),
        answer: {
            let is_so = f.value("answer", is_so.as_ref(), &IS_SO)?;
            let words = f.value("words", words.as_ref(), &Prose)?;
            match is_so {
                IsSo::So => Answer::So,
                IsSo::NotSo => Answer::NotSo(words),
            }
        },
        shown: f.value("shown", of!(v.shown), &Lasting)?,
        stands: f.value("stands", of!(v.stands), &Yes)?,
        fell: {
            // Flat, so that an answer stays one line: both keys are there, or neither.
            let at = v.map(|v| v.fell.map(|fell| fell.at));
            let what = v.map(|v| v.fell.map(|fell| fell.what));
            let at = f.value("fell", at.as_ref(), &Maybe(Time))?;
            let what = f.value("because", what.as_ref(), &Maybe(HAPPENING))?;
            at.zip(what).map(|(at, what)| Fell { at, what })
        },
    })
}

/// A mill that was left with its list open.
pub(in crate::record) fn left_open<F: Fields>(f: &mut F, v: Option<&LeftOpen>) -> Took<LeftOpen> {
    Ok(LeftOpen {
        at: f.value("at", of!(v.at), &Time)?,
        text: f.value("text", of!(v.text), &Prose)?,
    })
}

/// The answered end of a list.
pub(in crate::record) fn ended<F: Fields>(
    f: &mut F,
    v: Option<&Ended>,
    bounds: Bounds,
) -> Took<Ended> {
    Ok(Ended {
        at: f.value("at", of!(v.at), &Time)?,
        list: f.value("list", of!(v.list), &words!(ListKind))?,
        setup: f.value("setup", of!(v.setup), &Place(bounds.setups))?,
        operation: f.value("operation", of!(v.operation), &ANY_PLACE)?,
        text: f.value("text", of!(v.text), &Prose)?,
        rushed: f.value("rushed", of!(v.rushed), &Yes)?,
    })
}

pub(in crate::record) fn logged<F: Fields>(f: &mut F, v: Option<&Logged>) -> Took<Logged> {
    Ok(Logged {
        at: f.value("at", of!(v.at), &Time)?,
        what: f.value("what", of!(v.what), &HAPPENING)?,
    })
}

pub(in crate::record) fn stop<F: Fields>(
    f: &mut F,
    v: Option<&StopNote>,
    bounds: Bounds,
) -> Took<StopNote> {
    Ok(StopNote {
        at: f.value("at", of!(v.at), &Time)?,
        setup: f.value("setup", of!(v.setup), &Place(bounds.setups))?,
        operation: f.value("operation", of!(v.operation), &ANY_PLACE)?,
        after_cutting_s: f.value("after_cutting_s", of!(v.after_cutting_s), &amount::COUNT)?,
        mishap: f.value("what", of!(v.mishap), &MISHAP)?,
        words: f.value("words", of!(v.words), &Prose)?,
        stalled: f.value("axis", of!(v.stalled), &Maybe(STALLED))?,
    })
}

pub(in crate::record) fn note<F: Fields>(
    f: &mut F,
    v: Option<&Note>,
    bounds: Bounds,
) -> Took<Note> {
    Ok(Note {
        at: f.value("at", of!(v.at), &Time)?,
        setup: f.value("setup", of!(v.setup), &Place(bounds.setups))?,
        operation: f.value("operation", of!(v.operation), &ANY_PLACE)?,
        text: f.value("text", of!(v.text), &Prose)?,
    })
}

pub(in crate::record) fn return_test<F: Fields>(
    f: &mut F,
    v: Option<&ReturnTest>,
) -> Took<ReturnTest> {
    // A single touch, as older records hold it, stands as a length, three as a list.
    let axis = |f: &mut F, [one, three]: [&'static str; 2], place: usize| {
        let touches = v.map(|v| &v.touches_mm[place]);
        let single = touches.map(|touches| match touches[..] {
            [touch] => Some(touch),
            _ => None,
        });
        let single = f.value(one, single.as_ref(), &Maybe(amount::MM_SIGNED))?;
        let many = touches.map(|touches| {
            if touches.len() == 1 {
                vec![]
            } else {
                touches.clone()
            }
        });
        let many = f.value(three, many.as_ref(), &List(amount::MM_SIGNED))?;
        Ok(if many.is_empty() {
            single.into_iter().collect()
        } else {
            many
        })
    };
    Ok(ReturnTest {
        at: f.value("at", of!(v.at), &Time)?,
        touches_mm: [
            axis(f, ["x", "x_touches"], 0)?,
            axis(f, ["y", "y_touches"], 1)?,
            axis(f, ["z", "z_touches"], 2)?,
        ],
        kept_zero: f.value("kept_zero", of!(v.kept_zero), &Yes)?,
    })
}

pub(in crate::record) fn backlash<F: Fields>(
    f: &mut F,
    v: Option<&BacklashRead>,
) -> Took<BacklashRead> {
    Ok(BacklashRead {
        at: f.value("at", of!(v.at), &Time)?,
        touches: Opposite {
            axis: f.value("axis", of!(v.touches.axis), &words!(Axis))?,
            reads_mm: [
                f.value(
                    "first",
                    v.map(|v| &v.touches.reads_mm[0]),
                    &amount::MM_SIGNED,
                )?,
                f.value(
                    "second",
                    v.map(|v| &v.touches.reads_mm[1]),
                    &amount::MM_SIGNED,
                )?,
            ],
            width_mm: f.value("width", of!(v.touches.width_mm), &amount::MM)?,
            finder_mm: f.value("finder", of!(v.touches.finder_mm), &amount::MM)?,
        },
    })
}

pub(in crate::record) fn heard<F: Fields>(f: &mut F, v: Option<&HeardMode>) -> Took<HeardMode> {
    Ok(HeardMode {
        at: f.value("at", of!(v.at), &Time)?,
        hz: f.value("sang_at", of!(v.hz), &amount::HERTZ)?,
    })
}

pub(in crate::record) fn wrap_up<F: Fields>(f: &mut F, v: Option<&WrapUp>) -> Took<WrapUp> {
    Ok(WrapUp {
        at: f.value("at", of!(v.at), &Time)?,
        learned: f.value("learned", of!(v.learned), &Prose)?,
        done: f.value("done", of!(v.done), &Yes)?,
    })
}
