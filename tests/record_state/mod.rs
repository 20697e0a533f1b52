//! States for the tests of the record, thrown with dice from a seed: the same seed, the same state.

#![allow(dead_code, reason = "each test file uses its part")]

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use chrono::DateTime;
use chrono::FixedOffset;
use chrono::TimeZone;

use millside::job::conditions::Conditions;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::job::holding::KeepOut;
use millside::job::machine;
use millside::job::machine::Axes;
use millside::job::machine::Axis;
use millside::job::machine::Basis;
use millside::job::machine::BeltStep;
use millside::job::machine::Control;
use millside::job::machine::Given;
use millside::job::machine::Machine;
use millside::job::machine::MotorKind;
use millside::job::machine::ShortTime;
use millside::job::machine::SpeedSetBy;
use millside::job::machine::Spindle;
use millside::job::machine::Turns;
use millside::job::material::ChipLoad;
use millside::job::material::Chips;
use millside::job::material::Class;
use millside::job::material::Material;
use millside::job::material::Other;
use millside::job::material::Sourced;
use millside::job::material::Span;
use millside::job::material::Speeds;
use millside::job::material::Sticks;
use millside::job::material::Taylor;
use millside::job::mishap::ADVICE;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::Outcome;
use millside::job::operation::ProgramPart;
use millside::job::operation::Progress;
use millside::job::reading::Reading;
use millside::job::recipe::Recipe;
use millside::job::recipe::ToolChange;
use millside::job::reference::FoundBy;
use millside::job::reference::Surface;
use millside::job::reference::ZReference;
use millside::job::reference::Zero;
use millside::job::stock::Edges;
use millside::job::stock::Stock;
use millside::job::stock::Under;
use millside::job::tool;
use millside::job::tool::Edge;
use millside::job::tool::Hand;
use millside::job::tool::Tool;
use millside::job::typed::Typed;
use millside::job::zero::ZeroPoint;
use millside::measure::backlash;
use millside::measure::backlash::Opposite;
use millside::quantity;
use millside::quantity::entry;
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
use millside::session::state::PointSeen;
use millside::session::state::ProgramCopy;
use millside::session::state::RackTool;
use millside::session::state::ReturnTest;
use millside::session::state::Setup;
use millside::session::state::State;
use millside::session::state::Step;
use millside::session::state::StopFinding;
use millside::session::state::StopNote;
use millside::session::state::WrapUp;
use millside::source::Source;
use millside::source::Standing;

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

/// A seed's dice.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed ^ 0x9e37_79b9_7f4a_7c15)
    }

    fn next(&mut self) -> u64 {
        // splitmix64, S. Vigna, public domain; from memory. Any spread will do here.
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, most: usize) -> usize {
        (self.next() % most.max(1) as u64) as usize
    }

    fn yes(&mut self) -> bool {
        self.below(2) == 0
    }

    fn pick<T: Clone>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())].clone()
    }

    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.yes().then(|| make(self))
    }

    fn some<T>(&mut self, most: usize, mut make: impl FnMut(&mut Self) -> T) -> Vec<T> {
        (0..self.below(most + 1)).map(|_| make(self)).collect()
    }

    fn number(&mut self) -> f64 {
        match self.below(5) {
            0 => 0.0,
            1 => self.below(20_000) as f64,
            2 => self.below(100_000) as f64 / 1000.0,
            3 => (self.next() % 1_000_000_000_000) as f64 / 1.0e6,
            _ => self.below(1000) as f64 / 1.0e9,
        }
    }

    /// To the millisecond, as times are kept.
    fn seconds(&mut self) -> f64 {
        self.below(50_000) as f64 + self.pick(&[0.0, 0.5, 0.25, 0.001])
    }

    fn signed(&mut self) -> f64 {
        let number = self.number();
        if self.yes() && number > 0.0 {
            -number
        } else {
            number
        }
    }

    /// A line of text without anything that acts or hides.
    fn line(&mut self) -> String {
        const WORDS: &[&str] = &[
            "base plate",
            "Ø6 mm",
            "\"quoted\"",
            "back\\slash",
            "x = 1",
            "# no comment",
            "'",
            "立铣刀",
            "90°",
            "a, b",
            "[setup]",
            "\"\"\"",
            "\\u{7}",
            "\\n",
            "é",
            "  ",
            "🔧",
        ];
        let count = 1 + self.below(4);
        let words: Vec<&str> = (0..count).map(|_| self.pick(WORDS)).collect();
        words.join(" ")
    }

    fn prose(&mut self) -> String {
        let lines: Vec<String> = (0..=self.below(2)).map(|_| self.line()).collect();
        lines.join("\n")
    }

    fn empty_or_line(&mut self) -> String {
        if self.yes() {
            self.line()
        } else {
            String::new()
        }
    }

    fn name(&mut self) -> String {
        format!("name-{}", self.below(1000))
    }

    fn time(&mut self) -> DateTime<FixedOffset> {
        let minutes = self.below(28 * 60) as i32 - 14 * 60;
        let offset = FixedOffset::east_opt(minutes * 60).expect("within a day");
        let nanos = self.pick(&[0_u32, 0, 500_000_000, 123_000_000]);
        let second = 1_700_000_000 + self.below(100_000_000) as i64;
        offset.timestamp_opt(second, nanos).unwrap()
    }

    fn lasting(&mut self) -> Duration {
        let nanos = self.pick(&[0_u32, 250_000_000, 1_000_000, 999_000_000]);
        Duration::new(self.below(100_000) as u64, nanos)
    }

    fn length(&mut self) -> Typed {
        let n = 1 + self.below(90_000);
        let text = match self.below(6) {
            0 => format!("{} mm", n as f64 / 1000.0),
            1 => format!("{n} um"),
            2 => format!("{} in", n as f64 / 10_000.0),
            3 => format!("{}/16 in", 1 + n % 31),
            4 => format!("{} thou", n % 500 + 1),
            _ => format!("#{}", n % 60 + 1),
        };
        let entry = entry::length(&text).expect("a length");
        Typed::new(entry.typed, quantity::to_mm(entry.value))
    }

    fn deviation(&mut self) -> Typed {
        let text = format!("{:.3} mm", self.below(400) as f64 / 1000.0 - 0.2);
        let entry = entry::length_signed(&text).expect("a deviation");
        Typed::new(entry.typed, quantity::to_mm(entry.value))
    }

    fn given<T>(&mut self, value: T) -> Given<T> {
        let basis = self.pick(&Basis::ALL);
        let note = self.empty_or_line();
        Given::new(value, basis, note)
    }

    fn given_number(&mut self) -> Given<f64> {
        let value = self.number();
        self.given(value)
    }

    fn given_seconds(&mut self) -> Given<f64> {
        let value = self.seconds();
        self.given(value)
    }

    fn given_count(&mut self) -> Given<u32> {
        let value = 1 + self.below(5000) as u32;
        self.given(value)
    }

    fn axis(&mut self) -> Axis {
        Axis {
            travel_mm: self.given_number(),
            rapid_mm_min: self.given_number(),
            top_feed_mm_min: self.given_number(),
            acceleration_mm_s2: self.given_number(),
            lead_mm: self.given_number(),
            full_steps_per_turn: self.given_count(),
            microsteps: self.given_count(),
            holding_torque_nm: self.maybe(Self::given_number),
            screw_efficiency: self.given_number(),
            push_n: self.given_number(),
            friction_n: self.given_number(),
            backlash_mm: self.given_number(),
            stiffness_n_um: self.given_number(),
        }
    }

    fn machine(&mut self) -> Machine {
        Machine {
            name: self.name(),
            title: self.line(),
            kind: self.pick(&machine::Kind::ALL),
            axes: Axes {
                x: self.axis(),
                y: self.axis(),
                z: self.axis(),
            },
            spindle: Spindle {
                motor: self.pick(&MotorKind::ALL),
                rated_w: self.given_number(),
                rated_rpm: self.given_number(),
                constant_torque_from_rpm: self.given_number(),
                short_time: self.maybe(|d| ShortTime {
                    torque_ratio: d.given_number(),
                    time_s: d.given_seconds(),
                }),
                sag_share: self.given_number(),
                efficiency: self.given_number(),
                steps: (0..=self.below(2))
                    .map(|_| BeltStep {
                        name: self.line(),
                        ratio: self.given_number(),
                        least_rpm: self.given_number(),
                        top_rpm: self.given_number(),
                    })
                    .collect(),
                speed_set_by: self.pick(&SpeedSetBy::ALL),
                turns: self.pick(&Turns::ALL),
                largest_shank_mm: self.given_number(),
                grip_n: self.given_number(),
                run_out_mm: self.given_number(),
            },
            control: Control {
                override_step_percent: self.given_number(),
                override_least_percent: self.given_number(),
                override_most_percent: self.given_number(),
                has_home_switches: {
                    let has = self.yes();
                    self.given(has)
                },
                peck_clearance_mm: self.given_number(),
                work_offsets: self.given_count(),
                corner_tolerance_mm: self.given_number(),
                look_ahead_blocks: self.given_count(),
                tool_change_s: self.given_seconds(),
                stop_s: self.maybe(Self::given_seconds),
            },
            states: self.conditions(),
            notes: self.some(3, Self::prose),
        }
    }

    fn conditions(&mut self) -> Conditions {
        let mut stated = Conditions::new();
        if self.yes() {
            let fluid = self.pick(&["dry", "air", "mist"]);
            stated.word("fluid", fluid);
        }
        if self.yes() {
            stated.truth("first_run", self.yes());
        }
        if self.yes() {
            stated.number("lift_kg", self.number());
        }
        if self.yes() {
            let word = self.line();
            stated.word("tool_kind", &word);
        }
        stated
    }

    fn source(&mut self) -> Source {
        Source {
            standing: self.pick(&[
                Standing::Read,
                Standing::FromMemory,
                Standing::CommonPractice,
                Standing::Own,
            ]),
            citation: self.empty_or_line(),
        }
    }

    fn sourced<T>(&mut self, mut make: impl FnMut(&mut Self) -> T) -> Sourced<T> {
        Sourced {
            value: make(self),
            source: self.source(),
            others: self.some(2, |d| Other {
                value: make(d),
                source: d.source(),
            }),
        }
    }

    fn span(&mut self) -> Sourced<Span> {
        self.sourced(|d| {
            let (a, b) = (d.number(), d.number());
            Span {
                least: a.min(b),
                most: a.max(b),
            }
        })
    }

    fn speeds(&mut self) -> Speeds {
        Speeds {
            rough_m_min: self.span(),
            finish_m_min: self.maybe(Self::span),
        }
    }

    fn taylor(&mut self) -> Taylor {
        Taylor {
            n: self.sourced(Self::number),
            c_m_min: self.sourced(Self::number),
        }
    }

    fn material(&mut self) -> Material {
        Material {
            name: self.name(),
            title: self.line(),
            aliases: self.some(3, Self::line),
            class: self.pick(&Class::ALL),
            caution: self.maybe(Self::name),
            condition: self.empty_or_line(),
            hardness: self.maybe(|d| d.sourced(Self::line)),
            density_kg_m3: self.sourced(Self::number),
            expansion_um_m_k: self.maybe(|d| d.sourced(Self::number)),
            kc1_1_n_mm2: self.sourced(Self::number),
            mc: self.sourced(Self::number),
            energy_j_mm3: self.maybe(Self::span),
            drill_kd: self.maybe(|d| d.sourced(Self::number)),
            hss: self.maybe(Self::speeds),
            carbide: self.maybe(Self::speeds),
            tap_m_min: self.maybe(Self::span),
            chip_load: ChipLoad {
                slot_share: self.span(),
                side_share: self.span(),
                drill_share: self.span(),
            },
            least_chip_ratio: self.sourced(Self::number),
            sticks: self.sourced(|d| d.pick(&Sticks::ALL)),
            chips: self.pick(&Chips::ALL),
            taylor_hss: self.maybe(Self::taylor),
            taylor_carbide: self.maybe(Self::taylor),
            fluid: self.empty_or_line(),
            notes: self.some(3, Self::prose),
        }
    }

    fn rack_tool(&mut self) -> RackTool {
        RackTool {
            number: self.maybe(|d| d.below(99) as u32),
            stick_out: self.maybe(Self::length),
            tool: Tool {
                name: self.name(),
                title: self.line(),
                kind: self.pick(&tool::Kind::ALL),
                diameter_mm: self.number(),
                flutes: self.below(9) as u32,
                flute_length_mm: self.number(),
                shank_mm: self.number(),
                stick_out_mm: self.number(),
                corner_radius_mm: self.number(),
                helix_deg: self.number(),
                point_angle_deg: self.maybe(Self::number),
                tip_diameter_mm: self.maybe(Self::number),
                edge: self.pick(&Edge::ALL),
                coating: self.empty_or_line(),
                edge_radius_um: self.maybe(Self::number),
                centre_cutting: self.yes(),
                hand: self.pick(&Hand::ALL),
                pitch_mm: self.maybe(Self::number),
                thread: self.maybe(Self::line),
                top_rpm: self.maybe(Self::number),
                stored_length: self.yes(),
                notes: self.some(2, Self::prose),
            },
        }
    }

    fn recipe(&mut self) -> Recipe {
        Recipe {
            n_rpm: self.number(),
            vf_mm_min: self.number(),
            fz_mm: self.number(),
            ap_mm: self.number(),
            ae_mm: self.number(),
            fixed: self.some(2, Self::line),
            override_percent: self.maybe(Self::number),
            binds: self.maybe(Self::line),
            exceeded: self.some(2, Self::line),
        }
    }

    fn operation(&mut self, tools: usize) -> Operation {
        Operation {
            title: self.line(),
            kind: self.pick(&OperationKind::ALL),
            tool: if tools == 0 {
                None
            } else {
                self.maybe(|d| d.below(tools))
            },
            part: self.maybe(|d| ProgramPart {
                first_line: d.below(1000) as u64,
                last_line: d.below(100_000) as u64,
                tool_number: d.maybe(|d| d.below(99) as u32),
                s_rpm: d.maybe(Self::number),
                feeds_mm_min: d.some(3, Self::number),
                lowest_z_mm: d.maybe(Self::signed),
            }),
            depth: self.maybe(Self::length),
            stepover: self.maybe(Self::length),
            remark: self.prose(),
            estimate_s: self.maybe(Self::seconds),
            is_timed: self.yes(),
            recipe: self.maybe(Self::recipe),
            read_rpm: self.maybe(Self::number),
            progress: self.pick(&[
                Progress::Planned,
                Progress::Begun,
                Progress::Finished,
                Progress::LeftOut,
            ]),
            changes: self.some(2, |d| ToolChange {
                after_cutting_s: d.below(9000) as u64,
                from: d.line(),
                to: d.line(),
                reason: d.prose(),
                before: d.maybe(Self::recipe),
                after: d.maybe(Self::recipe),
            }),
            outcome: self.maybe(|d| Outcome {
                rating: 1 + d.below(5) as u8,
                remark: d.prose(),
            }),
        }
    }

    fn setup(&mut self, tools: usize) -> Setup {
        let points: Vec<ZeroPoint> = ZeroPoint::all().collect();
        Setup {
            title: self.empty_or_line(),
            plan: self.prose(),
            points_seen: self.some(2, |d| PointSeen {
                at: d.time(),
                what: d.line(),
            }),
            program: self.maybe(|d| ProgramCopy {
                file: d.line(),
                sha256: format!("{:064x}", d.next()),
                bytes: d.below(1_000_000) as u64,
                stops: d.some(2, |d| StopFinding {
                    id: d.line(),
                    message: d.line(),
                    accepted: d.maybe(Self::line),
                }),
                warnings: d.below(9),
                notes: d.below(9),
                time_s: d.maybe(Self::seconds),
            }),
            stock: self.maybe(|d| Stock {
                x: d.length(),
                y: d.length(),
                thickness: (0..=d.below(4)).map(|_| d.length()).collect(),
                edges: d.pick(&[Edges::Sawn, Edges::Milled]),
                under: {
                    let board = Under::Spoil {
                        thickness_mm: d.number(),
                    };
                    d.pick(&[
                        Under::Unknown,
                        board,
                        Under::Parallels,
                        Under::Jaw,
                        Under::Table,
                        Under::Air,
                    ])
                },
                above_jaws: d.maybe(Self::length),
                part: d.maybe(|d| [d.length(), d.length(), d.length()]),
            }),
            holding: self.maybe(|d| Holding {
                pull_n: d.maybe(|d| d.below(900) as f64),
                rest_after_s: d.maybe(|d| (60 + d.below(9000)) as f64),
                by: d.pick(&HeldBy::ALL),
                out_of_true: d.maybe(Self::deviation),
                keep_outs: d.some(3, |d| KeepOut {
                    from: [d.signed(), d.signed()],
                    to: [d.signed(), d.signed()],
                    height: d.signed(),
                }),
            }),
            zero: self.maybe(|d| Zero {
                point: d.pick(&points),
                found_by: d.pick(&FoundBy::ALL),
                finder: d.length(),
                offset: d.empty_or_line(),
            }),
            z_reference: self.maybe(|d| ZReference {
                surface: d.pick(&Surface::ALL),
                height: d.deviation(),
                shim: d.length(),
            }),
            raised: self.maybe(Self::length),
            air_left_out: self.maybe(Self::prose),
            operations: self.some(4, |d| d.operation(tools)),
            readings: self.some(3, |d| Reading {
                what: d.line(),
                nominal: d.length(),
                upper: d.deviation(),
                lower: d.deviation(),
                actual: d.maybe(Self::length),
                is_inside: d.yes(),
            }),
            let_go: self.maybe(Self::time),
        }
    }

    fn happening(&mut self) -> Happening {
        MATRIX[self.below(MATRIX.len())].what
    }

    fn spent(&mut self) -> Spent {
        Spent {
            cutting: self.lasting(),
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
        let phase = |d: &mut Self| d.pick(&[Phase::Cutting, Phase::Waiting, Phase::Paused]);
        let mut clocks = BTreeMap::new();
        for (place, setup) in setups.iter().enumerate() {
            for index in 0..setup.operations.len() {
                let spent = self.spent();
                match self.below(3) {
                    0 => {}
                    1 => {
                        clocks.insert((place, index), Clock::stopped_at(spent));
                    }
                    _ => {
                        let phase = phase(self);
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
            cautions: Arc::from([]),
            setup: self.below(count),
            operation: self.below(4),
            step: self.pick(&Step::RAIL),
            in_spindle: if tools == 0 {
                None
            } else {
                self.maybe(|d| d.below(tools))
            },
            facts: facts.into_iter().collect(),
            shop: shop.into_iter().collect(),
            answers: self.some(6, |d| Answered {
                list: d.pick(&ListKind::ALL),
                version: d.name(),
                setup: d.below(count),
                operation: d.below(9),
                line: d.name(),
                text: d.line(),
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
            }),
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
                error_mm: [
                    d.maybe(Self::signed),
                    d.maybe(Self::signed),
                    d.maybe(Self::signed),
                ],
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
