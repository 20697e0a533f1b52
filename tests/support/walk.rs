//! Ways through the demo job by keys, each up to where a test wants to be.

// Each test file uses a part of it.
#![allow(dead_code)]

use millside::app::field::Field;
use millside::app::message::JobSummary;
use millside::app::model::Screen;
use millside::app::row::Row;
use millside::job::operation::OperationKind;
use millside::job::recipe::Recipe;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::state::Step;

use super::desk::Desk;

/// The demo job, just begun.
pub fn demo(columns: u16, rows: u16) -> Desk {
    let mut desk = Desk::new(columns, rows);
    desk.keys("\r\r");
    assert_eq!(desk.model.screen, Screen::Session, "{}", desk.screen());
    desk
}

/// Goes along the rail to a step.
pub fn to_step(desk: &mut Desk, step: Step) {
    for _ in 0..20 {
        if desk.state().step == step {
            return;
        }
        let now = Step::RAIL.iter().position(|s| *s == desk.state().step);
        let wanted = Step::RAIL.iter().position(|s| *s == step);
        desk.keys(if now < wanted { "6" } else { "4" });
    }
    panic!("never came to {}", step.word());
}

/// Stock, hold with its lists, XY.
pub fn hold_and_zero(desk: &mut Desk) {
    to_step(desk, Step::Stock);
    desk.keys("\r");
    assert!(
        desk.state().fact(FactKind::Stock).is_good(),
        "{}",
        desk.screen()
    );
    to_step(desk, Step::Hold);
    desk.answer_lines();
    desk.keys("\r");
    assert!(
        desk.state().current_setup().holding.is_some(),
        "{}",
        desk.screen()
    );
    desk.answer_lines();
    to_step(desk, Step::Xy);
    desk.keys("\r\r");
    assert!(
        desk.state().fact(FactKind::XyZero).is_good(),
        "{}",
        desk.screen()
    );
}

/// Tool and Z of the operation in work, when they are not good already.
pub fn tool_and_z(desk: &mut Desk) {
    if !desk.state().fact(FactKind::ToolIn).is_good() {
        to_step(desk, Step::Tool);
        desk.answer_lines();
        desk.keys("\r");
        desk.answer_lines();
        assert!(
            desk.state().fact(FactKind::ToolIn).is_good(),
            "{}",
            desk.screen()
        );
    }
    if !desk.state().fact(FactKind::ToolLength).is_good() {
        to_step(desk, Step::Z);
        if !desk.state().fact(FactKind::ZReference).is_good() {
            desk.keys("\r");
        }
        desk.keys("\r-11.9\r");
        assert!(
            desk.state().fact(FactKind::ToolLength).is_good(),
            "{}",
            desk.screen()
        );
    }
}

/// The recipe as proposed.
pub fn take_recipe(desk: &mut Desk) {
    to_step(desk, Step::Recipe);
    if desk
        .state()
        .current_operation()
        .is_some_and(|o| o.recipe.is_none())
    {
        desk.keys("\r");
        let operation = desk.state().current_operation().cloned();
        assert!(
            operation.is_some_and(|o| o.recipe.is_some()),
            "{}",
            desk.screen()
        );
    }
}

/// The demo up to a recipe, the air run made and put back.
pub fn decided(columns: u16, rows: u16) -> Desk {
    let mut desk = demo(columns, rows);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    take_recipe(&mut desk);
    to_step(&mut desk, Step::Air);
    desk.keys("\r40\r\r-11.9\r");
    assert!(
        desk.state().fact(FactKind::AirRun).is_good(),
        "{}",
        desk.screen()
    );
    assert!(
        desk.state().fact(FactKind::ZReference).is_good(),
        "{}",
        desk.screen()
    );
    desk
}

/// The gate with every line answered.
pub fn answered(columns: u16, rows: u16) -> Desk {
    let mut desk = decided(columns, rows);
    to_step(&mut desk, Step::Cut);
    desk.answer_lines();
    desk
}

/// The clock counts cutting, since so many seconds.
pub fn cutting(columns: u16, rows: u16, seconds: u64) -> Desk {
    let mut desk = answered(columns, rows);
    desk.keys("5");
    assert_eq!(
        desk.state().phase(),
        Some(Phase::Cutting),
        "{}",
        desk.screen()
    );
    desk.pass(seconds);
    desk
}

/// Every operation of the demo done, each through its gate.
pub fn finish_all(columns: u16, rows: u16) -> Desk {
    let mut desk = cutting(columns, rows, 100);
    for _ in 0..20 {
        desk.keys("91");
        let setup = desk.state().current_setup();
        let Some(next) = setup.next_operation() else {
            break;
        };
        let kind = setup.operations[next].kind;
        if kind == OperationKind::ClampSwap {
            to_step(&mut desk, Step::Cut);
            continue;
        }
        if desk.state().current_setup().holding.is_none() {
            // Screws hold it now, the clamps are off.
            hold_by(&mut desk, "screws");
        }
        if !desk.state().fact(FactKind::XyZero).is_good() {
            // After the clamps changed with the part still: one look at the check point.
            desk.keys("r0.01*0.01*0.01\r0*0*0\r\rx");
            assert!(
                desk.state().fact(FactKind::XyZero).is_good(),
                "{}",
                desk.screen()
            );
        }
        tool_and_z(&mut desk);
        take_recipe(&mut desk);
        if !desk.state().fact(FactKind::AirRun).is_good() {
            to_step(&mut desk, Step::Air);
            desk.keys("\r40\r\r-11.9\r");
        }
        to_step(&mut desk, Step::Cut);
        desk.answer_lines();
        desk.keys("5");
        assert_eq!(
            desk.state().phase(),
            Some(Phase::Cutting),
            "{}",
            desk.screen()
        );
        desk.pass(30);
    }
    assert!(
        desk.state().current_setup().next_operation().is_none(),
        "{}",
        desk.screen()
    );
    desk
}

/// A folder with three jobs.
pub fn jobs() -> Vec<JobSummary> {
    let job = |title: &str, stands_at: &str, is_done: bool| JobSummary {
        path: format!("{title}.toml").into(),
        title: title.to_owned(),
        stands_at: stands_at.to_owned(),
        last_seen: "07 Mar 2026 13:40".to_owned(),
        is_done,
        actual_s: 1510.0,
        estimate_s: Some(1410.0),
        fault: None,
    };
    vec![
        job(
            "Star-tracker base plate",
            "Top side, cut (2 of 6 done)",
            false,
        ),
        job("Lamp bracket", "first side, measure (3 of 3 done)", true),
        JobSummary {
            fault: Some("line 4: key depth: found \"6 m\"; write a length such as 6 mm".to_owned()),
            ..job("broken", "", false)
        },
    ]
}

/// Chooses the row of a field on the page that is shown.
pub fn to_field(desk: &mut Desk, wanted: Field) {
    for _ in 0..40 {
        desk.keys("8");
    }
    for _ in 0..40 {
        let rows = millside::app::page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
        if matches!(chosen, Some(Row::Field { field, .. }) if *field == wanted) {
            return;
        }
        desk.keys("2");
    }
    panic!("never came to {wanted:?}: {}", desk.screen());
}

/// Chooses the row that does something, by the beginning of its text.
pub fn to_row(desk: &mut Desk, begins: &str) {
    for _ in 0..40 {
        desk.keys("8");
    }
    for _ in 0..40 {
        let rows = millside::app::page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
        if matches!(chosen, Some(Row::Do { text, .. }) if text.starts_with(begins)) {
            return;
        }
        desk.keys("2");
    }
    panic!("never came to {begins}: {}", desk.screen());
}

/// Says at hold what holds the part now, and answers what is asked for it.
pub fn hold_by(desk: &mut Desk, what: &str) {
    to_step(desk, Step::Hold);
    to_field(desk, Field::HeldBy);
    desk.keys(&format!("\r{what}\r"));
    assert!(
        desk.state().current_setup().holding.is_some(),
        "{}",
        desk.screen()
    );
    if what == "screws" {
        // In the first of the four holes, near the left front corner.
        to_field(desk, Field::Screw(0));
        desk.keys("\r12 12 M5\r");
        to_step(desk, Step::Hold);
    }
    for _ in 0..40 {
        desk.answer_lines();
        let before = desk.model.cursor;
        desk.keys("2");
        if desk.model.cursor == before {
            break;
        }
    }
}

/// The demo's first cut, going for 100 s with a recipe that is easy to work with by hand: a face mill of two flutes,
/// 4000 rpm, 0.04 mm a tooth, 0.4 mm deep.
pub fn cutting_by_hand(columns: u16, rows: u16) -> Desk {
    let mut desk = cutting(columns, rows, 100);
    let recipe = Recipe {
        n_rpm: 4000.0,
        vf_mm_min: 320.0,
        fz_mm: 0.04,
        ap_mm: 0.4,
        ae_mm: 12.0,
        fixed: vec![],
        override_percent: None,
        belt: None,
        binds: None,
        exceeded: vec![],
    };
    let now = desk.now();
    let work = desk.model.work.as_mut().expect("a session is open");
    let decided = Event::RecipeDecided(Box::new(recipe));
    work.session = work.session.apply(decided, now).expect("it can be decided");
    desk
}
