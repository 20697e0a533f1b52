//! A job made at random: machine, material, tools, operations, setups.

use millside::job::conditions::Conditions;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::job::holding::KeepOut;
use millside::job::holding::ScrewHead;
use millside::job::machine;
use millside::job::machine::Axes;
use millside::job::machine::Axis;
use millside::job::machine::BeltStep;
use millside::job::machine::Control;
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
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::Outcome;
use millside::job::operation::ProgramPart;
use millside::job::operation::Progress;
use millside::job::operation::ThreadSize;
use millside::job::reading::Of;
use millside::job::reading::Read;
use millside::job::reading::Reading;
use millside::job::recipe::Recipe;
use millside::job::recipe::ToolChange;
use millside::job::reference::FoundBy;
use millside::job::reference::Surface;
use millside::job::reference::TopLeft;
use millside::job::reference::ZReference;
use millside::job::reference::Zero;
use millside::job::stock::Edges;
use millside::job::stock::Stock;
use millside::job::stock::Under;
use millside::job::tool;
use millside::job::tool::Edge;
use millside::job::tool::Hand;
use millside::job::tool::Tool;
use millside::job::tool_speed::SpeedSetting;
use millside::job::zero::ZeroPoint;
use millside::session::state::PointSeen;
use millside::session::state::ProgramCopy;
use millside::session::state::RackTool;
use millside::session::state::Setup;
use millside::session::state::StopFinding;
use millside::source::Source;
use millside::source::Standing;

use super::dice::Dice;

impl Dice {
    pub fn axis(&mut self) -> Axis {
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

    pub fn machine(&mut self) -> Machine {
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
                setting: SpeedSetting {
                    step_rpm: self.maybe(Self::given_number),
                    unloaded_share: self.maybe(Self::given_number),
                    tolerance_share: self.maybe(Self::given_number),
                    override_most_percent: self.maybe(Self::given_number),
                },
                turns: self.pick(&Turns::ALL),
                largest_shank_mm: self.given_number(),
                grip_n: self.given_number(),
                stop_s: self.maybe(Self::given_seconds),
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

    pub fn conditions(&mut self) -> Conditions {
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

    pub fn source(&mut self) -> Source {
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

    pub fn sourced<T>(&mut self, mut make: impl FnMut(&mut Self) -> T) -> Sourced<T> {
        Sourced {
            value: make(self),
            source: self.source(),
            others: self.some(2, |d| Other {
                value: make(d),
                source: d.source(),
            }),
        }
    }

    pub fn span(&mut self) -> Sourced<Span> {
        self.sourced(|d| {
            let (a, b) = (d.number(), d.number());
            Span {
                least: a.min(b),
                most: a.max(b),
            }
        })
    }

    pub fn speeds(&mut self) -> Speeds {
        Speeds {
            rough_m_min: self.span(),
            finish_m_min: self.maybe(Self::span),
        }
    }

    pub fn taylor(&mut self) -> Taylor {
        Taylor {
            n: self.sourced(Self::number),
            c_m_min: self.sourced(Self::number),
        }
    }

    pub fn material(&mut self) -> Material {
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

    pub fn rack_tool(&mut self) -> RackTool {
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
                cutter_rating_rpm: self.maybe(Self::number),
                arbor_rating_rpm: self.maybe(Self::number),
                holder_rating_rpm: self.maybe(Self::number),
                stored_length: self.yes(),
                notes: self.some(2, Self::prose),
            },
        }
    }

    pub fn recipe(&mut self) -> Recipe {
        Recipe {
            n_rpm: self.number(),
            vf_mm_min: self.number(),
            fz_mm: self.number(),
            ap_mm: self.number(),
            ae_mm: self.number(),
            fixed: self.some(2, Self::line),
            override_percent: self.maybe(Self::number),
            belt: self.maybe(Self::line),
            binds: self.maybe(Self::line),
            exceeded: self.some(2, Self::line),
        }
    }

    pub fn operation(&mut self, tools: usize) -> Operation {
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
            pilot: self.maybe(Self::length),
            thread: self.maybe(|d| ThreadSize {
                text: d.line(),
                diameter_mm: d.number(),
                pitch_mm: d.number(),
            }),
            remark: self.prose(),
            estimate_s: self.maybe(Self::seconds),
            feed_s: self.maybe(Self::seconds),
            is_timed: self.yes(),
            is_joined: self.yes(),
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
                from_name: d.line(),
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

    pub fn setup(&mut self, tools: usize) -> Setup {
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
                is_built_in: d.below(2) == 0,
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
                lowest_z_mm: d.maybe(Self::number),
                tops: d.some(2, |d| TopLeft {
                    line: d.below(1_000) as u64,
                    share: d.below(101) as f64 / 100.0,
                    clear: d.maybe(|d| [d.number(), d.number()]),
                    highest_mm: d.number(),
                    at_place_deep_mm: d.maybe(Self::number),
                }),
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
                screws: d.some(3, |d| ScrewHead {
                    at: [d.signed(), d.signed()],
                    diameter: d.below(30) as f64 / 2.0,
                    height: d.below(30) as f64 / 2.0,
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
                at: d.maybe(|d| [d.number(), d.number()]),
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
                of: d.pick(&Of::ALL),
                gauge: d.maybe(Self::length),
                made_by: d.maybe(Self::line),
                reads: d.some(3, |d| Read {
                    size: d.length(),
                    after: d.line(),
                }),
            }),
            let_go: self.maybe(Self::time),
        }
    }
}
