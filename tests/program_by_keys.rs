//! The program step by keys: findings, the path, beginning again, a program posted anew, check points.

mod support;

use millside::app::effect::Effect;
use millside::app::field::Field;
use millside::app::key::Key;
use millside::app::looking::Part;
use millside::app::message::Message;
use millside::app::overlay::Overlay;
use millside::app::page;
use millside::app::row;
use millside::app::row::Row;
use millside::check;
use millside::program::read::ReadOptions;
use millside::session::fact::FactKind;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::demo;
use support::walk::hold_and_zero;
use support::walk::to_field;
use support::walk::to_step;

const PLATE: &str = "\
G21 G90 G54 G17
T1 M6 (end mill 6 mm)
S9000 M3
G0 X-20 Y-20 Z5
G1 Z-0.5 F120
G1 X20 F480
G1 Y20
G0 Z5
G0 X-20 Y20
G1 Z-0.5 F120
G1 X20 F480
G0 Z25
M5
M30
";

/// A job of this program, at its program step.
fn job(text: &str) -> Desk {
    let mut desk = Desk::new(80, 24);
    desk.files.push(("plate.nc".to_owned(), text.to_owned()));
    desk.keys("2\r\rplate.nc\r");
    for _ in 0..8 {
        desk.keys("2");
    }
    desk.keys("\r");
    to_step(&mut desk, Step::Program);
    desk
}

/// States a blank on the table, X, Y and thickness, and the zero on it.
fn place(desk: &mut Desk, [x, y, thickness]: [&str; 3], zero: &str) {
    to_step(desk, Step::Stock);
    for (field, text) in [
        (Field::StockX, x),
        (Field::StockY, y),
        (Field::Thickness(0), thickness),
        (Field::Edges, "milled"),
        (Field::Under, "table"),
    ] {
        to_field(desk, field);
        desk.keys(&format!("\r{text}\r"));
    }
    to_step(desk, Step::Xy);
    for (field, text) in [
        (Field::ZeroPoint, zero),
        (Field::FoundBy, "edge finder"),
        (Field::Finder, "4"),
        (Field::Offset, "G54"),
    ] {
        to_field(desk, field);
        desk.keys(&format!("\r{text}\r"));
    }
}

fn look(desk: &Desk) -> Option<millside::app::looking::Look> {
    match desk.model.overlay {
        Some(Overlay::Look(look)) => Some(look),
        _ => None,
    }
}

#[test]
fn every_finding_opens_with_block_reason_and_remedy() {
    let mut desk = job(&PLATE.replace("G1 Y20\n", "G1 Y20\nM777\n"));
    let rows = page::rows(&desk.model);
    let finding = rows
        .iter()
        .position(|row| matches!(row, Row::Do { text, .. } if text.contains("M777")))
        .expect("the unknown code is listed");
    desk.model.cursor = row::choosable(&rows)
        .iter()
        .position(|place| *place == finding)
        .expect("it can be chosen");
    desk.keys("\r");
    let screen = desk.screen();
    assert!(screen.contains("unknown-m-code"), "{screen}");
    assert!(screen.contains("line 8"), "{screen}");
    // The block as written, and what to do.
    assert!(screen.lines().any(|line| line.trim() == "M777"), "{screen}");
    desk.keys("\x1b");
    assert!(look(&desk).is_none());
}

#[test]
fn a_stop_is_looked_at_before_a_reason_is_asked_for() {
    let mut desk = job(&PLATE.replace("G1 X20 F480\nG1 Y20", "G1 X20 F480\nG12 Y20"));
    for _ in 0..30 {
        let rows = page::rows(&desk.model);
        let chosen = row::chosen(&rows, desk.model.cursor);
        if matches!(chosen, Some(Row::Do { text, .. }) if text.starts_with("STOP")) {
            break;
        }
        desk.keys("2");
    }
    desk.keys("\r");
    assert!(look(&desk).is_some(), "{}", desk.screen());
    assert!(desk.screen().contains("G12 Y20"), "{}", desk.screen());
    desk.keys("\r");
    assert!(
        matches!(desk.model.overlay, Some(Overlay::Words { .. })),
        "{}",
        desk.screen()
    );
}

#[test]
fn the_path_is_zoomed_panned_turned_and_shown_by_section() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Program);
    to_field(&mut desk, Field::BeginAgain);
    desk.keys("8\r");
    let first = look(&desk).expect("the path is shown");
    assert!((first.zoom, first.part, first.from_side) == (0, Part::All, false));
    let whole = desk.screen();
    assert!(whole.contains("from above"), "{whole}");
    // Sizes of the demo's blank, in words.
    assert!(whole.contains("120 x 90 mm"), "{whole}");
    desk.keys("+");
    assert_eq!(look(&desk).map(|l| l.zoom), Some(1));
    assert_ne!(desk.screen(), whole);
    let near = desk.screen();
    desk.keys("6");
    assert_ne!(desk.screen(), near);
    desk.keys("4-");
    assert_eq!(desk.screen(), whole);
    desk.keys("*");
    assert!(desk.screen().contains("120 x 12 mm"), "{}", desk.screen());
    desk.keys("*7");
    assert!(desk.screen().contains("section 1"), "{}", desk.screen());
    desk.keys("5");
    assert!(desk.screen().contains("T1 alone"), "{}", desk.screen());
    // The deepest cut of the demo, 13.2 mm, is the end of what the dots tell.
    assert!(
        desk.screen().contains("to 13.2 mm deep"),
        "{}",
        desk.screen()
    );
    // Keys of the mill's side do nothing here, and none of this is an answer.
    let answers = desk.state().answers.len();
    desk.keys("19");
    assert_eq!(desk.state().answers.len(), answers);
    desk.keys("0");
    assert!(look(&desk).is_none());
}

/// By hand: the first cut of 40 mm at 480 mm/min takes 5 s, after a plunge of 5.5 mm at 120 mm/min, 2.75 s.
#[test]
fn blocks_to_begin_again_at_are_found_for_a_line_and_for_a_time() {
    let mut desk = job(PLATE);
    to_field(&mut desk, Field::BeginAgain);
    desk.keys("\r11\r");
    let sheet = |desk: &Desk| {
        let work = desk.model.work.as_ref().expect("a session");
        work.begin_again.join("\n")
    };
    let words = sheet(&desk);
    assert!(words.contains("Before line 11"), "{words}");
    // Line 9 goes over at clearance height; before it the tool stands at X20 Y20 Z5.
    assert!(words.contains("line 9:"), "{words}");
    assert!(words.contains("X20.000 Y20.000 Z5.000"), "{words}");
    for said in ["G90", "G54", "T1", "S9000", "F 480"] {
        assert!(words.contains(said), "{said} in {words}");
    }
    assert!(words.contains("The choice is yours"), "{words}");
    // A keypad has no colon.
    to_field(&mut desk, Field::BeginAgain);
    desk.keys("\r0/10\r");
    assert!(sheet(&desk).contains("Before line 7"), "{}", sheet(&desk));
    assert!(!sheet(&desk).contains("more than"), "{}", sheet(&desk));
    // 10 s: 2.75 s down and 5 s along X leave 2.25 s of the 5 s along Y, line 7.
    to_field(&mut desk, Field::BeginAgain);
    desk.keys("\r0:10\r");
    assert!(sheet(&desk).contains("Before line 7"), "{}", sheet(&desk));
    to_field(&mut desk, Field::BeginAgain);
    desk.keys("\r9:00:00\r");
    assert!(
        sheet(&desk).contains("9:00:00 is more than the operation lasts at its programmed feeds"),
        "{}",
        sheet(&desk)
    );
    // The blocks before its last line all the same: the last motion of the only section is line 12, M30 line 14.
    assert!(sheet(&desk).contains("the last first"), "{}", sheet(&desk));
    to_field(&mut desk, Field::BeginAgain);
    desk.keys("\rsoon\r");
    assert!(
        desk.screen().contains("a line of the program"),
        "{}",
        desk.screen()
    );
}

#[test]
fn a_program_posted_anew_is_compared_with_the_one_before() {
    let mut desk = job(PLATE);
    desk.files[0].1 = PLATE
        .replace("Z-0.5", "Z-0.8")
        .replace("F480", "F600")
        .replace("S9000", "S8000");
    // The row below the file reads it again.
    to_field(&mut desk, Field::Program);
    desk.keys("2\r");
    let work = desk.model.work.as_ref().expect("a session");
    let said = work.reposted.join("\n");
    for words in [
        "feed moves along Z: was -0.5",
        "S: was 9000 rpm, now 8000 rpm",
        "F: was 120 to 480 mm/min, now 120 to 600 mm/min",
        "time at the programmed feeds",
    ] {
        assert!(said.contains(words), "{words} in {said}");
    }
    assert!(!said.contains("tools"), "{said}");
}

#[test]
fn check_points_are_ticked_for_the_zero_that_is_set_and_a_missed_one_takes_it_away() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    let points = |desk: &Desk| -> Vec<(usize, bool)> {
        let rows = page::rows(&desk.model);
        row::choosable(&rows)
            .iter()
            .enumerate()
            .filter_map(|(cursor, place)| match &rows[*place] {
                Row::Do {
                    act: millside::app::act::Act::PointSeen(_),
                    mark,
                    ..
                } => Some((cursor, *mark == row::Mark::Good)),
                _ => None,
            })
            .collect()
    };
    let before = points(&desk);
    assert!((2..=4).contains(&before.len()), "{}", desk.screen());
    assert!(before.iter().all(|(_, seen)| !seen));
    desk.model.cursor = before[0].0;
    desk.keys("1");
    assert!(points(&desk)[0].1, "{}", desk.screen());
    desk.model.cursor = before[1].0;
    desk.keys("3");
    assert_eq!(desk.state().fact(FactKind::XyZero).word(), "redo");
    assert!(points(&desk).iter().all(|(_, seen)| !seen));
    assert!(
        desk.screen()
            .contains("a check point was not where it must be"),
        "{}",
        desk.screen()
    );
}

/// The two ways to the time of a section, streamed while reading and from the kept moves, are one figure.
#[test]
fn kept_moves_take_as_long_as_the_reader_says() {
    let library = support::session::shipped();
    let machine = &library.machines[0];
    let limits = check::against::Limits::of(machine).motion();
    let options = ReadOptions {
        keep_steps: 100_000,
        motion: Some(limits.clone()),
        ..Default::default()
    };
    for text in [PLATE, millside::profile::demo::PROGRAM_TEXT] {
        let summary = millside::program::read::read_bytes(text.as_bytes(), &options);
        let kept = summary.kept.as_ref().expect("short enough");
        let lines: Vec<[u64; 2]> = summary
            .sections
            .iter()
            .map(|section| [section.first_line, section.last_line])
            .collect();
        let again = kept.section_seconds(&lines, limits.clone());
        assert!(!lines.is_empty());
        for (section, seconds) in summary.sections.iter().zip(again) {
            let read = section.estimated_s.expect("a machine was given");
            assert!((read - seconds).abs() < 1e-6, "{read} {seconds}");
            assert!(seconds + 1e-9 >= section.feed_ideal_s + section.dwell_s);
        }
    }
}

/// A file that was written again with the same size and time is found by its content when the clock goes on.
#[test]
fn the_content_is_looked_at_before_each_start() {
    let mut desk = support::walk::answered(80, 24);
    // The demo's program needs no file; the same program under a file's name does.
    let text = millside::profile::demo::PROGRAM_TEXT.to_owned();
    desk.files.push(("plate.nc".to_owned(), text.clone()));
    to_step(&mut desk, Step::Program);
    to_field(&mut desk, Field::Program);
    desk.keys("\rplate.nc\r");
    assert!(
        desk.state().fact(FactKind::Program).is_good(),
        "{}",
        desk.screen()
    );
    to_step(&mut desk, Step::Cut);
    desk.answer_lines();
    desk.files[0].1 = text.replace("F320", "F322");
    // No time passes in which the file could be looked at for its own sake.
    let now = desk.now();
    desk.send(Message::Pressed(Key::Char('5'), now));
    assert!(
        desk.screen().contains("the program changed"),
        "{}",
        desk.screen()
    );
    assert_ne!(
        desk.state().phase(),
        Some(millside::session::clock::Phase::Cutting)
    );
}

/// The first time a zero is stated withdraws nothing, and still the program is held against it.
#[test]
fn a_zero_stated_first_is_checked_against_at_once() {
    let mut desk = job(&PLATE.replace(
        "Z5\nG1 Z-0.5 F120\nG1 X20 F480\nG1 Y20\nG0 Z5\nG0 X-20 Y20",
        "Z5\nG1 Z-0.5 F120\nG1 X20 F480\nG1 Y20\nG0 X-20 Y-5",
    ));
    place(&mut desk, ["60", "60", "12"], "5+");
    let program = desk.state().current_setup().program.clone();
    let stops = program.expect("a program").stops;
    assert!(
        stops
            .iter()
            .any(|stop| stop.id.starts_with("rapid-through-uncut")),
        "{stops:?}"
    );
    assert!(!desk.state().fact(FactKind::Program).is_good());
}

/// One of three finished sizes waits for the others.
#[test]
fn sizes_wait_for_each_other() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Stock);
    desk.keys("\r");
    for (axis, text) in ["116", "86", "12"].into_iter().enumerate() {
        to_field(&mut desk, Field::Part(axis));
        desk.keys(&format!("\r{text}\r"));
    }
    let stock = desk.state().current_setup().stock.clone();
    let part = stock.expect("measured").part.expect("all three are there");
    assert_eq!(part.map(|size| size.value), [116.0, 86.0, 12.0]);
}

/// A line of coordinates alone goes on with the motion or the cycle before it: the one is named, in the other nobody
/// can begin.
#[test]
fn nobody_is_sent_into_the_middle_of_a_cycle() {
    let text = "G21 G90 G54 G17\nT1 M6\nS3000 M3\nG0 X0 Y0 Z5\nG99 G81 X10 Y10 Z-3 R5 F100\nX20\nX30\nG80\nG0 X0\nX5\nG1 Z-1 F100\nX9\nM30\n";
    let points = |line| {
        let options = ReadOptions {
            restart_line: Some(line),
            ..Default::default()
        };
        millside::program::read::read_bytes(text.as_bytes(), &options).restart_points
    };
    // Line 7 is a hole of the cycle; the cycle itself begins in line 5.
    let before = points(7);
    assert!(before.iter().all(|point| point.line <= 5), "{before:?}");
    assert!(!before.is_empty());
    let later = points(11);
    let ten = later.iter().find(|point| point.line == 10);
    assert_eq!(ten.map(|point| point.motion), Some("G0"));
}

/// A program of more moves than are kept: passes close over a blank of 120 x 90 mm in steps of a millimetre, one in
/// the metal, and a rapid through what is left at the end.
fn surfacing() -> String {
    let mut text = "G21 G90 G17\nT1 M6 (end mill 6 mm)\nM3 S9000\nG0 X0 Y0 Z5\nF600\n".to_owned();
    for row in 0..1800 {
        let y = f64::from(row) / 40.0;
        let z = if row == 0 { -0.5 } else { 0.5 };
        text.push_str(&format!("G1 X0 Y{y:.3} Z{z}\n"));
        for x in 1..=120 {
            text.push_str(&format!("X{x}\n"));
        }
    }
    text.push_str("G0 Z5\nX60 Y80\nZ-3\nX100\nZ5\nM5\nM30\n");
    text
}

#[test]
fn the_path_of_a_long_program_is_followed_beside_the_screen_and_nothing_begins_before() {
    let text = surfacing();
    let mut desk = job(&text);
    place(&mut desk, ["120", "90", "12"], "1+");
    let checked = |desk: &Desk, id: &str| {
        let work = desk.model.work.as_ref().expect("a session");
        let findings = &work.checked.as_ref().expect("it was read").findings;
        findings.iter().any(|finding| finding.id == id)
    };
    let is_good = |desk: &Desk| desk.state().fact(FactKind::Program).is_good();
    let asked: Vec<_> = desk
        .other
        .iter()
        .filter_map(|effect| match effect {
            Effect::FollowPath(file, path) => Some((file.clone(), path.clone())),
            _ => None,
        })
        .collect();
    // Once for each state of the setup in which blank and zero were known, the last for the one of now.
    let (file, path) = asked.last().expect("it is asked for").clone();
    assert!(asked.iter().filter(|(_, other)| *other == path).count() == 1);
    assert!(checked(&desk, "path-being-followed"));
    assert!(!is_good(&desk), "nothing is known of its path yet");
    let (_, text) = desk
        .files
        .iter()
        .find(|(name, _)| *name == file)
        .expect("the program's own file");
    let found = check::follow(text.as_bytes(), &ReadOptions::default(), &path.setup);
    let (sha256, swept) = found
        .expect("memory can be read")
        .expect("blank and zero are known");
    assert_eq!(sha256, path.sha256);
    let now = desk.now();
    // What was asked for another setup says nothing of this one.
    let mut other = path.clone();
    other.setup.stock = None;
    desk.send(Message::PathFollowed(Ok(swept.clone()), other, now));
    assert!(checked(&desk, "path-being-followed"));
    desk.send(Message::PathFollowed(Ok(swept), path.clone(), now));
    assert!(!checked(&desk, "path-being-followed"));
    assert!(checked(&desk, "rapid-through-uncut"));
    assert!(!is_good(&desk), "a stop was found");
    // A file that went away leaves a warning, and is not asked for again.
    let follows = |desk: &Desk| {
        let is_follow = |effect: &&Effect| matches!(effect, Effect::FollowPath(..));
        desk.other.iter().filter(is_follow).count()
    };
    let count = follows(&desk);
    desk.send(Message::PathFollowed(
        Err("could not read it".to_owned()),
        path,
        now,
    ));
    assert!(checked(&desk, "path-not-followed"));
    assert!(is_good(&desk));
    assert_eq!(follows(&desk), count);
}

#[test]
fn a_board_without_its_thickness_is_named_as_missing() {
    let mut desk = job(PLATE);
    to_step(&mut desk, Step::Stock);
    for (field, text) in [
        (Field::StockX, "60"),
        (Field::StockY, "50"),
        (Field::Thickness(0), "12"),
        (Field::Edges, "milled"),
        (Field::Under, "spoil board"),
    ] {
        to_field(&mut desk, field);
        desk.keys(&format!("\r{text}\r"));
    }
    assert!(desk.state().current_setup().stock.is_none());
    let board = page::rows(&desk.model)
        .into_iter()
        .find_map(|row| match row {
            Row::Field {
                field: Field::Spoil,
                mark,
                ..
            } => Some(mark),
            _ => None,
        });
    assert_eq!(board, Some(row::Mark::Open));
    assert_eq!(
        page::first_empty(&desk.model).as_deref(),
        Some("spoil board thickness")
    );
}

const TWO_TOOLS: &str = "G21 G90 G54\nT1 M6\n(POCKET)\nS9000 M3\nG0 X5 Y5 Z5\nG1 Z-0.5 F200\nX20 F600\nG0 Z5\n\
                         T2 M6\n(DRILL TWO)\nS3000 M3\nG81 X5 Y5 Z-12 R2 F100\nX15\nG80\nM30\n";

/// A job of a template to which a program was loaded.
fn template_with_program(rows: u16) -> Desk {
    let mut desk = Desk::new(80, rows);
    desk.keys("22\r");
    let templates = &desk.model.library.templates;
    let plate = templates.iter().position(|t| t.name.starts_with("plate"));
    desk.model.begin.template = plate.expect("a shipped template");
    to_field(&mut desk, Field::Title);
    desk.keys("\rplate\r");
    for _ in 0..10 {
        desk.keys("2");
    }
    desk.keys("\r");
    desk.files = vec![("two.nc".to_owned(), TWO_TOOLS.to_owned())];
    to_step(&mut desk, Step::Program);
    to_field(&mut desk, Field::Program);
    desk.keys("\rtwo.nc\r");
    desk
}

fn titles(desk: &Desk) -> Vec<String> {
    let operations = &desk.state().current_setup().operations;
    operations.iter().map(|o| o.title.clone()).collect()
}

#[test]
fn an_operation_of_a_template_gets_its_lines_of_the_program_and_none_stands_twice() {
    let mut desk = template_with_program(60);
    let before = titles(&desk);
    assert!(before.iter().any(|title| title == "POCKET"), "{before:?}");
    let operations = &desk.state().current_setup().operations;
    let pockets = operations
        .iter()
        .position(|o| o.title.starts_with("Pockets"));
    let pockets = pockets.expect("the template has pockets");
    let tool = operations[pockets].tool;
    to_field(&mut desk, Field::Lines(pockets));
    desk.keys("\r");
    let screen = desk.screen();
    assert!(screen.contains("1 T1 POCKET, lines 2 to 8"), "{screen}");
    assert!(screen.contains("2 T2 DRILL TWO, lines 9 to 15"), "{screen}");
    desk.keys("1\r");
    let joined = desk.state().current_setup().operations[pockets].clone();
    let part = joined.part.expect("it runs lines of the program");
    assert_eq!((part.first_line, part.last_line), (2, 8));
    // Title and tool of the plan stay; the doubled operation is gone.
    assert!(joined.title.starts_with("Pockets"));
    assert_eq!(joined.tool, tool);
    assert_eq!(titles(&desk).len(), before.len() - 1);
    assert!(!titles(&desk).contains(&"POCKET".to_owned()));
    assert_eq!(lines_rows(&desk, pockets), 0);

    // Taken back, both stand there again; then once more.
    desk.keys("u");
    assert_eq!(titles(&desk), before);
    to_field(&mut desk, Field::Lines(pockets));
    desk.keys("\r1\r");

    // Posted anew with a line more in front of it, the operation runs the lines that its part has now.
    desk.files[0].1 = TWO_TOOLS.replacen("(POCKET)", "(POCKET)\n(A REMARK)", 1);
    read_again(&mut desk);
    let joined = desk.state().current_setup().operations[pockets].clone();
    assert!(joined.title.starts_with("Pockets"));
    let part = joined.part.expect("it runs lines of the program");
    assert_eq!((part.first_line, part.last_line), (2, 9));
    assert_eq!(titles(&desk).len(), before.len() - 1);

    // With another number of parts nobody knows which is which: it asks again.
    let third = "T3 M6\n(CHAMFER)\nS8000 M3\nG0 X0 Y0\nG1 Z-0.2 F100\nX9 F300\nG0 Z5\nM30\n";
    desk.files[0].1 = TWO_TOOLS.replacen("M30\n", third, 1);
    read_again(&mut desk);
    let operation = desk.state().current_setup().operations[pockets].clone();
    assert_eq!((operation.part, operation.is_joined), (None, false));
    assert!(titles(&desk).contains(&"POCKET".to_owned()));
    assert_eq!(lines_rows(&desk, pockets), 1);
}

fn lines_rows(desk: &Desk, place: usize) -> usize {
    let rows = page::rows(&desk.model);
    let of = |row: &&Row| matches!(row, Row::Field { field, .. } if *field == Field::Lines(place));
    rows.iter().filter(of).count()
}

fn read_again(desk: &mut Desk) {
    let rows = page::rows(&desk.model);
    let at = row::choosable(&rows).into_iter().position(
        |place| matches!(&rows[place], Row::Do { text, .. } if text.starts_with("read again")),
    );
    desk.model.cursor = at.expect("it can be read again");
    desk.keys("\r");
}

// Where nobody stated the tool, the row that counts what was found says what was not looked at.
#[test]
fn the_count_of_findings_says_that_the_tool_is_unknown() {
    for (comment, is_unknown) in [("", true), (" (end mill 6 mm)", false)] {
        let mut desk = job(&PLATE.replace(" (end mill 6 mm)", comment));
        place(&mut desk, ["60", "50", "8"], "left-front-top");
        to_step(&mut desk, Step::Program);
        desk.model.cursor = 0;
        let screen = desk.screen();
        let row = screen
            .lines()
            .find(|row| row.contains("read again and check"));
        let row = row.unwrap_or_else(|| panic!("no count: {screen}"));
        assert_eq!(
            row.contains("not checked: tool unknown)"),
            is_unknown,
            "{screen}"
        );
    }
}
