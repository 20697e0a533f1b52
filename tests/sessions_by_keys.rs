//! Jobs by keys alone, without a terminal: what a key does, from the list of jobs to a closed session.

mod support;

use millside::app::field::Field;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::model::Screen;
use millside::app::page;
use millside::app::row;
use millside::app::row::Row;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::cutting;
use support::walk::demo;
use support::walk::finish_all;
use support::walk::hold_and_zero;
use support::walk::hold_by;
use support::walk::to_field;
use support::walk::to_step;
use support::walk::tool_and_z;

#[test]
fn the_demo_is_set_up_with_few_keys() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
}

#[test]
fn a_wrong_value_says_why_beside_the_field_and_keeps_what_was_typed() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    // Up to the first field, then something that is no length.
    for _ in 0..20 {
        desk.key(Key::Up);
    }
    desk.keys("\r12 furlongs\r");
    let screen = desk.screen();
    assert!(screen.contains("12 furlongs"), "{screen}");
    assert!(screen.contains("\"furlongs\" is not one of"), "{screen}");
    desk.keys("\x1b");
    assert!(!desk.screen().contains("furlongs"));
}

#[test]
fn what_was_typed_by_mistake_is_left_with_keys_of_a_keypad() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    to_field(&mut desk, Field::StockX);
    let (drafts, state) = (desk.model.drafts.clone(), desk.state().clone());
    for typed in ["6", "47", "", "1/4", "-11.9"] {
        desk.keys(&format!("\r{typed}/\r"));
        assert!(desk.model.editing.is_none(), "{typed}: {}", desk.screen());
        assert!(desk.model.notice.is_none(), "{typed}: {}", desk.screen());
        assert_eq!(desk.model.drafts, drafts, "{typed}");
        assert_eq!(desk.state().current_setup(), state.current_setup());
    }
    // In the middle it is a fraction: 3/8 in is 9.525 mm.
    desk.keys("\r3/");
    assert!(desk.screen().contains("Enter leaves it as it was"));
    desk.keys("8in");
    assert!(!desk.screen().contains("Enter leaves it as it was"));
    assert!(desk.screen().contains("9.525 mm") || desk.screen().contains("9.53 mm"));
    desk.keys("\x1b");
    // A zero point may end with a minus: the bottom of the blank.
    to_step(&mut desk, Step::Xy);
    to_field(&mut desk, Field::ZeroPoint);
    desk.keys("\r7-");
    assert!(!desk.screen().contains("Enter leaves it as it was"));
    desk.keys("/");
    assert!(desk.screen().contains("Enter leaves it as it was"));
}

#[test]
fn the_air_run_is_left_out_for_a_numbered_reason_or_in_words_and_not_for_a_digit() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Air);
    to_field(&mut desk, Field::NoAir);
    desk.keys("\r");
    assert!(
        desk.screen().contains("3 short: low override"),
        "{}",
        desk.screen()
    );
    for digits in ["9", "40", "0"] {
        desk.keys(&format!("{digits}\r"));
        assert!(desk.state().current_setup().air_left_out.is_none());
        assert!(
            desk.screen().contains("a number from 1 to 5, or words"),
            "{}",
            desk.screen()
        );
        // Enter leaves it, Enter opens it once more.
        desk.keys("\r\r");
    }
    desk.keys("3\r");
    let left_out = desk.state().current_setup().air_left_out.clone();
    assert_eq!(
        left_out.as_deref(),
        Some("short: low override, hand on feed hold")
    );
    to_field(&mut desk, Field::NoAir);
    desk.keys("\rcut by hand\r");
    let left_out = desk.state().current_setup().air_left_out.clone();
    assert_eq!(left_out.as_deref(), Some("cut by hand"));
}

#[test]
fn the_key_that_moves_never_answers() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    let before = desk.state().clone();
    for keys in ["8", "2", "8", "2", "2", "2", "8"] {
        for _ in 0..20 {
            desk.keys(keys);
        }
    }
    assert_eq!(desk.state().answers.len(), before.answers.len());
    assert_eq!(desk.state().facts, before.facts);
}

#[test]
fn fifty_presses_in_a_moment_change_one_line_at_most() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    desk.pass(2);
    let now = desk.now();
    for _ in 0..50 {
        desk.send(Message::Pressed(Key::Char('1'), now));
    }
    assert_eq!(desk.state().answers.len(), 1);
}

#[test]
fn not_so_asks_what_is_wrong_and_shows_it() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    desk.keys("3");
    assert!(
        desk.screen().contains("NOT SO: what is wrong?"),
        "{}",
        desk.screen()
    );
    desk.keys("\r");
    assert!(
        desk.screen().contains("write something"),
        "{}",
        desk.screen()
    );
    desk.keys("glasses are scratched\r");
    assert!(
        desk.screen().contains("Not so: glasses are scratched"),
        "{}",
        desk.screen()
    );
}

#[test]
fn the_last_answer_can_be_taken_back() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    let before = desk.state().answers.clone();
    desk.keys("1");
    assert_eq!(desk.state().answers.len(), before.len() + 1);
    desk.keys("u");
    assert_eq!(desk.state().answers, before);
    assert_eq!(desk.state().step, Step::Hold);
    let notice = desk.model.notice.clone().expect("it says what");
    assert!(
        notice.text.starts_with("taken back: the answer to \""),
        "{notice:?}"
    );
}

#[test]
fn what_was_proposed_waits_again_when_taking_it_is_taken_back() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    let proposed = desk.model.drafts.clone();
    let page = desk.page_text();
    desk.keys("\r");
    assert!(desk.state().current_setup().stock.is_some());
    desk.keys("u");
    assert!(desk.state().current_setup().stock.is_none());
    assert_eq!(desk.model.drafts, proposed);
    assert_eq!(desk.page_text(), page);
    let notice = desk.model.notice.clone().expect("it says what");
    assert_eq!(
        notice.text,
        "taken back: the blank as measured; its values wait in their rows, not taken"
    );
    // The same again from another step: the proposals are back where they belong.
    desk.keys("\r");
    to_step(&mut desk, Step::Hold);
    desk.keys("u");
    assert_eq!(desk.model.drafts, proposed);
}

#[test]
fn a_slip_in_what_was_taken_goes_back_to_what_was_taken_before() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    desk.keys("\r");
    let taken = desk.state().current_setup().stock.clone();
    to_field(&mut desk, Field::StockX);
    desk.keys("\r125\r");
    assert_ne!(desk.state().current_setup().stock, taken);
    desk.keys("u");
    assert_eq!(desk.state().current_setup().stock, taken);
    assert!(!desk.model.drafts.contains_key(&Field::StockX));
}

#[test]
fn backspace_outside_of_a_field_takes_nothing_back() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    desk.keys("1");
    let answers = desk.state().answers.clone();
    for _ in 0..3 {
        desk.key(Key::Backspace);
    }
    assert_eq!(desk.state().answers, answers);
}

#[test]
fn every_answer_is_saved() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    let before = desk.saved.len();
    desk.keys("1");
    assert_eq!(desk.saved.len(), before + 1);
    assert_eq!(desk.saved.last().map(|state| state.answers.len()), Some(1));
}

#[test]
fn a_job_from_a_program_file_makes_an_operation_of_each_section() {
    let mut desk = Desk::new(80, 24);
    let text = "G21 G90 G54\nT1 M6\n(POCKET)\nS9000 M3\nG0 X0 Y0 Z5\nG1 Z-0.5 F200\nX20 F600\nG0 Z5\n\
                T2 M6\n(DRILL TWO)\nS3000 M3\nG81 X5 Y5 Z-12 R2 F100\nX15\nG80\nM30\n";
    desk.files.push(("plate.nc".to_owned(), text.to_owned()));
    desk.keys("2\r\rplate.nc\r");
    assert!(desk.screen().contains("section 2"), "{}", desk.screen());
    for _ in 0..9 {
        desk.key(Key::Down);
    }
    desk.keys("\r");
    assert_eq!(desk.model.screen, Screen::Session, "{}", desk.screen());
    let titles: Vec<&str> = desk
        .state()
        .current_setup()
        .operations
        .iter()
        .map(|o| o.title.as_str())
        .collect();
    assert_eq!(titles, ["POCKET", "DRILL TWO"]);
    assert_eq!(desk.state().head.title, "plate");
}

#[test]
fn a_program_file_that_is_not_there_is_said_and_nothing_is_lost() {
    let mut desk = Desk::new(80, 24);
    desk.keys("2\r\rnowhere.nc\r");
    let screen = desk.screen();
    assert!(
        screen.contains("no such file") && screen.contains("nowhere.nc"),
        "{screen}"
    );
}

#[test]
fn each_template_gives_a_job_that_opens() {
    let count = support::desk::library().templates.len();
    for template in 0..count {
        let mut desk = Desk::new(80, 24);
        desk.keys("22\r");
        for _ in 0..template {
            desk.keys("\r");
        }
        // Title, then the last row begins.
        desk.keys("2\rstar plate\r");
        for _ in 0..6 {
            desk.key(Key::Down);
        }
        desk.keys("\r");
        assert_eq!(desk.model.screen, Screen::Session, "{}", desk.screen());
        assert!(!desk.state().current_setup().operations.is_empty());
    }
}

#[test]
fn a_program_that_is_posted_again_is_noticed_read_and_checked() {
    let mut desk = Desk::new(80, 24);
    let text = |depth: f64| {
        format!("G21 G90\nT1 M6\nS9000 M3\nG0 X0 Y0 Z5\nG1 Z-{depth} F200\nX20 F600\nM30\n")
    };
    desk.files.push(("plate.nc".to_owned(), text(0.5)));
    desk.keys("2\r\rplate.nc\r");
    for _ in 0..9 {
        desk.key(Key::Down);
    }
    desk.keys("\r");
    let before = desk
        .state()
        .current_setup()
        .program
        .clone()
        .expect("a program");
    desk.files[0].1 = text(0.7);
    desk.pass(3);
    let after = desk
        .state()
        .current_setup()
        .program
        .clone()
        .expect("a program");
    assert_ne!(before.sha256, after.sha256);
    assert!(
        desk.screen().contains("the program changed"),
        "{}",
        desk.screen()
    );
}

#[test]
fn the_emergency_card_is_one_key_away_and_begins_with_the_stop() {
    let mut desk = demo(80, 24);
    for step in Step::RAIL {
        to_step(&mut desk, step);
        desk.keys(".");
        let screen = desk.screen();
        for line in ["EMERGENCY STOP", "Stand back", "FIRE  ", "HURT  "] {
            assert!(screen.contains(line), "{}: {screen}", step.word());
        }
        desk.keys("x");
    }
}

#[test]
fn the_whole_demo_takes_at_most_forty_answers() {
    let desk = finish_all(80, 24);
    let answers = desk.state().answers.len();
    let lines: Vec<String> = desk
        .state()
        .answers
        .iter()
        .map(|a| format!("{} {} {}", a.operation + 1, a.list.word(), a.line))
        .collect();
    assert!(answers <= 40, "{answers} answers:\n{}", lines.join("\n"));
    assert!(
        answers >= 30,
        "{answers} answers: what is not asked any more?"
    );
}

#[test]
fn a_job_by_hand_that_is_given_a_program_gets_its_operations() {
    let mut desk = Desk::new(80, 24);
    let text = "G21 G90\n(FACE)\nT1 M6\nS3000 M3\nG0 X0 Y0 Z5\nG1 Z-0.3 F200\nX20 F600\nM30\n";
    desk.files.push(("face.nc".to_owned(), text.to_owned()));
    desk.keys("222\r\rlamp bracket\r");
    for _ in 0..6 {
        desk.key(Key::Down);
    }
    desk.keys("\r");
    assert!(
        desk.state().current_setup().operations.is_empty(),
        "{}",
        desk.screen()
    );
    desk.keys("8888\rface.nc\r");
    let operations = &desk.state().current_setup().operations;
    assert_eq!(operations.len(), 1, "{}", desk.screen());
    assert_eq!(operations[0].title, "FACE");
}

#[test]
fn another_program_takes_the_place_of_operations_that_have_not_begun() {
    let mut desk = Desk::new(80, 24);
    let one = "G21 G90\n(FACE)\nT1 M6\nS3000 M3\nG0 X0 Y0 Z5\nG1 Z-0.3 F200\nX20 F600\nM30\n";
    let two = one.replace("FACE", "SLOT").replace("M30", "Y40\nX0\nM30");
    desk.files.push(("one.nc".to_owned(), one.to_owned()));
    desk.files.push(("two.nc".to_owned(), two));
    desk.keys("2\r\rone.nc\r");
    for _ in 0..9 {
        desk.key(Key::Down);
    }
    desk.keys("\r");
    assert_eq!(desk.state().current_setup().operations[0].title, "FACE");
    desk.keys("8888\rtwo.nc\r");
    let titles: Vec<&str> = desk
        .state()
        .current_setup()
        .operations
        .iter()
        .map(|o| o.title.as_str())
        .collect();
    assert_eq!(titles, ["SLOT"], "{}", desk.screen());
}

#[test]
fn what_was_filled_in_and_not_taken_is_there_again_after_a_look_at_the_jobs() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    assert!(desk.screen().contains("clamps"), "{}", desk.screen());
    let session = desk.state().clone();
    desk.keys("\x1b");
    assert_eq!(desk.model.screen, Screen::Jobs);
    let at = desk.now();
    desk.send(Message::Opened {
        path: "plate.toml".to_owned(),
        session: Box::new(millside::session::Session::new(session)),
        read_only: None,
        away: None,
        at,
    });
    assert!(
        desk.screen().contains("held by                   clamps"),
        "{}",
        desk.screen()
    );
}

#[test]
fn a_recipe_beyond_a_danger_limit_is_taken_only_with_a_reason_and_stays_in_sight() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Recipe);
    desk.keys("8888888\r66\r");
    let calculated = desk
        .model
        .work
        .as_ref()
        .and_then(|work| work.calculated.as_ref());
    let calculated = calculated.expect("a recipe");
    // No percentage that could be read as a permission.
    assert_eq!(calculated.override_percent, None);
    let words = calculated
        .override_words
        .clone()
        .expect("the program is read");
    assert_eq!(
        words,
        "override: not worked out while a danger limit is passed"
    );
    for _ in 0..5 {
        desk.keys("2");
    }
    desk.keys("\r");
    assert!(
        desk.screen().contains("BEYOND A DANGER LIMIT"),
        "{}",
        desk.screen()
    );
    desk.keys("\r");
    assert!(
        desk.state()
            .current_operation()
            .is_some_and(|o| o.recipe.is_none())
    );
    desk.keys("only a test of the list\r");
    assert!(
        desk.state()
            .current_operation()
            .is_some_and(|o| o.recipe.is_some())
    );
    assert!(desk.screen().contains(" BEYOND "), "{}", desk.screen());
    assert!(
        desk.state()
            .notes
            .iter()
            .any(|note| note.text.contains("only a test of the list"))
    );
}

#[test]
fn a_rapid_into_metal_is_a_stop_in_the_setup_that_has_the_blank() {
    use millside::app::checking;
    use millside::program::finding::Level;
    use millside::program::options::ReadOptions;
    use millside::program::read;
    use support::session;

    let state = session::ready(&session::plate(), session::second(5))
        .state()
        .clone();
    let stops = |text: &str| -> Vec<String> {
        let options = ReadOptions {
            keep_steps: 1000,
            ..ReadOptions::default()
        };
        let summary = read::read(text.as_bytes(), &options).expect("memory can be read");
        let checked = checking::check(&state, summary, &[], None);
        let of = checked
            .findings
            .iter()
            .filter(|finding| finding.level == Level::Stop);
        of.map(|finding| finding.id.to_owned()).collect()
    };
    let good =
        "G21 G90 G54\nT1 M6\nS9000 M3\nG0 X-20 Y0 Z5\nG1 Z-1 F100\nX20 F400\nG0 Z5\nM5\nM30\n";
    assert_eq!(stops(good), Vec::<String>::new());
    let bad = good.replace("G1 Z-1 F100\nX20 F400", "G0 Z-6\nX20");
    let found = stops(&bad);
    assert!(found.iter().any(|id| id.contains("rapid")), "{found:?}");
}

#[test]
fn the_recipe_says_what_each_value_was_before_the_last_change() {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Recipe);
    assert!(!desk.screen().contains("was "), "{}", desk.screen());
    let rpm_line = |desk: &Desk| {
        let screen = desk.screen();
        let line = screen.lines().find(|line| line.contains(" rpm   "));
        line.unwrap_or_default().to_owned()
    };
    let before = rpm_line(&desk);
    let old: String = before
        .split_whitespace()
        .find(|word| word.parse::<u32>().is_ok())
        .unwrap_or_default()
        .to_owned();
    // Typed digit by digit: what is meant is the recipe before the first of them.
    desk.keys("8888888");
    desk.keys("22\r2222\r");
    let after = rpm_line(&desk);
    assert!(after.contains("2222 rpm"), "{after}");
    assert!(after.contains(&format!("was {old} rpm")), "{after}");
}

#[test]
fn a_passed_limit_offers_ways_that_keep_it_and_one_press_takes_one() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Recipe);
    desk.keys("8888888\r66\r");
    let screen = desk.screen();
    assert!(screen.contains("These keep every limit"), "{screen}");
    let work = desk.model.work.as_ref().expect("a session");
    let calculated = work.calculated.as_ref().expect("a recipe");
    assert!(calculated.limits.iter().any(|limit| limit.is_exceeded));
    assert!(
        calculated.ways[0].text.starts_with("depth"),
        "{:?}",
        calculated.ways
    );
    desk.keys("2222221");
    let work = desk.model.work.as_ref().expect("a session");
    let calculated = work.calculated.as_ref().expect("a recipe");
    assert!(calculated.limits.iter().all(|limit| !limit.is_exceeded));
    assert!(calculated.ways.is_empty());
    assert!(
        !desk.screen().contains("These keep every limit"),
        "{}",
        desk.screen()
    );
}

#[test]
fn what_was_heard_to_sing_is_kept_and_warned_of() {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Recipe);
    to_field(&mut desk, Field::Heard);
    // The face mill of the demo has two edges: 3000 rpm strike 100 times a second.
    desk.keys("\r100, 455 Hz\r");
    let heard: Vec<f64> = desk.state().heard.iter().map(|mode| mode.hz).collect();
    assert_eq!(heard, [100.0, 455.0]);
    to_field(&mut desk, Field::Rpm);
    desk.keys("\r3000\r");
    let why = {
        let work = desk.model.work.as_ref().expect("a session");
        let calculated = work.calculated.as_ref().expect("a recipe");
        calculated.cautions.join(" ")
    };
    assert!(why.contains("near 100 Hz, where it sang"), "{why}");
    // At 2400 rpm, read in the cut, they strike 80, 160 and 240 times a second: none of it is near.
    to_field(&mut desk, Field::ReadRpm);
    desk.keys("\r2400\r");
    let why = {
        let work = desk.model.work.as_ref().expect("a session");
        let calculated = work.calculated.as_ref().expect("a recipe");
        calculated.cautions.join(" ")
    };
    assert!(!why.contains("where it sang"), "{why}");
    to_field(&mut desk, Field::Heard);
    desk.keys("\rnone\r");
    assert!(desk.state().heard.is_empty());
}

#[test]
fn a_bond_is_asked_what_it_stood() {
    let mut desk = demo(120, 40);
    to_step(&mut desk, Step::Hold);
    hold_by(&mut desk, "tape");
    assert!(
        desk.screen().contains("stood a pull upward of"),
        "{}",
        desk.screen()
    );
}

/// The chip load is to stay that of the recipe: at half the speed half the override, rounded down to a step.
#[test]
fn a_speed_read_in_the_cut_scales_the_override_until_the_recipe_changes() {
    let mut desk = demo(120, 40);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Recipe);
    let planned = |desk: &Desk| {
        let work = desk.model.work.as_ref().expect("a session");
        let calculated = work.calculated.as_ref().expect("a recipe");
        (calculated.n_rpm, calculated.override_percent)
    };
    let (n, before) = planned(&desk);
    assert_eq!(before, Some(100.0));
    // The recipe would stand 343 %, so a sixth of the speed leaves less than the programmed feeds.
    to_field(&mut desk, Field::ReadRpm);
    desk.keys(&format!("\r{:.0}\r", n / 6.0));
    let (_, slowed) = planned(&desk);
    let slowed = slowed.expect("a step fits");
    assert!(slowed < 100.0, "{slowed}");
    assert!(
        desk.state()
            .current_operation()
            .is_some_and(|o| o.read_rpm.is_some())
    );
}

#[test]
fn a_window_too_small_shows_state_and_time_and_the_clock_goes_on() {
    let mut desk = cutting(80, 24, 40);
    let before = desk.state().clone();
    desk.send(Message::Resized(40, 12));
    let screen = desk.screen();
    assert!(screen.contains("40 x 12: too small"), "{screen}");
    assert!(screen.contains("cutting  0:40"), "{screen}");
    desk.pass(25);
    assert!(desk.screen().contains("cutting  1:05"), "{}", desk.screen());
    // A key still turns the clock, and the small view says so.
    desk.keys("5");
    assert!(desk.screen().contains("waiting  1:06"), "{}", desk.screen());
    desk.pass(4);
    desk.send(Message::Resized(80, 24));
    let screen = desk.screen();
    assert!(
        screen.contains("WAITING   cutting 1:06   all 1:10"),
        "{screen}"
    );
    assert_eq!(desk.state().answers.len(), before.answers.len());
    assert_eq!(desk.state().setups[0].zero, before.setups[0].zero);
}

#[test]
fn resizing_while_the_clock_cuts_changes_nothing_but_the_view() {
    let mut desk = cutting(80, 24, 40);
    let before = desk.state().clone();
    for (columns, rows) in [(40, 12), (1, 1), (200, 60), (80, 24)] {
        desk.send(Message::Resized(columns, rows));
        assert!(!desk.screen().contains("clock off"));
    }
    assert_eq!(*desk.state(), before);
    assert!(desk.screen().contains("cutting 0:40"), "{}", desk.screen());
}

#[test]
fn a_field_that_was_opened_and_not_touched_withdraws_nothing() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    for (step, field) in [
        (Step::Stock, Field::StockX),
        (Step::Hold, Field::HeldBy),
        (Step::Xy, Field::ZeroPoint),
        (Step::Tool, Field::Tool),
        (Step::Z, Field::Height),
        (Step::Z, Field::Touch),
    ] {
        to_step(&mut desk, step);
        to_field(&mut desk, field);
        let before = desk.state().facts.clone();
        desk.keys("\r\r");
        assert_eq!(desk.model.editing, None, "{field:?}: {}", desk.screen());
        assert_eq!(desk.state().facts, before, "{field:?}");
    }
}

/// Nothing may happen to a row that is not on show.
#[test]
fn while_the_record_lies_over_the_rows_no_key_acts_on_one() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    let before = desk.state().clone();
    let cursor = desk.model.cursor;
    desk.keys("*");
    assert!(
        desk.screen().contains("the list again"),
        "{}",
        desk.screen()
    );
    desk.keys("2216");
    desk.keys("9/+");
    assert_eq!(desk.model.cursor, cursor);
    assert!(desk.model.editing.is_none() && desk.model.overlay.is_none());
    assert_eq!(desk.state().step, before.step);
    assert_eq!(desk.state().answers, before.answers);
    desk.keys("\r");
    assert!(desk.screen().contains("THE BLANK"), "{}", desk.screen());
    // Beside the rows it hides none.
    let mut wide = demo(160, 50);
    to_step(&mut wide, Step::Stock);
    wide.keys("*8");
    assert_ne!(wide.model.cursor, cursor);
}

/// A keypad has no G: the number of a work offset is enough.
#[test]
fn a_work_offset_is_taken_by_its_number() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    to_field(&mut desk, Field::Offset);
    desk.keys("\r2\r");
    let zero = desk.state().current_setup().zero.clone();
    assert_eq!(zero.expect("it stays").offset, "G55");
}

/// The row that the cursor rests on, if it rests on a field.
fn chosen_field(desk: &Desk) -> Option<Field> {
    let rows = page::rows(&desk.model);
    match row::chosen(&rows, desk.model.cursor) {
        Some(Row::Field { field, .. }) => Some(*field),
        _ => None,
    }
}

#[test]
fn enter_on_a_page_on_which_nothing_waits_opens_nothing_that_was_taken() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    tool_and_z(&mut desk);
    to_step(&mut desk, Step::Stock);
    let taken = desk.state().current_setup().stock.clone();
    assert_eq!(desk.model.cursor, row::NOWHERE, "{}", desk.screen());
    assert!(!desk.screen().contains(" > "), "{}", desk.screen());
    desk.keys("\r");
    assert!(desk.model.editing.is_none());
    assert!(
        desk.screen().contains("nothing waits on this page"),
        "{}",
        desk.screen()
    );
    // 1 and 3 find no row either; 2 chooses the first.
    desk.keys("13");
    assert_eq!(desk.state().current_setup().stock, taken);
    desk.keys("2");
    assert_eq!(chosen_field(&desk), Some(Field::StockX));
    // At Z the reading is what is taken again and again.
    to_step(&mut desk, Step::Z);
    assert_eq!(chosen_field(&desk), Some(Field::Touch));
    // At measure the first size that was not measured.
    to_step(&mut desk, Step::Measure);
    assert_eq!(chosen_field(&desk), Some(Field::Reading(0)));
    let nominal = desk.state().current_setup().readings[0].nominal.value;
    desk.keys(&format!("\r{}\r", nominal + 5.0));
    to_step(&mut desk, Step::Cut);
    to_step(&mut desk, Step::Measure);
    assert_eq!(chosen_field(&desk), Some(Field::Reading(1)));
}

#[test]
fn how_many_rows_follow_covers_none_of_them() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Hold);
    for _ in 0..40 {
        let screen = desk.screen();
        if let Some(line) = screen.lines().find(|line| line.contains(" more below")) {
            let (before, _) = line.split_once(" more below").expect("it is in it");
            let before = before.trim_end_matches(|c: char| c.is_ascii_digit());
            // In a window in which all rows stand the row says nothing else.
            desk.send(Message::Resized(80, 200));
            let all = desk.screen();
            desk.send(Message::Resized(80, 24));
            assert!(
                all.lines()
                    .any(|whole| whole.trim_end() == before.trim_end()),
                "{line}"
            );
        }
        desk.keys("2");
    }
}
