//! What the screens say where a slip is easily made: the number that was typed, warnings beside a line, sizes out of tolerance, return
//! tests and touches. Depths that nobody stated are in `first_depths.rs`.

mod support;

use millside::app::checking;
use millside::app::field::Field;
use millside::app::model;
use millside::app::model::Look;
use millside::app::new_job;
use millside::app::overlay::Overlay;
use millside::app::page;
use millside::app::row::Mark;
use millside::app::row::Row;
use millside::job::holding::HeldBy;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::program::finding::Level;
use millside::session::Session;
use millside::session::air;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::state::RackTool;
use millside::session::state::Step;
use millside::ui::glyphs;
use ratatui::style::Modifier;

use support::desk::Desk;
use support::session::plate;
use support::session::shipped;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::hold_and_zero;
use support::walk::hold_by;
use support::walk::to_field;
use support::walk::to_step;

/// Whether some row that is drawn in reverse holds these words.
fn is_marked(desk: &Desk, words: &str) -> bool {
    let buffer = desk.cells();
    let area = buffer.area;
    (area.top()..area.bottom()).any(|y| {
        let marked: String = (area.left()..area.right())
            .filter_map(|x| buffer.cell((x, y)))
            .filter(|cell| cell.modifier.contains(Modifier::REVERSED))
            .map(|cell| cell.symbol().to_owned())
            .collect();
        marked.contains(words)
    })
}

#[test]
fn a_number_typed_in_a_list_marks_what_it_means_before_enter() {
    let mono = Look {
        colour: false,
        ascii: true,
        theme: model::Theme::Own,
    };
    for look in [None, Some(mono)] {
        let mut desk = cutting(80, 24, 60);
        if let Some(look) = look {
            desk.model.look = look;
        }
        desk.keys("-");
        assert!(!desk.screen().contains("> "), "{}", desk.screen());
        desk.keys("5");
        let screen = desk.screen();
        assert!(screen.contains("> 5 chips packed"), "{screen}");
        assert!(screen.contains("number 5  chips packed"), "{screen}");
        assert!(is_marked(&desk, "chips packed"), "{screen}");
        desk.keys("1");
        let screen = desk.screen();
        assert!(screen.contains("number 51  no such number"), "{screen}");
        assert!(!is_marked(&desk, "chips packed"), "{screen}");
        assert!(!screen.contains("> 5"), "{screen}");
        desk.keys("\r");
        assert!(desk.state().stops.is_empty());
        // Nothing is left of it that a bare Enter would take.
        desk.keys("\r");
        assert!(desk.state().stops.is_empty(), "{}", desk.screen());
        desk.keys("0");
        assert!(
            desk.screen().contains("number 0  nothing happened"),
            "{}",
            desk.screen()
        );
        desk.keys("/8");
        assert!(
            desk.screen().contains("> 8 poor finish"),
            "{}",
            desk.screen()
        );
    }
}

#[test]
fn the_longest_of_what_may_have_happened_is_read_whole_beside_its_number() {
    let mut desk = cutting(80, 24, 60);
    desk.keys("-");
    for (place, what) in millside::app::overlay::happenings().iter().enumerate() {
        desk.keys(&format!("/{}", place + 1));
        let words = format!("number {}  {}", place + 1, what.words());
        assert!(desk.screen().contains(&words), "{words}: {}", desk.screen());
    }
}

/// The demo's first recipe with a depth of 0.1 mm, where its program goes 0.3 mm a pass.
fn shallow() -> Desk {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    support::walk::tool_and_z(&mut desk);
    to_step(&mut desk, Step::Recipe);
    to_field(&mut desk, Field::Depth);
    desk.keys("\r0.1\r");
    for _ in 0..20 {
        let rows = page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
        if matches!(chosen, Some(Row::Do { text, .. }) if text == "take this recipe") {
            break;
        }
        desk.keys("2");
    }
    desk.keys("\r");
    let taken = desk
        .state()
        .current_operation()
        .and_then(|o| o.recipe.as_ref());
    assert!(taken.is_some(), "{}", desk.screen());
    desk
}

#[test]
fn the_findings_are_counted_as_they_are_listed() {
    let mut desk = shallow();
    to_step(&mut desk, Step::Program);
    let rows = page::rows(&desk.model);
    let listed = |word: &str| {
        let of_word = |row: &&Row| matches!(row, Row::Do { text, .. } if text.starts_with(word));
        rows.iter().filter(of_word).count()
    };
    let (warnings, notes) = (listed("warn  "), listed("note  "));
    assert!(warnings > 0, "{}", desk.screen());
    let count = format!("(0 stop, {warnings} warn, {notes} note)");
    assert!(
        desk.page_text().contains(&count),
        "{count}: {}",
        desk.page_text()
    );
}

#[test]
fn warnings_of_the_operation_stand_beside_the_line_about_the_program_and_answer_nothing() {
    let mut desk = shallow();
    let checked = desk
        .model
        .work
        .as_ref()
        .and_then(|work| work.checked.clone());
    let checked = checked.expect("it was checked");
    let part = desk
        .state()
        .current_operation()
        .and_then(|o| o.part.clone());
    let part = part.expect("a part of the program");
    let own = |finding: &&millside::program::finding::Finding| {
        finding.level == Level::Warn && (part.first_line..=part.last_line).contains(&finding.line)
    };
    let count = checked.findings.iter().filter(own).count();
    assert!(count > 0);
    let text = checking::warnings_of(&checked, &part).expect("warnings");
    assert!(text.contains("deeper than recipe"), "{text}");
    assert!(text.starts_with(&count.to_string()), "{text}");
    assert!(text.len() <= 58, "{text}");
    to_step(&mut desk, Step::Cut);
    let line = page::rows(&desk.model)
        .into_iter()
        .find_map(|row| match row {
            Row::Line(_, line) if line.id == "match-tool-program" => Some(line),
            _ => None,
        });
    let line = line.expect("the line is asked");
    assert!(line.says.is_some_and(|says| says.starts_with(&text)));
    assert!(line.state.is_open());
    // Another operation of the program is not warned for this one.
    let other = desk.state().current_setup().operations[1].part.clone();
    let other = other.expect("a part of the program");
    let text = checking::warnings_of(&checked, &other).unwrap_or_default();
    assert!(!text.contains("deeper than recipe"), "{text}");
}

fn measure(desk: &mut Desk, place: usize, value: &str) {
    to_step(desk, Step::Measure);
    to_field(desk, Field::Reading(place));
    desk.keys(&format!("\r{value}\r"));
}

// By hand: the bearing seat is 32 +0.025 0, inside: 31.95 is 0.05 under the lower limit, and 32.0125 - 31.95 = 0.0625 to the middle.
#[test]
fn a_size_out_of_tolerance_is_not_done_and_is_asked_before_letting_go() {
    let mut desk = demo(80, 24);
    measure(&mut desk, 0, "32.01");
    measure(&mut desk, 1, "116");
    measure(&mut desk, 2, "86");
    assert_eq!(page::step_mark(desk.state(), Step::Measure), Mark::Good);
    measure(&mut desk, 0, "31.95");
    assert_eq!(page::step_mark(desk.state(), Step::Measure), Mark::Redo);
    let rows = page::rows(&desk.model);
    let note = rows.iter().find_map(|row| match row {
        Row::Field {
            field: Field::Reading(0),
            note,
            ..
        } => Some(note.clone()),
        _ => None,
    });
    assert_eq!(
        note.as_deref(),
        Some(
            "0.05 mm left to the limit: for the middle enter the tool 0.063 mm thinner, or leave 0.031 mm less on each wall"
        )
    );
    let asked = |desk: &Desk| {
        let lines = gate::list(desk.state(), ListKind::Release).lines;
        let asked = lines
            .into_iter()
            .find(|line| line.text.contains("leave it so"));
        asked.map(|line| (line.text, line.state.is_open()))
    };
    let text = "bearing seat 31.95: 0.05 too small; leave it so?".to_owned();
    assert_eq!(asked(&desk), Some((text.clone(), true)));
    to_step(&mut desk, Step::Release);
    desk.answer_lines();
    assert_eq!(asked(&desk), Some((text, false)));
    // Another reading is another question; by hand 32.08 - 32.025 = 0.055.
    measure(&mut desk, 0, "32.08");
    let text = "bearing seat 32.08: 0.055 too big; leave it so?".to_owned();
    assert_eq!(asked(&desk), Some((text, true)));
    measure(&mut desk, 0, "32.01");
    assert_eq!(asked(&desk), None);
}

#[test]
fn an_outside_size_waits_for_the_outside_profile() {
    let mut desk = demo(80, 24);
    let outside = desk
        .state()
        .current_setup()
        .outside_waits()
        .map(str::to_owned);
    let outside = outside.expect("the demo cuts its outside");
    measure(&mut desk, 1, "120");
    let rows = page::rows(&desk.model);
    let row = rows.iter().find_map(|row| match row {
        Row::Field {
            field: Field::Reading(1),
            note,
            mark,
            ..
        } => Some((note.clone(), *mark)),
        _ => None,
    });
    // By hand: 120 - 116.1 = 3.9.
    let note =
        format!("3.9 mm over: the outside is not cut to size yet, {outside} is still to come");
    assert_eq!(row, Some((note, Mark::Open)));
    assert!(!desk.state().fact(FactKind::XyZero).is_good());
}

#[test]
fn a_caution_left_out_is_shown_by_its_sentence() {
    let mut desk = Desk::new(100, 40);
    let mut state = plate().state().clone();
    state.cautions = desk.model.library.cautions.clone();
    let screen = state.cautions.iter().find(|c| c.id == "screen-up");
    let line = screen.expect("a shipped caution").line.clone();
    state.left_out = vec![
        "screen-up: a wall stands there".to_owned(),
        "gone-since: of another version".to_owned(),
    ];
    desk.open(state);
    to_step(&mut desk, Step::Hold);
    let text = desk.page_text();
    assert!(
        text.contains(&format!(
            "LEFT OUT by your profiles: \"{line}\". Why: a wall stands there"
        )),
        "{text}"
    );
    // What no profile knows any more keeps the name that the record has.
    assert!(
        text.contains("LEFT OUT by your profiles: gone-since: of another version"),
        "{text}"
    );
}

/// The lines that a return test leaves to be read.
fn verdict(desk: &Desk) -> String {
    match &desk.model.overlay {
        Some(Overlay::ReturnTest {
            verdict: Some(lines),
            ..
        }) => lines.join("\n"),
        other => panic!("{other:?}"),
    }
}

fn offered(desk: &Desk) -> bool {
    desk.page_text().contains("return test at the check point")
}

#[test]
fn a_return_test_is_offered_once_there_is_a_zero_to_return_to() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Xy);
    assert!(!offered(&desk), "{}", desk.screen());
    desk.keys("r");
    assert_eq!(desk.model.overlay, None);
    assert!(
        desk.screen().contains("no zero to return to"),
        "{}",
        desk.screen()
    );
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    assert!(!offered(&desk));
    // Withdrawn, there is one again.
    desk.keys("-22\r");
    assert_eq!(
        desk.state().fact(FactKind::XyZero).word(),
        "redo",
        "{}",
        desk.screen()
    );
    to_step(&mut desk, Step::Xy);
    assert!(offered(&desk), "{}", desk.screen());
}

// The table of what withdraws a fact, and what a return test may restore of it, stands in DEVELOPERS.md: an emergency stop yes, an axis
// that bound no.
#[test]
fn a_return_test_says_what_is_good_again_and_what_stays_and_why() {
    let lost = |number: &str, keys: &str| {
        let mut desk = decided(80, 24);
        desk.keys(&format!("-{number}\r"));
        if desk.model.overlay.is_some() {
            desk.keys("\r");
            desk.pass(2);
            desk.keys("x");
        }
        assert_eq!(
            desk.state().fact(FactKind::XyZero).word(),
            "redo",
            "{}",
            desk.screen()
        );
        to_step(&mut desk, Step::Xy);
        desk.keys(&format!("r{keys}"));
        verdict(&desk)
    };
    let stop = happening("emergency stop");
    let said = lost(&stop, "0.01*0.01*0.01\r0*0*0\r\r");
    assert!(
        said.contains("X and Y were found where they were."),
        "{said}"
    );
    assert!(
        said.contains("Good again: ") && said.contains("X Y"),
        "{said}"
    );
    assert!(
        said.contains("Still redo: Z reference, Z with this tool: Z was not tested."),
        "{said}"
    );
    let said = lost(&stop, "0.01*0.01*0.01\r0*0*0\r0*0*0\r");
    assert!(
        said.contains("X Y, Z reference, Z with this tool."),
        "{said}"
    );
    assert!(!said.contains("Still redo"), "{said}");
    let said = lost(&stop, "3*3*3\r0*0*0\r0*0*0\r");
    assert!(
        said.contains("X and Y are not where they were: set them again."),
        "{said}"
    );
    assert!(!said.contains("Good again"), "{said}");
    assert!(
        said.contains("Z with this tool: the position is lost"),
        "{said}"
    );
    let said = lost("1", "0.01*0.01*0.01\r0*0*0\r0*0*0\r");
    assert!(!said.contains("Good again"), "{said}");
    assert!(
        said.contains("Still redo: ") && said.contains("X Y"),
        "{said}"
    );
    assert!(
        said.contains("and a return test keeps nothing after that"),
        "{said}"
    );
}

/// The number of something in the list of what may have happened.
fn happening(words: &str) -> String {
    let all = millside::app::overlay::happenings();
    let place = all.iter().position(|what| what.words().contains(words));
    (place.expect("it is offered") + 1).to_string()
}

// By hand: the demo's blank is 120 by 90 mm, its zero in the middle and its finder 4 mm: -60 - 2 = -62 and 60 + 2 = 62, in Y -45 - 2 =
// -47 and 47. The profile has 0.05 mm of backlash: 62 - 0.05 = 61.95.
#[test]
fn the_other_edge_is_expected_with_the_backlash_in_it_and_a_reading_far_off_is_asked() {
    let mut desk = demo(80, 24);
    hold_and_zero(&mut desk);
    to_step(&mut desk, Step::Xy);
    let text = desk.page_text();
    assert!(
        text.contains("the other edge then reads 62 - 0.05 backlash = 61.95 mm"),
        "{text}"
    );
    let note = |desk: &Desk, wanted: usize| {
        let rows = page::rows(&desk.model);
        let note = rows.iter().find_map(|row| match row {
            Row::Field {
                field: Field::TouchAt(at),
                note,
                ..
            } if *at == wanted => Some(note.clone()),
            _ => None,
        });
        note.unwrap_or_default()
    };
    to_field(&mut desk, Field::TouchAt(2));
    desk.keys("\r61.93\r");
    assert_eq!(note(&desk, 2), "the sheet has -47 mm there: read it again?");
    to_field(&mut desk, Field::TouchAt(2));
    desk.keys("\r-46.96\r");
    assert!(!note(&desk, 2).contains("again"), "{}", note(&desk, 2));
    // With another zero both lie as far apart as they must: nothing is asked, the backlash is read.
    to_field(&mut desk, Field::TouchAt(0));
    desk.keys("\r38.04\r");
    assert!(note(&desk, 0).contains("the sheet has -62 mm there"));
    desk.keys("\r161.96\r");
    assert_eq!(desk.state().backlash.len(), 1, "{}", desk.screen());
}

#[test]
fn a_recipe_that_was_taken_again_does_not_ask_to_be_taken_again() {
    let mut desk = cutting(80, 40, 60);
    // Pause, then another depth: the recipe is edited.
    desk.keys("p");
    to_step(&mut desk, Step::Recipe);
    to_field(&mut desk, Field::Depth);
    desk.keys("\r0.2\r");
    desk.answer_lines();
    let taken = |desk: &Desk| desk.page_text().contains("this recipe is taken");
    for _ in 0..20 {
        let rows = page::rows(&desk.model);
        let chosen = millside::app::row::chosen(&rows, desk.model.cursor);
        if matches!(chosen, Some(Row::Do { text, .. }) if text == "take this recipe") {
            break;
        }
        desk.keys("2");
    }
    desk.keys("\r");
    assert!(taken(&desk), "{}", desk.screen());
    assert!(
        !desk.state().fact(FactKind::Recipe).is_good(),
        "it is set at the machine anew"
    );
    let text = desk.page_text();
    assert!(!text.contains("REDO"), "{text}");
    assert!(
        text.contains("is asked in the list before the cut"),
        "{text}"
    );
}

#[test]
fn what_holds_the_part_is_named_where_it_is_in_the_way() {
    for (by, line, with) in [
        (
            "clamps",
            "Clamps, bolts and their packing",
            "With these clamps",
        ),
        (
            "tape",
            "Stops, and what else is on the table",
            "On this tape",
        ),
        ("vice", "Jaws, handle and stop of the vice", "In this vice"),
    ] {
        let mut desk = demo(80, 60);
        to_step(&mut desk, Step::Stock);
        desk.keys("\r");
        hold_by(&mut desk, by);
        let list = gate::list(desk.state(), ListKind::Setup);
        let asked = list.lines.iter().find(|line| line.id == "clamps-clear");
        let asked = asked.expect("it is asked");
        assert!(asked.text.starts_with(line), "{by}: {}", asked.text);
        assert!(asked.text.chars().count() <= gate::LONGEST_LINE);
        // The demo has a clamp swap in it.
        let goes = air::goes_to(desk.state()).expect("clamps change places");
        assert!(goes.starts_with(with), "{by}: {goes}");
        assert_eq!(goes.contains("leave that operation out"), by == "tape");
    }
}

#[test]
fn a_hole_has_the_depth_of_the_hole_and_no_stepover() {
    let mut state = plate().state().clone();
    let drill = |tool: &RackTool| tool.tool.name.starts_with("drill");
    let library = shipped();
    let tool = library.tools.iter().find(|tool| tool.name == "drill-3.3");
    state.rack.push(RackTool {
        number: None,
        tool: tool.expect("a shipped drill").clone(),
        stick_out: None,
    });
    let index = state.rack.iter().position(drill);
    state.setups[0].operations = vec![Operation {
        title: "Drill four holes".to_owned(),
        kind: OperationKind::Drill,
        tool: index,
        ..Operation::default()
    }];
    state.operation = 0;
    let mut desk = Desk::new(80, 40);
    desk.open(state);
    to_step(&mut desk, Step::Recipe);
    let screen = desk.screen();
    assert!(screen.contains("depth of the hole"), "{screen}");
    assert!(screen.contains("assumed: write how deep it is"), "{screen}");
    let is_stepover = |row: &Row| {
        matches!(
            row,
            Row::Field {
                field: Field::Stepover,
                ..
            }
        )
    };
    assert!(!page::rows(&desk.model).iter().any(is_stepover));
}

#[test]
fn what_never_ran_is_not_rated() {
    let mut desk = cutting(80, 40, 60);
    desk.keys("91");
    let mut state = desk.state().clone();
    let at = desk.now().wall;
    state.setups[0].let_go = Some(at);
    desk.open(state);
    to_step(&mut desk, Step::Release);
    let rated: Vec<usize> = page::rows(&desk.model)
        .into_iter()
        .filter_map(|row| match row {
            Row::Field {
                field: Field::Rating(place),
                ..
            } => Some(place),
            _ => None,
        })
        .collect();
    assert_eq!(rated, [0]);
}

#[test]
fn a_sign_for_no_value_does_not_look_like_one() {
    for size in [glyphs::Size::Single, glyphs::Size::Double] {
        let rows = glyphs::rows("-", size, true);
        assert!(
            rows.iter().all(|row| row.chars().all(|c| " -".contains(c))),
            "{rows:?}"
        );
        assert!(rows.iter().any(|row| row.contains('-')));
        assert_eq!(rows.len(), glyphs::rows("0", size, true).len());
        assert_eq!(rows[0].len(), glyphs::width("-", size));
    }
}

#[test]
fn no_name_of_a_choice_is_broken_between_two_rows() {
    let mut desk = Desk::new(80, 24);
    // A job by hand: name, machine, material.
    desk.keys("222\r");
    to_field(&mut desk, Field::Machine);
    desk.keys("\r");
    let screen = desk.screen();
    for machine in &desk.model.library.machines {
        assert!(
            screen.contains(&machine.title),
            "{}: {screen}",
            machine.title
        );
    }
}

#[test]
fn the_plan_of_a_template_is_whole_sentences() {
    let library = shipped();
    for template in &library.templates {
        let (setups, _) = new_job::from_template(&library, template);
        for setup in setups {
            assert!(!setup.plan.contains(".;"), "{}", setup.plan);
            assert!(!setup.plan.contains(".."), "{}", setup.plan);
        }
    }
}

#[test]
fn what_is_said_of_a_bond_while_it_cuts_is_whole() {
    for by in [HeldBy::Tape, HeldBy::Glue, HeldBy::Wax] {
        let mut desk = cutting(80, 24, 60);
        let mut state = desk.state().clone();
        let holding = state.setups[0].holding.as_mut().expect("it is held");
        holding.by = by;
        let words = millside::session::bond::words(&state).expect("a bond has its words");
        // The row has room for where the figure comes from, and hold for all of it.
        let words = words.replace(", no source)", ")");
        desk.keys("1");
        let work = desk.model.work.as_mut().expect("a session is open");
        work.session = Session::new(state);
        let screen = desk.screen();
        let text: Vec<&str> = screen.lines().map(str::trim).collect();
        assert!(text.join(" ").contains(&words), "{words}\n{screen}");
        assert!(
            screen.contains("These keys do not move or stop the mill."),
            "{screen}"
        );
    }
}
