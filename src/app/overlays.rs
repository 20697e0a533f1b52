//! Keys while something lies over the screen.

use crate::app::act::Act;
use crate::app::after_stop;
use crate::app::applying::apply;
use crate::app::browse;
use crate::app::card;
use crate::app::care;
use crate::app::effect::Effect;
use crate::app::field;
use crate::app::finishing;
use crate::app::input::Input;
use crate::app::keeping;
use crate::app::key::Key;
use crate::app::leaving;
use crate::app::leaving::Exit;
use crate::app::looking;
use crate::app::model::Model;
use crate::app::numbered;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::overlay::Sure;
use crate::app::own_tool;
use crate::app::perform;
use crate::app::perform::after;
use crate::app::perform::go_to;
use crate::app::picker;
use crate::app::posted::recheck;
use crate::app::readable;
use crate::app::reasons;
use crate::app::recipe;
use crate::job::mishap::Mishap;
use crate::job::stalled::Stalled;
use crate::profile::shop;
use crate::session;
use crate::session::clock::Phase;
use crate::session::event::Answer;
use crate::session::event::Event;
use crate::session::event::Unseen;
use crate::session::gate;
use crate::session::moment::Moment;
use crate::session::state::Step;

/// Letters that a reason for a stop has at least.
const LEAST_LETTERS: usize = 3;

/// A key while an overlay is open.
pub(super) fn pressed(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    let Some(mut overlay) = model.overlay.take() else {
        return vec![];
    };
    if model.is_held && is_left_alone(&overlay, key) {
        model.overlay = Some(overlay);
        return vec![];
    }
    let is_card = matches!(overlay, Overlay::Emergency(..));
    if !is_card && card::is_point(key) && card::opens_over(&mut overlay, key) {
        return card::open(model, Some(overlay));
    }
    if overlay == Overlay::Help && key == Key::Char('*') {
        // Letters are not on a keypad; the help is one press away everywhere.
        perform::next_theme(model);
        model.overlay = Some(Overlay::Help);
        return vec![];
    }
    match overlay {
        Overlay::Help if key == Key::Enter => perform::perform(model, Act::More, at),
        Overlay::Emergency(page, part, over) => card::pressed(model, key, at, (page, part), over),
        Overlay::Help | Overlay::Why { .. } | Overlay::Care(_) => vec![],
        Overlay::Advice(mishap) => match key {
            Key::Char('6') if after_stop::may_go_on(mishap) => after_stop::begin_again(model, at),
            _ => vec![],
        },
        Overlay::Acts(mishap) => numbered::mishap_asked(model, mishap),
        Overlay::Words {
            asking,
            input,
            error,
        } => words(model, key, at, asking, input, error.is_some()),
        Overlay::Happened { typed, cursor } => numbered::happened(model, key, at, typed, cursor),
        Overlay::More { typed, cursor } => numbered::more(model, key, at, typed, cursor),
        Overlay::Files(files) => browse::pressed(model, key, files),
        Overlay::Pick(pick) => picker::pressed(model, key, at, pick),
        Overlay::OwnTool(form) => own_tool::pressed(model, key, at, form),
        Overlay::Compare {
            to,
            reason,
            old,
            new,
        } => match key {
            Key::Enter => {
                let recipe = new.map(|calculated| Box::new(recipe::decided(&calculated)));
                let mut effects = after(model, Event::ToolSwapped { to, reason, recipe }, at);
                // Its holder, flutes and diameter are others: the program is held against them, too.
                effects.extend(recheck(model, at));
                let mut more = go_to(model, Step::Tool, at);
                more.extend(effects);
                model.say("tool changed: what is to be redone is marked");
                more
            }
            Key::Escape | Key::Char('3') => vec![],
            _ => {
                model.overlay = Some(Overlay::Compare {
                    to,
                    reason,
                    old,
                    new,
                });
                vec![]
            }
        },
        Overlay::ReturnTest {
            inputs,
            focus,
            error,
            verdict,
        } => returned(
            model,
            key,
            at,
            ReturnForm {
                inputs,
                focus,
                error,
            },
            verdict,
        ),
        Overlay::Letters => letters(model, key),
        Overlay::Look(look) => looking::pressed(model, key, look),
        Overlay::Gap => gap(model, key, at),
        Overlay::Sure(sure) => sure_of(model, key, at, sure),
    }
}

/// A key that comes as one that is held down repeats itself: it closes nothing that is to be read, and takes nothing.
fn is_left_alone(overlay: &Overlay, key: Key) -> bool {
    match overlay {
        Overlay::Help
        | Overlay::Why { .. }
        | Overlay::Emergency(..)
        | Overlay::Care(_)
        | Overlay::Acts(_)
        | Overlay::Advice(_)
        | Overlay::Sure(_)
        | Overlay::ReturnTest {
            verdict: Some(_), ..
        } => true,
        Overlay::Letters => true,
        Overlay::Look(_) | Overlay::ReturnTest { .. } | Overlay::Gap => false,
        Overlay::Words { .. }
        | Overlay::Happened { .. }
        | Overlay::More { .. }
        | Overlay::Files(_)
        | Overlay::Pick(_)
        | Overlay::OwnTool(_)
        | Overlay::Compare { .. } => key == Key::Enter,
    }
}

fn words(
    model: &mut Model,
    key: Key,
    at: Moment,
    asking: Asking,
    mut input: Input,
    was_refused: bool,
) -> Vec<Effect> {
    let mut error = None;
    let leaves = key == Key::Escape
        || key == Key::Enter && (was_refused || reasons::leaves(input.text().trim()));
    match key {
        // The kind was chosen and is written down, whatever becomes of the remark.
        _ if leaves && matches!(asking, Asking::Mishap(_)) => {
            return said(model, at, asking, String::new());
        }
        _ if leaves => return vec![],
        Key::Enter => {
            let meant = reasons::meant(&asking, input.text().trim());
            let text = meant.clone().unwrap_or_default();
            let may_be_empty = matches!(asking, Asking::Mishap(_));
            let is_stop = matches!(asking, Asking::AcceptStop(_));
            let letters = text.chars().filter(|c| c.is_alphabetic()).count();
            if let Err(why) = meant {
                error = Some(why);
            } else if let (Asking::EmergencyNumber, Err(why)) = (&asking, shop::dialled(&text)) {
                error = Some(why);
            } else if is_stop && letters < LEAST_LETTERS {
                // A few digits are keys that were meant for something else.
                error = Some("a stop stays only for a reason in words; Enter leaves it".to_owned());
            } else if !text.is_empty() || may_be_empty {
                return said(model, at, asking, text);
            } else {
                error = Some("write something, or Enter once more leaves it".to_owned());
            }
        }
        _ => {
            input.press(key);
        }
    }
    model.overlay = Some(Overlay::Words {
        asking,
        input,
        error,
    });
    vec![]
}

fn said(model: &mut Model, at: Moment, asking: Asking, text: String) -> Vec<Effect> {
    match asking {
        Asking::EmergencyNumber => {
            model.library.emergency_number = Some(text.clone());
            vec![Effect::KeepNumber(text)]
        }
        Asking::Note => {
            let effects = apply(model, Event::Noted(text), at).1;
            model.say("noted");
            effects
        }
        Asking::NotSo(list, line) => {
            let shown = model
                .work
                .as_ref()
                .map_or_else(Default::default, |w| at.since(w.row_since));
            let event = Event::Answered {
                list,
                line,
                answer: Answer::NotSo(text),
                shown,
            };
            apply(model, event, at).1
        }
        Asking::Beyond => beyond(model, at, &text),
        Asking::AcceptStop(finding) => after(
            model,
            Event::StopAccepted {
                finding,
                reason: text,
            },
            at,
        ),
        Asking::LeaveOut => {
            let mut effects = after(model, Event::LeftOut(text), at);
            effects.extend(perform::next_step(model, at));
            effects
        }
        Asking::OpenAgain(operation) => {
            let event = Event::OperationReopened {
                operation,
                reason: text,
            };
            let mut effects = after(model, event, at);
            if model.notice.is_none() {
                effects.extend(go_to(model, Step::Cut, at));
                model.say("open again: its clock goes on from what it had");
            }
            effects
        }
        Asking::Mishap(mishap) => {
            let effects = if text.is_empty() {
                vec![]
            } else {
                let mut effects = vec![];
                let axes = Stalled::from_word(&text).filter(|_| mishap == Mishap::AxisBound);
                let words = axes.map_or(text, |axes| format!("axis: {}", axes.word()));
                if let Some(axes) = axes {
                    effects.extend(apply(model, Event::AxisStalled(axes), at).1);
                }
                effects.extend(apply(model, Event::StopRemarked(words), at).1);
                effects
            };
            model.overlay = Some(Overlay::Advice(mishap));
            effects
        }
        Asking::SwapReason(to) => {
            let (old, new) = recipe::compare(model, to);
            model.overlay = Some(Overlay::Compare {
                to,
                reason: text,
                old: old.map(Box::new),
                new: new.map(Box::new),
            });
            vec![]
        }
    }
}

/// The recipe is taken all the same; the reason stands in the record.
fn beyond(model: &mut Model, at: Moment, reason: &str) -> Vec<Effect> {
    let Some(calculated) = model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref())
    else {
        return vec![];
    };
    let taken = recipe::decided(calculated);
    let note = format!("recipe beyond {}: {reason}", taken.exceeded.join(", "));
    let mut effects = after(model, Event::RecipeDecided(Box::new(taken)), at);
    effects.extend(apply(model, Event::Noted(note), at).1);
    effects
}

struct ReturnForm {
    inputs: [Input; 3],
    focus: usize,
    error: Option<String>,
}

fn returned(
    model: &mut Model,
    key: Key,
    at: Moment,
    mut form: ReturnForm,
    verdict: Option<Vec<String>>,
) -> Vec<Effect> {
    if verdict.is_some() {
        return vec![];
    }
    match key {
        Key::Escape => return vec![],
        Key::Enter if !model.is_held && reasons::takes_back(form.inputs[form.focus].text()) => {
            return vec![];
        }
        Key::Up => form.focus = form.focus.saturating_sub(1),
        Key::Down | Key::Tab => form.focus = (form.focus + 1).min(2),
        Key::Enter => {
            let text = form.inputs[form.focus].text();
            let is_read = field::touches(text);
            // An axis that stalled is set again, and need not be touched here.
            let stalled = model.state().and_then(session::stalled);
            let stalled = stalled.map_or([false; 3], Stalled::axes);
            let is_needed = form.focus < 2 && !stalled[form.focus];
            match is_read {
                Err(_) if form.error.is_some() && !model.is_held => return vec![],
                Err(why) if is_needed || !text.trim().is_empty() => {
                    form.error = Some(why);
                    form.inputs[form.focus].refused();
                }
                _ if form.focus < 2 => {
                    form.focus += 1;
                    form.error = None;
                }
                _ => return return_entered(model, at, &form.inputs),
            }
        }
        _ => {
            form.inputs[form.focus].press(key);
            form.error = None;
        }
    }
    let ReturnForm {
        inputs,
        focus,
        error,
    } = form;
    model.overlay = Some(Overlay::ReturnTest {
        inputs,
        focus,
        error,
        verdict: None,
    });
    vec![]
}

fn return_entered(model: &mut Model, at: Moment, inputs: &[Input; 3]) -> Vec<Effect> {
    let touches_mm = inputs
        .each_ref()
        .map(|input| field::touches(input.text()).unwrap_or_default());
    let before = model.state().cloned();
    let tested = Event::ReturnTested {
        touches_mm: touches_mm.clone(),
    };
    let (took, effects) = apply(model, tested, at);
    if took {
        let lines = match (&before, model.state()) {
            (Some(before), Some(now)) => care::verdict(before, now, &touches_mm),
            _ => vec![],
        };
        model.overlay = Some(Overlay::ReturnTest {
            inputs: inputs.clone(),
            focus: 2,
            error: None,
            verdict: Some(lines),
        });
        recipe::refresh(model);
    }
    effects
}

/// Whether the big letters can be read, asked at setup.
fn letters(model: &mut Model, key: Key) -> Vec<Effect> {
    match key {
        Key::Char('1') => readable::answered(model, true),
        Key::Char('3') => {
            let was_doubled = readable::is_doubled(model);
            let effects = readable::answered(model, false);
            if !was_doubled && readable::is_doubled(model) {
                model.overlay = Some(Overlay::Letters);
            }
            effects
        }
        _ => vec![],
    }
}

fn gap(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    let is_fresh = model
        .state()
        .and_then(|state| state.gap)
        .is_some_and(|(gap, _)| at.since(gap.noticed) < gate::LEAST_SHOW);
    if is_fresh {
        // A key that was meant for what was on show before.
        model.overlay = Some(Overlay::Gap);
        return vec![];
    }
    let of_a_cut = model
        .state()
        .and_then(|state| state.gap)
        .is_some_and(|(_, phase)| phase == Phase::Cutting);
    let (event, says) = match key {
        Key::Char('1') => (
            Event::GapExplained(Some(Phase::Cutting)),
            of_a_cut.then_some(
                "cutting goes on; what needs hands or eyes at the work is asked when it stands",
            ),
        ),
        Key::Char('2') => (Event::GapExplained(Some(Phase::Waiting)), None),
        Key::Char('3') => (Event::GapExplained(Some(Phase::Paused)), None),
        Key::Char('4') => (Event::GapExplained(None), None),
        Key::Char('5') if of_a_cut => (Event::CutUnseen(Unseen::Ended), None),
        Key::Char('6') if of_a_cut => (
            Event::CutUnseen(Unseen::Unknown),
            Some("taken as still cutting, unseen time not counted; press 5 once you see it stand"),
        ),
        _ => {
            model.overlay = Some(Overlay::Gap);
            return vec![];
        }
    };
    let has_ended = event == Event::CutUnseen(Unseen::Ended);
    let (took, effects) = apply(model, event, at);
    if !took {
        model.overlay = Some(Overlay::Gap);
    } else if has_ended {
        model.overlay = Some(Overlay::Sure(Sure::Finished));
    } else if let Some(words) = says {
        model.say(words);
    }
    effects
}

fn sure_of(model: &mut Model, key: Key, at: Moment, sure: Sure) -> Vec<Effect> {
    let yes = match sure {
        Sure::Unsaved => return keeping::unsaved(model, key),
        Sure::Beside => return keeping::beside(model, key, at),
        Sure::Finished => key == Key::Char(finishing::digit_now(model)),
        Sure::LetGo => key == Key::Char(finishing::digit_to_let_go(model)),
        Sure::WrapUp => matches!(key, Key::Char('1')),
        Sure::Quit => matches!(key, Key::Char('1' | 'q') | Key::Interrupt),
    };
    if !yes {
        let no = matches!(key, Key::Escape | Key::Char('3'));
        if !no {
            model.overlay = Some(Overlay::Sure(sure));
        }
        return vec![];
    }
    match sure {
        Sure::Unsaved | Sure::Beside => vec![],
        Sure::Quit => {
            let mut effects = leaving::left(model, at);
            effects.extend(keeping::depart(model, Exit::Program));
            effects
        }
        Sure::Finished => {
            let (took, mut effects) = apply(model, Event::Finished, at);
            if took {
                model
                    .drafts
                    .retain(|draft, _| !super::form::is_recipe(*draft));
                effects.extend(perform::recheck_if_open(model, at));
                recipe::refresh(model);
                effects.extend(perform::next_step(model, at));
            }
            effects
        }
        Sure::LetGo => {
            let (_, mut effects) = apply(model, Event::LetGo, at);
            effects.extend(go_to(model, Step::Release, at));
            effects
        }
        Sure::WrapUp => {
            let learned = model
                .drafts
                .get(&field::Field::Learned)
                .cloned()
                .or_else(|| model.state()?.wrap_up.as_ref().map(|w| w.learned.clone()))
                .unwrap_or_default();
            let done = model.state().is_some_and(|state| {
                state
                    .setups
                    .iter()
                    .all(|setup| setup.operations.iter().all(|o| o.progress.is_done()))
            });
            let (took, effects) = apply(model, Event::WrappedUp { learned, done }, at);
            if took {
                model.drafts.remove(&field::Field::Learned);
                model.say("closed and saved; Esc goes to the jobs");
            }
            effects
        }
    }
}
