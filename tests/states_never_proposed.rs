//! Equipment may be proposed, a state never: that a guard is on, the part tight or the axes homed is answered by a key at the mill, in this
//! setup, and by nothing else.

mod support;

use millside::app::field::Field;
use millside::app::page;
use millside::app::row;
use millside::job::conditions::KEYS;
use millside::job::conditions::Takes;
use millside::job::conditions::Value;
use millside::session::Session;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::known;
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
    assert!(
        state.stated.get("guard_removed").is_none() || what == "demo",
        "{what}"
    );
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
    let session = must(
        &session,
        millside::session::event::Event::SetupEntered(1),
        second(900),
    );
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
