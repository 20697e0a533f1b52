//! A tool's speed rating: recipe, check, session and advice never go beyond it, and nothing relaxes it.
//!
//! The rating is the lowest of cutter, arbor and holder, held against the highest rpm that can occur. ISO 15641 treats the
//! strength of milling cutters for high speed machining (from memory). Factors of the machines are those of their profiles.

#[path = "support/plate.rs"]
mod plate;
#[path = "support/session.rs"]
mod session;

use std::process::Command;
use std::process::Output;

use millside::calculator::alternative::alternatives;
use millside::calculator::answer;
use millside::calculator::limit::Kind as LimitKind;
use millside::calculator::limit::Which;
use millside::calculator::question::Aim;
use millside::calculator::question::Cut;
use millside::calculator::question::Question;
use millside::calculator::question::Refusal;
use millside::check;
use millside::check::against::Limits;
use millside::check::against::ToolFacts;
use millside::job::tool::Kind;
use millside::job::tool::Tool;
use millside::job::tool_speed::Faster;
use millside::job::tool_speed::OVER_RATING;
use millside::profile::library::Library;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::quantity::m_per_min;
use millside::quantity::mm;
use millside::quantity::mm_per_min;
use millside::quantity::rpm;
use millside::quantity::to_mm;
use millside::quantity::to_mm_per_min;
use millside::quantity::to_rpm;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::state::StopFinding;

fn question<'a>(library: &'a Library, machine: &str, tool: &'a Tool, cut: Cut) -> Question<'a> {
    Question::new(
        library.machines.get(machine).expect("shipped"),
        library.materials.get("al-6061-t6").expect("shipped"),
        tool,
        cut,
    )
}

fn shelf(library: &Library, name: &str) -> Tool {
    library.tools.get(name).expect("shipped").clone()
}

fn millside(arguments: &[&str]) -> Output {
    let data = tempfile::tempdir().expect("a folder");
    Command::new(env!("CARGO_BIN_EXE_millside"))
        .args(arguments)
        .env("XDG_DATA_HOME", data.path())
        .output()
        .expect("the program starts")
}

fn words(output: &Output) -> String {
    let both = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    String::from_utf8(both).expect("output is UTF-8")
}

/// By hand: a light mill set by knob, 18 % faster without load and set up to 5 % too high, turns 3600 · 1.18 · 1.05 =
/// 4460 rpm at most; the flycutter is rated 1500.
#[test]
fn a_rating_that_is_passed_is_a_danger_of_its_own() {
    let library = Library::shipped();
    let tool = shelf(&library, "flycutter-40");
    let mut q = question(&library, "light-belt-mill", &tool, Cut::Face);
    q.fixed.n = Some(rpm(3600.0));
    q.fixed.ap = Some(mm(0.1));
    let a = answer(&q).expect("an answer");
    let limit = |which| a.limits.iter().find(|limit| limit.which == which);
    let rating = limit(Which::ToolSpeed).expect("listed");
    assert!((rating.used - 4460.4 / 1500.0).abs() < 1e-3, "{rating:?}");
    assert_eq!(rating.which.kind(), LimitKind::Danger);
    assert!(rating.is_exceeded() && a.is_over_speed_rating());
    assert!(rating.which.lift(q.cut).contains("lower rpm"));
    assert!(!rating.which.lift(q.cut).contains("next belt step"));
    // The spindle's own top speed, 9000 rpm, is another limit.
    let top = limit(Which::TopSpeed).expect("listed");
    assert!((top.used - 0.4).abs() < 1e-9);
    for other in alternatives(&q, &a, library.tools.items()) {
        assert!(!other.answer.is_over_speed_rating(), "{}", other.change);
    }
}

/// A recommendation keeps a tenth off the rating: 0.9 · 1500 / (1.18 · 1.05) = 1089.6, and the knob has steps of 50.
#[test]
fn a_recommendation_is_rounded_down_to_what_can_be_set() {
    let library = Library::shipped();
    let tool = shelf(&library, "flycutter-40");
    let mut q = question(&library, "light-belt-mill", &tool, Cut::Face);
    q.fixed.ap = Some(mm(0.1));
    let a = answer(&q).expect("an answer");
    assert!(to_rpm(a.n) <= 1050.0 + 1e-6, "{:?}", a.n);
    assert!((to_rpm(a.n) / 50.0).fract() < 1e-9, "{:?}", a.n);
    // Feed and chip load belong to the rounded rpm.
    let vf = to_mm(a.fz) * f64::from(tool.flutes) * to_rpm(a.n);
    assert!((vf / to_mm_per_min(a.vf) - 1.0).abs() < 1e-9);
}

#[test]
fn every_recommendation_can_be_set_at_the_control() {
    let library = Library::shipped();
    for machine in library.machines.items() {
        for tool in library.tools.items() {
            for cut in Cut::ALL {
                let q = question(&library, &machine.name, tool, cut);
                let Ok(a) = answer(&q) else { continue };
                let n = to_rpm(a.n);
                let by = machine.spindle.step_rpm();
                let steps = (n / by).round() * by;
                let mut ends = machine
                    .spindle
                    .steps
                    .iter()
                    .flat_map(|step| [step.least_rpm.value, step.top_rpm.value]);
                assert!(
                    (n - steps).abs() < 1e-6 || ends.any(|end| (n - end).abs() < 1e-6) || n < by,
                    "{} {} {}: {n}",
                    machine.name,
                    tool.name,
                    cut.word()
                );
            }
        }
    }
}

/// A belt on a motor of one speed: 700 and 1400 rpm, nothing between.
#[test]
fn a_belt_of_single_speeds_gives_those_alone() {
    let library = Library::shipped();
    let mut machine = library
        .machines
        .get("light-belt-mill")
        .expect("shipped")
        .clone();
    machine.spindle.steps.truncate(2);
    for (step, n) in machine.spindle.steps.iter_mut().zip([700.0, 1400.0]) {
        step.least_rpm.value = n;
        step.top_rpm.value = n;
    }
    for (wanted, gives) in [
        (699.0, None),
        (700.0, Some(700.0)),
        (1399.0, Some(700.0)),
        (9000.0, Some(1400.0)),
    ] {
        assert_eq!(machine.spindle.settable_rpm(wanted), gives, "{wanted}");
    }
}

#[test]
fn the_lowest_rating_of_cutter_arbor_and_holder_counts() {
    let library = Library::shipped();
    let mut tool = shelf(&library, "saw-63-1");
    for (cutter, arbor, holder, lowest) in [
        (Some(600.0), None, None, Some(600.0)),
        (Some(600.0), Some(500.0), None, Some(500.0)),
        (Some(600.0), Some(500.0), Some(400.0), Some(400.0)),
        (None, None, Some(800.0), Some(800.0)),
        (None, None, None, None),
    ] {
        tool.cutter_rating_rpm = cutter;
        tool.arbor_rating_rpm = arbor;
        tool.holder_rating_rpm = holder;
        assert_eq!(tool.speed_rating_rpm(), lowest);
        assert_eq!(tool.lacks_speed_rating(), lowest.is_none());
    }
}

#[test]
fn a_tool_that_can_burst_gets_no_recipe_before_its_rating_is_known() {
    let library = Library::shipped();
    let mut tool = shelf(&library, "flycutter-40");
    tool.cutter_rating_rpm = None;
    let q = question(&library, "light-belt-mill", &tool, Cut::Face);
    assert!(matches!(answer(&q), Err(Refusal::NoSpeedRating { .. })));
    let mut large = shelf(&library, "em-10-3f");
    large.cutter_rating_rpm = None;
    for (d, is_asked) in [(24.9, false), (25.0, true), (40.0, true)] {
        large.diameter_mm = d;
        assert_eq!(large.lacks_speed_rating(), is_asked, "{d}");
    }
    for kind in [Kind::Flycutter, Kind::SlittingSaw, Kind::BoringHead] {
        large.kind = kind;
        large.diameter_mm = 12.0;
        assert!(large.lacks_speed_rating(), "{}", kind.word());
    }
    // A spindle that turns no slower than is too fast: no recipe, and why.
    let flycutter = shelf(&library, "flycutter-40");
    let q = question(&library, "gantry-router", &flycutter, Cut::Face);
    assert!(matches!(answer(&q), Err(Refusal::SpindleTooFast { .. })));
}

/// Every rated tool, with each value fixed in turn and with values that no recipe can keep: the search gives up what it
/// must, but never the rating.
#[test]
fn nothing_that_is_proposed_turns_a_tool_faster_than_it_is_rated() {
    let library = Library::shipped();
    let mut asked = 0;
    for machine in library.machines.items() {
        let faster = Faster::of(machine);
        for (row, material) in library.materials.items().iter().enumerate() {
            for (column, tool) in library.tools.items().iter().enumerate() {
                // One in 37, each metal and each tool at least once; all of the rated ones.
                if (row + column) % 37 != 0 && tool.speed_rating_rpm().is_none() {
                    continue;
                }
                let mut tool = tool.clone();
                let rating = tool.speed_rating_rpm().unwrap_or(5000.0);
                tool.cutter_rating_rpm = Some(rating);
                for cut in Cut::ALL {
                    for change in 0..6 {
                        let mut q = Question::new(machine, material, &tool, cut);
                        q.aim = Aim::ALL[change % 3];
                        match change {
                            1 => q.fixed.vf = Some(mm_per_min(900.0)),
                            2 => q.fixed.fz = Some(mm(0.002)),
                            3 => q.fixed.ap = Some(mm(2.0 * tool.diameter_mm)),
                            4 => q.fixed.ap = Some(mm(0.01)),
                            5 => q.fixed.ae = Some(mm(0.01 * tool.diameter_mm)),
                            _ => {}
                        }
                        let Ok(a) = answer(&q) else { continue };
                        asked += 1;
                        let highest = faster.highest(to_rpm(a.n));
                        assert!(
                            highest <= rating,
                            "{} {} {} {} {change}: {highest} of {rating}",
                            machine.name,
                            material.name,
                            tool.name,
                            cut.word()
                        );
                    }
                }
            }
        }
    }
    assert!(asked > 3_000, "{asked}");
}

#[test]
fn the_command_asks_for_a_rating_and_ends_with_one_where_it_is_passed() {
    let light = [
        "recipe",
        "--machine",
        "light-belt-mill",
        "--material",
        "al-6061-t6",
    ];
    let flycutter = [
        "--tool",
        "flycutter-40",
        "--tool-material",
        "carbide",
        "--cut",
        "face",
    ];
    let fast = millside(&[&light[..], &flycutter, &["--n", "3600", "--ap", "0.1"]].concat());
    assert_eq!(fast.status.code(), Some(1));
    let page = words(&fast);
    assert!(page.contains("EXCEEDED"), "{page}");
    assert!(page.contains("tool speed rating"), "{page}");
    assert!(page.contains("the tool is rated 1500 rpm"), "{page}");
    // A higher one that was read on the cutter counts in place of the shelf's.
    let rated = ["--n", "3600", "--ap", "0.1", "--speed-rating", "6000"];
    let read = words(&millside(&[&light[..], &flycutter, &rated].concat()));
    assert!(read.contains("the tool is rated 6000 rpm"), "{read}");
    let bare = [
        "--diameter",
        "30mm",
        "--flutes",
        "2",
        "--tool-material",
        "hss",
        "--cut",
        "face",
    ];
    let unrated = millside(&[&light[..], &bare].concat());
    assert_eq!(unrated.status.code(), Some(2), "{}", words(&unrated));
    assert!(
        words(&unrated).contains("speed rating"),
        "{}",
        words(&unrated)
    );
    let entered = millside(&[&light[..], &bare, &["--speed-rating", "4000"]].concat());
    assert_ne!(entered.status.code(), Some(2), "{}", words(&entered));
}

fn facts(name: &str) -> ToolFacts {
    ToolFacts::of(&shelf(&Library::shipped(), name))
}

/// The finding of a program that faces with this tool at S, on a machine.
fn found(s: f64, tool: &str, machine: Option<&str>) -> Option<(Level, String)> {
    let library = Library::shipped();
    let text = format!(
        "G21 G90 G17\nT1 M6\nM3 S{s}\nG0 X-25 Y20 Z5\nG1 Z-0.2 F200\nX150 F300\nG0 Z5\nM5\nM30\n"
    );
    let mut against = plate::with_tool(facts(tool));
    against.machine = machine.map(|name| Limits::of(library.machines.get(name).expect("shipped")));
    let options = ReadOptions::default();
    let (_, report) = check::examine(text.as_bytes(), &options, &against).expect("readable");
    plate::find(&report, OVER_RATING).map(|f| (f.level, f.message.clone()))
}

#[test]
fn a_program_that_turns_a_tool_too_fast_is_stopped() {
    let level = |s, tool| found(s, tool, None).map(|(level, _)| level);
    assert_eq!(level(4500.0, "flycutter-40"), Some(Level::Stop));
    assert_eq!(level(3000.0, "saw-63-1"), Some(Level::Stop));
    assert_eq!(level(400.0, "saw-63-1"), None);
    assert_eq!(level(9000.0, "em-6-2f"), None);
}

/// By hand: S1200 with an override to 150 % and 5 % more without load becomes 1200 · 1.5 · 1.05 = 1890 rpm; S950 becomes
/// 1496. On a spindle set by hand S1200 becomes 1200 · 1.18 · 1.05 = 1487.
#[test]
fn the_check_counts_override_load_and_knob() {
    let look = |s: f64, machine| found(s, "flycutter-40", Some(machine)).map(|(_, words)| words);
    let over = look(1200.0, "bench-mill").expect("found");
    assert!(over.contains("S1200 can become 1890 rpm"), "{over}");
    assert_eq!(look(950.0, "bench-mill"), None);
    assert_eq!(look(1200.0, "light-belt-mill"), None);
    assert!(look(1250.0, "light-belt-mill").is_some());
}

// Where the knob alone says how fast, the program cannot be held against the rating: that is said, with the most that may be set.
#[test]
fn a_rated_tool_that_the_program_gives_no_speed_is_said_to_be_unchecked() {
    let library = Library::shipped();
    let text = "G21 G90 G17\nT1 M6\nM3\nG0 X-25 Y20 Z5\nG1 Z-0.2 F200\nX150 F300\nG0 Z5\nM5\nM30\n";
    let look = |tool: &str| {
        let mut against = plate::with_tool(facts(tool));
        let machine = library.machines.get("light-belt-mill").expect("shipped");
        against.machine = Some(Limits::of(machine));
        let options = ReadOptions::default();
        let (_, report) = check::examine(text.as_bytes(), &options, &against).expect("readable");
        plate::find(&report, "tool-speed-unknown").map(|f| f.message.clone())
    };
    let said = look("flycutter-40").expect("said");
    for words in ["no speed for T1", "rated 1500 rpm", "Set no more than"] {
        assert!(said.contains(words), "{said}");
    }
    assert_eq!(look("em-6-2f"), None);
}

#[test]
fn a_tool_without_a_rating_is_said_to_be_unchecked() {
    let unrated = |tool: ToolFacts| {
        let (_, report) = plate::examine("G1 X20 F200\n", &plate::with_tool(tool));
        plate::find(&report, "tool-speed-unknown").map(|f| f.message.clone())
    };
    let mut saw = facts("saw-63-1");
    saw.speed_rating_rpm = None;
    let said = unrated(saw).expect("said");
    assert!(
        said.contains("Not checked: the speed rating of T1"),
        "{said}"
    );
    assert_eq!(unrated(facts("em-6-2f")), None);
    assert_eq!(unrated(facts("flycutter-40")), None);
}

#[test]
fn the_session_takes_no_recipe_and_no_reason_beyond_the_rating() {
    let at = session::second(0);
    let plate = session::plate_with_program();
    let mut tool = plate.state().rack[0].tool.clone();
    // By hand: 9000 rpm of the recipe can become 9000 · 1.18 · 1.05 = 11151.
    tool.cutter_rating_rpm = Some(11_000.0);
    let edited = |tool: &Tool| Event::ToolEdited {
        index: 0,
        tool: Box::new(tool.clone()),
        stick_out: None,
    };
    let recipe = Event::RecipeDecided(Box::new(session::recipe()));
    let slow = session::must(&plate, edited(&tool), at);
    let refused = slow.apply(recipe.clone(), at).expect_err("too fast");
    assert!(
        refused.why.contains("9000 rpm can become 11151"),
        "{}",
        refused.why
    );
    tool.cutter_rating_rpm = Some(11_200.0);
    let fast = session::must(&plate, edited(&tool), at);
    let taken = session::must(&fast, recipe.clone(), at);
    assert!(!blocked(&taken));
    // A rating that turns out lower keeps the clock off, whatever was decided before.
    tool.cutter_rating_rpm = Some(4_000.0);
    assert!(blocked(&session::must(&taken, edited(&tool), at)));
    // So does one that nobody has read.
    tool.cutter_rating_rpm = None;
    tool.kind = Kind::Flycutter;
    let unrated = session::must(&plate, edited(&tool), at);
    let refused = unrated.apply(recipe, at).expect_err("not rated");
    assert!(refused.why.contains("not known"), "{}", refused.why);
}

fn blocked(session: &millside::session::Session) -> bool {
    let mut all = gate::obstacles(session.state()).into_iter();
    all.any(|obstacle| obstacle.words.contains("rated"))
}

#[test]
fn an_acceptance_of_the_finding_counts_for_nothing() {
    let at = session::second(0);
    let id = format!("{OVER_RATING} line 5");
    let with = |accepted: Option<String>| {
        let mut program = session::program();
        program.stops = vec![StopFinding {
            id: id.clone(),
            message: "T1 is rated 1500 rpm; S4500 can become 5670 rpm.".to_owned(),
            accepted,
        }];
        session::must(&session::plate(), Event::ProgramRead(Box::new(program)), at)
    };
    let accept = Event::StopAccepted {
        finding: id.clone(),
        reason: "it ran like this before".to_owned(),
    };
    let refused = with(None)
        .apply(accept, at)
        .expect_err("no reason accepts it");
    assert!(refused.why.contains("nothing accepts"), "{}", refused.why);
    // Written into the record by hand.
    let edited = with(Some("it ran like this before".to_owned()));
    assert!(
        edited
            .state()
            .current_setup()
            .program
            .as_ref()
            .expect("read")
            .stops[0]
            .is_open()
    );
    assert!(blocked(&edited));
}

/// The knob has steps of 50. End mill of 6 mm at 100 m/min: 100 000 / (pi * 6) = 5305.
#[test]
fn the_rpm_of_a_fixed_surface_speed_is_rounded_down_to_what_can_be_set() {
    let library = Library::shipped();
    let tool = shelf(&library, "em-6-2f");
    let mut q = question(&library, "light-belt-mill", &tool, Cut::Slot);
    q.fixed.ap = Some(mm(0.2));
    q.fixed.vc = Some(m_per_min(100.0));
    let a = answer(&q).expect("an answer");
    assert!((to_rpm(a.n) - 5300.0).abs() < 1e-6, "{:?}", a.n);
    // A drill of 5 mm at 30 m/min: 30 000 / (pi * 5) = 1910.
    let drill = shelf(&library, "drill-5");
    let mut q = question(&library, "light-belt-mill", &drill, Cut::Drill);
    q.fixed.vc = Some(m_per_min(30.0));
    let a = answer(&q).expect("an answer");
    assert!((to_rpm(a.n) - 1900.0).abs() < 1e-6, "{:?}", a.n);
}
