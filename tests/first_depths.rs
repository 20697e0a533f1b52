//! Depths that nobody stated: what is proposed first, what is said before it is taken, and how high the run in the air goes for it.

mod support;

use millside::app::field::Field;
use millside::app::page;
use millside::app::recipe::Calculated;
use millside::app::row::Row;
use millside::job::holding::HeldBy;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::Progress;
use millside::job::typed::Typed;
use millside::session::air;
use millside::session::state::RackTool;
use millside::session::state::State;
use millside::session::state::Step;

use support::session::plate;
use support::session::ready;
use support::session::second;
use support::session::shipped;
use support::walk::decided;
use support::walk::demo;
use support::walk::to_step;

/// The recipe that is proposed for the first operation of the demo's setup, changed like this.
fn proposed(change: impl Fn(&mut State)) -> Calculated {
    let mut desk = demo(80, 24);
    let mut state = desk.state().clone();
    change(&mut state);
    desk.open(state);
    to_step(&mut desk, Step::Recipe);
    let work = desk.model.work.as_ref().expect("a session is open");
    let calculated = work.calculated.clone();
    calculated.unwrap_or_else(|| panic!("{:?}", work.no_recipe))
}

fn template(kind: OperationKind, tool: usize) -> Operation {
    Operation {
        title: "as in a template".to_owned(),
        kind,
        tool: Some(tool),
        ..Operation::default()
    }
}

fn rack(name: &str) -> RackTool {
    let tools = shipped().tools;
    RackTool {
        number: None,
        tool: tools
            .into_iter()
            .find(|tool| tool.name == name)
            .expect("it is shipped"),
        stick_out: None,
    }
}

// Plane geometry, by hand. A point of 90 degrees is 3.3 mm wide at 3.3 / 2 / tan 45 = 1.65 mm; of 120 degrees at 1.65 / tan 60 =
// 0.952 mm. With no drill behind it half of the spot drill: 3 mm of 6 mm at 90 degrees are 1.5 mm. A drill wider than the spot drill of
// 6 mm would leave the whole point, 3 mm, which this machine's Z does not push: it is less then.
#[test]
fn a_spot_goes_as_deep_as_its_cone_is_wide_and_no_deeper() {
    for (spot, drill, expected) in [
        ("spot-6-90", Some("drill-3.3"), 1.65),
        ("spot-8-120", Some("drill-3.3"), 0.95),
        ("spot-6-90", None, 1.5),
        ("spot-6-90", Some("drill-8"), 3.0),
    ] {
        let calculated = proposed(|state| {
            state.rack = [Some(spot), drill]
                .into_iter()
                .flatten()
                .map(rack)
                .collect();
            let operations = &mut state.setups[0].operations;
            operations.clear();
            operations.push(template(OperationKind::Spot, 0));
            if drill.is_some() {
                operations.push(template(OperationKind::DrillThrough, 1));
            }
        });
        assert!(
            (calculated.ap_mm - expected).abs() < 1e-9
                || drill == Some("drill-8") && (1.0..3.0).contains(&calculated.ap_mm),
            "{spot} {drill:?}: {}",
            calculated.ap_mm
        );
        assert!(
            calculated.limits.iter().all(|limit| !limit.is_exceeded),
            "{:?}",
            calculated.limits
        );
        assert!(
            calculated.assumed[0].starts_with("spot "),
            "{:?}",
            calculated.assumed
        );
        // Nobody fixed it: it follows.
        assert!(!calculated.fixed.contains(&Field::Depth));
    }
}

// Common practice, no source: a light pass of 0.3 mm over half of the tool at most; 25 / 2 = 12.5.
#[test]
fn a_face_is_proposed_as_a_light_pass() {
    let calculated = proposed(|state| {
        state.rack = vec![rack("face-25-2")];
        state.setups[0].operations = vec![template(OperationKind::Face, 0)];
    });
    assert!(
        (calculated.ap_mm - 0.3).abs() < 1e-9,
        "{}",
        calculated.ap_mm
    );
    // A first cut takes 50 to 60 % of what the machine stands (common practice, no source): here less than half of the tool.
    assert!(calculated.ae_mm <= 12.5, "{}", calculated.ae_mm);
    assert!(calculated.limits.iter().all(|limit| !limit.is_exceeded));
    let used = |name: &str| {
        let limit = calculated.limits.iter().find(|limit| limit.name == name);
        limit.expect("a limit").used
    };
    let push = used("axis push");
    assert!((0.5..=0.6 + 1e-9).contains(&push), "{push}");
    // A depth that is stated stays.
    let stated = proposed(|state| {
        state.rack = vec![rack("face-25-2")];
        let mut face = template(OperationKind::Face, 0);
        face.depth = Some(Typed::mm(0.5));
        state.setups[0].operations = vec![face];
    });
    assert!((stated.ap_mm - 0.5).abs() < 1e-9);
}

#[test]
fn what_the_tape_stands_is_said_before_the_recipe_is_taken() {
    let mut desk = decided(80, 24);
    let mut state = desk.state().clone();
    let holding = state.setups[0].holding.as_mut().expect("it is held");
    holding.by = HeldBy::Tape;
    holding.pull_n = None;
    state.setups[0].operations[0].recipe = None;
    desk.open(state);
    to_step(&mut desk, Step::Recipe);
    let rows = page::rows(&desk.model);
    let place = |wanted: &str| {
        rows.iter().position(|row| match row {
            Row::Text(text) | Row::Do { text, .. } => text.contains(wanted),
            _ => false,
        })
    };
    let said = place("what the tape stands is not stated").expect("it is said");
    let take = place("take this recipe").expect("it can be taken");
    assert!(said < take, "{}", desk.screen());
    assert!(
        desk.screen().contains("what the tape stands is not stated"),
        "{}",
        desk.screen()
    );
}

// By hand: a blank of 12 mm, zero on top: through is -12, with 1 mm to spare 13. A drill of 3.3 mm with 118 degrees has a point of
// 1.65 / tan 59 = 0.991 mm: 13.991. The demo's program goes to -13.2: 14.2.
#[test]
fn a_cut_of_unknown_depth_is_taken_as_through_the_blank() {
    let session = ready(&plate(), second(10));
    let mut state = session.state().clone();
    let blank = &state.setups[0].stock.as_ref().expect("a blank").thickness;
    assert!(
        blank
            .iter()
            .all(|corner| (corner.value - 12.0).abs() < 1e-9)
    );
    let raise = |state: &State, expected: f64| {
        let (least, _) = air::least_raise(state);
        assert!((least - expected).abs() < 1e-3, "{least}, not {expected}");
    };
    raise(&state, 13.991);
    let said = air::taken_through(&state).expect("it is said");
    assert!(
        said.contains("pocket and 1 more goes: taken as through the blank"),
        "{said}"
    );
    state.setups[0].operations[1].progress = Progress::LeftOut;
    raise(&state, 13.0);
    let said = air::taken_through(&state).expect("it is said");
    assert!(said.contains("how deep pocket goes"), "{said}");
    // The whole program counts, whatever of it is an operation.
    let mut program = support::session::program();
    program.lowest_z_mm = Some(-13.2);
    state.setups[0].program = Some(program);
    raise(&state, 14.2);
    state.setups[0].operations[0].progress = Progress::Finished;
    assert_eq!(air::taken_through(&state), None);
    raise(&state, 14.2);
    // Where the blank is not known the program says that it knows no number.
    state.setups[0].operations[0].progress = Progress::Planned;
    state.setups[0].stock = None;
    let said = air::taken_through(&state).expect("it is said");
    assert!(said.contains("raise Z by more than it can go"), "{said}");
}

/// A cycle down to Z-14 makes a hole of 14 mm, not one of twice the drill.
#[test]
fn a_hole_is_as_deep_as_the_program_makes_it() {
    for kind in [OperationKind::Drill, OperationKind::DrillThrough] {
        let calculated = proposed(|state| {
            state.rack = vec![rack("drill-5")];
            let mut part = state.setups[0]
                .operations
                .iter()
                .find_map(|operation| operation.part.clone())
                .expect("the demo has a program");
            part.lowest_z_mm = Some(-14.0);
            state.setups[0].operations = vec![Operation {
                part: Some(part),
                ..template(kind, 0)
            }];
        });
        assert!(
            (calculated.ap_mm - 14.0).abs() < 1e-9,
            "{}",
            calculated.ap_mm
        );
        assert!(
            calculated.assumed[0].starts_with("hole 14 mm deep"),
            "{:?}",
            calculated.assumed
        );
    }
}
