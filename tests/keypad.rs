//! The running part of a job with the keys of a numeric keypad alone, in the real program.

#[path = "support/terminal.rs"]
mod terminal;

use std::fs;
use std::path::Path;

use terminal::Terminal;
use terminal::answer;
use terminal::fill;
use terminal::go_to;
use terminal::record;
use terminal::step;

/// The program from its first screen on; every key that no keypad has is refused.
fn start(home: &Path) -> Terminal {
    let mut t = Terminal::start(home, &[], 80, 24);
    t.keypad_alone();
    t.see("the demo job");
    t
}

/// The demo job, just begun.
fn demo(home: &Path) -> Terminal {
    let mut t = start(home);
    step(&mut t, "\r", "THE DEMO JOB");
    step(&mut t, "\r", "OPERATIONS OF");
    t
}

/// A row of the list behind the help.
fn more(t: &mut Terminal, number: &str) {
    step(t, "0", "KEYS HERE");
    step(t, "\r", "MORE: its number");
    t.enter(number);
}

fn touch_off(t: &mut Terminal) {
    fill(t, "Z reads at the touch", "-11.9");
    t.see("x Z reads at the touch");
}

/// Stock, hold and zero of the demo.
fn set_up(t: &mut Terminal) {
    step(t, "6", "THE BLANK AS MEASURED");
    step(t, "\r", "x stock");
    step(t, "6", "BEFORE POWER");
    t.answer_lines();
    go_to(t, "take these");
    t.press("\r");
    answer(t);
    t.see("x hold");
    step(t, "6", "WHERE X0 Y0 Z0");
    go_to(t, "take these");
    t.press("\r");
    go_to(t, "X and Y are set");
    step(t, "\r", "x XY");
}

/// The gate answered and the clock on.
fn cut(t: &mut Terminal) {
    step(t, "6", "BEFORE THIS CUT");
    answer(t);
    step(t, "5", "CUTTING   cutting");
}

/// The clock goes on after it waited or paused.
fn go_on(t: &mut Terminal) {
    t.see("BEFORE THIS CUT");
    answer(t);
    step(t, "5", "CUTTING   cutting");
}

#[test]
#[should_panic(expected = "not on a keypad")]
fn a_key_that_no_keypad_has_cannot_be_sent() {
    let home = tempfile::tempdir().expect("a folder");
    start(home.path()).send("q");
}

#[test]
fn the_demo_goes_from_its_first_screen_to_a_left_program_by_keypad() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = demo(home.path());
    set_up(&mut t);
    let mut is_first = true;
    for operation in ["Face", "Pocket", "Spot", "Drill", "Screws", "Outside"] {
        if operation == "Screws" {
            t.see("clamps");
            t.press("9");
            step(&mut t, "1", "HOLDING");
            // By number, as the row lists them: screws.
            let place = number_of_screws(&mut t);
            fill(&mut t, "held by", &place);
            fill(&mut t, "screw head 1", "12*12*8.72*5");
            answer(&mut t);
            step(&mut t, "66", "TOOL FOR");
            continue;
        }
        if is_first {
            step(&mut t, "6", "TOOL FOR");
        }
        if operation == "Spot" {
            // The seat is gauged while the end mill that makes it is in.
            t.see("Gauge bearing seat before its tool");
            fill(&mut t, "bearing seat", "32.01");
            go_to(&mut t, "go on with");
            t.press("\r");
        }
        t.see(&format!("TOOL FOR {operation}"));
        answer(&mut t);
        go_to(&mut t, "goes in");
        t.press("\r");
        answer(&mut t);
        if operation == "Outside" {
            more(&mut t, "1");
            t.see("RETURN TEST");
            t.enter("0.01*0.01*0.01");
            t.enter("-.01*-.01*-.01");
            t.press("\r");
            t.see("found where they were");
            t.press("5");
        }
        step(&mut t, "6", "WHAT Z IS SET TO");
        if is_first {
            go_to(&mut t, "take these");
            t.press("\r");
        }
        touch_off(&mut t);
        step(&mut t, "6", "RECIPE FOR");
        go_to(&mut t, "take this recipe");
        step(&mut t, "\r", "recipe is taken");
        step(&mut t, "6", "FIRST RUN IN THE AIR");
        if is_first || operation == "Outside" {
            fill(&mut t, "Z raised by", "40");
            fill(&mut t, "put back: Z reads", "-11.9");
            t.see("has run in the air here");
        }
        cut(&mut t);
        if is_first {
            in_the_cut(&mut t);
        }
        step(&mut t, "9", "FINISHED?");
        t.press("1");
        is_first = false;
    }
    t.see("READINGS");
    step(&mut t, "6", "BEFORE THE PART IS LET GO");
    answer(&mut t);
    go_to(&mut t, "let the part go");
    step(&mut t, "\r", "LET THE PART GO?");
    step(&mut t, "1", "HOW IT WENT");
    fill(&mut t, "Face", "5");
    go_to(&mut t, "close this session");
    step(&mut t, "\r", "CLOSE THE SESSION?");
    step(&mut t, "1", "closed at");
    // Back to the jobs, where it stands as done, and out.
    more(&mut t, "5");
    t.see("BEFORE YOU LEAVE THE MILL");
    answer(&mut t);
    t.see("the mill was left with its list answered");
    more(&mut t, "1");
    assert_eq!(t.end(), 0);

    let text = fs::read_to_string(record(home.path())).expect("the record");
    for kept in [
        "chatter",
        "\"heard it\"",
        "\"sounds different\"",
        "complete = true",
    ] {
        assert!(text.contains(kept), "{kept} is not in the record:\n{text}");
    }
    assert_eq!(text.matches("progress = \"finished\"").count(), 6, "{text}");
}

/// While it cuts: a note, a look at the card, a wait, a pause, a stop note.
fn in_the_cut(t: &mut Terminal) {
    step(t, "/", "A NOTE");
    t.enter("1");
    t.see("noted");
    step(t, ".", "EMERGENCY STOP");
    t.press("0");
    t.see("CUTTING   cutting");
    step(t, "5", "WAITING   cutting");
    go_on(t);
    more(t, "2");
    t.see("PAUSED   cutting");
    go_on(t);
    step(t, "-", "WHAT HAPPENED?");
    t.enter("6");
    t.see("What did you see?");
    t.enter("1");
    t.see("GO ON, if you choose to");
    t.press("0");
    go_on(t);
}

/// Which number the choice of screws has: what a person reads when a wrong number is refused.
fn number_of_screws(t: &mut Terminal) -> String {
    use millside::job::holding::HeldBy;
    let place = HeldBy::ALL.iter().position(|by| by.word() == "screws");
    assert!(t.screen().contains("HOLDING"));
    (place.expect("screws can hold") + 1).to_string()
}

#[test]
fn what_is_asked_is_left_without_an_escape_key() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = demo(home.path());
    // A note, what happened, another tool: a zero leaves.
    for (key, heading) in [("/", "A NOTE"), ("-", "WHAT HAPPENED?")] {
        step(&mut t, key, heading);
        t.send("0\r");
        t.wait_for("the page", |screen| !screen.contains(heading));
    }
    // Enter without a number takes nothing, however often it comes.
    step(&mut t, "-", "WHAT HAPPENED?");
    for _ in 0..5 {
        t.press_again("\r");
    }
    t.see("its number first");
    t.see("WHAT HAPPENED?");
    t.press("0\r");
    // A number that no field takes is left with Enter once more.
    step(&mut t, "6", "THE BLANK AS MEASURED");
    go_to(&mut t, "stock X");
    t.press("\r");
    t.see("FILLING IN");
    t.press("0\r");
    t.see("again: leave it as it was");
    t.press_again("\r");
    t.wait_for("the field to close", |screen| {
        !screen.contains("FILLING IN")
    });
    // So is one that it would take: a slash behind it, then Enter, and nothing is refused or taken.
    let before = fs::read_to_string(record(home.path())).expect("the record");
    go_to(&mut t, "stock X");
    t.press("\r");
    t.see("/ Enter leave it as it was");
    t.press("5321");
    t.press("/");
    t.see("Enter leaves it as it was");
    t.press("\r");
    t.wait_for("the field to close", |screen| {
        !screen.contains("FILLING IN") && !screen.contains("5321")
    });
    let after = fs::read_to_string(record(home.path())).expect("the record");
    let stock = |text: &str| text.lines().any(|line| line.contains("5321"));
    assert!(!stock(&before) && !stock(&after), "{after}");
    // A number in a list is typed anew.
    step(&mut t, "-", "WHAT HAPPENED?");
    t.press("2");
    t.see("number 2 ");
    t.press("/0");
    t.see("number 0 ");
    t.press("\r");
    t.wait_for("the page", |screen| !screen.contains("WHAT HAPPENED?"));
    // The list of what has no key of its own, left and used.
    more(&mut t, "0");
    t.wait_for("the page", |screen| !screen.contains("MORE:"));
    more(&mut t, "6");
    assert_eq!(t.end(), 0);
}

#[test]
fn keys_that_are_leaned_on_do_nothing_harmful() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = demo(home.path());
    step(&mut t, "66", "BEFORE POWER   0 of 4");
    // Each key of the keypad as a hand holds it down: forty times without a gap.
    for key in ["0", "1", "3", "5", "7", "9", ".", "+", "-", "*", "/", "\r"] {
        t.send(&key.repeat(40));
        t.settle();
        assert!(t.is_full_screen(), "{key}: it ended");
        // Whatever opened is left as it may be left.
        for leave in ["0\r", "\r", "3"] {
            t.press_again(leave);
        }
    }
    let text = fs::read_to_string(record(home.path())).expect("the record");
    assert!(!text.contains("[[stops]]"), "{text}");
    let answers = text.matches(", shown = ").count();
    assert!(answers <= 2, "{answers} lines were answered:\n{text}");
}
