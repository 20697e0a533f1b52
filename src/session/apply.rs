//! An event and its time give the next state, or a reason why not.

use crate::job::holding::Holding;
use crate::job::mishap::Mishap;
use crate::job::reference::Surface;
use crate::job::stalled::Stalled;
use crate::job::stock::Stock;
use crate::job::typed::Typed;
use crate::job::typed::plain;
use crate::measure::lost_steps;
use crate::session::air;
use crate::session::bond;
use crate::session::called;
use crate::session::care;
use crate::session::clock::Phase;
use crate::session::event::Event;
use crate::session::event::Refusal;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::fact::SaidBy;
use crate::session::facts;
use crate::session::gate::ListKind;
use crate::session::guards;
use crate::session::known;
use crate::session::leaving;
use crate::session::matrix;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::moment::Moment;
use crate::session::planning;
use crate::session::recovery;
use crate::session::running;
use crate::session::shop;
use crate::session::state::HeardMode;
use crate::session::state::Note;
use crate::session::state::PointSeen;
use crate::session::state::RackTool;
use crate::session::state::ReturnTest;
use crate::session::state::State;
use crate::session::state::StopNote;
use crate::session::state::WrapUp;
use crate::session::tooling;
use crate::session::unfinished;
use crate::session::z_surface;

/// An error at the check point that still counts as none, in mm: what eye and finder repeat (common practice, no source). Backlash is
/// not in it, for the last approach is from the side that the zero was set from.
pub const RETURN_ERROR_ALLOWED_MM: f64 = 0.02;

/// A reading of Z at the touch may differ by this much from what it must be, in mm.
pub const TOUCH_ALLOWED_MM: f64 = 0.05;

type Step = Result<(), Refusal>;

/// Applies one event to `state` in place.
///
/// On `Err` the state may be half changed: the caller keeps the one it had.
pub fn apply(state: &mut State, event: Event, at: Moment) -> Step {
    let seen = state.last_seen;
    if matches!(event, Event::Reopened { .. }) {
        // The record's last moment was of another run; the event itself says what time passed.
        state.last_seen = at;
    } else {
        running::notice_gap(state, at);
    }
    running::age_list(state, at);
    happened(state, event, seen, at)?;
    running::settle(state, at);
    Ok(())
}

fn happened(state: &mut State, event: Event, seen: Moment, at: Moment) -> Step {
    match event {
        Event::Looked => Ok(()),
        Event::Titled(title) => {
            state.head.title = title;
            Ok(())
        }
        Event::MachineChosen(machine) => {
            if *machine != state.machine {
                let before = known::fluid(state);
                state.machine = *machine;
                facts::happen(state, Happening::MachineEdited, at);
                // A profile may name the coolant that the machine has.
                planning::fluid_stated(state, before.as_ref(), at);
            }
            Ok(())
        }
        Event::MaterialChosen(material) => {
            if *material != state.material {
                state.material = *material;
                facts::happen(state, Happening::MaterialEdited, at);
            }
            Ok(())
        }
        Event::ConditionStated(key, value) => {
            let before = known::fluid(state);
            let guard_was_off = guards::is_off(state);
            state.stated.state(key, value);
            if guards::is_off(state) != guard_was_off {
                guards::ask_again(state);
                running::to_waiting(state, at);
            }
            planning::fluid_stated(state, before.as_ref(), at);
            Ok(())
        }
        Event::ProgramRead(program) => planning::program_read(state, *program, at),
        Event::StopAccepted { finding, reason } => {
            planning::stop_accepted(state, &finding, reason, at)
        }
        Event::SetupAdded(setup) => {
            state.setups.push(*setup);
            Ok(())
        }
        Event::SetupEntered(index) => planning::setup_entered(state, index, at),
        Event::OperationAdded(place, operation) => {
            planning::operation_added(state, place, *operation)
        }
        Event::OperationEdited(index, edited) => {
            planning::operation_edited(state, index, *edited, at)
        }
        Event::OperationRemoved(index) => planning::operation_removed(state, index),
        Event::OperationJoined { operation, from } => {
            planning::operation_joined(state, operation, from, at)
        }
        Event::OperationParted(index) => planning::operation_parted(state, index, at),
        Event::OperationEntered(index) => planning::operation_entered(state, index),
        Event::StepEntered(step) => {
            state.step = step;
            Ok(())
        }
        Event::ToolAdded {
            number,
            tool,
            stick_out,
        } => {
            state.rack.push(RackTool {
                number,
                tool: *tool,
                stick_out,
            });
            Ok(())
        }
        Event::ToolEdited {
            index,
            tool,
            stick_out,
        } => planning::tool_edited(state, index, *tool, stick_out, at),
        Event::StockMeasured(stock) => {
            if stock.thickness.is_empty() {
                return Err(Refusal::because("the thickness is missing"));
            }
            if let Some([x, y, z]) = &stock.part {
                let size = stock.size();
                for (axis, part, blank) in [
                    ("X", x, size.x_mm),
                    ("Y", y, size.y_mm),
                    ("Z", z, size.z_mm),
                ] {
                    if part.value > blank {
                        return Err(Refusal::because(format!(
                            "the finished size {axis} {} is larger than the blank, {} mm",
                            part.text,
                            plain(blank)
                        )));
                    }
                }
            }
            if let Some(above) = &stock.above_jaws
                && above.value > stock.greatest_mm()
            {
                return Err(Refusal::because(format!(
                    "it cannot stand {} above the jaws: the blank is {} mm thick",
                    above.text,
                    plain(stock.greatest_mm())
                )));
            }
            let what = stock_edited(state, &stock);
            state.setups[state.setup].stock = Some(*stock);
            for what in what {
                facts::happen(state, what, at);
            }
            facts::good(state, FactKind::Stock, SaidBy::Measured, None, at);
            Ok(())
        }
        Event::HoldingStated(holding) => {
            let old = state.setups[state.setup].holding.replace(*holding);
            let by = |holding: Option<&Holding>| holding.map(|holding| holding.by);
            if by(old.as_ref()) != by(state.current_setup().holding.as_ref()) {
                bond::renewed(state);
                if old.is_some() {
                    // Nothing is held in another way without being let loose.
                    facts::happen(state, Happening::ClampsChanged, at);
                }
            }
            if old.is_some() && old != state.setups[state.setup].holding {
                facts::happen(state, Happening::HoldingEdited, at);
            }
            Ok(())
        }
        Event::ZeroStated(zero) => {
            let old = state.setups[state.setup].zero.replace(*zero);
            if old.is_some() && old != state.setups[state.setup].zero {
                matrix::anew(state, Anew::ZeroStated, &[]);
                facts::happen(state, Happening::ZeroEdited, at);
            }
            Ok(())
        }
        Event::PointSeen { what, is_right } => {
            if !state.fact(FactKind::XyZero).is_good() {
                return Err(Refusal::because(
                    "set X and Y first: a check point tells whether that was right",
                ));
            }
            let seen = &mut state.setups[state.setup].points_seen;
            seen.retain(|point| point.what != what);
            if is_right {
                seen.push(PointSeen { at: at.wall, what });
            } else {
                facts::happen(state, Happening::CheckPointMissed, at);
            }
            Ok(())
        }
        Event::XySet => xy_set(state, at),
        Event::ZReferenceSet(reference) => {
            require_position(state)?;
            if let Some(raised) = &state.current_setup().raised {
                return Err(Refusal::because(format!(
                    "Z is still raised by {} for the air run: put it back first",
                    raised.text
                )));
            }
            if let Some(why) = z_surface::refused(state, &reference) {
                return Err(Refusal::because(why));
            }
            let value = format!(
                "{}, {} to Z0, {} shim",
                reference.surface.word(),
                reference.height.text,
                reference.shim.text
            );
            let old = state.setups[state.setup].z_reference.replace(*reference);
            if old.is_some() && old != state.setups[state.setup].z_reference {
                facts::happen(state, Happening::ReferenceEdited, at);
            }
            facts::good(
                state,
                FactKind::ZReference,
                SaidBy::Measured,
                Some(value),
                at,
            );
            facts::zero_set(state, at);
            Ok(())
        }
        Event::ToolFitted(index) => {
            if index >= state.rack.len() {
                return Err(Refusal::because("there is no such tool in the job"));
            }
            tooling::fit(state, index, at);
            Ok(())
        }
        Event::LengthSet(reading) => tooling::length_set(state, reading, at),
        Event::RecipeDecided(recipe) => tooling::recipe_decided(state, *recipe, at),
        Event::SpeedRead(rpm) => {
            let place = state.operation;
            match state.setups[state.setup].operations.get_mut(place) {
                Some(operation) => {
                    operation.read_rpm = rpm.filter(|rpm| rpm.is_finite() && *rpm > 0.0);
                    Ok(())
                }
                None => Err(Refusal::because("there is no operation in work")),
            }
        }
        Event::ToolSwapped { to, reason, recipe } => {
            tooling::tool_swapped(state, to, reason, recipe.map(|boxed| *boxed), at)
        }
        Event::Confirmed(kind) => facts::confirm(state, kind, at),
        Event::ShopConfirmed(id) => shop::confirm(state, &id, at),
        Event::Answered {
            list,
            line,
            answer,
            shown,
        } => facts::answer(state, list, &line, answer, shown, at),
        Event::MillLeft => leaving::left(state, at),
        Event::ListEnded(list) => called::end(state, list, at),
        Event::CameBack { away_s } => {
            called::came_back(state, away_s, at);
            Ok(())
        }
        Event::Told => {
            state.told.get_or_insert(at.wall);
            Ok(())
        }
        Event::AirRunMade(raised) => {
            let holding = state.current_setup().holding.as_ref();
            if holding.is_some_and(Holding::heads_unknown) {
                return Err(Refusal::because(
                    "enter the screw heads at hold first: Z must be raised above the highest",
                ));
            }
            let (least, over) = air::least_raise(state);
            if raised.value <= least {
                return Err(Refusal::because(format!(
                    "raise Z by more than {} mm: less, and the deepest cut meets {}",
                    plain(least),
                    over.words()
                )));
            }
            for kind in [FactKind::XyZero, FactKind::ZReference] {
                if !state.fact(kind).is_good() {
                    return Err(Refusal::because(format!(
                        "before the air run: {} is {}",
                        kind.statement(),
                        state.fact(kind).word()
                    )));
                }
            }
            state.setups[state.setup].raised = Some(raised.clone());
            state.setups[state.setup].air_left_out = None;
            facts::happen(state, Happening::AirRunMade, at);
            matrix::anew(state, Anew::RaisedForDryRun, &[]);
            Ok(())
        }
        Event::PutBack(reading) => put_back(state, reading, at),
        Event::AirRunLeftOut(reason) => {
            if reason.trim().is_empty() {
                return Err(Refusal::because("leaving the air run out needs a reason"));
            }
            let value = Some(format!("left out: {reason}"));
            state.setups[state.setup].air_left_out = Some(reason);
            facts::good(state, FactKind::AirRun, SaidBy::Confirmed, value, at);
            Ok(())
        }
        Event::CutBegan { ago } => running::cut_began(state, ago, at),
        Event::CutBeganEarlier(by) => {
            let place = (state.setup, state.operation);
            if state
                .clocks
                .get_mut(&place)
                .is_some_and(|clock| clock.set_back(by))
            {
                Ok(())
            } else {
                Err(Refusal::because(
                    "the beginning can be set back by at most a minute",
                ))
            }
        }
        Event::ClockTurned(phase) => running::clock_turned(state, phase, at),
        Event::GapExplained(phase) => running::gap_explained(state, phase, at),
        Event::CutUnseen(became) => running::cut_unseen(state, became, at),
        Event::Reopened { alive_s, away_s } => {
            running::reopened(state, alive_s, away_s, seen, at);
            Ok(())
        }
        Event::Finished => running::finished(state, at),
        Event::LeftOut(reason) => running::left_out(state, reason, at),
        Event::OperationReopened { operation, reason } => {
            unfinished::reopened(state, operation, &reason, at)
        }
        Event::Happened(what) => {
            if what == Happening::FluidChanged {
                // What it is now is a question again.
                state.stated.forget("fluid");
            }
            facts::happen(state, what, at);
            Ok(())
        }
        Event::StopNoted { mishap, words } => {
            let after_cutting_s = running::cutting_s(state, at);
            let (setup, operation) = (state.setup, state.operation);
            state.stops.push(StopNote {
                at: recovery::note_at(state, at),
                setup,
                operation,
                after_cutting_s,
                mishap,
                words,
                stalled: None,
            });
            recovery::ask(state, mishap);
            // Where the note sends the eye a hand goes: a part that has worked loose sings first, an edge is looked at from near.
            let looked_at = match mishap {
                Mishap::Chatter => Some(Happening::Chatter),
                Mishap::PoorFinish | Mishap::Hot => Some(Happening::LookedNear),
                _ => None,
            };
            if let Some(what) = looked_at {
                matrix::doubt(state, what, at);
            }
            running::to_waiting(state, at);
            for what in facts::doubts(state, mishap) {
                facts::happen(state, what, at);
            }
            Ok(())
        }
        Event::AxisStalled(axes) => match state.stops.last_mut() {
            Some(stop) if stop.mishap == Mishap::AxisBound => {
                stop.stalled = Some(axes);
                Ok(())
            }
            _ => Err(Refusal::because("no stall was noted last")),
        },
        Event::StopRemarked(words) => match state.stops.last_mut() {
            Some(stop) if stop.words.is_empty() => {
                stop.words = words;
                Ok(())
            }
            _ => Err(Refusal::because("no stop note waits for a remark")),
        },
        Event::ReturnTested { touches_mm } => {
            return_tested(state, touches_mm, at)?;
            Ok(())
        }
        Event::OppositeTouched { axis, reads_mm } => {
            care::opposite_touched(state, axis, reads_mm, at)
        }
        Event::Heard(all) => {
            if all.iter().any(|hz| !(hz.is_finite() && *hz > 0.0)) {
                return Err(Refusal::because("a frequency is more than 0 Hz"));
            }
            let before = std::mem::take(&mut state.heard);
            state.heard = all
                .into_iter()
                .map(|hz| {
                    let known = before.iter().find(|mode| mode.hz == hz).copied();
                    known.unwrap_or(HeardMode { at: at.wall, hz })
                })
                .collect();
            Ok(())
        }
        Event::Noted(text) => {
            let (setup, operation) = (state.setup, state.operation);
            state.notes.push(Note {
                at: at.wall,
                setup,
                operation,
                text,
            });
            Ok(())
        }
        Event::SizeStated(place, reading) => planning::size_stated(state, place, *reading),
        Event::Measured(place, actual) => {
            let after = state
                .current_operation()
                .map(|operation| operation.title.clone());
            match state.setups[state.setup].readings.get_mut(place) {
                Some(reading) => {
                    reading.take(actual, after.unwrap_or_default());
                    // What is typed while it cuts was read before.
                    if !state.phase().is_some_and(Phase::is_at_work) {
                        facts::hands_near(state, at);
                    }
                    Ok(())
                }
                None => Err(Refusal::because("there is no such size in this setup")),
            }
        }
        Event::Rated(index, outcome) => {
            if !(1..=5).contains(&outcome.rating) {
                return Err(Refusal::because("a rating is a digit from 1 to 5"));
            }
            match state.setups[state.setup].operations.get_mut(index) {
                Some(operation) => {
                    operation.outcome = Some(outcome);
                    Ok(())
                }
                None => Err(Refusal::because("there is no such operation")),
            }
        }
        Event::LetGo => let_go(state, at),
        Event::WrappedUp { learned, done } => {
            for clock in state.clocks.values_mut() {
                clock.stop(at);
            }
            state.wrap_up = Some(WrapUp {
                at: at.wall,
                learned,
                done,
            });
            Ok(())
        }
    }
}

/// What a blank that is entered anew makes doubtful.
fn stock_edited(state: &State, new: &Stock) -> Vec<Happening> {
    let setup = state.current_setup();
    let mut what = vec![Happening::StockEdited];
    let Some(old) = &setup.stock else { return what };
    if (old.x.value, old.y.value) != (new.x.value, new.y.value) {
        what.push(Happening::SizeEdited);
    }
    // Z0 on top, touched off on top: there the thickness is in no sum.
    let touched_on_top = setup
        .z_reference
        .as_ref()
        .is_some_and(|z| z.surface == Surface::StockTop)
        && setup
            .zero
            .as_ref()
            .is_some_and(|zero| zero.point.share()[2] == 1.0);
    let is_as_thick = old.greatest_mm() == new.greatest_mm() && old.least_mm() == new.least_mm();
    if !is_as_thick && !touched_on_top {
        what.push(Happening::ThicknessEdited);
    }
    what
}

fn require_position(state: &State) -> Step {
    if state.fact(FactKind::Position).is_good() {
        Ok(())
    } else if state.machine.control.has_home_switches.value {
        Err(Refusal::because(
            "the machine must know its position first: home it and answer that line at hold",
        ))
    } else {
        Err(Refusal::because(
            "set X and Y first: this machine knows its position from them",
        ))
    }
}

fn xy_set(state: &mut State, at: Moment) -> Step {
    if state.machine.control.has_home_switches.value {
        require_position(state)?;
    }
    let Some(zero) = &state.current_setup().zero else {
        return Err(Refusal::because(
            "say first which point of the blank is zero",
        ));
    };
    let value = Some(format!("{} by {}", zero.point, zero.found_by.word()));
    if !state.machine.control.has_home_switches.value {
        // Without switches the position is what the motors have kept since the zero was set.
        let since = Some("from the zero".to_owned());
        facts::good(state, FactKind::Position, SaidBy::Computed, since, at);
    }
    facts::good(state, FactKind::XyZero, SaidBy::Measured, value, at);
    facts::zero_set(state, at);
    Ok(())
}

fn put_back(state: &mut State, reading: Typed, at: Moment) -> Step {
    let Some(reference) = state.current_setup().z_reference.clone() else {
        return Err(Refusal::because("there is no Z reference to put back to"));
    };
    if state.current_setup().raised.is_none() {
        return Err(Refusal::because("Z is not raised"));
    }
    let must = reference.touch_reading_mm();
    if (reading.value - must).abs() > TOUCH_ALLOWED_MM {
        return Err(Refusal::because(format!(
            "with the tool at the reference Z must read {} mm, not {}",
            plain(must),
            reading.text
        )));
    }
    let raised = state.setups[state.setup].raised.take();
    let by = raised.map_or(String::new(), |raised| {
        format!("raised by {}, put back", raised.text)
    });
    facts::good(state, FactKind::AirRun, SaidBy::Confirmed, Some(by), at);
    let value = Some(format!("put back, reads {}", reading.text));
    facts::good(state, FactKind::ZReference, SaidBy::Measured, value, at);
    if state.in_spindle.is_some() && state.in_spindle == state.planned_tool() {
        facts::good(
            state,
            FactKind::ToolLength,
            SaidBy::Measured,
            Some(reading.text),
            at,
        );
    }
    facts::zero_set(state, at);
    Ok(())
}

fn return_tested(state: &mut State, touches_mm: [Vec<f64>; 3], at: Moment) -> Step {
    if let Some((axis, touches)) = ["X", "Y", "Z"]
        .iter()
        .zip(&touches_mm)
        .find(|(_, touches)| !matches!(touches.len(), 0 | lost_steps::TOUCHES))
    {
        return Err(Refusal::because(format!(
            "{axis} has {} of {} touches: touch the point three times, each time from the same side",
            touches.len(),
            lost_steps::TOUCHES
        )));
    }
    let axes = &state.machine.axes;
    let [x, y, z] = [(&axes.x, 0), (&axes.y, 1), (&axes.z, 2)].map(|(axis, place)| {
        let four_steps_mm = axis.four_full_steps_mm();
        lost_steps::read(&touches_mm[place], four_steps_mm, RETURN_ERROR_ALLOWED_MM)
            .map(|error| error.pattern)
    });
    // An axis that stalled is set again, whatever it reads: it may be off by what a touch does not tell.
    let stalled = facts::stalled(state).map_or([false; 3], Stalled::axes);
    let as_before = Some(lost_steps::Pattern::None);
    let is_found = |pattern, place: usize| pattern == as_before && !stalled[place];
    let (plane, height) = (is_found(x, 0) && is_found(y, 1), is_found(z, 2));
    let may = |kind: FactKind| match state.fact(kind) {
        // After a stall only where somebody could say which axis it was: that one is not proved, the others are.
        FactState::Redo {
            what: Happening::AxisBound,
            ..
        } => stalled != [false; 3],
        FactState::Redo { what, .. } => what.row().return_test_may_restore,
        _ => false,
    };
    let value = Some("return test".to_owned());
    let position_back = plane && may(FactKind::Position);
    let plane_back = plane && may(FactKind::XyZero);
    let height_back = height && may(FactKind::ZReference) && state.current_setup().raised.is_none();
    let length_back = height_back && may(FactKind::ToolLength);
    for (is_back, kind) in [
        (position_back, FactKind::Position),
        (plane_back, FactKind::XyZero),
        (height_back, FactKind::ZReference),
        (length_back, FactKind::ToolLength),
    ] {
        if is_back {
            facts::good(state, kind, SaidBy::Measured, value.clone(), at);
        }
    }
    let is_off = |pattern: Option<_>, place: usize| {
        pattern.is_some() && pattern != as_before && !stalled[place]
    };
    let was_touched = x.is_some() && y.is_some() && stalled == [false; 3];
    if was_touched && !plane || is_off(x, 0) || is_off(y, 1) {
        facts::happen(state, Happening::PositionLost, at);
    }
    facts::hands_near(state, at);
    state.return_tests.push(ReturnTest {
        at: at.wall,
        touches_mm,
        kept_zero: plane,
    });
    Ok(())
}

fn let_go(state: &mut State, at: Moment) -> Step {
    unfinished::may_let_go(state)?;
    called::end(state, ListKind::Release, at)?;
    facts::happen(state, Happening::PartLetGo, at);
    state.setups[state.setup].let_go = Some(at.wall);
    Ok(())
}
