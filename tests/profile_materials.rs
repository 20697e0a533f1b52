//! Numbers of the shipped materials against the publications they name, and against others.

use millside::job::material::Material;
use millside::job::material::Span;
use millside::profile::library::Library;
use millside::source::Standing;

fn material<'a>(library: &'a Library, name: &str) -> &'a Material {
    library
        .materials
        .get(name)
        .unwrap_or_else(|| panic!("{name}"))
}

fn near(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-9 * expected.abs().max(1.0)
}

/// A feet-per-minute span in m/min; 1 ft is 0.3048 m exactly.
fn feet(least: f64, most: f64) -> (f64, f64) {
    (least * 0.3048, most * 0.3048)
}

fn is_span(found: Span, expected: (f64, f64)) -> bool {
    near(found.least, expected.0) && near(found.most, expected.1)
}

// Kienzle constants in N/mm2 and without unit. "catalogue": trade catalogue 2017, table by VDI 3323
// group; "encyclopaedia": article Spezifische Schnittkraft, Kienzle table. Both read.
#[test]
fn kienzle_constants_are_those_of_the_tables() {
    let library = Library::shipped();
    for (name, kc1_1, mc, table) in [
        (
            "al-6061-t6",
            800.0,
            0.25,
            "catalogue: wrought, age-hardened",
        ),
        (
            "al-6082-t6",
            800.0,
            0.25,
            "catalogue: wrought, age-hardened",
        ),
        (
            "al-7075-t6",
            800.0,
            0.25,
            "catalogue: wrought, age-hardened",
        ),
        (
            "al-2024-t3",
            800.0,
            0.25,
            "catalogue: wrought, age-hardened",
        ),
        ("al-5083", 700.0, 0.25, "catalogue: wrought, not hardened"),
        ("al-si-cast-356", 700.0, 0.25, "catalogue: cast, to 12 % Si"),
        (
            "brass-free-cutting",
            700.0,
            0.27,
            "catalogue: free-cutting brass",
        ),
        (
            "copper-c11000",
            700.0,
            0.27,
            "catalogue: electrolytic copper",
        ),
        (
            "steel-c45",
            2110.0,
            0.17,
            "encyclopaedia: E335, of like carbon",
        ),
        ("steel-mild", 1780.0, 0.17, "encyclopaedia: S275JR"),
        (
            "steel-free-cutting-leaded",
            1350.0,
            0.21,
            "catalogue: under 0.25 % C",
        ),
        (
            "steel-42crmo4-annealed",
            2500.0,
            0.26,
            "encyclopaedia: 42CrMo4",
        ),
        (
            "steel-tool-o1-annealed",
            2450.0,
            0.23,
            "catalogue: tool steel, annealed",
        ),
        ("stainless-304", 2150.0, 0.20, "catalogue: austenitic"),
        ("stainless-316", 2150.0, 0.20, "catalogue: austenitic"),
        (
            "stainless-416",
            1875.0,
            0.21,
            "catalogue: ferritic, martensitic",
        ),
        ("iron-grey", 1350.0, 0.28, "catalogue: grey iron 260 HB"),
        (
            "titanium-grade-2",
            1700.0,
            0.23,
            "catalogue: titanium, pure",
        ),
        (
            "titanium-grade-5",
            2110.0,
            0.22,
            "catalogue: titanium, alpha-beta",
        ),
    ] {
        let metal = material(&library, name);
        assert!(near(metal.kc1_1_n_mm2.value, kc1_1), "{name}: {table}");
        assert!(near(metal.mc.value, mc), "{name}: {table}");
        assert_eq!(metal.kc1_1_n_mm2.source.standing, Standing::Read, "{name}");
        assert_eq!(
            metal.kc1_1_n_mm2.source, metal.mc.source,
            "{name}: one pair"
        );
        let word = table.split(':').next().expect("a word");
        let citation = &metal.kc1_1_n_mm2.source.citation;
        assert!(citation.contains(word), "{name}: {citation}");
    }
}

// Surface speeds for high-speed steel. "Carvill": Mechanical Engineer's Data Handbook, p. 187, m/min;
// "handout": open course quick reference U8M1-MAT-001, ft/min; "T.O.": T.O. 1-1A-9, Table 2-8. All read.
#[test]
fn speeds_of_high_speed_steel_are_those_of_the_tables() {
    let library = Library::shipped();
    for (name, expected, source) in [
        (
            "al-6061-t6",
            feet(200.0, 300.0),
            "Machine Tool Fundamentals",
        ),
        ("steel-mild", feet(80.0, 100.0), "Machine Tool Fundamentals"),
        ("steel-c45", feet(70.0, 90.0), "Machine Tool Fundamentals"),
        ("steel-42crmo4-annealed", (10.0, 10.0), "Carvill"),
        (
            "steel-tool-o1-annealed",
            feet(40.0, 60.0),
            "Machine Tool Fundamentals",
        ),
        (
            "stainless-304",
            feet(40.0, 60.0),
            "Machine Tool Fundamentals",
        ),
        ("stainless-416", feet(30.0, 60.0), "T.O. 1-1A-9"),
        (
            "brass-free-cutting",
            feet(150.0, 250.0),
            "Machine Tool Fundamentals",
        ),
        ("brass-cuzn37", (45.0, 45.0), "Carvill"),
        (
            "bronze-c93200",
            feet(100.0, 150.0),
            "Machine Tool Fundamentals",
        ),
        ("copper-c11000", (60.0, 60.0), "Carvill"),
        ("iron-grey", feet(50.0, 80.0), "Machine Tool Fundamentals"),
        ("acetal", feet(200.0, 400.0), "Machine Tool Fundamentals"),
        ("ptfe", feet(250.0, 250.0), "Milling Procedures"),
    ] {
        let speeds = material(&library, name).hss.as_ref().expect(name);
        assert!(
            is_span(speeds.rough_m_min.value, expected),
            "{name}: {:?}",
            speeds.rough_m_min.value
        );
        let citation = &speeds.rough_m_min.source.citation;
        assert!(citation.contains(source), "{name}: {citation}");
        assert_eq!(speeds.rough_m_min.source.standing, Standing::Read);
    }
}

// Carbide, ft/min, from the same handout and from T.O. 1-1A-9, Table 2-8 (416). Read.
#[test]
fn speeds_of_carbide_are_those_of_the_tables() {
    let library = Library::shipped();
    for (name, expected) in [
        ("al-6061-t6", feet(800.0, 1500.0)),
        ("steel-mild", feet(300.0, 500.0)),
        ("steel-c45", feet(250.0, 400.0)),
        ("steel-42crmo4-annealed", feet(200.0, 350.0)),
        ("steel-tool-o1-annealed", feet(150.0, 250.0)),
        ("stainless-304", feet(150.0, 250.0)),
        ("stainless-416", feet(225.0, 300.0)),
        ("brass-free-cutting", feet(500.0, 800.0)),
        ("bronze-c93200", feet(350.0, 600.0)),
        ("iron-grey", feet(250.0, 400.0)),
        ("acetal", feet(500.0, 1000.0)),
    ] {
        let speeds = material(&library, name).carbide.as_ref().expect(name);
        assert!(is_span(speeds.rough_m_min.value, expected), "{name}");
        assert_eq!(speeds.rough_m_min.source.standing, Standing::Read, "{name}");
    }
}

// T.O. 1-1A-9 paras c and g: fire is less likely below 700 ft/min, which is 213.36 m/min. Read.
#[test]
fn magnesium_stays_below_the_speed_at_which_chips_light() {
    let library = Library::shipped();
    let metal = material(&library, "magnesium-az31");
    for speeds in [&metal.hss, &metal.carbide].into_iter().flatten() {
        assert!(speeds.rough_m_min.value.most < 700.0 * 0.3048);
        assert!(speeds.finish().value.most < 700.0 * 0.3048);
    }
}

// bd_materials 0.2.5, typical ranges for design: density in kg/m3 and expansion in um/(m K). Read.
// A second publication: the profiles take their values from others where they can.
#[test]
fn density_and_expansion_agree_with_a_second_publication() {
    let library = Library::shipped();
    for (name, density, expansion) in [
        ("al-6061-t6", 2700.0, (22.0, 24.0)),
        ("al-7075-t6", 2810.0, (22.0, 24.0)),
        ("al-2024-t3", 2780.0, (21.0, 24.0)),
        ("brass-free-cutting", 8500.0, (19.0, 21.0)),
        ("bronze-c93200", 8900.0, (17.0, 19.0)),
        ("copper-c11000", 8900.0, (16.0, 17.0)),
        ("steel-mild", 7850.0, (11.0, 13.0)),
        ("steel-42crmo4-annealed", 7850.0, (11.0, 13.0)),
        ("stainless-304", 7930.0, (16.0, 18.0)),
        ("titanium-grade-5", 4430.0, (8.5, 9.5)),
        ("magnesium-az31", 1810.0, (25.0, 27.0)),
        ("acetal", 1410.0, (80.0, 140.0)),
        ("hdpe", 960.0, (100.0, 200.0)),
        ("pmma", 1180.0, (60.0, 90.0)),
        ("ptfe", 2170.0, (100.0, 200.0)),
        ("glass-epoxy", 1850.0, (12.0, 18.0)),
        ("carbon-fibre", 1600.0, (0.0, 10.0)),
    ] {
        let matter = material(&library, name);
        let off = (matter.density_kg_m3.value / density - 1.0).abs();
        assert!(off < 0.03, "{name}: density {} %", 100.0 * off);
        let found = matter.expansion_um_m_k.as_ref().expect(name).value;
        assert!(
            (expansion.0..=expansion.1).contains(&found),
            "{name}: expansion {found}"
        );
    }
}

// Groover, Fundamentals of Modern Manufacturing, 4th ed., ch. 21, unit energy in J/mm3 with a sharp
// tool at 0.25 mm of chip (from memory), and Machinery's Handbook, 31st ed., p. 1147, Table 1b (read).
// Publications differ by up to a factor of 1.7 for steel and of 2.2 for brass.
#[test]
fn kienzle_force_and_unit_energy_of_textbooks_agree_in_size() {
    let library = Library::shipped();
    for (name, energy) in [
        ("al-6061-t6", 0.8),
        ("al-5083", 0.7),
        ("steel-mild", 1.6),
        ("steel-c45", 2.2),
        ("steel-42crmo4-annealed", 1.97),
        ("steel-free-cutting-leaded", 1.31),
        ("stainless-304", 2.8),
        ("brass-free-cutting", 2.2),
        ("iron-grey", 1.6),
        ("magnesium-az31", 0.4),
    ] {
        let metal = material(&library, name);
        // 1 N/mm2 of specific force is 0.001 J/mm3.
        let kc = metal.kc1_1_n_mm2.value * 0.25_f64.powf(-metal.mc.value) / 1000.0;
        let ratio = kc / energy;
        assert!((1.0 / 2.2..=2.2).contains(&ratio), "{name}: {ratio}");
    }
}

// Common practice, no source: 6 mm single flute in a 6000-series aluminium, slot 0.03 to 0.06 mm a
// tooth, side 0.06 mm; light cutters rub below 0.25 % of their diameter.
#[test]
fn starting_chip_loads_of_aluminium_are_those_of_the_trade() {
    let library = Library::shipped();
    let load = &material(&library, "al-6082-t6").chip_load;
    let slot = load.slot_share.value;
    assert!(is_span(
        Span {
            least: slot.least * 6.0,
            most: slot.most * 6.0
        },
        (0.03, 0.06)
    ));
    assert!(load.side_share.value.holds(0.01));
    for material in library.materials.items() {
        assert!(
            material.chip_load.slot_share.value.least > 0.0025,
            "{}",
            material.name
        );
    }
}

// Cheng et al., Int. J. Adv. Manuf. Technol. 97 (2018) 3119-3128: 0.14 to 0.43 of the edge radius as
// the usual range, 0.60 to 0.68 for a copper alloy. The profiles take the greatest.
#[test]
fn the_least_chip_is_the_cautious_end_of_the_published_range() {
    let library = Library::shipped();
    for material in library.materials.items() {
        let ratio = material.least_chip_ratio.value;
        let expected = if material.class.word() == "copper alloy" {
            0.68
        } else {
            0.43
        };
        assert!(near(ratio, expected), "{}: {ratio}", material.name);
    }
}

#[test]
fn where_publications_disagree_the_cautious_one_is_taken() {
    let library = Library::shipped();
    for material in library.materials.items() {
        for (kc, mc) in material.kc1_1_n_mm2.others.iter().zip(&material.mc.others) {
            // More force is the cautious side; light mills cut chips of 0.01 to 0.1 mm.
            for h in [0.01_f64, 0.03, 0.1] {
                let taken = material.kc1_1_n_mm2.value * h.powf(-material.mc.value);
                let other = kc.value * h.powf(-mc.value);
                assert!(
                    taken >= other,
                    "{} at {h} mm: {taken} < {other}",
                    material.name
                );
            }
        }
        assert_eq!(
            material.kc1_1_n_mm2.others.len(),
            material.mc.others.len(),
            "{}: constants come in pairs",
            material.name
        );
        for speeds in [&material.hss, &material.carbide].into_iter().flatten() {
            assert!(speeds.finish().value.least >= speeds.rough_m_min.value.least);
        }
    }
}

#[test]
fn metals_that_burn_or_poison_say_so_to_the_cautions() {
    let library = Library::shipped();
    for (name, word) in [
        ("magnesium-az31", "magnesium"),
        ("titanium-grade-2", "titanium"),
        ("titanium-grade-5", "titanium"),
        ("beryllium-copper", "beryllium_copper"),
        ("brass-free-cutting", "leaded_brass"),
        ("bronze-c93200", "leaded_brass"),
        ("steel-free-cutting-leaded", "leaded_steel"),
        ("iron-grey", "cast_iron"),
        ("ptfe", "ptfe"),
        ("pvc", "pvc"),
        ("glass-epoxy", "glass_epoxy"),
        ("carbon-fibre", "carbon_fibre"),
        ("phenolic-laminate", "phenolic_laminate"),
    ] {
        assert_eq!(
            material(&library, name).caution.as_deref(),
            Some(word),
            "{name}"
        );
    }
}
