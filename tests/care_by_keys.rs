//! What is learned of the machine beside a job, and what a stop note says in numbers, by keys alone.

mod support;

use millside::app::field::Field;
use millside::app::key::Key;
use millside::app::model::Model;
use millside::app::overlay::Overlay;
use millside::app::page;
use millside::app::row::Row;
use millside::app::stop_advice;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::job::machine::Machine;
use millside::job::mishap::ADVICE;
use millside::job::mishap::Mishap;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::Progress;
use millside::job::tool::Tool;
use millside::job::tool_speed::Faster;
use millside::job::typed::Typed;
use millside::profile::library::Library;
use millside::quantity;
use millside::quantity::show;
use millside::quantity::show::Units;
use millside::session::Session;
use millside::session::care;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::fact::FactKey;
use millside::session::fact::FactKind;
use millside::session::fact::FactState;
use millside::session::fact::SaidBy;
use millside::session::matrix::Kept;
use millside::session::state::ReturnTest;
use millside::session::state::State;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::plate;
use support::session::second;
use support::session::shipped;
use support::walk::cutting;
use support::walk::cutting_by_hand;
use support::walk::demo;
use support::walk::hold_and_zero;
use support::walk::take_recipe;
use support::walk::to_field;
use support::walk::to_step;
use support::walk::tool_and_z;

// By hand: the demo's blank is 120 mm wide and its finder 4 mm thick, so that the touches lie
// 124 mm apart. Readings of -61.96 and 61.96 lie 123.92 apart: 124 - 123.92 = 0.08.
#[test]
fn two_opposite_touches_read_the_backlash_and_it_is_kept() {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    to_field(&mut desk, Field::TouchAt(0));
    desk.keys("\r-61.96\r");
    assert!(desk.state().backlash.is_empty(), "one touch says nothing");
    desk.keys("\r61.96\r");
    let read = desk.state().backlash.last().expect("both are there");
    assert!((read.touches.backlash_mm() - 0.08).abs() < 1e-9);
    let text = desk.page_text();
    assert!(
        text.contains("X: 120 + 4 - (61.96 + 61.96) = 0.08 mm backlash"),
        "{text}"
    );
    assert!(text.contains("as the profile has it, 0.05 mm"), "{text}");
    // By hand: 90 + 4 = 94 between the Y touches; 46.9 + 46.9 = 93.8, 0.2 less, and 0.2 - 0.05 = 0.15.
    to_field(&mut desk, Field::TouchAt(2));
    desk.keys("\r-46.9\r\r46.9\r");
    let text = desk.page_text();
    assert!(
        text.contains("DIFFERS: 0.15 mm more than the profile's 0.05 mm"),
        "{text}"
    );
    assert!(
        desk.state().fact(FactKind::XyZero).is_good(),
        "a reading of the machine leaves the zero alone"
    );
    assert_eq!(desk.saved.last().map(|state| state.backlash.len()), Some(2));
}

#[test]
fn a_sum_that_cannot_be_backlash_is_refused_and_the_typed_stays() {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    to_field(&mut desk, Field::TouchAt(0));
    // By hand: the radius of the finder taken off twice: 124 - 120 = 4 mm.
    desk.keys("\r-60\r\r60\r");
    assert!(desk.state().backlash.is_empty());
    let screen = desk.screen();
    assert!(screen.contains("4 mm would be backlash"), "{screen}");
    assert_eq!(
        desk.model
            .drafts
            .get(&Field::TouchAt(1))
            .map(String::as_str),
        Some("60 mm")
    );
}

// By hand, four full steps of 200 a turn: lead x 4 / 200 = lead / 50, microsteps left out.
#[test]
fn four_full_steps_follow_from_the_lead_of_each_axis() {
    let mut machine = shipped().machines[0].clone();
    machine.axes.x.lead_mm.value = 5.0;
    machine.axes.y.lead_mm.value = 2.0;
    machine.axes.z.lead_mm.value = 1.5;
    for axis in [
        &mut machine.axes.x,
        &mut machine.axes.y,
        &mut machine.axes.z,
    ] {
        axis.full_steps_per_turn.value = 200;
    }
    machine.axes.x.microsteps.value = 16;
    machine.axes.y.microsteps.value = 1;
    let axes = &machine.axes;
    for (axis, expected) in [(&axes.x, 0.1), (&axes.y, 0.04), (&axes.z, 0.03)] {
        assert!((axis.four_full_steps_mm() - expected).abs() < 1e-12);
    }
    // A motor of 0.9 degree a step has 400 of them: half as far.
    machine.axes.x.full_steps_per_turn.value = 400;
    assert!((machine.axes.x.four_full_steps_mm() - 0.05).abs() < 1e-12);
}

#[test]
fn a_return_test_is_offered_at_a_tool_change_and_can_be_passed_over() {
    let mut desk = cutting(120, 40, 100);
    assert!(!desk.page_text().contains("if you like"));
    desk.keys("91");
    tool_and_z(&mut desk);
    take_recipe(&mut desk);
    to_step(&mut desk, Step::Cut);
    let text = desk.page_text();
    assert!(
        text.contains("return test at the tool change, if you like; last in X from the left"),
        "{text}"
    );
    // It is made: it is kept, and not offered a second time.
    let facts = desk.state().facts.clone();
    desk.keys("r0.01*0.01*0.01\r-0.01*-0.01*-0.01\r\rx");
    assert_eq!(desk.state().facts, facts, "what was good stays good");
    assert!(!desk.page_text().contains("if you like"));
    // The arrow: on one of the worst lines the digit would be its answer.
    while desk.state().step != Step::Xy {
        desk.key(Key::Left);
    }
    for _ in 0..40 {
        desk.keys("8");
    }
    for _ in 0..40 {
        let rows = page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor).cloned();
        if matches!(chosen, Some(Row::Do { text, .. }) if text.contains("return tests 1")) {
            break;
        }
        desk.keys("2");
    }
    desk.keys("\r");
    let screen = desk.screen();
    assert!(screen.contains("CARE LOG, newest first"), "{screen}");
    assert!(screen.contains("X: 0.01 mm off"), "{screen}");
    assert!(screen.contains("Y: -0.01 mm off"), "{screen}");
}

#[test]
fn a_return_test_that_was_passed_over_keeps_nothing_off() {
    let mut desk = cutting(120, 40, 100);
    desk.keys("91");
    tool_and_z(&mut desk);
    take_recipe(&mut desk);
    to_step(&mut desk, Step::Cut);
    assert!(desk.page_text().contains("if you like"));
    desk.answer_lines();
    desk.keys("5");
    assert_eq!(
        desk.state().phase(),
        Some(Phase::Cutting),
        "{}",
        desk.screen()
    );
}

/// The demo's first cut with the recipe of [`cutting_by_hand`], its tool 20 mm out.
fn with_recipe() -> Desk {
    let mut desk = cutting_by_hand(120, 50);
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session is open");
    let in_hand = work.session.state().in_spindle.expect("a tool is in");
    let rack = work.session.state().rack[in_hand].clone();
    let edited = Event::ToolEdited {
        index: in_hand,
        tool: Box::new(rack.tool),
        stick_out: Some(Typed::mm(20.0)),
    };
    work.session = work.session.apply(edited, now).expect("it can be edited");
    desk
}

/// Notes a stop of this kind by its number.
fn stop(desk: &mut Desk, mishap: Mishap) -> String {
    let number = mishap as usize + 1;
    desk.keys(&format!("-{number}\r"));
    if desk.model.overlay == Some(Overlay::Acts(mishap)) {
        assert!(!desk.screen().contains("What did you see?"));
        desk.keys("x");
    }
    desk.keys("\r");
    assert_eq!(desk.model.overlay, Some(Overlay::Advice(mishap)));
    assert_eq!(desk.state().stops.last().map(|s| s.mishap), Some(mishap));
    desk.screen()
}

#[test]
fn every_kind_of_stop_note_says_what_to_do_and_leads_back_to_the_program() {
    for advice in ADVICE {
        let mut desk = with_recipe();
        let screen = stop(&mut desk, advice.mishap);
        assert!(screen.contains(&advice.title.to_uppercase()), "{screen}");
        for heading in ["CHECK, in this order", "CHANGE", "GO ON, if you choose to"] {
            assert!(screen.contains(heading), "{heading}: {screen}");
        }
        if matches!(advice.mishap, Mishap::Fire | Mishap::Injury) {
            assert!(!screen.contains("begin again"), "{screen}");
            desk.keys("6");
            assert_ne!(desk.state().step, Step::Program, "{}", advice.id);
            continue;
        }
        assert!(screen.contains("6 begin again before 1:4"), "{screen}");
        desk.keys("6");
        assert_eq!(desk.state().step, Step::Program, "{}", advice.id);
        let rows = page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
        let after = desk.state().stops.last().map_or(0, |s| s.after_cutting_s);
        // The clock stood at 100 s and the few that the keys took.
        assert!((100..120).contains(&after), "{after}");
        let expected = format!("1:{:02}", after - 60);
        assert!(
            matches!(chosen, Some(Row::Field { field: Field::BeginAgain, value, .. }) if *value == expected),
            "{}: {chosen:?}",
            advice.id
        );
        // A draft alone: nothing was looked for yet.
        let work = desk.model.work.as_ref().expect("a session is open");
        assert!(work.begin_again.is_empty(), "{}", advice.id);
        // Any other key goes back to where it was.
        let mut other = with_recipe();
        stop(&mut other, advice.mishap);
        other.key(Key::Enter);
        assert_eq!(other.model.overlay, None);
        assert_ne!(other.state().step, Step::Program);
    }
}

// By hand: 4000 rpm x 2 flutes / 60 = 133 Hz; 3400 rpm gives 113, 4600 gives 153: 15 % off each.
// What is cut is the program's F 320. 85 % is no step of ten: 80 % of F 320 is 256 mm/min, 256 / (3400 x 2) = 0.0376 mm a tooth;
// 115 % is more than was programmed, so that it stays 320: 320 / (4600 x 2) = 0.0348, where 320 / (4000 x 2) = 0.040 was.
#[test]
fn chatter_moves_the_teeth_or_halves_the_depth() {
    let mut desk = with_recipe();
    stop(&mut desk, Mishap::Chatter);
    let screen = stop_advice::changes(&desk.model, Mishap::Chatter).join("\n");
    for text in [
        "rpm 4000 to 3400, override 100 to 80 %, feed 320 to 256 mm/min: teeth at 113 Hz, not 133; chip load 0.040 to 0.0376 mm",
        "rpm 4000 to 4600, override stays 100 %, feed stays 320 mm/min: teeth at 153 Hz, not 133; chip load 0.040 to 0.0348 mm",
        "Or: Depth 0.4 to 0.2 mm",
        "Write down the speed that sang",
    ] {
        assert!(screen.contains(text), "{text}: {screen}");
    }
}

/// A screen without its line breaks.
fn joined(screen: &str) -> String {
    screen.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The demo's section for facing runs at F 320 at most, with two flutes: fz = F x override / (n z).
#[test]
fn the_chip_load_after_a_stop_is_that_of_the_feed_that_is_cut() {
    let mut desk = cutting(80, 24, 100);
    let operation = desk.state().current_operation().expect("one").clone();
    let recipe = operation.recipe.expect("a recipe");
    let share = recipe.override_percent.expect("an override fits") / 100.0;
    let chip = 320.0 * share / (recipe.n_rpm * 2.0);
    let shown = show::chip_load(quantity::mm(chip), Units::Metric);
    let screen = joined(&stop(&mut desk, Mishap::ChipsPacked));
    assert!(
        screen.contains(&format!("Feed and chip load stay: {shown}")),
        "{shown}: {screen}"
    );
}

// By hand: half of 0.4 mm, 70 % of it, 60 % of it; 1 - (18 / 20)^3 = 0.271.
#[test]
fn depth_and_stick_out_come_in_numbers() {
    let screen = stop(&mut with_recipe(), Mishap::ChipsPacked);
    assert!(
        joined(&screen)
            .contains("Depth 0.4 to 0.2 mm; air at the cut. Feed and chip load stay: 0.040 mm"),
        "{screen}"
    );
    let screen = stop(&mut with_recipe(), Mishap::ToolBroke);
    assert!(screen.contains("Depth 0.4 to 0.24 mm"), "{screen}");
    assert!(
        screen.contains("Stick-out 20 to 18 mm, if the part lets it: bends 27 % less"),
        "{screen}"
    );
    let screen = stop(&mut with_recipe(), Mishap::AxisBound);
    assert!(screen.contains("Depth 0.4 to 0.28 mm"), "{screen}");
    // By hand: three quarters of 2000 and of 1000 mm/min.
    assert!(
        screen.contains("X Y 2000 to 1500, Z 1000 to 750"),
        "{screen}"
    );
}

// By hand: f^2 / (8 r) with r = 12.5 mm: 0.04^2 / 100 = 0.000016 mm = 0.0 um; with one tooth of
// two 0.08^2 / 100 = 0.000064 mm = 0.1 um: nobody sees that.
#[test]
fn a_poor_finish_says_whether_the_feed_can_be_the_reason() {
    let screen = stop(&mut with_recipe(), Mishap::PoorFinish);
    assert!(
        screen.contains("Feed marks on a wall 0.0 µm high by the sum"),
        "{screen}"
    );
    assert!(screen.contains("0.1 if one tooth cuts"), "{screen}");
    assert!(screen.contains("less feed will not mend it"), "{screen}");
}

/// Notes a stop of this kind in the demo's first cut, with the job changed first.
fn stop_with(mishap: Mishap, change: impl Fn(&mut State)) -> String {
    let mut desk = with_recipe();
    let work = desk.model.work.as_mut().expect("a session is open");
    let mut state = work.session.state().clone();
    change(&mut state);
    work.session = Session::new(state);
    stop(&mut desk, mishap);
    let mut lines = stop_advice::checks(&desk.model, mishap);
    lines.extend(stop_advice::changes(&desk.model, mishap));
    lines.join("\n")
}

fn operation(state: &mut State) -> &mut Operation {
    let (setup, place) = (state.setup, state.operation);
    &mut state.setups[setup].operations[place]
}

/// A single flute of 3 mm by a program's F 320 at an override of 100 %, in a spindle of 4000 rpm: 320 / 4000 = 0.08 mm, and the
/// marks are 0.08^2 / (8 x 1.5) = 0.00053 mm high. The recipe would stand 1000, which nobody cuts.
fn single_flute(state: &mut State) {
    let tool = state.in_spindle.expect("a tool is in");
    state.rack[tool].tool.flutes = 1;
    state.rack[tool].tool.diameter_mm = 3.0;
    let recipe = operation(state).recipe.as_mut().expect("a recipe");
    recipe.vf_mm_min = 1000.0;
    recipe.override_percent = Some(100.0);
    recipe.ae_mm = 1.5;
}

#[test]
fn numbers_of_a_stop_note_start_from_the_feed_that_is_cut() {
    let screen = stop_with(Mishap::PoorFinish, single_flute);
    assert!(
        screen.contains("Feed marks on a wall 0.5 µm high by the sum: less feed"),
        "{screen}"
    );
    assert!(!screen.contains("1000"), "{screen}");
    assert!(!screen.contains("one tooth cuts alone"), "{screen}");
    // A feed of 600 at 3000 rpm is 0.2 mm a tooth, 0.2^2 / 12 = 3.3 um; half of it is 50 %, a quarter as high: 0.1 mm.
    let screen = stop_with(Mishap::PoorFinish, |state| {
        single_flute(state);
        operation(state).recipe.as_mut().expect("one").n_rpm = 3000.0;
        operation(state).part.as_mut().expect("one").feeds_mm_min = vec![150.0, 600.0];
    });
    assert!(
        screen.contains("3.3 µm high by the sum: override 100 to 50 %, feed 600 to 300 mm/min leaves 25 % of that, chip load 0.20 to 0.10 mm"),
        "{screen}"
    );
}

/// Moved by hand: no override is turned. The axes follow 1000 mm/min and no more: at 15 % more speed, the feed stays there.
#[test]
fn no_stop_note_proposes_more_feed_than_the_axes_follow() {
    let screen = stop_with(Mishap::Chatter, |state| {
        state.machine.axes.x.top_feed_mm_min.value = 1000.0;
        state.machine.axes.y.top_feed_mm_min.value = 1200.0;
        operation(state).part = None;
        let recipe = operation(state).recipe.as_mut().expect("a recipe");
        (recipe.vf_mm_min, recipe.n_rpm) = (1000.0, 2911.0);
    });
    // By hand: 2911 x 1.15 = 3348, in tens 3350; 1000 / (2911 x 2) = 0.1718 and 1000 / (3350 x 2) = 0.1493.
    assert!(
        screen.contains("rpm 2911 to 3350, feed stays 1000 mm/min: teeth at 112 Hz, not 97; chip load 0.172 to 0.149 mm"),
        "{screen}"
    );
    assert!(!screen.contains("1150"), "{screen}");
}

/// The demo's first cut with this tool on this machine, read at this speed, moved by hand at 0.1 mm a tooth.
fn turning(desk: &Desk, machine: &Machine, tool: &Tool, n_rpm: f64) -> Model {
    let mut model = desk.model.clone();
    let work = model.work.as_mut().expect("a session is open");
    let mut state = work.session.state().clone();
    let place = state.planned_tool().expect("a tool is planned");
    state.machine = machine.clone();
    state.rack[place].tool = tool.clone();
    let operation = operation(&mut state);
    operation.part = None;
    operation.read_rpm = Some(n_rpm);
    let recipe = operation.recipe.as_mut().expect("a recipe");
    recipe.n_rpm = n_rpm;
    recipe.vf_mm_min = 0.1 * f64::from(tool.flutes) * n_rpm;
    work.session = Session::new(state);
    model
}

/// The speeds in advice such as `rpm 4000 to 3400, feed ...`.
fn proposed_rpm(lines: &[String]) -> Vec<f64> {
    let after = lines.iter().filter_map(|line| line.split("rpm ").nth(1));
    let to = after.filter_map(|text| text.split(" to ").nth(1));
    to.map(|text| {
        let number = text.split(|c: char| c != '.' && !c.is_ascii_digit()).next();
        number.and_then(|n| n.parse().ok()).expect("a number")
    })
    .collect()
}

/// Every stop, every tool with a rating and every machine, at speeds up to and beyond what the rating allows.
#[test]
fn no_advice_after_a_stop_turns_a_tool_faster_than_it_is_rated() {
    let desk = with_recipe();
    let library = Library::shipped();
    let (mut proposed, mut held_back) = (0, 0);
    for machine in library.machines.items() {
        let faster = Faster::of(machine);
        for tool in library.tools.items() {
            let Some(rating) = tool.speed_rating_rpm() else {
                continue;
            };
            for percent in [
                50, 75, 80, 84, 86, 87, 88, 89, 90, 92, 95, 98, 100, 115, 120,
            ] {
                let n_rpm = (faster.to_set(rating) * f64::from(percent) / 100.0).round();
                let model = turning(&desk, machine, tool, n_rpm);
                for mishap in ADVICE.iter().map(|advice| advice.mishap) {
                    let lines = stop_advice::changes(&model, mishap);
                    let all = proposed_rpm(&lines);
                    for rpm in &all {
                        proposed += 1;
                        let highest = faster.highest(*rpm);
                        assert!(
                            highest <= rating * (1.0 + 1e-9),
                            "{} {} {mishap:?} at {n_rpm}: {rpm} can become {highest} of {rating}",
                            machine.name,
                            tool.name,
                        );
                    }
                    let is_faster = all.iter().any(|rpm| *rpm > n_rpm);
                    if mishap == Mishap::Chatter && !is_faster {
                        held_back += 1;
                    }
                }
            }
        }
    }
    assert!(proposed > 100 && held_back > 50, "{proposed} {held_back}");
}

/// By hand: the light mill can turn 1.18 x 1.05 = 1.239 times as fast as its knob is set, in steps of 50. 15 % above 1070 is
/// 1230.5: 1250 is nearest and can become 1549, more than the flycutter's 1500; 1200 becomes 1487. Above 1150 it is too near to be
/// another speed.
#[test]
fn a_speed_after_chatter_is_rounded_down_where_the_rating_wants_it() {
    let desk = with_recipe();
    let library = Library::shipped();
    let machine = library.machines.get("light-belt-mill").expect("shipped");
    let tool = library.tools.get("flycutter-40").expect("shipped");
    let at = |n_rpm: f64| {
        let model = turning(&desk, machine, tool, n_rpm);
        proposed_rpm(&stop_advice::changes(&model, Mishap::Chatter))
    };
    assert_eq!(at(1070.0), [900.0, 1200.0]);
    assert_eq!(at(1100.0), [950.0, 1200.0]);
    assert_eq!(at(1150.0), [1000.0]);
    // Whoever does not know the rating is told no speed.
    let mut unknown = tool.clone();
    unknown.cutter_rating_rpm = None;
    let model = turning(&desk, machine, &unknown, 1070.0);
    let lines = stop_advice::changes(&model, Mishap::Chatter);
    assert!(proposed_rpm(&lines).is_empty(), "{lines:?}");
}

/// T.O. 1-1A-9, paras f and g(3): thin chips, rubbing and dwell light magnesium.
#[test]
fn magnesium_gets_no_thinner_chip_and_no_jet_of_air() {
    let magnesium = |state: &mut State| {
        single_flute(state);
        operation(state).part.as_mut().expect("one").feeds_mm_min = vec![600.0];
        state.material = shipped()
            .materials
            .iter()
            .find(|material| material.name.contains("magnesium"))
            .expect("a shipped magnesium")
            .clone();
    };
    let screen = stop_with(Mishap::PoorFinish, |state| {
        magnesium(state);
        operation(state).recipe.as_mut().expect("one").n_rpm = 3000.0;
    });
    assert!(
        screen.contains("not less feed, thin chips of this metal light: depth 0.4 to 0.2 mm"),
        "{screen}"
    );
    assert!(!screen.contains("600 to"), "{screen}");
    let screen = stop_with(Mishap::ChipsPacked, magnesium);
    assert!(screen.contains("no air jet"), "{screen}");
    assert!(!screen.contains("air at the cut"), "{screen}");
    // 85 % and 115 % of the speed: 80 % and 100 % of the feed would make either chip thinner.
    let screen = stop_with(Mishap::Chatter, magnesium);
    assert!(screen.contains("\nDepth 0.4 to 0.2 mm"), "{screen}");
    assert!(!screen.contains("rpm 4000 to"), "{screen}");
}

#[test]
fn a_part_that_moved_is_asked_by_what_held_it() {
    let mut seen = std::collections::BTreeSet::new();
    for by in HeldBy::ALL {
        let screen = stop_with(Mishap::PartMoved, |state| {
            let setup = state.setup;
            if let Some(holding) = &mut state.setups[setup].holding {
                holding.by = by;
            }
        });
        let (look, better) = by.when_it_moved();
        assert!(
            screen.contains(look) && screen.contains(better),
            "{by:?}: {screen}"
        );
        assert_eq!(look.contains("clamp"), by == HeldBy::Clamps, "{look}");
        assert!(screen.contains("Depth 0.4 to 0.24 mm"), "{screen}");
        assert!(seen.insert((look, better)), "{by:?}");
    }
}

#[test]
fn before_the_last_profile_a_return_test_is_offered_with_the_same_tool_too() {
    let mut state = plate().state().clone();
    let operations = &mut state.setups[0].operations;
    operations[0].progress = Progress::Finished;
    operations[1].kind = OperationKind::Profile;
    operations[1].tool = operations[0].tool;
    state.operation = 1;
    // No zero: there is nothing to return to.
    assert_eq!(care::return_test_offered(&state), None);
    let zero = FactKey::of(FactKind::XyZero, 0, 1, state.planned_tool());
    let good = FactState::Good {
        since: second(1).wall,
        by: SaidBy::Measured,
        value: None,
    };
    state.facts = Kept::of([(zero, good)].into());
    assert_eq!(
        care::return_test_offered(&state),
        Some("before the last profile")
    );
    let profile = state.setups[0].operations[1].clone();
    // Another profile comes after it, and the tool stays: nothing to offer yet.
    state.setups[0].operations.push(profile);
    assert_eq!(care::return_test_offered(&state), None);
    state.setups[0].operations.pop();
    state.return_tests.push(ReturnTest {
        at: second(2).wall,
        touches_mm: [vec![0.0; 3], vec![0.0; 3], vec![]],
        kept_zero: true,
    });
    assert_eq!(care::return_test_offered(&state), None);
}

// By hand: the board lies 12 mm below Z0 and the shim is 0.1 mm thick: -12 + 0.1 = -11.9.
#[test]
fn the_z_touch_is_a_sum_with_its_sign() {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Z);
    let text = desk.page_text();
    assert!(
        text.contains("set Z there to -12 + 0.1 = -11.9 mm"),
        "{text}"
    );
}

// Common practice, no source: tape, glue and a vacuum's seal give way in heat; a vice does not.
#[test]
fn heat_makes_a_bond_doubtful_and_leaves_a_vice_alone() {
    for (by, word) in [(HeldBy::Vice, "good"), (HeldBy::Tape, "redo")] {
        let mut state = plate().state().clone();
        state.setups[0].holding = Some(Holding {
            by,
            pull_n: None,
            rest_after_s: None,
            out_of_true: None,
            keep_outs: vec![],
            screws: vec![],
        });
        let held = FactKey::of(FactKind::Held, 0, 0, state.planned_tool());
        let good = FactState::Good {
            since: second(1).wall,
            by: SaidBy::Confirmed,
            value: None,
        };
        state.facts = Kept::of([(held, good)].into());
        let hot = Event::StopNoted {
            mishap: Mishap::Hot,
            words: String::new(),
        };
        let after = support::session::must(&Session::new(state), hot, second(2));
        assert_eq!(after.state().fact(FactKind::Held).word(), word, "{by:?}");
    }
}

// Ten minutes, common practice, no source: so long a pause lets tape and glue creep.
#[test]
fn a_long_pause_makes_a_bond_doubtful_and_leaves_a_vice_alone() {
    for (by, word) in [(HeldBy::Vice, "good"), (HeldBy::Tape, "redo")] {
        let holding = Holding {
            by,
            pull_n: None,
            rest_after_s: None,
            out_of_true: None,
            keep_outs: vec![],
            screws: vec![],
        };
        let held = Event::HoldingStated(Box::new(holding));
        let session = support::session::must(&plate(), held, second(5));
        let session = support::session::ready(&session, second(10));
        let at_ten = support::session::must(&session, Event::Looked, second(610));
        assert!(at_ten.state().fact(FactKind::Held).is_good(), "{by:?}");
        let later = support::session::must(&session, Event::Looked, second(611));
        assert_eq!(later.state().fact(FactKind::Held).word(), word, "{by:?}");
    }
}
