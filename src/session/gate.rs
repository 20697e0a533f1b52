//! May the clock of this operation be turned on, and if not, what is open?

use std::cell::OnceCell;

use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;

use crate::job::caution;
use crate::job::caution::Caution;
use crate::job::caution::Phase as Pause;
use crate::job::conditions::Value;
use crate::job::holding::HeldBy;
use crate::job::operation::Progress;
use crate::job::typed::plain;
use crate::measure::size;
use crate::session::bond;
use crate::session::called;
use crate::session::clock::Phase;
use crate::session::event::Answer;
use crate::session::fact::FactKind;
use crate::session::fact::FactState;
use crate::session::gauging;
use crate::session::guards;
use crate::session::joined;
use crate::session::known;
use crate::session::matrix::Anew;
use crate::session::matrix::Happening;
use crate::session::pages;
use crate::session::recovery;
use crate::session::says;
use crate::session::shop;
use crate::session::state::Answered;
use crate::session::state::State;
use crate::session::state::Step;
use crate::session::tool_speed;
use crate::session::z_surface;

pub use crate::session::lines::Line;
pub use crate::session::lines::LineState;
pub use crate::session::lines::List;
pub use crate::session::lines::ListKind;
pub use crate::session::lines::MOST_LINES;
pub use crate::session::lines::Manner;
pub use crate::session::lines::OTHERWISE;
pub use crate::session::lines::Way;

/// Asked once a setup, not at every tool change: they hold as long as the machine does.
const ONCE: &[&str] = &[
    "no-power-nut",
    "power-drawbar-hand",
    "changer-zone",
    "head-supported",
];

/// Its numbers are asked one by one, as length and recipe.
const ASKED_AS_FACTS: &[&str] = &["recheck-new-tool"];

/// After a pause the feed can go on into metal with a dead spindle.
pub const FULL_SPEED: &str = "spindle-before-feed";

/// Asked before a hand goes to work or table again once the spindle has turned.
const AT_REST: &[&str] = &["spindle-dead", "let-it-stop"];

/// Asked where belt or gear is moved between two operations.
const SHIFT: &str = "stop-to-shift";

/// Asked at every start, with a hand on the machine.
const HANDS_ON: &[&str] = &["work-tight", "keys-off"];

/// Lines that are a caution and a fact at once: the person answers both with one look.
const FACT_OF_CAUTION: &[(&str, FactKind)] = &[
    ("clear-to-home", FactKind::Position),
    ("seat-and-grip", FactKind::ToolIn),
    ("work-tight", FactKind::Held),
    ("match-tool-program", FactKind::Recipe),
];

/// Names what holds the part, once that is stated.
const CLAMPS_CLEAR: &str = "clamps-clear";

/// A line is at most this long, in characters.
pub const LONGEST_LINE: usize = 70;

/// Something that keeps the clock from being turned to cutting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Obstacle {
    /// One sentence.
    pub words: String,
    /// Where to mend it.
    pub at: Step,
}

/// Lines that speak of homing, for a machine that has no switches to home to: (caution, line, state).
const WITHOUT_HOME: &[(&str, &str, &str)] = &[
    (
        "power-back",
        "Power came back: hands out; X, Y and Z are set anew from here",
        "OUT, TO BE SET",
    ),
    (
        POSITION_AFTER_STOP,
        "Emergency stop let go: hands out; X, Y and Z are set anew from here",
        "OUT, TO BE SET",
    ),
];

/// Asked after a stop that takes the current from the axes.
const POSITION_AFTER_STOP: &str = "position-after-stop";

/// The same line where nobody said that the emergency stop was pressed.
fn position_line(state: &State) -> (&'static str, &'static str) {
    if has_home(state) {
        (
            "Stopped in the cut: hands out, homed again, zero read again",
            "HOMED, ZERO FOUND",
        )
    } else {
        (
            "Stopped in the cut: hands out; X, Y and Z are set anew from here",
            "OUT, TO BE SET",
        )
    }
}

/// The last answer to a line of a list, as far as it is about this setup and operation.
pub(in crate::session) fn last_answer<'a>(
    state: &'a State,
    list: ListKind,
    id: &str,
) -> Option<&'a Answered> {
    let is_here = |answered: &Answered| called::is_here(state, list, answered);
    state.answers.last_to(id, is_here)
}

fn stands<'a>(state: &'a State, list: ListKind, id: &str) -> Option<&'a Answered> {
    last_answer(state, list, id).filter(|answered| answered.stands)
}

/// The last stop since a line of the list before a cut fell for another reason: that is why it is asked now.
fn graver_since(
    state: &State,
    list: ListKind,
    fell: DateTime<FixedOffset>,
) -> Option<(Happening, DateTime<FixedOffset>)> {
    let mut log = state.log.iter().rev();
    log.find(|logged| logged.at >= fell && logged.what.is_stop())
        .filter(|logged| list == ListKind::Start && logged.what.row().reopens_list())
        .map(|logged| (logged.what, logged.at))
}

fn line_state(state: &State, list: ListKind, id: &str, fact: Option<FactKind>) -> LineState {
    if let Some(kind) = fact
        && let FactState::Redo { what, since } = state.fact(kind)
    {
        return LineState::Redo(what, since);
    }
    let Some(last) = last_answer(state, list, id) else {
        return LineState::Open;
    };
    if !last.stands {
        return last
            .fell
            .map(|fell| graver_since(state, list, fell.at).unwrap_or((fell.what, fell.at)))
            .map_or(LineState::Open, |(what, at)| LineState::Redo(what, at));
    }
    match &last.answer {
        Answer::NotSo(words) => LineState::NotSo(words.clone()),
        Answer::So if fact.is_none_or(|kind| state.fact(kind).is_good()) => LineState::Answered,
        Answer::So => LineState::Open,
    }
}

fn caution_line(state: &State, list: ListKind, caution: &Caution) -> Line {
    let fact = FACT_OF_CAUTION
        .iter()
        .find(|(id, _)| *id == caution.id)
        .map(|(_, kind)| *kind);
    let text = match fact {
        Some(FactKind::ToolIn) => tool_text(state),
        Some(FactKind::Recipe) => recipe_text(state),
        _ => None,
    };
    // True for what holds it; who worded the line anew has words of their own.
    let by = (!caution.reworded)
        .then_some(state.current_setup().holding.as_ref())
        .flatten()
        .map(|holding| holding.by);
    let held = match fact {
        Some(FactKind::Held) => by.map(HeldBy::tight),
        _ if caution.id == CLAMPS_CLEAR => by.map(HeldBy::clear),
        _ => None,
    };
    let is_own = !caution.reworded;
    let guard = is_own.then(|| guards::line(state, &caution.id)).flatten();
    let homeless = (is_own && !has_home(state))
        .then(|| WITHOUT_HOME.iter().find(|(id, ..)| *id == caution.id))
        .flatten()
        .map(|(_, line, word)| (*line, *word));
    let unsaid = (is_own && caution.id == POSITION_AFTER_STOP && !recovery::was_emergency(state))
        .then(|| position_line(state));
    let other = held.or(guard).or(unsaid).or(homeless);
    let accepts = caution.id == known::MATERIAL_AND_COOLANT;
    let word = match fact {
        // The words that the state puts in for the caution's own have their answer with them.
        Some(FactKind::ToolIn) if text.is_some() => Some("IN, CLEAN, TIGHT".to_owned()),
        _ => other.map(|(_, word)| word.to_owned()),
    };
    let text = text.or(other.map(|(line, _)| line.to_owned()));
    let text = if accepts {
        Some(known::material_and_coolant(state))
    } else {
        text
    };
    let stands = shop::with_facts(
        state,
        &caution.id,
        line_state(state, list, &caution.id, fact),
    );
    Line {
        state: stands,
        id: caution.id.clone(),
        text: text.unwrap_or_else(|| caution.line.clone()),
        word: word
            .or_else(|| caution.answer.clone())
            .unwrap_or_else(|| "SEEN".to_owned()),
        why: caution.why.clone(),
        otherwise: caution
            .otherwise
            .clone()
            .unwrap_or_else(|| OTHERWISE.to_owned()),
        says: says::beside(state, &caution.id),
        critical: caution.critical,
        is_worst: caution.repeat,
        part: 0,
        fact,
        way: Way::Press,
        is_at_spindle: caution.phase == Pause::ToolChange,
    }
}

fn tool_text(state: &State) -> Option<String> {
    let rack = state.rack.get(state.planned_tool()?)?;
    let number = rack.number.map_or(String::new(), |n| format!(" {n}"));
    let out = plain(rack.stick_out_mm());
    let text = format!(
        "Tool{number} is in, collet clean, tight, {out} mm out: {}",
        rack.tool.title
    );
    Some(at_most_a_line(&text))
}

/// The text in the length of a line, cut between words.
fn at_most_a_line(text: &str) -> String {
    if text.chars().count() <= LONGEST_LINE {
        return text.to_owned();
    }
    let cut: String = text.chars().take(LONGEST_LINE + 1).collect();
    let whole = cut
        .rsplit_once(' ')
        .map_or(cut.as_str(), |(words, _)| words);
    // Better without its last part than with half of it.
    let parts = whole
        .rsplit_once(", ")
        .map(|(parts, _)| parts)
        .filter(|parts| parts.chars().count() * 3 >= LONGEST_LINE * 2);
    parts
        .unwrap_or(whole)
        .trim_end_matches([',', ':'])
        .to_owned()
}

fn recipe_text(state: &State) -> Option<String> {
    let operation = state.current_operation()?;
    let recipe = operation.recipe.as_ref()?;
    let percent = recipe
        .override_percent
        .map_or(String::new(), |p| format!(", override {p:.0} %"));
    let belt = match &recipe.belt {
        Some(belt) if state.machine.spindle.steps.len() > 1 => format!(", belt {belt}"),
        _ => String::new(),
    };
    let set = format!("{:.0} rpm{belt}{percent}", recipe.n_rpm);
    let whole = format!("At the machine: {set}; tool, program, zero match");
    Some(if whole.chars().count() <= LONGEST_LINE {
        whole
    } else {
        format!("Machine: {set}; tool, program, zero match")
    })
}

fn fact_line(state: &State, list: ListKind, kind: FactKind, way: Way, word: &str) -> Line {
    let id = kind.id();
    let fact = state.fact(kind);
    let line_state = match (&fact, way) {
        (FactState::Good { .. }, Way::At(_)) => LineState::Answered,
        _ => line_state(state, list, id, Some(kind)),
    };
    Line {
        id: id.to_owned(),
        text: kind.statement().to_owned(),
        word: word.to_owned(),
        why: "The clock waits until this is known.".to_owned(),
        otherwise: match kind {
            FactKind::ViceTrue => {
                "Set vice or fence true with an indicator, or tram the head; then X and Y anew."
                    .to_owned()
            }
            _ => OTHERWISE.to_owned(),
        },
        says: says::beside(state, id),
        critical: true,
        is_worst: false,
        part: 0,
        fact: Some(kind),
        way,
        is_at_spindle: false,
        state: line_state,
    }
}

/// Facts that need a value, where it is entered, and the state named.
const ENTERED: &[(FactKind, Step, &str)] = &[
    (FactKind::Program, Step::Program, "AGREES"),
    (FactKind::Stock, Step::Stock, "MEASURED"),
    (FactKind::XyZero, Step::Xy, "SET"),
    (FactKind::ZReference, Step::Z, "SET"),
    (FactKind::ToolLength, Step::Z, "SET"),
    (FactKind::AirRun, Step::Air, "HAS RUN"),
];

/// Builds a list from the state. The same state gives the same list.
pub fn list(state: &State, kind: ListKind) -> List {
    let known = known::conditions(state);
    let operation = state.current_operation().map(|operation| operation.kind);
    let pick = |pause: Pause| {
        let mut picked = caution::select(&state.cautions, pause, &known);
        picked.retain(|caution| {
            let checklist = caution.checklist.as_ref();
            checklist.is_none_or(|place| Some(place.kind) == operation)
        });
        picked
    };
    let mut first = vec![];
    let (asked, mut lines): (Vec<&Caution>, Vec<Line>) = match kind {
        ListKind::Power => (pick(Pause::BeforePower), vec![]),
        ListKind::Setup => {
            let mut asked = pick(Pause::Setup);
            asked.extend(
                pick(Pause::ToolChange)
                    .into_iter()
                    .filter(|c| ONCE.contains(&c.id.as_str())),
            );
            if !has_home(state) {
                asked.retain(|caution| caution.id != "clear-to-home");
            }
            let mut facts = vec![];
            if needs(state).contains(&FactKind::ViceTrue) {
                facts.push(fact_line(
                    state,
                    kind,
                    FactKind::ViceTrue,
                    Way::Press,
                    "TRUE",
                ));
            }
            (asked, facts)
        }
        ListKind::Start => {
            first = entered_facts(state);
            first.splice(0..0, gauge_lines(state));
            (start_cautions(state, &pick), vec![])
        }
        ListKind::Release => (pick(Pause::Measuring), sizes(state)),
        ListKind::Recovery => (recovery::cautions(state), vec![]),
        ListKind::Leaving => (pick(Pause::End), vec![]),
    };
    let (own, shipped): (Vec<&Caution>, Vec<&Caution>) = asked
        .iter()
        .filter(|caution| caution.critical)
        .partition(|caution| caution.checklist.is_some());
    let mut critical: Vec<Line> = shipped
        .into_iter()
        .map(|caution| caution_line(state, kind, caution))
        .collect();
    critical.append(&mut lines);
    joined::join(state, &mut critical);
    let is_cut = operation.is_some_and(|kind| kind.is_cut());
    if kind == ListKind::Start && is_cut {
        let here: Vec<String> = critical.iter().map(|line| line.id.clone()).collect();
        critical.extend(shop::lines(state, |id| is_asked(state, &here, id)));
    }
    critical.extend(own.iter().map(|caution| caution_line(state, kind, caution)));
    let parts = pages::split(state, kind, &mut critical);
    let reminders = asked
        .iter()
        .filter(|caution| !caution.critical)
        .map(|c| c.line.clone())
        .collect();
    let by_itself = ["automatic", "remote", "timed"]
        .iter()
        .any(|word| known.get("start") == Some(&Value::Word((*word).to_owned())));
    let is_rare = by_itself || guards::is_off(state);
    let one_at_a_time = match kind {
        ListKind::Recovery => true,
        ListKind::Start => {
            is_rare && critical.iter().any(|line| line.is_at_spindle)
                || own.iter().any(|caution| {
                    caution
                        .checklist
                        .as_ref()
                        .is_some_and(|place| place.one_at_a_time)
                })
        }
        _ => false,
    };
    List {
        kind,
        manner: if one_at_a_time {
            Manner::OneAtATime
        } else {
            Manner::DoThenAnswer
        },
        first,
        lines: critical,
        parts,
        reminders,
    }
}

/// Whether this list, or one before it, asks for a caution.
fn is_asked(state: &State, here: &[String], id: &str) -> bool {
    let asks = |line: &str| line == id || joined::answered_with(state, line) == Some(id);
    here.iter().any(|line| asks(line))
        || [ListKind::Power, ListKind::Setup]
            .into_iter()
            .any(|kind| list(state, kind).lines.iter().any(|line| asks(&line.id)))
}

/// Names of the lines that are answered before a hand goes to the spindle.
pub(in crate::session) fn before_the_hand(state: &State) -> Vec<String> {
    state
        .cautions
        .iter()
        .filter(|caution| caution.phase == Pause::ToolChange)
        .filter(|caution| !FACT_OF_CAUTION.iter().any(|(id, _)| *id == caution.id))
        .map(|caution| caution.id.clone())
        .collect()
}

fn start_cautions<'a>(
    state: &'a State,
    pick: &dyn Fn(Pause) -> Vec<&'a Caution>,
) -> Vec<&'a Caution> {
    let Some(operation) = state.current_operation() else {
        return vec![];
    };

    if !operation.kind.is_cut() {
        let mut asked = pick(Pause::Measuring);
        let own = pick(Pause::BeforeStart).into_iter();
        asked.extend(own.filter(|caution| caution.checklist.is_some()));
        return asked;
    }
    let was_answered = |id: &str| stands(state, ListKind::Start, id).is_some();
    let has_begun = operation.progress == Progress::Begun;
    let has_run = has_begun && state.phase() != Some(Phase::Cutting);
    let is_in = state.fact(FactKind::ToolIn).is_good();
    // Once the spindle has turned, what was said before the hand went to it is no longer so.
    let hand_at_spindle = !is_in || was_answered("seat-and-grip") && !has_begun;
    let feels = bond::is_due(state) && !was_answered(bond::COOL);
    let hand_on_work = has_run && (feels || HANDS_ON.iter().any(|id| !was_answered(id)));
    let mut asked: Vec<&Caution> = vec![];
    let at_tool = pick(Pause::ToolChange);
    let shifts = !has_begun && at_tool.iter().any(|caution| caution.id == SHIFT);
    if hand_at_spindle || hand_on_work || shifts {
        asked.extend(at_tool.into_iter().filter(|caution| {
            let id = caution.id.as_str();
            let is_asked = match id {
                SHIFT => shifts,
                _ => hand_at_spindle || AT_REST.contains(&id),
            };
            is_asked && !ONCE.contains(&id) && !ASKED_AS_FACTS.contains(&id)
        }));
        // The spindle is dead before a hand goes to it; that the tool is in is answered last.
        asked.sort_by_key(|caution| FACT_OF_CAUTION.iter().any(|(id, _)| *id == caution.id));
    }
    let is_full = state.list_is_full;
    let ends_with_cut = Anew::CutBegan.row().id;
    let recipe_open = !state.fact(FactKind::Recipe).is_good() || was_answered("match-tool-program");
    asked.extend(pick(Pause::BeforeStart).into_iter().filter(|caution| {
        if caution.id == FULL_SPEED {
            // Asked where the feed can go on into metal, whatever the cut was left for.
            return has_run;
        }
        if caution.asked_again_by.iter().any(|by| by == ends_with_cut) && has_begun {
            // While it cuts this is not so, and at each new start of the same cut it is seen again.
            return has_run;
        }
        is_full
            || caution.repeat
            || caution.id == bond::COOL
            || caution.checklist.is_some()
            || was_answered(&caution.id)
            || (caution.id == "match-tool-program" && recipe_open)
    }));
    asked
}

fn entered_facts(state: &State) -> Vec<Line> {
    let needed = needs(state);
    ENTERED
        .iter()
        .filter(|(kind, ..)| needed.contains(kind) && !state.fact(*kind).is_good())
        .map(|(kind, step, word)| fact_line(state, ListKind::Start, *kind, Way::At(*step), word))
        .collect()
}

/// The size that a line of the list before the part is let go is about, by its place.
pub fn size_of(id: &str) -> Option<usize> {
    let rest = id
        .strip_prefix(UNMEASURED)
        .or_else(|| id.strip_prefix(OUT_OF_SIZE))?;
    let number = rest.split('-').next()?.parse::<usize>().ok()?;
    number.checked_sub(1)
}

/// Names of the lines about sizes begin so; their place follows.
const UNMEASURED: &str = "unmeasured-";
const OUT_OF_SIZE: &str = "out-of-size-";

/// Sizes to gauge before the tool in the spindle comes out.
fn gauge_lines(state: &State) -> Vec<Line> {
    let readings = &state.current_setup().readings;
    gauging::due(state)
        .into_iter()
        .filter_map(|place| Some((place, readings.get(place)?)))
        .map(|(place, reading)| Line {
            id: format!("gauge-{}", place + 1),
            text: at_most_a_line(&gauging::words(reading)),
            word: "GAUGED".to_owned(),
            why: "With another tool in, what is left cannot be cut with the same setting."
                .to_owned(),
            otherwise: "With the next tool in, this is no longer asked; the size stands open before the part is let go."
                .to_owned(),
            says: None,
            critical: true,
            is_worst: false,
            part: 0,
            fact: None,
            way: Way::At(Step::Measure),
            is_at_spindle: false,
            state: LineState::Open,
        })
        .collect()
}

/// Sizes that were not measured, or do not keep their tolerance: once the part is let go neither is mended.
fn sizes(state: &State) -> Vec<Line> {
    let readings = &state.current_setup().readings;
    let asked = readings.iter().enumerate().filter_map(|(place, reading)| {
        let place = place + 1;
        let Some(actual) = &reading.actual else {
            return Some((
                format!("{UNMEASURED}{place}"),
                "Not measured: ",
                reading.what.as_str(),
                ". Leave it unmeasured?".to_owned(),
                "LEFT UNMEASURED",
            ));
        };
        let beyond = size::beyond(reading)?;
        let value = plain(actual.value);
        Some((
            // Another reading is another question.
            format!("{OUT_OF_SIZE}{place}-{value}"),
            "",
            reading.what.as_str(),
            format!(" {value}: {beyond}; leave it so?"),
            "LEFT SO",
        ))
    });
    asked
        .map(|(id, before, what, after, word)| {
            let room = LONGEST_LINE.saturating_sub(before.len() + after.chars().count());
            let what: String = what.chars().take(room).collect();
            Line {
                state: line_state(state, ListKind::Release, &id, None),
                text: format!("{before}{what}{after}"),
                id,
                word: word.to_owned(),
                why: "Once let go, the part cannot be cut again from the same zero.".to_owned(),
                otherwise: "Measure it, or cut it again, while the part is still held.".to_owned(),
                says: None,
                critical: true,
                is_worst: false,
                part: 0,
                fact: None,
                way: Way::Press,
                is_at_spindle: false,
            }
        })
        .collect()
}

/// Whether the machine finds its position by itself.
fn has_home(state: &State) -> bool {
    state.machine.control.has_home_switches.value
}

/// The facts that the operation in work needs.
///
/// Whether something runs true matters where a vice or a fence holds the part.
pub fn needs(state: &State) -> Vec<FactKind> {
    if !state
        .current_operation()
        .is_some_and(|operation| operation.kind.is_cut())
    {
        return vec![];
    }
    let by = state
        .current_setup()
        .holding
        .as_ref()
        .map(|holding| holding.by);
    let must_run_true = matches!(by, None | Some(HeldBy::Vice | HeldBy::Dowels));
    FactKind::ALL
        .into_iter()
        .filter(|kind| must_run_true || *kind != FactKind::ViceTrue)
        .collect()
}

/// The lists of one state, each built when it is first asked for and once: a page and what keeps the clock off look at the same ones.
pub struct Lists<'a> {
    /// Whose lists they are.
    pub state: &'a State,
    built: [OnceCell<List>; ListKind::ALL.len()],
}

impl<'a> Lists<'a> {
    /// Of this state; nothing is built yet.
    pub fn of(state: &'a State) -> Self {
        Self {
            state,
            built: Default::default(),
        }
    }

    /// One of them.
    pub fn get(&self, kind: ListKind) -> &List {
        self.built[kind as usize].get_or_init(|| list(self.state, kind))
    }
}

/// All that keeps the clock of the operation in work from being turned to cutting.
pub fn obstacles(state: &State) -> Vec<Obstacle> {
    obstacles_of(&Lists::of(state))
}

/// As [`obstacles`], with lists that may be built already.
pub fn obstacles_of(lists: &Lists<'_>) -> Vec<Obstacle> {
    let state = lists.state;
    let mut all = vec![];
    let mut say = |at: Step, words: String| all.push(Obstacle { words, at });
    let setup = state.current_setup();
    let Some(operation) = state.current_operation() else {
        say(Step::Program, "there is no operation yet".to_owned());
        return all;
    };
    if operation.progress.is_done() {
        say(
            Step::Cut,
            format!("{} is {}", operation.title, operation.progress.word()),
        );
    }
    if setup.let_go.is_some() {
        say(
            Step::Release,
            "the part of this setup was let go".to_owned(),
        );
    }
    if state.gap.is_some() {
        say(
            Step::Cut,
            "say first what an unseen stretch of time was".to_owned(),
        );
    }
    // As on the page: what a stop left open comes before all that a start asks.
    for line in &lists.get(ListKind::Recovery).lines {
        if line.state.is_open() {
            say(Step::Cut, line.text.clone());
        }
    }
    if operation.kind.is_cut() {
        if operation.tool.is_none() {
            say(Step::Tool, "no tool is planned".to_owned());
        } else if state.in_spindle != operation.tool {
            say(Step::Tool, "the planned tool is not in".to_owned());
        }
        if operation.recipe.is_none() {
            say(Step::Recipe, "no recipe is decided".to_owned());
        }
        if let Some(why) = tool_speed::of_operation(state) {
            say(Step::Recipe, why);
        }
        if let Some(stop) = tool_speed::of_program(state) {
            say(Step::Program, stop.message.clone());
        }
        if setup.holding.is_none() {
            say(
                Step::Hold,
                "say what holds the part, and where it stands in the way".to_owned(),
            );
        }
        for kind in [ListKind::Power, ListKind::Setup] {
            let list = lists.get(kind);
            if list.open() > 0 {
                say(
                    Step::Hold,
                    format!("{}: {} open", list.kind.heading(), list.open()),
                );
            }
        }
    }
    if let Some(why) = z_surface::lost(state) {
        say(Step::Z, why);
    }
    let start = lists.get(ListKind::Start);
    for line in start.lines.iter().filter(|line| line.state.is_open()) {
        say(Step::Cut, line.text.clone());
    }
    if start.lines.is_empty() {
        // An empty list protects nobody: something failed to load.
        say(Step::Cut, "no cautions are loaded".to_owned());
    }
    for kind in needs(state) {
        if kind == FactKind::Position && !has_home(state) && !state.fact(FactKind::XyZero).is_good()
        {
            // Without switches the position comes with the zero, which is named already.
            continue;
        }
        let is_listed = start.lines.iter().any(|line| line.fact == Some(kind));
        if !state.fact(kind).is_good() && !is_listed {
            say(step_of(kind), kind.statement().to_owned());
        }
    }
    all
}

/// The step at which a fact is made good.
pub fn step_of(kind: FactKind) -> Step {
    match kind {
        FactKind::Program => Step::Program,
        FactKind::Stock => Step::Stock,
        FactKind::ViceTrue | FactKind::Held | FactKind::Position => Step::Hold,
        FactKind::XyZero => Step::Xy,
        FactKind::ToolIn => Step::Tool,
        FactKind::ZReference | FactKind::ToolLength => Step::Z,
        FactKind::Recipe => Step::Recipe,
        FactKind::AirRun => Step::Air,
    }
}

/// The least time that a critical line must have been on show before its answer counts.
pub const LEAST_SHOW: Duration = Duration::from_millis(700);
