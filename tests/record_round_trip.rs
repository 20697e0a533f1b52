//! What is written is read back, to the last digit; what is read is written back, to the letter.

mod record_state;

use std::fs;
use std::path::Path;
use std::time::Duration;

use chrono::DateTime;
use proptest::prelude::any;
use proptest::prelude::proptest;

use millside::job::caution::Cautions;
use millside::job::recipe::Recipe;
use millside::record::read;
use millside::record::write;
use millside::session::clock::Phase;
use millside::session::moment::Moment;
use millside::session::state::State;

use record_state::Dice;
use record_state::reading_at;

fn read(text: &str) -> State {
    match read::state(text, Cautions::default(), reading_at()) {
        Ok(state) => state,
        Err(error) => panic!("{error}\n{text}"),
    }
}

proptest! {
    #[test]
    fn a_state_written_and_read_is_the_same_state(seed in any::<u64>()) {
        let state = Dice::new(seed).state();
        let text = write::text(&state);
        assert_eq!(read(&text), state, "{text}");
    }

    #[test]
    fn a_record_read_and_written_is_the_same_text(seed in any::<u64>()) {
        let text = write::text(&Dice::new(seed).state());
        assert_eq!(write::text(&read(&text)), text);
    }

    #[test]
    fn hostile_text_never_makes_a_record_that_cannot_be_read(title in any::<String>(), words in any::<String>()) {
        let mut state = Dice::new(1).state();
        state.head.title.clone_from(&title);
        state.setups[0].plan.clone_from(&words);
        state.machine.title.clone_from(&words);
        let text = write::text(&state);
        assert!(!text.chars().any(|c| c != '\n' && millside::plain::is_hidden(c)), "{text:?}");
        let back = read(&text);
        assert_eq!(back.head.title, millside::plain::text(&title));
        assert_eq!(write::text(&back), text);
    }
}

#[test]
fn one_fact_stands_on_one_line() {
    let state = Dice::new(3).state();
    for (number, line) in write::text(&state).lines().enumerate() {
        let known = line.is_empty()
            || line.starts_with('[')
            || line.starts_with(']')
            || line.starts_with("  ")
            || line.contains(" = ");
        assert!(known, "line {}: {line}", number + 1);
    }
}

#[test]
fn a_clock_that_runs_is_saved_with_its_phase_and_what_it_had_counted() {
    let mut state = Dice::new(5).state();
    state.setups[0].operations = vec![millside::job::operation::Operation::default()];
    state.clocks.clear();
    let begun = state.last_seen;
    let mut clock = millside::session::clock::Clock::default();
    clock.turn(Phase::Cutting, begun);
    state.clocks.insert((0, 0), clock);
    state.last_seen = Moment {
        wall: begun.wall + chrono::TimeDelta::seconds(90),
        mono: begun.mono + Duration::from_secs(90),
    };
    let text = write::text(&state);
    assert!(
        text.contains("clock = { counts = \"cutting\", cutting = \"90 s\" }"),
        "{text}"
    );
    let back = read(&text);
    let clock = &back.clocks[&(0, 0)];
    assert_eq!(clock.phase(), Some(Phase::Cutting));
    assert_eq!(clock.read(reading_at()).cutting, Duration::from_secs(90));
    assert_eq!(back.last_seen.wall, state.last_seen.wall);
}

#[test]
fn numbers_are_written_as_a_person_would_and_times_to_the_millisecond() {
    let mut state = Dice::new(5).state();
    // What 18 mm becomes when it has been metres in between.
    state.machine.axes.x.travel_mm.value = 18.000_000_000_000_004;
    state.head.begun = DateTime::parse_from_rfc3339("2026-11-25T14:00:00.123987654+01:00").unwrap();
    let text = write::text(&state);
    assert!(text.contains("travel = { value = \"18 mm\""), "{text}");
    assert!(
        text.contains("begun = 2026-11-25T14:00:00.123+01:00\n"),
        "{text}"
    );
}

#[test]
fn a_recipe_that_is_no_number_is_left_out_and_the_record_stays_readable() {
    let mut state = Dice::new(7).state();
    state.setups[0].operations = vec![millside::job::operation::Operation {
        recipe: Some(Recipe {
            n_rpm: f64::NAN,
            vf_mm_min: 300.0,
            fz_mm: 0.03,
            ap_mm: 0.5,
            ae_mm: 6.0,
            fixed: vec![],
            override_percent: None,
            belt: None,
            binds: None,
            exceeded: vec![],
        }),
        estimate_s: Some(f64::INFINITY),
        ..Default::default()
    }];
    state.clocks.clear();
    let back = read(&write::text(&state));
    assert_eq!(back.setups[0].operations[0].recipe, None);
    assert_eq!(back.setups[0].operations[0].estimate_s, None);
}

fn fixture(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fixtures/records")
        .join(name);
    fs::read_to_string(path).expect("the fixture is there")
}

/// This file stays for good: a later program must read it, whatever its own format is.
#[test]
fn a_record_of_format_1_is_read_and_written_back_to_the_letter() {
    let text = fixture("format_1.toml");
    let state = read(&text);
    assert_eq!(state.head.title, "Star-tracker base plate");
    assert_eq!(state.setups.len(), 2);
    let stock = state.setups[0].stock.as_ref().expect("stock was measured");
    assert_eq!(stock.x.text, "4-3/4 in");
    assert!((stock.x.value - 120.65).abs() < 1e-9, "4.75 * 25.4");
    assert_eq!(state.setups[0].operations[1].tool, Some(0));
    let clock = &state.clocks[&(0, 1)];
    assert_eq!(
        clock.read(reading_at()).cutting,
        Duration::from_millis(754_500)
    );
    assert_eq!(state.answers.len(), 2);
    assert_eq!(write::text(&state), text);
}
