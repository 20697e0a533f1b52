//! Rules of what the lists ask: which cautions, in which order and words, with which answer, and one's own. How they are answered is in
//! `rules_of_lists.rs`, which names the published guidance that both follow.

mod support;

use millside::app::page;
use millside::app::row::Row;
use millside::job::caution::Phase as Pause;
use millside::job::conditions::Value;
use millside::session::Session;
use millside::session::called;
use millside::session::clock::Phase;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::state::Step;

use support::session::answer_all;
use support::session::must;
use support::session::plate;
use support::session::second;
use support::session::shipped;
use support::walk::cutting;
use support::walk::demo;
use support::walk::to_step;

#[test]
fn d03_critical_lines_come_before_all_others_and_the_order_is_stable() {
    let session = plate();
    for kind in ListKind::ALL {
        let one = gate::list(session.state(), kind);
        let two = gate::list(session.state(), kind);
        assert_eq!(one, two);
        // What is not critical is not asked: it is shown as a reminder.
        assert!(one.lines.iter().all(|line| line.critical), "{kind:?}");
    }
}

#[test]
fn d05_a_list_follows_the_hand_and_never_walks_back() {
    let library = shipped();
    let session = plate();
    for kind in [ListKind::Power, ListKind::Setup, ListKind::Start] {
        let lines = gate::list(session.state(), kind).lines;
        let place = |id: &str| {
            library
                .cautions
                .iter()
                .find(|c| c.id == id)
                .map(|c| c.place)
        };
        // The change of the tool is a walk of its own, before that of the start.
        for at_spindle in [true, false] {
            let walk: Vec<_> = lines
                .iter()
                .filter(|line| line.is_at_spindle == at_spindle)
                .filter(|line| kind != ListKind::Setup || !line.is_at_spindle)
                .filter_map(|line| place(&line.id))
                .collect();
            assert!(walk.windows(2).all(|w| w[0] <= w[1]), "{kind:?} {walk:?}");
        }
    }
}

#[test]
fn d06_every_line_names_the_state_that_answers_it() {
    let empty = [
        "ok",
        "okay",
        "yes",
        "check",
        "checked",
        "done",
        "as required",
    ];
    for caution in shipped().cautions.iter().filter(|c| c.critical) {
        let word = caution.answer.clone().expect("a state");
        assert!(!empty.contains(&word.to_lowercase().as_str()), "{word}");
    }
}

#[test]
fn d17_only_lines_that_apply_are_there() {
    let desk = demo(80, 24);
    let library = shipped();
    for kind in ListKind::ALL {
        for line in gate::list(desk.state(), kind).lines {
            let caution = library.cautions.iter().find(|c| c.id == line.id);
            let burns = caution.is_some_and(|c| c.hazard.contains("metal fire"));
            assert!(!burns, "{} for aluminium", line.id);
        }
    }
}

#[test]
fn d24_lines_are_short_and_say_one_thing_in_plain_words() {
    for caution in shipped().cautions.iter() {
        assert!(caution.line.chars().count() <= 70, "{}", caution.line);
        assert!(caution.line.matches(';').count() <= 1, "{}", caution.line);
        for word in caution.line.split(|c: char| !c.is_alphanumeric()) {
            let shouts = word.chars().count() > 1 && word.chars().all(|c| c.is_uppercase());
            let known = ["PVC", "PTFE", "CO2", "ABC", "FFP2", "FFP3", "N95"].contains(&word);
            assert!(!shouts || known, "{word} in {}", caution.line);
        }
    }
    let session = plate();
    for kind in ListKind::ALL {
        for line in gate::list(session.state(), kind).lines {
            assert!(line.text.chars().count() <= 70, "{}", line.text);
        }
    }
}

#[test]
fn d25_the_emergency_card_is_one_key_away_from_every_screen_and_overlay() {
    // In the list of tools a point belongs to a size: the second one opens the card.
    for (keys, card) in [("0", "."), ("7", "."), ("-", "."), ("+", ".."), ("9", ".")] {
        let mut desk = cutting(80, 24, 40);
        desk.keys(keys);
        desk.keys(card);
        let screen = desk.screen();
        for words in [
            "EMERGENCY STOP, if you can reach it.",
            "Warn others. Leave.",
            "HURT  Electric shock: MAINS OFF",
        ] {
            assert!(screen.contains(words), "{keys}: {words}\n{screen}");
        }
    }
}

fn library_with(text: &str) -> millside::profile::library::Library {
    let file = millside::profile::library::ProfileFile {
        origin: millside::profile::fault::Origin::Own,
        file: "own.toml".to_owned(),
        bytes: Ok(std::borrow::Cow::Owned(text.as_bytes().to_vec())),
    };
    millside::profile::library::Library::with_own(&[file])
}

fn faults_of(text: &str) -> Vec<String> {
    let loaded = library_with(text);
    loaded.faults.iter().map(ToString::to_string).collect()
}

fn with_own(text: &str) -> millside::session::state::State {
    let loaded = library_with(text);
    assert!(loaded.faults.is_empty(), "{:?}", loaded.faults);
    let mut state = plate().state().clone();
    state.cautions = loaded.cautions.items().to_vec().into();
    state.left_out = called::left_out(&state.cautions, vec![]);
    state
}

#[test]
fn d26_a_caution_left_out_marks_the_record_and_an_own_list_is_a_part_of_its_own() {
    let state = with_own(
        "format = 1\n[[leave_out]]\ncaution = \"screen-up\"\nreason = \"a wall stands there\"\n",
    );
    let power = gate::list(&state, ListKind::Power).lines;
    assert!(power.iter().all(|line| line.id != "screen-up"));
    let record = millside::record::write::text(&state);
    assert!(
        record.contains("screen-up: a wall stands there"),
        "{record}"
    );
    // Nine lines of one's own stand on pages of their own, of at most seven; a tenth is refused where it is read.
    let mut text = String::from(
        "format = 1\n[[checklist]]\nname = \"ours\"\ntitle = \"Our pockets\"\noperation = \"pocket\"\n",
    );
    for step in 1..=9 {
        text.push_str(&format!(
            "[[checklist.step]]\nline = \"Step {step} is seen\"\nanswer = \"SEEN\"\n"
        ));
    }
    let list = gate::list(&with_own(&text), ListKind::Start);
    assert_eq!(
        list.parts,
        ["BEFORE THIS CUT", "Our pockets", "Our pockets"]
    );
    let own = list.lines.iter().filter(|line| line.part > 0);
    let ids: Vec<String> = own.map(|line| line.id.clone()).collect();
    assert_eq!(ids.len(), 9);
    assert!(ids.is_sorted(), "{ids:?}");
    // They are shown when the first part is answered.
    assert!(list.on_show().iter().all(|line| line.part == 0));
    // Nine single cautions of one's own that a pause asks always; a tenth is refused, and asks which of them goes.
    let single = |count: usize| {
        let mut text = String::from("format = 1\n");
        for line in 1..=count {
            text.push_str(&format!(
                "[[caution]]\nid = \"own-{line}\"\nphase = \"before_start\"\nplace = \"work\"\ncritical = true\n\
                 line = \"Thing {line} is seen\"\nanswer = \"SEEN\"\nwhy = \"It was forgotten once.\"\n\
                 hazard = \"contact\"\nstanding = \"common practice\"\n"
            ));
        }
        text
    };
    let asked = gate::list(&with_own(&single(9)), ListKind::Start);
    let own = asked
        .lines
        .iter()
        .filter(|line| line.id.starts_with("own-"));
    assert_eq!(own.count(), 9);
    let faults = faults_of(&single(10));
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert!(
        faults[0].contains("own-10") && faults[0].contains("say which of them goes"),
        "{faults:?}"
    );
    // One that is asked only where it applies fills no page.
    let rare = single(10).replace(
        "\"Thing 10 is seen\"",
        "\"Thing 10 is seen\"\nwhen = { air_gun = true }",
    );
    assert!(faults_of(&rare).is_empty(), "{:?}", faults_of(&rare));
    // Another kind of operation does not ask them.
    let other = text.replace("pocket\"", "face\"");
    assert_eq!(
        gate::list(&with_own(&other), ListKind::Start).parts.len(),
        1
    );
}

#[test]
fn d29_the_caution_stands_before_the_step_and_the_reason_moves_nothing() {
    let mut desk = demo(80, 24);
    to_step(&mut desk, Step::Tool);
    let rows = page::rows(&desk.model);
    let place = |found: &dyn Fn(&Row) -> bool| rows.iter().position(found);
    let caution = place(&|row| matches!(row, Row::Line(_, line) if line.id == "spindle-dead"));
    let step = place(&|row| {
        matches!(
            row,
            Row::Do {
                act: millside::app::act::Act::Fit,
                ..
            }
        )
    });
    assert!(caution.is_some() && caution < step, "{caution:?} {step:?}");
    let cursor = desk.model.cursor;
    desk.keys("7x");
    assert_eq!((desk.model.cursor, desk.state().step), (cursor, Step::Tool));
}

#[test]
fn a_door_that_is_shut_is_answered_with_the_hands_that_are_out() {
    let library = shipped();
    let mut state = plate().state().clone();
    let bench = library.machines.iter().find(|m| m.name == "bench-mill");
    state.machine = bench.expect("shipped").clone();
    let lines = gate::list(&state, ListKind::Start).lines;
    let hands = lines.iter().find(|line| line.id == "hands-bare-out");
    let hands = hands.expect("asked");
    assert!(hands.text.contains("door shut"), "{}", hands.text);
    assert!(hands.word.contains("SHUT"), "{}", hands.word);
    assert!(lines.iter().all(|line| line.id != "door-shut"));
    let pauses = [Pause::BeforeStart];
    assert!(
        library
            .cautions
            .iter()
            .any(|c| c.id == "door-shut" && pauses.contains(&c.phase))
    );
}

#[test]
fn each_stop_note_shows_its_first_act_its_doubts_and_the_way_on_at_80_columns() {
    for (place, advice) in millside::job::mishap::ADVICE.iter().enumerate() {
        let mut desk = cutting(80, 24, 40);
        desk.keys(&format!("-{}\r\r", place + 1));
        if !millside::app::cards::first_acts(&desk.model, advice.mishap).is_empty() {
            // The first Enter after the number closed the acts; the second one leaves the question.
            desk.keys("\r");
        }
        let screen = desk.screen();
        for words in [
            "Danger, crash, fire: emergency stop.",
            "CHECK, in this order",
            "CHANGE",
            "GO ON, if you choose to",
            "any key: back to the list",
        ] {
            assert!(screen.contains(words), "{}: {words}\n{screen}", advice.id);
        }
        let joined = screen.split_whitespace().collect::<Vec<_>>().join(" ");
        for first in millside::app::cards::first_act(&desk.model, advice.mishap) {
            assert!(joined.contains(&first), "{}: {first}\n{screen}", advice.id);
        }
        assert_eq!(desk.state().phase(), Some(Phase::Waiting), "{}", advice.id);
    }
}

/// Files below a folder whose names end so.
fn files(folder: &std::path::Path, end: &str, found: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            files(&path, end, found);
        } else if path.to_string_lossy().ends_with(end) {
            found.push(path);
        }
    }
}

// A list for a person is the last and weakest of the three steps of risk reduction (ISO 12100 clause 6, from memory): it must not say
// that anything is safe. Safety glasses are a thing, and titles of sources keep their words.
#[test]
fn the_program_never_says_safe() {
    let home = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = vec![];
    files(&home.join("src"), ".rs", &mut all);
    files(&home.join("profiles"), ".toml", &mut all);
    assert!(all.len() > 100, "{}", all.len());
    for file in all {
        let text = std::fs::read_to_string(&file).expect("a text");
        let said = text.split("#[cfg(test)]").next().unwrap_or_default();
        for (line, words) in said.lines().enumerate() {
            if words.trim_start().starts_with("//") {
                continue;
            }
            let says = words
                .to_lowercase()
                .split(|letter: char| !letter.is_alphanumeric())
                .any(|word| ["safe", "safely", "safer"].contains(&word));
            assert!(!says, "{}:{}: {words}", file.display(), line + 1);
        }
    }
}

/// The line about guards as it stands in the list before power.
fn guards(session: &Session) -> gate::Line {
    let lines = gate::list(session.state(), ListKind::Power).lines;
    let line = lines.into_iter().find(|line| line.id == "guards-on");
    line.expect("guards are asked for, whatever was said of them")
}

#[test]
fn a_guard_that_was_said_to_be_off_is_not_asked_to_be_on() {
    let is_off = |off: bool| Event::ConditionStated("guard_removed".to_owned(), Value::Truth(off));
    let on = must(&plate(), is_off(false), second(2));
    assert!(
        guards(&on).text.starts_with("Guards on"),
        "{:?}",
        guards(&on)
    );
    let on = answer_all(&on, ListKind::Power, second(5));
    assert!(!guards(&on).state.is_open());

    // Said to be off: another question, open again, and no line is lost with it.
    let off = must(&on, is_off(true), second(300));
    let line = guards(&off);
    assert!(line.state.is_open() && line.critical, "{line:?}");
    assert!(line.text.starts_with("A guard is off"), "{line:?}");
    assert!(line.text.contains("screened") && !line.word.contains("ON, WHOLE"));
    assert!(line.text.chars().count() <= gate::LONGEST_LINE);
    let ids = |session: &Session| -> Vec<String> {
        let lines = gate::list(session.state(), ListKind::Power).lines;
        lines.into_iter().map(|line| line.id).collect()
    };
    for id in ids(&on) {
        assert!(ids(&off).contains(&id), "{id} is lost");
    }
    // A screen is asked for by itself: it was part of the look at the guards.
    assert!(
        ids(&off).contains(&"screen-up".to_owned()),
        "{:?}",
        ids(&off)
    );
    let words: Vec<String> = gate::obstacles(off.state())
        .into_iter()
        .map(|obstacle| obstacle.words)
        .collect();
    assert!(
        words.iter().any(|words| words.contains("BEFORE POWER")),
        "{words:?}"
    );
    let off = answer_all(&off, ListKind::Power, second(310));
    let kept = off.state().answers.iter().rfind(|a| a.line == "guards-on");
    assert!(kept.is_some_and(|a| a.text.starts_with("A guard is off")));

    // Said once more, it is the same question; on again, it is another.
    let same = must(&off, is_off(true), second(600));
    assert!(!guards(&same).state.is_open());
    let back = must(&same, is_off(false), second(610));
    assert!(guards(&back).state.is_open());
    assert!(guards(&back).text.starts_with("Guards on"));
}

// Not so is an answer and leads to what to do (rule d10: it holds the gate, and asks what is wrong).
#[test]
fn d10_not_so_leads_to_what_to_do() {
    use millside::job::caution::Phase;
    for caution in shipped().cautions.iter() {
        // While it cuts nothing is answered.
        if !caution.critical || caution.phase == Phase::Cutting {
            continue;
        }
        let what = caution.otherwise.as_deref().unwrap_or_default();
        assert!(
            (10..=95).contains(&what.chars().count()),
            "{}: {what}",
            caution.id
        );
        assert!(what.ends_with('.'), "{}: {what}", caution.id);
    }
    let mut desk = support::walk::decided(80, 24);
    to_step(&mut desk, Step::Cut);
    desk.keys("31\r");
    let screen = desk.screen();
    assert!(screen.contains("Not so: loose"), "{screen}");
    assert!(
        screen.contains("Do: Tighten it and push again."),
        "{screen}"
    );
    // What one's own profile says of it stands there, too; without a word of its own there is a general one.
    let own = with_own(
        "format = 1\n[[checklist]]\nname = \"ours\"\ntitle = \"Ours\"\noperation = \"pocket\"\n\
         [[checklist.step]]\nline = \"Nozzle points at the tip\"\nanswer = \"AIMED\"\notherwise = \"Aim it anew.\"\n\
         [[checklist.step]]\nline = \"Brush lies on the bench\"\nanswer = \"THERE\"\n",
    );
    let lines = gate::list(&own, ListKind::Start).lines;
    let of = |id: &str| {
        let line = lines.iter().find(|line| line.id == id);
        line.map(|line| line.otherwise.clone())
    };
    assert_eq!(of("ours-1").as_deref(), Some("Aim it anew."));
    assert_eq!(of("ours-2").as_deref(), Some(gate::OTHERWISE));
}
