//! The description of a record: every field of the state, once, in the order of the work.

mod happened;
pub(in crate::record) use crate::record::schema::happened::HAPPENING;
pub(in crate::record) mod machine;
pub(in crate::record) mod material;
pub(in crate::record) mod operation;
pub(in crate::record) mod setup;
pub(in crate::record) mod tool;

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;

use crate::job::caution::Cautions;
use crate::job::conditions::Conditions;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::record::FORMAT;
use crate::record::fault::Wrong;
use crate::record::fields::Fields;
use crate::record::fields::Took;
use crate::record::fields::of;
use crate::record::schema::happened::Bounds;
use crate::record::schema::operation::Counted;
use crate::record::schema::operation::PHASE;
use crate::record::schema::operation::Timed;
use crate::record::schema::setup::Worked;
use crate::record::shape::List;
use crate::record::shape::Maybe;
use crate::record::shape::Name;
use crate::record::shape::Text;
use crate::record::shape::Time;
use crate::record::shape::Truth;
use crate::record::shape::Word;
use crate::record::shape::Yes;
use crate::record::shape::amount;
use crate::record::shape::amount::ANY_PLACE;
use crate::record::shape::amount::Lasting;
use crate::record::shape::amount::Place;
use crate::session::bond::BondHeat;
use crate::session::called;
use crate::session::clock::Clock;
use crate::session::clock::Gap;
use crate::session::clock::Phase;
use crate::session::fact::FactKey;
use crate::session::fact::FactState;
use crate::session::leaving::LeftOpen;
use crate::session::matrix::Happening;
use crate::session::matrix::Kept;
use crate::session::matrix::answers::Answers;
use crate::session::moment::Moment;
use crate::session::shop::ShopKey;
use crate::session::shop::ShopSaid;
use crate::session::state::BacklashRead;
use crate::session::state::Ended;
use crate::session::state::Head;
use crate::session::state::HeardMode;
use crate::session::state::Logged;
use crate::session::state::Note;
use crate::session::state::RackTool;
use crate::session::state::ReturnTest;
use crate::session::state::Setup;
use crate::session::state::State;
use crate::session::state::Step;
use crate::session::state::StopNote;
use crate::session::state::WrapUp;

/// A state as it is saved: monotonic time means nothing in another run and is not in it.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::record) struct Saved {
    head: Head,
    now: Now,
    machine: Machine,
    material: Material,
    rack: Vec<RackTool>,
    stated: Conditions,
    setups: Vec<Worked>,
    known: Known,
    lists: Lists,
    events: Events,
    wrap_up: Option<WrapUp>,
}

/// What is known: the program's own facts, and those of the shop.
#[derive(Clone, Debug, PartialEq)]
struct Known {
    facts: Vec<(FactKey, FactState)>,
    shop: Vec<(ShopKey, ShopSaid)>,
}

/// Where the work stands.
#[derive(Clone, Debug, PartialEq)]
struct Now {
    seen: DateTime<FixedOffset>,
    setup: usize,
    operation: usize,
    step: Step,
    in_spindle: Option<usize>,
    list_is_full: bool,
    hands_were_in: bool,
    bond: BondHeat,
    asks_later: Vec<Happening>,
    gap: Option<Unseen>,
}

/// Time that nobody saw and that is not explained yet.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Unseen {
    seconds: f64,
    noticed: DateTime<FixedOffset>,
    phase: Phase,
}

/// What was answered, and what the lists were made of.
#[derive(Clone, Debug, PartialEq)]
struct Lists {
    told: Option<DateTime<FixedOffset>>,
    left_out: Vec<String>,
    left_open: Vec<LeftOpen>,
    answers: Answers,
    ended: Vec<Ended>,
}

/// What happened, by kind.
#[derive(Clone, Debug, PartialEq)]
struct Events {
    log: Vec<Logged>,
    stops: Vec<StopNote>,
    notes: Vec<Note>,
    return_tests: Vec<ReturnTest>,
    backlash: Vec<BacklashRead>,
    heard: Vec<HeardMode>,
}

/// The description itself.
pub(in crate::record) fn saved<F: Fields>(f: &mut F, v: Option<&Saved>) -> Took<Saved> {
    format(f)?;
    let head = head(f, of!(v.head))?;
    let machine = f.table("machine", of!(v.machine), machine::machine)?;
    let material = f.table("material", of!(v.material), material::material)?;
    let rack = f.tables("tool", v.map(|v| v.rack.as_slice()), tool::rack_tool)?;
    let stated = f.conditions("conditions", of!(v.stated))?;
    let tools = rack.len();
    let setups = f.tables("setup", v.map(|v| v.setups.as_slice()), |f, v| {
        setup::worked(f, v, tools)
    })?;
    if setups.is_empty() {
        let allowed = "A session has at least one setup.";
        return Err(f.fault("setup", Wrong::new("is missing", allowed)));
    }
    let bounds = Bounds {
        setups: setups.len(),
        tools,
    };
    let now = f.table("now", of!(v.now), |f, v| now(f, v, bounds))?;
    let known = f.table("known", of!(v.known), |f, v| {
        Ok(Known {
            facts: f.rows("facts", v.map(|v| v.facts.as_slice()), |f, v| {
                happened::fact(f, v, bounds)
            })?,
            shop: f.rows("shop", v.map(|v| v.shop.as_slice()), |f, v| {
                happened::shop(f, v, bounds)
            })?,
        })
    })?;
    let lists = f.table("lists", of!(v.lists), |f, v| lists(f, v, bounds))?;
    let events = f.table("events", of!(v.events), |f, v| events(f, v, bounds))?;
    let wrap_up = f.table_if("wrap_up", of!(v.wrap_up), happened::wrap_up)?;
    // A file that was cut off at the end of a line would else be read as one that says less.
    f.table("end", Some(&true), |f, v| f.value("complete", v, &Truth))?;
    Ok(Saved {
        head,
        now,
        machine,
        material,
        rack,
        stated,
        setups,
        known,
        lists,
        events,
        wrap_up,
    })
}

fn lists<F: Fields>(f: &mut F, v: Option<&Lists>, bounds: Bounds) -> Took<Lists> {
    Ok(Lists {
        told: f.value("told", of!(v.told), &Maybe(Time))?,
        left_out: f.value("left_out", of!(v.left_out), &List(Name))?,
        left_open: f.rows(
            "left_open",
            v.map(|v| v.left_open.as_slice()),
            happened::left_open,
        )?,
        answers: f
            .rows("answers", v.map(|v| v.answers.iter()), |f, v| {
                happened::answered(f, v, bounds)
            })?
            .into_iter()
            .collect(),
        ended: f.rows("ended", v.map(|v| v.ended.as_slice()), |f, v| {
            happened::ended(f, v, bounds)
        })?,
    })
}

fn format<F: Fields>(f: &mut F) -> Took<()> {
    let format: u32 = f.value("format", Some(&FORMAT), &amount::COUNT)?;
    if format == FORMAT {
        return Ok(());
    }
    let wrong = Wrong::new(
        format!("is {format}"),
        format!("This program reads format {FORMAT}: open it with the program that wrote it."),
    );
    Err(f.fault("format", wrong))
}

fn head<F: Fields>(f: &mut F, v: Option<&Head>) -> Took<Head> {
    Ok(Head {
        version: f.value("version", of!(v.version), &Text)?,
        session_id: f.value("session_id", of!(v.session_id), &Name)?,
        job_id: f.value("job_id", of!(v.job_id), &Name)?,
        title: f.value("title", of!(v.title), &Text)?,
        begun: f.value("begun", of!(v.begun), &Time)?,
    })
}

fn now<F: Fields>(f: &mut F, v: Option<&Now>, bounds: Bounds) -> Took<Now> {
    Ok(Now {
        seen: f.value("seen", of!(v.seen), &Time)?,
        setup: f.value("setup", of!(v.setup), &Place(bounds.setups))?,
        operation: f.value("operation", of!(v.operation), &ANY_PLACE)?,
        step: f.value("step", of!(v.step), &rail())?,
        in_spindle: f.value("in_spindle", of!(v.in_spindle), &Maybe(Place(bounds.tools)))?,
        list_is_full: f.value("list_is_full", of!(v.list_is_full), &Yes)?,
        hands_were_in: f.value("hands_were_in", of!(v.hands_were_in), &Yes)?,
        bond: BondHeat {
            cutting: f.value("bond_cut", of!(v.bond.cutting), &Lasting)?,
            still: f.value("bond_still", of!(v.bond.still), &Lasting)?,
        },
        asks_later: f.value("asks_later", of!(v.asks_later), &List(HAPPENING))?,
        gap: f.row_if("gap", of!(v.gap), |f, v| {
            Ok(Unseen {
                seconds: f.value("unseen", of!(v.seconds), &amount::SECOND_SIGNED)?,
                noticed: f.value("noticed", of!(v.noticed), &Time)?,
                phase: f.value("phase", of!(v.phase), &PHASE)?,
            })
        })?,
    })
}

fn rail() -> Word<Step> {
    Word {
        word: |step| step.word().to_owned(),
        from: Step::from_word,
        all: || Step::RAIL.iter().map(|s| s.word().to_owned()).collect(),
    }
}

fn events<F: Fields>(f: &mut F, v: Option<&Events>, bounds: Bounds) -> Took<Events> {
    Ok(Events {
        log: f.rows("log", v.map(|v| v.log.as_slice()), happened::logged)?,
        stops: f.rows("stops", v.map(|v| v.stops.as_slice()), |f, v| {
            happened::stop(f, v, bounds)
        })?,
        notes: f.rows("notes", v.map(|v| v.notes.as_slice()), |f, v| {
            happened::note(f, v, bounds)
        })?,
        return_tests: f.rows(
            "return_tests",
            v.map(|v| v.return_tests.as_slice()),
            happened::return_test,
        )?,
        backlash: f.rows(
            "backlash",
            v.map(|v| v.backlash.as_slice()),
            happened::backlash,
        )?,
        heard: f.rows("heard", v.map(|v| v.heard.as_slice()), happened::heard)?,
    })
}

impl Saved {
    /// What is saved of a state: clocks read at the moment it last heard of anything.
    pub(in crate::record) fn of(state: &State) -> Self {
        // Taken apart by name, so that a new field of the state cannot be forgotten here.
        let State {
            head,
            machine,
            material,
            rack,
            stated,
            cautions: _,
            setups,
            setup,
            operation,
            step,
            in_spindle,
            facts,
            shop,
            answers,
            ended,
            left_open,
            left_out,
            told,
            list_is_full,
            hands_were_in,
            bond,
            clocks,
            log,
            stops,
            notes,
            return_tests,
            backlash,
            heard,
            gap,
            asks_later,
            last_seen,
            wrap_up,
        } = state;
        let setups = setups
            .iter()
            .enumerate()
            .map(|(place, setup)| Worked {
                setup: Setup {
                    operations: vec![],
                    ..setup.clone()
                },
                operations: setup
                    .operations
                    .iter()
                    .enumerate()
                    .map(|(index, operation)| Timed {
                        operation: operation::without_nonsense(operation),
                        clock: clocks.get(&(place, index)).map(|clock| Counted {
                            spent: clock.read(*last_seen),
                            phase: clock.phase(),
                        }),
                    })
                    .collect(),
            })
            .collect();
        Self {
            head: head.clone(),
            now: Now {
                seen: last_seen.wall,
                setup: *setup,
                operation: *operation,
                step: *step,
                in_spindle: *in_spindle,
                list_is_full: *list_is_full,
                hands_were_in: *hands_were_in,
                bond: *bond,
                asks_later: asks_later.clone(),
                gap: gap.map(|(gap, phase)| Unseen {
                    seconds: gap.seconds,
                    noticed: gap.noticed.wall,
                    phase,
                }),
            },
            machine: machine.clone(),
            material: material.clone(),
            rack: rack.clone(),
            stated: stated.clone(),
            setups,
            known: Known {
                facts: facts
                    .iter()
                    .filter(|(_, fact)| **fact != FactState::Open)
                    .map(|(key, fact)| (*key, fact.clone()))
                    .collect(),
                shop: shop
                    .iter()
                    .filter(|(_, said)| said.state != FactState::Open)
                    .map(|(key, said)| (key.clone(), said.clone()))
                    .collect(),
            },
            lists: Lists {
                told: *told,
                left_out: left_out.clone(),
                left_open: left_open.clone(),
                answers: Answers::clone(answers),
                ended: ended.clone(),
            },
            events: Events {
                log: log.clone(),
                stops: stops.clone(),
                notes: notes.clone(),
                return_tests: return_tests.clone(),
                backlash: backlash.clone(),
                heard: heard.clone(),
            },
            wrap_up: wrap_up.clone(),
        }
    }

    /// The state, with the clocks of this run: what was running goes on from `at`, and the
    /// event that the record was opened again decides what the time between was.
    pub(in crate::record) fn into_state(self, cautions: Cautions, at: Moment) -> State {
        let here = |wall: DateTime<FixedOffset>, mono: Duration| Moment { wall, mono };
        let mut clocks = BTreeMap::new();
        let setups = self
            .setups
            .into_iter()
            .enumerate()
            .map(|(place, worked)| {
                let mut setup = worked.setup;
                for (index, timed) in worked.operations.into_iter().enumerate() {
                    if let Some(Counted { spent, phase }) = timed.clock {
                        let clock = match phase {
                            None => Clock::stopped_at(spent),
                            Some(phase) => Clock::going_on(spent, phase, at),
                        };
                        clocks.insert((place, index), clock);
                    }
                    setup.operations.push(timed.operation);
                }
                setup
            })
            .collect();
        let left_out = called::left_out(&cautions, self.lists.left_out);
        State {
            head: self.head,
            machine: self.machine,
            material: self.material,
            rack: self.rack,
            stated: self.stated,
            cautions,
            setups,
            setup: self.now.setup,
            operation: self.now.operation,
            step: self.now.step,
            in_spindle: self.now.in_spindle,
            facts: Kept::of(self.known.facts.into_iter().collect()),
            shop: Kept::of(self.known.shop.into_iter().collect()),
            answers: Kept::of(self.lists.answers),
            ended: self.lists.ended,
            left_open: self.lists.left_open,
            left_out,
            told: self.lists.told,
            list_is_full: self.now.list_is_full,
            hands_were_in: self.now.hands_were_in,
            bond: self.now.bond,
            clocks,
            log: self.events.log,
            stops: self.events.stops,
            notes: self.events.notes,
            return_tests: self.events.return_tests,
            backlash: self.events.backlash,
            heard: self.events.heard,
            gap: self.now.gap.map(|unseen| {
                let gap = Gap {
                    seconds: unseen.seconds,
                    noticed: here(unseen.noticed, at.mono),
                };
                (gap, unseen.phase)
            }),
            asks_later: self.now.asks_later,
            last_seen: here(self.now.seen, at.mono),
            wrap_up: self.wrap_up,
        }
    }
}
