//! What a machine, a tool and a program are known by: the name of the profile, never its title; and a program by
//! what it is, never by how its path reads.

mod support;

use millside::app::effect::Effect;
use millside::app::message::Message;
use millside::app::model;
use millside::app::model::Look;
use millside::app::named;
use millside::edge::work;
use millside::profile::demo;
use millside::profile::library::Library;
use millside::profile::twins;
use millside::record::read;
use millside::record::write;
use millside::session::state::ProgramCopy;
use millside::session::state::RackTool;
use millside::session::state::State;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::at;

/// A desk whose library has twins: own profiles under new names with the titles of shipped ones.
fn desk_with_twins() -> Desk {
    let mut desk = Desk::new(120, 60);
    let mut library = desk.model.library.clone();
    let mut machine = library.machines[0].clone();
    "my-mill".clone_into(&mut machine.name);
    library.machines.push(machine);
    let mut material = library.materials[0].clone();
    "my-alloy".clone_into(&mut material.name);
    library.materials.push(material);
    let mut tool = library
        .tools
        .iter()
        .find(|tool| tool.name == "em-6-1f")
        .expect("it is shipped")
        .clone();
    "my-tool".clone_into(&mut tool.name);
    tool.stick_out_mm = 33.0;
    library.tools.push(tool);
    let look = Look {
        colour: false,
        ascii: false,
        theme: model::Theme::Own,
    };
    desk.model = model::new(library, look, "~/sessions".into(), "0.0.0".into(), at(0, 0));
    desk.send(Message::Resized(120, 60));
    desk.send(Message::JobsListed(Ok(vec![])));
    desk
}

fn place(choices: &[named::Choice], name: &str) -> usize {
    let place = choices.iter().position(|choice| choice.name == name);
    place.expect("it is in the list") + 1
}

#[test]
fn the_machine_and_the_material_that_were_chosen_are_in_the_record() {
    let mut desk = desk_with_twins();
    // A job by hand is the last of the four ways.
    desk.keys("222\r");
    let machine = place(&named::machines(&desk.model.library), "my-mill");
    let material = place(&named::materials(&desk.model.library), "my-alloy");
    desk.keys(&format!("\rplate\r\r{machine}\r\r{material}\r"));
    let screen = desk.screen();
    assert!(
        screen.contains("(my-mill)") && screen.contains("(my-alloy)"),
        "{screen}"
    );
    desk.keys("\r");
    assert_eq!(desk.state().machine.name, "my-mill", "{}", desk.screen());
    assert_eq!(desk.state().material.name, "my-alloy");
}

#[test]
fn the_shipped_machine_can_be_chosen_beside_its_twin() {
    let mut desk = desk_with_twins();
    desk.keys("222\r");
    let shipped = desk.model.library.machines[0].name.clone();
    desk.keys("\rplate\r222\r");
    assert_eq!(desk.state().machine.name, shipped, "{}", desk.screen());
}

fn at_the_tool(desk: &mut Desk, rack: Vec<RackTool>, tool: Option<usize>) {
    desk.keys("\r\r");
    let mut state = desk.state().clone();
    state.rack = rack;
    state.step = Step::Tool;
    for operation in &mut state.setups[0].operations {
        operation.tool = None;
    }
    state.setups[0].operations[0].tool = tool;
    desk.open(state);
}

#[test]
fn the_tool_that_was_chosen_is_in_the_record() {
    let mut desk = desk_with_twins();
    at_the_tool(&mut desk, vec![], None);
    desk.keys("\rmy-tool\r");
    let planned = desk.state().planned_tool().expect("a tool is planned");
    assert_eq!(desk.state().rack[planned].tool.name, "my-tool");
    assert!(desk.screen().contains("(my-tool)"), "{}", desk.screen());
}

#[test]
fn of_two_tools_of_one_profile_the_one_of_the_operation_is_edited() {
    let mut desk = desk_with_twins();
    let tool = desk.model.library.tools[0].clone();
    let numbered = |number| RackTool {
        number: Some(number),
        tool: tool.clone(),
        stick_out: None,
    };
    at_the_tool(&mut desk, vec![numbered(7), numbered(8)], Some(1));
    // The stick-out stands below the tool.
    desk.keys("2\r21\r");
    let state = desk.state();
    assert_eq!(state.planned_tool(), Some(1), "{}", desk.screen());
    let stick_out = |place: usize| state.rack[place].stick_out.as_ref().map(|s| s.value);
    assert_eq!((stick_out(0), stick_out(1)), (None, Some(21.0)));
}

#[test]
fn no_two_shipped_profiles_of_a_kind_have_one_title() {
    assert_eq!(twins::find(&Library::shipped()), []);
}

const OWN: &str = "built-in/star-tracker-plate.nc";
const PROGRAM: &str = "G21 G90\nG0 X0 Y0 Z5\nM3 S6000\nG1 Z-1 F100\nG1 X20\nG0 Z5\nM30\n";

fn copy(state: &State) -> &ProgramCopy {
    state.current_setup().program.as_ref().expect("a program")
}

#[test]
fn an_own_file_in_a_folder_named_built_in_is_read_as_that_file() {
    let mut desk = Desk::new(120, 60);
    desk.files.push((OWN.to_owned(), PROGRAM.to_owned()));
    desk.keys(&format!("2\r\r{OWN}\r222\r"));
    let before = copy(desk.state()).clone();
    assert_eq!((before.file.as_str(), before.is_built_in), (OWN, false));
    assert_eq!(before.bytes, PROGRAM.len() as u64);
    // Posted once more, it is seen to have changed.
    desk.files[0].1 = PROGRAM.replace("X20", "X25");
    desk.pass(3);
    assert_ne!(copy(desk.state()).sha256, before.sha256);
    // Opened again the same file is read.
    let text = write::text(desk.state());
    let state = read::bytes(text.as_bytes(), desk.state().cautions.clone(), desk.now());
    let state = state.expect("our own record");
    assert!(!copy(&state).is_built_in, "{text}");
    desk.files[0].1 = PROGRAM.replace("X20", "X30");
    desk.open(state);
    let changed = format!("{}", desk.files[0].1.len());
    assert_eq!(copy(desk.state()).bytes.to_string(), changed);
    // A place to begin again at is looked for in that file: there is none on this disk.
    assert!(work::restart(Some(OWN), 5).is_err());
}

#[test]
fn the_demo_is_known_by_its_mark_and_in_older_records_by_its_name() {
    let mut desk = Desk::new(120, 60);
    desk.keys("\r\r");
    assert!(copy(desk.state()).is_built_in);
    let text = write::text(desk.state());
    assert!(text.contains("built_in = true\n"), "{text}");
    let older = text.replace("built_in = true\n", "");
    for text in [text, older] {
        let state = read::bytes(text.as_bytes(), desk.state().cautions.clone(), desk.now());
        let state = state.expect("our own record");
        assert!(copy(&state).is_built_in, "{text}");
        desk.other.clear();
        desk.open(state);
        assert!(
            desk.model
                .work
                .as_ref()
                .is_some_and(|work| work.checked.is_some())
        );
        let reads = |effect: &Effect| matches!(effect, Effect::ReadProgram { .. });
        assert!(!desk.other.iter().any(reads));
    }
    let found = work::restart(None, 200).expect("it is in memory");
    let size = demo::PROGRAM_TEXT.lines().count();
    assert!(!found.is_empty() && size > 200, "{size} lines");
}
