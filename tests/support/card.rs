//! The emergency card: calling it, closing it, and everything that it may lie over.

// Each test file uses a part of it.
#![allow(dead_code)]

use millside::app::browse::Files;
use millside::app::effect::Effect;
use millside::app::field::Field;
use millside::app::input::Input;
use millside::app::key::Key;
use millside::app::looking::Look;
use millside::app::message::Kept;
use millside::app::message::Message;
use millside::app::model::Editing;
use millside::app::model::Model;
use millside::app::overlay::Asking;
use millside::app::overlay::Overlay;
use millside::app::overlay::Sure;
use millside::app::own_tool::OwnTool;
use millside::app::picker::Pick;
use millside::app::picker::Purpose;
use millside::app::update::update;
use millside::job::mishap::Mishap;
use millside::session::Session;
use millside::session::gate;
use millside::session::lines::ListKind;
use millside::session::matrix;
use millside::session::state::Step;

use super::desk::Desk;
use super::session::at;

/// A key two seconds after the last, nothing else in between but that the disk takes what is saved.
pub fn press(desk: &mut Desk, key: Key) -> Vec<Effect> {
    desk.seconds += 2;
    let now = desk.now();
    let mut effects = update(&mut desk.model, Message::Pressed(key, now));
    if effects
        .iter()
        .any(|effect| matches!(effect, Effect::Save(_)))
    {
        let saved = Message::Saved(Ok(Kept::InPlace));
        effects.extend(update(&mut desk.model, saved));
    }
    effects
}

/// Types a text key by key.
pub fn type_text(desk: &mut Desk, text: &str) {
    for c in text.chars() {
        press(desk, Key::Char(c));
    }
}

/// The model without what every key leaves behind it.
pub fn still(model: &Model) -> Model {
    let mut model = model.clone();
    model.now = at(0, 0);
    model.last_key = None;
    model.is_held = false;
    model.notice = None;
    // They are made of all the rest.
    model.rows.clear();
    model.open = 0;
    if let Some(work) = &mut model.work {
        // How long a row was on show is counted anew from when it is on show again.
        work.row_since = at(0, 0);
    }
    model
}

/// Whether the card is on show.
pub fn has_card(desk: &Desk) -> bool {
    matches!(desk.model.overlay, Some(Overlay::Emergency(..)))
}

/// Presses a point until the card is there; how often it took.
pub fn call_card(what: &str, desk: &mut Desk, point: char) -> usize {
    for count in 1..=2 {
        let effects = press(desk, Key::Char(point));
        assert!(effects.is_empty(), "{what}: {effects:?}");
        if has_card(desk) {
            let screen = desk.screen();
            let loud = screen.to_uppercase();
            for line in ["EMERGENCY STOP", "FIRE", "HURT"] {
                assert!(loud.contains(line), "{what}: {screen}");
            }
            return count;
        }
    }
    panic!("{what}: no card after two points\n{}", desk.screen());
}

/// More points keep the card; a key closes it.
pub fn close_card(what: &str, desk: &mut Desk, point: char) {
    press(desk, Key::Char(point));
    press(desk, Key::Char('.'));
    assert!(has_card(desk), "{what}: the next point closed the card");
    press(desk, Key::Enter);
    assert!(!has_card(desk), "{what}: the card stays");
}

/// The card over what is there now, and all as it was after it.
pub fn comes_back(what: &str, desk: &mut Desk) {
    for point in ['.', ','] {
        let mut before = still(&desk.model);
        if let Some(Overlay::Happened { typed, cursor }) = &mut before.overlay {
            // A number there is begun anew.
            typed.clear();
            *cursor = None;
        }
        let count = call_card(what, desk, point);
        assert_eq!(count, 1, "{what}");
        close_card(what, desk, point);
        assert_eq!(still(&desk.model), before, "{what}");
    }
}

/// Every kind of words that are asked for.
pub fn askings() -> Vec<Asking> {
    vec![
        Asking::Note,
        Asking::NotSo(ListKind::Start, "keys-out".to_owned()),
        Asking::Beyond,
        Asking::AcceptStop("over-travel".to_owned()),
        Asking::LeaveOut,
        Asking::OpenAgain(0),
        Asking::Mishap(Mishap::AxisBound),
        Asking::SwapReason(1),
    ]
}

/// A line that was typed key by key, the cursor behind it.
pub fn typed(text: &str) -> Input {
    let mut input = Input::default();
    for c in text.chars() {
        assert!(input.press(Key::Char(c)));
    }
    input
}

/// Words asked for, this much typed.
pub fn words(asking: Asking, text: &str) -> Overlay {
    Overlay::Words {
        asking,
        input: typed(text),
        error: None,
    }
}

/// The form of a return test, this much typed in one of its rows.
pub fn return_test(text: &str, focus: usize, verdict: Option<Vec<String>>) -> Overlay {
    let mut inputs = [typed("0.1"), Input::default(), Input::default()];
    inputs[focus] = typed(text);
    Overlay::ReturnTest {
        inputs,
        focus,
        error: None,
        verdict,
    }
}

/// Overlays in which a point is never text.
pub fn overlays() -> Vec<Overlay> {
    let mut all = vec![
        Overlay::Help,
        Overlay::Why {
            title: "why".to_owned(),
            text: vec!["because".to_owned()],
        },
        Overlay::Acts(Mishap::Fire),
        Overlay::Advice(Mishap::AxisBound),
        Overlay::Compare {
            to: 1,
            reason: "worn".to_owned(),
            old: None,
            new: None,
        },
        return_test("0.2", 0, Some(vec!["found".to_owned()])),
        Overlay::Care(vec!["nothing yet".to_owned()]),
        Overlay::Letters,
        Overlay::Look(Look::default()),
        Overlay::Gap,
    ];
    for typed in ["", "1"] {
        let cursor = (!typed.is_empty()).then_some(0);
        let typed = typed.to_owned();
        all.extend([
            Overlay::Happened {
                typed: typed.clone(),
                cursor,
            },
            Overlay::More {
                typed: typed.clone(),
                cursor,
            },
            Overlay::Files(Files {
                typed,
                cursor,
                ..Files::default()
            }),
        ]);
    }
    all.extend([Sure::Finished, Sure::LetGo, Sure::WrapUp, Sure::Quit].map(Overlay::Sure));
    // Nobody begins words with a point.
    all.extend(askings().into_iter().map(|asking| words(asking, "")));
    all
}

/// Overlays with something typed, and the texts after one point and after the card.
pub fn overlays_with_text() -> Vec<(Overlay, Overlay)> {
    let mut all = vec![];
    for asking in askings() {
        for text in ["2", "it rings", "at 46"] {
            let after = words(asking.clone(), &format!("{text}.."));
            all.push((words(asking.clone(), text), after));
        }
    }
    for purpose in [Purpose::Plan, Purpose::Swap] {
        for text in ["", "4", "drill 4"] {
            let pick = |text: &str| {
                let (input, cursor) = (typed(text), Some(0).filter(|_| !text.is_empty()));
                Overlay::Pick(Pick {
                    purpose,
                    input,
                    cursor,
                })
            };
            let mut after = pick(&format!("{text}."));
            if let Overlay::Pick(pick) = &mut after {
                pick.cursor = Some(0);
            }
            all.push((pick(text), after));
        }
        let own = |text: &str| {
            let mut form = OwnTool::new(purpose);
            form.inputs[0] = typed(text);
            Overlay::OwnTool(Box::new(form))
        };
        all.push((own("1"), own("1.")));
    }
    for focus in 0..3 {
        for text in ["", "-", "0", "12"] {
            let after = return_test(&format!("{text}."), focus, None);
            all.push((return_test(text, focus, None), after));
        }
    }
    all
}

/// One field at least for each kind of what fields take; those of a running session and of a new job.
pub const FIELDS: [Field; 25] = [
    Field::AboveJaws,
    Field::StockX,
    Field::Touch,
    Field::Rpm,
    Field::ReadRpm,
    Field::SurfaceSpeed,
    Field::ChipLoad,
    Field::Feed,
    Field::Depth,
    Field::ZeroPoint,
    Field::KeepOut(0),
    Field::Screw(0),
    Field::Rating(0),
    Field::Thread,
    Field::NoAir,
    Field::Learned,
    Field::Program,
    Field::Title,
    Field::RestAfter,
    Field::HoldPull,
    Field::BeginAgain,
    Field::Heard,
    Field::HeldBy,
    Field::Material,
    Field::Condition(0),
];

/// A field that owns the keys.
pub fn editing(field: Field, input: Input) -> Editing {
    Editing {
        field,
        input,
        error: None,
    }
}

/// Goes to a step with arrows: on one of the worst lines a digit would be its answer.
pub fn by_arrows(desk: &mut Desk, wanted: Step) {
    let place = |step: Step| Step::RAIL.iter().position(|other| *other == step);
    for _ in Step::RAIL {
        if desk.state().step == wanted {
            return;
        }
        let is_ahead = place(desk.state().step) < place(wanted);
        press(desk, if is_ahead { Key::Right } else { Key::Left });
    }
    assert_eq!(desk.state().step, wanted, "{}", desk.screen());
}

/// Every coolant that a job may state, and none.
pub const FLUIDS: [Option<&str>; 7] = [
    Some("dry"),
    Some("air"),
    Some("water_mix"),
    Some("mist"),
    Some("neat_oil"),
    Some("alcohol"),
    None,
];

/// The same work in another material, accepted as it is.
pub fn made_of(desk: &mut Desk, name: &str, is_accepted: bool) {
    let materials = &desk.model.library.materials;
    let material = materials.iter().find(|material| material.name == name);
    let material = material.expect("a shipped material").clone();
    let mut state = desk.state().clone();
    state.material = material;
    if is_accepted {
        let list = gate::list(&state, ListKind::Setup);
        let line = list
            .lines
            .iter()
            .find(|line| line.id == "material-and-coolant");
        let text = line.expect("it is asked").text.clone();
        let mut answers: Vec<_> = state.answers.iter().cloned().collect();
        for answered in &mut answers {
            if answered.line == "material-and-coolant" {
                answered.text = text.as_str().into();
            }
        }
        state.answers = matrix::Kept::of(answers.into_iter().collect());
    }
    desk.model.work.as_mut().expect("a session is open").session = Session::new(state);
}
