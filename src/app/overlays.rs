//! Keys while something lies over the screen.

use crate::app::after_stop;
use crate::app::applying::apply;
use crate::app::care;
use crate::app::effect::Effect;
use crate::app::field;
use crate::app::field::Takes;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::looking;
use crate::app::model::Model;
use crate::app::overlay::Asking;
use crate::app::overlay::Overlay;
use crate::app::overlay::Sure;
use crate::app::overlay::WhatHappened;
use crate::app::overlay::happenings;
use crate::app::page;
use crate::app::perform;
use crate::app::perform::after;
use crate::app::perform::go_to;
use crate::app::recipe;
use crate::job::mishap::Mishap;
use crate::session::clock::Phase;
use crate::session::event::Answer;
use crate::session::event::Event;
use crate::session::moment::Moment;
use crate::session::state::Step;

/// Letters that a reason for a stop has at least.
const LEAST_LETTERS: usize = 3;

/// A key while an overlay is open.
pub(super) fn pressed(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    let Some(overlay) = model.overlay.take() else {
        return vec![];
    };
    let takes_text = matches!(overlay, Overlay::Words { .. } | Overlay::ReturnTest { .. });
    if !takes_text && matches!(key, Key::Char('.' | ',')) && overlay != Overlay::Emergency {
        // The card is one key away from everywhere; only where text is typed it is a text.
        model.overlay = Some(Overlay::Emergency);
        return vec![];
    }
    if overlay == Overlay::Help && key == Key::Char('*') {
        // Letters are not on a keypad; the help is one press away everywhere.
        perform::next_theme(model);
        model.overlay = Some(Overlay::Help);
        return vec![];
    }
    match overlay {
        Overlay::Help | Overlay::Why { .. } | Overlay::Emergency | Overlay::Care(_) => vec![],
        Overlay::Advice(_) => match key {
            Key::Char('6') => after_stop::begin_again(model, at),
            _ => vec![],
        },
        Overlay::Words {
            asking,
            input,
            error: _,
        } => words(model, key, at, asking, input),
        Overlay::Happened { typed, cursor } => happened(model, key, at, typed, cursor),
        Overlay::Swap { cursor, typed } => swap(model, key, cursor, typed),
        Overlay::Compare {
            to,
            reason,
            old,
            new,
        } => match key {
            Key::Enter => {
                let recipe = new.map(|calculated| Box::new(recipe::decided(&calculated)));
                let effects = after(model, Event::ToolSwapped { to, reason, recipe }, at);
                let mut more = go_to(model, Step::Tool, at);
                more.extend(effects);
                model.say("tool changed: what is to be redone is marked");
                more
            }
            Key::Escape => vec![],
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
        Overlay::Look(look) => looking::pressed(model, key, look),
        Overlay::Gap => gap(model, key, at),
        Overlay::Sure(sure) => sure_of(model, key, at, sure),
    }
}

fn words(model: &mut Model, key: Key, at: Moment, asking: Asking, mut input: Input) -> Vec<Effect> {
    let mut error = None;
    match key {
        Key::Escape => return vec![],
        Key::Enter => {
            let text = input.text().trim().to_owned();
            let may_be_empty = matches!(asking, Asking::Mishap(_));
            let is_stop = matches!(asking, Asking::AcceptStop(_));
            let letters = text.chars().filter(|c| c.is_alphabetic()).count();
            if is_stop && letters < LEAST_LETTERS {
                // A few digits are keys that were meant for something else.
                error = Some("a stop stays only for a reason in words; Esc leaves it".to_owned());
            } else if !text.is_empty() || may_be_empty {
                return said(model, at, asking, text);
            } else {
                error = Some("write something, or Esc leaves it".to_owned());
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
        Asking::Mishap(mishap) => {
            let (took, effects) = apply(
                model,
                Event::StopNoted {
                    mishap,
                    words: text,
                },
                at,
            );
            if took {
                recipe::refresh(model);
                model.overlay = Some(Overlay::Advice(mishap));
            }
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

/// A digit adds to the number typed; the cursor follows it.
fn number_key(key: Key, typed: &mut String, cursor: &mut usize, count: usize) -> bool {
    let step = |cursor: usize, by: isize| {
        cursor
            .saturating_add_signed(by)
            .min(count.saturating_sub(1))
    };
    match key {
        Key::Up => *cursor = step(*cursor, -1),
        Key::Down => *cursor = step(*cursor, 1),
        Key::PageUp => *cursor = step(*cursor, -8),
        Key::PageDown => *cursor = step(*cursor, 8),
        Key::Backspace => {
            typed.pop();
        }
        Key::Char(c) if c.is_ascii_digit() && typed.len() < 3 => {
            typed.push(c);
            if let Ok(number @ 1..) = typed.parse::<usize>()
                && number <= count
            {
                *cursor = number - 1;
            }
        }
        _ => return false,
    }
    true
}

/// A number was typed, and nothing has it.
fn is_no_choice(typed: &str, count: usize) -> bool {
    !typed.is_empty()
        && !typed
            .parse::<usize>()
            .is_ok_and(|number| (1..=count).contains(&number))
}

fn happened(
    model: &mut Model,
    key: Key,
    at: Moment,
    mut typed: String,
    mut cursor: usize,
) -> Vec<Effect> {
    let all = happenings();
    match key {
        Key::Escape => return vec![],
        Key::Enter if is_no_choice(&typed, all.len()) => {
            model.refuse(format!("there is no number {typed}"));
            typed.clear();
        }
        Key::Enter => match all.get(cursor) {
            Some(WhatHappened::Mishap(mishap)) => return mishap_chosen(model, *mishap, at),
            Some(WhatHappened::Change(what)) => {
                let effects = after(model, Event::Happened(*what), at);
                model.say(format!(
                    "{}: what is to be redone is marked",
                    what.row().words
                ));
                return effects;
            }
            None => return vec![],
        },
        _ => {
            number_key(key, &mut typed, &mut cursor, all.len());
        }
    }
    model.overlay = Some(Overlay::Happened { typed, cursor });
    vec![]
}

fn mishap_chosen(model: &mut Model, mishap: Mishap, at: Moment) -> Vec<Effect> {
    // The clock waits from now on, before any words are typed.
    let effects = match model.state().and_then(|state| state.phase()) {
        Some(Phase::Cutting) => apply(model, Event::ClockTurned(Phase::Waiting), at).1,
        _ => vec![],
    };
    model.overlay = Some(Overlay::Words {
        asking: Asking::Mishap(mishap),
        input: Input::default(),
        error: None,
    });
    effects
}

fn swap(model: &mut Model, key: Key, mut cursor: usize, mut typed: String) -> Vec<Effect> {
    let titles = page::tool_choices(model);
    match key {
        Key::Escape => return vec![],
        Key::Enter if is_no_choice(&typed, titles.len()) => {
            model.refuse(format!("there is no number {typed}"));
            typed.clear();
        }
        Key::Enter => {
            let Some(title) = titles.get(cursor).cloned() else {
                return vec![];
            };
            return swap_to(model, &title);
        }
        _ => {
            number_key(key, &mut typed, &mut cursor, titles.len());
        }
    }
    model.overlay = Some(Overlay::Swap { cursor, typed });
    vec![]
}

fn swap_to(model: &mut Model, title: &str) -> Vec<Effect> {
    let Some(state) = model.state() else {
        return vec![];
    };
    let now = model.now;
    let in_rack = state.rack.iter().position(|rack| rack.tool.title == title);
    let (index, effects) = match in_rack {
        Some(index) => (index, vec![]),
        None => {
            let index = state.rack.len();
            let Some(tool) = model
                .library
                .tools
                .iter()
                .find(|tool| tool.title == title)
                .cloned()
            else {
                return vec![];
            };
            let event = Event::ToolAdded {
                number: None,
                tool: Box::new(tool),
                stick_out: None,
            };
            (index, apply(model, event, now).1)
        }
    };
    model.overlay = Some(Overlay::Words {
        asking: Asking::SwapReason(index),
        input: Input::default(),
        error: None,
    });
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
        Key::Up => form.focus = form.focus.saturating_sub(1),
        Key::Down | Key::Tab => form.focus = (form.focus + 1).min(2),
        Key::Enter => {
            let text = form.inputs[form.focus].text();
            let is_read = field::understand(&Takes::SignedLength, text);
            match is_read {
                Err(why) if form.focus < 2 || !text.trim().is_empty() => form.error = Some(why),
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
    let error_mm = [0, 1, 2].map(|axis| {
        field::understand(&Takes::SignedLength, inputs[axis].text())
            .ok()
            .and_then(|understood| understood.number().map(|typed| typed.value))
    });
    let mut lines = model
        .state()
        .map_or(vec![], |state| care::axes(state, error_mm));
    let (took, effects) = apply(model, Event::ReturnTested { error_mm }, at);
    if took {
        let kept = model
            .state()
            .and_then(|s| s.return_tests.last())
            .is_some_and(|test| test.kept_zero);
        lines.push(if kept {
            "The zero was found where it was. What may be kept is good again.".to_owned()
        } else {
            "The zero is not where it was: set X and Y again.".to_owned()
        });
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

fn gap(model: &mut Model, key: Key, at: Moment) -> Vec<Effect> {
    let phase = match key {
        Key::Char('1') => Some(Phase::Cutting),
        Key::Char('2') => Some(Phase::Waiting),
        Key::Char('3') => Some(Phase::Paused),
        Key::Char('4') => None,
        _ => {
            model.overlay = Some(Overlay::Gap);
            return vec![];
        }
    };
    let (took, effects) = apply(model, Event::GapExplained(phase), at);
    if !took {
        model.overlay = Some(Overlay::Gap);
    }
    effects
}

fn sure_of(model: &mut Model, key: Key, at: Moment, sure: Sure) -> Vec<Effect> {
    let yes = match sure {
        Sure::Finished | Sure::LetGo | Sure::WrapUp => matches!(key, Key::Char('1')),
        Sure::Quit => matches!(key, Key::Char('q') | Key::Interrupt),
    };
    if !yes {
        let no = matches!(key, Key::Escape | Key::Char('3'));
        if !no {
            model.overlay = Some(Overlay::Sure(sure));
        }
        return vec![];
    }
    match sure {
        Sure::Quit => vec![Effect::Close, Effect::Quit],
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
