//! The formulas against published and computed values, `fixtures/cutting/checks.toml`, by how a value is known.

use std::collections::BTreeSet;
use std::f64::consts::PI;

use millside::cutting::bending;
use millside::cutting::chip_thickness;
use millside::cutting::drilling;
use millside::cutting::effective_diameter;
use millside::cutting::feed;
use millside::cutting::finish;
use millside::cutting::force;
use millside::cutting::power;
use millside::cutting::removal_rate;
use millside::cutting::rubbing;
use millside::cutting::spindle_drive;
use millside::cutting::spindle_speed;
use millside::cutting::tapping;
use millside::cutting::thread_milling;
use millside::cutting::tool_life;
use millside::cutting::travel;
use millside::quantity as q;
use millside::quantity::Feed;
use millside::quantity::Length;
use millside::quantity::Power;
use millside::quantity::RemovalRate;
use millside::quantity::SpindleSpeed;
use millside::quantity::SurfaceSpeed;
use millside::quantity::Time;
use millside::quantity::Torque;
use toml::Table;
use toml::Value;

const FIXTURE: &str = include_str!("fixtures/cutting/checks.toml");

fn fixture() -> Table {
    FIXTURE.parse().expect("the fixture is TOML")
}

/// Inputs of a check, read by name without the unit.
struct Inputs<'a>(&'a Table);

impl Inputs<'_> {
    fn has(&self, key: &str) -> bool {
        self.0.contains_key(key)
    }

    fn n(&self, key: &str) -> f64 {
        self.0
            .get(key)
            .and_then(Value::as_float)
            .unwrap_or_else(|| panic!("{key} is missing in {:?}", self.0))
    }

    fn count(&self, key: &str) -> u32 {
        self.n(key) as u32
    }

    fn len(&self, key: &str) -> Length {
        if self.has(&format!("{key}_mm")) {
            q::mm(self.n(&format!("{key}_mm")))
        } else {
            q::inch(self.n(&format!("{key}_in")))
        }
    }

    /// A length, or nothing of it.
    fn len_or_none(&self, key: &str) -> Length {
        if self.has(&format!("{key}_mm")) || self.has(&format!("{key}_in")) {
            self.len(key)
        } else {
            q::mm(0.0)
        }
    }

    fn vc(&self) -> SurfaceSpeed {
        if self.has("cutting_speed_m_min") {
            q::m_per_min(self.n("cutting_speed_m_min"))
        } else if self.has("cutting_speed_m_s") {
            q::m_per_min(60.0 * self.n("cutting_speed_m_s"))
        } else if self.has("v_ft_min") {
            q::ft_per_min(self.n("v_ft_min"))
        } else if self.has("v_m_min") {
            q::m_per_min(self.n("v_m_min"))
        } else {
            q::ft_per_min(self.n("cutting_speed_ft_min"))
        }
    }

    fn rpm(&self) -> SpindleSpeed {
        if self.has("speed_rpm") {
            q::rpm(self.n("speed_rpm"))
        } else {
            spindle_speed::spindle_speed(self.vc(), self.len("diameter"))
        }
    }

    fn teeth(&self) -> u32 {
        ["teeth", "inserts"]
            .into_iter()
            .find(|key| self.has(key))
            .map_or(1, |key| self.count(key))
    }

    /// Feed of the table; for a drill the feed of a turn with one edge.
    fn vf(&self) -> Feed {
        if self.has("table_feed_mm_min") {
            return q::mm_per_min(self.n("table_feed_mm_min"));
        }
        if self.has("time_min") {
            return q::inch(self.n("length_of_cut_in")) / q::minute(self.n("time_min"));
        }
        if self.has("feed_per_rev_mm") || self.has("feed_per_rev_in") {
            return feed::table_feed(self.len("feed_per_rev"), 1, self.rpm());
        }
        let fz = if self.has("fz_mm") {
            self.len("fz")
        } else {
            self.len("feed_per_tooth")
        };
        feed::table_feed(fz, self.teeth(), self.rpm())
    }

    fn width(&self) -> Length {
        if self.has("engaged_fraction") {
            self.len("diameter") * self.n("engaged_fraction")
        } else if self.has("ae_mm") {
            self.len("ae")
        } else if self.has("width_mm") || self.has("width_in") {
            self.len("width")
        } else {
            // A full slot.
            self.len("diameter")
        }
    }

    fn depth(&self) -> Length {
        if self.has("ap_mm") {
            self.len("ap")
        } else {
            self.len("depth")
        }
    }

    fn milled(&self) -> RemovalRate {
        removal_rate::removal_rate(self.depth(), self.width(), self.vf())
    }

    fn energy(&self) -> q::SpecificForce {
        for key in ["specific_force_N_mm2", "kc_N_mm2"] {
            if self.has(key) {
                return q::n_per_mm2(self.n(key));
            }
        }
        for key in ["specific_energy_J_mm3", "u_J_mm3"] {
            if self.has(key) {
                return q::n_per_mm2(1000.0 * self.n(key));
            }
        }
        panic!("no specific energy in {:?}", self.0)
    }

    fn drilled(&self) -> RemovalRate {
        removal_rate::drilling_rate(self.len("diameter"), self.vf())
    }

    /// Travel of a drill: thickness or depth with point, approach and overrun.
    fn hole(&self) -> Length {
        let depth = if self.has("thickness_mm") || self.has("thickness_in") {
            self.len("thickness")
        } else {
            self.len("depth")
        };
        let point = if self.has("point_angle_deg") {
            drilling::point_length(self.len("diameter"), q::degree(self.n("point_angle_deg")))
        } else {
            self.len_or_none("cone_height")
        };
        depth
            + point
            + self.len_or_none("approach")
            + self.len_or_none("overrun")
            + self.len_or_none("clearance")
    }

    /// Specific force of the corrected chain of Dietrich and Tschaetsch.
    fn chain_kc(&self) -> q::SpecificForce {
        let k = force::corrections(force::Corrections {
            rake: q::degree(self.n("rake_deg")),
            rake_reference: q::degree(self.n("rake_ref_deg")),
            wear: self.n("K_wear"),
            compression: self.n("K_chip"),
            speed: self.n("K_v"),
        });
        k * force::specific_force(
            q::n_per_mm2(self.n("kc11_N_mm2")),
            self.n("mc"),
            self.chain_hm(),
        )
    }

    fn chain_hm(&self) -> Length {
        let lead = q::degree(90.0 - self.n("helix_deg"));
        chip_thickness::mean(self.len("fz"), self.len("ae"), self.len("diameter"), lead)
    }

    fn chain_force(&self) -> q::Force {
        let b = self.len("ap") / self.n("helix_deg").to_radians().cos();
        force::tangential(b, self.chain_hm(), self.chain_kc())
    }

    fn beam(&self) -> bending::Beam {
        bending::Beam {
            stick_out: self.len("length"),
            fluted: self.len("flute_length"),
            shank: self.len("shank"),
            diameter: self.len("flute_equiv") / bending::FLUTED_SHARE,
            modulus: q::gigapascal(self.n("E_GPa")),
        }
    }
}

fn length(v: Length, unit: &str) -> f64 {
    match unit {
        "mm" => q::to_mm(v),
        "um" => q::to_um(v),
        _ => panic!("unit {unit}"),
    }
}

fn feed_in(v: Feed, unit: &str) -> f64 {
    match unit {
        "mm/min" => q::to_mm_per_min(v),
        "mm/s" => q::to_mm_per_min(v) / 60.0,
        "in/min" => q::to_inch_per_min(v),
        _ => panic!("unit {unit}"),
    }
}

fn rate(v: RemovalRate, unit: &str) -> f64 {
    match unit {
        "mm3/min" => 1000.0 * q::to_cm3_per_min(v),
        "mm3/s" => 1000.0 * q::to_cm3_per_min(v) / 60.0,
        "in3/min" => q::to_inch3_per_min(v),
        _ => panic!("unit {unit}"),
    }
}

fn time(v: Time, unit: &str) -> f64 {
    match unit {
        "min" => q::to_minute(v),
        "s" => q::to_second(v),
        _ => panic!("unit {unit}"),
    }
}

fn watts(v: Power, unit: &str) -> f64 {
    match unit {
        "W" => q::to_watt(v),
        "kW" => q::to_watt(v) / 1000.0,
        "hp" => q::to_horsepower(v),
        _ => panic!("unit {unit}"),
    }
}

fn torque(v: Torque, unit: &str) -> f64 {
    match unit {
        "N m" => q::to_newton_metre(v),
        "lbf in" => q::to_pound_force_inch(v),
        "lbf ft" => q::to_pound_force_inch(v) / 12.0,
        _ => panic!("unit {unit}"),
    }
}

fn newtons(v: q::Force, unit: &str) -> f64 {
    match unit {
        "N" => q::to_newton(v),
        "kN" => q::to_newton(v) / 1000.0,
        "lbf" => q::to_pound_force(v),
        _ => panic!("unit {unit}"),
    }
}

/// Ratio of a stepover to a 10 mm tool.
fn tenth(i: &Inputs<'_>) -> (Length, Length) {
    (q::mm(10.0 * i.n("ae_over_D")), q::mm(10.0))
}

/// Feed of a turn whose handbook factor is `Ff`, and the drill, both in inches.
fn handbook(i: &Inputs<'_>) -> (Length, Length) {
    (q::inch(i.n("Ff").powf(1.0 / 0.8)), i.len("diameter"))
}

fn milling(by: &str, i: &Inputs<'_>, unit: &str) -> Option<f64> {
    let d = || i.len("diameter");
    Some(match by {
        "spindle speed" => {
            let n = spindle_speed::spindle_speed(i.vc(), d());
            if unit == "rev/s" {
                q::to_hertz(n)
            } else {
                q::to_rpm(n)
            }
        }
        "table feed" | "table feed from surface speed" => feed_in(i.vf(), unit),
        "speed for chip load" => q::to_rpm(feed::speed_for_chip_load(
            i.vf(),
            i.len("feed_per_tooth"),
            i.teeth(),
        )),
        "surface speed" => q::to_m_per_min(spindle_speed::surface_speed(i.rpm(), d())),
        "chip load" => length(feed::chip_load(i.vf(), i.teeth(), i.rpm()), unit),
        "slot travel" => length(
            i.len("length") + 2.0 * i.len("clearance_each_end") + travel::face_approach(d(), d()),
            unit,
        ),
        "time of travel" => time(travel::time(i.len("travel"), i.vf()), unit),
        "power of milling" => watts(power::cutting_power(i.energy(), i.milled()), unit),
        "mean force of milling" => {
            let vc = spindle_speed::surface_speed(
                feed::speed_for_chip_load(i.vf(), i.len("feed_per_tooth"), i.teeth()),
                d(),
            );
            newtons(
                power::mean_force(power::cutting_power(i.energy(), i.milled()), vc),
                unit,
            )
        }
        "motor of milling" => watts(
            power::motor_power(
                power::cutting_power(i.energy(), i.milled()),
                i.n("drive_efficiency"),
            ),
            unit,
        ),
        "removal of milling" => rate(i.milled(), unit),
        "torque of milling" => torque(
            power::torque_of_power(power::cutting_power(i.energy(), i.milled()), i.rpm()),
            unit,
        ),
        "peripheral travel" => length(
            i.len("length") + travel::peripheral_approach(i.depth(), d()),
            unit,
        ),
        "peripheral approach" => length(travel::peripheral_approach(i.depth(), d()), unit),
        "face approach" => length(travel::face_approach(i.width(), d()), unit),
        "peripheral time" => time(
            travel::time(
                i.len("length") + travel::peripheral_approach(i.depth(), d()),
                i.vf(),
            ),
            unit,
        ),
        "face time" => time(
            travel::time(
                i.len("length") + travel::face_approach(i.width(), d()),
                i.vf(),
            ),
            unit,
        ),
        "face time clearing" => time(travel::time(i.len("length") + d(), i.vf()), unit),
        "thickest chip" => {
            let fz = feed::chip_load(i.vf(), i.teeth(), i.rpm());
            length(
                chip_thickness::thickest(fz, i.depth(), d(), q::degree(90.0)),
                unit,
            )
        }
        "mean chip" => {
            let (ae, d) = tenth(i);
            q::to_mm(chip_thickness::mean(q::mm(1.0), ae, d, q::degree(90.0)))
        }
        "feed compensation" => {
            let (ae, d) = tenth(i);
            chip_thickness::feed_compensation(ae, d)
        }
        "lead" => q::to_mm(chip_thickness::thickest(
            q::mm(1.0),
            q::mm(5.0),
            q::mm(10.0),
            q::degree(i.n("kappa_deg")),
        )),
        "chain angle" => q::to_degree(chip_thickness::engagement(i.len("ae"), d())),
        "chain chip" => length(i.chain_hm(), unit),
        "chain specific force" => q::to_n_per_mm2(i.chain_kc()),
        "chain force" => newtons(i.chain_force(), unit),
        "chain power" => {
            // Teeth in the cut at one time.
            let phi = q::to_radian(chip_thickness::engagement(i.len("ae"), d()));
            let in_cut = f64::from(i.teeth()) * phi / (2.0 * PI);
            let one = power::power_of_force(i.chain_force(), i.vc());
            watts(power::motor_power(one * in_cut, i.n("eta")), unit)
        }
        _ => return None,
    })
}

fn holes(by: &str, i: &Inputs<'_>, unit: &str) -> Option<f64> {
    let d = || i.len("diameter");
    let point = || q::degree(i.n("point_angle_deg"));
    Some(match by {
        "point length" if i.has("diameter_mm") => {
            length(drilling::point_length(d(), point()), unit)
        }
        "point length" => q::to_mm(drilling::point_length(q::mm(1.0), point())),
        "drilling time" => time(travel::time(i.hole(), i.vf()), unit),
        "drilling time to the point" => time(travel::time(i.len("depth"), i.vf()), unit),
        "drilling time with half a diameter" => {
            time(travel::time(i.len("depth") + d() / 2.0, i.vf()), unit)
        }
        "removal of drilling" => rate(i.drilled(), unit),
        "power of drilling" => watts(power::cutting_power(i.energy(), i.drilled()), unit),
        "torque of drilling from energy" => torque(
            drilling::torque_of_specific_force(i.energy(), i.len("feed_per_rev"), d()),
            unit,
        ),
        "programmed depth" => -length(i.len("depth") + drilling::point_length(d(), point()), unit),
        "feed factor" => drilling::feed_factor(i.n("feed_mm")),
        "thrust factor" => drilling::thrust_factor(i.n("diameter_mm")),
        "torque factor" => drilling::torque_factor(i.n("diameter_mm")),
        "drill torque" => torque(
            drilling::torque(
                i.n("Kd"),
                i.len("feed_per_rev"),
                d(),
                drilling::STANDARD_POINT,
                i.n("W"),
            ),
            unit,
        ),
        "drill thrust" => newtons(
            drilling::thrust(
                i.n("Kd"),
                i.len("feed_per_rev"),
                d(),
                drilling::STANDARD_POINT,
                i.n("W"),
            ),
            unit,
        ),
        "handbook thrust" => {
            let (f, d) = handbook(i);
            newtons(
                drilling::thrust(i.n("Kd"), f, d, drilling::STANDARD_POINT, i.n("W")),
                unit,
            )
        }
        "handbook torque" => {
            let (f, d) = handbook(i);
            torque(
                drilling::torque(i.n("Kd"), f, d, drilling::STANDARD_POINT, i.n("W")),
                unit,
            )
        }
        "handbook power" | "handbook motor" => {
            // From the source's own factors, so that power alone is held against it.
            let m = q::pound_force_inch(i.n("Kd") * i.n("Ff") * i.n("FM") * i.n("A") * i.n("W"));
            let pc = power::power_of_torque(m, i.rpm());
            watts(
                if by == "handbook motor" {
                    power::motor_power(pc, i.n("E"))
                } else {
                    pc
                },
                unit,
            )
        }
        "tap feed" => {
            let pitch = if i.has("pitch_mm") {
                i.len("pitch")
            } else {
                q::inch(1.0 / i.n("threads_per_inch"))
            };
            let starts = if i.has("starts") {
                i.count("starts")
            } else {
                1
            };
            match unit {
                "mm/min" => feed_in(tapping::tap_feed(pitch, starts, i.rpm()), unit),
                "mm/rev" => q::to_mm_per_min(tapping::tap_feed(pitch, starts, q::rpm(1.0))),
                _ => q::to_inch_per_min(tapping::tap_feed(pitch, starts, q::rpm(1.0))),
            }
        }
        "tap torque" => torque(tapping::torque(i.energy(), i.len("pitch"), d()), unit),
        "tap torque of profile" => torque(
            tapping::torque_of_profile(
                i.energy(),
                i.n("K"),
                i.len("D"),
                i.len("bore"),
                q::degree(i.n("half_angle_deg")),
            ),
            unit,
        ),
        "thread inside" => q::to_mm_per_min(thread_milling::centre_feed_inside(
            q::mm_per_min(1.0),
            i.len("thread"),
            i.len("cutter"),
        )),
        "thread outside" => q::to_mm_per_min(thread_milling::centre_feed_outside(
            q::mm_per_min(1.0),
            i.len("thread"),
            i.len("cutter"),
        )),
        _ => return None,
    })
}

fn forces(by: &str, i: &Inputs<'_>, unit: &str) -> Option<f64> {
    Some(match by {
        "turning time" => time(
            travel::time(
                i.len("length"),
                feed::table_feed(i.len("feed_per_rev"), 1, i.rpm()),
            ),
            unit,
        ),
        "turning power" => {
            // The ring between the two diameters, taken along.
            let vf = feed::table_feed(i.len("feed_per_rev"), 1, i.rpm());
            let q_rate = removal_rate::drilling_rate(i.len("diameter"), vf)
                - removal_rate::drilling_rate(i.len("final_diameter"), vf);
            watts(power::cutting_power(i.energy(), q_rate), unit)
        }
        "force of power" => newtons(
            power::mean_force(
                q::watt(i.n("power_W")),
                spindle_speed::surface_speed(i.rpm(), i.len("diameter")),
            ),
            unit,
        ),
        "turning removal" => rate(
            removal_rate::removal_rate(i.len("depth"), i.len("feed"), i.vc()),
            unit,
        ),
        "tangential force" => newtons(
            force::tangential(i.len("width"), i.len("feed"), i.energy()),
            unit,
        ),
        "power of force" => watts(
            power::power_of_force(q::newton(i.n("force_N")), i.vc()),
            unit,
        ),
        "specific energy" => q::to_n_per_mm2(power::specific_energy(
            q::watt(i.n("power_W")),
            q::cm3_per_min(i.n("mrr_mm3_min") / 1000.0),
        )),
        "unit power" => watts(
            power::unit_power(
                q::hp_min_per_inch3(i.n("Kp_hp_min_in3")),
                i.n("C"),
                q::inch3_per_min(i.n("Q_in3_min")),
                i.n("W"),
            ),
            unit,
        ),
        "motor power" => watts(
            power::motor_power(q::horsepower(i.n("Pc_hp")), i.n("E")),
            unit,
        ),
        "energy in metric" => q::to_n_per_mm2(q::hp_min_per_inch3(i.n("Kp_hp_min_in3"))) / 1000.0,
        "specific force" => q::to_n_per_mm2(force::specific_force(
            q::n_per_mm2(i.n("kc11_N_mm2")),
            i.n("mc"),
            i.len("h"),
        )),
        "torque of power" => {
            let (p, n) = if i.has("power_kW") {
                (q::watt(1000.0 * i.n("power_kW")), i.rpm())
            } else {
                (q::horsepower(i.n("rated_hp")), q::rpm(i.n("base_rpm")))
            };
            torque(power::torque_of_power(p, n), unit)
        }
        "motor below base speed" => watts(
            spindle_drive::power_at(
                spindle_drive::Rating {
                    power: q::horsepower(i.n("rated_hp")),
                    speed: q::rpm(i.n("base_rpm")),
                    cooled_from: q::rpm(0.0),
                },
                i.rpm(),
            ),
            unit,
        ),
        "constant power range" => {
            spindle_drive::constant_power_range(q::rpm(i.n("base_rpm")), q::rpm(i.n("max_rpm")))
        }
        "efficiency" => {
            let (f, motor) = if i.has("force_N") {
                (q::newton(i.n("force_N")), q::watt(i.n("motor_W")))
            } else {
                (
                    q::pound_force(i.n("force_lbf")),
                    q::horsepower(i.n("motor_hp")),
                )
            };
            q::to_ratio(power::power_of_force(f, i.vc()) / motor)
        }
        "unit power of a test" => q::to_hp_min_per_inch3(power::specific_energy(
            power::power_of_force(q::pound_force(i.n("force_lbf")), i.vc()),
            removal_rate::removal_rate(i.len("depth"), i.len("feed"), i.vc()),
        )),
        _ => return None,
    })
}

fn shapes(by: &str, i: &Inputs<'_>, unit: &str) -> Option<f64> {
    let d = || i.len("diameter");
    let stiff = |d: Length| bending::cylinder(q::newton(1.0), q::mm(20.0), d, q::gigapascal(600.0));
    Some(match by {
        "ball diameter" => length(effective_diameter::ball(d(), i.len("ap")), unit),
        "tilted ball diameter" => length(
            effective_diameter::ball_tilted(d(), i.len("ap"), q::degree(i.n("tilt_deg"))),
            unit,
        ),
        "cusp" => length(finish::cusp(i.len("stepover"), d() / 2.0), unit),
        "stepover of cusp" => length(finish::stepover(i.len("cusp"), d() / 2.0), unit),
        "peak to valley" => length(
            finish::peak_to_valley(i.len("feed"), i.len("nose_radius")),
            unit,
        ),
        "mean roughness factor" => q::to_mm(finish::mean_roughness(q::mm(1.0), q::mm(1.0))),
        "equivalent diameter" => bending::FLUTED_SHARE,
        "stiffness share" => {
            let own = q::mm(10.0);
            q::to_ratio(stiff(own) / stiff(own * i.n("De_over_D")))
        }
        "cylinder" => length(
            bending::cylinder(
                q::newton(i.n("force_N")),
                i.len("length"),
                d(),
                q::gigapascal(i.n("E_GPa")),
            ),
            unit,
        ),
        "stepped tool" => length(bending::tool(q::newton(i.n("force_N")), i.beam()), unit),
        "length cubed" => {
            let long = |l: f64| {
                bending::cylinder(q::newton(1.0), q::mm(l), q::mm(6.0), q::gigapascal(600.0))
            };
            q::to_ratio(long(10.0 * i.n("length_ratio")) / long(10.0))
        }
        "least chip" => {
            // Of a tool so small that the edge alone counts.
            let (least, _) =
                rubbing::least_chip(q::um(i.n("edge_radius_um")), i.n("ratio"), q::mm(0.1));
            length(least, unit)
        }
        _ => return None,
    })
}

fn lives(by: &str, i: &Inputs<'_>, unit: &str) -> Option<f64> {
    Some(match by {
        "Taylor constant of holes" => q::to_m_per_min(tool_life::constant(
            spindle_speed::surface_speed(i.rpm(), i.len("diameter")),
            q::minute(i.n("holes") * i.n("time_per_hole_min")),
            i.n("n"),
        )),
        "Taylor exponent" => tool_life::exponent(
            (q::m_per_min(i.n("v1_m_min")), q::minute(i.n("T1_min"))),
            (q::m_per_min(i.n("v2_m_min")), q::minute(i.n("T2_min"))),
        ),
        "Taylor constant" => q::to_m_per_min(tool_life::constant(
            q::m_per_min(i.n("v1_m_min")),
            q::minute(i.n("T1_min")),
            i.n("n"),
        )),
        "life ratio" => tool_life::life_ratio(i.n("v_ratio"), i.n("n")),
        "life change" => 100.0 * (tool_life::life_ratio(i.n("v_ratio"), i.n("n")) - 1.0),
        "speed change for life" => {
            assert_eq!(unit, "%");
            let for_life = |t: f64| tool_life::constant(q::m_per_min(1.0), q::minute(t), i.n("n"));
            100.0 * (q::to_ratio(for_life(1.0 / i.n("T_ratio")) / for_life(1.0)) - 1.0)
        }
        _ => return None,
    })
}

fn compute(by: &str, i: &Inputs<'_>, unit: &str) -> f64 {
    [milling, holes, forces, shapes, lives]
        .into_iter()
        .find_map(|group| group(by, i, unit))
        .unwrap_or_else(|| panic!("nothing computes {by}"))
}

/// Holds every check of a basis against the program; returns how many there were.
fn hold(basis: &str) -> usize {
    let fixture = fixture();
    let checks = fixture["check"].as_array().expect("checks");
    let mut wrong = vec![];
    let mut held = 0;
    for check in checks {
        let text = |key: &str| check[key].as_str().expect("text");
        if text("basis") != basis {
            continue;
        }
        held += 1;
        let inputs = Inputs(check["inputs"].as_table().expect("inputs"));
        let number = |key: &str| check[key].as_float().expect("a number");
        let value = compute(text("by"), &inputs, text("unit"));
        let expected = number("expected");
        if (value - expected).abs() > number("tolerance") * expected.abs() {
            wrong.push(format!(
                "{}: {value} for {expected} {} ({})",
                text("id"),
                text("unit"),
                text("source")
            ));
        }
        assert!(!text("source").is_empty(), "{}", text("id"));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    held
}

#[test]
fn values_printed_in_a_publication_come_out() {
    assert_eq!(hold("printed"), 84);
}

#[test]
fn printed_options_of_examinations_come_out() {
    assert_eq!(hold("option"), 7);
}

#[test]
fn values_recalled_from_a_publication_come_out() {
    assert_eq!(hold("recalled"), 37);
}

#[test]
fn values_computed_outside_this_program_come_out() {
    assert_eq!(hold("derived"), 59);
}

#[test]
fn what_is_left_out_is_named_with_its_reason_and_held_nowhere() {
    let fixture = fixture();
    let held: BTreeSet<&str> = fixture["check"]
        .as_array()
        .expect("checks")
        .iter()
        .map(|check| check["id"].as_str().expect("id"))
        .collect();
    let mut out = BTreeSet::new();
    for group in fixture["left_out"].as_array().expect("groups") {
        assert!(group["why"].as_str().is_some_and(|why| !why.is_empty()));
        for id in group["ids"].as_array().expect("ids") {
            let id = id.as_str().expect("an id");
            assert!(!held.contains(id), "{id} is held and left out");
            assert!(out.insert(id.to_owned()), "{id} is named twice");
        }
    }
    assert_eq!((held.len(), out.len()), (187, 31));
}
