//! Every screen at three sizes, as text, to be read: what is cut off here is cut off at the mill.

mod support;

use millside::app::key::Key;
use millside::app::model::Look;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::answered;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::finish_all;
use support::walk::hold_and_zero;
use support::walk::to_field;
use support::walk::to_step;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (160, 50)];

fn at_each_size(name: &str, make: impl Fn(u16, u16) -> Desk) {
    for (columns, rows) in SIZES {
        let desk = make(columns, rows);
        let screen = desk.screen();
        let trimmed: Vec<&str> = screen.lines().map(str::trim_end).collect();
        // Rule v06 of reading: nothing of the demo is cut off at any of these sizes.
        assert!(!screen.contains('…'), "{name}:\n{screen}");
        insta::assert_snapshot!(format!("{name}_{columns}x{rows}"), trimmed.join("\n"));
    }
}

#[test]
fn jobs_when_there_are_none() {
    at_each_size("jobs_none", Desk::new);
}

#[test]
fn jobs_with_some() {
    at_each_size("jobs_some", |columns, rows| {
        let mut desk = Desk::new(columns, rows);
        desk.jobs = support::walk::jobs();
        let jobs = desk.jobs.clone();
        desk.send(millside::app::message::Message::JobsListed(Ok(jobs)));
        desk
    });
}

#[test]
fn before_the_mill_is_left() {
    at_each_size("leaving", |columns, rows| {
        let mut desk = answered(columns, rows);
        desk.keys("q1");
        desk
    });
}

#[test]
fn a_new_job_from_the_demo() {
    at_each_size("begin_demo", |columns, rows| {
        let mut desk = Desk::new(columns, rows);
        desk.keys("\r");
        desk
    });
}

#[test]
fn a_new_job_from_a_template() {
    at_each_size("begin_template", |columns, rows| {
        let mut desk = Desk::new(columns, rows);
        desk.keys("22\r");
        desk
    });
}

#[test]
fn the_path_from_above_and_from_the_side() {
    use millside::app::field::Field;
    use millside::session::state::Step;
    let look = |columns, rows| {
        let mut desk = demo(columns, rows);
        hold_and_zero(&mut desk);
        to_step(&mut desk, Step::Program);
        to_field(&mut desk, Field::BeginAgain);
        desk.keys("8\r");
        desk
    };
    at_each_size("path_above", look);
    at_each_size("path_side_of_a_section", |columns, rows| {
        let mut desk = look(columns, rows);
        desk.keys("*77");
        desk
    });
    at_each_size("path_of_a_tool", |columns, rows| {
        let mut desk = look(columns, rows);
        desk.keys("55");
        desk
    });
    at_each_size("path_at_a_finding", |columns, rows| {
        let mut desk = look(columns, rows);
        desk.keys("3");
        desk
    });
}

#[test]
fn each_step_as_the_demo_first_shows_it() {
    for step in Step::RAIL {
        at_each_size(
            &format!("step_{}", step.word().to_lowercase()),
            |columns, rows| {
                let mut desk = demo(columns, rows);
                to_step(&mut desk, step);
                desk
            },
        );
    }
}

#[test]
fn a_field_that_is_being_filled_in() {
    at_each_size("field_choice", |columns, rows| {
        let mut desk = demo(columns, rows);
        to_step(&mut desk, Step::Xy);
        desk.key(Key::Up);
        desk.key(Key::Up);
        desk.key(Key::Up);
        desk.key(Key::Up);
        desk.keys("\r");
        desk
    });
}

#[test]
fn the_gate_before_a_cut() {
    at_each_size("gate", |columns, rows| {
        let mut desk = decided(columns, rows);
        to_step(&mut desk, Step::Cut);
        desk
    });
}

#[test]
fn the_gate_when_all_is_answered() {
    at_each_size("gate_answered", answered);
}

#[test]
fn the_recipe_with_a_value_fixed() {
    at_each_size("recipe_fixed", |columns, rows| {
        let mut desk = decided(columns, rows);
        to_step(&mut desk, Step::Recipe);
        desk.key(Key::PageUp);
        desk.key(Key::PageUp);
        desk.keys("\r0.4\r");
        desk
    });
}

#[test]
fn running_within_the_estimate() {
    at_each_size("running", |columns, rows| cutting(columns, rows, 40));
}

#[test]
fn running_when_the_estimate_is_nearly_up() {
    at_each_size("running_nearly", |columns, rows| {
        cutting(columns, rows, 112)
    });
}

#[test]
fn running_over_the_estimate() {
    at_each_size("running_over", |columns, rows| cutting(columns, rows, 4000));
}

#[test]
fn running_with_letters_doubled_and_in_ascii() {
    at_each_size("running_doubled", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("3");
        desk
    });
    at_each_size("running_ascii", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.model.look.ascii = true;
        desk
    });
    at_each_size("running_ascii_doubled", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.model.look.ascii = true;
        desk.keys("3");
        desk
    });
    at_each_size("letters_at_setup", |columns, rows| {
        let mut desk = demo(columns, rows);
        to_step(&mut desk, Step::Hold);
        desk.key(Key::PageUp);
        desk.keys("\r");
        desk
    });
}

#[test]
fn what_happened() {
    at_each_size("happened", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("-");
        desk
    });
}

#[test]
fn advice_after_an_axis_bound_and_the_gate_after_it() {
    at_each_size("advice", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("-1\rY stuck at the left end\r");
        desk
    });
    at_each_size("gate_redo", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("-1\rY stuck at the left end\rx");
        desk
    });
}

#[test]
fn a_return_test() {
    at_each_size("return_test", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("-1\r\rxr0.24*0.238*0.242\r0.01*0.01*0\r\r");
        desk
    });
}

#[test]
fn another_tool_in_the_middle() {
    at_each_size("swap_which", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("+");
        desk
    });
    at_each_size("swap_filtered", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("+drill 4.2");
        desk
    });
    at_each_size("own_tool", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("+-\r1\r5.98\r3\r");
        desk
    });
    at_each_size("swap_compare", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        let other = desk.state().rack[1].tool.name.clone();
        desk.keys(&format!("+{other}\rworn\r"));
        desk
    });
}

#[test]
fn help_why_and_emergency() {
    at_each_size("help", |columns, rows| {
        let mut desk = demo(columns, rows);
        desk.keys("0");
        desk
    });
    at_each_size("why", |columns, rows| {
        let mut desk = demo(columns, rows);
        to_step(&mut desk, Step::Hold);
        desk.keys("7");
        desk
    });
    at_each_size("emergency", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys(".");
        desk
    });
}

#[test]
fn what_has_no_key_of_its_own_and_reasons_by_number() {
    at_each_size("more", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        desk.keys("\r4");
        desk
    });
    at_each_size("leave_out", |columns, rows| {
        let mut desk = demo(columns, rows);
        desk.keys("0\r3\r9\r");
        desk
    });
}

#[test]
fn time_that_nobody_saw() {
    at_each_size("gap", |columns, rows| {
        let mut desk = cutting(columns, rows, 40);
        let now = support::session::at(
            i64::try_from(desk.seconds).unwrap_or(0) + 1800,
            desk.seconds + 10,
        );
        desk.send(millside::app::message::Message::Ticked(now));
        desk
    });
}

#[test]
fn measuring_and_letting_go() {
    at_each_size("measure", |columns, rows| {
        let mut desk = finish_all(columns, rows);
        to_step(&mut desk, Step::Measure);
        desk.keys("\r31.92\r");
        desk
    });
    at_each_size("release", |columns, rows| {
        let mut desk = finish_all(columns, rows);
        to_step(&mut desk, Step::Release);
        desk
    });
    at_each_size("wrap_up", |columns, rows| {
        let mut desk = finish_all(columns, rows);
        to_step(&mut desk, Step::Release);
        desk.answer_lines();
        desk.keys("\r1");
        desk
    });
}

#[test]
fn without_colour_and_without_unicode_nothing_is_said_by_either_alone() {
    let look = Look {
        colour: false,
        ascii: true,
        theme: millside::app::model::Theme::Own,
    };
    let mut desk = Desk::with_look(80, 24, look);
    desk.keys("\r\r");
    to_step(&mut desk, Step::Hold);
    desk.keys("1");
    let screen = desk.screen();
    assert!(screen.is_ascii(), "{screen}");
    assert!(screen.contains("[x]") && screen.contains("[ ]"), "{screen}");
}

#[test]
fn no_size_of_window_makes_it_panic() {
    for (columns, rows) in [
        (1, 1),
        (20, 5),
        (79, 24),
        (80, 23),
        (81, 25),
        (119, 24),
        (300, 100),
    ] {
        let mut desk = cutting(80, 24, 40);
        desk.send(millside::app::message::Message::Resized(columns, rows));
        assert!(!desk.screen().is_empty() || columns == 1);
        desk.keys("-");
        assert!(!desk.screen().is_empty() || columns == 1);
    }
}
