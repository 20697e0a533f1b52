//! The profiles that the program brings along: complete, listed, whole.

use std::fs;
use std::path::Path;
use std::path::PathBuf;

use millside::job::machine::MotorKind;
use millside::job::machine::SpeedSetBy;
use millside::job::tool::Kind;
use millside::plain;
use millside::profile::card;
use millside::profile::extract;
use millside::profile::fault::Origin;
use millside::profile::library::Library;
use millside::profile::library::ProfileFile;
use millside::profile::shipped;
use millside::source::Source;
use millside::source::Standing;

fn toml_files(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("profiles is readable") {
        let path = entry.expect("entry is readable").path();
        if path.is_dir() {
            toml_files(&path, out);
        } else if path.extension().is_some_and(|end| end == "toml") {
            out.push(path);
        }
    }
}

#[test]
fn every_profile_file_is_built_into_the_program() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles");
    let mut paths = vec![];
    toml_files(&root, &mut paths);
    let mut on_disk: Vec<String> = paths
        .iter()
        .filter_map(|path| path.strip_prefix(&root).ok())
        .map(|path| path.to_string_lossy().into_owned())
        .filter(|name| !name.starts_with("demo/"))
        .collect();
    on_disk.sort();
    let mut listed: Vec<String> = shipped::FILES
        .iter()
        .chain(card::FILES)
        .map(|(name, _)| (*name).to_owned())
        .collect();
    listed.sort();
    assert!(!on_disk.is_empty());
    assert_eq!(on_disk, listed);
}

#[test]
fn no_shipped_profile_has_a_fault() {
    let library = Library::shipped();
    let faults: Vec<String> = library.faults.iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn there_are_as_many_as_were_promised() {
    let library = Library::shipped();
    assert!(library.machines.items().len() >= 3);
    assert!(library.materials.items().len() >= 25);
    assert!(library.tools.items().len() >= 25);
    assert!(library.templates.items().len() >= 3);
    assert_eq!(library.cautions.items().len(), 139);
    let critical = library
        .cautions
        .items()
        .iter()
        .filter(|caution| caution.critical)
        .count();
    assert_eq!(critical, 86);
}

#[test]
fn the_rack_holds_every_sort_of_tool_that_a_small_mill_uses() {
    let library = Library::shipped();
    for kind in [
        Kind::EndMill,
        Kind::Ball,
        Kind::BullNose,
        Kind::Chamfer,
        Kind::SpotDrill,
        Kind::Drill,
        Kind::Tap,
        Kind::Reamer,
        Kind::FaceMill,
        Kind::ThreadMill,
        Kind::EdgeFinder,
    ] {
        assert!(
            library.tools.items().iter().any(|tool| tool.kind == kind),
            "{}",
            kind.word()
        );
    }
    for flutes in 1..=4 {
        assert!(
            library
                .tools
                .items()
                .iter()
                .any(|tool| tool.kind == Kind::EndMill && tool.flutes == flutes),
            "{flutes} flutes"
        );
    }
}

#[test]
fn every_tool_fits_the_larger_mill_and_stands_out_past_its_flutes() {
    let library = Library::shipped();
    let mill = library.machines.get("bench-mill").expect("shipped");
    for tool in library.tools.items() {
        assert!(
            tool.shank_mm <= mill.spindle.largest_shank_mm.value,
            "{}",
            tool.name
        );
        assert!(
            tool.stick_out_mm >= tool.flute_length_mm,
            "{}: stick-out {} is less than the flutes {}",
            tool.name,
            tool.stick_out_mm,
            tool.flute_length_mm
        );
    }
}

// Common practice, no source: a motor at 4500 rpm with a 2:1 step-up turns the spindle at 9000.
#[test]
fn the_light_mill_is_the_belt_driven_one_with_a_knob() {
    let library = Library::shipped();
    let mill = library.machines.get("light-belt-mill").expect("shipped");
    let spindle = &mill.spindle;
    assert_eq!(spindle.motor, MotorKind::DirectCurrent);
    assert_eq!(spindle.speed_set_by, SpeedSetBy::Hand);
    assert!((spindle.top_rpm() - 9000.0).abs() < 1e-9);
    for step in &spindle.steps {
        let computed = spindle.rated_rpm.value * step.ratio.value;
        assert!(
            (step.top_rpm.value - computed).abs() < 1e-6,
            "{}",
            step.name
        );
    }
    for axis in [&mill.axes.x, &mill.axes.y] {
        assert!((axis.push_n.value - 200.0).abs() < 1e-9);
    }
    // Worked out from motor and screw: 2 pi * 0.35 * 1.8 N m / 0.004 m = 989.6 N, rounded down.
    assert!((mill.axes.z.push_n.value - 989.0).abs() < 1e-9);
    assert!((mill.axes.x.four_full_steps_mm() - 0.08).abs() < 1e-12);
}

#[test]
fn every_limit_of_a_machine_says_how_to_find_the_persons_own() {
    let library = Library::shipped();
    for machine in library.machines.items() {
        for (name, axis) in [
            ("x", &machine.axes.x),
            ("y", &machine.axes.y),
            ("z", &machine.axes.z),
        ] {
            for how in [
                &axis.travel_mm.how,
                &axis.rapid_mm_min.how,
                &axis.top_feed_mm_min.how,
                &axis.acceleration_mm_s2.how,
                &axis.push_n.how,
                &axis.backlash_mm.how,
                &axis.stiffness_n_um.how,
            ] {
                assert!(!how.note.is_empty(), "{} {name}", machine.name);
            }
            let torque = axis.holding_torque_nm.as_ref().expect("stated");
            let standstill = std::f64::consts::TAU * axis.screw_efficiency.value * torque.value
                / (axis.lead_mm.value / 1000.0);
            assert!(
                axis.push_n.value < standstill,
                "{} {name}: push is more than 2 pi eta T / lead",
                machine.name
            );
        }
    }
}

fn sources_of(material: &millside::job::material::Material) -> Vec<&Source> {
    let mut sources = vec![
        &material.density_kg_m3.source,
        &material.kc1_1_n_mm2.source,
        &material.mc.source,
        &material.chip_load.slot_share.source,
        &material.chip_load.side_share.source,
        &material.chip_load.drill_share.source,
        &material.least_chip_ratio.source,
        &material.sticks.source,
    ];
    sources.extend(material.hss.iter().map(|speeds| &speeds.rough_m_min.source));
    sources.extend(
        material
            .carbide
            .iter()
            .map(|speeds| &speeds.rough_m_min.source),
    );
    sources
}

#[test]
fn every_source_names_a_publication_or_says_that_there_is_none() {
    let library = Library::shipped();
    for material in library.materials.items() {
        for source in sources_of(material) {
            match source.standing {
                Standing::Read | Standing::FromMemory => {
                    assert!(source.citation.len() > 10, "{}", material.name);
                }
                Standing::CommonPractice => {}
                Standing::Own => panic!("{}: a shipped number is nobody's own", material.name),
            }
            for address in ["http", "www.", ".com", ".org"] {
                assert!(!source.citation.contains(address), "{}", source.citation);
            }
        }
    }
}

#[test]
fn a_material_is_found_by_any_of_its_names() {
    let library = Library::shipped();
    for (name, expected) in [
        ("al-6082-t6", "al-6082-t6"),
        ("6082", "al-6082-t6"),
        ("almgsi1", ""),
        ("pom", "acetal"),
        ("C45", "steel-c45"),
        ("1.2312", "steel-tool-o1-annealed"),
    ] {
        let found = library
            .material(name)
            .map_or("", |material| material.name.as_str());
        assert_eq!(found, expected, "{name}");
    }
}

#[test]
fn no_two_materials_share_a_designation() {
    let library = Library::shipped();
    let mut seen = vec![];
    for material in library.materials.items() {
        for alias in &material.aliases {
            let alias = alias.to_lowercase();
            assert!(!seen.contains(&alias), "{alias} twice");
            seen.push(alias);
        }
    }
}

#[test]
fn templates_name_tools_that_are_in_the_rack() {
    let library = Library::shipped();
    for template in library.templates.items() {
        for operation in template.operations() {
            if let Some(tool) = &operation.tool {
                assert!(
                    library.tools.get(tool).is_some(),
                    "{}: {tool}",
                    template.name
                );
            }
        }
    }
}

#[test]
fn nothing_shipped_holds_hidden_characters_or_addresses() {
    for (name, text) in shipped::FILES {
        for (number, line) in text.lines().enumerate() {
            assert!(!line.chars().any(plain::is_hidden), "{name}:{}", number + 1);
            assert!(!line.contains("://"), "{name}:{}", number + 1);
        }
    }
}

// ISO 2306: the hole for a coarse metric tap is the nominal diameter less the pitch, in the drill
// sizes 2.5, 3.3, 4.2 and 5.0 mm for M3 to M6. From memory.
#[test]
fn each_tap_and_reamer_has_its_drill_in_the_rack() {
    let library = Library::shipped();
    let has_drill = |diameter: f64| {
        library
            .tools
            .items()
            .iter()
            .any(|tool| tool.kind == Kind::Drill && (tool.diameter_mm - diameter).abs() < 1e-9)
    };
    for (name, hole) in [
        ("tap-m3", 2.5),
        ("tap-m4", 3.3),
        ("tap-m5", 4.2),
        ("tap-m6", 5.0),
        ("reamer-4-h7", 3.8),
        ("reamer-6-h7", 5.8),
    ] {
        let tool = library.tools.get(name).expect(name);
        assert!(has_drill(hole), "{name}: {hole} mm");
        if let Some(pitch) = tool.pitch_mm {
            assert!((tool.diameter_mm - pitch - hole).abs() < 1e-9, "{name}");
        }
    }
}

#[test]
fn every_shipped_profile_can_be_taken_out_as_a_file_of_its_own() {
    let library = Library::shipped();
    let mut count = 0;
    let mut check = |kind: &str, key: &str, name: &str, same: &dyn Fn(&Library) -> bool| {
        let text = shipped::FILES
            .iter()
            .find_map(|(_, text)| extract::entry(text, kind, key, name))
            .unwrap_or_else(|| panic!("{kind} {name}"));
        let alone = Library::only(&[ProfileFile {
            origin: Origin::Own,
            file: "mine.toml".to_owned(),
            bytes: Ok(text.into_bytes().into()),
        }]);
        assert!(alone.faults.is_empty(), "{name}: {}", alone.faults[0]);
        assert!(same(&alone), "{name} is not the same alone");
        count += 1;
    };
    for item in library.machines.items() {
        check("machine", "name", &item.name, &|alone| {
            alone.machines.items() == [item.clone()]
        });
    }
    for item in library.materials.items() {
        check("material", "name", &item.name, &|alone| {
            alone.materials.items() == [item.clone()]
        });
    }
    for item in library.tools.items() {
        check("tool", "name", &item.name, &|alone| {
            alone.tools.items() == [item.clone()]
        });
    }
    for item in library.cautions.items() {
        check("caution", "id", &item.id, &|alone| {
            alone.cautions.items() == [item.clone()]
        });
    }
    for item in library.templates.items() {
        check("template", "name", &item.name, &|alone| {
            alone.templates.items() == [item.clone()]
        });
    }
    assert!(count > 200);
}
