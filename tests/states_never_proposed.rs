//! Equipment may be proposed, a state never: that a guard is on, the part tight or the axes homed is answered by a key at the mill, in this
//! setup, and by nothing else.

mod support;

use millside::app::field::Field;
use millside::app::page;
use millside::app::row;
use millside::job::conditions::KEYS;
use millside::job::conditions::Takes;
use millside::job::conditions::Value;
use millside::record::read;
use millside::session::Session;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::known;
use millside::session::matrix::Happening;
use millside::session::state::Setup;
use millside::session::state::State;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::second;
use support::session::shipped;
use support::walk::answered;

/// A value that a key takes.
fn any(takes: Takes) -> Value {
    match takes {
        Takes::OneOf(words) | Takes::Given(words) => Value::Word(words[0].to_owned()),
        Takes::Truth => Value::Truth(true),
        Takes::Number => Value::Number(7.0),
    }
}

fn lists() -> [ListKind; 3] {
    [ListKind::Power, ListKind::Setup, ListKind::Start]
}

fn nothing_is_answered(what: &str, state: &State) {
    assert!(state.answers.is_empty(), "{what}");
    // That its work needs no guard off is part of the demo's plan; that the guards are on is asked like everywhere.
    assert!(
        state.stated.get("guard_removed").is_none() || what == "demo",
        "{what}"
    );
    let power = gate::list(state, ListKind::Power).lines;
    assert!(power.iter().any(|line| line.id == "guards-on"), "{what}");
    for kind in lists() {
        for line in gate::list(state, kind).lines {
            assert!(line.state.is_open(), "{what}: {}", line.text);
        }
    }
    for kind in FactKind::ALL {
        let is_known = state.fact(kind).is_good() && kind != FactKind::Program;
        assert!(!is_known, "{what}: {}", kind.statement());
    }
}

#[test]
fn a_profile_of_a_machine_states_its_equipment_and_nothing_else() {
    let mut state = plate().state().clone();
    state.stated = millside::job::conditions::Conditions::new();
    let before = known::conditions(&state);
    for key in KEYS {
        state.machine.states.state(key.name, any(key.takes));
    }
    let after = known::conditions(&state);
    for key in KEYS {
        if key.is_equipment {
            assert_eq!(after.get(key.name), Some(&any(key.takes)), "{}", key.name);
        } else {
            assert_eq!(after.get(key.name), before.get(key.name), "{}", key.name);
        }
    }
    for name in [
        "guard_removed",
        "bond_warm",
        "first_run",
        "material",
        "work_shape",
        "workholding",
    ] {
        assert!(
            KEYS.iter().any(|key| key.name == name && !key.is_equipment),
            "{name}"
        );
    }
    for machine in shipped().machines {
        for (key, _) in machine.states.iter() {
            let key = KEYS.iter().find(|known| known.name == key).expect("a key");
            assert!(key.is_equipment, "{}: {}", machine.name, key.name);
        }
    }
}

#[test]
fn however_a_job_begins_every_line_and_fact_is_open() {
    for (what, keys) in [("demo", "\r"), ("template", "22\r"), ("hand", "222\r")] {
        let mut desk = Desk::new(80, 24);
        desk.keys(keys);
        desk.model.drafts.insert(Field::Title, "plate".to_owned());
        // The last row begins the job.
        desk.model.cursor = row::choosable(&page::rows(&desk.model)).len() - 1;
        desk.keys("\r");
        nothing_is_answered(what, desk.state());
    }
}

// What was so yesterday, or when somebody else stood there, is asked again line by line before anything starts; and a mill that was off
// in the night has lost its place.
#[test]
fn on_another_day_and_for_another_person_every_line_is_asked_again() {
    for (what, moved) in [
        (Happening::PersonChanged, false),
        (Happening::AnotherDay, true),
    ] {
        let session = Session::new(answered(80, 24).state().clone());
        assert!(gate::obstacles(session.state()).is_empty());
        let next = must(&session, Event::Happened(what), second(3000));
        let state = next.state();
        for kind in lists() {
            for line in gate::list(state, kind).lines {
                assert!(line.state.is_open(), "{what:?}: {}", line.text);
            }
        }
        assert!(!gate::obstacles(state).is_empty());
        for kind in [FactKind::XyZero, FactKind::ZReference] {
            assert_eq!(state.fact(kind).is_good(), !moved, "{what:?} {kind:?}");
        }
    }
}

// As `millside new` and a program from the disk begin one.
#[test]
fn a_job_from_a_program_or_from_the_command_line_begins_with_everything_open() {
    let mut desk = Desk::new(80, 24);
    let text = "G21 G90 G54\nT1 M6 (end mill 6 mm)\nS9000 M3\nG0 X0 Y0 Z5\nG1 Z-0.5 F120\nG0 Z5\nM5\nM30\n";
    desk.files.push(("plate.nc".to_owned(), text.to_owned()));
    desk.keys("2\r\rplate.nc\r");
    desk.model.cursor = row::choosable(&page::rows(&desk.model)).len() - 1;
    desk.keys("\r");
    assert!(
        desk.state().current_setup().program.is_some(),
        "{}",
        desk.screen()
    );
    nothing_is_answered("program", desk.state());

    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path().join("jobs");
    let made = std::process::Command::new(env!("CARGO_BIN_EXE_millside"))
        .arg("new")
        .arg("--sessions")
        .arg(&folder)
        .args(["--title", "plate"])
        .env("HOME", home.path())
        .env("XDG_DATA_HOME", home.path())
        .env("XDG_CONFIG_HOME", home.path())
        .output()
        .expect("it runs");
    let words = String::from_utf8_lossy(&made.stderr);
    assert!(made.status.success(), "{words}");
    let entry = std::fs::read_dir(&folder).expect("made").flatten().next();
    let path = entry.expect("a record").path();
    let raw = std::fs::read(path).expect("it can be read");
    let cautions = shipped().cautions;
    let state = read::bytes(&raw, cautions, second(0)).expect("a record");
    nothing_is_answered("new", &state);
}

#[test]
fn another_setup_asks_everything_of_the_setup_again() {
    let desk = answered(80, 24);
    let mut state = desk.state().clone();
    let setup = Setup {
        title: "Back side".to_owned(),
        operations: state.current_setup().operations.clone(),
        ..Setup::default()
    };
    state.setups.push(setup);
    let session = Session::new(state);
    let session = must(&session, Event::SetupEntered(1), second(900));
    for line in gate::list(session.state(), ListKind::Setup).lines {
        assert!(line.state.is_open(), "{}", line.text);
    }
    assert!(!known::is_accepted(session.state()));
    for kind in [
        FactKind::Stock,
        FactKind::Held,
        FactKind::XyZero,
        FactKind::ZReference,
    ] {
        assert!(
            !session.state().fact(kind).is_good(),
            "{}",
            kind.statement()
        );
    }
}

#[test]
fn material_and_coolant_are_one_line_of_their_own_and_once_a_setup() {
    let desk = answered(80, 24);
    let times = |id: &str| desk.state().answers.iter().filter(|a| a.line == id).count();
    assert_eq!(times("material-and-coolant"), 1);
    let list = gate::list(desk.state(), ListKind::Setup);
    let line = list
        .lines
        .iter()
        .find(|line| line.id == "material-and-coolant");
    let line = line.expect("it is asked");
    assert_eq!(line.text, "Material: Aluminium 6082-T6; coolant: air blast");
    assert_eq!(line.fact, None);
}

// The machine's profile may name its coolant: another machine, or another profile of it, is another coolant.
#[test]
fn a_coolant_that_comes_with_the_machine_is_accepted_again_when_it_changes() {
    let mut state = answered(80, 24).state().clone();
    state.stated.forget("fluid");
    state
        .machine
        .states
        .state("fluid", Value::Word("water_mix".to_owned()));
    let session = Session::new(state);
    let accept = |session: &Session, at| {
        let event = Event::Answered {
            list: ListKind::Setup,
            line: "material-and-coolant".to_owned(),
            answer: millside::session::event::Answer::So,
            shown: std::time::Duration::from_secs(3),
        };
        must(session, event, second(at))
    };
    let session = accept(&session, 2000);
    assert!(known::is_accepted(session.state()));
    let mut machine = session.state().machine.clone();
    machine
        .states
        .state("fluid", Value::Word("neat_oil".to_owned()));
    let session = must(
        &session,
        Event::MachineChosen(Box::new(machine)),
        second(2001),
    );
    let log = &session.state().log;
    assert!(
        log.iter()
            .any(|logged| logged.what == Happening::FluidChanged)
    );
    let lines = gate::list(session.state(), ListKind::Setup).lines;
    let line = lines.iter().find(|line| line.id == "material-and-coolant");
    assert!(line.is_some_and(|line| line.state.is_open()));
    assert_eq!(known::for_cards(session.state()).get("fluid"), None);
    // Accepted again, and back in the first setup it is still the one that counts.
    let session = accept(&session, 2002);
    assert!(known::is_accepted(session.state()));
    let mut state = session.state().clone();
    state.setups.push(Setup {
        title: "Back side".to_owned(),
        ..Setup::default()
    });
    let session = must(&Session::new(state), Event::SetupEntered(1), second(2003));
    let stated = Event::ConditionStated("fluid".to_owned(), Value::Word("alcohol".to_owned()));
    let session = must(&session, stated, second(2004));
    let session = must(&session, Event::SetupEntered(0), second(2005));
    assert!(!known::is_accepted(session.state()));
    let lines = gate::list(session.state(), ListKind::Setup).lines;
    let line = lines.iter().find(|line| line.id == "material-and-coolant");
    assert!(line.is_some_and(|line| line.state.is_open()));
}
