//! One list of tools, filtered by what is typed, and a tool of one's own.

mod support;

use millside::app::effect::Effect;
use millside::app::field::Field;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::overlay::Asking;
use millside::app::overlay::Overlay;
use millside::app::picker::Pick;
use millside::job::tool::Tool;
use millside::profile::fault::Origin;
use millside::profile::library::Library;
use millside::profile::library::ProfileFile;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk::cutting;
use support::walk::demo;
use support::walk::to_field;
use support::walk::to_step;

fn pick(desk: &Desk) -> &Pick {
    match &desk.model.overlay {
        Some(Overlay::Pick(pick)) => pick,
        other => panic!("no list of tools: {other:?}"),
    }
}

/// The row that is marked.
fn marked(desk: &Desk) -> String {
    let screen = desk.screen();
    let row = screen.lines().find(|line| line.starts_with(" > "));
    row.unwrap_or_default().trim_start_matches(" > ").to_owned()
}

/// The tool that was chosen for the middle of the operation.
fn swapped(desk: &Desk) -> String {
    match &desk.model.overlay {
        Some(Overlay::Words {
            asking: Asking::SwapReason(place),
            ..
        }) => desk.state().rack[*place].tool.name.clone(),
        other => panic!("no tool was chosen: {other:?}"),
    }
}

fn planned(desk: &Desk) -> String {
    let place = desk.state().planned_tool().expect("a tool is planned");
    desk.state().rack[place].tool.name.clone()
}

#[test]
fn a_number_with_a_point_is_a_size_and_two_points_call_the_card() {
    for typed in ["drill 4.2", "drill 4,2"] {
        let mut desk = cutting(80, 24, 40);
        desk.keys(&format!("+{typed}"));
        assert_eq!(pick(&desk).input.text(), typed);
        assert!(
            marked(&desk).starts_with("Drill 4.2 mm"),
            "{}",
            desk.screen()
        );
        desk.keys("\r");
        assert_eq!(swapped(&desk), "drill-4.2");
    }
    let mut desk = cutting(80, 24, 40);
    desk.keys("+4..");
    assert!(matches!(
        desk.model.overlay,
        Some(Overlay::Emergency(_, _, Some(_)))
    ));
    desk.keys("0");
    assert_eq!(pick(&desk).input.text(), "4.");
}

#[test]
fn no_number_is_a_place_in_the_list_and_no_letter_is_dropped() {
    let mut desk = cutting(80, 24, 40);
    desk.keys("+4 mm\r");
    let place = desk
        .state()
        .rack
        .iter()
        .position(|rack| rack.tool.name == swapped(&desk));
    let tool = &desk.state().rack[place.expect("it is there")].tool;
    assert!((tool.diameter_mm - 4.0).abs() < 1e-9, "{}", tool.name);
    // No tool is called so: none is taken, and Enter with a tool that was not meant does nothing.
    let mut desk = cutting(80, 24, 40);
    desk.keys("+4 mm zebra");
    assert!(
        marked(&desk).starts_with("a tool of your own"),
        "{}",
        desk.screen()
    );
}

#[test]
fn where_a_tool_is_planned_the_list_is_the_same() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Tool);
    to_field(&mut desk, Field::Tool);
    let before = planned(&desk);
    // Enter at once leaves what is planned.
    desk.keys("\r\r");
    assert_eq!(
        (desk.model.overlay.as_ref(), planned(&desk)),
        (None, before)
    );
    to_field(&mut desk, Field::Tool);
    desk.keys("\rM6 tap\r");
    assert_eq!(planned(&desk), "tap-m6");
}

#[test]
fn a_keypad_is_enough() {
    let mut desk = cutting(80, 24, 40);
    // The same size three times over: the drill is the third, or wherever plus comes to it.
    desk.keys("+8.5");
    assert!(
        marked(&desk).starts_with("Drill 8.5 mm"),
        "{}",
        desk.screen()
    );
    desk.keys("*");
    assert_eq!(pick(&desk).input.text(), "");
    desk.keys("6");
    let first = marked(&desk);
    desk.keys("+");
    assert_ne!(marked(&desk), first);
    desk.keys("\r");
    let name = swapped(&desk);
    let tool = desk.state().rack.iter().find(|rack| rack.tool.name == name);
    assert!(tool.is_some_and(|rack| (rack.tool.diameter_mm - 6.0).abs() < 1e-9));
    for leave in ["0\r", "6/\r", "/\r"] {
        let mut desk = cutting(80, 24, 40);
        desk.keys(&format!("+{leave}"));
        assert_eq!(desk.model.overlay, None, "{leave}");
    }
}

#[test]
fn a_tool_of_ones_own_is_used_at_once_and_kept_as_a_profile() {
    let mut desk = cutting(120, 40, 40);
    desk.keys("+-\r");
    // End mill, 5.98 mm, three flutes, 18 long, shank as thick, 22 out, carbide, to its centre, no top speed.
    desk.keys("1\r5.98\r3\r18\r6\r22\r2\r1\r\r");
    assert_eq!(swapped(&desk), "own-end-mill-5.98");
    let kept = desk.other.iter().find_map(|effect| match effect {
        Effect::KeepTool { name, text } => Some((name.clone(), text.clone())),
        _ => None,
    });
    let (name, text) = kept.expect("it is to be kept");
    assert_eq!(name, "own-end-mill-5.98");
    // After a restart it is on the shelf, as it was entered.
    let own = ProfileFile {
        origin: Origin::Own,
        file: "own.toml".to_owned(),
        bytes: Ok(text.into_bytes().into()),
    };
    let library = Library::with_own(&[own]);
    assert!(library.faults.is_empty(), "{}", library.faults[0]);
    let tool = library.tools.get(&name).expect("it was kept");
    assert!((tool.diameter_mm - 5.98).abs() < 1e-9);
    assert_eq!((tool.flutes, tool.stick_out_mm), (3, 22.0));
    assert!(tool.centre_cutting);
    assert_eq!(desk.model.library.tools.last(), Some(tool));
    // A second one of the same size gets another name.
    desk.keys("/\r+-\r1\r5.98\r3\r18\r6\r22\r2\r1\r\r");
    assert_eq!(swapped(&desk), "own-end-mill-5.98-2");
}

#[test]
fn what_a_profile_would_not_take_is_said_at_its_row() {
    let mut desk = cutting(80, 24, 40);
    desk.keys("+-\r");
    // A drill without its point angle.
    desk.keys("drill\r5\r2\r52\r\r56\r1\r\r\r");
    let screen = desk.screen();
    assert!(
        screen.contains("point angle, degrees: is wanted"),
        "{screen}"
    );
    desk.keys("118\r\r");
    assert_eq!(swapped(&desk), "own-drill-5");
    let mut desk = cutting(80, 24, 40);
    desk.keys("+-\rdrill\r5\r99\r52\r\r56\r1\r118\r\r");
    let screen = desk.screen();
    assert!(screen.contains("a whole number from 1 to 60"), "{screen}");
    desk.key(Key::Escape);
    assert_eq!(pick(&desk).input.text(), "");
}

/// What the profile of the tool that was just kept says.
fn kept(desk: &Desk) -> String {
    let kept = desk.other.iter().rev().find_map(|effect| match effect {
        Effect::KeepTool { text, .. } => Some(text.clone()),
        _ => None,
    });
    kept.expect("it is to be kept")
}

/// Kind, diameter, flutes, flute length, shank, stick-out and edge of a tool of one's own.
fn entered(kind: &str, diameter: &str) -> Desk {
    let mut desk = cutting(120, 40, 40);
    desk.keys(&format!("+-\r{kind}\r{diameter}\r2\r6\r12\r30\r1\r"));
    desk
}

/// A bit on an arm, a disc and a large cutter burst where they turn too fast: the form asks for the rating.
#[test]
fn a_tool_that_can_burst_is_asked_for_its_speed_rating() {
    for (kind, diameter, rest) in [
        ("flycutter", "30", "\r\r"),
        ("slitting saw", "20", "\r\r"),
        ("face mill", "24.9", "\r\r"),
        ("face mill", "25", "\r\r"),
        ("end mill", "25", ""),
        ("end mill", "24.9", ""),
    ] {
        let mut desk = entered(kind, diameter);
        // The corner of a face mill, or whether an end mill cuts to its centre.
        if kind.ends_with("mill") {
            desk.keys("\r");
        }
        // No rating at all.
        desk.keys(&format!("\r{rest}"));
        let place = format!("{kind} {diameter}: {}", desk.screen());
        let is_asked = !diameter.starts_with("24.9");
        let is_open = matches!(desk.model.overlay, Some(Overlay::OwnTool(_)));
        assert_eq!(is_open, is_asked, "{place}");
        if !is_asked {
            continue;
        }
        assert!(
            desk.screen().contains("speed rating: not entered"),
            "{place}"
        );
        // It stands at the row of the rating.
        desk.keys(&format!("1500\r{rest}"));
        assert_eq!(
            desk.model
                .library
                .tools
                .last()
                .and_then(Tool::speed_rating_rpm),
            Some(1500.0)
        );
        assert!(
            kept(&desk).contains("speed_rating = \"1500"),
            "{}",
            kept(&desk)
        );
    }
}

#[test]
fn the_lowest_rating_that_is_entered_counts_and_none_may_be_left_out() {
    let mut desk = entered("slitting saw", "60");
    desk.keys("900\r700\r800\r");
    let text = kept(&desk);
    for line in [
        "speed_rating = \"900",
        "arbor_speed_rating = \"700",
        "holder_speed_rating = \"800",
    ] {
        assert!(
            text.lines().any(|own| own.starts_with(line)),
            "{line}: {text}"
        );
    }
    let rating = desk
        .model
        .library
        .tools
        .last()
        .and_then(Tool::speed_rating_rpm);
    assert_eq!(rating, Some(700.0));
    // Whoever cannot read it makes none up: the tool is kept, and gets no recipe.
    let mut desk = entered("flycutter", "40");
    desk.keys("\r\r\r");
    assert!(
        desk.screen().contains("speed rating: not entered"),
        "{}",
        desk.screen()
    );
    desk.keys("\r\r\r");
    assert!(!kept(&desk).contains("speed_rating"));
    assert!(
        desk.model
            .library
            .tools
            .last()
            .is_some_and(Tool::lacks_speed_rating)
    );
}

#[test]
fn a_tool_that_could_not_be_kept_is_said() {
    let mut desk = cutting(80, 24, 40);
    desk.send(Message::ToolKept(Err("the disk is full".to_owned())));
    let notice = desk.model.notice.as_ref().expect("it is said");
    assert!(notice.is_refusal && notice.text.contains("the disk is full"));
}
