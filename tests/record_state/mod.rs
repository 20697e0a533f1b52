//! States for the tests of the record, thrown with dice from a seed: the same seed, the same state.

#![allow(dead_code, reason = "each test file uses its part")]

mod dice;
mod job;

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::FixedOffset;
use chrono::TimeZone;

use millside::job::caution::Cautions;
use millside::job::mishap::ADVICE;
use millside::job::stalled::Stalled;
use millside::measure::backlash;
use millside::measure::backlash::Opposite;
use millside::session::bond::BondHeat;
use millside::session::clock::Clock;
use millside::session::clock::Gap;
use millside::session::clock::Phase;
use millside::session::clock::Spent;
use millside::session::event::Answer;
use millside::session::fact::FactKey;
use millside::session::fact::FactKind;
use millside::session::fact::FactState;
use millside::session::fact::SaidBy;
use millside::session::gate::ListKind;
use millside::session::leaving::LeftOpen;
use millside::session::matrix::Happening;
use millside::session::matrix::Kept;
use millside::session::matrix::MATRIX;
use millside::session::moment::Moment;
use millside::session::shop::ShopKey;
use millside::session::shop::ShopSaid;
use millside::session::state::Answered;
use millside::session::state::BacklashRead;
use millside::session::state::Ended;
use millside::session::state::Fell;
use millside::session::state::Head;
use millside::session::state::HeardMode;
use millside::session::state::Logged;
use millside::session::state::Note;
use millside::session::state::ReturnTest;
use millside::session::state::Setup;
use millside::session::state::State;
use millside::session::state::Step;
use millside::session::state::StopNote;
use millside::session::state::WrapUp;

/// The moment at which tests read records.
pub fn reading_at() -> Moment {
    Moment {
        wall: offset().with_ymd_and_hms(2026, 12, 1, 9, 0, 0).unwrap(),
        mono: Duration::from_secs(77),
    }
}

fn offset() -> FixedOffset {
    FixedOffset::east_opt(3600).expect("one hour is an offset")
}

pub use dice::Dice;

impl Dice {
    fn happening(&mut self) -> Happening {
        MATRIX[self.below(MATRIX.len())].what
    }

    fn spent(&mut self) -> Spent {
        Spent {
            cutting: self.lasting(),
            hands: self.lasting(),
            waiting: self.lasting(),
            paused: self.lasting(),
        }
    }

    /// A state with every kind of thing in it somewhere, whether or not it makes sense together.
    pub fn state(&mut self) -> State {
        let at = reading_at();
        let rack = self.some(4, Self::rack_tool);
        let tools = rack.len();
        let setups: Vec<Setup> = (0..=self.below(3)).map(|_| self.setup(tools)).collect();
        let count = setups.len();
        let phase =
            |d: &mut Self| d.pick(&[Phase::Cutting, Phase::Hands, Phase::Waiting, Phase::Paused]);
        let mut clocks = BTreeMap::new();
        for (place, setup) in setups.iter().enumerate() {
            for index in 0..setup.operations.len() {
                let mut spent = self.spent();
                // Nothing is cut where clamps change places.
                let cuts = setup.operations[index].kind.is_cut();
                if !cuts {
                    spent = spent.by_hand();
                }
                match self.below(3) {
                    0 => {}
                    1 => {
                        clocks.insert((place, index), Clock::stopped_at(spent));
                    }
                    _ => {
                        let mut phase = phase(self);
                        if phase == Phase::Cutting && !cuts {
                            phase = Phase::Hands;
                        }
                        clocks.insert((place, index), Clock::going_on(spent, phase, at));
                    }
                }
            }
        }
        let facts = self.some(12, |d| {
            let kind = d.pick(&FactKind::ALL);
            let tool = if tools == 0 {
                None
            } else {
                d.maybe(|d| d.below(tools))
            };
            let key = FactKey::of(kind, d.below(count), d.below(5), tool);
            let fact = if d.yes() {
                FactState::Good {
                    since: d.time(),
                    by: d.pick(&[SaidBy::Measured, SaidBy::Confirmed, SaidBy::Computed]),
                    value: d.maybe(Self::line),
                }
            } else {
                FactState::Redo {
                    since: d.time(),
                    what: d.happening(),
                }
            };
            (key, fact)
        });
        let shop = self.some(4, |d| {
            let key = ShopKey {
                id: d.name(),
                setup: d.maybe(|d| d.below(count)),
                operation: d.maybe(|d| d.below(5)),
                tool: if tools == 0 {
                    None
                } else {
                    d.maybe(|d| d.below(tools))
                },
            };
            let state = if d.yes() {
                FactState::Good {
                    since: d.time(),
                    by: SaidBy::Confirmed,
                    value: d.maybe(Self::line),
                }
            } else {
                FactState::Redo {
                    since: d.time(),
                    what: d.happening(),
                }
            };
            let statement = d.line();
            (key, ShopSaid { statement, state })
        });
        State {
            head: Head {
                session_id: self.name(),
                job_id: self.name(),
                title: self.line(),
                begun: self.time(),
                version: "0.1.0".to_owned(),
            },
            machine: self.machine(),
            material: self.material(),
            stated: self.conditions(),
            cautions: Cautions::default(),
            setup: self.below(count),
            operation: self.below(4),
            step: self.pick(&Step::RAIL),
            in_spindle: if tools == 0 {
                None
            } else {
                self.maybe(|d| d.below(tools))
            },
            facts: Kept::of(facts.into_iter().collect()),
            shop: Kept::of(shop.into_iter().collect()),
            answers: Kept::of(
                self.some(6, |d| Answered {
                    list: d.pick(&ListKind::ALL),
                    version: d.name().into(),
                    setup: d.below(count),
                    operation: d.below(9),
                    line: d.name(),
                    text: d.line().into(),
                    answer: if d.yes() {
                        Answer::So
                    } else {
                        Answer::NotSo(d.prose())
                    },
                    at: d.time(),
                    shown: d.lasting(),
                    stands: d.yes(),
                    fell: d.maybe(|d| Fell {
                        at: d.time(),
                        what: d.happening(),
                    }),
                })
                .into_iter()
                .collect(),
            ),
            ended: self.some(3, |d| Ended {
                at: d.time(),
                list: d.pick(&ListKind::ALL),
                setup: d.below(count),
                operation: d.below(9),
                text: d.prose(),
                rushed: d.yes(),
            }),
            left_out: self.some(2, Self::name),
            left_open: self.some(2, |d| LeftOpen {
                at: d.time(),
                text: d.line(),
            }),
            told: self.maybe(Self::time),
            list_is_full: self.yes(),
            hands_were_in: self.yes(),
            asks_later: self.some(3, Self::happening),
            bond: BondHeat {
                cutting: self.lasting(),
                still: self.lasting(),
            },
            clocks,
            log: self.some(5, |d| Logged {
                at: d.time(),
                what: d.happening(),
            }),
            stops: self.some(3, |d| StopNote {
                at: d.time(),
                setup: d.below(count),
                operation: d.below(9),
                after_cutting_s: d.below(9000) as u64,
                mishap: ADVICE[d.below(ADVICE.len())].mishap,
                words: d.prose(),
                stalled: d.maybe(|d| Stalled::ALL[d.below(Stalled::ALL.len())]),
            }),
            notes: self.some(3, |d| Note {
                at: d.time(),
                setup: d.below(count),
                operation: d.below(9),
                text: d.prose(),
            }),
            backlash: self.some(3, |d| BacklashRead {
                at: d.time(),
                touches: Opposite {
                    axis: d.pick(&backlash::Axis::ALL),
                    reads_mm: [d.signed(), d.signed()],
                    width_mm: d.below(2000) as f64,
                    finder_mm: d.below(20) as f64,
                },
            }),
            heard: self.some(3, |d| HeardMode {
                at: d.time(),
                hz: (1 + d.below(2000)) as f64,
            }),
            return_tests: self.some(3, |d| ReturnTest {
                at: d.time(),
                touches_mm: [(); 3].map(|()| d.some(4, Self::signed)),
                kept_zero: d.yes(),
            }),
            gap: self.maybe(|d| {
                let noticed = Moment {
                    wall: d.time(),
                    mono: at.mono,
                };
                let whole = d.below(1000) as f64;
                let seconds = whole - 500.0;
                (Gap { seconds, noticed }, phase(d))
            }),
            last_seen: Moment {
                wall: self.time(),
                mono: at.mono,
            },
            wrap_up: self.maybe(|d| WrapUp {
                at: d.time(),
                learned: d.prose(),
                done: d.yes(),
            }),
            setups,
            rack,
        }
    }
}
