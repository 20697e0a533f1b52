//! The main job in the real program, from a program file to a closed record, at 80 x 24.

#[path = "support/terminal.rs"]
mod terminal;

use std::fs;

use terminal::Terminal;
use terminal::answer;
use terminal::fill;
use terminal::go_to;
use terminal::record;
use terminal::step;

const PROGRAM: &str = "\
%
(STAR PLATE, TOP SIDE)
G21 G90 G17 G54
(POCKET)
T1 M6
S9000 M3
G0 Z5
G0 X-20 Y-10
G1 Z-0.5 F120
G1 X20 F400
G1 Y10
G1 X-20
G1 Y-10
G0 Z5
M5
(DRILL TWO HOLES)
T2 M6
S4000 M3
G0 X-45 Y0 Z5
G83 X-45 Y0 Z-13 R2 Q3 F100
X45
G80
G0 Z25
M5
M30
%
";

/// Leaves a field that came up by itself.
fn leave_field(t: &mut Terminal) {
    if t.chosen().starts_with(" > =") {
        t.press("\x1b");
    }
}

/// The questions about machine and shop, as far as they are asked.
fn questions(t: &mut Terminal) {
    const ANSWERS: &[(&str, &str)] = &[
        ("air gun", "no"),
        ("chips", "short"),
        ("extraction", "none"),
        ("fluid", "air"),
        ("guard removed", "no"),
        ("heaviest piece", "1"),
        ("lighting", "steady"),
        ("mounting", "bench"),
        ("noise at your ear", "80"),
        ("shared space", "no"),
        ("speed range change", "no"),
        ("work shape", "block"),
    ];
    for _ in 0..20 {
        let row = t.chosen();
        let Some((label, text)) = ANSWERS.iter().find(|(label, _)| row.contains(label)) else {
            return;
        };
        fill(t, label, text);
    }
}

/// Chooses the planned tool out of the list.
fn plan(t: &mut Terminal, text: &str) {
    go_to(t, "planned tool");
    t.press("\r");
    t.see("WHICH TOOL IS PLANNED?");
    t.enter(text);
    t.see("TOOL FOR");
    // The next Enter is not this one held down.
    t.look();
}

fn touch_off(t: &mut Terminal) {
    fill(t, "Z reads at the touch", "-11.9");
    t.see("x Z reads at the touch");
}

#[test]
fn a_job_from_a_program_file_goes_all_the_way_to_a_closed_record() {
    let home = tempfile::tempdir().expect("a folder");
    fs::write(home.path().join("plate.nc"), PROGRAM).expect("the program is written");
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("No job yet");

    // A job from the program.
    t.press("2");
    step(&mut t, "\r", "A JOB FROM A PROGRAM");
    fill(&mut t, "program file", "plate.nc");
    t.see("section 2");
    fill(&mut t, "job", "Star plate A");
    fill(&mut t, "machine", "light");
    fill(&mut t, "material", "6082");
    go_to(&mut t, "begin this job");
    step(&mut t, "\r", "OPERATIONS OF");
    t.see("POCKET");
    t.see("DRILL TWO HOLES");

    // Stock.
    step(&mut t, "6", "THE BLANK AS MEASURED");
    fill(&mut t, "stock X", "120");
    fill(&mut t, "stock Y", "90mm");
    fill(&mut t, "thickness left front", "12.1");
    fill(&mut t, "thickness right front", "12");
    fill(&mut t, "outside is", "milled");
    fill(&mut t, "under it lies", "spoil board");
    fill(&mut t, "spoil board thickness", "18");
    t.see("Greatest thickness 12.1 mm");

    // Hold, with its lists.
    step(&mut t, "6", "MACHINE AND SHOP");
    questions(&mut t);
    answer(&mut t);
    fill(&mut t, "held by", "1");
    answer(&mut t);
    t.see("x hold");

    // XY.
    step(&mut t, "6", "WHERE X0 Y0 Z0");
    fill(&mut t, "zero point", "5+");
    fill(&mut t, "found by", "1");
    fill(&mut t, "diameter at its tip", "6");
    fill(&mut t, "work offset", "G54");
    t.see("-60 - 3 = set X to -63");
    go_to(&mut t, "X and Y are set");
    t.press("\r");
    t.see("x XY");

    // Tool.
    step(&mut t, "6", "TOOL FOR POCKET");
    plan(&mut t, "End mill 6 mm, single flute, carbide");
    answer(&mut t);
    go_to(&mut t, "goes in");
    t.press("\r");
    answer(&mut t);
    t.see("x tool");

    // Z.
    step(&mut t, "6", "WHAT Z IS SET TO");
    fill(&mut t, "Z is set to", "spoil board");
    fill(&mut t, "its height above Z0", "-12");
    fill(&mut t, "paper or shim", "0.1");
    leave_field(&mut t);
    fill(&mut t, "Z reads at the touch", "3");
    t.see("at the touch Z must read -11.9 mm");
    touch_off(&mut t);

    // Recipe: one value fixed, the rest follows.
    step(&mut t, "6", "RECIPE FOR POCKET");
    fill(&mut t, "depth", "0.4");
    t.see("0.40 mm = 0.0157 in   fixed");
    go_to(&mut t, "take this recipe");
    t.press("\r");
    t.see("this recipe is taken");

    // Air run, put back with the value read.
    step(&mut t, "6", "FIRST RUN IN THE AIR");
    fill(&mut t, "Z raised by", "40");
    t.see("! Z");
    leave_field(&mut t);
    fill(&mut t, "put back: Z reads", "-11.9");
    t.see("has run in the air here");

    // The gate, the clock.
    step(&mut t, "6", "BEFORE THIS CUT");
    t.press("5");
    t.see("open, first:");
    answer(&mut t);
    t.press("5");
    t.see("CUTTING   cutting");

    // A note, then another tool in the middle.
    t.press("/");
    t.see("A NOTE");
    t.enter("sounds dry");
    t.press("+");
    t.see("WHICH TOOL GOES IN?");
    // Of the diameter that the program is for, with more flutes.
    t.enter("6 mm end mill, 2 flutes, carbide");
    t.see("WHY ANOTHER TOOL?");
    t.enter("broke at the corner");
    t.see("BEFORE AND AFTER");
    t.see("SET ");
    t.press_again("\r");
    t.see("TOOL FOR POCKET");
    answer(&mut t);
    step(&mut t, "6", "WHAT Z IS SET TO");
    touch_off(&mut t);
    step(&mut t, "666", "BEFORE THIS CUT");
    answer(&mut t);
    t.press("5");
    t.see("CUTTING   cutting");

    // An axis binds: zero doubtful, return test, zero and Z anew.
    t.press("-");
    t.see("WHAT HAPPENED?");
    t.enter("1");
    t.see("AXIS BOUND");
    t.enter("Y stuck, motor hummed");
    t.see("NOW DOUBTFUL");
    t.press("x");
    t.see("REDO");
    t.press("5");
    t.see("open, first:");
    t.press("r");
    t.see("RETURN TEST");
    t.enter("0.01*0.01*0.01");
    t.enter("0.16*0.158*0.162");
    t.press("\r");
    t.see("probably lost steps");
    t.press("x");
    step(&mut t, "44444", "X and Y are set");
    go_to(&mut t, "X and Y are set");
    t.press("\r");
    step(&mut t, "66", "WHAT Z IS SET TO");
    go_to(&mut t, "set again");
    t.press("\r");
    touch_off(&mut t);
    step(&mut t, "666", "BEFORE THIS CUT");
    answer(&mut t);
    t.press("5");
    t.see("CUTTING   cutting");
    t.press("9");
    t.see("FINISHED?");
    t.press("1");

    // The second operation, with its own tool.
    t.see("TOOL FOR DRILL TWO HOLES");
    plan(&mut t, "Drill 3.3 mm, high-speed steel");
    fill(&mut t, "stick-out", "25");
    answer(&mut t);
    go_to(&mut t, "goes in");
    t.press("\r");
    answer(&mut t);
    step(&mut t, "6", "WHAT Z IS SET TO");
    touch_off(&mut t);
    step(&mut t, "6", "RECIPE FOR DRILL");
    go_to(&mut t, "take this recipe");
    t.press("\r");
    step(&mut t, "66", "BEFORE THIS CUT");
    answer(&mut t);
    t.press("5");
    t.see("CUTTING   cutting");
    t.press("91");

    // Readings.
    t.see("READINGS");
    fill(&mut t, "another size", "pocket length");
    fill(&mut t, "size is", "inside");
    fill(&mut t, "nominal", "46");
    fill(&mut t, "upper deviation", "0.1");
    fill(&mut t, "lower deviation", "0");
    go_to(&mut t, "add this size");
    t.press("\r");
    fill(&mut t, "pocket length", "45.95");
    t.see("0.05 mm left");
    fill(&mut t, "pocket length", "46.04");
    t.see("within tolerance");

    // Let go, rate, close.
    step(&mut t, "6", "BEFORE THE PART IS LET GO");
    answer(&mut t);
    go_to(&mut t, "let the part go");
    t.press("\r");
    t.see("LET THE PART GO?");
    t.press("1");
    t.see("HOW IT WENT");
    fill(&mut t, "POCKET", "4 clean walls");
    leave_field(&mut t);
    fill(&mut t, "next time", "oil the Y ways first");
    go_to(&mut t, "close this session");
    t.press("\r");
    t.see("CLOSE THE SESSION?");
    t.press("1");
    t.see("closed at");
    // The mill is still powered: its list comes first, and its end is the way out.
    t.send("q");
    t.see("BEFORE YOU LEAVE THE MILL");
    t.settle();
    let answered = t.answer_lines();
    assert!((4..=7).contains(&answered), "{answered}");
    assert_eq!(t.end(), 0);

    // The record holds what was entered.
    let path = record(home.path());
    let text = fs::read_to_string(&path).expect("the record");
    for entered in [
        "\"Star plate A\"",
        "\"120 mm\"",
        "\"12.1 mm\"",
        "\"6 mm\"",
        "\"-12 mm\"",
        "\"broke at the corner\"",
        "\"Y stuck, motor hummed\"",
        "\"sounds dry\"",
        "\"46.04 mm\"",
        "\"clean walls\"",
        "\"oil the Y ways first\"",
        "axis-bound",
        "list = \"leaving\"",
        "what = \"power-off\"",
        "End mill 6 mm, single flute, carbide",
    ] {
        assert!(
            text.contains(entered),
            "{entered} is not in the record:\n{text}"
        );
    }

    // And it opens again where it stood.
    let name = path.to_string_lossy().into_owned();
    let mut t = Terminal::start(home.path(), &["open", &name], 80, 24);
    t.see("HOW IT WENT");
    t.see("4 clean walls");
    t.send("q");
    assert_eq!(t.end(), 0);
    let again = fs::read_to_string(&path).expect("the record");
    assert_eq!(again, text, "looking changes nothing");
}

#[test]
fn the_demo_job_is_done_with_at_most_forty_answers() {
    let home = tempfile::tempdir().expect("a folder");
    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("the demo job");
    t.press("\r");
    t.see("THE DEMO JOB");
    t.press("\r");
    t.see("OPERATIONS OF");
    step(&mut t, "6", "THE BLANK AS MEASURED");
    t.press("\r");
    t.see("x stock");
    step(&mut t, "6", "BEFORE POWER");
    t.answer_lines();
    go_to(&mut t, "take these");
    t.press("\r");
    answer(&mut t);
    t.see("x hold");
    step(&mut t, "6", "WHERE X0 Y0 Z0");
    go_to(&mut t, "take these");
    t.press("\r");
    go_to(&mut t, "X and Y are set");
    t.press("\r");
    t.see("x XY");
    let mut first = true;
    for operation in ["Face", "Pocket", "Spot", "Drill", "Screws", "Outside"] {
        if operation == "Screws" {
            t.see("clamps");
            t.press("91");
            // The clamps are off, screws hold it: said anew, and looked at anew.
            t.see("HOLDING");
            fill(&mut t, "held by", "screws");
            fill(&mut t, "screw head 1", "12 12 M5");
            answer(&mut t);
            step(&mut t, "66", "TOOL FOR");
            continue;
        }
        if first {
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
            // The clamps changed, the part still: one look at the check point.
            t.press("r");
            t.see("RETURN TEST");
            t.enter("0.01*0.01*0.01");
            t.enter("0*0*0");
            t.press("\r");
            t.see("found where they were");
            t.press("x");
        }
        step(&mut t, "6", "WHAT Z IS SET TO");
        if first {
            go_to(&mut t, "take these");
            t.press("\r");
        }
        leave_field(&mut t);
        touch_off(&mut t);
        step(&mut t, "6", "RECIPE FOR");
        go_to(&mut t, "take this recipe");
        t.press("\r");
        t.see("recipe is taken");
        step(&mut t, "6", "FIRST RUN IN THE AIR");
        if first || operation == "Outside" {
            fill(&mut t, "Z raised by", "40");
            leave_field(&mut t);
            fill(&mut t, "put back: Z reads", "-11.9");
            t.see("has run in the air here");
            leave_field(&mut t);
        }
        step(&mut t, "6", "BEFORE THIS CUT");
        answer(&mut t);
        t.press("5");
        t.see("CUTTING   cutting");
        t.press("91");
        first = false;
    }
    t.see("READINGS");
    // The mill is still powered: the list before leaving is offered, and never holds anybody up.
    t.send("q");
    t.see("BEFORE YOU LEAVE THE MILL");
    t.send("q");
    assert_eq!(t.end(), 0);
    let text = fs::read_to_string(record(home.path())).expect("the record");
    let recorded = text.matches(", shown = ").count();
    assert!(text.contains("left at"), "how the mill was left:\n{text}");
    assert!(recorded <= 40, "{recorded} answers in the record:\n{text}");
    assert!(
        recorded >= 30,
        "{recorded} answers: what is not asked any more?\n{text}"
    );
}
